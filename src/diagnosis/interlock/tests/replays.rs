//! Counterexamples of the model, tried on the full simulation.

use super::{contact, english, operator, shipped, winding};
use crate::base::{PistonId, SpoolId};
use crate::diagnosis::interlock::{
    Fault, Onset, Options, Output, Property, Replay, check, check_faults, check_under, replay,
};

const SPOOL: SpoolId = SpoolId::new(0);

/// With the shipped relays, slow to pick up, the opposite contact is always open in time; with quick
/// ones it hangs on tolerances.
#[test]
fn both_coils_for_a_moment_is_confirmed_on_a_press_with_quick_relays() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/press.bench.ron");
    let source = std::fs::read_to_string(path).expect("the press");
    let quick = source.replace("operate: \"20 ms\", ", "");
    assert_ne!(source, quick);
    let mut found = crate::diagnostic::Diagnostics::new();
    let bench = crate::bench::load("quick.bench.ron", &quick, &mut found).expect("a bench");
    let plan = std::sync::Arc::new(bench.plan);
    for name in ["K1:21-22", "K2:21-22"] {
        let fault = Fault::Welded(contact(&plan, name));
        let report = check_under(&plan, &Options::default(), Some(fault)).expect("report");
        let property = Property::NotBothCoils { spool: SPOOL, settled: false };
        let found = report.counterexample(property).expect("a counterexample");
        let shown = replay(&plan, found).expect("a run");
        println!("{name}: {shown:?}");
        assert!(shown.is_confirmed(), "{shown:?}");
    }
}

#[test]
fn a_welded_output_and_a_dead_stop_are_confirmed_on_the_press() {
    let plan = shipped("press.bench.ron");
    let settled = Property::NotBothCoils { spool: SPOOL, settled: true };
    let stop = Property::StopDominates { stop: operator(&plan, "S0") };
    for onset in [Onset::Static, Onset::Arising] {
        for (name, property) in [("K1:13-14", settled), ("K1:13-14", stop), ("S0:21-22", stop)] {
            let fault = Fault::Welded(contact(&plan, name));
            let found = check_faults(&plan, &Options::default(), &[fault], onset).expect("found");
            let found = found[0].report.counterexample(property).expect("a counterexample");
            let shown = replay(&plan, found).expect("a run");
            println!("{name} {onset:?}: {shown:?}");
            assert!(shown.is_confirmed(), "{name} {onset:?}: {shown:?}");
        }
    }
}

#[test]
fn the_doors_restart_is_confirmed() {
    let plan = shipped("door.bench.ron");
    let report = check(&plan, &Options::default()).expect("report");
    for output in [
        Output::Coil(winding(&plan, "1V1.a")),
        Output::Relay(operator(&plan, "K2")),
        Output::Axis(PistonId::new(0)),
    ] {
        let found = report.counterexample(Property::NoRestart { output }).expect("a restart");
        let shown = replay(&plan, found).expect("a run");
        println!("{}{shown:?}", found.text(&plan, english()));
        assert!(shown.is_confirmed() || matches!(output, Output::Axis(_)));
    }
}

/// The model finds the race of K1 and K2; in the simulation tolerances decide it.
#[test]
fn the_race_of_the_press_is_replayed_with_several_tolerances() {
    let plan = shipped("press.bench.ron");
    let report = check(&plan, &Options::default()).expect("report");
    let found = report.counterexample(Property::NoRace).expect("a race");
    let shown = replay(&plan, found).expect("a run");
    println!("{}{shown:?}", found.text(&plan, english()));
}

/// A counterexample with steps that do not come is not confirmed.
#[test]
fn what_cannot_be_done_is_not_confirmed() {
    let plan = shipped("press.bench.ron");
    let fault = Fault::Welded(contact(&plan, "K1:21-22"));
    let report = check_under(&plan, &Options::default(), Some(fault)).expect("report");
    let property = Property::NotBothCoils { spool: SPOOL, settled: false };
    let mut found = report.counterexample(property).expect("a counterexample").clone();
    found.steps.remove(0);
    assert!(matches!(replay(&plan, &found), Ok(Replay::AbstractOnly { .. })));
}
