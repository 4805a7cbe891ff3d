//! Windings as authored: the fields that relays and valves share, and what they come to.

use crate::base::{NodeId, WindingId};
use crate::electric::{Diode, Suppressor, WindingMake, tables};
use crate::plant::{BranchMake, BranchRole, PlanBuilder};
use crate::quantity::{Dimension, Supply, SupplyKind};

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::{FieldKind, FieldSpec, field};

use FieldKind::{Choice, Flag, Quantity};

/// Coil fields that relays and valves share.
pub(super) const COIL_FIELDS: [FieldSpec; 13] = [
    field("coil", FieldKind::Supply, Some("24 V DC"), "Rated voltage and kind of current"),
    field(
        "power",
        Quantity(Dimension::Power, "0.1 W", "200 W"),
        Some(""),
        "Rated power of a direct-current coil at 20 degC; the resistance follows",
    ),
    field(
        "inrush",
        Quantity(Dimension::ApparentPower, "0.5 VA", "2000 VA"),
        Some(""),
        "Apparent power of an alternating-current coil with the gap open",
    ),
    field(
        "sealed",
        Quantity(Dimension::ApparentPower, "0.2 VA", "500 VA"),
        Some(""),
        "Apparent power of an alternating-current coil with the armature seated",
    ),
    field(
        "resistance",
        Quantity(Dimension::Resistance, "0.05 ohm", "100 kohm"),
        Some(""),
        "Winding resistance at 20 degC; without it, from the power (DC) or 0.42 of the open impedance (AC)",
    ),
    field(
        "rise_time",
        Quantity(Dimension::Time, "0.1 ms", "500 ms"),
        Some(""),
        "Time constant L/R of a direct-current coil with the gap open",
    ),
    field(
        "pick_up",
        Quantity(Dimension::Ratio, "10 %", "95 %"),
        Some(""),
        "Voltage at which it just pulls in at 20 degC, as a part of the rated voltage",
    ),
    field(
        "drop_out",
        Quantity(Dimension::Ratio, "2 %", "80 %"),
        Some(""),
        "Voltage at which it lets go at 20 degC, as a part of the rated voltage",
    ),
    field(
        "thermal_class",
        Choice(&["Y", "A", "E", "B", "F", "H", "N", "R"]),
        Some("F"),
        "Thermal class of the insulation (IEC 60085); the winding burns open 40 K above it",
    ),
    field(
        "thermal_resistance",
        Quantity(Dimension::ThermalResistance, "0.2 K/W", "500 K/W"),
        Some(""),
        "Winding to ambient",
    ),
    field(
        "suppressor",
        Choice(&["none", "diode", "resistor", "clamp"]),
        Some(""),
        "What lies across the coil; without it a diode on direct current, none on alternating",
    ),
    field(
        "duty",
        Quantity(Dimension::Ratio, "1 %", "100 %"),
        Some("100 %"),
        "Share of the time it may be on (ED) at rated voltage, in a cycle of 5 min; on its nameplate. It sheds that share of the heat only, and held longer it passes its thermal class",
    ),
    field(
        "plug_lamp",
        Flag,
        Some("false"),
        "A light-emitting diode in the plug, across the terminals: it shows voltage, not current",
    ),
];

/// The fields of a coil, and after them those of the part that it moves.
pub(super) const fn with_coil<const N: usize>(own: &[FieldSpec]) -> [FieldSpec; N] {
    let mut list = [COIL_FIELDS[0]; N];
    let mut k = 0;
    while k < N {
        list[k] = if k < COIL_FIELDS.len() { COIL_FIELDS[k] } else { own[k - COIL_FIELDS.len()] };
        k += 1;
    }
    list
}

/// Current of the diode in a plug [A] (common practice, no source).
const PLUG_LAMP_A: f64 = 8e-3;

/// How far above its thermal class a winding fails at once [K].
const BURNOUT_ABOVE_CLASS: f64 = 40.0;

/// What sets a solenoid's winding apart from a relay's.
pub(super) struct CoilKind {
    pub power_w: f64,
    pub inrush_va: f64,
    pub sealed_va: f64,
    pub rise_s: f64,
    pub seated_ratio: f64,
    pub leakage: f64,
    pub stroke_m: f64,
    pub kelvin_per_watt: f64,
    pub joule_per_kelvin: f64,
}

pub(super) const RELAY_COIL: CoilKind = CoilKind {
    power_w: 1.2,
    inrush_va: 3.0,
    sealed_va: 1.6,
    rise_s: 4.6e-3,
    seated_ratio: 1.4,
    leakage: 0.3,
    stroke_m: 1e-3,
    kelvin_per_watt: 35.0,
    joule_per_kelvin: 12.0,
};

/// A coil as authored.
pub(super) struct Coil {
    pub supply: Supply,
    pub make: WindingMake,
    pub suppressors: Vec<Suppressor>,
    /// Share of the time it may be on [1].
    pub duty: f64,
    /// A lamp in the plug.
    pub plug_lamp: bool,
    /// Rated current at 20 degC with the gap open, and with the armature seated [A].
    pub open_a: f64,
    pub seated_a: f64,
}

