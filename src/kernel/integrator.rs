//! The integrator: carries a stiff state from one integer time to another in steps that keep
//! their error within tolerance, and stops where a watched value rises through zero.

use std::sync::Arc;

use super::crossing::Crossing;
use super::rosenbrock::{Failure, Rosenbrock};
use super::sparse::{Elimination, Matrix};
use crate::base::{SimTime, ops};
use crate::language::Phrase;

/// Most steps one call of [`Integrator::advance`] may try before it gives up.
const STEP_BOUND: u64 = 5_000_000;
/// Shortest step that the error control may ask for [s].
const SHORTEST_STEP_S: f64 = 1e-9;
/// Share of the step that would just meet the tolerance [1]: well below one, as a step that is a
/// little worse than the one before is then still kept.
const SAFETY: f64 = 0.75;
/// Bounds on the change of length from one step to the next [1].
const MOST_GROWTH: f64 = 10.0;
const MOST_SHRINKAGE: f64 = 0.1;
/// Change of length where a step has no result [1].
const RETREAT: f64 = 0.25;
/// Share of the way to a change that makes an error of about the tolerance that the first step
/// goes [1].
const FIRST_STEP_SHARE: f64 = 0.2;
/// How closely a crossing is located on the state within a step [s].
const CROSSING_TOLERANCE_S: f64 = 1e-11;
/// How far beyond a crossing a step is cut, so that the watch is nearly always true there [ns].
const BEYOND_NS: u64 = 50;
/// Most that is added to that where one crossing after another turned out not to be true [ns].
const MOST_PUSH_NS: u64 = 1 << 40;
/// How long before the end of a cut step the watch may have become true [s].
const CROSSING_SLACK_S: f64 = 1e-6;
/// How often a step is cut at a crossing, and cut again as the state within it gets better.
const CUTS: u32 = 5;
/// What is smaller than this is nothing [tolerances].
const GONE: f64 = 1e-12;
/// An error that no trend of the steps before explains [tolerances].
const FAR_TOO_LARGE: f64 = 4.0;
/// Most that is left of a step that was turned down before [1]: at a kink its error does not fall as
/// fast as the order of the method says.
const AGAIN: f64 = 0.5;
/// An error below this is no trend [tolerances].
const LEAST_ERROR: f64 = 0.1;
/// How far the state within a step may stray for what is found on it to count [tolerances].
const GOOD_WITHIN: f64 = 3.0;
/// The same for the run to go on from there.
const AS_GOOD_AS_ITS_END: f64 = 1.0;
/// Places within a step where the watches are looked at besides its end [share of the step].
const LOOKS: [f64; 2] = [1.0 / 3.0, 2.0 / 3.0];

/// A continuous system y' = f(y), as the integrator sees it.
///
/// Nothing in it may depend on time or on how often it is asked: the same state gives the same
/// answer until an event changes a parameter, and events fall between advances.
pub trait System {
    /// Number of states.
    fn len(&self) -> usize;

    /// Whether there is nothing to integrate.
    fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Writes dy/dt [unit of the state per second].
    fn rates(&mut self, y: &[f64], rates: &mut [f64]);

    /// Adds d(dy/dt)/dy by slots of the system's pattern, on a matrix that has been cleared.
    fn jacobian(&mut self, y: &[f64], jacobian: &mut Matrix);

    /// Both at once, where that is less work than one after the other; the same values.
    fn linearise(&mut self, y: &[f64], rates: &mut [f64], jacobian: &mut Matrix) {
        self.rates(y, rates);
        self.jacobian(y, jacobian);
    }

    /// A change of `state` that does not matter [unit of the state]; > 0.
    fn absolute_tolerance(&self, state: usize) -> f64;

    /// Whether a [coarser](Integrator::coarser) run, too, must meet the tolerance of `state`.
    fn held_strictly(&self, state: usize) -> bool {
        let _ = state;
        false
    }

