//! Several faults at once: minimal conflicts, minimal diagnoses; and looking into one item after
//! another.
//!
//! A conflict is a set of parts that cannot all be sound, given the readings. The minimal diagnoses
//! are the minimal sets that hit every conflict (Reiter 1987; de Kleer & Williams 1987).

use super::matrix::{DiagnosisError, within};

/// Most parts in consistency-based diagnosis.
const PART_LIMIT: usize = 128;
/// Most parts for which conflicts are searched among all sets.
const CONFLICT_PART_LIMIT: usize = 20;
/// Most conflicts.
const CONFLICT_LIMIT: usize = 1_000;
/// Most sets held at once.
pub const SET_LIMIT: usize = 10_000;

fn members(set: u128) -> Vec<usize> {
    (0..PART_LIMIT).filter(|&k| set >> k & 1 == 1).collect()
}

/// In order of size, then of their members.
fn in_order(mut sets: Vec<u128>) -> Vec<Vec<usize>> {
    sets.sort_unstable();
    let mut lists: Vec<Vec<usize>> = sets.into_iter().map(members).collect();
    lists.sort_by(|a, b| a.len().cmp(&b.len()).then_with(|| a.cmp(b)));
    lists
}

/// The minimal sets that share a member with every conflict, smallest first. No conflict gives the
/// empty set; an empty conflict gives none.
///
/// # Errors
/// When there are more than 1000 conflicts, a part is beyond 128, or more than [`SET_LIMIT`] sets turn up on the way.
pub fn minimal_hitting_sets(conflicts: &[Vec<usize>]) -> Result<Vec<Vec<usize>>, DiagnosisError> {
    within("conflicts", conflicts.len(), CONFLICT_LIMIT)?;
    let mut found: Vec<u128> = vec![0];
    for conflict in conflicts {
        let mut parts = 0_u128;
        for &part in conflict {
            within("parts", part + 1, PART_LIMIT)?;
            parts |= 1 << part;
        }
        let (mut hit, missed): (Vec<u128>, Vec<u128>) =
            found.into_iter().partition(|set| set & parts != 0);
        let mut grown: Vec<u128> = Vec::new();
        for set in missed {
            for part in members(parts) {
                let larger = set | 1 << part;
                if !hit.iter().any(|other| other & larger == *other) {
                    grown.push(larger);
                }
            }
            within("hitting sets", hit.len() + grown.len(), SET_LIMIT)?;
        }
        grown.sort_unstable();
        grown.dedup();
        // Grown sets can contain one another only through different additions.
        let least: Vec<u128> = grown
            .iter()
            .copied()
            .filter(|set| !grown.iter().any(|other| other != set && other & set == *other))
            .collect();
        hit.extend(least);
        found = hit;
    }
    Ok(in_order(found))
}

/// The minimal conflicts among `parts` parts: the smallest sets that cannot all be sound.
/// `consistent(sound)` says whether the readings allow all parts in `sound` to be sound.
///
/// # Errors
/// When there are more than 20 parts.
pub fn minimal_conflicts(
    parts: usize,
    mut consistent: impl FnMut(&[usize]) -> bool,
) -> Result<Vec<Vec<usize>>, DiagnosisError> {
    within("parts", parts, CONFLICT_PART_LIMIT)?;
    let mut sets: Vec<u128> = (0..1_u128 << parts).collect();
    sets.sort_by_key(|set| (set.count_ones(), *set));
    let mut found: Vec<u128> = Vec::new();
    for set in sets {
        if !found.iter().any(|conflict| conflict & set == *conflict) && !consistent(&members(set)) {
            found.push(set);
        }
    }
    Ok(in_order(found))
}

/// Something to look into: exactly one of the items is at fault.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Item {
    /// Probability that it is this one [1], > 0.
    pub probability: f64,
    /// Cost of looking into it.
    pub cost: f64,
}

/// An order of looking, and what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Inspection {
    /// Items in the order of looking.
    pub order: Vec<usize>,
    /// Expected cost.
    pub cost: f64,
}

/// Expected cost of looking in `order` until the fault is found. With `infer_last` the last item is
/// not looked into: it is what remains.
#[must_use]
pub fn expected_inspection_cost(items: &[Item], order: &[usize], infer_last: bool) -> f64 {
    let (mut spent, mut expected) = (0.0, 0.0);
    for (place, item) in order.iter().filter_map(|&k| items.get(k)).enumerate() {
        if !(infer_last && place + 1 == order.len()) {
            spent += item.cost;
        }
        expected += item.probability * spent;
    }
    expected
}

/// The order of ascending cost per probability: the best when every item is looked into until the
/// fault is found (Gluss 1959, Mitten 1960; from memory).
#[must_use]
pub fn inspection_by_ratio(items: &[Item]) -> Inspection {
    let order = by_ratio(items, None);
    let cost = expected_inspection_cost(items, &order, false);
    Inspection { order, cost }
}

/// The best order when the last item may be inferred: for each choice of the last one the rest goes
/// by ratio, and the best choice wins.
#[must_use]
pub fn best_inspection_with_inference(items: &[Item]) -> Inspection {
    let mut best = Inspection { order: Vec::new(), cost: 0.0 };
    for last in 0..items.len() {
        let mut order = by_ratio(items, Some(last));
        order.push(last);
        let cost = expected_inspection_cost(items, &order, true);
        if best.order.is_empty() || cost < best.cost - 1e-12 * (1.0 + best.cost) {
            best = Inspection { order, cost };
        }
    }
    best
}

fn by_ratio(items: &[Item], without: Option<usize>) -> Vec<usize> {
    let mut order: Vec<usize> = (0..items.len()).filter(|&k| Some(k) != without).collect();
    let ratio = |k: usize| items[k].cost / items[k].probability;
    order.sort_by(|&a, &b| ratio(a).total_cmp(&ratio(b)).then(a.cmp(&b)));
    order
}
