//! Compressed air: directional valves, worked by coils, by pilots or by air.
//!
//! The figures are usual sizes (common practice, no source).

use crate::base::SpoolId;
use crate::fluid::{FlowLaw, Opening, SonicPath};
use crate::quantity::Dimension;
use crate::shift::{Rest, SpoolMake};

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::air::{RATIO, SONIC, air, conductance, path, plate_conductance};
use super::coil::{COIL_FIELDS, CoilKind, add_sides, coil, pulls};
use super::valve::{PICK_UP, add_paths, boxes, join_ports, ports, rest_of, solenoid_spool};
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, words};

use FieldKind::{Choice, Quantity, Text};

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
        homeward: 1.0,
        hand_n: 3.0 * hold_n,
        stuck: false,
    }
}

/// Sides of a valve: solenoid, pilot port, and the way they push.
const SIDES: [(&str, &str, f64); 2] = [("a", "14", 1.0), ("b", "12", -1.0)];

/// Builds what moves the spool, and the spool.
fn build_spool(a: &mut Assembly, f: &Fields, rest: Rest, start: f64) -> SpoolId {
    let sides = if two_sided(f) { &SIDES[..] } else { &SIDES[..1] };
    let operated = f.choice("operated");
    let kind = if operated == "solenoid" { &DIRECT_COIL } else { &PILOT_COIL };
    let coil = coil(f, kind);
    let windings = if operated_by_coils(f) {
        add_sides(a, &coil, &["a", "b"][..sides.len()])
    } else {
        Vec::new()
    };
    let pulls = pulls(f, &coil, PICK_UP);
    if operated == "solenoid" {
        let make = solenoid_spool(&coil, rest, pulls, f.quantity("shift_time"));
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
        let make = solenoid_spool(&coil, Rest::Offset, pulls, PILOT_SHIFT_S);
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
    let rest = rest_of(f);
    let start = match (rest, f.choice("start").as_str()) {
        (Rest::Detented, "a") => 1.0,
        (Rest::Detented, _) => -1.0,
        _ => 0.0,
    };
    let spool = build_spool(a, f, rest, start);
    let volumes = join_ports(a, f, ports(f));
    let path = path(f, "conductance");
    let law = |opening| FlowLaw::SonicSpool(path, opening);
    add_paths(a, f, spool, &volumes, &boxes(f, &f.text("centre_joins")), (law, 0.0));
    plate_conductance(a, path);
    a.plan.nameplate("rest", &f.choice("rest"));
}

const VALVE_FIELDS: [FieldSpec; COIL_FIELDS.len() + 16] = {
    let mut list = [COIL_FIELDS[0]; COIL_FIELDS.len() + 16];
    let mut k = 0;
    while k < COIL_FIELDS.len() {
        list[k] = COIL_FIELDS[k];
        k += 1;
    }
    list[COIL_FIELDS.len()] = field(
        "operated",
        Choice(&["solenoid", "solenoid pilot", "air"]),
        Some("solenoid pilot"),
        "By the solenoids themselves, by pilots that they open from port 1, or by air at 14 and 12",
    );
    list[COIL_FIELDS.len() + 1] =
        field("ports", Text, Some("1 2 3 4 5"), "Ports, separated by blanks (ISO 11727)");
    list[COIL_FIELDS.len() + 2] = field(
        "rest",
        Choice(&["spring offset", "spring centred", "detented"]),
        Some("spring offset"),
        "What the spool does when nothing drives it; a detented one remembers",
    );
    list[COIL_FIELDS.len() + 3] = field(
        "a",
        Text,
        Some("1-4 2-3"),
        "Joined ports when solenoid a, or pilot 14, has shifted the spool",
    );
    list[COIL_FIELDS.len() + 4] = field(
        "b",
        Text,
        Some("1-2 4-5"),
        "Joined ports when solenoid b, or pilot 12, has shifted the spool",
    );
    list[COIL_FIELDS.len() + 5] = field(
        "rest_joins",
        Text,
        Some("1-2 4-5"),
        "Joined ports at rest of a spring-offset valve; \"\" when all are blocked",
    );
    list[COIL_FIELDS.len() + 6] = field(
        "centre_joins",
        Text,
        Some(""),
        "Joined ports in the centre of a spring-centred valve; all blocked if not written",
    );
    list[COIL_FIELDS.len() + 7] =
        conductance("2 dm3/(s bar)", "Sonic conductance C of each path (ISO 6358)");
    list[COIL_FIELDS.len() + 8] = RATIO;
    list[COIL_FIELDS.len() + 9] = field(
        "shift_time",
        Quantity(Dimension::Time, "2 ms", "2 s"),
        Some("20 ms"),
        "Shifting time at rated voltage, with 6 bar on the pilot, about",
    );
    list[COIL_FIELDS.len() + 10] = field(
        "crossover",
        Quantity(Dimension::Ratio, "-50 %", "50 %"),
        Some("10 %"),
        "Part of the way between positions over which all paths are shut; negative for open crossover",
    );
    list[COIL_FIELDS.len() + 11] = field(
        "pilot_pressure",
        Quantity(Dimension::Pressure, "0.2 bar", "6 bar"),
        Some("2.5 bar"),
        "Least pilot pressure that shifts the spool",
    );
    list[COIL_FIELDS.len() + 12] = field(
        "pilot_area",
        Quantity(Dimension::Area, "1 mm2", "2000 mm2"),
        Some("100 mm2"),
        "Area on which the pilot pressure acts",
    );
    list[COIL_FIELDS.len() + 13] = field(
        "pilot_conductance",
        SONIC,
        Some("0.1 dm3/(s bar)"),
        "Sonic conductance of the pilots",
    );
    list[COIL_FIELDS.len() + 14] =
        field("start", Choice(&["a", "b"]), Some("b"), "Position in which a detented valve starts");
    list[COIL_FIELDS.len() + 15] = super::valve::POWER_LOSS;
    list
};

/// The directional air valve.
pub(super) const CLASSES: &[ClassSpec] = &[ClassSpec {
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
}];
