//! The sound machine's way through an attempt, and which suspects go it too: those whose fault has not
//! counted yet need no run of their own.

use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};

use crate::base::SimTime;
use crate::plant::{Kinship, Note};

use super::moment::{Moment, View};
use super::track::{Step, is_plain};

/// Machines that may go the same way.
#[derive(Debug)]
pub(super) struct Family {
    /// Number of the sound machine.
    pub sound: usize,
    /// By machine, the parts that its faults are in.
    pub parts: Vec<Vec<String>>,
    /// Machines that must have a run of their own.
    pub apart: Vec<usize>,
}

/// Who goes with the sound machine.
#[derive(Debug)]
pub(super) struct Kin {
    family: Family,
    /// By suspect: in what it differs, if it may be compared.
    of: Vec<Option<Kinship>>,
}

impl Kin {
    /// Who of `family`, which begins with `starts`, goes with its sound one.
    pub fn new(starts: &[Arc<Moment>], family: Family) -> Kin {
        let plant = |who: usize| starts[who].session.rig().plant();
        let of = |who: usize| {
            let compared = !family.apart.contains(&who);
            compared.then(|| plant(family.sound).kinship(plant(who)))?
        };
        Kin { of: (0..starts.len()).map(of).collect(), family }
    }

    /// The sound machine.
    pub fn sound(&self) -> usize {
        self.family.sound
    }

    /// Whether `who` may go with the sound machine.
    pub fn holds(&self, who: usize) -> bool {
        self.of[who].is_some()
    }
}

/// One step of the sound machine.
#[derive(Debug)]
pub(super) struct SoundStep {
    /// The machine after it; `None` where the physics could not go on.
    pub moment: Option<Arc<Moment>>,
    pub view: Option<Arc<View>>,
    /// How long it then rests.
    pub rest: Option<SimTime>,
    notes: Vec<Note>,
    /// Hands did something that no comparison covers.
    beyond: bool,
    /// Parts that hands were laid on.
    touched: Vec<String>,
    /// By suspect: not known yet, goes with it, or wakes.
    wakes: Vec<AtomicU8>,
}

const UNKNOWN: u8 = 0;
const SLEEPS: u8 = 1;
const WAKES: u8 = 2;

impl SoundStep {
    /// The step `step` from `before`, of one among `count` suspects.
    pub fn from(before: Option<&Arc<Moment>>, step: &Step, count: usize) -> SoundStep {
        let (mut moment, mut rest, mut notes) = (None, None, Vec::new());
        if let Some(before) = before {
            let mut own = Moment::clone(before);
            own.session.rig_mut().plant_mut().note();
            rest = own.go(step);
            notes = own.session.rig_mut().plant_mut().take_notes();
            moment = rest.map(|_| Arc::new(own));
        }
        let (beyond, touched) = match step {
            Step::Pause(_) => (false, Vec::new()),
            Step::Do(action) => {
                let words = action.to_string();
                let words = words.split([' ', ':']).map(str::to_owned);
                (!is_plain(action), words.skip(1).collect())
            }
        };
        SoundStep {
            view: moment.as_ref().map(|m| m.view()),
            moment,
            rest,
            notes,
            beyond,
            touched,
            wakes: (0..count).map(|_| AtomicU8::new(UNKNOWN)).collect(),
        }
    }

    /// Whether suspect `who`, who has gone with the sound machine so far, no longer does in this step.
    pub fn wakes(&self, who: usize, kin: &Kin, starts: &[Arc<Moment>]) -> bool {
        match self.wakes[who].load(Ordering::Relaxed) {
            UNKNOWN => {}
            known => return known == WAKES,
        }
        let wakes = self.find(who, kin, starts);
        self.wakes[who].store(if wakes { WAKES } else { SLEEPS }, Ordering::Relaxed);
        wakes
    }

    fn find(&self, who: usize, kin: &Kin, starts: &[Arc<Moment>]) -> bool {
        let Some(kinship) = &kin.of[who] else { return true };
        if self.moment.is_none() || self.beyond {
            return true;
        }
        if self.touched.iter().any(|part| kin.family.parts[who].contains(part)) {
            return true;
        }
        let plant = |who: usize| starts[who].session.rig().plant();
        let (sound, other) = (plant(kin.sound()), plant(who));
        let plan = sound.plan();
        let holds = |n: &Note| n.holds_for(plan, sound.condition(), other.condition(), kinship);
        !self.notes.iter().all(holds)
    }
}
