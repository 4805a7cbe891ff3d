//! What an attempt would have been like under each suspect: the learner's own hands, repeated on a
//! machine with another fault.
//!
//! Only what hands do to the machine goes into the run; every look and reading is made on a copy at the
//! moment when it ends, so that it disturbs nothing. A run is a function of its steps alone, never of
//! what is remembered: remembering only saves work.

use std::collections::BTreeMap;
use std::sync::Arc;

use rayon::prelude::*;
use sha2::{Digest, Sha256};

use crate::base::SimTime;
use crate::session::{Action, Rig, Session, SessionConfig};

use super::memory::{Memory, Recall};
use super::moment::{Moment, Told, View};
use super::sound::{Family, Kin, SoundStep};
use super::track::{Gone, Track, Way, short};

/// What a suspect shows, and what a look tells of it; `None` where the physics could not go on.
pub(super) type Shown = Option<(Arc<View>, Option<Arc<Told>>)>;

/// Runs of many suspects, remembered within bounds.
#[derive(Debug)]
pub(super) struct Repeater {
    starts: Vec<Arc<Moment>>,
    kin: Option<Kin>,
    recall: Recall,
    number: u64,
}

/// One attempt, and how far along it each machine has come.
#[derive(Debug)]
pub(super) struct Follow {
    pub track: Track,
    sound: Way,
    /// By step of the sound machine's way.
    line: Vec<Arc<SoundStep>>,
    walks: Vec<Walk>,
}

impl Follow {
    /// Keeps the walk of suspect `who`, unless it was only a look ahead.
    fn keep(&mut self, who: usize, walk: OwnWalk, ahead: bool) {
        if !ahead {
            self.walks[who] = Walk::Own(walk);
        }
    }
}

/// How far a suspect has come.
#[derive(Clone, Debug)]
enum Walk {
    /// With the sound machine, by so many steps at least.
    Asleep(usize),
    Own(OwnWalk),
}

/// A way of its own.
#[derive(Clone, Debug)]
struct OwnWalk {
    way: Way,
    /// The sound machine that it has left, if any, and after how many steps.
    base: Option<Arc<Moment>>,
    done: usize,
}

/// A suspect that goes with the sound machine, and is looked at.
struct Sleeper {
    /// Place in the list that was asked for.
    place: usize,
    who: usize,
    /// How the sound machine stands.
    moment: Arc<Moment>,
    view: Arc<View>,
    /// What the look told.
    told: Option<Arc<Told>>,
}

/// What has to be worked out of one suspect.
struct Job {
    /// Place in the list that was asked for.
    place: usize,
    who: usize,
    walk: OwnWalk,
    /// The machine to go on from, whether it is the sound one, and after how many steps it stands.
    from: Arc<Moment>,
    sound: bool,
    at: usize,
    /// The walk is no more than a look ahead.
    ahead: bool,
}

/// What was worked out: how long the machine rested after each further step, the machine where runs go
/// on from, what it shows at the end, and what the look told.
struct Done {
    job: Job,
    rests: Vec<(u128, Option<SimTime>)>,
    moment: Option<Arc<Moment>>,
    key: u128,
    view: Option<Arc<View>>,
    told: Option<Arc<Told>>,
}

/// What has been shown at one moment, kept once where it is the same to the letter.
#[derive(Default)]
struct Same {
    views: BTreeMap<(u64, u64), Arc<View>>,
    told: BTreeMap<u64, Arc<Told>>,
}

impl Same {
    fn view(&mut self, view: Arc<View>) -> Arc<View> {
        self.views.entry((view.line.mark(), view.told.mark)).or_insert(view).clone()
    }

    fn told(&mut self, told: Arc<Told>) -> Arc<Told> {
        self.told.entry(told.mark).or_insert(told).clone()
    }
}

/// What is known of a suspect without any work.
enum Known {
    Shown(Shown),
    Asleep(Sleeper),
    Open(Box<Job>),
}

