//! The continuous model: rates of all states, and their Jacobian, stamped branch by branch.
//!
//! State units: flux linkage [V s], winding temperature [degC], fuse heat [A2s], spool position [1],
//! pump speed [1/s], piston position [m], pressure [Pa gauge; near vacuum see
//! [`crate::fluid::Medium::pressure`]].

use std::sync::Arc;

use crate::base::{
    BranchId, FuseId, OperatorId, OverloadId, PistonId, SimTime, SpoolId, WindingId,
};
use crate::electric::{AcPorts, Complex64, DcPorts, WindingMake};
use crate::kernel::{Matrix, System};
use crate::plc::Memory;
use crate::shift::{Hand, SETTLED};

mod accumulator;
mod amplifier;
mod power;
mod reduced;

use self::reduced::{Branch, Reduced};
use super::condition::{Condition, OVERLOAD_HOLDS, TransformerMake, Trigger};
use super::plan::{BranchRole, Current, Leg, Moves, NO_STATE, Plan, Tie, Watch, WindingPlan};

/// An interrupted winding still has this resistance [ohm].
const BROKEN_OHM: f64 = 1e8;

/// An operator's moment-to-moment state.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct OperatorStatus {
    /// Its trigger calls for action.
    pub acting: bool,
    /// Its normally closed contacts have opened.
    pub broken: bool,
    /// Its normally open contacts have closed.
    pub made: bool,
    /// Counts changes of mind, so that a stale transfer is ignored.
    pub generation: u32,
    /// Pulses counted, if it is a counter's output.
    pub count: u32,
    /// When the first of two hands came, if it is a two-hand control's output that may still start.
    pub first: Option<SimTime>,
}

/// A rectifier as it stands: its straight line through the working point.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct RectifierStatus {
    /// Open voltage [V].
    pub open_v: f64,
    /// Inner conductance [S].
    pub siemens: f64,
    /// Conductance that the alternating-current side shows [S].
    pub load_siemens: f64,
}

/// All discrete state of a run but the event queue.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Status {
    pub operators: Vec<OperatorStatus>,
    pub blown: Vec<bool>,
    pub burnt: Vec<bool>,
    pub hands: Vec<Hand>,
    /// Position a spool has settled in (-1, 0, +1), if any.
    pub spool_at: Vec<Option<i8>>,
    /// End a piston stands at: false retracted, true extended.
    pub piston_at: Vec<Option<bool>>,
    pub lamps: Vec<bool>,
    pub pumps: Vec<bool>,
    pub plcs: Vec<PlcStatus>,
    pub rectifiers: Vec<RectifierStatus>,
    pub amplifiers: Vec<AmplifierStatus>,
}

/// An amplifier's moment-to-moment state.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct AmplifierStatus {
    /// It has its supply.
    pub on: bool,
    /// What the last call asked for [1 or m].
    pub target: f64,
}

/// A controller's moment-to-moment state.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct PlcStatus {
    /// It has its supply and runs.
    pub on: bool,
    pub memory: Memory,
    pub inputs: Vec<bool>,
    /// What the last scan wants of the outputs.
    pub wants: Vec<bool>,
}

#[derive(Clone, Debug)]
pub(crate) enum NetworkLive {
    /// Copies of a run share what seldom changes.
    Dc {
        net: Arc<Reduced<f64>>,
        ports: DcPorts,
    },
    Ac {
        net: Arc<Reduced<Complex64>>,
        ports: AcPorts,
    },
}

/// Everything derived from plan, condition and status that is kept between evaluations.
#[derive(Clone, Debug)]
pub(crate) struct Live {
    pub networks: Vec<NetworkLive>,
    /// Winding current [A], signed for direct current, root-mean-square for alternating.
    pub winding_a: Vec<f64>,
    /// Winding currents for the guards alone [A].
    guarded_a: Vec<f64>,
    /// Flux linkage squared [V2s2].
    pub linkage2: Vec<f64>,
    /// Fuse current [A], as for windings.
    pub fuse_a: Vec<f64>,
    scratch_a: Vec<f64>,
    scratch_ohm: Vec<Complex64>,
    /// Of each winding on alternating current; valid where slopes are.
    levers: Vec<Lever>,
    flow_sum: Vec<f64>,
    /// How much thinner the oil is than authored [1], and its slope to the temperature [1/K].
    thin: (f64, f64),
    spare: Vec<f64>,
    capacity: Vec<(f64, f64, f64)>,
    /// The electrical states of the last evaluation, so that an unchanged side is not solved again.
    memo: Vec<f64>,
    memo_slopes: bool,
    memo_valid: bool,
}

/// Takes Jacobian entries; the order in which they come never depends on the state.
trait Sink {
    const SLOPES: bool;
    fn at(&mut self, row: usize, column: usize, value: f64);
}

struct NoSlopes;
impl Sink for NoSlopes {
    const SLOPES: bool = false;
    fn at(&mut self, _: usize, _: usize, _: f64) {}
}

struct Recorder(Vec<(usize, usize)>);
impl Sink for Recorder {
    const SLOPES: bool = true;
    fn at(&mut self, row: usize, column: usize, _: f64) {
        if row != NO_STATE && column != NO_STATE {
            self.0.push((row, column));
        }
    }
}

