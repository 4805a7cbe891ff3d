//! The seam, in two stages: valves whose solenoids only let pressure do the work. Pilot-operated
//! spool valves, and poppet valves with and without pilot assist. The figures are usual sizes
//! (common practice, no source).

use crate::fluid::{FlowLaw, Gate, Opening, Volume};
use crate::plant::{Drive, SleevePlan};
use crate::quantity::Dimension;
use crate::shift::{Rest, SpoolMake};

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::coil::{COIL_FIELDS, CoilKind, add_sides, coil, pulls, with_coil};
use super::power::{PRESSURE, rated};
use super::pressure::{opens, press, sluggish};
use super::sheet;
use super::valve::{
    FLOW_FORCE, PICK_UP, SOLENOID, add_paths, boxes, centre_of, flow_area, flow_force, join_ports,
    named, path_drop, path_flow, ports, rest_of, solenoid_spool, terminals,
};
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, words};

use FieldKind::{Choice, Flag, Quantity, Text};

/// Shifting time of a pilot [s].
const PILOT_SHIFT_S: f64 = 20e-3;
/// Travel of a main spool from one position to the next [m].
const MAIN_STROKE_M: f64 = 4e-3;
/// Space at either end of a main spool, besides what the spool sweeps [m3].
const END_M3: f64 = 2e-6;
/// Pilot pressure for which the authored shifting time holds [Pa].
const SHIFT_AT_PA: f64 = 50e5;
/// What the least pilot pressure overcomes at the end of the travel: friction, spring at rest, and
/// its growth, as shares. The last tenth is the band in which friction gives way, and a margin.
const SHARES: (f64, f64, f64) = (0.12, 0.55, 0.31);

/// A spool that pilot pressure centres has no spring: at the least pilot pressure its friction begins to give way,
/// a tenth below its value.
const FRICTION_ALONE: f64 = 1.0 / 0.9;
/// Area of its pin at end a, as a share of that at end b [1]; the sleeve around the pin has all of it.
const PIN: f64 = 0.5;

/// Whether pilot pressure on both ends centres the main spool.
fn by_pressure(f: &Fields) -> bool {
    f.choice("rest") == "pressure centred"
}

fn pilot_ports(f: &Fields) -> Vec<String> {
    let mut list = ports(f);
    if f.choice("pilot") == "external" {
        list.push("X".to_owned());
    }
    if f.choice("drain") == "external" {
        list.push("Y".to_owned());
    }
    list
}

/// The main spool: what holds it is what the least pilot pressure just overcomes.
fn main_spool(f: &Fields, rest: Rest) -> SpoolMake {
    let area = f.quantity("pilot_area");
    let (least_n, (friction, preload, rate)) = match by_pressure(f) {
        true => (f.quantity("pilot_pressure") * PIN * area, (FRICTION_ALONE, 0.0, 0.0)),
        false => (f.quantity("pilot_pressure") * area, SHARES),
    };
    SpoolMake {
        rest,
        stroke_m: MAIN_STROKE_M,
        preload_n: preload * least_n,
        rate_n: rate * least_n,
        detent_n: 0.0,
        friction_n: friction * least_n,
        // The pilot's oil sets the pace, not this.
        viscous: 0.1 * least_n * f.quantity("shift_time") / MAIN_STROKE_M,
        homeward: 1.0,
        hand_n: 0.0,
        stuck: false,
    }
}

