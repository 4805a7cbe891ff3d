//! What is written in the words of the program, said in the words of the reader: actions as they are
//! typed, faults as they are named, kinds of parts as they are authored.

use super::catalogue::Words;
use super::phrase::{Gap, Phrase};

impl Words {
    /// An action as it is typed, such as `volts K1:A1 K1:A2`, or a look of the fault dictionary, such as
    /// `look H2 after 2. press S1`. What is no action stays as it is.
    #[must_use]
    pub fn action(&self, typed: &str) -> String {
        // What somebody wrote may say anything.
        let written = typed.starts_with("note ") || typed.starts_with("predict ");
        if let Some((act, (step, steps))) = typed
            .split_once(" after ")
            .filter(|_| !written)
            .and_then(|(act, rest)| Some((act, rest.split_once(". ")?)))
            .filter(|(_, (step, _))| step.bytes().all(|b| b.is_ascii_digit()))
        {
            let steps: Vec<String> = steps.split(", ").map(|s| self.action(s)).collect();
            let phrase = Phrase::new("act-after")
                .with("act", self.action(act))
                .with("step", step)
                .with("steps", steps.join(", "));
            return self.phrase(&phrase);
        }
        if let Some(act) = typed.strip_suffix(", isolated").filter(|_| !written) {
            return self.phrase(&Phrase::new("act-isolated").with("act", self.action(act)));
        }
        if ["prove", "hand back", "isolated and locked"].contains(&typed) {
            return self.say(&format!("act-{}", typed.replace(' ', "-")));
        }
        let (verb, what) = match typed.strip_prefix("swap plugs ") {
            Some(what) => ("swap-plugs", what),
            None => match typed.split_once(' ') {
                Some(split) => split,
                None => return typed.to_owned(),
            },
        };
        let id = format!("act-{verb}");
        if !self.has(&id) {
            return typed.to_owned();
        }
        let what = match verb {
            "note" | "predict" | "suspect" => what.to_owned(),
            "name" => self.fault(what),
            "turn" | "override" | "adjust" | "gauge" => self.each_word("word", what),
            _ => what.to_owned(),
        };
        // A text, even where it looks like a number.
        self.phrase(&Phrase::new(id).with("what", what))
    }

    /// A fault as it is named, such as `K1 high-resistance 23-24`: part, mode and where in the part;
    /// several at once with a plus between them.
    #[must_use]
    pub fn fault(&self, named: &str) -> String {
        if named == "nothing" {
            return self.say("mode-nothing");
        }
        if named.contains(" + ") {
            return named.split(" + ").map(|one| self.fault(one)).collect::<Vec<_>>().join(" + ");
        }
        let Some((part, rest)) = named.split_once(' ') else { return named.to_owned() };
        let (mode, role) = rest.split_once(' ').unwrap_or((rest, ""));
        let mode = self.mode(mode);
        if role.is_empty() {
            return format!("{part} {mode}");
        }
        let phrase = Phrase::new("fault-in").with("part", part).with("mode", mode);
        self.phrase(&phrase.with("place", self.role(role)))
    }

    /// Several faults, as a grade lists them.
    #[must_use]
    pub fn faults(&self, named: &[String]) -> Vec<String> {
        named.iter().map(|f| self.fault(f)).collect()
    }

    /// A fault mode by its id.
    #[must_use]
    pub fn mode(&self, id: &str) -> String {
        self.known(&format!("mode-{id}"), id)
    }

    /// A kind of part by its class.
    #[must_use]
    pub fn kind(&self, class: &str) -> String {
        self.known(&format!("part-{class}"), class)
    }

    /// A sentence whose gaps hold parts, actions, faults, kinds of parts or nameplates in the words of the
    /// program, as a grade or an answer of the bench has them.
    #[must_use]
    pub fn sentence(&self, phrase: &Phrase) -> String {
        self.phrase(&phrase.refilled(|name, gap| {
            let text = match gap {
                Gap::Count(_) => return gap.clone(),
                Gap::Said(inner) => return Gap::Text(self.sentence(inner)),
                Gap::Text(text) => text,
            };
            Gap::Text(match name {
                "words" | "better" | "test" => self.action(text),
                "mode" => self.mode(text),
                // A part, or something in it that has no tag of its own.
                "part" => match text.split_once(' ') {
                    Some((part, role)) => format!("{part} {}", self.role(role)),
                    None => text.clone(),
                },
                "what" => self.what(text),
                "list" => text.split("; ").map(|f| self.fault(f)).collect::<Vec<_>>().join("; "),
                "class" => self.kind(text),
                "setting" => self.known(&format!("word-{text}"), text),
                "label" => self.known(&format!("plate-{}", slug(text)), text),
                "stamped" => self.stamped(text),
                "tool" => self.known(&format!("tool-{text}"), text),
                _ => text.clone(),
            })
        }))
    }

