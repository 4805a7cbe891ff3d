//! Program text to words, numbers and signs, each with its place.

use crate::diagnostic::Span;
use crate::language::Phrase;

/// A token.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Token {
    /// A name or a keyword, in capitals: the language does not tell them apart.
    Word(String),
    /// A whole number.
    Int(i64),
    /// A duration [ns].
    Time(i64),
    /// `%IX0.0` (false) or `%QX0.0` (true), as the number of the terminal.
    Address(bool, usize),
    /// A sign such as `:=`.
    Sign(&'static str),
    /// The end of the text.
    End,
}

/// Something that is no token.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Slip {
    pub span: Span,
    pub message: Phrase,
    pub help: Phrase,
}

const SIGNS: [&str; 17] =
    [":=", "=>", "<=", ">=", "<>", "<", ">", "=", "+", "-", "*", "&", "(", ")", ";", ":", ","];

/// Splits `text`; what cannot be read goes to `slips`. The last token is the end.
pub(super) fn split(text: &str, slips: &mut Vec<Slip>) -> Vec<(Token, Span)> {
    let bytes = text.as_bytes();
    let mut list = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let rest = &text[at..];
        let byte = bytes[at];
        if byte.is_ascii_whitespace() {
            at += 1;
        } else if let Some((open, close)) = [("(*", "*)"), ("/*", "*/"), ("//", "\n")]
            .into_iter()
            .find(|(o, _)| rest.starts_with(o))
        {
            match rest[open.len()..].find(close) {
                Some(end) => at += open.len() + end + close.len(),
                None => {
                    if close != "\n" {
                        slips.push(Slip {
                            span: Span::new(at, at + 2),
                            message: Phrase::new("plc-comment"),
                            help: Phrase::new("plc-close-comment"),
                        });
                    }
                    at = bytes.len();
                }
            }
        } else if byte.is_ascii_alphabetic() || byte == b'_' {
            let length = run(rest, |c| c.is_ascii_alphanumeric() || c == '_');
            let word = rest[..length].to_ascii_uppercase();
            if matches!(word.as_str(), "T" | "TIME") && rest[length..].starts_with('#') {
                let body = &rest[length + 1..];
                let size = run(body, |c| c.is_ascii_alphanumeric() || c == '_' || c == '.');
                let span = Span::new(at, at + length + 1 + size);
                match duration(&body[..size]) {
                    Some(ns) => list.push((Token::Time(ns), span)),
                    None => slips.push(Slip {
                        span,
                        message: Phrase::new("plc-duration")
                            .with("written", &text[span.start..span.end]),
                        help: Phrase::new("plc-durations"),
                    }),
                }
                at = span.end;
            } else {
                list.push((Token::Word(word), Span::new(at, at + length)));
                at += length;
            }
        } else if byte.is_ascii_digit() {
            let length = run(rest, |c| c.is_ascii_digit() || c == '_');
            let span = Span::new(at, at + length);
            match rest[..length].replace('_', "").parse::<i64>() {
                Ok(value) if value <= 32_768 => list.push((Token::Int(value), span)),
                _ => slips.push(Slip {
                    span,
                    message: Phrase::new("plc-large"),
                    help: Phrase::new("plc-int"),
                }),
            }
            at = span.end;
        } else if byte == b'%' {
            let length = 1 + run(&rest[1..], |c| c.is_ascii_alphanumeric() || c == '.');
            let span = Span::new(at, at + length);
            match address(&rest[1..length]) {
                Some((output, bit)) => list.push((Token::Address(output, bit), span)),
                None => slips.push(Slip {
                    span,
                    message: Phrase::new("plc-no-address").with("written", &rest[..length]),
                    help: Phrase::new("plc-addresses"),
                }),
            }
            at = span.end;
        } else if let Some(sign) = SIGNS.into_iter().find(|s| rest.starts_with(s)) {
            list.push((Token::Sign(sign), Span::new(at, at + sign.len())));
            at += sign.len();
        } else if byte == b'.' {
            list.push((Token::Sign("."), Span::new(at, at + 1)));
            at += 1;
        } else {
            let length = rest.chars().next().map_or(1, char::len_utf8);
            slips.push(Slip {
                span: Span::new(at, at + length),
                message: Phrase::new("plc-stray").with("written", format!("{:?}", &rest[..length])),
                help: Phrase::new("plc-remove"),
            });
            at += length;
        }
    }
    list.push((Token::End, Span::new(bytes.len(), bytes.len())));
    list
}

