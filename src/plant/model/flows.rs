//! The fluid of the continuous model: volumes, flow paths between them, pistons, and the heat of the oil.

use crate::base::VolumeId;
use crate::fluid::{FlowLaw, FlowValue, Medium};

use super::{Model, NO_STATE, Sink, Status};
use crate::plant::condition::Condition;
use crate::plant::plan::{Drive, FlowPlan, Plan};

/// A flow path at a moment: its flow, the pressures at its ends and its drive with their slopes to
/// their states, and what the flow gains per kelvin.
struct PathPoint {
    value: FlowValue,
    first: (f64, f64),
    second: (f64, f64),
    /// State and slope.
    drive: (usize, f64),
    per_kelvin: f64,
}

impl Model<'_> {
    /// Pressure [Pa gauge] of volume `v`.
    pub fn pressure(&self, v: usize, y: &[f64]) -> f64 {
        self.pressure_slope(v, y).0
    }

    /// Pressure [Pa gauge] of volume `v`, and its slope to the state of the volume.
    #[inline(always)]
    pub(super) fn pressure_slope(&self, v: usize, y: &[f64]) -> (f64, f64) {
        pressure_of(self.plan, self.actual, v, y)
    }

    /// Notes how thin the oil is.
    pub(super) fn warmth(&mut self, y: &[f64]) {
        self.live.thin = match &self.plan.oil {
            Some(oil) => oil.thinness(y[oil.state]),
            None => (1.0, 0.0),
        };
    }

    /// Flow [m3/s or kg/s] through path `f` from its first to its second volume.
    pub fn flow(&self, f: usize, y: &[f64]) -> f64 {
        let path = &self.plan.flows[f];
        let (first, second) =
            (self.pressure(path.first.index(), y), self.pressure(path.second.index(), y));
        // Read at any moment: how thin the oil was when last advanced need not be known.
        let thin = self.plan.oil.as_ref().map_or((1.0, 0.0), |oil| oil.thinness(y[oil.state]));
        let (drive, _, _) = drive(self.plan, self.status, path, y, |v| self.pressure_slope(v, y));
        let thin = oily(self.plan, path).then_some(thin);
        path_value(&self.actual.flows[f], (first, second), drive, thin).0.flow
    }

    /// Pressure of each volume; one over its capacity, and the slopes of that to its pressure and per volume swept. Starts the
    /// sums of their flows.
    pub(super) fn capacities<S: Sink>(&mut self, y: &[f64]) {
        let (plan, actual) = (self.plan, self.actual);
        let volumes = &plan.volumes[..];
        let makes = &actual.volumes[..volumes.len()];
        let sums = &mut self.live.flow_sum[..volumes.len()];
        let pressures = &mut self.live.pressure[..volumes.len()];
        let capacities = &mut self.live.capacity[..volumes.len()];
        for (v, (place, make)) in volumes.iter().zip(makes).enumerate() {
            sums[v] = 0.0;
            let (pa, per_state) = pressure_of(plan, actual, v, y);
            pressures[v] = (pa, per_state);
            if place.fixed_pa.is_some() {
                continue;
            }
            let (per_m3, per_m3_slope) = make.medium.capacity(y[place.state]);
            let m3 = contents(plan, actual, v, y);
            let mut capacity = m3 * per_m3;
            let mut slope = if S::SLOPES { m3 * per_m3_slope } else { 0.0 };
            for a in &place.accumulators {
                let (c, dc) = actual.accumulators[a.index()].capacity(pa);
                capacity += c * per_state;
                slope += dc * per_state * per_state;
            }
            capacities[v] = (1.0 / capacity, slope, per_m3);
        }
    }

    /// Pressures and pistons.
    pub(super) fn flow_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        let (plan, actual, status) = (self.plan, self.actual, self.status);
        if let Some(oil) = &plan.oil {
            let shed = oil.watt_per_kelvin / oil.joule_per_kelvin;
            rates[oil.state] = -shed * (y[oil.state] - plan.ambient_celsius);
            sink.at(oil.state, oil.state, -shed);
        }
        let live = &mut *self.live;
        let flows = &plan.flows[..];
        let laws = &actual.flows[..flows.len()];
        let entries = &live.path_entries[..flows.len()];
        let volumes = &plan.volumes[..];
        let pressures = &live.pressure[..volumes.len()];
        let capacities = &live.capacity[..volumes.len()];
        let sums = &mut live.flow_sum[..volumes.len()];
        let thin = live.thin;
        for ((path, law), entries) in flows.iter().zip(laws).zip(entries) {
            let (a, b) = (path.first.index(), path.second.index());
            let (drive, drive_state, per_drive_state) =
                drive(plan, status, path, y, |v| pressures[v]);
            let (first, per_a) = pressures[a];
            let (second, per_b) = pressures[b];
            let oily = oily(plan, path);
            let (value, per_kelvin) = path_value(law, (first, second), drive, oily.then_some(thin));
            if S::SKIPS && value == FlowValue::default() && per_kelvin == 0.0 {
                // Most paths are shut.
                sink.skip(*entries);
                continue;
            }
            if oily {
                let at = PathPoint {
                    value,
                    first: (first, per_a),
                    second: (second, per_b),
                    drive: (drive_state, per_drive_state),
                    per_kelvin,
                };
                heat_of(plan, path, law, thin.0, &at, rates, sink);
            }
            sums[a] -= value.flow;
            sums[b] += value.flow;
            if S::SLOPES {
                let (sa, sb) = (volumes[a].state, volumes[b].state);
                for (row, v, sign) in [(sa, a, -1.0), (sb, b, 1.0)] {
                    let share = if row == NO_STATE { 0.0 } else { sign * capacities[v].0 };
                    sink.at(row, sa, share * value.per_first * per_a);
                    sink.at(row, sb, share * value.per_second * per_b);
                    sink.at(row, drive_state, share * value.per_drive * per_drive_state);
                    if let Some(oil) = &plan.oil {
                        sink.at(row, oil.state, share * per_kelvin);
                    }
                    if let Drive::Stroked(_, s) = path.drive {
                        let swash = plan.spools[s.index()].state;
                        let inside = (0.0..=1.0).contains(&y[swash]);
                        let taken = if inside { y[drive_state] } else { 0.0 };
                        sink.at(row, swash, -share * value.per_drive * taken);
                    }
                }
            }
        }
        for (p, place) in plan.pistons.iter().enumerate() {
            let make = &actual.pistons[p];
            let (cap, rod) = (place.cap.index(), place.rod.index());
            let (cap_pa, cap_slope) = pressures[cap];
            let (rod_pa, rod_slope) = pressures[rod];
            let s = y[place.state];
            let (force, force_per_s) = make.force(cap_pa, rod_pa, s);
            let (speed, per_n, stop_per_s) = make.speed(force, s, status.stops.pistons[p]);
            let by_s = per_n * force_per_s + stop_per_s;
            rates[place.state] = speed;
            let leak = make.leak * (cap_pa - rod_pa);
            let (cap_density, cap_density_slope) = actual.volumes[cap].medium.density(cap_pa);
            let (rod_density, rod_density_slope) = actual.volumes[rod].medium.density(rod_pa);
            sums[cap] -= leak + cap_density * make.cap_m2 * speed;
            sums[rod] += leak + rod_density * make.rod_m2 * speed;
            if S::SLOPES {
                let (sc, sr) = (volumes[cap].state, volumes[rod].state);
                let (by_cap, by_rod) = (per_n * make.cap_m2, -per_n * make.rod_m2);
                sink.at(place.state, place.state, by_s);
                sink.at(place.state, sc, by_cap * cap_slope);
                sink.at(place.state, sr, by_rod * rod_slope);
                let share = |v: usize, row: usize| {
                    if row == NO_STATE { 0.0 } else { capacities[v].0 }
                };
                let (kc, kr) = (share(cap, sc), share(rod, sr));
                let (sweep_c, sweep_r) = (cap_density * make.cap_m2, rod_density * make.rod_m2);
                sink.at(
                    sc,
                    sc,
                    -kc * cap_slope
                        * (make.leak + sweep_c * by_cap + cap_density_slope * make.cap_m2 * speed),
                );
                sink.at(sc, sr, kc * rod_slope * (make.leak - sweep_c * by_rod));
                sink.at(sc, place.state, -kc * sweep_c * by_s);
                sink.at(sr, sc, kr * cap_slope * (make.leak + sweep_r * by_cap));
                sink.at(
                    sr,
                    sr,
                    kr * rod_slope
                        * (-make.leak + sweep_r * by_rod + rod_density_slope * make.rod_m2 * speed),
                );
                sink.at(sr, place.state, kr * sweep_r * by_s);
            }
        }
        for (v, place) in volumes.iter().enumerate() {
            if place.fixed_pa.is_some() {
                continue;
            }
            let (per_capacity, slope, per_m3) = capacities[v];
            let (lost, lost_per_state) = vent(actual, v, pressures[v]);
            let (grown, shed) = expansion(plan, actual, v, y, rates);
            let rate = (sums[v] + grown - lost) * per_capacity;
            rates[place.state] = rate;
            if S::SLOPES {
                if let Some(oil) = plan.oil.as_ref().filter(|oil| oil.per_kelvin > 0.0) {
                    sink.at(place.state, oil.state, shed * per_capacity);
                }
                // One entry for the vent whether it is open or not: the order must not depend on it.
                sink.at(place.state, place.state, -(lost_per_state + rate * slope) * per_capacity);
                for &(piston, cap) in &place.chambers {
                    let p = &actual.pistons[piston.index()];
                    let per_s = if cap { p.cap_m2 } else { -p.rod_m2 };
                    sink.at(
                        place.state,
                        plan.pistons[piston.index()].state,
                        -rate * per_m3 * per_s * per_capacity,
                    );
                }
            }
        }
    }
}

