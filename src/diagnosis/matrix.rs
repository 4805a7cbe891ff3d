//! The fault matrix: what every test reads under every state, with priors, costs and repairs.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::language::Phrase;

/// Most states of a matrix.
pub const STATE_LIMIT: usize = 4_096;
/// Most tests of a matrix.
pub const TEST_LIMIT: usize = 262_144;
/// Most cells (states times tests) of a matrix.
pub const CELL_LIMIT: usize = 4_194_304;

/// How far the priors may be from summing to 1 [1].
const PRIOR_SUM_TOLERANCE: f64 = 1e-9;

/// What keeps a diagnosis from being worked out. None of these leaves anything half done.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum DiagnosisError {
    /// There is no state, or no test where one is needed.
    Empty,
    /// Too many states, tests or cells.
    TooLarge {
        /// What there are too many of.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// How many there may be.
        limit: usize,
    },
    /// A prior that is not a positive finite number.
    Prior {
        /// Name of the state.
        state: String,
        /// Its prior as given.
        prior: f64,
    },
    /// Priors that do not sum to 1.
    PriorSum {
        /// Their sum.
        sum: f64,
    },
    /// A cost that is negative or not finite.
    Cost {
        /// Name of the test.
        test: String,
        /// Its cost as given.
        cost: f64,
    },
    /// A row whose length is not the number of tests, or a missing row.
    Row {
        /// Index of the state.
        row: usize,
        /// Outcomes in its row.
        cells: usize,
        /// Tests of the matrix.
        tests: usize,
    },
    /// Two states, or two tests, with one name.
    TwiceNamed {
        /// The name.
        name: String,
    },
    /// An index beyond the matrix.
    NoSuch {
        /// State or test.
        what: &'static str,
        /// The index asked for.
        index: usize,
    },
    /// The matrix has no fault-free state, and the question needs one.
    NoFaultFree,
    /// Nothing would be left.
    NoFault,
}

impl DiagnosisError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            DiagnosisError::Empty => Phrase::new("diagnosis-empty"),
            DiagnosisError::TooLarge { what, count, limit } => too_many(what, *count, *limit),
            DiagnosisError::Prior { state, prior } => Phrase::new("diagnosis-prior")
                .with("state", state.as_str())
                .with("prior", prior.to_string()),
            DiagnosisError::PriorSum { sum } => {
                Phrase::new("diagnosis-prior-sum").with("sum", sum.to_string())
            }
            DiagnosisError::Cost { test, cost } => Phrase::new("diagnosis-cost")
                .with("test", test.as_str())
                .with("cost", cost.to_string()),
            DiagnosisError::Row { row, cells, tests } => Phrase::new("diagnosis-row")
                .with("row", row.to_string())
                .with("cells", cells.to_string())
                .with("tests", tests.to_string()),
            DiagnosisError::TwiceNamed { name } => {
                Phrase::new("diagnosis-twice").with("name", name.as_str())
            }
            DiagnosisError::NoSuch { what, index } => {
                Phrase::new(format!("diagnosis-no-{what}")).with("index", index.to_string())
            }
            DiagnosisError::NoFaultFree => Phrase::new("diagnosis-no-sound"),
            DiagnosisError::NoFault => Phrase::new("diagnosis-no-fault"),
        }
    }
}

/// There are more of `what` than there may be.
pub(super) fn too_many(what: &str, count: usize, limit: usize) -> Phrase {
    let what = Phrase::new(format!("many-{}", what.replace(' ', "-")));
    Phrase::new("too-many")
        .with("counted", what)
        .with("count", count.to_string())
        .with("limit", limit.to_string())
}

/// A state that the bench can be in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Name, such as `K1 coil open`.
    pub name: String,
    /// Probability beforehand [1], > 0.
    pub prior: f64,
    /// What mends it; states with one repair need not be told apart.
    pub repair: String,
}

impl State {
    /// A state.
    #[must_use]
    pub fn new(name: &str, prior: f64, repair: &str) -> State {
        State { name: name.to_owned(), prior, repair: repair.to_owned() }
    }
}

