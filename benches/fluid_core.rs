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
use spoolbench::kernel::{
    Advance, Elimination, Factors, Integrator, Matrix, PatternBuilder, System, Work,
};

use spoolbench::plant::{Drive, DriveMake, Plan, PlanBuilder, Plant};
use spoolbench::shift::{Hand, SpoolMake};

const N: usize = 8;
const PUMP: usize = 0;
const CAP: usize = 1;
const ROD: usize = 2;
const RETURN: usize = 3;
const PLACE: usize = 4;
const SPEED: usize = 5;
const SPOOL: usize = 6;
const RELIEF: usize = 7;

const REPETITIONS: usize = 101;
const RELATIVE: f64 = 1e-5;
/// 100 Pa, a micrometre, a micrometre per second, a millionth of a stroke.
const ABSOLUTE: [f64; N] = [100.0, 100.0, 100.0, 100.0, 1e-6, 1e-6, 1e-6, 1e-6];
/// Few, so that a repetition nearly always fits between two interruptions of a shared machine.
const HALF_CYCLES: u64 = 4;
const HALF_CYCLE_NS: u64 = 2_000_000_000;

/// The laws of the circuit, SI units.
#[derive(Clone)]
struct Circuit {
    /// -1, 0 or 1: which solenoid is energised.
    command: f64,
}

/// Turbulent flow through an opening, made smooth about zero: value and slope.
#[inline]
fn orifice(difference_pa: f64) -> (f64, f64) {
    const SMOOTH_PA: f64 = 1e4;
    let square = difference_pa * difference_pa + SMOOTH_PA * SMOOTH_PA;
    let root = square.sqrt();
    let scale = 1.0 / root.sqrt();
    let flow = difference_pa * scale;
    (flow, scale * (1.0 - 0.5 * difference_pa * difference_pa / square))
}

const BULK_PA: f64 = 1.2e9;
const PUMP_FLOW: f64 = 2.5e-4;
const PUMP_LEAK: f64 = 1e-12;
const PUMP_VOLUME: f64 = 8e-4;
const RETURN_VOLUME: f64 = 1e-3;
const DEAD_VOLUME: f64 = 1e-4;
const STROKE: f64 = 0.3;
const CAP_AREA: f64 = 1.26e-3;
const ROD_AREA: f64 = 6.4e-4;
const VALVE: f64 = 4e-7;
const RETURN_FILTER: f64 = 1e-6;
const RELIEF_FULL: f64 = 5e-7;
const RELIEF_SET_PA: f64 = 1e7;
const RELIEF_BAND_PA: f64 = 1e6;
const RELIEF_LAG_S: f64 = 2e-3;
const SPOOL_LAG_S: f64 = 8e-3;
const OVERLAP: f64 = 0.1;
const PISTON_LEAK: f64 = 2e-13;
const MASS: f64 = 40.0;
const VISCOUS: f64 = 800.0;
const COULOMB: f64 = 150.0;
const COULOMB_SPEED: f64 = 2e-3;
const LOAD: f64 = 2000.0;
const STOP_STIFFNESS: f64 = 5e7;
const STOP_DAMPING: f64 = 5e4;

impl Circuit {
    #[inline]
    fn openings(spool: f64) -> (f64, f64, f64, f64) {
        let slope = VALVE / (1.0 - OVERLAP);
        if spool > OVERLAP {
            (slope * (spool - OVERLAP), 0.0, slope, 0.0)
        } else if spool < -OVERLAP {
            (0.0, slope * (-spool - OVERLAP), 0.0, -slope)
        } else {
            (0.0, 0.0, 0.0, 0.0)
        }
    }

    #[inline]
    fn rates(&self, y: &[f64; N], rates: &mut [f64; N]) {
        let (out, back, _, _) = Self::openings(y[SPOOL]);
        let pump_cap = out * orifice(y[PUMP] - y[CAP]).0;
        let rod_return = out * orifice(y[ROD] - y[RETURN]).0;
        let pump_rod = back * orifice(y[PUMP] - y[ROD]).0;
        let cap_return = back * orifice(y[CAP] - y[RETURN]).0;
        let relief = RELIEF_FULL * y[RELIEF] * orifice(y[PUMP] - y[RETURN]).0;
        let filter = RETURN_FILTER * orifice(y[RETURN]).0;
        let leak = PISTON_LEAK * (y[CAP] - y[ROD]);
        let cap_volume = DEAD_VOLUME + CAP_AREA * y[PLACE];
        let rod_volume = DEAD_VOLUME + ROD_AREA * (STROKE - y[PLACE]);
        rates[PUMP] = BULK_PA / PUMP_VOLUME
            * (PUMP_FLOW - PUMP_LEAK * y[PUMP] - relief - pump_cap - pump_rod);
        rates[CAP] = BULK_PA / cap_volume * (pump_cap - cap_return - leak - CAP_AREA * y[SPEED]);
        rates[ROD] = BULK_PA / rod_volume * (pump_rod - rod_return + leak + ROD_AREA * y[SPEED]);
        rates[RETURN] = BULK_PA / RETURN_VOLUME * (relief + cap_return + rod_return - filter);
        rates[PLACE] = y[SPEED];
        let mut force = CAP_AREA * y[CAP] - ROD_AREA * y[ROD] - VISCOUS * y[SPEED] - LOAD;
        let speed = y[SPEED];
        force -= COULOMB * speed / (speed * speed + COULOMB_SPEED * COULOMB_SPEED).sqrt();
        if y[PLACE] > STROKE {
            force -= STOP_STIFFNESS * (y[PLACE] - STROKE) + STOP_DAMPING * speed;
        } else if y[PLACE] < 0.0 {
            force -= STOP_STIFFNESS * y[PLACE] + STOP_DAMPING * speed;
        }
        rates[SPEED] = force / MASS;
        rates[SPOOL] = (self.command - y[SPOOL]) / SPOOL_LAG_S;
        let lift = ((y[PUMP] - RELIEF_SET_PA) / RELIEF_BAND_PA).clamp(0.0, 1.0);
        rates[RELIEF] = (lift - y[RELIEF]) / RELIEF_LAG_S;
    }

