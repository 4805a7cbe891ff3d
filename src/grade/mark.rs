//! What a grade says.

use serde::Serialize;

/// The outcome of an attempt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Safe, right and enough marks.
    Competent,
    /// Not yet.
    NotYetCompetent,
}

/// Marks of one criterion.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CriterionMark {
    /// Name of the criterion.
    pub criterion: &'static str,
    /// What it asks.
    pub asks: &'static str,
    /// Most marks.
    pub weight: f64,
    /// Marks given.
    pub marks: f64,
    /// Why.
    pub why: String,
}

/// A dangerous or careless act.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HazardLine {
    /// Bench time, `m:ss.mmm`.
    pub at: String,
    /// `critical` or `major`.
    pub severity: &'static str,
    /// What was done, where, with what values.
    pub what: String,
    /// Why that is dangerous.
    pub why: &'static str,
}

/// One action of the attempt and what came of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StoryLine {
    /// Bench time, `m:ss.mmm`.
    pub at: String,
    /// The action in words.
    pub action: String,
    /// What the learner was told or read.
    pub told: Vec<String>,
}

/// A grade.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Grade {
    /// Format of this record.
    pub format: u32,
    /// Pseudonym of the learner.
    pub learner: String,
    /// Title of the scenario.
    pub scenario: String,
    /// Digest of the scenario.
    pub scenario_digest: String,
    /// Seed of the run.
    pub seed: u64,
    /// Version of the program that graded.
    pub engine: &'static str,
    /// Version of the rubric.
    pub rubric: u64,
    /// Outcome.
    pub verdict: Verdict,
    /// Whether the safety gate was passed.
    pub gate: bool,
    /// Marks, at most 100.
    pub marks: f64,
    /// Marks per criterion.
    pub criteria: Vec<CriterionMark>,
    /// What the learner named: part and fault.
    pub named: Vec<String>,
    /// What was wrong with the machine.
    pub truth: Vec<String>,
    /// How the attempt ended.
    pub ended: String,
    /// Bench time used [s].
    pub bench_seconds: f64,
    /// Dangerous and careless acts.
    pub hazards: Vec<HazardLine>,
    /// What to do better, in sentences.
    pub feedback: Vec<String>,
    /// The attempt as it went.
    pub story: Vec<StoryLine>,
    /// Digest of the machine at the end of the attempt.
    pub digest: String,
}

impl Grade {
    /// The grade as readable text.
    #[must_use]
    pub fn text(&self) -> String {
        use std::fmt::Write;
        let mut text = String::new();
        let verdict = match self.verdict {
            Verdict::Competent => "COMPETENT",
            Verdict::NotYetCompetent => "NOT YET COMPETENT",
        };
        let _ = writeln!(text, "{}: {verdict}, {:.1} of 100 marks", self.learner, self.marks);
        let gate = if self.gate { "passed" } else { "FAILED" };
        let minutes = self.bench_seconds / 60.0;
        let _ =
            writeln!(text, "  safety gate {gate}; {}; {minutes:.1} min of bench time", self.ended);
        for c in &self.criteria {
            let _ = writeln!(
                text,
                "  {:>5.1} / {:<4} {:<10} {}",
                c.marks, c.weight, c.criterion, c.why
            );
        }
        let _ = writeln!(text, "  named: {}", listed(&self.named));
        let _ = writeln!(text, "  truth: {}", listed(&self.truth));
        for h in &self.hazards {
            let _ = writeln!(text, "  {} {}: {}\n      {}", h.at, h.severity, h.what, h.why);
        }
        for line in &self.feedback {
            let _ = writeln!(text, "  - {line}");
        }
        text
    }
}

fn listed(list: &[String]) -> String {
    if list.is_empty() { "nothing".to_owned() } else { list.join("; ") }
}
