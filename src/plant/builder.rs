//! Builds a plan element by element: the only way to make one.

use crate::base::{
    AccumulatorId, AmplifierId, BranchId, ContactId, FlowId, FuseId, MotorId, NodeId, OperatorId,
    OverloadId, PartId, PistonId, PlcId, PumpId, RectifierId, SpoolId, TransformerId, VolumeId,
    WindingId,
};
use crate::electric::{Suppressor, WindingMake};
use crate::fluid::{Accumulator, FlowLaw, Medium, Motor, Piston, Seal, Volume};
use crate::kernel::{Elimination, PatternBuilder};
use crate::language::Phrase;
use crate::shift::{AmplifierMake, Handle, SpoolMake};

use super::condition::{
    BranchMake, Condition, ContactFault, ContactMake, DriveMake, FuseMake, OperatorMake,
    OverloadMake, PlcMake, RectifierMake, TransformerMake, Trigger,
};
use super::plan::{
    AccumulatorPlan, AmplifierPlan, BranchPlan, BranchRole, ContactPlan, Current, Drive, Element,
    Feedback, FlowPlan, FusePlan, LampPlan, Leg, MotorPlan, Moves, NO_STATE, NodePlan, OilPlan,
    OperatorPlan, OverloadPlan, Part, PistonPlan, Plan, PlcPlan, PumpPlan, RectifierPlan,
    SleevePlan, SpoolPlan, TestPoint, Tie, VolumePlan, WindingPlan,
};

mod finish;

/// What keeps elements from making a plan.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum PlanError {
    /// A network is fed by direct and alternating current, or by two frequencies.
    MixedSupply {
        /// Terminal of one supply.
        first: String,
        /// Terminal of the other.
        second: String,
    },
    /// The bench has more states than the integrator is meant for.
    TooLarge {
        /// States asked for.
        states: usize,
        /// Limit.
        limit: usize,
    },
}

impl PlanError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            PlanError::MixedSupply { first, second } => Phrase::new("bench-mixed")
                .with("first", first.as_str())
                .with("second", second.as_str()),
            PlanError::TooLarge { states, limit } => {
                Phrase::new("bench-many-states").with("states", *states).with("limit", *limit)
            }
        }
    }
}

/// Most continuous states of a bench.
pub const STATE_LIMIT: usize = 400;

/// Voltage [V] and slope [ohm] of the arc that a contact draws when it interrupts a winding.
pub const ARC: (f64, f64) = (250.0, 2.0);

/// Iron loss across a direct-current winding, as a multiple of the winding's resistance [1].
///
/// Small, but it decides the voltage of a winding whose diode has just ceased to conduct. Against
/// the insulation alone the last of the flux would die within a microsecond on one side of zero
/// and slowly through the diode on the other: a corner narrower than the tolerance of the flux.
const IRON_LOSS: f64 = 1000.0;

/// Collects elements; [`PlanBuilder::finish`] makes the plan.
#[derive(Clone, Debug)]
pub struct PlanBuilder {
    plan: Plan,
    supplies: Vec<(BranchId, Current)>,
    /// Conductors with their capacitance to the live one and to earth [F].
    couplings: Vec<(NodeId, f64)>,
    clamps: Vec<(NodeId, f64)>,
    part: Option<usize>,
}

impl PlanBuilder {
    /// An empty bench at `ambient_celsius` [degC].
    #[must_use]
    pub fn new(name: &str, ambient_celsius: f64) -> Self {
        let earth = NodePlan { name: "PE".to_owned(), network: NO_STATE, local: 0 };
        PlanBuilder {
            plan: Plan {
                name: name.to_owned(),
                ambient_celsius,
                nodes: vec![earth],
                branches: Vec::new(),
                windings: Vec::new(),
                operators: Vec::new(),
                contacts: Vec::new(),
                fuses: Vec::new(),
                lamps: Vec::new(),
                networks: Vec::new(),
                volumes: Vec::new(),
                flows: Vec::new(),
                spools: Vec::new(),
                pistons: Vec::new(),
                pumps: Vec::new(),
                motors: Vec::new(),
                accumulators: Vec::new(),
                oil: None,
                plcs: Vec::new(),
                rectifiers: Vec::new(),
                overloads: Vec::new(),
                amplifiers: Vec::new(),
                parts: Vec::new(),
                test_points: Vec::new(),
                nominal: Condition::default(),
                state_count: 0,
                tolerance: Vec::new(),
                initial: Vec::new(),
                watches: Vec::new(),
                magnetic: false,
                elimination: Elimination::new(PatternBuilder::new(0).build()),
                slots: Vec::new(),
            },
            supplies: Vec::new(),
            couplings: Vec::new(),
            clamps: Vec::new(),
            part: None,
        }
    }

