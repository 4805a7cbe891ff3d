//! `practise`: the bench in a window.

use std::io::{self, Write};
use std::path::PathBuf;

use super::args::Show;
use super::exit;

/// What was asked for.
#[cfg_attr(not(feature = "view"), allow(dead_code))]
#[derive(Clone, Debug, clap::Args)]
pub struct Wish {
    /// Scenario, bench or drill file.
    pub file: PathBuf,
    /// Attempt file to write; a free name in the working folder if not given.
    #[arg(long)]
    pub attempt: Option<PathBuf>,
    /// Pseudonym of the learner, stored in the attempt.
    #[arg(long, default_value = "learner")]
    pub learner: String,
    /// Seed; the scenario's own if not given.
    #[arg(long)]
    pub seed: Option<u64>,
    /// For authors: read the files again when they are saved, put faults in by hand, record nothing.
    #[arg(long)]
    pub watch: bool,
    /// Size of the window, such as 1280x800.
    #[arg(long)]
    pub size: Option<String>,
    /// Begin with dark paper.
    #[arg(long)]
    pub dark: bool,
    /// Begin with text of this size: 0 to 4, for 100 to 200 %; as the height of the window asks if not given.
    #[arg(long)]
    pub text: Option<usize>,
    /// Folder for pictures of the window, key F12; with --after the picture itself.
    #[arg(long)]
    pub pictures: Option<PathBuf>,
    /// File that tells where everything that can be clicked lies, for scripts.
    #[arg(long, hide = true)]
    pub places: Option<PathBuf>,
    /// Take a picture after so many seconds, and close.
    #[arg(long, hide = true)]
    pub after: Option<f64>,
    /// Do these actions before the first frame.
    #[arg(long, hide = true)]
    pub actions: Option<PathBuf>,
    /// Begin with the live drawing.
    #[arg(long, hide = true)]
    pub all: bool,
}

/// Says that this build has no window.
#[cfg(not(feature = "view"))]
pub fn practise(_: &Wish, show: Show, _: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    writeln!(err, "{}", crate::language::Words::of(show.language).say("window-not-built"))?;
    Ok(exit::NO_WINDOW)
}

/// Opens the window.
#[cfg(feature = "view")]
pub fn practise(
    wish: &Wish,
    show: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    use std::sync::Arc;

    use crate::diagnostic::Code;
    use crate::language::Phrase;
    use crate::report::Reader;
    use crate::session::{latest_attempt, read_actions};
    use crate::view;

    use super::{input, run};

    let reader = Reader::new(show.language, show.units);
    let words = reader.words;
    let drill = input::is_drill(&wish.file);
    let (scenario, drill) = if drill {
        let Some(drill) = input::drill(&wish.file, words, err)? else { return Ok(exit::BAD_INPUT) };
        let Some(first) = drill.questions.first() else { return Ok(exit::BAD_INPUT) };
        ((*first.scenario).clone(), Some(Arc::new(drill)))
    } else {
        let Some(scenario) = input::bench_or_scenario(&wish.file, words, err)? else {
            return Ok(exit::BAD_INPUT);
        };
        (scenario, None)
    };
    let seed = wish.seed.unwrap_or(scenario.seed);
    if let Err(problem) = scenario.rig(seed) {
        return run::unfit(&wish.file, &problem, words, err);
    }
    let mut refuse = |place: &str, message: Phrase, help: Phrase| -> io::Result<u8> {
        writeln!(err, "{}", input::problem(place, Code::BAD_LINE, message, help, words))?;
        Ok(exit::BAD_INPUT)
    };
    if drill.is_some() && (wish.watch || wish.attempt.is_some()) {
        let help = Phrase::new("ask-drill-alone");
        return refuse("practise", Phrase::new("ask-drill-no-attempt"), help);
    }
    let mut size = None;
    if let Some(text) = &wish.size {
        size = text
            .split_once('x')
            .and_then(|(w, h)| Some((w.parse::<u32>().ok()?, h.parse::<u32>().ok()?)))
            .filter(|(w, h)| (320..=16_384).contains(w) && (240..=16_384).contains(h));
        if size.is_none() {
            let message = Phrase::new("ask-no-size").with("written", text.as_str());
            return refuse("--size", message, Phrase::new("ask-size"));
        }
    }
    let mut actions = Vec::new();
    if let Some(path) = &wish.actions {
        let bytes = match input::record(path) {
            Ok(bytes) => bytes,
            Err(problem) => {
                writeln!(err, "{}", input::line(&problem, words))?;
                return Ok(exit::BAD_INPUT);
            }
        };
        match read_actions(&String::from_utf8_lossy(&bytes)) {
            Ok(lines) => actions.extend(lines.into_iter().map(|l| l.action)),
            Err(problems) => {
                for (line, problem) in problems {
                    let place = format!("{}:{line}:{}", path.display(), problem.column);
                    refuse(&place, problem.message, problem.help)?;
                }
                return Ok(exit::BAD_INPUT);
            }
        }
    }
    let config = scenario.config();
    // An attempt that was handed back, stopped or timed out is finished.
    let unfinished = (wish.attempt.is_none() && !wish.watch && drill.is_none())
        .then(|| latest_attempt(&wish.file, &scenario.digest, &wish.learner, &config))
        .flatten()
        .filter(|(_, attempt)| attempt.header.seed == seed && !attempt.entries.is_empty())
        .filter(|(_, attempt)| {
            let rig = scenario.rig(seed).ok();
            let again =
                rig.and_then(|rig| crate::session::replay(rig, config.clone(), attempt).ok());
            again.is_some_and(|session| session.ended().is_none())
        });
    let order = view::Order {
        scenario: Arc::new(scenario),
        drill,
        reader,
        file: wish.file.clone(),
        seed,
        learner: wish.learner.clone(),
        attempt: wish.attempt.clone(),
        unfinished,
        watch: wish.watch,
    };
    let opening = view::Opening {
        size,
        pictures: wish.pictures.clone(),
        places: wish.places.clone(),
        close_after_s: wish.after,
        actions,
        dark: wish.dark,
        text: wish.text,
        all: wish.all.then_some(true),
    };
    out.flush()?;
    match view::practise(order, opening) {
        Ok(record) => {
            if let Some(path) = record.path {
                let file = path.display().to_string();
                writeln!(out, "{}", reader.fill("console-written", "file", file))?;
            }
            let recorded = Phrase::new("window-recorded").with("count", record.actions);
            writeln!(out, "{}", reader.words.phrase(&recorded.with("digest", record.digest)))?;
            Ok(exit::SUCCESS)
        }
        Err(why) => {
            let file = wish.file.display().to_string();
            let instead = Phrase::new("window-instead").with("why", why.phrase());
            writeln!(err, "{}", reader.words.phrase(&instead.with("file", file)))?;
            Ok(match why {
                view::Unable::Failed(_) => exit::INTERNAL,
                _ => exit::NO_WINDOW,
            })
        }
    }
}