struct Stamper<'a> {
    matrix: &'a mut Matrix,
    slots: &'a [usize],
    next: usize,
}
impl Sink for Stamper<'_> {
    const SLOPES: bool = true;
    #[inline]
    fn at(&mut self, row: usize, column: usize, value: f64) {
        if row != NO_STATE && column != NO_STATE {
            self.matrix.add(self.slots[self.next], value);
            self.next += 1;
        }
    }
}

/// The places of all Jacobian entries of `plan`, in the order in which the model gives them.
pub(crate) fn entries(plan: &Plan) -> Vec<(usize, usize)> {
    let status = Status::new(plan);
    let mut live = Live::new(plan);
    live.refresh(plan, &plan.nominal, &status);
    let mut recorder = Recorder(Vec::new());
    let mut rates = vec![0.0; plan.state_count];
    let y = plan.initial.clone();
    let mut model = Model { plan, actual: &plan.nominal, status: &status, live: &mut live };
    model.evaluate(&y, &mut rates, &mut recorder);
    recorder.0
}

impl Status {
    pub fn new(plan: &Plan) -> Self {
        Status {
            operators: plan
                .operators
                .iter()
                .map(|o| OperatorStatus {
                    acting: o.initially,
                    broken: o.initially,
                    made: o.initially,
                    generation: 0,
                    count: 0,
                    first: None,
                })
                .collect(),
            blown: vec![false; plan.fuses.len()],
            burnt: vec![false; plan.windings.len()],
            hands: vec![Hand::Off; plan.spools.len()],
            spool_at: vec![None; plan.spools.len()],
            piston_at: vec![None; plan.pistons.len()],
            lamps: vec![false; plan.lamps.len()],
            pumps: vec![false; plan.pumps.len()],
            rectifiers: vec![RectifierStatus::default(); plan.rectifiers.len()],
            amplifiers: vec![AmplifierStatus::default(); plan.amplifiers.len()],
            plcs: plan
                .plcs
                .iter()
                .map(|p| PlcStatus {
                    on: false,
                    memory: p.program.memory(),
                    inputs: vec![false; p.inputs.len()],
                    wants: vec![false; p.outputs.len()],
                })
                .collect(),
        }
    }

    /// Gap of the armature of winding `w` [1] and its derivative to its spool's position.
    fn gap(&self, plan: &Plan, actual: &Condition, w: usize, y: &[f64]) -> (f64, f64, usize) {
        match plan.windings[w].moves {
            Moves::Relay(operator) => {
                (if self.operators[operator.index()].made { 0.0 } else { 1.0 }, 0.0, NO_STATE)
            }
            Moves::Unlatch(operator) => {
                (if self.operators[operator.index()].made { 1.0 } else { 0.0 }, 0.0, NO_STATE)
            }
            Moves::Spool(spool, towards_a) => {
                let state = plan.spools[spool.index()].state;
                let side = side_of(actual, spool, towards_a);
                let (gap, per_x) = actual.spools[spool.index()].gap(side, y[state]);
                (gap, per_x, state)
            }
            Moves::Nothing => (1.0, 0.0, NO_STATE),
        }
    }
}

/// What the electrics of a winding depend on: its linkage, its temperature, its armature's position.
fn control_states(plan: &Plan, winding: &WindingPlan) -> [usize; 3] {
    let gap = match winding.moves {
        Moves::Spool(s, _) => plan.spools[s.index()].state,
        _ => NO_STATE,
    };
    [winding.linkage, winding.heat, gap]
}

/// A change of temperature [K] that changes no current by more than [`FAR_FROM_EDGE`]: copper gains
/// 0.4 % a kelvin, and no more than that comes of it at each winding of a network.
const KELVIN_APART: f64 = 0.25;
/// A current is far from a switching one when it differs by more than this share of it [1].
const FAR_FROM_EDGE: f64 = 0.05;

/// +1 for the coil that pushes towards +1. Swapped plugs feed the other coil: electrically each
/// winding stays where it is wired, and pushes the other way.
fn side_of(actual: &Condition, spool: SpoolId, towards_a: bool) -> f64 {
    if towards_a != actual.plugs_swapped[spool.index()] { 1.0 } else { -1.0 }
}

impl Live {
    pub fn new(plan: &Plan) -> Self {
        let networks = plan
            .networks
            .iter()
            .map(|n| match n.current {
                Current::Dc => NetworkLive::Dc { net: Arc::default(), ports: DcPorts::default() },
                Current::Ac { .. } => {
                    NetworkLive::Ac { net: Arc::default(), ports: AcPorts::default() }
                }
            })
            .collect();
        Live {
            networks,
            winding_a: vec![0.0; plan.windings.len()],
            guarded_a: vec![0.0; plan.windings.len()],
            linkage2: vec![0.0; plan.windings.len()],
            fuse_a: vec![0.0; plan.fuses.len()],
            scratch_a: Vec::new(),
            scratch_ohm: Vec::new(),
            levers: vec![Lever::default(); plan.windings.len()],
            flow_sum: vec![0.0; plan.volumes.len()],
            thin: (1.0, 0.0),
            spare: Vec::new(),
            capacity: vec![(0.0, 0.0, 0.0); plan.volumes.len()],
            memo: Vec::new(),
            memo_slopes: false,
            memo_valid: false,
        }
    }

