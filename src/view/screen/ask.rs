//! What wants an answer before anything else: questions laid over the screen.

use bevy_egui::egui::{self, Id, Key, Sense, Ui, vec2};

use super::Screen;
use crate::language::{Language, Words};
use crate::session::Action;
use crate::view::glass::Spots;
use crate::view::inside;
use crate::view::paper::{Inks, TEXT_SCALES};

/// Something that wants an answer before anything else.
#[derive(Clone, Debug)]
pub(super) enum Ask {
    /// Go on with the unfinished attempt, or begin anew.
    Resume,
    /// Something dangerous was done.
    Danger(Vec<(String, String)>, bool),
    /// Say what the measurement will show.
    Predict(Action, String),
    /// Hand the machine back.
    HandBack,
    /// Keys and mouse.
    Help,
    /// The program cannot go on with this attempt.
    Trouble(String),
}

impl Screen {
    pub(super) fn windows(&mut self, ui: &mut Ui) {
        let ctx = ui.ctx().clone();
        if let Some(tag) = self.inside.clone() {
            let (plan, inks) = (self.plan(), self.inks());
            let mut open = true;
            let scale = TEXT_SCALES[self.scale];
            // Over the control sheet, below the bar.
            let corner = ui.max_rect().min + vec2(12.0, 40.0 * scale);
            egui::Window::new(format!("{tag} cut open"))
                .default_pos(corner)
                .open(&mut open)
                .resizable(false)
                .show(&ctx, |ui| inside::show(ui, &plan, &tag, &self.live, &inks, scale));
            if !open || ctx.input(|i| i.key_pressed(Key::Escape)) {
                self.inside = None;
            }
        }
        let Some(ask) = self.ask.take() else {
            self.asking = false;
            return;
        };
        if !std::mem::replace(&mut self.asking, true) {
            // A question takes the keys from whatever had them.
            self.focus_entry = false;
            ctx.memory_mut(|m| {
                if let Some(id) = m.focused() {
                    m.surrender_focus(id);
                }
            });
        }
        let mut spots = std::mem::take(&mut self.spots);
        let answer = egui::Modal::new(Id::new("ask"))
            .show(&ctx, |ui| {
                ui.set_max_width(560.0 * TEXT_SCALES[self.scale].min(1.4));
                self.question(ui, ask, &mut spots)
            })
            .inner;
        self.spots = spots;
        if self.ask.is_none() {
            self.ask = answer;
        }
    }

    /// Draws a question; gives it back while it is not answered.
    pub(super) fn question(&mut self, ui: &mut Ui, ask: Ask, spots: &mut Spots) -> Option<Ask> {
        let mut button = |ui: &mut Ui, text: &str, first: bool| {
            let response = ui.button(text);
            spots.insert(format!("answer {text}"), response.rect);
            if first && ui.memory(|m| m.focused().is_none()) {
                response.request_focus();
            }
            response.clicked()
        };
        match ask {
            Ask::Resume => {
                let count = self.order.unfinished.as_ref().map_or(0, |u| u.1.entries.len());
                ui.heading("An attempt was not brought to an end");
                ui.label(format!("{count} actions were recorded."));
                if button(ui, "Go on with it", true) {
                    self.resume();
                } else if button(ui, "Begin anew", false) {
                    self.begin();
                } else {
                    return Some(Ask::Resume);
                }
            }
            Ask::Danger(list, stopped) => {
                danger_sign(ui, self.inks());
                for (what, why) in &list {
                    ui.strong(what);
                    ui.label(why);
                    ui.add_space(4.0);
                }
                if stopped {
                    ui.strong(
                        "On a real machine somebody could have been hurt. The exercise stops.",
                    );
                }
                if !button(ui, "I understand", true) {
                    return Some(Ask::Danger(list, stopped));
                }
            }
            Ask::Predict(action, mut text) => {
                ui.heading("What will it show?");
                ui.label(action.to_string());
                let edit = ui.text_edit_singleline(&mut text);
                let entered = edit.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
                if ui.memory(|m| m.focused().is_none()) {
                    edit.request_focus();
                }
                if (button(ui, "Measure", false) || entered) && !text.trim().is_empty() {
                    self.perform(Action::Predict { text: text.trim().to_owned() });
                    self.perform(action);
                } else if !button(ui, "Leave it", false) {
                    return Some(Ask::Predict(action, text));
                }
            }
            Ask::HandBack => {
                ui.heading("Hand the machine back?");
                ui.label("The attempt ends and is marked.");
                if button(ui, "Hand back", false) {
                    self.perform(Action::HandBack {});
                } else if !button(ui, "Not yet", true) {
                    return Some(Ask::HandBack);
                }
            }
            Ask::Help => {
                ui.heading("Keys and mouse");
                egui::ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
                    for line in HELP {
                        ui.label(*line);
                    }
                    ui.separator();
                    ui.monospace(crate::session::help(Words::of(Language::English)));
                });
                let escape = ui.input(|i| i.key_pressed(Key::Escape));
                if !button(ui, "Close", true) && !escape {
                    return Some(Ask::Help);
                }
            }
            Ask::Trouble(text) => {
                ui.heading("This cannot go on");
                ui.label(&text);
                if !button(ui, "Close", true) {
                    return Some(Ask::Trouble(text));
                }
            }
        }
        None
    }
}

/// Keys and mouse, a line each.
const HELP: &[&str] = &[
    "Mouse: click a button of the panel to press it, keep it down to hold it, right click to latch it.",
    "Wheel: zoom a sheet. Drag: move it. f: the whole sheet, or large enough to be read.",
    "Keys 1 to 0, i, o take a tool; Tab walks over everything that can be picked, Enter picks it.",
    "w: one sheet over the whole width. h: the sheets over the whole height. Borders can be dragged: [ ] and { } move them.",
    "F6 goes from room to room: sheets, seam, panel, tray, book, line; arrows and Tab go on from there, Enter works it.",
    "/ goes to the line for words: everything can be done there, in the words of the console.",
    "p pause, comma slower, full stop faster. r read the meter again.",
    "d light or dark paper, t size of text, s manner of the control sheet, l live drawing.",
    "+ and - zoom, Shift with arrows moves the sheets. F1 this list, F12 a picture, Ctrl+Q closes: the attempt is kept, and can be gone on with.",
];

fn danger_sign(ui: &mut Ui, inks: Inks) {
    let (rect, _) = ui.allocate_exact_size(vec2(64.0, 56.0), Sense::hover());
    let painter = ui.painter();
    let points = vec![rect.center_top(), rect.right_bottom(), rect.left_bottom()];
    painter.add(egui::Shape::convex_polygon(
        points,
        inks.paper,
        egui::Stroke::new(4.0, inks.danger),
    ));
    let font = egui::FontId::proportional(34.0);
    let at = rect.center() + vec2(0.0, 8.0);
    painter.text(at, egui::Align2::CENTER_CENTER, "!", font, inks.danger);
}
