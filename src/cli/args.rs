//! The command line, as words.

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};

use crate::language::Language;
use crate::quantity::UnitSystem;

use super::{assign, console, drill, grade, interlocks, practise, run, testability};

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
    /// Language of all that is printed, of reports and sheets, and of the window: en or de.
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
    /// Report every problem of bench, scenario, drill and script files.
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
    Run(run::Wish),
    /// Practise in words, at a prompt or piped in.
    Console(console::Wish),
    /// Ask what a machine will do, then let it do it: predictions first, the bench decides.
    Drill(drill::Wish),
    /// Practise in a window; needs a build with the feature `view`.
    Practise(practise::Wish),
    /// Replay attempts and mark them.
    Grade(grade::Wish),
    /// Give each learner of a class a fault of the scenario's machine, all as hard as one another.
    Assign(assign::Wish),
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
    Testability(testability::Wish),
    /// Explore the control circuit exhaustively: both coils, loss of supply, restart, stops, races.
    Interlocks(interlocks::Wish),
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

/// Manners of drawing a control circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum DrawStyle {
    /// IEC 60617, paths from top to bottom.
    Iec,
    /// North American ladder.
    Na,
}
