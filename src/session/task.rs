//! An action with every name looked up: what the session then does cannot fail for a name.

use crate::base::{
    AccumulatorId, AmplifierId, BranchId, FlowId, FuseId, NodeId, OperatorId, OverloadId, PartId,
    PistonId, SimTime, SpoolId, VolumeId, nearest,
};
use crate::fault::{mode_named, modes_of};
use crate::fluid::FlowLaw;
use crate::language::Phrase;
use crate::plant::{BranchRole, Delay, Element, Plan, Tie, Trigger};
use crate::quantity::{Dimension, parse, parse_duration};
use crate::shift::Hand;

use super::action::{Action, Finger, Position, Side};
use super::instrument::{GAUGE_RANGES, Through};
use super::isolation::is_isolator;
use super::lead;
use super::refusal::{ActError, unreadable};

/// What is done, in indices.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Task {
    /// A head goes down for a moment; with `latches` it stays.
    Press {
        operator: OperatorId,
        latches: bool,
    },
    /// Both heads at once.
    Both(OperatorId, OperatorId),
    Hand {
        operator: OperatorId,
        acting: bool,
    },
    Isolator {
        part: PartId,
        operator: OperatorId,
        close: bool,
    },
    Wait(SimTime),
    Look(PartId),
    Listen(PartId),
    Feel(PartId),
    FeelPort(VolumeId),
    Plate(PartId),
    Meter {
        function: Function,
        red: NodeId,
        black: NodeId,
    },
    Clamp(Vec<Through>),
    Gauge {
        volume: VolumeId,
        /// The gas side of an accumulator, not its oil.
        gas: Option<AccumulatorId>,
        range_bar: Option<u32>,
    },
    Temperature(PartId),
    Override {
        spool: SpoolId,
        hand: Hand,
        stays: bool,
    },
    SwapPlugs(PartId, SpoolId),
    Adjust(PartId, Setting),
    Lock(PartId, OperatorId),
    Unlock(PartId),
    Tag(PartId),
    Try(OperatorId),
    Prove,
    Bleed(VolumeId),
    Prop(PistonId, bool),
    Fitting {
        part: PartId,
        port: String,
        volume: VolumeId,
        open: bool,
    },
    Replace(PartId),
    Repair(PartId),
    Clean(PartId),
    Enter(PartId, PistonId, bool),
    Lead(BranchId, bool),
    Fit(PartId, FuseId, f64),
    Loosen(PartId, AccumulatorId),
    OthersLock {
        part: PartId,
        called: bool,
    },
    Words,
    HandBack,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Function {
    Volts,
    Ohms,
    Continuity,
    Amps,
}

/// A setting and its new value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Setting {
    /// Cracking pressure [Pa]; the last is true when the setting lies above the plate.
    Relief(FlowId, f64, bool),
    /// Preload of a member's spring, as a share of what it should be [1].
    Spring(SpoolId, f64),
    /// Pressure of a regulator [Pa].
    Regulator(FlowId, f64),
    /// Acting pressure of a switch [Pa].
    Switch(OperatorId, f64),
    /// Lower end of a cam's acting range [m].
    Cam(OperatorId, f64),
    Time(OperatorId, SimTime),
    /// Precharge of an accumulator [Pa].
    Precharge(AccumulatorId, f64),
    /// Opening of a throttle, as a share of the one it was set to [1].
    Opening(FlowId, f64),
    /// Count at which a counter acts.
    Preset(OperatorId, u32),
    /// Current that an overload relay is set to [A].
    Overload(OverloadId, f64),
    /// Gain of an amplifier, as a share of what it was set to [1].
    Gain(AmplifierId, f64),
    /// Fastest change of an amplifier's set value, as a share of what it was set to [1].
    Ramp(AmplifierId, f64),
    /// Signal at which a servo stage stands in its middle [1].
    Null(AmplifierId, f64),
}

/// Highest preset of a counter.
const MOST_COUNTS: f64 = 9999.0;
/// The dial of an overload relay goes from this share of its plate to that [1].
const DIAL: (f64, f64) = (0.5, 1.5);
/// Furthest null of a servo stage that its screw can set [1].
const NULL_SET: f64 = 0.5;
/// The trimmers of an amplifier go from this share of what they were set to, to that [1].
const TRIMMER: (f64, f64) = (0.05, 5.0);

