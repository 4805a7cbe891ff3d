//! How each task is done: its effect, its time, what it tells, what is dangerous about it.

use crate::base::{AccumulatorId, NodeId, OperatorId, PartId, SimTime, SpoolId, VolumeId};
use crate::fluid::Medium;
use crate::language::Phrase;
use crate::plant::Probe;
use crate::shift::Hand;

use super::action::Action;
use super::cost::Cost;
use super::hazard::{Evidence, Hazard};
use super::instrument::{self, Measured};
use super::isolation::{SAFE_PA, handle_stands};
use super::rig::RigError;
use super::senses;
use super::session::{Ended, Outcome, Session};
use super::task::{Function, Task};

/// How long a pressed button stays down.
const PRESS: SimTime = SimTime::from_millis(300);
/// A coil that carries more than this pulls [A].
const PULLS_A: f64 = 0.02;
/// Range of the gauge taken when none is named [bar]: for oil, for air.
const USUAL_RANGE: (u32, u32) = (250, 10);

impl Session {
    pub(super) fn perform(
        &mut self,
        action: &Action,
        task: Task,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let cost = action.cost();
        match task {
            Task::Press { operator, latches } => {
                self.switch_on_person(action, outcome);
                self.press(operator, latches, outcome)?;
            }
            Task::Hand { operator, acting } => {
                if acting {
                    self.switch_on_person(action, outcome);
                }
                self.rig.plant_mut().set_operator(operator, acting);
                self.spend(cost, outcome)?;
            }
            Task::Both(one, other) => {
                self.switch_on_person(action, outcome);
                self.rig.plant_mut().set_operator(one, true);
                self.rig.plant_mut().set_operator(other, true);
                self.spend(cost, outcome)?;
            }
            Task::Isolator { part, operator, close } => {
                self.isolator(part, operator, close, outcome)?
            }
            Task::Wait(span) => {
                let until = self.now() + span;
                self.run_to(until, outcome)?;
            }
            Task::Look(part) => {
                self.spend(cost, outcome)?;
                outcome.lines = senses::look(self.rig.plant_mut(), part);
                self.look_at_locks(part, outcome);
            }
            Task::Listen(part) => {
                self.spend(cost, outcome)?;
                outcome.lines = senses::listen(self.rig.plant_mut(), part);
            }
            Task::Feel(part) => {
                self.spend(cost, outcome)?;
                outcome.lines = senses::feel(self.rig.plant_mut(), part);
            }
            Task::FeelPort(volume) => self.feel_port(action, volume, outcome)?,
            Task::Plate(part) => {
                self.spend(cost, outcome)?;
                self.read_plate(part, outcome);
            }
            Task::Meter { function, red, black } => {
                self.spend(cost, outcome)?;
                self.meter(function, action, red, black, outcome);
            }
            Task::Clamp(through) => {
                self.spend(cost, outcome)?;
                if let Action::Clamp { at } = action {
                    let m = instrument::clamp(self.rig.plant_mut(), at, &through);
                    show(outcome, m);
                }
            }
            Task::Gauge { volume, gas, range_bar } => {
                if let Action::Gauge { at, .. } = action {
                    self.gauge(at, volume, gas, range_bar, outcome)?;
                }
            }
            Task::Temperature(part) => {
                self.spend(cost, outcome)?;
                let celsius = senses::surface_celsius(self.rig.plant_mut(), part);
                let tag = self.tag(part);
                show(outcome, instrument::temperature(&tag, celsius));
            }
            Task::Override { spool, hand, stays } => {
                self.override_spool(spool, hand, stays, outcome)?;
            }
            Task::Lock(part, operator) => {
                let open = !self.rig.plant().acting(operator);
                let tag = self.tag(part);
                let stands = handle_stands(self.plan().parts[part.index()].class, true);
                if open {
                    self.isolation.locked.insert(part);
                    outcome.tell("seen-your-lock", &tag);
                } else {
                    let on = stands == "seen-on";
                    outcome.tell(if on { "done-not-off" } else { "done-not-open" }, &tag);
                }
                self.spend(cost, outcome)?;
            }
            Task::Unlock(part) => {
                let tag = self.tag(part);
                let was = self.isolation.locked.remove(&part);
                outcome.tell(if was { "done-unlocked" } else { "done-no-lock" }, &tag);
                self.spend(cost, outcome)?;
            }
            Task::Tag(part) => {
                self.isolation.tagged.insert(part);
                let tag = self.tag(part);
                outcome.tell("seen-your-tag", &tag);
                self.spend(cost, outcome)?;
            }
            Task::Try(operator) => {
                self.switch_on_person(action, outcome);
                self.try_out(operator, outcome)?;
            }
            Task::Prove => {
                self.spend(cost, outcome)?;
                let now = self.now();
                self.isolation.proved(now);
                outcome.lines.push(Phrase::new("done-proved"));
            }
            Task::Bleed(volume) => self.bleed(action, volume, outcome)?,
            Task::Prop(piston, set) => {
                if set {
                    // It holds once it stands.
                    self.spend(cost, outcome)?;
                    self.isolation.props.insert(piston);
                    self.rig.plant_mut().set_prop(piston, true);
                } else {
                    self.isolation.props.remove(&piston);
                    self.rig.plant_mut().set_prop(piston, false);
                    if self.inside.contains_key(&piston) {
                        self.under_load(piston, outcome);
                    }
                    self.spend(cost, outcome)?;
                }
            }
            Task::SwapPlugs(part, spool) => self.swap_plugs(part, spool, outcome)?,
            Task::Adjust(part, setting) => self.adjust(part, setting, outcome)?,
            Task::Fitting { part, port, volume, open } => {
                self.fitting(part, &port, volume, open, outcome)?
            }
            Task::Replace(part) => self.replace(part, outcome)?,
            Task::Repair(part) => self.repair_wire(part, outcome)?,
            Task::Clean(part) => self.clean(part, outcome)?,
            Task::Enter(part, piston, into) => self.enter(part, piston, into, outcome)?,
            Task::Lead(branch, on) => self.lead(action, branch, on, outcome)?,
            Task::Fit(part, fuse, amps) => self.fit_fuse(part, fuse, amps, outcome)?,
            Task::Loosen(part, gas) => self.loosen(part, gas, outcome)?,
            Task::OthersLock { part, called } => self.others_lock(part, called, cost, outcome)?,
            Task::Words => {
                self.spend(cost, outcome)?;
            }
            Task::HandBack => {
                self.hand_back(outcome);
                self.spend(cost, outcome)?;
                self.end(Ended::HandedBack);
            }
        }
        Ok(())
    }

