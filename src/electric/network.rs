//! Linear networks by star-mesh elimination.
//!
//! Each node is eliminated in turn: its star of conductances becomes a mesh among its neighbours.
//! For conductances this only ever adds positive numbers, so nothing cancels even when a 1 mohm wire
//! meets a 100 Mohm leak. The order and the fill are found once; a solution is a short loop.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

use num_complex::Complex64;

/// A conductance or admittance, voltage or current: real for direct current, complex for
/// alternating current.
pub trait Scalar:
    Copy
    + Default
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + AddAssign
{
    /// From a real number.
    fn real(x: f64) -> Self;
    /// Square of the magnitude.
    fn magnitude_squared(self) -> f64;
}

impl Scalar for f64 {
    fn real(x: f64) -> Self {
        x
    }
    fn magnitude_squared(self) -> f64 {
        self * self
    }
}

impl Scalar for Complex64 {
    fn real(x: f64) -> Self {
        Complex64::new(x, 0.0)
    }
    fn magnitude_squared(self) -> f64 {
        self.norm_sqr()
    }
}

/// Insulation of every terminal to earth [S]: 100 Mohm. It ties floating wires down, so that a
/// broken wire has a voltage at all.
pub const INSULATION_SIEMENS: f64 = 1e-8;

#[derive(Clone, Debug)]
struct Step {
    node: usize,
    /// Remaining neighbours and the slot of the conductance to each.
    neighbours: Vec<(usize, usize)>,
    /// For each pair of neighbours (in order), the slot of the conductance between them.
    pairs: Vec<usize>,
}

/// Which nodes may be joined, and in which order to eliminate them. Node 0 is the earth.
#[derive(Clone, Debug)]
pub struct Topology {
    nodes: usize,
    slots: usize,
    steps: Vec<Step>,
    /// Per branch: slot between two nodes, or `None` when an end is the earth (or both ends meet).
    branch_slot: Vec<Option<usize>>,
    branch_ends: Vec<(usize, usize)>,
}

impl Topology {
    /// The topology of `nodes` nodes (earth included) joined by branches with the given ends.
    #[must_use]
    pub fn new(nodes: usize, branch_ends: Vec<(usize, usize)>) -> Self {
        // Adjacency as sorted lists of (neighbour, slot).
        let mut adjacent: Vec<Vec<(usize, usize)>> = vec![Vec::new(); nodes];
        let mut slots = 0;
        let join =
            |adjacent: &mut Vec<Vec<(usize, usize)>>, slots: &mut usize, a: usize, b: usize| {
                match adjacent[a].binary_search_by_key(&b, |entry| entry.0) {
                    Ok(at) => adjacent[a][at].1,
                    Err(at) => {
                        let slot = *slots;
                        *slots += 1;
                        adjacent[a].insert(at, (b, slot));
                        let back = adjacent[b].partition_point(|entry| entry.0 < a);
                        adjacent[b].insert(back, (a, slot));
                        slot
                    }
                }
            };
        let branch_slot = branch_ends
            .iter()
            .map(|&(a, b)| {
                (a != 0 && b != 0 && a != b).then(|| join(&mut adjacent, &mut slots, a, b))
            })
            .collect();
        let mut steps = Vec::with_capacity(nodes.saturating_sub(1));
        let mut left: Vec<usize> = (1..nodes).collect();
        // Least neighbours first; ties by lowest node.
        while let Some(at) = (0..left.len()).min_by_key(|&at| (adjacent[left[at]].len(), left[at]))
        {
            let node = left.remove(at);
            let neighbours = std::mem::take(&mut adjacent[node]);
            for &(other, _) in &neighbours {
                adjacent[other].retain(|entry| entry.0 != node);
            }
            let mut pairs = Vec::new();
            for (first, &(a, _)) in neighbours.iter().enumerate() {
                for &(b, _) in &neighbours[first + 1..] {
                    pairs.push(join(&mut adjacent, &mut slots, a, b));
                }
            }
            steps.push(Step { node, neighbours, pairs });
        }
        Topology { nodes, slots, steps, branch_slot, branch_ends }
    }

    /// Number of nodes, the earth included.
    #[must_use]
    pub fn nodes(&self) -> usize {
        self.nodes
    }

    /// Ends of branch `branch`.
    #[must_use]
    pub fn ends(&self, branch: usize) -> (usize, usize) {
        self.branch_ends[branch]
    }
}

/// The eliminated network: voltages for any injected currents follow by substitution.
#[derive(Clone, Debug, Default)]
pub struct Factor<S> {
    between: Vec<S>,
    ground: Vec<S>,
    total: Vec<S>,
}

