//! Values as an instrument or a table prints them.

use super::{Dimension, Unit};
use crate::base::ops::round_significant;
use std::fmt::Write;

/// Which units a value is shown in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum UnitSystem {
    /// Metric trade units: bar, L/min, mm.
    #[default]
    Si,
    /// US customary units: psi, gpm, in.
    UsCustomary,
}

impl std::str::FromStr for UnitSystem {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text {
            "si" => Ok(UnitSystem::Si),
            "us" => Ok(UnitSystem::UsCustomary),
            _ => Err(format!("\"{text}\" is no system of units; write si or us")),
        }
    }
}

/// `value_si` [SI unit of the dimension] to three significant digits in a readable trade unit.
/// What is not finite reads "no value"; zero has no sign.
///
/// ```
/// use spoolbench::quantity::{Dimension, UnitSystem, display};
/// assert_eq!(display(24.0, Dimension::Voltage, UnitSystem::Si), "24.0 V");
/// assert_eq!(display(0.35, Dimension::Inductance, UnitSystem::Si), "350 mH");
/// assert_eq!(display(7e6, Dimension::Pressure, UnitSystem::UsCustomary), "1015 psi");
/// ```
#[must_use]
pub fn display(value_si: f64, dimension: Dimension, system: UnitSystem) -> String {
    if !value_si.is_finite() {
        return "no value".to_owned();
    }
    let facts = dimension.facts();
    let ladder = match system {
        UnitSystem::Si => facts.metric,
        UnitSystem::UsCustomary => facts.customary,
    };
    if value_si == 0.0 && facts.decimals.is_none() {
        // Zero is shown in the unit of the tables, not in the smallest of the ladder.
        let home = ladder.iter().find(|rung| rung.0 == facts.column);
        return with_unit("0", home.or(ladder.first()).map_or("", |rung| rung.1));
    }
    let mut shown = String::new();
    for (spelling, printed, least) in ladder {
        let value = dimension.unit(spelling).from_si(value_si);
        let three = round_significant(value, 3);
        if three.abs() >= *least {
            let digits = match facts.decimals {
                Some(decimals) if value.abs() < 1e7 => unsigned_zero(format!("{value:.decimals$}")),
                _ => significant(value),
            };
            shown = with_unit(&digits, printed);
            break;
        }
    }
    shown
}

fn with_unit(digits: &str, unit: &str) -> String {
    if unit.is_empty() { digits.to_owned() } else { format!("{digits} {unit}") }
}

/// Three significant digits, whole digits never dropped.
pub(super) fn significant(value: f64) -> String {
    let three = round_significant(value, 3);
    let size = three.abs();
    if size >= 1e7 || (size > 0.0 && size < 1e-4) {
        return format!("{three:.2e}");
    }
    let decimals = match size {
        s if s >= 100.0 => 0,
        s if s >= 10.0 => 1,
        s if s >= 1.0 => 2,
        s if s >= 0.1 => 3,
        s if s >= 0.01 => 4,
        s if s >= 0.001 => 5,
        _ => 6,
    };
    unsigned_zero(if size >= 100.0 { format!("{value:.0}") } else { format!("{three:.decimals$}") })
}

fn unsigned_zero(digits: String) -> String {
    match digits.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => digits,
    }
}

/// The fixed unit of a table column in `system`, and the SI value of one of it.
///
/// A temperature also has an offset: use [`column_value`] to fill the column.
#[must_use]
pub fn column_unit(dimension: Dimension, system: UnitSystem) -> (&'static str, f64) {
    let unit = column(dimension, system);
    (unit.spelling, unit.times / unit.over)
}

/// `value_si` in the unit of [`column_unit`].
#[must_use]
pub fn column_value(value_si: f64, dimension: Dimension, system: UnitSystem) -> f64 {
    column(dimension, system).from_si(value_si) + 0.0
}

/// The metric column has its unit in the table of dimensions. The customary one has the same where it
/// is used there too, else the largest unit in which one is a readable value.
fn column(dimension: Dimension, system: UnitSystem) -> &'static Unit {
    let facts = dimension.facts();
    let fits = |rung: &&(&str, &str, f64)| rung.2 <= 1.0;
    match system {
        UnitSystem::Si => dimension.unit(facts.column),
        UnitSystem::UsCustomary => {
            let same = facts.customary.iter().find(|rung| rung.0 == facts.column);
            let rung = same.or_else(|| facts.customary.iter().find(fits));
            dimension.unit(rung.map_or(facts.column, |rung| rung.0))
        }
    }
}

