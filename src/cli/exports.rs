//! The files that `grade` writes besides its grades: pages, and what other programs read.

use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};

use crate::grade::Grade;
use crate::report::{self, Class, GradeBook, JUnit, Reader, Record, stem};
use crate::scenario::Scenario;

use super::args::Show;
use super::input;

/// Files to write besides the grades.
#[derive(Clone, Debug, Default, clap::Args)]
pub struct Exports {
    /// Write a page an attempt, and one for all, to this folder (HTML, to read and to print).
    #[arg(long, value_name = "DIR")]
    pub html: Option<PathBuf>,
    /// Write the grades as JUnit XML to this file: a suite an attempt, a case a criterion.
    #[arg(long, value_name = "FILE")]
    pub junit: Option<PathBuf>,
    /// Write a grade book to this file (CSV).
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write xAPI statements to this file (JSON).
    #[arg(long, value_name = "FILE")]
    pub xapi: Option<PathBuf>,
}

impl Exports {
    fn any(&self) -> bool {
        [&self.html, &self.junit, &self.csv, &self.xapi].iter().any(|file| file.is_some())
    }
}

/// Writes them as grades come.
pub struct Exporter {
    wish: Exports,
    reader: Reader,
    scenario: String,
    /// Whether the learner in a grade is a pseudonym that was checked.
    of_class: bool,
    pages: BTreeSet<String>,
    class: Class,
    junit: JUnit,
    book: GradeBook,
    statements: Vec<serde_json::Value>,
    /// What could not be written and was not told of yet.
    problems: Vec<io::Error>,
}

impl Exporter {
    /// An exporter of grades at the scenario in `path`, if anything is wished for. In the grades
    /// `of_class` the learner is the pseudonym that the secret gave.
    pub fn new(
        wish: &Exports,
        show: Show,
        path: &Path,
        of_class: bool,
    ) -> io::Result<Option<Exporter>> {
        if !wish.any() {
            return Ok(None);
        }
        if let Some(folder) = &wish.html {
            input::folder(folder)?;
        }
        let reader = Reader::new(show.language, show.units);
        Ok(Some(Exporter {
            wish: wish.clone(),
            reader,
            scenario: stem(&path.display().to_string()),
            of_class,
            pages: BTreeSet::new(),
            class: Class::default(),
            junit: JUnit::new(reader)?,
            book: GradeBook::new()?,
            statements: Vec::new(),
            problems: Vec::new(),
        }))
    }

    /// The record of a grade.
    pub fn record(&self, file: &str, grade: &Grade) -> Record {
        let name = stem(file);
        // Without a class, what was typed as a pseudonym may be a name.
        let learner = if self.of_class { grade.learner.as_str() } else { &name };
        Record::new(&self.scenario, &name, learner, grade.clone())
    }

    /// The page of an attempt, if pages are wished for. Made where the attempt is graded, in parallel.
    pub fn page(&self, scenario: &Scenario, record: &Record, bytes: &[u8]) -> Option<String> {
        self.wish.html.as_ref()?;
        let film = report::film(scenario, bytes);
        Some(report::attempt(record, film.as_ref().map(|f| (scenario, f)), &self.reader))
    }

    /// Takes the next grade of the list.
    pub fn add(&mut self, record: &Record, page: Option<&str>) -> io::Result<()> {
        let mut link = None;
        if let Some(folder) = &self.wish.html {
            let mut name = record.attempt.clone();
            let mut k = 1;
            while name == "index" || !self.pages.insert(name.clone()) {
                k += 1;
                name = format!("{}-{k}", record.attempt);
            }
            let name = format!("{name}.html");
            let path = folder.join(&name);
            let written = page.map_or(Ok(()), |page| input::save(&path, page));
            link = path.exists().then_some(name);
            // No further pages; what else is wished for does not suffer.
            if let Err(problem) = written {
                self.problems.push(problem);
                self.wish.html = None;
            }
        }
        self.class.add(record, link);
        if self.wish.junit.is_some() {
            self.junit.add(record)?;
        }
        if self.wish.csv.is_some() {
            self.book.add(record)?;
        }
        if self.wish.xapi.is_some() {
            self.statements.extend(report::statements(record));
        }
        Ok(())
    }

    /// Takes an attempt of the list that could not be graded.
    pub fn add_refused(&mut self, file: &str, problems: &[String]) -> io::Result<()> {
        let name = stem(file);
        self.class.add_refused(&name);
        self.junit.add_refused(&name, problems)
    }

    /// What could not be written since this was asked last.
    pub fn problems(&mut self) -> Vec<io::Error> {
        std::mem::take(&mut self.problems)
    }

    /// Writes what speaks of all attempts, each file whatever became of the others; gives what could
    /// not be written.
    pub fn finish(self) -> Vec<io::Error> {
        let mut problems = self.problems;
        let mut done = |written: io::Result<()>| problems.extend(written.err());
        if let Some(folder) = &self.wish.html {
            done(input::save(&folder.join("index.html"), &self.class.page(&self.reader)));
        }
        if let Some(path) = &self.wish.junit {
            done(self.junit.finish().and_then(|text| input::save(path, &text)));
        }
        if let Some(path) = &self.wish.csv {
            done(self.book.finish().and_then(|text| input::save(path, &text)));
        }
        if let Some(path) = &self.wish.xapi {
            let text = serde_json::to_string_pretty(&self.statements).map_err(io::Error::other);
            done(text.and_then(|text| input::save(path, &(text + "\n"))));
        }
        problems
    }
}
