//! Batches of attempts: folders, files of grades, what is taken up again after a stop, and parts that
//! are joined.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use spoolbench::diagnostic::{Diagnostics, Sources};
use spoolbench::scenario::{Scenario, Shelf, Shipped, load};

use super::attempts::varied;
use super::commands::{Desk, PROGRAM, exit};

const SCENARIO: &str = "press-interlock.scenario.ron";
const VERB: &str = "grade press-interlock.scenario.ron class";

fn scenario() -> Scenario {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    load(&Shipped, SCENARIO, &mut sources, &mut found).expect("a scenario")
}

/// A desk with a folder of `count` attempts in two groups, a bad one among them.
fn class(count: u64) -> Desk {
    let desk = Desk::new();
    let scenario = scenario();
    let list = Shipped.text("press-interlock.good.actions").expect("actions");
    fs::create_dir_all(desk.path("class/early/deep")).expect("a folder");
    for k in 0..count {
        let group = if k % 3 == 0 { "early/deep" } else { "." };
        desk.write(&format!("class/{group}/{k:03}.jsonl"), varied(&scenario, &list, k));
    }
    desk.write("class/007b.jsonl", "{\"format\":1}\n");
    desk.write("class/notes.txt", "not an attempt");
    desk
}

fn records(text: &str) -> Vec<serde_json::Value> {
    text.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect()
}

#[test]
fn a_folder_is_graded_a_line_an_attempt() {
    let desk = class(24);
    let done = desk
        .run(&format!("{VERB} --out class/grades.jsonl"))
        .is(exit::BAD_INPUT)
        .complains("class/007b.jsonl:1:")
        .complains("error SB707: ")
        .complains("graded 25 of 25 (100 %)\n")
        .says("25 attempts: ")
        .says(", 1 not graded; grades are in class/grades.jsonl\n");
    assert_eq!(done.out.lines().count(), 1);
    let text = desk.read("class/grades.jsonl");
    let lines = records(&text);
    assert_eq!(lines.len(), 27);
    assert_eq!(lines[0]["format"], "spoolbench grades");
    let names: Vec<&str> = lines[1..26].iter().filter_map(|l| l["attempt"].as_str()).collect();
    assert_eq!(names.len(), 25);
    assert!(names.is_sorted(), "{names:?}");
    assert!(names.contains(&"class/early/deep/003.jsonl") && names.contains(&"class/001.jsonl"));
    // The same grades as one at a time, and the same verdicts.
    for (line, name) in lines[1..26].iter().zip(&names).step_by(6) {
        desk.run(&format!("grade {SCENARIO} {name} --json one.json"));
        let one: serde_json::Value = serde_json::from_str(&desk.read("one.json")).expect("JSON");
        assert_eq!(line["grade"], one[0]["grade"], "{name}");
        assert_eq!(line["came"], one[0]["grade"]["verdict"], "{name}");
    }
    let end = &lines[26]["end"];
    let came = |word: &str| lines[1..26].iter().filter(|l| l["came"] == word).count();
    assert_eq!(end["competent"], came("competent"));
    assert_eq!(end["not_yet_competent"], came("not-yet-competent"));
    assert!(came("competent") > 2 && came("not-yet-competent") > 2, "{end}");
    assert_eq!(end["not_graded"], 1);
    // On one thread the same bytes; the first file of grades is no attempt.
    desk.run(&format!("{VERB} --threads 1 --out again.jsonl")).is(exit::BAD_INPUT);
    assert_eq!(desk.read("again.jsonl"), text);
}

#[test]
fn grades_are_never_written_over() {
    let desk = class(2);
    desk.write("mine.jsonl", "precious");
    desk.run(&format!("{VERB} --out mine.jsonl"))
        .is(exit::BAD_INPUT)
        .complains("SB803")
        .complains("--resume");
    desk.run(&format!("{VERB} --out mine.jsonl --resume"))
        .is(exit::BAD_INPUT)
        .complains("error SB710: mine.jsonl:1: ");
    assert_eq!(desk.read("mine.jsonl"), "precious");
    desk.run(&format!("{VERB} --out no/where.jsonl")).is(exit::BAD_INPUT).complains("SB803");
    fs::create_dir(desk.path("none")).expect("a folder");
    desk.run(&format!("grade {SCENARIO} none")).is(exit::BAD_INPUT).complains("error SB115: ");
    desk.run(&format!("{VERB} --resume")).is(exit::BAD_INPUT).complains("--out");
    for part in ["0/4", "5/4", "1", "a/b", "1/0", "-1/4"] {
        desk.run(&format!("{VERB} --out x.jsonl --partition={part}"))
            .is(exit::BAD_INPUT)
            .complains("is no part of a batch");
    }
}

