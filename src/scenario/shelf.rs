//! Where files come from.

use std::io::Read;
use std::path::PathBuf;

/// Largest file read [bytes].
pub const FILE_LIMIT: u64 = 4 << 20;

/// Gives the text of a file by its name, relative to the file that names it.
pub trait Shelf {
    /// The text of `name`.
    ///
    /// # Errors
    /// Why it cannot be had, in words.
    fn text(&self, name: &str) -> Result<String, String>;
}

/// Files below a folder.
#[derive(Clone, Debug)]
pub struct Disk {
    folder: PathBuf,
}

impl Disk {
    /// The files below `folder`.
    #[must_use]
    pub fn new(folder: impl Into<PathBuf>) -> Self {
        Disk { folder: folder.into() }
    }
}

impl Shelf for Disk {
    fn text(&self, name: &str) -> Result<String, String> {
        let file = std::fs::File::open(self.folder.join(name)).map_err(|e| e.to_string())?;
        let mut bytes = Vec::new();
        file.take(FILE_LIMIT + 1).read_to_end(&mut bytes).map_err(|e| e.to_string())?;
        if bytes.len() as u64 > FILE_LIMIT {
            return Err(format!("it is larger than {} MiB", FILE_LIMIT >> 20));
        }
        String::from_utf8(bytes)
            .map_err(|e| format!("it is not UTF-8 text (byte {})", e.utf8_error().valid_up_to()))
    }
}

/// The files that ship inside the program, for the demo and for tests.
#[derive(Clone, Copy, Debug, Default)]
pub struct Shipped;

macro_rules! shipped {
    ($($name:literal),* $(,)?) => {
        const FILES: &[(&str, &str)] =
            &[$(($name, include_str!(concat!("../../scenarios/", $name)))),*];
    };
}

shipped![
    "pusher.bench.ron",
    "press.bench.ron",
    "door.bench.ron",
    "door-closed.bench.ron",
    "press-interlock.scenario.ron",
    "press-interlock.good.actions",
    "press-interlock.unsafe.actions",
    "press-plc.bench.ron",
    "press.st",
    "press-plc-output.scenario.ron",
    "press-plc-output.good.actions",
    "press-plc-relay.scenario.ron",
    "press-plc-relay.good.actions",
];

impl Shipped {
    /// Names of all shipped files.
    pub fn names() -> impl Iterator<Item = &'static str> {
        FILES.iter().map(|(name, _)| *name)
    }
}

impl Shelf for Shipped {
    fn text(&self, name: &str) -> Result<String, String> {
        FILES
            .iter()
            .find(|(n, _)| *n == name)
            .map(|(_, text)| (*text).to_owned())
            .ok_or_else(|| "no such file is shipped".to_owned())
    }
}
