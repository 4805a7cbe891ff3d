//! What may be wrong with a machine: every credible single fault, pairs that an author lists, and
//! nothing at all.

use crate::base::PartId;
use crate::fault::{Fault, modes_of};
use crate::plant::Plan;

/// Prior of the sound machine. It only matters for tests that say "nothing is wrong".
pub(super) const SOUND_PRIOR: f64 = 0.05;

/// One thing that may be wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Hypothesis {
    /// Name, such as `K1 open coil`; of a pair both, joined by `+`.
    pub name: String,
    /// The faults; none for the sound machine.
    pub faults: Vec<Fault>,
    /// Probability beforehand [1].
    pub prior: f64,
    /// What mends it: the parts to renew, joined by `+`.
    pub repair: String,
}

impl Hypothesis {
    /// A hypothesis of `faults`, of which the bench must have the parts.
    #[must_use]
    pub fn of(faults: Vec<Fault>, prior: f64) -> Hypothesis {
        let names: Vec<String> = faults.iter().map(Fault::name).collect();
        let mut parts: Vec<&str> = faults.iter().map(|f| f.part.as_str()).collect();
        parts.sort_unstable();
        parts.dedup();
        Hypothesis { name: names.join(" + "), repair: parts.join(" + "), prior, faults }
    }

    /// Whether the fault `mode` of `part` is in it.
    #[must_use]
    pub fn holds(&self, part: &str, mode: &str) -> bool {
        self.faults.iter().any(|f| f.part == part && f.mode == mode)
    }
}

/// `fault` with its role written out, where the part has the mode in one role only.
#[must_use]
pub fn in_full(plan: &Plan, fault: &Fault) -> Fault {
    let mut full = fault.clone();
    if full.role.is_none()
        && let Some(part) = plan.part(&fault.part)
        && let Some((_, role, _)) =
            modes_of(plan, part).into_iter().find(|(spec, ..)| spec.id == fault.mode)
    {
        full.role = Some(role);
    }
    full
}

/// The sound machine, every credible single fault of `plan` in the order of their names, then
/// `pairs`. A pair is as likely as both faults by chance together. Priors sum to 1.
#[must_use]
pub fn hypotheses(plan: &Plan, pairs: &[[Fault; 2]]) -> Vec<Hypothesis> {
    let mut list = Vec::new();
    for (id, part) in plan.parts.iter().enumerate() {
        for (spec, role, _) in modes_of(plan, PartId::new(id)) {
            let fault = Fault::new(&part.tag, spec.id).in_role(&role);
            list.push(Hypothesis::of(vec![fault], spec.prior));
        }
    }
    list.sort_by(|a, b| a.name.cmp(&b.name));
    list.dedup_by(|a, b| a.name == b.name);
    let weight: f64 = list.iter().map(|h| h.prior).sum();
    let single = |fault: &Fault| {
        let name = fault.name();
        list.iter().find(|h| h.name == name).map_or(1.0, |h| h.prior)
    };
    let both: Vec<Hypothesis> = pairs
        .iter()
        .map(|pair| {
            let [a, b] = [in_full(plan, &pair[0]), in_full(plan, &pair[1])];
            let prior = single(&a) * single(&b) / weight;
            Hypothesis::of(vec![a, b], prior)
        })
        .collect();
    list.extend(both);
    // An author may list a pair twice, or the other way round: the first stands.
    let mut known: std::collections::BTreeSet<Vec<String>> = std::collections::BTreeSet::new();
    list.retain(|h| {
        let mut names: Vec<String> = h.faults.iter().map(Fault::name).collect();
        names.sort_unstable();
        known.insert(names)
    });
    let weight: f64 = list.iter().map(|h| h.prior).sum();
    for h in &mut list {
        h.prior *= (1.0 - SOUND_PRIOR) / weight;
    }
    let mut all = vec![Hypothesis {
        name: "nothing".to_owned(),
        faults: Vec::new(),
        prior: SOUND_PRIOR,
        repair: "nothing".to_owned(),
    }];
    all.append(&mut list);
    all
}