#[test]
fn a_killed_batch_resumes_to_the_same_bytes() {
    let desk = class(60);
    desk.run(&format!("{VERB} --out whole.jsonl"));
    let whole = desk.read("whole.jsonl");
    let grade = |more: &[&str]| {
        let mut command = Command::new(PROGRAM);
        command
            .args(["grade", SCENARIO, "class", "--out", "part.jsonl", "--threads", "1"])
            .args(more)
            .current_dir(desk.path("."))
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command.spawn().expect("it starts")
    };
    let lines = |name: &str| fs::read_to_string(desk.path(name)).map_or(0, |t| t.lines().count());
    // Stopped without notice twice: in the first run and while taking it up again.
    let mut enough = 10;
    for more in [&[][..], &["--resume"]] {
        let mut child = grade(more);
        let begun = Instant::now();
        while lines("part.jsonl") < enough && begun.elapsed() < Duration::from_secs(120) {
            std::thread::sleep(Duration::from_millis(2));
        }
        child.kill().expect("killed");
        child.wait().expect("gone");
        let reached = lines("part.jsonl");
        assert!(reached >= enough && reached < 62, "{reached} lines: stopped too late");
        enough = reached + 10;
    }
    // Without being asked to, nothing is taken over and nothing lost.
    desk.run(&format!("{VERB} --out part.jsonl")).is(exit::BAD_INPUT).complains("--resume");
    // What was graded is not graded again: a grade that no marker gives is still there afterwards.
    let forged = |text: &str| text.replacen("\"marks\":", "\"marks\":4711,\"was\":", 1);
    let kept = desk.read("part.jsonl.kept");
    desk.write("part.jsonl.kept", forged(&kept));
    fs::copy(desk.path("part.jsonl"), desk.path("second.jsonl")).expect("a copy");
    fs::copy(desk.path("part.jsonl.kept"), desk.path("second.jsonl.kept")).expect("a copy");
    desk.run(&format!("{VERB} --out part.jsonl --resume")).is(exit::BAD_INPUT);
    assert_eq!(desk.read("part.jsonl"), forged(&whole));
    assert!(!desk.path("part.jsonl.kept").exists());
    // Without the forgery it is the file of one run, byte for byte.
    desk.write("second.jsonl.kept", kept);
    desk.run(&format!("{VERB} --out second.jsonl --resume")).is(exit::BAD_INPUT);
    assert_eq!(desk.read("second.jsonl"), whole);
    // Taken up once more when it is whole, nothing changes.
    desk.run(&format!("{VERB} --out second.jsonl --resume")).is(exit::BAD_INPUT);
    assert_eq!(desk.read("second.jsonl"), whole);
}

/// Whatever is left of a file of grades, taken up again it becomes the whole one.
#[test]
fn a_file_of_grades_torn_anywhere_is_taken_up() {
    let desk = class(3);
    desk.run(&format!("{VERB} --out whole.jsonl"));
    let whole = desk.read("whole.jsonl");
    let lines: Vec<usize> = whole.match_indices('\n').map(|(at, _)| at).collect();
    let ends = [0, 1, 20, lines[0] - 1, lines[0], lines[0] + 1, lines[0] + 30];
    let more = [lines[1], lines[1] + 1, lines[2] - 1, lines[3], lines[4] + 1, whole.len() - 1];
    for end in ends.into_iter().chain(more) {
        desk.write("torn.jsonl", &whole[..end]);
        desk.run(&format!("{VERB} --out torn.jsonl --resume")).is(exit::BAD_INPUT);
        assert_eq!(desk.read("torn.jsonl"), whole, "torn at {end}");
        // And if that was stopped too, with a torn line where the first was kept.
        desk.write("torn.jsonl", &whole[..end]);
        desk.write("torn.jsonl.kept", &whole[..lines[1] + 40]);
        desk.run(&format!("{VERB} --out torn.jsonl --resume")).is(exit::BAD_INPUT);
        assert_eq!(desk.read("torn.jsonl"), whole, "torn twice, at {end}");
        fs::remove_file(desk.path("torn.jsonl")).expect("removed");
    }
}

