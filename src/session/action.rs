//! What a learner can do, as data: one action, and one line of an attempt.

use serde::{Deserialize, Serialize};

use crate::shift::Handle;

use super::cost::Cost;

/// Side of a valve: that of solenoid a or of solenoid b.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The side of solenoid a.
    A,
    /// The side of solenoid b.
    B,
}

impl Side {
    /// As it is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Side::A => "a",
            Side::B => "b",
        }
    }
}

/// What a finger does to a manual override.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Finger {
    /// Pushes for as long as the action takes, then lets go.
    Push,
    /// Pulls for as long as the action takes, then lets go.
    Pull,
    /// Pushes or pulls, and turns, so that it stays.
    Latch,
    /// Turns a screw, which stays.
    Turn,
    /// Lets it spring back.
    Release,
}

impl Finger {
    /// What can be done to an override of this kind, besides letting go.
    #[must_use]
    pub fn works(handle: Handle) -> &'static [Finger] {
        match handle {
            Handle::None => &[],
            Handle::Push => &[Finger::Push],
            Handle::PushLatch => &[Finger::Push, Finger::Latch],
            Handle::Pull => &[Finger::Pull],
            Handle::PullLatch => &[Finger::Pull, Finger::Latch],
            Handle::Turn => &[Finger::Turn],
        }
    }

    /// Whether the override stays as it was put.
    #[must_use]
    pub fn stays(self) -> bool {
        !matches!(self, Finger::Push | Finger::Pull)
    }

    /// As it is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Finger::Push => "push",
            Finger::Pull => "pull",
            Finger::Latch => "latch",
            Finger::Turn => "turn",
            Finger::Release => "release",
        }
    }
}

/// Position of a two-position switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Position {
    /// Turned on: its contacts act.
    On,
    /// Turned off: its contacts rest.
    Off,
}

impl Position {
    /// As it is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Position::On => "on",
            Position::Off => "off",
        }
    }
}

/// What a learner needs at hand for an action. A scenario may keep some back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tool {
    /// Volts, ohms, continuity, amperes in series.
    Multimeter,
    /// Amperes without opening the circuit.
    Clamp,
    /// Pressure.
    Gauges,
    /// Temperature.
    Thermometer,
    /// Padlocks and tags.
    Locks,
    /// Setting screws, plugs, wires.
    Screwdriver,
    /// Bleed screws and fittings.
    Spanner,
    /// A prop for a load.
    Prop,
    /// New parts and cleaning.
    Spares,
    /// Reaching the manual overrides.
    Overrides,
}

impl Tool {
    /// Every tool.
    pub const ALL: [Tool; 10] = [
        Tool::Multimeter,
        Tool::Clamp,
        Tool::Gauges,
        Tool::Thermometer,
        Tool::Locks,
        Tool::Screwdriver,
        Tool::Spanner,
        Tool::Prop,
        Tool::Spares,
        Tool::Overrides,
    ];

    /// As it is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Tool::Multimeter => "multimeter",
            Tool::Clamp => "clamp",
            Tool::Gauges => "gauges",
            Tool::Thermometer => "thermometer",
            Tool::Locks => "locks",
            Tool::Screwdriver => "screwdriver",
            Tool::Spanner => "spanner",
            Tool::Prop => "prop",
            Tool::Spares => "spares",
            Tool::Overrides => "overrides",
        }
    }

    /// What it is for.
    #[must_use]
    pub fn purpose(self) -> &'static str {
        match self {
            Tool::Multimeter => "volts, ohms, continuity, amperes in series",
            Tool::Clamp => "amperes without opening the circuit",
            Tool::Gauges => "pressures",
            Tool::Thermometer => "temperatures of surfaces",
            Tool::Locks => "padlocks and tags",
            Tool::Screwdriver => "setting screws, plugs and wires",
            Tool::Spanner => "bleed screws and fittings",
            Tool::Prop => "a prop for a load",
            Tool::Spares => "new parts, and cleaning",
            Tool::Overrides => "reaching the manual overrides of valves",
        }
    }
}

