//! The seam: how a winding's pull moves a spool, against spring, detent, flow and hand.
//!
//! Spool position x runs from -1 (solenoid b) over 0 (centre, or rest of a spring-offset valve) to
//! +1 (solenoid a). The spool is overdamped: its speed follows the sum of forces, so partial
//! strokes, stalemates between two energised coils and valves that cannot shift come out of the
//! force balance and are never decided by a rule.
//!
//! ```
//! use spoolbench::shift::{Rest, SpoolMake};
//! let centred = SpoolMake { preload_n: 10.0, ..SpoolMake::centred() };
//! let (force, _) = centred.restoring(0.5);
//! assert!(force < 0.0, "the spring pushes back to the centre");
//! assert_eq!(SpoolMake::centred().rest, Rest::Centred);
//! ```

mod amplifier;
mod response;
mod spool;

pub use amplifier::{AmplifierMake, CALLS};
pub use response::{Feed, SETTLED, Stand};
pub use spool::{Hand, Handle, Rest, SpoolMake};
