//! How marks and what is laid on them are painted on the screen.

use bevy_egui::egui::{
    self, Align2, Color32, CornerRadius, FontId, Pos2, Rect, Shape as Ink2, Stroke, StrokeKind,
    vec2,
};

use crate::drawing::{Align, Ink, Mark, Point, Shape, Sheet, Subject};

use super::camera::Placed;
use super::glass::{Look, MARGIN};

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
fn colour(mark: &Mark, look: &Look, struck: bool) -> Color32 {
    let inks = &look.inks;
    let heavy = mark.weight > 1.01;
    match &mark.subject {
        Subject::Wire(_) | Subject::Coil(_) if heavy => inks.current,
        Subject::Lamp(_) if heavy => inks.glow,
        Subject::Line { .. } if heavy => inks.pressure,
        _ if mark.ink == Ink::Faint || struck => inks.faint,
        _ => inks.ink,
    }
}

pub(super) fn paint(
    painter: &egui::Painter,
    placed: &Placed,
    mark: &Mark,
    look: &Look,
    struck: bool,
) {
    let ink = colour(mark, look, struck);
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

/// Lays out the letters of these fonts: those that were not used yet are drawn a frame late. Digits change
/// while one looks on, and each is drawn anew for each place between two dots of the screen.
pub(super) fn ready(painter: &egui::Painter, fonts: impl IntoIterator<Item = FontId>) {
    for font in fonts {
        let letters = (' '..='~').chain("äöüÄÖÜß„“°Ω".chars());
        let mut texts = vec![letters.collect::<String>()];
        for first in 0..10 {
            let digits: String = (0..10).map(|k| char::from(b'0' + (first + k) % 10)).collect();
            texts.push(format!("{digits}.{digits}:{digits}-{digits}"));
        }
        for text in texts {
            let _ = painter.layout_no_wrap(text, font.clone(), Color32::BLACK);
        }
    }
}

/// The font of the numbers on a sheet of this scale.
pub(super) fn numbers(scale: f32) -> FontId {
    FontId::proportional(font_size(0.7, scale))
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

/// The rim of a gauge around what it showed.
pub(super) fn rim(painter: &egui::Painter, around: Rect, ink: Color32) {
    let stroke = Stroke::new(1.2, ink);
    painter.rect_stroke(around, CornerRadius::same(3), stroke, StrokeKind::Outside);
}

/// Strikes out a text, as with a pencil.
pub(super) fn strike(painter: &egui::Painter, text: Rect, ink: Color32) {
    painter.hline(text.x_range(), text.center().y, Stroke::new(1.0, ink));
}

/// A lead: its tip on the terminal, its letter beside it.
pub(super) fn pin(
    painter: &egui::Painter,
    tip: Pos2,
    letter: (Pos2, &str),
    fill: Color32,
    paper: Color32,
) {
    painter.line_segment([tip, letter.0], Stroke::new(2.0, fill));
    painter.circle(tip, 3.5, fill, Stroke::new(1.0, paper));
    painter.circle(letter.0, PIN, fill, Stroke::new(1.0, paper));
    painter.text(letter.0, Align2::CENTER_CENTER, letter.1, FontId::proportional(10.0), paper);
}

/// Radius of the letter of a lead [points].
pub(super) const PIN: f32 = 7.0;