/// Pressure [Pa gauge] of volume `v`, and its slope to the state of the volume.
#[inline(always)]
fn pressure_of(plan: &Plan, actual: &Condition, v: usize, y: &[f64]) -> (f64, f64) {
    match plan.volumes[v].fixed_pa {
        Some(_) => (actual.held_pa[v], 0.0),
        None => actual.volumes[v].medium.pressure(y[plan.volumes[v].state]),
    }
}

/// Whether `path` belongs to a part filled with oil of a temperature that counts.
#[inline(always)]
pub(super) fn oily(plan: &Plan, path: &FlowPlan) -> bool {
    plan.oil.is_some() && path.oily
}

/// Flow through a path of `law`, and what it gains per kelvin of the oil: laminar leakage goes with
/// how thin the oil is, if that counts.
#[inline(always)]
fn path_value(
    law: &FlowLaw,
    (first, second): (f64, f64),
    drive: f64,
    thin: Option<(f64, f64)>,
) -> (FlowValue, f64) {
    let mut value = law.value(first, second, drive);
    let Some((thin, slope)) = thin else { return (value, 0.0) };
    let leak = law.leak();
    let more = leak * (thin - 1.0);
    value.flow += more * (first - second);
    value.per_first += more;
    value.per_second -= more;
    (value, leak * slope * (first - second))
}

