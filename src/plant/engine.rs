//! The clock of a run: events, crossings, and the state between them.

use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::base::{
    ContactId, FuseId, OperatorId, PartId, PistonId, PlcId, PumpId, SimTime, SpoolId, Stream,
    VolumeId, WindingId, hex,
};
use crate::fluid::EndStop;
use crate::kernel::{Advance, EventQueue, IntegrationError, Integrator, System, Work};
use crate::language::Phrase;
use crate::shift::Hand;

use super::condition::{Condition, Delay, Trigger, spread_operator, spread_spool, spread_winding};
use super::model::{Live, Model, Status, contact_closed, glows, travel};
use super::plan::{Element, Plan, Tie, Watch};

mod alike;
mod controllers;
mod rectifiers;
mod rest;

/// Relative tolerance of the continuous integration [1].
pub const RELATIVE_TOLERANCE: f64 = 5e-5;

/// Most changes that may follow one another in the same instant.
const CASCADE_LIMIT: u32 = 2_000;

/// Contacts of buttons, cams and pressure switches: from trigger to break, and to make.
const SNAP_BREAK: SimTime = SimTime::from_micros(1_000);
const SNAP_MAKE: SimTime = SimTime::from_micros(2_000);

/// A run that cannot go on.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum PlantError {
    /// The continuous state could not be advanced.
    Integration(#[from] IntegrationError),
    /// Changes followed one another without time passing.
    Cascade {
        /// When.
        at: SimTime,
        /// Name of the element that changed last.
        last: String,
    },
}

impl PlantError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            PlantError::Integration(error) => {
                Phrase::new("engine-physics").with("why", error.phrase())
            }
            PlantError::Cascade { at, last } => Phrase::new("engine-cascade")
                .with("at", at.to_string())
                .with("most", CASCADE_LIMIT.to_string())
                .with("last", last.as_str()),
        }
    }
}

/// Something that changed, worth a line in a timeline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// An operator's trigger acts: a button is pressed, an armature pulls, a cam strikes.
    Acts(OperatorId),
    /// An operator's trigger lets go.
    Rests(OperatorId),
    /// A contact closes.
    Closed(ContactId),
    /// A contact opens.
    Opened(ContactId),
    /// A fuse blows.
    Blew(FuseId),
    /// A winding burns open.
    Burnt(WindingId),
    /// A spool leaves a position (-1, 0, +1).
    SpoolLeft(SpoolId, i8),
    /// A spool settles in a position.
    SpoolReached(SpoolId, i8),
    /// A piston leaves an end: true extended.
    PistonLeft(PistonId, bool),
    /// A piston reaches an end: true extended.
    PistonReached(PistonId, bool),
    /// A lamp lights; index into the plan's lamps.
    Lit(usize),
    /// A lamp goes out.
    Out(usize),
    /// A pump starts.
    PumpStarted(PumpId),
    /// A pump stops.
    PumpStopped(PumpId),
    /// A controller has its supply and runs its program.
    PlcRuns(PlcId),
    /// A controller has lost its supply, or has stopped.
    PlcStops(PlcId),
    /// A part's condition was changed from outside: a fault, a repair, a setting.
    Altered(PartId),
}

/// A change with its time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Happening {
    /// When.
    pub at: SimTime,
    /// What.
    pub what: What,
}

/// Why [`Plant::advance`] came back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// The wanted time was reached.
    Reached,
    /// Something happened, and the caller asked to be told.
    Happened,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Event {
    /// Contacts of an operator move: first what opens, then what closes.
    Transfer { operator: OperatorId, generation: u32, opens: bool },
    /// A flasher's contacts close (true) or open.
    Flash { operator: OperatorId, generation: u32, closes: bool },
    /// Half a period, or a longer wait when nothing changes: rectifiers find their working point.
    Rectify { round: u32, waits: u32 },
}

/// All mutable state of one run.
#[derive(Clone, Debug)]
pub struct Plant {
    plan: Arc<Plan>,
    seed: u64,
    /// Shared by the copies of a run: it seldom changes.
    actual: Arc<Condition>,
    status: Status,
    live: Live,
    y: Vec<f64>,
    now: SimTime,
    queue: EventQueue<Event>,
    /// When each controller ends its scan and begins the next. Most scans change nothing, so these do
    /// not end a step of the integrator.
    scans: EventQueue<PlcId>,
    integrator: Integrator,
    happenings: Vec<Happening>,
    guards: Vec<f64>,
    renewals: Vec<u32>,
    stale: bool,
    /// Counts the changes of the networks, so that a stale look at the rectifiers is ignored.
    rectify_round: u32,
    digest: Sha256,
    /// How the control side has stood since [`Plant::note`], if that is wanted.
    notes: Option<Vec<Status>>,
}

