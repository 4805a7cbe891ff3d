//! Actions, their time, what they tell, and their bounds.

use super::super::{
    ActError, Action, Director, DirectorError, Ended, Injected, Repair, RigError, TEXT_LIMIT, Tool,
    verbs,
};
use super::*;
use crate::plant::{Element, Happening, Probe, What};

fn tells(session: &mut Session, line: &str) -> Vec<String> {
    told(&does(session, line))
}

#[test]
fn a_press_is_a_short_hold() {
    let mut s = session();
    let out = does(&mut s, "press S1");
    assert_eq!(s.now(), SimTime::from_secs(1));
    let seen: Vec<String> = out.seen.iter().map(|x| x.what.to_string()).collect();
    assert_eq!(seen, ["K1 clicks", "H1 lights", "K1 clicks", "H1 goes out"]);
    assert_eq!(tells(&mut s, "look S1"), ["S1 is free"]);
    // An emergency stop stays in until it is pulled.
    does(&mut s, "press S0");
    assert_eq!(tells(&mut s, "look S0"), ["S0 is pushed"]);
    does(&mut s, "turn S0 off");
    assert_eq!(tells(&mut s, "look S0"), ["S0 is free"]);
}

#[test]
fn two_hands_push_at_once() {
    let mut s = session();
    does(&mut s, "both S2 S3");
    assert_eq!(s.now(), SimTime::from_secs(1));
    assert_eq!(tells(&mut s, "look S2"), ["S2 is pushed"]);
    assert_eq!(tells(&mut s, "look S3"), ["S3 is pushed"]);
    does(&mut s, "release S2");
    assert_eq!(tells(&mut s, "look S2"), ["S2 is free"]);
    assert_eq!(tells(&mut s, "look S3"), ["S3 is pushed"]);
    let odd = s.act(parse("both S1 S4").unwrap());
    assert!(odd.is_err(), "S4 is turned, not pushed");
    assert_eq!(tells(&mut s, "look S1"), ["S1 is free"]);
}

#[test]
fn the_bench_runs_on_while_somebody_measures() {
    let mut s = session();
    does(&mut s, "hold S1");
    let out = does(&mut s, "look H1");
    assert_eq!(told(&out), ["H1 is lit"]);
    let out = does(&mut s, "volts H1:X1 H1:X2");
    assert_eq!(s.now(), SimTime::from_secs(26));
    assert!((out.readings[0].value.unwrap() - 24.0).abs() < 0.1);
    // Idle time before an action belongs to it.
    let out = s.act_at(SimTime::from_secs(40), parse("release S1").unwrap()).unwrap();
    assert_eq!(out.seen.len(), 2);
    assert_eq!(s.log().last().map(|e| e.started), Some(SimTime::from_secs(40)));
}

#[test]
fn overrides_lift_the_load() {
    let mut s = session();
    hazards_of(&mut s, &["turn S4 on", "wait 20 s", "override 1V1 a latch", "wait 20 s"]);
    assert_eq!(tells(&mut s, "look 1A1"), ["the rod of 1A1 is 300 mm out of 300 mm"]);
    let sits = "1S2 sits where the rod strikes it at 280 mm";
    assert_eq!(tells(&mut s, "look 1S2"), ["1S2 is pushed", sits]);
    assert_eq!(tells(&mut s, "look 1V1"), ["override a of 1V1 is pushed in"]);
    hazards_of(&mut s, &["override 1V1 a release", "override 1V1 b push", "wait 1 s"]);
    assert_ne!(tells(&mut s, "look 1A1"), ["the rod of 1A1 is 300 mm out of 300 mm"]);
    assert_eq!(tells(&mut s, "listen P1"), ["P1 runs"]);
    assert_eq!(tells(&mut s, "listen RV1"), ["oil rushes through RV1"]);
    assert_eq!(tells(&mut s, "look P1")[0], "the shaft of P1 turns with the arrow");
}

