//! What is wrong with a file and how to mend it.
//!
//! Every problem is a [`Diagnostic`] with a stable [`Code`]; a reader of files puts all it finds
//! into one [`Diagnostics`], which keeps them in the order of the file.
//!
//! ```
//! use spoolbench::diagnostic::{Code, Diagnostic, Diagnostics, Place, Sources, Span, one_line};
//! use spoolbench::language::Phrase;
//! let mut sources = Sources::new();
//! sources.add("press.ron", "coil: K9");
//! let mut found = Diagnostics::new();
//! found.push(
//!     Diagnostic::error(Code::UNKNOWN_TAG, Phrase::new("bench-no-part").with("tag", "K9"))
//!         .at(Place::new("press.ron", Span::new(6, 8)))
//!         .help(Phrase::new("did-you-mean").with("nearest", "K4")),
//! );
//! let line = found.iter().map(|problem| one_line(problem, &sources)).next();
//! assert_eq!(
//!     line.as_deref(),
//!     Some("press.ron:1:7: error SB301: there is no part K9 on this bench (did you mean K4?)")
//! );
//! ```

mod codes;
mod collect;
mod render;
mod sources;

pub use crate::base::nearest;
pub use codes::Code;
pub use collect::{Diagnostic, Diagnostics, MOST_SHOWN, Place, Reporter, Severity, Span};
pub use render::{
    json, one_line, one_line_in, one_lines, one_lines_in, render, render_all, render_all_in,
    render_in,
};
pub use sources::Sources;
