//! Why an action was not done, as it is said to whoever typed it.

use std::fmt;

use crate::base::SimTime;
use crate::language::Phrase;
use crate::quantity::{Dimension, QuantityError};

use super::action::Tool;
use super::rig::RigError;

/// Why an action was not done. Nothing has changed, and the session goes on, unless it says so.
#[derive(Clone, Debug, PartialEq)]
pub enum ActError {
    /// No part of that tag.
    NoSuchPart {
        /// As written.
        name: String,
        /// The tag most like it.
        nearest: Option<String>,
    },
    /// No terminal, port or test point of that name.
    NoSuchPoint {
        /// As written.
        name: String,
        /// The name most like it.
        nearest: Option<String>,
    },
    /// The action is nothing for a part of that class.
    NotForThat {
        /// The verb.
        verb: &'static str,
        /// The part.
        part: String,
        /// Its class.
        class: &'static str,
    },
    /// A value that cannot be set or used.
    BadValue(Phrase),
    /// The scenario keeps that tool back.
    NoTool(Tool),
    /// The action would begin before the last one has ended.
    TooEarly {
        /// When it should begin.
        at: SimTime,
        /// Where the bench is.
        now: SimTime,
    },
    /// More actions than an attempt may have.
    TooManyActions(usize),
    /// More text than an action, or an attempt, may have [bytes].
    TooMuchText(usize),
    /// The attempt has ended.
    Ended,
    /// The rig cannot go on; the attempt has ended with it.
    Rig(RigError),
}

impl From<RigError> for ActError {
    fn from(error: RigError) -> Self {
        ActError::Rig(error)
    }
}

impl ActError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            ActError::NoSuchPart { name, nearest: None } => {
                Phrase::new("refused-no-part").with("name", name.as_str())
            }
            ActError::NoSuchPart { name, nearest: Some(nearest) } => {
                let like = Phrase::new("refused-no-part-like").with("name", name.as_str());
                like.with("nearest", nearest.as_str())
            }
            ActError::NoSuchPoint { name, nearest: None } => {
                Phrase::new("refused-no-point").with("name", name.as_str())
            }
            ActError::NoSuchPoint { name, nearest: Some(nearest) } => {
                let like = Phrase::new("refused-no-point-like").with("name", name.as_str());
                like.with("nearest", nearest.as_str())
            }
            ActError::NotForThat { verb, part, class } => Phrase::new("refused-not-for-that")
                .with("verb", *verb)
                .with("part", part.as_str())
                .with("class", *class),
            ActError::BadValue(phrase) => phrase.clone(),
            ActError::NoTool(tool) => Phrase::new("refused-no-tool").with("tool", tool.word()),
            ActError::TooEarly { at, now } => Phrase::new("refused-too-early")
                .with("at", at.to_string())
                .with("now", now.to_string()),
            ActError::TooManyActions(most) => {
                Phrase::new("refused-too-many-actions").with("most", most.to_string())
            }
            ActError::TooMuchText(most) => {
                Phrase::new("refused-too-much-text").with("most", most.to_string())
            }
            ActError::Ended => Phrase::new("refused-ended"),
            ActError::Rig(error) => Phrase::new("refused-broken").with("why", error.phrase()),
        }
    }
}

impl fmt::Display for ActError {
    /// In English.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.phrase().fmt(f)
    }
}

impl std::error::Error for ActError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            ActError::Rig(error) => Some(error),
            _ => None,
        }
    }
}

/// Why a value typed by a learner cannot be read; `None` for a time.
pub(super) fn unreadable(error: &QuantityError, typed: &str, wanted: Option<Dimension>) -> Phrase {
    let (id, text) = match error {
        QuantityError::Comma { .. } => ("refused-comma", typed),
        QuantityError::NoUnit { number, .. } => ("refused-no-unit", number.as_str()),
        e if e.is_out_of_range() => ("refused-out-of-range", typed),
        _ => ("refused-no-value", typed),
    };
    let example = wanted.map_or("1.5 s", Dimension::example);
    Phrase::new(id).with("text", super::task::clip(text)).with("example", example)
}
