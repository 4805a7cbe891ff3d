//! The power side: pumps, reliefs, checks, throttles, cylinders, accumulators.

use crate::fluid::{
    Accumulator, Cushion, FlowLaw, Gate, Load, Opening, Piston, Pump, Relief, Seal,
};
use crate::plant::{Drive, DriveMake, OverloadMake, Tie, Trigger};
use crate::quantity::Dimension;

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, nothing, words};

use FieldKind::{Curve, Parts, Quantity};

pub(super) const FLOW: (&str, &str) = ("0.01 L/min", "2000 L/min");
pub(super) const PRESSURE: (&str, &str) = ("0.01 bar", "700 bar");

/// Both ends of a two-port part as volumes, marked as its ports.
pub(super) fn two_ports(
    a: &mut Assembly,
    f: &Fields,
    first: &str,
    second: &str,
) -> (crate::base::VolumeId, crate::base::VolumeId) {
    let (one, two) = (a.volume(f.tag(), first), a.volume(f.tag(), second));
    a.plan.port(first, one);
    a.plan.port(second, two);
    (one, two)
}

pub(super) fn rated(f: &Fields) -> Gate {
    Gate::rated(f.quantity("rated_flow"), f.quantity("rated_drop"))
}

fn build_tank(a: &mut Assembly, f: &Fields) {
    let tank = a.volume(f.tag(), "T");
    a.plan.port("T", tank);
}

fn build_pump(a: &mut Assembly, f: &Fields) {
    let (inlet, outlet) = two_ports(a, f, "S", "P");
    let displacement_m3 = f.quantity("displacement");
    let speed = f.quantity("speed");
    let ideal = displacement_m3 * speed;
    // The volumetric efficiency holds at the rated pressure; the loss there is leakage.
    let leak = ideal * (1.0 - f.quantity("efficiency")) / f.quantity("rated_pressure");
    let run_by = f.parts("run_by").iter().filter_map(|tag| a.operator_of(tag)).collect();
    let pump = a.plan.pump(
        FlowLaw::Pump(Pump { displacement_m3, leak }),
        inlet,
        outlet,
        DriveMake { per_second: speed, lag_s: f.quantity("run_up") / 3.0 },
        run_by,
    );
    for starter in f.parts("run_by").iter().filter_map(|tag| a.starters.get(tag).copied()) {
        let make = OverloadMake {
            set_a: starter.set_a,
            rated_a: starter.motor_a,
            rated_pa: f.quantity("rated_pressure"),
            lag_s: starter.lag_s,
            phases: 1.0,
        };
        a.plan.overload(make, pump, starter.trips);
    }
    pump_plate(a, f);
}

/// Size, speed and drive of a pump. The drive gives flow times pressure over the overall efficiency, which is
/// the product of the volumetric and the hydro-mechanical one (ISO 4391 symbols, from memory).
pub(super) fn pump_plate(a: &mut Assembly, f: &Fields) {
    let (displacement_m3, speed) = (f.quantity("displacement"), f.quantity("speed"));
    a.plan.nameplate("displacement", &format!("{:.1} cm3/rev", displacement_m3 * 1e6));
    a.plan.nameplate("speed", &format!("{:.0} rpm", speed * 60.0));
    let pressure = f.quantity("rated_pressure");
    // What leaks away is driven like the rest: the volumetric efficiency cancels.
    let watt = displacement_m3 * speed * pressure / f.quantity("mechanical_efficiency");
    let torque_nm = watt / (2.0 * std::f64::consts::PI * speed);
    let (kilowatt, bar) = (watt / 1e3, pressure / 1e5);
    let drive = format!("{kilowatt:.3} kW, {torque_nm:.2} N m at {bar:.0} bar");
    a.plan.nameplate("drive", &drive);
}

fn build_relief(a: &mut Assembly, f: &Fields) {
    let (inlet, tank) = two_ports(a, f, "P", "T");
    let full = f.quantity("setting");
    let crack = f.optional("cracking").unwrap_or(0.93 * full).min(0.999 * full);
    a.plan.flow(
        "relief",
        inlet,
        tank,
        FlowLaw::Relief(Relief::rated(crack, full, f.quantity("rated_flow"))),
        Drive::None,
    );
    a.plan.nameplate(
        "setting",
        &format!("{:.0} bar at {:.0} L/min", full / 1e5, f.quantity("rated_flow") * 60_000.0),
    );
}

fn build_check(a: &mut Assembly, f: &Fields) {
    let (from, to) = two_ports(a, f, "A", "B");
    let law = FlowLaw::Check(rated(f), f.quantity("cracking"));
    a.plan.flow("check", from, to, law, Drive::None);
}

fn build_throttle(a: &mut Assembly, f: &Fields) {
    let (from, to) = two_ports(a, f, "A", "B");
    a.plan.flow("gate", from, to, FlowLaw::Gate(rated(f)), Drive::None);
}

