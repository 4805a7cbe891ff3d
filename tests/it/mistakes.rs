//! Every diagnostic code by a smallest mistake, with its line and column.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use spoolbench::diagnostic::{Code, Diagnostics, Sources, one_lines, render_all};
use spoolbench::scenario::{Shelf, Shipped, Unread, load_any};
use spoolbench::session::{JournalError, SessionConfig, read_journal};

/// The shipped files and a few more.
struct Files<'a>(&'a [(&'a str, &'a str)]);

impl Shelf for Files<'_> {
    fn text(&self, name: &str) -> Result<String, Unread> {
        match self.0.iter().find(|(known, _)| *known == name) {
            Some((_, text)) => Ok((*text).to_owned()),
            None => Shipped.text(name),
        }
    }
}

pub fn look(name: &str, files: &[(&str, &str)]) -> (Diagnostics, Sources) {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let loaded = load_any(&Files(files), name, &mut sources, &mut found);
    assert_eq!(loaded.is_none(), found.has_errors(), "{}", one_lines(&found, &sources));
    (found, sources)
}

/// The lines of complaint about `files`, of which the first is looked at.
fn complaints(files: &[(&str, &str)]) -> Vec<String> {
    let (found, sources) = look(files[0].0, files);
    one_lines(&found, &sources).lines().map(str::to_owned).collect()
}

