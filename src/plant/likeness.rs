//! Whether two networks do the same to what hangs on them: windings, fuses and lamps.
//!
//! What flows once all has settled decides. On direct current, where windings remember what they carried,
//! the networks must besides show them nearly the same voltages and impedances.

use crate::base::{FuseId, WindingId};
use crate::electric::{Complex64, PortView, Scalar};

use super::condition::{Condition, Trigger};
use super::model::{
    NetworkLive, Status, admittance, glows, reactance, resistance_at, source_volts,
};
use super::plan::{Current, Moves, NetworkPlan, Plan, Tie};

/// By how much the current of a winding may differ without counting, as a share of it [1]: windings
/// vary by as much as they are made, and hands and ears tell no difference. Common practice, no source.
const SLIGHT: f64 = 0.05;
/// The same for the armature of a relay that switches all the same: how hard it is held, nobody sees.
/// Common practice, no source.
const SLIGHT_FOR_RELAY: f64 = 0.12;
/// A fuse that carries less than this share of what it holds is far from blowing [1]. Common practice, no source.
const FAR_FROM_BLOWING: f64 = 0.5;
/// No winding tells a current below this from none [A].
const NO_AMPS: f64 = 1e-4;
/// Nor does a fuse such a one [A].
const NO_LOAD: f64 = 1e-3;
/// Nothing tells a branch that carries less than this from none [A], nor what is less than this apart from
/// what is joined [V].
const NO_CURRENT: f64 = 1e-5;
const NO_VOLTS: f64 = 1e-4;
/// Windings are compared cold, and as hot as they get in long use [degC].
const COLD: f64 = 20.0;
const HOT: f64 = 100.0;

/// Whether what hangs on network `n` of `plan` fares the same in both conditions when the bench stands as
/// `status` says: the windings and fuses of the first on either of `networks`, and all lamps.
pub(super) fn alike(
    plan: &Plan,
    made: (&Condition, &Condition),
    status: &Status,
    n: usize,
    networks: (&NetworkLive, &NetworkLive),
) -> bool {
    let site = Site { plan, network: &plan.networks[n], make: made.0, status };
    match (networks, site.network.current) {
        ((NetworkLive::Dc { net: a, .. }, NetworkLive::Dc { net: b, .. }), _) => {
            site.direct(&a.view, &b.view, made.1)
        }
        (
            (NetworkLive::Ac { net: a, .. }, NetworkLive::Ac { net: b, .. }),
            Current::Ac { omega },
        ) => site.gaps().iter().all(|gap| site.alternating(&a.view, &b.view, omega, *gap, made.1)),
        _ => false,
    }
}

/// A network, and what hangs on it.
struct Site<'a> {
    plan: &'a Plan,
    network: &'a NetworkPlan,
    make: &'a Condition,
    status: &'a Status,
}

