//! The panel: what feeds and guards a control circuit, and what counts and remembers in it.

use crate::electric::Diode;
use crate::plant::{BranchMake, BranchRole};
use crate::plant::{
    FuseMake, OVERLOAD_HOLDS, PlanBuilder, RectifierMake, STANDING, Tie, TransformerMake, Trigger,
};
use crate::quantity::{Dimension, Supply, SupplyKind};

use super::super::assembly::{Assembly, Starter};
use super::super::fields::Fields;
use super::coil::{COIL_FIELDS, RELAY_COIL, add_coil, coil, plate_of, pulls};
use super::control::{CONTACTS, add_contacts, contact_terminals};
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, nothing, words};

use FieldKind::{Choice, Contacts, Count, Flag, Quantity};

/// Resistance of a sound closed contact [ohm].
const CONTACT_OHM: f64 = 0.02;

fn build_latch(a: &mut Assembly, f: &Fields) {
    let coil = coil(f, &RELAY_COIL);
    let (a1, a2) = (a.plan.terminal("A1"), a.plan.terminal("A2"));
    let (b1, b2) = (a.plan.terminal("B1"), a.plan.terminal("B2"));
    let set = add_coil(a, "coil set", &coil, a1, a2);
    let reset = add_coil(a, "coil reset", &coil, b1, b2);
    let pick_up = f.optional("pick_up").unwrap_or(0.65) * coil.open_a;
    let trigger = Trigger::Latch { set_a: pick_up, reset_a: pick_up, operate: f.time("operate") };
    let operator = a.plan.latch("armature", set, reset, trigger);
    a.plan.name_winding(set, "set");
    a.plan.name_winding(reset, "reset");
    a.operator(f.tag(), operator);
    plate_of(a, &coil);
    add_contacts(a, f, operator);
}

fn latch_terminals(f: &Fields) -> Vec<String> {
    let mut list = words(&["A1", "A2", "B1", "B2"]);
    list.extend(contact_terminals(f));
    list
}

fn build_counter(a: &mut Assembly, f: &Fields) {
    let coil = coil(f, &RELAY_COIL);
    let (a1, a2) = (a.plan.terminal("A1"), a.plan.terminal("A2"));
    let (r1, r2) = (a.plan.terminal("R1"), a.plan.terminal("R2"));
    let trigger = |share: f64, hold: f64| Trigger::Armature {
        pick_a: share * coil.open_a,
        drop_a: hold * coil.seated_a,
        operate: f.time("operate"),
        release: f.time("operate"),
        delay: crate::plant::Delay::None,
    };
    let (pick_up, drop_out) = pulls(f, &coil, 0.65);
    let pulses = add_coil(a, "coil pulse", &coil, a1, a2);
    let resets = add_coil(a, "coil reset", &coil, r1, r2);
    let pulse = a.plan.relay("pulse armature", pulses, trigger(pick_up, drop_out));
    let reset = a.plan.relay("reset armature", resets, trigger(pick_up, drop_out));
    a.plan.name_winding(pulses, "pulse");
    a.plan.name_winding(resets, "reset");
    let preset = f.quantity("preset") as u32;
    let works =
        a.plan.operator("works", Tie::Count(pulse, reset), Trigger::Count { preset }, false);
    a.operator(f.tag(), works);
    plate_of(a, &coil);
    a.plan.nameplate("preset", &preset.to_string());
    add_contacts(a, f, works);
}

fn build_two_hand(a: &mut Assembly, f: &Fields) {
    let coil = coil(f, &RELAY_COIL);
    let trigger = Trigger::Armature {
        pick_a: f.optional("pick_up").unwrap_or(0.65) * coil.open_a,
        drop_a: f.optional("drop_out").unwrap_or(0.2) * coil.seated_a,
        operate: f.time("operate"),
        release: f.time("operate"),
        delay: crate::plant::Delay::None,
    };
    let hands = ["A", "B"].map(|letter| {
        let ends = ["1", "2"].map(|end| a.plan.terminal(&format!("{letter}{end}")));
        let winding = add_coil(a, &format!("coil {letter}"), &coil, ends[0], ends[1]);
        let armature = a.plan.relay(&format!("armature {letter}"), winding, trigger);
        a.plan.name_winding(winding, letter);
        armature
    });
    let both = Trigger::Both { within: f.time("within"), operate: f.time("operate") };
    let works = a.plan.operator("output", Tie::Both(hands[0], hands[1]), both, false);
    a.operator(f.tag(), works);
    plate_of(a, &coil);
    a.plan.nameplate("synchronous within", &format!("{:.1} s", f.quantity("within")));
    add_contacts(a, f, works);
}

