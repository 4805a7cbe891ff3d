//! Trees whose cost is known by mathematics alone.

use crate::diagnosis::{
    Bands, FaultMatrix, Item, Reading, Sequencer, State, Test, best_inspection_with_inference,
    cheapest_path_bound, entropy_bits, huffman,
};

/// All ways to split `priors` in two, at cost 1 each.
fn all_splits(priors: &[f64]) -> FaultMatrix {
    let n = priors.len();
    let sum: f64 = priors.iter().sum();
    FaultMatrix::new(
        (0..n).map(|s| State::new(&format!("s{s}"), priors[s] / sum, &format!("s{s}"))).collect(),
        (1..1_usize << (n - 1)).map(|k| Test::new(&format!("t{k}"), 1.0)).collect(),
        (0..n).map(|s| (1..1_u16 << (n - 1)).map(|k| k >> s & 1).collect()).collect(),
        false,
    )
    .expect("matrix")
}

/// With every split at hand the optimum is Huffman's tree: 8 equal weights, the weights of the
/// coding example of Cormen et al. (Introduction to Algorithms), and those of Cover & Thomas
/// (Elements of Information Theory).
#[test]
fn with_every_split_the_optimum_is_huffmans_tree() {
    for (weights, wanted) in [
        (vec![0.125; 8], 3.0),
        (vec![0.45, 0.13, 0.12, 0.16, 0.09, 0.05], 2.24),
        (vec![0.25, 0.25, 0.2, 0.15, 0.15], 2.3),
    ] {
        let matrix = all_splits(&weights);
        let best = Sequencer::new(&matrix).expect("sequencer").solve();
        assert!((best.cost - wanted).abs() < 1e-12);
        assert!((best.bound - wanted).abs() < 1e-12);
        assert!((huffman(&weights, 2) - wanted).abs() < 1e-12);
        assert!(best.proven && best.gap() < 1e-12);
    }
    assert!((entropy_bits(&[0.125; 8]) - 3.0).abs() < 1e-12);
}

/// One test an item, the last one inferred: the same as the inspection order.
#[test]
fn inspection_with_inference_is_a_sequence_of_tests() {
    let (p, c) = ([0.40, 0.25, 0.20, 0.10, 0.05], [8.0, 3.0, 5.0, 1.0, 2.0]);
    let matrix = FaultMatrix::new(
        (0..5).map(|k| State::new(&format!("s{k}"), p[k], &format!("s{k}"))).collect(),
        (0..5).map(|k| Test::new(&format!("t{k}"), c[k])).collect(),
        (0..5).map(|s| (0..5).map(|t| u16::from(s == t)).collect()).collect(),
        false,
    )
    .expect("matrix");
    let best = Sequencer::new(&matrix).expect("sequencer").solve();
    assert!((best.cost - 7.85).abs() < 1e-12);
    let items: Vec<Item> = (0..5).map(|k| Item { probability: p[k], cost: c[k] }).collect();
    assert!((best_inspection_with_inference(&items).cost - best.cost).abs() < 1e-12);
}

#[test]
fn wide_trees_take_dummy_leaves() {
    // Four equal leaves, three branches: one leaf at depth 1 would be two, less the dummy's place.
    assert!((huffman(&[1.0; 4], 3) - 1.5).abs() < 1e-12);
    assert!((huffman(&[1.0; 9], 3) - 2.0).abs() < 1e-12);
    assert!((huffman(&[5.0], 3)).abs() < 1e-12);
    assert!((cheapest_path_bound(&[1.0, 2.0, 4.0], 2.5) - 5.0).abs() < 1e-12);
}

/// 64 faults along a chain with a test between each two neighbours: the half-split. All sets that
/// turn up are intervals, so that even this size is solved exactly.
#[test]
fn a_long_even_chain_is_half_split() {
    let n = 64;
    let matrix = chain(n, 1.0);
    let best = Sequencer::new(&matrix).expect("sequencer").solve();
    assert!(best.proven);
    assert!((best.cost - 6.0).abs() < 1e-9);
    assert_eq!(best.tree.depth(), 6);
}

#[test]
fn a_spent_budget_gives_a_tree_with_its_gap() {
    let matrix = chain(100, 0.93);
    let mut sequencer = Sequencer::with_budget(&matrix, 2_000).expect("sequencer");
    let found = sequencer.solve();
    assert!(!found.proven);
    assert!(found.cost >= found.bound && found.gap() > 0.0 && found.gap() < 1.0);
    assert!((found.tree.cost(&matrix) - found.cost).abs() < 1e-9);
    let exact = Sequencer::new(&matrix).expect("sequencer").solve();
    assert!(exact.proven && exact.cost <= found.cost + 1e-9);
}

fn chain(n: usize, ratio: f64) -> FaultMatrix {
    let mut weights = vec![1.0];
    for k in 1..n {
        weights.push(weights[k - 1] * ratio);
    }
    let sum: f64 = weights.iter().sum();
    FaultMatrix::new(
        (0..n).map(|s| State::new(&format!("s{s}"), weights[s] / sum, &format!("s{s}"))).collect(),
        (1..n).map(|t| Test::new(&format!("t{t}"), 1.0)).collect(),
        (0..n).map(|s| (1..n).map(|t| u16::from(s >= t)).collect()).collect(),
        false,
    )
    .expect("matrix")
}

#[test]
fn readings_near_an_edge_are_marginal() {
    let bands = Bands { edges: vec![10.0, 20.0], margin: 0.5 };
    assert_eq!(bands.read(3.0), Reading::Nominal(0));
    assert_eq!(bands.read(9.6), Reading::Marginal);
    assert_eq!(bands.read(15.0), Reading::Nominal(1));
    assert_eq!(bands.read(20.5), Reading::Marginal);
    assert_eq!(bands.read(99.0), Reading::Nominal(2));
    assert_eq!(bands.read(f64::NAN), Reading::Marginal);
}
