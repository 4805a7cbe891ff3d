//! A scenario file becomes a scenario, or a list of everything that is wrong with it.

use std::collections::BTreeSet;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::base::{PartId, SimTime, hex, nearest};
use crate::bench::tree::{self, Fields, Node, Value};
use crate::bench::{self, Bench};
use crate::diagnostic::{Code, Diagnostic, Diagnostics, Place, Reporter, Sources, Span};
use crate::fault::{Fault, InjectError, Injector, Onset, Script, ScriptFault, modes_of};
use crate::language::Phrase;
use crate::plant::{Plan, Plant};
use crate::quantity::parse_duration;
use crate::session::{self, Action, Rig, SessionConfig, Tool};

use super::expect::Expectation;
use super::prompter::{Prompter, script_code};

use super::rubric::{Band, Criterion, LossBand, Rubric};
use super::shelf::{Shelf, Unread};
use super::trial::TRIAL_LIMIT;

/// Most pairs of faults of a scenario.
const PAIR_LIMIT: usize = 64;

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
    /// What must then happen, and what must not.
    pub expect: Vec<Expectation>,
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
    /// Faults of which a class gets one a learner; empty for any of the machine's that is as hard.
    pub variants: Vec<Fault>,
    /// Diagnoses that count as right besides the injected faults.
    pub answers: Vec<Answer>,
    /// Pairs of faults that are suspects together, besides all single faults.
    pub pairs: Vec<[Fault; 2]>,
    /// Faults that the allowed tools cannot tell from the injected one: the author says so.
    pub ambiguous: Vec<Answer>,
    /// Tools at hand.
    pub tools: BTreeSet<Tool>,
    /// Longest bench time.
    pub time_limit: SimTime,
    /// Whether a critical act ends the exercise at once.
    pub stop_when_unsafe: bool,
    /// Isolators that hang open under the lock of somebody else at the beginning.
    pub others_locks: Vec<PartId>,
    /// Functional test.
    pub retest: Retest,
    /// What else is done with the machine to find a fault; the fault dictionary does it after the
    /// functional test.
    pub operate: Vec<Action>,
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

    /// A rig of this bench with `faults` instead of its own; those that come and go do so as one of
    /// the part `rhythm`. `None` where the bench cannot have one of them.
    #[must_use]
    pub fn rig_with(&self, seed: u64, faults: &[Fault], rhythm: &str) -> Option<Rig> {
        let injector = Injector::in_rhythm_of(&self.plan, seed, faults.to_vec(), rhythm).ok()?;
        let plant = Plant::new(Arc::clone(&self.plan), seed);
        Some(Rig::new(plant, Box::new(Prompter(injector))))
    }

    /// What this scenario decides about a session.
    #[must_use]
    pub fn config(&self) -> SessionConfig {
        SessionConfig {
            tools: self.tools.clone(),
            stop_on_critical: self.stop_when_unsafe,
            time_limit: self.time_limit,
            others_locks: self.others_locks.clone(),
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
            variants: Vec::new(),
            answers: Vec::new(),
            pairs: Vec::new(),
            ambiguous: Vec::new(),
            tools: Tool::ALL.into_iter().collect(),
            time_limit: SimTime::from_secs(8 * 3600),
            stop_when_unsafe: false,
            others_locks: Vec::new(),
            retest: Retest::default(),
            operate: Vec::new(),
            rubric: Rubric::default(),
            digest: digest_of(&[source]),
        }
    }
}

pub(super) fn digest_of(texts: &[&str]) -> String {
    let mut hash = Sha256::new();
    for text in texts {
        hash.update((text.len() as u64).to_le_bytes());
        hash.update(text.as_bytes());
    }
    hex(&hash.finalize())
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
        let mut texts = vec![source.clone()];
        let bench = read_bench(shelf, file, &source, sources, &mut texts, out)?;
        let mut scenario = Scenario::of_bench(file, &source, bench);
        let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
        scenario.digest = digest_of(&texts);
        Some(scenario)
    } else {
        load_text(shelf, file, &source, sources, out)
    }
}

