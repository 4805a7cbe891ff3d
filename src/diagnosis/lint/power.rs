//! The power side and the seam: overrides, stored energy, loads, reliefs, filters, test points.

use std::collections::BTreeSet;

use crate::base::VolumeId;
use crate::diagnostic::Code;
use crate::fluid::{FlowLaw, Medium};
use crate::plant::{Drive, Element, Plan};
use crate::shift::Feed;

use super::{Lint, reached};

/// A weight that needs no valve to hold it [N].
const LIGHT_N: f64 = 50.0;
/// Valves that let a load down only when told.
const HOLDING: [&str; 2] = ["Counterbalance", "PilotCheck"];
/// Valves that limit a pressure.
const LIMITING: [&str; 3] = ["Relief", "PilotRelief", "Unloading"];
/// Seals that do not stand a fluid (from memory).
const ILL_SUITED: [(&str, &str); 5] = [
    ("NBR", "phosphate ester"),
    ("PU", "phosphate ester"),
    ("PU", "water glycol"),
    ("EPDM", "mineral oil"),
    ("EPDM", "polyol ester"),
];

pub(super) fn judge(lint: &mut Lint) {
    valves(lint);
    pilots(lint);
    accumulators(lint);
    loads(lint);
    pumps(lint);
    seals(lint);
    test_points(lint);
}

fn tags(lint: &Lint, classes: &[&str]) -> Vec<String> {
    lint.parts(classes).iter().map(|p| p.tag.clone()).collect()
}

fn is_oil(plan: &Plan, volume: VolumeId) -> bool {
    matches!(plan.nominal.volumes[volume.index()].medium, Medium::Oil { .. })
}

/// The chambers of all cylinders, and what lies on their side of checks and throttles.
fn chambers(plan: &Plan) -> BTreeSet<VolumeId> {
    plan.pistons.iter().flat_map(|p| [p.cap, p.rod]).flat_map(|v| reached(plan, v)).collect()
}

fn valves(lint: &mut Lint) {
    let plan = lint.plan;
    let moved = chambers(plan);
    for tag in tags(lint, &["Valve", "AirValve"]) {
        let Some(id) = plan.part(&tag) else { continue };
        let part = &plan.parts[id.index()];
        let moves = part.ports.iter().any(|(_, v)| moved.contains(v));
        let fields = lint.bench.authored.parts.get(&tag);
        if part.class == "Valve" && moves && fields.is_some_and(|f| f.choice("override") == "none")
        {
            let message = format!("{tag} moves a cylinder and has no manual override");
            lint.advise(Code::LINT_OVERRIDE, &tag, message, "fit a valve with overrides");
        }
        if lint.choice(&tag, "rest") == "detented"
            && lint.choice(&tag, "power_loss") == "undeclared"
        {
            let message = format!("{tag} keeps its position when the supply fails, undeclared");
            let help = "write power_loss: \"keeps its position\" if that is safe";
            lint.advise(Code::LINT_POWER_LOSS, &tag, message, help);
        }
        if part.class == "Valve" {
            shift_limit(lint, &tag);
            inlet(lint, &tag);
        }
    }
}

/// Whether a two-stage valve lets go the pressure in its centre that its own pilot needs to leave it.
fn pilots(lint: &mut Lint) {
    let plan = lint.plan;
    for tag in tags(lint, &["TwoStageValve"]) {
        let Some(fields) = lint.bench.authored.parts.get(&tag) else { continue };
        let Some(id) = plan.part(&tag) else { continue };
        let lets_go = plan.parts[id.index()].elements.iter().any(|(role, e)| match e {
            Element::Flow(f) if role == "P-T" => {
                matches!(plan.nominal.flows[f.index()], FlowLaw::Spool(_, o) if o.at[1] > 0.0)
            }
            _ => false,
        });
        let (kept, least) = (fields.quantity("pilot_check"), fields.quantity("pilot_pressure"));
        if fields.choice("pilot") == "internal" && lets_go && kept < least {
            let message = format!(
                "the centre of {tag} leaves its pilot {:.1} bar, and it needs {:.1} bar",
                kept / 1e5,
                least / 1e5
            );
            let help = "write a `pilot_check` above that, or feed the pilot through X";
            lint.advise(Code::LINT_PILOT, &tag, message, help);
        }
    }
}

