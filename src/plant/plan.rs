//! The immutable plan of a bench: what is joined to what. Shared by all runs.

use std::sync::Arc;

use crate::base::{
    AccumulatorId, AmplifierId, BranchId, ContactId, FlowId, FuseId, MotorId, NodeId, OperatorId,
    OverloadId, PartId, PistonId, PlcId, PumpId, RectifierId, SpoolId, TransformerId, VolumeId,
    WindingId,
};
use crate::electric::Topology;
use crate::fluid::oil::Viscosity;
use crate::kernel::Elimination;
use crate::plc::Program;
use crate::shift::Handle;

use super::condition::Condition;
use super::model::Reductions;

/// Stands for "no state": a fixed pressure, a winding without flux state.
pub(crate) const NO_STATE: usize = usize::MAX;

/// Kind of supply of a network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Current {
    /// Direct current.
    Dc,
    /// Alternating current of this angular frequency [rad/s].
    Ac {
        /// Angular frequency [rad/s].
        omega: f64,
    },
}

/// What a branch is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BranchRole {
    /// A wire between two terminals.
    Wire,
    /// A contact.
    Contact(ContactId),
    /// A fuse link.
    Fuse(FuseId),
    /// A supply.
    Source,
    /// A lamp, with its rated voltage in the plan's lamp list.
    Lamp,
    /// Any other resistance.
    Resistor,
    /// Insulation to earth or between windings: infinite unless it has failed.
    Insulation,
    /// Iron loss of a direct-current winding, across its terminals. No ohmmeter sees it.
    Iron(WindingId),
    /// A capacitance: to a neighbouring conductor, or in a snubber.
    Capacitance,
    /// One of the six legs of a transformer between the two ends of its two windings.
    Transformer(TransformerId, Leg),
    /// What a rectifier draws on its alternating-current side.
    Load(RectifierId),
    /// What a rectifier gives on its direct-current side.
    Feed(RectifierId),
}

/// A leg of a transformer's equivalent circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leg {
    /// Across the primary.
    Primary,
    /// Across the secondary.
    Secondary,
    /// Between ends of the same polarity.
    Like,
    /// Between ends of opposite polarity.
    Unlike,
}

/// A rectifier bridge.
#[derive(Clone, Debug, PartialEq)]
pub struct RectifierPlan {
    /// Designation.
    pub name: String,
    /// What it draws, between its alternating-current terminals.
    pub load: BranchId,
    /// What it gives, from minus to plus.
    pub feed: BranchId,
}

/// The overload relay of a pump's motor.
#[derive(Clone, Debug, PartialEq)]
pub struct OverloadPlan {
    /// Designation of the motor starter.
    pub name: String,
    /// The pump whose motor it guards.
    pub pump: PumpId,
    /// What it trips.
    pub trips: OperatorId,
    pub(crate) state: usize,
}

/// A terminal.
#[derive(Clone, Debug, PartialEq)]
pub struct NodePlan {
    /// Designation, such as `K1:A1`; the earth is `PE`.
    pub name: String,
    pub(crate) network: usize,
    pub(crate) local: usize,
}

/// A branch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BranchPlan {
    /// First end.
    pub a: NodeId,
    /// Second end.
    pub b: NodeId,
    /// What it is.
    pub role: BranchRole,
    /// It conducts only while this operator acts (a supply behind an isolator).
    pub behind: Option<OperatorId>,
    pub(crate) network: usize,
    pub(crate) local: usize,
}

/// What a winding moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moves {
    /// A relay armature.
    Relay(OperatorId),
    /// A latching relay's armature, back to its rest position.
    Unlatch(OperatorId),
    /// A spool, towards +1 (solenoid a) when true, towards -1 (b) when false.
    Spool(SpoolId, bool),
    /// Nothing modelled.
    Nothing,
}

/// A winding.
#[derive(Clone, Debug, PartialEq)]
pub struct WindingPlan {
    /// Designation, such as `K1` or `1V1.a`.
    pub name: String,
    /// First terminal (A1, or + of a direct-current coil).
    pub a: NodeId,
    /// Second terminal.
    pub b: NodeId,
    /// What it moves.
    pub moves: Moves,
    /// Temperature that it passes only when held longer than its duty allows [degC], if it is not
    /// made for being on all the time.
    pub rests_below_celsius: Option<f64>,
    pub(crate) network: usize,
    pub(crate) port: usize,
    pub(crate) linkage: usize,
    pub(crate) heat: usize,
}

