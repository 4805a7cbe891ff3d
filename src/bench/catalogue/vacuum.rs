//! Vacuum: the ejector that draws it, the cup that holds with it, the switch that confirms it.
//!
//! The figures are usual sizes (common practice, no source). Vacuum is written as a positive difference
//! to the air outside: `"0.6 bar"` stands for -0.6 bar gauge.

use crate::fluid::{Ejector, FlowLaw, Opening, REFERENCE_DENSITY, SonicPath};
use crate::plant::{Drive, Tie, Trigger};
use crate::quantity::Dimension;

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::control::{CONTACTS, add_contacts, contact_terminals};
use super::{ClassSpec, FieldKind, Side, field, nothing, words};

use FieldKind::{Part, Quantity};

fn build_ejector(a: &mut Assembly, f: &Fields) {
    let inlet = a.volume(f.tag(), "1");
    a.plan.port("1", inlet);
    let suction = a.volume(f.tag(), "2");
    a.plan.port("2", suction);
    let room = a.room();
    let nozzle = SonicPath { conductance: f.quantity("nozzle"), critical_ratio: 0.5 };
    a.plan.flow("nozzle", inlet, room, FlowLaw::Sonic(nozzle), Drive::None);
    let make = Ejector {
        passage: f.quantity("suction") * REFERENCE_DENSITY / f.quantity("vacuum"),
        vacuum_pa: f.quantity("vacuum"),
        full_at_pa: f.quantity("full_at"),
    };
    a.plan.flow("suction", suction, room, FlowLaw::Ejector(make), Drive::Pressure(inlet));
    a.plan.nameplate(
        "suction / vacuum",
        &format!(
            "{:.0} L/min ANR, {:.2} bar below the air at {:.1} bar",
            f.quantity("suction") * 60_000.0,
            make.vacuum_pa / 1e5,
            make.full_at_pa / 1e5
        ),
    );
}

fn build_cup(a: &mut Assembly, f: &Fields) {
    let inside = a.volume(f.tag(), "1");
    a.plan.port("1", inside);
    a.plan.enlarge(inside, f.quantity("size"));
    let room = a.room();
    let diameter = f.quantity("diameter");
    let pores = SonicPath { conductance: f.quantity("pores"), critical_ratio: 0.3 };
    a.plan.flow("wall", inside, room, FlowLaw::Sonic(pores), Drive::None);
    // Off the piece the lip stands open; on it the lip is shut, 1 while the operator acts.
    let open = SonicPath { conductance: f.quantity("open"), critical_ratio: 0.3 };
    let lip = Opening { at: [0.0, 1.0, 0.0], closed_crossover: 0.1, two_ended: false };
    let operator = match f.part("on").and_then(|tag| a.piston_of(&tag)) {
        Some(piston) => {
            let from_m = f.quantity("touches");
            let stroke_m = a.plan.plan().nominal.pistons[piston.index()].stroke_m;
            let trigger = Trigger::Cam { from_m, to_m: 2.0 * stroke_m, differential_m: 0.2e-3 };
            let initially = a.plan.plan().pistons[piston.index()].initially_m >= from_m;
            a.plan.operator("piece", Tie::Piston(piston), trigger, initially)
        }
        None => a.plan.operator("piece", Tie::Hand, Trigger::Hand, false),
    };
    a.operator(f.tag(), operator);
    a.plan.flow("lip", inside, room, FlowLaw::SonicSpool(open, lip), Drive::Operator(operator));
    a.plan.nameplate("diameter", &format!("{:.0} mm", diameter * 1e3));
    let newton = std::f64::consts::PI / 4.0 * diameter * diameter * 0.6e5;
    a.plan.nameplate("holds", &format!("{newton:.0} N at 0.60 bar below the air, without reserve"));
}

fn build_switch(a: &mut Assembly, f: &Fields) {
    let volume = a.volume(f.tag(), "P");
    a.plan.port("P", volume);
    let acts = f.quantity("acts");
    let lets_go = f.optional("lets_go").unwrap_or(0.8 * acts);
    let trigger = Trigger::Pressure { rise_pa: -acts, fall_pa: -lets_go };
    let operator = a.plan.operator("bellows", Tie::Volume(volume), trigger, false);
    a.operator(f.tag(), operator);
    add_contacts(a, f, operator);
    a.plan.nameplate("acts at", &format!("{:.2} bar below the air", acts / 1e5));
}

