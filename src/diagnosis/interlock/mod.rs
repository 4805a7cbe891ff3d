//! Exhaustive checking of an interlock: every state that hands, relays, timers, valves and axes can
//! bring a bench into, explored breadth first in a discrete model derived from the plan.
//!
//! The model knows no times, currents or pressures: relays settle one after another in every order,
//! a hand moves only when they have, timers and axes take as long as they like. What it finds is
//! claimed of the model only; [`replay`] tries a counterexample on the full simulation. Fuses are
//! taken as sound, push-buttons as let go when the supply returns.
//!
//! ```
//! use spoolbench::diagnosis::interlock::{Options, Property, Verdict, check};
//! # let source = std::fs::read_to_string("scenarios/press.bench.ron").unwrap();
//! # let mut found = spoolbench::diagnostic::Diagnostics::new();
//! # let bench = spoolbench::bench::load("press.bench.ron", &source, &mut found).unwrap();
//! let report = check(&bench.plan, &Options::default())?;
//! let spool = spoolbench::base::SpoolId::new(0);
//! let never = Property::NotBothCoils { spool, settled: false };
//! assert_eq!(report.verdict(never), Some(&Verdict::Holds));
//! println!("{}", report.extent());
//! # Ok::<(), spoolbench::diagnosis::interlock::InterlockError>(())
//! ```

mod check;
mod circuit;
mod element;
mod explore;
mod fault;
mod fluid;
mod latent;
mod model;
mod order;
mod property;
mod replay;
mod single;
mod story;

pub use check::{Options, check, check_under};
pub use explore::{Limits, STATE_CEILING};
pub use fault::Fault;
pub use latent::{LatentFinding, Sign, latent_faults};
pub use model::InterlockError;
pub use property::{Finding, InterlockReport, Output, Property, SafeState, Verdict};
pub use replay::{Replay, perform, replay};
pub use single::{FaultFinding, Onset, check_faults};
pub use story::{Action, Counterexample, Happens, Step, TimedAction};

#[cfg(test)]
mod tests;
