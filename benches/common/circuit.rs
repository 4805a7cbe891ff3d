//! The circuit of the benchmarks of the fluid core: a pump with its relief valve drives a cylinder
//! through a directional valve, 8 states, out and back twice. Laws and their slopes, by hand.

pub const N: usize = 8;
pub const PUMP: usize = 0;
pub const CAP: usize = 1;
pub const ROD: usize = 2;
pub const RETURN: usize = 3;
pub const PLACE: usize = 4;
pub const SPEED: usize = 5;
pub const SPOOL: usize = 6;
pub const RELIEF: usize = 7;

pub const RELATIVE: f64 = 1e-5;
/// 100 Pa, a micrometre, a micrometre per second, a millionth of a stroke.
pub const ABSOLUTE: [f64; N] = [100.0, 100.0, 100.0, 100.0, 1e-6, 1e-6, 1e-6, 1e-6];
/// Few, so that a repetition nearly always fits between two interruptions of a shared machine.
pub const HALF_CYCLES: u64 = 4;
pub const HALF_CYCLE_NS: u64 = 2_000_000_000;

/// The laws of the circuit, SI units.
#[derive(Clone)]
pub struct Circuit {
    /// -1, 0 or 1: which solenoid is energised.
    pub command: f64,
}

/// Turbulent flow through an opening, made smooth about zero: value and slope.
#[inline]
fn orifice(difference_pa: f64) -> (f64, f64) {
    const SMOOTH_PA: f64 = 1e4;
    let square = difference_pa * difference_pa + SMOOTH_PA * SMOOTH_PA;
    let root = square.sqrt();
    let scale = 1.0 / root.sqrt();
    let flow = difference_pa * scale;
    (flow, scale * (1.0 - 0.5 * difference_pa * difference_pa / square))
}

pub const BULK_PA: f64 = 1.2e9;
pub const PUMP_FLOW: f64 = 2.5e-4;
pub const PUMP_LEAK: f64 = 1e-12;
pub const PUMP_VOLUME: f64 = 8e-4;
pub const RETURN_VOLUME: f64 = 1e-3;
pub const DEAD_VOLUME: f64 = 1e-4;
pub const STROKE: f64 = 0.3;
pub const CAP_AREA: f64 = 1.26e-3;
pub const ROD_AREA: f64 = 6.4e-4;
pub const VALVE: f64 = 4e-7;
pub const RETURN_FILTER: f64 = 1e-6;
pub const RELIEF_FULL: f64 = 5e-7;
pub const RELIEF_SET_PA: f64 = 1e7;
pub const RELIEF_BAND_PA: f64 = 1e6;
pub const RELIEF_LAG_S: f64 = 2e-3;
pub const SPOOL_LAG_S: f64 = 8e-3;
pub const OVERLAP: f64 = 0.1;
pub const PISTON_LEAK: f64 = 2e-13;
pub const MASS: f64 = 40.0;
pub const VISCOUS: f64 = 800.0;
pub const COULOMB: f64 = 150.0;
pub const COULOMB_SPEED: f64 = 2e-3;
pub const LOAD: f64 = 2000.0;
pub const STOP_STIFFNESS: f64 = 5e7;
pub const STOP_DAMPING: f64 = 5e4;

impl Circuit {
    #[inline]
    pub fn openings(spool: f64) -> (f64, f64, f64, f64) {
        let slope = VALVE / (1.0 - OVERLAP);
        if spool > OVERLAP {
            (slope * (spool - OVERLAP), 0.0, slope, 0.0)
        } else if spool < -OVERLAP {
            (0.0, slope * (-spool - OVERLAP), 0.0, -slope)
        } else {
            (0.0, 0.0, 0.0, 0.0)
        }
    }

    #[inline]
    pub fn rates(&self, y: &[f64; N], rates: &mut [f64; N]) {
        let (out, back, _, _) = Self::openings(y[SPOOL]);
        let pump_cap = out * orifice(y[PUMP] - y[CAP]).0;
        let rod_return = out * orifice(y[ROD] - y[RETURN]).0;
        let pump_rod = back * orifice(y[PUMP] - y[ROD]).0;
        let cap_return = back * orifice(y[CAP] - y[RETURN]).0;
        let relief = RELIEF_FULL * y[RELIEF] * orifice(y[PUMP] - y[RETURN]).0;
        let filter = RETURN_FILTER * orifice(y[RETURN]).0;
        let leak = PISTON_LEAK * (y[CAP] - y[ROD]);
        let cap_volume = DEAD_VOLUME + CAP_AREA * y[PLACE];
        let rod_volume = DEAD_VOLUME + ROD_AREA * (STROKE - y[PLACE]);
        rates[PUMP] = BULK_PA / PUMP_VOLUME
            * (PUMP_FLOW - PUMP_LEAK * y[PUMP] - relief - pump_cap - pump_rod);
        rates[CAP] = BULK_PA / cap_volume * (pump_cap - cap_return - leak - CAP_AREA * y[SPEED]);
        rates[ROD] = BULK_PA / rod_volume * (pump_rod - rod_return + leak + ROD_AREA * y[SPEED]);
        rates[RETURN] = BULK_PA / RETURN_VOLUME * (relief + cap_return + rod_return - filter);
        rates[PLACE] = y[SPEED];
        let mut force = CAP_AREA * y[CAP] - ROD_AREA * y[ROD] - VISCOUS * y[SPEED] - LOAD;
        let speed = y[SPEED];
        force -= COULOMB * speed / (speed * speed + COULOMB_SPEED * COULOMB_SPEED).sqrt();
        if y[PLACE] > STROKE {
            force -= STOP_STIFFNESS * (y[PLACE] - STROKE) + STOP_DAMPING * speed;
        } else if y[PLACE] < 0.0 {
            force -= STOP_STIFFNESS * y[PLACE] + STOP_DAMPING * speed;
        }
        rates[SPEED] = force / MASS;
        rates[SPOOL] = (self.command - y[SPOOL]) / SPOOL_LAG_S;
        let lift = ((y[PUMP] - RELIEF_SET_PA) / RELIEF_BAND_PA).clamp(0.0, 1.0);
        rates[RELIEF] = (lift - y[RELIEF]) / RELIEF_LAG_S;
    }

