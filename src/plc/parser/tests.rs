//! Programs that run, programs that are wrong, and programs made to do harm.

use super::*;
use crate::base::SimTime;
use crate::plc::Memory;

fn problems(text: &str) -> Vec<&'static str> {
    let mut found = Diagnostics::new();
    assert!(compile("t.st", text, &Terminals::new(4, 4), &mut found).is_none(), "{text}");
    let mut ids: Vec<_> = found.iter().map(|d| d.code.id()).collect();
    ids.dedup();
    ids
}

fn body(vars: &str, text: &str) -> Program {
    let text = format!("PROGRAM t VAR {vars} END_VAR {text} END_PROGRAM");
    let mut found = Diagnostics::new();
    let program = compile("t.st", &text, &Terminals::new(4, 4), &mut found);
    let said: Vec<_> = found.iter().map(|d| d.message.clone()).collect();
    program.unwrap_or_else(|| panic!("{text}: {said:?}"))
}

/// Scans every 10 ms from 0; the times [ms] at which output 0 changes. `inputs` by time [ms].
fn changes(program: &Program, until_ms: u64, inputs: impl Fn(u64) -> Vec<bool>) -> Vec<u64> {
    let mut memory = program.memory();
    let (mut list, mut last) = (Vec::new(), false);
    for ms in (0..=until_ms).step_by(10) {
        program.scan(&mut memory, SimTime::from_millis(ms), &inputs(ms));
        let now = program.output(&memory, 0);
        if now != last {
            list.push(ms);
            last = now;
        }
    }
    list
}

fn timer(block: &str) -> Program {
    body(&format!("t1 : {block};"), "t1(IN := %IX0.0, PT := T#5s); %QX0.0 := t1.Q;")
}

/// TON, PT 5 s, input true at 1 s: output true at 6 s, false with the input. A shorter input gives
/// nothing (IEC 61131-3, from memory).
#[test]
fn on_delay() {
    assert_eq!(
        changes(&timer("TON"), 12_000, |ms| vec![(1_000..10_000).contains(&ms)]),
        [6_000, 10_000]
    );
    assert_eq!(changes(&timer("TON"), 12_000, |ms| vec![(1_000..5_990).contains(&ms)]), [0_u64; 0]);
}

/// TOF, PT 5 s, input from 1 s to 10 s: output from 1 s to 15 s (IEC 61131-3, from memory).
#[test]
fn off_delay() {
    assert_eq!(
        changes(&timer("TOF"), 20_000, |ms| vec![(1_000..10_000).contains(&ms)]),
        [1_000, 15_000]
    );
    // The input comes back in time: the output never goes.
    let twice = |ms| vec![(1_000..4_000).contains(&ms) || (8_000..9_000).contains(&ms)];
    assert_eq!(changes(&timer("TOF"), 20_000, twice), [1_000, 14_000]);
}

/// TP gives one pulse of 5 s whatever the input does, and no other until the input has gone and
/// come (IEC 61131-3, from memory).
#[test]
fn pulse() {
    for short in [true, false] {
        let input = |ms| {
            vec![if short {
                (ms / 500) % 2 == 0 && (1_000..4_000).contains(&ms)
            } else {
                ms >= 1_000
            }]
        };
        assert_eq!(changes(&timer("TP"), 12_000, input), [1_000, 6_000]);
    }
}

/// Both inputs true: SR is set, RS is reset (IEC 61131-3, from memory).
#[test]
fn which_input_wins() {
    let program = body(
        "a : SR; b : RS;",
        "a(S1 := %IX0.0, R := %IX0.1); b(S := %IX0.0, R1 := %IX0.1);
         %QX0.0 := a.Q1; %QX0.1 := b.Q1;",
    );
    let mut memory = program.memory();
    let mut scan = |s, r| {
        program.scan(&mut memory, SimTime::ZERO, &[s, r]);
        (program.output(&memory, 0), program.output(&memory, 1))
    };
    assert_eq!(scan(true, true), (true, false));
    assert_eq!(scan(true, false), (true, true));
    assert_eq!(scan(false, false), (true, true));
    assert_eq!(scan(false, true), (false, false));
    assert_eq!(scan(false, false), (false, false));
}

