//! The quantities a value can be, and what is known about each.

use super::units::{self, Unit};

/// What a number measures. The SI value of each is an `f64` in the unit named here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    /// Gauge pressure [Pa], above the surrounding air; a vacuum is negative.
    Pressure,
    /// Absolute pressure [Pa].
    PressureAbsolute,
    /// Volume flow [m3/s].
    VolumeFlow,
    /// Volume flow of air reduced to the standard reference atmosphere of ISO 8778 [m3/s].
    StandardFlow,
    /// Mass flow [kg/s].
    MassFlow,
    /// Volume [m3].
    Volume,
    /// Volume displaced in one revolution [m3].
    Displacement,
    /// Length or position [m].
    Length,
    /// Area [m2].
    Area,
    /// Cross-section of a wire's copper [m2].
    WireSection,
    /// Voltage [V].
    Voltage,
    /// Current [A].
    Current,
    /// Electrical resistance [ohm].
    Resistance,
    /// Inductance [H].
    Inductance,
    /// Capacitance [F].
    Capacitance,
    /// Active or mechanical power [W].
    Power,
    /// Apparent power [VA].
    ApparentPower,
    /// Energy [J].
    Energy,
    /// Time [s].
    Time,
    /// Frequency [Hz].
    Frequency,
    /// Temperature [K].
    Temperature,
    /// Difference of two temperatures [K].
    TemperatureDifference,
    /// Mass [kg].
    Mass,
    /// Force [N].
    Force,
    /// Torque [N m].
    Torque,
    /// Moment of inertia [kg m2].
    Inertia,
    /// Linear speed [m/s].
    Speed,
    /// Rotational speed in revolutions [1/s], so that displacement times speed is a flow.
    RotationalSpeed,
    /// Kinematic viscosity [m2/s].
    KinematicViscosity,
    /// Density [kg/m3].
    Density,
    /// Ratio of like things [1].
    Ratio,
    /// Spring stiffness [N/m].
    Stiffness,
    /// Viscous damping [N s/m].
    DampingViscous,
    /// Bulk modulus [Pa].
    BulkModulus,
    /// Thermal resistance [K/W].
    ThermalResistance,
    /// Heat capacity [J/K].
    HeatCapacity,
    /// Melting integral of a fuse [A2 s].
    MeltingIntegral,
    /// Sonic conductance of ISO 6358 [m3/(s Pa)].
    SonicConductance,
    /// Laminar leakage [m3/(s Pa)].
    Leakage,
    /// Relative change with temperature [1/K].
    TemperatureCoefficient,
    /// Angle [rad].
    Angle,
    /// A number of things [1].
    Count,
}

/// How a dimension is written; one row of the table below.
pub(super) struct Facts {
    pub name: &'static str,
    pub si_unit: &'static str,
    pub example: &'static str,
    pub units: &'static [Unit],
    /// Smallest and largest value taken [SI].
    pub range: (f64, f64),
    /// Unit of a CSV column, one of `units`.
    pub column: &'static str,
    /// Display ladders, largest unit first: (spelling in `units`, printed form, least value).
    pub metric: &'static [Rung],
    pub customary: &'static [Rung],
    /// Fixed number of decimals instead of three significant digits.
    pub decimals: Option<usize>,
}

/// A step of a display ladder: the unit, how it is printed, and the least magnitude in it.
pub(super) type Rung = (&'static str, &'static str, f64);

macro_rules! facts {
    ($name:literal, $si:literal, $example:literal, $units:ident,
     $low:expr, $high:expr, $column:literal, $metric:expr) => {
        facts!($name, $si, $example, $units, $low, $high, $column, $metric, $metric)
    };
    ($name:literal, $si:literal, $example:literal, $units:ident,
     $low:expr, $high:expr, $column:literal, $metric:expr, $customary:expr) => {
        facts!($name, $si, $example, $units, $low, $high, $column, $metric, $customary, None)
    };
    ($name:literal, $si:literal, $example:literal, $units:ident,
     $low:expr, $high:expr, $column:literal, $metric:expr, $customary:expr, $decimals:expr) => {{
        const FACTS: &Facts = &Facts {
            name: $name,
            si_unit: $si,
            example: $example,
            units: units::$units,
            range: ($low, $high),
            column: $column,
            metric: $metric,
            customary: $customary,
            decimals: $decimals,
        };
        FACTS
    }};
}

