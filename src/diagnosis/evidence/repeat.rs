//! What an attempt would have been like under each suspect: the learner's own hands, repeated on a
//! machine with another fault.
//!
//! Only what hands do to the machine goes into the run; every look and reading is made on a copy, so
//! that it disturbs nothing. Waits are rounded to a ladder of times with a ratio of 5 to 4, so that
//! attempts that did the same with other pauses share their runs. A run is a function of its steps
//! alone, never of what is remembered: remembering only saves work.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use sha2::{Digest, Sha256};

use crate::base::SimTime;
use crate::session::{Action, Outcome, Rig, Session, SessionConfig};

use super::alike::Timeline;

/// First rung of the ladder [ns]; each further one is 5/4 of the one before.
const FIRST_RUNG: u64 = 200_000_000;

/// The rung at `index` [ns].
fn rung(index: usize) -> u64 {
    let mut at = FIRST_RUNG;
    match index {
        0 => 0,
        _ => {
            for _ in 1..index {
                at += at / 4;
            }
            at
        }
    }
}

/// Index of the rung nearest to `ns`.
fn nearest_rung(ns: u64) -> usize {
    let mut index = 0;
    while rung(index + 1) <= ns {
        index += 1;
    }
    if ns - rung(index) > rung(index + 1) - ns { index + 1 } else { index }
}

/// Whether `action` changes the machine, as against looking at it or waiting.
pub(super) fn is_input(action: &Action) -> bool {
    matches!(
        action,
        Action::Press { .. }
            | Action::Hold { .. }
            | Action::Release { .. }
            | Action::Turn { .. }
            | Action::Override { .. }
            | Action::SwapPlugs { .. }
            | Action::Adjust { .. }
            | Action::Isolate { .. }
            | Action::Restore { .. }
            | Action::Lock { .. }
            | Action::Unlock { .. }
            | Action::Try { .. }
            | Action::Bleed { .. }
            | Action::Prop { .. }
            | Action::Unprop { .. }
            | Action::Open { .. }
            | Action::Close { .. }
            | Action::Replace { .. }
            | Action::Repair { .. }
            | Action::Clean { .. }
    )
}

/// Whether `action` looks, listens, feels or measures.
pub(super) fn is_look(action: &Action) -> bool {
    action.measures()
        || matches!(action, Action::Look { .. } | Action::Listen { .. } | Action::Feel { .. })
}

#[derive(Clone, Debug)]
enum Step {
    /// Nothing is done for this long [ns].
    Pause(u64),
    Do(Action),
}

#[derive(Clone, Debug)]
struct Node {
    /// Digest of all steps up to here.
    key: u128,
    step: Step,
    /// Somebody looks from here, so that it is worth remembering.
    kept: bool,
}

/// The steps of one attempt.
#[derive(Clone, Debug)]
pub(super) struct Track {
    nodes: Vec<Node>,
    /// Rung reached since hands last did something, or time [ns] when `exact`.
    reached: u64,
    exact: bool,
}

impl Track {
    /// A track without steps. With `exact`, pauses are not rounded: for faults that come and go by
    /// the clock.
    pub fn new(exact: bool) -> Track {
        Track { nodes: Vec::new(), reached: 0, exact }
    }

    fn push(&mut self, step: Step) {
        let mut hash = Sha256::new();
        hash.update(self.nodes.last().map_or(0, |n| n.key).to_le_bytes());
        match &step {
            Step::Pause(ns) => hash.update(ns.to_le_bytes()),
            Step::Do(action) => hash.update(action.to_string().as_bytes()),
        }
        let key = short(hash);
        self.nodes.push(Node { key, step, kept: false });
    }

    /// Goes on to `ns` after hands last did something; gives how many steps that makes.
    pub fn pause_to(&mut self, ns: u64) -> usize {
        if self.exact {
            if ns > self.reached {
                self.push(Step::Pause(ns - self.reached));
                self.reached = ns;
            }
        } else {
            let wanted = nearest_rung(ns) as u64;
            while self.reached < wanted {
                let at = self.reached as usize;
                self.push(Step::Pause(rung(at + 1) - rung(at)));
                self.reached += 1;
            }
        }
        self.keep()
    }

    /// Hands do `action`; gives how many steps that makes.
    pub fn act(&mut self, action: Action) -> usize {
        self.push(Step::Do(action));
        self.reached = 0;
        self.keep()
    }

    fn keep(&mut self) -> usize {
        if let Some(last) = self.nodes.last_mut() {
            last.kept = true;
        }
        self.nodes.len()
    }
}

fn short(hash: Sha256) -> u128 {
    let bytes = hash.finalize();
    let mut first = [0; 16];
    first.copy_from_slice(&bytes[..16]);
    u128::from_le_bytes(first)
}

/// A machine at some moment, and what came before.
#[derive(Clone, Debug)]
pub(super) struct Moment {
    session: Session,
    /// When hands last did something.
    since: SimTime,
    pub line: Timeline,
    /// What the last act told.
    pub told: Outcome,
}

impl Moment {
    /// Bench time.
    pub fn now(&self) -> SimTime {
        self.session.now()
    }

    fn go(&mut self, step: &Step) -> Option<()> {
        match step {
            Step::Pause(ns) => {
                let until = self.session.now() + SimTime::from_nanos(*ns);
                let outcome = self.session.idle(until).ok()?;
                self.line.add(&outcome.seen, self.since);
            }
            Step::Do(action) => {
                let start = self.session.now();
                let mut outcome = self.session.act(action.clone()).ok()?;
                self.line.add(&outcome.seen, start);
                outcome.seen.clear();
                self.since = start;
                self.told = outcome;
            }
        }
        Some(())
    }
}