impl Plant {
    /// A run of `plan` at time zero; `seed` decides the manufacturing tolerances.
    #[must_use]
    pub fn new(plan: Arc<Plan>, seed: u64) -> Self {
        let mut plant = Plant {
            seed,
            actual: Arc::new(plan.nominal.clone()),
            status: Status::new(&plan),
            live: Live::new(&plan),
            y: plan.initial.clone(),
            now: SimTime::ZERO,
            queue: EventQueue::new(),
            scans: EventQueue::new(),
            integrator: Integrator::new(plan.elimination.clone(), RELATIVE_TOLERANCE),
            happenings: Vec::new(),
            guards: vec![0.0; plan.watches.len()],
            renewals: vec![0; plan.parts.len()],
            stale: true,
            rectify_round: 0,
            digest: Sha256::new(),
            notes: None,
            plan,
        };
        for part in 0..plant.plan.parts.len() {
            plant.make(PartId::new(part));
        }
        for p in 0..plant.plan.plcs.len() {
            // Controllers of one bench are not switched on in step: each begins a little later.
            let start = SimTime::from_micros(100 * (p as u64 + 1));
            plant.scans.push(start, 0, PlcId::new(p));
        }
        for s in 0..plant.plan.spools.len() {
            plant.status.spool_at[s] = Some(plant.plan.spools[s].initially as i8);
        }
        for (p, place) in plant.plan.pistons.iter().enumerate() {
            let stroke = plant.plan.nominal.pistons[p].stroke_m;
            plant.status.piston_at[p] = if place.initially_m <= 0.0 {
                Some(false)
            } else if place.initially_m >= stroke {
                Some(true)
            } else {
                None
            };
        }
        plant
    }

    /// A run in which every part is exactly nominal: for checks against closed forms.
    #[must_use]
    pub fn nominal(plan: Arc<Plan>) -> Self {
        let mut plant = Plant::new(plan, 0);
        plant.actual = Arc::new(plant.plan.nominal.clone());
        plant
    }

    /// The same with at most `steps` integration steps, kept and thrown away.
    #[must_use]
    pub fn limited(mut self, steps: u64) -> Self {
        self.integrator = self.integrator.limited(steps);
        self
    }

    /// The same with integration steps that may be off by `times` as much, see [`Integrator::coarser`]; and
    /// with alternating currents to a thousandth.
    #[must_use]
    pub fn coarser(mut self, times: f64) -> Self {
        self.integrator = self.integrator.coarser(times);
        self.live.coarse = times > 1.0;
        self
    }

