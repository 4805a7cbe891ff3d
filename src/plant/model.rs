//! The continuous model: rates of all states, and their Jacobian, stamped branch by branch.
//!
//! State units: flux linkage [V s], winding temperature [degC], fuse heat [A2s], spool position [1],
//! pump speed [1/s], piston position [m], pressure [Pa gauge; near vacuum see
//! [`crate::fluid::Medium::pressure`]].

use std::sync::Arc;

use crate::base::{BranchId, SimTime, SpoolId};
use crate::electric::{AcPorts, Complex64, DcPorts};
use crate::fluid::EndStop;
use crate::kernel::{Matrix, System};
use crate::plc::Memory;
use crate::shift::Hand;

mod accumulator;
mod amplifier;
mod control;
mod flows;
mod guards;
mod power;
mod reduced;

use self::control::{Coil, Lever};
pub(crate) use self::control::{reactance, resistance_at};
pub(crate) use self::guards::travel;
pub(crate) use self::reduced::Reductions;
use self::reduced::{Branch, Reduced};
use super::condition::{Condition, TransformerMake};
use super::plan::{BranchRole, Current, Leg, Mover, Moves, NO_STATE, NetworkPlan, Plan, Watch};

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
    pub stops: Stops,
    pub lamps: Vec<bool>,
    pub pumps: Vec<bool>,
    pub plcs: Vec<PlcStatus>,
    pub rectifiers: Vec<RectifierStatus>,
    pub amplifiers: Vec<AmplifierStatus>,
}

/// The end stops on which things stand.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Stops {
    pub spools: Vec<Option<EndStop>>,
    pub pistons: Vec<Option<EndStop>>,
    /// Of the pistons of accumulators.
    pub seals: Vec<Option<EndStop>>,
}

impl Stops {
    pub fn of(&self, mover: Mover) -> Option<EndStop> {
        match mover {
            Mover::Spool(id) => self.spools[id.index()],
            Mover::Piston(id) => self.pistons[id.index()],
            Mover::Seal(id) => self.seals[id.index()],
        }
    }

    pub fn set(&mut self, mover: Mover, stop: Option<EndStop>) {
        match mover {
            Mover::Spool(id) => self.spools[id.index()] = stop,
            Mover::Piston(id) => self.pistons[id.index()] = stop,
            Mover::Seal(id) => self.seals[id.index()] = stop,
        }
    }
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

impl NetworkLive {
    /// `network`, not reduced yet.
    fn of(network: &NetworkPlan) -> NetworkLive {
        match network.current {
            Current::Dc => NetworkLive::Dc { net: Arc::default(), ports: DcPorts::default() },
            Current::Ac { .. } => {
                NetworkLive::Ac { net: Arc::default(), ports: AcPorts::default() }
            }
        }
    }
}

/// Everything derived from plan, condition and status that is kept between evaluations.
#[derive(Clone, Debug)]
pub(crate) struct Live {
    pub networks: Vec<NetworkLive>,
    /// Winding current [A], signed for direct current, root-mean-square for alternating.
    pub winding_a: Vec<f64>,
    /// Winding currents for the guards alone [A].
    guarded_a: Vec<f64>,
    /// The windings of which guards ask for the current.
    guarded: Vec<usize>,
    /// Of each winding, as of the last evaluation.
    coils: Vec<Coil>,
    /// Flux linkage squared [V2s2].
    pub linkage2: Vec<f64>,
    /// Fuse current [A], as for windings.
    pub fuse_a: Vec<f64>,
    scratch_a: Vec<f64>,
    scratch_ohm: Vec<Complex64>,
    /// Of each winding on alternating current; valid where slopes are.
    levers: Vec<Lever>,
    flow_sum: Vec<f64>,
    /// How many entries each flow path has in the Jacobian.
    path_entries: Vec<usize>,
    /// In how many rows of the Jacobian the speed of each spool counts.
    spool_rows: Vec<usize>,
    /// Of each flow path, how its flow force answers to its pressure difference [N/Pa].
    force_per_dp: Vec<f64>,
    /// How much thinner the oil is than authored [1], and its slope to the temperature [1/K].
    thin: (f64, f64),
    spare: Vec<f64>,
    capacity: Vec<(f64, f64, f64)>,
    /// Pressure of each volume [Pa gauge], and its slope to the state of the volume.
    pressure: Vec<(f64, f64)>,
    /// What the control side depends on: linkages, temperatures, spool positions; and whether it is the
    /// temperature of a winding on alternating current.
    control_states: Vec<(usize, bool)>,
    /// Networks on alternating current are not solved again for each trifle by which windings warm up.
    pub coarse: bool,
    /// These states at the last evaluation, so that an unchanged side is not solved again.
    memo: Vec<f64>,
    memo_slopes: bool,
    memo_valid: bool,
}

/// Takes Jacobian entries; the order in which they come never depends on the state.
trait Sink {
    const SLOPES: bool;
    /// Entries that are nothing may be passed over.
    const SKIPS: bool;
    fn at(&mut self, row: usize, column: usize, value: f64);
    /// Passes over `entries`.
    fn skip(&mut self, entries: usize);
}

struct NoSlopes;
impl Sink for NoSlopes {
    const SLOPES: bool = false;
    const SKIPS: bool = true;
    fn at(&mut self, _: usize, _: usize, _: f64) {}
    fn skip(&mut self, _: usize) {}
}

struct Recorder(Vec<(usize, usize)>);
impl Sink for Recorder {
    const SLOPES: bool = true;
    const SKIPS: bool = false;
    fn at(&mut self, row: usize, column: usize, _: f64) {
        if row != NO_STATE && column != NO_STATE {
            self.0.push((row, column));
        }
    }
    fn skip(&mut self, _: usize) {}
}

struct Stamper<'a> {
    matrix: &'a mut Matrix,
    slots: &'a [usize],
    next: usize,
}
impl Sink for Stamper<'_> {
    const SLOPES: bool = true;
    const SKIPS: bool = true;
    #[inline]
    fn skip(&mut self, entries: usize) {
        self.next += entries;
    }
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
            stops: Stops {
                spools: vec![None; plan.spools.len()],
                pistons: vec![None; plan.pistons.len()],
                seals: vec![None; plan.accumulators.len()],
            },
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
    #[inline(always)]
    fn gap(&self, plan: &Plan, actual: &Condition, w: usize, y: &[f64]) -> (f64, f64, usize) {
        match plan.windings[w].moves {
            Moves::Spool(spool, towards_a) => {
                let state = plan.spools[spool.index()].state;
                let side = side_of(actual, spool, towards_a);
                let (gap, per_x) = actual.spools[spool.index()].gap(side, y[state]);
                (gap, per_x, state)
            }
            other => (self.armature_gap(other).unwrap_or(1.0), 0.0, NO_STATE),
        }
    }

    /// Gap of an armature that snaps from end to end [1]; `None` where it follows a spool.
    pub fn armature_gap(&self, moves: Moves) -> Option<f64> {
        match moves {
            Moves::Relay(o) => Some(if self.operators[o.index()].made { 0.0 } else { 1.0 }),
            Moves::Unlatch(o) => Some(if self.operators[o.index()].made { 1.0 } else { 0.0 }),
            Moves::Nothing => Some(1.0),
            Moves::Spool(..) => None,
        }
    }
}

