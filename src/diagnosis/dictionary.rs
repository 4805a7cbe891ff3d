//! The fault dictionary of a bench: every credible single fault, simulated through the bench's
//! operating steps, against everything that can be measured or seen after each step.

use std::collections::BTreeMap;
use std::sync::Arc;

use rayon::prelude::*;

use crate::base::{NodeId, PistonId, VolumeId, WindingId};
use crate::fault::{Fault, apply, modes_of};
use crate::plant::{BranchRole, Plan, Plant, Probe};
use crate::session::{Action, Rig, Session, SessionConfig};

use super::matrix::{DiagnosisError, FaultMatrix, State, Test};

/// Prior of the sound machine. It only matters for tests that say "nothing is wrong".
const SOUND_PRIOR: f64 = 0.05;
/// Upper edges of the bands of a voltage, as a part of the supply's.
const VOLT_EDGES: [f64; 4] = [0.08, 0.5, 0.85, 1.15];
/// Upper edges of the bands of a coil current, as a part of the sound machine's largest.
const AMP_EDGES: [f64; 5] = [0.05, 0.5, 0.85, 1.2, 2.0];
/// Upper edges of the bands of a pressure, as a part of the sound machine's largest.
const BAR_EDGES: [f64; 5] = [0.05, 0.4, 0.8, 0.95, 1.05];
/// A coil that is this warm feels hot [degC].
const HOT: f64 = 60.0;

/// Something that can be measured or seen.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Point {
    Volts(NodeId, NodeId, f64),
    Amps(WindingId),
    Warm(WindingId),
    Bar(VolumeId),
    Lamp(usize),
    Rod(PistonId),
}

/// A fault dictionary.
#[derive(Clone, Debug)]
pub struct Dictionary {
    /// Faults against tests; state 0 is the sound machine.
    pub matrix: FaultMatrix,
    /// The faults, in the order of the states after the sound one.
    pub faults: Vec<Fault>,
    /// Tests before those that read the same under every fault were put together.
    pub tests_before: usize,
    /// Faults whose run could not be brought to its end, and why.
    pub failed: Vec<(String, String)>,
    /// The operating steps.
    pub steps: Vec<String>,
}

/// Simulates every credible single fault of `plan` through `actions`, at nominal values.
///
/// # Errors
/// When there is nothing to simulate or too much of it.
pub fn dictionary(plan: &Arc<Plan>, actions: &[Action]) -> Result<Dictionary, DiagnosisError> {
    let points = points(plan);
    let (steps, _) = split(actions);
    let sound = run(plan, actions, &points, None).map_err(|_| DiagnosisError::Empty)?;
    let scale = scales(&points, &sound);
    let faults = faults(plan);
    let runs: Vec<Result<Vec<Vec<f64>>, String>> =
        faults.par_iter().map(|(fault, _, _)| run(plan, actions, &points, Some(fault))).collect();
    let mut states = vec![State::new("sound", SOUND_PRIOR, "nothing")];
    let mut rows = vec![bands(&points, &scale, &sound)];
    let (mut kept, mut failed) = (Vec::new(), Vec::new());
    let mut weight = 0.0;
    let mut weights = Vec::new();
    for ((fault, name, prior), result) in faults.iter().zip(runs) {
        match result {
            Ok(readings) => {
                rows.push(bands(&points, &scale, &readings));
                states.push(State::new(name, *prior, &fault.part));
                kept.push(fault.clone());
                weights.push(*prior);
                weight += prior;
            }
            Err(why) => failed.push((name.clone(), why)),
        }
    }
    for (state, prior) in states.iter_mut().skip(1).zip(&weights) {
        state.prior = (1.0 - SOUND_PRIOR) * prior / weight;
    }
    // The sum may be off in the last bits: the last state takes the difference.
    let sum: f64 = states.iter().map(|s| s.prior).sum();
    if let Some(last) = states.last_mut() {
        last.prior += 1.0 - sum;
    }
    let (tests, outcomes, before) = columns(plan, &points, &steps, &rows);
    let matrix = FaultMatrix::new(states, tests, outcomes, true)?;
    Ok(Dictionary { matrix, faults: kept, tests_before: before, failed, steps })
}