fn build_stop_valve(a: &mut Assembly, f: &Fields) {
    let handle = a.plan.operator("handle", Tie::Hand, Trigger::Hand, f.flag("open"));
    a.operator(f.tag(), handle);
    let (from, to) = two_ports(a, f, "A", "B");
    let opening = Opening { at: [0.0, 0.0, 1.0], closed_crossover: 0.1, two_ended: false };
    let law = FlowLaw::Spool(rated(f), opening);
    a.plan.flow("way", from, to, law, Drive::Operator(handle));
    a.plan.nameplate("open at the start", if f.flag("open") { "yes" } else { "no" });
}

fn build_throttle_check(a: &mut Assembly, f: &Fields) {
    let (from, to) = two_ports(a, f, "A", "B");
    let check = Gate::rated(f.quantity("check_flow"), f.quantity("rated_drop"));
    a.plan.flow("gate", from, to, FlowLaw::ThrottleCheck(rated(f), check), Drive::None);
}

/// The spring in a cylinder added to the authored load curve: both straight between their points.
pub(super) fn with_spring(f: &Fields, stroke_m: f64) -> Vec<(f64, f64)> {
    let load = Load { constant_n: 0.0, along: f.curve("load_curve") };
    let start = f.quantity("spring");
    let end = f.optional("spring_end").unwrap_or(start).max(start);
    if end <= 0.0 {
        return load.along;
    }
    let mut knots: Vec<f64> = vec![0.0];
    knots.extend(load.along.iter().map(|p| p.0).filter(|s| *s > 0.0 && *s < stroke_m));
    knots.push(stroke_m);
    knots.into_iter().map(|s| (s, load.force(s).0 + start + (end - start) * s / stroke_m)).collect()
}

fn build_cylinder(a: &mut Assembly, f: &Fields) {
    let cap = a.volume(f.tag(), "A");
    a.plan.port("A", cap);
    // A single-acting cylinder breathes on the side of its spring.
    let single = f.quantity("spring") > 0.0 && !a.is_joined(f.tag(), "B");
    let rod = if single { a.room() } else { a.volume(f.tag(), "B") };
    a.plan.port("B", rod);
    let area = |d: f64| std::f64::consts::PI / 4.0 * d * d;
    let (bore, rod_d) = (f.quantity("bore"), f.quantity("rod").min(0.95 * f.quantity("bore")));
    let second_d = f.quantity("second_rod").min(0.95 * bore);
    let stroke_m = f.quantity("stroke");
    let cushion =
        Cushion { length_m: f.quantity("cushion"), viscous: f.quantity("cushion_resistance") };
    let piston = a.plan.piston(
        Piston {
            cap_m2: area(bore) - area(second_d),
            rod_m2: area(bore) - area(rod_d),
            stroke_m,
            friction_n: f.quantity("friction"),
            viscous: f.quantity("viscous"),
            leak: f.quantity("seal_leakage") / 100e5,
            load: Load { constant_n: f.quantity("load"), along: with_spring(f, stroke_m) },
            jammed: false,
            propped: false,
            cushions: [cushion; 2],
        },
        cap,
        rod,
        f.quantity("start").clamp(0.0, stroke_m),
    );
    a.piston(f.tag(), piston);
    a.plan.nameplate(
        "bore / rod / stroke",
        &format!("{:.0} / {:.0} / {:.0} mm", bore * 1e3, rod_d * 1e3, stroke_m * 1e3),
    );
}

/// What the seals of a piston resist with when it runs through all of the gas volume in a second [Pa s].
const SEAL_PA_S: f64 = 0.5e5;

fn build_accumulator(a: &mut Assembly, f: &Fields) {
    let volume = a.volume(f.tag(), "P");
    a.plan.port("P", volume);
    let gas_m3 = f.quantity("size");
    let make = Accumulator {
        gas_m3,
        precharge_pa: f.quantity("precharge"),
        exponent: f.quantity("exponent"),
    };
    let seal = (f.choice("separator") == "piston").then(|| Seal {
        friction_pa: f.quantity("seal_friction"),
        viscous: SEAL_PA_S / gas_m3,
        stuck: false,
    });
    a.plan.accumulator(make, seal, volume);
    a.plan.nameplate("separator", &f.choice("separator"));
    a.plan.nameplate("gas volume", &format!("{:.1} L", f.quantity("size") * 1e3));
    a.plan.nameplate("precharge", &format!("{:.0} bar nitrogen", f.quantity("precharge") / 1e5));
}

