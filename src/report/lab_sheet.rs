//! A lab sheet to print: the task, the drawings, the tools, and blank tables to fill in by hand. It is made of
//! the sound machine and what the learner is told, so nothing on it tells of the fault.

use maud::{Markup, PreEscaped, html};

use crate::drawing::{Sheet, Style, control, power};
use crate::scenario::Scenario;
use crate::session::Tool;

use super::attempt::say_columns;
use super::page::{head, page};
use super::reader::Reader;
use super::svg;

/// Width of a drawing [modules] beyond which it is printed across the page: the smallest letters, 0.7 of a
/// module, would be lower than 1 mm on the 182 mm of an upright one.
pub(super) const UPRIGHT: f64 = 125.0;
/// Blank rows of the table of readings, of suspects, of locks.
const READINGS: usize = 16;
const SUSPECTS: usize = 6;

/// The lab sheet of `scenario`.
#[must_use]
pub fn lab_sheet(scenario: &Scenario, reader: &Reader) -> String {
    let title = reader.fill("sheet-title", "scenario", scenario.title.as_str());
    let body = html! {
        main {
            h1 { (scenario.title) }
            p class="of" { (reader.say("sheet-kind")) }
            table class="blank who" {
                (head(&reader.say("sheet-who"), &[]))
                tbody {
                    tr {
                        th scope="row" { (reader.say("sheet-learner")) } td {}
                        th scope="row" { (reader.say("sheet-date")) } td {}
                    }
                }
            }
            h2 { (reader.say("sheet-task")) }
            p { (scenario.brief) }
            @if !scenario.bench.note.is_empty() { p { (scenario.bench.note) } }
            p {
                (reader.fill("sheet-limit", "minutes",
                    reader.words.number(scenario.time_limit.as_secs_f64() / 60.0, 0)))
            }
            (cautions(scenario, reader))
            (tools(scenario, reader))
            (parts(scenario, reader))
            (drawings(scenario, reader))
            (blanks(reader))
        }
        footer { p { (reader.say("safety")) } }
    };
    page(&title, reader, &body)
}

fn cautions(scenario: &Scenario, reader: &Reader) -> Markup {
    html! {
        h2 { (reader.say("sheet-cautions")) }
        ul class="feedback" {
            @for caution in &scenario.bench.cautions { li { strong { (caution) } } }
            li { (reader.say("sheet-isolate")) }
            @if scenario.stop_when_unsafe { li { (reader.say("sheet-stops")) } }
        }
    }
}

fn tools(scenario: &Scenario, reader: &Reader) -> Markup {
    let (with, without): (Vec<Tool>, Vec<Tool>) =
        Tool::ALL.into_iter().partition(|t| scenario.tools.contains(t));
    let names = |tools: &[Tool]| {
        let all: Vec<String> =
            tools.iter().map(|t| reader.say(&format!("tool-{}", t.word()))).collect();
        all.join(", ")
    };
    html! {
        h2 { (reader.say("sheet-tools")) }
        p { (names(&with)) "." }
        @if !without.is_empty() { p { (reader.fill("sheet-without", "tools", names(&without))) } }
    }
}

fn parts(scenario: &Scenario, reader: &Reader) -> Markup {
    let columns = ["column-tag", "column-class", "column-for", "column-points"];
    html! {
        h2 { (reader.say("sheet-parts")) }
        table {
            (head(&reader.say("sheet-parts-caption"), &say_columns(&columns, reader)))
            tbody {
                @for part in scenario.plan.parts.iter().filter(|p| p.class != "Wire") {
                    @let points: Vec<&str> = part.terminals.iter().map(|t| t.0.as_str())
                        .chain(part.ports.iter().map(|p| p.0.as_str())).collect();
                    tr {
                        th scope="row" { (part.tag) }
                        td { (reader.words.kind(part.class)) }
                        td { (part.title) }
                        td class="a" { (points.join(" ")) }
                    }
                }
            }
        }
        @if !scenario.plan.test_points.is_empty() {
            @let names: Vec<&str> =
                scenario.plan.test_points.iter().map(|t| t.name.as_str()).collect();
            p { (reader.fill("sheet-test-points", "points", names.join(", "))) }
        }
    }
}

fn drawings(scenario: &Scenario, reader: &Reader) -> Markup {
    let plan = scenario.plan.as_ref();
    let sheets = [
        ("sheet-power", "power", power::sheet(plan)),
        ("sheet-control", "control", control::sheet(plan, Style::default())),
    ];
    let drawn = |sheet: &Sheet| !sheet.marks.is_empty();
    html! {
        @for (k, (caption, id, sheet)) in sheets.iter().filter(|s| drawn(&s.2)).enumerate() {
            section class=[(sheet.width > UPRIGHT).then_some("wide")] {
                h2 class=[(k == 0).then_some("new-page")] { (reader.say(caption)) }
                figure class="sheet" { (PreEscaped(svg::element(&reader.sheet(sheet), id))) }
            }
        }
    }
}

/// A table with a heading and empty rows.
fn blank(caption: &str, columns: &[&str], rows: usize, reader: &Reader) -> Markup {
    html! {
        table class="blank" {
            (head(&reader.say(caption), &say_columns(columns, reader)))
            tbody { @for _ in 0..rows { tr { @for _ in columns { td {} } } } }
        }
    }
}

fn lines(count: usize) -> Markup {
    html! { div class="lines" { @for _ in 0..count { div {} } } }
}

fn blanks(reader: &Reader) -> Markup {
    let readings = [
        "column-action",
        "column-instrument",
        "column-points",
        "column-expected",
        "column-reading",
    ];
    let isolation = ["column-step", "column-done-at", "column-initials"];
    html! {
        h2 class="new-page" { (reader.say("sheet-symptom")) }
        (lines(4))
        h2 { (reader.say("readings-heading")) }
        (blank("sheet-readings-caption", &readings, READINGS, reader))
        h2 { (reader.say("sheet-suspects")) }
        (blank("sheet-suspects-caption", &["column-tag", "column-for-it", "column-against-it"],
            SUSPECTS, reader))
        h2 { (reader.say("sheet-isolation")) }
        table class="blank" {
            (head(&reader.say("sheet-isolation-caption"), &say_columns(&isolation, reader)))
            tbody {
                @for step in ["stop", "open", "lock", "release", "gauge", "tester", "try"] {
                    tr {
                        th scope="row" { (reader.say(&format!("isolation-{step}"))) } td {} td {}
                    }
                }
            }
        }
        h2 { (reader.say("sheet-result")) }
        table class="blank answers" {
            (head(&reader.say("sheet-result-caption"), &[]))
            tbody {
                @for row in ["result-part", "result-fault", "result-proof", "result-repair",
                    "result-retest", "result-left"] {
                    tr { th scope="row" { (reader.say(row)) } td {} }
                }
            }
        }
    }
}
