//! A directional-valve spool and all that pushes on it but the coils.

use crate::fluid::{EndStop, creep};

/// Where the spool goes when nothing drives it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rest {
    /// Spring-offset: two positions, 0 at rest and +1 shifted.
    Offset,
    /// Spring-centred: three positions, 0 at rest.
    Centred,
    /// Detented: two positions, -1 and +1, keeps either.
    Detented,
}

/// A hand on a manual override.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    /// Nobody works it.
    Off,
    /// That at side a is worked.
    A,
    /// That at side b is worked.
    B,
}

/// How the manual overrides of a valve are worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Handle {
    /// There are none.
    None,
    /// A pin that is pushed and springs back.
    Push,
    /// A pin that is pushed, and stays when pushed and turned.
    PushLatch,
    /// A knob that is pulled and springs back.
    Pull,
    /// A knob that is pulled, and stays when pulled and turned.
    PullLatch,
    /// A screw that is turned and stays.
    Turn,
}

impl Handle {
    /// Every kind, as it is written.
    pub const WORDS: [(&'static str, Handle); 6] = [
        ("none", Handle::None),
        ("push", Handle::Push),
        ("push or latch", Handle::PushLatch),
        ("pull", Handle::Pull),
        ("pull or latch", Handle::PullLatch),
        ("turn", Handle::Turn),
    ];

    /// Whether it is pulled, away from the spool.
    #[must_use]
    pub fn pulls(self) -> bool {
        matches!(self, Handle::Pull | Handle::PullLatch)
    }

    /// Whether it can be made to stay.
    #[must_use]
    pub fn latches(self) -> bool {
        matches!(self, Handle::PushLatch | Handle::PullLatch | Handle::Turn)
    }
}

/// How a spool is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpoolMake {
    /// Where it rests.
    pub rest: Rest,
    /// Travel from one position to the next [m], > 0.
    pub stroke_m: f64,
    /// Spring force at rest [N].
    pub preload_n: f64,
    /// Increase of spring force over the travel to a shifted position [N].
    pub rate_n: f64,
    /// Force the detent holds with [N].
    pub detent_n: f64,
    /// Coulomb friction, dirt included [N].
    pub friction_n: f64,
    /// Viscous resistance [N s/m], > 0: sets the shifting time.
    pub viscous: f64,
    /// Viscous resistance on the way home, as a multiple of that on the way out [1], > 0: a valve whose tube
    /// lets its oil out more slowly than in.
    pub homeward: f64,
    /// Force of a hand on the override at side a towards +1, and at side b towards -1 [N]; negative
    /// where a hand moves the spool the other way than the solenoid at its side.
    pub hand_n: f64,
    /// The spool is wedged where it is.
    pub stuck: bool,
}

/// The spring washer of a centred spool takes up over this fraction of the travel.
const WASHER: f64 = 0.02;
/// How far beyond an end stop laws go on as before it [1].
const BEYOND: f64 = 0.1;
/// The detent's ridge is this wide, as a fraction of half the travel.
const RIDGE: f64 = 0.2;

impl SpoolMake {
    /// A spring-centred spool of common size. Invented figures.
    #[must_use]
    pub const fn centred() -> SpoolMake {
        SpoolMake {
            rest: Rest::Centred,
            stroke_m: 3e-3,
            preload_n: 12.0,
            rate_n: 8.0,
            detent_n: 0.0,
            friction_n: 2.0,
            viscous: 150.0,
            homeward: 1.0,
            hand_n: 150.0,
            stuck: false,
        }
    }

    /// Smallest and largest position [1].
    #[must_use]
    pub fn range(&self) -> (f64, f64) {
        match self.rest {
            Rest::Offset => (0.0, 1.0),
            Rest::Centred | Rest::Detented => (-1.0, 1.0),
        }
    }

    /// Gap of the armature of solenoid a (`side` +1) or b (`side` -1) as a fraction of its stroke,
    /// at spool position `x`, and its derivative. The pin leaves the spool at the armature's back
    /// stop, so the gap never exceeds the full stroke. Laws go on a little beyond an end stop, though
    /// nothing gets there: a run halts at the stop, and would have to creep up to a kink.
    #[must_use]
    #[inline]
    pub fn gap(&self, side: f64, x: f64) -> (f64, f64) {
        let span = if self.rest == Rest::Detented { 2.0 } else { 1.0 };
        let gap = (1.0 - side * x) / span;
        if gap <= -BEYOND {
            (-BEYOND, 0.0)
        } else if gap >= 1.0 {
            (1.0, 0.0)
        } else {
            (gap, -side / span)
        }
    }

    /// Force of spring and detent [N] towards +1 at `x`, and its derivative.
    #[must_use]
    #[inline]
    pub fn restoring(&self, x: f64) -> (f64, f64) {
        match self.rest {
            Rest::Offset => (-(self.preload_n + self.rate_n * x), -self.rate_n),
            Rest::Centred => {
                let u = (x / WASHER).clamp(-1.0, 1.0);
                let bend = if u.abs() < 1.0 { self.preload_n / WASHER } else { 0.0 };
                (-(self.preload_n * u + self.rate_n * x), -(bend + self.rate_n))
            }
            Rest::Detented => {
                let u = (x / RIDGE).clamp(-1.0, 1.0);
                let bend = if u.abs() < 1.0 { self.detent_n / RIDGE } else { 0.0 };
                (self.detent_n * u, bend)
            }
        }
    }

    /// Share of a centring sleeve's area that pushes towards +1 at `x` [1], and its derivative: all of it on the
    /// side of -1, none beyond the centre, where the sleeve stands on its stop.
    #[must_use]
    #[inline]
    pub fn sleeve(x: f64) -> (f64, f64) {
        let share = 0.5 - 0.5 * x / WASHER;
        if (0.0..=1.0).contains(&share) {
            (share, -0.5 / WASHER)
        } else {
            (share.clamp(0.0, 1.0), 0.0)
        }
    }

    /// Force of a hand [N] towards +1.
    #[must_use]
    pub fn hand(&self, hand: Hand) -> f64 {
        match hand {
            Hand::Off => 0.0,
            Hand::A => self.hand_n,
            Hand::B => -self.hand_n,
        }
    }

    /// Speed [1/s] at `x` under `force` [N] towards +1 against friction, with its slopes to force
    /// [1/(s N)] and position [1/s]; of a spool that stands on an end stop, what that leaves of it.
    #[must_use]
    #[inline]
    pub fn speed(&self, force: f64, x: f64, stop: Option<EndStop>) -> (f64, f64, f64) {
        if self.stuck {
            return (0.0, 0.0, 0.0);
        }
        let drag = self.viscous * self.stroke_m;
        let home = self.rest != Rest::Detented && force * x < 0.0;
        let resisting = if home { self.homeward * drag } else { drag };
        let (speed, per_n) = creep(force, self.friction_n, resisting);
        let free = (speed, per_n, 0.0);
        stop.map_or(free, |stop| stop.hold(free, x, self.range()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn detent_holds_either_end() {
        let d = SpoolMake { rest: Rest::Detented, detent_n: 15.0, ..SpoolMake::centred() };
        assert_eq!(d.restoring(0.9).0, 15.0);
        assert_eq!(d.restoring(-0.9).0, -15.0);
    }

    #[test]
    fn gaps_open_and_close_with_the_spool() {
        let c = SpoolMake::centred();
        assert_eq!(c.gap(1.0, 1.0).0, 0.0);
        assert_eq!(c.gap(1.0, 0.0).0, 1.0);
        assert_eq!(c.gap(-1.0, 1.0).0, 1.0, "the losing armature stays at its back stop");
    }
}