    /// The protective earth: node 0, always at 0 V.
    pub const EARTH: NodeId = NodeId::new(0);

    /// Starts a part; elements added from here on belong to it, until the next part.
    pub fn part(&mut self, tag: &str, class: &'static str, title: &str) -> PartId {
        self.plan.parts.push(Part {
            tag: tag.to_owned(),
            class,
            title: title.to_owned(),
            terminals: Vec::new(),
            ports: Vec::new(),
            elements: Vec::new(),
            nameplate: Vec::new(),
        });
        self.part = Some(self.plan.parts.len() - 1);
        PartId::new(self.plan.parts.len() - 1)
    }

    /// Adds a line to the nameplate of the part in hand.
    pub fn nameplate(&mut self, what: &str, value: &str) {
        if let Some(part) = self.part {
            self.plan.parts[part].nameplate.push((what.to_owned(), value.to_owned()));
        }
    }

    fn own(&mut self, role: &str, element: Element) {
        if let Some(part) = self.part {
            self.plan.parts[part].elements.push((role.to_owned(), element));
        }
    }

    /// Adds `element` to the part in hand under `role`: for elements that another part made.
    pub fn share(&mut self, role: &str, element: Element) {
        self.own(role, element);
    }

    /// A terminal with `marking` of the part in hand.
    pub fn terminal(&mut self, marking: &str) -> NodeId {
        let id = NodeId::new(self.plan.nodes.len());
        let name = match self.part {
            Some(part) => {
                let part = &mut self.plan.parts[part];
                part.terminals.push((marking.to_owned(), id));
                format!("{}:{marking}", part.tag)
            }
            None => marking.to_owned(),
        };
        self.plan.nodes.push(NodePlan { name, network: NO_STATE, local: 0 });
        id
    }

    /// A node inside the part in hand, that no probe reaches, called `marking`.
    pub fn inner_node(&mut self, marking: &str) -> NodeId {
        let id = NodeId::new(self.plan.nodes.len());
        let tag = self.part.map_or("", |p| self.plan.parts[p].tag.as_str());
        let name = format!("{tag}:{marking}");
        self.plan.nodes.push(NodePlan { name, network: NO_STATE, local: 0 });
        id
    }

    /// A branch from `a` to `b`.
    pub fn branch(
        &mut self,
        role_name: &str,
        role: BranchRole,
        a: NodeId,
        b: NodeId,
        make: BranchMake,
    ) -> BranchId {
        let id = BranchId::new(self.plan.branches.len());
        self.plan.branches.push(BranchPlan {
            a,
            b,
            role,
            behind: None,
            network: NO_STATE,
            local: 0,
        });
        self.plan.nominal.branches.push(make);
        self.plan.nominal.jumpers.push(false);
        self.own(role_name, Element::Branch(id));
        id
    }

    /// A supply from `minus` to `plus` of `volts` [V] behind `ohm` [ohm], live while `behind` acts.
    pub fn supply(
        &mut self,
        current: Current,
        plus: NodeId,
        minus: NodeId,
        volts: f64,
        ohm: f64,
        behind: Option<OperatorId>,
    ) -> BranchId {
        let id = self.branch(
            "source",
            BranchRole::Source,
            plus,
            minus,
            BranchMake { ohm, volts, farad: 0.0 },
        );
        self.plan.branches[id.index()].behind = behind;
        self.supplies.push((id, current));
        id
    }

    /// A lamp of `volts` [V] and `ohm` [ohm].
    pub fn lamp(&mut self, a: NodeId, b: NodeId, volts: f64, ohm: f64) -> BranchId {
        let name = self.part.map_or_else(String::new, |p| self.plan.parts[p].tag.clone());
        self.named_lamp("lamp", &name, a, b, volts, ohm)
    }

