//! Small circuits with one thing wrong, or right, each.

use super::{english, from_text, operator};
use crate::diagnosis::interlock::{Limits, Options, Output, Property, Verdict, check};
use crate::language::Phrase;

pub fn circuit(parts: &str, rungs: &[&str]) -> std::sync::Arc<crate::plant::Plan> {
    let rungs: Vec<String> = rungs
        .iter()
        .map(|path| format!("Rung(from: \"F1:2\", to: \"G1:-\", path: \"{path}\"),"))
        .collect();
    from_text(
        "small.bench.ron",
        &format!(
            "Bench(format: 1, name: \"Small\", parts: {{
                \"Q0\": Isolator(title: \"Main switch\"),
                \"G1\": DcSupply(title: \"Supply\", voltage: \"24 V DC\", behind: \"Q0\"),
                \"F1\": Fuse(title: \"Fuse\", rating: \"4 A\"),
                {parts}
            }}, wires: [\"G1:+ F1:1\"], rungs: [{}])",
            rungs.concat()
        ),
    )
}

#[test]
fn a_relay_that_breaks_its_own_coil_buzzes() {
    let plan = circuit(
        r#""S1": PushButton(title: "Bell"), "K1": Relay(title: "Bell", contacts: ["11-12"]),"#,
        &["S1:13-14, K1:11-12, K1:A1-A2"],
    );
    let report = check(&plan, &Options::default()).expect("report");
    let found = report.counterexample(Property::NoBuzzing).expect("buzzing");
    assert_eq!(
        found.text(&plan, english()),
        "the relays come to rest\n\
         1. press S1 (Bell); coil K1 on\n\
         and again and again:\n\
         2. K1 (Bell) picks up; coil K1 off\n\
         3. K1 (Bell) drops out; coil K1 on\n"
    );
}

#[test]
fn a_start_that_wins_over_the_stop_is_found() {
    // The stop breaks only the holding contact.
    let parts = r#""S0": PushButton(title: "Stop", contacts: ["21-22"]),
        "S1": PushButton(title: "Start"), "K1": Relay(title: "Run"),"#;
    let wrong = circuit(parts, &["(S1:13-14 | S0:21-22, K1:13-14), K1:A1-A2"]);
    let stop = Property::StopDominates { stop: operator(&wrong, "S0") };
    let report = check(&wrong, &Options::default()).expect("report");
    let found = report.counterexample(stop).expect("a counterexample");
    assert_eq!(
        found.text(&wrong, english()),
        "while S0 is held, what it switches off stays off\n\
         1. press S0 (Stop)\n\
         2. press S1 (Start); coil K1 on\n\
         3. K1 (Run) picks up\n"
    );
    let right = circuit(parts, &["S0:21-22, (S1:13-14 | K1:13-14), K1:A1-A2"]);
    let report = check(&right, &Options::default()).expect("report");
    assert_eq!(report.verdict(stop), Some(&Verdict::Holds));
}

/// An on-delay, an off-delay, and a relay that wants both.
pub fn timers() -> std::sync::Arc<crate::plant::Plan> {
    circuit(
        r#""S1": PushButton(title: "Go"),
        "K1": Relay(title: "Late", function: "on delay", delay: "2 s"),
        "K2": Relay(title: "Lasting", function: "off delay", delay: "3 s"),
        "K3": Relay(title: "After both"),"#,
        &["S1:13-14, K1:A1-A2", "S1:13-14, K2:A1-A2", "K1:13-14, K2:13-14, K3:A1-A2"],
    )
}

#[test]
fn timers_run_stop_and_elapse() {
    let plan = timers();
    let report = check(&plan, &Options::default()).expect("report");
    for property in
        [Property::Reachable, Property::OutWithoutSupply, Property::NoBuzzing, Property::NoTrap]
    {
        assert_eq!(report.verdict(property), Some(&Verdict::Holds), "{property:?}");
    }
}

#[test]
fn crossed_relays_race_and_with_together_they_buzz() {
    let parts = r#""S1": PushButton(title: "Both", contacts: ["13-14", "23-24"]),
        "K1": Relay(title: "One", contacts: ["11-12"]),
        "K2": Relay(title: "Other", contacts: ["11-12"]),"#;
    let plan = circuit(parts, &["S1:13-14, K2:11-12, K1:A1-A2", "S1:23-24, K1:11-12, K2:A1-A2"]);
    let report = check(&plan, &Options::default()).expect("report");
    let race = report.counterexample(Property::NoRace).expect("a race");
    assert_eq!(race.steps.len(), 2);
    assert_eq!(race.then.len(), 1);
    assert_eq!(report.verdict(Property::NoBuzzing), Some(&Verdict::Holds));
    let options =
        Options { limits: Limits { together: true, ..Limits::default() }, ..Options::default() };
    let report = check(&plan, &options).expect("report");
    let buzz = report.counterexample(Property::NoBuzzing).expect("a cycle");
    assert_eq!(buzz.then.len(), 2);
}