/// Largest opening of a throttle, as a share of its nominal one [1].
const WIDEST: f64 = 2.0;
/// A relief's screw goes this far above its plate [1].
const SCREW: f64 = 1.5;
/// The charging set fills gas up to this far above the plate [1].
const CHARGING_SET: f64 = 1.5;
/// How exactly a plate is meant [1].
const PLATE_TOLERANCE: f64 = 1.02;
/// Ratings of the fuses in the box [A].
const FUSES_A: std::ops::RangeInclusive<f64> = 0.05..=63.0;
/// Longest time a time relay can be set to.
const LONGEST: SimTime = SimTime::from_secs(36_000);

pub(super) fn part_of(plan: &Plan, tag: &str) -> Result<PartId, ActError> {
    plan.part(tag).ok_or_else(|| ActError::NoSuchPart {
        name: clip(tag),
        nearest: nearest(tag, plan.parts.iter().map(|p| p.tag.as_str())).map(str::to_owned),
    })
}

/// At most 60 characters, for a message.
pub(super) fn clip(text: &str) -> String {
    text.chars().take(60).collect()
}

fn node_of(plan: &Plan, name: &str) -> Result<NodeId, ActError> {
    plan.node(name).ok_or_else(|| ActError::NoSuchPoint {
        name: clip(name),
        nearest: nearest(name, plan.nodes.iter().map(|n| n.name.as_str())).map(str::to_owned),
    })
}

/// A port such as `1V1:A`.
fn port_of(plan: &Plan, name: &str) -> Option<(PartId, String, VolumeId)> {
    let (tag, marking) = name.split_once(':')?;
    let part = plan.part(tag)?;
    let volume = plan.parts[part.index()].port(marking)?;
    Some((part, marking.to_owned(), volume))
}

fn volume_of(plan: &Plan, name: &str) -> Result<VolumeId, ActError> {
    if let Some(point) = plan.test_points.iter().find(|p| p.name == name) {
        return Ok(point.volume);
    }
    if let Some((_, _, volume)) = port_of(plan, name) {
        return Ok(volume);
    }
    let near = nearest(name, plan.test_points.iter().map(|p| p.name.as_str()));
    Err(ActError::NoSuchPoint { name: clip(name), nearest: near.map(str::to_owned) })
}

/// The gas side of an accumulator, such as `AC1:gas`.
fn gas_of(plan: &Plan, name: &str) -> Option<AccumulatorId> {
    let tag = name.strip_suffix(":gas")?;
    plan.parts[plan.part(tag)?.index()].elements.iter().find_map(|(_, e)| match e {
        Element::Accumulator(a) => Some(*a),
        _ => None,
    })
}

fn wrong(plan: &Plan, part: PartId, action: &Action) -> ActError {
    let part = &plan.parts[part.index()];
    ActError::NotForThat { verb: action.verb(), part: part.tag.clone(), class: part.class }
}

/// The operator of a part that a hand moves.
fn head_of(plan: &Plan, part: PartId) -> Option<OperatorId> {
    plan.parts[part.index()].elements.iter().find_map(|(_, e)| match e {
        Element::Operator(o) if plan.operators[o.index()].tie == Tie::Hand => Some(*o),
        _ => None,
    })
}

fn piston_of(plan: &Plan, part: PartId) -> Option<PistonId> {
    plan.parts[part.index()].elements.iter().find_map(|(_, e)| match e {
        Element::Piston(p) => Some(*p),
        _ => None,
    })
}

fn spool_of(plan: &Plan, part: PartId) -> Option<SpoolId> {
    plan.parts[part.index()].elements.iter().find_map(|(_, e)| match e {
        Element::Spool(s) => Some(*s),
        _ => None,
    })
}