/// An operator.
#[derive(Clone, Debug, PartialEq)]
pub struct OperatorPlan {
    /// Designation, such as `S1`.
    pub name: String,
    /// What it is tied to.
    pub tie: Tie,
    /// Contacts it moves.
    pub contacts: Vec<ContactId>,
    /// Acting at the start of a run.
    pub initially: bool,
}

/// What an operator is tied to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tie {
    /// A hand.
    Hand,
    /// The winding of its relay.
    Winding(WindingId),
    /// The set and the reset winding of a latching relay.
    Latch(WindingId, WindingId),
    /// The pulse and the reset armature of a counter.
    Count(OperatorId, OperatorId),
    /// Two operators that must act together.
    Both(OperatorId, OperatorId),
    /// A piston rod.
    Piston(PistonId),
    /// A pressure.
    Volume(VolumeId),
    /// The difference of the first pressure over the second.
    Across(VolumeId, VolumeId),
    /// The program of a controller.
    Program(PlcId),
}

/// A contact.
#[derive(Clone, Debug, PartialEq)]
pub struct ContactPlan {
    /// Designation, such as `K1:13-14`.
    pub name: String,
    /// What moves it.
    pub operator: OperatorId,
    /// Conducts at rest.
    pub normally_closed: bool,
    /// Forced apart by the actuator, even when welded (direct opening action, IEC 60947-5-1
    /// annex K, from memory).
    pub direct: bool,
    /// Its branch.
    pub branch: BranchId,
}

/// A fuse link.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FusePlan {
    /// Its branch.
    pub branch: BranchId,
    /// What it trips and which way, when it is a release and no link that melts.
    pub trips: Option<(OperatorId, bool)>,
    pub(crate) watched: usize,
    pub(crate) heat: usize,
}

/// A lamp.
#[derive(Clone, Debug, PartialEq)]
pub struct LampPlan {
    /// Designation.
    pub name: String,
    /// Its branch.
    pub branch: BranchId,
    /// Rated voltage [V].
    pub volts: f64,
}

/// One galvanically joined part of the control circuit.
#[derive(Clone, Debug)]
pub struct NetworkPlan {
    /// Kind of current.
    pub current: Current,
    /// Its branches in local order.
    pub branches: Vec<BranchId>,
    /// Its nodes in local order; the first is the earth.
    pub nodes: Vec<NodeId>,
    /// Its windings, one per port.
    pub windings: Vec<WindingId>,
    /// Its fuses, one per watched branch.
    pub fuses: Vec<FuseId>,
    /// Its lamps, as indices into the plan's, one per watched voltage.
    pub lamps: Vec<usize>,
    pub(crate) topology: Topology,
    pub(crate) ports: Vec<(usize, usize)>,
    /// The same with each winding as a branch: what an ohmmeter sees.
    pub(crate) resistive: Topology,
    /// What is known of it in some of the ways in which it may stand.
    pub(crate) known: Reductions,
}

/// A volume of fluid.
#[derive(Clone, Debug, PartialEq)]
pub struct VolumePlan {
    /// Name: that of its line, or of a port.
    pub name: String,
    /// A fixed pressure [Pa gauge] (tank, atmosphere, compressed-air main) when sound, or `None`.
    pub fixed_pa: Option<f64>,
    /// Cylinder chambers on it: piston, and true for the cap side.
    pub chambers: Vec<(PistonId, bool)>,
    /// Bladder accumulators on it: their gas follows its pressure.
    pub accumulators: Vec<AccumulatorId>,
    pub(crate) state: usize,
}

/// What drives a flow law.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drive {
    /// Nothing.
    None,
    /// A spool's position.
    Spool(SpoolId),
    /// A pump's speed.
    Pump(PumpId),
    /// A pump's speed, at the displacement that a spool leaves it: all at 0, none at 1.
    Stroked(PumpId, SpoolId),
    /// The pressure of a third volume.
    Pressure(VolumeId),
    /// A handle: 1 while its operator acts, else 0.
    Operator(OperatorId),
    /// A hydraulic motor's speed, where it has inertia.
    Motor(MotorId),
}

/// A flow path.
#[derive(Clone, Debug, PartialEq)]
pub struct FlowPlan {
    /// Name, such as `1V1:P-A`.
    pub name: String,
    /// Positive flow leaves this volume.
    pub first: VolumeId,
    /// And enters this one.
    pub second: VolumeId,
    /// What drives it.
    pub drive: Drive,
    /// It passes oil.
    pub(crate) oily: bool,
}

