//! Collects the problems of one file.

use crate::diagnostic::{Code, Diagnostic, Diagnostics, Place, Span};

/// Puts problems of one file into a collection.
pub struct Reporter<'a> {
    file: &'a str,
    source: &'a str,
    out: &'a mut Diagnostics,
}

impl<'a> Reporter<'a> {
    /// A reporter for `file` with text `source`.
    pub fn new(file: &'a str, source: &'a str, out: &'a mut Diagnostics) -> Self {
        Reporter { file, source, out }
    }

    /// Something that must be mended.
    pub fn error(
        &mut self,
        code: Code,
        span: Span,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.out.push(
            Diagnostic::error(code, message.into())
                .at(Place::new(self.file, span))
                .help(help.into()),
        );
    }

    /// Something that is probably not meant.
    pub fn warning(
        &mut self,
        code: Code,
        span: Span,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.out.push(
            Diagnostic::warning(code, message.into())
                .at(Place::new(self.file, span))
                .help(help.into()),
        );
    }

    /// The text at `span`.
    #[must_use]
    pub fn source_of(&self, span: Span) -> String {
        self.source.get(span.start..span.end).unwrap_or("").trim().to_owned()
    }

    /// Name of the file.
    #[must_use]
    pub fn file(&self) -> &str {
        self.file
    }

    /// The collection itself.
    pub fn out(&mut self) -> &mut Diagnostics {
        self.out
    }
}