/// A bench, with the programs it names added to `texts`.
fn read_bench(
    shelf: &dyn Shelf,
    file: &str,
    source: &str,
    sources: &mut Sources,
    texts: &mut Vec<String>,
    out: &mut Diagnostics,
) -> Option<Bench> {
    let mut beside = |name: &str| {
        let text = shelf.text(name).map_err(|why| why.phrase())?;
        sources.add(name, text.as_str());
        texts.push(text.clone());
        Ok(text)
    };
    bench::load_with(file, source, &mut beside, out)
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

/// Reads a file, or says why it cannot be read: at `named_at` and as `missing` if it is not there.
pub fn fetch(
    shelf: &dyn Shelf,
    file: &str,
    named_at: Option<Place>,
    missing: Code,
    sources: &mut Sources,
    out: &mut Diagnostics,
) -> Option<String> {
    let why = match shelf.text(file) {
        Ok(text) => {
            sources.add(file, text.as_str());
            return Some(text);
        }
        Err(why) => why,
    };
    let place = named_at.unwrap_or_else(|| Place::file(file));
    let message = Phrase::new("io-unread").with("file", file).with("why", why.phrase());
    out.push(match why {
        Unread::Missing(_) => {
            Diagnostic::error(missing, message).at(place).help(Phrase::new("io-beside"))
        }
        Unread::TooLarge => {
            Diagnostic::error(Code::TOO_LARGE, message).at(place).help(Phrase::new("io-pasted"))
        }
        Unread::NotUtf8 { line, column } => {
            let help = Phrase::new("io-save-utf8-at").with("line", line).with("column", column);
            Diagnostic::error(Code::NOT_UTF8, message).at(place).help(help)
        }
    });
    None
}

fn load_text(
    shelf: &dyn Shelf,
    file: &str,
    source: &str,
    sources: &mut Sources,
    out: &mut Diagnostics,
) -> Option<Scenario> {
    let mut found = Diagnostics::new();
    let scenario = tree::parse(file, source, &mut found).and_then(|root| {
        let mut books = Books::new(shelf, sources, source.to_owned());
        read(&root, file, &mut books, &mut Reporter::new(file, &mut found))
    });
    let sound = !found.has_errors();
    out.extend(found);
    scenario.filter(|_| sound)
}

/// The files a scenario names.
pub(super) struct Books<'a> {
    shelf: &'a dyn Shelf,
    sources: &'a mut Sources,
    /// Texts read, the scenario's own first; what its digest is made of.
    texts: Vec<String>,
}

impl<'a> Books<'a> {
    /// The files that `own`, read from `shelf`, names.
    pub(super) fn new(shelf: &'a dyn Shelf, sources: &'a mut Sources, own: String) -> Self {
        Books { shelf, sources, texts: vec![own] }
    }

    /// The texts read so far.
    pub(super) fn texts(&self) -> impl Iterator<Item = &str> {
        self.texts.iter().map(String::as_str)
    }

    /// The text of the file that `node` names as `name`.
    fn open(
        &mut self,
        name: &str,
        node: &Node,
        missing: Code,
        report: &mut Reporter,
    ) -> Option<String> {
        if !plain_name(name) {
            report.error(
                Code::PATH_OUTSIDE,
                node.span,
                Phrase::new("task-not-beside").with("file", name),
                Phrase::new("task-same-folder"),
            );
            return None;
        }
        let place = Place::new(report.file(), node.span);
        let out = report.diagnostics();
        let text = fetch(self.shelf, name, Some(place), missing, self.sources, out)?;
        self.texts.push(text.clone());
        Some(text)
    }
}

