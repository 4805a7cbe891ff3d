//! Checks that look at reached states one by one, in the order of their distance from the start, so
//! that the first break found is a shortest one.

use std::collections::BTreeMap;

use crate::base::{OperatorId, PumpId, WindingId};
use crate::language::Phrase;

use super::element::{Hand, Packed, Timing};
use super::explore::{Exploration, Limits, Link, Move, closure, settling, way_in};
use super::fluid::{IN, OUT};
use super::model::{InterlockError, Model, Scratch};
use super::order;
use super::property::{Finding, InterlockReport, Output, Property, SafeState, Verdict};
use super::story::{Counterexample, tell};

/// What each stop can switch off: windings, one bit each, by input.
pub(crate) type Governed = BTreeMap<usize, u128>;

/// What to check.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Options {
    /// How far to explore.
    pub limits: Limits,
    /// Declared safe states of axes when the supply is off.
    pub safe: Vec<(crate::base::PistonId, SafeState)>,
}

/// An explored model with what its checks need.
pub(crate) struct Checker<'m, 'p> {
    pub model: &'m Model<'p>,
    pub exploration: Exploration,
    pub scratch: Scratch,
    /// Something that follows without a hand was cut short: nothing is called safe any more.
    truncated: bool,
}

impl<'m, 'p> Checker<'m, 'p> {
    pub fn new(model: &'m Model<'p>, limits: Limits) -> Self {
        let exploration = Exploration::new(model, limits);
        Checker { model, exploration, scratch: Scratch::default(), truncated: false }
    }

    /// A counterexample: the shortest way to state `n`, then `more`.
    pub fn counterexample(&self, property: Property, n: usize, more: &[(Move, Packed)]) -> Verdict {
        let mut way = self.exploration.way_to(n);
        way.extend_from_slice(more);
        self.told(property, &way, Vec::new())
    }

    pub fn told(
        &self,
        property: Property,
        way: &[(Move, Packed)],
        then: Vec<super::story::Step>,
    ) -> Verdict {
        let steps = tell(self.model, self.model.initial(), way);
        let end = way.last().map_or(self.model.initial(), |step| step.1);
        let end_coils = self.model.energised(end, &mut Scratch::default());
        let fault = self.model.fault;
        Verdict::Broken(Box::new(Counterexample { property, fault, steps, then, end_coils }))
    }

    /// What is to be said when no break was found.
    pub fn unbroken(&self) -> Verdict {
        if self.exploration.exhausted && !self.truncated {
            Verdict::Holds
        } else {
            Verdict::Undecided
        }
    }

    /// What follows from `start` without a hand.
    pub fn follows(&mut self, start: Packed, slow: bool) -> Vec<Link> {
        let limits = self.exploration.limits;
        let (reached, whole) = closure(self.model, start, slow, limits, &mut self.scratch);
        self.truncated |= !whole;
        reached
    }

    /// The first state for which `broken` says so, as a finding.
    fn first(
        &mut self,
        property: Property,
        mut broken: impl FnMut(&Model, Packed, u128, &mut Scratch) -> bool,
    ) -> Finding {
        for n in 0..self.exploration.states.len() {
            let (state, on) = (self.exploration.states[n], self.exploration.coils[n]);
            if broken(self.model, state, on, &mut self.scratch) {
                return Finding { property, verdict: self.counterexample(property, n, &[]) };
            }
        }
        Finding { property, verdict: self.unbroken() }
    }

    /// Both coils of each valve that has two.
    pub fn both_coils(&mut self) -> Vec<Finding> {
        let mut findings = Vec::new();
        for k in 0..self.model.spools.len() {
            let spool = &self.model.spools[k];
            let (Some(a), Some(b)) = (spool.a, spool.b) else { continue };
            let id = spool.id;
            for settled in [false, true] {
                let property = Property::NotBothCoils { spool: id, settled };
                findings.push(self.first(property, |model, state, on, _| {
                    on >> a & 1 == 1
                        && on >> b & 1 == 1
                        && (!settled || model.is_settled(state, on))
                }));
            }
        }
        findings
    }