impl<S: Scalar> Factor<S> {
    /// Eliminates the network whose branch `k` has admittance `admittance(k)` [S].
    pub fn refresh(&mut self, topology: &Topology, admittance: impl Fn(usize) -> S) {
        self.between.clear();
        self.between.resize(topology.slots, S::default());
        self.ground.clear();
        self.ground.resize(topology.nodes, S::real(INSULATION_SIEMENS));
        self.total.clear();
        self.total.resize(topology.nodes, S::default());
        for (branch, slot) in topology.branch_slot.iter().enumerate() {
            let y = admittance(branch);
            match *slot {
                Some(slot) => self.between[slot] += y,
                None => {
                    let (a, b) = topology.branch_ends[branch];
                    if a != b {
                        self.ground[a.max(b)] += y;
                    }
                }
            }
        }
        for step in &topology.steps {
            let mut total = self.ground[step.node];
            for &(_, slot) in &step.neighbours {
                total += self.between[slot];
            }
            self.total[step.node] = total;
            let to_ground = self.ground[step.node] / total;
            let mut pair = step.pairs.iter();
            for (first, &(a, slot_a)) in step.neighbours.iter().enumerate() {
                let y_a = self.between[slot_a];
                self.ground[a] += y_a * to_ground;
                let share = y_a / total;
                for &(_, slot_b) in &step.neighbours[first + 1..] {
                    if let Some(&slot) = pair.next() {
                        let y_b = self.between[slot_b];
                        self.between[slot] += share * y_b;
                    }
                }
            }
        }
    }

    /// Node voltages [V] from the injected currents [A], in place. Entry 0, the earth, becomes zero.
    pub fn solve(&self, topology: &Topology, injected: &mut [S]) {
        for step in &topology.steps {
            let share = injected[step.node] / self.total[step.node];
            for &(other, slot) in &step.neighbours {
                injected[other] += share * self.between[slot];
            }
        }
        injected[0] = S::default();
        for step in topology.steps.iter().rev() {
            let mut sum = injected[step.node];
            for &(other, slot) in &step.neighbours {
                sum += self.between[slot] * injected[other];
            }
            injected[step.node] = sum / self.total[step.node];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Stream;

    #[test]
    fn voltage_divider() {
        // 24 V through 2 ohm into node 1, 22 ohm to earth: 22 V.
        let t = Topology::new(2, vec![(1, 0), (1, 0)]);
        let mut f = Factor::<f64>::default();
        f.refresh(&t, |k| [0.5, 1.0 / 22.0][k]);
        let mut v = vec![0.0, 12.0];
        f.solve(&t, &mut v);
        assert!((v[1] - 22.0).abs() < 1e-5, "{}", v[1]);
    }

    /// Kirchhoff's current law at every node of random networks (seed 11, 40 of them).
    #[test]
    fn currents_balance_at_every_node() {
        let mut rng = Stream::new(11, "network", "test");
        for _ in 0..40 {
            let nodes = 3 + rng.below(20) as usize;
            let ends: Vec<_> = (0..2 * nodes)
                .map(|_| (rng.below(nodes as u64) as usize, rng.below(nodes as u64) as usize))
                .collect();
            let y: Vec<f64> =
                ends.iter().map(|_| crate::base::ops::exp(rng.between(-16.0, 7.0))).collect();
            let injected: Vec<f64> = (0..nodes).map(|_| rng.between(-1.0, 1.0)).collect();
            let t = Topology::new(nodes, ends.clone());
            let mut f = Factor::<f64>::default();
            f.refresh(&t, |k| y[k]);
            let mut v = injected.clone();
            f.solve(&t, &mut v);
            let mut balance = injected;
            let mut scale = vec![1.0; nodes];
            for (k, &(a, b)) in ends.iter().enumerate() {
                let i = y[k] * (v[a] - v[b]);
                balance[a] -= i;
                balance[b] += i;
                let size = y[k] * (v[a].abs() + v[b].abs());
                scale[a] += size;
                scale[b] += size;
            }
            for n in 1..nodes {
                balance[n] -= INSULATION_SIEMENS * v[n];
                assert!(balance[n].abs() < 1e-12 * scale[n], "{n}: {}", balance[n]);
            }
        }
    }

    #[test]
    fn floating_node_keeps_its_accuracy_beside_a_milliohm() {
        // Earth - 100 Mohm insulation - two nodes joined by 1 mohm, fed 1 nA: v = 1 nA * 50 Mohm.
        let t = Topology::new(3, vec![(1, 2)]);
        let mut f = Factor::<f64>::default();
        f.refresh(&t, |_| 1e3);
        let mut v = vec![0.0, 1e-9, 0.0];
        f.solve(&t, &mut v);
        assert!((v[2] / 0.05 - 1.0).abs() < 1e-9, "{}", v[2]);
    }
}
