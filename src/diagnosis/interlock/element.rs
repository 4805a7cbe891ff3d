//! The elements of the model and where each stands in a packed state.

use crate::base::{OperatorId, PistonId, SimTime, SpoolId};
use crate::shift::Rest;

/// A packed state.
pub(crate) type Packed = u128;

/// A run of bits in a packed state.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Field {
    pub shift: u32,
    pub width: u32,
}

impl Field {
    pub fn get(self, state: Packed) -> u128 {
        (state >> self.shift) & ((1 << self.width) - 1)
    }

    pub fn set(self, state: Packed, value: u128) -> Packed {
        let mask = ((1_u128 << self.width) - 1) << self.shift;
        (state & !mask) | (value << self.shift & mask)
    }
}

/// What a hand operator is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Hand {
    /// Returns by itself.
    Button,
    /// Latches when pressed.
    EmergencyStop,
    /// Stays where it is turned.
    Selector,
    /// Main switch.
    Isolator,
    /// Not a part: the incoming supply of sources without a main switch.
    Mains,
}

#[derive(Clone, Debug)]
pub(crate) struct Input {
    /// `None` for the mains.
    pub operator: Option<OperatorId>,
    pub hand: Hand,
    pub field: Field,
}

/// How a relay's contacts follow its coil.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Timing {
    Instant,
    On(SimTime),
    Off(SimTime),
    /// By turns made and open while the coil is on.
    Flash(SimTime),
    /// Two coils: stays as the last one left it. The reset winding.
    Latch(usize),
}

/// Phases of a relay: at rest, running (a timer whose time runs), done.
pub(crate) const IDLE: u128 = 0;
pub(crate) const RUNNING: u128 = 1;
pub(crate) const DONE: u128 = 2;

#[derive(Clone, Debug)]
pub(crate) struct Relay {
    pub operator: OperatorId,
    pub winding: usize,
    pub timing: Timing,
    pub field: Field,
}

/// Pulses up to this preset are counted one by one; beyond, a count is none, some or full.
pub(crate) const COUNTED: u32 = 6;

/// A counter: relay armatures pulse and reset it.
#[derive(Clone, Debug)]
pub(crate) struct Counter {
    /// The armatures.
    pub pulse: OperatorId,
    pub reset: OperatorId,
    /// The count at which its contacts act: the preset, or 2 where pulses are not told apart.
    pub full: u128,
    /// Pulses are not told apart: any one may be the last.
    pub coarse: bool,
    pub field: Field,
}

#[derive(Clone, Debug)]
pub(crate) struct SpoolModel {
    pub id: SpoolId,
    pub rest: Rest,
    /// Windings of solenoids a and b.
    pub a: Option<usize>,
    pub b: Option<usize>,
    /// Volumes whose pressure drives it where it has no solenoids, and whether towards +1.
    pub pilots: Vec<(usize, bool)>,
    /// Position plus one.
    pub field: Field,
}

#[derive(Clone, Debug)]
pub(crate) struct PistonModel {
    pub id: PistonId,
    /// Ends of the regions [m], ascending: region 0 is the retracted end, the last the extended
    /// end, and region k lies between `edges[k - 1]` and `edges[k]`.
    pub edges: Vec<f64>,
    pub field: Field,
}

impl PistonModel {
    pub fn regions(&self) -> usize {
        self.edges.len() + 1
    }

    /// Region of position `s` [m]; a stop counts as reached within a thousandth of the stroke.
    pub fn region_of(&self, s: f64) -> usize {
        let stroke = self.edges.last().copied().unwrap_or(0.0);
        if s <= 1e-3 * stroke {
            0
        } else if s >= stroke * (1.0 - 1e-3) {
            self.edges.len()
        } else {
            self.edges.iter().filter(|&&edge| edge <= s).count().clamp(1, self.edges.len() - 1)
        }
    }

    /// A position in the middle of `region` [m].
    pub fn middle(&self, region: usize) -> f64 {
        let edge = |k: usize| self.edges.get(k).copied().unwrap_or(0.0);
        match region {
            0 => 0.0,
            r if r >= self.edges.len() => edge(self.edges.len() - 1),
            r => 0.5 * (edge(r - 1) + edge(r)),
        }
    }
}

#[derive(Clone, Debug)]
pub(crate) struct PressureModel {
    pub operator: OperatorId,
    pub volume: usize,
    pub field: Field,
}
