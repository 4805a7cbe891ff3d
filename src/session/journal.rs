//! An attempt on disk: a header and one action a line, in JSON Lines, written as it goes.
//!
//! Nothing in the file is believed but the actions and their times; [`replay`] recomputes all
//! that followed from them.

use std::io::Write;

use serde::{Deserialize, Serialize};

use crate::base::SimTime;
use crate::diagnostic::Code;
use crate::language::Phrase;

use super::action::{Action, Entry};
use super::refusal::ActError;
use super::rig::Rig;
use super::session::{Session, SessionConfig};

/// Version of the format.
pub const VERSION: u32 = 1;
/// What the first line calls the format.
pub const FORMAT: &str = "spoolbench attempt";
/// Longest line [bytes].
pub const JOURNAL_LINE_LIMIT: usize = 16_384;
/// Longest file [bytes].
pub const JOURNAL_LIMIT: usize = 32_000_000;
/// Most errors that are collected.
const ERROR_LIMIT: usize = 100;

/// The first line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Header {
    /// Always [`FORMAT`].
    pub format: String,
    /// Version of the format.
    pub version: u32,
    /// Digest of the scenario that was attempted.
    pub scenario: String,
    /// Seed of the run.
    pub seed: u64,
    /// Pseudonym of the learner.
    pub learner: String,
    /// Version of the program that wrote it.
    pub engine: String,
    /// When it was begun, if that was said: RFC 3339 in UTC, whole seconds. Only handed on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub started: Option<String>,
}

/// Whether `text` is a moment as attempts hold it, such as `2026-11-25T08:30:00Z`.
#[must_use]
pub fn is_moment(text: &str) -> bool {
    const SHAPE: &str = "dddd-dd-ddTdd:dd:ddZ";
    let fits = text.len() == SHAPE.len()
        && text.bytes().zip(SHAPE.bytes()).all(|(is, wanted)| match wanted {
            b'd' => is.is_ascii_digit(),
            sign => is == sign,
        });
    let number = |from: usize, to: usize| text[from..to].parse::<u32>().unwrap_or(u32::MAX);
    if !fits {
        return false;
    }
    let (year, month) = (number(0, 4), number(5, 7));
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        4 | 6 | 9 | 11 => 30,
        2 => 28 + u32::from(leap),
        _ => 31,
    };
    year > 0
        && (1..=12).contains(&month)
        && (1..=days).contains(&number(8, 10))
        && number(11, 13) < 24
        && number(14, 16) < 60
        && number(17, 19) < 60
}

impl Header {
    /// A header of this version of format and program.
    #[must_use]
    pub fn new(scenario: &str, seed: u64, learner: &str) -> Self {
        Header {
            format: FORMAT.to_owned(),
            version: VERSION,
            scenario: scenario.to_owned(),
            seed,
            learner: learner.to_owned(),
            engine: env!("CARGO_PKG_VERSION").to_owned(),
            started: None,
        }
    }
}

/// Writes an attempt, a line per action, and flushes each: what was done is on disk before the
/// next thing is done.
#[derive(Debug)]
pub struct JournalWriter<W: Write> {
    out: W,
}

impl<W: Write> JournalWriter<W> {
    /// Writes the header.
    ///
    /// # Errors
    /// When writing fails.
    pub fn new(out: W, header: &Header) -> std::io::Result<Self> {
        let mut writer = JournalWriter { out };
        writer.line(header)?;
        Ok(writer)
    }

    /// Goes on with a file that already has its header.
    pub fn resume(out: W) -> Self {
        JournalWriter { out }
    }

    /// Writes an action.
    ///
    /// # Errors
    /// When writing fails.
    pub fn record(&mut self, entry: &Entry) -> std::io::Result<()> {
        self.line(entry)
    }

    /// Where the lines go.
    pub fn get_ref(&self) -> &W {
        &self.out
    }

    /// Gives back where the lines went.
    pub fn into_inner(self) -> W {
        self.out
    }

