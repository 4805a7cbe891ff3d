//! Connections as authored: terminals `K1:A1`, and rungs as series and parallel of elements.
//!
//! A rung path is read from the live side to the load: `S0:21-22, (S1:13-14 | K1:13-14), K1:A1-A2`.
//! A comma joins in series, a bar inside parentheses in parallel; an element is a part with the two
//! terminals it is entered and left by.

use crate::diagnostic::Span;
use crate::language::Phrase;

/// A terminal or port as written: part and marking.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Point {
    /// Tag of the part.
    pub tag: String,
    /// Marking of the terminal or port.
    pub marking: String,
}

impl Point {
    /// Reads `K1:A1`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Point> {
        let (tag, marking) = text.trim().split_once(':')?;
        let (tag, marking) = (tag.trim(), marking.trim());
        let sound = |t: &str| !t.is_empty() && !t.contains(char::is_whitespace) && t.len() <= 64;
        (sound(tag) && sound(marking))
            .then(|| Point { tag: tag.to_owned(), marking: marking.to_owned() })
    }
}

impl std::fmt::Display for Point {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}", self.tag, self.marking)
    }
}

/// A join with the place in the file it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Join {
    /// One end.
    pub from: Point,
    /// Other end.
    pub to: Point,
    /// Where it is written.
    pub span: Span,
}

/// What is wrong with a rung path.
#[derive(Clone, Debug, PartialEq)]
pub struct PathProblem {
    /// Where in the path text [bytes].
    pub at: usize,
    /// What is wrong.
    pub message: Phrase,
}

/// One element of a path.
#[derive(Clone, Debug, PartialEq)]
pub struct PathElement {
    /// Where it is entered.
    pub enter: Point,
    /// Where it is left.
    pub leave: Point,
    /// Place in the path text [bytes].
    pub at: usize,
    /// Length in the path text [bytes].
    pub length: usize,
}

/// A path: series of steps, each one element or parallel branches.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// One element.
    Element(PathElement),
    /// Branches side by side.
    Parallel(Vec<Vec<Step>>),
}

/// Deepest nesting of parentheses.
const DEPTH: usize = 16;

/// Reads a path.
///
/// # Errors
/// The first thing that is wrong with it.
pub fn parse_path(text: &str) -> Result<Vec<Step>, PathProblem> {
    let mut reader = Reader { text, at: 0 };
    let steps = reader.series(0)?;
    reader.blank();
    if reader.at < text.len() {
        return Err(reader.problem("bench-path-end"));
    }
    Ok(steps)
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl Reader<'_> {
    fn problem(&self, id: &'static str) -> PathProblem {
        PathProblem { at: self.at, message: Phrase::new(id) }
    }

    fn blank(&mut self) {
        while self.text[self.at..].starts_with(char::is_whitespace) {
            self.at += self.text[self.at..].chars().next().map_or(1, char::len_utf8);
        }
    }

    fn take(&mut self, mark: char) -> bool {
        self.blank();
        let found = self.text[self.at..].starts_with(mark);
        if found {
            self.at += mark.len_utf8();
        }
        found
    }

    fn series(&mut self, depth: usize) -> Result<Vec<Step>, PathProblem> {
        let mut steps = vec![self.step(depth)?];
        while self.take(',') {
            steps.push(self.step(depth)?);
        }
        Ok(steps)
    }

    fn step(&mut self, depth: usize) -> Result<Step, PathProblem> {
        if self.take('(') {
            if depth >= DEPTH {
                return Err(self.problem("bench-path-deep"));
            }
            let mut branches = vec![self.series(depth + 1)?];
            while self.take('|') {
                branches.push(self.series(depth + 1)?);
            }
            if !self.take(')') {
                return Err(self.problem("bench-path-open"));
            }
            return Ok(Step::Parallel(branches));
        }
        self.blank();
        let start = self.at;
        let rest = &self.text[start..];
        let end = rest
            .find(|c: char| matches!(c, ',' | '(' | ')' | '|') || c.is_whitespace())
            .unwrap_or(rest.len());
        let word = &rest[..end];
        let element = word.split_once(':').and_then(|(tag, ends)| {
            let (a, b) = ends.split_once('-')?;
            let sound = |t: &str| !t.is_empty() && t.len() <= 64;
            (sound(tag) && sound(a) && sound(b)).then(|| PathElement {
                enter: Point { tag: tag.to_owned(), marking: a.to_owned() },
                leave: Point { tag: tag.to_owned(), marking: b.to_owned() },
                at: start,
                length: end,
            })
        });
        match element {
            Some(element) => {
                self.at += end;
                Ok(Step::Element(element))
            }
            None => Err(self.problem("bench-path-element")),
        }
    }
}

