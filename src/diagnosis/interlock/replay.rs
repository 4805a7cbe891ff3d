//! A counterexample of the model, tried on the full simulation.

use std::sync::Arc;

use crate::base::{OperatorId, SimTime, WindingId};
use crate::language::Phrase;
use crate::plant::{BranchRole, Plan, Plant, PlantError, Probe, Stop, What};

use super::circuit::Circuit;
use super::element::Hand;
use super::fault::Fault;
use super::model::{InterlockError, Model};
use super::property::{Output, Property, SafeState};
use super::story::{Action, Counterexample, Happens, Step, TimedAction, delay_ms};

/// A coil is on when at least this part of a supply's voltage is across it [1].
const ON_SHARE: f64 = 0.5;
/// Both coils count as settled on when they have been on for this long.
const SETTLED: SimTime = SimTime::from_millis(200);
/// Longest that a piston may take over one region, or a pressure to come.
const MACHINE_TIME: SimTime = SimTime::from_secs(60);
/// A relay, or a spool.
const SHIFT_TIME: SimTime = SimTime::from_secs(2);
/// Between an action and the next.
const PAUSE: SimTime = SimTime::from_millis(300);
/// How long the end is watched.
const WATCH: SimTime = SimTime::from_secs(1);
/// How often a run looks at itself when nothing happens.
const LOOK: SimTime = SimTime::from_millis(5);
/// A piston that went this far has moved [m].
const MOVED_M: f64 = 1e-3;
/// Runs with different tolerances, after the nominal one.
const RUNS: u64 = 8;

/// What a replay showed.
#[derive(Clone, Debug, PartialEq)]
pub enum Replay {
    /// The simulation breaks the property too.
    Confirmed {
        /// When it was seen.
        at: SimTime,
        /// Seed of the tolerances of this run; `None` when every part was nominal.
        seed: Option<u64>,
        /// What hands did, with the times of this run.
        actions: Vec<TimedAction>,
    },
    /// It does not: the break is one of the model only.
    AbstractOnly {
        /// Why.
        reason: Phrase,
    },
}

impl Replay {
    /// The simulation breaks the property too.
    #[must_use]
    pub fn is_confirmed(&self) -> bool {
        matches!(self, Replay::Confirmed { .. })
    }
}

/// Does in a full run of `plan` what `counterexample` says, with time for everything that moves by
/// itself, and looks whether the property breaks: first with every part nominal, then with eight
/// different sets of tolerances, for what hangs on milliseconds.
///
/// # Errors
/// When the counterexample is of another bench, or the simulation cannot go on.
pub fn replay(plan: &Arc<Plan>, counterexample: &Counterexample) -> Result<Replay, InterlockError> {
    let model = Model::new(plan, counterexample.fault, true)?;
    match counterexample.property {
        Property::NoRace => race(plan, &model, counterexample),
        _ => {
            let nominal = Run::new(plan, &model, counterexample, None).play()?;
            if nominal.is_confirmed() {
                return Ok(nominal);
            }
            for seed in 1..=RUNS {
                let shown = Run::new(plan, &model, counterexample, Some(seed)).play()?;
                if shown.is_confirmed() {
                    return Ok(shown);
                }
            }
            Ok(nominal)
        }
    }
}

fn race(
    plan: &Arc<Plan>,
    model: &Model,
    counterexample: &Counterexample,
) -> Result<Replay, InterlockError> {
    let mut ends: Vec<Vec<bool>> = Vec::new();
    for seed in 1..=RUNS {
        let mut run = Run::new(plan, model, counterexample, Some(seed));
        for step in &counterexample.steps {
            if matches!(step.happens, Happens::Relay(..) | Happens::Together) {
                continue;
            }
            if let Some(reason) = run.step(step)? {
                return Ok(Replay::AbstractOnly { reason });
            }
        }
        run.pass(WATCH)?;
        let end: Vec<bool> =
            (0..plan.operators.len()).map(|o| run.plant.acting(OperatorId::new(o))).collect();
        if ends.first().is_some_and(|first| *first != end) {
            let (at, actions) = (run.plant.now(), run.actions);
            return Ok(Replay::Confirmed { at, seed: Some(seed), actions });
        }
        ends.push(end);
    }
    let reason = Phrase::new("replay-all-alike").with("runs", RUNS.to_string());
    Ok(Replay::AbstractOnly { reason })
}

