//! Range, resolution and burden against hand calculation.

use super::super::instrument;
use super::*;
use crate::base::NodeId;
use crate::plant::Probe;

/// A supply of `current`, its minus pole earthed, and a resistance from plus to a loose end, and
/// between the loose end and minus another one.
fn divider(current: Current, volts: f64, upper: f64, lower: f64) -> (Plant, [NodeId; 3]) {
    let mut b = PlanBuilder::new("divider", 20.0);
    b.part("G1", "DcSupply", "");
    let (plus, minus) = (b.terminal("+"), b.terminal("-"));
    b.supply(current, plus, minus, volts, 0.01, None);
    b.branch("bond", BranchRole::Resistor, minus, PlanBuilder::EARTH, BranchMake::ohm(1e-3));
    b.part("R1", "Resistor", "");
    let end = b.terminal("1");
    b.branch("upper", BranchRole::Resistor, plus, end, BranchMake::ohm(upper));
    b.branch("lower", BranchRole::Resistor, end, minus, BranchMake::ohm(lower));
    let mut plant = Plant::nominal(Arc::new(b.finish().unwrap()));
    plant.advance(SimTime::from_millis(10), false).unwrap();
    (plant, [plus, minus, end])
}

fn volts(plant: &mut Plant, red: NodeId, black: NodeId) -> (Option<f64>, String) {
    let r = instrument::volts(plant, ("red", red), ("black", black)).reading;
    (r.value, r.shown.to_string())
}

/// 10 Mohm in series and 100 Mohm of insulation: with the meter's 10 Mohm in parallel to it,
/// 24 V x 9.0909 / 19.0909 = 11.43 V.
#[test]
fn the_voltmeter_loads_the_circuit() {
    let (mut plant, [plus, minus, end]) = divider(Current::Dc, 24.0, 1e7, f64::INFINITY);
    assert_eq!(volts(&mut plant, end, minus), (Some(11.43), "11.43 V DC".to_owned()));
    assert_eq!(volts(&mut plant, plus, minus).1, "24.00 V DC");
    assert_eq!(volts(&mut plant, minus, plus).1, "-24.00 V DC");
    assert_eq!(volts(&mut plant, minus, minus).1, "0.0000 V DC");
}

#[test]
fn ranges_change_by_themselves() {
    for (supply, text) in [
        (0.2, "0.2000 V DC"),
        (3.999, "3.999 V DC"),
        (39.99, "39.99 V DC"),
        (230.0, "230.0 V DC"),
        (999.0, "999 V DC"),
        (1200.0, "OL V DC"),
    ] {
        let (mut plant, [plus, minus, _]) = divider(Current::Dc, supply, 1e6, 1e6);
        assert_eq!(volts(&mut plant, plus, minus).1, text);
    }
    let omega = 100.0 * std::f64::consts::PI;
    let (mut plant, [_, minus, end]) = divider(Current::Ac { omega }, 230.0, 1e3, 1e3);
    assert_eq!(volts(&mut plant, end, minus).1, "115.0 V AC");
}

/// Dead: 100 ohm beside 200 ohm is 66.7 ohm, although only one of them is meant.
#[test]
fn the_ohmmeter_sees_the_parallel_path() {
    let mut b = PlanBuilder::new("parallel", 20.0);
    b.part("R1", "Resistor", "");
    let (one, two, mid, loose) =
        (b.terminal("1"), b.terminal("2"), b.terminal("3"), b.terminal("4"));
    b.branch("r", BranchRole::Resistor, one, two, BranchMake::ohm(100.0));
    b.branch("s", BranchRole::Resistor, one, mid, BranchMake::ohm(150.0));
    b.branch("t", BranchRole::Resistor, mid, two, BranchMake::ohm(50.0));
    let mut plant = Plant::nominal(Arc::new(b.finish().unwrap()));
    let mut read = |a, c, buzzer| {
        let r = instrument::ohms(&mut plant, ("a", a), ("c", c), buzzer).reading;
        (r.value, r.shown.to_string())
    };
    assert_eq!(read(one, two, false), (Some(66.7), "66.7 ohm".to_owned()));
    assert_eq!(read(one, loose, false), (None, "OL ohm".to_owned()));
    assert_eq!(read(one, one, true).1, "buzzes, 0.0 ohm");
    assert_eq!(read(one, two, true).1, "silent, 66.7 ohm");
}

