//! The report of a class: how the marks spread, which faults were found, which mistakes recur.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};

use crate::grade::{EvidenceKind, Verdict};
use crate::language::Phrase;
use crate::session::Severity;

use super::attempt::say_columns;
use super::page::{facts, head, page};
use super::reader::Reader;
use super::record::Record;

/// What a class keeps of an attempt.
#[derive(Clone, Debug)]
struct Row {
    learner: String,
    attempt: String,
    page: Option<String>,
    competent: bool,
    gate: bool,
    marks: f64,
    seconds: f64,
    unsafe_acts: usize,
    named: Vec<String>,
    part_right: bool,
}

/// How often something came, and with how many learners.
#[derive(Clone, Debug, Default)]
struct Often {
    times: usize,
    learners: BTreeSet<String>,
}

impl Often {
    fn count(&mut self, learner: &str) {
        self.times += 1;
        self.learners.insert(learner.to_owned());
    }
}

/// How attempts at one fault went.
#[derive(Clone, Debug, Default)]
struct Fault {
    attempts: usize,
    part: usize,
    mode: usize,
    mended: usize,
    competent: usize,
    marks: f64,
}

/// Marks of one criterion over the class.
#[derive(Clone, Debug, Default)]
struct Line {
    marks: f64,
    weight: f64,
    full: usize,
    none: usize,
}

/// A class, gathered grade by grade.
#[derive(Clone, Debug, Default)]
pub struct Class {
    title: String,
    digest: String,
    engine: String,
    rows: Vec<Row>,
    refused: Vec<String>,
    faults: BTreeMap<String, Fault>,
    criteria: Vec<(String, Line)>,
    hazards: BTreeMap<(Severity, String), Often>,
    advice: BTreeMap<String, Often>,
    wrong: BTreeMap<String, Often>,
    idle: BTreeMap<String, Often>,
}

impl Class {
    /// Adds a grade; `page` is the page of the attempt beside that of the class.
    pub fn add(&mut self, record: &Record, page: Option<String>) {
        let grade = &record.grade;
        self.title.clone_from(&grade.scenario);
        self.digest.clone_from(&grade.scenario_digest);
        self.engine = grade.engine.to_string();
        let learner = &record.learner;
        let full = |name: &str| {
            grade.criteria.iter().any(|c| c.criterion == name && c.marks + 1e-9 >= c.weight)
        };
        let some = |name: &str| grade.criteria.iter().any(|c| c.criterion == name && c.marks > 0.0);
        let competent = grade.verdict == Verdict::Competent;
        let fault = self.faults.entry(grade.truth.join("; ")).or_default();
        fault.attempts += 1;
        fault.part += usize::from(full("part"));
        fault.mode += usize::from(full("mode"));
        fault.mended += usize::from(some("repair"));
        fault.competent += usize::from(competent);
        fault.marks += grade.marks;
        for c in &grade.criteria {
            let known = self.criteria.iter().position(|(name, _)| *name == c.criterion);
            let k = known.unwrap_or_else(|| {
                self.criteria.push((c.criterion.to_string(), Line::default()));
                self.criteria.len() - 1
            });
            let line = &mut self.criteria[k].1;
            line.marks += c.marks;
            line.weight += c.weight;
            line.full += usize::from(c.marks + 1e-9 >= c.weight);
            line.none += usize::from(c.marks <= 0.0);
        }
        for h in &grade.hazards {
            self.hazards.entry((h.severity, h.hazard.message())).or_default().count(learner);
        }
        let general = ["feedback-gate", "feedback-majors"];
        for advice in grade.feedback.iter().filter(|a| !general.contains(&a.id())) {
            self.advice.entry(advice.id().to_owned()).or_default().count(learner);
        }
        let steps = grade.evidence.iter().flat_map(|e| &e.steps);
        for step in steps.filter(|s| s.uninformative && s.kind != EvidenceKind::Safety) {
            self.idle.entry(step.words.clone()).or_default().count(learner);
        }
        let part_right = full("part");
        if !part_right && let Some(last) = grade.named.last() {
            self.wrong.entry(last.clone()).or_default().count(learner);
        }
        self.rows.push(Row {
            learner: learner.clone(),
            attempt: record.attempt.clone(),
            page,
            competent,
            gate: grade.gate,
            marks: grade.marks,
            seconds: grade.bench_seconds,
            unsafe_acts: record.unsafe_acts(),
            named: grade.named.clone(),
            part_right,
        });
    }

