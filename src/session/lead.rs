//! Jumper leads, fuses of any rating, gas valves: what a hand can do to make a machine run, or to
//! let its energy out the wrong way.

use std::collections::BTreeSet;

use crate::base::{AccumulatorId, BranchId, FuseId, NodeId, PartId};
use crate::language::Phrase;
use crate::plant::{BranchRole, FuseMake, Plan, Tie};

use super::action::Action;
use super::cost::Cost;
use super::hazard::{Evidence, Hazard};
use super::isolation::{self, SAFE_PA, SAFE_VOLTS};
use super::rig::{Repair, RigError};
use super::session::{Outcome, Session};

/// A rating this much above the plate is still that of the plate [1].
const AS_PLATE: f64 = 1.02;

/// Everything that wires join to `node`, itself too.
fn joined(plan: &Plan, node: NodeId) -> BTreeSet<NodeId> {
    let mut found = BTreeSet::from([node]);
    let mut open = vec![node];
    while let Some(at) = open.pop() {
        for branch in plan.branches.iter().filter(|b| b.role == BranchRole::Wire) {
            for (a, b) in [(branch.a, branch.b), (branch.b, branch.a)] {
                if a == at && found.insert(b) {
                    open.push(b);
                }
            }
        }
    }
    found
}

/// The contacts and fuses between what wires join to `from` and to `to`.
fn across(plan: &Plan, from: NodeId, to: NodeId) -> Vec<BranchId> {
    let (near, far) = (joined(plan, from), joined(plan, to));
    let spans = |a: &NodeId, b: &NodeId| near.contains(a) && far.contains(b);
    plan.branches
        .iter()
        .enumerate()
        .filter(|(_, b)| matches!(b.role, BranchRole::Contact(_) | BranchRole::Fuse(_)))
        .filter(|(_, b)| spans(&b.a, &b.b) || spans(&b.b, &b.a))
        .map(|(k, _)| BranchId::new(k))
        .collect()
}

/// The contact, fuse or wire that a lead from `from` to `to` lies across: one that ends there
/// itself, or else the first that wires join to both points.
pub(super) fn between(plan: &Plan, from: NodeId, to: NodeId) -> Option<BranchId> {
    let exact = plan.branches.iter().position(|b| {
        let bridged =
            matches!(b.role, BranchRole::Contact(_) | BranchRole::Fuse(_) | BranchRole::Wire);
        bridged && ((b.a, b.b) == (from, to) || (b.b, b.a) == (from, to))
    });
    exact.map(BranchId::new).or_else(|| across(plan, from, to).first().copied())
}

/// Whether `branch` keeps something from happening: a stop, a limit, a pressure, an interlock, a
/// fuse.
fn protects(plan: &Plan, branch: BranchId) -> bool {
    match plan.branches[branch.index()].role {
        BranchRole::Fuse(_) => true,
        BranchRole::Contact(c) => {
            let contact = &plan.contacts[c.index()];
            match plan.operators[contact.operator.index()].tie {
                Tie::Piston(_) | Tie::Volume(_) | Tie::Across(..) => true,
                Tie::Hand | Tie::Winding(_) | Tie::Latch(..) | Tie::Count(..) | Tie::Both(..) => {
                    contact.normally_closed
                }
                Tie::Program(_) => false,
            }
        }
        _ => false,
    }
}

/// A sentence about a lead between two points.
fn across_points(id: &'static str, red: &str, black: &str) -> Phrase {
    Phrase::new(id).with("red", red).with("black", black)
}

