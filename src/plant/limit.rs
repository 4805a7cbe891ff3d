//! The operating limit of a directional valve: how much flow its solenoid shifts it against.

use crate::base::SpoolId;
use crate::fluid::{FlowLaw, Opening};
use crate::shift::Feed;

use super::plan::Plan;

/// Positions looked at on the way.
const STEPS: u32 = 200;

impl Plan {
    /// The largest flow [m3/s] from a pump against which solenoid a, fed like this, carries `spool` all the
    /// way, when a relief holds `pa` [Pa] across the valve; `None` where no flow holds it.
    ///
    /// Open by x, n alike edges in series with gain g and flow force k take q at the drop n (q / (g x))2, or
    /// `pa` when that is less; they close with k x times it. What pull, spring and friction leave must be more
    /// at every x, so q below g sqrt(left x / (k n)) wherever `pa` alone would hold it (balance of
    /// forces, derived).
    #[must_use]
    pub fn operating_limit(&self, spool: SpoolId, feed: Feed, pa: f64) -> Option<f64> {
        let place = &self.spools[spool.index()];
        let coil = &self.nominal.windings[place.a?.index()];
        let make = &self.nominal.spools[spool.index()];
        let edges: Vec<(f64, f64, Opening)> = place
            .paths
            .iter()
            .filter_map(|(flow, force)| match self.nominal.flows[flow.index()] {
                FlowLaw::Spool(gate, opening) if opening.at[2] > 0.0 => {
                    Some((gate.gain, *force, opening))
                }
                _ => None,
            })
            .collect();
        let &(gain, force, opening) = edges.first()?;
        let count = edges.len() as f64;
        let mut limit = f64::INFINITY;
        for step in 1..=STEPS {
            let x = f64::from(step) / f64::from(STEPS);
            let open = opening.fraction(x).0;
            let (gap, _) = make.gap(1.0, x);
            let pull = coil.pull(feed.linkage2(coil, gap), gap);
            let left = (pull + make.restoring(x).0 - make.friction_n).max(0.0);
            if force * open * pa > left {
                limit = limit.min(gain * (left * open / (force * count)).sqrt());
            }
        }
        limit.is_finite().then_some(limit)
    }
}
