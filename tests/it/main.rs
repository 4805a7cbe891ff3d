//! One binary for all behaviour tests; a module per behaviour.
#![allow(clippy::disallowed_methods, clippy::expect_used, clippy::panic)]

mod air;
mod attempts;
mod batch;
mod class;
mod coils;
mod commands;
mod conservation;
mod controls;
mod data;
mod digests;
mod emergence;
mod drawings;
mod entries;
mod fuzzed;
mod evidence;
mod fluids;
mod guide;
mod heat;
mod handed_in;
mod hostile;
mod hydraulics;
mod lint;
mod machines;
mod mistakes;
mod panel;
mod oil;
mod pneumatics;
mod pressure_valves;
mod proportional;
mod reports;
mod scenarios;
mod shared;
mod tidy;
mod waves;
mod window;
