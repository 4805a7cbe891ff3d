//! Hydraulic motors with inertia, and the servo loop that holds their speed.

use spoolbench::fault::{Fault, apply};
use spoolbench::fluid::FlowLaw;
use spoolbench::plant::Plant;
use spoolbench::session::{Rig as Desk, Session, SessionConfig, parse};

use super::machines::{Hands, load};
use super::pressure_valves::{Rig, near};

/// Speed of the motor `tag` [rpm].
fn rpm(r: &mut Rig, tag: &str) -> f64 {
    let (probe, _) = r.plant.plan().probe(&format!("n:{tag}")).expect("a probe");
    60.0 * r.plant.read(probe)
}

/// A relief that holds 50 bar whatever passes, a stop valve, a motor with these fields, and a check that lets it
/// draw oil from the tank while it runs on.
fn flywheel(fields: &str) -> Rig {
    let parts = format!(
        r#""T1": Tank(), "M1": Pump(displacement: "40 cm3/rev", speed: "1500 rpm", efficiency: "100 %", run_up: "10 ms"),
        "RV1": Relief(setting: "50.01 bar", cracking: "50 bar", rated_flow: "60 L/min"),
        "SV1": StopValve(rated_flow: "2000 L/min", rated_drop: "0.05 bar"),
        "C1": Check(cracking: "0 bar", rated_flow: "2000 L/min", rated_drop: "0.05 bar"),
        "1H1": HydraulicMotor(displacement: "16 cm3/rev", leakage: "0 cm3/min", {fields}),"#
    );
    let lines = r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", "1H1:B", "1H1:L", "C1:A"]),
        Line(name: "P", ports: ["M1:P", "RV1:P", "SV1:A"]), Line(name: "A", ports: ["SV1:B", "1H1:A", "C1:B"])"#;
    Rig::new(&parts, lines)
}

fn handle(r: &mut Rig, tag: &str, open: bool) {
    let spoolbench::plant::Element::Operator(id) = r.element(tag, "handle") else {
        panic!("{tag} has no handle")
    };
    r.plant.set_operator(id, open);
}

/// J dw/dt = M - B w: a constant torque of V dp / 2 pi less friction brings it up as w (1 - exp(-t B / J)), and
/// without pressure friction and drag stop it after J / B ln(1 + w B / Mr) (closed forms).
#[test]
fn a_flywheel_comes_up_and_runs_down_in_its_time() {
    let fields =
        r#"inertia: "0.2 kg m2", friction: "3 N m", torque_rise: "5 N m", rise_speed: "1000 rpm""#;
    let mut r = flywheel(fields);
    handle(&mut r, "SV1", false);
    r.run(1.0);
    assert!(rpm(&mut r, "1H1").abs() < 1e-3, "it stands");
    let turn = 2.0 * std::f64::consts::PI;
    let drag = 5.0 / (turn * 1000.0 / 60.0);
    let (tau, torque) = (0.2 / drag, 16e-6 / turn * 50e5 - 3.0);
    handle(&mut r, "SV1", true);
    let start = 2e-3;
    for seconds in [1.0, 3.0] {
        let now = r.plant.now().as_secs_f64() - 1.0;
        r.run(seconds + start - now);
        let want = torque / drag * (1.0 - (-seconds / tau).exp()) * 60.0 / turn;
        near(rpm(&mut r, "1H1"), want, 1e-2, "rpm");
    }
    let from = rpm(&mut r, "1H1") / 60.0 * turn;
    handle(&mut r, "SV1", false);
    let stops = tau * (1.0 + from * drag / 3.0).ln();
    r.run(0.5 * stops);
    let want = (from + 3.0 / drag) * (-0.5 * stops / tau).exp() - 3.0 / drag;
    near(rpm(&mut r, "1H1"), want * 60.0 / turn, 2e-2, "rpm running on");
    r.run(0.47 * stops);
    assert!(rpm(&mut r, "1H1") > 5.0, "still turning");
    r.run(0.1 * stops);
    assert!(rpm(&mut r, "1H1").abs() < 1.0, "{} rpm", rpm(&mut r, "1H1"));
}

