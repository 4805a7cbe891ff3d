//! Where everything lies on the screen, for any size of window and text.

use bevy_egui::egui::{Rect, Vec2, pos2, vec2};

/// The zones of the screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zones {
    /// Title, clock, settings.
    pub top: Rect,
    /// The control sheet.
    pub control: Rect,
    /// The seam.
    pub seam: Rect,
    /// The power sheet.
    pub power: Rect,
    /// The operator's panel.
    pub panel: Rect,
    /// The moving machine.
    pub machine: Rect,
    /// The tool tray.
    pub tray: Rect,
    /// The logbook.
    pub book: Rect,
    /// The line for words, and what was noticed last.
    pub line: Rect,
}

/// Which sheet has the room of all three.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Wide {
    /// None: all three lie side by side.
    #[default]
    None,
    /// The control sheet.
    Control,
    /// The power sheet.
    Power,
}

impl Wide {
    /// The next one.
    #[must_use]
    pub fn next(self) -> Wide {
        match self {
            Wide::None => Wide::Control,
            Wide::Control => Wide::Power,
            Wide::Power => Wide::None,
        }
    }
}

/// Height of a window for which text has its usual size [points].
pub const USUAL_HIGH: f32 = 800.0;

/// How the room is divided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shares {
    /// Which sheet has the room of all three.
    pub wide: Wide,
    /// Share of the control sheet in the width of both sheets [1]; 0 to 1.
    pub control: f32,
    /// Share of panel, machine, tray and book in the height [1], for text of the usual size; `None` hides
    /// them.
    pub lower: Option<f32>,
}

/// Limits of the two shares [1].
pub const CONTROL: (f32, f32) = (0.2, 0.8);
pub const LOWER: (f32, f32) = (0.2, 0.6);
/// Usual share of the lower rooms [1].
pub const USUAL_LOWER: f32 = 0.36;

impl Default for Shares {
    fn default() -> Self {
        Shares { wide: Wide::None, control: 0.5, lower: Some(USUAL_LOWER) }
    }
}

/// The share of the control sheet with which both sheets, each of a width and a height, are drawn as
/// large as can be in `room` [points], neither smaller than need be.
#[must_use]
pub fn balance(room: Vec2, control: Vec2, power: Vec2) -> f32 {
    let fit = |size: Vec2, wide: f32| (wide / size.x.max(1.0)).min(room.y / size.y.max(1.0));
    let worst = |share: f32| fit(control, share * room.x).min(fit(power, (1.0 - share) * room.x));
    let shares = || (0..=60).map(|k| CONTROL.0 + (CONTROL.1 - CONTROL.0) * k as f32 / 60.0);
    let best = shares().map(worst).fold(0.0, f32::max);
    // Where height alone limits them, many shares are as good: take the middle of these.
    let good: Vec<f32> = shares().filter(|s| worst(*s) > 0.999 * best).collect();
    good.get(good.len() / 2).copied().unwrap_or(0.5)
}

/// The room of the two sheets together in `screen`, for [`balance`].
#[must_use]
pub fn room(screen: Rect, scale: f32, shares: Shares) -> Vec2 {
    let z = zones(screen, scale, Shares { wide: Wide::None, ..shares });
    vec2(z.control.width() + z.power.width(), z.control.height())
}

/// Divides `screen` for text of `scale`.
#[must_use]
pub fn zones(screen: Rect, scale: f32, shares: Shares) -> Zones {
    let gap = 3.0;
    let row = 28.0 * scale;
    let top = Rect::from_min_max(screen.min, pos2(screen.right(), screen.top() + row));
    let line_high = row * 1.7;
    let line = Rect::from_min_max(pos2(screen.left(), screen.bottom() - line_high), screen.max);
    let (high, low) = (top.bottom(), line.top());
    let room = (low - high).max(4.0);
    // Words that are large for this window need larger rooms, but the sheets keep at least a third.
    let large = scale / (screen.height() / USUAL_HIGH).max(1.0);
    let lower = shares.lower.map_or(gap, |share| {
        (room * (share + 0.16 * (large - 1.0).max(0.0))).clamp(1.0, room * 0.62)
    });
    let middle = low - lower;
    let (left, right) = (screen.left() + gap, screen.right() - gap);
    let width = (right - left).max(4.0);
    // All of the seam is seen at once, so that its words are as large as it is wide.
    let seam_wide = (0.11 * width * (1.0 + 0.4 * (large - 1.0).max(0.0)))
        .clamp(90.0_f32.min(0.2 * width), 190.0 * scale);
    let sheets = width - seam_wide - 2.0 * gap;
    let control_share = match shares.wide {
        Wide::None => shares.control.clamp(CONTROL.0, CONTROL.1),
        Wide::Control => 1.0,
        Wide::Power => 0.0,
    };
    let upper = |from: f32, to: f32| {
        Rect::from_min_max(pos2(from, high + gap), pos2(to.max(from), middle - gap))
    };
    let control = upper(left, left + control_share * sheets);
    let seam = upper(control.right() + gap, control.right() + gap + seam_wide);
    let power = upper(seam.right() + gap, seam.right() + gap + (1.0 - control_share) * sheets);
    let below = |from: f32, to: f32| {
        Rect::from_min_max(pos2(from, middle), pos2((to - gap).max(from), low - gap))
    };
    let cuts = [0.0, 0.27, 0.47, 0.68, 1.0].map(|share| left + share * width);
    Zones {
        top,
        control,
        seam,
        power,
        panel: below(cuts[0], cuts[1]),
        machine: below(cuts[1], cuts[2]),
        tray: below(cuts[2], cuts[3]),
        book: below(cuts[3], cuts[4] + gap),
        line,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_sheet_beside_a_square_one_gets_the_width() {
        let room = vec2(1100.0, 450.0);
        let share = balance(room, vec2(90.0, 48.0), vec2(44.0, 42.0));
        let (control, power) = (share * room.x / 90.0, (1.0 - share) * room.x / 44.0);
        assert!(share > 0.55 && (control / power - 1.0).abs() < 0.1, "{share}");
        assert!((balance(room, vec2(10.0, 50.0), vec2(10.0, 50.0)) - 0.5).abs() < 0.05);
    }

    #[test]
    fn zones_never_overlap_and_never_leave_the_screen() {
        for size in [(1280.0, 800.0), (3840.0, 2160.0), (900.0, 600.0)] {
            for scale in [1.0, 1.5, 2.0] {
                for (wide, lower) in [
                    (Wide::None, Some(USUAL_LOWER)),
                    (Wide::None, None),
                    (Wide::Control, Some(LOWER.1)),
                    (Wide::Power, Some(LOWER.0)),
                ] {
                    let screen = Rect::from_min_size(pos2(0.0, 0.0), vec2(size.0, size.1));
                    let z = zones(screen, scale, Shares { wide, lower, ..Shares::default() });
                    let all = [
                        z.top, z.control, z.seam, z.power, z.panel, z.machine, z.tray, z.book,
                        z.line,
                    ];
                    for (k, a) in all.iter().enumerate() {
                        assert!(screen.expand(0.5).contains_rect(*a), "{size:?} {scale} zone {k}");
                        for b in &all[k + 1..] {
                            let both = a.intersect(*b);
                            let apart = both.width() < 0.01 || both.height() < 0.01;
                            assert!(apart, "{size:?} {scale} {wide:?}: {a:?} over {b:?}");
                        }
                    }
                    let seen = z.control.height().max(z.power.height());
                    assert!(seen > size.1 / 4.0, "the sheets keep their room");
                }
            }
        }
    }
}
