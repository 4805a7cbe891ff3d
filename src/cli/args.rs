//! The command line, as words.

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};

use crate::grade::Partition;
use crate::language::Language;
use crate::quantity::UnitSystem;

use super::exports::Exports;

use super::class;

/// A training bench for electrically controlled fluid power.
///
/// Training aid only: data sheets, local codes and licensed practice come first.
#[derive(Clone, Debug, Parser)]
#[command(name = "spoolbench", version, about, long_about, after_help = AFTER)]
pub struct Args {
    /// How to show what there is to show.
    #[command(flatten)]
    pub show: Show,
    /// What to do.
    #[command(subcommand)]
    pub verb: Verb,
}

/// How things are shown to people.
#[derive(Clone, Copy, Debug, Default, clap::Args)]
pub struct Show {
    /// Language of grades, reports and sheets: en or de.
    #[arg(long = "lang", global = true, default_value = "en", value_name = "LANG")]
    pub language: Language,
    /// Units of values shown: si (bar, L/min, degC) or us (psi, gpm, degF).
    #[arg(long, global = true, default_value = "si", value_name = "SYSTEM")]
    pub units: UnitSystem,
}

const AFTER: &str = "Exit codes: 0 success, 1 a learner is not yet competent or a bench has \
                     advice, 2 unusable input, 3 a fault script failed, 4 the physics or the \
                     program failed, 5 no window can be opened.";

