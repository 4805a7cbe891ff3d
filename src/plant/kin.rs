//! Machines that are alike: one whose fault lies in a wire, a contact or an armature goes the way of
//! the sound one for as long as that does not count.
//!
//! The run of a sound machine notes how its control side stood whenever that changed. Another machine
//! that differs in nothing but its branches, its contacts, its windings and what of it is stuck has gone
//! the same way if at each of those moments nothing that is stuck had been moved, no winding that
//! differs was fed, and its windings, fuses and lamps saw the same networks.

use std::sync::OnceLock;

use super::condition::Condition;
use super::model::{NetworkLive, Status, alike, reduced, same_worth, starves};
use super::plan::{BranchRole, Plan};

/// In what a machine differs from the sound one.
#[derive(Clone, Debug, Default)]
pub(crate) struct Kinship {
    /// Branches that may be worth something else.
    branches: Vec<usize>,
    /// Operators that are stuck, and how.
    stuck: Vec<(usize, bool)>,
    /// Windings that are made otherwise.
    windings: Vec<usize>,
}

/// A resistance in series with a winding that may be more or less without counting, as a share of the
/// winding's own [1]: windings vary by as much as they are made, and hands and ears tell no difference.
const SLIGHT: f64 = 0.05;

impl Kinship {
    /// In what `other` differs from `sound`; `None` when in more than can be compared.
    pub fn of(plan: &Plan, sound: &Condition, other: &Condition) -> Option<Kinship> {
        // Controllers, amplifiers and rectifiers look at voltages that no network shows its windings.
        if !(plan.plcs.is_empty() && plan.amplifiers.is_empty() && plan.rectifiers.is_empty()) {
            return None;
        }
        let mut rest = other.clone();
        rest.branches.clone_from(&sound.branches);
        rest.contacts.clone_from(&sound.contacts);
        let mut stuck = Vec::new();
        for (o, (make, own)) in sound.operators.iter().zip(&mut rest.operators).enumerate() {
            if own.stuck != make.stuck {
                stuck.push((o, own.stuck?));
                own.stuck = make.stuck;
            }
        }
        let windings: Vec<usize> =
            (0..plan.windings.len()).filter(|&w| sound.windings[w] != other.windings[w]).collect();
        rest.windings.clone_from(&sound.windings);
        if rest != *sound {
            return None;
        }
        let contact = |b: usize| match plan.branches[b].role {
            BranchRole::Contact(c) => sound.contacts[c.index()] != other.contacts[c.index()],
            _ => false,
        };
        let branches = (0..plan.branches.len())
            .filter(|&b| sound.branches[b] != other.branches[b] || contact(b))
            .collect();
        Some(Kinship { branches, stuck, windings })
    }
}

/// How the control side of a sound machine stood at a moment.
#[derive(Debug)]
pub(crate) struct Note {
    status: Status,
    networks: Vec<OnceLock<NetworkLive>>,
}

impl Note {
    pub fn new(plan: &Plan, status: Status) -> Note {
        Note { status, networks: plan.networks.iter().map(|_| OnceLock::new()).collect() }
    }

    /// Whether a machine in condition `other` that differs by `kinship` stood the same as the one
    /// in condition `sound`.
    pub fn holds_for(
        &self,
        plan: &Plan,
        sound: &Condition,
        other: &Condition,
        kinship: &Kinship,
    ) -> bool {
        let moved = |&(o, stuck): &(usize, bool)| self.status.operators[o].acting != stuck;
        if kinship.stuck.iter().any(moved) {
            return false;
        }
        self.networks.iter().enumerate().all(|(n, known)| {
            let known = || known.get_or_init(|| reduced(plan, sound, &self.status, n));
            let fed = |w: &usize| {
                let place = &plan.windings[*w];
                place.network == n && !starves(known(), place.port)
            };
            if kinship.windings.iter().any(fed) {
                return false;
            }
            let differs = |b: &usize| {
                plan.branches[*b].network == n
                    && !same_worth(plan, (sound, other), &self.status, *b)
            };
            if !kinship.branches.iter().any(differs) {
                return true;
            }
            let windings = plan.networks[n].windings.iter();
            let slight: Vec<f64> =
                windings.map(|w| (SLIGHT * sound.windings[w.index()].ohm_at_20).sqrt()).collect();
            alike(known(), &reduced(plan, other, &self.status, n), &slight)
        })
    }
}
