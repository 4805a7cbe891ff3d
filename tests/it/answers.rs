//! What the bench answers at the console, in every language and in both systems of units: nothing that
//! is said to a learner stands outside the catalogues.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

use spoolbench::diagnostic::{Diagnostics, Sources};
use spoolbench::language::{Language, Phrase, Words};
use spoolbench::quantity::UnitSystem;
use spoolbench::report::Reader;
use spoolbench::scenario::{Scenario, Shelf, Shipped, load_any, play};
use spoolbench::session::{ActError, Outcome, Session, parse, read_actions, verbs};

use super::commands::{Desk, exit};

/// What begins the id of an answer.
const FAMILIES: [&str; 24] = [
    "seen",
    "heard",
    "felt",
    "done",
    "shown",
    "plate",
    "refused",
    "typed",
    "console",
    "reading",
    "drill",
    "grades",
    "kits",
    "run",
    "event",
    "position",
    "demo",
    "starter",
    "check",
    "lint",
    "testability",
    "interlock",
    "story",
    "replay",
];

/// Ids of all answers in the catalogue of `code`.
fn answers(code: &str) -> BTreeSet<String> {
    let path = format!("{}/assets/language/{code}.ftl", env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(path).expect("a catalogue");
    text.lines()
        .filter_map(|l| l.split_once(" = "))
        .map(|(id, _)| id)
        .filter(of_a_family)
        .map(str::to_owned)
        .collect()
}

fn of_a_family(id: &&str) -> bool {
    id.split_once('-').is_some_and(|(head, _)| FAMILIES.contains(&head))
}

/// Texts in quotes in the sources of `folder` and below, but for their tests.
fn quoted(folder: &Path, into: &mut BTreeSet<String>) {
    for entry in fs::read_dir(folder).expect("a folder").flatten() {
        let path = entry.path();
        if path.is_dir() {
            if path.file_name().is_none_or(|n| n != "tests") {
                quoted(&path, into);
            }
            continue;
        }
        let text = fs::read_to_string(&path).expect("a source");
        let text = text.split("#[cfg(test)]").next().unwrap_or("");
        into.extend(text.split('"').map(str::to_owned));
    }
}

#[test]
fn every_answer_is_in_the_catalogues_and_every_one_there_is_given() {
    let mut written = BTreeSet::new();
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    for folder in
        ["session", "cli", "report", "grade", "view", "plant", "class", "diagnosis", "diagnostic"]
    {
        quoted(&source.join(folder), &mut written);
    }
    let given: BTreeSet<&str> = written.iter().map(String::as_str).filter(of_a_family).collect();
    let said = answers("en");
    assert!(said.len() > 150, "{}", said.len());
    let plain = |id: &&str| id.bytes().all(|b| b.is_ascii_lowercase() || b == b'-');
    let missing: Vec<_> = given.iter().filter(|id| plain(id) && !said.contains(**id)).collect();
    assert!(missing.is_empty(), "in no catalogue: {missing:?}");
    // Labels of nameplates are looked up by what is stamped.
    let mut stamps = BTreeSet::new();
    quoted(&source.join("bench/catalogue"), &mut stamps);
    let labels: BTreeSet<String> =
        stamps.iter().filter(|s| s.len() < 40).map(|s| label_id(s)).collect();
    let dead: Vec<_> =
        said.iter().filter(|id| !given.contains(id.as_str()) && !labels.contains(*id)).collect();
    assert!(dead.is_empty(), "nobody says: {dead:?}");
}

/// Id of the message for a label of a nameplate.
fn label_id(label: &str) -> String {
    let words = label.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty());
    format!("plate-{}", words.collect::<Vec<_>>().join("-").to_ascii_lowercase())
}

/// Every shipped bench as a task without a fault.
fn benches() -> Vec<Scenario> {
    let names = Shipped::names().filter(|n| n.ends_with(".bench.ron"));
    let read = |name: &str| {
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        load_any(&Shipped, name, &mut sources, &mut found).expect("a bench")
    };
    names.map(read).collect()
}

/// Ids for the labels of all nameplates, and what is stamped there.
fn stamped() -> (BTreeSet<String>, BTreeSet<String>) {
    let (mut labels, mut values) = (BTreeSet::new(), BTreeSet::new());
    for bench in benches() {
        for part in &bench.plan.parts {
            for (label, value) in &part.nameplate {
                // A terminal stands as it is, and a program's name is its own.
                if !label.starts_with('W') {
                    labels.insert(label_id(label));
                }
                if label != "program" {
                    values.insert(value.clone());
                }
            }
        }
    }
    (labels, values)
}

