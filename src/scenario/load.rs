//! A scenario file becomes a scenario, or a list of everything that is wrong with it.

use std::collections::BTreeSet;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::base::{SimTime, nearest};
use crate::bench::report::Reporter;
use crate::bench::tree::{self, Node, Value};
use crate::bench::{self, Bench, check_format, known_fields, text, texts};
use crate::diagnostic::{Code, Diagnostic, Diagnostics, Place, Sources, Span};
use crate::fault::{
    Fault, InjectError, Injector, Onset, Script, ScriptFault, ScriptFaultKind, modes_of,
};
use crate::plant::{Plan, Plant};
use crate::quantity::parse_duration;
use crate::session::{self, Action, Rig, SessionConfig, Tool};

use super::prompter::Prompter;

use super::rubric::{Band, Criterion, Rubric};
use super::shelf::Shelf;

/// Format of scenario files that this version reads.
pub const FORMAT: u64 = 1;

/// A diagnosis that counts as right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// Tag of the part.
    pub part: String,
    /// Fault mode.
    pub mode: String,
}

/// What the machine must do when it is sound: tried by the marker after the learner hands back.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Retest {
    /// What is done, in words of the session.
    pub actions: Vec<Action>,
    /// What must then happen, such as `1A1 extended` or `1A1 retracted`, in this order.
    pub expect: Vec<(String, bool)>,
}

/// A scenario.
#[derive(Clone, Debug)]
pub struct Scenario {
    /// Name for people.
    pub title: String,
    /// File name of the bench.
    pub bench_file: String,
    /// The bench.
    pub bench: Bench,
    /// Its plan, shared by all runs.
    pub plan: Arc<Plan>,
    /// What the learner is told.
    pub brief: String,
    /// Seed of the run, if the scenario fixes it.
    pub seed: u64,
    /// Faults injected.
    pub faults: Vec<Fault>,
    /// Fault scripts.
    pub scripts: Vec<Script>,
    /// Diagnoses that count as right besides the injected faults.
    pub answers: Vec<Answer>,
    /// Tools at hand.
    pub tools: BTreeSet<Tool>,
    /// Longest bench time.
    pub time_limit: SimTime,
    /// Whether a critical act ends the exercise at once.
    pub stop_when_unsafe: bool,
    /// Functional test.
    pub retest: Retest,
    /// How the work is marked.
    pub rubric: Rubric,
    /// SHA-256 over the scenario, its bench and its scripts, in hexadecimal.
    pub digest: String,
}

impl Scenario {
    /// A fresh rig of this scenario with `seed`: its faults and scripts are put in as it runs.
    ///
    /// # Errors
    /// When a script or a fault does not fit the bench.
    pub fn rig(&self, seed: u64) -> Result<Rig, InjectError> {
        let injector = Injector::new(&self.plan, seed, self.faults.clone(), self.scripts.clone())?;
        let plant = Plant::new(Arc::clone(&self.plan), seed);
        Ok(Rig::new(plant, Box::new(Prompter(injector))))
    }

    /// What this scenario decides about a session.
    #[must_use]
    pub fn config(&self) -> SessionConfig {
        SessionConfig {
            tools: self.tools.clone(),
            stop_on_critical: self.stop_when_unsafe,
            time_limit: self.time_limit,
            ..SessionConfig::default()
        }
    }

    /// A scenario without faults or task on a bare bench: for running a bench file as it is.
    #[must_use]
    pub fn of_bench(file: &str, source: &str, bench: Bench) -> Scenario {
        Scenario {
            title: bench.plan.name.clone(),
            bench_file: file.to_owned(),
            plan: Arc::new(bench.plan.clone()),
            bench,
            brief: String::new(),
            seed: 1,
            faults: Vec::new(),
            scripts: Vec::new(),
            answers: Vec::new(),
            tools: Tool::ALL.into_iter().collect(),
            time_limit: SimTime::from_secs(8 * 3600),
            stop_when_unsafe: false,
            retest: Retest::default(),
            rubric: Rubric::default(),
            digest: digest_of(&[source]),
        }
    }
}

