//! Replay speed: how many seconds of bench time a second of one core replays.
//!
//! Each line replays an attempt of a shipped scenario from its bytes, readings recomputed, or runs a
//! shipped machine through its cycle over and over. Prints bench time over wall time, the median of
//! several repetitions.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, missing_docs)]

use std::sync::Arc;
use std::time::Instant;

use spoolbench::base::SimTime;
use spoolbench::bench;
use spoolbench::diagnostic::{Diagnostics, Sources};
use spoolbench::plant::Plant;
use spoolbench::scenario::{Scenario, Shelf, Shipped, load};
use spoolbench::session::{Header, Session, read_actions};

const REPETITIONS: usize = 15;

fn scenario(name: &str) -> Scenario {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    load(&Shipped, name, &mut sources, &mut found).unwrap()
}

/// Replays an action list; gives the bench time passed [s].
fn replay(scenario: &Scenario, list: &str) -> f64 {
    let lines = read_actions(&Shipped.text(list).unwrap()).unwrap();
    let mut session = Session::new(scenario.rig(scenario.seed).unwrap(), scenario.config());
    for line in lines {
        if session.act(line.action).is_err() {
            break;
        }
    }
    let _ = Header::new(&scenario.digest, scenario.seed, "bench");
    session.now().as_secs_f64()
}

fn median(mut ratios: Vec<f64>) -> f64 {
    ratios.sort_by(f64::total_cmp);
    ratios[ratios.len() / 2]
}

fn measure(name: &str, mut run: impl FnMut() -> f64) {
    run();
    let ratios = (0..REPETITIONS)
        .map(|_| {
            let start = Instant::now();
            let seconds = run();
            seconds / start.elapsed().as_secs_f64()
        })
        .collect();
    println!("{name}: {:.0} x real time on one core", median(ratios));
}

/// Presses the buttons of a machine in turn, without rest, for `cycles` rounds.
fn cycle(plan: &Arc<spoolbench::plant::Plan>, buttons: &[(&str, u64, u64)], cycles: usize) -> f64 {
    let mut plant = Plant::new(Arc::clone(plan), 1);
    let press = |plant: &mut Plant, tag: &str, hold_ms: u64, rest_ms: u64| {
        let operator = plant.plan().hand_operator(tag).unwrap();
        plant.set_operator(operator, true);
        let until = plant.now() + SimTime::from_millis(hold_ms);
        plant.advance(until, false).unwrap();
        plant.set_operator(operator, false);
        let until = plant.now() + SimTime::from_millis(rest_ms);
        plant.advance(until, false).unwrap();
        plant.take_happenings();
    };
    press(&mut plant, "S4", 300, 500);
    for _ in 0..cycles {
        for &(tag, hold, rest) in buttons {
            press(&mut plant, tag, hold, rest);
        }
    }
    plant.now().as_secs_f64()
}

fn main() {
    let press = scenario("press-interlock.scenario.ron");
    for list in ["press-interlock.good.actions", "press-interlock.unsafe.actions"] {
        measure(&format!("replay {list}"), || replay(&press, list));
    }
    for (name, buttons) in [
        ("pusher.bench.ron", vec![("S1", 300, 6900)]),
        ("press.bench.ron", vec![("S1", 5500, 500), ("S2", 5500, 500)]),
        ("door.bench.ron", vec![("S1", 6000, 6000)]),
    ] {
        let mut found = Diagnostics::new();
        let source = Shipped.text(name).unwrap();
        let plan = Arc::new(bench::load(name, &source, &mut found).unwrap().plan);
        measure(&format!("cycling without rest, {name}"), || cycle(&plan, &buttons, 10));
    }
}
