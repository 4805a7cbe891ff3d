//! Symbols on the module grid.
