//! Bounds that no sequence of tests can beat.

use crate::base::ops;

/// Entropy [bit] of a distribution given by weights of any positive sum.
#[must_use]
pub fn entropy_bits(weights: &[f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    let mut sorted: Vec<f64> = weights.iter().map(|w| w / sum).filter(|q| *q > 0.0).collect();
    // Sorted, so that equal distributions give equal bits whatever their order.
    sorted.sort_by(f64::total_cmp);
    (0.0 - sorted.iter().map(|q| q * ops::log2(*q)).sum::<f64>()).max(0.0)
}

/// Expected length [tests] of the best tree with `arity` branches at each node over `weights`, which
/// may sum to anything positive: Huffman's construction, with leaves of no weight added so that
/// every merge is full.
#[must_use]
pub fn huffman(weights: &[f64], arity: usize) -> f64 {
    let arity = arity.max(2);
    if weights.len() < 2 {
        return 0.0;
    }
    let sum: f64 = weights.iter().sum();
    let mut leaves = weights.to_vec();
    while !(leaves.len() - 1).is_multiple_of(arity - 1) {
        leaves.push(0.0);
    }
    leaves.sort_by(f64::total_cmp);
    // Two queues: leaves in order, and merges, which come out in order by themselves.
    let (mut merged, mut next_leaf, mut next_merge) = (Vec::new(), 0, 0);
    let mut total = 0.0;
    let mut left = leaves.len();
    while left > 1 {
        let mut weight = 0.0;
        for _ in 0..arity {
            let leaf = leaves.get(next_leaf);
            let merge: Option<&f64> = merged.get(next_merge);
            match (leaf, merge) {
                (Some(l), Some(m)) if l > m => {
                    weight += m;
                    next_merge += 1;
                }
                (Some(l), _) => {
                    weight += l;
                    next_leaf += 1;
                }
                (None, Some(m)) => {
                    weight += m;
                    next_merge += 1;
                }
                (None, None) => {}
            }
        }
        total += weight;
        merged.push(weight);
        left -= arity - 1;
    }
    total / sum
}

/// Least expected cost of a path of `expected_tests` tests [1], each used at most once: the cheapest
/// ones first. `sorted_costs` ascend.
///
/// Jensen's inequality on the convex cumulative cost (Pattipati & Alexandridis, "Application of
/// heuristic search and information theory to sequential fault diagnosis", IEEE Trans. SMC 20(4),
/// 1990; from memory).
#[must_use]
pub fn cheapest_path_bound(sorted_costs: &[f64], expected_tests: f64) -> f64 {
    let mut left = expected_tests;
    let mut bound = 0.0;
    for cost in sorted_costs {
        if left <= 0.0 {
            break;
        }
        bound += cost * left.min(1.0);
        left -= 1.0;
    }
    bound
}
