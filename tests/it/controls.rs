//! Controllers, ghost voltages and hot coils, each on a small bench as an author would write it.

use std::sync::Arc;

use spoolbench::base::{OperatorId, PlcId, SimTime, WindingId};
use spoolbench::bench;
use spoolbench::diagnostic::{Diagnostics, Sources, render_all};
use spoolbench::plant::{Element, Plan, Plant, Probe, What};

use super::coils::at;

/// The plan of a bench with `parts` and `wires`; warnings are allowed.
pub fn plan(parts: &str, wires: &str) -> Arc<Plan> {
    let source = format!("Bench(format: 1, parts: {{ {parts} }}, wires: [ {wires} ])");
    let mut found = Diagnostics::new();
    let bench = bench::load("test", &source, &mut found);
    let mut sources = Sources::new();
    sources.add("test", source.as_str());
    let text = render_all(&found, &sources, false);
    Arc::new(bench.unwrap_or_else(|| panic!("{text}")).plan)
}

fn codes(parts: &str) -> Vec<&'static str> {
    let source = format!("Bench(format: 1, parts: {{ {parts} }})");
    let mut found = Diagnostics::new();
    assert!(bench::load("test", &source, &mut found).is_none());
    found
        .iter()
        .filter(|d| d.severity == spoolbench::diagnostic::Severity::Error)
        .map(|d| d.code.id())
        .collect()
}

pub fn operator(plan: &Plan, tag: &str) -> OperatorId {
    plan.parts[plan.part(tag).expect("a part").index()]
        .elements
        .iter()
        .find_map(|(_, e)| if let Element::Operator(o) = e { Some(*o) } else { None })
        .expect("an operator")
}

pub fn winding(plan: &Plan, name: &str) -> WindingId {
    WindingId::new(plan.windings.iter().position(|w| w.name == name).expect("a winding"))
}

pub fn press(plant: &mut Plant, tag: &str, acting: bool) {
    let id = operator(plant.plan(), tag);
    plant.set_operator(id, acting);
}

pub fn acts(plant: &Plant, tag: &str) -> bool {
    plant.acting(operator(plant.plan(), tag))
}

/// Multiplies the voltage of the supply `tag`.
pub fn sag(plant: &mut Plant, tag: &str, share: f64) {
    let part = plant.plan().part(tag).expect("a part");
    let Some(Element::Branch(source)) = plant.plan().parts[part.index()].element("source") else {
        panic!("no source");
    };
    plant.alter(part, |c| c.branches[source.index()].volts *= share);
}

const DIRECT: &str = r#""G1": DcSupply(voltage: "24 V DC"), "S1": PushButton(), "K1": Relay(),"#;
const WIRED: &str = r#""G1:+ A1:L+", "G1:- A1:M", "G1:+ A1:1L", "A1:Q0 K1:A1", "K1:A2 G1:-","#;
const SINKING: &str = r#""G1:+ S1:13", "S1:14 A1:I0", "A1:1M G1:-","#;