    /// Adds an attempt that could not be graded.
    pub fn add_refused(&mut self, name: &str) {
        self.refused.push(name.to_owned());
    }

    /// The page of the class.
    #[must_use]
    pub fn page(&self, reader: &Reader) -> String {
        let body = html! {
            main {
                h1 { (reader.fill("class-title", "scenario", self.title.as_str())) }
                (self.summary(reader))
                @if !self.rows.is_empty() {
                    (self.distribution(reader))
                    (self.by_fault(reader))
                    (self.by_criterion(reader))
                    (self.misconceptions(reader))
                    (self.learners(reader))
                }
                @if !self.refused.is_empty() {
                    h2 { (reader.say("refused-heading")) }
                    p { (reader.say("refused-note")) }
                    ul { @for name in &self.refused { li { (name) } } }
                }
            }
            footer {
                (facts(&[
                    (reader.say("origin-scenario"), self.digest.clone()),
                    (reader.say("origin-engine"), format!("spoolbench {}", self.engine)),
                ]))
                p { (reader.say("class-pseudonyms")) }
                p { (reader.say("safety")) }
            }
        };
        page(&reader.fill("class-title", "scenario", self.title.as_str()), reader, &body)
    }

    fn summary(&self, reader: &Reader) -> Markup {
        let count = self.rows.len();
        let competent = self.rows.iter().filter(|r| r.competent).count();
        let gate = self.rows.iter().filter(|r| r.gate).count();
        let mut marks: Vec<f64> = self.rows.iter().map(|r| r.marks).collect();
        marks.sort_by(f64::total_cmp);
        let mut minutes: Vec<f64> = self.rows.iter().map(|r| r.seconds / 60.0).collect();
        minutes.sort_by(f64::total_cmp);
        let spread = |sorted: &[f64]| match (sorted.first(), sorted.last()) {
            (Some(low), Some(high)) => reader.words.phrase(
                &Phrase::new("class-spread")
                    .with("median", reader.words.number(median(sorted), 1))
                    .with("low", reader.words.number(*low, 1))
                    .with("high", reader.words.number(*high, 1)),
            ),
            _ => String::new(),
        };
        let of = |part: usize| {
            reader.words.phrase(
                &Phrase::new("class-of")
                    .with("part", part.to_string())
                    .with("all", count.to_string()),
            )
        };
        html! {
            (facts(&[
                (reader.say("class-attempts"), count.to_string()),
                (reader.say("class-competent"), of(competent)),
                (reader.say("class-gate"), of(gate)),
                (reader.say("class-marks"), spread(&marks)),
                (reader.say("class-minutes"), spread(&minutes)),
            ]))
        }
    }

