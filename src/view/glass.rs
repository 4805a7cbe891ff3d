//! A sheet under the glass: painted with its live state, and picked from by mouse and keys.

use std::collections::{BTreeMap, BTreeSet};

use bevy_egui::egui::{
    self, CornerRadius, Id, Pos2, Rect, Sense, Shape as Ink2, Stroke, StrokeKind, Ui, vec2,
};

use crate::base::PartId;
use crate::drawing::live::{Live, apply_in};
use crate::drawing::{Area, Mark, Point, Shape, Sheet, Subject};
use crate::plant::Plan;
use crate::report::Reader;

use super::camera::{Camera, Placed};
use super::paper::Inks;
use super::spots::{line_at, spots};
use super::strokes::{PIN, beyond, line_width, numbers, paint, pin, ready, rim, strike};
use super::tools::{name_of, part_of};

/// A sheet is first laid with at least so many screen points per module for text of the usual size: its
/// smallest words can then be read.
const LEAST: f32 = 6.5;
/// Room around what is on a sheet [modules].
pub(super) const MARGIN: f64 = 1.2;
/// Pattern of what moves along wires and lines [points]: mark, space.
const DASH: (f32, f32) = (5.0, 9.0);

/// Names of everything that can be clicked, with its place on the screen.
pub type Spots = BTreeMap<String, Rect>;

/// How a sheet is to look.
#[derive(Clone, Copy)]
pub struct Look<'a> {
    /// The plan, for names.
    pub plan: &'a Plan,
    /// Who reads it.
    pub reader: &'a Reader,
    /// The inks.
    pub inks: Inks,
    /// What is known of the run.
    pub live: &'a Live,
    /// What is picked.
    pub picked: Option<&'a Subject>,
    /// Terminals of the red and the black lead.
    pub leads: (Option<&'a str>, Option<&'a str>),
    /// Parts struck from the suspects.
    pub struck: &'a [String],
    /// Whether numbers stand beside what they belong to.
    pub numbers: bool,
    /// Size of text against the usual one [1].
    pub scale: f32,
    /// Wall-clock time since the last frame for what moves along lines; 0 when the bench stands [s].
    pub flow_s: f32,
}

/// A sheet and how it lies.
pub struct Glass {
    sheet: Sheet,
    camera: Camera,
    spots: Vec<(Subject, Area)>,
    phases: BTreeMap<Subject, f32>,
    /// Screen points per module in the last frame.
    scale: f32,
    /// The first spot in sight, for the keys.
    first: Option<Id>,
    /// Whether anything moved along the lines in the last frame.
    flowing: bool,
}

impl Glass {
    /// Lays `sheet` under the glass, as `reader` reads it.
    #[must_use]
    pub fn new(sheet: &Sheet, reader: &Reader) -> Glass {
        let sheet = reader.sheet(sheet).trimmed(MARGIN);
        let spots = spots(&sheet);
        Glass {
            sheet,
            camera: Camera::default(),
            spots,
            phases: BTreeMap::new(),
            scale: 0.0,
            first: None,
            flowing: false,
        }
    }

    /// Size of the sheet [modules].
    #[must_use]
    pub fn size(&self) -> egui::Vec2 {
        vec2(self.sheet.width as f32, self.sheet.height as f32)
    }

    /// Lets the whole sheet be seen.
    pub fn fit(&mut self) {
        self.camera.fit();
    }

    /// Zooms about the middle of `zone`, for text of `scale`.
    pub fn zoom(&mut self, factor: f32, zone: Rect, scale: f32) {
        self.camera.zoom(factor, zone.center(), &self.sheet, zone, LEAST * scale);
    }

    /// Moves the sheet in `zone`, for text of `scale`.
    pub fn pan(&mut self, by: egui::Vec2, zone: Rect, scale: f32) {
        self.camera.pan(by, &self.sheet, zone, LEAST * scale);
    }

