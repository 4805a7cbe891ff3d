//! The same state spaces from switching equations written down by hand from the diagrams, explored
//! with sets of plain structs: nothing here reads a plan or shares code with the explorer.

use std::collections::BTreeSet;

use super::shipped;
use crate::diagnosis::interlock::explore::{Exploration, Limits};
use crate::diagnosis::interlock::fault::Fault;
use crate::diagnosis::interlock::model::Model;

/// States at each distance from the start, and all transitions.
fn layers<S: Ord + Clone>(start: S, next: impl Fn(&S) -> Vec<S>) -> (Vec<BTreeSet<S>>, u64) {
    let mut seen = BTreeSet::from([start.clone()]);
    let mut layers = vec![BTreeSet::from([start])];
    let mut transitions = 0;
    loop {
        let mut fresh = BTreeSet::new();
        for s in &layers[layers.len() - 1] {
            for t in next(s) {
                transitions += 1;
                if seen.insert(t.clone()) {
                    fresh.insert(t);
                }
            }
        }
        if fresh.is_empty() {
            return (layers, transitions);
        }
        layers.push(fresh);
    }
}

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Press {
    q0: bool,
    s: [bool; 5],
    k1: bool,
    k2: bool,
    km: bool,
    spool: i8,
    ram: u8,
}

impl Press {
    const START: Press =
        Press { q0: true, s: [false; 5], k1: false, k2: false, km: false, spool: 0, ram: 0 };

    /// Coils of K1, K2 and KM; `bridged` says which cross contact (of K1, of K2) is bypassed.
    fn coils(&self, bridged: [bool; 2]) -> (bool, bool, bool) {
        let [s0, s1, s2, s3, s4] = self.s;
        let fed = self.q0 && !s0;
        (
            fed && s1 && (!self.k2 || bridged[1]),
            fed && s2 && (!self.k1 || bridged[0]),
            self.q0 && !s3 && (s4 || self.km),
        )
    }

    fn both_on(&self) -> bool {
        self.q0 && self.k1 && self.k2
    }

    fn settled(&self, bridged: [bool; 2]) -> bool {
        self.coils(bridged) == (self.k1, self.k2, self.km)
    }

    fn next(&self, bridged: [bool; 2]) -> Vec<Press> {
        let mut list = Vec::new();
        let (c1, c2, cm) = self.coils(bridged);
        if self.k1 != c1 {
            list.push(Press { k1: c1, ..self.clone() });
        }
        if self.k2 != c2 {
            list.push(Press { k2: c2, ..self.clone() });
        }
        if self.km != cm {
            list.push(Press { km: cm, ..self.clone() });
        }
        if !list.is_empty() {
            return list;
        }
        list.push(Press { q0: !self.q0, ..self.clone() });
        for k in 0..5 {
            let mut s = self.s;
            s[k] = !s[k];
            list.push(Press { s, ..self.clone() });
        }
        let (a, b) = (self.q0 && self.k1, self.q0 && self.k2);
        let target = match (a, b) {
            (true, true) => self.spool,
            (true, false) => 1,
            (false, true) => -1,
            (false, false) => 0,
        };
        if target != self.spool {
            list.push(Press { spool: target, ..self.clone() });
        }
        // Pressing: the weight of the ram falls even without a pump. Lifting: the clay pushes back.
        if self.spool == 1 && self.ram < 2 {
            list.push(Press { ram: self.ram + 1, ..self.clone() });
        }
        if self.spool == -1 && self.ram > 0 {
            list.push(Press { ram: self.ram - 1, ..self.clone() });
        }
        list
    }
}

fn compare<S: Ord>(layers: &[BTreeSet<S>], transitions: u64, e: &Exploration) {
    assert!(e.exhausted);
    assert_eq!(e.states.len(), layers.iter().map(BTreeSet::len).sum::<usize>());
    assert_eq!(e.transitions, transitions);
    assert_eq!(e.depth, layers.len() - 1);
    let mut at = vec![0; layers.len()];
    for n in 0..e.states.len() {
        at[e.depth_of(n)] += 1;
    }
    assert_eq!(at, layers.iter().map(BTreeSet::len).collect::<Vec<_>>());
}

#[test]
fn the_press_has_the_states_of_its_switching_equations() {
    let plan = shipped("press.bench.ron");
    for (bridged, name) in [
        ([false, false], None),
        ([true, false], Some("K1:21-22")),
        ([false, true], Some("K2:21-22")),
    ] {
        let fault = name.map(|name| Fault::Welded(super::contact(&plan, name)));
        let model = Model::new(&plan, fault, false).expect("model");
        let e = Exploration::new(&model, Limits::default());
        let (layers, transitions) = layers(Press::START, |s| s.next(bridged));
        compare(&layers, transitions, &e);
        let first = |settled: bool| {
            layers.iter().position(|layer| {
                layer.iter().any(|s| s.both_on() && (!settled || s.settled(bridged)))
            })
        };
        assert_eq!(first(false), name.map(|_| 4));
        assert_eq!(first(true), None);
    }
    println!("press: {:?}", {
        let model = Model::new(&plan, None, false).expect("model");
        let e = Exploration::new(&model, Limits::default());
        (e.states.len(), e.transitions, e.depth)
    });
}

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Pusher {
    q0: bool,
    /// S0, S1, S3, S4.
    s: [bool; 4],
    k1: bool,
    km: bool,
    shifted: bool,
    /// Retracted, on the way, on 1S2, extended.
    rod: u8,
}

