//! Reading the stored independent solutions.

/// The rows of a comma-separated file under tests/data, its comments and header left out.
pub fn rows(name: &str, columns: usize) -> Vec<Vec<f64>> {
    let path = format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("a stored solution");
    let rows: Vec<Vec<f64>> = text
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').map(|cell| cell.parse().expect("a number")).collect())
        .collect();
    assert!(rows.len() > 20 && rows.iter().all(|row| row.len() == columns), "{name}");
    rows
}

/// The rows of a file under tests/data that says what of what is how much: circuit, quantity, value.
pub fn named(name: &str) -> Vec<(String, String, f64)> {
    let path = format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("a stored solution");
    let row = |line: &str| {
        let mut cells = line.splitn(3, ',').map(str::to_owned);
        let (of, what) = (cells.next().expect("a circuit"), cells.next().expect("a quantity"));
        (of, what, cells.next().expect("a value").parse().expect("a number"))
    };
    let rows: Vec<_> = text.lines().filter(|l| !l.starts_with('#')).skip(1).map(row).collect();
    assert!(rows.len() > 5, "{name}");
    rows
}