fn counter_terminals(f: &Fields) -> Vec<String> {
    let mut list = words(&["A1", "A2", "R1", "R2"]);
    list.extend(contact_terminals(f));
    list
}

fn hertz_of(supply: Supply) -> f64 {
    match supply.kind {
        SupplyKind::Ac { hertz } => hertz,
        SupplyKind::Dc => 50.0,
    }
}

/// Equivalent circuit from the nameplate. The secondary has its rated voltage at rated load with
/// power factor 1 (IEC 61558-1, from memory), so it stands higher without load.
fn transformer_make(f: &Fields) -> TransformerMake {
    let (primary, secondary) = (f.supply("primary"), f.supply("secondary"));
    let (vp, vs, rating) = (primary.volts, secondary.volts, f.quantity("rating"));
    let omega = 2.0 * std::f64::consts::PI * hertz_of(primary);
    let base = vp * vp / rating;
    let z = f.quantity("impedance") * base;
    let r = f.quantity("copper") * z;
    let x = (z * z - r * r).max(0.0).sqrt();
    let load = vs * vs / rating;
    let mut n = vs / vp;
    for _ in 0..20 {
        let (along, across) = (load + n * n * r, n * n * x);
        n = vs / vp * (along * along + across * across).sqrt() / load;
    }
    let no_load_a = f.quantity("no_load") * rating / vp;
    // Power factor without load (common practice, no source).
    let (active, reactive) = (0.4 * no_load_a, (1.0 - 0.16_f64).sqrt() * no_load_a);
    TransformerMake {
        ratio: n,
        primary_ohm: 0.5 * r,
        secondary_ohm: 0.5 * r * n * n,
        leakage_henry: x / omega,
        magnetising_henry: vp / reactive / omega,
        iron_ohm: vp / active,
    }
}

fn bond(a: &mut Assembly, node: crate::base::NodeId) {
    a.plan.branch("bond", BranchRole::Resistor, node, PlanBuilder::EARTH, BranchMake::ohm(0.01));
}

fn build_transformer(a: &mut Assembly, f: &Fields) {
    let (p1, p2) = (a.plan.terminal("P1"), a.plan.terminal("P2"));
    let (s1, s2) = (a.plan.terminal("S1"), a.plan.terminal("S2"));
    a.plan.transformer(transformer_make(f), (p1, p2), (s1, s2));
    if f.flag("earthed") {
        bond(a, s2);
    }
    let (primary, secondary) = (f.supply("primary"), f.supply("secondary"));
    a.plan.nameplate("primary", &primary.to_string());
    a.plan.nameplate("secondary", &secondary.to_string());
    a.plan.nameplate("rating", &format!("{:.0} VA", f.quantity("rating")));
    a.plan.nameplate("impedance", &format!("{:.1} %", f.quantity("impedance") * 100.0));
    a.supply(f, secondary, s1, s2);
    a.load_voltage(f, primary, p1);
}

fn build_rectifier(a: &mut Assembly, f: &Fields) {
    let (one, two) = (a.plan.terminal("AC1"), a.plan.terminal("AC2"));
    let (plus, minus) = (a.plan.terminal("+"), a.plan.terminal("-"));
    let rated_a = f.quantity("rating");
    let smooth = f.choice("smoothing") == "capacitor";
    let gain = if smooth { std::f64::consts::SQRT_2 } else { MEAN_OF_BRIDGE };
    // The same curve for any size: the current density of the die is the same.
    let diode = Diode {
        saturation_a: Diode::RECTIFIER.saturation_a * rated_a,
        emission_v: Diode::RECTIFIER.emission_v,
        series_ohm: Diode::RECTIFIER.series_ohm / rated_a,
    };
    let make = RectifierMake { diode, rated_a, gain, waves: 1.0, short_ohm: f64::INFINITY };
    let output = f.supply("output");
    a.plan.rectifier(make, (one, two), plus, minus, output.volts);
    if f.flag("earthed") {
        bond(a, minus);
    }
    let input = f.supply("input");
    a.plan.nameplate("input", &input.to_string());
    a.plan.nameplate("output", &format!("{output}, {rated_a} A"));
    a.supply(f, output, plus, minus);
    a.load_voltage(f, input, one);
}

