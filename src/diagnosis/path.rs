//! Grading the path that a learner took: what each step could tell and did tell, what it cost
//! against the best next step, and whether the fault was proved when it was named.

use super::matrix::{DiagnosisError, FaultMatrix};
use super::sequence::Sequencer;
use crate::base::ops;

/// Most steps of a path.
const STEP_LIMIT: usize = 10_000;

/// What a learner read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reading {
    /// Clearly in this band.
    Nominal(u16),
    /// Near a boundary: it excludes nothing.
    Marginal,
}

/// Bands of a measured value: band 0 below the first edge, band 1 from there to the second, ...
#[derive(Clone, Debug, PartialEq)]
pub struct Bands {
    /// Edges, ascending, in the unit of the value.
    pub edges: Vec<f64>,
    /// A value this close to an edge is marginal [unit of the value].
    pub margin: f64,
}

impl Bands {
    /// Band of `value`. A value that is not a number is marginal.
    #[must_use]
    pub fn read(&self, value: f64) -> Reading {
        let near = |edge: &f64| (value - edge).abs() <= self.margin;
        if value.is_nan() || self.edges.iter().any(near) {
            return Reading::Marginal;
        }
        let below = self.edges.iter().filter(|&&edge| edge <= value).count();
        Reading::Nominal(u16::try_from(below).unwrap_or(u16::MAX))
    }
}

/// One step of a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Observation {
    /// Index of the test.
    pub test: usize,
    /// What it read.
    pub reading: Reading,
}

/// A step with its marks.
#[derive(Clone, Debug, PartialEq)]
pub struct GradedStep {
    /// Index of the test.
    pub test: usize,
    /// States that explained everything before it.
    pub before: Vec<usize>,
    /// States that still explain everything.
    pub after: Vec<usize>,
    /// Its cost.
    pub cost: f64,
    /// Information obtained [bit]; 0 when no state explains the reading.
    pub bits: f64,
    /// It could tell nothing: every candidate reads the same. That could be known beforehand.
    pub uninformative: bool,
    /// Expected cost above that of the best next step [unit of cost].
    pub regret: f64,
    /// The regret rests on proven optima.
    pub proven: bool,
}

/// How a fault was named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Right, and one repair mends every state that explains the readings.
    Proved,
    /// Right, but other states explain the readings too.
    Lucky,
    /// The readings exclude the named fault.
    Contradicted,
    /// Wrong, but the readings allow it.
    WrongButConsistent,
}

/// A graded path.
#[derive(Clone, Debug, PartialEq)]
pub struct PathGrade {
    /// The steps.
    pub steps: Vec<GradedStep>,
    /// States that explain everything read.
    pub remaining: Vec<usize>,
    /// Sum of the costs.
    pub cost: f64,
    /// Sum of the regrets.
    pub regret: f64,
    /// Expected cost of the best sequence from the start.
    pub optimum: f64,
    /// Index of the first step whose reading no state explains.
    pub unexplained_at: Option<usize>,
}

/// Grades the steps of a path. After a reading that no state explains, nothing more is excluded or
/// charged as regret.
///
/// # Errors
/// When a test does not exist, there are too many steps, or too many groups to sequence.
pub fn grade(
    matrix: &FaultMatrix,
    sequencer: &mut Sequencer,
    path: &[Observation],
) -> Result<PathGrade, DiagnosisError> {
    super::matrix::within("steps", path.len(), STEP_LIMIT)?;
    let all: Vec<usize> = (0..matrix.states().len()).collect();
    let mut found = PathGrade {
        steps: Vec::with_capacity(path.len()),
        optimum: sequencer.value(&all)?.cost,
        remaining: all,
        cost: 0.0,
        regret: 0.0,
        unexplained_at: None,
    };
    let prior = |list: &[usize]| -> f64 { list.iter().map(|&s| matrix.states()[s].prior).sum() };
    for (index, step) in path.iter().enumerate() {
        matrix.check_tests(&[step.test])?;
        let before = std::mem::take(&mut found.remaining);
        let after: Vec<usize> = match step.reading {
            Reading::Marginal => before.clone(),
            Reading::Nominal(band) => {
                before.iter().copied().filter(|&s| matrix.outcome(s, step.test) == band).collect()
            }
        };
        if after.is_empty() && !before.is_empty() {
            found.unexplained_at = Some(index);
        }
        let first = before.first().map(|&s| matrix.outcome(s, step.test));
        let uninformative = before.iter().all(|&s| Some(matrix.outcome(s, step.test)) == first);
        let (regret, proven) = if before.is_empty() {
            (0.0, true)
        } else {
            let (forced, best) = (sequencer.forced(&before, step.test)?, sequencer.value(&before)?);
            (forced.cost - best.cost, forced.proven && best.proven)
        };
        let bits = if after.is_empty() || after.len() == before.len() {
            0.0
        } else {
            ops::log2(prior(&before) / prior(&after))
        };
        let cost = matrix.tests()[step.test].cost;
        found.cost += cost;
        found.regret += regret;
        found.remaining.clone_from(&after);
        found.steps.push(GradedStep {
            test: step.test,
            before,
            after,
            cost,
            bits,
            uninformative,
            regret,
            proven,
        });
    }
    Ok(found)
}

/// How naming `named` stands when `truth` is present and `remaining` explain the readings. Right
/// means the right repair; the caller sees from the names whether it is the right fault too.
///
/// # Errors
/// When a state does not exist.
pub fn verdict(
    matrix: &FaultMatrix,
    remaining: &[usize],
    named: usize,
    truth: usize,
) -> Result<Verdict, DiagnosisError> {
    matrix.check_state(named)?;
    matrix.check_state(truth)?;
    for &s in remaining {
        matrix.check_state(s)?;
    }
    Ok(if !remaining.contains(&named) {
        Verdict::Contradicted
    } else if matrix.class(named) != matrix.class(truth) {
        Verdict::WrongButConsistent
    } else if matrix.repairs_of(remaining) == 1 {
        Verdict::Proved
    } else {
        Verdict::Lucky
    })
}