#[test]
fn late_and_changed_attempts_are_graded_anew_and_the_others_are_not() {
    let desk = class(6);
    desk.run(&format!("{VERB} --out grades.jsonl"));
    let scenario = scenario();
    let list = Shipped.text("press-interlock.good.actions").expect("actions");
    desk.write("class/001.jsonl", varied(&scenario, &list, 90));
    desk.write("class/000late.jsonl", varied(&scenario, &list, 91));
    fs::remove_file(desk.path("class/002.jsonl")).expect("removed");
    let forged =
        desk.read("grades.jsonl").replace("\"learner\":\"learner4\"", "\"learner\":\"L4\"");
    desk.write("grades.jsonl", forged);
    desk.run(&format!("{VERB} --out grades.jsonl --resume"));
    desk.run(&format!("{VERB} --out fresh.jsonl"));
    let resumed = desk.read("grades.jsonl");
    assert!(resumed.contains("\"L4\""), "it was graded again");
    assert_eq!(resumed.replace("\"L4\"", "\"learner4\""), desk.read("fresh.jsonl"));
    assert!(resumed.contains("learner90") && resumed.contains("learner91"));
    // Another scenario takes nothing over.
    let changed = desk.read(SCENARIO).replace("a month ago", "a moon ago");
    desk.write(SCENARIO, changed);
    desk.run(&format!("{VERB} --out grades.jsonl --resume"))
        .is(exit::BAD_INPUT)
        .complains("error SB711: ");
    assert_eq!(desk.read("grades.jsonl"), resumed);
}

#[test]
fn parts_joined_are_the_whole() {
    let desk = class(13);
    desk.run(&format!("{VERB} --out whole.jsonl"));
    let whole = desk.read("whole.jsonl");
    for of in [1, 2, 3, 5, 20] {
        let mut parts = Vec::new();
        for part in 1..=of {
            let name = format!("part-{part}-of-{of}.jsonl");
            desk.run(&format!("{VERB} --out {name} --partition {part}/{of}"));
            parts.push(name);
        }
        parts.reverse();
        desk.run(&format!("merge {} --out joined-{of}.jsonl", parts.join(" ")))
            .is(exit::BAD_INPUT)
            .quietly()
            .says("14 attempts: ");
        assert_eq!(desk.read(&format!("joined-{of}.jsonl")), whole, "{of} parts");
    }
    let merge = |parts: &str| desk.run(&format!("merge {parts} --out joined.jsonl"));
    let cases = [
        ("part-1-of-3.jsonl part-3-of-3.jsonl", "SB712", "part 2 of 3 is not given"),
        ("part-1-of-3.jsonl part-2-of-3.jsonl", "SB712", "part 3 of 3 is not given"),
        ("part-1-of-2.jsonl part-1-of-2.jsonl", "SB712", "part 1 of 2 is given twice"),
        ("part-1-of-2.jsonl part-2-of-3.jsonl", "SB711", "number of parts"),
        ("part-1-of-2.jsonl class/001.jsonl", "SB710", "class/001.jsonl:1"),
        ("part-1-of-2.jsonl nobody.jsonl", "SB803", "nobody.jsonl"),
    ];
    for (parts, code, text) in cases {
        merge(parts).is(exit::BAD_INPUT).complains(code).complains(text);
        assert!(!desk.path("joined.jsonl").exists(), "{parts}");
    }
    // Stopped, from another list, or with a line taken out.
    let part = desk.read("part-2-of-2.jsonl");
    let lines: Vec<&str> = part.lines().collect();
    let stopped = lines[..4].join("\n") + "\n";
    let short = [&lines[..2], &lines[3..]].concat().join("\n") + "\n";
    let renamed = part.replacen("class/00", "class/99", 1);
    for (text, code) in [(stopped, "SB712"), (short, "SB712"), (renamed, "SB712")] {
        desk.write("bad.jsonl", text);
        merge("part-1-of-2.jsonl bad.jsonl").is(exit::BAD_INPUT).complains(code);
        assert!(!desk.path("joined.jsonl").exists());
    }
    // What is there already stays.
    desk.write("joined.jsonl", "precious");
    merge("part-1-of-2.jsonl part-2-of-2.jsonl").is(exit::BAD_INPUT).complains("SB803");
    assert_eq!(desk.read("joined.jsonl"), "precious");
}

