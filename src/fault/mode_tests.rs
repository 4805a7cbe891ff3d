//! Modes.
