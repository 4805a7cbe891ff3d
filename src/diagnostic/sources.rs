//! The texts that diagnostics point into.

use super::Span;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// File names with their texts, for line numbers and excerpts.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: BTreeMap<String, Source>,
    /// The folder they lie in, as people named it.
    folder: PathBuf,
}

#[derive(Clone, Debug)]
struct Source {
    text: Arc<str>,
    /// Offset of the first byte of every line.
    starts: Vec<usize>,
}

impl Sources {
    /// No text yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// No text yet, of files that lie in `folder` and are shown with it.
    #[must_use]
    pub fn within(folder: impl Into<PathBuf>) -> Self {
        Sources { files: BTreeMap::new(), folder: folder.into() }
    }

    /// The name of `file` as people can open it: with the folder, if it is one of a folder's.
    #[must_use]
    pub fn shown(&self, file: &str) -> String {
        if file.is_empty() { String::new() } else { self.folder.join(file).display().to_string() }
    }

    /// Takes in, or replaces, the text of a file.
    pub fn add(&mut self, file: impl Into<String>, text: impl Into<Arc<str>>) {
        let text = text.into();
        let mut starts = vec![0];
        starts.extend(text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(at, _)| at + 1));
        self.files.insert(file.into(), Source { text, starts });
    }

    /// The text of a file.
    #[must_use]
    pub fn text(&self, file: &str) -> Option<&Arc<str>> {
        self.files.get(file).map(|source| &source.text)
    }

    /// The names of the files, in order.
    pub fn files(&self) -> impl Iterator<Item = &str> {
        self.files.keys().map(String::as_str)
    }

    /// Line and column of a byte offset, both counted from 1, columns in characters. An offset
    /// past the end gives the end.
    #[must_use]
    pub fn line_column(&self, file: &str, offset: usize) -> Option<(usize, usize)> {
        let source = self.files.get(file)?;
        let offset = source.floor(offset);
        let line = source.line_of(offset);
        let start = source.starts.get(line).copied()?;
        Some((line + 1, source.text.get(start..offset)?.chars().count() + 1))
    }

    /// Number (from 0) of the line that holds `offset`.
    pub(super) fn line_of(&self, file: &str, offset: usize) -> Option<usize> {
        let source = self.files.get(file)?;
        Some(source.line_of(source.floor(offset)))
    }

    /// Span of a line, without its end; `None` past the last line.
    pub(super) fn line_span(&self, file: &str, line: usize) -> Option<Span> {
        let source = self.files.get(file)?;
        let start = *source.starts.get(line)?;
        let end = source.starts.get(line + 1).map_or(source.text.len(), |next| next - 1);
        let text = source.text.get(start..end)?;
        Some(Span::new(start, start + text.trim_end_matches('\r').len()))
    }
}

impl Source {
    fn floor(&self, offset: usize) -> usize {
        let mut at = offset.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        at
    }

    fn line_of(&self, offset: usize) -> usize {
        self.starts.partition_point(|start| *start <= offset).saturating_sub(1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_shown_with_its_folder() {
        assert_eq!(Sources::new().shown("a.ron"), "a.ron");
        let deep = Sources::within("class/week-3");
        let whole = std::path::Path::new("class/week-3").join("a.ron");
        assert_eq!(deep.shown("a.ron"), whole.display().to_string());
        assert_eq!(deep.shown(""), "");
    }

    #[test]
    fn lines_and_columns_count_from_one() {
        let mut sources = Sources::new();
        sources.add("a", "x\r\nµy\n");
        let at = |offset| sources.line_column("a", offset);
        assert_eq!(at(0), Some((1, 1)));
        assert_eq!(at(3), Some((2, 1)));
        assert_eq!(at(4), Some((2, 1)), "inside a letter counts as the letter");
        assert_eq!(at(5), Some((2, 2)));
        assert_eq!(at(7), Some((3, 1)));
        assert_eq!(at(usize::MAX), Some((3, 1)));
        assert_eq!(sources.line_column("b", 0), None);
        assert_eq!(sources.line_span("a", 0), Some(Span::new(0, 1)));
    }
}
