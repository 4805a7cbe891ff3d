//! The control side of the continuous model: networks solved, windings and fuses.

use crate::base::WindingId;
use crate::electric::{Complex64, WindingMake};
use crate::plant::condition::{Condition, Trigger};
use crate::plant::plan::{Current, Moves, NO_STATE, NetworkPlan, Plan, Tie, WindingPlan};

use super::{BROKEN_OHM, Model, NetworkLive, Sink, Status};

/// What the electrics of a winding depend on: its linkage, its temperature, its armature's position.
fn control_states(plan: &Plan, winding: &WindingPlan) -> [usize; 3] {
    let gap = match winding.moves {
        Moves::Spool(s, _) => plan.spools[s.index()].state,
        _ => NO_STATE,
    };
    [winding.linkage, winding.heat, gap]
}

/// Of all windings, one after the other; and whether it is the temperature of one on alternating current.
pub(super) fn states(plan: &Plan) -> Vec<(usize, bool)> {
    let all = plan.windings.iter().flat_map(|w| {
        let alternates = plan.networks[w.network].current != Current::Dc;
        control_states(plan, w).into_iter().zip([false, alternates, false])
    });
    all.filter(|(state, _)| *state != NO_STATE).collect()
}

/// What coarse runs cut the temperatures of windings on alternating current to [K]: their currents change
/// by no more than a thousandth.
const COARSE_KELVIN: f64 = 0.25;

/// A winding that carries less than this answers to nothing in coarse runs, and nothing to it [A].
const IDLE_A: f64 = 1e-5;

/// A temperature [degC] as it counts for an alternating current.
fn warmth(coarse: bool, celsius: f64) -> f64 {
    // Temperatures are far too small for the integer, which is quicker than a call to round.
    if coarse { ((celsius / COARSE_KELVIN) as i64) as f64 * COARSE_KELVIN } else { celsius }
}

/// A change of temperature [K] that changes no current by more than [`FAR_FROM_EDGE`]: copper gains
/// 0.4 % a kelvin, and no more than that comes of it at each winding of a network.
const KELVIN_APART: f64 = 0.25;
/// A current is far from a switching one when it differs by more than this share of it [1].
const FAR_FROM_EDGE: f64 = 0.05;

