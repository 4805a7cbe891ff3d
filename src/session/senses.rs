//! What eyes, ears and hands make of a part, and of what happens. Nothing here tells more than a
//! person beside the bench could know.

use crate::base::PartId;
use crate::fluid::{FlowLaw, Medium};
use crate::language::Phrase;
use crate::plant::{Current, Element, Happening, Part, Plan, Plant, Probe, Tie, Trigger, What};
use crate::shift::{Hand, Handle};

/// Share of a winding's warmth that reaches its surface [1].
const SURFACE: f64 = 0.7;
/// A flow that can be heard: oil [m3/s] and air [kg/s].
const HEARD: (f64, f64) = (1.0e-5, 1.0e-5);

/// The line for a happening that can be seen, heard or smelt, if any.
#[must_use]
pub fn seen(plan: &Plan, happening: &Happening) -> Option<Phrase> {
    let (id, name) = match happening.what {
        What::Acts(o) | What::Rests(o) => match plan.operators[o.index()].tie {
            Tie::Winding(_) | Tie::Latch(..) => ("seen-clicks", &plan.operators[o.index()].name),
            _ => return None,
        },
        What::SpoolReached(s, _) => ("seen-thuds", &plan.spools[s.index()].name),
        What::PistonLeft(p, true) => ("seen-begins-to-retract", &plan.pistons[p.index()].name),
        What::PistonLeft(p, false) => ("seen-begins-to-extend", &plan.pistons[p.index()].name),
        What::PistonReached(p, true) => ("seen-extended", &plan.pistons[p.index()].name),
        What::PistonReached(p, false) => ("seen-retracted", &plan.pistons[p.index()].name),
        What::Lit(k) => ("seen-lights", &plan.lamps[k].name),
        What::Out(k) => ("seen-goes-out", &plan.lamps[k].name),
        What::PumpStarted(p) => ("seen-starts", &plan.pumps[p.index()].name),
        What::PumpStopped(p) => ("seen-stops", &plan.pumps[p.index()].name),
        What::Burnt(w) => ("seen-smoke", &plan.windings[w.index()].name),
        What::Closed(_)
        | What::Opened(_)
        | What::Blew(_)
        | What::SpoolLeft(..)
        | What::PlcRuns(_)
        | What::PlcStops(_)
        | What::Altered(_) => return None,
    };
    Some(about(id, name))
}

