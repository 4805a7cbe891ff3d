//! Small plans that the tests of this module share.

use std::sync::Arc;

use crate::base::{OperatorId, SimTime, VolumeId};
use crate::electric::{Diode, Suppressor, WindingMake};
use crate::fluid::{
    Accumulator, Cushion, Ejector, FlowLaw, Gate, Load, Medium, Motor, Opening, Piston, Poppet,
    Pump, Regulator, Relief, Seal, Slow, SonicPath, Volume,
};
use crate::plant::{
    BranchMake, BranchRole, Current, Delay, Drive, DriveMake, Element, Feedback, FuseMake, Plan,
    PlanBuilder, Plant, Tie, Trigger,
};
use crate::shift::{AmplifierMake, CALLS, Rest, SpoolMake};

pub(super) fn coil(ohm: f64) -> WindingMake {
    WindingMake {
        ohm_at_20: ohm,
        open_henry: 0.2,
        seated_henry: 0.5,
        leakage: 0.5,
        stroke_m: 3e-3,
        sound_turns: 1.0,
        open: false,
        kelvin_per_watt: 4.0,
        joule_per_kelvin: 150.0,
        burnout_celsius: 250.0,
    }
}

fn relay(b: &mut PlanBuilder, tag: &str, plus: crate::base::NodeId, delay: Delay) {
    b.part(tag, "Relay", "");
    let (a1, a2) = (b.terminal("A1"), b.terminal("A2"));
    let winding =
        b.winding("coil", a1, a2, coil(480.0), vec![Suppressor::Diode(Diode::RECTIFIER, false)]);
    b.branch(
        "insulation coil",
        BranchRole::Insulation,
        a1,
        PlanBuilder::EARTH,
        BranchMake::ohm(f64::INFINITY),
    );
    let operator = b.relay(
        "armature",
        winding,
        Trigger::Armature {
            pick_a: 0.030,
            drop_a: 0.008,
            operate: SimTime::from_millis(10),
            release: SimTime::from_millis(8),
            delay,
        },
    );
    let (n14, n22) = (b.terminal("14"), b.terminal("22"));
    b.contact("13-14", operator, false, plus, n14, 0.01);
    b.contact("21-22", operator, true, plus, n22, 0.01);
    b.part(&format!("H{tag}"), "Lamp", "");
    let x2 = b.terminal("X2");
    b.lamp(n14, x2, 24.0, 200.0);
    b.branch("core", BranchRole::Wire, x2, PlanBuilder::EARTH, BranchMake::ohm(0.01));
}

