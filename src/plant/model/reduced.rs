//! Networks eliminated and reduced to their windings, kept until something in them changes.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, Mutex, PoisonError};

use crate::electric::{Complex64, Factor, PortView, Scalar};
use crate::plant::plan::NetworkPlan;

/// A network as it stands between two changes of its contacts, wires, sources and fuses.
#[derive(Clone, Debug, Default)]
pub(crate) struct Reduced<S> {
    /// The network eliminated.
    pub factor: Factor<S>,
    /// Source currents by node [A].
    pub injected: Vec<S>,
    /// What its windings see.
    pub view: PortView<S>,
    branches: Vec<Branch<S>>,
}

/// What a branch is worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Branch<S> {
    /// With a lead across it, if there is one [S].
    pub admittance: S,
    /// Without [S].
    pub own: S,
    /// Of its source [V].
    pub volts: f64,
}

impl<S: Scalar + PartialEq> Reduced<S> {
    /// Whether the branches of its network are still worth that.
    pub(super) fn holds(&self, branches: &[Branch<S>]) -> bool {
        !branches.is_empty() && self.branches == branches
    }

    /// Eliminates and reduces `network` with these branches. The currents of its branches `fuses` are
    /// watched, and then the voltages across its branches `lamps`.
    pub(super) fn of(
        network: &NetworkPlan,
        fuses: impl Iterator<Item = usize>,
        lamps: impl Iterator<Item = usize>,
        branches: Vec<Branch<S>>,
    ) -> Reduced<S> {
        let topology = &network.topology;
        let mut factor = Factor::default();
        factor.refresh(topology, |k| branches[k].admittance);
        let mut injected = vec![S::default(); network.nodes.len()];
        for (k, Branch { admittance, volts, .. }) in branches.iter().enumerate() {
            if *volts != 0.0 {
                let (a, b) = topology.ends(k);
                let i = *admittance * S::real(*volts);
                injected[a] += i;
                injected[b] += -i;
            }
        }
        let watch = |k: usize, siemens: S| {
            let (a, b) = topology.ends(k);
            (a, b, siemens)
        };
        let fuses = fuses.map(|k| watch(k, branches[k].own));
        let watched: Vec<_> = fuses.chain(lamps.map(|k| watch(k, S::real(1.0)))).collect();
        let mut view = PortView::default();
        view.refresh(topology, &factor, &injected, &network.ports, &watched);
        Reduced { factor, injected, view, branches }
    }
}

/// Most ways for a network to stand that are known; beyond, all are forgotten.
const KNOWN_LIMIT: usize = 2_048;

/// A network in the ways in which it has stood: contacts go to and fro, in one run as in another. It
/// only saves work.
#[derive(Default)]
pub(crate) struct Reductions {
    direct: Shelf<f64>,
    alternating: Shelf<Complex64>,
}

type Shelf<S> = Mutex<BTreeMap<u64, Arc<Reduced<S>>>>;

impl Reductions {
    /// The network with these `branches`, which `make` reduces, on direct current.
    pub(super) fn direct(
        &self,
        branches: Vec<Branch<f64>>,
        make: impl FnOnce(Vec<Branch<f64>>) -> Reduced<f64>,
    ) -> Arc<Reduced<f64>> {
        let bits = |b: &Branch<f64>| [b.admittance, b.own, b.volts, 0.0, 0.0];
        find(&self.direct, branches, bits, make)
    }

    /// The same on alternating current.
    pub(super) fn alternating(
        &self,
        branches: Vec<Branch<Complex64>>,
        make: impl FnOnce(Vec<Branch<Complex64>>) -> Reduced<Complex64>,
    ) -> Arc<Reduced<Complex64>> {
        let bits =
            |b: &Branch<Complex64>| [b.admittance.re, b.admittance.im, b.own.re, b.own.im, b.volts];
        find(&self.alternating, branches, bits, make)
    }
}

/// Odd numbers without a pattern.
const MIXERS: [u64; 5] = [
    0x9e37_79b9_7f4a_7c15,
    0xbf58_476d_1ce4_e5b9,
    0x94d0_49bb_1331_11eb,
    0xd6e8_feb8_6659_fd93,
    0xa076_1d64_78bd_642f,
];

fn find<S: Scalar + PartialEq>(
    shelf: &Shelf<S>,
    branches: Vec<Branch<S>>,
    numbers: impl Fn(&Branch<S>) -> [f64; 5],
    make: impl FnOnce(Vec<Branch<S>>) -> Reduced<S>,
) -> Arc<Reduced<S>> {
    // Two that meet in it are told apart below, so it need only be quick: the numbers of a branch one
    // beside the other, with odd factors of their own.
    let mut key = 0_u64;
    for branch in &branches {
        let mixed = numbers(branch).iter().zip(MIXERS).fold(0, |sum: u64, (number, factor)| {
            sum.wrapping_add((number.to_bits() ^ (number.to_bits() >> 29)).wrapping_mul(factor))
        });
        key = (key.rotate_left(23) ^ mixed).wrapping_mul(MIXERS[0]);
    }
    let lock = || shelf.lock().unwrap_or_else(PoisonError::into_inner);
    let found = lock().get(&key).cloned();
    if let Some(found) = found
        && found.holds(&branches)
    {
        return found;
    }
    let made = Arc::new(make(branches));
    let mut shelf = lock();
    if shelf.len() >= KNOWN_LIMIT {
        shelf.clear();
    }
    shelf.insert(key, Arc::clone(&made));
    made
}

impl Clone for Reductions {
    fn clone(&self) -> Self {
        Reductions::default()
    }
}

impl fmt::Debug for Reductions {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Reductions").finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    fn branches(siemens: f64) -> Vec<Branch<f64>> {
        vec![Branch { admittance: siemens, own: siemens, volts: 24.0 }]
    }

    /// What has been there is not worked out again, and nothing else is taken for it.
    #[test]
    fn a_network_is_known_again() {
        let known = Reductions::default();
        let made = Cell::new(0);
        let ask = |siemens: f64| {
            known.direct(branches(siemens), |branches| {
                made.set(made.get() + 1);
                Reduced { branches, ..Reduced::default() }
            })
        };
        let (closed, open) = (ask(1e3), ask(0.0));
        assert!(Arc::ptr_eq(&closed, &ask(1e3)) && Arc::ptr_eq(&open, &ask(0.0)));
        assert_eq!(made.get(), 2);
        assert!(closed.holds(&branches(1e3)) && !closed.holds(&branches(0.0)));
        // However many there have been.
        for k in 0..2 * KNOWN_LIMIT {
            ask(k as f64);
        }
        assert!(known.direct.lock().unwrap().len() <= KNOWN_LIMIT);
    }
}
