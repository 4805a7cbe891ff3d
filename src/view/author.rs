//! The author's side: files read again when they are saved, problems shown in the window, faults put
//! in by hand.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use bevy_egui::egui::{self, Ui};

use crate::diagnostic::{Diagnostics, Severity, Sources, one_lines_in};
use crate::fault::{Fault, modes_of};
use crate::language::Words;
use crate::plant::Plan;
use crate::report::Reader;
use crate::scenario::{Disk, Scenario, load_any};

/// The files are looked at this often [s].
const EVERY_S: f64 = 0.5;

/// What an author sees and does.
pub struct Author {
    file: PathBuf,
    words: Words,
    waited_s: f64,
    /// Sizes and times of the files, as last seen.
    stamp: Vec<(PathBuf, u64, Option<std::time::SystemTime>)>,
    problems: String,
    broken: bool,
    part: String,
    mode: String,
    faults: Vec<Fault>,
    changed: bool,
}

impl Author {
    /// Watches the scenario or bench in `file`; tells its problems in `words`.
    #[must_use]
    pub fn new(file: &Path, words: Words) -> Author {
        let mut author = Author {
            file: file.to_path_buf(),
            words,
            waited_s: 0.0,
            stamp: Vec::new(),
            problems: String::new(),
            broken: false,
            part: String::new(),
            mode: String::new(),
            faults: Vec::new(),
            changed: false,
        };
        let _ = author.read();
        author
    }

    /// Reads the files again if one has changed; gives the scenario if it loads.
    pub fn poll(&mut self, wall_s: f64) -> Option<Arc<Scenario>> {
        self.waited_s += wall_s;
        if self.waited_s < EVERY_S {
            return None;
        }
        self.waited_s = 0.0;
        let now: Vec<_> = self.stamp.iter().map(|s| stamp(&s.0)).collect();
        if now == self.stamp {
            return None;
        }
        self.read().map(Arc::new)
    }

    fn read(&mut self) -> Option<Scenario> {
        let folder = self.file.parent().filter(|p| !p.as_os_str().is_empty());
        let folder = folder.unwrap_or(Path::new("."));
        let name = self.file.file_name()?.to_string_lossy().into_owned();
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        let scenario = load_any(&Disk::new(folder), &name, &mut sources, &mut found);
        self.problems = one_lines_in(&found, &sources, self.words);
        self.broken = scenario.is_none() || found.iter().any(|d| d.severity == Severity::Error);
        let files: Vec<PathBuf> = sources.files().map(|n| folder.join(n)).collect();
        let files = if files.is_empty() { vec![self.file.clone()] } else { files };
        self.stamp = files.iter().map(|f| stamp(f)).collect();
        self.faults.clear();
        scenario
    }

    /// The scenario with the faults put in by hand, when they have changed.
    pub fn injected(&mut self, scenario: &Scenario) -> Option<Arc<Scenario>> {
        if !std::mem::take(&mut self.changed) {
            return None;
        }
        let mut scenario = scenario.clone();
        scenario.faults.clone_from(&self.faults);
        Some(Arc::new(scenario))
    }

    /// Draws the problems, and the faults to put in.
    pub fn show(&mut self, ui: &mut Ui, plan: &Plan, reader: &Reader) {
        let state = if self.broken { "window-author-broken" } else { "window-author" };
        ui.strong(reader.say(state));
        if !self.problems.is_empty() {
            ui.label(&self.problems);
        }
        ui.horizontal_wrapped(|ui| {
            egui::ComboBox::from_id_salt("inject part")
                .width(60.0)
                .selected_text(or(&self.part, &reader.say("window-part")))
                .show_ui(ui, |ui| {
                    for part in &plan.parts {
                        ui.selectable_value(&mut self.part, part.tag.clone(), &part.tag);
                    }
                });
            egui::ComboBox::from_id_salt("inject mode")
                .width(110.0)
                .selected_text(or(&reader.words.what(&self.mode), &reader.say("window-fault")))
                .show_ui(ui, |ui| {
                    let Some(id) = plan.part(&self.part) else { return };
                    for (spec, role, _) in modes_of(plan, id) {
                        let mode = format!("{} {role}", spec.id);
                        let told = reader.words.what(&mode);
                        ui.selectable_value(&mut self.mode, mode, told);
                    }
                });
            if ui.button(reader.say("window-put-in")).clicked()
                && let Some((mode, role)) = self.mode.split_once(' ')
            {
                self.faults.push(Fault::new(&self.part, mode).in_role(role));
                self.changed = true;
            }
            if !self.faults.is_empty() && ui.button(reader.say("window-all-sound")).clicked() {
                self.faults.clear();
                self.changed = true;
            }
        });
        for fault in &self.faults {
            let named = reader.words.fault(&format!("{} {}", fault.part, fault.mode));
            ui.label(reader.fill("window-fault-in", "fault", named));
        }
        ui.separator();
    }
}

/// A choice, or what is to be chosen.
pub(super) fn or<'t>(chosen: &'t str, what: &'t str) -> &'t str {
    if chosen.is_empty() { what } else { chosen }
}

/// Size and time of a file.
fn stamp(path: &Path) -> (PathBuf, u64, Option<std::time::SystemTime>) {
    let meta = std::fs::metadata(path).ok();
    let size = meta.as_ref().map_or(0, std::fs::Metadata::len);
    (path.to_path_buf(), size, meta.and_then(|m| m.modified().ok()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language::Language;

    #[test]
    fn a_saved_mistake_is_told_with_file_line_and_help_and_mending_it_loads_again() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("lamp.bench.ron");
        let sound = r#"Bench(format: 1, parts: {
            "G1": DcSupply(voltage: "24 V DC"), "S1": PushButton(), "H1": Lamp(),
        }, rungs: [Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, H1:X1-X2")])"#;
        std::fs::write(&file, sound).expect("written");
        let mut author = Author::new(&file, Words::of(Language::German));
        assert!(author.poll(1.0).is_none(), "nothing has changed");
        std::fs::write(&file, sound.replace("S1:13-14", "S9:13-14 ")).expect("written");
        assert!(author.poll(1.0).is_none());
        let told = &author.problems;
        assert!(told.contains("lamp.bench.ron:3:") && told.contains("kein Teil S9"), "{told}");
        std::fs::write(&file, sound).expect("written");
        assert!(author.poll(0.1).is_none(), "too early to look");
        assert!(author.poll(1.0).is_some());
        assert!(author.problems.is_empty());
    }
}
