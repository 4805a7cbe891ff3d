//! How an attempt is judged.

use crate::base::{SimTime, ops};
use crate::fault::mode_named;
use crate::plant::{Plan, What};
use crate::scenario::{Criterion, Scenario};
use crate::session::{
    Action, Attempt, Ended, Finger, Hazard, JournalError, LogEntry, ReplayError, Session,
    SessionConfig, Severity,
};

use super::case::Case;
use super::mark::{CriterionMark, Grade, HazardLine, StoryLine, Verdict};

/// Marks a major hazard costs.
const MAJOR_COST: f64 = 5.0;
/// Bench time the marker's own trial of the machine may take.
const RETEST_LIMIT: SimTime = SimTime::from_secs(600);

/// Why an attempt cannot be graded.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GradeError {
    /// The file is no attempt.
    #[error("the attempt cannot be read")]
    Journal(Vec<JournalError>),
    /// It was made at another scenario, or another version of it.
    #[error("the attempt was made at another scenario (digest {attempt}, here {scenario})")]
    OtherScenario {
        /// Digest in the attempt.
        attempt: String,
        /// Digest of the scenario.
        scenario: String,
    },
    /// An action cannot be repeated.
    #[error("{0}")]
    Replay(ReplayError),
    /// The scenario itself fails: a script.
    #[error("the scenario fails: {0}")]
    Scenario(String),
}

/// A part and its fault mode.
pub(super) type Claim = (String, String);