/// +1 for the coil that pushes towards +1. Swapped plugs feed the other coil: electrically each
/// winding stays where it is wired, and pushes the other way.
fn side_of(actual: &Condition, spool: SpoolId, towards_a: bool) -> f64 {
    if towards_a != actual.plugs_swapped[spool.index()] { 1.0 } else { -1.0 }
}

impl Live {
    pub fn new(plan: &Plan) -> Self {
        let networks = plan.networks.iter().map(NetworkLive::of).collect();
        Live {
            networks,
            winding_a: vec![0.0; plan.windings.len()],
            guarded_a: vec![0.0; plan.windings.len()],
            guarded: guards::windings(plan),
            coils: vec![Coil::default(); plan.windings.len()],
            linkage2: vec![0.0; plan.windings.len()],
            fuse_a: vec![0.0; plan.fuses.len()],
            scratch_a: Vec::new(),
            scratch_ohm: Vec::new(),
            levers: vec![Lever::default(); plan.windings.len()],
            flow_sum: vec![0.0; plan.volumes.len()],
            path_entries: (0..plan.flows.len()).map(|f| flows::path_entries(plan, f)).collect(),
            spool_rows: (0..plan.spools.len()).map(|s| power::spool_rows(plan, s)).collect(),
            force_per_dp: vec![0.0; plan.flows.len()],
            thin: (1.0, 0.0),
            spare: Vec::new(),
            capacity: vec![(0.0, 0.0, 0.0); plan.volumes.len()],
            pressure: vec![(0.0, 0.0); plan.volumes.len()],
            control_states: control::states(plan),
            coarse: false,
            memo: Vec::new(),
            memo_slopes: false,
            memo_valid: false,
        }
    }

    /// Reduces every network again after a contact, a wire, a source or a fuse has changed.
    pub fn refresh(&mut self, plan: &Plan, actual: &Condition, status: &Status) {
        self.memo_valid = false;
        for (n, live) in self.networks.iter_mut().enumerate() {
            reduce(plan, actual, status, n, live);
        }
    }
}

