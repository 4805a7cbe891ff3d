//! What the benches that show components at work do.

use spoolbench::plant::{Plant, Probe};
use spoolbench::session::{Rig, Session, SessionConfig, parse};

use super::machines::{Hands, load};

/// Position of the piston of `tag` [mm].
fn mm(h: &mut Hands, tag: &str) -> f64 {
    let (probe, _) = h.plant.plan().probe(&format!("s:{tag}")).expect("a probe");
    1e3 * h.plant.read(probe)
}

/// Both hands, `apart` seconds from each other, held for a second and let go; how far down the stamp came.
fn stroke(h: &mut Hands, apart: f64) -> f64 {
    h.set("S1", true);
    h.run(apart);
    h.set("S2", true);
    let mut reached = 0.0_f64;
    for _ in 0..100 {
        h.run(0.01);
        reached = reached.max(mm(h, "1A1"));
    }
    h.set("S1", false);
    h.set("S2", false);
    h.run(1.5);
    reached
}

/// Two hands within half a second bring it down (ISO 13851 type III, from memory), one late hand does not; after three
/// bricks it waits until the batch is taken up again. The clamp closes with it or by hand.
#[test]
fn the_stamp_counts_a_batch() {
    let mut h = Hands::new(load("stamp.bench.ron"), 1);
    h.run(5.0);
    assert!(mm(&mut h, "1A1") < 0.5 && mm(&mut h, "2A1") < 0.5, "it rests");
    assert!(stroke(&mut h, 0.7) < 0.5, "a late hand");
    for brick in 1..=3 {
        assert!(stroke(&mut h, 0.3) > 79.0, "brick {brick}");
        assert!(mm(&mut h, "1A1") < 0.5, "up again");
        assert_eq!(h.lit("H1"), brick == 3, "brick {brick}");
    }
    assert!(stroke(&mut h, 0.1) < 0.5, "the batch is done");
    h.press("S3");
    h.run(1.0);
    assert!(!h.lit("H1"));
    assert!(stroke(&mut h, 0.1) > 79.0, "the next batch");
    // The clamp by hand, and both ways off.
    h.set("0V2", true);
    h.run(1.0);
    assert!(mm(&mut h, "2A1") > 19.0 && mm(&mut h, "1A1") < 0.5);
    h.set("0V2", false);
    h.run(2.0);
    assert!(mm(&mut h, "2A1") < 0.5);
}

/// Whoever stands before it has two hands: pushed at once the buttons bring the stamp down, one after the other
/// they come too late.
#[test]
fn a_learner_stamps_with_both_hands() {
    for (steps, down) in [(&["both S1 S2"][..], true), (&["hold S1", "hold S2"][..], false)] {
        let rig = Rig::sound(Plant::nominal(load("stamp.bench.ron")));
        let mut session = Session::new(rig, SessionConfig::default());
        for line in ["wait 5 s"].iter().chain(steps).chain(&["wait 1 s"]) {
            session.act(parse(line).expect(line)).expect(line);
        }
        let out = session.act(parse("look 1A1").expect("a look")).expect("a look");
        let at = format!("the rod of 1A1 is {} mm out of 80 mm", if down { 80 } else { 0 });
        assert_eq!(out.lines.iter().map(ToString::to_string).collect::<Vec<_>>(), [at]);
    }
}

/// The slow start lets a twentieth through until the pressure behind it is half of the supply's, and then all: the
/// supply behind its regulator takes many times as long per bar before that (ISO 6358, from memory).
#[test]
fn the_stamp_starts_slowly() {
    let plan = load("stamp.bench.ron");
    let mut h = Hands::new(plan.clone(), 1);
    let (probe, _) = plan.probe("p:MP3").expect("a probe");
    let marks = [0.5, 2.0, 3.0, 4.5];
    let mut passed = [0.0; 4];
    for step in 1..1000 {
        h.run(0.002);
        let bar = h.plant.read(probe) / 1e5;
        for (at, mark) in passed.iter_mut().zip(marks) {
            if *at == 0.0 && bar > mark {
                *at = f64::from(step) * 0.002;
            }
        }
    }
    let (slow, quick) = ((passed[1] - passed[0]) / 1.5, (passed[3] - passed[2]) / 1.5);
    println!("{slow} s per bar, then {quick}");
    assert!(quick > 0.0 && (8.0..25.0).contains(&(slow / quick)), "{passed:?}");
}

/// The valves bench: each button moves its own cylinder out, and the ones opposite in again.
#[test]
fn the_valves_move_their_cylinders() {
    let mut h = Hands::new(load("valves.bench.ron"), 1);
    h.run(2.0);
    for (button, tag, out) in [
        ("S1", "1A1", true),
        ("S2", "2A1", true),
        ("S3", "2A1", false),
        ("S4", "3A1", true),
        ("S5", "3A1", false),
    ] {
        h.set(button, true);
        h.run(8.0);
        let at = mm(&mut h, tag);
        assert!(if out { at > 149.0 } else { at < 1.0 }, "{button}: {tag} at {at} mm");
        h.set(button, false);
        h.run(1.0);
    }
    let spool = h.plant.plan().spools.iter().position(|s| s.name == "3V1 main spool");
    let spool = spoolbench::base::SpoolId::new(spool.expect("a main spool"));
    assert!(h.plant.read(Probe::Spool(spool)).abs() < 0.03, "centred");
}
