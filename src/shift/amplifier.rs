//! The amplifier of a proportional valve: from a set value to the current of its solenoids.

/// Calls an amplifier can have.
pub const CALLS: usize = 4;

/// Within this share of the full signal a dead-band compensation comes in, not at a knife's edge.
const STEP_BAND: f64 = 0.005;
/// A set value follows its target with this time constant [s] at the end of a ramp.
const RAMP_END_S: f64 = 0.01;

/// How an amplifier with its solenoids is made. Signals run from -1 to +1; set values are signals,
/// or positions [m] or speeds [1/s] of what a transducer shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AmplifierMake {
    /// What each call asks for [1, m or 1/s].
    pub sets: [f64; CALLS],
    /// Signal per set value [1], or per error of position [1/m] or speed [s].
    pub gain: f64,
    /// Fastest change of the set value [1/s, m/s or 1/s2].
    pub ramp: f64,
    /// Jump of the output over the valve's overlap [1].
    pub step: f64,
    /// Time constant of the current [s].
    pub lag_s: f64,
    /// Pull at full current [N].
    pub pull_n: f64,
    /// What the transducer shows of the true position or speed [1], 0 without its signal.
    pub shows: f64,
    /// What it shows beyond that, of position [m] or speed [1/s].
    pub offset_m: f64,
    /// Least supply voltage [V].
    pub least_v: f64,
    /// Voltage from which a call counts [V].
    pub call_v: f64,
    /// Reset time of an integral part of the loop [s]; 0 without one.
    pub reset_s: f64,
    /// Signal at which the spool stands in its middle, off zero [1].
    pub null: f64,
    /// It drives a servo stage, whose null is set and can shift.
    pub servo: bool,
    /// Its output stage gives nothing.
    pub dead: bool,
}

impl AmplifierMake {
    /// Rate of the ramped set value `set` on its way to `target`, and its slope to `set` [1/s].
    #[must_use]
    pub fn ramped(&self, target: f64, set: f64) -> (f64, f64) {
        let wanted = (target - set) / RAMP_END_S;
        if wanted.abs() <= self.ramp {
            (wanted, -1.0 / RAMP_END_S)
        } else {
            (self.ramp * wanted.signum(), 0.0)
        }
    }

    /// Current wanted [1 of full] for the signal `u`, and its slope: the compensation lifts it over
    /// the overlap.
    #[must_use]
    pub fn output(&self, u: f64) -> (f64, f64) {
        if u.abs() >= 1.0 {
            return (u.signum(), 0.0);
        }
        let part = (u.abs() / STEP_BAND).min(1.0);
        let slope = if u.abs() < STEP_BAND { self.step / STEP_BAND } else { 0.0 };
        let rest = 1.0 - self.step;
        (u.signum() * (self.step * part + rest * u.abs()), slope + rest)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn make() -> AmplifierMake {
        AmplifierMake {
            sets: [0.0; CALLS],
            gain: 1.0,
            ramp: 2.0,
            step: 0.2,
            lag_s: 0.01,
            pull_n: 60.0,
            shows: 1.0,
            offset_m: 0.0,
            least_v: 18.0,
            call_v: 13.0,
            reset_s: 0.0,
            null: 0.0,
            servo: false,
            dead: false,
        }
    }

    #[test]
    fn compensation_jumps_over_the_overlap_and_keeps_full_scale() {
        let a = make();
        assert_eq!(a.output(0.0).0, 0.0);
        assert!((a.output(0.01).0 - 0.208).abs() < 1e-12);
        assert!((a.output(-0.5).0 + 0.6).abs() < 1e-12);
        assert_eq!(a.output(1.5), (1.0, 0.0));
        for u in [-0.7, -0.002, 0.001, 0.3] {
            let slope = (a.output(u + 1e-7).0 - a.output(u - 1e-7).0) / 2e-7;
            assert!((a.output(u).1 - slope).abs() < 1e-6, "{u}");
        }
    }

    #[test]
    fn a_ramp_limits_the_rate() {
        assert_eq!(make().ramped(1.0, 0.0), (2.0, 0.0));
        assert_eq!(make().ramped(-1.0, 0.0), (-2.0, 0.0));
        assert!((make().ramped(0.01, 0.0).0 - 1.0).abs() < 1e-12);
    }
}