/// One scan long, at the rising and at the falling edge (IEC 61131-3, from memory).
#[test]
fn edges_last_one_scan() {
    for (block, want) in [("R_TRIG", [100, 110]), ("F_TRIG", [200, 210])] {
        let program =
            body(&format!("e : {block}; out AT %QX0.0 : BOOL;"), "e(CLK := %IX0.0, Q => out);");
        let input = |ms| vec![(100..200).contains(&ms)];
        assert_eq!(changes(&program, 400, input), want, "{block}");
    }
}

#[test]
fn a_counter_counts_edges() {
    let program =
        body("c : CTU; n : INT;", "c(CU := %IX0.0, R := %IX0.1, PV := 3, CV => n); %QX0.0 := c.Q;");
    // An edge every 100 ms from 100 ms on: the third at 500 ms.
    let at = |ms| vec![(ms / 100) % 2 == 1, ms >= 900];
    assert_eq!(changes(&program, 1_000, at), [500, 900]);
}

#[test]
fn operators_bind_as_they_should() {
    let program = body(
        "n : INT := 7; a : BOOL; b : BOOL; c : BOOL; t : TIME;",
        "n := 2 + 3 * 4 - -1; a := NOT FALSE AND FALSE OR TRUE; b := n > 14 XOR n = 15;
         c := 1 + 1 <> 2 & TRUE; t := T#1m30s - T#500ms;
         IF n < 15 THEN n := 1; ELSIF n >= 15 THEN n := n * 10_000; ELSE n := 3; END_IF;",
    );
    let mut memory: Memory = program.memory();
    program.scan(&mut memory, SimTime::ZERO, &[]);
    let value = |name| program.value(&memory, name);
    // 150 000 wraps at 16 bits.
    assert_eq!(value("n"), Some(i64::from(150_000_i32 as i16)));
    assert_eq!((value("a"), value("b"), value("c")), (Some(1), Some(0), Some(0)));
    assert_eq!(value("t"), Some(89_500_000_000));
}

#[test]
fn names_bound_in_the_bench() {
    let mut terminals = Terminals::new(2, 1);
    terminals.bind("start = I1").expect("a binding");
    terminals.bind("run=Q0").expect("a binding");
    for wrong in ["x", "1 = I0", "if = I0", "y = I2", "y = Z1", "start = I0", "z = I1"] {
        assert!(terminals.bind(wrong).is_err(), "{wrong}");
    }
    let mut found = Diagnostics::new();
    let text = "PROGRAM t run := Start; END_PROGRAM";
    let program = compile("t.st", text, &terminals, &mut found).expect("a program");
    let mut memory = program.memory();
    program.scan(&mut memory, SimTime::ZERO, &[false, true]);
    assert!(program.output(&memory, 0));
}

