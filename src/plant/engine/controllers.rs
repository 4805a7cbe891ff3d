//! What reads the voltages of its terminals: controllers, scan by scan, and amplifiers.

use std::sync::Arc;

use crate::base::{NodeId, PlcId, SimTime};
use crate::electric::Complex64;
use crate::plant::plan::Current;

use super::{Plant, What};

impl Plant {
    /// A controller writes what its last scan found, reads its inputs and solves again.
    pub(super) fn scan(&mut self, id: PlcId) {
        let plan = Arc::clone(&self.plan);
        let place = &plan.plcs[id.index()];
        let make = self.actual.plcs[id.index()];
        let volts = self.volts_of(place.inputs.iter().chain([
            &place.supply.0,
            &place.supply.1,
            &place.common,
        ]));
        let of = |node: NodeId| volts.iter().find(|(n, _)| *n == node).map_or(0.0, |(_, v)| *v);
        let supply = of(place.supply.0) - of(place.supply.1);
        let was_on = self.status.plcs[id.index()].on;
        // Its own capacitors ride through small dips: it goes off a little lower than it comes on.
        let least = if was_on { 0.9 * make.least_v } else { make.least_v };
        let on = supply >= least && !make.halted;
        let status = &mut self.status.plcs[id.index()];
        status.on = on;
        if !on || !was_on {
            status.memory = place.program.memory();
            status.wants.fill(false);
            status.inputs.fill(false);
        }
        let wants = status.wants.clone();
        for (output, want) in place.outputs.iter().zip(wants) {
            self.set_operator(*output, want);
        }
        let status = &mut self.status.plcs[id.index()];
        if on {
            for (input, node) in status.inputs.iter_mut().zip(&place.inputs) {
                let v = of(*node) - of(place.common);
                let v = if make.sourcing { -v } else { v };
                *input = v >= if *input { make.off_v } else { make.on_v };
            }
            place.program.scan(&mut status.memory, self.now, &status.inputs);
            for (k, want) in status.wants.iter_mut().enumerate() {
                *want = place.program.output(&status.memory, k);
            }
        }
        if on != was_on {
            self.tell(if on { What::PlcRuns(id) } else { What::PlcStops(id) });
        }
        let next = self.now + make.scan.max(SimTime::from_micros(100));
        self.scans.push(next, 0, id);
    }

    /// Voltage [V] against earth of some nodes of direct-current networks; each network is solved
    /// once.
    fn volts_of<'n>(&mut self, nodes: impl Iterator<Item = &'n NodeId>) -> Vec<(NodeId, f64)> {
        let plan = Arc::clone(&self.plan);
        let mut solved: Vec<(usize, Vec<f64>)> = Vec::new();
        nodes
            .map(|&node| {
                let Some(network) = plan.network_of(node) else { return (node, 0.0) };
                let at = match solved.iter().position(|(n, _)| *n == network) {
                    Some(at) => at,
                    None => {
                        let alternating = plan.networks[network].current != Current::Dc;
                        let volts = self.network_volts(network);
                        // On alternating current an input sees no steady voltage.
                        let real = |v: &Complex64| if alternating { 0.0 } else { v.re };
                        solved.push((network, volts.iter().map(real).collect()));
                        solved.len() - 1
                    }
                };
                (node, solved[at].1[plan.nodes[node.index()].local])
            })
            .collect()
    }

    /// Whether a controller runs.
    #[must_use]
    pub fn plc_runs(&self, plc: PlcId) -> bool {
        self.status.plcs[plc.index()].on
    }

    /// The lit state of each input of a controller, as its last scan read it.
    #[must_use]
    pub fn plc_inputs(&self, plc: PlcId) -> &[bool] {
        &self.status.plcs[plc.index()].inputs
    }

    /// Value of a variable of a controller's program: 0 or 1, a whole number, or nanoseconds.
    #[must_use]
    pub fn plc_value(&self, plc: PlcId, name: &str) -> Option<i64> {
        self.plan.plcs[plc.index()].program.value(&self.status.plcs[plc.index()].memory, name)
    }

    /// Amplifiers read their supply and their calls.
    pub(super) fn look_at_calls(&mut self) {
        let plan = Arc::clone(&self.plan);
        for (k, place) in plan.amplifiers.iter().enumerate() {
            let make = self.actual.amplifiers[k];
            let volts =
                self.volts_of([&place.supply.0, &place.supply.1].into_iter().chain(&place.calls));
            let minus = volts[1].1;
            let was = self.status.amplifiers[k];
            let mut is = was;
            is.on = volts[0].1 - minus >= make.least_v;
            if !was.on {
                is.target = self.y[place.set];
            }
            if let Some(call) = volts[2..].iter().position(|(_, v)| v - minus >= make.call_v) {
                is.target = make.sets[call];
            }
            if is != was {
                self.status.amplifiers[k] = is;
                self.integrator.restart();
            }
        }
    }
}