    /// Gives the elements of `part` their nominal values with this run's tolerances.
    fn make(&mut self, part: PartId) {
        let plan = Arc::clone(&self.plan);
        let part_plan = &plan.parts[part.index()];
        let nominal = &plan.nominal;
        let actual = Arc::make_mut(&mut self.actual);
        let purpose = format!("tolerance {}", self.renewals[part.index()]);
        let mut rng = Stream::new(self.seed, &part_plan.tag, &purpose);
        for &(_, element) in &part_plan.elements {
            match element {
                Element::Branch(id) => {
                    actual.branches[id.index()] = nominal.branches[id.index()];
                }
                Element::Contact(id) => {
                    actual.contacts[id.index()] = nominal.contacts[id.index()];
                }
                Element::Winding(id) => {
                    let mut make = nominal.windings[id.index()];
                    spread_winding(&mut rng, &mut make);
                    actual.windings[id.index()] = make;
                    actual.suppressors[id.index()].clone_from(&nominal.suppressors[id.index()]);
                    self.status.burnt[id.index()] = false;
                    self.y[plan.windings[id.index()].heat] = plan.ambient_celsius;
                }
                Element::Operator(id) => {
                    let mut make = nominal.operators[id.index()];
                    spread_operator(&mut rng, &mut make);
                    actual.operators[id.index()] = make;
                }
                Element::Fuse(id) => {
                    actual.fuses[id.index()] = nominal.fuses[id.index()];
                    self.status.blown[id.index()] = false;
                    self.y[plan.fuses[id.index()].heat] = 0.0;
                }
                Element::Volume(id) => {
                    actual.volumes[id.index()] = nominal.volumes[id.index()];
                    actual.held_pa[id.index()] = nominal.held_pa[id.index()];
                }
                Element::Flow(id) => actual.flows[id.index()] = nominal.flows[id.index()],
                Element::Spool(id) => {
                    let mut make = nominal.spools[id.index()];
                    spread_spool(&mut rng, &mut make);
                    if plan.spools[id.index()].modulates {
                        // Springs of pressure valves are set against a gauge.
                        make.preload_n = nominal.spools[id.index()].preload_n;
                        make.rate_n = nominal.spools[id.index()].rate_n;
                    }
                    actual.spools[id.index()] = make;
                    actual.plugs_swapped[id.index()] = nominal.plugs_swapped[id.index()];
                    self.status.hands[id.index()] = Hand::Off;
                }
                Element::Piston(id) => {
                    let propped = actual.pistons[id.index()].propped;
                    actual.pistons[id.index()].clone_from(&nominal.pistons[id.index()]);
                    actual.pistons[id.index()].propped = propped;
                }
                Element::Pump(id) => actual.drives[id.index()] = nominal.drives[id.index()],
                Element::Accumulator(id) => {
                    actual.accumulators[id.index()] = nominal.accumulators[id.index()];
                    actual.seals[id.index()] = nominal.seals[id.index()];
                }
                Element::Amplifier(id) => {
                    actual.amplifiers[id.index()] = nominal.amplifiers[id.index()];
                }
                Element::Plc(id) => actual.plcs[id.index()] = nominal.plcs[id.index()],
                Element::Transformer(id) => {
                    actual.transformers[id.index()] = nominal.transformers[id.index()];
                }
                Element::Rectifier(id) => {
                    actual.rectifiers[id.index()] = nominal.rectifiers[id.index()];
                }
                Element::Overload(id) => {
                    actual.overloads[id.index()] = nominal.overloads[id.index()];
                    self.y[plan.overloads[id.index()].state] = 0.0;
                }
            }
        }
        self.stale = true;
    }

    /// The plan this run is of.
    #[must_use]
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// Bench time.
    #[must_use]
    pub fn now(&self) -> SimTime {
        self.now
    }

    /// Seed of this run.
    #[must_use]
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// The state of repair of everything, as it is: tolerances and faults included.
    #[must_use]
    pub fn condition(&self) -> &Condition {
        &self.actual
    }

    /// The same, to be kept: it goes on unchanged when this run's changes.
    pub(crate) fn condition_shared(&self) -> Arc<Condition> {
        Arc::clone(&self.actual)
    }

    /// Changes the condition of `part`: a fault, a repair, a setting.
    pub fn alter(&mut self, part: PartId, change: impl FnOnce(&mut Condition)) {
        change(Arc::make_mut(&mut self.actual));
        self.stale = true;
        self.tell(What::Altered(part));
    }

    /// Replaces `part` by a new one, of its own tolerances.
    pub fn renew(&mut self, part: PartId) {
        self.renewals[part.index()] += 1;
        self.make(part);
        // A new overload relay is cold and ready.
        let plan = Arc::clone(&self.plan);
        for &(_, element) in &plan.parts[part.index()].elements {
            if let Element::Overload(id) = element {
                self.set_operator(plan.overloads[id.index()].trips, false);
            }
        }
        self.tell(What::Altered(part));
    }

    /// Presses (true) or releases a hand operator; true when that changed anything.
    pub fn set_operator(&mut self, operator: OperatorId, acting: bool) -> bool {
        let stuck = self.actual.operators[operator.index()].stuck;
        if self.status.operators[operator.index()].acting == acting || stuck.is_some() {
            return false;
        }
        self.trigger(operator, acting);
        true
    }

    /// Lays a hand on, or takes it off, the manual override of a spool.
    pub fn set_hand(&mut self, spool: SpoolId, hand: Hand) {
        self.status.hands[spool.index()] = hand;
        self.integrator.restart();
    }

    /// Opens volume `volume` to the air by `open` [m3/(s Pa)], or closes it with 0.
    pub fn set_vent(&mut self, volume: VolumeId, open: f64) {
        Arc::make_mut(&mut self.actual).vents[volume.index()] = open.max(0.0);
        self.integrator.restart();
    }

