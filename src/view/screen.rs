//! The whole screen, frame by frame: what is drawn where, and what keys and mouse do.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use bevy_egui::egui::{self, Align, Id, Key, Layout, Rect, Sense, Ui, UiBuilder, vec2};

use crate::base::SimTime;
use crate::drawing::live::Live;
use crate::drawing::{Sheet, Style, Subject, control, power, seam};
use crate::plant::Plan;
use crate::scenario::Scenario;
use crate::session::{Action, Attempt, Ended, Rig, parse};

use super::author::Author;
use super::book::{Book, Tab};
use super::debrief::Debrief;
use super::desk::Desk;
use super::glass::{Glass, Look, Spots};
use super::layout::{Wide, Zones, zones};
use super::panel::{self, Fingers};
use super::paper::{Inks, Paper, TEXT_SCALES, dress};
use super::scope::Strip;
use super::tools::{Hand, Picked, Tool};
use super::{inside, machine, rough, tray};

/// What is to be practised, by whom.
#[derive(Clone, Debug)]
pub struct Order {
    /// The scenario.
    pub scenario: Arc<Scenario>,
    /// The file it came from.
    pub file: PathBuf,
    /// Seed of the run.
    pub seed: u64,
    /// Pseudonym of the learner.
    pub learner: String,
    /// File for the attempt; a free name if `None`.
    pub attempt: Option<PathBuf>,
    /// An attempt that was not brought to an end.
    pub unfinished: Option<(PathBuf, Attempt)>,
    /// Read the files again when they change, and let faults be put in by hand.
    pub watch: bool,
}

/// Something that wants an answer before anything else.
#[derive(Clone, Debug)]
enum Ask {
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

/// Everything the window shows.
pub struct Screen {
    order: Order,
    desk: Option<Desk>,
    control: Glass,
    seam: Glass,
    power: Glass,
    hand: Hand,
    fingers: Fingers,
    strip: Strip,
    book: Book,
    author: Option<Author>,
    debrief: Option<Debrief>,
    live: Live,
    /// The bench in the debriefing, and when.
    past: Option<(SimTime, Rig)>,
    /// The drawing shows everything, not only what eyes can see.
    all: bool,
    paper: Paper,
    scale: usize,
    style: Style,
    wide: Wide,
    ask: Option<Ask>,
    inside: Option<String>,
    gauges: BTreeMap<String, String>,
    display: String,
    entry: String,
    lines: Vec<String>,
    line_at: usize,
    message: String,
    setting: String,
    spots: Spots,
    focus_entry: bool,
    picture: bool,
    moving: bool,
    dressed: Option<(Paper, usize)>,
}

fn or_rough(sheet: Sheet, plan: &Plan, control: bool) -> Sheet {
    if sheet.marks.is_empty() { rough::sheet(plan, control) } else { sheet }
}

impl Screen {
    /// The screen for `order`.
    #[must_use]
    pub fn new(order: Order) -> Screen {
        let plan = order.scenario.plan.clone();
        let author = order.watch.then(|| Author::new(&order.file));
        let mut screen = Screen {
            control: Glass::new(or_rough(control::sheet(&plan, Style::Iec), &plan, true)),
            seam: Glass::new(seam::sheet(&plan)),
            power: Glass::new(or_rough(power::sheet(&plan), &plan, false)),
            hand: Hand::default(),
            fingers: Fingers::default(),
            strip: Strip::default(),
            book: Book::default(),
            author,
            debrief: None,
            live: Live::default(),
            past: None,
            // A machine without hidden faults may be looked through.
            all: order.watch
                || order.scenario.faults.is_empty() && order.scenario.scripts.is_empty(),
            paper: Paper::Light,
            scale: 0,
            style: Style::Iec,
            wide: Wide::None,
            ask: None,
            inside: None,
            gauges: BTreeMap::new(),
            display: String::new(),
            entry: String::new(),
            lines: Vec::new(),
            line_at: 0,
            message: String::new(),
            setting: String::new(),
            spots: Spots::new(),
            focus_entry: false,
            picture: false,
            moving: false,
            dressed: None,
            desk: None,
            order,
        };
        if screen.order.unfinished.is_some() {
            screen.ask = Some(Ask::Resume);
        } else {
            screen.begin();
        }
        screen
    }

