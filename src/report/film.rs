//! An attempt replayed once more and watched: traces for its plots, machines at key moments for its drawings.

use crate::base::{PistonId, SimTime, VolumeId, WindingId};
use crate::diagnosis::in_full;
use crate::plant::{Element, Plan, Probe};
use crate::quantity::Dimension;
use crate::scenario::Scenario;
use crate::session::{Action, Attempt, Rig, Sample, Session, Severity, Watch, read_journal};

/// Most lanes of a kind.
const LANES: usize = 8;
/// Samples are at most this far apart while the attempt is short.
const EVERY: SimTime = SimTime::from_millis(250);

/// What kind of quantity a trace shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Pressures at test points.
    Pressure,
    /// Positions of pistons.
    Position,
    /// Currents of solenoids.
    Current,
}

impl Kind {
    /// Its dimension.
    #[must_use]
    pub fn dimension(self) -> Dimension {
        match self {
            Kind::Pressure => Dimension::Pressure,
            Kind::Position => Dimension::Length,
            Kind::Current => Dimension::Current,
        }
    }
}

/// One quantity over the attempt.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// Kind.
    pub kind: Kind,
    /// Name of the place: a test point, a piston, a coil.
    pub name: String,
    /// Values [SI] at the times of the film.
    pub values: Vec<f64>,
}

/// Why a moment is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scene {
    /// The symptom: the machine when it was last driven before anything was mended or dangerous.
    Symptom,
    /// Somebody could have been hurt.
    Danger,
    /// Right before the first repair.
    BeforeRepair,
    /// At the end.
    End,
}

/// A fault that is in the machine.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// Tag of the part.
    pub part: String,
    /// Fault mode.
    pub mode: String,
    /// Where in the part.
    pub role: Option<String>,
}

/// The machine at a moment.
#[derive(Clone, Debug)]
pub struct Moment {
    /// When.
    pub at: SimTime,
    /// Why it is shown.
    pub scene: Scene,
    /// The action it follows, from 1; for [`Scene::BeforeRepair`] the one that comes next.
    pub action: usize,
    /// Faults that have come and were not mended.
    pub faults: Vec<Fault>,
    /// The machine, faults and all.
    pub rig: Rig,
}

/// An attempt, watched.
#[derive(Clone, Debug)]
pub struct Film {
    /// Times of the samples.
    pub times: Vec<SimTime>,
    /// The traces.
    pub traces: Vec<Trace>,
    /// When each action began.
    pub actions: Vec<SimTime>,
    /// Key moments in order.
    pub moments: Vec<Moment>,
    /// Digest of the machine at the end: the same as that of the grade.
    pub digest: String,
}

/// Watches the attempt in `bytes` at `scenario`; nothing if it cannot be repeated.
#[must_use]
pub fn film(scenario: &Scenario, bytes: &[u8]) -> Option<Film> {
    let attempt = read_journal(bytes, &scenario.config()).ok()?;
    let rig = scenario.rig(attempt.header.seed).ok()?;
    let plan = scenario.plan.as_ref();
    let subjects = subjects(plan);
    let probes = subjects.iter().map(|s| s.2).collect();
    let session = Session::new(rig, scenario.config()).watched(Watch::new(probes, EVERY));
    shoot(session, &attempt, &subjects)
}

