//! Integer simulation time. Floats never order events.

use std::fmt;
use std::ops::{Add, AddAssign, Sub};

/// A point in bench time, or a span of it [ns], counted from the start of the run.
///
/// Range 0 to about 584 years; additions saturate, so hostile times cannot wrap.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SimTime(u64);

impl SimTime {
    /// The start of the run.
    pub const ZERO: SimTime = SimTime(0);
    /// The end of all time; nothing is scheduled there.
    pub const MAX: SimTime = SimTime(u64::MAX);

    /// From nanoseconds [ns].
    #[must_use]
    pub const fn from_nanos(ns: u64) -> Self {
        SimTime(ns)
    }

    /// From microseconds [us], saturating.
    #[must_use]
    pub const fn from_micros(us: u64) -> Self {
        SimTime(us.saturating_mul(1_000))
    }

    /// From milliseconds [ms], saturating.
    #[must_use]
    pub const fn from_millis(ms: u64) -> Self {
        SimTime(ms.saturating_mul(1_000_000))
    }

    /// From whole seconds [s], saturating.
    #[must_use]
    pub const fn from_secs(s: u64) -> Self {
        SimTime(s.saturating_mul(1_000_000_000))
    }

    /// From seconds [s], rounded up to the next nanosecond so that a computed moment is never
    /// early. Negative and NaN give zero; too large saturates.
    #[must_use]
    pub fn from_secs_f64_up(s: f64) -> Self {
        let ns = (s * 1e9).ceil();
        if ns > 0.0 { SimTime(ns as u64) } else { SimTime(0) }
    }

    /// As nanoseconds [ns].
    #[must_use]
    pub const fn as_nanos(self) -> u64 {
        self.0
    }

    /// As seconds [s]; exact below about 104 days, rounded to nearest above.
    #[must_use]
    pub fn as_secs_f64(self) -> f64 {
        self.0 as f64 / 1e9
    }

    /// This time less `earlier`, or zero.
    #[must_use]
    pub const fn saturating_sub(self, earlier: SimTime) -> SimTime {
        SimTime(self.0.saturating_sub(earlier.0))
    }
}

impl Add for SimTime {
    type Output = SimTime;
    fn add(self, span: SimTime) -> SimTime {
        SimTime(self.0.saturating_add(span.0))
    }
}

impl AddAssign for SimTime {
    fn add_assign(&mut self, span: SimTime) {
        *self = *self + span;
    }
}

impl Sub for SimTime {
    type Output = SimTime;
    /// The span from `earlier` to here, zero if `earlier` is later.
    fn sub(self, earlier: SimTime) -> SimTime {
        self.saturating_sub(earlier)
    }
}

/// Bench-clock form `m:ss.mmm`, cut (not rounded) to milliseconds.
impl fmt::Display for SimTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ms = self.0 / 1_000_000;
        write!(f, "{}:{:02}.{:03}", ms / 60_000, ms / 1000 % 60, ms % 1000)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_round_up_to_the_next_nanosecond() {
        assert_eq!(SimTime::from_secs_f64_up(1.5e-9).as_nanos(), 2);
        assert_eq!(SimTime::from_secs_f64_up(-1.0), SimTime::ZERO);
        assert_eq!(SimTime::from_secs_f64_up(f64::NAN), SimTime::ZERO);
        assert_eq!(SimTime::from_secs_f64_up(f64::INFINITY), SimTime::MAX);
    }

    #[test]
    fn sums_saturate() {
        assert_eq!(SimTime::MAX + SimTime::from_secs(1), SimTime::MAX);
    }
}
