//! Attempts as hostile as anybody hands them in, disks that are full, and journals cut anywhere.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use spoolbench::diagnostic::{Diagnostics, Sources};
use spoolbench::grade::Marker;
use spoolbench::scenario::{Scenario, Shipped, load, play};
use spoolbench::session::read_journal;

use super::commands::{Desk, PROGRAM, exit};

const SCENARIO: &str = "pusher-dead-coil.scenario.ron";

fn scenario() -> Scenario {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    load(&Shipped, SCENARIO, &mut sources, &mut found).expect("a scenario")
}

/// A short sound attempt.
fn attempt() -> String {
    let list = "press S4\nwait 2 s\nnote é\nvolts K1:A1 K1:A2\nlook 1A1\nhand back\n";
    let bytes = play(&scenario(), "l", list, &mut |_, _, _| Ok(())).expect("an attempt");
    String::from_utf8(bytes).expect("text")
}

#[test]
fn every_hostile_attempt_is_refused_with_a_reason_in_bounded_memory() {
    let desk = Desk::new();
    let good = attempt();
    let (head, rest) = good.split_once('\n').expect("a head");
    let after = |text: &str| format!("{head}\n{text}\n").into_bytes();
    let action = |at: u64| format!("{{\"at\":{at},\"do\":{{\"verb\":\"look\",\"part\":\"1A1\"}}}}");
    let million = "{\"at\":0,\"do\":{\"verb\":\"prove\"}}\n".repeat(1_000_000);
    let long = "x".repeat(3_000);
    let note = format!("{{\"at\":0,\"do\":{{\"verb\":\"note\",\"text\":\"{long}\"}}}}");
    let suspects = "\"K1\",".repeat(1200);
    let suspects = suspects.trim_end_matches(',');
    let cases: Vec<(&str, &str, Vec<u8>)> = vec![
        ("empty", "SB115", Vec::new()),
        ("future", "SB706", after(&action(9_000_000_000_000_000_000))),
        ("beyond", "SB701", after("{\"at\":99999999999999999999999,\"do\":{\"verb\":\"prove\"}}")),
        ("past", "SB701", after("{\"at\":-5,\"do\":{\"verb\":\"prove\"}}")),
        ("fraction", "SB701", after("{\"at\":1.5,\"do\":{\"verb\":\"prove\"}}")),
        ("back", "SB704", after(&format!("{}\n{}", action(7_000), action(6_000)))),
        ("million", "SB706", after(&million)),
        ("nobody", "SB708", after(&action(0).replace("1A1", "9A9"))),
        ("overlap", "SB708", after(&format!("{}\n{}", action(0), action(1)))),
        ("digest", "SB709", good.replacen("\"scenario\":\"", "\"scenario\":\"f00", 1).into_bytes()),
        ("twice", "SB107", after(&action(0).replace("{\"at\"", "{\"at\":0,\"at\""))),
        ("deep", "SB701", after(&"[".repeat(15_000))),
        ("deeper", "SB701", after(&format!("{{\"at\":0,\"do\":{}", "{\"do\":".repeat(2_000)))),
        ("line", "SB706", after(&"x".repeat(20_000_000))),
        ("bomb", "SB102", vec![b'\n'; 33 << 20]),
        ("blank", "SB701", after(&"\n".repeat(1_000_000))),
        ("latin", "SB103", [head.as_bytes(), b"\n\xe9\xff\n"].concat()),
        ("nul", "SB701", after("\u{0}\u{0}\u{0}")),
        ("zeros", "SB706", vec![0; 1 << 20]),
        ("note", "SB708", after(&note)),
        (
            "many",
            "SB708",
            after(&format!("{{\"at\":0,\"do\":{{\"verb\":\"suspect\",\"parts\":[{suspects}]}}}}")),
        ),
        ("extra", "SB105", after(&action(0).replace("\"do\"", "\"grade\":100,\"do\""))),
        ("claims", "SB707", good.replacen("\"seed\"", "\"marks\":100,\"seed\"", 1).into_bytes()),
        ("two", "SB105", format!("{head}\n{head}\n{rest}").into_bytes()),
    ];
    fs::create_dir(desk.path("in")).expect("a folder");
    for (name, _, bytes) in &cases {
        desk.write(&format!("in/{name}.jsonl"), bytes);
    }
    desk.write("in/good.jsonl", &good);
    // All in one batch, with an end to time and memory that is far above what it needs.
    let line = format!("ulimit -v 2000000; exec '{PROGRAM}' grade {SCENARIO} in --out g.jsonl");
    let out = Command::new("timeout")
        .args(["300", "sh", "-c", &line])
        .current_dir(desk.path("."))
        .output()
        .expect("a shell");
    let err = String::from_utf8_lossy(&out.stderr);
    assert_eq!(out.status.code(), Some(i32::from(exit::BAD_INPUT)), "{err}");
    for (name, code, _) in &cases {
        let said = err.lines().find(|l| l.starts_with(&format!("in/{name}.jsonl")));
        let said = said.unwrap_or_else(|| panic!("nothing is said of {name}\n{err}"));
        assert!(said.contains(&format!(": error {code}: ")), "{code} is wanted\n{said}");
        assert!(said.len() < 500, "{said}");
    }
    let grades = desk.read("g.jsonl");
    assert!(grades.contains("\"not_graded\":24") && grades.contains("\"not_yet_competent\":1,"));
}