/// Looks up everything an action names.
///
/// # Errors
/// When there is no such part or point, or the action is nothing for it. Nothing has been done.
pub(super) fn task_of(plan: &Plan, action: &Action) -> Result<Task, ActError> {
    let part = |tag: &str| part_of(plan, tag);
    let class = |id: PartId| plan.parts[id.index()].class;
    Ok(match action {
        Action::Press { part: tag } | Action::Hold { part: tag } | Action::Try { part: tag } => {
            let id = part(tag)?;
            let button = match (class(id), action) {
                ("PushButton", _) => true,
                ("EmergencyStop", Action::Try { .. }) => false,
                ("EmergencyStop", _) => true,
                ("Selector", Action::Try { .. }) => true,
                _ => false,
            };
            let operator =
                head_of(plan, id).filter(|_| button).ok_or_else(|| wrong(plan, id, action))?;
            match action {
                Action::Press { .. } => {
                    Task::Press { operator, latches: class(id) == "EmergencyStop" }
                }
                Action::Hold { .. } => Task::Hand { operator, acting: true },
                _ => Task::Try(operator),
            }
        }
        Action::Both { part: one, other } => {
            let head = |tag: &str| {
                let id = part(tag)?;
                let button = class(id) == "PushButton";
                head_of(plan, id).filter(|_| button).ok_or_else(|| wrong(plan, id, action))
            };
            Task::Both(head(one)?, head(other)?)
        }
        Action::Release { part: tag } => {
            let id = part(tag)?;
            let operator = head_of(plan, id)
                .filter(|_| matches!(class(id), "PushButton" | "EmergencyStop"))
                .ok_or_else(|| wrong(plan, id, action))?;
            Task::Hand { operator, acting: false }
        }
        Action::Turn { part: tag, to } => {
            let id = part(tag)?;
            let operator = head_of(plan, id).ok_or_else(|| wrong(plan, id, action))?;
            let on = *to == Position::On;
            match class(id) {
                of if is_isolator(of) => Task::Isolator { part: id, operator, close: on },
                "Selector" | "HandSlide" | "StopValve" | "CircuitBreaker" => {
                    Task::Hand { operator, acting: on }
                }
                // A tripped overload relay is reset, and tripped by its test lever.
                "MotorStarter" => Task::Hand { operator, acting: !on },
                // Turning releases an emergency stop; it is pushed in, not turned in.
                "EmergencyStop" if !on => Task::Hand { operator, acting: false },
                _ => return Err(wrong(plan, id, action)),
            }
        }
        Action::Isolate { part: tag }
        | Action::Restore { part: tag }
        | Action::Lock { part: tag }
        | Action::Unlock { part: tag }
        | Action::Tag { part: tag } => {
            let id = part(tag)?;
            let operator = head_of(plan, id)
                .filter(|_| is_isolator(class(id)))
                .ok_or_else(|| wrong(plan, id, action))?;
            match action {
                Action::Isolate { .. } => Task::Isolator { part: id, operator, close: false },
                Action::Restore { .. } => Task::Isolator { part: id, operator, close: true },
                Action::Lock { .. } => Task::Lock(id, operator),
                Action::Unlock { .. } => Task::Unlock(id),
                _ => Task::Tag(id),
            }
        }
        Action::Wait { ns } => Task::Wait(SimTime::from_nanos(*ns)),
        Action::Look { part: tag } => Task::Look(part(tag)?),
        Action::Listen { part: tag } => Task::Listen(part(tag)?),
        Action::Feel { at } => match port_of(plan, at) {
            Some((_, _, volume)) => Task::FeelPort(volume),
            None => Task::Feel(part(at)?),
        },
        Action::Plate { part: tag } => Task::Plate(part(tag)?),
        Action::Volts { red, black } => meter(plan, Function::Volts, red, black)?,
        Action::Ohms { red, black } => meter(plan, Function::Ohms, red, black)?,
        Action::Continuity { red, black } => meter(plan, Function::Continuity, red, black)?,
        Action::Amps { red, black } => meter(plan, Function::Amps, red, black)?,
        Action::Clamp { at } => Task::Clamp(through_of(plan, at, action)?),
        Action::Gauge { at, range_bar } => {
            if let Some(range) = range_bar
                && !GAUGE_RANGES.contains(range)
            {
                let ranges = GAUGE_RANGES[1..].iter().map(u32::to_string).collect::<Vec<_>>();
                let no = Phrase::new("refused-no-gauge").with("range", range.to_string());
                return Err(ActError::BadValue(no.with("ranges", ranges.join(", "))));
            }
            let gas = gas_of(plan, at);
            Task::Gauge {
                volume: match gas {
                    Some(a) => plan.accumulators[a.index()].volume,
                    None => volume_of(plan, at)?,
                },
                gas,
                range_bar: *range_bar,
            }
        }
        Action::Temperature { part: tag } => Task::Temperature(part(tag)?),
        Action::Override { part: tag, side, finger } => {
            let id = part(tag)?;
            let spool = spool_of(plan, id).ok_or_else(|| wrong(plan, id, action))?;
            let works = Finger::works(plan.spools[spool.index()].handle);
            if works.is_empty() {
                let none = Phrase::new("refused-no-override").with("part", tag.as_str());
                return Err(ActError::BadValue(none));
            }
            if *finger != Finger::Release && !works.contains(finger) {
                let words: Vec<&str> = works.iter().map(|f| f.word()).collect();
                let only = Phrase::new("refused-override-knows").with("part", tag.as_str());
                return Err(ActError::BadValue(only.with("words", words.join(", "))));
            }
            let one_sided = plan.nominal.spools[spool.index()].range().0 >= 0.0;
            if one_sided && *side == Side::B {
                let none = Phrase::new("refused-override-a-only").with("part", tag.as_str());
                return Err(ActError::BadValue(none));
            }
            let hand = match (finger, side) {
                (Finger::Release, _) => Hand::Off,
                (_, Side::A) => Hand::A,
                (_, Side::B) => Hand::B,
            };
            Task::Override { spool, hand, stays: finger.stays() }
        }
        Action::SwapPlugs { part: tag } => {
            let id = part(tag)?;
            let spool = spool_of(plan, id)
                .filter(|s| {
                    let spool = &plan.spools[s.index()];
                    spool.a.is_some() && spool.b.is_some()
                })
                .ok_or_else(|| wrong(plan, id, action))?;
            Task::SwapPlugs(id, spool)
        }
        Action::Adjust { part: tag, setting, value } => {
            let id = part(tag)?;
            Task::Adjust(id, setting_of(plan, id, setting, value)?)
        }
        Action::Prove {} => Task::Prove,
        Action::Bleed { at } => {
            let volume = match plan.part(at) {
                Some(id) => bleedable(plan, id).ok_or_else(|| wrong(plan, id, action))?,
                None => volume_of(plan, at)?,
            };
            Task::Bleed(not_fixed(plan, volume, at)?)
        }
        Action::Prop { part: tag } | Action::Unprop { part: tag } => {
            let id = part(tag)?;
            let piston = piston_of(plan, id).ok_or_else(|| wrong(plan, id, action))?;
            Task::Prop(piston, matches!(action, Action::Prop { .. }))
        }
        Action::Open { at } | Action::Close { at } => {
            let (part, port, volume) = port_of(plan, at)
                .ok_or_else(|| ActError::NoSuchPoint { name: clip(at), nearest: None })?;
            Task::Fitting {
                part,
                port,
                volume: not_fixed(plan, volume, at)?,
                open: matches!(action, Action::Open { .. }),
            }
        }
        Action::Replace { part: tag } => Task::Replace(part(tag)?),
        Action::Repair { part: tag } => {
            let id = part(tag)?;
            if class(id) != "Wire" {
                return Err(wrong(plan, id, action));
            }
            Task::Repair(id)
        }
        Action::Clean { part: tag } => {
            let id = part(tag)?;
            let part = &plan.parts[id.index()];
            let contacts = part.elements.iter().any(|(_, e)| matches!(e, Element::Contact(_)));
            if part.ports.is_empty() && !contacts {
                return Err(wrong(plan, id, action));
            }
            Task::Clean(id)
        }
        Action::Enter { part: tag } | Action::Leave { part: tag } => {
            let id = part(tag)?;
            let piston = piston_of(plan, id).ok_or_else(|| wrong(plan, id, action))?;
            Task::Enter(id, piston, matches!(action, Action::Enter { .. }))
        }
        Action::Bridge { red, black } | Action::Unbridge { red, black } => {
            let (from, to) = (node_of(plan, red)?, node_of(plan, black)?);
            let branch = lead::between(plan, from, to).ok_or_else(|| {
                let no = Phrase::new("refused-no-lead").with("red", clip(red));
                ActError::BadValue(no.with("black", clip(black)))
            })?;
            Task::Lead(branch, matches!(action, Action::Bridge { .. }))
        }
        Action::Fit { part: tag, rating } => {
            let id = part(tag)?;
            let fuse = plan.parts[id.index()].elements.iter().find_map(|(_, e)| match e {
                Element::Fuse(f) => Some(*f),
                _ => None,
            });
            let fuse = fuse.ok_or_else(|| wrong(plan, id, action))?;
            let amps = value_of(rating, Dimension::Current)?;
            if !FUSES_A.contains(&amps) {
                return Err(ActError::BadValue(Phrase::new("refused-no-fuse")));
            }
            Task::Fit(id, fuse, amps)
        }
        Action::Loosen { part: tag } => {
            let id = part(tag)?;
            let gas = gas_of(plan, &format!("{tag}:gas"));
            Task::Loosen(id, gas.ok_or_else(|| wrong(plan, id, action))?)
        }
        Action::Call { part: tag } | Action::Cut { part: tag } => {
            let id = part(tag)?;
            if !is_isolator(class(id)) {
                return Err(wrong(plan, id, action));
            }
            Task::OthersLock { part: id, called: matches!(action, Action::Call { .. }) }
        }
        Action::Suspect { parts } => {
            for tag in parts {
                part(tag)?;
            }
            Task::Words
        }
        Action::Name { part: tag, mode } => {
            let id = part(tag)?;
            if mode_named(plan, id, mode).is_none() {
                return Err(impossible(plan, id, mode));
            }
            Task::Words
        }
        Action::Predict { .. } | Action::Note { .. } => Task::Words,
        Action::HandBack {} => Task::HandBack,
    })
}

