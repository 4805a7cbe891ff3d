//! Every hazard with an act that meets it and one that only just does not.

use super::super::{Ended, Hazard, SessionConfig, Severity};
use super::*;

/// A bench that has run: store charged, load held.
fn charged() -> Session {
    let mut s = session();
    assert_eq!(hazards_of(&mut s, &["turn S4 on", "wait 20 s", "turn S4 off"]), []);
    s
}

/// The whole way to a dead bench, with a prop under the load.
const DEAD: [&str; 14] = [
    "prop 1A1",
    "isolate Q0",
    "lock Q0",
    "tag Q0",
    "try S1",
    "bleed AC1",
    "bleed MP1",
    "bleed MPA",
    "bleed MPB",
    "gauge MP1",
    "gauge MP2",
    "gauge MPA",
    "gauge MPB",
    "prove",
];

/// `DEAD` without the lines that contain `left_out`, then `act`.
fn without(left_out: &str, act: &[&str]) -> Vec<Hazard> {
    let mut s = charged();
    let lines = DEAD.iter().filter(|l| left_out.is_empty() || !l.contains(left_out));
    let lines: Vec<&str> = lines.copied().collect();
    assert_eq!(hazards_of(&mut s, &lines), []);
    hazards_of(&mut s, act)
}

const TESTED: [&str; 3] = ["volts 1V1:a1 1V1:a2", "prove", "replace 1V1"];

#[test]
fn the_whole_way_meets_no_hazard() {
    assert_eq!(without("", &TESTED), []);
    assert_eq!(without("", &["open 1V1:A", "close 1V1:A"]), []);
    assert_eq!(without("", &["clean 1V1"]), []);
}

#[test]
fn each_step_left_out_is_missed() {
    assert_eq!(without("lock", &TESTED), [Hazard::NotLocked]);
    assert_eq!(without("try", &TESTED), [Hazard::NotTried]);
    assert_eq!(without("gauge MPA", &TESTED), [Hazard::PressureUnproved]);
    assert_eq!(without("", &["replace 1V1"]), [Hazard::TesterUnproved]);
    // Proved before only.
    assert_eq!(without("", &["volts 1V1:a1 1V1:a2", "replace 1V1"]), [Hazard::TesterUnproved]);
}

#[test]
fn restoring_makes_every_proof_void() {
    let mut s = charged();
    assert_eq!(hazards_of(&mut s, &DEAD), []);
    let again = ["unprop 1A1", "unlock Q0", "restore Q0", "isolate Q0", "lock Q0", "prop 1A1"];
    assert_eq!(hazards_of(&mut s, &again), []);
    // Without its prop the load pressed on the oil again.
    assert_eq!(
        hazards_of(&mut s, &["open 1V1:A"]),
        [Hazard::NotTried, Hazard::OpenedUnderPressure, Hazard::PressureUnproved]
    );
}

#[test]
fn a_lock_keeps_an_isolator_open() {
    let mut s = session();
    assert!(does(&mut s, "lock Q0").lines[0].to_string().contains("only an open isolator"));
    hazards_of(&mut s, &["isolate Q0", "lock Q0"]);
    assert!(does(&mut s, "restore Q0").lines[0].to_string().contains("does not turn"));
    assert!(does(&mut s, "turn Q0 on").lines[0].to_string().contains("does not turn"));
    hazards_of(&mut s, &["unlock Q0", "restore Q0"]);
    assert!(does(&mut s, "look Q0").lines[0].to_string().contains("closed"));
}

#[test]
fn a_start_that_works_is_no_try_out() {
    let mut s = session();
    assert_eq!(told(&does(&mut s, "try S1")), ["something starts"]);
    hazards_of(&mut s, &["wait 1 s", "isolate Q0"]);
    assert_eq!(told(&does(&mut s, "try S1")), ["nothing starts"]);
}

#[test]
fn pressure_with_the_pump_running() {
    let mut s = session();
    let met = hazards_of(&mut s, &["turn S4 on", "wait 20 s", "open RV1:P"]);
    assert_eq!(met, [Hazard::NotIsolated, Hazard::OpenedUnderPressure, Hazard::PressureUnproved]);
}

