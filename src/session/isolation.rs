//! What keeps energy away: isolators, locks, gauges at zero, a proved tester, props, fittings.

use std::collections::{BTreeMap, BTreeSet};

use crate::base::{NodeId, OperatorId, PartId, PistonId, PumpId, SimTime, VolumeId};
use crate::fluid::Medium;
use crate::plant::{BranchRole, Drive, Element, Plan, PlanBuilder, Plant, Probe};

/// Gauge pressure [Pa] from which an open fitting is dangerous.
pub const SAFE_PA: f64 = 0.5e5;
/// Voltage [V] from which a point counts as live for an ohmmeter and for hands inside.
pub const SAFE_VOLTS: f64 = 0.5;
/// Weight [N] that needs no prop.
const SAFE_N: f64 = 50.0;
/// A load this close to its stop rests on it [m].
const RESTS_M: f64 = 2e-3;

/// A flow that is more than a seep [m3/s or kg/s].
const PUSHES: f64 = 1e-6;

/// Conductance to the air [m3/(s Pa)] of a bleed screw and of an open fitting, for oil and for air.
const BLEED: (f64, f64) = (1e-10, 2e-8);
const FITTING: (f64, f64) = (2e-9, 1e-7);

/// Everything a learner has done to keep energy away.
#[derive(Clone, Debug, Default)]
pub(super) struct Isolation {
    pub locked: BTreeSet<PartId>,
    pub tagged: BTreeSet<PartId>,
    pub props: BTreeSet<PistonId>,
    /// Open fittings: part and port.
    pub open: BTreeMap<(PartId, String), VolumeId>,
    /// Isolators that were open when a start was tried in vain.
    tried: BTreeSet<PartId>,
    /// Volumes on which a gauge showed zero since they were isolated.
    zero: BTreeSet<VolumeId>,
    /// First and last proof of the tester.
    proofs: Option<(SimTime, SimTime)>,
    /// When a node was last tested dead.
    dead: BTreeMap<NodeId, SimTime>,
    bleeding: Option<VolumeId>,
    /// How far a volume stood open before anybody touched it.
    before: BTreeMap<VolumeId, f64>,
}

/// Whether parts of `class` keep energy away and take a lock: electrical or air.
pub fn is_isolator(class: &str) -> bool {
    matches!(class, "Isolator" | "AirIsolator")
}

/// Words for an isolator's handle turned on and off: an air valve opens where a switch closes.
pub(super) fn handle_stands(class: &str, on: bool) -> &'static str {
    match (class, on) {
        ("AirIsolator" | "HandSlide", true) => "seen-on",
        ("AirIsolator" | "HandSlide", false) => "seen-off",
        ("StopValve", true) => "seen-open",
        ("StopValve", false) => "seen-shut",
        (_, true) => "seen-closed",
        (_, false) => "seen-open",
    }
}

/// All isolators of the bench with their handles.
pub(super) fn isolators(plan: &Plan) -> Vec<(PartId, OperatorId)> {
    let handle = |part: &crate::plant::Part| match part.element("handle") {
        Some(Element::Operator(id)) if is_isolator(part.class) => Some(id),
        _ => None,
    };
    plan.parts
        .iter()
        .enumerate()
        .filter_map(|(k, part)| handle(part).map(|o| (PartId::new(k), o)))
        .collect()
}

/// Nodes of a part: its terminals and the ends of what is in it.
pub(super) fn nodes_of(plan: &Plan, part: PartId) -> BTreeSet<NodeId> {
    let part = &plan.parts[part.index()];
    let mut nodes: BTreeSet<NodeId> = part.terminals.iter().map(|t| t.1).collect();
    for &(_, element) in &part.elements {
        match element {
            Element::Branch(b) => {
                nodes.insert(plan.branches[b.index()].a);
                nodes.insert(plan.branches[b.index()].b);
            }
            Element::Winding(w) => {
                nodes.insert(plan.windings[w.index()].a);
                nodes.insert(plan.windings[w.index()].b);
            }
            _ => {}
        }
    }
    nodes
}

