//! What the exit code of the program says.

/// Everything worked; with `grade`, every attempt is competent.
pub const SUCCESS: u8 = 0;
/// `grade`: at least one learner is not yet competent; `drill`: not everything was predicted; `lint`:
/// there is advice. Nothing else went wrong.
pub const NOT_YET_COMPETENT: u8 = 1;
/// A file, an argument or an attempt could not be used; the diagnostics say why.
pub const BAD_INPUT: u8 = 2;
/// A fault script failed or reached one of its limits.
pub const SCRIPT_FAULT: u8 = 3;
/// The physics could not be advanced, or the program met a mistake of its own.
pub const INTERNAL: u8 = 4;
/// `practise`: no display, no graphics, or a build without the window. `console` needs none of them.
pub const NO_WINDOW: u8 = 5;

/// All codes with their meaning, for help and guide.
pub const TABLE: [(u8, &str); 6] = [
    (SUCCESS, "success; with grade, every attempt is competent"),
    (
        NOT_YET_COMPETENT,
        "a learner is not yet competent or has not predicted everything of a drill, or a bench has advice",
    ),
    (BAD_INPUT, "a file, an argument or an attempt could not be used"),
    (SCRIPT_FAULT, "a fault script failed or reached a limit"),
    (INTERNAL, "the physics could not be advanced, or an internal mistake"),
    (NO_WINDOW, "practise: no display, no graphics, or a build without the window; use console"),
];

/// The graver of two outcomes: a mistake of ours, then a script's, then bad input, then marks.
#[must_use]
pub fn graver(a: u8, b: u8) -> u8 {
    a.max(b)
}
