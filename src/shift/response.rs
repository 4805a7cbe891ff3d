//! How long a solenoid takes to move its spool, with nothing but coil, spring, friction and damping:
//! what a data sheet gives as response times.

use crate::electric::{Suppressor, WindingMake};

use crate::quantity::{Supply, SupplyKind};

use super::spool::SpoolMake;

/// A spool counts as settled within this distance of a position [1].
pub const SETTLED: f64 = 0.03;
/// Step of the calculation [s], and when it gives up.
const STEP_S: f64 = 50e-6;
/// See [`STEP_S`].
const LIMIT_S: f64 = 4.0;

/// What feeds the coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Feed {
    /// Direct voltage [V].
    Direct(f64),
    /// Alternating voltage, root-mean-square [V], and angular frequency [rad/s].
    Alternating(f64, f64),
}

impl Feed {
    /// What the nominal `supply` feeds.
    #[must_use]
    pub fn of(supply: Supply) -> Feed {
        match supply.kind {
            SupplyKind::Dc => Feed::Direct(supply.volts),
            SupplyKind::Ac { hertz } => {
                Feed::Alternating(supply.volts, 2.0 * std::f64::consts::PI * hertz)
            }
        }
    }

    /// Linkage squared [V2s2] of `coil` at 20 degC with its armature held at `gap` [1].
    #[must_use]
    pub fn linkage2(self, coil: &WindingMake, gap: f64) -> f64 {
        let henry = 1.0 / coil.inverse_henry(gap).0;
        let (volts, react) = match self {
            Feed::Direct(volts) => (volts, 0.0),
            Feed::Alternating(volts, omega) => (volts, omega * henry),
        };
        let ohm = coil.ohm_at_20;
        volts * volts * henry * henry / (ohm * ohm + react * react)
    }
}

/// A solenoid with its spool on a test stand: rated voltage, 20 degC, no pressure and no flow.
#[derive(Clone, Copy, Debug)]
pub struct Stand<'a> {
    /// The spool.
    pub spool: SpoolMake,
    /// The winding.
    pub coil: &'a WindingMake,
    /// What feeds it.
    pub feed: Feed,
    /// What lies across it.
    pub suppressors: &'a [Suppressor],
    /// Arc that the opening contact draws: voltage [V] and slope [ohm].
    pub arc: (f64, f64),
}

