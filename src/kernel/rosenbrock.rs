//! One step of the implicit method: its stages, its error and the state within it.
//!
//! The method is a linearly implicit Rosenbrock method of order 4 with an embedded order 3, L-stable,
//! of four stages but only three evaluations of the rates: the last two stages share one.
//! Coefficients from Hairer and Wanner, "Solving Ordinary Differential Equations II", section IV.7
//! (the L-stable of its methods of this kind; figures from memory, held by the tests of the order
//! below), in the form without products by the Jacobian. Written out, with W = 1/(GAMMA h) - J:
//!
//! ```text
//! W u1 = f(y)
//! W u2 = f(y + 2 u1)                + C21 u1 / h
//! W u3 = f(y + A31 u1 + A32 u2)     + (C31 u1 + C32 u2) / h
//! W u4 = f(y + A31 u1 + A32 u2)     + (C41 u1 + C42 u2 + C43 u3) / h
//! new y = y + sum B u               error = sum E u
//! ```
//!
//! Between the ends of a step the state is (1-s) y + s new y + s (1-s) BULGE (u2 + SHARE u1). The
//! last factor equals -h^2 y''/2 up to third order (derived), and as the stages are damped by W it
//! stays close to the ends where an interpolant through the rates would swing wildly on a stiff
//! state.

use std::sync::Arc;

use super::integrator::System;
use super::sparse::{Elimination, Factors, Matrix};

/// Why a step has no result; a shorter one may.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Failure {
    /// A stage left the numbers.
    NotFinite,
    /// The matrix of the step has no factors.
    Singular,
}

const GAMMA: f64 = 0.572_82;
const A31: f64 = 1.867_943_637_803_922;
const A32: f64 = 0.234_444_971_139_915_6;
const C21: f64 = -7.137_615_036_412_31;
const C31: f64 = 2.580_708_087_951_457;
const C32: f64 = 0.651_595_007_644_797_5;
const C41: f64 = -2.137_148_994_382_534;
const C42: f64 = -0.321_466_969_123_762_6;
const C43: f64 = -0.694_974_250_178_177_9;
const B: [f64; 4] =
    [2.255_570_073_418_735, 0.287_049_326_218_679_2, 0.435_317_943_184_018, 1.093_502_252_409_163];
const E: [f64; 4] = [
    -0.281_543_193_214_115_5,
    -0.072_761_991_249_349_2,
    -0.108_219_620_149_531_1,
    -1.093_502_252_409_163,
];
/// u1 begins with GAMMA h y' and u2 with GAMMA (1 + C21 GAMMA) h y': u2 + SHARE u1 has no part in y'.
const SHARE: f64 = -(1.0 + C21 * GAMMA);
/// What makes -h^2 y''/2 of it: of the terms in h^2 y'' of u1, GAMMA^2, and of u2,
/// GAMMA^2 (3 + 2 C21 GAMMA).
const BULGE: f64 = -0.5 / (GAMMA * GAMMA * (3.0 + 2.0 * C21 * GAMMA + SHARE));

/// Greatest value of s (1-s)^2 for s between 0 and 1: what a wrong slope at the start of a step comes to.
const MOST_OF_CUBIC: f64 = 4.0 / 27.0;

/// The stages of one step, and what they are computed from.
#[derive(Clone, Debug)]
pub(super) struct Rosenbrock {
    jacobian: Matrix,
    factors: Factors,
    rates: Vec<f64>,
    stage: Vec<f64>,
    u1: Vec<f64>,
    u2: Vec<f64>,
    u3: Vec<f64>,
    u4: Vec<f64>,
    error: Vec<f64>,
    /// One over what a state may be off, as of the last error that was asked for.
    per_tolerance: Vec<f64>,
    end: Vec<f64>,
}

impl Rosenbrock {
    pub(super) fn new(elimination: Arc<Elimination>) -> Self {
        let zeros = vec![0.0; elimination.pattern().size()];
        Rosenbrock {
            jacobian: Matrix::new(elimination.pattern().clone()),
            factors: Factors::new(elimination),
            rates: zeros.clone(),
            stage: zeros.clone(),
            u1: zeros.clone(),
            u2: zeros.clone(),
            u3: zeros.clone(),
            u4: zeros.clone(),
            error: zeros.clone(),
            per_tolerance: zeros.clone(),
            end: zeros,
        }
    }

    pub(super) fn size(&self) -> usize {
        self.end.len()
    }

    pub(super) fn dense_fallbacks(&self) -> u64 {
        self.factors.dense_fallbacks()
    }

    /// Rates at the start of the step [unit of the state per second].
    pub(super) fn rates(&self) -> &[f64] {
        &self.rates
    }

    /// The state at the end of the step.
    pub(super) fn end(&self) -> &[f64] {
        &self.end
    }

    /// Evaluates the rates and the Jacobian, which hold for every step from `y`. One
    /// evaluation each. False if a rate is not finite.
    pub(super) fn linearise<S: System + ?Sized>(&mut self, system: &mut S, y: &[f64]) -> bool {
        self.jacobian.clear();
        system.linearise(y, &mut self.rates, &mut self.jacobian);
        // Infinity times zero, like NaN, is NaN.
        self.rates.iter().map(|rate| rate * 0.0).sum::<f64>() == 0.0
    }

