//! The same actions typed in words: `press S1`, `volts K1:A1 K1:A2`, `adjust RV1 pressure 65 bar`.

use std::fmt;

use crate::base::nearest;
use crate::language::{Language, Phrase, Words};
use crate::quantity::parse_duration;

use super::action::{Action, Finger, Position, Side};
use super::cost::Cost;
use super::instrument::VACUUM_RANGE;
use super::refusal::unreadable;

/// Longest line that is read [bytes].
pub const LINE_LIMIT: usize = 4096;

/// One verb: how it is written, what it does, what it costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct VerbSpec {
    /// The verb.
    pub verb: &'static str,
    /// What follows it.
    pub syntax: &'static str,
    /// What its bench time is counted as.
    pub cost: Cost,
    /// A line that is understood.
    pub example: &'static str,
}

const fn verb(
    verb: &'static str,
    syntax: &'static str,
    cost: Cost,
    example: &'static str,
) -> VerbSpec {
    VerbSpec { verb, syntax, cost, example }
}

/// Every verb, in the order of the guide.
#[rustfmt::skip]
const VERBS: [VerbSpec; 48] = [
    verb("press", "PART", Cost::Button, "press S1"),
    verb("hold", "PART", Cost::Button, "hold S2"),
    verb("both", "PART PART", Cost::Button, "both S1 S2"),
    verb("release", "PART", Cost::Button, "release S2"),
    verb("turn", "PART on|off", Cost::Turn, "turn S3 on"),
    verb("wait", "TIME", Cost::Nothing, "wait 2 s"),
    verb("look", "PART", Cost::Look, "look H1"),
    verb("listen", "PART", Cost::Listen, "listen M1"),
    verb("feel", "PART or PORT", Cost::Feel, "feel 1V1"),
    verb("plate", "PART", Cost::Plate, "plate Y1"),
    verb("volts", "POINT POINT", Cost::Volts, "volts K1:A1 K1:A2"),
    verb("ohms", "POINT POINT", Cost::Ohms, "ohms Y1:1 Y1:2"),
    verb("continuity", "POINT POINT", Cost::Ohms, "continuity K1:13 K1:14"),
    verb("amps", "POINT POINT", Cost::Amps, "amps F1:1 F1:2"),
    verb("clamp", "TERMINAL or PART", Cost::Clamp, "clamp 1V1:a1"),
    verb("gauge", "POINT [RANGE bar|vacuum]", Cost::GaugeFit, "gauge MP1 250 bar"),
    verb("temperature", "PART", Cost::Temperature, "temperature Y1"),
    verb("override", "VALVE a|b push|pull|latch|turn|release", Cost::Override, "override 1V1 a push"),
    verb("swap plugs", "VALVE", Cost::Plugs, "swap plugs 1V1"),
    verb("adjust", "PART SETTING VALUE", Cost::Adjust, "adjust RV1 pressure 65 bar"),
    verb("isolate", "ISOLATOR", Cost::Isolate, "isolate Q0"),
    verb("restore", "ISOLATOR", Cost::Isolate, "restore Q0"),
    verb("lock", "ISOLATOR", Cost::Lock, "lock Q0"),
    verb("unlock", "ISOLATOR", Cost::Lock, "unlock Q0"),
    verb("tag", "ISOLATOR", Cost::Tag, "tag Q0"),
    verb("try", "PART", Cost::Try, "try S1"),
    verb("prove", "", Cost::Prove, "prove"),
    verb("bleed", "PART or POINT", Cost::Bleed, "bleed AC1"),
    verb("prop", "CYLINDER", Cost::Prop, "prop 1A1"),
    verb("unprop", "CYLINDER", Cost::Prop, "unprop 1A1"),
    verb("open", "PORT", Cost::Fitting, "open 1V1:A"),
    verb("close", "PORT", Cost::Fitting, "close 1V1:A"),
    verb("replace", "PART", Cost::ReplaceMiddling, "replace K1"),
    verb("repair", "WIRE", Cost::Repair, "repair W7"),
    verb("clean", "PART", Cost::Clean, "clean 1V1"),
    verb("enter", "CYLINDER", Cost::Zone, "enter 1A1"),
    verb("leave", "CYLINDER", Cost::Zone, "leave 1A1"),
    verb("bridge", "POINT POINT", Cost::Lead, "bridge S2:13 S2:14"),
    verb("unbridge", "POINT POINT", Cost::Lead, "unbridge S2:13 S2:14"),
    verb("fit", "FUSE RATING", Cost::ReplaceSmall, "fit F1 4 A"),
    verb("loosen", "ACCUMULATOR", Cost::Fitting, "loosen AC1"),
    verb("call", "ISOLATOR", Cost::Call, "call Q0"),
    verb("cut", "ISOLATOR", Cost::Cut, "cut Q0"),
    verb("predict", "TEXT", Cost::Write, "predict H1 will light"),
    verb("note", "TEXT", Cost::Write, "note no click from K2"),
    verb("suspect", "PART, PART, ...", Cost::Write, "suspect K1, K2"),
    verb("name", "PART FAULT", Cost::Write, "name K1 welded 13-14"),
    verb("hand back", "", Cost::HandBack, "hand back"),
];

