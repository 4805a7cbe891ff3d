//! What nobody has written down anywhere: it comes out of balances of forces and flows.

use spoolbench::base::{PistonId, SpoolId};
use spoolbench::fault::Fault;
use spoolbench::plant::{Plant, Probe};
use spoolbench::shift::Feed;

use super::machines::load;
use super::pressure_valves::{Rig, near};

const CONTROL: &str = r#""G1": DcSupply(voltage: "24 V DC", earthed: true),
    "S1": PushButton(contacts: ["13-14"]), "S2": PushButton(contacts: ["13-14"]), "T1": Tank(),"#;
const RUNG_A: &str = r#"Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, 1V1:a1-a2"),"#;
const RUNGS: &str = r#"Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, 1V1:a1-a2"),
    Rung(from: "G1:+", to: "G1:-", path: "S2:13-14, 1V1:b1-b2"),"#;

/// A 40 L/min pump, a two-stage valve with these fields, a cylinder.
fn staged(fields: &str, on_tank: &str) -> Rig {
    let parts = format!(
        r#"{CONTROL} "M1": Pump(displacement: "28 cm3/rev", speed: "1450 rpm"),
        "RV1": Relief(setting: "120 bar", rated_flow: "40 L/min"),
        "1V1": TwoStageValve({fields}),
        "1A1": Cylinder(bore: "63 mm", rod: "36 mm", stroke: "300 mm"),"#
    );
    let lines = format!(
        r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", "1V1:T"{on_tank}]),
        Line(name: "P", ports: ["M1:P", "RV1:P", "1V1:P"], volume: "0.5 L"),
        Line(name: "A", ports: ["1V1:A", "1A1:A"]), Line(name: "B", ports: ["1V1:B", "1A1:B"])"#
    );
    Rig::wired(&parts, &lines, RUNGS)
}

fn pushed(r: &mut Rig) -> (f64, f64) {
    r.run(1.0);
    r.hold("S1", true);
    r.run(4.0);
    (r.spool("1V1", "main spool"), r.plant.read(Probe::Piston(PistonId::new(0))))
}