    fn line(&mut self, value: &impl Serialize) -> std::io::Result<()> {
        let mut line = serde_json::to_vec(value)?;
        line.push(b'\n');
        self.out.write_all(&line)?;
        self.out.flush()
    }
}

/// What is wrong with a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum JournalKind {
    /// The file holds nothing.
    Empty,
    /// The file, or a line, is too long.
    TooLong,
    /// More actions than an attempt may have.
    TooMany,
    /// Not UTF-8.
    NotText,
    /// Not JSON.
    NotJson,
    /// The first line is no header.
    NoHeader,
    /// A format or a version that this program does not read.
    OtherVersion,
    /// A verb that does not exist.
    UnknownAction,
    /// A field that does not belong there.
    UnknownField,
    /// A field given twice.
    DuplicateField,
    /// A field is missing or holds something else.
    BadField,
    /// The action begins before the one above it.
    OutOfOrder,
    /// The action begins after the end of the longest exercise.
    TooLate,
}

impl JournalKind {
    /// Its diagnostic code.
    #[must_use]
    pub fn code(self) -> Code {
        match self {
            JournalKind::Empty => Code::EMPTY,
            JournalKind::TooLong | JournalKind::TooMany | JournalKind::TooLate => {
                Code::JOURNAL_TOO_LONG
            }
            JournalKind::NotText => Code::NOT_UTF8,
            JournalKind::NotJson | JournalKind::BadField => Code::BAD_LINE,
            JournalKind::NoHeader => Code::JOURNAL_NO_HEAD,
            JournalKind::OtherVersion => Code::WRONG_FORMAT,
            JournalKind::UnknownAction => Code::UNKNOWN_ACTION,
            JournalKind::UnknownField => Code::UNKNOWN_FIELD,
            JournalKind::DuplicateField => Code::DUPLICATE_FIELD,
            JournalKind::OutOfOrder => Code::TIME_ORDER,
        }
    }
}

/// One thing that is wrong with a journal.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.phrase())]
pub struct JournalError {
    /// Line, from 1.
    pub line: usize,
    /// Column, in bytes from 1.
    pub column: usize,
    /// Kind of error.
    pub kind: JournalKind,
    /// What is wrong.
    pub message: Phrase,
    /// What can be done.
    pub help: Phrase,
}

impl JournalError {
    /// The same with its place, as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        Phrase::new("journal-at")
            .with("line", self.line)
            .with("column", self.column)
            .with("why", self.message.clone())
    }
}

/// The last line, cut short when the program that wrote it stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Torn {
    /// Line, from 1.
    pub line: usize,
    /// How much of it there is [bytes].
    pub bytes: usize,
}

/// An attempt as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Attempt {
    /// The header.
    pub header: Header,
    /// The actions.
    pub entries: Vec<Entry>,
    /// The last line was cut short, and left out.
    pub torn: Option<Torn>,
}

fn help(kind: JournalKind) -> Phrase {
    Phrase::new(match kind {
        JournalKind::Empty | JournalKind::NoHeader => "journal-head-first",
        JournalKind::TooLong | JournalKind::TooMany => "journal-needless",
        JournalKind::OtherVersion => "journal-own-version",
        JournalKind::OutOfOrder | JournalKind::TooLate => "journal-times-up",
        _ => "journal-handed",
    })
}

struct Reader<'c> {
    config: &'c SessionConfig,
    errors: Vec<JournalError>,
}