/// Every verb, in the order of the guide.
#[must_use]
pub fn verbs() -> &'static [VerbSpec] {
    &VERBS
}

impl VerbSpec {
    /// What it does.
    fn meaning(&self, words: Words) -> String {
        words.say(&format!("verb-{}", self.verb.replace(' ', "-")))
    }
}

/// The table of verbs as plain text, one a line.
#[must_use]
pub fn help(words: Words) -> String {
    let mut text = String::new();
    for v in verbs() {
        let written = format!("{} {}", v.verb, v.syntax);
        text.push_str(&format!("{:<34} {}", written.trim_end(), v.meaning(words)));
        if v.cost.usual_s() > 0 {
            text.push_str(&format!(" ({} s)", v.cost.usual_s()));
        }
        text.push('\n');
    }
    text
}

/// The table of verbs in markdown.
#[must_use]
pub fn guide_table() -> String {
    let words = Words::of(Language::English);
    let mut text = String::from("| verb | what follows | bench time | what it does | example |\n");
    text.push_str("| --- | --- | --- | --- | --- |\n");
    for v in verbs() {
        text.push_str(&format!(
            "| `{}` | {} | {} s | {} | `{}` |\n",
            v.verb,
            v.syntax.replace('|', "\\|"),
            v.cost.usual_s(),
            v.meaning(words),
            v.example.replace('|', "\\|")
        ));
    }
    text
}

/// A line that is no action. The session goes on.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct WordsError {
    /// What is wrong.
    pub message: Phrase,
    /// What to write instead.
    pub help: Phrase,
    /// Where, counted in characters from 1.
    pub column: usize,
}

/// Reads one line.
///
/// ```
/// use spoolbench::session::{Action, parse};
/// assert_eq!(parse("press S1"), Ok(Action::Press { part: "S1".into() }));
/// assert_eq!(parse("wait 1 min").map(|a| a.to_string()), Ok("wait 60 s".to_owned()));
/// assert!(parse("pres S1").unwrap_err().help.to_string().contains("press"));
/// ```
///
/// # Errors
/// A [`WordsError`] that says what to write instead.
pub fn parse(line: &str) -> Result<Action, WordsError> {
    if line.len() > LINE_LIMIT {
        return Err(WordsError {
            message: Phrase::new("typed-long").with("most", LINE_LIMIT.to_string()),
            help: Phrase::new("typed-less"),
            column: 1,
        });
    }
    let mut words = Line { line, at: 0 };
    let start = words.here();
    let Some(first) = words.next() else {
        return Err(WordsError {
            message: Phrase::new("typed-nothing"),
            help: Phrase::new("typed-a-verb"),
            column: start,
        });
    };
    let mut name = first.to_ascii_lowercase();
    for (head, tail) in [("swap", "plugs"), ("hand", "back")] {
        if name == head && words.peek().is_some_and(|w| w.eq_ignore_ascii_case(tail)) {
            words.next();
            name = format!("{head} {tail}");
        }
    }
    let Some(spec) = verbs().iter().find(|v| v.verb == name) else {
        let close = nearest(&name, verbs().iter().map(|v| v.verb));
        return Err(WordsError {
            message: Phrase::new("typed-no-verb").with("word", first),
            help: match close {
                Some(v) => Phrase::new("typed-like").with("nearest", v),
                None => Phrase::new("typed-help"),
            },
            column: start,
        });
    };
    let action = read(spec, &mut words)?;
    let column = words.here();
    match words.next() {
        None => Ok(action),
        Some(extra) => Err(spec.error(Phrase::new("typed-too-many").with("word", extra), column)),
    }
}