/// A disk that is full is told of, with the file; what is on it can be taken up again.
#[cfg(unix)]
#[test]
fn a_full_disk_is_told_of() {
    if !Path::new("/dev/full").exists() {
        return;
    }
    let desk = class(2);
    let grade = format!("grade {SCENARIO} class");
    for line in [
        format!("{grade} --json /dev/full"),
        format!("{grade} --csv /dev/full"),
        format!("{grade} --junit /dev/full"),
        format!("{grade} --xapi /dev/full"),
        format!("sheet {SCENARIO} --out /dev/full"),
        "run press.bench.ron --until '1 s' --probe p:MP2 --csv /dev/full".to_owned(),
        "run press.bench.ron --until '1 s' --vcd /dev/full".to_owned(),
        "check press.bench.ron --json /dev/full".to_owned(),
        "lint press.bench.ron --json /dev/full".to_owned(),
        "testability pusher-dead-coil.scenario.ron --csv /dev/full".to_owned(),
        "interlocks press.bench.ron --json /dev/full".to_owned(),
    ] {
        desk.run(&line).is(exit::BAD_INPUT).complains("SB803").complains("/dev/full: ");
    }
    // A run goes on to its end, with all that can be written.
    let run = "run press.bench.ron --until '1 s' --probe p:MP2";
    let done = desk.run(&format!("{run} --csv /dev/full --vcd waves.vcd")).is(exit::BAD_INPUT);
    assert_eq!(done.err.matches("SB803").count(), 1, "{}", done.err);
    let whole = desk.run(&format!("{run} --csv samples.csv --vcd whole.vcd")).is(exit::SUCCESS);
    assert_eq!((done.out, desk.read("waves.vcd")), (whole.out, desk.read("whole.vcd")));
    // Of several files each is written whatever becomes of the others; grades first.
    let one = format!("grade {SCENARIO} class/early/deep/000.jsonl");
    let shown = desk.run(&format!("{one} --json g.json")).is(exit::SUCCESS);
    let bad = "--html full --csv book.csv --junit /dev/full --xapi s.json";
    for way in ["--json /dev/full", "--out g.jsonl"] {
        let done = desk.run(&format!("{one} {way} {bad}")).is(exit::BAD_INPUT);
        done.complains("/dev/full: ").complains("SB803");
        for name in ["book.csv", "s.json", "full/000.html", "full/index.html"] {
            fs::remove_file(desk.path(name)).expect(name);
        }
    }
    let done = desk.run(&format!("{one} --json /dev/full")).is(exit::BAD_INPUT);
    assert_eq!(done.out, shown.out);
    desk.run(&format!("{one} --out again.jsonl")).is(exit::SUCCESS);
    let grades = desk.read("g.jsonl");
    assert_eq!(grades, desk.read("again.jsonl"));
    // Links and the standard output are written to, and nothing else is left beside.
    desk.write("real.html", "old");
    std::os::unix::fs::symlink(desk.path("real.html"), desk.path("link.html")).expect("a link");
    desk.run(&format!("sheet {SCENARIO} --out link.html")).is(exit::SUCCESS);
    assert!(desk.path("link.html").is_symlink() && desk.read("real.html").ends_with("</html>\n"));
    desk.run(&format!("sheet {SCENARIO} --out /dev/stdout")).is(exit::SUCCESS).says("</html>\n");
    let beside = fs::read_dir(desk.path(".")).expect("the folder").flatten();
    let partial = beside.filter(|e| e.file_name().to_string_lossy().ends_with(".partial"));
    assert_eq!(partial.count(), 0);
    // A folder is no file, and a file no folder.
    desk.run(&format!("{one} --html g.jsonl"))
        .is(exit::BAD_INPUT)
        .complains("g.jsonl: it is no folder");
    assert_eq!(desk.read("g.jsonl"), grades);
    // And where the disk takes what would have been shown.
    for line in ["run press.bench.ron --until 1s", "explain", "guide"] {
        let full = fs::OpenOptions::new().write(true).open("/dev/full").expect("a device");
        let mut command = Command::new(PROGRAM);
        command.args(line.split(' ')).current_dir(desk.path(".")).stdout(full);
        let out = command.output().expect("it starts");
        let err = String::from_utf8_lossy(&out.stderr);
        assert_eq!(out.status.code(), Some(i32::from(exit::BAD_INPUT)), "{line}\n{err}");
        assert!(err.contains("SB803"), "{line}\n{err}");
    }
}
