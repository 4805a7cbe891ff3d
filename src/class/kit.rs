//! What a learner of a class is given: the task as one file, its fault out of sight.
//!
//! The program of the learner has to run the fault, so a kit holds all it takes to open it. Sealing
//! keeps the fault from whoever reads, searches or edits the file, and a changed kit does not open. It
//! keeps nothing from a learner who takes the program apart: no sealing can.

use std::collections::BTreeMap;

use base64::Engine;
use base64::engine::general_purpose::STANDARD as BASE64;
use chacha20poly1305::aead::{Aead, KeyInit, Payload};
use chacha20poly1305::{XChaCha20Poly1305, XNonce};
use serde::{Deserialize, Serialize};

use crate::base::hex;
use crate::diagnostic::{Code, Diagnostics, Sources};
use crate::fault::Fault;
use crate::language::Phrase;
use crate::scenario::{Answer, Scenario, Shelf, Unread, load};

use super::secret::{Secret, keyed};

/// What a kit calls its format.
pub const KIT_FORMAT: &str = "spoolbench kit";
/// Version of the format.
pub const KIT_VERSION: u32 = 1;
/// Longest kit [bytes].
pub const KIT_LIMIT: usize = 16 << 20;

/// What a learner is told when the brief of the scenario would speak of another fault.
const BRIEF: &str = "This machine does not do all that it should. Operate it, find out what is \
                     wrong, mend it, try it and hand it back.";

/// Why a kit cannot be opened.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum KitError {
    /// It is longer than any kit.
    TooLarge,
    /// It is no kit at all.
    NoKit,
    /// It is a kit of another version.
    OtherVersion(u32),
    /// It was changed, or only part of it is here.
    Broken,
    /// What is in it does not load: another version of the program made it.
    Unsuited(Phrase),
}

impl KitError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            KitError::TooLarge => {
                Phrase::new("kit-too-large").with("most", (KIT_LIMIT >> 20).to_string())
            }
            KitError::NoKit => Phrase::new("kit-none"),
            KitError::OtherVersion(version) => Phrase::new("kit-version")
                .with("version", version.to_string())
                .with("read", KIT_VERSION.to_string()),
            KitError::Broken => Phrase::new("kit-broken"),
            KitError::Unsuited(why) => Phrase::new("kit-unsuited").with("why", why.clone()),
        }
    }

    /// Its diagnostic code.
    #[must_use]
    pub fn code(&self) -> Code {
        match self {
            KitError::TooLarge => Code::TOO_LARGE,
            KitError::OtherVersion(_) | KitError::Unsuited(_) => Code::WRONG_FORMAT,
            KitError::NoKit | KitError::Broken => Code::BROKEN_KIT,
        }
    }
}

/// What one learner is given.
#[derive(Clone, Debug, PartialEq)]
pub struct Assigned {
    /// What the learner is called.
    pub pseudonym: String,
    /// The fault.
    pub fault: Fault,
    /// Diagnoses that count as right.
    pub answers: Vec<Answer>,
    /// Seed of the run.
    pub seed: u64,
    /// Digest that attempts carry instead of the scenario's: it tells nothing of the fault.
    pub digest: String,
    /// Whether the scenario's own brief suits the fault: it was written for its variants.
    pub own_brief: bool,
}

impl Assigned {
    /// The scenario as this learner meets it.
    #[must_use]
    pub fn scenario(&self, of: &Scenario) -> Scenario {
        let mut scenario = of.clone();
        scenario.faults = vec![self.fault.clone()];
        scenario.scripts = Vec::new();
        scenario.variants = Vec::new();
        scenario.answers = self.answers.clone();
        scenario.seed = self.seed;
        scenario.digest = self.digest.clone();
        if !self.own_brief {
            scenario.title = scenario.plan.name.clone();
            scenario.brief = BRIEF.to_owned();
        }
        scenario
    }
}

/// The outside of a kit.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Outside {
    format: String,
    version: u32,
    /// Pseudonym of the learner.
    learner: String,
    /// Title of the task.
    title: String,
    /// What the reading key is made from.
    salt: String,
    nonce: String,
    sealed: String,
}

/// The inside of a kit.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Inside {
    scenario: String,
    files: BTreeMap<String, String>,
    /// The scenario's own faults, one of which is the learner's.
    part: String,
    mode: String,
    role: Option<String>,
    /// Which declared variant it is, if it has more to it than part, mode and role.
    variant: Option<usize>,
    answers: Vec<(String, String)>,
    seed: u64,
    digest: String,
    own_brief: bool,
}

/// A kit that was opened.
#[derive(Clone, Debug)]
pub struct Kit {
    /// Pseudonym of the learner.
    pub learner: String,
    /// The task.
    pub scenario: Scenario,
}

/// Whether a file with these first bytes is a kit.
#[must_use]
pub fn begins_kit(bytes: &[u8]) -> bool {
    let start = format!("{{\"format\":\"{KIT_FORMAT}\"");
    bytes.starts_with(start.as_bytes())
}

/// Length of what [`begins_kit`] looks at [bytes].
pub const KIT_START: usize = 32;

