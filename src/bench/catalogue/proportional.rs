//! The seam, in proportion: a proportional or servo valve with its amplifier. The figures are usual
//! sizes (common practice, no source).

use crate::fluid::{FlowLaw, Opening};
use crate::plant::{BranchMake, BranchRole, Drive};
use crate::quantity::Dimension;
use crate::shift::{AmplifierMake, CALLS, Rest, SpoolMake};

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::power::rated;
use super::pressure::port;
use super::valve::{FLOW_FORCE, flow_area, flow_force, path_drop, path_flow};
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, words};

use FieldKind::{Part, Quantity};

/// Pull at full current, which the springs balance at the end of the travel [N].
const PULL_N: f64 = 70.0;
/// Travel either way [m].
const STROKE_M: f64 = 3e-3;
/// A call's input takes this current at its rated voltage [A].
const CALL_A: f64 = 5e-3;
/// The electronics work down to this share of the rated voltage, and see a call from the other [1].
const LEAST: (f64, f64) = (0.75, 0.55);

fn terminals(_: &Fields) -> Vec<String> {
    words(&["+", "-", "W1", "W2", "W3", "W4"])
}

fn build(a: &mut Assembly, f: &Fields) {
    let supply = f.supply("supply");
    let (plus, minus) = (a.plan.terminal("+"), a.plan.terminal("-"));
    let volts = supply.volts;
    let own = BranchMake::ohm(volts * volts / f.quantity("power"));
    a.plan.branch("electronics", BranchRole::Resistor, plus, minus, own);
    a.load_voltage(f, supply, plus);
    let calls: Vec<_> = (1..=CALLS)
        .map(|k| {
            let node = a.plan.terminal(&format!("W{k}"));
            let make = BranchMake::ohm(volts / CALL_A);
            a.plan.branch(&format!("call {k}"), BranchRole::Resistor, node, minus, make);
            node
        })
        .collect();
    let axis = f.part("transducer").and_then(|tag| a.piston_of(&tag));
    let mut sets = [0.0; CALLS];
    for (k, set) in sets.iter_mut().enumerate() {
        *set = match axis {
            Some(_) => f.quantity(&format!("position_{}", k + 1)),
            None => f.quantity(&format!("signal_{}", k + 1)),
        };
    }
    let (ramp, gain) = match axis {
        Some(_) => (f.quantity("ramp_speed"), 1.0 / f.quantity("full_at")),
        None => (1.0 / f.quantity("ramp_time"), 1.0),
    };
    let friction = 0.5 * f.quantity("hysteresis") * PULL_N * (1.0 - f.quantity("dither"));
    let make = SpoolMake {
        rest: Rest::Centred,
        stroke_m: STROKE_M,
        preload_n: 0.0,
        rate_n: PULL_N,
        detent_n: 0.0,
        friction_n: friction,
        // Drag over spring rate: half of the response is the spool's, half the current's.
        viscous: PULL_N * 0.2 * f.quantity("response") / STROKE_M,
        homeward: 1.0,
        hand_n: 0.0,
        stuck: false,
    };
    let spool = a.plan.spring_spool("spool", make);
    let amplifier = AmplifierMake {
        sets,
        gain,
        ramp,
        step: f.quantity("compensation"),
        lag_s: 0.2 * f.quantity("response"),
        pull_n: PULL_N,
        offset_m: 0.0,
        least_v: LEAST.0 * volts,
        call_v: LEAST.1 * volts,
        dead: false,
    };
    a.plan.amplifier(amplifier, spool, (plus, minus), calls, axis);
    let [p, one, other, tank] = ["P", "A", "B", "T"].map(|m| port(a, f, m));
    let gate = rated(f);
    let force = FLOW_FORCE * flow_area(gate, a.oil.density) * f.quantity("flow_force");
    let overlap = f.quantity("overlap");
    for (role, at, from, to) in [
        ("P-A", [0.0, 0.0, 1.0], p, one),
        ("B-T", [0.0, 0.0, 1.0], other, tank),
        ("P-B", [1.0, 0.0, 0.0], p, other),
        ("A-T", [1.0, 0.0, 0.0], one, tank),
    ] {
        let opening = Opening { at, closed_crossover: 2.0 * overlap - 1.0, two_ended: false };
        a.plan.spool_flow(role, spool, from, to, FlowLaw::Spool(gate, opening), force);
    }
    let leak = f.quantity("leakage") / 100e5;
    for (marking, volume) in [("P", p), ("A", one), ("B", other)] {
        if leak > 0.0 {
            let role = format!("leak {marking}-T");
            a.plan.flow(&role, volume, tank, FlowLaw::Leak(leak), Drive::None);
        }
    }
    a.plan.nameplate("supply", &supply.to_string());
    for (k, set) in sets.iter().enumerate() {
        let text = match axis {
            Some(_) => format!("{:.1} mm", set * 1e3),
            None => format!("{:.0} %", set * 100.0),
        };
        a.plan.nameplate(&format!("W{}", k + 1), &text);
    }
}

