//! What a stopped batch has graded already, kept beside its file until that is whole again.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, BufWriter, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use crate::language::Phrase;

use super::{
    Came, Lines, RESULTS_FORMAT, RESULTS_START, ResultsError, ResultsHead, Stub, file_error,
};

/// A line that an earlier run of the batch wrote.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KeptLine {
    offset: u64,
    length: usize,
    /// What came of the attempt.
    pub came: Came,
}

/// What earlier runs of a batch have graded: kept beside the file of grades until that is whole.
pub struct Kept {
    file: Option<(PathBuf, File)>,
    lines: BTreeMap<(String, String), KeptLine>,
}

impl Kept {
    /// Nothing kept.
    #[must_use]
    pub fn nothing() -> Self {
        Kept { file: None, lines: BTreeMap::new() }
    }

    /// The file in which the lines of earlier runs of the batch at `path` are kept.
    #[must_use]
    pub fn path(path: &Path) -> PathBuf {
        let mut name = path.as_os_str().to_owned();
        name.push(".kept");
        PathBuf::from(name)
    }

    /// Puts aside what earlier runs wrote to `path`: its lines can then be taken over one by one, and
    /// the file of grades be written anew. At no moment is a line on no disk.
    ///
    /// # Errors
    /// When a file cannot be read or written, or holds grades of another batch than `head`.
    pub fn put_aside(path: &Path, head: &ResultsHead) -> Result<Self, ResultsError> {
        let aside = Kept::path(path);
        if !aside.exists() {
            if !path.exists() {
                return Ok(Kept::nothing());
            }
            // Looked through before anything is moved: it may be something else.
            Kept::load(path, head)?;
            std::fs::rename(path, &aside).map_err(file_error(path))?;
            return Kept::load(&aside, head);
        }
        let mut kept = Kept::load(&aside, head)?;
        if path.exists() {
            kept.take_in(path, head, &aside)?;
            std::fs::remove_file(path).map_err(file_error(path))?;
        }
        Ok(kept)
    }

    /// The lines of the file at `path`.
    fn load(path: &Path, head: &ResultsHead) -> Result<Self, ResultsError> {
        let mut kept = Kept::nothing();
        kept.each_line(path, head, |kept, stub, sha256, offset, line| {
            let length = line.len();
            let key = (stub.attempt, sha256);
            kept.lines.insert(key, KeptLine { offset, length, came: stub.came });
            Ok(())
        })?;
        let file = File::open(path).map_err(file_error(path))?;
        kept.file = Some((path.to_owned(), file));
        Ok(kept)
    }

    /// Adds what the file at `path` has more than is kept `aside`.
    fn take_in(
        &mut self,
        path: &Path,
        head: &ResultsHead,
        aside: &Path,
    ) -> Result<(), ResultsError> {
        let problem = file_error(aside);
        let mut out =
            File::options().append(true).read(true).open(aside).map_err(file_error(aside))?;
        let mut end = out.seek(SeekFrom::End(0)).map_err(&problem)?;
        // A line that was torn there is closed, and skipped by whoever reads it.
        out.write_all(b"\n").map_err(&problem)?;
        end += 1;
        let mut out = BufWriter::new(out);
        self.each_line(path, head, |kept, stub, sha256, _, line| {
            let key = (stub.attempt, sha256);
            if kept.lines.contains_key(&key) {
                return Ok(());
            }
            out.write_all(line).and_then(|()| out.write_all(b"\n")).map_err(file_error(aside))?;
            let length = line.len();
            kept.lines.insert(key, KeptLine { offset: end, length, came: stub.came });
            end += length as u64 + 1;
            Ok(())
        })?;
        let file = out.into_inner().map_err(|e| problem(e.into_error()))?;
        file.sync_all().map_err(&problem)
    }

    fn each_line(
        &mut self,
        path: &Path,
        head: &ResultsHead,
        mut each: impl FnMut(&mut Self, Stub, String, u64, &[u8]) -> Result<(), ResultsError>,
    ) -> Result<(), ResultsError> {
        let mut lines = Lines::open(path)?;
        let Some(found) = lines.head()? else {
            // Stopped within its first line, or nothing of ours.
            let mut start = Vec::new();
            let file = File::open(path).map_err(file_error(path))?;
            file.take(RESULTS_START as u64).read_to_end(&mut start).map_err(file_error(path))?;
            let ours = format!("{{\"format\":\"{RESULTS_FORMAT}\"");
            let both = start.len().min(ours.len());
            return if start[..both] == ours.as_bytes()[..both] {
                Ok(())
            } else {
                Err(lines.strange())
            };
        };
        if !found.agrees(head) {
            let what = if found.scenario != head.scenario {
                "results-of-scenario"
            } else if found.engine != head.engine {
                "results-of-version"
            } else {
                "results-of-rubric"
            };
            let (path, what) = (path.display().to_string(), Phrase::new(what));
            return Err(ResultsError::Other { path, what });
        }
        while let Some((offset, line)) = lines.next()? {
            // What is no line of an attempt is an end, or was torn.
            if let Ok(stub) = serde_json::from_slice::<Stub>(&line)
                && let Some(sha256) = stub.sha256.clone()
            {
                each(self, stub, sha256, offset, &line)?;
            }
        }
        Ok(())
    }

    /// The line of the attempt of this name and content, if it was graded.
    #[must_use]
    pub fn find(&self, attempt: &str, sha256: &str) -> Option<KeptLine> {
        self.lines.get(&(attempt.to_owned(), sha256.to_owned())).copied()
    }

    /// How many lines are kept.
    #[must_use]
    pub fn len(&self) -> usize {
        self.lines.len()
    }

    /// Whether nothing is kept.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// The text of a kept line.
    ///
    /// # Errors
    /// When it cannot be read any more.
    pub fn text(&mut self, line: KeptLine) -> Result<String, ResultsError> {
        let Some((path, file)) = &mut self.file else { return Ok(String::new()) };
        let problem = file_error(path);
        let mut bytes = vec![0; line.length];
        file.seek(SeekFrom::Start(line.offset)).map_err(&problem)?;
        file.read_exact(&mut bytes).map_err(&problem)?;
        String::from_utf8(bytes).map_err(|_| problem(io::ErrorKind::InvalidData.into()))
    }

    /// Removes what was kept: the file of grades is whole.
    ///
    /// # Errors
    /// When the file cannot be removed.
    pub fn discard(self) -> Result<(), ResultsError> {
        match self.file {
            Some((path, _)) => std::fs::remove_file(&path).map_err(file_error(&path)),
            None => Ok(()),
        }
    }
}
