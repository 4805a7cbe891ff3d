//! A piston with its rod, its load and its end stops.

/// What resists the rod's extension [N], along the stroke.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Load {
    /// Constant force against extension [N]: weight of a lifted load is positive.
    pub constant_n: f64,
    /// Force against extension [N] over position [m], straight between the points, level outside.
    pub along: Vec<(f64, f64)>,
}

impl Load {
    /// Force against extension [N] at position `s` [m], and its slope [N/m].
    #[must_use]
    pub fn force(&self, s: f64) -> (f64, f64) {
        let (mut force, mut slope) = (self.constant_n, 0.0);
        if let (Some(first), Some(last)) = (self.along.first(), self.along.last()) {
            if s <= first.0 {
                force += first.1;
            } else if s >= last.0 {
                force += last.1;
            } else {
                for pair in self.along.windows(2) {
                    let ((s0, f0), (s1, f1)) = (pair[0], pair[1]);
                    if s < s1 {
                        slope = (f1 - f0) / (s1 - s0);
                        force += f0 + slope * (s - s0);
                        break;
                    }
                }
            }
        }
        (force, slope)
    }
}

/// A piston. Position 0 is fully retracted, positive is extended.
#[derive(Clone, Debug, PartialEq)]
pub struct Piston {
    /// Area of the cap side [m2].
    pub cap_m2: f64,
    /// Area of the rod side [m2].
    pub rod_m2: f64,
    /// Stroke [m].
    pub stroke_m: f64,
    /// Coulomb friction [N].
    pub friction_n: f64,
    /// Viscous friction [N s/m], > 0.
    pub viscous: f64,
    /// Leakage cap to rod side [m3/(s Pa)].
    pub leak: f64,
    /// Load on the rod.
    pub load: Load,
    /// A jam: nothing moves.
    pub jammed: bool,
}

/// Stiffness of an end stop [N/m]: 10 kN presses in by 10 um.
const STOP_N_PER_M: f64 = 1e9;

impl Piston {
    /// Force along extension [N] at position `s` [m] from chamber pressures [Pa gauge], end stops
    /// included, and its slope to the position [N/m].
    #[must_use]
    pub fn force(&self, cap_pa: f64, rod_pa: f64, s: f64) -> (f64, f64) {
        let (against, against_slope) = self.load.force(s);
        let mut force = cap_pa * self.cap_m2 - rod_pa * self.rod_m2 - against;
        let mut slope = -against_slope;
        if s < 0.0 {
            force -= STOP_N_PER_M * s;
            slope -= STOP_N_PER_M;
        } else if s > self.stroke_m {
            force -= STOP_N_PER_M * (s - self.stroke_m);
            slope -= STOP_N_PER_M;
        }
        (force, slope)
    }

    /// Speed [m/s] under `force` [N] against friction, and its slope [m/(s N)].
    #[must_use]
    pub fn speed(&self, force: f64) -> (f64, f64) {
        if self.jammed {
            return (0.0, 0.0);
        }
        creep(force, self.friction_n, self.viscous)
    }
}

/// Speed under `force` against Coulomb friction `friction` and viscous friction `viscous`: nothing
/// moves until the force exceeds the Coulomb friction. Also the slope.
#[must_use]
pub fn creep(force: f64, friction: f64, viscous: f64) -> (f64, f64) {
    if force > friction {
        ((force - friction) / viscous, 1.0 / viscous)
    } else if force < -friction {
        ((force + friction) / viscous, 1.0 / viscous)
    } else {
        (0.0, 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fifty_by_28() -> Piston {
        let area = |d: f64| std::f64::consts::PI / 4.0 * d * d;
        Piston {
            cap_m2: area(0.05),
            rod_m2: area(0.05) - area(0.028),
            stroke_m: 0.3,
            friction_n: 0.0,
            viscous: 1000.0,
            leak: 0.0,
            load: Load::default(),
            jammed: false,
        }
    }

    /// 50/28 mm at 100 bar: 19634.95 N out, 13477.43 N in, area ratio 1.456876.
    #[test]
    fn cylinder_forces() {
        let p = fifty_by_28();
        assert!((p.force(100e5, 0.0, 0.1).0 / 19_634.95 - 1.0).abs() < 1e-5);
        assert!((p.force(0.0, 100e5, 0.1).0 / -13_477.43 - 1.0).abs() < 1e-5);
        assert!((p.cap_m2 / p.rod_m2 / 1.456_876 - 1.0).abs() < 1e-5);
    }

    #[test]
    fn load_is_straight_between_points() {
        let l = Load { constant_n: 100.0, along: vec![(0.1, 0.0), (0.2, 1000.0)] };
        assert_eq!(l.force(0.0).0, 100.0);
        assert!((l.force(0.15).0 - 600.0).abs() < 1e-9);
        assert_eq!(l.force(0.5), (1100.0, 0.0));
    }
}