const VACUUM: FieldKind = Quantity(Dimension::Pressure, "0.05 bar", "0.99 bar");

/// Classes of vacuum.
pub(super) const CLASSES: &[ClassSpec] = &[
    ClassSpec {
        name: "VacuumEjector",
        side: Side::Air,
        summary: "Vacuum ejector: the jet from 1 draws air from 2, and both leave together",
        terminals: "none",
        ports: "1 supply, 2 vacuum",
        laws: "sonic nozzle; suction that falls in a straight line from its greatest to none at the greatest vacuum, which goes up with the supply until full",
        fields: &[
            field(
                "nozzle",
                Quantity(Dimension::SonicConductance, "0.001 dm3/(s bar)", "50 dm3/(s bar)"),
                Some("0.2 dm3/(s bar)"),
                "Sonic conductance C of the nozzle: what the jet uses",
            ),
            field(
                "suction",
                Quantity(Dimension::StandardFlow, "0.1 L/min ANR", "5000 L/min ANR"),
                Some("60 L/min ANR"),
                "Suction without vacuum, at full supply",
            ),
            field("vacuum", VACUUM, Some("0.85 bar"), "Greatest vacuum at full supply"),
            field(
                "full_at",
                Quantity(Dimension::Pressure, "0.5 bar", "10 bar"),
                Some("4.5 bar"),
                "Supply pressure from which the jet is full",
            ),
        ],
        rank: 4,
        port_list: |_| words(&["1", "2"]),
        terminal_list: nothing,
        build: build_ejector,
    },
    ClassSpec {
        name: "SuctionCup",
        side: Side::Air,
        summary: "Suction cup: open until it sits on the piece, then leaking through the piece's pores",
        terminals: "none",
        ports: "1",
        laws: "volume of air; sonic conductance of the open lip and of the pores. The holding force is vacuum times area",
        fields: &[
            field(
                "diameter",
                Quantity(Dimension::Length, "2 mm", "500 mm"),
                Some("60 mm"),
                "Effective diameter",
            ),
            field(
                "size",
                Quantity(Dimension::Volume, "0.1 cm3", "10 L"),
                Some("10 cm3"),
                "Volume within",
            ),
            field(
                "on",
                Part(&["Cylinder", "AirCylinder"]),
                Some(""),
                "Cylinder that carries it; without one the piece is put under it by hand",
            ),
            field(
                "touches",
                Quantity(Dimension::Length, "0 mm", "5 m"),
                Some("0 mm"),
                "Position of that cylinder from which the cup sits on the piece",
            ),
            field(
                "open",
                Quantity(Dimension::SonicConductance, "0.01 dm3/(s bar)", "200 dm3/(s bar)"),
                Some("20 dm3/(s bar)"),
                "Sonic conductance past the lip while it is off the piece",
            ),
            field(
                "pores",
                Quantity(Dimension::SonicConductance, "0 dm3/(s bar)", "20 dm3/(s bar)"),
                Some("0.05 dm3/(s bar)"),
                "Sonic conductance through the pores of the piece",
            ),
        ],
        rank: 5,
        port_list: |_| words(&["1"]),
        terminal_list: nothing,
        build: build_cup,
    },
    ClassSpec {
        name: "VacuumSwitch",
        side: Side::Control,
        summary: "Vacuum switch with hysteresis",
        terminals: "those of its contacts",
        ports: "P",
        laws: "acts when the vacuum has grown to one value, lets go when it has fallen to another",
        fields: &[
            CONTACTS,
            field("acts", VACUUM, None, "Acts at this vacuum"),
            field(
                "lets_go",
                VACUUM,
                Some(""),
                "Lets go at this vacuum; without it 0.8 of the other",
            ),
        ],
        rank: 5,
        port_list: |_| words(&["P"]),
        terminal_list: contact_terminals,
        build: build_switch,
    },
];
