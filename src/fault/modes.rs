//! What a fault mode is, and which modes are credible for a part.

use std::fmt::Write;

use crate::base::PartId;
use crate::electric::Suppressor;
use crate::fluid::{FlowLaw, Medium};
use crate::plant::{BranchRole, Delay, Element, Feedback, Plan, Tie, Trigger};
use crate::shift::Rest;

use super::effect::Act;
use super::table::TABLE;

/// Kind of element that a mode belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A winding, with what lies across it.
    Winding,
    /// A contact.
    Contact,
    /// A wire.
    Wire,
    /// Insulation to earth.
    Insulation,
    /// A fuse.
    Fuse,
    /// A thermal and magnetic release.
    Release,
    /// A transformer.
    Transformer,
    /// A rectifier bridge.
    Rectifier,
    /// A motor with its overload relay.
    Overload,
    /// The armature of a latching relay.
    Latch,
    /// A counter's works.
    Counter,
    /// A lamp.
    Lamp,
    /// A supply.
    Supply,
    /// Any other resistance.
    Resistor,
    /// A relay armature, timed or not.
    Armature,
    /// A hand-operated head.
    Head,
    /// A cam.
    Cam,
    /// A pressure sensing element.
    Bellows,
    /// A valve spool with its springs, override and plugs.
    Spool,
    /// A valve member that only springs and pressures move.
    Balance,
    /// One flow path of a valve.
    Path,
    /// A relief valve.
    Relief,
    /// A check valve.
    Check,
    /// A throttle.
    Throttle,
    /// A throttle with a bypass check.
    ThrottleCheck,
    /// A leakage path.
    Leak,
    /// A pump.
    Pump,
    /// A hydraulic motor with its load.
    Motor,
    /// The gears of a flow transducer.
    Meter,
    /// A pump's drive.
    Drive,
    /// A piston with its rod and load.
    Piston,
    /// An accumulator.
    Accumulator,
    /// A volume of oil.
    Oil,
    /// A main of compressed air.
    Main,
    /// A passage for air: tube, supply outlet, silencer.
    Passage,
    /// The wall of an air tube.
    Wall,
    /// The wall of a hose.
    Hose,
    /// A pressure regulator for air.
    Regulator,
    /// A poppet that a difference of pressures opens.
    Poppet,
    /// A slow-start valve.
    SlowStart,
    /// A vacuum ejector.
    Ejector,
    /// An amplifier of a proportional valve, with its transducer.
    Amplifier,
    /// An output stage of a controller.
    Output,
    /// The processor of a controller.
    Processor,
}

impl Kind {
    /// What it is called in the guide.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Kind::Winding => "Winding",
            Kind::Contact => "Contact",
            Kind::Wire => "Wire",
            Kind::Insulation => "Insulation to earth",
            Kind::Fuse => "Fuse",
            Kind::Release => "Release of a circuit breaker",
            Kind::Transformer => "Transformer",
            Kind::Rectifier => "Rectifier",
            Kind::Overload => "Motor and overload relay",
            Kind::Latch => "Latching armature",
            Kind::Counter => "Counter",
            Kind::Lamp => "Lamp",
            Kind::Supply => "Supply",
            Kind::Resistor => "Resistor",
            Kind::Armature => "Relay armature",
            Kind::Head => "Hand-operated head",
            Kind::Cam => "Limit switch cam",
            Kind::Bellows => "Pressure switch bellows",
            Kind::Spool => "Valve spool",
            Kind::Balance => "Spring-loaded valve member",
            Kind::Path => "Valve flow path",
            Kind::Relief => "Relief",
            Kind::Check => "Check",
            Kind::Throttle => "Throttle",
            Kind::ThrottleCheck => "Throttle with check",
            Kind::Leak => "Leakage path",
            Kind::Pump => "Pump",
            Kind::Motor => "Hydraulic motor",
            Kind::Meter => "Gears of a flow transducer",
            Kind::Drive => "Pump drive",
            Kind::Piston => "Piston and load",
            Kind::Accumulator => "Accumulator",
            Kind::Oil => "Oil",
            Kind::Main => "Compressed-air main",
            Kind::Passage => "Passage for air",
            Kind::Wall => "Wall of an air tube",
            Kind::Hose => "Wall of a hose",
            Kind::Regulator => "Air pressure regulator",
            Kind::Poppet => "Pressure-operated poppet",
            Kind::SlowStart => "Slow-start valve",
            Kind::Ejector => "Vacuum ejector",
            Kind::Amplifier => "Amplifier of a proportional valve",
            Kind::Output => "Controller output",
            Kind::Processor => "Controller",
        }
    }
}

/// What mends a fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Repair {
    /// A new part.
    Replace,
    /// A setting put right.
    Adjust,
    /// A connection put right.
    Rewire,
    /// Dirt taken out.
    Clean,
    /// Something let go.
    Release,
}

impl Repair {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Repair::Replace => "replace",
            Repair::Adjust => "adjust",
            Repair::Rewire => "rewire",
            Repair::Clean => "clean",
            Repair::Release => "release",
        }
    }
}

