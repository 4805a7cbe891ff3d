//! Flow laws: what a path lets through at given pressures at its ends.

use crate::base::ops;

use super::ATMOSPHERE_PA;
use super::motor::Motor;

/// Gain [m3/(s Pa^0.5)] of a turbulent orifice: Q = gain sqrt(dp), from Q = Cd A sqrt(2 dp / rho)
/// (Merritt, Hydraulic Control Systems, 1967, ch. 3; from memory).
///
/// `discharge` [1], `area_m2` [m2], `density` [kg/m3].
#[must_use]
pub fn orifice_gain(discharge: f64, area_m2: f64, density: f64) -> f64 {
    discharge * area_m2 * (2.0 / density).sqrt()
}

/// Pressure difference [Pa] below which a round orifice runs laminar: rho/2 (Re_t nu / (Cd d))^2 with
/// Re_t = (0.611 / delta)^2 and delta = 0.2 (Merritt 1967, ch. 3; from memory).
#[must_use]
pub fn transition_pa(discharge: f64, diameter_m: f64, viscosity_m2_s: f64, density: f64) -> f64 {
    let reynolds = ops::square(0.611 / 0.2);
    density / 2.0 * ops::square(reynolds * viscosity_m2_s / (discharge * diameter_m))
}

/// Flow through a path and how it answers to what it depends on.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FlowValue {
    /// Flow from the first to the second volume [m3/s] of oil or [kg/s] of air.
    pub flow: f64,
    /// d(flow)/d(pressure of the first volume).
    pub per_first: f64,
    /// d(flow)/d(pressure of the second volume).
    pub per_second: f64,
    /// d(flow)/d(drive): spool position [1], pump speed [1/s] or a third pressure [Pa].
    pub per_drive: f64,
}

/// A turbulent resistance that turns laminar at small differences:
/// Q = gain dp / (dp^2 + bend^2)^(1/4).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gate {
    /// Gain at large differences [m3/(s Pa^0.5)].
    pub gain: f64,
    /// Difference at which the law bends from proportional to root [Pa], > 0.
    pub bend_pa: f64,
}

/// Difference at which a gate of a data sheet turns laminar [Pa]. Edges of a few millimetres do so at
/// Reynolds numbers from ten ([`transition_pa`]) to some hundred (common practice, no source): from tens
/// of pascals to nearly ten thousand. Lower than the error of a pressure in a run, it would not be seen.
const BEND_PA: f64 = 2e3;

impl Gate {
    /// A gate that passes `flow` [m3/s] at `drop_pa` [Pa]: the rated point of a data sheet.
    #[must_use]
    pub fn rated(flow: f64, drop_pa: f64) -> Gate {
        Gate { gain: flow / drop_pa.sqrt(), bend_pa: BEND_PA }
    }

    /// Flow [m3/s] at difference `dp` [Pa], and its slope [m3/(s Pa)].
    #[must_use]
    #[inline]
    pub fn flow(&self, dp: f64) -> (f64, f64) {
        let square = dp * dp + self.bend_pa * self.bend_pa;
        let per_root = 1.0 / square.sqrt().sqrt();
        let (steep, per_square) = (self.gain * per_root, ops::square(per_root * per_root));
        (steep * dp, steep * (1.0 - 0.5 * dp * dp * per_square))
    }
}

/// How far a valve path is open in each position of its spool, and in between.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Open fraction [1] in the positions at x = -1, 0 and +1.
    pub at: [f64; 3],
    /// Travel, as a fraction of the way between neighbouring positions, over which everything is
    /// shut at the crossover [1]; negative when the paths overlap open.
    pub closed_crossover: f64,
    /// True for a valve whose two positions lie at -1 and +1 without a centre.
    pub two_ended: bool,
}

impl Opening {
    /// Open fraction [1] that stands open all the way between the neighbouring positions about `x`:
    /// a worn clearance, through which no jet leaves at the spool's edge.
    #[must_use]
    #[inline]
    pub fn standing(&self, x: f64) -> f64 {
        let [low, middle, high] = self.at;
        match (self.two_ended, x < 0.0) {
            (true, _) => low.min(high),
            (false, true) => low.min(middle),
            (false, false) => middle.min(high),
        }
    }

