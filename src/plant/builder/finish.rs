//! What has been collected becomes a plan: networks found, states numbered, slots of the Jacobian.

use std::collections::BTreeMap;

use crate::base::{
    AccumulatorId, BranchId, FuseId, MotorId, NodeId, OperatorId, OverloadId, PistonId, SpoolId,
    WindingId,
};
use crate::electric::{Suppressor, Topology};
use crate::fluid::Medium;
use crate::kernel::{Elimination, PatternBuilder};
use crate::plant::condition::BranchMake;
use crate::plant::model;
use crate::plant::plan::{
    BranchRole, Current, Drive, Feedback, Mover, NetworkPlan, Plan, Tie, Watch,
};

use super::{ARC, PlanBuilder, PlanError, STATE_LIMIT};

/// Slope of the clamp of an output [ohm] (common practice, no source).
const CLAMP_OHM: f64 = 2.0;

impl PlanBuilder {
    /// What winding `w` dies away against when nothing lies across it: the clamp of the output that it is wired
    /// to, less what the supply adds, or else an arc.
    fn opening(plan: &Plan, clamps: &[(NodeId, f64)], w: usize) -> Suppressor {
        let place = &plan.windings[w];
        let own = |id: &BranchId| plan.nominal.branches[id.index()].volts.abs();
        let supply = plan.networks[place.network].branches.iter().map(own).fold(0.0, f64::max);
        let reach = |node: NodeId| {
            let mut found = vec![node];
            let mut next = 0;
            while let Some(&at) = found.get(next) {
                next += 1;
                for branch in plan.branches.iter().filter(|b| b.role == BranchRole::Wire) {
                    for (a, b) in [(branch.a, branch.b), (branch.b, branch.a)] {
                        if a == at && b != Self::EARTH && !found.contains(&b) {
                            found.push(b);
                        }
                    }
                }
            }
            found
        };
        let clamp = clamps.iter().find(|(node, _)| {
            let joined = reach(*node);
            joined.contains(&place.a) || joined.contains(&place.b)
        });
        match clamp {
            Some((_, volts)) => Suppressor::Clamp((volts - supply).max(1.0), CLAMP_OHM),
            None => Suppressor::Clamp(ARC.0, ARC.1),
        }
    }

    /// Lays the capacitances of conductors, once it is known which supply theirs is.
    fn lay_couplings(&mut self) -> Result<(), PlanError> {
        if self.couplings.is_empty() || self.supplies.iter().all(|s| s.1 == Current::Dc) {
            return Ok(());
        }
        let mut trial = self.clone();
        trial.partition()?;
        let mut total: BTreeMap<NodeId, f64> = BTreeMap::new();
        for &(node, farad) in &self.couplings {
            *total.entry(node).or_default() += farad;
        }
        self.part = None;
        for (node, farad) in total {
            let network = trial.plan.nodes[node.index()].network;
            let live = self.supplies.iter().find(|(branch, current)| {
                *current != Current::Dc && trial.plan.branches[branch.index()].network == network
            });
            let Some(&(supply, _)) = live else { continue };
            let live = self.plan.branches[supply.index()].a;
            let make = BranchMake::capacitor(1.0, farad);
            for other in [live, Self::EARTH] {
                if other != node && node != Self::EARTH {
                    self.branch("beside", BranchRole::Capacitance, node, other, make);
                }
            }
        }
        Ok(())
    }

    /// Partitions the networks, numbers the states and finishes the plan.
    ///
    /// # Errors
    /// When a network has two kinds of supply, or there are too many states.
    pub fn finish(mut self) -> Result<Plan, PlanError> {
        self.lay_couplings()?;
        self.partition()?;
        self.number_states()?;
        let plan = &mut self.plan;
        plan.watches = (0..plan.fuses.len())
            .map(|k| Watch::Fuse(FuseId::new(k)))
            .chain((0..plan.windings.len()).map(|k| Watch::Burn(WindingId::new(k))))
            .chain(
                (0..plan.operators.len())
                    .filter(|&k| plan.operators[k].tie != Tie::Hand)
                    .map(|k| Watch::Operator(OperatorId::new(k))),
            )
            .chain(
                (0..plan.spools.len())
                    .filter(|&k| !plan.spools[k].modulates)
                    .map(|k| Watch::Spool(SpoolId::new(k))),
            )
            .chain((0..plan.pistons.len()).map(|k| Watch::Piston(PistonId::new(k))))
            .chain((0..plan.overloads.len()).map(|k| Watch::Overload(OverloadId::new(k))))
            .chain((0..plan.spools.len()).map(|k| Watch::Stop(Mover::Spool(SpoolId::new(k)))))
            .chain((0..plan.pistons.len()).map(|k| Watch::Stop(Mover::Piston(PistonId::new(k)))))
            .chain(
                (0..plan.accumulators.len())
                    .filter(|&k| plan.nominal.seals[k].is_some())
                    .map(|k| Watch::Stop(Mover::Seal(AccumulatorId::new(k)))),
            )
            .collect();
        let places = model::entries(plan);
        let mut pattern = PatternBuilder::new(plan.state_count);
        for &(row, column) in &places {
            pattern.add(row, column);
        }
        let pattern = pattern.build();
        plan.slots = places
            .iter()
            .map(|&(row, column)| pattern.slot(row, column).unwrap_or(usize::MAX))
            .collect();
        assert!(!plan.slots.contains(&usize::MAX), "every entry has a slot in its own pattern");
        plan.elimination = Elimination::new(pattern);
        Ok(self.plan)
    }