#[test]
fn nameplates_have_their_words() {
    let (labels, values) = stamped();
    assert!(labels.len() > 20 && values.len() > 50, "{labels:?} {values:?}");
    for language in Language::ALL {
        let words = Words::of(language);
        let missing: Vec<_> = labels.iter().filter(|id| !words.has(id)).collect();
        assert!(missing.is_empty(), "{language:?}: {missing:?}");
    }
    let (en, de) = (Words::of(Language::English), Words::of(Language::German));
    let plain = |w: &&str| w.len() > 2 && w.bytes().all(|b| b.is_ascii_lowercase());
    for value in &values {
        assert_eq!(en.stamped(value), *value);
        let german = de.stamped(value);
        let mut left = german.split([' ', ',', ';']).filter(plain);
        let known = ["ohm", "bar", "rpm", "von", "bis", "bei", "und", "unter", "intern", "extern"];
        let known = |w: &str| known.contains(&w) || german.starts_with("feder");
        let odd = left.find(|w| !known(w) && value.split([' ', ',']).any(|v| v == *w));
        assert!(odd.is_none(), "{value}: {german}");
    }
    assert_eq!(
        de.stamped("50 / 28.5 / 400 mm, spring offset"),
        "50 / 28,5 / 400 mm, federrückgestellt"
    );
}

/// Every phrase of an outcome.
fn told(outcome: &Outcome, into: &mut BTreeMap<String, Phrase>) {
    for phrase in outcome.lines.iter().cloned().chain(outcome.seen.iter().map(|s| s.phrase())) {
        into.insert(phrase.to_string(), phrase);
    }
}

/// Everything that shipped attempts and senseless lines make the bench say.
fn said() -> &'static BTreeMap<String, Phrase> {
    static SAID: OnceLock<BTreeMap<String, Phrase>> = OnceLock::new();
    SAID.get_or_init(gather)
}

fn gather() -> BTreeMap<String, Phrase> {
    let mut said = BTreeMap::new();
    let mut machines = BTreeSet::new();
    for name in Shipped::names().filter(|n| n.ends_with(".actions")) {
        let task = name.split('.').next().unwrap_or("");
        // One careful learner a machine, and every careless one.
        let fresh = machines.insert(task.split('-').next().unwrap_or(""));
        if !fresh && !name.contains(".unsafe.") {
            continue;
        }
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        let file = format!("{task}.scenario.ron");
        let scenario = load_any(&Shipped, &file, &mut sources, &mut found).expect("a scenario");
        let list = Shipped.text(name).expect("a list");
        play(&scenario, "p1", &list, &mut |_, _, outcome| {
            told(outcome, &mut said);
            Ok(())
        })
        .expect("played");
    }
    for bench in benches() {
        let rig = bench.rig(bench.seed).expect("a rig");
        let mut session = Session::new(rig, bench.config());
        let tags: Vec<String> = bench.plan.parts.iter().map(|p| p.tag.clone()).collect();
        for tag in tags {
            for line in [
                "look _",
                "listen _",
                "feel _",
                "plate _",
                "temperature _",
                "lock _",
                "unlock _",
                "tag _",
                "restore _",
                "call _",
                "cut _",
                "press _",
                "turn _ off",
                "override _ b push",
                "bleed _",
                "clamp _",
                "enter _",
                "leave _",
                "prop _",
                "unprop _",
                "loosen _",
                "open _:A",
                "close _:A",
                "feel _:A",
                "replace _",
                "fit _ 99 A",
                "fit _ 2",
                "adjust _ pressure 9999 bar",
                "adjust _ time 1,5 s",
                "adjust _ opening x",
                "adjust _ colour 3",
                "name _ asleep",
                "name _ blwon",
                "bridge _:1 _:2",
            ] {
                let line = line.replace('_', &tag);
                match parse(&line).map(|action| session.act(action)) {
                    Ok(Ok(outcome)) => told(&outcome, &mut said),
                    Ok(Err(ActError::Ended)) => {
                        let rig = bench.rig(bench.seed).expect("a rig");
                        session = Session::new(rig, bench.config());
                    }
                    Ok(Err(refused)) => {
                        said.insert(refused.to_string(), refused.phrase());
                    }
                    Err(problem) => {
                        said.insert(problem.message.to_string(), problem.message);
                        said.insert(problem.help.to_string(), problem.help);
                    }
                }
            }
        }
    }
    let spoilt =
        verbs().iter().flat_map(|v| [v.verb.to_owned(), format!("{} 1V1 ?! x y z", v.verb)]);
    for line in spoilt.chain(["".into(), "pres S1".into(), "juggle".into(), "x".repeat(9000)]) {
        if let Err(problem) = parse(&line) {
            said.insert(problem.message.to_string(), problem.message);
            said.insert(problem.help.to_string(), problem.help);
        }
    }
    for (_, problem) in read_actions("12 parsecs: look H1").expect_err("a problem") {
        said.insert(problem.message.to_string(), problem.message);
        said.insert(problem.help.to_string(), problem.help);
    }
    said
}

