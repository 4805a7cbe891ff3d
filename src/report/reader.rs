//! Who reads a report: in which language, in which units.

use crate::drawing::live::BURNT;
use crate::drawing::{Ink, Shape, Sheet, Subject};
use crate::grade::ReadingLine;
use crate::language::{Gap, Language, Phrase, Words};
use crate::quantity::{Dimension, UnitSystem, display, restated};
use crate::session::{Evidence, HazardRecord};

/// Who reads a report.
#[derive(Clone, Copy, Debug)]
pub struct Reader {
    /// The words of the language.
    pub words: Words,
    /// Units of values.
    pub units: UnitSystem,
}

impl Reader {
    /// A reader of `language` who thinks in `units`.
    #[must_use]
    pub fn new(language: Language, units: UnitSystem) -> Self {
        Reader { words: Words::of(language), units }
    }

    /// The message `id`.
    #[must_use]
    pub fn say(&self, id: &str) -> String {
        self.words.say(id)
    }

    /// The message `id` with one gap filled.
    #[must_use]
    pub fn fill(&self, id: &str, gap: &str, with: impl Into<Gap>) -> String {
        self.words.phrase(&Phrase::new(id.to_owned()).with(gap.to_owned(), with))
    }

    /// A sentence about what was done, refused, shown, seen, heard or felt, with its values in the
    /// units of the reader.
    #[must_use]
    pub fn tell(&self, phrase: &Phrase) -> String {
        self.restated(&self.words.sentence(phrase))
    }

    /// `text` with its values in the units of the reader, and its numbers as the language writes them.
    #[must_use]
    pub fn restated(&self, text: &str) -> String {
        if self.units == UnitSystem::Si {
            return text.to_owned();
        }
        let each = |from: char, to: &str, text: &str| {
            let number = |word: &str| {
                let plain = word.trim_start_matches('(').replace(from, ".");
                word.contains(from) && plain.parse::<f64>().is_ok()
            };
            let one = |w: &str| if number(w) { w.replace(from, to) } else { w.to_owned() };
            text.split(' ').map(one).collect::<Vec<_>>().join(" ")
        };
        let sign = self.words.decimals(".");
        let plain = each(sign.chars().next().unwrap_or('.'), ".", text);
        each('.', &sign, &restated(&plain, self.units))
    }

    /// A value in the unit it is kept in files, as people read it: in the other system of units if
    /// they want that.
    #[must_use]
    pub fn value(&self, value: f64, unit: &str) -> String {
        let text = match (self.units, unit) {
            (UnitSystem::UsCustomary, "bar") => self.of(value * 1e5, Dimension::Pressure),
            (UnitSystem::UsCustomary, "degC") => self.of(value + 273.15, Dimension::Temperature),
            (UnitSystem::UsCustomary, "N") => self.of(value, Dimension::Force),
            (_, "") => value.to_string(),
            (_, unit) => format!("{value} {}", printed(unit)),
        };
        self.words.decimals(&text)
    }

    /// A value [SI] of `dimension` in a readable unit.
    #[must_use]
    pub fn of(&self, si: f64, dimension: Dimension) -> String {
        self.words.decimals(&display(si, dimension, self.units))
    }

    /// What an instrument showed, as people read it.
    #[must_use]
    pub fn reading(&self, reading: &ReadingLine) -> String {
        let converted = self.units == UnitSystem::UsCustomary
            && matches!(reading.unit.as_ref(), "bar" | "degC");
        let shown = match (reading.value, reading.valid) {
            (Some(value), true) if converted => self.value(value, &reading.unit),
            (Some(value), true) if reading.unit == "bar" || reading.unit == "ohm" => {
                // As many decimals as the display has.
                let digits = digits_of(&reading.text).unwrap_or_else(|| value.to_string());
                self.words.decimals(&format!("{digits} {}", printed(&reading.unit)))
            }
            (Some(_), true) => self.words.decimals(&reading.text.replace("degC", "°C")),
            (None, true) => format!("OL {}", printed(&reading.unit)),
            (_, false) if reading.text.starts_with("OL") => reading.text.clone(),
            (_, false) => self.say("reading-spoilt"),
        };
        match (reading.function.as_ref(), reading.valid) {
            ("continuity", true) if reading.text.starts_with("buzzes") => {
                self.fill("reading-buzzes", "shown", shown)
            }
            ("continuity", true) => self.fill("reading-silent", "shown", shown),
            _ => shown,
        }
    }

