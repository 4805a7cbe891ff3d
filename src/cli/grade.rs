//! `grade`: replays attempts and marks them, one or thousands.

use std::borrow::Cow;
use std::fs::File;
use std::io::{self, BufWriter, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::class::Class;
use crate::diagnostic::Code;
use crate::grade::{
    Came, Grade, GradeError, Kept, KeptLine, Marker, Partition, RESULTS_START, ResultsError,
    ResultsHead, ResultsWriter, Tally, WholeList, begins_results, content_digest, grade_in,
    graded_line, ungraded_line,
};
use crate::language::{Language, Phrase, Words};
use crate::report::Record;
use crate::scenario::Scenario;
use crate::session::{ActError, Action, ReplayError, read_beginning, read_header};

use super::args::Show;
use super::exports::{Exporter, Exports};
use super::{class, exit, input, run};

/// What `grade` was asked for.
#[derive(Clone, Debug, clap::Args)]
pub struct Wish {
    /// Scenario file.
    pub scenario: PathBuf,
    /// Attempt files, and folders: all `.jsonl` files in them and below.
    #[arg(required = true)]
    pub attempts: Vec<PathBuf>,
    /// Write all grades as JSON to this file.
    #[arg(long, conflicts_with = "out")]
    pub json: Option<PathBuf>,
    /// Write the grades to this file as they are made, a line an attempt (JSON Lines).
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// Take over from the file of --out what an earlier run has graded already.
    #[arg(long, requires = "out")]
    pub resume: bool,
    /// Grade only one of several equal parts: 2/8 is the second of eight.
    #[arg(long, value_name = "PART/PARTS", requires = "out")]
    pub partition: Option<Partition>,
    /// Mark a class: file with its secret. Fault, seed and learner are worked out anew.
    #[arg(long, requires = "roster")]
    pub secret: Option<PathBuf>,
    /// The class: a CSV table with a column `id`.
    #[arg(long, requires = "secret")]
    pub roster: Option<PathBuf>,
    /// The band that the kits were assigned with, if one was asked for.
    #[arg(long, value_parser = class::band, requires = "secret")]
    pub band: Option<f64>,
    /// Threads to use; 0 for as many as the machine has.
    #[arg(long, default_value_t = 0)]
    pub threads: usize,
    /// Folder for fault dictionaries; the user's cache folder if not given.
    #[arg(long)]
    pub cache: Option<PathBuf>,
    /// Further files to write.
    #[command(flatten)]
    pub exports: Exports,
}

/// Attempts a thread takes at a time, those at the same machine one after the other. What is graded
/// and not yet written is at most this many.
const AT_A_TIME: usize = 256;
/// The same where pages and other files are written too: those need more room.
const AT_A_TIME_WITH_PAGES: usize = 64;
/// Attempts a thread grades before the progress is told.
const BETWEEN_WORDS: usize = 8;
/// Most of a file that is read to learn what it has in common with others [bytes].
const HEAD: u64 = 8_192;
/// Deepest folder that is looked into.
const DEEPEST: usize = 32;
/// A batch of more attempts than this says how far it is.
const SMALL: usize = 20;

/// What came of one file.
struct Done {
    /// The file, for whoever marks.
    path: String,
    /// What it is called in all that is handed on.
    name: String,
    came: Came,
    outcome: Outcome,
    /// Its line in the file of grades, if one is written.
    line: Option<String>,
    /// Its record and its page, if they are exported.
    export: Option<(Record, Option<String>)>,
}

enum Outcome {
    Graded(Box<Grade>),
    /// Why not, a problem a line: as whoever marks is told, and as it is handed on.
    Refused {
        told: Vec<String>,
        problems: Vec<String>,
    },
    /// An earlier run did it.
    Kept(KeptLine),
}

/// Grades attempts at a scenario.
pub fn grade(wish: &Wish, show: Show, out: &mut dyn Write, err: &mut dyn Write) -> io::Result<u8> {
    let words = Words::of(show.language);
    let Some(scenario) = input::scenario(&wish.scenario, words, err)? else {
        return Ok(exit::BAD_INPUT);
    };
    let class = match wish.secret.as_ref().zip(wish.roster.as_ref()) {
        None => None,
        Some((secret, roster)) => {
            match class::class(&scenario, &wish.scenario, secret, roster, wish.band, words, err)? {
                Some((class, _)) => Some(class),
                None => return Ok(exit::BAD_INPUT),
            }
        }
    };
    let files = match list(&wish.attempts, words) {
        Ok(files) => files,
        Err(line) => {
            writeln!(err, "{line}")?;
            return Ok(exit::BAD_INPUT);
        }
    };
    let partition = wish.partition.unwrap_or(Partition::WHOLE);
    let mine: Vec<&PathBuf> = (files.iter().enumerate())
        .filter_map(|(place, file)| partition.has(place).then_some(file))
        .collect();
    let mut sinks = match Sinks::open(wish, show, &scenario, class.as_ref()) {
        Ok(sinks) => sinks,
        Err(SinkError::Results(problem)) => return unusable(&problem, words, err),
        Err(SinkError::Io(problem)) => return Err(problem),
    };
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(wish.threads)
        .build()
        .map_err(io::Error::other)?;
    let marker =
        pool.install(|| Marker::new(&scenario, input::cache(wish.cache.as_deref()).as_deref()));
    let desk = Desk { scenario: &scenario, marker, class, words };
    let mut progress = Progress::new(mine.len(), wish.out.is_some(), words);
    let mut code = exit::SUCCESS;
    // Whole attempts in parallel, results in the order of the list.
    let share = if sinks.exports.is_some() { AT_A_TIME_WITH_PAGES } else { AT_A_TIME };
    for some in mine.chunks(share * pool.current_num_threads()) {
        let (kept, lines) = (&sinks.kept, sinks.results.is_some());
        let exporter = sinks.exports.as_ref();
        let mut order: Vec<usize> = (0..some.len()).collect();
        order.sort_by_cached_key(|place| (course(some[*place]), *place));
        let mut done: Vec<(usize, io::Result<Done>)> = Vec::with_capacity(some.len());
        for few in order.chunks(BETWEEN_WORDS * pool.current_num_threads()) {
            done.extend(pool.install(|| {
                let one = |place: &usize| (*place, desk.one(some[*place], kept, lines, exporter));
                few.par_iter().with_max_len(1).map(one).collect::<Vec<_>>()
            }));
            progress.add(few.len(), err)?;
        }
        done.sort_by_key(|(place, _)| *place);
        for (_, done) in done {
            let done = done?;
            code = exit::graver(code, exit_of(done.came));
            if let Err(problem) = sinks.take(&done, out, err) {
                return match problem {
                    SinkError::Results(problem) => unusable(&problem, words, err),
                    SinkError::Io(problem) => Err(problem),
                };
            }
        }
        if let Err(problem) = sinks.flush() {
            return unusable(&problem, words, err);
        }
        code = exit::graver(code, unwritten(sinks.problems(), words, err)?);
    }
    let names: Vec<String> = files.iter().map(|file| desk.name(file)).collect();
    let (finished, problems) = sinks.finish(WholeList::of(names.iter().map(String::as_str)));
    code = exit::graver(code, unwritten(problems, words, err)?);
    match finished {
        Ok(Some((tally, path))) => {
            writeln!(out, "{}", words.phrase(&tally.phrase(&path)))?;
        }
        Ok(None) => {}
        Err(problem) => return Ok(exit::graver(code, unusable(&problem, words, err)?)),
    }
    Ok(code)
}

/// Tells of files besides the grades that could not be written; gives what that counts as.
fn unwritten(problems: Vec<io::Error>, words: Words, err: &mut dyn Write) -> io::Result<u8> {
    let mut code = exit::SUCCESS;
    for problem in problems {
        writeln!(err, "{}", input::unwritten(&problem, words))?;
        code = exit::BAD_INPUT;
    }
    Ok(code)
}

/// The attempts that files and folders name: folders in the order of their names, all files in them
/// and below that end in `.jsonl` and are no grades. None twice.
fn list(named: &[PathBuf], words: Words) -> Result<Vec<PathBuf>, String> {
    let mut files = Vec::new();
    for path in named {
        if path.is_dir() {
            let before = files.len();
            below(path, DEEPEST, words, &mut files)?;
            if files.len() == before {
                let (why, help) = (Phrase::new("grade-no-attempt"), Phrase::new("grade-jsonl"));
                return Err(input::problem(path.display(), Code::EMPTY, why, help, words));
            }
        } else {
            files.push(path.clone());
        }
    }
    let mut seen = std::collections::BTreeSet::new();
    files.retain(|file| seen.insert(file.clone()));
    Ok(files)
}

fn below(
    folder: &Path,
    depth: usize,
    words: Words,
    files: &mut Vec<PathBuf>,
) -> Result<(), String> {
    let unreadable = |why: io::Error| {
        let (why, help) = (Phrase::system(&why), Phrase::new("io-check-name"));
        input::problem(folder.display(), Code::UNREADABLE, why, help, words)
    };
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder)
        .and_then(|entries| entries.map(|entry| entry.map(|e| e.path())).collect())
        .map_err(unreadable)?;
    entries.sort();
    for path in entries {
        // A link to a folder may lead back here, so it is not followed.
        let link = path.is_symlink();
        if path.is_dir() {
            if !link && depth > 0 {
                below(&path, depth - 1, words, files)?;
            }
        } else if path.extension().is_some_and(|e| e == "jsonl") && path.is_file() && !graded(&path)
        {
            files.push(path);
        }
    }
    Ok(())
}

