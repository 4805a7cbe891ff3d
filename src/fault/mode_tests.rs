//! Every mode of the table changes the physics as it claims.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::base::{PartId, PistonId, SpoolId, VolumeId, WindingId};
use crate::fluid::FlowLaw;
use crate::language::{Language, Words};
use crate::plant::{Element, Plan, Plant, Probe};
use crate::shift::Hand;

use super::fixture::{bench, head, run};
use super::*;

struct Run {
    plan: Arc<Plan>,
    plant: Plant,
}

impl Run {
    /// A bench with `fault` from the start, run for 2 s.
    fn with(fault: Option<Fault>) -> Run {
        let plan = bench();
        let mut plant = Plant::nominal(plan.clone());
        if let Some(fault) = fault {
            apply(&mut plant, &fault).expect("fault");
        }
        run(&mut plant, 2.0);
        Run { plan, plant }
    }

    fn of(part: &str, mode: &str) -> Run {
        Run::with(Some(Fault::new(part, mode)))
    }

    fn press(mut self, switch: &str, seconds: f64) -> Run {
        self.plant.set_operator(head(&self.plan, switch), true);
        run(&mut self.plant, seconds);
        self
    }

    fn release(mut self, switch: &str, seconds: f64) -> Run {
        self.plant.set_operator(head(&self.plan, switch), false);
        run(&mut self.plant, seconds);
        self
    }

    fn part(&self, tag: &str) -> PartId {
        self.plan.part(tag).expect("part")
    }

    fn role(&self, tag: &str, role: &str) -> Element {
        let id = self.part(tag);
        self.plan.parts[id.index()].element(role).expect("role")
    }

    fn closed(&self, tag: &str, role: &str) -> bool {
        let id = self.part(tag);
        let contact = self.plan.parts[id.index()].elements.iter().find_map(|(r, e)| match e {
            Element::Contact(c) if r == role => Some(*c),
            _ => None,
        });
        self.plant.contact_closed(contact.expect("contact"))
    }

    fn winding(&self, tag: &str, role: &str) -> WindingId {
        match self.role(tag, role) {
            Element::Winding(id) => id,
            other => unreachable!("{other:?}"),
        }
    }

    fn amps(&mut self, tag: &str, role: &str) -> f64 {
        let id = self.winding(tag, role);
        self.plant.read(Probe::WindingAmps(id))
    }

    fn volts(&mut self, from: &str) -> f64 {
        let node = self.plan.node(from).expect("node");
        self.plant.read(Probe::Volts(node, crate::plant::PlanBuilder::EARTH))
    }

    fn lit(&self, tag: &str) -> bool {
        let k = self.plan.lamps.iter().position(|l| l.name == tag);
        self.plant.lit(k.expect("lamp"))
    }

    fn bar(&mut self, volume: &str) -> f64 {
        let id = self.plan.volumes.iter().position(|v| v.name == volume);
        self.plant.read(Probe::Pressure(VolumeId::new(id.expect("volume")))) / 1e5
    }

    fn flow(&mut self, tag: &str, role: &str) -> f64 {
        let Element::Flow(id) = self.role(tag, role) else { unreachable!("{role}") };
        self.plant.read(Probe::Flow(id))
    }

    fn spool(&mut self, k: usize) -> f64 {
        self.plant.read(Probe::Spool(SpoolId::new(k)))
    }

    fn mm(&mut self) -> f64 {
        self.plant.read(Probe::Piston(PistonId::new(0))) * 1e3
    }

    fn blown(&self) -> bool {
        self.plant.blown(crate::base::FuseId::new(0))
    }
}

fn near(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got}, not {want}");
}

#[test]
fn a_sound_bench_works() {
    let mut r = Run::with(None).press("S1", 0.5);
    near(r.amps("K1", "coil"), 0.05, 1e-3);
    assert!(r.closed("K1", "13-14") && !r.closed("K1", "21-22") && r.lit("HK1"));
    assert!(r.bar("P") > 60.0 && r.plant.acting(head(&r.plan, "S6")));
    let mut r = r.press("S3", 0.5);
    near(r.spool(0), 1.0, 1e-2);
    let mut r = r.release("S3", 3.0);
    near(r.spool(0), 0.0, 1e-2);
    assert!(r.mm() > 20.0);
}

