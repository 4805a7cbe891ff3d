//! `merge`: joins the parts of a divided batch.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::grade::merge as join;
use crate::language::Words;

use super::args::Show;
use super::{exit, grade};

/// Joins `parts` into one file of grades; the exit code is the one that grading them in one run has.
pub fn merge(
    parts: &[PathBuf],
    path: &Path,
    show: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let words = Words::of(show.language);
    let mut code = exit::SUCCESS;
    match join(parts, path, &mut |came| code = exit::graver(code, grade::exit_of(came))) {
        Ok(tally) => {
            writeln!(out, "{}", words.phrase(&tally.phrase(path)))?;
            Ok(code)
        }
        Err(problem) => grade::unusable(&problem, words, err),
    }
}
