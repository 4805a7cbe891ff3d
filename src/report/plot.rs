//! Traces of an attempt as SVG: a lane a quantity over one axis of time, idle stretches cut out.
//!
//! The template writes the marks; what is drawn here is only where they go. Every number has a fixed
//! number of decimals, so the same film gives the same bytes.

use maud::{Markup, html};

use crate::base::SimTime;

use super::film::{Film, Kind, Trace};
use super::reader::Reader;

/// Width of the drawing, of what stands left of the lanes and right of them [px].
const WIDTH: f64 = 1000.0;
const LEFT: f64 = 92.0;
const RIGHT: f64 = 74.0;
/// Height of a lane and the distance of lanes, of a heading, of the axis [px].
const LANE: f64 = 34.0;
const PITCH: f64 = 46.0;
const HEADING: f64 = 22.0;
const TOP: f64 = 34.0;
/// Width of a cut [px].
const CUT: f64 = 7.0;
/// A stretch in which nothing changes is cut out when it is longer than this, or than this share of
/// the attempt.
const IDLE: f64 = 2.0;
const IDLE_SHARE: f64 = 1.0 / 150.0;
/// What is left of such a stretch at both its ends [s].
const MARGIN: f64 = 0.4;
/// A lane says its least value when that is below zero by more than this share of it.
const LOW_SHOWN: f64 = 0.03;
/// A change of a value smaller than this share of its lane is none.
const STILL: f64 = 0.004;

/// Between two cuts, what moves by less than this share of its lane is a slow drift and no piece of its own.
const DRIFT: f64 = 0.02;

/// Time to place: pieces of the attempt that are shown, with cuts between.
struct Axis {
    /// Begin and end [s], and where it begins [px].
    pieces: Vec<(f64, f64, f64)>,
    scale: f64,
}

impl Axis {
    fn new(film: &Film, ranges: &[(f64, f64)]) -> Axis {
        let seconds: Vec<f64> = film.times.iter().map(|t| t.as_secs_f64()).collect();
        let (Some(first), Some(last)) = (seconds.first(), seconds.last()) else {
            return Axis { pieces: vec![(0.0, 1.0, LEFT)], scale: WIDTH - LEFT - RIGHT };
        };
        let idle = IDLE.max((last - first) * IDLE_SHARE);
        let mut shown: Vec<(f64, f64)> = Vec::new();
        let mut begin = *first;
        let mut quiet = *first;
        let mut held = 0;
        for k in 1..seconds.len() {
            let moved = film.traces.iter().zip(ranges).any(|(trace, range)| {
                (trace.values[k] - trace.values[held]).abs() > STILL * (range.1 - range.0)
            });
            if moved {
                if seconds[k - 1] - quiet > idle {
                    shown.push((begin, quiet + MARGIN));
                    begin = seconds[k - 1] - MARGIN;
                }
                quiet = seconds[k];
                held = k;
            }
        }
        let end = if last - quiet > idle { quiet + MARGIN } else { *last };
        shown.push((begin, end.max(begin + 0.1)));
        let shown = told(shown, &seconds, film, ranges);
        let cuts = CUT * (shown.len() - 1) as f64;
        let total: f64 = shown.iter().map(|(a, b)| b - a).sum();
        let scale = ((WIDTH - LEFT - RIGHT - cuts) / total).max(1e-6);
        let mut x = LEFT;
        let pieces = shown
            .into_iter()
            .map(|(a, b)| {
                let piece = (a, b, x);
                x += (b - a) * scale + CUT;
                piece
            })
            .collect();
        Axis { pieces, scale }
    }

    /// Place of a time; what is cut out lies in the middle of its cut.
    fn x(&self, at: f64) -> f64 {
        for (a, b, x) in &self.pieces {
            if at < *a {
                return x - CUT / 2.0;
            }
            if at <= *b {
                return x + (at - a) * self.scale;
            }
        }
        self.end() + CUT / 2.0
    }

    fn shows(&self, at: f64) -> bool {
        self.pieces.iter().any(|(a, b, _)| *a <= at && at <= *b)
    }

    fn end(&self) -> f64 {
        self.pieces.last().map_or(LEFT, |(a, b, x)| x + (b - a) * self.scale)
    }
}

/// The pieces of `shown` in which more goes on than a slow drift, and the first and the last.
fn told(
    shown: Vec<(f64, f64)>,
    seconds: &[f64],
    film: &Film,
    ranges: &[(f64, f64)],
) -> Vec<(f64, f64)> {
    let last = shown.len() - 1;
    let tells = |(begin, end): (f64, f64)| {
        let from = seconds.partition_point(|t| *t < begin);
        let to = seconds.partition_point(|t| *t <= end);
        film.traces.iter().zip(ranges).any(|(trace, range)| {
            let values = trace.values.get(from..to).unwrap_or_default();
            let low = values.iter().copied().fold(f64::INFINITY, f64::min);
            let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            high - low > DRIFT * (range.1 - range.0)
        })
    };
    let pieces = shown.into_iter().enumerate();
    pieces.filter(|(k, p)| *k == 0 || *k == last || tells(*p)).map(|(_, p)| p).collect()
}

