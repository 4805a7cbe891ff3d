//! Which single faults show in normal operation, and which stay hidden until a second one comes.
//!
//! Normal operation here: the supply is on, emergency stops are let be, and hands work push-buttons and
//! selectors one at a time, each when the machine has come to rest; two push-buttons are held together
//! only where nothing else brings some coil on. The sound and the faulty bench are taken through the
//! same hands, side by side, as far as they lead to states not seen before. A fault shows where lamps,
//! pumps or axes differ; what nothing tells apart is latent. Of what the model leaves open (who is
//! first, how far) the plainest is taken: relays before spools, axes before timers, short times before
//! long ones.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::base::SimTime;
use crate::plant::Plan;

use super::check::Options;
use super::element::{Hand, Packed, Timing};
use super::explore::Move;
use super::fault::Fault;
use super::fluid::{IN, OUT};
use super::model::{InterlockError, Model, Scratch};
use super::story::{Step, tell};

/// Most moves that may follow one another without a hand; what goes on longer goes round.
const RUN_LIMIT: usize = 2_000;

/// What normal operation says of a fault.
#[derive(Clone, Debug, PartialEq)]
pub enum Sign {
    /// It shows after these hands.
    Shown {
        /// What hands do; none where it shows by itself.
        steps: Vec<Step>,
        /// What differs from the sound bench, in words.
        what: String,
    },
    /// Normal operation goes on as if nothing were wrong.
    Latent,
    /// Not seen as far as it was followed, but not all was followed.
    Undecided,
}

/// A fault with its sign in normal operation.
#[derive(Clone, Debug, PartialEq)]
pub struct LatentFinding {
    /// The fault, present from the start.
    pub fault: Fault,
    /// What it shows.
    pub sign: Sign,
    /// Pairs of states, sound and faulty, that were compared.
    pub pairs: usize,
}

/// What a person beside the bench sees: lamps lit, pumps running, and where axes stand (retracted, on
/// the way, extended).
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Sight {
    lamps: u128,
    pumps: u128,
    axes: Vec<u8>,
}

/// Looks what each of `faults` shows in normal operation of `plan`, each by itself, in their order.
///
/// # Errors
/// When the bench does not fit into the model, or a fault is not in it.
pub fn latent_faults(
    plan: &Plan,
    options: &Options,
    faults: &[Fault],
) -> Result<Vec<LatentFinding>, InterlockError> {
    let sound = Model::new(plan, None, false)?;
    let together = chords(&sound, options.limits.states);
    faults
        .par_iter()
        .map(|&fault| {
            let faulty = Model::new(plan, Some(fault), false)?;
            let (sign, pairs) = compare(&sound, &faulty, &together, options.limits.states);
            Ok(LatentFinding { fault, sign, pairs })
        })
        .collect()
}

/// Inputs of normal operation.
fn hands(model: &Model) -> Vec<usize> {
    (0..model.inputs.len())
        .filter(|&k| {
            let input = &model.inputs[k];
            let by_hand = input
                .operator
                .is_some_and(|o| model.plan.operators[o.index()].tie == crate::plant::Tie::Hand);
            by_hand && matches!(input.hand, Hand::Button | Hand::Selector)
        })
        .filter(|&k| !model.is_supply(k))
        .collect()
}

/// Push-buttons that are down.
fn held(model: &Model, state: Packed) -> Vec<usize> {
    (0..model.inputs.len())
        .filter(|&k| model.inputs[k].hand == Hand::Button && model.inputs[k].field.get(state) == 1)
        .collect()
}

/// Pairs of push-buttons that have to be held together for some coil to come on.
fn chords(model: &Model, limit: usize) -> Vec<[usize; 2]> {
    let mut pairs = Vec::new();
    let alone = coils_reached(model, &pairs, limit);
    let buttons: Vec<usize> =
        hands(model).into_iter().filter(|&k| model.inputs[k].hand == Hand::Button).collect();
    for (n, &a) in buttons.iter().enumerate() {
        for &b in &buttons[n + 1..] {
            let both = coils_reached(model, &[[a, b]], limit);
            if both & !alone != 0 {
                pairs.push([a, b]);
            }
        }
    }
    pairs
}

