//! Sessions on one small bench: a held load, an accumulator, two solenoids.

mod hazards;
mod instruments;
mod journals;
mod sessions;

use std::sync::Arc;

use super::{Hazard, Outcome, Rig, Session, SessionConfig, parse};
use crate::base::SimTime;
use crate::electric::WindingMake;
use crate::fluid::{
    Accumulator, FlowLaw, Gate, Load, Medium, Opening, Piston, Pump, Relief, Volume,
};
use crate::plant::{
    BranchMake, BranchRole, Current, Delay, Drive, DriveMake, FuseMake, Plan, PlanBuilder, Plant,
    Tie, Trigger,
};
use crate::shift::SpoolMake;

fn coil(ohm: f64) -> WindingMake {
    WindingMake {
        ohm_at_20: ohm,
        open_henry: 0.2,
        seated_henry: 0.6,
        leakage: 0.8,
        stroke_m: 3e-3,
        sound_turns: 1.0,
        open: false,
        kelvin_per_watt: 3.0,
        joule_per_kelvin: 120.0,
        burnout_celsius: 400.0,
    }
}

/// Main switch Q0, 24 V supply G1, fuse F1, button S1 to relay K1 with timer function, lamp H1 on its
/// contact, buttons S2 and S3 to solenoids a and b of 1V1, pump P1 by selector S4, relief RV1, check
/// CV1, accumulator AC1, cylinder 1A1 holding 2 kN, limit switch 1S2, pressure switch BP1, throttle
/// TH1, emergency stop S0 (alone).
pub(super) fn bench() -> Arc<Plan> {
    let mut b = PlanBuilder::new("held load", 20.0);
    b.part("Q0", "Isolator", "main switch");
    let handle = b.operator("handle", Tie::Hand, Trigger::Hand, true);
    b.part("G1", "DcSupply", "");
    let (plus, minus) = (b.terminal("+"), b.terminal("-"));
    b.supply(Current::Dc, plus, minus, 24.0, 0.1, Some(handle));
    b.branch("bond", BranchRole::Resistor, minus, PlanBuilder::EARTH, BranchMake::ohm(1e-3));
    b.nameplate("voltage", "24 V DC");
    b.part("F1", "Fuse", "");
    let (f1, f2) = (b.terminal("1"), b.terminal("2"));
    let make = FuseMake::link(4.0, 20.0);
    b.fuse(f1, f2, make, 0.02);
    let mut wires = 0;
    let mut wire = |b: &mut PlanBuilder, from, to| {
        wires += 1;
        b.part(&format!("W{wires}"), "Wire", "");
        b.branch("core", BranchRole::Wire, from, to, BranchMake::ohm(0.02));
    };
    wire(&mut b, plus, f1);
    let button = |b: &mut PlanBuilder, tag: &str, class| {
        b.part(tag, class, "");
        let (one, two) = (b.terminal("13"), b.terminal("14"));
        let head = b.operator("head", Tie::Hand, Trigger::Hand, false);
        b.contact("13-14", head, false, one, two, 0.02);
        (one, two, head)
    };
    let (s1_13, s1_14, _) = button(&mut b, "S1", "PushButton");
    let (s2_13, s2_14, _) = button(&mut b, "S2", "PushButton");
    let (s3_13, s3_14, _) = button(&mut b, "S3", "PushButton");
    let (_, _, motor) = button(&mut b, "S4", "Selector");
    button(&mut b, "S0", "EmergencyStop");
    b.part("K1", "TimeRelay", "");
    let (a1, a2, k13, k14) =
        (b.terminal("A1"), b.terminal("A2"), b.terminal("13"), b.terminal("14"));
    let winding = b.winding("coil", a1, a2, coil(600.0), vec![]);
    let armature = b.relay(
        "armature",
        winding,
        Trigger::Armature {
            pick_a: 0.024,
            drop_a: 0.01,
            operate: SimTime::from_millis(10),
            release: SimTime::from_millis(10),
            delay: Delay::On(SimTime::from_millis(100)),
        },
    );
    b.contact("13-14", armature, false, k13, k14, 0.02);
    b.part("H1", "Lamp", "");
    let (x1, x2) = (b.terminal("X1"), b.terminal("X2"));
    b.lamp(x1, x2, 24.0, 240.0);
    b.part("1V1", "Valve", "lifts and lowers");
    let (y1, y2, y3, y4) = (b.terminal("a1"), b.terminal("a2"), b.terminal("b1"), b.terminal("b2"));
    let coil_a = b.winding("coil a", y1, y2, coil(19.0), vec![]);
    let coil_b = b.winding("coil b", y3, y4, coil(19.0), vec![]);
    let line = Volume { still_m3: 2e-4, medium: Medium::OIL };
    let tank = b.volume("tank", line, Some(0.0));
    let p = b.volume("pump line", line, None);
    let s = b.volume("store", line, None);
    let (a, back) = (b.volume("A line", line, None), b.volume("B line", line, None));
    for (marking, volume) in [("P", s), ("A", a), ("B", back), ("T", tank)] {
        b.port(marking, volume);
    }
    let spool = b.spool(SpoolMake::centred(), Some(coil_a), Some(coil_b), 0.0);
    let gate = Gate::rated(5e-4, 5e5);
    let to_a = Opening { at: [0.0, 0.0, 1.0], closed_crossover: 0.2, two_ended: false };
    let to_b = Opening { at: [1.0, 0.0, 0.0], closed_crossover: 0.2, two_ended: false };
    for (role, from, to, opening) in [
        ("P-A", s, a, to_a),
        ("B-T", back, tank, to_a),
        ("P-B", s, back, to_b),
        ("A-T", a, tank, to_b),
    ] {
        b.spool_flow(role, spool, from, to, FlowLaw::Spool(gate, opening), 0.0);
    }
    for (from, to) in [
        (f2, s1_13),
        (f2, s2_13),
        (f2, s3_13),
        (f2, k13),
        (s1_14, a1),
        (a2, minus),
        (k14, x1),
        (x2, minus),
        (s2_14, y1),
        (y2, minus),
        (s3_14, y3),
        (y4, minus),
    ] {
        wire(&mut b, from, to);
    }
    b.part("T1", "Tank", "");
    b.port("T", tank);
    b.part("P1", "Pump", "");
    b.port("S", tank);
    b.port("P", p);
    b.pump(
        FlowLaw::Pump(Pump { displacement_m3: 1e-5, leak: 1e-13 }),
        tank,
        p,
        DriveMake { per_second: 25.0, lag_s: 0.1 },
        vec![handle, motor],
    );
    b.part("RV1", "Relief", "");
    b.port("P", p);
    b.port("T", tank);
    b.nameplate("setting", "70 bar at 15 L/min");
    let relief = Relief::rated(65e5, 70e5, 2.5e-4);
    b.flow("relief", p, tank, FlowLaw::Relief(relief), Drive::None);
    b.part("CV1", "Check", "");
    b.port("A", p);
    b.port("B", s);
    b.flow("check", p, s, FlowLaw::Check(gate, 0.5e5), Drive::None);
    b.part("AC1", "Accumulator", "");
    b.port("P", s);
    let gas = Accumulator { gas_m3: 5e-4, precharge_pa: 30e5, exponent: 1.2 };
    b.accumulator(gas, None, s);
    b.part("TH1", "Throttle", "");
    b.port("A", p);
    b.port("B", tank);
    b.flow("gate", p, tank, FlowLaw::Gate(Gate::rated(1e-6, 50e5)), Drive::None);
    b.part("1A1", "Cylinder", "");
    b.port("A", a);
    b.port("B", back);
    let piston = Piston {
        cap_m2: 1.963e-3,
        rod_m2: 1.348e-3,
        stroke_m: 0.3,
        friction_n: 50.0,
        viscous: 2000.0,
        leak: 0.0,
        load: Load { constant_n: 2000.0, along: vec![] },
        jammed: false,
        propped: false,
        cushions: Default::default(),
    };
    let piston = b.piston(piston, a, back, 0.1);
    b.part("1S2", "LimitSwitch", "");
    let cam = Trigger::Cam { from_m: 0.28, to_m: 0.32, differential_m: 1e-3 };
    b.operator("cam", Tie::Piston(piston), cam, false);
    b.part("BP1", "PressureSwitch", "");
    b.port("P", s);
    let bellows = Trigger::Pressure { rise_pa: 50e5, fall_pa: 45e5 };
    b.operator("bellows", Tie::Volume(s), bellows, false);
    for (name, volume) in [("MP1", p), ("MP2", s), ("MPA", a), ("MPB", back)] {
        b.test_point(name, volume);
    }
    Arc::new(b.finish().unwrap())
}

pub(super) fn session() -> Session {
    let rig = Rig::sound(Plant::nominal(bench()));
    Session::new(rig, SessionConfig::default())
}

pub(super) fn does(session: &mut Session, line: &str) -> Outcome {
    let action = parse(line).unwrap_or_else(|e| panic!("{line}: {e:?}"));
    session.act(action).unwrap_or_else(|e| panic!("{line}: {e}"))
}

/// What an action told, in English.
pub(super) fn told(outcome: &Outcome) -> Vec<String> {
    outcome.lines.iter().map(ToString::to_string).collect()
}

/// Types all lines; gives the hazards met, in order.
pub(super) fn hazards_of(session: &mut Session, lines: &[&str]) -> Vec<Hazard> {
    lines.iter().flat_map(|line| does(session, line).hazards).map(|h| h.hazard).collect()
}
