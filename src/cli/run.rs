//! `run`: a bench or a scenario without a screen.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::base::SimTime;
use crate::diagnostic::Code;
use crate::fault::InjectError;
use crate::plant::{Happening, Plan, PlantError, Probe, What};
use crate::quantity::{Dimension, UnitSystem, parse_duration};
use crate::report::{Course, vcd, vcd_probes};
use crate::scenario::Scenario;
use crate::session::{
    Line, RigError, Session, SessionConfig, TRACE_LIMIT, Watch, read_actions, read_journal,
};

use super::{exit, input};

/// What `run` was asked for.
#[derive(Clone, Debug, clap::Args)]
pub struct Wish {
    /// Bench or scenario file.
    pub file: PathBuf,
    /// Actions, a line each: `2 s: press S1`, or an attempt file.
    #[arg(long)]
    pub actions: Option<PathBuf>,
    /// Bench time to run to, such as "10 s".
    #[arg(long)]
    pub until: Option<String>,
    /// Seed of tolerances and chance; the scenario's own if not given.
    #[arg(long)]
    pub seed: Option<u64>,
    /// Quantity to record: U:K1:A1, I:1V1.a, p:MP1, q:1V1:P-A, x:1V1, s:1A1, v:1A1, T:1V1.a, n:M1.
    #[arg(long = "probe")]
    pub probes: Vec<String>,
    /// Sampling interval of the probes.
    #[arg(long, default_value = "10 ms")]
    pub every: String,
    /// Write the samples as CSV to this file.
    #[arg(long)]
    pub csv: Option<PathBuf>,
    /// Write everything as a value change dump to this file, for a wave viewer.
    #[arg(long)]
    pub vcd: Option<PathBuf>,
}

/// Bench time run without actions or a wish.
const USUAL: SimTime = SimTime::from_secs(10);
/// Most samples of a run.
const SAMPLES: u64 = 5_000_000;

