//! Results handed on: every format is what its schema says, the same bytes every time, in the language and
//! the units of its reader, and without the name of a person or a reference to anything outside.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};

use spoolbench::base::{PartId, SimTime};
use spoolbench::diagnostic::{Diagnostics, Sources};
use spoolbench::fault::modes_of;
use spoolbench::grade::{Grade, Marker};
use spoolbench::language::{Language, Words};
use spoolbench::quantity::UnitSystem;
use spoolbench::report::{
    Class, Film, GradeBook, JUnit, Kind, Reader, Record, Trace, attempt, film, statements,
};
use spoolbench::scenario::{Scenario, Shelf, Shipped, load, load_any, play};
use spoolbench::session::read_actions;

fn english() -> Reader {
    Reader::new(Language::English, UnitSystem::Si)
}

/// A grade with something in every place, made up: formats do not hang on the physics.
fn made_up() -> Grade {
    let digest = "0123456789abcdef".repeat(4);
    let why = |id: &str| json!({ "id": id });
    let mut value = json!({
        "format": 1,
        "learner": "typed by the learner",
        "scenario": "A <press> & \"more\"",
        "scenario_digest": digest,
        "seed": 7,
        "started": "2026-11-25T08:30:00Z",
        "engine": "0.0.0",
        "rubric": 1,
        "verdict": "not-yet-competent",
        "gate": false,
        "marks": 42.5,
        "criteria": [
            { "criterion": "symptom", "asks": "a", "weight": 10.0, "marks": 5.0,
              "why": why("why-operated-only") },
            { "criterion": "method", "asks": "b", "weight": 20.0, "marks": 20.0,
              "why": { "id": "why-method", "gaps": { "readings": 1, "idle": 0, "sound": 2 } } },
            { "criterion": "part", "asks": "c", "weight": 70.0, "marks": 0.0,
              "why": { "id": "why-named", "gaps": { "what": "K9" } } },
        ],
        "named": ["=K9 stuck-out"],
        "truth": ["K1 bypassed"],
        "ended": why("ended-unsafe"),
        "bench_seconds": 704.25,
        "hazards": [
            { "at": "1:30.000", "hazard": "opened_under_pressure", "severity": "critical",
              "place": "1V1:A", "evidence": [{ "name": "pressure", "value": 104.1, "unit": "bar" }],
              "what": "w", "why": "y" },
            { "at": "2:00.000", "hazard": "fuse_again", "severity": "major", "place": "F1",
              "evidence": [{ "name": "times", "value": 2.0, "unit": "" }], "what": "w", "why": "y" },
        ],
        "feedback": [
            why("feedback-gate"),
            { "id": "feedback-majors", "gaps": { "count": 1, "marks": "5" } },
            { "id": "feedback-wrong-part", "gaps": { "part": "K9" } },
        ],
        "story": [
            { "at": "0:00.000", "until": "0:04.000", "verb": "gauge", "action": "gauge MP1 250 bar",
              "told": [{ "id": "shown-at", "gaps": { "at": "MP1", "shown": {
                  "id": "shown-gauge", "gaps": { "value": "68.0", "range": "250" } } } }],
              "readings": [{ "function": "gauge", "places": ["MP1"], "value": 68.0, "unit": "bar",
                             "text": "68.0 bar (250 bar gauge)", "valid": true }] },
            { "at": "0:04.000", "until": "0:24.000", "verb": "ohms", "action": "ohms K1:A1 K1:A2",
              "told": [{ "id": "shown-between", "gaps": { "red": "K1:A1", "black": "K1:A2", "shown": {
                  "id": "shown-value", "gaps": { "value": "OL", "unit": "ohm" } } } }],
              "readings": [{ "function": "ohms", "places": ["K1:A1", "K1:A2"], "value": null,
                             "unit": "ohm", "text": "OL ohm", "valid": true }] },
            { "at": "1:30.000", "until": "2:00.000", "verb": "open", "action": "open 1V1:A",
              "told": [{ "id": "seen-open", "gaps": { "part": "</td><script>alert(1)</script>" } }], "hazards": ["opened_under_pressure"] },
            { "at": "2:00.000", "until": "2:00.000", "verb": "note", "action": "note \u{1}\u{8} done",
              "told": [] },
        ],
        "digest": digest,
    });
    value["evidence"] = json!({
        "suspects": 40, "verdict": "lucky", "declared": false, "committed_at": "1:30.000",
        "left": ["K1 bypassed 21-22", "K2 bypassed 21-22"], "optimum_s": 120.0, "regret_s": 45.5,
        "looks": 2, "idle_looks": 1,
        "steps": [
            { "action": 0, "at": "0:00.000", "words": "gauge MP1 250 bar", "kind": "look",
              "before": 40, "after": 8, "excluded": ["P1 worn", "RV1 set-low"], "left": [],
              "bits": 2.32, "uninformative": false, "marginal": false, "regret_s": 5.5,
              "better": null },
            { "action": 1, "at": "0:04.000", "words": "ohms K1:A1 K1:A2", "kind": "look",
              "before": 8, "after": 8, "excluded": [], "left": [], "bits": 0.0,
              "uninformative": true, "marginal": false, "regret_s": 40.0,
              "better": "volts K1:21 K1:22" },
        ],
    });
    serde_json::from_value(value).expect("a grade")
}