    /// Begins an attempt.
    fn begin(&mut self) {
        let scenario = self.order.scenario.clone();
        // An author tries things out; only a learner's attempt is kept.
        let file = if self.order.watch {
            None
        } else {
            match crate::session::create_attempt(&self.order.file, self.order.attempt.take()) {
                Ok(opened) => Some(opened),
                Err((path, why)) => {
                    let told = format!("{} cannot be written: {why}", path.display());
                    self.ask = Some(Ask::Trouble(told));
                    return;
                }
            }
        };
        match Desk::fresh(scenario, self.order.seed, &self.order.learner, file) {
            Ok(desk) => self.desk = Some(desk),
            Err(why) => self.ask = Some(Ask::Trouble(why.to_string())),
        }
    }

    fn resume(&mut self) {
        let Some((path, attempt)) = self.order.unfinished.take() else { return };
        match Desk::resumed(self.order.scenario.clone(), &attempt, &path) {
            Ok(desk) => {
                let log = desk.session().log();
                for reading in log.iter().flat_map(|e| &e.outcome.readings) {
                    note_gauge(&mut self.gauges, reading);
                }
                self.message = format!("going on after {} actions", log.len());
                self.desk = Some(desk);
            }
            Err(why) => self.ask = Some(Ask::Trouble(why.to_string())),
        }
    }

    /// Names and places of what can be clicked in the last frame.
    #[must_use]
    pub fn spots(&self) -> &Spots {
        &self.spots
    }

    /// Whether a picture of the window was asked for.
    pub fn take_picture(&mut self) -> bool {
        std::mem::take(&mut self.picture)
    }

    /// Whether something on the screen moves, so that the next frame is due at once.
    #[must_use]
    pub fn moving(&self) -> bool {
        self.moving
    }

    /// Whether bench time passes.
    #[must_use]
    pub fn running(&self) -> bool {
        self.debrief.as_ref().map_or_else(
            || self.desk.as_ref().is_some_and(|d| !d.paused() && d.ended().is_none()),
            |d| d.playing,
        )
    }

    /// Lets the drawing show everything, or only what eyes can see.
    pub fn show_all(&mut self, all: bool) {
        self.all = all;
    }

    /// Sets the paper.
    pub fn set_paper(&mut self, paper: Paper) {
        self.paper = paper;
    }

    /// Sets the size of text, as an index of [`TEXT_SCALES`].
    pub fn set_text(&mut self, step: usize) {
        self.scale = step.min(TEXT_SCALES.len() - 1);
    }

    /// The desk, once the attempt has begun.
    pub fn desk(&mut self) -> Option<&mut Desk> {
        self.desk.as_mut()
    }

    /// Does `action` as if it had been chosen on the screen.
    pub fn act(&mut self, action: Action) {
        self.ask = None;
        self.perform(action);
    }

    fn plan(&self) -> Arc<Plan> {
        self.order.scenario.plan.clone()
    }

    fn inks(&self) -> Inks {
        self.paper.inks()
    }

    /// Draws a frame, `wall_s` after the last one.
    pub fn frame(&mut self, ui: &mut Ui, wall_s: f64) {
        let dressed = (self.paper, self.scale);
        if self.dressed != Some(dressed) {
            dress(ui.ctx(), self.paper, TEXT_SCALES[self.scale]);
            self.dressed = Some(dressed);
        }
        self.pass(wall_s);
        self.spots.clear();
        let screen = ui.max_rect();
        let zones = zones(screen, TEXT_SCALES[self.scale], self.wide);
        ui.painter().rect_filled(screen, 0.0, self.inks().board);
        self.keys(ui, &zones);
        self.top(ui, zones.top);
        self.sheets(ui, &zones, wall_s);
        self.panel(ui, zones.panel);
        let painter = ui.painter_at(zones.machine);
        let scale = TEXT_SCALES[self.scale];
        machine::show(&painter, zones.machine, &self.plan(), &self.live, &self.inks(), scale);
        self.tray(ui, zones.tray);
        self.book(ui, zones.book);
        self.line(ui, zones.line);
        self.windows(ui);
    }