/// How bad a fault can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeveritySpec {
    /// What the number means.
    pub meaning: &'static str,
    /// Its unit; `1` for a ratio.
    pub unit: &'static str,
    /// Value when none is given.
    pub default: f64,
    /// Least value.
    pub min: f64,
    /// Greatest value.
    pub max: f64,
}

/// A fault mode of one kind of element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModeSpec {
    /// Kind of element it belongs to.
    pub kind: Kind,
    /// Its name in scenarios and scripts, unique for its kind.
    pub id: &'static str,
    /// What it is called.
    pub title: &'static str,
    /// What it does physically.
    pub effect: &'static str,
    /// What a learner meets.
    pub symptom: &'static str,
    /// How bad it can be, if it has degrees.
    pub severity: Option<SeveritySpec>,
    /// What mends it.
    pub repair: Repair,
    /// Relative frequency [1], > 0. Common practice, no source.
    pub prior: f64,
    /// Modes of one group look alike until something is measured.
    pub group: &'static str,
    pub(super) act: Act,
}

/// All credible modes of `part`, each with the role and the element that it applies to.
#[must_use]
pub fn modes_of(plan: &Plan, part: PartId) -> Vec<(&'static ModeSpec, String, Element)> {
    let mut found = Vec::new();
    let Some(place) = plan.parts.get(part.index()) else {
        return found;
    };
    for (role, element) in &place.elements {
        let Some(kind) = kind_of(plan, *element) else {
            continue;
        };
        for spec in TABLE {
            if spec.kind == kind && credible(plan, *element, spec.act) {
                found.push((spec, role.clone(), *element));
            }
        }
    }
    found
}

/// The mode of `part` that `words` name, such as `open`, `Stuck made` or `never-closes 21-22`: its id,
/// or its id and a role.
#[must_use]
pub fn mode_named(plan: &Plan, part: PartId, words: &str) -> Option<&'static str> {
    let words = words.trim().to_lowercase().replace([' ', '_'], "-");
    let ids = modes_of(plan, part).into_iter().map(|(spec, ..)| spec.id);
    // The longest that fits: one id may begin with another.
    ids.filter(|id| {
        words == *id || words.strip_prefix(id).is_some_and(|rest| rest.starts_with('-'))
    })
    .max_by_key(|id| id.len())
}

/// The kind of `element`; `None` for what has no modes of its own.
fn kind_of(plan: &Plan, element: Element) -> Option<Kind> {
    Some(match element {
        Element::Branch(id) => match plan.branches[id.index()].role {
            BranchRole::Wire => Kind::Wire,
            BranchRole::Source => Kind::Supply,
            BranchRole::Lamp => Kind::Lamp,
            BranchRole::Resistor => Kind::Resistor,
            BranchRole::Insulation => Kind::Insulation,
            // These are elements themselves.
            BranchRole::Capacitance => return None,
            BranchRole::Contact(_) | BranchRole::Fuse(_) | BranchRole::Iron(_) => return None,
            BranchRole::Transformer(..) | BranchRole::Load(_) | BranchRole::Feed(_) => return None,
        },
        Element::Contact(_) => Kind::Contact,
        Element::Winding(_) => Kind::Winding,
        Element::Operator(id) => match plan.operators[id.index()].tie {
            Tie::Hand => Kind::Head,
            Tie::Winding(_) | Tie::Both(..) => Kind::Armature,
            Tie::Latch(..) => Kind::Latch,
            Tie::Count(..) => Kind::Counter,
            Tie::Piston(_) => Kind::Cam,
            Tie::Volume(_) | Tie::Across(..) => Kind::Bellows,
            Tie::Program(_) => Kind::Output,
        },
        Element::Fuse(id) if plan.fuses[id.index()].trips.is_some() => Kind::Release,
        Element::Fuse(_) => Kind::Fuse,
        Element::Transformer(_) => Kind::Transformer,
        Element::Rectifier(_) => Kind::Rectifier,
        Element::Overload(_) => Kind::Overload,
        Element::Volume(id) => match plan.nominal.volumes[id.index()].medium {
            Medium::Oil { .. } => Kind::Oil,
            Medium::Air { .. } if plan.nominal.held_pa[id.index()] > 0.0 => Kind::Main,
            Medium::Air { .. } => return None,
        },
        Element::Flow(id) => match plan.nominal.flows[id.index()] {
            FlowLaw::Shut => return None,
            FlowLaw::Gate(_) => Kind::Throttle,
            FlowLaw::Sonic(path) if path.conductance == 0.0 => Kind::Wall,
            FlowLaw::Sonic(_) => Kind::Passage,
            FlowLaw::SonicPoppet(..) => Kind::Poppet,
            FlowLaw::Regulator(..) => Kind::Regulator,
            FlowLaw::SlowStart(..) => Kind::SlowStart,
            FlowLaw::Ejector(_) => Kind::Ejector,
            FlowLaw::Spool(..) | FlowLaw::SonicSpool(..) => Kind::Path,
            FlowLaw::Relief(_) => Kind::Relief,
            FlowLaw::Check(..) => Kind::Check,
            FlowLaw::ThrottleCheck(..) | FlowLaw::SonicCheck(..) => Kind::ThrottleCheck,
            FlowLaw::Pump(_) => Kind::Pump,
            FlowLaw::Motor(_) if plan.motors.iter().any(|m| m.meter && m.flow == id) => Kind::Meter,
            FlowLaw::Motor(_) => Kind::Motor,
            FlowLaw::Leak(0.0) => Kind::Hose,
            FlowLaw::Leak(_) => Kind::Leak,
        },
        Element::Spool(id) if plan.spools[id.index()].modulates => Kind::Balance,
        Element::Spool(_) => Kind::Spool,
        Element::Piston(_) => Kind::Piston,
        Element::Pump(_) => Kind::Drive,
        Element::Accumulator(_) => Kind::Accumulator,
        Element::Plc(_) => Kind::Processor,
        Element::Amplifier(_) => Kind::Amplifier,
    })
}

