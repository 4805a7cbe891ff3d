//! A bench file becomes a plan, or a list of everything that is wrong with it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::base::nearest;
use crate::diagnostic::{Code, Diagnostics, Reporter, Span};
use crate::electric::tables::flexible_conductor_ohm;
use crate::fluid::{Medium, Volume};
use crate::plant::{BranchMake, BranchRole, Plan, PlanBuilder, PlanError};
use crate::plc::{Program, Terminals, compile};
use crate::quantity::{Dimension, SupplyKind};

use super::assembly::{Assembly, Oil};
use super::catalogue::{self, ClassSpec, FieldKind};
use super::fields::Fields;
use super::netlist::{self, Join, Point};
use super::tree::{self, Node, Value};

/// Format of bench files that this version reads.
pub const FORMAT: u64 = 1;

/// Most parts of a bench.
const PART_LIMIT: usize = 500;

/// A bench as loaded.
#[derive(Clone, Debug)]
pub struct Bench {
    /// The plan.
    pub plan: Plan,
    /// What the author says of it.
    pub note: String,
    /// Cautions the author gives, shown before anything else.
    pub cautions: Vec<String>,
    /// What the author wrote, for those who judge the design.
    pub authored: Sheet,
}

/// What the author wrote of parts and wires.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// The fields of each part, by tag.
    pub parts: BTreeMap<String, Fields>,
    /// Cross-section [mm2] of each wire, and where it stands, by tag.
    pub wires: BTreeMap<String, (f64, Span)>,
    /// The kind of pressure fluid.
    pub fluid: String,
    /// Advice that the author has weighed and does not follow.
    pub accepted: Vec<Accepted>,
}

/// Advice that is not followed.
#[derive(Clone, Debug, PartialEq)]
pub struct Accepted {
    /// Its code.
    pub code: Code,
    /// The part it is given for; every part if none is written.
    pub part: Option<String>,
    /// Why it is not followed.
    pub reason: String,
    /// Where it stands.
    pub span: Span,
}

/// An authored part before it is built.
struct Authored {
    class: &'static ClassSpec,
    fields: Fields,
}

/// An authored line.
struct Line {
    name: String,
    ports: Vec<(Point, Span)>,
    litres_m3: f64,
    test_point: Option<String>,
}

/// Loads the bench in `source`, named `file` in messages. Problems go to `out`; without errors
/// among them the bench comes back.
///
/// Programs of controllers must be written in the bench itself; see [`load_with`].
pub fn load(file: &str, source: &str, out: &mut Diagnostics) -> Option<Bench> {
    let mut none = |_: &str| Err("there is no folder to look in".to_owned());
    load_with(file, source, &mut none, out)
}

/// Gives the text of a file beside the bench, or says why it cannot be had.
pub type Beside<'a> = &'a mut dyn FnMut(&str) -> Result<String, String>;

/// Loads the bench in `source` as [`load`] does; `beside` gives the program files that it names.
pub fn load_with(file: &str, source: &str, beside: Beside, out: &mut Diagnostics) -> Option<Bench> {
    let mut found = Diagnostics::new();
    let bench = tree::parse(file, source, &mut found)
        .and_then(|root| read(&root, beside, &mut Reporter::new(file, &mut found)));
    let sound = !found.has_errors();
    out.extend(found);
    bench.filter(|_| sound)
}

