//! The power side as what is joined: where each piston can go, given spools and pumps.
//!
//! Pressures are left out, so this allows more than happens: a chamber that a pump or an accumulator
//! can reach may be pressurised, a load that outweighs friction may move a vented piston.

use crate::fluid::FlowLaw;
use crate::plant::{Drive, Plan};

/// When a path is open.
#[derive(Clone, Copy, Debug)]
enum Open {
    Always,
    /// In the spool positions -1, 0, +1 of this spool.
    Spool(usize, [bool; 3]),
}

#[derive(Clone, Copy, Debug)]
struct Path {
    from: usize,
    to: usize,
    open: Open,
    both_ways: bool,
}

#[derive(Clone, Copy, Debug)]
struct Cylinder {
    cap: usize,
    rod: usize,
    /// The load alone can push it in, or pull it out.
    load_in: bool,
    load_out: bool,
}

/// The power side.
#[derive(Clone, Debug)]
pub(crate) struct Fluid {
    volumes: usize,
    paths: Vec<Path>,
    pump_outlets: Vec<usize>,
    /// Accumulators and lines of fixed pressure.
    always_supplied: Vec<usize>,
    tanks: Vec<usize>,
    cylinders: Vec<Cylinder>,
}

/// The piston may move in.
pub(crate) const IN: u8 = 1;
/// The piston may move out.
pub(crate) const OUT: u8 = 2;

impl Fluid {
    pub fn new(plan: &Plan) -> Fluid {
        let mut paths = Vec::new();
        for (k, flow) in plan.flows.iter().enumerate() {
            let (from, to) = (flow.first.index(), flow.second.index());
            let always = |both_ways| Some(Path { from, to, open: Open::Always, both_ways });
            let path = match &plan.nominal.flows[k] {
                FlowLaw::Sonic(path) if path.conductance == 0.0 => None,
                FlowLaw::Gate(_)
                | FlowLaw::Motor(_)
                | FlowLaw::ThrottleCheck(..)
                | FlowLaw::Sonic(_)
                | FlowLaw::SonicCheck(..)
                | FlowLaw::SlowStart(..) => always(true),
                FlowLaw::Check(..) | FlowLaw::SonicPoppet(..) | FlowLaw::Regulator(..) => {
                    always(false)
                }
                FlowLaw::Spool(_, opening) | FlowLaw::SonicSpool(_, opening) => match flow.drive {
                    // Where it stands depends on pressures, which are left out.
                    Drive::Spool(s) if plan.spools[s.index()].modulates => always(true),
                    Drive::Spool(s) => Some(Path {
                        from,
                        to,
                        open: Open::Spool(s.index(), opening.at.map(|part| part > 0.0)),
                        both_ways: true,
                    }),
                    // A handle that stands as it does in operation: turned on.
                    Drive::Operator(_) if opening.at[2] > 0.0 => always(true),
                    _ => None,
                },
                // A relief and a leak pass something, but move nothing that counts.
                FlowLaw::Shut
                | FlowLaw::Relief(_)
                | FlowLaw::Leak(_)
                | FlowLaw::Pump(_)
                | FlowLaw::Ejector(_) => None,
            };
            paths.extend(path);
        }
        let fixed = |supplies: bool| -> Vec<usize> {
            (0..plan.volumes.len())
                .filter(|&v| plan.volumes[v].fixed_pa.is_some_and(|p| (p > 0.0) == supplies))
                .collect()
        };
        let mut always_supplied = fixed(true);
        always_supplied.extend(plan.accumulators.iter().map(|a| a.volume.index()));
        let cylinders = plan
            .pistons
            .iter()
            .zip(&plan.nominal.pistons)
            .map(|(place, make)| {
                let along = make.load.along.iter().map(|point| point.1);
                let most = along.clone().fold(f64::NEG_INFINITY, f64::max);
                let least = along.fold(f64::INFINITY, f64::min);
                let or_zero = |x: f64| if x.is_finite() { x } else { 0.0 };
                Cylinder {
                    cap: place.cap.index(),
                    rod: place.rod.index(),
                    load_in: make.load.constant_n + or_zero(most) > make.friction_n,
                    load_out: make.load.constant_n + or_zero(least) < -make.friction_n,
                }
            })
            .collect();
        Fluid {
            volumes: plan.volumes.len(),
            paths,
            pump_outlets: plan
                .pumps
                .iter()
                .map(|p| plan.flows[p.flow.index()].second.index())
                .collect(),
            always_supplied,
            tanks: fixed(false),
            cylinders,
        }
    }

    fn open(&self, path: &Path, spool_at: &impl Fn(usize) -> i8) -> bool {
        match path.open {
            Open::Always => true,
            Open::Spool(s, at) => at[(spool_at(s) + 1).clamp(0, 2) as usize],
        }
    }

    /// Volumes reached from `start` along open paths, or with `backwards` those that reach it. What
    /// is reached at a fixed low pressure is not passed through.
    fn reach(
        &self,
        start: &[usize],
        backwards: bool,
        spool_at: &impl Fn(usize) -> i8,
    ) -> Vec<bool> {
        let mut reached = vec![false; self.volumes];
        let mut open: Vec<usize> = start.to_vec();
        for &v in start {
            reached[v] = true;
        }
        while let Some(v) = open.pop() {
            if self.tanks.contains(&v) && !start.contains(&v) {
                continue;
            }
            for path in &self.paths {
                let next = if path.from == v && (path.both_ways || !backwards) {
                    path.to
                } else if path.to == v && (path.both_ways || backwards) {
                    path.from
                } else {
                    continue;
                };
                if !reached[next] && self.open(path, spool_at) {
                    reached[next] = true;
                    open.push(next);
                }
            }
        }
        reached
    }

    /// Volumes that a running pump, an accumulator or a fixed pressure reaches.
    pub fn supplied(
        &self,
        spool_at: impl Fn(usize) -> i8,
        runs: impl Fn(usize) -> bool,
    ) -> Vec<bool> {
        let mut start = self.always_supplied.clone();
        start.extend(
            (0..self.pump_outlets.len()).filter(|&p| runs(p)).map(|p| self.pump_outlets[p]),
        );
        self.reach(&start, false, &spool_at)
    }

    /// Where each piston may move: [`IN`] and [`OUT`] bits.
    pub fn motions(&self, spool_at: impl Fn(usize) -> i8, runs: impl Fn(usize) -> bool) -> Vec<u8> {
        let supplied = self.supplied(&spool_at, runs);
        let vented = self.reach(&self.tanks, true, &spool_at);
        self.cylinders
            .iter()
            .map(|c| {
                let (cap_out, rod_out) =
                    (vented[c.cap], vented[c.rod] || self.reach(&[c.rod], false, &spool_at)[c.cap]);
                let mut bits = 0;
                if cap_out && (supplied[c.rod] || c.load_in) {
                    bits |= IN;
                }
                if rod_out && (supplied[c.cap] || c.load_out) {
                    bits |= OUT;
                }
                bits
            })
            .collect()
    }
}
