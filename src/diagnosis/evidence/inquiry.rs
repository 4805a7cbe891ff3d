//! The suspects of one scenario under one seed, and how a learner's path narrows them.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::base::ops;
use crate::diagnosis::hypothesis::Hypothesis;
use crate::diagnosis::path::Verdict;
use crate::fault::{Fault, Onset};
use crate::session::{Action, LogEntry, Rig, SessionConfig};

use super::alike::differ;
use super::memory::Recall;
use super::moment::Told;
use super::outlook::Outlook;
use super::repeat::{Follow, Repeater};
use super::sound::Family;
use super::track::is_input;

/// Most suspects that are named one by one in a step.
const NAMED: usize = 12;

/// Most integration steps of a suspect's run; one that chatters on beyond them is no longer followed,
/// and counts as excluded.
const SUSPECT_STEPS: u64 = 100_000;
/// How much more a step of a suspect's run may be off than one of an attempt's [1]. Events then come
/// within a few milliseconds of where they would; people tell tenths of a second.
/// Common practice, no source.
const SUSPECT_SLACK: f64 = 5.0;

/// What an action was for the search.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Looking, listening, feeling or measuring.
    Look,
    /// Operating the machine and seeing what it does.
    Trial,
    /// Waiting and watching.
    Watch,
    /// Proving that an isolated machine is dead: never held against anybody.
    Safety,
}

/// One action as evidence.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EvidenceStep {
    /// Index of the action in the attempt.
    pub action: usize,
    /// Bench time, `m:ss.mmm`.
    pub at: String,
    /// The action in words.
    pub words: String,
    /// What it was for the search.
    pub kind: Kind,
    /// Suspects that explained everything before it.
    pub before: usize,
    /// Suspects that still explain everything.
    pub after: usize,
    /// Suspects that it excluded.
    pub excluded: Vec<String>,
    /// The suspects left, once they are few.
    pub left: Vec<String>,
    /// Information obtained [bit].
    pub bits: f64,
    /// All suspects would have shown the same: it could tell nothing, as could be known before.
    pub uninformative: bool,
    /// Too close to call: it excludes nothing.
    pub marginal: bool,
    /// Expected cost above that of the best next test [s].
    pub regret_s: f64,
    /// A test that would have divided the suspects, when this one could not.
    pub better: Option<String>,
}

/// How a learner's observations narrowed the suspects.
#[derive(Clone, Debug, PartialEq)]
pub struct Trail {
    /// The actions that could tell something, in order.
    pub steps: Vec<EvidenceStep>,
    /// Suspects that explain everything, ascending.
    pub left: Vec<usize>,
    /// Expected cost of the best sequence from the start [s].
    pub optimum_s: f64,
    /// Sum of the regrets [s].
    pub regret_s: f64,
    /// Looks, safety aside, while there was something to tell apart.
    pub looks: usize,
    /// Time they took [s].
    pub looks_s: f64,
    /// Time of those that could tell nothing [s].
    pub idle_s: f64,
    /// Those of them that could tell nothing.
    pub idle_looks: usize,
    /// A test that would divide what is left.
    pub next: Option<String>,
    /// By suspect, the step that excluded it.
    excluded_at: BTreeMap<usize, usize>,
}

impl Trail {
    /// The step that excluded `suspect`.
    #[must_use]
    pub fn excluded_by(&self, suspect: usize) -> Option<&EvidenceStep> {
        self.steps.get(*self.excluded_at.get(&suspect)?)
    }
}

#[derive(Clone, Debug)]
struct Variant {
    suspect: usize,
    faults: Vec<Fault>,
}

/// Makes a rig with these faults, of which those that come and go do so as one of the named part.
pub type RigMaker<'a> = &'a (dyn Fn(&[Fault], &str) -> Option<Rig> + Sync);

/// The suspects of one scenario under one seed.
#[derive(Debug)]
pub struct Inquiry {
    suspects: Vec<Hypothesis>,
    variants: Vec<usize>,
    /// Index of the true suspect, and of the variant that is the machine itself.
    truth: usize,
    real: usize,
    exact: bool,
    repeater: Repeater,
}

