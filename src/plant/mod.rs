//! One run of a bench: its plan, its state, and the clock.
//!
//! A [`Plan`] is immutable and shared; a [`Plant`] is all mutable state of one run. Elements have
//! numbers (their [`Condition`]) that faults change and a new part restores; everything else follows
//! from the physics.

mod builder;
mod condition;
mod engine;
mod kin;
mod likeness;
mod limit;
mod model;
mod observe;
mod plan;
mod words;

pub use builder::{ARC, PlanBuilder, PlanError, STATE_LIMIT};
pub use condition::{
    BranchMake, Condition, ContactFault, ContactMake, Delay, DriveMake, FuseMake, IDLING,
    OVERLOAD_HOLDS, OperatorMake, OverloadMake, PlcMake, RectifierMake, STANDING, TransformerMake,
    Trigger,
};
pub use engine::{Happening, Plant, PlantError, RELATIVE_TOLERANCE, Stop, What};
pub(crate) use kin::{Kinship, Note};
pub use observe::{Probe, Survey, Terminals};
pub use plan::{
    AccumulatorPlan, AmplifierPlan, BranchPlan, BranchRole, ContactPlan, Current, Drive, Element,
    Feedback, FlowPlan, FusePlan, LampPlan, Leg, MotorPlan, Moves, NetworkPlan, NodePlan, OilPlan,
    OperatorPlan, OverloadPlan, Part, PistonPlan, Plan, PlcPlan, PumpPlan, RectifierPlan,
    SleevePlan, SpoolPlan, TestPoint, Tie, VolumePlan, WindingPlan,
};
