//! `interlocks`: the control circuit explored exhaustively, and what breaks it replayed.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde_json::{Value, json};

use crate::base::SimTime;
use crate::diagnosis::interlock::{
    Action, Counterexample, Fault, InterlockReport, LatentFinding, Limits, Onset, Options, Replay,
    Sign, TimedAction, Verdict, check, check_faults, latent_faults, perform, replay,
};
use crate::plant::{Plan, Plant};
use crate::report::{Course, vcd_probes};
use crate::session::Sample;

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
pub fn interlocks(wish: &Wish, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let Some(scenario) = input::bench_or_scenario(&wish.bench, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    let plan = &scenario.plan;
    let limits = Limits { states: wish.states, ..Limits::default() };
    let options = Options { limits, ..Options::default() };
    let report = match check(plan, &options) {
        Ok(report) => report,
        Err(problem) => {
            writeln!(err, "spoolbench: {}: {problem}", wish.bench.display())?;
            return Ok(exit::BAD_INPUT);
        }
    };
    let mut printer = Printer {
        plan,
        out,
        folder: wish.out.as_deref(),
        dumps: wish.vcd.as_deref(),
        written: 0,
        dumped: 0,
    };
    writeln!(printer.out, "{}: {}", plan.name, report.extent())?;
    let mut records = vec![printer.report("sound", &report)?];
    let mut latent = Value::Null;
    if wish.faults {
        let all = Fault::all(plan);
        for onset in [Onset::Static, Onset::Arising] {
            let found = match check_faults(plan, &options, &all, onset) {
                Ok(found) => found,
                Err(problem) => {
                    writeln!(err, "spoolbench: {}: {problem}", wish.bench.display())?;
                    return Ok(exit::BAD_INPUT);
                }
            };
            let when = match onset {
                Onset::Static => "from the start",
                Onset::Arising => "arising at any moment",
            };
            let harmless = found.iter().filter(|f| f.broken().is_empty()).count();
            writeln!(
                printer.out,
                "\n{} single faults {when}: {harmless} break nothing that holds without them",
                found.len()
            )?;
            for finding in &found {
                if finding.broken().is_empty() {
                    continue;
                }
                let name = format!("{} {when}", finding.fault.describe(plan));
                writeln!(printer.out, "\nwith one fault, {name}: {}", finding.report.extent())?;
                records.push(printer.report(&name, &finding.report)?);
            }
        }
        match latent_faults(plan, &options, &all) {
            Ok(found) => latent = tell_latent(plan, &found, printer.out)?,
            Err(problem) => {
                writeln!(err, "spoolbench: {}: {problem}", wish.bench.display())?;
                return Ok(exit::BAD_INPUT);
            }
        }
    }
    writeln!(
        printer.out,
        "\nThis is claimed of the discrete model only: relays, contacts, timers, spools and axes \
         without times, currents or pressures. Each break was tried on the full simulation."
    )?;
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
fn tell_latent(plan: &Plan, found: &[LatentFinding], out: &mut dyn Write) -> io::Result<Value> {
    let count = |wanted: &Sign| found.iter().filter(|f| f.sign == *wanted).count();
    let (latent, open) = (count(&Sign::Latent), count(&Sign::Undecided));
    writeln!(
        out,
        "\nin normal operation (supply on, one hand at a time, no emergency stop) {} of {} single \
         faults show, {latent} are latent, {open} are undecided",
        found.len() - latent - open,
        found.len(),
    )?;
    let mut list = Vec::new();
    for finding in found {
        let name = finding.fault.describe(plan);
        let (sign, steps, what) = match &finding.sign {
            Sign::Shown { steps, what } => ("shows", steps.as_slice(), what.as_str()),
            Sign::Latent => ("latent", &[][..], ""),
            Sign::Undecided => ("undecided", &[][..], ""),
        };
        let steps: Vec<&str> = steps.iter().map(|s| s.text.as_str()).collect();
        if finding.sign == Sign::Latent {
            writeln!(out, "  latent      {name}")?;
        }
        list.push(json!({
            "fault": name, "sign": sign, "steps": steps, "shows": what, "pairs": finding.pairs,
        }));
    }
    Ok(Value::Array(list))
}

/// How long a break is watched after the last hand has moved.
const AFTERWARDS: SimTime = SimTime::from_secs(2);
/// Between two samples of a break.
const EVERY: SimTime = SimTime::from_millis(5);
/// Most samples of a break.
const SAMPLES: usize = 100_000;

struct Printer<'a> {
    plan: &'a Arc<Plan>,
    out: &'a mut dyn Write,
    folder: Option<&'a Path>,
    dumps: Option<&'a Path>,
    written: usize,
    dumped: usize,
}

impl Printer<'_> {
    fn report(&mut self, name: &str, report: &InterlockReport) -> io::Result<Value> {
        let mut findings = Vec::new();
        for finding in &report.findings {
            let property = finding.property.describe(self.plan);
            let (verdict, detail) = match &finding.verdict {
                Verdict::Holds => ("holds", Value::Null),
                Verdict::Undecided => ("undecided", Value::Null),
                Verdict::Moot(why) => ("not checked", json!(why)),
                Verdict::Missing(list) => ("broken", json!(list)),
                Verdict::Broken(way) => ("broken", self.broken(way)?),
            };
            writeln!(self.out, "  {verdict:<11} {property}")?;
            match &finding.verdict {
                Verdict::Moot(why) => writeln!(self.out, "              {why}")?,
                Verdict::Missing(list) => {
                    writeln!(self.out, "              never: {}", list.join(", "))?;
                }
                Verdict::Broken(way) => {
                    for line in way.text(self.plan).lines().skip(1) {
                        writeln!(self.out, "              {line}")?;
                    }
                    if let Some(text) = detail.get("simulation").and_then(Value::as_str) {
                        writeln!(self.out, "              simulation: {text}")?;
                    }
                    if let Some(text) = detail.get("actions_file").and_then(Value::as_str) {
                        writeln!(self.out, "              to see it: {text}")?;
                    }
                }
                Verdict::Holds | Verdict::Undecided => {}
            }
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
        let steps: Vec<&str> = way.steps.iter().map(|s| s.text.as_str()).collect();
        let then: Vec<&str> = way.then.iter().map(|s| s.text.as_str()).collect();
        let mut dumped = None;
        let (simulation, actions) = match replay(self.plan, way) {
            Ok(Replay::Confirmed { at, seed, actions }) => {
                dumped = self.dump(seed, &actions)?;
                let parts = seed.map_or_else(
                    || "with nominal parts".to_owned(),
                    |s| format!("with the tolerances of seed {s}"),
                );
                (format!("confirmed at {at} {parts}"), actions)
            }
            Ok(Replay::AbstractOnly { reason }) => {
                (format!("not confirmed, so a break of the model only: {reason}"), Vec::new())
            }
            Err(problem) => (format!("could not be tried: {problem}"), Vec::new()),
        };
        let mut record = json!({
            "steps": steps,
            "then": then,
            "fault": way.fault.map(|f| f.describe(self.plan)),
            "simulation": simulation,
        });
        if let Some(path) = dumped {
            record["waves"] = json!(path);
        }
        if let Some(folder) = self.folder
            && way.fault.is_none()
            && !actions.is_empty()
        {
            std::fs::create_dir_all(folder).map_err(|why| input::named(folder, &why))?;
            self.written += 1;
            let path = folder.join(format!("break-{}.actions", self.written));
            input::save(&path, &self.list(way, &actions))?;
            record["actions_file"] =
                json!(format!("spoolbench run BENCH --actions {}", path.display()));
        }
        Ok(record)
    }

    /// Runs a confirmed break once more and writes what it looks like; gives the file.
    fn dump(&mut self, seed: Option<u64>, actions: &[TimedAction]) -> io::Result<Option<String>> {
        let Some(folder) = self.dumps else { return Ok(None) };
        std::fs::create_dir_all(folder).map_err(|why| input::named(folder, &why))?;
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
        for step in &way.steps {
            text.push_str(&format!("#   {}\n", step.text));
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