/// What drives `path`, its state, and its slope to that; `pressure` tells those of volumes.
#[inline(always)]
fn drive(
    plan: &Plan,
    status: &Status,
    path: &FlowPlan,
    y: &[f64],
    pressure: impl Fn(usize) -> (f64, f64),
) -> (f64, usize, f64) {
    match path.drive {
        Drive::None => (0.0, NO_STATE, 0.0),
        Drive::Pressure(v) => {
            let (pa, per_state) = pressure(v.index());
            (pa, plan.volumes[v.index()].state, per_state)
        }
        Drive::Operator(o) => {
            (f64::from(u8::from(status.operators[o.index()].made)), NO_STATE, 0.0)
        }
        Drive::Spool(s) => {
            let state = plan.spools[s.index()].state;
            (y[state], state, 1.0)
        }
        Drive::Motor(m) => {
            let state = plan.motors[m.index()].state;
            (y[state], state, 1.0)
        }
        Drive::Pump(p) => {
            let state = plan.pumps[p.index()].state;
            (y[state], state, 1.0)
        }
        Drive::Stroked(p, s) => {
            let state = plan.pumps[p.index()].state;
            let left = 1.0 - y[plan.spools[s.index()].state].clamp(0.0, 1.0);
            (y[state] * left, state, left)
        }
    }
}

