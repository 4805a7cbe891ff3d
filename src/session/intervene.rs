//! Reaching into the machine: replacing, mending, cleaning, setting, opening.

use std::collections::BTreeSet;

use crate::base::{PartId, SpoolId, VolumeId};
use crate::fluid::FlowLaw;
use crate::plant::{Delay, Element, Trigger};

use super::cost::Cost;
use super::hazard::{Evidence, Hazard};
use super::isolation::{self, SAFE_PA, SAFE_VOLTS};
use super::rig::{Repair, RigError};
use super::session::{Outcome, Session};
use super::task::Setting;

/// A setting this near to its nominal value is as it should be [1].
const AS_NOMINAL: f64 = 0.05;

/// What somebody reaches into.
struct Reach<'a> {
    part: PartId,
    place: &'a str,
    volumes: BTreeSet<VolumeId>,
    electrical: bool,
}

impl Session {
    /// Judges an intrusive act by the true state of the plant and by what was done before.
    fn reach_into(&mut self, reach: &Reach<'_>, outcome: &mut Outcome) {
        let plan = self.rig.plant().plan().clone();
        let fluid = !reach.volumes.is_empty();
        let needed = isolation::needed(&plan, reach.part, fluid);
        let on: Vec<&str> = needed
            .iter()
            .filter(|(_, handle)| self.rig.plant().acting(*handle))
            .map(|(part, _)| plan.parts[part.index()].tag.as_str())
            .collect();
        if on.is_empty() {
            let unlocked =
                needed.iter().filter(|(part, _)| !self.isolation.locked.contains(part)).count();
            if unlocked > 0 {
                let evidence = vec![Evidence::new("without a lock", unlocked as f64, "")];
                self.hazard(outcome, Hazard::NotLocked, reach.place, evidence);
            }
            if !self.isolation.was_tried(&needed) {
                self.hazard(outcome, Hazard::NotTried, reach.place, Vec::new());
            }
        } else {
            let place = format!("{} ({})", reach.place, on.join(", "));
            let evidence = vec![Evidence::new("isolators on", on.len() as f64, "")];
            self.hazard(outcome, Hazard::NotIsolated, &place, evidence);
        }
        for &volume in &reach.volumes {
            self.reach_into_volume(volume, reach.place, outcome);
        }
        if reach.electrical {
            self.reach_into_circuit(reach.part, reach.place, outcome);
        }
    }

    fn reach_into_volume(&mut self, volume: VolumeId, place: &str, outcome: &mut Outcome) {
        let pa = self.pressure(volume);
        if pa > SAFE_PA {
            let hazard = if isolation::charged_behind(self.rig.plant_mut(), volume) {
                Hazard::TrustedPumpOff
            } else {
                Hazard::OpenedUnderPressure
            };
            let evidence = vec![Evidence::new("pressure", pa / 1e5, "bar")];
            self.hazard(outcome, hazard, place, evidence);
        }
        if let Some((piston, weight)) = isolation::carried(self.rig.plant_mut(), volume) {
            let name = self.plan().pistons[piston.index()].name.clone();
            let evidence = vec![Evidence::new("weight", weight, "N")];
            let place = format!("{place} ({name})");
            self.hazard(outcome, Hazard::OpenedUnderLoad, &place, evidence);
        }
        if !self.isolation.shown_zero(volume) {
            let name = self.plan().volumes[volume.index()].name.clone();
            let place = format!("{place} ({name})");
            self.hazard(outcome, Hazard::PressureUnproved, &place, Vec::new());
        }
    }

    fn reach_into_circuit(&mut self, part: PartId, place: &str, outcome: &mut Outcome) {
        let nodes = isolation::nodes_of(self.plan(), part);
        if nodes.is_empty() {
            return;
        }
        let volts = isolation::live_volts(self.rig.plant_mut(), part);
        if volts > SAFE_VOLTS {
            let evidence = vec![Evidence::new("voltage", volts, "V")];
            self.hazard(outcome, Hazard::LiveWork, place, evidence);
        }
        if !self.isolation.tested_dead(&nodes) {
            self.hazard(outcome, Hazard::TesterUnproved, place, Vec::new());
        }
    }

