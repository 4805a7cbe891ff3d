//! Compressed air: supply, service unit, valves, cylinders, and what sits in the lines.
//!
//! Ports of valves are numbered after ISO 11727 (from memory): 1 supply, 2 and 4 work, 3 and 5
//! exhaust, 12 and 14 pilot. The figures are usual sizes (common practice, no source).

use crate::base::{SpoolId, VolumeId};
use crate::fluid::{
    FlowLaw, Load, Medium, Opening, Piston, Poppet, REFERENCE_DENSITY, Regulator, Relief, Slow,
    SonicPath, Volume,
};
use crate::plant::{Drive, Element, Tie, Trigger};
use crate::quantity::Dimension;
use crate::shift::{Rest, SpoolMake};

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::control::{COIL_COUNT, COIL_FIELDS, CoilKind, add_coil, coil, plate_of};
use super::power::{two_ports, with_spring};
use super::valve::{boxes, open_at, pairs_of, ports, solenoid_spool};
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, nothing, words};

use FieldKind::{Choice, Curve, Quantity, Text};

/// Limits of a sonic conductance.
const SONIC: FieldKind =
    Quantity(Dimension::SonicConductance, "0.001 dm3/(s bar)", "200 dm3/(s bar)");
const RATIO: FieldSpec = field(
    "critical_ratio",
    Quantity(Dimension::Ratio, "0 %", "60 %"),
    Some("30 %"),
    "Critical pressure ratio b (ISO 6358)",
);

/// A conductance field with its default.
const fn conductance(default: &'static str, about: &'static str) -> FieldSpec {
    field("conductance", SONIC, Some(default), about)
}

/// Coil of a directly operated air valve.
const DIRECT_COIL: CoilKind = CoilKind {
    power_w: 8.0,
    inrush_va: 20.0,
    sealed_va: 12.0,
    rise_s: 8e-3,
    seated_ratio: 2.0,
    leakage: 0.6,
    stroke_m: 1.5e-3,
    kelvin_per_watt: 9.0,
    joule_per_kelvin: 60.0,
};
/// Coil of a pilot.
const PILOT_COIL: CoilKind = CoilKind {
    power_w: 2.5,
    inrush_va: 5.0,
    sealed_va: 3.6,
    rise_s: 5e-3,
    seated_ratio: 1.5,
    leakage: 0.5,
    stroke_m: 0.6e-3,
    kelvin_per_watt: 28.0,
    joule_per_kelvin: 20.0,
};
/// Shifting time of a pilot [s].
const PILOT_SHIFT_S: f64 = 5e-3;
/// Space behind a pilot's end of the spool [m3].
const PILOT_M3: f64 = 1.5e-6;
/// Pressure at which the authored shifting time of a pilot-operated spool holds [Pa].
const SHIFT_AT_PA: f64 = 6e5;
/// Travel of a pilot-operated spool between two positions [m].
const PILOTED_STROKE_M: f64 = 3e-3;
/// A regulator's relief opens this far above the setting [Pa], and passes fully this much later.
const RELIEVING_PA: (f64, f64) = (0.2e5, 0.5e5);
/// Share of a regulator's conductance that its relief has [1].
const RELIEVING_SHARE: f64 = 0.05;
/// Differences at which membranes and discs lift and are fully open [Pa].
const LIFT: Poppet = Poppet { lift_pa: 0.05e5, band_pa: 0.1e5 };

fn path(f: &Fields, conductance: &str) -> SonicPath {
    SonicPath { conductance: f.quantity(conductance), critical_ratio: f.quantity("critical_ratio") }
}

fn air(m3: f64) -> Volume {
    Volume { still_m3: m3, medium: Medium::AIR }
}

