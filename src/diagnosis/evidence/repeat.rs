//! What an attempt would have been like under each suspect: the learner's own hands, repeated on a
//! machine with another fault.
//!
//! Only what hands do to the machine goes into the run; every look and reading is made on a copy at the
//! moment when it ends, so that it disturbs nothing. Waits are rounded to a ladder of times with a ratio of 5 to 4, so that
//! attempts that did the same with other pauses share their runs. The way to a rung goes over every fourth
//! rung below it, whatever was looked at meanwhile. A run is a function of its steps
//! alone, never of what is remembered: remembering only saves work.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use rayon::prelude::*;
use sha2::{Digest, Sha256};

use crate::base::SimTime;
use crate::session::{Action, Outcome, Rig, Session, SessionConfig};

use super::alike::{Timeline, mark};
use super::sound::{Family, Kin, SoundStep};

/// First rung of the ladder [ns]; each further one is 5/4 of the one before.
const FIRST_RUNG: u64 = 200_000_000;

/// A run stops at every so manieth rung on its way, where it can be gone on from.
const STRIDE: usize = 4;

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

/// Whether `action` does no more than move what hands can move from outside.
pub(super) fn is_plain(action: &Action) -> bool {
    matches!(
        action,
        Action::Press { .. }
            | Action::Hold { .. }
            | Action::Both { .. }
            | Action::Release { .. }
            | Action::Turn { .. }
            | Action::Isolate { .. }
            | Action::Restore { .. }
            | Action::Lock { .. }
            | Action::Unlock { .. }
            | Action::Try { .. }
    )
}

