//! Choosing the next test by a rule of thumb, and what that costs.

use super::bound::entropy_bits;
use super::matrix::{DiagnosisError, FaultMatrix, within};

/// How much worse a score may be and still count as equal [1]: rounding must not break ties.
const TIE: f64 = 1e-9;

/// Most nodes of a policy's tree.
const NODE_LIMIT: usize = 200_000;

/// Most partitions (tests times candidates, summed over the nodes) of one policy.
const WORK_LIMIT: u64 = 2_000_000_000;

/// A rule for the next test. Only tests that divide the candidates are considered, with ties broken
/// by the lowest index.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// Most information per cost.
    GainPerCost,
    /// Least probability of the most probable outcome.
    WorstPart,
    /// Least expected probability of what remains.
    ExpectedPart,
    /// Most information.
    Entropy,
    /// Most different outcomes.
    MostParts,
}

/// What a policy costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PolicyCost {
    /// Expected cost.
    pub cost: f64,
    /// Most tests on any path.
    pub depth: usize,
    /// Tests in its tree.
    pub nodes: usize,
}

/// Information [bit] that each test gives when nothing has been done yet.
#[must_use]
pub fn first_gains(matrix: &FaultMatrix) -> Vec<f64> {
    let all: Vec<usize> = (0..matrix.states().len()).collect();
    let mut parts = Parts::default();
    (0..matrix.tests().len())
        .map(|t| {
            parts.divide(matrix, &all, t);
            entropy_bits(&parts.weights())
        })
        .collect()
}

/// Expected cost of following `rule` until nothing more can be told apart.
///
/// With `closing`, naming a state is itself a test: a path ends only when a test reads the band
/// `closing`, and among equally good tests those come first that could read it.
///
/// # Errors
/// When the tree grows beyond what is worth building.
pub fn policy_cost(
    matrix: &FaultMatrix,
    rule: Rule,
    closing: Option<u16>,
) -> Result<PolicyCost, DiagnosisError> {
    let all: Vec<usize> = (0..matrix.states().len()).collect();
    let mut open = vec![(all, 0_usize)];
    let mut found = PolicyCost { cost: 0.0, depth: 0, nodes: 0 };
    let mut work = 0_u64;
    let mut parts = Parts::default();
    while let Some((states, depth)) = open.pop() {
        found.depth = found.depth.max(depth);
        if closing.is_none() && matrix.repairs_of(&states) == 1 {
            continue;
        }
        work += (states.len() * matrix.tests().len()) as u64;
        if work > WORK_LIMIT {
            return Err(DiagnosisError::TooLarge {
                what: "partitions of a policy",
                count: usize::try_from(work).unwrap_or(usize::MAX),
                limit: WORK_LIMIT as usize,
            });
        }
        let Some(test) = choose(matrix, rule, closing, &states, &mut parts) else { continue };
        found.nodes += 1;
        within("nodes of a policy", found.nodes, NODE_LIMIT)?;
        let prior: f64 = states.iter().map(|&s| matrix.states()[s].prior).sum();
        found.cost += matrix.tests()[test].cost * prior;
        parts.divide(matrix, &states, test);
        for at in 0..parts.bands.len() {
            let band = parts.bands[at].0;
            let rest: Vec<usize> =
                states.iter().copied().filter(|&s| matrix.outcome(s, test) == band).collect();
            if closing == Some(band) {
                found.depth = found.depth.max(depth + 1);
            } else {
                open.push((rest, depth + 1));
            }
        }
    }
    Ok(found)
}

fn choose(
    matrix: &FaultMatrix,
    rule: Rule,
    closing: Option<u16>,
    states: &[usize],
    parts: &mut Parts,
) -> Option<usize> {
    // Higher is better.
    let mut best: Option<(f64, bool, usize)> = None;
    for test in 0..matrix.tests().len() {
        parts.divide(matrix, states, test);
        let closes = closing.is_some_and(|band| parts.bands.iter().any(|b| b.0 == band));
        if parts.bands.len() < 2 && !closes {
            continue;
        }
        let weights = parts.weights();
        let sum: f64 = weights.iter().sum();
        let score = match rule {
            Rule::GainPerCost => entropy_bits(&weights) / matrix.tests()[test].cost.max(1e-12),
            Rule::Entropy => entropy_bits(&weights),
            Rule::WorstPart => 0.0 - weights.iter().copied().fold(0.0, f64::max) / sum,
            Rule::ExpectedPart => {
                let mut squares: Vec<f64> = weights.iter().map(|w| w / sum * (w / sum)).collect();
                squares.sort_by(f64::total_cmp);
                0.0 - squares.iter().sum::<f64>()
            }
            Rule::MostParts => weights.len() as f64,
        };
        let better = match best {
            None => true,
            Some((top, top_closes, _)) => {
                let margin = TIE * (1.0 + top.abs());
                score > top + margin || (score > top - margin && closes && !top_closes)
            }
        };
        if better {
            best = Some((score, closes, test));
        }
    }
    best.map(|(_, _, test)| test)
}

/// The parts into which a test divides some states.
#[derive(Clone, Debug, Default)]
struct Parts {
    /// Band, prior and count of each part, in the order in which they turn up.
    bands: Vec<(u16, f64)>,
    /// Where each band stands in `bands`, plus one.
    place: Vec<u32>,
}

impl Parts {
    fn divide(&mut self, matrix: &FaultMatrix, states: &[usize], test: usize) {
        for (band, _) in &self.bands {
            self.place[usize::from(*band)] = 0;
        }
        self.bands.clear();
        for &s in states {
            let band = matrix.outcome(s, test);
            let at = usize::from(band);
            if at >= self.place.len() {
                self.place.resize(at + 1, 0);
            }
            if self.place[at] == 0 {
                self.bands.push((band, 0.0));
                self.place[at] = self.bands.len() as u32;
            }
            let part = self.place[at] as usize - 1;
            self.bands[part].1 += matrix.states()[s].prior;
        }
    }

    fn weights(&self) -> Vec<f64> {
        self.bands.iter().map(|b| b.1).collect()
    }
}
