//! The event core against an independent discrete-event engine, nexosim 1.0, on the hold model:
//! N events are pending; each one that fires schedules one successor at a random later time.
//!
//! Both sides dispatch through a handler that draws the delay and schedules the successor, from
//! the same draws. nexosim runs on one thread, its events addressed to one model that schedules
//! itself by a plain function, which is the shortest way through it. Repetitions are interleaved
//! and medians compared, so that a busy machine slows both.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, missing_docs)]

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::hint::black_box;
use std::time::{Duration, Instant};

use nexosim::model::{Context, Model, schedulable};
use nexosim::ports::EventSource;
use nexosim::simulation::{Mailbox, SimInit, Simulation};
use nexosim::time::MonotonicTime;
use serde::{Deserialize, Serialize};
use spoolbench::base::SimTime;
use spoolbench::kernel::EventQueue;

const REPETITIONS: usize = 41;
/// Enough to warm the caches, few enough that an interruption of a shared machine stays rare.
const EVENTS: u64 = 20_000;

/// Delays [ns], uniform up to about 1 s; the same on both sides.
#[derive(Clone, Serialize, Deserialize)]
struct Delays(u64);

impl Delays {
    fn next_ns(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        1 + (self.0 >> 34)
    }
}

trait Handler {
    fn on(&mut self, now: SimTime, part: u32, queue: &mut EventQueue<u32>);
}

struct Holder {
    delays: Delays,
}

impl Handler for Holder {
    fn on(&mut self, now: SimTime, part: u32, queue: &mut EventQueue<u32>) {
        queue.push(now + SimTime::from_nanos(self.delays.next_ns()), 0, part);
    }
}

struct Ours {
    queue: EventQueue<u32>,
    handler: Box<dyn Handler>,
}

impl Ours {
    fn new(pending: u32) -> Self {
        let mut delays = Delays(0x9E37_79B9_7F4A_7C15);
        let mut queue = EventQueue::new();
        for part in 0..pending {
            queue.push(SimTime::from_nanos(delays.next_ns()), 0, part);
        }
        Ours { queue, handler: black_box(Box::new(Holder { delays })) }
    }

    fn run(&mut self) {
        for _ in 0..EVENTS {
            if let Some((now, _, part)) = self.queue.pop() {
                self.handler.on(now, part, &mut self.queue);
            }
        }
    }
}

#[derive(Serialize, Deserialize)]
struct HolderModel {
    delays: Delays,
}

#[Model]
impl HolderModel {
    #[nexosim(schedulable)]
    fn fire(&mut self, part: u32, context: &Context<Self>) {
        let delay = Duration::from_nanos(self.delays.next_ns());
        context.schedule_event(delay, schedulable!(Self::fire), part).unwrap();
    }
}

fn nexosim_with(pending: u32) -> Simulation {
    let mut delays = Delays(0x9E37_79B9_7F4A_7C15);
    let first: Vec<_> = (0..pending).map(|part| (delays.next_ns(), part)).collect();
    let mailbox = Mailbox::new();
    let mut bench = SimInit::with_num_threads(1);
    let fire = EventSource::new().connect(HolderModel::fire, &mailbox).register(&mut bench);
    let mut simulation = bench
        .add_model(HolderModel { delays }, mailbox, "holder")
        .init(MonotonicTime::EPOCH)
        .unwrap();
    let scheduler = simulation.scheduler();
    for (delay_ns, part) in first {
        scheduler.schedule_event(Duration::from_nanos(delay_ns), &fire, part).unwrap();
    }
    // The first events come from the scheduler; let the model's own replace them all.
    for _ in 0..pending {
        simulation.step().unwrap();
    }
    simulation
}

/// For scale: the standard library's heap with no slab, no cancelling and no handler.
struct Plain {
    heap: BinaryHeap<Reverse<(u64, u64, u32)>>,
    sequence: u64,
    delays: Delays,
}

impl Plain {
    fn new(pending: u32) -> Self {
        let mut delays = Delays(0x9E37_79B9_7F4A_7C15);
        let heap =
            (0..pending).map(|part| Reverse((delays.next_ns(), u64::from(part), part))).collect();
        Plain { heap, sequence: u64::from(pending), delays }
    }

    fn run(&mut self) {
        for _ in 0..EVENTS {
            if let Some(Reverse((now, _, part))) = self.heap.pop() {
                self.sequence += 1;
                self.heap.push(Reverse((now + self.delays.next_ns(), self.sequence, part)));
            }
        }
    }
}

fn nanos_per_event(mut run: impl FnMut()) -> f64 {
    let start = Instant::now();
    run();
    start.elapsed().as_nanos() as f64 / EVENTS as f64
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn main() {
    for pending in [1_000, 100_000] {
        let mut ours = Ours::new(pending);
        let mut nexosim = nexosim_with(pending);
        let mut plain = Plain::new(pending);
        // Every first event goes before the count starts, as it has on nexosim's side.
        for _ in 0..u64::from(pending).div_ceil(EVENTS) {
            ours.run();
            plain.run();
        }
        let mut times = [Vec::new(), Vec::new(), Vec::new()];
        for _ in 0..REPETITIONS {
            times[0].push(nanos_per_event(|| ours.run()));
            times[1].push(nanos_per_event(|| {
                for _ in 0..EVENTS {
                    simulation_step(&mut nexosim);
                }
            }));
            times[2].push(nanos_per_event(|| plain.run()));
        }
        assert_eq!(ours.queue.len(), pending as usize);
        let [ours_ns, nexosim_ns, plain_ns] = times.map(median);
        println!(
            "event_core hold N={pending}: ours {ours_ns:.1} ns, nexosim {nexosim_ns:.1} ns, \
             std heap {plain_ns:.1} ns; RATIO ours/nexosim {:.3}, ours/std {:.3}",
            ours_ns / nexosim_ns,
            ours_ns / plain_ns
        );
    }
}

fn simulation_step(simulation: &mut Simulation) {
    simulation.step().unwrap();
}
