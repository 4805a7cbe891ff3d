//! A class as its instructor and its learners meet it: kits handed out, practised with, marked.

use std::collections::BTreeSet;
use std::fs;

use spoolbench::class::{Class, ENOUGH, LEAST_BAND, MOST_BAND, Secret, variants};

use super::commands::{Desk, Done, exit};
use super::shared;

const SCENARIO: &str = "pusher-dead-coil.scenario.ron";
const SECRET: &str = "correct horse battery staple\n";

/// A desk with a class of this size and its kits.
fn class(size: usize) -> Desk {
    let desk = Desk::new();
    let mut roster = String::from("\u{feff}Name,ID\r\n");
    for k in 0..size {
        roster.push_str(&format!("\"Doe, Jo {k}\",jo.doe.{k}@school\r\n"));
    }
    desk.write("roster.csv", roster);
    desk.write("class.secret", SECRET);
    assign(&desk, "kits --table faults.csv").is(exit::SUCCESS);
    desk
}

fn assign(desk: &Desk, out: &str) -> Done {
    let line = "--roster roster.csv --secret class.secret --out";
    desk.run(&format!("assign {SCENARIO} {line} {out}"))
}

/// Rows of a table without its head.
fn rows(desk: &Desk, name: &str) -> Vec<Vec<String>> {
    let text = desk.read(name);
    let mut table = csv::Reader::from_reader(text.as_bytes());
    table.records().map(|row| row.expect("a row").iter().map(str::to_owned).collect()).collect()
}

#[test]
fn thirty_learners_get_kits_that_differ_and_tell_nothing() {
    let desk = class(30);
    let faults = rows(&desk, "faults.csv");
    assert_eq!(faults.len(), 30);
    let different: BTreeSet<&str> = faults.iter().map(|row| row[2].as_str()).collect();
    assert!(different.len() >= 8, "{different:?}");
    let costs: Vec<f64> = faults.iter().map(|row| row[3].parse().expect("a cost")).collect();
    let (least, most) =
        (costs.iter().copied().fold(f64::MAX, f64::min), costs.iter().copied().fold(0.0, f64::max));
    assert!(most / least <= 1.25 / 0.75, "{least} to {most} s");
    // The table of kits names no fault, and no kit names a learner.
    let key = rows(&desk, "kits/key.csv");
    assert_eq!(key.len(), 30);
    for (row, fault) in key.iter().zip(&faults) {
        assert_eq!(row[0], fault[0]);
        assert!(row[2] == format!("{}.kit", row[1]) && row[1].starts_with('p'));
        let kit = desk.read(&format!("kits/{}", row[2]));
        assert!(!kit.contains("jo.doe") && !kit.contains("@school"));
        assert!(!kit.contains("mode"), "{kit}");
    }
    // The same again, and with one learner more nobody's kit changes.
    let before = desk.read(&format!("kits/{}", key[3][2]));
    assign(&desk, "kits").is(exit::SUCCESS).says("30 kits").quietly();
    let longer = desk.read("roster.csv") + "Late,late\r\n";
    desk.write("roster.csv", longer);
    assign(&desk, "kits").is(exit::SUCCESS).says("31 kits");
    assert_eq!(desk.read(&format!("kits/{}", key[3][2])), before);
    assert_eq!(rows(&desk, "kits/key.csv").len(), 31);
    // Another scenario's kits do not mix with them.
    let other = desk.read(SCENARIO).replace("seed: 11", "seed: 12");
    desk.write(SCENARIO, other);
    assign(&desk, "kits").is(exit::BAD_INPUT).complains("SB803").complains("another one");
    assert_eq!(desk.read(&format!("kits/{}", key[3][2])), before);
}

