//! What the window says when German is chosen: no word of it is only in the English catalogue.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use bevy_egui::egui::Key;

use super::tests::{Hands, course, exercise};
use super::*;
use crate::diagnostic::{Diagnostics, Sources};
use crate::language::{Language, Words};
use crate::quantity::UnitSystem;
use crate::scenario::{Shelf, Shipped, load_any};
use crate::view::layout::Wide;
use crate::view::tools::Tool;

/// The messages of a catalogue by their names, each on one line.
fn catalogue(language: Language) -> BTreeMap<String, String> {
    let path = format!("{}/assets/language/{}.ftl", env!("CARGO_MANIFEST_DIR"), language.code());
    let text = std::fs::read_to_string(path).expect("a catalogue");
    let mut found: BTreeMap<String, String> = BTreeMap::new();
    let mut last = String::new();
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        match line.split_once(" = ") {
            Some((id, told)) if !line.starts_with(' ') => {
                last = id.to_owned();
                found.insert(last.clone(), told.to_owned());
            }
            _ => {
                if let Some(told) = found.get_mut(&last) {
                    told.push(' ');
                    told.push_str(line);
                }
            }
        }
    }
    found
}

/// Words of four letters or more, in small letters.
fn letters(text: &str) -> impl Iterator<Item = String> {
    let words = text.split(|c: char| !c.is_alphabetic()).filter(|w| w.chars().count() >= 4);
    words.map(str::to_lowercase)
}

/// Words of the English catalogue that the German one does not have, but for names of gaps.
fn english() -> BTreeSet<String> {
    let words = |language| -> BTreeSet<String> {
        let told = catalogue(language).into_values();
        let plain = |t: String| -> Vec<String> {
            let words = t.split(' ').filter(|word| !word.contains(['$', '[', '(', '`']));
            words.flat_map(|word| letters(word).collect::<Vec<_>>()).collect()
        };
        told.flat_map(plain).collect()
    };
    let german = words(Language::German);
    words(Language::English).into_iter().filter(|word| !german.contains(word)).collect()
}

/// What of `read` is English: a whole text of the window, or a word that nobody wrote in `authors`.
fn slips(read: &BTreeSet<String>, authors: &str) -> Vec<String> {
    let (en, de) = (catalogue(Language::English), catalogue(Language::German));
    let whole: BTreeSet<&String> = en
        .iter()
        .filter(|(id, told)| id.starts_with("window-") && de[*id] != **told)
        // A single letter is a port or a terminal as well.
        .map(|(_, told)| told)
        .filter(|told| told.len() > 1)
        .filter(|told| !de.values().any(|german| german == *told))
        .collect();
    let (english, theirs) = (english(), letters(authors).collect::<BTreeSet<_>>());
    let mut found = Vec::new();
    for text in read {
        let word = letters(text).find(|word| english.contains(word) && !theirs.contains(word));
        if whole.contains(text) || word.is_some() {
            found.push(format!("{word:?} in {text:?}"));
        }
    }
    found
}

/// The texts in a file of a bench, a task or a drill.
fn authored(name: &str) -> String {
    let text = Shipped.text(name).expect("a shipped file");
    text.split('"').skip(1).step_by(2).collect::<Vec<_>>().join(" ")
}

fn reader() -> Reader {
    Reader::new(Language::German, UnitSystem::Si)
}

#[track_caller]
fn german(hands: &Hands, authors: &str) {
    // The verbs are the same in every language.
    let help = crate::session::help(Words::of(Language::German));
    let verbs = help.trim_end();
    let read: BTreeSet<String> =
        hands.read.iter().filter(|text| text.trim_end() != verbs).cloned().collect();
    assert!(read.len() > 50, "{read:?}");
    let slips = slips(&read, authors);
    assert!(slips.is_empty(), "{}", slips.join("\n"));
}

/// The check finds what it looks for, short words too.
#[test]
fn an_english_text_is_found() {
    let read = ["Zange", "wide", "fit", "V", "Look at S1", "1A1 erreicht its centre", "Pusher"];
    let read: BTreeSet<String> = read.map(str::to_owned).into();
    let found = slips(&read, "Pusher");
    assert_eq!(found.len(), 4, "{found:?}");
}

#[test]
fn every_message_of_the_window_has_a_german_text() {
    let (en, de) = (catalogue(Language::English), catalogue(Language::German));
    let same: Vec<&str> = en
        .iter()
        .filter(|(id, told)| id.starts_with("window-") && de[*id] == **told)
        .map(|(id, _)| id.as_str())
        .collect();
    let alike = [
        "window-dial-amps",
        "window-dial-volts",
        "window-red",
        "window-rod",
        "window-title",
        "window-tool-finger",
        "window-tool-thermometer",
    ];
    assert_eq!(same, alike);
}