    /// Lets time pass and takes in what can now be seen.
    fn pass(&mut self, wall_s: f64) {
        if let Some(author) = &mut self.author
            && let Some(scenario) = author.poll(wall_s)
        {
            self.reload(scenario);
        }
        let before = self.live.pistons.clone();
        let now;
        if let Some(debrief) = &mut self.debrief {
            let Some(replay) = &mut debrief.replay else { return };
            if debrief.playing {
                let rate = self.desk.as_ref().map_or(1.0, Desk::rate);
                debrief.at =
                    (debrief.at + SimTime::from_secs_f64_up(wall_s * rate)).min(replay.end());
                debrief.playing = debrief.at < replay.end();
            }
            if self.past.as_ref().is_none_or(|(at, _)| *at != debrief.at) {
                self.past = replay.rig(debrief.at).map(|rig| (debrief.at, rig));
                if let Some((_, rig)) = &mut self.past {
                    self.live = Live::of(rig.plant_mut());
                }
            }
            now = debrief.at;
        } else {
            let Some(desk) = &mut self.desk else { return };
            let frozen = self.ask.is_some();
            let ended = desk.ended().is_some();
            desk.tick(if frozen { 0.0 } else { wall_s });
            if let Some(trouble) = desk.trouble()
                && self.ask.is_none()
                && self.message != trouble
            {
                self.message = trouble.to_owned();
                self.ask = Some(Ask::Trouble(trouble.to_owned()));
            }
            now = desk.now();
            let plant = desk.rig().plant_mut();
            self.live = if self.all { Live::of(plant) } else { Live::visible(plant) };
            if desk.ended().is_some() && !ended {
                self.message = "Time is up.".to_owned();
                self.close();
            }
        }
        self.strip.sample(now, &self.live);
        let pistons = before != self.live.pistons;
        let sheets = self.running()
            && (self.control.flowing() || self.power.flowing() || self.seam.flowing());
        let film = self.desk.as_ref().is_some_and(Desk::showing_action);
        self.moving = pistons || sheets || film || self.debrief.as_ref().is_some_and(|d| d.playing);
    }

    /// The author saved a file that loads.
    fn reload(&mut self, scenario: Arc<Scenario>) {
        let plan = scenario.plan.clone();
        self.order.scenario = scenario;
        self.control = Glass::new(or_rough(control::sheet(&plan, self.style), &plan, true));
        self.seam = Glass::new(seam::sheet(&plan));
        self.power = Glass::new(or_rough(power::sheet(&plan), &plan, false));
        self.debrief = None;
        self.past = None;
        self.gauges.clear();
        self.strip = Strip::default();
        self.hand = Hand::default();
        self.message = "read again".to_owned();
        self.begin();
    }

    /// Does an action, or first asks for a prediction.
    fn want(&mut self, action: Action) {
        if self.book.predicts && action.measures() {
            self.ask = Some(Ask::Predict(action, String::new()));
        } else {
            self.perform(action);
        }
    }

    fn perform(&mut self, action: Action) {
        if self.debrief.is_some() {
            self.message = "the attempt is over; look back with the time bar".to_owned();
            return;
        }
        let Some(desk) = &mut self.desk else { return };
        let words = action.to_string();
        let entry = match desk.act(action) {
            Ok(entry) => entry.clone(),
            Err(why) => {
                self.message = format!("{words}: {why}");
                return;
            }
        };
        let mut told = entry.outcome.lines.clone();
        if told.is_empty() {
            told = entry.outcome.seen.iter().map(|s| s.text.clone()).collect();
        }
        self.message = format!("{words}: {}", told.join("; "));
        for reading in &entry.outcome.readings {
            note_gauge(&mut self.gauges, reading);
            self.display = reading.text.clone();
        }
        if let Action::Suspect { parts } = &entry.action {
            let all = self.order.scenario.plan.parts.iter().map(|p| p.tag.clone());
            self.book.struck = all.filter(|t| !parts.contains(t)).collect();
        }
        if let Action::Adjust { .. } = entry.action {
            self.setting.clear();
        }
        let dangers: Vec<(String, String)> = entry
            .outcome
            .hazards
            .iter()
            .map(|h| (h.to_string(), h.hazard.explanation().to_owned()))
            .collect();
        let ended = desk.ended();
        if !dangers.is_empty() {
            self.ask = Some(Ask::Danger(dangers, ended == Some(Ended::Unsafe)));
        }
        self.book.tab = if ended.is_some() { Tab::Log } else { self.book.tab };
        if ended.is_some() {
            self.close();
        }
    }

    /// The attempt is over: mark it.
    fn close(&mut self) {
        if let Some(desk) = &mut self.desk {
            desk.skip();
            let debrief = Debrief::new(desk.scenario(), desk.attempt());
            self.debrief = Some(debrief);
        }
    }

    /// Reads a line of words.
    fn say(&mut self, line: &str) {
        let line = line.trim();
        if line.is_empty() {
            return;
        }
        self.lines.push(line.to_owned());
        self.line_at = self.lines.len();
        if line == "help" || line == "?" {
            self.ask = Some(Ask::Help);
            return;
        }
        match parse(line) {
            Ok(action) => self.want(action),
            Err(why) => self.message = format!("{}; {}", why.message, why.help),
        }
    }

