//! Results handed on: one file a format. Pages for people, files for other programs.
//!
//! Nothing here knows the wall clock or the name of a person: times are those of the attempt, learners
//! are pseudonyms, and the same grade gives the same bytes. What people read comes from the catalogues
//! of [`language`](crate::language); what is quoted from a bench, a scenario or a session stands as it is
//! there.

mod attempt;
mod class;
mod film;
mod gradebook;
mod junit;
mod lab_sheet;
mod narrowing;
mod page;
mod plot;
mod reader;
mod record;
mod scenes;
pub mod svg;
mod vcd;
mod xapi;

pub use attempt::attempt;
pub use class::Class;
pub use film::{Fault, Film, Kind, Moment, Scene, Trace, film};
pub use gradebook::{COLUMNS, GradeBook};
pub use junit::JUnit;
pub use lab_sheet::lab_sheet;
pub use reader::Reader;
pub use record::{Record, stem};
pub use vcd::{Course, vcd, vcd_probes};
pub use xapi::statements;
