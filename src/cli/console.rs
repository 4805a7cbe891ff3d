//! `console`: the bench in words.

use std::io::{self, BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};

use crate::diagnostic::Code;
use crate::scenario::Scenario;
use crate::session::{
    ActError, Entry, Header, JournalWriter, Outcome, Session, create_attempt, help, parse,
};

use super::{exit, input, run};

/// Longest line read from the prompt [bytes].
const LINE: usize = 4096;

/// Lets a learner work on the scenario in `file`, a line at a time.
pub fn console(
    file: &Path,
    attempt: Option<PathBuf>,
    learner: &str,
    seed: Option<u64>,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let Some(scenario) = input::bench_or_scenario(file, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    let seed = seed.unwrap_or(scenario.seed);
    let rig = match scenario.rig(seed) {
        Ok(rig) => rig,
        Err(problem) => {
            return run::unfit(file, &problem, err);
        }
    };
    let (path, journal) = match create_attempt(file, attempt) {
        Ok(opened) => opened,
        Err((path, why)) => {
            let help = "name a new file with --attempt; an attempt is never written over";
            let problem = input::named(&path, &why);
            let line = input::problem("spoolbench", Code::OUTPUT_FAILED, problem, help);
            writeln!(err, "{line}")?;
            return Ok(exit::BAD_INPUT);
        }
    };
    let header = Header::new(&scenario.digest, seed, learner);
    let mut journal = JournalWriter::new(journal, &header)?;
    let mut session = Session::new(rig, scenario.config());
    greet(&scenario, &path, out)?;
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
                show(&outcome, out)?;
            }
            Err(ActError::Rig(problem)) => return run::failed(&problem, err),
            Err(problem) => writeln!(out, "  ? {problem}")?,
        }
        out.flush()?;
    }
    writeln!(out, "attempt written to {}", path.display())?;
    writeln!(out, "digest {}", session.rig().plant().digest())?;
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

fn greet(scenario: &Scenario, path: &Path, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", scenario.title)?;
    writeln!(out, "Training aid only: data sheets, local codes and licensed practice come first.")?;
    for caution in &scenario.bench.cautions {
        writeln!(out, "caution: {caution}")?;
    }
    if !scenario.brief.is_empty() {
        writeln!(out, "\n{}", scenario.brief)?;
    }
    writeln!(out, "\nParts:")?;
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
    writeln!(out, "Wires:")?;
    for part in scenario.plan.parts.iter().filter(|p| p.class == "Wire") {
        writeln!(out, "  {:<5} {}", part.tag, part.title)?;
    }
    let points: Vec<&str> = scenario.plan.test_points.iter().map(|t| t.name.as_str()).collect();
    writeln!(out, "Test points: {}", points.join(" "))?;
    writeln!(out, "Type help for what you can do, quit to stop. Writing to {}\n", path.display())
}

/// Shows what came of an action.
pub fn show(outcome: &Outcome, out: &mut dyn Write) -> io::Result<()> {
    for line in &outcome.lines {
        writeln!(out, "  {line}")?;
    }
    for seen in &outcome.seen {
        writeln!(out, "  {} {}", seen.at, seen.text)?;
    }
    if outcome.unlisted > 0 {
        writeln!(out, "  ... and {} more things happened", outcome.unlisted)?;
    }
    for hazard in &outcome.hazards {
        writeln!(out, "  !! {hazard}")?;
        writeln!(out, "     {}", hazard.hazard.explanation())?;
    }
    Ok(())
}