    /// A lamp under `role` that is called `name`, of `volts` [V] and `ohm` [ohm].
    pub fn named_lamp(
        &mut self,
        role: &str,
        name: &str,
        a: NodeId,
        b: NodeId,
        volts: f64,
        ohm: f64,
    ) -> BranchId {
        let id = self.branch(role, BranchRole::Lamp, a, b, BranchMake::ohm(ohm));
        self.plan.lamps.push(LampPlan { name: name.to_owned(), branch: id, volts });
        id
    }

    /// Says that `winding` is not made for being on all the time, and stays below `celsius` [degC] as
    /// long as its duty is kept.
    pub fn intermittent(&mut self, winding: WindingId, celsius: f64) {
        self.plan.windings[winding.index()].rests_below_celsius = Some(celsius);
    }

    /// What the lamp beside the coil under `role` is called: the part's tag, and the solenoid's
    /// letter if it has one.
    #[must_use]
    pub fn lamp_name(&self, role: &str) -> String {
        let tag = self.part.map_or("", |p| self.plan.parts[p].tag.as_str());
        match role.strip_prefix("coil ") {
            Some(side) => format!("{tag}.{side} plug"),
            None => format!("{tag} plug"),
        }
    }

    /// An operator under `role`; `initially` acting.
    pub fn operator(
        &mut self,
        role: &str,
        tie: Tie,
        trigger: Trigger,
        initially: bool,
    ) -> OperatorId {
        let id = OperatorId::new(self.plan.operators.len());
        let name = self.part.map_or_else(String::new, |p| self.plan.parts[p].tag.clone());
        self.plan.operators.push(OperatorPlan { name, tie, contacts: Vec::new(), initially });
        self.plan.nominal.operators.push(OperatorMake { trigger, stuck: None });
        self.own(role, Element::Operator(id));
        id
    }

    /// A contact between `a` and `b` with the marking `role` (such as `13-14`).
    pub fn contact(
        &mut self,
        role: &str,
        operator: OperatorId,
        normally_closed: bool,
        a: NodeId,
        b: NodeId,
        ohm: f64,
    ) -> ContactId {
        let id = ContactId::new(self.plan.contacts.len());
        let branch = self.branch(role, BranchRole::Contact(id), a, b, BranchMake::ohm(0.0));
        let tag = self.part.map_or("", |p| self.plan.parts[p].tag.as_str());
        let name = format!("{tag}:{role}");
        self.plan.contacts.push(ContactPlan {
            name,
            operator,
            normally_closed,
            direct: false,
            branch,
        });
        self.plan.operators[operator.index()].contacts.push(id);
        self.plan.nominal.contacts.push(ContactMake { ohm, fault: ContactFault::Sound });
        self.own(role, Element::Contact(id));
        id
    }

    /// A winding under `role` between `a` and `b`, with suppressors across it.
    pub fn winding(
        &mut self,
        role: &str,
        a: NodeId,
        b: NodeId,
        make: WindingMake,
        suppressors: Vec<Suppressor>,
    ) -> WindingId {
        let id = WindingId::new(self.plan.windings.len());
        let tag = self.part.map_or("", |p| self.plan.parts[p].tag.as_str());
        self.plan.windings.push(WindingPlan {
            name: tag.to_owned(),
            a,
            b,
            moves: Moves::Nothing,
            rests_below_celsius: None,
            network: NO_STATE,
            port: 0,
            linkage: NO_STATE,
            heat: NO_STATE,
        });
        self.plan.nominal.windings.push(make);
        self.plan.nominal.suppressors.push(suppressors);
        self.own(role, Element::Winding(id));
        self.branch(
            "iron",
            BranchRole::Iron(id),
            a,
            b,
            BranchMake::ohm(IRON_LOSS * make.ohm_at_20),
        );
        id
    }

    /// Calls `winding` by the part's tag and `side`.
    pub fn name_winding(&mut self, winding: WindingId, side: &str) {
        let tag = self.part.map_or("", |p| self.plan.parts[p].tag.as_str());
        self.plan.windings[winding.index()].name = format!("{tag}.{side}");
    }

