//! The catalogues, and looking a message up in them.

use std::str::FromStr;
use std::sync::OnceLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use unic_langid::LanguageIdentifier;

use super::phrase::{Gap, Phrase, WRITTEN};

/// A language people read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Language {
    /// English: complete, and what every other catalogue is measured by.
    #[default]
    English,
    /// German.
    German,
}

impl Language {
    /// Every language.
    pub const ALL: [Language; 2] = [Language::English, Language::German];

    /// Its code (BCP 47), as `lang` of a page.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::German => "de",
        }
    }

    /// The catalogue as it is written.
    fn source(self) -> &'static str {
        match self {
            Language::English => include_str!("../../assets/language/en.ftl"),
            Language::German => include_str!("../../assets/language/de.ftl"),
        }
    }
}

impl FromStr for Language {
    type Err = String;

    fn from_str(code: &str) -> Result<Self, String> {
        Language::ALL
            .into_iter()
            .find(|l| l.code() == code)
            .ok_or_else(|| format!("\"{code}\" is no language of this program; write en or de"))
    }
}

/// The words of a language.
#[derive(Clone, Copy)]
pub struct Words {
    language: Language,
    bundle: &'static FluentBundle<FluentResource>,
}

impl std::fmt::Debug for Words {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Words").field("language", &self.language).finish_non_exhaustive()
    }
}

impl Words {
    /// The words of `language`.
    #[must_use]
    pub fn of(language: Language) -> Words {
        static ENGLISH: OnceLock<FluentBundle<FluentResource>> = OnceLock::new();
        static GERMAN: OnceLock<FluentBundle<FluentResource>> = OnceLock::new();
        let cell = match language {
            Language::English => &ENGLISH,
            Language::German => &GERMAN,
        };
        Words { language, bundle: cell.get_or_init(|| bundle(language)) }
    }

    /// The language.
    #[must_use]
    pub fn language(&self) -> Language {
        self.language
    }

    /// The message `id`, which has no gaps.
    #[must_use]
    pub fn say(&self, id: &str) -> String {
        self.look_up(id, None)
    }

    /// `phrase` in words.
    #[must_use]
    pub fn phrase(&self, phrase: &Phrase) -> String {
        let mut args = FluentArgs::new();
        for (name, gap) in phrase.gaps() {
            let value = match gap {
                Gap::Count(count) => FluentValue::from(*count),
                // A number that was written down before there was a language.
                Gap::Text(text) if name != WRITTEN && text.parse::<f64>().is_ok() => {
                    FluentValue::from(self.decimals(text))
                }
                Gap::Text(text) => FluentValue::from(text.as_str()),
                Gap::Said(phrase) => FluentValue::from(self.phrase(phrase)),
            };
            args.set(name.to_owned(), value);
        }
        self.look_up(phrase.id(), Some(&args))
    }

    /// Whether the catalogue has the message `id`.
    #[must_use]
    pub fn has(&self, id: &str) -> bool {
        self.bundle.get_message(id).is_some_and(|m| m.value().is_some())
    }

    /// `value` with `decimals` places, with the decimal sign of the language.
    #[must_use]
    pub fn number(&self, value: f64, decimals: usize) -> String {
        self.decimals(&format!("{:.decimals$}", value + 0.0))
    }

    /// A number, or a value with its unit, with the decimal sign of the language.
    #[must_use]
    pub fn decimals(&self, shown: &str) -> String {
        match self.language {
            Language::English => shown.to_owned(),
            Language::German => shown.replace('.', ","),
        }
    }

    /// A message that is not there, or whose gaps are not filled, shows its id in angle brackets.
    fn look_up(&self, id: &str, args: Option<&FluentArgs<'_>>) -> String {
        let Some(pattern) = self.bundle.get_message(id).and_then(|m| m.value()) else {
            return format!("\u{27e8}{id}\u{27e9}");
        };
        let mut errors = Vec::new();
        let text = self.bundle.format_pattern(pattern, args, &mut errors).into_owned();
        if errors.is_empty() { text } else { format!("\u{27e8}{id}\u{27e9}") }
    }
}