    /// Splits the nodes into networks: what branches and windings join, the earth left out.
    fn partition(&mut self) -> Result<(), PlanError> {
        let plan = &mut self.plan;
        let mut root: Vec<usize> = (0..plan.nodes.len()).collect();
        fn find(root: &mut [usize], mut n: usize) -> usize {
            while root[n] != n {
                root[n] = root[root[n]];
                n = root[n];
            }
            n
        }
        let joins = plan
            .branches
            .iter()
            .map(|b| (b.a.index(), b.b.index()))
            .chain(plan.windings.iter().map(|w| (w.a.index(), w.b.index())));
        for (a, b) in joins.filter(|&(a, b)| a != 0 && b != 0) {
            let (ra, rb) = (find(&mut root, a), find(&mut root, b));
            root[ra.max(rb)] = ra.min(rb);
        }
        // Networks in the order of their lowest node.
        let mut by_root: BTreeMap<usize, Vec<NodeId>> = BTreeMap::new();
        for n in 1..plan.nodes.len() {
            let r = find(&mut root, n);
            by_root.entry(r).or_default().push(NodeId::new(n));
        }
        for members in by_root.into_values() {
            let index = plan.networks.len();
            let mut nodes = vec![Self::EARTH];
            nodes.extend(&members);
            for (local, id) in nodes.iter().enumerate().skip(1) {
                plan.nodes[id.index()].network = index;
                plan.nodes[id.index()].local = local;
            }
            let local = |plan: &Plan, id: NodeId| plan.nodes[id.index()].local;
            let inside = |plan: &Plan, a: NodeId, b: NodeId| {
                let end = if a == Self::EARTH { b } else { a };
                end != Self::EARTH && plan.nodes[end.index()].network == index
            };
            let branches: Vec<BranchId> = (0..plan.branches.len())
                .map(BranchId::new)
                .filter(|id| {
                    let b = &plan.branches[id.index()];
                    inside(plan, b.a, b.b)
                })
                .collect();
            let ends: Vec<(usize, usize)> = branches
                .iter()
                .map(|id| {
                    let b = &plan.branches[id.index()];
                    (local(plan, b.a), local(plan, b.b))
                })
                .collect();
            for (at, id) in branches.iter().enumerate() {
                plan.branches[id.index()].network = index;
                plan.branches[id.index()].local = at;
            }
            let windings: Vec<WindingId> = (0..plan.windings.len())
                .map(WindingId::new)
                .filter(|id| {
                    let w = &plan.windings[id.index()];
                    inside(plan, w.a, w.b)
                })
                .collect();
            let ports: Vec<(usize, usize)> = windings
                .iter()
                .map(|id| {
                    let w = &plan.windings[id.index()];
                    (local(plan, w.a), local(plan, w.b))
                })
                .collect();
            for (port, id) in windings.iter().enumerate() {
                plan.windings[id.index()].network = index;
                plan.windings[id.index()].port = port;
            }
            let fuses: Vec<FuseId> = branches
                .iter()
                .filter_map(|id| match plan.branches[id.index()].role {
                    BranchRole::Fuse(f) => Some(f),
                    _ => None,
                })
                .collect();
            for (watched, id) in fuses.iter().enumerate() {
                plan.fuses[id.index()].watched = watched;
            }
            let mut current: Option<(BranchId, Current)> = None;
            for &(branch, kind) in &self.supplies {
                if plan.branches[branch.index()].network != index {
                    continue;
                }
                match current {
                    None => current = Some((branch, kind)),
                    Some((first, known)) if known != kind => {
                        let name = |id: BranchId| {
                            plan.nodes[plan.branches[id.index()].a.index()].name.clone()
                        };
                        return Err(PlanError::MixedSupply {
                            first: name(first),
                            second: name(branch),
                        });
                    }
                    Some(_) => {}
                }
            }
            let mut all_ends = ends.clone();
            all_ends.extend(&ports);
            let lamps = (0..plan.lamps.len())
                .filter(|l| branches.contains(&plan.lamps[*l].branch))
                .collect();
            plan.networks.push(NetworkPlan {
                current: current.map_or(Current::Dc, |(_, kind)| kind),
                topology: Topology::new(nodes.len(), ends),
                resistive: Topology::new(nodes.len(), all_ends),
                branches,
                nodes,
                windings,
                lamps,
                fuses,
                ports,
                known: model::Reductions::default(),
            });
        }
        Ok(())
    }

