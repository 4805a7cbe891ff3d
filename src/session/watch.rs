//! Samples of a session for its report: taken on a copy of the rig, so that watching changes nothing.

use crate::base::SimTime;
use crate::plant::Probe;

use super::rig::Rig;

/// Most samples that are kept; a longer session keeps its beginning.
const SAMPLE_LIMIT: usize = 200_000;
/// Most samples at even distances in one stretch without an action.
const STRETCH_LIMIT: u64 = 400;
/// After something has happened it is looked at again after these times: a current that rises, a
/// pressure that settles.
const AFTER: [SimTime; 4] =
    [SimTime::ZERO, SimTime::from_millis(10), SimTime::from_millis(40), SimTime::from_millis(150)];

/// The values of all probes at a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    /// Bench time.
    pub at: SimTime,
    /// Values [SI], in the order of the probes.
    pub values: Vec<f64>,
}

/// What to sample, and what was sampled.
#[derive(Clone, Debug)]
pub struct Watch {
    probes: Vec<Probe>,
    every: SimTime,
    /// What was sampled, in the order of time.
    pub samples: Vec<Sample>,
}

impl Watch {
    /// A watch of `probes`: at least every `every` and whenever something happens.
    #[must_use]
    pub fn new(probes: Vec<Probe>, every: SimTime) -> Self {
        Watch { probes, every: every.max(SimTime::from_millis(1)), samples: Vec::new() }
    }

    /// Runs `copy` to `until` and samples it on the way. A copy that cannot go on is left where it is:
    /// the session itself tells.
    pub(super) fn sample(&mut self, mut copy: Rig, until: SimTime, moments: &[SimTime]) {
        let from = copy.plant().now();
        let span = until.saturating_sub(from);
        let step = self.every.max(SimTime::from_nanos(span.as_nanos() / STRETCH_LIMIT));
        let mut times = vec![from, until];
        let mut at = from + step;
        while at < until {
            times.push(at);
            at += step;
        }
        for moment in moments {
            times.extend(AFTER.iter().map(|after| *moment + *after).filter(|t| *t < until));
        }
        times.sort_unstable();
        times.dedup();
        for at in times {
            if self.samples.len() >= SAMPLE_LIMIT || copy.advance(at, &mut |_| {}).is_err() {
                return;
            }
            let values = self.probes.iter().map(|p| copy.plant_mut().read(*p)).collect();
            self.samples.push(Sample { at, values });
        }
    }
}
