//! Grades many attempts at one scenario.

use std::collections::VecDeque;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use crate::base::SimTime;
use crate::diagnosis::evidence::{Inquiry, Outlook, Recall};
use crate::diagnosis::in_full;
use crate::fault::{Fault, Onset};
use crate::scenario::Scenario;
use crate::session::{Session, read_journal, replay};

use super::case::Case;
use super::judge::{GradeError, judge};
use super::mark::Grade;

/// Seeds whose suspects are remembered.
const INQUIRIES: usize = 16;

/// Faults as they came, and the seed: what an inquiry depends on.
type Key = (u64, Vec<Fault>);

/// Grades attempts at one scenario. What attempts have in common is worked out once; a grade never
/// depends on what was graded before.
#[derive(Debug)]
pub struct Marker<'s> {
    scenario: &'s Scenario,
    outlook: Option<Arc<Outlook>>,
    inquiries: Mutex<VecDeque<(Key, Arc<Inquiry>)>>,
    recall: Recall,
}

impl<'s> Marker<'s> {
    /// A marker for `scenario`, with its fault dictionary from the folder `cache` if it is there.
    #[must_use]
    pub fn new(scenario: &'s Scenario, cache: Option<&Path>) -> Self {
        let outlook =
            scenario.dictionary(cache).ok().map(|found| Arc::new(Outlook::new(found.matrix)));
        Marker { scenario, outlook, inquiries: Mutex::default(), recall: Recall::default() }
    }

    /// A marker for the same task with another fault: what can be told apart on the machine is the same.
    #[must_use]
    pub fn for_variant<'v>(&self, scenario: &'v Scenario) -> Marker<'v> {
        Marker {
            scenario,
            outlook: self.outlook.clone(),
            inquiries: Mutex::default(),
            recall: self.recall.clone(),
        }
    }

    /// Grades the attempt in `bytes`.
    ///
    /// # Errors
    /// When the attempt cannot be read or repeated, or a fault script fails.
    pub fn grade(&self, bytes: &[u8]) -> Result<Grade, GradeError> {
        let scenario = self.scenario;
        let config = scenario.config();
        let attempt = read_journal(bytes, &config).map_err(GradeError::Journal)?;
        if attempt.header.scenario != scenario.digest {
            return Err(GradeError::OtherScenario {
                attempt: attempt.header.scenario.chars().take(64).collect(),
                scenario: scenario.digest.clone(),
            });
        }
        let rig = scenario
            .rig(attempt.header.seed)
            .map_err(|error| GradeError::Scenario(error.phrase()))?;
        let session = replay(rig, config, &attempt).map_err(GradeError::Replay)?;
        let inquiry = self.inquiry(attempt.header.seed, &session);
        let case = match (&self.outlook, &inquiry) {
            (Some(outlook), Some(inquiry)) => Some(Case::new(scenario, &session, inquiry, outlook)),
            _ => None,
        };
        Ok(judge(scenario, &attempt, &session, case.as_ref()))
    }

    /// The suspects, when the faults that `session` met are the truth.
    fn inquiry(&self, seed: u64, session: &Session) -> Option<Arc<Inquiry>> {
        let truth = truth(self.scenario, session);
        let key = (seed, truth);
        let mut known = self.inquiries.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(place) = known.iter().position(|(k, _)| *k == key)
            && let Some(found) = known.remove(place)
        {
            let inquiry = Arc::clone(&found.1);
            known.push_back(found);
            return Some(inquiry);
        }
        let real = self.scenario.rig(seed).ok()?;
        let make = |faults: &[Fault], rhythm: &str| self.scenario.rig_with(seed, faults, rhythm);
        let config = self.scenario.config();
        let inquiry = Arc::new(Inquiry::new(
            self.scenario.suspects(),
            &key.1,
            real,
            &make,
            &config,
            &self.recall,
        ));
        if known.len() >= INQUIRIES {
            known.pop_front();
        }
        known.push_back((key, Arc::clone(&inquiry)));
        Some(inquiry)
    }
}

/// The faults of the machine: those that came, or were to come; a script's as if by the clock.
fn truth(scenario: &Scenario, session: &Session) -> Vec<Fault> {
    let mut list: Vec<Fault> = Vec::new();
    for injected in session.rig().director().injected() {
        let mut fault = in_full(&scenario.plan, &injected.fault);
        if fault.onset == Onset::Start && injected.at > SimTime::ZERO {
            fault.onset = Onset::At(injected.at);
        }
        if !list.contains(&fault) {
            list.push(fault);
        }
    }
    if list.is_empty() {
        list = scenario.faults.iter().map(|f| in_full(&scenario.plan, f)).collect();
    }
    list
}

/// Grades one attempt at `scenario`; for many, keep a [`Marker`].
///
/// # Errors
/// When the attempt cannot be read or repeated, or a fault script fails.
pub fn grade(scenario: &Scenario, bytes: &[u8]) -> Result<Grade, GradeError> {
    Marker::new(scenario, None).grade(bytes)
}