    /// Relays out, and axes in their declared states, without supply.
    pub fn without_supply(&mut self, safe: &[(crate::base::PistonId, SafeState)]) -> Vec<Finding> {
        if self.model.inputs.iter().enumerate().all(|(k, _)| !self.model.is_supply(k)) {
            let verdict = Verdict::Moot(Phrase::new("interlock-no-switch"));
            return vec![Finding { property: Property::OutWithoutSupply, verdict }];
        }
        let mut findings =
            vec![self.first(Property::OutWithoutSupply, |model, state, on, _| {
                !model.any_live(state)
                    && model.is_settled(state, on)
                    && (0..model.relays.len()).any(|k| {
                        let held_by_fault = matches!(model.fault,
                            Some(super::fault::Fault::Stuck(o, true)) if o == model.relays[k].operator);
                        // An off-delay that still runs will let go.
                        let runs = matches!(model.relays[k].timing, Timing::Off(_))
                            && model.timer_end(state, k).is_some();
                        // A latching relay is there to remember.
                        let remembers = matches!(model.relays[k].timing, Timing::Latch(_));
                        model.relay_acts(state, k) && !held_by_fault && !runs && !remembers
                    })
            })];
        for &(piston, safe) in safe {
            let property = Property::SafeWithoutSupply { piston, safe };
            findings.push(self.first(property, |model, state, on, scratch| {
                if model.any_live(state)
                    || !model.is_settled(state, on)
                    || (0..model.spools.len()).any(|k| model.spool_target(state, on, k).is_some())
                {
                    return false;
                }
                let motion = model.motions(state, scratch).0.get(piston.index()).copied();
                motion.unwrap_or(0)
                    & match safe {
                        SafeState::Held => IN | OUT,
                        SafeState::In => OUT,
                        SafeState::Out => IN,
                    }
                    != 0
            }));
        }
        findings
    }

    /// Everything that could start by itself.
    fn outputs(&self) -> Vec<Output> {
        let plan = self.model.plan;
        let coils = self.model.spools.iter().flat_map(|s| [s.a, s.b]).flatten();
        coils
            .map(|w| Output::Coil(WindingId::new(w)))
            .chain((0..plan.pumps.len()).map(|p| Output::Pump(PumpId::new(p))))
            .chain(self.model.pistons.iter().map(|p| Output::Axis(p.id)))
            .chain(self.model.relays.iter().map(|r| Output::Relay(r.operator)))
            .collect()
    }

    /// How each output stands: bits that must not be added to.
    fn standing(&mut self, outputs: &[Output], state: Packed) -> Vec<u8> {
        let on = self.model.energised(state, &mut self.scratch);
        let mut list = Vec::with_capacity(outputs.len());
        for output in outputs {
            list.push(match *output {
                Output::Coil(w) => u8::from(on >> w.index() & 1 == 1),
                Output::Pump(p) => u8::from(self.model.pump_runs(state, p.index())),
                Output::Axis(p) => {
                    let piston = &self.model.pistons[p.index()];
                    let region = piston.field.get(state) as usize;
                    let ends =
                        u8::from(region == 0) * IN + u8::from(region == piston.edges.len()) * OUT;
                    self.model.motions(state, &mut self.scratch).0[p.index()] & !ends
                }
                Output::Relay(o) => u8::from(self.model.acts(state, o)),
            });
        }
        list
    }