fn build_two_stage(a: &mut Assembly, f: &Fields) {
    let rest = rest_of(f);
    let coil = coil(f, &SOLENOID);
    let sides: &[&str] = if rest == Rest::Offset { &["a"] } else { &["a", "b"] };
    let windings = add_sides(a, &coil, sides);
    let make = solenoid_spool(&coil, rest, pulls(f, &coil, PICK_UP), PILOT_SHIFT_S);
    // Overrides and plugs are those of the pilot: it is found first.
    let pilot = a.plan.spool(make, windings.first().copied(), windings.get(1).copied(), 0.0);
    let mut volumes = join_ports(a, f, pilot_ports(f));
    let (Some(supply), Some(tank)) = (named(&volumes, "P"), named(&volumes, "T")) else {
        a.unknown_port(f, &("P".to_owned(), "T".to_owned()));
        return;
    };
    let from = named(&volumes, "X").unwrap_or(supply);
    let drain = named(&volumes, "Y").unwrap_or(tank);
    let main = a.plan.spool(main_spool(f, rest), None, None, 0.0);
    a.plan.name_spool(main, "main spool");
    let area = f.quantity("pilot_area");
    let swept = area * MAIN_STROKE_M;
    // Filling one end and emptying the other share what the springs leave.
    let left = (SHIFT_AT_PA - 0.8 * f.quantity("pilot_pressure")).max(1e5);
    let gate = Gate::rated(swept / (0.8 * f.quantity("shift_time")), 0.5 * left);
    for (side, towards) in [("a", 1.0), ("b", -1.0)].into_iter().take(sides.len()) {
        let make = Volume { still_m3: END_M3 + swept, medium: a.oil.medium };
        let end = a.plan.volume(&format!("{}:end {side}", f.tag()), make, None);
        let own = if towards > 0.0 { [0.0, 0.0, 1.0] } else { [1.0, 0.0, 0.0] };
        let other = [own[2], own[1], own[0]];
        // Pilot pressure stands on both ends at rest, and a solenoid takes it from the end that gives way.
        let filled = if by_pressure(f) { other.map(|open| 1.0 - open) } else { own };
        let emptied = filled.map(|open| 1.0 - open);
        for (role, at, one, other) in [("X", filled, from, end), ("Y", emptied, end, drain)] {
            let opening = Opening { at, closed_crossover: 0.1, two_ended: false };
            let role = format!("pilot {role}-{side}");
            a.plan.spool_flow(&role, pilot, one, other, FlowLaw::Spool(gate, opening), 0.0);
        }
        let pin = if by_pressure(f) && towards > 0.0 { PIN } else { 1.0 };
        a.plan.press(main, end, pin * towards * area);
        a.plan.sweep(main, end, -pin * towards * swept);
        if by_pressure(f) && towards > 0.0 {
            a.plan.sleeve(main, SleevePlan { volume: end, newton_per_pa: area, m3: -swept });
        }
    }
    if rest == Rest::Offset {
        // The spring's end has no pilot: it stands on the drain.
        a.plan.press(main, drain, -area);
        a.plan.sweep(main, drain, swept);
    }
    let preload = f.quantity("pilot_check");
    if preload > 0.0 {
        // A check in P behind the pilot's tap keeps at least its cracking pressure for the pilot.
        let inner = a.volume(f.tag(), "P inside");
        let law = FlowLaw::Check(Gate::rated(f.quantity("rated_flow"), 1e5), preload);
        a.plan.flow("pilot check", supply, inner, law, Drive::None);
        if let Some(port) = volumes.iter_mut().find(|(p, _)| p == "P") {
            port.1 = inner;
        }
        a.plan.nameplate("pilot-pressure check", &format!("{:.1} bar", preload / 1e5));
    }
    let gate = rated(f);
    let force = FLOW_FORCE * flow_area(gate, a.oil.density) * f.quantity("flow_force");
    let law = |opening| FlowLaw::Spool(gate, opening);
    add_paths(a, f, main, &volumes, &boxes(f, &centre_of(f)), (law, force));
    let leak = sheet::leak(a, f);
    for (marking, volume) in &volumes {
        if leak > 0.0 && ["P", "A", "B"].contains(&marking.as_str()) {
            let role = format!("leak {marking}-T");
            a.plan.flow(&role, *volume, tank, FlowLaw::Leak(leak), Drive::None);
        }
    }
    sheet::plate(a, f, leak);
    let least = f.quantity("pilot_pressure") / 1e5;
    a.plan.nameplate("least pilot pressure", &format!("{least:.1} bar"));
    let way = |what: &str| f.choice(what);
    a.plan.nameplate("pilot and drain", &format!("{} and {}", way("pilot"), way("drain")));
    a.plan.nameplate("rest", &f.choice("rest"));
}

