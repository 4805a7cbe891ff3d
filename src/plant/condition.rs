//! How every element is made, and in what state of repair: the numbers that faults change and a
//! new part restores.

use crate::base::{SimTime, Stream};
use crate::electric::{Diode, Suppressor, WindingMake};
use crate::fluid::{Accumulator, FlowLaw, Piston, Seal, Volume};
use crate::shift::{AmplifierMake, SpoolMake};

/// A conducting branch: a resistance, with a voltage in series if it is a source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BranchMake {
    /// Series resistance [ohm]; infinite when broken.
    pub ohm: f64,
    /// Source voltage [V], first end positive; root-mean-square for alternating current.
    pub volts: f64,
    /// Capacitance in series with the resistance [F]; 0 when there is none.
    pub farad: f64,
}

impl BranchMake {
    /// A plain resistance [ohm].
    #[must_use]
    pub const fn ohm(ohm: f64) -> Self {
        BranchMake { ohm, volts: 0.0, farad: 0.0 }
    }

    /// A capacitance [F] behind a resistance [ohm]: direct current does not pass.
    #[must_use]
    pub const fn capacitor(ohm: f64, farad: f64) -> Self {
        BranchMake { ohm, volts: 0.0, farad }
    }
}

/// What is wrong with a contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ContactFault {
    /// Nothing.
    Sound,
    /// Always conducts, whatever its operator does: bridged by a jumper.
    AlwaysClosed,
    /// Always conducts, unless its actuator forces it apart.
    Welded,
    /// Never conducts: burnt away, broken, or detached from its head.
    AlwaysOpen,
}

/// A contact.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ContactMake {
    /// Resistance when closed [ohm].
    pub ohm: f64,
    /// What is wrong with it.
    pub fault: ContactFault,
}

/// When a relay's contacts follow its armature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Delay {
    /// At once, but for the armature's own time.
    None,
    /// This long after pick-up (on-delay).
    On(SimTime),
    /// This long after drop-out (off-delay).
    Off(SimTime),
    /// They close and open by turns, each for this long, as long as the armature is pulled in.
    Flash(SimTime),
}

/// What makes an operator act.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Trigger {
    /// A hand.
    Hand,
    /// A relay armature: it picks up when the winding current reaches `pick_a` [A] at open gap and
    /// drops out when it falls to `drop_a` [A].
    Armature {
        /// Pick-up current [A].
        pick_a: f64,
        /// Drop-out current [A].
        drop_a: f64,
        /// From pick-up to the last contact made.
        operate: SimTime,
        /// From drop-out to the last contact back.
        release: SimTime,
        /// Timer function.
        delay: Delay,
    },
    /// A bistable armature between two windings that pull against each other.
    Latch {
        /// Current of the set winding alone that moves it [A].
        set_a: f64,
        /// Current of the reset winding alone that moves it back [A].
        reset_a: f64,
        /// From the current to the last contact moved.
        operate: SimTime,
    },
    /// A counter's output: acts from this many pulses on, until it is reset.
    Count {
        /// Pulses.
        preset: u32,
    },
    /// The output of a two-hand control: acts when two operators begin to act within this time of each
    /// other, and until either rests.
    Both {
        /// Longest time between the two.
        within: SimTime,
        /// From the second of them to the last contact moved.
        operate: SimTime,
    },
    /// A cam on a piston rod: acts while the rod stands between the two positions [m].
    Cam {
        /// Lower end of the acting range [m].
        from_m: f64,
        /// Upper end of the acting range [m].
        to_m: f64,
        /// Differential travel [m].
        differential_m: f64,
    },
    /// An output of a controller.
    Program {
        /// From the end of the scan to a closed output.
        operate: SimTime,
        /// From the end of the scan to an open output.
        release: SimTime,
    },
    /// A pressure: acts at `rise_pa` and lets go at `fall_pa` [Pa gauge].
    Pressure {
        /// Acting pressure [Pa].
        rise_pa: f64,
        /// Release pressure [Pa].
        fall_pa: f64,
    },
}

/// An operator and what is wrong with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OperatorMake {
    /// What makes it act.
    pub trigger: Trigger,
    /// Stays acted (true) or at rest (false) whatever its trigger does.
    pub stuck: Option<bool>,
}

/// A fuse link.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuseMake {
    /// Rated current [A].
    pub rated_a: f64,
    /// Melting integral of short times [A2s].
    pub melting_a2s: f64,
    /// It carries this many times its rated current for ever and acts above that [1].
    pub holds: f64,
    /// A magnetic release acts at once from this current on [A]; infinite without one.
    pub magnetic_a: f64,
}

