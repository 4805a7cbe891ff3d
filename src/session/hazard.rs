//! What is dangerous, and the record of it.
//!
//! A hazard is judged by the true state of the plant, never by what a learner believes or says.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::base::SimTime;

/// How much a hazard weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Costs marks.
    Major,
    /// Could have hurt somebody: nobody passes with it.
    Critical,
}

/// Declares the hazards in one table: name, severity, short text, explanation.
macro_rules! hazards {
    ($($name:ident $severity:ident $text:literal $why:literal;)*) => {
        /// A dangerous or careless act.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Hazard { $(#[doc = $text] $name,)* }

        impl Hazard {
            /// Every hazard.
            pub const ALL: &'static [Hazard] = &[$(Hazard::$name),*];

            /// Its name.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Hazard::$name => stringify!($name),)* }
            }

            /// How much it weighs.
            #[must_use]
            pub const fn severity(self) -> Severity {
                match self { $(Hazard::$name => Severity::$severity,)* }
            }

            /// What was done.
            #[must_use]
            pub const fn text(self) -> &'static str {
                match self { $(Hazard::$name => $text,)* }
            }

            /// Why that is dangerous, and what to do instead.
            #[must_use]
            pub const fn explanation(self) -> &'static str {
                match self { $(Hazard::$name => $why,)* }
            }
        }
    };
}

hazards! {
    OpenedUnderPressure Critical "Opened under pressure."
        "More than 0.5 bar stood behind the fitting. Bleed the volume and read a gauge on it first.";
    TrustedPumpOff Critical "Took a stopped pump for a dead system."
        "The pump stood still, but a charged accumulator kept the volume under pressure. Bleed the accumulator and read a gauge first.";
    OpenedUnderLoad Critical "Opened a chamber that carries a load."
        "The fluid in it held the load up. Lower the load or put a prop under it first.";
    NotIsolated Critical "Reached into a machine that was not isolated."
        "A stop command or a valve at rest is no isolation. Open every isolator that feeds the place.";
    NotLocked Critical "Left an open isolator without a lock."
        "Anybody could have closed it again. Hang a lock on every isolator that feeds the place.";
    NotTried Major "Did not try to start the isolated machine."
        "A wrong or faulty isolator shows only when somebody tries. Press a start button after locking.";
    PressureUnproved Critical "Opened a volume without a gauge reading of zero."
        "Isolating does not take pressure away. Read a gauge on the very volume after isolating.";
    TesterUnproved Major "Took a circuit for dead without a proved tester."
        "A broken tester shows zero too. Prove it on a live source, test dead, prove it again.";
    LiveWork Critical "Worked on a live part."
        "There was voltage at its terminals. Isolate the supply and test dead first.";
    OhmsOnLive Critical "Set an ohmmeter on a live circuit."
        "It reads nonsense and its fuse blows. Isolate the circuit first.";
    AmmeterAcrossSupply Critical "Set an ammeter across a supply."
        "An ammeter is a short circuit. Use the clamp, or join the meter in series with the load.";
    ReliefAbovePlate Critical "Set a relief above its plate."
        "The relief protects everything behind the pump. Never set it above what its plate says.";
    OverrideAgainstCoil Critical "Pushed an override against the energised coil."
        "The two fight, the spool stops halfway, and letting go moves the machine. Take the command away first.";
    HandAtLeak Critical "Felt for a leak by hand."
        "A fine jet of oil goes through the skin. Look for a film, use a piece of card.";
    FuseAgain Major "Replaced a fuse again without finding why it blew."
        "A fuse that blows twice has a reason. Find the short first.";
    GaugeOverRange Major "Fitted a gauge of too low a range."
        "The pressure was above the end of its scale. Choose a range above the highest pressure that can come.";
    RestoredOpen Critical "Restored the energy with a fitting open."
        "Oil or air comes out as soon as something runs. Close every fitting before you restore.";
    EnteredPowered Critical "Stepped into the reach of a machine with its energy on."
        "Anything can start it: a relay, a spool, a colleague. Isolate, lock, bleed and read a gauge first.";
    EnteredUnderLoad Critical "Stood under a load that only the fluid holds."
        "A hose, a seal or a spool lets it down at once. Lower the load or put a prop under it first.";
    EnergisedOnPerson Critical "Switched on with a person in the machine."
        "Step out, see that nobody is left inside, and only then give the energy back.";
    OverrideOnPerson Critical "Pushed an override with a person in the machine."
        "The override moves the machine whatever the control says. Step out first.";
    MovedOnPerson Critical "The machine moved with a person in its reach."
        "That is how people are crushed. Nothing may be able to move while anybody is inside.";
    GuardBridged Critical "Bridged an interlock, a guard, a stop, a limit or a fuse."
        "The lead takes away what keeps people and the machine whole. Find out why it is open instead.";
    FuseTooLarge Critical "Fitted a fuse of a larger rating than its plate says."
        "Wires and coils now burn before the fuse does. Fit the rating on the plate and find the short.";
    GasLoosened Critical "Loosened the gas valve of a charged accumulator."
        "The gas throws the valve out. Let the gas down with the charging set first: set the precharge to 0.";
    RestoredUnready Critical "Restored the energy with a prop or a lead still in the machine."
        "What was put in for the work is thrown out or crushed, or makes something start. Take it out first.";
    AnothersLock Major "Took off a lock that belongs to somebody else."
        "Whoever hung it may be inside. Only its owner takes a lock off: call them.";
    PumpDeadheaded Major "Left the pump running against its relief for a long time."
        "All its power heats the oil. Switch the pump off while nothing moves.";
    PumpDry Major "Left the pump running without oil to draw."
        "It runs on its own film and is worn out in minutes. Stop it and look at the suction side.";
    CoilOverDuty Major "Held a coil longer than its duty allows."
        "It is made to be on for a part of the time, and above its thermal class its insulation ages fast and burns. Let it rest.";
    OverrideLeft Major "Left an override latched."
        "The valve stays shifted whatever the control says. Release every override before handing back.";
    LeftOpen Major "Handed back with a fitting open, a prop or a lead in place, a lock hanging or somebody inside."
        "The machine is not fit to run. Put everything back first.";
}

