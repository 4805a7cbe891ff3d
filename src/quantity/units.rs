//! The accepted units of each dimension, with their factors.
//!
//! Sources of the factors: the International System of Units (9th edition, 2019) for the metric
//! ones; NIST Special Publication 811 (2008), appendix B, for the US customary ones. Where SP 811
//! prints a rounded factor, the exact definition it rests on stands here instead: the inch is
//! 0.0254 m, the pound 0.453 592 37 kg, standard gravity 9.806 65 m/s2 and the US gallon 231 cubic
//! inches.

/// One accepted spelling of a unit.
///
/// The SI value of `x` in this unit is `(x + shift) * times / over`. Two factors instead of one,
/// so that "24 mA" is 24 / 1000, which rounds once, and equals `0.024` to the last bit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// How it is written, in the plain letters that remain when superscripts, middle dots, ohm
    /// and micro signs are written out.
    pub spelling: &'static str,
    /// Multiplier to SI.
    pub times: f64,
    /// Divisor to SI.
    pub over: f64,
    /// Added before scaling; only temperatures have one.
    pub shift: f64,
}

impl Unit {
    /// From this unit to SI.
    #[must_use]
    pub fn to_si(&self, value: f64) -> f64 {
        (value + self.shift) * self.times / self.over
    }

    /// From SI to this unit.
    #[must_use]
    pub fn from_si(&self, value_si: f64) -> f64 {
        value_si * self.over / self.times - self.shift
    }
}

const fn u(spelling: &'static str, times: f64, over: f64) -> Unit {
    Unit { spelling, times, over, shift: 0.0 }
}

/// Metres in an inch, cubed and squared, and a pound-force [N]: exact by definition.
const LBF: f64 = 4.448_221_615_260_5;
const IN2: f64 = 0.000_645_16;
const IN3: f64 = 0.000_016_387_064;
const FT: f64 = 0.3048;
const GAL: f64 = 0.003_785_411_784;
const LB: f64 = 0.453_592_37;
const G: f64 = 9.806_65;
const TURN: f64 = core::f64::consts::TAU;

pub(super) const PRESSURE: &[Unit] = &[
    u("bar", 1e5, 1.0),
    u("mbar", 100.0, 1.0),
    u("Pa", 1.0, 1.0),
    u("kPa", 1e3, 1.0),
    u("MPa", 1e6, 1.0),
    u("psi", LBF, IN2),
    u("PSI", LBF, IN2),
    u("ksi", LBF * 1000.0, IN2),
    u("bar g", 1e5, 1.0),
    u("psig", LBF, IN2),
    u("kgf/cm2", G, 1e-4),
];
pub(super) const PRESSURE_ABSOLUTE: &[Unit] = &[
    u("bar abs", 1e5, 1.0),
    u("bara", 1e5, 1.0),
    u("bar(a)", 1e5, 1.0),
    u("mbar abs", 100.0, 1.0),
    u("Pa abs", 1.0, 1.0),
    u("kPa abs", 1e3, 1.0),
    u("MPa abs", 1e6, 1.0),
    u("psia", LBF, IN2),
    u("psi abs", LBF, IN2),
    u("atm", 101_325.0, 1.0),
];
pub(super) const VOLUME_FLOW: &[Unit] = &[
    u("L/min", 1.0, 60_000.0),
    u("l/min", 1.0, 60_000.0),
    u("lpm", 1.0, 60_000.0),
    u("L/s", 1.0, 1e3),
    u("l/s", 1.0, 1e3),
    u("L/h", 1.0, 3.6e6),
    u("mL/min", 1.0, 6e7),
    u("ml/min", 1.0, 6e7),
    u("cm3/min", 1.0, 6e7),
    u("cm3/s", 1.0, 1e6),
    u("dm3/s", 1.0, 1e3),
    u("dm3/min", 1.0, 60_000.0),
    u("m3/s", 1.0, 1.0),
    u("m3/min", 1.0, 60.0),
    u("m3/h", 1.0, 3600.0),
    u("gpm", GAL, 60.0),
    u("GPM", GAL, 60.0),
    u("gal/min", GAL, 60.0),
    u("in3/min", IN3, 60.0),
    u("in3/s", IN3, 1.0),
];
pub(super) const STANDARD_FLOW: &[Unit] = &[
    u("L/min ANR", 1.0, 60_000.0),
    u("l/min ANR", 1.0, 60_000.0),
    u("L/s ANR", 1.0, 1e3),
    u("dm3/s ANR", 1.0, 1e3),
    u("dm3/min ANR", 1.0, 60_000.0),
    u("m3/s ANR", 1.0, 1.0),
    u("m3/h ANR", 1.0, 3600.0),
];
pub(super) const MASS_FLOW: &[Unit] =
    &[u("kg/s", 1.0, 1.0), u("g/s", 1.0, 1e3), u("kg/h", 1.0, 3600.0), u("kg/min", 1.0, 60.0)];