    /// What starts by itself at the supply's return or an emergency stop's release.
    pub fn restarts(&mut self) -> Vec<Finding> {
        let outputs = self.outputs();
        // Length of the whole way, the state it leaves from, and the way on.
        type Found = (usize, usize, Vec<(Move, Packed)>);
        let mut best: Vec<Option<Found>> = vec![None; outputs.len()];
        let least = |b: &Option<Found>| b.as_ref().map_or(usize::MAX, |b| b.0);
        let returns: Vec<usize> = (0..self.model.inputs.len())
            .filter(|&k| {
                self.model.is_supply(k) || self.model.inputs[k].hand == Hand::EmergencyStop
            })
            .collect();
        for n in 0..self.exploration.states.len() {
            let state = self.exploration.states[n];
            if !self.is_quiet(n) {
                continue;
            }
            let depth = self.exploration.depth_of(n);
            if best.iter().all(|b| least(b) <= depth + 1) {
                break;
            }
            for &k in &returns {
                let input = &self.model.inputs[k];
                // A supply comes back when it is switched on, a stop when it is let go.
                let back = u128::from(self.model.is_supply(k));
                if input.field.get(state) == back {
                    continue;
                }
                let after = input.field.set(state, back);
                let was = self.standing(&outputs, state);
                let reached = self.follows(after, true);
                for at in 0..reached.len() {
                    let is = self.standing(&outputs, reached[at].0);
                    for ((b, is), was) in best.iter_mut().zip(is).zip(&was) {
                        if is & !was == 0 {
                            continue;
                        }
                        let mut more = vec![(Move::Input(k as u16), after)];
                        more.extend(way_in(&reached, at));
                        if depth + more.len() < least(b) {
                            *b = Some((depth + more.len(), n, more));
                        }
                    }
                }
            }
        }
        outputs
            .into_iter()
            .zip(best)
            .map(|(output, best)| {
                let property = Property::NoRestart { output };
                let verdict = match best {
                    Some((_, n, more)) => self.counterexample(property, n, &more),
                    None if returns.is_empty() => Verdict::Moot(Phrase::new("interlock-no-return")),
                    None => self.unbroken(),
                };
                Finding { property, verdict }
            })
            .collect()
    }

    /// Nothing is on its way but pistons, and no push-button is held.
    fn is_quiet(&self, n: usize) -> bool {
        let (state, on) = (self.exploration.states[n], self.exploration.coils[n]);
        self.model.is_settled(state, on)
            && (0..self.model.relays.len()).all(|k| {
                matches!(self.model.relays[k].timing, Timing::Flash(_))
                    || self.model.timer_end(state, k).is_none()
            })
            && (0..self.model.spools.len()).all(|k| self.model.spool_target(state, on, k).is_none())
            && self.model.inputs.iter().all(|i| i.hand != Hand::Button || i.field.get(state) == 0)
    }

    /// What each stop can switch off: a coil that is on in some settled state and off wherever the
    /// relays settle after the stop is pressed.
    pub fn governed(&mut self) -> Governed {
        let mut governed: Governed = self.model.stops().into_iter().map(|k| (k, 0)).collect();
        let limits = self.exploration.limits;
        for n in 0..self.exploration.states.len() {
            let (state, on) = (self.exploration.states[n], self.exploration.coils[n]);
            if on == 0 || !self.model.is_settled(state, on) {
                continue;
            }
            for (&k, known) in &mut governed {
                let field = self.model.inputs[k].field;
                if field.get(state) == 1 || on & !*known == 0 {
                    continue;
                }
                let pressed = field.set(state, 1);
                let reached = self.follows(pressed, false);
                let mut stays = 0;
                let mut out = Vec::new();
                for (next, _, _) in reached {
                    let on = self.model.energised(next, &mut self.scratch);
                    out.clear();
                    if settling(self.model, next, on, limits, &mut out) {
                        stays |= on;
                    }
                }
                *known |= on & !stays;
            }
        }
        governed
    }

    /// Whether what each stop governs stays off while it is held.
    pub fn stops(&mut self, governed: &Governed) -> Vec<Finding> {
        let mut findings = Vec::new();
        for (&k, &coils) in governed {
            let Some(stop) = self.model.inputs[k].operator else { continue };
            let property = Property::StopDominates { stop };
            let field = self.model.inputs[k].field;
            findings.push(if coils == 0 {
                let verdict = Verdict::Moot(Phrase::new("interlock-stops-nothing"));
                Finding { property, verdict }
            } else {
                let mut finding = self.first(property, |model, state, on, _| {
                    field.get(state) == 1 && on & coils != 0 && model.is_settled(state, on)
                });
                if let Verdict::Broken(counterexample) = &mut finding.verdict {
                    counterexample.end_coils &= coils;
                }
                finding
            });
        }
        findings
    }

