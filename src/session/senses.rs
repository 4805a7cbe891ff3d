//! What eyes, ears and hands make of a part, and of what happens. Nothing here tells more than a
//! person beside the bench could know.

use crate::base::PartId;
use crate::fluid::{FlowLaw, Medium};
use crate::plant::{Current, Element, Happening, Part, Plan, Plant, Probe, Tie, Trigger, What};
use crate::shift::{Hand, Handle};

/// Share of a winding's warmth that reaches its surface [1].
const SURFACE: f64 = 0.7;
/// A flow that can be heard: oil [m3/s] and air [kg/s].
const HEARD: (f64, f64) = (1.0e-5, 1.0e-5);

/// The line for a happening that can be seen, heard or smelt, if any.
#[must_use]
pub fn seen(plan: &Plan, happening: &Happening) -> Option<String> {
    let end = |extended: bool| if extended { "extended" } else { "retracted" };
    Some(match happening.what {
        What::Acts(o) | What::Rests(o) => match plan.operators[o.index()].tie {
            Tie::Winding(_) | Tie::Latch(..) => {
                format!("{} clicks", plan.operators[o.index()].name)
            }
            _ => return None,
        },
        What::SpoolReached(s, _) => format!("{} thuds", plan.spools[s.index()].name),
        What::PistonLeft(p, was) => {
            let name = &plan.pistons[p.index()].name;
            let way = if was { "retract" } else { "extend" };
            format!("{name} begins to {way}")
        }
        What::PistonReached(p, is) => format!("{} is {}", plan.pistons[p.index()].name, end(is)),
        What::Lit(k) => format!("{} lights", plan.lamps[k].name),
        What::Out(k) => format!("{} goes out", plan.lamps[k].name),
        What::PumpStarted(p) => format!("{} starts", plan.pumps[p.index()].name),
        What::PumpStopped(p) => format!("{} stops", plan.pumps[p.index()].name),
        What::Burnt(w) => format!("smoke at {}", plan.windings[w.index()].name),
        What::Closed(_)
        | What::Opened(_)
        | What::Blew(_)
        | What::SpoolLeft(..)
        | What::PlcRuns(_)
        | What::PlcStops(_)
        | What::Altered(_) => return None,
    })
}

/// Whether a happening means that something has started.
pub(super) fn starts(plan: &Plan, happening: &Happening) -> bool {
    match happening.what {
        What::Acts(o) => matches!(plan.operators[o.index()].tie, Tie::Winding(_)),
        What::PistonLeft(..) | What::PumpStarted(_) | What::SpoolLeft(..) | What::Lit(_) => true,
        _ => false,
    }
}

