//! Symbols on the module grid, each in its own coordinates: by IEC 60617 (or as North American ladders have
//! them) for the control side, by ISO 1219-1 for the power side. What was checked stands in `docs/symbols.md`.

pub mod electric;
pub mod fluid;
mod pen;
mod valve;

pub use pen::{Anchor, Facing, Glyph, Pen};
pub use valve::main_spool;