impl Model<'_> {
    /// Solves all networks at `y`: winding and fuse currents, flux linkages.
    pub fn electrics(&mut self, y: &[f64], slopes: bool) {
        let plan = self.plan;
        let live = &mut *self.live;
        let coarse = live.coarse;
        let counts = |&(state, warms): &(usize, bool)| warmth(coarse && warms, y[state]);
        let mut both = live.control_states.iter().zip(&live.memo);
        let same = live.memo_valid
            && both.all(|(state, known)| known.to_bits() == counts(state).to_bits());
        if same {
            if slopes && !live.memo_slopes {
                live.memo_slopes = true;
                self.slopes(y);
            }
            return;
        }
        live.memo.clear();
        live.memo.extend(live.control_states.iter().map(counts));
        live.memo_slopes = slopes;
        let known = std::mem::replace(&mut live.memo_valid, true);
        for (w, coil) in live.coils.iter_mut().enumerate() {
            let (gap, per_x, x_state) = self.status.gap(plan, self.actual, w, y);
            // Most armatures stay where they are.
            if known && gap.to_bits() == coil.gap.to_bits() {
                *coil = Coil { per_x, x_state, ..*coil };
                continue;
            }
            let make = &self.actual.windings[w];
            let (inverse, per_gap) = make.inverse_henry(gap);
            let react = match plan.networks[plan.windings[w].network].current {
                Current::Dc => Complex64::default(),
                Current::Ac { omega } => reactance(make, gap, omega),
            };
            *coil = Coil { gap, per_x, x_state, inverse, per_gap, react };
        }
        for (network, solved) in plan.networks.iter().zip(&mut live.networks) {
            match solved {
                NetworkLive::Dc { net, ports } => {
                    let view = &net.view;
                    live.scratch_a.clear();
                    for id in &network.windings {
                        let w = id.index();
                        let linkage = y[plan.windings[w].linkage];
                        let i = linkage * live.coils[w].inverse;
                        live.winding_a[w] = i;
                        live.linkage2[w] = linkage * linkage;
                        live.scratch_a.push(i);
                    }
                    let suppressors = SuppressorView { actual: self.actual, network };
                    ports.refresh(view, &live.scratch_a, |k| suppressors.of(k));
                    let n = network.windings.len();
                    for (row, id) in network.fuses.iter().enumerate() {
                        let mut i = view.watched_open[row];
                        for (k, through) in ports.port_currents().iter().enumerate() {
                            i += view.watched_gain[row * n + k] * through;
                        }
                        live.fuse_a[id.index()] = i;
                    }
                }
                NetworkLive::Ac { net, ports } => {
                    let view = &net.view;
                    let Current::Ac { omega } = network.current else {
                        continue;
                    };
                    live.scratch_ohm.clear();
                    for id in &network.windings {
                        let w = id.index();
                        let celsius = warmth(coarse, y[plan.windings[w].heat]);
                        let (ohm, _) = resistance_at(self.actual, self.status, w, celsius);
                        live.scratch_ohm.push(live.coils[w].react + ohm);
                    }
                    ports.refresh(view, &live.scratch_ohm);
                    let n = network.windings.len();
                    for (k, id) in network.windings.iter().enumerate() {
                        let w = id.index();
                        let i2 = ports.current[k].norm_sqr();
                        let henry2 = live.coils[w].react.norm_sqr() / (omega * omega);
                        live.winding_a[w] = i2.sqrt();
                        live.linkage2[w] = i2 * henry2;
                    }
                    for (row, id) in network.fuses.iter().enumerate() {
                        let mut i = view.watched_open[row];
                        for (k, through) in ports.current.iter().enumerate() {
                            i += view.watched_gain[row * n + k] * through;
                        }
                        live.fuse_a[id.index()] = i.norm_sqr().sqrt();
                    }
                }
            }
        }
        if slopes {
            self.slopes(y);
        }
    }

    /// How the networks, solved at `y`, answer to changes.
    pub(super) fn slopes(&mut self, y: &[f64]) {
        let live = &mut *self.live;
        for (network, solved) in self.plan.networks.iter().zip(&mut live.networks) {
            match solved {
                NetworkLive::Dc { net, ports } => ports.slopes(&net.view),
                NetworkLive::Ac { ports, .. } => {
                    let Current::Ac { omega } = network.current else { continue };
                    ports.slopes();
                    for (k, id) in network.windings.iter().enumerate() {
                        let w = id.index();
                        let celsius = y[self.plan.windings[w].heat];
                        let (_, ohm_per_k) = resistance_at(self.actual, self.status, w, celsius);
                        let Coil { per_x, x_state, inverse, per_gap, react, .. } = live.coils[w];
                        // dL/dgap = -L^2 d(1/L)/dgap; the short-circuited turns, if any, scale both
                        // alike.
                        let react_per_x = -(react * (per_gap / inverse * per_x));
                        let henry2 = react.norm_sqr() / (omega * omega);
                        let both = (react.conj() * react_per_x).re * 2.0 / (omega * omega);
                        let own_per_x = ports.current[k].norm_sqr() * both;
                        live.levers[w] =
                            Lever { ohm_per_k, react_per_x, henry2, own_per_x, x_state };
                    }
                }
            }
        }
    }

    /// Winding currents for the guards. On direct current they follow from the linkages without
    /// solving the network; on alternating current from the last solution, as long as no switching
    /// current is near.
    pub(super) fn guarded_currents(&mut self, y: &[f64]) {
        let plan = self.plan;
        let alternating = |n: &NetworkPlan| n.current != Current::Dc && !n.windings.is_empty();
        if plan.magnetic || plan.networks.iter().any(alternating) && !self.far_from_switching(y) {
            self.electrics(y, false);
        }
        for at in 0..self.live.guarded.len() {
            let w = self.live.guarded[at];
            let place = &plan.windings[w];
            self.live.guarded_a[w] = if place.linkage == NO_STATE {
                self.live.winding_a[w]
            } else {
                let (gap, _, _) = self.status.gap(plan, self.actual, w, y);
                let coil = self.live.coils[w];
                let inverse = if self.live.memo_valid && gap.to_bits() == coil.gap.to_bits() {
                    coil.inverse
                } else {
                    self.actual.windings[w].inverse_henry(gap).0
                };
                y[place.linkage] * inverse
            };
        }
    }

    /// Whether each relay on alternating current is still as far from switching at `y` as the last
    /// solution says: no gap has changed since, and no temperature by as much as would bring a current to
    /// where the relay acts.
    pub(super) fn far_from_switching(&self, y: &[f64]) -> bool {
        let (plan, live) = (self.plan, &*self.live);
        let alternates =
            |w: WindingId| plan.networks[plan.windings[w.index()].network].current != Current::Dc;
        let mut known = live.memo.iter();
        let alike = plan.windings.iter().enumerate().all(|(w, place)| {
            let counts = alternates(WindingId::new(w));
            control_states(plan, place).into_iter().zip([0.0, KELVIN_APART, 0.0]).all(
                |(state, apart)| {
                    state == NO_STATE
                        || known.next().is_some_and(|k| !counts || (k - y[state]).abs() <= apart)
                },
            )
        });
        let far = |o: usize| match (self.actual.operators[o].trigger, plan.operators[o].tie) {
            (Trigger::Armature { pick_a, drop_a, .. }, Tie::Winding(w)) if alternates(w) => {
                let edge = if self.status.operators[o].acting { drop_a } else { pick_a };
                (live.winding_a[w.index()] - edge).abs() > FAR_FROM_EDGE * edge
            }
            (Trigger::Latch { .. }, Tie::Latch(set, _)) => !alternates(set),
            _ => true,
        };
        live.memo_valid && alike && (0..plan.operators.len()).all(far)
    }

    /// Voltage [V] across lamp `row` of network `n`, as last solved.
    pub fn lamp_volts(&self, n: usize, row: usize) -> f64 {
        let network = &self.plan.networks[n];
        let row = network.fuses.len() + row;
        let gains = row * network.windings.len()..(row + 1) * network.windings.len();
        match &self.live.networks[n] {
            NetworkLive::Dc { net, ports } => {
                let gains = &net.view.watched_gain[gains];
                let through = gains.iter().zip(ports.port_currents()).map(|(g, i)| g * i);
                (net.view.watched_open[row] + through.sum::<f64>()).abs()
            }
            NetworkLive::Ac { net, ports } => {
                let gains = &net.view.watched_gain[gains];
                let through = gains.iter().zip(&ports.current).map(|(g, i)| g * i);
                (net.view.watched_open[row] + through.sum::<Complex64>()).norm_sqr().sqrt()
            }
        }
    }

    /// Impedance [ohm] of winding `w` at angular frequency `omega` [rad/s].
    pub fn winding_impedance(&self, w: usize, y: &[f64], omega: f64) -> Complex64 {
        let (ohm, _) = resistance_at(self.actual, self.status, w, y[self.plan.windings[w].heat]);
        let (gap, _, _) = self.status.gap(self.plan, self.actual, w, y);
        reactance(&self.actual.windings[w], gap, omega) + ohm
    }

    /// Flux linkage and temperature of every winding.
    pub(super) fn winding_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        let plan = self.plan;
        for (network, solved) in plan.networks.iter().zip(&self.live.networks) {
            let n = network.windings.len();
            for (k, id) in network.windings.iter().enumerate() {
                let w = id.index();
                let place = &plan.windings[w];
                let make = &self.actual.windings[w];
                let celsius = y[place.heat];
                let (ohm, ohm_per_k) = resistance_at(self.actual, self.status, w, celsius);
                let i = self.live.winding_a[w];
                let lost = (celsius - plan.ambient_celsius) / make.kelvin_per_watt;
                // A broken winding carries nothing, so it does not warm either.
                let broken = ohm >= BROKEN_OHM;
                let heat = if broken { 0.0 } else { i * i * ohm };
                rates[place.heat] = (heat - lost) / make.joule_per_kelvin;
                match solved {
                    NetworkLive::Dc { ports, .. } => {
                        rates[place.linkage] = ports.volts[k] - ohm * i;
                        if !S::SLOPES {
                            continue;
                        }
                        for (j, other) in network.windings.iter().enumerate() {
                            let o = other.index();
                            let Coil { per_x, x_state, inverse, per_gap, .. } = self.live.coils[o];
                            let mut per_ampere = ports.volts_per_ampere[k * n + j];
                            if j == k {
                                per_ampere -= ohm;
                            }
                            let linkage = y[plan.windings[o].linkage];
                            sink.at(place.linkage, plan.windings[o].linkage, per_ampere * inverse);
                            sink.at(place.linkage, x_state, per_ampere * linkage * per_gap * per_x);
                            if j == k {
                                let warm = if broken {
                                    0.0
                                } else {
                                    2.0 * i * ohm / make.joule_per_kelvin
                                };
                                sink.at(place.heat, place.linkage, warm * inverse);
                                sink.at(place.heat, x_state, warm * linkage * per_gap * per_x);
                            }
                        }
                        sink.at(place.linkage, place.heat, -ohm_per_k * i);
                        let own = if broken { 0.0 } else { i * i * ohm_per_k };
                        sink.at(
                            place.heat,
                            place.heat,
                            (own - 1.0 / make.kelvin_per_watt) / make.joule_per_kelvin,
                        );
                    }
                    NetworkLive::Ac { .. } => {
                        if !S::SLOPES {
                            continue;
                        }
                        for (j, other) in network.windings.iter().enumerate() {
                            let slopes = self.phasor_slopes(network, solved, k, j);
                            let warm = if broken { 0.0 } else { ohm / make.joule_per_kelvin };
                            let mut per_heat = warm * slopes.current2_per_kelvin;
                            if j == k {
                                let own = if broken { 0.0 } else { i * i * ohm_per_k };
                                per_heat +=
                                    (own - 1.0 / make.kelvin_per_watt) / make.joule_per_kelvin;
                            }
                            sink.at(place.heat, plan.windings[other.index()].heat, per_heat);
                            sink.at(place.heat, slopes.x_state, warm * slopes.current2_per_x);
                        }
                    }
                }
            }
        }
    }

    /// How the current and the linkage of winding `k` of an alternating-current network answer to
    /// temperature and gap of its winding `j`, after [`Model::slopes`].
    pub(super) fn phasor_slopes(
        &self,
        network: &NetworkPlan,
        solved: &NetworkLive,
        k: usize,
        j: usize,
    ) -> PhasorSlopes {
        let NetworkLive::Ac { ports, .. } = solved else { return PhasorSlopes::default() };
        let n = network.windings.len();
        let at = |port: usize| &self.live.levers[network.windings[port].index()];
        let idle = |port: usize| ports.current[port].norm_sqr() < IDLE_A * IDLE_A;
        if self.live.coarse && (idle(k) || idle(j)) {
            return PhasorSlopes { x_state: at(j).x_state, ..PhasorSlopes::default() };
        }
        // d(current k) = -Y_kj (d impedance j) I_j
        let lever = -(ports.admittance[k * n + j] * ports.current[j]);
        let twice = ports.current[k].conj() * lever * 2.0;
        let current2_per_kelvin = twice.re * at(j).ohm_per_k;
        let current2_per_x = (twice * at(j).react_per_x).re;
        let henry2 = at(k).henry2;
        let own_per_x = if j == k { at(k).own_per_x } else { 0.0 };
        PhasorSlopes {
            current2_per_kelvin,
            current2_per_x,
            linkage2_per_kelvin: current2_per_kelvin * henry2,
            linkage2_per_x: current2_per_x * henry2 + own_per_x,
            x_state: at(j).x_state,
        }
    }

    /// Heat of every fuse link: the current squared, less what it sheds.
    pub(super) fn fuse_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        let plan = self.plan;
        for (network, solved) in plan.networks.iter().zip(&self.live.networks) {
            let n = network.windings.len();
            for (row, id) in network.fuses.iter().enumerate() {
                let f = id.index();
                let heat = plan.fuses[f].heat;
                let cooling = 1.0 / self.actual.fuses[f].cooling_s();
                let i = self.live.fuse_a[f];
                rates[heat] = i * i - y[heat] * cooling;
                if !S::SLOPES {
                    continue;
                }
                sink.at(heat, heat, -cooling);
                if let NetworkLive::Dc { net, .. } = solved {
                    let view = &net.view;
                    // The suppressors' share is left out: they conduct only while currents die away.
                    for (k, winding) in network.windings.iter().enumerate() {
                        let w = winding.index();
                        let per_linkage =
                            view.watched_gain[row * n + k] * self.live.coils[w].inverse;
                        sink.at(heat, plan.windings[w].linkage, 2.0 * i * per_linkage);
                    }
                }
            }
        }
    }
}

