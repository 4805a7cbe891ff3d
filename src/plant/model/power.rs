//! The power side of the continuous model: what moves by forces, spools, pumps and motors, and their overload relays.

use crate::base::SpoolId;
use crate::fluid::FlowLaw;

use super::flows::oily;
use super::{Model, NO_STATE, NetworkLive, Sink, side_of};
use crate::plant::condition::IDLING;
use crate::plant::plan::Plan;
use crate::shift::SpoolMake;

impl Model<'_> {
    /// Spool positions: coils, springs, detents, hands and flow forces against friction.
    pub(super) fn spool_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        let plan = self.plan;
        for (s, place) in plan.spools.iter().enumerate() {
            let make = &self.actual.spools[s];
            let x = y[place.state];
            let (mut force, mut per_x) = make.restoring(x);
            force += make.hand(self.status.hands[s]);
            let id = SpoolId::new(s);
            for (winding, towards_a) in [(place.a, true), (place.b, false)] {
                let Some(winding) = winding else { continue };
                let w = winding.index();
                let side = side_of(self.actual, id, towards_a);
                let coil = self.live.coils[w];
                let winding = &self.actual.windings[w];
                force += side * winding.pull_at(self.live.linkage2[w], coil.per_gap);
                if S::SLOPES {
                    let per_gap = winding.pull_per_gap(self.live.linkage2[w], coil.gap);
                    per_x += side * per_gap * coil.per_x;
                }
            }
            let drive = place.amplifier.map(|a| {
                (self.plan.amplifiers[a.index()].current, self.actual.amplifiers[a.index()].pull_n)
            });
            if let Some((current, pull_n)) = drive {
                force += pull_n * y[current];
            }
            for &(volume, newton_per_pa) in &place.pilots {
                force += newton_per_pa * self.live.pressure[volume.index()].0;
            }
            let (share, share_slope) = SpoolMake::sleeve(x);
            if let Some(sleeve) = place.sleeve {
                let pushed = sleeve.newton_per_pa * self.live.pressure[sleeve.volume.index()].0;
                force += pushed * share;
                per_x += pushed * share_slope;
            }
            for &(flow, force_per_pa) in &place.paths {
                let (toward, per_dp, per_here) = self.flow_force(flow.index(), force_per_pa, x);
                force += toward;
                per_x += per_here;
                self.live.force_per_dp[flow.index()] = per_dp;
            }
            // Thin oil resists less: all of the speed goes with it.
            let counts = place.paths.first().is_some_and(|p| oily(plan, &plan.flows[p.0.index()]));
            let (oil, (thin, thin_slope)) = match &plan.oil {
                Some(oil) if counts => (oil.state, self.live.thin),
                _ => (NO_STATE, (1.0, 0.0)),
            };
            let (speed, per_force, stop_per_x) = make.speed(force, x, self.status.stops.spools[s]);
            let (per_force, stop_per_x) = (per_force * thin, stop_per_x * thin);
            let per_kelvin = speed * thin_slope;
            let speed = speed * thin;
            rates[place.state] = speed;
            for &(volume, m3) in &place.sweeps {
                self.live.flow_sum[volume.index()] += m3 * speed;
            }
            if let Some(sleeve) = place.sleeve {
                self.live.flow_sum[sleeve.volume.index()] += sleeve.m3 * share * speed;
            }
            if !S::SLOPES {
                continue;
            }
            if let Some(sleeve) = place.sleeve {
                let row = plan.volumes[sleeve.volume.index()].state;
                let m3 = sleeve.m3 * share_slope * speed;
                sink.at(row, place.state, m3 * self.live.capacity[sleeve.volume.index()].0);
            }
            let mut put = |column: usize, value: f64| self.put_spool(s, share, column, value, sink);
            put(place.state, per_force * per_x + stop_per_x);
            if oil != NO_STATE {
                put(oil, per_kelvin);
            }
            if let Some((current, pull_n)) = drive {
                put(current, per_force * pull_n);
            }
            for (winding, towards_a) in [(place.a, true), (place.b, false)] {
                let Some(winding) = winding else { continue };
                let w = winding.index();
                let side = side_of(self.actual, id, towards_a);
                // The pull is in proportion to the linkage squared.
                let pull = self.actual.windings[w].pull_at(1.0, self.live.coils[w].per_gap);
                let per_linkage2 = per_force * side * pull;
                let network = &plan.networks[plan.windings[w].network];
                let solved = &self.live.networks[plan.windings[w].network];
                match solved {
                    NetworkLive::Dc { .. } => {
                        let state = plan.windings[w].linkage;
                        put(state, per_linkage2 * 2.0 * y[state]);
                    }
                    NetworkLive::Ac { .. } => {
                        let k = plan.windings[w].port;
                        for (j, other) in network.windings.iter().enumerate() {
                            let slopes = self.phasor_slopes(network, solved, k, j);
                            let heat = plan.windings[other.index()].heat;
                            put(heat, per_linkage2 * slopes.linkage2_per_kelvin);
                            put(slopes.x_state, per_linkage2 * slopes.linkage2_per_x);
                        }
                    }
                }
            }
            for &(volume, newton_per_pa) in &place.pilots {
                let (_, per_state) = self.live.pressure[volume.index()];
                let column = plan.volumes[volume.index()].state;
                put(column, per_force * newton_per_pa * per_state);
            }
            if let Some(sleeve) = place.sleeve {
                let (_, per_state) = self.live.pressure[sleeve.volume.index()];
                let column = plan.volumes[sleeve.volume.index()].state;
                put(column, per_force * sleeve.newton_per_pa * share * per_state);
            }
            for &(flow, _) in &place.paths {
                let per_dp = self.live.force_per_dp[flow.index()];
                let path = &plan.flows[flow.index()];
                for (v, sign) in [(path.first.index(), 1.0), (path.second.index(), -1.0)] {
                    let (_, per_state) = self.live.pressure[v];
                    let column = plan.volumes[v].state;
                    put(column, sign * per_force * per_dp * per_state);
                }
            }
        }
    }

    /// Puts the slope of a spool's speed to the state `column`, and of the flows that it displaces.
    fn put_spool<S: Sink>(&self, s: usize, share: f64, column: usize, value: f64, sink: &mut S) {
        let place = &self.plan.spools[s];
        if S::SKIPS && value == 0.0 {
            // Most paths are shut, and most pull is none.
            sink.skip(if column == NO_STATE { 0 } else { self.live.spool_rows[s] });
            return;
        }
        sink.at(place.state, column, value);
        let sleeve = place.sleeve.map(|sleeve| (sleeve.volume, sleeve.m3 * share));
        for &(volume, m3) in place.sweeps.iter().chain(&sleeve) {
            let row = self.plan.volumes[volume.index()].state;
            if row != NO_STATE {
                sink.at(row, column, m3 * value * self.live.capacity[volume.index()].0);
            }
        }
    }

    /// Steady flow force [N] of an open path on its spool, which acts to close the path, with its
    /// slopes to the pressure difference [N/Pa] and to the position [N].
    #[inline(always)]
    fn flow_force(&self, flow: usize, force_per_pa: f64, x: f64) -> (f64, f64, f64) {
        if force_per_pa == 0.0 {
            return (0.0, 0.0, 0.0);
        }
        let (FlowLaw::Spool(_, opening) | FlowLaw::SonicSpool(_, opening)) =
            self.actual.flows[flow]
        else {
            return (0.0, 0.0, 0.0);
        };
        let (open, per_x) = opening.fraction(x);
        let path = &self.plan.flows[flow];
        let [first, second] = [path.first, path.second].map(|v| self.live.pressure[v.index()].0);
        let dp = first - second;
        let closing = if per_x > 0.0 {
            -1.0
        } else if per_x < 0.0 {
            1.0
        } else {
            return (0.0, 0.0, 0.0);
        };
        // Only what passes the edge leaves as a jet. A worn clearance counted in would push the spool
        // back with a force that jumps as it leaves its place, and it would never come to rest there.
        let open = open - opening.standing(x);
        let reach = closing * force_per_pa;
        (reach * open * dp.abs(), reach * open * dp.signum(), reach * per_x * dp.abs())
    }

    pub(super) fn pump_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        for (p, place) in self.plan.pumps.iter().enumerate() {
            let drive = &self.actual.drives[p];
            let target = if self.status.pumps[p] { drive.per_second } else { 0.0 };
            rates[place.state] = (target - y[place.state]) / drive.lag_s;
            sink.at(place.state, place.state, -1.0 / drive.lag_s);
        }
    }

    /// Speed of every hydraulic motor with inertia.
    pub(super) fn motor_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        for place in self.plan.motors.iter().filter(|m| m.state != NO_STATE) {
            let FlowLaw::Motor(make) = &self.actual.flows[place.flow.index()] else { continue };
            let path = &self.plan.flows[place.flow.index()];
            let ends = [path.first.index(), path.second.index()];
            let [(first, per_a), (second, per_b)] = ends.map(|v| self.live.pressure[v]);
            let (rate, per_speed, per_pa) = make.acceleration(y[place.state], first - second);
            rates[place.state] = rate;
            if S::SLOPES {
                sink.at(place.state, place.state, per_speed);
                sink.at(place.state, self.plan.volumes[ends[0]].state, per_pa * per_a);
                sink.at(place.state, self.plan.volumes[ends[1]].state, -per_pa * per_b);
            }
        }
    }

    /// Heat of every overload relay [1 of its setting squared]: the motor's current squared, less
    /// what the bimetal sheds.
    pub(super) fn overload_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        let plan = self.plan;
        for (k, place) in plan.overloads.iter().enumerate() {
            let make = &self.actual.overloads[k];
            let (share, by_speed, by_pa) = self.motor_share(k, y);
            rates[place.state] = (share - y[place.state]) / make.lag_s;
            if !S::SLOPES {
                continue;
            }
            sink.at(place.state, place.state, -1.0 / make.lag_s);
            let pump = &plan.pumps[place.pump.index()];
            sink.at(place.state, pump.state, by_speed / make.lag_s);
            let path = &plan.flows[pump.flow.index()];
            for (v, sign) in [(path.first.index(), -1.0), (path.second.index(), 1.0)] {
                let (_, per_state) = self.live.pressure[v];
                sink.at(place.state, plan.volumes[v].state, sign * by_pa * per_state / make.lag_s);
            }
        }
    }

    /// Square of the motor's current over that of the setting of overload `k` [1], and its slopes
    /// to the pump's speed [s] and to the pressure across it [1/Pa].
    pub fn motor_share(&self, k: usize, y: &[f64]) -> (f64, f64, f64) {
        let place = &self.plan.overloads[k];
        if !self.status.pumps[place.pump.index()] {
            return (0.0, 0.0, 0.0);
        }
        let make = &self.actual.overloads[k];
        let pump = &self.plan.pumps[place.pump.index()];
        let path = &self.plan.flows[pump.flow.index()];
        let full = self.plan.nominal.drives[place.pump.index()].per_second;
        let speed = y[pump.state] / full;
        let pa = self.pressure(path.second.index(), y) - self.pressure(path.first.index(), y);
        let of = |speed: f64, pa: f64| {
            let a = make.motor_a(speed, pa) / make.set_a;
            a * a
        };
        let share = of(speed, pa);
        // The square is a polynomial of both: exact slopes from its own terms.
        let turning = (speed * speed).min(1.0);
        let unit = make.rated_a * make.phases / make.set_a;
        let load = 1.0 - IDLING * IDLING;
        let by_pa = unit * unit * turning * load * 2.0 * pa / (make.rated_pa * make.rated_pa);
        let by_speed =
            if speed.abs() < 1.0 { (of(1.0, pa) - of(0.0, pa)) * 2.0 * speed / full } else { 0.0 };
        (share, by_speed, by_pa)
    }
}

/// How many rows of the Jacobian the speed of spool `s` counts in: its own and those of the volumes
/// that it displaces.
pub(super) fn spool_rows(plan: &Plan, s: usize) -> usize {
    let place = &plan.spools[s];
    let swept = place.sweeps.iter().map(|(volume, _)| *volume);
    let volumes = swept.chain(place.sleeve.map(|sleeve| sleeve.volume));
    1 + volumes.filter(|v| plan.volumes[v.index()].state != NO_STATE).count()
}
