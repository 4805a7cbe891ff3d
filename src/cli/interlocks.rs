//! `interlocks`: the control circuit explored exhaustively, and what breaks it replayed.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde_json::{Value, json};

use crate::base::SimTime;
use crate::diagnosis::interlock::{
    Action, Counterexample, Fault, InterlockReport, LatentFinding, Limits, Onset, Options, Replay,
    Sign, Step, TimedAction, Verdict, check, check_faults, latent_faults, perform, replay,
};
use crate::language::{Language, Phrase, Words};
use crate::plant::{Plan, Plant};
use crate::report::{Course, vcd_probes};
use crate::session::Sample;

use super::args::Show;
use super::run::dump;
use super::{exit, input};

/// What `interlocks` was asked for.
#[derive(Clone, Debug, clap::Args)]
pub struct Wish {
    /// Bench file.
    pub bench: PathBuf,
    /// Also under every single fault, from the start and arising at any moment, and what of them shows
    /// in normal operation.
    #[arg(long)]
    pub faults: bool,
    /// Most states of each exploration.
    #[arg(long, default_value_t = 2_000_000)]
    pub states: usize,
    /// Write everything as JSON to this file.
    #[arg(long)]
    pub json: Option<PathBuf>,
    /// Write confirmed breaks of the sound circuit as action lists to this folder.
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// Write a confirmed break of each kind as a value change dump to this folder.
    #[arg(long)]
    pub vcd: Option<PathBuf>,
}

/// Explores, prints what holds and what breaks.
pub fn interlocks(
    wish: &Wish,
    show: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let words = Words::of(show.language);
    let Some(scenario) = input::bench_or_scenario(&wish.bench, words, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    let plan = &scenario.plan;
    let limits = Limits { states: wish.states, ..Limits::default() };
    let options = Options { limits, ..Options::default() };
    let report = match check(plan, &options) {
        Ok(report) => report,
        Err(problem) => {
            let why = words.phrase(&problem.phrase());
            writeln!(err, "spoolbench: {}: {why}", wish.bench.display())?;
            return Ok(exit::BAD_INPUT);
        }
    };
    let mut printer = Printer {
        plan,
        words,
        out,
        folder: wish.out.as_deref(),
        dumps: wish.vcd.as_deref(),
        tried: Vec::new(),
        written: 0,
        dumped: 0,
    };
    writeln!(printer.out, "{}: {}", plan.name, words.phrase(&report.extent()))?;
    let mut records = vec![printer.report("sound", &report)?];
    let mut latent = Value::Null;
    if wish.faults {
        let all = Fault::all(plan);
        for onset in [Onset::Static, Onset::Arising] {
            let found = match check_faults(plan, &options, &all, onset) {
                Ok(found) => found,
                Err(problem) => {
                    let why = words.phrase(&problem.phrase());
                    writeln!(err, "spoolbench: {}: {why}", wish.bench.display())?;
                    return Ok(exit::BAD_INPUT);
                }
            };
            let when = Phrase::new(match onset {
                Onset::Static => "interlock-from-start",
                Onset::Arising => "interlock-arising",
            });
            let harmless = found.iter().filter(|f| f.broken().is_empty()).count();
            let line = Phrase::new("interlock-faults")
                .with("count", found.len())
                .with("when", when.clone())
                .with("harmless", harmless.to_string());
            writeln!(printer.out, "\n{}", words.phrase(&line))?;
            for finding in &found {
                if finding.broken().is_empty() {
                    continue;
                }
                let name = Phrase::new("interlock-fault-when")
                    .with("fault", finding.fault.tell(plan))
                    .with("when", when.clone());
                let line = Phrase::new("interlock-with")
                    .with("name", name.clone())
                    .with("extent", finding.report.extent());
                writeln!(printer.out, "\n{}", words.phrase(&line))?;
                records.push(printer.report(&name.to_string(), &finding.report)?);
            }
        }
        match latent_faults(plan, &options, &all) {
            Ok(found) => latent = tell_latent(plan, &found, words, printer.out)?,
            Err(problem) => {
                let why = words.phrase(&problem.phrase());
                writeln!(err, "spoolbench: {}: {why}", wish.bench.display())?;
                return Ok(exit::BAD_INPUT);
            }
        }
    }
    writeln!(printer.out, "\n{}", words.say("interlock-claim"))?;
    if let Some(path) = &wish.json {
        let text = serde_json::to_string_pretty(&json!({
            "format": 1,
            "bench": plan.name,
            "explorations": records,
            "normal_operation": latent,
        }))
        .map_err(io::Error::other)?;
        input::save(path, &(text + "\n"))?;
    }
    Ok(exit::SUCCESS)
}

/// Which faults normal operation shows, and which it does not.
fn tell_latent(
    plan: &Plan,
    found: &[LatentFinding],
    words: Words,
    out: &mut dyn Write,
) -> io::Result<Value> {
    let count = |wanted: &Sign| found.iter().filter(|f| f.sign == *wanted).count();
    let (latent, open) = (count(&Sign::Latent), count(&Sign::Undecided));
    let line = Phrase::new("interlock-normal")
        .with("shown", found.len() - latent - open)
        .with("count", found.len())
        .with("latent", latent)
        .with("open", open);
    writeln!(out, "\n{}", words.phrase(&line))?;
    let mut list = Vec::new();
    for finding in found {
        let name = finding.fault.tell(plan);
        let (sign, steps, what) = match &finding.sign {
            Sign::Shown { steps, what } => ("shows", steps.as_slice(), what.as_str()),
            Sign::Latent => ("latent", &[][..], ""),
            Sign::Undecided => ("undecided", &[][..], ""),
        };
        let steps = texts(steps);
        if finding.sign == Sign::Latent {
            let latent = words.say("interlock-latent");
            writeln!(out, "  {latent:<11} {}", words.phrase(&name))?;
        }
        list.push(json!({
            "fault": name.to_string(), "sign": sign, "steps": steps, "shows": what, "pairs": finding.pairs,
        }));
    }
    Ok(Value::Array(list))
}

/// Steps as they stand in files: in English.
fn texts(steps: &[Step]) -> Vec<String> {
    let english = Words::of(Language::English);
    steps.iter().map(|step| step.text(english)).collect()
}

/// How long a break is watched after the last hand has moved.
const AFTERWARDS: SimTime = SimTime::from_secs(2);
/// Between two samples of a break.
const EVERY: SimTime = SimTime::from_millis(5);
/// Most samples of a break.
const SAMPLES: usize = 100_000;

struct Printer<'a> {
    plan: &'a Arc<Plan>,
    words: Words,
    out: &'a mut dyn Write,
    folder: Option<&'a Path>,
    dumps: Option<&'a Path>,
    /// What came of trying the last break.
    tried: Vec<String>,
    written: usize,
    dumped: usize,
}