/// A fault that a part cannot have.
fn impossible(plan: &Plan, part: PartId, mode: &str) -> ActError {
    let tag = &plan.parts[part.index()].tag;
    let mut known: Vec<&str> = modes_of(plan, part).iter().map(|(spec, ..)| spec.id).collect();
    known.sort_unstable();
    known.dedup();
    let cannot = |id: &'static str| Phrase::new(id).with("part", tag.as_str());
    let cannot = match nearest(mode, known.iter().copied()) {
        _ if known.is_empty() => cannot("refused-no-fault"),
        Some(near) => cannot("refused-fault-like").with("nearest", near),
        None => cannot("refused-fault").with("known", known.join(", ")),
    };
    ActError::BadValue(cannot.with("fault", clip(mode)))
}

fn meter(plan: &Plan, function: Function, red: &str, black: &str) -> Result<Task, ActError> {
    Ok(Task::Meter { function, red: node_of(plan, red)?, black: node_of(plan, black)? })
}

fn not_fixed(plan: &Plan, volume: VolumeId, name: &str) -> Result<VolumeId, ActError> {
    if plan.volumes[volume.index()].fixed_pa.is_some() {
        return Err(ActError::BadValue(Phrase::new("refused-open-anyway").with("at", clip(name))));
    }
    Ok(volume)
}

