//! The report of one attempt, as a page to read and to print.

use maud::{Markup, html};

use crate::grade::{CriterionMark, Grade, HazardLine, StoryLine};
use crate::language::Phrase;
use crate::scenario::Scenario;
use crate::session::Severity;

use super::film::Film;
use super::narrowing::narrowing;
use super::page::{facts, head, page};
use super::plot;
use super::reader::Reader;
use super::record::Record;
use super::scenes::scenes;

/// Most rows of a table; a page is for reading.
const ROWS: usize = 2_000;

/// The page of `record`; with what was `watched` of it, also what the machine did.
#[must_use]
pub fn attempt(record: &Record, watched: Option<(&Scenario, &Film)>, reader: &Reader) -> String {
    let grade = &record.grade;
    let body = html! {
        main {
            h1 { (grade.scenario) }
            p class="of" {
                (reader.words.phrase(&Phrase::new("attempt-of")
                    .with("learner", record.learner.as_str())
                    .with("attempt", record.attempt.as_str())))
            }
            (verdict(grade, reader))
            (criteria(grade, reader))
            (feedback(grade, reader))
            (hazards(grade, reader))
            @if let Some((_, film)) = watched {
                h2 { (reader.say("traces-heading")) }
                figure {
                    figcaption { (reader.say("traces-caption")) }
                    (plot::traces(film, "traces", reader))
                }
            }
            @if let Some((scenario, film)) = watched { (scenes(scenario, film, reader)) }
            (narrowing(grade, reader))
            (readings(grade, reader))
            (story(grade, reader))
        }
        (origin(grade, reader))
    };
    let title = format!("{}: {}", record.learner, grade.scenario);
    page(&title, reader, &body)
}

fn verdict(grade: &Grade, reader: &Reader) -> Markup {
    let class = grade.verdict.message().trim_start_matches("verdict-");
    let marks = Phrase::new("marks-of")
        .with("marks", reader.words.number(grade.marks, 1))
        .with("most", "100");
    let minutes = reader.words.number(grade.bench_seconds / 60.0, 1);
    let list = |texts: &[String]| {
        if texts.is_empty() { reader.say("nothing") } else { reader.words.faults(texts).join("; ") }
    };
    html! {
        div class=(format!("lead {class}")) {
            strong { (reader.say(grade.verdict.message())) }
            span { (reader.words.phrase(&marks)) }
            span { (reader.say(if grade.gate { "gate-passed" } else { "gate-failed" })) }
        }
        (facts(&[
            (reader.say("fact-named"), list(&grade.named)),
            (reader.say("fact-truth"), list(&grade.truth)),
            (reader.say("fact-ended"), reader.words.phrase(&grade.ended)),
            (reader.say("fact-time"), reader.fill("minutes", "minutes", minutes)),
            (reader.say("fact-started"), grade.started.clone().unwrap_or_default()),
        ]))
    }
}

fn criteria(grade: &Grade, reader: &Reader) -> Markup {
    let columns = ["column-criterion", "#column-marks", "#column-of", "column-why"];
    let total: f64 = grade.criteria.iter().map(|c| c.weight).sum();
    let row = |c: &CriterionMark| {
        let name = reader.say(&format!("criterion-{}", c.criterion));
        let asks = reader.say(&format!("criterion-{}-asks", c.criterion));
        html! {
            tr {
                th scope="row" title=(asks) { (name) }
                td class="n" { (reader.words.number(c.marks, 1)) }
                td class="n" { (reader.words.decimals(&c.weight.to_string())) }
                td { (reader.words.sentence(&c.why)) }
            }
        }
    };
    html! {
        h2 { (reader.say("marks-heading")) }
        table {
            (head(&reader.say("marks-caption"), &say_columns(&columns, reader)))
            tbody { @for c in &grade.criteria { (row(c)) } }
            tfoot {
                tr {
                    th scope="row" { (reader.say("total")) }
                    td class="n" { (reader.words.number(grade.marks, 1)) }
                    td class="n" { (reader.words.decimals(&total.to_string())) }
                    td {}
                }
            }
        }
    }
}

/// The names of columns, with the sign of number columns kept.
pub(super) fn say_columns(ids: &[&str], reader: &Reader) -> Vec<String> {
    ids.iter()
        .map(|id| match id.strip_prefix('#') {
            Some(id) => format!("#{}", reader.say(id)),
            None => reader.say(id),
        })
        .collect()
}

