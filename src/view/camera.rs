//! How a sheet lies under the glass: pan, zoom, fit.

use bevy_egui::egui::{Pos2, Rect, Vec2, pos2, vec2};

use crate::drawing::{Point, Sheet};

/// Least and most zoom against the fitted sheet [1].
const ZOOM: (f32, f32) = (0.5, 12.0);
/// Margin around a fitted sheet [points].
const MARGIN: f32 = 6.0;

/// Where a sheet lies in its zone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// Zoom against the fitted sheet [1].
    zoom: f32,
    /// Shift of the sheet's centre from the zone's centre [points at zoom 1].
    pan: Vec2,
}

impl Default for Camera {
    fn default() -> Self {
        Camera { zoom: 1.0, pan: Vec2::ZERO }
    }
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
    /// The whole sheet in its zone again.
    pub fn fit(&mut self) {
        *self = Camera::default();
    }

    /// Whether the sheet is fitted.
    #[must_use]
    pub fn fitted(&self) -> bool {
        *self == Camera::default()
    }

    /// Places `sheet` in `zone`.
    #[must_use]
    pub fn place(&self, sheet: &Sheet, zone: Rect) -> Placed {
        let size = vec2(sheet.width.max(1.0) as f32, sheet.height.max(1.0) as f32);
        let room = (zone.size() - Vec2::splat(2.0 * MARGIN)).max(Vec2::splat(1.0));
        let fit = (room.x / size.x).min(room.y / size.y);
        let scale = fit * self.zoom;
        let centre = zone.center() + self.pan * self.zoom;
        Placed { scale, origin: pos2(centre.x, centre.y) - size * scale / 2.0 }
    }

    /// Zooms by `factor` about the screen place `about`.
    pub fn zoom(&mut self, factor: f32, about: Pos2, zone: Rect) {
        let before = self.zoom;
        self.zoom = (self.zoom * factor).clamp(ZOOM.0, ZOOM.1);
        // What lies under `about` stays there.
        let away = about - zone.center();
        self.pan += away / self.zoom - away / before;
    }

    /// Moves the sheet by `by` [points].
    pub fn pan(&mut self, by: Vec2) {
        self.pan += by / self.zoom;
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
        let placed = Camera::default().place(&sheet(), zone);
        assert!(zone.contains(placed.at(Point { x: 0.0, y: 0.0 })));
        assert!(zone.contains(placed.at(Point { x: 80.0, y: 40.0 })));
        assert!(placed.scale > 5.0);
    }

    #[test]
    fn zooming_keeps_what_lies_under_the_pointer() {
        let zone = Rect::from_min_size(pos2(10.0, 20.0), vec2(500.0, 400.0));
        let mut camera = Camera::default();
        camera.pan(vec2(30.0, -12.0));
        let about = pos2(100.0, 150.0);
        let before = camera.place(&sheet(), zone).back(about);
        camera.zoom(2.5, about, zone);
        camera.zoom(0.7, about, zone);
        let after = camera.place(&sheet(), zone).back(about);
        assert!((before.x - after.x).abs() < 1e-3 && (before.y - after.y).abs() < 1e-3);
    }

    #[test]
    fn there_and_back_is_the_same_place() {
        let zone = Rect::from_min_size(pos2(0.0, 0.0), vec2(640.0, 300.0));
        let placed = Camera::default().place(&sheet(), zone);
        let p = Point { x: 12.5, y: 33.0 };
        let back = placed.back(placed.at(p));
        assert!((back.x - p.x).abs() < 1e-3 && (back.y - p.y).abs() < 1e-3);
    }
}
