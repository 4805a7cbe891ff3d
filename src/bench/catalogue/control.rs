//! The control side: supplies, contacts and what moves them, relays, lamps.

use crate::electric::tables;
use crate::plant::{BranchMake, BranchRole, Current, Delay, FuseMake, PlanBuilder, Tie, Trigger};
use crate::quantity::{Dimension, SupplyKind};

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::coil::{COIL_FIELDS, RELAY_COIL, add_coil, coil, plate_of, pulls, with_coil};
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, nothing, words};

use FieldKind::{Choice, Contacts, Flag, Part, Quantity};

/// Resistance of a sound closed contact [ohm].
const CONTACT_OHM: f64 = 0.02;

pub(super) const CONTACTS: FieldSpec = field(
    "contacts",
    Contacts,
    Some("13-14"),
    "Markings by IEC 60947-5-1: second digits 1-2 are normally closed, 3-4 normally open",
);

/// Both terminals of each marking such as `13-14`.
pub(super) fn contact_terminals(f: &Fields) -> Vec<String> {
    f.contacts("contacts")
        .iter()
        .flat_map(|m| m.split('-').map(str::to_owned).collect::<Vec<_>>())
        .collect()
}

pub(super) fn add_contacts(a: &mut Assembly, f: &Fields, operator: crate::base::OperatorId) {
    for marking in f.contacts("contacts") {
        let mut ends = marking.split('-');
        let (Some(first), Some(second)) = (ends.next(), ends.next()) else { continue };
        let (from, to) = (a.plan.terminal(first), a.plan.terminal(second));
        let normally_closed = first.ends_with('1');
        a.plan.contact(&marking, operator, normally_closed, from, to, CONTACT_OHM);
    }
}

fn hand_part(a: &mut Assembly, f: &Fields, role: &str, initially: bool) {
    let operator = a.plan.operator(role, Tie::Hand, Trigger::Hand, initially);
    a.operator(f.tag(), operator);
    add_contacts(a, f, operator);
}

fn build_isolator(a: &mut Assembly, f: &Fields) {
    hand_part(a, f, "handle", true);
}

fn build_button(a: &mut Assembly, f: &Fields) {
    hand_part(a, f, "head", false);
}

fn build_stop(a: &mut Assembly, f: &Fields) {
    hand_part(a, f, "head", false);
    if f.flag("direct_opening")
        && let Some(operator) = a.operator_of(f.tag())
    {
        a.plan.open_directly(operator);
    }
}

fn build_supply(a: &mut Assembly, f: &Fields, plus: &str, minus: &str) {
    let supply = f.supply("voltage");
    let (p, m) = (a.plan.terminal(plus), a.plan.terminal(minus));
    let behind = f.part("behind").and_then(|tag| a.operator_of(&tag));
    let current = match supply.kind {
        SupplyKind::Dc => Current::Dc,
        SupplyKind::Ac { hertz } => Current::Ac { omega: 2.0 * std::f64::consts::PI * hertz },
    };
    a.plan.supply(current, p, m, supply.volts, f.quantity("internal"), behind);
    if f.flag("earthed") {
        a.plan.branch("bond", BranchRole::Resistor, m, PlanBuilder::EARTH, BranchMake::ohm(0.01));
    }
    a.plan.nameplate("voltage", &supply.to_string());
    a.supply(f, supply, p, m);
}

/// Writes what the voltage may be on the plate of a supply.
fn limits_plate(a: &mut Assembly, f: &Fields, (low, high): (f64, f64)) {
    let volts = f.supply("voltage").volts;
    let text = format!("{:.1} to {:.1} V", low * volts, high * volts);
    a.plan.nameplate("voltage limits", &text);
}

fn build_dc(a: &mut Assembly, f: &Fields) {
    build_supply(a, f, "+", "-");
    let limits = match f.choice("source").as_str() {
        "battery" => tables::BATTERY_LIMITS,
        _ => tables::CONVERTER_LIMITS,
    };
    limits_plate(a, f, limits);
}

