//! Values inside a text, such as a nameplate or a drawing, said again in the units of its reader.

use super::display::significant;
use super::{Dimension, UnitSystem};

/// Metric units of nameplates and drawings, and what a reader of US customary units has for them.
const CUSTOMARY: &[(&str, Dimension, &str)] = &[
    ("bar", Dimension::Pressure, "psi"),
    ("L/min", Dimension::VolumeFlow, "gpm"),
    ("cm3/rev", Dimension::Displacement, "in3/rev"),
    ("L", Dimension::Volume, "gal"),
    ("mm", Dimension::Length, "in"),
    ("m", Dimension::Length, "ft"),
    ("degC", Dimension::Temperature, "degF"),
    ("N", Dimension::Force, "lbf"),
    ("kN", Dimension::Force, "lbf"),
];

/// `text` with every value in a unit of the other system said in `system`, to three digits. Several
/// numbers before one unit (`50 / 28 / 400 mm`) are all of that unit.
///
/// ```
/// use spoolbench::quantity::{UnitSystem, restated};
/// let us = |text| restated(text, UnitSystem::UsCustomary);
/// assert_eq!(us("70 bar at 12 L/min"), "1015 psi at 3.17 gpm");
/// assert_eq!(us("50 / 28 / 400 mm"), "1.97 / 1.10 / 15.7 in");
/// assert_eq!(us("24 V DC, W 2"), "24 V DC, W 2");
/// assert_eq!(restated("70 bar", UnitSystem::Si), "70 bar");
/// ```
#[must_use]
pub fn restated(text: &str, system: UnitSystem) -> String {
    if system == UnitSystem::Si {
        return text.to_owned();
    }
    let mut words: Vec<String> = text.split(' ').map(str::to_owned).collect();
    for k in 1..words.len() {
        let unit = words[k].trim_end_matches([',', ';', ':', ')']).to_owned();
        // Air is metered at the state of the reference atmosphere, in a unit of its own.
        let metered = words.get(k + 1).is_some_and(|next| next.starts_with("ANR"));
        let Some((_, dimension, other)) = CUSTOMARY.iter().find(|row| row.0 == unit) else {
            continue;
        };
        let bracket = words[k - 1].starts_with('(');
        let number = words[k - 1].trim_start_matches('(').to_owned();
        if metered || number.parse::<f64>().is_err() {
            continue;
        }
        words[k - 1] = number;
        let tail = words[k][unit.len()..].to_owned();
        words[k] = format!("{other}{tail}");
        let mut at = k - 1;
        loop {
            if let Ok(value) = words[at].parse::<f64>() {
                let si = dimension.unit(&unit).to_si(value);
                let own = dimension.unit(other).from_si(si);
                words[at] = if own == 0.0 { "0".to_owned() } else { significant(own) };
            }
            if at < 2 || words[at - 1] != "/" || words[at - 2].parse::<f64>().is_err() {
                break;
            }
            at -= 2;
        }
        if bracket {
            words[k - 1].insert(0, '(');
        }
    }
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_restated_and_the_rest_stays() {
        let us = |text| restated(text, UnitSystem::UsCustomary);
        // NIST SP 811, appendix B.8: 1 psi is 6894.757 Pa, 1 US gallon 3.785412 L, 1 inch 25.4 mm.
        assert_eq!(us("69.7 bar"), "1011 psi");
        assert_eq!(us("0.0 bar"), "0 psi");
        assert_eq!(us("20 degC"), "68.0 degF");
        assert_eq!(us("8.0 cm3/rev"), "0.488 in3/rev");
        assert_eq!(us("120 bar nitrogen, 2.0 L"), "1740 psi nitrogen, 0.528 gal");
        assert_eq!(us("300 L/min ANR"), "300 L/min ANR");
        assert_eq!(us("KM at L/min"), "KM at L/min");
        assert_eq!(us("from 10 mm to 20 mm"), "from 0.394 in to 0.787 in");
        assert_eq!(us("70 bar (100 bar gauge)"), "1015 psi (1450 psi gauge)");
        assert_eq!(us(""), "");
    }
}
