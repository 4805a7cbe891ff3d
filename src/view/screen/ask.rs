//! What wants an answer before anything else: questions laid over the screen.

use bevy_egui::egui::{self, Id, Key, Sense, Ui, vec2};

use super::Screen;
use crate::language::Phrase;
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
            let (plan, inks, reader) = (self.plan(), self.inks(), self.reader());
            let mut open = true;
            let scale = TEXT_SCALES[self.scale];
            // Over the control sheet, below the bar.
            let corner = ui.max_rect().min + vec2(12.0, 40.0 * scale);
            egui::Window::new(reader.fill("window-cut-open", "part", tag.as_str()))
                .id(Id::new(("inside", &tag)))
                .default_pos(corner)
                .open(&mut open)
                .resizable(false)
                .show(&ctx, |ui| inside::show(ui, &reader, &plan, &tag, &self.live, &inks, scale));
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
        let reader = self.reader();
        let mut button = |ui: &mut Ui, id: &'static str, first: bool| {
            let response = ui.button(reader.say(id));
            spots.insert(format!("answer {}", Phrase::new(id)), response.rect);
            if first && ui.memory(|m| m.focused().is_none()) {
                response.request_focus();
            }
            response.clicked()
        };
        match ask {
            Ask::Resume => {
                let count = self.order.unfinished.as_ref().map_or(0, |u| u.1.entries.len());
                ui.heading(reader.say("window-unfinished"));
                ui.label(reader.fill("window-unfinished-count", "count", count));
                if button(ui, "window-go-on", true) {
                    self.resume();
                } else if button(ui, "window-begin-anew", false) {
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
                    ui.strong(reader.say("window-danger-stops"));
                }
                if !button(ui, "window-understood", true) {
                    return Some(Ask::Danger(list, stopped));
                }
            }
            Ask::Predict(action, mut text) => {
                ui.heading(reader.say("window-predict"));
                ui.label(reader.words.action(&action.to_string()));
                let edit = ui.text_edit_singleline(&mut text);
                let entered = edit.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
                if ui.memory(|m| m.focused().is_none()) {
                    edit.request_focus();
                }
                if (button(ui, "window-measure", false) || entered) && !text.trim().is_empty() {
                    self.perform(Action::Predict { text: text.trim().to_owned() });
                    self.perform(action);
                } else if !button(ui, "window-leave-it", false) {
                    return Some(Ask::Predict(action, text));
                }
            }
            Ask::HandBack => {
                ui.heading(reader.say("window-hand-back-ask"));
                ui.label(reader.say("window-hand-back-ends"));
                if button(ui, "window-hand-back", false) {
                    self.perform(Action::HandBack {});
                } else if !button(ui, "window-not-yet", true) {
                    return Some(Ask::HandBack);
                }
            }
            Ask::Help => {
                ui.heading(reader.say("window-help"));
                egui::ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
                    for id in HELP {
                        ui.label(reader.say(id));
                    }
                    ui.separator();
                    ui.monospace(crate::session::help(reader.words));
                });
                let escape = ui.input(|i| i.key_pressed(Key::Escape));
                if !button(ui, "window-close", true) && !escape {
                    return Some(Ask::Help);
                }
            }
            Ask::Trouble(text) => {
                ui.heading(reader.say("window-trouble"));
                ui.label(&text);
                if !button(ui, "window-close", true) {
                    return Some(Ask::Trouble(text));
                }
            }
        }
        None
    }
}

/// Keys and mouse, a line each.
const HELP: [&str; 9] = [
    "window-help-mouse",
    "window-help-wheel",
    "window-help-tools",
    "window-help-sheets",
    "window-help-rooms",
    "window-help-line",
    "window-help-clock",
    "window-help-look",
    "window-help-more",
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
