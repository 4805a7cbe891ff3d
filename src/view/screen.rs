//! The whole screen, frame by frame: what is drawn where, and what keys and mouse do.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use bevy_egui::egui::{Id, Ui};

use crate::base::SimTime;
use crate::drawing::live::Live;
use crate::drawing::{Style, Subject, control, power, seam};
use crate::language::Phrase;
use crate::plant::Plan;
use crate::report::Reader;
use crate::scenario::{Drill, Scenario};
use crate::session::{Action, Attempt, Ended, Reading, Rig, parse};

use super::author::Author;
use super::book::{Book, Tab};
use super::course::{Course, Step};
use super::debrief::Debrief;
use super::desk::Desk;
use super::glass::{Glass, Spots};
use super::layout::{Shares, USUAL_HIGH, balance, room, zones};
use super::machine;
use super::panel::Fingers;
use super::paper::{Inks, Paper, TEXT_SCALES, dress, fonts};
use super::scope::Strip;
use super::strokes::ready;
use super::tools::{Hand, Picked};

mod ask;
mod keys;
mod rooms;

use ask::Ask;

/// What is to be practised, by whom.
#[derive(Clone, Debug)]
pub struct Order {
    /// The scenario.
    pub scenario: Arc<Scenario>,
    /// The drill whose first question the scenario is, if it is one.
    pub drill: Option<Arc<Drill>>,
    /// Who reads the window: in which language, in which units.
    pub reader: Reader,
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
    course: Option<Course>,
    debrief: Option<Debrief>,
    live: Live,
    /// The bench in the debriefing, and when.
    past: Option<(SimTime, Rig)>,
    /// The drawing shows everything, not only what eyes can see.
    all: bool,
    paper: Paper,
    /// Size of text, as an index of [`TEXT_SCALES`], and whether somebody chose it.
    scale: usize,
    chosen: bool,
    style: Style,
    /// How the room is divided; the share of the control sheet once somebody has moved it.
    shares: Shares,
    divided: bool,
    ask: Option<Ask>,
    /// Whether a question was on the screen in the last frame.
    asking: bool,
    inside: Option<String>,
    /// What gauges showed, as the reader reads it.
    gauges: BTreeMap<String, String>,
    display: String,
    entry: String,
    lines: Vec<String>,
    line_at: usize,
    message: String,
    setting: String,
    spots: Spots,
    focus_entry: bool,
    /// The room that F6 came to last, and the first tool of the tray.
    room: usize,
    first_tool: Option<Id>,
    picture: bool,
    quit: bool,
    moving: bool,
    dressed: Option<(Paper, usize)>,
}

