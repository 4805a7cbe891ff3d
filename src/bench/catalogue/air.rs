//! Compressed air: supply, service unit, cylinders, and what sits in the lines.
//!
//! Ports of valves are numbered after ISO 11727 (from memory): 1 supply, 2 and 4 work, 3 and 5
//! exhaust, 12 and 14 pilot. The figures are usual sizes (common practice, no source).

use crate::fluid::{
    FlowLaw, Load, Medium, Opening, Piston, Poppet, REFERENCE_DENSITY, Regulator, Relief, Slow,
    SonicPath, Volume,
};
use crate::plant::{Drive, Element, Tie, Trigger};
use crate::quantity::Dimension;

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::power::{two_ports, with_spring};
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, nothing, words};

use FieldKind::{Curve, Quantity};

/// Limits of a sonic conductance.
pub(super) const SONIC: FieldKind =
    Quantity(Dimension::SonicConductance, "0.001 dm3/(s bar)", "200 dm3/(s bar)");
pub(super) const RATIO: FieldSpec = field(
    "critical_ratio",
    Quantity(Dimension::Ratio, "0 %", "60 %"),
    Some("30 %"),
    "Critical pressure ratio b (ISO 6358)",
);

/// A conductance field with its default.
pub(super) const fn conductance(default: &'static str, about: &'static str) -> FieldSpec {
    field("conductance", SONIC, Some(default), about)
}

/// A regulator's relief opens this far above the setting [Pa], and passes fully this much later.
const RELIEVING_PA: (f64, f64) = (0.2e5, 0.5e5);
/// Share of a regulator's conductance that its relief has [1].
const RELIEVING_SHARE: f64 = 0.05;
/// Differences at which membranes and discs lift and are fully open [Pa].
const LIFT: Poppet = Poppet { lift_pa: 0.05e5, band_pa: 0.1e5 };

pub(super) fn path(f: &Fields, conductance: &str) -> SonicPath {
    SonicPath { conductance: f.quantity(conductance), critical_ratio: f.quantity("critical_ratio") }
}

pub(super) fn air(m3: f64) -> Volume {
    Volume { still_m3: m3, medium: Medium::AIR }
}

pub(super) fn plate_conductance(a: &mut Assembly, path: SonicPath) {
    a.plan.nameplate(
        "sonic conductance",
        &format!("{:.2} dm3/(s bar), b {:.2}", path.conductance * 1e8, path.critical_ratio),
    );
}

fn build_supply(a: &mut Assembly, f: &Fields) {
    let outlet = a.volume(f.tag(), "2");
    a.plan.port("2", outlet);
    let pa = f.quantity("pressure");
    let main = a.plan.volume(&format!("{}:main", f.tag()), air(1.0), Some(pa));
    a.plan.share("main", Element::Volume(main));
    let path = path(f, "conductance");
    a.plan.flow("outlet", main, outlet, FlowLaw::Sonic(path), Drive::None);
    a.plan.nameplate("pressure", &format!("{:.1} bar", pa / 1e5));
}

/// A 3/2 valve worked by a handle: 1-2 when on, 2-3 when off.
fn build_slide(a: &mut Assembly, f: &Fields, initially: bool) {
    let handle = a.plan.operator("handle", Tie::Hand, Trigger::Hand, initially);
    a.operator(f.tag(), handle);
    let (inlet, outlet) = two_ports(a, f, "1", "2");
    let exhaust = a.open_volume(f.tag(), "3");
    a.plan.port("3", exhaust);
    let path = path(f, "conductance");
    let law = |at: [f64; 3]| {
        FlowLaw::SonicSpool(path, Opening { at, closed_crossover: 0.1, two_ended: false })
    };
    let drive = Drive::Operator(handle);
    a.plan.flow("1-2", inlet, outlet, law([0.0, 0.0, 1.0]), drive);
    a.plan.flow("2-3", outlet, exhaust, law([0.0, 1.0, 0.0]), drive);
    plate_conductance(a, path);
}

fn build_isolator(a: &mut Assembly, f: &Fields) {
    build_slide(a, f, true);
}

