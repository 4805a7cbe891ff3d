//! Plays a list of actions into an attempt, as a learner who types them would.

use crate::base::SimTime;
use crate::fault::InjectError;
use crate::session::{
    ActError, Action, Entry, Header, JournalWriter, Outcome, Session, WordsError, read_actions,
};

use super::load::Scenario;

/// Why a list of actions makes no attempt.
#[derive(Debug, thiserror::Error)]
pub enum PlayError {
    /// Lines that are no actions, each with its number.
    #[error("{}", lines(.0))]
    Words(Vec<(usize, WordsError)>),
    /// The scenario's faults or scripts do not fit its bench.
    #[error(transparent)]
    Faults(#[from] InjectError),
    /// An action that cannot be done.
    #[error("line {line}: {problem}")]
    Act {
        /// Line in the list, from 1.
        line: usize,
        /// Why not.
        problem: ActError,
    },
    /// The attempt, or what is told of it, cannot be written.
    #[error("the attempt cannot be written: {0}")]
    Write(#[from] std::io::Error),
}

fn lines(problems: &[(usize, WordsError)]) -> String {
    let told: Vec<String> = problems.iter().map(|(n, p)| format!("line {n}: {p}")).collect();
    told.join("; ")
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
