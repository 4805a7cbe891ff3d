//! A file as a tree of values, each with its place in the text.
//!
//! The notation is RON. It is read here rather than through `serde`, because a reader that stops
//! at the first mistake, or forgets where a value stood, cannot tell an author everything that is
//! wrong. A test holds this reader to the `ron` crate's own on a corpus.
//!
//! ```
//! use spoolbench::bench::tree::{Fields, parse};
//! use spoolbench::diagnostic::{Diagnostics, Reporter};
//! use spoolbench::quantity::Dimension;
//! let mut found = Diagnostics::new();
//! let node = parse("a.ron", "Cylinder(bore: \"25 mm\", rodd: \"12 mm\")", &mut found);
//! let mut report = Reporter::new("a.ron", &mut found);
//! if let Some(mut fields) = node.as_ref().and_then(|node| Fields::open(node, &mut report)) {
//!     let bore = fields.need("bore", "\"25 mm\"", &mut report);
//!     let bore_m = bore.and_then(|bore| bore.as_quantity(Dimension::Length, &mut report));
//!     assert_eq!(bore_m, Some(0.025));
//!     let _ = fields.take("rod");
//!     fields.finish(&mut report); // "rodd" is not known here; did you mean "rod"?
//! }
//! assert_eq!(found.error_count(), 1);
//! ```

mod access;
mod read;
#[cfg(test)]
mod tests;

use crate::language::Phrase;

pub use crate::diagnostic::Span;
pub use access::{Fields, Record};
pub use read::{DEEPEST, LARGEST_FILE, MOST_VALUES, parse};

/// A value and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// The value.
    pub value: Value,
    /// Its bytes in the file, from its name or bracket to its last bracket.
    pub span: Span,
    /// Where the content of a text begins, if it stands in the file letter by letter.
    verbatim_from: Option<usize>,
}

/// What can stand in a file.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A text in quotes, escapes resolved; a character in single quotes is a text too.
    Text(String),
    /// A finite number.
    Number(Number),
    /// `true` or `false`.
    Flag(bool),
    /// `[a, b]`.
    List(Vec<Node>),
    /// `Name(key: value)` or `(key: value)`; also `Name()` and `()`.
    Record {
        /// The name before the bracket.
        name: Option<(String, Span)>,
        /// The fields in the order of the file, repeated ones included.
        fields: Vec<Field>,
    },
    /// `{ "key": value }`, in the order of the file, repeated keys included.
    Map(Vec<Field>),
    /// `Name(a, b)` or `(a, b)`, with at least one value.
    Tuple {
        /// The name before the bracket.
        name: Option<(String, Span)>,
        /// The values.
        values: Vec<Node>,
    },
    /// A word by itself, such as `Closed`.
    Name(String),
    /// `None`.
    Nothing,
}

/// A number with the text it was written as.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    /// Its value, finite.
    pub value: f64,
    /// Its value as a whole number, if it was written as one.
    pub whole: Option<i128>,
    /// As written.
    pub source: String,
}

/// A key and its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// The key, without quotes.
    pub key: String,
    /// Where the key stands, quotes included.
    pub key_span: Span,
    /// The value.
    pub value: Node,
}

impl Node {
    /// A value at a place.
    #[must_use]
    pub fn new(value: Value, span: Span) -> Self {
        Node { value, span, verbatim_from: None }
    }

    /// The place in the file of the bytes `start..end` of a text's content; the whole text if it
    /// was written with escapes.
    #[must_use]
    pub fn inner_span(&self, start: usize, end: usize) -> Span {
        match self.verbatim_from {
            Some(from) => {
                let place = |offset: usize| from.saturating_add(offset).min(self.span.end);
                Span::new(place(start), place(end))
            }
            None => self.span,
        }
    }

    /// What kind of value it is, with its article: "a text".
    #[must_use]
    pub fn kind(&self) -> Phrase {
        Phrase::new(match &self.value {
            Value::Text(_) => "tree-text",
            Value::Number(_) => "tree-number",
            Value::Flag(_) => "tree-flag",
            Value::List(_) => "tree-list",
            Value::Record { .. } => "tree-record",
            Value::Map(_) => "tree-map",
            Value::Tuple { .. } => "tree-tuple",
            Value::Name(_) => "tree-word",
            Value::Nothing => "tree-none",
        })
    }
}