#[test]
fn a_kit_is_practised_and_marked_with_the_secret() {
    let desk = class(4);
    let faults = rows(&desk, "faults.csv");
    fs::create_dir(desk.path("handed-in")).expect("a folder");
    for (k, row) in faults.iter().enumerate() {
        let words: Vec<&str> = row[2].splitn(3, ' ').collect();
        let part = words[0];
        let mend = if part.starts_with('W') { "repair" } else { "replace" };
        let name = words.join(" ");
        let list = format!(
            "press S4\nwait 2 s\npress S1\nwait 3 s\nlook 1A1\nnote it stays\nvolts G1:+ G1:-\npress \
             S3\nisolate Q0\nlock Q0\ntag Q0\ntry S4\n{mend} {part}\nunlock Q0\nrestore Q0\npress S4\n\
             wait 2 s\npress S1\nwait 12 s\nname {name}\nhand back\n"
        );
        let line = format!("console kits/{}.kit --attempt 'handed-in/Jo Doe {k}.jsonl'", row[1]);
        let done = desk.pipe(&line, &list).is(exit::SUCCESS).quietly();
        assert!(done.out.contains("This machine does not do all that it should."));
        assert!(!done.out.contains("the lamp says push"));
    }
    let grade = "grade pusher-dead-coil.scenario.ron handed-in --roster roster.csv --secret \
                 class.secret";
    let done = desk.run(&format!("{grade} --out grades.jsonl"));
    assert!(done.code <= exit::NOT_YET_COMPETENT, "{}", done.err);
    let text = desk.read("grades.jsonl");
    let lines: Vec<serde_json::Value> =
        text.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    for row in &faults {
        let mine = lines.iter().find(|l| l["grade"]["learner"] == row[1].as_str());
        let grade = &mine.expect("a grade")["grade"];
        // The fault is the one of the table, and naming it is right.
        let truth = grade["truth"][0].as_str().expect("a fault");
        assert!(row[2].starts_with(truth), "{truth} is not {}", row[2]);
        let marks = |name: &str| {
            let list = grade["criteria"].as_array().expect("criteria");
            let one = list.iter().find(|c| c["criterion"] == name).expect("a criterion");
            (one["marks"].as_f64(), one["weight"].as_f64())
        };
        for name in ["part", "mode", "repair"] {
            let (marks, weight) = marks(name);
            assert_eq!(marks, weight, "{name} of {}: {grade}", row[2]);
        }
    }
    // Nobody's name or id is in what is handed on, not even as a file's name.
    assert!(!text.contains("jo.doe") && !text.contains("Jo Doe") && !text.contains("handed-in"));
    let exports = "--html pages --csv book.csv --junit marks.xml --xapi statements.json";
    desk.run(&format!("{grade} {exports}"));
    let mut handed_on =
        ["book.csv", "marks.xml", "statements.json"].map(|name| desk.read(name)).concat();
    for page in fs::read_dir(desk.path("pages")).expect("pages").flatten() {
        handed_on.push_str(&page.file_name().to_string_lossy());
        handed_on.push_str(&fs::read_to_string(page.path()).expect("a page"));
    }
    assert!(handed_on.contains(&faults[0][1]), "no pseudonym");
    for name in ["Jo Doe", "jo.doe", "@school", "handed-in"] {
        assert!(!handed_on.contains(name), "{name}");
    }
    // Parts of the batch join to the same file.
    for part in ["1/2", "2/2"] {
        let name = part.replace('/', "-of-");
        desk.run(&format!("{grade} --out {name}.jsonl --partition {part}"));
    }
    desk.run("merge 1-of-2.jsonl 2-of-2.jsonl --out joined.jsonl").quietly();
    assert_eq!(desk.read("joined.jsonl"), text);
    // With another secret nobody is in the class; its grades do not mix with these.
    desk.write("other.secret", "another secret of a class");
    let other = grade.replace("class.secret", "other.secret");
    desk.run(&format!("{other} --out grades.jsonl --resume"))
        .is(exit::BAD_INPUT)
        .complains("SB711");
    desk.run(&other).is(exit::BAD_INPUT).complains("error SB726: ");
    // Without the secret it is an attempt at nothing that is known.
    desk.run(&format!("grade {SCENARIO} handed-in")).is(exit::BAD_INPUT).complains("SB709");
}