/// The bench in the file that `node` names as `name`.
pub(super) fn plain_bench(
    name: &str,
    node: &Node,
    books: &mut Books,
    report: &mut Reporter,
) -> Option<Bench> {
    let text = books.open(name, node, Code::BENCH_NOT_FOUND, report)?;
    let out = report.diagnostics();
    read_bench(books.shelf, name, &text, books.sources, &mut books.texts, out)
}

fn read(root: &Node, file: &str, books: &mut Books, report: &mut Reporter) -> Option<Scenario> {
    let mut top = Fields::open(root, report)?;
    top.format(FORMAT, report);
    let title = top.text("title", report).unwrap_or_else(|| file.to_owned());
    let bench = top.need("bench", "\"press.bench.ron\"", report).and_then(|node| {
        let name = node.as_text(&mut report.about("`bench`"))?;
        Some((name.to_owned(), plain_bench(name, node, books, report)?))
    });
    let brief = top.text("brief", report).unwrap_or_default();
    let seed = top.take("seed").and_then(|n| n.as_whole(&mut report.about("`seed`"))).unwrap_or(1);
    let mut scripts = Vec::new();
    for (name, node) in top.texts("scripts", report) {
        let Some(text) = books.open(name, node, Code::SCRIPT_NOT_FOUND, report) else { continue };
        match Script::new(name, &text) {
            Ok(script) => scripts.push(script),
            Err(fault) => report.diagnostics().push(script_problem(&fault, &text)),
        }
    }
    // Without a bench, what does not need one is still checked.
    let plan = bench.as_ref().map(|(_, bench)| Arc::new(bench.plan.clone()));
    let named = top.take("faults");
    let given = named.is_some();
    let faults = named
        .and_then(|node| node.as_list(&mut report.about("`faults`")))
        .map(|list| read_faults(list, plan.as_deref(), report))
        .unwrap_or_default();
    let variants = read_faults(top.list("variants", report), plan.as_deref(), report);
    let answers = read_answers(top.list("answers", report), plan.as_deref(), report);
    let pairs = read_pairs(top.list("pairs", report), plan.as_deref(), report);
    let ambiguous = read_answers(top.list("ambiguous", report), plan.as_deref(), report);
    let tools = match top.take("tools") {
        None => Tool::ALL.into_iter().collect(),
        Some(node) => read_tools(node, report),
    };
    let time_limit = top
        .take("time_limit")
        .and_then(|node| node.as_duration(&mut report.about("`time_limit`")))
        .unwrap_or(SimTime::from_secs(3600));
    let stop_when_unsafe = top
        .take("stop_when_unsafe")
        .and_then(|node| node.as_flag(&mut report.about("`stop_when_unsafe`")))
        .unwrap_or(true);
    let lines = top.texts("retest", report);
    let actions = read_actions(&lines, report);
    check_length(&actions, &lines, report);
    let expect = read_expect(&top.texts("expect", report), plan.as_deref(), &actions, report);
    let retest = Retest { actions, expect };
    let others_locks = read_locks(&top.texts("others_locks", report), plan.as_deref(), report);
    let operate = read_actions(&top.texts("operate", report), report);
    let rubric = top.take("rubric").map(|node| read_rubric(node, report)).unwrap_or_default();
    let head = top.record().head();
    top.finish(report);
    if faults.is_empty() && scripts.is_empty() && !given {
        report.warning(
            Code::NO_FAULT,
            head,
            Phrase::new("task-no-fault"),
            Phrase::new("task-add-fault")
                .with("faults", "faults: [Fault(part: \"K1\", mode: \"open\")]")
                .with("none", "faults: []"),
        );
    }
    let (Some((bench_file, bench)), Some(plan)) = (bench, plan) else { return None };
    let texts: Vec<&str> = books.texts.iter().map(String::as_str).collect();
    Some(Scenario {
        title,
        bench_file,
        bench,
        plan,
        brief,
        seed,
        faults,
        scripts,
        variants,
        answers,
        pairs,
        ambiguous,
        tools,
        time_limit,
        stop_when_unsafe,
        others_locks,
        retest,
        operate,
        rubric,
        digest: digest_of(&texts),
    })
}