fn digest_of(texts: &[&str]) -> String {
    let mut hash = Sha256::new();
    for text in texts {
        hash.update((text.len() as u64).to_le_bytes());
        hash.update(text.as_bytes());
    }
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Loads a bench or a scenario from `shelf`: whichever `file` holds.
pub fn load_any(
    shelf: &dyn Shelf,
    file: &str,
    sources: &mut Sources,
    out: &mut Diagnostics,
) -> Option<Scenario> {
    let source = fetch(shelf, file, None, Code::UNREADABLE, sources, out)?;
    let root = tree::parse(file, &source, &mut Diagnostics::new());
    let is_bench = root.is_some_and(|node| match &node.value {
        Value::Record { name, fields } => {
            name.as_ref().is_some_and(|(n, _)| n == "Bench")
                || fields.iter().any(|f| f.key == "parts")
        }
        _ => false,
    });
    if is_bench {
        let (bench, programs) = read_bench(shelf, file, &source, sources, out)?;
        let mut scenario = Scenario::of_bench(file, &source, bench);
        if !programs.is_empty() {
            let mut all = vec![source.as_str()];
            all.extend(programs.iter().map(String::as_str));
            scenario.digest = digest_of(&all);
        }
        Some(scenario)
    } else {
        load_text(shelf, file, &source, sources, out)
    }
}

/// A bench with the texts of the programs it names.
fn read_bench(
    shelf: &dyn Shelf,
    file: &str,
    source: &str,
    sources: &mut Sources,
    out: &mut Diagnostics,
) -> Option<(Bench, Vec<String>)> {
    let mut programs = Vec::new();
    let mut beside = |name: &str| {
        let text = shelf.text(name)?;
        sources.add(name, text.as_str());
        programs.push(text.clone());
        Ok(text)
    };
    let bench = bench::load_with(file, source, &mut beside, out)?;
    Some((bench, programs))
}

/// Loads the scenario `file` from `shelf`. Problems go to `out`, texts read to `sources`.
pub fn load(
    shelf: &dyn Shelf,
    file: &str,
    sources: &mut Sources,
    out: &mut Diagnostics,
) -> Option<Scenario> {
    let source = fetch(shelf, file, None, Code::UNREADABLE, sources, out)?;
    load_text(shelf, file, &source, sources, out)
}

/// Reads a file, or says why it cannot be read.
fn fetch(
    shelf: &dyn Shelf,
    file: &str,
    named_at: Option<Place>,
    code: Code,
    sources: &mut Sources,
    out: &mut Diagnostics,
) -> Option<String> {
    match shelf.text(file) {
        Ok(text) => {
            sources.add(file, text.as_str());
            Some(text)
        }
        Err(why) => {
            let place = named_at.unwrap_or_else(|| Place::file(file));
            out.push(
                Diagnostic::error(code, format!("{file} cannot be read: {why}"))
                    .at(place)
                    .help("check the name; it is looked for beside the file that names it"),
            );
            None
        }
    }
}

const TOP: [&str; 14] = [
    "format",
    "title",
    "bench",
    "brief",
    "seed",
    "faults",
    "scripts",
    "answers",
    "tools",
    "time_limit",
    "stop_when_unsafe",
    "retest",
    "expect",
    "rubric",
];

fn load_text(
    shelf: &dyn Shelf,
    file: &str,
    source: &str,
    sources: &mut Sources,
    out: &mut Diagnostics,
) -> Option<Scenario> {
    let root = tree::parse(file, source, out)?;
    let Value::Record { fields, .. } = &root.value else {
        Reporter::new(file, source, out).error(
            Code::WRONG_TYPE,
            root.span,
            "a scenario file holds one record",
            "begin it with Scenario( and end it with )",
        );
        return None;
    };
    let get = |name: &str| fields.iter().find(|f| f.key == name).map(|f| &f.value);
    let mut report = Reporter::new(file, source, out);
    known_fields(fields, &TOP, "a scenario", &mut report);
    check_format(get("format"), root.span, &mut report);
    let title = text(get("title"), &mut report).unwrap_or_else(|| file.to_owned());
    let brief = text(get("brief"), &mut report).unwrap_or_default();
    let Some(bench_file) = text(get("bench"), &mut report) else {
        report.error(
            Code::MISSING_FIELD,
            root.span,
            "a scenario names its bench",
            "bench: \"press.bench.ron\"",
        );
        return None;
    };
    let bench_span = get("bench").map_or(root.span, |n| n.span);
    if !plain_name(&bench_file) {
        report.error(
            Code::PATH_OUTSIDE,
            bench_span,
            format!("\"{bench_file}\" is not beside this file"),
            "name a file in the same folder",
        );
        return None;
    }
    let bench_source = fetch(
        shelf,
        &bench_file,
        Some(Place::new(file, bench_span)),
        Code::BENCH_NOT_FOUND,
        sources,
        out,
    )?;
    let (bench, programs) = read_bench(shelf, &bench_file, &bench_source, sources, out)?;
    let plan = Arc::new(bench.plan.clone());
    let mut scripts = Vec::new();
    let mut script_sources = Vec::new();
    let named = texts(get("scripts"), &mut Reporter::new(file, source, out));
    for (name, span) in named {
        if !plain_name(&name) {
            Reporter::new(file, source, out).error(
                Code::PATH_OUTSIDE,
                span,
                format!("\"{name}\" is not beside this file"),
                "name a file in the same folder",
            );
            continue;
        }
        let place = Some(Place::new(file, span));
        if let Some(text) = fetch(shelf, &name, place, Code::SCRIPT_NOT_FOUND, sources, out) {
            match Script::new(&name, &text) {
                Ok(script) => scripts.push(script),
                Err(fault) => out.push(script_problem(&fault, &text)),
            }
            script_sources.push(text);
        }
    }
    let mut report = Reporter::new(file, source, out);
    let faults = read_faults(get("faults"), &plan, &mut report);
    let answers = read_answers(get("answers"), &plan, &mut report);
    let tools = read_tools(get("tools"), &mut report);
    let retest = Retest {
        actions: read_actions(get("retest"), &mut report),
        expect: read_expect(get("expect"), &plan, &mut report),
    };
    let rubric = read_rubric(get("rubric"), &mut report);
    let seed = get("seed").and_then(|n| whole(n, "seed", &mut report)).unwrap_or(1);
    let time_limit = get("time_limit")
        .and_then(|n| duration(n, "time_limit", &mut report))
        .unwrap_or(SimTime::from_secs(3600));
    let stop_when_unsafe = match get("stop_when_unsafe") {
        None => true,
        Some(node) => match node.value {
            Value::Flag(flag) => flag,
            _ => {
                report.error(Code::WRONG_TYPE, node.span, "true or false is wanted", "");
                true
            }
        },
    };
    if faults.is_empty() && scripts.is_empty() {
        report.warning(
            Code::NO_FAULT,
            root.span,
            "this scenario has neither faults nor scripts",
            "add faults: [ Fault(part: \"K1\", mode: \"coil open\") ] if one is meant",
        );
    }
    if out.has_errors() {
        return None;
    }
    let mut all: Vec<&str> = vec![source, &bench_source];
    all.extend(programs.iter().map(String::as_str));
    all.extend(script_sources.iter().map(String::as_str));
    Some(Scenario {
        title,
        bench_file,
        bench,
        plan,
        brief,
        seed,
        faults,
        scripts,
        answers,
        tools,
        time_limit,
        stop_when_unsafe,
        retest,
        rubric,
        digest: digest_of(&all),
    })
}

/// A script's failure as a diagnostic at its place.
#[must_use]
pub fn script_problem(fault: &ScriptFault, text: &str) -> Diagnostic {
    let code = match fault.kind {
        ScriptFaultKind::Syntax => Code::SCRIPT_SYNTAX,
        ScriptFaultKind::Runtime => Code::SCRIPT_RUN,
        ScriptFaultKind::Limit => Code::SCRIPT_LIMIT,
        ScriptFaultKind::Forbidden => Code::SCRIPT_FORBIDDEN,
    };
    let place = match fault.line {
        None => Place::file(fault.script.as_str()),
        Some(line) => {
            let start: usize =
                text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
            let row = text[start.min(text.len())..].lines().next().unwrap_or("");
            // Columns count characters; places count bytes.
            let column = fault.column.unwrap_or(1).saturating_sub(1);
            let skip = row.char_indices().nth(column).map_or(row.len(), |(at, _)| at);
            let at = (start + skip).min(text.len());
            Place::new(fault.script.as_str(), Span::new(at, at))
        }
    };
    Diagnostic::error(code, fault.message.as_str()).at(place).help(fault.help.as_str())
}

/// A file name without any folder in it.
fn plain_name(name: &str) -> bool {
    !name.is_empty() && !name.contains(['/', '\\']) && name != ".." && name.len() <= 128
}

fn list<'n>(node: Option<&'n Node>, name: &str, report: &mut Reporter) -> &'n [Node] {
    match node.map(|n| (&n.value, n.span)) {
        None => &[],
        Some((Value::List(items), _)) => items,
        Some((_, span)) => {
            report.error(Code::WRONG_TYPE, span, format!("`{name}` is a list"), "[ ..., ... ]");
            &[]
        }
    }
}

