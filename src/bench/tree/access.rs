//! Taking values out of the tree, with a diagnostic for each that is not what is wanted.

use super::{Field, Node, Span, Value};
use crate::base::SimTime;
use crate::diagnostic::{Code, Diagnostic, Reporter, nearest};
use crate::language::{Gap, Phrase};
use crate::quantity::{Dimension, QuantityError, Supply, parse, parse_duration};
use std::collections::BTreeMap;

/// The most words of a list of choices that a message shows.
const MOST_LISTED: usize = 24;

/// A record seen from outside: its name and fields.
#[derive(Clone, Copy, Debug)]
pub struct Record<'a> {
    /// The name before the bracket, with its place.
    pub name: Option<(&'a str, Span)>,
    /// The fields, in the order of the file.
    pub fields: &'a [Field],
    /// The whole record.
    pub span: Span,
}

impl Record<'_> {
    /// Where to point when the record as a whole is meant: its name, or its first bracket.
    #[must_use]
    pub fn head(&self) -> Span {
        self.name.map_or(Span::new(self.span.start, self.span.start + 1), |(_, span)| span)
    }
}

impl Node {
    fn wrong_type(&self, wanted: Phrase, report: &mut Reporter<'_>) {
        let message = wanted_here(wanted, self.kind());
        report.error(Code::WRONG_TYPE, self.span, message, None);
    }

    /// The text in quotes.
    pub fn as_text<'a>(&'a self, report: &mut Reporter<'_>) -> Option<&'a str> {
        match &self.value {
            Value::Text(text) => return Some(text),
            Value::Name(word) => report.error(
                Code::WRONG_TYPE,
                self.span,
                wanted_here(Phrase::new("tree-text"), self.kind()),
                Phrase::new("tree-put-in-quotes").with("written", word.as_str()),
            ),
            _ => self.wrong_type(Phrase::new("tree-quoted-text"), report),
        }
        None
    }

