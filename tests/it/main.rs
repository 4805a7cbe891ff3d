//! One binary for all behaviour tests; a module per behaviour.
#![allow(clippy::disallowed_methods)]

mod coils;
mod conservation;
mod data;
mod heat;
mod hydraulics;
mod machines;
mod pneumatics;
