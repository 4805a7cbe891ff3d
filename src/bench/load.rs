//! A bench file becomes a plan, or a list of everything that is wrong with it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::base::nearest;
use crate::diagnostic::{Code, Diagnostics, Span};
use crate::electric::tables::flexible_conductor_ohm;
use crate::fluid::{Medium, Volume};
use crate::plant::{BranchMake, BranchRole, Plan, PlanBuilder, PlanError};
use crate::plc::{Program, Terminals, compile};
use crate::quantity::{self, Dimension, SupplyKind};

use super::assembly::{Assembly, Oil};
use super::catalogue::{self, ClassSpec, FieldKind};
use super::fields::Fields;
use super::netlist::{self, Join, Point};
use super::report::Reporter;
use super::tree::{self, Field, Node, Value};

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
    let root = tree::parse(file, source, out)?;
    let mut report = Reporter::new(file, source, out);
    let bench = read(&root, beside, &mut report);
    if out.has_errors() { None } else { bench }
}

const TOP: [&str; 10] =
    ["format", "name", "note", "cautions", "ambient", "oil", "parts", "rungs", "wires", "lines"];

fn read(root: &Node, beside: Beside, report: &mut Reporter) -> Option<Bench> {
    let Value::Record { fields, .. } = &root.value else {
        report.error(
            Code::WRONG_TYPE,
            root.span,
            "a bench file holds one record",
            "begin it with Bench( and end it with )",
        );
        return None;
    };
    known_fields(fields, &TOP, "a bench", report);
    let get = |name: &str| fields.iter().find(|f| f.key == name).map(|f| &f.value);
    check_format(get("format"), root.span, report);
    let name = text(get("name"), report).unwrap_or_else(|| "bench".to_owned());
    let note = text(get("note"), report).unwrap_or_default();
    let cautions = texts(get("cautions"), report).into_iter().map(|(t, _)| t).collect();
    let ambient = get("ambient").map_or(Some(293.15), |node| {
        measure(node, Dimension::Temperature, (233.15, 343.15), "ambient", report)
    })?;
    let oil = read_oil(get("oil"), report);
    let parts = read_parts(get("parts"), root.span, report);
    let joins = read_joins(get("wires"), get("rungs"), &parts, report);
    let lines = read_lines(get("lines"), report);
    check_references(&parts, report);
    let programs = read_programs(&parts, beside, report);
    let plan = assemble(&name, ambient - 273.15, oil, &parts, programs, &joins, &lines, report)?;
    Some(Bench { plan, note, cautions })
}

/// Reports fields that do not belong, and those written twice.
pub(crate) fn known_fields(fields: &[Field], known: &[&str], owner: &str, report: &mut Reporter) {
    for (at, field) in fields.iter().enumerate() {
        if !known.contains(&field.key.as_str()) {
            let help = match nearest(&field.key, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("{owner} has: {}", known.join(", ")),
            };
            report.error(
                Code::UNKNOWN_FIELD,
                field.key_span,
                format!("{owner} has no field `{}`", field.key),
                help,
            );
        } else if fields[..at].iter().any(|other| other.key == field.key) {
            report.error(
                Code::DUPLICATE_FIELD,
                field.key_span,
                format!("`{}` is written twice", field.key),
                "remove one of the two",
            );
        }
    }
}

/// Checks the `format` field of a file.
pub(crate) fn check_format(node: Option<&Node>, place: Span, report: &mut Reporter) {
    match node {
        None => report.error(
            Code::MISSING_FIELD,
            place,
            "the field `format` is missing",
            format!("write format: {FORMAT}"),
        ),
        Some(node) => match &node.value {
            Value::Number(number) if number.value == FORMAT as f64 => {}
            _ => report.error(
                Code::WRONG_FORMAT,
                node.span,
                "this file has another format than this version reads",
                format!("this version reads format: {FORMAT}"),
            ),
        },
    }
}

/// A text, or a complaint.
pub(crate) fn text(node: Option<&Node>, report: &mut Reporter) -> Option<String> {
    let node = node?;
    match &node.value {
        Value::Text(text) => Some(text.clone()),
        _ => {
            report.error(
                Code::WRONG_TYPE,
                node.span,
                "a text is wanted here",
                "put it in quotes: \"...\"",
            );
            None
        }
    }
}

