//! The fault dictionary of a bench: every credible single fault, simulated through the bench's
//! operating steps, against everything that can be measured or seen after each step.

use std::collections::BTreeMap;
use std::sync::Arc;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::base::{NodeId, PartId, PistonId, SimTime, VolumeId, WindingId};
use crate::fault::{Fault, apply};
use crate::fluid::FlowLaw;
use crate::language::Phrase;
use crate::plant::{BranchRole, Element, Plan, PlanBuilder, Plant, Probe};
use crate::session::{Action, Cost, Rig, STEP_LIMIT, Session, SessionConfig, Tool};

use super::hypothesis::Hypothesis;
use super::matrix::{DiagnosisError, FaultMatrix, State, Test};
use super::measure::Pair;

/// Upper edges of the bands of a voltage, as a part of the supply's.
const VOLT_EDGES: [f64; 4] = [0.08, 0.5, 0.85, 1.15];
/// Upper edges of the bands of a coil current, as a part of the sound machine's largest.
const AMP_EDGES: [f64; 5] = [0.05, 0.5, 0.85, 1.2, 2.0];
/// Upper edges of the bands of a pressure, as a part of the sound machine's largest.
const BAR_EDGES: [f64; 5] = [0.05, 0.4, 0.8, 0.95, 1.05];
/// A coil that is this warm feels hot [degC].
const HOT: f64 = 60.0;
/// Upper edges of the bands of a resistance, as a part of the sound machine's; what is below the
/// first resistance counts as that, what is above the second as no path [ohm].
const OHM_EDGES: [f64; 5] = [0.3, 0.7, 1.5, 10.0, 1_000.0];
const OHM_SHORT: f64 = 1.0;
const OHM_OPEN: f64 = 4e5;
/// Integration steps that a suspect may take: these, and so many times the sound machine's. What
/// chatters all the time takes more, and is listed as not simulated.
const LEAST_STEPS: u64 = 20_000;
const STEPS_OVER_SOUND: u64 = 10;
/// How long an isolated machine is left before it is measured dead.
const DEAD_AFTER: SimTime = SimTime::from_secs(10);

/// Something that can be measured or seen.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Point {
    Volts(NodeId, NodeId, f64),
    Amps(WindingId),
    Warm(WindingId),
    Bar(VolumeId),
    Lamp(usize),
    Rod(PistonId),
    /// Whether something rushes through it.
    Rushes(PartId),
    /// Resistance, on the isolated machine.
    Ohms(NodeId, NodeId),
}

impl Point {
    fn tool(self) -> Option<Tool> {
        match self {
            Point::Volts(..) | Point::Ohms(..) => Some(Tool::Multimeter),
            Point::Amps(_) => Some(Tool::Clamp),
            Point::Bar(_) => Some(Tool::Gauges),
            Point::Warm(_) | Point::Lamp(_) | Point::Rod(_) | Point::Rushes(_) => None,
        }
    }
}

/// A fault dictionary.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Dictionary {
    /// Faults against tests; state 0 is the sound machine.
    pub matrix: FaultMatrix,
    /// Tests before those that read the same under every fault were put together.
    pub tests_before: usize,
    /// Tests that read as another one under every fault, with the one that was kept; the cheaper.
    pub redundant: Vec<(String, String)>,
    /// Tests that read the same whatever is wrong.
    pub idle: Vec<String>,
    /// Faults whose run could not be brought to its end, and why.
    pub failed: Vec<(String, Phrase)>,
    /// The operating steps.
    pub steps: Vec<String>,
    /// States that are authored pairs.
    pub pairs: Vec<Pair>,
}

/// What a dictionary is made of.
#[derive(Clone, Copy, Debug)]
pub struct Survey<'a> {
    /// The machine.
    pub plan: &'a Arc<Plan>,
    /// What is done with it, step by step.
    pub actions: &'a [Action],
    /// Tools that may be used.
    pub tools: &'a std::collections::BTreeSet<Tool>,
    /// The sound machine, single faults and pairs.
    pub suspects: &'a [Hypothesis],
    /// Measure the isolated machine as well, and charge every test with what brings the machine
    /// into its state; otherwise a test costs its own time only.
    pub setup: bool,
}

