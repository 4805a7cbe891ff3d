//! The drawings of a machine at key moments of an attempt: its state drawn in, its faults marked.

use maud::{Markup, PreEscaped, html};

use crate::drawing::{
    Area, Ink, Mark, Point, Shape, Sheet, Style, Subject, control, live, power, sheet::text_width,
};
use crate::language::Phrase;
use crate::scenario::Scenario;

use super::attempt::tenths;
use super::film::{Fault, Film, Moment, Scene};
use super::lab_sheet::UPRIGHT;
use super::reader::Reader;
use super::svg;

/// Most words beside a faulty part that come into the frame around it.
const WORDS_INSIDE: usize = 8;
/// Room between a faulty part and the frame around it [modules].
const ROOM: f64 = 0.8;
/// Places of a part that lie this near to one another share a frame [modules].
const NEAR: f64 = 2.0 + 2.0 * ROOM;
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
                    figure class=(if sheet.width > UPRIGHT { "sheet wide" } else { "sheet" }) {
                        figcaption {
                            strong { (reader.say(which)) ". " }
                            (caption(moment, reader))
                        }
                        (PreEscaped(svg::element(
                            &staged(sheet, moment, reader),
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
    let faults: Vec<String> = moment
        .faults
        .iter()
        .map(|f| {
            let role = f.role.iter().map(|role| format!(" {role}")).collect::<String>();
            reader.words.fault(&format!("{} {}{role}", f.part, f.mode))
        })
        .collect();
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
fn staged(sheet: &Sheet, moment: &Moment, reader: &Reader) -> Sheet {
    let mut rig = moment.rig.clone();
    let state = live::Live::of(rig.plant_mut());
    let mut drawn = reader.sheet(&live::apply(sheet, &state));
    for fault in &moment.faults {
        flag(&mut drawn, fault, &reader.words.mode(&fault.mode));
    }
    drawn
}

/// Marks a faulty part: a frame around it, a flash and the fault's name.
fn flag(sheet: &mut Sheet, fault: &Fault, name: &str) {
    let (part, role) = (fault.part.as_str(), fault.role.as_deref());
    let contact = role.map(|role| format!("{part}:{role}"));
    // The winding of `coil b` is drawn as `.b`, that of a relay's `coil` as `.coil`.
    let coil = role.map(|role| format!("{part}.{}", role.strip_prefix("coil ").unwrap_or(role)));
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
        let mut area = area;
        // Joined with all that are near, and with what is near to those.
        while let Some(k) = places.iter().position(|p| p.grown(NEAR).overlaps(&area)) {
            area.include(places.swap_remove(k));
        }
        places.push(area);
    }
    places.sort_by(|a, b| a.top.total_cmp(&b.top).then(a.left.total_cmp(&b.left)));
    let mut named = false;
    for place in places {
        let frame = frame_of(sheet, &place);
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
        let Point { x, y } = flash_of(sheet, &frame);
        sheet.marks.push(paper(
            Shape::Path {
                points: FLASH.iter().map(|(dx, dy)| corner(x + dx, y + dy)).collect(),
                closed: true,
            },
            Ink::Solid,
            1.0,
        ));
        // The name stands once, where there is room.
        let Some(at) = free_place(sheet, &frame, text_width(name, CAPITAL), named) else {
            continue;
        };
        named = true;
        sheet.marks.push(paper(
            Shape::Text {
                at,
                text: name.to_owned(),
                height: CAPITAL,
                align: crate::drawing::Align::Start,
            },
            Ink::Solid,
            1.0,
        ));
    }
}

/// A flash around its middle [modules].
const FLASH: [(f64, f64); 7] =
    [(0.2, -1.5), (-0.7, 0.3), (0.0, 0.3), (-0.4, 1.6), (0.8, -0.4), (0.1, -0.4), (0.7, -1.5)];

/// The rooms of all that is written on the sheet.
fn words_on(sheet: &Sheet) -> Vec<Area> {
    let text = |m: &&Mark| m.shown && matches!(m.shape, Shape::Text { .. });
    sheet.marks.iter().filter(text).map(|m| m.shape.area()).collect()
}

/// Whether `area` touches anything written on the sheet.
fn written_on(sheet: &Sheet, area: &Area) -> bool {
    words_on(sheet).iter().any(|word| word.overlaps(area))
}

/// The frame around a faulty part: as wide as what is written beside it allows, or else around that
/// as well.
fn frame_of(sheet: &Sheet, place: &Area) -> Area {
    let rooms = [ROOM, 0.6 * ROOM, 0.3 * ROOM];
    let frames = rooms.map(|room| place.grown(room));
    let free = |frame: &Area| crossed(sheet, frame).is_none();
    if let Some(frame) = frames.into_iter().find(free) {
        return frame;
    }
    let mut wide = frames[1];
    for _ in 0..WORDS_INSIDE {
        let Some(word) = crossed(sheet, &wide) else { return wide };
        wide.include(word.grown(0.3 * ROOM));
    }
    frames[1]
}

/// A word that a side of `frame` runs through.
fn crossed(sheet: &Sheet, frame: &Area) -> Option<Area> {
    let Area { left, top, right, bottom } = *frame;
    let side = |left, top, right, bottom| Area { left, top, right, bottom }.grown(0.1);
    let sides = [
        side(left, top, right, top),
        side(left, bottom, right, bottom),
        side(left, top, left, bottom),
        side(right, top, right, bottom),
    ];
    let words = words_on(sheet);
    words.into_iter().find(|word| sides.iter().any(|side| word.overlaps(side)))
}

/// The corner of the frame where the flash covers nothing that is written.
fn flash_of(sheet: &Sheet, frame: &Area) -> Point {
    let corners = [
        Point::new(frame.right, frame.top),
        Point::new(frame.left, frame.top),
        Point::new(frame.left, frame.bottom),
        Point::new(frame.right, frame.bottom),
    ];
    let clear = |at: &&Point| {
        let area =
            Area { left: at.x - 0.8, top: at.y - 1.6, right: at.x + 0.9, bottom: at.y + 1.7 };
        area.left > 0.0 && area.top > 0.0 && !written_on(sheet, &area)
    };
    corners.iter().find(clear).copied().unwrap_or(corners[0])
}

/// Where a name of this width can stand beside `frame` without touching anything; a name that must be
/// written stands above the frame if nothing is free.
fn free_place(sheet: &Sheet, frame: &Area, width: f64, named: bool) -> Option<Point> {
    if named {
        return None;
    }
    let beside = [
        (frame.right + 1.0, frame.top - 0.3),
        (frame.right - width, frame.top - 2.0),
        (frame.left, frame.top - 0.5),
        (frame.left - width - 0.4, frame.top + CAPITAL),
        (frame.left, frame.bottom + CAPITAL + 0.4),
        (frame.left - width - 0.4, frame.bottom),
        (frame.right + 0.4, frame.bottom),
        (frame.left, frame.bottom + 3.0 * CAPITAL),
        (frame.right + 0.4, frame.bottom + 2.0 * CAPITAL),
    ];
    let covers = |mark: &Mark, area: &Area| match &mark.shape {
        Shape::Path { points, .. } => points.windows(2).any(|pair| {
            let mut piece = Area::EMPTY;
            for p in pair {
                piece.include(Area { left: p.x, top: p.y, right: p.x, bottom: p.y });
            }
            piece.grown(0.1).overlaps(area)
        }),
        other => other.area().overlaps(area),
    };
    let places = beside.map(|(left, base)| {
        Point::new(left.clamp(0.2, (sheet.width - width).max(0.2)), base.max(CAPITAL + 0.2))
    });
    let free = |at: &&Point| {
        let area =
            Area { left: at.x, top: at.y - CAPITAL, right: at.x + width, bottom: at.y + 0.3 };
        area.bottom < sheet.height && !sheet.marks.iter().any(|m| m.shown && covers(m, &area))
    };
    places.iter().find(free).or(places.first()).copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Diagnostics, Sources};
    use crate::scenario::{Shipped, load_any};

    /// Flashes on the sheets of the gripper for this fault of its valve.
    fn flashes(mode: &str, role: Option<&str>) -> [usize; 2] {
        let plan =
            load_any(&Shipped, "gripper.bench.ron", &mut Sources::new(), &mut Diagnostics::new())
                .expect("a bench")
                .plan;
        let role = role.map(str::to_owned);
        let fault = Fault { part: "1V1".to_owned(), mode: mode.to_owned(), role };
        // Some symbols have a path of as many points.
        let count = |sheet: &Sheet| {
            let flash = |m: &&Mark| matches!(&m.shape, Shape::Path { points, .. } if points.len() == FLASH.len());
            sheet.marks.iter().filter(flash).count()
        };
        [power::sheet(&plan), control::sheet(&plan, Style::default())].map(|mut sheet| {
            let before = count(&sheet);
            flag(&mut sheet, &fault, mode);
            count(&sheet) - before
        })
    }

    /// A coil is drawn on both sheets, a spool with its valve; each once.
    #[test]
    fn a_fault_of_a_coil_is_marked_at_that_coil_alone() {
        let bare = flashes("open", None);
        assert!(bare[1] > 1, "a valve's coils stand apart: {bare:?}");
        assert_eq!(flashes("open", Some("coil b")), [1, 1]);
    }

    /// A sheet with a word whose text begins at `x`, on the line `y`.
    fn sheet(x: f64, y: f64) -> Sheet {
        let text = Shape::Text {
            at: Point::new(x, y),
            text: "CV1".to_owned(),
            height: CAPITAL,
            align: crate::drawing::Align::Start,
        };
        let word = Mark {
            shape: text,
            ink: Ink::Solid,
            subject: Subject::Paper,
            shown: true,
            weight: 1.0,
        };
        Sheet {
            title: String::new(),
            width: 40.0,
            height: 40.0,
            marks: vec![word],
            motions: Vec::new(),
            rooms: Vec::new(),
        }
    }

    #[test]
    fn a_flash_and_a_frame_leave_words_alone() {
        let place = Area { left: 10.0, top: 10.0, right: 14.0, bottom: 14.0 };
        let free = sheet(30.0, 30.0);
        assert_eq!(frame_of(&free, &place), place.grown(ROOM));
        let at = flash_of(&free, &place);
        assert_eq!((at.x, at.y), (14.0, 10.0));
        // A word half a module beside the part, at the upper right.
        let beside = sheet(14.5, 10.5);
        let frame = frame_of(&beside, &place);
        assert!(frame.right < 14.5 && !written_on(&beside, &place.grown(0.3 * ROOM)), "{frame:?}");
        let at = flash_of(&beside, &frame);
        assert!(at.x < 11.0, "{at:?}");
        // One at its very edge comes into the frame, and what that brings near, too.
        let mut edge = sheet(13.8, 12.0);
        edge.marks.extend(sheet(16.0, 12.5).marks);
        let frame = frame_of(&edge, &place);
        assert!(crossed(&edge, &frame).is_none() && frame.left == 10.0 - 0.6 * ROOM, "{frame:?}");
        assert!(edge.marks.iter().all(|m| frame.overlaps(&m.shape.area())), "{frame:?}");
    }
}
