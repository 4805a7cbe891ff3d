//! Spoolbench: a deterministic training bench for electrically controlled fluid power.
pub mod base;
pub mod electric;
pub mod fault;
pub mod fluid;
pub mod kernel;
pub mod plant;
pub mod shift;
