//! Marks: an attempt replayed, every reading recomputed, judged by the scenario's rubric.
//!
//! Nothing in a submitted file is believed but its actions and their times. The same scenario and
//! the same attempt give the same grade, byte for byte, on any machine and any number of threads.

mod case;
mod judge;
mod mark;
mod marker;
mod results;

pub use crate::diagnosis::evidence::{EvidenceStep, Kind as EvidenceKind};
pub use judge::GradeError;
pub use mark::{CriterionMark, EvidenceReport, Grade, HazardLine, ReadingLine, StoryLine, Verdict};
pub use marker::{Marker, grade};
pub use results::{
    Came, Kept, KeptLine, ListDigest, Partition, RESULTS_FORMAT, RESULTS_START, RESULTS_VERSION,
    ResultsError, ResultsHead, ResultsWriter, Tally, WholeList, begins_results, content_digest,
    grade_in, graded_line, merge, ungraded_line,
};