/// Heats the oil, thinner by the factor `thin`, by what an oily path throttles [W].
fn heat_of<S: Sink>(
    plan: &Plan,
    path: &FlowPlan,
    law: &FlowLaw,
    thin: f64,
    at: &PathPoint,
    rates: &mut [f64],
    sink: &mut S,
) {
    let Some(oil) = &plan.oil else { return };
    let value = &at.value;
    let difference = at.first.0 - at.second.0;
    let per_joule = 1.0 / oil.joule_per_kelvin;
    // Pumps and motors turn pressure into work; only what leaks past them is lost.
    let leak = law.leak() * thin;
    let (lost, by_first, by_second, by_drive) = match law {
        FlowLaw::Pump(_) | FlowLaw::Motor(_) => {
            let slope = 2.0 * leak * difference;
            (leak * difference * difference, slope, -slope, 0.0)
        }
        _ => (
            value.flow * difference,
            value.flow + difference * value.per_first,
            -value.flow + difference * value.per_second,
            difference * value.per_drive,
        ),
    };
    rates[oil.state] += lost * per_joule;
    if S::SLOPES {
        let state = |v: VolumeId| plan.volumes[v.index()].state;
        sink.at(oil.state, state(path.first), per_joule * by_first * at.first.1);
        sink.at(oil.state, state(path.second), per_joule * by_second * at.second.1);
        sink.at(oil.state, at.drive.0, per_joule * by_drive * at.drive.1);
        sink.at(oil.state, oil.state, per_joule * difference * at.per_kelvin);
    }
}

/// What the oil in volume `v` grows by as it warms [m3/s], and its slope to its temperature
/// [m3/(s K)]. The rate of the temperature must be known. Its slopes to pressures are left out: over
/// the life of a pressure the oil does not warm.
#[inline(always)]
fn expansion(plan: &Plan, actual: &Condition, v: usize, y: &[f64], rates: &[f64]) -> (f64, f64) {
    match (&plan.oil, actual.volumes[v].medium) {
        (Some(oil), Medium::Oil { .. }) if oil.per_kelvin > 0.0 => {
            let m3_per_kelvin = contents(plan, actual, v, y) * oil.per_kelvin;
            let shed = oil.watt_per_kelvin / oil.joule_per_kelvin;
            (m3_per_kelvin * rates[oil.state], -m3_per_kelvin * shed)
        }
        _ => (0.0, 0.0),
    }
}

/// Size of volume `v` [m3], cylinder chambers included, what accumulators hold left out.
#[inline(always)]
fn contents(plan: &Plan, actual: &Condition, v: usize, y: &[f64]) -> f64 {
    let mut m3 = actual.volumes[v].still_m3;
    for &(piston, cap) in &plan.volumes[v].chambers {
        let p = &actual.pistons[piston.index()];
        let s = y[plan.pistons[piston.index()].state];
        m3 += if cap { p.cap_m2 * s.max(0.0) } else { p.rod_m2 * (p.stroke_m - s).max(0.0) };
    }
    m3
}

/// What volume `v` loses to the air [m3/s or kg/s], and its slope to the state of the volume, at its
/// pressure and the slope of that.
#[inline(always)]
fn vent(actual: &Condition, v: usize, (pa, per_state): (f64, f64)) -> (f64, f64) {
    let open = actual.vents[v];
    if open == 0.0 {
        return (0.0, 0.0);
    }
    // What comes in, when the volume is under vacuum, has the density of the air outside.
    let (density, density_slope) = actual.volumes[v].medium.density(pa.max(0.0));
    let slope = if pa > 0.0 { density_slope } else { 0.0 };
    (open * density * pa, open * (density + pa * slope) * per_state)
}

