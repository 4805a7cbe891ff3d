//! The same work done by others: a stiff circuit by diffsol, an electrical circuit by ngspice.
//!
//! `spoolbench-outside [REPETITIONS]`. Both sides take turns in one run, so that a busy machine slows
//! both; medians are compared. How close each comes is judged against a run of the other side with
//! tolerances a hundred times narrower.

#[path = "../../common/circuit.rs"]
mod circuit;
mod coils;
mod fluid;
#[path = "../../common/stamped.rs"]
mod stamped;

use std::time::Instant;

/// Median.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// What a run takes [s].
fn seconds_of(run: impl FnOnce()) -> f64 {
    let begun = Instant::now();
    run();
    begun.elapsed().as_secs_f64()
}

fn main() {
    let repetitions = std::env::args().nth(1).and_then(|n| n.parse().ok()).unwrap_or(31);
    fluid::compare(repetitions);
    coils::compare(repetitions);
}