impl Printer<'_> {
    fn report(&mut self, name: &str, report: &InterlockReport) -> io::Result<Value> {
        let mut findings = Vec::new();
        for finding in &report.findings {
            let property = finding.property.tell(self.plan);
            let listed = |list: &[Phrase]| list.iter().map(Phrase::to_string).collect::<Vec<_>>();
            let (verdict, id, detail) = match &finding.verdict {
                Verdict::Holds => ("holds", "interlock-holds", Value::Null),
                Verdict::Undecided => ("undecided", "interlock-undecided", Value::Null),
                Verdict::Moot(why) => {
                    ("not checked", "interlock-not-checked", json!(why.to_string()))
                }
                Verdict::Missing(list) => ("broken", "interlock-broken", json!(listed(list))),
                Verdict::Broken(way) => ("broken", "interlock-broken", self.broken(way)?),
            };
            let words = self.words;
            writeln!(self.out, "  {:<11} {}", words.say(id), words.phrase(&property))?;
            let mut lines = Vec::new();
            match &finding.verdict {
                Verdict::Moot(why) => lines.push(words.phrase(why)),
                Verdict::Missing(list) => {
                    let list: Vec<String> = list.iter().map(|p| words.phrase(p)).collect();
                    let line = Phrase::new("interlock-never").with("list", list.join(", "));
                    lines.push(words.phrase(&line));
                }
                Verdict::Broken(way) => {
                    let text = way.text(self.plan, words);
                    lines.extend(text.lines().skip(1).map(str::to_owned));
                    lines.append(&mut self.tried);
                }
                Verdict::Holds | Verdict::Undecided => {}
            }
            for line in lines {
                writeln!(self.out, "              {line}")?;
            }
            let property = property.to_string();
            findings.push(json!({ "property": property, "verdict": verdict, "detail": detail }));
        }
        Ok(json!({
            "of": name,
            "states": report.states,
            "transitions": report.transitions,
            "depth": report.depth,
            "exhausted": report.exhausted,
            "findings": findings,
        }))
    }

    fn broken(&mut self, way: &Counterexample) -> io::Result<Value> {
        let mut dumped = None;
        let (simulation, actions) = match replay(self.plan, way) {
            Ok(Replay::Confirmed { at, seed, actions }) => {
                dumped = self.dump(seed, &actions)?;
                let said = match seed {
                    None => Phrase::new("replay-nominal"),
                    Some(seed) => Phrase::new("replay-seed").with("seed", seed.to_string()),
                };
                (said.with("at", at.to_string()), actions)
            }
            Ok(Replay::AbstractOnly { reason }) => {
                (Phrase::new("replay-unconfirmed").with("why", reason), Vec::new())
            }
            Err(problem) => {
                (Phrase::new("replay-failed").with("why", problem.phrase()), Vec::new())
            }
        };
        let line = Phrase::new("replay-line").with("said", simulation.clone());
        self.tried = vec![self.words.phrase(&line)];
        let mut record = json!({
            "steps": texts(&way.steps),
            "then": texts(&way.then),
            "fault": way.fault.map(|f| f.describe(self.plan)),
            "simulation": simulation.to_string(),
        });
        if let Some(path) = dumped {
            record["waves"] = json!(path);
        }
        if let Some(folder) = self.folder
            && way.fault.is_none()
            && !actions.is_empty()
        {
            input::folder(folder)?;
            self.written += 1;
            let path = folder.join(format!("break-{}.actions", self.written));
            input::save(&path, &self.list(way, &actions))?;
            let command = format!("spoolbench run BENCH --actions {}", path.display());
            let line = Phrase::new("replay-see").with("command", command.as_str());
            self.tried.push(self.words.phrase(&line));
            record["actions_file"] = json!(command);
        }
        Ok(record)
    }

    /// Runs a confirmed break once more and writes what it looks like; gives the file.
    fn dump(&mut self, seed: Option<u64>, actions: &[TimedAction]) -> io::Result<Option<String>> {
        let Some(folder) = self.dumps else { return Ok(None) };
        input::folder(folder)?;
        self.dumped += 1;
        let path = folder.join(format!("break-{}.vcd", self.dumped));
        let mut plant = match seed {
            Some(seed) => Plant::new(Arc::clone(self.plan), seed),
            None => Plant::nominal(Arc::clone(self.plan)),
        };
        let before = plant.clone();
        let probes = vcd_probes(self.plan);
        let (mut happenings, mut samples) = (Vec::new(), Vec::new());
        let end = actions.last().map_or(AFTERWARDS, |a| a.at + AFTERWARDS);
        let mut next = actions.iter().peekable();
        loop {
            while let Some(timed) = next.next_if(|a| a.at <= plant.now()) {
                perform(self.plan, &mut plant, timed.action);
            }
            happenings.extend(plant.take_happenings());
            let values = probes.iter().map(|p| plant.read(*p)).collect();
            samples.push(Sample { at: plant.now(), values });
            if plant.now() >= end || samples.len() > SAMPLES {
                break;
            }
            let due = next.peek().map_or(end, |a| a.at);
            let until = due.min(end).min(plant.now() + EVERY);
            plant.advance(until, false).map_err(io::Error::other)?;
        }
        let course = Course { before: &before, happenings: &happenings, samples: &samples };
        dump(&path, &course)?;
        Ok(Some(path.display().to_string()))
    }

    /// A counterexample as an action list that `run` takes.
    fn list(&self, way: &Counterexample, actions: &[TimedAction]) -> String {
        let mut text = format!("# {}\n", way.property.describe(self.plan));
        for step in texts(&way.steps) {
            text.push_str(&format!("#   {step}\n"));
        }
        for timed in actions {
            let word = match timed.action {
                Action::Operate(o, on) => {
                    let name = &self.plan.operators[o.index()].name;
                    format!("{} {name}", if on { "hold" } else { "release" })
                }
                // The incoming supply is what the bench's isolators switch.
                Action::Mains(on) => {
                    let isolator =
                        self.plan.parts.iter().find(|p| p.class == "Isolator").map(|p| &p.tag);
                    match isolator {
                        Some(tag) => {
                            format!("turn {tag} {}", if on { "on" } else { "off" })
                        }
                        None => continue,
                    }
                }
                Action::Break(_) => continue,
            };
            text.push_str(&format!("{} ms: {word}\n", timed.at.as_nanos() / 1_000_000));
        }
        text
    }
}
