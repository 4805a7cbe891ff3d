//! Every verb as a user calls it: exit codes, messages with their places, files written.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command as Plain, Stdio};

use assert_cmd::Command;
use tempfile::TempDir;

/// The program under test.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_spoolbench");

/// What the exit codes are documented to be.
pub mod exit {
    pub use spoolbench::cli::exit::{
        BAD_INPUT, INTERNAL, NO_WINDOW, NOT_YET_COMPETENT, SCRIPT_FAULT, SUCCESS, TABLE,
    };
}

/// A folder with the shipped files.
pub struct Desk(TempDir);

/// What came of a command.
pub struct Done {
    pub code: u8,
    pub out: String,
    pub err: String,
}

impl Desk {
    pub fn new() -> Self {
        let desk = Desk(tempfile::tempdir().expect("a folder"));
        let shipped = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
        for entry in fs::read_dir(shipped).expect("scenarios").flatten() {
            fs::copy(entry.path(), desk.path(&entry.file_name().to_string_lossy()))
                .expect("a copy");
        }
        desk
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        fs::write(self.path(name), text).expect("written");
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).expect("a file")
    }

    pub fn run(&self, line: &str) -> Done {
        self.pipe(line, "")
    }

    /// Runs the program with these words as arguments; a text in single quotes is one word.
    pub fn pipe(&self, line: &str, input: &str) -> Done {
        let words = line.split('\'').enumerate().flat_map(|(k, piece)| {
            let whole = k % 2 == 1;
            let words: Vec<&str> =
                if whole { vec![piece] } else { piece.split_whitespace().collect() };
            words
        });
        let out = Command::new(PROGRAM)
            .args(words)
            .current_dir(self.0.path())
            .env("XDG_CACHE_HOME", super::shared::folder())
            .write_stdin(input)
            .output()
            .expect("it starts");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        let code = out.status.code().and_then(|code| u8::try_from(code).ok());
        let (out_text, err) = (text(&out.stdout), text(&out.stderr));
        assert!(!err.contains("panicked"), "{line}\n{err}");
        Done { code: code.expect("an exit code"), out: out_text, err }
    }

    /// A good attempt at the press.
    pub fn good(&self) -> Vec<u8> {
        assert_eq!(self.run("demo --out played").code, exit::SUCCESS);
        fs::read(self.path("played/careful.attempt.jsonl")).expect("an attempt")
    }
}

impl Done {
    pub fn is(self, code: u8) -> Self {
        assert_eq!(self.code, code, "{}\n{}", self.out, self.err);
        self
    }

    pub fn says(self, text: &str) -> Self {
        assert!(self.out.contains(text), "no {text:?} in\n{}", self.out);
        self
    }

    pub fn complains(self, text: &str) -> Self {
        assert!(self.err.contains(text), "no {text:?} in\n{}", self.err);
        self
    }

    pub fn quietly(self) -> Self {
        assert_eq!(self.err, "");
        self
    }
}

/// What an action list still holds at the end of the run is left undone; samples stop there too.
#[test]
fn a_run_ends_at_its_limit_whatever_is_still_to_do() {
    let desk = Desk::new();
    desk.write("late.actions", "1 s: press S1\n9 s: press S2\n");
    let done = desk.run(
        "run press.bench.ron --actions late.actions --until '2 s' --probe p:MP2 --every '100 ms' --csv out.csv",
    );
    assert_eq!(done.code, exit::SUCCESS, "{}{}", done.out, done.err);
    assert!(done.out.contains("press S1") && !done.out.contains("press S2"), "{}", done.out);
    let table = desk.read("out.csv");
    let times: Vec<&str> = table.lines().filter_map(|line| line.split(',').next()).collect();
    // Eleven to the push, which takes the rest of the time, and one at its end.
    assert_eq!((times.len(), times.last()), (1 + 12, Some(&"2.000000")), "{table}");
}

#[test]
fn the_table_of_exit_codes_is_the_documented_one() {
    let codes: Vec<u8> = exit::TABLE.iter().map(|(code, _)| *code).collect();
    assert_eq!(codes, [0, 1, 2, 3, 4, 5]);
    let readme = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md"));
    let readme = readme.expect("README.md").replace('\n', " ");
    assert!(readme.contains(
        "0 success, 1 a learner is not yet competent or a bench has advice, 2 unusable input, 3 a fault \
         script failed, 4 the physics"
    ));
}