impl Reader<'_> {
    fn error(&mut self, line: usize, column: usize, kind: JournalKind, message: Phrase) {
        if self.errors.len() < ERROR_LIMIT {
            self.errors.push(JournalError {
                line,
                column: column.max(1),
                kind,
                message,
                help: help(kind),
            });
        }
    }

    fn json(&mut self, line: usize, first: bool, error: &serde_json::Error) {
        // The message ends with the place, which is given apart, and may quote a whole line.
        let full = error.to_string();
        let message = full.rsplit_once(" at line").map_or(full.as_str(), |m| m.0);
        let message: String = message.chars().take(160).collect();
        let kind = if !error.is_data() {
            JournalKind::NotJson
        } else if first {
            JournalKind::NoHeader
        } else if message.starts_with("unknown variant") {
            JournalKind::UnknownAction
        } else if message.starts_with("unknown field") {
            JournalKind::UnknownField
        } else if message.starts_with("duplicate field") {
            JournalKind::DuplicateField
        } else {
            JournalKind::BadField
        };
        let message = match (kind, message.split('`').nth(1)) {
            // The list of all that may stand there is long; the guide has it.
            (JournalKind::UnknownAction, Some(word)) => {
                Phrase::new("journal-no-word").with("word", word)
            }
            _ => Phrase::written(message),
        };
        self.error(line, error.column(), kind, message);
    }

    fn header(&mut self, text: &str) -> Option<Header> {
        let header: Header = match serde_json::from_str(text) {
            Ok(header) => header,
            Err(error) => {
                self.json(1, true, &error);
                return None;
            }
        };
        if header.format != FORMAT || header.version != VERSION {
            let message = Phrase::new("journal-version")
                .with("wanted", VERSION.to_string())
                .with("format", FORMAT)
                .with("version", header.version.to_string());
            self.error(1, 1, JournalKind::OtherVersion, message);
            return None;
        }
        if header.started.as_deref().is_some_and(|text| !is_moment(text)) {
            self.error(1, 1, JournalKind::BadField, Phrase::new("journal-no-moment"));
            return None;
        }
        Some(header)
    }

    fn entry(&mut self, line: usize, text: &str, entries: &mut Vec<Entry>) {
        let entry: Entry = match serde_json::from_str(text) {
            Ok(entry) => entry,
            Err(error) => return self.json(line, false, &error),
        };
        let at = SimTime::from_nanos(entry.at);
        if let Some(last) = entries.last()
            && entry.at < last.at
        {
            let message = Phrase::new("journal-before").with("at", at.to_string());
            let message = message.with("other", SimTime::from_nanos(last.at).to_string());
            return self.error(line, 1, JournalKind::OutOfOrder, message);
        }
        if at > self.config.time_limit {
            let message = Phrase::new("journal-after").with("at", at.to_string());
            let message = message.with("other", self.config.time_limit.to_string());
            return self.error(line, 1, JournalKind::TooLate, message);
        }
        if entries.len() >= self.config.action_limit {
            let message = Phrase::new("journal-actions").with("most", self.config.action_limit);
            return self.error(line, 1, JournalKind::TooMany, message);
        }
        entries.push(entry);
    }
}

/// Reads a journal. One incomplete last line is left out and reported.
///
/// # Errors
/// Everything that is wrong with it, in the order of the lines; at most 100 errors.
pub fn read_journal(bytes: &[u8], config: &SessionConfig) -> Result<Attempt, Vec<JournalError>> {
    let mut reader = Reader { config, errors: Vec::new() };
    if bytes.len() > JOURNAL_LIMIT {
        let message = Phrase::new("journal-file-long").with("most", JOURNAL_LIMIT);
        reader.error(1, 1, JournalKind::TooLong, message);
        return Err(reader.errors);
    }
    if bytes.is_empty() {
        reader.error(1, 1, JournalKind::Empty, Phrase::new("journal-empty"));
        return Err(reader.errors);
    }
    let (mut header, mut entries, mut torn) = (None, Vec::new(), None);
    for (k, raw) in bytes.split_inclusive(|b| *b == b'\n').enumerate() {
        let number = k + 1;
        if reader.errors.len() >= ERROR_LIMIT {
            break;
        }
        let line = raw.strip_suffix(b"\n").unwrap_or(raw);
        let whole = line.len() < raw.len();
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        if line.len() > JOURNAL_LINE_LIMIT {
            let message = Phrase::new("journal-line-long").with("most", JOURNAL_LINE_LIMIT);
            reader.error(number, JOURNAL_LINE_LIMIT, JournalKind::TooLong, message);
            continue;
        }
        if !whole && number > 1 && is_cut_short(line) {
            torn = Some(Torn { line: number, bytes: line.len() });
            break;
        }
        let text = match std::str::from_utf8(line) {
            Ok(text) => text,
            Err(error) => {
                let message = Phrase::new("journal-not-utf8");
                let column = error.valid_up_to() + 1;
                reader.error(number, column, JournalKind::NotText, message);
                continue;
            }
        };
        if number == 1 {
            header = reader.header(text);
            if header.is_none() {
                // Without its header nothing else is worth reading.
                break;
            }
        } else {
            reader.entry(number, text, &mut entries);
        }
    }
    match header {
        Some(header) if reader.errors.is_empty() => Ok(Attempt { header, entries, torn }),
        _ => Err(reader.errors),
    }
}

