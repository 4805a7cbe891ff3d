//! The logbook: what was done and read, the suspects, the task, and the debriefing.

use bevy_egui::egui::{self, Id, RichText, ScrollArea, Ui};

use crate::fault::modes_of;
use crate::grade::Grade;
use crate::language::{Phrase, Words};
use crate::report::Reader;
use crate::scenario::Scenario;
use crate::session::{Action, LogEntry, Seen};

use super::author::or;
use super::debrief::Debrief;
use super::desk::Desk;
use super::glass::Spots;
use super::screen::clock;

/// A page of the logbook.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tab {
    /// What the learner was told.
    #[default]
    Task,
    /// What was done and read.
    Log,
    /// The suspects, and the fault named.
    Suspects,
    /// The strip of the oscilloscope.
    Strip,
}

impl Tab {
    const ALL: [(Tab, &'static str); 4] = [
        (Tab::Task, "window-tab-task"),
        (Tab::Log, "window-tab-log"),
        (Tab::Suspects, "window-tab-suspects"),
        (Tab::Strip, "window-tab-strip"),
    ];
}

/// What is being written.
#[derive(Clone, Debug, Default)]
pub struct Book {
    /// The open page.
    pub tab: Tab,
    /// Parts struck from the suspects.
    pub struck: Vec<String>,
    /// Ask for a prediction before each measurement.
    pub predicts: bool,
    /// The first thing on the open page, for the keys.
    pub first: Option<Id>,
    note: String,
    wires: bool,
    named: String,
    mode: String,
}

/// The lines of a log entry: what was done, and what came of it.
#[must_use]
pub fn lines(entry: &LogEntry, reader: &Reader) -> (String, Vec<String>) {
    let outcome = &entry.outcome;
    let act = reader.words.action(&entry.action.to_string());
    let head = format!("{} {act}", clock(entry.started));
    let mut told: Vec<String> = outcome.lines.iter().map(|line| reader.tell(line)).collect();
    let seen = |s: &Seen| format!("{} {}", clock(s.at), reader.tell(&s.what));
    told.extend(outcome.seen.iter().map(seen));
    if outcome.unlisted > 0 {
        told.push(reader.fill("console-more", "count", outcome.unlisted as usize));
    }
    told.extend(outcome.hazards.iter().map(|h| format!("!! {}", reader.hazard(h))));
    (head, told)
}

impl Book {
    /// Draws the open page and gives what was written.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        reader: &Reader,
        scenario: &Scenario,
        desk: &Desk,
        spots: &mut Spots,
        hand_back: &mut bool,
    ) -> Option<Action> {
        self.first = None;
        ui.horizontal_wrapped(|ui| {
            for (tab, id) in Tab::ALL {
                let response = ui.selectable_label(self.tab == tab, reader.say(id));
                spots.insert(format!("tab {}", Phrase::new(id)), response.rect);
                self.first = self.first.or(Some(response.id));
                if response.clicked() {
                    self.tab = tab;
                }
            }
            let response = ui.button(reader.say("window-hand-back"));
            spots.insert("hand back".to_owned(), response.rect);
            *hand_back |= response.clicked();
        });
        match self.tab {
            Tab::Task => {
                task(ui, reader, scenario);
                None
            }
            Tab::Log => self.log(ui, reader, desk, spots),
            Tab::Suspects => self.suspects(ui, reader, scenario, spots),
            Tab::Strip => None,
        }
    }

