//! The grades of a batch on disk: a head, a line an attempt in the order of the list, and an end.
//! JSON Lines, written as the batch goes; what a stopped batch has written is taken over by the next.

use std::fs::File;
use std::io::{self, BufRead, BufReader, BufWriter, Read, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::base::hex;
use crate::diagnostic::Code;
use crate::language::Phrase;
use crate::scenario::Scenario;

use super::mark::{Grade, Verdict};

mod kept;
mod merge;

pub use kept::{Kept, KeptLine};
pub use merge::merge;

/// What the head calls the format.
pub const RESULTS_FORMAT: &str = "spoolbench grades";
/// Version of the format.
pub const RESULTS_VERSION: u32 = 1;
/// Longest line [bytes]: the story of the longest attempt fits.
const LINE_LIMIT: u64 = 128 << 20;

/// One of several equal parts of a batch: "2/8" is the second of eight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Partition {
    /// Which, from 1.
    index: u32,
    /// Of how many.
    of: u32,
}

impl Partition {
    /// The only part of a batch that is not divided.
    pub const WHOLE: Partition = Partition { index: 1, of: 1 };

    /// Whether the attempt at this place of the list, from 0, is in this part.
    #[must_use]
    pub fn has(self, place: usize) -> bool {
        place as u64 % u64::from(self.of) == u64::from(self.index - 1)
    }
}

impl std::str::FromStr for Partition {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let parsed = text.split_once('/').and_then(|(index, of)| {
            Some(Partition { index: index.parse().ok()?, of: of.parse().ok()? })
        });
        match parsed {
            Some(part) if (1..=part.of).contains(&part.index) => Ok(part),
            _ => Err(format!("\"{text}\" is no part of a batch; 2/8 is the second of eight")),
        }
    }
}

impl TryFrom<String> for Partition {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        text.parse()
    }
}

impl From<Partition> for String {
    fn from(part: Partition) -> String {
        format!("{}/{}", part.index, part.of)
    }
}

/// The first line: what the grades were made with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ResultsHead {
    /// Always [`RESULTS_FORMAT`].
    format: String,
    /// Version of the format.
    version: u32,
    /// Digest of the scenario.
    scenario: String,
    /// Version of the program.
    engine: String,
    /// Version of the rubric.
    rubric: u64,
    /// Mark of the class whose kits are graded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    class: Option<String>,
    /// Which part of the batch this is, if it was divided.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    part: Option<Partition>,
}

impl ResultsHead {
    /// The head of `part` of a batch at `scenario`, by this version of the program; `class` marks
    /// the class whose kits are graded.
    #[must_use]
    pub fn new(scenario: &Scenario, class: Option<String>, part: Partition) -> Self {
        ResultsHead {
            format: RESULTS_FORMAT.to_owned(),
            version: RESULTS_VERSION,
            scenario: scenario.digest.clone(),
            engine: env!("CARGO_PKG_VERSION").to_owned(),
            rubric: scenario.rubric.version,
            class,
            part: (part != Partition::WHOLE).then_some(part),
        }
    }

    fn part(&self) -> Partition {
        self.part.unwrap_or(Partition::WHOLE)
    }

    fn whole(mut self) -> Self {
        self.part = None;
        self
    }

    /// Whether grades under the two heads may be mixed.
    fn agrees(&self, other: &ResultsHead) -> bool {
        self.clone().whole() == other.clone().whole()
    }
}

/// What came of an attempt, in a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Came {
    /// Graded as competent.
    Competent,
    /// Graded as not yet competent.
    NotYetCompetent,
    /// Refused: the attempt could not be read or repeated.
    Refused,
    /// Not graded: a fault script failed.
    ScriptFailed,
    /// Not graded: the physics could not be advanced.
    EngineFailed,
}

impl From<Verdict> for Came {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Competent => Came::Competent,
            Verdict::NotYetCompetent => Came::NotYetCompetent,
        }
    }
}

/// How many attempts came to what.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tally {
    /// All.
    pub attempts: u64,
    /// Graded as competent.
    pub competent: u64,
    /// Graded as not yet competent.
    pub not_yet_competent: u64,
    /// Not graded.
    pub not_graded: u64,
}

impl Tally {
    /// Counts one more.
    pub fn count(&mut self, came: Came) {
        self.attempts += 1;
        match came {
            Came::Competent => self.competent += 1,
            Came::NotYetCompetent => self.not_yet_competent += 1,
            Came::Refused | Came::ScriptFailed | Came::EngineFailed => self.not_graded += 1,
        }
    }