fn read(root: &Node, beside: Beside, report: &mut Reporter) -> Option<Bench> {
    let mut top = tree::Fields::open(root, report)?;
    top.format(FORMAT, report);
    let name = top.text("name", report).unwrap_or_else(|| "bench".to_owned());
    let note = top.text("note", report).unwrap_or_default();
    let cautions = top.texts("cautions", report).iter().map(|(t, _)| (*t).to_owned()).collect();
    let ambient = top
        .quantity("ambient", Dimension::Temperature, ("-40 degC", "70 degC"), report)
        .unwrap_or(293.15);
    let (oil, fluid) = read_oil(top.take("oil"), report);
    let accepted = read_accepted(top.list("accepted", report), report);
    let parts = top
        .need("parts", "{ \"K1\": Relay(coil: \"24 V DC\"), \"H1\": Lamp() }", report)
        .map(|node| read_parts(node, report))
        .unwrap_or_default();
    let joins = read_joins(top.list("wires", report), top.list("rungs", report), &parts, report);
    let lines = read_lines(top.list("lines", report), report);
    top.finish(report);
    check_references(&parts, report);
    check_pairs(&parts, report);
    let programs = read_programs(&parts, beside, report);
    let plan = assemble(&name, ambient - 273.15, oil, &parts, programs, &joins, &lines, report)?;
    let wires = joins
        .iter()
        .enumerate()
        .map(|(k, wire)| (format!("W{}", k + 1), (wire.section_mm2, wire.join.span)))
        .collect();
    let parts = parts.into_iter().map(|p| (p.fields.tag().to_owned(), p.fields)).collect();
    let authored = Sheet { parts, wires, fluid, accepted };
    Some(Bench { plan, note, cautions, authored })
}

/// Advice that the author does not follow.
fn read_accepted(nodes: &[Node], report: &mut Reporter) -> Vec<Accepted> {
    let mut list = Vec::new();
    for node in nodes {
        let Some(mut fields) = tree::Fields::open(node, report) else { continue };
        let code = fields.need("code", "\"SB421\"", report);
        let part = fields.text("part", report);
        let reason = fields.need("reason", "\"oil is filtered while filling\"", report);
        fields.finish(report);
        let (Some(code), Some(reason)) = (code, reason) else { continue };
        let (Some(id), Some(reason)) = (
            code.as_text(&mut report.about("`code`")),
            reason.as_text(&mut report.about("`reason`")),
        ) else {
            continue;
        };
        match Code::find(id) {
            Some(code) if !reason.trim().is_empty() => {
                list.push(Accepted { code, part, reason: reason.to_owned(), span: node.span });
            }
            Some(_) => report.error(
                Code::EMPTY,
                node.span,
                format!("why {id} is not followed is not said"),
                "give the reason",
            ),
            None => report.error(
                Code::UNKNOWN_CODE,
                code.span,
                format!("there is no code {id}"),
                "write a code of `spoolbench lint`, such as \"SB421\"",
            ),
        }
    }
    list
}

/// Kinds of pressure fluid.
const FLUIDS: [&str; 4] = ["mineral oil", "water glycol", "phosphate ester", "polyol ester"];

fn read_oil(node: Option<&Node>, report: &mut Reporter) -> (Oil, String) {
    let usual = Oil { density: 870.0, medium: Medium::OIL };
    let Some(mut oil) = node.and_then(|node| tree::Fields::open(node, report)) else {
        return (usual, FLUIDS[0].to_owned());
    };
    let fluid = oil
        .take("fluid")
        .and_then(|n| n.as_choice(&FLUIDS, Code::UNKNOWN_CHOICE, &mut report.about("`fluid`")))
        .unwrap_or(FLUIDS[0])
        .to_owned();
    let density = oil.quantity("density", Dimension::Density, ("600 kg/m3", "1500 kg/m3"), report);
    let bulk_pa =
        oil.quantity("bulk_modulus", Dimension::BulkModulus, ("0.1 GPa", "5 GPa"), report);
    let free_air = oil.quantity("free_air", Dimension::Ratio, ("0 %", "20 %"), report);
    oil.finish(report);
    let made = Oil {
        density: density.unwrap_or(usual.density),
        medium: Medium::Oil {
            bulk_pa: bulk_pa.unwrap_or(1.4e9),
            free_air: free_air.unwrap_or(0.001),
        },
    };
    (made, fluid)
}

