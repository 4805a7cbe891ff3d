//! A way through the model in plain words, and as the actions that replay it.

use crate::base::{OperatorId, PistonId, SimTime, SpoolId};
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
    /// The same in words, with the coils that come on or go off.
    pub text: String,
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
    /// The steps as numbered lines.
    #[must_use]
    pub fn text(&self, plan: &Plan) -> String {
        let mut text = format!("{}\n", self.property.describe(plan));
        if let Some(fault) = self.fault {
            text.push_str(&format!("with one fault: {}\n", fault.describe(plan)));
        }
        for (k, step) in self.steps.iter().enumerate() {
            text.push_str(&format!("{}. {}\n", k + 1, step.text));
        }
        if !self.then.is_empty() {
            text.push_str(match self.property {
                Property::NoRace => "or, in another order:\n",
                _ => "and again and again:\n",
            });
            for (k, step) in self.then.iter().enumerate() {
                text.push_str(&format!("{}. {}\n", self.steps.len() + k + 1, step.text));
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
        if let Some((happens, mut text)) = step(model, by, after) {
            let was = model.energised(before, &mut scratch);
            let is = model.energised(after, &mut scratch);
            let name = |w: usize| match model.plan.windings[w].moves {
                crate::plant::Moves::Spool(..) => model.plan.windings[w].name.clone(),
                _ => format!("coil {}", model.plan.windings[w].name),
            };
            for w in 0..model.plan.windings.len() {
                match (was >> w & 1, is >> w & 1) {
                    (0, 1) => text.push_str(&format!("; {} on", name(w))),
                    (1, 0) => text.push_str(&format!("; {} off", name(w))),
                    _ => {}
                }
            }
            steps.push(Step { happens, text });
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

fn step(model: &Model, by: Move, after: Packed) -> Option<(Happens, String)> {
    let plan = model.plan;
    let operator = |id: OperatorId| titled(plan, &plan.operators[id.index()].name);
    Some(match by {
        Move::None => return None,
        Move::Input(k) => {
            let input = &model.inputs[usize::from(k)];
            let on = input.field.get(after) == 1;
            let Some(id) = input.operator else {
                let text = if on { "the supply returns" } else { "the supply fails" };
                return Some((Happens::Mains(on), text.to_owned()));
            };
            let name = operator(id);
            let text = match (input.hand, on) {
                (Hand::Button, true) => format!("press {name}"),
                (Hand::Button, false) => format!("let go of {name}"),
                (Hand::EmergencyStop, true) => format!("push in {name}"),
                (Hand::EmergencyStop, false) => format!("release {name}"),
                (Hand::Isolator, true) => format!("close {name}"),
                (Hand::Isolator, false) => format!("open {name}"),
                (_, true) => format!("turn {name} on"),
                (_, false) => format!("turn {name} off"),
            };
            (Happens::Operated(id, on), text)
        }
        Move::Relay(k) => {
            let relay = &model.relays[usize::from(k)];
            let (name, phase) = (operator(relay.operator), relay.field.get(after));
            let text = match (relay.timing, phase) {
                (Timing::On(_), RUNNING) => format!("{name} starts timing"),
                (Timing::Off(_), RUNNING) => format!("{name} starts timing its release"),
                (Timing::Latch(_), IDLE) => format!("{name} is reset"),
                (Timing::Latch(_), _) => format!("{name} is set"),
                (_, IDLE) => format!("{name} drops out"),
                _ => format!("{name} picks up"),
            };
            let acts = match relay.timing {
                Timing::Off(_) => phase > RUNNING,
                _ => phase != IDLE,
            };
            (Happens::Relay(relay.operator, acts), text)
        }
        Move::Together => (Happens::Together, "the relays follow all at once".to_owned()),
        Move::Timer(k) => {
            let relay = &model.relays[usize::from(k)];
            let acts = model.relay_acts(after, usize::from(k));
            let what = if acts { "its contacts act" } else { "its contacts return" };
            let verb = match relay.timing {
                Timing::Flash(_) => "flashes",
                _ => "has timed out",
            };
            let text = format!("{} {verb}, {what}", operator(relay.operator));
            (Happens::TimedOut(relay.operator, acts), text)
        }
        Move::Spool(k) => {
            let spool = &model.spools[usize::from(k)];
            let at = model.spool_at(after, usize::from(k));
            let to = match at {
                1 => "to a",
                -1 => "to b",
                _ => "to rest",
            };
            let name = titled(plan, &plan.spools[spool.id.index()].name);
            (Happens::Shifted(spool.id, at), format!("{name} shifts {to}"))
        }
        Move::Piston(k, out) => {
            let piston = &model.pistons[usize::from(k)];
            let region = piston.field.get(after) as usize;
            let name = titled(plan, &plan.pistons[piston.id.index()].name);
            let edge = |k: usize| piston.edges.get(k).copied().unwrap_or(0.0);
            let (from, to, text) = if region == 0 {
                (0.0, 0.0, format!("{name} reaches its retracted end"))
            } else if region >= piston.edges.len() {
                let end = edge(piston.edges.len() - 1);
                (end, end, format!("{name} reaches its extended end"))
            } else {
                let (from, to) = (edge(region - 1), edge(region));
                let way = if out { "out" } else { "in" };
                let (low, high) = (from * 1e3, to * 1e3);
                (from, to, format!("{name} moves {way} to between {low:.0} and {high:.0} mm"))
            };
            (Happens::Moved(piston.id, out, from, to), text)
        }
        Move::Pressure(k) => {
            let switch = &model.pressures[usize::from(k)];
            let acts = switch.field.get(after) == 1;
            let what = if acts { "acts" } else { "lets go" };
            (
                Happens::Pressure(switch.operator, acts),
                format!("{} {what}", operator(switch.operator)),
            )
        }
        Move::Fault => {
            let fault = model.fault?;
            (Happens::Fault(fault), format!("fault: {}", fault.describe(plan)))
        }
    })
}