/// In the end inertia changes nothing: the speed is that of the balance of torques, and friction holds what it can.
#[test]
fn inertia_does_not_change_where_it_ends() {
    for (load, turns) in [("2 N m", true), ("11 N m", false)] {
        let mut ends = Vec::new();
        for inertia in ["0 kg m2", "0.01 kg m2"] {
            let fields = format!(
                r#"inertia: "{inertia}", load: "{load}", friction: "3 N m", torque_rise: "20 N m""#
            );
            let mut r = flywheel(&fields);
            r.run(20.0);
            ends.push(rpm(&mut r, "1H1"));
        }
        assert_eq!(ends[0].abs() > 1.0, turns, "{ends:?}");
        near(1.0 + ends[1], 1.0 + ends[0], 1e-3, "rpm");
    }
}

/// A loop with an integral part holds the speed whatever the load, and one without falls short by the signal that
/// the flow takes, in proportion to its gain (derived).
#[test]
fn a_servo_loop_holds_the_speed() {
    let plan = load("spindle.bench.ron");
    let mut h = Hands::new(plan.clone(), 1);
    let (probe, _) = plan.probe("n:1H1").expect("a probe");
    h.run(2.0);
    assert!(h.plant.read(probe).abs() < 1e-3);
    let law = match plan.parts[plan.part("1H1").expect("1H1").index()].element("motor") {
        Some(spoolbench::plant::Element::Flow(id)) => id,
        other => panic!("{other:?}"),
    };
    for (button, want) in [("S1", 600.0), ("S2", 300.0)] {
        for load_nm in [0.0, 6.0] {
            h.plant.alter(plan.part("1H1").expect("1H1"), |c| {
                if let FlowLaw::Motor(motor) = &mut c.flows[law.index()] {
                    motor.load_nm = load_nm;
                }
            });
            h.press(button);
            h.run(6.0);
            near(60.0 * h.plant.read(probe), want, 1e-3, "rpm");
        }
    }
    h.press("S3");
    h.run(6.0);
    assert!(60.0 * h.plant.read(probe) < 1.0, "it stands");
}

