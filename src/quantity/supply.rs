//! A supply's nominal voltage with its kind: "24 V DC", "120 V AC 60 Hz".

use super::parse::{in_range, split_number, squeeze, within_length};
use super::{Dimension, QuantityError};
use std::fmt;
use std::str::FromStr;

/// Highest nominal voltage of a supply [V]: the end of low voltage for AC.
const HIGHEST_VOLTS: f64 = 1000.0;

/// A nominal supply, as it stands on a nameplate.
///
/// ```
/// use spoolbench::quantity::{Supply, SupplyKind};
/// let supply: Supply = "120 VAC 60 Hz".parse()?;
/// assert_eq!(supply.kind, SupplyKind::Ac { hertz: 60.0 });
/// assert_eq!(supply.to_string(), "120 V AC 60 Hz");
/// assert!("230 V AC".parse::<Supply>().is_err());
/// # Ok::<(), spoolbench::quantity::QuantityError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// Nominal voltage [V], greater than zero; the effective value for AC.
    pub volts: f64,
    /// Direct or alternating.
    pub kind: SupplyKind,
}

/// Direct or alternating.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SupplyKind {
    /// Direct.
    Dc,
    /// Alternating.
    Ac {
        /// Nominal frequency [Hz], greater than zero.
        hertz: f64,
    },
}

impl Supply {
    /// A direct supply of `volts` [V].
    #[must_use]
    pub const fn dc(volts: f64) -> Self {
        Supply { volts, kind: SupplyKind::Dc }
    }

    /// An alternating supply of `volts` [V] effective and `hertz` [Hz].
    #[must_use]
    pub const fn ac(volts: f64, hertz: f64) -> Self {
        Supply { volts, kind: SupplyKind::Ac { hertz } }
    }

    /// Whether it is direct.
    #[must_use]
    pub fn is_dc(&self) -> bool {
        self.kind == SupplyKind::Dc
    }

    /// Reads "24 V DC", "24 VDC", "120 V AC 60 Hz".
    ///
    /// # Errors
    /// A [`QuantityError`]; an AC supply must state its frequency.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let text = within_length(text)?;
        let wanted = Dimension::Voltage;
        if text.is_empty() {
            return Err(QuantityError::Empty { wanted });
        }
        let (number, rest) = split_number(text, wanted)?;
        let (unit, rest) = volt_unit(rest);
        let Some(unit) = unit else {
            // Either no unit at all or one of something else: the ordinary reader says which.
            return match super::parse(text, wanted) {
                Err(error) => Err(error),
                Ok(_) => Err(QuantityError::NoSupplyKind { text: text.to_owned() }),
            };
        };
        let volts = in_range(wanted.unit(unit).to_si(number), text, wanted)?;
        if volts <= 0.0 || volts > HIGHEST_VOLTS {
            let (low, high) = ("just above 0 V".to_owned(), format!("{HIGHEST_VOLTS} V"));
            return Err(QuantityError::OutOfRange { text: text.to_owned(), wanted, low, high });
        }
        let rest = rest.trim_start_matches([' ', ',']);
        let kind = rest.get(..2).map(str::to_ascii_uppercase);
        let after = rest.get(2..).unwrap_or("").trim_matches([' ', ',']);
        match kind.as_deref() {
            Some("DC") if after.is_empty() => Ok(Supply::dc(volts)),
            Some("DC") => Err(QuantityError::Trailing {
                before: format!("{volts} V DC"),
                rest: after.to_owned(),
            }),
            Some("AC") if after.is_empty() => {
                Err(QuantityError::NoFrequency { text: text.to_owned() })
            }
            Some("AC") => {
                let hertz = super::parse(after, Dimension::Frequency)?;
                if (1.0..=1000.0).contains(&hertz) {
                    return Ok(Supply::ac(volts, hertz));
                }
                Err(QuantityError::OutOfRange {
                    text: after.to_owned(),
                    wanted: Dimension::Frequency,
                    low: "1 Hz".to_owned(),
                    high: "1000 Hz".to_owned(),
                })
            }
            _ if rest.is_empty() => Err(QuantityError::NoSupplyKind { text: text.to_owned() }),
            _ => {
                Err(QuantityError::Trailing { before: format!("{volts} V"), rest: rest.to_owned() })
            }
        }
    }
}

/// The voltage unit at the beginning, and what follows it.
fn volt_unit(text: &str) -> (Option<&'static str>, &str) {
    for unit in ["kV", "mV", "V"] {
        if let Some(rest) = text.strip_prefix(unit) {
            // "VA" is an apparent power, unless it goes on to "VAC".
            let next = squeeze(rest).to_ascii_uppercase();
            if next.is_empty()
                || next.starts_with("AC")
                || next.starts_with("DC")
                || rest.starts_with([' ', ','])
            {
                return (Some(unit), rest);
            }
        }
    }
    (None, text)
}

impl FromStr for Supply {
    type Err = QuantityError;
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        Supply::parse(text)
    }
}

impl fmt::Display for Supply {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.kind {
            SupplyKind::Dc => write!(f, "{} V DC", self.volts),
            SupplyKind::Ac { hertz } => write!(f, "{} V AC {hertz} Hz", self.volts),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nameplates_are_read() {
        for text in ["24 V DC", "24V DC", "24VDC", "24 Vdc", " 24 V, DC ", "0.024 kV DC"] {
            assert_eq!(Supply::parse(text), Ok(Supply::dc(24.0)), "{text}");
        }
        for text in ["120 V AC 60 Hz", "120VAC 60Hz", "120 V AC, 60 Hz", "120 Vac60Hz"] {
            assert_eq!(Supply::parse(text), Ok(Supply::ac(120.0, 60.0)), "{text}");
        }
    }

    #[test]
    fn mistakes_are_named() {
        let says = |text: &str| Supply::parse(text).unwrap_err().to_string();
        assert_eq!(
            says("230 V AC"),
            "\"230 V AC\" has no frequency; write \"230 V AC 50 Hz\" or \"230 V AC 60 Hz\""
        );
        assert_eq!(
            says("24 V"),
            "\"24 V\" does not say DC or AC; write \"24 V DC\", or \"24 V AC\" with the frequency"
        );
        assert_eq!(says("24 V DC 50 Hz"), "\"50 Hz\" is not understood after \"24 V DC\"");
        assert_eq!(says("24 V three"), "\"three\" is not understood after \"24 V\"");
        assert_eq!(says("24"), "\"24\" has no unit; a voltage is wanted, such as \"24 V\"");
        assert!(says("24 VA").contains("is an apparent power"));
        assert!(says("0 V DC").contains("out of range"));
        assert!(says("400 kV DC").contains("out of range"));
        assert!(says("230 V AC 5 kHz").contains("out of range"));
        assert!(says("230 V AC 50 bar").contains("a frequency is wanted"));
    }

    proptest! {
        #[test]
        fn what_is_shown_reads_back(volts in 0.001f64..1000.0, hertz in 1.0f64..1000.0) {
            for supply in [Supply::dc(volts), Supply::ac(volts, hertz)] {
                prop_assert_eq!(Supply::parse(&supply.to_string()), Ok(supply));
            }
        }

        #[test]
        fn no_text_makes_it_panic(text in "[0-9.]{0,4} ?[kmV]{0,2} ?\\PC{0,20}") {
            let _ = Supply::parse(&text);
        }
    }
}
