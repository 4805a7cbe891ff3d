//! What is remembered of runs, within bounds.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use crate::base::SimTime;

use super::moment::{Moment, Told, View};
use super::sound::SoundStep;

/// Most machines remembered.
const MOMENT_LIMIT: usize = 6_000;
/// Most steps of the sound machine remembered.
const SOUND_LIMIT: usize = 1_000;
/// Most views and outcomes of looks remembered.
const VIEW_LIMIT: usize = 400_000;

/// Most rests remembered; beyond, all are forgotten.
const REST_LIMIT: usize = 1_000_000;

/// Something remembered.
#[derive(Debug)]
struct Item<T> {
    /// When it was last of use.
    stamp: u64,
    /// It was of use since things were last forgotten.
    used: bool,
    what: Option<Arc<T>>,
}

/// Things remembered by step and suspect.
#[derive(Debug)]
pub(super) struct Shelf<T> {
    by_key: BTreeMap<u128, BTreeMap<usize, Item<T>>>,
    count: usize,
    limit: usize,
}

impl<T> Shelf<T> {
    fn new(limit: usize) -> Self {
        Shelf { by_key: BTreeMap::new(), count: 0, limit }
    }

    pub fn get(&mut self, key: u128, who: usize, clock: u64) -> Option<Option<Arc<T>>> {
        let item = self.by_key.get_mut(&key)?.get_mut(&who)?;
        (item.stamp, item.used) = (clock, true);
        Some(item.what.clone())
    }

    pub fn put(&mut self, key: u128, who: usize, clock: u64, what: Option<Arc<T>>) {
        if self.count >= self.limit {
            self.clear_out();
        }
        let item = Item { stamp: clock, used: false, what };
        if self.by_key.entry(key).or_default().insert(who, item).is_none() {
            self.count += 1;
        }
    }

    /// Forgets half: what was of no use first, and of that what is oldest.
    fn clear_out(&mut self) {
        let worth = |item: &Item<T>| (item.used, item.stamp);
        let items = self.by_key.values().flat_map(BTreeMap::values);
        let mut worths: Vec<(bool, u64)> = items.map(worth).collect();
        worths.sort_unstable();
        let middle = worths.get(worths.len() / 2).copied().unwrap_or_default();
        for of_key in self.by_key.values_mut() {
            of_key.retain(|_, item| worth(item) > middle);
            of_key.values_mut().for_each(|item| item.used = false);
        }
        self.by_key.retain(|_, of_key| !of_key.is_empty());
        self.count = self.by_key.values().map(BTreeMap::len).sum();
    }
}

/// How long machines rest after a step, by step and suspect; `None` where the physics could not go on.
#[derive(Debug, Default)]
pub(super) struct Rests(BTreeMap<u128, Option<SimTime>>);

impl Rests {
    /// Step and suspect in one number: there are far fewer suspects than make two digests meet.
    fn place(key: u128, who: usize) -> u128 {
        key.wrapping_add(who as u128)
    }

    pub fn get(&self, key: u128, who: usize) -> Option<Option<SimTime>> {
        self.0.get(&Self::place(key, who)).copied()
    }

    pub fn put(&mut self, key: u128, who: usize, rest: Option<SimTime>) {
        if self.0.len() >= REST_LIMIT {
            self.0.clear();
        }
        self.0.insert(Self::place(key, who), rest);
    }
}

/// All that is remembered.
#[derive(Debug)]
pub(super) struct Memory {
    pub sound: Shelf<SoundStep>,
    pub moments: Shelf<Moment>,
    pub views: Shelf<View>,
    pub told: Shelf<Told>,
    pub rests: Rests,
    /// Counts what was asked.
    pub clock: u64,
    /// Inquiries so far.
    inquiries: u64,
}

/// What is remembered of the runs of suspects, by all inquiries that share it, within bounds. It only
/// saves work.
#[derive(Clone, Debug)]
pub struct Recall(Arc<Mutex<Memory>>);

impl Default for Recall {
    fn default() -> Self {
        let memory = Memory {
            sound: Shelf::new(SOUND_LIMIT),
            moments: Shelf::new(MOMENT_LIMIT),
            views: Shelf::new(VIEW_LIMIT),
            told: Shelf::new(VIEW_LIMIT),
            rests: Rests::default(),
            clock: 0,
            inquiries: 0,
        };
        Recall(Arc::new(Mutex::new(memory)))
    }
}

impl Recall {
    pub(super) fn lock(&self) -> MutexGuard<'_, Memory> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A number that no other inquiry has.
    pub(super) fn number(&self) -> u64 {
        let mut memory = self.lock();
        memory.inquiries += 1;
        memory.inquiries
    }
}
