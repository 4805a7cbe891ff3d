//! How an attempt is judged.

use crate::base::ops;
use crate::fault::mode_named;
use crate::language::Phrase;
use crate::plant::Plan;
use crate::scenario::{Criterion, Scenario, does_its_work};
use crate::session::{
    Action, Attempt, Ended, Finger, Hazard, JournalError, LogEntry, ReplayError, Seen, Session,
    Severity,
};

use super::case::Case;
use super::mark::{CriterionMark, Grade, HazardLine, ReadingLine, StoryLine, Verdict};

/// Marks a major hazard costs.
const MAJOR_COST: f64 = 5.0;

/// Why an attempt cannot be graded.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum GradeError {
    /// The file is no attempt.
    Journal(Vec<JournalError>),
    /// It was made at another scenario, or another version of it.
    OtherScenario {
        /// Digest in the attempt.
        attempt: String,
        /// Digest of the scenario.
        scenario: String,
    },
    /// An action cannot be repeated.
    Replay(ReplayError),
    /// The scenario itself fails: a script.
    Scenario(Phrase),
}

impl GradeError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            GradeError::Journal(_) => Phrase::new("grade-unread"),
            GradeError::OtherScenario { attempt, scenario } => Phrase::new("grade-other")
                .with("attempt", attempt.as_str())
                .with("scenario", scenario.as_str()),
            GradeError::Replay(error) => error.phrase(),
            GradeError::Scenario(why) => Phrase::new("grade-task-fails").with("why", why.clone()),
        }
    }
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
    let injected = session.rig().director().injected();
    let mut names: Vec<String> = injected.iter().map(|f| f.fault.name()).collect();
    names.dedup();
    let mut truth: Vec<Claim> = injected
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
    let gate = hazards.iter().all(|h| h.severity != Severity::Critical);
    let majors = hazards.iter().filter(|h| h.severity == Severity::Major).count();
    let works = retest(scenario, session, &truth, log);
    let seconds = session.now().as_secs_f64();
    let mut feedback = Vec::new();
    let mut criteria = Vec::new();
    let mut mark = |criterion: Criterion, share: f64, why: Phrase| {
        let weight = scenario.rubric.weight(criterion);
        criteria.push(CriterionMark {
            criterion: criterion.name().into(),
            asks: criterion.asks().into(),
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
    let named_as = |what: &str| Phrase::new("why-named").with("what", what);
    let said = last.map_or_else(|| Phrase::new("why-nothing-named"), |n| named_as(&n.0));
    mark(Criterion::Part, f64::from(u8::from(part_right)), said);
    let said = last.map_or_else(|| Phrase::new("why-nothing-named"), |n| named_as(&n.1));
    mark(Criterion::Mode, f64::from(u8::from(mode_right)), said);
    if !part_right {
        feedback.push(match last {
            None => Phrase::new("feedback-name-it"),
            Some(n) => Phrase::new("feedback-wrong-part").with("part", n.0.as_str()),
        });
    } else if !mode_right {
        feedback.push(Phrase::new("feedback-wrong-mode"));
    }
    let noted = before_touching(log).iter().any(|e| wrote(&e.action));
    let (share, why) = match case {
        Some(case) => case.evidence(&scenario.rubric, noted, &mut feedback),
        None => (0.0, Phrase::new("why-no-evidence")),
    };
    mark(Criterion::Evidence, share, why);
    let tried = tried_after_repair(log);
    let share = match (works, tried) {
        (true, true) => 1.0,
        (true, false) => 0.6,
        (false, _) => 0.0,
    };
    let why = match (works, tried) {
        (true, true) => "why-works-and-tried",
        (true, false) => "why-works-not-tried",
        (false, _) => "why-does-not-work",
    };
    mark(Criterion::Repair, share, Phrase::new(why));
    if works && !tried {
        feedback.push(Phrase::new("feedback-try-after-repair"));
    }
    if !works {
        feedback.push(Phrase::new("feedback-does-not-work"));
    }
    let left = |hazard| log.iter().any(|e| e.outcome.hazards.iter().any(|h| h.hazard == hazard));
    let (latched, open) = (left(Hazard::OverrideLeft), left(Hazard::LeftOpen));
    let handed = session.ended() == Some(Ended::HandedBack);
    let share = if handed && !latched && !open { 1.0 } else { 0.0 };
    let why = match (handed, latched, open) {
        (false, ..) => "why-not-handed-back",
        (true, false, false) => "why-handed-back",
        (true, true, false) => "why-override-left",
        (true, false, true) => "why-left-open",
        (true, true, true) => "why-override-left-and-open",
    };
    mark(Criterion::HandBack, share, Phrase::new(why));
    let (efficient, why) = if part_right && works {
        let bands = &scenario.rubric.bands;
        let in_time = bands.iter().find(|b| seconds <= b.seconds).map_or(0.0, |b| b.share);
        let in_time = if bands.is_empty() { 1.0 } else { in_time };
        let loss = case.map_or(0.0, Case::loss);
        let bands = &scenario.rubric.loss;
        let lost = bands.iter().find(|b| loss <= b.ratio).map_or(0.0, |b| b.share);
        let why = Phrase::new("why-loss")
            .with("percent", format!("{:.0}", 100.0 * loss))
            .with("minutes", format!("{:.1}", seconds / 60.0));
        (lost.min(in_time), why)
    } else {
        (0.0, Phrase::new("why-efficiency-withheld"))
    };
    mark(Criterion::Efficiency, efficient, why);
    let sum: f64 = criteria.iter().map(|c| c.marks).sum();
    let marks = tenth((sum - MAJOR_COST * majors as f64).max(0.0));
    if majors > 0 {
        let cost = MAJOR_COST * majors as f64;
        let said = Phrase::new("feedback-majors").with("count", majors);
        feedback.push(said.with("marks", format!("{cost:.0}")));
    }
    if let Some(case) = case {
        case.advice(&mut feedback);
    }
    if !gate {
        feedback.insert(0, Phrase::new("feedback-gate"));
    }
    let competent = (gate || !scenario.rubric.gate)
        && part_right
        && mode_right
        && works
        && marks >= scenario.rubric.pass;
    Grade {
        format: 1,
        learner: attempt.header.learner.chars().take(64).collect(),
        scenario: scenario.title.clone(),
        scenario_digest: scenario.digest.clone(),
        seed: attempt.header.seed,
        started: attempt.header.started.clone(),
        engine: env!("CARGO_PKG_VERSION").into(),
        rubric: scenario.rubric.version,
        verdict: if competent { Verdict::Competent } else { Verdict::NotYetCompetent },
        gate,
        marks,
        criteria,
        named: named.iter().map(|(part, mode)| format!("{part} {mode}")).collect(),
        truth: names,
        ended: Phrase::new(ended_message(session.ended())),
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

fn ended_message(ended: Option<Ended>) -> &'static str {
    match ended {
        Some(Ended::HandedBack) => "ended-handed-back",
        Some(Ended::Unsafe) => "ended-unsafe",
        Some(Ended::TimeUp) => "ended-time-up",
        Some(Ended::Broken) => "ended-broken",
        None => "ended-never",
    }
}

fn hazard_lines(entry: &LogEntry) -> Vec<HazardLine> {
    entry
        .outcome
        .hazards
        .iter()
        .map(|h| HazardLine {
            at: h.at.to_string(),
            hazard: h.hazard,
            severity: h.hazard.severity(),
            place: h.place.clone(),
            evidence: h.evidence.clone(),
            what: h.to_string(),
            why: h.hazard.explanation().into(),
        })
        .collect()
}

fn story_line(entry: &LogEntry) -> StoryLine {
    let mut told = entry.outcome.lines.clone();
    told.extend(entry.outcome.seen.iter().map(Seen::phrase));
    let readings = entry.outcome.readings.iter().map(|r| ReadingLine {
        function: r.function.into(),
        places: [Some(&r.places.0), r.places.1.as_ref()].into_iter().flatten().cloned().collect(),
        value: r.value,
        unit: r.unit.into(),
        text: r.shown.to_string(),
        valid: r.valid,
    });
    StoryLine {
        at: entry.started.to_string(),
        until: entry.ended.to_string(),
        verb: entry.action.verb().into(),
        action: entry.action.to_string(),
        told,
        readings: readings.collect(),
        hazards: entry.outcome.hazards.iter().map(|h| h.hazard).collect(),
    }
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
            | Action::Fit { .. }
            | Action::Bridge { .. }
            | Action::Loosen { .. }
    )
}

pub(super) fn mends(action: &Action) -> Option<&str> {
    match action {
        Action::Replace { part }
        | Action::Repair { part }
        | Action::Clean { part }
        | Action::Fit { part, .. } => Some(part),
        _ => None,
    }
}

fn operates(action: &Action) -> bool {
    matches!(
        action,
        Action::Press { .. } | Action::Hold { .. } | Action::Both { .. } | Action::Turn { .. }
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

fn symptom(log: &[LogEntry], feedback: &mut Vec<Phrase>) -> (f64, Phrase) {
    let early = before_touching(log);
    let operated = early.iter().any(|e| operates(&e.action));
    let noted = early.iter().any(|e| wrote(&e.action));
    if !operated {
        feedback.push(Phrase::new("feedback-operate-first"));
    }
    if !noted {
        feedback.push(Phrase::new("feedback-write-symptom"));
    }
    let why = match (operated, noted) {
        (true, true) => "why-operated-and-noted",
        (true, false) => "why-operated-only",
        (false, true) => "why-noted-only",
        (false, false) => "why-neither-operated-nor-noted",
    };
    (0.5 * f64::from(u8::from(operated)) + 0.5 * f64::from(u8::from(noted)), Phrase::new(why))
}

fn method(
    session: &Session,
    right: &[Claim],
    case: Option<&Case>,
    feedback: &mut Vec<Phrase>,
) -> (f64, Phrase) {
    let log = session.log();
    // A blown fuse or a burnt coil has to be replaced, though something else made it so.
    let spent = |tag: &str| session.plan().part(tag).is_some_and(|id| session.was_spent(id));
    let measured = before_touching(log).iter().filter(|e| e.action.measures()).count();
    let mut swapped: Vec<&str> = log
        .iter()
        .filter_map(|e| mends(&e.action))
        .filter(|part| !right.iter().any(|r| r.0 == *part) && !spent(part))
        .collect();
    swapped.dedup();
    let mut share: f64 = if measured > 0 { case.map_or(1.0, Case::method) } else { 0.3 };
    share -= 0.35 * swapped.len() as f64;
    if measured == 0 {
        feedback.push(Phrase::new("feedback-measure-first"));
    }
    if !swapped.is_empty() {
        let said = Phrase::new("feedback-sound-parts").with("count", swapped.len());
        feedback.push(said.with("parts", swapped.join(", ")));
    }
    let why = Phrase::new("why-method")
        .with("readings", measured)
        .with("idle", case.map_or(0, |c| c.trail().idle_looks))
        .with("sound", swapped.len());
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
    let works = does_its_work(scenario, session.rig().clone());
    // A machine that happens to work with its fault still in it is not mended.
    works && mended
}
