//! Attempt files: never written over, and gone on with where they stopped.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::journal::{Attempt, JOURNAL_LIMIT, read_journal};
use super::session::SessionConfig;

/// Most attempts at one task that are kept side by side.
const NAMES: u32 = 10_000;

/// The name of the `k`th attempt at the task in the file `task`.
fn name(task: &Path, k: u32) -> PathBuf {
    let stem = task.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let stem = stem.trim_end_matches(".ron").trim_end_matches(".scenario").trim_end_matches(".kit");
    PathBuf::from(format!("{stem}.{k}.attempt.jsonl"))
}

/// Makes the file for a new attempt at the task in `task`: the wanted one, or the first free name in
/// the working folder. An existing file is never written over.
///
/// # Errors
/// The file that cannot be made, and why.
pub fn create_attempt(
    task: &Path,
    wanted: Option<PathBuf>,
) -> Result<(PathBuf, File), (PathBuf, io::Error)> {
    let create = |path: &Path| OpenOptions::new().write(true).create_new(true).open(path);
    if let Some(path) = wanted {
        return match create(&path) {
            Ok(file) => Ok((path, file)),
            Err(why) => Err((path, why)),
        };
    }
    for k in 1..NAMES {
        let path = name(task, k);
        match create(&path) {
            Ok(file) => return Ok((path, file)),
            Err(why) if why.kind() == io::ErrorKind::AlreadyExists => {}
            Err(why) => return Err((path, why)),
        }
    }
    Err((name(task, NAMES), io::ErrorKind::AlreadyExists.into()))
}

/// The newest attempt at the task in `task`, if it was made at the scenario with this digest and by
/// this learner.
#[must_use]
pub fn latest_attempt(
    task: &Path,
    digest: &str,
    learner: &str,
    config: &SessionConfig,
) -> Option<(PathBuf, Attempt)> {
    let path = (1..NAMES).map(|k| name(task, k)).take_while(|p| p.is_file()).last()?;
    if std::fs::metadata(&path).ok()?.len() > JOURNAL_LIMIT as u64 {
        return None;
    }
    let attempt = read_journal(&std::fs::read(&path).ok()?, config).ok()?;
    let same = attempt.header.scenario == digest && attempt.header.learner == learner;
    same.then_some((path, attempt))
}

/// Opens the file of `attempt` to go on with it; a line that was cut short is taken away.
///
/// # Errors
/// When the file cannot be opened or shortened.
pub fn reopen_attempt(path: &Path, attempt: &Attempt) -> io::Result<File> {
    let mut file = OpenOptions::new().read(true).append(true).open(path)?;
    let mut length = file.metadata()?.len();
    if let Some(torn) = attempt.torn {
        length = length.saturating_sub(torn.bytes as u64);
        file.set_len(length)?;
    }
    if length > 0 {
        let mut last = [0];
        file.seek(SeekFrom::Start(length - 1))?;
        file.read_exact(&mut last)?;
        // The last line may be whole but for its end.
        if last != *b"\n" {
            file.write_all(b"\n")?;
        }
    }
    Ok(file)
}
