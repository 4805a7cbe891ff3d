//! A drill in the window: the prediction first, then the live bench, a step at a time.

use std::sync::Arc;

use bevy_egui::egui::{Button, Response, ScrollArea, Ui};

use crate::language::Phrase;
use crate::report::Reader;
use crate::scenario::{Drill, Question, letter};
use crate::session::Action;

use super::glass::Spots;

/// What a click on the page of the drill asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// A prediction was made: the bench may be looked into.
    Predicted,
    /// The next action of the proof.
    Do(Action),
    /// Another question: its bench is to be set up.
    Another,
}

/// How far a learner has come in a drill.
#[derive(Clone, Debug)]
pub struct Course {
    drill: Arc<Drill>,
    at: usize,
    said: Option<usize>,
    done: usize,
    right: usize,
}

impl Course {
    /// The drill from its beginning. It has a question, as every drill that loads.
    #[must_use]
    pub fn new(drill: Arc<Drill>) -> Course {
        Course { drill, at: 0, said: None, done: 0, right: 0 }
    }

    /// The question that is asked.
    #[must_use]
    pub fn question(&self) -> Option<&Question> {
        self.drill.questions.get(self.at)
    }

    /// Whether a prediction was made.
    #[must_use]
    pub fn predicted(&self) -> bool {
        self.said.is_some()
    }

    /// Whether the bench has shown what is right.
    #[must_use]
    pub fn proved(&self) -> bool {
        self.predicted() && self.question().is_none_or(|q| self.done == q.prove.len())
    }

    /// Predicts the `k`th choice, once.
    pub fn predict(&mut self, k: usize) -> Option<Step> {
        let question = self.drill.questions.get(self.at)?;
        if self.predicted() || k >= question.choices.len() {
            return None;
        }
        self.said = Some(k);
        self.right += usize::from(k == question.right);
        Some(Step::Predicted)
    }

    /// The choice that a letter means.
    #[must_use]
    pub fn choice(&self, typed: char) -> Option<usize> {
        let question = self.question().filter(|_| !self.predicted())?;
        (0..question.choices.len()).find(|k| letter(*k) == typed)
    }

    /// What comes next: a step of the proof, or another question; nothing before a prediction, and
    /// nothing after the last question.
    pub fn next(&mut self) -> Option<Step> {
        if !self.predicted() {
            return None;
        }
        let action = self.question().and_then(|q| q.prove.get(self.done)).cloned();
        if let Some(action) = action {
            self.done += 1;
            return Some(Step::Do(action));
        }
        if self.at + 1 >= self.drill.questions.len() {
            return None;
        }
        self.at += 1;
        (self.said, self.done) = (None, 0);
        Some(Step::Another)
    }

    /// Draws the page; `busy` while a step is still being shown.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        reader: &Reader,
        spots: &mut Spots,
        busy: bool,
    ) -> Option<Step> {
        let drill = self.drill.clone();
        let question = drill.questions.get(self.at)?;
        let mut asked = None;
        let mut note = |name: String, response: Response| {
            spots.insert(name, response.rect);
            response.clicked()
        };
        ScrollArea::vertical().id_salt("course").auto_shrink(false).show(ui, |ui| {
            let head = Phrase::new("drill-question")
                .with("number", self.at + 1)
                .with("count", drill.questions.len())
                .with("machine", question.scenario.plan.name.as_str());
            ui.strong(reader.tell(&head));
            if self.at == 0 && !self.predicted() {
                ui.label(&drill.brief);
                ui.separator();
            }
            ui.label(&question.ask);
            ui.add_space(4.0);
            for (k, choice) in question.choices.iter().enumerate() {
                let text = format!("{}   {}", letter(k), choice.say);
                let mine = self.said == Some(k);
                let button = Button::new(text).wrap().selected(mine);
                let response = ui.add_enabled(!self.predicted() || mine, button);
                if note(format!("choice {}", letter(k)), response) && !self.predicted() {
                    asked = self.predict(k);
                }
            }
            ui.add_space(4.0);
            if !self.predicted() {
                ui.label(reader.say("window-predict-it"));
                return;
            }
            for (k, action) in question.prove.iter().enumerate() {
                let done = k < self.done;
                let id = if done { "window-step-done" } else { "window-step-next" };
                if k <= self.done {
                    ui.label(reader.fill(id, "act", reader.words.action(&action.to_string())));
                }
            }
            if !self.proved() {
                let response = ui.add_enabled(!busy, Button::new(reader.say("window-do-it")));
                if note("course next".to_owned(), response) {
                    asked = self.next();
                }
                return;
            }
            if busy {
                return;
            }
            let held = question.choices.get(question.right).map_or("", |c| c.say.as_str());
            let right = self.said == Some(question.right);
            let said = letter(self.said.unwrap_or_default()).to_string();
            let verdict = Phrase::new(if right { "drill-right" } else { "drill-wrong" })
                .with("said", said)
                .with("letter", letter(question.right).to_string())
                .with("choice", held);
            ui.separator();
            ui.strong(reader.words.phrase(&verdict));
            ui.label(&question.because);
            ui.add_space(4.0);
            if self.at + 1 < drill.questions.len() {
                let response = ui.button(reader.say("window-next-question"));
                if note("course next".to_owned(), response) {
                    asked = self.next();
                }
            } else {
                let sum = Phrase::new("drill-sum").with("right", self.right);
                ui.strong(reader.tell(&sum.with("count", drill.questions.len())));
                ui.label(reader.say("window-bench-open"));
            }
        });
        asked
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Diagnostics, Sources};
    use crate::scenario::{Shipped, load_drill};

    #[test]
    fn nothing_is_shown_before_a_prediction_and_every_question_comes_in_turn() {
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        let name = "contact-and-valve.drill.ron";
        let drill = load_drill(&Shipped, name, &mut sources, &mut found).expect("a drill");
        let drill = Arc::new(drill);
        let mut course = Course::new(drill.clone());
        for (n, question) in drill.questions.iter().enumerate() {
            assert_eq!(course.next(), None, "no step before a prediction");
            assert_eq!(course.choice('z'), None);
            let first = course.choice('a').expect("the first choice");
            assert_eq!(course.predict(first), Some(Step::Predicted));
            assert_eq!(course.predict(1), None, "a prediction stands");
            for action in &question.prove {
                assert!(!course.proved());
                assert_eq!(course.next(), Some(Step::Do(action.clone())));
            }
            assert!(course.proved());
            let last = n + 1 == drill.questions.len();
            assert_eq!(course.next(), (!last).then_some(Step::Another));
        }
        let right = drill.questions.iter().filter(|q| q.right == 0).count();
        assert_eq!(course.right, right);
    }
}