/// Length [bytes] of the characters at the start of `text` that `belongs` to.
fn run(text: &str, belongs: impl Fn(char) -> bool) -> usize {
    text.find(|c| !belongs(c)).unwrap_or(text.len())
}

/// `IX0.3` as (false, 3).
fn address(text: &str) -> Option<(bool, usize)> {
    let upper = text.to_ascii_uppercase();
    let (output, place) = match (upper.strip_prefix('I'), upper.strip_prefix('Q')) {
        (Some(place), _) => (false, place),
        (_, Some(place)) => (true, place),
        _ => return None,
    };
    let (byte, bit) = place.strip_prefix('X').unwrap_or(place).split_once('.')?;
    let (byte, bit): (usize, usize) = (byte.parse().ok()?, bit.parse().ok()?);
    (byte < 4 && bit < 8).then_some((output, 8 * byte + bit))
}

/// `1m30s` in nanoseconds, at the most 30 days.
fn duration(text: &str) -> Option<i64> {
    const UNITS: [(&str, i64); 7] = [
        ("ms", 1_000_000),
        ("us", 1_000),
        ("ns", 1),
        ("d", 86_400_000_000_000),
        ("h", 3_600_000_000_000),
        ("m", 60_000_000_000),
        ("s", 1_000_000_000),
    ];
    let lower = text.to_ascii_lowercase().replace('_', "");
    let mut rest = lower.as_str();
    let mut total: i64 = 0;
    if rest.is_empty() || rest.len() > 40 {
        return None;
    }
    while !rest.is_empty() {
        let length = run(rest, |c| c.is_ascii_digit() || c == '.');
        let (number, tail) = rest.split_at(length);
        let (name, unit) = UNITS.into_iter().find(|(name, _)| tail.starts_with(name))?;
        let (whole, part) = number.split_once('.').unwrap_or((number, ""));
        let mut ns = whole.parse::<i64>().ok()?.checked_mul(unit)?;
        let mut share = unit;
        for digit in part.bytes() {
            share /= 10;
            ns = ns.checked_add(i64::from(digit.checked_sub(b'0').filter(|d| *d < 10)?) * share)?;
        }
        total = total.checked_add(ns)?;
        rest = &tail[name.len()..];
    }
    (total <= super::program::LONGEST_NS).then_some(total)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn durations() {
        for (text, ns) in [
            ("5s", Some(5_000_000_000)),
            ("1m30s", Some(90_000_000_000)),
            ("500ms", Some(500_000_000)),
            ("1.5s", Some(1_500_000_000)),
            ("2h_30m", Some(9_000_000_000_000)),
            ("31d", None),
            ("5", None),
            ("", None),
            ("99999999999999999999s", None),
        ] {
            assert_eq!(duration(text), ns, "{text}");
        }
    }

    #[test]
    fn addresses() {
        assert_eq!(address("IX0.3"), Some((false, 3)));
        assert_eq!(address("qx1.7"), Some((true, 15)));
        for wrong in ["IX0.8", "IX4.0", "MX0.0", "IX0", "I"] {
            assert_eq!(address(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn comments_and_strange_signs() {
        let mut slips = Vec::new();
        let list = split("a (* b *) // c\n:= é 5;", &mut slips);
        assert_eq!(list.len(), 5);
        assert_eq!(slips.len(), 1);
        split("(* open", &mut slips);
        assert_eq!(slips.len(), 2);
    }
}
