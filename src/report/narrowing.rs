//! How the suspects became fewer: a curve over the actions, and a table of what each told.

use maud::{Markup, html};

use crate::grade::{EvidenceReport, EvidenceStep, Grade};
use crate::language::Phrase;

use super::attempt::{say_columns, tenths};
use super::page::{facts, head};
use super::reader::Reader;

/// Most rows; a page is for reading.
const ROWS: usize = 500;
/// Most suspects named in a cell.
const NAMED: usize = 6;
/// The curve [px].
const WIDTH: f64 = 1000.0;
const LEFT: f64 = 60.0;
const TOP: f64 = 14.0;
const HEIGHT: f64 = 110.0;

/// What the observations of an attempt told; nothing if that was not worked out.
#[must_use]
pub fn narrowing(grade: &Grade, reader: &Reader) -> Markup {
    let Some(evidence) = &grade.evidence else { return html! {} };
    let shown: Vec<&EvidenceStep> = evidence
        .steps
        .iter()
        .filter(|s| s.bits > 0.0 || s.uninformative || s.marginal)
        .take(ROWS)
        .collect();
    let seconds = |s: f64| reader.fill("seconds", "seconds", reader.words.number(s, 0));
    let count = |part: usize, all: usize| {
        reader.words.phrase(
            &Phrase::new("class-of").with("part", part.to_string()).with("all", all.to_string()),
        )
    };
    let verdict = match (evidence.verdict.as_str(), evidence.declared) {
        ("proved", _) => "evidence-verdict-proved",
        ("lucky", true) => "evidence-verdict-declared",
        ("lucky", false) => "evidence-verdict-lucky",
        ("contradicted", _) => "evidence-verdict-contradicted",
        ("wrong-but-consistent", _) => "evidence-verdict-consistent",
        _ => "evidence-verdict-nothing",
    };
    let left = some(&evidence.left, reader);
    html! {
        h2 { (reader.say("narrowing-heading")) }
        (facts(&[
            (reader.say("narrowing-verdict"), reader.say(verdict)),
            (reader.say("narrowing-committed"),
                evidence.committed_at.as_deref().map(|at| tenths(at).to_owned()).unwrap_or_default()),
            (reader.say("narrowing-left"),
                format!("{}: {left}", count(evidence.left.len(), evidence.suspects))),
            (reader.say("narrowing-optimum"), seconds(evidence.optimum_s)),
            (reader.say("narrowing-regret"), seconds(evidence.regret_s)),
            (reader.say("narrowing-idle"), count(evidence.idle_looks, evidence.looks)),
        ]))
        @if !evidence.steps.is_empty() {
            figure {
                figcaption { (reader.say("narrowing-curve")) }
                (curve(evidence, reader))
            }
        }
        @if !shown.is_empty() {
            table {
                (head(&reader.say("narrowing-caption"), &say_columns(&[
                    "#column-action", "column-time", "column-done", "#column-suspects",
                    "#column-bits", "column-told",
                ], reader)))
                tbody { @for step in shown { (row(step, reader)) } }
            }
        }
    }
}

/// The first of some faults, and how many more.
fn some(faults: &[String], reader: &Reader) -> String {
    let (named, more) = faults.split_at(faults.len().min(NAMED));
    let list = reader.words.faults(named).join("; ");
    if more.is_empty() {
        return list;
    }
    reader.words.phrase(&Phrase::new("and-more").with("list", list).with("count", more.len()))
}

fn row(step: &EvidenceStep, reader: &Reader) -> Markup {
    let told = if step.uninformative {
        reader.say("told-nothing")
    } else if step.marginal {
        reader.say("told-marginal")
    } else if step.excluded.is_empty() {
        String::new()
    } else {
        reader.fill("told-excluded", "list", some(&step.excluded, reader))
    };
    html! {
        tr {
            td class="n" { (step.action + 1) }
            td class="t" { (tenths(&step.at)) }
            td class="a" { (reader.words.action(&step.words)) }
            td class="n" { (step.before) " \u{2192} " (step.after) }
            td class="n" { (reader.words.number(step.bits, 2)) }
            td {
                (told)
                @if let Some(better) = &step.better {
                    " " (reader.fill("told-better", "test", reader.words.action(better)))
                }
            }
        }
    }
}

/// Suspects left over the actions that could tell something, on a scale by halves.
fn curve(evidence: &EvidenceReport, reader: &Reader) -> Markup {
    let most = evidence.suspects.max(2);
    let halves = crate::base::ops::log2(most as f64).max(1.0);
    let y = |n: usize| {
        let depth = crate::base::ops::log2(n.max(1) as f64) / halves;
        format!("{:.1}", TOP + HEIGHT * (1.0 - depth))
    };
    let step = (WIDTH - LEFT - 20.0) / evidence.steps.len() as f64;
    let x = |k: usize| LEFT + step * k as f64;
    let mut points = vec![format!("{:.1},{}", x(0), y(most))];
    for (k, s) in evidence.steps.iter().enumerate() {
        points.push(format!("{:.1},{}", x(k) + step / 2.0, y(s.before)));
        points.push(format!("{:.1},{}", x(k) + step / 2.0, y(s.after)));
    }
    let last = evidence.steps.last().map_or(most, |s| s.after);
    points.push(format!("{:.1},{}", x(evidence.steps.len()), y(last)));
    let bottom = TOP + HEIGHT;
    let every = (24.0 / step).ceil().max(1.0) as usize;
    html! {
        svg class="traces" viewBox=(format!("0 0 {WIDTH:.0} {:.0}", bottom + 24.0)) role="img"
            aria-labelledby="narrowing-title narrowing-desc" {
            title id="narrowing-title" { (reader.say("narrowing-heading")) }
            desc id="narrowing-desc" {
                (reader.words.phrase(&Phrase::new("narrowing-desc")
                    .with("from", most.to_string()).with("to", last.to_string())))
            }
            @for n in std::iter::successors(Some(1_usize), |n| Some(n * 4)).take_while(|n| *n <= most) {
                line class="zero" x1=(format!("{LEFT:.1}")) x2=(format!("{:.1}", WIDTH - 20.0))
                    y1=(y(n)) y2=(y(n)) {}
                text class="tick" x=(format!("{:.1}", LEFT - 8.0)) y=(y(n)) text-anchor="end"
                    dominant-baseline="middle" { (n) }
            }
            @for (k, s) in evidence.steps.iter().enumerate() {
                @if s.uninformative {
                    circle class="idle" cx=(format!("{:.1}", x(k) + step / 2.0)) cy=(y(s.after)) r="3.5" {}
                }
                @if k % every == 0 {
                    text class="tick" x=(format!("{:.1}", x(k) + step / 2.0))
                        y=(format!("{:.1}", bottom + 18.0)) text-anchor="middle" { (s.action + 1) }
                }
            }
            polyline class="trace" points=(points.join(" ")) {}
        }
    }
}