/// The seed that an attempt says it was made with, and what its learner begins with, looks aside: the
/// further two attempts go the same way, the more of one is known from the other.
fn course(file: &Path) -> Option<(u64, Vec<String>)> {
    let mut start = Vec::new();
    if !file.is_file() {
        return None;
    }
    File::open(file).ok()?.take(HEAD).read_to_end(&mut start).ok()?;
    let (header, actions) = read_beginning(&start)?;
    let did = |action: &Action| (!action.looks()).then(|| action.to_string());
    Some((header.seed, actions.iter().filter_map(did).collect()))
}

/// Whether a file holds grades: a batch may write into the folder it reads.
fn graded(path: &Path) -> bool {
    let mut start = Vec::new();
    let read =
        File::open(path).and_then(|file| file.take(RESULTS_START as u64).read_to_end(&mut start));
    read.is_ok() && begins_results(&start)
}

/// Says how far a batch is.
struct Progress {
    total: usize,
    done: usize,
    said: usize,
    loud: bool,
    live: bool,
    words: Words,
}

impl Progress {
    fn new(total: usize, loud: bool, words: Words) -> Self {
        let live = io::stderr().is_terminal();
        Progress { total, done: 0, said: 0, loud: loud && total > SMALL, live, words }
    }

    fn add(&mut self, some: usize, err: &mut dyn Write) -> io::Result<()> {
        self.done += some;
        let twentieth = self.total.div_ceil(20).max(1);
        let all = self.done == self.total;
        if !self.loud || !(self.live || all || self.done / twentieth > self.said / twentieth) {
            return Ok(());
        }
        self.said = self.done;
        let end = if self.live && !all { '\r' } else { '\n' };
        let percent = self.done * 100 / self.total;
        let line = Phrase::new("grades-progress")
            .with("done", self.done)
            .with("total", self.total)
            .with("percent", percent);
        write!(err, "{}{end}", self.words.phrase(&line))?;
        err.flush()
    }
}