/// Every credible single fault with its name and prior.
fn faults(plan: &Plan) -> Vec<(Fault, String, f64)> {
    let mut list = Vec::new();
    for (id, part) in plan.parts.iter().enumerate() {
        for (spec, role, _) in modes_of(plan, crate::base::PartId::new(id)) {
            let fault = Fault::new(&part.tag, spec.id).in_role(&role);
            let name = format!("{} {} {role}", part.tag, spec.id);
            list.push((fault, name, spec.prior));
        }
    }
    list.sort_by(|a, b| a.1.cmp(&b.1));
    list.dedup_by(|a, b| a.1 == b.1);
    list
}

/// Everything that can be measured or seen: every terminal against the second pole of its supply.
fn points(plan: &Plan) -> Vec<Point> {
    let mut list = Vec::new();
    let mut poles: BTreeMap<usize, (NodeId, f64)> = BTreeMap::new();
    for (id, branch) in plan.branches.iter().enumerate() {
        if branch.role == BranchRole::Source
            && let Some(network) = plan.network_of(branch.a)
        {
            poles.entry(network).or_insert((branch.b, plan.nominal.branches[id].volts));
        }
    }
    for part in &plan.parts {
        for (_, node) in &part.terminals {
            if let Some((pole, volts)) = plan.network_of(*node).and_then(|n| poles.get(&n))
                && node != pole
            {
                list.push(Point::Volts(*node, *pole, *volts));
            }
        }
    }
    for w in 0..plan.windings.len() {
        list.push(Point::Amps(WindingId::new(w)));
        list.push(Point::Warm(WindingId::new(w)));
    }
    list.extend(plan.test_points.iter().map(|t| Point::Bar(t.volume)));
    list.extend((0..plan.lamps.len()).map(Point::Lamp));
    list.extend((0..plan.pistons.len()).map(|p| Point::Rod(PistonId::new(p))));
    list
}

/// The steps of `actions`: what hands do, then the waiting after it. Gives their names and, for each
/// action, whether a step ends with it.
fn split(actions: &[Action]) -> (Vec<String>, Vec<bool>) {
    let mut ends = vec![false; actions.len()];
    let mut names = Vec::new();
    let mut here: Vec<String> = Vec::new();
    for (k, action) in actions.iter().enumerate() {
        if !matches!(action, Action::Wait { .. }) {
            here.push(action.to_string());
        }
        let last = k + 1 == actions.len();
        let next_is_new = !last && !matches!(actions[k + 1], Action::Wait { .. });
        let waited = matches!(action, Action::Wait { .. });
        if last || (waited && next_is_new) {
            ends[k] = true;
            names.push(format!("{}. {}", names.len() + 1, here.join(", ")));
            here.clear();
        }
    }
    (names, ends)
}

/// Readings of all points at the start and after each step.
fn run(
    plan: &Arc<Plan>,
    actions: &[Action],
    points: &[Point],
    fault: Option<&Fault>,
) -> Result<Vec<Vec<f64>>, String> {
    let mut plant = Plant::nominal(Arc::clone(plan));
    if let Some(fault) = fault {
        apply(&mut plant, fault).map_err(|e| e.to_string())?;
    }
    let mut session = Session::new(Rig::sound(plant), SessionConfig::default());
    let (_, ends) = split(actions);
    let mut all = Vec::new();
    for (action, ends) in actions.iter().zip(ends) {
        session.act(action.clone()).map_err(|e| e.to_string())?;
        if ends {
            all.push(points.iter().map(|p| look(&mut session, *p)).collect());
        }
    }
    Ok(all)
}