/// The sentence `id` about the part or place of that name.
fn about(id: &'static str, name: &str) -> Phrase {
    Phrase::new(id).with("part", name)
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
pub(super) fn look(plant: &mut Plant, id: PartId) -> Vec<Phrase> {
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
                    if on.is_empty() { "none".to_owned() } else { on.join(" ") }
                };
                let outputs: Vec<bool> =
                    plan.plcs[p.index()].outputs.iter().map(|o| plant.acting(*o)).collect();
                let id = if plant.plc_runs(p) { "seen-plc-runs" } else { "seen-plc-stands" };
                let inputs = row(plant.plc_inputs(p), 'I');
                let outputs = row(&outputs, 'Q');
                lines.push(about(id, tag).with("inputs", inputs).with("outputs", outputs));
            }
            Element::Branch(b) => {
                if let Some(k) = plan.lamps.iter().position(|l| l.branch == b) {
                    lines.push(about(if plant.lit(k) { "seen-lit" } else { "seen-dark" }, tag));
                }
            }
            Element::Fuse(f) if plan.fuses[f.index()].trips.is_some() => {}
            Element::Fuse(f) => {
                lines.push(about(if plant.blown(f) { "seen-blown" } else { "seen-whole" }, tag));
            }
            Element::Operator(o) => {
                let acting = plant.acting(o);
                let state = match (part.class, acting) {
                    ("Isolator" | "AirIsolator" | "HandSlide" | "StopValve", _) => {
                        super::isolation::handle_stands(part.class, acting)
                    }
                    ("Selector", true) => "seen-turned-on",
                    ("Selector", false) => "seen-turned-off",
                    ("Relay" | "TimeRelay", true) => "seen-pulled-in",
                    ("Relay" | "TimeRelay", false) => "seen-dropped-out",
                    ("PressureSwitch", _) => continue,
                    ("CircuitBreaker", true) => "seen-on",
                    ("CircuitBreaker", false) => "seen-off",
                    ("LatchingRelay", true) => "seen-set",
                    ("LatchingRelay", false) => "seen-reset",
                    ("MotorStarter", _) if plan.operators[o.index()].tie == Tie::Hand => {
                        let id = if acting { "seen-tripped" } else { "seen-ready" };
                        lines.push(about(id, tag));
                        if let Some(k) = plan.overloads.iter().position(|p| p.trips == o) {
                            let set_a = plant.condition().overloads[k].set_a;
                            let amps = format!("{set_a:.1}");
                            lines.push(Phrase::new("seen-dial").with("amps", amps));
                        }
                        continue;
                    }
                    ("MotorStarter", true) => "seen-pulled-in",
                    ("MotorStarter", false) => "seen-dropped-out",
                    ("TwoHand", _) if !matches!(plan.operators[o.index()].tie, Tie::Both(..)) => {
                        continue;
                    }
                    ("TwoHand", true) => "seen-pulled-in",
                    ("TwoHand", false) => "seen-dropped-out",
                    ("Counter", _) => {
                        if matches!(plan.operators[o.index()].tie, Tie::Count(..)) {
                            let count = plant.counted(o).to_string();
                            lines.push(about("seen-count", tag).with("count", count));
                        }
                        continue;
                    }
                    (_, true) => "seen-pushed",
                    (_, false) => "seen-free",
                };
                lines.push(about(state, tag));
                if let Trigger::Cam { from_m, .. } = plant.condition().operators[o.index()].trigger
                {
                    // Judged by eye along the rail, to the half centimetre.
                    let at = (from_m * 200.0).round() * 5.0;
                    lines.push(about("seen-cam", tag).with("at", at.to_string()));
                }
            }
            Element::Winding(w) if plant.burnt(w) => {
                lines.push(about("seen-burnt", &plan.windings[w.index()].name));
            }
            // A stage or a member without an override shows nothing.
            Element::Spool(s) if plan.nominal.spools[s.index()].hand_n == 0.0 => {}
            Element::Spool(s) => lines.push(match plant.hand(s) {
                Hand::Off => about("seen-overrides-out", tag),
                hand => {
                    let id = match plan.spools[s.index()].handle {
                        Handle::Pull | Handle::PullLatch => "seen-override-pulled",
                        Handle::Turn => "seen-override-turned",
                        _ => "seen-override-in",
                    };
                    about(id, tag).with("side", if hand == Hand::A { "a" } else { "b" })
                }
            }),
            Element::Piston(p) => {
                let stroke = plant.condition().pistons[p.index()].stroke_m;
                // Judged by eye, to the centimetre.
                let at = (plant.read(Probe::Piston(p)).clamp(0.0, stroke) * 100.0).round() * 10.0;
                let whole = (stroke * 1000.0).round();
                let rod = about("seen-rod", tag).with("at", at.to_string());
                lines.push(rod.with("stroke", whole.to_string()));
                if plant.condition().pistons[p.index()].propped {
                    lines.push(about("seen-prop", tag));
                }
            }
            Element::Pump(p) => {
                let speed = plant.read(Probe::PumpSpeed(p));
                let id = if speed.abs() < 0.5 {
                    "seen-shaft-stands"
                } else if speed > 0.0 {
                    "seen-shaft-with-arrow"
                } else {
                    "seen-shaft-against-arrow"
                };
                lines.push(about(id, tag));
            }
            _ => {}
        }
    }
    // What holds for each of several stages is said once.
    lines.dedup();
    if wet(plant, part) {
        lines.push(about("seen-film", tag));
    }
    if lines.is_empty() {
        lines.push(about("seen-nothing", tag));
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
            return Some(if air { "heard-air" } else { "heard-oil" });
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
pub(super) fn listen(plant: &mut Plant, id: PartId) -> Vec<Phrase> {
    let plan = plant.plan().clone();
    let part = &plan.parts[id.index()];
    let tag = &part.tag;
    let mut lines = Vec::new();
    match humming(plant, &plan, part) {
        Some(true) => lines.push(about("heard-buzzes", tag)),
        Some(false) => lines.push(about("heard-hums", tag)),
        None => {}
    }
    for &(_, element) in &part.elements {
        if let Element::Pump(p) = element {
            let runs = plant.read(Probe::PumpSpeed(p)).abs() > 0.5;
            lines.push(about(if runs { "heard-runs" } else { "heard-silent" }, tag));
        }
    }
    if let Some(sound) = rushes(plant, &plan, part) {
        lines.push(about(sound, tag));
    }
    for (_, v) in &part.ports {
        let vent = plant.condition().vents[v.index()];
        if vent > 0.0 && plant.read(Probe::Pressure(*v)) > 0.5e5 {
            lines.push(about("heard-hiss", tag));
            break;
        }
    }
    if lines.is_empty() {
        lines.push(about("heard-nothing", tag));
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
pub(super) fn feel(plant: &mut Plant, id: PartId) -> Vec<Phrase> {
    let plan = plant.plan().clone();
    let part = &plan.parts[id.index()];
    let tag = &part.tag;
    let celsius = surface_celsius(plant, id);
    let warmth = if celsius < plan.ambient_celsius + 5.0 {
        "felt-cold"
    } else if celsius < 42.0 {
        "felt-hand-warm"
    } else if celsius < 60.0 {
        "felt-hot"
    } else {
        "felt-too-hot"
    };
    let mut lines = vec![about(warmth, tag)];
    if humming(plant, &plan, part).is_some() {
        lines.push(about("felt-trembles", tag));
    }
    if rushes(plant, &plan, part).is_some() {
        lines.push(about("felt-rush", tag));
    }
    lines
}
