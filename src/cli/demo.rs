//! `demo`: a good and an unsafe attempt at the clay press, played and graded.

use std::io::{self, Write};
use std::path::Path;

use crate::base::SimTime;
use crate::diagnostic::{Code, Diagnostics, Sources};
use crate::grade::grade;
use crate::quantity::UnitSystem;
use crate::scenario::{Scenario, Shelf, Shipped, load, play};
use crate::session::Outcome;

use super::{exit, grade as grade_verb, input, run};

/// What to do when what is shipped fails.
const MEND: &str = "this is a mistake of the program; please report it";

/// Plays and grades both attempts; with a folder, writes attempts and grades there.
pub fn demo(folder: Option<&Path>, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let name = "press-interlock.scenario.ron";
    let scenario = load(&Shipped, name, &mut sources, &mut found);
    input::complain(&found, &sources, err)?;
    let Some(scenario) = scenario else {
        let line = input::problem(name, Code::INTERNAL, "a shipped scenario does not load", MEND);
        writeln!(err, "{line}")?;
        return Ok(exit::INTERNAL);
    };
    writeln!(out, "{}\n\n{}\n", scenario.title, scenario.brief)?;
    let mut digests = Vec::new();
    for (learner, list) in
        [("careful", "press-interlock.good.actions"), ("hasty", "press-interlock.unsafe.actions")]
    {
        writeln!(out, "== the {learner} learner ==\n")?;
        let words = Shipped.text(list).map_err(io::Error::other)?;
        let played = play(&scenario, learner, &words, &mut |at, action, outcome| {
            tell(&action.to_string(), at, outcome, out)
        });
        let attempt = match played {
            Ok(attempt) => attempt,
            Err(problem) => {
                writeln!(err, "{}", input::problem(list, Code::INTERNAL, problem, MEND))?;
                return Ok(exit::INTERNAL);
            }
        };
        let graded = match grade(&scenario, &attempt) {
            Ok(graded) => graded,
            Err(problem) => {
                for line in grade_verb::refusal(list, &problem).0 {
                    writeln!(err, "{line}")?;
                }
                return Ok(exit::INTERNAL);
            }
        };
        writeln!(out, "\n{}", graded.text())?;
        if let Some(folder) = folder {
            std::fs::create_dir_all(folder).map_err(|why| input::named(folder, &why))?;
            let path = folder.join(format!("{learner}.attempt.jsonl"));
            std::fs::write(&path, &attempt).map_err(|why| input::named(&path, &why))?;
            let json = serde_json::to_string_pretty(&graded).map_err(io::Error::other)?;
            input::save(&folder.join(format!("{learner}.grade.json")), &(json + "\n"))?;
            let trace = folder.join(format!("{learner}.trace.csv"));
            record(&scenario, &path, &trace, err)?;
        }
        digests.push(graded.digest);
    }
    if let Some(folder) = folder {
        writeln!(out, "attempts, grades and traces are in {}", folder.display())?;
    }
    for (learner, digest) in ["careful", "hasty"].iter().zip(digests) {
        writeln!(out, "digest {learner} {digest}")?;
    }
    Ok(exit::SUCCESS)
}
/// One action of the story in a line: what was done, and what came of it.
fn tell(action: &str, at: SimTime, outcome: &Outcome, out: &mut dyn Write) -> io::Result<()> {
    let mut came: Vec<String> = outcome.lines.iter().map(ToString::to_string).collect();
    came.extend(outcome.seen.iter().map(|s| s.what.to_string()));
    let at = at.to_string();
    writeln!(out, "{at:>10}  {action:<26} {}", came.join("; "))?;
    for hazard in &outcome.hazards {
        writeln!(out, "            !! {hazard}")?;
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
    run::run_loaded(&wish, UnitSystem::Si, scenario, &mut io::sink(), err).map(|_| ())
}