    /// Number of watched values.
    fn watch_count(&self) -> usize {
        0
    }

    /// Writes the watched values; one fires when it goes from below zero to zero or above.
    fn watch(&mut self, y: &[f64], values: &mut [f64]) {
        let _ = (y, values);
    }

    /// Whether the rates or the state change at once when `watch` fires. Behind one that is only taken
    /// note of, the step that it was found in goes on.
    fn turns(&self, watch: usize) -> bool {
        let _ = watch;
        true
    }
}

/// How an advance ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Advance {
    /// The state is that at `until`, and nothing fired on the way or there.
    Reached,
    /// The state is that at `at`, at which some watch is true; it became so less than a microsecond
    /// before.
    Crossed {
        /// When; after the start of the advance, at or before its end.
        at: SimTime,
        /// Which watches are true there and were not before, lowest first.
        watches: Vec<usize>,
    },
}

/// Why an advance could not be completed. The state is then that of the last step kept, and the
/// run cannot go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum IntegrationError {
    /// A rate or a state is infinite or not a number even at the shortest step.
    NotFinite {
        /// End of the last step kept.
        at: SimTime,
    },
    /// The matrix of the implicit step has no factors even at the shortest step.
    Singular {
        /// End of the last step kept.
        at: SimTime,
    },
    /// The advance took more steps than any sound model needs, or than it may.
    TooManySteps {
        /// End of the last step kept.
        at: SimTime,
    },
}

impl IntegrationError {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        let (id, at) = match self {
            IntegrationError::NotFinite { at } => ("engine-not-finite", at),
            IntegrationError::Singular { at } => ("engine-singular", at),
            IntegrationError::TooManySteps { at } => ("engine-no-end", at),
        };
        Phrase::new(id).with("at", at.to_string())
    }
}

/// Work done since the integrator was made, so that extra work shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// Steps kept.
    pub steps: u64,
    /// Steps thrown away because their error was too large or they had no result.
    pub rejected: u64,
    /// Steps kept at the shortest length although their error was too large.
    pub forced: u64,
    /// Evaluations of the rates.
    pub rates: u64,
    /// Evaluations of the Jacobian.
    pub jacobians: u64,
    /// Matrices factored.
    pub factorisations: u64,
    /// Of those, factored densely because a diagonal pivot was lost.
    pub dense_fallbacks: u64,
    /// Crossings reported.
    pub crossings: u64,
}

/// The integrator of one system: the memory of a good step, counts of work, and scratch.
///
/// A clone continues exactly as the original would.
#[derive(Clone, Debug)]
pub struct Integrator {
    relative_tolerance: f64,
    /// Largest change of a state in a first step [tolerances].
    first_change: f64,
    /// A step that should meet the tolerance from here [s], unless it must be found anew.
    next_step_s: Option<f64>,
    /// Length [s] and error [tolerances] of the last step kept since the last restart.
    last: Option<(f64, f64)>,
    /// Most steps in all, kept and thrown away.
    limit: u64,
    /// How many times its tolerance a step may be off in a state that is not held strictly [1].
    slack: f64,
    /// The same by state.
    slacks: Vec<f64>,
    method: Rosenbrock,
    absolute: Vec<f64>,
    watched: Watched,
    /// A step that has not been looked through to its end yet.
    under_way: Option<Step>,
    /// The state at the start of the step last taken.
    base: Vec<f64>,
    work: Work,
}

/// Watched values around one step.
#[derive(Clone, Debug, Default)]
struct Watched {
    start: Vec<f64>,
    end: Vec<f64>,
    /// At the last place looked at, and at this one.
    before: Vec<f64>,
    here: Vec<f64>,
    /// State at the place looked at.
    state: Vec<f64>,
    /// Whether the bracket of the last rise begins with the watch below zero.
    armed: Vec<bool>,
}

