//! Files and problems, for every verb alike.

use std::fmt::Display;
use std::fs::{self, File};
use std::io::{self, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};

use crate::class::{KIT_START, begins_kit, open};
use crate::diagnostic::{
    Code, Diagnostic, Diagnostics, Place, Sources, one_line_in, render_all_in,
};
use crate::language::{Phrase, Words};
use crate::scenario::{Disk, Drill, Scenario, Shelf, load, load_any, load_drill};

/// A file as folder and name.
pub fn place(path: &Path) -> (Disk, String) {
    let folder = path.parent().unwrap_or(Path::new(""));
    let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    (Disk::new(folder), name)
}

/// No texts yet, of files beside the one at `path`.
pub fn sources(path: &Path) -> Sources {
    Sources::within(path.parent().unwrap_or(Path::new("")))
}

/// Prints all problems of `found`, with colour if people read them.
pub fn complain(
    found: &Diagnostics,
    sources: &Sources,
    words: Words,
    err: &mut dyn Write,
) -> io::Result<()> {
    if !found.is_empty() {
        let colour = io::stderr().is_terminal();
        write!(err, "{}", render_all_in(found, sources, colour, words))?;
    }
    Ok(())
}

/// Loads a scenario, printing what is wrong with it.
pub fn scenario(path: &Path, words: Words, err: &mut dyn Write) -> io::Result<Option<Scenario>> {
    loaded(path, words, err, false)
}

/// Loads a bench or a scenario, printing what is wrong with it.
pub fn bench_or_scenario(
    path: &Path,
    words: Words,
    err: &mut dyn Write,
) -> io::Result<Option<Scenario>> {
    loaded(path, words, err, true)
}

/// Whether a file is a drill.
pub fn is_drill(path: &Path) -> bool {
    let (shelf, name) = place(path);
    shelf.text(&name).is_ok_and(|text| crate::scenario::is_drill(&name, &text))
}

/// Loads a drill, printing what is wrong with it.
pub fn drill(path: &Path, words: Words, err: &mut dyn Write) -> io::Result<Option<Drill>> {
    let (shelf, name) = place(path);
    let (mut sources, mut found) = (sources(path), Diagnostics::new());
    let drill = load_drill(&shelf, &name, &mut sources, &mut found);
    complain(&found, &sources, words, err)?;
    Ok(drill)
}

/// What a learner practises: a scenario, or a kit with the pseudonym of its learner.
pub fn practice(
    path: &Path,
    words: Words,
    err: &mut dyn Write,
) -> io::Result<Option<(Scenario, Option<String>)>> {
    if !is_kit(path) {
        return Ok(bench_or_scenario(path, words, err)?.map(|scenario| (scenario, None)));
    }
    let opened = record(path).and_then(|bytes| {
        open(&bytes).map_err(|why| {
            let problem = Diagnostic::error(why.code(), why.phrase());
            Box::new(at(problem, path.display(), Phrase::new("kit-fetch-again")))
        })
    });
    match opened {
        Ok(kit) => Ok(Some((kit.scenario, Some(kit.learner)))),
        Err(problem) => {
            writeln!(err, "{}", line(&problem, words))?;
            Ok(None)
        }
    }
}

/// Whether a file is a learner's kit.
pub fn is_kit(path: &Path) -> bool {
    if !path.is_file() {
        return false;
    }
    let mut start = Vec::new();
    let read =
        File::open(path).and_then(|file| file.take(KIT_START as u64).read_to_end(&mut start));
    read.is_ok() && begins_kit(&start)
}

fn loaded(
    path: &Path,
    words: Words,
    err: &mut dyn Write,
    any: bool,
) -> io::Result<Option<Scenario>> {
    if is_kit(path) {
        let (message, help) = (Phrase::new("kit-is-one"), Phrase::new("kit-practise"));
        writeln!(err, "{}", problem(path.display(), Code::SEALED_KIT, message, help, words))?;
        return Ok(None);
    }
    let (shelf, name) = place(path);
    let mut sources = sources(path);
    let mut found = Diagnostics::new();
    let scenario = if any {
        load_any(&shelf, &name, &mut sources, &mut found)
    } else {
        load(&shelf, &name, &mut sources, &mut found)
    };
    complain(&found, &sources, words, err)?;
    Ok(scenario)
}

/// Largest attempt or action list read [bytes].
const RECORD_LIMIT: u64 = 32 << 20;

/// A problem in one line: `place: error SB702: message (help)`. The place is what the user named, with
/// line and column where there are any.
pub fn problem(
    place: impl Display,
    code: Code,
    message: impl Into<Phrase>,
    help: impl Into<Option<Phrase>>,
    words: Words,
) -> String {
    line(&at(Diagnostic::error(code, message), place, help), words)
}

/// A warning in one line, as [`problem`].
pub fn warning(
    place: impl Display,
    code: Code,
    message: Phrase,
    help: Phrase,
    words: Words,
) -> String {
    line(&at(Diagnostic::warning(code, message), place, help), words)
}

/// A problem that was found already, in one line.
pub fn line(problem: &Diagnostic, words: Words) -> String {
    one_line_in(problem, &Sources::new(), words)
}