pub(super) const RATED_FLOW: FieldSpec = field(
    "rated_flow",
    Quantity(Dimension::VolumeFlow, FLOW.0, FLOW.1),
    Some("20 L/min"),
    "Flow at the rated drop",
);
pub(super) const RATED_DROP: FieldSpec = field(
    "rated_drop",
    Quantity(Dimension::Pressure, PRESSURE.0, PRESSURE.1),
    Some("3 bar"),
    "Pressure drop at the rated flow",
);

/// Fields of pumps.
pub(super) const PUMP_FIELDS: [FieldSpec; 7] = [
    field(
        "displacement",
        Quantity(Dimension::Displacement, "0.1 cm3/rev", "1000 cm3/rev"),
        None,
        "Volume displaced per revolution",
    ),
    field(
        "speed",
        Quantity(Dimension::RotationalSpeed, "100 rpm", "6000 rpm"),
        Some("1450 rpm"),
        "Speed of the motor",
    ),
    field(
        "efficiency",
        Quantity(Dimension::Ratio, "30 %", "100 %"),
        Some("95 %"),
        "Volumetric efficiency at the rated pressure",
    ),
    field(
        "rated_pressure",
        Quantity(Dimension::Pressure, "1 bar", "700 bar"),
        Some("100 bar"),
        "Pressure for which the efficiency holds",
    ),
    field(
        "mechanical_efficiency",
        Quantity(Dimension::Ratio, "30 %", "100 %"),
        Some("90 %"),
        "Hydro-mechanical efficiency at the rated pressure: with the volumetric one it gives the power of the drive, on the nameplate",
    ),
    field(
        "run_up",
        Quantity(Dimension::Time, "10 ms", "30 s"),
        Some("300 ms"),
        "Time to come up to speed",
    ),
    field(
        "run_by",
        Parts(&["Relay", "MotorStarter", "Isolator", "Selector"]),
        Some(""),
        "Contactor and isolator that must both be closed; without any it always runs",
    ),
];

