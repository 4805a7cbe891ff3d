//! Advice on the design of a bench: what a practitioner would object to before building it.
//!
//! Every piece of advice has a code, a reason and a place; [`Code::explanation`] names where its rule
//! comes from. A bench says in `accepted` what it does not follow, and why.

mod control;
mod power;

use std::collections::BTreeSet;

use crate::base::{NodeId, VolumeId};
use crate::bench::Bench;
use crate::diagnostic::{Code, Span};
use crate::fluid::FlowLaw;
use crate::language::Phrase;
use crate::plant::{Part, Plan};

/// One piece of advice.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// Its code.
    pub code: Code,
    /// The part it is given for.
    pub part: String,
    /// What is wrong.
    pub message: Phrase,
    /// What to do.
    pub help: Phrase,
    /// Where the part stands in the file.
    pub span: Span,
    /// Why the author does not follow it, if the bench says so.
    pub accepted: Option<String>,
}

/// The bench under judgement.
struct Lint<'b> {
    bench: &'b Bench,
    plan: &'b Plan,
    found: Vec<Advice>,
}

impl Lint<'_> {
    fn advise(&mut self, code: Code, part: &str, message: Phrase, help: Phrase) {
        let sheet = &self.bench.authored;
        let wire = sheet.wires.get(part).map(|w| w.1);
        let span = sheet.parts.get(part).map(|f| f.span).or(wire).unwrap_or(Span::new(0, 0));
        let accepted = sheet
            .accepted
            .iter()
            .find(|a| a.code == code && a.part.as_deref().is_none_or(|p| p == part))
            .map(|a| a.reason.clone());
        self.found.push(Advice { code, part: part.to_owned(), message, help, span, accepted });
    }

    fn parts(&self, classes: &[&str]) -> Vec<&Part> {
        self.plan.parts.iter().filter(|p| classes.contains(&p.class)).collect()
    }

    /// A field of a part that was chosen among words.
    fn choice(&self, tag: &str, field: &str) -> String {
        self.bench.authored.parts.get(tag).map(|f| f.choice(field)).unwrap_or_default()
    }
}

/// The message `id` about `part`.
fn of(id: &'static str, part: &str) -> Phrase {
    Phrase::new(id).with("part", part)
}

/// All advice on `bench`, in the order of the file; what is accepted too.
#[must_use]
pub fn lint(bench: &Bench) -> Vec<Advice> {
    let mut lint = Lint { bench, plan: &bench.plan, found: Vec::new() };
    control::judge(&mut lint);
    power::judge(&mut lint);
    for accepted in &bench.authored.accepted {
        let used = lint.found.iter().any(|a| {
            a.code == accepted.code && accepted.part.as_ref().is_none_or(|p| *p == a.part)
        });
        if !used {
            lint.found.push(Advice {
                code: Code::LINT_ACCEPTED,
                part: accepted.part.clone().unwrap_or_default(),
                message: Phrase::new("lint-unadvised").with("code", accepted.code.id()),
                help: Phrase::new("lint-unadvised-help"),
                span: accepted.span,
                accepted: None,
            });
        }
    }
    let mut found = lint.found;
    found.sort_by(|a, b| (a.span.start, a.code, &a.part).cmp(&(b.span.start, b.code, &b.part)));
    found
}

/// What branches that `passes` join to `from`.
fn joined(plan: &Plan, from: NodeId, passes: impl Fn(usize) -> bool) -> BTreeSet<NodeId> {
    let mut found = BTreeSet::from([from]);
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        for (k, branch) in plan.branches.iter().enumerate() {
            if !passes(k) {
                continue;
            }
            for (a, b) in [(branch.a, branch.b), (branch.b, branch.a)] {
                // The earth joins everything and nothing.
                if a == at && b.index() != 0 && found.insert(b) {
                    open.push(b);
                }
            }
        }
    }
    found
}

/// Volumes that oil reaches from `from` through checks and what never shuts.
fn reached(plan: &Plan, from: VolumeId) -> BTreeSet<VolumeId> {
    let mut found = BTreeSet::from([from]);
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        for (k, flow) in plan.flows.iter().enumerate() {
            let onward = match plan.nominal.flows[k] {
                FlowLaw::Check(..) => flow.first == at,
                FlowLaw::Gate(_) | FlowLaw::ThrottleCheck(..) => true,
                _ => false,
            };
            for (a, b) in [(flow.first, flow.second), (flow.second, flow.first)] {
                let back = (a, b) != (flow.first, flow.second);
                let checked = matches!(plan.nominal.flows[k], FlowLaw::Check(..));
                let open_end = plan.volumes[b.index()].fixed_pa.is_some();
                if onward && a == at && !(back && checked) && !open_end && found.insert(b) {
                    open.push(b);
                }
            }
        }
    }
    found
}
