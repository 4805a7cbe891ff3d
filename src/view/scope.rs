//! The strip of the oscilloscope: a few probes over the last seconds.

use std::collections::VecDeque;

use bevy_egui::egui::Ui;
use egui_plot::{GridMark, HoverPosition, Line, Plot, PlotPoints};

use crate::base::SimTime;
use crate::drawing::Subject;
use crate::drawing::live::Live;
use crate::language::Phrase;
use crate::quantity::{Dimension, column_unit, column_value};
use crate::report::Reader;

use super::paper::Inks;

/// Most probes.
const PROBES: usize = 4;
/// Length of the strip [s].
const LENGTH_S: f64 = 10.0;
/// Most samples of a probe.
const SAMPLES: usize = 1200;

/// One probe and what it has recorded.
struct Trace {
    subject: Subject,
    name: String,
    unit: String,
    samples: VecDeque<[f64; 2]>,
}

/// The strip.
#[derive(Default)]
pub struct Strip {
    traces: Vec<Trace>,
}

/// The value of a subject, its name and unit, as `reader` reads them, if it has one that is known.
#[must_use]
pub fn value(live: &Live, subject: &Subject, reader: &Reader) -> Option<(f64, String, String)> {
    let plain = |value: f64, name: &str, unit: &str| (value, name.to_owned(), unit.to_owned());
    let of = |si: f64, name: &str, dimension: Dimension| {
        let (unit, _) = column_unit(dimension, reader.units);
        plain(column_value(si, dimension, reader.units), name, unit)
    };
    Some(match subject {
        Subject::Terminal(name) => plain(*live.terminals.get(name)?, name, "V"),
        Subject::Wire(tag) => plain(*live.wires.get(tag)?, tag, "A"),
        Subject::Coil(name) => plain(live.coils.get(name)?.amps, name, "A"),
        Subject::TestPoint(name) => of(*live.test_points.get(name)?, name, Dimension::Pressure),
        Subject::Line { line, .. } => of(*live.lines.get(line)?, line, Dimension::Pressure),
        Subject::Part(tag) | Subject::Spool(tag) | Subject::Piston(tag) => {
            if let Some(x) = live.spools.get(tag) {
                plain(*x, tag, &reader.say("window-unit-spool"))
            } else if let Some(p) = live.pistons.get(tag) {
                of(p.out_m, tag, Dimension::Length)
            } else if let Some(n) = live.pumps.get(tag) {
                plain(n * 60.0, tag, &reader.say("window-unit-speed"))
            } else {
                plain(live.coils.get(tag)?.amps, tag, "A")
            }
        }
        _ => return None,
    })
}

impl Strip {
    /// Adds a probe, or takes it away if it is there; says what came of it.
    pub fn toggle(&mut self, live: &Live, subject: &Subject, reader: &Reader) -> Phrase {
        if let Some(k) = self.traces.iter().position(|t| t.subject == *subject) {
            let gone = self.traces.remove(k);
            return Phrase::new("window-recording-ends").with("name", gone.name);
        }
        let Some((_, name, unit)) = value(live, subject, reader) else {
            return Phrase::new("window-recording-nothing");
        };
        if self.traces.len() == PROBES {
            self.traces.remove(0);
        }
        let told = Phrase::new("window-recording").with("name", name.as_str());
        let told = told.with("unit", unit.as_str());
        let samples = VecDeque::new();
        self.traces.push(Trace { subject: subject.clone(), name, unit, samples });
        told
    }

    /// Takes a sample of every probe at `now`.
    pub fn sample(&mut self, now: SimTime, live: &Live, reader: &Reader) {
        let t = now.as_secs_f64();
        for trace in &mut self.traces {
            // Time that went back is another run.
            if trace.samples.back().is_some_and(|s| s[0] > t) {
                trace.samples.clear();
            }
            if trace.samples.back().is_some_and(|s| s[0] == t) {
                continue;
            }
            if let Some((value, ..)) = value(live, &trace.subject, reader) {
                trace.samples.push_back([t, value]);
            }
            let old = |s: &[f64; 2]| s[0] < t - LENGTH_S;
            while trace.samples.len() > SAMPLES || trace.samples.front().is_some_and(old) {
                trace.samples.pop_front();
            }
        }
    }

