//! Faults as a scenario states them, and the one who brings them about during a run.

use crate::base::{PartId, SimTime};
use crate::plant::{Element, Happening, Plan, Plant};

use super::effect;
use super::modes::{ModeSpec, Repair, modes_of};
use super::roster::{Due, Roster};
use super::script::{Cast, Script, ScriptFault};
use crate::base::nearest;
use crate::language::Phrase;

/// When a fault comes.
#[derive(Clone, Debug, PartialEq)]
pub enum Onset {
    /// It is there when the run starts.
    Start,
    /// At this bench time.
    At(SimTime),
    /// Once an operator of `part` has acted, a spool of it has shifted away from its start, or a
    /// piston of it has reached its extended end, this many times; 0 is from the start. The count
    /// begins anew when the counted part is renewed before.
    AfterCycles {
        /// Designation of the part that is counted.
        part: String,
        /// How many times.
        cycles: u32,
    },
    /// It comes and goes, absent at first.
    Intermittent {
        /// Mean time for which it is there, at least 1 ms; exponentially distributed.
        present: SimTime,
        /// Mean time for which it is not, at least 1 ms; exponentially distributed.
        absent: SimTime,
    },
}

/// A fault: what, where, how bad, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Designation of the part, such as `K1`.
    pub part: String,
    /// Mode, such as `welded`.
    pub mode: String,
    /// Role of the element in the part, such as `13-14`; needed where several have that mode.
    pub role: Option<String>,
    /// How bad, in the unit of the mode; its default when `None`.
    pub severity: Option<f64>,
    /// When.
    pub onset: Onset,
}

impl Fault {
    /// The fault `mode` of `part` from the start, of default severity.
    #[must_use]
    pub fn new(part: &str, mode: &str) -> Self {
        Fault {
            part: part.to_owned(),
            mode: mode.to_owned(),
            role: None,
            severity: None,
            onset: Onset::Start,
        }
    }

    /// The same in the element with `role`.
    #[must_use]
    pub fn in_role(mut self, role: &str) -> Self {
        self.role = Some(role.to_owned());
        self
    }

    /// The same with `severity`, in the unit of the mode.
    #[must_use]
    pub fn of(mut self, severity: f64) -> Self {
        self.severity = Some(severity);
        self
    }

    /// What it is called: `K1 open coil`, with part, mode, and the role where it is given.
    #[must_use]
    pub fn name(&self) -> String {
        match &self.role {
            Some(role) => format!("{} {} {role}", self.part, self.mode),
            None => format!("{} {}", self.part, self.mode),
        }
    }

    /// The same with `onset`.
    #[must_use]
    pub fn with(mut self, onset: Onset) -> Self {
        self.onset = onset;
        self
    }
}

/// A fault that the bench cannot have. Nothing has been changed, and the run may go on without it.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum FaultError {
    /// No such part.
    UnknownPart {
        /// As written.
        part: String,
        /// The designation that looks most like it.
        nearest: Option<String>,
    },
    /// The part has no such mode.
    UnknownMode {
        /// Designation of the part.
        part: String,
        /// As written.
        mode: String,
        /// The modes it has.
        known: Vec<&'static str>,
        /// The mode that looks most like it.
        nearest: Option<&'static str>,
    },
    /// Several elements of the part have the mode, and no role says which is meant.
    AmbiguousRole {
        /// Designation of the part.
        part: String,
        /// The mode.
        mode: String,
        /// The roles to choose from.
        roles: Vec<String>,
    },
    /// The part has the mode, but not in that role.
    UnknownRole {
        /// Designation of the part.
        part: String,
        /// The mode.
        mode: String,
        /// As written.
        role: String,
        /// The roles to choose from.
        roles: Vec<String>,
    },
    /// The severity is out of range, or no number.
    Severity {
        /// Designation of the part.
        part: String,
        /// The mode.
        mode: String,
        /// As written.
        severity: f64,
        /// What the number means.
        meaning: &'static str,
        /// Its unit.
        unit: &'static str,
        /// Least value.
        min: f64,
        /// Greatest value.
        max: f64,
    },
    /// The mode has no degrees.
    NoSeverity {
        /// Designation of the part.
        part: String,
        /// The mode.
        mode: String,
    },
    /// Nothing of the part can be counted in cycles.
    NothingToCount {
        /// Designation of the part.
        part: String,
    },
    /// A mean duration below 1 ms.
    TooShort {
        /// Designation of the part.
        part: String,
    },
}

