//! The six-state, five-test example of Pattipati's group (Raghavan, Shakeri & Pattipati, IEEE Trans.
//! SMC-A 29(2), 1999, among others; matrix, priors and the optimum 2.18 from memory). The other
//! figures were found by exhaustive search beforehand.

use crate::diagnosis::{
    DiagnosisError, FaultMatrix, Masked, Observation, Pair, Reading, Rule, Sequencer, State, Test,
    TreeNode, Verdict, entropy_bits, first_gains, grade, huffman, policy_cost, verdict,
};
use crate::language::{Language, Words};

pub fn matrix() -> FaultMatrix {
    let rows = ["00000", "01001", "00110", "10011", "11000", "11110"];
    let priors = [0.70, 0.01, 0.02, 0.10, 0.05, 0.12];
    FaultMatrix::new(
        (0..6).map(|s| State::new(&format!("s{s}"), priors[s], &format!("repair {s}"))).collect(),
        (1..6).map(|t| Test::new(&format!("t{t}"), 1.0)).collect(),
        rows.iter().map(|row| row.bytes().map(|b| u16::from(b - b'0')).collect()).collect(),
        true,
    )
    .expect("a matrix")
}

fn close(value: f64, wanted: f64, within: f64) {
    assert!((value - wanted).abs() <= within, "{value} is not {wanted} within {within}");
}

/// Cost of every tree, by plain enumeration: no memo, no bounds, nothing shared with the sequencer.
fn all_costs(m: &FaultMatrix, states: &[usize]) -> Vec<f64> {
    if states.len() < 2 {
        return vec![0.0];
    }
    let weight: f64 = states.iter().map(|&s| m.states()[s].prior).sum();
    let mut costs = Vec::new();
    for t in 0..m.tests().len() {
        let (low, high): (Vec<usize>, Vec<usize>) =
            states.iter().partition(|&&s| m.outcome(s, t) == 0);
        if low.is_empty() || high.is_empty() {
            continue;
        }
        let right = all_costs(m, &high);
        for a in all_costs(m, &low) {
            costs.extend(right.iter().map(|b| weight + a + b));
        }
    }
    costs
}

#[test]
fn the_optimum_is_2_18_and_proven() {
    let m = matrix();
    let mut sequencer = Sequencer::new(&m).expect("sequencer");
    let best = sequencer.solve();
    close(best.cost, 2.18, 1e-12);
    // The bound of Huffman alone; looking two tests ahead makes it tight.
    let priors: Vec<f64> = m.states().iter().map(|s| s.prior).collect();
    close(huffman(&priors, 2), 1.59, 1e-12);
    assert!(best.bound >= 1.59 - 1e-12 && best.bound <= 2.18 + 1e-12, "{}", best.bound);
    close(best.gap(), (2.18 - best.bound) / best.bound, 1e-12);
    assert!(best.proven);
    close(best.tree.cost(&m), 2.18, 1e-12);
    close(sequencer.entropy(), 1.4549, 5e-5);
    assert_eq!(sequencer.worst_case(), Some(3));
    assert_eq!(
        best.tree.render(&m, Words::of(Language::English)).lines().count(),
        best.tree.nodes.len()
    );
    let json = serde_json::to_string(&best.tree).expect("json");
    assert!(json.starts_with("{\"nodes\":[{\"Test\":{\"test\":"), "{json}");
}

#[test]
fn eighteen_of_316_trees_are_optimal() {
    let m = matrix();
    let count = Sequencer::new(&m).expect("sequencer").count_trees().expect("count");
    assert_eq!((count.optimal, count.all), (18, 316));
    let costs = all_costs(&m, &[0, 1, 2, 3, 4, 5]);
    assert_eq!(costs.len(), 316);
    assert_eq!(costs.iter().filter(|c| **c < 2.18 + 1e-9).count(), 18);
    close(costs.iter().copied().fold(f64::INFINITY, f64::min), 2.18, 1e-12);
    close(costs.iter().copied().fold(0.0, f64::max), 3.51, 1e-12);
}

#[test]
fn a_forced_first_test_has_its_price() {
    let m = matrix();
    let mut sequencer = Sequencer::new(&m).expect("sequencer");
    let all: Vec<usize> = (0..6).collect();
    for (test, cost) in [2.86, 2.18, 2.82, 2.18, 2.89].into_iter().enumerate() {
        let forced = sequencer.forced(&all, test).expect("value");
        close(forced.cost, cost, 1e-12);
        assert!(forced.proven);
    }
}

#[test]
fn the_greedy_rule_starts_well_and_ends_31_percent_above() {
    let m = matrix();
    for (gain, wanted) in first_gains(&m).into_iter().zip([0.8415, 0.6801, 0.5842, 0.7950, 0.4999])
    {
        close(gain, wanted, 5e-5);
    }
    let greedy = policy_cost(&m, Rule::GainPerCost, None).expect("policy");
    close(greedy.cost, 2.86, 1e-12);
    close(greedy.cost / 2.18, 1.31, 5e-3);
}