/// One action. Places are written as on the drawing: a part `K1`, a terminal `K1:A1`, a port
/// `1V1:A`, a test point `MP1`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "verb", rename_all = "snake_case", deny_unknown_fields)]
#[allow(missing_docs)] // The fields say what they are; the table of verbs describes every action.
pub enum Action {
    /// Pushes a button briefly and lets go. An emergency stop stays in.
    Press { part: String },
    /// Pushes a button and keeps it pushed.
    Hold { part: String },
    /// Pushes two buttons at once, one with each hand, and keeps them pushed.
    Both { part: String, other: String },
    /// Lets go of a held button, or unlatches an emergency stop.
    Release { part: String },
    /// Turns a selector or an isolator.
    Turn { part: String, to: Position },
    /// Waits this many nanoseconds of bench time.
    Wait { ns: u64 },
    /// Looks at a part.
    Look { part: String },
    /// Listens at a part.
    Listen { part: String },
    /// Lays a hand on a part; at a port, feels around the fitting.
    Feel { at: String },
    /// Reads a nameplate.
    Plate { part: String },
    /// Voltage of the red lead's point against the black lead's.
    Volts { red: String, black: String },
    /// Resistance between two points.
    Ohms { red: String, black: String },
    /// Whether two points are joined.
    Continuity { red: String, black: String },
    /// Current with the meter's own path joining two points.
    Amps { red: String, black: String },
    /// Current into a terminal, or through a wire or a coil, by clamp.
    Clamp { at: String },
    /// Pressure at a test point or a port; the range of the gauge is a choice [bar].
    Gauge {
        at: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        range_bar: Option<u32>,
    },
    /// Temperature of a part's surface.
    Temperature { part: String },
    /// The manual override of a valve.
    Override { part: String, side: Side, finger: Finger },
    /// Exchanges the plugs of solenoids a and b.
    SwapPlugs { part: String },
    /// Changes a setting, the value as it is written: `65 bar`.
    Adjust { part: String, setting: String, value: String },
    /// Opens an isolator.
    Isolate { part: String },
    /// Closes an isolator.
    Restore { part: String },
    /// Hangs a padlock on an open isolator.
    Lock { part: String },
    /// Takes one's own padlock away.
    Unlock { part: String },
    /// Hangs a tag on an isolator.
    Tag { part: String },
    /// Presses a start button to see that nothing starts.
    Try { part: String },
    /// Proves the voltage tester on a source known to be live.
    Prove {},
    /// Opens a bleed screw for as long as the action takes.
    Bleed { at: String },
    /// Puts a prop under the load of a cylinder.
    Prop { part: String },
    /// Takes the prop away.
    Unprop { part: String },
    /// Opens the fitting of a port.
    Open { at: String },
    /// Closes it again.
    Close { at: String },
    /// Fits a new part.
    Replace { part: String },
    /// Mends a wire and its ends.
    Repair { part: String },
    /// Takes a part apart and cleans it.
    Clean { part: String },
    /// Steps into the reach of what a cylinder moves.
    Enter { part: String },
    /// Steps out of it.
    Leave { part: String },
    /// Clips a jumper lead across a contact, a fuse or a wire.
    Bridge { red: String, black: String },
    /// Takes the lead away.
    Unbridge { red: String, black: String },
    /// Fits a fuse of the rating written: `4 A`.
    Fit { part: String, rating: String },
    /// Loosens the gas valve of an accumulator.
    Loosen { part: String },
    /// Asks the owner of a padlock to take it off.
    Call { part: String },
    /// Takes off a padlock that is somebody else's.
    Cut { part: String },
    /// Says what the next step should show.
    Predict { text: String },
    /// Writes a note.
    Note { text: String },
    /// Names the parts still under suspicion.
    Suspect { parts: Vec<String> },
    /// Names the fault.
    Name { part: String, mode: String },
    /// Hands the machine back: the end of the attempt.
    HandBack {},
}