pub(super) const VOLUME: &[Unit] = &[
    u("L", 1.0, 1e3),
    u("l", 1.0, 1e3),
    u("mL", 1.0, 1e6),
    u("ml", 1.0, 1e6),
    u("cm3", 1.0, 1e6),
    u("cc", 1.0, 1e6),
    u("mm3", 1.0, 1e9),
    u("dm3", 1.0, 1e3),
    u("m3", 1.0, 1.0),
    u("gal", GAL, 1.0),
    u("in3", IN3, 1.0),
];
pub(super) const DISPLACEMENT: &[Unit] = &[
    u("cm3/rev", 1.0, 1e6),
    u("cm3/r", 1.0, 1e6),
    u("cc/rev", 1.0, 1e6),
    u("mL/rev", 1.0, 1e6),
    u("L/rev", 1.0, 1e3),
    u("m3/rev", 1.0, 1.0),
    u("in3/rev", IN3, 1.0),
];
pub(super) const LENGTH: &[Unit] = &[
    u("mm", 1.0, 1e3),
    u("um", 1.0, 1e6),
    u("cm", 1.0, 100.0),
    u("m", 1.0, 1.0),
    u("km", 1e3, 1.0),
    u("in", 254.0, 1e4),
    u("\"", 254.0, 1e4),
    u("ft", 3048.0, 1e4),
];
pub(super) const AREA: &[Unit] = &[
    u("cm2", 1.0, 1e4),
    u("mm2", 1.0, 1e6),
    u("m2", 1.0, 1.0),
    u("in2", IN2, 1.0),
    u("sq in", IN2, 1.0),
];
pub(super) const WIRE_SECTION: &[Unit] = &[u("mm2", 1.0, 1e6)];
pub(super) const VOLTAGE: &[Unit] =
    &[u("V", 1.0, 1.0), u("mV", 1.0, 1e3), u("uV", 1.0, 1e6), u("kV", 1e3, 1.0)];
pub(super) const CURRENT: &[Unit] =
    &[u("A", 1.0, 1.0), u("mA", 1.0, 1e3), u("uA", 1.0, 1e6), u("kA", 1e3, 1.0)];
