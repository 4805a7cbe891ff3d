//! End stops: rigid, and felt only by what stands on them.

/// The end stop that a part stands on.
///
/// A part runs freely up to the end of its range; there the run halts, puts the part on its stop and
/// notes it. From then on the stop takes whatever pushes the part outwards, until the part has left
/// it by more than a trifle. So no law has the kink of a rigid stop in it, which would cut an
/// integrator's steps down to nothing, nor the stiffness of an elastic one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EndStop {
    /// That at the low end of the range.
    Low,
    /// That at the high end.
    High,
}

/// How fast a part that has left its stop by a trifle goes back to it at most [1/s of that trifle].
const RETURN_PER_S: f64 = 1e3;

impl EndStop {
    /// What is left of `free`, a speed with its slopes to force and to position, of a part at `at`
    /// that stands on this stop of `range`, or has hardly left it.
    #[must_use]
    #[inline]
    pub fn hold(self, free: (f64, f64, f64), at: f64, (low, high): (f64, f64)) -> (f64, f64, f64) {
        let most = match self {
            EndStop::Low => RETURN_PER_S * (low - at),
            EndStop::High => RETURN_PER_S * (high - at),
        };
        let outward = match self {
            EndStop::Low => free.0 < most,
            EndStop::High => free.0 > most,
        };
        if outward { (most, 0.0, -RETURN_PER_S) } else { free }
    }

    /// How far a part at `at` is beyond the end of `range`, or, given the stop that it stands on,
    /// how much farther from it than `trifle`. Rises through zero when the one becomes the other.
    #[must_use]
    pub fn passed(stop: Option<EndStop>, at: f64, (low, high): (f64, f64), trifle: f64) -> f64 {
        match stop {
            None => (at - high).max(low - at),
            Some(EndStop::Low) => at - low - trifle,
            Some(EndStop::High) => high - at - trifle,
        }
    }

    /// The stop nearer to `at`, and where a part stands on it.
    #[must_use]
    pub fn nearest(at: f64, (low, high): (f64, f64)) -> (EndStop, f64) {
        if at - low < high - at { (EndStop::Low, low) } else { (EndStop::High, high) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RANGE: (f64, f64) = (0.0, 0.3);

    #[test]
    fn a_stop_takes_what_pushes_outwards_and_nothing_else() {
        let (out, back) = ((0.2, 1e-3, 0.0), (-0.2, 1e-3, 0.0));
        assert_eq!(EndStop::High.hold(out, 0.3, RANGE).0, 0.0);
        assert_eq!(EndStop::High.hold(back, 0.3, RANGE), back);
        assert_eq!(EndStop::Low.hold(back, 0.0, RANGE).0, 0.0);
        assert_eq!(EndStop::Low.hold(out, 0.0, RANGE), out);
    }

    #[test]
    fn what_has_hardly_left_goes_back_gently() {
        let (speed, per_n, per_m) = EndStop::High.hold((0.2, 1e-3, 0.0), 0.3 - 1e-6, RANGE);
        assert!((speed - 1e-3).abs() < 1e-9 && per_n == 0.0 && per_m == -RETURN_PER_S);
        // Slower than that it goes as it is pushed.
        assert_eq!(EndStop::High.hold((1e-4, 1e-3, 0.0), 0.3 - 1e-6, RANGE).0, 1e-4);
    }

    #[test]
    fn arriving_and_leaving_are_told_apart() {
        assert!(EndStop::passed(None, 0.1, RANGE, 1e-5) < 0.0);
        assert!(EndStop::passed(None, 0.3, RANGE, 1e-5) >= 0.0);
        assert!(EndStop::passed(None, -1e-9, RANGE, 1e-5) >= 0.0);
        assert!(EndStop::passed(Some(EndStop::High), 0.3, RANGE, 1e-5) < 0.0);
        assert!(EndStop::passed(Some(EndStop::High), 0.299_98, RANGE, 1e-5) > 0.0);
        assert!(EndStop::passed(Some(EndStop::Low), 2e-5, RANGE, 1e-5) > 0.0);
        assert_eq!(EndStop::nearest(-1e-9, RANGE), (EndStop::Low, 0.0));
        assert_eq!(EndStop::nearest(0.3 + 1e-9, RANGE), (EndStop::High, 0.3));
    }
}
