//! Lines, as authored and as laid: what meets in one volume, and what fills it.

use std::collections::BTreeMap;

use crate::diagnostic::{Code, Reporter, Span};
use crate::fluid::{Medium, Volume};
use crate::language::Phrase;
use crate::quantity::Dimension;

use super::super::assembly::Assembly;
use super::super::catalogue;
use super::super::netlist::Point;
use super::super::tree::{self, Node};
use super::{Authored, near_tag};

/// An authored line.
pub(super) struct Line {
    pub name: String,
    pub ports: Vec<(Point, Span)>,
    pub litres_m3: f64,
    pub test_point: Option<String>,
}

pub(super) fn read_lines(nodes: &[Node], report: &mut Reporter) -> Vec<Line> {
    let mut list: Vec<Line> = Vec::new();
    for node in nodes {
        let Some(mut fields) = tree::Fields::open(node, report) else { continue };
        let name = fields.text("name", report);
        let written = fields
            .need("ports", "[\"M1:P\", \"1V1:P\"]", report)
            .and_then(|node| node.as_texts(&mut report.about("`ports`")));
        let volume = fields.quantity("volume", Dimension::Volume, ("0.1 cm3", "10 m3"), report);
        let test_point = fields.text("test_point", report);
        fields.finish(report);
        let Some(written) = written else { continue };
        if written.is_empty() {
            report.error(
                Code::EMPTY,
                node.span,
                Phrase::new("bench-line-empty"),
                Phrase::written("ports: [\"M1:P\", \"1V1:P\"]"),
            );
            continue;
        }
        let mut ports: Vec<(Point, Span)> = Vec::new();
        for (text, node) in written {
            match Point::parse(text) {
                Some(point) => ports.push((point, node.span)),
                None => report.error(
                    Code::UNKNOWN_PORT,
                    node.span,
                    Phrase::new("bench-no-port-name").with("written", text),
                    Phrase::new("bench-write-port"),
                ),
            }
        }
        let Some(first) = ports.first() else { continue };
        let name = name.unwrap_or_else(|| first.0.to_string());
        list.push(Line { name, ports, litres_m3: volume.unwrap_or(1e-4), test_point });
    }
    list
}

/// What fills `line`: air if a part for air is joined to it, else oil.
fn medium_of(
    assembly: &Assembly,
    parts: &[Authored],
    line: &Line,
    report: &mut Reporter,
) -> Medium {
    let of = |point: &Point| {
        let part = parts.iter().find(|p| p.fields.tag() == point.tag)?;
        catalogue::is_air(part.class)
    };
    let first = |air: bool| line.ports.iter().find(|(p, _)| of(p) == Some(air));
    match (first(true), first(false)) {
        (Some((air, span)), Some((oil, _))) => {
            report.error(
                Code::OIL_MEETS_AIR,
                *span,
                Phrase::new("bench-oil-air")
                    .with("line", line.name.as_str())
                    .with("oil", oil.to_string())
                    .with("air", air.to_string()),
                Phrase::new("bench-own-lines"),
            );
            Medium::AIR
        }
        (Some(_), None) => Medium::AIR,
        _ => assembly.oil.medium,
    }
}

/// Makes a volume of every line and joins its ports to it.
pub(super) fn lay_lines(
    assembly: &mut Assembly,
    parts: &[Authored],
    lines: &[Line],
    report: &mut Reporter,
) {
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    for line in lines {
        let tank = line
            .ports
            .iter()
            .any(|(p, _)| parts.iter().any(|q| q.fields.tag() == p.tag && q.class.name == "Tank"));
        let medium = medium_of(assembly, parts, line, report);
        let make = Volume { still_m3: line.litres_m3, medium };
        let id = assembly.plan.volume(&line.name, make, tank.then_some(0.0));
        if let Some(point) = &line.test_point {
            assembly.plan.test_point(point, id);
        }
        for (point, span) in &line.ports {
            let Some(part) = parts.iter().find(|p| p.fields.tag() == point.tag) else {
                report.error(
                    Code::UNKNOWN_TAG,
                    *span,
                    Phrase::new("bench-no-part").with("tag", point.tag.as_str()),
                    near_tag(&point.tag, parts),
                );
                continue;
            };
            let known = (part.class.port_list)(&part.fields);
            if !known.contains(&point.marking)
                && (part.class.terminal_list)(&part.fields).contains(&point.marking)
            {
                report.error(
                    Code::WRONG_KIND_OF_END,
                    *span,
                    Phrase::new("bench-is-terminal").with("point", point.to_string()),
                    Phrase::new("bench-join-terminals"),
                );
                continue;
            }
            if !known.contains(&point.marking) {
                report.error(
                    Code::UNKNOWN_PORT,
                    *span,
                    Phrase::new("bench-no-port")
                        .with("tag", point.tag.as_str())
                        .with("port", point.marking.as_str()),
                    if known.is_empty() {
                        Phrase::new("bench-portless")
                    } else {
                        Phrase::new("bench-ports").with("list", known.join(", "))
                    },
                );
                continue;
            }
            if let Some(other) = seen.insert(point.to_string(), line.name.clone()) {
                report.error(
                    Code::PORT_JOINED_TWICE,
                    *span,
                    Phrase::new("bench-joined-twice")
                        .with("point", point.to_string())
                        .with("first", other)
                        .with("second", line.name.as_str()),
                    Phrase::new("bench-one-line"),
                );
                continue;
            }
            assembly.join(&point.tag, &point.marking, id);
        }
    }
    for part in parts {
        for port in (part.class.port_list)(&part.fields) {
            let point = Point { tag: part.fields.tag().to_owned(), marking: port };
            // An exhaust stands open, and so does the far side of a spring-returned cylinder.
            let open = catalogue::opens_to_air(part.class.name, &point.marking)
                || catalogue::may_be_plugged(part.class.name, &point.marking)
                || (point.marking == "B"
                    && part.fields.optional("spring").is_some_and(|n| n > 0.0));
            if !seen.contains_key(&point.to_string()) && !open {
                report.warning(
                    Code::PORT_LEFT_OPEN,
                    part.fields.span,
                    Phrase::new("bench-plugged").with("point", point.to_string()),
                    Phrase::new("bench-add-to-line"),
                );
            }
        }
    }
}