impl VerbSpec {
    fn error(&self, message: Phrase, column: usize) -> WordsError {
        let form = format!("{} {}", self.verb, self.syntax);
        let help = Phrase::new("typed-as").with("form", form.trim_end());
        WordsError { message, help: help.with("example", self.example), column }
    }

    fn missing(&self, id: &'static str, column: usize) -> WordsError {
        self.error(Phrase::new(id), column)
    }
}

/// A line, read word by word.
struct Line<'a> {
    line: &'a str,
    at: usize,
}

impl<'a> Line<'a> {
    fn blank(&mut self) {
        let rest = &self.line[self.at..];
        self.at += rest.len() - rest.trim_start().len();
    }

    /// Column of the next word.
    fn here(&mut self) -> usize {
        self.blank();
        self.line[..self.at].chars().count() + 1
    }

    fn peek(&self) -> Option<&'a str> {
        self.line[self.at..].split_whitespace().next()
    }

    fn next(&mut self) -> Option<&'a str> {
        self.blank();
        let word = self.peek()?;
        self.at += word.len();
        Some(word)
    }

    fn rest(&mut self) -> &'a str {
        self.blank();
        let rest = self.line[self.at..].trim_end();
        self.at = self.line.len();
        rest
    }

    fn want(&mut self, spec: &VerbSpec, missing: &'static str) -> Result<String, WordsError> {
        let column = self.here();
        self.next().map(str::to_owned).ok_or_else(|| spec.missing(missing, column))
    }

    fn text(&mut self, spec: &VerbSpec, missing: &'static str) -> Result<String, WordsError> {
        let column = self.here();
        let text = self.rest();
        if text.is_empty() {
            return Err(spec.missing(missing, column));
        }
        Ok(text.to_owned())
    }

    fn choice<T: Copy>(
        &mut self,
        spec: &VerbSpec,
        choices: &[(&'static str, T)],
    ) -> Result<T, WordsError> {
        let column = self.here();
        let listed = |id: &'static str| {
            let all: Vec<&str> = choices.iter().map(|c| c.0).collect();
            Phrase::new(id).with("choices", all.join(" | "))
        };
        let Some(word) = self.next() else {
            return Err(spec.error(listed("typed-missing-choice"), column));
        };
        choices
            .iter()
            .find(|c| c.0.eq_ignore_ascii_case(word))
            .map(|c| c.1)
            .ok_or_else(|| spec.error(listed("typed-no-choice").with("word", word), column))
    }
}

