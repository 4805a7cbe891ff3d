//! Coils that warm: temperatures against independent solutions, and the end of a winding.

use std::sync::Arc;

use spoolbench::base::WindingId;
use spoolbench::electric::WindingMake;
use spoolbench::plant::{BranchMake, BranchRole, Current, PlanBuilder, Plant, Probe, What};

use super::coils::{at, plain_winding};

/// Resistance of 45 ohm of copper at 25 degC (3.93e-3 /K, IEC 60028, from memory), and reactance
/// with which 120 V 60 Hz then drive 1.08 A (derived).
fn impedance() -> (f64, f64) {
    let ohm: f64 = 45.0 * (1.0 + 3.93e-3 * 5.0);
    (ohm, ((120.0_f64 / 1.08).powi(2) - ohm * ohm).sqrt())
}

/// A coil that never seals on `volts` behind `ohm`.
fn unsealed(volts: f64, ohm: f64, burnout_celsius: f64) -> (Plant, WindingId) {
    let omega = 2.0 * std::f64::consts::PI * 60.0;
    let mut b = PlanBuilder::new("test", 25.0);
    b.part("G1", "supply", "");
    let (l, n) = (b.terminal("L"), b.terminal("N"));
    b.supply(Current::Ac { omega }, l, n, volts, ohm, None);
    b.branch("bond", BranchRole::Resistor, n, PlanBuilder::EARTH, BranchMake::ohm(1e-3));
    b.part("Y1", "coil", "");
    let make = WindingMake {
        joule_per_kelvin: 80.0,
        burnout_celsius,
        ..plain_winding(45.0, impedance().1 / omega)
    };
    let winding = b.winding("coil", l, n, make, vec![]);
    (Plant::nominal(Arc::new(b.finish().expect("plan"))), winding)
}

/// The coil passes 130, 155 and 180 degC at `times` [s], within `share`.
fn passes(mut plant: Plant, winding: WindingId, times: [f64; 3], share: f64) {
    at(&mut plant, 1e-3);
    let i = plant.read(Probe::WindingAmps(winding));
    assert!((i / 1.08 - 1.0).abs() < 1e-4, "{i}");
    for (celsius, time) in [130.0, 155.0, 180.0].into_iter().zip(times) {
        at(&mut plant, time * (1.0 - share));
        let early = plant.read(Probe::Celsius(winding));
        at(&mut plant, time * (1.0 + share));
        let late = plant.read(Probe::Celsius(winding));
        assert!(early < celsius && late > celsius, "{early} to {late} around {time} s");
    }
}

/// Independent solution with scipy (tests/data/heat_scipy.py): 154.742, 192.050, 230.023 s.
#[test]
fn held_voltage_warms_a_coil_in_its_time() {
    let (plant, winding) = unsealed(120.0, 1e-4, 1e9);
    passes(plant, winding, [154.742, 192.050, 230.023], 1e-3);
}

/// As good as a held current: a high voltage behind 1 Mohm. Closed form of the linear equation,
/// and scipy (tests/data/heat_scipy.py): 142.559, 172.863, 201.994 s.
#[test]
fn held_current_warms_a_coil_in_its_time() {
    let (ohm, reactance) = impedance();
    let volts = 1.08 * (1e6 + ohm).hypot(reactance);
    let (plant, winding) = unsealed(volts, 1e6, 1e9);
    passes(plant, winding, [142.559, 172.863, 201.994], 1e-3);
}

/// Class F ends at 155 degC (IEC 60085): a winding set to burn there does so at 192.050 s, and
/// carries nothing from then on.
#[test]
fn a_winding_burns_open_at_its_limit() {
    let (mut plant, winding) = unsealed(120.0, 1e-4, 155.0);
    at(&mut plant, 300.0);
    let burnt = plant.take_happenings().into_iter().find(|h| h.what == What::Burnt(winding));
    let time = burnt.expect("it burns").at.as_secs_f64();
    assert!((time / 192.050 - 1.0).abs() < 1e-3, "{time}");
    assert!(plant.burnt(winding));
    assert!(plant.read(Probe::WindingAmps(winding)) < 1e-5);
    // It cools with 10 K/W times 80 J/K = 800 s (derived).
    let want = 25.0 + 130.0 * ((time - 300.0) / 800.0).exp();
    let celsius = plant.read(Probe::Celsius(winding));
    assert!((celsius / want - 1.0).abs() < 1e-3, "{celsius}, expected {want}");
}
