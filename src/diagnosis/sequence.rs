//! The sequence of tests of least expected cost.
//!
//! V(S) = min over tests of [ c P(S) + sum over outcomes of V(S with that outcome) ], and V = 0 when
//! one repair mends all of S (Raghavan, Shakeri & Pattipati, IEEE Trans. SMC-A 29(2), 1999, state
//! the problem). Finding it is NP-complete (Hyafil & Rivest 1976), so the search has a budget of
//! tests rated. With [`DEFAULT_BUDGET`] every matrix with 2^groups times tests of at most 4 million
//! is solved exactly (16 groups and 60 tests), and many larger ones whose bounds prune well. Beyond
//! the budget a tree is built by looking one test ahead and following the gain-per-cost rule from
//! there; its distance from the bound is then known, its distance from the optimum is not.

use std::collections::BTreeMap;

use super::bound::{cheapest_path_bound, entropy_bits, huffman};
use super::matrix::{DiagnosisError, FaultMatrix, within};
use super::set::{Set, WIDTH, bits};
use super::tree::{Tree, TreeNode};

/// Most groups (states with different rows) that a sequencer works on.
pub const GROUP_LIMIT: usize = WIDTH;

/// Tests that a sequencer rates on candidate sets before it falls back on looking ahead.
pub const DEFAULT_BUDGET: usize = 4_000_000;

/// Most bounds kept; beyond that they are worked out again.
const CACHE_LIMIT: usize = 1_000_000;

/// Candidates that the look-ahead tries at each node.
const LOOK_AHEAD_WIDTH: usize = 24;

/// Tests that the lower bound of an unsolved set looks ahead.
const BOUND_DEPTH: usize = 2;

/// Two costs closer than this are equal [1, relative].
pub(super) const TIE: f64 = 1e-12;

/// A cost with what is known of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Value {
    /// Expected cost.
    pub cost: f64,
    /// No sequence costs less than this.
    pub bound: f64,
    /// `cost` is the optimum.
    pub proven: bool,
}

impl Value {
    /// How far the cost is above the bound, as a part of the bound [1]; 0 when both are 0.
    #[must_use]
    pub fn gap(&self) -> f64 {
        if self.bound > 0.0 { ((self.cost - self.bound) / self.bound).max(0.0) } else { 0.0 }
    }
}

/// A sequence of tests and what is known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sequence {
    /// Expected cost.
    pub cost: f64,
    /// Lower bound: Huffman's tree with the cheapest tests, taken two tests ahead, or what tells each
    /// state from the one that is dearest to tell it from, whichever is more; the cost itself where it
    /// is proven.
    pub bound: f64,
    /// `cost` is the optimum.
    pub proven: bool,
    /// Candidate sets solved on the way.
    pub solved: usize,
    /// The sequence.
    pub tree: Tree,
}

impl Sequence {
    /// How far the cost is above the bound, as a part of the bound [1].
    #[must_use]
    pub fn gap(&self) -> f64 {
        Value { cost: self.cost, bound: self.bound, proven: self.proven }.gap()
    }
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Known {
    pub(super) weight: f64,
    bound: f64,
}

/// Finds sequences for one matrix and remembers what it has solved.
#[derive(Clone, Debug)]
pub struct Sequencer<'m> {
    pub(super) matrix: &'m FaultMatrix,
    /// Prior, and repair class unless it is mixed.
    pub(super) groups: Vec<(f64, Option<usize>)>,
    members: Vec<Vec<usize>>,
    group_of: Vec<usize>,
    /// Outcomes of each test with the groups that read them.
    pub(super) parts: Vec<Vec<(u16, Set)>>,
    sorted_costs: Vec<f64>,
    pub(super) arity: usize,
    /// Tests that may still be rated.
    budget: usize,
    solved: BTreeMap<Set, (f64, usize)>,
    known: BTreeMap<Set, Known>,
    /// Least depth, or when false a depth that it is not below.
    pub(super) depths: BTreeMap<Set, (usize, bool)>,
}

