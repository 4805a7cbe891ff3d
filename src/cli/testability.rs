//! `testability`: how the faults of a bench can be told apart, and by what sequence of tests.

use std::io::{self, Write};
use std::path::PathBuf;

use serde_json::{Value, json};

use crate::base::ops::round_significant;
use crate::diagnosis::{Dictionary, FaultMatrix, Masked, Sequencer};
use crate::language::{Phrase, Words};

use super::args::Show;
use super::{exit, input};

/// What `testability` was asked for.
#[derive(Clone, Debug, clap::Args)]
pub struct Wish {
    /// Scenario file; its `retest` gives the operating steps.
    pub scenario: PathBuf,
    /// Write everything as JSON to this file.
    #[arg(long)]
    pub json: Option<PathBuf>,
    /// Write the fault matrix as CSV to this file.
    #[arg(long)]
    pub csv: Option<PathBuf>,
    /// Most tests rated when looking for the best sequence.
    #[arg(long, default_value_t = 400_000)]
    pub budget: usize,
    /// Print the whole tree of tests.
    #[arg(long)]
    pub tree: bool,
    /// Folder for fault dictionaries; the user's cache folder if not given.
    #[arg(long)]
    pub cache: Option<PathBuf>,
}

/// Simulates, measures and prints.
pub fn testability(
    wish: &Wish,
    show: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let words = Words::of(show.language);
    let Some(scenario) = input::bench_or_scenario(&wish.scenario, words, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    let found = match scenario.dictionary(input::cache(wish.cache.as_deref()).as_deref()) {
        Ok(found) => found,
        Err(problem) => {
            let why = words.phrase(&problem.phrase());
            writeln!(err, "spoolbench: {}: {why}", wish.scenario.display())?;
            return Ok(exit::BAD_INPUT);
        }
    };
    let summary = report(&found, wish, words, out)?;
    let mut files = Vec::new();
    if let Some(path) = &wish.json {
        let text = serde_json::to_string_pretty(&summary).map_err(io::Error::other)?;
        files.push(input::save(path, &(text + "\n")));
    }
    if let Some(path) = &wish.csv {
        files.push(input::save_with(path, |out| write_csv(&found.matrix, out)));
    }
    // Each file whatever became of the other.
    let mut code = exit::SUCCESS;
    for problem in files.into_iter().filter_map(Result::err) {
        writeln!(err, "{}", input::unwritten(&problem, words))?;
        code = exit::BAD_INPUT;
    }
    Ok(code)
}

fn percent(x: f64) -> String {
    format!("{:.1}", 100.0 * x)
}

fn report(found: &Dictionary, wish: &Wish, words: Words, out: &mut dyn Write) -> io::Result<Value> {
    let matrix = &found.matrix;
    let all = matrix.all_tests();
    let problem = |e: crate::diagnosis::DiagnosisError| io::Error::other(e.to_string());
    let groups = matrix.groups(&all).map_err(problem)?;
    let silent = matrix.undetectable(&all).map_err(problem)?;
    let detected = matrix.detected(&all).map_err(problem)?;
    let faults = matrix.states().len() - 1;
    let head = Phrase::new("testability-steps").with("faults", faults);
    writeln!(out, "{}", words.phrase(&head.with("steps", found.steps.len())))?;
    for step in &found.steps {
        writeln!(out, "  {}", numbered(step, words))?;
    }
    let looks = Phrase::new("testability-looks").with("before", found.tests_before);
    writeln!(out, "{}", words.phrase(&looks.with("tests", matrix.tests().len())))?;
    for (name, why) in &found.failed {
        let fault = words.fault(name);
        let failed = Phrase::new("testability-failed").with("fault", fault);
        writeln!(out, "{}", words.phrase(&failed.with("why", why.clone())))?;
    }
    let line = Phrase::new("testability-detected")
        .with("weighted", percent(detected.weighted))
        .with("counted", percent(detected.counted))
        .with("faults", faults);
    writeln!(out, "{}", words.phrase(&line))?;
    let mut isolated = Vec::new();
    for level in 1..=3 {
        if let Some(f) = matrix.isolated(&all, level).map_err(problem)? {
            let line = Phrase::new("testability-isolated")
                .with("level", level)
                .with("weighted", percent(f.weighted))
                .with("counted", percent(f.counted));
            writeln!(out, "{}", words.phrase(&line))?;
            isolated.push(json!({
                "repairs": level,
                "weighted": round_significant(f.weighted, 9),
                "counted": round_significant(f.counted, 9),
            }));
        }
    }
    let name = |s: usize| matrix.states()[s].name.as_str();
    let names = |list: &[usize]| list.iter().map(|s| name(*s)).collect::<Vec<_>>();
    let told = |list: &[usize]| -> String {
        list.iter().map(|s| words.fault(name(*s))).collect::<Vec<_>>().join("; ")
    };
    let line = Phrase::new("testability-silent").with("faults", told(&silent));
    writeln!(out, "{}", words.phrase(&line))?;
    let ambiguous: Vec<_> = groups.iter().filter(|g| !g.sound && g.repairs > 1).collect();
    let line = Phrase::new("testability-groups").with("count", ambiguous.len());
    writeln!(out, "{}", words.phrase(&line))?;
    for group in &ambiguous {
        writeln!(out, "  {}", told(&group.states))?;
    }
    let masking = masking(found, words, out)?;
    let line = Phrase::new("testability-needless").with("redundant", found.redundant.len());
    writeln!(out, "{}", words.phrase(&line.with("idle", found.idle.len())))?;
    let sequence = sequence(matrix, wish, words, out)?;
    Ok(json!({
        "format": 1,
        "steps": found.steps,
        "faults": matrix.states().iter().map(|s| json!({
            "name": s.name,
            "prior": round_significant(s.prior, 9),
            "repair": s.repair,
        })).collect::<Vec<_>>(),
        "tests": matrix.tests().iter().map(|t| json!({ "name": t.name, "cost_s": t.cost }))
            .collect::<Vec<_>>(),
        "signatures": (0..matrix.states().len()).map(|s| matrix.row(s)).collect::<Vec<_>>(),
        "observations_before_merging": found.tests_before,
        "detected": {
            "weighted": round_significant(detected.weighted, 9),
            "counted": round_significant(detected.counted, 9),
            "denominator": "all faults",
        },
        "isolated": isolated,
        "isolated_denominator": "detected faults",
        "undetected": names(&silent),
        "ambiguity_groups": groups.iter().filter(|g| g.states.len() > 1)
            .map(|g| names(&g.states)).collect::<Vec<_>>(),
        "pairs": masking,
        "redundant_tests": found.redundant.iter().map(|(test, kept)| json!({
            "test": test, "reads_as": kept,
        })).collect::<Vec<_>>(),
        "idle_tests": found.idle,
        "failed": found.failed.iter().map(|(fault, why)| json!({ "fault": fault, "why": why.to_string() }))
            .collect::<Vec<_>>(),
        "single_faults": "every other state is one fault; pairs are those that the scenario lists, \
                          simulated together",
        "costs": "a test costs its own bench time and that of the operating step before it, or of \
                  isolating",
        "sequence": sequence,
    }))
}

/// A step of the dictionary, such as `3. release S1, hold S2`.
fn numbered(step: &str, words: Words) -> String {
    let (number, acts) = match step.split_once(". ") {
        Some((number, acts)) => (format!("{number}. "), acts),
        None => (String::new(), step),
    };
    let acts: Vec<String> = acts.split(", ").map(|act| words.action(act)).collect();
    format!("{number}{}", acts.join(", "))
}

/// What the listed pairs hide or mimic.
fn masking(found: &Dictionary, words: Words, out: &mut dyn Write) -> io::Result<Value> {
    let matrix = &found.matrix;
    if found.pairs.is_empty() {
        writeln!(out, "{}", words.say("testability-no-pairs"))?;
        return Ok(json!([]));
    }
    let looks = matrix.masking(&found.pairs).map_err(|e| io::Error::other(e.to_string()))?;
    let name = |s: usize| matrix.states()[s].name.as_str();
    let mut list = Vec::new();
    let line = Phrase::new("testability-pairs").with("count", found.pairs.len());
    writeln!(out, "{}", words.phrase(&line))?;
    for (index, pair) in found.pairs.iter().enumerate() {
        let (a, b) = (name(pair.first), name(pair.second));
        let own = format!("{a} + {b}");
        let seen = looks.iter().find(|m| {
            // A pair is a state too, and always looks like itself.
            m.pair == index && !matches!(m.looks_like, Masked::Mimics(s) if name(s) == own)
        });
        let of = |id: &'static str, fault: &str| (Phrase::new(id), fault.to_owned());
        let (looks, fault) = match seen.map(|m| m.looks_like) {
            None => of("testability-pair-told", ""),
            Some(Masked::First) => of("testability-pair-hidden", a),
            Some(Masked::Second) => of("testability-pair-hidden", b),
            Some(Masked::Either) => of("testability-pair-either", ""),
            Some(Masked::Mimics(s)) => of("testability-pair-mimics", name(s)),
        };
        let said = words.phrase(&looks.clone().with("fault", words.fault(&fault)));
        writeln!(out, "  {} + {}: {said}", words.fault(a), words.fault(b))?;
        list.push(json!({ "faults": [a, b], "looks": looks.with("fault", fault).to_string() }));
    }
    Ok(Value::Array(list))
}

/// The best test sequence when a fault is known to be present.
fn sequence(
    matrix: &FaultMatrix,
    wish: &Wish,
    words: Words,
    out: &mut dyn Write,
) -> io::Result<Value> {
    let known = matrix.given_a_fault().and_then(|m| {
        let mut sequencer = Sequencer::with_budget(&m, wish.budget)?;
        let sequence = sequencer.solve();
        Ok((m.clone(), sequence))
    });
    match known {
        Err(problem) => {
            let line = Phrase::new("testability-unsolved").with("why", problem.to_string());
            writeln!(out, "{}", words.phrase(&line))?;
            Ok(json!({ "problem": problem.to_string() }))
        }
        Ok((m, sequence)) => {
            let proven = sequence.proven;
            let proof = if proven { "testability-proven" } else { "testability-unproven" };
            let line = Phrase::new("testability-sequence")
                .with("cost", format!("{:.0}", sequence.cost))
                .with("bound", format!("{:.0}", sequence.bound))
                .with("gap", percent(sequence.gap()))
                .with("proof", Phrase::new(proof));
            writeln!(out, "{}", words.phrase(&line))?;
            let text = sequence.tree.render(&m, words);
            let lines: Vec<&str> = text.lines().collect();
            let shown = if wish.tree { lines.len() } else { lines.len().min(24) };
            for line in &lines[..shown] {
                writeln!(out, "  {line}")?;
            }
            if shown < lines.len() {
                let more = Phrase::new("testability-more").with("count", lines.len() - shown);
                writeln!(out, "  {}", words.phrase(&more))?;
            }
            Ok(json!({
                "expected_cost_s": round_significant(sequence.cost, 9),
                "lower_bound_s": round_significant(sequence.bound, 9),
                "proven": sequence.proven,
                "tree": sequence.tree,
            }))
        }
    }
}

fn write_csv(matrix: &FaultMatrix, out: &mut dyn Write) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(out);
    let mut head = vec!["fault".to_owned(), "repair".to_owned(), "prior".to_owned()];
    head.extend(matrix.tests().iter().map(|t| format!("{} [{} s]", t.name, t.cost)));
    csv.write_record(&head)?;
    for (k, state) in matrix.states().iter().enumerate() {
        let mut row = vec![
            state.name.clone(),
            state.repair.clone(),
            format!("{}", round_significant(state.prior, 9)),
        ];
        row.extend(matrix.row(k).iter().map(u16::to_string));
        csv.write_record(&row)?;
    }
    csv.flush()
}
