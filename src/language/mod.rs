//! Sentences in the language of the reader: catalogues of messages, English and German.
//!
//! A message has an id and may have gaps. Text that is written for people stands in the catalogues under
//! `assets/language/`, one file a language with the same ids; programs hand on a [`Phrase`], and whoever prints
//! it fills in the words.
//!
//! ```
//! use spoolbench::language::{Language, Phrase, Words};
//! let phrase = Phrase::new("minutes").with("minutes", "2.5");
//! assert_eq!(Words::of(Language::English).phrase(&phrase), "2.5 min");
//! assert_eq!(Words::of(Language::German).phrase(&phrase), "2,5 min");
//! ```

mod catalogue;
mod phrase;
mod quantity;
mod terms;

pub use catalogue::{Language, Words};
pub use phrase::{Gap, Phrase};