/// The header of a journal alone, if its first line is one: what it claims, for whoever must know
/// before reading the rest.
#[must_use]
pub fn read_header(bytes: &[u8]) -> Option<Header> {
    let first = bytes.split(|b| *b == b'\n').next()?;
    if first.len() > JOURNAL_LINE_LIMIT {
        return None;
    }
    serde_json::from_slice(first).ok()
}

/// The header of a journal and the actions that come next in its beginning `bytes`, for whoever must know
/// what attempts have in common before reading them. What is no entry is passed over.
#[must_use]
pub fn read_beginning(bytes: &[u8]) -> Option<(Header, Vec<Action>)> {
    let header = read_header(bytes)?;
    let entries = bytes.split(|b| *b == b'\n').skip(1);
    let actions = entries.filter_map(|line| serde_json::from_slice::<Entry>(line).ok());
    Some((header, actions.map(|entry| entry.action).collect()))
}

/// Whether a line without a line feed is the beginning of an entry, and no more.
fn is_cut_short(line: &[u8]) -> bool {
    let text = match std::str::from_utf8(line) {
        Ok(text) => text,
        // Cut in the middle of a character.
        Err(error) if error.error_len().is_none() => return true,
        Err(_) => return false,
    };
    serde_json::from_str::<Entry>(text).is_err_and(|e| e.is_eof())
}

/// Why an attempt could not be repeated.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum ReplayError {
    /// The rig was made with another seed than the attempt.
    OtherSeed {
        /// Seed of the attempt.
        attempt: u64,
        /// Seed of the rig.
        rig: u64,
    },
    /// An action that could not be done.
    Action {
        /// Which, from 0.
        index: usize,
        /// When it should have begun.
        at: SimTime,
        /// Why not.
        error: ActError,
    },
}

impl ReplayError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            ReplayError::OtherSeed { attempt, rig } => Phrase::new("journal-seed")
                .with("attempt", attempt.to_string())
                .with("rig", rig.to_string()),
            ReplayError::Action { index, at, error } => Phrase::new("journal-action")
                .with("number", index + 1)
                .with("at", at.to_string())
                .with("why", error.phrase()),
        }
    }
}

/// Makes the session of `attempt` again, on a fresh rig.
///
/// # Errors
/// At the first action that cannot be done: the file was not written by a session of this rig.
pub fn replay(rig: Rig, config: SessionConfig, attempt: &Attempt) -> Result<Session, ReplayError> {
    if rig.plant().seed() != attempt.header.seed {
        return Err(ReplayError::OtherSeed {
            attempt: attempt.header.seed,
            rig: rig.plant().seed(),
        });
    }
    let mut session = Session::new(rig, config);
    for (index, entry) in attempt.entries.iter().enumerate() {
        let at = SimTime::from_nanos(entry.at);
        session.act_at(at, entry.action.clone()).map_err(|error| ReplayError::Action {
            index,
            at,
            error,
        })?;
    }
    Ok(session)
}
