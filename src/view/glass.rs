//! A sheet under the glass: painted with its live state, and picked from by mouse and keys.

use std::collections::BTreeMap;

use bevy_egui::egui::{
    self, Align2, Color32, CornerRadius, FontId, Id, Pos2, Rect, Sense, Shape as Ink2, Stroke,
    StrokeKind, Ui, vec2,
};

use crate::drawing::live::{Live, apply};
use crate::drawing::{Align, Area, Ink, Mark, Point, Shape, Sheet, Subject};
use crate::plant::Plan;

use super::camera::{Camera, Placed};
use super::paper::Inks;
use super::tools::name_of;

/// Height of a capital as a share of the font's size [1].
const CAPITAL: f32 = 0.70;
/// What hangs below the foot of the text as a share of the font's size [1].
const DESCENT: f32 = 0.22;
/// Marks of one subject that lie farther apart than this make two spots [modules].
const NEAR: f64 = 1.5;
/// A wire or line is picked within this distance [modules].
const REACH: f64 = 0.9;
/// Least half width of a spot for a terminal, port or test point [modules].
const SPOT: f64 = 0.8;
/// Pattern of what moves along wires and lines [points]: mark, space.
const DASH: (f32, f32) = (5.0, 9.0);

/// Names of everything that can be clicked, with its place on the screen.
pub type Spots = BTreeMap<String, Rect>;

/// How a sheet is to look.
pub struct Look<'a> {
    /// The plan, for names.
    pub plan: &'a Plan,
    /// The inks.
    pub inks: Inks,
    /// What is known of the run.
    pub live: &'a Live,
    /// What is picked.
    pub picked: Option<&'a Subject>,
    /// Terminals of the red and the black lead.
    pub leads: (Option<&'a str>, Option<&'a str>),
    /// Test points and ports that carry a gauge, with what it last showed.
    pub gauges: &'a BTreeMap<String, String>,
    /// Parts struck from the suspects.
    pub struck: &'a [String],
    /// Wall-clock time since the last frame for what moves along lines; 0 when the bench stands [s].
    pub flow_s: f32,
}

/// A sheet and how it lies.
pub struct Glass {
    sheet: Sheet,
    camera: Camera,
    spots: Vec<(Subject, Area)>,
    phases: BTreeMap<Subject, f32>,
    /// Whether anything moved along the lines in the last frame.
    flowing: bool,
}

impl Glass {
    /// Lays `sheet` under the glass.
    #[must_use]
    pub fn new(sheet: Sheet) -> Glass {
        let spots = spots(&sheet);
        Glass { sheet, camera: Camera::default(), spots, phases: BTreeMap::new(), flowing: false }
    }

    /// Lets the whole sheet be seen.
    pub fn fit(&mut self) {
        self.camera.fit();
    }

    /// Zooms about the middle of `zone`.
    pub fn zoom(&mut self, factor: f32, zone: Rect) {
        self.camera.zoom(factor, zone.center(), zone);
    }

    /// Moves the sheet.
    pub fn pan(&mut self, by: egui::Vec2) {
        self.camera.pan(by);
    }

    /// Whether anything moves along its lines.
    #[must_use]
    pub fn flowing(&self) -> bool {
        self.flowing
    }

