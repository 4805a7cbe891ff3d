//! The reader of the notation: recursive descent with limits, going on after a mistake.

use super::{Field, Node, Span, Value};
use crate::diagnostic::{Code, Diagnostic, Diagnostics, Place};
use crate::language::Phrase;

mod scalar;

/// The largest file read [bytes].
pub const LARGEST_FILE: usize = 4 << 20;
/// The deepest nesting of brackets.
pub const DEEPEST: usize = 64;
/// The most values in a file.
pub const MOST_VALUES: usize = 200_000;
/// Mistakes of notation after which the rest of the file is not read.
const MOST_MISTAKES: usize = 20;
/// The tree of a file, or `None` if its notation is broken; then the diagnostics say where, at
/// several places if there are several mistakes.
///
/// Understood: comments, `Name(key: value)`, `(key: value)`, `Name(a, b)`, `(a, b)`, `[a, b]`,
/// `{ "key": value }`, texts (also raw ones, `r#"..."#`), characters, numbers, `true`, `false`,
/// `None`, bare words, and `Some(x)`, which reads as `x`.
pub fn parse(file: &str, text: &str, diagnostics: &mut Diagnostics) -> Option<Node> {
    let mut reader = Reader {
        file,
        text,
        at: 0,
        closers: Vec::new(),
        values: 0,
        mistakes: 0,
        stopped: false,
        diagnostics,
    };
    if text.len() > LARGEST_FILE {
        let message = Phrase::new("tree-file-long").with("length", text.len());
        let message = message.with("most", LARGEST_FILE);
        let problem = Diagnostic::error(Code::TOO_LARGE, message).at(Place::file(file));
        reader.diagnostics.push(problem);
        return None;
    }
    reader.document()
}

struct Reader<'a> {
    file: &'a str,
    text: &'a str,
    at: usize,
    /// What closes each open bracket, the innermost last.
    closers: Vec<char>,
    values: usize,
    mistakes: usize,
    /// Nothing more is read: the end was reached too early, or a limit.
    stopped: bool,
    diagnostics: &'a mut Diagnostics,
}

type Name = Option<(String, Span)>;

