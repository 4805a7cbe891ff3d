//! Several faults at once, and looking into one item after another.

use crate::diagnosis::{
    DiagnosisError, Item, best_inspection_with_inference, expected_inspection_cost,
    inspection_by_ratio, minimal_conflicts, minimal_hitting_sets,
};

const NAMES: [&str; 5] = ["M1", "M2", "M3", "A1", "A2"];

fn named(sets: &[Vec<usize>]) -> Vec<String> {
    sets.iter().map(|set| set.iter().map(|&k| NAMES[k]).collect::<Vec<_>>().join(" ")).collect()
}

/// The polybox: X = A C, Y = B D, Z = C E, F = X + Y, G = Y + Z, with inputs 3 2 2 3 3 and readings
/// F = 10, G = 12 (de Kleer & Williams, "Diagnosing multiple faults", AI 32, 1987).
fn consistent(sound: &[usize], probe_x: Option<i64>) -> bool {
    // Whole numbers suffice: every relation has coefficients 0 and 1.
    (0..=30).any(|x| {
        (0..=30).any(|y| {
            (0..=30).any(|z| {
                probe_x.is_none_or(|p| x == p)
                    && sound.iter().all(|part| match part {
                        0 => x == 6,
                        1 => y == 6,
                        2 => z == 6,
                        3 => x + y == 10,
                        _ => y + z == 12,
                    })
            })
        })
    })
}

#[test]
fn the_polybox_has_two_conflicts_and_four_diagnoses() {
    let conflicts = minimal_conflicts(5, |s| consistent(s, None)).expect("conflicts");
    assert_eq!(named(&conflicts), ["M1 M2 A1", "M1 M3 A1 A2"]);
    let diagnoses = minimal_hitting_sets(&conflicts).expect("diagnoses");
    assert_eq!(named(&diagnoses), ["M1", "A1", "M2 M3", "M2 A2"]);
}

#[test]
fn a_probe_at_x_narrows_the_polybox() {
    let after = |x| {
        let conflicts = minimal_conflicts(5, |s| consistent(s, Some(x))).expect("conflicts");
        named(&minimal_hitting_sets(&conflicts).expect("diagnoses"))
    };
    assert_eq!(after(4), ["M1"]);
    assert_eq!(after(6), ["A1", "M2 M3", "M2 A2"]);
}

#[test]
fn hitting_sets_have_their_edges() {
    assert_eq!(minimal_hitting_sets(&[]), Ok(vec![vec![]]));
    assert_eq!(minimal_hitting_sets(&[vec![]]), Ok(vec![]));
    assert!(matches!(
        minimal_hitting_sets(&[vec![128]]),
        Err(DiagnosisError::TooLarge { what: "parts", .. })
    ));
    let apart: Vec<Vec<usize>> = (0..40).map(|k| vec![3 * k, 3 * k + 1, 3 * k + 2]).collect();
    assert!(matches!(
        minimal_hitting_sets(&apart),
        Err(DiagnosisError::TooLarge { what: "hitting sets", .. })
    ));
}

/// Every order of `left` appended to `done`.
fn orders(done: Vec<usize>, left: &[usize], out: &mut Vec<Vec<usize>>) {
    if left.is_empty() {
        out.push(done);
        return;
    }
    for &k in left {
        let mut next = done.clone();
        next.push(k);
        let rest: Vec<usize> = left.iter().copied().filter(|&j| j != k).collect();
        orders(next, &rest, out);
    }
}

/// Figures found by trying all 120 orders beforehand; tried again here.
#[test]
fn cost_per_probability_is_best_until_the_last_may_be_inferred() {
    let items: Vec<Item> = [(0.40, 8.0), (0.25, 3.0), (0.20, 5.0), (0.10, 1.0), (0.05, 2.0)]
        .into_iter()
        .map(|(probability, cost)| Item { probability, cost })
        .collect();
    let mut all = Vec::new();
    orders(Vec::new(), &[0, 1, 2, 3, 4], &mut all);
    assert_eq!(all.len(), 120);
    let least = |infer: bool| {
        all.iter().map(|o| expected_inspection_cost(&items, o, infer)).fold(f64::INFINITY, f64::min)
    };
    let looked = inspection_by_ratio(&items);
    assert_eq!(looked.order, [3, 1, 0, 2, 4]);
    assert!((looked.cost - 10.25).abs() < 1e-12);
    assert!((least(false) - 10.25).abs() < 1e-12);
    let inferred = best_inspection_with_inference(&items);
    assert_eq!(inferred.order, [3, 1, 2, 4, 0]);
    assert!((inferred.cost - 7.85).abs() < 1e-12);
    assert!((least(true) - 7.85).abs() < 1e-12);
}