    pub(super) fn fitting(
        &mut self,
        part: PartId,
        port: &str,
        volume: VolumeId,
        open: bool,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let place = format!("{}:{port}", self.tag(part));
        let plant = self.rig.plant_mut();
        if open {
            let reach =
                Reach { part, place: &place, volumes: BTreeSet::from([volume]), electrical: false };
            self.reach_into(&reach, outcome);
            self.isolation.open_fitting(self.rig.plant_mut(), part, port, volume);
            outcome.tell("seen-open", &place);
        } else if self.isolation.close_fitting(plant, part, port) {
            outcome.tell("seen-closed", &place);
        } else {
            outcome.tell("done-was-not-open", &place);
        }
        self.spend(Cost::Fitting, outcome)?;
        Ok(())
    }

    /// Takes a part out and puts a new one in.
    pub(super) fn exchange(
        &mut self,
        part: PartId,
        tag: &str,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let volumes = isolation::volumes_of(self.plan(), part);
        let reach = Reach { part, place: tag, volumes, electrical: true };
        self.reach_into(&reach, outcome);
        self.count_fuse(part, tag, outcome);
        self.note_spent(part);
        let class = self.plan().parts[part.index()].class;
        self.spend(Cost::of_replacing(class), outcome)?;
        self.rig.plant_mut().renew(part);
        Ok(())
    }

    pub(super) fn replace(&mut self, part: PartId, outcome: &mut Outcome) -> Result<(), RigError> {
        let tag = self.tag(part);
        self.exchange(part, &tag, outcome)?;
        self.rig.repaired(part, Repair::Replaced);
        outcome.tell("done-fitted", &tag);
        Ok(())
    }

    /// A blown fuse or a burnt coil is no sound part, whatever made it so.
    fn note_spent(&mut self, part: PartId) {
        let plant = self.rig.plant();
        let spent = self.plan().parts[part.index()].elements.iter().any(|(_, e)| match e {
            Element::Fuse(f) => plant.blown(*f),
            Element::Winding(w) => plant.burnt(*w),
            _ => false,
        });
        if spent {
            self.spent.insert(part);
        }
    }

    /// A fuse that blew and is replaced again, with nothing else mended in between, is a hazard.
    fn count_fuse(&mut self, part: PartId, tag: &str, outcome: &mut Outcome) {
        let elements = &self.plan().parts[part.index()].elements;
        let fuse = elements.iter().find_map(|(_, e)| match e {
            Element::Fuse(f) => Some(*f),
            _ => None,
        });
        match fuse {
            None => self.fuses.clear(),
            Some(f) if self.rig.plant().blown(f) => {
                let count = self.fuses.entry(part).or_insert(0);
                *count += 1;
                let count = *count;
                if count > 1 {
                    let evidence = vec![Evidence::new("times", f64::from(count), "")];
                    self.hazard(outcome, Hazard::FuseAgain, tag, evidence);
                }
            }
            Some(_) => {}
        }
    }

    pub(super) fn repair_wire(
        &mut self,
        part: PartId,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let tag = self.tag(part);
        let reach = Reach { part, place: &tag, volumes: BTreeSet::new(), electrical: true };
        self.reach_into(&reach, outcome);
        self.fuses.clear();
        self.spend(Cost::Repair, outcome)?;
        self.rig.plant_mut().renew(part);
        self.rig.repaired(part, Repair::Mended);
        outcome.tell("done-mended", &tag);
        Ok(())
    }

    pub(super) fn swap_plugs(
        &mut self,
        part: PartId,
        spool: SpoolId,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let tag = self.tag(part);
        let reach = Reach { part, place: &tag, volumes: BTreeSet::new(), electrical: true };
        self.reach_into(&reach, outcome);
        self.spend(Cost::Plugs, outcome)?;
        self.rig.plant_mut().alter(part, |c| {
            c.plugs_swapped[spool.index()] ^= true;
        });
        if !self.rig.plant().condition().plugs_swapped[spool.index()] {
            self.rig.repaired(part, Repair::Adjusted);
        }
        outcome.tell("done-plugs", &tag);
        Ok(())
    }