/// Where grades go.
struct Sinks {
    results: Option<(ResultsWriter, PathBuf)>,
    kept: Kept,
    json: Option<JsonArray>,
    exports: Option<Exporter>,
    show: Show,
    /// What could not be written of the JSON file.
    problems: Vec<io::Error>,
}

/// Why an attempt is none of the class, and what to do.
struct NotOfClass {
    message: Phrase,
    help: Phrase,
}

enum SinkError {
    Results(ResultsError),
    Io(io::Error),
}

impl From<io::Error> for SinkError {
    fn from(problem: io::Error) -> Self {
        SinkError::Io(problem)
    }
}

impl From<ResultsError> for SinkError {
    fn from(problem: ResultsError) -> Self {
        SinkError::Results(problem)
    }
}

impl Sinks {
    fn open(
        wish: &Wish,
        show: Show,
        scenario: &Scenario,
        class: Option<&Class>,
    ) -> Result<Self, SinkError> {
        let exports = Exporter::new(&wish.exports, show, &wish.scenario, class.is_some())?;
        let (results, kept, problems) = (None, Kept::nothing(), Vec::new());
        let mut sinks = Sinks { results, kept, json: None, exports, show, problems };
        if let Some(path) = &wish.out {
            let mark = class.map(Class::mark);
            let head = ResultsHead::new(scenario, mark, wish.partition.unwrap_or(Partition::WHOLE));
            if wish.resume {
                sinks.kept = Kept::put_aside(path, &head)?;
            } else if Kept::path(path).exists() {
                let path = Kept::path(path);
                let why =
                    io::Error::new(io::ErrorKind::AlreadyExists, "an earlier run was stopped");
                return Err(ResultsError::File { path: path.display().to_string(), why }.into());
            }
            sinks.results = Some((ResultsWriter::create(path, &head)?, path.clone()));
        }
        if let Some(path) = &wish.json {
            sinks.json = Some(JsonArray::create(path)?);
        }
        Ok(sinks)
    }