    /// Steps from `y`, where the system was last linearised, over `step_s` [s]. One
    /// factorisation and two evaluations of the rates.
    pub(super) fn step<S: System + ?Sized>(
        &mut self,
        system: &mut S,
        y: &[f64],
        step_s: f64,
    ) -> Result<(), Failure> {
        let n = y.len();
        let rates = &self.rates[..n];
        let stage = &mut self.stage[..n];
        let end = &mut self.end[..n];
        let error = &mut self.error[..n];
        let u1 = &mut self.u1[..n];
        let u2 = &mut self.u2[..n];
        let u3 = &mut self.u3[..n];
        let u4 = &mut self.u4[..n];
        let per_step = 1.0 / step_s;

        if self.factors.factor_shifted(per_step / GAMMA, &self.jacobian).is_err() {
            return Err(Failure::Singular);
        }
        u1.copy_from_slice(rates);
        self.factors.solve(u1);
        for i in 0..n {
            stage[i] = y[i] + 2.0 * u1[i];
        }
        system.rates(stage, u2);
        for i in 0..n {
            u2[i] += per_step * C21 * u1[i];
        }
        self.factors.solve(u2);
        for i in 0..n {
            stage[i] = y[i] + A31 * u1[i] + A32 * u2[i];
        }
        system.rates(stage, u3);
        u4.copy_from_slice(u3);
        for i in 0..n {
            u3[i] += per_step * (C31 * u1[i] + C32 * u2[i]);
        }
        self.factors.solve(u3);
        for i in 0..n {
            u4[i] += per_step * (C41 * u1[i] + C42 * u2[i] + C43 * u3[i]);
        }
        self.factors.solve(u4);
        let mut unreal = 0.0;
        for i in 0..n {
            end[i] = y[i] + (B[0] * u1[i] + B[1] * u2[i] + B[2] * u3[i] + B[3] * u4[i]);
            error[i] = E[0] * u1[i] + E[1] * u2[i] + E[2] * u3[i] + E[3] * u4[i];
            unreal += end[i] * 0.0;
        }
        if unreal == 0.0 { Ok(()) } else { Err(Failure::NotFinite) }
    }

    /// The error of the step in the state where it is largest, in tolerances [1], each of which counts as
    /// `slacks` [1] times as much.
    ///
    /// The largest and not the mean, so that adding idle parts to a bench never loosens the
    /// tolerance of the others.
    pub(super) fn error(
        &mut self,
        y: &[f64],
        absolute: &[f64],
        relative: f64,
        slacks: &[f64],
    ) -> f64 {
        let n = y.len();
        let (end, errors, absolute) = (&self.end[..n], &self.error[..n], &absolute[..n]);
        let slacks = &slacks[..n];
        let per_tolerance = &mut self.per_tolerance[..n];
        let mut most = 0.0;
        for i in 0..n {
            let size = y[i].abs().max(end[i].abs());
            per_tolerance[i] = 1.0 / ((absolute[i] + relative * size) * slacks[i]);
            let error = errors[i].abs() * per_tolerance[i];
            if error > most {
                most = error;
            }
        }
        most
    }

    /// How far the state within the step may be off its way in the middle, in tolerances [1]: told by
    /// how differently it leaves `y` than the rates there say. The error must have been asked for.
    pub(super) fn strays(&self, y: &[f64], step_s: f64) -> f64 {
        let n = y.len();
        let (end, rates, u1, u2) = (&self.end[..n], &self.rates[..n], &self.u1[..n], &self.u2[..n]);
        let per_tolerance = &self.per_tolerance[..n];
        let mut most = 0.0;
        for i in 0..n {
            let bulge = BULGE * (u2[i] + SHARE * u1[i]);
            let apart = step_s * rates[i] - (end[i] - y[i] + bulge);
            let off = MOST_OF_CUBIC * apart.abs() * per_tolerance[i];
            if off > most {
                most = off;
            }
        }
        most
    }

