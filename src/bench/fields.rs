//! The fields of one authored part, read and checked against its class.

use std::collections::{BTreeMap, BTreeSet};

use crate::base::SimTime;
use crate::diagnostic::{Code, Reporter, Span};
use crate::language::Phrase;
use crate::quantity::{self, Dimension, Supply};

use super::catalogue::{ClassSpec, FieldKind, FieldSpec, TITLE};
use super::tree::{self, Node};

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
    /// Fields that are written, and as they should be.
    sound: BTreeSet<&'static str>,
}

impl Fields {
    /// Reads the fields of the part `tag` of `class` from `node`, the tag standing at `span`;
    /// problems go to `report`, and the default, or the least harmful value, stands in for what
    /// could not be read.
    pub fn read(
        tag: &str,
        class: &'static ClassSpec,
        node: &Node,
        span: Span,
        report: &mut Reporter,
    ) -> Fields {
        let report = &mut report.about(tag);
        let mut fields = Fields {
            tag: tag.to_owned(),
            span,
            values: BTreeMap::new(),
            spans: BTreeMap::new(),
            sound: BTreeSet::new(),
        };
        let mut open = tree::Fields::open(node, report);
        for spec in class.fields.iter().chain(std::iter::once(&TITLE)) {
            let given = open.as_mut().and_then(|open| match spec.default {
                None => open.need(spec.name, example_of(spec), report),
                Some(_) => open.take(spec.name),
            });
            let held = given.and_then(|node| {
                fields.spans.insert(spec.name, node.span);
                read_value(spec, node, &mut report.about(&format!("`{}`", spec.name)))
            });
            if held.is_some() {
                fields.sound.insert(spec.name);
            }
            fields.values.insert(spec.name, held.unwrap_or_else(|| default_of(spec)));
        }
        if let Some(open) = open {
            open.finish(report);
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

    /// Whether field `name` is written, and as it should be.
    #[must_use]
    pub fn is_sound(&self, name: &str) -> bool {
        self.sound.contains(name)
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

/// What may be written into a field, and what it is for.
fn example_of(spec: &FieldSpec) -> Phrase {
    let of = |id: &'static str, value: &str| Phrase::new(id).with("value", value);
    let value = match spec.kind {
        FieldKind::Quantity(dimension, low, high) => {
            of("tree-range", &format!("\"{}\"", dimension.example()))
                .with("low", Phrase::written(low))
                .with("high", Phrase::written(high))
        }
        FieldKind::Supply => Phrase::written("\"24 V DC\""),
        FieldKind::Choice(list) => any_of(list.iter().map(|choice| format!("\"{choice}\""))),
        FieldKind::Flag => Phrase::written("true"),
        FieldKind::Count(low, high) => {
            Phrase::new("tree-up-to").with("low", low.to_string()).with("high", high.to_string())
        }
        FieldKind::Part(classes) => of("tree-part", "\"...\"").with("classes", any_of(classes)),
        FieldKind::Parts(classes) => {
            of("tree-each-part", "[\"...\"]").with("classes", any_of(classes))
        }
        FieldKind::Words => Phrase::written("[\"...\"]"),
        FieldKind::Text => Phrase::written("\"...\""),
        FieldKind::Contacts => Phrase::written("[\"13-14\", \"21-22\"]"),
        FieldKind::Curve => Phrase::written("[\"120 mm 0 kN\", \"180 mm 40 kN\"]"),
    };
    let about = Phrase::new("tree-about").with("value", value);
    about.with("about", Phrase::new(about_id(spec)))
}

/// Id of the message that says what a field that must be given is for.
fn about_id(spec: &FieldSpec) -> String {
    let words = spec.about.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty());
    format!("field-{}", words.collect::<Vec<_>>().join("-").to_ascii_lowercase())
}

/// The names with "or" between them.
pub(super) fn any_of(names: impl IntoIterator<Item = impl ToString>) -> Phrase {
    let mut names = names.into_iter().map(|name| Phrase::written(name.to_string()));
    let first = names.next().unwrap_or_else(|| Phrase::written(""));
    names.fold(first, |all, name| Phrase::new("tree-or").with("one", all).with("other", name))
}

fn read_value(spec: &FieldSpec, node: &Node, report: &mut Reporter) -> Option<Held> {
    Some(match spec.kind {
        FieldKind::Quantity(dimension, low, high) => {
            Held::Number(node.as_quantity_within(dimension, (low, high), report)?)
        }
        FieldKind::Supply => Held::Supply(node.as_supply(report)?),
        FieldKind::Choice(list) => {
            Held::Word(node.as_choice(list, Code::UNKNOWN_CHOICE, report)?.to_owned())
        }
        FieldKind::Flag => Held::Flag(node.as_flag(report)?),
        FieldKind::Text | FieldKind::Part(_) => Held::Word(node.as_text(report)?.to_owned()),
        FieldKind::Count(low, high) => {
            Held::Number(node.as_count(low.into(), high.into(), report)? as f64)
        }
        FieldKind::Parts(_) | FieldKind::Words => {
            let list = node.as_texts(report)?;
            Held::Words(list.into_iter().map(|(text, _)| text.to_owned()).collect())
        }
        FieldKind::Contacts => Held::Words(contacts(&node.as_texts(report)?, report)),
        FieldKind::Curve => Held::Curve(curve(&node.as_texts(report)?, report)?),
    })
}

/// Contact markings of the form `13-14`, by the function digits of IEC 60947-5-1.
fn contacts(list: &[(&str, &Node)], report: &mut Reporter) -> Vec<String> {
    let mut good: Vec<String> = Vec::new();
    for (marking, node) in list {
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
                node.span,
                Phrase::new("tree-contact").with("written", *marking),
                Phrase::new("tree-contact-as"),
            );
        } else if good.iter().any(|other| other == marking) {
            report.error(
                Code::DUPLICATE_FIELD,
                node.span,
                Phrase::new("tree-contact-twice").with("contact", *marking),
                Phrase::new("tree-contact-own"),
            );
        } else {
            good.push((*marking).to_owned());
        }
    }
    good
}

fn curve(list: &[(&str, &Node)], report: &mut Reporter) -> Option<Vec<(f64, f64)>> {
    let mut points: Vec<(f64, f64)> = Vec::new();
    for (text, node) in list {
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
                    Code::INCONSISTENT_VALUES,
                    node.span,
                    Phrase::new("tree-curve-order").with("written", *text),
                    Phrase::new("tree-curve-rising"),
                );
                return None;
            }
            None => {
                report.error(
                    Code::BAD_QUANTITY,
                    node.span,
                    Phrase::new("tree-curve-point").with("written", *text),
                    Phrase::new("tree-curve-units"),
                );
                return None;
            }
        }
    }
    Some(points)
}

#[cfg(test)]
mod tests {
    use super::super::catalogue;
    use super::*;
    use crate::language::{Language, Words};

    #[test]
    fn every_field_that_must_be_given_says_what_it_is_for() {
        let all = catalogue::classes().flat_map(|class| class.fields);
        let missing: BTreeSet<&str> = all
            .filter(|spec| spec.default.is_none())
            .filter(|spec| {
                let id = about_id(spec);
                let said = Words::of(Language::English).say(&id);
                said != spec.about || !Words::of(Language::German).has(&id)
            })
            .map(|spec| spec.about)
            .collect();
        assert!(missing.is_empty(), "{missing:?}");
    }
}