/// Classes of the power side.
pub(super) const CLASSES: &[ClassSpec] = &[
    ClassSpec {
        name: "Tank",
        side: Side::Power,
        summary: "Oil tank at atmospheric pressure; its line is at 0 bar",
        terminals: "none",
        ports: "T",
        laws: "fixed pressure",
        fields: &[],
        rank: 3,
        port_list: |_| words(&["T"]),
        terminal_list: nothing,
        build: build_tank,
    },
    ClassSpec {
        name: "Pump",
        side: Side::Power,
        summary: "Fixed-displacement pump with its motor",
        terminals: "none",
        ports: "S suction, P pressure",
        laws: "flow is displacement times speed, less leakage in proportion to pressure (ISO 4391 symbols)",
        fields: &PUMP_FIELDS,
        rank: 6,
        port_list: |_| words(&["S", "P"]),
        terminal_list: nothing,
        build: build_pump,
    },
    ClassSpec {
        name: "Relief",
        side: Side::Power,
        summary: "Direct-operated pressure relief valve",
        terminals: "none",
        ports: "P, T",
        laws: "shut below cracking, then flow in proportion to the pressure above it",
        fields: &[
            field(
                "setting",
                Quantity(Dimension::Pressure, PRESSURE.0, PRESSURE.1),
                None,
                "Pressure at the rated flow",
            ),
            field(
                "cracking",
                Quantity(Dimension::Pressure, PRESSURE.0, PRESSURE.1),
                Some(""),
                "Cracking pressure; without it 0.93 of the setting",
            ),
            RATED_FLOW,
        ],
        rank: 4,
        port_list: |_| words(&["P", "T"]),
        terminal_list: nothing,
        build: build_relief,
    },
    ClassSpec {
        name: "Check",
        side: Side::Power,
        summary: "Check valve, free from A to B",
        terminals: "none",
        ports: "A, B",
        laws: "turbulent above the cracking pressure, shut the other way",
        fields: &[
            RATED_FLOW,
            RATED_DROP,
            field(
                "cracking",
                Quantity(Dimension::Pressure, "0 bar", "20 bar"),
                Some("0.5 bar"),
                "Cracking pressure",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: nothing,
        build: build_check,
    },
    ClassSpec {
        name: "Throttle",
        side: Side::Power,
        summary: "Throttle or orifice",
        terminals: "none",
        ports: "A, B",
        laws: "turbulent resistance",
        fields: &[RATED_FLOW, RATED_DROP],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: nothing,
        build: build_throttle,
    },
    ClassSpec {
        name: "StopValve",
        side: Side::Power,
        summary: "Shut-off valve worked by hand: it isolates an accumulator or a line, or bleeds one to the tank",
        terminals: "none",
        ports: "A, B",
        laws: "turbulent path opened by the handle, tight when shut",
        fields: &[
            RATED_FLOW,
            RATED_DROP,
            field("open", FieldKind::Flag, Some("true"), "It is open at the start"),
        ],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: nothing,
        build: build_stop_valve,
    },
    ClassSpec {
        name: "ThrottleCheck",
        side: Side::Power,
        summary: "One-way throttle: throttled from A to B, free from B to A",
        terminals: "none",
        ports: "A, B",
        laws: "turbulent resistance with a bypass check",
        fields: &[
            RATED_FLOW,
            RATED_DROP,
            field(
                "check_flow",
                Quantity(Dimension::VolumeFlow, FLOW.0, FLOW.1),
                Some("40 L/min"),
                "Flow of the free direction at the rated drop",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: nothing,
        build: build_throttle_check,
    },
    ClassSpec {
        name: "Cylinder",
        side: Side::Power,
        summary: "Double-acting cylinder with its load",
        terminals: "none",
        ports: "A cap side (extends), B rod side (retracts)",
        laws: "massless piston: speed follows the force balance over Coulomb and viscous friction; rigid end stops; seal leakage",
        fields: &[
            field("bore", Quantity(Dimension::Length, "4 mm", "1 m"), None, "Piston diameter"),
            field("rod", Quantity(Dimension::Length, "1 mm", "0.9 m"), None, "Rod diameter"),
            field("stroke", Quantity(Dimension::Length, "5 mm", "10 m"), None, "Stroke"),
            field(
                "start",
                Quantity(Dimension::Length, "0 mm", "10 m"),
                Some("0 mm"),
                "Position at the start; 0 is retracted",
            ),
            field(
                "load",
                Quantity(Dimension::Force, "-1000 kN", "1000 kN"),
                Some("0 N"),
                "Constant force against extension; a lifted weight is positive",
            ),
            field(
                "load_curve",
                Curve,
                Some(""),
                "More force against extension along the stroke, as [\"120 mm 0 kN\", \"180 mm 40 kN\"]",
            ),
            field(
                "friction",
                Quantity(Dimension::Force, "0 N", "100 kN"),
                Some("100 N"),
                "Coulomb friction of seals and guides",
            ),
            field(
                "viscous",
                Quantity(Dimension::DampingViscous, "1 N s/m", "1000000 N s/m"),
                Some("2000 N s/m"),
                "Viscous friction",
            ),
            field(
                "second_rod",
                Quantity(Dimension::Length, "0 mm", "0.9 m"),
                Some("0 mm"),
                "Diameter of a second rod, on side A; 0 without one",
            ),
            field(
                "spring",
                Quantity(Dimension::Force, "0 N", "100 kN"),
                Some("0 N"),
                "Force of a return spring with the rod in; 0 without one. With one, B breathes unless joined",
            ),
            field(
                "spring_end",
                Quantity(Dimension::Force, "0 N", "100 kN"),
                Some(""),
                "Force of the return spring with the rod out; without it the same as in",
            ),
            field(
                "cushion",
                Quantity(Dimension::Length, "0 mm", "200 mm"),
                Some("0 mm"),
                "Length of the cushion before either end; 0 without one",
            ),
            field(
                "cushion_resistance",
                Quantity(Dimension::DampingViscous, "1 N s/m", "10000000 N s/m"),
                Some("200000 N s/m"),
                "Resistance of a cushion at the very end of the stroke",
            ),
            field(
                "seal_leakage",
                Quantity(Dimension::VolumeFlow, "0 cm3/min", "50 L/min"),
                Some("0 cm3/min"),
                "Leakage past the piston at 100 bar",
            ),
            field(
                "seals",
                FieldKind::Choice(&["NBR", "FKM", "EPDM", "PU"]),
                Some("NBR"),
                "Material of its seals",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: nothing,
        build: build_cylinder,
    },
    ClassSpec {
        name: "Accumulator",
        side: Side::Power,
        summary: "Accumulator with nitrogen behind a bladder or a piston",
        terminals: "none",
        ports: "P",
        laws: "p V^n constant (absolute) above the precharge, nothing below; a piston between oil and gas over Coulomb and viscous friction",
        fields: &[
            field("size", Quantity(Dimension::Volume, "0.01 L", "500 L"), None, "Gas volume"),
            field(
                "precharge",
                Quantity(Dimension::Pressure, "0 bar", "500 bar"),
                None,
                "Gas precharge at 20 degC",
            ),
            field(
                "exponent",
                Quantity(Dimension::Ratio, "1", "1.7"),
                Some("1.4"),
                "Polytropic exponent: 1 slow, 1.4 fast",
            ),
            field(
                "separator",
                FieldKind::Choice(&["bladder", "piston"]),
                Some("bladder"),
                "What lies between oil and gas",
            ),
            field(
                "seal_friction",
                Quantity(Dimension::Pressure, "0 bar", "20 bar"),
                Some("1 bar"),
                "Difference of pressures that the seals of a piston hold",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["P"]),
        terminal_list: nothing,
        build: build_accumulator,
    },
];