/// A script's failure as a diagnostic at its place.
#[must_use]
pub fn script_problem(fault: &ScriptFault, text: &str) -> Diagnostic {
    let code = script_code(fault.kind);
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
    Diagnostic::error(code, fault.message.clone()).at(place).help((*fault.help).clone())
}

/// A file name without any folder in it.
fn plain_name(name: &str) -> bool {
    !name.is_empty() && !name.contains(['/', '\\']) && name != ".." && name.len() <= 128
}

pub(super) fn read_faults(
    nodes: &[Node],
    plan: Option<&Plan>,
    report: &mut Reporter,
) -> Vec<Fault> {
    let mut faults = Vec::new();
    for node in nodes {
        let Some(mut fields) = Fields::open(node, report) else { continue };
        let known = part_and_mode(&mut fields, plan, report);
        let role = fields.text("role", report);
        let severity = fields
            .take("severity")
            .and_then(|node| node.as_number(&mut report.about("`severity`")));
        let onset = read_onset(&mut fields, known.as_ref().map(|(part, _)| part), report);
        let head = fields.record().head();
        fields.finish(report);
        let (Some((part, mode)), Some(plan)) = (known, plan) else { continue };
        let fault = Fault { part, mode, role, severity, onset };
        if let Err(problem) = Injector::new(plan, 0, vec![fault.clone()], Vec::new()) {
            report.error(Code::FAULT_OUT_OF_RANGE, head, problem.phrase(), problem.help());
            continue;
        }
        faults.push(fault);
    }
    faults
}

/// Pairs such as `[Fault(part: "K1", mode: "open"), Fault(part: "K2", mode: "open")]`.
fn read_pairs(nodes: &[Node], plan: Option<&Plan>, report: &mut Reporter) -> Vec<[Fault; 2]> {
    let mut pairs = Vec::new();
    if let Some(node) = nodes.get(PAIR_LIMIT) {
        report.error(
            Code::TOO_LARGE,
            node.span,
            Phrase::new("task-many-pairs").with("most", PAIR_LIMIT),
            Phrase::new("task-each-simulated"),
        );
        return pairs;
    }
    for node in nodes {
        let Some(list) = node.as_list(&mut report.about("`pairs`")) else { continue };
        let faults = read_faults(list, plan, report);
        let told = report.diagnostics().has_errors();
        match <[Fault; 2]>::try_from(faults) {
            Ok(pair) if pair[0].part != pair[1].part || pair[0].mode != pair[1].mode => {
                if pair.iter().any(|f| f.onset != Onset::Start) {
                    report.error(
                        Code::INCONSISTENT_VALUES,
                        node.span,
                        Phrase::new("task-pair-onset"),
                        Phrase::new("task-no-onset"),
                    );
                }
                pairs.push(pair);
            }
            // What is wrong with a single fault has been said.
            Err(short) if told && short.len() < 2 && list.len() == 2 => {}
            _ => report.error(
                Code::INCONSISTENT_VALUES,
                node.span,
                Phrase::new("task-pair"),
                Phrase::new("task-write").with(
                    "example",
                    "[Fault(part: \"K1\", mode: \"open\"), Fault(part: \"F1\", mode: \"blown\")]",
                ),
            ),
        }
    }
    pairs
}