impl FaultError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        let of = |id: &'static str, part: &str| Phrase::new(id).with("part", part);
        match self {
            FaultError::UnknownPart { part, .. } => of("fault-no-part", part),
            FaultError::UnknownMode { part, mode, .. } => {
                of("fault-no-mode", part).with("mode", mode.as_str())
            }
            FaultError::AmbiguousRole { part, mode, roles } => {
                of("fault-which", part).with("mode", mode.as_str()).with("roles", roles.join(", "))
            }
            FaultError::UnknownRole { part, mode, role, .. } => {
                of("fault-no-role", part).with("mode", mode.as_str()).with("role", role.as_str())
            }
            FaultError::Severity { part, mode, severity, .. } => of("fault-severity", part)
                .with("mode", mode.as_str())
                .with("severity", severity.to_string()),
            FaultError::NoSeverity { part, mode } => {
                of("fault-no-severity", part).with("mode", mode.as_str())
            }
            FaultError::NothingToCount { part } => of("fault-no-cycles", part),
            FaultError::TooShort { part } => of("fault-too-short", part),
        }
    }

    /// What to do about it.
    #[must_use]
    pub fn help(&self) -> Phrase {
        match self {
            FaultError::UnknownPart { nearest, .. } => match nearest {
                Some(tag) => Phrase::new("did-you-mean").with("nearest", tag.as_str()),
                None => Phrase::new("fault-use-tag"),
            },
            FaultError::UnknownMode { known, nearest, .. } => match (nearest, known.is_empty()) {
                (Some(mode), _) => Phrase::new("did-you-mean-text").with("nearest", *mode),
                (None, true) => Phrase::new("fault-nothing-fails"),
                (None, false) => Phrase::new("fault-it-has").with("known", known.join(", ")),
            },
            FaultError::AmbiguousRole { roles, .. } => {
                Phrase::new("fault-say-role").with("role", roles.first().map_or("", String::as_str))
            }
            FaultError::UnknownRole { role, roles, .. } => {
                match nearest(role, roles.iter().map(String::as_str)) {
                    Some(role) => Phrase::new("did-you-mean-text").with("nearest", role),
                    None => Phrase::new("fault-choose").with("roles", roles.join(", ")),
                }
            }
            FaultError::Severity { meaning, unit, min, max, .. } => Phrase::new("fault-range")
                .with("meaning", Phrase::new(severity_id(meaning)))
                .with("unit", *unit)
                .with("min", min.to_string())
                .with("max", max.to_string()),
            FaultError::NoSeverity { .. } => Phrase::new("fault-drop-severity"),
            FaultError::NothingToCount { .. } => Phrase::new("fault-count-one"),
            FaultError::TooShort { .. } => Phrase::new("fault-give-times"),
        }
    }
}

/// Id of the message that says what a severity means.
pub(super) fn severity_id(meaning: &str) -> String {
    let words = meaning.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty());
    format!("severity-{}", words.collect::<Vec<_>>().join("-"))
}

/// What keeps an injector from its work.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum InjectError {
    /// A fault that the bench cannot have.
    #[error(transparent)]
    Fault(#[from] FaultError),
    /// A script that failed. It is not called again; the run may go on without it.
    #[error(transparent)]
    Script(#[from] ScriptFault),
}

impl InjectError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            InjectError::Fault(fault) => fault.phrase(),
            InjectError::Script(fault) => fault.phrase(),
        }
    }

    /// What to do about it.
    #[must_use]
    pub fn help(&self) -> Phrase {
        match self {
            InjectError::Fault(fault) => fault.help(),
            InjectError::Script(fault) => (*fault.help).clone(),
        }
    }
}