    pub(super) fn clean(&mut self, part: PartId, outcome: &mut Outcome) -> Result<(), RigError> {
        let tag = self.tag(part);
        let volumes = isolation::volumes_of(self.plan(), part);
        let electrical = volumes.is_empty();
        let reach = Reach { part, place: &tag, volumes, electrical };
        self.reach_into(&reach, outcome);
        self.fuses.clear();
        self.spend(Cost::Clean, outcome)?;
        let plan = self.rig.plant().plan().clone();
        self.rig.plant_mut().alter(part, |c| {
            for &(_, element) in &plan.parts[part.index()].elements {
                match element {
                    Element::Spool(s) => {
                        let (is, new) = (&mut c.spools[s.index()], plan.nominal.spools[s.index()]);
                        is.stuck = false;
                        is.friction_n = new.friction_n;
                        is.viscous = new.viscous;
                    }
                    Element::Flow(f) => {
                        let new = plan.nominal.flows[f.index()];
                        c.flows[f.index()] = match (c.flows[f.index()], new) {
                            // Settings stay, dirt goes. No screw sets 0: then dirt holds it open.
                            (FlowLaw::Relief(is), FlowLaw::Relief(new)) => {
                                let crack_pa =
                                    if is.crack_pa > 0.0 { is.crack_pa } else { new.crack_pa };
                                FlowLaw::Relief(crate::fluid::Relief { crack_pa, ..new })
                            }
                            (FlowLaw::Regulator(path, is), FlowLaw::Regulator(new, _)) => {
                                let path = crate::fluid::SonicPath {
                                    conductance: new.conductance,
                                    ..path
                                };
                                FlowLaw::Regulator(path, is)
                            }
                            // Wear is not dirt, nor is a hole.
                            (is, FlowLaw::Sonic(new)) if new.conductance == 0.0 => is,
                            (is @ (FlowLaw::Pump(_) | FlowLaw::Leak(_)), _) => is,
                            _ => new,
                        };
                    }
                    Element::Contact(k) => {
                        // What is burnt off comes clean; what is welded does not.
                        c.contacts[k.index()].ohm = plan.nominal.contacts[k.index()].ohm;
                    }
                    _ => {}
                }
            }
        });
        self.rig.repaired(part, Repair::Cleaned);
        outcome.tell("done-clean", &tag);
        Ok(())
    }