    /// Open fraction [1] at spool position `x` [1] and its derivative.
    #[must_use]
    #[inline]
    pub fn fraction(&self, x: f64) -> (f64, f64) {
        let (low, high, u, scale) = if self.two_ended {
            (self.at[0], self.at[2], (x + 1.0) / 2.0, 0.5)
        } else if x < 0.0 {
            (self.at[0], self.at[1], x + 1.0, 1.0)
        } else {
            (self.at[1], self.at[2], x, 1.0)
        };
        // Beyond an end stop the law goes on, so that a run that halts there meets no kink.
        let u = u.clamp(-BEYOND, 1.0 + BEYOND);
        if low > 0.0 && high > 0.0 {
            return (low + (high - low) * u, (high - low) * scale);
        }
        let reach = 0.5 - 0.5 * self.closed_crossover;
        let (falling, rising) = ((reach - u) * low, (u - (1.0 - reach)) * high);
        if falling <= 0.0 && rising <= 0.0 {
            return (0.0, 0.0);
        }
        let per_reach = 1.0 / reach;
        if falling > 0.0 {
            (falling * per_reach, -low * per_reach * scale)
        } else {
            (rising * per_reach, high * per_reach * scale)
        }
    }
}

/// How far beyond an end stop openings go on as before it [1].
const BEYOND: f64 = 0.1;

/// A pressure relief: shut up to the cracking pressure, then linear override.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relief {
    /// Cracking pressure difference [Pa].
    pub crack_pa: f64,
    /// Override slope [m3/(s Pa)].
    pub slope: f64,
}

impl Relief {
    /// A relief that cracks at `crack_pa` and passes `flow` [m3/s] at `full_pa` [Pa].
    #[must_use]
    pub fn rated(crack_pa: f64, full_pa: f64, flow: f64) -> Relief {
        Relief { crack_pa, slope: flow / (full_pa - crack_pa) }
    }

    /// Flow [m3/s] at difference `dp` [Pa], and its slope.
    #[must_use]
    pub fn flow(&self, dp: f64) -> (f64, f64) {
        if dp > self.crack_pa {
            (self.slope * (dp - self.crack_pa), self.slope)
        } else {
            (0.0, 0.0)
        }
    }
}

/// A displacement pump with internal leakage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pump {
    /// Displacement [m3 per revolution].
    pub displacement_m3: f64,
    /// Leakage from outlet to inlet [m3/(s Pa)].
    pub leak: f64,
}

/// A gas path of sonic conductance C and critical pressure ratio b (ISO 6358-1; from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SonicPath {
    /// Sonic conductance [m3/(s Pa)] at standard reference atmosphere.
    pub conductance: f64,
    /// Critical pressure ratio [1], 0 to below 1.
    pub critical_ratio: f64,
}

/// Density of air at the standard reference atmosphere, 100 kPa and 293.15 K [kg/m3] (ISO 8778).
pub const REFERENCE_DENSITY: f64 = 1.185;

impl SonicPath {
    /// Mass flow [kg/s] from absolute pressure `up_pa` to `down_pa` <= `up_pa` [Pa abs] at reference
    /// temperature, with the slopes to both pressures.
    #[inline(always)]
    fn downhill(&self, up_pa: f64, down_pa: f64) -> (f64, f64, f64) {
        let full = self.conductance * REFERENCE_DENSITY;
        let ratio = down_pa / up_pa;
        let b = self.critical_ratio;
        if ratio <= b {
            return (full * up_pa, full, 0.0);
        }
        // The ellipse is vertical at ratio 1; below a difference of 1 % it goes on as a line.
        let corner = 0.99_f64.max(b);
        let per_way = 1.0 / (1.0 - b);
        let psi = |r: f64| (1.0 - ops::square((r - b) * per_way)).max(0.0).sqrt();
        if ratio < corner {
            let value = psi(ratio);
            let slope = -(ratio - b) * per_way * per_way / value;
            let flow = full * up_pa * value;
            (flow, full * (value - slope * ratio), full * slope)
        } else {
            let line = psi(corner) / (1.0 - corner);
            (full * line * (up_pa - down_pa), full * line, -full * line)
        }
    }