/// Does `action` to `plant`, a run of `plan`.
pub fn perform(plan: &Plan, plant: &mut Plant, action: Action) {
    match action {
        Action::Operate(operator, on) => {
            plant.set_operator(operator, on);
        }
        Action::Break(fault) => {
            if let Some(part) = fault.part(plan) {
                plant.alter(part, |condition| fault.apply(condition));
            }
        }
        Action::Mains(on) => {
            for (b, branch) in plan.branches.iter().enumerate() {
                if branch.role != BranchRole::Source || branch.behind.is_some() {
                    continue;
                }
                let volts = if on { plan.nominal.branches[b].volts } else { 0.0 };
                let branch = crate::plant::Element::Branch(crate::base::BranchId::new(b));
                let part =
                    plan.parts.iter().position(|p| p.elements.iter().any(|(_, e)| *e == branch));
                if let Some(part) = part {
                    let part = crate::base::PartId::new(part);
                    plant.alter(part, |condition| condition.branches[b].volts = volts);
                }
            }
        }
    }
}

struct Run<'r> {
    plan: &'r Arc<Plan>,
    model: &'r Model<'r>,
    of: &'r Counterexample,
    seed: Option<u64>,
    plant: Plant,
    circuits: [Circuit; 2],
    broken: bool,
    mains: bool,
    supply_volts: f64,
    actions: Vec<TimedAction>,
    /// How the output in question stood before the supply or the stop came back.
    before: Option<f64>,
    /// Since when both coils of the valve in question are on.
    both_since: Option<SimTime>,
    relay_moves: u32,
    seen: Option<SimTime>,
}

impl<'r> Run<'r> {
    fn new(
        plan: &'r Arc<Plan>,
        model: &'r Model<'r>,
        of: &'r Counterexample,
        seed: Option<u64>,
    ) -> Self {
        let plant = match seed {
            Some(seed) => Plant::new(Arc::clone(plan), seed),
            None => Plant::nominal(Arc::clone(plan)),
        };
        let supply_volts = plan
            .nominal
            .branches
            .iter()
            .map(|b| b.volts.abs())
            .filter(|v| *v > 0.0)
            .fold(f64::INFINITY, f64::min);
        Run {
            plan,
            model,
            of,
            seed,
            plant,
            circuits: [Circuit::new(plan, None), Circuit::new(plan, of.fault)],
            broken: false,
            mains: true,
            supply_volts,
            actions: Vec::new(),
            before: None,
            both_since: None,
            relay_moves: 0,
            seen: None,
        }
    }

    fn play(&mut self) -> Result<Replay, InterlockError> {
        let arises = self.of.steps.iter().any(|s| matches!(s.happens, Happens::Fault(_)));
        if let (Some(fault), false) = (self.of.fault, arises) {
            self.put_in(fault);
        }
        let returns = match self.of.property {
            Property::NoRestart { .. } => self.return_step(),
            _ => None,
        };
        for (k, step) in self.of.steps.iter().enumerate() {
            if returns == Some(k) {
                self.pass(PAUSE)?;
                if let Property::NoRestart { output } = self.of.property {
                    self.before = Some(self.standing(output));
                }
            }
            if let Some(reason) = self.step(step)?
                && self.seen.is_none()
            {
                let reason = Phrase::new("replay-step").with("step", k + 1).with("why", reason);
                return Ok(Replay::AbstractOnly { reason });
            }
        }
        self.relay_moves = 0;
        self.pass(WATCH)?;
        self.judge_end();
        Ok(match self.seen {
            Some(at) => {
                let actions = std::mem::take(&mut self.actions);
                Replay::Confirmed { at, seed: self.seed, actions }
            }
            None => Replay::AbstractOnly { reason: Phrase::new("replay-unbroken") },
        })
    }