fn build_ac(a: &mut Assembly, f: &Fields) {
    build_supply(a, f, "L", "N");
    let (volts, (low, high)) = tables::ALTERNATING_LIMITS;
    limits_plate(a, f, volts);
    if let SupplyKind::Ac { hertz } = f.supply("voltage").kind {
        let text = format!("{:.1} to {:.1} Hz", low * hertz, high * hertz);
        a.plan.nameplate("frequency limits", &text);
    }
}

fn build_fuse(a: &mut Assembly, f: &Fields) {
    let (first, second) = (a.plan.terminal("1"), a.plan.terminal("2"));
    let rated_a = f.quantity("rating");
    // A quick-acting link melts at ten times its rated current in about 5 ms.
    let melting_a2s = f.optional("melting").unwrap_or(0.5 * rated_a * rated_a);
    let ohm = 0.1 / rated_a;
    a.plan.fuse(first, second, FuseMake::link(rated_a, melting_a2s), ohm);
    a.plan.nameplate("rating", &format!("{rated_a} A"));
}

fn build_relay(a: &mut Assembly, f: &Fields) {
    let (a1, a2) = (a.plan.terminal("A1"), a.plan.terminal("A2"));
    let coil = coil(f, &RELAY_COIL);
    let winding = add_coil(a, "coil", &coil, a1, a2);
    let (pick_up, drop_out) = pulls(f, &coil, 0.65);
    let (operate, release) = (f.time("operate"), f.time("release"));
    let delay = match f.choice("function").as_str() {
        "on delay" => Delay::On(f.time("delay")),
        "off delay" => Delay::Off(f.time("delay")),
        "flashing" => Delay::Flash(f.time("delay")),
        _ => Delay::None,
    };
    let trigger = Trigger::Armature {
        pick_a: pick_up * coil.open_a,
        drop_a: drop_out * coil.seated_a,
        operate,
        release,
        delay,
    };
    let operator = a.plan.relay("armature", winding, trigger);
    a.operator(f.tag(), operator);
    plate_of(a, &coil);
    add_contacts(a, f, operator);
}

fn relay_terminals(f: &Fields) -> Vec<String> {
    let mut list = words(&["A1", "A2"]);
    list.extend(contact_terminals(f));
    list
}

fn build_lamp(a: &mut Assembly, f: &Fields) {
    let (x1, x2) = (a.plan.terminal("X1"), a.plan.terminal("X2"));
    let supply = f.supply("voltage");
    let ohm = supply.volts * supply.volts / f.quantity("power");
    a.plan.lamp(x1, x2, supply.volts, ohm);
    a.plan.nameplate("lamp", &supply.to_string());
    a.load_voltage(f, supply, x1);
}

fn build_limit(a: &mut Assembly, f: &Fields) {
    let Some(piston) = f.part("on").and_then(|tag| a.piston_of(&tag)) else { return };
    let trigger = Trigger::Cam {
        from_m: f.quantity("from"),
        to_m: f.quantity("to"),
        differential_m: f.quantity("differential"),
    };
    let start = a.plan.plan().pistons[piston.index()].initially_m;
    let initially = start >= f.quantity("from") && start <= f.quantity("to");
    let operator = a.plan.operator("cam", Tie::Piston(piston), trigger, initially);
    a.operator(f.tag(), operator);
    let (from, to) = (f.quantity("from") * 1e3, f.quantity("to") * 1e3);
    a.plan.nameplate("acts", &format!("from {from:.0} mm to {to:.0} mm"));
    add_contacts(a, f, operator);
}

fn build_pressure_switch(a: &mut Assembly, f: &Fields) {
    let volume = a.volume(f.tag(), "P");
    let rise_pa = f.quantity("rise");
    let fall_pa = f.optional("fall").unwrap_or(0.8 * rise_pa);
    a.plan.port("P", volume);
    let operator = a.plan.operator(
        "bellows",
        Tie::Volume(volume),
        Trigger::Pressure { rise_pa, fall_pa },
        false,
    );
    a.operator(f.tag(), operator);
    add_contacts(a, f, operator);
    let decimals = usize::from(rise_pa < 10e5);
    a.plan.nameplate("acts at", &format!("{:.decimals$} bar rising", rise_pa / 1e5));
}

