//! `console`: the bench in words.

use std::io::{self, BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};

use crate::diagnostic::Code;
use crate::quantity::UnitSystem;
use crate::report::Reader;
use crate::scenario::Scenario;
use crate::session::{
    ActError, Entry, Header, JournalWriter, Outcome, Session, create_attempt, help, parse,
};

use super::args::Show;
use super::{exit, input, run};

/// Longest line read from the prompt [bytes].
const LINE: usize = 4096;

/// What `console` was asked for.
pub struct Wish {
    /// Bench or scenario file.
    pub file: PathBuf,
    /// Attempt file to write.
    pub attempt: Option<PathBuf>,
    /// Pseudonym of the learner.
    pub learner: String,
    /// Seed.
    pub seed: Option<u64>,
    /// When it is begun, as the user says.
    pub started: Option<String>,
    /// How things are shown.
    pub show: Show,
}

/// Lets a learner work on the scenario, a line at a time.
pub fn console(wish: Wish, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let file = wish.file.as_path();
    let reader = Reader::new(wish.show.language, wish.show.units);
    let Some(scenario) = input::bench_or_scenario(file, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    let seed = wish.seed.unwrap_or(scenario.seed);
    let rig = match scenario.rig(seed) {
        Ok(rig) => rig,
        Err(problem) => {
            return run::unfit(file, &problem, err);
        }
    };
    let (path, journal) = match create_attempt(file, wish.attempt) {
        Ok(opened) => opened,
        Err((path, why)) => {
            let help = "name a new file with --attempt; an attempt is never written over";
            let problem = input::named(&path, &why);
            let line = input::problem("spoolbench", Code::OUTPUT_FAILED, problem, help);
            writeln!(err, "{line}")?;
            return Ok(exit::BAD_INPUT);
        }
    };
    let mut header = Header::new(&scenario.digest, seed, &wish.learner);
    header.started = wish.started;
    let mut journal = JournalWriter::new(journal, &header)?;
    let mut session = Session::new(rig, scenario.config());
    greet(&scenario, &path, &reader, out)?;
    let stdin = io::stdin();
    let prompt = stdin.is_terminal();
    let mut lines = stdin.lock();
    loop {
        if session.ended().is_some() {
            break;
        }
        if prompt {
            write!(out, "{} > ", session.now())?;
            out.flush()?;
        }
        let Some(line) = read_line(&mut lines)? else { break };
        let line = line.split('#').next().unwrap_or("").trim().to_owned();
        if line.is_empty() {
            continue;
        }
        if line == "help" || line == "?" {
            write!(out, "{}", help())?;
            continue;
        }
        if line == "quit" || line == "exit" {
            break;
        }
        if !prompt {
            writeln!(out, "{} > {line}", session.now())?;
        }
        let action = match parse(&line) {
            Ok(action) => action,
            Err(problem) => {
                writeln!(out, "  ? {}; {}", problem.message, problem.help)?;
                continue;
            }
        };
        let at = session.now().as_nanos();
        match session.act(action.clone()) {
            Ok(outcome) => {
                // On disk before the next line is read: a crash loses at most this action.
                journal.record(&Entry { at, action })?;
                show(&outcome, &reader, out)?;
            }
            Err(ActError::Rig(problem)) => return run::failed(&problem, err),
            Err(problem) => writeln!(out, "  ? {problem}")?,
        }
        out.flush()?;
    }
    writeln!(out, "{}", reader.fill("console-written", "file", path.display().to_string()))?;
    writeln!(out, "{}", reader.fill("console-digest", "digest", session.rig().plant().digest()))?;
    Ok(exit::SUCCESS)
}

/// A line, cut at the limit; `None` at the end of the input.
fn read_line(lines: &mut impl BufRead) -> io::Result<Option<String>> {
    let mut bytes = Vec::new();
    let mut any = false;
    loop {
        let chunk = lines.fill_buf()?;
        if chunk.is_empty() {
            break;
        }
        any = true;
        let end = chunk.iter().position(|b| *b == b'\n');
        let take = end.map_or(chunk.len(), |k| k + 1);
        // What is beyond the limit is dropped, and the line then fails to parse.
        let room = (LINE + 1).saturating_sub(bytes.len());
        bytes.extend_from_slice(&chunk[..take.min(room)]);
        lines.consume(take);
        if end.is_some() {
            break;
        }
    }
    Ok(any.then(|| String::from_utf8_lossy(&bytes).into_owned()))
}

fn greet(scenario: &Scenario, path: &Path, reader: &Reader, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", scenario.title)?;
    writeln!(out, "{}", reader.say("safety"))?;
    for caution in &scenario.bench.cautions {
        writeln!(out, "{}", reader.fill("console-caution", "caution", caution.as_str()))?;
    }
    if !scenario.brief.is_empty() {
        writeln!(out, "\n{}", scenario.brief)?;
    }
    writeln!(out, "\n{}", reader.say("console-parts"))?;
    for part in scenario.plan.parts.iter().filter(|p| p.class != "Wire") {
        let terminals: Vec<&str> = part.terminals.iter().map(|(m, _)| m.as_str()).collect();
        let ports: Vec<&str> = part.ports.iter().map(|(m, _)| m.as_str()).collect();
        let mut points = terminals;
        points.extend(ports);
        writeln!(
            out,
            "  {:<5} {:<15} {:<24} {}",
            part.tag,
            part.class,
            part.title,
            points.join(" ")
        )?;
    }
    // As in the drawing that hangs in the cabinet: a wire is named to be measured and mended.
    writeln!(out, "{}", reader.say("console-wires"))?;
    for part in scenario.plan.parts.iter().filter(|p| p.class == "Wire") {
        writeln!(out, "  {:<5} {}", part.tag, part.title)?;
    }
    let points: Vec<&str> = scenario.plan.test_points.iter().map(|t| t.name.as_str()).collect();
    writeln!(out, "{}", reader.fill("console-points", "points", points.join(" ")))?;
    writeln!(out, "{}\n", reader.fill("console-help", "file", path.display().to_string()))
}

/// Shows what came of an action.
pub fn show(outcome: &Outcome, reader: &Reader, out: &mut dyn Write) -> io::Result<()> {
    for line in &outcome.lines {
        writeln!(out, "  {line}")?;
    }
    if reader.units == UnitSystem::UsCustomary {
        // The instruments are metric; what they showed is said again in the reader's units.
        for r in outcome.readings.iter().filter(|r| matches!(r.unit, "bar" | "degC")) {
            if let Some(value) = r.value {
                writeln!(out, "  ({})", reader.value(value, r.unit))?;
            }
        }
    }
    for seen in &outcome.seen {
        writeln!(out, "  {} {}", seen.at, seen.text)?;
    }
    if outcome.unlisted > 0 {
        let more = reader.fill("console-more", "count", outcome.unlisted as usize);
        writeln!(out, "  {more}")?;
    }
    for hazard in &outcome.hazards {
        let id = hazard.hazard.message();
        let shown = reader.evidence(&hazard.evidence);
        let comma = if shown.is_empty() { "" } else { ", " };
        let said = reader.say(&id);
        writeln!(out, "  !! {}: {}{comma}{shown}", said.trim_end_matches('.'), hazard.place)?;
        writeln!(out, "     {}", reader.say(&format!("{id}-why")))?;
    }
    Ok(())
}
