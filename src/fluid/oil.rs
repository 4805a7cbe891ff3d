//! What oil is: viscosity grade, viscosity by temperature, cleanliness code, leakage of a clearance.

use crate::base::ops;

/// Midpoint viscosities at 40 degC [mm2/s] of the ISO 3448 grades; each grade is its midpoint
/// within 10 %.
pub const GRADES: [f64; 20] = [
    2.2, 3.2, 4.6, 6.8, 10.0, 15.0, 22.0, 32.0, 46.0, 68.0, 100.0, 150.0, 220.0, 320.0, 460.0,
    680.0, 1000.0, 1500.0, 2200.0, 3200.0,
];

/// Limits at 40 degC [mm2/s] of the grade `ISO VG` number `vg` (2, 3, 5, 7, 10, ... 3200).
///
/// ```
/// let (low, high) = spoolbench::fluid::oil::grade_limits(46.0).unwrap();
/// assert!((low - 41.4).abs() < 1e-9 && (high - 50.6).abs() < 1e-9);
/// ```
#[must_use]
pub fn grade_limits(vg: f64) -> Option<(f64, f64)> {
    let midpoint = GRADES.iter().find(|mid| (mid.round() - vg).abs() < 1e-9)?;
    Some((0.9 * midpoint, 1.1 * midpoint))
}

/// The grade number within whose limits a viscosity at 40 degC [mm2/s] lies, if any.
#[must_use]
pub fn grade_of(at_40_mm2_s: f64) -> Option<f64> {
    GRADES
        .iter()
        .find(|mid| (0.9 * **mid..=1.1 * **mid).contains(&at_40_mm2_s))
        .map(|mid| mid.round())
}

/// Kinematic viscosity by temperature: log10 log10 (nu + 0.7) = A - B log10 T, with nu in mm2/s and
/// T in K (ASTM D341, the form for nu above about 2 mm2/s).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Viscosity {
    a: f64,
    b: f64,
}

/// Added to the viscosity before the logarithms [mm2/s].
const SHIFT: f64 = 0.7;
/// 0 degC [K].
pub const ICE_KELVIN: f64 = 273.15;

/// Where a point (temperature [degC], viscosity [mm2/s]) lies on the straight line.
fn place((celsius, nu): (f64, f64)) -> (f64, f64) {
    (ops::ln(celsius + ICE_KELVIN), ops::ln(ops::ln(nu + SHIFT)))
}

/// A piece of a parabola: from which viscosity at 100 degC on [mm2/s], and its coefficients.
type Piece = (f64, f64, f64, f64);

/// Viscosity at 40 degC [mm2/s] of the oil of index 100, over that at 100 degC (ASTM D2270; from
/// memory, checked by its joints and by an outside implementation).
const INDEX_100: [Piece; 16] = [
    (2.0, 0.841_55, 1.5521, -0.077),
    (3.8, 0.785_71, 1.7929, -0.183),
    (4.4, 0.821_43, 1.5679, 0.119),
    (5.0, 0.049_85, 9.1613, -18.557),
    (6.4, 0.226_19, 7.7369, -16.656),
    (7.0, 0.797_62, -0.7321, 14.610),
    (7.7, 0.057_94, 10.5156, -28.240),
    (9.0, 0.266_65, 6.7015, -10.810),
    (12.0, 0.200_73, 8.4658, -22.490),
    (15.0, 0.288_89, 5.9741, -4.930),
    (18.0, 0.245_04, 7.4160, -16.730),
    (22.0, 0.203_23, 9.1267, -34.230),
    (28.0, 0.184_11, 10.1015, -46.750),
    (40.0, 0.170_29, 11.4866, -80.620),
    (55.0, 0.171_30, 11.3680, -76.940),
    (70.0, 0.168_41, 11.8493, -96.947),
];

/// Viscosity at 40 degC [mm2/s] on `piece` at `y` [mm2/s] at 100 degC.
fn index_100((_, a, b, c): Piece, y: f64) -> f64 {
    (a * y + b) * y + c
}

