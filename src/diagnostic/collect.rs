//! One problem, and the ordered collection of all of them.

use super::Code;
use crate::language::Phrase;
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt;

/// The most diagnostics kept and shown; of the rest only the number is known.
pub const MOST_SHOWN: usize = 200;
/// The longest message, label or help [bytes]; more is cut.
const LONGEST_TEXT: usize = 600;
/// The most secondary places of one diagnostic.
const MOST_RELATED: usize = 8;

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The file cannot be used.
    Error,
    /// The file can be used, but probably does not mean what it says.
    Warning,
    /// A suggestion.
    Advice,
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Advice => "advice",
        })
    }
}

/// Bytes `start..end` of a text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Span {
    /// Offset of the first byte.
    pub start: usize,
    /// Offset after the last byte, not less than `start`.
    pub end: usize,
}

impl Span {
    /// From `start` to `end`; an `end` before `start` is taken as `start`.
    #[must_use]
    pub const fn new(start: usize, end: usize) -> Self {
        Span { start, end: if end < start { start } else { end } }
    }

    /// Its length [bytes].
    #[must_use]
    pub const fn len(self) -> usize {
        self.end.saturating_sub(self.start)
    }

    /// Whether it covers nothing.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.len() == 0
    }
}

/// A file, and where in it.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Place {
    /// Name of the file as the user gave it; may be empty when no file is concerned.
    pub file: String,
    /// Where in it, if the problem has a place.
    pub span: Option<Span>,
}

impl Place {
    /// A span of a file.
    #[must_use]
    pub fn new(file: impl Into<String>, span: Span) -> Self {
        Place { file: file.into(), span: Some(span) }
    }

    /// A file as a whole.
    #[must_use]
    pub fn file(file: impl Into<String>) -> Self {
        Place { file: file.into(), span: None }
    }
}

/// One problem.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// Which kind of problem.
    pub code: Code,
    /// How bad.
    pub severity: Severity,
    /// What is wrong in this case.
    pub message: String,
    /// Where.
    pub place: Place,
    /// A few words at the place itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// How to mend it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub help: Option<String>,
    /// Other places in the same file that explain it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub related: Vec<(Span, String)>,
}

impl Diagnostic {
    /// A problem of the given severity, with no place yet.
    #[must_use]
    pub fn new(severity: Severity, code: Code, message: impl AsRef<str>) -> Self {
        Diagnostic {
            code,
            severity,
            message: harmless(message.as_ref(), LONGEST_TEXT),
            place: Place::default(),
            label: None,
            help: None,
            related: Vec::new(),
        }
    }

    /// An error.
    #[must_use]
    pub fn error(code: Code, message: impl AsRef<str>) -> Self {
        Self::new(Severity::Error, code, message)
    }

    /// A warning.
    #[must_use]
    pub fn warning(code: Code, message: impl AsRef<str>) -> Self {
        Self::new(Severity::Warning, code, message)
    }

    /// A piece of advice.
    #[must_use]
    pub fn advice(code: Code, message: impl AsRef<str>) -> Self {
        Self::new(Severity::Advice, code, message)
    }

    /// The same problem at `place`.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.place = place;
        self
    }

    /// The same problem with a few words at its place.
    #[must_use]
    pub fn label(mut self, label: impl AsRef<str>) -> Self {
        self.label = Some(harmless(label.as_ref(), LONGEST_TEXT));
        self
    }

    /// The same problem with a way to mend it.
    #[must_use]
    pub fn help(mut self, help: impl AsRef<str>) -> Self {
        self.help = Some(harmless(help.as_ref(), LONGEST_TEXT));
        self
    }

    /// The same problem with a way to mend it, if there is one.
    #[must_use]
    pub fn maybe_help(self, help: Option<impl AsRef<str>>) -> Self {
        match help {
            Some(help) => self.help(help),
            None => self,
        }
    }

    /// The same problem with a second place in the same file; beyond eight they are left out.
    #[must_use]
    pub fn related(mut self, span: Span, label: impl AsRef<str>) -> Self {
        if self.related.len() < MOST_RELATED {
            self.related.push((span, harmless(label.as_ref(), LONGEST_TEXT)));
        }
        self
    }
}

/// A text from a stranger's file, safe to print: control and direction-changing characters
/// replaced by one visible sign each, and cut to `most` bytes.
pub(super) fn harmless(text: &str, most: usize) -> String {
    let mut out = String::with_capacity(text.len().min(most) + 4);
    for letter in text.chars() {
        if out.len() + letter.len_utf8() > most {
            out.push('…');
            break;
        }
        out.push(harmless_letter(letter));
    }
    out
}