/// Every element of a path, in order.
pub fn elements(steps: &[Step]) -> Vec<&PathElement> {
    let mut list = Vec::new();
    for step in steps {
        match step {
            Step::Element(element) => list.push(element),
            Step::Parallel(branches) => {
                for branch in branches {
                    list.extend(elements(branch));
                }
            }
        }
    }
    list
}

/// The wires of a path between two points: series elements chained, parallel branches bridged from
/// one to the next as an electrician would.
pub fn wires(from: &Point, to: &Point, steps: &[Step], span: Span) -> Vec<Join> {
    let mut joins = Vec::new();
    let mut join = |a: &Point, b: &Point| {
        if a != b {
            joins.push(Join { from: a.clone(), to: b.clone(), span });
        }
    };
    let last = chain(std::slice::from_ref(from), steps, &mut join);
    if let Some(end) = last.first() {
        join(end, to);
    }
    joins
}

/// Wires `steps` behind the points `from` (all one potential already, the first is wired on);
/// returns the points of the last potential.
fn chain(from: &[Point], steps: &[Step], join: &mut impl FnMut(&Point, &Point)) -> Vec<Point> {
    let mut here: Vec<Point> = from.to_vec();
    for step in steps {
        match step {
            Step::Element(element) => {
                if let Some(point) = here.last() {
                    join(point, &element.enter);
                }
                here = vec![element.leave.clone()];
            }
            Step::Parallel(branches) => {
                let mut entry = here.last().cloned();
                let mut exits: Vec<Point> = Vec::new();
                for branch in branches {
                    let Some(point) = &entry else { continue };
                    let first = first_entry(branch);
                    let leave = chain(std::slice::from_ref(point), branch, join);
                    if let (Some(previous), Some(next)) = (exits.last(), leave.first()) {
                        join(previous, next);
                    }
                    exits.extend(leave);
                    // The next branch is bridged on from this one's entry.
                    entry = first.or(entry);
                }
                here = exits;
            }
        }
    }
    here
}

fn first_entry(steps: &[Step]) -> Option<Point> {
    match steps.first()? {
        Step::Element(element) => Some(element.enter.clone()),
        Step::Parallel(branches) => branches.first().and_then(|b| first_entry(b)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(text: &str) -> Point {
        Point::parse(text).expect("a point")
    }

    #[test]
    fn a_holding_circuit_becomes_seven_wires() {
        let steps = parse_path("S0:21-22, (S1:13-14 | K1:13-14), K1:A1-A2").expect("path");
        assert_eq!(elements(&steps).len(), 4);
        let list = wires(&p("F1:2"), &p("G1:-"), &steps, Span::new(0, 0));
        let text: Vec<String> = list.iter().map(|j| format!("{} {}", j.from, j.to)).collect();
        assert_eq!(
            text,
            [
                "F1:2 S0:21",
                "S0:22 S1:13",
                "S1:13 K1:13",
                "S1:14 K1:14",
                "K1:14 K1:A1",
                "K1:A2 G1:-",
            ]
        );
    }

    #[test]
    fn problems_point_at_their_place() {
        assert_eq!(parse_path("S0:21-22, ").expect_err("short").at, 10);
        assert_eq!(parse_path("(S0:21-22").expect_err("open").at, 9);
        assert_eq!(parse_path("S0:21-22 K1:A1-A2").expect_err("no comma").at, 9);
        assert!(parse_path(&"(".repeat(5000)).is_err());
    }
}
