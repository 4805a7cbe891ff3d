//! The command line: one file a verb. The library works; these print.
//!
//! ```
//! use spoolbench::cli::exit;
//! assert_eq!(exit::graver(exit::NOT_YET_COMPETENT, exit::BAD_INPUT), exit::BAD_INPUT);
//! ```

mod args;
mod check;
mod console;
mod demo;
mod draw;
pub mod exit;
mod explain;
mod exports;
mod grade;
mod guide;
mod input;
mod interlocks;
mod merge;
mod practise;
mod run;
mod sheet;
mod testability;

use std::io::Write;

use crate::diagnostic::Code;
use crate::grade::Partition;

pub use args::{Args, DrawStyle, Show, Verb};
pub use exports::Exports;

/// Does what `args` say, writing to `out` and complaints to `err`; gives the exit code.
pub fn dispatch(args: Args, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let show = args.show;
    let done = match args.verb {
        Verb::Check { files, short, json } => {
            check::check(&files, short, json.as_deref(), out, err)
        }
        Verb::Run { file, actions, until, seed, probes, every, csv } => {
            let wish =
                run::Wish { file, actions, until, seed, probes, every, csv, units: show.units };
            run::run(&wish, out, err)
        }
        Verb::Console { file, attempt, learner, seed, started } => {
            let wish = console::Wish { file, attempt, learner, seed, started, show };
            console::console(wish, out, err)
        }
        Verb::Practise {
            file,
            attempt,
            learner,
            seed,
            watch,
            size,
            pictures,
            places,
            after,
            actions,
            dark,
            text,
            all,
        } => {
            let wish = practise::Wish {
                file,
                attempt,
                learner,
                seed,
                watch,
                size,
                pictures,
                places,
                after,
                actions,
                dark,
                text,
                all,
            };
            practise::practise(&wish, out, err)
        }
        Verb::Grade {
            scenario,
            attempts,
            json,
            out: file,
            resume,
            partition,
            threads,
            exports,
        } => {
            let partition = partition.unwrap_or(Partition::WHOLE);
            let wish = grade::Wish {
                scenario,
                attempts,
                json,
                out: file,
                resume,
                partition,
                threads,
                exports,
                show,
            };
            grade::grade(&wish, out, err)
        }
        Verb::Merge { parts, out: file } => merge::merge(&parts, &file, out, err),
        Verb::Demo { out: folder } => demo::demo(folder.as_deref(), out, err),
        Verb::Testability { scenario, json, csv, budget, tree } => {
            let wish = testability::Wish { scenario, json, csv, budget, tree };
            testability::testability(&wish, out, err)
        }
        Verb::Interlocks { bench, faults, states, json, out: folder } => {
            let wish = interlocks::Wish { bench, faults, states, json, out: folder };
            interlocks::interlocks(&wish, out, err)
        }
        Verb::Sheet { scenario, out: file } => sheet::sheet(&scenario, &file, show, out, err),
        Verb::Draw { bench, out: folder, style } => {
            let style = match style {
                DrawStyle::Iec => crate::drawing::Style::Iec,
                DrawStyle::Na => crate::drawing::Style::NorthAmerican,
            };
            draw::draw(&bench, &folder, style, out, err)
        }
        Verb::Guide => guide::guide(out),
        Verb::Explain { code } => explain::explain(code.as_deref(), out, err),
    };
    match done {
        Ok(code) => code,
        // A reader that has seen enough (a closed pipe) is no mistake.
        Err(problem) if problem.kind() == std::io::ErrorKind::BrokenPipe => exit::SUCCESS,
        Err(problem) => {
            let line = input::problem(
                "spoolbench",
                Code::OUTPUT_FAILED,
                problem,
                "check the name, the permissions and the free space",
            );
            let _ = writeln!(err, "{line}");
            exit::BAD_INPUT
        }
    }
}