/// Coils that some normal operation brings on.
fn coils_reached(model: &Model, together: &[[usize; 2]], limit: usize) -> u128 {
    let mut scratch = Scratch::default();
    let (start, _, mut coils) = rest(model, model.initial(), &mut scratch);
    let mut known = BTreeMap::from([(start, ())]);
    let mut open = vec![start];
    while let Some(state) = open.pop() {
        for k in hands(model) {
            let Some(next) = by_hand(model, state, k, together) else { continue };
            let (next, _, on) = rest(model, next, &mut scratch);
            coils |= on;
            if known.len() < limit && known.insert(next, ()).is_none() {
                open.push(next);
            }
        }
    }
    coils
}

/// `state` after input `k` was changed, unless that is no normal operation.
fn by_hand(model: &Model, state: Packed, k: usize, together: &[[usize; 2]]) -> Option<Packed> {
    let input = &model.inputs[k];
    let at = input.field.get(state);
    let down = held(model, state);
    if at == 0 {
        let free = down.is_empty()
            || input.hand == Hand::Button
                && down.len() == 1
                && together.iter().any(|pair| pair.contains(&k) && pair.contains(&down[0]));
        if !free {
            return None;
        }
    } else if input.hand != Hand::Button && !down.is_empty() {
        return None;
    }
    Some(input.field.set(state, 1 - at))
}

fn compare(sound: &Model, faulty: &Model, together: &[[usize; 2]], limit: usize) -> (Sign, usize) {
    let mut scratch = [Scratch::default(), Scratch::default()];
    let (a, seen_a, _) = rest(sound, sound.initial(), &mut scratch[0]);
    let (b, seen_b, _) = rest(faulty, faulty.initial(), &mut scratch[1]);
    let shown = |steps, a: &[Sight], b: &[Sight]| Sign::Shown { steps, what: apart(sound, a, b) };
    if seen_a != seen_b {
        return (shown(Vec::new(), &seen_a, &seen_b), 1);
    }
    // Where each pair came from, and by which hand.
    let mut pairs = vec![((a, b), usize::MAX, 0_usize)];
    let mut known = BTreeMap::from([((a, b), ())]);
    let mut at = 0;
    let mut whole = true;
    while at < pairs.len() {
        let ((a, b), ..) = pairs[at];
        for k in hands(sound) {
            let Some(next_a) = by_hand(sound, a, k, together) else { continue };
            let next_b = faulty.inputs[k].field.set(b, faulty.inputs[k].field.get(next_a));
            let (end_a, seen_a, _) = rest(sound, next_a, &mut scratch[0]);
            let (end_b, seen_b, _) = rest(faulty, next_b, &mut scratch[1]);
            if seen_a != seen_b {
                let steps = way(sound, &pairs, at, k);
                return (shown(steps, &seen_a, &seen_b), pairs.len());
            }
            if known.insert((end_a, end_b), ()).is_none() {
                if pairs.len() >= limit {
                    whole = false;
                    continue;
                }
                pairs.push(((end_a, end_b), at, k));
            }
        }
        at += 1;
    }
    (if whole { Sign::Latent } else { Sign::Undecided }, pairs.len())
}

/// The hands that lead to pair `at`, and then `last`.
fn way(
    model: &Model,
    pairs: &[((Packed, Packed), usize, usize)],
    at: usize,
    last: usize,
) -> Vec<Step> {
    let mut inputs = vec![last];
    let mut n = at;
    while pairs[n].1 != usize::MAX {
        inputs.push(pairs[n].2);
        n = pairs[n].1;
    }
    inputs.reverse();
    // Only the hands are told: what follows of itself is the machine's affair.
    let mut state = model.initial();
    let mut steps = Vec::new();
    for k in inputs {
        let field = model.inputs[k].field;
        let next = field.set(state, 1 - field.get(state));
        steps.extend(tell(model, state, &[(Move::Input(k as u16), next)]));
        state = next;
    }
    for step in &mut steps {
        // The relays have not followed in `state`, so what it says of coils is not to be told.
        step.coils.clear();
    }
    steps
}

