//! The control side: interlocks, outputs, fuses, wires, stops.

use std::collections::BTreeSet;

use crate::base::{NodeId, OperatorId};
use crate::diagnosis::interlock::{Limits, Options, Property, Step, Verdict, check};
use crate::diagnostic::Code;
use crate::electric::tables::{PVC_CELSIUS, withstand_a2s};
use crate::language::Phrase;
use crate::plant::{BranchRole, Current, Element, Moves, Plan, Tie, Trigger};

use super::{Lint, joined, of};

/// Most states explored to see whether both coils can be on.
const STATES: usize = 300_000;
/// Current that copper wires of a cross-section carry [mm2, A]: IEC 60204-1 table 6, method B2, PVC
/// at 40 degC (from memory); 0.5 mm2 and less in the same proportion.
const CARRIES: [(f64, f64); 6] =
    [(0.5, 6.0), (0.75, 8.5), (1.0, 10.1), (1.5, 13.1), (2.5, 17.4), (4.0, 23.0)];
/// Share of its rated current at which a solenoid lets go: direct and alternating current
/// (common practice, no source).
const HOLDS: (f64, f64) = (0.2, 0.45);
/// Currents of outputs [A]: of semiconductors and of relays (IEC 61131-2 ratings, from memory).
const OUTPUT_A: (f64, f64) = (0.5, 2.0);

/// Current [A] that a wire of `mm2` carries.
fn carries(mm2: f64) -> f64 {
    let row = CARRIES.iter().rev().find(|r| r.0 <= mm2 + 1e-9);
    match row {
        // Above the table, and below it, in proportion.
        Some((section, amps)) if *section < 4.0 => *amps,
        Some((section, amps)) => amps * mm2 / section,
        None => CARRIES[0].1 * mm2 / CARRIES[0].0,
    }
}

pub(super) fn judge(lint: &mut Lint) {
    interlocks(lint);
    outputs(lint);
    supplies(lint);
}

/// Both coils, and stops that stop nothing, by exploring the circuit.
fn interlocks(lint: &mut Lint) {
    let limits = Limits { states: STATES, ..Limits::default() };
    let Ok(report) = check(lint.plan, &Options { limits, ..Options::default() }) else { return };
    let plan = lint.plan;
    for finding in &report.findings {
        match (finding.property, &finding.verdict) {
            (Property::NotBothCoils { spool, settled: true }, Verdict::Broken(way)) => {
                let name = &plan.spools[spool.index()].name;
                let steps = Phrase::list(way.steps.iter().map(Step::phrase));
                let message = of("lint-interlock", name).with("steps", steps);
                let help = Phrase::new("lint-interlock-help");
                lint.advise(Code::LINT_INTERLOCK, name, message, help);
            }
            (Property::StopDominates { stop }, Verdict::Moot(_)) if report.exhausted => {
                let name = plan.operators[stop.index()].name.clone();
                if switches_pump(plan, stop) {
                    continue;
                }
                let help = Phrase::new("lint-stop-idle-help");
                lint.advise(Code::LINT_STOP, &name, of("lint-stop-idle", &name), help);
            }
            _ => {}
        }
    }
}

/// Whether a stop's contact lies in the path of any winding: a pump contactor moves no spool.
fn switches_pump(plan: &Plan, stop: OperatorId) -> bool {
    plan.pumps.iter().any(|p| p.run_by.contains(&stop))
        || plan.contacts.iter().any(|c| {
            c.operator == stop && {
                let branch = &plan.branches[c.branch.index()];
                let near = |n: NodeId| {
                    joined(plan, n, |k| {
                        k != c.branch.index()
                            && matches!(
                                plan.branches[k].role,
                                BranchRole::Wire | BranchRole::Contact(_)
                            )
                    })
                };
                let reach: BTreeSet<NodeId> =
                    near(branch.a).union(&near(branch.b)).copied().collect();
                plan.windings.iter().any(|w| {
                    matches!(w.moves, Moves::Relay(_))
                        && (reach.contains(&w.a) || reach.contains(&w.b))
                })
            }
        })
}

