//! Spoolbench: a deterministic training bench for electrically controlled fluid power.
pub mod base;
pub mod bench;
pub mod diagnostic;
pub mod quantity;
