//! What the evidence of one attempt comes to: its verdict, its shares of the marks, and what to say
//! about it.

use std::collections::BTreeSet;

use crate::base::ops::round_significant;
use crate::diagnosis::Verdict;
use crate::diagnosis::evidence::{Inquiry, Outlook, Trail};
use crate::language::Phrase;
use crate::scenario::{Rubric, Scenario};
use crate::session::{Action, Finger, LogEntry, Session};

use super::judge::{Claim, mends, mode_of};
use super::mark::EvidenceReport;

/// Mean time lost by a look [s] that costs nothing, and that costs all.
const LOSS_FREE: f64 = 30.0;
const LOSS_FULL: f64 = 180.0;
/// Share of the method that time spent on idle looks can cost [1]; the rest goes by time lost.
const IDLE_PART: f64 = 0.5;
/// Share of the evidence that is only had by writing down [1].
const WRITTEN: f64 = 0.2;
/// Most sentences about idle looks.
const IDLE_SENTENCES: usize = 2;
/// Most suspects in a sentence.
const IN_SENTENCE: usize = 4;

/// The evidence of one attempt.
pub(super) struct Case<'a> {
    inquiry: &'a Inquiry,
    trail: Trail,
    claim: Option<Claim>,
    verdict: Option<Verdict>,
    right: bool,
    declared: bool,
    committed_at: Option<String>,
}

/// How many actions came before the learner committed to the fault `named`: mended its part, or
/// named it.
fn commitment(log: &[LogEntry], named: Option<&Claim>) -> usize {
    let Some((part, _)) = named else { return log.len() };
    let mut own: BTreeSet<&str> = BTreeSet::new();
    for (k, entry) in log.iter().enumerate() {
        let commits = match &entry.action {
            Action::Override { part: p, finger, .. }
                if finger.stays() && *finger != Finger::Release =>
            {
                own.insert(p);
                false
            }
            // Letting go an override that one has not latched is a repair.
            Action::Override { part: p, finger: Finger::Release, .. } => {
                p == part && !own.remove(p.as_str())
            }
            Action::Adjust { part: p, .. } | Action::SwapPlugs { part: p } => p == part,
            other => mends(other) == Some(part),
        };
        if commits {
            return k;
        }
    }
    log.iter().rposition(|e| matches!(&e.action, Action::Name { .. })).unwrap_or(log.len())
}

