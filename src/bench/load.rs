//! A bench file becomes a plan, or a list of everything that is wrong with it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::base::nearest;
use crate::diagnostic::{Code, Diagnostics, Reporter, Span};
use crate::language::Phrase;
use crate::plant::{BranchMake, BranchRole, Plan, PlanBuilder, PlanError};
use crate::plc::{Program, Terminals, compile};
use crate::quantity::{Dimension, SupplyKind};

use super::assembly::{Assembly, Oil};
use super::catalogue::{self, ClassSpec, FieldKind};
use super::fields::{Fields, any_of};
use super::netlist::Point;
use super::tree::{self, Node};

mod lines;
mod oil;
mod wiring;

use lines::{Line, lay_lines, read_lines};
use oil::read_oil;
use wiring::{Wire, read_joins};

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

/// Loads the bench in `source`, named `file` in messages. Problems go to `out`; without errors
/// among them the bench comes back.
///
/// Programs of controllers must be written in the bench itself; see [`load_with`].
pub fn load(file: &str, source: &str, out: &mut Diagnostics) -> Option<Bench> {
    let mut none = |_: &str| Err(Phrase::new("bench-no-folder"));
    load_with(file, source, &mut none, out)
}

/// Gives the text of a file beside the bench, or says why it cannot be had.
pub type Beside<'a> = &'a mut dyn FnMut(&str) -> Result<String, Phrase>;

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
    let (oil, fluid) = read_oil(top.take("oil"), ambient - 273.15, report);
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
                Phrase::new("bench-unreasoned").with("code", id),
                Phrase::new("bench-give-reason"),
            ),
            None => report.error(
                Code::UNKNOWN_CODE,
                code.span,
                Phrase::new("explain-no-code").with("code", id),
                Phrase::new("bench-lint-code"),
            ),
        }
    }
    list
}