fn controller(program: &str, rest: &str) -> String {
    format!(r#"{DIRECT} "A1": Plc(program: "{program}", {rest}),"#)
}

/// TON, PT 5 s, pressed at 1 s: the output comes at 6 s (IEC 61131-3, from memory), late by the
/// contact and by the end of the first scan that sees it, at the most two scans and a contact.
#[test]
fn an_on_delay_through_the_terminals() {
    let program =
        "PROGRAM t VAR d : TON; END_VAR d(IN := %IX0.0, PT := T#5s); %QX0.0 := d.Q; END_PROGRAM";
    for outputs in ["transistor", "relay"] {
        let parts = controller(program, &format!(r#"output_type: "{outputs}""#));
        let plan = plan(&parts, &format!("{WIRED}{SINKING}"));
        let mut plant = Plant::nominal(plan.clone());
        at(&mut plant, 1.0);
        press(&mut plant, "S1", true);
        at(&mut plant, 8.0);
        let output = plan.plcs[0].outputs[0];
        let on = plant
            .take_happenings()
            .into_iter()
            .find(|h| h.what == What::Acts(output))
            .expect("the output comes")
            .at
            .as_secs_f64();
        assert!((6.0..6.025).contains(&on), "{on}");
        assert!(acts(&plant, "K1"));
        press(&mut plant, "S1", false);
        at(&mut plant, 8.1);
        assert!(!acts(&plant, "K1"));
    }
}

const COPY: &str = "PROGRAM copy %QX0.0 := %IX0.0; END_PROGRAM";

/// A sourcing input is pulled to minus against a common at plus.
#[test]
fn inputs_sink_or_source() {
    let sourcing = r#""G1:- S1:13", "S1:14 A1:I0", "A1:1M G1:+","#;
    for (rest, wires, works) in [
        ("", SINKING, true),
        (r#"input_type: "sourcing""#, sourcing, true),
        (r#"input_type: "sourcing""#, SINKING, false),
        ("", sourcing, false),
    ] {
        let plan = plan(&controller(COPY, rest), &format!("{WIRED}{wires}"));
        let mut plant = Plant::nominal(plan);
        press(&mut plant, "S1", true);
        at(&mut plant, 0.2);
        assert_eq!(acts(&plant, "K1"), works, "{rest} {wires}");
    }
}

/// Type 1 levels: at 15 V an input is on, at 5 V it is off (IEC 61131-2, from memory), and between
/// its thresholds it stays as it was. Without 19.2 V the controller itself stops.
#[test]
fn levels_of_an_input() {
    let parts = format!(r#"{} "G2": DcSupply(voltage: "24 V DC"),"#, controller(COPY, ""));
    let wires = format!(r#"{WIRED} "G2:+ S1:13", "S1:14 A1:I0", "A1:1M G2:-","#);
    let plan = plan(&parts, &wires);
    for (share, first, then) in [(15.0, true, true), (10.0, false, true), (5.0, false, false)] {
        let share = share / 24.0;
        let mut plant = Plant::nominal(plan.clone());
        sag(&mut plant, "G2", share);
        press(&mut plant, "S1", true);
        at(&mut plant, 0.2);
        assert_eq!(acts(&plant, "K1"), first, "{share}");
        sag(&mut plant, "G2", 1.0 / share);
        at(&mut plant, 0.4);
        assert!(acts(&plant, "K1"));
        sag(&mut plant, "G2", share);
        at(&mut plant, 0.6);
        assert_eq!(acts(&plant, "K1"), then, "{share}");
    }
    let mut plant = Plant::nominal(plan);
    press(&mut plant, "S1", true);
    at(&mut plant, 0.2);
    assert!(plant.plc_runs(PlcId::new(0)) && acts(&plant, "K1"));
    sag(&mut plant, "G1", 17.0 / 24.0);
    at(&mut plant, 0.4);
    assert!(!plant.plc_runs(PlcId::new(0)) && !acts(&plant, "K1"));
}

/// The snubber of an open triac passes a little current: a relay of usual size drops out, a small
/// one stays in (general trade knowledge; the figures follow from the circuit).
#[test]
fn a_triac_can_hold_a_small_coil() {
    for (coil, stays) in [
        (r#"inrush: "9 VA", sealed: "4 VA""#, false),
        (r#"inrush: "0.9 VA", sealed: "0.5 VA""#, true),
    ] {
        let parts = format!(
            r#""G1": DcSupply(voltage: "24 V DC"), "S1": PushButton(),
            "G2": AcSupply(voltage: "120 V AC 60 Hz"), "K1": Relay(coil: "120 V AC 60 Hz", {coil}),
            "A1": Plc(program: "{COPY}", output_type: "triac"),"#
        );
        let wires = format!(
            r#"{SINKING} "G1:+ A1:L+", "G1:- A1:M", "G2:L A1:1L", "A1:Q0 K1:A1", "K1:A2 G2:N","#
        );
        let plan = plan(&parts, &wires);
        let coil = winding(&plan, "K1");
        let mut plant = Plant::nominal(plan);
        at(&mut plant, 0.5);
        assert!(!acts(&plant, "K1"), "an open triac does not pull it in");
        press(&mut plant, "S1", true);
        at(&mut plant, 1.0);
        assert!(acts(&plant, "K1"));
        press(&mut plant, "S1", false);
        at(&mut plant, 2.0);
        let leaks = plant.read(Probe::WindingAmps(coil));
        assert!((1e-3..10e-3).contains(&leaks), "{leaks} A");
        assert_eq!(acts(&plant, "K1"), stays, "{leaks} A");
    }
}

/// An open transistor leaks 0.1 mA at 24 V into a dead load (derived: 240 kohm in series).
#[test]
fn an_open_transistor_leaks() {
    let plan = plan(&controller(COPY, ""), &format!("{WIRED}{SINKING}"));
    let coil = winding(&plan, "K1");
    let mut plant = Plant::nominal(plan);
    at(&mut plant, 1.0);
    let i = plant.read(Probe::WindingAmps(coil));
    assert!((i / 1e-4 - 1.0).abs() < 0.01, "{i}");
}

#[test]
fn programs_are_checked_with_the_bench() {
    assert_eq!(codes(r#""A1": Plc(program: "press.st")"#), ["SB616"]);
    assert_eq!(codes(r#""A1": Plc(program: "PROGRAM t x := 1; END_PROGRAM")"#), ["SB612"]);
    assert_eq!(
        codes(r#""A1": Plc(program: "PROGRAM t END_PROGRAM", bind: ["x = I9"])"#),
        ["SB614"]
    );
    assert!(codes(r#""A1": Plc()"#).contains(&"SB106"));
}

/// A coil of 24 V that pulls in at 65 % while cold. An hour on full voltage warms it by 35 K/W, and
/// as copper it then needs (1 + 3.93e-3 dT) times the voltage (IEC 60028, from memory; derived).
#[test]
fn a_hot_coil_does_not_pull_on_a_low_supply() {
    let plan = plan(DIRECT, r#""G1:+ S1:13", "S1:14 K1:A1", "K1:A2 G1:-""#);
    let low = 0.71;
    let mut cold = Plant::nominal(plan.clone());
    sag(&mut cold, "G1", low);
    press(&mut cold, "S1", true);
    at(&mut cold, 0.5);
    assert!(acts(&cold, "K1"), "cold, it pulls on 71 %");

    let mut hot = Plant::nominal(plan.clone());
    press(&mut hot, "S1", true);
    at(&mut hot, 3_600.0);
    assert!(acts(&hot, "K1"));
    let celsius = hot.read(Probe::Celsius(winding(&plan, "K1")));
    // dT = 35 K/W * (24 V)^2 / R, R = 480 ohm (1 + 3.93e-3 dT): 36.9 K.
    assert!((celsius - 56.9).abs() < 0.5, "{celsius}");
    let needs = 0.65 * (1.0 + 3.93e-3 * (celsius - 20.0));
    assert!(needs > low && needs < 0.76, "{needs}");
    press(&mut hot, "S1", false);
    at(&mut hot, 3_600.5);
    sag(&mut hot, "G1", low);
    press(&mut hot, "S1", true);
    at(&mut hot, 3_601.0);
    assert!(!acts(&hot, "K1"), "hot, it stays out");
    let amps = hot.read(Probe::WindingAmps(winding(&plan, "K1")));
    assert!(amps > 0.028 && amps < 0.0325, "there is current, but too little: {amps}");
    // Let it cool, and it pulls again.
    press(&mut hot, "S1", false);
    at(&mut hot, 7_200.0);
    press(&mut hot, "S1", true);
    at(&mut hot, 7_201.0);
    assert!(acts(&hot, "K1"));
}

const ALTERNATING: &str = r#""G1": AcSupply(voltage: "120 V AC 60 Hz"), "S1": PushButton(),
    "S2": PushButton(), "K1": Relay(coil: "120 V AC 60 Hz"),"#;

/// What a meter of `ohm` reads between two terminals.
pub fn meter(plant: &mut Plant, a: &str, b: &str, ohm: f64) -> f64 {
    let plan = plant.plan().clone();
    let seen = plant.terminals(plan.node(a).expect(a), plan.node(b).expect(b));
    (seen.open_v * ohm / (seen.ohm + ohm)).norm_sqr().sqrt()
}

/// An open conductor lies beside a live one and beside earth: a meter of 10 Mohm reads what the
/// capacitive divider gives (derived), one of 3 kohm nothing, and a coil does not pull.
#[test]
fn an_open_conductor_shows_a_ghost_voltage() {
    for (wire, farad) in
        [(r#"length: "20 m""#, 1.2e-9), (r#"length: "20 m", capacitance: "400 pF""#, 0.4e-9)]
    {
        let wires = format!(
            r#""G1:L S1:13", Wire(from: "S1:14", to: "S2:13", {wire}), "S2:14 K1:A1", "K1:A2 G1:N""#
        );
        let plan = plan(ALTERNATING, &wires);
        let coil = winding(&plan, "K1");
        let mut plant = Plant::nominal(plan);
        at(&mut plant, 0.1);
        let ghost = meter(&mut plant, "S1:14", "G1:N", 10e6);
        let susceptance = 2.0 * std::f64::consts::PI * 60.0 * farad;
        // Meter, and two terminals of 100 Mohm to earth.
        let conductance: f64 = 1e-7 + 2e-8;
        let want = 120.0 * susceptance / conductance.hypot(2.0 * susceptance);
        assert!((ghost / want - 1.0).abs() < 0.01, "{ghost} V, expected {want}");
        assert!((20.0..90.0).contains(&ghost), "tens of volts: {ghost}");
        let loaded = meter(&mut plant, "S1:14", "G1:N", 3e3);
        assert!(loaded < 0.5, "{loaded} V");
        // The coil on the open conductor: almost nothing is left, and it stays out.
        press(&mut plant, "S2", true);
        at(&mut plant, 0.5);
        assert!(!acts(&plant, "K1"));
        assert!(meter(&mut plant, "K1:A1", "G1:N", 10e6) < 1.0);
        assert!(plant.read(Probe::WindingAmps(coil)) < 1e-4);
        // The same voltage from a real source pulls it in.
        press(&mut plant, "S1", true);
        at(&mut plant, 1.0);
        assert!(acts(&plant, "K1"));
    }
}

/// The live conductor is dead behind its isolator, and with it the ghost.
#[test]
fn an_isolated_ghost_is_gone() {
    let parts = r#""Q0": Isolator(), "G1": AcSupply(voltage: "120 V AC 60 Hz", behind: "Q0"),
        "S1": PushButton(), "H1": Lamp(voltage: "120 V AC 60 Hz"),"#;
    let wires = r#""G1:L S1:13", Wire(from: "S1:14", to: "H1:X1", length: "20 m"), "H1:X2 G1:N""#;
    let mut plant = Plant::nominal(plan(parts, wires));
    press(&mut plant, "Q0", false);
    at(&mut plant, 1.0);
    assert!(meter(&mut plant, "S1:14", "G1:N", 10e6) < 1e-3);
    assert_eq!(plant.now(), SimTime::from_secs(1));
}

/// Without the 24 V DC coil's armature closed, 24 V 60 Hz drive 24 V / |480 + j 832| ohm = 25 mA
/// (derived), less than the 32.5 mA it needs. An alternating-current coil on direct current of the
/// same voltage lacks its reactance: it pulls, overheats and burns.
#[test]
fn coils_on_the_wrong_kind_of_current() {
    let wires = r#""G1:+ S1:13", "S1:14 K1:A1", "K1:A2 G1:-""#;
    let other = wires.replace("G1:+", "G1:L").replace("G1:-", "G1:N");
    let parts = r#""G1": AcSupply(voltage: "24 V AC 60 Hz"), "S1": PushButton(), "K1": Relay()"#;
    let bench = plan(parts, &other);
    let mut plant = Plant::nominal(bench.clone());
    press(&mut plant, "S1", true);
    at(&mut plant, 1.0);
    let amps = plant.read(Probe::WindingAmps(winding(&bench, "K1")));
    assert!((amps / 25.0e-3 - 1.0).abs() < 0.01, "{amps}");
    assert!(!acts(&plant, "K1"));

    let parts = r#""G1": DcSupply(voltage: "120 V DC"), "S1": PushButton(),
        "K1": Relay(coil: "120 V AC 60 Hz", inrush: "9 VA", sealed: "3 VA")"#;
    let bench = plan(parts, wires);
    let mut plant = Plant::nominal(bench.clone());
    press(&mut plant, "S1", true);
    at(&mut plant, 1.0);
    assert!(acts(&plant, "K1"));
    at(&mut plant, 600.0);
    assert!(plant.burnt(winding(&bench, "K1")) && !acts(&plant, "K1"));
}

/// The leakage of a two-wire switch leaves 3.3 V on an input of 4.7 kohm (derived: 24 V over 30
/// kohm and 4.7 kohm), which is off; when it conducts, 21 V, which is on.
#[test]
fn a_two_wire_switch_into_an_input() {
    let parts = format!(
        r#"{} "B1": ProximitySwitch(on: "1A1", from: "-1 mm", to: "2 mm", wires: "two"),
        "B2": ProximitySwitch(on: "1A1", from: "90 mm", to: "101 mm", wires: "two"),
        "X1": TerminalBlock(terminals: 3, bridges: ["1-2"]),
        "1A1": Cylinder(bore: "40 mm", rod: "22 mm", stroke: "100 mm"),"#,
        controller(COPY, "")
    );
    let wires = format!(
        r#"{WIRED} "A1:1M G1:-", "G1:+ X1:1", "X1:2 B1:1", "X1:2 B2:1", "B1:2 A1:I0", "B2:2 A1:I1","#
    );
    let mut plant = Plant::nominal(plan(&parts, &wires));
    at(&mut plant, 0.2);
    let on = meter(&mut plant, "A1:I0", "A1:1M", 1e9);
    let off = meter(&mut plant, "A1:I1", "A1:1M", 1e9);
    assert!((on - 24.0 * 4.7 / 5.4).abs() < 0.5, "{on}");
    assert!((off - 24.0 * 4.7 / 34.7).abs() < 0.1, "{off}");
    assert_eq!(plant.plc_inputs(PlcId::new(0))[..2], [true, false]);
}