#[test]
fn help_names_every_verb_and_nonsense_is_bad_input() {
    let desk = Desk::new();
    let help = desk.run("--help").is(exit::SUCCESS).quietly();
    let verbs = [
        "new",
        "check",
        "run",
        "console",
        "practise",
        "grade",
        "assign",
        "merge",
        "demo",
        "testability",
        "interlocks",
        "guide",
        "explain",
    ];
    for verb in verbs {
        assert!(help.out.contains(&format!("\n  {verb} ")), "{verb}\n{}", help.out);
        desk.run(&format!("{verb} --help")).is(exit::SUCCESS).says("Usage:");
    }
    desk.run("juggle").is(exit::BAD_INPUT).complains("juggle");
    desk.run("").is(exit::BAD_INPUT).complains("Usage");
    desk.run("run pusher.bench.ron --seed many").is(exit::BAD_INPUT).complains("many");
}

#[test]
fn check_reports_every_file_with_its_places() {
    let desk = Desk::new();
    desk.run("check pusher.bench.ron press-interlock.scenario.ron")
        .is(exit::SUCCESS)
        .quietly()
        .says("pusher.bench.ron: no problems\npress-interlock.scenario.ron: no problems\n");
    let broken = desk
        .read("pusher.bench.ron")
        .replace("bore: \"50 mm\"", "bore: \"50 bar\"")
        .replace("F1:2\", to: \"G1:-\", path: \"KM:23", "F9:2\", to: \"G1:-\", path: \"KM:23");
    desk.write("broken.bench.ron", &broken);
    let place = |text: &str| {
        let at = broken.find(text).expect("it is there");
        let line = broken[..at].matches('\n').count() + 1;
        let column = at - broken[..at].rfind('\n').expect("a line") - 1 + 1;
        format!("broken.bench.ron:{line}:{column}: ")
    };
    let done = desk.run("check --short broken.bench.ron pusher.bench.ron").is(exit::BAD_INPUT);
    let lines: Vec<&str> = done.err.lines().collect();
    assert_eq!(lines.len(), 2, "{}", done.err);
    assert!(lines[0].starts_with(&(place("\"50 bar\"") + "error SB202: ")), "{}", done.err);
    assert!(lines[1].starts_with(&(place("\"F9:2\"") + "error SB301: ")), "{}", done.err);
    done.says("broken.bench.ron: 2 errors\npusher.bench.ron: no problems\n");
    // The drawn form has the line itself.
    desk.run("check broken.bench.ron")
        .is(exit::BAD_INPUT)
        .complains("\"F9:2\"")
        .complains("did you mean F1?");
}

#[test]
fn check_writes_json() {
    let desk = Desk::new();
    desk.write("broken.bench.ron", "Bench(format: 1,\n parts: { \"K1\": Realy() })\n");
    desk.run("check --json found.json pusher.bench.ron broken.bench.ron").is(exit::BAD_INPUT);
    let json: serde_json::Value = serde_json::from_str(&desk.read("found.json")).expect("json");
    assert_eq!(json[0]["problems"], serde_json::json!([]));
    let problem = &json[1]["problems"][0];
    assert_eq!(problem["code"], "SB111");
    assert_eq!(problem["severity"], "error");
    assert_eq!((&problem["line"], &problem["column"]), (&2.into(), &17.into()));
    assert!(problem["help"].as_str().is_some_and(|help| help.contains("Relay")));
    desk.run("check --json no/such/folder.json pusher.bench.ron")
        .is(exit::BAD_INPUT)
        .complains("SB803")
        .complains("no/such/folder.json");
}

