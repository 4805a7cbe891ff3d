//! Instruments as they are: range, resolution, burden, and what they do to themselves.

use crate::base::{BranchId, NodeId, WindingId, ops};
use crate::electric::Complex64;
use crate::language::{Gap, Phrase};
use crate::plant::{Current, Plant, Probe, Terminals};

use super::isolation::SAFE_VOLTS;

/// Input resistance of the voltmeter [ohm].
pub const METER_OHM: f64 = 10e6;
/// Ranges of the voltmeter [V] with their decimals: 4000 counts.
const VOLT_RANGES: [(f64, i32); 5] = [(0.4, 4), (4.0, 3), (40.0, 2), (400.0, 1), (1000.0, 0)];
/// Ranges of the ohmmeter [ohm] with their decimals; above the last it shows OL.
const OHM_RANGES: [(f64, i32); 4] = [(400.0, 1), (4e3, 0), (4e4, -1), (4e5, -2)];
/// The continuity buzzer sounds below this [ohm].
const BUZZER_OHM: f64 = 30.0;
/// Resistance of the ammeter's path [ohm].
const SHUNT_OHM: f64 = 0.05;
/// The ammeter's fuse [A].
const AMMETER_FUSE_A: f64 = 10.0;
/// A path of less resistance than this [ohm] at more than this voltage [V] is a supply.
const SUPPLY: (f64, f64) = (5.0, 5.0);
/// Resolution of the clamp [A], and what it can no longer tell from zero.
const CLAMP_A: f64 = 0.01;
/// Largest current of the clamp [A].
const CLAMP_RANGE_A: f64 = 400.0;
/// Range that stands for the vacuum gauge, -1 to 0.6 bar [bar].
pub const VACUUM_RANGE: u32 = 1;
/// Ranges of the gauges in the box [bar], 0 to so much but for the vacuum gauge (EN 837-1; from memory).
pub const GAUGE_RANGES: [u32; 12] = [VACUUM_RANGE, 6, 10, 16, 25, 40, 60, 100, 160, 250, 400, 600];
/// Least step that can be read of a gauge, as a fraction of its range [1].
const GAUGE_STEP: f64 = 1.0 / 250.0;
/// A gauge is spoilt above this many times its range [1].
const GAUGE_SPOILT: f64 = 1.3;

/// What an instrument shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The value shown, in `unit`; `None` for OL and for nothing.
    pub value: Option<f64>,
    /// What the display or the dial shows, with its unit.
    pub shown: Phrase,
    /// Unit: V, ohm, A, bar, degC.
    pub unit: &'static str,
    /// Which function: `volts`, `ohms`, `continuity`, `amps`, `clamp`, `gauge`, `temperature`.
    pub function: &'static str,
    /// Where the leads were.
    pub places: (String, Option<String>),
    /// False when the instrument was misused, overloaded or spoilt.
    pub valid: bool,
    /// Least step that the instrument shows, in `unit`; 0 where it has none of its own.
    pub step: f64,
}

/// A reading, and the value of a misuse if there was one.
pub(super) struct Measured {
    pub reading: Reading,
    /// What made it dangerous: volts across an ohmmeter, amperes through an ammeter, bar at a gauge.
    pub misuse: Option<f64>,
    /// The instrument is spoilt.
    pub spoilt: bool,
}

fn sound(reading: Reading) -> Measured {
    Measured { reading, misuse: None, spoilt: false }
}

/// Voltage [V] that a voltmeter sees, its own burden included: magnitude.
pub(super) fn burdened(seen: &Terminals) -> f64 {
    loaded(seen).norm_sqr().sqrt()
}

fn loaded(seen: &Terminals) -> Complex64 {
    let factor = Complex64::new(METER_OHM, 0.0) / (seen.ohm + METER_OHM);
    if factor.re.is_finite() && factor.im.is_finite() {
        seen.open_v * factor
    } else {
        Complex64::default()
    }
}