    fn take(
        &mut self,
        done: &Done,
        out: &mut dyn Write,
        err: &mut dyn Write,
    ) -> Result<(), SinkError> {
        let kept;
        let line = match (&done.line, &done.outcome) {
            (None, Outcome::Kept(line)) => {
                kept = self.kept.text(*line)?;
                Some(&kept)
            }
            (line, _) => line.as_ref(),
        };
        if let (Some((results, _)), Some(line)) = (&mut self.results, line) {
            results.line(line, done.came)?;
        }
        let path = &done.path;
        let record = match &done.outcome {
            Outcome::Graded(grade) => {
                if self.results.is_none() {
                    write!(out, "{path}\n{}", grade.text_in(self.show.language, self.show.units))?;
                }
                Some(serde_json::json!({ "attempt": done.name, "grade": grade }))
            }
            Outcome::Refused { told, problems } => {
                for line in told {
                    writeln!(err, "{line}")?;
                }
                Some(serde_json::json!({ "attempt": done.name, "problems": problems }))
            }
            Outcome::Kept(_) => None,
        };
        if let (Some(json), Some(record)) = (&mut self.json, record)
            && let Err(problem) = json.add(&record)
        {
            // What else is wished for does not suffer.
            self.problems.push(problem);
            self.json = None;
        }
        if let Some(exports) = &mut self.exports {
            match (&done.export, line) {
                (Some((record, page)), _) => exports.add(record, page.as_deref())?,
                // What an earlier run graded is not replayed again.
                (None, line) => match (line.and_then(|l| grade_in(l)), &done.outcome) {
                    (Some(grade), _) => {
                        let record = exports.record(&done.name, &grade);
                        exports.add(&record, None)?;
                    }
                    (None, Outcome::Refused { problems, .. }) => {
                        exports.add_refused(&done.name, problems)?;
                    }
                    (None, _) => exports.add_refused(&done.name, &[])?,
                },
            }
        }
        Ok(())
    }

    fn flush(&mut self) -> Result<(), ResultsError> {
        match &mut self.results {
            Some((results, _)) => results.flush(),
            None => Ok(()),
        }
    }

    /// What of the files besides the grades could not be written since this was asked last.
    fn problems(&mut self) -> Vec<io::Error> {
        let mut problems = std::mem::take(&mut self.problems);
        problems.extend(self.exports.iter_mut().flat_map(Exporter::problems));
        problems
    }

