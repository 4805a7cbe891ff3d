//! The power side and the seam: overrides, stored energy, loads, reliefs, filters, test points.

use std::collections::BTreeSet;

use crate::base::VolumeId;
use crate::diagnostic::Code;
use crate::fluid::{FlowLaw, Medium};
use crate::language::Phrase;
use crate::plant::{Drive, Element, Plan};
use crate::shift::Feed;

use super::{Lint, of, reached};

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
            let help = Phrase::new("lint-override-help");
            lint.advise(Code::LINT_OVERRIDE, &tag, of("lint-override", &tag), help);
        }
        if lint.choice(&tag, "rest") == "detented"
            && lint.choice(&tag, "power_loss") == "undeclared"
        {
            let field = "power_loss: \"keeps its position\"";
            let help = Phrase::new("lint-power-loss-help").with("field", field);
            lint.advise(Code::LINT_POWER_LOSS, &tag, of("lint-power-loss", &tag), help);
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
            let message = of("lint-pilot", &tag)
                .with("kept", format!("{:.1}", kept / 1e5))
                .with("least", format!("{:.1}", least / 1e5));
            let help = Phrase::new("lint-pilot-help");
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
        let message = of("lint-inlet", tag)
            .with("relief", other)
            .with("setting", format!("{:.0}", setting / 1e5))
            .with("most", format!("{:.0}", most / 1e5));
        let help = Phrase::new("lint-inlet-help");
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
        let message = of("lint-shift-limit", tag)
            .with("flow", format!("{:.0}", flow * 60_000.0))
            .with("pressure", format!("{:.0}", pressure / 1e5))
            .with("limit", format!("{:.0}", limit * 60_000.0));
        let help = Phrase::new("lint-shift-limit-help");
        lint.advise(Code::LINT_SHIFT_LIMIT, tag, message, help);
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
            let help = Phrase::new("lint-accumulator-help");
            lint.advise(Code::LINT_ACCUMULATOR, &tag, of("lint-accumulator", &tag), help);
        }
        // What charges it is limited, on either side of the check.
        let limited = tags(lint, &LIMITING).iter().filter_map(|t| plan.part(t)).any(|p| {
            plan.parts[p.index()]
                .port("P")
                .is_some_and(|v| v == volume || reached(plan, v).contains(&volume))
        });
        if !limited {
            let help = Phrase::new("lint-unlimited-help");
            lint.advise(Code::LINT_ACCUMULATOR, &tag, of("lint-unlimited", &tag), help);
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
            let newton = format!("{:.0}", weight.abs());
            let message = of("lint-load-held", &name).with("newton", newton);
            let help = Phrase::new("lint-load-held-help");
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
            let help = Phrase::new("lint-relief-help");
            lint.advise(Code::LINT_RELIEF, name, of("lint-relief", name), help);
        }
    }
    if let Some((name, _)) = pumps.first()
        && lint.parts(&["Filter"]).is_empty()
    {
        let (message, help) = (Phrase::new("lint-filter"), Phrase::new("lint-filter-help"));
        lint.advise(Code::LINT_FILTER, name, message, help);
    }
}

fn seals(lint: &mut Lint) {
    let fluid = lint.bench.authored.fluid.clone();
    for tag in tags(lint, &["Cylinder"]) {
        let seals = lint.choice(&tag, "seals");
        if ILL_SUITED.contains(&(seals.as_str(), fluid.as_str())) {
            let message = of("lint-seals", &tag).with("seals", seals);
            let message = message.with("fluid", fluid.as_str());
            lint.advise(Code::LINT_SEALS, &tag, message, Phrase::new("lint-seals-help"));
        }
    }
}

/// Pressures that nobody can measure: chambers, pump lines, accumulators.
fn test_points(lint: &mut Lint) {
    let plan = lint.plan;
    let measured = |v: VolumeId| {
        plan.volumes[v.index()].fixed_pa.is_some() || plan.test_points.iter().any(|t| t.volume == v)
    };
    let mut wanted: Vec<(String, VolumeId, &'static str)> = Vec::new();
    for p in &plan.pistons {
        wanted.push((p.name.clone(), p.cap, "lint-unmeasured-cap"));
        wanted.push((p.name.clone(), p.rod, "lint-unmeasured-rod"));
    }
    for p in &plan.pumps {
        wanted.push((p.name.clone(), plan.flows[p.flow.index()].second, "lint-unmeasured-outlet"));
    }
    for a in &plan.accumulators {
        wanted.push((a.name.clone(), a.volume, "lint-unmeasured-oil"));
    }
    for (name, volume, id) in wanted {
        if !measured(volume) {
            let help = Phrase::new("lint-unmeasured-help");
            lint.advise(Code::LINT_TEST_POINT, &name, of(id, &name), help);
        }
    }
}