/// Mean of a rectified sine over its root-mean-square value, 2 sqrt(2) / pi.
const MEAN_OF_BRIDGE: f64 = 2.0 * std::f64::consts::SQRT_2 / std::f64::consts::PI;

/// The bimetal of a circuit breaker holds this multiple of the rated current for ever, between the
/// 1.13 that it must carry and the 1.45 that it must not (IEC 60898-1, from memory).
const BREAKER_HOLDS: f64 = 1.3;
/// Its time constant [s]: 18 s to the trip at 2.55 times the rated current, where IEC 60898-1 wants
/// 1 s to 60 s (from memory).
const BREAKER_LAG_S: f64 = 60.0;

fn build_breaker(a: &mut Assembly, f: &Fields) {
    let (first, second) = (a.plan.terminal("1"), a.plan.terminal("2"));
    let inside = a.plan.inner_node("bimetal");
    let rated_a = f.quantity("rating");
    // Middles of the bands 3 to 5, 5 to 10 and 10 to 20 times the rated current (IEC 60898-1).
    let instant = match f.choice("curve").as_str() {
        "B" => 4.0,
        "D" => 14.0,
        _ => 7.0,
    };
    let hold = BREAKER_HOLDS * rated_a;
    let make = FuseMake {
        rated_a,
        melting_a2s: BREAKER_LAG_S * hold * hold,
        holds: BREAKER_HOLDS,
        magnetic_a: instant * rated_a,
    };
    let handle = a.plan.operator("handle", Tie::Hand, Trigger::Hand, true);
    a.operator(f.tag(), handle);
    a.plan.contact("1-2", handle, false, first, inside, CONTACT_OHM);
    a.plan.release(inside, second, make, 0.1 / rated_a, handle, false);
    a.plan.nameplate("rating", &format!("{}{rated_a}", f.choice("curve")));
    add_contacts(a, f, handle);
}

fn breaker_terminals(f: &Fields) -> Vec<String> {
    let mut list = words(&["1", "2"]);
    list.extend(contact_terminals(f));
    list
}

/// Seconds to the trip at 7.2 times the setting from cold: middles of the bands of IEC 60947-4-1
/// (2 to 10, 4 to 10, 6 to 20 and 9 to 30 s; from memory).
fn trip_s(class: &str) -> f64 {
    match class {
        "10A" => 5.0,
        "20" => 12.0,
        "30" => 18.0,
        _ => 7.0,
    }
}

fn build_starter(a: &mut Assembly, f: &Fields) {
    let (a1, a2) = (a.plan.terminal("A1"), a.plan.terminal("A2"));
    let coil = coil(f, &RELAY_COIL);
    let winding = add_coil(a, "coil", &coil, a1, a2);
    let pick_up = f.optional("pick_up").unwrap_or(0.7);
    let drop_out = f.optional("drop_out").unwrap_or(if coil.supply.is_dc() { 0.25 } else { 0.5 });
    let trigger = Trigger::Armature {
        pick_a: pick_up * coil.open_a,
        drop_a: drop_out * coil.seated_a,
        operate: crate::base::SimTime::from_millis(20),
        release: crate::base::SimTime::from_millis(12),
        delay: crate::plant::Delay::None,
    };
    let contactor = a.plan.relay("armature", winding, trigger);
    a.operator(f.tag(), contactor);
    plate_of(a, &coil);
    add_contacts(a, f, contactor);
    let trips = a.plan.operator("overload trip", Tie::Hand, Trigger::Hand, false);
    for (marking, closed) in [("95-96", true), ("97-98", false)] {
        let (from, to) = (a.plan.terminal(&marking[..2]), a.plan.terminal(&marking[3..]));
        a.plan.contact(marking, trips, closed, from, to, CONTACT_OHM);
    }
    let set_a = f.quantity("setting");
    let motor_a = f.optional("motor_current").unwrap_or(set_a);
    let (class, holds) = (f.choice("trip_class"), OVERLOAD_HOLDS / 7.2);
    let lag_s = -trip_s(&class) / crate::base::ops::ln(1.0 - holds * holds);
    a.starters.insert(f.tag().to_owned(), Starter { trips, set_a, motor_a, lag_s });
    a.plan.nameplate("motor", &format!("{motor_a} A, {:.0} A standing", STANDING * motor_a));
    a.plan.nameplate("overload relay", &format!("{set_a} A, class {class}"));
}