/// A fuse of rated current I carries 1.5 I for ever and melts above that.
const FUSE_HOLDS: f64 = 1.5;

impl FuseMake {
    /// A fuse link.
    #[must_use]
    pub const fn link(rated_a: f64, melting_a2s: f64) -> Self {
        FuseMake { rated_a, melting_a2s, holds: FUSE_HOLDS, magnetic_a: f64::INFINITY }
    }

    /// Time constant [s] with which the link sheds its heat, so that it just carries what it holds.
    #[must_use]
    pub fn cooling_s(&self) -> f64 {
        let hold = self.holds * self.rated_a;
        self.melting_a2s / (hold * hold)
    }
}

/// A pump's drive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DriveMake {
    /// Speed when running [1/s]; negative when it turns the wrong way, zero when sheared.
    pub per_second: f64,
    /// Time constant of starting and of running down [s].
    pub lag_s: f64,
}

/// A transformer, by its equivalent circuit; secondary values as they are, not referred.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TransformerMake {
    /// Secondary over primary turns [1].
    pub ratio: f64,
    /// Resistance of the primary [ohm]; infinite when broken.
    pub primary_ohm: f64,
    /// Resistance of the secondary [ohm]; infinite when broken.
    pub secondary_ohm: f64,
    /// Leakage inductance of both, referred to the primary [H].
    pub leakage_henry: f64,
    /// Magnetising inductance, seen from the primary [H].
    pub magnetising_henry: f64,
    /// Iron loss as a resistance across the primary [ohm].
    pub iron_ohm: f64,
}

/// A rectifier bridge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RectifierMake {
    /// One of its diodes.
    pub diode: Diode,
    /// Rated direct current [A].
    pub rated_a: f64,
    /// Mean direct over root-mean-square alternating voltage without drop [1].
    pub gain: f64,
    /// Half waves that get through: 1 of both, 0.5 with a diode open, 0 with none.
    pub waves: f64,
    /// Resistance of a short between its alternating-current terminals [ohm]; infinite when sound.
    pub short_ohm: f64,
}

/// A motor with its overload relay. The motor's current follows from speed and load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverloadMake {
    /// Current the relay is set to [A].
    pub set_a: f64,
    /// Rated current of the motor [A], at this pressure across its pump [Pa].
    pub rated_a: f64,
    /// Pressure across the pump at the rated current [Pa].
    pub rated_pa: f64,
    /// Time constant of the bimetal [s].
    pub lag_s: f64,
    /// Phases that are there: 1 for all, more current in the others when one is lost [1].
    pub phases: f64,
}

/// Current of a motor that stands [1 of rated], and of one that idles (common practice, no source).
pub const STANDING: f64 = 6.0;
/// See [`STANDING`].
pub const IDLING: f64 = 0.4;
/// An overload relay trips in the end from this current on [1 of its setting]: between the 1.05
/// that it must carry and the 1.2 that it must not (IEC 60947-4-1, from memory).
pub const OVERLOAD_HOLDS: f64 = 1.125;

impl OverloadMake {
    /// Current [A] of the motor at `speed` [1 of nominal] and `pa` [Pa] across its pump, while it is
    /// switched on. Between standing and running the squares go over into each other with the slip;
    /// running, magnetising and load current add at right angles (common practice, no source).
    #[must_use]
    pub fn motor_a(&self, speed: f64, pa: f64) -> f64 {
        let load = pa / self.rated_pa;
        let runs = IDLING * IDLING + (1.0 - IDLING * IDLING) * load * load;
        let turning = (speed * speed).min(1.0);
        let square = (1.0 - turning) * STANDING * STANDING + turning * runs;
        self.rated_a * self.phases * square.sqrt()
    }
}

/// A programmable controller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlcMake {
    /// From reading the inputs to writing the outputs, and to the next reading.
    pub scan: SimTime,
    /// Input voltage from which an input counts as on [V].
    pub on_v: f64,
    /// Input voltage below which it counts as off again [V].
    pub off_v: f64,
    /// Inputs are pulled towards the minus pole, against a common at plus.
    pub sourcing: bool,
    /// Least supply voltage at which it runs [V].
    pub least_v: f64,
    /// It has stopped: its outputs are off whatever the program wants.
    pub halted: bool,
}