/// When a fault comes; `part` is the one it sits in.
fn read_onset(fields: &mut Fields, part: Option<&String>, report: &mut Reporter) -> Onset {
    let at = timed(fields, "at", report);
    let present = timed(fields, "present", report);
    let absent = timed(fields, "absent", report).and_then(|(_, time)| time);
    let cycles = fields
        .take("after_cycles")
        .map(|node| (node, node.as_count(1, 1_000_000, &mut report.about("`after_cycles`"))));
    let of = fields.text("of", report);
    let ways = [at.map(|w| w.0), cycles.map(|w| w.0), present.map(|w| w.0)];
    if let Some(second) = ways.into_iter().flatten().nth(1) {
        report.error(
            Code::INCONSISTENT_VALUES,
            second.span,
            Phrase::new("task-one-way"),
            Phrase::new("task-keep-one"),
        );
    }
    let second = SimTime::from_secs(10);
    match (at, cycles, present) {
        (Some((_, at)), ..) => at.map_or(Onset::Start, Onset::At),
        (_, Some((_, cycles)), _) => Onset::AfterCycles {
            part: of.or(part.cloned()).unwrap_or_default(),
            cycles: cycles.and_then(|n| u32::try_from(n).ok()).unwrap_or(1),
        },
        (_, _, Some((_, present))) => Onset::Intermittent {
            present: present.unwrap_or(second),
            absent: absent.unwrap_or(second),
        },
        _ => Onset::Start,
    }
}

/// A field that holds a span of time, with its node.
fn timed<'n>(
    fields: &mut Fields<'n>,
    key: &'static str,
    report: &mut Reporter,
) -> Option<(&'n Node, Option<SimTime>)> {
    let node = fields.take(key)?;
    Some((node, node.as_duration(&mut report.about(&format!("`{key}`")))))
}

/// The part and the mode of a fault or an answer, checked against the bench if there is one.
fn part_and_mode(
    fields: &mut Fields,
    plan: Option<&Plan>,
    report: &mut Reporter,
) -> Option<(String, String)> {
    let part = fields.need("part", "\"K1\"", report);
    let mode = fields.need("mode", "\"open\"", report);
    let (part_node, mode_node) = (part?, mode?);
    let part = part_node.as_text(&mut report.about("`part`"));
    let mode = mode_node.as_text(&mut report.about("`mode`"));
    let (part, mode, plan) = (part?, mode?, plan?);
    let Some(id) = plan.part(part) else {
        let help = match nearest(part, plan.parts.iter().map(|p| p.tag.as_str())) {
            Some(near) => Phrase::new("did-you-mean").with("nearest", near),
            None => Phrase::new("task-no-part"),
        };
        report.error(
            Code::UNKNOWN_PART,
            part_node.span,
            Phrase::new("task-not-on-bench").with("part", part),
            help,
        );
        return None;
    };
    let modes = modes_of(plan, id);
    if !modes.iter().any(|(spec, _, _)| spec.id == mode) {
        let mut names: Vec<&str> = modes.iter().map(|(spec, _, _)| spec.id).collect();
        names.sort_unstable();
        names.dedup();
        let help = match nearest(mode, names.iter().copied()) {
            Some(near) => Phrase::new("did-you-mean-text").with("nearest", near),
            None if names.is_empty() => Phrase::new("fault-nothing-fails"),
            None => {
                let phrase = Phrase::new("task-can-have").with("part", part);
                phrase.with("known", names.join(", "))
            }
        };
        report.error(
            Code::UNKNOWN_FAULT_MODE,
            mode_node.span,
            Phrase::new("fault-no-mode").with("part", part).with("mode", mode),
            help,
        );
        return None;
    }
    Some((part.to_owned(), mode.to_owned()))
}

fn read_answers(nodes: &[Node], plan: Option<&Plan>, report: &mut Reporter) -> Vec<Answer> {
    let mut answers = Vec::new();
    for node in nodes {
        let Some(mut fields) = Fields::open(node, report) else { continue };
        if let Some((part, mode)) = part_and_mode(&mut fields, plan, report) {
            answers.push(Answer { part, mode });
        }
        fields.finish(report);
    }
    answers
}

fn read_tools(node: &Node, report: &mut Reporter) -> BTreeSet<Tool> {
    let names = Tool::ALL.map(Tool::word);
    let listed = node.as_texts(&mut report.about("`tools`")).unwrap_or_default();
    listed
        .into_iter()
        .filter_map(|(_, node)| {
            let name = node.as_choice(&names, Code::UNKNOWN_TOOL, &mut report.about("`tools`"))?;
            Tool::ALL.into_iter().find(|tool| tool.word() == name)
        })
        .collect()
}