#[test]
fn claims_of_a_file_are_not_believed() {
    let desk = class(3);
    let key = rows(&desk, "kits/key.csv");
    let attempt = |k: usize| {
        let file = format!("a{k}.jsonl");
        desk.pipe(&format!("console kits/{} --attempt {file}", key[k][2]), "press S4\nhand back\n")
            .is(exit::SUCCESS);
        desk.read(&file)
    };
    let (mine, theirs) = (attempt(0), attempt(1));
    let head = |text: &str| -> serde_json::Value {
        serde_json::from_str(text.lines().next().expect("a head")).expect("JSON")
    };
    let changed = |field: &str, value: serde_json::Value| {
        let mut head = head(&mine);
        head[field] = value;
        let rest: Vec<&str> = mine.lines().skip(1).collect();
        format!("{head}\n{}\n", rest.join("\n"))
    };
    let bad = [
        // Another's pseudonym on one's own work, another seed, another task, nobody at all.
        changed("learner", head(&theirs)["learner"].clone()),
        changed("seed", 1.into()),
        changed("scenario", head(&theirs)["scenario"].clone()),
        changed("learner", "p000000000000".into()),
        changed("learner", "jo.doe.0@school".into()),
    ];
    for (k, text) in bad.iter().enumerate() {
        desk.write(&format!("x{k}.jsonl"), text);
    }
    desk.write("x5.jsonl", "nonsense\n");
    desk.write("x6.jsonl", &mine);
    let files: Vec<String> = (0..7).map(|k| format!("x{k}.jsonl")).collect();
    let done = desk
        .run(&format!(
            "grade {SCENARIO} {} --roster roster.csv --secret class.secret --json x.json",
            files.join(" ")
        ))
        .is(exit::BAD_INPUT)
        .complains("x5.jsonl:1:");
    for file in &files[..5] {
        assert!(done.err.contains(&format!("{file}: error SB726: ")), "{}", done.err);
    }
    assert_eq!(done.err.lines().count(), 6, "{}", done.err);
    let json = desk.read("x.json");
    assert!(!json.contains(".jsonl"), "the export names a file");
    assert_eq!(json.matches("\"grade\": {").count(), 1);
}

#[test]
fn a_kit_is_for_practice_alone() {
    let desk = class(1);
    let kit = format!("kits/{}", rows(&desk, "kits/key.csv")[0][2]);
    for verb in ["run", "check", "testability", "interlocks"] {
        desk.run(&format!("{verb} {kit}")).is(exit::BAD_INPUT).complains("SB725");
    }
    desk.run(&format!("grade {kit} x.jsonl")).is(exit::BAD_INPUT).complains("error SB725: ");
    desk.pipe(&format!("console {kit} --seed 3"), "quit\n").is(exit::BAD_INPUT).complains("SB725");
    let text = desk.read(&kit);
    desk.write("bad.kit", text.replacen("\"learner\":\"p", "\"learner\":\"q", 1));
    desk.pipe("console bad.kit", "quit\n").is(exit::BAD_INPUT).complains("error SB724: ");
    desk.write("half.kit", &text[..text.len() / 2]);
    desk.pipe("console half.kit", "quit\n").is(exit::BAD_INPUT).complains("error SB724: ");
    desk.write("new.kit", text.replacen("\"version\":1", "\"version\":9", 1));
    desk.pipe("console new.kit", "quit\n").is(exit::BAD_INPUT).complains("error SB705: ");
    // Attempts at it lie beside, named by the pseudonym.
    let done = desk.pipe(&format!("console {kit}"), "quit\n").is(exit::SUCCESS);
    assert!(done.out.contains(".1.attempt.jsonl") && !done.out.contains(".kit.1."));
}