    /// The texts of a list, each with its node; a single text is a list of one. What is no text is
    /// reported and left out.
    pub fn as_texts<'a>(&'a self, report: &mut Reporter<'_>) -> Option<Vec<(&'a str, &'a Node)>> {
        let nodes = match &self.value {
            Value::List(nodes) => nodes.as_slice(),
            Value::Text(_) => std::slice::from_ref(self),
            _ => {
                let example = "[\"...\", \"...\"]";
                self.wrong_type(Phrase::new("tree-texts").with("example", example), report);
                return None;
            }
        };
        Some(nodes.iter().filter_map(|node| Some((node.as_text(report)?, node))).collect())
    }

    /// The finite number.
    pub fn as_number(&self, report: &mut Reporter<'_>) -> Option<f64> {
        if let Value::Number(number) = &self.value {
            return Some(number.value);
        }
        self.wrong_type(Phrase::new("tree-number"), report);
        None
    }

    /// The whole number, not negative.
    pub fn as_whole(&self, report: &mut Reporter<'_>) -> Option<u64> {
        let Value::Number(number) = &self.value else {
            self.wrong_type(Phrase::new("tree-whole"), report);
            return None;
        };
        let whole = number.whole.and_then(|whole| u64::try_from(whole).ok());
        if whole.is_none() {
            let found = Phrase::written(number.source.as_str());
            let message = wanted_here(Phrase::new("tree-whole-from-0"), found);
            report.error(Code::NOT_WHOLE, self.span, message, None);
        }
        whole
    }

    /// The whole number, if it lies between `least` and `most`.
    pub fn as_count(&self, least: u64, most: u64, report: &mut Reporter<'_>) -> Option<u64> {
        let whole = self.as_whole(report)?;
        if (least..=most).contains(&whole) {
            return Some(whole);
        }
        let message = Phrase::new("tree-out-of-range").with("written", whole.to_string());
        let help = may_be(&least.to_string(), &most.to_string());
        report.error(Code::OUT_OF_RANGE, self.span, message, help);
        None
    }

    /// `true` or `false`.
    pub fn as_flag(&self, report: &mut Reporter<'_>) -> Option<bool> {
        if let Value::Flag(flag) = self.value {
            return Some(flag);
        }
        self.wrong_type(Phrase::new("tree-flag"), report);
        None
    }

    /// The values of a list.
    pub fn as_list<'a>(&'a self, report: &mut Reporter<'_>) -> Option<&'a [Node]> {
        if let Value::List(values) = &self.value {
            return Some(values);
        }
        self.wrong_type(Phrase::new("tree-square"), report);
        None
    }

    /// The record; a word by itself is a record without fields, so `Lamp` is `Lamp()`.
    pub fn as_record<'a>(&'a self, report: &mut Reporter<'_>) -> Option<Record<'a>> {
        let span = self.span;
        match &self.value {
            Value::Record { name, fields } => {
                let name = name.as_ref().map(|(name, span)| (name.as_str(), *span));
                return Some(Record { name, fields, span });
            }
            Value::Name(name) => {
                return Some(Record { name: Some((name, span)), fields: &[], span });
            }
            Value::Tuple { name, .. } => {
                let name = name.as_ref().map_or("", |(name, _)| name);
                report.error(
                    Code::WRONG_TYPE,
                    span,
                    Phrase::new("tree-values-only"),
                    Phrase::new("tree-write-record").with("name", name),
                );
            }
            _ => self.wrong_type(Phrase::new("tree-round"), report),
        }
        None
    }

    /// The entries of a map, in the order of the file; a repeated key is reported and only its
    /// first entry is given. An empty record counts as an empty map.
    pub fn as_map<'a>(&'a self, report: &mut Reporter<'_>) -> Option<Vec<&'a Field>> {
        match &self.value {
            Value::Map(entries) => Some(distinct(entries, Code::DUPLICATE_TAG, '"', report)),
            Value::Record { name: None, fields } if fields.is_empty() => Some(Vec::new()),
            _ => {
                self.wrong_type(Phrase::new("tree-curly"), report);
                None
            }
        }
    }

    /// The choice written here as a text.
    pub fn as_choice<'c>(
        &self,
        choices: &[&'c str],
        code: Code,
        report: &mut Reporter<'_>,
    ) -> Option<&'c str> {
        let text = self.as_text(report)?;
        let found = choices.iter().find(|choice| **choice == text).copied();
        if found.is_none() {
            let message = Phrase::new("tree-no-choice").with("written", text);
            report.error(code, self.span, message, suggest(text, choices.iter().copied(), '"'));
        }
        found
    }

    /// The quantity [SI unit of the dimension], from a text with a unit; from a plain number too
    /// where the dimension takes one.
    pub fn as_quantity(&self, wanted: Dimension, report: &mut Reporter<'_>) -> Option<f64> {
        match &self.value {
            Value::Text(text) => self.quantity(parse(text, wanted), Code::BAD_QUANTITY, report),
            Value::Number(number) if wanted.takes_plain_numbers() => {
                self.quantity(parse(&number.source, wanted), Code::BAD_QUANTITY, report)
            }
            Value::Number(number) => {
                let message = Phrase::new("tree-no-unit")
                    .with("written", number.source.as_str())
                    .with("wanted", wanted.phrase_with_article());
                let help = Phrase::new("tree-quote-unit").with("written", wanted.example());
                report.error(Code::MISSING_UNIT, self.span, message, help);
                None
            }
            _ => {
                let phrase = Phrase::new("tree-quantity")
                    .with("wanted", wanted.phrase_with_article())
                    .with("example", Phrase::written(wanted.example()));
                self.wrong_type(phrase, report);
                None
            }
        }
    }

    /// The quantity, if it lies between two others, given as one would write them.
    pub fn as_quantity_within(
        &self,
        wanted: Dimension,
        (low, high): (&str, &str),
        report: &mut Reporter<'_>,
    ) -> Option<f64> {
        let value = self.as_quantity(wanted, report)?;
        let limit = |text: &str| parse(text, wanted).ok();
        // A limit itself may come out of its unit a rounding apart.
        let below = limit(low).is_some_and(|low| value < low - 1e-9 * low.abs());
        let above = limit(high).is_some_and(|high| value > high + 1e-9 * high.abs());
        if !below && !above {
            return Some(value);
        }
        let written = match &self.value {
            Value::Text(text) => Phrase::written(format!("\"{text}\"")),
            Value::Number(number) => Phrase::written(number.source.as_str()),
            _ => self.kind(),
        };
        let message = Phrase::new("tree-out-of-range").with("written", written);
        report.error(Code::OUT_OF_RANGE, self.span, message, may_be(low, high));
        None
    }

    /// The supply, such as `"24 V DC"`.
    pub fn as_supply(&self, report: &mut Reporter<'_>) -> Option<Supply> {
        let text = self.as_text(report)?;
        self.quantity(Supply::parse(text), Code::BAD_SUPPLY, report)
    }

    /// The span of time, such as `"1 min 30 s"`.
    pub fn as_duration(&self, report: &mut Reporter<'_>) -> Option<SimTime> {
        match &self.value {
            Value::Number(_) => {
                self.as_quantity(Dimension::Time, report);
                None
            }
            _ => {
                let text = self.as_text(report)?;
                self.quantity(parse_duration(text), Code::BAD_QUANTITY, report)
            }
        }
    }

    fn quantity<T>(
        &self,
        read: Result<T, QuantityError>,
        otherwise: Code,
        report: &mut Reporter<'_>,
    ) -> Option<T> {
        match read {
            Ok(value) => Some(value),
            Err(error) => {
                report.error(quantity_code(&error, otherwise), self.span, error.phrase(), None);
                None
            }
        }
    }
}