impl Site<'_> {
    /// By how much the current of winding `w` may differ [1].
    fn slight(&self, w: usize) -> f64 {
        match self.plan.windings[w].moves {
            Moves::Relay(_) | Moves::Unlatch(_) => SLIGHT_FOR_RELAY,
            Moves::Spool(..) | Moves::Nothing => SLIGHT,
        }
    }

    fn direct(&self, a: &PortView<f64>, b: &PortView<f64>, other: &Condition) -> bool {
        let windings = || self.network.windings.iter().map(|id| id.index());
        let slight = |w: usize| (self.slight(w) * self.make.windings[w].ohm_at_20).sqrt();
        let slight: Vec<f64> = windings().map(slight).collect();
        let same = |celsius: f64| {
            let ohm = |w: usize| resistance_at(self.make, self.status, w, celsius).0;
            let ohm: Vec<f64> = windings().map(ohm).collect();
            self.all_do_the_same((a, &a.steady(&ohm)), (b, &b.steady(&ohm)), other)
        };
        a.alike(b, &slight) && same(COLD) && same(HOT)
    }

    /// Where spools may be [1]: anywhere between their ends, if there are any.
    fn gaps(&self) -> &'static [f64] {
        let follows = |w: usize| matches!(self.plan.windings[w].moves, Moves::Spool(..));
        let shifts = self.network.windings.iter().any(|id| follows(id.index()));
        if shifts { &[1.0, 0.0] } else { &[1.0] }
    }

    /// Impedances of the windings [ohm] with spools `gap` [1] away from where each pulls them.
    fn impedances(&self, omega: f64, gap: f64, celsius: f64) -> Vec<Complex64> {
        let ohm = |w: usize| {
            let (ohm, _) = resistance_at(self.make, self.status, w, celsius);
            let gap = self.status.armature_gap(self.plan.windings[w].moves).unwrap_or(gap);
            reactance(&self.make.windings[w], gap, omega) + ohm
        };
        self.network.windings.iter().map(|id| ohm(id.index())).collect()
    }

    /// With spools `gap` [1] away from where each winding pulls them.
    fn alternating(
        &self,
        a: &PortView<Complex64>,
        b: &PortView<Complex64>,
        omega: f64,
        gap: f64,
        other: &Condition,
    ) -> bool {
        [COLD, HOT].iter().all(|celsius| {
            let ohm = self.impedances(omega, gap, *celsius);
            let (a_in, b_in) = (a.steady(&ohm), b.steady(&ohm));
            self.all_do_the_same((a, &a_in), (b, &b_in), other)
        })
    }

    /// Whether windings, fuses and lamps do the same on either network, where these currents flow through
    /// the windings [A].
    fn all_do_the_same<S: Scalar>(
        &self,
        (a, a_in): (&PortView<S>, &[S]),
        (b, b_in): (&PortView<S>, &[S]),
        other: &Condition,
    ) -> bool {
        self.fed_alike(a_in, b_in)
            && self.switch_alike(a_in, b_in)
            && self.watched_alike(&a.watched(a_in), &b.watched(b_in), other)
    }

    /// Whether windings with these currents [A] do the same.
    fn fed_alike<S: Scalar>(&self, a: &[S], b: &[S]) -> bool {
        self.network.windings.iter().zip(a.iter().zip(b)).all(|(id, (a, b))| {
            let (a, b) = (amount(*a), amount(*b));
            (a - b).abs() <= NO_AMPS + self.slight(id.index()) * a
        })
    }

    /// Whether relays do the same at these currents of the windings [A].
    fn switch_alike<S: Scalar>(&self, a: &[S], b: &[S]) -> bool {
        self.plan.operators.iter().zip(&self.make.operators).enumerate().all(
            |(o, (place, make))| {
                let same = |winding: WindingId, edge: f64| {
                    let port = self.network.windings.iter().position(|id| *id == winding);
                    port.is_none_or(|k| (amount(a[k]) >= edge) == (amount(b[k]) >= edge))
                };
                match (make.trigger, place.tie) {
                    (Trigger::Armature { pick_a, drop_a, .. }, Tie::Winding(w)) => {
                        same(w, if self.status.operators[o].acting { drop_a } else { pick_a })
                    }
                    (Trigger::Latch { set_a, reset_a, .. }, Tie::Latch(set, reset)) => {
                        same(set, set_a) && same(reset, reset_a)
                    }
                    _ => true,
                }
            },
        )
    }

    /// Whether fuses and lamps do the same at what is watched of them [A, then V].
    fn watched_alike<S: Scalar>(&self, a: &[S], b: &[S], other: &Condition) -> bool {
        let (a_fuses, a_lamps) = a.split_at(self.network.fuses.len());
        let (b_fuses, b_lamps) = b.split_at(self.network.fuses.len());
        let mut fuses = self.network.fuses.iter().zip(a_fuses.iter().zip(b_fuses));
        let mut lamps = self.network.lamps.iter().zip(a_lamps.iter().zip(b_lamps));
        let loaded = |(id, (a, b)): (&FuseId, (&S, &S))| {
            let (a, b, make) = (amount(*a), amount(*b), &self.make.fuses[id.index()]);
            let far = a <= FAR_FROM_BLOWING * make.holds * make.rated_a;
            (a - b).abs() <= NO_LOAD + if far { SLIGHT_FOR_RELAY * a } else { 0.0 }
        };
        let lit = |(k, (a, b)): (&usize, (&S, &S))| {
            glows(self.plan, self.make, *k, amount(*a)) == glows(self.plan, other, *k, amount(*b))
        };
        fuses.all(loaded) && lamps.all(lit)
    }
}

/// What flows in a network on alternating current, whose windings remember nothing: a branch that
/// carries nothing may be missing.
#[derive(Debug)]
pub(super) struct Flowing {
    omega: f64,
    /// Voltages of the nodes [V], with spools at either end.
    volts: Vec<Vec<Complex64>>,
}

impl Flowing {
    /// What flows in network `n` of `plan`, made as in `make`, when the bench stands as `status` says;
    /// nothing on direct current.
    pub fn of(
        plan: &Plan,
        make: &Condition,
        status: &Status,
        n: usize,
        network: &NetworkLive,
    ) -> Option<Flowing> {
        let site = Site { plan, network: &plan.networks[n], make, status };
        let (NetworkLive::Ac { net, .. }, Current::Ac { omega }) = (network, site.network.current)
        else {
            return None;
        };
        let volts = |gap: &f64| {
            let currents = net.view.steady(&site.impedances(omega, *gap, COLD));
            let mut volts = net.injected.clone();
            for ((a, b), current) in site.network.ports.iter().zip(currents) {
                volts[*a] -= current;
                volts[*b] += current;
            }
            net.factor.solve(&site.network.topology, &mut volts);
            volts
        };
        Some(Flowing { omega, volts: site.gaps().iter().map(volts).collect() })
    }

    /// Whether the network does not mind in which of `both` conditions branch `id` is: if it has less to
    /// carry, it carried nothing; if more, there is nothing that would drive it.
    pub fn ignores(
        &self,
        plan: &Plan,
        both: (&Condition, &Condition),
        status: &Status,
        id: usize,
    ) -> bool {
        let fed = |make| source_volts(plan, make, status, id) != 0.0;
        if fed(both.0) || fed(both.1) {
            return false;
        }
        let branch = &plan.branches[id];
        let (a, b) = plan.networks[branch.network].topology.ends(branch.local);
        let value = |make| admittance(plan, make, status, id, self.omega);
        let (was, is) = (value(both.0), value(both.1));
        self.volts.iter().all(|volts| {
            let across = volts[a] - volts[b];
            if amount(is) > amount(was) {
                amount(across) <= NO_VOLTS
            } else {
                amount(was * across) <= NO_CURRENT
            }
        })
    }
}

fn amount<S: Scalar>(phasor: S) -> f64 {
    phasor.magnitude_squared().sqrt()
}
