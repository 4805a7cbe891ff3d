//! What normal operation shows of single faults, and what stays hidden.

use super::small::circuit;
use super::{contact, english, operator, shipped};
use crate::diagnosis::interlock::{Fault, Options, Sign, latent_faults};
use crate::plant::Plan;

fn sign(plan: &Plan, fault: Fault) -> Sign {
    let found = latent_faults(plan, &Options::default(), &[fault]).expect("findings");
    found[0].sign.clone()
}

fn shown(plan: &Plan, fault: Fault) -> (Vec<String>, String) {
    match sign(plan, fault) {
        Sign::Shown { steps, what } => {
            (steps.into_iter().map(|s| s.text(english())).collect(), what)
        }
        other => panic!("{}: {other:?}", fault.describe(plan)),
    }
}

#[test]
fn the_cross_contacts_of_the_press_fail_in_silence() {
    let plan = shipped("press.bench.ron");
    // Nobody presses both buttons in normal operation, so that nothing asks for them.
    for name in ["K1:21-22", "K2:21-22"] {
        assert_eq!(sign(&plan, Fault::Welded(contact(&plan, name))), Sign::Latent, "{name}");
    }
    // Open instead of welded, the other side is dead.
    let (steps, what) = shown(&plan, Fault::Dead(contact(&plan, "K2:21-22")));
    assert_eq!(steps.last().map(String::as_str), Some("press S1 (Press)"));
    assert_eq!(what, "1A1 is retracted instead of on the way");
    // The stop is pressed at rest only, where it has nothing to stop.
    assert_eq!(sign(&plan, Fault::Welded(contact(&plan, "S0:21-22"))), Sign::Latent);
    let (steps, what) = shown(&plan, Fault::Dead(contact(&plan, "S3:21-22")));
    assert_eq!((steps.len(), what.as_str()), (1, "H1 stays dark, M1 does not run"));
    // The holding contact: the pump runs while the button is down.
    let (steps, _) = shown(&plan, Fault::Dead(contact(&plan, "KM:13-14")));
    assert_eq!(steps, ["press S4 (Pump on)", "let go of S4 (Pump on)"]);
}

#[test]
fn every_single_fault_of_the_shipped_benches_has_its_sign() {
    // The stop of the pusher drops K1 even at rest, with the pump off: it is missed.
    for (name, hidden) in [("press.bench.ron", 3), ("pusher.bench.ron", 0)] {
        let plan = shipped(name);
        let faults = Fault::all(&plan);
        let found = latent_faults(&plan, &Options::default(), &faults).expect("findings");
        assert_eq!(found.len(), faults.len());
        let latent = found.iter().filter(|f| f.sign == Sign::Latent).count();
        assert!(found.iter().all(|f| f.sign != Sign::Undecided), "{name}");
        assert_eq!(latent, hidden, "{name}");
    }
}

/// Two buttons that only together do anything are held together; others are not.
#[test]
fn two_hands_are_used_where_one_does_nothing() {
    let parts = r#""S1": PushButton(title: "Left"), "S2": PushButton(title: "Right"),
        "S3": PushButton(title: "Other"), "K1": Relay(title: "Both"), "K2": Relay(title: "Other"),
        "H1": Lamp(title: "Both"), "H2": Lamp(title: "Other"),"#;
    let rungs = [
        "S1:13-14, S2:13-14, K1:A1-A2",
        "S3:13-14, K2:A1-A2",
        "K1:13-14, H1:X1-X2",
        "K2:13-14, H2:X1-X2",
    ];
    let plan = circuit(parts, &rungs);
    let (steps, what) = shown(&plan, Fault::Dead(contact(&plan, "S2:13-14")));
    assert_eq!(steps, ["press S1 (Left)", "press S2 (Right)"]);
    assert_eq!(what, "H1 stays dark");
    // One of the two welded: the other alone does it.
    let (steps, what) = shown(&plan, Fault::Welded(contact(&plan, "S1:13-14")));
    assert_eq!((steps, what.as_str()), (vec!["press S2 (Right)".to_owned()], "H1 is lit"));
    let (steps, _) = shown(&plan, Fault::Stuck(operator(&plan, "K2"), true));
    assert!(steps.is_empty(), "{steps:?}");
}

/// A welded contact with direct opening still opens; bridged, it does not.
#[test]
fn direct_opening_parts_a_weld() {
    use crate::diagnosis::interlock::{Property, Verdict, check_under};
    let parts = r#""S0": EmergencyStop(title: "Stop"), "S1": PushButton(title: "Run"),
        "K1": Relay(title: "Run"),"#;
    let plan = circuit(parts, &["S0:11-12, (S1:13-14 | K1:13-14), K1:A1-A2"]);
    let stop = Property::StopDominates { stop: operator(&plan, "S0") };
    let block = contact(&plan, "S0:11-12");
    let found = |fault| check_under(&plan, &Options::default(), Some(fault)).expect("a report");
    assert_eq!(found(Fault::Welded(block)).verdict(stop), Some(&Verdict::Holds));
    assert!(found(Fault::Bridged(block)).counterexample(stop).is_some());
    let all = Fault::all(&plan);
    assert!(all.contains(&Fault::Bridged(block)) && all.contains(&Fault::Welded(block)));
    assert!(!all.contains(&Fault::Bridged(contact(&plan, "S1:13-14"))));
}