/// A fault matched to the elements of a plan.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Found {
    pub part: PartId,
    pub element: Element,
    pub spec: &'static ModeSpec,
    pub severity: f64,
}

/// Looks `fault` up in `plan`.
pub(super) fn find(plan: &Plan, fault: &Fault) -> Result<Found, FaultError> {
    let part = find_part(plan, &fault.part)?;
    let (tag, mode) = (fault.part.clone(), fault.mode.clone());
    let all = modes_of(plan, part);
    let with_mode: Vec<_> = all.iter().filter(|(s, ..)| s.id == mode).collect();
    if with_mode.is_empty() {
        let mut known: Vec<&'static str> = Vec::new();
        for (spec, ..) in &all {
            if !known.contains(&spec.id) {
                known.push(spec.id);
            }
        }
        let nearest = nearest(&mode, known.iter().copied());
        return Err(FaultError::UnknownMode { part: tag, mode, known, nearest });
    }
    let roles = || with_mode.iter().map(|(_, role, _)| role.clone()).collect();
    let (spec, _, element) = match (&fault.role, with_mode.as_slice()) {
        (None, [only]) => *only,
        (None, _) => {
            return Err(FaultError::AmbiguousRole { part: tag, mode, roles: roles() });
        }
        (Some(role), _) => match with_mode.iter().find(|(_, r, _)| r == role) {
            Some(one) => one,
            None => {
                return Err(FaultError::UnknownRole {
                    part: tag,
                    mode,
                    role: role.clone(),
                    roles: roles(),
                });
            }
        },
    };
    let severity = match (fault.severity, spec.severity) {
        (None, None) => 0.0,
        (None, Some(s)) => s.default,
        (Some(_), None) => return Err(FaultError::NoSeverity { part: tag, mode }),
        (Some(severity), Some(s)) if (s.min..=s.max).contains(&severity) => severity,
        (Some(severity), Some(s)) => {
            return Err(FaultError::Severity {
                part: tag,
                mode,
                severity,
                meaning: s.meaning,
                unit: s.unit,
                min: s.min,
                max: s.max,
            });
        }
    };
    Ok(Found { part, element: *element, spec, severity })
}

/// The part tagged `tag`.
pub(super) fn find_part(plan: &Plan, tag: &str) -> Result<PartId, FaultError> {
    plan.part(tag).ok_or_else(|| FaultError::UnknownPart {
        part: tag.to_owned(),
        nearest: nearest(tag, plan.parts.iter().map(|p| p.tag.as_str())).map(str::to_owned),
    })
}

/// Brings `fault` about now, whatever its onset.
///
/// # Errors
/// When the bench cannot have it; nothing is changed then.
pub fn apply(plant: &mut Plant, fault: &Fault) -> Result<(), FaultError> {
    let found = find(plant.plan(), fault)?;
    effect::apply(plant, &found);
    Ok(())
}

/// Brings about the faults and scripts of a scenario during a run.
///
/// The caller advances the plant to [`Injector::next_time`] at most, then calls
/// [`Injector::at_time`], and hands every happening to [`Injector::on_happening`].
#[derive(Clone, Debug)]
pub struct Injector {
    roster: Roster,
    casts: Vec<Cast>,
}

impl Injector {
    /// Looks everything up before anything is changed. `seed` decides what scripts choose and how
    /// long intermittent faults last.
    ///
    /// # Errors
    /// When the bench cannot have one of the faults.
    pub fn new(
        plan: &Plan,
        seed: u64,
        faults: Vec<Fault>,
        scripts: Vec<Script>,
    ) -> Result<Self, InjectError> {
        let mut roster = Roster::new(seed);
        for fault in faults {
            roster.enlist(plan, fault)?;
        }
        let casts = scripts.into_iter().map(|s| Cast::new(s, seed)).collect();
        Ok(Injector { roster, casts })
    }

