//! The marker's own trial of a machine.

use crate::base::SimTime;
use crate::plant::What;
use crate::session::{Action, Rig, Session, SessionConfig, Watch};

use super::expect;
use super::load::Scenario;

/// Bench time that the trial may take; a scenario whose waits add up to more is refused when read.
pub(super) const TRIAL_LIMIT: SimTime = SimTime::from_secs(1800);

/// Longest between two samples of the machine.
const EVERY: SimTime = SimTime::from_millis(100);

/// What of the scenario's expectations the machine misses when its functional test is run from
/// where `rig` stands: empty when it does its work.
#[must_use]
pub fn misses(scenario: &Scenario, rig: Rig) -> Vec<String> {
    let from = rig.plant().now();
    let before = rig.plant().clone();
    let config = SessionConfig { time_limit: from + TRIAL_LIMIT, ..SessionConfig::default() };
    let probes = expect::probes(&scenario.plan, &scenario.retest.expect);
    let mut trial = Session::new(rig, config).traced();
    if !probes.is_empty() {
        trial = trial.watched(Watch::new(probes.clone(), EVERY));
    }
    let mut spans: Vec<(SimTime, SimTime)> = Vec::new();
    for action in &scenario.retest.actions {
        let start = trial.now();
        if let Err(problem) = trial.act(action.clone()) {
            return vec![format!("\"{action}\" cannot be done: {problem}")];
        }
        let waits = matches!(action, Action::Wait { .. });
        // Waiting belongs to the last action that was none.
        let open = spans.iter().rposition(|s| s.1 == start).filter(|_| waits);
        spans.push((start, trial.now()));
        if let Some(first) = open {
            let end = trial.now();
            for span in spans[..=first].iter_mut().filter(|s| s.1 == start) {
                span.1 = end;
            }
        }
    }
    let happenings = trial.take_trace();
    let samples = trial.take_watch().map(|w| w.samples).unwrap_or_default();
    let course = expect::Course {
        before: &before,
        from,
        spans,
        happenings: &happenings,
        probes: &probes,
        samples: &samples,
    };
    let missed = expect::missed(&scenario.retest.expect, &course);
    let spent = happenings.iter().filter(|h| matches!(h.what, What::Blew(_) | What::Burnt(_)));
    missed
        .into_iter()
        .map(ToString::to_string)
        .chain(spent.map(|h| scenario.plan.describe(h.what)))
        .collect()
}

/// Whether the machine does what the scenario expects of it, in order and with nothing blown or
/// burnt, when its functional test is run from where `rig` stands.
#[must_use]
pub fn does_its_work(scenario: &Scenario, rig: Rig) -> bool {
    misses(scenario, rig).is_empty()
}
