//! The only door to a run: actions in, what a learner can tell out, the clock forward.
//!
//! A [`Session`] carries a [`Rig`] through one attempt. Every [`Action`] takes bench time, during
//! which the plant runs on; instruments have range, resolution and burden; what is dangerous is
//! judged by the true state of the plant and recorded as a [`Hazard`]. An attempt is kept as a
//! [journal](read_journal) of actions and integer times, and [`replay`] makes the same session of it
//! again.
//!
//! ```
//! use std::sync::Arc;
//! use spoolbench::plant::{PlanBuilder, Plant, Tie, Trigger};
//! use spoolbench::session::{Rig, Session, SessionConfig, parse};
//! let mut b = PlanBuilder::new("one button", 20.0);
//! b.part("S1", "PushButton", "start");
//! b.operator("head", Tie::Hand, Trigger::Hand, false);
//! let plant = Plant::new(Arc::new(b.finish()?), 7);
//! let mut session = Session::new(Rig::sound(plant), SessionConfig::default());
//! session.act(parse("hold S1")?)?;
//! let outcome = session.act(parse("look S1")?)?;
//! assert_eq!(outcome.lines[0].to_string(), "S1 is pushed");
//! assert_eq!(session.now().as_secs_f64(), 6.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod action;
mod cost;
mod file;
mod hazard;
mod instrument;
mod intervene;
mod isolation;
mod journal;
mod lead;
mod overuse;
mod people;
mod perform;
mod refusal;
mod rig;
mod script;
mod senses;
#[allow(clippy::module_inception)] // It holds the type the module is named after.
mod session;
mod task;
#[cfg(test)]
mod tests;
mod watch;
mod words;

pub use action::{Action, Entry, Finger, Position, Side, Tool};
pub use cost::{Cost, Costs};
pub use file::{create_attempt, latest_attempt, reopen_attempt};
pub use hazard::{Evidence, Hazard, HazardRecord, Severity};
pub use instrument::{GAUGE_RANGES, METER_OHM, Reading, VACUUM_RANGE};
pub use isolation::{SAFE_PA, SAFE_VOLTS, is_isolator as takes_a_lock};
pub use journal::{
    Attempt, FORMAT, Header, JOURNAL_LIMIT, JOURNAL_LINE_LIMIT, JournalError, JournalKind,
    JournalWriter, ReplayError, Torn, VERSION, is_moment, read_beginning, read_header,
    read_journal, replay,
};
pub use refusal::ActError;
pub use rig::{
    Director, DirectorError, HAPPENING_LIMIT, Injected, NoFaults, Repair, Rig, RigError, STEP_LIMIT,
};
pub use script::{Line, read_actions};
pub use senses::seen;
pub use session::{
    Ended, FILM_LIMIT, LogEntry, Outcome, Seen, Session, SessionConfig, SessionLog, TEXT_LIMIT,
    TEXT_TOTAL, TRACE_LIMIT,
};
pub use task::settings_of;
pub use watch::{Sample, Watch};
pub use words::{LINE_LIMIT, VerbSpec, WordsError, guide_table, help, parse, verbs};
