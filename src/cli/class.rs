//! What the verbs that deal with a class share: its secret and its roster.

use std::fs::File;
use std::io::{self, Read, Write};
use std::path::Path;

use crate::class::{
    Class, ROSTER_LIMIT, RosterProblem, SECRET_MOST, Secret, VariantError, Variants, read_roster,
    variants,
};
use crate::diagnostic::Code;
use crate::language::{Phrase, Words};
use crate::scenario::Scenario;

use super::input;

/// Up to `most` bytes of a file and one more.
fn bytes(
    path: &Path,
    most: usize,
    words: Words,
    err: &mut dyn Write,
) -> io::Result<Option<Vec<u8>>> {
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|f| f.take(most as u64 + 1).read_to_end(&mut bytes));
    match read {
        Ok(_) => Ok(Some(bytes)),
        Err(why) => {
            let (why, help) = (Phrase::system(&why), Phrase::new("io-check-name"));
            let line = input::problem(path.display(), Code::UNREADABLE, why, help, words);
            writeln!(err, "{line}")?;
            Ok(None)
        }
    }
}

/// The secret in a file, or what is wrong with it said aloud.
pub fn secret(path: &Path, words: Words, err: &mut dyn Write) -> io::Result<Option<Secret>> {
    let Some(bytes) = bytes(path, SECRET_MOST + 2, words, err)? else { return Ok(None) };
    match Secret::new(&bytes) {
        Ok(secret) => Ok(Some(secret)),
        Err(problem) => {
            let command = "head -c 32 /dev/urandom | base64 > class.secret";
            let help = Phrase::new("secret-make").with("command", command);
            let why = problem.phrase();
            let line = input::problem(path.display(), Code::BAD_SECRET, why, help, words);
            writeln!(err, "{line}")?;
            Ok(None)
        }
    }
}

/// The ids in a roster, or what is wrong with it said aloud.
pub fn roster(path: &Path, words: Words, err: &mut dyn Write) -> io::Result<Option<Vec<String>>> {
    let Some(bytes) = bytes(path, ROSTER_LIMIT, words, err)? else { return Ok(None) };
    match read_roster(&bytes) {
        Ok(ids) => Ok(Some(ids)),
        Err(problems) => {
            for RosterProblem { line, message, help } in problems {
                let place = format!("{}:{line}:1", path.display());
                let line = input::problem(place, Code::BAD_ROSTER, message, help, words);
                writeln!(err, "{line}")?;
            }
            Ok(None)
        }
    }
}

/// The variants of a scenario, or why there are none said aloud.
pub fn faults(
    file: &Path,
    scenario: &Scenario,
    band: Option<f64>,
    words: Words,
    err: &mut dyn Write,
) -> io::Result<Option<Variants>> {
    match variants(scenario, band) {
        Ok(found) => Ok(Some(found)),
        Err(problem) => {
            let help = match problem {
                VariantError::NoTest => Phrase::new("variants-say-test"),
                _ => Phrase::new("variants-declare"),
            };
            let why = problem.phrase();
            let line = input::problem(file.display(), Code::NO_VARIANTS, why, help, words);
            writeln!(err, "{line}")?;
            Ok(None)
        }
    }
}

/// A class at `scenario`, or what is wrong said aloud.
pub fn class(
    scenario: &Scenario,
    file: &Path,
    secret_file: &Path,
    roster_file: &Path,
    band: Option<f64>,
    words: Words,
    err: &mut dyn Write,
) -> io::Result<Option<(Class, Variants)>> {
    let (secret, learners) = (secret(secret_file, words, err)?, roster(roster_file, words, err)?);
    let (Some(secret), Some(learners)) = (secret, learners) else { return Ok(None) };
    let Some(found) = faults(file, scenario, band, words, err)? else { return Ok(None) };
    let class = Class::new(secret, &learners, scenario.clone(), found.list.clone());
    Ok(Some((class, found)))
}

/// How wide a band is, from what was typed: 25 or "25 %".
pub fn band(text: &str) -> Result<f64, String> {
    let percent = text.trim_end_matches('%').trim().parse::<f64>().ok();
    match percent {
        Some(percent) if (1.0..=200.0).contains(&percent) => Ok(percent / 100.0),
        _ => Err(format!("\"{text}\" is no width of a band; it is 1 to 200 percent")),
    }
}