#[test]
fn a_stopped_pump_is_no_dead_system() {
    // The gauge says it plainly, and still it is opened.
    let mut s = charged();
    let safe = ["prop 1A1", "isolate Q0", "lock Q0", "try S1", "gauge MP2"];
    assert_eq!(hazards_of(&mut s, &safe), []);
    assert_eq!(
        hazards_of(&mut s, &["open AC1:P"]),
        [Hazard::TrustedPumpOff, Hazard::PressureUnproved]
    );
    let mut s = charged();
    assert_eq!(hazards_of(&mut s, &safe), []);
    assert_eq!(hazards_of(&mut s, &["bleed AC1", "gauge MP2", "open AC1:P"]), []);
}

#[test]
fn a_load_on_the_oil_needs_a_prop() {
    let lines = ["isolate Q0", "lock Q0", "try S1", "gauge MPA", "open 1A1:A"];
    let mut s = session();
    assert_eq!(
        hazards_of(&mut s, &lines),
        [Hazard::OpenedUnderPressure, Hazard::OpenedUnderLoad, Hazard::PressureUnproved]
    );
    // It comes down.
    let rod = told(&does(&mut s, "look 1A1"));
    assert_eq!(rod[0], "the rod of 1A1 is 0 mm out of 300 mm");
    // Propped, the oil can be let out and the rod stays.
    let mut s = session();
    let mut safe = vec!["wait 5 s", "prop 1A1", "bleed MPA"];
    safe.extend(lines);
    assert_eq!(hazards_of(&mut s, &safe), []);
    let rod = told(&does(&mut s, "look 1A1"));
    assert_eq!(rod[0], "the rod of 1A1 is 100 mm out of 300 mm");
}

#[test]
fn live_parts_and_open_fuses() {
    let mut s = session();
    let met = hazards_of(&mut s, &["replace H1"]);
    assert_eq!(met, [Hazard::NotIsolated, Hazard::TesterUnproved], "its contact is open");
    let met = hazards_of(&mut s, &["replace F1"]);
    assert_eq!(met, [Hazard::NotIsolated, Hazard::LiveWork, Hazard::TesterUnproved]);
    let met = hazards_of(&mut s, &["repair W1"]);
    assert!(met.contains(&Hazard::LiveWork));
    // A circuit without fluid needs its own isolator only.
    hazards_of(&mut s, &["isolate Q0", "lock Q0", "try S1", "prove", "volts F1:1 PE", "prove"]);
    assert_eq!(hazards_of(&mut s, &["replace F1", "repair W1"]), []);
}

#[test]
fn meters_on_the_wrong_range() {
    let mut s = session();
    for line in ["ohms F1:1 PE", "continuity F1:1 PE"] {
        let out = does(&mut s, line);
        assert_eq!(out.hazards[0].hazard, Hazard::OhmsOnLive);
        assert!(!out.readings[0].valid && out.readings[0].value.is_none());
    }
    let out = does(&mut s, "amps F1:2 G1:-");
    assert_eq!(out.hazards[0].hazard, Hazard::AmmeterAcrossSupply);
    assert!(!out.readings[0].valid);
    // In series with a coil it is fine: the meter bridges the open button.
    let out = does(&mut s, "amps S2:13 S2:14");
    assert_eq!(out.hazards, []);
    assert!((out.readings[0].value.unwrap() - 24.0 / 19.3).abs() < 0.02);
    does(&mut s, "isolate Q0");
    assert_eq!(does(&mut s, "ohms F1:1 PE").hazards, []);
}

#[test]
fn relief_up_to_its_plate() {
    let mut s = session();
    assert_eq!(hazards_of(&mut s, &["adjust RV1 pressure 70 bar"]), []);
    assert_eq!(hazards_of(&mut s, &["adjust RV1 pressure 75 bar"]), [Hazard::ReliefAbovePlate]);
    assert!(s.act(parse("adjust RV1 pressure 200 bar").unwrap()).is_err());
    hazards_of(&mut s, &["turn S4 on", "wait 60 s"]);
    let out = does(&mut s, "gauge MP1 100 bar");
    assert!((out.readings[0].value.unwrap() - 75.0).abs() < 1.0, "{out:?}");
}

#[test]
fn override_against_a_coil() {
    let mut s = session();
    hazards_of(&mut s, &["hold S3", "wait 1 s"]);
    assert_eq!(hazards_of(&mut s, &["override 1V1 b push"]), []);
    assert_eq!(hazards_of(&mut s, &["override 1V1 a push"]), [Hazard::OverrideAgainstCoil]);
    hazards_of(&mut s, &["release S3", "wait 1 s"]);
    assert_eq!(hazards_of(&mut s, &["override 1V1 a push"]), []);
}