/// Coil of a poppet valve, and of the pilot of one with assist.
const POPPET_COIL: CoilKind = CoilKind { power_w: 22.0, stroke_m: 1e-3, ..SOLENOID };
/// Share of the rated flow that the orifice and the pilot of an assisted poppet pass at the rated
/// drop [1]: the pilot must pass more.
const ASSIST: (f64, f64) = (0.01, 0.04);
/// Area under the seat of an assisted poppet, as a share of that of the chamber behind it [1].
const UNDER: f64 = 0.6;

fn build_poppet(a: &mut Assembly, f: &Fields) {
    let coil = coil(f, &POPPET_COIL);
    let windings = add_sides(a, &coil, &["a"]);
    let pulls = pulls(f, &coil, PICK_UP);
    let make = solenoid_spool(&coil, Rest::Offset, pulls, f.quantity("shift_time"));
    let spool = a.plan.spool(make, windings.first().copied(), None, 0.0);
    let (inlet, outlet) = (a.volume(f.tag(), "P"), a.volume(f.tag(), "A"));
    a.plan.port("P", inlet);
    a.plan.port("A", outlet);
    let gate = rated(f);
    let share = |part: f64| Gate { gain: part * gate.gain, ..gate };
    let seat = |gate: Gate, a: &Assembly| flow_area(gate, a.oil.density);
    if f.flag("assist") {
        let chamber = a.volume(f.tag(), "chamber");
        let tap = share(ASSIST.1);
        let area = seat(tap, a);
        a.plan.press(spool, chamber, -area);
        a.plan.press(spool, outlet, area);
        a.plan.spool_flow("pilot", spool, chamber, outlet, opens(tap), 0.0);
        let spring = f.quantity("spring");
        let poppet = a.plan.spring_spool("poppet", sluggish(spring, 0.5 * spring, 5e-3));
        press(a, poppet, inlet, UNDER);
        press(a, poppet, outlet, 1.0 - UNDER);
        press(a, poppet, chamber, -1.0);
        a.plan.spool_flow("P-A", poppet, inlet, outlet, opens(gate), 0.0);
        a.plan.flow("orifice", inlet, chamber, FlowLaw::Gate(share(ASSIST.0)), Drive::None);
    } else {
        let area = seat(gate, a);
        a.plan.press(spool, inlet, -area);
        a.plan.press(spool, outlet, area);
        a.plan.spool_flow("P-A", spool, inlet, outlet, opens(gate), 0.0);
        a.plan.nameplate("seat", &format!("{:.1} mm2", area * 1e6));
    }
}

const WAYS: FieldKind = Choice(&["internal", "external"]);

