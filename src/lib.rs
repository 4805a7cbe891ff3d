//! Spoolbench: a deterministic training bench for electrically controlled fluid power.
pub mod base;
pub mod bench;
pub mod diagnostic;
pub mod electric;
pub mod fluid;
pub mod kernel;
pub mod plant;
pub mod quantity;
pub mod session;
pub mod shift;
