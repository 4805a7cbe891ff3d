//! The bench as a machine of finitely many states, derived from its plan.
//!
//! A state is packed into 128 bits: hand operators, relay phases, spool positions, piston regions,
//! pressure switches, and whether the fault has arisen.

use crate::base::{OperatorId, PistonId, SpoolId};
use crate::language::Phrase;
use crate::plant::{Delay, Plan, Tie, Trigger};
use crate::shift::Rest;

use super::circuit::Circuit;
use super::element::{
    COUNTED, Counter, DONE, Field, Hand, IDLE, Input, Packed, PistonModel, PressureModel, RUNNING,
    Relay, SpoolModel, Timing,
};
use super::fault::Fault;
use super::fluid::Fluid;
use crate::diagnosis::matrix::too_many;

/// What keeps a bench from being explored.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum InterlockError {
    /// The state does not fit.
    TooWide {
        /// Bits needed.
        bits: u32,
    },
    /// Too many elements of one kind.
    TooMany {
        /// Kind of element.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// How many there may be.
        limit: usize,
    },
    /// The fault is in an element that the bench does not have.
    NoSuchElement,
    /// The full simulation could not go on.
    Simulation(Phrase),
}

impl InterlockError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            InterlockError::TooWide { bits } => {
                Phrase::new("interlock-too-wide").with("bits", bits.to_string())
            }
            InterlockError::TooMany { what, count, limit } => too_many(what, *count, *limit),
            InterlockError::NoSuchElement => Phrase::new("interlock-no-element"),
            InterlockError::Simulation(why) => {
                Phrase::new("interlock-stopped").with("why", why.clone())
            }
        }
    }
}

/// What an operator's contacts follow.
#[derive(Clone, Copy, Debug)]
enum Role {
    Input(usize),
    Relay(usize),
    Counter(usize),
    /// Piston, and the regions in which the cam acts.
    Cam(usize, u128),
    Pressure(usize),
}

/// The bench as a machine of finitely many states.
#[derive(Clone, Debug)]
pub(crate) struct Model<'p> {
    pub(crate) plan: &'p Plan,
    /// Sound, and with the fault.
    circuits: [Circuit; 2],
    pub(crate) fluid: Fluid,
    pub(crate) inputs: Vec<Input>,
    pub(crate) relays: Vec<Relay>,
    pub(crate) counters: Vec<Counter>,
    pub(crate) spools: Vec<SpoolModel>,
    pub(crate) pistons: Vec<PistonModel>,
    pub(crate) pressures: Vec<PressureModel>,
    roles: Vec<Role>,
    mains: Option<usize>,
    pub(crate) fault: Option<Fault>,
    fault_field: Field,
    initial: Packed,
}

/// Working memory of one exploration.
#[derive(Clone, Debug, Default)]
pub(crate) struct Scratch {
    pub joined: Vec<u16>,
    /// Piston motions and supplied volumes by spool positions and running pumps.
    pub motions: std::collections::BTreeMap<u128, (Vec<u8>, Vec<bool>)>,
}

/// Most elements of one kind; each kind has bit masks of this width.
const KIND_LIMIT: usize = 128;
/// Most spools and pumps together: their joint position indexes a cache.
const DRIVE_LIMIT: usize = 60;

