//! `run`: a bench or a scenario without a screen.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::base::SimTime;
use crate::diagnostic::Code;
use crate::fault::InjectError;
use crate::language::{Phrase, Words};
use crate::plant::{Happening, Plan, PlantError, Probe, What};
use crate::quantity::{Dimension, parse_duration};
use crate::report::{Course, Reader, vcd, vcd_probes};
use crate::scenario::Scenario;
use crate::session::{
    Line, RigError, Session, SessionConfig, TRACE_LIMIT, Watch, read_actions, read_journal,
};

use super::args::Show;
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
pub fn run(wish: &Wish, show: Show, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let Some(scenario) = input::bench_or_scenario(&wish.file, Words::of(show.language), err)?
    else {
        return Ok(exit::BAD_INPUT);
    };
    run_loaded(wish, show, &scenario, out, err)
}

/// Runs a scenario that is loaded already; the file of the wish is not looked at.
pub fn run_loaded(
    wish: &Wish,
    show: Show,
    scenario: &Scenario,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let reader = Reader::new(show.language, show.units);
    let words = reader.words;
    let said = |code, option: &str, why: Phrase| {
        let message = Phrase::new("ask-of").with("option", option).with("why", why);
        input::problem("spoolbench", code, message, None, words)
    };
    let mut bad = Vec::new();
    let mut time = |text: &str, what: &str| match parse_duration(text) {
        Ok(t) => Some(t),
        Err(problem) => {
            bad.push(said(Code::BAD_TIME_SPAN, what, problem.phrase()));
            None
        }
    };
    let until = wish.until.as_deref().and_then(|t| time(t, "--until"));
    let every = time(&wish.every, "--every").unwrap_or(SimTime::from_millis(10));
    let mut probes = Vec::new();
    for text in &wish.probes {
        match scenario.plan.probe(text) {
            Ok((probe, dimension)) => probes.push((text.clone(), probe, dimension)),
            Err(why) => bad.push(said(Code::BAD_PROBE, &format!("--probe {text}"), why)),
        }
    }
    if every == SimTime::ZERO {
        bad.push(said(Code::BAD_TIME_SPAN, "--every", Phrase::new("ask-no-time")));
    }
    let seed = wish.seed.unwrap_or(scenario.seed);
    let lines = match actions(wish, scenario, words, err)? {
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
            return unfit(&wish.file, &problem, words, err);
        }
    };
    for caution in &scenario.bench.cautions {
        writeln!(out, "{}", reader.fill("console-caution", "caution", caution.as_str()))?;
    }
    let title = Phrase::new("run-title").with("title", scenario.title.as_str());
    writeln!(out, "{}", reader.words.phrase(&title.with("seed", seed.to_string())))?;
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
    let recorder = Recorder::new(wish, reader, every, probes)?;
    let list = wish.actions.as_ref().map_or_else(String::new, |p| p.display().to_string());
    let happened = wish.vcd.is_some().then(Vec::new);
    let mut player = Player { session, recorder, reader, plan: &scenario.plan, list, happened };
    let mut code = player.play(&lines, until, out, err)?;
    player.recorder.finish(err)?;
    if player.recorder.taken >= SAMPLES {
        let why = Phrase::new("ask-samples").with("most", SAMPLES.to_string());
        writeln!(err, "{}", said(Code::BAD_TIME_SPAN, "--every", why))?;
    }
    if let (Some(path), Some(happenings)) = (&wish.vcd, &player.happened) {
        let samples = player.session.take_watch().map(|w| w.samples).unwrap_or_default();
        let course = Course { before: &before, happenings, samples: &samples };
        if let Err(problem) = dump(path, &course) {
            writeln!(err, "{}", input::unwritten(&problem, words))?;
            code = exit::graver(code, exit::BAD_INPUT);
        }
    }
    if player.recorder.failed {
        code = exit::graver(code, exit::BAD_INPUT);
    }
    let digest = player.session.rig().plant().digest();
    writeln!(out, "{}", reader.fill("console-digest", "digest", digest))?;
    Ok(code)
}

/// Writes a value change dump to the file at `path`.
pub fn dump(path: &Path, course: &Course) -> io::Result<()> {
    input::save_with(path, |out| vcd(course, io::BufWriter::new(out)))
}