    fn log(
        &mut self,
        ui: &mut Ui,
        reader: &Reader,
        desk: &Desk,
        spots: &mut Spots,
    ) -> Option<Action> {
        let mut action = None;
        ui.horizontal_wrapped(|ui| {
            let hint = reader.say("window-note");
            let edit = egui::TextEdit::singleline(&mut self.note).hint_text(hint);
            let response = ui.add_sized([ui.available_width() * 0.5, 20.0], edit);
            spots.insert("note".to_owned(), response.rect);
            let entered = response.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
            let wanted = ui.button(reader.say("window-write")).clicked() || entered;
            if wanted && !self.note.trim().is_empty() {
                let text = std::mem::take(&mut self.note).trim().to_owned();
                action = Some(Action::Note { text });
            }
            ui.checkbox(&mut self.predicts, reader.say("window-predict-first"))
                .on_hover_text(reader.say("window-predict-first-tip"));
        });
        let row = ui.text_style_height(&egui::TextStyle::Body);
        let entries = desk.session().log();
        ScrollArea::vertical().id_salt("log").auto_shrink(false).stick_to_bottom(true).show(
            ui,
            |ui| {
                // A long attempt is read from its end.
                let from = entries.len().saturating_sub(200);
                for entry in &entries[from..] {
                    let (head, told) = lines(entry, reader);
                    ui.strong(head);
                    for line in told {
                        let aside = egui::Margin { left: row as i8, ..egui::Margin::ZERO };
                        egui::Frame::new().inner_margin(aside).show(ui, |ui| ui.label(line));
                    }
                }
            },
        );
        action
    }

    fn suspects(
        &mut self,
        ui: &mut Ui,
        reader: &Reader,
        scenario: &Scenario,
        spots: &mut Spots,
    ) -> Option<Action> {
        let plan = &scenario.plan;
        let mut action = None;
        ui.horizontal_wrapped(|ui| {
            ui.label(reader.say("window-fault"));
            egui::ComboBox::from_id_salt("named")
                .width(70.0)
                .selected_text(or(&self.named, &reader.say("window-part")))
                .show_ui(ui, |ui| {
                    for part in &plan.parts {
                        if !self.struck.contains(&part.tag) {
                            ui.selectable_value(&mut self.named, part.tag.clone(), &part.tag);
                        }
                    }
                });
            egui::ComboBox::from_id_salt("mode")
                .width(130.0)
                .selected_text(or(&reader.words.what(&self.mode), &reader.say("window-wrong")))
                .show_ui(ui, |ui| {
                    let Some(id) = plan.part(&self.named) else { return };
                    let all = modes_of(plan, id);
                    for (spec, role, _) in &all {
                        let several = all.iter().filter(|m| m.0.id == spec.id).count() > 1;
                        let id = if several {
                            format!("{} {role}", spec.id)
                        } else {
                            spec.id.to_owned()
                        };
                        let told = mode(&id, spec.title, reader.words);
                        ui.selectable_value(&mut self.mode, id, told);
                    }
                });
            let response = ui.button(reader.say("window-name-it"));
            spots.insert("name".to_owned(), response.rect);
            if response.clicked() && !self.named.is_empty() && !self.mode.is_empty() {
                action = Some(Action::Name { part: self.named.clone(), mode: self.mode.clone() });
            }
        });
        ui.horizontal_wrapped(|ui| {
            let remaining: Vec<String> = plan
                .parts
                .iter()
                .filter(|p| (self.wires || p.class != "Wire") && !self.struck.contains(&p.tag))
                .map(|p| p.tag.clone())
                .collect();
            let count = remaining.len();
            let response = ui.button(reader.fill("window-write-suspects", "count", count));
            spots.insert("write suspects".to_owned(), response.rect);
            if response.clicked() {
                action = Some(Action::Suspect { parts: remaining });
            }
            ui.checkbox(&mut self.wires, reader.say("window-wires-too"));
        });
        ScrollArea::vertical().id_salt("suspects").auto_shrink(false).show(ui, |ui| {
            for part in plan.parts.iter().filter(|p| self.wires || p.class != "Wire") {
                let struck = self.struck.contains(&part.tag);
                let words = format!("{} {}", part.tag, part.title);
                let text = RichText::new(words);
                let text = if struck { text.strikethrough().weak() } else { text };
                let response = ui.selectable_label(false, text);
                spots.insert(format!("suspect {}", part.tag), response.rect);
                if response.clicked() {
                    if struck {
                        self.struck.retain(|t| *t != part.tag);
                    } else {
                        self.struck.push(part.tag.clone());
                    }
                }
            }
        });
        action
    }
}