fn read_parts(node: &Node, report: &mut Reporter) -> Vec<Authored> {
    let Some(entries) = node.as_map(&mut report.about("`parts`")) else { return Vec::new() };
    let mut list: Vec<Authored> = Vec::new();
    if entries.is_empty() {
        report.error(
            Code::EMPTY,
            node.span,
            Phrase::new("bench-empty"),
            Phrase::written("parts: { \"K1\": Relay(coil: \"24 V DC\"), \"H1\": Lamp() }"),
        );
    }
    if entries.len() > PART_LIMIT {
        report.error(
            Code::TOO_MANY_PARTS,
            node.span,
            Phrase::new("bench-many-parts").with("count", entries.len()),
            Phrase::new("bench-most-parts").with("most", PART_LIMIT),
        );
        return list;
    }
    for entry in entries {
        let tag = &entry.key;
        if !sound_tag(tag) {
            report.error(
                Code::BAD_TAG,
                entry.key_span,
                Phrase::new("bench-bad-tag").with("written", tag.as_str()),
                Phrase::new("bench-tag-is"),
            );
            continue;
        }
        let Some(record) = entry.value.as_record(&mut report.about(tag)) else { continue };
        let Some((name, name_span)) = record.name else {
            let example = format!("\"{tag}\": Relay(coil: \"24 V DC\")");
            report.about(tag).error(
                Code::WRONG_TYPE,
                record.head(),
                Phrase::new("bench-no-class"),
                Phrase::new("bench-write-class").with("example", example),
            );
            continue;
        };
        let Some(class) = catalogue::class(name) else {
            let names = || catalogue::classes().map(|c| c.name);
            let help = match nearest(name, names()) {
                Some(near) => Phrase::new("did-you-mean").with("nearest", near),
                None => {
                    let list = names().collect::<Vec<_>>().join(", ");
                    Phrase::new("bench-classes").with("list", list)
                }
            };
            let message = Phrase::new("bench-unknown-class").with("name", name);
            report.about(tag).error(Code::UNKNOWN_CLASS, name_span, message, help);
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
                report.about(f.tag()).error(
                    Code::PLC_ADDRESS,
                    f.span_of("bind"),
                    why,
                    Phrase::written("bind: [\"start = I0\", \"press = Q0\"]"),
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
                    let message = Phrase::new("bench-program-unread").with("file", written);
                    report.about(f.tag()).error(
                        Code::PLC_NOT_FOUND,
                        span,
                        message.with("why", why),
                        Phrase::new("bench-program-beside"),
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
            let message = Phrase::new("bench-program-more").with("first", first.message.clone());
            report.about(f.tag()).about("program").error(
                first.code,
                span,
                message.with("more", more),
                Phrase::new("bench-program-apart"),
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
                let of = |id: &'static str| {
                    Phrase::new(id).with("field", spec.name).with("tag", tag.as_str())
                };
                match parts.iter().find(|p| p.fields.tag() == tag) {
                    None => report.about(owner).error(
                        Code::UNKNOWN_TAG,
                        span,
                        of("bench-names-none"),
                        near_tag(&tag, parts),
                    ),
                    Some(other) if !classes.contains(&other.class.name) => {
                        report.about(owner).error(
                            Code::WRONG_KIND_OF_END,
                            span,
                            of("bench-wrong-part").with("class", other.class.name),
                            Phrase::new("bench-part-of").with("classes", any_of(classes)),
                        );
                    }
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
                report.about(tag).error(
                    Code::INCONSISTENT_VALUES,
                    fields.span_of(less),
                    Phrase::new("bench-contradict").with("less", less).with("more", more),
                    Phrase::new("bench-smaller").with("less", less),
                );
            }
        }
        if !["Valve", "AirValve", "TwoStageValve"].contains(&part.class.name) {
            continue;
        }
        if fields.choice("tube_drain") == "port" && fields.choice("rest") != "spring offset" {
            report.about(tag).error(
                Code::INCONSISTENT_VALUES,
                fields.span_of("tube_drain"),
                Phrase::new("bench-drained"),
                Phrase::new("bench-drain-only"),
            );
        }
        for name in ["a", "b", "rest_joins", "centre_joins"] {
            for word in fields.text(name).split_whitespace().filter(|word| !word.contains('-')) {
                report.about(tag).error(
                    Code::UNKNOWN_PORT,
                    fields.span_of(name),
                    Phrase::new("bench-no-pair").with("field", name).with("written", word),
                    Phrase::new("bench-pairs"),
                );
            }
        }
    }
}

fn near_tag(tag: &str, parts: &[Authored]) -> Phrase {
    match nearest(tag, parts.iter().map(|p| p.fields.tag())) {
        Some(near) => Phrase::new("did-you-mean").with("nearest", near),
        None => Phrase::new("bench-add-part"),
    }
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
    if let Some(bath) = oil.bath {
        assembly.plan.oil(bath);
    }
    lay_lines(&mut assembly, parts, lines, report);
    let mut order: Vec<&Authored> = parts.iter().collect();
    order.sort_by_key(|p| p.class.rank);
    for part in order {
        assembly.begin(&part.fields, part.class);
        (part.class.build)(&mut assembly, &part.fields);
    }
    for unknown in &assembly.unknown_ports {
        report.about(&unknown.tag).error(
            Code::UNKNOWN_PORT,
            unknown.span,
            Phrase::new("bench-no-such-port").with("pair", unknown.pair.as_str()),
            Phrase::new("bench-name-ports"),
        );
    }
    for found in &assembly.inconsistent {
        report.error(
            Code::INCONSISTENT_VALUES,
            found.span,
            found.problem.clone(),
            found.help.clone(),
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
        let title = format!("{} – {}", wire.join.from, wire.join.to);
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
            report.error(code, span, problem.phrase(), Phrase::new("bench-apart"));
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
                Phrase::new("bench-floating").with("part", consumer.tag.as_str()),
                Phrase::new("bench-wire-it"),
            );
            continue;
        };
        let (fed, rated) = (feed.supply, consumer.supply);
        let same_kind = match (fed.kind, rated.kind) {
            (SupplyKind::Dc, SupplyKind::Dc) => true,
            (SupplyKind::Ac { hertz: a }, SupplyKind::Ac { hertz: b }) => (a - b).abs() < 0.5,
            _ => false,
        };
        let gives = |id: &'static str| {
            Phrase::new(id)
                .with("part", consumer.tag.as_str())
                .with("rated", rated.to_string())
                .with("supply", feed.tag.as_str())
                .with("fed", fed.to_string())
        };
        if !same_kind {
            report.warning(
                Code::WRONG_SUPPLY_KIND,
                consumer.span,
                gives("bench-made-for"),
                Phrase::new("bench-fit-kind"),
            );
        } else if fed.volts < 0.8 * rated.volts || fed.volts > 1.15 * rated.volts {
            report.warning(
                Code::COIL_VOLTAGE,
                consumer.span,
                gives("bench-rated"),
                Phrase::new("bench-fit-voltage"),
            );
        }
    }
    Some(plan)
}
