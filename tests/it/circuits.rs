//! Whole fluid circuits against scipy's stiff solvers (tests/data/circuits_scipy.py), which know the
//! data sheets only: steady pressures within 0.1 %, strokes within 0.5 %, filling within 1 %.

use std::collections::BTreeMap;
use std::sync::Arc;

use spoolbench::base::{PistonId, SimTime, SpoolId};
use spoolbench::plant::{Element, Plan, Plant, Probe};

use super::data;
use super::machines::load;
use super::pressure_valves::{Rig, near, plan};

/// The stored quantities of `circuit`, by name.
fn stored(circuit: &str) -> BTreeMap<String, f64> {
    let all = data::named("circuits_scipy.csv");
    let own: BTreeMap<_, _> =
        all.into_iter().filter(|(c, _, _)| c == circuit).map(|(_, what, v)| (what, v)).collect();
    assert!(!own.is_empty(), "{circuit}");
    own
}

/// A machine exactly as authored, whose first spool a hand puts aside or lets go.
struct Machine {
    rig: Rig,
    want: BTreeMap<String, f64>,
}

impl Machine {
    fn new(plan: Arc<Plan>, circuit: &str) -> Machine {
        Machine { rig: Rig { plant: Plant::nominal(plan) }, want: stored(circuit) }
    }

    fn at(&mut self) -> f64 {
        self.rig.plant.read(Probe::Piston(PistonId::new(0)))
    }

    /// Runs until the piston has passed `m`; gives the time, between two samples by a straight line.
    fn pass(&mut self, m: f64) -> f64 {
        let rising = self.at() < m;
        loop {
            let before = (self.rig.plant.now().as_secs_f64(), self.at());
            let until = self.rig.plant.now() + SimTime::from_micros(500);
            self.rig.plant.advance(until, false).expect("advance");
            let now = (self.rig.plant.now().as_secs_f64(), self.at());
            assert!(now.0 < 60.0, "never at {m} m: {}", now.1);
            if (now.1 < m) != rising {
                return before.0 + (m - before.1) / (now.1 - before.1) * (now.0 - before.0);
            }
        }
    }

    /// Checks the pressures in `lines` (P, A, B) at `m` and the time between `marks`.
    fn stroke(&mut self, name: &str, lines: [&str; 3], marks: (f64, f64), m: f64) {
        let start = self.pass(marks.0);
        let look = |machine: &mut Machine| {
            machine.pass(m);
            for (letter, line) in ["P", "A", "B"].iter().zip(lines) {
                let what = format!("{name} {letter} at {:.0} mm bar", m * 1e3);
                let (want, got) = (machine.want[&what], machine.rig.bar(line));
                println!("{what}: {got}, {want}");
                // A thousandth of the pressure, and 20 mbar on the way up a slope.
                assert!((got - want).abs() <= 1e-3 * want.abs() + 5e-4, "{what}: {got}, {want}");
            }
        };
        let between = (m - marks.0) * (m - marks.1) < 0.0;
        if between {
            look(self);
        }
        let took = self.pass(marks.1) - start;
        near(took, self.want[&format!("{name} stroke s")], 5e-3, name);
    }
}

fn started(name: &str) -> Machine {
    let mut machine = Machine::new(load(&format!("{name}.bench.ron")), name);
    machine.rig.run(0.1);
    machine.rig.hold("S4", true);
    machine.rig.run(0.5);
    machine.rig.hold("S4", false);
    machine.rig.run(1.5);
    machine
}

#[test]
fn the_pusher_by_scipy() {
    let mut machine = started("pusher");
    let lines = ["pressure", "push", "return"];
    machine.rig.hold("S1", true);
    machine.stroke("out", lines, (0.05, 0.35), 0.2);
    // Its limit switch turns it about at the end.
    machine.rig.hold("S1", false);
    machine.pass(0.399);
    // It comes back with a void behind it, which the pump fills on the first half of the way.
    machine.stroke("in", lines, (0.15, 0.03), 0.05);
}

#[test]
fn the_press_by_scipy() {
    for (name, marks, look) in
        [("down", (0.05, 0.17), 0.15), ("into the clay", (0.05, 0.235), 0.23)]
    {
        let mut machine = started("press");
        machine.rig.hold("S1", true);
        machine.stroke(name, ["pressure", "press", "lift"], marks, look);
        if name == "down" {
            machine.rig.hold("S1", false);
            machine.rig.run(0.5);
            machine.rig.hold("S2", true);
            machine.stroke("up", ["pressure", "press", "lift"], (0.13, 0.02), 0.05);
        }
    }
}

