//! What else the candidate sets tell: the least depth of any tree, and how many trees there are.

use std::collections::BTreeMap;

use super::sequence::{Sequencer, TIE};
use super::set::{Set, bits};

/// How many trees there are, saturating.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TreeCount {
    /// Trees of least cost.
    pub optimal: u128,
    /// All trees in which every test divides what it is done on.
    pub all: u128,
}

impl Sequencer<'_> {
    /// Fewest tests that suffice in the worst case, or `None` when the budget is spent.
    pub fn worst_case(&mut self) -> Option<usize> {
        self.depth_of(self.everything(), usize::MAX)
    }

    /// Least depth of `set`; only answers below `enough` are worked out exactly, others are at
    /// least `enough`.
    fn depth_of(&mut self, set: Set, enough: usize) -> Option<usize> {
        if self.is_leaf(set) {
            return Some(0);
        }
        let mut least = self.depth_bound(set);
        match self.depths.get(&set) {
            Some(&(depth, true)) => return Some(depth),
            Some(&(depth, false)) => least = least.max(depth),
            None => {}
        }
        if least >= enough {
            return Some(least);
        }
        self.spend()?;
        let mut tests: Vec<(usize, u32, usize)> = Vec::new();
        for test in 0..self.parts.len() {
            let (mut count, mut bound, mut largest) = (0, 0, 0);
            for (_, part) in self.divide(set, test) {
                count += 1;
                bound = bound.max(self.depth_bound(part));
                largest = largest.max(part.count());
            }
            if count > 1 {
                tests.push((1 + bound, largest, test));
            }
        }
        tests.sort_unstable();
        let mut best = usize::MAX;
        for (bound, _, test) in tests {
            if bound >= best || bound >= enough {
                break;
            }
            let goal = best.min(enough);
            let mut depth = 1;
            for at in 0..self.parts[test].len() {
                let part = self.parts[test][at].1 & set;
                depth = depth.max(1 + self.depth_of(part, goal - 1)?);
                if depth >= goal {
                    break;
                }
            }
            best = best.min(depth);
            if best == least {
                break;
            }
        }
        let exact = best < enough;
        let depth = if exact { best } else { enough };
        self.depths.insert(set, (depth, exact));
        Some(depth)
    }

    /// No tree of `set` is shallower: leaves needed against leaves that fit.
    fn depth_bound(&self, set: Set) -> usize {
        let mut classes: Vec<Option<usize>> = bits(set).map(|g| self.groups[g].1).collect();
        let mixed = classes.iter().filter(|c| c.is_none()).count();
        classes.retain(Option::is_some);
        classes.sort_unstable();
        classes.dedup();
        let (mut fit, mut depth) = (1, 0);
        while fit < mixed + classes.len() {
            fit *= self.arity;
            depth += 1;
        }
        depth
    }

    /// How many trees there are over all states, and how many of them cost the least. `None` when
    /// the budget is spent.
    pub fn count_trees(&mut self) -> Option<TreeCount> {
        let mut counted = BTreeMap::new();
        self.count(self.everything(), &mut counted)
    }

    fn count(&mut self, set: Set, counted: &mut BTreeMap<Set, TreeCount>) -> Option<TreeCount> {
        if self.is_leaf(set) {
            return Some(TreeCount { optimal: 1, all: 1 });
        }
        if let Some(&count) = counted.get(&set) {
            return Some(count);
        }
        self.spend()?;
        let least = self.solve_set(set)?;
        let mut sum = TreeCount { optimal: 0, all: 0 };
        for (_, test) in self.candidates(set) {
            let parts: Vec<Set> = self.divide(set, test).map(|(_, part)| part).collect();
            let mut cost = self.matrix.tests()[test].cost * self.known(set).weight;
            let mut product = TreeCount { optimal: 1, all: 1 };
            for part in parts {
                cost += self.solve_set(part)?;
                let inner = self.count(part, counted)?;
                product.optimal = product.optimal.saturating_mul(inner.optimal);
                product.all = product.all.saturating_mul(inner.all);
            }
            sum.all = sum.all.saturating_add(product.all);
            if cost <= least + 1e3 * TIE * (1.0 + least) {
                sum.optimal = sum.optimal.saturating_add(product.optimal);
            }
        }
        counted.insert(set, sum);
        Some(sum)
    }
}
