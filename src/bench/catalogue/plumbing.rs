//! More of the power side: variable pump, hydraulic motor, filter, hose. The figures are usual sizes
//! (common practice, no source).

use std::f64::consts::PI;

use crate::fluid::{FlowLaw, Gate, Medium, Motor, Pump};
use crate::plant::{Drive, DriveMake, Tie, Trigger};
use crate::quantity::Dimension;

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::control::{CONTACTS, add_contacts, contact_terminals};
use super::power::{
    FLOW, PRESSURE, PUMP_FIELDS, RATED_DROP, RATED_FLOW, pump_plate, rated, two_ports,
};
use super::pressure::{port, press, sluggish};
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, nothing, words};

use FieldKind::Quantity;

fn build_variable_pump(a: &mut Assembly, f: &Fields) {
    let (inlet, outlet) = two_ports(a, f, "S", "P");
    let case = port(a, f, "L");
    let displacement_m3 = f.quantity("displacement");
    let speed = f.quantity("speed");
    let leak =
        displacement_m3 * speed * (1.0 - f.quantity("efficiency")) / f.quantity("rated_pressure");
    let run_by = f.parts("run_by").iter().filter_map(|tag| a.operator_of(tag)).collect();
    let (setting, band) = (f.quantity("setting"), f.quantity("band"));
    // First in the list of elements is what takes a setting.
    let make = sluggish((setting - band).max(0.0), band, f.quantity("response") / 3.0);
    let swash = a.plan.spring_spool("compensator", make);
    press(a, swash, outlet, 1.0);
    press(a, swash, case, -1.0);
    a.plan.stroked_pump(
        FlowLaw::Pump(Pump { displacement_m3, leak: 0.0 }),
        inlet,
        outlet,
        DriveMake { per_second: speed, lag_s: f.quantity("run_up") / 3.0 },
        run_by,
        Some(swash),
    );
    a.plan.flow("leak P-L", outlet, case, FlowLaw::Leak(leak), Drive::None);
    a.plan.nameplate("setting", &format!("{:.1} bar", setting / 1e5));
    pump_plate(a, f);
}

fn build_motor(a: &mut Assembly, f: &Fields) {
    let (first, second) = two_ports(a, f, "A", "B");
    let case = port(a, f, "L");
    let leak = f.quantity("leakage") / 100e5;
    let motor = Motor {
        displacement_m3: f.quantity("displacement"),
        load_nm: f.quantity("load"),
        friction_nm: f.quantity("friction"),
        viscous: f.quantity("torque_rise") / (2.0 * PI * f.quantity("rise_speed")),
        leak,
        inertia: f.quantity("inertia"),
        jammed: false,
    };
    let id = a.plan.motor("motor", first, second, motor);
    a.motor(f.tag(), id);
    for (marking, volume) in [("A", first), ("B", second)] {
        let law = FlowLaw::Leak(0.5 * leak);
        a.plan.flow(&format!("leak {marking}-L"), volume, case, law, Drive::None);
    }
    let cm3 = motor.displacement_m3 * 1e6;
    a.plan.nameplate("displacement", &format!("{cm3:.1} cm3/rev"));
    let inertia = f.quantity("inertia");
    if inertia > 0.0 {
        a.plan.nameplate("inertia", &format!("{inertia} kg m2 with its load"));
    }
}

/// How soon the gears of a flow transducer follow the flow [s] (common practice, no source).
const METER_S: f64 = 4e-3;
/// Share of the torque at its rated flow that the gears of a flow transducer take to begin turning [1]
/// (common practice, no source).
const METER_FRICTION: f64 = 0.02;

fn build_flow_transducer(a: &mut Assembly, f: &Fields) {
    let (first, second) = two_ports(a, f, "A", "B");
    let displacement_m3 = f.quantity("displacement");
    let (flow, drop) = (f.quantity("rated_flow"), f.quantity("rated_drop"));
    let slip = f.quantity("slip") * flow / drop;
    // What does not slip by turns the gears, which take the torque of the drop at that speed.
    let omega = 2.0 * PI * flow * (1.0 - f.quantity("slip")) / displacement_m3;
    let torque_nm = displacement_m3 * drop / (2.0 * PI);
    let viscous = torque_nm * (1.0 - METER_FRICTION) / omega;
    let gears = Motor {
        displacement_m3,
        load_nm: 0.0,
        friction_nm: torque_nm * METER_FRICTION,
        viscous,
        leak: slip,
        inertia: METER_S * viscous,
        jammed: false,
    };
    let id = a.plan.motor("gears", first, second, gears);
    a.plan.meter(id);
    a.motor(f.tag(), id);
    a.plan.nameplate("displacement", &format!("{:.2} cm3/rev", displacement_m3 * 1e6));
    a.plan.nameplate("rated flow", &format!("{:.0} L/min", flow * 60_000.0));
}

