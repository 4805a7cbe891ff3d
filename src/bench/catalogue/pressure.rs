//! Oil valves that springs and pressures move: relief, unloading, reducing, sequence, counterbalance,
//! pilot check, flow regulator, shuttle.
//!
//! All are made of one element: a member on a spring, pressed upon by volumes and opening or shutting
//! paths. What it does when, and how steeply, follows from the balance of its forces. The figures
//! are usual sizes (common practice, no source).

use crate::base::{SpoolId, VolumeId};
use crate::fluid::{FlowLaw, Gate, Opening, Relief};
use crate::plant::Drive;
use crate::quantity::Dimension;
use crate::shift::{Rest, SpoolMake};

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::power::{FLOW, PRESSURE, RATED_DROP, RATED_FLOW, rated, two_ports};
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, nothing, words};

use FieldKind::{Choice, Flag, Quantity};

/// Area that pressures act on [m2]; only ratios of areas and springs matter.
pub(super) const SEAT_M2: f64 = 1e-4;
/// Travel of a member [m].
const STROKE_M: f64 = 2e-3;
/// Time in which a member follows a change of pressure [s].
const FOLLOWS_S: f64 = 2e-3;
/// Drop of an all open main stage at its rated flow [Pa].
const OPEN_PA: f64 = 5e5;
/// Part of the travel over which a reducing valve is shut both ways [1].
const LAP: f64 = 0.04;
/// Spring of the main stage of a pilot-operated valve, and how much its force grows over the
/// travel, as pressures on the seat [Pa].
const MAIN_PA: (f64, f64) = (4e5, 2e5);
/// What the pilot of a two-stage valve passes [m3/s] and how much its pressure rises for it [Pa].
const PILOT: (f64, f64) = (1.0 / 60_000.0, 0.5e5);
/// A free way beside a valve: its cracking pressure [Pa].
const CHECK_PA: f64 = 0.5e5;

/// A member that a pressure of `crack_pa` on its seat begins to lift, and `band_pa` more lifts all
/// the way.
fn member(crack_pa: f64, band_pa: f64) -> SpoolMake {
    sluggish(crack_pa, band_pa, FOLLOWS_S)
}

/// The same for a member that follows in `seconds` [s].
pub(super) fn sluggish(crack_pa: f64, band_pa: f64, seconds: f64) -> SpoolMake {
    let rate_n = band_pa * SEAT_M2;
    SpoolMake {
        rest: Rest::Offset,
        stroke_m: STROKE_M,
        preload_n: crack_pa * SEAT_M2,
        rate_n,
        detent_n: 0.0,
        friction_n: 0.0,
        viscous: rate_n * seconds / STROKE_M,
        homeward: 1.0,
        hand_n: 0.0,
        stuck: false,
    }
}

/// A path that is shut at rest and opens in proportion to the travel.
pub(super) fn opens(gate: Gate) -> FlowLaw {
    FlowLaw::Spool(gate, Opening { at: [0.0, 0.0, 1.0], closed_crossover: -1.0, two_ended: false })
}

/// A path that is open at rest and shuts in proportion to the travel.
fn shuts(gate: Gate) -> FlowLaw {
    FlowLaw::Spool(gate, Opening { at: [0.0, 1.0, 0.0], closed_crossover: -1.0, two_ended: false })
}

/// Lets `volume` press on `member` with `share` of the seat, towards open when positive.
pub(super) fn press(a: &mut Assembly, member: SpoolId, volume: VolumeId, share: f64) {
    a.plan.press(member, volume, share * SEAT_M2);
}

/// A third port of the part.
pub(super) fn port(a: &mut Assembly, f: &Fields, marking: &str) -> VolumeId {
    let volume = a.volume(f.tag(), marking);
    a.plan.port(marking, volume);
    volume
}

fn plate_setting(a: &mut Assembly, f: &Fields) {
    let bar = f.quantity("setting") / 1e5;
    a.plan.nameplate("setting", &format!("{bar:.1} bar"));
}

