//! Proportional valves with their amplifiers, open loop and on the position of an axis. What is
//! expected is derived from the authored figures.

use spoolbench::base::PistonId;
use spoolbench::fault::Fault;
use spoolbench::plant::Probe;

use super::pressure_valves::{Rig, near};

const SUPPLY: &str = r#""G1": DcSupply(voltage: "24 V DC", earthed: true), "T1": Tank(),
    "S1": PushButton(contacts: ["13-14"]), "S2": PushButton(contacts: ["13-14"]), "S3": PushButton(contacts: ["13-14"]),
    "M1": Pump(displacement: "16 cm3/rev", speed: "1500 rpm", efficiency: "100 %"),
    "RV1": Relief(setting: "80 bar", cracking: "79 bar", rated_flow: "24 L/min"),"#;
const RUNGS: &str = r#"Rung(from: "G1:+", to: "1V1:W1", path: "S1:13-14"), Rung(from: "G1:+", to: "1V1:W2", path: "S2:13-14"),
    Rung(from: "G1:+", to: "1V1:W3", path: "S3:13-14"), Rung(from: "G1:+", to: "1V1:+", path: "S0:21-22"),
    Rung(from: "1V1:-", to: "G1:-", path: "S9:21-22"),"#;
const ALWAYS: &str =
    r#""S0": PushButton(contacts: ["21-22"]), "S9": PushButton(contacts: ["21-22"]),"#;

fn bench(fields: &str) -> Rig {
    let parts = format!(
        r#"{SUPPLY}{ALWAYS} "1V1": ProportionalValve({fields}),
        "1A1": Cylinder(bore: "40 mm", rod: "25 mm", stroke: "500 mm", friction: "50 N"),"#
    );
    let lines = r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", "1V1:T"]),
        Line(name: "P", ports: ["M1:P", "RV1:P", "1V1:P"], volume: "1 L"),
        Line(name: "A", ports: ["1V1:A", "1A1:A"]), Line(name: "B", ports: ["1V1:B", "1A1:B"])"#;
    Rig::wired(&parts, lines, RUNGS)
}

fn call(r: &mut Rig, button: &str) {
    r.hold(button, true);
    r.run(0.1);
    r.hold(button, false);
}

fn mm(r: &mut Rig) -> f64 {
    r.plant.read(Probe::Piston(PistonId::new(0))) * 1e3
}

#[test]
fn the_spool_follows_the_signal_within_its_hysteresis() {
    let fields = r#"signal_1: "10 %", signal_2: "40 %", signal_3: "60 %", ramp_time: "50 ms", flow_force: "0 %""#;
    // Half of the width either way, of which the last tenth is where friction gives way.
    for (dither, half) in [("0 %", 0.025), ("100 %", 0.0)] {
        let mut r = bench(&format!("{fields}, hysteresis: \"5 %\", dither: \"{dither}\""));
        r.run(1.0);
        call(&mut r, "S1");
        r.run(1.0);
        call(&mut r, "S2");
        r.run(1.0);
        let rising = r.spool("1V1", "spool");
        call(&mut r, "S3");
        r.run(1.0);
        call(&mut r, "S2");
        r.run(1.0);
        let falling = r.spool("1V1", "spool");
        assert!((rising - (0.4 - half)).abs() < 0.1 * half + 2e-4, "rising {rising}");
        assert!((falling - (0.4 + half)).abs() < 0.1 * half + 2e-4, "falling {falling}");
    }
}

#[test]
fn flow_goes_with_the_travel_beyond_the_overlap() {
    let fields = r#"signal_1: "60 %", overlap: "20 %", hysteresis: "0 %", flow_force: "0 %", leakage: "0 cm3/min""#;
    let mut r = bench(fields);
    r.run(1.0);
    call(&mut r, "S1");
    r.run(1.0);
    let (p, a) = (r.bar("P"), r.bar("A"));
    // 60 % of the travel, less the overlap: half open.
    near(r.flow("1V1", "P-A"), 0.5 * 20.0 * ((p - a) / 5.0).sqrt(), 2e-3, "half open");
}

#[test]
fn a_ramp_takes_its_time() {
    let fields = r#"signal_1: "80 %", ramp_time: "1 s", hysteresis: "0 %", flow_force: "0 %""#;
    let mut r = bench(fields);
    r.run(1.0);
    r.hold("S1", true);
    r.run(0.42);
    // 0.4 s of the ramp, less the time constants of contact, current and spool: about 16 ms.
    let x = r.spool("1V1", "spool");
    assert!(x > 0.38 && x < 0.42, "{x}");
}

const AXIS: &str = r#"transducer: "1A1", position_1: "0 mm", position_2: "300 mm", position_3: "200 mm", ramp_speed: "0.2 m/s""#;

#[test]
fn an_axis_goes_where_it_is_called() {
    let mut r = bench(&format!("{AXIS}, overlap: \"15 %\", compensation: \"15 %\""));
    r.run(1.0);
    for (button, to) in [("S2", 300.0), ("S3", 200.0), ("S2", 300.0)] {
        call(&mut r, button);
        r.run(4.0);
        let at = mm(&mut r);
        assert!((at - to).abs() < 0.5, "{button}: {at} mm");
        assert!(r.plant.read(Probe::PistonSpeed(PistonId::new(0))).abs() < 1e-4, "it stands");
    }
    // Halfway, its speed is that of the ramp.
    call(&mut r, "S1");
    r.run(0.5);
    let speed = r.plant.read(Probe::PistonSpeed(PistonId::new(0)));
    near(speed, -0.2, 1e-2, "speed");
    // Without its supply the springs shut it and the axis stays.
    r.hold("S0", true);
    r.run(0.3);
    let before = mm(&mut r);
    r.run(2.0);
    assert!(r.spool("1V1", "spool").abs() < 0.02 && (mm(&mut r) - before).abs() < 1.0);
}

/// Full signal at 20 mm of error, 15 % of overlap: without compensation the valve shuts 3 mm early.
#[test]
fn an_overlap_without_compensation_leaves_the_axis_short() {
    let mut r =
        bench(&format!("{AXIS}, overlap: \"15 %\", hysteresis: \"0 %\", leakage: \"0 cm3/min\""));
    r.run(1.0);
    call(&mut r, "S2");
    r.run(6.0);
    let at = mm(&mut r);
    assert!((at - 297.0).abs() < 0.5, "{at} mm");
}

#[test]
fn a_displaced_transducer_sends_the_axis_astray() {
    let mut r = bench(&format!("{AXIS}, compensation: \"15 %\""));
    r.fault(Fault::new("1V1", "transducer-off").of(12.0));
    r.run(1.0);
    call(&mut r, "S2");
    r.run(4.0);
    let at = mm(&mut r);
    assert!((at - 288.0).abs() < 0.5, "{at} mm");
}