fn read(spec: &VerbSpec, w: &mut Line<'_>) -> Result<Action, WordsError> {
    let part = |w: &mut Line<'_>| w.want(spec, "typed-missing-part");
    Ok(match spec.verb {
        "press" => Action::Press { part: part(w)? },
        "hold" => Action::Hold { part: part(w)? },
        "both" => {
            Action::Both { part: part(w)?, other: w.want(spec, "typed-missing-second-part")? }
        }
        "release" => Action::Release { part: part(w)? },
        "turn" => Action::Turn {
            part: part(w)?,
            to: w.choice(spec, &[("on", Position::On), ("off", Position::Off)])?,
        },
        "wait" => {
            let column = w.here();
            let text = w.text(spec, "typed-missing-time")?;
            let span = parse_duration(&text)
                .map_err(|e| spec.error(unreadable(&e, &text, None), column))?;
            Action::Wait { ns: span.as_nanos() }
        }
        "look" => Action::Look { part: part(w)? },
        "listen" => Action::Listen { part: part(w)? },
        "feel" => Action::Feel { at: w.want(spec, "typed-missing-part")? },
        "plate" => Action::Plate { part: part(w)? },
        "volts" | "ohms" | "continuity" | "amps" | "bridge" | "unbridge" => {
            let red = w.want(spec, "typed-missing-first-point")?;
            let black = w.want(spec, "typed-missing-second-point")?;
            match spec.verb {
                "volts" => Action::Volts { red, black },
                "ohms" => Action::Ohms { red, black },
                "continuity" => Action::Continuity { red, black },
                "bridge" => Action::Bridge { red, black },
                "unbridge" => Action::Unbridge { red, black },
                _ => Action::Amps { red, black },
            }
        }
        "clamp" => Action::Clamp { at: w.want(spec, "typed-missing-terminal")? },
        "gauge" => {
            let at = w.want(spec, "typed-missing-test-point")?;
            let column = w.here();
            let range = w.rest();
            let range_bar = if range.is_empty() {
                None
            } else if range == "vacuum" {
                Some(VACUUM_RANGE)
            } else {
                let figure = range.strip_suffix("bar").unwrap_or(range).trim();
                Some(figure.parse().map_err(|_| {
                    spec.error(Phrase::new("typed-no-range").with("range", range), column)
                })?)
            };
            Action::Gauge { at, range_bar }
        }
        "temperature" => Action::Temperature { part: part(w)? },
        "override" => Action::Override {
            part: part(w)?,
            side: w.choice(spec, &[("a", Side::A), ("b", Side::B)])?,
            finger: w.choice(
                spec,
                &[
                    ("push", Finger::Push),
                    ("pull", Finger::Pull),
                    ("latch", Finger::Latch),
                    ("turn", Finger::Turn),
                    ("release", Finger::Release),
                ],
            )?,
        },
        "swap plugs" => Action::SwapPlugs { part: part(w)? },
        "adjust" => Action::Adjust {
            part: part(w)?,
            setting: w.want(spec, "typed-missing-setting")?,
            value: w.text(spec, "typed-missing-value")?,
        },
        "isolate" => Action::Isolate { part: part(w)? },
        "restore" => Action::Restore { part: part(w)? },
        "lock" => Action::Lock { part: part(w)? },
        "unlock" => Action::Unlock { part: part(w)? },
        "tag" => Action::Tag { part: part(w)? },
        "try" => Action::Try { part: part(w)? },
        "prove" => Action::Prove {},
        "bleed" => Action::Bleed { at: w.want(spec, "typed-missing-part-or-point")? },
        "prop" => Action::Prop { part: part(w)? },
        "unprop" => Action::Unprop { part: part(w)? },
        "open" => Action::Open { at: w.want(spec, "typed-missing-port")? },
        "close" => Action::Close { at: w.want(spec, "typed-missing-port")? },
        "replace" => Action::Replace { part: part(w)? },
        "repair" => Action::Repair { part: part(w)? },
        "clean" => Action::Clean { part: part(w)? },
        "enter" => Action::Enter { part: part(w)? },
        "leave" => Action::Leave { part: part(w)? },
        "fit" => Action::Fit { part: part(w)?, rating: w.text(spec, "typed-missing-rating")? },
        "loosen" => Action::Loosen { part: part(w)? },
        "call" => Action::Call { part: part(w)? },
        "cut" => Action::Cut { part: part(w)? },
        "predict" => Action::Predict { text: w.text(spec, "typed-missing-prediction")? },
        "note" => Action::Note { text: w.text(spec, "typed-missing-note")? },
        "suspect" => {
            let column = w.here();
            let parts: Vec<String> = w
                .rest()
                .split([',', ' ', '\t'])
                .filter(|p| !p.is_empty())
                .map(str::to_owned)
                .collect();
            if parts.is_empty() {
                return Err(spec.missing("typed-missing-part", column));
            }
            Action::Suspect { parts }
        }
        "name" => Action::Name { part: part(w)?, mode: w.text(spec, "typed-missing-fault")? },
        _ => Action::HandBack {},
    })
}

