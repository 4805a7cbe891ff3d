//! What an instructor writes, turned into a plan.
//!
//! A bench file is RON: parts by tag, rungs or wires between their terminals, lines between their
//! ports. Everything that is wrong with it is reported at once, with its place and how to mend it.

mod assembly;
pub mod catalogue;
mod fields;
mod guide;
mod load;
pub mod netlist;
pub mod tree;

pub use assembly::Assembly;
pub use catalogue::{ClassSpec, FieldKind, FieldSpec, Side, classes};
pub use fields::Fields;
pub use guide::guide;
pub use load::{Accepted, Bench, FORMAT, Sheet, load, load_with};