impl<'a> Case<'a> {
    pub fn new(
        scenario: &Scenario,
        session: &Session,
        inquiry: &'a Inquiry,
        outlook: &Outlook,
    ) -> Case<'a> {
        let log = session.log();
        let plan = session.plan();
        let claim = log.iter().rev().find_map(|e| match &e.action {
            Action::Name { part, mode } => Some((part.clone(), mode.clone())),
            _ => None,
        });
        let commit = commitment(log, claim.as_ref());
        let trail = inquiry.follow(&log[..commit], outlook);
        let suspects = inquiry.suspects();
        let truth = &suspects[inquiry.truth()];
        let right = claim.as_ref().is_some_and(|(part, _)| {
            truth.faults.iter().any(|f| f.part == *part)
                || scenario.answers.iter().any(|a| a.part == *part)
        });
        let verdict = claim.as_ref().map(|claim| {
            let mode = mode_of(plan, claim).unwrap_or("");
            let answer = scenario.answers.iter().any(|a| a.part == claim.0 && a.mode == mode);
            if answer && trail.left.contains(&inquiry.truth()) {
                // As good as the truth.
                let first = &truth.faults[0];
                inquiry.verdict(&trail.left, &first.part, &first.mode, right)
            } else {
                inquiry.verdict(&trail.left, &claim.0, mode, right)
            }
        });
        let declared = verdict == Some(Verdict::Lucky)
            && trail.left.iter().all(|&s| {
                let h = &suspects[s];
                h.repair == truth.repair
                    || scenario.ambiguous.iter().any(|a| h.holds(&a.part, &a.mode))
            });
        let committed_at =
            claim.as_ref().and_then(|_| log.get(commit)).map(|e| e.started.to_string());
        Case { inquiry, trail, claim, verdict, right, declared, committed_at }
    }

    pub fn trail(&self) -> &Trail {
        &self.trail
    }

    /// Share of the marks for method, parts swapped aside.
    pub fn method(&self) -> f64 {
        if self.trail.looks == 0 {
            return 1.0;
        }
        let looks = self.trail.looks as f64;
        let mean = self.trail.regret_s / looks;
        let loss = ((mean - LOSS_FREE) / (LOSS_FULL - LOSS_FREE)).clamp(0.0, 1.0);
        let idle = self.trail.idle_s / self.trail.looks_s.max(1.0);
        1.0 - IDLE_PART * idle - (1.0 - IDLE_PART) * loss
    }

    /// Time lost as a part of what the search should take [1].
    pub fn loss(&self) -> f64 {
        self.trail.regret_s / self.trail.optimum_s.max(1.0)
    }

    /// Share of the marks for evidence.
    pub fn evidence(
        &self,
        rubric: &Rubric,
        noted: bool,
        feedback: &mut Vec<Phrase>,
    ) -> (f64, Phrase) {
        let (share, why) = match self.verdict {
            None => (0.0, Phrase::new("why-nothing-named")),
            Some(Verdict::Proved) => (1.0, Phrase::new("why-proved")),
            Some(Verdict::Lucky) if self.declared => (1.0, Phrase::new("why-declared")),
            Some(Verdict::Lucky) => {
                (rubric.lucky, Phrase::new("why-lucky").with("count", self.trail.left.len()))
            }
            Some(Verdict::WrongButConsistent) => {
                (rubric.consistent, Phrase::new("why-wrong-but-consistent"))
            }
            Some(Verdict::Contradicted) => (0.0, Phrase::new("why-contradicted")),
        };
        if share > 0.0 && !noted {
            feedback.push(Phrase::new("feedback-write-readings"));
            return (share * (1.0 - WRITTEN), why);
        }
        (share, why)
    }

    /// Names of suspects other than what was named.
    fn others(&self) -> Vec<&str> {
        let suspects = self.inquiry.suspects();
        let truth = &suspects[self.inquiry.truth()].repair;
        self.trail
            .left
            .iter()
            .map(|&s| &suspects[s])
            .filter(|h| h.repair != *truth)
            .map(|h| h.name.as_str())
            .collect()
    }

    /// Sentences that a learner can act on.
    pub fn advice(&self, feedback: &mut Vec<Phrase>) {
        let mut idle: Vec<_> = self.trail.steps.iter().filter(|s| s.uninformative).collect();
        idle.sort_by(|a, b| b.regret_s.total_cmp(&a.regret_s).then(a.action.cmp(&b.action)));
        for step in idle.into_iter().take(IDLE_SENTENCES) {
            let id = if step.better.is_some() { "feedback-idle-better" } else { "feedback-idle" };
            let mut said = Phrase::new(id)
                .with("at", step.at.as_str())
                .with("words", step.words.as_str())
                .with("count", step.before);
            if let Some(better) = &step.better {
                said = said.with("better", better.as_str());
            }
            feedback.push(said);
        }
        match (self.verdict, &self.claim) {
            (Some(Verdict::Lucky), Some((part, _))) if !self.declared => {
                let others = self.others();
                let more = others.len().saturating_sub(IN_SENTENCE);
                let mut list: Vec<&str> = others.into_iter().take(IN_SENTENCE).collect();
                if more > 0 {
                    list.push("...");
                }
                let id = if self.trail.next.is_some() {
                    "feedback-lucky-better"
                } else {
                    "feedback-lucky"
                };
                let mut said =
                    Phrase::new(id).with("part", part.as_str()).with("list", list.join("; "));
                if let Some(next) = &self.trail.next {
                    said = said.with("better", next.as_str());
                }
                feedback.push(said);
            }
            (Some(Verdict::Contradicted), Some((part, mode))) if !self.right => {
                let plain = mode.trim().to_lowercase().replace([' ', '_'], "-");
                let suspects = self.inquiry.suspects();
                let step = (0..suspects.len())
                    .filter(|&s| {
                        suspects[s].faults.len() == 1
                            && suspects[s]
                                .faults
                                .iter()
                                .any(|f| f.part == *part && plain.starts_with(&f.mode))
                    })
                    .filter_map(|s| self.trail.excluded_by(s))
                    .max_by_key(|step| step.action);
                if let Some(step) = step {
                    feedback.push(
                        Phrase::new("feedback-contradicted")
                            .with("part", part.as_str())
                            .with("mode", mode.as_str())
                            .with("at", step.at.as_str())
                            .with("words", step.words.as_str()),
                    );
                }
            }
            _ => {}
        }
    }

    pub fn report(&self) -> EvidenceReport {
        let suspects = self.inquiry.suspects();
        EvidenceReport {
            suspects: suspects.len(),
            verdict: match self.verdict {
                None => "nothing-named",
                Some(Verdict::Proved) => "proved",
                Some(Verdict::Lucky) => "lucky",
                Some(Verdict::Contradicted) => "contradicted",
                Some(Verdict::WrongButConsistent) => "wrong-but-consistent",
            }
            .to_owned(),
            declared: self.declared,
            committed_at: self.committed_at.clone(),
            left: self.trail.left.iter().map(|&s| suspects[s].name.clone()).collect(),
            optimum_s: round_significant(self.trail.optimum_s, 6),
            regret_s: round_significant(self.trail.regret_s, 6),
            looks: self.trail.looks,
            idle_looks: self.trail.idle_looks,
            steps: self.trail.steps.clone(),
        }
    }
}