    /// Ends every file, whatever becomes of the others: the grades first. Gives what could not be
    /// written of the others, too.
    #[allow(clippy::type_complexity)] // Two kinds of failure, each with its own end.
    fn finish(
        self,
        list: WholeList,
    ) -> (Result<Option<(Tally, PathBuf)>, ResultsError>, Vec<io::Error>) {
        let finished = match self.results {
            None => Ok(None),
            Some((results, path)) => results.finish(list).and_then(|tally| {
                self.kept.discard()?;
                Ok(Some((tally, path)))
            }),
        };
        let mut problems = self.problems;
        problems.extend(self.json.and_then(|json| json.finish().err()));
        problems.extend(self.exports.into_iter().flat_map(Exporter::finish));
        (finished, problems)
    }
}

/// A JSON array written value by value.
struct JsonArray {
    path: PathBuf,
    out: BufWriter<File>,
    empty: bool,
}

impl JsonArray {
    fn create(path: &Path) -> io::Result<Self> {
        let out = BufWriter::new(File::create(path).map_err(|why| input::named(path, &why))?);
        Ok(JsonArray { path: path.to_owned(), out, empty: true })
    }

    fn add(&mut self, value: &serde_json::Value) -> io::Result<()> {
        let text = serde_json::to_string_pretty(value)?.replace('\n', "\n  ");
        let before = if self.empty { "[\n  " } else { ",\n  " };
        self.empty = false;
        write!(self.out, "{before}{text}").map_err(|why| input::named(&self.path, &why))
    }

    fn finish(mut self) -> io::Result<()> {
        let end = if self.empty { "[]\n" } else { "\n]\n" };
        let written = self.out.write_all(end.as_bytes()).and_then(|()| self.out.flush());
        written.map_err(|why| input::named(&self.path, &why))
    }
}

/// Says why a file of grades cannot be used.
pub fn unusable(problem: &ResultsError, words: Words, err: &mut dyn Write) -> io::Result<u8> {
    let help = match problem {
        ResultsError::File { why, .. } if why.kind() == io::ErrorKind::AlreadyExists => {
            Phrase::new("results-never-over")
        }
        _ => problem.help(),
    };
    let line = input::problem("spoolbench", problem.code(), problem.phrase(), help, words);
    writeln!(err, "{line}")?;
    Ok(exit::BAD_INPUT)
}

/// The exit code that an attempt alone would give.
pub fn exit_of(came: Came) -> u8 {
    match came {
        Came::Competent => exit::SUCCESS,
        Came::NotYetCompetent => exit::NOT_YET_COMPETENT,
        Came::Refused => exit::BAD_INPUT,
        Came::ScriptFailed => exit::SCRIPT_FAULT,
        Came::EngineFailed => exit::INTERNAL,
    }
}

/// Why an attempt could not be marked, a problem a line, and what that counts as.
pub fn refusal(name: &str, problem: &GradeError, words: Words) -> (Vec<String>, Came) {
    let line = |code, help: Option<&'static str>| {
        input::problem(name, code, problem.phrase(), help.map(Phrase::new), words)
    };
    match problem {
        GradeError::Journal(list) => {
            let lines = list.iter().map(|p| {
                let place = format!("{name}:{}:{}", p.line, p.column);
                input::problem(place, p.kind.code(), p.message.clone(), p.help.clone(), words)
            });
            (lines.collect(), Came::Refused)
        }
        GradeError::OtherScenario { .. } => {
            (vec![line(Code::OTHER_SCENARIO, Some("grade-own-task"))], Came::Refused)
        }
        GradeError::Replay(ReplayError::Action { error: ActError::Rig(error), .. }) => {
            let (code, exit) = run::failure(error);
            let script = exit == exit::SCRIPT_FAULT;
            (vec![line(code, None)], if script { Came::ScriptFailed } else { Came::EngineFailed })
        }
        GradeError::Replay(_) => {
            (vec![line(Code::ACTION_REFUSED, Some("journal-handed"))], Came::Refused)
        }
        GradeError::Scenario(_) => (vec![line(Code::SCRIPT_RUN, None)], Came::ScriptFailed),
    }
}

/// What attempts are marked with.
struct Desk<'s> {
    scenario: &'s Scenario,
    marker: Marker<'s>,
    /// The class whose kits are marked, if it is one.
    class: Option<Class>,
    /// What whoever marks is told in; what is handed on is English.
    words: Words,
}