    /// Paints the sheet in `zone`; gives what was picked.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        zone: Rect,
        name: &str,
        look: &Look,
        places: &mut Spots,
    ) -> Option<Subject> {
        let id = Id::new(("sheet", name));
        let board = ui.interact(zone, id, Sense::click_and_drag());
        if board.dragged() {
            self.camera.pan(board.drag_delta());
        }
        if let Some(pointer) = ui.input(|i| i.pointer.hover_pos()).filter(|p| zone.contains(*p)) {
            let (wheel, pinch) = ui.input(|i| (i.smooth_scroll_delta.y, i.zoom_delta()));
            let factor = pinch * (wheel / 240.0).exp();
            if (factor - 1.0).abs() > 1e-4 {
                self.camera.zoom(factor, pointer, zone);
            }
        }
        let placed = self.camera.place(&self.sheet, zone);
        let painter = ui.painter_at(zone);
        painter.rect_filled(zone, CornerRadius::ZERO, look.inks.paper);
        let drawn = apply(&self.sheet, look.live);
        for mark in drawn.marks.iter().filter(|m| m.shown) {
            paint(&painter, &placed, mark, look);
        }
        self.march(&painter, &placed, &drawn, look);
        self.pins(&painter, &placed, look);
        painter.rect_stroke(
            zone.shrink(0.5),
            CornerRadius::ZERO,
            Stroke::new(1.0, look.inks.ink),
            StrokeKind::Inside,
        );
        let mut picked = None;
        for (k, (subject, area)) in self.spots.iter().enumerate() {
            let rect = on_screen(&placed, area).intersect(zone);
            if !rect.is_positive() {
                continue;
            }
            let title = name_of(look.plan, subject);
            places.insert(format!("{} {}", kind(subject), title), rect);
            let spot = ui.interact(rect, id.with(k), Sense::click());
            if spot.has_focus() || spot.hovered() || look.picked == Some(subject) {
                let width = if spot.has_focus() { 2.5 } else { 1.2 };
                let stroke = Stroke::new(width, look.inks.mark);
                painter.rect_stroke(rect, CornerRadius::ZERO, stroke, StrokeKind::Outside);
            }
            if spot.clicked() {
                picked = Some(subject.clone());
            }
            spot.on_hover_text(title);
        }
        if picked.is_none()
            && board.clicked()
            && let Some(pointer) = board.interact_pointer_pos()
        {
            let near = line_at(&self.sheet, placed.back(pointer));
            picked = Some(near.unwrap_or(Subject::Paper));
        }
        picked
    }

    /// What moves along wires and lines: gaps in the line that run with current and flow.
    fn march(&mut self, painter: &egui::Painter, placed: &Placed, drawn: &Sheet, look: &Look) {
        self.flowing = false;
        let mut seen: Option<Subject> = None;
        for mark in drawn.marks.iter().filter(|m| m.shown) {
            let Shape::Path { points, closed: false } = &mark.shape else { continue };
            let speed = match &mark.subject {
                Subject::Wire(tag) => look.live.wires.get(tag).map(|a| pace(*a, 1e-3)),
                subject @ Subject::Line { .. } => look.live.flow(subject).map(|q| pace(q, 1e-6)),
                _ => continue,
            };
            let Some(speed) = speed.filter(|s| *s != 0.0) else { continue };
            self.flowing = true;
            let period = DASH.0 + DASH.1;
            let phase = self.phases.entry(mark.subject.clone()).or_insert(0.0);
            // Pieces of one subject keep step.
            if seen.as_ref() != Some(&mark.subject) {
                *phase = (*phase + speed * look.flow_s).rem_euclid(period);
                seen = Some(mark.subject.clone());
            }
            let path: Vec<Pos2> = points.iter().map(|p| placed.at(*p)).collect();
            let width = (line_width(mark, placed.scale) - 0.6).max(1.2);
            let dashes = Ink2::dashed_line_with_offset(
                &path,
                Stroke::new(width, look.inks.paper),
                &[DASH.0],
                &[DASH.1],
                *phase,
            );
            painter.extend(dashes);
        }
    }

    /// Leads, gauges and strikes, drawn over the sheet.
    fn pins(&self, painter: &egui::Painter, placed: &Placed, look: &Look) {
        let (red, black) = look.leads;
        for (subject, area) in &self.spots {
            let rect = on_screen(placed, area);
            match subject {
                Subject::Terminal(name) => {
                    for (lead, letter, fill) in
                        [(red, "R", look.inks.danger), (black, "B", look.inks.ink)]
                    {
                        if lead == Some(name.as_str()) {
                            pin(painter, rect.center(), letter, fill, look.inks.paper);
                        }
                    }
                }
                Subject::TestPoint(name) | Subject::Port(name) => {
                    if let Some(reading) = look.gauges.get(name) {
                        dial(painter, rect, reading, &look.inks);
                    }
                }
                Subject::Part(tag) if look.struck.contains(tag) => {
                    let stroke = Stroke::new(1.5, look.inks.faint);
                    painter.line_segment([rect.left_bottom(), rect.right_top()], stroke);
                    painter.line_segment([rect.left_top(), rect.right_bottom()], stroke);
                }
                _ => {}
            }
        }
    }
}

/// Speed of the gaps [points/s] for a value, from `least` up; 0 below it.
fn pace(value: f64, least: f64) -> f32 {
    if value.abs() < least {
        return 0.0;
    }
    let decades = (value.abs() / least) as f32;
    (12.0 + 10.0 * decades.log10()) * if value < 0.0 { -1.0 } else { 1.0 }
}

/// What a spot is, for its name.
fn kind(subject: &Subject) -> &'static str {
    match subject {
        Subject::Terminal(_) => "terminal",
        Subject::Port(_) => "port",
        Subject::TestPoint(_) => "point",
        Subject::Coil(_) => "coil",
        Subject::Contact(..) => "contact",
        _ => "part",
    }
}

/// A needle gauge beside its place.
fn dial(painter: &egui::Painter, rect: Rect, reading: &str, inks: &Inks) {
    let font = FontId::proportional(11.0);
    let at = rect.center_top() + vec2(0.0, -2.0);
    let text = painter.layout_no_wrap(reading.to_owned(), font, inks.ink);
    let frame = Rect::from_center_size(at - vec2(0.0, 8.0), text.size() + vec2(8.0, 2.0));
    painter.rect(
        frame,
        CornerRadius::same(3),
        inks.paper,
        Stroke::new(1.2, inks.ink),
        StrokeKind::Outside,
    );
    painter.galley(frame.center() - text.size() / 2.0, text, inks.ink);
}

/// A lead's tip.
fn pin(painter: &egui::Painter, at: Pos2, letter: &str, fill: Color32, paper: Color32) {
    painter.circle(at, 7.0, fill, Stroke::new(1.0, paper));
    painter.text(at, Align2::CENTER_CENTER, letter, FontId::proportional(10.0), paper);
}