/// The range of a lane: always with zero, never flat.
fn range(trace: &Trace) -> (f64, f64) {
    let low = trace.values.iter().copied().fold(0.0, f64::min);
    let high = trace.values.iter().copied().fold(0.0, f64::max);
    let least = match trace.kind {
        Kind::Pressure => 1e5,
        Kind::Position => 0.01,
        Kind::Current => 0.1,
    };
    (low, high.max(low + least))
}

fn px(value: f64) -> String {
    let text = format!("{value:.1}");
    if text == "-0.0" { "0.0".to_owned() } else { text }
}

/// The points of one piece of a trace; at most a few a pixel.
fn points(
    film: &Film,
    trace: &Trace,
    range: (f64, f64),
    axis: &Axis,
    piece: usize,
    y: f64,
) -> String {
    let (from, to, _) = axis.pieces[piece];
    let height = |value: f64| y + LANE * (1.0 - (value - range.0) / (range.1 - range.0));
    let mut places: Vec<(String, String)> = Vec::new();
    let mut add = |at: f64, value: f64| {
        let place = (px(axis.x(at)), px(height(value)));
        // On a straight line only its ends are kept.
        if let [.., a, b] = places.as_slice()
            && (a.1 == b.1 && b.1 == place.1 || a.0 == b.0 && b.0 == place.0 && b.1 == place.1)
        {
            places.pop();
        }
        if places.last() != Some(&place) {
            places.push(place);
        }
    };
    let times = film.times.iter().map(|t| t.as_secs_f64());
    let mut before = None;
    for (at, value) in times.zip(&trace.values) {
        if at > to {
            break;
        }
        if at >= from {
            if let Some(last) = before.take() {
                add(from, last);
            }
            add(at, *value);
        } else {
            before = Some(*value);
        }
    }
    if let Some(last) = before {
        add(from, last);
    }
    places.iter().map(|(x, y)| format!("{x},{y}")).collect::<Vec<_>>().join(" ")
}

/// Round steps of the axis [s].
fn step(seconds: f64) -> f64 {
    let steps = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1800.0, 3600.0];
    steps.into_iter().find(|s| *s >= seconds).unwrap_or(7200.0)
}

fn clock(seconds: f64) -> String {
    let whole = seconds.floor() as u64;
    let tenth = ((seconds - seconds.floor()) * 10.0).round() as u64;
    let text = format!("{}:{:02}", whole / 60, whole % 60);
    if tenth == 0 { text } else { format!("{text}.{tenth}") }
}

/// Ticks: at the begin of each piece that has room, and at round times in it.
fn ticks(axis: &Axis) -> Vec<(f64, String)> {
    let every = step(62.0 / axis.scale);
    let mut ticks: Vec<(f64, String)> = Vec::new();
    for (a, b, _) in &axis.pieces {
        let first = (a / every).ceil();
        for k in 0..=((b - a) / every) as u32 {
            let at = (first + f64::from(k)) * every;
            if at > *b {
                break;
            }
            let x = axis.x(at);
            if ticks.last().is_none_or(|(before, _)| x - before >= 44.0) {
                ticks.push((x, clock(at)));
            }
        }
    }
    ticks
}

