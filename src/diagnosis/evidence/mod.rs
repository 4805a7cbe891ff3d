//! What a learner's own observations could and did tell.
//!
//! An [`Inquiry`] holds every suspect: each credible single fault, each pair that the author lists,
//! and the sound machine. The learner's hands are repeated on a machine with each of them, in
//! lockstep; a suspect whose machine would have shown something else than the learner met is
//! excluded. What remains after each action is the set that explains everything seen so far, in the
//! states that this learner's machine was then in.
//!
//! A suspect is simulated in its usual size and, where the real fault has a size or an onset of its
//! own, also in that one; it is excluded when none of them fits.

mod alike;
mod inquiry;
mod outlook;
mod memory;
mod moment;
mod repeat;
mod sound;
mod track;

pub use inquiry::{EvidenceStep, Inquiry, Kind, RigMaker, Trail};
pub use memory::Recall;
pub use outlook::{Advice, Outlook};