#[test]
fn bad_secrets_rosters_and_scenarios_are_told_of() {
    let desk = class(1);
    desk.write("bad.csv", "id\na\n\na\n=2\n");
    desk.run(&format!("assign {SCENARIO} --roster bad.csv --secret class.secret --out k"))
        .is(exit::BAD_INPUT)
        .complains("bad.csv:4:1: error SB722: ")
        .complains("bad.csv:5:1: error SB722: ");
    desk.write("short.secret", "1234\n");
    desk.run(&format!("assign {SCENARIO} --roster roster.csv --secret short.secret --out k"))
        .is(exit::BAD_INPUT)
        .complains("short.secret: error SB723: ");
    desk.run(&format!("assign {SCENARIO} --roster nobody --secret nobody --out k"))
        .is(exit::BAD_INPUT)
        .complains("SB101");
    desk.write(
        "untested.scenario.ron",
        "Scenario(format: 1, bench: \"pusher.bench.ron\", faults: [Fault(part: \"K1\", mode: \"open\")])",
    );
    desk.run("assign untested.scenario.ron --roster roster.csv --secret class.secret --out k")
        .is(exit::BAD_INPUT)
        .complains("SB721")
        .complains("retest");
    assert!(!desk.path("k").exists());
    let narrow = desk.read(SCENARIO).replace(
        "    time_limit:",
        "    variants: [Fault(part: \"1V1\", mode: \"open\"), Fault(part: \"1A1\", mode: \
         \"jammed\")],\n    time_limit:",
    );
    desk.write("narrow.scenario.ron", narrow);
    let more: String = (0..9).map(|k| format!("{k}\n")).collect();
    desk.write("nine.csv", format!("id\n{more}"));
    desk.run("assign narrow.scenario.ron --roster nine.csv --secret class.secret --out k")
        .is(exit::SUCCESS)
        .complains("warning SB721: the variant 1A1 jammed is left out: it costs 205 s to find")
        .complains("only 1 faults as hard as one another for 9 learners");
    for band in ["0", "x", "500", "-3"] {
        desk.run(&format!("assign a --roster b --secret c --out d --band={band}"))
            .is(exit::BAD_INPUT)
            .complains("no width of a band");
    }
}

#[test]
fn a_class_with_few_faults_is_told_which_band_holds_more() {
    let desk = Desk::new();
    let learners: String = (1..=30).map(|k| format!("p{k}\r\n")).collect();
    desk.write("roster.csv", format!("id\r\n{learners}"));
    desk.write("secret.txt", "a secret of this class, long enough");
    let line = "assign gripper-coil.scenario.ron --roster roster.csv --secret secret.txt --out";
    let few = desk.run(&format!("{line} few --band 25")).is(exit::SUCCESS);
    assert!(few.out.contains("of 7 that cost 57 to 95 s") && !few.out.contains("was chosen"));
    assert!(few.err.contains("SB721"), "{}", few.err);
    let band = few.err.split("--band \"").nth(1).and_then(|rest| rest.split('"').next());
    let band = band.unwrap_or_else(|| panic!("no band: {}", few.err));
    let wide = desk.run(&format!("{line} wide --band '{band}' --table faults.csv"));
    let wide = wide.is(exit::SUCCESS);
    assert!(!wide.err.contains("SB721"), "{}", wide.err);
    let given: BTreeSet<String> =
        rows(&desk, "faults.csv").into_iter().map(|row| row[2].clone()).collect();
    assert!(given.len() >= 8, "{band}: {given:?}");
}

/// Where no band is asked for: one scenario of each machine, of those that have too few faults in the
/// band that was once the only one.
#[test]
fn thirty_learners_of_any_machine_get_eight_faults_of_the_band_that_is_chosen() {
    let names = [
        "pusher-stays-out",
        "press-wrong-way",
        "door-nothing-arrives",
        "gripper-pilot",
        "cutter-astray",
    ];
    let ids: Vec<String> = (1..=30).map(|k| format!("learner {k}")).collect();
    for name in names {
        let scenario = shared::scenario(name);
        let found = variants(scenario, None).expect("variants");
        let steps = 20.0 * found.band;
        assert!((steps - steps.round()).abs() < 1e-9, "{name}: {} is no step", found.band);
        assert!((LEAST_BAND..=MOST_BAND).contains(&found.band), "{name}: {}", found.band);
        let inside = |band: f64| {
            let far = |cost: f64| (cost / found.difficulty_s - 1.0).abs();
            found.list.iter().filter(|v| far(v.cost_s) <= band + 1e-9).count()
        };
        assert!(found.list.len() >= ENOUGH && inside(found.band) == found.list.len(), "{name}");
        // A step less would not do.
        let narrower = found.band - 0.05;
        assert!(narrower < LEAST_BAND - 1e-9 || inside(narrower) < ENOUGH, "{name}");
        let secrets = 40;
        let many = (0..secrets).filter(|k| {
            let secret = Secret::new(format!("the secret of class {k:02}").as_bytes());
            let secret = secret.expect("a secret");
            let class = Class::new(secret, &ids, scenario.clone(), found.list.clone());
            let given: BTreeSet<String> = class
                .learners()
                .map(|(p, _)| format!("{:?}", class.assigned(p).expect("a fault").fault))
                .collect();
            given.len() >= 8
        });
        // Of 10 faults drawn by 30 at least 8 are met with a chance of 0.9974.
        assert!(many.count() >= secrets - 1, "{name}");
    }
}

