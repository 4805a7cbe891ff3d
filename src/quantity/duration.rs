//! Spans of bench time, read in whole nanoseconds.

use super::parse::{squeeze, within_length};
use super::{Dimension, QuantityError};
use crate::base::{SimTime, nearest};

/// Units from long to short, with their length [ns].
const UNITS: [(&str, u128); 6] = [
    ("h", 3_600_000_000_000),
    ("min", 60_000_000_000),
    ("s", 1_000_000_000),
    ("ms", 1_000_000),
    ("us", 1_000),
    ("ns", 1),
];

/// A span such as `"10 s"`, `"250 ms"` or `"1 min 30 s"`, exact to the nanosecond; what is finer is
/// rounded to the nearest.
///
/// # Errors
/// A [`QuantityError`]; durations are never negative and end with the range of [`SimTime`].
///
/// ```
/// use spoolbench::base::SimTime;
/// use spoolbench::quantity::parse_duration;
/// assert_eq!(parse_duration("1 min 30.5 s"), Ok(SimTime::from_millis(90_500)));
/// ```
pub fn parse_duration(text: &str) -> Result<SimTime, QuantityError> {
    let wanted = Dimension::Time;
    let text = within_length(text)?;
    if text.is_empty() {
        return Err(QuantityError::Empty { wanted });
    }
    let whole = || text.to_owned();
    let out_of_range = || QuantityError::OutOfRange {
        text: whole(),
        wanted,
        low: "0 s".to_owned(),
        high: "584 years".to_owned(),
    };
    let mut total_ns: u128 = 0;
    let mut shortest = UNITS.len();
    let mut first = true;
    let mut rest = text;
    while !rest.is_empty() {
        let digits_end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let (digits, after) = rest.split_at(digits_end);
        if after.trim_start().starts_with(',') {
            return Err(QuantityError::Comma {
                text: whole(),
                instead: text.replacen(',', ".", 1),
            });
        }
        if rest.starts_with(['-', '\u{2212}']) {
            return Err(out_of_range());
        }
        let Some((integer, fraction)) = decimal(digits) else {
            return Err(QuantityError::NotANumber { text: whole(), wanted });
        };
        let after = after.trim_start();
        let unit_end =
            after.find(|c: char| c.is_whitespace() || c.is_ascii_digit()).unwrap_or(after.len());
        let (written, next) = after.split_at(unit_end);
        if written.is_empty() {
            return Err(if next.is_empty() {
                QuantityError::NoUnit { number: whole(), wanted }
            } else {
                QuantityError::Gap { text: whole() }
            });
        }
        let unit = squeeze(written);
        let Some(index) = UNITS.iter().position(|(name, _)| *name == unit) else {
            let found = Dimension::ALL
                .into_iter()
                .find(|d| d.units().iter().any(|u| squeeze(u.spelling) == unit));
            return Err(match found {
                Some(found) => QuantityError::OtherDimension { text: whole(), found, wanted },
                None => QuantityError::UnknownUnit {
                    unit: written.to_owned(),
                    wanted,
                    nearest: nearest(&unit, UNITS.iter().map(|(name, _)| *name)),
                },
            });
        };
        if !first && index <= shortest {
            return Err(QuantityError::DurationOrder { text: whole() });
        }
        (shortest, first) = (index, false);
        let unit_ns = UNITS[index].1;
        let part = integer.saturating_mul(unit_ns).saturating_add(fraction_ns(fraction, unit_ns));
        total_ns = total_ns.saturating_add(part);
        rest = next.trim_start();
    }
    u64::try_from(total_ns).map(SimTime::from_nanos).map_err(|_| out_of_range())
}

/// Whole part and digits of the fraction. `None` unless there is a digit and at most one point.
fn decimal(digits: &str) -> Option<(u128, &str)> {
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    if fraction.contains('.') || (whole.is_empty() && fraction.is_empty()) {
        return None;
    }
    let mut value: u128 = 0;
    for digit in whole.bytes() {
        value = value.saturating_mul(10).saturating_add(u128::from(digit - b'0'));
    }
    Some((value, fraction))
}

/// The fraction of a unit [ns], rounded to the nearest.
fn fraction_ns(fraction: &str, unit_ns: u128) -> u128 {
    // 18 digits of an hour are far below a nanosecond.
    let mut numerator: u128 = 0;
    let mut denominator: u128 = 1;
    for digit in fraction.bytes().take(18) {
        numerator = numerator * 10 + u128::from(digit - b'0');
        denominator *= 10;
    }
    (2 * numerator * unit_ns + denominator) / (2 * denominator)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn spans_are_exact() {
        for (text, ns) in [
            ("10 s", 10_000_000_000),
            ("250ms", 250_000_000),
            ("0.1 s", 100_000_000),
            ("1 min 30 s", 90_000_000_000),
            ("1h30min", 5_400_000_000_000),
            ("1.5 h", 5_400_000_000_000),
            ("2 s 5 ms 1 ns", 2_005_000_001),
            ("3 µs", 3_000),
            ("0.4 ns", 0),
            ("0.5 ns", 1),
            ("0 s", 0),
        ] {
            assert_eq!(parse_duration(text), Ok(SimTime::from_nanos(ns)), "{text}");
        }
    }

    #[test]
    fn mistakes_are_named() {
        let says = |text: &str| parse_duration(text).unwrap_err().to_string();
        assert_eq!(says("10"), "\"10\" has no unit; a time is wanted, such as \"40 ms\"");
        assert!(says("30 s 1 min").contains("from the longest unit"));
        assert!(says("1 s 1 s").contains("each once"));
        assert!(says("-1 s").contains("out of range"));
        assert!(says("999999999 h").contains("out of range"));
        assert!(says("9999999999999999999999999999999999999999 h").contains("out of range"));
        assert!(says("1,5 s").contains("\"1.5 s\""));
        assert!(says("1.5.5 s").contains("number"));
        assert!(says("10 sec").contains("no known unit"));
        assert!(says("10 bar").contains("is a pressure"));
        assert!(says("1 000 s").contains("gap"));
    }

    proptest! {
        #[test]
        fn no_text_makes_it_panic(text in "[0-9.hmnsui ,-]{0,40}|\\PC{0,40}") {
            let _ = parse_duration(&text);
        }

        #[test]
        fn nanoseconds_read_back(ns in any::<u64>()) {
            prop_assert_eq!(parse_duration(&format!("{ns} ns")), Ok(SimTime::from_nanos(ns)));
            let (s, rest) = (ns / 1_000_000_000, ns % 1_000_000_000);
            let text = format!("{s}.{rest:09} s");
            prop_assert_eq!(parse_duration(&text), Ok(SimTime::from_nanos(ns)));
        }
    }
}