fn wanted_here(wanted: Phrase, found: Phrase) -> Phrase {
    Phrase::new("tree-wanted").with("wanted", wanted).with("found", found)
}

fn may_be(low: &str, high: &str) -> Phrase {
    let low = Phrase::new("tree-may-be").with("low", Phrase::written(low));
    low.with("high", Phrase::written(high))
}

fn quantity_code(error: &QuantityError, otherwise: Code) -> Code {
    if error.is_wrong_dimension() {
        Code::WRONG_DIMENSION
    } else if error.is_out_of_range() {
        Code::OUT_OF_RANGE
    } else if error.is_missing_unit() {
        Code::MISSING_UNIT
    } else {
        otherwise
    }
}

/// "did you mean ...", or the words to choose from, each between two marks.
fn suggest<'a>(word: &str, names: impl Iterator<Item = &'a str> + Clone, mark: char) -> Phrase {
    if let Some(near) = nearest(word, names.clone()) {
        return Phrase::new("did-you-mean").with("nearest", format!("{mark}{near}{mark}"));
    }
    let mut listed: Vec<String> =
        names.clone().take(MOST_LISTED).map(|name| format!("{mark}{name}{mark}")).collect();
    if names.count() > MOST_LISTED {
        listed.push("…".to_owned());
    }
    if listed.is_empty() {
        Phrase::new("tree-none-there")
    } else {
        Phrase::new("tree-possible").with("list", listed.join(", "))
    }
}

/// The fields with the repeated ones reported and left out.
fn distinct<'a>(
    fields: &'a [Field],
    code: Code,
    mark: char,
    report: &mut Reporter<'_>,
) -> Vec<&'a Field> {
    let mut first: BTreeMap<&str, Span> = BTreeMap::new();
    let mut kept = Vec::with_capacity(fields.len());
    for field in fields {
        if let Some(earlier) = first.get(field.key.as_str()) {
            let name = format!("{mark}{}{mark}", field.key);
            let message = Phrase::new("tree-twice").with("name", name);
            let problem = Diagnostic::error(code, message)
                .label(Phrase::new("tree-again"))
                .related(*earlier, Phrase::new("tree-first"));
            report.push(field.key_span, problem);
        } else {
            first.insert(&field.key, field.key_span);
            kept.push(field);
        }
    }
    kept
}