    /// The last step by which a supply or an emergency stop comes back.
    fn return_step(&self) -> Option<usize> {
        self.of.steps.iter().rposition(|step| match step.happens {
            Happens::Mains(on) => on,
            Happens::Operated(o, on) => self.model.inputs.iter().enumerate().any(|(k, input)| {
                input.operator == Some(o)
                    && if on { self.model.is_supply(k) } else { input.hand == Hand::EmergencyStop }
            }),
            _ => false,
        })
    }

    /// Does one step, or waits for it; a reason when it does not come.
    fn step(&mut self, step: &Step) -> Result<Option<Phrase>, InterlockError> {
        match step.happens {
            Happens::Operated(o, on) => {
                self.pass(PAUSE)?;
                self.note(Action::Operate(o, on));
                self.plant.set_operator(o, on);
                self.look();
                Ok(None)
            }
            Happens::Mains(on) => {
                self.pass(PAUSE)?;
                self.switch_mains(on);
                Ok(None)
            }
            Happens::Fault(fault) => {
                self.put_in(fault);
                Ok(None)
            }
            Happens::Relay(o, acts) => {
                self.wait(step, SHIFT_TIME, |run| run.plant.acting(o) == acts)
            }
            Happens::Together => Ok(None),
            Happens::TimedOut(o, acts) => {
                let most = SimTime::from_millis(delay_ms(self.plan, o)) + SHIFT_TIME;
                self.wait(step, most, |run| run.contacts_act(o, acts))
            }
            Happens::Shifted(s, at) => {
                self.wait(step, SHIFT_TIME, |run| run.plant.spool_at(s) == Some(at))
            }
            Happens::Moved(p, out, from, to) => {
                let model = self.model;
                let Some(piston) = model.pistons.get(p.index()) else {
                    return Err(InterlockError::NoSuchElement);
                };
                let wanted =
                    if from == to && from <= 0.0 { 0 } else { piston.region_of(0.5 * (from + to)) };
                self.wait(step, MACHINE_TIME, |run| {
                    let region = piston.region_of(run.plant.read(Probe::Piston(p)));
                    // A fast piston may be through a narrow region between two looks.
                    if out { region >= wanted } else { region <= wanted }
                })
            }
            Happens::Pressure(o, acts) => {
                self.wait(step, MACHINE_TIME, |run| run.plant.acting(o) == acts)
            }
        }
    }

    fn contacts_act(&self, o: OperatorId, acts: bool) -> bool {
        let contacts = &self.plan.operators[o.index()].contacts;
        contacts.iter().all(|&c| {
            let follows = match self.of.fault {
                Some(Fault::Welded(f) | Fault::Dead(f)) => f != c,
                _ => true,
            };
            let closed = self.plan.contacts[c.index()].normally_closed != acts;
            !follows || self.plant.contact_closed(c) == closed
        })
    }

    fn wait(
        &mut self,
        step: &Step,
        most: SimTime,
        mut done: impl FnMut(&mut Self) -> bool,
    ) -> Result<Option<Phrase>, InterlockError> {
        let until = self.plant.now() + most;
        while !done(self) {
            if self.plant.now() >= until {
                let coils = step.coils.iter().cloned();
                let step = coils.fold(step.said.clone(), |said, coil| {
                    Phrase::new("story-with").with("said", said).with("coil", coil)
                });
                return Ok(Some(Phrase::new("replay-missed").with("step", step)));
            }
            self.advance(until.min(self.plant.now() + LOOK))?;
        }
        Ok(None)
    }

    /// Lets `span` pass, looking all the time.
    fn pass(&mut self, span: SimTime) -> Result<(), InterlockError> {
        let until = self.plant.now() + span;
        while self.plant.now() < until {
            self.advance(until.min(self.plant.now() + LOOK))?;
        }
        Ok(())
    }