/// The volume whose bleed screw belongs to a part: that of its gas, or of its first port.
fn bleedable(plan: &Plan, id: PartId) -> Option<VolumeId> {
    let part = &plan.parts[id.index()];
    part.elements
        .iter()
        .find_map(|(_, e)| match e {
            Element::Accumulator(a) => Some(plan.accumulators[a.index()].volume),
            _ => None,
        })
        .or_else(|| {
            part.ports.iter().map(|p| p.1).find(|v| plan.volumes[v.index()].fixed_pa.is_none())
        })
}

/// What a clamp at `name` goes around.
fn through_of(plan: &Plan, name: &str, action: &Action) -> Result<Vec<Through>, ActError> {
    if let Some(id) = plan.part(name) {
        let one = plan.parts[id.index()].elements.iter().find_map(|(_, e)| match e {
            Element::Winding(w) => Some(Through::Winding(*w, false)),
            Element::Branch(b) if plan.branches[b.index()].role != BranchRole::Insulation => {
                Some(Through::Branch(*b, false))
            }
            _ => None,
        });
        return one.map(|t| vec![t]).ok_or_else(|| wrong(plan, id, action));
    }
    let node = node_of(plan, name)?;
    let mut through = Vec::new();
    let inside = plan.parts.iter().find(|p| p.terminals.iter().any(|t| t.1 == node));
    for (_, element) in inside.map_or(&[][..], |p| &p.elements) {
        match *element {
            Element::Branch(b) if plan.branches[b.index()].a == node => {
                through.push(Through::Branch(b, false));
            }
            Element::Branch(b) if plan.branches[b.index()].b == node => {
                through.push(Through::Branch(b, true));
            }
            Element::Winding(w) if plan.windings[w.index()].a == node => {
                through.push(Through::Winding(w, false));
            }
            Element::Winding(w) if plan.windings[w.index()].b == node => {
                through.push(Through::Winding(w, true));
            }
            _ => {}
        }
    }
    if through.is_empty() {
        // A mere terminal: the first wire on it.
        let wire = plan
            .branches
            .iter()
            .position(|b| b.a == node || b.b == node)
            .map(BranchId::new)
            .ok_or_else(|| {
                ActError::BadValue(Phrase::new("refused-no-wire").with("at", clip(name)))
            })?;
        through.push(Through::Branch(wire, plan.branches[wire.index()].b == node));
    }
    Ok(through)
}