/// Where an advance stands.
struct Progress {
    /// Times below count from here.
    now: SimTime,
    span_ns: u64,
    span_s: f64,
    /// Start of the step [s from `now`].
    offset_s: f64,
    tries: u64,
    /// Added to a located crossing, and doubled each time one turns out not to be true yet, so
    /// that no sequence of misses is long.
    push_ns: u64,
}

/// A step that is to be kept.
#[derive(Clone, Copy, Debug)]
struct Step {
    /// Offsets count from here.
    origin: SimTime,
    /// Its start [s from `origin`].
    offset_s: f64,
    /// Its length [s].
    step_s: f64,
    /// Its end [ns from `origin`], if that is a whole nanosecond.
    end_ns: Option<u64>,
    /// How far it has been looked through [s from its start], and, if a whole nanosecond, until when.
    seen_s: f64,
    seen: SimTime,
    /// How far the state within it may stray [tolerances].
    strays: f64,
    /// Whether some watch fires at its end.
    fired: bool,
}

/// What was met on looking through a step.
enum Met {
    /// Its end, or a watch there that fires.
    End,
    /// The place up to which it was to be looked through.
    Place,
    /// A watch that fires, within it.
    Fire,
    /// Something that it would have had to be this long for [s].
    Shorten(f64),
}

/// What came of trying a step.
enum Verdict {
    /// It may be kept; the next may be longer by this factor [1].
    Keep(f64),
    /// It should have been this long [s].
    Shorten(f64),
}

impl Integrator {
    /// An integrator for systems on the pattern of `elimination`, with the error of a step kept
    /// below `relative_tolerance` [1] of each state plus its absolute tolerance. 5e-5 is a good
    /// choice where results are wanted to 0.1 %.
    #[must_use]
    pub fn new(elimination: Arc<Elimination>, relative_tolerance: f64) -> Self {
        assert!(
            relative_tolerance > 0.0 && relative_tolerance < 1.0,
            "the relative tolerance must lie between 0 and 1"
        );
        let size = elimination.pattern().size();
        // The error of a step goes as the fourth power of the relative change it makes, so a change
        // by the fourth root of the tolerance makes an error of about the tolerance.
        let change = ops::pow(relative_tolerance, -0.75);
        Integrator {
            relative_tolerance,
            first_change: FIRST_STEP_SHARE * change,
            next_step_s: None,
            last: None,
            limit: u64::MAX,
            slack: 1.0,
            slacks: vec![1.0; size],
            method: Rosenbrock::new(elimination),
            absolute: vec![0.0; size],
            watched: Watched { state: vec![0.0; size], ..Watched::default() },
            under_way: None,
            base: vec![0.0; size],
            work: Work::default(),
        }
    }

    /// The same with at most `steps` steps in all, kept and thrown away; one more is
    /// [`IntegrationError::TooManySteps`].
    #[must_use]
    pub fn limited(mut self, steps: u64) -> Self {
        self.limit = steps;
        self
    }

    /// The same with steps that may be off by `times` as much [1], at least 1, in all states but those that
    /// are [held strictly](System::held_strictly): for runs of which only what people notice counts.
    /// Ten tolerances are still less than a thousandth of most states; a hundred let them tremble.
    #[must_use]
    pub fn coarser(mut self, times: f64) -> Self {
        self.slack = times.max(1.0);
        self
    }

    /// Forgets the last step. Call it after an event has changed the rates or the state at one
    /// stroke: the next advance begins with a small step chosen from the rates it finds.
    /// Without it a long step may leap over the transient that the event sets off.
    pub fn restart(&mut self) {
        self.next_step_s = None;
        self.last = None;
        self.under_way = None;
    }

    /// Ends the step that is under way where it has been looked through to. Call it when the rates or
    /// the state have changed a little.
    pub fn interrupt(&mut self) {
        self.under_way = None;
    }