impl Hazard {
    /// Id of its message; with `-why` behind it, that of the explanation.
    #[must_use]
    pub fn message(self) -> String {
        let mut id = "hazard".to_owned();
        for letter in self.name().chars() {
            if letter.is_ascii_uppercase() {
                id.push('-');
            }
            id.push(letter.to_ascii_lowercase());
        }
        id
    }
}

/// A value that shows a hazard.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Evidence {
    /// What it is.
    pub name: String,
    /// How much.
    pub value: f64,
    /// Unit of the value.
    pub unit: Cow<'static, str>,
}

impl Evidence {
    /// A value with its name and unit, rounded to 4 significant digits.
    #[must_use]
    pub fn new(name: &str, value: f64, unit: &'static str) -> Self {
        Evidence {
            name: name.to_owned(),
            value: crate::base::ops::round_significant(value, 4),
            unit: Cow::Borrowed(unit),
        }
    }
}

/// A hazard that was met.
#[derive(Clone, Debug, PartialEq)]
pub struct HazardRecord {
    /// When.
    pub at: SimTime,
    /// What.
    pub hazard: Hazard,
    /// Where: a part, a port, a terminal.
    pub place: String,
    /// The values that show it.
    pub evidence: Vec<Evidence>,
}

impl std::fmt::Display for HazardRecord {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let text = self.hazard.text().trim_end_matches('.');
        write!(f, "{text}: {}", self.place)?;
        for e in &self.evidence {
            write!(f, ", {} {}", e.name, e.value)?;
            if !e.unit.is_empty() {
                write!(f, " {}", e.unit)?;
            }
        }
        Ok(())
    }
}