#[test]
fn coils() {
    let mut r = Run::of("K1", "open").press("S1", 0.5);
    near(r.amps("K1", "coil"), 0.0, 1e-5);
    assert!(r.volts("K1:A1") > 23.5 && !r.lit("HK1"));
    // Half the turns: half the resistance, twice the current, and it still picks up.
    let mut r = Run::of("K1", "shorted-turns").press("S1", 0.5);
    near(r.amps("K1", "coil"), 0.1, 3e-3);
    assert!(r.closed("K1", "13-14"));
    // A coil for 12 V takes four times the current; one for 110 V does not pick up.
    let mut r = Run::of("K1", "wrong-coil").press("S1", 0.2);
    near(r.amps("K1", "coil"), 0.2, 1e-2);
    assert!(r.closed("K1", "13-14"));
    let fault = Fault::new("K1", "wrong-coil").of(110.0 / 24.0);
    let r = Run::with(Some(fault)).press("S1", 1.0);
    assert!(!r.closed("K1", "13-14"));
    for mode in ["diode-reversed", "diode-shorted"] {
        let r = Run::of("K1", mode);
        assert!(!r.blown(), "{mode} only shows on command");
        assert!(r.press("S1", 2.0).blown(), "{mode}");
    }
    // Without the diode the coil current is gone sooner.
    let drops = |fault| {
        let r = Run::with(fault).press("S1", 0.5).release("S1", 0.002);
        r.plant.acting(head(&r.plan, "K1"))
    };
    assert!(drops(None));
    assert!(!drops(Some(Fault::new("K1", "diode-open"))));
    let r = Run::of("K1", "to-earth");
    assert!(!r.blown());
    assert!(r.press("S1", 2.0).blown());
}

#[test]
fn contacts() {
    for mode in ["welded", "bypassed"] {
        let r = Run::with(Some(Fault::new("K1", mode).in_role("13-14")));
        assert!(r.lit("HK1"), "{mode} with the coil dead");
    }
    // The missing interlock.
    let r = Run::with(Some(Fault::new("K1", "bypassed").in_role("21-22"))).press("S1", 0.5);
    assert!(r.closed("K1", "21-22") && r.closed("K1", "13-14"));
    let r = Run::with(Some(Fault::new("K1", "never-closes").in_role("13-14"))).press("S1", 0.5);
    assert!(!r.lit("HK1") && r.plant.acting(head(&r.plan, "K1")));
    let fault = Fault::new("K1", "high-resistance").in_role("13-14").of(200.0);
    let mut r = Run::with(Some(fault)).press("S1", 0.5);
    near(r.volts("K1:14"), 12.0, 0.1);
}

#[test]
fn wires_fuses_lamps_and_supplies() {
    let mut r = Run::of("W1", "broken").press("S1", 0.5);
    assert!(r.volts("S1:14") > 23.5);
    near(r.volts("K1:A1"), 0.0, 1e-3);
    let mut r = Run::with(Some(Fault::new("W1", "loose").of(480.0))).press("S1", 0.5);
    near(r.volts("K1:A1"), 12.0, 0.1);
    let mut r = Run::of("F1", "blown");
    near(r.volts("F1:2"), 0.0, 1e-3);
    // 10 A: a 4 A fuse melts, an 8 A one does not.
    let earth = Fault::new("K1", "to-earth").of(2.4);
    let mut r = Run::with(Some(earth));
    r = r.press("S1", 2.0);
    assert!(r.blown());
    let earth = Fault::new("K1", "to-earth").of(2.4);
    let mut r = Run::with(Some(earth));
    apply(&mut r.plant, &Fault::new("F1", "overrated")).expect("fault");
    assert!(!r.press("S1", 2.0).blown());
    let mut r = Run::of("HK1", "dead").press("S1", 0.5);
    assert!(!r.lit("HK1") && r.volts("K1:14") > 23.5);
    let mut r = Run::of("G1", "dead");
    near(r.volts("G1:+"), 0.0, 1e-3);
    let mut r = Run::of("G1", "low");
    near(r.volts("G1:+"), 0.65 * 24.0, 0.01);
    let mut r = Run::of("G1", "weak");
    near(r.volts("G1:+"), 24.0, 0.01);
    let mut r = r.press("S3", 0.5);
    assert!(r.volts("G1:+") < 20.0);
    let mut r = Run::with(Some(Fault::new("W1", "open").in_role("back"))).press("S1", 0.5);
    near(r.amps("K1", "coil"), 0.0, 1e-5);
}