/// A free way from `from` to `to`.
fn free(a: &mut Assembly, f: &Fields, from: VolumeId, to: VolumeId) {
    a.plan.flow("check", from, to, FlowLaw::Check(rated(f), CHECK_PA), Drive::None);
}

/// What the orifice of a main stage drops at the rated flow and the setting [Pa].
fn main_drop(f: &Fields) -> f64 {
    MAIN_PA.0 + (OPEN_PA / f.quantity("setting")).sqrt().min(1.0) * MAIN_PA.1
}

/// The main stage of a two-stage valve between `inlet` and `tank`, and the chamber behind it.
fn main_stage(a: &mut Assembly, f: &Fields, inlet: VolumeId, tank: VolumeId, chamber: VolumeId) {
    let main = a.plan.spring_spool("main stage", member(MAIN_PA.0, MAIN_PA.1));
    press(a, main, inlet, 1.0);
    press(a, main, chamber, -1.0);
    let gate = Gate::rated(f.quantity("rated_flow"), OPEN_PA);
    a.plan.spool_flow("P-T", main, inlet, tank, opens(gate), 0.0);
    // At the rated flow the main stage stands where the orifice drops this much.
    let drop = main_drop(f);
    a.plan.flow("orifice", inlet, chamber, FlowLaw::Gate(Gate::rated(PILOT.0, drop)), Drive::None);
}

fn build_pilot_relief(a: &mut Assembly, f: &Fields) {
    let (inlet, tank) = two_ports(a, f, "P", "T");
    let vent = port(a, f, "X");
    let behind = f.quantity("setting") - main_drop(f);
    let crack = (behind - PILOT.1).max(0.1 * behind).max(1e4);
    let pilot = Relief::rated(crack, crack + PILOT.1, PILOT.0);
    // First, so that its screw is the one that is found.
    a.plan.flow("pilot", vent, tank, FlowLaw::Relief(pilot), Drive::None);
    main_stage(a, f, inlet, tank, vent);
    let flow = f.quantity("rated_flow") * 60_000.0;
    let setting = f.quantity("setting") / 1e5;
    a.plan.nameplate("setting", &format!("{setting:.0} bar at {flow:.0} L/min"));
}

fn build_unloading(a: &mut Assembly, f: &Fields) {
    let (inlet, tank) = two_ports(a, f, "P", "T");
    let system = port(a, f, "A");
    let chamber = a.volume(f.tag(), "chamber");
    // The pilot's plunger lies between the chamber and the system, and is larger than its seat by
    // the difference between cut-out and cut-in.
    let larger = f.quantity("setting") / f.quantity("cut_in").max(1e5) - 1.0;
    let pilot = a.plan.spring_spool("pilot", member(f.quantity("setting"), PILOT.1));
    press(a, pilot, chamber, -larger);
    press(a, pilot, system, 1.0 + larger);
    let gate = Gate::rated(4.0 * PILOT.0, 10e5);
    a.plan.spool_flow("pilot", pilot, chamber, tank, opens(gate), 0.0);
    main_stage(a, f, inlet, tank, chamber);
    free(a, f, inlet, system);
    plate_setting(a, f);
}

fn build_reducing(a: &mut Assembly, f: &Fields) {
    let (inlet, outlet) = two_ports(a, f, "P", "A");
    let tank = port(a, f, "T");
    let (setting, droop) = (f.quantity("setting"), f.quantity("droop"));
    // It is shut at the setting, and all open below it by the droop.
    let shut_at = 0.5 - 0.5 * LAP;
    let make = member((setting - droop).max(0.0), droop / shut_at);
    let spool = a.plan.spring_spool("spool", make);
    press(a, spool, outlet, 1.0);
    press(a, spool, tank, -1.0);
    let gate = rated(f);
    for (role, at, from, to) in
        [("P-A", [0.0, 1.0, 0.0], inlet, outlet), ("A-T", [0.0, 0.0, 1.0], outlet, tank)]
    {
        let opening = Opening { at, closed_crossover: LAP, two_ended: false };
        a.plan.spool_flow(role, spool, from, to, FlowLaw::Spool(gate, opening), 0.0);
    }
    plate_setting(a, f);
}

