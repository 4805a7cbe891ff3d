//! Results handed on: one file a format.

pub mod svg;
