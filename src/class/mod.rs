//! A class: who gets which fault, without anybody seeing it.
//!
//! A [`Secret`] and a learner's id give a pseudonym, one of the [`Variants`] of a scenario, and a seed;
//! the same secret gives them again when the work is marked. A [`Kit`] is what the learner gets.
//!
//! ```
//! use spoolbench::class::Secret;
//! let secret = Secret::new(b"not for learners to know")?;
//! assert_eq!(secret.pseudonym("anna"), secret.pseudonym("anna"));
//! assert_ne!(secret.pseudonym("anna"), secret.pseudonym("ben"));
//! # Ok::<(), spoolbench::class::SecretError>(())
//! ```

mod kit;
mod roster;
mod secret;
#[cfg(test)]
mod tests;
mod variants;

use std::collections::BTreeMap;

use crate::base::hex;
use crate::scenario::Scenario;

use kit::seal;
pub use kit::{
    Assigned, KIT_FORMAT, KIT_LIMIT, KIT_START, KIT_VERSION, Kit, KitError, begins_kit, open,
};
pub use roster::{LEARNER_LIMIT, ROSTER_LIMIT, RosterProblem, read_roster};
pub use secret::{SECRET_LEAST, SECRET_MOST, Secret, SecretError};
pub use variants::{ENOUGH, LEAST_BAND, MOST_BAND, Variant, VariantError, Variants, variants};

/// The learners of a class at one scenario.
#[derive(Clone, Debug)]
pub struct Class {
    secret: Secret,
    scenario: Scenario,
    variants: Vec<Variant>,
    /// Id of each learner by pseudonym.
    learners: BTreeMap<String, String>,
}

impl Class {
    /// The class of `learners`, each of whom gets one of `variants`, in their order.
    #[must_use]
    pub fn new(
        secret: Secret,
        learners: &[String],
        scenario: Scenario,
        variants: Vec<Variant>,
    ) -> Self {
        let learners = learners.iter().map(|id| (secret.pseudonym(id), id.clone())).collect();
        Class { secret, scenario, variants, learners }
    }

    /// Every pseudonym with its id.
    pub fn learners(&self) -> impl Iterator<Item = (&str, &str)> {
        self.learners.iter().map(|(pseudonym, id)| (pseudonym.as_str(), id.as_str()))
    }

    /// What the learner of this pseudonym is given, if there is one. It depends on nobody else in
    /// the class: who comes later changes nothing.
    #[must_use]
    pub fn assigned(&self, pseudonym: &str) -> Option<Assigned> {
        let id = self.learners.get(pseudonym)?;
        let scenario = self.scenario.digest.as_str();
        // The variant whose keyed hash is greatest: with another list of variants most learners
        // keep theirs.
        let variant = self
            .variants
            .iter()
            .max_by_key(|v| self.secret.derive("variant", &[scenario, id, &v.fault.name()]))?;
        let seed = self.secret.derive("seed", &[scenario, id]);
        let seed = u64::from(u32::from_le_bytes([seed[0], seed[1], seed[2], seed[3]]));
        let words = variant.fault.name();
        let rest = [scenario, id, &words, &seed.to_string()];
        Some(Assigned {
            pseudonym: pseudonym.to_owned(),
            fault: variant.fault.clone(),
            answers: variant.answers.clone(),
            seed,
            digest: hex(&self.secret.derive("attempt digest", &rest)),
            own_brief: !self.scenario.variants.is_empty(),
        })
    }

    /// The scenario as the learner of this pseudonym meets it.
    #[must_use]
    pub fn scenario_of(&self, pseudonym: &str) -> Option<Scenario> {
        Some(self.assigned(pseudonym)?.scenario(&self.scenario))
    }

    /// The kit of what was assigned; `files` are the texts that the scenario named `name` is made of.
    #[must_use]
    pub fn kit(
        &self,
        name: &str,
        files: &BTreeMap<String, String>,
        assigned: &Assigned,
    ) -> Vec<u8> {
        seal(&self.secret, name, files, &self.scenario, assigned)
    }

    /// What a file is called in all that is handed on.
    #[must_use]
    pub fn file_alias(&self, name: &str) -> String {
        self.secret.file_alias(name)
    }

    /// A mark of the class and its scenario, which tells nothing of the secret.
    #[must_use]
    pub fn mark(&self) -> String {
        hex(&self.secret.derive("class", &[&self.scenario.digest])[..8])
    }
}
