//! The integrator against closed forms and published solutions.

use super::*;
use crate::kernel::PatternBuilder;

type Rates = fn(&[f64], &mut [f64]);
type Entries = fn(&[f64]) -> Vec<(usize, usize, f64)>;
type Watch = fn(&[f64]) -> f64;

/// A test problem on a full pattern.
struct Problem {
    size: usize,
    absolute: f64,
    rates: Rates,
    entries: Entries,
    watches: Vec<Watch>,
}

impl System for Problem {
    fn len(&self) -> usize {
        self.size
    }

    fn rates(&mut self, y: &[f64], rates: &mut [f64]) {
        (self.rates)(y, rates);
    }

    fn jacobian(&mut self, y: &[f64], jacobian: &mut Matrix) {
        for (row, column, value) in (self.entries)(y) {
            let slot = jacobian.pattern().slot(row, column).unwrap();
            jacobian.add(slot, value);
        }
    }

    fn absolute_tolerance(&self, _state: usize) -> f64 {
        self.absolute
    }

    fn watch_count(&self) -> usize {
        self.watches.len()
    }

    fn watch(&mut self, y: &[f64], values: &mut [f64]) {
        for (value, watch) in values.iter_mut().zip(&self.watches) {
            *value = watch(y);
        }
    }
}

fn full(size: usize, relative: f64) -> Integrator {
    let mut places = PatternBuilder::new(size);
    for row in 0..size {
        for column in 0..size {
            places.add(row, column);
        }
    }
    Integrator::new(Elimination::new(places.build()), relative)
}

fn reach(problem: &mut Problem, relative: f64, until_s: f64, y: &mut [f64]) -> Work {
    let mut integrator = full(problem.size, relative);
    let until = SimTime::from_secs_f64_up(until_s);
    let end = integrator.advance(problem, SimTime::ZERO, until, y).unwrap();
    assert_eq!(end, Advance::Reached);
    integrator.work()
}

fn decay(watches: Vec<Watch>) -> Problem {
    Problem {
        size: 1,
        absolute: 1e-9,
        rates: |y, rates| rates[0] = -y[0],
        entries: |_| vec![(0, 0, -1.0)],
        watches,
    }
}

/// Height [m] and speed [m/s] of a stone thrown up under 9.80665 m/s2.
fn stone(watches: Vec<Watch>) -> Problem {
    Problem {
        size: 2,
        absolute: 1e-9,
        rates: |y, rates| {
            rates[0] = y[1];
            rates[1] = -9.80665;
        },
        entries: |_| vec![(0, 1, 1.0)],
        watches,
    }
}

#[test]
fn decay_follows_its_closed_form_to_the_tolerance() {
    for (relative, bound) in [(1e-4, 1e-3), (1e-5, 1e-4), (1e-7, 1e-6)] {
        let mut y = [1.0];
        reach(&mut decay(vec![]), relative, 3.0, &mut y);
        let exact = ops::exp(-3.0);
        assert!((y[0] / exact - 1.0).abs() < bound, "{relative}: {}", y[0] / exact - 1.0);
    }
}

#[test]
fn a_stiff_linear_system_follows_its_closed_form() {
    // y0' = -1e6 (y0 - y1), y1' = -y1, so y0 = y1 / (1 - 1e-6) once the fast part has died.
    let mut problem = Problem {
        size: 2,
        absolute: 1e-9,
        rates: |y, rates| {
            rates[0] = -1e6 * (y[0] - y[1]);
            rates[1] = -y[1];
        },
        entries: |_| vec![(0, 0, -1e6), (0, 1, 1e6), (1, 1, -1.0)],
        watches: vec![],
    };
    let mut y = [5.0, 1.0];
    let work = reach(&mut problem, 1e-6, 2.0, &mut y);
    let slow = ops::exp(-2.0);
    assert!((y[1] / slow - 1.0).abs() < 1e-5);
    assert!((y[0] / (slow / (1.0 - 1e-6)) - 1.0).abs() < 1e-5);
    assert!(work.steps < 250, "{work:?}");
    assert_eq!(work.dense_fallbacks, 0);
}

