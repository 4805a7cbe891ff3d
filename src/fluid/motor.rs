//! A hydraulic motor with its load.

use super::flow::FlowValue;
use super::piston::creep;

/// A displacement motor: without inertia its speed follows the balance of torques, with one its acceleration
/// does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motor {
    /// Displacement [m3 per revolution], > 0.
    pub displacement_m3: f64,
    /// Torque of the load against turning forwards [N m]; a lifted weight is positive.
    pub load_nm: f64,
    /// Coulomb friction, of motor and load [N m].
    pub friction_nm: f64,
    /// Viscous friction [N m s], > 0.
    pub viscous: f64,
    /// Leakage from port to port [m3/(s Pa)].
    pub leak: f64,
    /// Moment of inertia of motor and load [kg m2]; 0 leaves it out.
    pub inertia: f64,
    /// Nothing turns.
    pub jammed: bool,
}

/// A turn [rad].
const TURN: f64 = 2.0 * std::f64::consts::PI;
/// Below this speed Coulomb friction goes over into sticking [rad/s].
const STICKS: f64 = 0.3;
/// A jammed motor stops within this time [s].
const JAMS_S: f64 = 1e-3;

impl Motor {
    /// Speed [1/s] at the difference `dp` [Pa], and its slope: torque is displacement times
    /// difference over 2 pi (ISO 4391 symbols, from memory).
    #[must_use]
    pub fn speed(&self, dp: f64) -> (f64, f64) {
        if self.jammed {
            return (0.0, 0.0);
        }
        let arm = self.displacement_m3 / TURN;
        let (omega, per_nm) = creep(arm * dp - self.load_nm, self.friction_nm, self.viscous);
        (omega / TURN, per_nm * arm / TURN)
    }

    /// Acceleration [1/s2] of one with inertia at `speed` [1/s] and the difference `dp` [Pa], and its slopes to
    /// both: Newton's law for rotation. Near standing, friction goes over into what holds against
    /// up to as much torque as it can.
    #[must_use]
    pub fn acceleration(&self, speed: f64, dp: f64) -> (f64, f64, f64) {
        if self.jammed {
            return (-speed / JAMS_S, -1.0 / JAMS_S, 0.0);
        }
        let arm = self.displacement_m3 / TURN;
        let omega = TURN * speed;
        let driving = arm * dp - self.load_nm;
        let sliding = (omega / STICKS).clamp(-1.0, 1.0);
        let held = driving.clamp(-self.friction_nm, self.friction_nm);
        let still = 1.0 - sliding.abs();
        let friction = self.friction_nm * sliding + still * held;
        let per_omega = if omega.abs() < STICKS {
            (self.friction_nm - sliding.signum() * held) / STICKS
        } else {
            0.0
        };
        let per_driving = if held == driving { still } else { 0.0 };
        let to_turns = 1.0 / (TURN * self.inertia);
        (
            (driving - friction - self.viscous * omega) * to_turns,
            -(per_omega + self.viscous) * TURN * to_turns,
            (1.0 - per_driving) * arm * to_turns,
        )
    }

    /// Lets the part `share` [1] of the flow slip by, friction at standstill left out: dp = viscous omega / arm, and
    /// the gears pass arm omega.
    pub fn slip(&mut self, share: f64) {
        let arm = self.displacement_m3 / TURN;
        self.leak += share / (1.0 - share) * arm * arm / self.viscous;
    }

    /// Flow of one with inertia that turns with `speed` [1/s], at `dp` [Pa].
    #[must_use]
    #[inline(always)]
    pub fn driven_flow(&self, dp: f64, speed: f64) -> FlowValue {
        FlowValue {
            flow: self.displacement_m3 * speed + self.leak * dp,
            per_first: self.leak,
            per_second: -self.leak,
            per_drive: self.displacement_m3,
        }
    }

    /// Flow from the first to the second port [m3/s] at `dp` [Pa].
    #[must_use]
    #[inline(always)]
    pub fn flow(&self, dp: f64) -> FlowValue {
        let (speed, slope) = self.speed(dp);
        let per_dp = self.displacement_m3 * slope + self.leak;
        FlowValue {
            flow: self.displacement_m3 * speed + self.leak * dp,
            per_first: per_dp,
            per_second: -per_dp,
            per_drive: 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 16 cm3/rev at 100 bar: 25.465 N m (V dp / 2 pi, derived). Against 20 N m and 0.1 N m s it
    /// turns with 5.465 N m / 0.1 N m s = 54.65 rad/s.
    #[test]
    fn torque_and_speed() {
        let m = Motor {
            displacement_m3: 16e-6,
            load_nm: 20.0,
            friction_nm: 0.0,
            viscous: 0.1,
            leak: 1e-12,
            inertia: 0.0,
            jammed: false,
        };
        let omega = m.speed(100e5).0 * TURN;
        assert!((omega / 54.648 - 1.0).abs() < 1e-4, "{omega}");
        // Held by leakage alone when it only just carries its load.
        let held = 20.0 * TURN / 16e-6;
        assert!((m.flow(held).flow / (1e-12 * held) - 1.0).abs() < 1e-6);
        let jammed = Motor { jammed: true, ..m };
        assert_eq!(jammed.speed(200e5), (0.0, 0.0));
    }

    #[test]
    fn slopes_of_the_acceleration_are_the_derivatives() {
        let m = Motor {
            displacement_m3: 16e-6,
            load_nm: 2.0,
            friction_nm: 5.0,
            viscous: 0.1,
            leak: 1e-12,
            inertia: 0.02,
            jammed: false,
        };
        for speed in [-3.0, -0.02, 0.01, 0.03, 5.0] {
            for dp in [-60e5, 0.0, 20e5, 80e5] {
                let (_, per_speed, per_pa) = m.acceleration(speed, dp);
                let at = |s: f64, p: f64| m.acceleration(s, p).0;
                let by_speed = (at(speed + 1e-6, dp) - at(speed - 1e-6, dp)) / 2e-6;
                let by_pa = (at(speed, dp + 1.0) - at(speed, dp - 1.0)) / 2.0;
                assert!((per_speed - by_speed).abs() <= 1e-4 * by_speed.abs() + 1e-6);
                assert!((per_pa - by_pa).abs() <= 1e-4 * by_pa.abs() + 1e-12);
            }
        }
        // At rest it holds against what its friction can hold.
        assert_eq!(m.acceleration(0.0, 20e5).0, 0.0);
        assert!(m.acceleration(0.0, 80e5).0 > 0.0);
    }
}