/// What can be seen of a part.
pub(super) fn look(plant: &mut Plant, id: PartId) -> Vec<String> {
    let plan = plant.plan().clone();
    let part = &plan.parts[id.index()];
    let tag = &part.tag;
    let mut lines = Vec::new();
    for &(_, element) in &part.elements {
        match element {
            Element::Plc(p) => {
                let row = |lit: &[bool], letter: char| {
                    let on: Vec<String> = (0..lit.len())
                        .filter(|&k| lit[k])
                        .map(|k| format!("{letter}{k}"))
                        .collect();
                    if on.is_empty() { format!("no {letter}") } else { on.join(" ") }
                };
                let outputs: Vec<bool> =
                    plan.plcs[p.index()].outputs.iter().map(|o| plant.acting(*o)).collect();
                let run = if plant.plc_runs(p) { "RUN" } else { "STOP or dark" };
                lines.push(format!(
                    "{tag} shows {run}; lit: {}, {}",
                    row(plant.plc_inputs(p), 'I'),
                    row(&outputs, 'Q')
                ));
            }
            Element::Branch(b) => {
                if let Some(k) = plan.lamps.iter().position(|l| l.branch == b) {
                    let state = if plant.lit(k) { "lit" } else { "dark" };
                    lines.push(format!("{tag} is {state}"));
                }
            }
            Element::Fuse(f) if plan.fuses[f.index()].trips.is_some() => {}
            Element::Fuse(f) => {
                let state = if plant.blown(f) { "blown" } else { "whole" };
                lines.push(format!("the indicator of {tag} shows {state}"));
            }
            Element::Operator(o) => {
                let acting = plant.acting(o);
                let state = match (part.class, acting) {
                    ("Isolator" | "AirIsolator" | "HandSlide" | "StopValve", _) => {
                        let (on, off) = super::isolation::handle_words(part.class);
                        if acting { on } else { off }
                    }
                    ("Selector", true) => "turned on",
                    ("Selector", false) => "turned off",
                    ("Relay" | "TimeRelay", true) => "pulled in",
                    ("Relay" | "TimeRelay", false) => "dropped out",
                    ("PressureSwitch", _) => continue,
                    ("CircuitBreaker", true) => "on",
                    ("CircuitBreaker", false) => "off",
                    ("LatchingRelay", true) => "set",
                    ("LatchingRelay", false) => "reset",
                    ("MotorStarter", _) if plan.operators[o.index()].tie == Tie::Hand => {
                        let state = if acting { "tripped" } else { "ready" };
                        lines.push(format!("the overload relay of {tag} is {state}"));
                        if let Some(k) = plan.overloads.iter().position(|p| p.trips == o) {
                            let set_a = plant.condition().overloads[k].set_a;
                            lines.push(format!("its dial stands at {set_a:.1} A"));
                        }
                        continue;
                    }
                    ("MotorStarter", true) => "pulled in",
                    ("MotorStarter", false) => "dropped out",
                    ("TwoHand", _) if !matches!(plan.operators[o.index()].tie, Tie::Both(..)) => {
                        continue;
                    }
                    ("TwoHand", true) => "pulled in",
                    ("TwoHand", false) => "dropped out",
                    ("Counter", _) => {
                        if matches!(plan.operators[o.index()].tie, Tie::Count(..)) {
                            lines.push(format!("{tag} shows {}", plant.counted(o)));
                        }
                        continue;
                    }
                    (_, true) => "pushed",
                    (_, false) => "free",
                };
                lines.push(format!("{tag} is {state}"));
                if let Trigger::Cam { from_m, .. } = plant.condition().operators[o.index()].trigger
                {
                    // Judged by eye along the rail, to the half centimetre.
                    let at = (from_m * 200.0).round() * 5.0;
                    lines.push(format!("{tag} sits where the rod strikes it at {at} mm"));
                }
            }
            Element::Winding(w) if plant.burnt(w) => {
                lines.push(format!(
                    "{} is scorched and smells burnt",
                    plan.windings[w.index()].name
                ));
            }
            Element::Spool(s) => lines.push(match plant.hand(s) {
                Hand::Off => format!("the overrides of {tag} are at rest"),
                hand => {
                    let side = if hand == Hand::A { "a" } else { "b" };
                    let how = match plan.spools[s.index()].handle {
                        Handle::Pull | Handle::PullLatch => "pulled out",
                        Handle::Turn => "turned in",
                        _ => "pushed in",
                    };
                    format!("override {side} of {tag} is {how}")
                }
            }),
            Element::Piston(p) => {
                let stroke = plant.condition().pistons[p.index()].stroke_m;
                // Judged by eye, to the centimetre.
                let at = (plant.read(Probe::Piston(p)).clamp(0.0, stroke) * 100.0).round() * 10.0;
                let whole = (stroke * 1000.0).round();
                lines.push(format!("the rod of {tag} is {at} mm out of {whole} mm"));
                if plant.condition().pistons[p.index()].propped {
                    lines.push(format!("a prop stands under {tag}"));
                }
            }
            Element::Pump(p) => {
                let speed = plant.read(Probe::PumpSpeed(p));
                lines.push(if speed.abs() < 0.5 {
                    format!("the shaft of {tag} stands")
                } else if speed > 0.0 {
                    format!("the shaft of {tag} turns with the arrow")
                } else {
                    format!("the shaft of {tag} turns against the arrow")
                });
            }
            _ => {}
        }
    }
    if wet(plant, part) {
        lines.push(format!("there is a film of oil at {tag}"));
    }
    if lines.is_empty() {
        lines.push(format!("nothing to see at {tag}"));
    }
    lines
}

/// Oil comes out of a volume of the part.
fn wet(plant: &Plant, part: &Part) -> bool {
    part.ports.iter().any(|(_, v)| {
        let oil = matches!(plant.condition().volumes[v.index()].medium, Medium::Oil { .. });
        oil && plant.condition().vents[v.index()] > 0.0
    })
}

