//! One binary for all behaviour tests; a module per behaviour.
#![allow(clippy::disallowed_methods)]

mod coils;
mod conservation;
mod hydraulics;
mod machines;
mod tidy;
