//! A plant with whoever puts faults into it, and the clock over both.

use crate::base::{PartId, SimTime};
use crate::diagnostic::Code;
use crate::fault::Fault;
use crate::language::Phrase;
use crate::plant::{Happening, Plant, PlantError, Stop};

/// What was done to a part to mend it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Repair {
    /// A new part was fitted.
    Replaced,
    /// A wire was mended.
    Mended,
    /// It was taken apart and cleaned.
    Cleaned,
    /// A setting was brought back to what it should be.
    Adjusted,
}

/// A fault that is in the plant.
#[derive(Clone, Debug, PartialEq)]
pub struct Injected {
    /// The part.
    pub part: PartId,
    /// The fault as it was stated.
    pub fault: Fault,
    /// Since when.
    pub at: SimTime,
}

/// A director that cannot go on. The run is over.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.phrase())]
pub struct DirectorError {
    /// Which kind of problem.
    pub code: Code,
    /// What is wrong, with its place in the script.
    pub message: Phrase,
}

impl DirectorError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        Phrase::new("engine-script").with("why", self.message.clone())
    }
}

/// Puts faults into a plant as time passes and things happen.
///
/// It must do the same for the same calls: a run is repeated from its actions alone.
pub trait Director: Send + Sync {
    /// Called once, at the start of the run.
    ///
    /// # Errors
    /// When it cannot go on.
    fn begin(&mut self, plant: &mut Plant) -> Result<(), DirectorError>;
    /// When it next wants to be called, if at all.
    fn next_time(&self) -> Option<SimTime>;
    /// Called when that time has come.
    ///
    /// # Errors
    /// When it cannot go on.
    fn at_time(&mut self, plant: &mut Plant) -> Result<(), DirectorError>;
    /// Called for everything that happens, in order.
    ///
    /// # Errors
    /// When it cannot go on.
    fn on_happening(
        &mut self,
        plant: &mut Plant,
        happening: &Happening,
    ) -> Result<(), DirectorError>;
    /// A part was mended: faults that this mends are over.
    fn repaired(&mut self, part: PartId, repair: Repair);
    /// The faults put in so far. Never shown to a learner.
    fn injected(&self) -> Vec<Injected>;
    /// A copy that goes on as this one would.
    fn copy(&self) -> Box<dyn Director>;
}

/// A director that leaves everything sound.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoFaults;

impl Director for NoFaults {
    fn begin(&mut self, _: &mut Plant) -> Result<(), DirectorError> {
        Ok(())
    }
    fn next_time(&self) -> Option<SimTime> {
        None
    }
    fn at_time(&mut self, _: &mut Plant) -> Result<(), DirectorError> {
        Ok(())
    }
    fn on_happening(&mut self, _: &mut Plant, _: &Happening) -> Result<(), DirectorError> {
        Ok(())
    }
    fn repaired(&mut self, _: PartId, _: Repair) {}
    fn injected(&self) -> Vec<Injected> {
        Vec::new()
    }
    fn copy(&self) -> Box<dyn Director> {
        Box::new(*self)
    }
}

/// Why a rig cannot go on.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RigError {
    /// The physics.
    #[error(transparent)]
    Plant(#[from] PlantError),
    /// The faults.
    #[error(transparent)]
    Director(#[from] DirectorError),
    /// More happens, or the integrator works more, than any exercise needs.
    #[error("{}", too_much_work(*.at))]
    TooMuchWork {
        /// When.
        at: SimTime,
    },
}

impl RigError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            RigError::Plant(error) => error.phrase(),
            RigError::Director(error) => error.phrase(),
            RigError::TooMuchWork { at } => too_much_work(*at),
        }
    }
}

fn too_much_work(at: SimTime) -> Phrase {
    Phrase::new("engine-work").with("at", at.to_string())
}

/// Most happenings of a run.
pub const HAPPENING_LIMIT: u64 = 2_000_000;
/// Most integration steps of a run, kept and thrown away.
pub const STEP_LIMIT: u64 = 20_000_000;
/// Longest stretch between two looks at the work done.
const STRETCH: SimTime = SimTime::from_secs(60);
/// Most calls of a director in the same instant.
const DIRECTOR_LIMIT: u32 = 1_000;

/// A plant and its director.
pub struct Rig {
    plant: Plant,
    director: Box<dyn Director>,
    begun: bool,
    happened: u64,
    step_limit: u64,
}

impl Clone for Rig {
    fn clone(&self) -> Self {
        Rig {
            plant: self.plant.clone(),
            director: self.director.copy(),
            begun: self.begun,
            happened: self.happened,
            step_limit: self.step_limit,
        }
    }
}

impl std::fmt::Debug for Rig {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // The director is left out: its faults are not for showing.
        f.debug_struct("Rig")
            .field("now", &self.plant.now())
            .field("begun", &self.begun)
            .finish_non_exhaustive()
    }
}

