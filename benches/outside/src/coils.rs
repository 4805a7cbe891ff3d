//! One electrical circuit, twelve coils switched from one supply, by ngspice and by our plant.
//!
//! Contacts, coils, their free-wheeling resistors and the supply are the same on both sides, and so
//! are the moments of switching. ngspice gets its own usual tolerances; its time is the one that it
//! tells for its transient analysis, without reading the circuit or starting up.

use std::fmt::Write as _;
use std::process::Command;
use std::sync::Arc;

use spoolbench::base::{OperatorId, SimTime, WindingId};
use spoolbench::electric::WindingMake;
use spoolbench::plant::{
    BranchMake, BranchRole, Current, Plan, PlanBuilder, Plant, Probe, Tie, Trigger,
};

use crate::{median, seconds_of};

const COILS: u64 = 12;
const SUPPLY_V: f64 = 24.0;
const SUPPLY_OHM: f64 = 0.5;
const CONTACT_OHM: f64 = 0.02;
const COIL_OHM: f64 = 48.0;
const COIL_HENRY: f64 = 0.4;
/// Across each coil, so that its current has somewhere to go.
const ACROSS_OHM: f64 = 200.0;
/// What our windings have across them besides: their iron loss, a thousand times their resistance.
const IRON_OHM: f64 = 1000.0 * COIL_OHM;
const END_MS: u64 = 10_000;
/// Time from a call to the closing and to the opening of one of our contacts [ms].
const MAKES_MS: u64 = 2;
const BREAKS_MS: u64 = 1;

/// Delay, width and period of the pulses of coil `k` [ms].
fn pulse(k: u64) -> (u64, u64, u64) {
    (10 + 7 * k, 110 + 9 * k, 200 + 20 * k)
}

fn plan() -> Arc<Plan> {
    let mut b = PlanBuilder::new("coils", 20.0);
    b.part("G1", "supply", "");
    let (plus, minus) = (b.terminal("+"), b.terminal("-"));
    b.supply(Current::Dc, plus, minus, SUPPLY_V, SUPPLY_OHM, None);
    b.branch("bond", BranchRole::Resistor, minus, PlanBuilder::EARTH, BranchMake::ohm(1e-3));
    let make = WindingMake {
        ohm_at_20: COIL_OHM,
        open_henry: COIL_HENRY,
        seated_henry: COIL_HENRY,
        leakage: 0.0,
        stroke_m: 1e-3,
        sound_turns: 1.0,
        open: false,
        kelvin_per_watt: 1.0,
        // So heavy that it stays at 20 degC.
        joule_per_kelvin: 1e12,
        burnout_celsius: 1e6,
    };
    for k in 0..COILS {
        b.part(&format!("K{k}"), "coil", "");
        let live = b.terminal("A1");
        let hand = b.operator("hand", Tie::Hand, Trigger::Hand, false);
        b.contact("13-14", hand, false, plus, live, CONTACT_OHM);
        b.winding("coil", live, minus, make, Vec::new());
        b.branch("across", BranchRole::Resistor, live, minus, BranchMake::ohm(ACROSS_OHM));
    }
    Arc::new(b.finish().expect("a plan"))
}

/// All calls of the contacts in order: time, coil, on or off [ms].
fn calls() -> Vec<(u64, u64, bool)> {
    let mut list = Vec::new();
    for k in 0..COILS {
        let (delay, width, period) = pulse(k);
        for n in 0.. {
            let closes = delay + n * period;
            if closes + width >= END_MS {
                if closes < END_MS {
                    list.push((closes - MAKES_MS, k, true));
                }
                break;
            }
            list.push((closes - MAKES_MS, k, true));
            list.push((closes + width - BREAKS_MS, k, false));
        }
    }
    list.sort_unstable();
    list
}

/// Currents at the end [A].
fn by_plant(plan: &Arc<Plan>, calls: &[(u64, u64, bool)]) -> Vec<f64> {
    let mut plant = Plant::nominal(Arc::clone(plan));
    for &(ms, k, on) in calls {
        plant.advance(SimTime::from_millis(ms), false).expect("it advances");
        plant.set_operator(OperatorId::new(k as usize), on);
    }
    plant.advance(SimTime::from_millis(END_MS), false).expect("it advances");
    (0..COILS).map(|k| plant.read(Probe::WindingAmps(WindingId::new(k as usize)))).collect()
}

