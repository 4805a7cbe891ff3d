//! Where everything lies on the screen, for any size of window and text.

use bevy_egui::egui::{Rect, pos2};

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

/// Divides `screen` for text of `scale`. The seam's width is `seam_share` of the sheets' width.
#[must_use]
pub fn zones(screen: Rect, scale: f32, wide: Wide) -> Zones {
    let gap = 3.0;
    let row = 28.0 * scale;
    let top = Rect::from_min_max(screen.min, pos2(screen.right(), screen.top() + row));
    let line_high = row * 1.7;
    let line = Rect::from_min_max(pos2(screen.left(), screen.bottom() - line_high), screen.max);
    let (high, low) = (top.bottom(), line.top());
    let room = (low - high).max(2.0);
    // Larger text needs more of the height for words, but the sheets keep at least a third.
    let lower = (room * (0.36 + 0.16 * (scale - 1.0))).clamp(1.0, room * 0.62);
    let middle = low - lower;
    let (left, right) = (screen.left() + gap, screen.right() - gap);
    let width = (right - left).max(4.0);
    let seam_wide = (0.11 * width).clamp(90.0_f32.min(0.2 * width), 190.0);
    let sheets = width - seam_wide - 2.0 * gap;
    let (control_share, power_share) = match wide {
        Wide::None => (0.47, 0.53),
        Wide::Control => (1.0, 0.0),
        Wide::Power => (0.0, 1.0),
    };
    let upper = |from: f32, to: f32| {
        Rect::from_min_max(pos2(from, high + gap), pos2(to.max(from), middle - gap))
    };
    let control = upper(left, left + control_share * sheets);
    let seam = upper(control.right() + gap, control.right() + gap + seam_wide);
    let power = upper(seam.right() + gap, seam.right() + gap + power_share * sheets);
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
    use bevy_egui::egui::vec2;

    #[test]
    fn zones_never_overlap_and_never_leave_the_screen() {
        for size in [(1280.0, 800.0), (3840.0, 2160.0), (900.0, 600.0)] {
            for scale in [1.0, 1.5, 2.0] {
                for wide in [Wide::None, Wide::Control, Wide::Power] {
                    let screen = Rect::from_min_size(pos2(0.0, 0.0), vec2(size.0, size.1));
                    let z = zones(screen, scale, wide);
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
