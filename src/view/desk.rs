//! The learner's desk: the session, its journal, and the bench as it moves before the learner's eyes.

use std::collections::VecDeque;
use std::fs::File;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::base::SimTime;
use crate::fault::InjectError;
use crate::language::Phrase;
use crate::scenario::Scenario;
use crate::session::{
    ActError, Action, Attempt, Ended, Entry, Header, JournalWriter, LogEntry, ReplayError, Rig,
    Session, reopen_attempt, replay, seen,
};

/// Longest stretch of the wall clock that one frame lets pass [s]: a window that was held up does not
/// leap ahead.
const LONGEST_FRAME_S: f64 = 0.25;
/// Longest time for which an action is shown in the quick [s].
const LONGEST_FILM_S: f64 = 1.2;
/// Bench time between two pictures of an action that is shown as it is.
const PICTURE: SimTime = SimTime::from_millis(25);
/// Most captions kept.
const CAPTIONS: usize = 40;

/// Rates of the clock that can be chosen [1].
pub const RATES: [f64; 8] = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0];

/// Where the lines of an attempt go: to a file, if there is one, and to memory for the marker.
#[derive(Debug, Default)]
struct Sink {
    file: Option<File>,
    bytes: Vec<u8>,
}

impl Write for Sink {
    fn write(&mut self, line: &[u8]) -> io::Result<usize> {
        if let Some(file) = &mut self.file {
            file.write_all(line)?;
        }
        self.bytes.extend_from_slice(line);
        Ok(line.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.as_mut().map_or(Ok(()), File::flush)
    }
}

/// Why an attempt cannot begin or go on.
#[derive(Debug, thiserror::Error)]
pub enum DeskError {
    /// The faults or scripts do not fit the bench.
    #[error(transparent)]
    Faults(#[from] InjectError),
    /// The attempt cannot be written.
    #[error("{}", unwritten(.0))]
    Write(#[from] io::Error),
    /// The attempt cannot be repeated.
    #[error(transparent)]
    Replay(#[from] ReplayError),
}

impl DeskError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            DeskError::Faults(error) => error.phrase(),
            DeskError::Write(why) => unwritten(why),
            DeskError::Replay(error) => error.phrase(),
        }
    }
}

fn unwritten(why: &io::Error) -> Phrase {
    Phrase::new("ask-play-unwritten").with("why", Phrase::written(why.to_string()))
}

/// Something noticed while the bench ran: for the caption line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caption {
    /// When.
    pub at: SimTime,
    /// What.
    pub what: Phrase,
}

/// The learner's desk.
///
/// The session moves only with actions, so that the recorded attempt can be repeated; between them a
/// copy of its rig runs ahead at the chosen rate and is what the learner sees. An action begins at the
/// bench time that the copy has reached, and is then shown in pictures taken while it was done.
pub struct Desk {
    scenario: Arc<Scenario>,
    session: Session,
    journal: JournalWriter<Sink>,
    path: Option<PathBuf>,
    rig: Rig,
    film: VecDeque<Rig>,
    /// Wall-clock time a picture is shown, and for which the present one was [s].
    picture_s: f64,
    shown_s: f64,
    rate: f64,
    paused: bool,
    captions: VecDeque<Caption>,
    trouble: Option<Phrase>,
}

impl Desk {
    /// A fresh attempt at `scenario`, written to `file`.
    ///
    /// # Errors
    /// When faults do not fit the bench, or the header cannot be written.
    pub fn fresh(
        scenario: Arc<Scenario>,
        seed: u64,
        learner: &str,
        file: Option<(PathBuf, File)>,
    ) -> Result<Desk, DeskError> {
        let session = Session::new(scenario.rig(seed)?, scenario.config());
        let (path, file) = file.unzip();
        let header = Header::new(&scenario.digest, seed, learner);
        let journal = JournalWriter::new(Sink { file, bytes: Vec::new() }, &header)?;
        Ok(Desk::with(scenario, session, journal, path))
    }

    /// Goes on with `attempt`, kept in the file `path`.
    ///
    /// # Errors
    /// When the attempt cannot be repeated or its file not be opened.
    pub fn resumed(
        scenario: Arc<Scenario>,
        attempt: &Attempt,
        path: &Path,
    ) -> Result<Desk, DeskError> {
        let session = replay(scenario.rig(attempt.header.seed)?, scenario.config(), attempt)?;
        let mut copy = JournalWriter::new(Vec::new(), &attempt.header)?;
        for entry in &attempt.entries {
            copy.record(entry)?;
        }
        let file = Some(reopen_attempt(path, attempt)?);
        let journal = JournalWriter::resume(Sink { file, bytes: copy.into_inner() });
        Ok(Desk::with(scenario, session, journal, Some(path.to_path_buf())))
    }

