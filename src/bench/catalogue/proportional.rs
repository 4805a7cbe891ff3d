//! The seam, in proportion: a proportional or servo valve with its amplifier. The figures are usual
//! sizes (common practice, no source).

use crate::fluid::{FlowLaw, Opening};
use crate::language::Phrase;
use crate::plant::{BranchMake, BranchRole, Drive, Feedback};
use crate::quantity::Dimension;
use crate::shift::{AmplifierMake, CALLS, Rest, SpoolMake};

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::power::rated;
use super::pressure::port;
use super::sheet;
use super::valve::{FLOW_FORCE, flow_area, flow_force, path_drop, path_flow};
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, words};

use FieldKind::Quantity;

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
    let shown = transducer(a, f);
    // A flow transducer shows flow by the speed of its gears.
    let meter_m3 = shown.and_then(|shown| meter(a, shown));
    let (sets_of, ramp, gain) = match (shown, meter_m3) {
        (Some(Feedback::Position(_)), _) => {
            ("position", f.quantity("ramp_speed"), 1.0 / f.quantity("full_at"))
        }
        (Some(Feedback::Speed(_)), Some(m3)) => {
            ("flow", RAMPED_FLOW / m3 / f.quantity("ramp_time"), m3 / f.quantity("full_at_flow"))
        }
        // Up to 1000 rpm in the time of the ramp.
        (Some(Feedback::Speed(_)), None) => {
            ("speed", RAMPED / f.quantity("ramp_time"), 1.0 / f.quantity("full_at_speed"))
        }
        (None, _) => ("signal", 1.0 / f.quantity("ramp_time"), 1.0),
    };
    let mut sets = [0.0; CALLS];
    for (k, set) in sets.iter_mut().enumerate() {
        *set = f.quantity(&format!("{sets_of}_{}", k + 1)) / meter_m3.unwrap_or(1.0);
    }
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
        shows: 1.0,
        offset_m: 0.0,
        least_v: LEAST.0 * volts,
        call_v: LEAST.1 * volts,
        reset_s: if shown.is_some() { f.optional("reset_time").unwrap_or(0.0) } else { 0.0 },
        null: 0.0,
        servo: a.class() == "ServoValve",
        dead: false,
    };
    a.plan.amplifier(amplifier, spool, (plus, minus), calls, shown);
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
    let leak = sheet::leak(a, f);
    for (marking, volume) in [("P", p), ("A", one), ("B", other)] {
        if leak > 0.0 {
            let role = format!("leak {marking}-T");
            a.plan.flow(&role, volume, tank, FlowLaw::Leak(leak), Drive::None);
        }
    }
    a.plan.nameplate("supply", &supply.to_string());
    for (k, set) in sets.iter().enumerate() {
        let text = match (shown, meter_m3) {
            (Some(Feedback::Position(_)), _) => format!("{:.1} mm", set * 1e3),
            (Some(Feedback::Speed(_)), Some(m3)) => format!("{:.1} L/min", set * m3 * 60_000.0),
            (Some(Feedback::Speed(_)), None) => format!("{:.0} rpm", set * 60.0),
            (None, _) => format!("{:.0} %", set * 100.0),
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

const fn speed(name: &'static str) -> FieldSpec {
    let about = "Speed that this call asks for, with a motor as transducer; positive opens P to A";
    let range = Quantity(Dimension::RotationalSpeed, "-10000 rpm", "10000 rpm");
    field(name, range, Some("0 rpm"), about)
}

const fn flow(name: &'static str) -> FieldSpec {
    let about = "Flow that this call asks for, with a flow transducer; positive opens P to A";
    let range = Quantity(Dimension::VolumeFlow, "-1000 L/min", "1000 L/min");
    field(name, range, Some("0 L/min"), about)
}

/// Change of a set speed in the time of a ramp [1/s].
const RAMPED: f64 = 1000.0 / 60.0;
/// Change of a set flow in the time of a ramp [m3/s].
const RAMPED_FLOW: f64 = 10.0 / 60_000.0;

/// Displacement [m3 per revolution] of the gears that `shown` is the speed of, if a flow transducer's.
fn meter(a: &Assembly, shown: Feedback) -> Option<f64> {
    let Feedback::Speed(motor) = shown else { return None };
    let plan = a.plan.plan();
    let motor = &plan.motors[motor.index()];
    match plan.nominal.flows[motor.flow.index()] {
        FlowLaw::Motor(make) if motor.meter => Some(make.displacement_m3),
        _ => None,
    }
}

/// What the transducer shows: the position of a cylinder, the speed of a motor, or a flow.
fn transducer(a: &mut Assembly, f: &Fields) -> Option<Feedback> {
    let tag = f.part("transducer")?;
    if let Some(piston) = a.piston_of(&tag) {
        return Some(Feedback::Position(piston));
    }
    let motor = a.motor_of(&tag)?;
    let path = a.plan.plan().motors[motor.index()].flow;
    if a.plan.plan().flows[path.index()].drive != Drive::Motor(motor) {
        let problem = Phrase::new("bench-no-inertia").with("part", f.tag());
        let problem = problem.with("motor", tag.as_str());
        let help = Phrase::new("bench-write-inertia").with("motor", tag);
        a.inconsistent(f, "transducer", problem, help);
        return None;
    }
    Some(Feedback::Speed(motor))
}

/// The fields of a valve with these usual figures: compensation, overlap, hysteresis, dither, response, flow and
/// drop of its rated point, flow force, leakage.
const fn fields(usual: [&'static str; 9]) -> [FieldSpec; 36] {
    [
        field("supply", FieldKind::Supply, Some("24 V DC"), "Rated voltage"),
        field(
            "power",
            Quantity(Dimension::Power, "1 W", "200 W"),
            Some("20 W"),
            "Power that it takes",
        ),
        field(
            "transducer",
            FieldKind::Part(&["Cylinder", "HydraulicMotor", "FlowTransducer"]),
            Some(""),
            "Cylinder whose position, motor whose speed or flow transducer whose flow it controls; without it, the spool follows the signal",
        ),
        position("position_1"),
        position("position_2"),
        position("position_3"),
        position("position_4"),
        signal("signal_1"),
        signal("signal_2"),
        signal("signal_3"),
        signal("signal_4"),
        speed("speed_1"),
        speed("speed_2"),
        speed("speed_3"),
        speed("speed_4"),
        flow("flow_1"),
        flow("flow_2"),
        flow("flow_3"),
        flow("flow_4"),
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
            "full_at_speed",
            Quantity(Dimension::RotationalSpeed, "1 rpm", "10000 rpm"),
            Some("500 rpm"),
            "Error of speed that gives full signal",
        ),
        field(
            "full_at_flow",
            Quantity(Dimension::VolumeFlow, "0.01 L/min", "1000 L/min"),
            Some("10 L/min"),
            "Error of flow that gives full signal",
        ),
        field(
            "reset_time",
            Quantity(Dimension::Time, "1 ms", "60 s"),
            Some(""),
            "Reset time of an integral part of the loop; without it the loop is proportional alone",
        ),
        field(
            "ramp_time",
            Quantity(Dimension::Time, "1 ms", "60 s"),
            Some("200 ms"),
            "Time of a ramp from 0 to full signal, of a set speed by 1000 rpm, or of a set flow by 10 L/min",
        ),
        field(
            "compensation",
            Quantity(Dimension::Ratio, "0 %", "60 %"),
            Some(usual[0]),
            "Jump of the output over the overlap",
        ),
        field(
            "overlap",
            Quantity(Dimension::Ratio, "0 %", "60 %"),
            Some(usual[1]),
            "Part of the travel from the middle over which all paths are shut",
        ),
        field(
            "hysteresis",
            Quantity(Dimension::Ratio, "0 %", "20 %"),
            Some(usual[2]),
            "Hysteresis of the spool without dither, of the full signal",
        ),
        field(
            "dither",
            Quantity(Dimension::Ratio, "0 %", "100 %"),
            Some(usual[3]),
            "Part of the friction that the dither takes away",
        ),
        field(
            "response",
            Quantity(Dimension::Time, "1 ms", "2 s"),
            Some(usual[4]),
            "Time of the spool for a step of the signal, about",
        ),
        path_flow(usual[5]),
        path_drop(usual[6]),
        flow_force(usual[7]),
        sheet::leakage(usual[8]),
        sheet::LEAKAGE_PRESSURE,
        sheet::LEAKAGE_VISCOSITY,
    ]
}

static PROPORTIONAL: [FieldSpec; 36] =
    fields(["0 %", "15 %", "5 %", "70 %", "40 ms", "20 L/min", "5 bar", "30 %", "50 cm3/min"]);
static SERVO: [FieldSpec; 36] =
    fields(["0 %", "0 %", "1 %", "50 %", "8 ms", "20 L/min", "35 bar", "10 %", "200 cm3/min"]);

/// Classes of proportional and servo valves.
pub(super) const CLASSES: &[ClassSpec] = &[
    ClassSpec {
        name: "ProportionalValve",
        side: Side::Seam,
        summary: "Proportional 4/3 valve with its amplifier: set values called by 24 V, open loop, on the position of a cylinder, on the speed of a motor or on a flow",
        terminals: "+ and - of the supply; W1 to W4 call a set value, of several the first",
        ports: "P A B T",
        laws: LAWS,
        fields: &PROPORTIONAL,
        rank: 5,
        port_list: |_| words(&["P", "A", "B", "T"]),
        terminal_list: terminals,
        build,
    },
    ClassSpec {
        name: "ServoValve",
        side: Side::Seam,
        summary: "Servo valve with its amplifier: a quick stage without overlap, for loops on position, speed or flow",
        terminals: "+ and - of the supply; W1 to W4 call a set value, of several the first",
        ports: "P A B T",
        laws: LAWS,
        fields: &SERVO,
        rank: 5,
        port_list: |_| words(&["P", "A", "B", "T"]),
        terminal_list: terminals,
        build,
    },
];

/// Laws of either.
const LAWS: &str = "ramp, gain, integral part, dead-band compensation; current in first order, force in proportion to it; spool in balance of pull, springs, friction and flow force; turbulent paths beyond the overlap";
