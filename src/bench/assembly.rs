//! What the catalogue builds into: the plan in the making, and who is who.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::base::{MotorId, NodeId, OperatorId, PistonId, VolumeId, WindingId};
use crate::diagnostic::Span;
use crate::fluid::{Medium, Volume};
use crate::language::Phrase;
use crate::plant::{OilPlan, PlanBuilder};
use crate::plc::Program;
use crate::quantity::Supply;

use super::catalogue::{self, ClassSpec};
use super::fields::Fields;

/// Properties of the bench's oil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oil {
    /// Density [kg/m3].
    pub density: f64,
    /// What fills the oil volumes.
    pub medium: Medium,
    /// Its viscosity, contents and cooling, if its temperature counts.
    pub bath: Option<OilPlan>,
}

/// Viscosity of an oil whose grade is not written [m2/s].
const USUAL_M2_S: f64 = 46e-6;

impl Oil {
    /// Viscosity for which leakage is authored [m2/s]: that of the grade at 40 degC.
    #[must_use]
    pub fn viscosity(&self) -> f64 {
        self.bath.as_ref().map_or(USUAL_M2_S, |bath| bath.authored_mm2_s * 1e-6)
    }
}

/// A supply as authored, for checking what it feeds.
#[derive(Clone, Debug)]
pub struct FedBy {
    /// Tag of the supply.
    pub tag: String,
    /// Nominal voltage.
    pub supply: Supply,
    /// Its first terminal.
    pub node: NodeId,
}

/// A consumer as authored, for checking what feeds it.
#[derive(Clone, Debug)]
pub struct Consumer {
    /// Tag of the part.
    pub tag: String,
    /// Rated voltage.
    pub supply: Supply,
    /// Its first terminal.
    pub node: NodeId,
    /// Where the part stands in the file.
    pub span: Span,
}

/// A port pair that names a port the valve does not have.
#[derive(Clone, Debug)]
pub struct UnknownPort {
    /// Tag of the valve.
    pub tag: String,
    /// The pair as written.
    pub pair: String,
    /// Where the part stands in the file.
    pub span: Span,
}

/// Fields of a part that cannot both be true.
#[derive(Clone, Debug)]
pub struct Inconsistent {
    /// What is wrong.
    pub problem: Phrase,
    /// What would be right.
    pub help: Phrase,
    /// Where the field stands in the file.
    pub span: Span,
}

/// A motor starter as authored, until the pump that it drives is built.
#[derive(Clone, Copy, Debug)]
pub struct Starter {
    /// What its overload relay trips.
    pub trips: OperatorId,
    /// Current that the relay is set to, and rated current of the motor [A].
    pub set_a: f64,
    /// See `set_a`.
    pub motor_a: f64,
    /// Time constant of the bimetal [s].
    pub lag_s: f64,
}

/// The plan in the making.
pub struct Assembly {
    /// Its builder.
    pub plan: PlanBuilder,
    /// The oil.
    pub oil: Oil,
    /// Supplies so far.
    pub supplies: Vec<FedBy>,
    /// Consumers so far.
    pub consumers: Vec<Consumer>,
    /// Port pairs that name unknown ports.
    pub unknown_ports: Vec<UnknownPort>,
    /// Fields that cannot both be true.
    pub inconsistent: Vec<Inconsistent>,
    /// Programs of controllers by tag.
    pub programs: BTreeMap<String, Arc<Program>>,
    /// Motor starters by tag.
    pub starters: BTreeMap<String, Starter>,
    volumes: BTreeMap<(String, String), VolumeId>,
    operators: BTreeMap<String, OperatorId>,
    pistons: BTreeMap<String, PistonId>,
    motors: BTreeMap<String, MotorId>,
    part: (String, Span),
    class: &'static str,
    medium: Medium,
    room: Option<VolumeId>,
}

/// Volume [m3] behind a port that is joined to nothing.
const PLUGGED_M3: f64 = 2e-5;

impl Assembly {
    /// An empty assembly.
    #[must_use]
    pub fn new(plan: PlanBuilder, oil: Oil) -> Self {
        Assembly {
            plan,
            oil,
            supplies: Vec::new(),
            consumers: Vec::new(),
            unknown_ports: Vec::new(),
            inconsistent: Vec::new(),
            programs: BTreeMap::new(),
            starters: BTreeMap::new(),
            volumes: BTreeMap::new(),
            operators: BTreeMap::new(),
            pistons: BTreeMap::new(),
            motors: BTreeMap::new(),
            part: (String::new(), Span::new(0, 0)),
            class: "",
            medium: oil.medium,
            room: None,
        }
    }

