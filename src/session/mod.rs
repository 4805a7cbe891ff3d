//! The only door to a run: actions in, what a learner can see out, the clock forward.
//!
//! A [`Session`] carries a [`Rig`] through one attempt. Every [`Action`] takes bench time, during
//! which the plant runs on; instruments have range, resolution and burden; what is dangerous is
//! judged by the true state of the plant and recorded as a [`Hazard`]. An attempt is kept as a
//! [journal](read_journal) of actions and integer times, and [`replay`] makes the same session of it
//! again.

mod action;
mod cost;
mod rig;
mod words;

pub use action::{Action, Entry, Finger, Position, Side, Tool};
pub use cost::{Cost, Costs};
pub use rig::{Director, DirectorError, Injected, NoFaults, Repair, Rig, RigError};
pub use words::{VerbSpec, WordsError, help, parse, verbs};