/// Everything on the screen with everything open, one after the other, and what is told of what the mouse
/// points at.
#[test]
fn an_exercise_is_told_in_german() {
    let mut hands = Hands::at(|attempt| Order { reader: reader(), ..exercise(attempt) });
    let files = ["pusher-dead-coil.scenario.ron", "pusher.bench.ron"];
    let mut authors: String = files.map(authored).join(" ");
    for line in ["press S4", "gauge MP1", "volts 1V1:a1 1V1:a2", "look 1A1", "plate 1V1"] {
        hands.say(line);
    }
    // What is typed, and what stands in the attempt, is the same in every language.
    authors += " press S4 gauge volts look plate switched the live drawing on nonsense \
                suspect ohms name open";
    hands.say("nonsense");
    hands.say("look NN");
    hands.click("tab Log");
    hands.click("tab Suspects");
    hands.key(Key::Escape);
    hands.text("l");
    assert!(hands.screen.all);
    hands.text("o");
    for part in ["1V1", "1A1"] {
        let name = hands.screen.spots().keys().find(|k| k.starts_with(&format!("part {part}")));
        let name = name.expect("on the sheet").clone();
        hands.click(&name);
    }
    hands.click("tab Strip");
    hands.click("tab Task");
    for tool in Tool::ALL {
        hands.text(&tool.key().to_string());
        for place in [
            Subject::Part("Q0".to_owned()),
            Subject::Part("1V1".to_owned()),
            Subject::Part("1A1".to_owned()),
            Subject::Part("S4".to_owned()),
            Subject::Part("W1".to_owned()),
            Subject::Part("RV1".to_owned()),
            Subject::Port("1V1:A".to_owned()),
            Subject::TestPoint("MP1".to_owned()),
            Subject::Line { line: "pressure".to_owned(), from: Vec::new() },
            Subject::Terminal("K1:A1".to_owned()),
        ] {
            let plan = hands.screen.plan();
            hands.screen.hand.place = Some(place.clone());
            if hands.screen.hand.offers(&plan).is_empty() {
                hands.screen.pick(&place);
            }
            hands.frames(Vec::new());
        }
        hands.screen.inside = None;
    }
    let spots: Vec<String> = hands.screen.spots().keys().cloned().collect();
    for name in
        spots.iter().filter(|n| ["top ", "tool ", "panel "].iter().any(|k| n.starts_with(k)))
    {
        hands.point(name);
        hands.frames(Vec::new());
    }
    assert!(hands.read.iter().any(|t| t == "F1: Tasten und Maus"), "tips are seen");
    for key in ["w", "w", "w", "h", "h", "s", "s", "d", "d", "p", "p"] {
        hands.text(key);
    }
    hands.screen.shares.wide = Wide::None;
    for ask in [Ask::Resume, Ask::Help, Ask::HandBack] {
        hands.screen.ask = Some(ask);
        hands.frames(Vec::new());
        hands.screen.ask = None;
    }
    hands.say("suspect 1V1");
    hands.say("name 1V1 open");
    hands.screen.book.predicts = true;
    hands.say("ohms H1:X1 H1:X2");
    hands.screen.ask = None;
    hands.screen.book.predicts = false;
    hands.say("ohms H1:X1 H1:X2");
    assert!(matches!(hands.screen.ask, Some(Ask::Danger(..))), "an ohmmeter on a live circuit");
    hands.frames(Vec::new());
    hands.screen.ask = None;
    while hands.screen.debrief.as_ref().expect("the attempt is over").marking() {
        std::thread::yield_now();
    }
    hands.frames(Vec::new());
    hands.screen.perform(parse("look H1").expect("an action"));
    hands.frames(Vec::new());
    assert!(hands.read.iter().any(|t| t.contains("BESTANDEN")), "{:?}", hands.read);
    assert!(hands.read.contains("über Q0"), "on the sheet");
    german(&hands, &authors);
}

#[test]
fn a_drill_is_told_in_german() {
    let name = "which-way.drill.ron";
    let (drill, order) = course(name);
    let mut hands = Hands::at(|_| Order { reader: reader(), ..order });
    hands.say("press S4");
    hands.text("p");
    for question in &drill.questions {
        hands.key(Key::Escape);
        hands.text("a");
        hands.say("look H1");
        hands.key(Key::Escape);
        for _ in 0..=question.prove.len() {
            while hands.screen.desk().expect("a desk").showing_action() {
                hands.frames(Vec::new());
            }
            hands.text("n");
        }
        hands.say("hand back");
    }
    let mut authors = authored(name) + " press look hand back";
    for bench in Shipped::names().filter(|n| n.ends_with(".bench.ron")) {
        authors += &authored(bench);
    }
    german(&hands, &authors);
}

#[test]
fn an_author_is_told_in_german() {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let name = "press.bench.ron";
    let scenario = load_any(&Shipped, name, &mut sources, &mut found).expect("a shipped bench");
    let mut hands = Hands::at(move |_| Order {
        scenario: Arc::new(scenario),
        reader: reader(),
        // Not there: that is told, partly by the system.
        file: Path::new("nowhere").join(name),
        attempt: None,
        watch: true,
        ..exercise(PathBuf::new())
    });
    hands.say("press S4");
    for why in ["window-no-graphics", "done-time-up"] {
        hands.screen.trouble(&Phrase::new(why));
        hands.frames(Vec::new());
        hands.screen.ask = None;
    }
    let authors = authored(name) + " press nowhere bench No such file or directory os error";
    german(&hands, &authors);
}
