//! The files that `grade` writes besides its grades: pages, and what other programs read.

use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};

use crate::grade::Grade;
use crate::report::{self, Reader, Record, stem};
use crate::scenario::Scenario;

use super::args::Show;
use super::input;

/// Files to write besides the grades.
#[derive(Clone, Debug, Default, clap::Args)]
pub struct Exports {
    /// Write a page an attempt, and one for all, to this folder (HTML, to read and to print).
    #[arg(long, value_name = "DIR")]
    pub html: Option<PathBuf>,
}

impl Exports {
    fn any(&self) -> bool {
        self.html.is_some()
    }
}

/// Writes them as grades come.
pub struct Exporter {
    wish: Exports,
    reader: Reader,
    scenario: String,
    pages: BTreeSet<String>,
}

impl Exporter {
    /// An exporter of grades at the scenario in `path`, if anything is wished for.
    pub fn new(wish: &Exports, show: Show, path: &Path) -> io::Result<Option<Exporter>> {
        if !wish.any() {
            return Ok(None);
        }
        if let Some(folder) = &wish.html {
            std::fs::create_dir_all(folder).map_err(|why| input::named(folder, &why))?;
        }
        Ok(Some(Exporter {
            wish: wish.clone(),
            reader: Reader::new(show.language, show.units),
            scenario: stem(&path.display().to_string()),
            pages: BTreeSet::new(),
        }))
    }

    /// The record of a grade.
    pub fn record(&self, file: &str, grade: &Grade) -> Record {
        let name = stem(file);
        Record::new(&self.scenario, &name, &name, grade.clone())
    }

    /// The page of an attempt, if pages are wished for. Made where the attempt is graded, in parallel.
    pub fn page(&self, scenario: &Scenario, record: &Record, bytes: &[u8]) -> Option<String> {
        self.wish.html.as_ref()?;
        let film = report::film(scenario, bytes);
        Some(report::attempt(record, film.as_ref(), &self.reader))
    }

    /// Takes the next grade of the list.
    pub fn add(&mut self, record: &Record, page: Option<&str>) -> io::Result<()> {
        if let (Some(folder), Some(page)) = (&self.wish.html, page) {
            let mut name = record.attempt.clone();
            let mut k = 1;
            while name == "index" || !self.pages.insert(name.clone()) {
                k += 1;
                name = format!("{}-{k}", record.attempt);
            }
            input::save(&folder.join(format!("{name}.html")), page)?;
        }
        Ok(())
    }

    /// Writes what speaks of all attempts.
    pub fn finish(self) -> io::Result<()> {
        Ok(())
    }
}
