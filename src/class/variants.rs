//! Faults that are as hard to find as one another.
//!
//! The fault dictionary and the best known test sequence give every single fault a cost: the bench
//! time of the measurements on the way to it. Faults whose costs lie in one band are fair to
//! exchange for one another.

use crate::diagnosis::{
    DEFAULT_BUDGET, DiagnosisError, Dictionary, FaultMatrix, Hypothesis, Sequencer, Survey,
    TreeNode, dictionary, hypotheses,
};
use crate::fault::{Fault, Onset};
use crate::language::Phrase;
use crate::scenario::{Answer, Scenario, does_its_work};

/// A fault that a learner may get.
#[derive(Clone, Debug, PartialEq)]
pub struct Variant {
    /// The fault.
    pub fault: Fault,
    /// Diagnoses that the measurements cannot tell from it: all of them count as right.
    pub answers: Vec<Answer>,
    /// Bench time of the measurements that lead to it, on the best known way [s].
    pub cost_s: f64,
}

/// The faults of a scenario's machine that are as hard as its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Variants {
    /// How hard the scenario is: cost of its own fault, or else the average over all faults [s].
    pub difficulty_s: f64,
    /// How far from it a variant may be, as a share of it [1].
    pub band: f64,
    /// Least and greatest cost of a variant [s].
    pub band_s: (f64, f64),
    /// The variants, in the order of their words.
    pub list: Vec<Variant>,
    /// Declared variants that are not among them, and why.
    pub left_out: Vec<(String, Phrase)>,
    /// Those that cost less or more, the nearest first.
    outside: Vec<Variant>,
}

/// Bands are named in steps of this [1].
const STEP: f64 = 0.05;
/// Narrowest band that is chosen where none is asked for [1]: it is as good as equal, and the more
/// faults there are in it, the fewer learners share one.
pub const LEAST_BAND: f64 = 0.25;
/// Widest band that is chosen where none is asked for [1].
pub const MOST_BAND: f64 = 0.7;
/// So many faults are looked for when a band is chosen. Everybody's fault is drawn for itself, so
/// that some are drawn by nobody: of so many, a class of 30 meets 8 or more with all but one secret
/// in 390.
pub const ENOUGH: usize = 10;

impl Variants {
    /// The least band, in whole steps, that holds `want` variants of `scenario`, if any below twice
    /// its difficulty does.
    #[must_use]
    pub fn band_for(&self, want: usize, scenario: &Scenario) -> Option<f64> {
        let missing = want.checked_sub(self.list.len())?;
        let mut further = self.outside.iter().filter(|v| shows(scenario, &v.fault));
        let last = further.nth(missing.checked_sub(1)?)?;
        let band = steps(away(last, self.difficulty_s));
        (band < 1.0).then_some(band)
    }
}

/// How far the cost of a variant is from the difficulty, as a share of it [1].
fn away(variant: &Variant, difficulty_s: f64) -> f64 {
    (variant.cost_s - difficulty_s).abs() / difficulty_s
}

/// Just above a step is that step: costs are whole seconds.
const GRAIN: f64 = 1e-9;

/// The least band in whole steps that reaches so far [1].
fn steps(away: f64) -> f64 {
    (away / STEP - GRAIN).ceil() * STEP
}

/// Why there are no variants.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum VariantError {
    /// The testability analysis fails.
    Diagnosis(#[from] DiagnosisError),
    /// Without a functional test nobody can tell whether a machine is mended.
    NoTest,
    /// No fault is as hard.
    None {
        /// Least cost looked for [s].
        low: f64,
        /// Greatest.
        high: f64,
    },
}

impl VariantError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            VariantError::Diagnosis(error) => {
                Phrase::new("variants-diagnosis").with("why", error.phrase())
            }
            VariantError::NoTest => Phrase::new("variants-no-test"),
            VariantError::None { low, high } => Phrase::new("variants-none")
                .with("low", format!("{low:.0}"))
                .with("high", format!("{high:.0}")),
        }
    }
}

/// A fault with its cost and the faults it cannot be told from.
struct Rated {
    fault: Fault,
    twins: Vec<Answer>,
    cost_s: f64,
}

