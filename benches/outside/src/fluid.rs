//! Stiff integration of the circuit of the fluid core by diffsol and by our kernel.

use diffsol::{NalgebraLU, NalgebraMat, OdeBuilder, OdeSolverMethod, OdeSolverStopReason, Vector};

use crate::circuit::{ABSOLUTE, Circuit, HALF_CYCLE_NS, HALF_CYCLES, N, RELATIVE};
use crate::stamped::through_kernel;
use crate::{median, seconds_of};

type M = NalgebraMat<f64>;
type Lu = NalgebraLU<f64>;

/// A method of diffsol.
#[derive(Clone, Copy)]
enum Method {
    /// Backward differences of variable order.
    Bdf,
    /// Singly diagonally implicit Runge-Kutta, order 3(4).
    Esdirk34,
}

/// One half cycle from `start`.
fn half_cycle(method: Method, command: f64, start: [f64; N], narrow: f64) -> [f64; N] {
    let circuit = Circuit { command };
    let other = circuit.clone();
    let state = |x: &[f64]| -> [f64; N] { x.try_into().expect("eight states") };
    let problem = OdeBuilder::<M>::new()
        .rtol(RELATIVE * narrow)
        .atol(ABSOLUTE.map(|a| a * narrow))
        .rhs_implicit(
            move |x, _p, _t, y| {
                let mut rates = [0.0; N];
                circuit.rates(&state(x), &mut rates);
                y.copy_from_slice(&rates);
            },
            move |x, _p, _t, v, y| {
                y.fill(0.0);
                other.jacobian(&state(x), |row, column, value| {
                    y[row] += value * v[column];
                });
            },
        )
        .init(move |_p, _t, y| y.copy_from_slice(&start), N)
        .build()
        .expect("a problem");
    let end = HALF_CYCLE_NS as f64 / 1e9;
    match method {
        Method::Bdf => run(problem.bdf::<Lu>().expect("a solver"), end),
        Method::Esdirk34 => run(problem.esdirk34::<Lu>().expect("a solver"), end),
    }
}

/// Steps `solver` to `end` [s].
fn run<'a, E: diffsol::OdeEquations<M = M, V = diffsol::NalgebraVec<f64>, T = f64> + 'a>(
    mut solver: impl OdeSolverMethod<'a, E>,
    end: f64,
) -> [f64; N] {
    solver.set_stop_time(end).expect("a time");
    while !matches!(solver.step().expect("a step"), OdeSolverStopReason::TstopReached) {}
    let y = solver.state().y.clone_as_vec();
    y.try_into().expect("eight states")
}

/// All half cycles.
fn by_diffsol(method: Method, narrow: f64) -> [f64; N] {
    (0..HALF_CYCLES).fold(Circuit::start(), |state, half| {
        half_cycle(method, Circuit::command_of(half), state, narrow)
    })
}

/// Largest difference [tolerances].
fn apart(a: &[f64; N], b: &[f64; N]) -> f64 {
    (0..N)
        .fold(0.0, |most, i| most.max((a[i] - b[i]).abs() / (ABSOLUTE[i] + RELATIVE * b[i].abs())))
}

/// Both sides in turn; prints their ratio.
pub fn compare(repetitions: usize) {
    let exact = by_diffsol(Method::Bdf, 1e-2);
    let ours = apart(&through_kernel(0).0, &exact);
    for (name, method) in [("bdf", Method::Bdf), ("esdirk34", Method::Esdirk34)] {
        let theirs = apart(&by_diffsol(method, 1.0), &exact);
        assert!(ours < 1e3 && theirs < 1e3, "{ours} and {theirs} tolerances off");
        let (mut our_s, mut their_s) = (Vec::new(), Vec::new());
        for _ in 0..repetitions {
            our_s.push(seconds_of(|| {
                std::hint::black_box(through_kernel(0));
            }));
            their_s.push(seconds_of(|| {
                std::hint::black_box(by_diffsol(method, 1.0));
            }));
        }
        let (our_s, their_s) = (median(our_s), median(their_s));
        println!(
            "outside diffsol {name}: ours {:.3} ms, diffsol {:.3} ms; off by {ours:.1} and {theirs:.1} \
             tolerances; RATIO diffsol-{name}/ours {:.3}",
            1e3 * our_s,
            1e3 * their_s,
            their_s / our_s
        );
    }
}