    #[inline]
    pub fn jacobian(&self, y: &[f64; N], mut put: impl FnMut(usize, usize, f64)) {
        let (out, back, out_slope, back_slope) = Self::openings(y[SPOOL]);
        let (pump_cap, d_pump_cap) = orifice(y[PUMP] - y[CAP]);
        let (rod_return, d_rod_return) = orifice(y[ROD] - y[RETURN]);
        let (pump_rod, d_pump_rod) = orifice(y[PUMP] - y[ROD]);
        let (cap_return, d_cap_return) = orifice(y[CAP] - y[RETURN]);
        let (relief, d_relief) = orifice(y[PUMP] - y[RETURN]);
        let d_filter = RETURN_FILTER * orifice(y[RETURN]).1;
        let (g_pa, g_bt) = (out * d_pump_cap, out * d_rod_return);
        let (g_pb, g_at) = (back * d_pump_rod, back * d_cap_return);
        let g_r = RELIEF_FULL * y[RELIEF] * d_relief;
        let cap_volume = DEAD_VOLUME + CAP_AREA * y[PLACE];
        let rod_volume = DEAD_VOLUME + ROD_AREA * (STROKE - y[PLACE]);

        let c = BULK_PA / PUMP_VOLUME;
        put(PUMP, PUMP, -c * (PUMP_LEAK + g_r + g_pa + g_pb));
        put(PUMP, CAP, c * g_pa);
        put(PUMP, ROD, c * g_pb);
        put(PUMP, RETURN, c * g_r);
        put(PUMP, SPOOL, -c * (out_slope * pump_cap + back_slope * pump_rod));
        put(PUMP, RELIEF, -c * RELIEF_FULL * relief);

        let c = BULK_PA / cap_volume;
        let net = out * pump_cap
            - back * cap_return
            - PISTON_LEAK * (y[CAP] - y[ROD])
            - CAP_AREA * y[SPEED];
        put(CAP, PUMP, c * g_pa);
        put(CAP, CAP, -c * (g_pa + g_at + PISTON_LEAK));
        put(CAP, ROD, c * PISTON_LEAK);
        put(CAP, RETURN, c * g_at);
        put(CAP, PLACE, -c * CAP_AREA / cap_volume * net);
        put(CAP, SPEED, -c * CAP_AREA);
        put(CAP, SPOOL, c * (out_slope * pump_cap - back_slope * cap_return));

        let c = BULK_PA / rod_volume;
        let net = back * pump_rod - out * rod_return
            + PISTON_LEAK * (y[CAP] - y[ROD])
            + ROD_AREA * y[SPEED];
        put(ROD, PUMP, c * g_pb);
        put(ROD, CAP, c * PISTON_LEAK);
        put(ROD, ROD, -c * (g_pb + g_bt + PISTON_LEAK));
        put(ROD, RETURN, c * g_bt);
        put(ROD, PLACE, c * ROD_AREA / rod_volume * net);
        put(ROD, SPEED, c * ROD_AREA);
        put(ROD, SPOOL, c * (back_slope * pump_rod - out_slope * rod_return));

        let c = BULK_PA / RETURN_VOLUME;
        put(RETURN, PUMP, c * g_r);
        put(RETURN, CAP, c * g_at);
        put(RETURN, ROD, c * g_bt);
        put(RETURN, RETURN, -c * (g_r + g_at + g_bt + d_filter));
        put(RETURN, SPOOL, c * (back_slope * cap_return + out_slope * rod_return));
        put(RETURN, RELIEF, c * RELIEF_FULL * relief);

        put(PLACE, SPEED, 1.0);
        let speed = y[SPEED];
        let square = speed * speed + COULOMB_SPEED * COULOMB_SPEED;
        let mut damping =
            VISCOUS + COULOMB * COULOMB_SPEED * COULOMB_SPEED / (square * square.sqrt());
        let mut stiffness = 0.0;
        if y[PLACE] > STROKE || y[PLACE] < 0.0 {
            stiffness = STOP_STIFFNESS;
            damping += STOP_DAMPING;
        }
        put(SPEED, CAP, CAP_AREA / MASS);
        put(SPEED, ROD, -ROD_AREA / MASS);
        put(SPEED, PLACE, -stiffness / MASS);
        put(SPEED, SPEED, -damping / MASS);
        put(SPOOL, SPOOL, -1.0 / SPOOL_LAG_S);
        let lift = (y[PUMP] - RELIEF_SET_PA) / RELIEF_BAND_PA;
        let slope = if lift > 0.0 && lift < 1.0 { 1.0 / RELIEF_BAND_PA } else { 0.0 };
        put(RELIEF, PUMP, slope / RELIEF_LAG_S);
        put(RELIEF, RELIEF, -1.0 / RELIEF_LAG_S);
    }

    pub fn start() -> [f64; N] {
        [1e5, 1e5, 1e5, 1e5, 0.0, 0.0, 0.0, 0.0]
    }

    pub fn command_of(half_cycle: u64) -> f64 {
        if half_cycle.is_multiple_of(2) { 1.0 } else { -1.0 }
    }
}