fn build_hand_slide(a: &mut Assembly, f: &Fields) {
    build_slide(a, f, f.flag("on"));
}

fn build_regulator(a: &mut Assembly, f: &Fields) {
    let (inlet, outlet) = two_ports(a, f, "1", "2");
    let (set_pa, path) = (f.quantity("setting"), path(f, "conductance"));
    let make = Regulator { set_pa, droop_pa: f.quantity("droop") };
    a.plan.flow("regulator", inlet, outlet, FlowLaw::Regulator(path, make), Drive::None);
    if f.flag("relieving") {
        let room = a.room();
        let crack_pa = set_pa + RELIEVING_PA.0;
        let full_pa = crack_pa + RELIEVING_PA.1;
        let kg_s = RELIEVING_SHARE * path.conductance * REFERENCE_DENSITY * full_pa;
        let law = FlowLaw::Relief(Relief::rated(crack_pa, full_pa, kg_s));
        a.plan.flow("relief", outlet, room, law, Drive::None);
    }
    if f.flag("backflow") {
        // When the inlet is vented, the outlet empties backwards.
        let law = FlowLaw::SonicPoppet(path, LIFT);
        a.plan.flow("backflow", outlet, inlet, law, Drive::Pressure(inlet));
    }
    a.plan.nameplate("setting", &format!("{:.1} bar", set_pa / 1e5));
    plate_conductance(a, path);
}

fn build_receiver(a: &mut Assembly, f: &Fields) {
    let volume = a.volume(f.tag(), "1");
    a.plan.port("1", volume);
    a.plan.enlarge(volume, f.quantity("size"));
    a.plan.nameplate("volume", &format!("{:.1} L", f.quantity("size") * 1e3));
}

fn build_tube(a: &mut Assembly, f: &Fields) {
    let (first, second) = two_ports(a, f, "1", "2");
    a.plan.flow("bore", first, second, FlowLaw::Sonic(path(f, "conductance")), Drive::None);
    let room = a.room();
    let sound = SonicPath { conductance: 0.0, critical_ratio: f.quantity("critical_ratio") };
    a.plan.flow("wall", second, room, FlowLaw::Sonic(sound), Drive::None);
}

fn build_silencer(a: &mut Assembly, f: &Fields) {
    let volume = a.volume(f.tag(), "1");
    a.plan.port("1", volume);
    let room = a.room();
    let path = path(f, "conductance");
    a.plan.flow("silencer", volume, room, FlowLaw::Sonic(path), Drive::None);
    plate_conductance(a, path);
}

fn build_flow_control(a: &mut Assembly, f: &Fields) {
    let (first, second) = two_ports(a, f, "1", "2");
    let law = FlowLaw::SonicCheck(path(f, "conductance"), path(f, "free_conductance"));
    a.plan.flow("throttle", first, second, law, Drive::None);
}

fn build_quick_exhaust(a: &mut Assembly, f: &Fields) {
    let (inlet, work) = two_ports(a, f, "1", "2");
    let exhaust = a.open_volume(f.tag(), "3");
    a.plan.port("3", exhaust);
    let to_work = FlowLaw::SonicPoppet(path(f, "conductance"), LIFT);
    a.plan.flow("1-2", inlet, work, to_work, Drive::Pressure(work));
    let to_air = FlowLaw::SonicPoppet(path(f, "exhaust_conductance"), LIFT);
    a.plan.flow("2-3", work, exhaust, to_air, Drive::Pressure(inlet));
}

fn build_shuttle(a: &mut Assembly, f: &Fields) {
    let (one, work) = two_ports(a, f, "1", "2");
    let other = a.volume(f.tag(), "1b");
    a.plan.port("1b", other);
    // The disc stands between its seats: half over at equal pressures, right over beyond the band.
    let disc = Poppet { lift_pa: -0.5 * LIFT.band_pa, band_pa: LIFT.band_pa };
    let law = FlowLaw::SonicPoppet(path(f, "conductance"), disc);
    a.plan.flow("1-2", one, work, law, Drive::Pressure(other));
    a.plan.flow("1b-2", other, work, law, Drive::Pressure(one));
}