/// `value` rounded to `decimals` places (negative: to tens, hundreds), and the digits shown.
fn digits(value: f64, decimals: i32) -> (f64, String) {
    let places = usize::try_from(decimals).unwrap_or(0);
    let step = match decimals {
        -1 => 10.0,
        -2 => 100.0,
        _ => 1.0,
    };
    let rounded = if step == 1.0 { value } else { (value / step).round() * step };
    let text = format!("{rounded:.places$}");
    let text = match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    };
    (text.parse().unwrap_or(value), text)
}

/// A number, or OL, and its unit on a display.
fn display(digits: impl Into<Gap>, unit: &str) -> Phrase {
    Phrase::new("shown-value").with("value", digits).with("unit", unit)
}

fn both(red: &str, black: &str) -> (String, Option<String>) {
    (red.to_owned(), Some(black.to_owned()))
}

/// Voltage of `red` against `black`; direct or alternating as the circuit is.
pub(super) fn volts(plant: &mut Plant, red: (&str, NodeId), black: (&str, NodeId)) -> Measured {
    let seen = plant.terminals(red.1, black.1);
    let (value, kind) = match seen.current {
        Current::Dc => (loaded(&seen).re, "V DC"),
        Current::Ac { .. } => (burdened(&seen), "V AC"),
    };
    let places = both(red.0, black.0);
    let range = VOLT_RANGES.iter().find(|r| value.abs() < r.0);
    let (value, shown) = match range {
        Some((_, decimals)) => {
            let (value, digits) = digits(value, *decimals);
            (Some(value), display(digits, kind))
        }
        None => (None, display("OL", kind)),
    };
    sound(Reading {
        valid: value.is_some(),
        step: 0.0,
        value,
        shown,
        unit: "V",
        function: "volts",
        places,
    })
}

/// Resistance between two points, or with `buzzer` whether they are joined. On a live circuit the
/// meter's fuse blows.
pub(super) fn ohms(
    plant: &mut Plant,
    red: (&str, NodeId),
    black: (&str, NodeId),
    buzzer: bool,
) -> Measured {
    let function = if buzzer { "continuity" } else { "ohms" };
    let places = both(red.0, black.0);
    let seen = plant.terminals(red.1, black.1);
    let live = burdened(&seen);
    if live > SAFE_VOLTS {
        return Measured {
            reading: Reading {
                value: None,
                shown: Phrase::new("shown-fuse-blows"),
                unit: "ohm",
                function,
                places,
                valid: false,
                step: 0.0,
            },
            misuse: Some(live),
            spoilt: false,
        };
    }
    let ohm = plant.resistance(red.1, black.1);
    let range = OHM_RANGES.iter().find(|r| ohm.abs() < r.0);
    let (value, shown) = match range {
        Some((_, decimals)) => {
            let (value, digits) = digits(ohm.max(0.0), *decimals);
            (Some(value), display(digits, "ohm"))
        }
        None => (None, display("OL", "ohm")),
    };
    let shown = match (buzzer, ohm < BUZZER_OHM) {
        (true, true) => Phrase::new("reading-buzzes").with("shown", shown),
        (true, false) => Phrase::new("reading-silent").with("shown", shown),
        _ => shown,
    };
    sound(Reading {
        value,
        shown,
        unit: "ohm",
        function,
        places,
        // OL is an answer too: there is no path.
        valid: true,
        step: 0.0,
    })
}

/// Current with the meter joining two points.
pub(super) fn amps(plant: &mut Plant, red: (&str, NodeId), black: (&str, NodeId)) -> Measured {
    let seen = plant.terminals(red.1, black.1);
    let open_v = seen.open_v.norm_sqr().sqrt();
    let ohm = seen.ohm.norm_sqr().sqrt();
    let through = seen.open_v / (seen.ohm + SHUNT_OHM);
    let value = match seen.current {
        Current::Dc => through.re,
        Current::Ac { .. } => through.norm_sqr().sqrt(),
    };
    let across = ohm < SUPPLY.0 && open_v > SUPPLY.1;
    let places = both(red.0, black.0);
    if across || value.abs() > AMMETER_FUSE_A || !value.is_finite() {
        return Measured {
            reading: Reading {
                value: None,
                shown: Phrase::new("shown-fuse-blows"),
                unit: "A",
                function: "amps",
                places,
                valid: false,
                step: 0.0,
            },
            misuse: Some(value.abs()),
            spoilt: false,
        };
    }
    let (value, digits) = digits(value, if value.abs() < 4.0 { 3 } else { 2 });
    sound(Reading {
        value: Some(value),
        shown: display(digits, "A"),
        unit: "A",
        function: "amps",
        places,
        valid: true,
        step: 0.0,
    })
}