/// A mistake: a mark `^` stands before the place that is complained of.
pub struct Mistake {
    pub code: Code,
    pub files: Vec<(&'static str, String)>,
}

/// Asserts that nothing but `code` is found, exactly at the mark.
fn at_the_mark(mistake: &Mistake) {
    let marked = mistake.files.iter().find(|(_, text)| text.contains('^')).expect("a mark");
    let at = marked.1.find('^').expect("a mark");
    let before = &marked.1[..at];
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().expect("a line").chars().count() + 1;
    let clean: Vec<(&str, String)> =
        mistake.files.iter().map(|(name, text)| (*name, text.replace('^', ""))).collect();
    let files: Vec<(&str, &str)> = clean.iter().map(|(n, t)| (*n, t.as_str())).collect();
    let lines = complaints(&files);
    assert_eq!(lines.len(), 1, "{}:\n{}", mistake.code, lines.join("\n"));
    let code = mistake.code;
    let kinds = ["error", "warning"];
    let right = kinds.iter().any(|kind| {
        lines[0].starts_with(&format!("{}:{line}:{column}: {kind} {code}: ", marked.0))
    });
    assert!(right, "{code} is wanted at {line}:{column} of {}:\n{}", marked.0, lines[0]);
}

/// A sound small bench with pieces put in.
fn bench(parts: &str, more: &str) -> Mistake {
    let text = format!(
        "Bench(format: 1, parts: {{\n\"G1\": DcSupply(voltage: \"24 V DC\"),\n\"K1\": \
         Relay(contacts: [\"13-14\"]),\n\"T1\": Tank(),\n{parts}\n}},\n\
         wires: [\"G1:+ K1:A1\", \"G1:- K1:A2\"],\nlines: [Line(ports: [\"T1:T\"])],\n{more}\n)"
    );
    Mistake { code: Code::INTERNAL, files: vec![("t.bench.ron", text)] }
}

fn rung(text: &str) -> Mistake {
    let mut mistake = bench("", &format!("rungs: [{text}]"));
    let text = mistake.files[0].1.replace("wires: [\"G1:+ K1:A1\", \"G1:- K1:A2\"],\n", "");
    mistake.files[0].1 = text;
    mistake
}

fn bare(text: &str) -> Mistake {
    Mistake { code: Code::INTERNAL, files: vec![("t.bench.ron", text.to_owned())] }
}

fn scenario(text: &str) -> Mistake {
    let text = format!(
        "Scenario(format: 1, bench: \"pusher.bench.ron\",\n{text}\n{})",
        if text.contains("scripts") { "" } else { "scripts: []," }
    );
    let text = if text.contains("faults") {
        text
    } else {
        text.replace("format: 1,", "format: 1, faults: [],")
    };
    Mistake { code: Code::INTERNAL, files: vec![("t.scenario.ron", text)] }
}

fn script(text: &str) -> Mistake {
    let mut mistake = scenario("scripts: [\"s.rhai\"]");
    mistake.files.push(("s.rhai", text.to_owned()));
    mistake
}

/// A controller with this program in a file beside the bench.
fn program(text: &str) -> Mistake {
    let mut mistake = bench("\"A1\": Plc(program: \"t.st\", inputs: 2, outputs: 1)", "");
    mistake.files[0].1 = mistake.files[0]
        .1
        .replace("\"G1:- K1:A2\"", "\"G1:- K1:A2\", \"G1:+ A1:L+\", \"G1:- A1:M\"");
    let text = format!("PROGRAM t\nVAR\n  go : BOOL;\n  many : INT;\n{text}\nEND_PROGRAM\n");
    mistake.files.push(("t.st", text));
    mistake
}

/// One smallest mistake a code, where the code comes from a file.
pub fn mistakes() -> Vec<Mistake> {
    let of = |code, mistake: Mistake| Mistake { code, ..mistake };
    let cylinder = "\"1A1\": Cylinder(bore: \"50 mm\", ";
    let joined = "lines: [Line(ports: [\"T1:T\"";
    let lines = |text: &str| {
        let mut mistake = bench("", "");
        mistake.files[0].1 = mistake.files[0].1.replace("lines: [Line(ports: [\"T1:T\"])]", text);
        mistake
    };
    let mut list = vec![
        // Notation.
        of(Code::SYNTAX, bare("Bench(format: 1,\n name: \"a\" ^note: \"b\")")),
        of(Code::UNKNOWN_FIELD, bench("", "^presure: 3")),
        of(Code::MISSING_FIELD, bench("\"F1\": ^Fuse()", "")),
        of(Code::MISSING_FIELD, bare("^Bench(format: 1)")),
        of(Code::DUPLICATE_FIELD, bench("", "name: \"a\",\n  ^name: \"b\"")),
        of(Code::DUPLICATE_FIELD, bench("\"K2\": Relay(contacts: [\"13-14\", ^\"13-14\"])", "")),
        of(Code::DUPLICATE_TAG, bench("^\"K1\": Lamp()", "")),
        of(Code::WRONG_TYPE, bench("", "name: ^7")),
        of(Code::WRONG_TYPE, bench("", "oil: ^\"thick\"")),
        of(Code::WRONG_TYPE, bench("\"K2\": ^\"Relay\"", "")),
        of(Code::WRONG_TYPE, bare("^\"a bench\"")),
        of(Code::TOO_DEEP, bare(&format!("{}^[", "[".repeat(64)))),
        of(Code::UNKNOWN_CLASS, bench("\"K2\": ^Realy()", "")),
        of(Code::NOT_FINITE, bench("", "note: ^1e999")),
        of(Code::BAD_TAG, bench("^\"relay one\": Relay()", "")),
        of(Code::BAD_TAG, bench("^\"W1\": Relay()", "")),
        of(Code::EMPTY, bare("Bench(format: 1, parts: ^{})")),
        of(Code::EMPTY, lines("lines: [Line(ports: [\"T1:T\"]), ^Line(ports: [])]")),
        // Values.
        of(Code::BAD_QUANTITY, bench("", "ambient: ^\"warm\"")),
        of(Code::WRONG_DIMENSION, bench("", "ambient: ^\"3 bar\"")),
        of(Code::OUT_OF_RANGE, bench("", "ambient: ^\"90 degC\"")),
        of(Code::OUT_OF_RANGE, bench("", "oil: Oil(density: ^\"5 kg/m3\")")),
        of(Code::UNKNOWN_CHOICE, bench("\"S1\": PushButton(contacts: [^\"13-12\"])", "")),
        of(Code::BAD_SUPPLY, bench("\"H1\": Lamp(voltage: ^\"24 V\")", "")),
        of(Code::MISSING_UNIT, bench("", "ambient: ^20")),
        // Connections.
        of(Code::UNKNOWN_TAG, rung("Rung(from: ^\"F1:2\", to: \"G1:-\", path: \"K1:A1-A2\")")),
        of(
            Code::UNKNOWN_TAG,
            rung("Rung(from: \"G1:+\", to: \"G1:-\", path: \"^S1:13-14, K1:A1-A2\")"),
        ),
        of(Code::UNKNOWN_TAG, lines(&format!("{joined}, ^\"M1:P\"])]"))),
        of(Code::UNKNOWN_TERMINAL, rung("Rung(from: \"G1:+\", to: \"G1:-\", path: \"^K1:13-15\")")),
        of(Code::UNKNOWN_PORT, lines(&format!("{joined}, ^\"T1:P\"])]"))),
        of(Code::UNKNOWN_PORT, lines(&format!("{joined}, ^\"tank\"])]"))),
        of(Code::WIRE_TO_NOWHERE, rung("], wires: [^\"G1:+\"")),
        of(Code::WIRE_TO_NOWHERE, rung("], wires: [^\"G1:+ G1:+\"")),
        of(Code::PORT_JOINED_TWICE, lines(&format!("{joined}]), Line(ports: [^\"T1:T\"])]"))),
        of(
            Code::PORT_LEFT_OPEN,
            bench("^\"RV1\": Relief(setting: \"70 bar\")", &{
                "lines: [Line(ports: [\"T1:T\", \"RV1:T\"])]".to_owned()
            }),
        ),
        of(Code::RUNG_SYNTAX, rung("Rung(from: \"G1:+\", to: \"G1:-\", path: \"(K1:A1-A2^\")")),
        of(
            Code::RUNG_WITHOUT_LOAD,
            bench("", "rungs: [Rung(from: \"G1:+\", to: \"K1:A1\", path: ^\"K1:13-14\")]"),
        ),
        of(Code::FLOATING_NETWORK, bench("^\"H1\": Lamp()", "")),
        of(Code::WRONG_KIND_OF_END, lines(&format!("{joined}, ^\"K1:A1\"])]"))),
        of(
            Code::WRONG_KIND_OF_END,
            bench(
                "\"S2\": LimitSwitch(on: ^\"T1\", from: \"1 mm\", to: \"2 mm\", contacts: [\"13-14\"])",
                "",
            ),
        ),
        // Scenarios.
        of(Code::NOT_WHOLE, scenario("seed: ^1.5,")),
        of(
            Code::INCONSISTENT_VALUES,
            scenario(
                "faults: [Fault(part: \"K1\", mode: \"open\", at: \"3 s\", after_cycles: ^2)],",
            ),
        ),
        of(Code::UNKNOWN_FAULT_MODE, scenario("faults: [Fault(part: \"K1\", mode: ^\"burst\")],")),
        of(Code::UNKNOWN_PART, scenario("answers: [Answer(part: ^\"K7\", mode: \"open\")],")),
        of(Code::BAD_WEIGHTS, scenario("rubric: ^Rubric(part: 30),")),
        of(Code::BAD_WEIGHTS, scenario("rubric: Rubric(pass: ^170),")),
        of(
            Code::BAD_WEIGHTS,
            scenario("rubric: Rubric(bands: [\"20 min 100 %\", ^\"9 min 60 %\"]),"),
        ),
        of(Code::BAD_WEIGHTS, scenario("rubric: Rubric(loss: [\"0.5 100 %\", ^\"0.2 60 %\"]),")),
        of(Code::BAD_WEIGHTS, scenario("rubric: Rubric(loss: [^\"half 100 %\"]),")),
        of(
            Code::UNKNOWN_FAULT_MODE,
            scenario("ambiguous: [Answer(part: \"K1\", mode: ^\"burst\")],"),
        ),
        of(
            Code::UNKNOWN_PART,
            scenario(
                "pairs: [[Fault(part: ^\"K7\", mode: \"open\"), Fault(part: \"F1\", mode: \"blown\")]],",
            ),
        ),
        of(
            Code::INCONSISTENT_VALUES,
            scenario("pairs: [^[Fault(part: \"F1\", mode: \"blown\")]],"),
        ),
        of(Code::UNKNOWN_TOOL, scenario("tools: [\"gauges\", ^\"multimetre\"],")),
        of(Code::UNREACHABLE_TASK, scenario("expect: [\"1A1 extended\", ^\"9A9 extended\"],")),
        of(Code::UNREACHABLE_TASK, scenario("retest: [\"wait 20 min\", ^\"wait 10 min\"],")),
        of(Code::PATH_OUTSIDE, scenario("scripts: [^\"../secret.rhai\"],")),
        of(
            Code::FAULT_OUT_OF_RANGE,
            scenario("faults: [^Fault(part: \"K1\", mode: \"welded\", role: \"99\")],"),
        ),
        of(Code::UNKNOWN_ACTION, scenario("retest: [\"press S4\", \"^pres S1\"],")),
        of(
            Code::OUT_OF_RANGE,
            scenario("faults: [Fault(part: \"K1\", mode: \"open\", after_cycles: ^0)],"),
        ),
        of(Code::SCRIPT_NOT_FOUND, scenario("scripts: [^\"coil.rhia\"],")),
        of(Code::SCRIPT_FORBIDDEN, script("fn setup(bench) {\n  ^eval(\"1\");\n}")),
        of(Code::SCRIPT_SYNTAX, script("fn setup(bench) {\n  let ^= 3;\n}")),
    ];
    for (less, more) in [
        ("rod: ^\"60 mm\", stroke: \"1 m\"", ""),
        ("rod: \"9 mm\", stroke: \"10 mm\", start: ^\"1 m\"", ""),
    ] {
        let part = format!("{cylinder}{less}{more})");
        let line = "lines: [Line(ports: [\"T1:T\", \"1A1:A\", \"1A1:B\"])]";
        let mut mistake = bench(&part, "");
        mistake.files[0].1 = mistake.files[0].1.replace("lines: [Line(ports: [\"T1:T\"])]", line);
        list.push(of(Code::INCONSISTENT_VALUES, mistake));
    }
    let mut mixed = bench("\"R1\": Receiver(size: \"2 L\")", "");
    mixed.files[0].1 = mixed.files[0].1.replace("[\"T1:T\"]", "[\"T1:T\", ^\"R1:1\"]");
    list.push(of(Code::OIL_MEETS_AIR, mixed));
    let deep = "(".repeat(32);
    for (code, text) in [
        (Code::PLC_SYNTAX, "END_VAR\ngo ^= TRUE;".to_owned()),
        (Code::PLC_NAME, "END_VAR\ngo := ^goo;".to_owned()),
        (Code::PLC_TYPE, "END_VAR\ngo := ^many;".to_owned()),
        (Code::PLC_ADDRESS, "  in AT ^%IX3.0 : BOOL;\nEND_VAR\ngo := in;".to_owned()),
        (Code::PLC_LIMIT, format!("END_VAR\ngo := {deep}^(go;")),
    ] {
        list.push(of(code, program(&text)));
    }
    let mut nobody = program("^");
    nobody.files.truncate(1);
    nobody.files[0].1 = nobody.files[0].1.replace("\"t.st\"", "^\"nobody.st\"");
    list.push(of(Code::PLC_NOT_FOUND, nobody));
    let mut dash = bench(
        "\"1V1\": AirValve(rest: \"spring offset\", a: ^\"1-4 23\", rest_joins: \"1-2\")",
        "",
    );
    dash.files[0].1 = dash.files[0].1.replace(
        "lines: [Line(ports: [\"T1:T\"])]",
        "lines: [Line(ports: [\"T1:T\"]), Line(ports: [\"1V1:1\", \"1V1:2\", \"1V1:4\"])]",
    );
    dash.files[0].1 = dash.files[0]
        .1
        .replace("\"G1:- K1:A2\"", "\"G1:- K1:A2\", \"G1:+ 1V1:a1\", \"G1:- 1V1:a2\"");
    list.push(of(Code::UNKNOWN_PORT, dash));
    let mut open = bench("^\"RV1\": Relief(setting: \"70 bar\")", "");
    open.files[0].1 = open.files[0].1.replace("[\"T1:T\"]", "[\"T1:T\", \"RV1:T\"]");
    list.retain(|mistake| mistake.code != Code::PORT_LEFT_OPEN);
    list.push(of(Code::PORT_LEFT_OPEN, open));
    for (code, supply, coil) in [
        (Code::COIL_VOLTAGE, "24 V DC", "12 V DC"),
        (Code::WRONG_SUPPLY_KIND, "24 V DC", "24 V AC 50 Hz"),
    ] {
        let text = format!(
            "Bench(format: 1, parts: {{\n\"G1\": DcSupply(voltage: \"{supply}\"),\n ^\"H1\": \
             Lamp(voltage: \"{coil}\"),\n}}, wires: [\"G1:+ H1:X1\", \"G1:- H1:X2\"])"
        );
        list.push(of(code, bare(&text)));
    }
    list.push(of(
        Code::MIXED_AC_DC,
        bare(
            "Bench(format: 1, parts: {\n^\"G1\": DcSupply(voltage: \"24 V DC\"),\n\"G2\": \
             AcSupply(voltage: \"24 V AC 50 Hz\"),\n}, wires: [\"G1:+ G2:L\"])",
        ),
    ));
    let many: String = (0..501).map(|k| format!("\"H{k}\": Lamp(), ")).collect();
    list.push(of(Code::TOO_MANY_PARTS, bare(&format!("Bench(format: 1, parts:\n ^{{{many}}})"))));
    let numbers = "1,".repeat(199_999);
    list.push(of(Code::TOO_MANY_VALUES, bare(&format!("[{numbers}^1]"))));
    let of_format = |text: &str| Mistake {
        code: Code::WRONG_FORMAT,
        files: vec![("t.scenario.ron", text.to_owned())],
    };
    list.push(of_format("Scenario(format: ^9, bench: \"pusher.bench.ron\", faults: [])"));
    list.push(Mistake {
        code: Code::BENCH_NOT_FOUND,
        files: vec![(
            "t.scenario.ron",
            "Scenario(format: 1,\n bench: ^\"pushr.bench.ron\", faults: [])".into(),
        )],
    });
    list.push(Mistake {
        code: Code::NO_FAULT,
        files: vec![("t.scenario.ron", "^Scenario(format: 1, bench: \"pusher.bench.ron\")".into())],
    });
    list
}

#[test]
fn every_mistake_is_found_where_it_is() {
    let mut wrong = Vec::new();
    for mistake in mistakes() {
        let tried =
            std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| at_the_mark(&mistake)));
        if let Err(problem) = tried {
            wrong.push(problem.downcast_ref::<String>().cloned().unwrap_or_default());
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

/// Codes that come from the command line, from files as such and from runs, from batches and classes:
/// tried in the files beside this one.
const ELSEWHERE: [Code; 22] = [
    Code::DRILL_UNDECIDED,
    Code::UNREADABLE,
    Code::TOO_LARGE,
    Code::NOT_UTF8,
    Code::SCRIPT_RUN,
    Code::SCRIPT_LIMIT,
    Code::ACTION_REFUSED,
    Code::OTHER_SCENARIO,
    Code::BAD_PROBE,
    Code::OUTPUT_FAILED,
    Code::UNKNOWN_CODE,
    Code::BAD_TIME_SPAN,
    Code::RUN_LIMIT,
    Code::NO_RESULTS,
    Code::OTHER_BATCH,
    Code::BATCH_NOT_WHOLE,
    Code::NO_VARIANTS,
    Code::BAD_ROSTER,
    Code::BAD_SECRET,
    Code::BROKEN_KIT,
    Code::SEALED_KIT,
    Code::NOT_IN_CLASS,
];

/// Codes of mistakes of the program itself, which no input is known to bring about.
const UNREACHED: [Code; 3] = [Code::INTERNAL, Code::SOLVER_FAILED, Code::EVENT_STORM];

/// Codes of advice on designs, with their names in the tests of advice.
const ADVICE: [(Code, &str); 18] = [
    (Code::LINT_INTERLOCK, "LINT_INTERLOCK"),
    (Code::LINT_OUTPUT, "LINT_OUTPUT"),
    (Code::LINT_OVERRIDE, "LINT_OVERRIDE"),
    (Code::LINT_ACCUMULATOR, "LINT_ACCUMULATOR"),
    (Code::LINT_POWER_LOSS, "LINT_POWER_LOSS"),
    (Code::LINT_SHIFT_LIMIT, "LINT_SHIFT_LIMIT"),
    (Code::LINT_LOAD_HELD, "LINT_LOAD_HELD"),
    (Code::LINT_RELIEF, "LINT_RELIEF"),
    (Code::LINT_SEALS, "LINT_SEALS"),
    (Code::LINT_FILTER, "LINT_FILTER"),
    (Code::LINT_TEST_POINT, "LINT_TEST_POINT"),
    (Code::LINT_WIRE_FUSE, "LINT_WIRE_FUSE"),
    (Code::LINT_NO_FUSE, "LINT_NO_FUSE"),
    (Code::LINT_SHORT, "LINT_SHORT"),
    (Code::LINT_STOP, "LINT_STOP"),
    (Code::LINT_ACCEPTED, "LINT_ACCEPTED"),
    (Code::LINT_INLET, "LINT_INLET"),
    (Code::LINT_PILOT, "LINT_PILOT"),
];

#[test]
fn every_code_is_tried() {
    let mut tried: BTreeSet<Code> = mistakes().into_iter().map(|mistake| mistake.code).collect();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it");
    let others: String = ["commands.rs", "batch.rs", "class.rs", "drills.rs"]
        .map(|name| fs::read_to_string(folder.join(name)).expect("the other tests"))
        .concat();
    for code in ELSEWHERE {
        assert!(others.contains(code.id()), "{code} is tried nowhere");
    }
    tried.extend(ELSEWHERE);
    tried.extend(UNREACHED);
    tried.extend(journals().into_iter().map(|(code, ..)| code));
    // Advice is tried with a bench that gets it and one that does not.
    let advice = fs::read_to_string(folder.join("lint.rs")).expect("the tests of advice");
    for (code, name) in ADVICE {
        assert!(advice.contains(name), "{code} is tried nowhere");
        tried.insert(code);
    }
    let missing: Vec<_> = Code::all().iter().filter(|code| !tried.contains(code)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

/// The table is honest: what no line of the program says is not in it.
#[test]
fn every_code_is_said_somewhere() {
    fn walk(folder: &Path, text: &mut String) {
        for entry in fs::read_dir(folder).expect("a folder").flatten() {
            let path = entry.path();
            if path.is_dir() {
                if path.file_name().is_none_or(|name| name != "diagnostic") {
                    walk(&path, text);
                }
            } else if path.extension().is_some_and(|e| e == "rs") {
                let file = fs::read_to_string(&path).expect("a file");
                text.push_str(file.split("#[cfg(test)]\nmod").next().unwrap_or(""));
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut text = String::new();
    walk(&root.join("src"), &mut text);
    let table = fs::read_to_string(root.join("src/diagnostic/codes.rs")).expect("the table");
    let names: Vec<&str> = table
        .lines()
        .filter_map(|line| line.strip_prefix("    ")?.split_once(" \"SB"))
        .map(|(name, _)| name)
        .filter(|name| {
            name.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'_')
        })
        .collect();
    assert_eq!(names.len(), Code::all().len());
    let unsaid: Vec<_> = names
        .iter()
        .filter(|name| {
            let said = format!("Code::{name}");
            !text.match_indices(&said).any(|(at, _)| {
                !text[at + said.len()..]
                    .starts_with(|c: char| c.is_ascii_alphanumeric() || c == '_')
            })
        })
        .collect();
    assert!(unsaid.is_empty(), "{unsaid:?}");
}

pub const HEAD: &str = "{\"format\":\"spoolbench attempt\",\"version\":1,\"scenario\":\"x\",\"seed\":1,\"learner\":\"l\",\"engine\":\"0\"}\n";

/// Attempts with a mistake: its code, line and column, and the text.
fn journals() -> Vec<(Code, usize, usize, String)> {
    let after = |text: &str| format!("{HEAD}{text}\n");
    let wait = "{\"at\":5,\"do\":{\"verb\":\"wait\",\"ns\":1}}";
    vec![
        (Code::EMPTY, 1, 1, String::new()),
        (Code::JOURNAL_NO_HEAD, 1, 5, "{\"at\":5555}\n".to_owned()),
        (Code::WRONG_FORMAT, 1, 1, HEAD.replace("\"version\":1", "\"version\":9")),
        (Code::BAD_LINE, 2, 4, after("tru?")),
        (Code::BAD_LINE, 2, 8, after("{\"at\":\"\",\"do\":{\"verb\":\"wait\",\"ns\":1}}")),
        (Code::UNKNOWN_ACTION, 2, 27, after("{\"at\":5,\"do\":{\"verb\":\"kick\"}}")),
        (Code::UNKNOWN_FIELD, 2, 13, after(&wait.replace("\"do\"", "\"did\""))),
        (Code::DUPLICATE_FIELD, 2, 12, after(&wait.replace("\"do\"", "\"at\""))),
        (Code::TIME_ORDER, 3, 1, after(&format!("{wait}\n{}", wait.replace('5', "4")))),
        (Code::JOURNAL_TOO_LONG, 2, 1, after(&wait.replace('5', "9000000000000000000"))),
    ]
}

#[test]
fn every_mistake_of_an_attempt_is_found_where_it_is() {
    let mut wrong = Vec::new();
    for (code, line, column, text) in journals() {
        let found: Vec<JournalError> =
            read_journal(text.as_bytes(), &SessionConfig::default()).err().unwrap_or_default();
        let is: Vec<_> = found.iter().map(|e| (e.kind.code(), e.line, e.column)).collect();
        if is != [(code, line, column)] {
            wrong.push(format!("{code} {line}:{column} is wanted, not {found:?}, in\n{text}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // All at once, in their order.
    let text =
        format!("{HEAD}tru?\n{{\"at\":9,\"do\":{{\"verb\":\"kick\"}}}}\n{{\"at\":9,\"what\":1}}\n");
    let found = read_journal(text.as_bytes(), &SessionConfig::default()).expect_err("mistakes");
    assert_eq!(found.iter().map(|e| e.line).collect::<Vec<_>>(), [2, 3, 4]);
}

/// A bench with a mistake on almost every line.
pub const BROKEN: &str = r#"Bench(
    format: 1,
    name: 7,
    ambient: "20 bar",
    parts: {
        "G1": DcSupply(voltage: "24 V"),
        "F1": Fuse(),
        "S1": PushButton(contacts: ["13-14", "13-15"]),
        "K 1": Relay(),
        "K2": Realy(contacts: ["13-14"]),
        "K3": Relay(contcts: ["13-14"]),
        "1A1": Cylinder(bore: "50 mm", rod: "50 mm", stroke: 400),
    },
    rungs: [
        Rung(from: "F2:2", to: "G1:-", path: "S1:13-14, (K3:A1-A2"),
        Rung(from: "F1:2", to: "G1:-", path: "S1:23-24, K3:A1-A2"),
    ],
    lines: [Line(ports: ["1A1:C"], volume: "0.2")],
    colour: "blue",
)
"#;

/// All of them drawn, in the order of the file.
#[test]
fn many_mistakes_are_drawn_at_once() {
    let (found, sources) = look("broken.bench.ron", &[("broken.bench.ron", BROKEN)]);
    let places: Vec<_> = found.iter().map(|problem| problem.place.span).collect();
    assert!(places.is_sorted(), "{places:?}");
    insta::assert_snapshot!(render_all(&found, &sources, false));
}

/// A scenario is looked through even if its bench is broken or missing.
#[test]
fn a_broken_bench_does_not_hide_the_scenario() {
    let scenario = "Scenario(format: 1, bench: \"t.bench.ron\", seed: \"x\",\n tols: [])";
    let lines = complaints(&[("t.scenario.ron", scenario), ("t.bench.ron", "Bench(format: 1)")]);
    let starts: Vec<String> =
        lines.iter().map(|l| l.split(": ").take(2).collect::<Vec<_>>().join(" ")).collect();
    assert_eq!(
        starts,
        [
            "t.bench.ron:1:1 error SB106",
            "t.scenario.ron:1:1 warning SB507",
            "t.scenario.ron:1:49 error SB109",
            "t.scenario.ron:2:2 error SB105",
        ]
    );
}