const RELAY: [FieldSpec; 5] = [
    CONTACTS,
    field(
        "operate",
        Quantity(Dimension::Time, "1 ms", "200 ms"),
        Some("10 ms"),
        "From pick-up current to the last contact made",
    ),
    field(
        "release",
        Quantity(Dimension::Time, "1 ms", "200 ms"),
        Some("6 ms"),
        "From drop-out current to the last contact back",
    ),
    field(
        "function",
        Choice(&["instantaneous", "on delay", "off delay", "flashing"]),
        Some("instantaneous"),
        "Timer function of the contacts",
    ),
    field(
        "delay",
        Quantity(Dimension::Time, "10 ms", "1 h"),
        Some("1 s"),
        "Set time of a timer function; of a flasher each of its two times",
    ),
];

static RELAY_FIELDS: [FieldSpec; COIL_FIELDS.len() + RELAY.len()] = with_coil(&RELAY);

const SUPPLY_FIELDS: [FieldSpec; 5] = [
    field("voltage", FieldKind::Supply, None, "Nominal voltage and kind of current"),
    field(
        "internal",
        Quantity(Dimension::Resistance, "0.001 ohm", "50 ohm"),
        Some("0.2 ohm"),
        "Internal resistance",
    ),
    field(
        "behind",
        Part(&["Isolator"]),
        Some(""),
        "Isolator that feeds it; without one it is always live",
    ),
    field("earthed", Flag, Some("true"), "Minus or neutral bonded to protective earth"),
    field(
        "source",
        Choice(&["converter", "battery"]),
        Some("converter"),
        "Where direct current comes from: what the voltage may be is on its nameplate (IEC 60204-1)",
    ),
];

