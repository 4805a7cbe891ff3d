//! `check`: every problem of the files given.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::base::SimTime;
use crate::diagnostic::{Code, Diagnostic, Diagnostics, Place, Sources, json, one_lines_in};
use crate::fault::Script;
use crate::language::{Phrase, Words};
use crate::scenario::{Scenario, Shelf, fetch, load_any, load_drill, problem_code, script_problem};
use crate::session::Session;

use super::args::Show;
use super::{exit, input, run};

/// Checks `files` and prints what is wrong with them.
pub fn check(
    files: &[PathBuf],
    short: bool,
    json_file: Option<&Path>,
    show: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let words = Words::of(show.language);
    let mut code = exit::SUCCESS;
    let mut all = Vec::new();
    for path in files {
        let mut sources = input::sources(path);
        let mut found = Diagnostics::new();
        let (shelf, name) = input::place(path);
        if path.extension().is_some_and(|e| e == "rhai") {
            check_script(&shelf, &name, &mut sources, &mut found);
        } else if input::is_kit(path) {
            let message = Phrase::new("kit-check");
            found.push(Diagnostic::error(Code::SEALED_KIT, message).at(Place::file(&name)));
        } else if input::is_drill(path) {
            load_drill(&shelf, &name, &mut sources, &mut found);
        } else {
            let scenario = load_any(&shelf, &name, &mut sources, &mut found);
            if let Some(scenario) = scenario.filter(|scenario| !scenario.scripts.is_empty())
                && let Err((code, message)) = begin(&scenario)
            {
                found.push(Diagnostic::error(code, message).at(Place::file(&name)));
            }
        }
        if short {
            write!(err, "{}", one_lines_in(&found, &sources, words))?;
        } else {
            input::complain(&found, &sources, words, err)?;
        }
        if json_file.is_some() {
            all.push(json(&found, &sources));
        }
        if found.has_errors() {
            code = exit::BAD_INPUT;
        }
        let verdict = words.phrase(&found.tally());
        writeln!(out, "{}: {verdict}", path.display())?;
    }
    if let Some(path) = json_file {
        let text = serde_json::to_string_pretty(&all).map_err(io::Error::other)?;
        input::save(path, &(text + "\n"))?;
    }
    Ok(code)
}

/// Calls the scripts' `setup`, which is before anything happens.
fn begin(scenario: &Scenario) -> Result<(), (Code, Phrase)> {
    let rig = scenario
        .rig(scenario.seed)
        .map_err(|problem| (problem_code(&problem), problem.phrase()))?;
    Session::new(rig, scenario.config())
        .idle(SimTime::ZERO)
        .map(drop)
        .map_err(|problem| (run::failure(&problem).0, problem.phrase()))
}

fn check_script(shelf: &dyn Shelf, name: &str, sources: &mut Sources, found: &mut Diagnostics) {
    if let Some(text) = fetch(shelf, name, None, Code::UNREADABLE, sources, found)
        && let Err(fault) = Script::new(name, &text)
    {
        found.push(script_problem(&fault, &text));
    }
}