    pub(super) fn tag(&self, part: PartId) -> String {
        self.plan().parts[part.index()].tag.clone()
    }

    fn press(
        &mut self,
        operator: OperatorId,
        latches: bool,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let end = self.now() + self.config.costs.of(Cost::Button);
        self.rig.plant_mut().set_operator(operator, true);
        if !latches {
            let up = self.now() + PRESS;
            self.run_to(up, outcome)?;
            self.rig.plant_mut().set_operator(operator, false);
        }
        self.run_to(end, outcome)?;
        Ok(())
    }

    fn try_out(&mut self, operator: OperatorId, outcome: &mut Outcome) -> Result<(), RigError> {
        let end = self.now() + self.config.costs.of(Cost::Try);
        self.rig.plant_mut().set_operator(operator, true);
        let up = self.now() + PRESS;
        let mut started = self.run_to(up, outcome)?;
        self.rig.plant_mut().set_operator(operator, false);
        started |= self.run_to(end, outcome)?;
        if started {
            outcome.lines.push(Phrase::new("done-starts"));
        } else {
            outcome.lines.push(Phrase::new("done-nothing-starts"));
            self.isolation.tried(self.rig.plant());
        }
        Ok(())
    }

    fn isolator(
        &mut self,
        part: PartId,
        operator: OperatorId,
        close: bool,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let tag = self.tag(part);
        let strange = self.others_locks.contains(&part);
        if close && (strange || self.isolation.locked.contains(&part)) {
            outcome.tell(if strange { "done-others-lock-holds" } else { "done-lock-holds" }, &tag);
        } else {
            if close && !self.rig.plant().acting(operator) {
                let open: Vec<String> = self
                    .isolation
                    .open
                    .keys()
                    .map(|(p, port)| format!("{}:{port}", self.tag(*p)))
                    .collect();
                if !open.is_empty() {
                    let count = Evidence::new("open fittings", open.len() as f64, "");
                    self.hazard(outcome, Hazard::RestoredOpen, &open.join(", "), vec![count]);
                }
                self.unready(outcome);
                self.isolation.restored(part);
            }
            self.rig.plant_mut().set_operator(operator, close);
            let stands = handle_stands(self.plan().parts[part.index()].class, close);
            outcome.tell(stands, &tag);
        }
        self.spend(Cost::Isolate, outcome)?;
        Ok(())
    }