fn read_parts(node: &Node, report: &mut Reporter) -> Vec<Authored> {
    let Some(entries) = node.as_map(&mut report.about("`parts`")) else { return Vec::new() };
    let mut list: Vec<Authored> = Vec::new();
    if entries.is_empty() {
        report.error(
            Code::EMPTY,
            node.span,
            "this bench has no parts",
            "parts: { \"K1\": Relay(coil: \"24 V DC\"), \"H1\": Lamp() }",
        );
    }
    if entries.len() > PART_LIMIT {
        report.error(
            Code::TOO_MANY_PARTS,
            node.span,
            format!("{} parts are too many", entries.len()),
            format!("a bench has {PART_LIMIT} at the most"),
        );
        return list;
    }
    for entry in entries {
        let tag = &entry.key;
        if !sound_tag(tag) {
            report.error(
                Code::BAD_TAG,
                entry.key_span,
                format!("\"{tag}\" cannot be a tag"),
                "a tag is 1 to 16 letters, digits, dots or underscores, such as K1 or 1V1; W and a \
                 number are kept for wires",
            );
            continue;
        }
        let Some(record) = entry.value.as_record(&mut report.about(tag)) else { continue };
        let Some((name, name_span)) = record.name else {
            report.error(
                Code::WRONG_TYPE,
                record.head(),
                format!("{tag}: the class is missing"),
                format!("write it before the bracket: \"{tag}\": Relay(coil: \"24 V DC\")"),
            );
            continue;
        };
        let Some(class) = catalogue::class(name) else {
            let names = || catalogue::classes().map(|c| c.name);
            let help = match nearest(name, names()) {
                Some(near) => format!("did you mean {near}?"),
                None => format!("the classes are: {}", names().collect::<Vec<_>>().join(", ")),
            };
            report.error(
                Code::UNKNOWN_CLASS,
                name_span,
                format!("{tag}: there is no class {name}"),
                help,
            );
            continue;
        };
        let fields = Fields::read(tag, class, &entry.value, entry.key_span, report);
        list.push(Authored { class, fields });
    }
    list
}

fn sound_tag(tag: &str) -> bool {
    let wire = tag
        .strip_prefix('W')
        .is_some_and(|rest| !rest.is_empty() && rest.bytes().all(|b| b.is_ascii_digit()));
    !tag.is_empty()
        && tag.len() <= 16
        && !wire
        && tag.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '_'))
}

/// Compiles the programs of all controllers, by tag.
fn read_programs(
    parts: &[Authored],
    beside: Beside,
    report: &mut Reporter,
) -> BTreeMap<String, Arc<Program>> {
    let mut list = BTreeMap::new();
    for part in parts.iter().filter(|p| p.class.name == "Plc") {
        let f = &part.fields;
        let (inputs, outputs) = catalogue::controller::counts(f);
        let mut terminals = Terminals::new(inputs, outputs);
        for text in f.contacts("bind") {
            if let Err(why) = terminals.bind(&text) {
                report.error(
                    Code::PLC_ADDRESS,
                    f.span_of("bind"),
                    format!("{}: {why}", f.tag()),
                    "bind: [\"start = I0\", \"press = Q0\"]",
                );
            }
        }
        let (written, span) = (f.text("program"), f.span_of("program"));
        let plain = written.len() <= 128
            && !written.is_empty()
            && !written.contains(['/', '\\', ';', '\n', ' '])
            && written != "..";
        let (name, text) = if plain {
            match beside(&written) {
                Ok(text) => (written, text),
                Err(why) => {
                    report.error(
                        Code::PLC_NOT_FOUND,
                        span,
                        format!("{}: {written} cannot be read: {why}", f.tag()),
                        "name a file beside the bench, or write the program itself",
                    );
                    continue;
                }
            }
        } else {
            (report.file().to_owned(), written)
        };
        let mut found = Diagnostics::new();
        let program = compile(&name, &text, &terminals, &mut found);
        if plain {
            report.diagnostics().extend(found);
        } else if let Some(first) = found.iter().next() {
            // The text stands in the bench, where quotes and line ends are written otherwise.
            let more = found.len() - 1;
            report.error(
                first.code,
                span,
                format!("{}: program: {}; {more} more", f.tag(), first.message),
                "put the program into a file of its own to see each place",
            );
        }
        if let Some(program) = program {
            list.insert(f.tag().to_owned(), Arc::new(program));
        }
    }
    list
}

