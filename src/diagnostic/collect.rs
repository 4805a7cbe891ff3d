//! One problem, and the ordered collection of all of them.

use super::Code;
use crate::language::{Gap, Language, Phrase, Words};
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

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

impl Severity {
    /// Id of the message that says it.
    #[must_use]
    pub fn message(self) -> &'static str {
        match self {
            Severity::Error => "severity-error",
            Severity::Warning => "severity-warning",
            Severity::Advice => "severity-advice",
        }
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

/// One problem. Its sentences have no language yet; for programs they are written in English.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// Which kind of problem.
    pub code: Code,
    /// How bad.
    pub severity: Severity,
    /// What is wrong in this case.
    #[serde(serialize_with = "english")]
    pub message: Phrase,
    /// Where.
    pub place: Place,
    /// A few words at the place itself.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "maybe_english")]
    pub label: Option<Phrase>,
    /// How to mend it.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "maybe_english")]
    pub help: Option<Phrase>,
    /// Other places in the same file that explain it.
    #[serde(skip_serializing_if = "Vec::is_empty", serialize_with = "all_english")]
    pub related: Vec<(Span, Phrase)>,
}

fn english<S: Serializer>(phrase: &Phrase, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(&said(phrase, Words::of(Language::English)))
}

fn maybe_english<S: Serializer>(phrase: &Option<Phrase>, to: S) -> Result<S::Ok, S::Error> {
    phrase.as_ref().map(|p| said(p, Words::of(Language::English))).serialize(to)
}

fn all_english<S: Serializer>(list: &[(Span, Phrase)], to: S) -> Result<S::Ok, S::Error> {
    let words = Words::of(Language::English);
    to.collect_seq(list.iter().map(|(span, phrase)| (span, said(phrase, words))))
}

impl Diagnostic {
    /// A problem of the given severity, with no place yet.
    #[must_use]
    pub fn new(severity: Severity, code: Code, message: impl Into<Phrase>) -> Self {
        Diagnostic {
            code,
            severity,
            message: kept(&message.into()),
            place: Place::default(),
            label: None,
            help: None,
            related: Vec::new(),
        }
    }

    /// An error.
    #[must_use]
    pub fn error(code: Code, message: impl Into<Phrase>) -> Self {
        Self::new(Severity::Error, code, message)
    }

    /// A warning.
    #[must_use]
    pub fn warning(code: Code, message: impl Into<Phrase>) -> Self {
        Self::new(Severity::Warning, code, message)
    }

    /// A piece of advice.
    #[must_use]
    pub fn advice(code: Code, message: impl Into<Phrase>) -> Self {
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
    pub fn label(mut self, label: impl Into<Phrase>) -> Self {
        self.label = Some(kept(&label.into()));
        self
    }

    /// The same problem with a way to mend it.
    #[must_use]
    pub fn help(mut self, help: impl Into<Phrase>) -> Self {
        self.help = Some(kept(&help.into()));
        self
    }

    /// The same problem with a way to mend it, if there is one.
    #[must_use]
    pub fn maybe_help(self, help: Option<impl Into<Phrase>>) -> Self {
        match help {
            Some(help) => self.help(help),
            None => self,
        }
    }

    /// The same problem with a second place in the same file; beyond eight they are left out.
    #[must_use]
    pub fn related(mut self, span: Span, label: impl Into<Phrase>) -> Self {
        if self.related.len() < MOST_RELATED {
            self.related.push((span, kept(&label.into())));
        }
        self
    }
}

/// A phrase as a diagnostic keeps it: no gap holds what could steer a terminal, or a text without end.
fn kept(phrase: &Phrase) -> Phrase {
    phrase.refilled(|_, gap| match gap {
        Gap::Count(_) => gap.clone(),
        // A gap is cut later than the whole sentence, which so ends in the same place.
        Gap::Text(text) => Gap::Text(harmless(text, LONGEST_TEXT + 8)),
        Gap::Said(inner) => Gap::Said(Box::new(kept(inner))),
    })
}

/// `phrase` in `words`, safe to print.
pub(super) fn said(phrase: &Phrase, words: Words) -> String {
    harmless(&words.phrase(phrase), LONGEST_TEXT)
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

/// Sorts by file, position, code and English message, in every language alike.
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
        let message = said(&diagnostic.message, Words::of(Language::English));
        let key = (place.file, place.span, diagnostic.code, message);
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
    pub fn closing_line(&self) -> Option<Phrase> {
        let more = self.left_out();
        (more > 0).then(|| Phrase::new("check-more").with("count", more))
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
            subject: match self.subject.as_str() {
                "" => subject.to_owned(),
                outer => format!("{outer}: {subject}"),
            },
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
            let subject = Phrase::written(self.subject.as_str());
            diagnostic.message = Phrase::new("check-about")
                .with("subject", subject)
                .with("message", diagnostic.message);
        }
        self.diagnostics.push(diagnostic.at(Place::new(self.file, span)));
    }

    /// Reports something that must be mended; perhaps with a way to mend it.
    pub fn error(
        &mut self,
        code: Code,
        span: Span,
        message: impl Into<Phrase>,
        help: impl Into<Option<Phrase>>,
    ) {
        self.push(span, Diagnostic::error(code, message).maybe_help(help.into()));
    }

    /// Reports something that is probably not meant; perhaps with a way to mend it.
    pub fn warning(
        &mut self,
        code: Code,
        span: Span,
        message: impl Into<Phrase>,
        help: impl Into<Option<Phrase>>,
    ) {
        self.push(span, Diagnostic::warning(code, message).maybe_help(help.into()));
    }

    /// The collection reported into.
    pub fn diagnostics(&mut self) -> &mut Diagnostics {
        self.diagnostics
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(file: &str, start: usize, severity: Severity) -> Diagnostic {
        Diagnostic::new(severity, Code::SYNTAX, Phrase::written("m"))
            .at(Place::new(file, Span::new(start, start)))
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
        assert_eq!(found.closing_line().map(|l| l.to_string()).as_deref(), Some("… and 9801 more"));
        assert_eq!(found.summary(), "1 error, 10000 remarks");
    }

    #[test]
    fn a_strangers_text_cannot_steer_the_terminal() {
        let problem = Diagnostic::error(Code::SYNTAX, Phrase::written("\u{1b}[2J\u{202e}evil\n"));
        assert_eq!(problem.message.to_string(), "\u{fffd}[2J\u{fffd}evil ");
        let long = Diagnostic::error(Code::SYNTAX, Phrase::written("x".repeat(1 << 20)));
        assert!(long.message.to_string().len() < 700);
    }
}