fn whole(node: &Node, name: &str, report: &mut Reporter) -> Option<u64> {
    if let Value::Number(_) = node.value
        && let Ok(value) = report.source_of(node.span).parse::<u64>()
    {
        return Some(value);
    }
    report.error(
        Code::NOT_WHOLE,
        node.span,
        format!("`{name}` is a whole number"),
        format!("{name}: 7"),
    );
    None
}

fn duration(node: &Node, name: &str, report: &mut Reporter) -> Option<SimTime> {
    if let Value::Text(text) = &node.value {
        match parse_duration(text) {
            Ok(time) => return Some(time),
            Err(problem) => {
                report.error(
                    Code::BAD_QUANTITY,
                    node.span,
                    format!("`{name}`: {problem}"),
                    format!("{name}: \"30 s\""),
                );
                return None;
            }
        }
    }
    report.error(
        Code::WRONG_TYPE,
        node.span,
        format!("`{name}` is a time"),
        format!("{name}: \"30 s\""),
    );
    None
}

fn read_faults(node: Option<&Node>, plan: &Plan, report: &mut Reporter) -> Vec<Fault> {
    let mut faults = Vec::new();
    for node in list(node, "faults", report) {
        let Value::Record { fields, .. } = &node.value else {
            report.error(
                Code::WRONG_TYPE,
                node.span,
                "a fault is a record",
                "Fault(part: \"K1\", mode: \"coil open\")",
            );
            continue;
        };
        let known =
            ["part", "mode", "role", "severity", "at", "after_cycles", "of", "present", "absent"];
        known_fields(fields, &known, "a fault", report);
        let get = |name: &str| fields.iter().find(|f| f.key == name).map(|f| &f.value);
        let Some((part, mode)) = part_and_mode(fields, node.span, plan, report) else { continue };
        let role = text(get("role"), report);
        let severity = get("severity").and_then(|n| match &n.value {
            Value::Number(number) if number.value.is_finite() => Some(number.value),
            _ => {
                report.error(
                    Code::WRONG_TYPE,
                    n.span,
                    "the severity is a number",
                    "its unit and range stand in the guide beside the fault mode",
                );
                None
            }
        });
        let onset = if let Some(at) = get("at") {
            duration(at, "at", report).map_or(Onset::Start, Onset::At)
        } else if let Some(cycles) = get("after_cycles") {
            let count = whole(cycles, "after_cycles", report).unwrap_or(1);
            Onset::AfterCycles {
                part: text(get("of"), report).unwrap_or_else(|| part.clone()),
                cycles: u32::try_from(count).unwrap_or(u32::MAX),
            }
        } else if let Some(present) = get("present") {
            let second = SimTime::from_secs(10);
            Onset::Intermittent {
                present: duration(present, "present", report).unwrap_or(second),
                absent: get("absent").and_then(|n| duration(n, "absent", report)).unwrap_or(second),
            }
        } else {
            Onset::Start
        };
        let fault = Fault { part, mode, role, severity, onset };
        if let Err(problem) = Injector::new(plan, 0, vec![fault.clone()], Vec::new()) {
            let help = match &problem {
                crate::fault::InjectError::Fault(fault) => fault.help(),
                crate::fault::InjectError::Script(fault) => fault.help.clone(),
            };
            report.error(Code::FAULT_OUT_OF_RANGE, node.span, problem.to_string(), help);
            continue;
        }
        faults.push(fault);
    }
    faults
}

