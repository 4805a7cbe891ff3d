//! Happenings as scripts name them: "K1 acts", "1A1 reaches extended".

use crate::plant::{Element, Plan, What};

use super::inject::find_part;
use crate::base::nearest;
use crate::language::Phrase;

/// What every happening is called, for the help text.
const VERBS: &str = "acts, rests, closes, opens, lights, goes out, blows, burns, starts, stops, \
     reaches a, reaches b, reaches centre, leaves a, leaves b, leaves centre, \
     reaches extended, reaches retracted, leaves extended, leaves retracted";

/// Looks up the happenings that `text` names; never empty.
///
/// # Errors
/// What is wrong, and what to do about it.
pub(super) fn parse(plan: &Plan, text: &str) -> Result<Vec<What>, (Phrase, Phrase)> {
    let text = text.trim();
    let (name, verb) = text.split_once(' ').unwrap_or((text, ""));
    let verb = verb.split_whitespace().collect::<Vec<_>>().join(" ");
    let (tag, role) = name.split_once(':').map_or((name, None), |(tag, role)| (tag, Some(role)));
    let part = find_part(plan, tag).map_err(|e| (e.phrase(), e.help()))?;
    let elements = &plan.parts[part.index()].elements;
    let mut found = Vec::new();
    for (element_role, element) in elements {
        if role.is_some_and(|role| role != element_role) {
            continue;
        }
        if let Some(what) = named(plan, *element, &verb) {
            found.push(what);
        }
    }
    if !found.is_empty() {
        return Ok(found);
    }
    let known = VERBS.split(", ").map(str::trim);
    let help = match nearest(&verb, known.clone()) {
        Some(near) if near != verb => {
            Phrase::new("did-you-mean-text").with("nearest", format!("{name} {near}"))
        }
        Some(_) => Phrase::new("script-never").with("name", name),
        None => Phrase::new("script-write-happening").with("verbs", VERBS),
    };
    Err((Phrase::new("script-no-happening").with("text", text), help))
}

fn named(plan: &Plan, element: Element, verb: &str) -> Option<What> {
    Some(match (element, verb) {
        (Element::Operator(id), "acts") => What::Acts(id),
        (Element::Operator(id), "rests") => What::Rests(id),
        (Element::Contact(id), "closes") => What::Closed(id),
        (Element::Contact(id), "opens") => What::Opened(id),
        (Element::Fuse(id), "blows") => What::Blew(id),
        (Element::Winding(id), "burns") => What::Burnt(id),
        (Element::Pump(id), "starts") => What::PumpStarted(id),
        (Element::Pump(id), "stops") => What::PumpStopped(id),
        (Element::Spool(id), "reaches a") => What::SpoolReached(id, 1),
        (Element::Spool(id), "reaches b") => What::SpoolReached(id, -1),
        (Element::Spool(id), "reaches centre") => What::SpoolReached(id, 0),
        (Element::Spool(id), "leaves a") => What::SpoolLeft(id, 1),
        (Element::Spool(id), "leaves b") => What::SpoolLeft(id, -1),
        (Element::Spool(id), "leaves centre") => What::SpoolLeft(id, 0),
        (Element::Piston(id), "reaches extended") => What::PistonReached(id, true),
        (Element::Piston(id), "reaches retracted") => What::PistonReached(id, false),
        (Element::Piston(id), "leaves extended") => What::PistonLeft(id, true),
        (Element::Piston(id), "leaves retracted") => What::PistonLeft(id, false),
        (Element::Branch(id), "lights" | "goes out") => {
            let lamp = plan.lamps.iter().position(|l| l.branch == id)?;
            if verb == "lights" { What::Lit(lamp) } else { What::Out(lamp) }
        }
        _ => return None,
    })
}
