//! `new`: a folder to start from, with a machine, a task, a fault script, a rubric and an attempt.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

use crate::diagnostic::{Code, Diagnostics, Sources};
use crate::language::{Phrase, Words};
use crate::scenario::{Shelf, Unread, load, play};

use super::args::Show;
use super::{exit, input};

const TASK: &str = "task.scenario.ron";
const GOOD: &str = "good.actions";

/// What is written.
const FILES: [(&str, &str); 4] = [
    ("machine.bench.ron", include_str!("starter/machine.bench.ron")),
    (TASK, include_str!("starter/task.scenario.ron")),
    ("fault.rhai", include_str!("starter/fault.rhai")),
    (GOOD, include_str!("starter/good.actions")),
];

struct Starter;

impl Shelf for Starter {
    fn text(&self, name: &str) -> Result<String, Unread> {
        let found = FILES.iter().find(|(known, _)| *known == name);
        let missing = || Unread::Missing(Phrase::new("io-not-in-starter"));
        found.map(|(_, text)| (*text).to_owned()).ok_or_else(missing)
    }
}

/// Fills `folder`, which must be empty or not there.
pub fn new(folder: &Path, show: Show, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let words = Words::of(show.language);
    let refuse = |message: &'static str, err: &mut dyn Write| {
        let (message, help) = (Phrase::new(message), Phrase::new("ask-folder"));
        let line = input::problem(folder.display(), Code::OUTPUT_FAILED, message, help, words);
        writeln!(err, "{line}").map(|()| exit::BAD_INPUT)
    };
    if folder.exists() && !folder.is_dir() {
        return refuse("ask-is-file", err);
    }
    fs::create_dir_all(folder).map_err(|why| input::named(folder, &why))?;
    let mut entries = fs::read_dir(folder).map_err(|why| input::named(folder, &why))?;
    if entries.next().is_some() {
        return refuse("ask-not-empty", err);
    }
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let scenario = load(&Starter, TASK, &mut sources, &mut found);
    input::complain(&found, &sources, words, err)?;
    let list = Starter.text(GOOD).map_err(io::Error::other)?;
    let attempt = match scenario.map(|s| play(&s, "careful", &list, &mut |_, _, _| Ok(()))) {
        Some(Ok(attempt)) => attempt,
        failed => {
            let why = failed.and_then(Result::err).map(|why| why.phrase());
            let message = why.unwrap_or(Phrase::new("ask-starter"));
            let help = Phrase::new("ask-report");
            writeln!(err, "{}", input::problem(TASK, Code::INTERNAL, message, help, words))?;
            return Ok(exit::INTERNAL);
        }
    };
    let texts = FILES.map(|(name, text)| (name, text.as_bytes()));
    for (name, bytes) in texts.into_iter().chain([("good.attempt.jsonl", attempt.as_slice())]) {
        let path = folder.join(name);
        // Even if somebody writes here at the same time, nothing is written over.
        let written = File::options()
            .write(true)
            .create_new(true)
            .open(&path)
            .and_then(|mut file| file.write_all(bytes));
        written.map_err(|why| input::named(&path, &why))?;
        writeln!(out, "{}", path.display())?;
    }
    writeln!(out, "\n{}\n", words.say("starter-try"))?;
    for line in [
        "check machine.bench.ron task.scenario.ron fault.rhai",
        "run task.scenario.ron --actions good.actions",
        "grade task.scenario.ron good.attempt.jsonl",
        "console task.scenario.ron",
    ] {
        writeln!(out, "  spoolbench {line}")?;
    }
    writeln!(out, "\n{}", words.say("starter-then"))?;
    Ok(exit::SUCCESS)
}