    /// Mass flow [kg/s] from `first` to `second` [Pa gauge], with slopes.
    #[must_use]
    #[inline(always)]
    pub fn flow(&self, first: f64, second: f64) -> FlowValue {
        let a = (first + ATMOSPHERE_PA).max(100.0);
        let b = (second + ATMOSPHERE_PA).max(100.0);
        let (up, down) = if a >= b { (a, b) } else { (b, a) };
        let (flow, per_up, per_down) = self.downhill(up, down);
        if a >= b {
            FlowValue { flow, per_first: per_up, per_second: per_down, per_drive: 0.0 }
        } else {
            FlowValue { flow: -flow, per_first: -per_down, per_second: -per_up, per_drive: 0.0 }
        }
    }
}

/// A valve that a difference of pressures opens: the first volume's over that of a third.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Poppet {
    /// Difference at which it begins to open [Pa].
    pub lift_pa: f64,
    /// Further rise of the difference until it is fully open [Pa], > 0.
    pub band_pa: f64,
}

/// A pressure regulator: it shuts as the second volume's pressure comes up to the setting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Regulator {
    /// Pressure at which it is shut [Pa gauge].
    pub set_pa: f64,
    /// Fall below the setting at which it is fully open [Pa], > 0: its droop.
    pub droop_pa: f64,
}

/// What the second volume's pressure must reach, as a share of the first one's, before a slow start
/// ends [1], and over which share it goes over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slow {
    /// Share of the gauge pressure of the first volume [1].
    pub until: f64,
    /// Passage before that, as a share of the full one [1].
    pub passage: f64,
}

/// An ejector: a jet of air that draws from the first volume into the second, driven by the pressure of a
/// third.
///
/// Its suction falls about in a straight line from the greatest, without vacuum, to none at the
/// greatest vacuum; both go up with the supply until the jet is full (common practice, no source).
/// Without a supply it is an open passage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ejector {
    /// Greatest suction over greatest vacuum [kg/(s Pa)].
    pub passage: f64,
    /// Greatest vacuum at full supply [Pa], > 0.
    pub vacuum_pa: f64,
    /// Supply from which the jet is full [Pa gauge], > 0.
    pub full_at_pa: f64,
}

/// A slow start goes over to full passage within this rise of the second pressure [Pa].
const SLOW_BAND_PA: f64 = 0.1e5;

/// The disc of a bypass check is fully off its seat at this difference [Pa].
const CHECK_BAND_PA: f64 = 3e3;

/// A ramp from 0 to 1 while `value` goes from 0 to `band`, and its slope.
fn ramp(value: f64, band: f64) -> (f64, f64) {
    let u = value / band;
    if u <= 0.0 {
        (0.0, 0.0)
    } else if u >= 1.0 {
        (1.0, 0.0)
    } else {
        (u, 1.0 / band)
    }
}

/// `full` seen through an opening `open` [1].
fn opened(full: FlowValue, open: f64) -> FlowValue {
    FlowValue {
        flow: full.flow * open,
        per_first: full.per_first * open,
        per_second: full.per_second * open,
        per_drive: 0.0,
    }
}