    /// Reduces every network again after a contact, a wire, a source or a fuse has changed.
    pub fn refresh(&mut self, plan: &Plan, actual: &Condition, status: &Status) {
        self.memo_valid = false;
        for (network, live) in plan.networks.iter().zip(&mut self.networks) {
            let id = |k: usize| network.branches[k].index();
            let local = |branch: BranchId| plan.branches[branch.index()].local;
            let fuses = network.fuses.iter().map(|f| local(plan.fuses[f.index()].branch));
            let lamps = network.lamps.iter().map(|l| local(plan.lamps[*l].branch));
            match live {
                NetworkLive::Dc { net, .. } => {
                    let branch = |k: usize| Branch {
                        admittance: conductance(plan, actual, status, id(k)),
                        own: own_conductance(plan, actual, status, id(k)),
                        volts: source_volts(plan, actual, status, id(k)),
                    };
                    if !net.holds(network, branch) {
                        Arc::make_mut(net).refresh(network, fuses, lamps, branch);
                    }
                }
                NetworkLive::Ac { net, .. } => {
                    let Current::Ac { omega } = network.current else { continue };
                    let own = |k: usize| own_conductance(plan, actual, status, id(k));
                    let branch = |k: usize| Branch {
                        admittance: admittance(plan, actual, status, id(k), omega),
                        own: Complex64::new(own(k), 0.0),
                        volts: source_volts(plan, actual, status, id(k)),
                    };
                    if !net.holds(network, branch) {
                        Arc::make_mut(net).refresh(network, fuses, lamps, branch);
                    }
                }
            }
        }
    }
}

/// Voltage [V] of the source in branch `id`, as it stands.
pub(crate) fn source_volts(plan: &Plan, actual: &Condition, status: &Status, id: usize) -> f64 {
    match plan.branches[id].role {
        BranchRole::Feed(r) => status.rectifiers[r.index()].open_v,
        _ => actual.branches[id].volts,
    }
}

/// Admittance [S] of one leg of a transformer at `omega` [rad/s]. With n the turns ratio and y the
/// series admittance seen from the primary, the currents into the four ends are y c c' v with
/// c = (1, -1, -1/n, 1/n): the equivalent circuit of any machine text (derived).
fn leg_admittance(make: &TransformerMake, leg: Leg, omega: f64) -> Complex64 {
    let whole = make.primary_ohm.is_finite() && make.secondary_ohm.is_finite();
    let n = make.ratio;
    let series = make.primary_ohm + make.secondary_ohm / (n * n);
    let y = if whole {
        Complex64::new(1.0, 0.0) / Complex64::new(series, omega * make.leakage_henry)
    } else {
        Complex64::default()
    };
    match leg {
        Leg::Primary if make.primary_ohm.is_finite() => {
            y + Complex64::new(1.0 / make.iron_ohm, -1.0 / (omega * make.magnetising_henry))
        }
        Leg::Primary => Complex64::default(),
        Leg::Secondary => y / (n * n),
        Leg::Like => y / n,
        Leg::Unlike => -y / n,
    }
}

/// Admittance [S] of branch `id` as it stands, at angular frequency `omega` [rad/s].
pub(crate) fn admittance(
    plan: &Plan,
    actual: &Condition,
    status: &Status,
    id: usize,
    omega: f64,
) -> Complex64 {
    let make = actual.branches[id];
    if let BranchRole::Transformer(t, leg) = plan.branches[id].role {
        return leg_admittance(&actual.transformers[t.index()], leg, omega);
    }
    if make.farad > 0.0 && make.ohm.is_finite() {
        return Complex64::new(1.0, 0.0) / Complex64::new(make.ohm, -1.0 / (omega * make.farad));
    }
    Complex64::new(conductance(plan, actual, status, id), 0.0)
}

/// Conductance [S] of branch `id` as it stands; capacitors do not conduct.
pub(crate) fn conductance(plan: &Plan, actual: &Condition, status: &Status, id: usize) -> f64 {
    let lead = if actual.jumpers[id] { 1.0 / JUMPER_OHM } else { 0.0 };
    own_conductance(plan, actual, status, id) + lead
}

/// Resistance of a jumper lead with its clips [ohm].
const JUMPER_OHM: f64 = 0.02;