#[test]
fn a_tandem_centre_starves_the_pilot_that_it_feeds() {
    // The solenoid does its work, the pilot shifts, and the pump circulates below what the main
    // spool needs.
    let mut r = staged(r#"centre: "tandem""#, "");
    let (main, out) = pushed(&mut r);
    near(r.spool("1V1", "spool"), 1.0, 0.02, "the pilot");
    assert!(main.abs() < 0.3 && out < 1e-3, "main spool at {main}, rod at {out}");
    assert!(r.bar("P") < 5.0, "{} bar", r.bar("P"));
    // A closed centre keeps the pump's pressure for the pilot.
    let mut r = staged(r#"centre: "closed""#, "");
    let (main, out) = pushed(&mut r);
    near(main, 1.0, 0.02, "closed centre: main spool");
    assert!(out > 0.299, "{out}");
    // So does a check in P behind the tap, once the drain does not run into its back pressure.
    let mut r =
        staged(r#"centre: "tandem", pilot_check: "7 bar", drain: "external""#, ", \"1V1:Y\"");
    let (main, out) = pushed(&mut r);
    near(main, 1.0, 0.02, "pilot-pressure check: main spool");
    assert!(out > 0.299, "{out}");
    r.hold("S1", false);
    r.run(1.0);
    near(r.spool("1V1", "main spool") + 1.0, 1.0, 0.02, "back in the centre");
    near(r.bar("P"), 7.0, 0.2, "the pump idles over the check");
    // And the other way.
    r.hold("S2", true);
    r.run(4.0);
    assert!(r.plant.read(Probe::Piston(PistonId::new(0))) < 1e-3);
}

#[test]
fn the_least_pilot_pressure_is_that_of_the_springs() {
    for (bar, shifts) in [(4.5, false), (5.5, true)] {
        let parts = format!(
            r#"{CONTROL} "M2": Pump(displacement: "2 cm3/rev"),
            "RV2": Relief(setting: "{bar} bar", cracking: "{} bar", rated_flow: "3 L/min"),
            "1V1": TwoStageValve(pilot: "external", drain: "external"),"#,
            bar - 0.1
        );
        let lines = r#"Line(name: "tank", ports: ["T1:T", "M2:S", "RV2:T", "1V1:T", "1V1:Y"]),
            Line(name: "X", ports: ["M2:P", "RV2:P", "1V1:X"])"#;
        let mut r = Rig::wired(&parts, lines, RUNGS);
        r.run(1.0);
        r.hold("S1", true);
        r.run(3.0);
        let main = r.spool("1V1", "main spool");
        assert_eq!(main > 0.99, shifts, "{bar} bar: {main}");
        assert!(main > 0.3, "it moves some way: {main}");
    }
}

/// How far a small direct valve shifts with this flow through it.
fn shift_at(l_min: f64, flow_force: &str, other: &str) -> f64 {
    let mut r = limited(l_min, flow_force, other);
    r.run(2.0);
    r.hold("S1", true);
    r.run(2.0);
    r.spool("1V1", "spool")
}

/// A small direct valve whose pump gives this flow, against a relief of 250 bar.
fn limited(l_min: f64, flow_force: &str, other: &str) -> Rig {
    let parts = format!(
        r#"{CONTROL} "M1": Pump(displacement: "{} cm3/rev", speed: "1500 rpm", efficiency: "100 %"),
        "RV1": Relief(setting: "250 bar", rated_flow: "200 L/min"),
        "1V1": Valve(rest: "spring offset", ports: "P A", a: "P-A", rest_joins: "", flow_force: "{flow_force}", leakage: "0 cm3/min" {other}),"#,
        l_min / 1.5
    );
    let lines = r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", "1V1:A"]),
        Line(name: "P", ports: ["M1:P", "RV1:P", "1V1:P"], volume: "0.5 L")"#;
    Rig::wired(&parts, lines, RUNG_A)
}

/// The operating limit is where the flow force eats up what pull, spring and friction leave (balance of forces,
/// derived): up to it the valve shifts, and a little above it no more. It falls with the pressure and ends where
/// no pressure holds the spool.
#[test]
fn a_valve_shifts_up_to_its_operating_limit() {
    let weak = ", power: \"8 W\"";
    let r = limited(20.0, "100 %", weak);
    let plan = r.plant.plan().clone();
    let spool = r.spool_id("1V1", "spool");
    let limit = |bar: f64| plan.operating_limit(spool, Feed::Direct(24.0), bar * 1e5);
    let full = 60_000.0 * limit(250.0).expect("a limit");
    assert!(limit(0.5).is_none());
    let (mut low, mut high) = (0.3 * full, 4.0 * full);
    for _ in 0..10 {
        let middle = 0.5 * (low + high);
        if shift_at(middle, "100 %", weak) > 0.97 {
            low = middle;
        } else {
            high = middle;
        }
    }
    near(low, full, 0.1, "L/min");
    // What the plate of the same valve says.
    let plate = &plan.parts[plan.part("1V1").expect("a part").index()].nameplate;
    let says = plate.iter().find(|(what, _)| what == "operating limit").expect("a limit");
    let most = 60_000.0 * limit(315.0).expect("a limit");
    assert!(says.1.ends_with(&format!("{most:.0} L/min at 315 bar")), "{}", says.1);
}

#[test]
fn flow_force_sets_a_limit_to_what_a_valve_can_shift() {
    // Within its data a valve with a weak solenoid shifts; at full flow and 250 bar the flow holds
    // it half shut.
    let weak = ", power: \"8 W\"";
    near(shift_at(12.0, "100 %", weak), 1.0, 0.02, "12 L/min");
    let stalled = shift_at(180.0, "100 %", weak);
    assert!(stalled > 0.3 && stalled < 0.9, "180 L/min: {stalled}");
    near(shift_at(180.0, "0 %", weak), 1.0, 0.02, "180 L/min without flow force");
    // A stronger solenoid shifts it.
    near(shift_at(180.0, "100 %", ""), 1.0, 0.02, "180 L/min with 26 W");
}

fn drained(on_tank: &str, more: &str) -> Rig {
    let parts = format!(
        r#"{CONTROL} "1V1": Valve(rest: "spring offset", tube_drain: "port"), "D1": Throttle(),"#
    );
    let lines = format!(r#"Line(name: "tank", ports: ["T1:T", "1V1:T"{on_tank}]), {more}"#);
    Rig::wired(&parts, &lines, RUNG_A)
}

#[test]
fn a_blocked_tube_drain_stops_the_armature() {
    let shifts = |mut r: Rig, fault: Option<Fault>| {
        if let Some(fault) = fault {
            r.fault(fault);
        }
        r.run(0.5);
        r.hold("S1", true);
        r.run(0.5);
        r.spool("1V1", "spool")
    };
    let free = || drained(", \"1V1:L\"", "");
    near(shifts(free(), None), 1.0, 0.02, "free drain");
    // Nobody joined it: the oil in front of the armature has nowhere to go.
    assert!(shifts(drained("", ""), None) < 0.4);
    let blocked = Fault::new("1V1", "blocked").in_role("tube drain").of(0.0);
    assert!(shifts(free(), Some(blocked)) < 0.1);
    let narrow = Fault::new("1V1", "blocked").in_role("tube drain").of(1e-4);
    let crept = shifts(free(), Some(narrow));
    assert!(crept > 0.0 && crept < 0.95, "nearly blocked it creeps: {crept}");
}

/// 10 kN hang on a rod side behind a pilot check; the valve is at rest and vents both its ports.
fn hanging(fault: Option<Fault>) -> f64 {
    let parts = format!(
        r#"{CONTROL} "1A1": Cylinder(bore: "50 mm", rod: "28 mm", stroke: "500 mm", start: "100 mm", load: "-10 kN"),
        "1V2": PilotCheck(), "1V1": Valve(centre: "float", leakage: "0 cm3/min"),"#
    );
    let lines = r#"Line(name: "tank", ports: ["T1:T", "1V1:T"]),
        Line(name: "A", ports: ["1V1:A", "1A1:A", "1V2:X"]), Line(name: "B", ports: ["1V1:B", "1V2:A"]),
        Line(name: "rod", ports: ["1V2:B", "1A1:B"])"#;
    let mut r = Rig::wired(&parts, lines, RUNGS);
    if let Some(fault) = fault {
        r.fault(fault);
    }
    r.run(20.0);
    r.plant.read(Probe::Piston(PistonId::new(0))) - 0.1
}

#[test]
fn a_load_drops_when_its_pilot_check_fails() {
    let held = hanging(None);
    assert!(held < 4e-3, "only the oil gives way: {held} m");
    let sinking = hanging(Some(Fault::new("1V2", "leaking").of(0.001)));
    assert!(sinking > 3.0 * held && sinking < 0.39, "a worn seat lets it sink: {sinking} m");
    for fault in [Fault::new("1V2", "stuck-open"), Fault::new("1V2", "leaking").of(1.0)] {
        let dropped = hanging(Some(fault));
        assert!(dropped > 0.399, "it drops to the end: {dropped} m");
    }
}

/// p2 = p1 A1 / A2: 50/28 mm make 145.688 of 100 (balance of forces, derived).
#[test]
fn a_blocked_throttle_in_the_return_intensifies_the_pressure() {
    let parts = format!(
        r#"{CONTROL} "M1": Pump(displacement: "8 cm3/rev"), "RV1": Relief(setting: "100 bar", rated_flow: "12 L/min"),
        "1V1": Valve(leakage: "0 cm3/min"), "1V2": ThrottleCheck(rated_flow: "5 L/min", rated_drop: "20 bar"),
        "1A1": Cylinder(bore: "50 mm", rod: "28 mm", stroke: "400 mm", friction: "0 N"),"#
    );
    let lines = r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", "1V1:T"]),
        Line(name: "P", ports: ["M1:P", "RV1:P", "1V1:P"]), Line(name: "A", ports: ["1V1:A", "1A1:A"]),
        Line(name: "B", ports: ["1A1:B", "1V2:A"]), Line(name: "return", ports: ["1V2:B", "1V1:B"])"#;
    let mut r = Rig::wired(&parts, lines, RUNGS);
    r.fault(Fault::new("1V2", "blocked").of(0.0));
    r.run(1.0);
    r.hold("S1", true);
    r.run(5.0);
    assert!(r.bar("A") > 95.0);
    near(r.bar("B"), 1.456_876 * r.bar("A"), 1e-3, "rod side");
}

/// How far a poppet valve opens its way against this pressure, and what passes.
fn poppet(assist: bool, bar: f64) -> (f64, f64) {
    let parts = format!(
        r#"{CONTROL} "M1": Pump(displacement: "8 cm3/rev", efficiency: "100 %"),
        "RV1": Relief(setting: "{bar} bar", cracking: "{} bar", rated_flow: "12 L/min"),
        "1V1": PoppetValve(assist: {assist}), "D1": Throttle(rated_flow: "1 L/min", rated_drop: "400 bar"),"#,
        bar - 0.5
    );
    let lines = r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", "D1:B"]),
        Line(name: "P", ports: ["M1:P", "RV1:P", "1V1:P"], volume: "0.5 L"),
        Line(name: "A", ports: ["1V1:A", "D1:A"])"#;
    let mut r = Rig::wired(&parts, lines, RUNG_A);
    r.run(3.0);
    let id = r.flow_id("1V1", "P-A");
    let shut = r.plant.read(Probe::Flow(id)) * 60e6;
    assert!(shut.abs() < 1e-6 && r.bar("A").abs() < 1e-3, "tight at rest: {shut} cm3/min");
    r.hold("S1", true);
    r.run(2.0);
    (r.plant.read(Probe::Spool(SpoolId::new(0))), r.flow("D1", "gate"))
}

#[test]
fn a_poppet_is_tight_and_pilot_assist_lifts_it_against_any_pressure() {
    for (assist, bar, opens) in
        [(false, 10.0, true), (false, 300.0, false), (true, 10.0, true), (true, 300.0, true)]
    {
        let (spool, flow) = poppet(assist, bar);
        let want = (bar / 400.0_f64).sqrt();
        assert_eq!(flow > 0.9 * want, opens, "assist {assist}, {bar} bar: {spool}, {flow} L/min");
        if !opens {
            assert!(flow < 1e-3, "{flow}");
        }
    }
}

/// A worn spool lets the ram creep and the pump's pressure leak away, and comes to rest in its centre:
/// the flow force of what leaks through its clearance does not drive it to and fro.
#[test]
fn a_worn_spool_comes_to_rest() {
    let steps = |worn: Option<f64>| {
        let mut r = Rig { plant: Plant::nominal(load("press.bench.ron")) };
        if let Some(share) = worn {
            r.fault(Fault::new("1V1", "leaking").of(share));
        }
        r.hold("S4", true);
        r.run(2.0);
        for button in ["S1", "S2"] {
            r.hold(button, true);
            r.run(8.0);
            r.hold(button, false);
            r.run(2.0);
        }
        near(r.spool("1V1", "spool") + 1.0, 1.0, 0.02, "in its centre");
        let work = r.plant.work();
        work.steps + work.rejected
    };
    let sound = steps(None);
    for share in [0.02, 0.1, 0.3] {
        let worn = steps(Some(share));
        assert!(worn < 2 * sound + 1000, "{share}: {worn} steps, sound {sound}");
    }
}

/// A poppet that its solenoid lifts by itself opens up to the pressure on its seat that the pull
/// leaves beyond the spring: P tau (1 - 1 / k) / (2 (1 + r) s) of coil power, time constant, ratio of
/// inductances, leakage ratio and stroke (energy of the winding, derived), less the 0.36 of it at
/// which it just pulls in without pressure.
#[test]
fn a_poppet_opens_where_its_pull_meets_the_pressure() {
    let pull = 30.0 * 14e-3 * (1.0 - 1.0 / 2.5) / (2.0 * 1.8 * 1e-3);
    // 20 L/min at 6 bar, 870 kg/m3, discharge coefficient 0.61.
    let seat = 20.0 / 60_000.0 / 6e5_f64.sqrt() / (0.61 * (2.0 / 870.0_f64).sqrt());
    let most = 0.64 * pull / seat / 1e5;
    // The wires take half a percent of the voltage, a whole one of the pull.
    for (share, opens) in [(0.96, true), (1.02, false)] {
        let parts = format!(
            r#""G1": DcSupply(voltage: "24 V DC", earthed: true, internal: "0.001 ohm"),
            "S1": PushButton(contacts: ["13-14"]), "T1": Tank(), "M1": Pump(displacement: "8 cm3/rev", efficiency: "100 %"),
            "RV1": Relief(setting: "{} bar", cracking: "{} bar", rated_flow: "11.6 L/min"),
            "1V1": PoppetValve(power: "30 W", rise_time: "14 ms", assist: false, rated_flow: "20 L/min", rated_drop: "6 bar"),
            "D1": Throttle(rated_flow: "1 L/min", rated_drop: "400 bar"),"#,
            share * most,
            share * most - 0.05
        );
        let lines = r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", "D1:B"]),
            Line(name: "P", ports: ["M1:P", "RV1:P", "1V1:P"], volume: "0.5 L"),
            Line(name: "A", ports: ["1V1:A", "D1:A"])"#;
        let mut r = Rig::wired(&parts, lines, RUNG_A);
        r.run(3.0);
        r.hold("S1", true);
        r.run(1.0);
        let open = r.plant.read(Probe::Spool(SpoolId::new(0)));
        assert_eq!(open > 0.5, opens, "{share} of {most} bar: {open}");
    }
}
