//! The command line: one file a verb. The library works; these print.
//!
//! ```
//! use spoolbench::cli::exit;
//! assert_eq!(exit::graver(exit::NOT_YET_COMPETENT, exit::BAD_INPUT), exit::BAD_INPUT);
//! ```

mod args;
mod assign;
mod check;
mod class;
mod components;
mod console;
mod demo;
mod draw;
mod drill;
pub mod exit;
mod explain;
mod exports;
mod grade;
mod guide;
mod input;
mod interlocks;
mod lint;
mod merge;
mod new;
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
        Verb::New { folder } => new::new(&folder, out, err),
        Verb::Check { files, short, json } => {
            check::check(&files, short, json.as_deref(), out, err)
        }
        Verb::Run { file, actions, until, seed, probes, every, csv, vcd } => {
            let units = show.units;
            let wish = run::Wish { file, actions, until, seed, probes, every, csv, vcd, units };
            run::run(&wish, out, err)
        }
        Verb::Console { file, attempt, resume, learner, seed, started } => {
            let wish = console::Wish { file, attempt, resume, learner, seed, started, show };
            console::console(&wish, out, err)
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
            secret,
            roster,
            band,
            threads,
            exports,
            cache,
        } => {
            let partition = partition.unwrap_or(Partition::WHOLE);
            let class = secret.zip(roster).map(|(secret, roster)| (secret, roster, band));
            let wish = grade::Wish {
                scenario,
                attempts,
                json,
                out: file,
                resume,
                partition,
                class,
                threads,
                exports,
                show,
                cache: cached(cache),
            };
            grade::grade(&wish, out, err)
        }
        Verb::Assign { scenario, roster, secret, out: folder, band, table } => {
            let wish = assign::Wish { scenario, roster, secret, out: folder, band, table };
            assign::assign(&wish, out, err)
        }
        Verb::Merge { parts, out: file } => merge::merge(&parts, &file, out, err),
        Verb::Demo { out: folder } => demo::demo(folder.as_deref(), out, err),
        Verb::Testability { scenario, json, csv, budget, tree, cache } => {
            let cache = cached(cache);
            let wish = testability::Wish { scenario, json, csv, budget, tree, cache };
            testability::testability(&wish, out, err)
        }
        Verb::Interlocks { bench, faults, states, json, out: folder, vcd } => {
            let wish = interlocks::Wish { bench, faults, states, json, out: folder, vcd };
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
        Verb::Guide { components: false } => guide::guide(out),
        Verb::Guide { components: true } => components::components(out),
        Verb::Drill { file, answers } => {
            drill::drill(&drill::Wish { file, answers, show }, out, err)
        }
        Verb::Lint { benches, json } => lint::lint(&benches, json.as_deref(), out, err),
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

/// Where fault dictionaries are kept: `asked`, or else the user's cache folder, if there is one.
fn cached(asked: Option<std::path::PathBuf>) -> Option<std::path::PathBuf> {
    let home = |name: &str| {
        std::env::var_os(name).map(std::path::PathBuf::from).filter(|path| path.is_absolute())
    };
    asked.or_else(|| {
        let folder = home("XDG_CACHE_HOME").or_else(|| Some(home("HOME")?.join(".cache")))?;
        Some(folder.join("spoolbench"))
    })
}
