//! A winding on an iron circuit with a working gap: inductance, flux and pull.
//!
//! The magnetic circuit is the iron in series with the gap, the gap bridged by a leakage path.
//! With g the gap as a fraction of the full stroke, 1/L(g) = 1/Ls + G g / (1 + r g), where r is the
//! reluctance of the full gap over that of the leakage path. The pull follows from the energy:
//! F = (lambda^2 / 2) d(1/L)/dg / stroke (e.g. Fitzgerald, Electric Machinery, ch. 3; from memory).

use super::laws::copper_ohm;

/// How a winding is made: what a data sheet says of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindingMake {
    /// Resistance at 20 degC [ohm], > 0.
    pub ohm_at_20: f64,
    /// Inductance with the gap fully open [H], > 0.
    pub open_henry: f64,
    /// Inductance with the armature seated [H], >= the open one.
    pub seated_henry: f64,
    /// Leakage ratio r [1], >= 0; 0 leaves leakage out.
    pub leakage: f64,
    /// Stroke of the armature over the gap [m], > 0.
    pub stroke_m: f64,
    /// Turns that carry current, as a fraction of those wound [1]: 1 when sound.
    pub sound_turns: f64,
    /// The winding is broken: no current can flow.
    pub open: bool,
    /// Thermal resistance winding to ambient [K/W], > 0.
    pub kelvin_per_watt: f64,
    /// Heat capacity of the winding [J/K], > 0.
    pub joule_per_kelvin: f64,
    /// Temperature at which the insulation fails and the winding burns open [degC].
    pub burnout_celsius: f64,
}

impl WindingMake {
    /// Resistance [ohm] at `celsius` [degC], with the shorted turns left out.
    #[must_use]
    pub fn ohm(&self, celsius: f64) -> f64 {
        copper_ohm(self.ohm_at_20, celsius) * self.sound_turns
    }

    /// d(resistance)/d(temperature) [ohm/K].
    #[must_use]
    pub fn ohm_per_kelvin(&self) -> f64 {
        self.ohm_at_20 * super::laws::COPPER_PER_KELVIN * self.sound_turns
    }

    /// Slope of the gap term at g = 0, G [1/H].
    fn gap_term(&self) -> f64 {
        (1.0 / self.open_henry - 1.0 / self.seated_henry) * (1.0 + self.leakage)
    }

    /// 1/L [1/H] at gap fraction `gap` [1] and its derivative to the gap [1/H].
    #[must_use]
    pub fn inverse_henry(&self, gap: f64) -> (f64, f64) {
        let per_turns = 1.0 / (self.sound_turns * self.sound_turns);
        let per_widened = 1.0 / (1.0 + self.leakage * gap);
        let share = self.gap_term() * per_widened;
        ((1.0 / self.seated_henry + share * gap) * per_turns, share * per_widened * per_turns)
    }

    /// Pull [N] on the armature towards the seat at flux linkage squared `linkage2` [V2s2]
    /// (root-mean-square for alternating current, whose mean pull this then is).
    #[must_use]
    pub fn pull(&self, linkage2: f64, gap: f64) -> f64 {
        self.pull_at(linkage2, self.inverse_henry(gap).1)
    }

    /// The same where the derivative of 1/L to the gap is known to be `per_gap` [1/H].
    #[must_use]
    pub fn pull_at(&self, linkage2: f64, per_gap: f64) -> f64 {
        0.5 * linkage2 * per_gap / self.stroke_m
    }

    /// d(pull)/d(gap) [N] at constant flux linkage.
    #[must_use]
    pub fn pull_per_gap(&self, linkage2: f64, gap: f64) -> f64 {
        let widened = 1.0 + self.leakage * gap;
        -2.0 * self.leakage / widened * self.pull(linkage2, gap)
    }
}

#[cfg(test)]
impl WindingMake {
    /// A winding for tests. Invented figures.
    pub(crate) const SAMPLE: WindingMake = WindingMake {
        ohm_at_20: 22.0,
        open_henry: 0.2,
        seated_henry: 0.6,
        leakage: 0.8,
        stroke_m: 4e-3,
        sound_turns: 1.0,
        open: false,
        kelvin_per_watt: 8.0,
        joule_per_kelvin: 120.0,
        burnout_celsius: 220.0,
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    fn make() -> WindingMake {
        WindingMake::SAMPLE
    }

    #[test]
    fn inductance_meets_both_ends() {
        let m = make();
        assert!((1.0 / m.inverse_henry(1.0).0 - 0.2).abs() < 1e-12);
        assert!((1.0 / m.inverse_henry(0.0).0 - 0.6).abs() < 1e-12);
    }

    /// With no iron and no leakage the pull is (N I)^2 mu0 A / (2 g^2): N I = 1000 A, 1e-4 m2,
    /// 2 mm gives 15.708 N (Fitzgerald, Electric Machinery, ch. 3; from memory).
    #[test]
    fn pull_of_a_bare_gap() {
        let mu0 = 4e-7 * std::f64::consts::PI;
        let (turns, area, current) = (500.0, 1e-4, 2.0);
        let henry = |g: f64| turns * turns * mu0 * area / g;
        // Seated inductance so large that the iron does not count.
        let m = WindingMake {
            open_henry: henry(2e-3),
            seated_henry: 1e12,
            leakage: 0.0,
            stroke_m: 2e-3,
            ..make()
        };
        for (gap_m, want) in [(2e-3, 15.708), (1e-3, 62.832)] {
            let linkage = henry(gap_m) * current;
            let pull = m.pull(linkage * linkage, gap_m / 2e-3);
            assert!((pull / want - 1.0).abs() < 1e-5, "{pull} N at {gap_m} m");
        }
    }

    #[test]
    fn pull_slope_is_the_derivative() {
        let m = make();
        let h = 1e-6;
        let numeric = (m.pull(0.04, 0.5 + h) - m.pull(0.04, 0.5 - h)) / (2.0 * h);
        assert!((m.pull_per_gap(0.04, 0.5) / numeric - 1.0).abs() < 1e-6);
    }
}
