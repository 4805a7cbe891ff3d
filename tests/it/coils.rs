//! Coil currents, fields and heat against closed forms and independent solutions.

use std::sync::Arc;

use spoolbench::base::{BranchId, OperatorId, SimTime, WindingId};
use spoolbench::electric::{Diode, Suppressor, WindingMake};
use spoolbench::plant::{
    BranchMake, BranchRole, Current, Plan, PlanBuilder, Plant, Probe, Tie, Trigger,
};

fn plain_winding(ohm: f64, henry: f64) -> WindingMake {
    WindingMake {
        ohm_at_20: ohm,
        open_henry: henry,
        seated_henry: henry * (1.0 + 1e-12),
        leakage: 0.0,
        stroke_m: 1e-3,
        sound_turns: 1.0,
        open: false,
        kelvin_per_watt: 10.0,
        joule_per_kelvin: 1e12,
        burnout_celsius: 1e9,
    }
}

struct Circuit {
    plan: Arc<Plan>,
    switch: OperatorId,
    coils: Vec<WindingId>,
    source: BranchId,
}

/// A supply of `volts` behind `ohm`, a contact, and windings from there to the minus pole.
fn circuit(volts: f64, ohm: f64, coils: &[(WindingMake, Vec<Suppressor>)]) -> Circuit {
    let mut b = PlanBuilder::new("test", 20.0);
    b.part("G1", "supply", "");
    let (plus, minus) = (b.terminal("+"), b.terminal("-"));
    let source = b.supply(Current::Dc, plus, minus, volts, ohm, None);
    b.branch("bond", BranchRole::Resistor, minus, PlanBuilder::EARTH, BranchMake::ohm(1e-3));
    b.part("S1", "switch", "");
    let node = b.terminal("14");
    let switch = b.operator("head", Tie::Hand, Trigger::Hand, false);
    b.contact("13-14", switch, false, plus, node, 1e-3);
    let mut ids = Vec::new();
    for (k, (make, suppressors)) in coils.iter().enumerate() {
        b.part(&format!("Y{}", k + 1), "coil", "");
        ids.push(b.winding("coil", node, minus, *make, suppressors.clone()));
    }
    Circuit { plan: Arc::new(b.finish().expect("plan")), switch, coils: ids, source }
}

fn at(plant: &mut Plant, seconds: f64) {
    plant.advance(SimTime::from_secs_f64_up(seconds), false).expect("advance");
}

/// The contact of a hand switch closes 2 ms after the press, and opens 1 ms after the release.
const CLOSES: f64 = 2e-3;
const OPENS: f64 = 1e-3;

/// RL rise, any circuits text: 24 V, 22 ohm, 0.35 H; tau 15.9091 ms, i(tau) 0.689586 A, final
/// 1.090909 A.
#[test]
fn current_rises_with_its_time_constant() {
    let c = circuit(24.0, 1e-4, &[(plain_winding(22.0, 0.35), vec![])]);
    let mut plant = Plant::nominal(c.plan.clone());
    plant.set_operator(c.switch, true);
    at(&mut plant, CLOSES + 15.9091e-3);
    let i = plant.read(Probe::WindingAmps(c.coils[0]));
    assert!((i / 0.689_586 - 1.0).abs() < 1.5e-4, "{i}");
    at(&mut plant, 1.0);
    let i = plant.read(Probe::WindingAmps(c.coils[0]));
    assert!((i / 1.090_909 - 1.0).abs() < 1e-4, "{i}");
    // The supply also feeds the iron loss, a thousandth of the winding's current.
    let supply = -1.090_909 * 1.001;
    assert!((plant.read(Probe::BranchAmps(c.source)) / supply - 1.0).abs() < 1e-4);
}

/// Two coils with a freewheel diode each on one contact: solved independently with a matrix
/// exponential and DOP853 (scipy), and with ngspice, which agree to 4.3e-5 A.
#[test]
fn two_coils_with_diodes_follow_the_independent_solution() {
    let diode = Diode {
        saturation_a: 2.52e-9,
        emission_v: 1.752 * 1.380_649e-23 * 300.15 / 1.602_176_634e-19,
        series_ohm: 0.568,
    };
    let fitted = vec![Suppressor::Diode(diode, false)];
    let c = circuit(
        24.0,
        2.0 - 1e-3,
        &[(plain_winding(22.0, 0.35), fitted.clone()), (plain_winding(480.0, 2.2), fitted)],
    );
    let mut plant = Plant::nominal(c.plan.clone());
    // So that the contact closes at 0.1 s and opens at 0.6 s.
    at(&mut plant, 0.1 - CLOSES);
    plant.set_operator(c.switch, true);
    let amps = |plant: &mut Plant, k: usize| plant.read(Probe::WindingAmps(c.coils[k]));
    at(&mut plant, 0.11);
    let (i1, i2) = (amps(&mut plant, 0), amps(&mut plant, 1));
    assert!((i1 / 0.494_977 - 1.0).abs() < 1e-3, "{i1}");
    assert!((i2 / 0.042_909_5 - 1.0).abs() < 1e-3, "{i2}");
    at(&mut plant, 0.6 - OPENS);
    plant.set_operator(c.switch, false);
    at(&mut plant, 0.6);
    let (i1, i2) = (amps(&mut plant, 0), amps(&mut plant, 1));
    assert!((i1 / 0.996_195 - 1.0).abs() < 1e-4, "{i1}");
    assert!((i2 / 0.045_658_9 - 1.0).abs() < 1e-4, "{i2}");
    for (ms, want1, of) in [(10.3159, 0.5, 0), (31.8915, 0.1, 0)] {
        at(&mut plant, 0.6 + ms * 1e-3);
        let i = amps(&mut plant, of);
        assert!((i / (0.996_195 * want1) - 1.0).abs() < 1e-3, "{ms} ms: {i}");
        if of == 0 && want1 == 0.5 {
            at(&mut plant, 0.6 + 14.4497e-3);
            let i2 = amps(&mut plant, 1);
            assert!(i2.abs() < 2e-5, "the short coil reverses here: {i2}");
        }
    }
}