fn build_filter(a: &mut Assembly, f: &Fields) {
    let (from, to) = two_ports(a, f, "A", "B");
    a.plan.flow("element", from, to, FlowLaw::Gate(rated(f)), Drive::None);
    if let Some(crack) = f.optional("bypass") {
        let law = FlowLaw::Check(Gate::rated(f.quantity("rated_flow"), 1e5), crack);
        a.plan.flow("bypass", from, to, law, Drive::None);
    }
    if let Some(rise_pa) = f.optional("indicator") {
        let trigger = Trigger::Pressure { rise_pa, fall_pa: 0.8 * rise_pa };
        let switch = a.plan.operator("indicator", Tie::Across(from, to), trigger, false);
        a.operator(f.tag(), switch);
        add_contacts(a, f, switch);
        a.plan.nameplate("indicator", &format!("{:.1} bar", rise_pa / 1e5));
    }
}

fn filter_terminals(f: &Fields) -> Vec<String> {
    if f.optional("indicator").is_some() { contact_terminals(f) } else { Vec::new() }
}

fn build_strainer(a: &mut Assembly, f: &Fields) {
    let (from, to) = two_ports(a, f, "A", "B");
    a.plan.flow("element", from, to, FlowLaw::Gate(rated(f)), Drive::None);
}

fn build_hose(a: &mut Assembly, f: &Fields) {
    let (first, second) = two_ports(a, f, "A", "B");
    a.plan.flow("bore", first, second, FlowLaw::Gate(rated(f)), Drive::None);
    let bore = f.quantity("bore");
    let m3 = PI / 4.0 * bore * bore * f.quantity("length");
    // The wall gives way like so much more oil: V / K + V e = (V + V K e) / K.
    let give = match a.oil.medium {
        Medium::Oil { bulk_pa, .. } => bulk_pa * f.quantity("expansion") / 100e5,
        Medium::Air { .. } => 0.0,
    };
    for volume in [first, second] {
        a.plan.enlarge(volume, 0.5 * m3 * (1.0 + give));
    }
    let room = a.room();
    a.plan.flow("wall", second, room, FlowLaw::Leak(0.0), Drive::None);
    let (mm, m) = (bore * 1e3, f.quantity("length"));
    a.plan.nameplate("bore / length", &format!("{mm:.0} mm / {m:.1} m"));
}

const DISPLACEMENT: FieldSpec = PUMP_FIELDS[0];

const VARIABLE: [FieldSpec; PUMP_FIELDS.len() + 3] = {
    let mut list = [PUMP_FIELDS[0]; PUMP_FIELDS.len() + 3];
    let mut k = 0;
    while k < PUMP_FIELDS.len() {
        list[k] = PUMP_FIELDS[k];
        k += 1;
    }
    list[PUMP_FIELDS.len()] = field(
        "setting",
        Quantity(Dimension::Pressure, PRESSURE.0, PRESSURE.1),
        None,
        "Pressure at which it delivers nothing more",
    );
    list[PUMP_FIELDS.len() + 1] = field(
        "band",
        Quantity(Dimension::Pressure, "0.5 bar", "100 bar"),
        Some("8 bar"),
        "Below the setting by this it still delivers everything",
    );
    list[PUMP_FIELDS.len() + 2] = field(
        "response",
        Quantity(Dimension::Time, "1 ms", "1 s"),
        Some("20 ms"),
        "Time to follow a change of pressure",
    );
    list
};

