//! The fields of one authored part, read and checked against its class.

use std::collections::BTreeMap;

use crate::base::{SimTime, nearest};
use crate::diagnostic::{Code, Span};
use crate::quantity::{self, Dimension, Supply};

use super::catalogue::{ClassSpec, FieldKind, FieldSpec, TITLE};
use super::report::Reporter;
use super::tree::{Field, Node, Value};

/// What a field was read as.
#[derive(Clone, Debug, PartialEq)]
enum Held {
    Absent,
    Number(f64),
    Supply(Supply),
    Word(String),
    Flag(bool),
    Words(Vec<String>),
    Curve(Vec<(f64, f64)>),
}

/// The fields of one part, defaults filled in.
#[derive(Clone, Debug)]
pub struct Fields {
    tag: String,
    /// Where the part stands in the file.
    pub span: Span,
    values: BTreeMap<&'static str, Held>,
    spans: BTreeMap<&'static str, Span>,
}

impl Fields {
    /// Reads the fields of the part `tag` of `class`; problems go to `report`, and the default, or
    /// the least harmful value, stands in for what could not be read.
    pub fn read(
        tag: &str,
        class: &'static ClassSpec,
        written: &[Field],
        span: Span,
        report: &mut Reporter,
    ) -> Fields {
        let mut fields =
            Fields { tag: tag.to_owned(), span, values: BTreeMap::new(), spans: BTreeMap::new() };
        let specs = || class.fields.iter().chain(std::iter::once(&TITLE));
        for (at, given) in written.iter().enumerate() {
            if written[..at].iter().any(|other| other.key == given.key) {
                report.error(
                    Code::DUPLICATE_FIELD,
                    given.key_span,
                    format!("{tag}: `{}` is written twice", given.key),
                    "remove one of the two",
                );
                continue;
            }
            match specs().find(|spec| spec.name == given.key) {
                Some(spec) => {
                    fields.spans.insert(spec.name, given.value.span);
                    if let Some(held) = read_value(spec, &given.value, tag, report) {
                        fields.values.insert(spec.name, held);
                    }
                }
                None => {
                    let help = match nearest(&given.key, specs().map(|s| s.name)) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!(
                            "a {} has: {}",
                            class.name,
                            specs().map(|s| s.name).collect::<Vec<_>>().join(", ")
                        ),
                    };
                    report.error(
                        Code::UNKNOWN_FIELD,
                        given.key_span,
                        format!("{tag}: a {} has no field `{}`", class.name, given.key),
                        help,
                    );
                }
            }
        }
        for spec in specs() {
            if fields.values.contains_key(spec.name) {
                continue;
            }
            if spec.default.is_none() && !fields.spans.contains_key(spec.name) {
                report.error(
                    Code::MISSING_FIELD,
                    span,
                    format!("{tag}: the field `{}` is missing", spec.name),
                    format!("{}; {}", spec.about, example_of(spec)),
                );
            }
            fields.values.insert(spec.name, default_of(spec));
        }
        fields
    }

    /// Tag of the part.
    #[must_use]
    pub fn tag(&self) -> &str {
        &self.tag
    }

    /// Where field `name` stands, or the part if it is not written.
    #[must_use]
    pub fn span_of(&self, name: &str) -> Span {
        self.spans.get(name).copied().unwrap_or(self.span)
    }

    fn held(&self, name: &str) -> &Held {
        self.values.get(name).unwrap_or(&Held::Absent)
    }

    /// A quantity in SI units; NaN never.
    #[must_use]
    pub fn quantity(&self, name: &str) -> f64 {
        self.optional(name).unwrap_or(0.0)
    }

    /// A quantity in SI units, if written.
    #[must_use]
    pub fn optional(&self, name: &str) -> Option<f64> {
        match self.held(name) {
            Held::Number(value) => Some(*value),
            _ => None,
        }
    }

    /// A time.
    #[must_use]
    pub fn time(&self, name: &str) -> SimTime {
        SimTime::from_secs_f64_up(self.quantity(name))
    }

    /// A supply.
    #[must_use]
    pub fn supply(&self, name: &str) -> Supply {
        match self.held(name) {
            Held::Supply(supply) => *supply,
            _ => Supply::dc(24.0),
        }
    }

    /// Free text, empty if not written.
    #[must_use]
    pub fn text(&self, name: &str) -> String {
        match self.held(name) {
            Held::Word(word) => word.clone(),
            _ => String::new(),
        }
    }

    /// The chosen word, empty if not written.
    #[must_use]
    pub fn choice(&self, name: &str) -> String {
        self.text(name)
    }

    /// A flag.
    #[must_use]
    pub fn flag(&self, name: &str) -> bool {
        matches!(self.held(name), Held::Flag(true))
    }

    /// The tag of another part, if written.
    #[must_use]
    pub fn part(&self, name: &str) -> Option<String> {
        match self.held(name) {
            Held::Word(word) if !word.is_empty() => Some(word.clone()),
            _ => None,
        }
    }

    /// Tags of other parts.
    #[must_use]
    pub fn parts(&self, name: &str) -> Vec<String> {
        self.contacts(name)
    }

    /// Contact markings.
    #[must_use]
    pub fn contacts(&self, name: &str) -> Vec<String> {
        match self.held(name) {
            Held::Words(list) => list.clone(),
            _ => Vec::new(),
        }
    }

    /// A curve of (position [m], force [N]).
    #[must_use]
    pub fn curve(&self, name: &str) -> Vec<(f64, f64)> {
        match self.held(name) {
            Held::Curve(points) => points.clone(),
            _ => Vec::new(),
        }
    }
}

