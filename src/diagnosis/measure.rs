//! What a choice of tests can tell: groups, detection, isolation, redundancy, masking.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::matrix::{DiagnosisError, FaultMatrix};

/// States that a choice of tests cannot tell apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Group {
    /// The states, ascending.
    pub states: Vec<usize>,
    /// How many different repairs they call for: the size that counts for isolation.
    pub repairs: usize,
    /// The fault-free state is among them: nothing in here is detected.
    pub sound: bool,
}

/// A fraction with its two weightings and both denominators.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fraction {
    /// Weighted by the priors [1].
    pub weighted: f64,
    /// Counted in faults [1].
    pub counted: f64,
    /// Sum of the priors in the denominator [1].
    pub of_prior: f64,
    /// Faults in the denominator.
    pub of_faults: usize,
}

/// Two tests that divide the states alike: one of them tells nothing more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Redundant {
    /// The earlier test.
    pub keep: usize,
    /// The later one.
    pub drop: usize,
    /// Their columns are equal; otherwise they are equal but for the names of the bands.
    pub equal: bool,
}

/// What the machine reads with two faults at once, as simulated.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pair {
    /// One fault.
    pub first: usize,
    /// The other.
    pub second: usize,
    /// Outcome of every test with both present.
    pub row: Vec<u16>,
}

/// How two faults together look like something else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Masked {
    /// The pair reads like the first fault alone: the second is hidden.
    Second,
    /// The pair reads like the second fault alone: the first is hidden.
    First,
    /// The pair reads like both alone; they cannot be told apart anyway.
    Either,
    /// The pair reads like a third state: a false failure, or with the fault-free state nothing
    /// at all.
    Mimics(usize),
}

/// A pair that looks like a single state.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Masking {
    /// Index of the pair as given.
    pub pair: usize,
    /// What it looks like.
    pub looks_like: Masked,
}

impl FaultMatrix {
    /// What `tests` read under `state`.
    ///
    /// # Errors
    /// When the state or a test does not exist.
    pub fn signature(&self, state: usize, tests: &[usize]) -> Result<Vec<u16>, DiagnosisError> {
        self.check_state(state)?;
        self.check_tests(tests)?;
        Ok(tests.iter().map(|&t| self.outcome(state, t)).collect())
    }

    /// The groups of states that `tests` cannot tell apart, in the order of their first states.
    ///
    /// # Errors
    /// When a test does not exist or comes twice.
    pub fn groups(&self, tests: &[usize]) -> Result<Vec<Group>, DiagnosisError> {
        self.check_tests(tests)?;
        let mut by_row: BTreeMap<Vec<u16>, Vec<usize>> = BTreeMap::new();
        for s in 0..self.states().len() {
            by_row.entry(tests.iter().map(|&t| self.outcome(s, t)).collect()).or_default().push(s);
        }
        let mut groups: Vec<Group> = by_row
            .into_values()
            .map(|states| Group {
                repairs: self.repairs_of(&states),
                sound: self.has_fault_free() && states.first() == Some(&0),
                states,
            })
            .collect();
        groups.sort_by(|a, b| a.states.cmp(&b.states));
        Ok(groups)
    }

    /// How many different repairs `states` call for.
    pub(crate) fn repairs_of(&self, states: &[usize]) -> usize {
        let mut classes: Vec<usize> = states.iter().map(|&s| self.class(s)).collect();
        classes.sort_unstable();
        classes.dedup();
        classes.len()
    }

    /// Faults that read under `tests` as the sound machine does.
    ///
    /// # Errors
    /// When there is no fault-free state, or a test does not exist.
    pub fn undetectable(&self, tests: &[usize]) -> Result<Vec<usize>, DiagnosisError> {
        if !self.has_fault_free() {
            return Err(DiagnosisError::NoFaultFree);
        }
        let groups = self.groups(tests)?;
        Ok(groups.iter().filter(|g| g.sound).flat_map(|g| g.states[1..].to_vec()).collect())
    }