    /// Work done so far.
    #[must_use]
    pub fn work(&self) -> Work {
        Work { dense_fallbacks: self.method.dense_fallbacks(), ..self.work }
    }

    /// Carries `y` from `now` to `until`, or to the first crossing before that.
    ///
    /// A watch that is not below zero at `now` cannot fire before it has been.
    ///
    /// # Errors
    /// [`IntegrationError`]; `y` is then the state at the time it names, up to rounding.
    pub fn advance<S: System + ?Sized>(
        &mut self,
        system: &mut S,
        now: SimTime,
        until: SimTime,
        y: &mut [f64],
    ) -> Result<Advance, IntegrationError> {
        self.advance_towards(system, now, until, until, y)
    }

    /// The same with steps that may go on behind `until` up to `horizon`, for a stop at `until` at
    /// which the rates may well stay as they are. If they do not, or the state is changed, then
    /// [`Integrator::restart`] or [`Integrator::interrupt`] has to be called before the next advance.
    /// The same holds after a crossing of which no watch [turns](System::turns).
    ///
    /// # Errors
    /// As for [`Integrator::advance`].
    pub fn advance_towards<S: System + ?Sized>(
        &mut self,
        system: &mut S,
        now: SimTime,
        until: SimTime,
        horizon: SimTime,
        y: &mut [f64],
    ) -> Result<Advance, IntegrationError> {
        let size = self.method.size();
        assert!(
            system.len() == size && y.len() == size,
            "the system, its state and the integrator differ in size"
        );
        let until = until.min(horizon);
        if until <= now || size == 0 {
            return Ok(Advance::Reached);
        }
        for (state, absolute) in self.absolute.iter_mut().enumerate() {
            *absolute = system.absolute_tolerance(state);
        }
        if self.slack > 1.0 {
            for (state, slack) in self.slacks.iter_mut().enumerate() {
                *slack = if system.held_strictly(state) { 1.0 } else { self.slack };
            }
        }
        self.watched.resize(system.watch_count());
        if !self.watched.is_empty() {
            system.watch(y, &mut self.watched.start);
        }
        let mut under_way = self.under_way.take().filter(|step| step.seen == now);
        let mut progress = Progress::new(now, horizon);
        if let Some(step) = &under_way {
            progress = Progress::new(step.origin, horizon);
            progress.offset_s = step.offset_s;
        }
        loop {
            let (step, met) = self.take_step(system, &mut progress, until, y, under_way.take())?;
            match met {
                Met::End => {}
                Met::Shorten(_) => {
                    // Up to `now` it holds; from there it is taken anew.
                    system.watch(y, &mut self.watched.start);
                    progress = Progress::new(now, horizon);
                    continue;
                }
                Met::Place => {
                    y.copy_from_slice(&self.watched.state);
                    self.under_way = Some(step);
                    return Ok(Advance::Reached);
                }
                Met::Fire => {
                    y.copy_from_slice(&self.watched.state);
                    self.work.crossings += 1;
                    let watches: Vec<usize> = self.watched.fired().collect();
                    let turns = watches.iter().any(|watch| system.turns(*watch));
                    self.under_way = (!turns).then_some(step);
                    return Ok(Advance::Crossed { at: step.seen, watches });
                }
            }
            for ((y, end), absolute) in y.iter_mut().zip(self.method.end()).zip(&self.absolute) {
                // What dies away is gone at last: it would end in numbers that take long to reckon with.
                *y = if end.abs() < GONE * absolute { 0.0 } else { *end };
            }
            progress.offset_s = match step.end_ns {
                Some(end_ns) => {
                    let at = progress.now + SimTime::from_nanos(end_ns);
                    if step.fired {
                        self.work.crossings += 1;
                        let watches = self.watched.fired().collect();
                        return Ok(Advance::Crossed { at, watches });
                    }
                    if at == until {
                        return Ok(Advance::Reached);
                    }
                    seconds(end_ns)
                }
                None => progress.offset_s + step.step_s,
            };
            std::mem::swap(&mut self.watched.start, &mut self.watched.end);
        }
    }

