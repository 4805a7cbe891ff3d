//! How much fluid a volume takes up for a rise in pressure.

use crate::base::ops;

use super::ATMOSPHERE_PA;
use super::{EndStop, creep};

/// What fills a volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Medium {
    /// Oil of bulk modulus [Pa] with a fraction of free air [1] at atmospheric pressure.
    Oil {
        /// Bulk modulus of the oil [Pa].
        bulk_pa: f64,
        /// Free air, as a fraction of the volume at atmospheric pressure [1].
        free_air: f64,
    },
    /// Air with gas constant times temperature [J/kg] and polytropic exponent [1] (1 isothermal).
    Air {
        /// R T [J/kg].
        rt: f64,
        /// Polytropic exponent [1].
        exponent: f64,
    },
}

impl Medium {
    /// Mineral oil of usual stiffness with a little air in it.
    pub const OIL: Medium = Medium::Oil { bulk_pa: 1.4e9, free_air: 0.001 };
    /// Air at 20 degC, isothermal. R 287.05 J/(kg K).
    pub const AIR: Medium = Medium::Air { rt: 287.05 * 293.15, exponent: 1.0 };

    /// Pressure [Pa gauge] at `state`, and its slope.
    ///
    /// The state of a volume is its pressure. Only in oil near vacuum, below [`VOID_BELOW_PA`], it
    /// goes on as a measure of the void that opens there: in proportion to the volume missing. The
    /// free air then expands as p V constant, so that no pressure passes vacuum, and what flows in
    /// later fills the void again to the drop. As a pressure it could not: near vacuum an error of
    /// a few pascals is litres.
    #[must_use]
    #[inline]
    pub fn pressure(&self, state: f64) -> (f64, f64) {
        match *self {
            Medium::Oil { bulk_pa, free_air } if state < VOID_BELOW_PA => {
                Medium::void(bulk_pa, free_air, state)
            }
            // NaN is as little of a pressure as it is of a void.
            _ => (state, 1.0),
        }
    }

    /// Pressure [Pa gauge] of oil near vacuum, and its slope.
    #[cold]
    fn void(bulk_pa: f64, free_air: f64, state: f64) -> (f64, f64) {
        // Strain e = P / K - A / P of absolute pressure P, with A the free air times atmosphere.
        let (knee, air) = (VOID_BELOW_PA + ATMOSPHERE_PA, air_pa(free_air));
        let per_state = 1.0 / bulk_pa + air / (knee * knee);
        let strain = knee / bulk_pa - air / knee + per_state * (state - VOID_BELOW_PA);
        let root = (strain * strain + 4.0 * air / bulk_pa).sqrt();
        let absolute = if strain > 0.0 {
            0.5 * bulk_pa * (strain + root)
        } else {
            2.0 * air / (root - strain)
        };
        let per_pa = 1.0 / bulk_pa + air / (absolute * absolute);
        (absolute - ATMOSPHERE_PA, per_state / per_pa)
    }

    /// Capacity per volume [1/Pa for oil, kg/(m3 Pa) for air] at `state` (see
    /// [`Medium::pressure`]), and its derivative.
    #[must_use]
    #[inline]
    pub fn capacity(&self, state: f64) -> (f64, f64) {
        match *self {
            Medium::Oil { bulk_pa, free_air } => {
                let absolute = state.max(VOID_BELOW_PA) + ATMOSPHERE_PA;
                let air = air_pa(free_air) / (absolute * absolute);
                let slope = if state > VOID_BELOW_PA { -2.0 * air / absolute } else { 0.0 };
                (1.0 / bulk_pa + air, slope)
            }
            Medium::Air { rt, exponent } => (1.0 / (exponent * rt), 0.0),
        }
    }

    /// What a unit of swept volume carries: 1 for oil, the density [kg/m3] for air; and its slope.
    #[must_use]
    #[inline]
    pub fn density(&self, pa: f64) -> (f64, f64) {
        match *self {
            Medium::Oil { .. } => (1.0, 0.0),
            Medium::Air { rt, .. } => (((pa + ATMOSPHERE_PA) / rt).max(0.0), 1.0 / rt),
        }
    }
}

/// Below this pressure [Pa gauge], 0.3 bar absolute, oil counts as torn: see [`Medium::pressure`].
pub const VOID_BELOW_PA: f64 = 0.3e5 - ATMOSPHERE_PA;