impl Action {
    /// The verb, as it is typed.
    #[must_use]
    pub fn verb(&self) -> &'static str {
        match self {
            Action::Press { .. } => "press",
            Action::Hold { .. } => "hold",
            Action::Both { .. } => "both",
            Action::Release { .. } => "release",
            Action::Turn { .. } => "turn",
            Action::Wait { .. } => "wait",
            Action::Look { .. } => "look",
            Action::Listen { .. } => "listen",
            Action::Feel { .. } => "feel",
            Action::Plate { .. } => "plate",
            Action::Volts { .. } => "volts",
            Action::Ohms { .. } => "ohms",
            Action::Continuity { .. } => "continuity",
            Action::Amps { .. } => "amps",
            Action::Clamp { .. } => "clamp",
            Action::Gauge { .. } => "gauge",
            Action::Temperature { .. } => "temperature",
            Action::Override { .. } => "override",
            Action::SwapPlugs { .. } => "swap plugs",
            Action::Adjust { .. } => "adjust",
            Action::Isolate { .. } => "isolate",
            Action::Restore { .. } => "restore",
            Action::Lock { .. } => "lock",
            Action::Unlock { .. } => "unlock",
            Action::Tag { .. } => "tag",
            Action::Try { .. } => "try",
            Action::Prove {} => "prove",
            Action::Bleed { .. } => "bleed",
            Action::Prop { .. } => "prop",
            Action::Unprop { .. } => "unprop",
            Action::Open { .. } => "open",
            Action::Close { .. } => "close",
            Action::Replace { .. } => "replace",
            Action::Repair { .. } => "repair",
            Action::Clean { .. } => "clean",
            Action::Enter { .. } => "enter",
            Action::Leave { .. } => "leave",
            Action::Bridge { .. } => "bridge",
            Action::Unbridge { .. } => "unbridge",
            Action::Fit { .. } => "fit",
            Action::Loosen { .. } => "loosen",
            Action::Call { .. } => "call",
            Action::Cut { .. } => "cut",
            Action::Predict { .. } => "predict",
            Action::Note { .. } => "note",
            Action::Suspect { .. } => "suspect",
            Action::Name { .. } => "name",
            Action::HandBack {} => "hand back",
        }
    }

    /// The tool it takes, if any.
    #[must_use]
    pub fn tool(&self) -> Option<Tool> {
        Some(match self {
            Action::Volts { .. }
            | Action::Ohms { .. }
            | Action::Continuity { .. }
            | Action::Amps { .. }
            | Action::Prove {} => Tool::Multimeter,
            Action::Clamp { .. } => Tool::Clamp,
            Action::Gauge { .. } => Tool::Gauges,
            Action::Temperature { .. } => Tool::Thermometer,
            Action::Override { .. } => Tool::Overrides,
            Action::SwapPlugs { .. }
            | Action::Adjust { .. }
            | Action::Repair { .. }
            | Action::Bridge { .. }
            | Action::Unbridge { .. } => Tool::Screwdriver,
            Action::Lock { .. } | Action::Unlock { .. } | Action::Tag { .. } => Tool::Locks,
            Action::Bleed { .. }
            | Action::Open { .. }
            | Action::Close { .. }
            | Action::Loosen { .. }
            | Action::Cut { .. } => Tool::Spanner,
            Action::Prop { .. } | Action::Unprop { .. } => Tool::Prop,
            Action::Replace { .. } | Action::Clean { .. } | Action::Fit { .. } => Tool::Spares,
            _ => return None,
        })
    }

    /// Whether it reads an instrument.
    #[must_use]
    pub fn measures(&self) -> bool {
        matches!(
            self,
            Action::Volts { .. }
                | Action::Ohms { .. }
                | Action::Continuity { .. }
                | Action::Amps { .. }
                | Action::Clamp { .. }
                | Action::Gauge { .. }
                | Action::Temperature { .. }
        )
    }

    /// Whether it looks, listens, feels or measures.
    #[must_use]
    pub fn looks(&self) -> bool {
        self.measures()
            || matches!(self, Action::Look { .. } | Action::Listen { .. } | Action::Feel { .. })
    }

    /// What its bench time is counted as. A gauge already fitted and a part's size are for the
    /// session to know.
    #[must_use]
    pub fn cost(&self) -> Cost {
        match self {
            Action::Press { .. }
            | Action::Hold { .. }
            | Action::Both { .. }
            | Action::Release { .. } => Cost::Button,
            Action::Turn { .. } => Cost::Turn,
            Action::Wait { .. } => Cost::Nothing,
            Action::Look { .. } => Cost::Look,
            Action::Listen { .. } => Cost::Listen,
            Action::Feel { .. } => Cost::Feel,
            Action::Plate { .. } => Cost::Plate,
            Action::Volts { .. } => Cost::Volts,
            Action::Ohms { .. } | Action::Continuity { .. } => Cost::Ohms,
            Action::Amps { .. } => Cost::Amps,
            Action::Clamp { .. } => Cost::Clamp,
            Action::Gauge { .. } => Cost::GaugeFit,
            Action::Temperature { .. } => Cost::Temperature,
            Action::Override { .. } => Cost::Override,
            Action::SwapPlugs { .. } => Cost::Plugs,
            Action::Adjust { .. } => Cost::Adjust,
            Action::Isolate { .. } | Action::Restore { .. } => Cost::Isolate,
            Action::Lock { .. } | Action::Unlock { .. } => Cost::Lock,
            Action::Tag { .. } => Cost::Tag,
            Action::Try { .. } => Cost::Try,
            Action::Prove {} => Cost::Prove,
            Action::Bleed { .. } => Cost::Bleed,
            Action::Prop { .. } | Action::Unprop { .. } => Cost::Prop,
            Action::Open { .. } | Action::Close { .. } => Cost::Fitting,
            Action::Replace { .. } => Cost::ReplaceMiddling,
            Action::Repair { .. } => Cost::Repair,
            Action::Clean { .. } => Cost::Clean,
            Action::Enter { .. } | Action::Leave { .. } => Cost::Zone,
            Action::Bridge { .. } | Action::Unbridge { .. } => Cost::Lead,
            Action::Fit { .. } => Cost::ReplaceSmall,
            Action::Loosen { .. } => Cost::Fitting,
            Action::Call { .. } => Cost::Call,
            Action::Cut { .. } => Cost::Cut,
            Action::Predict { .. } | Action::Note { .. } => Cost::Write,
            Action::Suspect { .. } | Action::Name { .. } => Cost::Write,
            Action::HandBack {} => Cost::HandBack,
        }
    }

    /// Bytes of text it carries.
    #[must_use]
    pub fn text_bytes(&self) -> usize {
        match self {
            Action::Wait { .. } | Action::Prove {} | Action::HandBack {} => 0,
            Action::Both { part, other } => part.len() + other.len(),
            Action::Press { part }
            | Action::Hold { part }
            | Action::Release { part }
            | Action::Turn { part, .. }
            | Action::Look { part }
            | Action::Listen { part }
            | Action::Plate { part }
            | Action::Temperature { part }
            | Action::Override { part, .. }
            | Action::SwapPlugs { part }
            | Action::Isolate { part }
            | Action::Restore { part }
            | Action::Lock { part }
            | Action::Unlock { part }
            | Action::Tag { part }
            | Action::Try { part }
            | Action::Prop { part }
            | Action::Unprop { part }
            | Action::Replace { part }
            | Action::Repair { part }
            | Action::Enter { part }
            | Action::Leave { part }
            | Action::Loosen { part }
            | Action::Call { part }
            | Action::Cut { part }
            | Action::Clean { part } => part.len(),
            Action::Feel { at }
            | Action::Clamp { at }
            | Action::Gauge { at, .. }
            | Action::Bleed { at }
            | Action::Open { at }
            | Action::Close { at } => at.len(),
            Action::Volts { red, black }
            | Action::Ohms { red, black }
            | Action::Continuity { red, black }
            | Action::Amps { red, black }
            | Action::Bridge { red, black }
            | Action::Unbridge { red, black } => red.len() + black.len(),
            Action::Fit { part, rating } => part.len() + rating.len(),
            Action::Adjust { part, setting, value } => part.len() + setting.len() + value.len(),
            Action::Predict { text } | Action::Note { text } => text.len(),
            Action::Suspect { parts } => parts.iter().map(|p| p.len() + 24).sum(),
            Action::Name { part, mode } => part.len() + mode.len(),
        }
    }
}

/// One line of an attempt: an action and the bench time at which it starts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Bench time at which the action starts [ns].
    pub at: u64,
    /// What is done.
    #[serde(rename = "do")]
    pub action: Action,
}