/// The iron of a winding at a moment.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Coil {
    /// Gap of its armature [1].
    pub gap: f64,
    /// Its derivative to its spool's position, and the state of that.
    pub per_x: f64,
    pub x_state: usize,
    /// 1/L [1/H] and its derivative to the gap.
    pub inverse: f64,
    pub per_gap: f64,
    /// Reactive part of its impedance on alternating current [ohm].
    pub react: Complex64,
}

/// What the impedance and the linkage of an alternating-current winding gain.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Lever {
    /// Resistance per kelvin [ohm/K].
    pub ohm_per_k: f64,
    /// Reactive part of the impedance per unit of the spool's position [ohm].
    pub react_per_x: Complex64,
    /// Inductance squared [H2].
    pub henry2: f64,
    /// Linkage squared per unit of the spool's position at this current [V2s2].
    pub own_per_x: f64,
    /// The spool's position.
    pub x_state: usize,
}

#[derive(Clone, Copy, Default)]
pub(super) struct PhasorSlopes {
    pub current2_per_kelvin: f64,
    pub current2_per_x: f64,
    pub linkage2_per_kelvin: f64,
    pub linkage2_per_x: f64,
    pub x_state: usize,
}

/// Resistance [ohm] of winding `w` at `celsius` and its slope [ohm/K], broken ones included.
pub(crate) fn resistance_at(
    actual: &Condition,
    status: &Status,
    w: usize,
    celsius: f64,
) -> (f64, f64) {
    let make = &actual.windings[w];
    if make.open || status.burnt[w] {
        (BROKEN_OHM, 0.0)
    } else {
        (make.ohm(celsius), make.ohm_per_kelvin())
    }
}