impl Repeater {
    /// Runs that start from `rigs`. With a `family`, those that can go with its sound one.
    pub fn new(
        rigs: Vec<Rig>,
        family: Option<Family>,
        config: &SessionConfig,
        recall: &Recall,
    ) -> Repeater {
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
                Arc::new(Moment::new(session))
            })
            .collect();
        let kin = family.map(|family| Kin::new(&starts, family));
        Repeater { starts, kin, number: recall.number(), recall: recall.clone() }
    }

    /// An attempt of which nothing has been done yet. With `exact`, see [`Track::new`].
    pub fn follow(&self, exact: bool) -> Follow {
        let holds = |who: usize| self.kin.as_ref().is_some_and(|kin| kin.holds(who));
        let own = || Walk::Own(OwnWalk { way: Way::new(self.number), base: None, done: 0 });
        let walk = |who: usize| if holds(who) { Walk::Asleep(0) } else { own() };
        Follow {
            track: Track::new(exact),
            sound: Way::new(self.number),
            line: Vec::new(),
            walks: (0..self.starts.len()).map(walk).collect(),
        }
    }

    /// What each of `suspects` shows at the end of what was done, and what `look` then tells of it.
    pub fn show(
        &self,
        suspects: &[usize],
        follow: &mut Follow,
        look: Option<&Action>,
    ) -> Vec<Shown> {
        let asleep = |who: &usize| matches!(follow.walks[*who], Walk::Asleep(_));
        let tail = match &self.kin {
            Some(kin) if suspects.iter().any(asleep) => self.sound_on(kin, follow),
            _ => None,
        };
        let mut shown: Vec<Shown> = vec![None; suspects.len()];
        let mut jobs = Vec::new();
        let mut sleepers = Vec::new();
        {
            let mut memory = self.recall.lock();
            memory.clock += 1;
            for (place, &who) in suspects.iter().enumerate() {
                match self.known(&mut memory, follow, tail.as_ref(), (place, who), look) {
                    Known::Shown(known) => shown[place] = known,
                    Known::Asleep(sleeper) => sleepers.push(sleeper),
                    Known::Open(job) => jobs.push(*job),
                }
            }
        }
        sleepers.par_iter_mut().for_each(|sleeper| {
            let graft = |look| sleeper.moment.grafted(&self.starts[sleeper.who]).told(look);
            sleeper.told = look.and_then(graft);
        });
        let track = &follow.track;
        let done: Vec<Done> = jobs.into_par_iter().map(|job| self.work(job, track, look)).collect();
        let mut memory = self.recall.lock();
        let Memory { moments, views, told: tells, rests, clock, .. } = &mut *memory;
        let key = tail.as_ref().map_or(follow.sound.key(), |(gone, _)| gone.key());
        let mut same = Same::default();
        for Sleeper { place, who, view, told, .. } in sleepers {
            let told = told.map(|told| same.told(told));
            if let Some(look) = look {
                tells.put(look_key(key, look), who, *clock, told.clone());
            }
            shown[place] = both(Some(view), look.map(|_| told));
        }
        for done in done {
            let who = done.job.who;
            for (key, rest) in done.rests {
                rests.put(key, who, rest);
            }
            if let Some(moment) = done.moment {
                moments.put(done.job.walk.way.key(), who, *clock, Some(moment));
            }
            let view = done.view.map(|view| same.view(view));
            let told = done.told.map(|told| same.told(told));
            views.put(done.key, who, *clock, view.clone());
            if let Some(look) = look {
                tells.put(look_key(done.key, look), who, *clock, told.clone());
            }
            shown[done.job.place] = both(view, look.map(|_| told));
            follow.keep(who, done.job.walk, done.job.ahead);
        }
        shown
    }

    /// Takes the sound machine along the track; gives what it does at the very end and goes back
    /// from.
    fn sound_on(&self, kin: &Kin, follow: &mut Follow) -> Option<(Gone, Arc<SoundStep>)> {
        let Follow { track, sound, line, .. } = follow;
        while !sound.lost
            && let Some(gone) = track.next(sound)
        {
            let step = self.sound_step(kin, line.last(), &gone);
            track.took(sound, gone, step.rest);
            line.push(step);
        }
        let gone = track.tail(sound).filter(|_| !sound.lost)?;
        let step = self.sound_step(kin, line.last(), &gone);
        Some((gone, step))
    }

    fn sound_step(&self, kin: &Kin, last: Option<&Arc<SoundStep>>, gone: &Gone) -> Arc<SoundStep> {
        let known = {
            let Memory { sound, clock, .. } = &mut *self.recall.lock();
            sound.get(gone.key(), kin.sound(), *clock).flatten()
        };
        known.unwrap_or_else(|| {
            let before = match last {
                Some(last) => last.moment.as_ref(),
                None => Some(&self.starts[kin.sound()]),
            };
            let step = Arc::new(SoundStep::from(before, &gone.step, self.starts.len()));
            let Memory { sound, clock, .. } = &mut *self.recall.lock();
            sound.put(gone.key(), kin.sound(), *clock, Some(step.clone()));
            step
        })
    }

    /// The walk of suspect `who` where it has left the sound machine, and whether it has done so only
    /// at the very end; `None` while it goes with it. The walk is to be [kept](Follow::keep).
    fn walk(
        &self,
        follow: &mut Follow,
        tail: Option<&(Gone, Arc<SoundStep>)>,
        who: usize,
    ) -> Option<(OwnWalk, bool)> {
        let line = &follow.line;
        // Who comes back from its walk is put in its place again.
        let from = match std::mem::replace(&mut follow.walks[who], Walk::Asleep(line.len())) {
            Walk::Own(walk) => return Some((walk, false)),
            Walk::Asleep(checked) => checked,
        };
        let kin = self.kin.as_ref()?;
        let wakes = |step: &Arc<SoundStep>| step.wakes(who, kin, &self.starts);
        let woke = line[from..].iter().position(wakes).map(|k| from + k);
        let ahead = woke.is_none();
        let k = match woke {
            Some(k) => k,
            None if tail.is_some_and(|(_, step)| wakes(step)) => line.len(),
            None => return None,
        };
        let base = k.checked_sub(1).and_then(|k| line[k].moment.clone());
        Some((OwnWalk { way: follow.sound.before(k), base, done: k }, ahead))
    }

    /// What is known of suspect `who`, who is asked for at `place`.
    fn known(
        &self,
        memory: &mut Memory,
        follow: &mut Follow,
        tail: Option<&(Gone, Arc<SoundStep>)>,
        (place, who): (usize, usize),
        look: Option<&Action>,
    ) -> Known {
        let Memory { moments, views, told, rests, clock, .. } = memory;
        let mut tells = |key: u128| look.map(|look| told.get(look_key(key, look), who, *clock));
        let Some((mut walk, ahead)) = self.walk(follow, tail, who) else {
            let own = || (follow.sound.key(), follow.line.last());
            let (key, step) = tail.map_or_else(own, |(gone, step)| (gone.key(), Some(step)));
            let start = &self.starts[who];
            let moment = step.map_or(Some(start), |step| step.moment.as_ref());
            let view = step.map_or_else(|| Some(start.view()), |step| step.view.clone());
            return match (moment, view, tells(key)) {
                (Some(moment), Some(view), Some(None)) => {
                    let moment = moment.clone();
                    Known::Asleep(Sleeper { place, who, moment, view, told: None })
                }
                (_, view, told) => Known::Shown(both(view, told.map(Option::flatten))),
            };
        };
        let track = &follow.track;
        let mut next = None;
        while !walk.way.lost {
            next = track.next(&mut walk.way);
            let Some(rest) = next.as_ref().and_then(|gone| rests.get(gone.key(), who)) else {
                break;
            };
            if let Some(gone) = next.take() {
                track.took(&mut walk.way, gone, rest);
            }
        }
        let mut known = walk.way.lost.then_some(None);
        if known.is_none() && next.is_none() {
            let key = track.tail(&walk.way).map_or(walk.way.key(), |gone| gone.key());
            known = match (views.get(key, who, *clock), tells(key)) {
                (Some(None), _) => Some(None),
                (None, _) | (_, Some(None)) => None,
                (Some(view), told) => Some(both(view, told.map(Option::flatten))),
            };
        }
        if let Some(known) = known {
            follow.keep(who, walk, ahead);
            return Known::Shown(known);
        }
        let gone = &walk.way.gone;
        let kept = (walk.done..gone.len())
            .rev()
            .find_map(|k| Some((moments.get(gone[k].key(), who, *clock)??, false, k + 1)));
        let (from, sound, at) = kept.unwrap_or_else(|| match &walk.base {
            Some(base) => (base.clone(), true, walk.done),
            None => (self.starts[who].clone(), false, walk.done),
        });
        Known::Open(Box::new(Job { place, who, walk, from, sound, at, ahead }))
    }

    /// Goes on to the end, and looks.
    fn work(&self, mut job: Job, track: &Track, look: Option<&Action>) -> Done {
        if job.sound {
            job.from = Arc::new(job.from.grafted(&self.starts[job.who]));
        }
        let way = &mut job.walk.way;
        let mut rests = Vec::new();
        let mut here = Some(job.from.clone());
        let mut own: Option<Moment> = None;
        for gone in &way.gone[job.at..] {
            let moment = own.get_or_insert_with(|| Moment::clone(&job.from));
            if moment.go(&gone.step).is_none() {
                here = None;
                break;
            }
        }
        while here.is_some()
            && let Some(gone) = track.next(way)
        {
            let moment = own.get_or_insert_with(|| Moment::clone(&job.from));
            let rest = moment.go(&gone.step);
            rests.push((gone.key(), rest));
            track.took(way, gone, rest);
            if rest.is_none() {
                here = None;
            }
        }
        let mut kept = None;
        if here.is_some()
            && let Some(own) = own
        {
            let own = Arc::new(own);
            kept = Some(own.clone());
            here = Some(own);
        }
        let mut key = way.key();
        if let (Some(from), Some(gone)) = (&here, track.tail(way)) {
            key = gone.key();
            let mut moment = Moment::clone(from);
            here = moment.go(&gone.step).map(|_| Arc::new(moment));
        }
        let told = here.as_ref().zip(look).and_then(|(here, look)| here.told(look));
        let view = here.map(|moment| moment.view());
        Done { job, rests, moment: kept, key, view, told }
    }
}

/// What is shown, and what a look told if there was one.
fn both(view: Option<Arc<View>>, told: Option<Option<Arc<Told>>>) -> Shown {
    match told {
        None => Some((view?, None)),
        Some(told) => Some((view?, Some(told?))),
    }
}

/// What a look at the end of the steps with digest `key` is remembered by.
fn look_key(key: u128, look: &Action) -> u128 {
    let mut hash = Sha256::new();
    hash.update(key.to_le_bytes());
    hash.update(look.to_string().as_bytes());
    short(hash)
}