#[test]
fn settings_change_what_they_name() {
    let mut s = session();
    for line in [
        "adjust RV1 pressure 50 bar",
        "adjust BP1 pressure 40 bar",
        "adjust 1S2 position 200 mm",
        "adjust K1 time 2 s",
        "adjust TH1 opening 50 %",
    ] {
        assert_eq!(does(&mut s, line).hazards, [], "{line}");
    }
    let plan = s.rig().plant().plan().clone();
    let (is, nominal) = (s.rig().plant().condition(), &plan.nominal);
    let operator =
        |tag: &str, role: &str| match plan.parts[plan.part(tag).unwrap().index()].element(role) {
            Some(Element::Operator(o)) => is.operators[o.index()].trigger,
            other => panic!("{other:?}"),
        };
    assert!(matches!(operator("BP1", "bellows"),
        Trigger::Pressure { rise_pa, fall_pa } if rise_pa == 40e5 && fall_pa == 35e5));
    assert!(matches!(operator("1S2", "cam"),
        Trigger::Cam { from_m, to_m, .. } if from_m == 0.2 && (to_m - 0.24).abs() < 1e-12));
    assert!(matches!(operator("K1", "armature"),
        Trigger::Armature { delay: Delay::On(t), .. } if t == SimTime::from_secs(2)));
    let changed: Vec<usize> =
        (0..is.flows.len()).filter(|f| is.flows[*f] != nominal.flows[*f]).collect();
    assert_eq!(changed.len(), 2);
    for line in [
        "adjust RV1 pressure 5 L/min",
        "adjust RV1 speed 5",
        "adjust K1 time 20 h",
        "adjust 1S2 position 4 m",
        "adjust H1 pressure 5 bar",
        "adjust TH1 opening 900 %",
    ] {
        let error = s.act(parse(line).unwrap()).unwrap_err();
        assert!(matches!(error, ActError::BadValue { .. }), "{line}: {error:?}");
    }
}

/// A counter's wheels, the dial of an overload relay, the trimmers of an amplifier: misset, found and
/// set again.
#[test]
fn dials_and_trimmers_mend_what_is_misset() {
    use crate::fault::Fault;
    let text = r#"Bench(format: 1, parts: { "P1": Counter(preset: 3), "Q1": MotorStarter(setting: "5 A"),
        "T1": Tank(), "M1": Pump(displacement: "8 cm3/rev", run_by: ["Q1"]), "1V1": ProportionalValve() },
        lines: [Line(ports: ["T1:T", "M1:S", "1V1:T"]), Line(ports: ["M1:P", "1V1:P"])])"#;
    let found = &mut crate::diagnostic::Diagnostics::new();
    let plan = std::sync::Arc::new(crate::bench::load("test", text, found).unwrap().plan);
    let session = |faults: &[(&str, &str)]| {
        let mut plant = Plant::nominal(plan.clone());
        for (part, mode) in faults {
            crate::fault::apply(&mut plant, &Fault::new(part, mode)).unwrap();
        }
        Session::new(Rig::sound(plant), SessionConfig::default())
    };
    let faults = [("P1", "misset"), ("Q1", "set-high"), ("1V1", "gain-low"), ("1V1", "slow-ramp")];
    let mut s = session(&faults);
    let differs = |s: &Session| {
        let (is, nominal) = (s.rig().plant().condition(), &plan.nominal);
        [
            is.operators != nominal.operators,
            is.overloads != nominal.overloads,
            is.amplifiers != nominal.amplifiers,
        ]
    };
    assert_eq!(differs(&s), [true; 3]);
    for line in ["adjust P1 count 3", "adjust Q1 current 5 A", "adjust 1V1 gain 100 %"] {
        does(&mut s, line);
    }
    assert_eq!(differs(&s), [false, false, true]);
    does(&mut s, "adjust 1V1 ramp 100 %");
    assert_eq!(differs(&s), [false; 3]);
    for line in [
        "adjust P1 count 0",
        "adjust P1 count 2.5",
        "adjust Q1 current 9 A",
        "adjust 1V1 gain 900 %",
    ] {
        let error = s.act(parse(line).unwrap()).unwrap_err();
        assert!(matches!(error, ActError::BadValue { .. }), "{line}: {error:?}");
    }
    let names = |tag: &str| crate::session::task::settings_of(&plan, plan.part(tag).unwrap());
    assert_eq!(names("1V1"), ["gain", "ramp"]);
    assert_eq!((names("P1"), names("Q1")), (vec!["count"], vec!["current"]));
}

#[test]
fn swapped_plugs_are_swapped_back() {
    let mut s = session();
    does(&mut s, "isolate Q0");
    does(&mut s, "swap plugs 1V1");
    assert!(s.rig().plant().condition().plugs_swapped[0]);
    does(&mut s, "swap plugs 1V1");
    assert!(!s.rig().plant().condition().plugs_swapped[0]);
}