#[test]
fn van_der_pol_agrees_with_the_published_solution() {
    // Hairer & Wanner, "Solving Ordinary Differential Equations II", problem VDPOL, epsilon
    // 1e-6, at t = 2; reference solution as in Mazzia & Magherini, "Test Set for Initial Value
    // Problem Solvers".
    let mut problem = Problem {
        size: 2,
        absolute: 1e-8,
        rates: |y, rates| {
            rates[0] = y[1];
            rates[1] = ((1.0 - y[0] * y[0]) * y[1] - y[0]) * 1e6;
        },
        entries: |y| {
            vec![
                (0, 1, 1.0),
                (1, 0, (-2.0 * y[0] * y[1] - 1.0) * 1e6),
                (1, 1, (1.0 - y[0] * y[0]) * 1e6),
            ]
        },
        watches: vec![],
    };
    let mut y = [2.0, 0.0];
    let work = reach(&mut problem, 4e-7, 2.0, &mut y);
    assert!((y[0] / 1.706_167_732_170_483 - 1.0).abs() < 1e-5, "{y:?}");
    assert!((y[1] / -0.892_809_701_024_797_5 - 1.0).abs() < 1e-5, "{y:?}");
    assert!(work.steps < 10_000, "{work:?}");
}

#[test]
fn robertson_agrees_with_the_published_solution() {
    // Hairer & Wanner, problem ROBER; values at t = 40 as printed in the documentation of LSODE.
    let mut problem = Problem {
        size: 3,
        absolute: 1e-12,
        rates: |y, rates| {
            rates[0] = -0.04 * y[0] + 1e4 * y[1] * y[2];
            rates[2] = 3e7 * y[1] * y[1];
            rates[1] = -rates[0] - rates[2];
        },
        entries: |y| {
            let (a, b, c) = (1e4 * y[2], 1e4 * y[1], 6e7 * y[1]);
            vec![
                (0, 0, -0.04),
                (0, 1, a),
                (0, 2, b),
                (1, 0, 0.04),
                (1, 1, -a - c),
                (1, 2, -b),
                (2, 1, c),
            ]
        },
        watches: vec![],
    };
    let mut y = [1.0, 0.0, 0.0];
    let work = reach(&mut problem, 3e-6, 40.0, &mut y);
    for (y, published) in y.iter().zip([7.158e-1, 9.185e-6, 2.842e-1]) {
        assert!((y / published - 1.0).abs() < 2e-4, "{y} {published}");
    }
    assert!(work.steps < 600, "{work:?}");
}

#[test]
fn a_falling_stone_lands_within_some_nanoseconds() {
    let mut problem = stone(vec![|y| -y[0]]);
    let mut integrator = full(2, 1e-6);
    let mut y = [1.0, 0.0];
    let now = SimTime::from_millis(250);
    let end = integrator.advance(&mut problem, now, SimTime::from_secs(10), &mut y).unwrap();
    let fall = SimTime::from_secs_f64_up((2.0_f64 / 9.80665).sqrt());
    let Advance::Crossed { at, watches } = end else { panic!("it never landed") };
    assert_eq!(watches, [0]);
    assert!(at >= now + fall && at.saturating_sub(now + fall).as_nanos() <= 60, "{at:?}");
    assert!(y[0] <= 0.0 && y[0] > -3e-7, "{}", y[0]);
    // Thrown back up with half the speed, it lands after twice the speed over gravity.
    y[1] *= -0.5;
    let rise = SimTime::from_secs_f64_up(2.0 * y[1] / 9.80665);
    let now = at;
    integrator.restart();
    let end = integrator.advance(&mut problem, now, SimTime::from_secs(10), &mut y).unwrap();
    let Advance::Crossed { at, .. } = end else { panic!("it never landed") };
    assert!(at.as_nanos().abs_diff((now + rise).as_nanos()) <= 200, "{at:?}");
    assert_eq!(integrator.work().crossings, 2);
}

#[test]
fn a_crossing_is_true_when_reported_and_not_before() {
    let mut problem = decay(vec![|y| 0.1 - y[0]]);
    let mut integrator = full(1, 1e-5);
    let mut y = [1.0];
    let end = integrator.advance(&mut problem, SimTime::ZERO, SimTime::from_secs(60), &mut y);
    let Advance::Crossed { at, watches } = end.unwrap() else { panic!("it never crossed") };
    assert_eq!(watches, [0]);
    assert!((at.as_secs_f64() / ops::ln(10.0) - 1.0).abs() < 1e-4);
    // True, and by less than it changes in a microsecond.
    assert!(y[0] <= 0.1 && 0.1 - y[0] < 1e-7, "{}", 0.1 - y[0]);
}

