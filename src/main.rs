//! The `spoolbench` command: parses and dispatches, nothing else.

use std::process::ExitCode;

use clap::Parser;
use spoolbench::cli::{Args, dispatch};

fn main() -> ExitCode {
    let args = Args::parse();
    let mut out = std::io::BufWriter::new(std::io::stdout());
    ExitCode::from(dispatch(args, &mut out, &mut std::io::stderr()))
}