/// Runs, prints the timeline and the digest.
pub fn run(
    wish: &Wish,
    units: UnitSystem,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let Some(scenario) = input::bench_or_scenario(&wish.file, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    run_loaded(wish, units, &scenario, out, err)
}

/// Runs a scenario that is loaded already; the file of the wish is not looked at.
pub fn run_loaded(
    wish: &Wish,
    units: UnitSystem,
    scenario: &Scenario,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let said = |code, message: String| input::problem("spoolbench", code, message, "");
    let mut bad = Vec::new();
    let mut time = |text: &str, what: &str| match parse_duration(text) {
        Ok(t) => Some(t),
        Err(problem) => {
            bad.push(said(Code::BAD_TIME_SPAN, format!("{what}: {problem}")));
            None
        }
    };
    let until = wish.until.as_deref().and_then(|t| time(t, "--until"));
    let every = time(&wish.every, "--every").unwrap_or(SimTime::from_millis(10));
    let mut probes = Vec::new();
    for text in &wish.probes {
        match scenario.plan.probe(text) {
            Ok((probe, dimension)) => probes.push((text.clone(), probe, dimension)),
            Err(problem) => bad.push(said(Code::BAD_PROBE, format!("--probe {text}: {problem}"))),
        }
    }
    if every == SimTime::ZERO {
        let message = "--every: samples cannot follow one another in no time";
        bad.push(said(Code::BAD_TIME_SPAN, message.to_owned()));
    }
    let seed = wish.seed.unwrap_or(scenario.seed);
    let lines = match actions(wish, scenario, err)? {
        Some(lines) => lines,
        None => return Ok(exit::BAD_INPUT),
    };
    if !bad.is_empty() {
        for problem in bad {
            writeln!(err, "{problem}")?;
        }
        return Ok(exit::BAD_INPUT);
    }
    let rig = match scenario.rig(seed) {
        Ok(rig) => rig,
        Err(problem) => {
            return unfit(&wish.file, &problem, err);
        }
    };
    for caution in &scenario.bench.cautions {
        writeln!(out, "caution: {caution}")?;
    }
    writeln!(out, "{}, seed {seed}", scenario.title)?;
    // Whoever runs a bench has every tool, and nothing stops the run.
    let config = SessionConfig {
        time_limit: until.unwrap_or(SimTime::from_secs(8 * 3600)),
        ..SessionConfig::default()
    };
    let mut session = Session::new(rig, config).traced();
    let before = session.rig().plant().clone();
    if wish.vcd.is_some() {
        session = session.watched(Watch::new(vcd_probes(&scenario.plan), every));
    }
    let recorder = Recorder::new(wish, units, every, probes)?;
    let list = wish.actions.as_ref().map_or_else(String::new, |p| p.display().to_string());
    let happened = wish.vcd.is_some().then(Vec::new);
    let mut player = Player { session, recorder, plan: &scenario.plan, list, happened };
    let code = player.play(&lines, until, out, err)?;
    player.recorder.finish()?;
    if player.recorder.taken >= SAMPLES {
        let message = format!("--every: only the first {SAMPLES} samples are recorded");
        writeln!(err, "{}", said(Code::BAD_TIME_SPAN, message))?;
    }
    if let (Some(path), Some(happenings)) = (&wish.vcd, &player.happened) {
        let samples = player.session.take_watch().map(|w| w.samples).unwrap_or_default();
        dump(path, &Course { before: &before, happenings, samples: &samples })?;
    }
    writeln!(out, "digest {}", player.session.rig().plant().digest())?;
    Ok(code)
}

/// Writes a value change dump to the file at `path`.
pub fn dump(path: &Path, course: &Course) -> io::Result<()> {
    let file = std::fs::File::create(path).map_err(|why| input::named(path, &why))?;
    vcd(course, io::BufWriter::new(file)).map_err(|why| input::named(path, &why))
}

/// The actions wished for: a list in words, or an attempt.
fn actions(wish: &Wish, scenario: &Scenario, err: &mut dyn Write) -> io::Result<Option<Vec<Line>>> {
    let Some(path) = &wish.actions else { return Ok(Some(Vec::new())) };
    let bytes = match input::record(path) {
        Ok(bytes) => bytes,
        Err(line) => {
            writeln!(err, "{line}")?;
            return Ok(None);
        }
    };
    if bytes.first() == Some(&b'{') {
        return match read_journal(&bytes, &scenario.config()) {
            Ok(attempt) => Ok(Some(
                attempt
                    .entries
                    .into_iter()
                    .enumerate()
                    .map(|(k, e)| Line {
                        number: k + 2,
                        at: Some(SimTime::from_nanos(e.at)),
                        action: e.action,
                    })
                    .collect(),
            )),
            Err(problems) => {
                for p in problems {
                    let place = format!("{}:{}:{}", path.display(), p.line, p.column);
                    writeln!(err, "{}", input::problem(place, p.kind.code(), p.message, p.help))?;
                }
                Ok(None)
            }
        };
    }
    let text = match String::from_utf8(bytes) {
        Ok(text) => text,
        Err(_) => {
            let message = "this is no UTF-8 text";
            let line = input::problem(path.display(), Code::NOT_UTF8, message, "save it as UTF-8");
            writeln!(err, "{line}")?;
            return Ok(None);
        }
    };
    match read_actions(&text) {
        Ok(lines) => Ok(Some(lines)),
        Err(problems) => {
            for (line, p) in problems {
                let place = format!("{}:{line}:{}", path.display(), p.column);
                writeln!(
                    err,
                    "{}",
                    input::problem(place, Code::UNKNOWN_ACTION, p.message, p.help)
                )?;
            }
            Ok(None)
        }
    }
}

/// Writes samples of the probes.
struct Recorder {
    csv: Option<csv::Writer<input::Output>>,
    probes: Vec<(String, Probe, Dimension)>,
    every: SimTime,
    next: SimTime,
    taken: u64,
    header: bool,
    to_stdout: bool,
    units: UnitSystem,
}

impl Recorder {
    fn new(
        wish: &Wish,
        units: UnitSystem,
        every: SimTime,
        probes: Vec<(String, Probe, Dimension)>,
    ) -> io::Result<Self> {
        let csv = match &wish.csv {
            Some(path) => Some(csv::Writer::from_writer(input::create(path)?)),
            None => None,
        };
        let to_stdout = csv.is_none() && !probes.is_empty();
        Ok(Recorder {
            csv,
            probes,
            every,
            next: SimTime::ZERO,
            taken: 0,
            header: false,
            to_stdout,
            units,
        })
    }

    /// Time of the next sample.
    fn due(&self) -> SimTime {
        if self.probes.is_empty() || self.taken >= SAMPLES { SimTime::MAX } else { self.next }
    }

    fn sample(
        &mut self,
        plan: &Plan,
        session: &mut Session,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        let now = session.now();
        self.next = now + self.every;
        self.taken += 1;
        let readings: Vec<(f64, &'static str)> = self
            .probes
            .iter()
            .map(|(_, probe, dimension)| {
                let si = session.read(*probe);
                plan.trade_value(*probe, *dimension, si, self.units)
            })
            .collect();
        if let Some(csv) = &mut self.csv {
            if !self.header {
                self.header = true;
                let mut row = vec!["t [s]".to_owned()];
                for ((name, ..), (_, unit)) in self.probes.iter().zip(&readings) {
                    row.push(format!("{name} [{unit}]"));
                }
                csv.write_record(&row)?;
            }
            let mut row = vec![format!("{:.6}", now.as_secs_f64())];
            row.extend(readings.iter().map(|(value, _)| format!("{}", rounded(*value))));
            csv.write_record(&row)?;
        } else if self.to_stdout {
            write!(out, "{now}")?;
            for ((name, ..), (value, unit)) in self.probes.iter().zip(&readings) {
                write!(out, "  {name} {} {unit}", rounded(*value))?;
            }
            writeln!(out)?;
        }
        Ok(())
    }

    fn finish(&mut self) -> io::Result<()> {
        match &mut self.csv {
            Some(csv) => csv.flush(),
            None => Ok(()),
        }
    }
}

/// What is smaller is nothing, in any unit of the trade; written out it would be a row of zeros.
const NOTHING: f64 = 1e-12;

/// Six significant digits, and no negative zero.
fn rounded(value: f64) -> f64 {
    if value.abs() < NOTHING {
        return 0.0;
    }
    crate::base::ops::round_significant(value, 6) + 0.0
}

struct Player<'a> {
    session: Session,
    recorder: Recorder,
    plan: &'a Plan,
    /// Name of the action list.
    list: String,
    /// Everything that happened, if it is to be kept.
    happened: Option<Vec<Happening>>,
}

impl Player<'_> {
    fn play(
        &mut self,
        lines: &[Line],
        until: Option<SimTime>,
        out: &mut dyn Write,
        err: &mut dyn Write,
    ) -> io::Result<u8> {
        for line in lines {
            if line.at.zip(until).is_some_and(|(at, until)| at > until) {
                break;
            }
            if let Some(at) = line.at
                && let Some(code) = self.idle(at, out, err)?
            {
                return Ok(code);
            }
            // A wait is sampled; what else takes bench time is sampled at its ends.
            if let crate::session::Action::Wait { ns } = line.action {
                let to = self.session.now() + SimTime::from_nanos(ns);
                if let Some(code) = self.idle(to, out, err)? {
                    return Ok(code);
                }
                continue;
            }
            writeln!(out, "{} > {}", self.session.now(), line.action)?;
            match self.session.act(line.action.clone()) {
                Ok(outcome) => {
                    self.tell(out)?;
                    for text in &outcome.lines {
                        writeln!(out, "{}   {text}", self.session.now())?;
                    }
                    for hazard in &outcome.hazards {
                        writeln!(out, "{}   DANGER {hazard}", hazard.at)?;
                    }
                }
                Err(crate::session::ActError::Rig(problem)) => return failed(&problem, err),
                Err(crate::session::ActError::Ended) => break,
                Err(problem) => {
                    let place = format!("{}:{}:1", self.list, line.number);
                    let line = input::problem(place, Code::ACTION_REFUSED, problem, "");
                    writeln!(err, "{line}")?;
                    return Ok(exit::BAD_INPUT);
                }
            }
        }
        let end =
            until.unwrap_or_else(|| if lines.is_empty() { USUAL } else { self.session.now() });
        if let Some(code) = self.idle(end, out, err)? {
            return Ok(code);
        }
        Ok(exit::SUCCESS)
    }

    /// Runs to `to`, sampling on the way; a code if that failed.
    fn idle(
        &mut self,
        to: SimTime,
        out: &mut dyn Write,
        err: &mut dyn Write,
    ) -> io::Result<Option<u8>> {
        loop {
            let due = self.recorder.due();
            let target = to.min(due);
            if let Err(problem) = self.session.idle(target) {
                self.tell(out)?;
                return failed(&problem, err).map(Some);
            }
            self.tell(out)?;
            if due <= self.session.now() {
                self.recorder.sample(self.plan, &mut self.session, out)?;
            }
            // Time stands still once the limit of the run is reached.
            if target == to || self.session.now() < target {
                return Ok(None);
            }
        }
    }

    fn tell(&mut self, out: &mut dyn Write) -> io::Result<()> {
        let trace = self.session.take_trace();
        if let Some(happened) = &mut self.happened
            && happened.len() + trace.len() <= TRACE_LIMIT
        {
            happened.extend_from_slice(&trace);
        }
        for happening in trace {
            if let What::Altered(_) = happening.what {
                writeln!(out, "{}   ({})", happening.at, self.plan.describe(happening.what))?;
            } else {
                writeln!(out, "{}   {}", happening.at, self.plan.describe(happening.what))?;
            }
        }
        Ok(())
    }
}

/// The exit code of a rig that cannot go on, said aloud.
pub fn failed(problem: &RigError, err: &mut dyn Write) -> io::Result<u8> {
    let (code, exit) = failure(problem);
    writeln!(err, "{}", input::problem("spoolbench", code, problem, ""))?;
    Ok(exit)
}

/// What kind of failure of a rig it is, and its exit code.
pub fn failure(problem: &RigError) -> (Code, u8) {
    match problem {
        RigError::Director(problem) => (problem.code, exit::SCRIPT_FAULT),
        RigError::Plant(PlantError::Integration(_)) => (Code::SOLVER_FAILED, exit::INTERNAL),
        RigError::Plant(PlantError::Cascade { .. }) => (Code::EVENT_STORM, exit::INTERNAL),
        RigError::TooMuchWork { .. } => (Code::RUN_LIMIT, exit::INTERNAL),
    }
}

/// The exit code of a scenario whose faults or scripts do not fit its bench, said aloud.
pub fn unfit(file: &Path, problem: &InjectError, err: &mut dyn Write) -> io::Result<u8> {
    let code = crate::scenario::problem_code(problem);
    writeln!(err, "{}", input::problem(file.display(), code, problem, ""))?;
    Ok(exit::SCRIPT_FAULT)
}
