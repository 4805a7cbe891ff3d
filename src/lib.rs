//! Spoolbench: a deterministic training bench for electrically controlled fluid power.

pub mod base;
pub mod kernel;
pub mod electric;
pub mod fluid;
pub mod shift;
pub mod plant;