/// What a clamp goes around, and whether the current counts backwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Through {
    /// A branch.
    Branch(BranchId, bool),
    /// A winding.
    Winding(WindingId, bool),
}

/// Current by clamp: the sum of what it goes around.
pub(super) fn clamp(plant: &mut Plant, place: &str, through: &[Through]) -> Measured {
    let mut sum = 0.0;
    for t in through {
        let (i, backwards) = match *t {
            Through::Branch(b, back) => (plant.read(Probe::BranchAmps(b)), back),
            Through::Winding(w, back) => (plant.read(Probe::WindingAmps(w)), back),
        };
        sum += if backwards { -i } else { i };
    }
    let places = (place.to_owned(), None);
    if sum.abs() > CLAMP_RANGE_A || !sum.is_finite() {
        return sound(Reading {
            value: None,
            shown: display("OL", "A"),
            unit: "A",
            function: "clamp",
            places,
            valid: false,
            step: 0.0,
        });
    }
    let steps = (sum / CLAMP_A).round();
    let value = if steps.abs() < 2.0 { 0.0 } else { sum };
    let (value, digits) = digits(value, 2);
    sound(Reading {
        value: Some(value),
        shown: display(digits, "A"),
        unit: "A",
        function: "clamp",
        places,
        valid: true,
        step: 0.0,
    })
}

/// A pressure of `bar` by a gauge of `range_bar`; `spoilt` if its pointer no longer tells anything.
pub(super) fn gauge(bar: f64, place: &str, range_bar: u32, spoilt: bool) -> Measured {
    let vacuum = range_bar == VACUUM_RANGE;
    let (least, range) = if vacuum { (-1.0, 0.6) } else { (0.0, f64::from(range_bar)) };
    let mut reading = Reading {
        value: None,
        shown: Phrase::new("shown-pointer-hangs"),
        unit: "bar",
        function: "gauge",
        places: (place.to_owned(), None),
        valid: false,
        step: 0.0,
    };
    if bar > range {
        let spoils = bar > GAUGE_SPOILT * range;
        reading.shown = Phrase::new("shown-beyond").with("range", range.to_string());
        return Measured { reading, misuse: Some(bar), spoilt: spoilt || spoils };
    }
    if spoilt {
        return Measured { reading, misuse: None, spoilt };
    }
    let step = (range - least) * GAUGE_STEP;
    reading.step = step;
    // A pointer rests on its pin, at zero but for the vacuum gauge.
    let value = ops::round_significant((bar.max(least) / step).round() * step, 6);
    let decimals = if step >= 1.0 {
        0
    } else if step >= 0.1 {
        1
    } else {
        2
    };
    let id = if vacuum { "shown-vacuum-gauge" } else { "shown-gauge" };
    reading.shown = Phrase::new(id).with("value", format!("{value:.decimals$}"));
    if !vacuum {
        reading.shown = reading.shown.with("range", range_bar.to_string());
    }
    reading.value = Some(value);
    reading.valid = true;
    sound(reading)
}

/// Temperature of a surface at `celsius` [degC], to the whole degree.
pub(super) fn temperature(place: &str, celsius: f64) -> Measured {
    let (value, digits) = digits(celsius, 0);
    sound(Reading {
        value: Some(value),
        shown: display(digits, "degC"),
        unit: "degC",
        function: "temperature",
        places: (place.to_owned(), None),
        valid: true,
        step: 0.0,
    })
}