/// A test that the learner can do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Test {
    /// Name, such as `volts at K1:A1`.
    pub name: String,
    /// Cost [the author's unit], >= 0. A set-up that depends on what was done before is charged at
    /// its worst.
    pub cost: f64,
}

impl Test {
    /// A test.
    #[must_use]
    pub fn new(name: &str, cost: f64) -> Test {
        Test { name: name.to_owned(), cost }
    }
}

/// What every test reads under every state. Outcomes are numbers of bands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FaultMatrix {
    states: Vec<State>,
    tests: Vec<Test>,
    /// Row after row.
    outcomes: Vec<u16>,
    fault_free: bool,
    /// Repair class of each state; classes are numbered in the order of their first state.
    classes: Vec<usize>,
}

impl FaultMatrix {
    /// A matrix of `outcomes[state][test]`. With `fault_free`, state 0 is the sound machine.
    ///
    /// # Errors
    /// When sizes, priors, costs or names do not fit.
    pub fn new(
        states: Vec<State>,
        tests: Vec<Test>,
        outcomes: Vec<Vec<u16>>,
        fault_free: bool,
    ) -> Result<FaultMatrix, DiagnosisError> {
        if states.is_empty() || tests.is_empty() {
            return Err(DiagnosisError::Empty);
        }
        within("states", states.len(), STATE_LIMIT)?;
        within("tests", tests.len(), TEST_LIMIT)?;
        within("cells", states.len() * tests.len(), CELL_LIMIT)?;
        for state in &states {
            if !(state.prior > 0.0 && state.prior.is_finite()) {
                return Err(DiagnosisError::Prior {
                    state: state.name.clone(),
                    prior: state.prior,
                });
            }
        }
        let sum: f64 = states.iter().map(|s| s.prior).sum();
        if (sum - 1.0).abs() > PRIOR_SUM_TOLERANCE {
            return Err(DiagnosisError::PriorSum { sum });
        }
        for test in &tests {
            if !(test.cost >= 0.0 && test.cost.is_finite()) {
                return Err(DiagnosisError::Cost { test: test.name.clone(), cost: test.cost });
            }
        }
        unique(states.iter().map(|s| s.name.as_str()))?;
        unique(tests.iter().map(|t| t.name.as_str()))?;
        if outcomes.len() != states.len() {
            let row = outcomes.len().min(states.len());
            return Err(DiagnosisError::Row { row, cells: 0, tests: tests.len() });
        }
        for (row, cells) in outcomes.iter().enumerate() {
            if cells.len() != tests.len() {
                let (cells, tests) = (cells.len(), tests.len());
                return Err(DiagnosisError::Row { row, cells, tests });
            }
        }
        let mut known: BTreeMap<&str, usize> = BTreeMap::new();
        let classes = states
            .iter()
            .map(|s| {
                let next = known.len();
                *known.entry(s.repair.as_str()).or_insert(next)
            })
            .collect();
        let outcomes = outcomes.concat();
        Ok(FaultMatrix { states, tests, outcomes, fault_free, classes })
    }

    /// Whether it is what [`FaultMatrix::new`] would make of its contents.
    pub(crate) fn is_whole(&self) -> bool {
        let width = self.tests.len().max(1);
        let rows: Vec<Vec<u16>> = self.outcomes.chunks(width).map(<[u16]>::to_vec).collect();
        FaultMatrix::new(self.states.clone(), self.tests.clone(), rows, self.fault_free)
            .is_ok_and(|matrix| matrix == *self)
    }

    /// The states.
    #[must_use]
    pub fn states(&self) -> &[State] {
        &self.states
    }

    /// The tests.
    #[must_use]
    pub fn tests(&self) -> &[Test] {
        &self.tests
    }

    /// Whether state 0 is the sound machine.
    #[must_use]
    pub fn has_fault_free(&self) -> bool {
        self.fault_free
    }

    /// The states that are faults.
    pub fn faults(&self) -> std::ops::Range<usize> {
        usize::from(self.fault_free)..self.states.len()
    }

