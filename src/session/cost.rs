//! Bench time of every action.

use serde::{Deserialize, Serialize};

use crate::base::SimTime;

/// Declares the kinds of cost with their usual length [s] and meaning, in one table.
macro_rules! costs {
    ($($name:ident $seconds:literal $meaning:literal;)*) => {
        /// What the bench time of an action is counted as.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Cost { $(#[doc = $meaning] $name,)* }

        impl Cost {
            /// Every kind.
            pub const ALL: &'static [Cost] = &[$(Cost::$name),*];

            /// Its usual bench time [s].
            #[must_use]
            pub const fn usual_s(self) -> u32 {
                match self { $(Cost::$name => $seconds,)* }
            }

            /// What is done in that time.
            #[must_use]
            pub const fn meaning(self) -> &'static str {
                match self { $(Cost::$name => $meaning,)* }
            }
        }
    };
}

costs! {
    Nothing 0 "No time of its own.";
    Button 1 "Working a push-button.";
    Turn 2 "Turning a selector.";
    Look 5 "Looking at a part.";
    Listen 5 "Listening at a part.";
    Feel 5 "Laying a hand on a part.";
    Plate 10 "Reading a nameplate.";
    Volts 20 "Reading a voltage.";
    Ohms 30 "Reading a resistance.";
    Amps 60 "Joining an ammeter in.";
    Clamp 20 "Reading a clamp.";
    GaugeFit 60 "Fitting a gauge and reading it.";
    GaugeRead 10 "Reading a gauge that is already fitted.";
    Temperature 15 "Reading a thermometer.";
    Override 3 "Working a manual override.";
    Plugs 60 "Exchanging two plugs.";
    Adjust 60 "Changing a setting.";
    Isolate 15 "Working an isolator.";
    Lock 20 "Hanging or taking a padlock.";
    Tag 10 "Hanging a tag.";
    Try 10 "Trying to start.";
    Prove 15 "Proving the voltage tester.";
    Bleed 30 "Bleeding a volume.";
    Prop 60 "Setting or taking a prop.";
    Fitting 60 "Opening or closing a fitting.";
    ReplaceSmall 120 "Replacing a fuse, a lamp, a tube or a silencer.";
    ReplaceMiddling 600 "Replacing a relay, a switch, a solenoid valve or a cartridge.";
    ReplaceLarge 1800 "Replacing a pump, a cylinder, an accumulator or a receiver.";
    Repair 300 "Mending a wire.";
    Clean 900 "Taking a part apart and cleaning it.";
    Zone 10 "Stepping into or out of the reach of a machine.";
    Lead 20 "Clipping a jumper lead on, or taking it off.";
    Call 600 "Waiting for the owner of a padlock.";
    Cut 120 "Cutting a padlock off.";
    Write 5 "Writing something down.";
    HandBack 30 "Handing the machine back.";
}

impl Cost {
    /// The cost of replacing a part of `class`.
    #[must_use]
    pub fn of_replacing(class: &str) -> Cost {
        match class {
            "Fuse" | "Lamp" | "Tube" | "Silencer" => Cost::ReplaceSmall,
            "Pump" | "VariablePump" | "HydraulicMotor" | "Cylinder" | "AirCylinder"
            | "Receiver" | "Accumulator" | "Tank" => Cost::ReplaceLarge,
            _ => Cost::ReplaceMiddling,
        }
    }
}

/// Bench times in force: the usual ones but for what a scenario changes.
///
/// ```
/// use spoolbench::base::SimTime;
/// use spoolbench::session::{Cost, Costs};
/// let mut costs = Costs::default();
/// costs.set(Cost::Volts, 12);
/// assert_eq!(costs.of(Cost::Volts), SimTime::from_secs(12));
/// assert_eq!(costs.of(Cost::Bleed), SimTime::from_secs(30));
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Costs(Vec<u32>);

impl Default for Costs {
    fn default() -> Self {
        Costs(Cost::ALL.iter().map(|c| c.usual_s()).collect())
    }
}

impl Costs {
    /// Nothing takes any time.
    pub(crate) fn none() -> Costs {
        Costs(Vec::new())
    }

    /// Bench time of `cost`.
    #[must_use]
    pub fn of(&self, cost: Cost) -> SimTime {
        let seconds = self.0.get(cost as usize).copied().unwrap_or(0);
        SimTime::from_secs(u64::from(seconds))
    }

    /// Sets the bench time of `cost` [s].
    pub fn set(&mut self, cost: Cost, seconds: u32) {
        if let Some(entry) = self.0.get_mut(cost as usize) {
            *entry = seconds;
        }
    }
}
