//! One attempt at one rig: actions in, what a learner can tell out.

use std::collections::{BTreeMap, BTreeSet};

use crate::base::{BranchId, NodeId, PartId, PistonId, SimTime};
use crate::language::Phrase;
use crate::plant::{Happening, Plan, Probe};

use super::action::{Action, Tool};
use super::cost::{Cost, Costs};
use super::hazard::{Evidence, Hazard, HazardRecord, Severity};
use super::instrument::Reading;
use super::isolation::{Isolation, isolators};
use super::overuse::PumpWatch;
use super::refusal::ActError;
use super::rig::{Rig, RigError};
use super::senses;
use super::task::{Task, task_of};
use super::watch::Watch;

/// What a scenario decides about a session.
#[derive(Clone, Debug)]
pub struct SessionConfig {
    /// Tools at hand.
    pub tools: BTreeSet<Tool>,
    /// A critical hazard ends the attempt.
    pub stop_on_critical: bool,
    /// Bench time after which the attempt ends.
    pub time_limit: SimTime,
    /// Most actions of an attempt.
    pub action_limit: usize,
    /// Bench time of every action.
    pub costs: Costs,
    /// Isolators that hang open under the lock of somebody else when the attempt begins.
    pub others_locks: Vec<PartId>,
}

impl Default for SessionConfig {
    fn default() -> Self {
        SessionConfig {
            tools: Tool::ALL.into_iter().collect(),
            stop_on_critical: false,
            time_limit: SimTime::from_secs(8 * 3600),
            action_limit: 100_000,
            costs: Costs::default(),
            others_locks: Vec::new(),
        }
    }
}

/// Longest text of one action [bytes].
pub const TEXT_LIMIT: usize = 2_000;
/// Longest text of all actions together [bytes].
pub const TEXT_TOTAL: usize = 4_000_000;
/// Most happenings that are kept.
pub const TRACE_LIMIT: usize = 1_000_000;
/// Most pictures of a film.
pub const FILM_LIMIT: usize = 1_000;
/// Most lines of what was seen in one outcome, and in all.
const SEEN_LIMIT: usize = 64;
const SEEN_TOTAL: usize = 100_000;

/// How an attempt ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// The machine was handed back.
    HandedBack,
    /// Something dangerous was done.
    Unsafe,
    /// The bench time was used up.
    TimeUp,
    /// The rig could not go on.
    Broken,
}

/// Something that could be seen, heard or smelt without looking for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// When.
    pub at: SimTime,
    /// What.
    pub what: Phrase,
}

impl Seen {
    /// The same as one sentence.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        Phrase::new("seen-at").with("at", self.at.to_string()).with("event", self.what.clone())
    }
}

/// What came of an action.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outcome {
    /// What to tell the learner.
    pub lines: Vec<Phrase>,
    /// What instruments showed.
    pub readings: Vec<Reading>,
    /// What was dangerous.
    pub hazards: Vec<HazardRecord>,
    /// What happened meanwhile, as far as it could be noticed; also what happened before the
    /// action began.
    pub seen: Vec<Seen>,
    /// Further things that happened and are not listed.
    pub unlisted: u64,
}

impl Outcome {
    /// Adds a sentence about one part or place.
    pub(super) fn tell(&mut self, id: &'static str, part: &str) {
        self.lines.push(Phrase::new(id).with("part", part));
    }
}

/// An action with its times and its outcome.
#[derive(Clone, Debug, PartialEq)]
pub struct LogEntry {
    /// Bench time at which it began.
    pub started: SimTime,
    /// Bench time at which it ended.
    pub ended: SimTime,
    /// What was done.
    pub action: Action,
    /// What came of it.
    pub outcome: Outcome,
}

/// A whole attempt as it went.
#[derive(Clone, Debug, PartialEq)]
pub struct SessionLog {
    /// Every action.
    pub entries: Vec<LogEntry>,
    /// How it ended; `None` if it was never brought to an end.
    pub ended: Option<Ended>,
    /// Digest of the plant at the end.
    pub digest: String,
}

