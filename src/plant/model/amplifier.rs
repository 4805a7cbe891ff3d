//! Amplifiers of proportional valves: ramped set values and solenoid currents.

use super::{Model, NO_STATE, Sink};

impl Model<'_> {
    /// Set values and currents of every amplifier.
    pub(super) fn amplifier_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        for (k, place) in self.plan.amplifiers.iter().enumerate() {
            let make = &self.actual.amplifiers[k];
            let status = &self.status.amplifiers[k];
            let at = place.feedback.map_or(NO_STATE, |p| self.plan.pistons[p.index()].state);
            let shown = if at == NO_STATE { 0.0 } else { y[at] + make.offset_m };
            let set = y[place.set];
            // Off, it follows the axis, so that it does not jump when it comes on.
            let (rate, slope) = make.ramped(if status.on { status.target } else { shown }, set);
            rates[place.set] = rate;
            let (wanted, per_signal) = make.output(make.gain * (set - shown));
            let works = if status.on && !make.dead { 1.0 } else { 0.0 };
            rates[place.current] = (works * wanted - y[place.current]) / make.lag_s;
            if S::SLOPES {
                let per_set = works * per_signal * make.gain / make.lag_s;
                sink.at(place.set, place.set, slope);
                sink.at(place.set, at, if status.on { 0.0 } else { -slope });
                sink.at(place.current, place.current, -1.0 / make.lag_s);
                sink.at(place.current, place.set, per_set);
                sink.at(place.current, at, -per_set);
            }
        }
    }
}