impl<'m> Sequencer<'m> {
    /// A sequencer with [`DEFAULT_BUDGET`].
    ///
    /// # Errors
    /// When the states fall into more than [`GROUP_LIMIT`] groups.
    pub fn new(matrix: &'m FaultMatrix) -> Result<Self, DiagnosisError> {
        Self::with_budget(matrix, DEFAULT_BUDGET)
    }

    /// A sequencer that rates at most `budget` tests on candidate sets.
    ///
    /// # Errors
    /// When the states fall into more than [`GROUP_LIMIT`] groups.
    pub fn with_budget(matrix: &'m FaultMatrix, budget: usize) -> Result<Self, DiagnosisError> {
        let found = matrix.groups(&matrix.all_tests())?;
        within("groups", found.len(), GROUP_LIMIT)?;
        let members: Vec<Vec<usize>> = found.into_iter().map(|g| g.states).collect();
        let mut group_of = vec![0; matrix.states().len()];
        for (g, states) in members.iter().enumerate() {
            for &s in states {
                group_of[s] = g;
            }
        }
        let groups = members
            .iter()
            .map(|states| {
                let prior = states.iter().map(|&s| matrix.states()[s].prior).sum();
                let one = matrix.repairs_of(states) == 1;
                (prior, one.then(|| matrix.class(states[0])))
            })
            .collect();
        let parts: Vec<Vec<(u16, Set)>> = (0..matrix.tests().len())
            .map(|t| {
                let mut by_band: BTreeMap<u16, Set> = BTreeMap::new();
                for (g, states) in members.iter().enumerate() {
                    *by_band.entry(matrix.outcome(states[0], t)).or_default() |= Set::one(g);
                }
                by_band.into_iter().collect()
            })
            .collect();
        let mut sorted_costs: Vec<f64> = parts
            .iter()
            .zip(matrix.tests())
            .filter(|(p, _)| p.len() > 1)
            .map(|(_, t)| t.cost)
            .collect();
        sorted_costs.sort_by(f64::total_cmp);
        let arity = parts.iter().map(Vec::len).max().unwrap_or(2).max(2);
        Ok(Sequencer {
            matrix,
            groups,
            members,
            group_of,
            parts,
            sorted_costs,
            arity,
            budget,
            solved: BTreeMap::new(),
            known: BTreeMap::new(),
            depths: BTreeMap::new(),
        })
    }

    pub(super) fn everything(&self) -> Set {
        Set::below(self.groups.len())
    }

    fn set_of(&self, states: &[usize]) -> Result<Set, DiagnosisError> {
        let mut set = Set::default();
        for &s in states {
            self.matrix.check_state(s)?;
            set |= Set::one(self.group_of[s]);
        }
        Ok(set)
    }

    fn states_in(&self, set: Set) -> Vec<usize> {
        let mut list: Vec<usize> =
            bits(set).flat_map(|g| self.members[g].iter().copied()).collect();
        list.sort_unstable();
        list
    }

    /// Nothing to tell apart, or nothing that can be.
    pub(super) fn is_leaf(&self, set: Set) -> bool {
        if set.is_single() {
            return true;
        }
        let mut classes = bits(set).map(|g| self.groups[g].1);
        match classes.next() {
            Some(Some(first)) => classes.all(|c| c == Some(first)),
            _ => false,
        }
    }

    /// Probability and lower bound of `set`, both weighted by the priors.
    pub(super) fn known(&mut self, set: Set) -> Known {
        if let Some(known) = self.known.get(&set) {
            return *known;
        }
        let weight: f64 = bits(set).map(|g| self.groups[g].0).sum();
        let bound = if self.is_leaf(set) {
            0.0
        } else {
            // What one repair mends need not be divided: it counts as one leaf.
            let mut by_class: BTreeMap<usize, f64> = BTreeMap::new();
            let mut leaves = Vec::new();
            for g in bits(set) {
                match self.groups[g] {
                    (prior, Some(class)) => *by_class.entry(class).or_default() += prior,
                    (prior, None) => leaves.push(prior),
                }
            }
            leaves.extend(by_class.into_values());
            weight * cheapest_path_bound(&self.sorted_costs, huffman(&leaves, self.arity))
        };
        let known = Known { weight, bound };
        // A cache, not a result: when it is full, answers are worked out again.
        if self.known.len() < CACHE_LIMIT {
            self.known.insert(set, known);
        }
        known
    }