/// What differs between two courses, in words.
fn apart(model: &Model, a: &[Sight], b: &[Sight]) -> String {
    let place = a.iter().zip(b).position(|(x, y)| x != y).unwrap_or(a.len().min(b.len()));
    let of = |list: &[Sight]| list.get(place).or(list.last()).cloned();
    let (Some(a), Some(b)) = (of(a), of(b)) else { return String::new() };
    let plan = model.plan;
    let mut list = Vec::new();
    for (k, lamp) in plan.lamps.iter().enumerate() {
        match (a.lamps >> k & 1, b.lamps >> k & 1) {
            (1, 0) => list.push(format!("{} stays dark", lamp.name)),
            (0, 1) => list.push(format!("{} is lit", lamp.name)),
            _ => {}
        }
    }
    for (p, pump) in plan.pumps.iter().enumerate() {
        match (a.pumps >> p & 1, b.pumps >> p & 1) {
            (1, 0) => list.push(format!("{} does not run", pump.name)),
            (0, 1) => list.push(format!("{} runs", pump.name)),
            _ => {}
        }
    }
    let stands = ["retracted", "on the way", "extended"];
    for (p, (x, y)) in a.axes.iter().zip(&b.axes).enumerate() {
        if x != y {
            let name = &plan.pistons[p].name;
            let [is, should] = [*y, *x].map(|k| stands.get(usize::from(k)).copied().unwrap_or(""));
            list.push(format!("{name} is {is} instead of {should}"));
        }
    }
    if list.is_empty() {
        // The same sights, of which one course has more.
        list.push("the machine goes on differently".to_owned());
    }
    list.join(", ")
}

/// Lets the machine come to rest, or go round once; gives where it ends, what was seen on the way
/// whenever the relays had settled, and the coils that were on.
fn rest(model: &Model, start: Packed, scratch: &mut Scratch) -> (Packed, Vec<Sight>, u128) {
    let mut state = start;
    let mut seen: Vec<Sight> = Vec::new();
    let mut known = BTreeMap::new();
    let mut coils = 0;
    for _ in 0..RUN_LIMIT {
        if known.insert(state, ()).is_some() {
            break;
        }
        let on = model.energised(state, scratch);
        coils |= on;
        if let Some(next) = relay_step(model, state, on) {
            state = next;
            continue;
        }
        let sight = sight(model, state, scratch);
        if seen.last() != Some(&sight) {
            seen.push(sight);
        }
        match machine_step(model, state, on, scratch) {
            Some(next) => state = next,
            None => break,
        }
    }
    (state, seen, coils)
}

fn sight(model: &Model, state: Packed, scratch: &mut Scratch) -> Sight {
    let runs = (0..model.plan.pumps.len())
        .fold(0, |bits, p| bits | u128::from(model.pump_runs(state, p)) << p);
    let stand = |piston: &super::element::PistonModel| match piston.field.get(state) as usize {
        0 => 0,
        r if r >= piston.edges.len() => 2,
        _ => 1,
    };
    Sight {
        lamps: model.lit(state, scratch),
        pumps: runs,
        axes: model.pistons.iter().map(stand).collect(),
    }
}

fn relay_step(model: &Model, state: Packed, on: u128) -> Option<Packed> {
    (0..model.relays.len()).find_map(|k| {
        let phase = model.relay_move(state, on, k)?;
        model.relay_moved(state, k, phase)[0]
    })
}

/// What moves first once the relays have settled: a spool, a pressure that falls, an axis, a pressure
/// that rises, the shortest timer.
fn machine_step(model: &Model, state: Packed, on: u128, scratch: &mut Scratch) -> Option<Packed> {
    for (k, spool) in model.spools.iter().enumerate() {
        if let Some(target) = model.spool_target(state, on, k) {
            return Some(spool.field.set(state, (target + 1) as u128));
        }
    }
    if !(model.pistons.is_empty() && model.pressures.is_empty()) {
        let (motions, supplied) = model.motions(state, scratch);
        for switch in &model.pressures {
            if switch.field.get(state) == 1 && !supplied[switch.volume] {
                return Some(switch.field.set(state, 0));
            }
        }
        for (piston, motion) in model.pistons.iter().zip(motions) {
            let region = piston.field.get(state);
            // Where it might go either way it stays: nothing is claimed from it.
            match *motion {
                OUT if region + 1 < piston.regions() as u128 => {
                    return Some(piston.field.set(state, region + 1));
                }
                IN if region > 0 => return Some(piston.field.set(state, region - 1)),
                _ => {}
            }
        }
        for switch in &model.pressures {
            if switch.field.get(state) == 0 && supplied[switch.volume] {
                return Some(switch.field.set(state, 1));
            }
        }
    }
    let time = |timing: Timing| match timing {
        Timing::On(t) | Timing::Off(t) | Timing::Flash(t) => t,
        Timing::Instant | Timing::Latch(_) => SimTime::ZERO,
    };
    (0..model.relays.len())
        .filter_map(|k| Some((time(model.relays[k].timing), k, model.timer_end(state, k)?)))
        .min_by_key(|(t, k, _)| (*t, *k))
        .map(|(_, k, end)| model.relays[k].field.set(state, end))
}
