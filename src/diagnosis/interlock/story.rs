//! A way through the model in plain words, and as the actions that replay it.

use crate::base::{OperatorId, PistonId, SimTime, SpoolId};
use crate::language::{Phrase, Words};
use crate::plant::Plan;

use super::element::{Hand, IDLE, Packed, RUNNING, Timing};
use super::explore::Move;
use super::fault::Fault;
use super::model::{Model, Scratch};
use super::property::Property;

/// What happens in a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Happens {
    /// A hand operator is pressed or turned on (true), or let go or turned off.
    Operated(OperatorId, bool),
    /// The incoming supply returns (true) or fails.
    Mains(bool),
    /// A relay picks up or starts timing (true), or drops out or starts timing its release.
    Relay(OperatorId, bool),
    /// All relays that disagree with their coils follow at once.
    Together,
    /// A timer elapses; its contacts are now acted (true) or at rest.
    TimedOut(OperatorId, bool),
    /// A spool shifts to this position (-1, 0, +1).
    Shifted(SpoolId, i8),
    /// A piston moves out (true) or in, to between these positions [m].
    Moved(PistonId, bool, f64, f64),
    /// A pressure switch acts (true) or lets go.
    Pressure(OperatorId, bool),
    /// The fault arises.
    Fault(Fault),
}

/// A step of a counterexample.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What happens.
    pub happens: Happens,
    /// The same without a language yet.
    pub said: Phrase,
    /// The coils that come on or go off with it, likewise.
    pub coils: Vec<Phrase>,
}

impl Step {
    /// It with its coils, in `words`.
    #[must_use]
    pub fn text(&self, words: Words) -> String {
        words.phrase(&self.phrase())
    }

    /// It with its coils.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        Phrase::list(std::iter::once(&self.said).chain(&self.coils).cloned())
    }
}

/// Something done to the bench at a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Operate a hand operator.
    Operate(OperatorId, bool),
    /// Switch the incoming supply.
    Mains(bool),
    /// Put in a fault.
    Break(Fault),
}

/// An action with its time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TimedAction {
    /// When, counted from the start of the run.
    pub at: SimTime,
    /// What.
    pub action: Action,
}

/// A shortest way to break a property.
#[derive(Clone, Debug, PartialEq)]
pub struct Counterexample {
    /// What it breaks.
    pub property: Property,
    /// The fault assumed, if any; without a step that lets it arise it is there from the start.
    pub fault: Option<Fault>,
    /// The steps.
    pub steps: Vec<Step>,
    /// For a race: another order of the last steps, ending elsewhere. For a buzzing circuit: the
    /// cycle that repeats.
    pub then: Vec<Step>,
    /// Coils that are on after the steps and break the property; one bit a winding.
    pub(crate) end_coils: u128,
}

impl Counterexample {
    /// The property and the steps as numbered lines, in `words`.
    #[must_use]
    pub fn text(&self, plan: &Plan, words: Words) -> String {
        let mut text = format!("{}\n", words.phrase(&self.property.tell(plan)));
        if let Some(fault) = self.fault {
            let line = Phrase::new("interlock-with-fault").with("fault", fault.tell(plan));
            text.push_str(&format!("{}\n", words.phrase(&line)));
        }
        for (k, step) in self.steps.iter().enumerate() {
            text.push_str(&format!("{}. {}\n", k + 1, step.text(words)));
        }
        if !self.then.is_empty() {
            let id = match self.property {
                Property::NoRace => "interlock-other-order",
                _ => "interlock-again",
            };
            text.push_str(&format!("{}\n", words.say(id)));
            for (k, step) in self.then.iter().enumerate() {
                text.push_str(&format!("{}. {}\n", self.steps.len() + k + 1, step.text(words)));
            }
        }
        text
    }

    /// What hands do, at times that leave the machine time for everything in between: 0.3 s for
    /// relays, 0.5 s for a spool, the set time and a tenth for a timer, 10 s for a piston. A replay
    /// finds its own times.
    #[must_use]
    pub fn actions(&self, plan: &Plan) -> Vec<TimedAction> {
        let mut at = SimTime::from_millis(500);
        let mut list = Vec::new();
        let arises = self.steps.iter().any(|s| matches!(s.happens, Happens::Fault(_)));
        if let (Some(fault), false) = (self.fault, arises) {
            list.push(TimedAction { at: SimTime::ZERO, action: Action::Break(fault) });
        }
        for step in &self.steps {
            let (action, takes) = match step.happens {
                Happens::Operated(o, on) => (Some(Action::Operate(o, on)), 50),
                Happens::Mains(on) => (Some(Action::Mains(on)), 50),
                Happens::Fault(fault) => (Some(Action::Break(fault)), 50),
                Happens::Relay(..) | Happens::Together => (None, 300),
                Happens::Shifted(..) => (None, 500),
                Happens::TimedOut(o, _) => (None, 100 + delay_ms(plan, o)),
                Happens::Moved(..) | Happens::Pressure(..) => (None, 10_000),
            };
            list.extend(action.map(|action| TimedAction { at, action }));
            at += SimTime::from_millis(takes);
        }
        list
    }
}

/// Set time of the timer of `operator`, and a tenth [ms].
pub(crate) fn delay_ms(plan: &Plan, operator: OperatorId) -> u64 {
    use crate::plant::{Delay, Trigger};
    match plan.nominal.operators[operator.index()].trigger {
        Trigger::Armature { delay: Delay::On(t) | Delay::Off(t) | Delay::Flash(t), .. } => {
            t.as_nanos() / 10 * 11 / 1_000_000
        }
        _ => 0,
    }
}

