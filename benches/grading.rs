//! Grading speed: a class of varied attempts at a shipped scenario, marked with evidence.
//!
//! Every attempt is the careful learner's list with readings left out, doubled or in another order,
//! pauses of other lengths, and now and then another name. Prints attempts, wall time with all threads, and
//! the time of the fault dictionary, which is worked out once.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, missing_docs)]

use std::time::Instant;

use rayon::prelude::*;
use spoolbench::base::Stream;
use spoolbench::diagnostic::{Diagnostics, Sources};
use spoolbench::grade::Marker;
use spoolbench::scenario::{Scenario, Shelf, Shipped, load, play};

/// Attempts, unless the second argument says otherwise.
const ATTEMPTS: u64 = 1_000;

fn scenario(name: &str) -> Scenario {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    load(&Shipped, name, &mut sources, &mut found).unwrap()
}

/// Whether a line only looks, so that it may be left out or done twice.
fn looks(line: &str) -> bool {
    ["look ", "volts ", "clamp ", "gauge ", "listen ", "feel ", "note ", "plate "]
        .iter()
        .any(|verb| line.starts_with(verb))
}

/// A variation of `list`, in which `parts` may be named instead of the right one.
fn vary(list: &str, parts: &[String], number: u64) -> String {
    let mut chance = Stream::new(number, "class", "attempts");
    let lines = list.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with('#'));
    let mut lines: Vec<String> = lines.map(str::to_owned).collect();
    // Readings in another order.
    for k in 1..lines.len() {
        if looks(&lines[k]) && looks(&lines[k - 1]) && chance.unit() < 0.15 {
            lines.swap(k, k - 1);
        }
    }
    let mut text = String::new();
    for line in lines {
        let draw = chance.unit();
        if looks(&line) && draw < 0.2 {
            continue;
        }
        if draw > 0.85 {
            text.push_str(&format!("wait {} ms\n", (chance.unit() * 8_000.0) as u64 + 100));
        }
        match line.strip_prefix("name ").and_then(|rest| rest.split_once(' ')) {
            Some((_, mode)) if draw < 0.15 => {
                let other = &parts[chance.below(parts.len() as u64) as usize];
                text.push_str(&format!("name {other} {mode}\n"));
            }
            _ => text.push_str(&format!("{line}\n")),
        }
        if looks(&line) && draw > 0.75 {
            text.push_str(&format!("{line}\n"));
        }
    }
    text
}

fn main() {
    let mut words = std::env::args().skip(1).filter(|a| !a.starts_with('-'));
    let name = words.next();
    let attempts = words.next().and_then(|n| n.parse().ok()).unwrap_or(ATTEMPTS);
    let names = name.map_or_else(
        || vec!["pusher-dead-coil".to_owned(), "press-slow".to_owned()],
        |name| vec![name],
    );
    for name in names {
        let scenario = scenario(&format!("{name}.scenario.ron"));
        let list = Shipped.text(&format!("{name}.good.actions")).unwrap();
        let parts: Vec<String> = scenario.plan.parts.iter().map(|p| p.tag.clone()).collect();
        let attempts: Vec<Vec<u8>> = (0..attempts)
            .into_par_iter()
            .filter_map(|k| {
                play(&scenario, "learner", &vary(&list, &parts, k), &mut |_, _, _| Ok(())).ok()
            })
            .collect();
        let start = Instant::now();
        let marker = Marker::new(&scenario, None);
        let dictionary = start.elapsed().as_secs_f64();
        let start = Instant::now();
        let marks: Vec<f64> =
            attempts.par_iter().map(|bytes| marker.grade(bytes).unwrap().marks).collect();
        let seconds = start.elapsed().as_secs_f64();
        let mean = marks.iter().sum::<f64>() / marks.len() as f64;
        println!(
            "{name}: {} attempts graded in {seconds:.1} s on {} threads (dictionary {dictionary:.1} \
             s), mean {mean:.1} marks",
            attempts.len(),
            rayon::current_num_threads(),
        );
    }
}
