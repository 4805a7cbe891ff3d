//! When two things that a learner was told are the same to a person: readings within what meters and
//! made parts vary by, words but for numbers judged by eye, and the times of what was heard and seen.
//!
//! Inside half the limits two readings are alike; between half and the whole they are too close to
//! call, and exclude nothing; beyond, they are different. The limits are common practice, no source.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::base::SimTime;
use crate::language::{Gap, Phrase};
use crate::session::{Outcome, Reading, Seen};

/// Limits of a reading: as a part of the larger value [1], and at least this [unit of the reading].
fn limits(function: &str, step: f64) -> (f64, f64) {
    match function {
        "volts" => (0.10, 1.0),
        "ohms" | "continuity" => (0.25, 2.0),
        "amps" | "clamp" => (0.15, 0.06),
        "gauge" => (0.10, 3.0 * step),
        _ => (0.10, 5.0),
    }
}

fn readings_differ(a: &Reading, b: &Reading) -> bool {
    match (a.value, b.value) {
        (Some(x), Some(y)) => {
            let (part, least) = limits(a.function, a.step.max(b.step));
            (x - y).abs() > (part * x.abs().max(y.abs())).max(least)
        }
        (None, None) => a.shown != b.shown,
        _ => true,
    }
}

/// What hands feel, from cold to hot: neighbours are too close to call.
const WARMTH: [&str; 4] = ["felt-cold", "felt-hand-warm", "felt-hot", "felt-too-hot"];

fn warmth(line: &Phrase) -> Option<usize> {
    WARMTH.iter().position(|w| line.id() == *w)
}

/// Numbers in a line are judged by eye: within 15 mm or a tenth they are alike.
fn lines_differ(a: &Phrase, b: &Phrase) -> bool {
    if a == b {
        return false;
    }
    if let (Some(x), Some(y)) = (warmth(a), warmth(b)) {
        return x.abs_diff(y) > 1;
    }
    let (mut left, mut right) = (a.gaps(), b.gaps());
    a.id() != b.id()
        || loop {
            match (left.next(), right.next()) {
                (None, None) => break false,
                (Some((name, x)), Some((other, y))) if name == other && !gaps_differ(x, y) => {}
                _ => break true,
            }
        }
}

fn gaps_differ(a: &Gap, b: &Gap) -> bool {
    match (a, b) {
        (Gap::Text(a), Gap::Text(b)) => texts_differ(a, b),
        (Gap::Said(a), Gap::Said(b)) => lines_differ(a, b),
        _ => a != b,
    }
}

fn texts_differ(a: &str, b: &str) -> bool {
    let (mut left, mut right) = (a.split(' '), b.split(' '));
    loop {
        match (left.next(), right.next()) {
            (None, None) => return false,
            (Some(x), Some(y)) if x == y => {}
            (Some(x), Some(y)) => match (x.parse::<f64>(), y.parse::<f64>()) {
                (Ok(x), Ok(y)) => {
                    if (x - y).abs() > (0.1 * x.abs().max(y.abs())).max(15.0) {
                        return true;
                    }
                }
                _ => return true,
            },
            _ => return true,
        }
    }
}

/// Whether two outcomes of one action tell different things. What is seen meanwhile is for
/// [`Timeline`].
pub(super) fn differ(a: &Outcome, b: &Outcome) -> bool {
    if !a.readings.is_empty() || !b.readings.is_empty() {
        return a.readings.len() != b.readings.len()
            || a.readings.iter().zip(&b.readings).any(|(x, y)| readings_differ(x, y));
    }
    a.lines.len() != b.lines.len() || a.lines.iter().zip(&b.lines).any(|(x, y)| lines_differ(x, y))
}

/// Most times kept of one thing in one stretch: what chatters is heard to chatter, not counted.
const CHATTER: usize = 6;

/// Grid of the times that are kept [ns]: far below what anybody can tell.
const GRID: u64 = 10_000_000;

/// Adds `bytes` to a hash that only sorts out what is the same at once (FNV-1a, from memory).
fn mix(hash: u64, bytes: &[u8]) -> u64 {
    bytes.iter().fold(hash, |h, b| (h ^ u64::from(*b)).wrapping_mul(0x0100_0000_01B3))
}

/// The same with a sentence: what it is, and what fills its gaps.
fn mix_phrase(hash: u64, phrase: &Phrase) -> u64 {
    let head = mix(hash, phrase.id().as_bytes());
    let told = phrase.gaps().fold(head, |h, (name, gap)| {
        let h = mix(h, name.as_bytes());
        match gap {
            Gap::Count(count) => mix(h, &count.to_le_bytes()),
            Gap::Text(text) => mix(h, text.as_bytes()),
            Gap::Said(inner) => mix_phrase(h, inner),
        }
    });
    mix(told, b"\n")
}

/// The same for outcomes that tell the same to the letter.
pub(super) fn mark(outcome: &Outcome) -> u64 {
    let lines = outcome.lines.iter().fold(0, mix_phrase);
    outcome.readings.iter().fold(lines, |h, r| {
        let value = r.value.map_or(u64::MAX, f64::to_bits);
        mix(mix(mix_phrase(h, &r.shown), &value.to_le_bytes()), r.function.as_bytes())
    })
}

