//! `explain`: what a diagnostic code means.

use std::io::{self, Write};

use crate::base::nearest;
use crate::diagnostic::Code;

use super::{exit, input};

/// Prints the explanation of `code`, or the list of all codes.
pub fn explain(code: Option<&str>, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let Some(wanted) = code else {
        for code in Code::all() {
            writeln!(out, "{}  {}", code.id(), code.title())?;
        }
        return Ok(exit::SUCCESS);
    };
    match Code::find(&wanted.to_uppercase()) {
        Some(code) => {
            writeln!(out, "{}", code.explanation())?;
            Ok(exit::SUCCESS)
        }
        None => {
            let near = nearest(wanted, Code::all().iter().map(|c| c.id()));
            let help = near.map_or_else(
                || "`spoolbench explain` lists them all".to_owned(),
                |n| format!("did you mean {n}?"),
            );
            let message = format!("there is no code {wanted}");
            writeln!(err, "{}", input::problem("spoolbench", Code::UNKNOWN_CODE, message, help))?;
            Ok(exit::BAD_INPUT)
        }
    }
}
