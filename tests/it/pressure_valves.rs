//! Valves that pressures move, pumps that give way, motors, hoses and filters, against the balance
//! of their forces (derived) and the square law of a data sheet's rated point.

use std::sync::Arc;

use spoolbench::base::{FlowId, PistonId, SimTime, SpoolId, VolumeId};
use spoolbench::bench;
use spoolbench::diagnostic::{Diagnostics, Sources, render_all};
use spoolbench::fault::{Fault, apply};
use spoolbench::fluid::FlowLaw;
use spoolbench::plant::{Element, Plan, Plant, Probe};

/// A bench of these parts, lines and rungs.
pub fn plan(parts: &str, lines: &str, rungs: &str) -> Arc<Plan> {
    let text = format!(
        "Bench(format: 1, name: \"test\", oil: Oil(free_air: \"0 %\"), parts: {{{parts}}}, lines: [{lines}], rungs: [{rungs}])"
    );
    let mut found = Diagnostics::new();
    let bench = bench::load("test", &text, &mut found);
    let mut sources = Sources::new();
    sources.add("test", text.as_str());
    assert!(!found.has_errors(), "{}", render_all(&found, &sources, false));
    Arc::new(bench.expect("a bench").plan)
}

/// A run with everything at its nominal value.
pub struct Rig {
    pub plant: Plant,
}

impl Rig {
    pub fn new(parts: &str, lines: &str) -> Rig {
        Rig::wired(parts, lines, "")
    }

    pub fn wired(parts: &str, lines: &str, rungs: &str) -> Rig {
        Rig { plant: Plant::nominal(plan(parts, lines, rungs)) }
    }

    /// Brings about a fault.
    pub fn fault(&mut self, fault: Fault) {
        apply(&mut self.plant, &fault).expect("a fault");
    }

    /// Pushes or lets go the button `tag`.
    pub fn hold(&mut self, tag: &str, acting: bool) {
        let Element::Operator(head) = self.element(tag, "head") else {
            panic!("{tag} has no head")
        };
        self.plant.set_operator(head, acting);
    }

    pub fn run(&mut self, seconds: f64) {
        let until = self.plant.now() + SimTime::from_secs_f64_up(seconds);
        self.plant.advance(until, false).expect("advance");
    }

    pub fn element(&self, tag: &str, role: &str) -> Element {
        let plan = self.plant.plan();
        let part = plan.part(tag).expect("a part");
        plan.parts[part.index()].element(role).unwrap_or_else(|| panic!("{tag} has no {role}"))
    }

    pub fn bar(&mut self, line: &str) -> f64 {
        let at = self.plant.plan().volumes.iter().position(|v| v.name == line);
        self.plant.read(Probe::Pressure(VolumeId::new(at.expect("a line")))) / 1e5
    }

    pub fn flow_id(&self, tag: &str, role: &str) -> FlowId {
        let plan = self.plant.plan();
        let part = &plan.parts[plan.part(tag).expect("a part").index()];
        let found = part.elements.iter().find_map(|(r, e)| match e {
            Element::Flow(id) if r == role => Some(*id),
            _ => None,
        });
        found.unwrap_or_else(|| panic!("{tag} has no flow {role}"))
    }

    /// Flow [L/min].
    pub fn flow(&mut self, tag: &str, role: &str) -> f64 {
        let id = self.flow_id(tag, role);
        self.plant.read(Probe::Flow(id)) * 60_000.0
    }

    pub fn spool_id(&self, tag: &str, role: &str) -> SpoolId {
        let Element::Spool(id) = self.element(tag, role) else { panic!("{role} is no spool") };
        id
    }

    pub fn spool(&mut self, tag: &str, role: &str) -> f64 {
        let id = self.spool_id(tag, role);
        self.plant.read(Probe::Spool(id))
    }

    /// Sets the throttle `tag` to pass `l_min` at the drop of `bar`.
    pub fn throttle(&mut self, tag: &str, l_min: f64, bar: f64) {
        let id = self.flow_id(tag, "gate");
        let part = self.plant.plan().part(tag).expect("a part");
        self.plant.alter(part, |c| {
            if let FlowLaw::Gate(gate) = &mut c.flows[id.index()] {
                gate.gain = l_min / 60_000.0 / (bar * 1e5).sqrt();
            }
        });
    }
}