/// A spool.
#[derive(Clone, Debug, PartialEq)]
pub struct SpoolPlan {
    /// Designation of the valve.
    pub name: String,
    /// Solenoid a.
    pub a: Option<WindingId>,
    /// Solenoid b.
    pub b: Option<WindingId>,
    /// Flow paths it opens, each with its flow force [N/Pa] when fully open.
    pub paths: Vec<(FlowId, f64)>,
    /// Volumes that press on it, each with its force towards +1 per pressure [N/Pa].
    pub pilots: Vec<(VolumeId, f64)>,
    /// Volumes into which it displaces fluid, each with the volume per unit of position [m3]. Such
    /// a volume counts as large as it is at position 0.
    pub sweeps: Vec<(VolumeId, f64)>,
    /// The sleeve by which a pressure centres it.
    pub sleeve: Option<SleevePlan>,
    /// The amplifier whose solenoids drive it.
    pub amplifier: Option<AmplifierId>,
    /// How its manual overrides are worked.
    pub handle: Handle,
    /// It balances between its ends, as in a pressure valve: it has no positions to tell of.
    pub modulates: bool,
    /// Position at the start of a run [1].
    pub initially: f64,
    pub(crate) state: usize,
}

/// A sleeve on the end of a spool that a pressure pushes as far as the centre, where it stands on a stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SleevePlan {
    /// What presses on it.
    pub volume: VolumeId,
    /// Force towards +1 per pressure [N/Pa] while the spool is on the side of -1.
    pub newton_per_pa: f64,
    /// Volume that it displaces into there per unit of position [m3].
    pub m3: f64,
}

/// A piston.
#[derive(Clone, Debug, PartialEq)]
pub struct PistonPlan {
    /// Designation of the cylinder.
    pub name: String,
    /// Cap-side volume.
    pub cap: VolumeId,
    /// Rod-side volume.
    pub rod: VolumeId,
    /// Position at the start of a run [m].
    pub initially_m: f64,
    pub(crate) state: usize,
}

/// A pump.
#[derive(Clone, Debug, PartialEq)]
pub struct PumpPlan {
    /// Designation.
    pub name: String,
    /// Its flow path.
    pub flow: FlowId,
    /// It runs while all of these act: contactor, isolator.
    pub run_by: Vec<OperatorId>,
    pub(crate) state: usize,
}

/// A hydraulic motor.
#[derive(Clone, Debug, PartialEq)]
pub struct MotorPlan {
    /// Designation.
    pub name: String,
    /// Its flow path, whose law is its own.
    pub flow: FlowId,
    /// It drives nothing: its speed tells the flow.
    pub meter: bool,
    /// State of its speed [1/s], where it has inertia.
    pub(crate) state: usize,
}

/// An accumulator.
#[derive(Clone, Debug, PartialEq)]
pub struct AccumulatorPlan {
    /// Designation.
    pub name: String,
    /// The volume it stands on.
    pub volume: VolumeId,
    /// State of the oil behind its piston, if it has one.
    pub(crate) state: usize,
}

/// A programmable controller.
#[derive(Clone, Debug, PartialEq)]
pub struct PlcPlan {
    /// Designation.
    pub name: String,
    /// Supply terminals, plus and minus.
    pub supply: (NodeId, NodeId),
    /// Common of the inputs.
    pub common: NodeId,
    /// Input terminals.
    pub inputs: Vec<NodeId>,
    /// What moves each output.
    pub outputs: Vec<OperatorId>,
    /// Its program.
    pub program: Arc<Program>,
}

/// An amplifier of a proportional valve.
#[derive(Clone, Debug, PartialEq)]
pub struct AmplifierPlan {
    /// Designation.
    pub name: String,
    /// Supply terminals, plus and minus.
    pub supply: (NodeId, NodeId),
    /// Terminals of its calls; of several the first counts.
    pub calls: Vec<NodeId>,
    /// What it controls, if anything but its spool.
    pub feedback: Option<Feedback>,
    pub(crate) set: usize,
    pub(crate) current: usize,
    /// The integral part of its loop, if it has one.
    pub(crate) integral: usize,
}

/// What a transducer shows to an amplifier.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feedback {
    /// The position of a piston.
    Position(PistonId),
    /// The speed of a motor.
    Speed(MotorId),
}