/// Reduces network `n` again if anything in it has changed.
fn reduce(plan: &Plan, actual: &Condition, status: &Status, n: usize, live: &mut NetworkLive) {
    let network = &plan.networks[n];
    let id = |k: usize| network.branches[k].index();
    let local = |branch: BranchId| plan.branches[branch.index()].local;
    let fuses = network.fuses.iter().map(|f| local(plan.fuses[f.index()].branch));
    let lamps = network.lamps.iter().map(|l| local(plan.lamps[*l].branch));
    match live {
        NetworkLive::Dc { net, .. } => {
            let branch = |k: usize| direct(plan, actual, status, id(k));
            let branches: Vec<_> = (0..network.branches.len()).map(branch).collect();
            if !net.holds(&branches) {
                *net = network.known.direct(branches, |b| Reduced::of(network, fuses, lamps, b));
            }
        }
        NetworkLive::Ac { net, .. } => {
            let Current::Ac { omega } = network.current else { return };
            let branch = |k: usize| alternating(plan, actual, status, id(k), omega);
            let branches: Vec<_> = (0..network.branches.len()).map(branch).collect();
            if !net.holds(&branches) {
                *net =
                    network.known.alternating(branches, |b| Reduced::of(network, fuses, lamps, b));
            }
        }
    }
}

/// What branch `id` is worth on direct current.
fn direct(plan: &Plan, actual: &Condition, status: &Status, id: usize) -> Branch<f64> {
    Branch {
        admittance: conductance(plan, actual, status, id),
        own: own_conductance(plan, actual, status, id),
        volts: source_volts(plan, actual, status, id),
    }
}

/// What branch `id` is worth on alternating current at `omega` [rad/s].
fn alternating(
    plan: &Plan,
    actual: &Condition,
    status: &Status,
    id: usize,
    omega: f64,
) -> Branch<Complex64> {
    Branch {
        admittance: admittance(plan, actual, status, id, omega),
        own: Complex64::new(own_conductance(plan, actual, status, id), 0.0),
        volts: source_volts(plan, actual, status, id),
    }
}

/// Network `n` as it is in condition `actual`.
pub(super) fn reduced(plan: &Plan, actual: &Condition, status: &Status, n: usize) -> NetworkLive {
    let mut live = NetworkLive::of(&plan.networks[n]);
    reduce(plan, actual, status, n, &mut live);
    live
}

/// Whether branch `id` is worth the same in both `conditions`.
pub(super) fn same_worth(
    plan: &Plan,
    conditions: (&Condition, &Condition),
    status: &Status,
    id: usize,
) -> bool {
    let (a, b) = conditions;
    match plan.networks[plan.branches[id].network].current {
        Current::Dc => direct(plan, a, status, id) == direct(plan, b, status, id),
        Current::Ac { omega } => {
            alternating(plan, a, status, id, omega) == alternating(plan, b, status, id, omega)
        }
    }
}

/// Whether `network` feeds the winding at its port `k` nothing.
pub(super) fn starves(network: &NetworkLive, k: usize) -> bool {
    match network {
        NetworkLive::Dc { net, .. } => net.view.starves(k),
        NetworkLive::Ac { net, .. } => net.view.starves(k),
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

/// Share of its rated voltage from which on a lamp is seen to glow [1]. Common practice, no source.
const GLOWS: f64 = 0.4;

/// Whether lamp `k` glows at this voltage across it.
pub(super) fn glows(plan: &Plan, actual: &Condition, k: usize, volts: f64) -> bool {
    let lamp = &plan.lamps[k];
    actual.branches[lamp.branch.index()].ohm.is_finite() && volts > GLOWS * lamp.volts
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
    /// Rates of all states at `y` [unit of the state per s], and all Jacobian entries into `sink`.
    fn evaluate<S: Sink>(&mut self, y: &[f64], rates: &mut [f64], sink: &mut S) {
        self.electrics(y, S::SLOPES);
        self.winding_rates(y, rates, sink);
        self.fuse_rates(y, rates, sink);
        self.amplifier_rates(y, rates, sink);
        self.warmth(y);
        self.capacities::<S>(y);
        self.spool_rates(y, rates, sink);
        self.pump_rates(y, rates, sink);
        self.motor_rates(y, rates, sink);
        self.accumulator_rates(y, rates, sink);
        self.flow_rates(y, rates, sink);
        self.overload_rates(y, rates, sink);
    }
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

    /// What is left of a winding's flux once it is cut off goes through diodes and arcs, whose corners are
    /// narrower than a larger tolerance.
    fn held_strictly(&self, state: usize) -> bool {
        self.plan.windings.iter().any(|w| w.linkage == state)
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

    /// Contacts follow a trigger after their time; where a spool or a piston has settled is only told;
    /// and what has left its stop already went as if there were none.
    fn turns(&self, watch: usize) -> bool {
        match self.plan.watches[watch] {
            Watch::Operator(_) | Watch::Spool(_) | Watch::Piston(_) | Watch::Overload(_) => false,
            Watch::Stop(mover) => self.status.stops.of(mover).is_none(),
            Watch::Fuse(_) | Watch::Burn(_) => true,
        }
    }
}
