//! Finds where a function first turns non-negative inside a bracket.

/// Evaluations after which a bracket that has not halved is bisected.
const PATIENCE: u32 = 3;

/// A bracket around the place where a value rises through zero.
///
/// The caller evaluates: ask [`Crossing::candidate`] for a place, evaluate there, report to
/// [`Crossing::narrow`], until no place is left to try. False position with halved stale ends,
/// and bisection where that is slow, so a kinked value costs no more than a few dozen
/// evaluations.
///
/// ```
/// use spoolbench::kernel::Crossing;
/// let value = |x: f64| x * x - 2.0;
/// let mut crossing = Crossing::new((0.0, value(0.0)), (2.0, value(2.0)), 1e-12);
/// while let Some(place) = crossing.candidate() {
///     crossing.narrow(place, value(place));
/// }
/// assert!((crossing.after() - 2f64.sqrt()).abs() < 1e-12);
/// assert!(value(crossing.after()) >= 0.0);
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Crossing {
    before: f64,
    before_value: f64,
    after: f64,
    after_value: f64,
    tolerance: f64,
    /// Width of the bracket when it was last seen halved.
    halved_width: f64,
    evaluations_since_halved: u32,
    /// Which end the last report replaced: -1 before, 1 after, 0 none.
    last_side: i8,
}

impl Crossing {
    /// A bracket from (`place`, value < 0) to (`place`, value >= 0), to be narrowed to `tolerance`.
    #[must_use]
    pub fn new(before: (f64, f64), after: (f64, f64), tolerance: f64) -> Self {
        assert!(
            before.0 <= after.0 && before.1 < 0.0 && after.1 >= 0.0,
            "a crossing needs a bracket that rises through zero"
        );
        Crossing {
            before: before.0,
            before_value: before.1,
            after: after.0,
            after_value: after.1,
            tolerance,
            halved_width: after.0 - before.0,
            evaluations_since_halved: 0,
            last_side: 0,
        }
    }

    /// The next place to evaluate, or `None` when the bracket is narrow enough.
    #[must_use]
    pub fn candidate(&self) -> Option<f64> {
        let width = self.after - self.before;
        // The second test stops at the spacing of the numbers themselves.
        let middle = self.before + 0.5 * width;
        if width <= self.tolerance || middle <= self.before || middle >= self.after {
            return None;
        }
        if self.evaluations_since_halved >= PATIENCE {
            return Some(middle);
        }
        let secant =
            self.before - self.before_value * width / (self.after_value - self.before_value);
        // Stay half a tolerance inside, so that one end always moves usefully.
        let margin = (0.5 * self.tolerance).min(0.25 * width);
        let place = secant.max(self.before + margin).min(self.after - margin);
        Some(if place > self.before && place < self.after { place } else { middle })
    }

    /// Takes the value found at `place`, a place inside the bracket.
    pub fn narrow(&mut self, place: f64, value: f64) {
        if value >= 0.0 {
            self.after = place;
            self.after_value = value;
            if self.last_side > 0 {
                self.before_value *= 0.5;
            }
            self.last_side = 1;
        } else {
            self.before = place;
            // NaN counts as not yet crossed; keep the old value so that the secant stays finite.
            if value < 0.0 {
                self.before_value = value;
            }
            if self.last_side < 0 {
                self.after_value *= 0.5;
            }
            self.last_side = -1;
        }
        let width = self.after - self.before;
        if width <= 0.5 * self.halved_width {
            self.halved_width = width;
            self.evaluations_since_halved = 0;
        } else {
            self.evaluations_since_halved += 1;
        }
    }

    /// The near end of the bracket, where the value is still negative.
    #[must_use]
    pub fn before(&self) -> f64 {
        self.before
    }

    /// The far end of the bracket, where the value is known not to be negative.
    #[must_use]
    pub fn after(&self) -> f64 {
        self.after
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn find(value: impl Fn(f64) -> f64, tolerance: f64) -> (f64, u32) {
        let mut crossing = Crossing::new((0.0, value(0.0)), (1.0, value(1.0)), tolerance);
        let mut evaluations = 0;
        while let Some(place) = crossing.candidate() {
            crossing.narrow(place, value(place));
            evaluations += 1;
        }
        assert!(value(crossing.after()) >= 0.0);
        assert!(crossing.after() - crossing.before() <= tolerance.max(1e-15));
        (crossing.after(), evaluations)
    }

    #[test]
    fn smooth_values_take_few_evaluations() {
        let (place, evaluations) = find(|x| x - 0.3, 1e-12);
        assert!((place - 0.3).abs() < 1e-12);
        assert!(evaluations <= 4, "{evaluations}");
        let (place, evaluations) = find(|x| x * x * x - 0.2, 1e-12);
        assert!((place * place * place - 0.2).abs() < 1e-11);
        assert!(evaluations <= 14, "{evaluations}");
    }

    #[test]
    fn steps_and_kinks_are_bounded() {
        let (place, evaluations) = find(|x| if x < 0.7 { -1.0 } else { 1e9 }, 1e-12);
        assert!((place - 0.7).abs() < 1e-12);
        assert!(evaluations < 160, "{evaluations}");
        let (place, evaluations) = find(|x| (x - 0.9).max(1e6 * (x - 0.95)), 1e-12);
        assert!((place - 0.9).abs() < 1e-12);
        assert!(evaluations < 60, "{evaluations}");
    }

    #[test]
    fn a_zero_tolerance_still_ends() {
        let (place, _) = find(|x| x - 1.0 / 3.0, 0.0);
        assert!((place - 1.0 / 3.0).abs() < 1e-15);
    }
}
