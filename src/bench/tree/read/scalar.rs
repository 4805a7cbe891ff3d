//! Texts, characters and numbers of the notation.

use super::super::{Node, Number, Span, Value};
use super::Reader;
use crate::diagnostic::{Code, Diagnostic};
use crate::language::Phrase;

/// The longest number [bytes].
const LONGEST_NUMBER: usize = 400;

impl Reader<'_> {
    /// Number of hash signs of a raw text that begins here.
    pub(super) fn raw_hashes(&self) -> Option<usize> {
        let rest = self.rest().strip_prefix('r')?;
        let hashes = rest.bytes().take_while(|b| *b == b'#').count();
        (rest.as_bytes().get(hashes) == Some(&b'"')).then_some(hashes)
    }

    pub(super) fn text(&mut self, start: usize) -> Option<Node> {
        if let Some(hashes) = self.raw_hashes() {
            let from = start + hashes + 2;
            let end = format!("\"{}", "#".repeat(hashes));
            let length = self.text.get(from..).and_then(|rest| rest.find(&end));
            let Some(length) = length else {
                let problem = Phrase::new("tree-raw-text").with("sign", end);
                self.syntax(Span::new(start, from), problem);
                self.stop();
                return None;
            };
            let content = self.text.get(from..from + length)?.to_owned();
            self.at = from + length + end.len();
            let mut node = Node::new(Value::Text(content), Span::new(start, self.at));
            node.verbatim_from = Some(from);
            return Some(node);
        }
        self.at += 1;
        let from = self.at;
        let mut content = String::new();
        let mut verbatim = true;
        let mut sound = true;
        loop {
            let rest = self.rest();
            let Some(length) = rest.find(['"', '\\']) else {
                let problem = Diagnostic::error(Code::SYNTAX, Phrase::new("tree-open-text"))
                    .help(Phrase::new("tree-quote"));
                self.mistake(Span::new(start, from), problem);
                self.stop();
                return None;
            };
            let (plain, after) = rest.split_at(length);
            content.push_str(plain);
            let ends = after.starts_with('"');
            self.at += length + 1;
            if ends {
                break;
            }
            verbatim = false;
            match self.escape() {
                Some(letter) => content.extend(letter),
                None => sound = false,
            }
            if self.stopped {
                return None;
            }
        }
        let mut node = Node::new(Value::Text(content), Span::new(start, self.at));
        node.verbatim_from = verbatim.then_some(from);
        // A bad escape is reported; its text is read to the end all the same.
        sound.then_some(node)
    }

    /// What follows a backslash; the inner `None` is a line joined to the next.
    fn escape(&mut self) -> Option<Option<char>> {
        let start = self.at.saturating_sub(1);
        let Some(letter) = self.peek() else {
            return Some(None);
        };
        self.at += letter.len_utf8();
        let plain = match letter {
            'n' => '\n',
            't' => '\t',
            'r' => '\r',
            '0' => '\0',
            '\\' | '"' | '\'' => letter,
            'x' => return self.hex_escape(start, 2).map(Some),
            'u' if self.eat('{') => {
                let length = self.rest().find('}').filter(|length| (1..=6).contains(length));
                let read = length.and_then(|length| {
                    let letter = self.hex_escape(start, length);
                    self.at += 1;
                    letter
                });
                if length.is_none() {
                    let message = Phrase::new("tree-unicode").with("example", "\\u{20AC}");
                    self.syntax(Span::new(start, self.at), message);
                }
                return read.map(Some);
            }
            _ => {
                let problem = Diagnostic::error(Code::SYNTAX, Phrase::new("tree-backslash"));
                let problem = problem.help(Phrase::new("tree-two-backslashes"));
                self.mistake(Span::new(start, self.at), problem);
                return None;
            }
        };
        Some(Some(plain))
    }

    fn hex_escape(&mut self, start: usize, length: usize) -> Option<char> {
        let digits = self.rest().get(..length);
        let digits = digits.filter(|d| d.bytes().all(|b| b.is_ascii_hexdigit()));
        let letter =
            digits.and_then(|digits| u32::from_str_radix(digits, 16).ok()).and_then(char::from_u32);
        if letter.is_none() {
            self.syntax(Span::new(start, self.at), Phrase::new("tree-no-letter"));
        } else {
            self.at += length;
        }
        letter
    }

    pub(super) fn character(&mut self, start: usize) -> Option<Node> {
        self.at += 1;
        let letter = match self.peek() {
            Some('\\') => {
                self.at += 1;
                self.escape()?
            }
            Some(letter) if letter != '\'' => {
                self.at += letter.len_utf8();
                Some(letter)
            }
            _ => None,
        };
        let closed = self.eat('\'');
        match letter {
            Some(letter) if closed => {
                Some(Node::new(Value::Text(letter.to_string()), Span::new(start, self.at)))
            }
            _ => {
                let problem = Diagnostic::error(Code::SYNTAX, Phrase::new("tree-one-letter"));
                let problem = problem.help(Phrase::new("tree-double-quotes"));
                self.mistake(Span::new(start, start + 1), problem);
                None
            }
        }
    }

    pub(super) fn number(&mut self, start: usize) -> Option<Node> {
        let rest = self.rest();
        let mut last = ' ';
        // A sign belongs to the number at its start and behind an exponent's e.
        let mut part = |c: char| {
            let sign = matches!(c, '+' | '-') && (last == ' ' || matches!(last, 'e' | 'E'));
            let belongs = c.is_ascii_alphanumeric() || matches!(c, '.' | '_') || sign;
            last = c;
            belongs
        };
        let length = rest.find(|c| !part(c)).unwrap_or(rest.len());
        let source = rest.get(..length)?.to_owned();
        self.at += length;
        let span = Span::new(start, self.at);
        if source.len() > LONGEST_NUMBER {
            let message = Phrase::new("tree-long-number").with("length", source.len());
            self.syntax(span, message);
            return None;
        }
        let bare = source.trim_start_matches(['+', '-']);
        if ["inf", "NaN"].iter().any(|word| bare.starts_with(word)) {
            self.not_finite(span);
            return None;
        }
        let Some((value, whole)) = read_number(&source) else {
            let message = Phrase::new("tree-no-number").with("written", source);
            let problem = Diagnostic::error(Code::SYNTAX, message);
            self.mistake(span, problem.help(Phrase::new("tree-unit-in-quotes")));
            return None;
        };
        if !value.is_finite() {
            self.not_finite(span);
            return None;
        }
        Some(Node::new(Value::Number(Number { value, whole, source }), span))
    }
}

