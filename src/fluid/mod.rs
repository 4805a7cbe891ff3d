//! The power side: pressure and flow on a network of volumes, oil and air alike.
//!
//! A volume holds one pressure and has a capacity; a flow path joins two volumes and has a law. For
//! oil the flow is a volume flow [m3/s], for air a mass flow [kg/s]. Pressures are gauge [Pa];
//! where a law needs the absolute pressure it adds the [`ATMOSPHERE_PA`].
//!
//! ```
//! use spoolbench::fluid::{Gate, orifice_gain};
//! // 2 mm sharp-edged orifice, 50 bar, 870 kg/m3: 12.53 L/min.
//! let gain = orifice_gain(0.62, 3.141_59e-6, 870.0);
//! let (flow, _) = Gate { gain, bend_pa: 54.0 }.flow(50e5);
//! assert!((flow * 60_000.0 - 12.5295).abs() < 1e-3);
//! ```

mod capacity;
mod flow;
mod motor;
pub mod oil;
mod pipe;
mod piston;
mod stop;

pub use capacity::{Accumulator, Medium, Seal, VOID_BELOW_PA, Volume};
pub use flow::{
    Ejector, FlowLaw, FlowValue, Gate, Opening, Poppet, Pump, REFERENCE_DENSITY, Regulator, Relief,
    Slow, SonicPath, orifice_gain, transition_pa,
};
pub use motor::Motor;
pub use pipe::Pipe;
pub use piston::{Cushion, Load, Piston, creep};
pub use stop::EndStop;

/// Standard atmosphere [Pa].
pub const ATMOSPHERE_PA: f64 = 101_325.0;