/// The part and the mode of a fault or an answer, checked against the bench.
fn part_and_mode(
    fields: &[tree::Field],
    place: Span,
    plan: &Plan,
    report: &mut Reporter,
) -> Option<(String, String)> {
    let get = |name: &str| fields.iter().find(|f| f.key == name).map(|f| &f.value);
    let part = text(get("part"), report);
    let mode = text(get("mode"), report);
    let (Some(part), Some(mode)) = (part, mode) else {
        report.error(
            Code::MISSING_FIELD,
            place,
            "a part and a mode are wanted",
            "part: \"K1\", mode: \"coil open\"",
        );
        return None;
    };
    let Some(id) = plan.part(&part) else {
        let help = match nearest(&part, plan.parts.iter().map(|p| p.tag.as_str())) {
            Some(near) => format!("did you mean {near}?"),
            None => "the bench has no such part or wire".to_owned(),
        };
        report.error(
            Code::UNKNOWN_PART,
            get("part").map_or(place, |n| n.span),
            format!("{part} is not on this bench"),
            help,
        );
        return None;
    };
    let modes = modes_of(plan, id);
    if !modes.iter().any(|(spec, _, _)| spec.id == mode) {
        let names: Vec<&str> = modes.iter().map(|(spec, _, _)| spec.id).collect();
        let help = match nearest(&mode, names.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => {
                let mut unique = names.clone();
                unique.sort_unstable();
                unique.dedup();
                format!("{part} can have: {}", unique.join(", "))
            }
        };
        report.error(
            Code::UNKNOWN_FAULT_MODE,
            get("mode").map_or(place, |n| n.span),
            format!("{part} has no fault mode \"{mode}\""),
            help,
        );
        return None;
    }
    Some((part, mode))
}