/// Cut at every byte, an attempt is read with all its whole lines and graded, or its head is missed.
#[test]
fn a_journal_cut_at_every_byte_keeps_all_its_whole_lines() {
    let (scenario, text) = (scenario(), attempt());
    let config = scenario.config();
    let marker = Marker::new(&scenario, Some(super::shared::folder()));
    let head = text.find('\n').expect("a head");
    for cut in 0..=text.len() {
        let bytes = &text.as_bytes()[..cut];
        let whole = bytes.iter().filter(|b| **b == b'\n').count();
        match read_journal(bytes, &config) {
            Ok(read) => {
                assert!(cut >= head, "cut at {cut}");
                let lines = read.entries.len() + 1;
                // A last line that is all there lacks only its line feed.
                assert!(lines == whole || lines == whole + 1, "cut at {cut}: {lines} of {whole}");
                if cut % 7 == 0 {
                    marker.grade(bytes).expect("a grade");
                }
            }
            Err(problems) => {
                assert!(cut < head && problems.len() == 1, "cut at {cut}: {problems:?}");
            }
        }
    }
}

#[test]
fn a_stopped_practice_is_taken_up_where_it_was() {
    let desk = Desk::new();
    let console = format!("console {SCENARIO} --attempt");
    let (first, second) = ("press S4\nwait 2 s\npress S1\n", "wait 3 s\nlook 1A1\nhand back\n");
    desk.pipe(&format!("{console} whole.jsonl"), &format!("{first}{second}")).is(exit::SUCCESS);
    let whole = desk.read("whole.jsonl");
    desk.pipe(&format!("{console} part.jsonl"), first).is(exit::SUCCESS);
    let part = desk.read("part.jsonl");
    let last = part.trim_end().rfind('\n').expect("lines") + 1;
    for cut in [part.len(), part.len() - 1, part.len() - 5, last + 3, last + 1] {
        desk.write("cut.jsonl", &part[..cut]);
        // At most the last action is lost, and is done again.
        let again = if cut + 1 >= part.len() { "" } else { "press S1\n" };
        let left = 3 - usize::from(!again.is_empty());
        desk.pipe(&format!("{console} cut.jsonl --resume"), &format!("{again}{second}"))
            .is(exit::SUCCESS)
            .quietly()
            .says(&format!("{left} actions are taken up"));
        assert_eq!(desk.read("cut.jsonl"), whole, "cut at {cut}");
    }
    // An ended attempt stays as it is; one of another scenario, or none, is refused.
    desk.pipe(&format!("{console} whole.jsonl --resume"), "press S1\n").is(exit::SUCCESS);
    assert_eq!(desk.read("whole.jsonl"), whole);
    desk.pipe("console pusher-fuse.scenario.ron --attempt part.jsonl --resume", "press S1\n")
        .is(exit::BAD_INPUT)
        .complains("error SB709: ");
    assert_eq!(desk.read("part.jsonl"), part);
    desk.pipe(&format!("{console} none.jsonl --resume"), "").is(exit::BAD_INPUT).complains("SB101");
    desk.write("bad.jsonl", "nonsense\n");
    desk.pipe(&format!("{console} bad.jsonl --resume"), "")
        .is(exit::BAD_INPUT)
        .complains("bad.jsonl:1:")
        .complains("error SB701: ");
}

/// A small disk of its own, taken away at the end.
struct SmallDisk(PathBuf);

impl SmallDisk {
    /// `None` where this user may not mount one.
    fn new(folder: &Path, size: &str) -> Option<Self> {
        fs::create_dir(folder).ok()?;
        let size = format!("size={size}");
        let done = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &size, "tmpfs"])
            .arg(folder)
            .output()
            .ok()?;
        done.status.success().then(|| SmallDisk(folder.to_owned()))
    }

    fn grow(&self, size: &str) {
        let size = format!("remount,size={size}");
        let done = Command::new("mount").args(["-o", &size]).arg(&self.0).output();
        assert!(done.expect("mount").status.success());
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).output();
    }
}