fn shoot(
    mut session: Session,
    attempt: &Attempt,
    subjects: &[(Kind, String, Probe)],
) -> Option<Film> {
    let mut moments: Vec<Moment> = Vec::new();
    let mut mended: Vec<(SimTime, String)> = Vec::new();
    for (k, entry) in attempt.entries.iter().enumerate() {
        let mut keep = |scene, rig: &Rig, mended: &[(SimTime, String)]| {
            if moments.iter().all(|m| m.scene != scene) {
                moments.push(moment(scene, k + 1, rig, mended));
            }
        };
        let at = SimTime::from_nanos(entry.at);
        let mends = mends(&entry.action);
        if mends.is_some() {
            keep(Scene::BeforeRepair, session.rig(), &mended);
        }
        let outcome = session.act_at(at, entry.action.clone()).ok()?;
        if let Some(part) = mends {
            mended.push((session.now(), part.to_owned()));
        }
        if outcome.hazards.iter().any(|h| h.hazard.severity() == Severity::Critical) {
            keep(Scene::Danger, session.rig(), &mended);
        }
        // A button that is held drives the machine while it is looked at; the last one before anything
        // is mended or dangerous is where the search has come to.
        let held = matches!(entry.action, Action::Hold { .. } | Action::Both { .. });
        let operated = held || matches!(entry.action, Action::Press { .. });
        if operated && !outcome.seen.is_empty() {
            let early = moments.iter().all(|m| m.scene == Scene::Symptom);
            if held && early {
                moments.clear();
            }
            if moments.is_empty() {
                moments.push(moment(Scene::Symptom, k + 1, session.rig(), &mended));
            }
        }
    }
    // An attempt that was stopped as unsafe ends with that scene.
    if moments.iter().all(|m| m.scene != Scene::Danger || m.at < session.now()) {
        moments.push(moment(Scene::End, attempt.entries.len(), session.rig(), &mended));
    }
    moments.sort_by_key(|m| (m.at, m.scene));
    let actions = session.log().iter().map(|e| e.started).collect();
    let samples = session.take_watch().map_or_else(Vec::new, |w| w.samples);
    let digest = session.rig().plant().digest();
    Some(Film {
        times: samples.iter().map(|s: &Sample| s.at).collect(),
        traces: subjects
            .iter()
            .enumerate()
            .map(|(k, (kind, name, _))| Trace {
                kind: *kind,
                name: name.clone(),
                values: samples.iter().map(|s| s.values[k]).collect(),
            })
            .collect(),
        actions,
        moments,
        digest,
    })
}

fn moment(scene: Scene, action: usize, rig: &Rig, mended: &[(SimTime, String)]) -> Moment {
    let plan = rig.plant().plan();
    let mut faults: Vec<Fault> = rig
        .director()
        .injected()
        .into_iter()
        .filter_map(|f| {
            let part = plan.parts[f.part.index()].tag.clone();
            let gone = mended.iter().any(|(at, tag)| *at > f.at && *tag == part);
            let fault = in_full(plan, &f.fault);
            (!gone).then_some(Fault { part, mode: fault.mode, role: fault.role })
        })
        .collect();
    faults.dedup();
    Moment { at: rig.plant().now(), scene, action, faults, rig: rig.clone() }
}

/// The part that an action mends, if it does.
fn mends(action: &Action) -> Option<&str> {
    match action {
        Action::Replace { part }
        | Action::Repair { part }
        | Action::Clean { part }
        | Action::Adjust { part, .. }
        | Action::SwapPlugs { part } => Some(part),
        _ => None,
    }
}

/// What is worth a trace: pressures at test points, positions of pistons, currents of solenoids.
fn subjects(plan: &Plan) -> Vec<(Kind, String, Probe)> {
    let pressures = plan.test_points.iter().map(|t| {
        (Kind::Pressure, t.name.clone(), Probe::Pressure(VolumeId::new(t.volume.index())))
    });
    let positions = plan
        .pistons
        .iter()
        .enumerate()
        .map(|(k, p)| (Kind::Position, p.name.clone(), Probe::Piston(PistonId::new(k))));
    let solenoid = |k: usize| {
        plan.parts.iter().any(|part| {
            part.elements.iter().any(|e| e.1 == Element::Winding(WindingId::new(k)))
                && part.elements.iter().any(|e| matches!(e.1, Element::Spool(_)))
        })
    };
    let currents = plan
        .windings
        .iter()
        .enumerate()
        .filter(|(k, _)| solenoid(*k))
        .map(|(k, w)| (Kind::Current, w.name.clone(), Probe::WindingAmps(WindingId::new(k))));
    pressures.take(LANES).chain(positions.take(LANES)).chain(currents.take(LANES)).collect()
}