fn read_answers(node: Option<&Node>, plan: &Plan, report: &mut Reporter) -> Vec<Answer> {
    let mut answers = Vec::new();
    for node in list(node, "answers", report) {
        let Value::Record { fields, .. } = &node.value else {
            report.error(
                Code::WRONG_TYPE,
                node.span,
                "an answer is a record",
                "Answer(part: \"K1\", mode: \"coil open\")",
            );
            continue;
        };
        known_fields(fields, &["part", "mode"], "an answer", report);
        if let Some((part, mode)) = part_and_mode(fields, node.span, plan, report) {
            answers.push(Answer { part, mode });
        }
    }
    answers
}

fn read_tools(node: Option<&Node>, report: &mut Reporter) -> BTreeSet<Tool> {
    if node.is_none() {
        return Tool::ALL.into_iter().collect();
    }
    let names: Vec<(String, Tool)> =
        Tool::ALL.into_iter().map(|tool| (format!("{tool:?}").to_lowercase(), tool)).collect();
    texts(node, report)
        .into_iter()
        .filter_map(|(name, span)| {
            if let Some((_, tool)) = names.iter().find(|(n, _)| *n == name) {
                return Some(*tool);
            }
            let help = match nearest(&name, names.iter().map(|(n, _)| n.as_str())) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => {
                    let list: Vec<&str> = names.iter().map(|(n, _)| n.as_str()).collect();
                    format!("the tools are: {}", list.join(", "))
                }
            };
            report.error(Code::UNKNOWN_TOOL, span, format!("there is no tool \"{name}\""), help);
            None
        })
        .collect()
}

fn read_actions(node: Option<&Node>, report: &mut Reporter) -> Vec<Action> {
    texts(node, report)
        .into_iter()
        .filter_map(|(line, span)| match session::parse(&line) {
            Ok(action) => Some(action),
            Err(problem) => {
                report.error(Code::UNKNOWN_ACTION, span, problem.message, problem.help);
                None
            }
        })
        .collect()
}