/// How many entries flow path `f` has in the Jacobian: those that [`Model::flow_rates`] gives for it.
pub(super) fn path_entries(plan: &Plan, f: usize) -> usize {
    let path = &plan.flows[f];
    let state = |v: VolumeId| plan.volumes[v.index()].state;
    let ends = [state(path.first), state(path.second)];
    let (drive, swash) = match path.drive {
        Drive::None | Drive::Operator(_) => (NO_STATE, NO_STATE),
        Drive::Pressure(v) => (state(v), NO_STATE),
        Drive::Spool(s) => (plan.spools[s.index()].state, NO_STATE),
        Drive::Motor(m) => (plan.motors[m.index()].state, NO_STATE),
        Drive::Pump(p) => (plan.pumps[p.index()].state, NO_STATE),
        Drive::Stroked(p, s) => (plan.pumps[p.index()].state, plan.spools[s.index()].state),
    };
    let oil = plan.oil.as_ref().map_or(NO_STATE, |oil| oil.state);
    let count = |states: &[usize]| states.iter().filter(|state| **state != NO_STATE).count();
    let rows = count(&ends);
    let heating =
        if path.oily && oil != NO_STATE { count(&ends) + count(&[drive, oil]) } else { 0 };
    rows * (rows + count(&[drive, swash, oil])) + heating
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::base::{PistonId, SimTime};
    use crate::fluid::{Load, Piston, Volume};
    use crate::kernel::{Matrix, System};
    use crate::plant::{PlanBuilder, Plant, Probe};

    /// A cylinder between two volumes of `medium`, joined by a leak, held by a weight.
    fn plant(medium: Medium) -> Plant {
        let mut b = PlanBuilder::new("vents", 20.0);
        b.part("1A1", "Cylinder", "");
        let make = Volume { still_m3: 1e-3, medium };
        let (cap, rod) = (b.volume("cap", make, None), b.volume("rod", make, None));
        b.flow("leak", cap, rod, FlowLaw::Leak(1e-13), Drive::None);
        let piston = Piston {
            cap_m2: 2e-3,
            rod_m2: 1e-3,
            stroke_m: 0.2,
            friction_n: 10.0,
            viscous: 1e4,
            leak: 0.0,
            load: Load { constant_n: 1000.0, along: Vec::new() },
            jammed: false,
            propped: false,
            cushions: Default::default(),
        };
        b.piston(piston, cap, rod, 0.1);
        Plant::nominal(Arc::new(b.finish().expect("plan")))
    }

    #[test]
    fn slopes_of_a_vented_volume_are_the_derivatives() {
        for (medium, states) in [
            (Medium::OIL, [30e5, 2e3, -0.5e5, -0.9e5, -5e6]),
            (Medium::AIR, [6e5, 1e3, -0.2e5, -0.5e5, -0.9e5]),
        ] {
            let mut plant = plant(medium);
            for open in [0.0, 1e-9] {
                plant.set_vent(VolumeId::new(0), open);
                for at in states {
                    plant.with_model(|model, y| {
                        let (n, mut y) = (y.len(), y.to_vec());
                        let state = model.plan.volumes[0].state;
                        y[state] = at;
                        let mut matrix = Matrix::new(model.plan.elimination.pattern().clone());
                        model.jacobian(&y, &mut matrix);
                        let step = 1e-6 * at.abs().max(1e4);
                        let mut side = |shift: f64| {
                            let (mut moved, mut rates) = (y.clone(), vec![0.0; n]);
                            moved[state] += shift;
                            model.rates(&moved, &mut rates);
                            rates[state]
                        };
                        let want = (side(step) - side(-step)) / (2.0 * step);
                        let got = matrix.get(state, state);
                        assert!((got / want - 1.0).abs() < 1e-3, "{medium:?} {at}: {got} {want}");
                    });
                }
            }
        }
    }

    /// Propped, the cap is a bottle: p = p0 exp(-t / tau), tau = V / (K G), 1.2 L of oil without
    /// air at 1.4 GPa through 1e-12 m3/(s Pa) of vent and 1e-13 of leak to a rod held at 0 bar.
    #[test]
    fn a_vent_lets_the_pressure_down_and_a_prop_holds_the_load() {
        let medium = Medium::Oil { bulk_pa: 1.4e9, free_air: 0.0 };
        let mut plant = plant(medium);
        plant.advance(SimTime::from_secs(5), false).expect("advance");
        let (cap, rod) = (VolumeId::new(0), VolumeId::new(1));
        let piston = PistonId::new(0);
        plant.set_prop(piston, true);
        plant.set_vent(rod, 1e-6);
        let (held_m, from_pa) =
            (plant.read(Probe::Piston(piston)), plant.read(Probe::Pressure(cap)));
        assert!(from_pa > 3e5 && held_m > 0.05, "{from_pa} Pa, {held_m} m");
        plant.set_vent(cap, 1e-12);
        let seconds = 0.5;
        let until = plant.now() + SimTime::from_secs_f64_up(seconds);
        plant.advance(until, false).expect("advance");
        let m3 = 1e-3 + 2e-3 * held_m;
        let tau = m3 / 1.4e9 / 1.1e-12;
        let want = from_pa * crate::base::ops::exp(-seconds / tau);
        let got = plant.read(Probe::Pressure(cap));
        assert!((got / want - 1.0).abs() < 1e-2, "{got} Pa, {want} Pa");
        plant.set_vent(cap, 1e-6);
        plant.advance(SimTime::from_secs(20), false).expect("advance");
        assert!(plant.read(Probe::Pressure(cap)).abs() < 10.0);
        assert_eq!(plant.read(Probe::Piston(piston)).to_bits(), held_m.to_bits());
        plant.set_prop(piston, false);
        plant.advance(SimTime::from_secs(60), false).expect("advance");
        assert!(plant.read(Probe::Piston(piston)) < 1e-3, "it comes down");
    }
}
