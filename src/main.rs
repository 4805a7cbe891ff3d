//! The `spoolbench` command: parses and dispatches, nothing else.

use std::io::Write;
use std::process::ExitCode;

use clap::Parser;
use spoolbench::cli::{Args, dispatch};

fn main() -> ExitCode {
    let args = Args::parse();
    let mut out = std::io::BufWriter::new(std::io::stdout());
    let code = dispatch(args, &mut out, &mut std::io::stderr());
    let _ = out.flush();
    ExitCode::from(code)
}
