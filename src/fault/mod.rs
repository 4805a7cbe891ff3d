//! What can go wrong with a part, when it does, and the scripts that decide it.
//!
//! A fault changes the [`Condition`](crate::plant::Condition) of a part, a new part undoes it; what
//! the learner meets follows from the physics. [`modes_of`] lists the credible modes of a part,
//! [`apply`] brings one about, and an [`Injector`] brings about a whole scenario: faults with their
//! onsets, and scripts that choose among them.
//!
//! ```
//! use spoolbench::fault::{Script, ScriptFaultKind};
//! assert!(Script::new("dead rung", r#"fn setup(bench) { bench.inject("K1", "open"); }"#).is_ok());
//! let slip = Script::new("typing slip", "fn setup(bench) { bench.inject( }").unwrap_err();
//! assert_eq!((slip.kind, slip.line), (ScriptFaultKind::Syntax, Some(1)));
//! ```

mod effect;
mod event;
mod inject;
mod modes;
mod roster;
mod sandbox;
mod scene;
mod script;
mod table;

#[cfg(test)]
mod fixture;
#[cfg(test)]
mod mode_tests;
#[cfg(test)]
mod run_tests;

pub use inject::{Fault, FaultError, InjectError, Injector, Onset, apply};
pub use modes::{Kind, ModeSpec, Repair, SeveritySpec, guide_table, mode_named, modes_of};
pub use sandbox::Limits;
pub use script::{Script, ScriptFault, ScriptFaultKind};
pub use table::TABLE;
