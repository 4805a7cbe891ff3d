//! Symbols of the power side.