    /// Draws the strip.
    pub fn show(&self, ui: &mut Ui, now: SimTime, inks: &Inks, reader: &Reader) {
        if self.traces.is_empty() {
            ui.label(reader.say("window-scope-hint"));
            return;
        }
        let high = (ui.available_height() / self.traces.len() as f32 - 20.0).max(36.0);
        let t = now.as_secs_f64();
        for trace in &self.traces {
            let last = trace.samples.back().map_or(0.0, |s| s[1]);
            let words = reader.words;
            ui.label(format!("{} {} {}", trace.name, words.number(last, 2), trace.unit));
            let points: Vec<[f64; 2]> = trace.samples.iter().copied().collect();
            Plot::new(("strip", &trace.name))
                .height(high)
                .allow_drag(false)
                .allow_zoom(false)
                .allow_scroll(false)
                .allow_boxed_zoom(false)
                .show_axes([false, true])
                .y_grid_spacer(|input| marks(input.bounds))
                .y_axis_formatter(move |mark, _| words.number(mark.value, decimals(&mark)))
                .label_formatter(move |at| match at {
                    HoverPosition::NearDataPoint { position, .. } => {
                        Some(words.number(position.y, 2))
                    }
                    HoverPosition::Elsewhere { .. } => None,
                })
                .include_x(t - LENGTH_S)
                .include_x(t)
                .include_y(0.0)
                .show(ui, |plot| {
                    let line = Line::new(trace.name.clone(), PlotPoints::from(points));
                    plot.line(line.color(inks.ink).width(1.5));
                });
        }
    }
}

/// Marks of an axis that shows the values between `bounds`: round numbers, two or three steps apart from end
/// to end, so that a low strip has some too.
fn marks((low, high): (f64, f64)) -> Vec<GridMark> {
    let least = (high - low) / 3.0;
    if !(least > 1e-9 && least < 1e12) {
        return Vec::new();
    }
    let mut ten = 1e-9;
    while 10.0 * ten < least {
        ten *= 10.0;
    }
    let steps = [1.0, 2.0, 5.0, 10.0].map(|share| share * ten);
    let step = steps.into_iter().find(|step| *step >= least).unwrap_or(10.0 * ten);
    let numbers = (low / step).ceil() as i64..=(high / step).floor() as i64;
    numbers.map(|n| GridMark { value: n as f64 * step, step_size: step }).collect()
}

/// How many decimals tell one mark of an axis from the next.
fn decimals(mark: &GridMark) -> usize {
    [1.0, 0.1, 0.01].iter().position(|step| mark.step_size > 0.9 * step).unwrap_or(3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language::Language;
    use crate::quantity::UnitSystem;

    #[test]
    fn a_probe_records_in_the_units_of_its_reader() {
        let mut live = Live::default();
        live.test_points.insert("MP1".into(), 7e6);
        let point = Subject::TestPoint("MP1".into());
        let us = Reader::new(Language::English, UnitSystem::UsCustomary);
        let (value, _, unit) = value(&live, &point, &us).expect("a value");
        // 7e6 Pa / 6894.757 Pa (NIST SP 811, appendix B.8).
        assert!((value - 1015.26).abs() < 0.01 && unit == "psi", "{value} {unit}");
        let de = Reader::new(Language::German, UnitSystem::Si);
        let told = Strip::default().toggle(&live, &point, &de);
        assert_eq!(de.tell(&told), "MP1 [bar] wird aufgezeichnet");
    }

    #[test]
    fn an_axis_has_a_few_round_marks() {
        let of = |low, high| marks((low, high)).iter().map(|m| m.value).collect::<Vec<_>>();
        assert_eq!(of(0.0, 60.0), [0.0, 20.0, 40.0, 60.0]);
        assert_eq!(of(-1.0, 25.0), [0.0, 10.0, 20.0]);
        assert_eq!(of(0.0, 0.75), [0.0, 0.5]);
        assert!(of(3.0, 3.0).is_empty() && of(0.0, f64::INFINITY).is_empty());
        for high in (1..400).map(|n| 0.25 * f64::from(n)) {
            let count = of(0.0, high).len();
            assert!((2..=4).contains(&count), "{high}: {count}");
        }
    }

    #[test]
    fn the_strip_keeps_the_last_seconds_and_starts_anew_when_time_goes_back() {
        let mut live = Live::default();
        live.lines.insert("pressure".into(), 5e6);
        let line = Subject::Line { line: "pressure".into(), from: Vec::new() };
        let (mut strip, reader) =
            (Strip::default(), Reader::new(Language::English, UnitSystem::Si));
        let told = strip.toggle(&live, &line, &reader);
        assert_eq!(reader.tell(&told), "recording pressure [bar]");
        for k in 0..300 {
            strip.sample(SimTime::from_millis(100 * k), &live, &reader);
        }
        let samples = &strip.traces[0].samples;
        assert!(samples.len() <= 101 && samples.len() >= 100);
        assert_eq!(samples.back(), Some(&[29.9, 50.0]));
        strip.sample(SimTime::from_millis(5), &live, &reader);
        assert_eq!(strip.traces[0].samples.len(), 1);
        strip.toggle(&live, &line, &reader);
        assert!(strip.traces.is_empty());
    }
}
