//! What the data sheet of a directional valve says, besides its coil and its positions: response times,
//! leakage, operating limit, pressures. All of it is on the nameplate.

use crate::base::{SpoolId, WindingId};
use crate::fluid::oil::Clearance;
use crate::language::Phrase;
use crate::plant::ARC;
use crate::quantity::Dimension;
use crate::shift::{Feed, Rest, SpoolMake, Stand};

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::coil::Coil;
use super::{FieldKind, FieldSpec, field};

use FieldKind::Quantity;

pub(super) const SWITCH_ON: FieldSpec = field(
    "switch_on",
    Quantity(Dimension::Time, "3 ms", "2 s"),
    Some(""),
    "Response time from rated voltage to the shifted spool, without flow; the damping follows. Without it, about the shifting time",
);
pub(super) const SWITCH_OFF: FieldSpec = field(
    "switch_off",
    Quantity(Dimension::Time, "3 ms", "2 s"),
    Some(""),
    "Response time from the opening of the contact, with the suppressor of the coil, to the spool at rest; the damping on the way home follows. Not of a detented valve",
);
pub(super) const RESPONSE_BAND: FieldSpec = field(
    "response_band",
    Quantity(Dimension::Ratio, "5 %", "50 %"),
    Some("20 %"),
    "How far the response times of a sound valve may lie from those on its nameplate",
);
pub(super) const LEAKAGE_PRESSURE: FieldSpec = field(
    "leakage_pressure",
    Quantity(Dimension::Pressure, "1 bar", "700 bar"),
    Some("100 bar"),
    "Pressure for which the leakage is stated",
);
pub(super) const LEAKAGE_VISCOSITY: FieldSpec = field(
    "leakage_viscosity",
    Quantity(Dimension::KinematicViscosity, "1 mm2/s", "1000 mm2/s"),
    Some(""),
    "Viscosity for which the leakage is stated; without it that of the bench's oil at 40 degC",
);
/// From what the leakage follows when the clearance is known instead.
pub(super) const CLEARANCE: [FieldSpec; 3] = [
    field(
        "clearance",
        Quantity(Dimension::Length, "0.001 mm", "0.1 mm"),
        Some(""),
        "Radial clearance of the spool; with it the leakage follows from bore, land and the oil's viscosity, whatever `leakage` says",
    ),
    field(
        "land",
        Quantity(Dimension::Length, "0.5 mm", "50 mm"),
        Some("10 mm"),
        "Bore and length of a land of the spool, alike, for the clearance",
    ),
    field(
        "eccentricity",
        Quantity(Dimension::Ratio, "0 %", "100 %"),
        Some("0 %"),
        "How far the spool lies out of the middle of its bore, for the clearance: 100 % lies against it",
    ),
];
pub(super) const MAX_INLET: FieldSpec = field(
    "max_inlet",
    Quantity(Dimension::Pressure, "1 bar", "700 bar"),
    Some("315 bar"),
    "Highest pressure that its body stands; advice is given where a relief is set above it",
);
pub(super) const DROP_BAND: FieldSpec = field(
    "drop_band",
    Quantity(Dimension::Ratio, "1 %", "50 %"),
    Some("10 %"),
    "How far a sound valve's pressure drop may lie from the rated one",
);

/// Leakage from each port to T.
pub(super) const fn leakage(usual: &'static str) -> FieldSpec {
    field(
        "leakage",
        Quantity(Dimension::VolumeFlow, "0 cm3/min", "10 L/min"),
        Some(usual),
        "Leakage from each port to T at the stated pressure and viscosity",
    )
}

/// The stand on which the data sheet's response times are taken.
fn stand<'a>(a: &'a Assembly, coil: &Coil, spool: SpoolMake, winding: WindingId) -> Stand<'a> {
    let make = &a.plan.plan().nominal.windings[winding.index()];
    Stand {
        spool,
        coil: make,
        feed: Feed::of(coil.supply),
        suppressors: &a.plan.plan().nominal.suppressors[winding.index()],
        arc: ARC,
    }
}