/// The state of repair of everything.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Condition {
    /// By `BranchId`.
    pub branches: Vec<BranchMake>,
    /// Bridged by a jumper lead, by `BranchId`. A lead is no part of the branch it bridges: a new
    /// part does not take it away.
    pub jumpers: Vec<bool>,
    /// By `ContactId`.
    pub contacts: Vec<ContactMake>,
    /// By `WindingId`.
    pub windings: Vec<WindingMake>,
    /// What lies across each winding, by `WindingId`.
    pub suppressors: Vec<Vec<Suppressor>>,
    /// By `OperatorId`.
    pub operators: Vec<OperatorMake>,
    /// By `FuseId`.
    pub fuses: Vec<FuseMake>,
    /// By `VolumeId`.
    pub volumes: Vec<Volume>,
    /// What each volume of fixed pressure is held at [Pa gauge], by `VolumeId`.
    pub held_pa: Vec<f64>,
    /// How far each volume stands open to the air [m3/(s Pa)], by `VolumeId`: a bleed screw or a
    /// fitting that somebody has opened. Zero when closed; no effect on a fixed pressure.
    pub vents: Vec<f64>,
    /// By `FlowId`.
    pub flows: Vec<FlowLaw>,
    /// By `SpoolId`.
    pub spools: Vec<SpoolMake>,
    /// Plugs of solenoids a and b exchanged, by `SpoolId`.
    pub plugs_swapped: Vec<bool>,
    /// By `PistonId`.
    pub pistons: Vec<Piston>,
    /// By `PumpId`.
    pub drives: Vec<DriveMake>,
    /// By `AccumulatorId`.
    pub accumulators: Vec<Accumulator>,
    /// By `AccumulatorId`: the piston of one that has no bladder.
    pub seals: Vec<Option<Seal>>,
    /// By `PlcId`.
    pub plcs: Vec<PlcMake>,
    /// By `TransformerId`.
    pub transformers: Vec<TransformerMake>,
    /// By `RectifierId`.
    pub rectifiers: Vec<RectifierMake>,
    /// By `OverloadId`.
    pub overloads: Vec<OverloadMake>,
    /// By `AmplifierId`.
    pub amplifiers: Vec<AmplifierMake>,
}

/// Spread of a manufactured value, as a fraction either side.
fn spread(rng: &mut Stream, value: &mut f64, fraction: f64) {
    *value *= rng.between(1.0 - fraction, 1.0 + fraction);
}

fn spread_time(rng: &mut Stream, value: &mut SimTime, fraction: f64) {
    let ns = value.as_nanos() as f64 * rng.between(1.0 - fraction, 1.0 + fraction);
    *value = SimTime::from_nanos(ns as u64);
}

/// Manufacturing tolerance of a winding: resistance 3 %, inductance 3 %.
pub(crate) fn spread_winding(rng: &mut Stream, make: &mut WindingMake) {
    spread(rng, &mut make.ohm_at_20, 0.03);
    let before = make.open_henry;
    spread(rng, &mut make.open_henry, 0.03);
    make.seated_henry *= make.open_henry / before;
}

/// Manufacturing tolerance of an operator: relay times 20 %, thresholds 5 %, pressure settings 1 %.
pub(crate) fn spread_operator(rng: &mut Stream, make: &mut OperatorMake) {
    match &mut make.trigger {
        Trigger::Armature { pick_a, drop_a, operate, release, delay } => {
            spread(rng, pick_a, 0.05);
            spread(rng, drop_a, 0.05);
            spread_time(rng, operate, 0.2);
            spread_time(rng, release, 0.2);
            if let Delay::On(t) | Delay::Off(t) | Delay::Flash(t) = delay {
                spread_time(rng, t, 0.01);
            }
        }
        Trigger::Pressure { rise_pa, fall_pa } => {
            spread(rng, rise_pa, 0.01);
            spread(rng, fall_pa, 0.01);
        }
        Trigger::Latch { set_a, reset_a, operate } => {
            spread(rng, set_a, 0.05);
            spread(rng, reset_a, 0.05);
            spread_time(rng, operate, 0.2);
        }
        Trigger::Both { operate, .. } => spread_time(rng, operate, 0.2),
        Trigger::Hand | Trigger::Cam { .. } | Trigger::Program { .. } | Trigger::Count { .. } => {}
    }
}

/// Manufacturing tolerance of a spool: spring 5 %, friction 20 %, damping 10 %.
pub(crate) fn spread_spool(rng: &mut Stream, make: &mut SpoolMake) {
    spread(rng, &mut make.preload_n, 0.05);
    spread(rng, &mut make.rate_n, 0.05);
    spread(rng, &mut make.detent_n, 0.05);
    spread(rng, &mut make.friction_n, 0.2);
    spread(rng, &mut make.viscous, 0.1);
}
