//! One step of the implicit method: its stages, its error and the state within it.
//!
//! The method is the linearly implicit Rosenbrock method RODAS3: four stages, order 3 with an
//! embedded order 2, L-stable and stiffly accurate, three evaluations of the rates a step.
//! Coefficients from Sandu, Verwer, Blom, Spee, Carmichael and Potra, "Benchmarking stiff ODE
//! solvers for atmospheric chemistry problems II: Rosenbrock solvers", Atmospheric Environment
//! 31 (1997), in the form without products by the Jacobian. Written out, with W = 2/h - J:
//!
//! ```text
//! W u1 = f(y)                         W u3 = f(y + 2 u1)      + (u1 - u2) / h
//! W u2 = f(y) + 4 u1 / h              W u4 = f(y + 2 u1 + u3) + (u1 - u2 - 8/3 u3) / h
//! new y = y + 2 u1 + u3 + u4          error = u4
//! ```
//!
//! Between the ends of a step the state is (1-s) y + s new y + s (1-s) (3 u1 - u2). The last
//! factor equals -h^2 y''/2 up to third order, so this is as good as the error estimate, and
//! as the stages are damped by W it stays close to the ends where an interpolant through the
//! rates would swing wildly on a stiff state.

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
        system.rates(y, &mut self.rates);
        self.jacobian.clear();
        system.jacobian(y, &mut self.jacobian);
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
        let u1 = &mut self.u1[..n];
        let u2 = &mut self.u2[..n];
        let u3 = &mut self.u3[..n];
        let u4 = &mut self.u4[..n];
        let per_step = 1.0 / step_s;

        if self
            .factors
            .factor_shifted(2.0 * per_step, &self.jacobian)
            .is_err()
        {
            return Err(Failure::Singular);
        }
        u1.copy_from_slice(rates);
        self.factors.solve(u1);
        for i in 0..n {
            u2[i] = rates[i] + 4.0 * per_step * u1[i];
            stage[i] = y[i] + 2.0 * u1[i];
        }
        self.factors.solve(u2);
        system.rates(stage, u3);
        for i in 0..n {
            u3[i] += per_step * (u1[i] - u2[i]);
        }
        self.factors.solve(u3);
        for i in 0..n {
            stage[i] += u3[i];
        }
        system.rates(stage, u4);
        for i in 0..n {
            u4[i] += per_step * (u1[i] - u2[i] - (8.0 / 3.0) * u3[i]);
        }
        self.factors.solve(u4);
        let mut unreal = 0.0;
        for i in 0..n {
            end[i] = stage[i] + u4[i];
            unreal += end[i] * 0.0;
        }
        if unreal == 0.0 {
            Ok(())
        } else {
            Err(Failure::NotFinite)
        }
    }

    /// The error of the step in the state where it is largest, in tolerances [1].
    ///
    /// The largest and not the mean, so that adding idle parts to a bench never loosens the
    /// tolerance of the others.
    pub(super) fn error(&self, y: &[f64], absolute: &[f64], relative: f64) -> f64 {
        let n = y.len();
        let (end, u4, absolute) = (&self.end[..n], &self.u4[..n], &absolute[..n]);
        let mut most = 0.0;
        for i in 0..n {
            let size = y[i].abs().max(end[i].abs());
            let error = u4[i].abs() / (absolute[i] + relative * size);
            if error > most {
                most = error;
            }
        }
        most
    }

    /// Writes the state at `share` [1] of the step from `y`.
    pub(super) fn between(&self, y: &[f64], share: f64, state: &mut [f64]) {
        let n = y.len();
        let (end, u1, u2) = (&self.end[..n], &self.u1[..n], &self.u2[..n]);
        let state = &mut state[..n];
        let bulge = share * (1.0 - share);
        for i in 0..n {
            state[i] = (1.0 - share) * y[i] + share * end[i] + bulge * (3.0 * u1[i] - u2[i]);
        }
    }
}