    pub(super) fn adjust(
        &mut self,
        part: PartId,
        setting: Setting,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let tag = self.tag(part);
        if let Setting::Relief(_, pa, true) = setting {
            let evidence = vec![Evidence::new("cracking pressure", pa / 1e5, "bar")];
            self.hazard(outcome, Hazard::ReliefAbovePlate, &tag, evidence);
        }
        if let Setting::Precharge(..) = setting {
            // Gas is filled in against an empty oil side.
            let volumes = isolation::volumes_of(self.plan(), part);
            let reach = Reach { part, place: &tag, volumes, electrical: false };
            self.reach_into(&reach, outcome);
        }
        self.spend(Cost::Adjust, outcome)?;
        let nominal = self.rig.plant().plan().nominal.clone();
        let near = |is: f64, want: f64| (is - want).abs() <= AS_NOMINAL * want.abs();
        let mut right = false;
        let beside = self.plan().parts[part.index()].elements.clone();
        self.rig.plant_mut().alter(part, |c| match setting {
            Setting::Relief(f, pa, _) => {
                if let (FlowLaw::Relief(is), FlowLaw::Relief(want)) =
                    (&mut c.flows[f.index()], nominal.flows[f.index()])
                {
                    is.crack_pa = pa;
                    right = near(pa, want.crack_pa);
                }
            }
            Setting::Regulator(f, pa) => {
                let want = match nominal.flows[f.index()] {
                    FlowLaw::Regulator(_, want) => want.set_pa,
                    _ => pa,
                };
                if let FlowLaw::Regulator(_, is) = &mut c.flows[f.index()] {
                    is.set_pa = pa;
                    right = near(pa, want);
                }
                // The relief behind it goes with the same screw.
                for (k, element) in &beside {
                    if let (Element::Flow(r), true) = (element, k == "relief")
                        && let (FlowLaw::Relief(is), FlowLaw::Relief(new)) =
                            (&mut c.flows[r.index()], nominal.flows[r.index()])
                    {
                        is.crack_pa = new.crack_pa + pa - want;
                    }
                }
            }
            Setting::Spring(s, ratio) => {
                c.spools[s.index()].preload_n = ratio * nominal.spools[s.index()].preload_n;
                right = near(ratio, 1.0);
            }
            Setting::Switch(o, pa) => {
                if let (
                    Trigger::Pressure { rise_pa, fall_pa },
                    Trigger::Pressure { rise_pa: want, .. },
                ) = (&mut c.operators[o.index()].trigger, nominal.operators[o.index()].trigger)
                {
                    let differential = (*rise_pa - *fall_pa).clamp(pa.min(0.0), pa.max(0.0));
                    (*rise_pa, *fall_pa) = (pa, pa - differential);
                    right = near(pa, want);
                }
            }
            Setting::Cam(o, m) => {
                if let (
                    Trigger::Cam { from_m, to_m, .. },
                    Trigger::Cam { from_m: want, to_m: end, .. },
                ) = (&mut c.operators[o.index()].trigger, nominal.operators[o.index()].trigger)
                {
                    let width = (*to_m - *from_m).max(0.0);
                    (*from_m, *to_m) = (m, m + width);
                    right = (m - want).abs() <= 0.25 * (end - want).abs();
                }
            }
            Setting::Time(o, time) => {
                if let (Trigger::Armature { delay, .. }, Trigger::Armature { delay: want, .. }) =
                    (&mut c.operators[o.index()].trigger, nominal.operators[o.index()].trigger)
                    && let (
                        Delay::On(is) | Delay::Off(is) | Delay::Flash(is),
                        Delay::On(want) | Delay::Off(want) | Delay::Flash(want),
                    ) = (delay, want)
                {
                    *is = time;
                    right = near(time.as_secs_f64(), want.as_secs_f64());
                }
            }
            Setting::Preset(o, count) => {
                if let (Trigger::Count { preset }, Trigger::Count { preset: want }) =
                    (&mut c.operators[o.index()].trigger, nominal.operators[o.index()].trigger)
                {
                    *preset = count;
                    right = count == want;
                }
            }
            Setting::Overload(o, amps) => {
                c.overloads[o.index()].set_a = amps;
                right = near(amps, nominal.overloads[o.index()].set_a);
            }
            Setting::Gain(a, ratio) => {
                c.amplifiers[a.index()].gain = ratio * nominal.amplifiers[a.index()].gain;
                right = near(ratio, 1.0);
            }
            Setting::Ramp(a, ratio) => {
                c.amplifiers[a.index()].ramp = ratio * nominal.amplifiers[a.index()].ramp;
                right = near(ratio, 1.0);
            }
            Setting::Null(a, share) => {
                c.amplifiers[a.index()].null = share;
                right = share.abs() <= AS_NOMINAL;
            }
            Setting::Precharge(a, pa) => {
                c.accumulators[a.index()].precharge_pa = pa;
                right = near(pa, nominal.accumulators[a.index()].precharge_pa);
            }
            Setting::Opening(f, ratio) => {
                if let (FlowLaw::SonicCheck(is, _), FlowLaw::SonicCheck(want, _)) =
                    (&mut c.flows[f.index()], nominal.flows[f.index()])
                {
                    is.conductance = want.conductance * ratio;
                    right = near(ratio, 1.0);
                }
                if let (
                    FlowLaw::Gate(is) | FlowLaw::ThrottleCheck(is, _),
                    FlowLaw::Gate(want) | FlowLaw::ThrottleCheck(want, _),
                ) = (&mut c.flows[f.index()], nominal.flows[f.index()])
                {
                    is.gain = want.gain * ratio;
                    right = near(ratio, 1.0);
                }
            }
        });
        if right {
            self.rig.repaired(part, Repair::Adjusted);
        }
        outcome.tell("done-set", &tag);
        Ok(())
    }
}