impl Rig {
    /// A rig of `plant` with `director`.
    #[must_use]
    pub fn new(plant: Plant, director: Box<dyn Director>) -> Self {
        Rig { plant, director, begun: false, happened: 0, step_limit: STEP_LIMIT }
    }

    /// The same with at most `steps` integration steps: for runs that are one of many.
    #[must_use]
    pub fn limited(mut self, steps: u64) -> Self {
        self.step_limit = steps.min(STEP_LIMIT);
        self.plant = self.plant.limited(self.step_limit);
        self
    }

    /// The same with integration steps that may be off by `times` as much: for runs of which only what
    /// people notice counts.
    #[must_use]
    pub fn coarser(mut self, times: f64) -> Self {
        self.plant = self.plant.coarser(times);
        self
    }

    /// This rig as it would be, had it been `other` and gone the same way.
    pub(crate) fn grafted(&self, other: &Rig) -> Rig {
        Rig {
            plant: self.plant.grafted(&other.plant),
            director: other.director.copy(),
            begun: other.begun,
            happened: self.happened,
            step_limit: other.step_limit,
        }
    }

    /// How many things have happened so far.
    pub(crate) fn happened(&self) -> u64 {
        self.happened
    }

    /// How long from now nothing changes by more than a trifle, see [`Plant::stands_for`].
    pub(crate) fn stands_for(&mut self, before: &[f64], span: SimTime) -> SimTime {
        match self.director.next_time() {
            Some(_) => SimTime::ZERO,
            None => self.plant.stands_for(before, span),
        }
    }

    /// A rig without faults.
    #[must_use]
    pub fn sound(plant: Plant) -> Self {
        Rig::new(plant, Box::new(NoFaults))
    }

    /// The plant.
    #[must_use]
    pub fn plant(&self) -> &Plant {
        &self.plant
    }

    /// The plant, to read or to work on.
    pub fn plant_mut(&mut self) -> &mut Plant {
        &mut self.plant
    }

    /// The director.
    #[must_use]
    pub fn director(&self) -> &dyn Director {
        &*self.director
    }

    /// Tells the director that `part` was mended.
    pub fn repaired(&mut self, part: PartId, repair: Repair) {
        self.director.repaired(part, repair);
    }

    /// Lets the director begin, if it has not.
    ///
    /// # Errors
    /// When the director cannot go on.
    pub fn begin(&mut self) -> Result<(), RigError> {
        if !self.begun {
            self.begun = true;
            self.director.begin(&mut self.plant)?;
        }
        Ok(())
    }

    /// Advances to `until` and hands every happening to `seen` after the director has had it.
    ///
    /// # Errors
    /// When physics or director cannot go on, or the work has no end. The run is then over.
    pub fn advance(
        &mut self,
        until: SimTime,
        seen: &mut dyn FnMut(Happening),
    ) -> Result<(), RigError> {
        self.begin()?;
        let mut same_instant = 0;
        loop {
            let now = self.plant.now();
            let due = self.director.next_time();
            if due.is_some_and(|t| t <= now) {
                same_instant += 1;
                if same_instant > DIRECTOR_LIMIT {
                    return Err(RigError::TooMuchWork { at: now });
                }
                self.director.at_time(&mut self.plant)?;
                self.pass_on(seen)?;
                continue;
            }
            let target = until.min(due.unwrap_or(SimTime::MAX)).min(now + STRETCH);
            let stop = self.plant.advance(target, true)?;
            self.pass_on(seen)?;
            if self.plant.now() > now {
                same_instant = 0;
            } else if stop == Stop::Happened {
                same_instant += 1;
                if same_instant > DIRECTOR_LIMIT {
                    return Err(RigError::TooMuchWork { at: now });
                }
            }
            let work = self.plant.work();
            if self.happened > HAPPENING_LIMIT || work.steps + work.rejected > self.step_limit {
                return Err(RigError::TooMuchWork { at: self.plant.now() });
            }
            let waiting = self.director.next_time();
            if stop == Stop::Reached
                && self.plant.now() >= until
                && waiting.is_none_or(|t| t > self.plant.now())
            {
                return Ok(());
            }
        }
    }

    /// Hands on what happened; what the director causes in turn follows in order.
    fn pass_on(&mut self, seen: &mut dyn FnMut(Happening)) -> Result<(), RigError> {
        // A director that answers every happening with another one would never end.
        for _ in 0..DIRECTOR_LIMIT {
            let happenings = self.plant.take_happenings();
            if happenings.is_empty() {
                return Ok(());
            }
            self.happened += happenings.len() as u64;
            for happening in happenings {
                self.director.on_happening(&mut self.plant, &happening)?;
                seen(happening);
            }
        }
        Err(RigError::TooMuchWork { at: self.plant.now() })
    }
}
