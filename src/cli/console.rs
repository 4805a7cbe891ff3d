//! `console`: the bench in words.

use std::fs::File;
use std::io::{self, BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};

use crate::base::SimTime;
use crate::diagnostic::Code;
use crate::grade::GradeError;
use crate::language::{Phrase, Words};
use crate::report::Reader;
use crate::scenario::Scenario;
use crate::session::{
    ActError, Entry, Header, JournalWriter, Outcome, Session, create_attempt, help, parse,
    read_journal, reopen_attempt,
};

use super::args::Show;
use super::{exit, grade, input, run};

/// Longest line read from the prompt [bytes].
const LINE: usize = 4096;

/// What `console` was asked for.
#[derive(Clone, Debug, clap::Args)]
pub struct Wish {
    /// Scenario, bench or kit.
    pub file: PathBuf,
    /// Attempt file to write; a free name beside the scenario if not given.
    #[arg(long)]
    pub attempt: Option<PathBuf>,
    /// Go on with the attempt in the file of --attempt, which was stopped.
    #[arg(long, requires = "attempt", conflicts_with_all = ["learner", "seed"])]
    pub resume: bool,
    /// Pseudonym of the learner, stored in the attempt.
    #[arg(long)]
    pub learner: Option<String>,
    /// Seed; the scenario's own if not given.
    #[arg(long)]
    pub seed: Option<u64>,
    /// When it is begun, for reports: RFC 3339 in UTC, such as 2026-11-25T08:30:00Z. No clock is read.
    #[arg(long, value_name = "TIME", value_parser = moment)]
    pub started: Option<String>,
}

/// A moment for the head of an attempt.
fn moment(text: &str) -> Result<String, String> {
    if crate::session::is_moment(text) {
        Ok(text.to_owned())
    } else {
        Err("write it in UTC to the second, such as 2026-11-25T08:30:00Z".to_owned())
    }
}

/// Lets a learner work on the scenario of the wish, a line at a time.
pub fn console(
    wish: &Wish,
    manner: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let file = &wish.file;
    let reader = Reader::new(manner.language, manner.units);
    let words = reader.words;
    let Some((scenario, of_kit)) = input::practice(file, reader.words, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    if of_kit.is_some() && (wish.learner.is_some() || wish.seed.is_some()) {
        let (message, help) = (Phrase::new("kit-own"), Phrase::new("kit-leave-out"));
        let line = input::problem(file.display(), Code::SEALED_KIT, message, help, words);
        writeln!(err, "{line}")?;
        return Ok(exit::BAD_INPUT);
    }
    let begun = match wish.attempt.as_ref().filter(|_| wish.resume) {
        None => None,
        Some(path) => match take_up(path, &scenario, words) {
            Ok(begun) => Some(begun),
            Err(lines) => {
                for line in lines {
                    writeln!(err, "{line}")?;
                }
                return Ok(exit::BAD_INPUT);
            }
        },
    };
    let seed = match &begun {
        Some(begun) => begun.header.seed,
        None => wish.seed.unwrap_or(scenario.seed),
    };
    let rig = match scenario.rig(seed) {
        Ok(rig) => rig,
        Err(problem) => {
            return run::unfit(file, &problem, words, err);
        }
    };
    let mut session = Session::new(rig, scenario.config());
    let (path, mut journal) = match begun {
        Some(begun) => {
            let Begun { path, opened, entries, .. } = begun;
            for Entry { at, action } in entries {
                if let Err(problem) = session.act_at(SimTime::from_nanos(at), action) {
                    let (code, why) = (Code::ACTION_REFUSED, problem.phrase());
                    let help = Phrase::new("ask-as-written");
                    let line = input::problem(path.display(), code, why, help, words);
                    writeln!(err, "{line}")?;
                    return Ok(exit::BAD_INPUT);
                }
            }
            (path, JournalWriter::resume(opened))
        }
        None => {
            let (path, opened) = match create_attempt(file, wish.attempt.clone()) {
                Ok(opened) => opened,
                Err((path, why)) => {
                    let (code, help) = (Code::OUTPUT_FAILED, Phrase::new("ask-new-file"));
                    let why = input::told(&input::named(&path, &why));
                    let line = input::problem("spoolbench", code, why, help, words);
                    writeln!(err, "{line}")?;
                    return Ok(exit::BAD_INPUT);
                }
            };
            let learner = of_kit.as_deref().or(wish.learner.as_deref()).unwrap_or("learner");
            let mut header = Header::new(&scenario.digest, seed, learner);
            header.started.clone_from(&wish.started);
            let journal = JournalWriter::new(opened, &header);
            let journal = journal.map_err(|why| input::named(&path, &why))?;
            (path, journal)
        }
    };
    greet(&scenario, &path, &reader, out)?;
    if wish.resume {
        let taken = Phrase::new("console-taken-up").with("count", session.log().len());
        writeln!(out, "{}\n", reader.tell(&taken.with("at", session.now().to_string())))?;
    }
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
            write!(out, "{}", help(reader.words))?;
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
                let (what, help) = (reader.tell(&problem.message), reader.tell(&problem.help));
                writeln!(out, "  ? {what}; {help}")?;
                continue;
            }
        };
        let at = session.now().as_nanos();
        match session.act(action.clone()) {
            Ok(outcome) => {
                // On disk before the next line is read: a crash loses at most this action.
                let entry = Entry { at, action };
                journal.record(&entry).map_err(|why| input::named(&path, &why))?;
                show(&outcome, &reader, out)?;
            }
            Err(ActError::Rig(problem)) => return run::failed(&problem, words, err),
            Err(problem) => writeln!(out, "  ? {}", reader.tell(&problem.phrase()))?,
        }
        out.flush()?;
    }
    writeln!(out, "{}", reader.fill("console-written", "file", path.display().to_string()))?;
    writeln!(out, "{}", reader.fill("console-digest", "digest", session.rig().plant().digest()))?;
    Ok(exit::SUCCESS)
}

