//! Branch laws of the control side: copper, diodes and suppressors.

use crate::base::ops;

/// Temperature coefficient of copper resistance at 20 degC [1/K], IEC 60028 (from memory).
pub const COPPER_PER_KELVIN: f64 = 3.93e-3;

/// Resistance [ohm] of a copper winding at `celsius` [degC] that has `ohm_at_20` [ohm] at 20 degC.
/// Linear law of IEC 60028 (from memory).
#[must_use]
pub fn copper_ohm(ohm_at_20: f64, celsius: f64) -> f64 {
    ohm_at_20 * (1.0 + COPPER_PER_KELVIN * (celsius - 20.0))
}

/// About zero a diode is a resistor, within this share of its emission voltage [1].
const STRAIGHT: f64 = 1e-8;

/// A junction diode with series resistance: i = Is (exp((v - i Rs) / (n Vt)) - 1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diode {
    /// Saturation current Is [A], > 0.
    pub saturation_a: f64,
    /// Emission voltage n Vt [V], > 0.
    pub emission_v: f64,
    /// Series resistance Rs [ohm], > 0.
    pub series_ohm: f64,
}

impl Diode {
    /// A common small rectifier: 0.8 V or so at 1 A. Invented figures of a usual size.
    pub const RECTIFIER: Diode =
        Diode { saturation_a: 2.52e-9, emission_v: 1.752 * 0.025_852, series_ohm: 0.05 };

    /// Current [A] from anode to cathode at forward voltage `v` [V], and its slope [S].
    #[must_use]
    pub fn current(&self, v: f64) -> (f64, f64) {
        if self.blocks(v) {
            return (-self.saturation_a, 0.0);
        }
        let share = v / self.emission_v;
        if share.abs() < STRAIGHT {
            let g = self.saturation_a / self.emission_v;
            return (g * v, g);
        }
        if v <= 0.0 {
            // The series resistance does not count against the reverse current.
            let e = ops::exp(share);
            return (self.saturation_a * (e - 1.0), self.saturation_a * e / self.emission_v);
        }
        // Solve u + Rs i(u) = v for the junction voltage u. The left side is convex and rising, and
        // the start is an upper bound of the root, so Halley's steps fall towards it one way.
        // Far up, where the exponential would leave the numbers, all of it across the resistance is a
        // better one.
        let mut u = v;
        if v > 20.0 * self.emission_v {
            let bound = self.emission_v * ops::ln_1p(v / (self.series_ohm * self.saturation_a));
            u = v.min(bound);
        }
        let mut slope = 0.0;
        for _ in 0..40 {
            let e = self.saturation_a * ops::exp(u / self.emission_v);
            slope = e / self.emission_v;
            let miss = u + self.series_ohm * (e - self.saturation_a) - v;
            let rise = 1.0 + self.series_ohm * slope;
            let bend = self.series_ohm * slope / self.emission_v;
            let step = miss * rise / (rise * rise - 0.5 * miss * bend);
            u -= step;
            // The next step would be of the order of its cube.
            let share = step / self.emission_v;
            if share.abs() < 1e-3 {
                slope *= 1.0 - share * (1.0 - 0.5 * share);
                break;
            }
        }
        ((v - u) / self.series_ohm, slope / (1.0 + self.series_ohm * slope))
    }

    /// Whether forward voltage `v` [V] is so far below zero that the current no longer depends on it.
    fn blocks(&self, v: f64) -> bool {
        v < -20.0 * self.emission_v
    }

    /// Forward voltage [V] at current `i` [A] >= 0.
    #[must_use]
    pub fn voltage(&self, i: f64) -> f64 {
        self.emission_v * ops::ln_1p(i / self.saturation_a) + i * self.series_ohm
    }
}

/// What lies across a winding to take its current when the feeding contact opens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Suppressor {
    /// A freewheel diode, cathode at the winding's positive terminal; true when fitted the wrong
    /// way round.
    Diode(Diode, bool),
    /// A resistor [ohm].
    Resistor(f64),
    /// A two-way clamp (varistor, back-to-back zener diodes): voltage [V] and slope [ohm].
    Clamp(f64, f64),
}

impl Suppressor {
    /// Whether its current does not depend on the voltage at `v` [V] across the winding.
    #[must_use]
    pub fn quiet(&self, v: f64) -> bool {
        match *self {
            Suppressor::Diode(diode, reversed) => diode.blocks(if reversed { v } else { -v }),
            Suppressor::Resistor(_) => false,
            Suppressor::Clamp(volts, _) => v.abs() <= volts,
        }
    }

    /// Current [A] from the winding's first to its second terminal at voltage `v` [V] across it,
    /// and its slope [S].
    #[must_use]
    pub fn current(&self, v: f64) -> (f64, f64) {
        match *self {
            Suppressor::Diode(diode, reversed) => {
                if reversed {
                    diode.current(v)
                } else {
                    let (i, g) = diode.current(-v);
                    (-i, g)
                }
            }
            Suppressor::Resistor(ohm) => (v / ohm, 1.0 / ohm),
            Suppressor::Clamp(volts, ohm) => {
                if v > volts {
                    ((v - volts) / ohm, 1.0 / ohm)
                } else if v < -volts {
                    ((v + volts) / ohm, 1.0 / ohm)
                } else {
                    (0.0, 0.0)
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn diode_current_and_voltage_are_inverse() {
        let d = Diode { saturation_a: 2.52e-9, emission_v: 0.045_292, series_ohm: 0.568 };
        for i in [1e-9, 1e-6, 1e-3, 0.5, 2.0, 1e6] {
            let (back, slope) = d.current(d.voltage(i));
            assert!((back / i - 1.0).abs() < 1e-6, "{i} gave {back}");
            assert!(slope > 0.0 && slope <= 1.0 / 0.568);
        }
    }

    #[test]
    fn diode_slope_is_the_derivative() {
        let d = Diode::RECTIFIER;
        for v in [-0.3, -0.01, 0.3, 0.7, 0.9] {
            let h = 1e-6;
            let numeric = (d.current(v + h).0 - d.current(v - h).0) / (2.0 * h);
            let (_, slope) = d.current(v);
            assert!((slope - numeric).abs() <= 1e-4 * numeric.abs() + 1e-12, "{v}");
        }
    }
}
