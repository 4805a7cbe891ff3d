//! The reader against the `ron` crate, against mistakes, and against malice.

use super::*;
use crate::base::Stream;
use crate::diagnostic::{Code, Diagnostics, Reporter, Sources, one_lines};
use crate::quantity::{Dimension, Supply};

const BENCH: &str = r##"#![enable(implicit_some)]
// A press with two valves.
Bench(
    name: "Press /* not a comment */",
    supply: "24 V DC", /* a /* nested */ one */
    parts: {
        "K1": Relay(coil: "24 V DC", contacts: (2, 1)),
        "1V1": Valve(kind: FourThree, spring: "12 N/mm", open: true, spare: None),
        "1A1": Cylinder(bore: "25 mm", stroke: 200, mass: -1.5e3, list: [1, 0xFF, 1_000,]),
    },
    rungs: [r#"S1 & "K1" -> K1"#, "a\tb\u{b5}\x41\\", Empty(), ()],
    seed: 18446744073709551615,
    letter: 'x',
)
"##;

fn read(text: &str) -> (Option<Node>, Diagnostics) {
    let mut found = Diagnostics::new();
    let node = parse("t.ron", text, &mut found);
    assert_eq!(node.is_none(), found.has_errors(), "{text:.200}");
    (node, found)
}

fn complaints(text: &str) -> String {
    let mut sources = Sources::new();
    sources.add("t.ron", text);
    one_lines(&read(text).1, &sources)
}

/// Whether the `ron` crate's generic value says the same. It forgets names, the order of keys and
/// which of a repeated key came first, so these are not compared.
fn agrees(node: &Node, other: &ron::Value) -> bool {
    use ron::value::Value as Ron;
    match (&node.value, other) {
        (Value::Text(a), Ron::String(b)) => a == b,
        (Value::Text(a), Ron::Char(b)) => *a == b.to_string(),
        (Value::Number(a), Ron::Number(b)) => a.value == b.into_f64(),
        (Value::Flag(a), Ron::Bool(b)) => a == b,
        (Value::Nothing, Ron::Option(None)) => true,
        (Value::List(a), Ron::Seq(b)) | (Value::Tuple { values: a, .. }, Ron::Seq(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| agrees(a, b))
        }
        (Value::Record { fields, .. }, Ron::Unit) => fields.is_empty(),
        (Value::Name(_), Ron::Unit) => true,
        (Value::Record { fields, .. } | Value::Map(fields), Ron::Map(map)) => {
            fields.len() == map.len()
                && fields.iter().all(|field| {
                    let key = Ron::String(field.key.clone());
                    map.get(&key).is_some_and(|value| agrees(&field.value, value))
                })
        }
        (Value::Record { fields, .. }, Ron::Seq(b)) => fields.is_empty() && b.is_empty(),
        (_, Ron::Option(Some(inner))) => agrees(node, inner),
        _ => false,
    }
}

#[test]
fn it_agrees_with_the_ron_crate() {
    let corpus = [
        BENCH,
        "1",
        "-1",
        "+1.5",
        ".5",
        "5.",
        "1e3",
        "1E-3",
        "0x10",
        "-0b101",
        "0o17",
        "1_000.5",
        "18446744073709551615",
        "\"\"",
        "\"a\nb\"",
        "r\"c:\\d\"",
        "r##\"a\"#b\"##",
        "'µ'",
        "'\\''",
        "true",
        "None",
        "Some(3)",
        "[]",
        "[[],[[]]]",
        "{}",
        "{\"a\":1,\"b\":{\"c\":[true,false]}}",
        "(a:1,b:(c:2),)",
        "(1,\"two\",3.0)",
        "(((1)))",
        " // c\n /* d */ 7 // e",
        "(r#type: 1)",
        "()",
    ];
    for text in corpus {
        let (node, found) = read(text);
        let node = node.unwrap_or_else(|| panic!("{text}: {:?}", found.iter().next()));
        let other: ron::Value =
            ron::from_str(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!(agrees(&node, &other), "{text}\n{node:?}\n{other:?}");
    }
}

#[test]
fn what_ron_refuses_is_refused() {
    for text in [
        "",
        "(",
        ")",
        "[1 2]",
        "[1,,2]",
        "(a:1 b:2)",
        "{1}",
        "\"",
        "'ab'",
        "1x",
        "--1",
        "1e",
        "1.2.3",
        "a b",
        "/*",
        "[1}",
        "\"\\q\"",
        "\"\\u{110000}\"",
        "{\"a\" 1}",
        "(a: )",
        "@",
        "r#",
        "(a: r#)",
    ] {
        assert!(read(text).0.is_none(), "{text}");
        assert!(ron::from_str::<ron::Value>(text).is_err(), "{text}");
    }
}

#[test]
fn every_value_knows_its_place() {
    fn walk(node: &Node, text: &str, seen: &mut Vec<String>) {
        seen.push(text[node.span.start..node.span.end].to_owned());
        match &node.value {
            Value::List(values) | Value::Tuple { values, .. } => {
                values.iter().for_each(|value| walk(value, text, seen));
            }
            Value::Record { fields, .. } | Value::Map(fields) => {
                for field in fields {
                    assert!(text[field.key_span.start..field.key_span.end].contains(&field.key));
                    walk(&field.value, text, seen);
                }
            }
            _ => {}
        }
    }
    let node = read(BENCH).0.unwrap();
    let mut seen = Vec::new();
    walk(&node, BENCH, &mut seen);
    for piece in ["\"24 V DC\"", "(2, 1)", "FourThree", "-1.5e3", "0xFF", "Empty()", "'x'", "None"]
    {
        assert!(seen.iter().any(|text| text == piece), "{piece}");
    }
    assert!(seen[0].starts_with("Bench(") && seen[0].ends_with(')'));
}

#[test]
fn the_inside_of_a_text_has_a_place_too() {
    let place = |text: &str| read(text).0.unwrap().inner_span(1, 2);
    assert_eq!(place("\"abc\""), Span::new(2, 3));
    assert_eq!(place("r#\"abc\"#"), Span::new(4, 5));
    assert_eq!(place("\"a\\nb\""), Span::new(0, 6));
}

#[test]
fn several_mistakes_are_reported_at_once() {
    insta::assert_snapshot!(complaints(
        "Bench(\n  a: 1 b: 2,\n  c = 3,\n  d: @,\n  e: [1, ?, 3],\n  \"f\": 4,\n  g: inf,\n  h: 70bar,\n  i: {3: 4},\n  j: \"\\q\",\n)"
    ), @r#"
    t.ron:2:8: error SB104: a comma is missing before this
    t.ron:3:5: error SB104: a colon is wanted between a field name and its value
    t.ron:4:6: error SB104: a value is wanted here; this is "@"
    t.ron:5:10: error SB104: a value is wanted here; this is "?"
    t.ron:6:3: error SB104: a field name has no quotes (in round brackets write name: value)
    t.ron:7:6: error SB113: a finite number is wanted here
    t.ron:8:6: error SB104: 70bar is no number (a value with a unit stands in quotes, such as "70 bar")
    t.ron:9:7: error SB104: a map's key is a text in quotes
    t.ron:10:7: error SB104: this backslash means nothing (write two of them for one, or use r"...")
    "#);
}

#[test]
fn an_open_bracket_is_shown_where_it_opens() {
    insta::assert_snapshot!(complaints("(a: [1, 2, b: 3)"), @r#"
    t.ron:1:13: error SB104: a comma or "]" is wanted here; this is ":"
    t.ron:1:16: error SB104: "]" is wanted here; this is ")"
    "#);
    insta::assert_snapshot!(complaints("(a: [1, 2], b: (3"), @r#"t.ron:1:16: error SB104: this bracket is never closed (a ")" is missing, here or further down)"#);
    insta::assert_snapshot!(complaints("(a: \"x)"), @r#"t.ron:1:5: error SB104: this text is never closed (a quote is missing, here or at a text further up)"#);
}

#[test]
fn limits_are_diagnostics() {
    let deep = |n: usize| format!("{}{}", "[".repeat(n), "]".repeat(n));
    assert!(read(&deep(DEEPEST)).0.is_some());
    assert!(read(&deep(DEEPEST + 1)).1.has(Code::TOO_DEEP));
    assert!(read(&"(".repeat(1_000_000)).1.has(Code::TOO_DEEP));
    assert!(read(&"{".repeat(1_000_000)).1.has(Code::TOO_DEEP));
    assert!(read(&format!("[{}]", "1,".repeat(MOST_VALUES - 1))).0.is_some());
    assert!(read(&format!("[{}]", "1,".repeat(MOST_VALUES))).1.has(Code::TOO_MANY_VALUES));
    assert!(read(&" ".repeat(LARGEST_FILE + 1)).1.has(Code::TOO_LARGE));
    assert!(read(" ").1.has(Code::EMPTY));
    assert!(read("1e999").1.has(Code::NOT_FINITE));
    assert!(read("-NaN").1.has(Code::NOT_FINITE));
    assert!(read(&"9".repeat(100_000)).1.has(Code::SYNTAX));
}

#[test]
fn large_hostile_files_are_read_in_time_proportional_to_their_size() {
    for piece in [
        "a", "r#", "/*", "(a:", "\"\\", "[?", "{\"a\"", "@,", "'", "1", "r\"", "a:", "}", ",",
        "//", "#!",
    ] {
        let text = piece.repeat((1 << 20) / piece.len());
        read(&text);
        read(&format!("[{text}"));
    }
}

#[test]
fn fields_are_taken_needed_and_left_over() {
    let text = "Relay(coil: \"24 bar\", coil: \"24 V DC\", cotacts: 2, delay: 5, poles: 2.5, kind: \"Latchng\")";
    let mut found = Diagnostics::new();
    let node = parse("t.ron", text, &mut found).unwrap();
    let mut report = Reporter::new("t.ron", &mut found);
    let mut fields = Fields::open(&node, &mut report).unwrap();
    let coil = fields.need("coil", "\"24 V DC\"", &mut report).unwrap();
    assert_eq!(coil.as_supply(&mut report), None);
    assert!(fields.take("contacts").is_none());
    assert!(fields.need("rating", "\"6 A\"", &mut report).is_none());
    let delay = fields.take("delay").unwrap();
    assert_eq!(delay.as_duration(&mut report), None);
    assert_eq!(fields.take("poles").unwrap().as_whole(&mut report), None);
    let kinds = ["Plain", "Latching"];
    assert_eq!(
        fields.take("kind").unwrap().as_choice(&kinds, Code::UNKNOWN_CHOICE, &mut report),
        None
    );
    fields.finish(&mut report);
    let mut sources = Sources::new();
    sources.add("t.ron", text);
    insta::assert_snapshot!(one_lines(&found, &sources), @r#"
    t.ron:1:1: error SB106: Relay lacks the field `rating` (add rating: "6 A")
    t.ron:1:13: error SB202: "24 bar" is a pressure; a voltage is wanted, such as "24 V"
    t.ron:1:23: error SB107: `coil` is given twice
    t.ron:1:40: error SB105: the field `cotacts` is not known in Relay (did you mean `contacts`?)
    t.ron:1:59: error SB207: 5 has no unit; a time is wanted (write it in quotes with its unit, such as "40 ms")
    t.ron:1:69: error SB208: a whole number from 0 is wanted here; this is 2.5
    t.ron:1:80: error SB204: "Latchng" is none of the choices here (did you mean "Latching"?)
    "#);
}

#[test]
fn values_come_out_in_si() {
    let node = read(BENCH).0.unwrap();
    let mut found = Diagnostics::new();
    let mut report = Reporter::new("t.ron", &mut found);
    let mut bench = Fields::open(&node, &mut report).unwrap();
    let seed = bench.take("seed").unwrap();
    assert_eq!(seed.as_whole(&mut report), Some(u64::MAX));
    let supply = bench.take("supply").unwrap();
    assert_eq!(supply.as_supply(&mut report), Some(Supply::dc(24.0)));
    let parts = bench.take("parts").unwrap().as_map(&mut report).unwrap();
    assert_eq!(parts.iter().map(|p| p.key.as_str()).collect::<Vec<_>>(), ["K1", "1V1", "1A1"]);
    let mut cylinder = Fields::open(&parts[2].value, &mut report).unwrap();
    let bore = cylinder.take("bore").unwrap();
    assert_eq!(bore.as_quantity(Dimension::Length, &mut report), Some(0.025));
    let mut valve = Fields::open(&parts[1].value, &mut report).unwrap();
    assert!(valve.take("spare").is_none(), "None counts as missing");
    assert_eq!(valve.take("open").unwrap().as_flag(&mut report), Some(true));
    let mut valve = Fields::open(&parts[1].value, &mut report).unwrap();
    let spring = ("10 N/mm", "12 N/mm");
    assert_eq!(valve.quantity("spring", Dimension::Stiffness, spring, &mut report), Some(12e3));
    assert!(found.is_empty());
    let mut report = Reporter::new("t.ron", &mut found);
    let stroke = cylinder.take("stroke").unwrap();
    assert_eq!(stroke.as_quantity(Dimension::Length, &mut report), None);
    assert!(found.has(Code::MISSING_UNIT));
}

#[test]
fn mutated_documents_never_harm() {
    let mut stream = Stream::new(2026, "tree", "fuzz");
    let scraps = [
        "NaN",
        "inf",
        "-inf",
        "1e999",
        "99999999999999999999999999999999999999999999",
        "((((((((",
        "]]]]",
        "{{{{",
        "\"",
        "r#\"",
        "/*",
        "*/",
        "//",
        "\\u{",
        "'",
        ":",
        ",",
        "=",
        "\u{0}",
        "🙂",
        "#![",
        "Some(",
        "None",
        "0x",
        "-",
        "b\"",
    ];
    let bytes = std::mem::size_of::<Node>();
    assert!(bytes <= 128, "a value takes {bytes} bytes");
    for round in 0..2_000 {
        let mut bytes = BENCH.as_bytes().to_vec();
        for _ in 0..=stream.below(6) {
            let at = stream.below(bytes.len() as u64 + 1) as usize;
            match stream.below(5) {
                0 => bytes.truncate(at),
                1 if at < bytes.len() => bytes[at] ^= 1 << stream.below(8),
                2 => {
                    let scrap = scraps[stream.below(scraps.len() as u64) as usize];
                    bytes.splice(at..at, scrap.bytes());
                }
                3 => {
                    let bracket = b"([{"[stream.below(3) as usize];
                    let many = stream.below(200) as usize;
                    bytes.splice(at..at, std::iter::repeat_n(bracket, many));
                }
                _ => {
                    let to = (at + stream.below(40) as usize).min(bytes.len());
                    bytes.drain(at.min(to)..to);
                }
            }
        }
        let text = String::from_utf8_lossy(&bytes);
        let mut found = Diagnostics::new();
        let node = parse("t.ron", &text, &mut found);
        assert_eq!(node.is_none(), found.has_errors(), "round {round}");
        assert!(found.len() <= 20, "round {round}");
        let mut sources = Sources::new();
        sources.add("t.ron", text.as_ref());
        for problem in found.iter() {
            let drawn = crate::diagnostic::render(problem, &sources, false);
            assert!(!drawn.is_empty(), "round {round}");
        }
    }
}
