//! The steps of an attempt, and how far along them a machine has come.
//!
//! Waits are rounded to a ladder of times with a ratio of 5 to 4, so that attempts that did the same
//! with other pauses share their runs. The way to a rung goes over every fourth rung below it, whatever
//! was looked at meanwhile. A machine that has come to rest stays where it is until hands do something or
//! so much time has passed that it may have changed: to it, longer pauses are the same.

use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::base::SimTime;
use crate::session::Action;

/// First rung of the ladder [ns]; each further one is 5/4 of the one before.
const FIRST_RUNG: u64 = 200_000_000;

/// A run stops at every so manieth rung on its way, where it can be gone on from.
const STRIDE: usize = 4;

/// The rung at `index` [ns].
fn rung(index: usize) -> u64 {
    let mut at = FIRST_RUNG;
    match index {
        0 => 0,
        _ => {
            for _ in 1..index {
                at += at / 4;
            }
            at
        }
    }
}

/// Index of the rung nearest to `ns`.
fn nearest_rung(ns: u64) -> usize {
    let mut index = 0;
    while rung(index + 1) <= ns {
        index += 1;
    }
    if ns - rung(index) > rung(index + 1) - ns { index + 1 } else { index }
}

/// Whether `action` does no more than move what hands can move from outside.
pub(super) fn is_plain(action: &Action) -> bool {
    matches!(
        action,
        Action::Press { .. }
            | Action::Hold { .. }
            | Action::Both { .. }
            | Action::Release { .. }
            | Action::Turn { .. }
            | Action::Isolate { .. }
            | Action::Restore { .. }
            | Action::Lock { .. }
            | Action::Unlock { .. }
            | Action::Try { .. }
    )
}

/// Whether `action` changes the machine, as against looking at it or waiting.
pub(super) fn is_input(action: &Action) -> bool {
    is_plain(action)
        || matches!(
            action,
            Action::Override { .. }
                | Action::SwapPlugs { .. }
                | Action::Adjust { .. }
                | Action::Bleed { .. }
                | Action::Prop { .. }
                | Action::Unprop { .. }
                | Action::Open { .. }
                | Action::Close { .. }
                | Action::Replace { .. }
                | Action::Repair { .. }
                | Action::Clean { .. }
        )
}

/// What one machine does.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Step {
    /// Nothing, for this long [ns].
    Pause(u64),
    /// What hands do to it.
    Do(Arc<Action>),
}

/// A step of an attempt.
#[derive(Clone, Debug, PartialEq)]
enum Node {
    /// Nothing is done until this long after hands last did something [ns].
    Pause(u64),
    Do(Arc<Action>),
}

/// The steps of one attempt.
#[derive(Clone, Debug)]
pub(super) struct Track {
    nodes: Vec<Node>,
    /// The last step is on the way to no other: a machine that does it comes back for the next.
    loose: bool,
    /// Rung reached since hands last did something, or time [ns] when `exact`.
    reached: u64,
    /// Rung of the last step that runs go on from.
    stride: usize,
    exact: bool,
    /// When hands did something, and when they were done with it for the last time.
    starts: Vec<SimTime>,
    done: SimTime,
}

impl Track {
    /// A track without steps. With `exact`, pauses are not rounded and nothing rests: for faults that
    /// come and go by the clock.
    pub fn new(exact: bool) -> Track {
        Track {
            nodes: Vec::new(),
            loose: false,
            reached: 0,
            stride: 0,
            exact,
            starts: Vec::new(),
            done: SimTime::ZERO,
        }
    }

    /// Nothing is done until `at`.
    pub fn pause_to(&mut self, at: SimTime) {
        let ns = at.saturating_sub(self.done).as_nanos();
        if self.exact {
            if ns > self.reached {
                self.nodes.push(Node::Pause(ns));
                self.reached = ns;
            }
            return;
        }
        let wanted = nearest_rung(ns);
        if wanted as u64 > self.reached {
            if self.loose {
                self.nodes.pop();
                self.loose = false;
            }
            while self.stride + STRIDE <= wanted {
                self.stride += STRIDE;
                self.nodes.push(Node::Pause(rung(self.stride)));
            }
            if wanted > self.stride {
                self.nodes.push(Node::Pause(rung(wanted)));
                self.loose = true;
            }
            self.reached = wanted as u64;
        }
    }

