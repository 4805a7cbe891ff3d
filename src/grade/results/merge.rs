//! Parts of a batch become the file that one run would have written.

use std::path::{Path, PathBuf};

use crate::language::Phrase;

use super::{
    Came, End, Lines, ListDigest, ResultsError, ResultsHead, ResultsWriter, Stub, Tally, WholeList,
    file_error,
};

/// Joins the parts of a batch, in any order, into the file that one run would have written. `each`
/// hears of every attempt.
///
/// # Errors
/// When a part is missing, given twice, not at its end or of another batch, or a file fails. Then
/// nothing stays at `path`.
pub fn merge(
    parts: &[PathBuf],
    path: &Path,
    each: &mut dyn FnMut(Came),
) -> Result<Tally, ResultsError> {
    let (mut opened, head) = open_parts(parts, path)?;
    let writer = ResultsWriter::create(path, &head)?;
    let joined = join(&mut opened, writer, each);
    if joined.is_err() {
        // It holds nothing that the parts do not.
        std::fs::remove_file(path).map_err(file_error(path))?;
    }
    joined
}

/// Opens all parts in their order, and gives the head of the whole.
fn open_parts(parts: &[PathBuf], path: &Path) -> Result<(Vec<Lines>, ResultsHead), ResultsError> {
    let mut opened: Vec<(ResultsHead, Lines)> = Vec::new();
    for part in parts {
        let mut lines = Lines::open(part)?;
        let head = lines.head()?.ok_or_else(|| lines.not_whole("results-nothing"))?;
        opened.push((head, lines));
    }
    opened.sort_by_key(|(head, _)| head.part().index);
    let Some((first, _)) = opened.first() else {
        let what = Phrase::new("results-no-parts");
        return Err(ResultsError::NotWhole { path: path.display().to_string(), what });
    };
    let (first, of) = (first.clone(), first.part().of);
    let part = |id: &'static str, part: usize| {
        Phrase::new(id).with("part", part).with("of", of.to_string())
    };
    for (k, (head, lines)) in opened.iter().enumerate() {
        let name = lines.path.display().to_string();
        if !head.agrees(&first) {
            let what = Phrase::new("results-of-others");
            return Err(ResultsError::Other { path: name, what });
        }
        if head.part().of != of {
            let what = Phrase::new("results-of-parts");
            return Err(ResultsError::Other { path: name, what });
        }
        let (index, wanted) = (head.part().index as usize, k + 1);
        if index < wanted {
            let what = part("results-twice", index);
            return Err(ResultsError::NotWhole { path: name, what });
        }
        if index > wanted {
            let what = part("results-not-given", wanted);
            return Err(ResultsError::NotWhole { path: name, what });
        }
    }
    if opened.len() < of as usize {
        let what = part("results-not-given", opened.len() + 1);
        return Err(ResultsError::NotWhole { path: path.display().to_string(), what });
    }
    Ok((opened.into_iter().map(|(_, lines)| lines).collect(), first.whole()))
}

/// Takes a line of each part in turn.
fn join(
    parts: &mut [Lines],
    mut writer: ResultsWriter,
    each: &mut dyn FnMut(Came),
) -> Result<Tally, ResultsError> {
    let mut names = ListDigest::default();
    let ended = 'all: loop {
        for lines in parts.iter_mut() {
            let Some((_, line)) = lines.next()? else {
                return Err(lines.not_whole("results-stopped"));
            };
            match serde_json::from_slice::<Stub>(&line) {
                Ok(stub) => {
                    let text = std::str::from_utf8(&line).map_err(|_| lines.strange())?;
                    names.add(&stub.attempt);
                    writer.line(text, stub.came)?;
                    each(stub.came);
                }
                Err(_) => {
                    let end: End = serde_json::from_slice(&line).map_err(|_| lines.strange())?;
                    break 'all end;
                }
            }
        }
    };
    let list = WholeList { attempts: writer.tally.attempts, names: names.text() };
    let differs = |lines: &Lines| lines.not_whole("results-lists");
    let mut ends = 1;
    for lines in parts.iter_mut() {
        if ended.list != list {
            return Err(differs(lines));
        }
        // One end was read above, by the part whose turn it was.
        let Some((_, line)) = lines.next()? else { continue };
        let end: End = serde_json::from_slice(&line).map_err(|_| differs(lines))?;
        if end.list != list || lines.next()?.is_some() {
            return Err(differs(lines));
        }
        ends += 1;
    }
    match parts.first() {
        Some(lines) if ends != parts.len() => Err(lines.not_whole("results-no-end")),
        _ => writer.finish(list),
    }
}