/// A list of texts (or a single one), with their places.
pub(crate) fn texts(node: Option<&Node>, report: &mut Reporter) -> Vec<(String, Span)> {
    let Some(node) = node else { return Vec::new() };
    let items: &[Node] = match &node.value {
        Value::List(items) => items,
        Value::Text(_) => std::slice::from_ref(node),
        _ => {
            report.error(
                Code::WRONG_TYPE,
                node.span,
                "a list of texts is wanted here",
                "[\"...\", \"...\"]",
            );
            return Vec::new();
        }
    };
    items
        .iter()
        .filter_map(|item| match &item.value {
            Value::Text(text) => Some((text.clone(), item.span)),
            _ => {
                report.error(
                    Code::WRONG_TYPE,
                    item.span,
                    "a text is wanted here",
                    "put it in quotes: \"...\"",
                );
                None
            }
        })
        .collect()
}

/// A quantity within SI limits, or a complaint.
pub(crate) fn measure(
    node: &Node,
    dimension: Dimension,
    limits: (f64, f64),
    name: &str,
    report: &mut Reporter,
) -> Option<f64> {
    let written = match &node.value {
        Value::Text(text) => text.clone(),
        Value::Number(_) if dimension.takes_plain_numbers() => report.source_of(node.span),
        _ => {
            report.error(
                Code::WRONG_TYPE,
                node.span,
                format!("`{name}` is a quantity"),
                format!("write it as {name}: \"{}\"", dimension.example()),
            );
            return None;
        }
    };
    match quantity::parse(&written, dimension) {
        Ok(value) if value < limits.0 || value > limits.1 => {
            report.error(
                Code::OUT_OF_RANGE,
                node.span,
                format!("`{name}` is out of range"),
                format!(
                    "it may be {} to {}",
                    quantity::display(limits.0, dimension, quantity::UnitSystem::Si),
                    quantity::display(limits.1, dimension, quantity::UnitSystem::Si)
                ),
            );
            None
        }
        Ok(value) => Some(value),
        Err(problem) => {
            let code = if problem.is_wrong_dimension() {
                Code::WRONG_DIMENSION
            } else {
                Code::BAD_QUANTITY
            };
            report.error(
                code,
                node.span,
                format!("`{name}`: {problem}"),
                format!("write it as {name}: \"{}\"", dimension.example()),
            );
            None
        }
    }
}

fn read_oil(node: Option<&Node>, report: &mut Reporter) -> Oil {
    let mut oil = Oil { density: 870.0, medium: Medium::OIL };
    let Some(node) = node else { return oil };
    let Value::Record { fields, .. } = &node.value else {
        report.error(
            Code::WRONG_TYPE,
            node.span,
            "the oil is a record",
            "Oil(density: \"870 kg/m3\", bulk_modulus: \"1.4 GPa\", free_air: \"0.1 %\")",
        );
        return oil;
    };
    known_fields(fields, &["density", "bulk_modulus", "free_air"], "the oil", report);
    let (mut bulk, mut air) = (1.4e9, 0.001);
    for field in fields {
        let mut take = |dimension, limits, into: &mut f64| {
            if let Some(value) = measure(&field.value, dimension, limits, &field.key, report) {
                *into = value;
            }
        };
        match field.key.as_str() {
            "density" => take(Dimension::Density, (600.0, 1500.0), &mut oil.density),
            "bulk_modulus" => take(Dimension::BulkModulus, (1e8, 5e9), &mut bulk),
            "free_air" => take(Dimension::Ratio, (0.0, 0.2), &mut air),
            _ => {}
        }
    }
    oil.medium = Medium::Oil { bulk_pa: bulk, free_air: air };
    oil
}

