//! Wires and rungs, as authored: what joins which terminals.

use std::collections::BTreeMap;

use crate::diagnostic::{Code, Reporter, Span};
use crate::electric::tables::flexible_conductor_ohm;
use crate::language::Phrase;
use crate::quantity::Dimension;

use super::super::netlist::{self, Join, Point};
use super::super::tree::{self, Node, Value};
use super::{Authored, near_tag};

/// A wire with its length and section, if they are written.
pub(super) struct Wire {
    pub join: Join,
    pub section_mm2: f64,
    pub ohm: f64,
    /// To the live conductor, and as much again to earthed metal [F].
    pub farad: f64,
}

/// Capacitance of a control wire in its duct, to the live conductor and to earthed metal, each
/// [F/m]: a usual size (common practice, no source).
const WIRE_FARAD_PER_M: f64 = 60e-12;

/// Cross-section of a control wire [mm2], where none is written.
const USUAL_MM2: f64 = 0.75;

/// Resistance of a wire of usual length: 2 m of 0.75 mm2.
fn usual_wire_ohm() -> f64 {
    flexible_conductor_ohm(USUAL_MM2, 2.0)
}

/// Parts with their terminals, against which the ends of wires are checked.
struct Panel<'p> {
    parts: &'p [Authored],
    terminals: BTreeMap<&'p str, Vec<String>>,
}

impl<'p> Panel<'p> {
    fn new(parts: &'p [Authored]) -> Self {
        let terminals = parts
            .iter()
            .map(|part| (part.fields.tag(), (part.class.terminal_list)(&part.fields)))
            .collect();
        Panel { parts, terminals }
    }

    fn knows(&self, point: &Point) -> bool {
        point.to_string() == "PE:PE"
            || self
                .terminals
                .get(point.tag.as_str())
                .is_some_and(|list| list.contains(&point.marking))
    }

    /// Reports an end that is no terminal of the bench.
    fn check(&self, point: &Point, span: Span, report: &mut Reporter) {
        if self.knows(point) {
            return;
        }
        let Some(known) = self.terminals.get(point.tag.as_str()) else {
            report.error(
                Code::UNKNOWN_TAG,
                span,
                Phrase::new("bench-no-part").with("tag", point.tag.as_str()),
                near_tag(&point.tag, self.parts),
            );
            return;
        };
        let ports = self
            .parts
            .iter()
            .find(|p| p.fields.tag() == point.tag)
            .map(|p| (p.class.port_list)(&p.fields))
            .unwrap_or_default();
        if ports.contains(&point.marking) {
            report.error(
                Code::WRONG_KIND_OF_END,
                span,
                Phrase::new("bench-is-port").with("point", point.to_string()),
                Phrase::new("bench-join-ports"),
            );
        } else {
            report.error(
                Code::UNKNOWN_TERMINAL,
                span,
                Phrase::new("bench-no-terminal")
                    .with("tag", point.tag.as_str())
                    .with("terminal", point.marking.as_str()),
                if known.is_empty() {
                    Phrase::new("bench-terminalless")
                } else {
                    Phrase::new("bench-terminals").with("list", known.join(", "))
                },
            );
        }
    }

    /// The terminal a text names; reported if it is none.
    fn end(&self, node: &Node, code: Code, report: &mut Reporter) -> Option<Point> {
        let text = node.as_text(report)?;
        let point = Point::parse(text);
        match &point {
            Some(point) => self.check(point, node.span, report),
            None => report.error(
                code,
                node.span,
                Phrase::new("bench-no-terminal-name").with("written", text),
                Phrase::new("bench-write-terminal"),
            ),
        }
        point
    }
}

pub(super) fn read_joins(
    wires: &[Node],
    rungs: &[Node],
    parts: &[Authored],
    report: &mut Reporter,
) -> Vec<Wire> {
    let panel = Panel::new(parts);
    let mut list: Vec<Wire> = Vec::new();
    for node in wires {
        list.extend(read_wire(node, &panel, report));
    }
    for node in rungs {
        read_rung(node, &panel, &mut list, report);
    }
    // What was reported above is left out.
    list.retain(|wire| panel.knows(&wire.join.from) && panel.knows(&wire.join.to));
    list
}

