//! Every place where a text of somebody else's comes in, as a function of bytes: what it must hold
//! whatever the bytes are. Shared with the fuzz targets.
#![allow(dead_code, clippy::expect_used, clippy::panic)]

use std::sync::OnceLock;

use spoolbench::base::SimTime;
use spoolbench::bench;
use spoolbench::class;
use spoolbench::diagnostic::{Diagnostics, Sources, render_all};
use spoolbench::fault::Script;
use spoolbench::plc;
use spoolbench::quantity::{Dimension, Supply, parse as parse_quantity, parse_duration};
use spoolbench::scenario::{Scenario, Shelf, Shipped, Unread, load, load_drill};
use spoolbench::session::{Session, SessionConfig, parse, read_actions, read_header, read_journal};

/// The text of bytes, if they are one: files that are not are refused before they are parsed.
fn text(bytes: &[u8]) -> Option<&str> {
    std::str::from_utf8(bytes).ok()
}

/// What was refused was refused for a reason that fits on a page.
fn reasons(sound: bool, found: &Diagnostics, sources: &Sources) {
    assert_eq!(sound, !found.has_errors());
    let drawn = render_all(found, sources, false);
    assert!(drawn.len() < 2_000_000, "{} bytes drawn", drawn.len());
}

/// A quantity, a supply, a span of time.
pub fn quantity(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    for dimension in Dimension::ALL {
        if let Ok(value) = parse_quantity(text, dimension) {
            assert!(value.is_finite(), "{text:?} is {value}");
        }
    }
    let _ = text.parse::<Supply>();
    let _ = parse_duration(text);
    let _ = parse(text);
}

/// A bench file.
pub fn bench(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    sources.add("x.bench.ron", text);
    let loaded = bench::load("x.bench.ron", text, &mut found);
    reasons(loaded.is_some(), &found, &sources);
}

/// A scenario file beside the shipped ones.
pub fn scenario(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let loaded = load(&Beside(text), "x.scenario.ron", &mut sources, &mut found);
    reasons(loaded.is_some(), &found, &sources);
}

struct Beside<'a>(&'a str);

impl Shelf for Beside<'_> {
    fn text(&self, name: &str) -> Result<String, Unread> {
        if name == "x.scenario.ron" { Ok(self.0.to_owned()) } else { Shipped.text(name) }
    }
}

/// A drill file beside the shipped ones.
pub fn drill(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let loaded = load_drill(&Beside(text), "x.scenario.ron", &mut sources, &mut found);
    reasons(loaded.is_some(), &found, &sources);
}

/// A program of a controller.
pub fn program(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    sources.add("x.st", text);
    let program = plc::compile("x.st", text, &plc::Terminals::new(4, 4), &mut found);
    reasons(program.is_some(), &found, &sources);
    if let Some(program) = program {
        let mut memory = program.memory();
        for scan in 0..4 {
            program.scan(&mut memory, SimTime::from_millis(10 * scan), &[scan % 2 == 0; 4]);
        }
    }
}

/// A list of actions.
pub fn actions(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    if let Err(problems) = read_actions(text) {
        assert!(!problems.is_empty() && problems.iter().all(|(_, p)| !p.message.id().is_empty()));
    }
}

/// The pusher with its fault, loaded once.
fn pusher() -> &'static Scenario {
    static PUSHER: OnceLock<Scenario> = OnceLock::new();
    PUSHER.get_or_init(|| {
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        let name = "pusher-dead-coil.scenario.ron";
        load(&Shipped, name, &mut sources, &mut found).expect("a shipped scenario")
    })
}

/// An attempt: read, and played for a little bench time.
pub fn attempt(bytes: &[u8]) {
    let _ = read_header(bytes);
    let config = SessionConfig { time_limit: SimTime::from_secs(120), ..pusher().config() };
    match read_journal(bytes, &config) {
        Err(problems) => {
            assert!(!problems.is_empty() && problems.iter().all(|p| !p.message.id().is_empty()));
        }
        Ok(attempt) => {
            assert!(attempt.entries.windows(2).all(|two| two[0].at <= two[1].at));
            let rig = pusher().rig(1).expect("a rig");
            let mut session = Session::new(rig, config);
            for entry in attempt.entries.into_iter().take(64) {
                if session.act_at(SimTime::from_nanos(entry.at), entry.action).is_err() {
                    break;
                }
            }
        }
    }
}

/// A roster.
pub fn roster(bytes: &[u8]) {
    match class::read_roster(bytes) {
        Ok(ids) => {
            assert!(!ids.is_empty());
            for id in ids {
                assert!(!id.is_empty() && !id.starts_with(['=', '+', '-', '@']), "{id:?}");
            }
        }
        Err(problems) => assert!(!problems.is_empty()),
    }
}

/// A kit.
pub fn kit(bytes: &[u8]) {
    if let Err(problem) = class::open(bytes) {
        assert!(!problem.to_string().is_empty());
    }
}

/// A fault script, its setup called on a machine.
pub fn script(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let Ok(script) = Script::new("x.rhai", text) else { return };
    let mut scenario = pusher().clone();
    (scenario.faults, scenario.scripts) = (Vec::new(), vec![script]);
    if let Ok(rig) = scenario.rig(1) {
        let _ = Session::new(rig, scenario.config()).idle(SimTime::from_millis(100));
    }
}

/// An entry: its name, what it does with bytes, and the shipped files that are like what it reads.
pub type Entry = (&'static str, fn(&[u8]), &'static str);

/// Every entry.
pub const ENTRIES: [Entry; 10] = [
    ("quantity", quantity, ""),
    ("bench", bench, ".bench.ron"),
    ("scenario", scenario, ".scenario.ron"),
    ("drill", drill, ""),
    ("program", program, ".st"),
    ("actions", actions, ".actions"),
    ("attempt", attempt, ""),
    ("roster", roster, ""),
    ("kit", kit, ""),
    ("script", script, ".rhai"),
];
