//! The control side: volts and amperes on a network of terminals.
//!
//! Every terminal is a node and every wire a branch, so a wire can break and every terminal can be
//! measured. Windings and suppressors are *ports*: the rest of the network is reduced to what the
//! ports see of it ([`PortView`]), once per switching event, and only the ports take part in the
//! continuous integration.
//!
//! Direct current: the flux linkage of each winding is a state. Alternating current: complex
//! phasors (root-mean-square), no electrical state.
//!
//! ```
//! use spoolbench::electric::copper_ohm;
//! // 22 ohm at 20 degC is 27.19 ohm at 80 degC.
//! assert!((copper_ohm(22.0, 80.0) - 27.1876).abs() < 1e-3);
//! ```

mod laws;
mod network;
mod ports;
pub mod tables;
mod winding;

pub use laws::{Diode, Suppressor, copper_ohm};
pub use network::{Factor, Scalar, Topology};
pub use num_complex::Complex64;
pub use ports::{AcPorts, DcPorts, PortView, dense_solve};
pub use winding::WindingMake;