fn sequence_ports(f: &Fields) -> Vec<String> {
    let mut list = words(&["P", "A"]);
    if f.choice("pilot") == "external" {
        list.push("X".to_owned());
    }
    if f.choice("drain") == "external" {
        list.push("Y".to_owned());
    }
    list
}

fn build_sequence(a: &mut Assembly, f: &Fields) {
    let (inlet, outlet) = two_ports(a, f, "P", "A");
    let external = |what: &str| f.choice(what) == "external";
    let pilot = if external("pilot") { port(a, f, "X") } else { inlet };
    let drain = if external("drain") { port(a, f, "Y") } else { outlet };
    let spool = a.plan.spring_spool("spool", member(f.quantity("setting"), f.quantity("band")));
    press(a, spool, pilot, 1.0);
    press(a, spool, drain, -1.0);
    a.plan.spool_flow("P-A", spool, inlet, outlet, opens(rated(f)), 0.0);
    if f.flag("check") {
        free(a, f, outlet, inlet);
    }
    plate_setting(a, f);
}

fn build_counterbalance(a: &mut Assembly, f: &Fields) {
    let (valve, load) = two_ports(a, f, "A", "B");
    let pilot = port(a, f, "X");
    let ratio = f.quantity("pilot_ratio");
    let spool = a.plan.spring_spool("spool", member(f.quantity("setting"), f.quantity("band")));
    press(a, spool, load, 1.0);
    press(a, spool, pilot, ratio);
    // What stands behind it presses on the spring side of both areas.
    press(a, spool, valve, -1.0 - ratio);
    a.plan.spool_flow("B-A", spool, load, valve, opens(rated(f)), 0.0);
    free(a, f, valve, load);
    plate_setting(a, f);
    a.plan.nameplate("pilot ratio", &format!("{ratio:.1} : 1"));
}

fn build_pilot_check(a: &mut Assembly, f: &Fields) {
    let (from, to) = two_ports(a, f, "A", "B");
    let pilot = port(a, f, "X");
    let (ratio, crack) = (f.quantity("pilot_ratio"), f.quantity("cracking"));
    a.plan.flow("check", from, to, FlowLaw::Check(rated(f), crack), Drive::None);
    // The pilot's piston, with A behind it, pushes the poppet off the seat that B holds shut.
    let poppet = a.plan.spring_spool("poppet", member(crack, f.quantity("band")));
    press(a, poppet, pilot, ratio);
    press(a, poppet, from, 1.0 - ratio);
    press(a, poppet, to, -1.0);
    a.plan.spool_flow("B-A", poppet, to, from, opens(rated(f)), 0.0);
    a.plan.nameplate("pilot ratio", &format!("{ratio:.1} : 1"));
}

/// Space between the compensator and the orifice of a flow regulator [m3].
const BETWEEN_M3: f64 = 2e-5;

fn build_flow_regulator(a: &mut Assembly, f: &Fields) {
    let (inlet, outlet) = two_ports(a, f, "A", "B");
    let between = a.volume(f.tag(), "between");
    a.plan.enlarge(between, BETWEEN_M3);
    let (flow, margin) = (f.quantity("flow"), f.quantity("margin"));
    let band = 0.1 * margin;
    let compensator = a.plan.spring_spool("compensator", member(margin - 0.5 * band, band));
    press(a, compensator, between, 1.0);
    press(a, compensator, outlet, -1.0);
    // The compensator must pass the flow, and half shut it must still drop next to nothing.
    let wide = Gate::rated(4.0 * flow, 0.5 * margin);
    a.plan.spool_flow("compensator A-B", compensator, inlet, between, shuts(wide), 0.0);
    a.plan.flow("gate", between, outlet, FlowLaw::Gate(Gate::rated(flow, margin)), Drive::None);
    if f.flag("check") {
        let law = FlowLaw::Check(Gate::rated(4.0 * flow, 3e5), CHECK_PA);
        a.plan.flow("check", outlet, inlet, law, Drive::None);
    }
    a.plan.nameplate("flow", &format!("{:.2} L/min", flow * 60_000.0));
}

