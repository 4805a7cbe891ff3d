//! What it should take from here: the expected cost of telling a set of suspects apart with the tests
//! of the fault dictionary, and the test to do next.
//!
//! A value depends on the set alone. Small sets are solved exactly; larger ones are charged what the
//! gain-per-cost rule costs, which is never less than the optimum.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use crate::diagnosis::matrix::{FaultMatrix, State, Test};
use crate::diagnosis::policy::{Rule, first_gains, policy_cost};
use crate::diagnosis::sequence::Sequencer;
use crate::diagnosis::tree::TreeNode;

/// Most different states for which the optimum is looked for.
const EXACT: usize = 9;
/// Tests rated in looking for it.
const BUDGET: usize = 20_000;
/// Most answers remembered.
const ANSWERS: usize = 50_000;

/// Expected cost, and the best next test if any divides the set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Advice {
    /// Expected cost to tell the set apart, as far as the tests can [s].
    pub cost: f64,
    /// The test to do next.
    pub next: Option<usize>,
}

/// Answers about one fault dictionary.
#[derive(Debug)]
pub struct Outlook {
    matrix: FaultMatrix,
    known: Mutex<BTreeMap<Vec<usize>, Advice>>,
}

impl Outlook {
    /// Answers about `matrix`.
    #[must_use]
    pub fn new(matrix: FaultMatrix) -> Self {
        Outlook { matrix, known: Mutex::default() }
    }

    /// Name of `test`.
    #[must_use]
    pub fn name(&self, test: usize) -> &str {
        self.matrix.tests().get(test).map_or("", |t| t.name.as_str())
    }

    /// The state named `name`.
    #[must_use]
    pub fn state(&self, name: &str) -> Option<usize> {
        self.matrix.states().iter().position(|s| s.name == name)
    }

    /// What to expect once only `states`, ascending, are possible.
    pub fn advise(&self, states: &[usize]) -> Advice {
        if states.len() < 2 || self.matrix.repairs_of(states) < 2 {
            return Advice { cost: 0.0, next: None };
        }
        let lock = || self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = lock().get(states) {
            return *known;
        }
        let advice = self.work_out(states).unwrap_or(Advice { cost: 0.0, next: None });
        let mut known = lock();
        if known.len() >= ANSWERS {
            known.clear();
        }
        known.insert(states.to_vec(), advice);
        advice
    }

    /// `None` where no test divides the set.
    fn work_out(&self, states: &[usize]) -> Option<Advice> {
        // Of tests that divide the set alike, the cheapest.
        let mut columns: BTreeMap<Vec<u16>, usize> = BTreeMap::new();
        for test in 0..self.matrix.tests().len() {
            let reads: Vec<u16> = states.iter().map(|&s| self.matrix.outcome(s, test)).collect();
            if reads.iter().all(|r| *r == reads[0]) {
                continue;
            }
            let best = columns.entry(reads).or_insert(test);
            if self.matrix.tests()[test].cost < self.matrix.tests()[*best].cost {
                *best = test;
            }
        }
        let mut tests: Vec<usize> = columns.into_values().collect();
        tests.sort_unstable();
        // States that read alike and are mended alike are one.
        let mut rows: BTreeMap<(Vec<u16>, usize), (usize, f64)> = BTreeMap::new();
        for &s in states {
            let row = tests.iter().map(|&t| self.matrix.outcome(s, t)).collect();
            let entry = rows.entry((row, self.matrix.class(s))).or_insert((s, 0.0));
            entry.1 += self.matrix.states()[s].prior;
        }
        let sum: f64 = rows.values().map(|r| r.1).sum();
        let (mut kept, mut outcomes) = (Vec::new(), Vec::new());
        for ((row, _), (s, prior)) in rows {
            let state = &self.matrix.states()[s];
            kept.push(State { prior: prior / sum, ..state.clone() });
            outcomes.push(row);
        }
        let list: Vec<Test> = tests.iter().map(|&t| self.matrix.tests()[t].clone()).collect();
        let part = FaultMatrix::new(kept, list, outcomes, false).ok()?;
        if part.states().len() <= EXACT
            && let Ok(mut sequencer) = Sequencer::with_budget(&part, BUDGET)
        {
            let best = sequencer.solve();
            let next = match best.tree.nodes.first() {
                Some(TreeNode::Test { test, .. }) => Some(tests[*test]),
                _ => None,
            };
            return Some(Advice { cost: best.cost, next });
        }
        let cost = policy_cost(&part, Rule::GainPerCost, None).ok()?.cost;
        let gains = first_gains(&part);
        let rate = |t: usize| gains[t] / part.tests()[t].cost.max(1e-12);
        let mut next = 0;
        for t in 1..gains.len() {
            if rate(t) > rate(next) * (1.0 + 1e-9) {
                next = t;
            }
        }
        Some(Advice { cost, next: tests.get(next).copied() })
    }
}
