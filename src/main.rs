//! The `spoolbench` command: parses and dispatches, nothing else.

use std::process::ExitCode;

use clap::Parser;
use mimalloc::MiMalloc;
use spoolbench::cli::{Args, dispatch};

/// Grading copies machines by the thousand, which this allocator does with less ado than the system's.
#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    let args = Args::parse();
    let mut out = std::io::BufWriter::new(std::io::stdout());
    ExitCode::from(dispatch(args, &mut out, &mut std::io::stderr()))
}