    /// Puts a prop under the load of `piston`, or takes it away.
    pub fn set_prop(&mut self, piston: PistonId, propped: bool) {
        Arc::make_mut(&mut self.actual).pistons[piston.index()].propped = propped;
        self.integrator.restart();
    }

    /// The hand on the override of `spool`.
    #[must_use]
    pub fn hand(&self, spool: SpoolId) -> Hand {
        self.status.hands[spool.index()]
    }

    /// Whether an operator's trigger acts.
    #[must_use]
    pub fn acting(&self, operator: OperatorId) -> bool {
        self.status.operators[operator.index()].acting
    }

    /// Whether a contact conducts.
    #[must_use]
    pub fn contact_closed(&self, contact: ContactId) -> bool {
        contact_closed(&self.plan, &self.actual, &self.status, contact.index())
    }

    /// Whether a fuse has blown.
    #[must_use]
    pub fn blown(&self, fuse: FuseId) -> bool {
        self.status.blown[fuse.index()]
    }

    /// Whether a winding has burnt open.
    #[must_use]
    pub fn burnt(&self, winding: WindingId) -> bool {
        self.status.burnt[winding.index()]
    }

    /// Whether a lamp is lit.
    #[must_use]
    pub fn lit(&self, lamp: usize) -> bool {
        self.status.lamps[lamp]
    }

    /// Whether a pump's drive is switched on.
    #[must_use]
    pub fn pump_on(&self, pump: PumpId) -> bool {
        self.status.pumps[pump.index()]
    }

    /// What happened since the last call, in order.
    pub fn take_happenings(&mut self) -> Vec<Happening> {
        std::mem::take(&mut self.happenings)
    }

    /// Work done by the integrator so far.
    #[must_use]
    pub fn work(&self) -> Work {
        self.integrator.work()
    }

    /// Digest of everything that happened so far and of the state now, rounded to 6 significant
    /// digits: 64 hexadecimal digits. The same in debug and release, on any number of threads.
    #[must_use]
    pub fn digest(&self) -> String {
        let mut digest = self.digest.clone();
        digest.update(self.now.as_nanos().to_le_bytes());
        for value in &self.y {
            let rounded = crate::base::ops::round_significant(*value, 6);
            // Zero has two signs; one is enough.
            digest.update((rounded + 0.0).to_bits().to_le_bytes());
        }
        hex(&digest.finalize())
    }

    /// Advances to `until`; with `pause` comes back whenever something happens.
    ///
    /// # Errors
    /// When the physics cannot be advanced or changes pile up in no time. The run is then over.
    pub fn advance(&mut self, until: SimTime, pause: bool) -> Result<Stop, PlantError> {
        let mut cascade = 0;
        loop {
            let before = self.happenings.len();
            while self.queue.next_time().is_some_and(|t| t <= self.now) {
                if let Some((_, _, event)) = self.queue.pop() {
                    self.handle(event);
                }
            }
            while self.scans.next_time().is_some_and(|t| t <= self.now) {
                if let Some((_, _, id)) = self.scans.pop() {
                    self.scan(id);
                }
            }
            self.refresh();
            if self.fire_pending() {
                cascade += 1;
                if cascade > CASCADE_LIMIT {
                    return Err(self.cascade_error());
                }
                continue;
            }
            self.look_at_lamps();
            self.look_at_calls();
            if pause && self.happenings.len() > before {
                return Ok(Stop::Happened);
            }
            if self.now >= until {
                return Ok(Stop::Reached);
            }
            let horizon = self.queue.next_time().map_or(until, |t| t.min(until));
            let target = self.scans.next_time().map_or(horizon, |t| t.min(horizon));
            let mut model = Model {
                plan: &self.plan,
                actual: &self.actual,
                status: &self.status,
                live: &mut self.live,
            };
            match self.integrator.advance_towards(
                &mut model,
                self.now,
                target,
                horizon,
                &mut self.y,
            )? {
                Advance::Reached => {
                    self.now = target;
                    cascade = 0;
                }
                Advance::Crossed { at, watches } => {
                    if at > self.now {
                        cascade = 0;
                    }
                    self.now = at;
                    for watch in watches {
                        self.fire(self.plan.watches[watch]);
                    }
                    cascade += 1;
                    if cascade > CASCADE_LIMIT {
                        return Err(self.cascade_error());
                    }
                    self.refresh();
                    self.look_at_lamps();
                    self.look_at_calls();
                    if pause && !self.happenings.is_empty() {
                        return Ok(Stop::Happened);
                    }
                }
            }
        }
    }