    #[inline]
    fn jacobian(&self, y: &[f64; N], mut put: impl FnMut(usize, usize, f64)) {
        let (out, back, out_slope, back_slope) = Self::openings(y[SPOOL]);
        let (pump_cap, d_pump_cap) = orifice(y[PUMP] - y[CAP]);
        let (rod_return, d_rod_return) = orifice(y[ROD] - y[RETURN]);
        let (pump_rod, d_pump_rod) = orifice(y[PUMP] - y[ROD]);
        let (cap_return, d_cap_return) = orifice(y[CAP] - y[RETURN]);
        let (relief, d_relief) = orifice(y[PUMP] - y[RETURN]);
        let d_filter = RETURN_FILTER * orifice(y[RETURN]).1;
        let (g_pa, g_bt) = (out * d_pump_cap, out * d_rod_return);
        let (g_pb, g_at) = (back * d_pump_rod, back * d_cap_return);
        let g_r = RELIEF_FULL * y[RELIEF] * d_relief;
        let cap_volume = DEAD_VOLUME + CAP_AREA * y[PLACE];
        let rod_volume = DEAD_VOLUME + ROD_AREA * (STROKE - y[PLACE]);

        let c = BULK_PA / PUMP_VOLUME;
        put(PUMP, PUMP, -c * (PUMP_LEAK + g_r + g_pa + g_pb));
        put(PUMP, CAP, c * g_pa);
        put(PUMP, ROD, c * g_pb);
        put(PUMP, RETURN, c * g_r);
        put(PUMP, SPOOL, -c * (out_slope * pump_cap + back_slope * pump_rod));
        put(PUMP, RELIEF, -c * RELIEF_FULL * relief);

        let c = BULK_PA / cap_volume;
        let net = out * pump_cap
            - back * cap_return
            - PISTON_LEAK * (y[CAP] - y[ROD])
            - CAP_AREA * y[SPEED];
        put(CAP, PUMP, c * g_pa);
        put(CAP, CAP, -c * (g_pa + g_at + PISTON_LEAK));
        put(CAP, ROD, c * PISTON_LEAK);
        put(CAP, RETURN, c * g_at);
        put(CAP, PLACE, -c * CAP_AREA / cap_volume * net);
        put(CAP, SPEED, -c * CAP_AREA);
        put(CAP, SPOOL, c * (out_slope * pump_cap - back_slope * cap_return));

        let c = BULK_PA / rod_volume;
        let net = back * pump_rod - out * rod_return
            + PISTON_LEAK * (y[CAP] - y[ROD])
            + ROD_AREA * y[SPEED];
        put(ROD, PUMP, c * g_pb);
        put(ROD, CAP, c * PISTON_LEAK);
        put(ROD, ROD, -c * (g_pb + g_bt + PISTON_LEAK));
        put(ROD, RETURN, c * g_bt);
        put(ROD, PLACE, c * ROD_AREA / rod_volume * net);
        put(ROD, SPEED, c * ROD_AREA);
        put(ROD, SPOOL, c * (back_slope * pump_rod - out_slope * rod_return));

        let c = BULK_PA / RETURN_VOLUME;
        put(RETURN, PUMP, c * g_r);
        put(RETURN, CAP, c * g_at);
        put(RETURN, ROD, c * g_bt);
        put(RETURN, RETURN, -c * (g_r + g_at + g_bt + d_filter));
        put(RETURN, SPOOL, c * (back_slope * cap_return + out_slope * rod_return));
        put(RETURN, RELIEF, c * RELIEF_FULL * relief);

        put(PLACE, SPEED, 1.0);
        let speed = y[SPEED];
        let square = speed * speed + COULOMB_SPEED * COULOMB_SPEED;
        let mut damping =
            VISCOUS + COULOMB * COULOMB_SPEED * COULOMB_SPEED / (square * square.sqrt());
        let mut stiffness = 0.0;
        if y[PLACE] > STROKE || y[PLACE] < 0.0 {
            stiffness = STOP_STIFFNESS;
            damping += STOP_DAMPING;
        }
        put(SPEED, CAP, CAP_AREA / MASS);
        put(SPEED, ROD, -ROD_AREA / MASS);
        put(SPEED, PLACE, -stiffness / MASS);
        put(SPEED, SPEED, -damping / MASS);
        put(SPOOL, SPOOL, -1.0 / SPOOL_LAG_S);
        let lift = (y[PUMP] - RELIEF_SET_PA) / RELIEF_BAND_PA;
        let slope = if lift > 0.0 && lift < 1.0 { 1.0 / RELIEF_BAND_PA } else { 0.0 };
        put(RELIEF, PUMP, slope / RELIEF_LAG_S);
        put(RELIEF, RELIEF, -1.0 / RELIEF_LAG_S);
    }

    fn start() -> [f64; N] {
        [1e5, 1e5, 1e5, 1e5, 0.0, 0.0, 0.0, 0.0]
    }

    fn command_of(half_cycle: u64) -> f64 {
        if half_cycle.is_multiple_of(2) { 1.0 } else { -1.0 }
    }
}

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

// ---- The same circuit through the kernel ------------------------------------------------------

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
fn through_kernel(watches: usize) -> ([f64; N], Work) {
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
