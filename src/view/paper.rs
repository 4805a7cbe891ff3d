//! The look: workshop paper, inks, and the size of text.

use bevy_egui::egui::{
    self, Color32, CornerRadius, FontFamily, FontId, Shadow, Stroke, TextStyle, Visuals,
};

/// Which paper is drawn on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// Light paper, dark ink.
    #[default]
    Light,
    /// Dark paper, light ink.
    Dark,
}

/// The inks of one paper. No meaning rests on a colour alone: line weight, dashes, numbers and words
/// say the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Inks {
    /// The paper of the sheets.
    pub paper: Color32,
    /// The board on which sheets and tools lie.
    pub board: Color32,
    /// Ink of outlines and text.
    pub ink: Color32,
    /// Thin ink.
    pub faint: Color32,
    /// Ink of the control side where current flows.
    pub current: Color32,
    /// Ink of the power side where pressure stands.
    pub pressure: Color32,
    /// What is picked or has the focus.
    pub mark: Color32,
    /// What is dangerous.
    pub danger: Color32,
    /// A lamp that is lit, and warmth.
    pub glow: Color32,
}

impl Paper {
    /// The inks on it.
    #[must_use]
    pub fn inks(self) -> Inks {
        match self {
            Paper::Light => Inks {
                paper: Color32::from_rgb(0xf6, 0xf1, 0xe4),
                board: Color32::from_rgb(0xe3, 0xdb, 0xc8),
                ink: Color32::from_rgb(0x24, 0x2a, 0x30),
                faint: Color32::from_rgb(0x6c, 0x6a, 0x62),
                current: Color32::from_rgb(0x1d, 0x4e, 0x89),
                pressure: Color32::from_rgb(0x8a, 0x3a, 0x1c),
                mark: Color32::from_rgb(0x08, 0x60, 0x53),
                danger: Color32::from_rgb(0xa3, 0x12, 0x1f),
                glow: Color32::from_rgb(0xe0, 0x9a, 0x1a),
            },
            Paper::Dark => Inks {
                paper: Color32::from_rgb(0x1f, 0x24, 0x28),
                board: Color32::from_rgb(0x2b, 0x31, 0x36),
                ink: Color32::from_rgb(0xea, 0xe4, 0xd4),
                faint: Color32::from_rgb(0xa3, 0x9f, 0x93),
                current: Color32::from_rgb(0x8f, 0xbf, 0xf0),
                pressure: Color32::from_rgb(0xf0, 0xa4, 0x7c),
                mark: Color32::from_rgb(0x6f, 0xd8, 0xc2),
                danger: Color32::from_rgb(0xff, 0x8a, 0x8a),
                glow: Color32::from_rgb(0xff, 0xc8, 0x55),
            },
        }
    }

    /// The other paper.
    #[must_use]
    pub fn turned(self) -> Paper {
        match self {
            Paper::Light => Paper::Dark,
            Paper::Dark => Paper::Light,
        }
    }
}

/// Sizes of text that can be chosen [1]: a multiple of the usual one.
pub const TEXT_SCALES: [f32; 5] = [1.0, 1.25, 1.5, 1.75, 2.0];

/// Usual size of text [points].
pub const TEXT: f32 = 13.0;

/// The font of each style of text.
#[must_use]
pub fn fonts(scale: f32) -> [(TextStyle, FontId); 5] {
    [
        (TextStyle::Small, 10.5, FontFamily::Proportional),
        (TextStyle::Body, TEXT, FontFamily::Proportional),
        (TextStyle::Button, TEXT, FontFamily::Proportional),
        (TextStyle::Heading, 17.0, FontFamily::Proportional),
        (TextStyle::Monospace, TEXT, FontFamily::Monospace),
    ]
    .map(|(style, size, family)| (style, FontId::new(size * scale, family)))
}

/// Lays the style on `ctx`.
pub fn dress(ctx: &egui::Context, paper: Paper, scale: f32) {
    let inks = paper.inks();
    let mut visuals = match paper {
        Paper::Light => Visuals::light(),
        Paper::Dark => Visuals::dark(),
    };
    visuals.panel_fill = inks.board;
    visuals.window_fill = inks.paper;
    visuals.extreme_bg_color = inks.paper;
    visuals.faint_bg_color = inks.board;
    visuals.window_stroke = Stroke::new(1.5, inks.ink);
    visuals.window_shadow = Shadow::NONE;
    visuals.popup_shadow = Shadow::NONE;
    visuals.window_corner_radius = CornerRadius::ZERO;
    visuals.menu_corner_radius = CornerRadius::ZERO;
    visuals.override_text_color = Some(inks.ink);
    visuals.weak_text_color = Some(inks.faint);
    visuals.error_fg_color = inks.danger;
    visuals.warn_fg_color = inks.pressure;
    visuals.hyperlink_color = inks.mark;
    visuals.selection.bg_fill = inks.mark.gamma_multiply(0.35);
    visuals.selection.stroke = Stroke::new(1.5, inks.ink);
    let widgets = &mut visuals.widgets;
    for (widget, fill, width) in [
        (&mut widgets.noninteractive, inks.board, 1.0),
        (&mut widgets.inactive, inks.paper, 1.0),
        (&mut widgets.hovered, inks.paper, 2.0),
        (&mut widgets.active, inks.mark.gamma_multiply(0.35), 2.0),
        (&mut widgets.open, inks.paper, 1.5),
    ] {
        widget.bg_fill = fill;
        widget.weak_bg_fill = fill;
        widget.bg_stroke = Stroke::new(width, inks.ink);
        widget.fg_stroke = Stroke::new(1.2, inks.ink);
        widget.corner_radius = CornerRadius::ZERO;
        widget.expansion = 0.0;
    }
    ctx.all_styles_mut(|style| {
        style.visuals = visuals.clone();
        style.animation_time = 0.0;
        style.spacing.button_padding = egui::vec2(5.0, 2.0);
        style.spacing.item_spacing = egui::vec2(6.0, 4.0);
        style.spacing.interact_size.y = 18.0 * scale;
        style.interaction.selectable_labels = false;
        style.text_styles.extend(fonts(scale));
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance of an opaque colour (WCAG 2.1, 1.4.3; from memory).
    fn luminance(c: Color32) -> f32 {
        let channel = |v: u8| {
            let v = f32::from(v) / 255.0;
            if v <= 0.03928 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(c.r()) + 0.7152 * channel(c.g()) + 0.0722 * channel(c.b())
    }

    fn contrast(a: Color32, b: Color32) -> f32 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn every_ink_can_be_read_on_its_paper_and_its_board() {
        for paper in [Paper::Light, Paper::Dark] {
            let inks = paper.inks();
            let all = [inks.ink, inks.current, inks.pressure, inks.mark, inks.danger, inks.faint];
            for ink in all {
                // 4.5 to 1 is what WCAG 2.1 asks of ordinary text.
                assert!(contrast(ink, inks.paper) >= 4.5, "{paper:?} {ink:?} on paper");
                let least = if ink == inks.faint { 3.5 } else { 4.5 };
                assert!(contrast(ink, inks.board) >= least, "{paper:?} {ink:?} on board");
            }
        }
    }
}
