//! Single faults of the shipped press.

use super::{contact, english, operator, shipped};
use crate::base::SpoolId;
use crate::diagnosis::interlock::{
    Counterexample, Fault, Onset, Options, Property, Replay, check_faults, replay,
};

#[test]
fn single_faults_of_the_press_break_what_they_must() {
    let plan = shipped("press.bench.ron");
    let faults = Fault::all(&plan);
    let spool = SpoolId::new(0);
    let transient = Property::NotBothCoils { spool, settled: false };
    let settled = Property::NotBothCoils { spool, settled: true };
    for onset in [Onset::Static, Onset::Arising] {
        let found = check_faults(&plan, &Options::default(), &faults, onset).expect("findings");
        assert_eq!(found.len(), faults.len());
        let breaks = |fault: Fault, property: Property| {
            let at = faults.iter().position(|f| *f == fault).expect("the fault");
            found[at].report.counterexample(property).map(|c| c.steps.len())
        };
        let extra = usize::from(onset == Onset::Arising);
        // A bridged cross contact: for a moment only.
        for name in ["K1:21-22", "K2:21-22"] {
            let fault = Fault::Welded(contact(&plan, name));
            assert_eq!(breaks(fault, transient), Some(4 + extra), "{name}");
            assert_eq!(breaks(fault, settled), None, "{name}");
        }
        // A welded output contact of K1 holds coil a: lifting then has both on.
        let fault = Fault::Welded(contact(&plan, "K1:13-14"));
        assert_eq!(breaks(fault, settled), Some(2 + extra));
        let stop = Property::StopDominates { stop: operator(&plan, "S0") };
        assert_eq!(breaks(fault, stop), Some(1 + extra));
        // A stop button whose contact block has come off its head stops nothing.
        assert_eq!(breaks(Fault::Welded(contact(&plan, "S0:21-22")), stop), Some(3 + extra));
        // A dead contact is safe here.
        assert_eq!(breaks(Fault::Dead(contact(&plan, "K1:13-14")), settled), None);
        // The armature stuck in carries its open cross contact along: K2 stays out.
        let fault = Fault::Stuck(operator(&plan, "K1"), true);
        assert_eq!(breaks(fault, transient), None);
        let broken = found.iter().filter(|f| !f.broken().is_empty()).count();
        let states: usize = found.iter().map(|f| f.report.states).sum();
        println!("{onset:?}: {broken} of {} faults break something, {states} states", found.len());
        assert!(found.iter().all(|f| f.report.exhausted));
    }
}

#[test]
fn threads_do_not_change_what_is_found() {
    let plan = shipped("pusher.bench.ron");
    let faults = Fault::all(&plan);
    let found = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| check_faults(&plan, &Options::default(), &faults, Onset::Arising))
    };
    assert_eq!(found(1), found(3));
}

/// Every break that a single fault opens in the press, tried on the full simulation.
#[test]
fn breaks_under_single_faults_are_tried_on_the_press() {
    let plan = shipped("press.bench.ron");
    let faults = Fault::all(&plan);
    let found = check_faults(&plan, &Options::default(), &faults, Onset::Static).expect("findings");
    let (mut confirmed, mut only) = (0, Vec::new());
    for finding in &found {
        for broken in finding.broken() {
            let counterexample = finding.report.counterexample(broken.property).expect("one");
            // The same hands on the sound press break nothing: what confirms is the fault.
            let sound = Counterexample { fault: None, ..counterexample.clone() };
            let shown = replay(&plan, &sound).expect("a run");
            assert!(!shown.is_confirmed(), "{}{shown:?}", counterexample.text(&plan, english()));
            match replay(&plan, counterexample).expect("a run") {
                Replay::Confirmed { .. } => confirmed += 1,
                Replay::AbstractOnly { reason } => {
                    only.push(format!("{}{reason}", counterexample.text(&plan, english())));
                }
            }
        }
    }
    println!("{confirmed} confirmed, {} of the model only", only.len());
    for text in &only {
        println!("{text}\n");
    }
    assert!(confirmed > 20);
}

/// Run by hand: the time that all single faults of a bench of two axes take.
#[test]
#[ignore = "a minute in a debug build"]
fn single_faults_of_two_axes() {
    let plan = super::two_axes();
    let faults = Fault::all(&plan);
    let found = check_faults(&plan, &Options::default(), &faults, Onset::Static).expect("findings");
    let states: usize = found.iter().map(|f| f.report.states).sum();
    let broken = found.iter().filter(|f| !f.broken().is_empty()).count();
    println!("{} faults, {broken} break something, {states} states", found.len());
}