    fn cascade_error(&self) -> PlantError {
        let last = match self.happenings.last().map(|h| h.what) {
            Some(What::Acts(o) | What::Rests(o)) => self.plan.operators[o.index()].name.clone(),
            Some(What::PlcRuns(p) | What::PlcStops(p)) => self.plan.plcs[p.index()].name.clone(),
            Some(What::SpoolLeft(s, _) | What::SpoolReached(s, _)) => {
                self.plan.spools[s.index()].name.clone()
            }
            _ => "unknown".to_owned(),
        };
        PlantError::Cascade { at: self.now, last }
    }

    /// Solves the networks again if anything in them changed, and switches the pumps.
    fn refresh(&mut self) {
        if !self.stale {
            return;
        }
        self.stale = false;
        for p in 0..self.plan.pumps.len() {
            let on =
                self.plan.pumps[p].run_by.iter().all(|o| self.status.operators[o.index()].made);
            if on != self.status.pumps[p] {
                self.status.pumps[p] = on;
                let id = PumpId::new(p);
                self.tell(if on { What::PumpStarted(id) } else { What::PumpStopped(id) });
            }
        }
        self.live.refresh(&self.plan, &self.actual, &self.status);
        self.note_down();
        if !self.plan.rectifiers.is_empty() {
            self.settle_rectifiers();
            self.rectify_round = self.rectify_round.wrapping_add(1);
            self.await_rectifiers(0);
        }
        self.integrator.restart();
    }

    /// Fires the guards that are true at this instant; true when any did.
    fn fire_pending(&mut self) -> bool {
        let mut guards = std::mem::take(&mut self.guards);
        let mut model = Model {
            plan: &self.plan,
            actual: &self.actual,
            status: &self.status,
            live: &mut self.live,
        };
        model.watch(&self.y, &mut guards);
        let mut any = false;
        for (k, value) in guards.iter().enumerate() {
            if *value >= 0.0 {
                self.fire(self.plan.watches[k]);
                any = true;
            }
        }
        self.guards = guards;
        any
    }

    fn fire(&mut self, watch: Watch) {
        match watch {
            Watch::Fuse(id) if self.plan.fuses[id.index()].trips.is_some() => {
                if let Some((operator, acting)) = self.plan.fuses[id.index()].trips {
                    self.trigger(operator, acting);
                }
            }
            Watch::Overload(id) => {
                self.trigger(self.plan.overloads[id.index()].trips, true);
            }
            Watch::Fuse(id) => {
                self.status.blown[id.index()] = true;
                self.y[self.plan.fuses[id.index()].heat] = 0.0;
                self.stale = true;
                self.tell(What::Blew(id));
            }
            Watch::Burn(id) => {
                self.status.burnt[id.index()] = true;
                self.stale = true;
                self.tell(What::Burnt(id));
            }
            Watch::Operator(id) => {
                let acting = self.status.operators[id.index()].acting;
                self.trigger(id, !acting);
            }
            Watch::Spool(id) => {
                let x = self.y[self.plan.spools[id.index()].state];
                match self.status.spool_at[id.index()].take() {
                    Some(at) => self.tell(What::SpoolLeft(id, at)),
                    None => {
                        let at = x.round().clamp(-1.0, 1.0) as i8;
                        self.status.spool_at[id.index()] = Some(at);
                        self.tell(What::SpoolReached(id, at));
                    }
                }
            }
            Watch::Stop(mover) => {
                let stop = match self.status.stops.of(mover) {
                    Some(_) => None,
                    None => {
                        let (state, range, _) = travel(&self.plan, &self.actual, mover);
                        let (stop, at) = EndStop::nearest(self.y[state], range);
                        self.y[state] = at;
                        self.integrator.interrupt();
                        Some(stop)
                    }
                };
                self.status.stops.set(mover, stop);
            }
            Watch::Piston(id) => {
                let s = self.y[self.plan.pistons[id.index()].state];
                match self.status.piston_at[id.index()].take() {
                    Some(end) => self.tell(What::PistonLeft(id, end)),
                    None => {
                        let end = s > self.actual.pistons[id.index()].stroke_m / 2.0;
                        self.status.piston_at[id.index()] = Some(end);
                        self.tell(What::PistonReached(id, end));
                    }
                }
            }
        }
    }

