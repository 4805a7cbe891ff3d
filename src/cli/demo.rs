//! `demo`: a good and an unsafe attempt at the clay press, played and graded.

use std::io::{self, Write};
use std::path::Path;

use crate::base::SimTime;
use crate::diagnostic::{Code, Diagnostics, Sources};
use crate::grade::grade;
use crate::language::Phrase;
use crate::report::Reader;
use crate::scenario::{Scenario, Shelf, Shipped, load, play};
use crate::session::Outcome;

use super::args::Show;
use super::{exit, grade as grade_verb, input, run};

/// What to do when what is shipped fails.
const MEND: &str = "ask-report";

/// Plays and grades both attempts; with a folder, writes attempts and grades there.
pub fn demo(
    folder: Option<&Path>,
    show: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let reader = Reader::new(show.language, show.units);
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let name = "press-interlock.scenario.ron";
    let scenario = load(&Shipped, name, &mut sources, &mut found);
    input::complain(&found, &sources, reader.words, err)?;
    let Some(scenario) = scenario else {
        let (message, help) = (Phrase::new("ask-no-shipped"), Phrase::new(MEND));
        let line = input::problem(name, Code::INTERNAL, message, help, reader.words);
        writeln!(err, "{line}")?;
        return Ok(exit::INTERNAL);
    };
    writeln!(out, "{}\n\n{}\n", scenario.title, scenario.brief)?;
    let mut digests = Vec::new();
    for (learner, list) in
        [("careful", "press-interlock.good.actions"), ("hasty", "press-interlock.unsafe.actions")]
    {
        let name = reader.say(if learner == "careful" { "demo-careful" } else { "demo-hasty" });
        writeln!(out, "{}\n", reader.fill("demo-learner", "learner", name))?;
        let words = Shipped.text(list).map_err(io::Error::other)?;
        let played = play(&scenario, learner, &words, &mut |at, action, outcome| {
            tell(&reader.words.action(&action.to_string()), at, outcome, &reader, out)
        });
        let attempt = match played {
            Ok(attempt) => attempt,
            Err(problem) => {
                let (why, help) = (problem.phrase(), Phrase::new(MEND));
                let line = input::problem(list, Code::INTERNAL, why, help, reader.words);
                writeln!(err, "{line}")?;
                return Ok(exit::INTERNAL);
            }
        };
        let graded = match grade(&scenario, &attempt) {
            Ok(graded) => graded,
            Err(problem) => {
                for line in grade_verb::refusal(list, &problem, reader.words).0 {
                    writeln!(err, "{line}")?;
                }
                return Ok(exit::INTERNAL);
            }
        };
        writeln!(out, "\n{}", graded.text_in(show.language, show.units))?;
        if let Some(folder) = folder {
            input::folder(folder)?;
            let path = folder.join(format!("{learner}.attempt.jsonl"));
            input::save_with(&path, |out| out.write_all(&attempt))?;
            let json = serde_json::to_string_pretty(&graded).map_err(io::Error::other)?;
            input::save(&folder.join(format!("{learner}.grade.json")), &(json + "\n"))?;
            let trace = folder.join(format!("{learner}.trace.csv"));
            record(&scenario, &path, &trace, err)?;
        }
        digests.push(graded.digest);
    }
    if let Some(folder) = folder {
        let folder = folder.display().to_string();
        writeln!(out, "{}", reader.fill("demo-written", "folder", folder))?;
    }
    for (learner, digest) in ["careful", "hasty"].into_iter().zip(digests) {
        let line = Phrase::new("demo-digest").with("learner", learner).with("digest", digest);
        writeln!(out, "{}", reader.words.phrase(&line))?;
    }
    Ok(exit::SUCCESS)
}

/// One action of the story in a line: what was done, and what came of it.
fn tell(
    action: &str,
    at: SimTime,
    outcome: &Outcome,
    reader: &Reader,
    out: &mut dyn Write,
) -> io::Result<()> {
    let came = outcome.lines.iter().chain(outcome.seen.iter().map(|s| &s.what));
    let came: Vec<String> = came.map(|phrase| reader.tell(phrase)).collect();
    let at = at.to_string();
    writeln!(out, "{at:>10}  {action:<26} {}", came.join("; "))?;
    for hazard in &outcome.hazards {
        writeln!(out, "            !! {}", reader.hazard(hazard))?;
    }
    Ok(())
}

/// Traces worth a look: both coils, the ram and the pressures, every 50 ms.
const PROBES: [&str; 6] = ["I:1V1.a", "I:1V1.b", "T:1V1.b", "x:1V1", "p:MP2", "s:1A1"];

/// Runs the attempt again and records its traces.
fn record(scenario: &Scenario, attempt: &Path, csv: &Path, err: &mut dyn Write) -> io::Result<()> {
    let wish = run::Wish {
        file: Path::new(&scenario.bench_file).to_path_buf(),
        actions: Some(attempt.to_path_buf()),
        until: None,
        seed: None,
        probes: PROBES.iter().map(|p| (*p).to_owned()).collect(),
        every: "50 ms".to_owned(),
        csv: Some(csv.to_path_buf()),
        vcd: None,
    };
    run::run_loaded(&wish, Show::default(), scenario, &mut io::sink(), err).map(|_| ())
}
