//! Coil currents, pulls and fuses against closed forms and independent solutions.

use std::sync::Arc;

use spoolbench::base::{BranchId, OperatorId, SimTime, WindingId};
use spoolbench::electric::{Diode, Suppressor, WindingMake};
use spoolbench::plant::{
    BranchMake, BranchRole, Current, Delay, FuseMake, Plan, PlanBuilder, Plant, Probe, Tie,
    Trigger, What,
};
use spoolbench::shift::{Rest, SpoolMake};

use super::data;

pub fn plain_winding(ohm: f64, henry: f64) -> WindingMake {
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
    circuit_at(20.0, volts, ohm, coils)
}

fn circuit_at(
    celsius: f64,
    volts: f64,
    ohm: f64,
    coils: &[(WindingMake, Vec<Suppressor>)],
) -> Circuit {
    let mut b = PlanBuilder::new("test", celsius);
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

pub fn at(plant: &mut Plant, seconds: f64) {
    plant.advance(SimTime::from_secs_f64_up(seconds), false).expect("advance");
}

/// The contact of a hand switch closes 2 ms after the press, and opens 1 ms after the release.
const CLOSES: f64 = 2e-3;
const OPENS: f64 = 1e-3;

/// Supply and contact have 1.1 mohm together; with this winding that makes 22 ohm.
const LEAN_OHM: f64 = 22.0 - 1.1e-3;

/// RL rise, any circuits text: 24 V, 22 ohm, 0.35 H; tau 15.9091 ms, i(tau) 0.689586 A, final
/// 1.090909 A.
#[test]
fn current_rises_with_its_time_constant() {
    let c = circuit(24.0, 1e-4, &[(plain_winding(LEAN_OHM, 0.35), vec![])]);
    let mut plant = Plant::nominal(c.plan.clone());
    plant.set_operator(c.switch, true);
    at(&mut plant, CLOSES + 9.753_94e-3);
    let i = plant.read(Probe::WindingAmps(c.coils[0]));
    assert!((i / 0.5 - 1.0).abs() < 1e-4, "{i}");
    at(&mut plant, CLOSES + 15.909_1e-3);
    let i = plant.read(Probe::WindingAmps(c.coils[0]));
    assert!((i / 0.689_586 - 1.0).abs() < 1e-4, "{i}");
    at(&mut plant, 1.0);
    let i = plant.read(Probe::WindingAmps(c.coils[0]));
    assert!((i / 1.090_909 - 1.0).abs() < 1e-4, "{i}");
    // The supply also feeds the iron loss, a thousandth of the winding's current.
    let supply = -1.090_909 * 1.001;
    assert!((plant.read(Probe::BranchAmps(c.source)) / supply - 1.0).abs() < 1e-4);
}

/// The freewheel diode of the independent solutions: that of their models, at 27 degC.
fn freewheel() -> Diode {
    Diode {
        saturation_a: 2.52e-9,
        emission_v: 1.752 * 1.380_649e-23 * 300.15 / 1.602_176_634e-19,
        series_ohm: 0.568,
    }
}

/// Two coils with a freewheel diode each on one contact: solved independently with a matrix
/// exponential and DOP853 (scipy), and with ngspice, which agree to 4.3e-5 A.
#[test]
fn two_coils_with_diodes_follow_the_independent_solution() {
    let fitted = vec![Suppressor::Diode(freewheel(), false)];
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

/// The same over the whole run, on a grid of an independent solution (tests/data/coils_scipy.py).
#[test]
fn two_coils_with_diodes_follow_the_whole_grid() {
    let fitted = vec![Suppressor::Diode(freewheel(), false)];
    let c = circuit(
        24.0,
        2.0 - 1e-3,
        &[(plain_winding(22.0, 0.35), fitted.clone()), (plain_winding(480.0, 2.2), fitted)],
    );
    let mut plant = Plant::nominal(c.plan.clone());
    let (mut closed, mut opened, mut least) = (false, false, 0.0_f64);
    for row in data::rows("coils_scipy.csv", 3) {
        let (t, want) = (row[0], [row[1], row[2]]);
        if t >= 0.1 && !closed {
            at(&mut plant, 0.1 - CLOSES);
            plant.set_operator(c.switch, true);
            closed = true;
        }
        if t >= 0.6 && !opened {
            at(&mut plant, 0.6 - OPENS);
            plant.set_operator(c.switch, false);
            opened = true;
        }
        // The last row before the opening lies within the time of the released switch.
        if t > 0.6 - OPENS && t < 0.6 {
            continue;
        }
        at(&mut plant, t);
        for k in 0..2 {
            let i = plant.read(Probe::WindingAmps(c.coils[k]));
            // A thousandth of the value, or of a hundredth of what the coil carries when on.
            let floor = [1e-5, 5e-7][k] * 2.0;
            assert!(
                (i - want[k]).abs() < 1e-3 * want[k].abs() + floor,
                "i{} at {t} s: {i}, expected {}",
                k + 1,
                want[k]
            );
            least = least.min(i);
        }
    }
    assert!(least < -1.5e-3, "the short coil's current reverses: {least}");
}

/// Closes `c`, waits for the final current, and opens; at the moment of opening gives the current.
fn opened(c: &Circuit) -> (Plant, f64, f64) {
    let mut plant = Plant::nominal(c.plan.clone());
    plant.set_operator(c.switch, true);
    at(&mut plant, 1.0);
    plant.set_operator(c.switch, false);
    at(&mut plant, 1.0 + OPENS);
    let i = plant.read(Probe::WindingAmps(c.coils[0]));
    (plant, 1.0 + OPENS, i)
}

/// Decay through a freewheel diode. With a constant drop Vd, i = (I0 + Vd/R) e^(-t/tau) - Vd/R
/// (any circuits text); the drop of this one falls from 0.95 to 0.83 V on the way to 0.2 A, so the
/// time lies between those of the two. Its own law is integrated by the classical Runge-Kutta
/// method in steps of 1 us.
#[test]
fn current_dies_through_the_diode() {
    let diode = Diode::RECTIFIER;
    let c = circuit(
        24.0,
        1e-4,
        &[(plain_winding(LEAN_OHM, 0.35), vec![Suppressor::Diode(diode, false)])],
    );
    let (mut plant, start, first) = opened(&c);
    assert!((first / 1.090_909 - 1.0).abs() < 1e-4, "{first}");
    let drop = |i: f64| diode.emission_v * (i / diode.saturation_a).ln_1p() + i * diode.series_ohm;
    let rate = |i: f64| (-LEAN_OHM * i - drop(i)) / 0.35;
    let (mut i, mut t, step) = (first, 0.0, 1e-6);
    let mut crossed = None;
    for k in 1..=50_000 {
        let k1 = rate(i);
        let k2 = rate(i + 0.5 * step * k1);
        let k3 = rate(i + 0.5 * step * k2);
        let k4 = rate(i + step * k3);
        i += step / 6.0 * (k1 + 2.0 * (k2 + k3) + k4);
        t += step;
        if crossed.is_none() && i < 0.2 {
            crossed = Some(t);
        }
        if k % 5_000 == 0 {
            at(&mut plant, start + t);
            let got = plant.read(Probe::WindingAmps(c.coils[0]));
            assert!((got - i).abs() < 1e-4 * i + 2e-6, "{got} after {t} s, expected {i}");
        }
    }
    let tau = 0.35 / LEAN_OHM;
    let by = |vd: f64| tau * ((first + vd / LEAN_OHM) / (0.2 + vd / LEAN_OHM)).ln();
    let crossed = crossed.expect("it dies");
    assert!(by(drop(first)) < crossed && crossed < by(drop(0.2)));
    // With 0.8 V for a drop: 24.8529 ms.
    assert!((by(0.8) / 24.852_9e-3 - 1.0).abs() < 1e-3, "{}", by(0.8));
}

/// Opening against 200 V: zero at tau ln(1 + I0 R / Vc) = 1.80296 ms, and all of L I0^2 / 2 =
/// 0.208264 J goes into clamp and copper (any circuits text).
#[test]
fn a_clamp_takes_the_stored_energy() {
    let slope = 1e-3;
    let clamp = vec![Suppressor::Clamp(200.0, slope)];
    let c = circuit(24.0, 1e-4, &[(plain_winding(LEAN_OHM, 0.35), clamp)]);
    let (mut plant, start, first) = opened(&c);
    let place = &c.plan.windings[c.coils[0].index()];
    let volts = Probe::Volts(place.a, place.b);
    let (mut t, step) = (0.0, 1e-6);
    let mut power = 200.0 * first + LEAN_OHM * first * first;
    let mut joule = 0.0;
    let mut left = first;
    while t < 2.2e-3 {
        t += step;
        at(&mut plant, start + t);
        let (i, v) = (plant.read(Probe::WindingAmps(c.coils[0])), plant.read(volts));
        let now = -v * i + LEAN_OHM * i * i;
        joule += 0.5 * (power + now) * step;
        power = now;
        if (t - 1.7e-3).abs() < 1e-9 {
            left = i;
        }
        if t < 1.75e-3 {
            let tau = 0.35 / LEAN_OHM;
            let want = (first + 200.0 / LEAN_OHM) * (-t / tau).exp() - 200.0 / LEAN_OHM;
            assert!((i - want).abs() < 1e-4 * first, "{i} after {t} s, expected {want}");
        }
    }
    let zero = 1.7e-3 + 0.35 / 22.0 * (left * 22.0 / 200.0).ln_1p();
    assert!((zero / 1.802_96e-3 - 1.0).abs() < 1e-4, "{zero}");
    let rest = plant.read(Probe::WindingAmps(c.coils[0]));
    assert!(rest.abs() < 1e-4, "{rest}");
    assert!((joule / 0.208_264 - 1.0).abs() < 1e-3, "{joule} J");
}

/// Copper at 80 degC: 22 ohm at 20 degC become 27.1876 ohm (IEC 60028, from memory).
#[test]
fn a_hot_winding_draws_less() {
    let c = circuit_at(80.0, 24.0, 1e-4, &[(plain_winding(22.0, 0.35), vec![])]);
    let mut plant = Plant::nominal(c.plan.clone());
    plant.set_operator(c.switch, true);
    at(&mut plant, 1.0);
    let ohm = 24.0 / plant.read(Probe::WindingAmps(c.coils[0])) - 1.1e-3;
    assert!((ohm / 27.187_6 - 1.0).abs() < 1e-5, "{ohm}");
}

/// 120 V 60 Hz, 45.8843 ohm at 25 degC, 0.26843 H open and 1.76420 H sealed: 1.08 A, then 0.18 A;
/// sealed on 50 Hz 0.21578 A (derived from Z = sqrt(R^2 + (w L)^2)).
#[test]
fn an_alternating_current_coil_seals() {
    for (hertz, open_a, sealed_a) in [(60.0, 1.08, 0.18), (50.0, 1.249_94, 0.215_78)] {
        let mut b = PlanBuilder::new("test", 25.0);
        b.part("G1", "supply", "");
        let (l, n) = (b.terminal("L"), b.terminal("N"));
        let omega = 2.0 * std::f64::consts::PI * hertz;
        b.supply(Current::Ac { omega }, l, n, 120.0, 1e-4, None);
        b.branch("bond", BranchRole::Resistor, n, PlanBuilder::EARTH, BranchMake::ohm(1e-3));
        b.part("K1", "relay", "");
        let make = WindingMake {
            open_henry: 0.268_43,
            seated_henry: 1.764_20,
            ..plain_winding(45.0, 1.0)
        };
        let winding = b.winding("coil", l, n, make, vec![]);
        let ms = SimTime::from_millis;
        b.relay(
            "armature",
            winding,
            Trigger::Armature {
                pick_a: 0.7,
                drop_a: 0.08,
                operate: ms(10),
                release: ms(6),
                delay: Delay::None,
            },
        );
        let mut plant = Plant::nominal(Arc::new(b.finish().expect("plan")));
        for (t, want) in [(5e-3, open_a), (0.1, sealed_a)] {
            at(&mut plant, t);
            let i = plant.read(Probe::WindingAmps(winding));
            assert!((i / want - 1.0).abs() < 1e-4, "{hertz} Hz after {t} s: {i}, expected {want}");
        }
    }
}

/// (N I)^2 mu0 A / (2 g^2) with N I = 1000 A and 1e-4 m2: 15.708 N over 2 mm, 62.832 N over 1 mm
/// (e.g. Fitzgerald, Electric Machinery, ch. 3; from memory). A spring a little weaker than that
/// gives way, and one a little stronger holds.
#[test]
fn a_bare_gap_pulls() {
    for (gap_m, newton) in [(2e-3, 15.708), (1e-3, 62.832)] {
        for (share, moves) in [(0.999, true), (1.001, false)] {
            let mut b = PlanBuilder::new("test", 20.0);
            b.part("G1", "supply", "");
            let (plus, minus) = (b.terminal("+"), b.terminal("-"));
            b.supply(Current::Dc, plus, minus, 24.0, 1e-4, None);
            b.branch(
                "bond",
                BranchRole::Resistor,
                minus,
                PlanBuilder::EARTH,
                BranchMake::ohm(1e-3),
            );
            b.part("V1", "valve", "");
            let mu0 = 4e-7 * std::f64::consts::PI;
            let make = WindingMake {
                ohm_at_20: 12.0 - 1e-4,
                open_henry: 500.0 * 500.0 * mu0 * 1e-4 / gap_m,
                seated_henry: 1e12,
                stroke_m: gap_m,
                ..plain_winding(12.0, 1.0)
            };
            let winding = b.winding("coil a", plus, minus, make, vec![]);
            let spool = b.spool(
                SpoolMake {
                    rest: Rest::Offset,
                    stroke_m: gap_m,
                    preload_n: share * newton,
                    rate_n: 0.0,
                    friction_n: 0.0,
                    ..SpoolMake::centred()
                },
                Some(winding),
                None,
                0.0,
            );
            let mut plant = Plant::nominal(Arc::new(b.finish().expect("plan")));
            at(&mut plant, 2.0);
            let i = plant.read(Probe::WindingAmps(winding));
            // On iron without reluctance the current of a seated coil takes for ever to rise.
            assert!(moves || (i / 2.0 - 1.0).abs() < 1e-4, "{i} A through 500 turns");
            let moved = plant.read(Probe::Spool(spool)) > 0.9;
            assert_eq!(moved, moves, "{gap_m} m against {share} of {newton} N");
        }
    }
}

/// A fuse of 0.4 A2s: 4.0 ms at 10 A and 1.0 ms at 20 A while it sheds no heat (the idea of IEC
/// 60127 and 60269, from memory). A link that sheds its heat with the time constant tau takes
/// -tau ln(1 - 0.4 A2s / (I^2 tau)) (derived), and just carries what balances it.
#[test]
fn fuses_melt_in_their_time() {
    let melts = |rated_a: f64, amps: f64| {
        let mut b = PlanBuilder::new("test", 20.0);
        b.part("G1", "supply", "");
        let (plus, minus) = (b.terminal("+"), b.terminal("-"));
        b.supply(Current::Dc, plus, minus, 24.0, 1e-4, None);
        b.branch("bond", BranchRole::Resistor, minus, PlanBuilder::EARTH, BranchMake::ohm(1e-3));
        b.part("S1", "switch", "");
        let node = b.terminal("14");
        let switch = b.operator("head", Tie::Hand, Trigger::Hand, false);
        b.contact("13-14", switch, false, plus, node, 1e-3);
        b.part("F1", "fuse", "");
        let out = b.terminal("2");
        let make = FuseMake::link(rated_a, 0.4);
        let fuse = b.fuse(node, out, make, 1e-3);
        b.part("R1", "load", "");
        let ohm = 24.0 / amps - 2.1e-3;
        b.branch("load", BranchRole::Resistor, out, minus, BranchMake::ohm(ohm));
        let mut plant = Plant::nominal(Arc::new(b.finish().expect("plan")));
        plant.set_operator(switch, true);
        at(&mut plant, 10.0);
        let blew = plant.take_happenings().into_iter().find(|h| h.what == What::Blew(fuse));
        assert_eq!(blew.is_some(), plant.blown(fuse));
        (make.cooling_s(), blew.map(|h| h.at.as_secs_f64() - CLOSES))
    };
    for (amps, adiabatic) in [(10.0, 4e-3), (20.0, 1e-3)] {
        let (_, time) = melts(0.2, amps);
        let time = time.expect("it blows");
        assert!((time / adiabatic - 1.0).abs() < 1e-3, "{amps} A: {time}");
        let (tau, time) = melts(2.0, amps);
        let time = time.expect("it blows");
        let want = -tau * (1.0 - 0.4 / (amps * amps * tau)).ln();
        assert!((time / want - 1.0).abs() < 1e-3, "{amps} A: {time}, expected {want}");
        assert!(time > adiabatic);
    }
    assert_eq!(melts(2.0, 2.9).1, None, "it carries what it sheds");
    assert!(melts(2.0, 3.1).1.is_some());
}

/// A relay coil with its freewheel diode, and one that shares it, by ngspice
/// (tests/data/control_ngspice.py): within a thousandth of the value, or of what it carries when on.
#[test]
fn a_coil_with_a_diode_follows_ngspice() {
    let fitted = vec![Suppressor::Diode(freewheel(), false)];
    let coils = [(plain_winding(22.0, 0.35), fitted), (plain_winding(480.0, 2.2), Vec::new())];
    let c = circuit(24.0, 2.0 - 1e-3, &coils);
    let mut plant = Plant::nominal(c.plan.clone());
    at(&mut plant, 0.1 - CLOSES);
    plant.set_operator(c.switch, true);
    let mut opened = false;
    for (circuit, what, want) in data::named("control_ngspice.csv") {
        let Some((coil, time)) = what.split_once(" at ").filter(|_| circuit == "direct") else {
            continue;
        };
        let t: f64 = time.trim_end_matches(" s").parse().expect("a time");
        if t > 0.6 && !opened {
            at(&mut plant, 0.6 - OPENS);
            plant.set_operator(c.switch, false);
            opened = true;
        }
        at(&mut plant, t);
        let (k, on) = if coil == "i1" { (0, 0.996_195) } else { (1, 0.045_659) };
        let i = plant.read(Probe::WindingAmps(c.coils[k]));
        assert!((i - want).abs() < 1e-3 * want.abs().max(0.1 * on), "{what}: {i}, {want}");
    }
    assert!(opened);
}

/// The inrush of a coil with its gap open beside a seated one, and a coil some of whose turns are
/// shorted, by ngspice (tests/data/control_ngspice.py), within 0.1 %.
#[test]
fn coils_on_alternating_current_follow_ngspice() {
    let amps = |makes: &[WindingMake]| -> Vec<f64> {
        let mut b = PlanBuilder::new("test", 20.0);
        b.part("G1", "supply", "");
        let (live, back) = (b.terminal("L"), b.terminal("N"));
        let omega = 2.0 * std::f64::consts::PI * 60.0;
        b.supply(Current::Ac { omega }, live, back, 120.0, 1.5, None);
        b.branch("bond", BranchRole::Resistor, back, PlanBuilder::EARTH, BranchMake::ohm(1e-3));
        let mut ids = Vec::new();
        for (k, make) in makes.iter().enumerate() {
            b.part(&format!("Y{}", k + 1), "coil", "");
            ids.push(b.winding("coil", live, back, *make, Vec::new()));
        }
        let mut plant = Plant::nominal(Arc::new(b.finish().expect("plan")));
        at(&mut plant, 0.1);
        ids.into_iter().map(|id| plant.read(Probe::WindingAmps(id))).collect()
    };
    let stored = data::named("control_ngspice.csv");
    let want = |circuit: &str, what: &str| {
        stored.iter().find(|(c, w, _)| c == circuit && w == what).expect("stored").2
    };
    let near = |got: f64, want: f64| assert!((got / want - 1.0).abs() < 1e-3, "{got}, {want}");
    let open = WindingMake { seated_henry: 1.7642, ..plain_winding(45.8843, 0.26843) };
    let seated = plain_winding(45.8843, 1.7642);
    let got = amps(&[open, seated]);
    near(got[0], want("open", "i1"));
    near(got[1], want("open", "i2"));
    near(amps(&[WindingMake { sound_turns: 0.8, ..seated }])[0], want("shorted", "i1"));
}
