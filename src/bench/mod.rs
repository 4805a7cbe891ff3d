//! What an instructor writes, read into a plan.
//!
//! [`tree`] reads the notation: every value keeps its place in the file, so that all problems of a
//! file can be reported at once, each with its line and column.

pub mod tree;