pub(super) fn read_actions(lines: &[(&str, &Node)], report: &mut Reporter) -> Vec<Action> {
    lines
        .iter()
        .filter_map(|(line, node)| match session::parse(line) {
            Ok(action) => Some(action),
            Err(problem) => {
                // Columns count from 1, in characters.
                let mut letters = line.char_indices().skip(problem.column.saturating_sub(1));
                let at = letters.next().map_or(line.len(), |(at, _)| at);
                let span = node.inner_span(at, at + 1);
                report.error(Code::UNKNOWN_ACTION, span, problem.message, problem.help);
                None
            }
        })
        .collect()
}

/// The functional test ends within the marker's time, or it can never be passed.
fn check_length(actions: &[Action], lines: &[(&str, &Node)], report: &mut Reporter) {
    let waits = actions.iter().map(|action| match action {
        Action::Wait { ns } => *ns,
        _ => 0,
    });
    let limit = TRIAL_LIMIT.as_nanos();
    if waits.fold(0, u64::saturating_add) < limit {
        return;
    }
    if let Some((_, node)) = lines.last() {
        let minutes = limit / 60_000_000_000;
        report.error(
            Code::UNREACHABLE_TASK,
            node.span,
            Phrase::new("task-waits").with("minutes", minutes.to_string()),
            Phrase::new("task-wait-less").with("minutes", minutes.to_string()),
        );
    }
}

/// What is expected of the machine, checked against the bench if there is one.
pub(super) fn read_expect(
    lines: &[(&str, &Node)],
    plan: Option<&Plan>,
    actions: &[Action],
    report: &mut Reporter,
) -> Vec<Expectation> {
    let Some(plan) = plan else { return Vec::new() };
    let mut expect = Vec::new();
    for (line, node) in lines {
        match Expectation::parse(line, plan, actions) {
            Ok(one) => expect.push(one),
            Err((message, help)) => {
                report.error(Code::UNREACHABLE_TASK, node.span, message, help);
            }
        }
    }
    expect
}

/// Isolators that somebody else has locked.
fn read_locks(lines: &[(&str, &Node)], plan: Option<&Plan>, report: &mut Reporter) -> Vec<PartId> {
    let Some(plan) = plan else { return Vec::new() };
    let mut locks = Vec::new();
    for (tag, node) in lines {
        let part = plan.part(tag);
        let isolator = |p: &PartId| session::takes_a_lock(plan.parts[p.index()].class);
        match part.filter(isolator) {
            Some(part) => locks.push(part),
            None => report.error(
                Code::UNKNOWN_PART,
                node.span,
                Phrase::new("task-no-isolator").with("part", *tag),
                Phrase::new("task-lock").with("example", "others_locks: [\"Q0\"]"),
            ),
        }
    }
    locks
}