    /// The relay operator that `winding` moves.
    pub fn relay(&mut self, role: &str, winding: WindingId, trigger: Trigger) -> OperatorId {
        let operator = self.operator(role, Tie::Winding(winding), trigger, false);
        self.plan.windings[winding.index()].moves = Moves::Relay(operator);
        operator
    }

    /// A fuse link between `a` and `b`; `ohm` is its cold resistance [ohm].
    pub fn fuse(&mut self, a: NodeId, b: NodeId, make: FuseMake, ohm: f64) -> FuseId {
        let id = FuseId::new(self.plan.fuses.len());
        let branch = self.branch("link", BranchRole::Fuse(id), a, b, BranchMake::ohm(ohm));
        self.plan.fuses.push(FusePlan { branch, trips: None, watched: 0, heat: NO_STATE });
        self.plan.nominal.fuses.push(make);
        self.own("fuse", Element::Fuse(id));
        id
    }

    /// A thermal and magnetic release between `a` and `b` that moves `operator` to `acting`.
    pub fn release(
        &mut self,
        a: NodeId,
        b: NodeId,
        make: FuseMake,
        ohm: f64,
        operator: OperatorId,
        acting: bool,
    ) -> FuseId {
        let id = self.fuse(a, b, make, ohm);
        self.plan.fuses[id.index()].trips = Some((operator, acting));
        self.plan.magnetic |= make.magnetic_a.is_finite();
        id
    }

    /// Gives the normally closed contacts of `operator` direct opening action.
    pub fn open_directly(&mut self, operator: OperatorId) {
        for id in &self.plan.operators[operator.index()].contacts {
            let contact = &mut self.plan.contacts[id.index()];
            contact.direct = contact.normally_closed;
        }
    }

    /// The bistable operator that `set` and `reset` move.
    pub fn latch(
        &mut self,
        role: &str,
        set: WindingId,
        reset: WindingId,
        trigger: Trigger,
    ) -> OperatorId {
        let operator = self.operator(role, Tie::Latch(set, reset), trigger, false);
        self.plan.windings[set.index()].moves = Moves::Relay(operator);
        self.plan.windings[reset.index()].moves = Moves::Unlatch(operator);
        operator
    }

    /// A transformer from `primary` to `secondary`, each with the end of like polarity first.
    pub fn transformer(
        &mut self,
        make: TransformerMake,
        primary: (NodeId, NodeId),
        secondary: (NodeId, NodeId),
    ) -> TransformerId {
        let id = TransformerId::new(self.plan.nominal.transformers.len());
        self.plan.nominal.transformers.push(make);
        for (role, leg, a, b) in [
            ("primary", Leg::Primary, primary.0, primary.1),
            ("secondary", Leg::Secondary, secondary.0, secondary.1),
            ("core", Leg::Like, primary.0, secondary.0),
            ("core", Leg::Like, primary.1, secondary.1),
            ("core", Leg::Unlike, primary.0, secondary.1),
            ("core", Leg::Unlike, primary.1, secondary.0),
        ] {
            self.branch(role, BranchRole::Transformer(id, leg), a, b, BranchMake::ohm(0.0));
        }
        self.own("windings", Element::Transformer(id));
        id
    }

    /// A rectifier bridge from the alternating-current terminals `input` to `plus` and `minus`,
    /// which stand at about `volts` [V].
    pub fn rectifier(
        &mut self,
        make: RectifierMake,
        input: (NodeId, NodeId),
        plus: NodeId,
        minus: NodeId,
        volts: f64,
    ) -> RectifierId {
        let id = RectifierId::new(self.plan.rectifiers.len());
        let infinite = BranchMake::ohm(f64::INFINITY);
        let load = self.branch("input", BranchRole::Load(id), input.0, input.1, infinite);
        let give = BranchMake { ohm: 0.0, volts, farad: 0.0 };
        let feed = self.branch("output", BranchRole::Feed(id), plus, minus, give);
        self.supplies.push((feed, Current::Dc));
        let name = self.part.map_or_else(String::new, |p| self.plan.parts[p].tag.clone());
        self.plan.rectifiers.push(RectifierPlan { name, load, feed });
        self.plan.nominal.rectifiers.push(make);
        self.own("bridge", Element::Rectifier(id));
        id
    }

