//! After the attempt: the grade, and the attempt once more under the learner's hand.

use std::collections::VecDeque;
use std::sync::Arc;
use std::thread::JoinHandle;

use crate::base::SimTime;
use crate::grade::{Grade, grade};
use crate::language::Phrase;
use crate::scenario::Scenario;
use crate::session::{Rig, Session, read_journal};

/// Most sessions kept along an attempt.
const KEPT: usize = 256;
/// Pictures of an action while it is scrubbed through.
const PICTURES: f64 = 24.0;
/// Films of actions kept.
const FILMS: usize = 6;

/// The grade, or why there is none.
pub type Marked = Result<Box<Grade>, Phrase>;

/// What the debriefing shows.
pub struct Debrief {
    marked: Option<Marked>,
    /// The marker at work: it repeats the attempt on every suspect, which takes a while.
    marker: Option<JoinHandle<Marked>>,
    /// The attempt to scrub through.
    pub replay: Option<Replay>,
    /// Bench time that is shown.
    pub at: SimTime,
    /// Whether the replay runs by itself.
    pub playing: bool,
}

/// An attempt that can be looked at at any moment.
pub struct Replay {
    /// Sessions before some of the actions: index of the action, and the session.
    kept: Vec<(usize, Session)>,
    last: Session,
    films: VecDeque<(usize, Vec<Rig>)>,
}

impl Debrief {
    /// Marks the attempt `bytes` as the headless marker would, and prepares its replay.
    #[must_use]
    #[allow(clippy::disallowed_methods)] // The marker gives the same grade on whatever thread it works.
    pub fn new(scenario: &Arc<Scenario>, bytes: &[u8]) -> Debrief {
        let (task, attempt) = (scenario.clone(), bytes.to_vec());
        let mark = move || grade(&task, &attempt).map(Box::new).map_err(|why| why.phrase());
        let marker = Some(std::thread::spawn(mark));
        let replay = Replay::new(scenario, bytes);
        let at = replay.as_ref().map_or(SimTime::ZERO, Replay::end);
        Debrief { marked: None, marker, replay, at, playing: false }
    }

    /// Whether the marker is still at work.
    #[must_use]
    pub fn marking(&self) -> bool {
        self.marker.as_ref().is_some_and(|marker| !marker.is_finished())
    }

    /// The grade, once the marker is through.
    pub fn grade(&mut self) -> Option<&Marked> {
        if !self.marking()
            && let Some(marker) = self.marker.take()
        {
            let failed = |_| Err(Phrase::new("window-marker-failed"));
            self.marked = Some(marker.join().unwrap_or_else(failed));
        }
        self.marked.as_ref()
    }
}

impl Replay {
    fn new(scenario: &Scenario, bytes: &[u8]) -> Option<Replay> {
        let config = scenario.config();
        let attempt = read_journal(bytes, &config).ok()?;
        let mut session = Session::new(scenario.rig(attempt.header.seed).ok()?, config);
        let every = attempt.entries.len().div_ceil(KEPT).max(1);
        let mut kept = Vec::new();
        for (k, entry) in attempt.entries.iter().enumerate() {
            if k % every == 0 {
                kept.push((k, session.clone()));
            }
            session.act_at(SimTime::from_nanos(entry.at), entry.action.clone()).ok()?;
        }
        Some(Replay { kept, last: session, films: VecDeque::new() })
    }

    /// When the attempt ended.
    #[must_use]
    pub fn end(&self) -> SimTime {
        self.last.now()
    }

    /// The actions: when they began, and what they were.
    pub fn actions(&self) -> impl Iterator<Item = (SimTime, String)> {
        self.last.log().iter().map(|e| (e.started, e.action.to_string()))
    }

    /// The last action begun at `at`, if any.
    #[must_use]
    pub fn action_at(&self, at: SimTime) -> Option<usize> {
        self.last.log().iter().rposition(|e| e.started <= at)
    }

    /// The session just before action `k`, or at the end.
    fn before(&self, k: usize) -> Option<Session> {
        let log = self.last.log();
        let (from, session) = self.kept.iter().rev().find(|(j, _)| *j <= k)?;
        let mut session = session.clone();
        for entry in &log[*from..k.min(log.len())] {
            session.act_at(entry.started, entry.action.clone()).ok()?;
        }
        Some(session)
    }

    /// The rig as it was at `at`.
    pub fn rig(&mut self, at: SimTime) -> Option<Rig> {
        let at = at.min(self.end());
        let Some(k) = self.action_at(at) else {
            let mut rig = self.before(0)?.rig().clone();
            rig.advance(at, &mut |_| {}).ok()?;
            return Some(rig);
        };
        let entry = self.last.log().get(k)?.clone();
        if at >= entry.ended {
            let mut rig = self.before(k + 1).unwrap_or_else(|| self.last.clone()).rig().clone();
            rig.advance(at, &mut |_| {}).ok()?;
            return Some(rig);
        }
        if !self.films.iter().any(|(j, _)| *j == k) {
            let before = self.before(k)?;
            let length = entry.ended.saturating_sub(entry.started).as_secs_f64();
            let every = SimTime::from_secs_f64_up((length / PICTURES).max(0.02));
            let mut film = before.film(entry.started, entry.action.clone(), every);
            if film.is_empty() {
                film.push(before.rig().clone());
            }
            self.films.push_back((k, film));
            if self.films.len() > FILMS {
                self.films.pop_front();
            }
        }
        let (_, film) = self.films.iter().find(|(j, _)| *j == k)?;
        film.iter().rev().find(|r| r.plant().now() <= at).or_else(|| film.first()).cloned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Diagnostics, Sources};
    use crate::scenario::{Shelf, Shipped, load, play};

    #[test]
    fn an_attempt_can_be_looked_at_at_any_moment() {
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        let name = "pusher-dead-coil.scenario.ron";
        let scenario = load(&Shipped, name, &mut sources, &mut found).expect("a scenario");
        let list = Shipped.text("pusher-dead-coil.good.actions").expect("a list");
        let bytes = play(&scenario, "test", &list, &mut |_, _, _| Ok(())).expect("an attempt");
        let mut debrief = Debrief::new(&Arc::new(scenario), &bytes);
        let waited = debrief.marker.take().expect("a marker").join().expect("it ends");
        let grade = waited.expect("a grade");
        let replay = debrief.replay.as_mut().expect("a replay");
        let end = replay.rig(replay.end()).expect("the end");
        assert_eq!(end.plant().digest(), grade.digest, "the end is the end that was marked");
        let mut last = SimTime::ZERO;
        for k in 0..=50 {
            let at = SimTime::from_nanos(replay.end().as_nanos() / 50 * k);
            let now = replay.rig(at).expect("a moment").plant().now();
            assert!(now <= at.max(last) + SimTime::from_secs(120));
            assert!(now >= last, "looking forward never goes back");
            last = now;
        }
    }
}