/// A 24 V bench: supply G1, fuse F1, button S1, wire W1 to relay K1, timed relay K2 on S2, lamps.
/// And an oil side: pump 0P1, relief 0V1, valve 1V1 (solenoids a on S3, b on S4), cylinder 1A1,
/// limit switch S5, pressure switch S6, throttles, check and accumulator.
pub(super) fn bench() -> Arc<Plan> {
    let mut b = PlanBuilder::new("test", 20.0);
    b.part("G1", "DcSupply", "");
    let (plus, minus) = (b.terminal("+"), b.terminal("-"));
    b.supply(Current::Dc, plus, minus, 24.0, 0.1, None);
    b.part("W9", "Wire", "");
    b.branch("core", BranchRole::Wire, minus, PlanBuilder::EARTH, BranchMake::ohm(0.001));
    b.part("F1", "Fuse", "");
    let fused = b.terminal("2");
    let make = FuseMake::link(4.0, 8.0);
    b.fuse(plus, fused, make, 0.02);
    relay(&mut b, "K1", fused, Delay::None);
    relay(&mut b, "K2", fused, Delay::On(SimTime::from_millis(200)));
    for (k, tag) in ["K1:A1", "K2:A1"].into_iter().enumerate() {
        let a1 = b.plan().node(tag).expect("terminal");
        let a2 = b.plan().node(&tag.replace("A1", "A2")).expect("terminal");
        let switch = format!("S{}", k + 1);
        b.part(&switch, "PushButton", "");
        let n = b.terminal("14");
        let head = b.operator("head", Tie::Hand, Trigger::Hand, false);
        b.contact("13-14", head, false, fused, n, 0.01);
        b.part(&format!("W{}", k + 1), "Wire", "");
        b.branch("core", BranchRole::Wire, n, a1, BranchMake::ohm(0.02));
        b.branch("back", BranchRole::Resistor, a2, PlanBuilder::EARTH, BranchMake::ohm(0.02));
    }
    // A supply of its own for the valve, so that its current does not blow F1.
    let mut ends = Vec::new();
    for tag in ["S3", "S4"] {
        b.part(tag, "PushButton", "");
        let n = b.terminal("14");
        let head = b.operator("head", Tie::Hand, Trigger::Hand, false);
        b.contact("13-14", head, false, plus, n, 0.01);
        ends.push(n);
    }

    let oil = |m3: f64| Volume { still_m3: m3, medium: Medium::OIL };
    let tank = b.volume("tank", oil(1.0), Some(0.0));
    let p = b.volume("P", oil(5e-4), None);
    let (a, rod, h) = (
        b.volume("A", oil(2e-4), None),
        b.volume("B", oil(2e-4), None),
        b.volume("header", oil(2e-4), None),
    );
    let area = 2e-3;
    b.part("0P1", "Pump", "");
    b.port("P", p);
    b.share("oil", Element::Volume(p));
    let law = FlowLaw::Pump(Pump { displacement_m3: 8e-6, leak: 2e-13 });
    let drive = DriveMake { per_second: 24.0, lag_s: 0.05 };
    b.pump(law, tank, p, drive, vec![]);
    b.part("0V1", "Relief", "");
    b.flow("relief", p, tank, FlowLaw::Relief(Relief::rated(60e5, 65e5, 2e-4)), Drive::None);
    b.part("1V1", "Valve", "");
    b.port("P", p);
    b.port("A", a);
    let mut coils = Vec::new();
    for (role, n) in [("coil a", ends[0]), ("coil b", ends[1])] {
        coils.push(b.winding(role, n, minus, coil(22.0), vec![]));
    }
    let spool = b.spool(SpoolMake::centred(), Some(coils[0]), Some(coils[1]), 0.0);
    let gate = Gate::rated(3e-4, 5e5);
    for (role, at, first, second) in [
        ("P-A", [0.0, 0.0, 1.0], p, a),
        ("B-T", [0.0, 0.0, 1.0], rod, tank),
        ("P-B", [1.0, 0.0, 0.0], p, rod),
        ("A-T", [1.0, 0.0, 0.0], a, tank),
    ] {
        let opening = Opening { at, closed_crossover: 0.1, two_ended: false };
        b.spool_flow(role, spool, first, second, FlowLaw::Spool(gate, opening), 0.0);
    }
    b.part("1A1", "Cylinder", "");
    b.port("A", a);
    b.port("B", rod);
    let piston = b.piston(
        Piston {
            cap_m2: area,
            rod_m2: 0.7 * area,
            stroke_m: 0.2,
            friction_n: 100.0,
            viscous: 2_000.0,
            leak: 0.0,
            load: Load { constant_n: 2_000.0, along: Vec::new() },
            jammed: false,
            propped: false,
            cushions: Default::default(),
        },
        a,
        rod,
        0.0,
    );
    b.part("S5", "LimitSwitch", "");
    let n = b.terminal("14");
    let cam = Trigger::Cam { from_m: 0.100, to_m: 0.120, differential_m: 0.001 };
    let cam = b.operator("cam", Tie::Piston(piston), cam, false);
    b.contact("13-14", cam, false, plus, n, 0.01);
    b.part("S6", "PressureSwitch", "");
    let n = b.terminal("14");
    let trigger = Trigger::Pressure { rise_pa: 40e5, fall_pa: 30e5 };
    let bellows = b.operator("bellows", Tie::Volume(p), trigger, false);
    b.contact("13-14", bellows, false, plus, n, 0.01);
    // Branches off the pressure line that the throttle tests look at.
    b.part("0V2", "Check", "");
    b.flow("check", p, h, FlowLaw::Check(Gate::rated(3e-4, 5e5), 0.5e5), Drive::None);
    b.part("0Z1", "Accumulator", "");
    let gas = Accumulator { gas_m3: 2e-4, precharge_pa: 30e5, exponent: 1.2 };
    b.accumulator(gas, None, h);
    b.part("0Z2", "Accumulator", "");
    let store = b.volume("store", Volume { still_m3: 1e-6, medium: Medium::OIL }, None);
    let gas = Accumulator { gas_m3: 5e-6, precharge_pa: 30e5, exponent: 1.2 };
    let seal = Seal { friction_pa: 1e5, viscous: 1e10, stuck: false };
    b.accumulator(gas, Some(seal), store);
    b.flow("filling", p, store, FlowLaw::Gate(Gate::rated(1e-6, 50e5)), Drive::None);
    b.test_point("MP1", h);
    b.part("0V3", "Throttle", "");
    b.flow("gate", p, tank, FlowLaw::Gate(Gate::rated(5e-6, 50e5)), Drive::None);
    b.part("0V4", "ThrottleCheck", "");
    b.flow(
        "gate",
        p,
        tank,
        FlowLaw::ThrottleCheck(Gate::rated(5e-6, 50e5), Gate::rated(3e-4, 5e5)),
        Drive::None,
    );
    b.part("0V5", "Leak", "");
    b.flow("leak", p, tank, FlowLaw::Leak(1e-14), Drive::None);
    // A controller that copies its input to its output.
    b.part("A1", "Plc", "");
    let (lp, m, i0, q0) = (b.terminal("L+"), b.terminal("M"), b.terminal("I0"), b.terminal("Q0"));
    for (from, to) in [(plus, lp), (plus, i0), (m, crate::plant::PlanBuilder::EARTH)] {
        b.branch("link", BranchRole::Wire, from, to, BranchMake::ohm(0.01));
    }
    let times =
        Trigger::Program { operate: SimTime::from_millis(1), release: SimTime::from_millis(1) };
    let output = b.operator("Q0", Tie::Hand, times, false);
    b.contact("1L-Q0", output, false, plus, q0, 0.1);
    let program = crate::plc::compile(
        "copy",
        "PROGRAM copy %QX0.0 := %IX0.0; END_PROGRAM",
        &crate::plc::Terminals::new(1, 1),
        &mut crate::diagnostic::Diagnostics::new(),
    );
    b.plc(
        crate::plant::PlcPlan {
            name: String::new(),
            supply: (lp, m),
            common: m,
            inputs: vec![i0],
            outputs: vec![output],
            program: Arc::new(program.expect("a program")),
        },
        crate::plant::PlcMake {
            scan: SimTime::from_millis(10),
            on_v: 13.0,
            off_v: 7.0,
            sourcing: false,
            least_v: 15.0,
            halted: false,
        },
    );
    // A detented valve that opens nothing.
    b.part("2V1", "Valve", "");
    let make = SpoolMake { rest: Rest::Detented, detent_n: 20.0, ..SpoolMake::centred() };
    b.spool(make, None, None, -1.0);
    pressure_side(&mut b, tank);
    air_side(&mut b);
    panel(&mut b);
    Arc::new(b.finish().expect("plan"))
}