/// The choice is told, depends on the scenario alone, and marking makes the same.
#[test]
fn the_band_that_is_chosen_is_the_same_for_every_class_and_when_marking() {
    let desk = Desk::new();
    let roster = |name: &str, size: usize| {
        let learners: String = (1..=size).map(|k| format!("p{k}\r\n")).collect();
        desk.write(name, format!("id\r\n{learners}"));
    };
    roster("three.csv", 3);
    roster("thirty.csv", 30);
    desk.write("secret.txt", "a secret of this class, long enough");
    let line = "assign gripper-pilot.scenario.ron --secret secret.txt --roster";
    let all = desk.run(&format!("{line} thirty.csv --out all --table faults.csv"));
    let all = all.is(exit::SUCCESS).quietly();
    assert!(all.out.contains("the band was chosen: 50 % either way"), "{}", all.out);
    assert!(all.out.contains("it holds 10\n"), "{}", all.out);
    let given: BTreeSet<String> =
        rows(&desk, "faults.csv").into_iter().map(|row| row[2].clone()).collect();
    assert!(given.len() >= 8, "{given:?}");
    desk.run(&format!("{line} three.csv --out few")).is(exit::SUCCESS).quietly();
    desk.run(&format!("{line} three.csv --out set --band '50 %'"))
        .is(exit::SUCCESS)
        .quietly()
        .says("mark the class with the same band: --band \"50 %\"");
    for row in rows(&desk, "few/key.csv") {
        for folder in ["all", "set"] {
            let kit = |folder: &str| desk.read(&format!("{folder}/{}", row[2]));
            assert_eq!(kit("few"), kit(folder), "{folder}");
        }
    }
    let kit = &rows(&desk, "few/key.csv")[0][2];
    desk.pipe(&format!("console few/{kit} --attempt a.jsonl"), "hand back\n").is(exit::SUCCESS);
    let grade = "grade gripper-pilot.scenario.ron a.jsonl --secret secret.txt --roster thirty.csv";
    desk.run(grade).is(exit::NOT_YET_COMPETENT).quietly();
    desk.run(&format!("{grade} --band '50 %'")).is(exit::NOT_YET_COMPETENT).quietly();
    // In another band some have other faults, and it is said what may be wrong.
    desk.run(&format!("{line} thirty.csv --out near --band 25 --table near.csv"));
    let near = rows(&desk, "near.csv");
    let apart = rows(&desk, "faults.csv").into_iter().zip(near).find(|(a, b)| a[2] != b[2]);
    let learner = apart.expect("another fault").0[1].clone();
    let console = format!("console near/{learner}.kit --attempt near.jsonl");
    desk.pipe(&console, "hand back\n").is(exit::SUCCESS);
    let near = grade.replace("a.jsonl", "near.jsonl");
    desk.run(&near).is(exit::BAD_INPUT).complains("SB726").complains("the --band that the kits");
    desk.run(&format!("{near} --band 25")).is(exit::NOT_YET_COMPETENT).quietly();
    // Where the machine has too few, the widest is no better, and that is told.
    let few = "assign pusher-overrun.scenario.ron --secret secret.txt --roster thirty.csv --out k";
    let few = desk.run(few).is(exit::SUCCESS).complains("there are only 4 faults");
    assert!(few.out.contains("25 % either way; no band up to 70 % holds more than its 4 faults"));
}