fn look(session: &mut Session, point: Point) -> f64 {
    match point {
        Point::Volts(a, b, _) => session.read(Probe::Volts(a, b)).abs(),
        Point::Amps(w) => session.read(Probe::WindingAmps(w)).abs(),
        Point::Warm(w) => session.read(Probe::Celsius(w)),
        Point::Bar(v) => session.read(Probe::Pressure(v)) / 1e5,
        Point::Lamp(k) => f64::from(u8::from(session.rig().plant().lit(k))),
        Point::Rod(p) => {
            let stroke = session.rig().plant().condition().pistons[p.index()].stroke_m;
            session.read(Probe::Piston(p)) / stroke
        }
    }
}

/// The largest sound reading of each point, which its bands are parts of.
fn scales(points: &[Point], sound: &[Vec<f64>]) -> Vec<f64> {
    (0..points.len())
        .map(|k| sound.iter().map(|row| row[k].abs()).fold(0.0, f64::max).max(1e-3))
        .collect()
}

/// Band of every reading, step after step.
fn bands(points: &[Point], scale: &[f64], readings: &[Vec<f64>]) -> Vec<u16> {
    let band = |edges: &[f64], value: f64| edges.iter().filter(|e| value > **e).count() as u16;
    readings
        .iter()
        .flat_map(|row| {
            points.iter().zip(scale).zip(row).map(|((point, scale), value)| match point {
                Point::Volts(_, _, volts) => band(&VOLT_EDGES, value / volts),
                Point::Amps(_) => band(&AMP_EDGES, value / scale),
                Point::Warm(_) => u16::from(*value > HOT),
                Point::Bar(_) if *scale < 3.0 => u16::from(*value > 3.0),
                Point::Bar(_) => band(&BAR_EDGES, value / scale),
                Point::Lamp(_) => u16::from(*value > 0.5),
                Point::Rod(_) => band(&[0.02, 0.98], *value),
            })
        })
        .collect()
}

/// Name of a point and its cost in bench time [s]; a gauge is charged with fitting it.
fn named(plan: &Plan, point: Point) -> (String, f64) {
    match point {
        Point::Volts(a, b, _) => {
            let name = |n: NodeId| plan.nodes[n.index()].name.as_str();
            (format!("volts {} {}", name(a), name(b)), 20.0)
        }
        Point::Amps(w) => (format!("clamp {}", plan.windings[w.index()].name), 20.0),
        Point::Warm(w) => (format!("feel {}", plan.windings[w.index()].name), 10.0),
        Point::Bar(v) => {
            let name = plan.test_points.iter().find(|t| t.volume == v).map(|t| t.name.as_str());
            (format!("gauge {}", name.unwrap_or("")), 60.0)
        }
        Point::Lamp(k) => (format!("look {}", plan.lamps[k].name), 5.0),
        Point::Rod(p) => (format!("look {}", plan.pistons[p.index()].name), 5.0),
    }
}

/// The tests that tell anything, each once: of those that read the same the cheapest, first one.
fn columns(
    plan: &Plan,
    points: &[Point],
    steps: &[String],
    rows: &[Vec<u16>],
) -> (Vec<Test>, Vec<Vec<u16>>, usize) {
    let mut kept: BTreeMap<Vec<u16>, (f64, usize)> = BTreeMap::new();
    let count = points.len() * steps.len();
    for column in 0..count {
        let reads: Vec<u16> = rows.iter().map(|row| row[column]).collect();
        if reads.iter().all(|r| *r == reads[0]) {
            continue;
        }
        let (_, cost) = named(plan, points[column % points.len()]);
        let entry = kept.entry(reads).or_insert((cost, column));
        if cost < entry.0 {
            *entry = (cost, column);
        }
    }
    let mut order: Vec<(usize, f64, Vec<u16>)> =
        kept.into_iter().map(|(reads, (cost, column))| (column, cost, reads)).collect();
    order.sort_by_key(|entry| entry.0);
    let tests = order
        .iter()
        .map(|(column, cost, _)| {
            let (name, _) = named(plan, points[column % points.len()]);
            Test::new(&format!("{name} after {}", steps[column / points.len()]), *cost)
        })
        .collect();
    let outcomes =
        (0..rows.len()).map(|row| order.iter().map(|entry| entry.2[row]).collect()).collect();
    (tests, outcomes, count)
}
