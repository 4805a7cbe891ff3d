//! Values as the trade writes them: `"70 bar"`, `"12 L/min"`, `"24 V DC"`, `"1.5 mm2"`.
//!
//! Inside, everything is SI in an `f64`; a [`Dimension`] says which quantity a number is and
//! which units may stand behind it. Pressures are gauge pressures unless the dimension says
//! otherwise.
//!
//! ```
//! use spoolbench::quantity::{Dimension, UnitSystem, display, parse};
//! assert_eq!(parse("70 bar", Dimension::Pressure), Ok(7.0e6));
//! assert_eq!(display(7.0e6, Dimension::Pressure, UnitSystem::Si), "70.0 bar");
//! let slip = parse("12 L/min", Dimension::Pressure).unwrap_err();
//! assert_eq!(
//!     slip.to_string(),
//!     "\"12 L/min\" is a volume flow; a pressure is wanted, such as \"70 bar\""
//! );
//! ```

mod dimension;
mod display;
mod duration;
mod error;
mod parse;
mod restate;
mod supply;
mod units;

pub use dimension::Dimension;
pub use display::{UnitSystem, column_unit, column_value, display, guide_table};
pub use duration::parse_duration;
pub use error::QuantityError;
pub use parse::{LONGEST_TEXT, parse};
pub use restate::restated;
pub use supply::{Supply, SupplyKind};
pub use units::Unit;