/// What to do.
#[derive(Clone, Debug, Subcommand)]
pub enum Verb {
    /// Fill a new folder with a machine, a task, a fault script, a rubric and an attempt to start from.
    New {
        /// Folder, empty or not there yet.
        folder: PathBuf,
    },
    /// Report every problem of bench, scenario and script files.
    Check {
        /// Files to check.
        #[arg(required = true)]
        files: Vec<PathBuf>,
        /// One line a problem: file:line:column: severity code: message.
        #[arg(long)]
        short: bool,
        /// Write all problems as JSON to this file.
        #[arg(long)]
        json: Option<PathBuf>,
    },
    /// Run a bench or a scenario without a screen: a timeline and a digest.
    Run {
        /// Bench or scenario file.
        file: PathBuf,
        /// Actions, a line each: `2 s: press S1`, or an attempt file.
        #[arg(long)]
        actions: Option<PathBuf>,
        /// Bench time to run to, such as "10 s".
        #[arg(long)]
        until: Option<String>,
        /// Seed of tolerances and chance; the scenario's own if not given.
        #[arg(long)]
        seed: Option<u64>,
        /// Quantity to record: U:K1:A1, I:1V1.a, p:MP1, q:1V1:P-A, x:1V1, s:1A1, v:1A1, T:1V1.a, n:M1.
        #[arg(long = "probe")]
        probes: Vec<String>,
        /// Sampling interval of the probes.
        #[arg(long, default_value = "10 ms")]
        every: String,
        /// Write the samples as CSV to this file.
        #[arg(long)]
        csv: Option<PathBuf>,
        /// Write everything as a value change dump to this file, for a wave viewer.
        #[arg(long)]
        vcd: Option<PathBuf>,
    },
    /// Practise in words, at a prompt or piped in.
    Console {
        /// Scenario, bench or kit.
        file: PathBuf,
        /// Attempt file to write; a free name beside the scenario if not given.
        #[arg(long)]
        attempt: Option<PathBuf>,
        /// Go on with the attempt in the file of --attempt, which was stopped.
        #[arg(long, requires = "attempt", conflicts_with_all = ["learner", "seed"])]
        resume: bool,
        /// Pseudonym of the learner, stored in the attempt.
        #[arg(long)]
        learner: Option<String>,
        /// Seed; the scenario's own if not given.
        #[arg(long)]
        seed: Option<u64>,
        /// When it is begun, for reports: RFC 3339 in UTC, such as 2026-11-25T08:30:00Z. No clock is read.
        #[arg(long, value_name = "TIME", value_parser = moment)]
        started: Option<String>,
    },
    /// Practise in a window; needs a build with the feature `view`.
    Practise {
        /// Scenario or bench file.
        file: PathBuf,
        /// Attempt file to write; a free name in the working folder if not given.
        #[arg(long)]
        attempt: Option<PathBuf>,
        /// Pseudonym of the learner, stored in the attempt.
        #[arg(long, default_value = "learner")]
        learner: String,
        /// Seed; the scenario's own if not given.
        #[arg(long)]
        seed: Option<u64>,
        /// For authors: read the files again when they are saved, put faults in by hand, record nothing.
        #[arg(long)]
        watch: bool,
        /// Size of the window, such as 1280x800.
        #[arg(long)]
        size: Option<String>,
        /// Begin with dark paper.
        #[arg(long)]
        dark: bool,
        /// Begin with larger text: 0 to 4, for 100 to 200 %.
        #[arg(long, default_value_t = 0)]
        text: usize,
        /// Folder for pictures of the window, key F12; with --after the picture itself.
        #[arg(long)]
        pictures: Option<PathBuf>,
        /// File that tells where everything that can be clicked lies, for scripts.
        #[arg(long, hide = true)]
        places: Option<PathBuf>,
        /// Take a picture after so many seconds, and close.
        #[arg(long, hide = true)]
        after: Option<f64>,
        /// Do these actions before the first frame.
        #[arg(long, hide = true)]
        actions: Option<PathBuf>,
        /// Begin with the live drawing.
        #[arg(long, hide = true)]
        all: bool,
    },
    /// Replay attempts and mark them.
    Grade {
        /// Scenario file.
        scenario: PathBuf,
        /// Attempt files, and folders: all `.jsonl` files in them and below.
        #[arg(required = true)]
        attempts: Vec<PathBuf>,
        /// Write all grades as JSON to this file.
        #[arg(long, conflicts_with = "out")]
        json: Option<PathBuf>,
        /// Write the grades to this file as they are made, a line an attempt (JSON Lines).
        #[arg(long)]
        out: Option<PathBuf>,
        /// Take over from the file of --out what an earlier run has graded already.
        #[arg(long, requires = "out")]
        resume: bool,
        /// Grade only one of several equal parts: 2/8 is the second of eight.
        #[arg(long, value_name = "PART/PARTS", requires = "out")]
        partition: Option<Partition>,
        /// Mark a class: file with its secret. Fault, seed and learner are worked out anew.
        #[arg(long, requires = "roster")]
        secret: Option<PathBuf>,
        /// The class: a CSV table with a column `id`.
        #[arg(long, requires = "secret")]
        roster: Option<PathBuf>,
        /// The band that the kits were assigned with.
        #[arg(long, default_value = "25 %", value_parser = class::band, requires = "secret")]
        band: f64,
        /// Threads to use; 0 for as many as the machine has.
        #[arg(long, default_value_t = 0)]
        threads: usize,
        /// Folder for fault dictionaries; the user's cache folder if not given.
        #[arg(long)]
        cache: Option<PathBuf>,
        /// Further files to write.
        #[command(flatten)]
        exports: Exports,
    },
    /// Give each learner of a class a fault of the scenario's machine, all as hard as one another.
    Assign {
        /// Scenario file.
        scenario: PathBuf,
        /// The class: a CSV table with a column `id`.
        #[arg(long)]
        roster: PathBuf,
        /// File with the secret of the class, 16 bytes or more.
        #[arg(long)]
        secret: PathBuf,
        /// Folder for the kits.
        #[arg(long)]
        out: PathBuf,
        /// How far a fault may be from the scenario's difficulty.
        #[arg(long, default_value = "25 %", value_parser = class::band)]
        band: f64,
        /// Write who got which fault to this CSV file, for the instructor alone.
        #[arg(long)]
        table: Option<PathBuf>,
    },
    /// Join the files of grades of a batch that was divided with `grade --partition`.
    Merge {
        /// Files of grades, all parts in any order.
        #[arg(required = true)]
        parts: Vec<PathBuf>,
        /// File to write: what one run over the whole batch would have written.
        #[arg(long)]
        out: PathBuf,
    },
    /// Play two shipped attempts at the clay press and grade both.
    Demo {
        /// Folder for traces and grades.
        #[arg(long)]
        out: Option<PathBuf>,
    },
    /// Simulate every credible fault and say how the faults can be told apart, and in what order.
    Testability {
        /// Scenario file; its `retest` gives the operating steps.
        scenario: PathBuf,
        /// Write everything as JSON to this file.
        #[arg(long)]
        json: Option<PathBuf>,
        /// Write the fault matrix as CSV to this file.
        #[arg(long)]
        csv: Option<PathBuf>,
        /// Most tests rated when looking for the best sequence.
        #[arg(long, default_value_t = 400_000)]
        budget: usize,
        /// Print the whole tree of tests.
        #[arg(long)]
        tree: bool,
        /// Folder for fault dictionaries; the user's cache folder if not given.
        #[arg(long)]
        cache: Option<PathBuf>,
    },
    /// Explore the control circuit exhaustively: both coils, loss of supply, restart, stops, races.
    Interlocks {
        /// Bench file.
        bench: PathBuf,
        /// Also under every single fault, from the start and arising at any moment, and what of them shows
        /// in normal operation.
        #[arg(long)]
        faults: bool,
        /// Most states of each exploration.
        #[arg(long, default_value_t = 2_000_000)]
        states: usize,
        /// Write everything as JSON to this file.
        #[arg(long)]
        json: Option<PathBuf>,
        /// Write confirmed breaks of the sound circuit as action lists to this folder.
        #[arg(long)]
        out: Option<PathBuf>,
        /// Write a confirmed break of each kind as a value change dump to this folder.
        #[arg(long)]
        vcd: Option<PathBuf>,
    },
    /// Advise on the design of benches: interlocks, coils, fuses, wires, stored energy.
    Lint {
        /// Bench files.
        #[arg(required = true)]
        benches: Vec<PathBuf>,
        /// Write all advice as JSON to this file.
        #[arg(long)]
        json: Option<PathBuf>,
    },
    /// Write a lab sheet to print: task, drawings, cautions, tools, blank tables. It does not tell the fault.
    Sheet {
        /// Scenario file.
        scenario: PathBuf,
        /// File to write (HTML).
        #[arg(long)]
        out: PathBuf,
    },
    /// Draw the circuits of a bench: control.svg, power.svg and seam.svg.
    Draw {
        /// Bench or scenario file.
        bench: PathBuf,
        /// Folder for the pictures.
        #[arg(long)]
        out: PathBuf,
        /// Manner of the control circuit.
        #[arg(long, value_enum, default_value_t = DrawStyle::Iec)]
        style: DrawStyle,
    },
    /// Print the author's guide, or the table of components.
    Guide {
        /// The table of components: laws, fault modes, checks and their sources.
        #[arg(long)]
        components: bool,
    },
    /// Say what a diagnostic code means and how to mend it.
    Explain {
        /// Code, such as SB301; without one, list all.
        code: Option<String>,
    },
}

/// A moment for the head of an attempt.
fn moment(text: &str) -> Result<String, String> {
    if crate::session::is_moment(text) {
        Ok(text.to_owned())
    } else {
        Err("write it in UTC to the second, such as 2026-11-25T08:30:00Z".to_owned())
    }
}

/// Manners of drawing a control circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum DrawStyle {
    /// IEC 60617, paths from top to bottom.
    Iec,
    /// North American ladder.
    Na,
}
