//! Amplifiers of proportional valves: ramped set values and solenoid currents.

use super::{Model, NO_STATE, Sink};
use crate::plant::plan::Feedback;

impl Model<'_> {
    /// Set values and currents of every amplifier.
    pub(super) fn amplifier_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        for (k, place) in self.plan.amplifiers.iter().enumerate() {
            let make = &self.actual.amplifiers[k];
            let status = &self.status.amplifiers[k];
            let at = match place.feedback {
                Some(Feedback::Position(p)) => self.plan.pistons[p.index()].state,
                Some(Feedback::Speed(m)) => self.plan.motors[m.index()].state,
                None => NO_STATE,
            };
            let shown = if at == NO_STATE { 0.0 } else { make.shows * y[at] + make.offset_m };
            let set = y[place.set];
            // Off, it follows the axis, so that it does not jump when it comes on.
            let (rate, slope) = make.ramped(if status.on { status.target } else { shown }, set);
            rates[place.set] = rate;
            let miss = make.gain * (set - shown);
            let summed = if place.integral == NO_STATE { 0.0 } else { y[place.integral] };
            let signal = miss + summed;
            let (wanted, per_signal) = make.output(signal);
            let works = if status.on && !make.dead { 1.0 } else { 0.0 };
            rates[place.current] = (works * (wanted + make.null) - y[place.current]) / make.lag_s;
            // The sum stands while the output is at its end, and goes when there is no supply.
            let sums = status.on && (signal.abs() < 1.0 || signal * miss < 0.0);
            if place.integral != NO_STATE {
                let off = -summed / make.lag_s;
                let on = if sums { miss / make.reset_s } else { 0.0 };
                rates[place.integral] = if status.on { on } else { off };
            }
            if S::SLOPES {
                let per_shown = make.shows;
                let per_set = works * per_signal * make.gain / make.lag_s;
                sink.at(place.set, place.set, slope);
                sink.at(place.set, at, if status.on { 0.0 } else { -slope * per_shown });
                sink.at(place.current, place.current, -1.0 / make.lag_s);
                sink.at(place.current, place.set, per_set);
                sink.at(place.current, at, -per_set * per_shown);
                let per_miss = if sums { make.gain / make.reset_s } else { 0.0 };
                let off = if status.on { 0.0 } else { -1.0 / make.lag_s };
                sink.at(place.current, place.integral, works * per_signal / make.lag_s);
                sink.at(place.integral, place.integral, off);
                sink.at(place.integral, place.set, per_miss);
                sink.at(place.integral, at, -per_miss * per_shown);
            }
        }
    }
}