#[test]
fn operators() {
    let r = Run::of("K1", "stuck-in");
    assert!(r.lit("HK1"));
    let mut r = Run::of("K1", "stuck-out").press("S1", 0.5);
    assert!(!r.lit("HK1") && r.amps("K1", "coil") > 0.04);
    let r = Run::with(None).press("S2", 0.4);
    assert!(r.lit("HK2"));
    let r = Run::of("K2", "misset").press("S2", 0.4);
    assert!(!r.lit("HK2"));
    assert!(r.press("S2", 0.4).lit("HK2"));
    let r = Run::of("S1", "stuck-made");
    assert!(r.closed("S1", "13-14") && r.lit("HK1"));
    assert!(r.release("S1", 0.5).lit("HK1"));
    assert!(!Run::of("S1", "stuck-open").press("S1", 0.5).closed("S1", "13-14"));
    let r = Run::of("S1", "detached").press("S1", 0.5);
    assert!(r.plant.acting(head(&r.plan, "S1")) && !r.closed("S1", "13-14"));
    assert!(Run::of("S5", "stuck-made").closed("S5", "13-14"));
    for (part, mode, made) in [
        ("S6", "stuck-made", true),
        ("S6", "stuck-open", false),
        ("S6", "misset", true),
        ("S6", "detached", false),
    ] {
        assert_eq!(Run::of(part, mode).closed(part, "13-14"), made, "{mode}");
    }
    let high = Fault::new("S6", "misset").of(2.0);
    assert!(!Run::with(Some(high)).closed("S6", "13-14"));
    assert!(!Run::with(Some(Fault::new("0V1", "stuck-open"))).closed("S6", "13-14"));
}

/// Extends until the cam is reached: 110 mm.
fn on_cam(fault: Option<Fault>) -> Run {
    let mut r = Run::with(fault).press("S3", 0.0);
    for _ in 0..2_000 {
        if r.mm() > 110.0 {
            break;
        }
        run(&mut r.plant, 0.005);
    }
    near(r.mm(), 111.0, 5.0);
    r
}

#[test]
fn cams() {
    assert!(on_cam(None).closed("S5", "13-14"));
    for mode in ["stuck-open", "detached"] {
        assert!(!on_cam(Some(Fault::new("S5", mode))).closed("S5", "13-14"), "{mode}");
    }
    assert!(!on_cam(Some(Fault::new("S5", "misadjusted").of(30.0))).closed("S5", "13-14"));
}

#[test]
fn spools() {
    let mut r = Run::of("1V1", "stuck").press("S3", 0.5);
    near(r.spool(0), 0.0, 1e-6);
    let left = |r: &mut Run| {
        r.plant.set_operator(head(&r.plan, "S3"), true);
        run(&mut r.plant, 0.06);
        r.spool(0)
    };
    let (sound, silted) = (left(&mut Run::with(None)), left(&mut Run::of("1V1", "silted")));
    assert!(silted < sound - 0.1, "{silted} and {sound}");
    let mut r = Run::of("1V1", "broken-spring").press("S3", 0.5).release("S3", 2.0);
    near(r.spool(0), 1.0, 0.05);
    for (mode, side) in [("override-a", 1.0), ("override-b", -1.0)] {
        let mut r = Run::of("1V1", mode);
        near(r.spool(0), side, 0.05);
        let id = r.part("1V1");
        r.plant.renew(id);
        run(&mut r.plant, 2.0);
        near(r.spool(0), 0.0, 0.05);
    }
    let mut r = Run::of("1V1", "plugs-swapped").press("S3", 0.5);
    near(r.spool(0), -1.0, 0.05);
    let mut r = Run::of("1V1", "leaking");
    assert!(r.flow("1V1", "P-A") > 1e-7 || r.bar("A") > 1.0);
    near(Run::with(None).bar("A"), 10.0, 10.0);
    let mut r = Run::with(Some(Fault::new("1V1", "blocked").in_role("P-A").of(0.0)));
    r = r.press("S3", 1.0);
    near(r.mm(), 0.0, 0.1);
    // A detent that holds nothing lets a small force shift the spool.
    let pushed = |fault: Option<Fault>| {
        let mut r = Run::with(fault);
        let spool = SpoolId::new(1);
        let id = r.part("2V1");
        r.plant.alter(id, |c| c.spools[1].hand_n = 10.0);
        r.plant.set_hand(spool, Hand::A);
        run(&mut r.plant, 1.0);
        r.spool(1)
    };
    near(pushed(None), -1.0, 0.1);
    near(pushed(Some(Fault::new("2V1", "worn-detent"))), 1.0, 0.1);
}

