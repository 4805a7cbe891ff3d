//! Results handed on: one file a format.