fn read_parts(node: Option<&Node>, place: Span, report: &mut Reporter) -> Vec<Authored> {
    let Some(node) = node else {
        report.error(
            Code::MISSING_FIELD,
            place,
            "the field `parts` is missing",
            "parts: { \"K1\": Relay(), }",
        );
        return Vec::new();
    };
    let Value::Map(entries) = &node.value else {
        report.error(
            Code::WRONG_TYPE,
            node.span,
            "`parts` maps tags to parts",
            "parts: { \"K1\": Relay(coil: \"24 V DC\"), \"H1\": Lamp() }",
        );
        return Vec::new();
    };
    let mut list: Vec<Authored> = Vec::new();
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
        if list.iter().any(|other| other.fields.tag() == tag) {
            report.error(
                Code::DUPLICATE_TAG,
                entry.key_span,
                format!("the tag {tag} is given twice"),
                "every part has a tag of its own",
            );
            continue;
        }
        let (name, fields) = match &entry.value.value {
            Value::Record { name: Some((name, _)), fields } => (name.clone(), fields.clone()),
            Value::Name(name) => (name.clone(), Vec::new()),
            _ => {
                report.error(
                    Code::WRONG_TYPE,
                    entry.value.span,
                    format!("{tag}: a part is written as its class with its fields"),
                    format!("\"{tag}\": Relay(coil: \"24 V DC\")"),
                );
                continue;
            }
        };
        let Some(class) = catalogue::class(&name) else {
            let names = || catalogue::classes().map(|c| c.name);
            let help = match nearest(&name, names()) {
                Some(near) => format!("did you mean {near}?"),
                None => format!("the classes are: {}", names().collect::<Vec<_>>().join(", ")),
            };
            report.error(
                Code::UNKNOWN_CLASS,
                entry.value.span,
                format!("{tag}: there is no class {name}"),
                help,
            );
            continue;
        };
        list.push(Authored {
            class,
            fields: Fields::read(tag, class, &fields, entry.key_span, report),
        });
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
            report.out().extend(found);
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

fn near_tag(tag: &str, parts: &[Authored]) -> String {
    match nearest(tag, parts.iter().map(|p| p.fields.tag())) {
        Some(near) => format!("did you mean {near}?"),
        None => "add the part, or name another".to_owned(),
    }
}

/// A wire with its length and section, if they are written.
struct Wire {
    join: Join,
    ohm: f64,
    /// To the live conductor, and as much again to earthed metal [F].
    farad: f64,
}

/// Capacitance of a control wire in its duct, to the live conductor and to earthed metal, each
/// [F/m]: a usual size (common practice, no source).
const WIRE_FARAD_PER_M: f64 = 60e-12;

/// Resistance of a wire of usual length: 2 m of 0.75 mm2.
fn usual_wire_ohm() -> f64 {
    flexible_conductor_ohm(0.75, 2.0)
}

fn read_joins(
    wires: Option<&Node>,
    rungs: Option<&Node>,
    parts: &[Authored],
    report: &mut Reporter,
) -> Vec<Wire> {
    let mut list: Vec<Wire> = Vec::new();
    for node in items(wires, "wires", report) {
        match &node.value {
            Value::Text(text) => {
                let points: Vec<Option<Point>> =
                    text.split_whitespace().map(Point::parse).collect();
                match points.as_slice() {
                    [Some(from), Some(to)] => list.push(Wire {
                        join: Join { from: from.clone(), to: to.clone(), span: node.span },
                        ohm: usual_wire_ohm(),
                        farad: 2.0 * WIRE_FARAD_PER_M,
                    }),
                    _ => report.error(
                        Code::WIRE_TO_NOWHERE,
                        node.span,
                        format!("\"{text}\" is not a wire"),
                        "write the two terminals: \"G1:+ F1:1\"",
                    ),
                }
            }
            Value::Record { fields, .. } => {
                known_fields(
                    fields,
                    &["from", "to", "length", "section", "capacitance"],
                    "a wire",
                    report,
                );
                let get = |name: &str| fields.iter().find(|f| f.key == name).map(|f| &f.value);
                let end = |name: &str, report: &mut Reporter| {
                    let point = get(name).and_then(|n| match &n.value {
                        Value::Text(text) => Point::parse(text),
                        _ => None,
                    });
                    if point.is_none() {
                        report.error(
                            Code::WIRE_TO_NOWHERE,
                            get(name).map_or(node.span, |n| n.span),
                            format!("a wire needs a terminal in `{name}`"),
                            format!("{name}: \"K1:A1\""),
                        );
                    }
                    point
                };
                let (from, to) = (end("from", report), end("to", report));
                let metres = get("length")
                    .and_then(|n| measure(n, Dimension::Length, (0.01, 2000.0), "length", report))
                    .unwrap_or(2.0);
                let section = get("section")
                    .and_then(|n| {
                        measure(n, Dimension::WireSection, (0.05e-6, 300e-6), "section", report)
                    })
                    .unwrap_or(0.75e-6);
                let farad = get("capacitance").and_then(|n| {
                    measure(n, Dimension::Capacitance, (0.0, 1e-6), "capacitance", report)
                });
                if let (Some(from), Some(to)) = (from, to) {
                    list.push(Wire {
                        join: Join { from, to, span: node.span },
                        ohm: flexible_conductor_ohm(section * 1e6, metres),
                        farad: farad.unwrap_or(metres * WIRE_FARAD_PER_M),
                    });
                }
            }
            _ => report.error(
                Code::WIRE_TO_NOWHERE,
                node.span,
                "a wire is two terminals",
                "\"G1:+ F1:1\", or Wire(from: \"G1:+\", to: \"F1:1\", length: \"20 m\")",
            ),
        }
    }
    for node in items(rungs, "rungs", report) {
        read_rung(node, parts, &mut list, report);
    }
    check_points(&mut list, parts, report);
    list
}

fn items<'n>(node: Option<&'n Node>, name: &str, report: &mut Reporter) -> &'n [Node] {
    match node.map(|n| &n.value) {
        None => &[],
        Some(Value::List(items)) => items,
        Some(_) => {
            if let Some(node) = node {
                report.error(
                    Code::WRONG_TYPE,
                    node.span,
                    format!("`{name}` is a list"),
                    "[ ..., ... ]",
                );
            }
            &[]
        }
    }
}