/// Pressure on a relief's plate [Pa]: its setting at rated flow.
fn plate_pa(plan: &Plan, part: PartId) -> Option<f64> {
    plan.parts[part.index()].nameplate.iter().find_map(|(_, value)| {
        let pressure = value.split(" at ").next()?;
        parse(pressure, Dimension::Pressure).ok()
    })
}

/// Names of what can be set at a part.
#[must_use]
pub fn settings_of(plan: &Plan, id: PartId) -> Vec<&'static str> {
    let mut names = Vec::new();
    for (_, element) in &plan.parts[id.index()].elements {
        names.extend(match *element {
            Element::Accumulator(_) => Some("precharge"),
            Element::Flow(f) => match plan.nominal.flows[f.index()] {
                FlowLaw::Regulator(..) | FlowLaw::Relief(_) => Some("pressure"),
                FlowLaw::Gate(_) | FlowLaw::ThrottleCheck(..) | FlowLaw::SonicCheck(..) => {
                    Some("opening")
                }
                _ => None,
            },
            Element::Operator(o) => match plan.nominal.operators[o.index()].trigger {
                Trigger::Pressure { .. } => Some("pressure"),
                Trigger::Cam { .. } => Some("position"),
                Trigger::Armature { delay: Delay::On(_) | Delay::Off(_), .. } => Some("time"),
                Trigger::Count { .. } => Some("count"),
                _ => None,
            },
            Element::Overload(_) => Some("current"),
            Element::Amplifier(_) => Some("gain"),
            _ => None,
        });
        if let Element::Amplifier(a) = element {
            names.push("ramp");
            if plan.nominal.amplifiers[a.index()].servo {
                names.push("null");
            }
        }
    }
    names.dedup();
    names
}

/// A value as it is typed [SI].
fn value_of(typed: &str, wanted: Dimension) -> Result<f64, ActError> {
    parse(typed, wanted).map_err(|e| ActError::BadValue(unreadable(&e, typed, Some(wanted))))
}