    /// Tries steps from `y` until one is good enough, or goes on with the one that is `under_way`, and
    /// looks through it as far as the first crossing or `until`.
    fn take_step<S: System + ?Sized>(
        &mut self,
        system: &mut S,
        progress: &mut Progress,
        until: SimTime,
        y: &[f64],
        under_way: Option<Step>,
    ) -> Result<(Step, Met), IntegrationError> {
        if let Some(mut step) = under_way {
            let met = self.look_through(system, progress, until, &mut step)?;
            return Ok((step, met));
        }
        self.work.rates += 1;
        self.work.jacobians += 1;
        if !self.method.linearise(system, y) {
            return Err(IntegrationError::NotFinite { at: progress.at() });
        }
        self.base.copy_from_slice(y);
        let left_s = progress.span_s - progress.offset_s;
        let mut wanted_s = match self.next_step_s {
            Some(step_s) => step_s,
            None => self.first_step_s(y),
        };
        let mut most_change = MOST_GROWTH;
        loop {
            let last = wanted_s >= left_s;
            // Two equal steps cost as much as a long one and a stub, and are more accurate.
            let step_s =
                if last { left_s } else { wanted_s.min((0.5 * left_s).max(SHORTEST_STEP_S)) };
            let mut step = Step {
                origin: progress.now,
                offset_s: progress.offset_s,
                step_s,
                end_ns: if last { Some(progress.span_ns) } else { None },
                seen_s: 0.0,
                seen: progress.at(),
                strays: f64::INFINITY,
                fired: false,
            };
            let shorter_s = match self.try_step(system, progress, step_s)? {
                Verdict::Shorten(shorter_s) => shorter_s,
                Verdict::Keep(change) => {
                    let change = change.min(most_change);
                    let grown_s = (step_s * change).max(SHORTEST_STEP_S);
                    // A step cut short says little about how long it could have been.
                    let cut_short = step_s < wanted_s && wanted_s.is_finite() && change >= 1.0;
                    self.next_step_s =
                        Some(if cut_short { grown_s.max(wanted_s) } else { grown_s });
                    step.strays = self.method.strays(&self.base, step_s);
                    match self.look_through(system, progress, until, &mut step)? {
                        Met::Shorten(shorter_s) => {
                            system.watch(&self.base, &mut self.watched.start);
                            shorter_s
                        }
                        met => {
                            self.work.steps += 1;
                            return Ok((step, met));
                        }
                    }
                }
            };
            let again = most_change == 1.0;
            wanted_s =
                if again { shorter_s.min(AGAIN * step_s).max(SHORTEST_STEP_S) } else { shorter_s };
            // Growth right after a failure fails again.
            most_change = 1.0;
        }
    }

    /// Tries one step and says whether it may be kept.
    fn try_step<S: System + ?Sized>(
        &mut self,
        system: &mut S,
        progress: &mut Progress,
        step_s: f64,
    ) -> Result<Verdict, IntegrationError> {
        let y = &self.base[..];
        progress.tries += 1;
        let done = self.work.steps + self.work.rejected;
        if progress.tries > STEP_BOUND || done >= self.limit {
            return Err(IntegrationError::TooManySteps { at: progress.at() });
        }
        self.work.factorisations += 1;
        self.work.rates += 2;
        let at_shortest = step_s <= SHORTEST_STEP_S;
        let change = match self.method.step(system, y, step_s) {
            Ok(()) => {
                let (relative, slacks) = (self.relative_tolerance, &self.slacks);
                let error = self.method.error(y, &self.absolute, relative, slacks);
                let change = step_change(error);
                if error <= 1.0 {
                    let change = match self.last.replace((step_s, error.max(LEAST_ERROR))) {
                        // Where errors have been growing, they will go on to.
                        Some((last_s, last)) => {
                            change.min(step_s / last_s * step_change(error * error / last))
                        }
                        None => change,
                    };
                    return Ok(Verdict::Keep(change));
                }
                if at_shortest {
                    self.work.forced += 1;
                    return Ok(Verdict::Keep(change));
                }
                if error > FAR_TOO_LARGE {
                    // No trend, but something new.
                    self.last = None;
                }
                change
            }
            Err(Failure::NotFinite) if at_shortest => {
                return Err(IntegrationError::NotFinite { at: progress.at() });
            }
            Err(Failure::Singular) if at_shortest => {
                return Err(IntegrationError::Singular { at: progress.at() });
            }
            Err(_) => RETREAT,
        };
        self.work.rejected += 1;
        Ok(Verdict::Shorten((step_s * change).max(SHORTEST_STEP_S)))
    }