#[test]
fn pressures() {
    let mut r = Run::of("0V1", "set-low");
    near(r.bar("P"), 0.4 * 60.0 + 4.5, 1.5);
    let mut r = Run::of("0V1", "set-high");
    near(r.bar("P"), 1.6 * 60.0 + 4.5, 1.5);
    let mut r = Run::of("0V1", "stuck-open");
    assert!(r.bar("P") < 6.0);
    let mut r = Run::of("0V1", "blocked");
    assert!(r.bar("P") > 120.0);
    let mut r = Run::with(Some(Fault::new("0P1", "worn").of(4.0)));
    assert!(r.bar("P") < 30.0);
    for mode in ["reversed", "sheared"] {
        let mut r = Run::of("0P1", mode);
        assert!(r.bar("P") < 1.0, "{mode}");
    }
    let sound = Run::with(None).flow("0P1", "pump");
    near(Run::of("0P1", "slow").flow("0P1", "pump") / sound, 0.5, 0.02);
    near(Run::of("0V5", "worn").flow("0V5", "leak") / 6.5e6 / 2e-13, 1.0, 0.1);
}

#[test]
fn throttles_and_checks() {
    let passes = |part: &str, fault: Option<Fault>| {
        let mut r = Run::with(fault);
        r.flow(part, "gate") / (r.bar("P")).sqrt()
    };
    for part in ["0V3", "0V4"] {
        let sound = passes(part, None);
        near(passes(part, Some(Fault::new(part, "blocked"))) / sound, 0.05, 1e-3);
        near(passes(part, Some(Fault::new(part, "wide-open"))) / sound, 5.0, 1e-2);
    }
    // The bypass of 0V4 opens from the tank to P only; open both ways it takes all the flow.
    assert!(passes("0V4", Some(Fault::new("0V4", "stuck-open"))) > 10.0 * passes("0V4", None));
    let shut = Run::of("0V4", "stuck-shut");
    let Element::Flow(id) = shut.role("0V4", "gate") else { unreachable!() };
    let law: FlowLaw = shut.plant.condition().flows[id.index()];
    near(law.value(0.0, 50e5, 0.0).flow, -5e-6, 1e-8);
    // Behind the check the pressure stays when the pump side is let down.
    let held = |fault: Option<Fault>| {
        let mut r = Run::with(None);
        if let Some(fault) = fault {
            apply(&mut r.plant, &fault).expect("fault");
        }
        apply(&mut r.plant, &Fault::new("0V1", "stuck-open")).expect("fault");
        run(&mut r.plant, 1.0);
        r.bar("header")
    };
    assert!(held(None) > 55.0);
    assert!(held(Some(Fault::new("0V2", "stuck-open"))) < 10.0);
    near(Run::of("0V2", "stuck-shut").bar("header"), 0.0, 0.1);
}

#[test]
fn pistons() {
    let reach = |fault: Option<Fault>| Run::with(fault).press("S3", 0.8).mm();
    let sound = reach(None);
    assert!(sound > 20.0 && sound < 190.0, "{sound}");
    near(reach(Some(Fault::new("1A1", "jammed"))), 0.0, 1e-3);
    assert!(reach(Some(Fault::new("1A1", "friction").of(5_000.0))) < sound - 1.0);
    assert!(reach(Some(Fault::new("1A1", "overloaded").of(12_000.0))) < 1.0);
    assert!(reach(Some(Fault::new("1A1", "seal-leak").of(20.0))) < sound - 1.0);
}

#[test]
fn gas_and_air() {
    let rise = |fault: Option<Fault>, volume: &str| {
        let plan = bench();
        let mut plant = Plant::nominal(plan.clone());
        if let Some(fault) = fault {
            apply(&mut plant, &fault).expect("fault");
        }
        let mut r = Run { plan, plant };
        let mut ms = 0;
        while r.bar(volume) < 50.0 && ms < 5_000 {
            run(&mut r.plant, 0.001);
            ms += 1;
        }
        ms
    };
    let sound = rise(None, "header");
    assert!(rise(Some(Fault::new("0Z1", "burst")), "header") < sound / 2);
    assert!(rise(Some(Fault::new("0Z1", "over-precharged")), "header") < sound / 2);
    assert!(rise(Some(Fault::new("0Z1", "lost-precharge")), "header") > sound);
    assert!(rise(Some(Fault::new("0P1", "free-air")), "P") > rise(None, "P"));
    let sound = rise(None, "store");
    for mode in ["flooded", "stiff-seal", "piston-stuck"] {
        assert!(rise(Some(Fault::new("0Z2", mode)), "store") < 3 * sound / 4, "{mode}");
    }
}

