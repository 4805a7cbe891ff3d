//! Checks of how states follow one another: cycles of relays, races, traps.

use crate::language::Phrase;

use super::check::Checker;
use super::element::Packed;
use super::explore::{Move, moves, settling, way_in};
use super::property::{Finding, Property, Verdict};
use super::story::tell;

/// Most transitions that the search for traps keeps: about 160 MB.
const TRAP_TRANSITION_LIMIT: u64 = 20_000_000;

const UNSEEN: u32 = u32::MAX;
/// Where the relays come to rest is not one state.
const SEVERAL: u32 = u32::MAX - 1;
/// The relays come to rest nowhere that was explored.
const NOWHERE: u32 = u32::MAX - 2;

/// Cycles of relay moves with no hand moving, and states from which relays settle differently.
///
/// Strongly connected components of unsettled states (Tarjan 1972), without recursion; components
/// come out last first, so that where each settles is known from those it leads to.
pub(crate) fn buzzing_and_races(checker: &mut Checker) -> Vec<Finding> {
    let count = checker.exploration.states.len();
    let mut number = vec![UNSEEN; count];
    let mut low = vec![UNSEEN; count];
    let mut on_stack = vec![false; count];
    // Where each state settles: a state's number, SEVERAL or NOWHERE.
    let mut rests = vec![UNSEEN; count];
    let (mut stack, mut next_number) = (Vec::new(), 0_u32);
    let (mut buzz, mut race): (Option<usize>, Option<usize>) = (None, None);
    for root in 0..count {
        if number[root] != UNSEEN {
            continue;
        }
        // State, its relay moves that were reached, and how many were followed.
        let mut frames: Vec<(usize, Vec<usize>, usize)> = Vec::new();
        let mut enter = Some(root);
        loop {
            if let Some(n) = enter.take() {
                number[n] = next_number;
                low[n] = next_number;
                next_number += 1;
                on_stack[n] = true;
                stack.push(n);
                let next = followers(checker, n);
                frames.push((n, next, 0));
            }
            let Some((n, next, followed)) = frames.last_mut() else { break };
            let n = *n;
            if let Some(&m) = next.get(*followed) {
                *followed += 1;
                if number[m] == UNSEEN {
                    enter = Some(m);
                } else if on_stack[m] {
                    low[n] = low[n].min(number[m]);
                }
                continue;
            }
            let ends = next.is_empty();
            if low[n] == number[n] {
                let from = stack.iter().rposition(|&m| m == n).unwrap_or(0);
                let component = stack.split_off(from);
                let rest = if ends {
                    // No relay move: settled, or at the edge of what was explored.
                    if is_settled(checker, n) { n as u32 } else { NOWHERE }
                } else {
                    rest_of(checker, &component, &rests)
                };
                for &m in &component {
                    on_stack[m] = false;
                    rests[m] = rest;
                }
                if component.len() > 1 {
                    let first = component.iter().copied().min();
                    buzz = buzz.into_iter().chain(first).min();
                } else if rest == SEVERAL {
                    race = race.into_iter().chain([n]).min();
                }
            }
            frames.pop();
            if let Some((parent, _, _)) = frames.last() {
                low[*parent] = low[*parent].min(low[n]);
            }
        }
    }
    let buzzing = match buzz {
        Some(n) => cycle(checker, n),
        None => checker.unbroken(),
    };
    let racing = match race {
        Some(n) => two_ways(checker, n),
        None => checker.unbroken(),
    };
    vec![
        Finding { property: Property::NoBuzzing, verdict: buzzing },
        Finding { property: Property::NoRace, verdict: racing },
    ]
}

fn is_settled(checker: &Checker, n: usize) -> bool {
    checker.model.is_settled(checker.exploration.states[n], checker.exploration.coils[n])
}

/// Reached states to which a relay move leads from state `n`.
fn followers(checker: &Checker, n: usize) -> Vec<usize> {
    let (state, on) = (checker.exploration.states[n], checker.exploration.coils[n]);
    let mut out = Vec::new();
    settling(checker.model, state, on, checker.exploration.limits, &mut out);
    out.iter().filter_map(|&(_, next)| checker.exploration.find(next)).collect()
}