    /// What of the machine is never reached.
    pub fn reachable(&mut self) -> Finding {
        let property = Property::Reachable;
        if !self.exploration.exhausted {
            return Finding { property, verdict: Verdict::Undecided };
        }
        let (mut coils, mut acted) = (0_u128, vec![false; self.model.plan.operators.len()]);
        let mut spools = vec![0_u8; self.model.spools.len()];
        let mut ends = vec![0_u8; self.model.pistons.len()];
        for n in 0..self.exploration.states.len() {
            let state = self.exploration.states[n];
            coils |= self.exploration.coils[n];
            for (o, seen) in acted.iter_mut().enumerate() {
                *seen |= self.model.acts(state, OperatorId::new(o));
            }
            for (k, seen) in spools.iter_mut().enumerate() {
                *seen |= 1 << (self.model.spool_at(state, k) + 1);
            }
            for (piston, seen) in self.model.pistons.iter().zip(&mut ends) {
                let region = piston.field.get(state) as usize;
                *seen |= u8::from(region == 0) * IN + u8::from(region == piston.edges.len()) * OUT;
            }
        }
        let plan = self.model.plan;
        let never = |id: &'static str, part: &str| Phrase::new(id).with("part", part);
        let mut missing = Vec::new();
        for (w, winding) in plan.windings.iter().enumerate() {
            if coils >> w & 1 == 0 {
                missing.push(never("interlock-never-on", &winding.name));
            }
        }
        for (operator, seen) in plan.operators.iter().zip(acted) {
            if !seen {
                missing.push(never("interlock-never-acts", &operator.name));
            }
        }
        for (spool, seen) in self.model.spools.iter().zip(spools) {
            for (at, has, id) in
                [(0, spool.b, "interlock-never-to-b"), (2, spool.a, "interlock-never-to-a")]
            {
                if has.is_some() && seen >> at & 1 == 0 {
                    missing.push(never(id, &plan.spools[spool.id.index()].name));
                }
            }
        }
        for (piston, seen) in self.model.pistons.iter().zip(ends) {
            for (bit, id) in [(IN, "interlock-never-retracted"), (OUT, "interlock-never-extended")]
            {
                if seen & bit == 0 {
                    missing.push(never(id, &plan.pistons[piston.id.index()].name));
                }
            }
        }
        let verdict = if missing.is_empty() { Verdict::Holds } else { Verdict::Missing(missing) };
        Finding { property, verdict }
    }

    pub fn report(&self, findings: Vec<Finding>) -> InterlockReport {
        InterlockReport {
            findings,
            states: self.exploration.states.len(),
            transitions: self.exploration.transitions,
            depth: self.exploration.depth,
            exhausted: self.exploration.exhausted,
        }
    }
}

/// Explores the sound bench `plan` and checks everything but single faults.
///
/// # Errors
/// When the bench does not fit into the model.
pub fn check(
    plan: &crate::plant::Plan,
    options: &Options,
) -> Result<InterlockReport, InterlockError> {
    check_under(plan, options, None)
}

/// The same of a bench that has `fault` from the start: what a student meets, or a rewired circuit.
///
/// # Errors
/// When the bench does not fit into the model, or the fault is not in it.
pub fn check_under(
    plan: &crate::plant::Plan,
    options: &Options,
    fault: Option<super::fault::Fault>,
) -> Result<InterlockReport, InterlockError> {
    let model = Model::new(plan, fault, false)?;
    let mut checker = Checker::new(&model, options.limits);
    let mut findings = checker.both_coils();
    findings.extend(checker.without_supply(&options.safe));
    findings.extend(checker.restarts());
    let governed = match fault {
        None => checker.governed(),
        Some(_) => governed_when_sound(plan, options.limits)?,
    };
    findings.extend(checker.stops(&governed));
    findings.extend(order::buzzing_and_races(&mut checker));
    findings.push(checker.reachable());
    findings.push(order::traps(&mut checker));
    Ok(checker.report(findings))
}

/// What the stops govern in the sound bench.
pub(crate) fn governed_when_sound(
    plan: &crate::plant::Plan,
    limits: Limits,
) -> Result<Governed, InterlockError> {
    let model = Model::new(plan, None, false)?;
    Ok(Checker::new(&model, limits).governed())
}
