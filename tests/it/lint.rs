//! Advice on designs: each kind with a bench that meets it and one that only just does not; every
//! shipped bench is clean, or says what it does not follow and why.

use spoolbench::bench::load;
use spoolbench::diagnosis::lint::lint;
use spoolbench::diagnostic::{Code, Diagnostics, Sources, render_all};
use spoolbench::scenario::{Disk, load_any};

/// Codes of the advice on a bench of these parts and the rest of its text.
fn codes(parts: &str, rest: &str) -> Vec<Code> {
    let text = format!("Bench(format: 1, name: \"t\", parts: {{{parts}}}, {rest})");
    let mut found = Diagnostics::new();
    let bench = load("t.bench.ron", &text, &mut found);
    let mut sources = Sources::new();
    sources.add("t.bench.ron", text.as_str());
    assert!(!found.has_errors(), "{}", render_all(&found, &sources, false));
    let mut list: Vec<Code> = lint(&bench.expect("a bench"))
        .into_iter()
        .filter(|a| a.accepted.is_none())
        .map(|a| a.code)
        .collect();
    list.dedup();
    list
}

/// Whether advice of `code` is given.
fn advised(code: Code, parts: &str, rest: &str) -> bool {
    codes(parts, rest).contains(&code)
}

const FEED: &str = r#""Q0": Isolator(), "G1": DcSupply(voltage: "24 V DC", behind: "Q0"), "F1": Fuse(rating: "2 A"),"#;

fn circuit(parts: &str, rungs: &str) -> (String, String) {
    (format!("{FEED} {parts}"), format!("wires: [\"G1:+ F1:1\"], rungs: [{rungs}]"))
}

fn rung(path: &str) -> String {
    format!("Rung(from: \"F1:2\", to: \"G1:-\", path: \"{path}\"),")
}

#[test]
fn both_coils_without_and_with_cross_contacts() {
    let parts = r#""S1": PushButton(), "S2": PushButton(), "K1": Relay(contacts: ["13-14", "21-22"]),
        "K2": Relay(contacts: ["13-14", "21-22"]), "1V1": Valve(),"#;
    for (cross, bad) in [(("", ""), true), (("K2:21-22, ", "K1:21-22, "), false)] {
        let rungs = rung(&format!("S1:13-14, {}K1:A1-A2", cross.0))
            + rung(&format!("S2:13-14, {}K2:A1-A2", cross.1)).as_str()
            + rung("K1:13-14, 1V1:a1-a2").as_str()
            + rung("K2:13-14, 1V1:b1-b2").as_str();
        let (parts, rest) = circuit(parts, &rungs);
        assert_eq!(advised(Code::LINT_INTERLOCK, &parts, &rest), bad);
    }
}

#[test]
fn fuses_wires_shorts_and_stops() {
    let parts = r#""S0": PushButton(contacts: ["21-22"]), "S1": PushButton(contacts: ["13-14", "21-22", "33-34"]), "K1": Relay(),"#;
    let good = rung("S0:21-22, S1:13-14, K1:A1-A2");
    let (p, sound) = circuit(parts, &good);
    let list = codes(&p, &sound);
    for code in [Code::LINT_NO_FUSE, Code::LINT_SHORT, Code::LINT_STOP, Code::LINT_WIRE_FUSE] {
        assert!(!list.contains(&code), "{code}");
    }
    // The stop in the return.
    let (p, rest) = circuit(parts, &rung("S1:13-14, K1:A1-A2, S0:21-22"));
    assert!(advised(Code::LINT_STOP, &p, &rest));
    // Wired straight to the contacts.
    let bare =
        "rungs: [Rung(from: \"G1:+\", to: \"G1:-\", path: \"S0:21-22, S1:13-14, K1:A1-A2\")]";
    assert!(advised(Code::LINT_NO_FUSE, &p, bare));
    // A rung of contacts only; two contacts of one head are never closed together.
    let (p, rest) = circuit(parts, &(good.clone() + rung("S0:21-22, S1:13-14").as_str()));
    assert!(advised(Code::LINT_SHORT, &p, &rest));
    let (p, rest) = circuit(parts, &(good + rung("S1:21-22, S1:33-34").as_str()));
    assert!(!advised(Code::LINT_SHORT, &p, &rest));
}

