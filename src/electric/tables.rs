//! Standard tables of the control side.

use crate::base::ops;

/// Thermal classes of insulation: letter and class temperature [degC], IEC 60085:2007.
pub const THERMAL_CLASSES: [(&str, f64); 8] = [
    ("Y", 90.0),
    ("A", 105.0),
    ("E", 120.0),
    ("B", 130.0),
    ("F", 155.0),
    ("H", 180.0),
    ("N", 200.0),
    ("R", 220.0),
];

/// Temperature [degC] of the thermal class with `letter`.
#[must_use]
pub fn thermal_class_celsius(letter: &str) -> Option<f64> {
    THERMAL_CLASSES.iter().find(|(name, _)| *name == letter).map(|(_, t)| *t)
}

/// Largest resistance at 20 degC of plain copper conductors, IEC 60228: section [mm2],
/// class 1 and 2 [ohm/km], class 5 [ohm/km].
pub const CONDUCTORS: [(f64, f64, f64); 5] = [
    (0.5, 36.0, 39.0),
    (0.75, 24.5, 26.0),
    (1.0, 18.1, 19.5),
    (1.5, 12.1, 13.3),
    (2.5, 7.41, 7.98),
];

/// Resistance at 20 degC [ohm] of `metres` [m] of flexible (class 5) copper conductor of
/// `section_mm2` [mm2]. A section that is not in the table is taken in proportion to the nearest.
#[must_use]
pub fn flexible_conductor_ohm(section_mm2: f64, metres: f64) -> f64 {
    let mut nearest = CONDUCTORS[0];
    for row in CONDUCTORS {
        if (row.0 - section_mm2).abs() < (nearest.0 - section_mm2).abs() {
            nearest = row;
        }
    }
    nearest.2 * nearest.0 / section_mm2 * metres / 1000.0
}

/// Least and greatest voltage of a supply as parts of its nominal one, and of an alternating one the
/// least and greatest frequency all the time: what equipment must work on (IEC 60204-1, 4.3; from memory).
pub const ALTERNATING_LIMITS: ((f64, f64), (f64, f64)) = ((0.9, 1.1), (0.99, 1.01));
/// See [`ALTERNATING_LIMITS`]: direct voltage from a battery.
pub const BATTERY_LIMITS: (f64, f64) = (0.85, 1.15);
/// See [`ALTERNATING_LIMITS`]: direct voltage from a converter.
pub const CONVERTER_LIMITS: (f64, f64) = (0.9, 1.1);

/// Copper as IEC 60364-5-54 has it (from memory): heat capacity [J/(K mm3)], resistivity at 20 degC
/// [ohm mm], and what its resistance would vanish at, below 0 degC [K].
const COPPER: (f64, f64, f64) = (3.45e-3, 17.241e-6, 234.5);
/// Temperature of PVC insulation all the time, and at the end of a short [degC] (IEC 60364-5-54, from
/// memory).
pub const PVC_CELSIUS: (f64, f64) = (70.0, 160.0);

/// I2t [A2 s] that brings `section_mm2` [mm2] of copper from one to the other temperature [degC] when none of
/// the heat gets away: k2 S2 with k2 = c (B + 20) / rho ln(1 + (hot - cold) / (B + cold)) (IEC
/// 60364-5-54, from memory).
#[must_use]
pub fn withstand_a2s(section_mm2: f64, (cold, hot): (f64, f64)) -> f64 {
    let (heat, resistivity, below) = COPPER;
    let k2 = heat * (below + 20.0) / resistivity * ops::ln_1p((hot - cold) / (below + cold));
    k2 * section_mm2 * section_mm2
}

#[cfg(test)]
mod tests {
    use super::*;

    // IEC 60228: a 100 m loop of 0.75 mm2 class 5 has 2.600 ohm, so 1.30 V at 0.5 A.
    #[test]
    fn a_hundred_metre_loop() {
        let ohm = flexible_conductor_ohm(0.75, 100.0);
        assert!((ohm - 2.6).abs() < 1e-12);
        assert!((0.5 * ohm - 1.3).abs() < 1e-12);
    }

    // The bare copper of 0.5 mm2, 17.241 ohm mm2/km (IEC 60028), lies below the class 1 limit.
    #[test]
    fn limits_allow_for_more_than_bare_copper() {
        for (mm2, solid, flexible) in CONDUCTORS {
            assert!(17.241 / mm2 < solid && solid < flexible);
        }
    }

    // IEC 60085:2007.
    #[test]
    fn class_of_155_is_f() {
        assert_eq!(thermal_class_celsius("F"), Some(155.0));
        assert_eq!(thermal_class_celsius("Q"), None);
    }
}