impl<'p> Model<'p> {
    /// The model of `plan`, in which `fault` is present from the start, or with `arising` may arise
    /// at any moment.
    ///
    /// # Errors
    /// When the bench does not fit.
    pub fn new(
        plan: &'p Plan,
        fault: Option<Fault>,
        arising: bool,
    ) -> Result<Model<'p>, InterlockError> {
        limit("operators", plan.operators.len(), KIND_LIMIT)?;
        limit("windings", plan.windings.len(), KIND_LIMIT)?;
        limit("pistons", plan.pistons.len(), KIND_LIMIT)?;
        limit("spools and pumps", plan.spools.len() + plan.pumps.len(), DRIVE_LIMIT)?;
        limit("terminals", plan.nodes.len(), usize::from(u16::MAX))?;
        if let Some(f) = fault
            && f.part(plan).is_none()
        {
            return Err(InterlockError::NoSuchElement);
        }
        let mut bits = 0;
        let mut field = |values: usize| -> Field {
            let width = usize::BITS - values.saturating_sub(1).leading_zeros();
            bits += width;
            Field { shift: (bits - width).min(127), width: width.min(127) }
        };
        let fault_field = field(2);
        let mut model = Model {
            plan,
            circuits: [Circuit::new(plan, None), Circuit::new(plan, fault)],
            fluid: Fluid::new(plan),
            inputs: Vec::new(),
            relays: Vec::new(),
            counters: Vec::new(),
            spools: Vec::new(),
            pistons: Vec::new(),
            pressures: Vec::new(),
            roles: Vec::new(),
            mains: None,
            fault,
            fault_field,
            initial: 0,
        };
        for (p, place) in plan.pistons.iter().enumerate() {
            let stroke = plan.nominal.pistons[p].stroke_m;
            let mut edges = vec![0.0, stroke];
            for (o, operator) in plan.operators.iter().enumerate() {
                if operator.tie == Tie::Piston(PistonId::new(p))
                    && let Trigger::Cam { from_m, to_m, .. } = plan.nominal.operators[o].trigger
                {
                    edges.extend([from_m, to_m].into_iter().filter(|m| *m > 0.0 && *m < stroke));
                }
            }
            edges.sort_by(f64::total_cmp);
            edges.dedup();
            limit("regions of a piston", edges.len() + 1, KIND_LIMIT)?;
            let piston = PistonModel { id: PistonId::new(p), field: field(edges.len() + 1), edges };
            let region = piston.region_of(place.initially_m) as u128;
            model.initial = piston.field.set(model.initial, region);
            model.pistons.push(piston);
        }
        for (o, operator) in plan.operators.iter().enumerate() {
            let id = OperatorId::new(o);
            let initially = u128::from(operator.initially);
            let role = match operator.tie {
                // What a program may want is not explored: each output is taken as free, and so is
                // a two-hand control.
                Tie::Hand | Tie::Program(_) | Tie::Both(..) => {
                    let input =
                        Input { operator: Some(id), hand: hand_of(plan, id), field: field(2) };
                    model.initial = input.field.set(model.initial, initially);
                    model.inputs.push(input);
                    Role::Input(model.inputs.len() - 1)
                }
                Tie::Winding(w) => {
                    let timing = match plan.nominal.operators[o].trigger {
                        Trigger::Armature { delay: Delay::On(t), .. } => Timing::On(t),
                        Trigger::Armature { delay: Delay::Off(t), .. } => Timing::Off(t),
                        Trigger::Armature { delay: Delay::Flash(t), .. } => Timing::Flash(t),
                        _ => Timing::Instant,
                    };
                    let values = if timing == Timing::Instant { 2 } else { 3 };
                    model.relays.push(Relay {
                        operator: id,
                        winding: w.index(),
                        timing,
                        field: field(values),
                    });
                    Role::Relay(model.relays.len() - 1)
                }
                Tie::Latch(set, reset) => {
                    let relay = Relay {
                        operator: id,
                        winding: set.index(),
                        timing: Timing::Latch(reset.index()),
                        field: field(2),
                    };
                    model.initial = relay.field.set(model.initial, initially);
                    model.relays.push(relay);
                    Role::Relay(model.relays.len() - 1)
                }
                Tie::Count(pulse, reset) => {
                    let preset = match plan.nominal.operators[o].trigger {
                        Trigger::Count { preset } => preset,
                        _ => 1,
                    };
                    let coarse = preset > COUNTED;
                    let full = if coarse { 2 } else { preset };
                    let counter = Counter {
                        pulse,
                        reset,
                        full: u128::from(full),
                        coarse,
                        field: field(full as usize + 1),
                    };
                    model.counters.push(counter);
                    Role::Counter(model.counters.len() - 1)
                }
                Tie::Piston(p) => {
                    let piston = &model.pistons[p.index()];
                    let mut regions = 0;
                    if let Trigger::Cam { from_m, to_m, .. } = plan.nominal.operators[o].trigger {
                        for r in 0..piston.regions() {
                            let s = piston.middle(r);
                            regions |= u128::from(s >= from_m && s <= to_m) << r;
                        }
                    }
                    Role::Cam(p.index(), regions)
                }
                Tie::Volume(v) | Tie::Across(v, _) => {
                    let switch = PressureModel { operator: id, volume: v.index(), field: field(2) };
                    model.initial = switch.field.set(model.initial, initially);
                    model.pressures.push(switch);
                    Role::Pressure(model.pressures.len() - 1)
                }
            };
            model.roles.push(role);
        }
        for (s, place) in plan.spools.iter().enumerate() {
            let index = |w: Option<crate::base::WindingId>| w.map(crate::base::WindingId::index);
            let piloted = place.a.is_none() && place.b.is_none() && !place.modulates;
            let pilots = place.pilots.iter().filter(|_| piloted);
            let spool = SpoolModel {
                id: SpoolId::new(s),
                rest: plan.nominal.spools[s].rest,
                a: index(place.a),
                b: index(place.b),
                pilots: pilots.map(|(volume, force)| (volume.index(), *force > 0.0)).collect(),
                field: field(3),
            };
            let at = (place.initially.round().clamp(-1.0, 1.0) as i8 + 1) as u128;
            model.initial = spool.field.set(model.initial, at);
            model.spools.push(spool);
        }
        if model.circuits[0].sources.iter().any(|s| s.behind.is_none()) {
            let mains = Input { operator: None, hand: Hand::Mains, field: field(2) };
            model.initial = mains.field.set(model.initial, 1);
            model.mains = Some(model.inputs.len());
            model.inputs.push(mains);
        }
        if bits > Packed::BITS {
            return Err(InterlockError::TooWide { bits });
        }
        if fault.is_some() && !arising {
            model.initial = model.fault_field.set(model.initial, 1);
        }
        Ok(model)
    }

    pub(crate) fn initial(&self) -> Packed {
        self.initial
    }

    pub(crate) fn fault_present(&self, state: Packed) -> bool {
        self.fault_field.get(state) == 1
    }

    pub(crate) fn with_fault(&self, state: Packed) -> Packed {
        self.fault_field.set(state, 1)
    }

    /// Whether the fault may arise now: an operator sticks where it is.
    pub(crate) fn may_arise(&self, state: Packed) -> bool {
        match self.fault {
            None => false,
            Some(_) if self.fault_present(state) => false,
            Some(Fault::Stuck(o, acted)) => self.acts(state, o) == acted,
            Some(_) => true,
        }
    }

    fn stuck(&self, state: Packed, operator: OperatorId) -> Option<bool> {
        match self.fault {
            Some(Fault::Stuck(o, acted)) if o == operator && self.fault_present(state) => {
                Some(acted)
            }
            _ => None,
        }
    }

    /// Whether the contacts of `operator` are acted.
    pub(crate) fn acts(&self, state: Packed, operator: OperatorId) -> bool {
        match self.roles[operator.index()] {
            Role::Input(k) => self.inputs[k].field.get(state) == 1,
            Role::Relay(k) => self.relay_acts(state, k),
            Role::Counter(k) => {
                let counter = &self.counters[k];
                self.stuck(state, operator).unwrap_or(counter.field.get(state) >= counter.full)
            }
            Role::Cam(piston, regions) => {
                let region = self.pistons[piston].field.get(state);
                self.stuck(state, operator).unwrap_or(regions >> region & 1 == 1)
            }
            Role::Pressure(k) => {
                self.stuck(state, operator).unwrap_or(self.pressures[k].field.get(state) == 1)
            }
        }
    }

    pub(crate) fn relay_acts(&self, state: Packed, k: usize) -> bool {
        let relay = &self.relays[k];
        let phase = relay.field.get(state);
        match relay.timing {
            Timing::On(_) | Timing::Flash(_) => phase == DONE,
            Timing::Instant | Timing::Off(_) | Timing::Latch(_) => phase != IDLE,
        }
    }

    fn live(&self, state: Packed, source: usize) -> bool {
        match self.circuits[0].sources[source].behind {
            Some(operator) => self.acts(state, operator),
            None => self.mains.is_none_or(|k| self.inputs[k].field.get(state) == 1),
        }
    }

    /// Whether any supply is live.
    pub(crate) fn any_live(&self, state: Packed) -> bool {
        (0..self.circuits[0].sources.len()).any(|k| self.live(state, k))
    }

    /// Whether `input` switches a supply.
    pub(crate) fn is_supply(&self, input: usize) -> bool {
        let operator = self.inputs[input].operator;
        self.inputs[input].hand == Hand::Mains
            || (operator.is_some() && self.circuits[0].sources.iter().any(|s| s.behind == operator))
    }

    /// The coils that are on, one bit a winding.
    pub(crate) fn energised(&self, state: Packed, scratch: &mut Scratch) -> u128 {
        let circuit = &self.circuits[usize::from(self.fault_present(state))];
        circuit.energised(
            &mut scratch.joined,
            |contact| {
                let place = &self.plan.contacts[contact];
                self.acts(state, place.operator) != place.normally_closed
            },
            |source| self.live(state, source),
        )
    }

    /// The lamps that are lit, one bit a lamp.
    pub(crate) fn lit(&self, state: Packed, scratch: &mut Scratch) -> u128 {
        let circuit = &self.circuits[usize::from(self.fault_present(state))];
        circuit.lit(
            &mut scratch.joined,
            |contact| {
                let place = &self.plan.contacts[contact];
                self.acts(state, place.operator) != place.normally_closed
            },
            |source| self.live(state, source),
        )
    }

    /// The phase that relay `k` moves to with the coils `on`, if it is not there.
    pub(crate) fn relay_move(&self, state: Packed, on: u128, k: usize) -> Option<u128> {
        let relay = &self.relays[k];
        let coil = self.stuck(state, relay.operator).unwrap_or(on >> relay.winding & 1 == 1);
        let phase = relay.field.get(state);
        let wanted = match (relay.timing, coil) {
            (Timing::Instant, true) => RUNNING,
            (Timing::Instant | Timing::On(_) | Timing::Flash(_), false) => IDLE,
            // The contacts make first.
            (Timing::Flash(_), true) if phase == IDLE => DONE,
            (Timing::Flash(_), true) => phase,
            (Timing::Latch(reset), _) => match self.stuck(state, relay.operator) {
                Some(acted) => u128::from(acted),
                // Against each other the windings move nothing.
                None => match (coil, on >> reset & 1 == 1) {
                    (true, false) => RUNNING,
                    (false, true) => IDLE,
                    _ => phase,
                },
            },
            (Timing::On(_), true) => phase.max(RUNNING),
            (Timing::Off(_), true) => DONE,
            (Timing::Off(_), false) => phase.min(RUNNING),
        };
        (wanted != phase).then_some(wanted)
    }

    /// The states that relay `k` may bring about by moving to `phase`: more than one where pulses of
    /// a counter are not told apart.
    pub(crate) fn relay_moved(&self, state: Packed, k: usize, phase: u128) -> [Option<Packed>; 2] {
        let relay = &self.relays[k];
        let mut next = relay.field.set(state, phase);
        let mut other = None;
        if relay.field.get(state) == IDLE && phase != IDLE {
            for counter in &self.counters {
                let count = counter.field.get(next);
                if counter.reset == relay.operator {
                    next = counter.field.set(next, 0);
                } else if counter.pulse == relay.operator
                    && count < counter.full
                    && !self.acts(state, counter.reset)
                {
                    if counter.coarse {
                        other = Some(counter.field.set(next, counter.full));
                        next = counter.field.set(next, 1);
                    } else {
                        next = counter.field.set(next, count + 1);
                    }
                }
            }
        }
        [Some(next), other]
    }

    /// Whether every relay is where its coil wants it; timers may run.
    pub(crate) fn is_settled(&self, state: Packed, on: u128) -> bool {
        (0..self.relays.len()).all(|k| self.relay_move(state, on, k).is_none())
    }

    /// The phase a running timer ends in.
    pub(crate) fn timer_end(&self, state: Packed, k: usize) -> Option<u128> {
        let relay = &self.relays[k];
        match relay.timing {
            Timing::On(_) if relay.field.get(state) == RUNNING => Some(DONE),
            Timing::Off(_) if relay.field.get(state) == RUNNING => Some(IDLE),
            Timing::Flash(_) if relay.field.get(state) == RUNNING => Some(DONE),
            Timing::Flash(_) if relay.field.get(state) == DONE => Some(RUNNING),
            _ => None,
        }
    }

    /// Position of spool `k`.
    pub(crate) fn spool_at(&self, state: Packed, k: usize) -> i8 {
        self.spools[k].field.get(state) as i8 - 1
    }

    /// Where spool `k` goes with the coils `on`, if it is not there. With both coils on it stays:
    /// the coil that came first holds the other off. A main stage goes where the end that a source
    /// reaches drives it, whatever pressure is left there.
    pub(crate) fn spool_target(&self, state: Packed, on: u128, k: usize) -> Option<i8> {
        let spool = &self.spools[k];
        if self.fault == Some(Fault::SpoolStuck(spool.id)) && self.fault_present(state) {
            return None;
        }
        let is_on = |w: Option<usize>| w.is_some_and(|w| on >> w & 1 == 1);
        let at = self.spool_at(state, k);
        let (a, b) = if spool.pilots.is_empty() {
            (is_on(spool.a), is_on(spool.b))
        } else {
            let (spools, runs) = (|s| self.spool_at(state, s), |p| self.pump_runs(state, p));
            let supplied = self.fluid.supplied(spools, runs);
            let pushed = |way: bool| spool.pilots.iter().any(|(v, to)| *to == way && supplied[*v]);
            match (pushed(true), pushed(false)) {
                // Pressure on both ends lets the springs decide.
                (true, true) => (false, false),
                pushed => pushed,
            }
        };
        let target = match (a, b, spool.rest) {
            (true, true, _) => at,
            (true, false, _) => 1,
            (false, true, Rest::Offset) => 0,
            (false, true, _) => -1,
            (false, false, Rest::Detented) => at,
            (false, false, _) => 0,
        };
        (target != at).then_some(target)
    }

    /// Whether pump `p` runs.
    pub(crate) fn pump_runs(&self, state: Packed, p: usize) -> bool {
        self.plan.pumps[p].run_by.iter().all(|&o| self.acts(state, o))
    }

    fn drive_key(&self, state: Packed) -> u128 {
        let mut key = 0;
        for spool in &self.spools {
            key = key << 2 | spool.field.get(state);
        }
        for p in 0..self.plan.pumps.len() {
            key = key << 1 | u128::from(self.pump_runs(state, p));
        }
        key
    }

    /// Where each piston may move, and which volumes a source reaches.
    pub(crate) fn motions<'s>(
        &self,
        state: Packed,
        scratch: &'s mut Scratch,
    ) -> &'s (Vec<u8>, Vec<bool>) {
        scratch.motions.entry(self.drive_key(state)).or_insert_with(|| {
            let (at, runs) = (|s| self.spool_at(state, s), |p| self.pump_runs(state, p));
            (self.fluid.motions(at, runs), self.fluid.supplied(at, runs))
        })
    }

    /// Hand operators that are there to stop: emergency stops, and buttons all of whose contacts
    /// are normally closed.
    pub(crate) fn stops(&self) -> Vec<usize> {
        (0..self.inputs.len())
            .filter(|&k| {
                let Some(operator) = self.inputs[k].operator else { return false };
                let contacts = &self.plan.operators[operator.index()].contacts;
                let breaks = !contacts.is_empty()
                    && contacts.iter().all(|c| self.plan.contacts[c.index()].normally_closed);
                match self.inputs[k].hand {
                    Hand::EmergencyStop => !contacts.is_empty(),
                    Hand::Button => breaks,
                    _ => false,
                }
            })
            .collect()
    }
}

fn hand_of(plan: &Plan, operator: OperatorId) -> Hand {
    let part = plan
        .parts
        .iter()
        .find(|p| p.elements.iter().any(|(_, e)| *e == crate::plant::Element::Operator(operator)));
    match part.map(|p| p.class) {
        Some("EmergencyStop") => Hand::EmergencyStop,
        Some("Selector" | "CircuitBreaker") => Hand::Selector,
        Some("Isolator") => Hand::Isolator,
        _ => Hand::Button,
    }
}

fn limit(what: &'static str, count: usize, limit: usize) -> Result<(), InterlockError> {
    if count > limit { Err(InterlockError::TooMany { what, count, limit }) } else { Ok(()) }
}