fn build_soft_start(a: &mut Assembly, f: &Fields) {
    let (inlet, outlet) = two_ports(a, f, "1", "2");
    let slow = Slow { until: f.quantity("changes_over"), passage: f.quantity("passage") };
    let law = FlowLaw::SlowStart(path(f, "conductance"), slow);
    a.plan.flow("slow start", inlet, outlet, law, Drive::None);
}

fn build_cylinder(a: &mut Assembly, f: &Fields) {
    let cap = a.volume(f.tag(), "A");
    a.plan.port("A", cap);
    let single = f.quantity("spring") > 0.0 && !a.is_joined(f.tag(), "B");
    let rod = if single { a.open_volume(f.tag(), "B") } else { a.volume(f.tag(), "B") };
    a.plan.port("B", rod);
    for volume in [cap, rod] {
        a.plan.enlarge(volume, f.quantity("dead_space"));
    }
    let area = |d: f64| std::f64::consts::PI / 4.0 * d * d;
    let (bore, rod_d) = (f.quantity("bore"), f.quantity("rod").min(0.95 * f.quantity("bore")));
    let stroke_m = f.quantity("stroke");
    let make = Piston {
        cap_m2: area(bore),
        rod_m2: area(bore) - area(rod_d),
        stroke_m,
        friction_n: f.quantity("friction"),
        viscous: f.quantity("viscous"),
        leak: f.quantity("seal_leakage") * REFERENCE_DENSITY / 6e5,
        load: Load { constant_n: f.quantity("load"), along: with_spring(f, stroke_m) },
        jammed: false,
        propped: false,
        cushions: Default::default(),
    };
    let piston = a.plan.piston(make, cap, rod, f.quantity("start").clamp(0.0, stroke_m));
    a.piston(f.tag(), piston);
    a.plan.nameplate(
        "bore / rod / stroke",
        &format!("{:.0} / {:.0} / {:.0} mm", bore * 1e3, rod_d * 1e3, stroke_m * 1e3),
    );
}

const SLIDE_FIELDS: [FieldSpec; 2] =
    [conductance("8 dm3/(s bar)", "Sonic conductance C of both ways (ISO 6358)"), RATIO];

