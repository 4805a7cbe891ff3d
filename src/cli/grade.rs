//! `grade`: replays attempts and marks them.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::grade::{Grade, GradeError, Verdict, grade as judge};
use crate::scenario::Scenario;

use super::{exit, input};

/// Largest attempt file read [bytes].
const FILE: u64 = 32 << 20;

/// What came of one file.
enum Done {
    Graded(Box<Grade>),
    Unreadable(String),
    Refused(GradeError),
}

/// Grades `attempts` at the scenario in `path`.
pub fn grade(
    path: &Path,
    attempts: &[PathBuf],
    json: Option<&Path>,
    threads: usize,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let Some(scenario) = input::scenario(path, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    let pool =
        rayon::ThreadPoolBuilder::new().num_threads(threads).build().map_err(io::Error::other)?;
    // Whole attempts in parallel, results in the order of the files.
    let results: Vec<Done> =
        pool.install(|| attempts.par_iter().map(|file| one(&scenario, file)).collect());
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
            Done::Unreadable(why) => {
                writeln!(err, "{name}: {why}")?;
                code = exit::graver(code, exit::BAD_INPUT);
                records.push(serde_json::json!({ "attempt": name, "problem": why }));
            }
            Done::Refused(problem) => {
                let lines = refusal(problem);
                for line in &lines {
                    writeln!(err, "{name}: {line}")?;
                }
                let grave = match problem {
                    GradeError::Scenario(_) => exit::SCRIPT_FAULT,
                    _ => exit::BAD_INPUT,
                };
                code = exit::graver(code, grave);
                records.push(serde_json::json!({ "attempt": name, "problem": lines.join("; ") }));
            }
        }
    }
    if let Some(path) = json {
        let text = serde_json::to_string_pretty(&records).map_err(io::Error::other)?;
        std::fs::write(path, text + "\n")?;
    }
    Ok(code)
}

/// Why an attempt was refused, in lines.
pub fn refusal(problem: &GradeError) -> Vec<String> {
    match problem {
        GradeError::Journal(list) => list.iter().map(|p| format!("{p}; {}", p.help)).collect(),
        other => vec![other.to_string()],
    }
}

fn one(scenario: &Scenario, file: &Path) -> Done {
    let size = match std::fs::metadata(file) {
        Ok(meta) => meta.len(),
        Err(problem) => return Done::Unreadable(problem.to_string()),
    };
    if size > FILE {
        return Done::Unreadable(format!("it is larger than {} MiB", FILE >> 20));
    }
    match std::fs::read(file) {
        Ok(bytes) => match judge(scenario, &bytes) {
            Ok(grade) => Done::Graded(Box::new(grade)),
            Err(problem) => Done::Refused(problem),
        },
        Err(problem) => Done::Unreadable(problem.to_string()),
    }
}