fn bundle(language: Language) -> FluentBundle<FluentResource> {
    let id: LanguageIdentifier = language.code().parse().unwrap_or_default();
    let mut bundle = FluentBundle::new_concurrent(vec![id]);
    // Marks around gaps serve mixed writing directions, which neither language has.
    bundle.set_use_isolating(false);
    // A test holds that both catalogues are read without a slip; one with slips still has its sound messages.
    let resource = match FluentResource::try_new(language.source().to_owned()) {
        Ok(resource) | Err((resource, _)) => resource,
    };
    bundle.add_resource_overriding(resource);
    bundle
}

#[cfg(test)]
mod tests {
    use std::collections::{BTreeMap, BTreeSet};

    use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement};

    use super::*;

    /// The gaps of a pattern.
    fn gaps(pattern: &Pattern<&str>, into: &mut BTreeSet<String>) {
        for element in &pattern.elements {
            let PatternElement::Placeable { expression } = element else { continue };
            match expression {
                Expression::Inline(inline) => inline_gap(inline, into),
                Expression::Select { selector, variants } => {
                    inline_gap(selector, into);
                    for variant in variants {
                        gaps(&variant.value, into);
                    }
                }
            }
        }
    }

    fn inline_gap(inline: &InlineExpression<&str>, into: &mut BTreeSet<String>) {
        match inline {
            InlineExpression::VariableReference { id } => {
                into.insert(id.name.to_owned());
            }
            // A brace is written as a text.
            InlineExpression::StringLiteral { value: "{" | "}" } => {}
            other => panic!("only gaps and braces are used in the catalogues: {other:?}"),
        }
    }

    /// Messages with their gaps; a message twice is a slip.
    fn messages(language: Language) -> BTreeMap<String, BTreeSet<String>> {
        let read = fluent_syntax::parser::parse(language.source());
        let resource = read.unwrap_or_else(|(_, slips)| panic!("{language:?}: {slips:?}"));
        let mut found = BTreeMap::new();
        for entry in &resource.body {
            match entry {
                Entry::Message(m) => {
                    let mut names = BTreeSet::new();
                    gaps(m.value.as_ref().expect("a value"), &mut names);
                    let twice = found.insert(m.id.name.to_owned(), names);
                    assert!(twice.is_none(), "{language:?}: {} stands twice", m.id.name);
                }
                Entry::Junk { content } => panic!("{language:?}: {content}"),
                _ => {}
            }
        }
        found
    }

    #[test]
    fn every_catalogue_has_the_same_messages_with_the_same_gaps() {
        let english = messages(Language::English);
        assert!(english.len() > 50, "{}", english.len());
        for language in Language::ALL {
            assert_eq!(messages(language), english, "{language:?}");
        }
    }

    #[test]
    fn every_message_can_be_said() {
        for language in Language::ALL {
            let words = Words::of(language);
            for (id, gaps) in messages(language) {
                let mut phrase = Phrase::new(id.clone());
                for gap in &gaps {
                    // A number does for both kinds of gap.
                    phrase = phrase.with(gap.clone(), 2_usize);
                }
                let said = words.phrase(&phrase);
                assert!(
                    !said.contains('\u{27e8}') && !said.is_empty(),
                    "{language:?} {id}: {said}"
                );
            }
        }
    }

    #[test]
    fn what_is_missing_shows() {
        let words = Words::of(Language::English);
        assert_eq!(words.say("no-such-message"), "\u{27e8}no-such-message\u{27e9}");
        assert_eq!(words.say("minutes"), "\u{27e8}minutes\u{27e9}");
        assert!(!words.has("no-such-message") && words.has("minutes"));
    }

    #[test]
    fn numbers_follow_the_language() {
        assert_eq!(Words::of(Language::English).number(12.34, 1), "12.3");
        assert_eq!(Words::of(Language::German).number(12.34, 1), "12,3");
        assert_eq!(Words::of(Language::German).number(-0.0, 1), "0,0");
    }

    #[test]
    fn what_was_written_stays_as_it_is() {
        let words = Words::of(Language::German);
        assert_eq!(words.phrase(&Phrase::written("2.50")), "2.50");
        assert_eq!(words.phrase(&Phrase::new("minutes").with("minutes", "2.50")), "2,50 min");
    }

    #[test]
    fn plurals_follow_the_language() {
        let one = Phrase::new("feedback-majors").with("count", 1).with("marks", "5");
        assert_eq!(one.to_string(), "1 careless act costs 5 marks.");
        let said = Words::of(Language::German).phrase(&one);
        assert_eq!(said, "1 fahrlässige Handlung kostet 5 Punkte.");
    }
}
