//! What can be seen and measured of a run without changing it.

use crate::base::{
    AccumulatorId, BranchId, FlowId, MotorId, NodeId, PistonId, PumpId, SpoolId, VolumeId,
    WindingId,
};
use crate::electric::{Complex64, Factor, Suppressor};
use crate::fluid::FlowLaw;
use crate::fluid::oil::ICE_KELVIN;

use super::engine::Plant;
use super::model::{Model, NetworkLive, admittance, conductance, resistance_at, source_volts};
use super::plan::{BranchRole, Current, Drive, NO_STATE};

/// A quantity that can be read at any moment. Units are SI; pressures are gauge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Probe {
    /// Voltage of the first node against the second [V]; root-mean-square on alternating current.
    Volts(NodeId, NodeId),
    /// Current of a winding [A].
    WindingAmps(WindingId),
    /// Current through a branch from its first to its second end [A].
    BranchAmps(BranchId),
    /// Temperature of a winding [degC].
    Celsius(WindingId),
    /// Position of a spool [1], -1 to +1.
    Spool(SpoolId),
    /// Pressure of a volume [Pa gauge].
    Pressure(VolumeId),
    /// Flow through a path [m3/s; kg/s for air].
    Flow(FlowId),
    /// Position of a piston [m].
    Piston(PistonId),
    /// Speed of a piston [m/s], positive extending.
    PistonSpeed(PistonId),
    /// Speed of a pump [1/s].
    PumpSpeed(PumpId),
    /// Speed of a hydraulic motor [1/s], positive forwards.
    MotorSpeed(MotorId),
    /// Temperature of the oil [degC]; that of the room where it does not count.
    OilCelsius,
    /// Pressure of the gas of an accumulator [Pa gauge]: of one with a bladder that of the oil, or of the
    /// precharge when it is empty of oil. Where the bladder has burst there is no gas but the oil's pressure.
    GasPressure(AccumulatorId),
    /// Temperature of the gas of an accumulator [degC] that was filled at that of the room.
    GasCelsius(AccumulatorId),
}

/// The network between two points as an instrument sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terminals {
    /// Voltage with nothing connected [V], phasor.
    pub open_v: Complex64,
    /// Impedance behind it [ohm].
    pub ohm: Complex64,
    /// Kind of current of the first point's network.
    pub current: Current,
}

/// Everything of a bench that shows, read in one go: for whoever draws it. Entry k belongs to the
/// element with index k of the plan. Units are SI; pressures are gauge.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Survey {
    /// Voltage of every node against earth [V], phasor.
    pub node_v: Vec<Complex64>,
    /// Current of every branch from its first to its second end [A], phasor.
    pub branch_a: Vec<Complex64>,
    /// Current of every winding [A].
    pub winding_a: Vec<f64>,
    /// Temperature of every winding [degC].
    pub winding_celsius: Vec<f64>,
    /// Position of every spool [1].
    pub spool: Vec<f64>,
    /// Pressure of every volume [Pa].
    pub pressure_pa: Vec<f64>,
    /// Flow through every path [m3/s; kg/s for air].
    pub flow: Vec<f64>,
    /// Position of every piston [m].
    pub piston_m: Vec<f64>,
    /// Speed of every piston [m/s], positive extending.
    pub piston_speed: Vec<f64>,
    /// Speed of every pump [1/s].
    pub pump_speed: Vec<f64>,
}