fn plate_conductance(a: &mut Assembly, path: SonicPath) {
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

fn two_sided(f: &Fields) -> bool {
    f.choice("rest") != "spring offset"
}

fn operated_by_coils(f: &Fields) -> bool {
    f.choice("operated") != "air"
}

fn valve_terminals(f: &Fields) -> Vec<String> {
    match (operated_by_coils(f), two_sided(f)) {
        (false, _) => Vec::new(),
        (true, false) => words(&["a1", "a2"]),
        (true, true) => words(&["a1", "a2", "b1", "b2"]),
    }
}

fn valve_ports(f: &Fields) -> Vec<String> {
    let mut list = ports(f);
    if !operated_by_coils(f) {
        list.push("14".to_owned());
        if two_sided(f) {
            list.push("12".to_owned());
        }
    }
    list
}

/// A spool that pilot pressure moves: what holds it, together, is what the least pilot pressure
/// just overcomes.
fn piloted_spool(f: &Fields, rest: Rest) -> SpoolMake {
    let area = f.quantity("pilot_area");
    let hold_n = f.quantity("pilot_pressure") * area;
    let excess_n = (SHIFT_AT_PA * area - hold_n).max(0.2 * hold_n);
    let travel = if rest == Rest::Detented { 2.0 } else { 1.0 };
    let (friction, preload, rate, detent) = match rest {
        // The last tenth is the band in which friction gives way.
        Rest::Detented => (0.3, 0.0, 0.0, 0.67),
        Rest::Offset | Rest::Centred => (0.2, 0.7, 0.08, 0.0),
    };
    SpoolMake {
        rest,
        stroke_m: PILOTED_STROKE_M / travel,
        preload_n: preload * hold_n,
        rate_n: rate * hold_n,
        detent_n: detent * hold_n,
        friction_n: friction * hold_n,
        viscous: 0.6 * excess_n * f.quantity("shift_time") / PILOTED_STROKE_M,
        hand_n: 3.0 * hold_n,
        stuck: false,
    }
}

/// Builds what moves the spool, and the spool.
fn build_spool(a: &mut Assembly, f: &Fields, rest: Rest, start: f64) -> SpoolId {
    let sides: &[(&str, &str, f64)] =
        if two_sided(f) { &[("a", "14", 1.0), ("b", "12", -1.0)] } else { &[("a", "14", 1.0)] };
    let operated = f.choice("operated");
    let kind = if operated == "solenoid" { &DIRECT_COIL } else { &PILOT_COIL };
    let coil = coil(f, kind);
    let mut windings = Vec::new();
    if operated_by_coils(f) {
        for (side, ..) in sides {
            let first = a.plan.terminal(&format!("{side}1"));
            let second = a.plan.terminal(&format!("{side}2"));
            windings.push(add_coil(a, &format!("coil {side}"), &coil, first, second));
        }
        plate_of(a, &coil);
    }
    let pick_up = f.optional("pick_up").unwrap_or(0.6);
    let drop_out = f.optional("drop_out").unwrap_or(if coil.supply.is_dc() { 0.2 } else { 0.45 });
    if operated == "solenoid" {
        let make = solenoid_spool(&coil, rest, pick_up, drop_out, f.quantity("shift_time"));
        return a.plan.spool(make, windings.first().copied(), windings.get(1).copied(), start);
    }
    let make = piloted_spool(f, rest);
    let spool = a.plan.spool(make, None, None, start);
    let area = f.quantity("pilot_area");
    if operated == "air" {
        for (_, port, towards) in sides {
            let volume = a.volume(f.tag(), port);
            a.plan.port(port, volume);
            a.plan.press(spool, volume, towards * area);
        }
        return spool;
    }
    let supply = a.volume(f.tag(), "1");
    let room = a.room();
    for ((side, port, towards), winding) in sides.iter().zip(windings) {
        let make = solenoid_spool(&coil, Rest::Offset, pick_up, drop_out, PILOT_SHIFT_S);
        let pilot = a.plan.pilot_spool(&format!("pilot {side}"), side, make, winding);
        let chamber = a.plan.volume(&format!("{}:{port}", f.tag()), air(PILOT_M3), None);
        let path = SonicPath { conductance: f.quantity("pilot_conductance"), critical_ratio: 0.3 };
        let law = |at: [f64; 3]| {
            FlowLaw::SonicSpool(path, Opening { at, closed_crossover: 0.1, two_ended: false })
        };
        let (filled, vented) = ([0.0, 0.0, 1.0], [0.0, 1.0, 0.0]);
        a.plan.spool_flow(&format!("1-{port}"), pilot, supply, chamber, law(filled), 0.0);
        a.plan.spool_flow(&format!("{port}-air"), pilot, chamber, room, law(vented), 0.0);
        a.plan.press(spool, chamber, towards * area);
    }
    a.plan.nameplate(
        "least pilot pressure",
        &format!("{:.1} bar", f.quantity("pilot_pressure") / 1e5),
    );
    spool
}

fn build_valve(a: &mut Assembly, f: &Fields) {
    let rest = match f.choice("rest").as_str() {
        "spring centred" => Rest::Centred,
        "detented" => Rest::Detented,
        _ => Rest::Offset,
    };
    let start = match (rest, f.choice("start").as_str()) {
        (Rest::Detented, "a") => 1.0,
        (Rest::Detented, _) => -1.0,
        _ => 0.0,
    };
    let spool = build_spool(a, f, rest, start);
    let volumes: Vec<(String, VolumeId)> = ports(f)
        .into_iter()
        .map(|p| {
            let v = if super::opens_to_air(a.class(), &p) {
                a.open_volume(f.tag(), &p)
            } else {
                a.volume(f.tag(), &p)
            };
            a.plan.port(&p, v);
            (p, v)
        })
        .collect();
    let find = |name: &str| volumes.iter().find(|(p, _)| p == name).map(|(_, v)| *v);
    let path = path(f, "conductance");
    let boxes = boxes(f, &f.text("centre_joins"));
    for pair in pairs_of(&boxes) {
        let (Some(from), Some(to)) = (find(&pair.0), find(&pair.1)) else {
            a.unknown_port(f, &pair);
            continue;
        };
        let opening = Opening {
            at: open_at(&boxes, &pair),
            closed_crossover: f.quantity("crossover"),
            two_ended: rest == Rest::Detented,
        };
        let role = format!("{}-{}", pair.0, pair.1);
        a.plan.spool_flow(&role, spool, from, to, FlowLaw::SonicSpool(path, opening), 0.0);
    }
    plate_conductance(a, path);
    a.plan.nameplate("rest", &f.choice("rest"));
}

const VALVE_FIELDS: [FieldSpec; COIL_COUNT + 16] = {
    let mut list = [COIL_FIELDS[0]; COIL_COUNT + 16];
    let mut k = 0;
    while k < COIL_FIELDS.len() {
        list[k] = COIL_FIELDS[k];
        k += 1;
    }
    list[COIL_COUNT] = field(
        "operated",
        Choice(&["solenoid", "solenoid pilot", "air"]),
        Some("solenoid pilot"),
        "By the solenoids themselves, by pilots that they open from port 1, or by air at 14 and 12",
    );
    list[COIL_COUNT + 1] =
        field("ports", Text, Some("1 2 3 4 5"), "Ports, separated by blanks (ISO 11727)");
    list[COIL_COUNT + 2] = field(
        "rest",
        Choice(&["spring offset", "spring centred", "detented"]),
        Some("spring offset"),
        "What the spool does when nothing drives it; a detented one remembers",
    );
    list[COIL_COUNT + 3] = field(
        "a",
        Text,
        Some("1-4 2-3"),
        "Joined ports when solenoid a, or pilot 14, has shifted the spool",
    );
    list[COIL_COUNT + 4] = field(
        "b",
        Text,
        Some("1-2 4-5"),
        "Joined ports when solenoid b, or pilot 12, has shifted the spool",
    );
    list[COIL_COUNT + 5] = field(
        "rest_joins",
        Text,
        Some("1-2 4-5"),
        "Joined ports at rest of a spring-offset valve; \"\" when all are blocked",
    );
    list[COIL_COUNT + 6] = field(
        "centre_joins",
        Text,
        Some(""),
        "Joined ports in the centre of a spring-centred valve; all blocked if not written",
    );
    list[COIL_COUNT + 7] =
        conductance("2 dm3/(s bar)", "Sonic conductance C of each path (ISO 6358)");
    list[COIL_COUNT + 8] = RATIO;
    list[COIL_COUNT + 9] = field(
        "shift_time",
        Quantity(Dimension::Time, "2 ms", "2 s"),
        Some("20 ms"),
        "Shifting time at rated voltage, with 6 bar on the pilot, about",
    );
    list[COIL_COUNT + 10] = field(
        "crossover",
        Quantity(Dimension::Ratio, "-50 %", "50 %"),
        Some("10 %"),
        "Part of the way between positions over which all paths are shut; negative for open crossover",
    );
    list[COIL_COUNT + 11] = field(
        "pilot_pressure",
        Quantity(Dimension::Pressure, "0.2 bar", "6 bar"),
        Some("2.5 bar"),
        "Least pilot pressure that shifts the spool",
    );
    list[COIL_COUNT + 12] = field(
        "pilot_area",
        Quantity(Dimension::Area, "1 mm2", "2000 mm2"),
        Some("100 mm2"),
        "Area on which the pilot pressure acts",
    );
    list[COIL_COUNT + 13] = field(
        "pilot_conductance",
        SONIC,
        Some("0.1 dm3/(s bar)"),
        "Sonic conductance of the pilots",
    );
    list[COIL_COUNT + 14] =
        field("start", Choice(&["a", "b"]), Some("b"), "Position in which a detented valve starts");
    list[COIL_COUNT + 15] = super::valve::POWER_LOSS;
    list
};

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
        name: "AirValve",
        side: Side::Air,
        summary: "Directional air valve, 3/2, 5/2 or 5/3; solenoid a is 14, solenoid b is 12",
        terminals: "a1 and a2 of solenoid a; b1 and b2 of solenoid b unless spring offset; none when air operated",
        ports: "as authored; 1 2 3 4 5 by default (3 and 5 open to the air unless joined), 14 and 12 when air operated",
        laws: "sonic paths opened by the spool; the spool by the pull of its coils, or by pilot pressure on its ends that a pilot spool lets in from 1, against spring, detent, friction and hand",
        fields: &VALVE_FIELDS,
        rank: 3,
        port_list: valve_ports,
        terminal_list: valve_terminals,
        build: build_valve,
    },
    ClassSpec {
        name: "AirCylinder",
        side: Side::Air,
        summary: "Air cylinder with its load, double acting or with a return spring",
        terminals: "none",
        ports: "A cap side (extends), B rod side (retracts; open to the air when a spring returns it and nothing is joined)",
        laws: "massless piston: speed follows the force balance over Coulomb and viscous friction; stiff end stops; seal leakage",
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