/// Whether a controller's outputs drive what hangs on them.
fn outputs(lint: &mut Lint) {
    let plan = lint.plan;
    for part in lint.parts(&["Plc"]).into_iter().map(|p| p.tag.clone()).collect::<Vec<_>>() {
        let kind = lint.choice(&part, "output_type");
        let fields = lint.bench.authored.parts.get(&part);
        let usual = if kind == "relay" { OUTPUT_A.1 } else { OUTPUT_A.0 };
        let most = fields.and_then(|f| f.optional("output_current")).unwrap_or(usual);
        let leak_a = fields.map_or(0.0, |f| f.quantity("leakage"));
        let snubber = fields.map_or(0.0, |f| f.quantity("snubber"));
        let Some(id) = plan.part(&part) else { continue };
        for (marking, node) in &plan.parts[id.index()].terminals {
            if !marking.starts_with('Q') {
                continue;
            }
            let output =
                |id: &'static str| Phrase::new(id).with("output", format!("{part}:{marking}"));
            let reach = joined(plan, *node, |k| plan.branches[k].role == BranchRole::Wire);
            let Some(network) = plan.network_of(*node) else { continue };
            let volts = plan.networks[network]
                .branches
                .iter()
                .map(|b| plan.nominal.branches[b.index()].volts.abs())
                .fold(0.0, f64::max);
            let loads: Vec<usize> = (0..plan.windings.len())
                .filter(|&w| {
                    let place = &plan.windings[w];
                    reach.contains(&place.a) || reach.contains(&place.b)
                })
                .collect();
            if loads.is_empty() || volts == 0.0 {
                continue;
            }
            let alternating = match plan.networks[network].current {
                Current::Ac { omega } => Some(omega),
                Current::Dc => None,
            };
            match (kind.as_str(), alternating) {
                ("transistor", Some(_)) | ("triac", None) => {
                    let made_for_dc = alternating.is_some();
                    let id = if made_for_dc { "lint-output-dc" } else { "lint-output-ac" };
                    let help = Phrase::new("lint-output-help");
                    let message = output(id).with("kind", kind.as_str());
                    lint.advise(Code::LINT_OUTPUT, &part, message, help);
                    continue;
                }
                _ => {}
            }
            let mut amps = 0.0;
            let mut lets_go = f64::INFINITY;
            for &w in &loads {
                let make = &plan.nominal.windings[w];
                let reactance = |henry: f64| alternating.map_or(0.0, |omega| omega * henry);
                let through = |henry: f64| {
                    let x = reactance(henry);
                    volts / (make.ohm_at_20 * make.ohm_at_20 + x * x).sqrt()
                };
                amps += through(make.open_henry);
                let held = through(make.seated_henry);
                let drop = match plan.windings[w].moves {
                    Moves::Relay(o) => match plan.nominal.operators[o.index()].trigger {
                        Trigger::Armature { drop_a, .. } => drop_a,
                        _ => f64::INFINITY,
                    },
                    _ if alternating.is_some() => HOLDS.1 * held,
                    _ => HOLDS.0 * held,
                };
                lets_go = lets_go.min(drop);
            }
            let names: Vec<&str> = loads.iter().map(|&w| plan.windings[w].name.as_str()).collect();
            let names = both(&names);
            if amps > most {
                let message = output("lint-output-amps")
                    .with("most", most.to_string())
                    .with("loads", names.clone())
                    .with("amps", format!("{amps:.2}"));
                let help = Phrase::new("lint-output-amps-help");
                lint.advise(Code::LINT_OUTPUT, &part, message, help);
            }
            let leaks = match (kind.as_str(), alternating) {
                ("triac", Some(omega)) => volts * omega * snubber,
                ("transistor", None) => leak_a * volts / 24.0,
                _ => 0.0,
            };
            if leaks > lets_go {
                let message = output("lint-output-leaks")
                    .with("leaks", format!("{:.1}", leaks * 1e3))
                    .with("loads", names)
                    .with("holds", format!("{:.1}", lets_go * 1e3));
                let help = Phrase::new("lint-output-leaks-help");
                lint.advise(Code::LINT_OUTPUT, &part, message, help);
            }
        }
    }
}