/// A cylinder whose way out is throttled: the relief takes what the throttle does not let through.
#[test]
fn a_metered_cylinder_by_scipy() {
    let parts = r#""T1": Tank(), "M1": Pump(displacement: "8 cm3/rev", speed: "1500 rpm"),
        "RV1": Relief(setting: "100 bar", cracking: "92 bar", rated_flow: "12 L/min"),
        "1V1": Valve(rest: "spring offset", ports: "P A B T", a: "P-A B-T", rest_joins: "A-T"),
        "1V2": ThrottleCheck(rated_flow: "5 L/min", rated_drop: "30 bar"),
        "1A1": Cylinder(bore: "50 mm", rod: "28 mm", stroke: "400 mm", friction: "200 N", load: "3 kN"),"#;
    let lines = r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", "1V1:T"]),
        Line(name: "P", ports: ["M1:P", "RV1:P", "1V1:P"], volume: "0.5 L"),
        Line(name: "A", ports: ["1V1:A", "1A1:A"], volume: "0.1 L"),
        Line(name: "B", ports: ["1A1:B", "1V2:A"], volume: "0.1 L"),
        Line(name: "R", ports: ["1V2:B", "1V1:B"], volume: "0.01 L")"#;
    let oil = r#"bulk_modulus: "1.4 GPa", free_air: "0.1 %""#;
    let mut machine = Machine::new(plan(oil, parts, lines, ""), "metered");
    machine.rig.run(1.0);
    machine.rig.plant.set_hand(SpoolId::new(0), spoolbench::shift::Hand::A);
    machine.stroke("out", ["P", "A", "B"], (0.05, 0.35), 0.2);
}

#[test]
fn the_winch_by_scipy() {
    let mut machine = Machine::new(load("winch.bench.ron"), "winch");
    machine.rig.run(1.0);
    machine.rig.hold("S1", true);
    machine.rig.run(20.0);
    for line in ["suction", "pressure", "work", "motor", "out", "return"] {
        let want = machine.want[&format!("{line} bar")];
        near(machine.rig.bar(line), want, 1e-3, line);
    }
    let id = machine.rig.flow_id("1H1", "motor");
    let turning = machine.rig.plant.read(Probe::Flow(id));
    let slip = 100e-6 / 60.0 / 100.0 * (machine.rig.bar("motor") - machine.rig.bar("out"));
    near((turning - slip) / 40e-6 * 60.0, machine.want["speed rpm"], 1e-3, "speed");
}

#[test]
fn a_receiver_fills_and_empties_by_scipy() {
    let parts = r#""Z1": AirSupply(pressure: "7 bar", conductance: "10 dm3/(s bar)"),
        "0V1": HandSlide(conductance: "4 dm3/(s bar)", on: false), "R1": Receiver(size: "4.9 L"),"#;
    let lines = r#"Line(name: "main", ports: ["Z1:2", "0V1:1"]), Line(name: "store", ports: ["0V1:2", "R1:1"])"#;
    let mut machine = Machine::new(plan("free_air: \"0 %\"", parts, lines, ""), "tank");
    machine.rig.run(5.0);
    // Each mark is passed from the switching of the slide, 2 ms after the hand.
    let pass = |machine: &mut Machine, bar: f64| {
        let rising = machine.rig.bar("store") < bar;
        while (machine.rig.bar("store") < bar) == rising {
            machine.rig.run(2e-4);
            assert!(machine.rig.plant.now().as_secs_f64() < 30.0, "never {bar} bar");
        }
        machine.rig.plant.now().as_secs_f64()
    };
    let follow = |machine: &mut Machine, on: bool, verb: &str, bars: &[f64]| {
        handle(&mut machine.rig, "0V1", on);
        let first = machine.rig.bar("store");
        while machine.rig.bar("store") == first {
            machine.rig.run(1e-4);
        }
        let start = match on {
            true => machine.rig.plant.now().as_secs_f64(),
            false => pass(machine, 6.5),
        };
        for bar in bars {
            let want = machine.want[&format!("{verb} to {bar} bar s")];
            near(pass(machine, *bar) - start, want, 1e-2, &format!("{verb} to {bar} bar"));
        }
    };
    follow(&mut machine, true, "filled", &[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 6.5]);
    follow(&mut machine, false, "emptied", &[5.0, 3.0, 2.0, 1.0, 0.3]);
}

/// Turns the slide `tag`.
fn handle(rig: &mut Rig, tag: &str, on: bool) {
    let Element::Operator(handle) = rig.element(tag, "handle") else { panic!("{tag}: no handle") };
    rig.plant.set_operator(handle, on);
}
