//! What can be picked on a sheet, and what lies under the pointer.

use std::collections::BTreeMap;

use crate::drawing::{Area, Point, Shape, Sheet, Subject};

/// Marks of one subject that lie farther apart than this make two spots [modules].
const NEAR: f64 = 1.5;
/// A wire or line is picked within this distance [modules].
const REACH: f64 = 0.9;
/// Least half width of a spot for a terminal, port or test point [modules].
const SPOT: f64 = 0.8;

/// Everything on the sheet that can be picked: large things first, so that small ones lie on top.
pub(super) fn spots(sheet: &Sheet) -> Vec<(Subject, Area)> {
    let mut by_subject: BTreeMap<Subject, Vec<Area>> = BTreeMap::new();
    for mark in &sheet.marks {
        let subject = match &mark.subject {
            Subject::Paper | Subject::Wire(_) | Subject::Line { .. } => continue,
            Subject::Contact(name, _) => Subject::Contact(name.clone(), false),
            // The earth has no part and is named by itself.
            Subject::Terminal(name) if name == "PE:PE" => Subject::Terminal("PE".to_owned()),
            Subject::Spool(tag) | Subject::Piston(tag) | Subject::Lamp(tag) => {
                Subject::Part(tag.clone())
            }
            other => other.clone(),
        };
        let area = mark.shape.area();
        if !area.is_empty() {
            by_subject.entry(subject).or_default().push(area);
        }
    }
    let mut spots = Vec::new();
    for (subject, areas) in by_subject {
        for area in clusters(areas) {
            spots.push((subject.clone(), pickable(&subject, area)));
        }
    }
    let rank = |s: &Subject| match s {
        Subject::Part(_) => 0,
        Subject::Contact(..) | Subject::Coil(_) => 1,
        _ => 2,
    };
    spots.sort_by_key(|(subject, _)| rank(subject));
    spots
}

/// A small spot is made large enough to be hit.
fn pickable(subject: &Subject, area: Area) -> Area {
    if !matches!(subject, Subject::Terminal(_) | Subject::Port(_) | Subject::TestPoint(_)) {
        return area;
    }
    let (x, y) = ((area.left + area.right) / 2.0, (area.top + area.bottom) / 2.0);
    let (w, h) = ((area.right - area.left) / 2.0, (area.bottom - area.top) / 2.0);
    let (w, h) = (w.max(SPOT), h.max(SPOT));
    Area { left: x - w, top: y - h, right: x + w, bottom: y + h }
}

/// Areas that lie near each other, put together.
fn clusters(areas: Vec<Area>) -> Vec<Area> {
    let mut found: Vec<Area> = Vec::new();
    for area in areas {
        let mut whole = area;
        loop {
            let near = found.iter().position(|a| a.grown(NEAR).overlaps(&whole));
            let Some(k) = near else { break };
            whole.include(found.swap_remove(k));
        }
        found.push(whole);
    }
    found
}

/// The wire or line within reach of a place, the nearest one.
pub(super) fn line_at(sheet: &Sheet, place: Point) -> Option<Subject> {
    let mut best: Option<(f64, &Subject)> = None;
    for mark in &sheet.marks {
        let Shape::Path { points, .. } = &mark.shape else { continue };
        if !matches!(mark.subject, Subject::Wire(_) | Subject::Line { .. }) {
            continue;
        }
        for pair in points.windows(2) {
            let away = distance(place, pair[0], pair[1]);
            if away < REACH && best.is_none_or(|b| away < b.0) {
                best = Some((away, &mark.subject));
            }
        }
    }
    best.map(|b| b.1.clone())
}

/// Distance of `p` from the piece between `a` and `b`.
fn distance(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let length = dx * dx + dy * dy;
    let along = if length > 0.0 {
        (((p.x - a.x) * dx + (p.y - a.y) * dy) / length).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let (x, y) = (p.x - a.x - along * dx, p.y - a.y - along * dy);
    (x * x + y * y).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Ink, Mark};

    fn mark(subject: Subject, points: &[(f64, f64)]) -> Mark {
        Mark {
            shape: Shape::Path {
                points: points.iter().map(|p| Point { x: p.0, y: p.1 }).collect(),
                closed: false,
            },
            ink: Ink::Conductor,
            subject,
            shown: true,
            weight: 1.0,
        }
    }

    #[test]
    fn one_part_drawn_in_two_places_makes_two_spots() {
        let part = |x: f64| mark(Subject::Part("K1".into()), &[(x, 0.0), (x + 2.0, 2.0)]);
        let sheet = Sheet { marks: vec![part(0.0), part(1.0), part(30.0)], ..Sheet::default() };
        let spots = spots(&sheet);
        assert_eq!(spots.len(), 2);
        assert!(spots.iter().any(|(_, a)| a.left == 0.0 && a.right == 3.0));
    }

    #[test]
    fn the_nearest_wire_is_picked_and_none_from_afar() {
        let sheet = Sheet {
            marks: vec![
                mark(Subject::Wire("W1".into()), &[(0.0, 0.0), (10.0, 0.0)]),
                mark(Subject::Wire("W2".into()), &[(0.0, 1.0), (10.0, 1.0)]),
            ],
            ..Sheet::default()
        };
        let at = |x: f64, y: f64| line_at(&sheet, Point { x, y });
        assert_eq!(at(5.0, 0.2), Some(Subject::Wire("W1".into())));
        assert_eq!(at(5.0, 0.7), Some(Subject::Wire("W2".into())));
        assert_eq!(at(5.0, 5.0), None);
    }
}
