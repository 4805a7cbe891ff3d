//! What makes a sheet readable, as geometry: no label on a label or on a stroke, in any state of the bench.

use std::sync::Arc;

use spoolbench::bench::Bench;
use spoolbench::drawing::live::{CoilLive, Live, apply};
use spoolbench::drawing::sheet::Area;
use spoolbench::drawing::{Ink, Mark, Point, Shape, Sheet, Subject, control, power, seam};
use spoolbench::plant::{Element, Plant};

use super::drawings::{STYLES, complain, shipped};

/// The texts that are shown, each with its room.
pub fn texts(sheet: &Sheet) -> Vec<(&str, Area)> {
    sheet
        .marks
        .iter()
        .filter(|m| m.shown)
        .filter_map(|m| match &m.shape {
            Shape::Text { text, .. } => Some((text.as_str(), m.shape.area())),
            _ => None,
        })
        .collect()
}

/// Whether a straight piece has a point inside an area.
pub fn crosses(a: Point, b: Point, area: &Area) -> bool {
    // Clipped against the four sides.
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    for (p, q) in [
        (-dx, a.x - area.left),
        (dx, area.right - a.x),
        (-dy, a.y - area.top),
        (dy, area.bottom - a.y),
    ] {
        if p.abs() < 1e-12 {
            if q < 0.0 {
                return false;
            }
        } else if p < 0.0 {
            low = low.max(q / p);
        } else {
            high = high.min(q / p);
        }
    }
    low < high
}

/// The straight pieces that a mark is drawn with; round ones as chords that leave them by less than a
/// hundredth of a module.
pub fn pieces(mark: &Mark) -> Vec<(Point, Point)> {
    let round = |centre: &Point, radius: f64, from: f64, sweep: f64| {
        let at = |k: u32| {
            let angle = from + sweep * f64::from(k) / 32.0;
            Point::new(centre.x + radius * angle.cos(), centre.y + radius * angle.sin())
        };
        (0..32).map(|k| (at(k), at(k + 1))).collect()
    };
    match &mark.shape {
        Shape::Path { points, closed } => {
            let mut list: Vec<_> = points.windows(2).map(|p| (p[0], p[1])).collect();
            if let (true, Some(first), Some(last)) = (closed, points.first(), points.last()) {
                list.push((*last, *first));
            }
            list
        }
        Shape::Circle { centre, radius } => round(centre, *radius, 0.0, std::f64::consts::TAU),
        Shape::Arc { centre, radius, from_rad, sweep_rad } => {
            round(centre, *radius, *from_rad, *sweep_rad)
        }
        Shape::Text { .. } => Vec::new(),
    }
}

/// What the letters of a text fill: nothing hangs below the foot of one without tails, and the width is an
/// upper bound.
fn ink(text: &str, area: &Area) -> Area {
    let height = (area.bottom - area.top) / 1.28;
    let tails = text.contains(['g', 'j', 'p', 'q', 'y', 'Q', ',', ';', '(', ')', '/']);
    let bottom = if tails { area.bottom } else { area.top + height };
    let aside = 0.08 * (area.right - area.left).min(1.0);
    Area { left: area.left + aside, right: area.right - aside, bottom, ..*area }
}

/// Labels that lie on labels or on strokes.
pub fn unreadable(sheet: &Sheet) -> Vec<String> {
    let texts = texts(sheet);
    let mut problems = Vec::new();
    for (k, (text, area)) in texts.iter().enumerate() {
        for (other, there) in &texts[k + 1..] {
            if area.overlaps(there) {
                problems.push(format!("\"{text}\" lies on \"{other}\""));
            }
        }
        let inner = ink(text, area);
        for mark in sheet.marks.iter().filter(|m| m.shown) {
            if pieces(mark).iter().any(|(a, b)| crosses(*a, *b, &inner)) {
                problems.push(format!("a stroke of {:?} runs through \"{text}\"", mark.subject));
            }
        }
        let out = area.left < 0.0
            || area.top < 0.0
            || area.right > sheet.width
            || area.bottom > sheet.height;
        if out {
            problems.push(format!("\"{text}\" is off the sheet"));
        }
    }
    problems
}

/// A state of the whole bench: every number there is, as long as it gets, with spools and pistons where
/// they are told and every contact as told.
fn state(bench: &Bench, spool: f64, out: f64, closed: bool) -> Live {
    let plan = Arc::new(bench.plan.clone());
    let mut live = Live::of(&mut Plant::nominal(plan));
    for (tag, at) in &mut live.spools {
        let part = &bench.plan.parts[bench.plan.part(tag).expect("a valve").index()];
        let range = part.elements.iter().find_map(|(_, e)| match e {
            Element::Spool(s) => Some(bench.plan.nominal.spools[s.index()].range()),
            _ => None,
        });
        // A slide that a hand moves goes from 0 to 1.
        let (least, most) = range.unwrap_or((0.0, 1.0));
        *at = spool.clamp(least, most);
    }
    for piston in live.pistons.values_mut() {
        piston.out_m = out * piston.stroke_m;
    }
    for contact in live.contacts.values_mut() {
        *contact = closed;
    }
    for coil in live.coils.values_mut() {
        *coil = CoilLive { amps: -88.88, celsius: 188.0, pulled_in: true, burnt: false };
    }
    live.test_points.values_mut().for_each(|pa| *pa = 288.8e5);
    live.wires.values_mut().for_each(|a| *a = 1.0);
    live.lines.values_mut().for_each(|pa| *pa = 100e5);
    live
}

/// With the boxes over any port, rods in and out, contacts open and closed and every number shown, every
/// label can still be read.
#[test]
fn labels_can_be_read_wherever_things_move() {
    let mut problems = std::collections::BTreeSet::new();
    for (name, bench) in shipped() {
        let fluid = power::sheet(&bench.plan);
        let seam = seam::sheet(&bench.plan);
        let control = STYLES.map(|style| control::sheet(&bench.plan, style));
        for (spool, out, closed) in [(-1.0, 0.0, false), (0.0, 0.5, true), (1.0, 1.0, false)] {
            let live = state(&bench, spool, out, closed);
            for sheet in control.iter().chain([&fluid, &seam]) {
                for problem in unreadable(&apply(sheet, &live)) {
                    problems.insert(format!("{name} {}: {problem}", sheet.title));
                }
            }
        }
    }
    complain(&problems.into_iter().collect::<Vec<_>>());
}

/// The checks above find what they look for.
#[test]
fn a_label_on_a_label_or_on_a_stroke_is_found() {
    let mut sheet = Sheet { width: 20.0, height: 20.0, ..Sheet::default() };
    let text = |x: f64, text: &str| Mark {
        shape: Shape::Text {
            at: Point::new(x, 10.0),
            text: text.to_owned(),
            height: 1.0,
            align: spoolbench::drawing::Align::Start,
        },
        ink: Ink::Outline,
        subject: Subject::Paper,
        shown: true,
        weight: 1.0,
    };
    sheet.marks = vec![text(5.0, "K1"), text(10.0, "K2")];
    assert!(unreadable(&sheet).is_empty());
    sheet.marks.push(text(6.0, "K3"));
    assert_eq!(unreadable(&sheet).len(), 1);
    let points = vec![Point::new(0.0, 9.5), Point::new(5.5, 9.5)];
    let mut stroke = text(0.0, "");
    stroke.shape = Shape::Path { points, closed: false };
    sheet.marks[2] = stroke;
    assert_eq!(unreadable(&sheet).len(), 1);
}