    /// The first spot that was in sight in the last frame.
    #[must_use]
    pub fn first(&self) -> Option<Id> {
        self.first
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
        let least = LEAST * look.scale;
        if board.dragged() {
            self.camera.pan(board.drag_delta(), &self.sheet, zone, least);
        }
        if let Some(pointer) = ui.input(|i| i.pointer.hover_pos()).filter(|p| zone.contains(*p)) {
            let (wheel, pinch) = ui.input(|i| (i.smooth_scroll_delta.y, i.zoom_delta()));
            let factor = pinch * (wheel / 240.0).exp();
            if (factor - 1.0).abs() > 1e-4 {
                self.camera.zoom(factor, pointer, &self.sheet, zone, least);
            }
        }
        let placed = self.camera.place(&self.sheet, zone, least);
        let painter = ui.painter_at(zone);
        painter.rect_filled(zone, CornerRadius::ZERO, look.inks.paper);
        if self.scale != placed.scale {
            self.scale = placed.scale;
            ready(&painter, [numbers(placed.scale)]);
        }
        let mut drawn = apply_in(&self.sheet, look.live, &|text| look.reader.labelled(text));
        if !look.numbers {
            // They come after everything that is on the sheet itself.
            drawn.marks.truncate(self.sheet.marks.len());
        }
        let struck: BTreeSet<PartId> =
            look.struck.iter().filter_map(|t| look.plan.part(t)).collect();
        for mark in drawn.marks.iter().filter(|m| m.shown) {
            let out = !struck.is_empty()
                && part_of(look.plan, &mark.subject).is_some_and(|id| struck.contains(&id));
            paint(&painter, &placed, mark, look, out);
            let Shape::Text { text, .. } = &mark.shape else { continue };
            if out && names(text, &mark.subject) {
                strike(&painter, on_screen(&placed, &mark.shape.area()), look.inks.faint);
            }
            if let Subject::TestPoint(name) | Subject::Port(name) = &mark.subject
                && look.live.gauges.get(name).is_some_and(|shown| shown == text.trim())
            {
                rim(&painter, on_screen(&placed, &mark.shape.area()), look.inks.ink);
            }
        }
        self.march(&painter, &placed, &drawn, look);
        self.leads(&painter, &placed, look);
        beyond(&painter, &placed, &self.sheet, zone, look.inks.mark);
        painter.rect_stroke(
            zone.shrink(0.5),
            CornerRadius::ZERO,
            Stroke::new(1.0, look.inks.ink),
            StrokeKind::Inside,
        );
        let mut picked = None;
        self.first = None;
        for (k, (subject, area)) in self.spots.iter().enumerate() {
            let rect = on_screen(&placed, area).intersect(zone);
            if !rect.is_positive() {
                continue;
            }
            let title = name_of(look.plan, subject, look.reader.words);
            places.insert(format!("{} {}", kind(subject), title), rect);
            let spot = ui.interact(rect, id.with(k), Sense::click());
            self.first = self.first.or(Some(spot.id));
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

    /// The meter's leads, each with its letter on the side away from the marking of its terminal.
    fn leads(&self, painter: &egui::Painter, placed: &Placed, look: &Look) {
        let (red, black) = look.leads;
        let inks = &look.inks;
        for (lead, id, fill) in
            [(red, "window-red", inks.danger), (black, "window-black", inks.ink)]
        {
            let Some(lead) = lead else { continue };
            let letter = look.reader.say(id);
            for (tip, marking) in terminals(&self.sheet, lead) {
                let (tip, marking) = (placed.at(tip), placed.at(marking));
                let way = (tip - marking).normalized();
                let at = tip + way * (PIN + 1.0).max(1.6 * placed.scale);
                pin(painter, tip, (at, &letter), fill, look.inks.paper);
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

/// Whether a text is the designation of what it stands for. Wires are many: they only fade.
fn names(text: &str, subject: &Subject) -> bool {
    match subject {
        Subject::Part(name) | Subject::Coil(name) => text == name,
        _ => false,
    }
}

/// Where a terminal is on a sheet: its ring, and the middle of its marking. Where no ring is drawn the lead
/// comes from below.
fn terminals(sheet: &Sheet, name: &str) -> Vec<(Point, Point)> {
    let mut found = Vec::new();
    let mut ring = None;
    for mark in &sheet.marks {
        let Subject::Terminal(terminal) = &mark.subject else { continue };
        // The earth has no part and is named by itself.
        if terminal != name && !(name == "PE" && terminal == "PE:PE") {
            continue;
        }
        let area = mark.shape.area();
        let middle = Point { x: (area.left + area.right) / 2.0, y: (area.top + area.bottom) / 2.0 };
        match mark.shape {
            Shape::Circle { centre, .. } => ring = Some(centre),
            Shape::Text { .. } => {
                let below = Point { x: middle.x, y: area.bottom };
                found.push((ring.take().unwrap_or(below), middle));
            }
            _ => {}
        }
    }
    // A terminal without a marking, such as the earth: wherever it is drawn.
    if found.is_empty() {
        let own = |m: &&Mark| matches!(&m.subject, Subject::Terminal(t) if t == name || name == "PE" && t == "PE:PE");
        found.extend(sheet.marks.iter().find(own).map(|mark| {
            let area = mark.shape.area();
            let tip = Point { x: (area.left + area.right) / 2.0, y: area.top };
            (tip, Point { x: tip.x + 1.0, y: tip.y + 1.0 })
        }));
    }
    found
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

fn on_screen(placed: &Placed, area: &Area) -> Rect {
    Rect::from_two_pos(
        placed.at(Point { x: area.left, y: area.top }),
        placed.at(Point { x: area.right, y: area.bottom }),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_current_runs_faster_and_none_stands() {
        assert_eq!(pace(0.0, 1e-3), 0.0);
        assert!(pace(1.0, 1e-3) > pace(0.1, 1e-3));
        assert!(pace(-1.0, 1e-3) < 0.0);
    }
}