/// A file may not grow: the same end as a full disk, and anybody may set it.
#[test]
fn a_file_that_may_not_grow_loses_nothing_that_was_written() {
    let desk = Desk::new();
    let limited = |verb: &str, input: &str| {
        let line = format!("trap '' XFSZ; ulimit -f 64; exec '{PROGRAM}' {verb}");
        let out = assert_cmd::Command::new("sh")
            .args(["-c", &line])
            .current_dir(desk.path("."))
            .write_stdin(input)
            .output()
            .expect("a shell");
        let err = String::from_utf8_lossy(&out.stderr).into_owned();
        assert_eq!(out.status.code(), Some(i32::from(exit::BAD_INPUT)), "{err}");
        assert!(err.contains("SB803"), "{err}");
    };
    let many = format!("note {}\n", "x".repeat(1_500)).repeat(80);
    limited(&format!("console {SCENARIO} --attempt a.jsonl"), &many);
    let kept = fs::read(desk.path("a.jsonl")).expect("an attempt");
    let read = read_journal(&kept, &scenario().config()).expect("it can be read");
    assert!((15..80).contains(&read.entries.len()), "{} actions", read.entries.len());
    desk.pipe(&format!("console {SCENARIO} --attempt a.jsonl --resume"), "hand back\n")
        .is(exit::SUCCESS);
    let read = fs::read(desk.path("a.jsonl")).expect("an attempt");
    assert_eq!(&read[..16_384], &kept[..16_384]);
    // What an earlier run wrote stays until all of the new is there.
    let (page, book) = ("old page\n", "old book\n");
    fs::create_dir(desk.path("pages")).expect("a folder");
    desk.write("pages/a.html", page);
    desk.write("book.csv", book);
    desk.write("waves.vcd", "old waves\n");
    desk.write("sheet.html", "old sheet\n");
    limited(&format!("grade {SCENARIO} a.jsonl --html pages --csv book.csv"), "");
    assert_eq!(desk.read("pages/a.html"), page);
    assert!(desk.read("book.csv") != book, "what fits is written");
    let run = "run press-interlock.scenario.ron --actions press-interlock.good.actions";
    limited(&format!("{run} --vcd waves.vcd"), "");
    assert_eq!(desk.read("waves.vcd"), "old waves\n");
    limited(&format!("sheet {SCENARIO} --out sheet.html"), "");
    assert_eq!(desk.read("sheet.html"), "old sheet\n");
    let left = fs::read_dir(desk.path(".")).expect("the folder").flatten();
    let left: Vec<_> =
        left.filter(|e| e.path().extension().is_some_and(|x| x == "partial")).collect();
    assert!(left.is_empty(), "{left:?}");
    // Grades: the batch stops with a reason, and goes on where it was.
    fs::create_dir(desk.path("in")).expect("a folder");
    for k in 0..40 {
        desk.write(&format!("in/{k:02}.jsonl"), attempt());
    }
    let batch = format!("grade {SCENARIO} in --out");
    desk.run(&format!("{batch} whole.jsonl")).is(exit::NOT_YET_COMPETENT);
    limited(&format!("{batch} g.jsonl"), "");
    let lines = desk.read("g.jsonl").lines().count();
    assert!((2..40).contains(&lines), "{lines} lines");
    desk.run(&format!("{batch} g.jsonl --resume")).is(exit::NOT_YET_COMPETENT);
    assert_eq!(desk.read("g.jsonl"), desk.read("whole.jsonl"));
}

#[test]
fn a_full_disk_loses_nothing_that_was_written() {
    let desk = Desk::new();
    let Some(disk) = SmallDisk::new(&desk.path("disk"), "64k") else {
        // Nobody but root may make a disk; the test above does what anybody may.
        desk.run("demo --out /dev/full").is(exit::BAD_INPUT).complains("SB803");
        return;
    };
    // An attempt: what was done before the disk was full is there, and can be taken up.
    let text = format!("note {}\n", "x".repeat(1_500));
    let many = text.repeat(80);
    let console = format!("console {SCENARIO} --attempt disk/a.jsonl");
    desk.pipe(&console, &many).is(exit::BAD_INPUT).complains("SB803").complains("disk/a.jsonl");
    let kept = fs::read(desk.path("disk/a.jsonl")).expect("an attempt");
    let read = read_journal(&kept, &scenario().config()).expect("it can be read");
    assert!((30..80).contains(&read.entries.len()), "{} actions", read.entries.len());
    disk.grow("4m");
    desk.pipe(&format!("{console} --resume"), "hand back\n").is(exit::SUCCESS);
    let done = desk.run(&format!("grade {SCENARIO} disk/a.jsonl")).is(exit::NOT_YET_COMPETENT);
    assert!(done.out.contains("handed back"), "{}", done.out);
    // Grades: the batch stops with a reason, and goes on where it was.
    fs::create_dir(desk.path("in")).expect("a folder");
    for k in 0..40 {
        desk.write(&format!("in/{k:02}.jsonl"), attempt());
    }
    desk.run(&format!("grade {SCENARIO} in --out whole.jsonl")).is(exit::NOT_YET_COMPETENT);
    fs::remove_file(desk.path("disk/a.jsonl")).expect("removed");
    disk.grow("32k");
    let batch = format!("grade {SCENARIO} in --out disk/g.jsonl");
    desk.run(&batch).is(exit::BAD_INPUT).complains("SB803").complains("disk/g.jsonl");
    let lines = desk.read("disk/g.jsonl").lines().count();
    assert!((2..40).contains(&lines), "{lines} lines");
    disk.grow("4m");
    desk.run(&format!("{batch} --resume")).is(exit::NOT_YET_COMPETENT);
    assert_eq!(desk.read("disk/g.jsonl"), desk.read("whole.jsonl"));
}