    /// Looks through the step up to `until` for a watch that rises on it. Where the state within the
    /// step is not good enough to tell when, it is taken again to the first nanosecond after that.
    fn look_through<S: System + ?Sized>(
        &mut self,
        system: &mut S,
        progress: &mut Progress,
        until: SimTime,
        step: &mut Step,
    ) -> Result<Met, IntegrationError> {
        let until_ns = until.saturating_sub(step.origin).as_nanos();
        loop {
            let until_s = seconds(until_ns) - step.offset_s;
            let ends = step.end_ns.map_or(until_s >= step.step_s, |end_ns| until_ns >= end_ns);
            let to = if ends { 1.0 } else { (until_s / step.step_s).min(1.0) };
            if self.watched.is_empty() && ends {
                return Ok(Met::End);
            }
            if !ends && step.strays > GOOD_WITHIN {
                if let Verdict::Shorten(shorter_s) = self.try_step(system, progress, until_s)? {
                    return Ok(Met::Shorten(shorter_s));
                }
                (step.step_s, step.end_ns) = (until_s, Some(until_ns));
                continue;
            }
            let Some(rise) = self.find_rise(system, step, to) else {
                progress.push_ns = 0;
                if ends {
                    return Ok(Met::End);
                }
                (step.seen_s, step.seen) = (until_s, until);
                return Ok(Met::Place);
            };
            // The last nanosecond of the step.
            let last_ns = match step.end_ns {
                Some(end_ns) => end_ns,
                None => progress.end_ns(step.step_s, 0).saturating_sub(1),
            }
            .min(until_ns);
            let next_ns = if step.seen_s > 0.0 {
                step.seen.saturating_sub(step.origin).as_nanos() + 1
            } else {
                progress.end_ns(0.0, 0)
            };
            let at_ns = progress
                .end_ns(rise * step.step_s, BEYOND_NS + progress.push_ns)
                .min(last_ns)
                .max(next_ns);
            if at_ns > last_ns {
                // Within the last nanosecond: the next step begins with what is about to rise.
                system.watch(self.method.end(), &mut self.watched.end);
                let Watched { start, end, .. } = &mut self.watched;
                for (end, start) in end.iter_mut().zip(start.iter()) {
                    if *start < 0.0 && *end >= 0.0 {
                        *end = *start;
                    }
                }
                return Ok(Met::End);
            }
            let at_s = seconds(at_ns) - step.offset_s;
            if step.strays <= GOOD_WITHIN && at_s < step.step_s {
                self.method.between(&self.base, at_s / step.step_s, &mut self.watched.state);
                system.watch(&self.watched.state, &mut self.watched.end);
                let good = step.strays <= AS_GOOD_AS_ITS_END;
                if good || !self.watched.fired().any(|watch| system.turns(watch)) {
                    step.seen_s = at_s;
                    step.seen = step.origin + SimTime::from_nanos(at_ns);
                    if self.watched.fired().next().is_some() {
                        progress.push_ns = 0;
                        return Ok(Met::Fire);
                    }
                    // Not true yet, or by a hair not true at all.
                    progress.push_ns = (progress.push_ns * 2).clamp(1, MOST_PUSH_NS);
                    std::mem::swap(&mut self.watched.start, &mut self.watched.end);
                    continue;
                }
            }
            return self.cut_at_crossing(system, progress, until_ns, step, rise);
        }
    }