/// The law of one flow path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FlowLaw {
    /// Nothing passes.
    Shut,
    /// A fixed resistance.
    Gate(Gate),
    /// A valve path: the gate when fully open, and how the spool opens it.
    Spool(Gate, Opening),
    /// A relief to the second volume.
    Relief(Relief),
    /// A check: free from first to second above the cracking pressure [Pa], shut the other way.
    Check(Gate, f64),
    /// A throttle with a bypass check that is free from second to first.
    ThrottleCheck(Gate, Gate),
    /// A pump from first to second.
    Pump(Pump),
    /// A motor from first to second.
    Motor(Motor),
    /// A laminar leak [m3/(s Pa)].
    Leak(f64),
    /// A gas path.
    Sonic(SonicPath),
    /// A gas path opened by a spool, or by a handle: 1 turned on, 0 off.
    SonicSpool(SonicPath, Opening),
    /// A gas throttle with a bypass that is free from second to first.
    SonicCheck(SonicPath, SonicPath),
    /// A gas path that opens as the first pressure exceeds that of a third volume.
    SonicPoppet(SonicPath, Poppet),
    /// A gas path that regulates the second pressure.
    Regulator(SonicPath, Regulator),
    /// A gas path that stays nearly shut until the second pressure has come up.
    SlowStart(SonicPath, Slow),
    /// An ejector that draws from the first volume; a third volume feeds its jet.
    Ejector(Ejector),
}

impl FlowLaw {
    /// The part of it that is laminar leakage through clearances [m3/(s Pa)].
    #[must_use]
    #[inline]
    pub fn leak(&self) -> f64 {
        match self {
            FlowLaw::Leak(conductance) => *conductance,
            FlowLaw::Pump(pump) => pump.leak,
            FlowLaw::Motor(motor) => motor.leak,
            _ => 0.0,
        }
    }

