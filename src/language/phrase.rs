//! A sentence before it has a language: the id of a message and what fills its gaps.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::io;

use serde::{Deserialize, Serialize};

use super::catalogue::{Language, Words};

/// What fills a gap.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Gap {
    /// A count, by which the message may choose its plural.
    Count(u32),
    /// A text that is the same in every language: a tag, a value with its unit.
    Text(String),
    /// Another sentence, or a part of one.
    Said(Box<Phrase>),
}

impl From<&str> for Gap {
    fn from(text: &str) -> Gap {
        Gap::Text(text.to_owned())
    }
}

impl From<String> for Gap {
    fn from(text: String) -> Gap {
        Gap::Text(text)
    }
}

impl From<Phrase> for Gap {
    fn from(phrase: Phrase) -> Gap {
        Gap::Said(Box::new(phrase))
    }
}

impl From<usize> for Gap {
    fn from(count: usize) -> Gap {
        Gap::Count(u32::try_from(count).unwrap_or(u32::MAX))
    }
}

/// The gap for what is shown as it was written, even where it looks like a number.
pub(super) const WRITTEN: &str = "written";

/// A sentence before it has a language. In files it also carries its English text, for people; only
/// the id and the gaps are read back.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(into = "Written", from = "Written")]
pub struct Phrase {
    id: Cow<'static, str>,
    /// By name, each once.
    gaps: Vec<(Cow<'static, str>, Gap)>,
}

impl Phrase {
    /// The message `id` without gaps.
    #[must_use]
    pub fn new(id: impl Into<Cow<'static, str>>) -> Phrase {
        Phrase { id: id.into(), gaps: Vec::new() }
    }

    /// A text that somebody else wrote, which stays as it is: what a library or the system said.
    #[must_use]
    pub fn written(text: impl Into<String>) -> Phrase {
        Phrase::new("written").with(WRITTEN, text.into())
    }

    /// What the system could not do with a file: in words of our own where it is one of the usual reasons, else
    /// in the words of the system.
    #[must_use]
    pub fn system(problem: &io::Error) -> Phrase {
        let id = match problem.kind() {
            // A reason that a library gives says more than its kind.
            _ if problem.get_ref().is_some() => None,
            io::ErrorKind::NotFound => Some("system-missing"),
            io::ErrorKind::PermissionDenied => Some("system-forbidden"),
            io::ErrorKind::IsADirectory => Some("system-folder"),
            io::ErrorKind::NotADirectory => Some("system-no-folder"),
            io::ErrorKind::AlreadyExists => Some("system-there"),
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Some("system-full"),
            io::ErrorKind::ReadOnlyFilesystem => Some("system-read-only"),
            _ => None,
        };
        id.map_or_else(|| Phrase::written(problem.to_string()), Phrase::new)
    }

    /// Several after one another, with semicolons between them.
    #[must_use]
    pub fn list(phrases: impl IntoIterator<Item = Phrase>) -> Phrase {
        let join = |first, rest| Phrase::new("list-then").with("first", first).with("rest", rest);
        phrases.into_iter().reduce(join).unwrap_or_else(|| Phrase::written(""))
    }

    /// The same with the gap `name` filled.
    #[must_use]
    pub fn with(mut self, name: impl Into<Cow<'static, str>>, gap: impl Into<Gap>) -> Phrase {
        let name = name.into();
        match self.gaps.binary_search_by(|(other, _)| other.cmp(&name)) {
            Ok(k) => self.gaps[k].1 = gap.into(),
            Err(k) => self.gaps.insert(k, (name, gap.into())),
        }
        self
    }

    /// Id of the message.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.id
    }

    /// What fills its gaps.
    pub fn gaps(&self) -> impl Iterator<Item = (&str, &Gap)> {
        self.gaps.iter().map(|(name, gap)| (name.as_ref(), gap))
    }

    /// The same with every gap as `fill` makes it of its name and what is in it.
    #[must_use]
    pub fn refilled(&self, fill: impl Fn(&str, &Gap) -> Gap) -> Phrase {
        let gaps = self.gaps.iter().map(|(name, gap)| (name.clone(), fill(name, gap)));
        Phrase { id: self.id.clone(), gaps: gaps.collect() }
    }
}

impl fmt::Display for Phrase {
    /// In English.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&Words::of(Language::English).phrase(self))
    }
}

/// How a phrase stands in a file.
#[derive(Serialize, Deserialize)]
struct Written {
    id: String,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    gaps: BTreeMap<String, Gap>,
    #[serde(default)]
    text: String,
}

impl From<Phrase> for Written {
    fn from(phrase: Phrase) -> Written {
        let text = phrase.to_string();
        let gaps = phrase.gaps.into_iter().map(|(name, gap)| (name.into_owned(), gap));
        Written { id: phrase.id.into_owned(), gaps: gaps.collect(), text }
    }
}

impl From<Written> for Phrase {
    fn from(written: Written) -> Phrase {
        let gaps = written.gaps.into_iter().map(|(name, gap)| (name.into(), gap));
        Phrase { id: written.id.into(), gaps: gaps.collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_troubles_with_files_have_words_in_every_language() {
        let german =
            |problem: io::Error| Words::of(Language::German).phrase(&Phrase::system(&problem));
        // ENOENT, EACCES, EEXIST, ENOTDIR, EISDIR, ENOSPC, EROFS (POSIX.1-2017, as numbered by Linux).
        for (number, said) in [
            (2, "eine solche Datei gibt es nicht"),
            (13, "das ist nicht erlaubt"),
            (17, "das gibt es schon"),
            (20, "das ist kein Ordner"),
            (21, "das ist ein Ordner"),
            (28, "kein Platz ist mehr frei"),
            (30, "dort kann nur gelesen werden"),
        ] {
            assert_eq!(german(io::Error::from_raw_os_error(number)), said);
        }
        // Others, and what a library says, stay as they are.
        let other = io::Error::from_raw_os_error(5);
        assert_eq!(german(io::Error::from_raw_os_error(5)), other.to_string());
        let library = io::Error::new(io::ErrorKind::NotFound, "no table");
        assert_eq!(german(library), "no table");
    }

    #[test]
    fn a_phrase_reads_back_without_its_text() {
        let phrase = Phrase::new("feedback-majors").with("count", 2).with("marks", "10");
        let json = serde_json::to_string(&phrase).unwrap();
        assert!(json.contains("\"text\":\"2 careless acts cost 10 marks.\""), "{json}");
        assert_eq!(serde_json::from_str::<Phrase>(&json).unwrap(), phrase);
        let bare = r#"{"id":"feedback-majors","gaps":{"count":2,"marks":"10"}}"#;
        assert_eq!(serde_json::from_str::<Phrase>(bare).unwrap(), phrase);
    }
}
