//! What a grade says.

use serde::Serialize;

use crate::diagnosis::evidence::EvidenceStep;

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

/// How the learner's observations narrowed what could be wrong.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EvidenceReport {
    /// Faults, pairs and the sound machine that were considered.
    pub suspects: usize,
    /// `proved`, `lucky`, `contradicted`, `wrong-but-consistent`, or `nothing-named`.
    pub verdict: &'static str,
    /// What is left besides the truth is declared by the author to be beyond the tools at hand.
    pub declared: bool,
    /// Bench time at which the learner committed to a fault: mended its part, or named it.
    pub committed_at: Option<String>,
    /// Suspects that explained everything then.
    pub left: Vec<String>,
    /// Expected time of the best sequence of tests from the start [s].
    pub optimum_s: f64,
    /// Time lost against the best next tests [s].
    pub regret_s: f64,
    /// Looks and readings, safety aside.
    pub looks: usize,
    /// Those of them that could tell nothing.
    pub idle_looks: usize,
    /// Every action that could tell something, in order.
    pub steps: Vec<EvidenceStep>,
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
    /// What the observations told.
    pub evidence: Option<EvidenceReport>,
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
        if let Some(evidence) = &self.evidence {
            evidence.write(&mut text);
        }
        for line in &self.feedback {
            let _ = writeln!(text, "  - {line}");
        }
        text
    }
}

impl EvidenceReport {
    /// One line for the whole, and one for every action that told something or could not.
    fn write(&self, text: &mut String) {
        use std::fmt::Write;
        let _ = writeln!(
            text,
            "  evidence: {}{}; {} of {} suspects left; lost {:.0} s where {:.0} s should do",
            self.verdict.replace('-', " "),
            if self.declared { " (the rest is declared beyond the tools)" } else { "" },
            self.left.len(),
            self.suspects,
            self.regret_s,
            self.optimum_s
        );
        for step in &self.steps {
            if step.bits == 0.0 && !step.uninformative {
                continue;
            }
            let told = if step.uninformative {
                "could tell nothing".to_owned()
            } else {
                format!("{} -> {} suspects, {:.2} bit", step.before, step.after, step.bits)
            };
            let _ = writeln!(text, "    {:>9} {:<34} {told}", step.at, step.words);
        }
    }
}

fn listed(list: &[String]) -> String {
    if list.is_empty() { "nothing".to_owned() } else { list.join("; ") }
}