fn read_rung(node: &Node, parts: &[Authored], list: &mut Vec<Wire>, report: &mut Reporter) {
    let Value::Record { fields, .. } = &node.value else {
        report.error(
            Code::RUNG_SYNTAX,
            node.span,
            "a rung is a record",
            "Rung(from: \"F1:2\", to: \"G1:-\", path: \"S1:13-14, K1:A1-A2\")",
        );
        return;
    };
    known_fields(fields, &["from", "to", "path", "note"], "a rung", report);
    let get = |name: &str| fields.iter().find(|f| f.key == name).map(|f| &f.value);
    let mut end = |name: &str| {
        let found = get(name).and_then(|n| match &n.value {
            Value::Text(text) => Point::parse(text),
            _ => None,
        });
        if found.is_none() {
            report.error(
                Code::RUNG_SYNTAX,
                get(name).map_or(node.span, |n| n.span),
                format!("a rung needs a terminal in `{name}`"),
                format!("{name}: \"F1:2\""),
            );
        }
        found
    };
    let (from, to) = (end("from"), end("to"));
    let Some(path) = get("path") else {
        report.error(
            Code::RUNG_SYNTAX,
            node.span,
            "a rung needs a `path`",
            "path: \"S1:13-14, K1:A1-A2\"",
        );
        return;
    };
    let Value::Text(text) = &path.value else {
        report.error(
            Code::RUNG_SYNTAX,
            path.span,
            "the path of a rung is a text",
            "\"S1:13-14, K1:A1-A2\"",
        );
        return;
    };
    // The text starts one byte after its quote.
    let place = |at: usize, length: usize| Span {
        start: (path.span.start + 1 + at).min(path.span.end),
        end: (path.span.start + 1 + at + length.max(1)).min(path.span.end),
    };
    match netlist::parse_path(text) {
        Err(problem) => report.error(
            Code::RUNG_SYNTAX,
            place(problem.at, 1),
            format!("rung: {}", problem.message),
            "as in \"S0:21-22, (S1:13-14 | K1:13-14), K1:A1-A2\"",
        ),
        Ok(steps) => {
            let loads = ["Relay", "Lamp", "Valve"];
            let is_load = |e: &&netlist::PathElement| {
                parts.iter().any(|p| {
                    let input = |m: &str| m.starts_with('I');
                    p.fields.tag() == e.enter.tag
                        && (p.class.name == "Plc"
                            && (input(&e.enter.marking) || input(&e.leave.marking)))
                        || p.fields.tag() == e.enter.tag
                            && loads.contains(&p.class.name)
                            && !e.enter.marking.ends_with(['3', '4'])
                            && p.class
                                .terminals
                                .contains(|c: char| c == 'A' || c == 'X' || c == 'a')
                            && (p.class.name != "Relay" || e.enter.marking.starts_with('A'))
                })
            };
            if !netlist::elements(&steps).iter().any(is_load) {
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
                    list.push(Wire { join, ohm: usual_wire_ohm(), farad });
                }
            }
        }
    }
}