/// Checks the tags that parts refer to.
fn check_references(parts: &[Authored], report: &mut Reporter) {
    for part in parts {
        for spec in part.class.fields {
            let (classes, tags) = match spec.kind {
                FieldKind::Part(classes) => {
                    (classes, part.fields.part(spec.name).into_iter().collect())
                }
                FieldKind::Parts(classes) => (classes, part.fields.parts(spec.name)),
                _ => continue,
            };
            for tag in tags {
                let span = part.fields.span_of(spec.name);
                let owner = part.fields.tag();
                match parts.iter().find(|p| p.fields.tag() == tag) {
                    None => report.error(
                        Code::UNKNOWN_TAG,
                        span,
                        format!("{owner}: `{}` names {tag}, which is not on this bench", spec.name),
                        near_tag(&tag, parts),
                    ),
                    Some(other) if !classes.contains(&other.class.name) => report.error(
                        Code::WRONG_KIND_OF_END,
                        span,
                        format!(
                            "{owner}: `{}` cannot be the {} {tag}",
                            spec.name, other.class.name
                        ),
                        format!("it names a part of class {}", classes.join(" or ")),
                    ),
                    Some(_) => {}
                }
            }
        }
    }
}

/// Pairs of fields of which the first must be the smaller.
const RISING: &[(&str, &str, &str)] = &[
    ("Cylinder", "rod", "bore"),
    ("Cylinder", "start", "stroke"),
    ("AirCylinder", "rod", "bore"),
    ("AirCylinder", "start", "stroke"),
    ("LimitSwitch", "from", "to"),
    ("PressureSwitch", "fall", "rise"),
    ("VacuumSwitch", "lets_go", "acts"),
    ("Relief", "cracking", "setting"),
    ("Cylinder", "second_rod", "bore"),
    ("Unloading", "cut_in", "setting"),
    ("Reducing", "droop", "setting"),
    ("VariablePump", "band", "setting"),
];

/// Checks values that are possible each by itself, but not together.
fn check_pairs(parts: &[Authored], report: &mut Reporter) {
    for part in parts {
        let (fields, tag) = (&part.fields, part.fields.tag());
        for &(class, less, more) in RISING {
            if part.class.name != class || !fields.is_sound(less) || !fields.is_sound(more) {
                continue;
            }
            // A cylinder may start at the end of its stroke; the others must differ.
            let (low, high) = (fields.quantity(less), fields.quantity(more));
            if low > high || (low == high && less != "start") {
                report.error(
                    Code::INCONSISTENT_VALUES,
                    fields.span_of(less),
                    format!("{tag}: `{less}` and `{more}` contradict each other"),
                    format!("`{less}` must be the smaller"),
                );
            }
        }
        if !["Valve", "AirValve", "TwoStageValve"].contains(&part.class.name) {
            continue;
        }
        if fields.choice("tube_drain") == "port" && fields.choice("rest") != "spring offset" {
            report.error(
                Code::INCONSISTENT_VALUES,
                fields.span_of("tube_drain"),
                format!("{tag}: two solenoids cannot share a drained tube"),
                "drain tubes by a port on spring-offset valves only",
            );
        }
        for name in ["a", "b", "rest_joins", "centre_joins"] {
            for word in fields.text(name).split_whitespace().filter(|word| !word.contains('-')) {
                report.error(
                    Code::UNKNOWN_PORT,
                    fields.span_of(name),
                    format!("{tag}: `{name}`: \"{word}\" joins no two ports"),
                    "write pairs with a dash: \"P-A B-T\"",
                );
            }
        }
    }
}

fn near_tag(tag: &str, parts: &[Authored]) -> String {
    match nearest(tag, parts.iter().map(|p| p.fields.tag())) {
        Some(near) => format!("did you mean {near}?"),
        None => "add the part, or name another".to_owned(),
    }
}