/// Flow of all pumps at their speed [m3/s], and the highest relief setting [Pa].
fn worst_case(plan: &Plan) -> Option<(f64, f64)> {
    let flow: f64 = plan
        .pumps
        .iter()
        .zip(&plan.nominal.drives)
        .map(|(pump, drive)| match plan.nominal.flows[pump.flow.index()] {
            FlowLaw::Pump(make) => make.displacement_m3 * drive.per_second.abs(),
            _ => 0.0,
        })
        .sum();
    let pressure = plan
        .nominal
        .flows
        .iter()
        .filter_map(|law| match law {
            FlowLaw::Relief(relief) => Some(relief.crack_pa),
            _ => None,
        })
        .fold(0.0, f64::max);
    (flow > 0.0 && pressure > 0.0).then_some((flow, pressure))
}

/// Whether what limits the pressure before a valve is set above what its body stands.
fn inlet(lint: &mut Lint, tag: &str) {
    let plan = lint.plan;
    let field = |lint: &Lint, tag: &str, name: &str| {
        lint.bench.authored.parts.get(tag).and_then(|f| f.optional(name))
    };
    let Some(most) = field(lint, tag, "max_inlet") else { return };
    let port = |tag: &str| plan.part(tag).and_then(|p| plan.parts[p.index()].port("P"));
    let Some(at) = port(tag) else { return };
    let settings = tags(lint, &LIMITING).into_iter().chain(tags(lint, &["VariablePump"]));
    for other in settings.collect::<Vec<_>>() {
        let before = port(&other).is_some_and(|v| v == at || reached(plan, v).contains(&at));
        let Some(setting) = field(lint, &other, "setting").filter(|s| before && *s > most) else {
            continue;
        };
        let message = format!(
            "{other} is set to {:.0} bar, and {tag} stands {:.0} bar",
            setting / 1e5,
            most / 1e5
        );
        let help = "set it lower, or take a valve that stands it";
        lint.advise(Code::LINT_INLET, tag, message, help);
    }
}

/// Whether the coil moves the spool against the flow force that the pump's flow makes.
fn shift_limit(lint: &mut Lint, tag: &str) {
    let plan = lint.plan;
    let Some((flow, pressure)) = worst_case(plan) else { return };
    let Some(id) = plan.part(tag) else { return };
    let spool = plan.parts[id.index()].elements.iter().find_map(|(_, e)| match e {
        Element::Spool(s) => Some(*s),
        _ => None,
    });
    let Some(spool) = spool else { return };
    let Some(fields) = lint.bench.authored.parts.get(tag) else { return };
    let feed = Feed::of(fields.supply("coil"));
    let Some(limit) = plan.operating_limit(spool, feed, pressure) else { return };
    if flow > limit {
        let message = format!(
            "{tag} may not shift: {:.0} L/min flow at {:.0} bar, and its operating limit there is {:.0} L/min",
            flow * 60_000.0,
            pressure / 1e5,
            limit * 60_000.0
        );
        lint.advise(Code::LINT_SHIFT_LIMIT, tag, message, "take a larger or a piloted valve");
    }
}

fn accumulators(lint: &mut Lint) {
    let plan = lint.plan;
    for tag in tags(lint, &["Accumulator"]) {
        let Some(id) = plan.part(&tag) else { continue };
        let Some(volume) = plan.parts[id.index()].port("P") else { continue };
        let tank = |v: VolumeId| plan.volumes[v.index()].fixed_pa.is_some();
        let mut open_at_rest = false;
        for (k, flow) in plan.flows.iter().enumerate() {
            let ends = [(flow.first, flow.second), (flow.second, flow.first)];
            if !ends.iter().any(|(a, b)| *a == volume && tank(*b)) {
                continue;
            }
            open_at_rest |= match (plan.nominal.flows[k], flow.drive) {
                (FlowLaw::Spool(_, opening), Drive::Spool(s)) => {
                    let make = plan.nominal.spools[s.index()];
                    make.rest != crate::shift::Rest::Detented && opening.at[1] > 0.0
                }
                (FlowLaw::Gate(_), _) => true,
                _ => false,
            };
        }
        if !open_at_rest {
            let message = format!("{tag} keeps its oil when the machine is off");
            let help = "let a valve that is open at rest lead from it to the tank";
            lint.advise(Code::LINT_ACCUMULATOR, &tag, message, help);
        }
        // What charges it is limited, on either side of the check.
        let limited = tags(lint, &LIMITING).iter().filter_map(|t| plan.part(t)).any(|p| {
            plan.parts[p.index()]
                .port("P")
                .is_some_and(|v| v == volume || reached(plan, v).contains(&volume))
        });
        if !limited {
            let message = format!("nothing limits the pressure of {tag}");
            let help = "put a relief on its line, or on the line that charges it";
            lint.advise(Code::LINT_ACCUMULATOR, &tag, message, help);
        }
    }
}