fn read_rubric(node: &Node, report: &mut Reporter) -> Rubric {
    let mut rubric = Rubric::default();
    let Some(mut fields) = Fields::open(node, report) else { return rubric };
    if let Some(node) = fields.take("version")
        && let Some(version) = node.as_whole(&mut report.about("`version`"))
    {
        rubric.version = version;
    }
    let mut share = |key| {
        let node = fields.take(key)?;
        let value = node.as_number(&mut report.about(&format!("`{key}`")))?;
        if (0.0..=100.0).contains(&value) {
            return Some(value);
        }
        report.error(
            Code::BAD_WEIGHTS,
            node.span,
            Phrase::new("task-share").with("field", key).with("share", value.to_string()),
            Phrase::new("tree-may-be").with("low", "0").with("high", "100"),
        );
        None
    };
    if let Some(pass) = share("pass") {
        rubric.pass = pass;
    }
    let written = Criterion::ALL.map(|criterion| share(criterion.name()));
    if written.iter().any(Option::is_some) {
        rubric.weights = written.map(|value| value.unwrap_or(0.0));
    }
    if let Some(percent) = share("lucky") {
        rubric.lucky = percent / 100.0;
    }
    if let Some(percent) = share("wrong_but_consistent") {
        rubric.consistent = percent / 100.0;
    }
    if let Some(node) = fields.take("gate")
        && let Some(gate) = node.as_flag(&mut report.about("`gate`"))
    {
        rubric.gate = gate;
    }
    if let Some(node) = fields.take("bands") {
        rubric.bands = read_bands(node, report);
    }
    if let Some(node) = fields.take("loss") {
        rubric.loss = read_loss(node, report);
    }
    let head = fields.record().head();
    fields.finish(report);
    let sum: f64 = rubric.weights.iter().sum();
    if (sum - 100.0).abs() > 1e-6 {
        report.error(
            Code::BAD_WEIGHTS,
            head,
            Phrase::new("task-weights").with("sum", sum.to_string()),
            Phrase::new("task-all-weights")
                .with("list", Criterion::ALL.map(Criterion::name).join(", ")),
        );
    }
    rubric
}

/// Bands such as `["0.25 100 %", "0.75 60 %"]`.
fn read_loss(node: &Node, report: &mut Reporter) -> Vec<LossBand> {
    let mut bands: Vec<LossBand> = Vec::new();
    for (line, node) in node.as_texts(&mut report.about("`loss`")).unwrap_or_default() {
        let words: Vec<&str> = line.split_whitespace().collect();
        let parsed = match words.as_slice() {
            [ratio, share, "%"] => match (ratio.parse::<f64>(), share.parse::<f64>()) {
                (Ok(ratio), Ok(share))
                    if (0.0..=1_000.0).contains(&ratio) && (0.0..=100.0).contains(&share) =>
                {
                    Some(LossBand { ratio, share: share / 100.0 })
                }
                _ => None,
            },
            _ => None,
        };
        let help =
            Phrase::new("task-loss-write").with("example", "[\"0.25 100 %\", \"0.75 60 %\"]");
        match parsed {
            Some(band) if bands.last().is_none_or(|last| band.ratio > last.ratio) => {
                bands.push(band);
            }
            Some(_) => report.error(
                Code::BAD_WEIGHTS,
                node.span,
                Phrase::new("task-loss-order").with("written", line),
                help,
            ),
            None => report.error(
                Code::BAD_WEIGHTS,
                node.span,
                Phrase::new("task-loss-none").with("written", line),
                help,
            ),
        }
    }
    bands
}

/// Bands such as `["20 min 100 %", "30 min 60 %"]`.
fn read_bands(node: &Node, report: &mut Reporter) -> Vec<Band> {
    let mut bands: Vec<Band> = Vec::new();
    for (line, node) in node.as_texts(&mut report.about("`bands`")).unwrap_or_default() {
        let parsed = line.rsplit_once(' ').and_then(|(head, unit)| {
            let (time, share) = head.rsplit_once(' ')?;
            let share: f64 = share.parse().ok()?;
            (unit == "%" && (0.0..=100.0).contains(&share))
                .then(|| parse_duration(time).ok())
                .flatten()
                .map(|t| Band { seconds: t.as_secs_f64(), share: share / 100.0 })
        });
        let example = "[\"20 min 100 %\", \"30 min 60 %\"]";
        let help = Phrase::new("task-band-write").with("example", example);
        match parsed {
            Some(band) if bands.last().is_none_or(|last| band.seconds > last.seconds) => {
                bands.push(band);
            }
            Some(_) => report.error(
                Code::BAD_WEIGHTS,
                node.span,
                Phrase::new("task-band-order").with("written", line),
                help,
            ),
            None => report.error(
                Code::BAD_WEIGHTS,
                node.span,
                Phrase::new("task-band-none").with("written", line),
                help,
            ),
        }
    }
    bands
}