    /// The same as a sentence, with the file that holds the grades.
    #[must_use]
    pub fn phrase(&self, file: &Path) -> Phrase {
        let count = |n: u64| usize::try_from(n).unwrap_or(usize::MAX);
        Phrase::new("grades-in")
            .with("attempts", count(self.attempts))
            .with("competent", count(self.competent))
            .with("not-yet", count(self.not_yet_competent))
            .with("not-graded", count(self.not_graded))
            .with("file", file.display().to_string())
    }
}

/// The names of a list of attempts, as one number.
#[derive(Clone, Default)]
pub struct ListDigest(Sha256);

impl ListDigest {
    /// Adds the next name.
    pub fn add(&mut self, name: &str) {
        self.0.update((name.len() as u64).to_le_bytes());
        self.0.update(name.as_bytes());
    }

    fn text(self) -> String {
        hex(&self.0.finalize())
    }
}

/// The list of attempts of a batch, of which the file at hand may hold one part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WholeList {
    /// How many attempts.
    attempts: u64,
    /// Digest of their names.
    names: String,
}

impl WholeList {
    /// The list of `names`.
    pub fn of<'a>(names: impl Iterator<Item = &'a str>) -> Self {
        let mut digest = ListDigest::default();
        let mut attempts = 0;
        for name in names {
            digest.add(name);
            attempts += 1;
        }
        WholeList { attempts, names: digest.text() }
    }
}

/// The last line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct End {
    end: Tally,
    list: WholeList,
}

/// What a line says of its attempt; the rest of it is not looked at.
#[derive(Deserialize)]
struct Stub {
    attempt: String,
    sha256: Option<String>,
    came: Came,
}

#[derive(Serialize)]
struct GradedLine<'a> {
    attempt: &'a str,
    sha256: &'a str,
    came: Came,
    grade: &'a Grade,
}

#[derive(Serialize)]
struct UngradedLine<'a> {
    attempt: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    sha256: Option<&'a str>,
    came: Came,
    problems: &'a [String],
}

/// The digest of an attempt's bytes, as results hold it.
#[must_use]
pub fn content_digest(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// The line of an attempt that was graded.
///
/// # Errors
/// Never, unless a grade holds what JSON cannot.
pub fn graded_line(attempt: &str, sha256: &str, grade: &Grade) -> io::Result<String> {
    let came = Came::from(grade.verdict);
    Ok(serde_json::to_string(&GradedLine { attempt, sha256, came, grade })?)
}

/// The grade in a line of a file of grades, if its attempt was graded.
#[must_use]
pub fn grade_in(line: &str) -> Option<Grade> {
    #[derive(Deserialize)]
    struct Line {
        grade: Option<Grade>,
    }
    serde_json::from_str::<Line>(line).ok()?.grade
}

/// The line of an attempt that was not graded, with its problems. An attempt that could not even be
/// read has no digest.
///
/// # Errors
/// Never: texts are always JSON.
pub fn ungraded_line(
    attempt: &str,
    sha256: Option<&str>,
    came: Came,
    problems: &[String],
) -> io::Result<String> {
    Ok(serde_json::to_string(&UngradedLine { attempt, sha256, came, problems })?)
}

/// Why a file of grades cannot be used.
#[derive(Debug, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum ResultsError {
    /// It cannot be read or written.
    File {
        /// Which.
        path: String,
        /// Why.
        why: io::Error,
    },
    /// It is no file of grades, or of another version.
    NotResults {
        /// Which.
        path: String,
        /// Where.
        line: u64,
    },
    /// It was made with another scenario, rubric or program, or is a part of another batch.
    Other {
        /// Which.
        path: String,
        /// What differs.
        what: Phrase,
    },
    /// It ends before its end, or a part is not there.
    NotWhole {
        /// Which.
        path: String,
        /// What is missing.
        what: Phrase,
    },
}

impl ResultsError {
    /// Its diagnostic code.
    #[must_use]
    pub fn code(&self) -> Code {
        match self {
            ResultsError::File { .. } => Code::OUTPUT_FAILED,
            ResultsError::NotResults { .. } => Code::NO_RESULTS,
            ResultsError::Other { .. } => Code::OTHER_BATCH,
            ResultsError::NotWhole { .. } => Code::BATCH_NOT_WHOLE,
        }
    }

    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        let of = |id: &'static str, path: &str| Phrase::new(id).with("path", path);
        match self {
            ResultsError::File { path, why } => {
                of("results-file", path).with("why", Phrase::system(why))
            }
            ResultsError::NotResults { path, line } => {
                of("results-line", path).with("line", line.to_string())
            }
            ResultsError::Other { path, what } => {
                of("results-other", path).with("what", what.clone())
            }
            ResultsError::NotWhole { path, what } => {
                of("results-file", path).with("why", what.clone())
            }
        }
    }

    /// What can be done.
    #[must_use]
    pub fn help(&self) -> Phrase {
        Phrase::new(match self {
            ResultsError::File { .. } => "io-check-space",
            ResultsError::NotResults { .. } => "results-written",
            ResultsError::Other { .. } => "results-apart",
            ResultsError::NotWhole { .. } => "results-to-end",
        })
    }
}