/// A panel of its own: mains 6G1, breaker 6F1, transformer 6T1, rectifier 6T2 with the load 6H1, the
/// latching relay 6K1, the counter 6P1, the overload relay 6Q1 of the pump 0P1.
fn panel(b: &mut PlanBuilder) {
    use crate::plant::{OverloadMake, RectifierMake, TransformerMake};
    b.part("6G1", "AcSupply", "");
    let (l, n) = (b.terminal("L"), b.terminal("N"));
    b.supply(Current::Ac { omega: 314.0 }, l, n, 230.0, 1.0, None);
    b.branch("bond", BranchRole::Resistor, n, PlanBuilder::EARTH, BranchMake::ohm(0.01));
    b.part("6F1", "CircuitBreaker", "");
    let (two, inside) = (b.terminal("2"), b.inner_node("bimetal"));
    let handle = b.operator("handle", Tie::Hand, Trigger::Hand, true);
    b.contact("1-2", handle, false, l, inside, 0.01);
    let make = FuseMake { rated_a: 2.0, melting_a2s: 400.0, holds: 1.3, magnetic_a: 14.0 };
    b.release(inside, two, make, 0.05, handle, false);
    b.part("6T1", "Transformer", "");
    let (s1, s2) = (b.terminal("S1"), b.terminal("S2"));
    let make = TransformerMake {
        ratio: 0.1,
        primary_ohm: 10.0,
        secondary_ohm: 0.1,
        leakage_henry: 0.01,
        magnetising_henry: 20.0,
        iron_ohm: 2e4,
    };
    b.transformer(make, (two, n), (s1, s2));
    b.part("6T2", "Rectifier", "");
    let (plus, minus) = (b.terminal("+"), b.terminal("-"));
    let make = RectifierMake {
        diode: Diode::RECTIFIER,
        rated_a: 1.0,
        gain: 0.9,
        waves: 1.0,
        short_ohm: f64::INFINITY,
    };
    b.rectifier(make, (s1, s2), plus, minus, 20.0);
    b.branch("bond", BranchRole::Wire, minus, PlanBuilder::EARTH, BranchMake::ohm(0.01));
    b.part("6H1", "Lamp", "");
    b.lamp(plus, minus, 20.0, 40.0);
    b.part("6K1", "LatchingRelay", "");
    let trigger = Trigger::Latch { set_a: 0.03, reset_a: 0.03, operate: SimTime::from_millis(10) };
    let ends = ["A1", "B1", "14"].map(|t| b.terminal(t));
    let coils = [0, 1].map(|k| b.winding(["set", "reset"][k], ends[k], minus, coil(480.0), vec![]));
    let latch = b.latch("armature", coils[0], coils[1], trigger);
    b.contact("13-14", latch, false, plus, ends[2], 0.01);
    b.part("6P1", "Counter", "");
    let count = Trigger::Count { preset: 4 };
    let works = b.operator("works", Tie::Count(latch, handle), count, false);
    b.contact("13-14", works, false, plus, ends[2], 0.01);
    b.part("6Q1", "MotorStarter", "");
    let trips = b.operator("overload trip", Tie::Hand, Trigger::Hand, false);
    let out = b.terminal("96");
    b.contact("95-96", trips, true, plus, out, 0.01);
    let make =
        OverloadMake { set_a: 10.0, rated_a: 10.0, rated_pa: 65e5, lag_s: 270.0, phases: 1.0 };
    b.overload(make, crate::base::PumpId::new(0), trips);
}