#[test]
fn watches_that_cross_together_are_reported_together() {
    let mut problem = stone(vec![|y| -y[0], |y| -y[0] - 1e-3, |y| -2.0 * y[0], |_| 1.0]);
    let mut integrator = full(2, 1e-6);
    let mut y = [1.0, 0.0];
    let until = SimTime::from_secs(1);
    let first = integrator.advance(&mut problem, SimTime::ZERO, until, &mut y).unwrap();
    let Advance::Crossed { at, watches } = first else { panic!("nothing crossed") };
    assert_eq!(watches, [0, 2]);
    // Those that have fired stay quiet; the third has its own moment.
    let second = integrator.advance(&mut problem, at, until, &mut y).unwrap();
    let expected = SimTime::from_secs_f64_up((2.0_f64 * 1.001 / 9.80665).sqrt());
    let Advance::Crossed { at, watches } = second else { panic!("nothing crossed") };
    assert_eq!(watches, [1]);
    assert!(at.as_nanos().abs_diff(expected.as_nanos()) <= 60);
    let third = integrator.advance(&mut problem, at, until, &mut y).unwrap();
    assert_eq!(third, Advance::Reached);
}

#[test]
fn a_watch_that_is_true_at_first_must_turn_false_to_fire() {
    // A pendulum let go at 1: below zero after a quarter period, above it after three.
    let mut problem = Problem {
        size: 2,
        absolute: 1e-9,
        rates: |y, rates| {
            rates[0] = y[1];
            rates[1] = -y[0];
        },
        entries: |_| vec![(0, 1, 1.0), (1, 0, -1.0)],
        watches: vec![|y| y[0]],
    };
    let mut integrator = full(2, 1e-7);
    let mut y = [1.0, 0.0];
    let end = integrator.advance(&mut problem, SimTime::ZERO, SimTime::from_secs(9), &mut y);
    let Advance::Crossed { at, .. } = end.unwrap() else { panic!("nothing crossed") };
    assert!((at.as_secs_f64() - 1.5 * std::f64::consts::PI).abs() < 1e-4);
}

#[test]
fn a_watch_that_is_true_only_within_a_step_is_seen() {
    // Above 4 m for 0.8 s of a flight whose steps, being exact, grow as long as they may.
    let mut problem = stone(vec![|y| y[0] - 4.0]);
    let mut integrator = full(2, 1e-6);
    let mut y = [0.0, 9.80665];
    let end = integrator.advance(&mut problem, SimTime::ZERO, SimTime::from_secs(2), &mut y);
    let Advance::Crossed { at, .. } = end.unwrap() else { panic!("nothing crossed") };
    let exact = SimTime::from_secs_f64_up(1.0 - (1.0 - 8.0_f64 / 9.80665).sqrt());
    assert!(at.as_nanos().abs_diff(exact.as_nanos()) <= 60, "{at:?} {exact:?}");
}

#[test]
fn an_idle_hour_costs_a_handful_of_steps() {
    // Two volumes joined by a restriction, all but level; stiff, and nothing moves.
    let mut problem = Problem {
        size: 2,
        absolute: 1.0,
        rates: |y, rates| {
            rates[0] = 1e5 * (y[1] - y[0]);
            rates[1] = 1e3 * (y[0] - y[1]) - 1e-9 * y[1];
        },
        entries: |_| vec![(0, 0, -1e5), (0, 1, 1e5), (1, 0, 1e3), (1, 1, -1e3 - 1e-9)],
        watches: vec![|y| y[0] - 2e7],
    };
    let mut y = [1e7, 1e7 + 1e-3];
    let work = reach(&mut problem, 1e-5, 3600.0, &mut y);
    assert!(work.steps < 40, "{work:?}");
    // What was trapped is still there, less what leaked.
    let exact = 1e7 * ops::exp(-1e-9 * 3600.0 * 100.0 / 101.0);
    assert!((y[0] - exact).abs() < 1.0, "{}", y[0] - exact);
}

#[test]
fn nothing_moving_at_all_is_one_step() {
    let mut problem = decay(vec![]);
    let mut y = [0.0];
    assert_eq!(reach(&mut problem, 1e-5, 3600.0, &mut y).steps, 1);
}

#[test]
fn a_kinked_law_is_followed() {
    // A volume fills at 1 per second until a relief law with gain 1e6 opens at 1.
    let mut problem = Problem {
        size: 1,
        absolute: 1e-9,
        rates: |y, rates| rates[0] = 1.0 - 1e6 * (y[0] - 1.0).max(0.0),
        entries: |y| vec![(0, 0, if y[0] > 1.0 { -1e6 } else { 0.0 })],
        watches: vec![],
    };
    let mut y = [0.0];
    let work = reach(&mut problem, 1e-5, 2.0, &mut y);
    assert!((y[0] - 1.000_001).abs() < 1e-8, "{y:?}");
    assert!(work.steps + work.rejected < 200, "{work:?}");
}