    /// Tests that divide the states as an earlier test does: equal columns, complementary ones, and
    /// in general columns equal but for the names of the bands.
    #[must_use]
    pub fn redundant_tests(&self) -> Vec<Redundant> {
        let mut first: BTreeMap<Vec<u16>, usize> = BTreeMap::new();
        let mut found = Vec::new();
        for t in 0..self.tests().len() {
            // Bands renamed in the order in which they turn up.
            let mut names: Vec<u16> = Vec::new();
            let column: Vec<u16> = (0..self.states().len())
                .map(|s| {
                    let band = self.outcome(s, t);
                    let at = names.iter().position(|&b| b == band).unwrap_or_else(|| {
                        names.push(band);
                        names.len() - 1
                    });
                    at as u16
                })
                .collect();
            match first.get(&column) {
                Some(&keep) => {
                    let equal = (0..self.states().len())
                        .all(|s| self.outcome(s, keep) == self.outcome(s, t));
                    found.push(Redundant { keep, drop: t, equal });
                }
                None => {
                    first.insert(column, t);
                }
            }
        }
        found
    }

    /// Tests that read the same under every state.
    #[must_use]
    pub fn idle_tests(&self) -> Vec<usize> {
        (0..self.tests().len())
            .filter(|&t| (1..self.states().len()).all(|s| self.outcome(s, t) == self.outcome(0, t)))
            .collect()
    }

    /// Fraction of the faults detected, of all faults.
    ///
    /// # Errors
    /// When there is no fault-free state or no fault, or a test does not exist.
    pub fn detected(&self, tests: &[usize]) -> Result<Fraction, DiagnosisError> {
        let missed = self.undetectable(tests)?;
        let faults: Vec<usize> = self.faults().collect();
        let hit: Vec<usize> = faults.iter().copied().filter(|s| !missed.contains(s)).collect();
        self.fraction(&hit, &faults).ok_or(DiagnosisError::NoFault)
    }

    /// Fraction of the *detected* faults that are isolated to groups of at most `repairs` different
    /// repairs. Without a fault-free state every fault counts as detected. `None` when nothing is
    /// detected.
    ///
    /// # Errors
    /// When a test does not exist.
    pub fn isolated(
        &self,
        tests: &[usize],
        repairs: usize,
    ) -> Result<Option<Fraction>, DiagnosisError> {
        let groups = self.groups(tests)?;
        let list = |keep: &dyn Fn(&Group) -> bool| -> Vec<usize> {
            groups.iter().filter(|g| keep(g)).flat_map(|g| g.states.clone()).collect()
        };
        let detected = list(&|g| !g.sound);
        let isolated = list(&|g| !g.sound && g.repairs <= repairs);
        Ok(self.fraction(&isolated, &detected))
    }

    fn fraction(&self, part: &[usize], whole: &[usize]) -> Option<Fraction> {
        let prior = |list: &[usize]| -> f64 { list.iter().map(|&s| self.states()[s].prior).sum() };
        let of_prior = prior(whole);
        (!whole.is_empty()).then(|| Fraction {
            weighted: prior(part) / of_prior,
            counted: part.len() as f64 / whole.len() as f64,
            of_prior,
            of_faults: whole.len(),
        })
    }

    /// Which simulated pairs of faults look like a single state.
    ///
    /// # Errors
    /// When a pair names a state that does not exist or its row does not fit.
    pub fn masking(&self, pairs: &[Pair]) -> Result<Vec<Masking>, DiagnosisError> {
        let mut found = Vec::new();
        for (index, pair) in pairs.iter().enumerate() {
            self.check_state(pair.first)?;
            self.check_state(pair.second)?;
            if pair.row.len() != self.tests().len() {
                let (cells, tests) = (pair.row.len(), self.tests().len());
                return Err(DiagnosisError::Row { row: index, cells, tests });
            }
            let like = |s: usize| self.row(s) == pair.row.as_slice();
            let looks_like = match (like(pair.first), like(pair.second)) {
                (true, true) => Some(Masked::Either),
                (true, false) => Some(Masked::Second),
                (false, true) => Some(Masked::First),
                (false, false) => (0..self.states().len()).find(|&s| like(s)).map(Masked::Mimics),
            };
            found.extend(looks_like.map(|looks_like| Masking { pair: index, looks_like }));
        }
        Ok(found)
    }
}