/// Free air as pressure times share of the volume [Pa]; no oil is without any.
fn air_pa(free_air: f64) -> f64 {
    free_air.max(1e-5) * ATMOSPHERE_PA
}

/// A volume with one pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Volume {
    /// Volume of lines and bodies [m3], > 0, without cylinder chambers.
    pub still_m3: f64,
    /// What fills it.
    pub medium: Medium,
}

/// A gas-loaded accumulator on an oil volume: p V^n constant, absolute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accumulator {
    /// Gas volume when empty of oil [m3].
    pub gas_m3: f64,
    /// Precharge [Pa gauge] at bench temperature.
    pub precharge_pa: f64,
    /// Polytropic exponent [1]: 1 slow (isothermal) to 1.4 fast (adiabatic).
    pub exponent: f64,
}

/// The piston between oil and gas strikes the cover when so little of the gas volume is left [1].
const LEAST_GAS: f64 = 0.02;

/// The piston between the oil and the gas of an accumulator, with its seals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seal {
    /// Coulomb friction of the seals, as a pressure [Pa].
    pub friction_pa: f64,
    /// Viscous friction, as a pressure per flow [Pa s/m3], > 0.
    pub viscous: f64,
    /// The piston is stuck.
    pub stuck: bool,
}

impl Seal {
    /// Flow of oil in [m3/s] when the oil stands `over_pa` [Pa] over the gas and `oil_m3` [m3] of oil are in `of`,
    /// with its slopes to the pressure and to the oil; of a piston that stands on an end stop, what
    /// that leaves of it.
    #[must_use]
    pub fn flow(
        &self,
        of: &Accumulator,
        over_pa: f64,
        oil_m3: f64,
        stop: Option<EndStop>,
    ) -> (f64, f64, f64) {
        if self.stuck {
            return (0.0, 0.0, 0.0);
        }
        let (flow, per_pa) = creep(over_pa, self.friction_pa, self.viscous);
        let free = (flow, per_pa, 0.0);
        stop.map_or(free, |stop| stop.hold(free, oil_m3, of.room()))
    }
}

/// The bladder leaves its poppet over this fraction of the precharge, not at a knife's edge.
const POPPET_BAND: f64 = 5e-4;

impl Accumulator {
    /// Least and most oil behind a piston [m3].
    #[must_use]
    pub fn room(&self) -> (f64, f64) {
        (0.0, (1.0 - LEAST_GAS) * self.gas_m3)
    }

    /// Gas volume [m3] at gauge pressure `pa` at or above the precharge.
    #[must_use]
    pub fn gas_volume(&self, pa: f64) -> f64 {
        let ratio = (self.precharge_pa + ATMOSPHERE_PA) / (pa + ATMOSPHERE_PA).max(1.0);
        if ratio >= 1.0 {
            return self.gas_m3;
        }
        if self.exponent == 1.0 {
            self.gas_m3 * ratio
        } else {
            self.gas_m3 * ops::pow(ratio, 1.0 / self.exponent)
        }
    }

    /// Pressure of the gas [Pa gauge] over `oil_m3` [m3] of oil, and its slope [Pa/m3].
    #[must_use]
    pub fn gas_pa(&self, oil_m3: f64) -> (f64, f64) {
        let room = (self.gas_m3 - oil_m3).max(LEAST_GAS * self.gas_m3);
        let ratio = self.gas_m3 / room;
        let absolute = (self.precharge_pa + ATMOSPHERE_PA) * ops::pow(ratio, self.exponent);
        let bends = room > LEAST_GAS * self.gas_m3;
        let slope = if bends { self.exponent * absolute / room } else { 0.0 };
        (absolute - ATMOSPHERE_PA, slope)
    }

    /// Temperature of the gas [K] at gauge pressure `pa` when it had `kelvin` at the precharge: P^(1 - n)
    /// T^n is constant (polytropic change, any thermodynamics text).
    #[must_use]
    pub fn gas_kelvin(&self, pa: f64, kelvin: f64) -> f64 {
        let ratio =
            (pa.max(self.precharge_pa) + ATMOSPHERE_PA) / (self.precharge_pa + ATMOSPHERE_PA);
        kelvin * ops::pow(ratio, 1.0 - 1.0 / self.exponent)
    }

    /// Oil held [m3] at gauge pressure `pa`.
    #[must_use]
    pub fn oil(&self, pa: f64) -> f64 {
        self.gas_m3 - self.gas_volume(pa)
    }