/// The spool with the damping that gives the authored response times, which go on the nameplate.
pub(super) fn timed(
    a: &mut Assembly,
    f: &Fields,
    coil: &Coil,
    spool: SpoolMake,
    winding: WindingId,
) -> SpoolMake {
    let mut made = spool;
    for name in ["switch_on", "switch_off"] {
        let Some(seconds) = f.optional(name) else { continue };
        let on = name == "switch_on";
        if !on && made.rest == Rest::Detented {
            let problem = Phrase::new("bench-detented").with("part", f.tag());
            a.inconsistent(f, name, problem, Phrase::new("bench-no-switch-off"));
            continue;
        }
        let stand = stand(a, coil, made, winding);
        let fitted = if on { stand.fitted_on(seconds) } else { stand.fitted_off(seconds) };
        match fitted {
            Some(fitted) => made = fitted,
            None => {
                let problem = Phrase::new(if on { "bench-no-rise" } else { "bench-no-decay" })
                    .with("part", f.tag())
                    .with("ms", format!("{:.0}", seconds * 1e3));
                a.inconsistent(f, name, problem, Phrase::new("bench-longer"));
            }
        }
    }
    let stand = stand(a, coil, made, winding);
    let ms = |time: Option<f64>| time.map(|s| format!("{:.0} ms", s * 1e3));
    let off = if made.rest == Rest::Detented { None } else { stand.off_s() };
    let times: Vec<String> = [("on", ms(stand.on_s())), ("off", ms(off))]
        .into_iter()
        .filter_map(|(what, time)| Some(format!("{what} {}", time?)))
        .collect();
    let band = f.quantity("response_band") * 100.0;
    let text = format!("{}, within {band:.0} %", times.join(", "));
    a.plan.nameplate("response", &text);
    made
}

/// Leakage of each port per pressure [m3/(s Pa)]: as stated, or of the clearance.
pub(super) fn leak(a: &Assembly, f: &Fields) -> f64 {
    let own = a.oil.viscosity();
    if let Some(radial_m) = f.optional("clearance") {
        let land = f.quantity("land");
        let fit = Clearance {
            diameter_m: land,
            radial_m,
            length_m: land,
            eccentricity: f.quantity("eccentricity"),
        };
        return fit.leak(own * a.oil.density, 1.0);
    }
    let stated = f.optional("leakage_viscosity").unwrap_or(own);
    f.quantity("leakage") / f.quantity("leakage_pressure") * (stated / own)
}

/// Flow, drop with its band, highest inlet pressure, leakage.
pub(super) fn plate(a: &mut Assembly, f: &Fields, leak: f64) {
    let (flow, drop) = (f.quantity("rated_flow") * 60_000.0, f.quantity("rated_drop") / 1e5);
    a.plan.nameplate("rated flow", &format!("{flow:.0} L/min at {drop:.0} bar"));
    let band = f.quantity("drop_band");
    let (low, high) = ((1.0 - band) * drop, (1.0 + band) * drop);
    a.plan.nameplate("pressure drop", &format!("{low:.1} to {high:.1} bar at the rated flow"));
    a.plan.nameplate("maximum inlet", &format!("{:.0} bar", f.quantity("max_inlet") / 1e5));
    let (at, own) = (f.quantity("leakage_pressure"), a.oil.viscosity());
    let stated = f.optional("leakage_viscosity").unwrap_or(own);
    let cm3 = leak * at * own / stated * 60e6;
    let (bar, mm2_s) = (at / 1e5, stated * 1e6);
    let text = format!("{cm3:.1} cm3/min of each port at {bar:.0} bar and {mm2_s:.0} mm2/s");
    a.plan.nameplate("leakage", &text);
}

/// The operating limit: up to which flow the coil shifts the spool at some pressures.
pub(super) fn limit_plate(a: &mut Assembly, f: &Fields, spool: SpoolId, coil: &Coil) {
    let most = f.quantity("max_inlet");
    let points: Vec<String> = [0.25, 0.5, 1.0]
        .into_iter()
        .filter_map(|share| {
            let limit =
                a.plan.plan().operating_limit(spool, Feed::of(coil.supply), share * most)?;
            let (l_min, bar) = (limit * 60_000.0, share * most / 1e5);
            Some(format!("{l_min:.0} L/min at {bar:.0} bar"))
        })
        .collect();
    let text = if points.is_empty() { "none".to_owned() } else { points.join(", ") };
    a.plan.nameplate("operating limit", &text);
}