/// The value of a number, and as a whole number if it has neither point nor exponent.
fn read_number(source: &str) -> Option<(f64, Option<i128>)> {
    let (negative, digits) = match source.as_bytes().first()? {
        b'-' => (true, source.get(1..)?),
        b'+' => (false, source.get(1..)?),
        _ => (false, source),
    };
    if digits.starts_with('_') {
        return None;
    }
    for (prefix, radix) in [("0x", 16), ("0b", 2), ("0o", 8)] {
        if let Some(rest) = digits.strip_prefix(prefix) {
            let rest =
                without_suffix(rest, if radix == 16 { &["i", "u"] } else { &["i", "u", "f"] });
            let whole = i128::from_str_radix(&rest.replace('_', ""), radix).ok()?;
            return signed(whole, negative, rest);
        }
    }
    let plain = without_suffix(digits, &["i", "u", "f"]).replace('_', "");
    if !plain.is_empty() && plain.bytes().all(|b| b.is_ascii_digit()) {
        let value: f64 = plain.parse().ok()?;
        let whole = plain.parse::<i128>().ok().map(|whole| if negative { -whole } else { whole });
        return Some((if negative { -value } else { value }, whole));
    }
    let allowed = |b: u8| b.is_ascii_digit() || matches!(b, b'.' | b'e' | b'E' | b'+' | b'-');
    if plain.starts_with(['+', '-']) || !plain.bytes().all(allowed) {
        return None;
    }
    let value: f64 = plain.parse().ok()?;
    Some((if negative { -value } else { value }, None))
}

fn signed(whole: i128, negative: bool, digits: &str) -> Option<(f64, Option<i128>)> {
    if digits.starts_with(['+', '-', '_']) {
        return None;
    }
    let whole = if negative { whole.checked_neg()? } else { whole };
    Some((whole as f64, Some(whole)))
}

/// The digits without a type such as `u8` or `f64` behind them.
fn without_suffix<'a>(digits: &'a str, kinds: &[&str]) -> &'a str {
    for kind in kinds {
        for size in ["8", "16", "32", "64", "128"] {
            let stripped = digits.strip_suffix(size).and_then(|rest| rest.strip_suffix(kind));
            if let Some(rest) = stripped {
                return rest;
            }
        }
    }
    digits
}