    /// Marks in ten bands, as bars and as a table.
    fn distribution(&self, reader: &Reader) -> Markup {
        let mut bands = [(0usize, 0usize); 10];
        for row in &self.rows {
            let k = ((row.marks / 10.0).floor() as usize).min(9);
            bands[k].0 += 1;
            bands[k].1 += usize::from(row.competent);
        }
        let most = bands.iter().map(|b| b.0).max().unwrap_or(0).max(1) as f64;
        let name = |k: usize| {
            let high = if k == 9 { 100 } else { k * 10 + 9 };
            format!("{}–{high}", k * 10)
        };
        let x = |k: usize| 40.0 + k as f64 * 92.0;
        let height = |n: usize| n as f64 / most * 120.0;
        html! {
            h2 { (reader.say("distribution-heading")) }
            figure {
                figcaption { (reader.say("distribution-caption")) }
                svg class="bars" viewBox="0 0 1000 190" role="img"
                    aria-labelledby="bars-title bars-desc" {
                    title id="bars-title" { (reader.say("distribution-heading")) }
                    desc id="bars-desc" {
                        @for (k, band) in bands.iter().enumerate() {
                            (name(k)) ": " (band.0) ". "
                        }
                    }
                    @for (k, (all, good)) in bands.iter().enumerate() {
                        rect class="bar" x=(format!("{:.1}", x(k))) width="76"
                            y=(format!("{:.1}", 150.0 - height(*all)))
                            height=(format!("{:.1}", height(*all))) {}
                        rect class="bar pass" x=(format!("{:.1}", x(k))) width="76"
                            y=(format!("{:.1}", 150.0 - height(*good)))
                            height=(format!("{:.1}", height(*good))) {}
                        @if *all > 0 {
                            text x=(format!("{:.1}", x(k) + 38.0)) text-anchor="middle"
                                y=(format!("{:.1}", 144.0 - height(*all))) { (all) }
                        }
                        text x=(format!("{:.1}", x(k) + 38.0)) y="170" text-anchor="middle" {
                            (name(k))
                        }
                    }
                    line class="axis" x1="30" x2="970" y1="150" y2="150" {}
                }
            }
        }
    }

    fn by_fault(&self, reader: &Reader) -> Markup {
        let columns = [
            "column-fault",
            "#column-attempts",
            "#column-part",
            "#column-mode",
            "#column-mended",
            "#column-competent",
            "#column-mean",
        ];
        html! {
            h2 { (reader.say("faults-heading")) }
            table {
                (head(&reader.say("faults-caption"), &say_columns(&columns, reader)))
                tbody {
                    @for (name, f) in &self.faults {
                        tr {
                            th scope="row" {
                                @if name.is_empty() { (reader.say("nothing")) } @else {
                                    (faults(name, reader))
                                }
                            }
                            td class="n" { (f.attempts) }
                            @for n in [f.part, f.mode, f.mended, f.competent] {
                                td class="n" { (share(n, f.attempts, reader)) }
                            }
                            td class="n" { (reader.words.number(f.marks / f.attempts as f64, 1)) }
                        }
                    }
                }
            }
        }
    }

    fn by_criterion(&self, reader: &Reader) -> Markup {
        let columns =
            ["column-criterion", "#column-mean", "#column-of", "#column-full", "#column-none"];
        let count = self.rows.len();
        html! {
            h2 { (reader.say("criteria-heading")) }
            table {
                (head(&reader.say("criteria-caption"), &say_columns(&columns, reader)))
                tbody {
                    @for (name, line) in &self.criteria {
                        tr {
                            th scope="row" { (reader.say(&format!("criterion-{name}"))) }
                            td class="n" { (reader.words.number(line.marks / count as f64, 1)) }
                            td class="n" {
                                (reader.words.decimals(&(line.weight / count as f64).to_string()))
                            }
                            td class="n" { (share(line.full, count, reader)) }
                            td class="n" { (share(line.none, count, reader)) }
                        }
                    }
                }
            }
        }
    }