    /// Hands do `action` from `started` to `ended`.
    pub fn act(&mut self, action: Action, started: SimTime, ended: SimTime) {
        self.nodes.push(Node::Do(Arc::new(action)));
        (self.reached, self.stride, self.loose) = (0, 0, false);
        self.starts.push(started);
        self.done = ended;
    }

    /// When hands did something.
    pub fn starts(&self) -> &[SimTime] {
        &self.starts
    }

    /// Time of the attempt, with its last pause rounded.
    pub fn now(&self) -> SimTime {
        let since = if self.exact { self.reached } else { rung(self.reached as usize) };
        self.done + SimTime::from_nanos(since)
    }

    /// Steps that a machine does for good, and the one for which it comes back, if there is one.
    fn firm(&self) -> (&[Node], Option<&Node>) {
        match self.nodes.split_last() {
            Some((last, rest)) if self.loose => (rest, Some(last)),
            _ => (&self.nodes, None),
        }
    }

    /// What `way` has to do next on its way along this track, if anything; steps at which the machine
    /// rests are passed.
    pub fn next(&self, way: &mut Way) -> Option<Gone> {
        let (firm, _) = self.firm();
        while let Some(node) = firm.get(way.passed) {
            if let Some(gone) = way.needs(node) {
                return Some(gone);
            }
            way.passed += 1;
        }
        None
    }

    /// What `way`, which has done all its other steps, has to do at the very end and then go back.
    pub fn tail(&self, way: &Way) -> Option<Gone> {
        way.needs(self.firm().1?)
    }

    /// `way` has done `gone`, and the machine then rests for `rest`; `None` where the physics could
    /// not go on.
    pub fn took(&self, way: &mut Way, mut gone: Gone, rest: Option<SimTime>) {
        gone.node = way.passed;
        way.passed += 1;
        way.lost = rest.is_none();
        let rest = if self.exact { 0 } else { rest.unwrap_or_default().as_nanos() };
        gone.stand.good = gone.stand.at.saturating_add(rest);
        way.gone.push(gone);
    }
}

/// Where a machine stands.
#[derive(Clone, Copy, Debug)]
struct Stand {
    /// Digest of all that it did.
    key: u128,
    /// How long after hands last did something [ns], and until when it is as good as there.
    at: u64,
    good: u64,
}

/// A step that a machine does.
#[derive(Clone, Debug)]
pub(super) struct Gone {
    pub step: Step,
    /// Where it stands after it.
    stand: Stand,
    /// Number of the step of the track that asked for it.
    node: usize,
}

impl Gone {
    /// Digest of all that the machine did, this step the last.
    pub fn key(&self) -> u128 {
        self.stand.key
    }
}

/// How far along a track a machine has come.
#[derive(Clone, Debug)]
pub(super) struct Way {
    /// Number of the inquiry.
    inquiry: u64,
    /// What it did.
    pub gone: Vec<Gone>,
    /// Steps of the track that are behind it.
    passed: usize,
    /// The physics could not go on.
    pub lost: bool,
}

impl Way {
    /// The way of a machine of that inquiry, at its beginning.
    pub fn new(inquiry: u64) -> Way {
        Way { inquiry, gone: Vec::new(), passed: 0, lost: false }
    }

    /// Digest of all that the machine did.
    pub fn key(&self) -> u128 {
        self.stand().key
    }

    fn stand(&self) -> Stand {
        let start = Stand { key: u128::from(self.inquiry), at: 0, good: 0 };
        self.gone.last().map_or(start, |gone| gone.stand)
    }

    /// The way as it was before its step number `k`.
    pub fn before(&self, k: usize) -> Way {
        let passed = self.gone.get(k).map_or(self.passed, |gone| gone.node);
        Way { gone: self.gone[..k].to_vec(), passed, ..Way::new(self.inquiry) }
    }

