//! Accumulators with a piston: the oil behind it, and what their seals hold.

use super::{Model, NO_STATE, Sink};

impl Model<'_> {
    /// Oil in every accumulator with a piston, and what it takes from its line.
    pub(super) fn accumulator_rates<S: Sink>(
        &mut self,
        y: &[f64],
        rates: &mut [f64],
        sink: &mut S,
    ) {
        let plan = self.plan;
        for (k, place) in plan.accumulators.iter().enumerate() {
            let (false, Some(seal)) = (place.state == NO_STATE, &self.actual.seals[k]) else {
                continue;
            };
            let make = &self.actual.accumulators[k];
            let (v, oil) = (place.volume.index(), y[place.state]);
            let (pa, per_state) = self.live.pressure[v];
            let (gas, gas_per_m3) = make.gas_pa(oil);
            let (flow, per_pa, stop_per_m3) =
                seal.flow(make, pa - gas, oil, self.status.stops.seals[k]);
            rates[place.state] = flow;
            self.live.flow_sum[v] -= flow;
            if S::SLOPES {
                let per_oil = stop_per_m3 - per_pa * gas_per_m3;
                let row = plan.volumes[v].state;
                let share = if row == NO_STATE { 0.0 } else { self.live.capacity[v].0 };
                sink.at(place.state, place.state, per_oil);
                sink.at(place.state, row, per_pa * per_state);
                sink.at(row, place.state, -share * per_oil);
                sink.at(row, row, -share * per_pa * per_state);
            }
        }
    }
}