pub(super) fn judge(
    scenario: &Scenario,
    attempt: &Attempt,
    session: &Session,
    case: Option<&Case>,
) -> Grade {
    let log = session.log();
    let plan = session.plan();
    let mut truth: Vec<Claim> = session
        .rig()
        .director()
        .injected()
        .into_iter()
        .map(|f| (plan.parts[f.part.index()].tag.clone(), f.fault.mode))
        .collect();
    truth.dedup();
    let right: Vec<Claim> = truth
        .iter()
        .cloned()
        .chain(scenario.answers.iter().map(|a| (a.part.clone(), a.mode.clone())))
        .collect();
    let named: Vec<Claim> = log
        .iter()
        .filter_map(|e| match &e.action {
            Action::Name { part, mode } => Some((part.clone(), mode.clone())),
            _ => None,
        })
        .collect();
    let hazards: Vec<HazardLine> = log.iter().flat_map(hazard_lines).collect();
    let gate = hazards.iter().all(|h| h.severity != "critical");
    let majors = hazards.iter().filter(|h| h.severity == "major").count();
    let works = retest(scenario, session, &truth, log);
    let seconds = session.now().as_secs_f64();
    let mut feedback = Vec::new();
    let mut criteria = Vec::new();
    let mut mark = |criterion: Criterion, share: f64, why: String| {
        let weight = scenario.rubric.weight(criterion);
        criteria.push(CriterionMark {
            criterion: criterion.name(),
            asks: criterion.asks(),
            weight,
            marks: tenth(weight * share.clamp(0.0, 1.0)),
            why,
        });
    };
    let (share, why) = symptom(log, &mut feedback);
    mark(Criterion::Symptom, share, why);
    let last = named.last();
    let (share, why) = method(session, &right, case, &mut feedback);
    mark(Criterion::Method, share, why);
    let part_right = last.is_some_and(|n| right.iter().any(|r| r.0 == n.0));
    let mode_right = last.is_some_and(|n| {
        right.iter().any(|r| r.0 == n.0 && mode_of(plan, n) == Some(r.1.as_str()))
    });
    let said = last.map_or_else(|| "no fault was named".to_owned(), |n| format!("named {}", n.0));
    mark(Criterion::Part, f64::from(u8::from(part_right)), said);
    let said =
        last.map_or_else(|| "no fault was named".to_owned(), |n| format!("named \"{}\"", n.1));
    mark(Criterion::Mode, f64::from(u8::from(mode_right)), said);
    if !part_right {
        feedback.push(match last {
            None => "Name the fault before you hand back: `name PART FAULT`.".to_owned(),
            Some(n) => format!(
                "{} was not what was wrong. Ask of every reading which parts it clears, and name a \
                 part only when nothing else is left.",
                n.0
            ),
        });
    } else if !mode_right {
        feedback.push(
            "The part was right, but not what is wrong with it. One more measurement at the part \
             itself would have told."
                .to_owned(),
        );
    }
    let noted = before_touching(log).iter().any(|e| wrote(&e.action));
    let (share, why) = match case {
        Some(case) => case.evidence(&scenario.rubric, noted, &mut feedback),
        None => (0.0, "the evidence could not be worked out".to_owned()),
    };
    mark(Criterion::Evidence, share, why);
    let tried = tried_after_repair(log);
    let share = match (works, tried) {
        (true, true) => 1.0,
        (true, false) => 0.6,
        (false, _) => 0.0,
    };
    let why = match (works, tried) {
        (true, true) => "the machine works, and was tried after the repair",
        (true, false) => "the machine works, but was not tried after the repair",
        (false, _) => "the machine does not do what it should",
    };
    mark(Criterion::Repair, share, why.to_owned());
    if works && !tried {
        feedback
            .push("Run a full cycle after a repair, before you hand the machine back.".to_owned());
    }
    if !works {
        feedback.push("At the end the machine still did not do its work.".to_owned());
    }
    let left: Vec<&str> = log
        .iter()
        .flat_map(|e| &e.outcome.hazards)
        .filter(|h| matches!(h.hazard, Hazard::OverrideLeft | Hazard::LeftOpen))
        .map(|h| h.hazard.text())
        .collect();
    let handed = session.ended() == Some(Ended::HandedBack);
    let share = if handed && left.is_empty() { 1.0 } else { 0.0 };
    let why = if !handed {
        "the machine was not handed back".to_owned()
    } else if left.is_empty() {
        "handed back with nothing left behind".to_owned()
    } else {
        left.join(" ")
    };
    mark(Criterion::HandBack, share, why);
    let (efficient, why) = if part_right && works {
        let bands = &scenario.rubric.bands;
        let in_time = bands.iter().find(|b| seconds <= b.seconds).map_or(0.0, |b| b.share);
        let in_time = if bands.is_empty() { 1.0 } else { in_time };
        let loss = case.map_or(0.0, Case::loss);
        let bands = &scenario.rubric.loss;
        let lost = bands.iter().find(|b| loss <= b.ratio).map_or(0.0, |b| b.share);
        let why = format!(
            "lost {:.0} % of what the search should take; {:.1} min of bench time",
            100.0 * loss,
            seconds / 60.0
        );
        (lost.min(in_time), why)
    } else {
        (0.0, "counts only when the fault is found and mended".to_owned())
    };
    mark(Criterion::Efficiency, efficient, why);
    let sum: f64 = criteria.iter().map(|c| c.marks).sum();
    let marks = tenth((sum - MAJOR_COST * majors as f64).max(0.0));
    if majors > 0 {
        feedback.push(format!(
            "{majors} careless act{} cost {:.0} marks.",
            if majors == 1 { "" } else { "s" },
            MAJOR_COST * majors as f64
        ));
    }
    if let Some(case) = case {
        case.advice(&mut feedback);
    }
    if !gate {
        feedback.insert(
            0,
            "A critical act fails the safety gate, whatever the marks: somebody could have been \
             hurt."
                .to_owned(),
        );
    }
    let competent = (gate || !scenario.rubric.gate)
        && part_right
        && mode_right
        && works
        && marks >= scenario.rubric.pass;
    let words = |list: &[Claim]| list.iter().map(|(p, m)| format!("{p} {m}")).collect();
    Grade {
        format: 2,
        learner: attempt.header.learner.chars().take(64).collect(),
        scenario: scenario.title.clone(),
        scenario_digest: scenario.digest.clone(),
        seed: attempt.header.seed,
        engine: env!("CARGO_PKG_VERSION"),
        rubric: scenario.rubric.version,
        verdict: if competent { Verdict::Competent } else { Verdict::NotYetCompetent },
        gate,
        marks,
        criteria,
        named: words(&named),
        truth: words(&truth),
        ended: ended_words(session.ended()).to_owned(),
        bench_seconds: ops::round_significant(seconds, 9),
        hazards,
        evidence: case.map(Case::report),
        feedback,
        story: log.iter().map(story_line).collect(),
        digest: session.rig().plant().digest(),
    }
}

