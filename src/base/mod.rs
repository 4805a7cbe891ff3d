//! What everything else stands on: integer time, deterministic mathematics and
//! independent random streams.
//!
//! ```
//! use spoolbench::base::SimTime;
//! let shift_time = SimTime::from_millis(40);
//! assert_eq!(shift_time.as_nanos(), 40_000_000);
//! assert_eq!(format!("{}", SimTime::from_millis(61_250)), "1:01.250");
//! ```

mod hex;
mod ids;
pub mod ops;
mod rng;
mod time;
mod words;

pub use hex::hex;
pub use ids::{
    AccumulatorId, AmplifierId, BranchId, ContactId, FlowId, FuseId, MotorId, NodeId, OperatorId,
    OverloadId, PartId, PistonId, PlcId, PumpId, RectifierId, SpoolId, TransformerId, VolumeId,
    WindingId,
};
pub use rng::Stream;
pub use time::SimTime;
pub use words::nearest;