/// The variants of `scenario` within `band` of its difficulty: 0.25 is from three quarters of it to
/// five quarters. Without a band, within the narrowest from [`LEAST_BAND`] to [`MOST_BAND`] that holds
/// [`ENOUGH`], or else as many as the widest. It follows from the scenario alone, so that nobody's
/// fault depends on the size of the class.
///
/// # Errors
/// When the machine cannot be analysed, or none is left.
pub fn variants(scenario: &Scenario, band: Option<f64>) -> Result<Variants, VariantError> {
    if scenario.retest.actions.is_empty() || scenario.retest.expect.is_empty() {
        return Err(VariantError::NoTest);
    }
    let suspects = hypotheses(&scenario.plan, &[]);
    let found = dictionary(&Survey {
        plan: &scenario.plan,
        actions: &scenario.retest.actions,
        tools: &scenario.tools,
        suspects: &suspects,
        setup: false,
    })?;
    let (rated, average) = rate(&found, &suspects)?;
    let own = match scenario.faults.as_slice() {
        [fault] if scenario.scripts.is_empty() => find(&rated, fault).map(|r| r.cost_s),
        _ => None,
    };
    let (mut list, mut left_out, mut outside) = (Vec::new(), Vec::new(), Vec::new());
    let declared = !scenario.variants.is_empty();
    let offered: Vec<Rated> = if declared {
        let mut offered = Vec::new();
        for fault in &scenario.variants {
            match find(&rated, fault) {
                Some(r) => offered.push(Rated {
                    fault: fault.clone(),
                    twins: r.twins.clone(),
                    cost_s: r.cost_s,
                }),
                None => left_out.push((fault.name(), Phrase::new("kits-left-unseen"))),
            }
        }
        offered
    } else {
        // Of those that cannot be told apart one is enough.
        let mut rated = rated;
        rated.dedup_by(|a, b| a.twins == b.twins);
        rated
    };
    let difficulty_s = own.unwrap_or(if declared { middle(&offered) } else { average });
    let mut offers: Vec<Offer> = (offered.into_iter())
        .map(|r| Variant { fault: r.fault, answers: r.twins, cost_s: r.cost_s })
        .map(|variant| Offer { away: away(&variant, difficulty_s), variant, shows: None })
        .collect();
    offers.sort_by(|a, b| {
        a.away.total_cmp(&b.away).then_with(|| a.variant.fault.name().cmp(&b.variant.fault.name()))
    });
    offers.dedup_by_key(|offer| offer.variant.fault.name());
    let band = band.unwrap_or_else(|| narrowest(&mut offers, scenario));
    let band_s = ((1.0 - band) * difficulty_s, (1.0 + band) * difficulty_s);
    for mut offer in offers {
        let inside = offer.away <= band + GRAIN;
        let why = if !inside {
            Phrase::new("kits-left-far").with("cost", format!("{:.0}", offer.variant.cost_s))
        } else if !offer.shows(scenario) {
            Phrase::new("kits-left-works")
        } else {
            list.push(offer.variant);
            continue;
        };
        if declared {
            left_out.push((offer.variant.fault.name(), why));
        }
        if !inside {
            outside.push(offer.variant);
        }
    }
    if list.is_empty() {
        return Err(VariantError::None { low: band_s.0, high: band_s.1 });
    }
    list.sort_by_key(|v| v.fault.name());
    Ok(Variants { difficulty_s, band, band_s, list, left_out, outside })
}

/// A fault that may become a variant.
struct Offer {
    variant: Variant,
    /// How far its cost is from the difficulty, as a share of it [1].
    away: f64,
    /// Whether the functional test shows it, once that was tried.
    shows: Option<bool>,
}

impl Offer {
    fn shows(&mut self, scenario: &Scenario) -> bool {
        *self.shows.get_or_insert_with(|| shows(scenario, &self.variant.fault))
    }
}

/// The narrowest band that holds enough of `offers`, which stand the nearest first.
fn narrowest(offers: &mut [Offer], scenario: &Scenario) -> f64 {
    let near = offers.iter_mut().take_while(|offer| offer.away <= MOST_BAND + GRAIN);
    let good = near.filter_map(|offer| offer.shows(scenario).then_some(offer.away)).take(ENOUGH);
    good.last().map_or(MOST_BAND, |last| steps(last).max(LEAST_BAND))
}

/// The cost in the middle of the list [s].
fn middle(list: &[Rated]) -> f64 {
    let mut costs: Vec<f64> = list.iter().map(|r| r.cost_s).collect();
    costs.sort_by(f64::total_cmp);
    costs.get(costs.len() / 2).copied().unwrap_or(0.0)
}

/// The fault among those rated, whatever its severity and onset.
fn find<'r>(rated: &'r [Rated], fault: &Fault) -> Option<&'r Rated> {
    rated.iter().find(|r| {
        r.fault.part == fault.part
            && r.fault.mode == fault.mode
            && fault.role.as_ref().is_none_or(|role| Some(role) == r.fault.role.as_ref())
    })
}

/// Every fault that shows and that one repair mends for certain, with its cost; and the average
/// cost of the sequence.
fn rate(found: &Dictionary, suspects: &[Hypothesis]) -> Result<(Vec<Rated>, f64), VariantError> {
    let matrix: &FaultMatrix = &found.matrix;
    let silent = matrix.undetectable(&matrix.all_tests())?;
    let known = matrix.given_a_fault()?;
    let sequence = Sequencer::with_budget(&known, DEFAULT_BUDGET / 10)?.solve();
    let fault = |state: usize| -> Option<&Fault> {
        let name = &known.states()[state].name;
        suspects.iter().find(|h| h.name == *name)?.faults.first()
    };
    let mut rated = Vec::new();
    // Branches lead to later nodes, so the cost of a node is known before its branches are met.
    let mut costs = vec![0.0; sequence.tree.nodes.len()];
    for (at, node) in sequence.tree.nodes.iter().enumerate() {
        match node {
            TreeNode::Test { test, branches, .. } => {
                for &(_, next) in branches {
                    costs[next] = costs[at] + known.tests()[*test].cost;
                }
            }
            TreeNode::Leaf { states } => {
                let one_repair = known.repairs_of(states) == 1;
                // State 0 of the whole matrix is the sound machine.
                if !one_repair || states.iter().any(|s| silent.contains(&(s + 1))) {
                    continue;
                }
                let twins: Vec<Answer> = states
                    .iter()
                    .filter_map(|&s| fault(s))
                    .map(|f| Answer { part: f.part.clone(), mode: f.mode.clone() })
                    .collect();
                for fault in states.iter().filter_map(|&s| fault(s)).cloned() {
                    rated.push(Rated { fault, twins: twins.clone(), cost_s: costs[at] });
                }
            }
        }
    }
    Ok((rated, sequence.cost))
}

/// Whether the machine with this fault fails its functional test.
fn shows(scenario: &Scenario, fault: &Fault) -> bool {
    let mut faulty = scenario.clone();
    faulty.scripts = Vec::new();
    faulty.faults = vec![fault.clone()];
    // A fault that comes later is the author's own choice.
    if fault.onset != Onset::Start {
        return true;
    }
    faulty.rig(scenario.seed).is_ok_and(|rig| !does_its_work(&faulty, rig))
}