const fn position(name: &'static str) -> FieldSpec {
    let about = "Position that this call asks for, with a transducer";
    field(name, Quantity(Dimension::Length, "0 mm", "10 m"), Some("0 mm"), about)
}

const fn signal(name: &'static str) -> FieldSpec {
    let about = "Signal that this call asks for, without a transducer; positive opens P to A";
    field(name, Quantity(Dimension::Ratio, "-100 %", "100 %"), Some("0 %"), about)
}

/// Classes of proportional valves.
pub(super) const CLASSES: &[ClassSpec] = &[ClassSpec {
    name: "ProportionalValve",
    side: Side::Seam,
    summary: "Proportional 4/3 valve with its amplifier: set values called by 24 V, open loop or on the position of a cylinder",
    terminals: "+ and - of the supply; W1 to W4 call a set value, of several the first",
    ports: "P A B T",
    laws: "ramp, gain, dead-band compensation; current in first order; spool in balance of pull, springs, friction and flow force; turbulent paths beyond the overlap",
    fields: &[
        field("supply", FieldKind::Supply, Some("24 V DC"), "Rated voltage"),
        field(
            "power",
            Quantity(Dimension::Power, "1 W", "200 W"),
            Some("20 W"),
            "Power that it takes",
        ),
        field(
            "transducer",
            Part(&["Cylinder"]),
            Some(""),
            "Cylinder whose position it controls; without it, the spool follows the signal",
        ),
        position("position_1"),
        position("position_2"),
        position("position_3"),
        position("position_4"),
        signal("signal_1"),
        signal("signal_2"),
        signal("signal_3"),
        signal("signal_4"),
        field(
            "ramp_speed",
            Quantity(Dimension::Speed, "0.1 mm/s", "10 m/s"),
            Some("0.2 m/s"),
            "Speed at which the set position moves",
        ),
        field(
            "full_at",
            Quantity(Dimension::Length, "0.1 mm", "1 m"),
            Some("20 mm"),
            "Error of position that gives full signal",
        ),
        field(
            "ramp_time",
            Quantity(Dimension::Time, "1 ms", "60 s"),
            Some("200 ms"),
            "Time of a ramp from 0 to full signal",
        ),
        field(
            "compensation",
            Quantity(Dimension::Ratio, "0 %", "60 %"),
            Some("0 %"),
            "Jump of the output over the overlap",
        ),
        field(
            "overlap",
            Quantity(Dimension::Ratio, "0 %", "60 %"),
            Some("15 %"),
            "Part of the travel from the middle over which all paths are shut",
        ),
        field(
            "hysteresis",
            Quantity(Dimension::Ratio, "0 %", "20 %"),
            Some("5 %"),
            "Hysteresis of the spool without dither, of the full signal",
        ),
        field(
            "dither",
            Quantity(Dimension::Ratio, "0 %", "100 %"),
            Some("70 %"),
            "Part of the friction that the dither takes away",
        ),
        field(
            "response",
            Quantity(Dimension::Time, "1 ms", "2 s"),
            Some("40 ms"),
            "Time of the spool for a step of the signal, about",
        ),
        path_flow("20 L/min"),
        path_drop("5 bar"),
        flow_force("30 %"),
        field(
            "leakage",
            Quantity(Dimension::VolumeFlow, "0 cm3/min", "10 L/min"),
            Some("50 cm3/min"),
            "Leakage from each port to T at 100 bar",
        ),
    ],
    rank: 5,
    port_list: |_| words(&["P", "A", "B", "T"]),
    terminal_list: terminals,
    build,
}];