#[test]
fn a_hand_at_a_leak() {
    let mut s = charged();
    assert_eq!(hazards_of(&mut s, &["feel AC1:P"]), [Hazard::HandAtLeak]);
    assert_eq!(hazards_of(&mut s, &["feel AC1", "feel 1V1:T"]), []);
    assert_eq!(hazards_of(&mut s, &["bleed AC1", "feel AC1:P"]), []);
}

#[test]
fn a_fuse_that_blows_again() {
    let mut s = session();
    // A short from the fuse to the minus pole, behind the second contact of nothing: the lamp.
    let blow = |s: &mut Session| {
        let part = s.plan().part("H1").unwrap();
        let branch = s.plan().lamps[0].branch;
        s.rig.plant_mut().alter(part, |c| c.branches[branch.index()].ohm = 0.1);
        hazards_of(s, &["hold S1", "wait 2 s", "release S1"]);
        assert!(does(s, "look F1").lines[0].to_string().contains("blown"));
        hazards_of(s, &["isolate Q0", "lock Q0", "try S1", "prove", "volts F1:1 F1:2", "prove"])
    };
    assert_eq!(blow(&mut s), []);
    assert_eq!(hazards_of(&mut s, &["replace F1", "unlock Q0", "restore Q0"]), []);
    assert_eq!(blow(&mut s), []);
    assert_eq!(hazards_of(&mut s, &["replace F1"]), [Hazard::FuseAgain]);
    // With the cause mended in between it is no habit.
    assert_eq!(hazards_of(&mut s, &["unlock Q0", "restore Q0"]), []);
    assert_eq!(blow(&mut s), []);
    hazards_of(&mut s, &["volts H1:X1 PE", "prove"]);
    assert_eq!(hazards_of(&mut s, &["replace H1", "replace F1"]), []);
}

#[test]
fn a_gauge_of_too_low_a_range() {
    let mut s = charged();
    assert_eq!(hazards_of(&mut s, &["gauge MP2 100 bar"]), []);
    let out = does(&mut s, "gauge MP2 60 bar");
    assert_eq!(out.hazards[0].hazard, Hazard::GaugeOverRange);
    assert!(!out.readings[0].valid);
    // Only just above its range it is unhurt; far above, spoilt for good.
    hazards_of(&mut s, &["gauge MP2 25 bar", "bleed AC1"]);
    assert!(does(&mut s, "gauge MP2 60 bar").readings[0].valid);
    assert!(!does(&mut s, "gauge MP2 25 bar").readings[0].valid);
}

#[test]
fn restoring_with_a_fitting_open() {
    let mut s = charged();
    hazards_of(&mut s, &DEAD);
    hazards_of(&mut s, &["open 1V1:A", "unprop 1A1", "unlock Q0"]);
    assert_eq!(hazards_of(&mut s, &["restore Q0"]), [Hazard::RestoredOpen]);
    let mut s = charged();
    hazards_of(&mut s, &DEAD);
    hazards_of(&mut s, &["open 1V1:A", "close 1V1:A", "unprop 1A1", "unlock Q0"]);
    assert_eq!(hazards_of(&mut s, &["restore Q0"]), []);
}

#[test]
fn what_is_left_at_hand_back() {
    let mut s = session();
    hazards_of(&mut s, &["override 1V1 a latch"]);
    assert_eq!(hazards_of(&mut s, &["hand back"]), [Hazard::OverrideLeft]);
    assert_eq!(s.ended(), Some(Ended::HandedBack));
    let mut s = session();
    hazards_of(
        &mut s,
        &["override 1V1 a latch", "override 1V1 a release", "isolate Q0", "lock Q0"],
    );
    assert_eq!(hazards_of(&mut s, &["hand back"]), [Hazard::LeftOpen]);
    let mut s = session();
    hazards_of(&mut s, &["prop 1A1", "unprop 1A1", "isolate Q0", "lock Q0", "unlock Q0"]);
    assert_eq!(hazards_of(&mut s, &["hand back"]), []);
}