    /// An operator's trigger changes: its contacts follow after their time.
    fn trigger(&mut self, id: OperatorId, acting: bool) {
        let status = &mut self.status.operators[id.index()];
        status.acting = acting;
        status.generation = status.generation.wrapping_add(1);
        let generation = status.generation;
        self.note_down();
        let (breaks, makes) = match self.actual.operators[id.index()].trigger {
            Trigger::Armature { operate, release, delay, .. } => {
                let travel = if acting { operate } else { release };
                // Break before make: what is closed opens at about six tenths of the travel.
                let first = SimTime::from_nanos(travel.as_nanos() / 10 * 6);
                let extra = match (delay, acting) {
                    (Delay::On(t), true) | (Delay::Off(t), false) => t,
                    _ => SimTime::ZERO,
                };
                (first + extra, travel + extra)
            }
            Trigger::Program { operate, release } => {
                let travel = if acting { operate } else { release };
                (travel, travel)
            }
            Trigger::Latch { operate, .. } | Trigger::Both { operate, .. } => {
                (SimTime::from_nanos(operate.as_nanos() / 10 * 6), operate)
            }
            _ => (SNAP_BREAK, SNAP_MAKE),
        };
        for (after, opens) in [(breaks, true), (makes, false)] {
            let after = after.max(SimTime::from_nanos(1));
            self.queue.push(
                self.now + after,
                0,
                Event::Transfer { operator: id, generation, opens },
            );
        }
        self.tell(if acting { What::Acts(id) } else { What::Rests(id) });
        if acting {
            self.count(id);
        }
        self.two_hands(id, acting);
    }

    /// Two-hand controls of which `id` is one hand: both must come, the second soon after the first,
    /// and both must have gone before the next time.
    fn two_hands(&mut self, id: OperatorId, acting: bool) {
        let plan = Arc::clone(&self.plan);
        for (k, place) in plan.operators.iter().enumerate() {
            let Tie::Both(left, right) = place.tie else { continue };
            if id != left && id != right {
                continue;
            }
            let other = self.status.operators[if id == left { right } else { left }.index()].acting;
            let output = OperatorId::new(k);
            let first = self.status.operators[k].first.take();
            if acting && !other {
                self.status.operators[k].first = Some(self.now);
            }
            let make = &self.actual.operators[k];
            let Trigger::Both { within, .. } = make.trigger else { continue };
            let soon = first.is_some_and(|t| self.now.saturating_sub(t) <= within);
            let starts = acting && other && soon;
            let stops = !acting && self.status.operators[k].acting;
            if make.stuck.is_none() && (starts || stops) {
                self.trigger(output, starts);
            }
        }
    }

    /// Counters that `id` pulses or resets.
    fn count(&mut self, id: OperatorId) {
        let plan = Arc::clone(&self.plan);
        for (k, place) in plan.operators.iter().enumerate() {
            let Tie::Count(pulse, reset) = place.tie else { continue };
            let holds = self.status.operators[reset.index()].acting;
            let count = &mut self.status.operators[k].count;
            if id == reset {
                *count = 0;
            } else if id == pulse && !holds {
                *count = count.saturating_add(1);
            }
        }
    }

    /// Pulses that the counter's output `operator` has seen since its last reset.
    #[must_use]
    pub fn counted(&self, operator: OperatorId) -> u32 {
        self.status.operators[operator.index()].count
    }

    fn handle(&mut self, event: Event) {
        let (operator, generation, opens) = match event {
            Event::Transfer { operator, generation, opens } => (operator, generation, opens),
            Event::Flash { operator, generation, closes } => {
                return self.flash(operator, generation, closes);
            }
            Event::Rectify { round, waits } => {
                if round == self.rectify_round {
                    self.look_at_rectifiers(waits);
                }
                return;
            }
        };
        let plan = Arc::clone(&self.plan);
        let status = self.status.operators[operator.index()];
        if status.generation != generation {
            return;
        }
        let contacts = &plan.operators[operator.index()].contacts;
        let before: Vec<bool> = contacts.iter().map(|c| self.contact_closed(*c)).collect();
        let moved = &mut self.status.operators[operator.index()];
        match (moved.acting, opens) {
            (true, true) => moved.broken = true,
            (true, false) => {
                moved.broken = true;
                moved.made = true;
            }
            (false, true) => moved.made = false,
            (false, false) => {
                moved.made = false;
                moved.broken = false;
            }
        }
        if let (Trigger::Armature { delay: Delay::Flash(period), .. }, true, false) =
            (self.actual.operators[operator.index()].trigger, status.acting, opens)
        {
            let event = Event::Flash { operator, generation, closes: false };
            self.queue.push(self.now + period, 0, event);
        }
        self.tell_contacts(&plan, operator, &before);
    }