/// The mode that a claim names.
pub(super) fn mode_of(plan: &Plan, claim: &Claim) -> Option<&'static str> {
    mode_named(plan, plan.part(&claim.0)?, &claim.1)
}

fn tenth(marks: f64) -> f64 {
    (marks * 10.0).round() / 10.0
}

fn ended_words(ended: Option<Ended>) -> &'static str {
    match ended {
        Some(Ended::HandedBack) => "handed back",
        Some(Ended::Unsafe) => "stopped as unsafe",
        Some(Ended::TimeUp) => "time was up",
        Some(Ended::Broken) => "the machine could not go on",
        None => "never handed back",
    }
}

fn hazard_lines(entry: &LogEntry) -> Vec<HazardLine> {
    entry
        .outcome
        .hazards
        .iter()
        .map(|h| HazardLine {
            at: h.at.to_string(),
            severity: match h.hazard.severity() {
                Severity::Critical => "critical",
                Severity::Major => "major",
            },
            what: h.to_string(),
            why: h.hazard.explanation(),
        })
        .collect()
}

fn story_line(entry: &LogEntry) -> StoryLine {
    let mut told = entry.outcome.lines.clone();
    told.extend(entry.outcome.seen.iter().map(|s| format!("{} {}", s.at, s.text)));
    StoryLine { at: entry.started.to_string(), action: entry.action.to_string(), told }
}

/// Touches the machine's own parts.
fn intervenes(action: &Action) -> bool {
    matches!(
        action,
        Action::Replace { .. }
            | Action::Repair { .. }
            | Action::Clean { .. }
            | Action::Adjust { .. }
            | Action::SwapPlugs { .. }
            | Action::Open { .. }
    )
}

pub(super) fn mends(action: &Action) -> Option<&str> {
    match action {
        Action::Replace { part } | Action::Repair { part } | Action::Clean { part } => Some(part),
        _ => None,
    }
}

fn operates(action: &Action) -> bool {
    matches!(action, Action::Press { .. } | Action::Hold { .. } | Action::Turn { .. })
}

fn measures(action: &Action) -> bool {
    matches!(
        action,
        Action::Volts { .. }
            | Action::Ohms { .. }
            | Action::Continuity { .. }
            | Action::Amps { .. }
            | Action::Clamp { .. }
            | Action::Gauge { .. }
            | Action::Temperature { .. }
    )
}

fn wrote(action: &Action) -> bool {
    matches!(action, Action::Note { .. } | Action::Predict { .. } | Action::Suspect { .. })
}

/// The entries before the first intervention.
fn before_touching(log: &[LogEntry]) -> &[LogEntry] {
    let first = log.iter().position(|e| intervenes(&e.action)).unwrap_or(log.len());
    &log[..first]
}

fn symptom(log: &[LogEntry], feedback: &mut Vec<String>) -> (f64, String) {
    let early = before_touching(log);
    let operated = early.iter().any(|e| operates(&e.action));
    let noted = early.iter().any(|e| wrote(&e.action));
    if !operated {
        feedback.push("Operate the machine first: the symptom is the first reading.".to_owned());
    }
    if !noted {
        feedback.push("Write the symptom down before you touch anything.".to_owned());
    }
    let why = match (operated, noted) {
        (true, true) => "operated first and wrote the symptom down",
        (true, false) => "operated first, wrote nothing down",
        (false, true) => "wrote something down, did not operate first",
        (false, false) => "neither operated nor wrote anything down before touching",
    };
    (0.5 * f64::from(u8::from(operated)) + 0.5 * f64::from(u8::from(noted)), why.to_owned())
}