/// The value that counts when `spec` is not written.
fn default_of(spec: &FieldSpec) -> Held {
    let text = spec.default.unwrap_or("");
    match spec.kind {
        FieldKind::Quantity(dimension, low, _) => {
            let text = if spec.default.is_none() { low } else { text };
            quantity::parse(text, dimension).map_or(Held::Absent, Held::Number)
        }
        FieldKind::Supply => Supply::parse(text).map_or(Held::Absent, Held::Supply),
        FieldKind::Choice(_) | FieldKind::Text | FieldKind::Part(_) => Held::Word(text.to_owned()),
        FieldKind::Flag => Held::Flag(text == "true"),
        FieldKind::Count(low, _) => Held::Number(text.parse().unwrap_or(f64::from(low))),
        FieldKind::Contacts | FieldKind::Parts(_) | FieldKind::Words => {
            Held::Words(text.split_whitespace().map(str::to_owned).collect())
        }
        FieldKind::Curve => Held::Absent,
    }
}

/// How to write a value of `spec`.
fn example_of(spec: &FieldSpec) -> String {
    match spec.kind {
        FieldKind::Quantity(dimension, low, high) => {
            format!("write {}: \"{}\" ({low} to {high})", spec.name, dimension.example())
        }
        FieldKind::Supply => format!("write {}: \"24 V DC\" or \"120 V AC 60 Hz\"", spec.name),
        FieldKind::Choice(list) => format!("write one of: {}", list.join(", ")),
        FieldKind::Flag => format!("write {}: true or false", spec.name),
        FieldKind::Count(low, high) => format!("write a whole number from {low} to {high}"),
        FieldKind::Part(classes) => {
            format!("write the tag of a part of class {}", classes.join(" or "))
        }
        FieldKind::Parts(classes) => {
            format!("write a list of tags of class {}", classes.join(" or "))
        }
        FieldKind::Words => format!("write {}: [\"...\"]", spec.name),
        FieldKind::Text => format!("write {}: \"...\"", spec.name),
        FieldKind::Contacts => format!("write {}: [\"13-14\", \"21-22\"]", spec.name),
        FieldKind::Curve => {
            format!("write {}: [\"120 mm 0 kN\", \"180 mm 40 kN\"]", spec.name)
        }
    }
}

fn wrong_type(spec: &FieldSpec, node: &Node, tag: &str, report: &mut Reporter) {
    report.error(
        Code::WRONG_TYPE,
        node.span,
        format!("{tag}: `{}` is not written as it should be", spec.name),
        example_of(spec),
    );
}

/// Texts of a list of texts, or of a single text.
fn texts(node: &Node) -> Option<Vec<(String, Span)>> {
    match &node.value {
        Value::Text(text) => Some(vec![(text.clone(), node.span)]),
        Value::List(items) => items
            .iter()
            .map(|item| match &item.value {
                Value::Text(text) => Some((text.clone(), item.span)),
                _ => None,
            })
            .collect(),
        _ => None,
    }
}

fn read_value(spec: &FieldSpec, node: &Node, tag: &str, report: &mut Reporter) -> Option<Held> {
    match (spec.kind, &node.value) {
        (FieldKind::Quantity(dimension, low, high), Value::Text(text)) => {
            quantity_within(text, dimension, low, high, node.span, tag, spec.name, report)
                .map(Held::Number)
        }
        (FieldKind::Quantity(dimension, low, high), Value::Number(_))
            if dimension.takes_plain_numbers() =>
        {
            let text = report.source_of(node.span);
            quantity_within(&text, dimension, low, high, node.span, tag, spec.name, report)
                .map(Held::Number)
        }
        (FieldKind::Supply, Value::Text(text)) => match Supply::parse(text) {
            Ok(supply) => Some(Held::Supply(supply)),
            Err(problem) => {
                report.error(
                    Code::BAD_SUPPLY,
                    node.span,
                    format!("{tag}: {problem}"),
                    example_of(spec),
                );
                None
            }
        },
        (FieldKind::Choice(list), Value::Text(text)) => {
            if list.contains(&text.as_str()) {
                return Some(Held::Word(text.clone()));
            }
            let help = match nearest(text, list.iter().copied()) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => example_of(spec),
            };
            report.error(
                Code::UNKNOWN_CHOICE,
                node.span,
                format!("{tag}: `{}` cannot be \"{text}\"", spec.name),
                help,
            );
            None
        }
        (FieldKind::Flag, Value::Flag(flag)) => Some(Held::Flag(*flag)),
        (FieldKind::Text | FieldKind::Part(_), Value::Text(text)) => Some(Held::Word(text.clone())),
        (FieldKind::Count(low, high), Value::Number(number)) => {
            let value = number.value;
            if value >= f64::from(low) && value <= f64::from(high) && value.fract() == 0.0 {
                return Some(Held::Number(value));
            }
            report.error(
                Code::OUT_OF_RANGE,
                node.span,
                format!("{tag}: `{}` is out of range", spec.name),
                example_of(spec),
            );
            None
        }
        (FieldKind::Parts(_) | FieldKind::Words, _) => match texts(node) {
            Some(list) => Some(Held::Words(list.into_iter().map(|(text, _)| text).collect())),
            None => {
                wrong_type(spec, node, tag, report);
                None
            }
        },
        (FieldKind::Contacts, _) => match texts(node) {
            Some(list) => Some(Held::Words(contacts(list, spec, tag, report))),
            None => {
                wrong_type(spec, node, tag, report);
                None
            }
        },
        (FieldKind::Curve, _) => match texts(node) {
            Some(list) => curve(list, spec, tag, report).map(Held::Curve),
            None => {
                wrong_type(spec, node, tag, report);
                None
            }
        },
        _ => {
            wrong_type(spec, node, tag, report);
            None
        }
    }
}