/// Expectations such as `1A1 extended`.
fn read_expect(node: Option<&Node>, plan: &Plan, report: &mut Reporter) -> Vec<(String, bool)> {
    texts(node, report)
        .into_iter()
        .filter_map(|(line, span)| {
            let found = line.split_once(' ').and_then(|(tag, state)| {
                let known = plan.pistons.iter().any(|p| p.name == tag);
                match state.trim() {
                    "extended" if known => Some((tag.to_owned(), true)),
                    "retracted" if known => Some((tag.to_owned(), false)),
                    _ => None,
                }
            });
            if found.is_none() {
                report.error(
                    Code::UNREACHABLE_TASK,
                    span,
                    format!("\"{line}\" is nothing to expect"),
                    "name a cylinder of the bench and where it goes: \"1A1 extended\"",
                );
            }
            found
        })
        .collect()
}

fn read_rubric(node: Option<&Node>, report: &mut Reporter) -> Rubric {
    let mut rubric = Rubric::default();
    let Some(node) = node else { return rubric };
    let Value::Record { fields, .. } = &node.value else {
        report.error(
            Code::WRONG_TYPE,
            node.span,
            "the rubric is a record",
            "Rubric(version: 1, part: 20, mode: 15, pass: 70)",
        );
        return rubric;
    };
    let mut known: Vec<&str> = Criterion::ALL.iter().map(|c| c.name()).collect();
    known.extend(["version", "pass", "bands"]);
    known_fields(fields, &known, "a rubric", report);
    for field in fields {
        if field.key == "bands" {
            rubric.bands = read_bands(&field.value, report);
            continue;
        }
        let Value::Number(number) = &field.value.value else {
            report.error(
                Code::WRONG_TYPE,
                field.value.span,
                format!("`{}` is a number", field.key),
                "weights add up to 100",
            );
            continue;
        };
        let value = number.value;
        if !(0.0..=100.0).contains(&value) && field.key != "version" {
            report.error(
                Code::BAD_WEIGHTS,
                field.value.span,
                format!("`{}` must lie between 0 and 100", field.key),
                "weights add up to 100",
            );
            continue;
        }
        match field.key.as_str() {
            "version" => {
                if let Some(version) = whole(&field.value, "version", report) {
                    rubric.version = version;
                }
            }
            "pass" => rubric.pass = value,
            name => {
                if let Some(k) = Criterion::ALL.iter().position(|c| c.name() == name) {
                    rubric.weights[k] = value;
                }
            }
        }
    }
    let sum: f64 = rubric.weights.iter().sum();
    if (sum - 100.0).abs() > 1e-6 {
        report.error(
            Code::BAD_WEIGHTS,
            node.span,
            format!("the weights add up to {sum}, not to 100"),
            format!(
                "those not written keep their default; the criteria are: {}",
                Criterion::ALL.iter().map(|c| c.name()).collect::<Vec<_>>().join(", ")
            ),
        );
    }
    rubric
}

/// Bands such as `["20 min 100 %", "30 min 60 %"]`.
fn read_bands(node: &Node, report: &mut Reporter) -> Vec<Band> {
    let mut bands: Vec<Band> = Vec::new();
    for (line, span) in texts(Some(node), report) {
        let parsed = line.rsplit_once(' ').and_then(|(head, unit)| {
            let (time, share) = head.rsplit_once(' ')?;
            let share: f64 = share.parse().ok()?;
            (unit == "%" && (0.0..=100.0).contains(&share))
                .then(|| parse_duration(time).ok())
                .flatten()
                .map(|t| Band { seconds: t.as_secs_f64(), share: share / 100.0 })
        });
        match parsed {
            Some(band) if bands.last().is_none_or(|last| band.seconds > last.seconds) => {
                bands.push(band);
            }
            _ => report.error(
                Code::BAD_WEIGHTS,
                span,
                format!("\"{line}\" is no band, or not longer than the one before"),
                "bands: [\"20 min 100 %\", \"30 min 60 %\"]",
            ),
        }
    }
    bands
}
