//! Circuit drawings: symbols, placement and routing, as plain marks that a report prints as SVG and the window paints.
//!
//! Lengths are in modules [M]; one module is the grid of ISO 1219-1 and IEC 60617 symbols (2.5 mm on paper).
//! x grows to the right, y grows downwards. Nothing here knows a screen, a file format or a colour.

pub mod sheet;

pub use sheet::{Align, Ink, Mark, Point, Shape, Sheet, Subject};
