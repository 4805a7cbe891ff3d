//! A guided drill: questions about machines, each with choices of which the machine itself proves one.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::base::SimTime;
use crate::bench::Bench;
use crate::bench::tree::{self, Fields, Node, Value};
use crate::diagnostic::{Code, Diagnostics, Reporter, Sources};
use crate::fault::Fault;
use crate::language::Phrase;
use crate::session::{Action, LogEntry};

use super::expect::Expectation;
use super::load::{
    Books, FORMAT, Scenario, digest_of, fetch, plain_bench, read_actions, read_expect, read_faults,
};
use super::shelf::Shelf;
use super::trial::Trial;

/// Most questions of a drill.
const QUESTIONS: usize = 32;
/// Most choices of a question: `a` to `f`.
const CHOICES: usize = 6;
/// Most actions of a proof.
const ACTIONS: usize = 64;
/// Bench time that a proof may take.
const PROOF_LIMIT: SimTime = SimTime::from_secs(3600);
/// Most integration steps of a proof.
const PROOF_STEPS: u64 = 200_000;

/// A guided drill.
#[derive(Clone, Debug)]
pub struct Drill {
    /// Name for people.
    pub title: String,
    /// What it is about.
    pub brief: String,
    /// The questions, in their order; at least one.
    pub questions: Vec<Question>,
}

/// One question, with what its machine did when it was put to the proof.
#[derive(Clone, Debug)]
pub struct Question {
    /// What is asked.
    pub ask: String,
    /// The machine, with its faults if it has any.
    pub scenario: Arc<Scenario>,
    /// What is done with it.
    pub prove: Vec<Action>,
    /// What can be said; at least two.
    pub choices: Vec<Choice>,
    /// Index of the choice that holds: found by the proof, never authored.
    pub right: usize,
    /// What was done, and what came of it.
    pub proof: Vec<LogEntry>,
    /// Why it is so.
    pub because: String,
}

/// A prediction that can be chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// In words.
    pub say: String,
    /// What the machine must then do, and what it must not.
    pub when: Vec<Expectation>,
}

/// The letter of the `k`th choice.
#[must_use]
pub fn letter(k: usize) -> char {
    char::from(b'a' + u8::try_from(k).unwrap_or(25).min(25))
}

/// Whether the text of a file is that of a drill.
#[must_use]
pub fn is_drill(file: &str, source: &str) -> bool {
    let root = tree::parse(file, source, &mut Diagnostics::new());
    root.is_some_and(|node| match &node.value {
        Value::Record { name, fields } => {
            name.as_ref().is_some_and(|(n, _)| n == "Drill")
                || fields.iter().any(|f| f.key == "questions")
        }
        _ => false,
    })
}

/// Loads the drill `file` from `shelf` and puts each of its questions to the proof. Problems go to
/// `out`, texts read to `sources`.
pub fn load_drill(
    shelf: &dyn Shelf,
    file: &str,
    sources: &mut Sources,
    out: &mut Diagnostics,
) -> Option<Drill> {
    let source = fetch(shelf, file, None, Code::UNREADABLE, sources, out)?;
    let mut found = Diagnostics::new();
    let drill = tree::parse(file, &source, &mut found).and_then(|root| {
        let mut books = Books::new(shelf, sources, source);
        read(&root, file, &mut books, &mut Reporter::new(file, &mut found))
    });
    let sound = !found.has_errors();
    out.extend(found);
    drill.filter(|_| sound)
}

/// Benches by the name of their file; `None` where one does not load.
type Benches = BTreeMap<String, Option<Bench>>;

fn read(root: &Node, file: &str, books: &mut Books, report: &mut Reporter) -> Option<Drill> {
    let mut top = Fields::open(root, report)?;
    top.format(FORMAT, report);
    let title = top.text("title", report).unwrap_or_else(|| file.to_owned());
    let brief = top.text("brief", report).unwrap_or_default();
    let mut questions = Vec::new();
    let mut benches = Benches::new();
    let example = "[Question(ask: \"...\", bench: \"press.bench.ron\", ...)]";
    if let Some(node) = top.need("questions", example, report)
        && let Some(list) = node.as_list(&mut report.about("`questions`"))
    {
        if list.is_empty() {
            let help = Phrase::new("drills-add").with("example", example);
            report.error(Code::EMPTY, node.span, Phrase::new("drills-no-question"), help);
        }
        if let Some(node) = list.get(QUESTIONS) {
            let help = Phrase::new("drills-second").with("most", QUESTIONS);
            report.error(Code::TOO_LARGE, node.span, Phrase::new("drills-many-questions"), help);
        }
        for node in list.iter().take(QUESTIONS) {
            questions.extend(question(node, &title, books, &mut benches, report));
        }
    }
    top.finish(report);
    Some(Drill { title, brief, questions })
}

