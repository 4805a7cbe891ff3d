//! The screen as geometry: on every machine, in every size of window and text, no words lie on other words
//! and none are cut off at a side.

use std::path::PathBuf;

use bevy_egui::egui::epaint::ClippedShape;
use bevy_egui::egui::{Context, RawInput, Rect, Shape, Vec2, pos2, vec2};

use super::*;
use crate::diagnostic::{Diagnostics, Sources};
use crate::language::Language;
use crate::quantity::UnitSystem;
use crate::scenario::{Shipped, load_any};
use crate::view::layout::{Wide, Zones};
use crate::view::tools::Tool;

/// A piece of text on the screen: what it says, where it is, where it may be seen, and whether its end is
/// left out.
pub(super) struct Words {
    pub text: String,
    area: Rect,
    seen: Rect,
    elided: bool,
}

/// What is at least so large covers what was painted before it [points2]: a sheet, a window, the veil of a
/// question.
const LARGE: f32 = 40_000.0;

fn collect(shape: &Shape, clip: Rect, found: &mut Vec<Words>) {
    match shape {
        Shape::Vec(list) => list.iter().for_each(|s| collect(s, clip, found)),
        Shape::Rect(rect) if rect.fill.a() > 0 => {
            let over = rect.rect.intersect(clip);
            if over.is_positive() && over.area() > LARGE {
                found.retain(|words| !over.intersects(words.seen));
            }
        }
        Shape::Text(text) if !text.galley.text().trim().is_empty() => {
            let area = text.visual_bounding_rect();
            let seen = area.intersect(clip);
            if seen.is_positive() {
                let (text, elided) = (text.galley.text().to_owned(), text.galley.elided);
                found.push(Words { text, area, seen, elided });
            }
        }
        _ => {}
    }
}

pub(super) fn words(shapes: &[ClippedShape]) -> Vec<Words> {
    let mut found = Vec::new();
    for shape in shapes {
        collect(&shape.shape, shape.clip_rect, &mut found);
    }
    found
}

/// What is wrong with a frame: words on words anywhere, words cut at a side outside the sheets, which may be
/// moved about.
fn faults(found: &[Words], zones: &Zones) -> Vec<String> {
    let mut problems = Vec::new();
    for (k, a) in found.iter().enumerate() {
        for b in &found[k + 1..] {
            let both = a.seen.intersect(b.seen);
            // Letters that touch are still read; ones that share a quarter of their height are not.
            let least = 0.25 * a.area.height().min(b.area.height());
            if both.width() > 1.5 && both.height() > least {
                problems.push(format!("\"{}\" lies on \"{}\"", a.text, b.text));
            }
        }
        let sheets = [zones.control, zones.seam, zones.power];
        let free = sheets.iter().any(|zone| zone.contains(a.seen.center()));
        if !free && a.area.width() - a.seen.width() > 1.0 {
            problems.push(format!("\"{}\" is cut", a.text));
        }
        // The title has what is left of the bar, and the whole of what the line says is seen by pointing at it.
        let short = [zones.top, zones.line].iter().any(|zone| zone.contains(a.seen.center()));
        if a.elided && !short {
            problems.push(format!("\"{}\" is left out in part", a.text));
        }
    }
    problems
}

/// A bench under an author's eyes, with some of everything on it.
fn bench(name: &str, reader: Reader, actions: &[&str], text: usize) -> Screen {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let scenario = load_any(&Shipped, name, &mut sources, &mut found).expect("a shipped bench");
    let mut screen = Screen::new(Order {
        scenario: Arc::new(scenario),
        drill: None,
        reader,
        file: PathBuf::from(name),
        seed: 1,
        learner: "eyes".to_owned(),
        attempt: None,
        unfinished: None,
        watch: true,
    });
    screen.set_text(text);
    for line in actions {
        screen.act(parse(line).expect("an action"));
        screen.desk().expect("a desk").skip();
    }
    screen
}

fn look(screen: &mut Screen, size: Vec2) -> Vec<String> {
    let ctx = Context::default();
    let mut problems = Vec::new();
    for frame in 0..3 {
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(pos2(0.0, 0.0), size)),
            ..RawInput::default()
        };
        let mut out = ctx.run_ui(input, |ui| screen.frame(ui, 0.0));
        out.textures_delta.clear();
        let zones = zones(
            Rect::from_min_size(pos2(0.0, 0.0), size),
            TEXT_SCALES[screen.scale],
            screen.shares,
        );
        // The first frames find out how large everything is.
        if frame == 2 {
            problems = faults(&words(&out.shapes), &zones);
        }
    }
    problems
}

const MACHINES: [(&str, &[&str]); 7] = [
    ("pusher.bench.ron", &["press S4", "gauge MP1", "gauge 1V1:A", "hold S1"]),
    ("press.bench.ron", &["press S4", "gauge MP2", "hold S1"]),
    ("door.bench.ron", &["press S4", "gauge MP1"]),
    ("gripper.bench.ron", &["gauge MP3", "press S1"]),
    ("cutter.bench.ron", &["press S4", "gauge MP1", "press S1"]),
    ("press-plc.bench.ron", &["press S4"]),
    ("winch.bench.ron", &["gauge MP4"]),
];

