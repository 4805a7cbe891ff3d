//! What goes wrong slowly: pumps against their relief or without oil, coils beyond their duty, machines
//! that move on people.

use std::collections::BTreeSet;

use crate::base::{PumpId, SimTime, VolumeId, WindingId};
use crate::fluid::FlowLaw;
use crate::plant::{Happening, Plan, Probe, What};

use super::hazard::{Evidence, Hazard};
use super::session::{Outcome, Session};

/// Longest that a pump may run against its relief (common practice, no source).
const DEADHEADED: SimTime = SimTime::from_secs(600);
/// Longest that a pump may run without oil (common practice, no source).
const DRY: SimTime = SimTime::from_secs(30);
/// Share of a pump's flow that is left for anything but the relief [1].
const USEFUL: f64 = 0.1;
/// Pressure at its inlet below which a pump draws no oil [Pa gauge] (common practice, no source).
const STARVED_PA: f64 = -0.5e5;

/// Since when nothing has moved, and which pumps have been told of.
#[derive(Clone, Debug, Default)]
pub(super) struct PumpWatch {
    since: SimTime,
    told: BTreeSet<PumpId>,
    /// Coils that are too hot and have been told of.
    hot: BTreeSet<WindingId>,
}

impl PumpWatch {
    /// Something happened: what moves spools, rods or pumps begins a new stretch.
    pub fn note(&mut self, happening: &Happening) {
        if let What::SpoolLeft(..)
        | What::SpoolReached(..)
        | What::PistonLeft(..)
        | What::PistonReached(..)
        | What::PumpStarted(_)
        | What::PumpStopped(_) = happening.what
        {
            self.since = happening.at;
            self.told.clear();
        }
    }
}

/// The volumes that `from` reaches through check valves.
fn behind_checks(plan: &Plan, from: VolumeId) -> BTreeSet<VolumeId> {
    let mut found = BTreeSet::from([from]);
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        for (k, flow) in plan.flows.iter().enumerate() {
            let check = matches!(plan.nominal.flows[k], FlowLaw::Check(..));
            if check && flow.first == at && found.insert(flow.second) {
                open.push(flow.second);
            }
        }
    }
    found
}

impl Session {
    /// Coils that are made for a share of the time, held until they pass their thermal class.
    fn watch_coils(&mut self, outcome: &mut Outcome) {
        let plan = self.rig.plant().plan().clone();
        for (w, place) in plan.windings.iter().enumerate() {
            let Some(limit) = place.rests_below_celsius else { continue };
            let id = WindingId::new(w);
            let celsius = self.rig.plant_mut().read(Probe::Celsius(id));
            if celsius <= limit {
                self.pumps.hot.remove(&id);
            } else if self.pumps.hot.insert(id) {
                let evidence = vec![
                    Evidence::new("winding", celsius, "degC"),
                    Evidence::new("thermal class", limit, "degC"),
                ];
                self.hazard(outcome, Hazard::CoilOverDuty, &place.name, evidence);
            }
        }
    }

    /// Looks at what can only be told after a while, at the end of every action.
    pub(super) fn look_around(&mut self, outcome: &mut Outcome) {
        self.watch_people(outcome);
        self.watch_coils(outcome);
        let still = self.now().saturating_sub(self.pumps.since);
        if still < DRY {
            return;
        }
        let plan = self.rig.plant().plan().clone();
        for (k, place) in plan.pumps.iter().enumerate() {
            let id = PumpId::new(k);
            if !self.rig.plant().pump_on(id) || self.pumps.told.contains(&id) {
                continue;
            }
            let FlowLaw::Pump(make) = plan.nominal.flows[place.flow.index()] else { continue };
            let (inlet, outlet) =
                (plan.flows[place.flow.index()].first, plan.flows[place.flow.index()].second);
            let ideal = make.displacement_m3 * plan.nominal.drives[k].per_second.abs();
            let suction = self.pressure(inlet);
            let minutes = Evidence::new("minutes", still.as_secs_f64() / 60.0, "min");
            if suction < STARVED_PA {
                let evidence = vec![Evidence::new("suction", suction / 1e5, "bar"), minutes];
                self.pumps.told.insert(id);
                self.hazard(outcome, Hazard::PumpDry, &place.name, evidence);
                continue;
            }
            let on_line = behind_checks(&plan, outlet);
            let mut useful = self.rig.plant_mut().read(Probe::Flow(place.flow));
            let mut relieved = 0.0;
            for (f, flow) in plan.flows.iter().enumerate() {
                if on_line.contains(&flow.first)
                    && matches!(plan.nominal.flows[f], FlowLaw::Relief(_))
                {
                    relieved += self.rig.plant_mut().read(Probe::Flow(crate::base::FlowId::new(f)));
                }
            }
            useful -= relieved;
            if still >= DEADHEADED && useful < USEFUL * ideal && relieved > USEFUL * ideal {
                let bar = Evidence::new("pressure", self.pressure(outlet) / 1e5, "bar");
                self.pumps.told.insert(id);
                self.hazard(outcome, Hazard::PumpDeadheaded, &place.name, vec![bar, minutes]);
            }
        }
    }
}