fn question(
    node: &Node,
    title: &str,
    books: &mut Books,
    benches: &mut Benches,
    report: &mut Reporter,
) -> Option<Question> {
    let before = report.diagnostics().error_count();
    let mut fields = Fields::open(node, report)?;
    let head = fields.record().head();
    let ask = fields
        .need("ask", "\"Which way does it move?\"", report)
        .and_then(|node| node.as_text(&mut report.about("`ask`")))
        .unwrap_or_default()
        .to_owned();
    let bench = fields.need("bench", "\"press.bench.ron\"", report).and_then(|node| {
        let name = node.as_text(&mut report.about("`bench`"))?;
        if let Some(known) = benches.get(name) {
            return known.clone().map(|bench| (name.to_owned(), bench));
        }
        let bench = plain_bench(name, node, books, report);
        benches.insert(name.to_owned(), bench.clone());
        Some((name.to_owned(), bench?))
    });
    let plan = bench.as_ref().map(|(_, bench)| Arc::new(bench.plan.clone()));
    let faults = read_faults(fields.list("faults", report), plan.as_deref(), report);
    let lines = fields
        .need("prove", "[\"press S1\", \"wait 3 s\"]", report)
        .and_then(|node| node.as_texts(&mut report.about("`prove`")))
        .unwrap_or_default();
    if let Some((_, node)) = lines.get(ACTIONS) {
        let help = Phrase::new("drills-long-proof").with("most", ACTIONS);
        report.error(Code::TOO_LARGE, node.span, Phrase::new("drills-many-actions"), help);
    }
    let prove = read_actions(&lines, report);
    let mut choices = Vec::new();
    for node in fields.list("choices", report) {
        let Some(mut fields) = Fields::open(node, report) else { continue };
        let say = fields
            .need("say", "\"The rod goes out.\"", report)
            .and_then(|node| node.as_text(&mut report.about("`say`")))
            .unwrap_or_default()
            .to_owned();
        let when = fields.need("when", "[\"1A1 extended\"]", report);
        let lines = when.and_then(|node| node.as_texts(&mut report.about("`when`")));
        if let (Some(node), Some([])) = (when, lines.as_deref()) {
            let help = Phrase::new("drills-write-when").with("example", "when: [\"1A1 extended\"]");
            report.error(Code::EMPTY, node.span, Phrase::new("drills-nothing"), help);
        }
        let when = read_expect(&lines.unwrap_or_default(), plan.as_deref(), &prove, report);
        fields.finish(report);
        choices.push(Choice { say, when });
    }
    let because = fields.text("because", report).unwrap_or_default();
    fields.finish(report);
    if !(2..=CHOICES).contains(&choices.len()) {
        let message = Phrase::new("drills-choices").with("most", CHOICES);
        let message = message.with("count", choices.len());
        let example = "[Choice(say: \"...\", when: [\"1A1 extended\"]), ...]";
        let help = Phrase::new("drills-write-choices").with("example", example);
        report.error(Code::DRILL_UNDECIDED, head, message, help);
    }
    if report.diagnostics().error_count() > before {
        return None;
    }
    let scenario = Arc::new(machine(title, &ask, bench?, faults, books));
    let (right, proof) = decide(&scenario, &prove, &choices, &lines, node, report)?;
    Some(Question { ask, scenario, prove, choices, right, proof, because })
}

/// The machine of a question as a scenario, so that whatever practises one can take it.
fn machine(
    title: &str,
    ask: &str,
    (file, bench): (String, Bench),
    faults: Vec<Fault>,
    books: &Books,
) -> Scenario {
    let mut scenario = Scenario::of_bench(&file, "", bench);
    let texts = books.texts().chain([ask]);
    scenario.digest = digest_of(&texts.collect::<Vec<_>>());
    title.clone_into(&mut scenario.title);
    ask.clone_into(&mut scenario.brief);
    scenario.faults = faults;
    scenario.time_limit = PROOF_LIMIT;
    scenario
}

/// Puts the machine to the proof: the only choice that holds, and what was done.
fn decide(
    scenario: &Scenario,
    prove: &[Action],
    choices: &[Choice],
    lines: &[(&str, &Node)],
    node: &Node,
    report: &mut Reporter,
) -> Option<(usize, Vec<LogEntry>)> {
    let rig = match scenario.rig(scenario.seed) {
        Ok(rig) => rig.limited(PROOF_STEPS),
        Err(problem) => {
            report.error(Code::FAULT_OUT_OF_RANGE, node.span, problem.phrase(), None);
            return None;
        }
    };
    let all = choices.iter().flat_map(|c| &c.when);
    let trial = match Trial::run(rig, prove, all, PROOF_LIMIT) {
        Ok(trial) => trial,
        Err((k, problem)) => {
            let place = lines.get(k).map_or(node.span, |(_, node)| node.span);
            let message = Phrase::new("drills-cannot")
                .with("action", prove[k].to_string())
                .with("why", problem.phrase());
            let help = Phrase::new("drills-another-way");
            report.error(Code::ACTION_REFUSED, place, message, help);
            return None;
        }
    };
    let missed: Vec<_> = choices.iter().map(|c| trial.missed(&c.when)).collect();
    let hold: Vec<usize> = (0..choices.len()).filter(|k| missed[*k].is_empty()).collect();
    if let [right] = hold.as_slice() {
        return Some((*right, trial.log));
    }
    let (message, help) = if hold.is_empty() {
        let first = |(k, m): (usize, &Vec<&Expectation>)| {
            m.first().map(|line| format!("{}: \"{line}\"", letter(k)))
        };
        let told: Vec<String> = missed.iter().enumerate().filter_map(first).collect();
        let help = Phrase::new("drills-not-so").with("list", told.join("; "));
        (Phrase::new("drills-none-holds"), help)
    } else {
        let told: Vec<String> = hold.iter().map(|k| letter(*k).to_string()).collect();
        let message = Phrase::new("drills-together").with("list", told.join(", "));
        (message, Phrase::new("drills-tell-apart"))
    };
    let head = node.as_record(&mut Reporter::new("", &mut Diagnostics::new()))?.head();
    report.error(Code::DRILL_UNDECIDED, head, message, help);
    None
}