/// Oil beside the machine: pressure valve 4V1 before a motor 4H1, a hose
/// 4W1 and a cushioned cylinder 4A1, fed by a pump of their own.
fn pressure_side(b: &mut PlanBuilder, tank: VolumeId) {
    let oil = |m3: f64| Volume { still_m3: m3, medium: Medium::OIL };
    let [feed, spill] =
        [("feed", None), ("spill", Some(0.0))].map(|(n, at)| b.volume(n, oil(2e-4), at));
    b.part("4P1", "Pump", "");
    let law = FlowLaw::Pump(Pump { displacement_m3: 8e-6, leak: 0.0 });
    b.pump(law, tank, feed, DriveMake { per_second: 25.0, lag_s: 0.05 }, vec![]);
    b.part("4V1", "Sequence", "");
    let make = SpoolMake {
        rest: Rest::Offset,
        preload_n: 500.0,
        rate_n: 50.0,
        friction_n: 0.0,
        viscous: 50.0,
        homeward: 1.0,
        hand_n: 0.0,
        ..SpoolMake::centred()
    };
    let member = b.spring_spool("spool", make);
    b.press(member, feed, 1e-4);
    let opening = Opening { at: [0.0, 0.0, 1.0], closed_crossover: -1.0, two_ended: false };
    let law = FlowLaw::Spool(Gate::rated(4e-4, 10e5), opening);
    b.spool_flow("P-A", member, feed, tank, law, 0.0);
    b.part("4H1", "HydraulicMotor", "");
    let motor = Motor {
        displacement_m3: 1e-6,
        load_nm: 0.1,
        friction_nm: 0.05,
        viscous: 0.01,
        leak: 1e-13,
        inertia: 0.0,
        jammed: false,
    };
    b.motor("motor", feed, tank, motor);
    b.part("4B1", "FlowTransducer", "");
    let gears = b.motor("gears", feed, tank, Motor { inertia: 1e-4, load_nm: 0.0, ..motor });
    b.meter(gears);
    b.part("4W1", "Hose", "");
    b.flow("wall", feed, spill, FlowLaw::Leak(0.0), Drive::None);
    b.part("4A1", "Cylinder", "");
    let piston = Piston {
        cap_m2: 1e-3,
        rod_m2: 5e-4,
        stroke_m: 0.1,
        friction_n: 0.0,
        viscous: 2e3,
        leak: 0.0,
        load: Load::default(),
        jammed: false,
        propped: false,
        cushions: [Cushion { length_m: 0.02, viscous: 5e5 }; 2],
    };
    let axis = b.piston(piston, feed, tank, 0.0);
    // A proportional valve that holds 50 mm of it once called, and opens nothing.
    b.part("4V2", "ProportionalValve", "");
    let make = SpoolMake { preload_n: 0.0, rate_n: 70.0, hand_n: 0.0, ..SpoolMake::centred() };
    let spool = b.spring_spool("spool", make);
    let (plus, minus) = (b.terminal("+"), b.terminal("-"));
    let from = b.plan().node("G1:+").expect("terminal");
    for (node, to) in [(plus, from), (minus, PlanBuilder::EARTH)] {
        b.branch("link", BranchRole::Wire, node, to, BranchMake::ohm(0.01));
    }
    let amplifier = AmplifierMake {
        sets: [0.05; CALLS],
        gain: 20.0,
        ramp: 0.1,
        step: 0.0,
        lag_s: 0.01,
        pull_n: 70.0,
        shows: 1.0,
        offset_m: 0.0,
        least_v: 18.0,
        call_v: 13.0,
        reset_s: 0.0,
        null: 0.0,
        servo: true,
        dead: false,
    };
    b.amplifier(amplifier, spool, (plus, minus), vec![plus], Some(Feedback::Position(axis)));
    // One that wants 10 revolutions a second of the gears, and opens nothing either.
    b.part("4V3", "ProportionalValve", "");
    let spool = b.spring_spool("spool", make);
    let (plus, minus) = (b.terminal("+"), b.terminal("-"));
    for (node, to) in [(plus, from), (minus, PlanBuilder::EARTH)] {
        b.branch("link", BranchRole::Wire, node, to, BranchMake::ohm(0.01));
    }
    let amplifier = AmplifierMake { sets: [10.0; CALLS], gain: 0.1, ramp: 100.0, ..amplifier };
    b.amplifier(amplifier, spool, (plus, minus), vec![plus], Some(Feedback::Speed(gears)));
}