/// An attempt that was stopped.
struct Begun {
    path: PathBuf,
    opened: File,
    header: Header,
    entries: Vec<Entry>,
}

/// Opens an attempt to go on with it. A last line that was torn is cut off.
fn take_up(path: &Path, scenario: &Scenario, words: Words) -> Result<Begun, Vec<String>> {
    let bytes = input::record(path).map_err(|problem| vec![input::line(&problem, words)])?;
    let attempt = read_journal(&bytes, &scenario.config()).map_err(|problems| {
        let refused = GradeError::Journal(problems);
        grade::refusal(&path.display().to_string(), &refused, words).0
    })?;
    if attempt.header.scenario != scenario.digest {
        let (code, why) = (Code::OTHER_SCENARIO, Phrase::new("ask-other-task"));
        let help = Phrase::new("ask-begun-task");
        return Err(vec![input::problem(path.display(), code, why, help, words)]);
    }
    let failed = |why: io::Error| {
        let (why, help) = (Phrase::system(&why), Phrase::new("ask-permissions"));
        vec![input::problem(path.display(), Code::OUTPUT_FAILED, why, help, words)]
    };
    let opened = reopen_attempt(path, &attempt).map_err(failed)?;
    Ok(Begun { path: path.to_owned(), opened, header: attempt.header, entries: attempt.entries })
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
    let mut rows = Vec::new();
    for part in scenario.plan.parts.iter().filter(|p| p.class != "Wire") {
        let points = part.terminals.iter().map(|(m, _)| m).chain(part.ports.iter().map(|(m, _)| m));
        let points = points.map(String::as_str).collect::<Vec<_>>().join(" ");
        rows.push([part.tag.clone(), reader.words.kind(part.class), part.title.clone(), points]);
    }
    let [tag, kind, title] =
        [0, 1, 2].map(|k| rows.iter().map(|row| row[k].chars().count()).max().unwrap_or(0));
    for row in &rows {
        let line = format!("  {:<tag$}  {:<kind$}  {:<title$}  {}", row[0], row[1], row[2], row[3]);
        writeln!(out, "{}", line.trim_end())?;
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
        writeln!(out, "  {}", reader.tell(line))?;
    }
    for seen in &outcome.seen {
        writeln!(out, "  {}", reader.tell(&seen.phrase()))?;
    }
    if outcome.unlisted > 0 {
        let more = reader.fill("console-more", "count", outcome.unlisted as usize);
        writeln!(out, "  {more}")?;
    }
    for hazard in &outcome.hazards {
        writeln!(out, "  !! {}", reader.hazard(hazard))?;
        writeln!(out, "     {}", reader.say(&format!("{}-why", hazard.hazard.message())))?;
    }
    Ok(())
}