    fn advance(&mut self, until: SimTime) -> Result<(), InterlockError> {
        let told = |e: PlantError| InterlockError::Simulation(e.phrase());
        while self.plant.advance(until, true).map_err(told)? == Stop::Happened {
            for happening in self.plant.take_happenings() {
                if let What::Acts(o) | What::Rests(o) = happening.what
                    && self.model.relays.iter().any(|r| r.operator == o)
                {
                    self.relay_moves += 1;
                }
            }
            self.look();
        }
        self.look();
        Ok(())
    }

    fn note(&mut self, action: Action) {
        self.actions.push(TimedAction { at: self.plant.now(), action });
    }

    fn put_in(&mut self, fault: Fault) {
        self.note(Action::Break(fault));
        self.broken = true;
        perform(self.plan, &mut self.plant, Action::Break(fault));
    }

    fn switch_mains(&mut self, on: bool) {
        self.note(Action::Mains(on));
        self.mains = on;
        perform(self.plan, &mut self.plant, Action::Mains(on));
    }

    /// Coils that are joined to both poles of a live supply and have its voltage across them.
    fn coils(&mut self) -> u128 {
        let mut joined = Vec::new();
        let circuit = &self.circuits[usize::from(self.broken)];
        let live = |k: usize| match circuit.sources[k].behind {
            Some(o) => self.plant.acting(o),
            None => self.mains,
        };
        let fed = circuit.energised(
            &mut joined,
            |c| self.plant.contact_closed(crate::base::ContactId::new(c)),
            live,
        );
        let mut on = 0;
        for (w, winding) in self.plan.windings.iter().enumerate() {
            let id = WindingId::new(w);
            if fed >> w & 1 == 1 && !self.plant.burnt(id) {
                let volts = self.plant.read(Probe::Volts(winding.a, winding.b));
                if volts.abs() > ON_SHARE * self.supply_volts {
                    on |= 1 << w;
                }
            }
        }
        on
    }

    /// How an output stands: 1 for on, or where the piston is [m].
    fn standing(&mut self, output: Output) -> f64 {
        let on = match output {
            Output::Coil(w) => self.coils() >> w.index() & 1 == 1,
            Output::Pump(p) => self.plant.pump_on(p),
            Output::Relay(o) => self.plant.acting(o),
            Output::Axis(p) => return self.plant.read(Probe::Piston(p)),
        };
        f64::from(u8::from(on))
    }

    /// Looks whether the property is broken at this instant.
    fn look(&mut self) {
        if self.seen.is_some() {
            return;
        }
        let now = self.plant.now();
        let broken = match self.of.property {
            Property::NotBothCoils { spool, settled } => {
                let coils = self.coils();
                let place = &self.plan.spools[spool.index()];
                let on = |w: Option<WindingId>| w.is_some_and(|w| coils >> w.index() & 1 == 1);
                if on(place.a) && on(place.b) {
                    let since = *self.both_since.get_or_insert(now);
                    !settled || now - since >= SETTLED
                } else {
                    self.both_since = None;
                    false
                }
            }
            Property::NoRestart { output } => {
                let Some(before) = self.before else { return };
                let is = self.standing(output);
                match output {
                    Output::Axis(_) => (is - before).abs() > MOVED_M,
                    _ => is > before,
                }
            }
            _ => false,
        };
        if broken {
            self.seen = Some(now);
        }
    }

    /// Looks whether the property is broken now that everything has been done.
    fn judge_end(&mut self) {
        if self.seen.is_some() {
            return;
        }
        let broken = match self.of.property {
            Property::OutWithoutSupply => {
                self.model.relays.iter().any(|r| self.plant.acting(r.operator))
            }
            Property::StopDominates { stop } => {
                let on = self.coils();
                self.plant.acting(stop) && on & self.of.end_coils != 0
            }
            Property::NoBuzzing => self.relay_moves >= 4,
            Property::SafeWithoutSupply { piston, safe } => {
                let speed = self.plant.read(Probe::PistonSpeed(piston));
                match safe {
                    SafeState::Held => speed.abs() > 1e-4,
                    SafeState::In => speed > 1e-4,
                    SafeState::Out => speed < -1e-4,
                }
            }
            _ => false,
        };
        if broken {
            self.seen = Some(self.plant.now());
        }
    }
}
