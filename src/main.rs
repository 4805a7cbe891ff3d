//! The `spoolbench` command: parses and dispatches, nothing else.
fn main() {}
