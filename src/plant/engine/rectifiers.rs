//! Rectifiers, averaged over half a period: their working points, and when to look at them again.

use std::sync::Arc;

use crate::base::SimTime;

use super::super::condition::RectifierMake;
use super::super::model::RectifierStatus;
use super::super::plan::{Current, RectifierPlan};
use super::{Event, Plant};

/// Half a period of the mains, for 50 Hz: over this rectifiers are averaged.
const HALF_PERIOD: SimTime = SimTime::from_millis(10);

/// Longest wait until rectifiers are looked at again, in doublings of half a period: some 80 s.
const RECTIFIER_WAITS: u32 = 13;

/// A rectifier that moved more than this between two looks is in a transient [1].
const RECTIFIER_TRANSIENT: f64 = 3e-3;

/// Between two looks rectifiers should move between half this and this much [1]. Of what the
/// bridge drops, some sixth of the voltage, the line through the last working point is wrong by so
/// much.
const RECTIFIER_DRIFT: f64 = 1e-3;

/// Most steps to a working point of all rectifiers at one moment.
const RECTIFIER_ROUNDS: usize = 30;

/// Below this share of its rated current the drop of a rectifier falls in a straight line to nothing.
const LEAST_SHARE: f64 = 0.02;

/// What a blocking rectifier lets through [S].
const BLOCKED_SIEMENS: f64 = 1e-9;

impl Plant {
    /// The time has come to look again, after `waits` doublings.
    pub(super) fn look_at_rectifiers(&mut self, waits: u32) {
        let moved = self.settle_rectifiers();
        if moved > RECTIFIER_TRANSIENT {
            self.integrator.restart();
        } else {
            self.integrator.interrupt();
        }
        // Coils that warm move it a little all the time; that wants no haste.
        self.await_rectifiers(match moved {
            m if m > RECTIFIER_TRANSIENT => 0,
            m if m > RECTIFIER_DRIFT => waits.saturating_sub(1),
            m if m < 0.5 * RECTIFIER_DRIFT => (waits + 1).min(RECTIFIER_WAITS),
            _ => waits,
        });
    }

    /// Looks at the rectifiers again after half a period, `waits` times doubled.
    pub(super) fn await_rectifiers(&mut self, waits: u32) {
        let half_ns = HALF_PERIOD.as_nanos() << waits;
        let round = self.rectify_round;
        let at = self.now + SimTime::from_nanos(half_ns);
        self.queue.push(at, 1, Event::Rectify { round, waits });
    }

    /// Finds the working point of every rectifier; by how much the furthest has moved [1].
    ///
    /// Ripple is averaged over half a period. The bridge gives the mean of the rectified voltage
    /// behind what its feeding network has of impedance, less two diode drops; it draws the
    /// alternating current, in phase, that carries the same power. Both sides are straight lines
    /// through the working point, found again at every change, then every half period and, the less
    /// they move, the more seldom.
    pub(super) fn settle_rectifiers(&mut self) -> f64 {
        let plan = Arc::clone(&self.plan);
        let before = self.status.rectifiers.clone();
        for _ in 0..RECTIFIER_ROUNDS {
            let mut largest = 0.0_f64;
            for (k, place) in plan.rectifiers.iter().enumerate() {
                let make = self.actual.rectifiers[k];
                let was = self.status.rectifiers[k];
                let at = self.working_point(place, make, k);
                self.status.rectifiers[k] = at;
                for (new, old) in [
                    (at.open_v, was.open_v),
                    (at.siemens, was.siemens),
                    (at.load_siemens, was.load_siemens),
                ] {
                    largest = largest.max((new - old).abs() / (1e-9 + new.abs().max(old.abs())));
                }
                self.live.refresh(&plan, &self.actual, &self.status);
            }
            if largest < 1e-7 {
                break;
            }
        }
        let mut furthest = 0.0_f64;
        for (new, old) in self.status.rectifiers.iter().zip(before) {
            for (new, old) in [
                (new.open_v, old.open_v),
                (new.siemens, old.siemens),
                (new.load_siemens, old.load_siemens),
            ] {
                furthest = furthest.max((new - old).abs() / (1e-6 + new.abs()));
            }
        }
        furthest
    }

    fn working_point(
        &mut self,
        place: &RectifierPlan,
        make: RectifierMake,
        k: usize,
    ) -> RectifierStatus {
        let (a, b) = {
            let branch = &self.plan.branches[place.load.index()];
            (branch.a, branch.b)
        };
        let alternating =
            self.plan.network_of(a).is_some_and(|n| self.plan.networks[n].current != Current::Dc);
        // On direct current there is nothing to average.
        let gain = make.waves * if alternating { make.gain } else { 1.0 };
        let was = self.status.rectifiers[k];
        let amps = -self.branch_amps(place.feed).re;
        // What feeds it, seen without what it draws itself.
        let short = 1.0 / make.short_ohm;
        self.status.rectifiers[k].load_siemens = short;
        self.live.refresh(&self.plan, &self.actual, &self.status);
        let seen = self.terminals(a, b);
        let (open, behind) = (seen.open_v.norm_sqr().sqrt(), seen.ohm);
        let line_a = amps.max(LEAST_SHARE * make.rated_a);
        // The alternating current that carries the power drops its voltage in phase.
        let input_at = |i: f64| {
            let (along, across) = (behind.re * gain * i, behind.im * gain * i);
            ((open * open - across * across).max(0.0).sqrt() - along).max(0.0)
        };
        let drop = 2.0 * make.diode.voltage(line_a);
        let input = input_at(amps.max(0.0));
        // What cannot drive that current, such as the insulation of an open circuit, counts for
        // nothing: a current that flows then runs round through the diodes.
        let feeble = gain * line_a * behind.norm_sqr().sqrt() >= open;
        let (open_v, ohm) = if feeble {
            (0.0, drop / line_a)
        } else {
            (gain * open, (gain * (open - input_at(line_a)) + drop) / line_a)
        };
        // Current cannot come back through the bridge.
        let blocked = amps < -1e-9 && was.open_v <= open_v * (1.0 + 1e-9);
        RectifierStatus {
            open_v,
            siemens: if blocked || make.waves == 0.0 { BLOCKED_SIEMENS } else { 1.0 / ohm },
            load_siemens: short
                + if input > 1e-3 && amps > 0.0 && !feeble { gain * amps / input } else { 0.0 },
        }
    }
}
