//! The pressure fluid of a bench, as authored.

use crate::diagnostic::{Code, Reporter};
use crate::fluid::Medium;
use crate::fluid::oil::{Viscosity, grade_limits};
use crate::language::Phrase;
use crate::plant::OilPlan;
use crate::quantity::Dimension;

use super::super::assembly::Oil;
use super::super::tree::{self, Node};

/// Kinds of pressure fluid.
const FLUIDS: [&str; 4] = ["mineral oil", "water glycol", "phosphate ester", "polyol ester"];

pub(super) fn read_oil(
    node: Option<&Node>,
    ambient_celsius: f64,
    report: &mut Reporter,
) -> (Oil, String) {
    let usual = Oil { density: 870.0, medium: Medium::OIL, bath: None };
    let Some(mut oil) = node.and_then(|node| tree::Fields::open(node, report)) else {
        return (usual, FLUIDS[0].to_owned());
    };
    let fluid = oil
        .take("fluid")
        .and_then(|n| n.as_choice(&FLUIDS, Code::UNKNOWN_CHOICE, &mut report.about("`fluid`")))
        .unwrap_or(FLUIDS[0])
        .to_owned();
    let density = oil.quantity("density", Dimension::Density, ("600 kg/m3", "1500 kg/m3"), report);
    let bulk_pa =
        oil.quantity("bulk_modulus", Dimension::BulkModulus, ("0.1 GPa", "5 GPa"), report);
    let free_air = oil.quantity("free_air", Dimension::Ratio, ("0 %", "20 %"), report);
    let grade = oil.take("grade").and_then(|node| {
        let word = node.as_choice(GRADES, Code::UNKNOWN_CHOICE, report)?;
        word.strip_prefix("VG ")?.parse::<f64>().ok()
    });
    let at_100 = oil.quantity(
        "viscosity_100",
        Dimension::KinematicViscosity,
        ("0.5 mm2/s", "500 mm2/s"),
        report,
    );
    let contents = oil.quantity("contents", Dimension::Volume, ("0.1 L", "100 m3"), report);
    let cooling =
        oil.quantity("cooling", Dimension::ThermalResistance, ("0.00001 K/W", "1000 K/W"), report);
    let expansion =
        oil.quantity("expansion", Dimension::TemperatureCoefficient, ("0 %/K", "0.2 %/K"), report);
    let start = oil.quantity("start", Dimension::Temperature, ("-40 degC", "120 degC"), report);
    if let Some(node) = oil.take("cleanliness")
        && let Some(code) = node.as_text(&mut report.about("`cleanliness`"))
        && !is_cleanliness(code)
    {
        report.error(
            Code::BAD_QUANTITY,
            node.span,
            Phrase::new("bench-no-cleanliness").with("written", code),
            Phrase::new("bench-cleanliness"),
        );
    }
    oil.finish(report);
    let bath = grade.and_then(|grade| {
        let mm2_s = |at: f64| at * 1e6;
        let at_40 = grade_limits(grade).map_or(grade, |(low, high)| 0.5 * (low + high));
        let viscosity = match at_100 {
            Some(at_100) => Viscosity::through((40.0, at_40), (100.0, mm2_s(at_100)))?,
            None => Viscosity::usual(at_40),
        };
        let mut bath =
            OilPlan::new(viscosity, at_40, start.map_or(ambient_celsius, |k| k - 273.15));
        let density = density.unwrap_or(usual.density);
        bath.joule_per_kelvin = contents.unwrap_or(0.06) * density * OIL_JOULE_PER_KG_KELVIN;
        bath.watt_per_kelvin = 1.0 / cooling.unwrap_or(0.05);
        bath.per_kelvin = expansion.unwrap_or(0.0);
        Some(bath)
    });
    let made = Oil {
        bath,
        density: density.unwrap_or(usual.density),
        medium: Medium::Oil {
            bulk_pa: bulk_pa.unwrap_or(1.4e9),
            free_air: free_air.unwrap_or(0.001),
        },
    };
    (made, fluid)
}

/// Grades of ISO 3448 that `grade` can name.
const GRADES: &[&str] = &[
    "VG 2", "VG 3", "VG 5", "VG 7", "VG 10", "VG 15", "VG 22", "VG 32", "VG 46", "VG 68", "VG 100",
    "VG 150", "VG 220", "VG 320", "VG 460", "VG 680", "VG 1000", "VG 1500", "VG 2200", "VG 3200",
];
/// Specific heat of oil [J/(kg K)] (common practice, no source).
const OIL_JOULE_PER_KG_KELVIN: f64 = 1900.0;

/// Whether `code` is a cleanliness code of ISO 4406: three scale numbers, none rising.
fn is_cleanliness(code: &str) -> bool {
    let numbers: Vec<Option<u8>> = code.split('/').map(|part| part.parse().ok()).collect();
    let [Some(a), Some(b), Some(c)] = numbers.as_slice() else { return false };
    *a <= 28 && a >= b && b >= c
}