#[test]
fn a_gas_valve_of_a_charged_accumulator() {
    let mut s = charged();
    assert_eq!(hazards_of(&mut s, &["loosen AC1"]), [Hazard::GasLoosened]);
    // Without oil behind it, the gas itself is still there.
    let mut s = charged();
    assert_eq!(hazards_of(&mut s, &DEAD), []);
    let gas = Hazard::GasLoosened;
    assert_eq!(hazards_of(&mut s, &["loosen AC1"]), [gas]);
    assert_eq!(hazards_of(&mut s, &["loosen AC1"]), [], "it has gone");
    // Let down with the charging set first.
    let mut s = charged();
    assert_eq!(hazards_of(&mut s, &DEAD), []);
    assert_eq!(hazards_of(&mut s, &["adjust AC1 precharge 0 bar", "loosen AC1"]), []);
}

#[test]
fn a_larger_fuse() {
    let mut s = session();
    let dead = ["isolate Q0", "lock Q0", "try S1", "prove", "volts F1:1 PE", "prove"];
    assert_eq!(hazards_of(&mut s, &dead), []);
    assert_eq!(hazards_of(&mut s, &["fit F1 4 A", "fit F1 2 A"]), []);
    assert_eq!(hazards_of(&mut s, &["fit F1 10 A"]), [Hazard::FuseTooLarge]);
    // It holds what the right one would not: twice its rating for minutes.
    let lasts = |rating: &str| {
        let mut s = session();
        hazards_of(&mut s, &dead);
        does(&mut s, rating);
        let part = s.plan().part("H1").unwrap();
        let branch = s.plan().lamps[0].branch;
        s.rig.plant_mut().alter(part, |c| c.branches[branch.index()].ohm = 3.0);
        hazards_of(&mut s, &["unlock Q0", "restore Q0", "hold S1", "wait 60 s"]);
        does(&mut s, "look F1").lines[0].to_string().contains("whole")
    };
    assert!(!lasts("fit F1 4 A") && lasts("fit F1 10 A"));
    assert!(s.act(parse("fit F1 100 A").unwrap()).is_err());
    assert!(s.act(parse("fit H1 4 A").unwrap()).is_err());
}

#[test]
fn a_lead_across_a_fuse_and_across_a_button() {
    let mut s = session();
    assert_eq!(hazards_of(&mut s, &["bridge F1:1 F1:2"]), [Hazard::LiveWork, Hazard::GuardBridged]);
    let mut s = session();
    hazards_of(&mut s, &["isolate Q0", "lock Q0"]);
    assert_eq!(hazards_of(&mut s, &["bridge F1:1 F1:2"]), [Hazard::GuardBridged]);
    assert_eq!(hazards_of(&mut s, &["unbridge F1:1 F1:2"]), []);
    // A start button may be bridged for a test on a dead circuit; also from a wire's far end.
    assert_eq!(hazards_of(&mut s, &["bridge F1:2 1V1:a1"]), []);
    assert_eq!(hazards_of(&mut s, &["unlock Q0"]), []);
    assert_eq!(hazards_of(&mut s, &["restore Q0"]), [Hazard::RestoredUnready]);
    let volts = does(&mut s, "volts 1V1:a1 1V1:a2").readings[0].value.unwrap();
    assert!(volts > 20.0, "{volts}");
    assert_eq!(hazards_of(&mut s, &["hand back"]), [Hazard::LeftOpen]);
    // Taken off before the energy comes back.
    let mut s = session();
    hazards_of(&mut s, &["isolate Q0", "lock Q0", "bridge S2:13 S2:14"]);
    let rest = ["unbridge S2:13 S2:14", "unlock Q0", "restore Q0", "hand back"];
    assert_eq!(hazards_of(&mut s, &rest), []);
    assert!(s.act(parse("look S2").unwrap()).is_err());
    let mut s = session();
    assert!(s.act(parse("bridge F1:1 G1:-").unwrap()).is_err(), "that is a short circuit");
}

#[test]
fn stepping_in_with_the_energy_on() {
    let mut s = session();
    assert_eq!(
        hazards_of(&mut s, &["enter 1A1"]),
        [Hazard::EnteredUnderLoad, Hazard::EnteredPowered]
    );
    // Isolated, but the load hangs on the oil.
    let mut s = session();
    assert_eq!(hazards_of(&mut s, &["isolate Q0", "lock Q0", "try S1"]), []);
    assert_eq!(hazards_of(&mut s, &["enter 1A1"]), [Hazard::EnteredUnderLoad]);
    // A prop under it, and every pressure gone.
    let mut s = charged();
    assert_eq!(hazards_of(&mut s, &DEAD), []);
    assert_eq!(hazards_of(&mut s, &["enter 1A1", "look 1A1", "leave 1A1"]), []);
    // The prop is taken away by whoever stands under the load.
    let mut s = session();
    hazards_of(&mut s, &["prop 1A1", "isolate Q0", "lock Q0", "try S1"]);
    assert_eq!(hazards_of(&mut s, &["enter 1A1"]), []);
    let met = hazards_of(&mut s, &["unprop 1A1"]);
    assert_eq!(met[0], Hazard::EnteredUnderLoad);
}