#[test]
fn a_state_that_leaves_the_numbers_is_an_error_in_time() {
    let mut problem = Problem {
        size: 1,
        absolute: 1e-9,
        rates: |y, rates| rates[0] = if y[0] > 1.0 { f64::NAN } else { 1.0 },
        entries: |_| vec![],
        watches: vec![],
    };
    let mut integrator = full(1, 1e-5);
    let mut y = [0.0];
    let end = integrator.advance(&mut problem, SimTime::ZERO, SimTime::from_secs(5), &mut y);
    let Err(IntegrationError::NotFinite { at }) = end else { panic!("{end:?}") };
    assert!((at.as_secs_f64() - 1.0).abs() < 1e-6, "{at:?}");
}

#[test]
fn chatter_ends_in_an_error_and_not_in_a_hang() {
    let mut problem = Problem {
        size: 1,
        absolute: 1e-15,
        rates: |y, rates| rates[0] = if y[0] > 0.0 { -1e3 } else { 1e3 },
        entries: |_| vec![],
        watches: vec![],
    };
    let mut integrator = full(1, 1e-5);
    let mut y = [1e-9];
    let end = integrator.advance(&mut problem, SimTime::ZERO, SimTime::from_secs(1), &mut y);
    assert!(matches!(end, Err(IntegrationError::TooManySteps { .. })), "{end:?}");
    assert!(integrator.work().forced > 0);
}

#[test]
fn a_clone_continues_bit_for_bit() {
    let mut problem = stone(vec![|y| -y[0]]);
    let mut integrator = full(2, 1e-6);
    let mut y = [3.0, 1.0];
    let middle = SimTime::from_millis(300);
    integrator.advance(&mut problem, SimTime::ZERO, middle, &mut y).unwrap();
    let (mut twin, mut twin_y) = (integrator.clone(), y);
    let until = SimTime::from_secs(9);
    let end = integrator.advance(&mut problem, middle, until, &mut y);
    assert_eq!(end, twin.advance(&mut problem, middle, until, &mut twin_y));
    assert_eq!(y.map(f64::to_bits), twin_y.map(f64::to_bits));
    assert_eq!(integrator.work(), twin.work());
}

/// A guard that comes within a hair of zero and goes back, thousands of times: what the state within a
/// step shows of a crossing is not always true, and the run goes on all the same.
#[test]
fn guards_that_all_but_fire_do_not_hold_a_run_up() {
    // y = (1 + sin t) / 2, and a watch a little above its highest.
    let mut problem = Problem {
        size: 2,
        absolute: 1e-9,
        rates: |y, rates| {
            rates[0] = y[1];
            rates[1] = 0.5 - y[0];
        },
        entries: |_| vec![(0, 1, 1.0), (1, 0, -1.0)],
        watches: vec![|y| y[0] - 1.0 - 1e-9],
    };
    let mut integrator = full(2, 1e-3);
    let (mut now, until, mut y) = (SimTime::ZERO, SimTime::from_secs(2_000), [0.5, 0.5]);
    loop {
        match integrator.advance(&mut problem, now, until, &mut y).unwrap() {
            Advance::Reached => break,
            Advance::Crossed { at, .. } => now = at,
        }
    }
    let work = integrator.work();
    assert!(work.steps + work.rejected < 60_000, "{work:?}");
}

/// The same problem, of whose watches none changes the rates.
struct Noted(Problem);

impl System for Noted {
    fn len(&self) -> usize {
        self.0.len()
    }
    fn rates(&mut self, y: &[f64], rates: &mut [f64]) {
        self.0.rates(y, rates);
    }
    fn jacobian(&mut self, y: &[f64], jacobian: &mut Matrix) {
        self.0.jacobian(y, jacobian);
    }
    fn absolute_tolerance(&self, state: usize) -> f64 {
        self.0.absolute_tolerance(state)
    }
    fn watch_count(&self) -> usize {
        self.0.watch_count()
    }
    fn watch(&mut self, y: &[f64], values: &mut [f64]) {
        self.0.watch(y, values);
    }
    fn turns(&self, _watch: usize) -> bool {
        false
    }
}