fn feedback(grade: &Grade, reader: &Reader) -> Markup {
    html! {
        h2 { (reader.say("feedback-heading")) }
        @if grade.feedback.is_empty() {
            p { (reader.say("feedback-none")) }
        } @else {
            ul class="feedback" {
                @for line in &grade.feedback { li { (reader.words.sentence(line)) } }
            }
        }
    }
}

/// How much a hazard weighs, as a mark that is told apart without colour.
fn flag(hazard: &HazardLine, reader: &Reader) -> Markup {
    let class = match hazard.severity {
        Severity::Critical => "flag critical",
        Severity::Major => "flag major",
    };
    html! { span class=(class) { (reader.say(hazard.severity_message())) } }
}

fn hazards(grade: &Grade, reader: &Reader) -> Markup {
    let columns = ["column-time", "column-weight", "column-act", "column-place", "column-instead"];
    html! {
        h2 { (reader.say("hazards-heading")) }
        @if grade.hazards.is_empty() {
            p { (reader.say("hazards-none")) }
        } @else {
            table {
                (head(&reader.say("hazards-caption"), &say_columns(&columns, reader)))
                tbody {
                    @for h in grade.hazards.iter().take(ROWS) {
                        tr class=[(h.severity == Severity::Critical).then_some("critical")] {
                            td class="t" { (tenths(&h.at)) }
                            td { (flag(h, reader)) }
                            th scope="row" { (reader.say(&h.hazard.message())) }
                            td {
                                (h.place)
                                @if !h.evidence.is_empty() { ": " (reader.evidence(&h.evidence)) }
                            }
                            td { (reader.say(&format!("{}-why", h.hazard.message()))) }
                        }
                    }
                }
            }
        }
    }
}

fn readings(grade: &Grade, reader: &Reader) -> Markup {
    let columns =
        ["#column-action", "column-time", "column-instrument", "column-place", "#column-reading"];
    let taken: Vec<_> = (grade.story.iter().enumerate())
        .flat_map(|(k, line)| line.readings.iter().map(move |r| (k + 1, &line.at, r)))
        .collect();
    html! {
        h2 { (reader.say("readings-heading")) }
        @if taken.is_empty() {
            p { (reader.say("readings-none")) }
        } @else {
            table {
                (head(&reader.say("readings-caption"), &say_columns(&columns, reader)))
                tbody {
                    @for (number, at, r) in taken.iter().take(ROWS) {
                        tr {
                            td class="n" { (number) }
                            td class="t" { (tenths(at)) }
                            td { (reader.say(&format!("instrument-{}", r.function))) }
                            th scope="row" { (r.places.join(" – ")) }
                            td class="n" { (reader.reading(r)) }
                        }
                    }
                }
            }
        }
    }
}

fn story(grade: &Grade, reader: &Reader) -> Markup {
    let columns = ["#column-action", "column-time", "column-done", "column-came"];
    let critical =
        |line: &StoryLine| line.hazards.iter().any(|h| h.severity() == Severity::Critical);
    html! {
        h2 { (reader.say("story-heading")) }
        table class="story" {
            (head(&reader.say("story-caption"), &say_columns(&columns, reader)))
            tbody {
                @for (k, line) in grade.story.iter().take(ROWS).enumerate() {
                    tr class=[critical(line).then_some("critical")] {
                        td class="n" { (k + 1) }
                        td class="t" { (tenths(&line.at)) }
                        td class="a" { (reader.words.action(&line.action)) }
                        td {
                            ul { @for told in &line.told { li { (reader.tell(told)) } } }
                        }
                    }
                }
            }
        }
        @if grade.story.len() > ROWS {
            p { (reader.fill("story-cut", "count", grade.story.len() - ROWS)) }
        }
    }
}

/// Bench time `m:ss.mmm` cut to the tenth of a second.
pub(super) fn tenths(at: &str) -> &str {
    match at.split_once('.') {
        Some((whole, rest)) if rest.len() > 1 => &at[..whole.len() + 2],
        _ => at,
    }
}

/// Where the report comes from: what anybody needs to make it again.
fn origin(grade: &Grade, reader: &Reader) -> Markup {
    html! {
        footer {
            p { (reader.say("origin-replayed")) }
            (facts(&[
                (reader.say("origin-scenario"), grade.scenario_digest.clone()),
                (reader.say("origin-end"), grade.digest.clone()),
                (reader.say("origin-seed"), grade.seed.to_string()),
                (reader.say("origin-rubric"), grade.rubric.to_string()),
                (reader.say("origin-engine"), format!("spoolbench {}", grade.engine)),
            ]))
            p { (reader.say("safety")) }
        }
    }
}