fn record() -> Record {
    Record::new("press", "a-1", "L7", made_up())
}

/// A film with a step, a stroke and a long rest.
fn short_film() -> Film {
    let seconds: [u32; 12] = [0, 1, 2, 3, 4, 5, 6, 400, 401, 402, 403, 410];
    let values = |list: [f64; 12]| list.to_vec();
    Film {
        times: seconds.iter().map(|s| SimTime::from_secs(u64::from(*s))).collect(),
        traces: vec![
            Trace {
                kind: Kind::Pressure,
                name: "MP1".to_owned(),
                values: values([0.0, 7e6, 7e6, 7e6, 7e6, 7e6, 7e6, 7e6, 1e5, 1e5, 1e5, 1e5]),
            },
            Trace {
                kind: Kind::Position,
                name: "1A1".to_owned(),
                values: values([0.0, 0.0, 0.05, 0.1, 0.15, 0.2, 0.2, 0.2, 0.2, 0.1, 0.0, 0.0]),
            },
            Trace {
                kind: Kind::Current,
                name: "1V1.a".to_owned(),
                values: values([0.0, 1.2, 1.2, 1.2, 1.2, 1.2, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
            },
        ],
        actions: [0, 4, 400, 410].map(SimTime::from_secs).to_vec(),
        moments: Vec::new(),
        digest: String::new(),
    }
}

fn press() -> Scenario {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let name = "press-interlock.scenario.ron";
    load(&Shipped, name, &mut sources, &mut found).expect("a shipped scenario")
}

fn grade(scenario: &Scenario, bytes: &[u8]) -> Grade {
    let marker = Marker::new(scenario, Some(super::shared::folder()));
    marker.grade(bytes).expect("a grade")
}

/// The two shipped attempts at the press.
fn played(scenario: &Scenario) -> Vec<(String, Vec<u8>)> {
    ["good", "unsafe"]
        .into_iter()
        .map(|name| {
            let list = Shipped.text(&format!("press-interlock.{name}.actions")).expect("a list");
            let bytes = play(scenario, name, &list, &mut |_, _, _| Ok(())).expect("an attempt");
            (name.to_owned(), bytes)
        })
        .collect()
}

fn schema(name: &str) -> jsonschema::Validator {
    let path = format!("{}/assets/schema/{name}.schema.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("a schema");
    jsonschema::validator_for(&serde_json::from_str(&text).expect("JSON")).expect("a schema")
}

fn slips(schema: &jsonschema::Validator, value: &Value) -> Vec<String> {
    schema.iter_errors(value).map(|e| format!("{} at {}", e, e.instance_path())).collect()
}

fn book(records: &[Record]) -> String {
    let mut book = GradeBook::new().expect("a book");
    for record in records {
        book.add(record).expect("a row");
    }
    book.finish().expect("text")
}

fn junit(reader: Reader) -> String {
    let mut junit = JUnit::new(reader).expect("a file");
    junit.add(&record()).expect("a suite");
    junit.add_refused("broken", &["broken.jsonl:1:1: error".to_owned()]).expect("a suite");
    junit.finish().expect("text")
}

fn class(reader: &Reader) -> String {
    let mut class = Class::default();
    class.add(&record(), Some("a-1.html".to_owned()));
    let mut good = made_up();
    good.verdict = spoolbench::grade::Verdict::Competent;
    good.gate = true;
    good.marks = 93.0;
    good.hazards.clear();
    good.feedback.clear();
    good.criteria[2].marks = 70.0;
    class.add(&Record::new("press", "b", "L8", good), None);
    class.add_refused("broken");
    class.page(reader)
}

#[test]
fn the_page_of_an_attempt_is_as_it_was() {
    insta::assert_snapshot!(body(&attempt(&record(), Some((&press(), &short_film())), &english())));
}

#[test]
fn the_page_of_a_class_is_as_it_was() {
    insta::assert_snapshot!(body(&class(&english())));
}

#[test]
fn junit_is_as_it_was() {
    insta::assert_snapshot!(junit(english()));
}

#[test]
fn the_grade_book_is_as_it_was() {
    insta::assert_snapshot!(book(&[record()]).replace("\r\n", "<CR LF>\n"));
}

#[test]
fn statements_are_as_they_were() {
    insta::assert_json_snapshot!(statements(&record()));
}

/// A page without its style, a tag a line.
fn body(page: &str) -> String {
    let (head, rest) = page.split_once("<style>").expect("a style");
    let (_, rest) = rest.split_once("</style>").expect("its end");
    format!("{head}{rest}").replace("><", ">\n<")
}

#[test]
fn statements_follow_their_schema() {
    let schema = schema("xapi");
    let all = Value::Array(statements(&record()));
    assert_eq!(slips(&schema, &all), Vec::<String>::new());
    // The schema can tell: every member that must be there is missed, and a wrong value is seen.
    for member in ["id", "actor", "verb", "object", "version"] {
        let mut broken = all.clone();
        broken[0].as_object_mut().expect("a statement").remove(member);
        assert!(!schema.is_valid(&broken), "{member}");
    }
    for (pointer, value) in [
        ("/0/result/score/scaled", json!(82)),
        ("/0/version", json!("1.0.3")),
        ("/0/id", json!("no uuid")),
        ("/0/verb/id", json!("no iri")),
        ("/0/actor", json!({ "mbox": "mailto:somebody@example.org" })),
        ("/0/result/duration", json!("704.25")),
        ("/0/timestamp", Value::Null),
    ] {
        let mut broken = all.clone();
        *broken.pointer_mut(pointer).expect("a member") = value;
        assert!(!schema.is_valid(&broken), "{pointer}");
    }
}

#[test]
fn ids_of_statements_are_their_own_and_stay() {
    let (first, second) = (statements(&record()), statements(&record()));
    assert_eq!(first, second);
    let mut other = made_up();
    other.marks = 43.0;
    let third = statements(&Record::new("press", "a-1", "L7", other));
    let mut ids: Vec<&str> = first.iter().map(|s| s["id"].as_str().expect("an id")).collect();
    assert!(!ids.contains(&third[0]["id"].as_str().expect("an id")));
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), first.len());
}

#[test]
fn grades_follow_their_schema() {
    let schema = schema("grade");
    let scenario = press();
    let mut entries = vec![json!({ "attempt": "a.jsonl", "grade": made_up() })];
    for (name, bytes) in played(&scenario) {
        let graded = grade(&scenario, &bytes);
        let value = json!({ "attempt": name, "grade": graded });
        // What is written reads back as the same grade.
        let text = serde_json::to_string(&value["grade"]).expect("JSON");
        assert_eq!(serde_json::from_str::<Grade>(&text).expect("a grade"), graded);
        entries.push(value);
    }
    entries.push(json!({ "attempt": "b.jsonl", "problems": ["b.jsonl: error"] }));
    let all = Value::Array(entries);
    assert_eq!(slips(&schema, &all), Vec::<String>::new());
    for (pointer, value) in [
        ("/0/grade/verdict", json!("perhaps")),
        ("/0/grade/marks", json!(101)),
        ("/0/grade/story/0/at", json!("soon")),
        ("/0/grade/criteria/0/why", json!("a sentence")),
        ("/0/grade/digest", json!("none")),
    ] {
        let mut broken = all.clone();
        *broken.pointer_mut(pointer).expect("a member") = value;
        assert!(!schema.is_valid(&broken), "{pointer}");
    }
}

#[test]
fn junit_counts_what_it_holds() {
    let text = junit(english());
    let document = quick_xml::Reader::from_str(&text);
    let mut reader = document;
    let (mut suites, mut cases, mut failures, mut errors) = (0, 0, 0, 0);
    let mut told = (0, 0, 0);
    loop {
        use quick_xml::events::Event;
        match reader.read_event().expect("well-formed XML") {
            Event::Eof => break,
            Event::Start(e) | Event::Empty(e) => match e.name().as_ref() {
                "testsuite" => {
                    suites += 1;
                    let number = |name: &str| {
                        let value = e.try_get_attribute(name).expect("sound").expect("there");
                        value.value.parse::<u32>().expect("a number")
                    };
                    told.0 += number("tests");
                    told.1 += number("failures");
                    told.2 += number("errors");
                }
                "testcase" => cases += 1,
                "failure" => failures += 1,
                "error" => errors += 1,
                _ => {}
            },
            _ => {}
        }
    }
    assert_eq!(suites, 2);
    assert_eq!((cases, failures, errors), told);
    // Three criteria and the gate; two lines short of marks and the gate; one file refused.
    assert_eq!(told, (5, 3, 1));
    assert!(!text.chars().any(|c| c < ' ' && c != '\n'), "a character XML has no place for");
}

#[test]
fn a_grade_book_reads_back_cell_by_cell() {
    let mut wild = made_up();
    wild.named = vec!["@SUM(A1), \"quoted\"\nand more".to_owned()];
    let records = [record(), Record::new("press", "-b", "+L9", wild)];
    let text = book(&records);
    assert!(text.ends_with("\r\n") && text.matches("\r\n").count() == 3, "{text}");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    assert_eq!(&rows[0][9], "'=K9 stuck-out");
    assert_eq!(&rows[1][0], "'+L9");
    assert_eq!(&rows[1][3], "'-b");
    assert_eq!(&rows[1][9], "'@SUM(A1), \"quoted\"\nand more");
    assert_eq!((&rows[0][4], &rows[0][5]), ("2026-11-25T08:30:00Z", "704.250"));
    for row in &rows {
        assert!(row.iter().all(|cell| !cell.starts_with(['=', '+', '-', '@', '\t', '\r'])));
    }
}

/// Texts of a page, each with the place it stands at, in order.
fn texts(page: &str) -> Vec<String> {
    let body = body(page);
    let mut texts = Vec::new();
    for piece in body.split('<') {
        if let Some((_, text)) = piece.split_once('>') {
            let text = text.trim();
            if text.chars().any(char::is_alphabetic) {
                texts.push(text.to_owned());
            }
        }
    }
    texts
}

#[test]
fn no_text_of_a_page_is_outside_the_catalogue() {
    let german = Reader::new(Language::German, UnitSystem::Si);
    let (scenario, film) = (press(), short_film());
    for (one, other) in [
        (
            attempt(&record(), Some((&scenario, &film)), &english()),
            attempt(&record(), Some((&scenario, &film)), &german),
        ),
        (class(&english()), class(&german)),
    ] {
        let (one, other) = (texts(&one), texts(&other));
        assert_eq!(one.len(), other.len());
        // What both languages share comes from the grade, or is a name or a value.
        let given = [
            "L7: A &lt;press&gt; &amp; &quot;more&quot;",
            "A &lt;press&gt; &amp; &quot;more&quot;",
            "L7",
            "L8",
            "(b)",
            "(a-1)",
            "broken",
            "K1 bypassed",
            "=K9 stuck-out",
            "2026-11-25T08:30:00Z",
            "2026-11-25 08:30 UTC",
            "1V1:A",
            "F1",
            "MP1",
            "1A1",
            "1V1.a",
            "K1:A1 – K1:A2",
            "OL Ω",
            "Symptom",
            "spoolbench 0.0.0",
            "gauge MP1 250 bar",
            "ohms K1:A1 K1:A2",
            "open 1V1:A",
            "200 mm",
            "1.20 A",
            "70.0 bar",
            "120 s",
            "46 s",
            "Name",
            "Thermometer",
            "Manometer",
        ];
        let digest = "0123456789abcdef".repeat(4);
        let mut shared = Vec::new();
        for (english, german) in one.iter().zip(&other) {
            let data = given.contains(&english.as_str())
                || *english == digest
                || english.starts_with("note ");
            if english == german && !data {
                shared.push(english.clone());
            }
            for text in [english, german] {
                assert!(!text.contains('\u{27e8}'), "no such message: {text}");
            }
        }
        assert_eq!(shared, Vec::<String>::new(), "outside the catalogue");
    }
}

#[test]
fn every_message_a_grade_can_hold_is_in_both_catalogues() {
    let words = Language::ALL.map(spoolbench::language::Words::of);
    let has = |id: &str| words.iter().all(|w| w.has(id));
    for criterion in spoolbench::scenario::Criterion::ALL {
        assert!(has(&format!("criterion-{}", criterion.name())), "{criterion:?}");
        let asks = format!("criterion-{}-asks", criterion.name());
        assert!(has(&asks), "{criterion:?}");
        assert_eq!(words[0].say(&asks), criterion.asks());
    }
    for hazard in spoolbench::session::Hazard::ALL {
        let id = hazard.message();
        // One English text, whether a session or a report says it.
        assert_eq!(words[0].say(&id), hazard.text());
        assert_eq!(words[0].say(&format!("{id}-why")), hazard.explanation());
        assert!(has(&id) && has(&format!("{id}-why")), "{id}");
    }
    // Ids written in the sources.
    let mut ids = BTreeMap::new();
    for folder in ["grade", "report"] {
        let path = format!("{}/src/{folder}", env!("CARGO_MANIFEST_DIR"));
        for source in sources_in(path.as_ref()) {
            let text = std::fs::read_to_string(&source).expect("a source");
            let text = text.split("#[cfg(test)]").next().unwrap_or("");
            for prefix in [
                "why-",
                "feedback-",
                "ended-",
                "verdict-",
                "gate-",
                "severity-",
                "habit-",
                "kind-",
                "column-",
                "fact-",
                "origin-",
                "class-",
                "trace-",
                "traces-",
                "reading-",
                "case-",
            ] {
                for quote in ["\"", "\"#"] {
                    for piece in text.split(&format!("{quote}{prefix}")).skip(1) {
                        let end = piece.split('"').next().unwrap_or("");
                        if !end.is_empty() && !end.contains('{') {
                            ids.insert(format!("{prefix}{end}"), source.clone());
                        }
                    }
                }
            }
        }
    }
    assert!(ids.len() > 60, "{}", ids.len());
    // What is shown beside a hazard.
    let path = format!("{}/src/session", env!("CARGO_MANIFEST_DIR"));
    for entry in std::fs::read_dir(path).expect("a folder").flatten() {
        let Ok(text) = std::fs::read_to_string(entry.path()) else { continue };
        for piece in text.split("Evidence::new(").skip(1) {
            if let Some(name) =
                piece.trim_start().strip_prefix('"').and_then(|p| p.split('"').next())
            {
                ids.insert(format!("evidence-{}", name.replace(' ', "-")), entry.path());
            }
        }
    }
    for (id, path) in ids {
        // Ids of elements of a drawing are no messages.
        if id.ends_with("-title") && !has(&id) {
            continue;
        }
        assert!(has(&id) || id == "bars-desc", "{id} of {} is in no catalogue", path.display());
        if let Some(habit) = id.strip_prefix("feedback-") {
            let of_the_page = ["heading", "none", "gate", "majors"].contains(&habit);
            assert!(of_the_page || has(&format!("habit-{habit}")), "{id} has no habit");
        }
    }
}

#[test]
fn pages_are_closed_in_themselves() {
    for page in [attempt(&record(), Some((&press(), &short_film())), &english()), class(&english())]
    {
        let page = page.replace("http://www.w3.org/2000/svg", "");
        for outside in
            ["<script", "http://", "https://", "src=", "@import", "url(", "<link", "<iframe"]
        {
            assert!(!page.contains(outside), "{outside}");
        }
        assert_eq!(page.matches("<h1>").count(), 1);
        assert!(page.starts_with("<!DOCTYPE html><html lang=\"en\">"));
        for table in page.split("<table").skip(1) {
            let table = table.split("</table>").next().unwrap_or("");
            assert!(table.contains("<caption>"), "{table}");
            for cell in table.split("<th").skip(1).filter(|c| !c.starts_with("ead")) {
                assert!(cell.split('>').next().unwrap_or("").contains("scope="), "{cell}");
            }
        }
    }
}

#[test]
fn a_lab_sheet_does_not_tell_the_fault() {
    let scenario = press();
    let sheet = |scenario: &Scenario| spoolbench::report::lab_sheet(scenario, &english());
    let mut sound = scenario.clone();
    sound.faults.clear();
    sound.answers.clear();
    sound.retest = spoolbench::scenario::Retest::default();
    sound.digest.clear();
    assert_eq!(sheet(&scenario), sheet(&sound));
    let page = sheet(&scenario);
    assert!(page.contains("Clay press: the coil that keeps burning") && !page.contains("bypassed"));
    for caution in &scenario.bench.cautions {
        assert!(page.contains(caution.split(['&', '"', '<']).next().unwrap_or("")), "{caution}");
    }
    let german =
        spoolbench::report::lab_sheet(&scenario, &Reader::new(Language::German, UnitSystem::Si));
    assert!(german.contains("Arbeitsblatt") && !german.contains('\u{27e8}'));
}

#[test]
fn what_a_learner_typed_as_a_name_is_in_no_export() {
    let all = [
        attempt(&record(), None, &english()),
        class(&english()),
        junit(english()),
        book(&[record()]),
        Value::Array(statements(&record())).to_string(),
    ];
    for text in all {
        assert!(!text.contains("typed by the learner"));
        assert!(text.contains("L7"));
    }
}

#[test]
fn watching_an_attempt_changes_nothing_of_it() {
    let scenario = press();
    for (name, bytes) in played(&scenario) {
        let graded = grade(&scenario, &bytes);
        let film = film(&scenario, &bytes).expect("a film");
        assert_eq!(film.digest, graded.digest, "{name}");
        assert_eq!(film.actions.len(), graded.story.len());
        assert!(film.times.len() > 100 && film.times.is_sorted());
        let stroke = film.traces.iter().find(|t| t.kind == Kind::Position).expect("a piston");
        // The ram of the press has a stroke of 250 mm (its bench).
        let longest = stroke.values.iter().copied().fold(0.0, f64::max);
        assert!((longest - 0.25).abs() < 0.001, "{longest}");
    }
}

#[test]
fn the_same_bytes_every_time() {
    let scenario = press();
    let (name, bytes) = played(&scenario).remove(1);
    let page = || {
        let graded = grade(&scenario, &bytes);
        let film = film(&scenario, &bytes).expect("a film");
        attempt(&Record::new("press", &name, &name, graded), Some((&scenario, &film)), &english())
    };
    assert_eq!(page(), page());
}

#[test]
fn values_follow_the_units_of_the_reader() {
    let us = Reader::new(Language::English, UnitSystem::UsCustomary);
    let page = attempt(&record(), Some((&press(), &short_film())), &us);
    // 104.1 bar and 68 bar at 6894.757 Pa a psi (NIST SP 811, appendix B.8): 1510 and 986 psi.
    assert!(page.contains("pressure 1510 psi") && page.contains("986 psi"), "{}", body(&page));
    let quoted = page.matches(" bar").count();
    // Only what is quoted stays: the action (twice), and the limit in a caution.
    assert_eq!(quoted, 3, "{}", body(&page));
}

/// Every kind of part, fault mode and place in a part, every verb that shipped attempts use.
#[test]
fn everything_that_is_ours_has_its_words() {
    let words = Words::of(Language::German);
    let mut missing = BTreeSet::new();
    let mut want = |id: String| {
        if !words.has(&id) {
            missing.insert(id);
        }
    };
    for class in spoolbench::bench::classes() {
        want(format!("part-{}", class.name));
    }
    want("part-Wire".to_owned());
    for mode in spoolbench::fault::TABLE {
        want(format!("mode-{}", mode.id));
    }
    for name in Shipped::names() {
        if name.ends_with(".bench.ron") {
            let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
            let bench = load_any(&Shipped, name, &mut sources, &mut found).expect("a bench");
            for part in 0..bench.plan.parts.len() {
                for (_, role, _) in modes_of(&bench.plan, PartId::new(part)) {
                    let own = |w: &&str| w.len() > 2 && w.bytes().all(|b| b.is_ascii_lowercase());
                    role.split([' ', '-']).filter(own).for_each(|w| want(format!("role-{w}")));
                }
            }
        } else if name.ends_with(".actions") {
            let list = Shipped.text(name).expect("a list");
            for line in read_actions(&list).expect("actions") {
                want(format!("act-{}", line.action.verb().replace(' ', "-")));
            }
        }
    }
    assert!(missing.is_empty(), "without words: {missing:?}");
}

/// Every source in `folder` and below.
fn sources_in(folder: &std::path::Path) -> Vec<std::path::PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder").flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(sources_in(&path));
        } else {
            found.push(path);
        }
    }
    found
}