    fn with(
        scenario: Arc<Scenario>,
        session: Session,
        journal: JournalWriter<Sink>,
        path: Option<PathBuf>,
    ) -> Desk {
        let mut desk = Desk {
            scenario,
            rig: session.rig().clone(),
            session,
            journal,
            path,
            film: VecDeque::new(),
            picture_s: 0.0,
            shown_s: 0.0,
            rate: 1.0,
            paused: false,
            captions: VecDeque::new(),
            trouble: None,
        };
        // Faults that are there from the start are put in before anything is shown.
        if let Err(problem) = desk.rig.begin() {
            desk.trouble = Some(problem.phrase());
        }
        desk
    }

    /// The scenario.
    #[must_use]
    pub fn scenario(&self) -> &Arc<Scenario> {
        &self.scenario
    }

    /// The session, to look at.
    #[must_use]
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// The rig as it is shown now.
    pub fn rig(&mut self) -> &mut Rig {
        &mut self.rig
    }

    /// Bench time as it is shown.
    #[must_use]
    pub fn now(&self) -> SimTime {
        self.rig.plant().now()
    }

    /// Where the attempt is kept.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// The attempt as written so far.
    #[must_use]
    pub fn attempt(&self) -> &[u8] {
        &self.journal.get_ref().bytes
    }

    /// What was noticed lately, newest last.
    pub fn captions(&self) -> impl DoubleEndedIterator<Item = &Caption> {
        self.captions.iter()
    }

    /// What keeps the bench from going on, if anything does.
    #[must_use]
    pub fn trouble(&self) -> Option<&Phrase> {
        self.trouble.as_ref()
    }

    /// How the attempt ended, if it has.
    #[must_use]
    pub fn ended(&self) -> Option<Ended> {
        self.session.ended()
    }

    /// Rate of the clock [1].
    #[must_use]
    pub fn rate(&self) -> f64 {
        self.rate
    }

    /// Sets the rate of the clock [1], within what can be chosen.
    pub fn set_rate(&mut self, rate: f64) {
        self.rate = rate.clamp(RATES[0], RATES[RATES.len() - 1]);
    }

    /// The next faster (or slower) rate.
    pub fn shift_rate(&mut self, faster: bool) {
        let next = if faster {
            RATES.iter().find(|r| **r > self.rate * 1.001)
        } else {
            RATES.iter().rev().find(|r| **r < self.rate * 0.999)
        };
        if let Some(rate) = next {
            self.rate = *rate;
        }
    }

    /// Whether the clock stands.
    #[must_use]
    pub fn paused(&self) -> bool {
        self.paused
    }

    /// Stops the clock, or lets it go on.
    pub fn set_paused(&mut self, paused: bool) {
        self.paused = paused;
    }

    /// Whether pictures of an action are being shown.
    #[must_use]
    pub fn showing_action(&self) -> bool {
        !self.film.is_empty()
    }

    /// Lets `wall_s` of the wall clock pass.
    pub fn tick(&mut self, wall_s: f64) {
        let wall_s = if wall_s.is_finite() { wall_s.clamp(0.0, LONGEST_FRAME_S) } else { 0.0 };
        if !self.film.is_empty() {
            self.shown_s += wall_s;
            while self.shown_s >= self.picture_s {
                self.shown_s -= self.picture_s;
                let Some(next) = self.film.pop_front() else { break };
                self.rig = next;
            }
            return;
        }
        if self.paused || self.trouble.is_some() || self.ended().is_some() {
            return;
        }
        let limit = self.session.config().time_limit;
        let target = (self.now() + SimTime::from_secs_f64_up(wall_s * self.rate)).min(limit);
        let plan = self.rig.plant().plan().clone();
        let captions = &mut self.captions;
        let ran = self.rig.advance(target, &mut |happening| {
            if let Some(what) = seen(&plan, &happening) {
                captions.push_back(Caption { at: happening.at, what });
                if captions.len() > CAPTIONS {
                    captions.pop_front();
                }
            }
        });
        if let Err(problem) = ran {
            self.trouble = Some(problem.phrase());
        }
        if self.now() >= limit && self.trouble.is_none() {
            // The action that finds the time used up ends the attempt.
            let _ = self.act(Action::Wait { ns: 0 });
        }
    }

    /// Does `action` at the bench time that is shown, records it, and shows it.
    ///
    /// # Errors
    /// When it cannot be done; nothing has changed then, unless the rig cannot go on.
    pub fn act(&mut self, action: Action) -> Result<&LogEntry, ActError> {
        let at = self.now().max(self.session.now()).min(self.session.config().time_limit);
        let before = self.session.clone();
        if let Err(problem) = self.session.act_at(at, action.clone()) {
            if let ActError::Rig(_) = problem {
                self.trouble = Some(problem.phrase());
            }
            return Err(problem);
        }
        // On disk before anything else is done: a crash loses at most this action.
        let entry = Entry { at: at.as_nanos(), action: action.clone() };
        if let Err(problem) = self.journal.record(&entry) {
            self.trouble = Some(DeskError::Write(problem).phrase());
        }
        self.shoot(&before, at, action);
        // The log has the entry just made.
        self.session.log().last().ok_or(ActError::Ended)
    }

