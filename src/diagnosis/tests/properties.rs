//! What must hold of every matrix.

use proptest::prelude::*;

use crate::diagnosis::{FaultMatrix, Rule, Sequencer, State, Test, policy_cost};

#[derive(Clone, Debug)]
struct Raw {
    weights: Vec<u32>,
    costs: Vec<u32>,
    rows: Vec<Vec<u16>>,
    repairs: Vec<u8>,
}

impl Raw {
    fn build(&self, scale: f64) -> FaultMatrix {
        let sum: u32 = self.weights.iter().sum();
        FaultMatrix::new(
            (0..self.weights.len())
                .map(|s| {
                    let prior = f64::from(self.weights[s]) / f64::from(sum);
                    State::new(&format!("s{s}"), prior, &format!("r{}", self.repairs[s]))
                })
                .collect(),
            (0..self.costs.len())
                .map(|t| Test::new(&format!("t{t}"), f64::from(self.costs[t]) * scale))
                .collect(),
            self.rows.clone(),
            false,
        )
        .expect("matrix")
    }

    fn best(&self, scale: f64) -> (f64, f64) {
        let matrix = self.build(scale);
        let found = Sequencer::new(&matrix).expect("sequencer").solve();
        assert!(found.proven);
        assert!((found.tree.cost(&matrix) - found.cost).abs() < 1e-9);
        (found.cost, found.bound)
    }

    /// Least expected cost by plain recursion over lists of states.
    fn plain(&self, states: &[usize]) -> f64 {
        let first = self.repairs[states[0]];
        if states.iter().all(|&s| self.repairs[s] == first) {
            return 0.0;
        }
        let weight: f64 = states.iter().map(|&s| f64::from(self.weights[s])).sum();
        let mut best = f64::INFINITY;
        for (t, cost) in self.costs.iter().enumerate() {
            let mut cost = f64::from(*cost) * weight;
            let mut parts = 0;
            for band in 0..4 {
                let part: Vec<usize> =
                    states.iter().copied().filter(|&s| self.rows[s][t] == band).collect();
                if !part.is_empty() {
                    parts += 1;
                }
                if !part.is_empty() && part.len() < states.len() {
                    cost += self.plain(&part);
                }
            }
            if parts > 1 {
                best = best.min(cost);
            }
        }
        if best.is_finite() { best } else { 0.0 }
    }
}

fn raw(bands: u16) -> impl Strategy<Value = Raw> {
    (2_usize..8, 1_usize..6).prop_flat_map(move |(states, tests)| {
        (
            prop::collection::vec(1_u32..20, states),
            prop::collection::vec(1_u32..10, tests),
            prop::collection::vec(prop::collection::vec(0..bands, tests), states),
            prop::collection::vec(0_u8..9, states),
        )
            .prop_map(|(weights, costs, rows, repairs)| Raw {
                weights,
                costs,
                rows,
                repairs,
            })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..Default::default() })]

    #[test]
    fn the_optimum_equals_plain_recursion_and_respects_its_bounds(raw in raw(3)) {
        let (cost, bound) = raw.best(1.0);
        let sum: f64 = raw.weights.iter().copied().map(f64::from).sum();
        let all: Vec<usize> = (0..raw.weights.len()).collect();
        prop_assert!((cost - raw.plain(&all) / sum).abs() < 1e-9);
        prop_assert!(cost >= bound - 1e-9 && bound >= 0.0);
        let matrix = raw.build(1.0);
        for rule in [Rule::GainPerCost, Rule::Entropy, Rule::WorstPart, Rule::MostParts] {
            let policy = policy_cost(&matrix, rule, None).expect("policy");
            prop_assert!(policy.cost >= cost - 1e-9, "{:?}", rule);
        }
    }

    #[test]
    fn a_spent_budget_is_never_below_the_optimum(raw in raw(2), budget in 0_usize..60) {
        let matrix = raw.build(1.0);
        let found = Sequencer::with_budget(&matrix, budget).expect("sequencer").solve();
        let (cost, _) = raw.best(1.0);
        prop_assert!(found.cost >= cost - 1e-9);
        prop_assert!(found.bound >= 0.0 && found.bound <= cost + 1e-9);
        prop_assert!(!found.proven || (found.cost - cost).abs() < 1e-9);
        prop_assert!((found.tree.cost(&matrix) - found.cost).abs() < 1e-9);
    }

    #[test]
    fn scaling_the_costs_scales_the_optimum(raw in raw(3)) {
        prop_assert!((raw.best(2.5).0 - 2.5 * raw.best(1.0).0).abs() < 1e-9);
    }

    #[test]
    fn names_do_not_matter(raw in raw(3), turn in 0_usize..8) {
        let mut other = raw.clone();
        let s = turn % raw.weights.len();
        other.weights.rotate_left(s);
        other.rows.rotate_left(s);
        other.repairs.rotate_left(s);
        other.costs.reverse();
        for row in &mut other.rows {
            row.reverse();
        }
        prop_assert!((raw.best(1.0).0 - other.best(1.0).0).abs() < 1e-9);
    }

    #[test]
    fn one_more_test_that_splits_no_group_never_costs_more(raw in raw(2), pick in 0_usize..5, cost in 1_u32..10) {
        // A copy of a test, at another price, leaves the groups as they are.
        let mut more = raw.clone();
        let t = pick % raw.costs.len();
        more.costs.push(cost);
        for row in &mut more.rows {
            let band = row[t];
            row.push(band);
        }
        prop_assert!(more.best(1.0).0 <= raw.best(1.0).0 + 1e-9);
    }

    #[test]
    fn regret_is_never_negative(raw in raw(3)) {
        let matrix = raw.build(1.0);
        let mut sequencer = Sequencer::new(&matrix).expect("sequencer");
        let all: Vec<usize> = (0..raw.weights.len()).collect();
        for t in 0..raw.costs.len() {
            prop_assert!(sequencer.regret(&all, t).expect("regret") >= -1e-9);
        }
    }
}
