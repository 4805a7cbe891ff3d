//! What an instructor writes, read into a plan.
