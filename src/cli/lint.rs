//! `lint`: advice on the design of benches.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use crate::diagnosis::lint::{Advice, lint as advise};
use crate::diagnostic::{Diagnostic, Diagnostics, Place, Sources};
use crate::language::{Phrase, Words};
use crate::scenario::load_any;

use super::args::Show;
use super::{exit, input};

/// Prints the advice on `benches`; what a bench accepts is told and does not count.
pub fn lint(
    benches: &[PathBuf],
    json_file: Option<&Path>,
    show: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let words = Words::of(show.language);
    let (mut code, mut records) = (exit::SUCCESS, Vec::new());
    for path in benches {
        let (shelf, name) = input::place(path);
        let (mut sources, mut found) = (input::sources(path), Diagnostics::new());
        let loaded = load_any(&shelf, &name, &mut sources, &mut found);
        // What loading warns of counts as advice: coils for another voltage, ports left open.
        input::complain(&found, &sources, words, err)?;
        let Some(scenario) = loaded else {
            code = exit::graver(code, exit::BAD_INPUT);
            continue;
        };
        let list = advise(&scenario.bench);
        let mut open = Diagnostics::new();
        for advice in list.iter().filter(|a| a.accepted.is_none()) {
            open.push(
                Diagnostic::advice(advice.code, advice.message.clone())
                    .at(Place::new(scenario.bench_file.as_str(), advice.span))
                    .help(advice.help.clone()),
            );
        }
        input::complain(&open, &sources, words, err)?;
        let count = open.len() + found.len();
        let accepted: Vec<&Advice> = list.iter().filter(|a| a.accepted.is_some()).collect();
        let verdict = match count {
            0 => Phrase::new("lint-nothing"),
            n => Phrase::new("lint-pieces").with("count", n),
        };
        let line = Phrase::new("lint-of")
            .with("file", path.display().to_string())
            .with("advice", verdict)
            .with("accepted", accepted.len());
        writeln!(out, "{}", words.phrase(&line))?;
        for advice in accepted {
            let reason = advice.accepted.as_deref().unwrap_or_default();
            let reason = words.phrase(&Phrase::new("lint-accepted").with("reason", reason));
            writeln!(out, "  {} {} ({reason})", advice.code, words.phrase(&advice.message))?;
        }
        if count > 0 {
            code = exit::graver(code, exit::NOT_YET_COMPETENT);
        }
        records.push(json!({
            "bench": scenario.bench.plan.name,
            "file": path.display().to_string(),
            "warnings": found.len(),
            "advice": list.iter().map(|a| record(a, &sources, &scenario.bench_file)).collect::<Vec<_>>(),
        }));
    }
    if let Some(path) = json_file {
        let all = json!({ "format": 1, "benches": records });
        let text = serde_json::to_string_pretty(&all).map_err(io::Error::other)?;
        input::save(path, &(text + "\n"))?;
    }
    Ok(code)
}

fn record(advice: &Advice, sources: &Sources, file: &str) -> Value {
    let at = sources.line_column(file, advice.span.start);
    json!({
        "code": advice.code,
        "part": advice.part,
        "message": advice.message.to_string(),
        "help": advice.help.to_string(),
        "why": advice.code.means().to_string(),
        "line": at.map(|at| at.0),
        "column": at.map(|at| at.1),
        "accepted": advice.accepted,
    })
}
