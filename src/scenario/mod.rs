//! A task for a learner: a bench, hidden faults, a brief, tools, and how the work is marked.
//!
//! A scenario is loaded through a [`Shelf`], which gives files by name: the file system for an
//! instructor, the shipped set for the demo, a map for tests. A [`Drill`] asks before it shows: what
//! its machines do is found by running them, and decides which of the choices is right.

mod dictionary;
mod drill;
mod expect;
mod load;
mod play;
mod prompter;
mod rubric;
mod shelf;
mod trial;

pub use drill::{Choice, Drill, Question, is_drill, letter, load_drill};
pub use expect::Expectation;
pub use load::{Answer, FORMAT, Retest, Scenario, fetch, load, load_any, script_problem};
pub use play::{PlayError, play};
pub use prompter::problem_code;
pub use rubric::{Band, Criterion, LossBand, Rubric};
pub use shelf::{Disk, FILE_LIMIT, Shelf, Shipped, Unread};
pub use trial::{does_its_work, misses};
