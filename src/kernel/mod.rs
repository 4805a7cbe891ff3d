//! The numerical kernel: what happens next, and how the continuous state gets there.
//!
//! It knows no coil and no oil. [`EventQueue`] keeps scheduled events in an order that every
//! run agrees on. [`Integrator`] carries the state of any [`System`] from one integer time to
//! another, and stops where a watched value rises through zero. [`Pattern`], [`Matrix`] and
//! [`Factors`] are the linear algebra under it.
//!
//! A tank at 2 bar bleeds through a restriction towards 0 bar; a switch watches for 1 bar:
//!
//! ```
//! use spoolbench::base::SimTime;
//! use spoolbench::kernel::{Advance, Elimination, Integrator, Matrix, PatternBuilder, System};
//!
//! struct Bleed {
//!     rate_per_s: f64,
//! }
//!
//! impl System for Bleed {
//!     fn len(&self) -> usize {
//!         1
//!     }
//!     fn rates(&mut self, y: &[f64], rates: &mut [f64]) {
//!         rates[0] = -self.rate_per_s * y[0];
//!     }
//!     fn jacobian(&mut self, _y: &[f64], jacobian: &mut Matrix) {
//!         jacobian.add(0, -self.rate_per_s);
//!     }
//!     fn absolute_tolerance(&self, _state: usize) -> f64 {
//!         1.0
//!     }
//!     fn watch_count(&self) -> usize {
//!         1
//!     }
//!     fn watch(&mut self, y: &[f64], values: &mut [f64]) {
//!         values[0] = 1e5 - y[0];
//!     }
//! }
//!
//! let mut tank = Bleed { rate_per_s: 1.0 };
//! let mut integrator = Integrator::new(Elimination::new(PatternBuilder::new(1).build()), 1e-6);
//! let mut pressure_pa = [2e5];
//! let until = SimTime::from_secs(10);
//! let advance = integrator.advance(&mut tank, SimTime::ZERO, until, &mut pressure_pa)?;
//! let Advance::Crossed { at, watches } = advance else { unreachable!() };
//! assert_eq!(watches, [0]);
//! assert!(pressure_pa[0] <= 1e5);
//! assert!((at.as_secs_f64() - 2f64.ln()).abs() < 1e-5);
//! # Ok::<(), spoolbench::kernel::IntegrationError>(())
//! ```

mod crossing;
mod integrator;
mod queue;
mod rosenbrock;
mod sparse;

pub use crossing::Crossing;
pub use integrator::{Advance, IntegrationError, Integrator, System, Work};
pub use queue::{EventQueue, Ticket};
pub use sparse::{Elimination, Factors, Matrix, Pattern, PatternBuilder, Singular};