/// Fuses, wires behind them, shorts, and what lies in the return.
fn supplies(lint: &mut Lint) {
    let plan = lint.plan;
    let role = |k: usize| plan.branches[k].role;
    let wire = |k: usize| role(k) == BranchRole::Wire;
    let switched = |k: usize| matches!(role(k), BranchRole::Wire | BranchRole::Contact(_));
    let sources: Vec<usize> =
        (0..plan.branches.len()).filter(|&k| role(k) == BranchRole::Source).collect();
    // The contact of a breaker is its own protection.
    let breakers: Vec<usize> = plan
        .parts
        .iter()
        .filter(|p| p.elements.iter().any(|(_, e)| matches!(e, Element::Fuse(_))))
        .flat_map(|p| &p.elements)
        .filter_map(|(_, e)| match e {
            Element::Contact(c) => Some(plan.contacts[c.index()].branch.index()),
            _ => None,
        })
        .collect();
    for &source in &sources {
        let (live, back) = (plan.branches[source].a, plan.branches[source].b);
        let tag = tag_of(plan, live);
        let before = joined(plan, live, switched);
        let fed = |n: &NodeId| {
            plan.windings.iter().any(|w| w.a == *n || w.b == *n)
                || plan.lamps.iter().any(|l| {
                    let b = &plan.branches[l.branch.index()];
                    b.a == *n || b.b == *n
                })
                || plan.branches.iter().enumerate().any(|(k, b)| {
                    matches!(b.role, BranchRole::Contact(_))
                        && !breakers.contains(&k)
                        && (b.a == *n || b.b == *n)
                })
        };
        if before.iter().any(fed) {
            let help = Phrase::new("lint-no-fuse-help");
            lint.advise(Code::LINT_NO_FUSE, &tag, of("lint-no-fuse", &tag), help);
        }
        short(lint, live, back, &tag);
        // A contact of whose ends one is in the return, with a coil on its other side.
        let returns = joined(plan, back, wire);
        for contact in &plan.contacts {
            let branch = &plan.branches[contact.branch.index()];
            let ends = [(branch.a, branch.b), (branch.b, branch.a)];
            let misplaced = ends.iter().any(|(at, other)| {
                let far = joined(plan, *other, wire);
                returns.contains(at)
                    && plan.windings.iter().any(|w| far.contains(&w.a) || far.contains(&w.b))
            });
            if misplaced && !before.contains(&branch.a) {
                let name = plan.operators[contact.operator.index()].name.clone();
                let message = Phrase::new("lint-stop-return")
                    .with("contact", contact.name.as_str())
                    .with("supply", tag.as_str());
                let help = Phrase::new("lint-stop-return-help");
                lint.advise(Code::LINT_STOP, &name, message, help);
            }
        }
    }
    let lives: BTreeSet<NodeId> =
        sources.iter().flat_map(|&s| joined(plan, plan.branches[s].a, wire)).collect();
    for fuse in &plan.fuses {
        let branch = &plan.branches[fuse.branch.index()];
        let BranchRole::Fuse(id) = branch.role else { continue };
        let make = plan.nominal.fuses[id.index()];
        let rated = make.rated_a;
        // A short lets a link's melting integral through before it breaks.
        let lets_through = if fuse.trips.is_none() { make.melting_a2s } else { 0.0 };
        let load_side = if lives.contains(&branch.a) { branch.b } else { branch.a };
        let behind = joined(plan, load_side, switched);
        if behind.iter().any(|n| lives.contains(n)) {
            continue;
        }
        let tag = tag_of(plan, branch.a);
        for part in plan.parts.iter().filter(|p| p.class == "Wire") {
            let core = part.elements.iter().find_map(|(name, e)| match e {
                crate::plant::Element::Branch(b) if name == "core" => Some(*b),
                _ => None,
            });
            let inside = core.is_some_and(|b| behind.contains(&plan.branches[b.index()].a));
            let section = lint.bench.authored.wires.get(&part.tag).map(|w| w.0);
            let (true, Some(mm2)) = (inside, section) else { continue };
            let amps = carries(mm2);
            let wire = |id: &'static str| {
                Phrase::new(id)
                    .with("wire", part.tag.as_str())
                    .with("title", part.title.as_str())
                    .with("section", mm2.to_string())
                    .with("fuse", tag.as_str())
            };
            if rated > amps {
                let message = wire("lint-wire-fuse")
                    .with("amps", format!("{amps:.1}"))
                    .with("rated", rated.to_string());
                let help = Phrase::new("lint-wire-fuse-help");
                lint.advise(Code::LINT_WIRE_FUSE, &part.tag, message, help);
            }
            let stands = withstand_a2s(mm2, PVC_CELSIUS);
            if lets_through > stands {
                let message = wire("lint-wire-melts")
                    .with("stands", format!("{stands:.0}"))
                    .with("through", format!("{lets_through:.0}"));
                let help = Phrase::new("lint-wire-melts-help");
                lint.advise(Code::LINT_WIRE_FUSE, &part.tag, message, help);
            }
        }
    }
}

