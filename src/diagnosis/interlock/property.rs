//! What must hold of an interlock, and what was found of it.

use crate::base::{OperatorId, PistonId, PumpId, SpoolId, WindingId};
use crate::language::Phrase;
use crate::plant::Plan;

use super::story::Counterexample;

/// What an axis does, as declared, once the supply is off and the spools have come to rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SafeState {
    /// It cannot move.
    Held,
    /// It may move in, not out.
    In,
    /// It may move out, not in.
    Out,
}

/// What can start by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Output {
    /// The coil of a valve comes on.
    Coil(WindingId),
    /// A pump starts.
    Pump(PumpId),
    /// An axis may move where it could not before.
    Axis(PistonId),
    /// A relay picks up. One that only says that the supply is healthy does so by design.
    Relay(OperatorId),
}

impl Output {
    /// That it does not start, without a language yet.
    fn tell(&self, plan: &Plan) -> Phrase {
        let (id, name) = match *self {
            Output::Coil(w) => ("interlock-coil-stays", &plan.windings[w.index()].name),
            Output::Pump(p) => ("interlock-pump-stays", &plan.pumps[p.index()].name),
            Output::Axis(p) => ("interlock-axis-stays", &plan.pistons[p.index()].name),
            Output::Relay(o) => ("interlock-relay-stays", &plan.operators[o.index()].name),
        };
        Phrase::new(id).with("part", name.as_str())
    }
}

/// What is to be checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Property {
    /// The coils of this valve are never both on: not even while relays move, or with `settled`
    /// only once they have.
    NotBothCoils {
        /// The valve.
        spool: SpoolId,
        /// Judged only where the relays have settled.
        settled: bool,
    },
    /// With every supply off, every relay is out.
    OutWithoutSupply,
    /// With every supply off and the spools at rest, this axis is in its declared safe state.
    SafeWithoutSupply {
        /// The axis.
        piston: PistonId,
        /// What was declared.
        safe: SafeState,
    },
    /// When the supply returns or an emergency stop is released, with every push-button at rest,
    /// this does not start by itself.
    NoRestart {
        /// What must not start.
        output: Output,
    },
    /// While this stop is held, whatever it can switch off stays off.
    StopDominates {
        /// The stop.
        stop: OperatorId,
    },
    /// The relays come to rest when no hand moves.
    NoBuzzing,
    /// Where the relays come to rest does not hang on the order in which they move.
    NoRace,
    /// Everything can be reached: relays picked up, coils on, spool positions, piston ends.
    Reachable,
    /// The start can be reached again from everywhere.
    NoTrap,
}

impl Property {
    /// What it demands, in English.
    #[must_use]
    pub fn describe(&self, plan: &Plan) -> String {
        self.tell(plan).to_string()
    }

    /// What it demands, without a language yet.
    #[must_use]
    pub fn tell(&self, plan: &Plan) -> Phrase {
        let of = |id: &'static str, part: &str| Phrase::new(id).with("part", part);
        match *self {
            Property::NotBothCoils { spool, settled } => {
                let id = if settled { "interlock-both-settled" } else { "interlock-both" };
                of(id, &plan.spools[spool.index()].name)
            }
            Property::OutWithoutSupply => Phrase::new("interlock-all-out"),
            Property::SafeWithoutSupply { piston, safe } => {
                let id = match safe {
                    SafeState::Held => "interlock-safe-held",
                    SafeState::In => "interlock-safe-in",
                    SafeState::Out => "interlock-safe-out",
                };
                of(id, &plan.pistons[piston.index()].name)
            }
            Property::NoRestart { output } => {
                Phrase::new("interlock-no-restart").with("output", output.tell(plan))
            }
            Property::StopDominates { stop } => {
                of("interlock-stop", &plan.operators[stop.index()].name)
            }
            Property::NoBuzzing => Phrase::new("interlock-rests"),
            Property::NoRace => Phrase::new("interlock-no-race"),
            Property::Reachable => Phrase::new("interlock-reachable"),
            Property::NoTrap => Phrase::new("interlock-no-trap"),
        }
    }
}

/// What was found. All of it holds of the discrete model only.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// Every reachable state was seen, and it holds.
    Holds,
    /// It does not hold; a shortest way to break it.
    Broken(Box<Counterexample>),
    /// It does not hold, and there is no single way to show it: what cannot be reached.
    Missing(Vec<Phrase>),
    /// Not broken in what was explored, but not everything was.
    Undecided,
    /// It does not apply, or was not checked, and why.
    Moot(Phrase),
}

/// A property with what was found of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The property.
    pub property: Property,
    /// What was found.
    pub verdict: Verdict,
}

/// What an exploration found.
#[derive(Clone, Debug, PartialEq)]
pub struct InterlockReport {
    /// Findings, in a fixed order.
    pub findings: Vec<Finding>,
    /// States reached.
    pub states: usize,
    /// Moves between them that were tried.
    pub transitions: u64,
    /// Most moves on a shortest way from the start.
    pub depth: usize,
    /// Every reachable state was seen.
    pub exhausted: bool,
}

impl InterlockReport {
    /// How far the exploration went, in one line.
    #[must_use]
    pub fn extent(&self) -> Phrase {
        let id = if self.exhausted { "interlock-extent" } else { "interlock-extent-cut" };
        Phrase::new(id)
            .with("states", self.states.to_string())
            .with("transitions", self.transitions.to_string())
            .with("depth", self.depth.to_string())
    }

    /// What was found of `property`.
    #[must_use]
    pub fn verdict(&self, property: Property) -> Option<&Verdict> {
        self.findings.iter().find(|f| f.property == property).map(|f| &f.verdict)
    }

    /// The counterexample to `property`, if there is one.
    #[must_use]
    pub fn counterexample(&self, property: Property) -> Option<&Counterexample> {
        match self.verdict(property) {
            Some(Verdict::Broken(c)) => Some(c),
            _ => None,
        }
    }
}
