//! For how long a run may be taken to stand as it does.

use super::Plant;
use crate::base::SimTime;
use crate::kernel::System;
use crate::plant::model::Model;

/// A change of a state that nobody at the bench could tell [tolerances of the integration], besides a
/// hundredth of its value; and that of a temperature [K]. Common practice, no source.
const TRIFLE: f64 = 6.0;
const TRIFLE_OF_VALUE: f64 = 0.01;
const TRIFLE_KELVIN: f64 = 1.5;

impl Plant {
    /// How long from now nothing about this run changes by more than a trifle, if all goes on changing
    /// as it has done from the state `before` in the last `span`, during which nothing happened. Zero
    /// where something is due, or waits for time to pass.
    pub(crate) fn stands_for(&mut self, before: &[f64], span: SimTime) -> SimTime {
        let due = self.queue.next_time().is_some() || self.scans.next_time().is_some();
        if due || self.status.operators.iter().any(|o| o.first.is_some()) {
            return SimTime::ZERO;
        }
        let plan = self.plan.clone();
        let warm = plan.windings.iter().map(|w| w.heat).chain(plan.oil.iter().map(|o| o.state));
        let warm: Vec<usize> = warm.collect();
        let span_s = span.as_secs_f64();
        let mut hold_s = f64::INFINITY;
        for (state, (was, is)) in before.iter().zip(&self.y).enumerate() {
            let trifle = if warm.contains(&state) {
                TRIFLE_KELVIN
            } else {
                TRIFLE * plan.tolerance[state] + TRIFLE_OF_VALUE * is.abs()
            };
            let change = (is - was).abs();
            if change > 0.0 {
                hold_s = f64::min(hold_s, trifle / change * span_s);
            }
        }
        // Longer than any attempt.
        let hold_s = hold_s.min(1e6);
        let then: Vec<f64> = before
            .iter()
            .zip(&self.y)
            .map(|(was, is)| is + (is - was) * (hold_s / span_s))
            .collect();
        let now = self.watched(None);
        let then = self.watched(Some(&then));
        if now.iter().zip(&then).any(|(now, then)| *now < 0.0 && *then >= 0.0) {
            return SimTime::ZERO;
        }
        SimTime::from_nanos((hold_s * 1e9) as u64)
    }

    /// The watched values at `y`, or now.
    fn watched(&mut self, y: Option<&[f64]>) -> Vec<f64> {
        let mut values = vec![0.0; self.plan.watches.len()];
        self.with_model(|model: &mut Model, own| model.watch(y.unwrap_or(own), &mut values));
        values
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::base::OperatorId;
    use crate::electric::WindingMake;
    use crate::plant::{Current, Delay, PlanBuilder, Tie, Trigger};

    /// A button and a relay whose contacts follow after `delay`.
    fn relay(delay: Delay) -> (Plant, OperatorId) {
        let mut b = PlanBuilder::new("relay", 20.0);
        b.part("G1", "supply", "");
        let (plus, minus) = (b.terminal("+"), b.terminal("-"));
        b.supply(Current::Dc, plus, minus, 24.0, 0.1, None);
        b.part("S1", "button", "");
        let coil = b.terminal("14");
        let button = b.operator("head", Tie::Hand, Trigger::Hand, false);
        b.contact("13-14", button, false, plus, coil, 1e-3);
        b.part("K1", "relay", "");
        let winding = b.winding("coil", coil, minus, WindingMake::SAMPLE, Vec::new());
        let travel = SimTime::from_millis(10);
        let (operate, release) = (travel, travel);
        let trigger = Trigger::Armature { pick_a: 0.03, drop_a: 0.01, operate, release, delay };
        b.relay("armature", winding, trigger);
        (Plant::nominal(Arc::new(b.finish().expect("plan"))), button)
    }

    /// Lets `plant` run on and says how long it then stands.
    fn rest(plant: &mut Plant, seconds: u64) -> f64 {
        let (before, span) = (plant.state().to_vec(), SimTime::from_secs(seconds));
        plant.advance(plant.now() + span, false).expect("advance");
        plant.stands_for(&before, span).as_secs_f64()
    }

    #[test]
    fn what_is_off_stands_for_good_and_what_warms_up_until_it_is_warmer() {
        let (mut plant, button) = relay(Delay::None);
        assert!(rest(&mut plant, 1) > 3_600.0);
        plant.set_operator(button, true);
        rest(&mut plant, 1);
        let stands_s = rest(&mut plant, 5);
        assert!((0.1..3_600.0).contains(&stands_s), "{stands_s}");
        let warm = plant.plan.windings[0].heat;
        let was = plant.state()[warm];
        let then = plant.now() + SimTime::from_nanos((stands_s * 1e9) as u64);
        plant.advance(then, false).expect("advance");
        let by = plant.state()[warm] - was;
        // It warms up ever more slowly.
        assert!(by > 0.2 * TRIFLE_KELVIN && by <= TRIFLE_KELVIN, "{by} K in {stands_s} s");
    }

    #[test]
    fn what_waits_for_time_to_pass_does_not_stand() {
        let (mut plant, button) = relay(Delay::On(SimTime::from_secs(10)));
        plant.set_operator(button, true);
        assert_eq!(rest(&mut plant, 5), 0.0);
        rest(&mut plant, 10);
        assert!(rest(&mut plant, 5) > 0.0);
    }
}