    /// A sheet with its values in the units of the reader, as the language writes them, and what the
    /// program itself writes on it in the words of the reader.
    #[must_use]
    pub fn sheet(&self, sheet: &Sheet) -> Sheet {
        let mut own = sheet.clone();
        for mark in &mut own.marks {
            let Shape::Text { text, .. } = &mut mark.shape else { continue };
            let id = format!("drawn-{text}");
            *text = match &mark.subject {
                Subject::Paper if mark.ink == Ink::Faint && self.words.has(&id) => self.say(&id),
                Subject::Part(tag) if *text == format!("fed by {tag}") => {
                    self.fill("drawn-fed-by", "part", tag.as_str())
                }
                _ => self.labelled(text),
            };
        }
        own
    }

    /// What is written on a sheet: values as people read them, all else as it is.
    #[must_use]
    pub fn labelled(&self, text: &str) -> String {
        if text == BURNT {
            return self.say("drawn-burnt");
        }
        let restated = restated(text, self.units);
        let value = restated.split(' ').next().is_some_and(|word| word.parse::<f64>().is_ok());
        if !value {
            return restated;
        }
        self.words.stamped(&restated).replace("degC", "°C").replace("degF", "°F")
    }

    /// The values that show a hazard, as people read them.
    #[must_use]
    pub fn evidence(&self, evidence: &[Evidence]) -> String {
        let one = |e: &Evidence| {
            let name = self.say(&format!("evidence-{}", e.name.replace(' ', "-")));
            format!("{name} {}", self.value(e.value, &e.unit))
        };
        evidence.iter().map(one).collect::<Vec<_>>().join(", ")
    }

    /// A dangerous or careless act: what was done, where, and the values that show it.
    #[must_use]
    pub fn hazard(&self, record: &HazardRecord) -> String {
        let said = self.say(&record.hazard.message());
        let shown = self.evidence(&record.evidence);
        let comma = if shown.is_empty() { "" } else { ", " };
        format!("{}: {}{comma}{shown}", said.trim_end_matches('.'), record.place)
    }
}

/// A unit as it is printed.
fn printed(unit: &str) -> &str {
    match unit {
        "ohm" => "Ω",
        "degC" => "°C",
        other => other,
    }
}

/// The first number in a display.
fn digits_of(text: &str) -> Option<String> {
    text.split_whitespace().find(|w| w.parse::<f64>().is_ok()).map(str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(value: Option<f64>, text: &str, unit: &'static str) -> ReadingLine {
        ReadingLine {
            function: "gauge".into(),
            places: vec!["MP1".to_owned()],
            value,
            unit: unit.into(),
            text: text.to_owned(),
            valid: true,
        }
    }

    #[test]
    fn values_on_a_sheet_follow_language_and_units() {
        let si = Reader::new(Language::English, UnitSystem::Si);
        let us = Reader::new(Language::English, UnitSystem::UsCustomary);
        let de = Reader::new(Language::German, UnitSystem::Si);
        assert_eq!(si.labelled("20.5 degC"), "20.5 °C");
        assert_eq!(de.labelled("20.5 degC"), "20,5 °C");
        assert_eq!(us.labelled("20 degC"), "68.0 °F");
        assert_eq!(de.labelled("120 bar at 30 L/min"), "120 bar bei 30 L/min");
        assert_eq!(de.labelled(BURNT), "durchgebrannt");
        for name in ["1V1", "MP1", "Speed of 1A1", "K1", "13", "Stop at 2.5 bar"] {
            assert_eq!(de.labelled(name), name);
        }
    }

    #[test]
    fn a_reading_follows_language_and_units() {
        let gauge = reading(Some(68.0), "68.0 bar (100 bar gauge)", "bar");
        let si = Reader::new(Language::English, UnitSystem::Si);
        let us = Reader::new(Language::English, UnitSystem::UsCustomary);
        let de = Reader::new(Language::German, UnitSystem::Si);
        assert_eq!(si.reading(&gauge), "68.0 bar");
        // 68 bar / 6894.757 Pa: 986.3 psi (NIST SP 811, appendix B.8).
        assert_eq!(us.reading(&gauge), "986 psi");
        assert_eq!(de.reading(&gauge), "68,0 bar");
        let warm = reading(Some(25.0), "25 degC", "degC");
        assert_eq!(si.reading(&warm), "25 °C");
        assert_eq!(us.reading(&warm), "77.0 °F");
        let mut beep = reading(Some(0.4), "buzzes, 0.4 ohm", "ohm");
        beep.function = "continuity".into();
        assert_eq!(si.reading(&beep), "buzzes, 0.4 Ω");
        assert_eq!(de.reading(&beep), "summt, 0,4 Ω");
        let open = reading(None, "OL ohm", "ohm");
        assert_eq!(si.reading(&open), "OL Ω");
    }
}