/// Viscosity at 100 degC [mm2/s] of the oil of index 100 and `at_40` [mm2/s].
fn at_100_of_index_100(at_40: f64) -> f64 {
    let reached = INDEX_100.iter().rev().find(|piece| index_100(**piece, piece.0) <= at_40);
    let (_, a, b, c) = *reached.unwrap_or(&INDEX_100[0]);
    (-b + (b * b - 4.0 * a * (c - at_40)).sqrt()) / (2.0 * a)
}

impl Viscosity {
    /// Through two points (temperature [degC], viscosity [mm2/s] > 0.31), or `None` if the points
    /// do not define a line.
    #[must_use]
    pub fn through(first: (f64, f64), second: (f64, f64)) -> Option<Self> {
        let ((x1, y1), (x2, y2)) = (place(first), place(second));
        let b = (y1 - y2) / (x2 - x1);
        let a = y1 + b * x1;
        (a.is_finite() && b.is_finite()).then_some(Self { a, b })
    }

    /// Of an oil of `at_40` [mm2/s] at 40 degC with a viscosity index of 100, as plain mineral oils
    /// have it (common practice); the viscosity at 100 degC that belongs to it is that of ASTM D2270.
    #[must_use]
    pub fn usual(at_40: f64) -> Self {
        // Thinner oils than the standard knows fall as the thinnest of it do.
        let known = at_40.max(index_100(INDEX_100[0], INDEX_100[0].0));
        let ((x1, y1), (x2, y2)) =
            (place((40.0, known)), place((100.0, at_100_of_index_100(known))));
        let b = (y1 - y2) / (x2 - x1);
        let a = ops::ln(ops::ln(at_40 + SHIFT)) + b * ops::ln(40.0 + ICE_KELVIN);
        Self { a, b }
    }

    /// Kinematic viscosity [mm2/s] at `celsius` [degC].
    #[must_use]
    pub fn at(&self, celsius: f64) -> f64 {
        ops::exp(ops::exp(self.a - self.b * ops::ln(celsius + ICE_KELVIN))) - SHIFT
    }

    /// Rise of the viscosity with temperature [mm2/s per K] at `celsius` [degC]; below zero for oil.
    #[must_use]
    pub fn slope(&self, celsius: f64) -> f64 {
        let kelvin = celsius + ICE_KELVIN;
        let inner = ops::exp(self.a - self.b * ops::ln(kelvin));
        -ops::exp(inner) * inner * self.b / kelvin
    }
}

/// A round body in a bore that fits it closely.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearance {
    /// Diameter [m].
    pub diameter_m: f64,
    /// Radial clearance with the body in the middle [m].
    pub radial_m: f64,
    /// Length that seals [m].
    pub length_m: f64,
    /// How far the body lies out of the middle: 0 there, 1 against the bore [1].
    pub eccentricity: f64,
}

impl Clearance {
    /// Leakage [m3/s] at `drop_pa` [Pa]: pi d c3 dp / (12 mu L), and 1 + 1.5 e2 times that out of the
    /// middle (Merritt, Hydraulic Control Systems, 1967, ch. 3; from memory).
    #[must_use]
    pub fn leak(&self, viscosity_pa_s: f64, drop_pa: f64) -> f64 {
        let cube = self.radial_m * self.radial_m * self.radial_m;
        let middle = std::f64::consts::PI * self.diameter_m * cube * drop_pa
            / (12.0 * viscosity_pa_s * self.length_m);
        middle * (1.0 + 1.5 * ops::square(self.eccentricity))
    }
}

/// Upper limits of the scale numbers 0 to 28 of ISO 4406 [particles per mL]: more than the limit of the
/// number before, up to and including its own. The published numbers are rounded doublings.
const SCALE: [f64; 29] = [
    0.01,
    0.02,
    0.04,
    0.08,
    0.16,
    0.32,
    0.64,
    1.3,
    2.5,
    5.0,
    10.0,
    20.0,
    40.0,
    80.0,
    160.0,
    320.0,
    640.0,
    1300.0,
    2500.0,
    5000.0,
    10_000.0,
    20_000.0,
    40_000.0,
    80_000.0,
    160_000.0,
    320_000.0,
    640_000.0,
    1_300_000.0,
    2_500_000.0,
];