impl Reader<'_> {
    fn document(&mut self) -> Option<Node> {
        if self.text.starts_with('\u{feff}') {
            self.at = '\u{feff}'.len_utf8();
        }
        self.blank();
        while !self.stopped && self.rest().starts_with("#!") {
            self.attribute();
            self.blank();
        }
        if self.peek().is_none() && !self.stopped {
            let problem = Diagnostic::error(Code::EMPTY, Phrase::new("tree-no-value"));
            self.diagnostics.push(problem.at(Place::file(self.file)));
            return None;
        }
        let node = self.value();
        if node.is_some() && !self.stopped {
            self.blank();
            if let Some(letter) = self.peek() {
                let message = Phrase::new("tree-goes-on").with("sign", quoted(letter));
                let problem = Diagnostic::error(Code::SYNTAX, message);
                let problem = problem.help(Phrase::new("tree-one-value"));
                self.mistake(Span::new(self.at, self.at + letter.len_utf8()), problem);
            }
        }
        node.filter(|_| self.mistakes == 0)
    }

    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or("")
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn peek_after_blank(&mut self) -> Option<char> {
        self.blank();
        self.peek()
    }

    fn eat(&mut self, letter: char) -> bool {
        let there = self.peek() == Some(letter);
        if there {
            self.at += letter.len_utf8();
        }
        there
    }

    fn mistake(&mut self, span: Span, problem: Diagnostic) {
        if self.stopped {
            return;
        }
        self.diagnostics.push(problem.at(Place::new(self.file, span)));
        self.mistakes += 1;
        if self.mistakes >= MOST_MISTAKES {
            self.stop();
        }
    }

    fn syntax(&mut self, span: Span, message: Phrase) {
        self.mistake(span, Diagnostic::error(Code::SYNTAX, message));
    }

    fn stop(&mut self) {
        self.stopped = true;
        self.at = self.text.len();
    }

    /// Skips blanks and comments.
    fn blank(&mut self) {
        loop {
            let rest = self.rest();
            let trimmed = rest.trim_start();
            self.at += rest.len() - trimmed.len();
            if self.rest().starts_with("//") {
                let rest = self.rest();
                self.at += rest.find('\n').unwrap_or(rest.len());
            } else if self.rest().starts_with("/*") {
                self.block_comment();
            } else {
                return;
            }
        }
    }

    fn block_comment(&mut self) {
        let start = self.at;
        let bytes = self.text.as_bytes();
        let mut open = 0usize;
        loop {
            match bytes.get(self.at..self.at + 2) {
                Some(b"/*") => (open, self.at) = (open + 1, self.at + 2),
                Some(b"*/") => {
                    (open, self.at) = (open - 1, self.at + 2);
                    if open == 0 {
                        return;
                    }
                }
                Some(_) => self.at += 1,
                None => {
                    self.syntax(Span::new(start, start + 2), Phrase::new("tree-comment"));
                    self.stop();
                    return;
                }
            }
        }
    }

    /// `#![enable(...)]`: read over, for the extensions are understood anyway.
    fn attribute(&mut self) {
        let start = self.at;
        let line_end = self.rest().find(']');
        match line_end {
            Some(length) => self.at += length + 1,
            None => {
                self.syntax(Span::new(start, start + 2), Phrase::new("tree-attribute"));
                self.stop();
            }
        }
    }

    /// Counts a value; `false` when there are too many.
    fn count(&mut self) -> bool {
        self.values += 1;
        if self.values > MOST_VALUES && !self.stopped {
            let message = Phrase::new("tree-many-values").with("most", MOST_VALUES);
            let span = Span::new(self.at, self.at);
            self.mistake(span, Diagnostic::error(Code::TOO_MANY_VALUES, message));
            self.stop();
        }
        !self.stopped
    }

    /// One value; `None` after a mistake, which is reported then.
    fn value(&mut self) -> Option<Node> {
        let letter = self.peek_after_blank();
        if !self.count() {
            return None;
        }
        let start = self.at;
        let Some(letter) = letter else {
            self.syntax(Span::new(start, start), Phrase::new("tree-ends"));
            self.stop();
            return None;
        };
        match letter {
            '(' => self.bracketed(None, start),
            '[' => self.list(start),
            '{' => self.map(start),
            '"' => self.text(start),
            '\'' => self.character(start),
            '0'..='9' | '+' | '-' | '.' => self.number(start),
            _ if self.raw_hashes().is_some() => self.text(start),
            'b' if self.rest().starts_with("b\"") || self.rest().starts_with("b'") => {
                self.at += 1;
                self.syntax(Span::new(start, start + 2), Phrase::new("tree-bytes"));
                None
            }
            _ if is_word_start(letter) => self.word(start),
            _ => {
                let problem = Phrase::new("tree-wanted")
                    .with("wanted", Phrase::new("tree-value"))
                    .with("found", quoted(letter));
                self.syntax(Span::new(start, start + letter.len_utf8()), problem);
                None
            }
        }
    }

    /// An identifier, raw ones included; `None` if there is none. Nothing is reported.
    fn identifier(&mut self) -> Option<(String, Span)> {
        let start = self.at;
        let raw = self.rest().starts_with("r#");
        let from = if raw { start + 2 } else { start };
        let rest = self.text.get(from..)?;
        if !rest.starts_with(is_word_start) {
            return None;
        }
        let part = |c: char| is_word_part(c) || (raw && matches!(c, '.' | '+' | '-'));
        let length = rest.find(|c| !part(c)).unwrap_or(rest.len());
        let word = rest.get(..length)?.to_owned();
        self.at = from + length;
        Some((word, Span::new(start, self.at)))
    }

    fn word(&mut self, start: usize) -> Option<Node> {
        let Some((word, span)) = self.identifier() else {
            // It begins like a raw name, and none follows.
            let end = (start + 2).min(self.text.len());
            self.syntax(Span::new(start, end), Phrase::new("tree-raw-name"));
            self.stop();
            return None;
        };
        let after = self.at;
        if self.peek_after_blank() == Some('(') {
            return self.bracketed(Some((word, span)), start);
        }
        self.at = after;
        let value = match word.as_str() {
            "true" => Value::Flag(true),
            "false" => Value::Flag(false),
            "None" => Value::Nothing,
            "inf" | "NaN" | "inff32" | "inff64" | "NaNf32" | "NaNf64" => {
                self.not_finite(span);
                return None;
            }
            _ => Value::Name(word),
        };
        Some(Node::new(value, span))
    }

    fn not_finite(&mut self, span: Span) {
        let problem = Diagnostic::error(Code::NOT_FINITE, Phrase::new("tree-finite"));
        self.mistake(span, problem);
    }

    /// Enters a bracket; `false`, after skipping it all, when that is too deep.
    fn enter(&mut self, start: usize, close: char) -> bool {
        if self.closers.len() >= DEEPEST {
            let message = Phrase::new("tree-deep").with("most", DEEPEST);
            let open = Span::new(start, start + 1);
            self.mistake(open, Diagnostic::error(Code::TOO_DEEP, message));
            self.stop();
            return false;
        }
        self.closers.push(close);
        true
    }

    /// `(...)`, with a name before it or not.
    fn bracketed(&mut self, name: Name, start: usize) -> Option<Node> {
        let open = self.at;
        self.at += 1;
        if !self.enter(open, ')') {
            return None;
        }
        let mut fields: Vec<Field> = Vec::new();
        let mut values: Vec<Node> = Vec::new();
        let closed = self.items(open, ')', |reader| {
            let key = reader.key_ahead();
            let Some((key, key_span)) = key else {
                let value = reader.value();
                if let (Some(value), false) = (&value, fields.is_empty()) {
                    let message = Phrase::new("tree-no-name");
                    reader.syntax(value.span, message);
                }
                let there = value.is_some();
                values.extend(value);
                return there;
            };
            if !values.is_empty() {
                let message = Phrase::new("tree-has-name");
                reader.syntax(key_span, message);
            }
            let value = reader.value();
            let there = value.is_some();
            fields.extend(value.map(|value| Field { key, key_span, value }));
            there
        });
        self.closers.pop();
        if !closed {
            return None;
        }
        let span = Span::new(start, self.at);
        if values.is_empty() {
            return Some(Node::new(Value::Record { name, fields }, span));
        }
        if name.as_ref().is_some_and(|(name, _)| name == "Some") && values.len() == 1 {
            return values.pop();
        }
        Some(Node::new(Value::Tuple { name, values }, span))
    }

    /// A field name with its colon, both taken; nothing taken if there is none.
    fn key_ahead(&mut self) -> Name {
        self.blank();
        let start = self.at;
        let quoted_key = self.peek() == Some('"');
        if quoted_key || self.raw_hashes().is_some() {
            // A text as field name is a slip worth its own words: look past it for a colon.
            let length = self.rest().get(1..).and_then(|rest| rest.find(['"', '\n', '\\']));
            let end = length.map(|length| start + 1 + length);
            let closes = end.filter(|end| self.text.as_bytes().get(*end) == Some(&b'"'));
            if let (true, Some(end)) = (quoted_key, closes) {
                self.at = end + 1;
                if self.peek_after_blank() == Some(':') {
                    let key = self.text.get(start + 1..end).unwrap_or("").to_owned();
                    let span = Span::new(start, end + 1);
                    let problem = Diagnostic::error(Code::SYNTAX, Phrase::new("tree-name-quotes"));
                    self.mistake(span, problem.help(Phrase::new("tree-name-value")));
                    self.eat(':');
                    return Some((key, span));
                }
            }
            self.at = start;
            return None;
        }
        let word = self.identifier();
        if word.is_some() {
            self.blank();
            if self.peek() == Some(':') {
                self.at += 1;
                return word;
            }
            if self.peek() == Some('=') {
                let span = Span::new(self.at, self.at + 1);
                self.at += 1;
                self.syntax(span, Phrase::new("tree-colon"));
                return word;
            }
        }
        self.at = start;
        None
    }

    fn list(&mut self, start: usize) -> Option<Node> {
        self.at += 1;
        if !self.enter(start, ']') {
            return None;
        }
        let mut values = Vec::new();
        let closed = self.items(start, ']', |reader| {
            let value = reader.value();
            let there = value.is_some();
            values.extend(value);
            there
        });
        self.closers.pop();
        closed.then(|| Node::new(Value::List(values), Span::new(start, self.at)))
    }

    fn map(&mut self, start: usize) -> Option<Node> {
        self.at += 1;
        if !self.enter(start, '}') {
            return None;
        }
        let mut entries = Vec::new();
        let closed = self.items(start, '}', |reader| {
            let Some(key_node) = reader.value() else {
                return false;
            };
            let key_span = key_node.span;
            let key = match key_node.value {
                Value::Text(text) => text,
                Value::Name(word) => word,
                _ => {
                    let problem = Diagnostic::error(Code::SYNTAX, Phrase::new("tree-map-key"));
                    reader.mistake(key_span, problem);
                    String::new()
                }
            };
            reader.blank();
            if !reader.eat(':') {
                let span = Span::new(reader.at, reader.at);
                let problem = Diagnostic::error(Code::SYNTAX, Phrase::new("tree-colon-value"));
                reader.mistake(span, problem.related(key_span, Phrase::new("tree-after-key")));
                return false;
            }
            let value = reader.value();
            let there = value.is_some();
            entries.extend(value.map(|value| Field { key, key_span, value }));
            there
        });
        self.closers.pop();
        closed.then(|| Node::new(Value::Map(entries), Span::new(start, self.at)))
    }

    /// The items of a bracket up to its end, with commas between. Returns whether the bracket was
    /// closed by its own sign.
    fn items(&mut self, open: usize, close: char, mut item: impl FnMut(&mut Self) -> bool) -> bool {
        let opened = Span::new(open, open + 1);
        loop {
            let Some(letter) = self.peek_after_blank() else {
                let problem = Diagnostic::error(Code::SYNTAX, Phrase::new("tree-bracket"))
                    .help(Phrase::new("tree-missing-sign").with("sign", quoted(close)));
                self.mistake(opened, problem);
                self.stop();
                return false;
            };
            if matches!(letter, ')' | ']' | '}') {
                let span = Span::new(self.at, self.at + 1);
                if letter == close {
                    self.at += 1;
                } else {
                    let message = Phrase::new("tree-wanted").with("wanted", quoted(close));
                    let message = message.with("found", quoted(letter));
                    let problem = Diagnostic::error(Code::SYNTAX, message);
                    self.mistake(span, problem.related(opened, Phrase::new("tree-to-close")));
                    // A sign that closes a bracket further out is left for that one.
                    let outer = self.closers.len().saturating_sub(1);
                    if !self.closers.iter().take(outer).any(|outer| *outer == letter) {
                        self.at += 1;
                    }
                }
                return letter == close;
            }
            let before = self.at;
            let read = if letter == ',' {
                let span = Span::new(self.at, self.at + 1);
                self.syntax(span, Phrase::new("tree-before-comma"));
                true
            } else {
                item(self)
            };
            if self.stopped {
                return false;
            }
            if !read {
                if self.at == before {
                    self.at += self.peek().map_or(0, char::len_utf8);
                }
                self.skip_item();
            }
            match self.peek_after_blank() {
                Some(',') => self.at += 1,
                Some(')' | ']' | '}') | None => {}
                Some(letter) => {
                    let span = Span::new(self.at, self.at + letter.len_utf8());
                    if is_value_start(letter) {
                        self.syntax(span, Phrase::new("tree-comma"));
                    } else {
                        let wanted = Phrase::new("tree-comma-or").with("sign", quoted(close));
                        let message = Phrase::new("tree-wanted").with("wanted", wanted);
                        let message = message.with("found", quoted(letter));
                        self.syntax(span, message);
                        self.skip_item();
                        self.eat(',');
                    }
                }
            }
            if self.stopped {
                return false;
            }
        }
    }

    /// After a mistake: on to the comma or bracket that ends the item, over texts, comments and
    /// whole brackets.
    fn skip_item(&mut self) {
        let mut open = 0usize;
        while let Some(letter) = self.peek_after_blank() {
            match letter {
                ',' if open == 0 => return,
                ')' | ']' | '}' if open == 0 => return,
                ')' | ']' | '}' => open -= 1,
                '(' | '[' | '{' => open += 1,
                '"' => {
                    // An escaped quote does not end it; an open end is reported elsewhere.
                    let mut escaped = false;
                    let end = self.rest().char_indices().skip(1).find(|(_, c)| {
                        let ends = *c == '"' && !escaped;
                        escaped = *c == '\\' && !escaped;
                        ends
                    });
                    let Some((length, _)) = end else {
                        self.at = self.text.len();
                        return;
                    };
                    self.at += length;
                }
                _ => {}
            }
            self.at += letter.len_utf8().max(1);
        }
    }
}

fn quoted(letter: char) -> String {
    format!("\"{letter}\"")
}

fn is_word_start(letter: char) -> bool {
    letter.is_alphabetic() || letter == '_'
}

fn is_word_part(letter: char) -> bool {
    letter.is_alphanumeric() || letter == '_'
}

fn is_value_start(letter: char) -> bool {
    is_word_start(letter)
        || letter.is_ascii_digit()
        || matches!(letter, '"' | '\'' | '(' | '[' | '{' | '+' | '-' | '.')
}