fn setting_of(plan: &Plan, id: PartId, name: &str, value: &str) -> Result<Setting, ActError> {
    let beyond = |id: &'static str| ActError::BadValue(Phrase::new(id));
    let read = |dimension| value_of(value, dimension);
    let within = |value: f64, low: f64, high: f64, id: &'static str| {
        if value >= low && value <= high { Ok(value) } else { Err(beyond(id)) }
    };
    for (_, element) in &plan.parts[id.index()].elements {
        match (*element, name) {
            (Element::Flow(f), "pressure") => {
                if let FlowLaw::Regulator(_, make) = plan.nominal.flows[f.index()] {
                    let pa = read(Dimension::Pressure)?;
                    within(pa, 0.0, 2.0 * make.set_pa, "refused-regulator")?;
                    return Ok(Setting::Regulator(f, pa));
                }
                let FlowLaw::Relief(relief) = plan.nominal.flows[f.index()] else {
                    continue;
                };
                let plate = plate_pa(plan, id).unwrap_or(relief.crack_pa);
                // The plate gives the pressure at rated flow; the valve cracks below it.
                let below = (plate - relief.crack_pa).max(0.0);
                let pa = read(Dimension::Pressure)?;
                within(pa, 1e5, SCREW * plate, "refused-screw")?;
                let above = pa > PLATE_TOLERANCE * plate;
                return Ok(Setting::Relief(f, (pa - below).max(1e4), above));
            }
            (Element::Spool(s), "pressure") if plan.spools[s.index()].modulates => {
                let make = plan.nominal.spools[s.index()];
                let Some(plate) = plate_pa(plan, id).filter(|_| make.preload_n > 0.0) else {
                    continue;
                };
                let pa = read(Dimension::Pressure)?;
                within(pa, 1e5, SCREW * plate, "refused-screw")?;
                return Ok(Setting::Spring(s, pa / plate));
            }
            (Element::Accumulator(a), "precharge") => {
                let highest = CHARGING_SET * plan.nominal.accumulators[a.index()].precharge_pa;
                let pa = read(Dimension::Pressure)?;
                within(pa, 0.0, highest, "refused-charge")?;
                return Ok(Setting::Precharge(a, pa));
            }
            (Element::Flow(f), "opening") => match plan.nominal.flows[f.index()] {
                FlowLaw::Gate(_) | FlowLaw::ThrottleCheck(..) | FlowLaw::SonicCheck(..) => {
                    let ratio = read(Dimension::Ratio)?;
                    within(ratio, 0.0, WIDEST, "refused-opening")?;
                    return Ok(Setting::Opening(f, ratio));
                }
                _ => {}
            },
            (Element::Overload(o), "current") => {
                let plate = plan.nominal.overloads[o.index()].set_a;
                let amps = read(Dimension::Current)?;
                within(amps, DIAL.0 * plate, DIAL.1 * plate, "refused-dial")?;
                return Ok(Setting::Overload(o, amps));
            }
            (Element::Amplifier(a), "null") if plan.nominal.amplifiers[a.index()].servo => {
                let share = read(Dimension::Ratio)?;
                within(share.abs(), 0.0, NULL_SET, "refused-null")?;
                return Ok(Setting::Null(a, share));
            }
            (Element::Amplifier(a), "gain" | "ramp") => {
                let ratio = read(Dimension::Ratio)?;
                within(ratio, TRIMMER.0, TRIMMER.1, "refused-trimmer")?;
                return Ok(match name {
                    "gain" => Setting::Gain(a, ratio),
                    _ => Setting::Ramp(a, ratio),
                });
            }
            (Element::Operator(o), _) => match (plan.nominal.operators[o.index()].trigger, name) {
                (Trigger::Pressure { rise_pa, .. }, "pressure") => {
                    let pa = read(Dimension::Pressure)?;
                    let (low, high) = (0.1 * rise_pa.abs(), 3.0 * rise_pa.abs());
                    within(pa, low, high, "refused-switch")?;
                    // Vacuum is given as a positive difference to the air.
                    return Ok(Setting::Switch(o, pa.copysign(rise_pa)));
                }
                (Trigger::Count { .. }, "count") => {
                    let id = "refused-count";
                    let count = value.parse::<u32>().map_err(|_| beyond(id))?;
                    within(f64::from(count), 1.0, MOST_COUNTS, id)?;
                    return Ok(Setting::Preset(o, count));
                }
                (Trigger::Cam { .. }, "position") => {
                    let Tie::Piston(p) = plan.operators[o.index()].tie else {
                        continue;
                    };
                    let stroke = plan.nominal.pistons[p.index()].stroke_m;
                    let m = read(Dimension::Length)?;
                    within(m, -0.1 * stroke, 1.1 * stroke, "refused-rail")?;
                    return Ok(Setting::Cam(o, m));
                }
                (
                    Trigger::Armature {
                        delay: Delay::On(_) | Delay::Off(_) | Delay::Flash(_), ..
                    },
                    "time",
                ) => {
                    let time = parse_duration(value)
                        .map_err(|e| ActError::BadValue(unreadable(&e, value, None)))?;
                    if time < SimTime::from_millis(1) || time > LONGEST {
                        return Err(beyond("refused-time"));
                    }
                    return Ok(Setting::Time(o, time));
                }
                _ => {}
            },
            _ => {}
        }
    }
    let part = &plan.parts[id.index()];
    let none = Phrase::new("refused-no-setting").with("part", part.tag.as_str());
    Err(ActError::BadValue(none.with("class", part.class).with("name", clip(name))))
}
