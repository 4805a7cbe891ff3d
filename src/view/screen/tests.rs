//! The screen without a window: keys typed into it, frame by frame.

use std::collections::BTreeSet;
use std::path::PathBuf;

use bevy_egui::egui::{
    Context, Event, Key, Modifiers, PointerButton, Pos2, RawInput, Rect, pos2, vec2,
};

use super::overlaps::words;
use super::*;
use crate::diagnostic::{Diagnostics, Sources};
use crate::language::Language;
use crate::quantity::UnitSystem;
use crate::scenario::{Shelf, Shipped, load, load_drill};

/// Two hands at the keys, and eyes that remember every text they have seen.
pub(super) struct Hands {
    ctx: Context,
    pub screen: Screen,
    folder: tempfile::TempDir,
    pub read: BTreeSet<String>,
}

impl Hands {
    pub(super) fn at(order: impl FnOnce(PathBuf) -> Order) -> Hands {
        let folder = tempfile::tempdir().expect("a folder");
        let screen = Screen::new(order(folder.path().join("a.attempt.jsonl")));
        let ctx = Context::default();
        ctx.all_styles_mut(|style| {
            style.interaction.tooltip_delay = 0.0;
            style.interaction.show_tooltips_only_when_still = false;
        });
        let mut hands = Hands { ctx, screen, folder, read: BTreeSet::new() };
        hands.frames(Vec::new());
        hands
    }

    /// Two frames, the first with these events: what is asked for in one is seen in the next.
    pub(super) fn frames(&mut self, events: Vec<Event>) {
        for events in [events, Vec::new()] {
            let input = RawInput {
                screen_rect: Some(Rect::from_min_size(pos2(0.0, 0.0), vec2(1280.0, 800.0))),
                events,
                ..RawInput::default()
            };
            let screen = &mut self.screen;
            let mut out = self.ctx.run_ui(input, |ui| screen.frame(ui, 0.02));
            out.textures_delta.clear();
            self.read.extend(words(&out.shapes).into_iter().map(|words| words.text));
        }
    }

    pub(super) fn key(&mut self, key: Key) {
        for pressed in [true, false] {
            let modifiers = Modifiers::default();
            let event = Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
            self.frames(vec![event]);
        }
    }

    pub(super) fn text(&mut self, text: &str) {
        self.frames(vec![Event::Text(text.to_owned())]);
    }

    /// Words on the line.
    pub(super) fn say(&mut self, line: &str) {
        self.key(Key::Escape);
        self.text("/");
        self.text(line);
        self.key(Key::Enter);
    }

    /// Moves the mouse to what is called so.
    pub(super) fn point(&mut self, name: &str) -> Pos2 {
        let pos = self.screen.spots()[name].center();
        self.frames(vec![Event::PointerMoved(pos)]);
        pos
    }

    /// A click with the mouse on what is called so.
    pub(super) fn click(&mut self, name: &str) {
        let pos = self.point(name);
        for pressed in [true, false] {
            let (button, modifiers) = (PointerButton::Primary, Modifiers::default());
            self.frames(vec![Event::PointerButton { pos, button, pressed, modifiers }]);
        }
    }

    fn done(&mut self) -> Vec<String> {
        let desk = self.screen.desk().expect("a desk");
        desk.session().log().iter().map(|e| e.action.to_string()).collect()
    }
}

pub(super) fn exercise(attempt: PathBuf) -> Order {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let name = "pusher-dead-coil.scenario.ron";
    let scenario = load(&Shipped, name, &mut sources, &mut found).expect("a shipped scenario");
    Order {
        scenario: Arc::new(scenario),
        drill: None,
        reader: Reader::new(Language::English, UnitSystem::Si),
        file: PathBuf::from(name),
        seed: 3,
        learner: "keys".to_owned(),
        attempt: Some(attempt),
        unfinished: None,
        watch: false,
    }
}