fn file_error(path: &Path) -> impl Fn(io::Error) -> ResultsError {
    let path = path.display().to_string();
    move |why| ResultsError::File { path: path.clone(), why }
}

/// Reads the lines of a file of grades.
struct Lines {
    path: PathBuf,
    input: BufReader<File>,
    number: u64,
    offset: u64,
}

impl Lines {
    fn open(path: &Path) -> Result<Self, ResultsError> {
        let file = File::open(path).map_err(file_error(path))?;
        let input = BufReader::new(file);
        Ok(Lines { path: path.to_owned(), input, number: 0, offset: 0 })
    }

    /// The next whole line with its place in the file; `None` at the end, or where a line is torn.
    fn next(&mut self) -> Result<Option<(u64, Vec<u8>)>, ResultsError> {
        let mut line = Vec::new();
        let limit = LINE_LIMIT + 1;
        self.input
            .by_ref()
            .take(limit)
            .read_until(b'\n', &mut line)
            .map_err(file_error(&self.path))?;
        if line.len() as u64 >= limit {
            self.number += 1;
            return Err(self.strange());
        }
        if line.pop() != Some(b'\n') {
            return Ok(None);
        }
        let at = self.offset;
        self.number += 1;
        self.offset += line.len() as u64 + 1;
        Ok(Some((at, line)))
    }

    fn strange(&self) -> ResultsError {
        ResultsError::NotResults { path: self.path.display().to_string(), line: self.number.max(1) }
    }

    fn not_whole(&self, what: &'static str) -> ResultsError {
        let what = Phrase::new(what);
        ResultsError::NotWhole { path: self.path.display().to_string(), what }
    }

    /// The head; `None` if not even that was written.
    fn head(&mut self) -> Result<Option<ResultsHead>, ResultsError> {
        let Some((_, line)) = self.next()? else { return Ok(None) };
        let head: ResultsHead = serde_json::from_slice(&line).map_err(|_| self.strange())?;
        if head.format != RESULTS_FORMAT || head.version != RESULTS_VERSION {
            return Err(self.strange());
        }
        Ok(Some(head))
    }
}

/// Whether a file with these first bytes holds grades.
#[must_use]
pub fn begins_results(bytes: &[u8]) -> bool {
    let start = format!("{{\"format\":\"{RESULTS_FORMAT}\"");
    bytes.starts_with(start.as_bytes())
}

/// Length of what [`begins_results`] looks at [bytes].
pub const RESULTS_START: usize = 32;

/// Writes a file of grades.
pub struct ResultsWriter {
    path: PathBuf,
    out: BufWriter<File>,
    tally: Tally,
}

impl ResultsWriter {
    /// Begins a new file; never writes over an existing one.
    ///
    /// # Errors
    /// When it is there already or cannot be written.
    pub fn create(path: &Path, head: &ResultsHead) -> Result<Self, ResultsError> {
        let file =
            File::options().write(true).create_new(true).open(path).map_err(file_error(path))?;
        let mut writer = ResultsWriter {
            path: path.to_owned(),
            out: BufWriter::new(file),
            tally: Tally::default(),
        };
        writer.put(&serde_json::to_string(head).map_err(|e| file_error(path)(e.into()))?)?;
        writer.flush()?;
        Ok(writer)
    }

    fn put(&mut self, line: &str) -> Result<(), ResultsError> {
        let written = self.out.write_all(line.as_bytes()).and_then(|()| self.out.write_all(b"\n"));
        written.map_err(file_error(&self.path))
    }

    /// Writes the line of the next attempt.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn line(&mut self, line: &str, came: Came) -> Result<(), ResultsError> {
        self.tally.count(came);
        self.put(line)
    }

    /// Hands everything to the system: a program that is killed from here on has lost nothing.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn flush(&mut self) -> Result<(), ResultsError> {
        self.out.flush().map_err(file_error(&self.path))
    }

    /// Writes the end and waits until all is on the disk.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn finish(mut self, list: WholeList) -> Result<Tally, ResultsError> {
        let end = End { end: self.tally, list };
        self.put(&serde_json::to_string(&end).map_err(|e| file_error(&self.path)(e.into()))?)?;
        self.flush()?;
        self.out.get_ref().sync_all().map_err(file_error(&self.path))?;
        Ok(self.tally)
    }
}
