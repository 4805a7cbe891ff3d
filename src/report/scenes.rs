//! The drawings of a machine at key moments of an attempt: its state drawn in, its faults marked.

use maud::{Markup, PreEscaped, html};

use crate::drawing::{
    Area, Ink, Mark, Point, Shape, Sheet, Style, Subject, control, live, power, sheet::text_width,
};
use crate::language::Phrase;
use crate::scenario::Scenario;

use super::attempt::tenths;
use super::film::{Fault, Film, Moment, Scene};
use super::reader::Reader;
use super::svg;

/// Room between a faulty part and the frame around it [modules].
const ROOM: f64 = 0.8;
/// Height of the capitals of a fault's name [modules].
const CAPITAL: f64 = 1.0;

/// The scenes of `film` on the sheets of its bench; nothing if the bench has no drawing.
#[must_use]
pub fn scenes(scenario: &Scenario, film: &Film, reader: &Reader) -> Markup {
    let plan = scenario.plan.as_ref();
    let sheets = [
        ("sheet-power", "power", power::sheet(plan)),
        ("sheet-control", "control", control::sheet(plan, Style::default())),
    ];
    let drawn: Vec<_> = sheets.iter().filter(|s| !s.2.marks.is_empty()).collect();
    html! {
        @if !drawn.is_empty() && !film.moments.is_empty() {
            h2 { (reader.say("scenes-heading")) }
            @for (k, moment) in film.moments.iter().enumerate() {
                @for (which, id, sheet) in &drawn {
                    figure class="sheet" {
                        figcaption {
                            strong { (reader.say(which)) ". " }
                            (caption(moment, reader))
                        }
                        (PreEscaped(svg::element(
                            &staged(sheet, scenario, moment),
                            &format!("scene-{}-{id}", k + 1),
                        )))
                    }
                }
            }
        }
    }
}

fn caption(moment: &Moment, reader: &Reader) -> Markup {
    let id = match moment.scene {
        Scene::Symptom => "scene-symptom",
        Scene::Danger => "scene-danger",
        Scene::BeforeRepair => "scene-before-repair",
        Scene::End => "scene-end",
    };
    let said = Phrase::new(id)
        .with("at", tenths(&moment.at.to_string()))
        .with("action", moment.action.to_string());
    let faults: Vec<String> =
        moment.faults.iter().map(|f| format!("{} {}", f.part, f.mode)).collect();
    html! {
        (reader.words.phrase(&said)) " "
        @if faults.is_empty() {
            (reader.say("scene-sound"))
        } @else {
            (reader.fill("scene-faults", "faults", faults.join(", ")))
        }
    }
}

/// The sheet with the state of the moment and marks at the faulty parts.
fn staged(sheet: &Sheet, scenario: &Scenario, moment: &Moment) -> Sheet {
    let mut rig = moment.rig.clone();
    let state = live::Live::of(rig.plant_mut());
    let mut drawn = live::apply(sheet, &state);
    for fault in &moment.faults {
        // Where in the part it sits, as far as the scenario says: a script may not.
        let role = scenario
            .faults
            .iter()
            .find(|f| f.part == fault.part && f.mode == fault.mode)
            .and_then(|f| f.role.clone());
        flag(&mut drawn, fault, role.as_deref());
    }
    drawn
}

/// Marks a faulty part: a frame around it, a flash and the fault's name.
fn flag(sheet: &mut Sheet, fault: &Fault, role: Option<&str>) {
    let part = fault.part.as_str();
    let contact = role.map(|role| format!("{part}:{role}"));
    let coil = role.map(|role| format!("{part}.{role}"));
    let at_role = |subject: &Subject| match subject {
        Subject::Contact(name, _) => contact.as_ref() == Some(name),
        Subject::Coil(name) => coil.as_ref() == Some(name),
        _ => false,
    };
    let at_part = |subject: &Subject| match subject {
        Subject::Part(tag)
        | Subject::Spool(tag)
        | Subject::Piston(tag)
        | Subject::Lamp(tag)
        | Subject::Wire(tag) => tag == part,
        _ => false,
    };
    let narrow = sheet.marks.iter().any(|m| at_role(&m.subject));
    let is_part = |subject: &Subject| if narrow { at_role(subject) } else { at_part(subject) };
    // A part may stand at several places: its coil here, its contacts there. Places far apart get
    // frames of their own.
    let mut places: Vec<Area> = Vec::new();
    let text = |m: &Mark| matches!(m.shape, Shape::Text { .. });
    for mark in sheet.marks.iter().filter(|m| is_part(&m.subject) && !text(m)) {
        let area = mark.shape.area();
        if area.is_empty() {
            continue;
        }
        let near = places.iter().position(|p| p.grown(2.0).overlaps(&area));
        match near {
            Some(k) => places[k].include(area),
            None => places.push(area),
        }
    }
    let name = fault.mode.as_str();
    for place in places {
        let frame = place.grown(ROOM);
        let corner = |x: f64, y: f64| Point { x, y };
        let paper = |shape: Shape, ink: Ink, weight: f64| Mark {
            shape,
            ink,
            subject: Subject::Paper,
            shown: true,
            weight,
        };
        sheet.marks.push(paper(
            Shape::Path {
                points: vec![
                    corner(frame.left, frame.top),
                    corner(frame.right, frame.top),
                    corner(frame.right, frame.bottom),
                    corner(frame.left, frame.bottom),
                ],
                closed: true,
            },
            Ink::Pilot,
            2.0,
        ));
        let (x, y) = (frame.right, frame.top);
        sheet.marks.push(paper(
            Shape::Path {
                points: [
                    (0.2, -1.5),
                    (-0.7, 0.3),
                    (0.0, 0.3),
                    (-0.4, 1.6),
                    (0.8, -0.4),
                    (0.1, -0.4),
                    (0.7, -1.5),
                ]
                .iter()
                .map(|(dx, dy)| corner(x + dx, y + dy))
                .collect(),
                closed: true,
            },
            Ink::Solid,
            1.0,
        ));
        // The name stands where there is room on the sheet.
        let width = text_width(name, CAPITAL);
        let left =
            if x + 1.0 + width < sheet.width { x + 1.0 } else { (frame.left - width).max(0.2) };
        sheet.marks.push(paper(
            Shape::Text {
                at: corner(left, (y - 0.3).max(CAPITAL + 0.2)),
                text: name.to_owned(),
                height: CAPITAL,
                align: crate::drawing::Align::Start,
            },
            Ink::Solid,
            1.0,
        ));
    }
}
