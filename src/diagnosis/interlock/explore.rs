//! Every state that can be reached, breadth first, so that the first way found to a state is a
//! shortest one.

use std::collections::BTreeSet;

use super::element::Packed;
use super::fluid::{IN, OUT};
use super::model::{Model, Scratch};

/// Most states of an exploration, whatever is asked for: about 1.2 GB.
pub const STATE_CEILING: usize = 20_000_000;

/// A move of the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Move {
    /// The start.
    None,
    /// Input `k` changes.
    Input(u16),
    /// Relay `k` follows its coil.
    Relay(u16),
    /// All relays that disagree with their coils follow at once.
    Together,
    /// The timer of relay `k` elapses.
    Timer(u16),
    /// Spool `k` shifts.
    Spool(u16),
    /// Piston `k` moves on by one region: out when true.
    Piston(u16, bool),
    /// Pressure switch `k` changes.
    Pressure(u16),
    /// The fault arises.
    Fault,
}

/// How far to explore.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Most states; at most [`STATE_CEILING`].
    pub states: usize,
    /// Relays that disagree may also follow all at once, not only one after another.
    pub together: bool,
}

impl Default for Limits {
    fn default() -> Self {
        Limits { states: 2_000_000, together: false }
    }
}

/// All moves from `state`, in a fixed order; returns the coils that are on.
pub(crate) fn moves(
    model: &Model,
    state: Packed,
    limits: Limits,
    scratch: &mut Scratch,
    out: &mut Vec<(Move, Packed)>,
) -> u128 {
    out.clear();
    let on = model.energised(state, scratch);
    let settled = settling(model, state, on, limits, out);
    if model.may_arise(state) {
        out.push((Move::Fault, model.with_fault(state)));
    }
    if !settled {
        return on;
    }
    for (k, input) in model.inputs.iter().enumerate() {
        let at = input.field.get(state);
        out.push((Move::Input(k as u16), input.field.set(state, 1 - at)));
    }
    machine_moves(model, state, on, scratch, out);
    on
}

/// The moves of relays that disagree with their coils; true when there are none.
pub(crate) fn settling(
    model: &Model,
    state: Packed,
    on: u128,
    limits: Limits,
    out: &mut Vec<(Move, Packed)>,
) -> bool {
    let (mut all, mut count) = (state, 0);
    for k in 0..model.relays.len() {
        if let Some(phase) = model.relay_move(state, on, k) {
            for next in model.relay_moved(state, k, phase).into_iter().flatten() {
                out.push((Move::Relay(k as u16), next));
            }
            all = model.relay_moved(all, k, phase)[0].unwrap_or(all);
            count += 1;
        }
    }
    if limits.together && count > 1 {
        out.push((Move::Together, all));
    }
    count == 0
}

/// What spools, timers, pistons and pressures may do once the relays have settled.
fn machine_moves(
    model: &Model,
    state: Packed,
    on: u128,
    scratch: &mut Scratch,
    out: &mut Vec<(Move, Packed)>,
) {
    slow_moves(model, state, on, out);
    if model.pistons.is_empty() && model.pressures.is_empty() {
        return;
    }
    let (motions, supplied) = model.motions(state, scratch);
    for (k, piston) in model.pistons.iter().enumerate() {
        let region = piston.field.get(state);
        if motions[k] & OUT != 0 && region + 1 < piston.regions() as u128 {
            out.push((Move::Piston(k as u16, true), piston.field.set(state, region + 1)));
        }
        if motions[k] & IN != 0 && region > 0 {
            out.push((Move::Piston(k as u16, false), piston.field.set(state, region - 1)));
        }
    }
    for (k, switch) in model.pressures.iter().enumerate() {
        let acts = switch.field.get(state);
        if acts == 1 || supplied[switch.volume] {
            out.push((Move::Pressure(k as u16), switch.field.set(state, 1 - acts)));
        }
    }
}

/// The moves of timers and spools.
pub(crate) fn slow_moves(model: &Model, state: Packed, on: u128, out: &mut Vec<(Move, Packed)>) {
    for (k, relay) in model.relays.iter().enumerate() {
        if let Some(end) = model.timer_end(state, k) {
            out.push((Move::Timer(k as u16), relay.field.set(state, end)));
        }
    }
    for (k, spool) in model.spools.iter().enumerate() {
        if let Some(target) = model.spool_target(state, on, k) {
            let packed = (target + 1) as u128;
            out.push((Move::Spool(k as u16), spool.field.set(state, packed)));
        }
    }
}

/// Everything reached, in breadth-first order.
#[derive(Clone, Debug)]
pub(crate) struct Exploration {
    pub states: Vec<Packed>,
    /// Coils that are on in each state.
    pub coils: Vec<u128>,
    parents: Vec<u32>,
    by: Vec<Move>,
    /// Open addressing; entry is a state's number plus one. Never iterated over.
    index: Vec<u32>,
    pub transitions: u64,
    pub depth: usize,
    pub exhausted: bool,
    pub limits: Limits,
}

