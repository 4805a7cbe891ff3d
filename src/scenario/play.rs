//! Plays a list of actions into an attempt, as a learner who types them would.

use crate::base::SimTime;
use crate::fault::InjectError;
use crate::language::Phrase;
use crate::session::{
    ActError, Action, Entry, Header, JournalWriter, Outcome, Session, WordsError, read_actions,
};

use super::load::Scenario;

/// Why a list of actions makes no attempt.
#[derive(Debug, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum PlayError {
    /// Lines that are no actions, each with its number.
    Words(Vec<(usize, WordsError)>),
    /// The scenario's faults or scripts do not fit its bench.
    Faults(#[from] InjectError),
    /// An action that cannot be done.
    Act {
        /// Line in the list, from 1.
        line: usize,
        /// Why not.
        problem: ActError,
    },
    /// The attempt, or what is told of it, cannot be written.
    Write(#[from] std::io::Error),
}

impl PlayError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        let at = |line: usize, why: Phrase| {
            Phrase::new("ask-play-line").with("line", line).with("why", why)
        };
        match self {
            PlayError::Words(problems) => {
                Phrase::list(problems.iter().map(|(line, p)| at(*line, p.message.clone())))
            }
            PlayError::Faults(error) => error.phrase(),
            PlayError::Act { line, problem } => at(*line, problem.phrase()),
            PlayError::Write(why) => {
                let why = Phrase::system(why);
                Phrase::new("ask-play-unwritten").with("why", why)
            }
        }
    }
}

/// Plays the action list `list` at `scenario` with its own seed and gives the attempt, as
/// [`JournalWriter`] writes it. Every action goes to `tell` with its time and its outcome. What
/// stands behind the end of the attempt is left out.
///
/// # Errors
/// When a line is no action or cannot be done, or `tell` fails.
pub fn play(
    scenario: &Scenario,
    learner: &str,
    list: &str,
    tell: &mut dyn FnMut(SimTime, &Action, &Outcome) -> std::io::Result<()>,
) -> Result<Vec<u8>, PlayError> {
    let lines = read_actions(list).map_err(PlayError::Words)?;
    let mut session = Session::new(scenario.rig(scenario.seed)?, scenario.config());
    let mut bytes = Vec::new();
    let header = Header::new(&scenario.digest, scenario.seed, learner);
    let mut journal = JournalWriter::new(&mut bytes, &header)?;
    for line in lines {
        if session.ended().is_some() {
            break;
        }
        let at = line.at.map_or(session.now(), |at| at.max(session.now()));
        let outcome = session
            .act_at(at, line.action.clone())
            .map_err(|problem| PlayError::Act { line: line.number, problem })?;
        journal.record(&Entry { at: at.as_nanos(), action: line.action.clone() })?;
        tell(at, &line.action, &outcome)?;
    }
    Ok(bytes)
}