    /// Starts the part `f`.
    pub fn begin(&mut self, f: &Fields, class: &'static ClassSpec) {
        self.plan.part(f.tag(), class.name, &f.text("title"));
        self.part = (f.tag().to_owned(), f.span);
        self.class = class.name;
        let air = catalogue::is_air(class) == Some(true);
        self.medium = if air { Medium::AIR } else { self.oil.medium };
    }

    /// Class of the part in hand.
    #[must_use]
    pub fn class(&self) -> &'static str {
        self.class
    }

    /// The air around the bench.
    pub fn room(&mut self) -> VolumeId {
        if let Some(id) = self.room {
            return id;
        }
        let make = Volume { still_m3: 1.0, medium: Medium::AIR };
        let id = self.plan.volume("air", make, Some(0.0));
        self.room = Some(id);
        id
    }

    /// Whether `port` of `tag` is in a line.
    #[must_use]
    pub fn is_joined(&self, tag: &str, port: &str) -> bool {
        self.volumes.contains_key(&(tag.to_owned(), port.to_owned()))
    }

    /// The volume at `port` of `tag`, or the air around if nothing is joined.
    pub fn open_volume(&mut self, tag: &str, port: &str) -> VolumeId {
        if self.is_joined(tag, port) { self.volume(tag, port) } else { self.room() }
    }

    /// Says that `port` of `tag` opens into `volume`.
    pub fn join(&mut self, tag: &str, port: &str, volume: VolumeId) {
        self.volumes.insert((tag.to_owned(), port.to_owned()), volume);
    }

    /// The volume at `port` of `tag`; a port that is joined to nothing gets a plugged one.
    pub fn volume(&mut self, tag: &str, port: &str) -> VolumeId {
        let key = (tag.to_owned(), port.to_owned());
        if let Some(id) = self.volumes.get(&key) {
            return *id;
        }
        let make = Volume { still_m3: PLUGGED_M3, medium: self.medium };
        let id = self.plan.volume(&format!("{tag}:{port}"), make, None);
        self.volumes.insert(key, id);
        id
    }

    /// Registers the operator of `tag`.
    pub fn operator(&mut self, tag: &str, id: OperatorId) {
        self.operators.insert(tag.to_owned(), id);
    }

    /// The operator of `tag`, if it has been built.
    #[must_use]
    pub fn operator_of(&self, tag: &str) -> Option<OperatorId> {
        self.operators.get(tag).copied()
    }

    /// Registers the piston of `tag`.
    pub fn piston(&mut self, tag: &str, id: PistonId) {
        self.pistons.insert(tag.to_owned(), id);
    }

    /// The piston of `tag`, if it has been built.
    #[must_use]
    pub fn piston_of(&self, tag: &str) -> Option<PistonId> {
        self.pistons.get(tag).copied()
    }

    /// Registers the hydraulic motor of a part.
    pub fn motor(&mut self, tag: &str, id: MotorId) {
        self.motors.insert(tag.to_owned(), id);
    }

    /// The hydraulic motor of part `tag`.
    #[must_use]
    pub fn motor_of(&self, tag: &str) -> Option<MotorId> {
        self.motors.get(tag).copied()
    }

    /// Registers a supply.
    pub fn supply(&mut self, f: &Fields, supply: Supply, plus: NodeId, _minus: NodeId) {
        self.supplies.push(FedBy { tag: f.tag().to_owned(), supply, node: plus });
    }

    /// Registers a coil of the part in hand.
    pub fn coil(&mut self, winding: WindingId, supply: Supply) {
        let node = self.plan.plan().windings[winding.index()].a;
        let (tag, span) = self.part.clone();
        self.consumers.push(Consumer { tag, supply, node, span });
    }

    /// Registers another consumer.
    pub fn load_voltage(&mut self, f: &Fields, supply: Supply, node: NodeId) {
        self.consumers.push(Consumer { tag: f.tag().to_owned(), supply, node, span: f.span });
    }

    /// Notes that a valve joins a port it does not have.
    pub fn unknown_port(&mut self, f: &Fields, pair: &(String, String)) {
        let pair = format!("{}-{}", pair.0, pair.1);
        self.unknown_ports.push(UnknownPort { tag: f.tag().to_owned(), pair, span: f.span });
    }

    /// Notes that the field `name` cannot be what it is.
    pub fn inconsistent(&mut self, f: &Fields, name: &str, problem: Phrase, help: Phrase) {
        self.inconsistent.push(Inconsistent { problem, help, span: f.span_of(name) });
    }
}