/// Coupling of short-circuited turns to the rest of their winding [1].
const TURN_COUPLING: f64 = 0.95;

/// Reactive part of a winding's impedance [ohm]: j omega L, and what short-circuited turns reflect
/// into it as the secondary of a transformer.
pub(crate) fn reactance(make: &WindingMake, gap: f64, omega: f64) -> Complex64 {
    let henry = 1.0 / make.inverse_henry(gap).0;
    let plain = Complex64::new(0.0, omega * henry);
    let shorted = 1.0 - make.sound_turns;
    if shorted <= 0.0 {
        return plain;
    }
    let ratio = shorted / make.sound_turns;
    let ohm = make.ohm_at_20 * shorted;
    let secondary = Complex64::new(ohm, omega * henry * ratio * ratio);
    let mutual2 = TURN_COUPLING * TURN_COUPLING * henry * henry * ratio * ratio;
    plain + Complex64::new(omega * omega * mutual2, 0.0) / secondary
}

struct SuppressorView<'a> {
    actual: &'a Condition,
    network: &'a NetworkPlan,
}

impl SuppressorView<'_> {
    fn of(&self, port: usize) -> &[crate::electric::Suppressor] {
        &self.actual.suppressors[self.network.windings[port].index()]
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::base::SimTime;
    use crate::plant::condition::Delay;
    use crate::plant::{PlanBuilder, Plant};

    /// A relay on 24 V, 50 Hz, that picks up at `pick_a` [A].
    fn plant(pick_a: f64) -> Plant {
        let mut b = PlanBuilder::new("relay", 20.0);
        b.part("K1", "Relay", "");
        let (first, second) = (b.terminal("A1"), b.terminal("A2"));
        b.supply(Current::Ac { omega: 314.159 }, first, second, 24.0, 1.0, None);
        let make = WindingMake {
            ohm_at_20: 100.0,
            open_henry: 0.1,
            seated_henry: 0.4,
            ..WindingMake::SAMPLE
        };
        let coil = b.winding("coil", first, second, make, Vec::new());
        let (operate, release) = (SimTime::from_millis(10), SimTime::from_millis(10));
        let (drop_a, delay) = (0.1 * pick_a, Delay::None);
        b.relay("armature", coil, Trigger::Armature { pick_a, drop_a, operate, release, delay });
        Plant::nominal(Arc::new(b.finish().expect("plan")))
    }

    /// Far from its pick-up current a relay is left alone while its coil warms a little; near it, or
    /// once the coil is warmer, the network is solved again. What warmth is let pass changes the current
    /// by less than the distance that is asked for.
    #[test]
    fn a_relay_is_left_alone_only_far_from_where_it_acts() {
        let far = |pick_a: f64, warmer: f64| {
            plant(pick_a).with_model(|model, y| {
                let (mut y, heat) = (y.to_vec(), model.plan.windings[0].heat);
                let before = model.live.winding_a[0];
                y[heat] += warmer;
                let far = model.far_from_switching(&y);
                model.electrics(&y, false);
                (far, before, model.live.winding_a[0])
            })
        };
        let (alone, before, after) = far(9.0, 0.9 * KELVIN_APART);
        assert!(alone && after < before && before < after * (1.0 + FAR_FROM_EDGE));
        assert!(!far(9.0, 2.0 * KELVIN_APART).0, "too warm");
        assert!(!far(before * (1.0 + 0.9 * FAR_FROM_EDGE), 0.0).0, "close below");
        assert!(far(before * (1.0 + 2.0 * FAR_FROM_EDGE), 0.0).0, "far below");
    }

    /// In a coarse run the current of a coil is that of a temperature near its own, whatever it was before,
    /// and within a thousandth of what it would be in a fine one.
    #[test]
    fn a_coarse_run_lets_a_trifle_of_warmth_pass() {
        let current = |coarse: bool, warmths: &[f64]| {
            let plant = plant(9.0);
            let mut plant = if coarse { plant.coarser(5.0) } else { plant };
            plant.with_model(|model, y| {
                let (mut y, heat) = (y.to_vec(), model.plan.windings[0].heat);
                for celsius in warmths {
                    y[heat] = *celsius;
                    model.electrics(&y, false);
                }
                model.live.winding_a[0]
            })
        };
        let near = |warmer: f64| current(true, &[40.0 + warmer]);
        assert_eq!(near(0.01).to_bits(), near(0.24).to_bits());
        assert_ne!(near(0.01).to_bits(), near(0.26).to_bits());
        assert_eq!(near(0.01).to_bits(), current(true, &[20.0, 40.2, 40.1]).to_bits());
        let fine = current(false, &[40.24]);
        assert_ne!(near(0.24).to_bits(), fine.to_bits());
        assert!((near(0.24) / fine - 1.0).abs() < 1e-3, "{} and {fine}", near(0.24));
    }
}
