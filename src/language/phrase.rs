//! A sentence before it has a language: the id of a message and what fills its gaps.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};

use super::catalogue::{Language, Words};

/// What fills a gap.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Gap {
    /// A count, by which the message may choose its plural.
    Count(u32),
    /// A text that is the same in every language: a tag, a value with its unit.
    Text(String),
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

impl From<usize> for Gap {
    fn from(count: usize) -> Gap {
        Gap::Count(u32::try_from(count).unwrap_or(u32::MAX))
    }
}

/// A sentence before it has a language. In files it also carries its English text, for people; only
/// the id and the gaps are read back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(into = "Written", from = "Written")]
pub struct Phrase {
    id: String,
    gaps: BTreeMap<String, Gap>,
}

impl Phrase {
    /// The message `id` without gaps.
    #[must_use]
    pub fn new(id: &str) -> Phrase {
        Phrase { id: id.to_owned(), gaps: BTreeMap::new() }
    }

    /// The same with the gap `name` filled.
    #[must_use]
    pub fn with(mut self, name: &str, gap: impl Into<Gap>) -> Phrase {
        self.gaps.insert(name.to_owned(), gap.into());
        self
    }

    /// Id of the message.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.id
    }

    /// What fills its gaps.
    pub fn gaps(&self) -> impl Iterator<Item = (&str, &Gap)> {
        self.gaps.iter().map(|(name, gap)| (name.as_str(), gap))
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
        Written { text: phrase.to_string(), id: phrase.id, gaps: phrase.gaps }
    }
}

impl From<Written> for Phrase {
    fn from(written: Written) -> Phrase {
        Phrase { id: written.id, gaps: written.gaps }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