pub fn near(got: f64, want: f64, share: f64, what: &str) {
    println!("{what}: {got:.6}, expected {want:.6}");
    assert!((got - want).abs() <= share * want.abs(), "{what}: {got}, expected {want}");
}

/// A pump of 12 L/min without leakage, a tank and a high relief.
const SUPPLY: &str = r#""T1": Tank(), "M1": Pump(displacement: "8 cm3/rev", speed: "1500 rpm", efficiency: "100 %"),
    "RV1": Relief(setting: "200 bar", rated_flow: "12 L/min"),"#;

fn supplied(parts: &str, on_pressure: &str, on_tank: &str, more: &str) -> Rig {
    Rig::new(
        &format!("{SUPPLY}{parts}"),
        &format!(
            r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", {on_tank}]),
            Line(name: "P", ports: ["M1:P", "RV1:P", {on_pressure}], volume: "0.5 L"), {more}"#
        ),
    )
}

/// Root of a rising function.
fn root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if f(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[test]
fn a_pilot_operated_relief_holds_its_setting_and_lets_go_when_vented() {
    let parts =
        r#""RV2": PilotRelief(setting: "100 bar", rated_flow: "12 L/min"), "D1": Throttle(),"#;
    let mut r = supplied(
        parts,
        "\"RV2:P\"",
        "\"RV2:T\", \"D1:B\"",
        r#"Line(name: "X", ports: ["RV2:X", "D1:A"], volume: "10 cm3")"#,
    );
    r.throttle("D1", 0.0, 1.0);
    r.run(3.0);
    // The spring takes 4 bar, and 6 with the main stage all open, which then passes 12 L/min at 5 bar:
    // at 100 bar it stands at the root of 1 / 20. The orifice passes 1 L/min at the drop that
    // belongs to that; the pilot cracks half a bar below what is left, and passes 1 L/min there.
    let drop = 4.0 + 2.0 * 0.05_f64.sqrt();
    let crack = 100.0 - drop - 0.5;
    let main = |p: f64, chamber: f64| {
        12.0 * ((p - chamber - 4.0) / 2.0).clamp(0.0, 1.0) * (p / 5.0).sqrt()
    };
    let want = root(crack, 110.0, |p| {
        let chamber = root(crack, p, |v| (v - crack) / 0.5 - ((p - v) / drop).sqrt());
        main(p, chamber) + (chamber - crack) / 0.5 - 12.0
    });
    near(want, 100.0, 5e-3, "balance at the rated flow");
    near(r.bar("P"), want, 1e-4, "P at the rated flow");
    // A vent wide open: what is left is the spring of the main stage and what the vent drops.
    r.throttle("D1", 20.0, 1.0);
    r.run(2.0);
    let want = root(1.0, 90.0, |p| {
        let orifice = |v: f64| ((p - v) / drop).sqrt();
        let chamber = root(0.0, p, |v| 20.0 * v.sqrt() - orifice(v));
        main(p, chamber) + orifice(chamber) - 12.0
    });
    near(r.bar("P"), want, 1e-3, "P vented");
    assert!(want < 6.0, "{want}");
}

#[test]
fn an_unloading_valve_feeds_between_cut_in_and_cut_out() {
    let parts = r#""RV2": Unloading(setting: "120 bar", cut_in: "100 bar", rated_flow: "12 L/min"),
        "AC1": Accumulator(size: "1 L", precharge: "60 bar", exponent: "1"), "D1": Throttle(),"#;
    let mut r = supplied(
        parts,
        "\"RV2:P\"",
        "\"RV2:T\", \"D1:B\"",
        r#"Line(name: "A", ports: ["RV2:A", "AC1:P", "D1:A"])"#,
    );
    r.throttle("D1", 2.0, 100.0);
    let (mut highest, mut lowest, mut idle, mut turns) = (0.0_f64, f64::INFINITY, f64::INFINITY, 0);
    let mut feeding = true;
    for _ in 0..6000 {
        r.run(0.01);
        let (system, pump) = (r.bar("A"), r.bar("P"));
        let feeds = pump > system;
        turns += usize::from(feeds != feeding);
        feeding = feeds;
        highest = highest.max(system);
        if turns > 1 {
            lowest = lowest.min(system);
        }
        idle = idle.min(pump);
    }
    assert!(turns >= 4, "it turns over again and again: {turns}");
    near(highest, 120.0, 1e-2, "cut-out");
    near(lowest, 100.0, 1.5e-2, "cut-in");
    assert!(idle < 12.0, "the pump circulates at {idle} bar");
}

#[test]
fn a_reducing_valve_holds_its_outlet_both_ways() {
    let parts = r#""V1": Reducing(setting: "40 bar", droop: "3 bar"), "D1": Throttle(),
        "D2": Throttle(),"#;
    let mut r = supplied(
        parts,
        "\"V1:P\", \"D2:A\"",
        "\"V1:T\", \"D1:B\"",
        r#"Line(name: "A", ports: ["V1:A", "D1:A", "D2:B"])"#,
    );
    r.throttle("D1", 4.0, 40.0);
    r.throttle("D2", 0.0, 1.0);
    r.run(3.0);
    // 37 bar on the seat begin to move it, 40 move it over 0.48 of its travel, where it is shut.
    let open = |p: f64| 1.0 - (p - 37.0) / 3.0;
    let supply = r.bar("P");
    let want = root(37.0, 40.0, |p| {
        4.0 * (p / 40.0).sqrt() - 20.0 * open(p) * ((supply - p) / 3.0).sqrt()
    });
    near(r.bar("A"), want, 1e-3, "A under flow");
    // Pushed from outside, it opens to the tank.
    r.throttle("D1", 0.0, 1.0);
    r.throttle("D2", 3.0, 100.0);
    r.run(3.0);
    let supply = r.bar("P");
    let want = root(40.0, 60.0, |p| {
        let open = (p - 37.0) * 0.16 - 0.52;
        20.0 * (open / 0.48).max(0.0) * (p / 3.0).sqrt() - 3.0 * ((supply - p) / 100.0).sqrt()
    });
    near(r.bar("A"), want, 1e-3, "A pushed from outside");
}

#[test]
fn a_sequence_valve_opens_at_its_setting_over_its_drain() {
    for (drain, back) in [("internal", 1.0), ("external", 0.0)] {
        let (port, tank) = if drain == "external" { (", \"V1:Y\"", 0.0) } else { ("", 0.0) };
        let parts = format!(
            r#""V1": Sequence(setting: "50 bar", band: "5 bar", drain: "{drain}"), "D1": Throttle(),"#
        );
        let mut r = supplied(
            &parts,
            "\"V1:P\"",
            &format!("\"D1:B\"{port}"),
            r#"Line(name: "A", ports: ["V1:A", "D1:A"])"#,
        );
        r.throttle("D1", 12.0, 30.0);
        r.run(3.0);
        // Behind it stand 30 bar of the throttle.
        let p = root(30.0, 150.0, |p| {
            let open = ((p - back * 30.0 - tank - 50.0) / 5.0).clamp(0.0, 1.0);
            20.0 * open * ((p - 30.0) / 3.0).sqrt() - 12.0
        });
        near(r.bar("P"), p, 1e-3, drain);
        near(r.bar("A"), 30.0, 1e-3, "behind it");
    }
}

/// A rod side of 13.477 cm2 that carries 10 kN: 74.2 bar.
const HANGS: &str = r#""1A1": Cylinder(bore: "50 mm", rod: "28 mm", stroke: "500 mm", start: "100 mm", load: "-10 kN", friction: "0 N"),"#;

#[test]
fn a_counterbalance_valve_holds_a_load_and_lets_it_down_under_pressure() {
    let parts = format!(
        r#"{HANGS} "V1": Counterbalance(setting: "100 bar", band: "15 bar", pilot_ratio: "4"), "D1": Throttle(),"#
    );
    let mut r = supplied(
        &parts,
        "\"D1:A\"",
        "\"V1:A\"",
        r#"Line(name: "cap", ports: ["D1:B", "1A1:A", "V1:X"]), Line(name: "rod", ports: ["1A1:B", "V1:B"])"#,
    );
    r.throttle("D1", 0.0, 1.0);
    r.run(60.0);
    let piston = PistonId::new(0);
    let held = r.plant.read(Probe::Piston(piston));
    // It sank a little until oil and a void in the cap side carried it: F = p2 A2 - p1 A1.
    let force = 134.7743 * r.bar("rod") - 196.3495 * r.bar("cap");
    near(force, 10e3, 1e-3, "the load hangs on the rod side");
    assert!((held - 0.1).abs() < 3e-3, "it hangs still: {held}");
    r.throttle("D1", 4.0, 180.0);
    r.run(3.0);
    // What the pump pushes into the cap side is what the load is let down by.
    let speed = r.plant.read(Probe::PistonSpeed(piston));
    let into = r.flow("D1", "gate");
    near(speed, into / 60_000.0 / 19.63495e-4, 2e-3, "speed");
    let (cap, rod) = (r.bar("cap"), r.bar("rod"));
    // 2000 N s/m of the cylinder, and the balance of the valve.
    near(rod * 13.47743, cap * 19.63495 + 1000.0 - 200.0 * speed, 1e-3, "balance");
    let open = r.spool("V1", "spool");
    near(rod + 4.0 * cap, 100.0 + 15.0 * open, 1e-3, "its member");
    assert!(cap > 2.0, "the load never runs away from the pump: {cap} bar");
}

#[test]
fn a_pilot_check_opens_by_its_area_ratio_alone() {
    let parts = format!(
        r#"{HANGS} "V1": PilotCheck(pilot_ratio: "3", cracking: "1 bar", band: "2 bar"), "D1": Throttle(), "D2": Throttle(),"#
    );
    let mut r = supplied(
        &parts,
        "\"D1:A\"",
        "\"V1:A\", \"D2:B\", \"1A1:A\"",
        r#"Line(name: "X", ports: ["D1:B", "D2:A", "V1:X"]), Line(name: "rod", ports: ["1A1:B", "V1:B"])"#,
    );
    let piston = PistonId::new(0);
    // The load's 74.2 bar hold it shut against a third of that in the pilot, and its spring.
    let least = (10e3 / 13.47743e-4 / 1e5 + 1.0) / 3.0;
    r.throttle("D1", 1.0, 100.0);
    r.throttle("D2", 30.0, 1.0);
    r.run(3.0);
    let supply = r.bar("P");
    for (share, moves) in [(0.97, false), (1.03, true)] {
        // A divider that leaves this pressure in the pilot.
        let through: f64 = (supply - share * least) / 100.0;
        r.throttle("D2", through.sqrt(), share * least);
        r.run(5.0);
        near(r.bar("X"), share * least, 2e-2, "pilot");
        let at = r.plant.read(Probe::Piston(piston));
        assert_eq!(at > 0.15, moves, "{share}: {at} m");
    }
}

#[test]
fn a_flow_regulator_holds_its_flow_whatever_the_load() {
    let parts = r#""V1": FlowRegulator(flow: "6 L/min", margin: "5 bar"), "D1": Throttle(),"#;
    let mut r =
        supplied(parts, "\"V1:A\"", "\"D1:B\"", r#"Line(name: "A", ports: ["V1:B", "D1:A"])"#);
    let mut flows = Vec::new();
    for bar in [2.0, 50.0, 150.0] {
        r.throttle("D1", 6.0, bar);
        r.run(3.0);
        let open = r.spool("V1", "compensator");
        let drop = 4.75 + 0.5 * open;
        near(r.flow("V1", "gate"), 6.0 * (drop / 5.0).sqrt(), 1e-4, "flow by its member");
        flows.push(r.flow("V1", "gate"));
    }
    assert!(flows.iter().all(|q| (q / 6.0 - 1.0).abs() < 0.03), "{flows:?}");
    // Too little left for the margin: then it is a plain throttle.
    r.throttle("D1", 6.0, 400.0);
    r.run(3.0);
    assert!(r.flow("V1", "gate") < 5.0);
}

#[test]
fn a_shuttle_joins_the_higher_pressure() {
    let parts = r#""V1": OilShuttle(), "D1": Throttle(), "D2": Throttle(), "D3": Throttle(), "D4": Throttle(),"#;
    let mut r = supplied(
        parts,
        "\"D1:A\", \"D2:A\"",
        "\"D3:B\", \"D4:B\"",
        r#"Line(name: "A", ports: ["D1:B", "D3:A", "V1:A"]), Line(name: "B", ports: ["D2:B", "D4:A", "V1:B"]),
        Line(name: "C", ports: ["V1:C"], volume: "10 cm3")"#,
    );
    for (a, b) in [(2.0, 1.0), (1.0, 2.0), (2.0, 1.0)] {
        r.throttle("D1", 2.0, 100.0);
        r.throttle("D2", 2.0, 100.0);
        r.throttle("D3", 2.0 / a, 100.0);
        r.throttle("D4", 2.0 / b, 100.0);
        r.run(3.0);
        let (one, other) = (r.bar("A"), r.bar("B"));
        near(r.bar("C"), one.max(other), 1e-4, "C");
        assert_eq!(one > other, a > b);
    }
}

#[test]
fn a_compensated_pump_gives_what_is_taken() {
    let parts = r#""T1": Tank(), "D1": Throttle(),
        "M1": VariablePump(displacement: "8 cm3/rev", speed: "1500 rpm", efficiency: "90 %", rated_pressure: "100 bar", setting: "100 bar", band: "8 bar"),"#;
    let lines = r#"Line(name: "tank", ports: ["T1:T", "M1:S", "D1:B", "M1:L"]), Line(name: "P", ports: ["M1:P", "D1:A"], volume: "0.5 L")"#;
    let mut r = Rig::new(parts, lines);
    for l_min in [0.0, 6.0, 30.0] {
        r.throttle("D1", l_min, 96.0);
        r.run(3.0);
        // Displacement falls from all at 92 bar to none at 100; leakage is 1.2 L/min at 100 bar.
        let want = root(0.1, 100.0, |p| {
            let taken = ((p - 92.0) / 8.0).clamp(0.0, 1.0);
            l_min * (p / 96.0).sqrt() + 1.2 * p / 100.0 - 12.0 * (1.0 - taken)
        });
        near(r.bar("P"), want, 1e-3, "P");
    }
    assert!(r.flow("M1", "leak P-L") > 0.0);
}

/// 12 L/min into 16 cm3/rev turn it with 750 rpm, less leakage; 20 N m and what the speed takes
/// need 2 pi M / V (ISO 4391 symbols, from memory).
#[test]
fn a_motor_turns_with_its_flow_against_its_torque() {
    let parts = r#""H1": HydraulicMotor(displacement: "16 cm3/rev", load: "20 N m", friction: "1 N m", torque_rise: "5 N m", rise_speed: "1000 rpm", leakage: "100 cm3/min"),"#;
    let mut r = supplied(parts, "\"H1:A\"", "\"H1:B\", \"H1:L\"", "");
    r.run(3.0);
    let p = r.bar("P");
    let rpm = (12.0 - 0.15 * p / 100.0) / 16e-3;
    let torque = 21.0 + 5.0 * rpm / 1000.0;
    near(p, 2.0 * std::f64::consts::PI * torque / 16e-6 / 1e5, 1e-4, "P");
}

#[test]
fn a_filter_tells_of_its_dirt_and_lets_oil_past() {
    let parts = r#""F1": Filter(rated_flow: "12 L/min", rated_drop: "0.5 bar", bypass: "3 bar", indicator: "2 bar", contacts: ["13-14"]),"#;
    let mut r = supplied(parts, "\"F1:A\"", "\"F1:B\"", "");
    r.run(2.0);
    near(r.bar("P"), 0.5, 1e-3, "clean");
    let Element::Operator(switch) = r.element("F1", "indicator") else { panic!() };
    assert!(!r.plant.acting(switch));
    let id = r.flow_id("F1", "element");
    let part = r.plant.plan().part("F1").expect("a part");
    for (share, bar, acts) in [(0.45, 0.5 / 0.45 / 0.45, true), (0.0, 4.0, true)] {
        r.plant.alter(part, |c| {
            if let FlowLaw::Gate(gate) = &mut c.flows[id.index()] {
                gate.gain = share * 12.0 / 60_000.0 / 0.5e5_f64.sqrt();
            }
        });
        r.run(2.0);
        near(r.bar("P"), bar, 1e-3, "dirty");
        assert_eq!(r.plant.acting(switch), acts, "{share}");
    }
}

/// dp = dV / (V / K + V e): 1 m of 10 mm holds 78.54 cm3 and widens by 1.5 % at 100 bar, to which
/// 0.5 L and 10 cm3 of oil at 1.4 GPa come (derived).
#[test]
fn a_hose_gives_way() {
    let parts = r#""H1": Hose(bore: "10 mm", length: "1 m", expansion: "1.5 %"),"#;
    let mut r =
        supplied(parts, "\"H1:A\"", "", r#"Line(name: "B", ports: ["H1:B"], volume: "10 cm3")"#);
    let hose = 78.539_816e-6;
    let per_pa = (0.51e-3 + hose) / 1.4e9 + hose * 0.015 / 100e5;
    // Run up until some bar stand in it, then a tenth of the flow through the closed end.
    r.run(0.02);
    let pump = r.plant.plan().part("M1").expect("a part");
    r.plant.alter(pump, |c| c.drives[0].per_second = 0.0);
    r.run(3.0);
    let (before, start) = (r.bar("P"), r.plant.now());
    assert!(before > 1.0 && before < 150.0, "{before}");
    let pump = r.plant.plan().part("M1").expect("a part");
    r.plant.alter(pump, |c| {
        c.drives[0].per_second = 0.5;
        c.drives[0].lag_s = 1e-6;
    });
    r.run(0.5);
    let seconds = (r.plant.now() - start).as_secs_f64();
    near(r.bar("P") - before, 8e-6 * 0.5 * seconds / per_pa / 1e5, 2e-3, "rise");
}

#[test]
fn a_single_acting_cylinder_comes_back_by_its_spring() {
    let parts = r#""1A1": Cylinder(bore: "50 mm", rod: "28 mm", stroke: "100 mm", spring: "500 N", spring_end: "900 N", friction: "0 N"), "D1": Throttle(),"#;
    let mut r = supplied(parts, "\"1A1:A\", \"D1:A\"", "\"D1:B\"", "");
    r.throttle("D1", 0.01, 100.0);
    r.run(3.0);
    let piston = PistonId::new(0);
    assert!(r.plant.read(Probe::Piston(piston)) > 0.0999);
    let pump = r.plant.plan().part("M1").expect("a part");
    r.plant.alter(pump, |c| c.drives[0].per_second = 0.0);
    r.throttle("D1", 12.0, 1.0);
    r.run(0.3);
    let at = r.plant.read(Probe::Piston(piston));
    assert!(at > 0.01 && at < 0.09, "{at}");
    let speed = r.plant.read(Probe::PistonSpeed(piston));
    near(r.bar("P") * 196.3495, 500.0 + 4000.0 * at + 2000.0 * speed, 1e-3, "spring");
    r.run(3.0);
    assert!(r.plant.read(Probe::Piston(piston)) < 1e-3);
}

/// A double rod of one size: as fast out as in, v = Q / (A - a) (derived).
#[test]
fn a_double_rod_runs_alike_both_ways() {
    let parts = r#""1A1": Cylinder(bore: "50 mm", rod: "28 mm", second_rod: "28 mm", stroke: "400 mm", friction: "0 N"),"#;
    let mut r = supplied(parts, "\"1A1:A\"", "\"1A1:B\"", "");
    r.run(1.5);
    let speed = r.plant.read(Probe::PistonSpeed(PistonId::new(0)));
    near(speed, 12.0 / 60_000.0 / 13.477_43e-4, 1e-4, "speed");
}
