//! `explain`: what a diagnostic code means.

use std::io::{self, Write};

use crate::base::nearest;
use crate::diagnostic::Code;
use crate::language::{Phrase, Words};

use super::args::Show;
use super::{exit, input};

/// Prints the explanation of `code`, or the list of all codes.
pub fn explain(
    code: Option<&str>,
    show: Show,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> io::Result<u8> {
    let words = Words::of(show.language);
    let Some(wanted) = code else {
        for code in Code::all() {
            writeln!(out, "{}  {}", code.id(), words.phrase(&code.title()))?;
        }
        return Ok(exit::SUCCESS);
    };
    match Code::find(&wanted.to_uppercase()) {
        Some(code) => {
            writeln!(out, "{}", code.explanation(words))?;
            Ok(exit::SUCCESS)
        }
        None => {
            let near = nearest(wanted, Code::all().iter().map(|c| c.id()));
            let help = near.map_or(Phrase::new("explain-list"), |near| {
                Phrase::new("did-you-mean").with("nearest", near)
            });
            let message = Phrase::new("explain-no-code").with("code", wanted);
            let line = input::problem("spoolbench", Code::UNKNOWN_CODE, message, help, words);
            writeln!(err, "{line}")?;
            Ok(exit::BAD_INPUT)
        }
    }
}