/// The only door to a run.
#[derive(Clone, Debug)]
pub struct Session {
    pub(super) rig: Rig,
    pub(super) config: SessionConfig,
    pub(super) isolation: Isolation,
    /// Gauges fitted, by place.
    pub(super) fitted: BTreeMap<String, u32>,
    /// Ranges of spoilt gauges [bar].
    pub(super) spoilt: BTreeSet<u32>,
    /// How often a blown fuse was replaced since something was mended.
    pub(super) fuses: BTreeMap<PartId, u32>,
    /// Parts that were blown or burnt when they were replaced.
    pub(super) spent: BTreeSet<PartId>,
    /// Jumper leads by the branch they lie across, with the points they are clipped to.
    pub(super) leads: BTreeMap<BranchId, (String, String)>,
    /// Cylinders in whose reach somebody stands, with where their rods stood [m].
    pub(super) inside: BTreeMap<PistonId, f64>,
    /// Isolators with the lock of somebody else on them.
    pub(super) others_locks: BTreeSet<PartId>,
    pub(super) pumps: PumpWatch,
    log: Vec<LogEntry>,
    ended: Option<Ended>,
    text: usize,
    seen: usize,
    trace: Option<Vec<Happening>>,
    watch: Option<Watch>,
    film: Option<Film>,
}

/// Pictures of the rig, taken while it runs.
#[derive(Clone, Debug)]
struct Film {
    every: SimTime,
    next: SimTime,
    pictures: Vec<Rig>,
}

impl Session {
    /// A session of `rig`, at its beginning.
    #[must_use]
    pub fn new(rig: Rig, config: SessionConfig) -> Self {
        let mut rig = rig;
        let others_locks: BTreeSet<PartId> = config.others_locks.iter().copied().collect();
        for (part, handle) in isolators(rig.plant().plan()) {
            if others_locks.contains(&part) {
                rig.plant_mut().set_operator(handle, false);
            }
        }
        Session {
            rig,
            config,
            isolation: Isolation::default(),
            fitted: BTreeMap::new(),
            spoilt: BTreeSet::new(),
            fuses: BTreeMap::new(),
            spent: BTreeSet::new(),
            leads: BTreeMap::new(),
            inside: BTreeMap::new(),
            others_locks,
            pumps: PumpWatch::default(),
            log: Vec::new(),
            ended: None,
            text: 0,
            seen: 0,
            trace: None,
            watch: None,
            film: None,
        }
    }

    /// Bench time.
    #[must_use]
    pub fn now(&self) -> SimTime {
        self.rig.plant().now()
    }

