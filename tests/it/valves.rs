//! What the data sheets of directional valves say, against what the valves do.

use std::sync::Arc;

use spoolbench::bench;
use spoolbench::diagnostic::{Code, Diagnostic, Diagnostics};
use spoolbench::fault::Fault;
use spoolbench::plant::{Plan, Plant, What};
use spoolbench::session::{Rig as Desk, Session, SessionConfig, parse};
use spoolbench::shift::Hand;

use super::machines::load;
use super::pressure_valves::{Rig, near, plan};

const RUNGS: &str = r#"Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, 1V1:a1-a2"),
    Rung(from: "G1:+", to: "G1:-", path: "S2:13-14, 1V1:b1-b2"),"#;
const RUNG_A: &str = r#"Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, 1V1:a1-a2"),"#;

/// What is written on the plate of `tag` under `what`.
fn plate(plan: &Plan, tag: &str, what: &str) -> String {
    let part = &plan.parts[plan.part(tag).expect("a part").index()];
    let found = part.nameplate.iter().find(|(name, _)| name == what);
    found.unwrap_or_else(|| panic!("{tag} says nothing of {what}")).1.clone()
}

/// A valve with these fields between a tank and nothing, its coil behind S1.
fn bare(supply: &str, fields: &str, rungs: &str) -> Arc<Plan> {
    let parts = format!(
        r#""G1": {supply}, "S1": PushButton(contacts: ["13-14"]), "S2": PushButton(contacts: ["13-14"]),
        "T1": Tank(), "1V1": Valve({fields}),"#
    );
    let rungs = match supply.starts_with("Ac") {
        true => rungs.replace("G1:+", "G1:L").replace("G1:-", "G1:N"),
        false => rungs.to_owned(),
    };
    plan("free_air: \"0 %\"", &parts, r#"Line(ports: ["T1:T", "1V1:T"])"#, &rungs)
}

/// Milliseconds from contact to settled spool, on and off.
fn response(plan: Arc<Plan>, fault: Option<Fault>) -> (f64, f64) {
    let mut r = Rig { plant: Plant::nominal(plan) };
    if let Some(fault) = fault {
        r.fault(fault);
    }
    r.run(0.5);
    r.plant.take_happenings();
    let mut times = [0.0; 2];
    for (k, pressed) in [true, false].into_iter().enumerate() {
        r.hold("S1", pressed);
        r.run(3.0);
        let seen = r.plant.take_happenings();
        let at = |is: fn(&What) -> bool| {
            seen.iter().find(|h| is(&h.what)).map_or(f64::NAN, |h| h.at.as_secs_f64())
        };
        let switched = at(|w| matches!(w, What::Closed(_) | What::Opened(_)));
        times[k] = 1e3 * (at(|w| matches!(w, What::SpoolReached(..))) - switched);
    }
    (times[0], times[1])
}

const DIRECT: &str = r#"DcSupply(voltage: "24 V DC", internal: "0.001 ohm")"#;
const ALTERNATING: &str = r#"AcSupply(voltage: "120 V AC 60 Hz", internal: "0.001 ohm")"#;

/// The response times of the data sheet come out of coil, spring and damping, with every suppressor, on
/// direct and on alternating current (the authored figures). A spool full of dirt is out of their band.
#[test]
fn a_valve_takes_the_times_of_its_data_sheet() {
    for (supply, fields, on, off) in [
        (DIRECT, r#"switch_on: "45 ms", switch_off: "80 ms""#, 45.0, 80.0),
        (DIRECT, r#"switch_on: "30 ms", switch_off: "25 ms", suppressor: "clamp""#, 30.0, 25.0),
        (DIRECT, r#"switch_on: "60 ms", switch_off: "60 ms", suppressor: "resistor""#, 60.0, 60.0),
        (
            ALTERNATING,
            r#"coil: "120 V AC 60 Hz", switch_on: "20 ms", switch_off: "30 ms""#,
            20.0,
            30.0,
        ),
    ] {
        let fields = format!(r#"rest: "spring offset", {fields}"#);
        let plan = bare(supply, &fields, RUNG_A);
        assert_eq!(
            plate(&plan, "1V1", "response"),
            format!("on {on} ms, off {off} ms, within 20 %")
        );
        let (got_on, got_off) = response(plan.clone(), None);
        near(got_on, on, 2e-2, "on");
        near(got_off, off, 2e-2, "off");
        let (slow_on, _) = response(plan, Some(Fault::new("1V1", "silted").of(3.0)));
        assert!(slow_on.is_nan() || slow_on > 1.2 * on, "{slow_on} ms with dirt");
    }
}

/// Without times of its own a valve has on its plate those that its shifting time comes to.
#[test]
fn the_plate_tells_what_the_shifting_time_comes_to() {
    let plan = bare(DIRECT, r#"rest: "spring offset""#, RUNG_A);
    let (on, off) = response(plan.clone(), None);
    let says = plate(&plan, "1V1", "response");
    let number = |word: &str| -> f64 {
        let after = says.split(word).nth(1).expect("a time");
        after.split_whitespace().next().expect("a number").parse().expect("a number")
    };
    near(number("on "), on, 2e-2, "on");
    near(number("off "), off, 2e-2, "off");
}

/// Everything that a data sheet says stands on the nameplate.
#[test]
fn nameplates_are_whole() {
    let plan = bare(DIRECT, r#"max_inlet: "250 bar", duty: "100 %""#, RUNGS);
    for (what, says) in [
        ("rated flow", "20 L/min at 6 bar"),
        ("pressure drop", "5.4 to 6.6 bar at the rated flow"),
        ("maximum inlet", "250 bar"),
        ("leakage", "5.0 cm3/min of each port at 100 bar and 46 mm2/s"),
        ("duty", "ED 100 %"),
        ("rest", "spring centred"),
        ("solenoids", "push"),
        ("override", "push or latch"),
    ] {
        assert_eq!(plate(&plan, "1V1", what), says);
    }
    let limit = plate(&plan, "1V1", "operating limit");
    assert!(limit == "none" || limit.ends_with(" L/min at 250 bar"), "{limit}");
}

/// 10 cm3/min at 50 bar and 36 mm2/s are 10 x 2 x 36 / 46 at 100 bar and 46 mm2/s: laminar leakage goes with
/// pressure over viscosity (derived).
#[test]
fn leakage_is_that_of_its_stated_oil() {
    let parts = r#""T1": Tank(), "M1": Pump(displacement: "8 cm3/rev", speed: "1500 rpm", efficiency: "100 %"),
        "RV1": Relief(setting: "100 bar", rated_flow: "12 L/min"),
        "1V1": Valve(ports: "P T", a: "", b: "", leakage: "10 cm3/min", leakage_pressure: "50 bar", leakage_viscosity: "36 mm2/s"),"#;
    let lines = r#"Line(ports: ["T1:T", "M1:S", "RV1:T", "1V1:T"]), Line(name: "P", ports: ["M1:P", "RV1:P", "1V1:P"])"#;
    let mut r = Rig::new(parts, lines);
    r.run(3.0);
    near(r.flow("1V1", "leak P-T") * 1e3, 10.0 * 2.0 * 36.0 / 46.0, 2e-3, "cm3/min");
    let says = plate(r.plant.plan(), "1V1", "leakage");
    assert_eq!(says, "10.0 cm3/min of each port at 50 bar and 36 mm2/s");
}

/// A hand that pushes the pin of a pushing solenoid, or pulls the knob of a pulling one, moves the spool as that
/// solenoid does; one that pushes the pin of a pulling one moves it the other way (derived).
#[test]
fn overrides_push_and_pull() {
    for (solenoids, handle, way) in [
        ("push", "push", 1.0),
        ("pull", "pull or latch", 1.0),
        ("pull", "push", -1.0),
        ("push", "turn", 1.0),
    ] {
        let plan =
            bare(DIRECT, &format!(r#"solenoids: "{solenoids}", override: "{handle}""#), RUNGS);
        let mut r = Rig { plant: Plant::nominal(plan) };
        let spool = r.spool_id("1V1", "spool");
        for (hand, to) in [(Hand::A, way), (Hand::B, -way), (Hand::Off, 0.0)] {
            r.plant.set_hand(spool, hand);
            r.run(1.0);
            near(2.0 + r.spool("1V1", "spool"), 2.0 + to, 2e-2, handle);
        }
        // The solenoid moves it to its own side whatever the hand would.
        r.hold("S1", true);
        r.run(1.0);
        near(r.spool("1V1", "spool"), 1.0, 2e-2, solenoids);
    }
}

/// What can be done to an override is what it is made for.
#[test]
fn overrides_know_their_kind() {
    for (handle, works, refuses) in [
        ("push", "push", "latch"),
        ("push or latch", "latch", "turn"),
        ("pull", "pull", "push"),
        ("turn", "turn", "push"),
        ("none", "release", "push"),
    ] {
        let solenoids = if handle == "pull" { "pull" } else { "push" };
        let plan =
            bare(DIRECT, &format!(r#"solenoids: "{solenoids}", override: "{handle}""#), RUNGS);
        let mut s = Session::new(Desk::sound(Plant::nominal(plan)), SessionConfig::default());
        let act = |s: &mut Session, finger: &str| {
            s.act(parse(&format!("override 1V1 a {finger}")).expect("an action"))
        };
        assert!(act(&mut s, refuses).is_err(), "{handle} {refuses}");
        assert_eq!(act(&mut s, works).is_ok(), handle != "none", "{handle} {works}");
    }
}

/// A two-stage valve, centred as `rest` says, with its pilot pressure from a pump of its own.
fn staged(rest: &str, bar: f64) -> Rig {
    let parts = format!(
        r#""G1": DcSupply(voltage: "24 V DC"), "S1": PushButton(contacts: ["13-14"]), "S2": PushButton(contacts: ["13-14"]),
        "S3": Selector(contacts: ["21-22"]), "KM": Relay(contacts: ["13-14"]), "T1": Tank(),
        "M2": Pump(displacement: "4 cm3/rev", run_by: ["KM"]),
        "RV2": Relief(setting: "{bar} bar", cracking: "{} bar", rated_flow: "6 L/min"), "D1": Throttle(rated_flow: "1 L/min", rated_drop: "100 bar"),
        "1V1": TwoStageValve(rest: "{rest}", pilot: "external", drain: "external"),"#,
        bar - 0.1
    );
    let lines = r#"Line(name: "tank", ports: ["T1:T", "M2:S", "RV2:T", "1V1:T", "1V1:Y", "D1:B"]),
        Line(name: "X", ports: ["M2:P", "RV2:P", "1V1:X", "D1:A"])"#;
    let rungs = format!(r#"{RUNGS} Rung(from: "G1:+", to: "G1:-", path: "S3:21-22, KM:A1-A2"),"#);
    Rig::wired(&parts, lines, &rungs)
}

/// Pilot pressure on both ends centres the spool against the stop of its sleeve: with half of the area on the
/// pin it pushes home from either side with half of the pressure on the end (balance of forces). Springs need no
/// pressure for that; without it a spool that pressure centres stays where it is.
#[test]
fn pressure_centres_a_main_spool() {
    for (rest, stays) in [("pressure centred", true), ("spring centred", false)] {
        let mut r = staged(rest, 40.0);
        r.run(2.0);
        for (button, to) in [("S1", 1.0), ("S2", -1.0)] {
            r.hold(button, true);
            r.run(1.0);
            near(r.spool("1V1", "main spool"), to, 3e-2, "shifted");
            r.hold(button, false);
            r.run(1.0);
            near(1.0 + r.spool("1V1", "main spool"), 1.0, 3e-2, "back in the centre");
        }
        // The pump stops while it is shifted.
        r.hold("S1", true);
        r.run(1.0);
        r.hold("S3", true);
        r.run(20.0);
        assert!(r.bar("X") < 0.1, "{} bar", r.bar("X"));
        r.hold("S1", false);
        r.run(5.0);
        let left = r.spool("1V1", "main spool");
        assert_eq!(left > 0.9, stays, "{rest}: {left}");
        // With the pressure it comes back.
        r.hold("S3", false);
        r.run(5.0);
        near(1.0 + r.spool("1V1", "main spool"), 1.0, 3e-2, "centred again");
    }
}

/// The least pilot pressure is on the nameplate, and is what it needs.
#[test]
fn the_least_pilot_pressure_shifts_what_pressure_centres() {
    for (bar, shifts) in [(4.5, false), (5.5, true)] {
        let mut r = staged("pressure centred", bar);
        assert_eq!(plate(r.plant.plan(), "1V1", "least pilot pressure"), "5.0 bar");
        r.run(2.0);
        r.hold("S1", true);
        r.run(5.0);
        let main = r.spool("1V1", "main spool");
        assert_eq!(main > 0.97, shifts, "{bar} bar: {main}");
    }
}

/// What a data sheet cannot mean is said where it is written: times that the coil's own current does not allow, a
/// detent that goes back by itself, an override that works against the spring.
#[test]
fn data_that_contradict_themselves_are_refused() {
    let refused = |fields: &str, name: &str| {
        let text = format!(
            r#"Bench(format: 1, name: "t", parts: {{ "T1": Tank(), "1V1": Valve({fields}) }})"#
        );
        let mut found = Diagnostics::new();
        let bench = bench::load("t.bench.ron", &text, &mut found);
        let at = text.find(&format!("{name}:")).expect("the field");
        let hit = |d: &Diagnostic| {
            let there = d.place.span.is_some_and(|s| (at..at + name.len() + 3).contains(&s.start));
            d.code == Code::INCONSISTENT_VALUES && there
        };
        assert_eq!(bench.is_none(), found.has_errors());
        found.iter().any(hit)
    };
    let offset = r#"rest: "spring offset""#;
    assert!(refused(&format!(r#"{offset}, switch_off: "20 ms""#), "switch_off"), "with a diode");
    assert!(!refused(
        &format!(r#"{offset}, suppressor: "clamp", switch_off: "25 ms""#),
        "switch_off"
    ));
    assert!(refused(&format!(r#"{offset}, switch_on: "4 ms""#), "switch_on"));
    assert!(!refused(&format!(r#"{offset}, switch_on: "35 ms""#), "switch_on"));
    assert!(refused(r#"rest: "detented", switch_off: "60 ms""#, "switch_off"));
    assert!(refused(&format!(r#"{offset}, solenoids: "pull", override: "push""#), "override"));
    assert!(!refused(&format!(r#"{offset}, solenoids: "pull", override: "pull""#), "override"));
}

/// Who looks at a part sees its override, if it has one, and each thing once.
#[test]
fn an_override_is_seen_once_and_only_where_there_is_one() {
    let sees = |bench: &str, part: &str| {
        let desk = Desk::sound(Plant::nominal(load(bench)));
        let mut session = Session::new(desk, SessionConfig::default());
        let look = session.act(parse(&format!("look {part}")).expect("an action")).expect("a look");
        look.lines.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    // A stage and two pilots, of which each has a part of the override.
    assert_eq!(sees("gripper.bench.ron", "1V1"), ["the overrides of 1V1 are out"]);
    assert_eq!(sees("loads.bench.ron", "1V1"), ["the overrides of 1V1 are out"]);
    assert_eq!(sees("loads.bench.ron", "2V2"), ["nothing to see at 2V2"]);
}
