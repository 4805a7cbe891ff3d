//! Oil through a straight pipe or hose: laminar, turbulent and what lies between.

use crate::base::ops;

/// Laminar flow up to this Reynolds number [1] (common practice).
const LAMINAR_RE: f64 = 2000.0;
/// Turbulent flow from this Reynolds number [1] (common practice).
const TURBULENT_RE: f64 = 4000.0;

/// A straight round pipe.
///
/// The loss is dp = f (L/D) rho v2 / 2, with f = 64 / Re (Hagen and Poiseuille) below a Reynolds
/// number of 2000 and the formula of Colebrook above 4000. Both give the flow for a given drop without
/// iteration, since the drop fixes Re sqrt(f); between them a cubic joins both, so that flow always rises
/// with the drop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pipe {
    /// Bore [m], > 0.
    pub bore_m: f64,
    /// Length [m], > 0.
    pub length_m: f64,
    /// Roughness of the wall [m], >= 0.
    pub roughness_m: f64,
    /// Kinematic viscosity [m2/s], > 0.
    pub viscosity_m2_s: f64,
    /// Density [kg/m3], > 0.
    pub density: f64,
}

impl Pipe {
    /// Volume flow [m3/s] for a drop `dp` [Pa], with the sign of the drop, and its derivative.
    ///
    /// ```
    /// use spoolbench::fluid::Pipe;
    /// // 12 L/min of 46 mm2/s oil through 5 m of 10 mm bore: 1.63056 bar.
    /// let pipe = Pipe {
    ///     bore_m: 0.01, length_m: 5.0, roughness_m: 1e-5, viscosity_m2_s: 46e-6, density: 870.0,
    /// };
    /// assert!((pipe.flow(1.630_56e5).0 * 60_000.0 - 12.0).abs() < 1e-3);
    /// ```
    #[must_use]
    pub fn flow(&self, dp: f64) -> (f64, f64) {
        let area = std::f64::consts::PI / 4.0 * self.bore_m * self.bore_m;
        // v = speed / sqrt(f), Re sqrt(f) = k.
        let speed = (2.0 * dp.abs() * self.bore_m / (self.density * self.length_m)).sqrt();
        let k = speed * self.bore_m / self.viscosity_m2_s;
        let laminar_end = (64.0 * LAMINAR_RE).sqrt();
        if k <= laminar_end {
            let per_pa = area * self.bore_m * self.bore_m
                / (32.0 * self.viscosity_m2_s * self.density * self.length_m);
            return (per_pa * dp, per_pa);
        }
        // The Reynolds number and its rise with k.
        let turbulent_start = self.turbulent_start();
        let (reynolds, rise) = if k >= turbulent_start {
            self.turbulent(k)
        } else {
            let width = turbulent_start - laminar_end;
            let (end, end_rise) = self.turbulent(turbulent_start);
            let secant = (end - LAMINAR_RE) / width;
            let from = (2.0 * laminar_end / 64.0).min(3.0 * secant);
            let to = end_rise.min(3.0 * secant);
            // A cubic through both ends with their slopes, which the limits keep rising.
            let u = (k - laminar_end) / width;
            let (c2, c3) = (3.0 * secant - 2.0 * from - to, from + to - 2.0 * secant);
            (
                LAMINAR_RE + width * u * (from + u * (c2 + u * c3)),
                from + u * (2.0 * c2 + u * 3.0 * c3),
            )
        };
        let per_reynolds = area * self.viscosity_m2_s / self.bore_m;
        // dk / d|dp| = k / (2 |dp|).
        let slope = per_reynolds * rise * k / (2.0 * dp.abs());
        ((per_reynolds * reynolds).copysign(dp), slope)
    }

    /// Reynolds number of turbulent flow at Re sqrt(f) = `k`, and its derivative.
    fn turbulent(&self, k: f64) -> (f64, f64) {
        let (inverse, inverse_k) = self.colebrook(k);
        (k * inverse, inverse + k * inverse_k)
    }

    /// 1 / sqrt(f) at Re sqrt(f) = `k`, and its derivative.
    fn colebrook(&self, k: f64) -> (f64, f64) {
        let per_ln = 2.0 / std::f64::consts::LN_10;
        let inside = self.roughness_m / (3.7 * self.bore_m) + 2.51 / k;
        (-per_ln * ops::ln(inside), per_ln * 2.51 / (k * k) / inside)
    }

    /// Re sqrt(f) at which the turbulent Reynolds number begins.
    fn turbulent_start(&self) -> f64 {
        let mut k = 800.0;
        for _ in 0..8 {
            k = TURBULENT_RE / self.colebrook(k).0;
        }
        k.max((64.0 * LAMINAR_RE).sqrt() * 1.5)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOSE: Pipe = Pipe {
        bore_m: 0.01,
        length_m: 5.0,
        roughness_m: 1e-6,
        viscosity_m2_s: 20e-6,
        density: 870.0,
    };

    #[test]
    fn flow_rises_with_the_drop_and_its_slope_is_the_derivative() {
        for roughness_m in [0.0, 1e-6, 2e-4] {
            let pipe = Pipe { roughness_m, ..HOSE };
            let mut last = 0.0;
            for step in 1..400 {
                let dp = 200.0 * f64::from(step * step);
                let (flow, slope) = pipe.flow(dp);
                assert!(flow > last, "{dp}");
                last = flow;
                let h = 1e-4 * dp;
                let numeric = (pipe.flow(dp + h).0 - pipe.flow(dp - h).0) / (2.0 * h);
                assert!((slope / numeric - 1.0).abs() < 2e-3, "{dp}: {slope} {numeric}");
                assert_eq!(pipe.flow(-dp), (-flow, slope));
            }
        }
        assert_eq!(HOSE.flow(0.0).0, 0.0);
    }
}
