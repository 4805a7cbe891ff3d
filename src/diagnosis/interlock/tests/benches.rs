//! What is known by hand of the shipped machines.

use super::{contact, english, operator, shipped, winding};
use crate::base::{PistonId, SpoolId};
use crate::diagnosis::interlock::{
    Fault, Finding, InterlockReport, Limits, Options, Output, Property, SafeState, Verdict, check,
    check_under,
};

const SPOOL: SpoolId = SpoolId::new(0);
const TRANSIENT: Property = Property::NotBothCoils { spool: SPOOL, settled: false };
const SETTLED: Property = Property::NotBothCoils { spool: SPOOL, settled: true };

fn restarts_none(report: &InterlockReport) {
    let restarts: Vec<&Finding> = report
        .findings
        .iter()
        .filter(|f| matches!(f.property, Property::NoRestart { .. }))
        .collect();
    assert!(restarts.len() > 3);
    assert!(restarts.iter().all(|f| f.verdict == Verdict::Holds));
}

#[test]
fn the_press_as_shipped_never_has_both_coils_on() {
    let plan = shipped("press.bench.ron");
    let piston = PistonId::new(0);
    let options = Options { safe: vec![(piston, SafeState::Held)], ..Options::default() };
    let report = check(&plan, &options).expect("report");
    println!("{}", report.extent());
    for property in [
        TRANSIENT,
        SETTLED,
        Property::OutWithoutSupply,
        Property::SafeWithoutSupply { piston, safe: SafeState::Held },
        Property::StopDominates { stop: operator(&plan, "S0") },
        Property::StopDominates { stop: operator(&plan, "S3") },
        Property::NoBuzzing,
        Property::Reachable,
        Property::NoTrap,
    ] {
        assert_eq!(report.verdict(property), Some(&Verdict::Holds), "{property:?}");
    }
    restarts_none(&report);
    // Whoever of K1 and K2 is first, when both buttons are held and the way is freed for both.
    let race = report.counterexample(Property::NoRace).expect("a race");
    let text = race.text(&plan, english());
    assert!(text.contains("K1 (Press) picks up") && text.contains("K2 (Lift) picks up"), "{text}");
}

/// The main stage goes where the pilot stage lets pressure, so that the blade moves at all; a main
/// stage that stood still could reach neither end.
#[test]
fn the_cutter_reaches_everything_through_its_main_stage() {
    let plan = shipped("cutter.bench.ron");
    let report = check(&plan, &Options::default()).expect("report");
    assert_eq!(report.verdict(Property::Reachable), Some(&Verdict::Holds));
    assert_eq!(report.verdict(SETTLED), Some(&Verdict::Holds));
    // With the blade down the sensor calls for the way up as soon as the supply returns.
    let up = operator(&plan, "K3");
    let of_k3 = |f: &&Finding| matches!(f.property, Property::NoRestart { .. });
    let restarts = report.findings.iter().filter(of_k3);
    let texts: Vec<String> = restarts
        .filter_map(|f| Some(report.counterexample(f.property)?.text(&plan, english())))
        .collect();
    let name = &plan.operators[up.index()].name;
    assert!(
        texts.iter().any(|t| t.contains("main spool shifts to a") && t.contains(name.as_str())),
        "{texts:?}"
    );
}

#[test]
fn a_bridged_cross_contact_lets_both_coils_on_for_a_moment() {
    let plan = shipped("press.bench.ron");
    let bridged = Fault::Welded(contact(&plan, "K1:21-22"));
    let report = check_under(&plan, &Options::default(), Some(bridged)).expect("report");
    assert_eq!(report.verdict(SETTLED), Some(&Verdict::Holds));
    let found = report.counterexample(TRANSIENT).expect("a counterexample");
    assert_eq!(
        found.text(&plan, english()),
        "the coils of 1V1 are never both on\n\
         with one fault: K1:21-22 always conducts\n\
         1. press S1 (Press); coil K1 on\n\
         2. K1 (Press) picks up; 1V1.a on\n\
         3. press S2 (Lift); coil K2 on\n\
         4. K2 (Lift) picks up; coil K1 off; 1V1.b on\n"
    );
}