    /// Writes the state at `share` [1] of the step from `y`.
    pub(super) fn between(&self, y: &[f64], share: f64, state: &mut [f64]) {
        let n = y.len();
        let (end, u1, u2) = (&self.end[..n], &self.u1[..n], &self.u2[..n]);
        let state = &mut state[..n];
        let bulge = share * (1.0 - share) * BULGE;
        for i in 0..n {
            state[i] = (1.0 - share) * y[i] + share * end[i] + bulge * (u2[i] + SHARE * u1[i]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::ops;
    use crate::kernel::PatternBuilder;

    fn full(size: usize) -> Rosenbrock {
        let mut places = PatternBuilder::new(size);
        for row in 0..size {
            for column in 0..size {
                places.add(row, column);
            }
        }
        Rosenbrock::new(Elimination::new(places.build()))
    }

    /// x = 1/(1+t), z = (1+t)^2 exp(-t/2) with z' = z (2 x - 1/2); both nonlinear together.
    struct Smooth;

    impl System for Smooth {
        fn len(&self) -> usize {
            2
        }
        fn rates(&mut self, y: &[f64], rates: &mut [f64]) {
            rates[0] = -y[0] * y[0];
            rates[1] = y[1] * (2.0 * y[0] - 0.5);
        }
        fn jacobian(&mut self, y: &[f64], jacobian: &mut Matrix) {
            jacobian.add(0, -2.0 * y[0]);
            jacobian.add(2, 2.0 * y[1]);
            jacobian.add(3, 2.0 * y[0] - 0.5);
        }
        fn absolute_tolerance(&self, _state: usize) -> f64 {
            1e-9
        }
    }

    fn smooth(t: f64) -> [f64; 2] {
        [1.0 / (1.0 + t), (1.0 + t) * (1.0 + t) * ops::exp(-0.5 * t)]
    }

    fn smooth_error(steps: u32) -> f64 {
        let mut method = full(2);
        let mut y = smooth(0.0);
        let step_s = 2.0 / f64::from(steps);
        for _ in 0..steps {
            method.linearise(&mut Smooth, &y);
            method.step(&mut Smooth, &y, step_s).unwrap();
            y.copy_from_slice(method.end());
        }
        let exact = smooth(2.0);
        (y[0] - exact[0]).abs().max((y[1] - exact[1]).abs())
    }

    #[test]
    fn halving_the_step_divides_the_error_by_sixteen() {
        for steps in [80, 160, 320] {
            let ratio = smooth_error(steps) / smooth_error(2 * steps);
            assert!((15.0..17.5).contains(&ratio), "{steps}: {ratio}");
        }
    }

    #[test]
    fn within_a_step_the_state_is_good_to_third_order() {
        let error = |step_s: f64| {
            let mut method = full(2);
            let y = smooth(0.0);
            method.linearise(&mut Smooth, &y);
            method.step(&mut Smooth, &y, step_s).unwrap();
            let mut most = 0.0_f64;
            for share in [0.25, 0.5, 0.75] {
                let mut state = [0.0; 2];
                method.between(&y, share, &mut state);
                let exact = smooth(share * step_s);
                most = most.max((state[0] - exact[0]).abs()).max((state[1] - exact[1]).abs());
            }
            most
        };
        let ratio = error(0.02) / error(0.01);
        assert!((7.0..9.0).contains(&ratio), "{ratio}");
    }

    #[test]
    fn both_ends_of_a_step_are_exact_within_it() {
        let mut method = full(2);
        let y = smooth(0.0);
        method.linearise(&mut Smooth, &y);
        method.step(&mut Smooth, &y, 0.1).unwrap();
        let mut state = [0.0; 2];
        method.between(&y, 0.0, &mut state);
        assert_eq!(state, y);
        method.between(&y, 1.0, &mut state);
        assert_eq!(state, method.end());
    }

    /// Prothero and Robinson's problem made autonomous: y' = rate (y - cos t) - sin t, t' = 1.
    struct Pulled {
        rate_per_s: f64,
    }

    impl System for Pulled {
        fn len(&self) -> usize {
            2
        }
        fn rates(&mut self, y: &[f64], rates: &mut [f64]) {
            rates[0] = self.rate_per_s * (y[0] - ops::cos(y[1])) - ops::sin(y[1]);
            rates[1] = 1.0;
        }
        fn jacobian(&mut self, y: &[f64], jacobian: &mut Matrix) {
            jacobian.add(0, self.rate_per_s);
            jacobian.add(1, self.rate_per_s * ops::sin(y[1]) - ops::cos(y[1]));
        }
        fn absolute_tolerance(&self, _state: usize) -> f64 {
            1e-9
        }
    }

    fn pulled_error(rate_per_s: f64, steps: u32) -> f64 {
        let mut method = full(2);
        let mut system = Pulled { rate_per_s };
        let mut y = [1.0, 0.0];
        for _ in 0..steps {
            method.linearise(&mut system, &y);
            method.step(&mut system, &y, 1.0 / f64::from(steps)).unwrap();
            y.copy_from_slice(method.end());
        }
        (y[0] - ops::cos(1.0)).abs()
    }

    #[test]
    fn a_stiff_pull_does_not_spoil_the_solution() {
        // However stiff the pull is, the error stays as small as second order makes it.
        for rate_per_s in [-1e3, -1e6, -1e9] {
            let (coarse, fine) = (pulled_error(rate_per_s, 20), pulled_error(rate_per_s, 40));
            assert!(coarse < 5e-4, "{rate_per_s}: {coarse}");
            assert!(fine < 0.3 * coarse, "{rate_per_s}: {coarse} {fine}");
        }
    }

    #[test]
    fn an_infinitely_stiff_state_arrives_in_one_step() {
        let mut method = full(2);
        let mut system = Pulled { rate_per_s: -1e9 };
        let y = [7.0, 0.0];
        method.linearise(&mut system, &y);
        method.step(&mut system, &y, 1.0).unwrap();
        // L-stable: the six it was off by are gone, and what is left is error of the slow part.
        let start_on_curve = pulled_error(-1e9, 1);
        assert!((method.end()[0] - ops::cos(1.0)).abs() < start_on_curve + 1e-6);
    }
}