impl Pusher {
    fn next(&self) -> Vec<Pusher> {
        let [s0, s1, s3, s4] = self.s;
        let c1 = self.q0 && !s0 && self.rod < 2 && (s1 || self.k1);
        let cm = self.q0 && !s3 && (s4 || self.km);
        let mut list = Vec::new();
        if c1 != self.k1 {
            list.push(Pusher { k1: c1, ..self.clone() });
        }
        if cm != self.km {
            list.push(Pusher { km: cm, ..self.clone() });
        }
        if !list.is_empty() {
            return list;
        }
        list.push(Pusher { q0: !self.q0, ..self.clone() });
        for k in 0..4 {
            let mut s = self.s;
            s[k] = !s[k];
            list.push(Pusher { s, ..self.clone() });
        }
        let on = self.q0 && self.k1;
        if on != self.shifted {
            list.push(Pusher { shifted: on, ..self.clone() });
        }
        let pump = self.q0 && self.km;
        if self.shifted && pump && self.rod < 3 {
            list.push(Pusher { rod: self.rod + 1, ..self.clone() });
        }
        // The car pushes the vented cylinder back by itself.
        if !self.shifted && self.rod > 0 {
            list.push(Pusher { rod: self.rod - 1, ..self.clone() });
        }
        list
    }
}

#[test]
fn the_pusher_has_the_states_of_its_switching_equations() {
    let plan = shipped("pusher.bench.ron");
    let model = Model::new(&plan, None, false).expect("model");
    let e = Exploration::new(&model, Limits::default());
    let start = Pusher { q0: true, s: [false; 4], k1: false, km: false, shifted: false, rod: 0 };
    let (layers, transitions) = layers(start, Pusher::next);
    compare(&layers, transitions, &e);
    println!("pusher: {:?}", (e.states.len(), e.transitions, e.depth));
}

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Timers {
    q0: bool,
    s1: bool,
    /// Idle, running, done.
    late: u8,
    /// Out, running out, in.
    lasting: u8,
    k3: bool,
}

impl Timers {
    fn next(&self) -> Vec<Timers> {
        let coil = self.q0 && self.s1;
        let both = self.q0 && self.late == 2 && self.lasting > 0;
        let mut list = Vec::new();
        if coil && self.late == 0 {
            list.push(Timers { late: 1, ..self.clone() });
        }
        if !coil && self.late > 0 {
            list.push(Timers { late: 0, ..self.clone() });
        }
        if coil && self.lasting < 2 {
            list.push(Timers { lasting: 2, ..self.clone() });
        }
        if !coil && self.lasting == 2 {
            list.push(Timers { lasting: 1, ..self.clone() });
        }
        if both != self.k3 {
            list.push(Timers { k3: both, ..self.clone() });
        }
        if !list.is_empty() {
            return list;
        }
        list.push(Timers { q0: !self.q0, ..self.clone() });
        list.push(Timers { s1: !self.s1, ..self.clone() });
        if self.late == 1 {
            list.push(Timers { late: 2, ..self.clone() });
        }
        if self.lasting == 1 {
            list.push(Timers { lasting: 0, ..self.clone() });
        }
        list
    }
}

#[test]
fn timers_have_the_states_of_their_switching_equations() {
    let plan = super::small::timers();
    let model = Model::new(&plan, None, false).expect("model");
    let e = Exploration::new(&model, Limits::default());
    let start = Timers { q0: true, s1: false, late: 0, lasting: 0, k3: false };
    let (layers, transitions) = layers(start, Timers::next);
    compare(&layers, transitions, &e);
}

/// A coil is on when walking from one end reaches one pole and from the other end the other pole,
/// found by walking the plan's branches one at a time.
#[test]
fn conduction_is_what_walking_the_wires_finds() {
    use crate::diagnosis::interlock::model::Scratch;
    use crate::plant::{BranchRole, Plan};
    fn walk(plan: &Plan, closed: &dyn Fn(usize) -> bool, from: usize) -> BTreeSet<usize> {
        let mut seen = BTreeSet::new();
        let mut open = vec![from];
        while let Some(n) = open.pop() {
            if !seen.insert(n) {
                continue;
            }
            for (k, b) in plan.branches.iter().enumerate() {
                let conducts = match b.role {
                    BranchRole::Wire | BranchRole::Fuse(_) => true,
                    BranchRole::Contact(c) => closed(c.index()),
                    BranchRole::Resistor => plan.nominal.branches[k].ohm < 1.0,
                    _ => false,
                };
                if conducts && b.a.index() == n {
                    open.push(b.b.index());
                } else if conducts && b.b.index() == n {
                    open.push(b.a.index());
                }
            }
        }
        seen
    }
    for name in ["press.bench.ron", "pusher.bench.ron", "door.bench.ron"] {
        let plan = shipped(name);
        let model = Model::new(&plan, None, false).expect("model");
        let e = Exploration::new(&model, Limits::default());
        let mut scratch = Scratch::default();
        for &state in e.states.iter().step_by(7) {
            let on = model.energised(state, &mut scratch);
            let closed = |c: usize| {
                let place = &plan.contacts[c];
                model.acts(state, place.operator) != place.normally_closed
            };
            let source = plan.branches.iter().find(|b| b.role == BranchRole::Source).expect("one");
            let live = source.behind.is_none_or(|o| model.acts(state, o));
            let plus = walk(&plan, &closed, source.a.index());
            let minus = walk(&plan, &closed, source.b.index());
            for (w, winding) in plan.windings.iter().enumerate() {
                let (a, b) = (winding.a.index(), winding.b.index());
                let fed = live
                    && !plus.contains(&source.b.index())
                    && ((plus.contains(&a) && minus.contains(&b))
                        || (plus.contains(&b) && minus.contains(&a)));
                assert_eq!(on >> w & 1 == 1, fed, "{name} {}", winding.name);
            }
        }
    }
}