/// Conductance [S] of branch `id` without a lead across it.
fn own_conductance(plan: &Plan, actual: &Condition, status: &Status, id: usize) -> f64 {
    let branch = &plan.branches[id];
    if let Some(operator) = branch.behind
        && !status.operators[operator.index()].made
    {
        return 0.0;
    }
    if actual.branches[id].farad > 0.0 {
        return 0.0;
    }
    match branch.role {
        // Direct current sees the copper of each winding alone.
        BranchRole::Transformer(t, leg) => {
            let make = &actual.transformers[t.index()];
            return match leg {
                Leg::Primary => 1.0 / make.primary_ohm,
                Leg::Secondary => 1.0 / make.secondary_ohm,
                Leg::Like | Leg::Unlike => 0.0,
            };
        }
        BranchRole::Load(r) => return status.rectifiers[r.index()].load_siemens,
        BranchRole::Feed(r) => return status.rectifiers[r.index()].siemens,
        _ => {}
    }
    let mut ohm = actual.branches[id].ohm;
    match branch.role {
        BranchRole::Contact(contact) => {
            if !contact_closed(plan, actual, status, contact.index()) {
                return 0.0;
            }
            ohm += actual.contacts[contact.index()].ohm;
        }
        BranchRole::Fuse(fuse) if status.blown[fuse.index()] => return 0.0,
        BranchRole::Iron(w) if actual.windings[w.index()].open || status.burnt[w.index()] => {
            return 0.0;
        }
        _ => {}
    }
    if ohm.is_finite() { 1.0 / ohm.max(1e-4) } else { 0.0 }
}

/// Whether contact `id` conducts.
pub(crate) fn contact_closed(plan: &Plan, actual: &Condition, status: &Status, id: usize) -> bool {
    use super::condition::ContactFault;
    match actual.contacts[id].fault {
        ContactFault::AlwaysClosed => true,
        ContactFault::AlwaysOpen => false,
        ContactFault::Welded => {
            let contact = &plan.contacts[id];
            !(contact.direct && status.operators[contact.operator.index()].broken)
        }
        ContactFault::Sound => {
            let contact = &plan.contacts[id];
            let operator = &status.operators[contact.operator.index()];
            if contact.normally_closed { !operator.broken } else { operator.made }
        }
    }
}

/// The model of one run at one discrete state.
pub(crate) struct Model<'a> {
    pub plan: &'a Plan,
    pub actual: &'a Condition,
    pub status: &'a Status,
    pub live: &'a mut Live,
}