/// Compressed air: main 3G1, service unit 3Z1, slow start 3V1, quick exhaust 3V2, tube 3W1 and ejector
/// 3E1.
fn air_side(b: &mut PlanBuilder) {
    let air = |m3: f64| Volume { still_m3: m3, medium: Medium::AIR };
    let path = SonicPath { conductance: 2e-8, critical_ratio: 0.3 };
    let room = b.volume("air", air(1.0), Some(0.0));
    let main = b.volume("main", air(1.0), Some(7e5));
    let [one, two, three, four] = ["L1", "L2", "L3", "L4"].map(|n| b.volume(n, air(1e-4), None));
    b.part("3G1", "AirSupply", "");
    b.share("main", Element::Volume(main));
    b.flow("outlet", main, one, FlowLaw::Sonic(path), Drive::None);
    b.part("3Z1", "Regulator", "");
    let make = Regulator { set_pa: 6e5, droop_pa: 0.4e5 };
    b.flow("regulator", one, two, FlowLaw::Regulator(path, make), Drive::None);
    b.part("3V1", "SoftStart", "");
    let slow = Slow { until: 0.5, passage: 0.05 };
    b.flow("slow start", two, three, FlowLaw::SlowStart(path, slow), Drive::None);
    b.part("3V2", "QuickExhaust", "");
    let lift = Poppet { lift_pa: 5e3, band_pa: 1e4 };
    b.flow("2-3", three, room, FlowLaw::SonicPoppet(path, lift), Drive::Pressure(two));
    b.part("3W1", "Tube", "");
    let sound = SonicPath { conductance: 0.0, ..path };
    b.flow("bore", three, four, FlowLaw::Sonic(path), Drive::None);
    b.flow("wall", four, room, FlowLaw::Sonic(sound), Drive::None);
    b.part("3E1", "VacuumEjector", "");
    let cup = b.volume("L5", air(1e-4), None);
    let make = Ejector { passage: 1e-8, vacuum_pa: 0.85e5, full_at_pa: 4.5e5 };
    b.flow("suction", cup, room, FlowLaw::Ejector(make), Drive::Pressure(one));
}

pub(super) fn run(plant: &mut Plant, seconds: f64) {
    let until = plant.now() + SimTime::from_secs_f64_up(seconds);
    plant.advance(until, false).expect("advance");
}

/// The operator of switch `tag`.
pub(super) fn head(plan: &Plan, tag: &str) -> OperatorId {
    let part = plan.part(tag).expect("part");
    plan.parts[part.index()]
        .elements
        .iter()
        .find_map(|(_, e)| match e {
            Element::Operator(id) => Some(*id),
            _ => None,
        })
        .expect("operator")
}