/// The names with "and" between them.
fn both(names: &[&str]) -> Phrase {
    let names = names.iter().map(|name| Phrase::written(*name));
    let and = |one, other| Phrase::new("lint-and").with("one", one).with("other", other);
    names.reduce(and).unwrap_or_else(|| Phrase::written(""))
}

fn tag_of(plan: &Plan, node: NodeId) -> String {
    let name = &plan.nodes[node.index()].name;
    name.split(':').next().unwrap_or(name).to_owned()
}

/// Most steps of the search for a path of contacts.
const STEPS: usize = 200_000;

/// A path of nothing but wires, fuses and contacts between the poles, whose contacts can be closed
/// together: no operator both acted and at rest, no cylinder at two places.
fn short(lint: &mut Lint, live: NodeId, back: NodeId, tag: &str) {
    let plan = lint.plan;
    let mut steps = 0;
    let mut path: Vec<usize> = Vec::new();
    let mut seen = BTreeSet::from([live]);
    if !walk(plan, live, back, &mut seen, &mut path, &mut steps) {
        return;
    }
    let names: Vec<&str> = path
        .iter()
        .filter_map(|&k| match plan.branches[k].role {
            BranchRole::Contact(c) => Some(plan.contacts[c.index()].name.as_str()),
            _ => None,
        })
        .collect();
    let what = match names.as_slice() {
        [] => Phrase::new("lint-short-wires"),
        names => Phrase::written(names.join(", ")),
    };
    let message = Phrase::new("lint-short").with("what", what).with("supply", tag);
    lint.advise(Code::LINT_SHORT, tag, message, Phrase::new("lint-short-help"));
}

fn walk(
    plan: &Plan,
    at: NodeId,
    to: NodeId,
    seen: &mut BTreeSet<NodeId>,
    path: &mut Vec<usize>,
    steps: &mut usize,
) -> bool {
    if at == to {
        return true;
    }
    for (k, branch) in plan.branches.iter().enumerate() {
        let other = match (branch.a == at, branch.b == at) {
            (true, _) => branch.b,
            (_, true) => branch.a,
            _ => continue,
        };
        let passes = match branch.role {
            BranchRole::Wire | BranchRole::Fuse(_) => true,
            BranchRole::Contact(c) => path.iter().all(|&p| agree(plan, c, p)),
            _ => false,
        };
        if !passes || other.index() == 0 || seen.contains(&other) {
            continue;
        }
        *steps += 1;
        if *steps > STEPS || path.len() > 400 {
            return false;
        }
        seen.insert(other);
        path.push(k);
        if walk(plan, other, to, seen, path, steps) {
            return true;
        }
        path.pop();
        // A node with no way on under one set of contacts may have one under another.
        if matches!(branch.role, BranchRole::Contact(_)) {
            seen.remove(&other);
        }
    }
    false
}

/// Whether contact `c` can be closed together with branch `k`.
fn agree(plan: &Plan, c: crate::base::ContactId, k: usize) -> bool {
    let BranchRole::Contact(other) = plan.branches[k].role else { return true };
    let (one, two) = (&plan.contacts[c.index()], &plan.contacts[other.index()]);
    if one.operator == two.operator {
        return one.normally_closed == two.normally_closed;
    }
    let cam = |o: OperatorId| match (
        plan.operators[o.index()].tie,
        plan.nominal.operators[o.index()].trigger,
    ) {
        (Tie::Piston(p), Trigger::Cam { from_m, to_m, .. }) => Some((p, from_m, to_m)),
        _ => None,
    };
    match (cam(one.operator), cam(two.operator)) {
        (Some((p, a, b)), Some((q, c, d))) if p == q => {
            one.normally_closed || two.normally_closed || (a <= d && c <= b)
        }
        _ => true,
    }
}
