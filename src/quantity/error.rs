//! Why a text is not a quantity, said so that its author can mend it.

use super::Dimension;
use thiserror::Error;

/// Why a text is not a value of the dimension wanted. Reading may go on with the next value.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum QuantityError {
    /// The text holds nothing.
    #[error("nothing is written here; {} is wanted, such as \"{}\"", wanted.with_article(), wanted.example())]
    Empty {
        /// What was wanted.
        wanted: Dimension,
    },
    /// The text is longer than any value.
    #[error("{length} bytes are too long for a value; at most {most} are read")]
    TooLong {
        /// Its length [bytes].
        length: usize,
        /// The longest text read [bytes].
        most: usize,
    },
    /// It does not begin with a number.
    #[error("\"{text}\" does not begin with a number; {} is wanted, such as \"{}\"", wanted.with_article(), wanted.example())]
    NotANumber {
        /// The text as written.
        text: String,
        /// What was wanted.
        wanted: Dimension,
    },
    /// A comma stands where a decimal point belongs.
    #[error(
        "\"{text}\" has a comma; write the decimal point as in \"{instead}\", and no separator between thousands"
    )]
    Comma {
        /// The text as written.
        text: String,
        /// The text with a point instead.
        instead: String,
    },
    /// The digits are grouped.
    #[error("\"{text}\" has a gap inside the number; write the digits together")]
    Gap {
        /// The text as written.
        text: String,
    },
    /// A number alone.
    #[error("\"{number}\" has no unit; {} is wanted, such as \"{}\"", wanted.with_article(), wanted.example())]
    NoUnit {
        /// The number as written.
        number: String,
        /// What was wanted.
        wanted: Dimension,
    },
    /// A unit of something else.
    #[error("\"{text}\" is {}; {} is wanted, such as \"{}\"", found.with_article(), wanted.with_article(), wanted.example())]
    OtherDimension {
        /// The text as written.
        text: String,
        /// What it is.
        found: Dimension,
        /// What was wanted.
        wanted: Dimension,
    },
    /// A unit nobody knows.
    #[error("\"{unit}\" is no known unit of {}{}", wanted.name(), hint(.nearest, *.wanted))]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What was wanted.
        wanted: Dimension,
        /// The accepted unit that looks most like it.
        nearest: Option<&'static str>,
    },
    /// Infinite, not a number, or too large for the computer's numbers.
    #[error("\"{text}\" is not a finite number")]
    NotFinite {
        /// The text as written.
        text: String,
    },
    /// A number no machine of this kind can have.
    #[error("\"{text}\" is out of range; {} lies between {low} and {high}", wanted.with_article())]
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
    #[error(
        "\"{text}\" does not say DC or AC; write \"{text} DC\", or \"{text} AC\" with the frequency"
    )]
    NoSupplyKind {
        /// The text as written.
        text: String,
    },
    /// An AC supply without its frequency.
    #[error("\"{text}\" has no frequency; write \"{text} 50 Hz\" or \"{text} 60 Hz\"")]
    NoFrequency {
        /// The text as written.
        text: String,
    },
    /// Something after the last part of a value.
    #[error("\"{rest}\" is not understood after \"{before}\"")]
    Trailing {
        /// What was understood.
        before: String,
        /// What was not.
        rest: String,
    },
    /// The parts of a duration do not go from long to short.
    #[error(
        "\"{text}\" must go from the longest unit to the shortest, each once, as in \"1 min 30 s\""
    )]
    DurationOrder {
        /// The text as written.
        text: String,
    },
}

fn hint(nearest: &Option<&'static str>, wanted: Dimension) -> String {
    match nearest {
        Some(unit) => format!("; did you mean \"{unit}\"?"),
        None => format!("; write it as in \"{}\"", wanted.example()),
    }
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
