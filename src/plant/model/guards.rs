//! When something fires: the watched values of the continuous model.

use crate::base::{FuseId, OperatorId, OverloadId, PistonId, SpoolId, WindingId};
use crate::fluid::EndStop;
use crate::plant::condition::{Condition, OVERLOAD_HOLDS, Trigger};
use crate::plant::plan::{Mover, Plan, Tie, Watch};
use crate::shift::SETTLED;

use super::Model;

/// A spool that has settled counts as gone beyond this distance [1].
const SPOOL_LEAVES: f64 = 0.10;
/// The same for a piston and its ends [m].
const PISTON_SETTLES_M: f64 = 1e-4;
const PISTON_LEAVES_M: f64 = 1e-3;
/// What has left an end stop by less than this still stands there: a spool [1], a piston [m], that of
/// an accumulator [1 of its room].
const SPOOL_TRIFLE: f64 = 1e-3;
const PISTON_TRIFLE_M: f64 = 1e-5;
const SEAL_TRIFLE: f64 = 1e-5;

impl Model<'_> {
    /// Value of guard `watch`: it fires when this rises to zero or above.
    pub(super) fn guard(&self, watch: Watch, y: &[f64]) -> f64 {
        match watch {
            Watch::Fuse(id) => self.fuse_guard(id, y),
            Watch::Burn(id) => self.burn_guard(id, y),
            Watch::Operator(id) => self.operator_guard(id, y),
            Watch::Spool(id) => self.spool_guard(id, y),
            Watch::Piston(id) => self.piston_guard(id, y),
            Watch::Overload(id) => self.overload_guard(id, y),
            Watch::Stop(mover) => {
                let (state, range, trifle) = travel(self.plan, self.actual, mover);
                EndStop::passed(self.status.stops.of(mover), y[state], range, trifle)
            }
        }
    }

    fn fuse_guard(&self, id: FuseId, y: &[f64]) -> f64 {
        let f = id.index();
        let make = &self.actual.fuses[f];
        let tripped = self.plan.fuses[f]
            .trips
            .is_some_and(|(o, acting)| self.status.operators[o.index()].acting == acting);
        if self.status.blown[f] || tripped {
            -1.0
        } else {
            let heat = y[self.plan.fuses[f].heat] / make.melting_a2s;
            heat.max(self.live.fuse_a[f].abs() / make.magnetic_a) - 1.0
        }
    }

    fn overload_guard(&self, id: OverloadId, y: &[f64]) -> f64 {
        let place = &self.plan.overloads[id.index()];
        if self.status.operators[place.trips.index()].acting {
            -1.0
        } else {
            y[place.state] / (OVERLOAD_HOLDS * OVERLOAD_HOLDS) - 1.0
        }
    }

    fn burn_guard(&self, id: WindingId, y: &[f64]) -> f64 {
        let w = id.index();
        if self.status.burnt[w] {
            -1.0
        } else {
            y[self.plan.windings[w].heat] - self.actual.windings[w].burnout_celsius
        }
    }

    fn operator_guard(&self, id: OperatorId, y: &[f64]) -> f64 {
        let o = id.index();
        let acting = self.status.operators[o].acting;
        let make = &self.actual.operators[o];
        if let Some(stuck) = make.stuck {
            return if stuck == acting { -1.0 } else { 1.0 };
        }
        match (make.trigger, self.plan.operators[o].tie) {
            (Trigger::Armature { pick_a, drop_a, .. }, Tie::Winding(w)) => {
                let i = self.live.guarded_a[w.index()].abs();
                if acting { drop_a - i } else { i - pick_a }
            }
            (Trigger::Latch { set_a, reset_a, .. }, Tie::Latch(set, reset)) => {
                let set = self.live.guarded_a[set.index()].abs() / set_a;
                let reset = self.live.guarded_a[reset.index()].abs() / reset_a;
                if acting { reset - set - 1.0 } else { set - reset - 1.0 }
            }
            (Trigger::Count { preset }, Tie::Count(..)) => {
                let full = self.status.operators[o].count >= preset;
                if acting == full { -1.0 } else { 1.0 }
            }
            (Trigger::Cam { from_m, to_m, differential_m }, Tie::Piston(p)) => {
                let s = y[self.plan.pistons[p.index()].state];
                if acting {
                    (from_m - differential_m - s).max(s - to_m - differential_m)
                } else {
                    (s - from_m).min(to_m - s)
                }
            }
            (Trigger::Pressure { rise_pa, fall_pa }, Tie::Volume(v)) => {
                let pa = self.pressure(v.index(), y);
                if acting { (fall_pa - pa) / rise_pa } else { (pa - rise_pa) / rise_pa }
            }
            (Trigger::Pressure { rise_pa, fall_pa }, Tie::Across(a, b)) => {
                let pa = self.pressure(a.index(), y) - self.pressure(b.index(), y);
                if acting { (fall_pa - pa) / rise_pa } else { (pa - rise_pa) / rise_pa }
            }
            _ => -1.0,
        }
    }

    fn spool_guard(&self, id: SpoolId, y: &[f64]) -> f64 {
        let x = y[self.plan.spools[id.index()].state];
        match self.status.spool_at[id.index()] {
            Some(at) => (x - f64::from(at)).abs() - SPOOL_LEAVES,
            None => SETTLED - (x - x.round().clamp(-1.0, 1.0)).abs(),
        }
    }

    fn piston_guard(&self, id: PistonId, y: &[f64]) -> f64 {
        let s = y[self.plan.pistons[id.index()].state];
        let stroke = self.actual.pistons[id.index()].stroke_m;
        match self.status.piston_at[id.index()] {
            Some(false) => s - PISTON_LEAVES_M,
            Some(true) => stroke - PISTON_LEAVES_M - s,
            None => PISTON_SETTLES_M - s.min(stroke - s),
        }
    }
}

/// The windings of which guards ask for the current.
pub(super) fn windings(plan: &Plan) -> Vec<usize> {
    let asked = |tie: Tie| match tie {
        Tie::Winding(w) => [Some(w), None],
        Tie::Latch(set, reset) => [Some(set), Some(reset)],
        _ => [None, None],
    };
    let mut windings: Vec<_> =
        plan.operators.iter().flat_map(|o| asked(o.tie)).flatten().map(|w| w.index()).collect();
    windings.sort_unstable();
    windings.dedup();
    windings
}

/// The state of `mover`, between which ends it moves, and how far it may leave an end and still
/// count as standing there.
pub(crate) fn travel(plan: &Plan, actual: &Condition, mover: Mover) -> (usize, (f64, f64), f64) {
    match mover {
        Mover::Spool(id) => {
            let range = actual.spools[id.index()].range();
            (plan.spools[id.index()].state, range, SPOOL_TRIFLE)
        }
        Mover::Piston(id) => {
            let range = actual.pistons[id.index()].range();
            (plan.pistons[id.index()].state, range, PISTON_TRIFLE_M)
        }
        Mover::Seal(id) => {
            let range = actual.accumulators[id.index()].room();
            (plan.accumulators[id.index()].state, range, SEAL_TRIFLE * range.1)
        }
    }
}