pub(super) fn harmless_letter(letter: char) -> char {
    match letter {
        '\n' | '\t' => ' ',
        '\u{200b}'..='\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{feff}' => '\u{fffd}',
        other if other.is_control() => '\u{fffd}',
        other => other,
    }
}

/// Sorts by file, position, code and message.
type Key = (String, Option<Span>, Code, String);

/// All problems of one reading, sorted by file, position and code, each once.
///
/// At most [`MOST_SHOWN`] are kept; errors push out warnings, and earlier places later ones.
#[derive(Clone, Debug, Default)]
pub struct Diagnostics {
    kept: BTreeMap<Key, Diagnostic>,
    errors_kept: usize,
    errors_left_out: usize,
    others_left_out: usize,
}

impl Diagnostics {
    /// None.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes one in; one that is there already is not counted again.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        let place = diagnostic.place.clone();
        let key = (place.file, place.span, diagnostic.code, diagnostic.message.clone());
        let is_error = diagnostic.severity == Severity::Error;
        if let Some(there) = self.kept.get_mut(&key) {
            if diagnostic.severity < there.severity {
                self.errors_kept += usize::from(is_error);
                *there = diagnostic;
            }
            return;
        }
        self.kept.insert(key, diagnostic);
        self.errors_kept += usize::from(is_error);
        if self.kept.len() <= MOST_SHOWN {
            return;
        }
        // One too many: the last that is no error goes, or the last of all.
        let spare = if self.errors_kept < self.kept.len() {
            let last = self.kept.iter().rev().find(|(_, d)| d.severity != Severity::Error);
            last.map(|(key, _)| key.clone())
        } else {
            self.kept.keys().next_back().cloned()
        };
        if let Some(gone) = spare.and_then(|key| self.kept.remove(&key)) {
            if gone.severity == Severity::Error {
                self.errors_kept -= 1;
                self.errors_left_out = self.errors_left_out.saturating_add(1);
            } else {
                self.others_left_out = self.others_left_out.saturating_add(1);
            }
        }
    }

    /// Takes in all of another collection.
    pub fn extend(&mut self, other: Diagnostics) {
        self.errors_left_out = self.errors_left_out.saturating_add(other.errors_left_out);
        self.others_left_out = self.others_left_out.saturating_add(other.others_left_out);
        for diagnostic in other.kept.into_values() {
            self.push(diagnostic);
        }
    }

    /// Whether any is an error, shown or left out.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.errors_kept + self.errors_left_out > 0
    }

    /// Whether there is none at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.kept.is_empty()
    }

    /// How many are kept.
    #[must_use]
    pub fn len(&self) -> usize {
        self.kept.len()
    }

    /// How many were found beyond those kept; one found repeatedly may count repeatedly.
    #[must_use]
    pub fn left_out(&self) -> usize {
        self.errors_left_out.saturating_add(self.others_left_out)
    }

    /// How many errors were found.
    #[must_use]
    pub fn error_count(&self) -> usize {
        self.errors_kept.saturating_add(self.errors_left_out)
    }

    /// Those kept, sorted by file, position and code.
    pub fn iter(&self) -> impl Iterator<Item = &Diagnostic> {
        self.kept.values()
    }

    /// Whether one with this code is kept.
    #[must_use]
    pub fn has(&self, code: Code) -> bool {
        self.iter().any(|diagnostic| diagnostic.code == code)
    }

    /// The numbers in words: "2 errors, 1 remark".
    #[must_use]
    pub fn summary(&self) -> String {
        self.tally().to_string()
    }

    /// The same without a language yet.
    #[must_use]
    pub fn tally(&self) -> Phrase {
        let errors = self.error_count();
        let others = (self.kept.len() - self.errors_kept).saturating_add(self.others_left_out);
        let of = |id: &'static str, count: usize| Phrase::new(id).with("count", count);
        match (errors, others) {
            (0, 0) => Phrase::new("check-nothing"),
            (_, 0) => of("check-errors", errors),
            (0, _) => of("check-remarks", others),
            _ => Phrase::new("check-both")
                .with("errors", of("check-errors", errors))
                .with("remarks", of("check-remarks", others)),
        }
    }

    /// The closing line about what is not shown: "… and 3 more".
    #[must_use]
    pub fn closing_line(&self) -> Option<String> {
        (self.left_out() > 0).then(|| format!("… and {} more", self.left_out()))
    }
}

