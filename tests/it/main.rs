//! One binary for all behaviour tests; a module per behaviour.
#![allow(clippy::disallowed_methods, clippy::expect_used, clippy::panic)]

mod air;
mod attempts;
mod batch;
mod coils;
mod commands;
mod conservation;
mod controls;
mod data;
mod digests;
mod drawings;
mod fluids;
mod guide;
mod heat;
mod hostile;
mod hydraulics;
mod machines;
mod mistakes;
mod pneumatics;
mod reports;
mod pressure_valves;
mod scenarios;
mod tidy;
mod window;