#[test]
fn files_that_are_no_files() {
    let desk = Desk::new();
    fs::create_dir(desk.path("folder.ron")).expect("a folder");
    desk.write("latin.bench.ron", b"Bench(\n  name: \"20 \xb0C\")".as_slice());
    desk.write("empty.bench.ron", "");
    desk.write("blank.bench.ron", " // nothing\n");
    desk.write("large.bench.ron", vec![b' '; 5 << 20]);
    desk.write("large.rhai", vec![b' '; 5 << 20]);
    let cases = [
        ("nobody.bench.ron", "SB101", "check the name"),
        ("nobody.rhai", "SB101", "check the name"),
        ("folder.ron", "SB101", "it is a folder"),
        ("latin.bench.ron", "SB103", "line 2, column 13"),
        ("empty.bench.ron", "SB115", "holds no value"),
        ("blank.bench.ron", "SB115", "holds no value"),
        ("large.bench.ron", "SB102", "larger than 4 MiB"),
        ("large.rhai", "SB102", "larger than 4 MiB"),
    ];
    for (file, code, text) in cases {
        let done = desk.run(&format!("check --short {file}")).is(exit::BAD_INPUT);
        assert!(done.err.starts_with(&format!("{file}: error {code}: ")), "{}", done.err);
        done.complains(text);
        if file.ends_with(".ron") {
            desk.run(&format!("run {file}")).is(exit::BAD_INPUT).complains(code);
            desk.run(&format!("console {file}")).is(exit::BAD_INPUT).complains(code);
            desk.run(&format!("grade {file} x.jsonl")).is(exit::BAD_INPUT).complains(code);
            desk.run(&format!("interlocks {file}")).is(exit::BAD_INPUT).complains(code);
        }
    }
    // Nothing was written for what could not be begun.
    let attempts = fs::read_dir(desk.0.path()).expect("the folder").flatten();
    let attempts = attempts.filter(|e| e.path().extension().is_some_and(|e| e == "jsonl"));
    assert_eq!(attempts.count(), 0);
}

/// The place of a problem can be opened as it stands, by people and by editors.
#[test]
fn problems_name_files_with_their_folder() {
    let desk = Desk::new();
    fs::create_dir_all(desk.path("class/week-3")).expect("a folder");
    desk.write("class/week-3/bad.bench.ron", "Bench(format: 1, parts: { \"K1\": Rlay() })");
    let path = Path::new("class").join("week-3").join("bad.bench.ron");
    let place = format!("{}:1:33", path.display());
    for verb in ["check", "check --short", "run", "lint", "testability", "console"] {
        let done = desk.run(&format!("{verb} {}", path.display())).is(exit::BAD_INPUT);
        done.complains(&place);
    }
    desk.run(&format!("check {} --json found.json", path.display())).is(exit::BAD_INPUT);
    let found: serde_json::Value = serde_json::from_str(&desk.read("found.json")).expect("JSON");
    assert_eq!(found[0]["problems"][0]["place"]["file"], path.display().to_string());
    assert_eq!(found[0]["problems"][0]["column"], 33);
}

#[test]
fn run_records_samples_with_units() {
    let desk = Desk::new();
    desk.write("push.actions", "press S4\nwait 2 s\npress S1\n");
    let done = desk
        .run(
            "run pusher.bench.ron --actions push.actions --until '10 s' --every '100 ms' \
             --probe p:MP1 --probe s:1A1 --probe U:K1:A1 --csv out.csv",
        )
        .is(exit::SUCCESS)
        .quietly()
        .says("Kiln-car pusher, seed 1\n")
        .says("1A1 is extended");
    assert!(done.out.lines().last().is_some_and(|line| line.starts_with("digest ")));
    let csv = desk.read("out.csv");
    let mut lines = csv.lines();
    assert_eq!(lines.next(), Some("t [s],p:MP1 [bar],s:1A1 [mm],U:K1:A1 [V]"));
    let rows: Vec<Vec<f64>> = lines
        .map(|line| line.split(',').map(|cell| cell.parse().expect("a number")).collect())
        .collect();
    // Samples at 0, 0.1 ... 10 s, but none within a press, which takes a second.
    assert_eq!(rows.len(), 82);
    assert!(rows.windows(2).all(|pair| pair[0][0] < pair[1][0]));
    assert_eq!(rows.last().map(|row| row[0]), Some(10.0));
    let most = |k: usize| rows.iter().map(|row| row[k]).fold(0.0, f64::max);
    assert!((60.0..80.0).contains(&most(1)), "{} bar", most(1));
    assert!((399.0..400.5).contains(&most(2)), "{} mm", most(2));
    assert!((23.0..24.1).contains(&most(3)), "{} V", most(3));
    desk.run("run pusher.bench.ron --until '1 s' --every '100 ms' --probe p:MP1 --csv idle.csv")
        .is(exit::SUCCESS);
    assert_eq!(desk.read("idle.csv").lines().count(), 12);
    // Without a file the samples are part of the timeline.
    desk.run("run pusher.bench.ron --until '1 s' --every '500 ms' --probe p:MP1")
        .is(exit::SUCCESS)
        .says("p:MP1 0 bar");
}

