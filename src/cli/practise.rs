//! `practise`: the bench in a window.

use std::io::{self, Write};
use std::path::PathBuf;

use super::exit;

/// What was asked for.
#[derive(Clone, Debug)]
#[cfg_attr(not(feature = "view"), allow(dead_code))]
pub struct Wish {
    /// Scenario or bench file.
    pub file: PathBuf,
    /// Attempt file to write.
    pub attempt: Option<PathBuf>,
    /// Pseudonym of the learner.
    pub learner: String,
    /// Seed; the scenario's own if `None`.
    pub seed: Option<u64>,
    /// Author mode.
    pub watch: bool,
    /// Size of the window, such as `1280x800`.
    pub size: Option<String>,
    /// Folder for pictures, or the picture itself with `after`.
    pub pictures: Option<PathBuf>,
    /// File that tells where everything lies.
    pub places: Option<PathBuf>,
    /// Seconds after which a picture is taken and the window closes.
    pub after: Option<f64>,
    /// Actions done before the first frame, a list in a file.
    pub actions: Option<PathBuf>,
    /// Dark paper.
    pub dark: bool,
    /// Size of text, as a step.
    pub text: Option<usize>,
    /// Show everything on the drawing.
    pub all: bool,
}

/// Says that this build has no window.
#[cfg(not(feature = "view"))]
pub fn practise(_: &Wish, _: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    writeln!(
        err,
        "this build has no window; build it with --features view, or practise in words: \
         spoolbench console FILE"
    )?;
    Ok(exit::NO_WINDOW)
}

/// Opens the window.
#[cfg(feature = "view")]
pub fn practise(wish: &Wish, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    use std::sync::Arc;

    use crate::diagnostic::Code;
    use crate::session::{latest_attempt, read_actions};
    use crate::view;

    use super::{input, run};

    let drill = input::is_drill(&wish.file);
    let (scenario, drill) = if drill {
        let Some(drill) = input::drill(&wish.file, err)? else { return Ok(exit::BAD_INPUT) };
        let Some(first) = drill.questions.first() else { return Ok(exit::BAD_INPUT) };
        ((*first.scenario).clone(), Some(Arc::new(drill)))
    } else {
        let Some(scenario) = input::bench_or_scenario(&wish.file, err)? else {
            return Ok(exit::BAD_INPUT);
        };
        (scenario, None)
    };
    let seed = wish.seed.unwrap_or(scenario.seed);
    if let Err(problem) = scenario.rig(seed) {
        return run::unfit(&wish.file, &problem, err);
    }
    let mut refuse = |place: &str, message: String, help: &str| -> io::Result<u8> {
        writeln!(err, "{}", input::problem(place, Code::BAD_LINE, message, help))?;
        Ok(exit::BAD_INPUT)
    };
    if drill.is_some() && (wish.watch || wish.attempt.is_some()) {
        let message = "a drill writes no attempt, and is not watched".to_owned();
        return refuse(
            "practise",
            message,
            "leave out --watch and --attempt; `check` tells mistakes",
        );
    }
    let mut size = None;
    if let Some(text) = &wish.size {
        size = text
            .split_once('x')
            .and_then(|(w, h)| Some((w.parse::<u32>().ok()?, h.parse::<u32>().ok()?)))
            .filter(|(w, h)| (320..=16_384).contains(w) && (240..=16_384).contains(h));
        if size.is_none() {
            let message = format!("\"{text}\" is no size of a window");
            return refuse("--size", message, "write width and height, such as 1280x800");
        }
    }
    let mut actions = Vec::new();
    if let Some(path) = &wish.actions {
        let bytes = match input::record(path) {
            Ok(bytes) => bytes,
            Err(line) => {
                writeln!(err, "{line}")?;
                return Ok(exit::BAD_INPUT);
            }
        };
        match read_actions(&String::from_utf8_lossy(&bytes)) {
            Ok(lines) => actions.extend(lines.into_iter().map(|l| l.action)),
            Err(problems) => {
                for (line, problem) in problems {
                    let place = format!("{}:{line}:{}", path.display(), problem.column);
                    refuse(&place, problem.message, &problem.help)?;
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
                writeln!(out, "attempt written to {}", path.display())?;
            }
            writeln!(out, "{} actions, digest {}", record.actions, record.digest)?;
            Ok(exit::SUCCESS)
        }
        Err(why) => {
            writeln!(
                err,
                "{why}; practise in words instead: spoolbench console {}",
                wish.file.display()
            )?;
            Ok(match why {
                view::Unable::Failed(_) => exit::INTERNAL,
                _ => exit::NO_WINDOW,
            })
        }
    }
}