#[test]
fn what_is_only_taken_note_of_does_not_end_a_step() {
    let (until, start) = (SimTime::from_secs(5), [100.0, 0.0]);
    let mut plain = start;
    let alone = reach(&mut stone(vec![]), 1e-5, 5.0, &mut plain);
    let heights = [50.0_f64, 10.0, 49.9];
    let mut system = Noted(stone(vec![|y| 50.0 - y[0], |y| 10.0 - y[0], |y| 49.9 - y[0]]));
    let mut integrator = full(2, 1e-5);
    let (mut now, mut y, mut met) = (SimTime::ZERO, start, Vec::new());
    while let Advance::Crossed { at, watches } =
        integrator.advance(&mut system, now, until, &mut y).unwrap()
    {
        assert!(watches.iter().all(|watch| system.0.watches[*watch](&y) >= 0.0), "{at:?}");
        met.extend(watches.iter().map(|watch| (*watch, at.as_secs_f64())));
        now = at;
    }
    assert_eq!(met.iter().map(|(watch, _)| *watch).collect::<Vec<_>>(), [0, 2, 1]);
    for (watch, at) in met {
        let exact = (2.0 * (100.0 - heights[watch]) / 9.80665).sqrt();
        assert!((0.0..60e-9).contains(&(at - exact)), "{watch}: {at} {exact}");
    }
    let work = integrator.work();
    assert_eq!((work.steps, work.factorisations), (alone.steps, alone.factorisations));
    assert_eq!(y.map(f64::to_bits), plain.map(f64::to_bits));
}

#[test]
fn stops_on_the_way_leave_a_run_as_it_is() {
    let mut problem = stone(vec![|y| -y[0]]);
    let (until, start) = (SimTime::from_secs(9), [300.0, 1.0]);
    let (mut whole, mut pieces) = (full(2, 1e-6), full(2, 1e-6));
    let mut y = start;
    let end = whole.advance(&mut problem, SimTime::ZERO, until, &mut y);
    let (mut now, mut pieces_y) = (SimTime::ZERO, start);
    let pieces_end = loop {
        let stop = (now + SimTime::from_millis(7)).min(until);
        let met = pieces.advance_towards(&mut problem, now, stop, until, &mut pieces_y);
        if met != Ok(Advance::Reached) || stop == until {
            break met;
        }
        let t = stop.as_secs_f64();
        assert!((pieces_y[0] - (300.0 + t - 0.5 * 9.80665 * t * t)).abs() < 1e-4);
        now = stop;
    };
    assert_eq!((&end, y.map(f64::to_bits)), (&pieces_end, pieces_y.map(f64::to_bits)));
    assert_eq!(whole.work().steps, pieces.work().steps);
    // Interrupted, it goes on from where it stood.
    let (mut now, mut y) = (SimTime::ZERO, start);
    for _ in 0..10 {
        let stop = now + SimTime::from_millis(7);
        pieces.advance_towards(&mut problem, now, stop, until, &mut y).unwrap();
        pieces.interrupt();
        now = stop;
    }
    let t = now.as_secs_f64();
    assert!((y[0] - (300.0 + t - 0.5 * 9.80665 * t * t)).abs() < 1e-4, "{y:?}");
}

/// y' = -y^2 beside a decay, one held strictly: a coarser run takes fewer steps as long as the strict state
/// does not need them.
#[test]
fn a_coarser_run_is_off_by_more_but_not_where_it_is_held() {
    struct Pair {
        strict: Option<usize>,
    }
    impl System for Pair {
        fn len(&self) -> usize {
            2
        }
        fn rates(&mut self, y: &[f64], rates: &mut [f64]) {
            rates[0] = -y[0] * y[0];
            rates[1] = -1e-3 * y[1];
        }
        fn jacobian(&mut self, y: &[f64], jacobian: &mut Matrix) {
            let pattern = jacobian.pattern().clone();
            jacobian.add(pattern.slot(0, 0).unwrap(), -2.0 * y[0]);
            jacobian.add(pattern.slot(1, 1).unwrap(), -1e-3);
        }
        fn absolute_tolerance(&self, _state: usize) -> f64 {
            1e-9
        }
        fn held_strictly(&self, state: usize) -> bool {
            self.strict == Some(state)
        }
    }
    let run = |times: f64, strict: Option<usize>| {
        let mut integrator = full(2, 1e-7).coarser(times);
        let (mut y, until) = ([1.0, 1.0], SimTime::from_secs(9));
        integrator.advance(&mut Pair { strict }, SimTime::ZERO, until, &mut y).unwrap();
        // 1 / (1 + t)
        (integrator.work().steps, (y[0] - 0.1).abs())
    };
    let (fine, coarse) = (run(1.0, None), run(100.0, None));
    assert!(coarse.0 * 2 < fine.0, "{} and {} steps", coarse.0, fine.0);
    assert!(fine.1 < coarse.1 && coarse.1 < 1e-5, "{} and {}", fine.1, coarse.1);
    assert_eq!(run(100.0, Some(0)), fine);
    assert_eq!(run(100.0, Some(1)), coarse);
    assert_eq!(run(0.1, None), fine, "never finer than asked for");
}