/// Without an integral part: set - n = full_at x signal, and the signal is what the valve must open for the
/// flow at what the pressures leave (square law of the rated point).
#[test]
fn a_proportional_loop_falls_short() {
    let bench = |reset: &str, fault: Option<Fault>| {
        let parts = format!(
            r#""G1": DcSupply(voltage: "24 V DC"), "S1": PushButton(contacts: ["13-14"]), "T1": Tank(),
            "M1": Pump(displacement: "20 cm3/rev", speed: "1500 rpm", efficiency: "100 %"),
            "RV1": Relief(setting: "100 bar", cracking: "99.9 bar", rated_flow: "30 L/min"),
            "1V1": ServoValve(transducer: "1H1", speed_1: "600 rpm", full_at_speed: "400 rpm", hysteresis: "0 %", flow_force: "0 %", leakage: "0 cm3/min" {reset}),
            "1H1": HydraulicMotor(displacement: "16 cm3/rev", inertia: "0.02 kg m2", friction: "2 N m", leakage: "0 cm3/min"),"#
        );
        let lines = r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", "1V1:T", "1H1:L"]),
            Line(name: "P", ports: ["M1:P", "RV1:P", "1V1:P"], volume: "0.5 L"),
            Line(name: "A", ports: ["1V1:A", "1H1:A"]), Line(name: "B", ports: ["1V1:B", "1H1:B"])"#;
        let rungs = r#"Rung(from: "G1:+", to: "1V1:W1", path: "S1:13-14"), Rung(from: "G1:+", to: "1V1:+", path: "S9:21-22"),
            Rung(from: "1V1:-", to: "G1:-", path: "S8:21-22"),"#;
        let parts = format!(
            r#"{parts} "S9": PushButton(contacts: ["21-22"]), "S8": PushButton(contacts: ["21-22"]),"#
        );
        let mut r = Rig::wired(&parts, lines, rungs);
        if let Some(fault) = fault {
            r.fault(fault);
        }
        r.run(1.0);
        r.hold("S1", true);
        r.run(8.0);
        r
    };
    let mut r = bench("", None);
    let n = rpm(&mut r, "1H1");
    let (a, b, p) = (r.bar("A"), r.bar("B"), r.bar("P"));
    let flow = 16e-3 * n;
    near(r.flow("1H1", "motor"), flow, 1e-6, "L/min");
    // 20 L/min at 35 bar through each path, all open.
    let open = flow / (20.0 * ((p - a) / 35.0_f64).sqrt());
    near(open, flow / (20.0 * (b / 35.0_f64).sqrt()), 1e-3, "either path");
    near(600.0 - n, 400.0 * open, 5e-3, "rpm short");
    let mut r = bench(r#", reset_time: "200 ms""#, None);
    near(rpm(&mut r, "1H1"), 600.0, 1e-3, "rpm with an integral part");
    // A shifted null is worked off by the integral part alone.
    let shifted = Fault::new("1V1", "null-shift").of(0.1);
    let mut r = bench("", Some(shifted.clone()));
    assert!(rpm(&mut r, "1H1") > n + 10.0);
    let mut r = bench(r#", reset_time: "200 ms""#, Some(shifted));
    near(rpm(&mut r, "1H1"), 600.0, 1e-3, "rpm with an integral part");
}

/// A flywheel gives no more than it took: the work of the oil on the motor, V n dp, is at every moment at least
/// J w2 / 2, and while it brakes part of that comes back (conservation of energy).
#[test]
fn a_flywheel_gives_no_more_than_it_took() {
    let plan = load("spindle.bench.ron");
    let mut h = Hands::new(plan.clone(), 1);
    let probes = ["n:1H1", "p:MP2", "p:MP3"].map(|p| plan.probe(p).expect("a probe").0);
    let (mut work, mut most, mut back) = (0.0_f64, 0.0_f64, 0.0_f64);
    let mut before = 0.0;
    for step in 0..12_000 {
        match step {
            2_000 => h.set("S1", true),
            2_200 => h.set("S1", false),
            7_000 => h.set("S3", true),
            7_200 => h.set("S3", false),
            _ => {}
        }
        h.run(1e-3);
        let [n, a, b] = probes.map(|p| h.plant.read(p));
        let watt = 16e-6 * n * (a - b);
        let part = 0.5 * (before + watt) * 1e-3;
        before = watt;
        work += part;
        back -= part.min(0.0);
        let omega = 2.0 * std::f64::consts::PI * n;
        let kinetic = 0.5 * 0.05 * omega * omega;
        most = most.max(kinetic);
        assert!(
            work >= kinetic - 1e-2 * most - 1e-3,
            "{work} J in, {kinetic} J in it, step {step}"
        );
    }
    println!("{most:.1} J in the spindle, {back:.1} J back, {work:.1} J lost in friction");
    assert!(most > 90.0 && back > 1.0 && back < most, "{most} {back}");
}

/// A shifted null is set right by its screw, which counts as the repair.
#[test]
fn a_null_is_set_by_hand() {
    let mut plant = Plant::nominal(load("spindle.bench.ron"));
    apply(&mut plant, &Fault::new("1V1", "null-shift").of(0.2)).expect("a fault");
    let mut session = Session::new(Desk::sound(plant), SessionConfig::default());
    let null = |session: &Session| session.rig().plant().condition().amplifiers[0].null;
    assert!((null(&session) - 0.2).abs() < 1e-12);
    for (line, taken) in [("adjust 1V1 null 70 %", false), ("adjust 1V1 null 0 %", true)] {
        assert_eq!(session.act(parse(line).expect(line)).is_ok(), taken, "{line}");
    }
    assert_eq!(null(&session), 0.0);
}

/// At the rated flow the gears take the rated drop, and what slips by is not counted (data sheet); the drop of half
/// the flow lies on the line from what the gears take to begin turning, 2 % of it (derived).
#[test]
fn a_flow_transducer_takes_its_rated_drop() {
    let drop = |l_min: f64| {
        let parts = format!(
            r#""T1": Tank(), "M1": Pump(displacement: "{} cm3/rev", speed: "1000 rpm", efficiency: "100 %", run_up: "10 ms"),
            "RV1": Relief(setting: "100 bar", rated_flow: "30 L/min"),
            "1B1": FlowTransducer(displacement: "2 cm3/rev", rated_flow: "20 L/min", rated_drop: "1.5 bar", slip: "1 %"),"#,
            l_min
        );
        let lines = r#"Line(name: "tank", ports: ["T1:T", "M1:S", "RV1:T", "1B1:B"]),
            Line(name: "P", ports: ["M1:P", "RV1:P", "1B1:A"])"#;
        let mut r = Rig::new(&parts, lines);
        r.run(3.0);
        (r.bar("P"), rpm(&mut r, "1B1") * 2e-3)
    };
    let (bar, shown) = drop(20.0);
    near(bar, 1.5, 1e-3, "bar");
    near(shown, 19.8, 1e-3, "L/min");
    let (bar, shown) = drop(10.0);
    // n = 0.98 (dp - 0.02 dpr) / (0.98 dpr) nr with dpr 1.5 bar, nr 9,900 rpm, and 1 % of 20 L/min x dp / dpr.
    let gears = |bar: f64| 19.8 * (bar / 1.5 - 0.02) / 0.98;
    near(shown, gears(bar), 2e-3, "L/min");
    near(shown + 0.2 * bar / 1.5, 10.0, 1e-3, "L/min");
}

/// The ram with its load at `mm`, in mm/s, with `fault`.
fn feeds(fault: Option<Fault>, mm: [f64; 2]) -> [f64; 2] {
    let plan = load("feed.bench.ron");
    let mut plant = Plant::nominal(plan.clone());
    if let Some(fault) = fault {
        apply(&mut plant, &fault).expect("a fault");
    }
    let mut h = Hands { plant, story: Vec::new() };
    let [at, speed] = ["s:1A1", "v:1A1"].map(|p| plan.probe(p).expect("a probe").0);
    h.run(1.0);
    h.press("S1");
    mm.map(|mm| {
        for _ in 0..4000 {
            if h.plant.read(at) * 1e3 >= mm {
                break;
            }
            h.run(0.01);
        }
        assert!(h.plant.read(at) * 1e3 >= mm, "it does not get to {mm} mm");
        h.plant.read(speed) * 1e3
    })
}

/// A flow of 6 L/min into 80 mm of bore moves the ram at 19.894 mm/s whatever it pushes, but for what slips by the
/// gears and what the growing pressure takes up (continuity). Without the signal the valve opens all the way: the
/// pump gives all it has; and what shows 70 % of the flow lets through 1 / 0.7 of it.
#[test]
fn a_loop_holds_the_flow_whatever_the_load() {
    let sound = feeds(None, [55.0, 330.0]);
    for mm_s in sound {
        near(mm_s, 19.894, 8e-3, "mm/s");
    }
    let blind = feeds(Some(Fault::new("1V1", "transducer-silent")), [55.0, 330.0]);
    // 12 cm3 x 1450 rpm = 17.4 L/min: 57.7 mm/s, less leakage and what the relief takes.
    assert!(blind[0] > 50.0 && blind[0] < 57.8, "{blind:?}");
    let share = feeds(Some(Fault::new("1V1", "transducer-share").of(0.7)), [55.0, 330.0]);
    for (got, sound) in share.iter().zip(sound) {
        near(*got, sound / 0.7, 5e-3, "mm/s");
    }
    // Worn gears let slip by what they do not count.
    let worn = feeds(Some(Fault::new("1B1", "slipping").of(0.2)), [55.0, 330.0]);
    for (got, sound) in worn.iter().zip(sound) {
        // Their friction makes it a little more at a low flow.
        near(*got, sound / 0.8, 2e-2, "mm/s");
    }
}
