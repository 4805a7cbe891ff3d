//! Joins the fault injector to a session's rig.

use crate::base::{PartId, SimTime};
use crate::diagnostic::Code;
use crate::fault::{self, InjectError, Injector, ScriptFaultKind};
use crate::plant::{Happening, Plant};
use crate::session::{Director, DirectorError, Injected, Repair};

/// The code of a fault or script that fails, at the start or while the bench runs.
#[must_use]
pub fn problem_code(error: &InjectError) -> Code {
    match error {
        InjectError::Fault(_) => Code::FAULT_OUT_OF_RANGE,
        InjectError::Script(fault) => script_code(fault.kind),
    }
}

/// The code of a script's failure.
pub(super) fn script_code(kind: ScriptFaultKind) -> Code {
    match kind {
        ScriptFaultKind::Syntax => Code::SCRIPT_SYNTAX,
        ScriptFaultKind::Runtime => Code::SCRIPT_RUN,
        ScriptFaultKind::Limit => Code::SCRIPT_LIMIT,
        ScriptFaultKind::Forbidden => Code::SCRIPT_FORBIDDEN,
    }
}

/// An injector as a rig's director.
#[derive(Clone, Debug)]
pub(super) struct Prompter(pub Injector);

fn failed(error: InjectError) -> DirectorError {
    let code = problem_code(&error);
    DirectorError { code, message: error.phrase() }
}

impl Director for Prompter {
    fn begin(&mut self, plant: &mut Plant) -> Result<(), DirectorError> {
        self.0.begin(plant).map_err(failed)
    }

    fn next_time(&self) -> Option<SimTime> {
        self.0.next_time()
    }

    fn at_time(&mut self, plant: &mut Plant) -> Result<(), DirectorError> {
        self.0.at_time(plant).map_err(failed)
    }

    fn on_happening(
        &mut self,
        plant: &mut Plant,
        happening: &Happening,
    ) -> Result<(), DirectorError> {
        self.0.on_happening(plant, happening).map_err(failed)
    }

    fn repaired(&mut self, part: PartId, repair: Repair) {
        self.0.repaired_by(
            part,
            match repair {
                Repair::Replaced | Repair::Mended => |_| true,
                Repair::Cleaned => |by| by == fault::Repair::Clean,
                Repair::Adjusted => {
                    |by| matches!(by, fault::Repair::Adjust | fault::Repair::Rewire)
                }
            },
        );
    }

    fn injected(&self) -> Vec<Injected> {
        // The parts were looked up when the faults came, so each is found.
        self.0
            .injected()
            .iter()
            .filter_map(|(at, fault)| {
                let part = self.0.part_of(fault)?;
                Some(Injected { part, fault: fault.clone(), at: *at })
            })
            .collect()
    }

    fn copy(&self) -> Box<dyn Director> {
        Box::new(self.clone())
    }
}