    /// A value as it is stamped on a nameplate: numbers and units, and the few words between them.
    #[must_use]
    pub fn stamped(&self, value: &str) -> String {
        let words: Vec<&str> = value.split(' ').collect();
        let mut said = Vec::new();
        let mut at = 0;
        while at < words.len() {
            // The longest run of words that has a message.
            let run = (at + 1..=words.len()).rev().find_map(|end| {
                let last = words[end - 1];
                let bare = last.trim_end_matches([',', ';']);
                let text = [&words[at..end - 1], &[bare]].concat().join(" ");
                let id = format!("stamp-{}", slug(&text));
                self.has(&id).then(|| (self.say(&id) + &last[bare.len()..], end))
            });
            let (text, end) = run.unwrap_or_else(|| {
                let bare = words[at].trim_end_matches([',', ';']);
                let number = bare.parse::<f64>().is_ok();
                let said = if number { self.decimals(bare) } else { bare.to_owned() };
                (said + &words[at][bare.len()..], at + 1)
            });
            said.push(text);
            at = end;
        }
        said.join(" ")
    }

    /// What was named: a part, or a mode and where in the part it is; several of them with commas.
    #[must_use]
    pub fn what(&self, text: &str) -> String {
        let one = |t: &str| match t.split_once(' ') {
            Some((mode, role)) if self.has(&format!("mode-{mode}")) => {
                // As a fault is named, without the part.
                let phrase = Phrase::new("fault-in").with("part", "").with("mode", self.mode(mode));
                self.phrase(&phrase.with("place", self.role(role))).trim_start().to_owned()
            }
            _ => self.mode(t),
        };
        text.split(", ").map(one).collect::<Vec<_>>().join(", ")
    }

    /// Where in a part something is: a name of its own, or else word for word.
    fn role(&self, role: &str) -> String {
        let whole = format!("role-{}", role.replace(' ', "-"));
        if self.has(&whole) { self.say(&whole) } else { self.each_word("role", role) }
    }

    /// Each word of `text` that the catalogue knows as one of this `kind`, the others as they are.
    fn each_word(&self, kind: &str, text: &str) -> String {
        let one = |word: &str| self.known(&format!("{kind}-{word}"), word);
        text.split(' ').map(one).collect::<Vec<_>>().join(" ")
    }

    fn known(&self, id: &str, otherwise: &str) -> String {
        if self.has(id) { self.say(id) } else { otherwise.to_owned() }
    }
}

/// A name as it stands in the id of a message.
fn slug(name: &str) -> String {
    let words = name.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty());
    words.collect::<Vec<_>>().join("-").to_ascii_lowercase()
}

#[cfg(test)]
mod tests {
    use super::super::catalogue::Language;
    use super::*;

    #[test]
    fn actions_and_faults_are_said_in_the_language_of_the_reader() {
        let (en, de) = (Words::of(Language::English), Words::of(Language::German));
        for (typed, german) in [
            ("volts 1V1:a1 PE", "Spannung 1V1:a1 PE messen"),
            ("turn S1 on", "S1 auf Ein stellen"),
            ("override 1V1 a push", "Handhilfe 1V1 a drücken"),
            ("swap plugs 1V1", "Stecker an 1V1 tauschen"),
            ("hand back", "übergeben"),
            ("prove", "Spannungsprüfer erproben"),
            ("ohms K1:A1 K1:A2, isolated", "Widerstand K1:A1 K1:A2 messen, freigeschaltet"),
            ("note ohms K1:A1 K1:A2, isolated", "notieren: ohms K1:A1 K1:A2, isolated"),
            (
                "ohms K1:A1 K1:A2 after 6. isolated and locked",
                "Widerstand K1:A1 K1:A2 messen nach 6. freigeschaltet und verschlossen",
            ),
            ("name K1 high-resistance 23-24", "benennen: K1 23-24 hoher Übergangswiderstand"),
            ("note look after 3. time", "notieren: look after 3. time"),
            (
                "look H2 after 2. press S1, hold S2",
                "H2 ansehen nach 2. S1 drücken, S2 gedrückt halten",
            ),
            ("wait 3 s", "3 s warten"),
            ("whatever this is", "whatever this is"),
        ] {
            assert_eq!(en.action(typed), typed);
            assert_eq!(de.action(typed), german);
        }
        assert_eq!(de.fault("W18 broken core"), "W18 Ader gebrochen");
        assert_eq!(de.fault("2V1 stuck main spool"), "2V1 Hauptschieber klemmt");
        let spool = Phrase::new("event-spool-leaves").with("part", "2V1 main spool");
        let spool = spool.with("position", Phrase::new("position-b"));
        assert_eq!(en.sentence(&spool), "2V1 main spool leaves position b");
        assert_eq!(de.sentence(&spool), "2V1 Hauptschieber verlässt Stellung b");
        let named = Phrase::new("why-named").with("what", "blocked bore");
        assert_eq!(de.sentence(&named), "Bohrung verstopft benannt");
        assert_eq!(de.fault("nothing"), "kein Fehler");
        let pair = "K1 welded 13-14 + 1V1 open";
        assert_eq!(
            (en.fault(pair), de.fault(pair)),
            (pair.to_owned(), "K1 13-14 verschweißt + 1V1 unterbrochen".to_owned())
        );
        assert_eq!(de.kind("PushButton"), "Taster");
        let said = Phrase::new("feedback-contradicted")
            .with("part", "K1")
            .with("mode", "welded")
            .with("at", "0:01.000")
            .with("words", "look H1");
        let said = de.sentence(&said);
        assert!(said.contains("verschweißt") && said.contains("H1 ansehen"), "{said}");
    }
}