const NOWHERE: u32 = u32::MAX;

fn hash(state: Packed) -> usize {
    let mut x = (state as u64) ^ ((state >> 64) as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    x = (x ^ (x >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    (x ^ (x >> 31)) as usize
}

impl Exploration {
    /// Explores `model` from its start.
    pub fn new(model: &Model, limits: Limits) -> Exploration {
        let limits = Limits { states: limits.states.clamp(1, STATE_CEILING), ..limits };
        let mut e = Exploration {
            states: Vec::new(),
            coils: Vec::new(),
            parents: Vec::new(),
            by: Vec::new(),
            index: vec![0; 1024],
            transitions: 0,
            depth: 0,
            exhausted: true,
            limits,
        };
        e.add(model.initial(), NOWHERE, Move::None);
        let (mut scratch, mut out) = (Scratch::default(), Vec::new());
        let (mut at, mut level_end) = (0, 1);
        'all: while at < e.states.len() {
            if at == level_end {
                e.depth += 1;
                level_end = e.states.len();
            }
            let state = e.states[at];
            let on = moves(model, state, limits, &mut scratch, &mut out);
            e.coils.push(on);
            for &(by, next) in &out {
                e.transitions += 1;
                if e.find(next).is_none() {
                    if e.states.len() >= limits.states {
                        e.exhausted = false;
                        break 'all;
                    }
                    e.add(next, at as u32, by);
                }
            }
            at += 1;
        }
        for &state in &e.states[e.coils.len()..] {
            e.coils.push(model.energised(state, &mut scratch));
        }
        e
    }

    /// Number of `state`, if it has been reached.
    pub fn find(&self, state: Packed) -> Option<usize> {
        let mask = self.index.len() - 1;
        let mut slot = hash(state) & mask;
        loop {
            match self.index[slot] {
                0 => return None,
                n if self.states[n as usize - 1] == state => return Some(n as usize - 1),
                _ => slot = (slot + 1) & mask,
            }
        }
    }

    fn add(&mut self, state: Packed, parent: u32, by: Move) {
        self.states.push(state);
        self.parents.push(parent);
        self.by.push(by);
        if self.states.len() * 3 > self.index.len() * 2 {
            self.index = vec![0; self.index.len() * 2];
            for n in 0..self.states.len() {
                self.enter(n);
            }
        } else {
            self.enter(self.states.len() - 1);
        }
    }

    fn enter(&mut self, n: usize) {
        let mask = self.index.len() - 1;
        let mut slot = hash(self.states[n]) & mask;
        while self.index[slot] != 0 {
            slot = (slot + 1) & mask;
        }
        self.index[slot] = n as u32 + 1;
    }

    /// A shortest way to state `n`: the moves with the states they lead to.
    pub fn way_to(&self, n: usize) -> Vec<(Move, Packed)> {
        let mut way = Vec::new();
        let mut at = n;
        while self.parents[at] != NOWHERE {
            way.push((self.by[at], self.states[at]));
            at = self.parents[at] as usize;
        }
        way.reverse();
        way
    }

    /// Length of a shortest way to state `n`.
    pub fn depth_of(&self, n: usize) -> usize {
        let (mut at, mut depth) = (n, 0);
        while self.parents[at] != NOWHERE {
            depth += 1;
            at = self.parents[at] as usize;
        }
        depth
    }
}

/// A state that a closure reaches, the move to it, and the number of the state before it.
pub(crate) type Link = (Packed, Move, usize);

/// Most states that may follow one another without a hand, counted from any one state.
const CLOSURE_LIMIT: usize = 65_536;

/// Everything that follows from `start` without a hand, breadth first: relays settle, and with
/// `slow` timers elapse and spools shift. Pistons and pressures stay. False when it was cut short.
pub(crate) fn closure(
    model: &Model,
    start: Packed,
    slow: bool,
    limits: Limits,
    scratch: &mut Scratch,
) -> (Vec<Link>, bool) {
    let mut reached: Vec<Link> = vec![(start, Move::None, 0)];
    let mut known = BTreeSet::from([start]);
    let mut out = Vec::new();
    let mut at = 0;
    while at < reached.len() {
        let state = reached[at].0;
        out.clear();
        let on = model.energised(state, scratch);
        if settling(model, state, on, limits, &mut out) && slow {
            slow_moves(model, state, on, &mut out);
        }
        for &(by, next) in &out {
            if known.insert(next) {
                if reached.len() >= CLOSURE_LIMIT {
                    return (reached, false);
                }
                reached.push((next, by, at));
            }
        }
        at += 1;
    }
    (reached, true)
}

/// The way to entry `n` of a closure.
pub(crate) fn way_in(reached: &[Link], n: usize) -> Vec<(Move, Packed)> {
    let mut way = Vec::new();
    let mut at = n;
    while at != 0 {
        way.push((reached[at].1, reached[at].0));
        at = reached[at].2;
    }
    way.reverse();
    way
}