#[test]
fn wrong_programs_say_what_is_wrong() {
    let with = |vars: &str, text: &str| {
        problems(&format!("PROGRAM t VAR {vars} END_VAR {text} END_PROGRAM"))
    };
    assert_eq!(with("", "x := TRUE;"), ["SB612"]);
    assert_eq!(with("x : BOOL; x : INT;", ""), ["SB612"]);
    assert_eq!(with("x : REAL;", ""), ["SB612"]);
    assert_eq!(with("x : INT;", "x := TRUE;"), ["SB613"]);
    assert_eq!(with("x : BOOL;", "x := 1 + TRUE;"), ["SB613"]);
    assert_eq!(with("x AT %IX0.0 : BOOL;", "x := TRUE;"), ["SB613"]);
    assert_eq!(with("t : TON;", "t.Q := TRUE;"), ["SB613"]);
    assert_eq!(with("t : TON;", "t(PV := 3);"), ["SB612"]);
    assert_eq!(with("x AT %IX2.0 : BOOL;", ""), ["SB614"]);
    assert_eq!(with("x AT %IX0.0, y AT %IX0.0 : BOOL;", ""), ["SB611"]);
    assert_eq!(with("x AT %IX0.0 : BOOL; y AT %IX0.0 : BOOL;", ""), ["SB614"]);
    assert_eq!(with("x : BOOL;", "x = TRUE;"), ["SB611"]);
    assert_eq!(with("x : BOOL;", "IF x THEN x := FALSE;"), ["SB611"]);
    assert_eq!(with("x : BOOL;", "WHILE TRUE DO x := FALSE; END_WHILE;"), ["SB611", "SB612"]);
    assert_eq!(problems(""), ["SB611"]);
    assert_eq!(problems("END_IF END_PROGRAM PROGRAM"), ["SB611"]);
}

/// Two mistakes in two statements: both are reported, each at its place.
#[test]
fn several_problems_at_once() {
    let text = "PROGRAM t VAR a : BOOL; END_VAR a := b; a := ; a := 3; END_PROGRAM";
    let mut found = Diagnostics::new();
    assert!(compile("t.st", text, &Terminals::default(), &mut found).is_none());
    assert_eq!(found.len(), 3);
}

#[test]
fn hostile_programs_end_in_a_message() {
    let deep = format!("PROGRAM t VAR a : BOOL; END_VAR a := {}a", "(".repeat(20_000));
    assert!(problems(&deep).contains(&"SB615"));
    let nots =
        format!("PROGRAM t VAR a : BOOL; END_VAR a := {} a; END_PROGRAM", "NOT ".repeat(9_000));
    assert!(problems(&nots).contains(&"SB615"));
    let ifs = format!("PROGRAM t VAR a : BOOL; END_VAR {}", "IF a THEN ".repeat(5_000));
    assert!(problems(&ifs).contains(&"SB615"));
    let long =
        format!("PROGRAM t VAR a : BOOL; END_VAR a := a{}; END_PROGRAM", " OR a".repeat(11_000));
    assert!(problems(&long).contains(&"SB615"));
    let much = format!("PROGRAM t VAR a : BOOL; END_VAR {} END_PROGRAM", "a:=a;".repeat(12_000));
    assert!(problems(&much).contains(&"SB615"));
    let many: String = (0..5_000).map(|k| format!("v{k}:BOOL;")).collect();
    assert!(problems(&format!("PROGRAM t VAR {many} END_VAR END_PROGRAM")).contains(&"SB615"));
    assert_eq!(problems(&"x".repeat(TEXT_LIMIT + 1)), ["SB615"]);
}

/// A chain as long as is allowed runs, and its memory is let go, without exhausting the stack.
#[test]
fn the_longest_chain_runs() {
    let text = format!("%QX0.0 := %IX0.0{};", " OR %IX0.0".repeat(4_900));
    let program = body("", &text);
    assert_eq!(changes(&program, 100, |ms| vec![ms >= 50]), [50]);
}

/// Any prefix of a sound program, and any piece cut out of it, gives a message or a program.
#[test]
fn mutilated_programs_never_panic() {
    let text = "PROGRAM t VAR a AT %IX0.0 : BOOL; t1 : TON; n : INT := 3; END_VAR
        t1(IN := a AND NOT (n > 2), PT := T#1m30s); IF t1.Q THEN n := n + 1; ELSE n := -1; END_IF;
        END_PROGRAM";
    for from in 0..text.len() {
        for length in [1, 7, 40, 400] {
            let to = (from + length).min(text.len());
            let cut = format!("{}{}", &text[..from], &text[to..]);
            compile("t.st", &cut, &Terminals::new(1, 1), &mut Diagnostics::new());
        }
    }
}
