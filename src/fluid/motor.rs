//! A hydraulic motor with its load.

use super::flow::FlowValue;
use super::piston::creep;

/// A displacement motor without inertia: its speed follows the balance of torques.
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
    /// Nothing turns.
    pub jammed: bool,
}

/// A turn [rad].
const TURN: f64 = 2.0 * std::f64::consts::PI;

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

    /// Flow from the first to the second port [m3/s] at `dp` [Pa].
    #[must_use]
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
}
