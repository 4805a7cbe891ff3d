//! What must hold of an interlock, and what was found of it.

use crate::base::{OperatorId, PistonId, PumpId, SpoolId, WindingId};
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
    /// What starts, in words.
    fn describe(&self, plan: &Plan) -> String {
        match *self {
            Output::Coil(w) => format!("{} stays off", plan.windings[w.index()].name),
            Output::Pump(p) => format!("{} does not start", plan.pumps[p.index()].name),
            Output::Axis(p) => format!("{} does not move", plan.pistons[p.index()].name),
            Output::Relay(o) => format!("{} stays out", plan.operators[o.index()].name),
        }
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
    /// What it demands, in words.
    #[must_use]
    pub fn describe(&self, plan: &Plan) -> String {
        match *self {
            Property::NotBothCoils { spool, settled: false } => {
                format!("the coils of {} are never both on", plan.spools[spool.index()].name)
            }
            Property::NotBothCoils { spool, settled: true } => format!(
                "the coils of {} are never both on once the relays have settled",
                plan.spools[spool.index()].name
            ),
            Property::OutWithoutSupply => "without supply every relay is out".to_owned(),
            Property::SafeWithoutSupply { piston, safe } => {
                let what = match safe {
                    SafeState::Held => "stands still",
                    SafeState::In => "moves at most in",
                    SafeState::Out => "moves at most out",
                };
                format!("without supply {} {what}", plan.pistons[piston.index()].name)
            }
            Property::NoRestart { output } => format!(
                "{} when the supply returns or an emergency stop is released",
                output.describe(plan)
            ),
            Property::StopDominates { stop } => {
                let name = &plan.operators[stop.index()].name;
                format!("while {name} is held, what it switches off stays off")
            }
            Property::NoBuzzing => "the relays come to rest".to_owned(),
            Property::NoRace => "the order in which relays move does not matter".to_owned(),
            Property::Reachable => "everything can be reached".to_owned(),
            Property::NoTrap => "the start can be reached again from everywhere".to_owned(),
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
    Missing(Vec<String>),
    /// Not broken in what was explored, but not everything was.
    Undecided,
    /// It does not apply, or was not checked, and why.
    Moot(String),
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
    pub fn extent(&self) -> String {
        let InterlockReport { states, transitions, depth, .. } = self;
        if self.exhausted {
            format!("all {states} states, {transitions} transitions, depth {depth}")
        } else {
            format!("explored {states} states to depth {depth}, not exhausted")
        }
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