impl Stand<'_> {
    /// Time [s] from the voltage to the settled spool; `None` when it does not get there.
    #[must_use]
    pub fn on_s(&self) -> Option<f64> {
        let (from, _) = self.spool.range();
        let start = if self.spool.rest == super::Rest::Detented { from } else { 0.0 };
        self.run((0.0, start), 1.0, |linkage, gap| match self.feed {
            Feed::Direct(volts) => volts - self.coil.ohm_at_20 * self.amps(linkage, gap),
            Feed::Alternating(..) => 0.0,
        })
    }

    /// Time [s] from the opening of the contact until spring and dying current have let the spool back;
    /// `None` when it does not go back.
    #[must_use]
    pub fn off_s(&self) -> Option<f64> {
        let linkage = match self.feed {
            Feed::Direct(volts) => volts / self.coil.ohm_at_20 / self.coil.inverse_henry(0.0).0,
            Feed::Alternating(..) => 0.0,
        };
        let off = Stand { feed: Feed::Direct(0.0), ..*self };
        off.run((linkage, 1.0), 0.0, |linkage, gap| {
            // Nothing drives the current on once it has died.
            let amps = off.amps(linkage, gap);
            if amps <= 0.0 { 0.0 } else { -off.opposing(amps) - off.coil.ohm_at_20 * amps }
        })
    }

    /// The same with the damping at which it takes `seconds` [s]; `None` when no damping is little enough.
    #[must_use]
    pub fn fitted_on(&self, seconds: f64) -> Option<SpoolMake> {
        let with = |viscous: f64| SpoolMake { viscous, ..self.spool };
        self.fit(seconds, with, Stand::on_s, self.spool.viscous)
    }

    /// The same with the damping on its way home at which it takes `seconds` [s] to let go.
    #[must_use]
    pub fn fitted_off(&self, seconds: f64) -> Option<SpoolMake> {
        let with = |homeward: f64| SpoolMake { homeward, ..self.spool };
        self.fit(seconds, with, Stand::off_s, 1.0)
    }

    /// Bisects the damping in proportion: time grows with it.
    fn fit(
        &self,
        seconds: f64,
        with: impl Fn(f64) -> SpoolMake,
        time: impl Fn(&Self) -> Option<f64>,
        usual: f64,
    ) -> Option<SpoolMake> {
        let of =
            |damping: f64| time(&Stand { spool: with(damping), ..*self }).unwrap_or(f64::INFINITY);
        let (mut low, mut high) = (usual / 32.0, usual * 1024.0);
        if of(low) > seconds || of(high) < seconds {
            return None;
        }
        for _ in 0..30 {
            let middle = (low * high).sqrt();
            if of(middle) > seconds {
                high = middle;
            } else {
                low = middle;
            }
        }
        Some(with((low * high).sqrt()))
    }

    fn amps(&self, linkage: f64, gap: f64) -> f64 {
        linkage * self.coil.inverse_henry(gap).0
    }

    /// Voltage [V] against the current `amps` [A] once the contact is open: that of what gives way first.
    fn opposing(&self, amps: f64) -> f64 {
        let of = |s: &Suppressor| match *s {
            Suppressor::Diode(diode, false) => diode.voltage(amps),
            Suppressor::Diode(_, true) => f64::INFINITY,
            Suppressor::Resistor(ohm) => ohm * amps,
            Suppressor::Clamp(volts, ohm) => volts + ohm * amps,
        };
        self.suppressors.iter().map(of).fold(self.arc.0 + self.arc.1 * amps, f64::min)
    }

    /// Runs from linkage and position until the spool has settled at `to`, by the classical Runge-Kutta method.
    fn run(&self, start: (f64, f64), to: f64, volts: impl Fn(f64, f64) -> f64) -> Option<f64> {
        let range = self.spool.range();
        let rate = |linkage: f64, x: f64| {
            let x = x.clamp(range.0, range.1);
            let (gap, _) = self.spool.gap(1.0, x);
            let linkage2 = match self.feed {
                Feed::Direct(_) => linkage * linkage,
                Feed::Alternating(..) => self.feed.linkage2(self.coil, gap),
            };
            let pull = self.coil.pull(linkage2, gap);
            let (force, _) = self.spool.restoring(x);
            (volts(linkage, gap), self.spool.speed(pull + force, x, None).0)
        };
        let ((mut linkage, mut x), mut seconds) = (start, 0.0);
        while seconds < LIMIT_S {
            let shifted = |k: (f64, f64), h: f64| (linkage + h * k.0, x + h * k.1);
            let k1 = rate(linkage, x);
            let (l2, x2) = shifted(k1, 0.5 * STEP_S);
            let k2 = rate(l2, x2);
            let (l3, x3) = shifted(k2, 0.5 * STEP_S);
            let k3 = rate(l3, x3);
            let (l4, x4) = shifted(k3, STEP_S);
            let k4 = rate(l4, x4);
            let before = (x - to).abs();
            linkage += STEP_S / 6.0 * (k1.0 + 2.0 * k2.0 + 2.0 * k3.0 + k4.0);
            x += STEP_S / 6.0 * (k1.1 + 2.0 * k2.1 + 2.0 * k3.1 + k4.1);
            x = x.clamp(range.0, range.1);
            let after = (x - to).abs();
            if after <= SETTLED {
                // Straight on within the step.
                let part = if before > after { (before - SETTLED) / (before - after) } else { 1.0 };
                return Some(seconds + part.clamp(0.0, 1.0) * STEP_S);
            }
            seconds += STEP_S;
        }
        None
    }
}