#[test]
fn stepping_in_needs_a_lock_and_a_try() {
    for (left_out, missed) in [("lock", Hazard::NotLocked), ("try", Hazard::NotTried)] {
        assert_eq!(without(left_out, &["enter 1A1"]), [missed]);
    }
}

#[test]
fn energy_on_with_somebody_inside() {
    let mut s = charged();
    assert_eq!(hazards_of(&mut s, &DEAD), []);
    assert_eq!(hazards_of(&mut s, &["enter 1A1", "unlock Q0"]), []);
    let met = hazards_of(&mut s, &["restore Q0"]);
    assert_eq!(met, [Hazard::EnergisedOnPerson, Hazard::RestoredUnready]);
    assert_eq!(hazards_of(&mut s, &["press S2"]), [Hazard::EnergisedOnPerson]);
    // A button of a dead circuit is only a button.
    let mut s = charged();
    hazards_of(&mut s, &DEAD);
    assert_eq!(hazards_of(&mut s, &["enter 1A1", "press S2", "leave 1A1"]), []);
    assert_eq!(hazards_of(&mut s, &["unprop 1A1", "unlock Q0", "restore Q0", "press S2"]), []);
}

#[test]
fn an_override_with_somebody_inside() {
    let mut s = charged();
    hazards_of(&mut s, &DEAD);
    hazards_of(&mut s, &["enter 1A1"]);
    assert_eq!(hazards_of(&mut s, &["override 1V1 a push"]), [Hazard::OverrideOnPerson]);
    assert_eq!(hazards_of(&mut s, &["override 1V1 a release"]), []);
    assert_eq!(hazards_of(&mut s, &["leave 1A1", "override 1V1 a push"]), []);
}

#[test]
fn a_machine_that_moves_on_somebody() {
    let mut s = charged();
    hazards_of(&mut s, &["isolate Q0", "lock Q0", "try S1", "enter 1A1"]);
    // The store is still charged: the override lifts the load.
    let met = hazards_of(&mut s, &["override 1V1 a push"]);
    assert_eq!(met, [Hazard::OverrideOnPerson, Hazard::MovedOnPerson]);
    assert_eq!(hazards_of(&mut s, &["look 1A1"]), [], "once");
    let mut s = charged();
    hazards_of(&mut s, &DEAD);
    hazards_of(&mut s, &["enter 1A1"]);
    assert_eq!(hazards_of(&mut s, &["override 1V1 a push"]), [Hazard::OverrideOnPerson]);
}

#[test]
fn a_lock_of_somebody_else() {
    let locked = || {
        let bench = bench();
        let others_locks = vec![bench.part("Q0").unwrap()];
        let config = SessionConfig { others_locks, ..SessionConfig::default() };
        Session::new(Rig::sound(Plant::nominal(bench)), config)
    };
    let mut s = locked();
    assert_eq!(
        does(&mut s, "look Q0").lines[1].to_string(),
        "a lock that is not yours hangs on Q0"
    );
    assert!(does(&mut s, "restore Q0").lines[0].to_string().contains("somebody else's"));
    assert!(does(&mut s, "unlock Q0").lines[0].to_string().contains("no lock of yours"));
    assert_eq!(hazards_of(&mut s, &["cut Q0"]), [Hazard::AnothersLock]);
    assert_eq!(hazards_of(&mut s, &["restore Q0"]), []);
    assert!(does(&mut s, "look Q0").lines[0].to_string().contains("closed"));
    let mut s = locked();
    assert_eq!(hazards_of(&mut s, &["call Q0", "restore Q0"]), []);
    assert!(does(&mut s, "look Q0").lines[0].to_string().contains("closed"));
    // With no such lock there is nothing to take off.
    let mut s = session();
    assert_eq!(hazards_of(&mut s, &["isolate Q0", "lock Q0", "cut Q0"]), []);
    assert!(does(&mut s, "restore Q0").lines[0].to_string().contains("a lock hangs"));
}