#[test]
fn wires_behind_their_fuse() {
    let of = |rating: &str, section: &str| {
        let parts = format!(
            r#""Q0": Isolator(), "G1": DcSupply(voltage: "24 V DC", behind: "Q0"), "F1": Fuse(rating: "{rating}"), "H1": Lamp(),"#
        );
        let rest = format!(
            r#"wires: ["G1:+ F1:1", Wire(from: "F1:2", to: "H1:X1", section: "{section}"), "H1:X2 G1:-"]"#
        );
        advised(Code::LINT_WIRE_FUSE, &parts, &rest)
    };
    // IEC 60204-1 table 6 (from memory): 0.75 mm2 8.5 A, 1.5 mm2 13.1 A.
    assert!(of("10 A", "0.75 mm2") && !of("8 A", "0.75 mm2"));
    assert!(of("16 A", "1.5 mm2") && !of("12.5 A", "1.5 mm2"));
    // IEC 60364-5-54 (from memory): 0.5 mm2 of copper in PVC stand about 3300 A2s.
    assert!(of("4 A\", melting: \"3400 A2s", "0.5 mm2"));
    assert!(!of("4 A\", melting: \"3200 A2s", "0.5 mm2"));
}

#[test]
fn outputs_of_a_controller() {
    let of = |plc: &str, load: &str, path: &str, supply: &str| {
        let parts = format!(
            r#""Q0": Isolator(), "G1": {supply}, "G2": DcSupply(voltage: "24 V DC", behind: "Q0"), "F1": Fuse(rating: "2 A"),
            "A1": Plc(program: "PROGRAM p VAR run : BOOL; END_VAR run := run; END_PROGRAM", {plc}), {load}"#
        );
        let (plus, minus) = if supply.starts_with("Dc") { ("+", "-") } else { ("L", "N") };
        let rest = format!(
            r#"wires: ["G1:{plus} F1:1", "F1:2 A1:1L", "G2:+ A1:L+", "G2:- A1:M", "G2:- A1:1M"],
            rungs: [Rung(from: "A1:Q0", to: "G1:{minus}", path: "{path}")]"#
        );
        advised(Code::LINT_OUTPUT, &parts, &rest)
    };
    let dc = "DcSupply(voltage: \"24 V DC\", behind: \"Q0\")";
    let ac = "AcSupply(voltage: \"120 V AC 60 Hz\", behind: \"Q0\")";
    let relay = "\"K1\": Relay(),";
    let valve = "\"1V1\": Valve(rest: \"spring offset\", power: \"26 W\"),";
    assert!(!of("output_type: \"transistor\"", relay, "K1:A1-A2", dc));
    assert!(of("output_type: \"transistor\"", valve, "1V1:a1-a2", dc));
    assert!(!of("output_type: \"transistor\", output_current: \"2 A\"", valve, "1V1:a1-a2", dc));
    let relay = "\"K1\": Relay(coil: \"120 V AC 60 Hz\"),";
    assert!(of("output_type: \"transistor\"", relay, "K1:A1-A2", ac));
    // A small relay holds in on what leaks through the snubber; a smaller one lets go.
    assert!(of("output_type: \"triac\", snubber: \"220 nF\"", relay, "K1:A1-A2", ac));
    assert!(!of("output_type: \"triac\", snubber: \"22 nF\"", relay, "K1:A1-A2", ac));
}

const OIL: &str = r#""T1": Tank(), "M1": Pump(displacement: "8 cm3/rev"),"#;

#[test]
fn reliefs_filters_and_test_points() {
    let (relief, filter) = ("\"RV1\": Relief(setting: \"80 bar\"),", "\"FL1\": Filter(),");
    let lines = |ports: &str, point: &str| {
        format!(
            r#"lines: [Line(ports: ["T1:T", "M1:S"]), Line(name: "p", ports: ["M1:P"{ports}]{point})]"#
        )
    };
    let bare = codes(OIL, &lines("", ""));
    for code in [Code::LINT_RELIEF, Code::LINT_FILTER, Code::LINT_TEST_POINT] {
        assert!(bare.contains(&code), "{code}");
    }
    let parts = format!("{OIL} {relief} {filter}");
    let whole = codes(&parts, &lines(", \"RV1:P\", \"FL1:A\"", ", test_point: \"MP1\""));
    for code in [Code::LINT_RELIEF, Code::LINT_FILTER, Code::LINT_TEST_POINT] {
        assert!(!whole.contains(&code), "{code}");
    }
}

#[test]
fn accumulators_that_keep_their_oil() {
    let of = |valve: &str| {
        let parts = format!(
            r#"{OIL} "RV1": Relief(setting: "80 bar"), "AC1": Accumulator(size: "1 L", precharge: "30 bar"),
            "2V1": Valve(ports: "P T", rest: "spring offset", {valve}),"#
        );
        let lines = r#"lines: [Line(ports: ["T1:T", "M1:S", "RV1:T", "2V1:T"]),
            Line(ports: ["M1:P", "RV1:P", "AC1:P", "2V1:P"])]"#;
        advised(Code::LINT_ACCUMULATOR, &parts, lines)
    };
    assert!(of("a: \"P-T\", rest_joins: \"\""));
    assert!(!of("a: \"\", rest_joins: \"P-T\""));
}

