//! A number, a unit, a check of the range.

use super::{Dimension, QuantityError, UnitSystem, display};
use crate::base::nearest;

/// The longest text that is read as a value [bytes].
pub const LONGEST_TEXT: usize = 64;

/// The SI value of a text such as `"70 bar"`, in the unit the [`Dimension`] names.
///
/// The number has a decimal point and perhaps an exponent; a blank before the unit is free.
/// Superscripts, middle dots and the ohm, micro and degree signs are understood.
///
/// # Errors
/// A [`QuantityError`] that says what is wrong and what to write instead.
///
/// ```
/// use spoolbench::quantity::{Dimension, parse};
/// assert_eq!(parse("1.5mm2", Dimension::WireSection), Ok(1.5e-6));
/// assert_eq!(parse("1.5 mm²", Dimension::WireSection), Ok(1.5e-6));
/// assert_eq!(parse("85 %", Dimension::Ratio), Ok(0.85));
/// ```
pub fn parse(text: &str, wanted: Dimension) -> Result<f64, QuantityError> {
    let text = within_length(text)?;
    if text.is_empty() {
        return Err(QuantityError::Empty { wanted });
    }
    let (number, rest) = split_number(text, wanted)?;
    let unit = from_unit(number, rest, text, wanted)?;
    in_range(unit, text, wanted)
}

/// The text without blanks around it, if it is short enough.
pub(super) fn within_length(text: &str) -> Result<&str, QuantityError> {
    if text.len() > LONGEST_TEXT {
        return Err(QuantityError::TooLong { length: text.len(), most: LONGEST_TEXT });
    }
    Ok(text.trim())
}

/// The number at the beginning and what follows it, blanks taken away.
pub(super) fn split_number(text: &str, wanted: Dimension) -> Result<(f64, &str), QuantityError> {
    let length = number_length(text);
    let owned = || text.to_owned();
    if length == 0 {
        let word = text.trim_start_matches(['+', '-', '\u{2212}']).to_ascii_lowercase();
        let not_finite = ["inf", "nan", "∞"].iter().any(|name| word.starts_with(name));
        return Err(if not_finite {
            QuantityError::NotFinite { text: owned() }
        } else {
            QuantityError::NotANumber { text: owned(), wanted }
        });
    }
    let (digits, rest) = text.split_at(length);
    let after = rest.trim_start();
    if after.starts_with(',') {
        return Err(QuantityError::Comma { text: owned(), instead: text.replacen(',', ".", 1) });
    }
    if after.starts_with(|c: char| c.is_ascii_digit()) {
        // "1/min" and "1/K" begin with a digit too, but only behind a blank and a slash.
        if !after.starts_with("1/") || after.len() == rest.len() {
            return Err(QuantityError::Gap { text: owned() });
        }
    }
    let plain = digits.replace('\u{2212}', "-");
    match plain.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok((number, after)),
        Ok(_) => Err(QuantityError::NotFinite { text: owned() }),
        Err(_) => Err(QuantityError::NotANumber { text: owned(), wanted }),
    }
}

/// Bytes of the number at the beginning: sign, digits, point, digits, exponent; 0 if there is none.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let sign = ["+", "-", "\u{2212}"].iter().find(|sign| text.starts_with(**sign));
    let mut at = sign.map_or(0, |sign| sign.len());
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let whole = digits(at);
    at += whole;
    let mut part = 0;
    if bytes.get(at) == Some(&b'.') {
        part = digits(at + 1);
        at += 1 + part;
    }
    if whole + part == 0 {
        return 0;
    }
    if matches!(bytes.get(at), Some(b'e' | b'E')) {
        let signed = usize::from(matches!(bytes.get(at + 1), Some(b'+' | b'-')));
        if at + 1 + signed <= bytes.len() {
            let exponent = digits(at + 1 + signed);
            if exponent > 0 {
                at += 1 + signed + exponent;
            }
        }
    }
    at
}

fn from_unit(
    number: f64,
    written: &str,
    text: &str,
    wanted: Dimension,
) -> Result<f64, QuantityError> {
    let unit = squeeze(written);
    let find = |dimension: Dimension| {
        dimension.units().iter().find(|known| squeeze(known.spelling) == unit)
    };
    if let Some(known) = find(wanted) {
        return Ok(known.to_si(number));
    }
    if unit.is_empty() {
        let number = text.to_owned();
        return Err(QuantityError::NoUnit { number, wanted });
    }
    if let Some(found) = Dimension::ALL.into_iter().find(|other| find(*other).is_some()) {
        return Err(QuantityError::OtherDimension { text: text.to_owned(), found, wanted });
    }
    let nearest = nearest(&unit, wanted.units().iter().map(|known| known.spelling));
    Err(QuantityError::UnknownUnit { unit: written.to_owned(), wanted, nearest })
}

