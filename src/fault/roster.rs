//! The faults of a run: which wait, which are there, and when the next one comes or goes.

use std::sync::Arc;

use crate::base::{PartId, SimTime, Stream, ops};
use crate::kernel::EventQueue;
use crate::plant::{Condition, Element, Plan, Plant, What};
use crate::shift::Hand;

use super::effect::{self, Act};
use super::inject::{Fault, FaultError, Found, Onset, find, find_part};
use super::modes::Repair;

/// Shortest mean duration of an intermittent fault, and shortest presence or absence.
const SHORTEST: SimTime = SimTime::from_millis(1);
/// Longest presence or absence, in mean durations.
const LONGEST_MEANS: f64 = 20.0;

/// What is due.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Due {
    /// A fault comes.
    Onset(usize),
    /// An intermittent fault comes or goes.
    Toggle(usize),
    /// A function of a script is called.
    Call(usize, String),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// Not come yet.
    Waiting,
    /// There.
    Present,
    /// In the part, but not showing.
    Absent,
    /// Repaired.
    Gone,
}

/// What a present fault replaced, so that an intermittent one can go again.
#[derive(Clone, Debug)]
struct Before {
    /// Rank among the present faults.
    rank: u64,
    condition: Arc<Condition>,
    acting: Option<bool>,
}

#[derive(Clone, Debug)]
struct Entry {
    fault: Fault,
    found: Found,
    state: State,
    /// Happenings that count as a cycle, of which part, and how many are left.
    cycle: Vec<What>,
    counted: Option<PartId>,
    left: u32,
    stream: Stream,
    before: Option<Before>,
}

/// The faults of a run and its agenda.
#[derive(Clone, Debug)]
pub(super) struct Roster {
    seed: u64,
    begun: bool,
    entries: Vec<Entry>,
    agenda: EventQueue<Due>,
    injected: Vec<(SimTime, Fault)>,
    ranks: u64,
}

impl Roster {
    pub fn new(seed: u64) -> Self {
        Roster {
            seed,
            begun: false,
            entries: Vec::new(),
            agenda: EventQueue::new(),
            injected: Vec::new(),
            ranks: 0,
        }
    }

    /// Takes `fault` up; it comes with [`Roster::begin`], or later.
    pub fn enlist(&mut self, plan: &Plan, fault: Fault) -> Result<usize, FaultError> {
        let rhythm = fault.part.clone();
        self.enlist_as(plan, fault, &rhythm)
    }

    /// The same, to come and go as a fault of the part `rhythm` would.
    pub fn enlist_as(
        &mut self,
        plan: &Plan,
        fault: Fault,
        rhythm: &str,
    ) -> Result<usize, FaultError> {
        let found = find(plan, &fault)?;
        let (mut cycle, mut counted, mut left) = (Vec::new(), None, 0);
        match &fault.onset {
            Onset::AfterCycles { part, cycles } => {
                let id = find_part(plan, part)?;
                cycle = cycles_of(plan, id);
                if cycle.is_empty() {
                    return Err(FaultError::NothingToCount { part: part.clone() });
                }
                (counted, left) = (Some(id), *cycles);
            }
            Onset::Intermittent { present, absent }
                if *present < SHORTEST || *absent < SHORTEST =>
            {
                return Err(FaultError::TooShort { part: fault.part.clone() });
            }
            _ => {}
        }
        let purpose = format!("intermittent {}", self.entries.len());
        self.entries.push(Entry {
            stream: Stream::new(self.seed, rhythm, &purpose),
            fault,
            found,
            state: State::Waiting,
            cycle,
            counted,
            left,
            before: None,
        });
        Ok(self.entries.len() - 1)
    }

    /// Takes `fault` up in a run that has begun.
    pub fn add(&mut self, plant: &mut Plant, fault: Fault) -> Result<(), FaultError> {
        let plan = plant.plan().clone();
        let k = self.enlist(&plan, fault)?;
        if self.begun {
            self.start(plant, k);
        }
        Ok(())
    }