/// A wire with its length and section, if they are written.
struct Wire {
    join: Join,
    section_mm2: f64,
    ohm: f64,
    /// To the live conductor, and as much again to earthed metal [F].
    farad: f64,
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
                format!("there is no part {} on this bench", point.tag),
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
                format!("{point} is a port; wires join terminals"),
                "join ports in `lines`",
            );
        } else {
            report.error(
                Code::UNKNOWN_TERMINAL,
                span,
                format!("{} has no terminal {}", point.tag, point.marking),
                if known.is_empty() {
                    "it has no terminals at all".to_owned()
                } else {
                    format!("its terminals are {}", known.join(", "))
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
                format!("\"{text}\" is no terminal"),
                "write the part and its terminal: \"F1:2\"",
            ),
        }
        point
    }
}

fn read_joins(
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
                format!("\"{text}\" is not a wire"),
                "write its two terminals: \"G1:+ F1:1\"",
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
            format!("both ends of this wire are {}", wire.join.from),
            "a wire joins two terminals",
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
                "as in \"S0:21-22, (S1:13-14 | K1:13-14), K1:A1-A2\"",
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
            "this rung has no load: it may short the supply when its contacts close",
            "end it in a coil or a lamp",
        );
    }
    if let (Some(from), Some(to)) = (from, to) {
        for join in netlist::wires(&from, &to, &steps, path.span) {
            let farad = 2.0 * WIRE_FARAD_PER_M;
            list.push(Wire { join, section_mm2: USUAL_MM2, ohm: usual_wire_ohm(), farad });
        }
    }
}

fn read_lines(nodes: &[Node], report: &mut Reporter) -> Vec<Line> {
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
                "this line joins nothing",
                "ports: [\"M1:P\", \"1V1:P\"]",
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
                    format!("\"{text}\" is no port"),
                    "write the part and its port: \"1V1:P\"",
                ),
            }
        }
        let Some(first) = ports.first() else { continue };
        let name = name.unwrap_or_else(|| first.0.to_string());
        list.push(Line { name, ports, litres_m3: volume.unwrap_or(1e-4), test_point });
    }
    list
}