impl Plant {
    /// Reads everything that shows, now.
    pub fn survey(&mut self) -> Survey {
        self.with_model(|model, y| {
            let plan = model.plan;
            let mut survey = Survey {
                node_v: vec![Complex64::default(); plan.nodes.len()],
                winding_a: model.live.winding_a.clone(),
                winding_celsius: plan.windings.iter().map(|w| y[w.heat]).collect(),
                spool: plan.spools.iter().map(|s| y[s.state].clamp(-1.0, 1.0)).collect(),
                pressure_pa: (0..plan.volumes.len()).map(|v| model.pressure(v, y)).collect(),
                flow: (0..plan.flows.len()).map(|f| model.flow(f, y)).collect(),
                piston_m: plan.pistons.iter().map(|p| y[p.state]).collect(),
                piston_speed: (0..plan.pistons.len())
                    .map(|p| piston_speed(model, PistonId::new(p), y))
                    .collect(),
                pump_speed: plan.pumps.iter().map(|p| y[p.state]).collect(),
                branch_a: Vec::new(),
            };
            for (n, network) in plan.networks.iter().enumerate() {
                let volts = volts_of(model, n);
                for (id, v) in network.nodes.iter().zip(volts) {
                    if id.index() != 0 {
                        survey.node_v[id.index()] = v;
                    }
                }
            }
            survey.branch_a = (0..plan.branches.len())
                .map(|k| {
                    let place = &plan.branches[k];
                    let across = survey.node_v[place.a.index()] - survey.node_v[place.b.index()];
                    current_of(model, k, across)
                })
                .collect();
            survey
        })
    }

    /// Reads `probe` now.
    pub fn read(&mut self, probe: Probe) -> f64 {
        match probe {
            Probe::Volts(a, b) => {
                let v = self.node_volts(a) - self.node_volts(b);
                self.as_reading(a, b, v)
            }
            Probe::WindingAmps(w) => self.with_model(|model, _| model.live.winding_a[w.index()]),
            Probe::BranchAmps(branch) => {
                let plan = self.plan().clone();
                let place = &plan.branches[branch.index()];
                let i = self.branch_amps(branch);
                self.as_reading(place.a, place.b, i)
            }
            Probe::Celsius(w) => self.state()[self.plan().windings[w.index()].heat],
            Probe::OilCelsius => match &self.plan().oil {
                Some(oil) => self.state()[oil.state],
                None => self.plan().ambient_celsius,
            },
            Probe::GasPressure(a) => {
                let (k, place) = (a.index(), self.plan().accumulators[a.index()].clone());
                let oil_pa = self.read(Probe::Pressure(place.volume));
                let (is, new) =
                    (self.condition().accumulators[k], self.plan().nominal.accumulators[k]);
                if place.state != NO_STATE {
                    is.gas_pa(self.state()[place.state]).0
                } else if is.gas_m3 < 0.5 * new.gas_m3 {
                    oil_pa
                } else {
                    oil_pa.max(is.precharge_pa)
                }
            }
            Probe::GasCelsius(a) => {
                let pa = self.read(Probe::GasPressure(a));
                let room = self.plan().ambient_celsius + ICE_KELVIN;
                self.condition().accumulators[a.index()].gas_kelvin(pa, room) - ICE_KELVIN
            }
            Probe::Spool(s) => self.state()[self.plan().spools[s.index()].state].clamp(-1.0, 1.0),
            Probe::Pressure(v) => self.with_model(|model, y| model.pressure(v.index(), y)),
            Probe::Flow(f) => self.with_model(|model, y| model.flow(f.index(), y)),
            Probe::Piston(p) => self.state()[self.plan().pistons[p.index()].state],
            Probe::PistonSpeed(p) => self.with_model(|model, y| piston_speed(model, p, y)),
            Probe::MotorSpeed(m) => {
                let place = self.plan().motors[m.index()].clone();
                if place.state != NO_STATE {
                    return self.state()[place.state];
                }
                let path = self.plan().flows[place.flow.index()].clone();
                let dp = self.read(Probe::Pressure(path.first))
                    - self.read(Probe::Pressure(path.second));
                match &self.condition().flows[place.flow.index()] {
                    FlowLaw::Motor(make) => make.speed(dp).0,
                    _ => 0.0,
                }
            }
            Probe::PumpSpeed(p) => self.state()[self.plan().pumps[p.index()].state],
        }
    }