fn starter_terminals(f: &Fields) -> Vec<String> {
    let mut list = words(&["A1", "A2"]);
    list.extend(contact_terminals(f));
    list.extend(words(&["95", "96", "97", "98"]));
    list
}

/// The coil's fields, and `N - COIL_FIELDS.len()` more.
const fn coil_and<const N: usize>(more: &[FieldSpec]) -> [FieldSpec; N] {
    let mut list = [CONTACTS; N];
    let mut k = 0;
    while k < N {
        list[k] = if k < COIL_FIELDS.len() { COIL_FIELDS[k] } else { more[k - COIL_FIELDS.len()] };
        k += 1;
    }
    list
}

const OPERATE: FieldSpec = field(
    "operate",
    Quantity(Dimension::Time, "1 ms", "200 ms"),
    Some("10 ms"),
    "From the current to the last contact moved",
);

const LATCH_FIELDS: [FieldSpec; COIL_FIELDS.len() + 2] = coil_and(&[CONTACTS, OPERATE]);

const COUNTER_FIELDS: [FieldSpec; COIL_FIELDS.len() + 3] = coil_and(&[
    CONTACTS,
    OPERATE,
    field("preset", Count(1, 9999), None, "Pulses after which its contacts change over"),
]);

const TWO_HAND_FIELDS: [FieldSpec; COIL_FIELDS.len() + 3] = coil_and(&[
    CONTACTS,
    OPERATE,
    field(
        "within",
        Quantity(Dimension::Time, "10 ms", "0.5 s"),
        Some("0.5 s"),
        "Longest time between one hand and the other",
    ),
]);

const STARTER_FIELDS: [FieldSpec; COIL_FIELDS.len() + 4] = coil_and(&[
    CONTACTS,
    field(
        "setting",
        Quantity(Dimension::Current, "0.1 A", "500 A"),
        None,
        "Current that the overload relay is set to: that on the motor's plate",
    ),
    field(
        "motor_current",
        Quantity(Dimension::Current, "0.1 A", "500 A"),
        Some(""),
        "Motor current at the rated pressure of its pump; without it the setting",
    ),
    field(
        "trip_class",
        Choice(&["10A", "10", "20", "30"]),
        Some("10"),
        "How long it bears a motor that stands (IEC 60947-4-1)",
    ),
]);