    /// Takes the step again to the first nanosecond after a watch rises on it, at the share `rise` of
    /// it, but not beyond `until_ns`.
    fn cut_at_crossing<S: System + ?Sized>(
        &mut self,
        system: &mut S,
        progress: &mut Progress,
        until_ns: u64,
        step: &mut Step,
        mut rise: f64,
    ) -> Result<Met, IntegrationError> {
        system.watch(self.method.end(), &mut self.watched.end);
        let mut push_ns = progress.push_ns;
        let next_ns = if step.seen_s > 0.0 {
            step.seen.saturating_sub(step.origin).as_nanos() + 1
        } else {
            progress.end_ns(0.0, 0)
        };
        for _ in 0..CUTS {
            // Not farther than a step that was good: a longer one may be turned down for ever.
            let within_ns = progress.end_ns(step.step_s, 0).saturating_sub(1);
            let target_ns = progress
                .end_ns(rise * step.step_s, BEYOND_NS + push_ns)
                .min(step.end_ns.unwrap_or(within_ns))
                .min(until_ns)
                .max(next_ns);
            if step.end_ns.is_some_and(|end_ns| target_ns >= end_ns) {
                break;
            }
            // A shorter step nearly always does better, but a long one that has leapt over a
            // transient may have looked good by its end alone.
            let step_s = seconds(target_ns) - progress.offset_s;
            if let Verdict::Shorten(shorter_s) = self.try_step(system, progress, step_s)? {
                return Ok(Met::Shorten(shorter_s));
            }
            system.watch(self.method.end(), &mut self.watched.end);
            (step.step_s, step.end_ns) = (step_s, Some(target_ns));
            if self.watched.fired().next().is_none() {
                // Short of the crossing by the error of the interpolant. The next step starts
                // so close to it that it will hardly miss.
                progress.push_ns = (progress.push_ns * 2).clamp(1, MOST_PUSH_NS);
                return Ok(Met::End);
            }
            // True here. With the end this near, the state within may show that it was true before.
            push_ns = 0;
            match self.find_rise(system, step, 1.0) {
                Some(earlier) if (1.0 - earlier) * step_s > CROSSING_SLACK_S => rise = earlier,
                _ => break,
            }
        }
        step.fired = step.end_ns.is_some() && self.watched.fired().next().is_some();
        Ok(Met::End)
    }

    /// The earliest share of the step at which some watch has risen through zero, if any has since it
    /// was looked through last and up to `to`; arms the watches that were below zero before. If none
    /// has, the watches at `to`, and the state within the step there, are known, looked at last.
    fn find_rise<S: System + ?Sized>(
        &mut self,
        system: &mut S,
        step: &Step,
        to: f64,
    ) -> Option<f64> {
        let Watched { start, end, before, here, state, armed } = &mut self.watched;
        before.copy_from_slice(start);
        let mut before_share = (step.seen_s / step.step_s).min(to);
        let inner = LOOKS.into_iter().filter(|share| *share < to);
        let from = before_share;
        for share in inner.filter(|share| *share > from).chain([to]) {
            if share < 1.0 {
                self.method.between(&self.base, share, state);
                system.watch(state, here);
            } else {
                system.watch(self.method.end(), here);
            }
            if share == to {
                end.copy_from_slice(here);
            }
            if rises(before, here) {
                for (armed, before) in armed.iter_mut().zip(before.iter()) {
                    *armed = *before < 0.0;
                }
                let tolerance = CROSSING_TOLERANCE_S / step.step_s;
                let end = (share, height(before, here));
                let mut crossing = Crossing::new((before_share, -1.0), end, tolerance);
                while let Some(place) = crossing.candidate() {
                    self.method.between(&self.base, place, state);
                    system.watch(state, here);
                    crossing.narrow(place, height(before, here));
                }
                return Some(crossing.after());
            }
            std::mem::swap(before, here);
            before_share = share;
        }
        None
    }