    /// Faults taken up so far.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    pub fn begin(&mut self, plant: &mut Plant) {
        self.begun = true;
        for k in 0..self.entries.len() {
            self.start(plant, k);
        }
    }

    fn start(&mut self, plant: &mut Plant, k: usize) {
        let now = plant.now();
        match self.entries[k].fault.onset.clone() {
            Onset::Start => self.come(plant, k),
            Onset::At(at) => {
                self.agenda.push(at.max(now), 0, Due::Onset(k));
            }
            Onset::AfterCycles { cycles, .. } => {
                if cycles == 0 {
                    self.come(plant, k);
                }
            }
            Onset::Intermittent { absent, .. } => {
                self.entries[k].state = State::Absent;
                self.injected.push((now, self.entries[k].fault.clone()));
                self.schedule_toggle(now, k, absent);
            }
        }
    }

    fn schedule_toggle(&mut self, now: SimTime, k: usize, mean: SimTime) {
        let means = -ops::ln(1.0 - self.entries[k].stream.unit());
        let span = mean.as_secs_f64() * means.min(LONGEST_MEANS);
        let span = SimTime::from_secs_f64_up(span).max(SHORTEST);
        self.agenda.push(now + span, 0, Due::Toggle(k));
    }

    pub fn next_time(&self) -> Option<SimTime> {
        self.agenda.next_time()
    }

    /// Puts a call of a script on the agenda.
    pub fn schedule(&mut self, at: SimTime, script: usize, function: String) {
        self.agenda.push(at, 1, Due::Call(script, function));
    }

    /// Takes the next item that is due at `now`.
    pub fn take_due(&mut self, now: SimTime) -> Option<Due> {
        if self.agenda.next_time().is_some_and(|at| at <= now) {
            self.agenda.pop().map(|(_, _, due)| due)
        } else {
            None
        }
    }

    /// Fault `k` comes to stay.
    pub fn come(&mut self, plant: &mut Plant, k: usize) {
        if self.entries[k].state == State::Waiting {
            self.injected.push((plant.now(), self.entries[k].fault.clone()));
            self.show(plant, k);
        }
    }

    /// Intermittent fault `k` comes or goes.
    pub fn toggle(&mut self, plant: &mut Plant, k: usize) {
        let Onset::Intermittent { present, absent } = self.entries[k].fault.onset else {
            return;
        };
        let mean = match self.entries[k].state {
            State::Absent => {
                self.show(plant, k);
                present
            }
            State::Present => {
                self.hide(plant, k);
                absent
            }
            State::Waiting | State::Gone => return,
        };
        self.schedule_toggle(plant.now(), k, mean);
    }

    /// Makes fault `k` present.
    fn show(&mut self, plant: &mut Plant, k: usize) {
        self.ranks += 1;
        let entry = &mut self.entries[k];
        entry.state = State::Present;
        entry.before = Some(Before {
            rank: self.ranks,
            condition: plant.condition_shared(),
            acting: match entry.found.element {
                Element::Operator(id) => Some(plant.acting(id)),
                _ => None,
            },
        });
        effect::apply(plant, &entry.found);
    }

    /// Takes fault `k` away again, and nothing else: faults that came after it to the same elements
    /// are taken away and brought back.
    fn hide(&mut self, plant: &mut Plant, k: usize) {
        let plan = plant.plan().clone();
        let entry = &mut self.entries[k];
        entry.state = State::Absent;
        let Some(before) = entry.before.take() else {
            return;
        };
        let found = entry.found.clone();
        let mut elements = effect::touched(&plan, found.element);
        let mut later: Vec<(u64, usize)> = self
            .entries
            .iter()
            .enumerate()
            .filter_map(|(j, e)| Some((e.before.as_ref()?.rank, j)))
            .filter(|(rank, _)| *rank > before.rank)
            .collect();
        later.sort_unstable();
        let mut again = Vec::new();
        loop {
            let (joined, rest): (Vec<_>, Vec<_>) = later.into_iter().partition(|(_, j)| {
                effect::touched(&plan, self.entries[*j].found.element)
                    .iter()
                    .any(|e| elements.contains(e))
            });
            later = rest;
            if joined.is_empty() {
                break;
            }
            for (_, j) in &joined {
                elements.extend(effect::touched(&plan, self.entries[*j].found.element));
            }
            again.extend(joined);
        }
        plant.alter(found.part, |c| {
            for element in &elements {
                effect::restore(c, &before.condition, *element);
            }
        });
        match (found.spec.act, found.element) {
            (Act::OverrideA | Act::OverrideB, Element::Spool(id)) => plant.set_hand(id, Hand::Off),
            (Act::StuckMade | Act::StuckRest, Element::Operator(id)) => {
                // A head springs back to where the hand has it; other operators follow their trigger.
                let head = plan.operators[id.index()].tie == crate::plant::Tie::Hand;
                if let (true, Some(acting)) = (head, before.acting) {
                    plant.set_operator(id, acting);
                }
            }
            _ => {}
        }
        again.sort_unstable();
        for (_, j) in again {
            self.show(plant, j);
        }
    }

    /// Counts `what` as a cycle where it is one.
    pub fn count(&mut self, plant: &mut Plant, what: What) {
        for k in 0..self.entries.len() {
            let entry = &mut self.entries[k];
            if entry.state == State::Waiting && entry.left > 0 && entry.cycle.contains(&what) {
                entry.left -= 1;
                if entry.left == 0 {
                    self.come(plant, k);
                }
            }
        }
    }

    /// `part` was worked on in a way that mends modes with a repair that `mends`.
    pub fn repaired(&mut self, part: PartId, mends: fn(Repair) -> bool) {
        for entry in &mut self.entries {
            if entry.found.part == part
                && entry.state != State::Waiting
                && mends(entry.found.spec.repair)
            {
                entry.state = State::Gone;
                entry.before = None;
            }
            if let (Onset::AfterCycles { cycles, .. }, true) =
                (&entry.fault.onset, entry.counted == Some(part))
            {
                entry.left = *cycles;
            }
        }
    }

    /// The part that `fault` lies in.
    pub fn part_of(&self, fault: &Fault) -> Option<PartId> {
        self.entries.iter().find(|e| e.fault.part == fault.part).map(|e| e.found.part)
    }

    pub fn injected(&self) -> &[(SimTime, Fault)] {
        &self.injected
    }
}

/// What counts as a cycle of `part`.
fn cycles_of(plan: &Plan, part: PartId) -> Vec<What> {
    let mut cycle = Vec::new();
    for (_, element) in &plan.parts[part.index()].elements {
        match element {
            Element::Operator(id) => cycle.push(What::Acts(*id)),
            Element::Piston(id) => cycle.push(What::PistonReached(*id, true)),
            Element::Spool(id) => {
                let start = plan.spools[id.index()].initially;
                for at in [-1, 0, 1] {
                    if f64::from(at) != start && (at != 0 || start == 0.0) {
                        cycle.push(What::SpoolReached(*id, at));
                    }
                }
            }
            _ => {}
        }
    }
    cycle
}