impl Survey<'_> {
    /// Digest of what the sound machine does in the steps; empty where it cannot be run.
    #[must_use]
    pub fn sound_digest(&self) -> String {
        let plant = Plant::nominal(Arc::clone(self.plan));
        let mut session = Session::new(Rig::sound(plant), SessionConfig::default());
        for action in self.actions {
            if session.act(action.clone()).is_err() {
                return String::new();
            }
        }
        session.rig().plant().digest()
    }
}

impl Dictionary {
    /// Whether it could have been worked out: for one that comes from a file.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        let states = self.matrix.states().len();
        self.matrix.is_whole()
            && self.pairs.iter().all(|p| {
                p.first < states && p.second < states && p.row.len() == self.matrix.tests().len()
            })
    }
}

/// Without a functional test: every button pressed for a while, one after another.
#[must_use]
pub fn usual_steps(plan: &Plan) -> Vec<Action> {
    let mut list = Vec::new();
    for part in plan.parts.iter().filter(|p| p.class == "PushButton") {
        list.push(Action::Hold { part: part.tag.clone() });
        list.push(Action::Wait { ns: 3_000_000_000 });
        list.push(Action::Release { part: part.tag.clone() });
        list.push(Action::Wait { ns: 2_000_000_000 });
    }
    list
}

