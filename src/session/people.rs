//! People in the reach of the machine, and locks that belong to others.

use crate::base::{PartId, PistonId};
use crate::plant::Probe;

use super::action::Action;
use super::cost::Cost;
use super::hazard::{Evidence, Hazard};
use super::isolation::{self, SAFE_PA};
use super::rig::RigError;
use super::session::{Outcome, Session};

/// A rod that went this far has moved [m].
const MOVED_M: f64 = 1e-3;

impl Session {
    /// Steps into the reach of a cylinder, or out of it. What can move it is judged on the way in.
    pub(super) fn enter(
        &mut self,
        part: PartId,
        piston: PistonId,
        into: bool,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let tag = self.tag(part);
        if into {
            self.judge_entry(part, piston, outcome);
            let at = self.rig.plant_mut().read(Probe::Piston(piston));
            self.inside.insert(piston, at);
            outcome.tell("done-inside", &tag);
            self.spend(Cost::Zone, outcome)?;
        } else {
            self.spend(Cost::Zone, outcome)?;
            // What moved on the way out is judged before it is forgotten.
            self.watch_people(outcome);
            let was = self.inside.remove(&piston).is_some();
            outcome.tell(if was { "done-clear" } else { "done-not-inside" }, &tag);
        }
        Ok(())
    }

    fn judge_entry(&mut self, part: PartId, piston: PistonId, outcome: &mut Outcome) {
        let plan = self.rig.plant().plan().clone();
        let tag = self.tag(part);
        let needed = isolation::isolators(&plan);
        let on: Vec<&str> = needed
            .iter()
            .filter(|(_, handle)| self.rig.plant().acting(*handle))
            .map(|(part, _)| plan.parts[part.index()].tag.as_str())
            .collect();
        let held = {
            let make = &self.rig.plant().condition().pistons[piston.index()];
            make.propped || make.jammed
        };
        let loaded = self.under_load(piston, outcome);
        let place = &plan.pistons[piston.index()];
        let stored = [place.cap, place.rod]
            .into_iter()
            .chain(plan.accumulators.iter().map(|a| a.volume))
            .map(|v| self.pressure(v))
            .fold(0.0, f64::max);
        if !on.is_empty() {
            let place = format!("{tag} ({})", on.join(", "));
            let evidence = vec![Evidence::new("isolators on", on.len() as f64, "")];
            self.hazard(outcome, Hazard::EnteredPowered, &place, evidence);
            return;
        }
        if stored > SAFE_PA && !held && !loaded {
            let evidence = vec![Evidence::new("pressure", stored / 1e5, "bar")];
            self.hazard(outcome, Hazard::EnteredPowered, &tag, evidence);
        }
        let unlocked = needed.iter().filter(|(p, _)| !self.isolation.locked.contains(p)).count();
        if unlocked > 0 {
            let evidence = vec![Evidence::new("without a lock", unlocked as f64, "")];
            self.hazard(outcome, Hazard::NotLocked, &tag, evidence);
        }
        if !self.isolation.was_tried(&needed) {
            self.hazard(outcome, Hazard::NotTried, &tag, Vec::new());
        }
    }

    /// Whether only the fluid holds the load of `piston` up; that is a hazard for whoever is under
    /// it.
    pub(super) fn under_load(&mut self, piston: PistonId, outcome: &mut Outcome) -> bool {
        let plan = self.rig.plant().plan().clone();
        let place = &plan.pistons[piston.index()];
        for volume in [place.cap, place.rod] {
            if let Some((found, weight)) = isolation::carried(self.rig.plant_mut(), volume)
                && found == piston
            {
                let evidence = vec![Evidence::new("weight", weight, "N")];
                self.hazard(outcome, Hazard::EnteredUnderLoad, &place.name, evidence);
                return true;
            }
        }
        false
    }

    /// The cylinders in whose reach somebody stands.
    pub(super) fn names_inside(&self) -> String {
        let names = self.inside.keys().map(|p| self.plan().pistons[p.index()].name.as_str());
        names.collect::<Vec<_>>().join(", ")
    }

    /// A control is worked, with the energy on and somebody inside.
    pub(super) fn switch_on_person(&self, action: &Action, outcome: &mut Outcome) {
        if self.inside.is_empty() {
            return;
        }
        let live = isolation::isolators(self.plan())
            .iter()
            .any(|(_, handle)| self.rig.plant().acting(*handle));
        if live {
            let place = format!("{} ({action})", self.names_inside());
            self.hazard(outcome, Hazard::EnergisedOnPerson, &place, Vec::new());
        }
    }

    /// The energy comes back: people, props and leads must be out.
    pub(super) fn unready(&self, outcome: &mut Outcome) {
        if !self.inside.is_empty() {
            let who = self.names_inside();
            self.hazard(outcome, Hazard::EnergisedOnPerson, &who, Vec::new());
        }
        let props = self.isolation.props.iter();
        let left: Vec<String> = props
            .map(|p| self.plan().pistons[p.index()].name.clone())
            .chain(self.leads.values().map(|(red, black)| format!("{red} – {black}")))
            .collect();
        if !left.is_empty() {
            self.hazard(outcome, Hazard::RestoredUnready, &left.join(", "), Vec::new());
        }
    }

    /// Whether what somebody stands beside has moved; told once until they step out.
    pub(super) fn watch_people(&mut self, outcome: &mut Outcome) {
        for (piston, from) in self.inside.clone() {
            let at = self.rig.plant_mut().read(Probe::Piston(piston));
            if (at - from).abs() > MOVED_M {
                let name = self.plan().pistons[piston.index()].name.clone();
                let evidence = vec![Evidence::new("moved", (at - from) * 1e3, "mm")];
                self.hazard(outcome, Hazard::MovedOnPerson, &name, evidence);
                // Not a number: never again.
                self.inside.insert(piston, f64::NAN);
            }
        }
    }

    /// The owner of a lock takes it off, or somebody else does.
    pub(super) fn others_lock(
        &mut self,
        part: PartId,
        called: bool,
        cost: Cost,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let tag = self.tag(part);
        self.spend(cost, outcome)?;
        if !self.others_locks.remove(&part) {
            outcome.tell("done-nobodys-lock", &tag);
        } else if called {
            outcome.tell("done-owner-unlocks", &tag);
        } else {
            self.hazard(outcome, Hazard::AnothersLock, &tag, Vec::new());
            outcome.tell("done-lock-cut", &tag);
        }
        Ok(())
    }
}
