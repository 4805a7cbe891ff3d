//! `sheet`: a lab sheet to print.

use std::io::{self, Write};
use std::path::Path;

use crate::report::{Reader, lab_sheet};

use super::args::Show;
use super::{exit, input};

/// Writes the lab sheet of the scenario in `path` to `file`.
pub fn sheet(
    path: &Path,
    file: &Path,
    show: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let reader = Reader::new(show.language, show.units);
    let Some(scenario) = input::scenario(path, reader.words, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    input::save(file, &lab_sheet(&scenario, &reader))?;
    writeln!(out, "{}", reader.fill("sheet-written", "file", file.display().to_string()))?;
    Ok(exit::SUCCESS)
}
