//! The learners of a class, from a table that somebody else wrote.

use std::collections::BTreeMap;

use crate::language::Phrase;

/// Longest roster [bytes].
pub const ROSTER_LIMIT: usize = 4 << 20;
/// Most learners.
pub const LEARNER_LIMIT: usize = 20_000;
/// Longest id [bytes].
const ID_LIMIT: usize = 128;
/// Most problems told of.
const PROBLEM_LIMIT: usize = 50;
/// The column that is read.
const COLUMN: &str = "id";

/// What is wrong with a line of a roster.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.phrase())]
pub struct RosterProblem {
    /// Line, from 1.
    pub line: u64,
    /// What is wrong.
    pub message: Phrase,
    /// What can be done.
    pub help: Phrase,
}

impl RosterProblem {
    /// The same with its place, as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        let line = Phrase::new("roster-line").with("line", self.line.to_string());
        line.with("why", self.message.clone())
    }
}

/// Reads the ids of a class from a table with comma-separated values (RFC 4180). Its first row names
/// the columns; the one called `id` is read, and no other: names of people stay where they are.
///
/// # Errors
/// Everything that is wrong with it, at most 50 problems.
pub fn read_roster(bytes: &[u8]) -> Result<Vec<String>, Vec<RosterProblem>> {
    let one = |line, message, help| vec![RosterProblem { line, message, help: Phrase::new(help) }];
    if bytes.len() > ROSTER_LIMIT {
        let message = Phrase::new("roster-large").with("most", ROSTER_LIMIT >> 20);
        return Err(one(1, message, "roster-row-enough"));
    }
    // Spreadsheets put a mark before UTF-8 text.
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if let Err(problem) = std::str::from_utf8(bytes) {
        let before = &bytes[..problem.valid_up_to()];
        let line = 1 + before.iter().filter(|b| **b == b'\n').count() as u64;
        return Err(one(line, Phrase::new("journal-no-utf8"), "roster-save"));
    }
    let mut table =
        csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(bytes);
    let help = "roster-first-row";
    let column = match table.headers() {
        Ok(names) => names.iter().position(|name| name.eq_ignore_ascii_case(COLUMN)),
        Err(_) => None,
    };
    let Some(column) = column else {
        return Err(one(1, Phrase::new("roster-no-column"), help));
    };
    let mut reader = Reader { ids: BTreeMap::new(), list: Vec::new(), problems: Vec::new() };
    for row in table.records() {
        if reader.problems.len() >= PROBLEM_LIMIT {
            break;
        }
        match row {
            Ok(row) => {
                // A row's place is where the row before it ended: empty lines may lie between.
                let line = row.position().map_or(0, |at| at.line() + blank_lines(bytes, at.byte()));
                if reader.list.len() >= LEARNER_LIMIT {
                    let message = Phrase::new("roster-many").with("most", LEARNER_LIMIT);
                    reader.problem(line, message, "roster-divide");
                    break;
                }
                reader.row(line, row.get(column).unwrap_or(""));
            }
            Err(problem) => {
                let line = problem.position().map_or(0, csv::Position::line);
                reader.problem(line, Phrase::new("roster-row"), help);
            }
        }
    }
    if reader.list.is_empty() && reader.problems.is_empty() {
        reader.problem(1, Phrase::new("roster-nobody"), "roster-write-rows");
    }
    if reader.problems.is_empty() { Ok(reader.list) } else { Err(reader.problems) }
}

/// How many lines end before anything is written, from this byte on.
fn blank_lines(bytes: &[u8], from: u64) -> u64 {
    let rest = usize::try_from(from).ok().and_then(|from| bytes.get(from..)).unwrap_or(&[]);
    let blank = rest.iter().take_while(|b| b.is_ascii_whitespace());
    blank.filter(|b| **b == b'\n').count() as u64
}

struct Reader {
    ids: BTreeMap<String, u64>,
    list: Vec<String>,
    problems: Vec<RosterProblem>,
}

impl Reader {
    fn problem(&mut self, line: u64, message: Phrase, help: &'static str) {
        self.problems.push(RosterProblem { line, message, help: Phrase::new(help) });
    }

    fn row(&mut self, line: u64, id: &str) {
        if id.is_empty() {
            return self.problem(line, Phrase::new("roster-empty"), "roster-drop");
        }
        if id.len() > ID_LIMIT {
            let message = Phrase::new("roster-long").with("most", ID_LIMIT);
            return self.problem(line, message, "roster-quote");
        }
        if id.chars().any(char::is_control) {
            return self.problem(line, Phrase::new("roster-unseen"), "roster-quote");
        }
        if id.starts_with(['=', '+', '-', '@']) {
            return self.problem(line, Phrase::new("roster-formula"), "roster-plain");
        }
        if let Some(first) = self.ids.insert(id.to_owned(), line) {
            let message = Phrase::new("roster-twice").with("line", first.to_string());
            return self.problem(line, message, "roster-own");
        }
        self.list.push(id.to_owned());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: impl AsRef<[u8]>) -> Vec<(u64, String)> {
        let problems = read_roster(text.as_ref()).unwrap_err();
        problems.into_iter().map(|p| (p.line, p.message.to_string())).collect()
    }

    #[test]
    fn only_the_ids_are_read() {
        let text = "\u{feff}name, ID ,group\r\n\"Doe, J\",17,a\r\nRoe, 18 ,b\r\n,x y\n";
        assert_eq!(read_roster(text.as_bytes()).unwrap(), ["17", "18", "x y"]);
        assert_eq!(read_roster(b"id\nanna\n\n\nben").unwrap(), ["anna", "ben"]);
    }

    #[test]
    fn everything_wrong_is_told_with_its_line() {
        let text = "id,n\na,1\n,2\na,3\n=1+1,4\n@x,5\n+1,6\n-2,7\n\"a\tb\",8\nok,9\n";
        let lines: Vec<u64> = told(text).iter().map(|p| p.0).collect();
        assert_eq!(lines, [3, 4, 5, 6, 7, 8, 9]);
        assert!(told(text)[1].1.contains("line 2"));
        assert_eq!(told("id\na\n\r\n\na\n")[0].0, 5);
        assert_eq!(told("").len(), 1);
        assert_eq!(told("name;id\nDoe;7\n")[0].1, "there is no column `id`");
        assert_eq!(told("id\n")[0].1, "there is no learner");
        assert_eq!(told(b"id\nok\n\xff\n"), [(3, "this is no UTF-8 text".to_owned())]);
        // A quote that is never closed swallows the rest.
        assert!(told("id\n\"anna\nben\n")[0].1.contains("cannot be seen"));
        assert!(told(format!("id\n\"{}\n", "x".repeat(9000)))[0].1.contains("longer than 128"));
    }

    #[test]
    fn huge_rosters_are_refused_and_problems_bounded() {
        assert!(told(vec![b'a'; ROSTER_LIMIT + 1])[0].1.contains("larger than 4 MiB"));
        let many: String = std::iter::once("id\n".to_owned())
            .chain((0..=LEARNER_LIMIT).map(|k| format!("{k}\n")))
            .collect();
        assert!(told(many)[0].1.contains("more than 20000"));
        assert_eq!(told(format!("id,n\n{}", ",1\n".repeat(100_000))).len(), PROBLEM_LIMIT);
    }
}