/// Whether `act` makes sense for this very element.
fn credible(plan: &Plan, element: Element, act: Act) -> bool {
    match (act, element) {
        (Act::DiodeReversed | Act::DiodeShorted | Act::DiodeOpen, Element::Winding(id)) => {
            plan.nominal.suppressors[id.index()].iter().any(|s| matches!(s, Suppressor::Diode(..)))
        }
        (Act::TimerMisset, Element::Operator(id)) => matches!(
            plan.nominal.operators[id.index()].trigger,
            Trigger::Armature { delay: Delay::On(_) | Delay::Off(_) | Delay::Flash(_), .. }
        ),
        (Act::ContactWelded, Element::Contact(id)) => !plan.contacts[id.index()].direct,
        (Act::Detached, Element::Operator(id)) => !plan.operators[id.index()].contacts.is_empty(),
        (Act::SpringBroken, Element::Spool(id)) => {
            plan.nominal.spools[id.index()].rest != Rest::Detented
        }
        (Act::DetentWorn, Element::Spool(id)) => {
            plan.nominal.spools[id.index()].rest == Rest::Detented
        }
        (Act::SpoolLeak, Element::Spool(id)) => !plan.spools[id.index()].paths.is_empty(),
        (Act::OverrideA, Element::Spool(id)) => plan.nominal.spools[id.index()].hand_n != 0.0,
        (Act::OverrideB, Element::Spool(id)) => {
            let make = &plan.nominal.spools[id.index()];
            make.rest != Rest::Offset && make.hand_n != 0.0
        }
        (Act::BladderBurst, Element::Accumulator(id)) => plan.nominal.seals[id.index()].is_none(),
        (Act::GasFlooded | Act::SealStiff | Act::PistonStuck, Element::Accumulator(id)) => {
            plan.nominal.seals[id.index()].is_some()
        }
        (Act::SpringFactor, Element::Spool(id)) => plan.nominal.spools[id.index()].preload_n > 0.0,
        (Act::Transducer, Element::Amplifier(id)) => {
            matches!(plan.amplifiers[id.index()].feedback, Some(Feedback::Position(_)))
        }
        (Act::TransducerSilent, Element::Amplifier(id)) => {
            plan.amplifiers[id.index()].feedback.is_some()
        }
        (Act::TransducerShare, Element::Amplifier(id)) => {
            matches!(plan.amplifiers[id.index()].feedback, Some(Feedback::Speed(_)))
        }
        (Act::NullShift, Element::Amplifier(id)) => plan.nominal.amplifiers[id.index()].servo,
        (Act::CushionGone, Element::Piston(id)) => {
            plan.nominal.pistons[id.index()].cushions.iter().any(|c| c.length_m > 0.0)
        }
        (Act::PlugsSwapped, Element::Spool(id)) => {
            let spool = &plan.spools[id.index()];
            spool.a.is_some() && spool.b.is_some()
        }
        _ => true,
    }
}

/// All modes by kind of element, as a table in Markdown.
#[must_use]
pub fn guide_table() -> String {
    let mut text = String::new();
    let mut last = None;
    for spec in TABLE {
        if last != Some(spec.kind) {
            let gap = if last.is_some() { "\n" } else { "" };
            // Writing to a string cannot fail.
            let _ = write!(
                text,
                "{gap}### {}\n\n| Mode | What it is | Effect | What is met | Severity | Repair |\n|---|---|---|---|---|---|\n",
                spec.kind.title()
            );
            last = Some(spec.kind);
        }
        let severity = spec.severity.map_or_else(
            || "-".to_owned(),
            |s| {
                let unit = if s.unit == "1" { String::new() } else { format!(" {}", s.unit) };
                format!(
                    "{}: {} to {}{unit}, {}{unit} if not given",
                    s.meaning, s.min, s.max, s.default
                )
            },
        );
        let _ = writeln!(
            text,
            "| `{}` | {} | {} | {} | {severity} | {} |",
            spec.id,
            spec.title,
            spec.effect,
            spec.symptom,
            spec.repair.word()
        );
    }
    text
}