    fn needs(&self, node: &Node) -> Option<Gone> {
        let stand = self.stand();
        let (step, at) = match node {
            Node::Pause(to) if *to <= stand.good => return None,
            Node::Pause(to) => (Step::Pause(to - stand.at), *to),
            Node::Do(action) => (Step::Do(action.clone()), 0),
        };
        let mut hash = Sha256::new();
        hash.update(stand.key.to_le_bytes());
        match &step {
            Step::Pause(ns) => hash.update(ns.to_le_bytes()),
            Step::Do(action) => hash.update(action.to_string().as_bytes()),
        }
        let stand = Stand { key: short(hash), at, good: at };
        Some(Gone { step, stand, node: self.passed })
    }
}

/// The first half of a digest.
pub(super) fn short(hash: Sha256) -> u128 {
    let bytes = hash.finalize();
    let mut first = [0; 16];
    first.copy_from_slice(&bytes[..16]);
    u128::from_le_bytes(first)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn press(track: &mut Track, part: &str) {
        let now = track.now();
        track.act(Action::Press { part: part.to_owned() }, now, now);
    }

    /// The way of a machine that rests for `rest` after each pause.
    fn way(track: &Track, rest: SimTime) -> Way {
        let mut way = Way::new(1);
        while let Some(gone) = track.next(&mut way) {
            let pause = matches!(gone.step, Step::Pause(_));
            track.took(&mut way, gone, Some(if pause { rest } else { SimTime::ZERO }));
        }
        way
    }

    #[test]
    fn times_go_to_the_nearest_rung() {
        assert_eq!(
            (0..4).map(rung).collect::<Vec<_>>(),
            [0, 200_000_000, 250_000_000, 312_500_000]
        );
        assert_eq!(nearest_rung(0), 0);
        assert_eq!(nearest_rung(90_000_000), 0);
        assert_eq!(nearest_rung(110_000_000), 1);
        for seconds in [1, 3, 20, 600] {
            let ns = seconds * 1_000_000_000;
            let near = rung(nearest_rung(ns));
            assert!(near.abs_diff(ns) as f64 <= 0.13 * ns as f64, "{seconds} s: {near}");
        }
    }

    /// What was looked at on the way changes neither the steps nor their number.
    #[test]
    fn looks_leave_the_way_as_it_is() {
        let nodes = |looks: &[u64]| {
            let mut track = Track::new(false);
            press(&mut track, "S1");
            looks.iter().for_each(|ns| track.pause_to(SimTime::from_nanos(*ns)));
            (track.nodes, track.loose)
        };
        let straight = nodes(&[20_000_000_000]);
        assert_eq!(straight, nodes(&[900_000_000, 5_000_000_000, 5_100_000_000, 20_000_000_000]));
        assert_eq!(straight.0.len(), 1 + nearest_rung(20_000_000_000).div_ceil(STRIDE));
    }

    #[test]
    fn the_same_steps_have_the_same_key_and_others_another() {
        let key = |seconds: f64, part: &str, rest: SimTime| {
            let mut track = Track::new(false);
            track.pause_to(SimTime::from_nanos((seconds * 1e9) as u64));
            press(&mut track, part);
            way(&track, rest).key()
        };
        let never = SimTime::ZERO;
        assert_eq!(key(3.0, "S1", never), key(3.05, "S1", never));
        assert_ne!(key(3.0, "S1", never), key(3.0, "S2", never));
        assert_ne!(key(3.0, "S1", never), key(9.0, "S1", never));
    }

    #[test]
    fn what_rests_is_the_same_after_longer_pauses() {
        let track = |seconds: &[u64]| {
            let mut track = Track::new(false);
            for &s in seconds {
                let done = track.done;
                track.pause_to(done + SimTime::from_secs(s));
                press(&mut track, "S1");
            }
            track
        };
        let minute = SimTime::from_secs(60);
        let (short, long) = (track(&[3, 9]), track(&[30, 50]));
        assert_eq!(way(&short, minute).key(), way(&long, minute).key());
        assert_eq!(way(&long, minute).gone.len(), 4, "two short pauses and two presses");
        assert_ne!(
            way(&short, SimTime::from_secs(5)).key(),
            way(&long, SimTime::from_secs(5)).key()
        );
        // Nor where pauses count as they are.
        let exact = |seconds: u64| {
            let mut track = Track::new(true);
            track.pause_to(SimTime::from_secs(seconds));
            press(&mut track, "S1");
            way(&track, minute).key()
        };
        assert_ne!(exact(30), exact(31));
    }
}
