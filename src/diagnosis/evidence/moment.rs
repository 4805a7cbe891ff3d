//! A machine at some moment of its run, and what it has shown by then.

use std::sync::Arc;

use crate::base::SimTime;
use crate::session::{Action, Outcome, Seen, Session};

use super::alike::{Timeline, mark};
use super::track::Step;

/// A machine at some moment, and what came before.
#[derive(Clone, Debug)]
pub(super) struct Moment {
    pub session: Session,
    /// How often hands have done something, and when they last did.
    acts: usize,
    since: SimTime,
    line: Arc<Timeline>,
    /// What the last act told.
    told: Arc<Told>,
}

impl Moment {
    /// `session` at its beginning.
    pub fn new(session: Session) -> Moment {
        let (line, told) = Default::default();
        Moment { session, acts: 0, since: SimTime::ZERO, line, told }
    }

    /// Does `step`; gives how long the machine then rests, or nothing where the physics could not go
    /// on.
    pub fn go(&mut self, step: &Step) -> Option<SimTime> {
        match step {
            Step::Pause(ns) => {
                let span = SimTime::from_nanos(*ns);
                let rig = self.session.rig();
                let (before, happened) = (rig.plant().state().to_vec(), rig.happened());
                let seen = self.session.idle(self.session.now() + span).ok()?.seen;
                self.see(&seen);
                let rig = self.session.rig_mut();
                let still = rig.happened() == happened;
                Some(if still { rig.stands_for(&before, span) } else { SimTime::ZERO })
            }
            Step::Do(action) => {
                self.acts += 1;
                self.since = self.session.now();
                let mut outcome = self.session.act(Action::clone(action)).ok()?;
                self.session.forget();
                let seen = std::mem::take(&mut outcome.seen);
                self.told = Arc::new(Told::new(outcome));
                self.see(&seen);
                Some(SimTime::ZERO)
            }
        }
    }

    fn see(&mut self, seen: &[Seen]) {
        if !seen.is_empty() {
            Arc::make_mut(&mut self.line).add(seen, self.acts, self.since);
        }
    }

    /// This moment as it would be, had it been one of the run that began with `other` and gone the
    /// same way.
    pub fn grafted(&self, other: &Moment) -> Moment {
        let session = self.session.grafted(&other.session);
        let (line, told) = (self.line.clone(), self.told.clone());
        Moment { session, acts: self.acts, since: self.since, line, told }
    }

    pub fn view(&self) -> Arc<View> {
        Arc::new(View { line: self.line.clone(), told: self.told.clone() })
    }

    /// What `look` tells now; the machine stands still meanwhile.
    pub fn told(&self, look: &Action) -> Option<Arc<Told>> {
        let mut session = self.session.clone();
        let mut outcome = session.glance(look.clone()).ok()?;
        outcome.seen.clear();
        Some(Arc::new(Told::new(outcome)))
    }
}

/// What an act told.
#[derive(Clone, Debug, Default)]
pub(super) struct Told {
    pub outcome: Outcome,
    /// The same for what is the same to the letter.
    pub mark: u64,
}

impl Told {
    fn new(mut outcome: Outcome) -> Told {
        // What is dangerous counts against the learner, not for a suspect.
        outcome.hazards = Vec::new();
        Told { mark: mark(&outcome), outcome }
    }
}

/// What a machine has shown by some moment.
#[derive(Clone, Debug)]
pub(super) struct View {
    /// What was heard and seen.
    pub line: Arc<Timeline>,
    /// What the last act told.
    pub told: Arc<Told>,
}