fn method(
    session: &Session,
    right: &[Claim],
    case: Option<&Case>,
    feedback: &mut Vec<String>,
) -> (f64, String) {
    let log = session.log();
    // A blown fuse or a burnt coil has to be replaced, though something else made it so.
    let spent = |tag: &str| session.plan().part(tag).is_some_and(|id| session.was_spent(id));
    let measured = before_touching(log).iter().filter(|e| measures(&e.action)).count();
    let mut swapped: Vec<&str> = log
        .iter()
        .filter_map(|e| mends(&e.action))
        .filter(|part| !right.iter().any(|r| r.0 == *part) && !spent(part))
        .collect();
    swapped.dedup();
    let mut share: f64 = if measured > 0 { case.map_or(1.0, Case::method) } else { 0.3 };
    share -= 0.35 * swapped.len() as f64;
    if measured == 0 {
        feedback.push("Measure before you reach for a spare part.".to_owned());
    }
    if !swapped.is_empty() {
        feedback.push(format!(
            "{} {} sound: a part is replaced because a reading condemns it.",
            swapped.join(" and "),
            if swapped.len() == 1 { "was" } else { "were" }
        ));
    }
    let idle = case.map_or(0, |c| c.trail().idle_looks);
    let why = format!(
        "{measured} reading{} before touching, {idle} that could tell nothing, {} sound part{} replaced",
        if measured == 1 { "" } else { "s" },
        swapped.len(),
        if swapped.len() == 1 { "" } else { "s" }
    );
    (share.max(0.0), why)
}

/// Whether the machine was operated, and did something, after the last repair.
fn tried_after_repair(log: &[LogEntry]) -> bool {
    let touches = |action: &Action| {
        intervenes(action) || matches!(action, Action::Override { finger: Finger::Release, .. })
    };
    let last = log.iter().rposition(|e| touches(&e.action)).map_or(0, |k| k + 1);
    let after = &log[last..];
    after.iter().any(|e| operates(&e.action)) && after.iter().any(|e| !e.outcome.seen.is_empty())
}

/// Whether the machine does its work now: the scenario's own trial, made on a copy of the machine
/// as it was left; without one, whether every faulty part was mended.
fn retest(scenario: &Scenario, session: &Session, truth: &[Claim], log: &[LogEntry]) -> bool {
    let plan = session.plan();
    let mended = truth.iter().all(|(part, _)| {
        log.iter().any(|e| match &e.action {
            Action::Adjust { part: p, .. }
            | Action::SwapPlugs { part: p }
            | Action::Override { part: p, finger: Finger::Release, .. } => p == part,
            other => mends(other) == Some(part),
        })
    });
    if scenario.retest.actions.is_empty() {
        return mended;
    }
    let from = session.now();
    let config = SessionConfig { time_limit: from + RETEST_LIMIT, ..SessionConfig::default() };
    let rig = session.rig().clone();
    let mut trial = Session::new(rig, config).traced();
    for action in &scenario.retest.actions {
        if trial.act(action.clone()).is_err() {
            return false;
        }
    }
    let mut wanted = scenario.retest.expect.iter();
    let mut next = wanted.next();
    for happening in trial.take_trace() {
        if let (Some((tag, extended)), What::PistonReached(p, end)) = (next, happening.what)
            && plan.pistons[p.index()].name == *tag
            && end == *extended
        {
            next = wanted.next();
        }
        if matches!(happening.what, What::Blew(_) | What::Burnt(_)) {
            return false;
        }
    }
    // A machine that happens to work with its fault still in it is not mended.
    next.is_none() && mended
}