/// Sizes of the window with sizes of text: usual, large text in a small window, a large window.
const SIZES: [((f32, f32), usize); 3] =
    [((1280.0, 800.0), 0), ((1280.0, 800.0), 4), ((3840.0, 2160.0), 4)];

fn readers() -> [Reader; 3] {
    [
        Reader::new(Language::English, UnitSystem::Si),
        Reader::new(Language::German, UnitSystem::Si),
        Reader::new(Language::German, UnitSystem::UsCustomary),
    ]
}

#[test]
fn no_words_lie_on_others_and_none_are_cut() {
    let mut problems = std::collections::BTreeSet::new();
    for (name, actions) in MACHINES {
        for (reader, (size, text)) in readers().into_iter().flat_map(|r| SIZES.map(|s| (r, s))) {
            let mut screen = bench(name, reader, actions, text);
            screen.hand.red = Some("S4:13".to_owned());
            screen.hand.black = Some("S4:14".to_owned());
            screen.book.struck = vec!["S4".to_owned(), "M1".to_owned(), "1V1".to_owned()];
            for all in [true, false] {
                screen.show_all(all);
                for style in [Style::Iec, Style::NorthAmerican] {
                    if screen.style != style {
                        screen.turn_style();
                    }
                    for problem in look(&mut screen, vec2(size.0, size.1)) {
                        let whose = (reader.words.language(), reader.units);
                        problems
                            .insert(format!("{name} {whose:?} {size:?} text {text}: {problem}"));
                    }
                }
            }
        }
    }
    assert!(problems.is_empty(), "{}", problems.into_iter().collect::<Vec<_>>().join("\n"));
}

/// Every page of the book, every tool at a place where it is of use, every question.
#[test]
fn whatever_lies_open_no_words_lie_on_others_and_none_are_cut() {
    let mut problems = std::collections::BTreeSet::new();
    for (reader, (size, text)) in readers().into_iter().flat_map(|r| SIZES.map(|s| (r, s))) {
        let actions = ["press S4", "gauge MP1", "volts S4:13 S4:14", "hold S1"];
        let mut screen = bench("pusher.bench.ron", reader, &actions, text);
        let mut see = |screen: &mut Screen, what: &str| {
            for problem in look(screen, vec2(size.0, size.1)) {
                let whose = (reader.words.language(), reader.units);
                problems.insert(format!("{what} {whose:?} {size:?} text {text}: {problem}"));
            }
        };
        for tab in [Tab::Log, Tab::Suspects, Tab::Strip] {
            screen.book.tab = tab;
            see(&mut screen, &format!("{tab:?}"));
        }
        let valve = Subject::Part("1V1".to_owned());
        for tool in Tool::ALL {
            for place in [
                Subject::Part("Q0".to_owned()),
                valve.clone(),
                Subject::Part("1A1".to_owned()),
                Subject::Port("1V1:A".to_owned()),
            ] {
                screen.hand.take(tool);
                screen.hand.place = Some(place);
                see(&mut screen, &format!("{tool:?}"));
            }
            screen.hand.take(tool);
            see(&mut screen, &format!("{tool:?}"));
        }
        for wide in [Wide::Control, Wide::Power] {
            screen.shares.wide = wide;
            see(&mut screen, &format!("{wide:?}"));
        }
        screen.show_all(true);
        screen.inside = Some("1V1".to_owned());
        see(&mut screen, "inside");
        screen.inside = None;
        let danger = (reader.say("hazard-left-open"), reader.say("hazard-left-open-why"));
        let volts = Action::Volts { red: "K1:A1".into(), black: "K1:A2".into() };
        for ask in [
            Ask::Danger(vec![danger], true),
            Ask::Predict(volts, String::new()),
            Ask::HandBack,
            Ask::Help,
            Ask::Trouble(reader.say("window-no-graphics")),
        ] {
            screen.ask = Some(ask.clone());
            see(&mut screen, &format!("{ask:?}"));
        }
    }
    assert!(problems.is_empty(), "{}", problems.into_iter().collect::<Vec<_>>().join("\n"));
}

#[test]
fn words_on_words_are_found() {
    let at = |x: f32, text: &str| {
        let area = Rect::from_min_size(pos2(x, 100.0), vec2(20.0, 10.0));
        Words { text: text.to_owned(), area, seen: area, elided: false }
    };
    let screen = Rect::from_min_size(pos2(0.0, 0.0), vec2(1280.0, 800.0));
    let zones = zones(screen, 1.0, Shares::default());
    assert!(faults(&[at(10.0, "K1"), at(40.0, "K2")], &zones).is_empty());
    assert_eq!(faults(&[at(10.0, "K1"), at(25.0, "K2")], &zones).len(), 1);
    let mut cut = at(10.0, "K1");
    cut.area = cut.area.translate(vec2(0.0, 600.0));
    cut.seen = Rect::from_min_size(cut.area.min, vec2(15.0, 10.0));
    assert_eq!(faults(&[cut], &zones), ["\"K1\" is cut"]);
    let mut short = at(10.0, "a long name");
    short.elided = true;
    assert_eq!(faults(&[short], &zones), ["\"a long name\" is left out in part"]);
}