/// The actions wished for: a list in words, or an attempt.
fn actions(
    wish: &Wish,
    scenario: &Scenario,
    words: Words,
    err: &mut dyn Write,
) -> io::Result<Option<Vec<Line>>> {
    let Some(path) = &wish.actions else { return Ok(Some(Vec::new())) };
    let bytes = match input::record(path) {
        Ok(bytes) => bytes,
        Err(problem) => {
            writeln!(err, "{}", input::line(&problem, words))?;
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
                    let code = p.kind.code();
                    writeln!(err, "{}", input::problem(place, code, p.message, p.help, words))?;
                }
                Ok(None)
            }
        };
    }
    let text = match String::from_utf8(bytes) {
        Ok(text) => text,
        Err(_) => {
            let (message, help) =
                (Phrase::new("journal-no-utf8"), Phrase::new("journal-save-utf8"));
            let line = input::problem(path.display(), Code::NOT_UTF8, message, help, words);
            writeln!(err, "{line}")?;
            return Ok(None);
        }
    };
    match read_actions(&text) {
        Ok(lines) => Ok(Some(lines)),
        Err(problems) => {
            for (line, p) in problems {
                let place = format!("{}:{line}:{}", path.display(), p.column);
                let code = Code::UNKNOWN_ACTION;
                writeln!(err, "{}", input::problem(place, code, p.message, p.help, words))?;
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
    /// The samples could not be written; the run goes on without.
    failed: bool,
    reader: Reader,
}

impl Recorder {
    fn new(
        wish: &Wish,
        reader: Reader,
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
            failed: false,
            reader,
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
        err: &mut dyn Write,
    ) -> io::Result<()> {
        let now = session.now();
        self.next = now + self.every;
        self.taken += 1;
        let readings: Vec<(f64, &'static str)> = self
            .probes
            .iter()
            .map(|(_, probe, dimension)| {
                let si = session.read(*probe);
                plan.trade_value(*probe, *dimension, si, self.reader.units)
            })
            .collect();
        if let Some(csv) = &mut self.csv {
            let mut written = Ok(());
            if !self.header {
                self.header = true;
                let mut row = vec!["t [s]".to_owned()];
                for ((name, ..), (_, unit)) in self.probes.iter().zip(&readings) {
                    row.push(format!("{name} [{unit}]"));
                }
                written = csv.write_record(&row);
            }
            let mut row = vec![format!("{:.6}", now.as_secs_f64())];
            row.extend(readings.iter().map(|(value, _)| format!("{}", rounded(*value))));
            let written = written.and_then(|()| csv.write_record(&row));
            self.settle(written.map_err(io::Error::from), err)?;
        } else if self.to_stdout {
            write!(out, "{now}")?;
            for ((name, ..), (value, unit)) in self.probes.iter().zip(&readings) {
                let value = self.reader.words.decimals(&rounded(*value).to_string());
                write!(out, "  {name} {value} {unit}")?;
            }
            writeln!(out)?;
        }
        Ok(())
    }

    fn finish(&mut self, err: &mut dyn Write) -> io::Result<()> {
        let written = self.csv.as_mut().map_or(Ok(()), |csv| csv.flush());
        self.settle(written, err)
    }

    /// Where samples cannot be written, says so once and takes no more.
    fn settle(&mut self, written: io::Result<()>, err: &mut dyn Write) -> io::Result<()> {
        let Err(problem) = written else { return Ok(()) };
        self.csv = None;
        self.probes.clear();
        self.failed = true;
        writeln!(err, "{}", input::unwritten(&problem, self.reader.words))
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
    reader: Reader,
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
            let words = self.reader.words.action(&line.action.to_string());
            writeln!(out, "{} > {words}", self.session.now())?;
            match self.session.act(line.action.clone()) {
                Ok(outcome) => {
                    self.tell(out)?;
                    for line in &outcome.lines {
                        writeln!(out, "{}   {}", self.session.now(), self.reader.tell(line))?;
                    }
                    for hazard in &outcome.hazards {
                        let what = self.reader.hazard(hazard);
                        let said = self.reader.fill("run-danger", "what", what);
                        writeln!(out, "{}   {said}", hazard.at)?;
                    }
                }
                Err(crate::session::ActError::Rig(problem)) => {
                    return failed(&problem, self.reader.words, err);
                }
                Err(crate::session::ActError::Ended) => break,
                Err(problem) => {
                    let place = format!("{}:{}:1", self.list, line.number);
                    let (code, why) = (Code::ACTION_REFUSED, problem.phrase());
                    let line = input::problem(place, code, why, None, self.reader.words);
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
                return failed(&problem, self.reader.words, err).map(Some);
            }
            self.tell(out)?;
            if due <= self.session.now() {
                self.recorder.sample(self.plan, &mut self.session, out, err)?;
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
            let text = self.reader.words.sentence(&self.plan.tell(happening.what));
            if let What::Altered(_) = happening.what {
                writeln!(out, "{}   ({text})", happening.at)?;
            } else {
                writeln!(out, "{}   {text}", happening.at)?;
            }
        }
        Ok(())
    }
}

/// The exit code of a rig that cannot go on, said aloud.
pub fn failed(problem: &RigError, words: Words, err: &mut dyn Write) -> io::Result<u8> {
    let (code, exit) = failure(problem);
    writeln!(err, "{}", input::problem("spoolbench", code, problem.phrase(), None, words))?;
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
pub fn unfit(
    file: &Path,
    problem: &InjectError,
    words: Words,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let code = crate::scenario::problem_code(problem);
    writeln!(err, "{}", input::problem(file.display(), code, problem.phrase(), None, words))?;
    Ok(exit::SCRIPT_FAULT)
}