#[test]
fn loads_valves_and_seals() {
    let of = |valve: &str, cylinder: &str, oil: &str| {
        let parts = format!(
            r#"{OIL} "RV1": Relief(setting: "80 bar"), "1V1": Valve({valve}),
            "1A1": Cylinder(bore: "50 mm", rod: "28 mm", stroke: "300 mm", {cylinder}),"#
        );
        let lines = format!(
            r#"{oil} lines: [Line(ports: ["T1:T", "M1:S", "RV1:T", "1V1:T"]), Line(ports: ["M1:P", "RV1:P", "1V1:P"]),
            Line(ports: ["1V1:A", "1A1:A"]), Line(ports: ["1V1:B", "1A1:B"])]"#
        );
        codes(&parts, &lines)
    };
    let has = |list: Vec<Code>, code: Code| list.contains(&code);
    assert!(has(of("", "load: \"2 kN\"", ""), Code::LINT_LOAD_HELD));
    assert!(!has(of("", "load: \"100 N\"", ""), Code::LINT_LOAD_HELD));
    assert!(has(of(r#"override: "none""#, "", ""), Code::LINT_OVERRIDE));
    assert!(!has(of(r#"override: "push""#, "", ""), Code::LINT_OVERRIDE));
    let detented = "rest: \"detented\"";
    assert!(has(of(detented, "", ""), Code::LINT_POWER_LOSS));
    let declared = "rest: \"detented\", power_loss: \"keeps its position\"";
    assert!(!has(of(declared, "", ""), Code::LINT_POWER_LOSS));
    let ester = "oil: Oil(fluid: \"phosphate ester\"),";
    assert!(has(of("", "seals: \"NBR\"", ester), Code::LINT_SEALS));
    assert!(!has(of("", "seals: \"FKM\"", ester), Code::LINT_SEALS));
    // The relief of this bench is set to 80 bar.
    assert!(has(of("max_inlet: \"70 bar\"", "", ""), Code::LINT_INLET));
    assert!(!has(of("max_inlet: \"80 bar\"", "", ""), Code::LINT_INLET));
    // A weak coil before the whole flow of the pump, and the usual one.
    assert!(has(of("flow_force: \"500 %\", power: \"3 W\"", "", ""), Code::LINT_SHIFT_LIMIT));
    assert!(!has(of("flow_force: \"20 %\"", "", ""), Code::LINT_SHIFT_LIMIT));
}

#[test]
fn centres_that_starve_their_pilot() {
    let of = |fields: &str| {
        let parts =
            format!(r#"{OIL} "RV1": Relief(setting: "80 bar"), "1V1": TwoStageValve({fields}),"#);
        let lines = r#"lines: [Line(ports: ["T1:T", "M1:S", "RV1:T", "1V1:T"]), Line(ports: ["M1:P", "RV1:P", "1V1:P"])]"#;
        advised(Code::LINT_PILOT, &parts, lines)
    };
    assert!(of(r#"centre: "tandem""#) && !of(r#"centre: "closed""#));
    // The least pilot pressure is 5 bar.
    assert!(of(r#"centre: "tandem", pilot_check: "4.9 bar""#));
    assert!(!of(r#"centre: "tandem", pilot_check: "5.1 bar""#));
    assert!(!of(r#"centre: "tandem", pilot: "external""#));
}

#[test]
fn what_is_accepted_is_silent_and_must_be_needed() {
    let lines = |accepted: &str| {
        format!(
            r#"accepted: [{accepted}], lines: [Line(ports: ["T1:T", "M1:S"]), Line(name: "p", ports: ["M1:P"])]"#
        )
    };
    let reason = r#"Accepted(code: "SB421", reason: "filtered while filling")"#;
    assert!(!advised(Code::LINT_FILTER, OIL, &lines(reason)));
    let other = r#"Accepted(code: "SB421", part: "M9", reason: "another pump")"#;
    let list = codes(OIL, &lines(other));
    assert!(list.contains(&Code::LINT_FILTER) && list.contains(&Code::LINT_ACCEPTED));
}

#[test]
fn every_shipped_bench_is_clean_or_says_why_not() {
    let folder = format!("{}/scenarios", env!("CARGO_MANIFEST_DIR"));
    for entry in std::fs::read_dir(&folder).expect("the folder") {
        let name = entry.expect("an entry").file_name().into_string().expect("a name");
        if !name.ends_with(".bench.ron") {
            continue;
        }
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        let scenario = load_any(&Disk::new(&folder), &name, &mut sources, &mut found);
        let open: Vec<String> = lint(&scenario.expect("a bench").bench)
            .into_iter()
            .filter(|a| a.accepted.is_none())
            .map(|a| format!("{} {}: {}", a.code, a.part, a.message))
            .collect();
        assert!(open.is_empty(), "{name}: {open:#?}");
    }
}