/// The table of all dimensions and their accepted units, in Markdown.
#[must_use]
pub fn guide_table() -> String {
    let mut table =
        String::from("| Quantity | Kept as | Example | Accepted units |\n|---|---|---|---|\n");
    for dimension in Dimension::ALL {
        let mut units = String::new();
        for unit in dimension.units() {
            let separator = if units.is_empty() { "" } else { ", " };
            if unit.spelling.is_empty() {
                let _ = write!(units, "{separator}plain number");
            } else {
                let _ = write!(units, "{separator}`{}`", unit.spelling);
            }
        }
        let (name, si, example) = (dimension.name(), dimension.si_unit(), dimension.example());
        let _ = writeln!(table, "| {name} | {si} | `\"{example}\"` | {units} |");
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::parse;
    use proptest::prelude::*;

    #[test]
    fn readings_look_like_the_trade_writes_them() {
        let si = |value, dimension| display(value, dimension, UnitSystem::Si);
        let us = |value, dimension| display(value, dimension, UnitSystem::UsCustomary);
        assert_eq!(si(7e6, Dimension::Pressure), "70.0 bar");
        assert_eq!(si(-3e4, Dimension::Pressure), "-0.300 bar");
        assert_eq!(si(0.0, Dimension::Pressure), "0 bar");
        assert_eq!(si(-0.0, Dimension::Force), "0 N");
        assert_eq!(si(12.4 / 60_000.0, Dimension::VolumeFlow), "12.4 L/min");
        assert_eq!(si(0.9996, Dimension::Length), "1.00 m");
        assert_eq!(si(0.0995, Dimension::Length), "99.5 mm");
        assert_eq!(si(293.15, Dimension::Temperature), "20.0 °C");
        assert_eq!(si(273.14, Dimension::Temperature), "0.0 °C");
        assert_eq!(us(293.15, Dimension::Temperature), "68.0 °F");
        assert_eq!(si(0.02, Dimension::Time), "20.0 ms");
        assert_eq!(si(1450.0 / 60.0, Dimension::RotationalSpeed), "1450 rpm");
        assert_eq!(us(12.0 / 60_000.0, Dimension::VolumeFlow), "3.17 gpm");
        assert_eq!(si(f64::NAN, Dimension::Voltage), "no value");
        assert_eq!(si(1e20, Dimension::Resistance), "1.00e14 Mohm");
        assert_eq!(si(0.012, Dimension::Current), "12.0 mA");
        assert_eq!(si(3.0, Dimension::Count), "3.00");
    }

    #[test]
    fn columns_keep_one_unit() {
        let (si, us) = (UnitSystem::Si, UnitSystem::UsCustomary);
        assert_eq!(column_unit(Dimension::Pressure, si), ("bar", 1e5));
        assert_eq!(column_unit(Dimension::Temperature, si), ("degC", 1.0));
        assert_eq!(column_value(273.15, Dimension::Temperature, si), 0.0);
        assert_eq!(column_value(7e6, Dimension::Pressure, si), 70.0);
        assert_eq!(column_unit(Dimension::Pressure, us).0, "psi");
        assert_eq!(column_unit(Dimension::VolumeFlow, us).0, "gpm");
        assert_eq!(column_unit(Dimension::Length, us).0, "in");
        assert_eq!(column_unit(Dimension::Voltage, us).0, "V");
        assert_eq!(column_value(0.0254, Dimension::Length, us), 1.0);
    }

    #[test]
    fn the_guide_lists_every_dimension() {
        let table = guide_table();
        assert_eq!(table.lines().count(), Dimension::ALL.len() + 2);
        assert!(table.contains("| pressure | Pa | `\"70 bar\"` | `bar`, `mbar`,"));
    }

    proptest! {
        #[test]
        fn what_is_shown_reads_back(mantissa in 1.0f64..10.0, exponent in -9i32..9) {
            let value: f64 = format!("{mantissa}e{exponent}").parse().unwrap();
            for dimension in Dimension::ALL {
                let (low, high) = dimension.range_si();
                let fixed = dimension.facts().decimals.is_some();
                if value * 1.01 > high || value * 0.99 < low || (fixed && value < 0.1) {
                    continue;
                }
                for system in [UnitSystem::Si, UnitSystem::UsCustomary] {
                    let shown = display(value, dimension, system);
                    prop_assert!(!shown.is_empty());
                    let back = parse(&shown, dimension).unwrap();
                    // Half a unit of the third digit, or of the first decimal of a fixed display.
                    let fixed = if fixed { 0.06 } else { 0.0 };
                    prop_assert!((back - value).abs() <= 0.0051 * value + fixed, "{shown}: {back} {value}");
                }
            }
        }

        #[test]
        fn any_number_can_be_shown(bits in any::<u64>()) {
            for dimension in Dimension::ALL {
                let shown = display(f64::from_bits(bits), dimension, UnitSystem::Si);
                prop_assert!(!shown.is_empty() && shown.len() < 40, "{}", shown);
                prop_assert!(!shown.starts_with("-0.0 "), "{}", shown);
            }
        }
    }
}