impl Inquiry {
    /// An inquiry into `suspects` when `truth` are the faults in the machine that `real` starts.
    /// Suspects whose faults cannot be brought about are left out. Their runs are remembered in
    /// `recall`.
    #[must_use]
    pub fn new(
        mut suspects: Vec<Hypothesis>,
        truth: &[Fault],
        real: Rig,
        make: RigMaker,
        config: &SessionConfig,
        recall: &Recall,
    ) -> Inquiry {
        let same = |h: &Hypothesis| {
            let holds = |f: &Fault| h.faults.iter().any(|g| is_that(g, f));
            h.faults.len() == truth.len() && truth.iter().all(holds)
        };
        let true_one = suspects.iter().position(same).unwrap_or_else(|| {
            let least = suspects.iter().map(|h| h.prior).fold(1.0, f64::min);
            suspects.push(Hypothesis::of(truth.to_vec(), least));
            suspects.len() - 1
        });
        let mut variants: Vec<Variant> = Vec::new();
        for (suspect, hypothesis) in suspects.iter().enumerate() {
            let mut sizes = vec![hypothesis.faults.clone()];
            for fault in truth.iter().filter(|f| f.severity.is_some()) {
                let mut sized = hypothesis.faults.clone();
                for f in sized.iter_mut().filter(|f| f.mode == fault.mode) {
                    f.severity = fault.severity;
                }
                sizes.push(sized);
            }
            if let Some(onset) = truth.first().map(|f| &f.onset)
                && *onset != Onset::Start
            {
                let mut later = sizes.clone();
                later.iter_mut().flatten().for_each(|f| f.onset = onset.clone());
                sizes.extend(later);
            }
            let mut kept: Vec<Variant> = Vec::new();
            for faults in sizes {
                if kept.iter().all(|v| v.faults != faults) {
                    kept.push(Variant { suspect, faults });
                }
            }
            variants.extend(kept);
        }
        let rhythm = truth.first().map_or("", |f| f.part.as_str());
        let mut rigs = vec![real.coarser(SUSPECT_SLACK)];
        let mut of = vec![true_one];
        let mut parts = vec![Vec::new()];
        let mut sound = None;
        let at_once = truth.iter().all(|f| f.onset == Onset::Start);
        // The real machine itself is one of those with the faults that it has.
        let is_real = |variant: &Variant| {
            let whole = |g: &Fault, f: &Fault| g.severity == f.severity && g.onset == f.onset;
            let has = |f: &Fault| variant.faults.iter().any(|g| is_that(g, f) && whole(g, f));
            let faulty = at_once && !truth.is_empty();
            faulty && variant.suspect == true_one && truth.iter().all(has)
        };
        for variant in variants.into_iter().filter(|variant| !is_real(variant)) {
            if let Some(rig) = make(&variant.faults, rhythm) {
                rigs.push(rig.limited(SUSPECT_STEPS).coarser(SUSPECT_SLACK));
                of.push(variant.suspect);
                if variant.faults.is_empty() {
                    sound = Some(of.len() - 1);
                }
                parts.push(variant.faults.iter().map(|f| f.part.clone()).collect());
            }
        }
        let by_clock = |f: &Fault| matches!(f.onset, Onset::At(_) | Onset::Intermittent { .. });
        let exact = truth.iter().any(by_clock);
        // What is true goes exactly the way of the real machine.
        let apart: Vec<usize> = (0..of.len()).filter(|k| of[*k] == true_one).collect();
        let family = sound.filter(|_| at_once).map(|sound| Family { sound, parts, apart });
        Inquiry {
            suspects,
            variants: of,
            truth: true_one,
            real: 0,
            exact,
            repeater: Repeater::new(rigs, family, config, recall),
        }
    }

    /// The suspects.
    #[must_use]
    pub fn suspects(&self) -> &[Hypothesis] {
        &self.suspects
    }

    /// Index of the suspect that is the truth.
    #[must_use]
    pub fn truth(&self) -> usize {
        self.truth
    }

    /// How many different repairs `suspects` call for.
    #[must_use]
    pub fn repairs(&self, suspects: &[usize]) -> usize {
        suspects.iter().map(|&s| self.suspects[s].repair.as_str()).collect::<BTreeSet<_>>().len()
    }

    fn of_variants(&self, variants: &[usize]) -> Vec<usize> {
        let set: BTreeSet<usize> = variants.iter().map(|&v| self.variants[v]).collect();
        set.into_iter().collect()
    }

    fn prior(&self, suspects: &[usize]) -> f64 {
        suspects.iter().map(|&s| self.suspects[s].prior).sum()
    }