#[test]
fn a_whole_exercise_goes_by_keys_alone() {
    let mut hands = Hands::at(exercise);
    let list = Shipped.text("pusher-dead-coil.good.actions").expect("a list");
    let lines = crate::session::read_actions(&list).expect("actions");
    for line in &lines {
        hands.say(&line.action.to_string());
    }
    let told: Vec<String> = lines.iter().map(|l| l.action.to_string()).collect();
    assert_eq!(hands.done(), told);
    let debrief = hands.screen.debrief.as_mut().expect("the attempt is over");
    while debrief.marking() {
        std::thread::yield_now();
    }
    let grade = debrief.grade().expect("marked").as_ref().expect("a grade");
    let digest = grade.digest.clone();
    assert_eq!(digest, hands.screen.desk().expect("a desk").session().rig().plant().digest());
    let kept = std::fs::read(hands.folder.path().join("a.attempt.jsonl")).expect("the attempt");
    assert_eq!(kept.iter().filter(|b| **b == b'\n').count(), lines.len() + 1);
}

#[test]
fn f6_walks_over_the_rooms_and_enter_works_what_tab_came_to() {
    let mut hands = Hands::at(exercise);
    for _ in 0..4 {
        hands.key(Key::F6);
    }
    assert_eq!(hands.ctx.memory(|m| m.focused()), Some(crate::view::panel::first()));
    for _ in 0..4 {
        hands.key(Key::Tab);
    }
    hands.key(Key::Enter);
    assert_eq!(hands.done(), ["press S4"]);
    // On to tray, book and line.
    for _ in 0..3 {
        hands.key(Key::F6);
    }
    assert!(hands.ctx.text_edit_focused());
    hands.text("look H1");
    hands.key(Key::Enter);
    assert_eq!(hands.done(), ["press S4", "look H1"]);
}

/// The drill of a file, and the order that begins it.
pub(super) fn course(name: &str) -> (Arc<Drill>, Order) {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let drill = Arc::new(load_drill(&Shipped, name, &mut sources, &mut found).expect("a drill"));
    let order = Order {
        scenario: drill.questions[0].scenario.clone(),
        drill: Some(drill.clone()),
        file: PathBuf::from(name),
        attempt: None,
        ..exercise(PathBuf::new())
    };
    (drill, order)
}

#[test]
fn a_drill_shows_its_bench_after_the_prediction_and_not_before() {
    let (drill, order) = course("which-way.drill.ron");
    let mut hands = Hands::at(|_| order);
    hands.say("press S4");
    hands.text("n");
    assert!(hands.done().is_empty() && !hands.screen.all, "first the prediction");
    for question in &drill.questions {
        hands.key(Key::Escape);
        hands.text("a");
        assert!(hands.screen.all);
        for k in 0..question.prove.len() {
            while hands.screen.desk().expect("a desk").showing_action() {
                hands.frames(Vec::new());
            }
            hands.text("n");
            assert_eq!(hands.done().len(), k + 1, "a step a key");
        }
        // What the window's bench has done is what the proof has shown.
        let desk = hands.screen.desk().expect("a desk");
        let shown = desk.session().log().last().expect("an action").ended;
        assert_eq!(shown, question.proof.last().expect("a proof").ended);
        while hands.screen.desk().expect("a desk").showing_action() {
            hands.frames(Vec::new());
        }
        hands.text("n");
    }
    hands.say("hand back");
    assert!(hands.screen.debrief.is_none(), "a drill is not handed back");
}

#[test]
fn a_measurement_waits_for_its_prediction() {
    let mut hands = Hands::at(exercise);
    hands.screen.book.predicts = true;
    hands.say("volts 1V1:a1 1V1:a2");
    assert!(hands.done().is_empty(), "nothing is measured yet");
    hands.key(Key::Enter);
    assert!(hands.done().is_empty(), "an empty prediction is none");
    hands.text("24 V");
    hands.key(Key::Enter);
    assert_eq!(hands.done(), ["predict 24 V", "volts 1V1:a1 1V1:a2"]);
}

