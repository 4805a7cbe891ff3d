//! The marker's own trial of a machine.

use crate::base::SimTime;
use crate::plant::What;
use crate::session::{Rig, Session, SessionConfig};

use super::load::Scenario;

/// Bench time that the trial may take.
const TRIAL_LIMIT: SimTime = SimTime::from_secs(600);

/// Whether the machine does what the scenario expects of it, in order and with nothing blown or
/// burnt, when its functional test is run from where `rig` stands.
#[must_use]
pub fn does_its_work(scenario: &Scenario, rig: Rig) -> bool {
    let time_limit = rig.plant().now() + TRIAL_LIMIT;
    let config = SessionConfig { time_limit, ..SessionConfig::default() };
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
            && scenario.plan.pistons[p.index()].name == *tag
            && end == *extended
        {
            next = wanted.next();
        }
        if matches!(happening.what, What::Blew(_) | What::Burnt(_)) {
            return false;
        }
    }
    next.is_none()
}