    /// Band that `test` reads under `state`.
    ///
    /// # Panics
    /// When either is beyond the matrix.
    #[must_use]
    pub fn outcome(&self, state: usize, test: usize) -> u16 {
        assert!(test < self.tests.len(), "a test of this matrix");
        self.outcomes[state * self.tests.len() + test]
    }

    /// What all tests read under `state`.
    ///
    /// # Panics
    /// When `state` is beyond the matrix.
    #[must_use]
    pub fn row(&self, state: usize) -> &[u16] {
        let width = self.tests.len();
        &self.outcomes[state * width..(state + 1) * width]
    }

    /// Repair class of `state`: equal for states that one repair mends.
    ///
    /// # Panics
    /// When `state` is beyond the matrix.
    #[must_use]
    pub fn class(&self, state: usize) -> usize {
        self.classes[state]
    }

    /// All tests, for the questions that take a choice of tests.
    #[must_use]
    pub fn all_tests(&self) -> Vec<usize> {
        (0..self.tests.len()).collect()
    }

    /// The same states with only `tests`, in that order.
    ///
    /// # Errors
    /// When `tests` is empty, repeats one or names one that does not exist.
    pub fn with_tests(&self, tests: &[usize]) -> Result<FaultMatrix, DiagnosisError> {
        self.check_tests(tests)?;
        let outcomes = (0..self.states.len())
            .map(|s| tests.iter().map(|&t| self.outcome(s, t)).collect())
            .collect();
        let tests = tests.iter().map(|&t| self.tests[t].clone()).collect();
        FaultMatrix::new(self.states.clone(), tests, outcomes, self.fault_free)
    }

    /// The matrix once it is known that there is a fault: the fault-free state is dropped and the
    /// priors are scaled to sum to 1.
    ///
    /// # Errors
    /// When the matrix has no fault-free state, or no fault.
    pub fn given_a_fault(&self) -> Result<FaultMatrix, DiagnosisError> {
        if !self.fault_free {
            return Err(DiagnosisError::NoFaultFree);
        }
        if self.states.len() < 2 {
            return Err(DiagnosisError::NoFault);
        }
        let sum: f64 = self.states[1..].iter().map(|s| s.prior).sum();
        let states =
            self.states[1..].iter().map(|s| State { prior: s.prior / sum, ..s.clone() }).collect();
        let outcomes = self.faults().map(|s| self.row(s).to_vec()).collect();
        FaultMatrix::new(states, self.tests.clone(), outcomes, false)
    }

    /// Says whether all of `tests` exist, once each.
    pub(crate) fn check_tests(&self, tests: &[usize]) -> Result<(), DiagnosisError> {
        if tests.is_empty() {
            return Err(DiagnosisError::Empty);
        }
        let mut seen = vec![false; self.tests.len()];
        for &t in tests {
            match seen.get_mut(t) {
                None => return Err(DiagnosisError::NoSuch { what: "test", index: t }),
                Some(true) => {
                    return Err(DiagnosisError::TwiceNamed { name: self.tests[t].name.clone() });
                }
                Some(known) => *known = true,
            }
        }
        Ok(())
    }

    /// Says whether `state` exists.
    pub(crate) fn check_state(&self, state: usize) -> Result<(), DiagnosisError> {
        if state < self.states.len() {
            Ok(())
        } else {
            Err(DiagnosisError::NoSuch { what: "state", index: state })
        }
    }
}

pub(crate) fn within(what: &'static str, count: usize, limit: usize) -> Result<(), DiagnosisError> {
    if count > limit { Err(DiagnosisError::TooLarge { what, count, limit }) } else { Ok(()) }
}

fn unique<'a>(names: impl Iterator<Item = &'a str>) -> Result<(), DiagnosisError> {
    let mut sorted: Vec<&str> = names.collect();
    sorted.sort_unstable();
    match sorted.windows(2).find(|pair| pair[0] == pair[1]) {
        Some(pair) => Err(DiagnosisError::TwiceNamed { name: pair[0].to_owned() }),
        None => Ok(()),
    }
}