    /// An injector of `faults` alone, of which those that come and go do so as a fault of the part
    /// `rhythm` would: for asking what another fault would have shown at the same moments.
    ///
    /// # Errors
    /// When the bench cannot have one of the faults.
    pub fn in_rhythm_of(
        plan: &Plan,
        seed: u64,
        faults: Vec<Fault>,
        rhythm: &str,
    ) -> Result<Self, InjectError> {
        let mut roster = Roster::new(seed);
        for fault in faults {
            roster.enlist_as(plan, fault, rhythm)?;
        }
        Ok(Injector { roster, casts: Vec::new() })
    }

    /// Starts: faults that are there from the start come, and each script's `setup` is called.
    /// Call it once.
    ///
    /// # Errors
    /// When a script fails. The others have been called.
    pub fn begin(&mut self, plant: &mut Plant) -> Result<(), InjectError> {
        self.roster.begin(plant);
        let mut first = Ok(());
        for k in 0..self.casts.len() {
            let done = self.call(plant, k, "setup");
            if first.is_ok() {
                first = done;
            }
        }
        first
    }

    /// When [`Injector::at_time`] wants to be called next.
    #[must_use]
    pub fn next_time(&self) -> Option<SimTime> {
        self.roster.next_time()
    }

    /// Brings about what is due by now.
    ///
    /// # Errors
    /// When a script fails. What else was due by then has been done; call again for the rest.
    pub fn at_time(&mut self, plant: &mut Plant) -> Result<(), InjectError> {
        while let Some(due) = self.roster.take_due(plant.now()) {
            match due {
                Due::Onset(k) => self.roster.come(plant, k),
                Due::Toggle(k) => self.roster.toggle(plant, k),
                Due::Call(script, function) => {
                    self.casts[script].came_due();
                    self.call(plant, script, &function)?;
                }
            }
        }
        Ok(())
    }

    /// Counts cycles and calls the scripts that wait for `happening`.
    ///
    /// # Errors
    /// When a script fails. The others have been called.
    pub fn on_happening(
        &mut self,
        plant: &mut Plant,
        happening: &Happening,
    ) -> Result<(), InjectError> {
        self.roster.count(plant, happening.what);
        let mut first = Ok(());
        for k in 0..self.casts.len() {
            for function in self.casts[k].waiting_for(happening.what) {
                let done = self.call(plant, k, &function);
                if first.is_ok() {
                    first = done;
                }
            }
        }
        first
    }

    /// Says that `part` was repaired or replaced. Its faults that have come, and its intermittent
    /// ones, do not come back; what a scenario has in store for a later time still comes.
    pub fn repaired(&mut self, part: PartId) {
        self.repaired_by(part, |_| true);
    }

    /// Says that `part` was worked on in a way that ends faults whose repair `mends`, and no others:
    /// cleaning a valve does not mend its coil.
    pub fn repaired_by(&mut self, part: PartId, mends: fn(Repair) -> bool) {
        self.roster.repaired(part, mends);
    }

    /// The truth: every fault that came, and when. An intermittent one counts from the moment it
    /// lies in the part, though it may be absent then.
    #[must_use]
    pub fn injected(&self) -> &[(SimTime, Fault)] {
        self.roster.injected()
    }

    /// The part that `fault` names, on the bench this injector is for.
    #[must_use]
    pub fn part_of(&self, fault: &Fault) -> Option<PartId> {
        self.roster.part_of(fault)
    }

    /// What scripts noted, in order: script, time and text.
    #[must_use]
    pub fn notes(&self) -> Vec<(&str, SimTime, &str)> {
        self.casts
            .iter()
            .flat_map(|cast| cast.notes().map(|(at, text)| (cast.name(), at, text)))
            .collect()
    }

    fn call(&mut self, plant: &mut Plant, k: usize, function: &str) -> Result<(), InjectError> {
        self.casts[k].call(plant, &mut self.roster, k, function)?;
        Ok(())
    }
}