/// The oil of a bench whose temperature counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OilPlan {
    /// Its viscosity by temperature.
    pub viscosity: Viscosity,
    /// Viscosity for which leakage and damping are authored [mm2/s].
    pub authored_mm2_s: f64,
    /// Temperature at the start [degC].
    pub start_celsius: f64,
    /// Heat capacity of all of it [J/K].
    pub joule_per_kelvin: f64,
    /// Heat that tank and cooler shed per difference to the air [W/K].
    pub watt_per_kelvin: f64,
    /// Expansion with its temperature [1/K], everywhere alike; 0 where it is not counted.
    pub per_kelvin: f64,
    pub(crate) state: usize,
}

impl OilPlan {
    /// Oil of this viscosity, authored for `authored_mm2_s` [mm2/s].
    #[must_use]
    pub fn new(viscosity: Viscosity, authored_mm2_s: f64, start_celsius: f64) -> OilPlan {
        OilPlan {
            viscosity,
            authored_mm2_s,
            start_celsius,
            joule_per_kelvin: 1e5,
            watt_per_kelvin: 0.0,
            per_kelvin: 0.0,
            state: NO_STATE,
        }
    }

    /// How much thinner the oil is than authored, as a multiple, at `celsius` [degC], and its
    /// slope [1/K].
    #[must_use]
    pub fn thinness(&self, celsius: f64) -> (f64, f64) {
        // Outside of this the formula is not meant to hold.
        let within = celsius.clamp(-20.0, 150.0);
        let nu = self.viscosity.at(within);
        let thin = self.authored_mm2_s / nu;
        let slope = if within == celsius { -thin / nu * self.viscosity.slope(within) } else { 0.0 };
        (thin, slope)
    }
}

/// An element of a part, with the role it has there (such as `coil`, `13-14`, `P-A`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Element {
    /// A branch.
    Branch(BranchId),
    /// A contact.
    Contact(ContactId),
    /// A winding.
    Winding(WindingId),
    /// An operator.
    Operator(OperatorId),
    /// A fuse.
    Fuse(FuseId),
    /// A volume.
    Volume(VolumeId),
    /// A flow path.
    Flow(FlowId),
    /// A spool.
    Spool(SpoolId),
    /// A piston.
    Piston(PistonId),
    /// A pump.
    Pump(PumpId),
    /// An accumulator.
    Accumulator(AccumulatorId),
    /// A controller.
    Plc(PlcId),
    /// A transformer.
    Transformer(TransformerId),
    /// A rectifier bridge.
    Rectifier(RectifierId),
    /// A motor's overload relay.
    Overload(OverloadId),
    /// An amplifier.
    Amplifier(AmplifierId),
}

/// An authored part, or a wire: what can be looked at, measured, broken and replaced.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Designation, such as `K1`; wires are `W1`, `W2`, ...
    pub tag: String,
    /// Component class in the catalogue.
    pub class: &'static str,
    /// What it is for, as authored.
    pub title: String,
    /// Electrical terminals: marking and node.
    pub terminals: Vec<(String, NodeId)>,
    /// Fluid ports: marking and volume.
    pub ports: Vec<(String, VolumeId)>,
    /// Elements with their roles.
    pub elements: Vec<(String, Element)>,
    /// Nameplate: what is written on it.
    pub nameplate: Vec<(String, String)>,
}

impl Part {
    /// The element with `role`.
    #[must_use]
    pub fn element(&self, role: &str) -> Option<Element> {
        self.elements.iter().find(|(name, _)| name == role).map(|(_, e)| *e)
    }

    /// The volume at port `marking`.
    #[must_use]
    pub fn port(&self, marking: &str) -> Option<VolumeId> {
        self.ports.iter().find(|(name, _)| name == marking).map(|(_, v)| *v)
    }

    /// The node of terminal `marking`.
    #[must_use]
    pub fn terminal(&self, marking: &str) -> Option<NodeId> {
        self.terminals.iter().find(|(name, _)| name == marking).map(|(_, n)| *n)
    }
}

/// A point where a gauge can be fitted.
#[derive(Clone, Debug, PartialEq)]
pub struct TestPoint {
    /// Designation, such as `MP1`.
    pub name: String,
    /// Where it sits.
    pub volume: VolumeId,
}

/// A guard watched during integration; its index is its rank when several fire at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Watch {
    Fuse(FuseId),
    Burn(WindingId),
    Operator(OperatorId),
    Spool(SpoolId),
    Piston(PistonId),
    Overload(OverloadId),
    /// It comes to an end stop, or leaves it.
    Stop(Mover),
}

