//! Why a text is not a quantity, as a sentence without a language yet.

use std::fmt;

use crate::quantity::{Dimension, QuantityError};

use super::phrase::Phrase;

impl Dimension {
    /// Its name: "pressure".
    #[must_use]
    pub fn phrase(self) -> Phrase {
        Phrase::new(format!("dimension-{}", self.name().replace(' ', "-")))
    }

    /// Its name with the article: "a pressure".
    #[must_use]
    pub fn phrase_with_article(self) -> Phrase {
        Phrase::new(format!("dimension-a-{}", self.name().replace(' ', "-")))
    }
}

impl QuantityError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        let of = |id: &'static str, text: &str| Phrase::new(id).with("written", text);
        let wants = |phrase: Phrase, wanted: &Dimension| {
            phrase
                .with("wanted", wanted.phrase_with_article())
                .with("example", Phrase::written(wanted.example()))
        };
        match self {
            QuantityError::Empty { wanted } => wants(Phrase::new("quantity-empty"), wanted),
            QuantityError::TooLong { length, most } => {
                Phrase::new("quantity-long").with("length", *length).with("most", *most)
            }
            QuantityError::NotANumber { text, wanted } => {
                wants(of("quantity-no-number", text), wanted)
            }
            QuantityError::Comma { text, instead } => {
                of("quantity-comma", text).with("instead", Phrase::written(instead.as_str()))
            }
            QuantityError::Gap { text } => of("quantity-gap", text),
            QuantityError::NoUnit { number, wanted } => {
                wants(of("quantity-no-unit", number), wanted)
            }
            QuantityError::OtherDimension { text, found, wanted } => {
                wants(of("quantity-other", text), wanted).with("found", found.phrase_with_article())
            }
            QuantityError::UnknownUnit { unit, wanted, nearest: Some(nearest) } => {
                let phrase = of("quantity-unit-like", unit).with("wanted", wanted.phrase());
                phrase.with("nearest", *nearest)
            }
            QuantityError::UnknownUnit { unit, wanted, nearest: None } => {
                let phrase = of("quantity-unit", unit).with("wanted", wanted.phrase());
                phrase.with("example", Phrase::written(wanted.example()))
            }
            QuantityError::NotFinite { text } => of("quantity-not-finite", text),
            QuantityError::OutOfRange { text, wanted, low, high } => of("quantity-range", text)
                .with("wanted", wanted.phrase_with_article())
                .with("low", low.as_str())
                .with("high", high.as_str()),
            QuantityError::NoSupplyKind { text } => of("quantity-kind", text),
            QuantityError::NoFrequency { text } => of("quantity-frequency", text),
            QuantityError::Trailing { before, rest } => {
                of("quantity-trailing", rest).with("before", before.as_str())
            }
            QuantityError::DurationOrder { text } => of("quantity-order", text),
        }
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.phrase().fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::super::catalogue::{Language, Words};
    use super::*;
    use crate::quantity::{Supply, parse, parse_duration};

    #[test]
    fn every_dimension_has_its_names() {
        for dimension in Dimension::ALL {
            assert_eq!(dimension.phrase().to_string(), dimension.name());
            let with_article = dimension.phrase_with_article();
            for words in Language::ALL.map(Words::of) {
                assert!(words.has(dimension.phrase().id()) && words.has(with_article.id()));
            }
        }
    }

    #[test]
    fn every_kind_of_error_has_its_sentence() {
        let mut ids = std::collections::BTreeSet::new();
        let long = "7".repeat(100);
        let texts = [
            "",
            "70",
            "70,5 bar",
            "7 0 bar",
            "seventy bar",
            "70 bra",
            "70 quux",
            "12 L/min",
            "inf",
            "1e300 bar",
            "1e12 bar",
            "24 V",
            "230 V AC",
            "24 V DC really",
            "30 s 1 min",
            &long,
        ];
        for text in texts {
            let errors = [
                parse(text, Dimension::Pressure).err(),
                parse(text, Dimension::Length).err(),
                Supply::parse(text).err(),
                parse_duration(text).err(),
            ];
            for error in errors.into_iter().flatten() {
                let phrase = error.phrase();
                for words in Language::ALL.map(Words::of) {
                    assert!(words.has(phrase.id()), "{}", phrase.id());
                }
                ids.insert(phrase.id().to_owned());
            }
        }
        // Every kind of error is met, one of them in two ways.
        assert_eq!(ids.len(), 15, "{ids:?}");
    }

    #[test]
    fn what_was_written_is_quoted_as_it_is() {
        let error = parse("70.5", Dimension::Pressure).unwrap_err();
        assert_eq!(
            Words::of(Language::German).phrase(&error.phrase()),
            "„70.5“ hat keine Einheit; gebraucht wird ein Druck, etwa „70 bar“"
        );
    }
}
