//! What the keys do, besides the words typed on the line.

use bevy_egui::egui::{self, Id, Key, Rect, Ui, vec2};

use super::{Ask, Screen};
use crate::drawing::{Style, control};
use crate::session::Action;
use crate::view::desk::Desk;
use crate::view::glass::Glass;
use crate::view::layout::{CONTROL, LOWER, USUAL_LOWER, Wide, Zones};
use crate::view::panel;
use crate::view::paper::TEXT_SCALES;
use crate::view::tools::Tool;

impl Screen {
    pub(super) fn keys(&mut self, ui: &Ui, zones: &Zones) {
        let ctx = ui.ctx();
        if ctx.input(|i| i.key_pressed(Key::F12)) {
            self.picture = true;
        }
        if ctx.input(|i| i.modifiers.command && i.key_pressed(Key::Q)) {
            self.quit = true;
        }
        if ctx.input(|i| i.key_pressed(Key::F1)) {
            self.ask = Some(Ask::Help);
        }
        if self.ask.is_some() {
            return;
        }
        if ctx.input(|i| i.key_pressed(Key::F6)) {
            let back = ctx.input(|i| i.modifiers.shift);
            self.next_room(ui, back);
            return;
        }
        if ctx.text_edit_focused() {
            if ctx.input(|i| i.key_pressed(Key::Escape)) {
                ctx.memory_mut(|m| m.stop_text_input());
            }
            return;
        }
        // A letter that comes together with a click is meant for what was clicked.
        if ctx.input(|i| i.pointer.any_pressed() || i.pointer.any_released()) {
            return;
        }
        let typed: String = ctx.input(|i| {
            i.events
                .iter()
                .filter_map(|e| match e {
                    egui::Event::Text(text) => Some(text.as_str()),
                    _ => None,
                })
                .collect()
        });
        let scale = TEXT_SCALES[self.scale];
        for letter in typed.chars() {
            if self.course_key(letter) {
                continue;
            }
            if let Some(tool) = Tool::ALL.iter().find(|t| t.key() == letter) {
                self.hand.take(*tool);
                self.message = self.reader().tell(&tool.hint());
                continue;
            }
            match letter {
                '/' | ':' => self.focus_entry = true,
                'p' => self.pause(),
                ',' | '.' => {
                    if let Some(desk) = &mut self.desk {
                        desk.shift_rate(letter == '.');
                    }
                }
                'l' => self.switch_all(),
                'd' => self.paper = self.paper.turned(),
                'w' => self.shares.wide = self.shares.wide.next(),
                'h' => self.turn_tall(),
                '[' | ']' => self.divide(if letter == '[' { -0.03 } else { 0.03 }),
                '{' | '}' => {
                    let by = if letter == '{' { -0.03 } else { 0.03 };
                    let share = self.shares.lower.unwrap_or(LOWER.0);
                    self.shares.lower = Some((share + by).clamp(LOWER.0, LOWER.1));
                }
                'f' => self.fit(),
                's' => self.turn_style(),
                't' => self.next_text(),
                'r' => {
                    if let Some(action) = self.hand.reading() {
                        self.want(action);
                    }
                }
                '+' | '-' => {
                    let factor = if letter == '+' { 1.25 } else { 0.8 };
                    self.each_sheet(zones, |glass, zone| glass.zoom(factor, zone, scale));
                }
                '?' => self.ask = Some(Ask::Help),
                _ => {}
            }
        }
        let step = 40.0;
        for (key, by) in [
            (Key::ArrowLeft, vec2(step, 0.0)),
            (Key::ArrowRight, vec2(-step, 0.0)),
            (Key::ArrowUp, vec2(0.0, step)),
            (Key::ArrowDown, vec2(0.0, -step)),
        ] {
            if ctx.input(|i| i.modifiers.shift && i.key_pressed(key)) {
                self.each_sheet(zones, |glass, zone| glass.pan(by, zone, scale));
            }
        }
    }

    /// The keys go to the next room in which there is something for them, or back to the one before.
    fn next_room(&mut self, ui: &Ui, back: bool) {
        let rooms = [
            None,
            self.control.first(),
            self.seam.first(),
            self.power.first(),
            Some(panel::first()),
            self.first_tool,
            self.book.first,
            Some(Id::new("entry")),
        ];
        for _ in 0..rooms.len() {
            self.room = (self.room + if back { rooms.len() - 1 } else { 1 }) % rooms.len();
            if let Some(id) = rooms[self.room] {
                ui.memory_mut(|m| m.request_focus(id));
                return;
            }
        }
    }

    /// A letter that a drill takes: a prediction, or n for the next step.
    fn course_key(&mut self, letter: char) -> bool {
        let Some(course) = &mut self.course else { return false };
        let busy = self.desk.as_ref().is_some_and(Desk::showing_action);
        let step = match (letter, course.choice(letter)) {
            (_, Some(k)) => course.predict(k),
            ('n', None) if !busy => course.next(),
            _ => return false,
        };
        if let Some(step) = step {
            self.step(step);
        }
        true
    }

    /// The sheets that keys work on: the wide one, or all.
    pub(super) fn each_sheet(&mut self, zones: &Zones, mut each: impl FnMut(&mut Glass, Rect)) {
        if self.shares.wide != Wide::Power {
            each(&mut self.control, zones.control);
        }
        if self.shares.wide != Wide::Control {
            each(&mut self.power, zones.power);
        }
    }

    pub(super) fn fit(&mut self) {
        self.control.fit();
        self.seam.fit();
        self.power.fit();
        self.divided = false;
    }

    /// Moves the border between the sheets by a share of the room of both.
    pub(super) fn divide(&mut self, by: f32) {
        if by != 0.0 {
            self.shares.control = (self.shares.control + by).clamp(CONTROL.0, CONTROL.1);
            self.divided = true;
        }
    }

    /// The next larger text, or the smallest again.
    pub(super) fn next_text(&mut self) {
        self.set_text((self.scale + 1) % TEXT_SCALES.len());
    }

    /// The sheets over the whole height, or panel, machine, tray and book below them again.
    pub(super) fn turn_tall(&mut self) {
        self.shares.lower = match self.shares.lower {
            Some(_) => None,
            None => Some(USUAL_LOWER),
        };
    }

    pub(super) fn pause(&mut self) {
        if self.course.as_ref().is_some_and(|c| !c.proved()) {
            self.tell("window-drill-stands");
        } else if let Some(debrief) = &mut self.debrief {
            debrief.playing = !debrief.playing;
        } else if let Some(desk) = &mut self.desk {
            desk.set_paused(!desk.paused());
        }
    }

    pub(super) fn turn_style(&mut self) {
        self.style = match self.style {
            Style::Iec => Style::NorthAmerican,
            Style::NorthAmerican => Style::Iec,
        };
        let (plan, reader) = (self.plan(), self.reader());
        self.control = Glass::new(&control::sheet(&plan, self.style), &reader);
    }

    /// Switches the live drawing; in a real exercise that is written into the attempt.
    pub(super) fn switch_all(&mut self) {
        self.all = !self.all;
        let scenario = &self.order.scenario;
        let hidden = !scenario.faults.is_empty() || !scenario.scripts.is_empty();
        if self.all && hidden && !self.order.watch && self.debrief.is_none() {
            // In an attempt it says the same whoever reads the window.
            let text = "switched the live drawing on".to_owned();
            self.perform(Action::Note { text });
        }
    }
}