/// Simulates every suspect through the actions, at nominal values; then the machine is isolated and
/// its resistances are measured.
///
/// A test costs its own time and that of bringing the machine into its state: of the operating step
/// before it, or of isolating.
///
/// # Errors
/// When there is nothing to simulate or too much of it.
pub fn dictionary(survey: &Survey) -> Result<Dictionary, DiagnosisError> {
    let plan = survey.plan;
    let allowed = |p: &Point| p.tool().is_none_or(|tool| survey.tools.contains(&tool));
    let points: Vec<Point> = points(plan).into_iter().filter(allowed).collect();
    let mut dead: Vec<Point> = dead_points(plan).into_iter().filter(allowed).collect();
    if !survey.setup {
        dead.clear();
    }
    let (mut steps, _) = split(survey.actions);
    let sound = run(survey, &points, &dead, &[], STEP_LIMIT).map_err(|_| DiagnosisError::Empty)?;
    if sound.left.is_some() {
        return Err(DiagnosisError::Empty);
    }
    let limit = LEAST_STEPS + STEPS_OVER_SOUND * sound.steps;
    let scale = scales(&points, &sound.live);
    let runs: Vec<Result<Run, Phrase>> = survey
        .suspects
        .par_iter()
        .map(|suspect| run(survey, &points, &dead, &suspect.faults, limit))
        .collect();
    let (mut states, mut rows, mut failed) = (Vec::new(), Vec::new(), Vec::new());
    for (suspect, result) in survey.suspects.iter().zip(runs) {
        match result {
            Ok(found) => {
                if let Some(why) = &found.left {
                    let left = Phrase::new("testability-left").with("why", why.clone());
                    failed.push((suspect.name.clone(), left));
                }
                let mut row = bands(&points, &scale, &found.live);
                row.extend(dead_bands(&sound.dead, &found.dead));
                rows.push(row);
                states.push(State::new(&suspect.name, suspect.prior, &suspect.repair));
            }
            Err(why) => failed.push((suspect.name.clone(), why)),
        }
    }
    let sum: f64 = states.iter().map(|s| s.prior).sum();
    for state in &mut states {
        state.prior /= sum;
    }
    let charge: Vec<f64> =
        sound.took.iter().map(|t| if survey.setup { t.as_secs_f64() } else { 0.0 }).collect();
    let mut columns = Vec::new();
    for (step, name) in steps.iter().enumerate() {
        for &point in &points {
            let (what, own) = named(plan, point);
            columns.push((format!("{what} after {name}"), own + charge[step]));
        }
    }
    let isolating: f64 = [Cost::Isolate, Cost::Lock, Cost::Tag, Cost::Try, Cost::Prove]
        .iter()
        .map(|cost| f64::from(cost.usual_s()))
        .sum();
    if !dead.is_empty() {
        steps.push("isolated and locked".to_owned());
    }
    for &point in &dead {
        let (what, own) = named(plan, point);
        columns.push((format!("{what}, isolated"), own + isolating));
    }
    let kept = sift(columns, &rows);
    let outcomes = rows.iter().map(|row| kept.columns.iter().map(|&c| row[c]).collect()).collect();
    let matrix = FaultMatrix::new(states, kept.tests, outcomes, true)?;
    let mut pairs = Vec::new();
    for suspect in survey.suspects.iter().filter(|s| s.faults.len() == 2) {
        let at = |name: &str| matrix.states().iter().position(|s| s.name == name);
        let alone = |f: &Fault| at(&Hypothesis::of(vec![f.clone()], 1.0).name);
        if let (Some(first), Some(second), Some(both)) =
            (alone(&suspect.faults[0]), alone(&suspect.faults[1]), at(&suspect.name))
        {
            pairs.push(Pair { first, second, row: matrix.row(both).to_vec() });
        }
    }
    let (tests_before, redundant, idle) = (kept.before, kept.redundant, kept.idle);
    Ok(Dictionary { matrix, tests_before, redundant, idle, failed, steps, pairs })
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
    let relieves = |element: &Element| match element {
        Element::Flow(f) => matches!(plan.nominal.flows[f.index()], FlowLaw::Relief(_)),
        _ => false,
    };
    let valves = (0..plan.parts.len())
        .filter(|&k| plan.parts[k].elements.iter().any(|(_, element)| relieves(element)));
    list.extend(valves.map(|k| Point::Rushes(PartId::new(k))));
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

/// Readings of one run.
struct Run {
    /// Of all points after each step.
    live: Vec<Vec<f64>>,
    /// How long each step took.
    took: Vec<SimTime>,
    /// Of the dead machine.
    dead: Vec<f64>,
    /// Integration steps.
    steps: u64,
    /// Why it was not followed to the end, when most of it was.
    left: Option<Phrase>,
}

fn run(
    survey: &Survey,
    points: &[Point],
    dead: &[Point],
    faults: &[Fault],
    limit: u64,
) -> Result<Run, Phrase> {
    let mut plant = Plant::nominal(Arc::clone(survey.plan));
    for fault in faults {
        apply(&mut plant, fault).map_err(|e| e.phrase())?;
    }
    let rig = Rig::sound(plant.clone()).limited(limit);
    let mut session = Session::new(rig, SessionConfig::default());
    let (names, ends) = split(survey.actions);
    let mut found =
        Run { live: Vec::new(), took: Vec::new(), dead: Vec::new(), steps: 0, left: None };
    let mut began = session.now();
    for (action, ends) in survey.actions.iter().zip(ends) {
        if found.left.is_none()
            && let Err(problem) = session.act(action.clone())
        {
            if found.live.len() * 2 <= names.len() {
                return Err(problem.phrase());
            }
            found.left = Some(problem.phrase());
        }
        if ends {
            found.live.push(points.iter().map(|p| look(&mut session, *p)).collect());
            found.took.push(session.now().saturating_sub(began));
            began = session.now();
        }
    }
    let work = session.rig().plant().work();
    found.steps = work.steps + work.rejected;
    if found.left.is_some() {
        // It cannot go on, so another one is measured dead.
        session = Session::new(Rig::sound(plant).limited(limit), SessionConfig::default());
    }
    if !dead.is_empty() {
        for part in &survey.plan.parts {
            // Every other part refuses, and nothing has changed then.
            let _ = session.act(Action::Isolate { part: part.tag.clone() });
        }
        let until = session.now() + DEAD_AFTER;
        session.idle(until).map_err(|e| e.phrase())?;
        found.dead = dead.iter().map(|p| look(&mut session, *p)).collect();
    }
    Ok(found)
}

/// Where an ohmmeter goes: across every element, and from every winding to earth.
fn dead_points(plan: &Plan) -> Vec<Point> {
    let mut list = Vec::new();
    for branch in &plan.branches {
        if matches!(
            branch.role,
            BranchRole::Wire
                | BranchRole::Contact(_)
                | BranchRole::Fuse(_)
                | BranchRole::Lamp
                | BranchRole::Resistor
        ) {
            list.push(Point::Ohms(branch.a, branch.b));
        }
    }
    for winding in &plan.windings {
        list.push(Point::Ohms(winding.a, winding.b));
        list.push(Point::Ohms(winding.a, PlanBuilder::EARTH));
    }
    let key = |p: &Point| match *p {
        Point::Ohms(a, b) => (a.min(b), a.max(b)),
        _ => (PlanBuilder::EARTH, PlanBuilder::EARTH),
    };
    // Two elements may lie between the same two points.
    let mut seen = std::collections::BTreeSet::new();
    list.retain(|p| seen.insert(key(p)));
    list
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
        Point::Rushes(part) => f64::from(u8::from(session.rushes(part))),
        Point::Ohms(a, b) => session.ohms(a, b),
    }
}