    fn look_at_locks(&self, part: PartId, outcome: &mut Outcome) {
        let tag = self.tag(part);
        if self.isolation.locked.contains(&part) {
            outcome.tell("seen-your-lock", &tag);
        }
        if self.isolation.tagged.contains(&part) {
            outcome.tell("seen-your-tag", &tag);
        }
        if self.others_locks.contains(&part) {
            outcome.tell("seen-others-lock", &tag);
        }
        for (p, port) in self.isolation.open.keys() {
            if *p == part {
                outcome.tell("seen-open", &format!("{tag}:{port}"));
            }
        }
    }

    fn feel_port(
        &mut self,
        action: &Action,
        volume: VolumeId,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let Action::Feel { at } = action else {
            return Ok(());
        };
        let oil = self.is_oil(volume);
        let pa = self.pressure(volume);
        if oil && pa > SAFE_PA {
            let evidence = vec![Evidence::new("pressure", pa / 1e5, "bar")];
            self.hazard(outcome, Hazard::HandAtLeak, at, evidence);
        }
        let leaks = self.rig.plant().condition().vents[volume.index()] > 0.0 && pa > SAFE_PA;
        let felt = match (leaks, oil) {
            (true, true) => "felt-oil",
            (true, false) => "felt-air",
            _ => "felt-nothing",
        };
        outcome.tell(felt, at);
        self.spend(Cost::Feel, outcome)?;
        Ok(())
    }

    pub(super) fn pressure(&mut self, volume: VolumeId) -> f64 {
        self.rig.plant_mut().read(Probe::Pressure(volume))
    }

    /// Pressure of the gas in an accumulator [Pa].
    pub(super) fn gas_pressure(&mut self, accumulator: AccumulatorId) -> f64 {
        self.rig.plant_mut().read(Probe::GasPressure(accumulator))
    }

    fn is_oil(&self, volume: VolumeId) -> bool {
        let medium = self.rig.plant().condition().volumes[volume.index()].medium;
        matches!(medium, Medium::Oil { .. })
    }

    fn read_plate(&self, part: PartId, outcome: &mut Outcome) {
        let part = &self.plan().parts[part.index()];
        let id = if part.title.is_empty() { "plate-of" } else { "plate-of-titled" };
        let head = Phrase::new(id).with("part", part.tag.as_str()).with("class", part.class);
        outcome.lines.push(match part.title.as_str() {
            "" => head,
            title => head.with("title", title),
        });
        for (label, value) in &part.nameplate {
            let line = Phrase::new("plate-line").with("label", label.as_str());
            outcome.lines.push(line.with("stamped", value.as_str()));
        }
    }

    fn meter(
        &mut self,
        function: Function,
        action: &Action,
        red: NodeId,
        black: NodeId,
        outcome: &mut Outcome,
    ) {
        let (Action::Volts { red: r, black: b }
        | Action::Ohms { red: r, black: b }
        | Action::Continuity { red: r, black: b }
        | Action::Amps { red: r, black: b }) = action
        else {
            return;
        };
        let (at_red, at_black) = ((r.as_str(), red), (b.as_str(), black));
        let plant = self.rig.plant_mut();
        let measured = match function {
            Function::Volts => instrument::volts(plant, at_red, at_black),
            Function::Ohms => instrument::ohms(plant, at_red, at_black, false),
            Function::Continuity => instrument::ohms(plant, at_red, at_black, true),
            Function::Amps => instrument::amps(plant, at_red, at_black),
        };
        if function == Function::Volts {
            let now = self.now();
            self.isolation.tested([red, black], measured.reading.value, now);
        }
        if let Some(value) = measured.misuse {
            let place = format!("{r} – {b}");
            let (hazard, evidence) = if function == Function::Amps {
                let evidence = Evidence::new("current", value, "A");
                (Hazard::AmmeterAcrossSupply, evidence)
            } else {
                (Hazard::OhmsOnLive, Evidence::new("voltage", value, "V"))
            };
            self.hazard(outcome, hazard, &place, vec![evidence]);
        }
        show(outcome, measured);
    }

