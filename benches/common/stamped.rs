//! The circuit of the benchmarks through the general interface of the kernel.

use spoolbench::base::SimTime;
use spoolbench::kernel::{Advance, Elimination, Integrator, Matrix, PatternBuilder, System, Work};

use super::circuit::*;

/// The circuit as the kernel sees it.
struct Stamped {
    circuit: Circuit,
    slots: [[usize; N]; N],
    watches: usize,
}

impl System for Stamped {
    fn len(&self) -> usize {
        N
    }

    fn rates(&mut self, y: &[f64], rates: &mut [f64]) {
        if let (Ok(y), Ok(rates)) = (y.try_into(), rates.try_into()) {
            self.circuit.rates(y, rates);
        }
    }

    fn jacobian(&mut self, y: &[f64], jacobian: &mut Matrix) {
        let slots = &self.slots;
        if let Ok(y) = y.try_into() {
            self.circuit.jacobian(y, |row, column, value| jacobian.add(slots[row][column], value));
        }
    }

    fn absolute_tolerance(&self, state: usize) -> f64 {
        ABSOLUTE[state]
    }

    fn watch_count(&self) -> usize {
        self.watches
    }

    fn watch(&mut self, y: &[f64], values: &mut [f64]) {
        // Limit switches near both ends, and a pressure switch.
        values[0] = y[PLACE] - 0.29;
        values[1] = 0.01 - y[PLACE];
        values[2] = y[CAP] - 8e6;
    }
}

/// The circuit and an integrator for it.
fn stamped(watches: usize) -> (Stamped, Integrator) {
    let mut places = PatternBuilder::new(N);
    let circuit = Circuit { command: 0.0 };
    circuit.jacobian(&Circuit::start(), |row, column, _| places.add(row, column));
    let pattern = places.build();
    let mut slots = [[usize::MAX; N]; N];
    for (slot, (row, column)) in pattern.places().enumerate() {
        slots[row][column] = slot;
    }
    let integrator = Integrator::new(Elimination::new(pattern), RELATIVE);
    (Stamped { circuit, slots, watches }, integrator)
}

/// The run through the kernel; returns the last state and the work done.
pub fn through_kernel(watches: usize) -> ([f64; N], Work) {
    let (mut system, mut integrator) = stamped(watches);
    let mut y = Circuit::start();
    let mut now = SimTime::ZERO;
    for half_cycle in 0..HALF_CYCLES {
        system.circuit.command = Circuit::command_of(half_cycle);
        integrator.restart();
        let until = SimTime::from_nanos((half_cycle + 1) * HALF_CYCLE_NS);
        while now < until {
            now = match integrator.advance(&mut system, now, until, &mut y).unwrap() {
                Advance::Reached => until,
                Advance::Crossed { at, .. } => at,
            };
        }
    }
    (y, integrator.work())
}