    /// Flow between pressures `first` and `second` [Pa gauge]; `drive` is the spool position [1],
    /// the pump speed [1/s] or the pressure of a third volume [Pa gauge], and unused by the others.
    ///
    /// Handed on in registers: a result written in four pieces and copied whole stalls the processor.
    #[must_use]
    #[inline(always)]
    pub fn value(&self, first: f64, second: f64, drive: f64) -> FlowValue {
        let dp = first - second;
        let two = |(flow, slope): (f64, f64)| FlowValue {
            flow,
            per_first: slope,
            per_second: -slope,
            per_drive: 0.0,
        };
        match *self {
            FlowLaw::Shut => FlowValue::default(),
            FlowLaw::Gate(gate) => two(gate.flow(dp)),
            FlowLaw::Spool(gate, opening) => {
                let (open, per_x) = opening.fraction(drive);
                if open == 0.0 {
                    return FlowValue::default();
                }
                let (flow, slope) = gate.flow(dp);
                FlowValue { per_drive: flow * per_x, ..two((flow * open, slope * open)) }
            }
            FlowLaw::Relief(relief) => two(relief.flow(dp)),
            FlowLaw::Check(gate, crack_pa) => {
                if dp > crack_pa {
                    two(gate.flow(dp - crack_pa))
                } else {
                    FlowValue::default()
                }
            }
            FlowLaw::ThrottleCheck(throttle, check) => {
                let (mut flow, mut slope) = throttle.flow(dp);
                if dp < 0.0 {
                    let (more, steeper) = check.flow(dp);
                    flow += more;
                    slope += steeper;
                }
                two((flow, slope))
            }
            FlowLaw::Pump(pump) => FlowValue {
                flow: pump.displacement_m3 * drive + pump.leak * dp,
                per_first: pump.leak,
                per_second: -pump.leak,
                per_drive: pump.displacement_m3,
            },
            FlowLaw::Motor(motor) if motor.inertia > 0.0 => motor.driven_flow(dp, drive),
            FlowLaw::Motor(motor) => motor.flow(dp),
            FlowLaw::Leak(conductance) => two((conductance * dp, conductance)),
            FlowLaw::Sonic(path) => path.flow(first, second),
            FlowLaw::SonicSpool(path, opening) => {
                let (open, per_x) = opening.fraction(drive);
                if open == 0.0 {
                    return FlowValue::default();
                }
                let full = path.flow(first, second);
                FlowValue {
                    flow: full.flow * open,
                    per_first: full.per_first * open,
                    per_second: full.per_second * open,
                    per_drive: full.flow * per_x,
                }
            }
            FlowLaw::SonicCheck(throttle, check) => {
                let slow = throttle.flow(first, second);
                if first >= second {
                    return slow;
                }
                // A corner at rest would never let the pressures settle: the disc lifts gently.
                let (open, slope) = ramp(second - first, CHECK_BAND_PA);
                let full = check.flow(first, second);
                let free = opened(full, open);
                FlowValue {
                    flow: slow.flow + free.flow,
                    per_first: slow.per_first + free.per_first - full.flow * slope,
                    per_second: slow.per_second + free.per_second + full.flow * slope,
                    per_drive: 0.0,
                }
            }
            FlowLaw::SonicPoppet(path, poppet) => {
                let (open, slope) = ramp(first - drive - poppet.lift_pa, poppet.band_pa);
                let full = path.flow(first, second);
                let mut value = opened(full, open);
                value.per_first += full.flow * slope;
                value.per_drive -= full.flow * slope;
                value
            }
            FlowLaw::Regulator(path, make) => {
                let (open, slope) = ramp(make.set_pa - second, make.droop_pa);
                let full = path.flow(first, second);
                let mut value = opened(full, open);
                value.per_second -= full.flow * slope;
                value
            }
            FlowLaw::SlowStart(path, slow) => {
                let (over, slope) = ramp(second - slow.until * first, SLOW_BAND_PA);
                let full = path.flow(first, second);
                let rest = 1.0 - slow.passage;
                let mut value = opened(full, slow.passage + rest * over);
                value.per_second += full.flow * rest * slope;
                value.per_first -= full.flow * rest * slope * slow.until;
                value
            }
            FlowLaw::Ejector(make) => {
                let (jet, slope) = ramp(drive, make.full_at_pa);
                let head = make.vacuum_pa * make.passage;
                FlowValue {
                    per_drive: head * slope,
                    ..two((make.passage * dp + head * jet, make.passage))
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Merritt 1967, ch. 3 (from memory): Cd 0.62, 2 mm, 50 bar, 870 kg/m3.
    #[test]
    fn sharp_edged_orifice() {
        let area = std::f64::consts::PI * 1e-6;
        let gain = orifice_gain(0.62, area, 870.0);
        let bend_pa = transition_pa(0.611, 2e-3, 46e-6, 870.0);
        assert!((bend_pa / 53.7 - 1.0).abs() < 1e-3, "{bend_pa}");
        let (flow, _) = Gate { gain, bend_pa }.flow(50e5);
        assert!((flow * 60_000.0 / 12.5295 - 1.0).abs() < 1e-4);
        let (small, _) = Gate { gain, bend_pa }.flow(0.1);
        let (half, _) = Gate { gain, bend_pa }.flow(0.05);
        assert!((small / half - 2.0).abs() < 1e-3, "proportional at small differences");
    }

    /// A data sheet's rated point and the square law: 6 bar at 20 L/min.
    #[test]
    fn valve_drop_goes_with_the_square_of_flow() {
        let gate = Gate::rated(20.0 / 60_000.0, 6e5);
        for (bar, l_min) in [(2.160, 12.0), (1.01767, 8.2368)] {
            let (flow, _) = gate.flow(bar * 1e5);
            // At 1 bar the laminar flow below 0.02 bar still shows by 1 in 10,000.
            assert!((flow * 60_000.0 / l_min - 1.0).abs() < 1.5e-4);
        }
    }

    /// Crack 65 bar, 70 bar at 12 L/min: 6 L/min at 67.5 bar.
    #[test]
    fn relief_override_is_linear() {
        let r = Relief::rated(65e5, 70e5, 12.0 / 60_000.0);
        assert!((r.flow(67.5e5).0 * 60_000.0 - 6.0).abs() < 1e-9);
        assert_eq!(r.flow(64.9e5).0, 0.0);
    }

    /// ISO 6358-1 formula (from memory): C 4 dm3/(s bar), b 0.3, 7 bar abs.
    #[test]
    fn sonic_path() {
        let path = SonicPath { conductance: 4e-3 / 1e5, critical_ratio: 0.3 };
        let at =
            |down_bar: f64| path.flow(7e5 - ATMOSPHERE_PA, down_bar * 1e5 - ATMOSPHERE_PA).flow;
        assert!((at(2.0) / 0.033_180 - 1.0).abs() < 1e-4);
        assert!((at(5.0) / 0.026_745 - 1.0).abs() < 1e-4);
        assert_eq!(path.flow(1e5, 1e5).flow, 0.0);
    }

    #[test]
    fn slopes_are_the_derivatives() {
        let opening = Opening { at: [0.0, 0.0, 1.0], closed_crossover: 0.1, two_ended: false };
        let gate = Gate::rated(3e-4, 5e5);
        let sonic = SonicPath { conductance: 4e-8, critical_ratio: 0.3 };
        let motor = Motor {
            displacement_m3: 8e-6,
            load_nm: 0.1,
            friction_nm: 0.05,
            viscous: 0.01,
            leak: 1e-12,
            inertia: 0.0,
            jammed: false,
        };
        let laws = [
            FlowLaw::Gate(gate),
            FlowLaw::Spool(gate, opening),
            FlowLaw::Relief(Relief::rated(5e5, 7e5, 2e-4)),
            FlowLaw::Check(gate, 2e4),
            FlowLaw::ThrottleCheck(gate, gate),
            FlowLaw::Pump(Pump { displacement_m3: 8e-6, leak: 1e-12 }),
            FlowLaw::Motor(motor),
            FlowLaw::Motor(Motor { inertia: 0.01, ..motor }),
            FlowLaw::Leak(1e-11),
            FlowLaw::Sonic(sonic),
            FlowLaw::SonicSpool(sonic, opening),
            FlowLaw::SonicCheck(SonicPath { conductance: 5e-9, ..sonic }, sonic),
            FlowLaw::SonicPoppet(sonic, Poppet { lift_pa: 0.5e5, band_pa: 20e5 }),
            FlowLaw::Regulator(sonic, Regulator { set_pa: 9.5e5, droop_pa: 10e5 }),
            FlowLaw::SlowStart(sonic, Slow { until: 0.98, passage: 0.1 }),
        ];
        for law in laws {
            for (a, b, x) in [(9e5, 1e5, 0.8), (1e5, 9e5, 0.7), (3e5, 2.995e5, 0.9)] {
                let v = law.value(a, b, x);
                let close = |got: f64, low: FlowValue, high: FlowValue, step: f64| {
                    let numeric = (high.flow - low.flow) / (2.0 * step);
                    assert!(
                        (got - numeric).abs() <= 1e-4 * numeric.abs() + 1e-15,
                        "{law:?} {a} {b}"
                    );
                };
                close(v.per_first, law.value(a - 1.0, b, x), law.value(a + 1.0, b, x), 1.0);
                close(v.per_second, law.value(a, b - 1.0, x), law.value(a, b + 1.0, x), 1.0);
                close(v.per_drive, law.value(a, b, x - 1e-6), law.value(a, b, x + 1e-6), 1e-6);
            }
        }
    }

    /// What opens at the edge begins at nothing on both sides of the middle, worn or not.
    #[test]
    fn a_worn_clearance_is_no_edge() {
        let worn = Opening { at: [0.02, 0.02, 1.0], closed_crossover: 0.1, two_ended: false };
        for x in [-1e-9, 0.0, 1e-9] {
            assert!((worn.fraction(x).0 - worn.standing(x)).abs() < 1e-8, "{x}");
        }
        assert!((worn.fraction(1.0).0 - worn.standing(1.0) - 0.98).abs() < 1e-12);
        let sound = Opening { at: [0.0, 0.0, 1.0], ..worn };
        assert_eq!([-0.5, 0.5].map(|x| sound.standing(x)), [0.0, 0.0]);
    }

    #[test]
    fn crossover_shuts_everything_for_a_moment() {
        let away = Opening { at: [1.0, 0.0, 0.0], closed_crossover: 0.1, two_ended: true };
        let towards = Opening { at: [0.0, 0.0, 1.0], closed_crossover: 0.1, two_ended: true };
        assert_eq!(away.fraction(0.0).0, 0.0);
        assert_eq!(towards.fraction(0.0).0, 0.0);
        assert_eq!(away.fraction(-1.0).0, 1.0);
        assert!((towards.fraction(1.0).0 - 1.0).abs() < 1e-12);
    }
}
