//! The strip of the oscilloscope: a few probes over the last seconds.

use std::collections::VecDeque;

use bevy_egui::egui::Ui;
use egui_plot::{Line, Plot, PlotPoints};

use crate::base::SimTime;
use crate::drawing::Subject;
use crate::drawing::live::Live;

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
    unit: &'static str,
    samples: VecDeque<[f64; 2]>,
}

/// The strip.
#[derive(Default)]
pub struct Strip {
    traces: Vec<Trace>,
}

/// The value of a subject, its name and unit, if it has one that is known.
#[must_use]
pub fn value(live: &Live, subject: &Subject) -> Option<(f64, String, &'static str)> {
    Some(match subject {
        Subject::Terminal(name) => (*live.terminals.get(name)?, name.clone(), "V"),
        Subject::Wire(tag) => (*live.wires.get(tag)?, tag.clone(), "A"),
        Subject::Coil(name) => (live.coils.get(name)?.amps, name.clone(), "A"),
        Subject::TestPoint(name) => (live.test_points.get(name)? / 1e5, name.clone(), "bar"),
        Subject::Line { line, .. } => (live.lines.get(line)? / 1e5, line.clone(), "bar"),
        Subject::Part(tag) | Subject::Spool(tag) | Subject::Piston(tag) => {
            if let Some(x) = live.spools.get(tag) {
                (*x, tag.clone(), "spool")
            } else if let Some(p) = live.pistons.get(tag) {
                (p.out_m * 1e3, tag.clone(), "mm")
            } else if let Some(n) = live.pumps.get(tag) {
                (n * 60.0, tag.clone(), "rpm")
            } else {
                (live.coils.get(tag)?.amps, tag.clone(), "A")
            }
        }
        _ => return None,
    })
}

impl Strip {
    /// Adds a probe, or takes it away if it is there; says what came of it.
    pub fn toggle(&mut self, live: &Live, subject: &Subject) -> String {
        if let Some(k) = self.traces.iter().position(|t| t.subject == *subject) {
            let gone = self.traces.remove(k);
            return format!("no longer recording {}", gone.name);
        }
        let Some((_, name, unit)) = value(live, subject) else {
            return "there is nothing to record there".to_owned();
        };
        if self.traces.len() == PROBES {
            self.traces.remove(0);
        }
        let told = format!("recording {name} [{unit}]");
        let samples = VecDeque::new();
        self.traces.push(Trace { subject: subject.clone(), name, unit, samples });
        told
    }

    /// Takes a sample of every probe at `now`.
    pub fn sample(&mut self, now: SimTime, live: &Live) {
        let t = now.as_secs_f64();
        for trace in &mut self.traces {
            // Time that went back is another run.
            if trace.samples.back().is_some_and(|s| s[0] > t) {
                trace.samples.clear();
            }
            if trace.samples.back().is_some_and(|s| s[0] == t) {
                continue;
            }
            if let Some((value, ..)) = value(live, &trace.subject) {
                trace.samples.push_back([t, value]);
            }
            let old = |s: &[f64; 2]| s[0] < t - LENGTH_S;
            while trace.samples.len() > SAMPLES || trace.samples.front().is_some_and(old) {
                trace.samples.pop_front();
            }
        }
    }

    /// Draws the strip.
    pub fn show(&self, ui: &mut Ui, now: SimTime, inks: &Inks) {
        if self.traces.is_empty() {
            ui.label("Take the scope probes (key o) and pick terminals, lines, valves, cylinders.");
            return;
        }
        let high = (ui.available_height() / self.traces.len() as f32 - 20.0).max(36.0);
        let t = now.as_secs_f64();
        for trace in &self.traces {
            let last = trace.samples.back().map_or(0.0, |s| s[1]);
            ui.label(format!("{} {last:.2} {}", trace.name, trace.unit));
            let points: Vec<[f64; 2]> = trace.samples.iter().copied().collect();
            Plot::new(("strip", &trace.name))
                .height(high)
                .allow_drag(false)
                .allow_zoom(false)
                .allow_scroll(false)
                .allow_boxed_zoom(false)
                .show_axes([false, true])
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_strip_keeps_the_last_seconds_and_starts_anew_when_time_goes_back() {
        let mut live = Live::default();
        live.lines.insert("pressure".into(), 5e6);
        let line = Subject::Line { line: "pressure".into(), from: Vec::new() };
        let mut strip = Strip::default();
        assert_eq!(strip.toggle(&live, &line), "recording pressure [bar]");
        for k in 0..300 {
            strip.sample(SimTime::from_millis(100 * k), &live);
        }
        let samples = &strip.traces[0].samples;
        assert!(samples.len() <= 101 && samples.len() >= 100);
        assert_eq!(samples.back(), Some(&[29.9, 50.0]));
        strip.sample(SimTime::from_millis(5), &live);
        assert_eq!(strip.traces[0].samples.len(), 1);
        strip.toggle(&live, &line);
        assert!(strip.traces.is_empty());
    }
}
