//! Networks eliminated and reduced to their windings, kept until something in them changes.

use crate::electric::{Factor, PortView, Scalar};
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
    /// Whether the branches of `network` are still worth what `branch` says.
    pub(super) fn holds(&self, network: &NetworkPlan, branch: impl Fn(usize) -> Branch<S>) -> bool {
        self.branches.len() == network.branches.len()
            && !self.branches.is_empty()
            && self.branches.iter().enumerate().all(|(k, known)| *known == branch(k))
    }

    /// Eliminates and reduces `network` again. The currents of its branches `fuses` are watched, and then
    /// the voltages across its branches `lamps`.
    pub(super) fn refresh(
        &mut self,
        network: &NetworkPlan,
        fuses: impl Iterator<Item = usize>,
        lamps: impl Iterator<Item = usize>,
        branch: impl Fn(usize) -> Branch<S>,
    ) {
        let topology = &network.topology;
        self.branches.clear();
        self.branches.extend((0..network.branches.len()).map(branch));
        self.factor.refresh(topology, |k| self.branches[k].admittance);
        self.injected.clear();
        self.injected.resize(network.nodes.len(), S::default());
        for (k, Branch { admittance, volts, .. }) in self.branches.iter().enumerate() {
            if *volts != 0.0 {
                let (a, b) = topology.ends(k);
                let i = *admittance * S::real(*volts);
                self.injected[a] += i;
                self.injected[b] += -i;
            }
        }
        let watch = |k: usize, siemens: S| {
            let (a, b) = topology.ends(k);
            (a, b, siemens)
        };
        let fuses = fuses.map(|k| watch(k, self.branches[k].own));
        let watched: Vec<_> = fuses.chain(lamps.map(|k| watch(k, S::real(1.0)))).collect();
        self.view.refresh(topology, &self.factor, &self.injected, &network.ports, &watched);
    }
}
