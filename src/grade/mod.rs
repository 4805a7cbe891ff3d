//! Marks: an attempt replayed, every reading recomputed, judged by the scenario's rubric.
//!
//! Nothing in a submitted file is believed but its actions and their times. The same scenario and
//! the same attempt give the same grade, byte for byte, on any machine and any number of threads.

mod case;
mod judge;
mod mark;
mod marker;

pub use judge::GradeError;
pub use mark::{CriterionMark, EvidenceReport, Grade, HazardLine, StoryLine, Verdict};
pub use marker::{Marker, grade};