/// What moves between two end stops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mover {
    Spool(SpoolId),
    Piston(PistonId),
    /// The piston of an accumulator.
    Seal(AccumulatorId),
}

/// The plan of a bench.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Name of the bench.
    pub name: String,
    /// Ambient temperature [degC].
    pub ambient_celsius: f64,
    /// Terminals; entry 0 is the earth.
    pub nodes: Vec<NodePlan>,
    /// Branches.
    pub branches: Vec<BranchPlan>,
    /// Windings.
    pub windings: Vec<WindingPlan>,
    /// Operators.
    pub operators: Vec<OperatorPlan>,
    /// Contacts.
    pub contacts: Vec<ContactPlan>,
    /// Fuses.
    pub fuses: Vec<FusePlan>,
    /// Lamps.
    pub lamps: Vec<LampPlan>,
    /// Networks.
    pub networks: Vec<NetworkPlan>,
    /// Volumes.
    pub volumes: Vec<VolumePlan>,
    /// Flow paths.
    pub flows: Vec<FlowPlan>,
    /// Spools.
    pub spools: Vec<SpoolPlan>,
    /// Pistons.
    pub pistons: Vec<PistonPlan>,
    /// Pumps.
    pub pumps: Vec<PumpPlan>,
    /// Hydraulic motors.
    pub motors: Vec<MotorPlan>,
    /// Accumulators.
    pub accumulators: Vec<AccumulatorPlan>,
    /// The oil, if its temperature counts.
    pub oil: Option<OilPlan>,
    /// Controllers.
    pub plcs: Vec<PlcPlan>,
    /// Rectifier bridges.
    pub rectifiers: Vec<RectifierPlan>,
    /// Overload relays.
    pub overloads: Vec<OverloadPlan>,
    /// Amplifiers.
    pub amplifiers: Vec<AmplifierPlan>,
    /// Parts and wires.
    pub parts: Vec<Part>,
    /// Test points.
    pub test_points: Vec<TestPoint>,
    /// Everything sound and at its nominal value.
    pub nominal: Condition,
    pub(crate) state_count: usize,
    pub(crate) tolerance: Vec<f64>,
    pub(crate) initial: Vec<f64>,
    pub(crate) watches: Vec<Watch>,
    /// Some release has a magnetic trip, so that its current must be known all the time.
    pub(crate) magnetic: bool,
    pub(crate) elimination: Arc<Elimination>,
    /// Slot of each Jacobian entry in the order in which the model gives them.
    pub(crate) slots: Vec<usize>,
}

impl Plan {
    /// The part tagged `tag`.
    #[must_use]
    pub fn part(&self, tag: &str) -> Option<PartId> {
        self.parts.iter().position(|p| p.tag == tag).map(PartId::new)
    }

    /// Index of the network that `node` belongs to; `None` for the earth.
    #[must_use]
    pub fn network_of(&self, node: NodeId) -> Option<usize> {
        (node.index() != 0).then(|| self.nodes[node.index()].network)
    }

    /// A number for each node, the same for those that metal joins: not through the earth, the core
    /// of a transformer or a capacitance.
    #[must_use]
    pub fn conducting_groups(&self) -> Vec<usize> {
        fn find(root: &mut [usize], mut n: usize) -> usize {
            while root[n] != n {
                root[n] = root[root[n]];
                n = root[n];
            }
            n
        }
        let mut root: Vec<usize> = (0..self.nodes.len()).collect();
        let branches = self.branches.iter().filter(|b| {
            !matches!(
                b.role,
                BranchRole::Capacitance
                    | BranchRole::Transformer(_, Leg::Primary | Leg::Like | Leg::Unlike)
            )
        });
        let ends = branches.map(|b| (b.a.index(), b.b.index()));
        let coils = self.windings.iter().map(|w| (w.a.index(), w.b.index()));
        for (a, b) in ends.chain(coils).filter(|&(a, b)| a != 0 && b != 0) {
            let (a, b) = (find(&mut root, a), find(&mut root, b));
            root[a.max(b)] = a.min(b);
        }
        (0..root.len()).map(|n| find(&mut root, n)).collect()
    }

    /// The terminal named `name`, such as `K1:A1`.
    #[must_use]
    pub fn node(&self, name: &str) -> Option<NodeId> {
        self.nodes.iter().position(|n| n.name == name).map(NodeId::new)
    }
}