#[test]
fn an_open_volume_bleeds_down_and_keeps_its_own_leak() {
    let mut s = session();
    hazards_of(&mut s, &["turn S4 on", "wait 20 s", "turn S4 off"]);
    let store = crate::base::VolumeId::new(2);
    s.rig.plant_mut().set_vent(store, 1e-15);
    let out = does(&mut s, "bleed AC1");
    assert_eq!(told(&out), ["oil comes out at AC1, then stops"]);
    assert!(s.rig.plant_mut().read(Probe::Pressure(store)) < 0.5e5);
    assert_eq!(s.rig().plant().condition().vents[store.index()], 1e-15);
    assert_eq!(tells(&mut s, "bleed AC1"), ["hardly any oil comes out at AC1"]);
    assert!(tells(&mut s, "look AC1")[0].contains("film of oil"));
}

#[test]
fn a_new_part_is_sound() {
    let mut s = session();
    let plan = s.rig().plant().plan().clone();
    let part = plan.part("W2").unwrap();
    let Some(Element::Branch(core)) = plan.parts[part.index()].element("core") else {
        panic!("a wire has a core");
    };
    s.rig.plant_mut().alter(part, |c| c.branches[core.index()].ohm = f64::INFINITY);
    hazards_of(&mut s, &["hold S1", "wait 1 s"]);
    assert_eq!(tells(&mut s, "look K1"), ["K1 is dropped out"]);
    hazards_of(&mut s, &["release S1", "repair W2", "hold S1", "wait 1 s"]);
    assert_eq!(tells(&mut s, "look K1"), ["K1 is pulled in"]);
}

/// Breaks the wire of S1 when the lamp first lights, and mends it for good when it is repaired.
#[derive(Clone)]
struct Breaks {
    done: bool,
}

impl Director for Breaks {
    fn begin(&mut self, _: &mut Plant) -> Result<(), DirectorError> {
        Ok(())
    }
    fn next_time(&self) -> Option<SimTime> {
        (!self.done).then_some(SimTime::from_secs(100))
    }
    fn at_time(&mut self, _: &mut Plant) -> Result<(), DirectorError> {
        self.done = true;
        Ok(())
    }
    fn on_happening(&mut self, plant: &mut Plant, h: &Happening) -> Result<(), DirectorError> {
        if matches!(h.what, What::Lit(_)) && !self.done {
            self.done = true;
            let plan = plant.plan().clone();
            let part = plan.part("W2").unwrap();
            plant.alter(part, |c| {
                for (_, e) in &plan.parts[part.index()].elements {
                    if let Element::Branch(b) = e {
                        c.branches[b.index()].ohm = f64::INFINITY;
                    }
                }
            });
        }
        Ok(())
    }
    fn repaired(&mut self, _: crate::base::PartId, repair: Repair) {
        assert_eq!(repair, Repair::Mended);
    }
    fn injected(&self) -> Vec<Injected> {
        Vec::new()
    }
    fn copy(&self) -> Box<dyn Director> {
        Box::new(self.clone())
    }
}

#[test]
fn a_director_hears_what_happens_and_nothing_of_it_shows() {
    let rig = Rig::new(Plant::nominal(bench()), Box::new(Breaks { done: false }));
    let mut s = Session::new(rig, SessionConfig::default());
    let out = does(&mut s, "hold S1");
    let seen: Vec<String> = out.seen.iter().map(|x| x.what.to_string()).collect();
    assert_eq!(seen, ["K1 clicks", "H1 lights", "K1 clicks", "H1 goes out"]);
    does(&mut s, "release S1");
    does(&mut s, "repair W2");
    does(&mut s, "hold S1");
    assert_eq!(tells(&mut s, "look H1"), ["H1 is lit"]);
    assert!(!format!("{s:?}").contains("Breaks"));
}