fn at(problem: Diagnostic, place: impl Display, help: impl Into<Option<Phrase>>) -> Diagnostic {
    problem.at(Place::file(place.to_string())).maybe_help(help.into())
}

/// The bytes of an attempt or an action list, or why they cannot be had.
pub fn record(path: &Path) -> Result<Vec<u8>, Box<Diagnostic>> {
    let problem =
        |code, message, help| Box::new(at(Diagnostic::error(code, message), path.display(), help));
    let unreadable = |why: io::Error| {
        let help = Phrase::new("io-check-name");
        problem(Code::UNREADABLE, Phrase::system(&why), Some(help))
    };
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(unreadable)?;
    file.take(RECORD_LIMIT + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    if bytes.len() as u64 > RECORD_LIMIT {
        let message = Phrase::new("io-too-large").with("most", (RECORD_LIMIT >> 20).to_string());
        return Err(problem(Code::TOO_LARGE, message, None));
    }
    Ok(bytes)
}

/// Writes a file the user asked for, as [`save_with`].
pub fn save(path: &Path, text: &str) -> io::Result<()> {
    save_with(path, |out| out.write_all(text.as_bytes()))
}

/// Writes a file the user asked for, whole or not at all: what stood there stays until all of the new
/// is on disk. The error names it.
pub fn save_with(
    path: &Path,
    write: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> io::Result<()> {
    replace(path, write).map_err(|why| named(path, &why))
}

fn replace(path: &Path, write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<()> {
    // What is open already, such as the standard output, is written where it stands.
    if ["/dev", "/proc"].iter().any(|folder| path.starts_with(folder)) {
        return write(&mut File::create(path)?);
    }
    // A link is not replaced: it leads to what is meant.
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let there = fs::metadata(&path).ok();
    // A device or a pipe keeps nothing.
    if there.as_ref().is_some_and(|there| !there.is_file()) {
        return write(&mut File::create(&path)?);
    }
    let (beside, mut file) = match partial(&path) {
        Ok(opened) => opened,
        // Nothing may be put beside a file that may be written.
        Err(why) if there.is_some() && why.kind() == io::ErrorKind::PermissionDenied => {
            return write(&mut File::create(&path)?);
        }
        Err(why) => return Err(why),
    };
    let written = write(&mut file).and_then(|()| {
        if let Some(there) = there {
            file.set_permissions(there.permissions())?;
        }
        fs::rename(&beside, &path)
    });
    if written.is_err() {
        let _ = fs::remove_file(&beside);
    }
    written
}

/// A new file beside the one at `path`.
fn partial(path: &Path) -> io::Result<(PathBuf, File)> {
    let mut k = 0_u32;
    loop {
        let mut beside = path.as_os_str().to_owned();
        beside.push(if k == 0 { ".partial".to_owned() } else { format!(".{k}.partial") });
        match File::options().write(true).create_new(true).open(&beside) {
            Err(why) if why.kind() == io::ErrorKind::AlreadyExists && k < 100 => k += 1,
            opened => return opened.map(|file| (PathBuf::from(beside), file)),
        }
    }
}

/// Makes a folder the user asked for, if it is not there; the error names it.
pub fn folder(path: &Path) -> io::Result<()> {
    if path.exists() && !path.is_dir() {
        return Err(named(path, &io::ErrorKind::NotADirectory.into()));
    }
    fs::create_dir_all(path).map_err(|why| named(path, &why))
}

/// What could not be written, in one line.
pub fn unwritten(problem: &io::Error, words: Words) -> String {
    let help = Phrase::new("io-check-space");
    self::problem("spoolbench", Code::OUTPUT_FAILED, told(problem), help, words)
}

/// A file that the user asked for; its errors name it.
pub struct Output {
    path: PathBuf,
    file: File,
}

/// Opens a file that the user asked for, empty.
pub fn create(path: &Path) -> io::Result<Output> {
    let file = File::create(path).map_err(|why| named(path, &why))?;
    Ok(Output { path: path.to_owned(), file })
}

impl Write for Output {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes).map_err(|why| named(&self.path, &why))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush().map_err(|why| named(&self.path, &why))
    }
}

/// What happened at a file.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
struct At(Phrase);

/// A failure with the file it happened at.
pub fn named(path: &Path, why: &io::Error) -> io::Error {
    let at = Phrase::new("io-at").with("file", path.display().to_string());
    io::Error::new(why.kind(), At(at.with("why", told(why))))
}

/// A failure as a sentence without a language yet, with its file where it is known.
pub fn told(problem: &io::Error) -> Phrase {
    let at = problem.get_ref().and_then(|inner| inner.downcast_ref::<At>());
    at.map_or_else(|| Phrase::system(problem), |At(told)| told.clone())
}

/// Where fault dictionaries are kept: `asked`, or else the user's cache folder, if there is one.
pub fn cache(asked: Option<&Path>) -> Option<PathBuf> {
    let home = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    asked.map(Path::to_path_buf).or_else(|| {
        let folder = home("XDG_CACHE_HOME").or_else(|| Some(home("HOME")?.join(".cache")))?;
        Some(folder.join("spoolbench"))
    })
}