/// Tells a way from `start`.
pub(crate) fn tell(model: &Model, start: Packed, way: &[(Move, Packed)]) -> Vec<Step> {
    let mut scratch = Scratch::default();
    let mut before = start;
    let mut steps = Vec::with_capacity(way.len());
    for &(by, after) in way {
        if let Some((happens, said)) = step(model, by, after) {
            let was = model.energised(before, &mut scratch);
            let is = model.energised(after, &mut scratch);
            let coil = |w: usize, on: bool| {
                let winding = &model.plan.windings[w];
                let id = match (&winding.moves, on) {
                    (crate::plant::Moves::Spool(..), true) => "story-solenoid-on",
                    (crate::plant::Moves::Spool(..), false) => "story-solenoid-off",
                    (_, true) => "story-coil-on",
                    (_, false) => "story-coil-off",
                };
                Phrase::new(id).with("part", winding.name.as_str())
            };
            let coils = (0..model.plan.windings.len())
                .filter(|w| (was ^ is) >> w & 1 == 1)
                .map(|w| coil(w, is >> w & 1 == 1))
                .collect();
            steps.push(Step { happens, said, coils });
        }
        before = after;
    }
    steps
}

fn titled(plan: &Plan, name: &str) -> String {
    match plan.part(name).map(|p| plan.parts[p.index()].title.as_str()) {
        Some(title) if !title.is_empty() => format!("{name} ({title})"),
        _ => name.to_owned(),
    }
}

fn step(model: &Model, by: Move, after: Packed) -> Option<(Happens, Phrase)> {
    let plan = model.plan;
    let of = |id: &'static str, name: &str| Phrase::new(id).with("part", titled(plan, name));
    let operator = |id: OperatorId| plan.operators[id.index()].name.as_str();
    Some(match by {
        Move::None => return None,
        Move::Input(k) => {
            let input = &model.inputs[usize::from(k)];
            let on = input.field.get(after) == 1;
            let Some(id) = input.operator else {
                let text = if on { "story-supply-returns" } else { "story-supply-fails" };
                return Some((Happens::Mains(on), Phrase::new(text)));
            };
            let text = match (input.hand, on) {
                (Hand::Button, true) => "story-press",
                (Hand::Button, false) => "story-let-go",
                (Hand::EmergencyStop, true) => "story-push-in",
                (Hand::EmergencyStop, false) => "story-release",
                (Hand::Isolator, true) => "story-close",
                (Hand::Isolator, false) => "story-open",
                (_, true) => "story-turn-on",
                (_, false) => "story-turn-off",
            };
            (Happens::Operated(id, on), of(text, operator(id)))
        }
        Move::Relay(k) => {
            let relay = &model.relays[usize::from(k)];
            let phase = relay.field.get(after);
            let text = match (relay.timing, phase) {
                (Timing::On(_), RUNNING) => "story-starts-timing",
                (Timing::Off(_), RUNNING) => "story-times-release",
                (Timing::Latch(_), IDLE) => "event-reset",
                (Timing::Latch(_), _) => "event-set",
                (_, IDLE) => "event-drops-out",
                _ => "event-picks-up",
            };
            let acts = match relay.timing {
                Timing::Off(_) => phase > RUNNING,
                _ => phase != IDLE,
            };
            (Happens::Relay(relay.operator, acts), of(text, operator(relay.operator)))
        }
        Move::Together => (Happens::Together, Phrase::new("story-together")),
        Move::Timer(k) => {
            let relay = &model.relays[usize::from(k)];
            let acts = model.relay_acts(after, usize::from(k));
            let text = match (relay.timing, acts) {
                (Timing::Flash(_), true) => "story-flashes-acts",
                (Timing::Flash(_), false) => "story-flashes-returns",
                (_, true) => "story-timed-acts",
                (_, false) => "story-timed-returns",
            };
            (Happens::TimedOut(relay.operator, acts), of(text, operator(relay.operator)))
        }
        Move::Spool(k) => {
            let spool = &model.spools[usize::from(k)];
            let at = model.spool_at(after, usize::from(k));
            let text = match at {
                1 => "story-shifts-a",
                -1 => "story-shifts-b",
                _ => "story-shifts-rest",
            };
            (Happens::Shifted(spool.id, at), of(text, &plan.spools[spool.id.index()].name))
        }
        Move::Piston(k, out) => {
            let piston = &model.pistons[usize::from(k)];
            let region = piston.field.get(after) as usize;
            let name = plan.pistons[piston.id.index()].name.as_str();
            let edge = |k: usize| piston.edges.get(k).copied().unwrap_or(0.0);
            let (from, to, text) = if region == 0 {
                (0.0, 0.0, of("story-reaches-retracted", name))
            } else if region >= piston.edges.len() {
                let end = edge(piston.edges.len() - 1);
                (end, end, of("story-reaches-extended", name))
            } else {
                let (from, to) = (edge(region - 1), edge(region));
                let text = of(if out { "story-moves-out" } else { "story-moves-in" }, name);
                let mm = |m: f64| format!("{:.0}", m * 1e3);
                (from, to, text.with("low", mm(from)).with("high", mm(to)))
            };
            (Happens::Moved(piston.id, out, from, to), text)
        }
        Move::Pressure(k) => {
            let switch = &model.pressures[usize::from(k)];
            let acts = switch.field.get(after) == 1;
            let text =
                of(if acts { "event-acts" } else { "story-lets-go" }, operator(switch.operator));
            (Happens::Pressure(switch.operator, acts), text)
        }
        Move::Fault => {
            let fault = model.fault?;
            (Happens::Fault(fault), Phrase::new("story-fault").with("fault", fault.tell(plan)))
        }
    })
}