    /// The overload relay that guards the motor of `pump` and moves `trips`. It belongs to the part
    /// that owns `trips`.
    pub fn overload(&mut self, make: OverloadMake, pump: PumpId, trips: OperatorId) -> OverloadId {
        let id = OverloadId::new(self.plan.overloads.len());
        let owner = Element::Operator(trips);
        let name = self.plan.operators[trips.index()].name.clone();
        for part in &mut self.plan.parts {
            if part.elements.iter().any(|(_, e)| *e == owner) {
                part.elements.push(("overload".to_owned(), Element::Overload(id)));
            }
        }
        self.plan.overloads.push(OverloadPlan { name, pump, trips, state: NO_STATE });
        self.plan.nominal.overloads.push(make);
        id
    }

    /// A volume, or with `fixed_pa` a fixed pressure [Pa gauge].
    pub fn volume(&mut self, name: &str, make: Volume, fixed_pa: Option<f64>) -> VolumeId {
        let id = VolumeId::new(self.plan.volumes.len());
        self.plan.volumes.push(VolumePlan {
            name: name.to_owned(),
            fixed_pa,
            chambers: Vec::new(),
            accumulators: Vec::new(),
            state: NO_STATE,
        });
        self.plan.nominal.volumes.push(make);
        self.plan.nominal.held_pa.push(fixed_pa.unwrap_or(0.0));
        self.plan.nominal.vents.push(0.0);
        id
    }

    /// Makes `volume` larger by `m3` [m3]: a vessel or a dead space on it.
    pub fn enlarge(&mut self, volume: VolumeId, m3: f64) {
        self.plan.nominal.volumes[volume.index()].still_m3 += m3;
    }

    /// Says that port `marking` of the part in hand opens into `volume`.
    pub fn port(&mut self, marking: &str, volume: VolumeId) {
        if let Some(part) = self.part {
            self.plan.parts[part].ports.push((marking.to_owned(), volume));
        }
    }

    /// A test point on `volume`.
    pub fn test_point(&mut self, name: &str, volume: VolumeId) {
        self.plan.test_points.push(TestPoint { name: name.to_owned(), volume });
    }

    /// A flow path under `role` (such as `P-A`).
    pub fn flow(
        &mut self,
        role: &str,
        first: VolumeId,
        second: VolumeId,
        law: FlowLaw,
        drive: Drive,
    ) -> FlowId {
        let id = FlowId::new(self.plan.flows.len());
        let tag = self.part.map_or("", |p| self.plan.parts[p].tag.as_str());
        let medium = self.plan.nominal.volumes[first.index()].medium;
        let oily = matches!(medium, Medium::Oil { .. });
        let name = format!("{tag}:{role}");
        self.plan.flows.push(FlowPlan { name, first, second, drive, oily });
        self.plan.nominal.flows.push(law);
        self.own(role, Element::Flow(id));
        id
    }

    /// A spool moved by solenoids `a` and `b`, at `initially` [1] when a run starts.
    pub fn spool(
        &mut self,
        make: SpoolMake,
        a: Option<WindingId>,
        b: Option<WindingId>,
        initially: f64,
    ) -> SpoolId {
        let id = SpoolId::new(self.plan.spools.len());
        let name = self.part.map_or_else(String::new, |p| self.plan.parts[p].tag.clone());
        for (winding, towards_a) in [(a, true), (b, false)] {
            if let Some(w) = winding {
                self.plan.windings[w.index()].moves = Moves::Spool(id, towards_a);
                self.plan.windings[w.index()].name =
                    format!("{name}.{}", if towards_a { "a" } else { "b" });
            }
        }
        self.plan.spools.push(SpoolPlan {
            name,
            a,
            b,
            paths: Vec::new(),
            pilots: Vec::new(),
            sweeps: Vec::new(),
            sleeve: None,
            handle: Handle::PushLatch,
            amplifier: None,
            modulates: false,
            initially,
            state: NO_STATE,
        });
        self.plan.nominal.spools.push(make);
        self.plan.nominal.plugs_swapped.push(false);
        self.own("spool", Element::Spool(id));
        id
    }

    /// A pilot spool under `role` that `winding` pulls, for the `side` of the valve that it serves.
    pub fn pilot_spool(
        &mut self,
        role: &str,
        side: &str,
        make: SpoolMake,
        winding: WindingId,
    ) -> SpoolId {
        let id = self.spool(make, Some(winding), None, 0.0);
        let name = format!("{}.{side}", self.plan.spools[id.index()].name);
        self.plan.windings[winding.index()].name.clone_from(&name);
        self.plan.spools[id.index()].name = name;
        self.rename_last(role);
        id
    }