#[test]
fn run_says_what_is_wrong_with_its_arguments_all_at_once() {
    let desk = Desk::new();
    let done = desk
        .run(
            "run pusher.bench.ron --until soon --every '5 bar' --probe p:MP9 --probe nonsense \
             --probe s:1A1",
        )
        .is(exit::BAD_INPUT)
        .complains("error SB805: --until: \"soon\"")
        .complains("error SB805: --every: \"5 bar\"")
        .complains("error SB802: --probe p:MP9: ")
        .complains("the test points are: MP1, MP2, MP3")
        .complains("error SB802: --probe nonsense: ");
    assert_eq!(done.out, "");
    assert_eq!(done.err.lines().count(), 4, "{}", done.err);
    desk.run("run pusher.bench.ron --every '0 s'").is(exit::BAD_INPUT).complains("SB805");
    desk.run("run pusher.bench.ron --probe p:MP1 --csv no/where.csv")
        .is(exit::BAD_INPUT)
        .complains("SB803")
        .complains("no/where.csv");
}

#[test]
fn run_says_which_line_of_an_action_list_is_wrong() {
    let desk = Desk::new();
    desk.write("bad.actions", "press S4\n  2 s: pres S1\nwait 3\nlook\n");
    desk.run("run pusher.bench.ron --actions bad.actions")
        .is(exit::BAD_INPUT)
        .complains("bad.actions:2:8: error SB702: ")
        .complains("bad.actions:3:6: error SB702: ")
        .complains("bad.actions:4:");
    // A line that is well said, of a part that is not there.
    desk.write("other.actions", "press S4\n\npress S77\n");
    desk.run("run pusher.bench.ron --actions other.actions")
        .is(exit::BAD_INPUT)
        .complains("other.actions:3:1: error SB708: there is no part \"S77\"");
    desk.write("latin.actions", b"note \xb0C\n".as_slice());
    desk.run("run pusher.bench.ron --actions latin.actions")
        .is(exit::BAD_INPUT)
        .complains("latin.actions: error SB103: ");
    desk.run("run pusher.bench.ron --actions nobody").is(exit::BAD_INPUT).complains("SB101");
    desk.write("torn.jsonl", "{\"format\":1}\n");
    desk.run("run pusher.bench.ron --actions torn.jsonl")
        .is(exit::BAD_INPUT)
        .complains("torn.jsonl:1:")
        .complains("error SB707: ");
}

#[test]
fn an_attempt_can_be_run_again() {
    let desk = Desk::new();
    desk.good();
    let done = desk
        .run("run press-interlock.scenario.ron --actions played/careful.attempt.jsonl")
        .is(exit::SUCCESS)
        .says("> hand back")
        .says("1A1 is extended");
    let digest = done.out.lines().last().expect("a digest").to_owned();
    assert!(
        desk.run("demo")
            .is(exit::SUCCESS)
            .out
            .contains(&digest.replace("digest ", "digest careful "))
    );
}

#[test]
fn a_console_in_a_pipe_writes_an_attempt() {
    let desk = Desk::new();
    let words = "press S4\n\n# a comment\nfly away\nhelp\nvolts G1:L G1:N # meter\npress S77\nquit\npress S3\n";
    let done = desk
        .pipe("console press-interlock.scenario.ron --learner p17", words)
        .is(exit::SUCCESS)
        .quietly()
        .says("Clay press: the coil that keeps burning")
        .says("  ? ")
        .says("press-interlock.1.attempt.jsonl");
    assert!(done.out.contains("0:00.000 > press S4\n"), "{}", done.out);
    let attempt = desk.read("press-interlock.1.attempt.jsonl");
    let lines: Vec<serde_json::Value> =
        attempt.lines().map(|line| serde_json::from_str(line).expect("json")).collect();
    assert_eq!(lines[0]["learner"], "p17");
    assert_eq!(lines[0]["seed"], 7);
    // What was refused is not in it, nor what stands behind the end.
    let verbs: Vec<_> = lines[1..].iter().map(|line| line["do"]["verb"].as_str()).collect();
    assert_eq!(verbs, [Some("press"), Some("volts")]);
    // The next free name, and never an existing one.
    desk.pipe("console press-interlock.scenario.ron", "quit\n")
        .is(exit::SUCCESS)
        .says("press-interlock.2.attempt.jsonl");
    desk.pipe(
        "console press-interlock.scenario.ron --attempt press-interlock.1.attempt.jsonl",
        "press S3\n",
    )
    .is(exit::BAD_INPUT)
    .complains("SB803")
    .complains("press-interlock.1.attempt.jsonl");
    assert_eq!(desk.read("press-interlock.1.attempt.jsonl"), attempt, "written over");
    // A line without an end, and one without end.
    desk.pipe("console press-interlock.scenario.ron", "look 1A1").is(exit::SUCCESS).says("the rod");
    desk.pipe("console press-interlock.scenario.ron", &"x".repeat(100_000))
        .is(exit::SUCCESS)
        .says("  ? ");
}

