//! How a sheet lies under the glass: pan, zoom, fit.

use bevy_egui::egui::{Pos2, Rect, Vec2, pos2, vec2};

use crate::drawing::{Point, Sheet};

/// Least and most zoom against the fitted sheet [1].
const ZOOM: (f32, f32) = (0.5, 12.0);
/// Margin around a fitted sheet [points].
const MARGIN: f32 = 4.0;

/// Where a sheet lies in its zone: as it was moved, or else as it is first laid.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Camera {
    /// Screen points per module, and the place of the sheet in the middle of the zone.
    moved: Option<(f32, Point)>,
    /// Whether the whole sheet is to be seen, however small.
    whole: bool,
}

/// A sheet placed in a zone: sheet to screen and back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    /// Screen points per module.
    pub scale: f32,
    /// Screen place of the sheet's upper left corner.
    pub origin: Pos2,
}

impl Placed {
    /// A point of the sheet on the screen.
    #[must_use]
    pub fn at(&self, p: Point) -> Pos2 {
        self.origin + vec2(p.x as f32, p.y as f32) * self.scale
    }

    /// A point of the screen on the sheet.
    #[must_use]
    pub fn back(&self, p: Pos2) -> Point {
        let v = (p - self.origin) / self.scale;
        Point { x: f64::from(v.x), y: f64::from(v.y) }
    }
}

impl Camera {
    /// The whole sheet in its zone; when it lies there already, as large as it is first laid.
    pub fn fit(&mut self) {
        self.whole = self.moved.is_some() || !self.whole;
        self.moved = None;
    }

    /// Screen points per module with which the whole sheet is seen.
    fn fitted(sheet: &Sheet, zone: Rect) -> f32 {
        let size = vec2(sheet.width.max(1.0) as f32, sheet.height.max(1.0) as f32);
        let room = (zone.size() - Vec2::splat(2.0 * MARGIN)).max(Vec2::splat(1.0));
        (room.x / size.x).min(room.y / size.y)
    }

    /// Places `sheet` in `zone`. It is first laid with at least `least` screen points per module, so that
    /// its words can be read; what has no room then lies beyond the right and the lower edge.
    #[must_use]
    pub fn place(&self, sheet: &Sheet, zone: Rect, least: f32) -> Placed {
        let size = vec2(sheet.width.max(1.0) as f32, sheet.height.max(1.0) as f32);
        let fit = Camera::fitted(sheet, zone);
        if let Some((scale, middle)) = self.moved {
            let away = vec2(middle.x as f32, middle.y as f32) * scale;
            return Placed { scale, origin: zone.center() - away };
        }
        // A sheet that is hardly too large is seen whole.
        let scale = if self.whole || fit > 0.92 * least { fit } else { least };
        let side = |low: f32, high: f32, long: f32| {
            let free = high - low - long;
            low + if free < 0.0 { MARGIN } else { free / 2.0 }
        };
        let x = side(zone.left(), zone.right(), size.x * scale);
        let y = side(zone.top(), zone.bottom(), size.y * scale);
        Placed { scale, origin: pos2(x, y) }
    }

    /// Zooms by `factor` about the screen place `about`; what lies under it stays there.
    pub fn zoom(&mut self, factor: f32, about: Pos2, sheet: &Sheet, zone: Rect, least: f32) {
        let before = self.place(sheet, zone, least);
        let fit = Camera::fitted(sheet, zone);
        let scale = (before.scale * factor).clamp(ZOOM.0 * fit, ZOOM.1 * fit);
        let held = before.back(about);
        let off = (zone.center() - about) / scale;
        let middle = Point { x: held.x + f64::from(off.x), y: held.y + f64::from(off.y) };
        self.moved = Some((scale, middle));
    }

    /// Moves the sheet by `by` [points].
    pub fn pan(&mut self, by: Vec2, sheet: &Sheet, zone: Rect, least: f32) {
        let placed = self.place(sheet, zone, least);
        self.moved = Some((placed.scale, placed.back(zone.center() - by)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet() -> Sheet {
        Sheet { width: 80.0, height: 40.0, ..Sheet::default() }
    }

    #[test]
    fn a_fitted_sheet_lies_inside_its_zone() {
        let zone = Rect::from_min_size(pos2(10.0, 20.0), vec2(500.0, 400.0));
        let placed = Camera::default().place(&sheet(), zone, 0.0);
        assert!(zone.contains(placed.at(Point { x: 0.0, y: 0.0 })));
        assert!(zone.contains(placed.at(Point { x: 80.0, y: 40.0 })));
        assert!(placed.scale > 5.0);
    }

    #[test]
    fn a_sheet_too_large_to_be_read_is_first_laid_from_its_upper_left_corner() {
        let zone = Rect::from_min_size(pos2(10.0, 20.0), vec2(200.0, 400.0));
        let mut camera = Camera::default();
        let placed = camera.place(&sheet(), zone, 6.0);
        assert_eq!(placed.scale, 6.0);
        assert_eq!(placed.at(Point { x: 0.0, y: 0.0 }).x, zone.left() + MARGIN);
        camera.fit();
        assert!(camera.place(&sheet(), zone, 6.0).scale < 3.0, "the whole of it");
        camera.fit();
        assert_eq!(camera.place(&sheet(), zone, 6.0), placed, "and to be read again");
    }

    #[test]
    fn zooming_keeps_what_lies_under_the_pointer() {
        let zone = Rect::from_min_size(pos2(10.0, 20.0), vec2(500.0, 400.0));
        let (mut camera, sheet) = (Camera::default(), sheet());
        camera.pan(vec2(30.0, -12.0), &sheet, zone, 0.0);
        let about = pos2(100.0, 150.0);
        let before = camera.place(&sheet, zone, 0.0).back(about);
        camera.zoom(2.5, about, &sheet, zone, 0.0);
        camera.zoom(0.7, about, &sheet, zone, 0.0);
        let after = camera.place(&sheet, zone, 0.0).back(about);
        assert!((before.x - after.x).abs() < 1e-3 && (before.y - after.y).abs() < 1e-3);
    }

    #[test]
    fn panning_moves_what_is_seen_by_as_much() {
        let zone = Rect::from_min_size(pos2(10.0, 20.0), vec2(500.0, 400.0));
        let (mut camera, sheet) = (Camera::default(), sheet());
        let place = |camera: &Camera| camera.place(&sheet, zone, 9.0).at(Point { x: 3.0, y: 4.0 });
        let before = place(&camera);
        camera.pan(vec2(30.0, -12.0), &sheet, zone, 9.0);
        assert!((place(&camera) - before - vec2(30.0, -12.0)).length() < 1e-3);
    }

    #[test]
    fn there_and_back_is_the_same_place() {
        let zone = Rect::from_min_size(pos2(0.0, 0.0), vec2(640.0, 300.0));
        let placed = Camera::default().place(&sheet(), zone, 0.0);
        let p = Point { x: 12.5, y: 33.0 };
        let back = placed.back(placed.at(p));
        assert!((back.x - p.x).abs() < 1e-3 && (back.y - p.y).abs() < 1e-3);
    }
}