#[test]
fn a_pump_against_its_relief() {
    // The throttle of this bench lets only a little through; the relief takes the rest.
    let mut s = session();
    assert_eq!(hazards_of(&mut s, &["turn S4 on", "wait 9 min"]), []);
    assert_eq!(hazards_of(&mut s, &["wait 2 min"]), [Hazard::PumpDeadheaded]);
    assert_eq!(hazards_of(&mut s, &["wait 1 min"]), [], "once a stretch");
    let mut s = session();
    let work = ["turn S4 on", "wait 9 min", "turn S4 off", "wait 1 min", "turn S4 on"];
    assert_eq!(hazards_of(&mut s, &work), []);
    assert_eq!(hazards_of(&mut s, &["wait 2 min"]), []);
    // A pump that delivers is not against its relief, however long it runs.
    let mut s = session();
    let part = s.plan().part("TH1").unwrap();
    let gate = s.plan().flows.iter().position(|f| f.name == "TH1:gate").unwrap();
    s.rig.plant_mut().alter(part, |c| c.flows[gate] = FlowLaw::Gate(Gate::rated(1e-3, 5e5)));
    assert_eq!(hazards_of(&mut s, &["turn S4 on", "wait 12 min"]), []);
}

#[test]
fn a_pump_without_oil() {
    let dry = |held_pa: f64, lines: &[&str]| {
        let mut s = session();
        let (part, tank) = (s.plan().part("T1").unwrap(), 0);
        s.rig.plant_mut().alter(part, |c| c.held_pa[tank] = held_pa);
        hazards_of(&mut s, lines)
    };
    assert_eq!(dry(-0.8e5, &["turn S4 on", "wait 40 s"]), [Hazard::PumpDry]);
    assert_eq!(dry(-0.8e5, &["turn S4 on", "wait 20 s"]), []);
    assert_eq!(dry(-0.2e5, &["turn S4 on", "wait 40 s"]), []);
}

/// A coil of 26 W for 40 % of the time sheds 10 K/W. On for 2 of every 5 min it stays below 155 degC,
/// class F; held on it passes that.
#[test]
fn a_coil_beyond_its_duty() {
    let held = |duty: &str, lines: &[&str]| {
        let text = format!(
            r#"Bench(format: 1, parts: {{ "G1": DcSupply(voltage: "24 V DC"), "S1": Selector(),
            "1V1": Valve(rest: "spring offset", duty: "{duty}") }},
            rungs: [Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, 1V1:a1-a2")])"#
        );
        let found = &mut crate::diagnostic::Diagnostics::new();
        let bench = crate::bench::load("test", &text, found).unwrap();
        let rig = Rig::sound(Plant::nominal(std::sync::Arc::new(bench.plan)));
        let config = SessionConfig { time_limit: SimTime::from_secs(36_000), ..Default::default() };
        hazards_of(&mut Session::new(rig, config), lines)
    };
    let mut cycles = Vec::new();
    for _ in 0..30 {
        cycles.extend(["turn S1 on", "wait 2 min", "turn S1 off", "wait 3 min"]);
    }
    assert_eq!(held("40 %", &cycles), []);
    let hot = ["turn S1 on", "wait 40 min", "wait 1 min"];
    assert_eq!(held("40 %", &hot), [Hazard::CoilOverDuty], "told once");
    assert_eq!(held("100 %", &hot), []);
}

#[test]
fn a_critical_hazard_ends_the_attempt_when_the_scenario_says_so() {
    let config = SessionConfig { stop_on_critical: true, ..SessionConfig::default() };
    let mut s = Session::new(Rig::sound(Plant::nominal(bench())), config);
    does(&mut s, "gauge MP1 6 bar");
    assert_eq!(s.ended(), None);
    does(&mut s, "ohms F1:1 PE");
    assert_eq!(s.ended(), Some(Ended::Unsafe));
    assert!(s.act(parse("look H1").unwrap()).is_err());
}

#[test]
fn every_hazard_explains_itself() {
    assert_eq!(Hazard::ALL.len(), 32);
    for hazard in Hazard::ALL {
        assert!(hazard.text().ends_with('.') && hazard.explanation().ends_with('.'));
    }
    assert!(Severity::Critical > Severity::Major);
}