    fn misconceptions(&self, reader: &Reader) -> Markup {
        let mut rows: Vec<(String, String, &Often)> = Vec::new();
        for ((severity, id), often) in self.hazards.iter().rev() {
            let kind = match severity {
                Severity::Critical => "severity-critical",
                Severity::Major => "severity-major",
            };
            rows.push((reader.say(kind), reader.say(id), often));
        }
        for (named, often) in &self.wrong {
            rows.push((reader.say("kind-wrong"), reader.words.fault(named), often));
        }
        for (words, often) in self.idle.iter().filter(|(_, o)| o.learners.len() > 1) {
            rows.push((reader.say("kind-idle"), reader.words.action(words), often));
        }
        for (id, often) in &self.advice {
            // In the class it is the habit that counts, not the parts.
            rows.push((
                reader.say("kind-habit"),
                reader.say(&format!("habit-{}", habit(id))),
                often,
            ));
        }
        rows.sort_by_key(|r| std::cmp::Reverse((r.2.learners.len(), r.2.times)));
        let columns = ["column-kind", "column-mistake", "#column-learners", "#column-times"];
        html! {
            h2 { (reader.say("mistakes-heading")) }
            @if rows.is_empty() {
                p { (reader.say("mistakes-none")) }
            } @else {
                table {
                    (head(&reader.say("mistakes-caption"), &say_columns(&columns, reader)))
                    tbody {
                        @for (kind, what, often) in &rows {
                            tr {
                                td { (kind) }
                                th scope="row" { (what) }
                                td class="n" { (often.learners.len()) }
                                td class="n" { (often.times) }
                            }
                        }
                    }
                }
            }
        }
    }

    fn learners(&self, reader: &Reader) -> Markup {
        let columns = [
            "column-learner",
            "column-verdict",
            "column-gate",
            "#column-marks",
            "#column-minutes",
            "#column-unsafe",
            "column-named",
        ];
        html! {
            h2 { (reader.say("learners-heading")) }
            table {
                (head(&reader.say("learners-caption"), &say_columns(&columns, reader)))
                tbody {
                    @for row in &self.rows {
                        tr {
                            th scope="row" {
                                @if let Some(page) = &row.page {
                                    a href=(address(page)) { (row.learner) }
                                } @else {
                                    (row.learner)
                                }
                                @if row.attempt != row.learner {
                                    " " span class="alias" { "(" (row.attempt) ")" }
                                }
                            }
                            td {
                                (reader.say(if row.competent {
                                    "verdict-competent"
                                } else {
                                    "verdict-not-yet-competent"
                                }))
                            }
                            td {
                                @if row.gate { (reader.say("gate-short-passed")) } @else {
                                    span class="flag critical" { (reader.say("gate-short-failed")) }
                                }
                            }
                            td class="n" { (reader.words.number(row.marks, 1)) }
                            td class="n" { (reader.words.number(row.seconds / 60.0, 1)) }
                            td class="n" { (row.unsafe_acts) }
                            td {
                                (row.named.last().map_or("–".to_owned(), |f| reader.words.fault(f)))
                                @if !row.part_right && !row.named.is_empty() {
                                    " (" (reader.say("named-wrong")) ")"
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The habit behind an advice; the advice itself names parts of one attempt.
fn habit(advice: &str) -> &str {
    advice.strip_prefix("feedback-").unwrap_or(advice)
}

fn median(sorted: &[f64]) -> f64 {
    let n = sorted.len();
    match n {
        0 => 0.0,
        n if n % 2 == 1 => sorted[n / 2],
        n => (sorted[n / 2 - 1] + sorted[n / 2]) / 2.0,
    }
}

/// The faults that one machine had.
fn faults(names: &str, reader: &Reader) -> String {
    names.split("; ").map(|f| reader.words.fault(f)).collect::<Vec<_>>().join("; ")
}

fn share(part: usize, of: usize, reader: &Reader) -> String {
    let percent = reader.words.number(100.0 * part as f64 / of.max(1) as f64, 0);
    format!("{part} ({percent} %)")
}

/// A file name as the address of a link.
fn address(name: &str) -> String {
    use std::fmt::Write;
    let mut text = String::from("./");
    for byte in name.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'~' => {
                text.push(char::from(byte));
            }
            other => {
                let _ = write!(text, "%{other:02X}");
            }
        }
    }
    text
}