/// Reports wires to unknown parts or terminals, and drops them.
fn check_points(list: &mut Vec<Wire>, parts: &[Authored], report: &mut Reporter) {
    let mut terminals: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for part in parts {
        terminals.insert(part.fields.tag().to_owned(), (part.class.terminal_list)(&part.fields));
    }
    let mut said: Vec<(Span, Point)> = Vec::new();
    list.retain(|wire| {
        let mut sound = true;
        for point in [&wire.join.from, &wire.join.to] {
            let known = terminals.get(&point.tag);
            if known.is_some_and(|list| list.contains(&point.marking)) {
                continue;
            }
            if point.to_string() == "PE:PE" {
                continue;
            }
            sound = false;
            let key = (wire.join.span, point.clone());
            if said.contains(&key) {
                continue;
            }
            said.push(key);
            match known {
                None => report.error(
                    Code::UNKNOWN_TAG,
                    wire.join.span,
                    format!("a wire goes to {point}, but there is no part {}", point.tag),
                    near_tag(&point.tag, parts),
                ),
                Some(known) => report.error(
                    Code::UNKNOWN_TERMINAL,
                    wire.join.span,
                    format!("{} has no terminal {}", point.tag, point.marking),
                    if known.is_empty() {
                        "it has no terminals at all".to_owned()
                    } else {
                        format!("its terminals are {}", known.join(", "))
                    },
                ),
            }
        }
        if sound && wire.join.from == wire.join.to {
            report.error(
                Code::WIRE_TO_NOWHERE,
                wire.join.span,
                format!("both ends of a wire are {}", wire.join.from),
                "a wire joins two terminals",
            );
            return false;
        }
        sound
    });
}

fn read_lines(node: Option<&Node>, report: &mut Reporter) -> Vec<Line> {
    let mut list: Vec<Line> = Vec::new();
    for node in items(node, "lines", report) {
        let Value::Record { fields, .. } = &node.value else {
            report.error(
                Code::WRONG_TYPE,
                node.span,
                "a line is a record",
                "Line(ports: [\"P1:P\", \"1V1:P\"], test_point: \"MP1\")",
            );
            continue;
        };
        known_fields(fields, &["name", "ports", "volume", "test_point"], "a line", report);
        let get = |name: &str| fields.iter().find(|f| f.key == name).map(|f| &f.value);
        let mut ports: Vec<(Point, Span)> = Vec::new();
        for (text, span) in texts(get("ports"), report) {
            match Point::parse(&text) {
                Some(point) => ports.push((point, span)),
                None => report.error(
                    Code::UNKNOWN_PORT,
                    span,
                    format!("\"{text}\" is not a port"),
                    "write the part and the port: \"1V1:P\"",
                ),
            }
        }
        if ports.is_empty() {
            report.error(
                Code::EMPTY,
                node.span,
                "a line joins nothing",
                "ports: [\"P1:P\", \"1V1:P\"]",
            );
            continue;
        }
        let name = text(get("name"), report).unwrap_or_else(|| ports[0].0.to_string());
        let litres_m3 = get("volume")
            .and_then(|n| measure(n, Dimension::Volume, (1e-7, 10.0), "volume", report))
            .unwrap_or(1e-4);
        let test_point = text(get("test_point"), report);
        list.push(Line { name, ports, litres_m3, test_point });
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
        assembly.begin(&part.fields, part.class.name);
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
    for consumer in &consumers {
        let network = plan.network_of(consumer.node);
        let Some(feed) = supplies.iter().find(|s| plan.network_of(s.node) == network) else {
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

/// Makes a volume of every line and joins its ports to it.
fn lay_lines(assembly: &mut Assembly, parts: &[Authored], lines: &[Line], report: &mut Reporter) {
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    for line in lines {
        let tank = line
            .ports
            .iter()
            .any(|(p, _)| parts.iter().any(|q| q.fields.tag() == p.tag && q.class.name == "Tank"));
        let make = Volume { still_m3: line.litres_m3, medium: assembly.oil.medium };
        let id = assembly.plan.volume(&line.name, make, tank.then_some(0.0));
        if let Some(point) = &line.test_point {
            assembly.plan.test_point(point, id);
        }
        for (point, span) in &line.ports {
            let Some(part) = parts.iter().find(|p| p.fields.tag() == point.tag) else {
                report.error(
                    Code::UNKNOWN_TAG,
                    *span,
                    format!("a line goes to {point}, but there is no part {}", point.tag),
                    near_tag(&point.tag, parts),
                );
                continue;
            };
            let known = (part.class.port_list)(&part.fields);
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
            if !seen.contains_key(&point.to_string()) {
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
