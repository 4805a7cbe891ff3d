//! Programs of a controller, in a documented subset of Structured Text (IEC 61131-3, from memory).
//!
//! A program is one `PROGRAM name ... END_PROGRAM` with `VAR` blocks and statements:
//!
//! - types `BOOL`, `INT` (16 bits, wraps) and `TIME`, and the blocks `TON`, `TOF`, `TP`, `SR`, `RS`,
//!   `R_TRIG`, `F_TRIG` and `CTU`;
//! - assignments, block calls such as `T1(IN := start, PT := T#5s);`, `IF ... ELSIF ... ELSE ...
//!   END_IF;`;
//! - `OR`, `XOR`, `AND` (or `&`), comparisons, `+ -`, `*`, `NOT` and minus, in this order of binding;
//! - terminals as `AT %IX0.0` and `AT %QX0.0`, written out in the statements, or by names that the
//!   bench binds.
//!
//! There are no loops, so the work of a scan is bounded by the length of the text. Everything is
//! checked before the first scan: a program that compiles cannot fail.
//!
//! ```
//! use spoolbench::base::SimTime;
//! use spoolbench::diagnostic::Diagnostics;
//! use spoolbench::plc::{Terminals, compile};
//!
//! let text = "PROGRAM hold
//!     VAR start AT %IX0.0 : BOOL; stop AT %IX0.1 : BOOL; run AT %QX0.0 : BOOL; END_VAR
//!     run := (start OR run) AND NOT stop;
//! END_PROGRAM";
//! let mut found = Diagnostics::new();
//! let program = compile("hold.st", text, &Terminals::new(2, 1), &mut found).unwrap();
//! let mut memory = program.memory();
//! program.scan(&mut memory, SimTime::ZERO, &[true, false]);
//! program.scan(&mut memory, SimTime::from_millis(10), &[false, false]);
//! assert!(program.output(&memory, 0));
//! ```

mod lexer;
mod parser;
mod program;

pub use parser::{Terminals, compile};
pub use program::{Memory, Program};

/// The longest program text [bytes].
pub const TEXT_LIMIT: usize = 64 * 1024;
/// Most variables, blocks counted by their members.
pub const SLOT_LIMIT: usize = 4_096;
/// Most statements and operations: the bound on the work of a scan.
pub const WORK_LIMIT: usize = 10_000;
/// Deepest nesting of parentheses and of `IF`.
pub const DEPTH_LIMIT: usize = 32;