/// More classes of the power side.
pub(super) const CLASSES: &[ClassSpec] = &[
    ClassSpec {
        name: "VariablePump",
        side: Side::Power,
        summary: "Pressure-compensated pump with its motor: it delivers what is taken, up to its setting",
        terminals: "none",
        ports: "S suction, P pressure, L case drain",
        laws: "flow is displacement times speed, less what the compensator takes away in balance with its spring; leakage to the case in proportion to pressure",
        fields: &VARIABLE,
        rank: 6,
        port_list: |_| words(&["S", "P", "L"]),
        terminal_list: nothing,
        build: build_variable_pump,
    },
    ClassSpec {
        name: "FlowTransducer",
        side: Side::Power,
        summary: "Flow transducer: gears that the oil turns, for the loop of a proportional or servo valve",
        terminals: "none",
        ports: "A, B; flow from A to B counts as positive",
        laws: "Newton's law for the gears: torque of the difference of pressures against friction in proportion to speed; what slips by is not counted",
        fields: &[
            field(
                "displacement",
                Quantity(Dimension::Displacement, "0.01 cm3/rev", "1000 cm3/rev"),
                Some("2 cm3/rev"),
                "Volume that a revolution of the gears passes",
            ),
            RATED_FLOW,
            RATED_DROP,
            field(
                "slip",
                Quantity(Dimension::Ratio, "0 %", "10 %"),
                Some("0.5 %"),
                "Part of the rated flow that slips by uncounted at the rated drop",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: nothing,
        build: build_flow_transducer,
    },
    ClassSpec {
        name: "HydraulicMotor",
        side: Side::Power,
        summary: "Hydraulic motor with its load",
        terminals: "none",
        ports: "A (turns forwards), B, L case drain",
        laws: "speed follows the balance of torques over Coulomb and viscous friction, or by Newton's law where inertia is authored; leakage to port and case",
        fields: &[
            DISPLACEMENT,
            field(
                "load",
                Quantity(Dimension::Torque, "-100000 N m", "100000 N m"),
                Some("0 N m"),
                "Torque against turning forwards; a lifted weight is positive",
            ),
            field(
                "friction",
                Quantity(Dimension::Torque, "0 N m", "100000 N m"),
                Some("1 N m"),
                "Coulomb friction of motor and load, against turning either way",
            ),
            field(
                "torque_rise",
                Quantity(Dimension::Torque, "0.01 N m", "100000 N m"),
                Some("5 N m"),
                "More torque that the load takes at `rise_speed`, in proportion to speed",
            ),
            field(
                "rise_speed",
                Quantity(Dimension::RotationalSpeed, "1 rpm", "10000 rpm"),
                Some("1000 rpm"),
                "Speed for `torque_rise`",
            ),
            field(
                "leakage",
                Quantity(Dimension::VolumeFlow, "0 cm3/min", "50 L/min"),
                Some("100 cm3/min"),
                "Leakage from port to port at 100 bar; as much goes to the case",
            ),
            field(
                "inertia",
                Quantity(Dimension::Inertia, "0 kg m2", "100000 kg m2"),
                Some("0 kg m2"),
                "Moment of inertia of motor and load; 0 leaves it out",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["A", "B", "L"]),
        terminal_list: nothing,
        build: build_motor,
    },
    ClassSpec {
        name: "Filter",
        side: Side::Power,
        summary: "Filter for a pressure or return line, with bypass and indicator if wanted",
        terminals: "as its indicator's contacts say",
        ports: "A, B",
        laws: "turbulent element, check beside it, switch on the difference",
        fields: &[
            RATED_FLOW,
            field(
                "rated_drop",
                Quantity(Dimension::Pressure, PRESSURE.0, PRESSURE.1),
                Some("0.4 bar"),
                "Pressure drop of the clean element at the rated flow",
            ),
            field(
                "bypass",
                Quantity(Dimension::Pressure, "0.1 bar", "50 bar"),
                Some(""),
                "Difference at which the bypass opens; without it there is none",
            ),
            field(
                "indicator",
                Quantity(Dimension::Pressure, "0.1 bar", "50 bar"),
                Some(""),
                "Difference at which the indicator acts; without it there is none",
            ),
            CONTACTS,
        ],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: filter_terminals,
        build: build_filter,
    },
    ClassSpec {
        name: "Strainer",
        side: Side::Power,
        summary: "Suction strainer",
        terminals: "none",
        ports: "A, B",
        laws: "turbulent resistance",
        fields: &[
            field(
                "rated_flow",
                Quantity(Dimension::VolumeFlow, FLOW.0, FLOW.1),
                Some("40 L/min"),
                "Flow at the rated drop",
            ),
            field(
                "rated_drop",
                Quantity(Dimension::Pressure, PRESSURE.0, PRESSURE.1),
                Some("0.05 bar"),
                "Pressure drop when clean at the rated flow",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: nothing,
        build: build_strainer,
    },
    ClassSpec {
        name: "Hose",
        side: Side::Power,
        summary: "Hose: it widens under pressure, and it can burst",
        terminals: "none",
        ports: "A, B",
        laws: "turbulent resistance; contents and give of the wall added to the lines at its ends",
        fields: &[
            field("bore", Quantity(Dimension::Length, "2 mm", "100 mm"), Some("10 mm"), "Bore"),
            field("length", Quantity(Dimension::Length, "50 mm", "100 m"), Some("1 m"), "Length"),
            field(
                "expansion",
                Quantity(Dimension::Ratio, "0 %", "50 %"),
                Some("1.5 %"),
                "Growth of its contents at 100 bar",
            ),
            field(
                "rated_flow",
                Quantity(Dimension::VolumeFlow, FLOW.0, FLOW.1),
                Some("20 L/min"),
                "Flow at the rated drop",
            ),
            RATED_DROP,
        ],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: nothing,
        build: build_hose,
    },
];