#[test]
fn the_pusher_stops_and_stays_stopped() {
    let plan = shipped("pusher.bench.ron");
    let report = check(&plan, &Options::default()).expect("report");
    for property in [
        Property::OutWithoutSupply,
        Property::StopDominates { stop: operator(&plan, "S0") },
        Property::NoBuzzing,
        Property::Reachable,
        Property::NoTrap,
    ] {
        assert_eq!(report.verdict(property), Some(&Verdict::Holds), "{property:?}");
    }
    restarts_none(&report);
    // One coil only: there are no two to be on.
    assert_eq!(report.verdict(TRANSIENT), None);
    // The car pushes the rod back when the valve returns, so that the axis is not held.
    let piston = PistonId::new(0);
    let held = Property::SafeWithoutSupply { piston, safe: SafeState::Held };
    let inwards = Property::SafeWithoutSupply { piston, safe: SafeState::In };
    let options = Options {
        safe: vec![(piston, SafeState::Held), (piston, SafeState::In)],
        ..Options::default()
    };
    let report = check(&plan, &options).expect("report");
    assert!(report.counterexample(held).is_some());
    assert_eq!(report.verdict(inwards), Some(&Verdict::Holds));
}

/// The selector stays where it is turned: that is found as a restart, and it is one.
#[test]
fn the_door_opens_again_by_itself_when_the_selector_was_left_on() {
    let plan = shipped("door.bench.ron");
    let report = check(&plan, &Options::default()).expect("report");
    println!("{}", report.extent());
    let coil = |name: &str| Output::Coil(winding(&plan, name));
    let restart = |output| report.counterexample(Property::NoRestart { output });
    assert_eq!(
        restart(coil("1V1.a")).expect("a restart").text(&plan, english()),
        "1V1.a stays off when the supply returns or an emergency stop is released\n\
         1. K2 (Supply healthy) picks up; 2V1.a on\n\
         2. open Q0 (Main switch); coil K2 off; 2V1.a off\n\
         3. K2 (Supply healthy) drops out\n\
         4. turn S1 (Open the door) on\n\
         5. close Q0 (Main switch); coil K1 on; coil K2 on\n\
         6. K1 (Door open) picks up; 1V1.a on\n"
    );
    // The dump valve and the relay that watches the supply come back by design.
    assert!(restart(coil("2V1.a")).is_some());
    assert!(restart(Output::Relay(operator(&plan, "K2"))).is_some());
    // Only the pump has a button and a holding contact.
    assert!(restart(Output::Pump(crate::base::PumpId::new(0))).is_none());
    assert!(restart(Output::Relay(operator(&plan, "KM"))).is_none());
    assert_eq!(
        report.verdict(Property::StopDominates { stop: operator(&plan, "S0") }),
        Some(&Verdict::Holds)
    );
}

#[test]
fn a_limit_is_told_and_nothing_is_called_safe() {
    let plan = shipped("press.bench.ron");
    let options =
        Options { limits: Limits { states: 50, ..Limits::default() }, ..Options::default() };
    let report = check(&plan, &options).expect("report");
    assert_eq!(report.states, 50);
    assert!(!report.exhausted);
    assert!(report.extent().to_string().ends_with("not exhausted"), "{}", report.extent());
    assert_eq!(report.verdict(TRANSIENT), Some(&Verdict::Undecided));
    assert_eq!(report.verdict(Property::NoTrap), Some(&Verdict::Undecided));
}

#[test]
fn the_same_bench_gives_the_same_report() {
    let plan = shipped("door.bench.ron");
    let first = check(&plan, &Options::default()).expect("report");
    assert_eq!(first, check(&plan, &Options::default()).expect("report"));
}

/// Of the size that a training bench has.
#[test]
fn two_axes_with_timers_are_exhausted() {
    let plan = super::two_axes();
    let report = check(&plan, &Options::default()).expect("report");
    println!("{}", report.extent());
    for f in &report.findings {
        match &f.verdict {
            Verdict::Broken(c) => println!("{}", c.text(&plan, english())),
            other => println!("{}: {other:?}", f.property.describe(&plan)),
        }
    }
    assert!(report.exhausted);
    assert_eq!(report.verdict(TRANSIENT), Some(&Verdict::Holds));
    assert_eq!(report.verdict(Property::Reachable), Some(&Verdict::Holds));
    assert_eq!(report.verdict(Property::OutWithoutSupply), Some(&Verdict::Holds));
}