    /// Takes the pictures in which an action is shown.
    fn shoot(&mut self, before: &Session, at: SimTime, action: Action) {
        let takes = self.session.now().saturating_sub(at).as_secs_f64();
        self.film.clear();
        self.shown_s = 0.0;
        self.rig = self.session.rig().clone();
        if takes <= 0.0 {
            return;
        }
        let pictures = (takes / PICTURE.as_secs_f64()).clamp(1.0, LONGEST_FILM_S / 0.02);
        let every = SimTime::from_secs_f64_up(takes / pictures).max(PICTURE);
        let wall_s = (takes / self.rate).min(LONGEST_FILM_S);
        let mut film: VecDeque<Rig> = before.film(at, action, every).into();
        self.picture_s = (wall_s / (film.len() as f64 + 1.0)).max(1e-3);
        if let Some(first) = film.pop_front() {
            film.push_back(self.rig.clone());
            self.rig = first;
        }
        self.film = film;
    }

    /// Shows the end of an action at once.
    pub fn skip(&mut self) {
        if let Some(last) = self.film.pop_back() {
            self.rig = last;
            self.film.clear();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Diagnostics, Sources};
    use crate::grade::grade;
    use crate::scenario::{Shipped, load};
    use crate::session::parse;

    fn scenario(name: &str) -> Arc<Scenario> {
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        Arc::new(load(&Shipped, name, &mut sources, &mut found).expect("a shipped scenario"))
    }

    fn run(desk: &mut Desk, wall_s: f64) {
        let mut left = wall_s;
        while left > 0.0 {
            desk.tick(left.min(0.017));
            left -= 0.017;
        }
    }

    #[test]
    fn what_the_window_records_is_graded_with_the_digest_it_shows() {
        let scenario = scenario("pusher-dead-coil.scenario.ron");
        let mut desk = Desk::fresh(scenario.clone(), 3, "test", None).expect("a desk");
        for line in ["press S4", "press S1", "volts 1V1:a1 1V1:a2", "hold S1", "release S1"] {
            run(&mut desk, 0.73);
            desk.act(parse(line).expect("an action")).expect("it can be done");
        }
        desk.set_rate(20.0);
        run(&mut desk, 2.0);
        desk.act(parse("hand back").expect("an action")).expect("it can be done");
        let graded = grade(&scenario, desk.attempt()).expect("a grade");
        assert_eq!(graded.digest, desk.session().rig().plant().digest());
        assert_eq!(desk.ended(), Some(Ended::HandedBack));
    }

    #[test]
    fn the_shown_bench_runs_at_its_rate_and_stands_when_paused() {
        let mut desk = Desk::fresh(scenario("pusher-dead-coil.scenario.ron"), 3, "test", None)
            .expect("a desk");
        for _ in 0..10 {
            desk.tick(0.1);
        }
        assert!((desk.now().as_secs_f64() - 1.0).abs() < 1e-6);
        desk.set_rate(5.0);
        desk.tick(0.2);
        assert!((desk.now().as_secs_f64() - 2.0).abs() < 1e-6);
        desk.set_paused(true);
        desk.tick(0.2);
        assert!((desk.now().as_secs_f64() - 2.0).abs() < 1e-6);
        assert_eq!(desk.session().now(), SimTime::ZERO, "the session waits for an action");
    }

    #[test]
    fn an_action_is_shown_in_pictures_and_then_the_bench_is_where_the_session_is() {
        let mut desk = Desk::fresh(scenario("pusher-dead-coil.scenario.ron"), 3, "test", None)
            .expect("a desk");
        desk.act(parse("press S4").expect("an action")).expect("it can be done");
        assert!(desk.showing_action());
        assert!(desk.now() < desk.session().now());
        let mut frames = 0;
        while desk.showing_action() && frames < 1000 {
            desk.tick(0.017);
            frames += 1;
        }
        assert!((30..120).contains(&frames), "a second of bench time took {frames} frames");
        assert_eq!(desk.now(), desk.session().now());
    }

    #[test]
    fn an_attempt_goes_on_where_it_stopped() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.attempt.jsonl");
        let scenario = scenario("pusher-dead-coil.scenario.ron");
        let file = File::create_new(&path).expect("a file");
        let mut desk =
            Desk::fresh(scenario.clone(), 3, "test", Some((path.clone(), file))).expect("a desk");
        desk.act(parse("press S4").expect("an action")).expect("it can be done");
        drop(desk);
        // As if the program had died while it wrote the next line.
        let mut bytes = std::fs::read(&path).expect("the attempt");
        bytes.extend_from_slice(b"{\"at\":12");
        std::fs::write(&path, &bytes).expect("written");
        let attempt = crate::session::read_journal(&bytes, &scenario.config()).expect("an attempt");
        let mut desk = Desk::resumed(scenario.clone(), &attempt, &path).expect("a desk");
        assert_eq!(desk.session().log().len(), 1);
        desk.act(parse("look H1").expect("an action")).expect("it can be done");
        let on_disk = std::fs::read(&path).expect("the attempt");
        assert_eq!(on_disk, desk.attempt());
        let again = crate::session::read_journal(&on_disk, &scenario.config()).expect("sound");
        assert_eq!(again.entries.len(), 2);
    }
}
