//! Tests of the diagnosis, a module per subject.

mod codes;
mod coins;
mod multiple;
mod properties;
mod six_states;
mod trees;