impl Dimension {
    /// Every dimension, in the order of the guide's table.
    pub const ALL: [Dimension; 42] = [
        Dimension::Pressure,
        Dimension::PressureAbsolute,
        Dimension::VolumeFlow,
        Dimension::StandardFlow,
        Dimension::MassFlow,
        Dimension::Volume,
        Dimension::Displacement,
        Dimension::Length,
        Dimension::Area,
        Dimension::WireSection,
        Dimension::Voltage,
        Dimension::Current,
        Dimension::Resistance,
        Dimension::Inductance,
        Dimension::Capacitance,
        Dimension::Power,
        Dimension::ApparentPower,
        Dimension::Energy,
        Dimension::Time,
        Dimension::Frequency,
        Dimension::Temperature,
        Dimension::TemperatureDifference,
        Dimension::Mass,
        Dimension::Force,
        Dimension::Torque,
        Dimension::Inertia,
        Dimension::Speed,
        Dimension::RotationalSpeed,
        Dimension::KinematicViscosity,
        Dimension::Density,
        Dimension::Ratio,
        Dimension::Stiffness,
        Dimension::DampingViscous,
        Dimension::BulkModulus,
        Dimension::ThermalResistance,
        Dimension::HeatCapacity,
        Dimension::MeltingIntegral,
        Dimension::SonicConductance,
        Dimension::Leakage,
        Dimension::TemperatureCoefficient,
        Dimension::Angle,
        Dimension::Count,
    ];

