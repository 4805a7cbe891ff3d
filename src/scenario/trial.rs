//! A machine put through a list of actions, and what of a list of expectations it misses.

use crate::base::SimTime;
use crate::plant::{Happening, Plant, Probe, What};
use crate::session::{ActError, Action, LogEntry, Rig, Sample, Session, SessionConfig, Watch};

use super::expect::{self, Expectation};
use super::load::Scenario;

/// Bench time that the trial may take; a scenario whose waits add up to more is refused when read.
pub(super) const TRIAL_LIMIT: SimTime = SimTime::from_secs(1800);

/// Longest between two samples of the machine.
const EVERY: SimTime = SimTime::from_millis(100);

/// A machine that was put through a list of actions.
pub(super) struct Trial {
    before: Plant,
    from: SimTime,
    /// When each action began, and when the waiting after it was over.
    spans: Vec<(SimTime, SimTime)>,
    happenings: Vec<Happening>,
    probes: Vec<Probe>,
    samples: Vec<Sample>,
    /// What was done, and what came of it.
    pub log: Vec<LogEntry>,
}

impl Trial {
    /// Puts the machine of `rig` through `actions`, which may take `limit` of bench time, and watches
    /// for all that `expectations` speak of.
    ///
    /// # Errors
    /// The index of the action that cannot be done, and why.
    pub fn run<'e>(
        rig: Rig,
        actions: &[Action],
        expectations: impl Iterator<Item = &'e Expectation>,
        limit: SimTime,
    ) -> Result<Trial, (usize, ActError)> {
        let from = rig.plant().now();
        let before = rig.plant().clone();
        let config = SessionConfig { time_limit: from + limit, ..SessionConfig::default() };
        let probes = expect::probes(before.plan(), expectations);
        let mut trial = Session::new(rig, config).traced();
        if !probes.is_empty() {
            trial = trial.watched(Watch::new(probes.clone(), EVERY));
        }
        let mut spans: Vec<(SimTime, SimTime)> = Vec::new();
        for (k, action) in actions.iter().enumerate() {
            let start = trial.now();
            trial.act(action.clone()).map_err(|problem| (k, problem))?;
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
        let log = trial.into_log().entries;
        Ok(Trial { before, from, spans, happenings, probes, samples, log })
    }

    /// What of `list` was not as expected, in its order.
    pub fn missed<'l>(&self, list: &'l [Expectation]) -> Vec<&'l Expectation> {
        let course = expect::Course {
            before: &self.before,
            from: self.from,
            spans: &self.spans,
            happenings: &self.happenings,
            probes: &self.probes,
            samples: &self.samples,
        };
        expect::missed(list, &course)
    }

    /// What blew or burnt.
    fn spent(&self) -> impl Iterator<Item = String> {
        let spent = |h: &&Happening| matches!(h.what, What::Blew(_) | What::Burnt(_));
        let told = |h: &Happening| self.before.plan().tell(h.what).to_string();
        self.happenings.iter().filter(spent).map(told)
    }
}

/// What of the scenario's expectations the machine misses when its functional test is run from
/// where `rig` stands: empty when it does its work.
#[must_use]
pub fn misses(scenario: &Scenario, rig: Rig) -> Vec<String> {
    let retest = &scenario.retest;
    match Trial::run(rig, &retest.actions, retest.expect.iter(), TRIAL_LIMIT) {
        Ok(trial) => {
            let missed = trial.missed(&retest.expect).into_iter().map(ToString::to_string);
            missed.chain(trial.spent()).collect()
        }
        Err((k, problem)) => vec![format!("\"{}\" cannot be done: {problem}", retest.actions[k])],
    }
}

/// Whether the machine does what the scenario expects of it, in order and with nothing blown or
/// burnt, when its functional test is run from where `rig` stands.
#[must_use]
pub fn does_its_work(scenario: &Scenario, rig: Rig) -> bool {
    misses(scenario, rig).is_empty()
}
