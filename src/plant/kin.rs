//! Machines that are alike: one whose fault lies in a wire, a contact or an armature goes the way of
//! the sound one for as long as that does not count.
//!
//! The run of a sound machine notes how its control side stood whenever that changed. Another machine
//! that differs in nothing but its branches, its contacts, its windings and what of it is stuck has gone
//! the same way if at each of those moments nothing that is stuck had been moved, no winding that
//! differs was fed, no fuse had blown that holds longer, and its windings, fuses and lamps saw the same
//! networks.

use std::sync::OnceLock;

use super::condition::Condition;
use super::likeness::{Flowing, alike};
use super::model::{NetworkLive, Status, reduced, same_worth, starves};
use super::plan::{BranchRole, Plan};

/// In what a machine differs from the sound one.
#[derive(Clone, Debug, Default)]
pub(crate) struct Kinship {
    /// Branches that may be worth something else.
    branches: Vec<usize>,
    /// Operators that are stuck, and how.
    stuck: Vec<(usize, bool)>,
    /// Windings that are made otherwise, or have other suppressors.
    windings: Vec<usize>,
    /// Fuses that blow later, if at all.
    fuses: Vec<usize>,
}

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
        let wound = |&w: &usize| {
            sound.windings[w] != other.windings[w] || sound.suppressors[w] != other.suppressors[w]
        };
        let windings: Vec<usize> = (0..plan.windings.len()).filter(wound).collect();
        rest.windings.clone_from(&sound.windings);
        rest.suppressors.clone_from(&sound.suppressors);
        let mut fuses = Vec::new();
        for (f, (make, own)) in sound.fuses.iter().zip(&mut rest.fuses).enumerate() {
            if own != make {
                let later = own.melting_a2s >= make.melting_a2s
                    && own.magnetic_a >= make.magnetic_a
                    && own.holds * own.rated_a >= make.holds * make.rated_a;
                if !later {
                    return None;
                }
                fuses.push(f);
                *own = *make;
            }
        }
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
        Some(Kinship { branches, stuck, windings, fuses })
    }
}

/// How the control side of a sound machine stood at a moment.
#[derive(Debug)]
pub(crate) struct Note {
    status: Status,
    networks: Vec<OnceLock<(NetworkLive, Option<Flowing>)>>,
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
        if kinship.stuck.iter().any(moved) || kinship.fuses.iter().any(|f| self.status.blown[*f]) {
            return false;
        }
        self.networks.iter().enumerate().all(|(n, known)| {
            let known = || {
                known.get_or_init(|| {
                    let network = reduced(plan, sound, &self.status, n);
                    let flowing = Flowing::of(plan, sound, &self.status, n, &network);
                    (network, flowing)
                })
            };
            let fed = |w: &usize| {
                let place = &plan.windings[*w];
                place.network == n && !starves(&known().0, place.port)
            };
            if kinship.windings.iter().any(fed) {
                return false;
            }
            let differs = |b: &usize| {
                plan.branches[*b].network == n
                    && !same_worth(plan, (sound, other), &self.status, *b)
            };
            let differing = || kinship.branches.iter().filter(|b| differs(b));
            if differing().next().is_none() {
                return true;
            }
            let (known, flowing) = known();
            if let Some(flowing) = flowing {
                let idle = |b: &usize| flowing.ignores(plan, (sound, other), &self.status, *b);
                if differing().all(idle) {
                    return true;
                }
            }
            let theirs = reduced(plan, other, &self.status, n);
            alike(plan, (sound, other), &self.status, n, (known, &theirs))
        })
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::base::{OperatorId, SimTime};
    use crate::electric::WindingMake;
    use crate::plant::{BranchMake, Current, Delay, FuseMake, PlanBuilder, Plant, Tie, Trigger};

    const DC: Current = Current::Dc;
    const AC: Current = Current::Ac { omega: 314.159 };

    /// Supply, feed, button, wire, coil of 480 ohm with an armature that picks up at `pick_a` [A], and a
    /// lamp across it; the numbers of the two wires and of the lamp's branch, and the button.
    fn rung(current: Current, pick_a: f64) -> (Plant, [usize; 3], OperatorId) {
        let mut b = PlanBuilder::new("rung", 20.0);
        b.part("G1", "supply", "");
        let (plus, minus) = (b.terminal("+"), b.terminal("-"));
        b.supply(current, plus, minus, 24.0, 0.1, None);
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
        let (drop_a, delay) = (0.01, Delay::None);
        let trigger = Trigger::Armature { pick_a, drop_a, operate, release, delay };
        b.relay("armature", winding, trigger);
        b.part("H1", "lamp", "");
        let lamp = b.lamp(coil, minus, 24.0, 1200.0);
        let plan = Arc::new(b.finish().expect("plan"));
        (Plant::nominal(plan), [feed.index(), wire.index(), lamp.index()], button)
    }