impl Model<'_> {
    /// Solves all networks at `y`: winding and fuse currents, flux linkages.
    pub fn electrics(&mut self, y: &[f64], slopes: bool) {
        let plan = self.plan;
        let live = &mut *self.live;
        // What the control side depends on: linkages, temperatures, spool positions.
        let same = live.memo_valid && {
            let mut at = 0;
            let mut same = true;
            for w in &plan.windings {
                for state in control_states(plan, w) {
                    if state != NO_STATE {
                        same &= live.memo[at].to_bits() == y[state].to_bits();
                        at += 1;
                    }
                }
            }
            same
        };
        if same {
            if slopes && !live.memo_slopes {
                live.memo_slopes = true;
                self.slopes(y);
            }
            return;
        }
        live.memo.clear();
        for w in &plan.windings {
            for state in control_states(plan, w) {
                if state != NO_STATE {
                    live.memo.push(y[state]);
                }
            }
        }
        live.memo_slopes = slopes;
        live.memo_valid = true;
        for (network, solved) in plan.networks.iter().zip(&mut live.networks) {
            match solved {
                NetworkLive::Dc { net, ports } => {
                    let view = &net.view;
                    live.scratch_a.clear();
                    for id in &network.windings {
                        let w = id.index();
                        let linkage = y[plan.windings[w].linkage];
                        let (gap, _, _) = self.status.gap(plan, self.actual, w, y);
                        let i = linkage * self.actual.windings[w].inverse_henry(gap).0;
                        live.winding_a[w] = i;
                        live.linkage2[w] = linkage * linkage;
                        live.scratch_a.push(i);
                    }
                    let suppressors = SuppressorView { actual: self.actual, network };
                    ports.refresh(view, &live.scratch_a, |k| suppressors.of(k));
                    let n = network.windings.len();
                    for (row, id) in network.fuses.iter().enumerate() {
                        let mut i = view.watched_open[row];
                        for (k, through) in ports.port_currents().iter().enumerate() {
                            i += view.watched_gain[row * n + k] * through;
                        }
                        live.fuse_a[id.index()] = i;
                    }
                }
                NetworkLive::Ac { net, ports } => {
                    let view = &net.view;
                    let Current::Ac { omega } = network.current else {
                        continue;
                    };
                    live.scratch_ohm.clear();
                    for id in &network.windings {
                        let w = id.index();
                        let (ohm, _) =
                            resistance_at(self.actual, self.status, w, y[plan.windings[w].heat]);
                        let (gap, _, _) = self.status.gap(plan, self.actual, w, y);
                        let react = reactance(&self.actual.windings[w], gap, omega);
                        live.scratch_ohm.push(react + ohm);
                    }
                    ports.refresh(view, &live.scratch_ohm);
                    let n = network.windings.len();
                    for (k, id) in network.windings.iter().enumerate() {
                        let w = id.index();
                        let i2 = ports.current[k].norm_sqr();
                        let (ohm, _) =
                            resistance_at(self.actual, self.status, w, y[plan.windings[w].heat]);
                        let henry2 = (live.scratch_ohm[k] - ohm).norm_sqr() / (omega * omega);
                        live.winding_a[w] = i2.sqrt();
                        live.linkage2[w] = i2 * henry2;
                    }
                    for (row, id) in network.fuses.iter().enumerate() {
                        let mut i = view.watched_open[row];
                        for (k, through) in ports.current.iter().enumerate() {
                            i += view.watched_gain[row * n + k] * through;
                        }
                        live.fuse_a[id.index()] = i.norm_sqr().sqrt();
                    }
                }
            }
        }
        if slopes {
            self.slopes(y);
        }
    }

    /// How the networks, solved at `y`, answer to changes.
    fn slopes(&mut self, y: &[f64]) {
        let live = &mut *self.live;
        for (network, solved) in self.plan.networks.iter().zip(&mut live.networks) {
            match solved {
                NetworkLive::Dc { net, ports } => ports.slopes(&net.view),
                NetworkLive::Ac { ports, .. } => {
                    let Current::Ac { omega } = network.current else { continue };
                    ports.slopes();
                    for (k, id) in network.windings.iter().enumerate() {
                        let w = id.index();
                        let make = &self.actual.windings[w];
                        let celsius = y[self.plan.windings[w].heat];
                        let (_, ohm_per_k) = resistance_at(self.actual, self.status, w, celsius);
                        let (gap, per_x, x_state) = self.status.gap(self.plan, self.actual, w, y);
                        let (inverse, per_gap) = make.inverse_henry(gap);
                        // dL/dgap = -L^2 d(1/L)/dgap; the short-circuited turns, if any, scale both
                        // alike.
                        let react = reactance(make, gap, omega);
                        let react_per_x = -(react * (per_gap / inverse * per_x));
                        let henry2 = react.norm_sqr() / (omega * omega);
                        let both = (react.conj() * react_per_x).re * 2.0 / (omega * omega);
                        let own_per_x = ports.current[k].norm_sqr() * both;
                        live.levers[w] =
                            Lever { ohm_per_k, react_per_x, henry2, own_per_x, x_state };
                    }
                }
            }
        }
    }

    /// Winding currents for the guards. On direct current they follow from the linkages without
    /// solving the network; on alternating current from the last solution, as long as no switching
    /// current is near.
    fn guarded_currents(&mut self, y: &[f64]) {
        let plan = self.plan;
        let alternating =
            |n: &super::plan::NetworkPlan| n.current != Current::Dc && !n.windings.is_empty();
        if plan.magnetic || plan.networks.iter().any(alternating) && !self.far_from_switching(y) {
            self.electrics(y, false);
        }
        for (w, place) in plan.windings.iter().enumerate() {
            self.live.guarded_a[w] = if place.linkage == NO_STATE {
                self.live.winding_a[w]
            } else {
                let (gap, _, _) = self.status.gap(plan, self.actual, w, y);
                y[place.linkage] * self.actual.windings[w].inverse_henry(gap).0
            };
        }
    }

    /// Whether each relay on alternating current is still as far from switching at `y` as the last
    /// solution says: no gap has changed since, and no temperature by as much as would bring a current to
    /// where the relay acts.
    fn far_from_switching(&self, y: &[f64]) -> bool {
        let (plan, live) = (self.plan, &*self.live);
        let alternates =
            |w: WindingId| plan.networks[plan.windings[w.index()].network].current != Current::Dc;
        let mut known = live.memo.iter();
        let alike = plan.windings.iter().enumerate().all(|(w, place)| {
            let counts = alternates(WindingId::new(w));
            control_states(plan, place).into_iter().zip([0.0, KELVIN_APART, 0.0]).all(
                |(state, apart)| {
                    state == NO_STATE
                        || known.next().is_some_and(|k| !counts || (k - y[state]).abs() <= apart)
                },
            )
        });
        let far = |o: usize| match (self.actual.operators[o].trigger, plan.operators[o].tie) {
            (Trigger::Armature { pick_a, drop_a, .. }, Tie::Winding(w)) if alternates(w) => {
                let edge = if self.status.operators[o].acting { drop_a } else { pick_a };
                (live.winding_a[w.index()] - edge).abs() > FAR_FROM_EDGE * edge
            }
            (Trigger::Latch { .. }, Tie::Latch(set, _)) => !alternates(set),
            _ => true,
        };
        live.memo_valid && alike && (0..plan.operators.len()).all(far)
    }

    /// Voltage [V] across lamp `row` of network `n`, as last solved.
    pub fn lamp_volts(&self, n: usize, row: usize) -> f64 {
        let network = &self.plan.networks[n];
        let row = network.fuses.len() + row;
        let gains = row * network.windings.len()..(row + 1) * network.windings.len();
        match &self.live.networks[n] {
            NetworkLive::Dc { net, ports } => {
                let gains = &net.view.watched_gain[gains];
                let through = gains.iter().zip(ports.port_currents()).map(|(g, i)| g * i);
                (net.view.watched_open[row] + through.sum::<f64>()).abs()
            }
            NetworkLive::Ac { net, ports } => {
                let gains = &net.view.watched_gain[gains];
                let through = gains.iter().zip(&ports.current).map(|(g, i)| g * i);
                (net.view.watched_open[row] + through.sum::<Complex64>()).norm_sqr().sqrt()
            }
        }
    }

    /// Impedance [ohm] of winding `w` at angular frequency `omega` [rad/s].
    pub fn winding_impedance(&self, w: usize, y: &[f64], omega: f64) -> Complex64 {
        let (ohm, _) = resistance_at(self.actual, self.status, w, y[self.plan.windings[w].heat]);
        let (gap, _, _) = self.status.gap(self.plan, self.actual, w, y);
        reactance(&self.actual.windings[w], gap, omega) + ohm
    }

    /// Rates of all states at `y` [unit of the state per s], and all Jacobian entries into `sink`.
    fn evaluate<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        self.electrics(y, S::SLOPES);
        self.winding_rates(y, rates, sink);
        self.fuse_rates(y, rates, sink);
        self.amplifier_rates(y, rates, sink);
        self.warmth(y);
        self.capacities(y);
        self.spool_rates(y, rates, sink);
        self.pump_rates(y, rates, sink);
        self.motor_rates(y, rates, sink);
        self.accumulator_rates(y, rates, sink);
        self.flow_rates(y, rates, sink);
        self.overload_rates(y, rates, sink);
    }

    /// Flux linkage and temperature of every winding.
    fn winding_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        let plan = self.plan;
        for (network, solved) in plan.networks.iter().zip(&self.live.networks) {
            let n = network.windings.len();
            for (k, id) in network.windings.iter().enumerate() {
                let w = id.index();
                let place = &plan.windings[w];
                let make = &self.actual.windings[w];
                let celsius = y[place.heat];
                let (ohm, ohm_per_k) = resistance_at(self.actual, self.status, w, celsius);
                let i = self.live.winding_a[w];
                let lost = (celsius - plan.ambient_celsius) / make.kelvin_per_watt;
                // A broken winding carries nothing, so it does not warm either.
                let broken = ohm >= BROKEN_OHM;
                let heat = if broken { 0.0 } else { i * i * ohm };
                rates[place.heat] = (heat - lost) / make.joule_per_kelvin;
                match solved {
                    NetworkLive::Dc { ports, .. } => {
                        rates[place.linkage] = ports.volts[k] - ohm * i;
                        if !S::SLOPES {
                            continue;
                        }
                        for (j, other) in network.windings.iter().enumerate() {
                            let o = other.index();
                            let (gap, per_x, x_state) = self.status.gap(plan, self.actual, o, y);
                            let (inverse, per_gap) = self.actual.windings[o].inverse_henry(gap);
                            let mut per_ampere = ports.volts_per_ampere[k * n + j];
                            if j == k {
                                per_ampere -= ohm;
                            }
                            let linkage = y[plan.windings[o].linkage];
                            sink.at(place.linkage, plan.windings[o].linkage, per_ampere * inverse);
                            sink.at(place.linkage, x_state, per_ampere * linkage * per_gap * per_x);
                            if j == k {
                                let warm = if broken {
                                    0.0
                                } else {
                                    2.0 * i * ohm / make.joule_per_kelvin
                                };
                                sink.at(place.heat, place.linkage, warm * inverse);
                                sink.at(place.heat, x_state, warm * linkage * per_gap * per_x);
                            }
                        }
                        sink.at(place.linkage, place.heat, -ohm_per_k * i);
                        let own = if broken { 0.0 } else { i * i * ohm_per_k };
                        sink.at(
                            place.heat,
                            place.heat,
                            (own - 1.0 / make.kelvin_per_watt) / make.joule_per_kelvin,
                        );
                    }
                    NetworkLive::Ac { .. } => {
                        if !S::SLOPES {
                            continue;
                        }
                        for (j, other) in network.windings.iter().enumerate() {
                            let slopes = self.phasor_slopes(network, solved, k, j);
                            let warm = if broken { 0.0 } else { ohm / make.joule_per_kelvin };
                            let mut per_heat = warm * slopes.current2_per_kelvin;
                            if j == k {
                                let own = if broken { 0.0 } else { i * i * ohm_per_k };
                                per_heat +=
                                    (own - 1.0 / make.kelvin_per_watt) / make.joule_per_kelvin;
                            }
                            sink.at(place.heat, plan.windings[other.index()].heat, per_heat);
                            sink.at(place.heat, slopes.x_state, warm * slopes.current2_per_x);
                        }
                    }
                }
            }
        }
    }

    /// How the current and the linkage of winding `k` of an alternating-current network answer to
    /// temperature and gap of its winding `j`, after [`Model::slopes`].
    fn phasor_slopes(
        &self,
        network: &super::plan::NetworkPlan,
        solved: &NetworkLive,
        k: usize,
        j: usize,
    ) -> PhasorSlopes {
        let NetworkLive::Ac { ports, .. } = solved else { return PhasorSlopes::default() };
        let n = network.windings.len();
        let at = |port: usize| &self.live.levers[network.windings[port].index()];
        // d(current k) = -Y_kj (d impedance j) I_j
        let lever = -(ports.admittance[k * n + j] * ports.current[j]);
        let twice = ports.current[k].conj() * lever * 2.0;
        let current2_per_kelvin = twice.re * at(j).ohm_per_k;
        let current2_per_x = (twice * at(j).react_per_x).re;
        let henry2 = at(k).henry2;
        let own_per_x = if j == k { at(k).own_per_x } else { 0.0 };
        PhasorSlopes {
            current2_per_kelvin,
            current2_per_x,
            linkage2_per_kelvin: current2_per_kelvin * henry2,
            linkage2_per_x: current2_per_x * henry2 + own_per_x,
            x_state: at(j).x_state,
        }
    }

    /// Heat of every fuse link: the current squared, less what it sheds.
    fn fuse_rates<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        let plan = self.plan;
        for (network, solved) in plan.networks.iter().zip(&self.live.networks) {
            let n = network.windings.len();
            for (row, id) in network.fuses.iter().enumerate() {
                let f = id.index();
                let heat = plan.fuses[f].heat;
                let cooling = 1.0 / self.actual.fuses[f].cooling_s();
                let i = self.live.fuse_a[f];
                rates[heat] = i * i - y[heat] * cooling;
                if !S::SLOPES {
                    continue;
                }
                sink.at(heat, heat, -cooling);
                if let NetworkLive::Dc { net, .. } = solved {
                    let view = &net.view;
                    // The suppressors' share is left out: they conduct only while currents die away.
                    for (k, winding) in network.windings.iter().enumerate() {
                        let w = winding.index();
                        let (gap, _, _) = self.status.gap(plan, self.actual, w, y);
                        let per_linkage = view.watched_gain[row * n + k]
                            * self.actual.windings[w].inverse_henry(gap).0;
                        sink.at(heat, plan.windings[w].linkage, 2.0 * i * per_linkage);
                    }
                }
            }
        }
    }

    /// Value of guard `watch`: it fires when this rises to zero or above.
    fn guard(&self, watch: Watch, y: &[f64]) -> f64 {
        match watch {
            Watch::Fuse(id) => self.fuse_guard(id, y),
            Watch::Burn(id) => self.burn_guard(id, y),
            Watch::Operator(id) => self.operator_guard(id, y),
            Watch::Spool(id) => self.spool_guard(id, y),
            Watch::Piston(id) => self.piston_guard(id, y),
            Watch::Overload(id) => self.overload_guard(id, y),
        }
    }

    fn fuse_guard(&self, id: FuseId, y: &[f64]) -> f64 {
        let f = id.index();
        let make = &self.actual.fuses[f];
        let tripped = self.plan.fuses[f]
            .trips
            .is_some_and(|(o, acting)| self.status.operators[o.index()].acting == acting);
        if self.status.blown[f] || tripped {
            -1.0
        } else {
            let heat = y[self.plan.fuses[f].heat] / make.melting_a2s;
            heat.max(self.live.fuse_a[f].abs() / make.magnetic_a) - 1.0
        }
    }

    fn overload_guard(&self, id: OverloadId, y: &[f64]) -> f64 {
        let place = &self.plan.overloads[id.index()];
        if self.status.operators[place.trips.index()].acting {
            -1.0
        } else {
            y[place.state] / (OVERLOAD_HOLDS * OVERLOAD_HOLDS) - 1.0
        }
    }

    fn burn_guard(&self, id: WindingId, y: &[f64]) -> f64 {
        let w = id.index();
        if self.status.burnt[w] {
            -1.0
        } else {
            y[self.plan.windings[w].heat] - self.actual.windings[w].burnout_celsius
        }
    }

    fn operator_guard(&self, id: OperatorId, y: &[f64]) -> f64 {
        let o = id.index();
        let acting = self.status.operators[o].acting;
        let make = &self.actual.operators[o];
        if let Some(stuck) = make.stuck {
            return if stuck == acting { -1.0 } else { 1.0 };
        }
        match (make.trigger, self.plan.operators[o].tie) {
            (Trigger::Armature { pick_a, drop_a, .. }, Tie::Winding(w)) => {
                let i = self.live.guarded_a[w.index()].abs();
                if acting { drop_a - i } else { i - pick_a }
            }
            (Trigger::Latch { set_a, reset_a, .. }, Tie::Latch(set, reset)) => {
                let set = self.live.guarded_a[set.index()].abs() / set_a;
                let reset = self.live.guarded_a[reset.index()].abs() / reset_a;
                if acting { reset - set - 1.0 } else { set - reset - 1.0 }
            }
            (Trigger::Count { preset }, Tie::Count(..)) => {
                let full = self.status.operators[o].count >= preset;
                if acting == full { -1.0 } else { 1.0 }
            }
            (Trigger::Cam { from_m, to_m, differential_m }, Tie::Piston(p)) => {
                let s = y[self.plan.pistons[p.index()].state];
                if acting {
                    (from_m - differential_m - s).max(s - to_m - differential_m)
                } else {
                    (s - from_m).min(to_m - s)
                }
            }
            (Trigger::Pressure { rise_pa, fall_pa }, Tie::Volume(v)) => {
                let pa = self.pressure(v.index(), y);
                if acting { (fall_pa - pa) / rise_pa } else { (pa - rise_pa) / rise_pa }
            }
            (Trigger::Pressure { rise_pa, fall_pa }, Tie::Across(a, b)) => {
                let pa = self.pressure(a.index(), y) - self.pressure(b.index(), y);
                if acting { (fall_pa - pa) / rise_pa } else { (pa - rise_pa) / rise_pa }
            }
            _ => -1.0,
        }
    }

    fn spool_guard(&self, id: SpoolId, y: &[f64]) -> f64 {
        let x = y[self.plan.spools[id.index()].state];
        match self.status.spool_at[id.index()] {
            Some(at) => (x - f64::from(at)).abs() - SPOOL_LEAVES,
            None => SETTLED - (x - x.round().clamp(-1.0, 1.0)).abs(),
        }
    }

    fn piston_guard(&self, id: PistonId, y: &[f64]) -> f64 {
        let s = y[self.plan.pistons[id.index()].state];
        let stroke = self.actual.pistons[id.index()].stroke_m;
        match self.status.piston_at[id.index()] {
            Some(false) => s - PISTON_LEAVES_M,
            Some(true) => stroke - PISTON_LEAVES_M - s,
            None => PISTON_SETTLES_M - s.min(stroke - s),
        }
    }
}