fn build_shuttle(a: &mut Assembly, f: &Fields) {
    let (one, other) = two_ports(a, f, "A", "B");
    let outlet = port(a, f, "C");
    // A ball without a spring: it stays where the last difference has pushed it.
    let ball = SpoolMake {
        rest: Rest::Detented,
        preload_n: 0.0,
        rate_n: 0.0,
        friction_n: 0.02e5 * SEAT_M2,
        ..member(0.0, 1e5)
    };
    let ball = a.plan.spring_spool("ball", ball);
    press(a, ball, one, 1.0);
    press(a, ball, other, -1.0);
    for (role, at, from) in [("A-C", [0.0, 0.0, 1.0], one), ("B-C", [1.0, 0.0, 0.0], other)] {
        let opening = Opening { at, closed_crossover: -0.1, two_ended: true };
        let law = FlowLaw::Spool(rated(f), opening);
        a.plan.spool_flow(role, ball, from, outlet, law, 0.0);
    }
}

const fn setting(about: &'static str) -> FieldSpec {
    field("setting", Quantity(Dimension::Pressure, PRESSURE.0, PRESSURE.1), None, about)
}

const fn band(default: &'static str) -> FieldSpec {
    field(
        "band",
        Quantity(Dimension::Pressure, "0.1 bar", "100 bar"),
        Some(default),
        "Further rise of pressure until it is all open",
    )
}

const fn ratio(default: &'static str) -> FieldSpec {
    field(
        "pilot_ratio",
        Quantity(Dimension::Ratio, "1", "20"),
        Some(default),
        "Area that the pilot pressure acts on, as a multiple of the seat",
    )
}

const fn ways(name: &'static str, about: &'static str) -> FieldSpec {
    field(name, Choice(&["internal", "external"]), Some("internal"), about)
}

const fn bypass(about: &'static str) -> FieldSpec {
    field("check", Flag, Some("true"), about)
}

const LAW: &str = "balance of spring and pressures on their areas; turbulent paths that it opens";

