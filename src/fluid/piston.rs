//! A piston with its rod, its load and its end stops.

use super::EndStop;

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
    #[inline]
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

/// An end cushion: a spear that shuts the way out and leaves the oil only a narrow gap, whose
/// resistance grows with how far the spear is in.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cushion {
    /// Length of the spear [m]; 0 without a cushion.
    pub length_m: f64,
    /// Viscous resistance with the spear all the way in [N s/m].
    pub viscous: f64,
}

impl Cushion {
    /// Resistance [N s/m] at `left_m` [m] before the end, and its slope to that.
    fn drag(&self, left_m: f64) -> (f64, f64) {
        if self.length_m <= 0.0 || left_m >= self.length_m {
            (0.0, 0.0)
        } else {
            let slope = -self.viscous / self.length_m;
            (self.viscous + slope * left_m, slope)
        }
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
    /// The load rests on a prop, which holds it against its weight: nothing moves.
    pub propped: bool,
    /// Cushions at the retracted and at the extended end.
    pub cushions: [Cushion; 2],
}

impl Piston {
    /// Force along extension [N] at position `s` [m] from chamber pressures [Pa gauge], without
    /// friction and end stops, and its slope to the position [N/m].
    #[must_use]
    #[inline]
    pub fn force(&self, cap_pa: f64, rod_pa: f64, s: f64) -> (f64, f64) {
        let (against, against_slope) = self.load.force(s);
        (cap_pa * self.cap_m2 - rod_pa * self.rod_m2 - against, -against_slope)
    }

    /// Speed [m/s] at position `s` [m] under `force` [N] against friction, with its slopes to force
    /// [m/(s N)] and position [1/s]; of one that stands on an end stop, what that leaves of it.
    #[must_use]
    #[inline]
    pub fn speed(&self, force: f64, s: f64, stop: Option<EndStop>) -> (f64, f64, f64) {
        if self.jammed || self.propped {
            return (0.0, 0.0, 0.0);
        }
        let (drag, drag_per_m) = if force > 0.0 {
            let (drag, slope) = self.cushions[1].drag(self.stroke_m - s);
            (drag, -slope)
        } else {
            self.cushions[0].drag(s)
        };
        let viscous = self.viscous + drag;
        let (speed, per_n) = creep(force, self.friction_n, viscous);
        let free = (speed, per_n, -speed / viscous * drag_per_m);
        stop.map_or(free, |stop| stop.hold(free, s, self.range()))
    }

    /// Smallest and largest position [m].
    #[must_use]
    pub fn range(&self) -> (f64, f64) {
        (0.0, self.stroke_m)
    }
}

/// Friction gives way within this fraction of its value, below and above, not at a knife's edge.
const YIELD_BAND: f64 = 0.1;

/// Speed under `force` against Coulomb friction `friction` and viscous friction `viscous`, and its
/// slope.
///
/// Up to nine tenths of the friction nothing moves; from eleven tenths on the speed is
/// (force - friction) / viscous. A parabola joins the two. A bare corner has no solution that an
/// integrator could follow when a part creeps along it, pushed by a leak or a dying coil: the
/// force by which it exceeds the friction is then smaller than any tolerance.
#[must_use]
#[inline]
pub fn creep(force: f64, friction: f64, viscous: f64) -> (f64, f64) {
    let size = force.abs();
    let band = YIELD_BAND * friction;
    let over = size - friction + band;
    if over <= 0.0 {
        (0.0, 0.0)
    } else if over < 2.0 * band {
        let slope = over / (2.0 * band * viscous);
        (0.5 * over * slope * force.signum(), slope)
    } else {
        ((size - friction) / viscous * force.signum(), 1.0 / viscous)
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
            propped: false,
            cushions: Default::default(),
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
    fn friction_holds_then_yields_smoothly() {
        assert_eq!(creep(-89.0, 100.0, 10.0), (0.0, 0.0));
        assert_eq!(creep(300.0, 100.0, 10.0), (20.0, 0.1));
        assert_eq!(creep(-300.0, 100.0, 10.0), (-20.0, 0.1));
        assert_eq!(creep(5.0, 0.0, 10.0), (0.5, 0.1));
        for edge in [90.0, 110.0, -90.0, -110.0] {
            let (low, high) = (creep(edge - 1e-9, 100.0, 10.0), creep(edge + 1e-9, 100.0, 10.0));
            assert!((low.0 - high.0).abs() < 1e-9 && (low.1 - high.1).abs() < 1e-9, "{edge}");
        }
        for force in [-105.0, -95.0, 95.0, 105.0] {
            let h = 1e-4;
            let rise = creep(force + h, 100.0, 10.0).0 - creep(force - h, 100.0, 10.0).0;
            assert!((creep(force, 100.0, 10.0).1 - rise / (2.0 * h)).abs() < 1e-9, "{force}");
        }
    }

    /// Into a cushion of resistance c s / L beyond its mouth: v = F / (b + c s / L), and the way in
    /// is free the other way (derived).
    #[test]
    fn cushions_slow_the_last_of_the_stroke_one_way() {
        let cushion = Cushion { length_m: 0.02, viscous: 49e3 };
        let p = Piston { cushions: [cushion; 2], ..fifty_by_28() };
        for (s, force, drag) in [
            (0.29, 1e3, 0.5),
            (0.29, -1e3, 0.0),
            (0.15, 1e3, 0.0),
            (0.005, -1e3, 0.75),
            (0.005, 1e3, 0.0),
        ] {
            let (speed, _, per_m) = p.speed(force, s, None);
            assert!((speed / (force / (1e3 + drag * 49e3)) - 1.0).abs() < 1e-9, "{s} {force}");
            let h = 1e-7;
            let slope = (p.speed(force, s + h, None).0 - p.speed(force, s - h, None).0) / (2.0 * h);
            assert!((per_m - slope).abs() <= 1e-5 * slope.abs() + 1e-9, "{s}: {per_m} {slope}");
        }
    }

    #[test]
    fn load_is_straight_between_points() {
        let l = Load { constant_n: 100.0, along: vec![(0.1, 0.0), (0.2, 1000.0)] };
        assert_eq!(l.force(0.0).0, 100.0);
        assert!((l.force(0.15).0 - 600.0).abs() < 1e-9);
        assert_eq!(l.force(0.5), (1100.0, 0.0));
    }
}