    fn pick(&mut self, subject: &Subject) {
        let plan = self.plan();
        match self.hand.pick(&plan, subject) {
            Picked::Nothing(why) => self.message = why,
            Picked::Lead => {
                self.message = "now the black lead".to_owned();
            }
            Picked::Do(action) => self.want(action),
            Picked::Choose => self.message = String::new(),
            Picked::Inside(tag) => {
                if self.all {
                    self.inside = Some(tag);
                } else {
                    self.message = NEEDS_ALL.to_owned();
                }
            }
            Picked::Record(subject) => {
                self.message = if self.all {
                    self.book.tab = Tab::Strip;
                    self.strip.toggle(&self.live, &subject)
                } else {
                    NEEDS_ALL.to_owned()
                };
            }
        }
    }

    /// Switches the live drawing; in a real exercise that is written into the attempt.
    fn switch_all(&mut self) {
        self.all = !self.all;
        let scenario = &self.order.scenario;
        let hidden = !scenario.faults.is_empty() || !scenario.scripts.is_empty();
        if self.all && hidden && !self.order.watch && self.debrief.is_none() {
            let text = "switched the live drawing on".to_owned();
            self.perform(Action::Note { text });
        }
    }

    fn keys(&mut self, ui: &Ui, zones: &Zones) {
        let ctx = ui.ctx();
        if ctx.input(|i| i.key_pressed(Key::F12)) {
            self.picture = true;
        }
        if ctx.input(|i| i.key_pressed(Key::F1)) {
            self.ask = Some(Ask::Help);
        }
        if self.ask.is_some() {
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
        for letter in typed.chars() {
            if let Some(tool) = Tool::ALL.iter().find(|t| t.key() == letter) {
                self.hand.take(*tool);
                self.message = tool.hint().to_owned();
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
                'w' => self.wide = self.wide.next(),
                'f' => self.fit(),
                's' => self.turn_style(),
                't' => self.scale = (self.scale + 1) % TEXT_SCALES.len(),
                'r' => {
                    if let Some(action) = self.hand.reading() {
                        self.want(action);
                    }
                }
                '+' | '-' => {
                    let factor = if letter == '+' { 1.25 } else { 0.8 };
                    self.each_sheet(zones, |glass, zone| glass.zoom(factor, zone));
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
                self.each_sheet(zones, |glass, _| glass.pan(by));
            }
        }
    }

    /// The sheets that keys work on: the wide one, or all.
    fn each_sheet(&mut self, zones: &Zones, mut each: impl FnMut(&mut Glass, Rect)) {
        if self.wide != Wide::Power {
            each(&mut self.control, zones.control);
        }
        if self.wide != Wide::Control {
            each(&mut self.power, zones.power);
        }
    }

    fn fit(&mut self) {
        self.control.fit();
        self.seam.fit();
        self.power.fit();
    }

    fn pause(&mut self) {
        if let Some(debrief) = &mut self.debrief {
            debrief.playing = !debrief.playing;
        } else if let Some(desk) = &mut self.desk {
            desk.set_paused(!desk.paused());
        }
    }

    fn turn_style(&mut self) {
        self.style = match self.style {
            Style::Iec => Style::NorthAmerican,
            Style::NorthAmerican => Style::Iec,
        };
        let plan = self.plan();
        self.control = Glass::new(or_rough(control::sheet(&plan, self.style), &plan, true));
    }

    fn top(&mut self, ui: &mut Ui, zone: Rect) {
        let scenario = self.order.scenario.clone();
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
                let mut button = |ui: &mut Ui, name: &str, text: &str, tip: &str| {
                    let response = ui.button(text).on_hover_text(tip);
                    spots.insert(format!("top {name}"), response.rect);
                    response.clicked()
                };
                ui.strong(clock(now));
                let word = if paused { "go" } else { "pause" };
                if button(ui, "pause", word, "p: let the bench stand or go on") {
                    self.pause();
                }
                if button(ui, "slower", "<", ",: slower")
                    && let Some(desk) = &mut self.desk
                {
                    desk.shift_rate(false);
                }
                ui.label(format!("{rate}x"));
                if button(ui, "faster", ">", ".: faster")
                    && let Some(desk) = &mut self.desk
                {
                    desk.shift_rate(true);
                }
                ui.separator();
                ui.label(&scenario.title);
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    if button(ui, "help", "?", "F1: keys and mouse") {
                        self.ask = Some(Ask::Help);
                    }
                    if button(ui, "picture", "picture", "F12: save a picture of the window") {
                        self.picture = true;
                    }
                    let paper = if self.paper == Paper::Light { "dark" } else { "light" };
                    if button(ui, "paper", paper, "d: the other paper") {
                        self.paper = self.paper.turned();
                    }
                    if button(ui, "text", "Aa", "t: larger text, up to twice") {
                        self.scale = (self.scale + 1) % TEXT_SCALES.len();
                    }
                    let style = if self.style == Style::Iec { "ladder" } else { "IEC" };
                    if button(
                        ui,
                        "style",
                        style,
                        "s: the other manner of drawing the control sheet",
                    ) {
                        self.turn_style();
                    }
                    let wide = match self.wide {
                        Wide::None => "wide",
                        Wide::Control => "power",
                        Wide::Power => "both",
                    };
                    if button(ui, "wide", wide, "w: one sheet over the whole width") {
                        self.wide = self.wide.next();
                    }
                    if button(ui, "fit", "fit", "f: the whole of each sheet") {
                        self.fit();
                    }
                    let live = if self.all { "eyes only" } else { "live drawing" };
                    if button(ui, "live", live, "l: show all that happens, or only what eyes see") {
                        self.switch_all();
                    }
                });
            },
        );
        self.spots = spots;
    }

    fn sheets(&mut self, ui: &mut Ui, zones: &Zones, wall_s: f64) {
        let plan = self.plan();
        let running = self.running();
        let rate = self.desk.as_ref().map_or(1.0, Desk::rate);
        let flow_s = if running { (wall_s * rate.sqrt()) as f32 } else { 0.0 };
        let place = self.hand.place.clone();
        let (red, black) = (self.hand.red.clone(), self.hand.black.clone());
        let gauges = std::mem::take(&mut self.gauges);
        let struck = std::mem::take(&mut self.book.struck);
        let mut spots = std::mem::take(&mut self.spots);
        let look = Look {
            plan: &plan,
            inks: self.paper.inks(),
            live: &self.live,
            picked: place.as_ref(),
            leads: (red.as_deref(), black.as_deref()),
            gauges: &gauges,
            struck: &struck,
            flow_s,
        };
        let mut picked = None;
        if zones.control.width() > 8.0 {
            picked = self.control.show(ui, zones.control, "control", &look, &mut spots).or(picked);
        }
        picked = self.seam.show(ui, zones.seam, "seam", &look, &mut spots).or(picked);
        if zones.power.width() > 8.0 {
            picked = self.power.show(ui, zones.power, "power", &look, &mut spots).or(picked);
        }
        self.gauges = gauges;
        self.book.struck = struck;
        self.spots = spots;
        if let Some(subject) = picked {
            self.pick(&subject);
        }
    }

    fn panel(&mut self, ui: &mut Ui, zone: Rect) {
        let plan = self.plan();
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

    fn tray(&mut self, ui: &mut Ui, zone: Rect) {
        let plan = self.plan();
        let mut asked = tray::Asked::default();
        ui.scope_builder(UiBuilder::new().max_rect(zone), |ui| {
            egui::ScrollArea::vertical().id_salt("tray").auto_shrink(false).show(ui, |ui| {
                if let Some(author) = &mut self.author {
                    author.show(ui, &plan);
                }
                asked = tray::show(
                    ui,
                    &plan,
                    &mut self.hand,
                    &self.display,
                    &mut self.setting,
                    &mut self.spots,
                );
            });
        });
        if let Some(author) = &mut self.author
            && let Some(scenario) = author.injected(&self.order.scenario)
        {
            self.reload(scenario);
        }
        if let Some(hint) = asked.hint {
            self.message = hint;
        }
        if let Some(action) = asked.action {
            self.want(action);
        }
    }

    fn book(&mut self, ui: &mut Ui, zone: Rect) {
        let inks = self.inks();
        let mut action = None;
        let mut hand_back = false;
        let scenario = self.order.scenario.clone();
        ui.scope_builder(UiBuilder::new().max_rect(zone.shrink2(vec2(4.0, 0.0))), |ui| {
            if let Some(debrief) = &mut self.debrief {
                super::book::debrief(ui, debrief, &mut self.spots);
                return;
            }
            let Some(desk) = &self.desk else { return };
            action = self.book.show(ui, &scenario, desk, &mut self.spots, &mut hand_back);
            if self.book.tab == Tab::Strip {
                self.strip.show(ui, desk.now(), &inks);
            }
        });
        if hand_back {
            self.ask = Some(Ask::HandBack);
        }
        if let Some(action) = action {
            self.want(action);
        }
    }

    fn line(&mut self, ui: &mut Ui, zone: Rect) {
        if self.debrief.is_some() {
            self.time_bar(ui, zone);
            return;
        }
        let mut said = None;
        ui.scope_builder(UiBuilder::new().max_rect(zone.shrink2(vec2(6.0, 2.0))), |ui| {
            let caption = self
                .desk
                .as_ref()
                .and_then(|d| d.captions().next_back())
                .map_or_else(String::new, |c| format!("{} {}", clock(c.at), c.text));
            ui.horizontal(|ui| {
                ui.label(">");
                let edit = egui::TextEdit::singleline(&mut self.entry)
                    .id(Id::new("entry"))
                    .hint_text(
                        "words, such as: volts K1:A1 K1:A2   (key / comes here, help lists all)",
                    )
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
    fn time_bar(&mut self, ui: &mut Ui, zone: Rect) {
        let Some(debrief) = &mut self.debrief else { return };
        let Some(replay) = &debrief.replay else { return };
        let end = replay.end().as_secs_f64();
        let told = replay
            .action_at(debrief.at)
            .and_then(|k| replay.actions().nth(k))
            .map_or_else(String::new, |(at, words)| format!("{} {words}", clock(at)));
        let (at, playing) = (&mut debrief.at, &mut debrief.playing);
        ui.scope_builder(UiBuilder::new().max_rect(zone.shrink2(vec2(6.0, 2.0))), |ui| {
            ui.horizontal(|ui| {
                if ui.button(if *playing { "stop" } else { "play" }).clicked() {
                    *playing = !*playing;
                }
                let mut t = at.as_secs_f64();
                ui.spacing_mut().slider_width = ui.available_width() - 120.0;
                let slider = egui::Slider::new(&mut t, 0.0..=end).suffix(" s").fixed_decimals(1);
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

    fn windows(&mut self, ui: &mut Ui) {
        let ctx = ui.ctx().clone();
        if let Some(tag) = self.inside.clone() {
            let (plan, inks) = (self.plan(), self.inks());
            let mut open = true;
            egui::Window::new(format!("{tag} cut open")).open(&mut open).resizable(false).show(
                &ctx,
                |ui| {
                    inside::show(ui, &plan, &tag, &self.live, &inks, TEXT_SCALES[self.scale]);
                },
            );
            if !open || ctx.input(|i| i.key_pressed(Key::Escape)) {
                self.inside = None;
            }
        }
        let Some(ask) = self.ask.take() else { return };
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
    fn question(&mut self, ui: &mut Ui, ask: Ask, spots: &mut Spots) -> Option<Ask> {
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
                if ui.memory(|m| m.focused().is_none()) {
                    edit.request_focus();
                }
                let entered = edit.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
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
                    ui.monospace(crate::session::help());
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

/// What is said when a look through the machine is wanted that eyes do not have.
const NEEDS_ALL: &str = "only the live drawing shows that: switch it on with key l; in an exercise that is written down";

/// Keys and mouse, a line each.
const HELP: &[&str] = &[
    "Mouse: click a button of the panel to press it, keep it down to hold it, right click to latch it.",
    "Wheel: zoom a sheet. Drag: move it. f: the whole sheet again. w: one sheet over the whole width.",
    "Keys 1 to 0, i, o take a tool; Tab walks over everything that can be picked, Enter picks it.",
    "/ goes to the line for words: everything can be done there, in the words of the console.",
    "p pause, comma slower, full stop faster. r read the meter again.",
    "d light or dark paper, t size of text, s manner of the control sheet, l live drawing.",
    "+ and - zoom, Shift with arrows moves the sheets. F1 this list, F12 a picture.",
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

fn note_gauge(gauges: &mut BTreeMap<String, String>, reading: &crate::session::Reading) {
    if reading.function == "gauge" {
        gauges.insert(reading.places.0.clone(), reading.text.clone());
    }
}

/// Bench time as minutes and seconds.
#[must_use]
pub fn clock(at: SimTime) -> String {
    let tenths = at.as_nanos() / 100_000_000;
    format!("{}:{:02}.{}", tenths / 600, tenths / 10 % 60, tenths % 10)
}