/// Volumes behind the ports of a part, those of fixed pressure left out.
pub(super) fn volumes_of(plan: &Plan, part: PartId) -> BTreeSet<VolumeId> {
    plan.parts[part.index()]
        .ports
        .iter()
        .map(|p| p.1)
        .filter(|v| plan.volumes[v.index()].fixed_pa.is_none())
        .collect()
}

/// The isolators that must be open before anybody reaches into `part`: for a part with fluid in it
/// all of them, otherwise those that feed its circuits.
pub(super) fn needed(plan: &Plan, part: PartId, fluid: bool) -> Vec<(PartId, OperatorId)> {
    let all = isolators(plan);
    if fluid {
        return all;
    }
    let mut feeds = BTreeSet::new();
    for node in nodes_of(plan, part) {
        if node == PlanBuilder::EARTH {
            continue;
        }
        let network = &plan.networks[plan.nodes[node.index()].network];
        for branch in &network.branches {
            let branch = &plan.branches[branch.index()];
            if branch.role == BranchRole::Source {
                feeds.extend(branch.behind);
            }
        }
    }
    all.into_iter().filter(|(_, handle)| feeds.contains(handle)).collect()
}

/// The highest voltage [V] at the terminals of `part`, between them or to earth.
pub(super) fn live_volts(plant: &mut Plant, part: PartId) -> f64 {
    let plan = plant.plan().clone();
    highest_volts(plant, &nodes_of(&plan, part))
}

/// The highest voltage [V] at `nodes`, between them or to earth.
pub(super) fn highest_volts(plant: &mut Plant, nodes: &BTreeSet<NodeId>) -> f64 {
    let nodes: Vec<NodeId> = nodes.iter().copied().collect();
    let volts: Vec<_> = nodes.iter().map(|n| plant.node_volts(*n)).collect();
    let mut highest = 0.0_f64;
    for (k, v) in volts.iter().enumerate() {
        for other in &volts[..k] {
            highest = highest.max((v - other).norm_sqr().sqrt());
        }
    }
    for node in nodes {
        let seen = plant.terminals(node, PlanBuilder::EARTH);
        highest = highest.max(super::instrument::burdened(&seen));
    }
    highest
}

/// The weight [N] that the fluid in `volume` carries, if any, and the cylinder.
pub(super) fn carried(plant: &mut Plant, volume: VolumeId) -> Option<(PistonId, f64)> {
    let plan = plant.plan().clone();
    for &(piston, cap) in &plan.volumes[volume.index()].chambers {
        let s = plant.read(Probe::Piston(piston));
        let make = &plant.condition().pistons[piston.index()];
        let weight = make.load.constant_n;
        let hangs = if cap {
            weight > 0.0 && s > RESTS_M
        } else {
            weight < 0.0 && s < make.stroke_m - RESTS_M
        };
        if hangs && !make.propped && !make.jammed && weight.abs() > make.friction_n + SAFE_N {
            return Some((piston, weight.abs()));
        }
    }
    None
}

/// Whether all pumps stand and a charged accumulator stands on `volume`, or would push into it if it
/// were empty.
pub(super) fn charged_behind(plant: &mut Plant, volume: VolumeId) -> bool {
    let plan = plant.plan().clone();
    if (0..plan.pumps.len()).any(|p| plant.pump_on(PumpId::new(p))) {
        return false;
    }
    plan.accumulators.iter().any(|a| {
        let there = plant.read(Probe::Pressure(a.volume));
        there > SAFE_PA && (a.volume == volume || pushes(plant, &plan, a.volume, there, volume))
    })
}

/// Whether `there` [Pa] in volume `from` would drive a flow into an empty volume `to`.
fn pushes(plant: &mut Plant, plan: &Plan, from: VolumeId, there: f64, to: VolumeId) -> bool {
    plan.flows.iter().enumerate().any(|(f, path)| {
        let drive = match path.drive {
            Drive::None => 0.0,
            Drive::Spool(s) => plant.read(Probe::Spool(s)),
            Drive::Pressure(v) => plant.read(Probe::Pressure(v)),
            Drive::Operator(o) => f64::from(u8::from(plant.acting(o))),
            Drive::Pump(_) | Drive::Stroked(..) | Drive::Motor(_) => return false,
        };
        let law = plant.condition().flows[f];
        let flow = if (path.first, path.second) == (from, to) {
            law.value(there, 0.0, drive).flow
        } else if (path.first, path.second) == (to, from) {
            -law.value(0.0, there, drive).flow
        } else {
            return false;
        };
        flow > PUSHES
    })
}