/// Most moments remembered for all suspects together; each holds a machine.
const MOMENT_LIMIT: usize = 12_000;
/// Moments as close to the start as this are kept when the others are forgotten [steps].
const SHALLOW: usize = 48;
/// Most outcomes of looks remembered.
const TOLD_LIMIT: usize = 200_000;

/// A moment with its distance from the start [steps]; `None` where the physics could not go on.
type Kept = (usize, Option<Arc<Moment>>);

#[derive(Debug, Default)]
struct Memory {
    /// By suspect and key.
    moments: BTreeMap<(usize, u128), Kept>,
    told: BTreeMap<(usize, u128), Option<Arc<Outcome>>>,
}

/// Runs of many suspects, remembered within bounds.
#[derive(Debug)]
pub(super) struct Repeater {
    starts: Vec<Arc<Moment>>,
    memory: Mutex<Memory>,
}

impl Repeater {
    /// Runs that start from `rigs`.
    pub fn new(rigs: Vec<Rig>, config: &SessionConfig) -> Repeater {
        let config = SessionConfig {
            stop_on_critical: false,
            time_limit: SimTime::from_secs(1_000_000),
            action_limit: usize::MAX,
            ..config.clone()
        };
        let starts = rigs
            .into_iter()
            .map(|rig| {
                Arc::new(Moment {
                    session: Session::new(rig, config.clone()),
                    since: SimTime::ZERO,
                    line: Timeline::default(),
                    told: Outcome::default(),
                })
            })
            .collect();
        Repeater { starts, memory: Mutex::default() }
    }

    fn memory(&self) -> std::sync::MutexGuard<'_, Memory> {
        self.memory.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Suspect `who` after the first `count` steps of `track`; `None` where the physics could not
    /// go on.
    pub fn moment(&self, who: usize, track: &Track, count: usize) -> Option<Arc<Moment>> {
        let mut from = Some(Arc::clone(&self.starts[who]));
        let mut at = 0;
        {
            let memory = self.memory();
            for k in (0..count).rev() {
                if let Some((_, known)) = memory.moments.get(&(who, track.nodes[k].key)) {
                    from.clone_from(known);
                    at = k + 1;
                    break;
                }
            }
        }
        if at == count {
            return from;
        }
        let mut moment = from.map(|from| (*from).clone());
        let mut fresh = Vec::new();
        for (k, node) in track.nodes.iter().enumerate().take(count).skip(at) {
            if moment.as_mut().is_some_and(|m| m.go(&node.step).is_none()) {
                moment = None;
            }
            if node.kept {
                fresh.push((k, moment.clone().map(Arc::new)));
            }
        }
        let last = fresh.last().and_then(|(_, m)| m.clone());
        let mut memory = self.memory();
        if memory.moments.len() + fresh.len() > MOMENT_LIMIT {
            memory.moments.retain(|_, (depth, _)| *depth < SHALLOW);
        }
        for (k, moment) in fresh {
            if memory.moments.len() < MOMENT_LIMIT {
                memory.moments.insert((who, track.nodes[k].key), (k, moment));
            }
        }
        last
    }

    /// What `look` tells of suspect `who` after the first `count` steps.
    pub fn told(
        &self,
        who: usize,
        track: &Track,
        count: usize,
        look: &Action,
    ) -> Option<Arc<Outcome>> {
        let mut hash = Sha256::new();
        hash.update(count.checked_sub(1).map_or(0, |k| track.nodes[k].key).to_le_bytes());
        hash.update(look.to_string().as_bytes());
        let key = (who, short(hash));
        if let Some(known) = self.memory().told.get(&key) {
            return known.clone();
        }
        let outcome = self.moment(who, track, count).and_then(|moment| {
            let mut session = moment.session.clone();
            let mut outcome = session.act(look.clone()).ok()?;
            outcome.seen.clear();
            Some(Arc::new(outcome))
        });
        let mut memory = self.memory();
        if memory.told.len() >= TOLD_LIMIT {
            memory.told.clear();
        }
        memory.told.insert(key, outcome.clone());
        outcome
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_go_to_the_nearest_rung() {
        assert_eq!(
            (0..4).map(rung).collect::<Vec<_>>(),
            [0, 200_000_000, 250_000_000, 312_500_000]
        );
        assert_eq!(nearest_rung(0), 0);
        assert_eq!(nearest_rung(90_000_000), 0);
        assert_eq!(nearest_rung(110_000_000), 1);
        for seconds in [1, 3, 20, 600] {
            let ns = seconds * 1_000_000_000;
            let near = rung(nearest_rung(ns));
            assert!(near.abs_diff(ns) as f64 <= 0.13 * ns as f64, "{seconds} s: {near}");
        }
    }

    #[test]
    fn the_same_steps_have_the_same_key_and_others_another() {
        let track = |ns: u64, part: &str| {
            let mut track = Track::new(false);
            track.pause_to(ns);
            track.act(Action::Press { part: part.to_owned() });
            track.nodes.last().map(|n| n.key)
        };
        assert_eq!(track(3_000_000_000, "S1"), track(3_050_000_000, "S1"));
        assert_ne!(track(3_000_000_000, "S1"), track(3_000_000_000, "S2"));
        assert_ne!(track(3_000_000_000, "S1"), track(9_000_000_000, "S1"));
    }
}
