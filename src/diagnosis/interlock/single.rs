//! Every single fault, present from the start or arising at any moment.

use rayon::prelude::*;

use crate::plant::Plan;

use super::check::{Checker, Options, governed_when_sound};
use super::fault::Fault;
use super::model::{InterlockError, Model};
use super::property::{Finding, InterlockReport, Verdict};

/// When a fault comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Onset {
    /// It is there from the start.
    Static,
    /// It may arise at any moment, once; what sticks, sticks where it is.
    Arising,
}

/// What one fault does to an interlock.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultFinding {
    /// The fault.
    pub fault: Fault,
    /// When it comes.
    pub onset: Onset,
    /// What was found: both coils, loss of supply, restart, stops.
    pub report: InterlockReport,
}

impl FaultFinding {
    /// The properties that it breaks.
    #[must_use]
    pub fn broken(&self) -> Vec<&Finding> {
        self.report.findings.iter().filter(|f| matches!(f.verdict, Verdict::Broken(_))).collect()
    }
}

/// Checks the safety of `plan` under each of `faults` by itself, in their order: both coils, loss of
/// supply, restart, and stops as far as they govern a coil in the sound bench. Faults are explored
/// side by side; each has the limits of `options` for itself.
///
/// # Errors
/// When the bench does not fit into the model, or a fault is not in it.
pub fn check_faults(
    plan: &Plan,
    options: &Options,
    faults: &[Fault],
    onset: Onset,
) -> Result<Vec<FaultFinding>, InterlockError> {
    let governed = governed_when_sound(plan, options.limits)?;
    faults
        .par_iter()
        .map(|&fault| {
            let model = Model::new(plan, Some(fault), onset == Onset::Arising)?;
            let mut checker = Checker::new(&model, options.limits);
            let mut findings = checker.both_coils();
            findings.extend(checker.without_supply(&options.safe));
            findings.extend(checker.restarts());
            findings.extend(checker.stops(&governed));
            let report = checker.report(findings);
            Ok(FaultFinding { fault, onset, report })
        })
        .collect()
}