/// A coil on alternating current: the ohmmeter meets its copper, not its reactance.
#[test]
fn the_ohmmeter_measures_copper() {
    let mut b = PlanBuilder::new("coil", 20.0);
    b.part("Q1", "Isolator", "");
    let handle = b.operator("handle", Tie::Hand, Trigger::Hand, false);
    b.part("G1", "AcSupply", "");
    let (l, n) = (b.terminal("L"), b.terminal("N"));
    let omega = 100.0 * std::f64::consts::PI;
    b.supply(Current::Ac { omega }, l, n, 230.0, 0.1, Some(handle));
    b.part("Y1", "Relay", "");
    b.winding("coil", l, n, coil(190.0), vec![]);
    let mut plant = Plant::nominal(Arc::new(b.finish().unwrap()));
    let r = instrument::ohms(&mut plant, ("l", l), ("n", n), false).reading;
    assert_eq!(r.shown.to_string(), "190.0 ohm");
}

#[test]
fn a_live_circuit_blows_the_ohmmeter() {
    // 0.6 V is enough; 0.4 V is not.
    let (mut plant, [plus, minus, _]) = divider(Current::Dc, 0.6, 1e3, 1e3);
    let m = instrument::ohms(&mut plant, ("a", plus), ("b", minus), false);
    assert!(m.misuse.is_some() && !m.reading.valid);
    let (mut plant, [plus, minus, _]) = divider(Current::Dc, 0.4, 1e3, 1e3);
    assert!(instrument::ohms(&mut plant, ("a", plus), ("b", minus), false).misuse.is_none());
}

#[test]
fn the_clamp_cannot_see_small_currents() {
    let mut s = session();
    does(&mut s, "hold S1");
    // 24 V / 240 ohm, and 24 V / 600 ohm.
    assert_eq!(does(&mut s, "clamp H1").readings[0].shown.to_string(), "0.10 A");
    assert_eq!(does(&mut s, "clamp K1:A1").readings[0].shown.to_string(), "0.04 A");
    assert_eq!(does(&mut s, "clamp K1:A2").readings[0].shown.to_string(), "-0.04 A");
    hazards_of(&mut s, &["release S1", "wait 1 s"]);
    assert_eq!(does(&mut s, "clamp K1:A1").readings[0].shown.to_string(), "0.00 A");
    // What goes into the button comes out of the fuse; the coil warms a little in between.
    does(&mut s, "hold S2");
    let into = does(&mut s, "clamp S2:13").readings[0].value.unwrap();
    let out = does(&mut s, "clamp F1:2").readings[0].value.unwrap();
    assert!(into > 1.0 && (into + out).abs() < 0.05, "{into} {out}");
}

#[test]
fn gauges_step_and_fit_once() {
    let mut s = session();
    hazards_of(&mut s, &["turn S4 on", "wait 20 s"]);
    let start = s.now();
    let first = does(&mut s, "gauge MP1").readings[0].clone();
    let fitted = s.now();
    does(&mut s, "gauge MP1");
    assert_eq!((fitted - start).as_secs_f64(), 60.0);
    assert_eq!((s.now() - fitted).as_secs_f64(), 10.0);
    let bar =
        s.rig().clone().plant_mut().read(Probe::Pressure(crate::base::VolumeId::new(1))) / 1e5;
    assert_eq!(first.value, Some(bar.round()));
    assert_eq!(first.shown.to_string(), format!("{bar:.0} bar (250 bar gauge)"));
    assert!(s.act(parse("gauge MP1 99 bar").unwrap()).is_err());
}

#[test]
fn a_coil_warms_up_to_hand_and_thermometer() {
    let mut s = session();
    assert_eq!(does(&mut s, "feel 1V1").lines[0].to_string(), "1V1 is no warmer than the room");
    assert_eq!(does(&mut s, "temperature 1V1").readings[0].value, Some(20.0));
    hazards_of(&mut s, &["hold S2", "wait 10 min"]);
    assert!(does(&mut s, "feel 1V1").lines[0].to_string().contains("hot"));
    assert!(does(&mut s, "temperature 1V1").readings[0].value.unwrap() > 50.0);
}