    /// Signed value on direct current, magnitude on alternating.
    fn as_reading(&self, a: NodeId, b: NodeId, value: Complex64) -> f64 {
        let alternating = [a, b].into_iter().any(|n| {
            self.plan()
                .network_of(n)
                .is_some_and(|n| matches!(self.plan().networks[n].current, Current::Ac { .. }))
        });
        if alternating { value.norm_sqr().sqrt() } else { value.re }
    }

    /// Voltage of every node of a network against earth [V].
    pub(super) fn network_volts(&mut self, network: usize) -> Vec<Complex64> {
        self.with_model(|model, _| volts_of(model, network))
    }

    /// Voltage of a node against earth [V], phasor.
    pub fn node_volts(&mut self, node: NodeId) -> Complex64 {
        match self.plan().network_of(node) {
            None => Complex64::default(),
            Some(network) => {
                let local = self.plan().nodes[node.index()].local;
                self.network_volts(network)[local]
            }
        }
    }

    /// Voltage across a branch, first end against second [V], phasor.
    pub fn branch_volts(&mut self, branch: BranchId) -> Complex64 {
        let (a, b) = {
            let place = &self.plan().branches[branch.index()];
            (place.a, place.b)
        };
        self.node_volts(a) - self.node_volts(b)
    }

    /// Current through a branch from first to second end [A], phasor.
    pub fn branch_amps(&mut self, branch: BranchId) -> Complex64 {
        let across = self.branch_volts(branch);
        self.with_model(|model, _| current_of(model, branch.index(), across))
    }

    /// What an instrument between `a` and `b` sees; windings count with their resistance, and on
    /// alternating current with their reactance.
    pub fn terminals(&mut self, a: NodeId, b: NodeId) -> Terminals {
        let open_v = self.node_volts(a) - self.node_volts(b);
        let current = self
            .plan()
            .network_of(a)
            .or_else(|| self.plan().network_of(b))
            .map_or(Current::Dc, |n| self.plan().networks[n].current);
        let ohm = self.between(a, b, false);
        Terminals { open_v, ohm, current }
    }

    /// Resistance [ohm] that a small direct current meets between `a` and `b`: windings count with
    /// their copper and what resistors lie across them, and diodes and clamps do not conduct.
    pub fn resistance(&mut self, a: NodeId, b: NodeId) -> f64 {
        self.between(a, b, true).re
    }

    fn between(&mut self, a: NodeId, b: NodeId, direct: bool) -> Complex64 {
        match (self.plan().network_of(a), self.plan().network_of(b)) {
            (Some(n), Some(m)) if n == m => self.driving_point(n, Some(a), Some(b), direct),
            // Different networks meet only at earth.
            (from, to) => {
                let mut part = |n: Option<usize>, id| {
                    n.map_or(Complex64::default(), |n| {
                        self.driving_point(n, Some(id), None, direct)
                    })
                };
                part(from, a) + part(to, b)
            }
        }
    }

    /// Impedance of network `n` between two of its nodes (or one and the earth).
    fn driving_point(
        &mut self,
        n: usize,
        a: Option<NodeId>,
        b: Option<NodeId>,
        direct: bool,
    ) -> Complex64 {
        self.with_model(|model, y| {
            let network = &model.plan.networks[n];
            let mut factor = Factor::<Complex64>::default();
            let count = network.branches.len();
            factor.refresh(&network.resistive, |k| {
                if k < count {
                    let id = network.branches[k].index();
                    let role = model.plan.branches[id].role;
                    // An ohmmeter's voltage opens no diode.
                    let diodes = matches!(role, BranchRole::Feed(_) | BranchRole::Load(_));
                    if matches!(role, BranchRole::Iron(_)) || direct && diodes {
                        return Complex64::default();
                    }
                    match network.current {
                        Current::Ac { omega } if !direct => {
                            admittance(model.plan, model.actual, model.status, id, omega)
                        }
                        _ => {
                            let siemens = conductance(model.plan, model.actual, model.status, id);
                            Complex64::new(siemens, 0.0)
                        }
                    }
                } else {
                    Complex64::new(1.0, 0.0) / winding_ohm(model, n, k - count, y, direct)
                }
            });
            let mut v = vec![Complex64::default(); network.nodes.len()];
            let local = |id: Option<NodeId>| id.map_or(0, |id| model.plan.nodes[id.index()].local);
            let (a, b) = (local(a), local(b));
            v[a] += 1.0;
            v[b] -= 1.0;
            factor.solve(&network.resistive, &mut v);
            v[a] - v[b]
        })
    }

