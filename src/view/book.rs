//! The logbook: what was done and read, the suspects, the task, and the debriefing.

use bevy_egui::egui::{self, Id, RichText, ScrollArea, Ui};

use crate::fault::modes_of;
use crate::grade::{Grade, Verdict};
use crate::scenario::Scenario;
use crate::session::{Action, LogEntry, Severity};

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
        (Tab::Task, "Task"),
        (Tab::Log, "Log"),
        (Tab::Suspects, "Suspects"),
        (Tab::Strip, "Strip"),
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
pub fn lines(entry: &LogEntry) -> (String, Vec<String>) {
    let head = format!("{} {}", clock(entry.started), entry.action);
    let mut told: Vec<String> = entry.outcome.lines.iter().map(ToString::to_string).collect();
    told.extend(entry.outcome.seen.iter().map(|s| format!("{} {}", clock(s.at), s.what)));
    if entry.outcome.unlisted > 0 {
        told.push(format!("and {} more things", entry.outcome.unlisted));
    }
    told.extend(entry.outcome.hazards.iter().map(|h| format!("!! {h}")));
    (head, told)
}

impl Book {
    /// Draws the open page and gives what was written.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        scenario: &Scenario,
        desk: &Desk,
        spots: &mut Spots,
        hand_back: &mut bool,
    ) -> Option<Action> {
        self.first = None;
        ui.horizontal_wrapped(|ui| {
            for (tab, name) in Tab::ALL {
                let response = ui.selectable_label(self.tab == tab, name);
                spots.insert(format!("tab {name}"), response.rect);
                self.first = self.first.or(Some(response.id));
                if response.clicked() {
                    self.tab = tab;
                }
            }
            let response = ui.button("Hand back");
            spots.insert("hand back".to_owned(), response.rect);
            *hand_back |= response.clicked();
        });
        match self.tab {
            Tab::Task => {
                task(ui, scenario);
                None
            }
            Tab::Log => self.log(ui, desk, spots),
            Tab::Suspects => self.suspects(ui, scenario, spots),
            Tab::Strip => None,
        }
    }

    fn log(&mut self, ui: &mut Ui, desk: &Desk, spots: &mut Spots) -> Option<Action> {
        let mut action = None;
        ui.horizontal(|ui| {
            let edit = egui::TextEdit::singleline(&mut self.note).hint_text("a note");
            let response = ui.add_sized([ui.available_width() * 0.5, 20.0], edit);
            spots.insert("note".to_owned(), response.rect);
            let entered = response.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
            let wanted = ui.button("Write").clicked() || entered;
            if wanted && !self.note.trim().is_empty() {
                let text = std::mem::take(&mut self.note).trim().to_owned();
                action = Some(Action::Note { text });
            }
            ui.checkbox(&mut self.predicts, "predict first")
                .on_hover_text("ask what a measurement will show before it is made");
        });
        let row = ui.text_style_height(&egui::TextStyle::Body);
        let entries = desk.session().log();
        ScrollArea::vertical().id_salt("log").auto_shrink(false).stick_to_bottom(true).show(
            ui,
            |ui| {
                // A long attempt is read from its end.
                let from = entries.len().saturating_sub(200);
                for entry in &entries[from..] {
                    let (head, told) = lines(entry);
                    ui.strong(head);
                    for line in told {
                        ui.horizontal_wrapped(|ui| {
                            ui.add_space(row);
                            ui.label(line);
                        });
                    }
                }
            },
        );
        action
    }

    fn suspects(&mut self, ui: &mut Ui, scenario: &Scenario, spots: &mut Spots) -> Option<Action> {
        let plan = &scenario.plan;
        let mut action = None;
        ui.horizontal_wrapped(|ui| {
            ui.label("fault");
            egui::ComboBox::from_id_salt("named")
                .width(70.0)
                .selected_text(or(&self.named, "part"))
                .show_ui(ui, |ui| {
                    for part in &plan.parts {
                        if !self.struck.contains(&part.tag) {
                            ui.selectable_value(&mut self.named, part.tag.clone(), &part.tag);
                        }
                    }
                });
            egui::ComboBox::from_id_salt("mode")
                .width(130.0)
                .selected_text(or(&self.mode, "what is wrong"))
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
                        let words = format!("{id}: {}", spec.title);
                        ui.selectable_value(&mut self.mode, id, words);
                    }
                });
            let response = ui.button("Name it");
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
            let words = format!("Write down {} suspects", remaining.len());
            let response = ui.button(words);
            spots.insert("write suspects".to_owned(), response.rect);
            if response.clicked() {
                action = Some(Action::Suspect { parts: remaining });
            }
            ui.checkbox(&mut self.wires, "wires too");
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

fn task(ui: &mut Ui, scenario: &Scenario) {
    ScrollArea::vertical().id_salt("task").auto_shrink(false).show(ui, |ui| {
        ui.strong("Training aid only: data sheets, local codes and licensed practice come first.");
        for caution in &scenario.bench.cautions {
            ui.label(format!("Caution: {caution}"));
        }
        ui.separator();
        if scenario.brief.is_empty() {
            ui.label(&scenario.bench.note);
        } else {
            ui.label(&scenario.brief);
        }
        ui.label(format!(
            "You have {:.0} min of bench time.",
            scenario.time_limit.as_secs_f64() / 60.0
        ));
    });
}

/// The debriefing: the grade, and the story to look back at.
pub fn debrief(ui: &mut Ui, debrief: &mut Debrief, spots: &mut Spots) {
    ScrollArea::vertical().id_salt("grade").auto_shrink(false).show(ui, |ui| {
        match debrief.grade() {
            None => {
                ui.strong("The attempt is over. It is being marked ...");
            }
            Some(Ok(grade)) => {
                let told = ui.scope(|ui| graded(ui, grade)).response;
                spots.insert("verdict".to_owned(), told.rect);
            }
            Some(Err(why)) => {
                ui.label(format!("the attempt cannot be marked: {why}"));
            }
        }
        let Some(replay) = &debrief.replay else { return };
        ui.separator();
        ui.strong("Look back: pick a step, or use the time bar below.");
        let mut wanted = None;
        for (k, (at, words)) in replay.actions().enumerate() {
            let here = replay.action_at(debrief.at) == Some(k);
            let response = ui.selectable_label(here, format!("{} {words}", clock(at)));
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

fn graded(ui: &mut Ui, grade: &Grade) {
    let verdict = match grade.verdict {
        Verdict::Competent => "COMPETENT",
        Verdict::NotYetCompetent => "NOT YET COMPETENT",
    };
    ui.heading(format!("{verdict}, {:.1} of 100", grade.marks));
    ui.label(format!(
        "safety gate {}; {}; {:.1} min of bench time",
        if grade.gate { "passed" } else { "FAILED" },
        grade.ended,
        grade.bench_seconds / 60.0
    ));
    for c in &grade.criteria {
        ui.label(format!(
            "{:>5.1} / {:<3} {}: {}",
            c.marks,
            c.weight,
            c.criterion.replace('_', " "),
            c.why
        ));
    }
    ui.label(format!("named: {}", grade.named.join("; ")));
    ui.label(format!("truth: {}", grade.truth.join("; ")));
    for h in &grade.hazards {
        let severity = match h.severity {
            Severity::Critical => "critical",
            Severity::Major => "major",
        };
        ui.strong(format!("{} {severity}: {}", h.at, h.what));
        ui.label(h.why.as_ref());
    }
    for line in &grade.feedback {
        ui.label(format!("- {line}"));
    }
    ui.small(format!("digest {}", grade.digest));
}