    fn gauge(
        &mut self,
        at: &str,
        volume: VolumeId,
        gas: Option<AccumulatorId>,
        range_bar: Option<u32>,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let usual = if self.is_oil(volume) { USUAL_RANGE.0 } else { USUAL_RANGE.1 };
        let fitted = self.fitted.get(at).copied();
        let range = range_bar.or(fitted).unwrap_or(usual);
        let cost = if fitted == Some(range) { Cost::GaugeRead } else { Cost::GaugeFit };
        self.fitted.insert(at.to_owned(), range);
        self.spend(cost, outcome)?;
        let spoilt = self.spoilt.contains(&range);
        let pa = match gas {
            Some(gas) => self.gas_pressure(gas),
            None => self.pressure(volume),
        };
        let measured = instrument::gauge(pa / 1e5, at, range, spoilt);
        if let Some(bar) = measured.misuse {
            let evidence = vec![
                Evidence::new("pressure", bar, "bar"),
                Evidence::new("range", f64::from(range), "bar"),
            ];
            self.hazard(outcome, Hazard::GaugeOverRange, at, evidence);
        }
        if measured.spoilt {
            self.spoilt.insert(range);
        }
        match measured.reading.value {
            // The gas tells nothing of the oil.
            _ if gas.is_some() => {}
            Some(bar) if bar.abs() * 1e5 <= SAFE_PA => {
                self.isolation.gauge_showed_zero(self.rig.plant(), volume);
            }
            _ => self.isolation.gauge_showed_pressure(volume),
        }
        show(outcome, measured);
        Ok(())
    }

    fn override_spool(
        &mut self,
        spool: SpoolId,
        hand: Hand,
        stays: bool,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let place = self.plan().spools[spool.index()].clone();
        let swapped = self.rig.plant().condition().plugs_swapped[spool.index()];
        let make = self.rig.plant().condition().spools[spool.index()];
        let pushes = make.hand(hand);
        let against = match (pushes > 0.0, pushes < 0.0) {
            (true, _) => Some(if swapped { place.a } else { place.b }),
            (_, true) => Some(if swapped { place.b } else { place.a }),
            _ => None,
        };
        if let Some(winding) = against.flatten() {
            let amps = self.rig.plant_mut().read(Probe::WindingAmps(winding)).abs();
            if amps > PULLS_A {
                let evidence = vec![Evidence::new("opposite coil", amps, "A")];
                self.hazard(outcome, Hazard::OverrideAgainstCoil, &place.name, evidence);
            }
        }
        if hand != Hand::Off && !self.inside.is_empty() {
            let who = self.names_inside();
            self.hazard(outcome, Hazard::OverrideOnPerson, &who, Vec::new());
        }
        self.rig.plant_mut().set_hand(spool, hand);
        self.spend(Cost::Override, outcome)?;
        if !stays {
            self.rig.plant_mut().set_hand(spool, Hand::Off);
        }
        Ok(())
    }

    fn bleed(
        &mut self,
        action: &Action,
        volume: VolumeId,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let Action::Bleed { at } = action else {
            return Ok(());
        };
        let before = self.pressure(volume);
        self.isolation.bleed(self.rig.plant_mut(), volume, true);
        self.spend(Cost::Bleed, outcome)?;
        self.isolation.bleed(self.rig.plant_mut(), volume, false);
        let fluid = if self.is_oil(volume) { "oil" } else { "air" };
        let id = if before < SAFE_PA {
            "done-bleed-hardly"
        } else if self.pressure(volume) < SAFE_PA {
            "done-bleed-stops"
        } else {
            "done-bleed-goes-on"
        };
        outcome.lines.push(Phrase::new(id).with("fluid", fluid).with("at", at.as_str()));
        Ok(())
    }

    fn hand_back(&self, outcome: &mut Outcome) {
        let plan = self.rig.plant().plan().clone();
        for (k, spool) in plan.spools.iter().enumerate() {
            if self.rig.plant().hand(SpoolId::new(k)) != Hand::Off {
                self.hazard(outcome, Hazard::OverrideLeft, &spool.name, Vec::new());
            }
        }
        let mut left: Vec<String> = self
            .isolation
            .open
            .keys()
            .map(|(p, port)| format!("{}:{port}", self.tag(*p)))
            .collect();
        let props = self.isolation.props.iter();
        left.extend(props.map(|p| plan.pistons[p.index()].name.clone()));
        left.extend(self.isolation.locked.iter().map(|p| self.tag(*p)));
        left.extend(self.leads.values().map(|(red, black)| format!("{red} – {black}")));
        left.extend(self.inside.keys().map(|p| plan.pistons[p.index()].name.clone()));
        if !left.is_empty() {
            self.hazard(outcome, Hazard::LeftOpen, &left.join(", "), Vec::new());
        }
        outcome.lines.push(Phrase::new("done-handed-back"));
    }
}

fn show(outcome: &mut Outcome, measured: Measured) {
    let reading = measured.reading;
    let line = match &reading.places {
        (red, Some(black)) => {
            Phrase::new("shown-between").with("red", red.as_str()).with("black", black.as_str())
        }
        (at, None) => Phrase::new("shown-at").with("at", at.as_str()),
    };
    outcome.lines.push(line.with("shown", reading.shown.clone()));
    outcome.readings.push(reading);
}