/// A spool that has settled counts as gone beyond this distance [1].
const SPOOL_LEAVES: f64 = 0.10;
/// The same for a piston and its ends [m].
const PISTON_SETTLES_M: f64 = 1e-4;
const PISTON_LEAVES_M: f64 = 1e-3;

/// What the impedance and the linkage of an alternating-current winding gain.
#[derive(Clone, Copy, Debug, Default)]
struct Lever {
    /// Resistance per kelvin [ohm/K].
    ohm_per_k: f64,
    /// Reactive part of the impedance per unit of the spool's position [ohm].
    react_per_x: Complex64,
    /// Inductance squared [H2].
    henry2: f64,
    /// Linkage squared per unit of the spool's position at this current [V2s2].
    own_per_x: f64,
    /// The spool's position.
    x_state: usize,
}

#[derive(Clone, Copy, Default)]
struct PhasorSlopes {
    current2_per_kelvin: f64,
    current2_per_x: f64,
    linkage2_per_kelvin: f64,
    linkage2_per_x: f64,
    x_state: usize,
}

/// Resistance [ohm] of winding `w` at `celsius` and its slope [ohm/K], broken ones included.
pub(crate) fn resistance_at(
    actual: &Condition,
    status: &Status,
    w: usize,
    celsius: f64,
) -> (f64, f64) {
    let make = &actual.windings[w];
    if make.open || status.burnt[w] {
        (BROKEN_OHM, 0.0)
    } else {
        (make.ohm(celsius), make.ohm_per_kelvin())
    }
}