/// Classes of valves that pressures move.
pub(super) const CLASSES: &[ClassSpec] = &[
    ClassSpec {
        name: "PilotRelief",
        side: Side::Power,
        summary: "Pilot-operated pressure relief valve; with its vent port X joined to the tank it lets the pump circulate",
        terminals: "none",
        ports: "P, T, X vent (plugged unless joined)",
        laws: LAW,
        fields: &[setting("Pressure at the rated flow"), RATED_FLOW],
        rank: 4,
        port_list: |_| words(&["P", "T", "X"]),
        terminal_list: nothing,
        build: build_pilot_relief,
    },
    ClassSpec {
        name: "Unloading",
        side: Side::Power,
        summary: "Unloading valve for an accumulator: it lets the pump circulate between cut-out and cut-in, with a check to A",
        terminals: "none",
        ports: "P pump, T, A accumulator and system",
        laws: LAW,
        fields: &[
            setting("Pressure at A at which it lets the pump circulate: cut-out"),
            field(
                "cut_in",
                Quantity(Dimension::Pressure, PRESSURE.0, PRESSURE.1),
                None,
                "Pressure at A at which the pump feeds again",
            ),
            RATED_FLOW,
            RATED_DROP,
        ],
        rank: 4,
        port_list: |_| words(&["P", "T", "A"]),
        terminal_list: nothing,
        build: build_unloading,
    },
    ClassSpec {
        name: "Reducing",
        side: Side::Power,
        summary: "Three-way pressure reducing valve: it holds A at the setting and relieves it to T",
        terminals: "none",
        ports: "P, A reduced, T",
        laws: LAW,
        fields: &[
            setting("Pressure at A without flow"),
            field(
                "droop",
                Quantity(Dimension::Pressure, "0.1 bar", "100 bar"),
                Some("3 bar"),
                "Fall below the setting at which it is all open",
            ),
            RATED_FLOW,
            RATED_DROP,
        ],
        rank: 4,
        port_list: |_| words(&["P", "A", "T"]),
        terminal_list: nothing,
        build: build_reducing,
    },
    ClassSpec {
        name: "Sequence",
        side: Side::Power,
        summary: "Sequence valve: it opens from P to A at its setting",
        terminals: "none",
        ports: "P, A; X with an external pilot, Y with an external drain",
        laws: LAW,
        fields: &[
            setting("Pressure of the pilot over the drain at which it begins to open"),
            band("5 bar"),
            RATED_FLOW,
            RATED_DROP,
            ways("pilot", "What opens it: P, or port X"),
            ways("drain", "Where its spring side drains: to A, or to port Y"),
            bypass("A check beside it, free from A to P"),
        ],
        rank: 4,
        port_list: sequence_ports,
        terminal_list: nothing,
        build: build_sequence,
    },
    ClassSpec {
        name: "Counterbalance",
        side: Side::Power,
        summary: "Counterbalance valve: free from A to the load at B, and back only against its setting or with pilot pressure",
        terminals: "none",
        ports: "A valve side, B load, X pilot",
        laws: LAW,
        fields: &[
            setting("Pressure at B at which it begins to open without pilot pressure"),
            band("15 bar"),
            ratio("4"),
            RATED_FLOW,
            RATED_DROP,
        ],
        rank: 4,
        port_list: |_| words(&["A", "B", "X"]),
        terminal_list: nothing,
        build: build_counterbalance,
    },
    ClassSpec {
        name: "PilotCheck",
        side: Side::Power,
        summary: "Pilot-operated check valve: free from A to B, and back only with pilot pressure",
        terminals: "none",
        ports: "A, B load, X pilot",
        laws: LAW,
        fields: &[
            ratio("3"),
            field(
                "cracking",
                Quantity(Dimension::Pressure, "0.1 bar", "20 bar"),
                Some("1 bar"),
                "Cracking pressure of the free way",
            ),
            band("2 bar"),
            RATED_FLOW,
            RATED_DROP,
        ],
        rank: 4,
        port_list: |_| words(&["A", "B", "X"]),
        terminal_list: nothing,
        build: build_pilot_check,
    },
    ClassSpec {
        name: "FlowRegulator",
        side: Side::Power,
        summary: "Pressure-compensated flow control from A to B",
        terminals: "none",
        ports: "A, B",
        laws: "a compensator on a spring holds the drop over an orifice",
        fields: &[
            field(
                "flow",
                Quantity(Dimension::VolumeFlow, FLOW.0, FLOW.1),
                None,
                "Flow that it holds",
            ),
            field(
                "margin",
                Quantity(Dimension::Pressure, "1 bar", "50 bar"),
                Some("5 bar"),
                "Drop over the orifice that the compensator holds",
            ),
            bypass("A check beside it, free from B to A"),
        ],
        rank: 4,
        port_list: |_| words(&["A", "B"]),
        terminal_list: nothing,
        build: build_flow_regulator,
    },
    ClassSpec {
        name: "OilShuttle",
        side: Side::Power,
        summary: "Shuttle valve: C is joined to A or B, whichever has the higher pressure",
        terminals: "none",
        ports: "A, B, C",
        laws: "a ball that the difference of pressures moves; turbulent paths",
        fields: &[RATED_FLOW, RATED_DROP],
        rank: 4,
        port_list: |_| words(&["A", "B", "C"]),
        terminal_list: nothing,
        build: build_shuttle,
    },
];