    /// Lets the pressure of `volume` push `spool` towards +1 by `newton_per_pa` [N/Pa].
    pub fn press(&mut self, spool: SpoolId, volume: VolumeId, newton_per_pa: f64) {
        self.plan.spools[spool.index()].pilots.push((volume, newton_per_pa));
    }

    /// Says how the manual overrides of `spool` are worked.
    pub fn handle(&mut self, spool: SpoolId, handle: Handle) {
        self.plan.spools[spool.index()].handle = handle;
    }

    /// Lets `spool` displace `m3` [m3] into `volume` per unit of its position.
    pub fn sweep(&mut self, spool: SpoolId, volume: VolumeId, m3: f64) {
        self.plan.spools[spool.index()].sweeps.push((volume, m3));
    }

    /// Lets a sleeve that `volume` presses on push `spool` as far as its centre.
    pub fn sleeve(&mut self, spool: SpoolId, sleeve: SleevePlan) {
        self.plan.spools[spool.index()].sleeve = Some(sleeve);
    }

    /// A spool under `role` that only springs and pressures move, and that balances between its
    /// ends.
    pub fn spring_spool(&mut self, role: &str, make: SpoolMake) -> SpoolId {
        let id = self.spool(make, None, None, 0.0);
        self.plan.spools[id.index()].modulates = true;
        self.rename_last(role);
        id
    }

    /// Names `spool`, added last to the part in hand, `role`, and after it.
    pub fn name_spool(&mut self, spool: SpoolId, role: &str) {
        let name = format!("{} {role}", self.plan.spools[spool.index()].name);
        self.plan.spools[spool.index()].name = name;
        self.rename_last(role);
    }

    /// Gives the element added last to the part in hand the name `role`.
    fn rename_last(&mut self, role: &str) {
        if let Some(part) = self.part
            && let Some(last) = self.plan.parts[part].elements.last_mut()
        {
            role.clone_into(&mut last.0);
        }
    }

    /// A flow path opened by `spool`, with its flow force [N/Pa] when fully open.
    pub fn spool_flow(
        &mut self,
        role: &str,
        spool: SpoolId,
        first: VolumeId,
        second: VolumeId,
        law: FlowLaw,
        flow_force: f64,
    ) -> FlowId {
        let id = self.flow(role, first, second, law, Drive::Spool(spool));
        self.plan.spools[spool.index()].paths.push((id, flow_force));
        id
    }

    /// A piston between the `cap` and `rod` volumes, at `initially_m` [m].
    pub fn piston(
        &mut self,
        make: Piston,
        cap: VolumeId,
        rod: VolumeId,
        initially_m: f64,
    ) -> PistonId {
        let id = PistonId::new(self.plan.pistons.len());
        let name = self.part.map_or_else(String::new, |p| self.plan.parts[p].tag.clone());
        self.plan.pistons.push(PistonPlan { name, cap, rod, initially_m, state: NO_STATE });
        self.plan.nominal.pistons.push(make);
        self.plan.volumes[cap.index()].chambers.push((id, true));
        self.plan.volumes[rod.index()].chambers.push((id, false));
        self.own("piston", Element::Piston(id));
        id
    }

    /// A pump from `inlet` to `outlet` that runs while all of `run_by` act.
    pub fn pump(
        &mut self,
        law: FlowLaw,
        inlet: VolumeId,
        outlet: VolumeId,
        drive: DriveMake,
        run_by: Vec<OperatorId>,
    ) -> PumpId {
        self.stroked_pump(law, inlet, outlet, drive, run_by, None)
    }

    /// The same with a displacement that the spool `swash`, if any, takes away.
    pub fn stroked_pump(
        &mut self,
        law: FlowLaw,
        inlet: VolumeId,
        outlet: VolumeId,
        drive: DriveMake,
        run_by: Vec<OperatorId>,
        swash: Option<SpoolId>,
    ) -> PumpId {
        let id = PumpId::new(self.plan.pumps.len());
        let by = swash.map_or(Drive::Pump(id), |spool| Drive::Stroked(id, spool));
        let flow = self.flow("pump", inlet, outlet, law, by);
        let name = self.part.map_or_else(String::new, |p| self.plan.parts[p].tag.clone());
        self.plan.pumps.push(PumpPlan { name, flow, run_by, state: NO_STATE });
        self.plan.nominal.drives.push(drive);
        self.own("drive", Element::Pump(id));
        id
    }