/// Where the relays settle from a component, given where they do from those it leads to.
fn rest_of(checker: &Checker, component: &[usize], rests: &[u32]) -> u32 {
    let mut found = NOWHERE;
    for &n in component {
        for m in followers(checker, n) {
            // Members of the component itself are not known yet.
            let rest = match rests[m] {
                UNSEEN | NOWHERE => continue,
                rest => rest,
            };
            found = if found == NOWHERE || found == rest { rest } else { SEVERAL };
        }
    }
    found
}

/// A shortest way to state `n`, and a shortest cycle of relay moves from there.
fn cycle(checker: &mut Checker, n: usize) -> Verdict {
    let start = checker.exploration.states[n];
    let limits = checker.exploration.limits;
    let reached = checker.follows(start, false);
    let mut out = Vec::new();
    for (at, &(state, _, _)) in reached.iter().enumerate() {
        out.clear();
        let on = checker.model.energised(state, &mut checker.scratch);
        settling(checker.model, state, on, limits, &mut out);
        if let Some(&(by, _)) = out.iter().find(|(_, next)| *next == start) {
            let mut way = way_in(&reached, at);
            way.push((by, start));
            let then = tell(checker.model, start, &way);
            let way = checker.exploration.way_to(n);
            return checker.told(Property::NoBuzzing, &way, then);
        }
    }
    checker.counterexample(Property::NoBuzzing, n, &[])
}

/// A shortest way to state `n`, and two ways on to different settled states.
fn two_ways(checker: &mut Checker, n: usize) -> Verdict {
    let start = checker.exploration.states[n];
    let reached = checker.follows(start, false);
    let mut ends: Vec<Vec<(Move, Packed)>> = Vec::new();
    for (at, &(state, _, _)) in reached.iter().enumerate() {
        let on = checker.model.energised(state, &mut checker.scratch);
        if checker.model.is_settled(state, on) {
            ends.push(way_in(&reached, at));
        }
    }
    let (first, second) = match ends.as_slice() {
        [first, second, ..] => (first.as_slice(), second.as_slice()),
        [first] => (first.as_slice(), &[][..]),
        [] => (&[][..], &[][..]),
    };
    let mut way = checker.exploration.way_to(n);
    way.extend_from_slice(first);
    let then = tell(checker.model, start, second);
    checker.told(Property::NoRace, &way, then)
}

/// States from which the start is out of reach.
pub(crate) fn traps(checker: &mut Checker) -> Finding {
    let property = Property::NoTrap;
    let explored = &checker.exploration;
    if !explored.exhausted {
        return Finding { property, verdict: Verdict::Undecided };
    }
    if explored.transitions > TRAP_TRANSITION_LIMIT {
        let verdict = Verdict::Moot(
            Phrase::new("interlock-too-many").with("count", TRAP_TRANSITION_LIMIT.to_string()),
        );
        return Finding { property, verdict };
    }
    // All transitions, sorted by where they lead: count, then place.
    let count = explored.states.len();
    let mut begin = vec![0_u32; count + 1];
    let mut out = Vec::new();
    let mut pairs: Vec<(u32, u32)> = Vec::with_capacity(explored.transitions as usize);
    for n in 0..count {
        let state = explored.states[n];
        moves(checker.model, state, explored.limits, &mut checker.scratch, &mut out);
        for &(_, next) in &out {
            if let Some(m) = explored.find(next) {
                pairs.push((m as u32, n as u32));
                begin[m + 1] += 1;
            }
        }
    }
    for m in 0..count {
        begin[m + 1] += begin[m];
    }
    let mut place = begin.clone();
    let mut from = vec![0_u32; pairs.len()];
    for (m, n) in pairs {
        from[place[m as usize] as usize] = n;
        place[m as usize] += 1;
    }
    let mut back = vec![false; count];
    back[0] = true;
    let mut open = vec![0_usize];
    while let Some(m) = open.pop() {
        for &n in &from[begin[m] as usize..begin[m + 1] as usize] {
            if !back[n as usize] {
                back[n as usize] = true;
                open.push(n as usize);
            }
        }
    }
    let verdict = match back.iter().position(|reached| !reached) {
        Some(n) => checker.counterexample(property, n, &[]),
        None => Verdict::Holds,
    };
    Finding { property, verdict }
}