pub(super) const RESISTANCE: &[Unit] = &[
    u("ohm", 1.0, 1.0),
    u("mohm", 1.0, 1e3),
    u("kohm", 1e3, 1.0),
    u("Mohm", 1e6, 1.0),
    u("Ohm", 1.0, 1.0),
];
pub(super) const INDUCTANCE: &[Unit] = &[u("mH", 1.0, 1e3), u("uH", 1.0, 1e6), u("H", 1.0, 1.0)];
pub(super) const CAPACITANCE: &[Unit] = &[
    u("uF", 1.0, 1e6),
    u("nF", 1.0, 1e9),
    u("pF", 1.0, 1e12),
    u("mF", 1.0, 1e3),
    u("F", 1.0, 1.0),
];
pub(super) const POWER: &[Unit] = &[
    u("W", 1.0, 1.0),
    u("mW", 1.0, 1e3),
    u("kW", 1e3, 1.0),
    // 550 foot pounds-force a second: the mechanical horsepower of SP 811.
    u("hp", 550.0 * FT * LBF, 1.0),
];
pub(super) const APPARENT_POWER: &[Unit] = &[u("VA", 1.0, 1.0), u("kVA", 1e3, 1.0)];
pub(super) const ENERGY: &[Unit] = &[
    u("J", 1.0, 1.0),
    u("mJ", 1.0, 1e3),
    u("kJ", 1e3, 1.0),
    u("Wh", 3600.0, 1.0),
    u("kWh", 3.6e6, 1.0),
    u("ft lbf", FT * LBF, 1.0),
];
pub(super) const TIME: &[Unit] = &[
    u("s", 1.0, 1.0),
    u("ms", 1.0, 1e3),
    u("us", 1.0, 1e6),
    u("ns", 1.0, 1e9),
    u("min", 60.0, 1.0),
    u("h", 3600.0, 1.0),
];
pub(super) const FREQUENCY: &[Unit] = &[u("Hz", 1.0, 1.0), u("kHz", 1e3, 1.0), u("1/s", 1.0, 1.0)];
pub(super) const TEMPERATURE: &[Unit] = &[
    Unit { spelling: "degC", times: 1.0, over: 1.0, shift: 273.15 },
    Unit { spelling: "°C", times: 1.0, over: 1.0, shift: 273.15 },
    Unit { spelling: "C", times: 1.0, over: 1.0, shift: 273.15 },
    Unit { spelling: "degF", times: 5.0, over: 9.0, shift: 459.67 },
    Unit { spelling: "°F", times: 5.0, over: 9.0, shift: 459.67 },
    Unit { spelling: "K", times: 1.0, over: 1.0, shift: 0.0 },
];
pub(super) const TEMPERATURE_DIFFERENCE: &[Unit] = &[
    u("K", 1.0, 1.0),
    u("°C", 1.0, 1.0),
    u("degC", 1.0, 1.0),
    u("°F", 5.0, 9.0),
    u("degF", 5.0, 9.0),
];
pub(super) const MASS: &[Unit] = &[
    u("kg", 1.0, 1.0),
    u("g", 1.0, 1e3),
    u("mg", 1.0, 1e6),
    u("t", 1e3, 1.0),
    u("lb", LB, 1.0),
    u("oz", LB, 16.0),
];
pub(super) const FORCE: &[Unit] =
    &[u("N", 1.0, 1.0), u("mN", 1.0, 1e3), u("kN", 1e3, 1.0), u("kgf", G, 1.0), u("lbf", LBF, 1.0)];
