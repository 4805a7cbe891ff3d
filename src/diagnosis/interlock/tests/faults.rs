//! Single faults of the shipped press.

use super::{contact, operator, shipped};
use crate::base::SpoolId;
use crate::diagnosis::interlock::{Fault, Onset, Options, Property, check_faults};

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
