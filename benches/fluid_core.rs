//! The fluid core against a hand-written model: a pump with its relief valve drives a cylinder
//! through a directional valve, 8 states, out and back twice.
//!
//! The hand-written side is a closed program for this one circuit: fixed arrays, dense factors
//! without pivoting, the same method, tolerances and control of the step as the kernel's. The
//! kernel's side gets the same laws through its general interface. `compare` takes any closure,
//! so that a run of the whole engine can be put beside them.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, missing_docs)]

use std::sync::Arc;
use std::time::Instant;

use spoolbench::base::{SimTime, SpoolId};
use spoolbench::fluid::{FlowLaw, Gate, Load, Medium, Opening, Piston, Pump, Relief, Volume};
use spoolbench::kernel::{Elimination, Factors, Matrix, PatternBuilder, Work};

use spoolbench::plant::{Drive, DriveMake, Plan, PlanBuilder, Plant};
use spoolbench::shift::{Hand, SpoolMake};

#[path = "common/circuit.rs"]
mod circuit;
#[path = "common/stamped.rs"]
mod stamped;

use circuit::*;
use stamped::through_kernel;

const REPETITIONS: usize = 101;

// ---- The hand-written program -----------------------------------------------------------------

fn factor(a: &mut [[f64; N]; N]) {
    for k in 0..N {
        let inverse = 1.0 / a[k][k];
        a[k][k] = inverse;
        let pivot_row = a[k];
        for row in a.iter_mut().skip(k + 1) {
            let share = row[k] * inverse;
            row[k] = share;
            for j in k + 1..N {
                row[j] -= share * pivot_row[j];
            }
        }
    }
}

fn solve(a: &[[f64; N]; N], b: &mut [f64; N]) {
    for i in 0..N {
        for j in 0..i {
            b[i] -= a[i][j] * b[j];
        }
    }
    for i in (0..N).rev() {
        for j in i + 1..N {
            b[i] -= a[i][j] * b[j];
        }
        b[i] *= a[i][i];
    }
}

/// The run by hand; returns the last state and the number of steps kept and thrown away.
fn by_hand() -> ([f64; N], u64, u64) {
    let mut circuit = Circuit { command: 0.0 };
    let mut y = Circuit::start();
    let (mut steps, mut rejected) = (0, 0);
    let first_change = 0.2 * spoolbench::base::ops::pow(RELATIVE, -2.0 / 3.0);
    for half_cycle in 0..HALF_CYCLES {
        circuit.command = Circuit::command_of(half_cycle);
        let span = HALF_CYCLE_NS as f64 / 1e9;
        let mut t = 0.0;
        let mut next: Option<f64> = None;
        'steps: loop {
            let mut f = [0.0; N];
            circuit.rates(&y, &mut f);
            let mut j = [[0.0; N]; N];
            circuit.jacobian(&y, |row, column, value| j[row][column] -= value);
            let mut wanted = next.unwrap_or_else(|| {
                let mut most = 0.0_f64;
                for i in 0..N {
                    most = most.max(f[i].abs() / (ABSOLUTE[i] + RELATIVE * y[i].abs()));
                }
                first_change / most
            });
            let mut most_change = 10.0;
            loop {
                let left = span - t;
                let last = wanted >= left;
                let h = if last { left } else { wanted.min(0.5 * left) };
                let mut w = j;
                for (i, row) in w.iter_mut().enumerate() {
                    row[i] += 2.0 / h;
                }
                factor(&mut w);
                let mut u1 = f;
                solve(&w, &mut u1);
                let mut u2 = [0.0; N];
                let mut stage = [0.0; N];
                for i in 0..N {
                    u2[i] = f[i] + 4.0 / h * u1[i];
                    stage[i] = y[i] + 2.0 * u1[i];
                }
                solve(&w, &mut u2);
                let mut u3 = [0.0; N];
                circuit.rates(&stage, &mut u3);
                for i in 0..N {
                    u3[i] += (u1[i] - u2[i]) / h;
                }
                solve(&w, &mut u3);
                for i in 0..N {
                    stage[i] += u3[i];
                }
                let mut u4 = [0.0; N];
                circuit.rates(&stage, &mut u4);
                for i in 0..N {
                    u4[i] += (u1[i] - u2[i] - 8.0 / 3.0 * u3[i]) / h;
                }
                solve(&w, &mut u4);
                let mut end = [0.0; N];
                let mut error = 0.0_f64;
                for i in 0..N {
                    end[i] = stage[i] + u4[i];
                    let size = y[i].abs().max(end[i].abs());
                    error = error.max(u4[i].abs() / (ABSOLUTE[i] + RELATIVE * size));
                }
                let change = (0.9 / error.cbrt()).clamp(0.1, 10.0);
                if error <= 1.0 {
                    let grown = h * change.min(most_change);
                    next =
                        Some(if h < wanted && change >= 1.0 { grown.max(wanted) } else { grown });
                    y = end;
                    steps += 1;
                    t += h;
                    if last {
                        break 'steps;
                    }
                    break;
                }
                rejected += 1;
                most_change = 1.0;
                wanted = h * change;
            }
        }
    }
    (y, steps, rejected)
}

