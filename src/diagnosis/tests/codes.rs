//! Many-valued tests at scale: a code of 4 pegs in 6 colours, every guess a test of 14 outcomes, and
//! naming the code is itself a test. Totals over the 1296 codes: minimax 5801 with at most 5 guesses
//! (Knuth, "The computer as master mind", J. Recreational Math. 9, 1976), expected size 5696, entropy
//! 5722, most parts 5668 (Kooi, "Yet another mastermind strategy", ICGA J. 28, 2005; all but 5801
//! from memory, and found by computation beforehand).

use crate::diagnosis::{FaultMatrix, Rule, State, Test, policy_cost};

/// Band of the guess that is the code.
const NAMED: u16 = 13;

fn pegs(code: usize) -> [usize; 4] {
    [code / 216, code / 36 % 6, code / 6 % 6, code % 6]
}

/// Right places, then right colours in wrong places, packed into 0..=13 with 13 for four right.
fn answer(a: [usize; 4], b: [usize; 4]) -> u16 {
    let right = a.iter().zip(&b).filter(|(x, y)| x == y).count();
    let common: usize = (0..6)
        .map(|c| {
            let count = |p: &[usize; 4]| p.iter().filter(|x| **x == c).count();
            count(&a).min(count(&b))
        })
        .sum();
    match (right, common) {
        (4, _) => NAMED,
        (3, _) => 12,
        // 0..=4 common without a right place, 1..=4 with one, 2..=4 with two.
        (0, n) => n as u16,
        (1, n) => 4 + n as u16,
        (_, n) => 7 + n as u16,
    }
}

#[test]
fn four_rules_need_their_published_totals() {
    let states = (0..1296)
        .map(|c| State::new(&format!("code {c}"), 1.0 / 1296.0, &format!("code {c}")))
        .collect();
    let tests = (0..1296).map(|c| Test::new(&format!("guess {c}"), 1.0)).collect();
    let outcomes = (0..1296)
        .map(|code| (0..1296).map(|guess| answer(pegs(code), pegs(guess))).collect())
        .collect();
    let matrix = FaultMatrix::new(states, tests, outcomes, false).expect("matrix");
    for (rule, total, most) in [
        (Rule::WorstPart, 5801, Some(5)),
        (Rule::ExpectedPart, 5696, None),
        (Rule::Entropy, 5722, None),
        (Rule::MostParts, 5668, None),
    ] {
        let found = policy_cost(&matrix, rule, Some(NAMED)).expect("policy");
        assert_eq!((found.cost * 1296.0).round() as i64, total, "{rule:?}");
        assert!((found.cost * 1296.0 - total as f64).abs() < 1e-6);
        if let Some(most) = most {
            assert_eq!(found.depth, most);
        }
    }
}
