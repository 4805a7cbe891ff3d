//! Attempts of a whole class, made up: a careful learner's work with things left out, looked at twice
//! and waited for. Shared with the benchmark of the batch.

use spoolbench::base::Stream;
use spoolbench::scenario::Scenario;
use spoolbench::session::{Entry, Header, JournalWriter, Session, parse, read_actions};

/// What people do besides.
const ASIDE: [&str; 8] = [
    "look 1A1",
    "look 1V1",
    "listen K1",
    "volts K1:A1 K1:A2",
    "volts K2:A1 K2:A2",
    "feel 1V1",
    "wait 4 s",
    "note not sure yet",
];

/// The `k`th attempt of a class at `scenario`, whose careful learner does `list`.
pub fn varied(scenario: &Scenario, list: &str, k: u64) -> Vec<u8> {
    let mut rng = Stream::new(k, "class", "attempts");
    let seed = scenario.seed + k % 5;
    let rig = scenario.rig(seed).expect("a rig");
    let mut session = Session::new(rig, scenario.config());
    let mut bytes = Vec::new();
    let header = Header::new(&scenario.digest, seed, &format!("learner{k}"));
    let mut journal = JournalWriter::new(&mut bytes, &header).expect("a header");
    // From flawless to one line in five left out.
    let careless = rng.below(5);
    for line in read_actions(list).expect("actions") {
        if rng.below(25) < careless {
            continue;
        }
        let mut todo = vec![line.action];
        if rng.below(10) == 0 {
            let aside = ASIDE[rng.below(ASIDE.len() as u64) as usize];
            todo.push(parse(aside).expect("an action"));
        }
        for action in todo {
            let at = session.now().as_nanos();
            if session.act(action.clone()).is_ok() {
                journal.record(&Entry { at, action }).expect("a line");
            }
        }
    }
    bytes
}
