//! The rooms of the screen: bar, sheets, panel, tray, book and the line for words.

use bevy_egui::egui::{self, Align, CursorIcon, Id, Key, Layout, Rect, Sense, Ui, UiBuilder, vec2};

use super::{Ask, Screen, clock};
use crate::base::SimTime;
use crate::drawing::Style;
use crate::view::book::Tab;
use crate::view::desk::Desk;
use crate::view::glass::Look;
use crate::view::layout::{LOWER, Wide, Zones};
use crate::view::paper::{Paper, TEXT_SCALES};
use crate::view::{panel, tray};

impl Screen {
    pub(super) fn top(&mut self, ui: &mut Ui, zone: Rect) {
        let (scenario, reader) = (self.order.scenario.clone(), self.reader());
        let now = match (&self.debrief, &self.desk) {
            (Some(debrief), _) => debrief.at,
            (None, Some(desk)) => desk.now(),
            (None, None) => SimTime::ZERO,
        };
        let (rate, paused) = self.desk.as_ref().map_or((1.0, true), |d| (d.rate(), d.paused()));
        let mut spots = std::mem::take(&mut self.spots);
        let layout = Layout::left_to_right(Align::Center);
        ui.scope_builder(
            UiBuilder::new().max_rect(zone.shrink2(vec2(6.0, 2.0))).layout(layout),
            |ui| {
                let mut button = |ui: &mut Ui, name: &str, text: String, tip: &str| {
                    let response = ui.button(text).on_hover_text(reader.say(tip));
                    spots.insert(format!("top {name}"), response.rect);
                    response.clicked()
                };
                ui.strong(clock(now));
                let word = reader.say(if paused { "window-go" } else { "window-pause" });
                if button(ui, "pause", word, "window-pause-tip") {
                    self.pause();
                }
                if button(ui, "slower", "<".to_owned(), "window-slower-tip")
                    && let Some(desk) = &mut self.desk
                {
                    desk.shift_rate(false);
                }
                ui.label(reader.words.decimals(&format!("{rate}x")));
                if button(ui, "faster", ">".to_owned(), "window-faster-tip")
                    && let Some(desk) = &mut self.desk
                {
                    desk.shift_rate(true);
                }
                ui.separator();
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    if button(ui, "help", "?".to_owned(), "window-help-tip") {
                        self.ask = Some(Ask::Help);
                    }
                    let word = reader.say("window-picture");
                    if button(ui, "picture", word, "window-picture-tip") {
                        self.picture = true;
                    }
                    let light = self.paper == Paper::Light;
                    let paper = reader.say(if light { "window-dark" } else { "window-light" });
                    if button(ui, "paper", paper, "window-paper-tip") {
                        self.paper = self.paper.turned();
                    }
                    if button(ui, "text", "Aa".to_owned(), "window-text-tip") {
                        self.next_text();
                    }
                    let iec = self.style == Style::Iec;
                    let style = if iec { reader.say("window-ladder") } else { "IEC".to_owned() };
                    if button(ui, "style", style, "window-style-tip") {
                        self.turn_style();
                    }
                    let wide = reader.say(match self.shares.wide {
                        Wide::None => "window-wide",
                        Wide::Control => "window-wide-power",
                        Wide::Power => "window-wide-both",
                    });
                    if button(ui, "wide", wide, "window-wide-tip") {
                        self.shares.wide = self.shares.wide.next();
                    }
                    let lower = self.shares.lower.is_some();
                    let tall = reader.say(if lower { "window-tall" } else { "window-bench" });
                    if button(ui, "tall", tall, "window-tall-tip") {
                        self.turn_tall();
                    }
                    if button(ui, "fit", reader.say("window-fit"), "window-fit-tip") {
                        self.fit();
                    }
                    let live = reader.say(if self.all { "window-eyes" } else { "window-live" });
                    if button(ui, "live", live, "window-live-tip") {
                        self.switch_all();
                    }
                    // The title has what is left.
                    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                        ui.add(egui::Label::new(&scenario.title).truncate());
                    });
                });
            },
        );
        self.spots = spots;
    }

    pub(super) fn sheets(&mut self, ui: &mut Ui, zones: &Zones, wall_s: f64) {
        let (plan, reader) = (self.plan(), self.reader());
        let running = self.running();
        let rate = self.desk.as_ref().map_or(1.0, Desk::rate);
        let flow_s = if running { (wall_s * rate.sqrt()) as f32 } else { 0.0 };
        let place = self.hand.place.clone();
        let (red, black) = (self.hand.red.clone(), self.hand.black.clone());
        let struck = std::mem::take(&mut self.book.struck);
        let mut spots = std::mem::take(&mut self.spots);
        let look = Look {
            plan: &plan,
            reader: &reader,
            inks: self.paper.inks(),
            live: &self.live,
            picked: place.as_ref(),
            leads: (red.as_deref(), black.as_deref()),
            struck: &struck,
            numbers: true,
            scale: TEXT_SCALES[self.scale],
            flow_s,
        };
        let mut picked = None;
        if zones.control.width() > 8.0 {
            picked = self.control.show(ui, zones.control, "control", &look, &mut spots).or(picked);
        }
        // The seam is small: all of it fits, and its numbers stand on the sheets.
        let whole = Look { scale: 0.0, numbers: false, ..look };
        picked = self.seam.show(ui, zones.seam, "seam", &whole, &mut spots).or(picked);
        if zones.power.width() > 8.0 {
            picked = self.power.show(ui, zones.power, "power", &look, &mut spots).or(picked);
        }
        self.book.struck = struck;
        self.spots = spots;
        if let Some(subject) = picked {
            self.pick(&subject);
        }
    }

    /// The borders between the rooms, to be dragged.
    pub(super) fn borders(&mut self, ui: &mut Ui, screen: Rect, zones: &Zones) {
        let mut border = |name: &str, rect: Rect, cursor: CursorIcon| {
            let response = ui
                .interact(rect, Id::new(("border", name)), Sense::DRAG)
                .on_hover_and_drag_cursor(cursor);
            self.spots.insert(format!("border {name}"), rect);
            if response.hovered() || response.dragged() {
                ui.painter().rect_filled(rect, 0.0, self.paper.inks().mark.gamma_multiply(0.35));
            }
            response.drag_delta()
        };
        let both = zones.control.width() + zones.power.width();
        let (mut aside, mut down) = (0.0, 0.0);
        if self.shares.wide == Wide::None && both > 1.0 {
            for (name, edge) in [("control", zones.control.right()), ("power", zones.power.left())]
            {
                let rect = Rect::from_x_y_ranges(edge - 4.0..=edge + 4.0, zones.seam.y_range());
                aside += border(name, rect, CursorIcon::ResizeHorizontal).x;
            }
        }
        let edge = zones.panel.top();
        if self.shares.lower.is_some() {
            let rect = Rect::from_x_y_ranges(screen.x_range(), edge - 4.0..=edge);
            down = border("lower", rect, CursorIcon::ResizeVertical).y;
        }
        self.divide(aside / both.max(1.0));
        let high = (zones.line.top() - zones.top.bottom()).max(1.0);
        if let Some(share) = self.shares.lower.filter(|_| down != 0.0) {
            self.shares.lower = Some((share - down / high).clamp(LOWER.0, LOWER.1));
        }
    }

    pub(super) fn panel(&mut self, ui: &mut Ui, zone: Rect) {
        let (plan, reader) = (self.plan(), self.reader());
        let inks = self.inks();
        let scale = TEXT_SCALES[self.scale];
        let locks: Vec<String> = self.desk.as_ref().map_or_else(Vec::new, |desk| {
            let (locked, tagged) = desk.session().locks();
            locked.chain(tagged).map(|id| plan.parts[id.index()].tag.clone()).collect()
        });
        let plant = match (&self.past, &mut self.desk) {
            (Some((_, rig)), _) => rig.plant(),
            (None, Some(desk)) => desk.rig().plant(),
            (None, None) => return,
        };
        let mut done = None;
        ui.scope_builder(UiBuilder::new().max_rect(zone), |ui| {
            egui::ScrollArea::vertical().id_salt("panel").auto_shrink(false).show(ui, |ui| {
                done = panel::show(
                    ui,
                    &reader,
                    &plan,
                    plant,
                    &mut self.fingers,
                    &inks,
                    scale,
                    &locks,
                    &mut self.spots,
                );
            });
        });
        if let Some(action) = done {
            self.want(action);
        }
    }

    pub(super) fn tray(&mut self, ui: &mut Ui, zone: Rect) {
        let (plan, reader) = (self.plan(), self.reader());
        let mut asked = tray::Asked::default();
        ui.scope_builder(UiBuilder::new().max_rect(zone), |ui| {
            egui::ScrollArea::vertical().id_salt("tray").auto_shrink(false).show(ui, |ui| {
                if let Some(author) = &mut self.author {
                    author.show(ui, &plan, &reader);
                }
                let shown = tray::Shown { plan: &plan, reader: &reader, display: &self.display };
                let (hand, setting) = (&mut self.hand, &mut self.setting);
                asked = tray::show(ui, &shown, hand, setting, &mut self.spots);
            });
        });
        if let Some(author) = &mut self.author
            && let Some(scenario) = author.injected(&self.order.scenario)
        {
            self.reload(scenario);
        }
        self.first_tool = asked.first;
        if let Some(hint) = asked.hint {
            self.message = reader.tell(&hint);
        }
        if let Some(action) = asked.action {
            self.want(action);
        }
    }

    pub(super) fn book(&mut self, ui: &mut Ui, zone: Rect) {
        let (inks, reader) = (self.inks(), self.reader());
        let mut action = None;
        let mut hand_back = false;
        let mut step = None;
        let scenario = self.order.scenario.clone();
        ui.scope_builder(UiBuilder::new().max_rect(zone.shrink2(vec2(4.0, 0.0))), |ui| {
            if let Some(debrief) = &mut self.debrief {
                crate::view::book::debrief(ui, &reader, debrief, &mut self.spots);
                return;
            }
            if let Some(course) = &mut self.course {
                let busy = self.desk.as_ref().is_some_and(Desk::showing_action);
                step = course.show(ui, &reader, &mut self.spots, busy);
                return;
            }
            let Some(desk) = &self.desk else { return };
            let spots = &mut self.spots;
            action = self.book.show(ui, &reader, &scenario, desk, spots, &mut hand_back);
            if self.book.tab == Tab::Strip {
                self.strip.show(ui, desk.now(), &inks, &reader);
            }
        });
        if let Some(step) = step {
            self.step(step);
        }
        if hand_back {
            self.ask = Some(Ask::HandBack);
        }
        if let Some(action) = action {
            self.want(action);
        }
    }

    pub(super) fn line(&mut self, ui: &mut Ui, zone: Rect) {
        if self.debrief.is_some() {
            self.time_bar(ui, zone);
            return;
        }
        let (mut said, reader) = (None, self.reader());
        ui.scope_builder(UiBuilder::new().max_rect(zone.shrink2(vec2(6.0, 2.0))), |ui| {
            let caption = self
                .desk
                .as_ref()
                .and_then(|d| d.captions().next_back())
                .map_or_else(String::new, |c| format!("{} {}", clock(c.at), reader.tell(&c.what)));
            ui.horizontal(|ui| {
                ui.label(">");
                let edit = egui::TextEdit::singleline(&mut self.entry)
                    .id(Id::new("entry"))
                    .hint_text(reader.say("window-line-hint"))
                    .desired_width(ui.available_width() * 0.62);
                let response = ui.add(edit);
                self.spots.insert("line".to_owned(), response.rect);
                if std::mem::take(&mut self.focus_entry) {
                    response.request_focus();
                }
                if response.has_focus() {
                    let step = ui.input(|i| {
                        i32::from(i.key_pressed(Key::ArrowDown))
                            - i32::from(i.key_pressed(Key::ArrowUp))
                    });
                    if step != 0 && !self.lines.is_empty() {
                        let at = self.line_at as i32 + step;
                        self.line_at = at.clamp(0, self.lines.len() as i32) as usize;
                        self.entry = self.lines.get(self.line_at).cloned().unwrap_or_default();
                    }
                }
                if response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter)) {
                    said = Some(std::mem::take(&mut self.entry));
                    self.focus_entry = true;
                }
                ui.add(egui::Label::new(caption).truncate());
            });
            ui.add(egui::Label::new(self.message.replace('\n', "; ")).truncate())
                .on_hover_text(self.message.clone());
        });
        if let Some(line) = said {
            self.say(&line);
        }
    }

    /// Looking back: the time bar of the debriefing.
    pub(super) fn time_bar(&mut self, ui: &mut Ui, zone: Rect) {
        let words = self.reader().words;
        let Some(debrief) = &mut self.debrief else { return };
        let Some(replay) = &debrief.replay else { return };
        let end = replay.end().as_secs_f64();
        let told = replay
            .action_at(debrief.at)
            .and_then(|k| replay.actions().nth(k))
            .map_or_else(String::new, |(at, act)| format!("{} {}", clock(at), words.action(&act)));
        let (at, playing) = (&mut debrief.at, &mut debrief.playing);
        ui.scope_builder(UiBuilder::new().max_rect(zone.shrink2(vec2(6.0, 2.0))), |ui| {
            ui.horizontal(|ui| {
                let word = words.say(if *playing { "window-stop-playing" } else { "window-play" });
                if ui.button(word).clicked() {
                    *playing = !*playing;
                }
                let mut t = at.as_secs_f64();
                ui.spacing_mut().slider_width = ui.available_width() - 120.0;
                let slider = egui::Slider::new(&mut t, 0.0..=end)
                    .suffix(" s")
                    .custom_formatter(|t, _| words.number(t, 1))
                    .custom_parser(|text| text.replace(',', ".").parse().ok());
                let response = ui.add(slider);
                self.spots.insert("time bar".to_owned(), response.rect);
                if response.changed() {
                    *at = SimTime::from_secs_f64_up(t.max(0.0));
                    *playing = false;
                }
            });
            ui.add(egui::Label::new(told).truncate());
        });
    }
}