impl Session {
    /// Clips a lead on, or takes it off.
    pub(super) fn lead(
        &mut self,
        action: &Action,
        branch: BranchId,
        on: bool,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let (Action::Bridge { red, black } | Action::Unbridge { red, black }) = action else {
            return Ok(());
        };
        let plan = self.rig.plant().plan().clone();
        let (a, b) = (plan.branches[branch.index()].a, plan.branches[branch.index()].b);
        let owner = plan.parts.iter().position(|p| {
            p.elements.iter().any(|(_, e)| match *e {
                crate::plant::Element::Branch(own) => own == branch,
                crate::plant::Element::Contact(c) => plan.contacts[c.index()].branch == branch,
                crate::plant::Element::Fuse(f) => plan.fuses[f.index()].branch == branch,
                _ => false,
            })
        });
        let Some(owner) = owner.map(PartId::new) else { return Ok(()) };
        let place = format!("{red} – {black}");
        // Clips go on bare terminals.
        let volts = isolation::highest_volts(self.rig.plant_mut(), &BTreeSet::from([a, b]));
        if volts > SAFE_VOLTS {
            let evidence = vec![Evidence::new("voltage", volts, "V")];
            self.hazard(outcome, Hazard::LiveWork, &place, evidence);
        }
        if !on {
            if self.leads.remove(&branch).is_some() {
                self.rig.plant_mut().alter(owner, |c| c.jumpers[branch.index()] = false);
                outcome.lines.push(across_points("done-lead-off", red, black));
            } else {
                outcome.lines.push(across_points("done-no-lead", red, black));
            }
            self.spend(Cost::Lead, outcome)?;
            return Ok(());
        }
        let mut beside = across(&plan, a, b);
        beside.push(branch);
        if beside.iter().any(|b| protects(&plan, *b)) {
            self.hazard(outcome, Hazard::GuardBridged, &place, Vec::new());
        }
        self.spend(Cost::Lead, outcome)?;
        self.leads.insert(branch, (red.clone(), black.clone()));
        self.rig.plant_mut().alter(owner, |c| c.jumpers[branch.index()] = true);
        outcome.lines.push(across_points("done-lead-on", red, black));
        Ok(())
    }

    /// Fits a fuse of a rating of one's own choice [A].
    pub(super) fn fit_fuse(
        &mut self,
        part: PartId,
        fuse: FuseId,
        amps: f64,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let tag = self.tag(part);
        let plan = self.rig.plant().plan().clone();
        let plate = plan.nominal.fuses[fuse.index()];
        if amps > AS_PLATE * plate.rated_a {
            let evidence = vec![
                Evidence::new("rating", amps, "A"),
                Evidence::new("plate", plate.rated_a, "A"),
            ];
            self.hazard(outcome, Hazard::FuseTooLarge, &tag, evidence);
        }
        self.exchange(part, &tag, outcome)?;
        let ratio = amps / plate.rated_a;
        let make = FuseMake {
            rated_a: amps,
            melting_a2s: plate.melting_a2s * ratio * ratio,
            magnetic_a: plate.magnetic_a * ratio,
            ..plate
        };
        let branch = plan.fuses[fuse.index()].branch.index();
        self.rig.plant_mut().alter(part, |c| {
            c.fuses[fuse.index()] = make;
            // The thicker the link, the less it drops.
            c.branches[branch].ohm /= ratio;
        });
        if (1.0 / AS_PLATE..=AS_PLATE).contains(&ratio) {
            self.rig.repaired(part, Repair::Replaced);
        }
        let fitted = Phrase::new("done-fuse").with("amps", amps.to_string());
        outcome.lines.push(fitted.with("part", tag));
        Ok(())
    }

    /// Loosens the gas valve of an accumulator: its gas goes.
    pub(super) fn loosen(
        &mut self,
        part: PartId,
        gas: AccumulatorId,
        outcome: &mut Outcome,
    ) -> Result<(), RigError> {
        let tag = self.tag(part);
        let pa = self.gas_pressure(gas);
        if pa > SAFE_PA {
            let evidence = vec![Evidence::new("gas", pa / 1e5, "bar")];
            self.hazard(outcome, Hazard::GasLoosened, &tag, evidence);
            outcome.tell("done-gas", &tag);
        } else {
            outcome.tell("done-no-gas", &tag);
        }
        self.rig.plant_mut().alter(part, |c| c.accumulators[gas.index()].precharge_pa = 0.0);
        self.spend(Cost::Fitting, outcome)?;
        Ok(())
    }
}
