//! What the command line prints when German is chosen: no word of it is only in the English catalogue.

use std::collections::BTreeSet;
use std::fs;

use spoolbench::diagnostic::{Code, one_lines_in, render_all_in};
use spoolbench::language::{Language, Words};

use super::commands::{Desk, exit};
use super::mistakes::{BROKEN, HEAD, look, mistakes};

/// Words of four letters or more in `text`, in small letters.
fn words(text: &str) -> impl Iterator<Item = String> {
    let words = text.split(|c: char| !c.is_alphabetic()).filter(|w| w.chars().count() >= 4);
    words.map(str::to_lowercase)
}

/// The catalogue of `code` without the names of its messages and gaps.
fn catalogue(code: &str) -> String {
    let path = format!("{}/assets/language/{code}.ftl", env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(path).expect("a catalogue");
    let told = text.lines().filter(|line| !line.starts_with('#')).map(|line| match line {
        line if line.starts_with(' ') => line,
        line => line.split_once(" = ").map_or("", |(_, told)| told),
    });
    let told = told.collect::<Vec<_>>().join(" ");
    // What stands in backticks is typed like that in every language.
    let told = unquoted(&told, '`');
    let plain = told.split(' ').filter(|word| !word.contains(['$', '[', '(']));
    plain.collect::<Vec<_>>().join(" ")
}

/// `text` without what stands between two of these marks.
fn unquoted(text: &str, mark: char) -> String {
    text.split(mark).step_by(2).collect::<Vec<_>>().join(" ")
}

/// A complaint without what it quotes from a file or wants to be written into one.
fn complaint(text: &str) -> String {
    let lines = text.lines().map(|line| unquoted(&unquoted(line, '`'), '"'));
    // A name with a bracket or a colon behind it is code.
    let plain = |line: String| {
        let words = line.split(' ').filter(|word| !word.contains('(') && !word.ends_with(':'));
        words.collect::<Vec<_>>().join(" ")
    };
    let text = lines.map(plain).collect::<Vec<_>>().join("\n");
    let mut pieces = text.split('„');
    let first = pieces.next().unwrap_or_default().to_owned();
    pieces
        .fold(first, |said, piece| said + " " + piece.split_once('“').map_or("", |(_, rest)| rest))
}

/// Words of the English catalogue that the German one does not have.
fn english() -> BTreeSet<String> {
    let german: BTreeSet<String> = words(&catalogue("de")).collect();
    words(&catalogue("en")).filter(|word| !german.contains(word)).collect()
}

/// The words of `printed` that are only English, but for those that `authors` wrote.
fn slips(printed: &str, authors: &str) -> BTreeSet<String> {
    let (english, theirs) = (english(), words(authors).collect::<BTreeSet<_>>());
    words(printed).filter(|word| english.contains(word) && !theirs.contains(word)).collect()
}

/// The texts in a file of a bench or a task.
fn authored(file: &str) -> String {
    file.split('"').skip(1).step_by(2).collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn german(printed: &str, authors: &str) {
    let slips = slips(printed, authors);
    assert!(slips.is_empty(), "{slips:?}\n{printed}");
}

/// The check finds what it looks for.
#[test]
fn an_english_word_is_found() {
    assert!(english().len() > 500, "{}", english().len());
    let found = slips("K1 picks up\n1V1 erreicht its centre", "Press K1");
    let wanted = ["picks", "centre"].map(str::to_owned);
    assert!(wanted.iter().all(|word| found.contains(word)), "{found:?}");
    assert!(slips("contact and pump", "a pump with a contact").is_empty());
}

#[test]
fn runs_are_told_in_german() {
    let desk = Desk::new();
    for (name, list, told) in [
        ("gripper-coil", "gripper-coil.unsafe.actions", "1A1 ist ausgefahren"),
        ("press-interlock", "press-interlock.unsafe.actions", "GEFAHR "),
        ("press-plc-relay", "press-plc-relay.good.actions", "Steuerung "),
        ("cutter-hangs", "cutter-hangs.good.actions", " fällt ab"),
        ("pusher-fuse", "pusher-fuse.good.actions", "Sicherung "),
        ("door-reopens", "door-reopens.good.actions", "Startwert "),
    ] {
        let scenario = desk.read(&format!("{name}.scenario.ron"));
        let bench = scenario.split(".bench.ron").next().and_then(|t| t.rsplit('"').next());
        let bench = desk.read(&format!("{}.bench.ron", bench.expect("a bench")));
        // What a task, a bench and whoever notes something say is theirs.
        let own = [authored(&scenario), authored(&bench), desk.read(list), name.to_owned()];
        let authors = own.join(" ");
        let line = format!("run {name}.scenario.ron --actions {list} --probe p:MP1 --every 1s");
        let done = desk.run(&format!("{line} --lang de")).is(exit::SUCCESS).quietly();
        assert!(done.out.contains(told), "{name}: {}", done.out);
        german(&done.out, &authors);
        // The same run, whatever it is told in.
        let other = desk.run(&line).is(exit::SUCCESS);
        assert_eq!(done.out.lines().count(), other.out.lines().count());
        assert_eq!(
            done.out.lines().last().and_then(|l| l.strip_prefix("Prüfsumme ")),
            other.out.lines().last().and_then(|l| l.strip_prefix("digest "))
        );
        // What the console answers to the same, and what it is worth.
        let attempt = format!("{name}.jsonl");
        let line = format!("console {name}.scenario.ron --attempt {attempt} --lang de");
        let done = desk.pipe(&line, &desk.read(list)).is(exit::SUCCESS).quietly();
        let answers: Vec<&str> = done.out.lines().filter(|l| !l.contains(" > ")).collect();
        assert!(answers.len() > 20, "{}", done.out);
        german(&answers.join("\n"), &authors);
        let done = desk.run(&format!("grade {name}.scenario.ron {attempt} --lang de"));
        let told = done.out.strip_prefix(&attempt).expect("the attempt");
        german(told, &format!("{authors} learner"));
    }
}

#[test]
fn analyses_are_told_in_german() {
    let desk = Desk::new();
    let bench = authored(&desk.read("press.bench.ron"));
    let done = desk.run("interlocks press.bench.ron --faults --out breaks --lang de");
    let done = done.is(exit::SUCCESS).quietly();
    assert!(done.out.contains("K1 (Press) zieht an; Spule K2 aus; 1V1.a ein"), "{}", done.out);
    assert!(done.out.contains("verletzt ") && done.out.contains("so ist es zu sehen: "));
    german(&done.out, &(bench + "spoolbench run bench --actions breaks/break-1.actions"));
    let [scenario, bench] = ["pusher-dead-coil.scenario.ron", "pusher.bench.ron"]
        .map(|name| authored(&desk.read(name)));
    let done = desk.run("testability pusher-dead-coil.scenario.ron --tree --lang de");
    let done = done.is(exit::SUCCESS).quietly();
    assert!(done.out.contains("freigeschaltet und verschlossen"), "{}", done.out);
    german(&done.out, &(scenario + bench.as_str()));
    let done = desk.run("check pusher.bench.ron --lang de").is(exit::SUCCESS).quietly();
    assert_eq!(done.out, "pusher.bench.ron: nichts zu beanstanden\n");
    let done = desk.run("lint pusher.bench.ron press.bench.ron --lang de");
    // The advice itself is a diagnostic.
    let heads: String = done.out.lines().filter(|l| !l.starts_with(' ')).collect();
    assert!(heads.contains("press.bench.ron: kein Rat, 2 angenommen"), "{heads}");
    german(&heads, "pusher.bench.ron press.bench.ron");
}

#[test]
fn demonstration_and_starter_are_told_in_german() {
    let desk = Desk::new();
    let files = [
        "press-interlock.scenario.ron",
        "press.bench.ron",
        "press-interlock.good.actions",
        "press-interlock.unsafe.actions",
    ];
    let authors = files.map(|name| desk.read(name)).concat() + "careful hasty digest";
    let done = desk.run("demo --out played --lang de").is(exit::SUCCESS).quietly();
    assert!(done.out.contains("!! Unter Druck geöffnet") && done.out.contains("stehen in played"));
    german(&done.out, &authors);
    let done = desk.run("new fresh --lang de").is(exit::SUCCESS).quietly();
    assert!(done.out.contains("Dort der Reihe nach ausprobieren:"), "{}", done.out);
    let commands = done.out.lines().filter(|l| l.contains("fresh/") || l.contains("spoolbench"));
    let commands: Vec<&str> = commands.collect();
    german(&done.out, &commands.join(" "));
}

#[test]
fn classes_and_batches_are_told_in_german() {
    let desk = Desk::new();
    let learners: String = (1..=9).map(|k| format!("p{k}\n")).collect();
    desk.write("roster.csv", format!("id\n{learners}"));
    desk.write("secret.txt", "a secret of this class, long enough");
    let declared = desk.read("pusher-dead-coil.scenario.ron").replace(
        "    time_limit:",
        "    variants: [Fault(part: \"1V1\", mode: \"open\"), Fault(part: \"1A1\", mode: \
         \"jammed\")],\n    time_limit:",
    );
    desk.write("declared.scenario.ron", &declared);
    for (task, told) in [
        (
            "declared",
            "Warnung SB721: die Variante 1A1 blockiert bleibt weg: ihre Suche kostet 205 s",
        ),
        ("pusher-overrun", "für 9 Lernende gibt es nur 4 Fehler"),
        ("pusher-pump-stops", ""),
    ] {
        let line = "--roster roster.csv --secret secret.txt --lang de";
        let done = desk.run(&format!("assign {task}.scenario.ron {line} --out kits-{task}"));
        let done = done.is(exit::SUCCESS).complains(told);
        assert!(done.out.contains("die Spanne ist gewählt: "), "{}", done.out);
        let authors =
            authored(&desk.read(&format!("{task}.scenario.ron"))) + " kits declared scenario key";
        german(&(done.out + done.err.as_str()), &authors);
    }
    let line =
        "assign pusher-overrun.scenario.ron --roster roster.csv --secret secret.txt --lang de";
    let done = desk.run(&format!("{line} --out odd --band 27.5")).is(exit::SUCCESS);
    assert!(
        done.out.ends_with("mit derselben Spanne bewerten: --band \"27.5 %\"\n"),
        "{}",
        done.out
    );
    let console = "console pusher-dead-coil.scenario.ron --attempt a.jsonl";
    desk.pipe(console, "hand back\n").is(exit::SUCCESS);
    fs::create_dir(desk.path("in")).expect("a folder");
    for k in 0..21 {
        fs::copy(desk.path("a.jsonl"), desk.path(&format!("in/{k}.jsonl"))).expect("a copy");
    }
    let batch = "grade pusher-dead-coil.scenario.ron in --out grades.jsonl --lang de";
    let done = desk.run(batch).is(exit::NOT_YET_COMPETENT);
    assert!(done.err.ends_with("bewertet: 21 von 21 (100 %)\n"), "{}", done.err);
    german(&(done.out + done.err.as_str()), "grades.jsonl");
}

/// What has a name in files that is the same in every language: classes, fault modes, criteria.
const IDS: &str = "Cylinder AirCylinder bypassed diode-reversed diode-shorted high-resistance \
                   never-closes open shorted-turns stuck-in to-earth welded wrong-coil symptom \
                   method part mode evidence repair hand_back efficiency";

/// Every smallest mistake, a code each, and a file full of them.
#[test]
fn mistakes_are_told_in_german() {
    let words = Words::of(Language::German);
    let mut wrong = Vec::new();
    for mistake in mistakes() {
        let files: Vec<(&str, String)> =
            mistake.files.iter().map(|(name, text)| (*name, text.replace('^', ""))).collect();
        let files: Vec<(&str, &str)> = files.iter().map(|(n, t)| (*n, t.as_str())).collect();
        let (found, sources) = look(files[0].0, &files);
        let told = one_lines_in(&found, &sources, words);
        let severity = ["Fehler", "Warnung"].iter().any(|s| told.contains(&format!(": {s} SB")));
        // What a library says, and what the system does, stays as it is.
        let library = "Expecting expecting identifier variable";
        let authors = format!("{library} {IDS}");
        let authors = files.iter().fold(authors, |all, (n, t)| format!("{all} {n} {t}"));
        let slips = slips(&complaint(&told), &authors);
        if !severity || !slips.is_empty() {
            wrong.push(format!("{slips:?} in {told}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let (found, sources) = look("broken.bench.ron", &[("broken.bench.ron", BROKEN)]);
    let drawn = render_all_in(&found, &sources, false, words);
    assert!(drawn.contains("Fehler SB105") && drawn.contains("\n  Tipp: gemeint vielleicht "));
    german(&complaint(&drawn), &format!("broken bench {BROKEN}"));
}

#[test]
fn checks_are_told_in_german() {
    let desk = Desk::new();
    desk.write("broken.bench.ron", BROKEN);
    for short in ["", " --short"] {
        let done = desk.run(&format!("check broken.bench.ron{short} --json found.json --lang de"));
        let done = done.is(exit::BAD_INPUT).complains("„20 bar“ ist ein Druck; gebraucht wird");
        assert!(done.out.starts_with("broken.bench.ron: ") && done.out.contains(" Fehler"));
        german(&complaint(&done.err), &format!("broken bench {BROKEN}"));
        // For programs it stays as it is.
        let json = desk.read("found.json");
        assert!(json.contains("\"severity\": \"error\"") && json.contains(" is a pressure; "));
    }
    let done = desk.run("check nowhere.bench.ron --lang de").is(exit::BAD_INPUT);
    done.complains("nowhere.bench.ron lässt sich nicht lesen");
    let done = desk.run("run nowhere.bench.ron --lang de").is(exit::BAD_INPUT);
    done.complains("  Tipp: den Namen prüfen; gesucht wird neben der Datei, die ihn nennt");
    let done = desk.run("run pusher.bench.ron --probe z:1 --until soon --lang de");
    let done = done.is(exit::BAD_INPUT).complains("Fehler SB802: --probe z:1: „z“ ist kein");
    german(&complaint(&done.err), "spoolbench probe until");
}

#[test]
fn advice_is_told_in_german() {
    let desk = Desk::new();
    let mut names = Vec::new();
    for entry in fs::read_dir(desk.path("")).expect("a folder").flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        names.extend(name.ends_with(".bench.ron").then_some(name));
    }
    let mut codes = BTreeSet::new();
    for name in names {
        // What is accepted is told beside what is not.
        let text = desk.read(&name).replacen("accepted: [", "accepted: [], wanted: [", 1);
        let text = text.split_once("], wanted: [").map_or(text.clone(), |(before, rest)| {
            let after = rest.split_once("\n    ],").map_or(rest, |(_, after)| after);
            format!("{before}],{after}")
        });
        desk.write("bare.bench.ron", &text);
        for file in [name.as_str(), "bare.bench.ron"] {
            let done = desk.run(&format!("lint {file} --lang de"));
            let told = format!("{}{}", done.out, done.err);
            codes.extend(told.lines().filter_map(|l| l.strip_prefix("Rat ").map(str::to_owned)));
            german(&complaint(&told), &format!("{} {text} {file}", desk.read(&name)));
        }
    }
    assert!(codes.len() > 3, "{codes:?}");
}

#[test]
fn explanations_are_told_in_german() {
    let desk = Desk::new();
    let done = desk.run("explain --lang de").is(exit::SUCCESS).quietly();
    assert!(done.out.contains("SB301  kein Teil hat dieses Kennzeichen\n"), "{}", done.out);
    german(&done.out, "");
    let words = Words::of(Language::German);
    for code in Code::all() {
        german(&complaint(&code.explanation(words)), "");
    }
    let done = desk.run("explain sb301 --lang de").is(exit::SUCCESS).quietly();
    let wanted = Code::UNKNOWN_TAG.explanation(words);
    assert_eq!(done.out, wanted + "\n");
    assert!(done.out.contains("\n\nBeispiel: ") && done.out.contains("\n\nAbhilfe: "));
    desk.run("explain SB999 --lang de").is(exit::BAD_INPUT).complains("es gibt keinen Code SB999");
}

#[test]
fn attempts_that_cannot_be_marked_are_told_of_in_german() {
    let desk = Desk::new();
    let wait = |at: u64| format!("{{\"at\":{at},\"do\":{{\"verb\":\"wait\",\"ns\":1}}}}\n");
    for (text, told) in [
        (String::new(), "SB115: die Datei ist leer"),
        (HEAD.replace(":1,", ":9,"), "SB705: das ist nicht Fassung 1 von"),
        (format!("{HEAD}{}{}", wait(9), wait(4)), "SB704: "),
        (format!("{HEAD}{}", wait(u64::MAX)), "SB706: "),
        (format!("{HEAD}{}", wait(1).replace("wait", "kick")), "SB702: `kick` ist kein Wort"),
        (HEAD.to_owned(), "SB709: der Versuch entstand an einer anderen Aufgabe"),
    ] {
        desk.write("a.jsonl", text);
        let done = desk.run("grade pusher-overrun.scenario.ron a.jsonl --lang de");
        let done = done.is(exit::BAD_INPUT).complains(told);
        german(&complaint(&done.err), "a.jsonl");
    }
    desk.write("roster.csv", "id\n=1\n17\n17\n");
    desk.write("secret.txt", "short");
    let line = "assign pusher-overrun.scenario.ron --roster roster.csv --secret secret.txt --out k";
    let done = desk.run(&format!("{line} --lang de")).is(exit::BAD_INPUT);
    let done = done.complains("SB722: die id steht schon in Zeile 3").complains("SB723: das Gehei");
    german(&complaint(&done.err), "roster.csv secret.txt head urandom base class");
}