#[test]
fn pressure_valves_motors_hoses_and_cushions() {
    let feed = |fault: Option<Fault>| Run::with(fault).bar("feed");
    let at = |mode: &str, severity: f64| feed(Some(Fault::new("4V1", mode).of(severity)));
    near(feed(None), 52.0, 2.5);
    near(at("set-low", 0.4), 22.0, 2.5);
    near(at("set-high", 1.6), 82.0, 2.5);
    assert!(feed(Some(Fault::new("4V1", "broken-spring"))) < 10.0);
    assert!(feed(Some(Fault::new("4V1", "stuck"))) > 100.0);
    assert!(at("leaking", 1.0) < 20.0);
    let motor = |fault: Option<Fault>| Run::with(fault).flow("4H1", "motor") * 60_000.0;
    let sound = motor(None);
    assert!(sound > 0.5, "{sound}");
    near(motor(Some(Fault::new("4H1", "jammed"))), 0.0, 0.1);
    assert!(motor(Some(Fault::new("4H1", "worn"))) > sound + 0.5);
    assert!(motor(Some(Fault::new("4H1", "overloaded").of(0.5))) < 0.9 * sound);
    assert!(feed(Some(Fault::new("4W1", "burst"))) < 40.0);
    // How far it gets while the pump comes up and the cushion takes hold.
    let out = |fault: Option<Fault>| {
        let plan = bench();
        let mut plant = Plant::nominal(plan.clone());
        if let Some(fault) = fault {
            apply(&mut plant, &fault).expect("fault");
        }
        run(&mut plant, 0.6);
        plant.read(Probe::Piston(PistonId::new(1)))
    };
    assert!(out(Some(Fault::new("4A1", "cushion-worn"))) > out(None) + 5e-4);
}

/// 4A1 is pushed out past 50 mm, so 4V2 pulls back as far as it can: gain 20 /m.
#[test]
fn amplifiers() {
    let at = |fault: Option<Fault>, seconds: f64| {
        let plan = bench();
        let mut plant = Plant::nominal(plan.clone());
        let spool = plan.spools.iter().position(|s| s.name == "4V2").expect("a spool");
        if let Some(fault) = fault {
            apply(&mut plant, &fault).expect("fault");
        }
        run(&mut plant, seconds);
        plant.read(Probe::Spool(SpoolId::new(spool)))
    };
    let sound = at(None, 3.0);
    near(sound, -1.0, 0.1);
    near(at(Some(Fault::new("4V2", "dead")), 3.0), 0.0, 0.05);
    near(at(Some(Fault::new("4V2", "transducer-off").of(-40.0)), 3.0), -0.2, 0.1);
    near(at(Some(Fault::new("4V2", "null-shift").of(0.3)), 3.0), -0.7, 0.05);
    near(at(Some(Fault::new("4V2", "gain-low").of(0.5)), 3.0), -0.5, 0.1);
    let slow = Fault::new("4V2", "slow-ramp").of(0.01);
    assert!(at(Some(slow), 0.3) < at(None, 0.3) - 0.02);
}

/// 4V3 opens by 0.1 s times what is missing of 10 revolutions a second of the gears of 4B1.
#[test]
fn transducers_of_speed() {
    let at = |fault: Option<Fault>| {
        let plan = bench();
        let mut plant = Plant::nominal(plan.clone());
        let spool = plan.spools.iter().position(|s| s.name == "4V3").expect("a spool");
        if let Some(fault) = fault {
            apply(&mut plant, &fault).expect("fault");
        }
        run(&mut plant, 3.0);
        let (probe, _) = plan.probe("n:4B1").expect("a probe");
        (plant.read(probe), plant.read(Probe::Spool(SpoolId::new(spool))))
    };
    let (n, open) = at(None);
    assert!(n > 1.0, "{n}");
    near(open, 0.1 * (10.0 - n), 0.04);
    near(at(Some(Fault::new("4V3", "transducer-silent"))).1, 1.0, 0.04);
    near(at(Some(Fault::new("4V3", "transducer-share").of(0.5))).1, 0.1 * (10.0 - 0.5 * n), 0.04);
    assert_eq!(at(Some(Fault::new("4B1", "jammed"))).0.round(), 0.0);
    near(at(Some(Fault::new("4B1", "slipping").of(0.2))).0, n, 0.2);
}

