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