/// Scale number of ISO 4406 for a count of particles per mL; `None` above the table.
///
/// ```
/// use spoolbench::fluid::oil::cleanliness;
/// // 18/16/13: over 1300 to 2500, over 320 to 640, over 40 to 80 particles per mL.
/// assert_eq!([2000.0, 500.0, 60.0].map(cleanliness), [Some(18), Some(16), Some(13)]);
/// ```
#[must_use]
pub fn cleanliness(per_ml: f64) -> Option<u8> {
    let number = SCALE.iter().position(|limit| per_ml <= *limit)?;
    u8::try_from(number).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 3448: VG 32 28.8 to 35.2, VG 68 61.2 to 74.8 mm2/s; grades do not overlap.
    #[test]
    fn grades_are_bands_about_their_midpoints() {
        for (vg, low, high) in [(32.0, 28.8, 35.2), (68.0, 61.2, 74.8), (2.0, 1.98, 2.42)] {
            let limits = grade_limits(vg).expect("a grade");
            assert!((limits.0 - low).abs() < 1e-9 && (limits.1 - high).abs() < 1e-9);
        }
        assert_eq!(grade_limits(33.0), None);
        assert_eq!(
            [50.6, 51.0, 41.4, 7.0].map(grade_of),
            [Some(46.0), None, Some(46.0), Some(7.0)]
        );
        for pair in GRADES.windows(2) {
            assert!(1.1 * pair[0] < 0.9 * pair[1], "{pair:?}");
        }
    }

    /// ASTM D341: 32 at 40 degC and 5.4 at 100 degC give 8.533 mm2/s at 80 degC; a published sheet
    /// of such an oil prints 8.5. VG 46 with 6.8 at 100 degC: 577.3, 133.84, 20.623.
    #[test]
    fn viscosity_by_temperature() {
        let vg32 = Viscosity::through((40.0, 32.0), (100.0, 5.4)).expect("a line");
        let vg46 = Viscosity::through((40.0, 46.0), (100.0, 6.8)).expect("a line");
        // The 8.533 was worked with 273 instead of 273.15 K, hence the wider limit.
        assert!((vg32.at(80.0) / 8.533 - 1.0).abs() < 1e-3, "{}", vg32.at(80.0));
        for (celsius, nu) in [(0.0, 577.3), (20.0, 133.84), (60.0, 20.623), (40.0, 46.0)] {
            assert!((vg46.at(celsius) / nu - 1.0).abs() < 1e-3, "{celsius}: {}", vg46.at(celsius));
            let numeric = (vg46.at(celsius + 1e-3) - vg46.at(celsius - 1e-3)) / 2e-3;
            assert!((vg46.slope(celsius) / numeric - 1.0).abs() < 1e-6, "{celsius}");
        }
        assert_eq!(Viscosity::through((40.0, 46.0), (40.0, 6.8)), None);
        assert_eq!(Viscosity::through((40.0, 0.1), (100.0, 6.8)), None);
    }

    /// d 10 mm, c 5 um, 100 bar, 0.04 Pa s, L 10 mm: 0.49087 cm3/min; half the viscosity, twice.
    #[test]
    fn leakage_of_a_clearance() {
        let middle =
            Clearance { diameter_m: 0.01, radial_m: 5e-6, length_m: 0.01, eccentricity: 0.0 };
        let leak = middle.leak(0.04, 100e5);
        assert!((leak * 60e6 / 0.490_87 - 1.0).abs() < 1e-5, "{leak}");
        assert_eq!(middle.leak(0.02, 100e5), 2.0 * leak);
    }

    /// ISO 4406: limits belong to the lower number; the table is a rounded doubling.
    #[test]
    fn scale_numbers() {
        assert_eq!([1300.0, 1301.0, 2500.0, 2501.0].map(cleanliness), [17, 18, 18, 19].map(Some));
        assert_eq!([0.0, 2.6e6].map(cleanliness), [Some(0), None]);
        for (number, limit) in SCALE.iter().enumerate() {
            let doubled = (1_u64 << number) as f64 / 100.0;
            assert!((limit / doubled - 1.0).abs() < 0.08, "{number}");
        }
    }
}