impl Isolation {
    /// An isolator was closed: what was proved behind it no longer holds.
    pub fn restored(&mut self, isolator: PartId) {
        self.tried.remove(&isolator);
        self.zero.clear();
        self.dead.clear();
        self.proofs = None;
    }

    /// A start was tried and nothing moved.
    pub fn tried(&mut self, plant: &Plant) {
        for (part, handle) in isolators(plant.plan()) {
            if !plant.acting(handle) {
                self.tried.insert(part);
            }
        }
    }

    /// Whether all of `needed` were open when a start was tried.
    pub fn was_tried(&self, needed: &[(PartId, OperatorId)]) -> bool {
        needed.iter().all(|(part, _)| self.tried.contains(part))
    }

    /// A gauge showed zero on `volume`: it counts once everything is isolated.
    pub fn gauge_showed_zero(&mut self, plant: &Plant, volume: VolumeId) {
        if isolators(plant.plan()).iter().all(|(_, handle)| !plant.acting(*handle)) {
            self.zero.insert(volume);
        }
    }

    /// A gauge showed pressure on `volume`.
    pub fn gauge_showed_pressure(&mut self, volume: VolumeId) {
        self.zero.remove(&volume);
    }

    /// Whether a gauge showed zero on `volume` since it was isolated.
    pub fn shown_zero(&self, volume: VolumeId) -> bool {
        self.zero.contains(&volume)
    }

    /// The tester was proved on a live source.
    pub fn proved(&mut self, at: SimTime) {
        self.proofs = Some((self.proofs.map_or(at, |p| p.0), at));
    }

    /// A voltage reading between two nodes.
    pub fn tested(&mut self, nodes: [NodeId; 2], volts: Option<f64>, at: SimTime) {
        for node in nodes {
            if volts.is_some_and(|v| v.abs() < SAFE_VOLTS) {
                self.dead.insert(node, at);
            } else {
                self.dead.remove(&node);
            }
        }
    }

    /// Whether one of `nodes` was tested dead between two proofs of the tester.
    pub fn tested_dead(&self, nodes: &BTreeSet<NodeId>) -> bool {
        self.proofs.is_some_and(|(first, last)| {
            nodes
                .iter()
                .filter(|n| **n != PlanBuilder::EARTH)
                .filter_map(|n| self.dead.get(n))
                .any(|at| first <= *at && *at <= last)
        })
    }

    /// Opens a fitting.
    pub fn open_fitting(&mut self, plant: &mut Plant, part: PartId, port: &str, volume: VolumeId) {
        self.open.insert((part, port.to_owned()), volume);
        self.apply(plant, volume);
    }

    /// Closes a fitting; true if it was open.
    pub fn close_fitting(&mut self, plant: &mut Plant, part: PartId, port: &str) -> bool {
        match self.open.remove(&(part, port.to_owned())) {
            Some(volume) => {
                self.apply(plant, volume);
                true
            }
            None => false,
        }
    }

    /// Opens the bleed screw of a volume, or closes it.
    pub fn bleed(&mut self, plant: &mut Plant, volume: VolumeId, open: bool) {
        self.bleeding = open.then_some(volume);
        self.apply(plant, volume);
    }

    /// Opens the volume to the air as far as bleed screw and fittings do.
    fn apply(&mut self, plant: &mut Plant, volume: VolumeId) {
        let fittings = self.open.values().filter(|v| **v == volume).count();
        let bleeding = self.bleeding == Some(volume);
        let now = plant.condition().vents[volume.index()];
        let before = *self.before.entry(volume).or_insert(now);
        let oil = matches!(plant.condition().volumes[volume.index()].medium, Medium::Oil { .. });
        let pick = |pair: (f64, f64)| if oil { pair.0 } else { pair.1 };
        let mut open = before + fittings as f64 * pick(FITTING);
        if bleeding {
            open += pick(BLEED);
        }
        if fittings == 0 && !bleeding {
            self.before.remove(&volume);
        }
        plant.set_vent(volume, open);
    }
}