/// Classes of the control side.
pub(super) const CLASSES: &[ClassSpec] = &[
    ClassSpec {
        name: "Isolator",
        side: Side::Control,
        summary: "Main switch with a lockable handle, closed at the start",
        terminals: "those of its contacts, if any",
        ports: "none",
        laws: "contact with break before make",
        fields: &[field("contacts", Contacts, Some(""), "Auxiliary contacts, if any")],
        rank: 0,
        port_list: nothing,
        terminal_list: contact_terminals,
        build: build_isolator,
    },
    ClassSpec {
        name: "DcSupply",
        side: Side::Control,
        summary: "Direct-current supply",
        terminals: "+ and -",
        ports: "none",
        laws: "voltage behind a resistance",
        fields: &SUPPLY_FIELDS,
        rank: 1,
        port_list: nothing,
        terminal_list: |_| words(&["+", "-"]),
        build: build_dc,
    },
    ClassSpec {
        name: "AcSupply",
        side: Side::Control,
        summary: "Alternating-current supply",
        terminals: "L and N",
        ports: "none",
        laws: "phasor voltage behind a resistance",
        fields: SUPPLY_FIELDS.split_at(4).0,
        rank: 1,
        port_list: nothing,
        terminal_list: |_| words(&["L", "N"]),
        build: build_ac,
    },
    ClassSpec {
        name: "Fuse",
        side: Side::Control,
        summary: "Fuse link",
        terminals: "1 and 2",
        ports: "none",
        laws: "heat of the current squared, less what the link sheds; carries 1.5 times its rating for ever",
        fields: &[
            field("rating", Quantity(Dimension::Current, "0.05 A", "63 A"), None, "Rated current"),
            field(
                "melting",
                Quantity(Dimension::MeltingIntegral, "0.001 A2s", "10000 A2s"),
                Some(""),
                "Melting integral; without it half the square of the rating, in A2s",
            ),
        ],
        rank: 2,
        port_list: nothing,
        terminal_list: |_| words(&["1", "2"]),
        build: build_fuse,
    },
    ClassSpec {
        name: "PushButton",
        side: Side::Control,
        summary: "Push-button, returns by itself",
        terminals: "those of its contacts",
        ports: "none",
        laws: "contact with break before make",
        fields: &[CONTACTS],
        rank: 0,
        port_list: nothing,
        terminal_list: contact_terminals,
        build: build_button,
    },
    ClassSpec {
        name: "EmergencyStop",
        side: Side::Control,
        summary: "Mushroom button that latches when pressed and is released by turning",
        terminals: "those of its contacts",
        ports: "none",
        laws: "contact with break before make; with direct opening a welded contact is forced apart",
        fields: &[
            field("contacts", Contacts, Some("11-12"), CONTACTS.about),
            field(
                "direct_opening",
                Flag,
                Some("true"),
                "Its normally closed contacts are forced apart even when welded",
            ),
        ],
        rank: 0,
        port_list: nothing,
        terminal_list: contact_terminals,
        build: build_stop,
    },
    ClassSpec {
        name: "Selector",
        side: Side::Control,
        summary: "Two-position switch that stays where it is turned",
        terminals: "those of its contacts",
        ports: "none",
        laws: "contact with break before make",
        fields: &[CONTACTS],
        rank: 0,
        port_list: nothing,
        terminal_list: contact_terminals,
        build: build_button,
    },
    ClassSpec {
        name: "Relay",
        side: Side::Control,
        summary: "Relay, contactor or time relay: a coil and the contacts its armature moves",
        terminals: "A1 and A2 of the coil, and those of its contacts",
        ports: "none",
        laws: "flux linkage of a winding whose inductance follows the armature (DC), phasor impedance (AC), copper resistance and heat; contacts break before make",
        fields: &RELAY_FIELDS,
        rank: 2,
        port_list: nothing,
        terminal_list: relay_terminals,
        build: build_relay,
    },
    ClassSpec {
        name: "Lamp",
        side: Side::Control,
        summary: "Indicator lamp",
        terminals: "X1 and X2",
        ports: "none",
        laws: "resistance; lit above 0.4 of its voltage",
        fields: &[
            field(
                "voltage",
                FieldKind::Supply,
                Some("24 V DC"),
                "Rated voltage and kind of current",
            ),
            field(
                "power",
                Quantity(Dimension::Power, "0.05 W", "60 W"),
                Some("1 W"),
                "Rated power",
            ),
        ],
        rank: 2,
        port_list: nothing,
        terminal_list: |_| words(&["X1", "X2"]),
        build: build_lamp,
    },
    ClassSpec {
        name: "LimitSwitch",
        side: Side::Control,
        summary: "Cam-operated switch on a cylinder's rod",
        terminals: "those of its contacts",
        ports: "none",
        laws: "acts between two rod positions, with differential travel",
        fields: &[
            CONTACTS,
            field(
                "on",
                Part(&["Cylinder", "AirCylinder"]),
                None,
                "Cylinder whose rod carries the cam",
            ),
            field(
                "from",
                Quantity(Dimension::Length, "-10 mm", "10 m"),
                None,
                "Start of the acting range",
            ),
            field(
                "to",
                Quantity(Dimension::Length, "-10 mm", "20 m"),
                None,
                "End of the acting range",
            ),
            field(
                "differential",
                Quantity(Dimension::Length, "0.01 mm", "50 mm"),
                Some("1 mm"),
                "Travel back before it lets go",
            ),
        ],
        rank: 5,
        port_list: nothing,
        terminal_list: contact_terminals,
        build: build_limit,
    },
    ClassSpec {
        name: "PressureSwitch",
        side: Side::Control,
        summary: "Pressure switch with hysteresis",
        terminals: "those of its contacts",
        ports: "P",
        laws: "acts at the rising, lets go at the falling pressure",
        fields: &[
            CONTACTS,
            field(
                "rise",
                Quantity(Dimension::Pressure, "0.1 bar", "700 bar"),
                None,
                "Acts at this pressure",
            ),
            field(
                "fall",
                Quantity(Dimension::Pressure, "0.05 bar", "690 bar"),
                Some(""),
                "Lets go at this pressure; without it 0.8 of the rising one",
            ),
        ],
        rank: 5,
        port_list: |_| words(&["P"]),
        terminal_list: contact_terminals,
        build: build_pressure_switch,
    },
];