    /// A flasher's contacts go over, and go back after its time.
    fn flash(&mut self, operator: OperatorId, generation: u32, closes: bool) {
        let Trigger::Armature { delay: Delay::Flash(period), .. } =
            self.actual.operators[operator.index()].trigger
        else {
            return;
        };
        if self.status.operators[operator.index()].generation != generation {
            return;
        }
        let plan = Arc::clone(&self.plan);
        let contacts = &plan.operators[operator.index()].contacts;
        let before: Vec<bool> = contacts.iter().map(|c| self.contact_closed(*c)).collect();
        let status = &mut self.status.operators[operator.index()];
        (status.broken, status.made) = (closes, closes);
        let event = Event::Flash { operator, generation, closes: !closes };
        self.queue.push(self.now + period.max(SimTime::from_millis(1)), 0, event);
        self.tell_contacts(&plan, operator, &before);
    }

    /// Tells which contacts of `operator` are no longer as they were `before`.
    fn tell_contacts(&mut self, plan: &Plan, operator: OperatorId, before: &[bool]) {
        self.stale = true;
        for (contact, was) in plan.operators[operator.index()].contacts.iter().zip(before) {
            let is = self.contact_closed(*contact);
            if is != *was {
                self.tell(if is { What::Closed(*contact) } else { What::Opened(*contact) });
            }
        }
    }

    fn look_at_lamps(&mut self) {
        let plan = Arc::clone(&self.plan);
        for (n, network) in plan.networks.iter().enumerate() {
            for (row, &k) in network.lamps.iter().enumerate() {
                let volts = self.with_model(|model, _| model.lamp_volts(n, row));
                let lit = glows(&plan, &self.actual, k, volts);
                if lit != self.status.lamps[k] {
                    self.status.lamps[k] = lit;
                    self.tell(if lit { What::Lit(k) } else { What::Out(k) });
                }
            }
        }
    }

    pub(super) fn tell(&mut self, what: What) {
        let (code, index, extra): (u8, usize, i8) = match what {
            What::Acts(id) => (1, id.index(), 0),
            What::Rests(id) => (2, id.index(), 0),
            What::Closed(id) => (3, id.index(), 0),
            What::Opened(id) => (4, id.index(), 0),
            What::Blew(id) => (5, id.index(), 0),
            What::Burnt(id) => (6, id.index(), 0),
            What::SpoolLeft(id, at) => (7, id.index(), at),
            What::SpoolReached(id, at) => (8, id.index(), at),
            What::PistonLeft(id, end) => (9, id.index(), i8::from(end)),
            What::PistonReached(id, end) => (10, id.index(), i8::from(end)),
            What::Lit(k) => (11, k, 0),
            What::Out(k) => (12, k, 0),
            What::PumpStarted(id) => (13, id.index(), 0),
            What::PumpStopped(id) => (14, id.index(), 0),
            What::Altered(id) => (15, id.index(), 0),
            What::PlcRuns(id) => (16, id.index(), 0),
            What::PlcStops(id) => (17, id.index(), 0),
        };
        self.digest.update(self.now.as_nanos().to_le_bytes());
        self.digest.update([code, extra as u8]);
        self.digest.update((index as u32).to_le_bytes());
        self.happenings.push(Happening { at: self.now, what });
    }

    pub(crate) fn state(&self) -> &[f64] {
        &self.y
    }

    pub(super) fn status(&self) -> &Status {
        &self.status
    }

    /// The model at this instant, with the networks solved.
    pub(super) fn with_model<T>(&mut self, look: impl FnOnce(&mut Model, &[f64]) -> T) -> T {
        if self.stale {
            self.refresh();
        }
        let mut model = Model {
            plan: &self.plan,
            actual: &self.actual,
            status: &self.status,
            live: &mut self.live,
        };
        model.electrics(&self.y, false);
        look(&mut model, &self.y)
    }
}
