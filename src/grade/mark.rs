//! What a grade says.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::language::{Language, Phrase, Words};
use crate::quantity::{UnitSystem, restated};
use crate::session::{Evidence, Hazard, Severity};

use crate::diagnosis::evidence::EvidenceStep;

/// The outcome of an attempt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Safe, right and enough marks.
    Competent,
    /// Not yet.
    NotYetCompetent,
}

/// Marks of one criterion.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CriterionMark {
    /// Name of the criterion.
    pub criterion: Cow<'static, str>,
    /// What it asks.
    pub asks: Cow<'static, str>,
    /// Most marks.
    pub weight: f64,
    /// Marks given.
    pub marks: f64,
    /// Why.
    pub why: Phrase,
}

/// A dangerous or careless act.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HazardLine {
    /// Bench time, `m:ss.mmm`.
    pub at: String,
    /// Which act.
    pub hazard: Hazard,
    /// How much it weighs.
    pub severity: Severity,
    /// Where: a part, a port, a terminal.
    pub place: String,
    /// The values that show it.
    pub evidence: Vec<Evidence>,
    /// What was done, where, with what values.
    pub what: String,
    /// Why that is dangerous.
    pub why: Cow<'static, str>,
}

/// What an instrument showed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ReadingLine {
    /// Which function: `volts`, `ohms`, `continuity`, `amps`, `clamp`, `gauge`, `temperature`.
    pub function: Cow<'static, str>,
    /// Where the leads were.
    pub places: Vec<String>,
    /// The value shown, in `unit`; none for OL and for nothing.
    pub value: Option<f64>,
    /// Unit: V, ohm, A, bar, degC.
    pub unit: Cow<'static, str>,
    /// What the display or the dial showed, with its unit.
    pub text: String,
    /// False when the instrument was misused, overloaded or spoilt.
    pub valid: bool,
}

/// One action of the attempt and what came of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StoryLine {
    /// Bench time, `m:ss.mmm`.
    pub at: String,
    /// Bench time at its end, `m:ss.mmm`.
    pub until: String,
    /// The verb, as it is typed.
    pub verb: Cow<'static, str>,
    /// The action in words.
    pub action: String,
    /// What the learner was told or read.
    pub told: Vec<Phrase>,
    /// What instruments showed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<ReadingLine>,
    /// What was dangerous about it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<Hazard>,
}

/// How the learner's observations narrowed what could be wrong.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EvidenceReport {
    /// Faults, pairs and the sound machine that were considered.
    pub suspects: usize,
    /// `proved`, `lucky`, `contradicted`, `wrong-but-consistent`, or `nothing-named`.
    pub verdict: String,
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
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
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
    /// When the attempt was begun, as the attempt itself says: RFC 3339, UTC.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub started: Option<String>,
    /// Version of the program that graded.
    pub engine: Cow<'static, str>,
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
    pub ended: Phrase,
    /// Bench time used [s].
    pub bench_seconds: f64,
    /// Dangerous and careless acts.
    pub hazards: Vec<HazardLine>,
    /// What the observations told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub evidence: Option<EvidenceReport>,
    /// What to do better, in sentences.
    pub feedback: Vec<Phrase>,
    /// The attempt as it went.
    pub story: Vec<StoryLine>,
    /// Digest of the machine at the end of the attempt.
    pub digest: String,
}

impl Grade {
    /// The grade as readable text, in English.
    #[must_use]
    pub fn text(&self) -> String {
        self.text_in(Language::English, UnitSystem::Si)
    }

    /// The grade as readable text, its values in `units`.
    #[must_use]
    pub fn text_in(&self, language: Language, units: UnitSystem) -> String {
        use std::fmt::Write;
        let words = Words::of(language);
        let mut text = String::new();
        let marks =
            Phrase::new("marks-of").with("marks", words.number(self.marks, 1)).with("most", "100");
        let verdict = words.say(self.verdict.message()).to_uppercase();
        let _ = writeln!(text, "{}: {verdict}, {}", self.learner, words.phrase(&marks));
        let gate = words.say(if self.gate { "gate-passed" } else { "gate-failed" });
        let ended = words.phrase(&self.ended);
        let minutes =
            Phrase::new("minutes").with("minutes", words.number(self.bench_seconds / 60.0, 1));
        let _ = writeln!(text, "  {gate}; {ended}; {}", words.phrase(&minutes));
        for c in &self.criteria {
            let name = words.say(&format!("criterion-{}", c.criterion));
            let _ = writeln!(
                text,
                "  {:>5} / {:<4} {name:<24} {}",
                words.number(c.marks, 1),
                c.weight,
                words.sentence(&c.why)
            );
        }
        let nothing = words.say("nothing");
        let listed = |list: &[String]| {
            if list.is_empty() { nothing.clone() } else { words.faults(list).join("; ") }
        };
        let _ = writeln!(text, "  {}: {}", words.say("named"), listed(&self.named));
        let _ = writeln!(text, "  {}: {}", words.say("truth"), listed(&self.truth));
        for h in &self.hazards {
            let severity = words.say(h.severity_message());
            let id = h.hazard.message();
            let why = words.say(&format!("{id}-why"));
            let _ = writeln!(
                text,
                "  {} {severity}: {} ({}{})\n      {why}",
                h.at,
                words.say(&id),
                h.place,
                h.values(words, units)
            );
        }
        if let Some(evidence) = &self.evidence {
            evidence.write(words, &mut text);
        }
        for line in &self.feedback {
            let _ = writeln!(text, "  - {}", words.sentence(line));
        }
        text
    }
}

impl EvidenceReport {
    /// One line for the whole, and one for every action that told something or could not.
    fn write(&self, words: Words, text: &mut String) {
        use std::fmt::Write;
        let declared = if self.declared { "search-declared" } else { "search-plain" };
        let summary = Phrase::new(declared)
            .with("verdict", words.say(&format!("search-{}", self.verdict)))
            .with("left", self.left.len())
            .with("suspects", self.suspects)
            .with("lost", words.number(self.regret_s, 0))
            .with("optimum", words.number(self.optimum_s, 0));
        let _ = writeln!(text, "  {}", words.phrase(&summary));
        for step in &self.steps {
            if step.bits == 0.0 && !step.uninformative {
                continue;
            }
            let told = if step.uninformative {
                Phrase::new("search-idle")
            } else {
                Phrase::new("search-step")
                    .with("before", step.before)
                    .with("after", step.after)
                    .with("bits", words.number(step.bits, 2))
            };
            let act = words.action(&step.words);
            let _ = writeln!(text, "    {:>9} {act:<34} {}", step.at, words.phrase(&told));
        }
    }
}

impl Verdict {
    /// Id of its message.
    #[must_use]
    pub fn message(self) -> &'static str {
        match self {
            Verdict::Competent => "verdict-competent",
            Verdict::NotYetCompetent => "verdict-not-yet-competent",
        }
    }
}

impl HazardLine {
    /// Id of the message for how much it weighs.
    #[must_use]
    pub fn severity_message(&self) -> &'static str {
        match self.severity {
            Severity::Critical => "severity-critical",
            Severity::Major => "severity-major",
        }
    }

    /// The values that show it, each behind a comma.
    fn values(&self, words: Words, units: UnitSystem) -> String {
        self.evidence
            .iter()
            .map(|e| {
                let name = words.say(&format!("evidence-{}", e.name.replace(' ', "-")));
                let value = restated(format!("{} {}", e.value, e.unit).trim_end(), units);
                format!(", {name} {}", words.decimals(&value))
            })
            .collect()
    }
}
