//! Replay speed: how many seconds of bench time a second of one core replays.
//!
//! Each line replays an attempt of a shipped scenario from its bytes, readings recomputed, or runs a
//! shipped machine through its cycle over and over. Prints bench time over wall time, the median of
//! several repetitions.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, missing_docs)]

use std::sync::Arc;
use std::time::Instant;

use spoolbench::base::SimTime;
use spoolbench::diagnostic::{Diagnostics, Sources};
use spoolbench::plant::{Plan, Plant};
use spoolbench::scenario::{Scenario, Shelf, Shipped, load, load_any};
use spoolbench::session::{Session, read_actions};

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
    session.now().as_secs_f64()
}

fn median(mut ratios: Vec<f64>) -> f64 {
    ratios.sort_by(f64::total_cmp);
    ratios[ratios.len() / 2]
}

/// Whether the words on the command line, which pick among the lines, pick `name`.
fn wanted(name: &str) -> bool {
    let mut words = std::env::args().skip(1).filter(|word| !word.starts_with('-')).peekable();
    words.peek().is_none() || words.any(|word| name.contains(&word))
}

fn measure(name: &str, mut run: impl FnMut() -> f64) {
    if !wanted(name) {
        return;
    }
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

/// One step of a cycle: buttons pushed together, for how long, and the rest after [ms].
type Step = (Vec<String>, u64, u64);

/// Goes through `steps` without rest, for `cycles` rounds; gives the plant as it then is.
fn cycle(plan: &Arc<Plan>, steps: &[Step], cycles: usize) -> Plant {
    let mut plant = Plant::new(Arc::clone(plan), 1);
    let press = |plant: &mut Plant, (tags, hold_ms, rest_ms): &Step| {
        for (acting, ms) in [(true, *hold_ms), (false, *rest_ms)] {
            for tag in tags {
                let operator = plant.plan().hand_operator(tag).unwrap();
                plant.set_operator(operator, acting);
            }
            let until = plant.now() + SimTime::from_millis(ms);
            plant.advance(until, false).unwrap();
        }
        plant.take_happenings();
    };
    if plan.part("S4").is_some() {
        press(&mut plant, &(vec!["S4".to_owned()], 300, 500));
    }
    for _ in 0..cycles {
        for step in steps {
            press(&mut plant, step);
        }
    }
    plant
}

/// The working cycle of a shipped machine; of one not listed, each of its buttons in turn, or of its
/// selectors where it has no buttons.
fn steps(name: &str, plan: &Plan) -> Vec<Step> {
    let known: &[(&[&str], u64, u64)] = match name {
        "pusher.bench.ron" | "pusher-starter.bench.ron" => &[(&["S1"], 300, 6900)],
        "press.bench.ron" | "press-plc.bench.ron" => &[(&["S1"], 5500, 500), (&["S2"], 5500, 500)],
        "door.bench.ron" | "door-closed.bench.ron" => &[(&["S1"], 6000, 6000)],
        // A whole cut, and as long for it as the shipped attempts give it.
        "cutter.bench.ron" => &[(&["S1"], 300, 15_700)],
        "gripper.bench.ron" => &[(&["S1"], 300, 2000), (&["S3", "S2"], 300, 2000)],
        _ => &[],
    };
    if !known.is_empty() {
        let own = |tags: &[&str]| tags.iter().map(|t| (*t).to_owned()).collect();
        return known.iter().map(|(tags, hold, rest)| (own(tags), *hold, *rest)).collect();
    }
    let all = |class: &str| -> Vec<Step> {
        let parts = plan.parts.iter().filter(|p| p.class == class);
        parts.map(|p| (vec![p.tag.clone()], 2000, 2000)).collect()
    };
    let buttons = all("PushButton");
    if buttons.is_empty() { all("Selector") } else { buttons }
}

fn main() {
    let press = scenario("press-interlock.scenario.ron");
    for list in ["press-interlock.good.actions", "press-interlock.unsafe.actions"] {
        measure(&format!("replay {list}"), || replay(&press, list));
    }
    for machine in ["pusher", "press", "door", "gripper", "cutter"] {
        let lists = Shipped::names().filter(|n| n.ends_with(".good.actions"));
        let tasks: Vec<(Scenario, &str)> = lists
            .filter(|name| name.starts_with(machine))
            .map(|list| (scenario(&list.replace(".good.actions", ".scenario.ron")), list))
            .collect();
        measure(&format!("replay the {} careful attempts at the {machine}", tasks.len()), || {
            tasks.iter().map(|(scenario, list)| replay(scenario, list)).sum()
        });
    }
    let benches = Shipped::names().filter(|name| name.ends_with(".bench.ron"));
    for name in benches.filter(|name| wanted(&format!("cycling without rest, {name}"))) {
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        let plan = load_any(&Shipped, name, &mut sources, &mut found).unwrap().plan;
        let steps = steps(name, &plan);
        let work = cycle(&plan, &steps, 10);
        let per_second = work.work().steps as f64 / work.now().as_secs_f64();
        let name = format!("cycling without rest, {name} ({per_second:.0} steps a second)");
        measure(&name, || cycle(&plan, &steps, 10).now().as_secs_f64());
    }
}