#[test]
fn a_click_on_the_time_bar_looks_back() {
    let mut hands = Hands::at(exercise);
    for line in ["press S4", "wait 20 s", "press S1", "wait 20 s", "hand back"] {
        hands.say(line);
    }
    if hands.screen.ask.is_some() {
        hands.click("answer Hand back");
    }
    let end = hands.screen.debrief.as_ref().expect("the attempt is over").at;
    hands.click("time bar");
    let at = hands.screen.debrief.as_ref().expect("still").at;
    assert!(at < end && at > SimTime::ZERO, "{at:?} of {end:?}");
    assert_eq!(hands.screen.past.as_ref().expect("a bench").0, at, "the bench is the one of then");
}

#[test]
fn suspects_are_struck_by_click_and_written_down() {
    let mut hands = Hands::at(exercise);
    hands.click("tab Suspects");
    let all: Vec<String> = hands
        .screen
        .plan()
        .parts
        .iter()
        .filter(|p| p.class != "Wire")
        .map(|p| p.tag.clone())
        .collect();
    for tag in ["G1", "F1"] {
        hands.click(&format!("suspect {tag}"));
    }
    hands.click("suspect F1");
    assert_eq!(hands.screen.book.struck, ["G1"], "a second click takes the strike back");
    hands.click("write suspects");
    let done = hands.done();
    assert_eq!(done.len(), 1);
    assert!(done[0].starts_with("suspect") && !done[0].contains("G1"), "{done:?}");
    assert!(all.iter().filter(|t| *t != "G1").all(|t| done[0].contains(t)), "{done:?}");
}

#[test]
fn a_valve_is_seen_cut_open() {
    let mut hands = Hands::at(exercise);
    hands.screen.show_all(true);
    hands.text("i");
    let valve = hands.screen.spots().keys().find(|k| k.starts_with("part 1V1")).cloned();
    hands.click(&valve.expect("the valve on the sheet"));
    assert_eq!(hands.screen.inside.as_deref(), Some("1V1"), "{}", hands.screen.message);
    hands.key(Key::Escape);
    assert_eq!(hands.screen.inside, None);
}

#[test]
fn who_thinks_in_psi_reads_psi() {
    let us = Reader::new(Language::English, UnitSystem::UsCustomary);
    let mut hands = Hands::at(|attempt| Order { reader: us, ..exercise(attempt) });
    hands.say("press S4");
    hands.key(Key::Escape);
    hands.text("l");
    hands.text("4");
    hands.say("gauge MP1");
    hands.say("temperature M1");
    hands.click("tab Log");
    hands.screen.desk().expect("a desk").skip();
    hands.read.clear();
    hands.frames(Vec::new());
    let has = |unit: &str| hands.read.iter().filter(|text| value_in(text, unit)).count();
    // In the log, and beside a test point.
    assert!(hands.read.iter().any(|t| t.starts_with("MP1: ") && value_in(t, "psi")));
    assert!(hands.read.iter().any(|t| t.split(' ').count() == 2 && value_in(t, "psi")));
    assert!(has("in") > 0 && has("\u{b0}F") > 0, "{:?}", hands.read);
    for unit in ["bar", "mm", "degC", "\u{b0}C"] {
        assert_eq!(has(unit), 0, "{unit}: {:?}", hands.read);
    }
    // What is recorded is the same as ever.
    assert_eq!(
        hands.done(),
        ["press S4", "note switched the live drawing on", "gauge MP1", "temperature M1"]
    );
}

/// Whether a number with this unit stands in `text`.
fn value_in(text: &str, unit: &str) -> bool {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.windows(2).any(|pair| {
        let number = pair[0].trim_start_matches('(').parse::<f64>().is_ok();
        number && pair[1].trim_end_matches([',', ';', ')']) == unit
    })
}
