//! Random rungs, judged as switching expressions on one side and as wires on the other.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::small::circuit;
use crate::diagnosis::interlock::explore::{Exploration, Limits};
use crate::diagnosis::interlock::model::Model;
use crate::diagnosis::interlock::{Options, Property, check};

/// What a contact belongs to: S1, S2, K1, K2, K3.
const TAGS: [&str; 5] = ["S1", "S2", "K1", "K2", "K3"];

#[derive(Clone, Debug)]
enum Path {
    /// Tag, and whether the contact is normally closed.
    Contact(usize, bool),
    Series(Vec<Path>),
    Parallel(Vec<Path>),
}

impl Path {
    fn conducts(&self, acts: [bool; 5]) -> bool {
        match self {
            Path::Contact(tag, closed) => acts[*tag] != *closed,
            Path::Series(list) => list.iter().all(|p| p.conducts(acts)),
            Path::Parallel(list) => list.iter().any(|p| p.conducts(acts)),
        }
    }

    /// As written in a bench file; each contact takes the next free pair of terminals of its part.
    fn write(&self, used: &mut [Vec<bool>; 5]) -> String {
        match self {
            Path::Contact(tag, closed) => {
                used[*tag].push(*closed);
                let k = used[*tag].len();
                let (a, b) = if *closed { (1, 2) } else { (3, 4) };
                format!("{}:{k}{a}-{k}{b}", TAGS[*tag])
            }
            Path::Series(list) => list.iter().map(|p| p.write(used)).collect::<Vec<_>>().join(", "),
            Path::Parallel(list) => {
                format!("({})", list.iter().map(|p| p.write(used)).collect::<Vec<_>>().join(" | "))
            }
        }
    }
}

fn path() -> impl Strategy<Value = Path> {
    let contact = (0_usize..5, any::<bool>()).prop_map(|(t, c)| Path::Contact(t, c));
    let pair = prop::collection::vec(contact.clone(), 1..3).prop_map(Path::Series);
    let either = prop::collection::vec(pair, 2..3).prop_map(Path::Parallel);
    prop_oneof![
        contact.clone(),
        (contact.clone(), either.clone()).prop_map(|(c, e)| Path::Series(vec![c, e])),
        (either, contact).prop_map(|(e, c)| Path::Series(vec![e, c])),
    ]
}

/// Main switch, then S1, S2, K1, K2, K3.
type State = (bool, [bool; 5]);

fn next(state: State, paths: &[Path; 3]) -> Vec<State> {
    let (live, acts) = state;
    let mut list = Vec::new();
    for (k, path) in paths.iter().enumerate() {
        let coil = live && path.conducts(acts);
        if coil != acts[2 + k] {
            let mut after = acts;
            after[2 + k] = coil;
            list.push((live, after));
        }
    }
    if list.is_empty() {
        list.push((!live, acts));
        for k in 0..2 {
            let mut after = acts;
            after[k] = !after[k];
            list.push((live, after));
        }
    }
    list
}

/// Relay moves only.
fn settles(state: State, paths: &[Path; 3]) -> Vec<State> {
    let list = next(state, paths);
    let moves_relay = |s: &State| s.0 == state.0 && s.1[..2] == state.1[..2];
    if list.iter().all(moves_relay) { list } else { Vec::new() }
}

/// Whether relay moves lead from `from` back to it.
fn cycles(from: State, paths: &[Path; 3]) -> bool {
    let mut seen = BTreeSet::new();
    let mut open = settles(from, paths);
    while let Some(s) = open.pop() {
        if s == from {
            return true;
        }
        if seen.insert(s) {
            open.extend(settles(s, paths));
        }
    }
    false
}

/// Settled states that relay moves lead to from `from`.
fn ends(from: State, paths: &[Path; 3]) -> BTreeSet<State> {
    let mut seen = BTreeSet::new();
    let mut open = vec![from];
    let mut ends = BTreeSet::new();
    while let Some(s) = open.pop() {
        if seen.insert(s) {
            let list = settles(s, paths);
            if list.is_empty() {
                ends.insert(s);
            }
            open.extend(list);
        }
    }
    ends
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..Default::default() })]

    #[test]
    fn wires_give_the_states_of_the_expressions(a in path(), b in path(), c in path()) {
        let paths = [a, b, c];
        let mut used: [Vec<bool>; 5] = Default::default();
        let rungs: Vec<String> = paths
            .iter()
            .enumerate()
            .map(|(k, p)| format!("{}, K{}:A1-A2", p.write(&mut used), k + 1))
            .collect();
        prop_assume!(used.iter().all(|u| u.len() < 10));
        let parts: String = TAGS
            .iter()
            .zip(&used)
            .map(|(tag, used)| {
                let class = if tag.starts_with('S') { "PushButton" } else { "Relay" };
                let list: Vec<String> = used
                    .iter()
                    .enumerate()
                    .map(|(k, closed)| {
                        let k = k + 1;
                        if *closed { format!("\"{k}1-{k}2\"") } else { format!("\"{k}3-{k}4\"") }
                    })
                    .collect();
                let list = if list.is_empty() { "\"13-14\"".to_owned() } else { list.join(", ") };
                format!("\"{tag}\": {class}(title: \"{tag}\", contacts: [{list}]),")
            })
            .collect();
        let plan = circuit(&parts, &rungs.iter().map(String::as_str).collect::<Vec<_>>());
        let model = Model::new(&plan, None, false).expect("model");
        let explored = Exploration::new(&model, Limits::default());

        let mut seen = BTreeSet::from([(true, [false; 5])]);
        let mut open: Vec<State> = seen.iter().copied().collect();
        let mut transitions = 0;
        while let Some(s) = open.pop() {
            for t in next(s, &paths) {
                transitions += 1;
                if seen.insert(t) {
                    open.push(t);
                }
            }
        }
        prop_assert_eq!(explored.states.len(), seen.len());
        prop_assert_eq!(explored.transitions, transitions);

        let report = check(&plan, &Options::default()).expect("report");
        let buzzes = seen.iter().any(|s| cycles(*s, &paths));
        prop_assert_eq!(report.counterexample(Property::NoBuzzing).is_some(), buzzes);
        let races = seen.iter().any(|s| !cycles(*s, &paths) && ends(*s, &paths).len() > 1);
        prop_assert_eq!(report.counterexample(Property::NoRace).is_some(), races);
    }
}
