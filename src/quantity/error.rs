//! Why a text is not a quantity, said so that its author can mend it.

use super::Dimension;
use thiserror::Error;

/// Why a text is not a value of the dimension wanted. Reading may go on with the next value. Shown as
/// the English sentence of the message catalogue.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum QuantityError {
    /// The text holds nothing.
    Empty {
        /// What was wanted.
        wanted: Dimension,
    },
    /// The text is longer than any value.
    TooLong {
        /// Its length [bytes].
        length: usize,
        /// The longest text read [bytes].
        most: usize,
    },
    /// It does not begin with a number.
    NotANumber {
        /// The text as written.
        text: String,
        /// What was wanted.
        wanted: Dimension,
    },
    /// A comma stands where a decimal point belongs.
    Comma {
        /// The text as written.
        text: String,
        /// The text with a point instead.
        instead: String,
    },
    /// The digits are grouped.
    Gap {
        /// The text as written.
        text: String,
    },
    /// A number alone.
    NoUnit {
        /// The number as written.
        number: String,
        /// What was wanted.
        wanted: Dimension,
    },
    /// A unit of something else.
    OtherDimension {
        /// The text as written.
        text: String,
        /// What it is.
        found: Dimension,
        /// What was wanted.
        wanted: Dimension,
    },
    /// A unit nobody knows.
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What was wanted.
        wanted: Dimension,
        /// The accepted unit that looks most like it.
        nearest: Option<&'static str>,
    },
    /// Infinite, not a number, or too large for the computer's numbers.
    NotFinite {
        /// The text as written.
        text: String,
    },
    /// A number no machine of this kind can have.
    OutOfRange {
        /// The text as written.
        text: String,
        /// What was wanted.
        wanted: Dimension,
        /// The least accepted value, as text.
        low: String,
        /// The greatest accepted value, as text.
        high: String,
    },
    /// A supply that says neither DC nor AC.
    NoSupplyKind {
        /// The text as written.
        text: String,
    },
    /// An AC supply without its frequency.
    NoFrequency {
        /// The text as written.
        text: String,
    },
    /// Something after the last part of a value.
    Trailing {
        /// What was understood.
        before: String,
        /// What was not.
        rest: String,
    },
    /// The parts of a duration do not go from long to short.
    DurationOrder {
        /// The text as written.
        text: String,
    },
}

impl QuantityError {
    /// Whether the value is well written but measures something else.
    #[must_use]
    pub fn is_wrong_dimension(&self) -> bool {
        matches!(self, QuantityError::OtherDimension { .. })
    }

    /// Whether the value is well written but too small or too large.
    #[must_use]
    pub fn is_out_of_range(&self) -> bool {
        matches!(self, QuantityError::OutOfRange { .. } | QuantityError::NotFinite { .. })
    }

    /// Whether only the unit is missing.
    #[must_use]
    pub fn is_missing_unit(&self) -> bool {
        matches!(self, QuantityError::NoUnit { .. })
    }
}