pub(super) const TORQUE: &[Unit] = &[
    u("N m", 1.0, 1.0),
    u("mN m", 1.0, 1e3),
    u("kN m", 1e3, 1.0),
    u("lbf ft", LBF * FT, 1.0),
    u("lbf in", LBF * 0.0254, 1.0),
];
pub(super) const INERTIA: &[Unit] = &[u("kg m2", 1.0, 1.0), u("kg cm2", 1.0, 1e4)];
pub(super) const SPEED: &[Unit] = &[
    u("m/s", 1.0, 1.0),
    u("mm/s", 1.0, 1e3),
    u("cm/s", 1.0, 100.0),
    u("m/min", 1.0, 60.0),
    u("in/s", 254.0, 1e4),
    u("ft/s", 3048.0, 1e4),
    u("ft/min", FT, 60.0),
];
pub(super) const ROTATIONAL_SPEED: &[Unit] = &[
    u("rpm", 1.0, 60.0),
    u("RPM", 1.0, 60.0),
    u("1/min", 1.0, 60.0),
    u("r/min", 1.0, 60.0),
    u("rev/min", 1.0, 60.0),
    u("rev/s", 1.0, 1.0),
    u("rad/s", 1.0, TURN),
];
pub(super) const KINEMATIC_VISCOSITY: &[Unit] = &[
    u("cSt", 1.0, 1e6),
    u("mm2/s", 1.0, 1e6),
    u("St", 1.0, 1e4),
    u("cm2/s", 1.0, 1e4),
    u("m2/s", 1.0, 1.0),
];
pub(super) const DENSITY: &[Unit] = &[
    u("kg/m3", 1.0, 1.0),
    u("kg/dm3", 1e3, 1.0),
    u("kg/L", 1e3, 1.0),
    u("g/cm3", 1e3, 1.0),
    u("lb/ft3", LB, FT * FT * FT),
    u("lb/gal", LB, GAL),
];
pub(super) const RATIO: &[Unit] = &[u("%", 1.0, 100.0), u("", 1.0, 1.0)];
pub(super) const STIFFNESS: &[Unit] = &[
    u("N/mm", 1e3, 1.0),
    u("N/m", 1.0, 1.0),
    u("kN/m", 1e3, 1.0),
    u("kN/mm", 1e6, 1.0),
    u("lbf/in", LBF, 0.0254),
];
pub(super) const DAMPING: &[Unit] = &[
    u("N s/m", 1.0, 1.0),
    u("kN s/m", 1e3, 1.0),
    u("N s/mm", 1e3, 1.0),
    u("N/(m/s)", 1.0, 1.0),
    u("lbf s/in", LBF, 0.0254),
];
pub(super) const BULK_MODULUS: &[Unit] = &[
    u("bar", 1e5, 1.0),
    u("kbar", 1e8, 1.0),
    u("MPa", 1e6, 1.0),
    u("GPa", 1e9, 1.0),
    u("Pa", 1.0, 1.0),
    u("psi", LBF, IN2),
    u("ksi", LBF * 1000.0, IN2),
];
pub(super) const THERMAL_RESISTANCE: &[Unit] =
    &[u("K/W", 1.0, 1.0), u("°C/W", 1.0, 1.0), u("K/kW", 1.0, 1e3)];
pub(super) const HEAT_CAPACITY: &[Unit] =
    &[u("J/K", 1.0, 1.0), u("kJ/K", 1e3, 1.0), u("J/°C", 1.0, 1.0), u("Wh/K", 3600.0, 1.0)];
pub(super) const MELTING_INTEGRAL: &[Unit] = &[u("A2s", 1.0, 1.0), u("kA2s", 1e6, 1.0)];
pub(super) const SONIC_CONDUCTANCE: &[Unit] = &[
    u("dm3/(s bar)", 1.0, 1e8),
    u("L/(s bar)", 1.0, 1e8),
    u("l/(s bar)", 1.0, 1e8),
    u("L/(min bar)", 1.0, 6e9),
    u("dm3/(min bar)", 1.0, 6e9),
    u("m3/(s Pa)", 1.0, 1.0),
];
pub(super) const LEAKAGE: &[Unit] = &[
    u("cm3/(min bar)", 1.0, 6e12),
    u("mL/(min bar)", 1.0, 6e12),
    u("L/(min bar)", 1.0, 6e9),
    u("m3/(s Pa)", 1.0, 1.0),
];
pub(super) const TEMPERATURE_COEFFICIENT: &[Unit] = &[u("1/K", 1.0, 1.0), u("%/K", 1.0, 100.0)];
pub(super) const ANGLE: &[Unit] =
    &[u("deg", TURN, 360.0), u("°", TURN, 360.0), u("rad", 1.0, 1.0), u("rev", TURN, 1.0)];
pub(super) const COUNT: &[Unit] = &[u("", 1.0, 1.0)];