/// Coupling of short-circuited turns to the rest of their winding [1].
const TURN_COUPLING: f64 = 0.95;

/// Reactive part of a winding's impedance [ohm]: j omega L, and what short-circuited turns reflect
/// into it as the secondary of a transformer.
fn reactance(make: &WindingMake, gap: f64, omega: f64) -> Complex64 {
    let henry = 1.0 / make.inverse_henry(gap).0;
    let plain = Complex64::new(0.0, omega * henry);
    let shorted = 1.0 - make.sound_turns;
    if shorted <= 0.0 {
        return plain;
    }
    let ratio = shorted / make.sound_turns;
    let ohm = make.ohm_at_20 * shorted;
    let secondary = Complex64::new(ohm, omega * henry * ratio * ratio);
    let mutual2 = TURN_COUPLING * TURN_COUPLING * henry * henry * ratio * ratio;
    plain + Complex64::new(omega * omega * mutual2, 0.0) / secondary
}

impl System for Model<'_> {
    fn len(&self) -> usize {
        self.plan.state_count
    }

    fn rates(&mut self, y: &[f64], rates: &mut [f64]) {
        self.evaluate(y, rates, &mut NoSlopes);
    }

    fn jacobian(&mut self, y: &[f64], jacobian: &mut Matrix) {
        jacobian.clear();
        let mut rates = std::mem::take(&mut self.live.spare);
        rates.resize(self.plan.state_count, 0.0);
        self.linearise(y, &mut rates, jacobian);
        self.live.spare = rates;
    }

    fn linearise(&mut self, y: &[f64], rates: &mut [f64], jacobian: &mut Matrix) {
        let plan = self.plan;
        let mut stamper = Stamper { matrix: jacobian, slots: &plan.slots, next: 0 };
        self.evaluate(y, rates, &mut stamper);
        debug_assert_eq!(stamper.next, plan.slots.len());
    }

    fn absolute_tolerance(&self, state: usize) -> f64 {
        self.plan.tolerance[state]
    }

    fn watch_count(&self) -> usize {
        self.plan.watches.len()
    }

    fn watch(&mut self, y: &[f64], values: &mut [f64]) {
        self.guarded_currents(y);
        let plan = self.plan;
        for (value, watch) in values.iter_mut().zip(&plan.watches) {
            *value = self.guard(*watch, y);
        }
    }
}

struct SuppressorView<'a> {
    actual: &'a Condition,
    network: &'a super::plan::NetworkPlan,
}

impl SuppressorView<'_> {
    fn of(&self, port: usize) -> &[crate::electric::Suppressor] {
        &self.actual.suppressors[self.network.windings[port].index()]
    }
}
