//! How marks and what is laid on them are painted on the screen.

use bevy_egui::egui::{
    self, Align2, Color32, CornerRadius, FontId, Pos2, Rect, Shape as Ink2, Stroke, StrokeKind,
    vec2,
};

use crate::drawing::{Align, Ink, Mark, Point, Shape, Sheet, Subject};

use super::camera::Placed;
use super::glass::{Look, MARGIN};
use super::paper::Inks;

/// Height of a capital as a share of the font's size [1]. Sheets are laid out for the widest of the common
/// faces; the one of the window is narrower, so that its letters may be larger by this much.
const CAPITAL: f32 = 0.70 / GROWN;
const GROWN: f32 = 1.15;
/// What hangs below the foot of the text as a share of the font's size [1].
const DESCENT: f32 = 0.22;

/// Width of a mark's line [points].
pub(super) fn line_width(mark: &Mark, scale: f32) -> f32 {
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

pub(super) fn paint(painter: &egui::Painter, placed: &Placed, mark: &Mark, look: &Look) {
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
            let size = font_size(*height, placed.scale);
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

/// Lays out what numbers on a sheet of this scale are made of.
pub(super) fn digits(painter: &egui::Painter, scale: f32, ink: Color32) {
    for height in [0.7, 0.8, 1.0] {
        let font = FontId::proportional(font_size(height, scale));
        let _ = painter.layout_no_wrap("0123456789.-".to_owned(), font, ink);
    }
}

/// Size of the font for capitals of `height` [modules]: few sizes, so that zooming does not fill the atlas of
/// letters.
fn font_size(height: f64, scale: f32) -> f32 {
    (height as f32 * scale / CAPITAL * 2.0).round() / 2.0
}

/// Rays around a lamp that is lit: light that is seen without colour.
fn rays(painter: &egui::Painter, centre: Pos2, radius: f32, stroke: Stroke) {
    for k in 0..8 {
        let way = egui::Vec2::angled(std::f32::consts::TAU * k as f32 / 8.0);
        painter.line_segment([centre + way * radius * 1.1, centre + way * radius * 1.35], stroke);
    }
}

/// Small arrows at the edges beyond which the sheet goes on.
pub(super) fn beyond(
    painter: &egui::Painter,
    placed: &Placed,
    sheet: &Sheet,
    zone: Rect,
    ink: Color32,
) {
    let whole = Rect::from_two_pos(
        placed.at(Point { x: 0.0, y: 0.0 }),
        placed.at(Point { x: sheet.width, y: sheet.height }),
    );
    let hidden = placed.scale as f64 * MARGIN;
    let past = |by: f32| f64::from(by) > hidden;
    let middle = zone.center();
    for (is, at, way) in [
        (past(zone.left() - whole.left()), egui::pos2(zone.left(), middle.y), vec2(-1.0, 0.0)),
        (past(whole.right() - zone.right()), egui::pos2(zone.right(), middle.y), vec2(1.0, 0.0)),
        (past(zone.top() - whole.top()), egui::pos2(middle.x, zone.top()), vec2(0.0, -1.0)),
        (past(whole.bottom() - zone.bottom()), egui::pos2(middle.x, zone.bottom()), vec2(0.0, 1.0)),
    ] {
        if is {
            let tip = at - way * 4.0;
            let foot = at - way * 14.0;
            let points = vec![tip, foot + way.rot90() * 9.0, foot - way.rot90() * 9.0];
            painter.add(Ink2::convex_polygon(points, ink, Stroke::NONE));
        }
    }
}

/// A needle gauge beside its place.
pub(super) fn dial(painter: &egui::Painter, rect: Rect, reading: &str, inks: &Inks) {
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
pub(super) fn pin(painter: &egui::Painter, at: Pos2, letter: &str, fill: Color32, paper: Color32) {
    painter.circle(at, 7.0, fill, Stroke::new(1.0, paper));
    painter.text(at, Align2::CENTER_CENTER, letter, FontId::proportional(10.0), paper);
}