fn read_wire(node: &Node, panel: &Panel, report: &mut Reporter) -> Option<Wire> {
    let wire = if let Value::Text(text) = &node.value {
        let mut ends = Vec::new();
        let mut at = 0;
        for word in text.split_whitespace() {
            let start = text[at..].find(word).map_or(at, |found| at + found);
            at = start + word.len();
            ends.push((Point::parse(word), node.inner_span(start, at)));
        }
        let [(Some(from), from_span), (Some(to), to_span)] = ends.as_slice() else {
            report.error(
                Code::WIRE_TO_NOWHERE,
                node.span,
                Phrase::new("bench-no-wire").with("written", text.as_str()),
                Phrase::new("bench-write-wire"),
            );
            return None;
        };
        panel.check(from, *from_span, report);
        panel.check(to, *to_span, report);
        let join = Join { from: from.clone(), to: to.clone(), span: node.span };
        let (ohm, farad) = (usual_wire_ohm(), 2.0 * WIRE_FARAD_PER_M);
        Wire { join, section_mm2: USUAL_MM2, ohm, farad }
    } else {
        let mut fields = tree::Fields::open(node, report)?;
        let mut end = |key, example| {
            let node = fields.need(key, example, report)?;
            panel.end(node, Code::WIRE_TO_NOWHERE, report)
        };
        let (from, to) = (end("from", "\"G1:+\""), end("to", "\"F1:1\""));
        let metres = fields.quantity("length", Dimension::Length, ("10 mm", "2000 m"), report);
        let section =
            fields.quantity("section", Dimension::WireSection, ("0.05 mm2", "300 mm2"), report);
        let farad =
            fields.quantity("capacitance", Dimension::Capacitance, ("0 pF", "1 uF"), report);
        fields.finish(report);
        let join = Join { from: from?, to: to?, span: node.span };
        let metres = metres.unwrap_or(2.0);
        let section_mm2 = section.map_or(USUAL_MM2, |m2| m2 * 1e6);
        let ohm = flexible_conductor_ohm(section_mm2, metres);
        Wire { join, section_mm2, ohm, farad: farad.unwrap_or(metres * WIRE_FARAD_PER_M) }
    };
    if wire.join.from == wire.join.to {
        report.error(
            Code::WIRE_TO_NOWHERE,
            node.span,
            Phrase::new("bench-one-end").with("point", wire.join.from.to_string()),
            Phrase::new("bench-two-ends"),
        );
        return None;
    }
    Some(wire)
}

fn read_rung(node: &Node, panel: &Panel, list: &mut Vec<Wire>, report: &mut Reporter) {
    let Some(mut fields) = tree::Fields::open(node, report) else { return };
    let mut end = |key, example| {
        let node = fields.need(key, example, report)?;
        panel.end(node, Code::RUNG_SYNTAX, report)
    };
    let (from, to) = (end("from", "\"F1:2\""), end("to", "\"G1:-\""));
    let path = fields.need("path", "\"S1:13-14, K1:A1-A2\"", report);
    let _ = fields.text("note", report);
    fields.finish(report);
    let Some(path) = path else { return };
    let Some(text) = path.as_text(&mut report.about("`path`")) else { return };
    let steps = match netlist::parse_path(text) {
        Ok(steps) => steps,
        Err(problem) => {
            report.error(
                Code::RUNG_SYNTAX,
                path.inner_span(problem.at, problem.at + 1),
                problem.message,
                Phrase::new("bench-path-as")
                    .with("example", "\"S0:21-22, (S1:13-14 | K1:13-14), K1:A1-A2\""),
            );
            return;
        }
    };
    let elements = netlist::elements(&steps);
    for element in &elements {
        let span = path.inner_span(element.at, element.at + element.length);
        panel.check(&element.enter, span, report);
        panel.check(&element.leave, span, report);
    }
    let loads = [
        "Relay",
        "Lamp",
        "Valve",
        "AirValve",
        "TwoStageValve",
        "PoppetValve",
        "MotorStarter",
        "LatchingRelay",
        "Counter",
        "TwoHand",
    ];
    let is_load = |element: &&netlist::PathElement| {
        // What is not there may have been meant as one.
        let part = panel.parts.iter().find(|p| p.fields.tag() == element.enter.tag);
        let input = |m: &str| part.is_some_and(|p| p.class.name == "Plc") && m.starts_with('I');
        !panel.knows(&element.enter)
            || !panel.knows(&element.leave)
            || input(&element.enter.marking)
            || input(&element.leave.marking)
            || part.is_some_and(|part| {
                let contact = element.enter.marking.bytes().all(|byte| byte.is_ascii_digit());
                loads.contains(&part.class.name) && !contact
            })
    };
    if !elements.iter().any(is_load) {
        report.warning(
            Code::RUNG_WITHOUT_LOAD,
            path.span,
            Phrase::new("bench-no-load"),
            Phrase::new("bench-end-in-load"),
        );
    }
    if let (Some(from), Some(to)) = (from, to) {
        for join in netlist::wires(&from, &to, &steps, path.span) {
            let farad = 2.0 * WIRE_FARAD_PER_M;
            list.push(Wire { join, section_mm2: USUAL_MM2, ohm: usual_wire_ohm(), farad });
        }
    }
}