/// All traces of `film`; `id` makes the ids of its texts unique on the page.
#[must_use]
pub fn traces(film: &Film, id: &str, reader: &Reader) -> Markup {
    let ranges: Vec<(f64, f64)> = film.traces.iter().map(range).collect();
    let axis = Axis::new(film, &ranges);
    let mut lanes: Vec<(usize, f64)> = Vec::new();
    let mut headings: Vec<(Kind, f64)> = Vec::new();
    let mut y = TOP;
    for (k, trace) in film.traces.iter().enumerate() {
        if headings.last().is_none_or(|(kind, _)| *kind != trace.kind) {
            headings.push((trace.kind, y + 12.0));
            y += HEADING;
        }
        lanes.push((k, y));
        y += PITCH;
    }
    let bottom = y - (PITCH - LANE) + 4.0;
    let height = bottom + 26.0;
    let end = axis.end();
    let heading = |kind| {
        reader.say(match kind {
            Kind::Pressure => "trace-pressures",
            Kind::Position => "trace-positions",
            Kind::Current => "trace-currents",
        })
    };
    let marks = action_marks(&film.actions, &axis);
    html! {
        svg class="traces" viewBox=(format!("0 0 {WIDTH:.0} {height:.0}")) role="img"
            aria-labelledby=(format!("{id}-title {id}-desc")) {
            title id=(format!("{id}-title")) { (reader.say("traces-title")) }
            desc id=(format!("{id}-desc")) { (reader.fill("traces-desc", "count", film.traces.len())) }
            text class="mark" x=(px(LEFT - 8.0)) y="14" text-anchor="end" { (reader.say("action")) }
            @for (x, number) in &marks {
                line class="act" x1=(px(*x)) x2=(px(*x)) y1="20" y2=(px(bottom)) {}
                @if let Some(number) = number {
                    text class="mark" x=(px(*x)) y="14" text-anchor="middle" { (number) }
                }
            }
            @for pair in axis.pieces.windows(2) {
                rect class="cut" x=(px(pair[1].2 - CUT)) y="20" width=(px(CUT))
                    height=(px(bottom - 20.0)) {}
            }
            @for (kind, y) in &headings {
                text class="kind" x="4" y=(px(*y)) { (heading(*kind)) }
            }
            @for (k, y) in &lanes {
                @let trace = &film.traces[*k];
                @let range = ranges[*k];
                @let zero = y + LANE * (1.0 - (0.0 - range.0) / (range.1 - range.0));
                line class="zero" x1=(px(LEFT)) x2=(px(end)) y1=(px(zero)) y2=(px(zero)) {}
                text class="name" x=(px(LEFT - 8.0)) y=(px(y + LANE / 2.0 + 4.0))
                    text-anchor="end" { (trace.name) }
                text class="tick" x=(px(end + 6.0)) y=(px(y + 9.0)) {
                    (reader.of(range.1, trace.kind.dimension()))
                }
                @if range.0 < -LOW_SHOWN * (range.1 - range.0) {
                    text class="tick" x=(px(end + 6.0)) y=(px(y + LANE)) {
                        (reader.of(range.0, trace.kind.dimension()))
                    }
                }
                @for piece in 0..axis.pieces.len() {
                    polyline class="trace"
                        points=(points(film, trace, range, &axis, piece, *y)) {}
                }
            }
            line class="axis" x1=(px(LEFT)) x2=(px(end)) y1=(px(bottom)) y2=(px(bottom)) {}
            @for (x, text) in ticks(&axis) {
                line class="axis" x1=(px(x)) x2=(px(x)) y1=(px(bottom)) y2=(px(bottom + 5.0)) {}
                text class="tick" x=(px(x)) y=(px(bottom + 18.0)) text-anchor="middle" { (text) }
            }
        }
    }
}

/// Where actions begin, with their numbers as far as there is room.
fn action_marks(actions: &[SimTime], axis: &Axis) -> Vec<(f64, Option<String>)> {
    let mut marks: Vec<(f64, Option<String>)> = Vec::new();
    let mut named = f64::NEG_INFINITY;
    for (k, at) in actions.iter().enumerate() {
        let at = at.as_secs_f64();
        if !axis.shows(at) {
            continue;
        }
        let x = axis.x(at);
        let room = x - named >= 20.0;
        if room {
            named = x;
        }
        marks.push((x, room.then(|| (k + 1).to_string())));
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A lane over 200 s, a sample a second: `leak` bar a second from 100 bar, and 60 bar less from 150 s on.
    fn film(leak: f64) -> Film {
        let bar = |t: u64| 100.0 - leak * t as f64 - if t < 150 { 0.0 } else { 60.0 };
        let values = (0..=200).map(|t| bar(t) * 1e5).collect();
        let trace = Trace { kind: Kind::Pressure, name: "MP1".to_owned(), values };
        let times = (0..=200).map(SimTime::from_secs).collect();
        let digest = String::new();
        Film { times, traces: vec![trace], actions: Vec::new(), moments: Vec::new(), digest }
    }

    fn pieces(leak: f64) -> Vec<(f64, f64)> {
        let film = film(leak);
        let ranges: Vec<(f64, f64)> = film.traces.iter().map(range).collect();
        Axis::new(&film, &ranges).pieces.iter().map(|(a, b, _)| (*a, *b)).collect()
    }

    #[test]
    fn a_slow_drift_is_cut_out_and_a_step_is_not() {
        let still = pieces(0.0);
        assert_eq!(still.len(), 2, "{still:?}");
        // A leak that moves by a step of stillness every five seconds.
        let leak = pieces(0.1);
        assert!(leak.iter().any(|(a, b)| *a < 149.5 && *b > 150.0), "{leak:?}");
        assert!(leak.len() <= 3, "{leak:?}");
        // One that anybody sees is all there.
        let fast = pieces(0.3);
        assert_eq!((fast[0].0, fast.len()), (0.0, 1), "{fast:?}");
    }
}
