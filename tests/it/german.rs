//! What the command line prints when German is chosen: no word of it is only in the English catalogue.

use std::collections::BTreeSet;
use std::fs;

use super::commands::{Desk, exit};

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
    let plain = told.split(' ').filter(|word| !word.contains(['$', '[', '(']));
    plain.collect::<Vec<_>>().join(" ")
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