const STAGED: [FieldSpec; 22] = [
    field(
        "ports",
        Text,
        Some("P A B T"),
        "Ports of the main stage, separated by blanks (ISO 9461 markings)",
    ),
    field(
        "rest",
        Choice(&["spring offset", "spring centred", "pressure centred"]),
        Some("spring centred"),
        "What the main spool does when nothing drives it; pilot pressure on both ends can centre it instead of springs",
    ),
    field("a", Text, Some("P-A B-T"), "Joined ports when solenoid a has shifted the spool"),
    field("b", Text, Some("P-B A-T"), "Joined ports when solenoid b has shifted the spool"),
    field(
        "rest_joins",
        Text,
        Some("P-B A-T"),
        "Joined ports at rest of a spring-offset valve; \"\" when all are blocked",
    ),
    field(
        "centre",
        Choice(&["closed", "tandem", "float", "open", "regenerative"]),
        Some("closed"),
        "Centre of a spring-centred valve",
    ),
    field("centre_joins", Text, Some(""), "Joined ports in the centre, instead of a named centre"),
    path_flow("100 L/min"),
    path_drop("5 bar"),
    field(
        "shift_time",
        Quantity(Dimension::Time, "5 ms", "5 s"),
        Some("50 ms"),
        "Time of the main spool with 50 bar of pilot pressure, about",
    ),
    field(
        "crossover",
        Quantity(Dimension::Ratio, "-50 %", "50 %"),
        Some("10 %"),
        "Part of the way between positions over which all paths are shut; negative for open crossover",
    ),
    flow_force("100 %"),
    sheet::leakage("20 cm3/min"),
    sheet::LEAKAGE_PRESSURE,
    sheet::LEAKAGE_VISCOSITY,
    sheet::MAX_INLET,
    sheet::DROP_BAND,
    field("pilot", WAYS, Some("internal"), "Where the pilot gets its pressure: P, or port X"),
    field("drain", WAYS, Some("internal"), "Where the pilot drains: T, or port Y"),
    field(
        "pilot_pressure",
        Quantity(Dimension::Pressure, "0.5 bar", "50 bar"),
        Some("5 bar"),
        "Least pilot pressure over the drain that shifts the main spool all the way",
    ),
    field(
        "pilot_area",
        Quantity(Dimension::Area, "10 mm2", "10000 mm2"),
        Some("300 mm2"),
        "Area of the main spool's ends",
    ),
    field(
        "pilot_check",
        Quantity(Dimension::Pressure, "0 bar", "20 bar"),
        Some("0 bar"),
        "Cracking pressure of a check in P behind the pilot's tap; 0 without one",
    ),
];

const POPPET: [FieldSpec; 5] = [
    field(
        "rated_flow",
        Quantity(Dimension::VolumeFlow, "0.1 L/min", "2000 L/min"),
        Some("20 L/min"),
        "Flow at the rated drop",
    ),
    field(
        "rated_drop",
        Quantity(Dimension::Pressure, "0.05 bar", "100 bar"),
        Some("4 bar"),
        "Pressure drop at the rated flow",
    ),
    field(
        "shift_time",
        Quantity(Dimension::Time, "2 ms", "2 s"),
        Some("25 ms"),
        "Time to lift at rated voltage without pressure, about",
    ),
    field(
        "assist",
        Flag,
        Some("true"),
        "The solenoid opens a pilot and the pressure lifts the poppet; else it lifts it itself",
    ),
    field(
        "spring",
        Quantity(Dimension::Pressure, PRESSURE.0, "20 bar"),
        Some("0.5 bar"),
        "Pressure that the spring of an assisted poppet holds against",
    ),
];

static STAGED_FIELDS: [FieldSpec; COIL_FIELDS.len() + STAGED.len()] = with_coil(&STAGED);
static POPPET_FIELDS: [FieldSpec; COIL_FIELDS.len() + POPPET.len()] = with_coil(&POPPET);

/// Classes of valves in two stages, and of poppets.
pub(super) const CLASSES: &[ClassSpec] = &[
    ClassSpec {
        name: "TwoStageValve",
        side: Side::Seam,
        summary: "Pilot-operated directional spool valve, two or three positions",
        terminals: "a1 and a2 of solenoid a; b1 and b2 of solenoid b unless spring offset",
        ports: "as authored, P A B T by default; X with an external pilot, Y with an external drain",
        laws: "a solenoid-operated pilot fills and empties the ends of the main spool, which moves in the balance of these pressures, springs, friction and flow force, and displaces pilot oil; turbulent paths opened by the spools; clearance leakage",
        fields: &STAGED_FIELDS,
        rank: 3,
        port_list: pilot_ports,
        terminal_list: terminals,
        build: build_two_stage,
    },
    ClassSpec {
        name: "PoppetValve",
        side: Side::Seam,
        summary: "Solenoid-operated 2/2 poppet valve, shut at rest and tight from P to A",
        terminals: "a1 and a2 of the solenoid",
        ports: "P, A",
        laws: "pull of the winding against spring and pressures on the seat; with assist, a main poppet in the balance of pressures that the pilot tips",
        fields: &POPPET_FIELDS,
        rank: 3,
        port_list: |_| words(&["P", "A"]),
        terminal_list: |_| words(&["a1", "a2"]),
        build: build_poppet,
    },
];
