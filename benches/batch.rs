//! A class of two thousand attempts or another number, made up and graded as a batch: how long it takes and how much
//! memory it needs.
//!
//! Grades with the program itself, as a user would, on as many threads as there are cores, and looks
//! at the memory of that process while it runs (where the system tells).
#![allow(clippy::disallowed_methods, clippy::expect_used, clippy::unwrap_used, missing_docs)]

#[path = "../tests/it/attempts.rs"]
mod attempts;

use std::fs;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use spoolbench::diagnostic::{Diagnostics, Sources};
use spoolbench::scenario::{Scenario, Shelf, Shipped, load};

fn scenario(name: &str) -> Scenario {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    load(&Shipped, name, &mut sources, &mut found).unwrap()
}

/// Largest memory that a process has had so far [KiB].
fn peak_kib(process: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

fn main() {
    // Words on the command line pick among the tasks, a number is the size of the class.
    let words: Vec<String> = std::env::args().skip(1).filter(|w| !w.starts_with('-')).collect();
    let size: u64 = words.iter().find_map(|w| w.parse().ok()).unwrap_or(2_000);
    let picks: Vec<&String> = words.iter().filter(|w| w.parse::<u64>().is_err()).collect();
    for (name, list) in [
        ("press-interlock.scenario.ron", "press-interlock.good.actions"),
        ("pusher-dead-coil.scenario.ron", "pusher-dead-coil.good.actions"),
        ("gripper-coil.scenario.ron", "gripper-coil.good.actions"),
    ] {
        if !picks.is_empty() && !picks.iter().any(|pick| name.contains(pick.as_str())) {
            continue;
        }
        let desk = tempfile::tempdir().unwrap();
        let class = desk.path().join("class");
        fs::create_dir(&class).unwrap();
        let scenario = scenario(name);
        let words = Shipped.text(list).unwrap();
        let (mut bytes, mut actions) = (0, 0);
        for k in 0..size {
            let attempt = attempts::varied(&scenario, &words, k);
            bytes += attempt.len();
            actions += attempt.iter().filter(|b| **b == b'\n').count() - 1;
            fs::write(class.join(format!("{k:05}.jsonl")), attempt).unwrap();
        }
        let out = desk.path().join("grades.jsonl");
        let begun = Instant::now();
        let mut child = Command::new(env!("CARGO_BIN_EXE_spoolbench"))
            .arg("grade")
            .arg(concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/").to_owned() + name)
            .args([class.as_os_str(), "--out".as_ref(), out.as_os_str()])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut peak = None;
        while child.try_wait().unwrap().is_none() {
            peak = peak_kib(child.id()).or(peak);
            std::thread::sleep(Duration::from_millis(20));
        }
        let seconds = begun.elapsed().as_secs_f64();
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let grades = fs::metadata(&out).unwrap().len();
        println!(
            "{name}: {size} attempts, {actions} actions, {:.1} MB, graded in {seconds:.1} s on \
             {cores} cores ({:.1} ms each); {} MB of grades; peak memory {}",
            bytes as f64 / 1e6,
            1e3 * seconds / size as f64,
            grades / 1_000_000,
            peak.map_or("not known".to_owned(), |kib| format!("{} MB", kib * 1024 / 1_000_000)),
        );
    }
}