/// A fault mode as it is chosen: in words; where these are those that are typed, its title says more.
fn mode(id: &str, title: &str, words: Words) -> String {
    let said = words.what(id);
    if said == id { format!("{id}: {title}") } else { said }
}

fn task(ui: &mut Ui, reader: &Reader, scenario: &Scenario) {
    ScrollArea::vertical().id_salt("task").auto_shrink(false).show(ui, |ui| {
        ui.strong(reader.say("safety"));
        for caution in &scenario.bench.cautions {
            ui.label(reader.fill("console-caution", "caution", caution.as_str()));
        }
        ui.separator();
        if scenario.brief.is_empty() {
            ui.label(&scenario.bench.note);
        } else {
            ui.label(&scenario.brief);
        }
        let minutes = format!("{:.0}", scenario.time_limit.as_secs_f64() / 60.0);
        ui.label(reader.fill("sheet-limit", "minutes", minutes));
    });
}

/// The debriefing: the grade, and the story to look back at.
pub fn debrief(ui: &mut Ui, reader: &Reader, debrief: &mut Debrief, spots: &mut Spots) {
    ScrollArea::vertical().id_salt("grade").auto_shrink(false).show(ui, |ui| {
        match debrief.grade() {
            None => {
                ui.strong(reader.say("window-marking"));
            }
            Some(Ok(grade)) => {
                let told = ui.scope(|ui| graded(ui, reader, grade)).response;
                spots.insert("verdict".to_owned(), told.rect);
            }
            Some(Err(why)) => {
                let why = Phrase::new("window-unmarked").with("why", why.clone());
                ui.label(reader.tell(&why));
            }
        }
        let Some(replay) = &debrief.replay else { return };
        ui.separator();
        ui.strong(reader.say("window-look-back"));
        let mut wanted = None;
        for (k, (at, words)) in replay.actions().enumerate() {
            let here = replay.action_at(debrief.at) == Some(k);
            let step = format!("{} {}", clock(at), reader.words.action(&words));
            let response = ui.selectable_label(here, step);
            spots.insert(format!("step {}", k + 1), response.rect);
            if response.clicked() {
                wanted = Some(at);
            }
        }
        if let Some(at) = wanted {
            debrief.at = at;
            debrief.playing = false;
        }
    });
}

fn graded(ui: &mut Ui, reader: &Reader, grade: &Grade) {
    let words = reader.words;
    let marks = Phrase::new("marks-of").with("marks", words.number(grade.marks, 1));
    let marks = words.phrase(&marks.with("most", "100"));
    ui.heading(format!("{}, {marks}", words.say(grade.verdict.message()).to_uppercase()));
    let gate = words.say(if grade.gate { "gate-passed" } else { "gate-failed" });
    let minutes = words.number(grade.bench_seconds / 60.0, 1);
    let minutes = reader.fill("minutes", "minutes", minutes);
    ui.label(format!("{gate}; {}; {minutes}", words.phrase(&grade.ended)));
    for c in &grade.criteria {
        let name = words.say(&format!("criterion-{}", c.criterion));
        let (marks, why) = (words.number(c.marks, 1), reader.tell(&c.why));
        ui.label(format!("{marks:>5} / {:<3} {name}: {why}", c.weight));
    }
    for (id, list) in [("named", &grade.named), ("truth", &grade.truth)] {
        let mut listed = words.faults(list).join("; ");
        if listed.is_empty() {
            listed = words.say("nothing");
        }
        ui.label(format!("{}: {listed}", words.say(id)));
    }
    for h in &grade.hazards {
        let (id, severity) = (h.hazard.message(), words.say(h.severity_message()));
        let values = reader.evidence(&h.evidence);
        let comma = if values.is_empty() { "" } else { ", " };
        let what = words.say(&id);
        ui.strong(format!("{} {severity}: {what} ({}{comma}{values})", h.at, h.place));
        ui.label(words.say(&format!("{id}-why")));
    }
    for line in &grade.feedback {
        ui.label(format!("- {}", reader.tell(line)));
    }
    ui.small(reader.fill("console-digest", "digest", grade.digest.as_str()));
}