#[test]
fn no_answer_stands_outside_the_catalogues() {
    let said = said();
    let ids: BTreeSet<&str> = said.values().map(Phrase::id).collect();
    assert!(said.len() > 1_000 && ids.len() > 80, "{} {}", said.len(), ids.len());
    let reader = |language| Reader::new(language, UnitSystem::Si);
    let (en, de) = (reader(Language::English), reader(Language::German));
    let mut shared = Vec::new();
    for (english, phrase) in said {
        let german = de.tell(phrase);
        for text in [&en.tell(phrase), &german] {
            assert!(!text.contains('\u{27e8}'), "no such message: {text}");
        }
        // Whole numbers and values with their unit are the same in both.
        let number = ["shown-at", "shown-between", "plate-line"].contains(&phrase.id());
        let number = number || phrase.id().starts_with("plate-of") && english.contains(": Filter");
        if *english == german && !number {
            shared.push(english);
        }
    }
    assert!(shared.is_empty(), "outside the catalogue: {shared:?}");
}

#[test]
fn answers_follow_the_units_of_the_reader() {
    let us = |language| Reader::new(language, UnitSystem::UsCustomary);
    let (en, de) = (us(Language::English), us(Language::German));
    let gauge = Phrase::new("shown-gauge").with("value", "70.5").with("range", "100");
    // 70.5 bar and 100 bar at 6894.757 Pa a psi, 180 mm at 25.4 mm an inch (NIST SP 811, appendix B.8).
    assert_eq!(en.tell(&gauge), "1023 psi (1450 psi gauge)");
    assert_eq!(de.tell(&gauge), "1023 psi (Manometer bis 1450 psi)");
    let rod = Phrase::new("seen-rod").with("part", "1A1").with("at", "180").with("stroke", "400");
    assert_eq!(en.tell(&rod), "the rod of 1A1 is 7.09 in out of 15.7 in");
    assert_eq!(de.tell(&rod), "die Kolbenstange von 1A1 ist 7,09 in von 15,7 in ausgefahren");
    // No answer that shipped benches give keeps a metric unit; of screws and ratings, the text says it.
    for phrase in said().values() {
        // Sonic conductance and metered air have units of their own (ISO 6358, ISO 8778).
        let text = en.tell(phrase).replace("dm3/(s bar)", "").replace("L/min ANR", "");
        let metric = [" bar", " mm", " degC", " L/min"].iter().find(|unit| {
            text.split(**unit).skip(1).any(|rest| !rest.starts_with(|c: char| c.is_alphanumeric()))
        });
        let typed = phrase.id().starts_with("refused-") || phrase.id().starts_with("typed-");
        assert!(metric.is_none() || typed, "{text}");
    }
}

#[test]
fn the_console_speaks_german() {
    let desk = Desk::new();
    let words = "look 1A1\nlook S1\nvolts K1:A1 K1:A2\ngauge MP1\nplate 1V1\npres S1\nlook S99\n\
                 help\nisolate Q0\nlock Q0\nrestore Q0\nquit\n";
    let done = desk.pipe("console press-interlock.scenario.ron --lang de", words);
    let done = done.is(exit::SUCCESS);
    for part in [
        "die Kolbenstange von 1A1 ist",
        "S1 ist nicht betätigt",
        "K1:A1 gegen K1:A2: ",
        "(Manometer bis 250 bar)",
        "„pres“ ist kein Verb; gemeint vielleicht „press“?",
        "es gibt kein Teil „S99“",
        "Einen Taster",
        "Q0 ist offen",
        "das eigene Schloss hängt an Q0",
        "Q0 lässt sich nicht schalten: Ein Schloss hängt daran",
    ] {
        assert!(done.out.contains(part), "{part}\n{}", done.out);
    }
    for word in [" is ", " the ", "pushed", "closed", "gauge)", "Push a"] {
        // What somebody wrote into the bench or the task stays as it is.
        let scenario =
            ["press-interlock.scenario.ron", "press.bench.ron"].map(|f| desk.read(f)).concat();
        let odd = done.out.lines().find(|l| l.contains(word) && !scenario.contains(l.trim()));
        assert!(odd.is_none() || odd.is_some_and(|l| l.starts_with("Warnung")), "{word}: {odd:?}");
    }
}

#[test]
fn batches_and_classes_are_summed_up_in_german() {
    let desk = Desk::new();
    desk.write("roster.csv", "id\np1\np2\n");
    desk.write("secret.txt", "a secret of this class, long enough");
    let kits = "assign pusher-dead-coil.scenario.ron --roster roster.csv --secret secret.txt";
    let kits = desk.run(&format!("{kits} --out kits --lang de")).is(exit::SUCCESS);
    assert!(kits.out.contains("2 Sätze in kits") && kits.out.contains("gut aufbewahren"));
    let console = "console pusher-dead-coil.scenario.ron --attempt a.jsonl --lang de";
    desk.pipe(console, "hand back\n").is(exit::SUCCESS);
    let batch = "grade pusher-dead-coil.scenario.ron a.jsonl --out g.jsonl --lang de";
    let batch = desk.run(batch).is(exit::NOT_YET_COMPETENT);
    assert!(batch.out.contains("1 Versuch: 0 bestanden, 1 noch nicht"), "{}", batch.out);
    let merged = desk.run("merge g.jsonl --out m.jsonl --lang de").is(exit::NOT_YET_COMPETENT);
    assert!(merged.out.contains("stehen in m.jsonl"), "{}", merged.out);
}
