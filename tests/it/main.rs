//! One binary for all behaviour tests; a module per behaviour.
#![allow(clippy::disallowed_methods, clippy::expect_used, clippy::panic)]

mod coils;
mod conservation;
mod controls;
mod data;
mod heat;
mod hostile;
mod hydraulics;
mod machines;
mod pneumatics;
mod tidy;
