//! The fault dictionary of a scenario, worked out once and kept in a folder.
//!
//! The file's name is a digest of everything that the dictionary follows from: scenario, bench and
//! scripts, the program's version, and what the sound machine does in the operating steps. A file
//! that is not whole, or not ours, is worked out anew and written over.

use std::io::{Read, Write};
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::diagnosis::{
    DiagnosisError, Dictionary, Hypothesis, Survey, dictionary, hypotheses, in_full, usual_steps,
};
use crate::fault::Fault;
use crate::session::Action;

use super::load::Scenario;

/// What the first line of a kept dictionary begins with; the number is that of the format.
const MARK: &str = "spoolbench dictionary 4";
/// Longest file that is read back [bytes].
const LONGEST: u64 = 64 << 20;

fn hex(hash: Sha256) -> String {
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

impl Scenario {
    /// The sound machine, every credible single fault, and the pairs that the author lists.
    #[must_use]
    pub fn suspects(&self) -> Vec<Hypothesis> {
        hypotheses(&self.plan, &self.pairs)
    }

    /// The operating steps: those of the functional test, or else every button in turn; then what
    /// the author adds.
    #[must_use]
    pub fn operating_steps(&self) -> Vec<Action> {
        let mut steps = if self.retest.actions.is_empty() {
            usual_steps(&self.plan)
        } else {
            self.retest.actions.clone()
        };
        steps.extend(self.operate.iter().cloned());
        steps
    }

    /// The suspects of the fault dictionary: those of the scenario's own faults are of their size.
    fn sized_suspects(&self) -> Vec<Hypothesis> {
        let mut list = self.suspects();
        let own: Vec<Fault> = self.faults.iter().map(|f| in_full(&self.plan, f)).collect();
        for fault in list.iter_mut().filter(|h| h.faults.len() == 1).flat_map(|h| &mut h.faults) {
            let same =
                |f: &&Fault| f.part == fault.part && f.mode == fault.mode && f.role == fault.role;
            if let Some(found) = own.iter().find(same) {
                fault.severity = found.severity.or(fault.severity);
            }
        }
        list
    }

    /// The fault dictionary, from the folder `cache` if it is there.
    ///
    /// # Errors
    /// When there is nothing to simulate or too much of it. A cache that cannot be read or written
    /// is no error.
    pub fn dictionary(&self, cache: Option<&Path>) -> Result<Dictionary, DiagnosisError> {
        let suspects = self.sized_suspects();
        let actions = self.operating_steps();
        let survey = Survey {
            plan: &self.plan,
            actions: &actions,
            tools: &self.tools,
            suspects: &suspects,
            setup: true,
        };
        let Some(folder) = cache else {
            return dictionary(&survey);
        };
        let mut hash = Sha256::new();
        for part in [MARK, env!("CARGO_PKG_VERSION"), &self.digest, &survey.sound_digest()] {
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part.as_bytes());
        }
        let name = format!("{}.dictionary", hex(hash));
        if let Some(known) = read(&folder.join(&name)) {
            return Ok(known);
        }
        let found = dictionary(&survey)?;
        // Without a cache everything is worked out again, no more.
        let _ = write(folder, &name, &found);
        Ok(found)
    }
}

fn head(body: &[u8]) -> String {
    let mut hash = Sha256::new();
    hash.update(body);
    format!("{MARK} {}\n", hex(hash))
}

fn read(path: &Path) -> Option<Dictionary> {
    let file = std::fs::File::open(path).ok()?;
    let mut bytes = Vec::new();
    file.take(LONGEST).read_to_end(&mut bytes).ok()?;
    let end = bytes.iter().position(|b| *b == b'\n')? + 1;
    let (first, body) = bytes.split_at(end);
    if first != head(body).as_bytes() {
        return None;
    }
    let found: Dictionary = serde_json::from_slice(body).ok()?;
    found.is_whole().then_some(found)
}

/// Written beside its place and moved there, so that nobody ever reads half of it.
fn write(folder: &Path, name: &str, found: &Dictionary) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let body = serde_json::to_vec(found)?;
    let beside = folder.join(format!("{name}.{}.part", std::process::id()));
    let mut file = std::fs::File::create(&beside)?;
    let done = file.write_all(head(&body).as_bytes()).and_then(|()| file.write_all(&body));
    drop(file);
    let done = done.and_then(|()| std::fs::rename(&beside, folder.join(name)));
    if done.is_err() {
        let _ = std::fs::remove_file(&beside);
    }
    done
}