    fn names(&self, suspects: &[usize]) -> Vec<String> {
        suspects.iter().map(|&s| self.suspects[s].name.clone()).collect()
    }

    /// Follows the actions of `log` and narrows the suspects. `outlook` says what should be done.
    #[must_use]
    pub fn follow(&self, log: &[LogEntry], outlook: &Outlook) -> Trail {
        let states: Vec<Option<usize>> =
            self.suspects.iter().map(|h| outlook.state(&h.name)).collect();
        let states_of = |suspects: &[usize]| -> Vec<usize> {
            let mut list: Vec<usize> = suspects.iter().filter_map(|&s| states[s]).collect();
            list.sort_unstable();
            list
        };
        let mut alive: Vec<usize> = (0..self.variants.len()).collect();
        let mut before = self.of_variants(&alive);
        let mut trail = Trail {
            steps: Vec::new(),
            left: Vec::new(),
            optimum_s: outlook.advise(&states_of(&before)).cost,
            regret_s: 0.0,
            looks: 0,
            looks_s: 0.0,
            idle_s: 0.0,
            idle_looks: 0,
            next: None,
            excluded_at: BTreeMap::new(),
        };
        let mut follow = self.repeater.follow(self.exact);
        let mut isolated: BTreeSet<&str> = BTreeSet::new();
        for (index, entry) in log.iter().enumerate() {
            let input = is_input(&entry.action);
            let look = entry.action.looks();
            follow.track.pause_to(entry.started);
            if input {
                follow.track.act(entry.action.clone(), entry.started, entry.ended);
            } else {
                follow.track.pause_to(entry.ended);
            }
            match &entry.action {
                Action::Isolate { part } => {
                    isolated.insert(part);
                }
                Action::Restore { part } => {
                    isolated.remove(part.as_str());
                }
                _ => {}
            }
            if !input && !look && !matches!(entry.action, Action::Wait { .. }) {
                continue;
            }
            let met = self.meet(&alive, &mut follow, input, look, entry);
            let (fits, blocks, marginal) = (met.fits, met.blocks, met.marginal);
            let after_variants: Vec<usize> =
                alive.iter().zip(&fits).filter(|(_, fit)| **fit).map(|(v, _)| *v).collect();
            let after = self.of_variants(&after_variants);
            let proving = matches!(entry.action, Action::Volts { .. } | Action::Gauge { .. });
            let kind = match (input, look) {
                (false, true) if proving && !isolated.is_empty() => Kind::Safety,
                (false, true) => Kind::Look,
                (true, _) => Kind::Trial,
                _ => Kind::Watch,
            };
            let open = self.repairs(&before) > 1;
            let uninformative = kind == Kind::Look && open && blocks.len() < 2;
            let mut regret = 0.0;
            let mut better = None;
            if kind == Kind::Look && open {
                trail.looks += 1;
                let advice = outlook.advise(&states_of(&before));
                let took = entry.ended.saturating_sub(entry.started).as_secs_f64();
                trail.looks_s += took;
                let mut rest = 0.0;
                let mut whole = 0.0;
                for block in &blocks {
                    let suspects = self.of_variants(block);
                    let weight = self.prior(&suspects);
                    whole += weight;
                    rest += weight * outlook.advise(&states_of(&suspects)).cost;
                }
                // A test that the dictionary does not know may be better than all it knows.
                regret = (took + rest / whole - advice.cost).max(0.0);
                if uninformative {
                    trail.idle_looks += 1;
                    trail.idle_s += took;
                    better = advice.next.map(|t| outlook.name(t).to_owned());
                }
            }
            let gone: Vec<usize> =
                before.iter().copied().filter(|s| after.binary_search(s).is_err()).collect();
            for &s in &gone {
                trail.excluded_at.insert(s, trail.steps.len());
            }
            let bits = if gone.is_empty() {
                0.0
            } else {
                ops::log2(self.prior(&before) / self.prior(&after))
            };
            trail.regret_s += regret;
            trail.steps.push(EvidenceStep {
                action: index,
                at: entry.started.to_string(),
                words: entry.action.to_string(),
                kind,
                before: before.len(),
                after: after.len(),
                excluded: self.names(&gone),
                left: if after.len() <= NAMED { self.names(&after) } else { Vec::new() },
                bits: ops::round_significant(bits, 6),
                uninformative,
                marginal,
                regret_s: ops::round_significant(regret, 6),
                better,
            });
            alive = after_variants;
            before = after;
        }
        trail.next =
            outlook.advise(&states_of(&before)).next.map(|test| outlook.name(test).to_owned());
        trail.left = before;
        trail
    }

