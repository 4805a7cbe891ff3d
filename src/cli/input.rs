//! Files and problems, for every verb alike.

use std::fmt::Display;
use std::io::{self, IsTerminal, Read, Write};
use std::path::Path;

use crate::diagnostic::{Code, Diagnostic, Diagnostics, Place, Sources, one_line, render_all};
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

/// Largest attempt or action list read [bytes].
const RECORD_LIMIT: u64 = 32 << 20;

/// A problem in one line: `place: error SB702: message (help)`. The place is what the user named, with
/// line and column where there are any.
pub fn problem(
    place: impl Display,
    code: Code,
    message: impl Display,
    help: impl Display,
) -> String {
    let help = help.to_string();
    let problem = Diagnostic::error(code, message.to_string())
        .at(Place::file(place.to_string()))
        .maybe_help((!help.is_empty()).then_some(help));
    one_line(&problem, &Sources::new())
}

/// The bytes of an attempt or an action list, or why they cannot be had.
pub fn record(path: &Path) -> Result<Vec<u8>, String> {
    let unreadable = |why: io::Error| {
        problem(path.display(), Code::UNREADABLE, why, "check the name and the permissions")
    };
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(unreadable)?;
    file.take(RECORD_LIMIT + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    if bytes.len() as u64 > RECORD_LIMIT {
        let message = format!("it is larger than {} MiB", RECORD_LIMIT >> 20);
        return Err(problem(path.display(), Code::TOO_LARGE, message, ""));
    }
    Ok(bytes)
}

/// Writes a file the user asked for; the error names it.
pub fn save(path: &Path, text: &str) -> io::Result<()> {
    std::fs::write(path, text).map_err(|why| named(path, &why))
}

/// A failure with the file it happened at.
pub fn named(path: &Path, why: &io::Error) -> io::Error {
    io::Error::new(why.kind(), format!("{}: {why}", path.display()))
}