    /// The parts of `set` under `test`.
    pub(super) fn divide(&self, set: Set, test: usize) -> impl Iterator<Item = (u16, Set)> + '_ {
        self.parts[test]
            .iter()
            .map(move |&(band, part)| (band, part & set))
            .filter(|&(_, part)| !part.is_empty())
    }

    /// Tests that divide `set`, each with a lower bound on what it leads to, best first.
    pub(super) fn candidates(&mut self, set: Set) -> Vec<(f64, usize)> {
        let weight = self.known(set).weight;
        let mut list = Vec::new();
        for test in 0..self.parts.len() {
            if self.divide(set, test).nth(1).is_none() {
                continue;
            }
            let mut bound = self.matrix.tests()[test].cost * weight;
            for at in 0..self.parts[test].len() {
                let part = self.parts[test][at].1 & set;
                if !part.is_empty() {
                    bound += self.known(part).bound;
                }
            }
            list.push((bound, test));
        }
        list.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        list
    }

    /// Takes the rating of all tests on one set from the budget; `None` when it is spent.
    pub(super) fn spend(&mut self) -> Option<()> {
        self.budget = self.budget.checked_sub(self.parts.len())?;
        Some(())
    }

    /// Least cost of `set` weighted by the priors, or `None` when the budget is spent.
    pub(super) fn solve_set(&mut self, set: Set) -> Option<f64> {
        if self.is_leaf(set) {
            return Some(0.0);
        }
        if let Some(&(cost, _)) = self.solved.get(&set) {
            return Some(cost);
        }
        self.spend()?;
        let mut best = (f64::INFINITY, usize::MAX);
        for (bound, test) in self.candidates(set) {
            let enough = best.0 - TIE * (1.0 + best.0.abs());
            if best.1 != usize::MAX && bound >= enough {
                break;
            }
            let mut hope = bound;
            let mut total = self.matrix.tests()[test].cost * self.known(set).weight;
            let mut beaten = false;
            for at in 0..self.parts[test].len() {
                let part = self.parts[test][at].1 & set;
                if part.is_empty() {
                    continue;
                }
                let cost = self.solve_set(part)?;
                total += cost;
                hope += cost - self.known(part).bound;
                if best.1 != usize::MAX && hope >= enough {
                    beaten = true;
                    break;
                }
            }
            if !beaten && total < best.0 {
                best = (total, test);
            }
        }
        self.solved.insert(set, best);
        Some(best.0)
    }

    /// The best sequence over all states.
    pub fn solve(&mut self) -> Sequence {
        self.solve_from(self.everything())
    }

    /// The best sequence once only `states` are possible. Costs are for that case: the priors are
    /// scaled to sum to 1. States with the same rows as those given come along.
    ///
    /// # Errors
    /// When a state does not exist, or none is given.
    pub fn solve_among(&mut self, states: &[usize]) -> Result<Sequence, DiagnosisError> {
        let set = self.set_of(states)?;
        if set.is_empty() {
            return Err(DiagnosisError::Empty);
        }
        Ok(self.solve_from(set))
    }

    fn solve_from(&mut self, set: Set) -> Sequence {
        let exact = self.solve_set(set);
        let Known { weight, .. } = self.known(set);
        let mut tree = Tree { nodes: Vec::new() };
        let cost = self.build(set, &mut tree);
        let bound = match exact {
            Some(cost) => cost,
            None => self.bound_ahead(set, BOUND_DEPTH).max(self.apart(set)),
        };
        let proven = exact.is_some() || cost <= bound + TIE * (1.0 + bound);
        let cost = exact.unwrap_or(cost) / weight;
        Sequence { cost, bound: bound / weight, proven, solved: self.solved.len(), tree }
    }

    /// A lower bound of `set`, weighted by the priors: whatever the tree, on the way to a group lies
    /// for each that wants another repair a test that tells the two apart.
    fn apart(&self, set: Set) -> f64 {
        let groups: Vec<usize> = bits(set).collect();
        let mut tests: Vec<usize> = (0..self.parts.len()).collect();
        tests.sort_by(|a, b| {
            let cost = |t: usize| self.matrix.tests()[t].cost;
            cost(*a).total_cmp(&cost(*b)).then(a.cmp(b))
        });
        let reads = |g: usize, t: usize| self.matrix.outcome(self.members[g][0], t);
        let dearest = |&g: &usize| {
            let others = groups.iter().filter(|&&h| {
                let (one, other) = (self.groups[g].1, self.groups[h].1);
                h != g && (one.is_none() || one != other)
            });
            let cheapest = others.filter_map(|&h| {
                let test = tests.iter().find(|&&t| reads(g, t) != reads(h, t));
                test.map(|&t| self.matrix.tests()[t].cost)
            });
            self.groups[g].0 * cheapest.fold(0.0, f64::max)
        };
        groups.iter().map(dearest).sum()
    }

    /// A lower bound of `set` from those of its parts, `depth` tests ahead: some test must come
    /// first, and no part can do better than its own bound.
    fn bound_ahead(&mut self, set: Set, depth: usize) -> f64 {
        let Known { weight, bound } = self.known(set);
        if depth == 0 || self.is_leaf(set) {
            return bound;
        }
        if let Some(&(cost, _)) = self.solved.get(&set) {
            return cost;
        }
        let mut least = f64::INFINITY;
        for (near, test) in self.candidates(set) {
            // Candidates ascend in what their parts need at least.
            if near >= least {
                break;
            }
            let mut total = self.matrix.tests()[test].cost * weight;
            for at in 0..self.parts[test].len() {
                let part = self.parts[test][at].1 & set;
                if !part.is_empty() {
                    total += self.bound_ahead(part, depth - 1);
                }
            }
            least = least.min(total.max(near));
        }
        if least.is_finite() { bound.max(least) } else { bound }
    }

    /// Grows the tree for `set` and returns its cost weighted by the priors.
    fn build(&mut self, root: Set, tree: &mut Tree) -> f64 {
        tree.nodes.push(TreeNode::Leaf { states: self.states_in(root) });
        let mut open = vec![(0, root)];
        let mut cost = 0.0;
        while let Some((at, set)) = open.pop() {
            let Some(test) = self.next_test(set) else { continue };
            cost += self.matrix.tests()[test].cost * self.known(set).weight;
            let parts: Vec<(u16, Set)> = self.divide(set, test).collect();
            let mut branches = Vec::with_capacity(parts.len());
            for (band, part) in parts {
                branches.push((band, tree.nodes.len()));
                open.push((tree.nodes.len(), part));
                tree.nodes.push(TreeNode::Leaf { states: self.states_in(part) });
            }
            tree.nodes[at] = TreeNode::Test { test, states: self.states_in(set), branches };
        }
        cost
    }

    /// The test to do on `set`: the proven best, or else the best by looking ahead.
    fn next_test(&mut self, set: Set) -> Option<usize> {
        if self.is_leaf(set) {
            return None;
        }
        if self.solve_set(set).is_some() {
            return self.solved.get(&set).map(|&(_, test)| test);
        }
        let mut rated = self.rated(set);
        rated.truncate(LOOK_AHEAD_WIDTH);
        let mut best: Option<(f64, usize)> = None;
        for (_, test) in rated {
            let mut cost = self.matrix.tests()[test].cost * self.known(set).weight;
            let parts: Vec<Set> = self.divide(set, test).map(|(_, part)| part).collect();
            for part in parts {
                cost += self.greedy(part);
            }
            if best.is_none_or(|(least, _)| cost < least - TIE * (1.0 + least)) {
                best = Some((cost, test));
            }
        }
        best.map(|(_, test)| test)
    }

    /// Tests that divide `set` with their gain per cost, best first.
    fn rated(&mut self, set: Set) -> Vec<(f64, usize)> {
        let mut list = Vec::new();
        for test in 0..self.parts.len() {
            let parts: Vec<Set> = self.divide(set, test).map(|(_, part)| part).collect();
            if parts.len() < 2 {
                continue;
            }
            let weights: Vec<f64> = parts.iter().map(|&p| self.known(p).weight).collect();
            list.push((entropy_bits(&weights) / self.matrix.tests()[test].cost.max(TIE), test));
        }
        list.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        list
    }

    /// Cost of following the gain-per-cost rule on `set`, weighted by the priors.
    fn greedy(&mut self, root: Set) -> f64 {
        let mut cost = 0.0;
        let mut open = vec![root];
        while let Some(set) = open.pop() {
            if self.is_leaf(set) {
                continue;
            }
            if let Some(&(known, _)) = self.solved.get(&set) {
                cost += known;
                continue;
            }
            let Some(&(_, test)) = self.rated(set).first() else { continue };
            cost += self.matrix.tests()[test].cost * self.known(set).weight;
            open.extend(self.divide(set, test).map(|(_, part)| part));
        }
        cost
    }

    /// What is known of the cost from here on, once only `states` are possible.
    ///
    /// # Errors
    /// When a state does not exist.
    pub fn value(&mut self, states: &[usize]) -> Result<Value, DiagnosisError> {
        let set = self.set_of(states)?;
        Ok(self.value_of(set))
    }

    fn value_of(&mut self, set: Set) -> Value {
        if set.is_empty() {
            return Value { cost: 0.0, bound: 0.0, proven: true };
        }
        let exact = self.solve_set(set);
        let Known { weight, bound } = self.known(set);
        let cost = exact.unwrap_or_else(|| self.greedy(set));
        let proven = exact.is_some() || cost <= bound + TIE * (1.0 + bound);
        Value { cost: cost / weight, bound: bound / weight, proven }
    }

    /// Cost of doing `test` first and the best from there, once only `states` are possible.
    ///
    /// # Errors
    /// When a state or the test does not exist.
    pub fn forced(&mut self, states: &[usize], test: usize) -> Result<Value, DiagnosisError> {
        let set = self.set_of(states)?;
        self.matrix.check_tests(&[test])?;
        let own = self.matrix.tests()[test].cost;
        let mut value = Value { cost: own, bound: own, proven: true };
        if set.is_empty() {
            return Ok(value);
        }
        let weight = self.known(set).weight;
        let parts: Vec<Set> = self.divide(set, test).map(|(_, part)| part).collect();
        for part in parts {
            let share = self.known(part).weight / weight;
            let rest = self.value_of(part);
            value.cost += share * rest.cost;
            value.bound += share * rest.bound;
            value.proven &= rest.proven;
        }
        Ok(value)
    }

    /// How far doing `test` now is from the best, once only `states` are possible:
    /// c + sum of P(outcome) V(outcome) - V, with V for priors scaled to 1. No hindsight.
    ///
    /// # Errors
    /// When a state or the test does not exist.
    pub fn regret(&mut self, states: &[usize], test: usize) -> Result<f64, DiagnosisError> {
        Ok(self.forced(states, test)?.cost - self.value(states)?.cost)
    }

    /// Entropy of what has to be told apart [bit].
    #[must_use]
    pub fn entropy(&self) -> f64 {
        let weights: Vec<f64> = self.groups.iter().map(|g| g.0).collect();
        entropy_bits(&weights)
    }
}