impl Extend<Diagnostic> for Diagnostics {
    fn extend<I: IntoIterator<Item = Diagnostic>>(&mut self, diagnostics: I) {
        for diagnostic in diagnostics {
            self.push(diagnostic);
        }
    }
}

/// Reports into a collection, for one file.
#[derive(Debug)]
pub struct Reporter<'a> {
    file: &'a str,
    /// What the messages are about, said before each; may be empty.
    subject: String,
    diagnostics: &'a mut Diagnostics,
}

impl<'a> Reporter<'a> {
    /// For problems of `file`.
    #[must_use]
    pub fn new(file: &'a str, diagnostics: &'a mut Diagnostics) -> Self {
        Reporter { file, subject: String::new(), diagnostics }
    }

    /// The same, with `subject` said before every message: "K1: `coil`: ...".
    #[must_use]
    pub fn about(&mut self, subject: &str) -> Reporter<'_> {
        Reporter {
            file: self.file,
            subject: format!("{}{subject}: ", self.subject),
            diagnostics: &mut *self.diagnostics,
        }
    }

    /// The file's name.
    #[must_use]
    pub fn file(&self) -> &'a str {
        self.file
    }

    /// Reports a problem at a span of the file.
    pub fn push(&mut self, span: Span, mut diagnostic: Diagnostic) {
        if !self.subject.is_empty() {
            let whole = format!("{}{}", self.subject, diagnostic.message);
            diagnostic.message = harmless(&whole, LONGEST_TEXT);
        }
        self.diagnostics.push(diagnostic.at(Place::new(self.file, span)));
    }

    /// Reports something that must be mended; an empty `help` is left out.
    pub fn error(
        &mut self,
        code: Code,
        span: Span,
        message: impl AsRef<str>,
        help: impl AsRef<str>,
    ) {
        self.push(span, Diagnostic::error(code, message).maybe_help(written(help.as_ref())));
    }

    /// Reports something that is probably not meant; an empty `help` is left out.
    pub fn warning(
        &mut self,
        code: Code,
        span: Span,
        message: impl AsRef<str>,
        help: impl AsRef<str>,
    ) {
        self.push(span, Diagnostic::warning(code, message).maybe_help(written(help.as_ref())));
    }

    /// The collection reported into.
    pub fn diagnostics(&mut self) -> &mut Diagnostics {
        self.diagnostics
    }
}

fn written(help: &str) -> Option<&str> {
    (!help.is_empty()).then_some(help)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(file: &str, start: usize, severity: Severity) -> Diagnostic {
        Diagnostic::new(severity, Code::SYNTAX, "m").at(Place::new(file, Span::new(start, start)))
    }

    #[test]
    fn they_are_sorted_and_each_is_there_once() {
        let mut found = Diagnostics::new();
        for (file, start) in [("b", 1), ("a", 9), ("a", 2), ("a", 9)] {
            found.push(at(file, start, Severity::Error));
        }
        let order: Vec<_> = found.iter().map(|d| (d.place.file.as_str(), d.place.span)).collect();
        let span = |start| Some(Span::new(start, start));
        assert_eq!(order, [("a", span(2)), ("a", span(9)), ("b", span(1))]);
        assert_eq!(found.summary(), "3 errors");
    }

    #[test]
    fn errors_outlive_warnings_and_the_rest_is_counted() {
        let mut found = Diagnostics::new();
        for n in 0..10_000 {
            found.push(at("a", n, Severity::Warning));
        }
        assert!(!found.has_errors());
        found.push(at("z", 5, Severity::Error));
        assert!(found.has_errors());
        assert_eq!(found.len(), MOST_SHOWN);
        assert!(found.iter().any(|d| d.severity == Severity::Error));
        assert_eq!(found.closing_line().as_deref(), Some("… and 9801 more"));
        assert_eq!(found.summary(), "1 error, 10000 remarks");
    }

    #[test]
    fn a_strangers_text_cannot_steer_the_terminal() {
        let problem = Diagnostic::error(Code::SYNTAX, "\u{1b}[2J\u{202e}evil\n");
        assert_eq!(problem.message, "\u{fffd}[2J\u{fffd}evil ");
        assert!(Diagnostic::error(Code::SYNTAX, "x".repeat(1 << 20)).message.len() < 700);
    }
}