#[test]
fn a_director_without_end_is_stopped() {
    #[derive(Clone)]
    struct Never;
    impl Director for Never {
        fn begin(&mut self, _: &mut Plant) -> Result<(), DirectorError> {
            Ok(())
        }
        fn next_time(&self) -> Option<SimTime> {
            Some(SimTime::from_secs(1))
        }
        fn at_time(&mut self, _: &mut Plant) -> Result<(), DirectorError> {
            Ok(())
        }
        fn on_happening(&mut self, _: &mut Plant, _: &Happening) -> Result<(), DirectorError> {
            Ok(())
        }
        fn repaired(&mut self, _: crate::base::PartId, _: Repair) {}
        fn injected(&self) -> Vec<Injected> {
            Vec::new()
        }
        fn copy(&self) -> Box<dyn Director> {
            Box::new(self.clone())
        }
    }
    let rig = Rig::new(Plant::nominal(bench()), Box::new(Never));
    let mut s = Session::new(rig, SessionConfig::default());
    let error = s.act(parse("wait 2 s").unwrap()).unwrap_err();
    assert!(matches!(error, ActError::Rig(RigError::TooMuchWork { .. })));
    assert_eq!(s.ended(), Some(Ended::Broken));
}

#[test]
fn what_cannot_be_done_changes_nothing() {
    let mut s = session();
    let digest = s.rig().plant().digest();
    for line in [
        "press S9",
        "press H1",
        "turn S1 on",
        "volts K1:A1 K1:A9",
        "gauge MP9",
        "override K1 a push",
        "swap plugs K1",
        "isolate S1",
        "open 1V1:T",
        "open 1V1:Z",
        "bleed T1",
        "prop 1V1",
        "repair K1",
        "clean Q0",
        "suspect K1, K9",
        "name K9 worn",
        "clamp nowhere",
    ] {
        assert!(s.act(parse(line).unwrap()).is_err(), "{line}");
    }
    let error = s.act(parse("press s1").unwrap()).unwrap_err();
    assert_eq!(error.to_string(), "there is no part \"s1\"; did you mean \"S1\"?");
    assert_eq!((s.now(), s.log().len()), (SimTime::ZERO, 0));
    assert_eq!(s.rig().plant().digest(), digest);
}

#[test]
fn bounds_hold() {
    let mut config = SessionConfig {
        time_limit: SimTime::from_secs(60),
        action_limit: 3,
        ..SessionConfig::default()
    };
    config.tools.remove(&Tool::Clamp);
    let mut s = Session::new(Rig::sound(Plant::nominal(bench())), config.clone());
    let clamp = s.act(parse("clamp H1").unwrap());
    assert_eq!(clamp, Err(ActError::NoTool(Tool::Clamp)));
    let text = "x".repeat(TEXT_LIMIT + 1);
    assert!(matches!(s.act(Action::Note { text }), Err(ActError::TooMuchText(_))));
    let parts = vec![String::new(); 1_000];
    assert!(matches!(s.act(Action::Suspect { parts }), Err(ActError::TooMuchText(_))));
    for _ in 0..3 {
        does(&mut s, "press S1");
    }
    assert!(matches!(s.act(parse("press S1").unwrap()), Err(ActError::TooManyActions(_))));
    assert_eq!(
        s.act_at(SimTime::ZERO, parse("press S1").unwrap()),
        Err(ActError::TooEarly { at: SimTime::ZERO, now: SimTime::from_secs(3) })
    );
    // Time is up in the middle of a wait for ever.
    let mut s = Session::new(Rig::sound(Plant::nominal(bench())), config);
    let out = s.act(Action::Wait { ns: u64::MAX }).unwrap();
    assert_eq!(told(&out), ["Time is up."]);
    assert_eq!((s.now(), s.ended()), (SimTime::from_secs(60), Some(Ended::TimeUp)));
    assert_eq!(s.act(Action::Prove {}), Err(ActError::Ended));
}

#[test]
fn every_verb_has_its_time() {
    for spec in verbs() {
        let action = parse(spec.example).unwrap();
        let mut s = session();
        if spec.verb == "lock" {
            does(&mut s, "isolate Q0");
        }
        let before = s.now();
        match s.act(action) {
            Ok(_) => {
                let took = (s.now() - before).as_secs_f64();
                let usual = f64::from(spec.cost.usual_s());
                assert!(took == usual || spec.verb == "wait", "{}: {took}", spec.verb);
            }
            // The examples name parts of another bench.
            Err(
                ActError::NoSuchPart { .. }
                | ActError::NoSuchPoint { .. }
                | ActError::NotForThat { .. },
            ) => {}
            Err(error) => panic!("{}: {error}", spec.verb),
        }
    }
}