    /// A first step [s] that changes no state by more than makes an error of about the tolerance.
    fn first_step_s(&self, y: &[f64]) -> f64 {
        let mut most = 0.0;
        for ((rate, y), absolute) in self.method.rates().iter().zip(y).zip(&self.absolute) {
            let change = rate.abs() / (absolute + self.relative_tolerance * y.abs());
            if change > most {
                most = change;
            }
        }
        // Nothing moves: infinity, and the step is cut at the end of the advance.
        (self.first_change / most).max(SHORTEST_STEP_S)
    }
}

impl Progress {
    fn new(now: SimTime, horizon: SimTime) -> Progress {
        let span_ns = horizon.saturating_sub(now).as_nanos();
        Progress { now, span_ns, span_s: seconds(span_ns), offset_s: 0.0, tries: 0, push_ns: 0 }
    }

    /// Start of the step, cut to nanoseconds.
    fn at(&self) -> SimTime {
        self.now + SimTime::from_nanos((self.offset_s * 1e9) as u64)
    }

    /// The end of a step of about `step_s` [s], rounded up [ns from the start of the advance];
    /// after the start of the step, and not after the end of the advance.
    fn end_ns(&self, step_s: f64, push_ns: u64) -> u64 {
        let end_ns = ((self.offset_s + step_s) * 1e9).ceil() as u64;
        let mut next_ns = (self.offset_s * 1e9) as u64 + 1;
        while seconds(next_ns) <= self.offset_s {
            next_ns += 1;
        }
        end_ns.saturating_add(push_ns).max(next_ns).min(self.span_ns)
    }
}

impl Watched {
    fn is_empty(&self) -> bool {
        self.start.is_empty()
    }

    fn resize(&mut self, count: usize) {
        for values in [&mut self.start, &mut self.end, &mut self.before, &mut self.here] {
            values.resize(count, 0.0);
        }
        self.armed.resize(count, false);
    }

    /// Watches that were armed and are true at the end of the step, lowest first.
    fn fired(&self) -> impl Iterator<Item = usize> + '_ {
        let both = self.armed.iter().zip(&self.end).enumerate();
        both.filter_map(|(watch, (&armed, &end))| (armed && end >= 0.0).then_some(watch))
    }
}

/// Whether some watch that was below zero `before` is not `here`.
fn rises(before: &[f64], here: &[f64]) -> bool {
    before.iter().zip(here).any(|(&before, &here)| before < 0.0 && here >= 0.0)
}

/// How far the foremost of the watches that were below zero `before` has come `here`: from -1
/// where it started, through 0 where it fires. NaN does not count.
fn height(before: &[f64], here: &[f64]) -> f64 {
    let mut most = f64::NEG_INFINITY;
    for (&before, &here) in before.iter().zip(here) {
        if before < 0.0 {
            let height = here / -before;
            if height > most {
                most = height;
            }
        }
    }
    most
}

/// How much longer the next step may be, for an error in tolerances [1].
fn step_change(error: f64) -> f64 {
    let fourth = |x: f64| x * x * x * x;
    let (least, most) = (fourth(SAFETY / MOST_GROWTH), fourth(SAFETY / MOST_SHRINKAGE));
    // The error estimate is of fourth order in the length of the step.
    SAFETY / error.clamp(least, most).sqrt().sqrt()
}

fn seconds(span_ns: u64) -> f64 {
    SimTime::from_nanos(span_ns).as_secs_f64()
}

#[cfg(test)]
mod tests;