    /// Position a spool has settled in, if any.
    #[must_use]
    pub fn spool_at(&self, spool: SpoolId) -> Option<i8> {
        self.status().spool_at[spool.index()]
    }

    /// Mean volume or mass flow out of the pump `p`, if it has one [m3/s].
    pub fn pump_flow(&mut self, p: PumpId) -> f64 {
        let flow = self.plan().pumps[p.index()].flow;
        debug_assert!(matches!(self.plan().flows[flow.index()].drive, Drive::Pump(_)));
        self.read(Probe::Flow(flow))
    }
}

/// Voltage of every node of a network against earth [V], in the network's order.
fn volts_of(model: &Model, network: usize) -> Vec<Complex64> {
    let place = &model.plan.networks[network];
    match &model.live.networks[network] {
        NetworkLive::Dc { net, ports } => {
            let mut v = net.injected.clone();
            for (k, i) in ports.port_currents().iter().enumerate() {
                let (a, b) = place.ports[k];
                v[a] -= i;
                v[b] += i;
            }
            net.factor.solve(&place.topology, &mut v);
            v.into_iter().map(|x| Complex64::new(x, 0.0)).collect()
        }
        NetworkLive::Ac { net, ports } => {
            let mut v = net.injected.clone();
            for (k, i) in ports.current.iter().enumerate() {
                let (a, b) = place.ports[k];
                v[a] -= i;
                v[b] += i;
            }
            net.factor.solve(&place.topology, &mut v);
            v
        }
    }
}

/// Current [A] of a branch with `across` [V] between its ends, from first to second end.
fn current_of(model: &Model, branch: usize, across: Complex64) -> Complex64 {
    let siemens = match model.plan.networks[model.plan.branches[branch].network].current {
        Current::Ac { omega } => admittance(model.plan, model.actual, model.status, branch, omega),
        Current::Dc => {
            Complex64::new(conductance(model.plan, model.actual, model.status, branch), 0.0)
        }
    };
    (across - source_volts(model.plan, model.actual, model.status, branch)) * siemens
}

/// Impedance [ohm] of the winding at port `port` of network `n`; with `direct` its resistance, with
/// its suppressors that are plain resistances.
fn winding_ohm(model: &Model, n: usize, port: usize, y: &[f64], direct: bool) -> Complex64 {
    let network = &model.plan.networks[n];
    let w = network.windings[port].index();
    let (ohm, _) = resistance_at(model.actual, model.status, w, y[model.plan.windings[w].heat]);
    if direct {
        let siemens: f64 = model.actual.suppressors[w]
            .iter()
            .map(|s| match s {
                Suppressor::Resistor(across) => 1.0 / across,
                _ => 0.0,
            })
            .sum();
        return Complex64::new(1.0 / (1.0 / ohm + siemens), 0.0);
    }
    match (&model.live.networks[n], network.current) {
        (NetworkLive::Ac { .. }, Current::Ac { omega }) => model.winding_impedance(w, y, omega),
        _ => Complex64::new(ohm, 0.0),
    }
}

fn piston_speed(model: &Model, p: PistonId, y: &[f64]) -> f64 {
    let place = &model.plan.pistons[p.index()];
    let make = &model.actual.pistons[p.index()];
    let (force, _) = make.force(
        model.pressure(place.cap.index(), y),
        model.pressure(place.rod.index(), y),
        y[place.state],
    );
    make.speed(force, y[place.state], model.status.stops.pistons[p.index()]).0
}
