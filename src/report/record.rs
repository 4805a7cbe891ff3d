//! A grade with what exports need to say whose it is, without a name.

use crate::grade::Grade;

/// A grade, ready to be handed on.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Pseudonym of the learner: the name of the attempt's file without its endings, or what the
    /// instructor's key makes of it.
    pub learner: String,
    /// Name of the attempt: its file's name without its endings.
    pub attempt: String,
    /// Name of the scenario: its file's name without its endings.
    pub scenario: String,
    /// The grade.
    pub grade: Grade,
}

impl Record {
    /// A record of `grade`. The pseudonym in the grade becomes the one of the exports: what a learner
    /// typed as a pseudonym may be a name.
    #[must_use]
    pub fn new(scenario: &str, attempt: &str, learner: &str, mut grade: Grade) -> Self {
        grade.learner = learner.to_owned();
        Record {
            learner: learner.to_owned(),
            attempt: attempt.to_owned(),
            scenario: scenario.to_owned(),
            grade,
        }
    }

    /// Acts that fail the safety gate.
    #[must_use]
    pub fn unsafe_acts(&self) -> usize {
        let critical =
            |h: &&crate::grade::HazardLine| h.severity == crate::session::Severity::Critical;
        self.grade.hazards.iter().filter(critical).count()
    }
}

/// The name of a file without folders and without the endings this program gives its files.
#[must_use]
pub fn stem(path: &str) -> String {
    let name = path.rsplit(['/', '\\']).next().unwrap_or(path);
    let endings = [".jsonl", ".attempt", ".ron", ".scenario", ".bench"];
    let mut stem = name;
    while let Some(shorter) = endings.iter().find_map(|e| stem.strip_suffix(e)) {
        stem = shorter;
    }
    if stem.is_empty() { name.to_owned() } else { stem.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::stem;

    #[test]
    fn endings_come_off() {
        assert_eq!(stem("class/a7.attempt.jsonl"), "a7");
        assert_eq!(stem("press-interlock.scenario.ron"), "press-interlock");
        assert_eq!(stem(".jsonl"), ".jsonl");
        assert_eq!(stem("C:\\work\\b.jsonl"), "b");
    }
}