    /// A hydraulic motor from `first` to `second`.
    pub fn motor(&mut self, role: &str, first: VolumeId, second: VolumeId, make: Motor) -> MotorId {
        let id = MotorId::new(self.plan.motors.len());
        let name = self.part.map_or_else(String::new, |p| self.plan.parts[p].tag.clone());
        let drive = if make.inertia > 0.0 { Drive::Motor(id) } else { Drive::None };
        let flow = self.flow(role, first, second, FlowLaw::Motor(make), drive);
        self.plan.motors.push(MotorPlan { name, flow, meter: false, state: NO_STATE });
        id
    }

    /// Says that `motor` drives nothing: its speed tells the flow.
    pub fn meter(&mut self, motor: MotorId) {
        self.plan.motors[motor.index()].meter = true;
    }

    /// An accumulator on `volume`, with a bladder or, given a seal, with a piston.
    pub fn accumulator(
        &mut self,
        make: Accumulator,
        seal: Option<Seal>,
        volume: VolumeId,
    ) -> AccumulatorId {
        let id = AccumulatorId::new(self.plan.accumulators.len());
        let name = self.part.map_or_else(String::new, |p| self.plan.parts[p].tag.clone());
        self.plan.accumulators.push(AccumulatorPlan { name, volume, state: NO_STATE });
        self.plan.nominal.accumulators.push(make);
        self.plan.nominal.seals.push(seal);
        if seal.is_none() {
            self.plan.volumes[volume.index()].accumulators.push(id);
        }
        self.own("gas", Element::Accumulator(id));
        id
    }

    /// A controller: everything but its name, which is that of the part in hand.
    pub fn plc(&mut self, mut plan: PlcPlan, make: PlcMake) -> PlcId {
        let id = PlcId::new(self.plan.plcs.len());
        plan.name = self.part.map_or_else(String::new, |p| self.plan.parts[p].tag.clone());
        for (k, output) in plan.outputs.iter().enumerate() {
            let operator = &mut self.plan.operators[output.index()];
            operator.tie = Tie::Program(id);
            operator.name = format!("{}:Q{k}", plan.name);
        }
        self.plan.plcs.push(plan);
        self.plan.nominal.plcs.push(make);
        self.own("processor", Element::Plc(id));
        id
    }

    /// Lets the temperature of the oil count.
    pub fn oil(&mut self, oil: OilPlan) {
        self.plan.oil = Some(oil);
    }

    /// An amplifier whose solenoids drive `spool`.
    pub fn amplifier(
        &mut self,
        make: AmplifierMake,
        spool: SpoolId,
        supply: (NodeId, NodeId),
        calls: Vec<NodeId>,
        feedback: Option<Feedback>,
    ) -> AmplifierId {
        let id = AmplifierId::new(self.plan.amplifiers.len());
        let name = self.part.map_or_else(String::new, |p| self.plan.parts[p].tag.clone());
        let (set, current, integral) = (NO_STATE, NO_STATE, NO_STATE);
        self.plan.amplifiers.push(AmplifierPlan {
            name,
            supply,
            calls,
            feedback,
            set,
            current,
            integral,
        });
        self.plan.nominal.amplifiers.push(make);
        self.plan.spools[spool.index()].amplifier = Some(id);
        self.own("amplifier", Element::Amplifier(id));
        id
    }

    /// Says that the output at `node` opens no further than to `volts` [V] across itself.
    pub fn output_clamp(&mut self, node: NodeId, volts: f64) {
        self.clamps.push((node, volts));
    }

    /// Says that the conductor at `node` lies beside the live one of its supply and beside earthed
    /// metal, with `farad` [F] to each. It counts on alternating current only.
    pub fn couple(&mut self, node: NodeId, farad: f64) {
        self.couplings.push((node, farad));
    }

    /// The plan so far, to look things up in.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }
}