    /// Whether a machine changed by `change` goes with the sound one at rest, and once S1 is pressed.
    fn goes_along(
        (mut plant, places, button): (Plant, [usize; 3], OperatorId),
        change: impl FnOnce(&mut Condition, [usize; 3]),
    ) -> Option<(bool, bool)> {
        let mut other = plant.condition().clone();
        change(&mut other, places);
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

    /// The pick-up current of most of the relays below [A]; 24 V drive 50 mA through 480 ohm, and at 50 Hz
    /// and 1 H 42 mA.
    const EASY: f64 = 0.03;

    #[test]
    fn a_fault_counts_from_the_moment_when_something_can_feel_it() {
        for current in [DC, AC] {
            let along =
                |change: fn(&mut Condition, [usize; 3])| goes_along(rung(current, EASY), change);
            assert_eq!(
                along(|c, [_, wire, _]| c.branches[wire].ohm = f64::INFINITY),
                Some((true, false))
            );
            let feed = along(|c, [feed, ..]| c.branches[feed].ohm = 250.0);
            assert_eq!(feed, Some((true, false)), "half of the coil's resistance");
            assert_eq!(along(|c, _| c.windings[0].open = true), Some((true, false)));
            assert_eq!(along(|c, _| c.operators[1].stuck = Some(false)), Some((true, false)));
            let pulled = along(|c, _| c.operators[1].stuck = Some(true));
            assert_eq!(pulled, Some((false, false)), "it never was as the sound one is");
            let lamp = along(|c, [.., lamp]| c.branches[lamp].ohm = f64::INFINITY);
            // On direct current the coil's flux dies away through the lamp.
            assert_eq!(lamp, Some((current == AC, false)), "it stays dark");
            let other = along(|c, _| c.plugs_swapped.push(true));
            assert_eq!(other, None, "nothing that is compared");
        }
        let diode = goes_along(rung(DC, EASY), |c, _| c.suppressors[0].clear());
        assert_eq!(diode, Some((true, false)), "it has a say once its coil has been fed");
    }

    /// A loose terminal of 25 ohm, which takes a twentieth of the coil's current, counts only where that
    /// keeps the relay from picking up.
    #[test]
    fn a_little_less_current_counts_where_a_relay_does_something_else() {
        let loose = |c: &mut Condition, [feed, ..]: [usize; 3]| c.branches[feed].ohm = 25.0;
        for (current, amps) in [(DC, 0.05), (AC, 0.0418)] {
            assert_eq!(goes_along(rung(current, 0.6 * amps), loose), Some((true, true)));
            assert_eq!(goes_along(rung(current, 0.98 * amps), loose), Some((true, false)));
        }
        // At 100 degC the copper has 631 ohm, which lets 38.0 mA through, and 36.6 with 25 ohm more.
        assert_eq!(goes_along(rung(DC, 0.0373), loose), Some((true, false)), "once it is hot");
    }

    #[test]
    fn a_fuse_that_holds_longer_goes_along_until_the_other_blows() {
        let goes = |ohm: f64, amps: f64| {
            let mut b = PlanBuilder::new("load", 20.0);
            b.part("G1", "supply", "");
            let (plus, minus) = (b.terminal("+"), b.terminal("-"));
            b.supply(DC, plus, minus, 24.0, 0.1, None);
            let load = b.terminal("1");
            b.fuse(plus, load, FuseMake::link(1.0, 0.5), 0.1);
            b.branch("load", BranchRole::Resistor, load, minus, BranchMake::ohm(ohm));
            let mut plant = Plant::nominal(Arc::new(b.finish().expect("plan")));
            let plan = Arc::clone(plant.plan());
            let mut other = plant.condition().clone();
            other.fuses[0] = FuseMake::link(amps, 0.5 * amps * amps);
            let kinship = Kinship::of(&plan, plant.condition(), &other)?;
            plant.note();
            plant.advance(plant.now() + SimTime::from_secs(9), false).expect("advance");
            let (notes, sound) = (plant.take_notes(), plant.condition());
            Some(notes.iter().all(|n| n.holds_for(&plan, sound, &other, &kinship)))
        };
        assert_eq!(goes(240.0, 0.5), None, "one that holds less is not compared");
        assert_eq!(goes(240.0, 10.0), Some(true));
        assert_eq!(goes(2.0, 10.0), Some(false), "12 A blow the sound one");
    }
}
