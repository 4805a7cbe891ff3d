//! Circuit drawings: symbols, placement and routing, as plain marks that a report prints as SVG and the window paints.
//!
//! Lengths are in modules [M]; one module is the grid of ISO 1219-1 and IEC 60617 symbols (2.5 mm on paper).
//! x grows to the right, y grows downwards. Nothing here knows a screen, a file format or a colour.
//!
//! [`control::sheet`] and [`power::sheet`] turn a plan into the two sheets, [`seam::of`] lists what stands on
//! both. [`live::Live`] holds the state of a run under the names of the marks' subjects, and [`live::apply`]
//! gives a sheet with that state drawn in.

pub mod control;
mod labels;
pub mod live;
pub mod power;
pub mod seam;
pub mod sheet;
pub mod symbols;

pub use sheet::{Align, Area, Ink, Mark, Motion, Point, Shape, Sheet, Subject};

/// In which manner the control sheet is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Style {
    /// Symbols of IEC 60617; rails above and below, current paths from top to bottom.
    #[default]
    Iec,
    /// North American ladder: rails left and right, rungs from left to right.
    NorthAmerican,
}
