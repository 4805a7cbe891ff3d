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
mod fluids;
mod guide;
mod heat;
mod hostile;
mod hydraulics;
mod lint;
mod machines;
mod mistakes;
mod pneumatics;
mod pressure_valves;
mod reports;
mod scenarios;
mod tidy;
mod waves;