    /// What it is called: "pressure", "volume flow".
    #[must_use]
    pub fn name(self) -> &'static str {
        self.facts().name
    }

    /// The unit of its SI value.
    #[must_use]
    pub fn si_unit(self) -> &'static str {
        self.facts().si_unit
    }

    /// A value as one would write it, without quotes.
    #[must_use]
    pub fn example(self) -> &'static str {
        self.facts().example
    }

    /// The accepted units.
    #[must_use]
    pub fn units(self) -> &'static [Unit] {
        self.facts().units
    }

    /// Smallest and largest value accepted [SI].
    #[must_use]
    pub fn range_si(self) -> (f64, f64) {
        self.facts().range
    }

    /// Whether a number with no unit is a value of this dimension.
    #[must_use]
    pub fn takes_plain_numbers(self) -> bool {
        self.units().iter().any(|unit| unit.spelling.is_empty())
    }

    pub(super) fn facts(self) -> &'static Facts {
        match self {
            Dimension::Pressure => facts!(
                "pressure",
                "Pa",
                "70 bar",
                PRESSURE,
                -1.1e5,
                1e9,
                "bar",
                &[("bar", "bar", 0.1), ("mbar", "mbar", 0.0)],
                &[("psi", "psi", 0.0)]
            ),
            Dimension::PressureAbsolute => facts!(
                "absolute pressure",
                "Pa",
                "1.013 bar abs",
                PRESSURE_ABSOLUTE,
                0.0,
                1e9,
                "bar abs",
                &[("bar abs", "bar abs", 0.1), ("mbar abs", "mbar abs", 0.0)],
                &[("psia", "psia", 0.0)]
            ),
            Dimension::VolumeFlow => facts!(
                "volume flow",
                "m3/s",
                "12 L/min",
                VOLUME_FLOW,
                -10.0,
                10.0,
                "L/min",
                &[("L/min", "L/min", 0.1), ("mL/min", "mL/min", 0.0)],
                &[("gpm", "gpm", 0.1), ("in3/min", "in3/min", 0.0)]
            ),
            Dimension::StandardFlow => facts!(
                "standard air flow",
                "m3/s ANR",
                "300 L/min ANR",
                STANDARD_FLOW,
                -100.0,
                100.0,
                "L/min ANR",
                &[("L/min ANR", "L/min ANR", 0.0)]
            ),
            Dimension::MassFlow => facts!(
                "mass flow",
                "kg/s",
                "5 g/s",
                MASS_FLOW,
                -1e4,
                1e4,
                "g/s",
                &[("kg/s", "kg/s", 1.0), ("g/s", "g/s", 0.0)]
            ),
            Dimension::Volume => facts!(
                "volume",
                "m3",
                "2.5 L",
                VOLUME,
                0.0,
                1e3,
                "L",
                &[("L", "L", 0.1), ("cm3", "cm3", 0.1), ("mm3", "mm3", 0.0)],
                &[("gal", "gal", 0.5), ("in3", "in3", 0.0)]
            ),
            Dimension::Displacement => facts!(
                "displacement",
                "m3 per revolution",
                "8 cm3/rev",
                DISPLACEMENT,
                0.0,
                1.0,
                "cm3/rev",
                &[("cm3/rev", "cm3/rev", 0.0)],
                &[("in3/rev", "in3/rev", 0.0)]
            ),
            Dimension::Length => facts!(
                "length",
                "m",
                "250 mm",
                LENGTH,
                -1e5,
                1e5,
                "mm",
                &[("m", "m", 1.0), ("mm", "mm", 0.1), ("um", "um", 0.0)],
                &[("ft", "ft", 10.0), ("in", "in", 0.0)]
            ),
            Dimension::Area => facts!(
                "area",
                "m2",
                "12.5 cm2",
                AREA,
                0.0,
                1e4,
                "cm2",
                &[("m2", "m2", 1.0), ("cm2", "cm2", 1.0), ("mm2", "mm2", 0.0)],
                &[("in2", "in2", 0.0)]
            ),
            Dimension::WireSection => facts!(
                "wire cross-section",
                "m2",
                "1.5 mm2",
                WIRE_SECTION,
                1e-9,
                1e-2,
                "mm2",
                &[("mm2", "mm2", 0.0)]
            ),
            Dimension::Voltage => facts!(
                "voltage",
                "V",
                "24 V",
                VOLTAGE,
                -1e6,
                1e6,
                "V",
                &[("kV", "kV", 1.0), ("V", "V", 0.1), ("mV", "mV", 0.0)]
            ),
            Dimension::Current => facts!(
                "current",
                "A",
                "600 mA",
                CURRENT,
                -1e6,
                1e6,
                "A",
                &[("kA", "kA", 1.0), ("A", "A", 1.0), ("mA", "mA", 0.1), ("uA", "uA", 0.0)]
            ),
            Dimension::Resistance => facts!(
                "resistance",
                "ohm",
                "22 ohm",
                RESISTANCE,
                0.0,
                1e15,
                "ohm",
                &[
                    ("Mohm", "Mohm", 1.0),
                    ("kohm", "kohm", 1.0),
                    ("ohm", "ohm", 1.0),
                    ("mohm", "mohm", 0.0)
                ]
            ),
            Dimension::Inductance => facts!(
                "inductance",
                "H",
                "350 mH",
                INDUCTANCE,
                0.0,
                1e6,
                "mH",
                &[("H", "H", 1.0), ("mH", "mH", 1.0), ("uH", "uH", 0.0)]
            ),
            Dimension::Capacitance => facts!(
                "capacitance",
                "F",
                "10 uF",
                CAPACITANCE,
                0.0,
                1e6,
                "uF",
                &[
                    ("F", "F", 1.0),
                    ("mF", "mF", 1.0),
                    ("uF", "uF", 1.0),
                    ("nF", "nF", 1.0),
                    ("pF", "pF", 0.0)
                ]
            ),
            Dimension::Power => facts!(
                "power",
                "W",
                "30 W",
                POWER,
                -1e9,
                1e9,
                "W",
                &[("kW", "kW", 1.0), ("W", "W", 0.1), ("mW", "mW", 0.0)],
                &[("hp", "hp", 1.0), ("W", "W", 0.1), ("mW", "mW", 0.0)]
            ),
            Dimension::ApparentPower => facts!(
                "apparent power",
                "VA",
                "60 VA",
                APPARENT_POWER,
                0.0,
                1e9,
                "VA",
                &[("kVA", "kVA", 1.0), ("VA", "VA", 0.0)]
            ),
            Dimension::Energy => facts!(
                "energy",
                "J",
                "120 J",
                ENERGY,
                -1e12,
                1e12,
                "J",
                &[("kJ", "kJ", 1.0), ("J", "J", 0.1), ("mJ", "mJ", 0.0)],
                &[("ft lbf", "ft lbf", 0.0)]
            ),
            Dimension::Time => facts!(
                "time",
                "s",
                "40 ms",
                TIME,
                0.0,
                1e9,
                "s",
                &[
                    ("h", "h", 10.0),
                    ("min", "min", 10.0),
                    ("s", "s", 1.0),
                    ("ms", "ms", 1.0),
                    ("us", "us", 0.0)
                ]
            ),
            Dimension::Frequency => facts!(
                "frequency",
                "Hz",
                "50 Hz",
                FREQUENCY,
                0.0,
                1e9,
                "Hz",
                &[("kHz", "kHz", 1.0), ("Hz", "Hz", 0.0)]
            ),
            Dimension::Temperature => facts!(
                "temperature",
                "K",
                "45 °C",
                TEMPERATURE,
                0.0,
                1e5,
                "degC",
                &[("°C", "°C", 0.0)],
                &[("°F", "°F", 0.0)],
                Some(1)
            ),
            Dimension::TemperatureDifference => facts!(
                "temperature difference",
                "K",
                "30 K",
                TEMPERATURE_DIFFERENCE,
                -1e5,
                1e5,
                "K",
                &[("K", "K", 0.0)],
                &[("°F", "°F", 0.0)]
            ),
            Dimension::Mass => facts!(
                "mass",
                "kg",
                "15 kg",
                MASS,
                0.0,
                1e9,
                "kg",
                &[("kg", "kg", 1.0), ("g", "g", 0.0)],
                &[("lb", "lb", 1.0), ("oz", "oz", 0.0)]
            ),
            Dimension::Force => facts!(
                "force",
                "N",
                "800 N",
                FORCE,
                -1e9,
                1e9,
                "N",
                &[("kN", "kN", 1.0), ("N", "N", 0.0)],
                &[("lbf", "lbf", 0.0)]
            ),
            Dimension::Torque => facts!(
                "torque",
                "N m",
                "12 N m",
                TORQUE,
                -1e9,
                1e9,
                "N m",
                &[("kN m", "kN m", 1.0), ("N m", "N m", 0.1), ("mN m", "mN m", 0.0)],
                &[("lbf ft", "lbf ft", 1.0), ("lbf in", "lbf in", 0.0)]
            ),
            Dimension::Inertia => facts!(
                "moment of inertia",
                "kg m2",
                "0.02 kg m2",
                INERTIA,
                0.0,
                1e9,
                "kg m2",
                &[("kg m2", "kg m2", 0.1), ("kg cm2", "kg cm2", 0.0)]
            ),
            Dimension::Speed => facts!(
                "speed",
                "m/s",
                "100 mm/s",
                SPEED,
                -1e5,
                1e5,
                "mm/s",
                &[("m/s", "m/s", 1.0), ("mm/s", "mm/s", 0.0)],
                &[("ft/s", "ft/s", 10.0), ("in/s", "in/s", 0.0)]
            ),
            Dimension::RotationalSpeed => facts!(
                "rotational speed",
                "rev/s",
                "1450 rpm",
                ROTATIONAL_SPEED,
                -1e5,
                1e5,
                "rpm",
                &[("rpm", "rpm", 0.0)]
            ),
            Dimension::KinematicViscosity => facts!(
                "kinematic viscosity",
                "m2/s",
                "46 cSt",
                KINEMATIC_VISCOSITY,
                0.0,
                10.0,
                "cSt",
                &[("cSt", "cSt", 0.0)]
            ),
            Dimension::Density => facts!(
                "density",
                "kg/m3",
                "870 kg/m3",
                DENSITY,
                0.0,
                1e5,
                "kg/m3",
                &[("kg/m3", "kg/m3", 0.0)],
                &[("lb/ft3", "lb/ft3", 0.0)]
            ),
            Dimension::Ratio => {
                facts!("ratio", "1", "85 %", RATIO, -1e12, 1e12, "%", &[("%", "%", 0.0)])
            }
            Dimension::Stiffness => facts!(
                "stiffness",
                "N/m",
                "12 N/mm",
                STIFFNESS,
                0.0,
                1e12,
                "N/mm",
                &[("kN/mm", "kN/mm", 1.0), ("N/mm", "N/mm", 0.1), ("N/m", "N/m", 0.0)],
                &[("lbf/in", "lbf/in", 0.0)]
            ),
            Dimension::DampingViscous => facts!(
                "viscous damping",
                "N s/m",
                "500 N s/m",
                DAMPING,
                0.0,
                1e12,
                "N s/m",
                &[("kN s/m", "kN s/m", 10.0), ("N s/m", "N s/m", 0.0)],
                &[("lbf s/in", "lbf s/in", 0.0)]
            ),
            Dimension::BulkModulus => facts!(
                "bulk modulus",
                "Pa",
                "1.4 GPa",
                BULK_MODULUS,
                0.0,
                1e13,
                "bar",
                &[("GPa", "GPa", 0.1), ("bar", "bar", 0.0)],
                &[("ksi", "ksi", 1.0), ("psi", "psi", 0.0)]
            ),
            Dimension::ThermalResistance => facts!(
                "thermal resistance",
                "K/W",
                "4 K/W",
                THERMAL_RESISTANCE,
                0.0,
                1e9,
                "K/W",
                &[("K/W", "K/W", 0.1), ("K/kW", "K/kW", 0.0)]
            ),
            Dimension::HeatCapacity => facts!(
                "heat capacity",
                "J/K",
                "250 J/K",
                HEAT_CAPACITY,
                0.0,
                1e12,
                "J/K",
                &[("kJ/K", "kJ/K", 1.0), ("J/K", "J/K", 0.0)]
            ),
            Dimension::MeltingIntegral => facts!(
                "melting integral",
                "A2s",
                "20 A2s",
                MELTING_INTEGRAL,
                0.0,
                1e12,
                "A2s",
                &[("kA2s", "kA2s", 1.0), ("A2s", "A2s", 0.0)]
            ),
            Dimension::SonicConductance => facts!(
                "sonic conductance",
                "m3/(s Pa)",
                "1.6 dm3/(s bar)",
                SONIC_CONDUCTANCE,
                0.0,
                1e-3,
                "dm3/(s bar)",
                &[("dm3/(s bar)", "dm3/(s bar)", 0.0)]
            ),
            Dimension::Leakage => facts!(
                "leakage",
                "m3/(s Pa)",
                "2 cm3/(min bar)",
                LEAKAGE,
                0.0,
                1e-3,
                "cm3/(min bar)",
                &[("L/(min bar)", "L/(min bar)", 1.0), ("cm3/(min bar)", "cm3/(min bar)", 0.0)]
            ),
            Dimension::TemperatureCoefficient => facts!(
                "temperature coefficient",
                "1/K",
                "0.39 %/K",
                TEMPERATURE_COEFFICIENT,
                -10.0,
                10.0,
                "%/K",
                &[("%/K", "%/K", 0.0)]
            ),
            Dimension::Angle => facts!(
                "angle",
                "rad",
                "90 deg",
                ANGLE,
                -1e9,
                1e9,
                "deg",
                &[("deg", "deg", 0.0)],
                &[("deg", "deg", 0.0)],
                Some(1)
            ),
            Dimension::Count => facts!(
                "number",
                "1",
                "3",
                COUNT,
                -9.007_199_254_740_992e15,
                9.007_199_254_740_992e15,
                "",
                &[("", "", 0.0)]
            ),
        }
    }

    /// The unit with this spelling; the first accepted unit when a table row names none of them,
    /// which a test rules out.
    pub(super) fn unit(self, spelling: &str) -> &'static Unit {
        let units = self.units();
        units.iter().find(|unit| unit.spelling == spelling).unwrap_or(&units[0])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::parse::squeeze;

    #[test]
    fn every_row_of_the_table_is_sound() {
        let mut seen = Vec::new();
        for dimension in Dimension::ALL {
            assert!(!seen.contains(&dimension), "{dimension:?} is listed twice");
            seen.push(dimension);
            let facts = dimension.facts();
            let spells = |text: &str| facts.units.iter().any(|unit| unit.spelling == text);
            assert!(spells(facts.column), "{dimension:?}: column {:?}", facts.column);
            for ladder in [facts.metric, facts.customary] {
                assert!(ladder.iter().all(|(spelling, ..)| spells(spelling)), "{dimension:?}");
                assert_eq!(ladder.last().map(|rung| rung.2), Some(0.0), "{dimension:?}");
            }
            assert!(facts.range.0 < facts.range.1);
            crate::quantity::parse(facts.example, dimension).unwrap();
        }
    }

    #[test]
    fn no_two_units_of_a_dimension_read_alike() {
        for dimension in Dimension::ALL {
            let units = dimension.units();
            for (n, a) in units.iter().enumerate() {
                for b in &units[n + 1..] {
                    assert_ne!(squeeze(a.spelling), squeeze(b.spelling), "{dimension:?}");
                }
            }
        }
    }
}