fn on_screen(placed: &Placed, area: &Area) -> Rect {
    Rect::from_two_pos(
        placed.at(Point { x: area.left, y: area.top }),
        placed.at(Point { x: area.right, y: area.bottom }),
    )
}

/// Width of a mark's line [points].
fn line_width(mark: &Mark, scale: f32) -> f32 {
    let modules = match mark.ink {
        Ink::Conductor => 0.15,
        Ink::Outline | Ink::Solid => 0.12,
        Ink::Pilot | Ink::Drain | Ink::Frame => 0.10,
        Ink::Faint => 0.07,
    };
    (modules * scale).clamp(0.8, 3.0) * mark.weight as f32
}

/// The colour of a mark.
fn colour(mark: &Mark, look: &Look) -> Color32 {
    let inks = &look.inks;
    let heavy = mark.weight > 1.01;
    match &mark.subject {
        Subject::Wire(_) | Subject::Coil(_) if heavy => inks.current,
        Subject::Lamp(_) if heavy => inks.glow,
        Subject::Line { .. } if heavy => inks.pressure,
        _ if mark.ink == Ink::Faint => inks.faint,
        _ => inks.ink,
    }
}

fn paint(painter: &egui::Painter, placed: &Placed, mark: &Mark, look: &Look) {
    let ink = colour(mark, look);
    let stroke = Stroke::new(line_width(mark, placed.scale), ink);
    let filled = mark.ink == Ink::Solid;
    match &mark.shape {
        Shape::Path { points, closed } => {
            let mut path: Vec<Pos2> = points.iter().map(|p| placed.at(*p)).collect();
            if filled && *closed {
                painter.add(Ink2::convex_polygon(path, ink, Stroke::NONE));
                return;
            }
            if *closed && let Some(first) = path.first() {
                path.push(*first);
            }
            let unit = placed.scale;
            match mark.ink {
                Ink::Pilot => painter.extend(Ink2::dashed_line(&path, stroke, unit, 0.5 * unit)),
                Ink::Drain => {
                    painter.extend(Ink2::dashed_line(&path, stroke, 0.4 * unit, 0.4 * unit));
                }
                Ink::Frame => painter.extend(Ink2::dashed_line_with_offset(
                    &path,
                    stroke,
                    &[1.4 * unit, 0.2 * unit],
                    &[0.4 * unit, 0.4 * unit],
                    0.0,
                )),
                _ => {
                    painter.line(path, stroke);
                }
            }
        }
        Shape::Circle { centre, radius } => {
            let (centre, radius) = (placed.at(*centre), *radius as f32 * placed.scale);
            if filled {
                painter.circle_filled(centre, radius, ink);
            } else {
                painter.circle_stroke(centre, radius, stroke);
            }
            if matches!(mark.subject, Subject::Lamp(_)) && mark.weight > 1.01 {
                rays(painter, centre, radius, stroke);
            }
        }
        Shape::Arc { centre, radius, from_rad, sweep_rad } => {
            let steps = 2 + (sweep_rad.abs() * 8.0) as usize;
            let path = (0..=steps).map(|k| {
                let angle = from_rad + sweep_rad * k as f64 / steps as f64;
                let (x, y) = (crate::base::ops::cos(angle), crate::base::ops::sin(angle));
                placed.at(Point { x: centre.x + radius * x, y: centre.y + radius * y })
            });
            painter.line(path.collect(), stroke);
        }
        Shape::Text { at, text, height, align } => {
            // Few sizes, so that zooming does not fill the atlas of letters.
            let size = (*height as f32 * placed.scale / CAPITAL * 2.0).round() / 2.0;
            if size < 3.5 {
                return;
            }
            let anchor = match align {
                Align::Start => Align2::LEFT_BOTTOM,
                Align::Middle => Align2::CENTER_BOTTOM,
                Align::End => Align2::RIGHT_BOTTOM,
            };
            let foot = placed.at(*at) + vec2(0.0, DESCENT * size);
            painter.text(foot, anchor, text, FontId::proportional(size), ink);
        }
    }
}

/// Rays around a lamp that is lit: light that is seen without colour.
fn rays(painter: &egui::Painter, centre: Pos2, radius: f32, stroke: Stroke) {
    for k in 0..8 {
        let way = egui::Vec2::angled(std::f32::consts::TAU * k as f32 / 8.0);
        painter.line_segment([centre + way * radius * 1.25, centre + way * radius * 1.7], stroke);
    }
}

/// Everything on the sheet that can be picked: large things first, so that small ones lie on top.
fn spots(sheet: &Sheet) -> Vec<(Subject, Area)> {
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
fn line_at(sheet: &Sheet, place: Point) -> Option<Subject> {
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

    #[test]
    fn more_current_runs_faster_and_none_stands() {
        assert_eq!(pace(0.0, 1e-3), 0.0);
        assert!(pace(1.0, 1e-3) > pace(0.1, 1e-3));
        assert!(pace(-1.0, 1e-3) < 0.0);
    }
}