    fn number_states(&mut self) -> Result<(), PlanError> {
        let plan = &mut self.plan;
        let (mut tolerance, mut initial) = (Vec::new(), Vec::new());
        let mut state = |tol: f64, start: f64| {
            tolerance.push(tol);
            initial.push(start);
            tolerance.len() - 1
        };
        for network in &plan.networks {
            for &id in &network.windings {
                let w = &mut plan.windings[id.index()];
                if network.current == Current::Dc {
                    // Weber-turns; 24 V for 1 ms is 0.024.
                    w.linkage = state(1e-5, 0.0);
                } else {
                    // Phasors leave no arc and no freewheeling to a suppressor.
                    plan.nominal.suppressors[id.index()].clear();
                    for (b, place) in plan.branches.iter().enumerate() {
                        if place.role == BranchRole::Iron(id) {
                            plan.nominal.branches[b].ohm = f64::INFINITY;
                        }
                    }
                }
                w.heat = state(3e-3, plan.ambient_celsius);
            }
            for &id in &network.fuses {
                let scale = plan.nominal.fuses[id.index()].melting_a2s;
                plan.fuses[id.index()].heat = state(1e-4 * scale, 0.0);
            }
        }
        for id in 0..plan.windings.len() {
            if plan.networks[plan.windings[id].network].current == Current::Dc {
                let opening = Self::opening(plan, &self.clamps, id);
                plan.nominal.suppressors[id].push(opening);
            }
        }
        for s in &mut plan.spools {
            // What pressures hold need be known no better than they are: over the bands of such members
            // this is about the tolerance of a pressure.
            s.state = state(if s.modulates { 1.5e-3 } else { 1.5e-4 }, s.initially);
        }
        for p in &mut plan.pumps {
            p.state = state(3e-4, 0.0);
        }
        for (v, make) in plan.volumes.iter_mut().zip(&plan.nominal.volumes) {
            if v.fixed_pa.is_none() {
                // Oil gives so little that a pressure hardly off is soon right again. Gas holds what
                // moves a piston far: 4 L of it at 50 bar, 0.03 cm3 for these 50 Pa.
                let pa = match make.medium {
                    Medium::Oil { .. } if v.accumulators.is_empty() => 2500.0,
                    Medium::Oil { .. } => 50.0,
                    Medium::Air { .. } => 500.0,
                };
                v.state = state(pa, 0.0);
            }
        }
        for p in &mut plan.pistons {
            p.state = state(1e-6, p.initially_m);
        }
        for (k, m) in plan.motors.iter_mut().enumerate() {
            if plan.flows[m.flow.index()].drive == Drive::Motor(MotorId::new(k)) {
                m.state = state(3e-5, 0.0);
            }
        }
        for (a, seal) in plan.accumulators.iter_mut().zip(&plan.nominal.seals) {
            if seal.is_some() {
                a.state = state(3e-8, 0.0);
            }
        }
        for o in &mut plan.overloads {
            // Of the setting squared.
            o.state = state(3e-4, 0.0);
        }
        if let Some(oil) = &mut plan.oil {
            oil.state = state(3e-3, oil.start_celsius);
        }
        for (a, make) in plan.amplifiers.iter_mut().zip(&plan.nominal.amplifiers) {
            let start = match a.feedback {
                Some(Feedback::Position(p)) => plan.pistons[p.index()].initially_m,
                _ => 0.0,
            };
            a.set = state(3e-6, start);
            a.current = state(3e-5, 0.0);
            if make.reset_s > 0.0 {
                a.integral = state(3e-5, 0.0);
            }
        }
        plan.state_count = tolerance.len();
        plan.tolerance = tolerance;
        plan.initial = initial;
        if plan.state_count > STATE_LIMIT {
            return Err(PlanError::TooLarge { states: plan.state_count, limit: STATE_LIMIT });
        }
        Ok(())
    }
}
