//! `demo`: a good and an unsafe attempt at the clay press, played and graded.

use std::io::{self, Write};
use std::path::Path;

use crate::diagnostic::{Code, Diagnostics, Sources};
use crate::grade::grade;
use crate::scenario::{Scenario, Shelf, Shipped, load};
use crate::session::{Entry, Header, JournalWriter, Session, read_actions};

use super::{exit, grade as grade_verb, input};

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
        let attempt = match play(&scenario, learner, list, out) {
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

/// Plays a shipped action list, telling it as a story; gives the attempt file it makes.
pub fn play(
    scenario: &Scenario,
    learner: &str,
    list: &str,
    out: &mut dyn Write,
) -> Result<Vec<u8>, String> {
    let text = Shipped.text(list).map_err(|why| why.to_string())?;
    let lines = read_actions(&text).map_err(|problems| {
        problems.iter().map(|(n, p)| format!("line {n}: {p}")).collect::<String>()
    })?;
    let rig = scenario.rig(scenario.seed).map_err(|e| e.to_string())?;
    let mut session = Session::new(rig, scenario.config());
    let mut bytes = Vec::new();
    let header = Header::new(&scenario.digest, scenario.seed, learner);
    let mut journal = JournalWriter::new(&mut bytes, &header).map_err(|e| e.to_string())?;
    for line in lines {
        if session.ended().is_some() {
            break;
        }
        let at = line.at.map_or(session.now(), |at| at.max(session.now()));
        let outcome = session
            .act_at(at, line.action.clone())
            .map_err(|e| format!("line {}: {e}", line.number))?;
        journal
            .record(&Entry { at: at.as_nanos(), action: line.action.clone() })
            .map_err(|e| e.to_string())?;
        writeln!(out, "{at} > {}", line.action).map_err(|e| e.to_string())?;
        super::console::show(&outcome, out).map_err(|e| e.to_string())?;
    }
    drop(journal);
    Ok(bytes)
}