/// The coil that the fields describe.
pub(super) fn coil(f: &Fields, kind: &CoilKind) -> Coil {
    let supply = f.supply("coil");
    let class = tables::thermal_class_celsius(&f.choice("thermal_class")).unwrap_or(155.0);
    let volts = supply.volts;
    let (ohm, open_henry, seated_henry, open_a, seated_a) = match supply.kind {
        SupplyKind::Dc => {
            let power = f.optional("power").unwrap_or(kind.power_w);
            let ohm = f.optional("resistance").unwrap_or(volts * volts / power);
            let open = f.optional("rise_time").unwrap_or(kind.rise_s) * ohm;
            (ohm, open, open * kind.seated_ratio, volts / ohm, volts / ohm)
        }
        SupplyKind::Ac { hertz } => {
            let omega = 2.0 * std::f64::consts::PI * hertz;
            let inrush = f.optional("inrush").unwrap_or(kind.inrush_va);
            let sealed = f.optional("sealed").unwrap_or(kind.sealed_va).min(0.95 * inrush);
            let (open_z, seated_z) = (volts * volts / inrush, volts * volts / sealed);
            let ohm = f.optional("resistance").unwrap_or(0.42 * open_z).min(0.98 * open_z);
            let react = |z: f64| (z * z - ohm * ohm).sqrt() / omega;
            (ohm, react(open_z), react(seated_z), inrush / volts, sealed / volts)
        }
    };
    let suppressor = match f.choice("suppressor").as_str() {
        "" if supply.is_dc() => Some(Suppressor::Diode(Diode::RECTIFIER, false)),
        "diode" => Some(Suppressor::Diode(Diode::RECTIFIER, false)),
        "resistor" => Some(Suppressor::Resistor(10.0 * ohm)),
        "clamp" => Some(Suppressor::Clamp(1.6 * volts, 5.0)),
        _ => None,
    };
    Coil {
        supply,
        make: WindingMake {
            ohm_at_20: ohm,
            open_henry,
            seated_henry,
            leakage: kind.leakage,
            stroke_m: kind.stroke_m,
            sound_turns: 1.0,
            open: false,
            // A coil for a share of the time is made to shed that share of its power.
            kelvin_per_watt: f
                .optional("thermal_resistance")
                .unwrap_or(kind.kelvin_per_watt / f.quantity("duty")),
            joule_per_kelvin: kind.joule_per_kelvin,
            burnout_celsius: class + BURNOUT_ABOVE_CLASS,
        },
        suppressors: suppressor.into_iter().collect(),
        duty: f.quantity("duty"),
        plug_lamp: f.flag("plug_lamp"),
        open_a,
        seated_a,
    }
}

/// Adds the coil's winding between two terminals, with insulation that can fail.
pub(super) fn add_coil(
    a: &mut Assembly,
    role: &str,
    coil: &Coil,
    first: NodeId,
    second: NodeId,
) -> WindingId {
    let id = a.plan.winding(role, first, second, coil.make, coil.suppressors.clone());
    if coil.duty < 1.0 {
        a.plan.intermittent(id, coil.make.burnout_celsius - BURNOUT_ABOVE_CLASS);
    }
    a.plan.branch(
        &format!("insulation {role}"),
        BranchRole::Insulation,
        first,
        PlanBuilder::EARTH,
        BranchMake::ohm(f64::INFINITY),
    );
    if coil.plug_lamp {
        let volts = coil.supply.volts;
        let name = a.plan.lamp_name(role);
        let role = format!("lamp {role}");
        a.plan.named_lamp(&role, &name, first, second, volts, volts / PLUG_LAMP_A);
    }
    a.coil(id, coil.supply);
    id
}

/// Adds a winding for each side of a valve, between the terminals of that side, and their plate.
pub(super) fn add_sides(a: &mut Assembly, coil: &Coil, sides: &[&str]) -> Vec<WindingId> {
    let mut windings = Vec::new();
    for side in sides {
        let first = a.plan.terminal(&format!("{side}1"));
        let second = a.plan.terminal(&format!("{side}2"));
        windings.push(add_coil(a, &format!("coil {side}"), coil, first, second));
    }
    plate_of(a, coil);
    windings
}

/// Pick-up and drop-out voltages [1 of rated]; the usual ones where none are written.
pub(super) fn pulls(f: &Fields, coil: &Coil, usual_pick_up: f64) -> (f64, f64) {
    let usual_drop_out = if coil.supply.is_dc() { 0.2 } else { 0.45 };
    (
        f.optional("pick_up").unwrap_or(usual_pick_up),
        f.optional("drop_out").unwrap_or(usual_drop_out),
    )
}

/// Writes the data of the coil on the plate.
pub(super) fn plate_of(a: &mut Assembly, coil: &Coil) {
    a.plan.nameplate("coil", &coil.supply.to_string());
    if coil.supply.is_dc() {
        a.plan.nameplate("current", &format!("{:.3} A", coil.open_a));
    } else {
        a.plan.nameplate("inrush", &format!("{:.2} A", coil.open_a));
        a.plan.nameplate("sealed", &format!("{:.2} A", coil.seated_a));
    }
    a.plan.nameplate("resistance at 20 degC", &format!("{:.1} ohm", coil.make.ohm_at_20));
    a.plan.nameplate("duty", &format!("ED {:.0} %", coil.duty * 100.0));
}