/// Classes for compressed air.
pub(super) const CLASSES: &[ClassSpec] = &[
    ClassSpec {
        name: "AirSupply",
        side: Side::Air,
        summary: "Main of compressed air at a fixed pressure",
        terminals: "none",
        ports: "2",
        laws: "fixed pressure behind a sonic conductance (ISO 6358)",
        fields: &[
            field(
                "pressure",
                Quantity(Dimension::Pressure, "0.5 bar", "40 bar"),
                Some("7 bar"),
                "Pressure of the main",
            ),
            conductance("15 dm3/(s bar)", "Sonic conductance C of its outlet"),
            RATIO,
        ],
        rank: 3,
        port_list: |_| words(&["2"]),
        terminal_list: nothing,
        build: build_supply,
    },
    ClassSpec {
        name: "AirIsolator",
        side: Side::Air,
        summary: "Lockable 3/2 slide, on at the start; off, it shuts 1 and vents 2 through 3",
        terminals: "none",
        ports: "1 2, 3 exhaust (open to the air unless joined)",
        laws: "sonic paths opened by the handle",
        fields: &SLIDE_FIELDS,
        rank: 0,
        port_list: |_| words(&["1", "2", "3"]),
        terminal_list: nothing,
        build: build_isolator,
    },
    ClassSpec {
        name: "HandSlide",
        side: Side::Air,
        summary: "3/2 hand slide without a lock; off, it shuts 1 and vents 2 through 3",
        terminals: "none",
        ports: "1 2, 3 exhaust (open to the air unless joined)",
        laws: "sonic paths opened by the handle",
        fields: &[
            SLIDE_FIELDS[0],
            RATIO,
            field("on", FieldKind::Flag, Some("true"), "Turned on at the start"),
        ],
        rank: 0,
        port_list: |_| words(&["1", "2", "3"]),
        terminal_list: nothing,
        build: build_hand_slide,
    },
    ClassSpec {
        name: "Regulator",
        side: Side::Air,
        summary: "Service unit: filter and pressure regulator",
        terminals: "none",
        ports: "1, 2",
        laws: "sonic path that shuts as the outlet comes up to the setting; relief behind it",
        fields: &[
            field(
                "setting",
                Quantity(Dimension::Pressure, "0.2 bar", "16 bar"),
                Some("6 bar"),
                "Outlet pressure without flow",
            ),
            field(
                "droop",
                Quantity(Dimension::Pressure, "0.02 bar", "3 bar"),
                Some("0.4 bar"),
                "Fall of the outlet below the setting at which it is fully open",
            ),
            conductance("6 dm3/(s bar)", "Sonic conductance C when fully open, filter included"),
            RATIO,
            field(
                "relieving",
                FieldKind::Flag,
                Some("true"),
                "Lets air out of the outlet 0.2 bar above the setting",
            ),
            field(
                "backflow",
                FieldKind::Flag,
                Some("true"),
                "Empties the outlet backwards when the inlet is vented; without it air stays trapped behind",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["1", "2"]),
        terminal_list: nothing,
        build: build_regulator,
    },
    ClassSpec {
        name: "Receiver",
        side: Side::Air,
        summary: "Vessel for compressed air",
        terminals: "none",
        ports: "1",
        laws: "volume of air, isothermal",
        fields: &[field(
            "size",
            Quantity(Dimension::Volume, "0.05 L", "2000 L"),
            None,
            "Volume of the vessel",
        )],
        rank: 4,
        port_list: |_| words(&["1"]),
        terminal_list: nothing,
        build: build_receiver,
    },
    ClassSpec {
        name: "Tube",
        side: Side::Air,
        summary: "Tube whose resistance counts, or that may kink or leak",
        terminals: "none",
        ports: "1, 2",
        laws: "sonic conductance; a hole in its wall at 2 when it leaks",
        fields: &[conductance("4 dm3/(s bar)", "Sonic conductance C of the whole tube"), RATIO],
        rank: 4,
        port_list: |_| words(&["1", "2"]),
        terminal_list: nothing,
        build: build_tube,
    },
    ClassSpec {
        name: "Silencer",
        side: Side::Air,
        summary: "Silencer on an exhaust port",
        terminals: "none",
        ports: "1",
        laws: "sonic conductance to the air",
        fields: &[conductance("6 dm3/(s bar)", "Sonic conductance C"), RATIO],
        rank: 4,
        port_list: |_| words(&["1"]),
        terminal_list: nothing,
        build: build_silencer,
    },
    ClassSpec {
        name: "FlowControl",
        side: Side::Air,
        summary: "One-way flow control: throttled from 1 to 2, free from 2 to 1. With 1 at the cylinder it meters out, with 2 there it meters in",
        terminals: "none",
        ports: "1, 2",
        laws: "sonic conductance with a bypass check",
        fields: &[
            conductance("0.5 dm3/(s bar)", "Sonic conductance C of the throttle as set"),
            field(
                "free_conductance",
                SONIC,
                Some("3 dm3/(s bar)"),
                "Sonic conductance that the check adds from 2 to 1",
            ),
            RATIO,
        ],
        rank: 4,
        port_list: |_| words(&["1", "2"]),
        terminal_list: nothing,
        build: build_flow_control,
    },
    ClassSpec {
        name: "QuickExhaust",
        side: Side::Air,
        summary: "Quick exhaust: 1 fills 2; when 1 falls, 2 empties through 3",
        terminals: "none",
        ports: "1, 2, 3 exhaust (open to the air unless joined)",
        laws: "two poppets opened by differences of pressure",
        fields: &[
            conductance("3 dm3/(s bar)", "Sonic conductance C from 1 to 2"),
            field("exhaust_conductance", SONIC, Some("8 dm3/(s bar)"), "The same from 2 to 3"),
            RATIO,
        ],
        rank: 4,
        port_list: |_| words(&["1", "2", "3"]),
        terminal_list: nothing,
        build: build_quick_exhaust,
    },
    ClassSpec {
        name: "Shuttle",
        side: Side::Air,
        summary: "Shuttle valve: the higher of 1 and 1b goes to 2",
        terminals: "none",
        ports: "1, 1b, 2",
        laws: "a disc moved by the difference of its inlets, without inertia",
        fields: &[conductance("2 dm3/(s bar)", "Sonic conductance C of either way"), RATIO],
        rank: 4,
        port_list: |_| words(&["1", "1b", "2"]),
        terminal_list: nothing,
        build: build_shuttle,
    },
    ClassSpec {
        name: "SoftStart",
        side: Side::Air,
        summary: "Slow-start valve: nearly shut until the pressure behind it has come up",
        terminals: "none",
        ports: "1, 2",
        laws: "sonic conductance that depends on the pressure behind it",
        fields: &[
            conductance("6 dm3/(s bar)", "Sonic conductance C when changed over"),
            RATIO,
            field(
                "passage",
                Quantity(Dimension::Ratio, "0.1 %", "100 %"),
                Some("5 %"),
                "Part of the conductance while it starts slowly",
            ),
            field(
                "changes_over",
                Quantity(Dimension::Ratio, "10 %", "95 %"),
                Some("50 %"),
                "Outlet over inlet pressure at which it changes over",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["1", "2"]),
        terminal_list: nothing,
        build: build_soft_start,
    },
    ClassSpec {
        name: "AirCylinder",
        side: Side::Air,
        summary: "Air cylinder with its load, double acting or with a return spring",
        terminals: "none",
        ports: "A cap side (extends), B rod side (retracts; open to the air when a spring returns it and nothing is joined)",
        laws: "massless piston: speed follows the force balance over Coulomb and viscous friction; rigid end stops; seal leakage",
        fields: &[
            field("bore", Quantity(Dimension::Length, "2 mm", "500 mm"), None, "Piston diameter"),
            field("rod", Quantity(Dimension::Length, "1 mm", "400 mm"), None, "Rod diameter"),
            field("stroke", Quantity(Dimension::Length, "2 mm", "5 m"), None, "Stroke"),
            field(
                "start",
                Quantity(Dimension::Length, "0 mm", "5 m"),
                Some("0 mm"),
                "Position at the start; 0 is retracted",
            ),
            field(
                "load",
                Quantity(Dimension::Force, "-100 kN", "100 kN"),
                Some("0 N"),
                "Constant force against extension; a lifted weight is positive",
            ),
            field(
                "load_curve",
                Curve,
                Some(""),
                "More force against extension along the stroke, as [\"20 mm 0 N\", \"22 mm 900 N\"]",
            ),
            field(
                "spring",
                Quantity(Dimension::Force, "0 N", "20 kN"),
                Some("0 N"),
                "Force of a return spring when retracted",
            ),
            field(
                "spring_end",
                Quantity(Dimension::Force, "0 N", "20 kN"),
                Some(""),
                "Its force when extended; without it the same",
            ),
            field(
                "friction",
                Quantity(Dimension::Force, "0 N", "10 kN"),
                Some("20 N"),
                "Coulomb friction of seals and guides",
            ),
            field(
                "viscous",
                Quantity(Dimension::DampingViscous, "1 N s/m", "100000 N s/m"),
                Some("300 N s/m"),
                "Viscous friction",
            ),
            field(
                "dead_space",
                Quantity(Dimension::Volume, "0.1 cm3", "10 L"),
                Some("5 cm3"),
                "Space at either end that the piston does not sweep",
            ),
            field(
                "seal_leakage",
                Quantity(Dimension::StandardFlow, "0 L/min ANR", "1000 L/min ANR"),
                Some("0 L/min ANR"),
                "Leakage past the piston at 6 bar",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: nothing,
        build: build_cylinder,
    },
];