#[expect(clippy::too_many_arguments, reason = "everything that a bench is made of")]
fn assemble(
    name: &str,
    ambient: f64,
    oil: Oil,
    parts: &[Authored],
    programs: BTreeMap<String, Arc<Program>>,
    wires: &[Wire],
    lines: &[Line],
    report: &mut Reporter,
) -> Option<Plan> {
    let mut assembly = Assembly::new(PlanBuilder::new(name, ambient), oil);
    assembly.programs = programs;
    lay_lines(&mut assembly, parts, lines, report);
    let mut order: Vec<&Authored> = parts.iter().collect();
    order.sort_by_key(|p| p.class.rank);
    for part in order {
        assembly.begin(&part.fields, part.class);
        (part.class.build)(&mut assembly, &part.fields);
    }
    for unknown in &assembly.unknown_ports {
        report.error(
            Code::UNKNOWN_PORT,
            unknown.span,
            format!("{}: {} joins a port the valve does not have", unknown.tag, unknown.pair),
            "name its ports in `ports`, or join others",
        );
    }
    for (k, wire) in wires.iter().enumerate() {
        let plan = assembly.plan.plan();
        let find = |p: &Point| {
            if p.to_string() == "PE:PE" {
                Some(PlanBuilder::EARTH)
            } else {
                plan.node(&p.to_string())
            }
        };
        let (Some(from), Some(to)) = (find(&wire.join.from), find(&wire.join.to)) else { continue };
        let tag = format!("W{}", k + 1);
        let title = format!("{} to {}", wire.join.from, wire.join.to);
        assembly.plan.part(&tag, "Wire", &title);
        assembly.plan.branch("core", BranchRole::Wire, from, to, BranchMake::ohm(wire.ohm));
        assembly.plan.branch(
            "insulation core",
            BranchRole::Insulation,
            to,
            PlanBuilder::EARTH,
            BranchMake::ohm(f64::INFINITY),
        );
        // Half at each end, so that a broken wire keeps its own on either side.
        assembly.plan.couple(from, 0.5 * wire.farad);
        assembly.plan.couple(to, 0.5 * wire.farad);
    }
    let (supplies, consumers) = (assembly.supplies, assembly.consumers);
    let plan = match assembly.plan.finish() {
        Ok(plan) => plan,
        Err(problem) => {
            let code = match problem {
                PlanError::MixedSupply { .. } => Code::MIXED_AC_DC,
                PlanError::TooLarge { .. } => Code::TOO_MANY_PARTS,
            };
            let span = parts.first().map_or(Span::new(0, 0), |p| p.fields.span);
            report.error(code, span, problem.to_string(), "keep the two apart with a relay");
            return None;
        }
    };
    // With a wire left out after a mistake, these would only follow from it.
    let sound = !report.diagnostics().has_errors();
    let mut joined: Option<Vec<usize>> = None;
    for consumer in consumers.iter().filter(|_| sound) {
        let joined = joined.get_or_insert_with(|| plan.conducting_groups());
        let group = joined[consumer.node.index()];
        let Some(feed) = supplies.iter().find(|s| joined[s.node.index()] == group) else {
            report.warning(
                Code::FLOATING_NETWORK,
                consumer.span,
                format!("{} is joined to no supply", consumer.tag),
                "wire it between the poles of a supply",
            );
            continue;
        };
        let (fed, rated) = (feed.supply, consumer.supply);
        let same_kind = match (fed.kind, rated.kind) {
            (SupplyKind::Dc, SupplyKind::Dc) => true,
            (SupplyKind::Ac { hertz: a }, SupplyKind::Ac { hertz: b }) => (a - b).abs() < 0.5,
            _ => false,
        };
        if !same_kind {
            report.warning(
                Code::WRONG_SUPPLY_KIND,
                consumer.span,
                format!("{} is made for {rated}, but {} gives {fed}", consumer.tag, feed.tag),
                "fit a coil for this kind of current",
            );
        } else if fed.volts < 0.8 * rated.volts || fed.volts > 1.15 * rated.volts {
            report.warning(
                Code::COIL_VOLTAGE,
                consumer.span,
                format!("{} is rated {rated}, but {} gives {fed}", consumer.tag, feed.tag),
                "fit a coil for this voltage",
            );
        }
    }
    Some(plan)
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
                format!("{} joins {oil}, which holds oil, and {air}, which holds air", line.name),
                "keep the two in lines of their own",
            );
            Medium::AIR
        }
        (Some(_), None) => Medium::AIR,
        _ => assembly.oil.medium,
    }
}

/// Makes a volume of every line and joins its ports to it.
fn lay_lines(assembly: &mut Assembly, parts: &[Authored], lines: &[Line], report: &mut Reporter) {
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
                    format!("there is no part {} on this bench", point.tag),
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
                    format!("{point} is a terminal; lines join ports"),
                    "join terminals in `wires` or `rungs`",
                );
                continue;
            }
            if !known.contains(&point.marking) {
                report.error(
                    Code::UNKNOWN_PORT,
                    *span,
                    format!("{} has no port {}", point.tag, point.marking),
                    if known.is_empty() {
                        "it has no ports at all".to_owned()
                    } else {
                        format!("its ports are {}", known.join(", "))
                    },
                );
                continue;
            }
            if let Some(other) = seen.insert(point.to_string(), line.name.clone()) {
                report.error(
                    Code::PORT_JOINED_TWICE,
                    *span,
                    format!("{point} is joined twice: to {other} and to {}", line.name),
                    "put everything that meets there into one line",
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
                    format!("{point} is joined to nothing and counts as plugged"),
                    "add it to a line if it should not be",
                );
            }
        }
    }
}
