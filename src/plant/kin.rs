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
/// Common practice, no source.
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

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::base::{OperatorId, SimTime};
    use crate::electric::WindingMake;
    use crate::plant::{BranchMake, Current, Delay, PlanBuilder, Plant, Tie, Trigger};

    /// Supply, feed, button, wire, coil of 480 ohm on 24 V; the numbers of the two wires and the button.
    fn rung() -> (Plant, [usize; 2], OperatorId) {
        let mut b = PlanBuilder::new("rung", 20.0);
        b.part("G1", "supply", "");
        let (plus, minus) = (b.terminal("+"), b.terminal("-"));
        b.supply(Current::Dc, plus, minus, 24.0, 0.1, None);
        b.branch("bond", BranchRole::Resistor, minus, PlanBuilder::EARTH, BranchMake::ohm(1e-3));
        b.part("S1", "button", "");
        let (fed, made) = (b.terminal("13"), b.terminal("14"));
        let feed = b.branch("feed", BranchRole::Wire, plus, fed, BranchMake::ohm(0.01));
        let button = b.operator("head", Tie::Hand, Trigger::Hand, false);
        b.contact("13-14", button, false, fed, made, 1e-3);
        b.part("K1", "relay", "");
        let coil = b.terminal("A1");
        let wire = b.branch("wire", BranchRole::Wire, made, coil, BranchMake::ohm(0.01));
        let make = WindingMake {
            ohm_at_20: 480.0,
            open_henry: 1.0,
            seated_henry: 2.0,
            ..WindingMake::SAMPLE
        };
        let winding = b.winding("coil", coil, minus, make, Vec::new());
        let (operate, release) = (SimTime::from_millis(10), SimTime::from_millis(10));
        let trigger =
            Trigger::Armature { pick_a: 0.03, drop_a: 0.01, operate, release, delay: Delay::None };
        b.relay("armature", winding, trigger);
        let plan = Arc::new(b.finish().expect("plan"));
        (Plant::nominal(plan), [feed.index(), wire.index()], button)
    }

    /// Whether a machine changed by `change` goes with the sound one at rest, and once S1 is pressed.
    fn goes_along(change: impl FnOnce(&mut Condition, [usize; 2])) -> Option<(bool, bool)> {
        let (mut plant, wires, button) = rung();
        let mut other = plant.condition().clone();
        change(&mut other, wires);
        let plan = Arc::clone(plant.plan());
        let kinship = Kinship::of(&plan, plant.condition(), &other)?;
        let mut step = |pressed: bool| {
            plant.note();
            plant.set_operator(button, pressed);
            let until = plant.now() + SimTime::from_secs(1);
            plant.advance(until, false).expect("advance");
            let notes = plant.take_notes();
            let sound = plant.condition();
            !notes.is_empty() && notes.iter().all(|n| n.holds_for(&plan, sound, &other, &kinship))
        };
        Some((step(false), step(true)))
    }

    #[test]
    fn a_fault_counts_from_the_moment_when_something_can_feel_it() {
        let broken =
            |c: &mut Condition, [_, wire]: [usize; 2]| c.branches[wire].ohm = f64::INFINITY;
        assert_eq!(goes_along(broken), Some((true, false)));
        let feed = |c: &mut Condition, [feed, _]: [usize; 2]| c.branches[feed].ohm = 100.0;
        assert_eq!(goes_along(feed), Some((true, false)), "a fifth of the coil's resistance");
        let slight = |c: &mut Condition, [feed, _]: [usize; 2]| c.branches[feed].ohm = 5.0;
        assert_eq!(goes_along(slight), Some((true, true)), "a hundredth of it");
        let coil = |c: &mut Condition, _: [usize; 2]| c.windings[0].open = true;
        assert_eq!(goes_along(coil), Some((true, false)));
        let stuck = |c: &mut Condition, _: [usize; 2]| c.operators[1].stuck = Some(false);
        assert_eq!(goes_along(stuck), Some((true, false)));
        let pulled = |c: &mut Condition, _: [usize; 2]| c.operators[1].stuck = Some(true);
        assert_eq!(goes_along(pulled), Some((false, false)), "it never was as the sound one is");
        let other = |c: &mut Condition, _: [usize; 2]| c.suppressors[0].clear();
        assert_eq!(goes_along(other), None, "nothing that is compared");
    }
}