/// Bands of the resistances of a dead machine against the sound one's.
fn dead_bands(sound: &[f64], found: &[f64]) -> Vec<u16> {
    let held = |ohm: f64| ohm.clamp(OHM_SHORT, OHM_OPEN);
    sound
        .iter()
        .zip(found)
        .map(|(s, v)| OHM_EDGES.iter().filter(|e| held(*v) / held(*s) > **e).count() as u16)
        .collect()
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
                Point::Lamp(_) | Point::Rushes(_) => u16::from(*value > 0.5),
                Point::Rod(_) => band(&[0.02, 0.98], *value),
                Point::Ohms(..) => 0,
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
        Point::Rushes(part) => (format!("listen {}", plan.parts[part.index()].tag), 10.0),
        Point::Ohms(a, b) => {
            let name = |n: NodeId| plan.nodes[n.index()].name.as_str();
            (format!("ohms {} {}", name(a), name(b)), 30.0)
        }
    }
}

/// The tests that tell anything, each once.
struct Kept {
    tests: Vec<Test>,
    /// Which columns they are.
    columns: Vec<usize>,
    before: usize,
    redundant: Vec<(String, String)>,
    idle: Vec<String>,
}

/// Of tests that read the same under every fault, the cheapest, first one stays.
fn sift(columns: Vec<(String, f64)>, rows: &[Vec<u16>]) -> Kept {
    let before = columns.len();
    let mut best: BTreeMap<Vec<u16>, usize> = BTreeMap::new();
    let mut idle = Vec::new();
    let mut reads_of = Vec::with_capacity(before);
    for column in 0..before {
        let reads: Vec<u16> = rows.iter().map(|row| row[column]).collect();
        if reads.iter().all(|r| *r == reads[0]) {
            idle.push(columns[column].0.clone());
            reads_of.push(None);
            continue;
        }
        let entry = best.entry(reads.clone()).or_insert(column);
        if columns[column].1 < columns[*entry].1 {
            *entry = column;
        }
        reads_of.push(Some(reads));
    }
    let mut redundant = Vec::new();
    for (column, reads) in reads_of.iter().enumerate() {
        if let Some(kept) = reads.as_ref().and_then(|r| best.get(r))
            && *kept != column
        {
            redundant.push((columns[column].0.clone(), columns[*kept].0.clone()));
        }
    }
    let mut kept: Vec<usize> = best.into_values().collect();
    kept.sort_unstable();
    let tests = kept.iter().map(|&c| Test::new(&columns[c].0, columns[c].1)).collect();
    Kept { tests, columns: kept, before, redundant, idle }
}