/// Seals what a learner gets. `files` are the texts that the scenario named `name` is made of.
///
/// Salt and nonce come from the secret, the digest of the assignment and the sealed text itself, so
/// that no key ever meets the same nonce with another text, and the same class gets the same bytes.
#[must_use]
pub fn seal(
    secret: &Secret,
    name: &str,
    files: &BTreeMap<String, String>,
    of: &Scenario,
    assigned: &Assigned,
) -> Vec<u8> {
    let inside = Inside {
        scenario: name.to_owned(),
        files: files.clone(),
        part: assigned.fault.part.clone(),
        mode: assigned.fault.mode.clone(),
        role: assigned.fault.role.clone(),
        variant: of.variants.iter().position(|v| *v == assigned.fault),
        answers: assigned.answers.iter().map(|a| (a.part.clone(), a.mode.clone())).collect(),
        seed: assigned.seed,
        digest: assigned.digest.clone(),
        own_brief: assigned.own_brief,
    };
    // Texts, numbers and lists of them are always JSON.
    let text = serde_json::to_string(&inside).unwrap_or_default();
    let salt = hex(&secret.derive("kit salt", &[&assigned.digest]));
    let nonce = secret.derive("kit nonce", &[&assigned.digest, &text]);
    let mut outside = Outside {
        format: KIT_FORMAT.to_owned(),
        version: KIT_VERSION,
        learner: assigned.pseudonym.clone(),
        title: assigned.scenario(of).title,
        salt,
        nonce: hex(&nonce[..24]),
        sealed: String::new(),
    };
    let around = outside.around();
    let payload = Payload { msg: text.as_bytes(), aad: around.as_bytes() };
    // It fails only for texts of many gigabytes.
    let sealed = nonce
        .first_chunk::<24>()
        .and_then(|nonce| outside.cipher().encrypt(&XNonce::from(*nonce), payload).ok());
    outside.sealed = BASE64.encode(sealed.unwrap_or_default());
    let mut bytes = serde_json::to_vec(&outside).unwrap_or_default();
    bytes.push(b'\n');
    bytes
}

/// Opens a kit.
///
/// # Errors
/// When it is none, was changed, or does not suit this version of the program.
pub fn open(bytes: &[u8]) -> Result<Kit, KitError> {
    if bytes.len() > KIT_LIMIT {
        return Err(KitError::TooLarge);
    }
    if !begins_kit(bytes) {
        return Err(KitError::NoKit);
    }
    let outside: Outside = serde_json::from_slice(bytes).map_err(|_| KitError::Broken)?;
    if outside.version != KIT_VERSION {
        return Err(KitError::OtherVersion(outside.version));
    }
    let sealed = BASE64.decode(&outside.sealed).map_err(|_| KitError::Broken)?;
    let nonce = unhex(&outside.nonce).ok_or(KitError::Broken)?;
    let around = outside.around();
    let payload = Payload { msg: &sealed, aad: around.as_bytes() };
    let text =
        outside.cipher().decrypt(&XNonce::from(nonce), payload).map_err(|_| KitError::Broken)?;
    let inside: Inside = serde_json::from_slice(&text)
        .map_err(|e| KitError::Unsuited(Phrase::written(e.to_string())))?;
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let loaded = load(&Files(&inside.files), &inside.scenario, &mut sources, &mut found);
    let of = loaded.ok_or_else(|| KitError::Unsuited(found.tally()))?;
    let fault = match inside.variant {
        Some(k) => of.variants.get(k).cloned(),
        None => {
            let plain = Fault::new(&inside.part, &inside.mode);
            Some(match &inside.role {
                Some(role) => plain.in_role(role),
                None => plain,
            })
        }
    };
    let fault = fault.ok_or_else(|| KitError::Unsuited(Phrase::new("kit-no-variant")))?;
    let answers = inside.answers.into_iter().map(|(part, mode)| Answer { part, mode }).collect();
    let assigned = Assigned {
        pseudonym: outside.learner.clone(),
        fault,
        answers,
        seed: inside.seed,
        digest: inside.digest,
        own_brief: inside.own_brief,
    };
    Ok(Kit { learner: outside.learner, scenario: assigned.scenario(&of) })
}

impl Outside {
    /// Everything that is not sealed, as what the seal also covers.
    fn around(&self) -> String {
        let Outside { format, version, learner, title, salt, nonce, .. } = self;
        let fields = [format, &version.to_string(), learner, title, salt, nonce];
        fields.map(|field| format!("{}:{field}", field.len())).join(",")
    }

    /// The key follows from what stands on the outside: it hides, and keeps no secret.
    fn cipher(&self) -> XChaCha20Poly1305 {
        let key = keyed(KIT_FORMAT.as_bytes(), "reading key", &[&self.salt, &self.learner]);
        XChaCha20Poly1305::new(&key.into())
    }
}

fn unhex(text: &str) -> Option<[u8; 24]> {
    let mut bytes = [0; 24];
    if text.len() != 48 {
        return None;
    }
    for (k, byte) in bytes.iter_mut().enumerate() {
        *byte = u8::from_str_radix(text.get(2 * k..2 * k + 2)?, 16).ok()?;
    }
    Some(bytes)
}

/// The files of a kit.
struct Files<'a>(&'a BTreeMap<String, String>);

impl Shelf for Files<'_> {
    fn text(&self, name: &str) -> Result<String, Unread> {
        let missing = || Unread::Missing(Phrase::new("kit-holds-none"));
        self.0.get(name).cloned().ok_or_else(missing)
    }
}
