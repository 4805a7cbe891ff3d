//! `grade`: replays attempts and marks them.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::diagnostic::Code;
use crate::grade::{Grade, GradeError, Marker, Verdict};
use crate::session::{ActError, ReplayError};

use super::{exit, input, run};

/// What came of one file.
enum Done {
    Graded(Box<Grade>),
    /// Why not, a problem a line, and the exit code.
    Refused(Vec<String>, u8),
}

/// What `grade` was asked for.
pub struct Wish {
    /// Scenario file.
    pub scenario: PathBuf,
    /// Attempt files.
    pub attempts: Vec<PathBuf>,
    /// JSON file.
    pub json: Option<PathBuf>,
    /// Threads to use; 0 for as many as the machine has.
    pub threads: usize,
    /// Folder in which dictionaries are kept.
    pub cache: Option<PathBuf>,
}

/// Grades the attempts.
pub fn grade(wish: &Wish, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let Some(scenario) = input::scenario(&wish.scenario, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    let (attempts, json) = (&wish.attempts, wish.json.as_deref());
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(wish.threads)
        .build()
        .map_err(io::Error::other)?;
    let marker = Marker::new(&scenario, wish.cache.as_deref());
    // Whole attempts in parallel, results in the order of the files.
    let results: Vec<Done> =
        pool.install(|| attempts.par_iter().map(|file| one(&marker, file)).collect());
    let mut code = exit::SUCCESS;
    let mut records = Vec::new();
    for (file, done) in attempts.iter().zip(&results) {
        let name = file.display().to_string();
        match done {
            Done::Graded(grade) => {
                write!(out, "{name}\n{}", grade.text())?;
                if grade.verdict == Verdict::NotYetCompetent {
                    code = exit::graver(code, exit::NOT_YET_COMPETENT);
                }
                records.push(serde_json::json!({ "attempt": name, "grade": grade }));
            }
            Done::Refused(lines, grave) => {
                for line in lines {
                    writeln!(err, "{line}")?;
                }
                code = exit::graver(code, *grave);
                records.push(serde_json::json!({ "attempt": name, "problems": lines }));
            }
        }
    }
    if let Some(path) = json {
        let text = serde_json::to_string_pretty(&records).map_err(io::Error::other)?;
        input::save(path, &(text + "\n"))?;
    }
    Ok(code)
}

/// Why an attempt could not be marked, a problem a line, and the exit code of it.
pub fn refusal(name: &str, problem: &GradeError) -> (Vec<String>, u8) {
    let line = |code, help| input::problem(name, code, problem, help);
    match problem {
        GradeError::Journal(list) => {
            let lines = list.iter().map(|p| {
                let place = format!("{name}:{}:{}", p.line, p.column);
                input::problem(place, p.kind.code(), &p.message, p.help)
            });
            (lines.collect(), exit::BAD_INPUT)
        }
        GradeError::OtherScenario { .. } => {
            let help = "mark it with the scenario it was made at, unchanged since";
            (vec![line(Code::OTHER_SCENARIO, help)], exit::BAD_INPUT)
        }
        GradeError::Replay(ReplayError::Action { error: ActError::Rig(error), .. }) => {
            let (code, exit) = run::failure(error);
            (vec![line(code, "")], exit)
        }
        GradeError::Replay(_) => {
            let help = "hand in the file as it was written";
            (vec![line(Code::ACTION_REFUSED, help)], exit::BAD_INPUT)
        }
        GradeError::Scenario(_) => (vec![line(Code::SCRIPT_RUN, "")], exit::SCRIPT_FAULT),
    }
}

fn one(marker: &Marker, file: &Path) -> Done {
    let bytes = match input::record(file) {
        Ok(bytes) => bytes,
        Err(line) => return Done::Refused(vec![line], exit::BAD_INPUT),
    };
    match marker.grade(&bytes) {
        Ok(grade) => Done::Graded(Box::new(grade)),
        Err(problem) => {
            let (lines, code) = refusal(&file.display().to_string(), &problem);
            Done::Refused(lines, code)
        }
    }
}
