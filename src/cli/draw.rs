//! `draw`: the sheets of a bench as pictures.

use std::io::{self, Write};
use std::path::Path;

use crate::drawing::{Style, control, power, seam};
use crate::report::{Reader, svg};

use super::args::Show;
use super::{exit, input};

/// Writes the control sheet, the power sheet and the seam of a bench to a folder.
pub fn draw(
    file: &Path,
    folder: &Path,
    style: Style,
    show: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let reader = Reader::new(show.language, show.units);
    let Some(scenario) = input::bench_or_scenario(file, reader.words, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    input::folder(folder)?;
    let plan = &scenario.plan;
    let sheets = [
        ("control", control::sheet(plan, style)),
        ("power", power::sheet(plan)),
        ("seam", seam::sheet(plan)),
    ];
    for (name, sheet) in sheets {
        let path = folder.join(format!("{name}.svg"));
        input::save(&path, &svg::document(&reader.sheet(&sheet), name))?;
        writeln!(out, "{}", path.display())?;
    }
    Ok(exit::SUCCESS)
}