/// Whether `action` changes the machine, as against looking at it or waiting.
pub(super) fn is_input(action: &Action) -> bool {
    is_plain(action)
        || matches!(
            action,
            Action::Override { .. }
                | Action::SwapPlugs { .. }
                | Action::Adjust { .. }
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
pub(super) enum Step {
    /// Nothing is done for this long [ns].
    Pause(u64),
    Do(Action),
}

#[derive(Clone, Debug)]
struct Node {
    /// Digest of all steps up to here.
    key: u128,
    step: Step,
    /// Runs go on from here; from others they go back to the last such step first.
    trunk: bool,
}

/// The steps of one attempt.
#[derive(Clone, Debug)]
pub(super) struct Track {
    nodes: Vec<Node>,
    /// Rung reached since hands last did something, or time [ns] when `exact`.
    reached: u64,
    /// Rung of the last step that runs go on from.
    stride: usize,
    exact: bool,
}

impl Track {
    /// A track without steps. With `exact`, pauses are not rounded: for faults that come and go by
    /// the clock.
    pub fn new(exact: bool) -> Track {
        Track { nodes: Vec::new(), reached: 0, stride: 0, exact }
    }

    fn push(&mut self, step: Step, trunk: bool) {
        let mut hash = Sha256::new();
        hash.update(self.nodes.last().map_or(0, |n| n.key).to_le_bytes());
        match &step {
            Step::Pause(ns) => hash.update(ns.to_le_bytes()),
            Step::Do(action) => hash.update(action.to_string().as_bytes()),
        }
        let key = short(hash);
        self.nodes.push(Node { key, step, trunk });
    }

    /// Goes on to `ns` after hands last did something; gives how many steps that makes.
    pub fn pause_to(&mut self, ns: u64) -> usize {
        if self.exact {
            if ns > self.reached {
                self.push(Step::Pause(ns - self.reached), true);
                self.reached = ns;
            }
            return self.nodes.len();
        }
        let wanted = nearest_rung(ns);
        if wanted as u64 > self.reached {
            if self.nodes.last().is_some_and(|n| !n.trunk) {
                self.nodes.pop();
            }
            while self.stride + STRIDE <= wanted {
                let next = self.stride + STRIDE;
                self.push(Step::Pause(rung(next) - rung(self.stride)), true);
                self.stride = next;
            }
            if wanted > self.stride {
                self.push(Step::Pause(rung(wanted) - rung(self.stride)), false);
            }
            self.reached = wanted as u64;
        }
        self.nodes.len()
    }

    /// Hands do `action`; gives how many steps that makes.
    pub fn act(&mut self, action: Action) -> usize {
        self.push(Step::Do(action), true);
        (self.reached, self.stride) = (0, 0);
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
    pub session: Session,
    /// When hands last did something.
    since: SimTime,
    line: Arc<Timeline>,
    /// What the last act told.
    told: Arc<Told>,
}

impl Moment {
    pub fn go(&mut self, step: &Step) -> Option<()> {
        let (seen, since) = match step {
            Step::Pause(ns) => {
                let until = self.session.now() + SimTime::from_nanos(*ns);
                (self.session.idle(until).ok()?.seen, self.since)
            }
            Step::Do(action) => {
                self.since = self.session.now();
                let mut outcome = self.session.act(action.clone()).ok()?;
                self.session.forget();
                let seen = std::mem::take(&mut outcome.seen);
                self.told = Arc::new(Told::new(outcome));
                (seen, self.since)
            }
        };
        if !seen.is_empty() {
            Arc::make_mut(&mut self.line).add(&seen, since);
        }
        Some(())
    }

    /// This moment as it would be, had it been one of the run that began with `other` and gone the
    /// same way.
    fn grafted(&self, other: &Moment) -> Moment {
        let session = self.session.grafted(&other.session);
        Moment { session, since: self.since, line: self.line.clone(), told: self.told.clone() }
    }

    pub fn view(&self) -> Arc<View> {
        let (now, line, told) = (self.session.now(), self.line.clone(), self.told.clone());
        Arc::new(View { now, line, told })
    }

    /// What `look` tells now; the machine stands still meanwhile.
    fn told(&self, look: &Action) -> Option<Arc<Told>> {
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
    fn new(outcome: Outcome) -> Told {
        Told { mark: mark(&outcome), outcome }
    }
}

/// What a machine has shown by some moment.
#[derive(Clone, Debug)]
pub(super) struct View {
    /// Bench time.
    pub now: SimTime,
    /// What was heard and seen.
    pub line: Arc<Timeline>,
    /// What the last act told.
    pub told: Arc<Told>,
}

/// What a suspect shows, and what a look tells of it; `None` where the physics could not go on.
pub(super) type Shown = Option<(Arc<View>, Option<Arc<Told>>)>;

/// Most machines remembered for all suspects together.
const MOMENT_LIMIT: usize = 4_000;
/// Most steps of the sound machine remembered.
const SOUND_LIMIT: usize = 1_000;
/// Most views and outcomes of looks remembered.
const VIEW_LIMIT: usize = 200_000;

/// When something was last of use, and what it is.
type Stamped<T> = (u64, Option<Arc<T>>);

/// Something remembered by step and suspect.
#[derive(Debug)]
struct Shelf<T> {
    by_key: BTreeMap<u128, BTreeMap<usize, Stamped<T>>>,
    count: usize,
    limit: usize,
}

impl<T> Shelf<T> {
    fn new(limit: usize) -> Self {
        Shelf { by_key: BTreeMap::new(), count: 0, limit }
    }

    fn get(&mut self, key: u128, who: usize, clock: u64) -> Option<Option<Arc<T>>> {
        let (stamp, known) = self.by_key.get_mut(&key)?.get_mut(&who)?;
        *stamp = clock;
        Some(known.clone())
    }

    fn put(&mut self, key: u128, who: usize, clock: u64, what: Option<Arc<T>>) {
        if self.count >= self.limit {
            self.clear_out();
        }
        if self.by_key.entry(key).or_default().insert(who, (clock, what)).is_none() {
            self.count += 1;
        }
    }

    /// Forgets the half that was of no use for longest.
    fn clear_out(&mut self) {
        let mut stamps: Vec<u64> =
            self.by_key.values().flat_map(|m| m.values().map(|e| e.0)).collect();
        stamps.sort_unstable();
        let middle = stamps.get(stamps.len() / 2).copied().unwrap_or(0);
        for of_key in self.by_key.values_mut() {
            of_key.retain(|_, entry| entry.0 > middle);
        }
        self.by_key.retain(|_, of_key| !of_key.is_empty());
        self.count = self.by_key.values().map(BTreeMap::len).sum();
    }
}

#[derive(Debug)]
struct Memory {
    sound: Shelf<SoundStep>,
    moments: Shelf<Moment>,
    views: Shelf<View>,
    told: Shelf<Told>,
    /// Counts what was asked.
    clock: u64,
}

/// Runs of many suspects, remembered within bounds.
#[derive(Debug)]
pub(super) struct Repeater {
    starts: Vec<Arc<Moment>>,
    kin: Option<Kin>,
    memory: Mutex<Memory>,
}

/// What has to be worked out of one suspect.
struct Job {
    /// Place in the list that was asked for.
    place: usize,
    who: usize,
    /// The machine to go on from, and after how many steps it stands.
    from: From,
    at: usize,
}

/// A machine to go on from.
enum From {
    /// Its own; none where the physics could not go on.
    Own(Option<Arc<Moment>>),
    /// The sound one, with which it has gone so far.
    Sound(Arc<Moment>),
    /// The sound one, with which it has gone all the way, and what it shows.
    Asleep(Arc<Moment>, Arc<View>),
}

/// What was worked out: the machine where runs go on from, what it shows, and what the look told.
struct Done {
    job: Job,
    moment: Option<Option<Arc<Moment>>>,
    view: Option<Arc<View>>,
    told: Option<Arc<Told>>,
}

impl Repeater {
    /// Runs that start from `rigs`. With a `family`, those that can go with its sound one.
    pub fn new(rigs: Vec<Rig>, family: Option<Family>, config: &SessionConfig) -> Repeater {
        let config = SessionConfig {
            stop_on_critical: false,
            time_limit: SimTime::from_secs(1_000_000),
            action_limit: usize::MAX,
            ..config.clone()
        };
        let starts: Vec<Arc<Moment>> = rigs
            .into_iter()
            .map(|rig| {
                let mut session = Session::new(rig, config.clone());
                // What cannot begin is met with when it is to go on.
                let _ = session.rig_mut().begin();
                Arc::new(Moment {
                    session,
                    since: SimTime::ZERO,
                    line: Arc::default(),
                    told: Arc::default(),
                })
            })
            .collect();
        let memory = Memory {
            sound: Shelf::new(SOUND_LIMIT),
            moments: Shelf::new(MOMENT_LIMIT),
            views: Shelf::new(VIEW_LIMIT),
            told: Shelf::new(VIEW_LIMIT),
            clock: 0,
        };
        let kin = family.map(|family| Kin::new(&starts, family));
        Repeater { starts, kin, memory: Mutex::new(memory) }
    }

    /// What each of `suspects` has shown after the first `count` steps of `track`, and what `look`
    /// then tells of it.
    pub fn show(
        &self,
        suspects: &[usize],
        track: &Track,
        count: usize,
        look: Option<&Action>,
    ) -> Vec<Shown> {
        let key = count.checked_sub(1).map_or(0, |k| track.nodes[k].key);
        let look_key = look.map(|look| {
            let mut hash = Sha256::new();
            hash.update(key.to_le_bytes());
            hash.update(look.to_string().as_bytes());
            short(hash)
        });
        let trunk = track.nodes[..count].iter().rposition(|n| n.trunk).map_or(0, |k| k + 1);
        let mut shown: Vec<Shown> = vec![None; suspects.len()];
        let mut open = Vec::new();
        {
            let mut memory = self.memory.lock().unwrap_or_else(PoisonError::into_inner);
            let Memory { views, told, clock, .. } = &mut *memory;
            *clock += 1;
            for (place, &who) in suspects.iter().enumerate() {
                let view = views.get(key, who, *clock);
                let told = look_key.map(|k| told.get(k, who, *clock));
                match (view, told) {
                    (Some(None), _) => continue,
                    (Some(Some(view)), None) => {
                        shown[place] = Some((view, None));
                        continue;
                    }
                    (Some(Some(view)), Some(Some(told))) => {
                        shown[place] = told.map(|told| (view, Some(told)));
                        continue;
                    }
                    _ => {}
                }
                open.push((place, who));
            }
        }
        if open.is_empty() {
            return shown;
        }
        let line = match &self.kin {
            Some(kin) if open.iter().any(|(_, who)| kin.holds(*who)) => {
                self.sound_line(kin, &track.nodes[..count])
            }
            _ => Vec::new(),
        };
        let jobs: Vec<Job> = {
            let mut memory = self.memory.lock().unwrap_or_else(PoisonError::into_inner);
            let Memory { moments, clock, .. } = &mut *memory;
            let mut known = |who: usize, from: usize| {
                let mut trunks = (from..trunk).rev().filter(|k| track.nodes[*k].trunk);
                trunks.find_map(|k| {
                    Some((k + 1, From::Own(moments.get(track.nodes[k].key, who, *clock)?)))
                })
            };
            open.iter()
                .map(|&(place, who)| {
                    let (at, from) = self.begin(&line, count, trunk, who, &mut known);
                    Job { place, who, from, at }
                })
                .collect()
        };
        let done: Vec<Done> =
            jobs.into_par_iter().map(|job| self.work(job, track, trunk, count, look)).collect();
        let mut memory = self.memory.lock().unwrap_or_else(PoisonError::into_inner);
        let Memory { moments, views, told, clock, .. } = &mut *memory;
        for Done { job, moment, view, told: tells } in done {
            views.put(key, job.who, *clock, view.clone());
            if let (Some(last), Some(moment)) = (track.nodes[..trunk].last(), moment) {
                moments.put(last.key, job.who, *clock, moment);
            }
            shown[job.place] = match (view, look_key) {
                (Some(view), None) => Some((view, None)),
                (Some(view), Some(key)) => {
                    told.put(key, job.who, *clock, tells.clone());
                    tells.map(|tells| (view, Some(tells)))
                }
                (None, _) => None,
            };
        }
        shown
    }

    /// The sound machine's way along `nodes`.
    fn sound_line(&self, kin: &Kin, nodes: &[Node]) -> Vec<Arc<SoundStep>> {
        let mut line: Vec<Arc<SoundStep>> = Vec::with_capacity(nodes.len());
        for node in nodes {
            let lock = || self.memory.lock().unwrap_or_else(PoisonError::into_inner);
            let known = {
                let Memory { sound, clock, .. } = &mut *lock();
                sound.get(node.key, kin.sound(), *clock).flatten()
            };
            let step = known.unwrap_or_else(|| {
                let before = match line.last() {
                    Some(last) => last.moment.as_ref(),
                    None => Some(&self.starts[kin.sound()]),
                };
                let step = Arc::new(SoundStep::from(before, &node.step, self.starts.len()));
                let Memory { sound, clock, .. } = &mut *lock();
                sound.put(node.key, kin.sound(), *clock, Some(step.clone()));
                step
            });
            line.push(step);
        }
        line
    }

    /// Where suspect `who` is to be gone on with, and after how many steps it stands there. Where it
    /// has left the sound machine's `line` depends on the steps alone.
    fn begin(
        &self,
        line: &[Arc<SoundStep>],
        count: usize,
        trunk: usize,
        who: usize,
        known: &mut impl FnMut(usize, usize) -> Option<(usize, From)>,
    ) -> (usize, From) {
        let own = || From::Own(Some(Arc::clone(&self.starts[who])));
        let Some(kin) = self.kin.as_ref().filter(|kin| kin.holds(who)) else {
            return known(who, 0).unwrap_or_else(|| (0, own()));
        };
        let woke = line.iter().position(|step| step.wakes(who, kin, &self.starts));
        let Some(woke) = woke else {
            return match line.last().map(|step| (step.moment.clone(), step.view.clone())) {
                Some((Some(moment), Some(view))) => (count, From::Asleep(moment, view)),
                _ => (0, own()),
            };
        };
        if let Some(known) = known(who, woke.min(trunk)) {
            return known;
        }
        match woke.checked_sub(1).map(|k| line[k].moment.clone()) {
            Some(Some(moment)) => (woke, From::Sound(moment)),
            _ => (0, own()),
        }
    }

    /// Goes on to `trunk` steps, then to `count`, and looks.
    fn work(
        &self,
        job: Job,
        track: &Track,
        trunk: usize,
        count: usize,
        look: Option<&Action>,
    ) -> Done {
        let go = |from: Option<Arc<Moment>>, nodes: &[Node]| -> Option<Arc<Moment>> {
            if nodes.is_empty() {
                return from;
            }
            let mut own = Arc::unwrap_or_clone(from?);
            for node in nodes {
                own.go(&node.step)?;
            }
            Some(Arc::new(own))
        };
        let graft = |from: &Moment| Arc::new(from.grafted(&self.starts[job.who]));
        let (moment, keep) = match &job.from {
            From::Asleep(moment, view) => {
                let told = look.and_then(|look| graft(moment).told(look));
                let view = Some(view.clone());
                return Done { job, moment: None, view, told };
            }
            // What it shows beyond the last step that runs go on from is its own affair.
            From::Sound(from) => (Some(graft(from)), job.at < trunk),
            From::Own(from) => (from.clone(), true),
        };
        let moment = go(moment, &track.nodes[job.at..trunk]);
        let here = go(moment.clone(), &track.nodes[trunk..count]);
        let told = here.as_ref().zip(look).and_then(|(here, look)| here.told(look));
        Done { job, moment: keep.then_some(moment), view: here.map(|m| m.view()), told }
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

    /// What was looked at on the way changes neither the steps nor their number.
    #[test]
    fn looks_leave_the_way_as_it_is() {
        let keys = |looks: &[u64]| {
            let mut track = Track::new(false);
            track.act(Action::Press { part: "S1".to_owned() });
            looks.iter().for_each(|ns| _ = track.pause_to(*ns));
            track.nodes.iter().map(|n| (n.key, n.trunk)).collect::<Vec<_>>()
        };
        let straight = keys(&[20_000_000_000]);
        assert_eq!(straight, keys(&[900_000_000, 5_000_000_000, 5_100_000_000, 20_000_000_000]));
        assert_eq!(straight.len(), 1 + nearest_rung(20_000_000_000).div_ceil(STRIDE));
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