/// An alternating-current winding that carries current, and whether its armature has not seated.
fn humming(plant: &mut Plant, plan: &Plan, part: &Part) -> Option<bool> {
    let mut answer = None;
    for &(_, element) in &part.elements {
        let Element::Winding(w) = element else {
            continue;
        };
        let node = plan.windings[w.index()].a;
        let seen = plant.terminals(node, crate::plant::PlanBuilder::EARTH);
        if seen.current == Current::Dc || plant.read(Probe::WindingAmps(w)) < 5e-3 {
            continue;
        }
        let open = match plan.windings[w.index()].moves {
            crate::plant::Moves::Relay(o) => !plant.acting(o),
            crate::plant::Moves::Unlatch(o) => plant.acting(o),
            crate::plant::Moves::Spool(s, _) => plant.read(Probe::Spool(s)).abs() < 0.9,
            crate::plant::Moves::Nothing => false,
        };
        answer = Some(answer.unwrap_or(false) || open);
    }
    answer
}

/// Fluid rushes through the part.
fn rushes(plant: &mut Plant, plan: &Plan, part: &Part) -> Option<&'static str> {
    for &(_, element) in &part.elements {
        let Element::Flow(f) = element else { continue };
        let law = plant.condition().flows[f.index()];
        if matches!(law, FlowLaw::Pump(_)) {
            continue;
        }
        let medium = plant.condition().volumes[plan.flows[f.index()].first.index()].medium;
        let air = matches!(medium, Medium::Air { .. });
        let flow = plant.read(Probe::Flow(f)).abs();
        let first = plan.flows[f.index()].first;
        let second = plan.flows[f.index()].second;
        let drop = (plant.read(Probe::Pressure(first)) - plant.read(Probe::Pressure(second))).abs();
        // A free path is silent; what throttles is heard.
        if drop > if air { 1e5 } else { 2e5 } && flow > if air { HEARD.1 } else { HEARD.0 } {
            return Some(if air { "air hisses" } else { "oil rushes" });
        }
    }
    None
}

/// Whether fluid can be heard to rush through a part.
pub(super) fn rushes_through(plant: &mut Plant, id: PartId) -> bool {
    let plan = plant.plan().clone();
    rushes(plant, &plan, &plan.parts[id.index()]).is_some()
}

/// What can be heard at a part.
pub(super) fn listen(plant: &mut Plant, id: PartId) -> Vec<String> {
    let plan = plant.plan().clone();
    let part = &plan.parts[id.index()];
    let tag = &part.tag;
    let mut lines = Vec::new();
    match humming(plant, &plan, part) {
        Some(true) => lines.push(format!("{tag} buzzes loudly")),
        Some(false) => lines.push(format!("{tag} hums")),
        None => {}
    }
    for &(_, element) in &part.elements {
        if let Element::Pump(p) = element {
            let runs = plant.read(Probe::PumpSpeed(p)).abs() > 0.5;
            lines.push(format!("{tag} {}", if runs { "runs" } else { "is silent" }));
        }
    }
    if let Some(sound) = rushes(plant, &plan, part) {
        lines.push(format!("{sound} through {tag}"));
    }
    for (_, v) in &part.ports {
        let vent = plant.condition().vents[v.index()];
        if vent > 0.0 && plant.read(Probe::Pressure(*v)) > 0.5e5 {
            lines.push(format!("something hisses at {tag}"));
            break;
        }
    }
    if lines.is_empty() {
        lines.push(format!("nothing to hear at {tag}"));
    }
    lines
}

/// Temperature of a part's surface [degC].
pub(super) fn surface_celsius(plant: &mut Plant, id: PartId) -> f64 {
    let plan = plant.plan().clone();
    let ambient = plan.ambient_celsius;
    let mut hottest = ambient;
    for &(_, element) in &plan.parts[id.index()].elements {
        if let Element::Winding(w) = element {
            let inside = plant.read(Probe::Celsius(w));
            hottest = hottest.max(ambient + SURFACE * (inside - ambient));
        }
    }
    hottest
}

/// What a hand on a part feels.
pub(super) fn feel(plant: &mut Plant, id: PartId) -> Vec<String> {
    let plan = plant.plan().clone();
    let part = &plan.parts[id.index()];
    let tag = &part.tag;
    let celsius = surface_celsius(plant, id);
    let warmth = if celsius < plan.ambient_celsius + 5.0 {
        "is no warmer than the room"
    } else if celsius < 42.0 {
        "is hand-warm"
    } else if celsius < 60.0 {
        "is hot"
    } else {
        "is too hot to keep a hand on"
    };
    let mut lines = vec![format!("{tag} {warmth}")];
    if humming(plant, &plan, part).is_some() {
        lines.push(format!("{tag} trembles"));
    }
    if rushes(plant, &plan, part).is_some() {
        lines.push(format!("something rushes through {tag}"));
    }
    lines
}
