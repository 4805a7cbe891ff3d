//! Onsets, repairs, scripts and the walls of the sandbox.

use crate::base::SimTime;
use crate::plant::{Plant, Stop};

use super::fixture::{bench, head, run};
use super::*;

/// Advances as a caller does: stops for the injector and for every happening.
fn drive(plant: &mut Plant, injector: &mut Injector, until: SimTime) -> Result<(), InjectError> {
    while plant.now() < until {
        let target = injector.next_time().map_or(until, |t| t.min(until));
        let stop = plant.advance(target, true).expect("advance");
        for happening in plant.take_happenings() {
            injector.on_happening(plant, &happening)?;
        }
        if stop == Stop::Reached {
            injector.at_time(plant)?;
        }
    }
    Ok(())
}

fn secs(s: f64) -> SimTime {
    SimTime::from_secs_f64_up(s)
}

/// K1 shows by its lamp.
fn start(faults: Vec<Fault>, scripts: Vec<Script>) -> (Plant, Injector) {
    let plan = bench();
    let mut plant = Plant::nominal(plan.clone());
    let mut injector = Injector::new(&plan, 7, faults, scripts).expect("injector");
    injector.begin(&mut plant).expect("begin");
    (plant, injector)
}

fn welded() -> Fault {
    Fault::new("K1", "welded").in_role("13-14")
}

#[test]
fn a_fault_comes_at_its_time() {
    let (mut plant, mut injector) = start(vec![welded().with(Onset::At(secs(1.5)))], vec![]);
    drive(&mut plant, &mut injector, secs(1.4)).expect("drive");
    assert!(!plant.lit(0) && injector.injected().is_empty());
    drive(&mut plant, &mut injector, secs(1.6)).expect("drive");
    assert!(plant.lit(0));
    assert_eq!(injector.injected()[0].0, secs(1.5));
    assert_eq!(injector.next_time(), None);
}

#[test]
fn a_fault_comes_after_cycles() {
    let onset = Onset::AfterCycles { part: "S1".to_owned(), cycles: 3 };
    let (mut plant, mut injector) = start(vec![welded().with(onset)], vec![]);
    let s1 = head(plant.plan(), "S1");
    for press in 1..=3 {
        for acting in [true, false] {
            plant.set_operator(s1, acting);
            let until = plant.now() + secs(0.2);
            drive(&mut plant, &mut injector, until).expect("drive");
        }
        assert_eq!(plant.lit(0), press == 3, "press {press}");
    }
}

#[test]
fn an_intermittent_fault_comes_and_goes_and_stays_gone() {
    let onset = Onset::Intermittent { present: secs(0.5), absent: secs(0.5) };
    let (mut plant, mut injector) = start(vec![welded().with(onset)], vec![]);
    assert_eq!(injector.injected().len(), 1, "it lies in the part from the start");
    let mut changes = 0;
    let mut lit = false;
    for k in 1..200 {
        drive(&mut plant, &mut injector, secs(0.05 * f64::from(k))).expect("drive");
        changes += u32::from(plant.lit(0) != lit);
        lit = plant.lit(0);
    }
    assert!((4..60).contains(&changes), "{changes}");
    let k1 = plant.plan().part("K1").expect("part");
    plant.renew(k1);
    injector.repaired(k1);
    drive(&mut plant, &mut injector, secs(30.0)).expect("drive");
    assert!(!plant.lit(0));
    assert_eq!(injector.next_time(), None);
}

#[test]
fn when_an_intermittent_fault_goes_the_others_stay() {
    let onset = Onset::Intermittent { present: secs(0.2), absent: secs(0.2) };
    let faults = vec![
        Fault::new("K1", "wrong-coil").of(0.9),
        Fault::new("K1", "shorted-turns").of(0.5).with(onset),
        Fault::new("K1", "wrong-coil").of(0.5).with(Onset::At(secs(1.0))),
    ];
    let (mut plant, mut injector) = start(faults, vec![]);
    let (mut sound, mut shorted) = (0, 0);
    for k in 21..200 {
        drive(&mut plant, &mut injector, secs(0.05 * f64::from(k))).expect("drive");
        let make = plant.condition().windings[0];
        assert!((make.ohm_at_20 / (480.0 * 0.81 * 0.25) - 1.0).abs() < 1e-12);
        if make.sound_turns == 1.0 {
            sound += 1;
        } else {
            shorted += 1;
        }
    }
    assert!(sound > 20 && shorted > 20, "{sound} {shorted}");
}

