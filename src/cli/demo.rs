//! `demo`: a good and an unsafe attempt at the clay press, played and graded.

use std::io::{self, Write};
use std::path::Path;

use crate::diagnostic::{Diagnostics, Sources};
use crate::grade::grade;
use crate::scenario::{Shelf, Shipped, load, play};

use super::{console, exit, grade as grade_verb, input};

/// Plays and grades both attempts; with a folder, writes attempts and grades there.
pub fn demo(folder: Option<&Path>, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let name = "press-interlock.scenario.ron";
    let scenario = load(&Shipped, name, &mut sources, &mut found);
    input::complain(&found, &sources, err)?;
    let Some(scenario) = scenario else { return Ok(exit::INTERNAL) };
    writeln!(out, "{}\n\n{}\n", scenario.title, scenario.brief)?;
    let mut digests = Vec::new();
    for (learner, list) in [
        ("careful", "press-interlock.good.actions"),
        ("hasty", "press-interlock.unsafe.actions"),
    ] {
        writeln!(out, "== the {learner} learner ==\n")?;
        let words = Shipped.text(list).map_err(io::Error::other)?;
        let played = play(&scenario, learner, &words, &mut |at, action, outcome| {
            writeln!(out, "{at} > {action}")?;
            console::show(outcome, out)
        });
        let attempt = match played {
            Ok(attempt) => attempt,
            Err(problem) => {
                writeln!(err, "spoolbench: {list}: {problem}")?;
                return Ok(exit::INTERNAL);
            }
        };
        let graded = match grade(&scenario, &attempt) {
            Ok(graded) => graded,
            Err(problem) => {
                for line in grade_verb::refusal(&problem) {
                    writeln!(err, "spoolbench: {line}")?;
                }
                return Ok(exit::INTERNAL);
            }
        };
        writeln!(out, "\n{}", graded.text())?;
        if let Some(folder) = folder {
            std::fs::create_dir_all(folder)?;
            std::fs::write(folder.join(format!("{learner}.attempt.jsonl")), &attempt)?;
            let json = serde_json::to_string_pretty(&graded).map_err(io::Error::other)?;
            std::fs::write(folder.join(format!("{learner}.grade.json")), json + "\n")?;
        }
        digests.push(graded.digest);
    }
    if let Some(folder) = folder {
        writeln!(out, "attempts and grades are in {}", folder.display())?;
    }
    for (learner, digest) in ["careful", "hasty"].iter().zip(digests) {
        writeln!(out, "digest {learner} {digest}")?;
    }
    Ok(exit::SUCCESS)
}