/// The fields of a record being taken one by one; what nobody asked for is reported at the end.
#[derive(Debug)]
pub struct Fields<'a> {
    record: Record<'a>,
    left: BTreeMap<&'a str, &'a Field>,
    asked: Vec<&'static str>,
}

impl<'a> Fields<'a> {
    /// Opens a record; repeated fields are reported and their first value is used.
    pub fn open(node: &'a Node, report: &mut Reporter<'_>) -> Option<Self> {
        let record = node.as_record(report)?;
        let left = distinct(record.fields, Code::DUPLICATE_FIELD, '`', report);
        let left = left.into_iter().map(|field| (field.key.as_str(), field)).collect();
        Some(Fields { record, left, asked: Vec::new() })
    }

    /// The record.
    #[must_use]
    pub fn record(&self) -> Record<'a> {
        self.record
    }

    /// The value of a field that may be missing; `None` written out counts as missing.
    pub fn take(&mut self, key: &'static str) -> Option<&'a Node> {
        self.asked.push(key);
        let node = &self.left.remove(key)?.value;
        (node.value != Value::Nothing).then_some(node)
    }

    /// The value of a field that must be there; `example` is a value as one would write it.
    pub fn need(
        &mut self,
        key: &'static str,
        example: impl Into<Gap>,
        report: &mut Reporter<'_>,
    ) -> Option<&'a Node> {
        let found = self.take(key);
        if found.is_none() {
            let message = match self.record.name {
                Some((name, _)) => Phrase::new("tree-lacks").with("name", name),
                None => Phrase::new("tree-missing"),
            };
            let message = message.with("field", key);
            let help = Phrase::new("tree-add").with("field", key).with("example", example);
            report.error(Code::MISSING_FIELD, self.record.head(), message, help);
        }
        found
    }

    /// Checks the field `format`, which says how the file is written.
    pub fn format(&mut self, read: u64, report: &mut Reporter<'_>) {
        let Some(node) = self.need("format", read.to_string(), report) else { return };
        match node.as_whole(&mut report.about("`format`")) {
            Some(written) if written != read => report.error(
                Code::WRONG_FORMAT,
                node.span,
                Phrase::new("tree-format").with("format", written.to_string()),
                Phrase::new("tree-reads-format").with("format", read.to_string()),
            ),
            _ => {}
        }
    }

    /// The text of a field that may be missing.
    pub fn text(&mut self, key: &'static str, report: &mut Reporter<'_>) -> Option<String> {
        let text = self.take(key)?.as_text(&mut report.about(&format!("`{key}`")))?;
        Some(text.to_owned())
    }

    /// The texts of a field, each with its node; none if it is missing.
    pub fn texts(
        &mut self,
        key: &'static str,
        report: &mut Reporter<'_>,
    ) -> Vec<(&'a str, &'a Node)> {
        let node = self.take(key);
        node.and_then(|node| node.as_texts(&mut report.about(&format!("`{key}`"))))
            .unwrap_or_default()
    }

    /// The values of a list; none if it is missing.
    pub fn list(&mut self, key: &'static str, report: &mut Reporter<'_>) -> &'a [Node] {
        let node = self.take(key);
        node.and_then(|node| node.as_list(&mut report.about(&format!("`{key}`"))))
            .unwrap_or_default()
    }

    /// The quantity of a field that may be missing, between two limits.
    pub fn quantity(
        &mut self,
        key: &'static str,
        wanted: Dimension,
        limits: (&str, &str),
        report: &mut Reporter<'_>,
    ) -> Option<f64> {
        self.take(key)?.as_quantity_within(wanted, limits, &mut report.about(&format!("`{key}`")))
    }

    /// Reports every field that was not asked for.
    pub fn finish(self, report: &mut Reporter<'_>) {
        for field in self.left.values() {
            let message = match self.record.name {
                Some((name, _)) => Phrase::new("tree-unknown-in").with("name", name),
                None => Phrase::new("tree-unknown"),
            };
            let message = message.with("field", field.key.as_str());
            let help = suggest(&field.key, self.asked.iter().copied(), '`');
            report.error(Code::UNKNOWN_FIELD, field.key_span, message, help);
        }
    }
}