#[test]
fn a_console_that_is_killed_loses_at_most_its_last_action() {
    let desk = Desk::new();
    let mut child = Plain::new(PROGRAM)
        .args(["console", "press-interlock.scenario.ron", "--attempt", "mine.jsonl"])
        .current_dir(desk.0.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut words = child.stdin.take().expect("its input");
    let mut answers = BufReader::new(child.stdout.take().expect("its output")).lines();
    let done = ["look 1A1", "look 1V1", "look H1", "press S4", "look H1"];
    for line in done {
        writeln!(words, "{line}").expect("written");
        // The echo of the next line comes after this one is on disk; wait for this one's echo.
        let echo =
            answers.by_ref().map(|line| line.expect("text")).find(|text| text.ends_with(line));
        assert!(echo.is_some());
    }
    // Whatever the program is doing now, it is stopped without notice.
    child.kill().expect("killed");
    child.wait().expect("gone");
    let attempt = desk.read("mine.jsonl");
    let kept = attempt.lines().count() - 1;
    assert!(kept >= done.len() - 1, "{kept} of {} are kept\n{attempt}", done.len());
    // Torn in the middle of its last line it is still an attempt, with one action less.
    let torn = &attempt.as_bytes()[..attempt.trim_end().len() - 3];
    desk.write("torn.jsonl", torn);
    desk.run("grade press-interlock.scenario.ron mine.jsonl torn.jsonl --json g.json")
        .is(exit::NOT_YET_COMPETENT)
        .quietly();
    let json: serde_json::Value = serde_json::from_str(&desk.read("g.json")).expect("json");
    assert_eq!(json[0]["grade"]["verdict"], json[1]["grade"]["verdict"]);
    assert_ne!(json[0]["grade"]["digest"], serde_json::Value::Null);
}

#[test]
fn grade_goes_on_after_a_bad_file() {
    let desk = Desk::new();
    let good = desk.good();
    desk.write("good.jsonl", &good);
    let text = String::from_utf8(good).expect("text");
    desk.write("other.jsonl", text.replacen("\"scenario\":\"", "\"scenario\":\"0", 1));
    let mut lines: Vec<&str> = text.lines().collect();
    lines.swap(3, 9);
    desk.write("mixed.jsonl", lines.join("\n") + "\n");
    desk.write("verb.jsonl", text.replacen("\"verb\":\"look\"", "\"verb\":\"kick\"", 1));
    let done = desk
        .run(
            "grade press-interlock.scenario.ron nobody.jsonl other.jsonl mixed.jsonl verb.jsonl \
             good.jsonl --json grades.json",
        )
        .is(exit::BAD_INPUT)
        .complains("nobody.jsonl: error SB101: ")
        .complains("other.jsonl: error SB709: ")
        .complains("mixed.jsonl:5:1: error SB704: ")
        .complains("verb.jsonl:2:")
        .complains("error SB702: ")
        .says("good.jsonl\n")
        .says("COMPETENT");
    assert!(!done.out.contains("NOT YET"));
    let json: serde_json::Value = serde_json::from_str(&desk.read("grades.json")).expect("json");
    let graded: Vec<bool> = (0..5).map(|k| json[k]["grade"].is_object()).collect();
    assert_eq!(graded, [false, false, false, false, true]);
    assert!(json[1]["problems"][0].as_str().is_some_and(|text| text.contains("SB709")));
    // The same scenario, changed by one letter, is another one.
    let changed = desk.read("press-interlock.scenario.ron").replace("a month ago", "a moon ago");
    desk.write("press-interlock.scenario.ron", changed);
    desk.run("grade press-interlock.scenario.ron good.jsonl")
        .is(exit::BAD_INPUT)
        .complains("good.jsonl: error SB709: ");
}

/// The dictionary of a machine: what is printed, what is written, and that neither threads nor a kept
/// dictionary change a byte.
#[test]
fn testability_says_what_can_be_told_apart() {
    let desk = Desk::new();
    let run = |threads: &str, files: &str, more: &str| {
        let line = format!(
            "testability pusher-weak.scenario.ron --json {files}.json --csv {files}.csv {more}"
        );
        let out = Command::new(PROGRAM)
            .args(line.split_whitespace())
            .current_dir(desk.0.path())
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .expect("it starts");
        assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
        (out.stdout, desk.read(&format!("{files}.json")), desk.read(&format!("{files}.csv")))
    };
    let first = run("1", "one", "--budget 20000 --cache a");
    assert_eq!(run("2", "two", "--budget 20000 --cache b"), first);
    // A kept dictionary tells the same.
    assert_eq!(run("2", "again", "--budget 20000 --cache a"), first);
    let text = String::from_utf8(first.0).expect("text");
    for words in [
        "operating steps:",
        "isolated and locked",
        "(of all ",
        "(of the detected)",
        "ambiguity groups",
        "no sequence does better than",
        "gap ",
        "single faults assumed",
        "tests that only repeat another",
    ] {
        assert!(text.contains(words), "no {words:?} in\n{text}");
    }
    let json: serde_json::Value = serde_json::from_str(&first.1).expect("json");
    let faults = json["faults"].as_array().expect("faults").len();
    let tests = json["tests"].as_array().expect("tests").len();
    let rows = json["signatures"].as_array().expect("signatures");
    assert_eq!((faults, tests), (rows.len(), rows[0].as_array().expect("a row").len()));
    assert!(faults > 100 && tests > 60, "{faults} {tests}");
    let priors: f64 =
        json["faults"].as_array().expect("faults").iter().filter_map(|f| f["prior"].as_f64()).sum();
    assert!((priors - 1.0).abs() < 1e-6, "{priors}");
    let sequence = &json["sequence"];
    let number = |key: &str| sequence[key].as_f64().expect("a number");
    assert!(number("expected_cost_s") >= number("lower_bound_s") - 1e-6, "{sequence}");
    assert!(number("lower_bound_s") > 0.0);
    // What stands in the matrix can be worked out again from the sheet.
    let lines: Vec<&str> = first.2.lines().collect();
    assert_eq!(lines.len(), 1 + faults);
    assert!(lines[0].starts_with("fault,repair,prior,"));
    // A pair is simulated, and it is said what it looks like.
    let done = desk.run("testability press-interlock.scenario.ron --budget 2000 --json p.json");
    let done = done.is(exit::SUCCESS).quietly().says("pairs of faults, simulated together: 1");
    assert!(done.out.contains("K1 bypassed 21-22 + K2 bypassed 21-22: "), "{}", done.out);
    // Without spares of instruments there is less to measure with.
    let bare = desk.read("pusher-weak.scenario.ron").replacen(
        "time_limit:",
        "tools: [\"gauges\"],\n    time_limit:",
        1,
    );
    desk.write("bare.scenario.ron", bare);
    let done = desk.run("testability bare.scenario.ron --budget 2000").is(exit::SUCCESS);
    assert!(!done.out.contains("volts ") && !done.out.contains("ohms "), "{}", done.out);
    desk.run("testability nothing.ron").is(exit::BAD_INPUT).complains("SB101");
}

#[test]
fn a_claim_that_no_part_can_have_is_refused() {
    let desk = Desk::new();
    desk.pipe("console pusher-weak.scenario.ron --attempt a.jsonl", "name W20 asleep\nhand back\n")
        .is(exit::SUCCESS)
        .says("W20 cannot have");
    // In a file it did not come from a session of ours.
    let text = desk.read("a.jsonl");
    let claim = r#"{"at":0,"do":{"verb":"name","part":"W20","mode":"asleep"}}"#;
    let mut lines: Vec<&str> = text.lines().collect();
    lines.insert(1, claim);
    desk.write("b.jsonl", lines.join("\n") + "\n");
    desk.run("grade pusher-weak.scenario.ron b.jsonl")
        .is(exit::BAD_INPUT)
        .complains("W20 cannot have");
}

#[test]
fn grade_tells_competent_from_not_yet() {
    let desk = Desk::new();
    desk.good();
    let verb = "grade press-interlock.scenario.ron";
    desk.run(&format!("{verb} played/careful.attempt.jsonl")).is(exit::SUCCESS).quietly();
    desk.run(&format!("{verb} played/hasty.attempt.jsonl played/careful.attempt.jsonl"))
        .is(exit::NOT_YET_COMPETENT)
        .quietly()
        .says("NOT YET COMPETENT");
    // A bench is no scenario.
    desk.run("grade pusher.bench.ron played/careful.attempt.jsonl").is(exit::BAD_INPUT);
}

/// A scenario with one script.
fn scripted(desk: &Desk, script: &str) {
    desk.write("trouble.rhai", script);
    desk.write(
        "trouble.scenario.ron",
        "Scenario(format: 1, title: \"t\", bench: \"pusher.bench.ron\", scripts: [\"trouble.rhai\"])",
    );
}

#[test]
fn a_script_that_fails_while_the_bench_runs_is_placed() {
    let desk = Desk::new();
    let later = "fn setup(bench) { bench.after(\"2 s\", \"later\"); }\nfn later(bench) {\n  ";
    let cases = [
        (format!("{later}loop {{ }}\n}}\n"), "SB603", "trouble.rhai at 2:"),
        (format!("{later}bench.inject(\"K77\", \"open\");\n}}\n"), "SB602", "trouble.rhai at 3:9"),
        ("fn setup(bench) {\n  loop { }\n}\n".to_owned(), "SB603", "trouble.rhai at 1:"),
    ];
    for (script, code, place) in cases {
        scripted(&desk, &script);
        for verb in ["run trouble.scenario.ron --until '5 s'", "console trouble.scenario.ron"] {
            let done = desk.pipe(verb, "wait 5 s\n").is(exit::SCRIPT_FAULT);
            let expected = (format!("error {code}: "), place);
            done.complains(&expected.0).complains(expected.1);
        }
    }
    // An attempt at it cannot be marked, and that is not the learner's mistake.
    scripted(&desk, "fn setup(bench) { }\n");
    desk.pipe("console trouble.scenario.ron --attempt a.jsonl", "wait 5 s\nhand back\n")
        .is(exit::SUCCESS);
    scripted(&desk, &format!("{later}loop {{ }}\n}}\n"));
    desk.pipe("console trouble.scenario.ron --attempt b.jsonl", "wait 1 s\nquit\n")
        .is(exit::SUCCESS);
    let mut attempt = desk.read("b.jsonl");
    attempt.push_str("{\"at\":1000000000,\"do\":{\"verb\":\"wait\",\"ns\":5000000000}}\n");
    desk.write("b.jsonl", attempt);
    desk.run("grade trouble.scenario.ron b.jsonl")
        .is(exit::SCRIPT_FAULT)
        .complains("b.jsonl: error SB603: ")
        .complains("trouble.rhai at 2:");
    // What fails before anything happens is found by `check` already.
    scripted(&desk, "fn setup(bench) { bench.inject(\"K77\", \"open\"); }\n");
    desk.run("check --short trouble.scenario.ron")
        .is(exit::BAD_INPUT)
        .complains("trouble.scenario.ron: error SB602: ")
        .complains("trouble.rhai at 1:25: the bench has no part K77");
}

/// Two relays without reaction time that contradict one another cannot be made from a bench: every
/// relay has a time. What can be made is more work than any exercise needs.
#[test]
fn a_bench_that_cannot_be_advanced_is_no_fault_of_its_user() {
    let desk = Desk::new();
    desk.write(
        "buzzer.bench.ron",
        "Bench(format: 1, parts: {
            \"G1\": DcSupply(voltage: \"24 V DC\"),
            \"K1\": Relay(operate: \"1 ms\", contacts: [\"21-22\"]),
        }, rungs: [Rung(from: \"G1:+\", to: \"G1:-\", path: \"K1:21-22, K1:A1-A2\")])",
    );
    desk.run("run buzzer.bench.ron --until '8 h'").is(exit::INTERNAL).complains("error SB904: at ");
}

#[test]
fn a_new_folder_runs_at_once_and_nothing_is_lost() {
    let desk = Desk::new();
    let done = desk.run("new mine/first").is(exit::SUCCESS).quietly();
    let names = ["machine.bench.ron", "task.scenario.ron", "fault.rhai", "good.actions"];
    let files: Vec<String> = names.iter().map(|name| format!("mine/first/{name}")).collect();
    for file in &files {
        assert!(done.out.contains(file), "{}", done.out);
        assert!(desk.read(file).contains("//") || desk.read(file).contains('#'), "no comment");
    }
    let [bench, task, script, list] = &files[..] else { panic!("four files") };
    desk.run(&format!("check {bench} {task} {script}")).is(exit::SUCCESS).quietly();
    desk.run(&format!("run {task} --actions {list}")).is(exit::SUCCESS).quietly();
    desk.run(&format!("grade {task} mine/first/good.attempt.jsonl"))
        .is(exit::SUCCESS)
        .quietly()
        .says(": COMPETENT, ")
        .says("truth: 1V1 open");
    // Every seed has a fault that shows, and the script has more than one.
    let mut truths = std::collections::BTreeSet::new();
    for seed in 1..8 {
        let line = format!("console {task} --seed {seed} --attempt a{seed}.jsonl");
        desk.pipe(&line, "wait 2 s\nhold S1\nwait 4 s\nlook 1A1\nhand back\n").is(exit::SUCCESS);
        let grade = desk.run(&format!("grade {task} a{seed}.jsonl")).is(exit::NOT_YET_COMPETENT);
        let truth = grade.out.lines().find(|line| line.contains("truth:")).map(str::to_owned);
        truths.insert(truth.expect("a truth"));
    }
    assert_eq!(truths.len(), 3, "{truths:?}");
    // A folder with something in it stays as it is.
    fs::create_dir(desk.path("full")).expect("a folder");
    desk.write("full/mine.txt", "precious");
    desk.run("new full")
        .is(exit::BAD_INPUT)
        .complains("SB803")
        .complains("the folder is not empty");
    desk.run("new full/mine.txt")
        .is(exit::BAD_INPUT)
        .complains("SB803")
        .complains("this is a file");
    assert_eq!(desk.read("full/mine.txt"), "precious");
    assert_eq!(fs::read_dir(desk.path("full")).expect("a folder").count(), 1);
    desk.run("new mine/first").is(exit::BAD_INPUT).complains("not empty");
    fs::create_dir(desk.path("empty")).expect("a folder");
    desk.run("new empty").is(exit::SUCCESS);
}

#[test]
fn demo_writes_what_it_played() {
    let desk = Desk::new();
    let done = desk.run("demo --out into/here").is(exit::SUCCESS).quietly();
    for name in ["careful.attempt.jsonl", "hasty.attempt.jsonl", "careful.grade.json"] {
        assert!(desk.path(&format!("into/here/{name}")).exists(), "{name}");
    }
    let digests: Vec<&str> = done.out.lines().filter(|line| line.starts_with("digest ")).collect();
    assert_eq!(digests.len(), 2);
    desk.write("taken", "");
    desk.run("demo --out taken").is(exit::BAD_INPUT).complains("SB803").complains("taken");
}

#[test]
fn explain_knows_every_code_it_lists() {
    let desk = Desk::new();
    let all = desk.run("explain").is(exit::SUCCESS).quietly().out;
    assert!(all.lines().count() > 40);
    for line in all.lines() {
        let id = line.split_whitespace().next().expect("a code");
        desk.run(&format!("explain {}", id.to_lowercase())).is(exit::SUCCESS).says("To mend it: ");
    }
    desk.run("explain SB3O1")
        .is(exit::BAD_INPUT)
        .complains("SB804")
        .complains("did you mean SB301?");
}

#[test]
fn a_reader_that_has_seen_enough_is_no_mistake() {
    for verb in
        [&["guide"][..], &["explain"], &["run", "scenarios/pusher.bench.ron", "--probe", "p:MP1"]]
    {
        let mut child = Plain::new(PROGRAM)
            .args(verb)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it starts");
        drop(child.stdout.take());
        let out = child.wait_with_output().expect("it ends");
        assert_eq!(out.status.code(), Some(0), "{verb:?}");
        assert_eq!(String::from_utf8_lossy(&out.stderr), "", "{verb:?}");
    }
}