impl Desk<'_> {
    /// What a file is called in what is written: for a class nothing that may be a learner's name.
    fn name(&self, file: &Path) -> String {
        let name = file.display().to_string();
        self.class.as_ref().map_or(name.clone(), |class| class.file_alias(&name))
    }

    /// The scenario that these bytes are an attempt at. Of a class, the one that its secret gives to
    /// the learner; the file only says who that is.
    fn scenario_of(&self, bytes: &[u8]) -> Result<Cow<'_, Scenario>, NotOfClass> {
        let Some(class) = &self.class else { return Ok(Cow::Borrowed(self.scenario)) };
        // Without a header it is no attempt, whoever made it.
        let Some(header) = read_header(bytes) else { return Ok(Cow::Borrowed(self.scenario)) };
        let Some(scenario) = class.scenario_of(&header.learner) else {
            return Err(NotOfClass {
                message: Phrase::new("grade-nobody"),
                help: Phrase::new("grade-hand-in"),
            });
        };
        if header.scenario != scenario.digest || header.seed != scenario.seed {
            return Err(NotOfClass {
                message: Phrase::new("grade-other-kit"),
                help: Phrase::new("grade-same-band"),
            });
        }
        Ok(Cow::Owned(scenario))
    }

    fn one(
        &self,
        file: &Path,
        kept: &Kept,
        lines: bool,
        exporter: Option<&Exporter>,
    ) -> io::Result<Done> {
        let (path, name) = (file.display().to_string(), self.name(file));
        let refused = |sha256: Option<&str>, came, say: &dyn Fn(&str, Words) -> Vec<String>| {
            let english = Words::of(Language::English);
            let (told, problems) = (say(&path, self.words), say(&name, english));
            let line =
                if lines { Some(ungraded_line(&name, sha256, came, &problems)?) } else { None };
            let outcome = Outcome::Refused { told, problems };
            let (path, name) = (path.clone(), name.clone());
            Ok(Done { path, name, came, outcome, line, export: None })
        };
        let bytes = match input::record(file) {
            Ok(bytes) => bytes,
            // The system's words may hold the path again.
            Err(problem) => {
                let (from, to) = (&path, &name);
                let told = |place: &str, words: Words| {
                    let line = input::line(&problem, words);
                    vec![if place == to { line.replace(from, to) } else { line }]
                };
                return refused(None, Came::Refused, &told);
            }
        };
        let sha256 = content_digest(&bytes);
        if let Some(line) = kept.find(&name, &sha256) {
            return Ok(Done {
                path,
                name,
                came: line.came,
                outcome: Outcome::Kept(line),
                line: None,
                export: None,
            });
        }
        let scenario = match self.scenario_of(&bytes) {
            Ok(scenario) => scenario,
            Err(NotOfClass { message, help }) => {
                let code = Code::NOT_IN_CLASS;
                let told = |place: &str, words: Words| {
                    vec![input::problem(place, code, message.clone(), help.clone(), words)]
                };
                return refused(Some(&sha256), Came::Refused, &told);
            }
        };
        let graded = match &scenario {
            Cow::Borrowed(_) => self.marker.grade(&bytes),
            Cow::Owned(variant) => self.marker.for_variant(variant).grade(&bytes),
        };
        match graded {
            Ok(grade) => {
                let line = if lines { Some(graded_line(&name, &sha256, &grade)?) } else { None };
                let came = Came::from(grade.verdict);
                let export = exporter.map(|exporter| {
                    let record = exporter.record(&name, &grade);
                    let page = exporter.page(&scenario, &record, &bytes);
                    (record, page)
                });
                let outcome = Outcome::Graded(Box::new(grade));
                Ok(Done { path, name, came, outcome, line, export })
            }
            Err(problem) => {
                let came = refusal(&path, &problem, self.words).1;
                let told = |place: &str, words: Words| refusal(place, &problem, words).0;
                refused(Some(&sha256), came, &told)
            }
        }
    }
}