    /// The plan of the bench.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        self.rig.plant().plan()
    }

    /// The rig as it stands after the last action. A live view clones it and lets the clone run
    /// ahead; the session itself only moves with actions, so that it can be repeated.
    #[must_use]
    pub fn rig(&self) -> &Rig {
        &self.rig
    }

    /// What the scenario decided.
    #[must_use]
    pub fn config(&self) -> &SessionConfig {
        &self.config
    }

    /// How the attempt ended, if it has.
    #[must_use]
    pub fn ended(&self) -> Option<Ended> {
        self.ended
    }

    /// Whether `part` was blown or burnt when it was replaced: for the marker.
    #[must_use]
    pub fn was_spent(&self, part: PartId) -> bool {
        self.spent.contains(&part)
    }

    /// Every action so far.
    #[must_use]
    pub fn log(&self) -> &[LogEntry] {
        &self.log
    }

    /// The attempt as it went so far.
    #[must_use]
    pub fn into_log(self) -> SessionLog {
        SessionLog { digest: self.rig.plant().digest(), entries: self.log, ended: self.ended }
    }

    /// Keeps everything that happens from here on, hidden or not, at most [`TRACE_LIMIT`]: for
    /// those who run the bench, never for a learner.
    #[must_use]
    pub fn traced(mut self) -> Self {
        self.trace = Some(Vec::new());
        self
    }

    /// What happened since the last call, if it is being kept.
    pub fn take_trace(&mut self) -> Vec<Happening> {
        self.trace.as_mut().map(std::mem::take).unwrap_or_default()
    }

    /// Samples quantities from here on, on a copy of the rig: the session itself stays bit for bit
    /// what it is without. For those who run the bench, never for a learner.
    #[must_use]
    pub fn watched(mut self, watch: Watch) -> Self {
        self.watch = Some(watch);
        self
    }

    /// What was sampled, if anything is.
    pub fn take_watch(&mut self) -> Option<Watch> {
        self.watch.take()
    }

    /// Lets the bench run to `until`, at most to the time limit, without doing anything.
    ///
    /// # Errors
    /// When the rig cannot go on; the attempt has then ended.
    pub fn idle(&mut self, until: SimTime) -> Result<Outcome, RigError> {
        let mut outcome = Outcome::default();
        match self.run_to(until, &mut outcome) {
            Ok(_) => Ok(outcome),
            Err(error) => {
                self.ended = Some(Ended::Broken);
                Err(error)
            }
        }
    }

    /// What `action` begun at `at` would look like: the rig every `every` of bench time while it is
    /// done, at most [`FILM_LIMIT`] pictures. For showing only: the session itself does not move, and a
    /// run that stops to be looked at differs from one that does not in its last digits.
    #[must_use]
    pub fn film(&self, at: SimTime, action: Action, every: SimTime) -> Vec<Rig> {
        let every = every.max(SimTime::from_millis(1));
        let mut copy = self.clone();
        (copy.log, copy.watch) = (Vec::new(), None);
        copy.film = Some(Film { every, next: at + every, pictures: Vec::new() });
        // What goes wrong was told when the action was done.
        let _ = copy.act_at(at, action);
        copy.film.map(|film| film.pictures).unwrap_or_default()
    }

    /// Gauges that stand fitted: where, and their range [bar].
    pub fn gauges(&self) -> impl Iterator<Item = (&str, u32)> {
        self.fitted.iter().map(|(at, range)| (at.as_str(), *range))
    }

    /// Isolators with a lock of the learner's on them, and those with a tag.
    pub fn locks(&self) -> (impl Iterator<Item = PartId>, impl Iterator<Item = PartId>) {
        (self.isolation.locked.iter().copied(), self.isolation.tagged.iter().copied())
    }

    /// Fittings that stand open: part and port.
    pub fn open_fittings(&self) -> impl Iterator<Item = (PartId, &str)> {
        self.isolation.open.keys().map(|(part, port)| (*part, port.as_str()))
    }

    /// The rig, to take notes of its run.
    pub(crate) fn rig_mut(&mut self) -> &mut Rig {
        &mut self.rig
    }

    /// This session as it would be, had it been one of the rig of `other` and gone the same way.
    pub(crate) fn grafted(&self, other: &Session) -> Session {
        let mut own = self.clone();
        own.rig = self.rig.grafted(&other.rig);
        own
    }

    /// Forgets what was done so far, but for what it did: for runs of which only the machine counts.
    pub(crate) fn forget(&mut self) {
        self.log = Vec::new();
    }

    /// What `action` would tell if it took no time: for looks, on a copy.
    ///
    /// # Errors
    /// See [`Session::act_at`].
    pub(crate) fn glance(&mut self, action: Action) -> Result<Outcome, ActError> {
        self.config.costs = Costs::none();
        self.act(action)
    }

    /// Reads any quantity of the bench, for those who run it, never for a learner.
    pub fn read(&mut self, probe: Probe) -> f64 {
        self.rig.plant_mut().read(probe)
    }

    /// Whether something can be heard to rush through `part`, for those who run the bench.
    pub fn rushes(&mut self, part: PartId) -> bool {
        senses::rushes_through(self.rig.plant_mut(), part)
    }

    /// Resistance [ohm] between two points as an ideal ohmmeter has it, for those who run the
    /// bench, never for a learner.
    pub fn ohms(&mut self, a: NodeId, b: NodeId) -> f64 {
        self.rig.plant_mut().resistance(a, b)
    }

    /// Does `action` now.
    ///
    /// # Errors
    /// See [`Session::act_at`].
    pub fn act(&mut self, action: Action) -> Result<Outcome, ActError> {
        self.act_at(self.now(), action)
    }

    /// Lets the bench run to `at`, then does `action`.
    ///
    /// # Errors
    /// When the action cannot be done; then nothing has changed, not even the time. Only
    /// [`ActError::Rig`] ends the attempt.
    pub fn act_at(&mut self, at: SimTime, action: Action) -> Result<Outcome, ActError> {
        let task = self.allowed(at, &action)?;
        self.text += action.text_bytes();
        let mut outcome = Outcome::default();
        match self.carry_out(at, &action, task, &mut outcome) {
            Ok(started) => {
                self.log.push(LogEntry {
                    started,
                    ended: self.now(),
                    action,
                    outcome: outcome.clone(),
                });
                Ok(outcome)
            }
            Err(error) => {
                self.ended = Some(Ended::Broken);
                Err(error.into())
            }
        }
    }

    fn allowed(&self, at: SimTime, action: &Action) -> Result<Task, ActError> {
        if self.ended.is_some() {
            return Err(ActError::Ended);
        }
        let now = self.now();
        if at < now {
            return Err(ActError::TooEarly { at, now });
        }
        if self.log.len() >= self.config.action_limit {
            return Err(ActError::TooManyActions(self.config.action_limit));
        }
        let text = action.text_bytes();
        for (much, limit) in [(text, TEXT_LIMIT), (self.text + text, TEXT_TOTAL)] {
            if much > limit {
                return Err(ActError::TooMuchText(limit));
            }
        }
        if let Some(tool) = action.tool()
            && !self.config.tools.contains(&tool)
        {
            return Err(ActError::NoTool(tool));
        }
        task_of(self.plan(), action)
    }

    /// Idles until `at` and does the task; gives the time at which it began.
    fn carry_out(
        &mut self,
        at: SimTime,
        action: &Action,
        task: Task,
        outcome: &mut Outcome,
    ) -> Result<SimTime, RigError> {
        self.run_to(at, outcome)?;
        let started = self.now();
        if started >= self.config.time_limit {
            self.time_up(outcome);
            return Ok(started);
        }
        self.perform(action, task, outcome)?;
        self.look_around(outcome);
        let critical = outcome.hazards.iter().any(|h| h.hazard.severity() == Severity::Critical);
        if critical && self.config.stop_on_critical {
            outcome.lines.push(Phrase::new("done-stopped"));
            self.ended = Some(Ended::Unsafe);
        } else if self.now() >= self.config.time_limit && self.ended.is_none() {
            self.time_up(outcome);
        }
        Ok(started)
    }

    fn time_up(&mut self, outcome: &mut Outcome) {
        outcome.lines.push(Phrase::new("done-time-up"));
        self.ended = Some(Ended::TimeUp);
    }

    pub(super) fn end(&mut self, how: Ended) {
        self.ended = Some(how);
    }

    /// Lets the bench run to `until`, at most to the time limit; true if something started.
    pub(super) fn run_to(
        &mut self,
        until: SimTime,
        outcome: &mut Outcome,
    ) -> Result<bool, RigError> {
        let until = until.min(self.config.time_limit).max(self.now());
        let plan = self.rig.plant().plan().clone();
        let mut started = false;
        let copy = self.watch.as_ref().map(|_| self.rig.clone());
        let mut moments = Vec::new();
        let seen_total = &mut self.seen;
        let trace = &mut self.trace;
        let pumps = &mut self.pumps;
        let mut seen = |happening: Happening| {
            if copy.is_some() {
                moments.push(happening.at);
            }
            started |= senses::starts(&plan, &happening);
            pumps.note(&happening);
            if let Some(trace) = trace
                && trace.len() < TRACE_LIMIT
            {
                trace.push(happening);
            }
            let Some(what) = senses::seen(&plan, &happening) else {
                return;
            };
            if outcome.seen.len() < SEEN_LIMIT && *seen_total < SEEN_TOTAL {
                *seen_total += 1;
                outcome.seen.push(Seen { at: happening.at, what });
            } else {
                outcome.unlisted += 1;
            }
        };
        if let Some(film) = &mut self.film {
            while film.next < until && film.pictures.len() < FILM_LIMIT {
                self.rig.advance(film.next, &mut seen)?;
                film.pictures.push(self.rig.clone());
                film.next += film.every;
            }
        }
        self.rig.advance(until, &mut seen)?;
        if let (Some(watch), Some(copy)) = (&mut self.watch, copy) {
            watch.sample(copy, until, &moments);
        }
        Ok(started)
    }

    /// Lets the bench run for the time of `cost`.
    pub(super) fn spend(&mut self, cost: Cost, outcome: &mut Outcome) -> Result<bool, RigError> {
        let until = self.now() + self.config.costs.of(cost);
        self.run_to(until, outcome)
    }

    /// Records a hazard met now.
    pub(super) fn hazard(
        &self,
        outcome: &mut Outcome,
        hazard: Hazard,
        place: &str,
        evidence: Vec<Evidence>,
    ) {
        outcome.hazards.push(HazardRecord {
            at: self.now(),
            hazard,
            place: place.to_owned(),
            evidence,
        });
    }
}