impl Screen {
    /// The screen for `order`.
    #[must_use]
    pub fn new(order: Order) -> Screen {
        let (plan, reader) = (order.scenario.plan.clone(), order.reader);
        let author = order.watch.then(|| Author::new(&order.file, reader.words));
        let mut screen = Screen {
            control: Glass::new(&control::sheet(&plan, Style::Iec), &reader),
            seam: Glass::new(&seam::sheet(&plan), &reader),
            power: Glass::new(&power::sheet(&plan), &reader),
            hand: Hand::default(),
            fingers: Fingers::default(),
            strip: Strip::default(),
            book: Book::default(),
            author,
            course: order.drill.clone().map(Course::new),
            debrief: None,
            live: Live::default(),
            past: None,
            // A machine without hidden faults may be looked through.
            all: order.drill.is_none()
                && (order.watch
                    || order.scenario.faults.is_empty() && order.scenario.scripts.is_empty()),
            paper: Paper::Light,
            scale: 0,
            chosen: false,
            style: Style::Iec,
            shares: Shares::default(),
            divided: false,
            ask: None,
            asking: false,
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
            room: 0,
            first_tool: None,
            picture: false,
            quit: false,
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
        let file = if self.order.watch || self.course.is_some() {
            None
        } else {
            match crate::session::create_attempt(&self.order.file, self.order.attempt.take()) {
                Ok(opened) => Some(opened),
                Err((path, why)) => {
                    let why = Phrase::written(format!("{}: {why}", path.display()));
                    self.trouble(&Phrase::new("ask-play-unwritten").with("why", why));
                    return;
                }
            }
        };
        match Desk::fresh(scenario, self.order.seed, &self.order.learner, file) {
            Ok(mut desk) => {
                // A machine that is to be predicted stands until it is put to the proof.
                desk.set_paused(self.course.is_some());
                self.desk = Some(desk);
            }
            Err(why) => self.trouble(&why.phrase()),
        }
    }

    fn trouble(&mut self, why: &Phrase) {
        self.ask = Some(Ask::Trouble(self.reader().tell(why)));
    }

    fn resume(&mut self) {
        let Some((path, attempt)) = self.order.unfinished.take() else { return };
        match Desk::resumed(self.order.scenario.clone(), &attempt, &path) {
            Ok(desk) => {
                let (log, reader) = (desk.session().log(), self.reader());
                for reading in log.iter().flat_map(|e| &e.outcome.readings) {
                    note_gauge(&mut self.gauges, reading, &reader);
                }
                let taken = Phrase::new("console-taken-up").with("count", log.len());
                let taken = taken.with("at", desk.session().now().to_string());
                self.message = reader.tell(&taken);
                self.desk = Some(desk);
            }
            Err(why) => self.trouble(&why.phrase()),
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

    /// Whether the window is to be closed: the attempt is on disk already.
    #[must_use]
    pub fn quit(&self) -> bool {
        self.quit
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
        self.chosen = true;
    }

    /// The desk, once the attempt has begun.
    pub fn desk(&mut self) -> Option<&mut Desk> {
        self.desk.as_mut()
    }

    /// Does `action` as if it had been chosen on the screen.
    pub fn act(&mut self, action: Action) {
        self.ask = None;
        if self.desk.is_none() {
            self.begin();
        }
        self.perform(action);
    }

    fn reader(&self) -> Reader {
        self.order.reader
    }

    /// Says something on the line.
    fn tell(&mut self, id: &'static str) {
        self.message = self.reader().say(id);
    }

    fn plan(&self) -> Arc<Plan> {
        self.order.scenario.plan.clone()
    }

    fn inks(&self) -> Inks {
        self.paper.inks()
    }

    /// Draws a frame, `wall_s` after the last one.
    pub fn frame(&mut self, ui: &mut Ui, wall_s: f64) {
        if !self.chosen {
            self.scale = usual_step(ui.max_rect().height());
        }
        let dressed = (self.paper, self.scale);
        if self.dressed != Some(dressed) {
            let text = TEXT_SCALES[self.scale];
            dress(ui.ctx(), self.paper, text);
            let styles = fonts(text).map(|(_, font)| font);
            ready(ui.painter(), styles.into_iter().chain([machine::font(text)]));
            self.dressed = Some(dressed);
        }
        self.pass(wall_s);
        self.spots.clear();
        let screen = ui.max_rect();
        let text = TEXT_SCALES[self.scale];
        if !self.divided {
            let room = room(screen, text, self.shares);
            self.shares.control = balance(room, self.control.size(), self.power.size());
        }
        let zones = zones(screen, text, self.shares);
        ui.painter().rect_filled(screen, 0.0, self.inks().board);
        self.keys(ui, &zones);
        self.top(ui, zones.top);
        self.sheets(ui, &zones, wall_s);
        if self.shares.lower.is_some() {
            self.panel(ui, zones.panel);
            let (painter, zone) = (ui.painter_at(zones.machine), zones.machine);
            let (reader, plan, inks) = (self.reader(), self.plan(), self.inks());
            machine::show(&painter, zone, &reader, &plan, &self.live, &inks, text);
            self.tray(ui, zones.tray);
            self.book(ui, zones.book);
        }
        self.borders(ui, screen, &zones);
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
        let reader = self.reader();
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
            if let Some(trouble) = desk.trouble().map(|why| reader.tell(why))
                && self.ask.is_none()
                && self.message != trouble
            {
                self.message.clone_from(&trouble);
                self.ask = Some(Ask::Trouble(trouble));
            }
            now = desk.now();
            let plant = desk.rig().plant_mut();
            self.live = if self.all { Live::of(plant) } else { Live::visible(plant) };
            self.live.gauges.clone_from(&self.gauges);
            if desk.ended().is_some() && !ended && self.course.is_none() {
                self.tell("done-time-up");
                self.close();
            }
        }
        self.strip.sample(now, &self.live, &reader);
        let pistons = before != self.live.pistons;
        let sheets = self.running()
            && (self.control.flowing() || self.power.flowing() || self.seam.flowing());
        let film = self.desk.as_ref().is_some_and(Desk::showing_action);
        let back = self.debrief.as_ref().is_some_and(|d| d.playing || d.marking());
        self.moving = pistons || sheets || film || back;
    }

    /// The author saved a file that loads.
    fn reload(&mut self, scenario: Arc<Scenario>) {
        let (plan, reader) = (scenario.plan.clone(), self.reader());
        self.order.scenario = scenario;
        self.control = Glass::new(&control::sheet(&plan, self.style), &reader);
        self.seam = Glass::new(&seam::sheet(&plan), &reader);
        self.power = Glass::new(&power::sheet(&plan), &reader);
        self.debrief = None;
        self.past = None;
        self.gauges.clear();
        self.strip = Strip::default();
        self.hand = Hand::default();
        self.tell("window-read-again");
        self.begin();
    }

    /// Does an action, or first asks for a prediction.
    fn want(&mut self, action: Action) {
        if let Some(course) = &self.course
            && (!course.proved() || action == Action::HandBack {})
        {
            self.tell(if course.proved() {
                "window-drill-kept"
            } else if course.predicted() {
                "window-drill-steps"
            } else {
                "window-drill-predict"
            });
            return;
        }
        if self.book.predicts && action.measures() {
            self.ask = Some(Ask::Predict(action, String::new()));
        } else {
            self.perform(action);
        }
    }

    fn perform(&mut self, action: Action) {
        if self.debrief.is_some() {
            self.tell("window-over");
            return;
        }
        let reader = self.reader();
        let Some(desk) = &mut self.desk else { return };
        let words = reader.words.action(&action.to_string());
        let entry = match desk.act(action) {
            Ok(entry) => entry.clone(),
            Err(why) => {
                self.message = format!("{words}: {}", reader.tell(&why.phrase()));
                return;
            }
        };
        let mut told: Vec<String> =
            entry.outcome.lines.iter().map(|line| reader.tell(line)).collect();
        if told.is_empty() {
            told = entry.outcome.seen.iter().map(|s| reader.tell(&s.what)).collect();
        }
        self.message =
            if told.is_empty() { words } else { format!("{words}: {}", told.join("; ")) };
        for reading in &entry.outcome.readings {
            note_gauge(&mut self.gauges, reading, &reader);
            self.display = reader.tell(&reading.shown);
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
            .map(|h| (reader.hazard(h), reader.say(&format!("{}-why", h.hazard.message()))))
            .collect();
        let ended = desk.ended();
        if !dangers.is_empty() {
            self.ask = Some(Ask::Danger(dangers, ended == Some(Ended::Unsafe)));
        }
        if self.course.is_some() {
            return;
        }
        self.book.tab = if ended.is_some() { Tab::Log } else { self.book.tab };
        if ended.is_some() {
            self.close();
        }
    }

    /// What the page of a drill, or a key, asks for.
    fn step(&mut self, step: Step) {
        match step {
            Step::Predicted => self.all = true,
            Step::Do(action) => {
                self.perform(action);
                if self.course.as_ref().is_some_and(Course::proved)
                    && let Some(desk) = &mut self.desk
                {
                    desk.set_paused(false);
                }
            }
            Step::Another => {
                let next = self.course.as_ref().and_then(Course::question);
                let Some(scenario) = next.map(|q| q.scenario.clone()) else { return };
                self.all = false;
                self.reload(scenario);
                self.message.clear();
            }
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
            Err(why) => {
                let reader = self.reader();
                let (what, help) = (reader.tell(&why.message), reader.tell(&why.help));
                self.message = format!("{what}; {help}");
            }
        }
    }

    fn pick(&mut self, subject: &Subject) {
        let (plan, reader) = (self.plan(), self.reader());
        match self.hand.pick(&plan, subject, reader.words) {
            Picked::Nothing(why) => {
                self.message = why.map_or_else(String::new, |why| reader.tell(&why));
            }
            Picked::Lead => self.tell("window-black-next"),
            Picked::Do(action) => self.want(action),
            Picked::Choose => self.message = String::new(),
            Picked::Inside(tag) => {
                if self.all {
                    self.inside = Some(tag);
                } else {
                    self.tell(NEEDS_ALL);
                }
            }
            Picked::Record(subject) if self.all => {
                self.book.tab = Tab::Strip;
                let told = self.strip.toggle(&self.live, &subject, &reader);
                self.message = reader.tell(&told);
            }
            Picked::Record(_) => self.tell(NEEDS_ALL),
        }
    }
}

/// The size of text for a window of this height [points]: what is read from the same distance fills the
/// same part of it.
fn usual_step(high: f32) -> usize {
    TEXT_SCALES.iter().rposition(|scale| high >= USUAL_HIGH * scale).unwrap_or(0)
}

/// What is said when a look through the machine is wanted that eyes do not have.
const NEEDS_ALL: &str = "window-needs-live";

fn note_gauge(gauges: &mut BTreeMap<String, String>, reading: &Reading, reader: &Reader) {
    if reading.function == "gauge" {
        // What the needle shows; which gauge it is stands in the log.
        let shown = reader.tell(&reading.shown);
        let shown = shown.split(" (").next().unwrap_or_default();
        gauges.insert(reading.places.0.clone(), shown.to_owned());
    }
}

/// Bench time as minutes and seconds.
#[must_use]
pub fn clock(at: SimTime) -> String {
    let tenths = at.as_nanos() / 100_000_000;
    format!("{}:{:02}.{}", tenths / 600, tenths / 10 % 60, tenths % 10)
}

#[cfg(test)]
mod german;
#[cfg(test)]
mod overlaps;
#[cfg(test)]
mod tests;
