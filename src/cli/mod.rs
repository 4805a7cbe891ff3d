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

use crate::language::Words;

pub use args::{Args, DrawStyle, Show, Verb};
pub use exports::Exports;

/// Does what `args` say, writing to `out` and complaints to `err`; gives the exit code.
pub fn dispatch(args: Args, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let show = args.show;
    let done = match args.verb {
        Verb::New { folder } => new::new(&folder, show, out, err),
        Verb::Check { files, short, json } => {
            check::check(&files, short, json.as_deref(), show, out, err)
        }
        Verb::Run(wish) => run::run(&wish, show, out, err),
        Verb::Console(wish) => console::console(&wish, show, out, err),
        Verb::Practise(wish) => practise::practise(&wish, show, out, err),
        Verb::Grade(wish) => grade::grade(&wish, show, out, err),
        Verb::Assign(wish) => assign::assign(&wish, show, out, err),
        Verb::Merge { parts, out: file } => merge::merge(&parts, &file, show, out, err),
        Verb::Demo { out: folder } => demo::demo(folder.as_deref(), show, out, err),
        Verb::Testability(wish) => testability::testability(&wish, show, out, err),
        Verb::Interlocks(wish) => interlocks::interlocks(&wish, show, out, err),
        Verb::Sheet { scenario, out: file } => sheet::sheet(&scenario, &file, show, out, err),
        Verb::Draw { bench, out: folder, style } => {
            let style = match style {
                DrawStyle::Iec => crate::drawing::Style::Iec,
                DrawStyle::Na => crate::drawing::Style::NorthAmerican,
            };
            draw::draw(&bench, &folder, style, show, out, err)
        }
        Verb::Guide { components: false } => guide::guide(out),
        Verb::Guide { components: true } => components::components(out),
        Verb::Drill(wish) => drill::drill(&wish, show, out, err),
        Verb::Lint { benches, json } => lint::lint(&benches, json.as_deref(), show, out, err),
        Verb::Explain { code } => explain::explain(code.as_deref(), show, out, err),
    };
    // What is still held back counts too: a full disk must not pass for success.
    match done.and_then(|code| out.flush().map(|()| code)) {
        Ok(code) => code,
        // A reader that has seen enough (a closed pipe) is no mistake.
        Err(problem) if problem.kind() == std::io::ErrorKind::BrokenPipe => exit::SUCCESS,
        Err(problem) => {
            let _ = writeln!(err, "{}", input::unwritten(&problem, Words::of(show.language)));
            exit::BAD_INPUT
        }
    }
}
