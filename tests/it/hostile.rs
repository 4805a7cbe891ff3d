//! Hostile input: a thousand mutilated benches, scenarios, scripts and attempts. Every one ends in a
//! diagnostic or in a sound result; none in a panic, a hang or a memory that grows without bound.

use spoolbench::base::Stream;
use spoolbench::bench;
use spoolbench::diagnostic::{Diagnostics, Sources, render_all};
use spoolbench::fault::Script;
use spoolbench::grade::{GradeError, Marker};
use spoolbench::scenario::{Shelf, Shipped, Unread, load};
use spoolbench::session::{
    Entry, Header, JournalWriter, SessionConfig, read_actions, read_journal,
};

/// Changes `text` in one of several ways.
pub fn mutilate(text: &str, rng: &mut Stream) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    let at = |rng: &mut Stream, n: usize| rng.below(n.max(1) as u64) as usize;
    match rng.below(9) {
        0 => bytes.truncate(at(rng, bytes.len())),
        1 => {
            for _ in 0..1 + rng.below(8) {
                let k = at(rng, bytes.len());
                bytes[k] ^= 1 << rng.below(8);
            }
        }
        2 => {
            let k = at(rng, bytes.len());
            let open: Vec<u8> = b"([{".iter().cycle().take(20_000).copied().collect();
            bytes.splice(k..k, open);
        }
        3 => {
            let k = at(rng, bytes.len());
            bytes.splice(k..k, b" 1e999 NaN -inf 99999999999999999999 ".iter().copied());
        }
        4 => {
            // A number becomes another one.
            let digits: Vec<usize> =
                (0..bytes.len()).filter(|&k| bytes[k].is_ascii_digit()).collect();
            for _ in 0..3 {
                if !digits.is_empty() {
                    let k = digits[at(rng, digits.len())];
                    bytes[k] = b'0' + rng.below(10) as u8;
                }
            }
        }
        5 => {
            let (a, b) = (at(rng, bytes.len()), at(rng, bytes.len()));
            let piece = bytes[a.min(b)..a.max(b)].to_vec();
            let k = at(rng, bytes.len());
            bytes.splice(k..k, piece);
        }
        6 => {
            let (a, b) = (at(rng, bytes.len()), at(rng, bytes.len()));
            bytes.drain(a.min(b)..a.max(b));
        }
        7 => {
            for byte in &mut bytes {
                if *byte == b'"' && rng.below(20) == 0 {
                    *byte = b'\'';
                }
            }
        }
        _ => {
            let k = at(rng, bytes.len());
            bytes.splice(k..k, "\u{202e}\u{0}\u{1b}[31mé漢".bytes());
        }
    }
    bytes
}

#[test]
fn a_thousand_mutilated_files_end_in_diagnostics() {
    let names: Vec<&str> = Shipped::names().collect();
    let mut rng = Stream::new(20, "hostile", "mutations");
    let mut refused = 0;
    for round in 0..1000 {
        let name = names[rng.below(names.len() as u64) as usize];
        let text = Shipped.text(name).expect("a shipped file");
        let bytes = mutilate(&text, &mut rng);
        let Ok(text) = String::from_utf8(bytes) else {
            // Not UTF-8: the file reader refuses it with the byte's place.
            refused += 1;
            continue;
        };
        let mut found = Diagnostics::new();
        let mut sources = Sources::new();
        sources.add(name, text.as_str());
        let sound = if name.ends_with(".bench.ron") {
            bench::load(name, &text, &mut found).is_some()
        } else if name.ends_with(".scenario.ron") {
            load(&One { name, text: &text }, name, &mut sources, &mut found).is_some()
        } else if name.ends_with(".rhai") {
            Script::new(name, &text).is_ok()
        } else {
            match read_journal(text.as_bytes(), &SessionConfig::default()) {
                Ok(_) => true,
                Err(problems) => {
                    assert!(!problems.is_empty(), "round {round}: {name}");
                    refused += 1;
                    continue;
                }
            }
        };
        if !sound && !name.ends_with(".rhai") {
            assert!(found.has_errors(), "round {round}: {name} refused without a reason");
            let drawn = render_all(&found, &sources, false);
            assert!(drawn.len() < 400_000, "round {round}: {name}: {} bytes drawn", drawn.len());
            refused += 1;
        }
    }
    assert!(refused > 500, "only {refused} were refused");
}

/// Five hundred mutilated attempts: refused with a line and a reason, or graded like any other.
#[test]
fn mutilated_attempts_are_refused_or_graded() {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let name = "press-interlock.scenario.ron";
    let scenario = load(&Shipped, name, &mut sources, &mut found).expect("a scenario");
    let marker = Marker::new(&scenario, None);
    let mut attempt = Vec::new();
    let header = Header::new(&scenario.digest, scenario.seed, "hostile");
    let mut journal = JournalWriter::new(&mut attempt, &header).expect("a header");
    let list = Shipped.text("press-interlock.good.actions").expect("actions");
    let mut at = 0;
    for line in read_actions(&list).expect("actions") {
        journal.record(&Entry { at, action: line.action }).expect("a line");
        at += 60_000_000_000;
    }
    let text = String::from_utf8(attempt).expect("text");
    let mut rng = Stream::new(21, "hostile", "attempts");
    let (mut refused, mut graded) = (0, 0);
    for round in 0..500 {
        let bytes = mutilate(&text, &mut rng);
        match marker.grade(&bytes) {
            Ok(mark) => {
                graded += 1;
                assert!((0.0..=100.0).contains(&mark.marks), "round {round}");
            }
            Err(GradeError::Journal(problems)) => {
                assert!(
                    !problems.is_empty() && problems.iter().all(|p| !p.message.id().is_empty())
                );
                refused += 1;
            }
            Err(problem) => {
                assert!(!problem.to_string().is_empty());
                refused += 1;
            }
        }
    }
    assert!(refused > 200, "only {refused} were refused");
    assert!(graded > 10, "only {graded} were still attempts");
}

/// The shipped set with one file exchanged.
struct One<'a> {
    name: &'a str,
    text: &'a str,
}

impl Shelf for One<'_> {
    fn text(&self, name: &str) -> Result<String, Unread> {
        if name == self.name { Ok(self.text.to_owned()) } else { Shipped.text(name) }
    }
}