#[test]
fn with_a_fault_known_present_the_optimum_is_eleven_fifths() {
    let m = matrix().given_a_fault().expect("matrix");
    let best = Sequencer::new(&m).expect("sequencer").solve();
    close(best.cost, 11.0 / 5.0, 1e-12);
    let priors: Vec<f64> = m.states().iter().map(|s| s.prior).collect();
    close(huffman(&priors, 2), 1.9667, 5e-5);
    assert!(best.bound >= 1.9666 && best.bound <= 2.2 + 1e-12, "{}", best.bound);
    assert_eq!(m.given_a_fault(), Err(DiagnosisError::NoFaultFree));
}

#[test]
fn subsets_of_tests_detect_and_isolate_their_part() {
    let m = matrix();
    let states = |tests: &[usize]| -> Vec<Vec<usize>> {
        m.groups(tests).expect("groups").into_iter().map(|g| g.states).collect()
    };
    let ffi = |tests: &[usize], l: usize| m.isolated(tests, l).expect("ffi").expect("detected");
    let cost = |tests: &[usize]| {
        let part = m.with_tests(tests).expect("matrix");
        Sequencer::new(&part).expect("sequencer").solve().cost
    };
    // t1 and t2
    assert_eq!(states(&[0, 1]), vec![vec![0, 2], vec![1], vec![3], vec![4, 5]]);
    let ffd = m.detected(&[0, 1]).expect("ffd");
    close(ffd.weighted, 14.0 / 15.0, 1e-12);
    close(ffd.counted, 4.0 / 5.0, 1e-12);
    close(ffd.of_prior, 0.30, 1e-12);
    assert_eq!(ffd.of_faults, 5);
    assert_eq!(m.undetectable(&[0, 1]).expect("undetectable"), vec![2]);
    close(ffi(&[0, 1], 1).weighted, 11.0 / 28.0, 1e-12);
    close(ffi(&[0, 1], 1).of_prior, 0.28, 1e-12);
    close(ffi(&[0, 1], 2).weighted, 1.0, 1e-12);
    close(cost(&[0, 1]), 2.0, 1e-12);
    // t1
    close(m.detected(&[0]).expect("ffd").weighted, 0.9, 1e-12);
    close(ffi(&[0], 1).weighted, 0.0, 0.0);
    close(ffi(&[0], 2).weighted, 0.0, 0.0);
    close(ffi(&[0], 3).weighted, 1.0, 1e-12);
    // t2 and t4
    close(m.detected(&[1, 3]).expect("ffd").weighted, 1.0, 1e-12);
    close(ffi(&[1, 3], 1).weighted, 0.4, 1e-12);
    close(ffi(&[1, 3], 2).weighted, 1.0, 1e-12);
    assert_eq!(m.signature(5, &[1, 3]).expect("row"), vec![1, 1]);
    assert!(m.redundant_tests().is_empty() && m.idle_tests().is_empty());
}

/// The learner meets s5 and does t1, t5, t2, t3.
#[test]
fn the_golden_path_is_graded_to_the_fraction() {
    let m = matrix();
    let mut sequencer = Sequencer::new(&m).expect("sequencer");
    let path: Vec<Observation> = [0, 4, 1, 2]
        .into_iter()
        .map(|test| Observation { test, reading: Reading::Nominal(m.outcome(5, test)) })
        .collect();
    let g = grade(&m, &mut sequencer, &path).expect("grade");
    let after: Vec<&[usize]> = g.steps.iter().map(|s| s.after.as_slice()).collect();
    assert_eq!(after, [&[3, 4, 5][..], &[4, 5], &[4, 5], &[5]]);
    for (step, wanted) in g.steps.iter().zip([17.0 / 25.0, 2.0 / 27.0, 1.0, 0.0]) {
        close(step.regret, wanted, 1e-12);
        assert!(step.proven);
    }
    close(g.regret, 1184.0 / 675.0, 1e-12);
    for (step, wanted) in g.steps.iter().zip([1.8890, 0.6674, 0.0, 0.5025]) {
        close(step.bits, wanted, 5e-5);
    }
    let bits: f64 = g.steps.iter().map(|s| s.bits).sum();
    close(bits, 3.0589, 5e-5);
    let dull: Vec<bool> = g.steps.iter().map(|s| s.uninformative).collect();
    assert_eq!(dull, [false, false, true, false]);
    close(g.cost, 4.0, 1e-12);
    close(g.optimum, 2.18, 1e-12);
    let named = |step: usize, state| verdict(&m, &g.steps[step].after, state, 5).expect("verdict");
    for step in [1, 2] {
        assert_eq!(named(step, 5), Verdict::Lucky);
        assert_eq!(named(step, 4), Verdict::WrongButConsistent);
        assert_eq!(named(step, 1), Verdict::Contradicted);
    }
    assert_eq!(named(3, 5), Verdict::Proved);
}

#[test]
fn a_marginal_reading_excludes_nothing_and_still_costs() {
    let m = matrix();
    let mut sequencer = Sequencer::new(&m).expect("sequencer");
    let path = [Observation { test: 0, reading: Reading::Marginal }];
    let g = grade(&m, &mut sequencer, &path).expect("grade");
    assert_eq!(g.remaining.len(), 6);
    close(g.steps[0].bits, 0.0, 0.0);
    close(g.regret, 0.68, 1e-12);
    assert!(!g.steps[0].uninformative);
}