#[test]
fn a_relay_that_nothing_feeds_is_never_reached() {
    let plan = circuit(
        r#""S1": PushButton(title: "Go"), "K1": Relay(title: "In its own way", contacts: ["13-14"]),"#,
        &["S1:13-14, K1:13-14, K1:A1-A2"],
    );
    let report = check(&plan, &Options::default()).expect("report");
    assert_eq!(
        report.verdict(Property::Reachable),
        Some(&Verdict::Missing(vec![
            Phrase::new("interlock-never-on").with("part", "K1"),
            Phrase::new("interlock-never-acts").with("part", "K1"),
        ]))
    );
}

#[test]
fn a_latch_without_a_stop_is_a_trap_only_while_the_supply_stays() {
    let parts = r#""S1": PushButton(title: "Set"), "K1": Relay(title: "Latch"),"#;
    let rungs = ["(S1:13-14 | K1:13-14), K1:A1-A2"];
    let plan = circuit(parts, &rungs);
    let report = check(&plan, &Options::default()).expect("report");
    assert_eq!(report.verdict(Property::NoTrap), Some(&Verdict::Holds));
    // Two coils in series: neither is on, for each has only one end on a pole.
    let plan = circuit(
        r#""S1": PushButton(title: "Set"), "K1": Relay(title: "One"), "K2": Relay(title: "Two"),"#,
        &["S1:13-14, K1:A1-A2, K2:A1-A2"],
    );
    let report = check(&plan, &Options::default()).expect("report");
    assert!(
        matches!(report.verdict(Property::Reachable), Some(Verdict::Missing(m)) if m.len() == 4)
    );
}

/// A supply without a main switch can still fail and return.
#[test]
fn the_mains_fail_and_return_and_a_selector_restarts() {
    let plan = from_text(
        "mains.bench.ron",
        r#"Bench(format: 1, name: "Mains", parts: {
            "G1": DcSupply(title: "Supply", voltage: "24 V DC"),
            "S1": Selector(title: "Run"), "K1": Relay(title: "Run"),
        }, rungs: [Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, K1:A1-A2")])"#,
    );
    let report = check(&plan, &Options::default()).expect("report");
    assert_eq!(report.verdict(Property::OutWithoutSupply), Some(&Verdict::Holds));
    let output = Output::Relay(operator(&plan, "K1"));
    let found = report.counterexample(Property::NoRestart { output }).expect("a restart");
    assert_eq!(
        found.text(&plan, english()),
        "K1 stays out when the supply returns or an emergency stop is released\n\
         1. the supply fails\n\
         2. turn S1 (Run) on\n\
         3. the supply returns; coil K1 on\n\
         4. K1 (Run) picks up\n"
    );
    let shown = crate::diagnosis::interlock::replay(&plan, found).expect("a run");
    assert!(shown.is_confirmed(), "{shown:?}");
    let actions = found.actions(&plan);
    assert_eq!(actions.len(), 3);
    assert!(actions.is_sorted_by_key(|a| a.at));
}

/// A detented valve between two buttons, and a pressure switch that turns it back.
#[test]
fn a_detented_valve_keeps_its_position_and_a_pressure_turns_it_back() {
    let plan = from_text(
        "clamp.bench.ron",
        r#"Bench(format: 1, name: "Clamp", parts: {
            "Q0": Isolator(title: "Main switch"),
            "G1": DcSupply(title: "Supply", voltage: "24 V DC", behind: "Q0"),
            "S1": PushButton(title: "Clamp"),
            "B1": PressureSwitch(title: "Clamped", rise: "40 bar", contacts: ["13-14"]),
            "M1": Pump(title: "Pump", displacement: "8 cm3/rev", run_by: ["Q0"]),
            "T1": Tank(title: "Tank"),
            "RV1": Relief(title: "Relief", setting: "60 bar"),
            "1V1": Valve(title: "Clamp valve", rest: "detented"),
            "1A1": Cylinder(title: "Clamp", bore: "40 mm", rod: "20 mm", stroke: "50 mm"),
        }, rungs: [
            Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, 1V1:a1-a2"),
            Rung(from: "G1:+", to: "G1:-", path: "B1:13-14, 1V1:b1-b2"),
        ], lines: [
            Line(name: "suction", ports: ["T1:T", "M1:S", "RV1:T", "1V1:T"]),
            Line(name: "pressure", ports: ["M1:P", "RV1:P", "1V1:P"]),
            Line(name: "clamp", ports: ["1V1:A", "1A1:A", "B1:P"]),
            Line(name: "open", ports: ["1V1:B", "1A1:B"]),
        ])"#,
    );
    let report = check(&plan, &Options::default()).expect("report");
    assert_eq!(report.verdict(Property::Reachable), Some(&Verdict::Holds));
    assert_eq!(report.verdict(Property::NoTrap), Some(&Verdict::Holds));
    let spool = crate::base::SpoolId::new(0);
    // Holding the button against the pressure puts both coils on for good.
    let both = Property::NotBothCoils { spool, settled: true };
    let found = report.counterexample(both).expect("both coils");
    let shown = crate::diagnosis::interlock::replay(&plan, found).expect("a run");
    assert!(shown.is_confirmed(), "{}{shown:?}", found.text(&plan, english()));
}