/// Classes of the panel.
pub(super) const CLASSES: &[ClassSpec] = &[
    ClassSpec {
        name: "LatchingRelay",
        side: Side::Control,
        summary: "Relay that stays where its last pulse put it, with a set and a reset winding",
        terminals: "A1 and A2 of the set winding, B1 and B2 of the reset winding, and those of its contacts",
        ports: "none",
        laws: "two windings as in a relay, each against the other; no force without current, so it keeps its place",
        fields: &LATCH_FIELDS,
        rank: 2,
        port_list: nothing,
        terminal_list: latch_terminals,
        build: build_latch,
    },
    ClassSpec {
        name: "Counter",
        side: Side::Control,
        summary: "Electromechanical preset counter",
        terminals: "A1 and A2 of the pulse winding, R1 and R2 of the reset winding, and those of its contacts",
        ports: "none",
        laws: "two windings as in a relay; one step for each pull of the first, zero by the second; keeps its count without voltage",
        fields: &COUNTER_FIELDS,
        rank: 2,
        port_list: nothing,
        terminal_list: counter_terminals,
        build: build_counter,
    },
    ClassSpec {
        name: "TwoHand",
        side: Side::Control,
        summary: "Two-hand control: its contacts change over when both hands come within half a second, and back when either goes; both must have gone before the next time",
        terminals: "A1 and A2 for the button of one hand, B1 and B2 for that of the other, and those of its contacts",
        ports: "none",
        laws: "two windings as in a relay; an output that acts when their armatures pull within the set time of each other, until either falls (ISO 13851, from memory)",
        fields: &TWO_HAND_FIELDS,
        rank: 2,
        port_list: nothing,
        terminal_list: latch_terminals,
        build: build_two_hand,
    },
    ClassSpec {
        name: "Transformer",
        side: Side::Control,
        summary: "Control transformer",
        terminals: "P1 and P2 of the primary, S1 and S2 of the secondary, the first of each of like polarity",
        ports: "none",
        laws: "turns ratio, series resistance and leakage, magnetising and iron current as phasors; copper alone on direct current. No saturation, no heat",
        fields: &[
            field("primary", FieldKind::Supply, None, "Rated primary voltage"),
            field("secondary", FieldKind::Supply, None, "Rated secondary voltage, at rated load"),
            field(
                "rating",
                Quantity(Dimension::ApparentPower, "1 VA", "50000 VA"),
                Some("100 VA"),
                "Rated power",
            ),
            field(
                "impedance",
                Quantity(Dimension::Ratio, "0.5 %", "40 %"),
                Some("8 %"),
                "Primary voltage that drives the rated current into a shorted secondary, of the rated one",
            ),
            field(
                "copper",
                Quantity(Dimension::Ratio, "5 %", "99.9 %"),
                Some("90 %"),
                "Share of the resistance in that impedance, half of it in each winding",
            ),
            field(
                "no_load",
                Quantity(Dimension::Ratio, "0.5 %", "60 %"),
                Some("12 %"),
                "Current without load, of the rated one",
            ),
            field("earthed", Flag, Some("true"), "S2 bonded to protective earth"),
        ],
        rank: 1,
        port_list: nothing,
        terminal_list: |_| words(&["P1", "P2", "S1", "S2"]),
        build: build_transformer,
    },
    ClassSpec {
        name: "Rectifier",
        side: Side::Control,
        summary: "Rectifier bridge from alternating to direct current",
        terminals: "AC1 and AC2, + and -",
        ports: "none",
        laws: "mean of the rectified sine, or its peak with a capacitor, behind the impedance of what feeds it, less two diode drops; draws the same power from there. Averaged over half periods of 50 Hz: no ripple, no harmonics, no charge kept",
        fields: &[
            field("input", FieldKind::Supply, None, "Rated input voltage"),
            field(
                "output",
                FieldKind::Supply,
                Some("24 V DC"),
                "Nominal output voltage, as on its plate: what it gives follows from the input",
            ),
            field(
                "rating",
                Quantity(Dimension::Current, "0.1 A", "200 A"),
                Some("5 A"),
                "Rated direct current",
            ),
            field(
                "smoothing",
                Choice(&["none", "capacitor"]),
                Some("none"),
                "What follows the bridge",
            ),
            field("earthed", Flag, Some("true"), "Minus bonded to protective earth"),
        ],
        rank: 1,
        port_list: nothing,
        terminal_list: |_| words(&["AC1", "AC2", "+", "-"]),
        build: build_rectifier,
    },
    ClassSpec {
        name: "CircuitBreaker",
        side: Side::Control,
        summary: "Circuit breaker with a thermal and a magnetic release, switched on again by hand",
        terminals: "1 and 2, and those of its auxiliary contacts, if any",
        ports: "none",
        laws: "heat of the current squared, less what the bimetal sheds; at once above the magnetic current; trips free of its handle while hot",
        fields: &[
            field("rating", Quantity(Dimension::Current, "0.05 A", "125 A"), None, "Rated current"),
            field(
                "curve",
                Choice(&["B", "C", "D"]),
                Some("C"),
                "Magnetic release: 4, 7 or 14 times the rated current (bands of IEC 60898-1)",
            ),
            field("contacts", Contacts, Some(""), "Auxiliary contacts, if any"),
        ],
        rank: 2,
        port_list: nothing,
        terminal_list: breaker_terminals,
        build: build_breaker,
    },
    ClassSpec {
        name: "MotorStarter",
        side: Side::Control,
        summary: "Contactor with an overload relay for the motor of a pump, which names it in `run_by`",
        terminals: "A1 and A2 of the coil, those of its contacts, 95-96 (opens) and 97-98 (closes) of the overload relay",
        ports: "none",
        laws: "coil as in a relay; motor current from the pump's speed and load; heat of that squared, less what the bimetal sheds; reset by hand",
        fields: &STARTER_FIELDS,
        rank: 2,
        port_list: nothing,
        terminal_list: starter_terminals,
        build: build_starter,
    },
];
