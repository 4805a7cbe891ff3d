//! Relays that remember, count and flash, against what is known of them by hand.

use super::small::circuit;
use super::{english, operator};
use crate::diagnosis::interlock::{Options, Output, Property, Verdict, check};

#[test]
fn a_latching_relay_stays_as_it_was_left() {
    let parts = r#""S1": PushButton(title: "Set"), "S2": PushButton(title: "Reset"),
        "K1": LatchingRelay(title: "Memory"), "K2": Relay(title: "Follows"),"#;
    let plan = circuit(parts, &["S1:13-14, K1:A1-A2", "S2:13-14, K1:B1-B2", "K1:13-14, K2:A1-A2"]);
    let report = check(&plan, &Options::default()).expect("report");
    assert!(report.exhausted);
    // Without supply it is no relay that must be out; what follows it comes back with the supply.
    for property in [Property::OutWithoutSupply, Property::NoRace, Property::NoTrap] {
        assert_eq!(report.verdict(property), Some(&Verdict::Holds), "{property:?}");
    }
    let follows = Property::NoRestart { output: Output::Relay(operator(&plan, "K2")) };
    let text = report.counterexample(follows).expect("a restart").text(&plan, english());
    assert!(text.contains("K1 (Memory) is set"), "{text}");
    let memory = Property::NoRestart { output: Output::Relay(operator(&plan, "K1")) };
    assert_eq!(report.verdict(memory), Some(&Verdict::Holds));
    // Q0, two buttons, two relays: nothing is free that is not a hand's.
    assert!(report.states <= 1 << 5, "{}", report.states);
}

/// Pulses that it takes until what a counter of `preset` feeds comes back with the supply. A supply that
/// returns while the button is held is a pulse too.
fn pulses(preset: u32) -> (usize, bool) {
    let parts = format!(
        r#""S1": PushButton(title: "Pulse"), "S2": PushButton(title: "Zero"),
        "P1": Counter(title: "Pieces", preset: {preset}), "K2": Relay(title: "Full"),"#
    );
    let plan = circuit(&parts, &["S1:13-14, P1:A1-A2", "S2:13-14, P1:R1-R2", "P1:13-14, K2:A1-A2"]);
    let report = check(&plan, &Options::default()).expect("report");
    let full = Property::NoRestart { output: Output::Relay(operator(&plan, "K2")) };
    let text = report.counterexample(full).expect("a restart").text(&plan, english());
    (text.matches("P1 (Pieces) picks up").count(), report.exhausted)
}

#[test]
fn a_counter_takes_its_pulses() {
    for preset in [1, 2, 3, 6] {
        assert_eq!(pulses(preset), (preset as usize, true), "{preset}");
    }
    // Beyond, any pulse may be the last: fewer than it takes, never more.
    assert_eq!(pulses(40), (1, true));
}

#[test]
fn a_flasher_makes_and_opens_by_turns() {
    let parts = r#""S1": PushButton(title: "Run"),
        "K1": Relay(title: "Flasher", function: "flashing", delay: "500 ms"),
        "K2": Relay(title: "Follows"),"#;
    let plan = circuit(parts, &["S1:13-14, K1:A1-A2", "K1:13-14, K2:A1-A2"]);
    let report = check(&plan, &Options::default()).expect("report");
    for property in [Property::OutWithoutSupply, Property::NoBuzzing, Property::Reachable] {
        assert_eq!(report.verdict(property), Some(&Verdict::Holds), "{property:?}");
    }
}