#[test]
fn a_reading_that_nothing_explains_is_told() {
    let m = matrix();
    let mut sequencer = Sequencer::new(&m).expect("sequencer");
    let read = |test, band| Observation { test, reading: Reading::Nominal(band) };
    let g = grade(&m, &mut sequencer, &[read(0, 1), read(1, 7), read(2, 0)]).expect("grade");
    assert_eq!(g.unexplained_at, Some(1));
    assert!(g.remaining.is_empty());
    assert_eq!(verdict(&m, &g.remaining, 5, 5), Ok(Verdict::Contradicted));
    assert_eq!(
        grade(&m, &mut sequencer, &[read(9, 0)]),
        Err(DiagnosisError::NoSuch { what: "test", index: 9 })
    );
}

#[test]
fn states_with_one_repair_need_no_telling_apart() {
    let m = matrix();
    let mut states = m.states().to_vec();
    states[4].repair = "repair 5".to_owned();
    let rows = (0..6).map(|s| m.row(s).to_vec()).collect();
    let shared = FaultMatrix::new(states, m.tests().to_vec(), rows, true).expect("matrix");
    close(shared.isolated(&[0, 1], 1).expect("ffi").expect("some").weighted, 1.0, 1e-12);
    let best = Sequencer::new(&shared).expect("sequencer").solve();
    assert!(best.cost < 2.18);
    assert_eq!(verdict(&shared, &[4, 5], 4, 5), Ok(Verdict::Proved));
    let leaf = best.tree.nodes.iter().any(
        |n| matches!(n, TreeNode::Leaf { states } if states.contains(&4) && states.contains(&5)),
    );
    assert!(leaf, "{}", best.tree.render(&shared, Words::of(Language::English)));
}

#[test]
fn pairs_can_hide_a_fault_or_mimic_another() {
    let m = matrix();
    let pair = |first, second, row: &[u16]| Pair { first, second, row: row.to_vec() };
    let found = m
        .masking(&[
            pair(2, 5, &[1, 1, 1, 1, 0]),
            pair(1, 3, &[1, 1, 0, 0, 0]),
            pair(1, 2, &[0, 1, 1, 1, 1]),
            pair(1, 4, &[0, 1, 0, 0, 1]),
        ])
        .expect("masking");
    let list: Vec<(usize, Masked)> = found.iter().map(|f| (f.pair, f.looks_like)).collect();
    assert_eq!(list, [(0, Masked::First), (1, Masked::Mimics(4)), (3, Masked::Second)]);
}

#[test]
fn a_matrix_that_does_not_fit_is_refused_with_the_reason() {
    let state = |name: &str, p| State::new(name, p, name);
    let test = || vec![Test::new("t", 1.0)];
    let make = |states, rows| FaultMatrix::new(states, test(), rows, false);
    assert_eq!(make(vec![], vec![]), Err(DiagnosisError::Empty));
    assert!(matches!(
        make(vec![state("a", 0.5), state("b", 0.4)], vec![vec![0], vec![1]]),
        Err(DiagnosisError::PriorSum { .. })
    ));
    assert!(matches!(
        make(vec![state("a", f64::NAN)], vec![vec![0]]),
        Err(DiagnosisError::Prior { .. })
    ));
    assert!(matches!(
        make(vec![state("a", 0.5), state("a", 0.5)], vec![vec![0], vec![1]]),
        Err(DiagnosisError::TwiceNamed { .. })
    ));
    assert!(matches!(
        make(vec![state("a", 0.5), state("b", 0.5)], vec![vec![0], vec![]]),
        Err(DiagnosisError::Row { row: 1, cells: 0, tests: 1 })
    ));
    let dear =
        FaultMatrix::new(vec![state("a", 1.0)], vec![Test::new("t", -1.0)], vec![vec![0]], false);
    assert!(matches!(dear, Err(DiagnosisError::Cost { .. })));
}

#[test]
fn complementary_and_equal_columns_are_redundant() {
    let m = FaultMatrix::new(
        vec![State::new("a", 0.5, "a"), State::new("b", 0.25, "b"), State::new("c", 0.25, "c")],
        (0..4).map(|k| Test::new(&format!("t{k}"), 1.0)).collect(),
        vec![vec![0, 1, 0, 3], vec![1, 0, 1, 3], vec![1, 0, 1, 3]],
        false,
    )
    .expect("matrix");
    let found: Vec<(usize, usize, bool)> =
        m.redundant_tests().iter().map(|r| (r.keep, r.drop, r.equal)).collect();
    assert_eq!(found, [(0, 1, false), (0, 2, true)]);
    assert_eq!(m.idle_tests(), [3]);
}

#[test]
fn entropy_bounds_the_huffman_tree() {
    let priors = [0.70, 0.01, 0.02, 0.10, 0.05, 0.12];
    close(huffman(&priors, 2), 1.59, 1e-12);
    close(entropy_bits(&priors), 1.4549, 5e-5);
}