// ---- The comparison ---------------------------------------------------------------------------

fn seconds_of(run: &mut dyn FnMut()) -> f64 {
    let start = Instant::now();
    run();
    start.elapsed().as_secs_f64()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Runs the program by hand and `other` in turn, and prints the ratio of their medians.
fn compare(name: &str, mut other: impl FnMut()) {
    let (mut hand_s, mut other_s) = (Vec::new(), Vec::new());
    for _ in 0..REPETITIONS {
        hand_s.push(seconds_of(&mut || {
            std::hint::black_box(by_hand());
        }));
        other_s.push(seconds_of(&mut other));
    }
    let (hand_s, other_s) = (median(hand_s), median(other_s));
    let bench_s = (HALF_CYCLES * HALF_CYCLE_NS) as f64 / 1e9;
    println!(
        "fluid_core {name}: hand-written {:.0} x real time, {name} {:.0} x real time; RATIO \
         {name}/hand-written {:.3}",
        bench_s / hand_s,
        bench_s / other_s,
        other_s / hand_s
    );
}

/// Times the linear algebra of one step of a circuit of `size` nodes: a chain of neighbours and
/// second neighbours, with a third of the nodes joined to a common return line.
fn linear_algebra(size: usize) {
    let mut places = PatternBuilder::new(size);
    for node in 0..size {
        for other in [node + 1, node + 2, if node % 3 == 0 { size - 1 } else { node }] {
            if other < size {
                places.add(node, other);
                places.add(other, node);
            }
        }
    }
    let pattern = places.build();
    let mut matrix = Matrix::new(pattern.clone());
    for (slot, (row, column)) in pattern.places().enumerate() {
        matrix.add(slot, if row == column { -9.0 } else { 1.0 });
    }
    let mut factors = Factors::new(Elimination::new(pattern.clone()));
    let mut right = vec![1.0; size];
    let (mut factor_ns, mut solve_ns) = (Vec::new(), Vec::new());
    for _ in 0..REPETITIONS {
        let start = Instant::now();
        for _ in 0..100 {
            factors.factor_shifted(std::hint::black_box(2.0), &matrix).unwrap();
        }
        factor_ns.push(start.elapsed().as_nanos() as f64 / 100.0);
        let start = Instant::now();
        for _ in 0..100 {
            factors.solve(std::hint::black_box(&mut right));
            right.fill(1.0);
        }
        solve_ns.push(start.elapsed().as_nanos() as f64 / 100.0);
    }
    println!(
        "fluid_core linear algebra n={size}, {} places: factor {:.0} ns, solve {:.0} ns",
        pattern.slots(),
        median(factor_ns),
        median(solve_ns)
    );
}

/// The same circuit as a plan of the engine: its own laws of relief, spool and massless piston.
fn engine_plan() -> Arc<Plan> {
    let oil =
        |still_m3| Volume { still_m3, medium: Medium::Oil { bulk_pa: BULK_PA, free_air: 0.0 } };
    let mut b = PlanBuilder::new("fluid core", 20.0);
    let tank = b.volume("tank", oil(1.0), Some(0.0));
    let pressure = b.volume("pressure", oil(PUMP_VOLUME), None);
    let cap = b.volume("cap", oil(DEAD_VOLUME), None);
    let rod = b.volume("rod", oil(DEAD_VOLUME), None);
    let back = b.volume("return", oil(RETURN_VOLUME), None);
    b.part("P1", "pump", "");
    b.pump(
        FlowLaw::Pump(Pump { displacement_m3: PUMP_FLOW / 25.0, leak: PUMP_LEAK }),
        tank,
        pressure,
        DriveMake { per_second: 25.0, lag_s: 1e-3 },
        Vec::new(),
    );
    b.part("RV1", "relief", "");
    let slope = RELIEF_FULL * (RELIEF_SET_PA + RELIEF_BAND_PA).sqrt() / RELIEF_BAND_PA;
    let relief = FlowLaw::Relief(Relief { crack_pa: RELIEF_SET_PA, slope });
    b.flow("relief", pressure, back, relief, Drive::None);
    let filter = FlowLaw::Gate(Gate { gain: RETURN_FILTER, bend_pa: 1e4 });
    b.flow("filter", back, tank, filter, Drive::None);
    b.part("V1", "valve", "");
    let make = SpoolMake { hand_n: 60.0, viscous: 150.0, ..SpoolMake::centred() };
    let spool = b.spool(make, None, None, 0.0);
    let gate = Gate { gain: VALVE, bend_pa: 1e4 };
    for (role, from, to, at) in [
        ("P-A", pressure, cap, [0.0, 0.0, 1.0]),
        ("B-T", rod, back, [0.0, 0.0, 1.0]),
        ("P-B", pressure, rod, [1.0, 0.0, 0.0]),
        ("A-T", cap, back, [1.0, 0.0, 0.0]),
    ] {
        let opening = Opening { at, closed_crossover: OVERLAP, two_ended: false };
        b.spool_flow(role, spool, from, to, FlowLaw::Spool(gate, opening), 0.0);
    }
    b.part("A1", "cylinder", "");
    let load = Load { constant_n: LOAD, along: Vec::new() };
    b.piston(
        Piston {
            cap_m2: CAP_AREA,
            rod_m2: ROD_AREA,
            stroke_m: STROKE,
            friction_n: COULOMB,
            viscous: VISCOUS,
            leak: PISTON_LEAK,
            load,
            jammed: false,
            propped: false,
            cushions: Default::default(),
        },
        cap,
        rod,
        0.0,
    );
    Arc::new(b.finish().unwrap())
}

/// Out and back twice by the engine, the spool pushed by hand; gives the work done.
fn by_engine(plan: &Arc<Plan>) -> Work {
    let mut plant = Plant::nominal(Arc::clone(plan));
    for half in 0..HALF_CYCLES {
        let hand = if half % 2 == 0 { Hand::A } else { Hand::B };
        plant.set_hand(SpoolId::new(0), hand);
        let until = SimTime::from_nanos((half + 1) * HALF_CYCLE_NS);
        plant.advance(until, false).unwrap();
    }
    plant.work()
}

fn main() {
    linear_algebra(25);
    let (hand, steps, rejected) = by_hand();
    let (kernel, work) = through_kernel(0);
    println!("hand-written: {steps} steps, {rejected} rejected; kernel: {work:?}");
    for i in 0..N {
        let difference = (hand[i] - kernel[i]).abs();
        assert!(difference <= 100.0 * (ABSOLUTE[i] + RELATIVE * hand[i].abs()), "state {i}");
    }
    println!("kernel with watches: {:?}", through_kernel(3).1);
    compare("kernel", || {
        std::hint::black_box(through_kernel(0));
    });
    compare("kernel-with-3-watches", || {
        std::hint::black_box(through_kernel(3));
    });
    let plan = engine_plan();
    println!("engine: {:?}", by_engine(&plan));
    compare("engine", || {
        std::hint::black_box(by_engine(&plan));
    });
}