/// The fixture's controller has 24 V at its input and copies it to its output.
#[test]
fn controllers() {
    let on = |r: &Run| r.closed("A1", "1L-Q0");
    assert!(on(&Run::with(None)));
    for mode in ["stuck-off", "halted", "high-threshold"] {
        let fault =
            Fault { severity: (mode == "high-threshold").then_some(2.0), ..Fault::new("A1", mode) };
        assert!(!on(&Run::with(Some(fault))), "{mode}");
    }
    assert!(on(&Run::of("A1", "stuck-on")));
    let slow = |mode: Option<Fault>| {
        let plan = bench();
        let mut plant = Plant::nominal(plan.clone());
        if let Some(fault) = mode {
            apply(&mut plant, &fault).expect("fault");
        }
        run(&mut plant, 0.1);
        plant.acting(plan.plcs[0].outputs[0])
    };
    assert!(slow(None) && !slow(Some(Fault::new("A1", "slow-scan"))));
}

#[test]
fn the_table_is_in_order() {
    let mut seen = BTreeSet::new();
    for spec in TABLE {
        assert!(seen.insert((spec.kind, spec.id)), "{} twice", spec.id);
        assert!(spec.prior > 0.0);
        if let Some(s) = spec.severity {
            assert!(s.min < s.max && (s.min..=s.max).contains(&s.default), "{}", spec.id);
        }
    }
    assert!(TABLE.is_sorted_by_key(|s| s.kind));
    // Every mode is met on the test bench, and does change its condition.
    let plan = bench();
    let mut met = BTreeSet::new();
    for (k, part) in plan.parts.iter().enumerate() {
        for (spec, role, _) in modes_of(&plan, PartId::new(k)) {
            met.insert((spec.kind, spec.id));
            let mut plant = Plant::nominal(plan.clone());
            apply(&mut plant, &Fault::new(&part.tag, spec.id).in_role(&role)).expect("fault");
            let hand = plant.hand(SpoolId::new(0)) != Hand::Off
                || plant.hand(SpoolId::new(1)) != Hand::Off;
            assert!(hand || *plant.condition() != plan.nominal, "{} {}", part.tag, spec.id);
        }
    }
    assert_eq!(seen.difference(&met).collect::<Vec<_>>(), Vec::<&(Kind, &str)>::new());
}

#[test]
fn the_guide_has_every_mode() {
    let text = guide_table();
    for spec in TABLE {
        assert!(text.contains(&format!("| `{}` | {} |", spec.id, spec.title)));
    }
    assert!(text.starts_with("### Winding\n\n| Mode |"));
    assert!(text.contains("shift along extension: -500 to 500 mm, 8 mm if not given"));
}

#[test]
fn errors_say_what_to_do() {
    let plan = bench();
    let mut plant = Plant::nominal(plan);
    let mut fails = |fault: Fault| apply(&mut plant, &fault).expect_err("must fail");
    assert_eq!(fails(Fault::new("K11", "open")).help().to_string(), "did you mean K1?");
    assert_eq!(fails(Fault::new("F1", "blwon")).help().to_string(), "did you mean \"blown\"?");
    assert_eq!(fails(Fault::new("F1", "frozen")).help().to_string(), "it has: blown, overrated");
    let e = fails(Fault::new("K1", "welded"));
    assert_eq!(e.to_string(), "\"welded\" of K1 can be in 13-14, 21-22");
    let e = fails(Fault::new("K1", "welded").in_role("13-41"));
    assert_eq!(e.help().to_string(), "did you mean \"13-14\"?");
    let e = fails(Fault::new("W1", "loose").of(f64::NAN));
    assert_eq!(e.help().to_string(), "added resistance [ohm] is from 0.5 to 100000");
    assert!(matches!(fails(Fault::new("W1", "broken").of(1.0)), FaultError::NoSeverity { .. }));
}

#[test]
fn what_a_severity_means_is_said_in_every_language() {
    for meaning in TABLE.iter().filter_map(|mode| Some(mode.severity.as_ref()?.meaning)) {
        let id = super::inject::severity_id(meaning);
        for words in Language::ALL.map(Words::of) {
            assert!(words.has(&id), "{id}");
        }
        assert_eq!(Words::of(Language::English).say(&id), meaning);
    }
}
