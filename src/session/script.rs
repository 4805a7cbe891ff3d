//! A list of actions in words, a line each: what a person would type, kept in a file.
//!
//! `press S4` follows the line before it; `12 s: press S4` waits for that bench time. A `#` begins a
//! comment.

use crate::base::SimTime;
use crate::language::Phrase;
use crate::quantity::parse_duration;

use super::action::Action;
use super::refusal::unreadable;
use super::words::{WordsError, parse};

/// One line of an action list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Line in the file, from 1.
    pub number: usize,
    /// Bench time to wait for, if any.
    pub at: Option<SimTime>,
    /// What is done.
    pub action: Action,
}

/// Longest list [lines].
const LINES: usize = 100_000;

/// Reads an action list.
///
/// # Errors
/// Every line that is no action, with its number.
pub fn read_actions(text: &str) -> Result<Vec<Line>, Vec<(usize, WordsError)>> {
    let (mut lines, mut errors) = (Vec::new(), Vec::new());
    for (k, raw) in text.lines().enumerate() {
        let number = k + 1;
        if number > LINES {
            errors.push((
                number,
                WordsError {
                    message: Phrase::new("typed-lines").with("most", LINES.to_string()),
                    help: Phrase::new("typed-less"),
                    column: 1,
                },
            ));
            break;
        }
        let line = raw.split('#').next().unwrap_or("").trim();
        if line.is_empty() {
            continue;
        }
        // A time ends at the first colon that a blank follows; terminals have none.
        let (at, words) = match line.split_once(": ") {
            Some((time, rest)) if time.starts_with(|c: char| c.is_ascii_digit()) => {
                match parse_duration(time) {
                    Ok(at) => (Some(at), rest.trim()),
                    Err(problem) => {
                        errors.push((
                            number,
                            WordsError {
                                message: unreadable(&problem, time, None),
                                help: Phrase::new("typed-moment"),
                                column: column_of(raw, time),
                            },
                        ));
                        continue;
                    }
                }
            }
            _ => (None, line),
        };
        match parse(words) {
            Ok(action) => lines.push(Line { number, at, action }),
            Err(mut problem) => {
                problem.column += column_of(raw, words) - 1;
                errors.push((number, problem));
            }
        }
        if errors.len() > 50 {
            break;
        }
    }
    if errors.is_empty() { Ok(lines) } else { Err(errors) }
}

/// Column of `part` in `line`, in characters from 1.
fn column_of(line: &str, part: &str) -> usize {
    let before = line.find(part).and_then(|at| line.get(..at)).unwrap_or("");
    before.chars().count() + 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_comments_and_errors() {
        let list =
            read_actions("# start\npress S4\n 12 s: hold S1 # and keep it\n").expect("lines");
        assert_eq!(list.len(), 2);
        assert_eq!(list[1].at, Some(SimTime::from_secs(12)));
        assert_eq!(list[1].number, 3);
        let errors = read_actions("press S4\npres S1\n12 parsecs: look H1\n").expect_err("errors");
        assert_eq!(errors.iter().map(|e| e.0).collect::<Vec<_>>(), [2, 3]);
        let errors = read_actions("  2 s:  pres S1\n").expect_err("errors");
        assert_eq!(errors[0].1.column, 9);
    }
}
