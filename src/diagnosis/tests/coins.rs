//! Ternary tests: one of 12 coins is heavy or light; three weighings find it and say which, and on
//! average no fewer do. 13 coins need four. (Classical; recomputed by search beforehand.)

use crate::diagnosis::{FaultMatrix, Sequencer, State, Test};

/// All weighings of equally many coins with at most `most` on each pan, mirror images left out.
fn weighings(coins: usize, most: u32) -> FaultMatrix {
    // State 2k: coin k is heavy; 2k + 1: light.
    let mut tests = Vec::new();
    let mut columns: Vec<Vec<i8>> = Vec::new();
    let mut pans = vec![-1_i8; coins];
    loop {
        // Count in ternary over -1, 0, 1.
        let mut at = 0;
        while at < coins && pans[at] == 1 {
            pans[at] = -1;
            at += 1;
        }
        if at == coins {
            break;
        }
        pans[at] += 1;
        let count = |side: i8| pans.iter().filter(|p| **p == side).count() as u32;
        let first = pans.iter().find(|p| **p != 0);
        if count(1) == count(-1) && count(1) <= most && first == Some(&1) {
            tests.push(Test::new(&format!("weighing {}", tests.len()), 1.0));
            columns.push(pans.clone());
        }
    }
    let p = 1.0 / (2 * coins) as f64;
    let states = (0..2 * coins)
        .map(|s| State::new(&format!("state {s}"), p, &format!("state {s}")))
        .collect();
    let outcomes = (0..2 * coins)
        .map(|s| {
            let sign = if s % 2 == 0 { 1 } else { -1 };
            columns.iter().map(|pans| (pans[s / 2] * sign + 1) as u16).collect()
        })
        .collect();
    FaultMatrix::new(states, tests, outcomes, false).expect("matrix")
}

#[test]
fn twelve_coins_take_three_weighings() {
    let matrix = weighings(12, 6);
    // Central trinomial coefficient of 12, less the empty weighing, halved.
    assert_eq!(matrix.tests().len(), 36_894);
    let mut sequencer = Sequencer::with_budget(&matrix, 100_000_000).expect("sequencer");
    let best = sequencer.solve();
    assert!((best.cost - 3.0).abs() < 1e-12, "{}", best.cost);
    assert!(best.proven);
    assert_eq!(sequencer.worst_case(), Some(3));
}

#[test]
fn thirteen_coins_take_four() {
    // With at most 4 or 5 on a pan; more on a pan leaves more than 9 of the 26 states on one side,
    // and so does every other first weighing: 9 is what two weighings can tell apart.
    let matrix = weighings(13, 5);
    let mut sequencer = Sequencer::with_budget(&matrix, 100_000_000).expect("sequencer");
    assert_eq!(sequencer.worst_case(), Some(4));
    let all = weighings(13, 6);
    for t in 0..all.tests().len() {
        let largest = (0..3)
            .map(|band| (0..26).filter(|&s| all.outcome(s, t) == band).count())
            .max()
            .expect("a part");
        assert!(largest > 9);
    }
}