impl fmt::Display for Action {
    /// The line that reads back as this action.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.verb())?;
        match self {
            Action::Prove {} | Action::HandBack {} => Ok(()),
            Action::Turn { part, to } => write!(f, " {part} {}", to.word()),
            Action::Wait { ns } => {
                let (count, unit) = match *ns {
                    ns if ns % 1_000_000_000 == 0 => (ns / 1_000_000_000, "s"),
                    ns if ns % 1_000_000 == 0 => (ns / 1_000_000, "ms"),
                    ns if ns % 1_000 == 0 => (ns / 1_000, "us"),
                    ns => (ns, "ns"),
                };
                write!(f, " {count} {unit}")
            }
            Action::Volts { red, black }
            | Action::Ohms { red, black }
            | Action::Continuity { red, black }
            | Action::Amps { red, black }
            | Action::Bridge { red, black }
            | Action::Unbridge { red, black } => write!(f, " {red} {black}"),
            Action::Fit { part, rating } => write!(f, " {part} {rating}"),
            Action::Gauge { at, range_bar } => {
                write!(f, " {at}")?;
                match range_bar {
                    Some(VACUUM_RANGE) => f.write_str(" vacuum"),
                    Some(range) => write!(f, " {range} bar"),
                    None => Ok(()),
                }
            }
            Action::Feel { at }
            | Action::Clamp { at }
            | Action::Bleed { at }
            | Action::Open { at }
            | Action::Close { at } => write!(f, " {at}"),
            Action::Both { part, other } => write!(f, " {part} {other}"),
            Action::Override { part, side, finger } => {
                write!(f, " {part} {} {}", side.word(), finger.word())
            }
            Action::Adjust { part, setting, value } => write!(f, " {part} {setting} {value}"),
            Action::Predict { text } | Action::Note { text } => write!(f, " {text}"),
            Action::Suspect { parts } => write!(f, " {}", parts.join(", ")),
            Action::Name { part, mode } => write!(f, " {part} {mode}"),
            Action::Press { part }
            | Action::Hold { part }
            | Action::Release { part }
            | Action::Look { part }
            | Action::Listen { part }
            | Action::Plate { part }
            | Action::Temperature { part }
            | Action::SwapPlugs { part }
            | Action::Isolate { part }
            | Action::Restore { part }
            | Action::Lock { part }
            | Action::Unlock { part }
            | Action::Tag { part }
            | Action::Try { part }
            | Action::Prop { part }
            | Action::Unprop { part }
            | Action::Replace { part }
            | Action::Repair { part }
            | Action::Enter { part }
            | Action::Leave { part }
            | Action::Loosen { part }
            | Action::Call { part }
            | Action::Cut { part }
            | Action::Clean { part } => write!(f, " {part}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_verb_round_trips_in_words_and_in_json() {
        for spec in verbs() {
            let action = parse(spec.example).unwrap();
            assert_eq!(action.to_string(), spec.example);
            assert_eq!(action.verb(), spec.verb);
            assert_eq!(action.cost(), spec.cost, "{}", spec.verb);
            let json = serde_json::to_string(&action).unwrap();
            assert_eq!(serde_json::from_str::<Action>(&json).unwrap(), action);
        }
    }

    #[test]
    fn times_are_exact() {
        for (line, ns) in
            [("wait 2 s", 2_000_000_000), ("wait 1500 ms", 1_500_000_000), ("wait 7 ns", 7)]
        {
            assert_eq!(parse(line), Ok(Action::Wait { ns }));
            assert_eq!(Action::Wait { ns }.to_string(), line);
        }
    }

    #[test]
    fn slips_are_explained_where_they_are() {
        for (line, message, help, column) in [
            ("", "nothing is written", "verb", 1),
            ("pres S1", "\"pres\" is no verb", "did you mean \"press\"?", 1),
            ("press", "the part is missing", "press PART", 6),
            ("volts K1:A1", "the second point is missing", "volts K1:A1 K1:A2", 12),
            ("override 1V1 c push", "\"c\" is not a | b", "push|pull|latch|turn|release", 14),
            ("wait 2", "no unit", "wait 2 s", 6),
            ("gauge MP1 ten", "no range", "gauge", 11),
            ("press S1 S2", "\"S2\" is one word too many", "press S1", 10),
            ("swap 1V1", "\"swap\" is no verb", "help", 1),
        ] {
            let error = parse(line).unwrap_err();
            assert!(error.message.to_string().contains(message), "{line}: {error:?}");
            assert!(error.help.to_string().contains(help), "{line}: {error:?}");
            assert_eq!(error.column, column, "{line}");
        }
        assert!(help(Words::of(Language::German)).contains("hand back"));
        assert!(parse(&"x".repeat(5000)).is_err());
    }

    proptest! {
        #[test]
        fn any_line_is_answered(line in "\\PC{0,60}") {
            if let Ok(action) = parse(&line) {
                prop_assert_eq!(parse(&action.to_string()), Ok(action));
            }
        }

        #[test]
        fn verbs_with_anything_behind_are_answered(k in 0usize..47, rest in "[ a-zA-Z0-9:,.]{0,30}") {
            let line = format!("{} {rest}", verbs()[k].verb);
            if let Ok(action) = parse(&line) {
                prop_assert_eq!(parse(&action.to_string()), Ok(action));
            }
        }
    }
}