    /// What the machines of `alive` show in one action, against the real one.
    fn meet(
        &self,
        alive: &[usize],
        follow: &mut Follow,
        input: bool,
        look: bool,
        entry: &LogEntry,
    ) -> Met {
        let shown = self.repeater.show(alive, follow, look.then_some(&entry.action));
        let track = &follow.track;
        let differs = |a: usize, b: usize| -> bool {
            match (&shown[a], &shown[b]) {
                (Some((m, t)), Some((n, u))) => {
                    let apart =
                        |t: &Told, u: &Told| t.mark != u.mark && differ(&t.outcome, &u.outcome);
                    let words = match (t, u) {
                        (Some(t), Some(u)) => apart(t, u),
                        _ => input && apart(&m.told, &n.told),
                    };
                    words || m.line.differs(&n.line, track.starts(), track.now())
                }
                (None, None) => false,
                _ => true,
            }
        };
        // What shows the same to the letter is compared once.
        let mut firsts_alike = BTreeMap::new();
        let like: Vec<usize> = (0..alive.len())
            .map(|k| {
                let marks = shown[k].as_ref().map(|(view, told)| {
                    let told = told.as_ref().map_or(view.told.mark, |t| t.mark);
                    (view.line.mark(), told)
                });
                *firsts_alike.entry(marks).or_insert(k)
            })
            .collect();
        let place = alive.iter().position(|v| *v == self.real);
        // What was met must be what the repeat of the real machine shows; where rounding of pauses
        // or a spoilt instrument makes it something else, it excludes nothing.
        let marginal = match place.and_then(|p| shown[p].as_ref()) {
            None => true,
            Some((view, told)) => {
                let invalid = entry.outcome.readings.iter().any(|r| !r.valid);
                let told = told.as_ref().unwrap_or(&view.told);
                (look || input) && (invalid || differ(&told.outcome, &entry.outcome))
            }
        };
        let fits = match place {
            Some(place) if !marginal => {
                let mut fits: Vec<bool> = Vec::with_capacity(alive.len());
                for (k, &like) in like.iter().enumerate() {
                    fits.push(if like < k { fits[like] } else { !differs(place, k) });
                }
                fits
            }
            _ => vec![true; alive.len()],
        };
        let mut firsts: Vec<usize> = Vec::new();
        let mut blocks: Vec<Vec<usize>> = Vec::new();
        let mut block_of: Vec<usize> = Vec::with_capacity(alive.len());
        for (k, &variant) in alive.iter().enumerate() {
            let block = if like[k] < k {
                Some(block_of[like[k]])
            } else {
                firsts.iter().position(|&first| !differs(first, k))
            };
            let block = block.unwrap_or(firsts.len());
            if block == firsts.len() {
                firsts.push(k);
                blocks.push(Vec::new());
            }
            blocks[block].push(variant);
            block_of.push(block);
        }
        Met { fits, blocks, marginal }
    }

    /// How naming `mode` of `part` stands when the suspects in `left` explain what was met. `right`
    /// says whether the part is one that is faulty.
    #[must_use]
    pub fn verdict(&self, left: &[usize], part: &str, mode: &str, right: bool) -> Verdict {
        let named = left.iter().any(|&s| self.suspects[s].holds(part, mode));
        if !named {
            Verdict::Contradicted
        } else if !right {
            Verdict::WrongButConsistent
        } else if self.repairs(left) == 1 {
            Verdict::Proved
        } else {
            Verdict::Lucky
        }
    }

    /// Whether any suspect holds `mode` of `part`.
    #[must_use]
    pub fn known(&self, part: &str, mode: &str) -> bool {
        self.suspects.iter().any(|h| h.holds(part, mode))
    }
}

/// Whether `fault` is the one that is `named`, of whatever size.
fn is_that(fault: &Fault, named: &Fault) -> bool {
    let here = named.role.is_none() || named.role == fault.role;
    fault.part == named.part && fault.mode == named.mode && here
}

/// What one action showed.
struct Met {
    /// By variant: it fits what was met.
    fits: Vec<bool>,
    /// Variants that show the same.
    blocks: Vec<Vec<usize>>,
    marginal: bool,
}
