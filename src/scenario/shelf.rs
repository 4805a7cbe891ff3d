//! Where files come from.

use std::io::Read;
use std::path::PathBuf;

use thiserror::Error;

use crate::language::Phrase;

/// Largest file read [bytes].
pub const FILE_LIMIT: u64 = 4 << 20;

/// Why a file cannot be had.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{}", self.phrase())]
pub enum Unread {
    /// It is not there, is a folder, or may not be read; in words.
    Missing(Phrase),
    /// It is larger than any file of this kind.
    TooLarge,
    /// It is not UTF-8 text.
    NotUtf8 {
        /// Line of the first byte that is none, from 1.
        line: usize,
        /// Its column in characters, from 1.
        column: usize,
    },
}

impl Unread {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            Unread::Missing(why) => why.clone(),
            Unread::TooLarge => {
                Phrase::new("io-too-large").with("most", (FILE_LIMIT >> 20).to_string())
            }
            Unread::NotUtf8 { line, column } => {
                Phrase::new("io-not-utf8").with("line", *line).with("column", *column)
            }
        }
    }
}

/// Gives the text of a file by its name, relative to the file that names it.
pub trait Shelf {
    /// The text of `name`.
    ///
    /// # Errors
    /// Why it cannot be had.
    fn text(&self, name: &str) -> Result<String, Unread>;
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
    fn text(&self, name: &str) -> Result<String, Unread> {
        let missing = |problem: std::io::Error| Unread::Missing(Phrase::system(&problem));
        let file = std::fs::File::open(self.folder.join(name)).map_err(missing)?;
        let mut bytes = Vec::new();
        file.take(FILE_LIMIT + 1).read_to_end(&mut bytes).map_err(missing)?;
        if bytes.len() as u64 > FILE_LIMIT {
            return Err(Unread::TooLarge);
        }
        String::from_utf8(bytes).map_err(|problem| {
            let sound = problem.utf8_error().valid_up_to();
            let before = String::from_utf8_lossy(problem.as_bytes().get(..sound).unwrap_or(&[]));
            let row = before.rsplit('\n').next().unwrap_or("");
            Unread::NotUtf8 {
                line: 1 + before.matches('\n').count(),
                column: 1 + row.chars().count(),
            }
        })
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
    "both-buttons.drill.ron",
    "coil-and-supply.drill.ron",
    "contact-and-valve.drill.ron",
    "power-lost.drill.ron",
    "safe-to-open.drill.ron",
    "three-way.drill.ron",
    "which-way.drill.ron",
    "stops.bench.ron",
    "threeway.bench.ron",
    "pusher-starter.bench.ron",
    "pusher-half-voltage.good.actions",
    "pusher-half-voltage.scenario.ron",
    "pusher-pump-stops.good.actions",
    "pusher-pump-stops.scenario.ron",
    "press-dead-coil.good.actions",
    "press-dead-coil.scenario.ron",
    "press-pump-idle.good.actions",
    "press-pump-idle.scenario.ron",
    "door-pump-drops.good.actions",
    "door-pump-drops.scenario.ron",
    "door-dead-coil.good.actions",
    "door-dead-coil.scenario.ron",
    "door-nothing-arrives.good.actions",
    "door-nothing-arrives.scenario.ron",
    "door-no-reserve.good.actions",
    "door-no-reserve.scenario.ron",
    "gripper-dead-button.good.actions",
    "gripper-dead-button.scenario.ron",
    "gripper-held.good.actions",
    "gripper-held.scenario.ron",
    "gripper-kink.good.actions",
    "gripper-kink.scenario.ron",
    "pusher.bench.ron",
    "cutter.bench.ron",
    "cutter-astray.good.actions",
    "cutter-astray.scenario.ron",
    "cutter-carriage-waits.good.actions",
    "cutter-carriage-waits.scenario.ron",
    "cutter-drain.good.actions",
    "cutter-drain.scenario.ron",
    "cutter-hangs.good.actions",
    "cutter-hangs.scenario.ron",
    "cutter-no-cut.good.actions",
    "cutter-no-cut.scenario.ron",
    "cutter-pilot.good.actions",
    "cutter-pilot.scenario.ron",
    "cutter-short-of-place.good.actions",
    "cutter-short-of-place.scenario.ron",
    "cutter-stays-down.good.actions",
    "cutter-stays-down.scenario.ron",
    "cutter-sticks-in-the-clay.good.actions",
    "cutter-sticks-in-the-clay.scenario.ron",
    "pressures.bench.ron",
    "loads.bench.ron",
    "feed.bench.ron",
    "spindle.bench.ron",
    "stamp.bench.ron",
    "store.bench.ron",
    "valves.bench.ron",
    "winch.bench.ron",
    "press.bench.ron",
    "door.bench.ron",
    "door-closed.bench.ron",
    "door-empties.good.actions",
    "door-empties.scenario.ron",
    "door-few-strokes.good.actions",
    "door-few-strokes.scenario.ron",
    "door-now-and-then.good.actions",
    "door-now-and-then.scenario.ron",
    "door-reopens.good.actions",
    "door-reopens.scenario.ron",
    "door-sealed.bench.ron",
    "door-will-not-close.good.actions",
    "door-will-not-close.scenario.ron",
    "gripper.bench.ron",
    "picker.bench.ron",
    "gripper-coil.good.actions",
    "gripper-coil.scenario.ron",
    "gripper-coil.unsafe.actions",
    "gripper-pilot.good.actions",
    "gripper-pilot.scenario.ron",
    "gripper-seal.good.actions",
    "gripper-seal.scenario.ron",
    "gripper-silencer.good.actions",
    "gripper-silencer.scenario.ron",
    "gripper-tube.good.actions",
    "gripper-tube.scenario.ron",
    "press-dead-button.good.actions",
    "press-dead-button.rhai",
    "press-dead-button.scenario.ron",
    "press-interlock.good.actions",
    "press-interlock.scenario.ron",
    "press-interlock.unsafe.actions",
    "press-no-lift.good.actions",
    "press-no-lift.scenario.ron",
    "press-no-pressure.good.actions",
    "press-no-pressure.scenario.ron",
    "press-handsoff.bench.ron",
    "press-race.good.actions",
    "press-race.scenario.ron",
    "press-slow.good.actions",
    "press-slow.scenario.ron",
    "press-wrong-way.good.actions",
    "press-wrong-way.scenario.ron",
    "press-plc.bench.ron",
    "press.st",
    "press-plc-output.scenario.ron",
    "press-plc-output.good.actions",
    "press-plc-relay.scenario.ron",
    "press-plc-relay.good.actions",
    "pusher-dead-coil.good.actions",
    "pusher-dead-coil.scenario.ron",
    "pusher-fuse.good.actions",
    "pusher-fuse.scenario.ron",
    "pusher-overrun.good.actions",
    "pusher-overrun.scenario.ron",
    "pusher-stays-out.good.actions",
    "pusher-stays-out.scenario.ron",
    "pusher-weak.good.actions",
    "pusher-weak.scenario.ron",
    "pusher-will-not-stop.good.actions",
    "pusher-will-not-stop.scenario.ron",
];

impl Shipped {
    /// Names of all shipped files.
    pub fn names() -> impl Iterator<Item = &'static str> {
        FILES.iter().map(|(name, _)| *name)
    }
}

impl Shelf for Shipped {
    fn text(&self, name: &str) -> Result<String, Unread> {
        FILES
            .iter()
            .find(|(n, _)| *n == name)
            .map(|(_, text)| (*text).to_owned())
            .ok_or_else(|| Unread::Missing(Phrase::new("io-not-shipped")))
    }
}