#[test]
fn repaired_faults_stay_gone_and_later_ones_still_come() {
    let onset = Onset::At(secs(2.0));
    let (mut plant, mut injector) = start(vec![welded(), welded().with(onset)], vec![]);
    run(&mut plant, 0.5);
    assert!(plant.lit(0));
    let k1 = plant.plan().part("K1").expect("part");
    plant.renew(k1);
    injector.repaired(k1);
    drive(&mut plant, &mut injector, secs(1.9)).expect("drive");
    assert!(!plant.lit(0));
    drive(&mut plant, &mut injector, secs(2.5)).expect("drive");
    assert!(plant.lit(0));
}

#[test]
fn the_same_seed_gives_the_same_run() {
    let digest = |seed| {
        let plan = bench();
        let mut plant = Plant::new(plan.clone(), seed);
        let onset = Onset::Intermittent { present: secs(0.1), absent: secs(0.3) };
        let source = r#"fn setup(b) { b.after("1 s", "go_on"); }
            fn go_on(b) { b.inject(b.choose(["W1", "W2"]), "loose", #{ severity: b.between(1, 50) }); }"#;
        let scripts = vec![Script::new("choice", source).expect("script")];
        let mut injector =
            Injector::new(&plan, seed, vec![welded().with(onset)], scripts).expect("injector");
        injector.begin(&mut plant).expect("begin");
        drive(&mut plant, &mut injector, secs(3.0)).expect("drive");
        (plant.digest(), injector.injected().to_vec())
    };
    assert_eq!(digest(3), digest(3));
    assert_ne!(digest(3).0, digest(4).0);
}

#[test]
fn a_script_reads_the_bench_and_acts_on_what_happens() {
    let source = r#"
fn setup(bench) {
    bench.remember("presses", 0);
    bench.when("S1 acts", "pressed");
    bench.at("1500 ms", "late");
    bench.on("HK1 lights", "seen");
}
fn pressed(bench) {
    let n = bench.recall("presses") + 1;
    bench.remember("presses", n);
    if n == 2 { bench.inject("K1", "welded", #{ role: "13-14" }); }
}
fn seen(bench) { bench.note(`lit at ${bench.time() > 0.0}, ${bench.acting("S1")}`); }
fn late(bench) {
    if bench.pressure("1V1:P") > 50.0 && bench.volts("G1:+", "PE") > 20 && bench.position("1A1") < 1.0 {
        bench.note("as wanted");
    }
    if bench.chance(0.0) || !bench.chance(1) || bench.whole(3, 3) != 3 { throw "luck"; }
}
"#;
    let script = Script::new("counting", source).expect("script");
    let (mut plant, mut injector) = start(vec![], vec![script]);
    let s1 = head(plant.plan(), "S1");
    for _ in 0..2 {
        for acting in [true, false] {
            plant.set_operator(s1, acting);
            let until = plant.now() + secs(0.5);
            drive(&mut plant, &mut injector, until).expect("drive");
        }
    }
    assert!(plant.lit(0));
    let notes: Vec<&str> = injector.notes().into_iter().map(|(_, _, text)| text).collect();
    assert_eq!(notes, ["lit at true, true", "lit at true, true", "as wanted"]);
    assert_eq!(injector.injected().len(), 1);
}

#[test]
fn a_script_that_fails_changes_nothing_and_is_not_called_again() {
    let source = r#"fn setup(bench) { bench.when("S1 acts", "pressed"); }
fn pressed(bench) {
    bench.inject("K1", "stuck-in");
    bench.inject("K1", "stuck-inn");
}"#;
    let script = Script::new("slip", source).expect("script");
    let (mut plant, mut injector) = start(vec![], vec![script]);
    let before = plant.condition().clone();
    let s1 = head(plant.plan(), "S1");
    plant.set_operator(s1, true);
    let Err(InjectError::Script(fault)) = drive(&mut plant, &mut injector, secs(1.0)) else {
        panic!("must fail")
    };
    assert_eq!((fault.line, fault.column), (Some(4), Some(11)));
    assert_eq!(fault.kind, ScriptFaultKind::Runtime);
    assert_eq!(fault.message.to_string(), "K1 has no fault mode \"stuck-inn\"");
    assert_eq!(fault.help.to_string(), "did you mean \"stuck-in\"?");
    assert_eq!(*plant.condition(), before);
    assert!(injector.injected().is_empty());
    for acting in [false, true] {
        plant.set_operator(s1, acting);
        let until = plant.now() + secs(0.2);
        drive(&mut plant, &mut injector, until).expect("it is not called again");
    }
}

/// Reads and runs `body` as the body of `setup`; how it fails.
fn fails(body: &str) -> ScriptFault {
    fails_whole(&format!("fn setup(bench) {{\n{body}\n}}"))
}

fn fails_whole(source: &str) -> ScriptFault {
    let script = match Script::new("hostile", source) {
        Ok(script) => script,
        Err(fault) => return fault,
    };
    let plan = bench();
    let mut plant = Plant::nominal(plan.clone());
    let mut injector = Injector::new(&plan, 1, vec![], vec![script]).expect("injector");
    match injector.begin(&mut plant) {
        Err(InjectError::Script(fault)) => fault,
        other => panic!("{source} gave {other:?}"),
    }
}

#[track_caller]
fn wall(fault: ScriptFault, kind: ScriptFaultKind) {
    assert_eq!(fault.kind, kind, "{fault}");
    assert!(fault.line.is_some(), "{fault} has no place");
    assert!(!fault.help.to_string().is_empty());
}

#[test]
fn limits() {
    use ScriptFaultKind::Limit;
    for body in [
        "loop { }",
        "while true { let x = 1; }",
        "for i in 0..9_000_000_000 { }",
        "let s = \"x\"; loop { s += s; }",
        "let s = \"x\"; loop { s = s + s + s; }",
        "let a = [1]; loop { a += a; }",
        "let a = [1]; loop { a.push(a); }",
        "let a = []; loop { a.push(1); }",
        "let a = [1]; a.pad(100000000, \"xxxxxxxx\");",
        "let a = []; for i in 0..64 { a.push(i); } loop { a == a; }",
        "let m = #{}; let i = 0; loop { m[`k${i}`] = i; i += 1; }",
        "let m = #{}; loop { m = #{ a: m, b: m, c: m }; }",
        "let s = \"x\"; loop { s = `${s}${s}`; }",
        "try { loop { } } catch { }",
        "loop { try { loop { } } catch { } }",
        "loop { try { bench.inject(\"K1\", \"x\"); } catch { } }",
        "loop { bench.note(\"x\"); }",
        "loop { bench.after(\"1 s\", \"setup\"); }",
        "loop { bench.when(\"S1 acts\", \"setup\"); }",
        "let i = 0; loop { bench.remember(`${i}`, i); i += 1; }",
        "loop { bench.inject(\"F1\", \"blown\"); }",
    ] {
        wall(fails(body), Limit);
    }
    wall(fails_whole("fn setup(b) { setup(b); }"), Limit);
    wall(fails_whole("fn f(n) { g(n) + 1 } fn g(n) { f(n) + 1 } fn setup(b) { f(1); }"), Limit);
    wall(fails_whole("loop { }\nfn setup(b) { }"), Limit);
    let many: String = (0..100).map(|k| format!("let v{k} = 1;\n")).collect();
    wall(fails(&many), Limit);
    let many: String = (0..100).map(|k| format!("fn f{k}() {{ }}\n")).collect();
    wall(fails_whole(&format!("fn setup(b) {{ }}\n{many}")), Limit);
    wall(fails(&format!("let s = \"{}\";", "x".repeat(5_000))), Limit);
    wall(fails(&format!("let a = [{}];", "1, ".repeat(5_000))), Limit);
    wall(fails_whole(&" ".repeat(40_000)), Limit);
}

#[test]
fn deep_nesting_is_refused() {
    for n in [100, 4_000] {
        for body in [
            format!("let x = {}1{};", "(".repeat(n), ")".repeat(n)),
            format!("let x = {}1{};", "[".repeat(n), "]".repeat(n)),
            format!("let x = {}1;", "- ".repeat(n)),
            format!("let x = {}true;", "! ".repeat(n)),
            format!("let x = 1{};", " + 1".repeat(n)),
            format!("let x = bench{};", ".a".repeat(n)),
            format!("{}{}", "{".repeat(n), "}".repeat(n)),
            format!("{} {{ }}", "if false { } else ".repeat(n)),
            format!("{}{}", "if true { ".repeat(n), "}".repeat(n)),
            format!("let x = {}1{};", "#{a: ".repeat(n), "}".repeat(n)),
            format!("let x = `{}1{}`;", "${`".repeat(n), "`}".repeat(n)),
        ] {
            let source = format!("fn setup(bench) {{\n{body}\n}}");
            let Ok(script) = Script::new("deep", &source) else {
                continue;
            };
            // What can be read must run, or fail in good order.
            let plan = bench();
            let mut plant = Plant::nominal(plan.clone());
            let mut injector = Injector::new(&plan, 1, vec![], vec![script]).expect("injector");
            let _ = injector.begin(&mut plant);
        }
    }
    let deep = format!("let x = {}1{};", "(".repeat(100), ")".repeat(100));
    wall(fails(&deep), ScriptFaultKind::Limit);
}

#[test]
fn what_is_forbidden() {
    for body in [
        "eval(\"1\");",
        "import \"other\" as o;",
        "print(\"x\");",
        "debug(1);",
        "let x = 2.0 ** 0.5;",
        "let x = 2.0; x **= 0.5;",
        "sleep(1);",
        "let t = timestamp();",
        "let f = Fn(\"setup\");",
    ] {
        let fault = fails(body);
        wall(fault.clone(), ScriptFaultKind::Forbidden);
        assert_eq!(fault.line, Some(2), "{fault}");
    }
    let fault = fails("let f = |x| x;");
    assert_eq!(fault.kind, ScriptFaultKind::Syntax);
}

#[test]
fn what_is_not_there() {
    for body in [
        "open(\"/etc/passwd\");",
        "let x = 2.0.tan();",
        "nothing;",
        "bench.inject(\"K1\", 3);",
        "bench.inject(\"K1\", \"open\", #{ sevrity: 1 });",
        "bench.inject(\"K1\", \"open\", #{ present: \"1 s\" });",
        "bench.at(\"soon\", \"setup\");",
        "bench.at(\"1 s\", \"later\");",
        "bench.when(\"K1 dances\", \"setup\");",
        "bench.choose([]);",
        "bench.chance(2);",
        "bench.between(2, 1);",
        "bench.whole(0, 0x7fffffffffffffff);",
        "bench.pressure(\"1V1:Q\");",
        "bench.remember(\"x\", bench);",
        "throw bench;",
        "let x = 1 / 0;",
        "let x = 0x7fffffffffffffff + 1;",
        "parse_json(\"{}\");",
    ] {
        let fault = fails(body);
        assert!(
            matches!(fault.kind, ScriptFaultKind::Runtime | ScriptFaultKind::Syntax),
            "{fault}"
        );
        assert_eq!(fault.line, Some(2), "{fault}");
    }
    let fault = fails("bench.after(\"1 s\", \"setpu\");");
    assert_eq!(fault.help.to_string(), "did you mean \"setup\"?");
    assert_eq!(fails_whole("fn later(b) { }").message.to_string(), "the script has no setup");
}

#[test]
fn a_script_that_calls_itself_for_ever_ends() {
    let source =
        "fn setup(b) { b.after(\"0 s\", \"again\"); } fn again(b) { b.after(\"0 s\", \"again\"); }";
    let (mut plant, mut injector) =
        start(vec![], vec![Script::new("again", source).expect("script")]);
    let Err(InjectError::Script(fault)) = injector.at_time(&mut plant) else { panic!("must end") };
    assert_eq!(fault.kind, ScriptFaultKind::Limit);
}

proptest::proptest! {
    /// Whatever is written, reading and running it ends in good order.
    #[test]
    fn any_text_ends_in_good_order(words in proptest::collection::vec(0..WORDS.len(), 0..60)) {
        let text: String = words.into_iter().map(|k| WORDS[k]).collect();
        for source in [format!("fn setup(bench) {{ {text} }}"), text] {
            if let Ok(script) = Script::new("any", &source) {
                let plan = bench();
                let mut plant = Plant::nominal(plan.clone());
                let mut injector = Injector::new(&plan, 1, vec![], vec![script]).expect("injector");
                let _ = injector.begin(&mut plant);
            }
        }
    }
}

const WORDS: [&str; 44] = [
    " ",
    "\n",
    ";",
    "{",
    "}",
    "(",
    ")",
    "[",
    "]",
    ",",
    ".",
    "+",
    "-",
    "!",
    "=",
    "==",
    "<",
    "`",
    "${",
    "#{",
    ":",
    "\"",
    "'",
    "1",
    "0.5",
    "\u{e9}",
    "x",
    "bench",
    "let ",
    "fn ",
    "setup",
    "loop ",
    "while ",
    "for x in ",
    "if ",
    "else ",
    "switch ",
    "return ",
    "throw ",
    "try ",
    "catch ",
    "inject",
    "\"K1\"",
    "\\",
];