    /// Capacity dV/dp [m3/Pa] at gauge pressure `pa`, and its derivative.
    #[must_use]
    pub fn capacity(&self, pa: f64) -> (f64, f64) {
        let knee = self.precharge_pa + ATMOSPHERE_PA;
        let absolute = pa + ATMOSPHERE_PA;
        let band = POPPET_BAND * knee;
        let u = (absolute - knee) / band + 0.5;
        if u <= 0.0 {
            return (0.0, 0.0);
        }
        let at = absolute.max(knee);
        let base = self.gas_volume(at - ATMOSPHERE_PA) / (self.exponent * at);
        let slope = if absolute > knee { -base * (1.0 + 1.0 / self.exponent) / at } else { 0.0 };
        if u >= 1.0 {
            return (base, slope);
        }
        let w = u * u * (3.0 - 2.0 * u);
        let dw = 6.0 * u * (1.0 - u) / band;
        (w * base, w * slope + dw * base)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 4 L, precharge 50, to 120 bar gauge: isothermal 2.31380 L, adiabatic 1.84178 L (from
    /// p V^n = const, absolute pressures).
    #[test]
    fn accumulator_volumes() {
        for (exponent, litres) in [(1.0, 2.31380), (1.4, 1.84178)] {
            let a = Accumulator { gas_m3: 4e-3, precharge_pa: 50e5, exponent };
            assert!((a.oil(120e5) * 1e3 / litres - 1.0).abs() < 1e-4);
        }
    }

    #[test]
    fn accumulator_capacity_integrates_to_its_oil() {
        let a = Accumulator { gas_m3: 4e-3, precharge_pa: 50e5, exponent: 1.4 };
        let (mut oil, step) = (0.0, 50.0);
        let mut p = 45e5;
        while p < 120e5 {
            oil += a.capacity(p + step / 2.0).0 * step;
            p += step;
        }
        assert!((oil / a.oil(120e5) - 1.0).abs() < 2e-4, "{oil}");
    }

    /// dp = K dV / V: 1 L, 1.4 GPa, 1 cm3 gives 14.0 bar.
    #[test]
    fn bulk_modulus() {
        let (per_pa, _) = Medium::Oil { bulk_pa: 1.4e9, free_air: 0.0 }.capacity(100e5);
        let rise = 1e-6 / (1e-3 * per_pa);
        assert!((rise / 14e5 - 1.0).abs() < 1e-4, "{rise}");
    }

    #[test]
    fn slopes_are_the_derivatives() {
        let a = Accumulator { gas_m3: 4e-3, precharge_pa: 50e5, exponent: 1.4 };
        for p in [49.99e5, 50.005e5, 80e5] {
            let numeric = (a.capacity(p + 1.0).0 - a.capacity(p - 1.0).0) / 2.0;
            assert!((a.capacity(p).1 - numeric).abs() <= 2e-3 * numeric.abs() + 1e-22, "{p}");
        }
        let oil = Medium::OIL;
        for p in [-0.6e5, 0.0, 5e5] {
            let numeric = (oil.capacity(p + 1.0).0 - oil.capacity(p - 1.0).0) / 2.0;
            assert!((oil.capacity(p).1 / numeric - 1.0).abs() < 1e-3);
        }
        for state in [-0.6e5, -0.72e5, -1e5, -5e5, -1e7] {
            let numeric = (oil.pressure(state + 1.0).0 - oil.pressure(state - 1.0).0) / 2.0;
            assert!((oil.pressure(state).1 / numeric - 1.0).abs() < 1e-3, "{state}");
        }
    }

    /// Boyle: 0.1 % of air at atmosphere fills a void of a tenth of the volume at about a
    /// hundredth of an atmosphere, and oil that flows in again brings the pressure back.
    #[test]
    fn a_void_is_filled_with_the_free_air() {
        let (oil, mut state, mut out) = (Medium::OIL, 0.0, 0.0);
        while out < 0.1 {
            state -= 10.0;
            out += 10.0 * oil.capacity(state + 5.0).0;
        }
        let (pa, _) = oil.pressure(state);
        let boyle = 0.001 * ATMOSPHERE_PA / (0.1 + 0.001);
        assert!(((pa + ATMOSPHERE_PA) / boyle - 1.0).abs() < 1e-2, "{pa}");
        assert!(oil.pressure(-1e9).0 > -ATMOSPHERE_PA);
    }
}