#[expect(clippy::too_many_arguments, reason = "a quantity, its limits and its place")]
fn quantity_within(
    text: &str,
    dimension: Dimension,
    low: &str,
    high: &str,
    span: Span,
    tag: &str,
    name: &str,
    report: &mut Reporter,
) -> Option<f64> {
    match quantity::parse(text, dimension) {
        Ok(value) => {
            let limit = |t: &str| quantity::parse(t, dimension).ok();
            let below = limit(low).is_some_and(|l| value < l - 1e-9 * l.abs());
            let above = limit(high).is_some_and(|h| value > h + 1e-9 * h.abs());
            if below || above {
                report.error(
                    Code::OUT_OF_RANGE,
                    span,
                    format!("{tag}: `{name}` is out of range"),
                    format!("it may be {low} to {high}"),
                );
                return None;
            }
            Some(value)
        }
        Err(problem) => {
            let code = if problem.is_wrong_dimension() {
                Code::WRONG_DIMENSION
            } else if problem.is_out_of_range() {
                Code::OUT_OF_RANGE
            } else {
                Code::BAD_QUANTITY
            };
            report.error(
                code,
                span,
                format!("{tag}: `{name}`: {problem}"),
                format!("write it as \"{}\"", dimension.example()),
            );
            None
        }
    }
}

/// Contact markings of the form `13-14`, by the function digits of IEC 60947-5-1.
fn contacts(
    list: Vec<(String, Span)>,
    spec: &FieldSpec,
    tag: &str,
    report: &mut Reporter,
) -> Vec<String> {
    let mut good: Vec<String> = Vec::new();
    for (marking, span) in list {
        let sound = marking.split_once('-').is_some_and(|(a, b)| {
            let digits =
                |t: &str| (1..=3).contains(&t.len()) && t.bytes().all(|byte| byte.is_ascii_digit());
            let pair = |t: &str, last: char| t.ends_with(last);
            digits(a)
                && digits(b)
                && a[..a.len() - 1] == b[..b.len() - 1]
                && ((pair(a, '1') && pair(b, '2')) || (pair(a, '3') && pair(b, '4')))
        });
        if !sound {
            report.error(
                Code::UNKNOWN_CHOICE,
                span,
                format!("{tag}: \"{marking}\" is no contact marking"),
                "normally closed contacts are marked x1-x2, normally open ones x3-x4, as in \
                 \"21-22\" and \"13-14\""
                    .to_owned(),
            );
        } else if good.contains(&marking) {
            report.error(
                Code::DUPLICATE_FIELD,
                span,
                format!("{tag}: the contact {marking} is written twice"),
                example_of(spec),
            );
        } else {
            good.push(marking);
        }
    }
    good
}

fn curve(
    list: Vec<(String, Span)>,
    spec: &FieldSpec,
    tag: &str,
    report: &mut Reporter,
) -> Option<Vec<(f64, f64)>> {
    let mut points: Vec<(f64, f64)> = Vec::new();
    for (text, span) in list {
        let words: Vec<&str> = text.split_whitespace().collect();
        let parsed = (words.len() == 4).then(|| {
            let position = quantity::parse(&words[..2].join(" "), Dimension::Length).ok()?;
            let force = quantity::parse(&words[2..].join(" "), Dimension::Force).ok()?;
            Some((position, force))
        });
        match parsed.flatten() {
            Some(point) if points.last().is_none_or(|last| point.0 > last.0) => points.push(point),
            Some(_) => {
                report.error(
                    Code::OUT_OF_RANGE,
                    span,
                    format!("{tag}: the positions of `{}` must rise", spec.name),
                    example_of(spec),
                );
                return None;
            }
            None => {
                report.error(
                    Code::BAD_QUANTITY,
                    span,
                    format!("{tag}: \"{text}\" is not a position and a force"),
                    example_of(spec),
                );
                return None;
            }
        }
    }
    Some(points)
}