/// Loads that hang on a spool.
fn loads(lint: &mut Lint) {
    let plan = lint.plan;
    for (k, place) in plan.pistons.iter().enumerate() {
        let make = &plan.nominal.pistons[k];
        let weight = make.load.constant_n;
        let carrying = if weight > 0.0 { place.cap } else { place.rod };
        if weight.abs() <= make.friction_n + LIGHT_N || !is_oil(plan, carrying) {
            continue;
        }
        let held = tags(lint, &HOLDING)
            .iter()
            .filter_map(|t| plan.part(t))
            .any(|p| plan.parts[p.index()].port("B").is_some_and(|v| v == carrying));
        let on_spool = plan.flows.iter().any(|f| {
            matches!(f.drive, Drive::Spool(_)) && (f.first == carrying || f.second == carrying)
        });
        if on_spool && !held {
            let name = place.name.clone();
            let message = format!("{:.0} N of {name} hang on a spool", weight.abs());
            let help = "put a counterbalance or a pilot check valve at the cylinder";
            lint.advise(Code::LINT_LOAD_HELD, &name, message, help);
        }
    }
}

fn pumps(lint: &mut Lint) {
    let plan = lint.plan;
    let limits: Vec<VolumeId> = tags(lint, &LIMITING)
        .iter()
        .filter_map(|t| plan.part(t))
        .filter_map(|p| plan.parts[p.index()].port("P"))
        .collect();
    let pumps: Vec<(String, VolumeId)> =
        plan.pumps.iter().map(|p| (p.name.clone(), plan.flows[p.flow.index()].second)).collect();
    for (name, outlet) in &pumps {
        let line = reached(plan, *outlet);
        if !limits.iter().any(|v| line.contains(v)) {
            let message = format!("{name} has no relief on its pressure line");
            lint.advise(Code::LINT_RELIEF, name, message, "put a Relief there");
        }
    }
    if let Some((name, _)) = pumps.first()
        && lint.parts(&["Filter"]).is_empty()
    {
        let message = "no filter cleans the oil of this bench".to_owned();
        lint.advise(Code::LINT_FILTER, name, message, "put a Filter into the return line");
    }
}

fn seals(lint: &mut Lint) {
    let fluid = lint.bench.authored.fluid.clone();
    for tag in tags(lint, &["Cylinder"]) {
        let seals = lint.choice(&tag, "seals");
        if ILL_SUITED.contains(&(seals.as_str(), fluid.as_str())) {
            let message = format!("the {seals} seals of {tag} do not stand {fluid}");
            lint.advise(Code::LINT_SEALS, &tag, message, "choose seals for this fluid");
        }
    }
}

/// Pressures that nobody can measure: chambers, pump lines, accumulators.
fn test_points(lint: &mut Lint) {
    let plan = lint.plan;
    let measured = |v: VolumeId| {
        plan.volumes[v.index()].fixed_pa.is_some() || plan.test_points.iter().any(|t| t.volume == v)
    };
    let mut wanted: Vec<(String, VolumeId, &str)> = Vec::new();
    for p in &plan.pistons {
        wanted.push((p.name.clone(), p.cap, "behind the piston"));
        wanted.push((p.name.clone(), p.rod, "on the rod side"));
    }
    for p in &plan.pumps {
        wanted.push((p.name.clone(), plan.flows[p.flow.index()].second, "at its outlet"));
    }
    for a in &plan.accumulators {
        wanted.push((a.name.clone(), a.volume, "on its oil side"));
    }
    for (name, volume, place) in wanted {
        if !measured(volume) {
            let message = format!("the pressure of {name} {place} cannot be measured");
            let help = "write a test_point on its line";
            lint.advise(Code::LINT_TEST_POINT, &name, message, help);
        }
    }
}
