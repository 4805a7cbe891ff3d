//! What a frame of the practice window costs before anything is painted on the screen: simulation,
//! live state, layout and shapes, on the largest shipped bench, with the pump running.

#![allow(clippy::expect_used, missing_docs)]

use std::hint::black_box;
use std::path::PathBuf;
use std::sync::Arc;

use bevy_egui::egui::{self, RawInput, Rect, pos2, vec2};
use criterion::{Criterion, criterion_group, criterion_main};
use spoolbench::diagnostic::{Diagnostics, Sources};
use spoolbench::language::Language;
use spoolbench::quantity::UnitSystem;
use spoolbench::report::Reader;
use spoolbench::scenario::{Scenario, Shipped, load_any};
use spoolbench::session::parse;
use spoolbench::view::{Order, Screen};

/// The shipped bench with most parts.
fn largest() -> Scenario {
    let mut best: Option<Scenario> = None;
    for name in Shipped::names().filter(|n| n.ends_with(".bench.ron")) {
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        let Some(bench) = load_any(&Shipped, name, &mut sources, &mut found) else { continue };
        if best.as_ref().is_none_or(|b| bench.plan.parts.len() > b.plan.parts.len()) {
            best = Some(bench);
        }
    }
    best.expect("a shipped bench")
}

fn screen(scenario: &Arc<Scenario>, all: bool) -> Screen {
    let order = Order {
        scenario: scenario.clone(),
        drill: None,
        reader: Reader::new(Language::English, UnitSystem::Si),
        file: PathBuf::from("largest.bench.ron"),
        seed: 1,
        learner: "bench".to_owned(),
        attempt: None,
        unfinished: None,
        // Nothing is written.
        watch: true,
    };
    let mut screen = Screen::new(order);
    screen.show_all(all);
    for tag in ["S4", "S1"] {
        screen.act(parse(&format!("press {tag}")).expect("an action"));
    }
    screen
}

fn frames(c: &mut Criterion) {
    let scenario = Arc::new(largest());
    println!("largest bench: {}, {} parts", scenario.title, scenario.plan.parts.len());
    let mut group = c.benchmark_group("frame");
    group.sample_size(20);
    for (name, all) in [("live drawing", true), ("eyes only", false)] {
        let ctx = egui::Context::default();
        let mut screen = screen(&scenario, all);
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(pos2(0.0, 0.0), vec2(1280.0, 800.0))),
            ..RawInput::default()
        };
        group.bench_function(name, |b| {
            b.iter(|| {
                let mut out = ctx.run_ui(input.clone(), |ui| screen.frame(ui, 1.0 / 60.0));
                black_box(out.shapes.len());
                out.textures_delta.clear();
            });
        });
    }
    group.finish();
}

criterion_group!(benches, frames);
criterion_main!(benches);