/// When something was heard or seen.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Event {
    /// How often hands had done something before.
    acts: usize,
    /// Time since they last did.
    after: SimTime,
    /// How late or early it may be and still count as the same.
    slack: SimTime,
}

/// What was heard and seen without looking for it.
#[derive(Clone, Debug, Default)]
pub(super) struct Timeline {
    /// By stretch, shared by all that went on from there.
    stretches: Vec<Arc<[(Phrase, Event)]>>,
    mark: u64,
}

impl Timeline {
    /// The same for lines with the same events.
    pub fn mark(&self) -> u64 {
        self.mark
    }

    /// Adds what was seen in one stretch, after hands had done something `acts` times; `since` is
    /// when they last did.
    pub fn add(&mut self, seen: &[Seen], acts: usize, since: SimTime) {
        let mut counts: BTreeMap<&Phrase, usize> = BTreeMap::new();
        let mut stretch = Vec::new();
        for event in seen {
            let count = counts.entry(&event.what).or_insert(0);
            *count += 1;
            if *count > CHATTER {
                continue;
            }
            // Half a second, and a fifth of the time that it took.
            let took = event.at.saturating_sub(since).as_nanos();
            let after = (took + GRID / 2) / GRID * GRID;
            let slack = (500_000_000 + took / 5) / GRID * GRID;
            for number in [acts as u64, after, slack] {
                self.mark = mix(self.mark, &number.to_le_bytes());
            }
            self.mark = mix_phrase(self.mark, &event.what);
            let (after, slack) = (SimTime::from_nanos(after), SimTime::from_nanos(slack));
            stretch.push((event.what.clone(), Event { acts, after, slack }));
        }
        self.stretches.push(stretch.into());
    }

    /// Whether by `now` the two have been told apart: something came in one of them and, in due
    /// time, not in the other. `starts` are the times when hands did something.
    pub fn differs(&self, other: &Timeline, starts: &[SimTime], now: SimTime) -> bool {
        if self.mark == other.mark {
            return false;
        }
        let same = self.stretches.iter().zip(&other.stretches).take_while(|(a, b)| a == b).count();
        let mut events: BTreeMap<&Phrase, [Vec<&Event>; 2]> = BTreeMap::new();
        for (side, line) in [self, other].into_iter().enumerate() {
            for (what, event) in line.stretches[same..].iter().flat_map(|stretch| stretch.iter()) {
                events.entry(what).or_default()[side].push(event);
            }
        }
        let at = |e: &Event| e.after + e.acts.checked_sub(1).map_or(SimTime::ZERO, |k| starts[k]);
        events.values().any(|[a, b]| {
            (0..a.len().max(b.len())).any(|k| match (a.get(k), b.get(k)) {
                (Some(x), Some(y)) => {
                    at(x).as_nanos().abs_diff(at(y).as_nanos()) > x.slack.max(y.slack).as_nanos()
                }
                (Some(one), None) | (None, Some(one)) => now > at(one) + one.slack,
                (None, None) => false,
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(id: &'static str) -> Outcome {
        let line = Phrase::new(id).with("part", "K1");
        Outcome { lines: vec![line], ..Outcome::default() }
    }

    #[test]
    fn words_count_and_numbers_by_eye_do_not() {
        let rod = |mm: u32| Outcome {
            lines: vec![Phrase::new("seen-rod").with("at", mm.to_string()).with("stroke", "400")],
            ..Outcome::default()
        };
        assert!(!differ(&rod(180), &rod(190)));
        assert!(differ(&rod(180), &rod(400)));
        assert!(differ(&told("seen-lit"), &told("seen-dark")));
        assert!(!differ(&told("felt-hot"), &told("felt-hand-warm")));
        assert!(differ(&told("felt-hot"), &told("felt-cold")));
        let stamped = |value: &str| Outcome {
            lines: vec![Phrase::new("plate-line").with("label", "setting").with("stamped", value)],
            ..Outcome::default()
        };
        assert!(differ(&stamped("70 bar at 12 L/min"), &stamped("24 V DC")));
        assert!(differ(&stamped("70 bar"), &stamped("250 bar")));
    }

    #[test]
    fn what_comes_a_little_late_is_the_same_and_what_never_comes_is_not() {
        let at = SimTime::from_millis;
        let line = |ms: &[u64]| {
            let mut line = Timeline::default();
            let what = Phrase::new("seen-extended").with("part", "1A1");
            let seen = |t: &u64| Seen { at: at(*t), what: what.clone() };
            line.add(&ms.iter().map(seen).collect::<Vec<_>>(), 0, at(0));
            line
        };
        assert!(!line(&[5_000]).differs(&line(&[6_000]), &[], at(20_000)));
        assert!(line(&[5_000]).differs(&line(&[9_000]), &[], at(20_000)));
        // It may still come.
        assert!(!line(&[5_000]).differs(&line(&[]), &[], at(5_900)));
        assert!(line(&[5_000]).differs(&line(&[]), &[], at(7_000)));
    }
}
