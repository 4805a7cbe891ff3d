//! Files and problems, for every verb alike.

use std::io::{self, IsTerminal, Write};
use std::path::Path;

use crate::diagnostic::{Diagnostics, Sources, render_all};
use crate::scenario::{Disk, Scenario, load, load_any};

/// A file as folder and name.
pub fn place(path: &Path) -> (Disk, String) {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    (Disk::new(folder), name)
}

/// Prints all problems of `found`, with colour if people read them.
pub fn complain(found: &Diagnostics, sources: &Sources, err: &mut dyn Write) -> io::Result<()> {
    if !found.is_empty() {
        let colour = io::stderr().is_terminal();
        write!(err, "{}", render_all(found, sources, colour))?;
    }
    Ok(())
}

/// Loads a scenario, printing what is wrong with it.
pub fn scenario(path: &Path, err: &mut dyn Write) -> io::Result<Option<Scenario>> {
    loaded(path, err, false)
}

/// Loads a bench or a scenario, printing what is wrong with it.
pub fn bench_or_scenario(path: &Path, err: &mut dyn Write) -> io::Result<Option<Scenario>> {
    loaded(path, err, true)
}

fn loaded(path: &Path, err: &mut dyn Write, any: bool) -> io::Result<Option<Scenario>> {
    let (shelf, name) = place(path);
    let mut sources = Sources::new();
    let mut found = Diagnostics::new();
    let scenario = if any {
        load_any(&shelf, &name, &mut sources, &mut found)
    } else {
        load(&shelf, &name, &mut sources, &mut found)
    };
    complain(&found, &sources, err)?;
    Ok(scenario)
}