/// The circuit as ngspice reads it.
fn netlist(narrow: bool) -> String {
    let mut text = format!(
        "twelve coils\nV1 a 0 {SUPPLY_V}\nR0 a b {SUPPLY_OHM}\n.model SW SW(Ron={CONTACT_OHM} Roff=1e8 \
         Vt=0.5 Vh=0.1)\n"
    );
    for k in 0..COILS {
        let (delay, width, period) = pulse(k);
        let across = 1.0 / (1.0 / ACROSS_OHM + 1.0 / IRON_OHM);
        // A ramp of 10 us; it passes the threshold of the switch in its middle.
        let _ = write!(
            text,
            "S{k} b c{k} k{k} 0 SW\nL{k} c{k} d{k} {COIL_HENRY}\nR{k}x d{k} 0 {COIL_OHM}\n\
             R{k}p c{k} 0 {across}\nVK{k} k{k} 0 PULSE(0 1 {delay}m 10u 10u {width}m {period}m)\n"
        );
    }
    let (options, most) = if narrow { (".options reltol=1e-6\n", "0.1m") } else { ("", "20m") };
    let _ = write!(text, "{options}.control\ntran {most} {END_MS}m 0 {most}\nrusage trantime\n");
    for k in 0..COILS {
        let _ = writeln!(text, "meas tran a{k} find i(L{k}) at={END_MS}m");
    }
    text + "quit\n.endc\n.end\n"
}

/// Time of the analysis [s], and currents at the end [A]; `None` where ngspice is not installed.
fn by_ngspice(narrow: bool) -> Option<(f64, Vec<f64>)> {
    let file = std::env::temp_dir().join(format!("coils-{}.cir", std::process::id()));
    std::fs::write(&file, netlist(narrow)).expect("written");
    let done = Command::new("ngspice").arg("-b").arg(&file).output();
    let _ = std::fs::remove_file(&file);
    let said = String::from_utf8_lossy(&done.ok()?.stdout).into_owned();
    let number = |start: &str| -> f64 {
        let line = said.lines().find(|l| l.starts_with(start));
        let line = line.unwrap_or_else(|| panic!("no {start:?} in what ngspice said:\n{said}"));
        let (_, value) = line.split_once('=').expect("a value");
        value.split_whitespace().next().and_then(|v| v.parse().ok()).expect("a number")
    };
    let amps = (0..COILS).map(|k| number(&format!("a{k} "))).collect();
    Some((number("Transient analysis time"), amps))
}

/// Largest difference [A].
fn apart(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).fold(0.0, |most, (a, b)| most.max((a - b).abs()))
}

/// Both sides in turn; prints their ratio.
pub fn compare(repetitions: usize) {
    let (plan, calls) = (plan(), calls());
    let Some((_, exact)) = by_ngspice(true) else {
        println!("outside ngspice: not installed, left out");
        return;
    };
    let (mut our_s, mut their_s) = (Vec::new(), Vec::new());
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..repetitions {
        our_s.push(seconds_of(|| ours = by_plant(&plan, &calls)));
        let (seconds, amps) = by_ngspice(false).expect("it ran a moment ago");
        their_s.push(seconds);
        theirs = amps;
    }
    let (ours, theirs) = (apart(&ours, &exact), apart(&theirs, &exact));
    // A coil that is on has half an ampere.
    assert!(ours < 5e-3, "ours is {ours} A off");
    let (our_s, their_s) = (median(our_s), median(their_s));
    println!(
        "outside ngspice: ours {:.2} ms, ngspice {:.2} ms; off by {:.4} and {:.4} mA; RATIO ngspice/ours \
         {:.3}",
        1e3 * our_s,
        1e3 * their_s,
        1e3 * ours,
        1e3 * theirs,
        their_s / our_s
    );
}
