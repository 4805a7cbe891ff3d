//! `testability`: how the faults of a bench can be told apart, and by what sequence of tests.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use crate::base::ops::round_significant;
use crate::diagnosis::{Dictionary, FaultMatrix, Masked, Sequencer};

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
pub fn testability(wish: &Wish, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let Some(scenario) = input::bench_or_scenario(&wish.scenario, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    let found = match scenario.dictionary(input::cache(wish.cache.as_deref()).as_deref()) {
        Ok(found) => found,
        Err(problem) => {
            writeln!(err, "spoolbench: {}: {problem}", wish.scenario.display())?;
            return Ok(exit::BAD_INPUT);
        }
    };
    let summary = report(&found, wish, out)?;
    if let Some(path) = &wish.json {
        let text = serde_json::to_string_pretty(&summary).map_err(io::Error::other)?;
        input::save(path, &(text + "\n"))?;
    }
    if let Some(path) = &wish.csv {
        write_csv(&found.matrix, path)?;
    }
    Ok(exit::SUCCESS)
}

fn percent(x: f64) -> String {
    format!("{:.1} %", 100.0 * x)
}

fn report(found: &Dictionary, wish: &Wish, out: &mut dyn Write) -> io::Result<Value> {
    let matrix = &found.matrix;
    let all = matrix.all_tests();
    let problem = |e: crate::diagnosis::DiagnosisError| io::Error::other(e.to_string());
    let groups = matrix.groups(&all).map_err(problem)?;
    let silent = matrix.undetectable(&all).map_err(problem)?;
    let detected = matrix.detected(&all).map_err(problem)?;
    let faults = matrix.states().len() - 1;
    writeln!(out, "{} faults, {} operating steps:", faults, found.steps.len())?;
    for step in &found.steps {
        writeln!(out, "  {step}")?;
    }
    writeln!(
        out,
        "{} observations, of which {} differ from one another and tell anything",
        found.tests_before,
        matrix.tests().len()
    )?;
    for (name, why) in &found.failed {
        writeln!(out, "could not be simulated: {name}: {why}")?;
    }
    writeln!(
        out,
        "detected: {} by prior weight, {} counted (of all {faults} faults)",
        percent(detected.weighted),
        percent(detected.counted)
    )?;
    let mut isolated = Vec::new();
    for level in 1..=3 {
        if let Some(f) = matrix.isolated(&all, level).map_err(problem)? {
            writeln!(
                out,
                "isolated to {level} repair{} or fewer: {} by prior weight, {} counted (of the \
                 detected)",
                if level == 1 { "" } else { "s" },
                percent(f.weighted),
                percent(f.counted)
            )?;
            isolated.push(json!({
                "repairs": level,
                "weighted": round_significant(f.weighted, 9),
                "counted": round_significant(f.counted, 9),
            }));
        }
    }
    let name = |s: usize| matrix.states()[s].name.as_str();
    let names = |list: &[usize]| list.iter().map(|s| name(*s)).collect::<Vec<_>>();
    writeln!(out, "no sign in any of these steps: {}", names(&silent).join("; "))?;
    let ambiguous: Vec<_> = groups.iter().filter(|g| !g.sound && g.repairs > 1).collect();
    writeln!(out, "ambiguity groups of several repairs: {}", ambiguous.len())?;
    for group in &ambiguous {
        writeln!(out, "  {}", names(&group.states).join("; "))?;
    }
    let masking = masking(found, out)?;
    writeln!(
        out,
        "tests that only repeat another: {}; that read the same whatever is wrong: {} (--json \
         lists them)",
        found.redundant.len(),
        found.idle.len()
    )?;
    let sequence = sequence(matrix, wish, out)?;
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
        "failed": found.failed.iter().map(|(fault, why)| json!({ "fault": fault, "why": why }))
            .collect::<Vec<_>>(),
        "single_faults": "every other state is one fault; pairs are those that the scenario lists, \
                          simulated together",
        "costs": "a test costs its own bench time and that of the operating step before it, or of \
                  isolating",
        "sequence": sequence,
    }))
}

/// What the listed pairs hide or mimic.
fn masking(found: &Dictionary, out: &mut dyn Write) -> io::Result<Value> {
    let matrix = &found.matrix;
    if found.pairs.is_empty() {
        writeln!(out, "pairs of faults: none listed in the scenario; single faults assumed")?;
        return Ok(json!([]));
    }
    let looks = matrix.masking(&found.pairs).map_err(|e| io::Error::other(e.to_string()))?;
    let name = |s: usize| matrix.states()[s].name.as_str();
    let mut list = Vec::new();
    writeln!(out, "pairs of faults, simulated together: {}", found.pairs.len())?;
    for (index, pair) in found.pairs.iter().enumerate() {
        let (a, b) = (name(pair.first), name(pair.second));
        let own = format!("{a} + {b}");
        let seen = looks.iter().find(|m| {
            // A pair is a state too, and always looks like itself.
            m.pair == index && !matches!(m.looks_like, Masked::Mimics(s) if name(s) == own)
        });
        let words = match seen.map(|m| m.looks_like) {
            None => "told from each alone".to_owned(),
            Some(Masked::First) => format!("{a} is hidden"),
            Some(Masked::Second) => format!("{b} is hidden"),
            Some(Masked::Either) => "looks like each alone".to_owned(),
            Some(Masked::Mimics(s)) => format!("false failure: looks like {}", name(s)),
        };
        writeln!(out, "  {own}: {words}")?;
        list.push(json!({ "faults": [a, b], "looks": words }));
    }
    Ok(Value::Array(list))
}

/// The best test sequence when a fault is known to be present.
fn sequence(matrix: &FaultMatrix, wish: &Wish, out: &mut dyn Write) -> io::Result<Value> {
    let known = matrix.given_a_fault().and_then(|m| {
        let mut sequencer = Sequencer::with_budget(&m, wish.budget)?;
        let sequence = sequencer.solve();
        Ok((m.clone(), sequence))
    });
    match known {
        Err(problem) => {
            writeln!(out, "best sequence: not worked out: {problem}")?;
            Ok(json!({ "problem": problem.to_string() }))
        }
        Ok((m, sequence)) => {
            writeln!(
                out,
                "best sequence, a fault being present: {:.0} s of measuring on average; no sequence \
                 does better than {:.0} s; gap {}; {}",
                sequence.cost,
                sequence.bound,
                percent(sequence.gap()),
                if sequence.proven { "proven best" } else { "not proven best" }
            )?;
            let text = sequence.tree.render(&m);
            let lines: Vec<&str> = text.lines().collect();
            let shown = if wish.tree { lines.len() } else { lines.len().min(24) };
            for line in &lines[..shown] {
                writeln!(out, "  {line}")?;
            }
            if shown < lines.len() {
                writeln!(out, "  ... {} more lines; --tree shows all", lines.len() - shown)?;
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

fn write_csv(matrix: &FaultMatrix, path: &Path) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(input::create(path)?);
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