pub(super) fn in_range(value_si: f64, text: &str, wanted: Dimension) -> Result<f64, QuantityError> {
    if !value_si.is_finite() {
        return Err(QuantityError::NotFinite { text: text.to_owned() });
    }
    let (low, high) = wanted.range_si();
    if value_si < low || value_si > high {
        return Err(QuantityError::OutOfRange {
            text: text.to_owned(),
            wanted,
            low: display(low, wanted, UnitSystem::Si),
            high: display(high, wanted, UnitSystem::Si),
        });
    }
    // A written "-0" is zero.
    Ok(value_si + 0.0)
}

/// A unit in plain letters and without blanks, so that one table serves every way of writing it.
pub(super) fn squeeze(unit: &str) -> String {
    let mut plain = String::with_capacity(unit.len());
    for letter in unit.chars() {
        match letter {
            '²' => plain.push('2'),
            '³' => plain.push('3'),
            'Ω' | '\u{2126}' => plain.push_str("ohm"),
            'µ' | 'μ' => plain.push('u'),
            '·' | '⋅' | '*' | '^' | '.' => {}
            '\u{2103}' => plain.push_str("°C"),
            '\u{2109}' => plain.push_str("°F"),
            '″' => plain.push('"'),
            blank if blank.is_whitespace() => {}
            other => plain.push(other),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn close(text: &str, dimension: Dimension, si: f64, tolerance: f64) {
        let value = parse(text, dimension).unwrap();
        assert!((value / si - 1.0).abs() <= tolerance, "{text}: {value} against {si}");
    }

    /// NIST Special Publication 811 (2008), appendix B.8, printed to seven digits.
    #[test]
    fn us_customary_factors_agree_with_sp_811() {
        let seven = 5e-7;
        close("1 psi", Dimension::Pressure, 6.894_757e3, seven);
        close("1 gal", Dimension::Volume, 3.785_412e-3, seven);
        close("1 gpm", Dimension::VolumeFlow, 6.309_020e-5, seven);
        close("1 in3", Dimension::Volume, 1.638_706e-5, seven);
        close("1 in3/min", Dimension::VolumeFlow, 2.731_177e-7, seven);
        close("1 in2", Dimension::Area, 6.4516e-4, 1e-15);
        close("1 in", Dimension::Length, 2.54e-2, 0.0);
        close("1 ft", Dimension::Length, 3.048e-1, 0.0);
        close("1 ft/min", Dimension::Speed, 5.08e-3, 1e-15);
        close("1 lb", Dimension::Mass, 4.535_924e-1, seven);
        close("1 oz", Dimension::Mass, 2.834_952e-2, seven);
        close("1 lbf", Dimension::Force, 4.448_222, seven);
        close("1 kgf", Dimension::Force, 9.806_65, 0.0);
        close("1 lbf ft", Dimension::Torque, 1.355_818, seven);
        close("1 lbf in", Dimension::Torque, 1.129_848e-1, seven);
        close("1 lbf/in", Dimension::Stiffness, 1.751_268e2, seven);
        close("1 hp", Dimension::Power, 7.456_999e2, seven);
        close("1 ft lbf", Dimension::Energy, 1.355_818, seven);
        close("1 lb/ft3", Dimension::Density, 1.601_846e1, seven);
        close("1 lb/gal", Dimension::Density, 1.198_264e2, seven);
        close("1 kgf/cm2", Dimension::Pressure, 9.806_65e4, 1e-15);
        close("1 ksi", Dimension::Pressure, 6.894_757e6, seven);
        close("1 atm", Dimension::PressureAbsolute, 1.013_25e5, 0.0);
        close("1 rpm", Dimension::RotationalSpeed, 1.0 / 60.0, 0.0);
        close("1 rad/s", Dimension::RotationalSpeed, 9.549_297 / 60.0, seven);
        close("1 deg", Dimension::Angle, 1.745_329e-2, seven);
    }

    #[test]
    fn metric_values_agree_with_their_literals() {
        for (text, dimension, si) in [
            ("70 bar", Dimension::Pressure, 7e6),
            ("0.7 MPa", Dimension::Pressure, 0.7e6),
            ("-0.8 bar", Dimension::Pressure, -0.8e5),
            ("1.013 bar abs", Dimension::PressureAbsolute, 1.013e5),
            ("12 L/min", Dimension::VolumeFlow, 12.0 / 60_000.0),
            ("12 l/min", Dimension::VolumeFlow, 2e-4),
            ("8 cm3/rev", Dimension::Displacement, 8e-6),
            ("250 mm", Dimension::Length, 0.25),
            ("24 mA", Dimension::Current, 0.024),
            ("22 Ω", Dimension::Resistance, 22.0),
            ("4.7 kΩ", Dimension::Resistance, 4700.0),
            ("350 mH", Dimension::Inductance, 0.35),
            ("10 µF", Dimension::Capacitance, 1e-5),
            ("10 uF", Dimension::Capacitance, 1e-5),
            ("46 cSt", Dimension::KinematicViscosity, 46e-6),
            ("46 mm²/s", Dimension::KinematicViscosity, 46e-6),
            ("1450 1/min", Dimension::RotationalSpeed, 1450.0 / 60.0),
            ("85%", Dimension::Ratio, 0.85),
            ("0.85", Dimension::Ratio, 0.85),
            ("12 N/mm", Dimension::Stiffness, 12e3),
            ("500 N·s/m", Dimension::DampingViscous, 500.0),
            ("20 A²s", Dimension::MeltingIntegral, 20.0),
            ("1.6 dm³/(s·bar)", Dimension::SonicConductance, 1.6e-8),
            ("0.39 %/K", Dimension::TemperatureCoefficient, 0.0039),
            ("1e3 mm", Dimension::Length, 1.0),
            (".5 s", Dimension::Time, 0.5),
            ("\u{2212}5 N", Dimension::Force, -5.0),
            ("3", Dimension::Count, 3.0),
            ("0 °C", Dimension::Temperature, 273.15),
            ("20 ℃", Dimension::Temperature, 293.15),
        ] {
            // One rounding of the product at most: the last bit.
            close(text, dimension, si, f64::EPSILON);
        }
        close("212 °F", Dimension::Temperature, 373.15, 1e-15);
        close("18 °F", Dimension::TemperatureDifference, 10.0, 1e-15);
    }

    #[test]
    fn mistakes_are_named() {
        let says = |text: &str, wanted| parse(text, wanted).unwrap_err().to_string();
        let pressure = Dimension::Pressure;
        assert_eq!(
            says("", pressure),
            "nothing is written here; a pressure is wanted, such as \"70 bar\""
        );
        assert_eq!(
            says("bar", pressure),
            "\"bar\" does not begin with a number; a pressure is wanted, such as \"70 bar\""
        );
        assert_eq!(
            says("70", pressure),
            "\"70\" has no unit; a pressure is wanted, such as \"70 bar\""
        );
        assert_eq!(
            says("70 baar", pressure),
            "\"baar\" is no known unit of pressure; did you mean \"bar\"?"
        );
        assert_eq!(
            says("70 Bar", pressure),
            "\"Bar\" is no known unit of pressure; did you mean \"bar\"?"
        );
        assert_eq!(
            says("70 bananas", pressure),
            "\"bananas\" is no known unit of pressure; write it as in \"70 bar\""
        );
        assert_eq!(
            says("70 bar", Dimension::PressureAbsolute),
            "\"70 bar\" is a pressure; an absolute pressure is wanted, such as \"1.013 bar abs\""
        );
        assert_eq!(
            says("1,5 bar", pressure),
            "\"1,5 bar\" has a comma; write the decimal point as in \"1.5 bar\", and no separator between thousands"
        );
        assert_eq!(
            says("1 000 bar", pressure),
            "\"1 000 bar\" has a gap inside the number; write the digits together"
        );
        assert_eq!(says("inf bar", pressure), "\"inf bar\" is not a finite number");
        assert_eq!(says("1e999 bar", pressure), "\"1e999 bar\" is not a finite number");
        assert_eq!(
            says("-300 °C", Dimension::Temperature),
            "\"-300 °C\" is out of range; a temperature lies between -273.1 °C and 99726.9 °C"
        );
        assert!(says(&"9".repeat(65), pressure).contains("too long"));
    }

    proptest! {
        #[test]
        fn no_text_makes_it_panic(text in "\\PC{0,70}") {
            for dimension in Dimension::ALL {
                if let Ok(value) = parse(&text, dimension) {
                    prop_assert!(value.is_finite());
                }
            }
        }

        #[test]
        fn every_unit_goes_there_and_back(value in -1e4f64..1e4) {
            for dimension in Dimension::ALL {
                for unit in dimension.units() {
                    let back = unit.from_si(unit.to_si(value));
                    let scale = value.abs() + unit.shift.abs();
                    prop_assert!((back - value).abs() <= 1e-14 * scale.max(1e-300));
                }
            }
        }

        #[test]
        fn what_is_written_is_read(value in 0.0f64..1e3) {
            for dimension in Dimension::ALL {
                for unit in dimension.units() {
                    let text = format!("{value} {}", unit.spelling);
                    match parse(&text, dimension) {
                        Ok(si) => prop_assert_eq!(si, unit.to_si(value)),
                        Err(error) => prop_assert!(error.is_out_of_range(), "{}: {}", text, error),
                    }
                }
            }
        }
    }
}
