//! Sheets of every shipped bench: nothing is left out, nothing lies on anything else, and the same bench
//! gives the same bytes.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::Arc;

use spoolbench::base::{NodeId, SimTime, VolumeId, WindingId};
use spoolbench::bench::{Bench, load, load_with};
use spoolbench::diagnostic::Diagnostics;
use spoolbench::drawing::live::{Live, apply};
use spoolbench::drawing::symbols::Facing;
use spoolbench::drawing::{Point, Sheet, Style, Subject, control, power, seam};
use spoolbench::language::Phrase;
use spoolbench::plant::{Element, Plan, PlanBuilder, Plant, Probe};
use spoolbench::report::svg;
use spoolbench::session::{Rig, Session, SessionConfig, parse};

use super::readable::{crosses, pieces, texts, unreadable};

pub const STYLES: [Style; 2] = [Style::Iec, Style::NorthAmerican];

/// Every shipped bench by its file name.
pub fn shipped() -> Vec<(String, Bench)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let mut files: Vec<_> = fs::read_dir(&folder)
        .expect("scenarios")
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.to_string_lossy().ends_with(".bench.ron"))
        .collect();
    files.sort();
    assert!(files.len() >= 6, "the shipped benches are there");
    files
        .into_iter()
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            let text = fs::read_to_string(&path).expect("a bench");
            let mut beside = |other: &str| {
                fs::read_to_string(folder.join(other)).map_err(|e| Phrase::written(e.to_string()))
            };
            let mut found = Diagnostics::new();
            let bench = load_with(&name, &text, &mut beside, &mut found);
            (name, bench.expect("a sound bench"))
        })
        .collect()
}

fn bench(text: &str) -> Bench {
    let mut found = Diagnostics::new();
    load("test", text, &mut found).unwrap_or_else(|| {
        panic!("{:?}", found.iter().map(|d| d.message.clone()).collect::<Vec<_>>())
    })
}

fn has(sheet: &Sheet, subject: &Subject) -> bool {
    sheet.marks.iter().any(|m| m.subject == *subject)
}

/// Terminals, wires and parts of the control side that a sheet does not show.
fn left_out(plan: &Plan, sheet: &Sheet) -> Vec<String> {
    let mut missing = Vec::new();
    for part in &plan.parts {
        if part.class == "Wire" {
            if !has(sheet, &Subject::Wire(part.tag.clone())) {
                missing.push(part.tag.clone());
            }
            continue;
        }
        for (marking, _) in &part.terminals {
            let name = format!("{}:{marking}", part.tag);
            if !has(sheet, &Subject::Terminal(name.clone())) {
                missing.push(name);
            }
        }
        for (_, element) in &part.elements {
            let subjects: Vec<Subject> = match element {
                Element::Contact(c) => {
                    let name = &plan.contacts[c.index()].name;
                    vec![Subject::Contact(name.clone(), true), Subject::Part(part.tag.clone())]
                }
                Element::Winding(w) => vec![Subject::Coil(plan.windings[w.index()].name.clone())],
                _ => Vec::new(),
            };
            missing.extend(subjects.iter().filter(|s| !has(sheet, s)).map(|s| format!("{s:?}")));
        }
    }
    missing
}

pub fn complain(problems: &[String]) {
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
fn every_terminal_and_every_wire_is_on_the_control_sheet() {
    let mut problems = Vec::new();
    for (name, bench) in shipped() {
        for style in STYLES {
            let sheet = control::sheet(&bench.plan, style);
            let missing = left_out(&bench.plan, &sheet);
            problems.extend(missing.iter().map(|m| format!("{name} {style:?}: {m}")));
        }
    }
    complain(&problems);
}

#[test]
fn labels_of_the_control_sheet_can_be_read() {
    let mut problems = Vec::new();
    for (name, bench) in shipped() {
        for style in STYLES {
            let found = unreadable(&control::sheet(&bench.plan, style));
            problems.extend(found.iter().map(|m| format!("{name} {style:?}: {m}")));
        }
    }
    complain(&problems);
}

#[test]
fn every_port_line_and_test_point_is_on_the_power_sheet() {
    let mut problems = Vec::new();
    for (name, bench) in shipped() {
        let (plan, sheet) = (&bench.plan, power::sheet(&bench.plan));
        for part in plan.parts.iter().filter(|p| !p.ports.is_empty()) {
            if !has(&sheet, &Subject::Part(part.tag.clone()))
                && !has(&sheet, &Subject::Spool(part.tag.clone()))
            {
                problems.push(format!("{name}: {}", part.tag));
            }
            for (port, _) in &part.ports {
                if !has(&sheet, &Subject::Port(format!("{}:{port}", part.tag))) {
                    problems.push(format!("{name}: {}:{port}", part.tag));
                }
            }
        }
        for point in &plan.test_points {
            if !has(&sheet, &Subject::TestPoint(point.name.clone())) {
                problems.push(format!("{name}: {}", point.name));
            }
        }
        for (k, volume) in plan.volumes.iter().enumerate() {
            let ports: BTreeSet<String> = plan
                .parts
                .iter()
                .flat_map(|p| p.ports.iter().map(move |(m, v)| (p, m, v)))
                .filter(|(_, _, v)| v.index() == k)
                .map(|(p, m, _)| format!("{}:{m}", p.tag))
                .collect();
            if ports.len() < 2 || volume.fixed_pa.is_some() {
                continue;
            }
            // A line of n ports is a tree: cut anywhere, some of its ports are on either side.
            let mut seen: BTreeSet<String> = BTreeSet::new();
            for mark in &sheet.marks {
                if let Subject::Line { line, from } = &mark.subject
                    && *line == volume.name
                    && !from.is_empty()
                {
                    assert!(from.len() < ports.len(), "{name}: {line} has a piece to nowhere");
                    seen.extend(from.iter().cloned());
                    if ports.len() - from.len() == 1 {
                        seen.extend(ports.iter().filter(|p| !from.contains(*p)).cloned());
                    }
                }
            }
            for port in ports.difference(&seen) {
                problems.push(format!("{name}: {} does not reach {port}", volume.name));
            }
        }
    }
    complain(&problems);
}

#[test]
fn nothing_on_the_power_sheet_lies_on_anything_else() {
    let mut problems = Vec::new();
    for (name, bench) in shipped() {
        let sheet = power::sheet(&bench.plan);
        for (k, (tag, room)) in sheet.rooms.iter().enumerate() {
            for (other, there) in &sheet.rooms[k + 1..] {
                if tag != other && room.overlaps(there) {
                    problems.push(format!("{name}: {tag} lies on {other}"));
                }
            }
            for mark in &sheet.marks {
                let Subject::Line { line, from } = &mark.subject else { continue };
                // Its own stubs to tank and air are part of a symbol.
                let own = from.len() == 1 && from[0].starts_with(&format!("{tag}:"));
                let inner = room.grown(-0.05);
                if !own && pieces(mark).iter().any(|(a, b)| crosses(*a, *b, &inner)) {
                    problems.push(format!("{name}: the line {line} runs through {tag}"));
                }
            }
        }
        problems.extend(unreadable(&sheet).iter().map(|m| format!("{name}: {m}")));
        problems.extend(
            unreadable(&seam::sheet(&bench.plan)).iter().map(|m| format!("{name} seam: {m}")),
        );
    }
    complain(&problems);
}

/// Two lines meet only at right angles, and only lines of one name meet in a dot.
#[test]
fn lines_never_run_on_one_another() {
    let mut problems = Vec::new();
    for (name, bench) in shipped() {
        let sheet = power::sheet(&bench.plan);
        let lines: Vec<(&str, Point, Point)> = sheet
            .marks
            .iter()
            .filter_map(|m| match &m.subject {
                Subject::Line { line, .. } => Some((line.as_str(), pieces(m))),
                _ => None,
            })
            .flat_map(|(line, list)| list.into_iter().map(move |(a, b)| (line, a, b)))
            .collect();
        for (k, (line, a, b)) in lines.iter().enumerate() {
            for (other, c, d) in &lines[k + 1..] {
                if line == other {
                    continue;
                }
                let apart =
                    |p: f64, q: f64, r: f64, s: f64| p.max(q) <= r.min(s) || r.max(s) <= p.min(q);
                let level = a.y == b.y && c.y == d.y && a.y == c.y && !apart(a.x, b.x, c.x, d.x);
                let upright = a.x == b.x && c.x == d.x && a.x == c.x && !apart(a.y, b.y, c.y, d.y);
                if level || upright {
                    problems.push(format!("{name}: {line} runs on {other}"));
                }
            }
        }
    }
    complain(&problems);
}

#[test]
fn the_same_bench_gives_the_same_bytes_and_sound_xml() {
    for ((name, first), (_, second)) in shipped().into_iter().zip(shipped()) {
        let all = |plan: &Plan| {
            [
                svg::document(&control::sheet(plan, Style::Iec), "control"),
                svg::document(&control::sheet(plan, Style::NorthAmerican), "ladder"),
                svg::document(&power::sheet(plan), "power"),
                svg::document(&seam::sheet(plan), "seam"),
            ]
        };
        let texts = all(&first.plan);
        assert_eq!(texts, all(&second.plan), "{name}");
        for text in texts {
            let tree = roxmltree::Document::parse(&text).expect("sound XML");
            let root = tree.root_element();
            assert_eq!(root.tag_name().name(), "svg");
            assert!(root.attribute("viewBox").is_some());
            let mut ids = BTreeSet::new();
            for node in tree.descendants().filter(roxmltree::Node::is_element) {
                if let Some(id) = node.attribute("id") {
                    assert!(ids.insert(id.to_owned()), "{name}: the id {id} is there twice");
                }
                assert!(
                    !["script", "image", "use", "foreignObject"].contains(&node.tag_name().name())
                );
                for attribute in node.attributes() {
                    assert!(!attribute.name().starts_with("on"), "{name}: {}", attribute.name());
                }
            }
        }
    }
}

#[test]
fn hostile_names_stay_text() {
    let plan = bench(
        r#"Bench(format: 1, name: "<script>&\u{0}\u{b}", parts: {
            "G1": DcSupply(voltage: "24 V DC"), "S1": PushButton(title: "</text><script>"), "H1": Lamp(),
        }, rungs: [Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, H1:X1-X2")])"#,
    )
    .plan;
    let text = svg::document(&control::sheet(&plan, Style::Iec), "control");
    let tree = roxmltree::Document::parse(&text).expect("sound XML");
    assert!(tree.descendants().all(|n| n.tag_name().name() != "script"));
    assert!(tree.descendants().any(|n| n.text().is_some_and(|t| t.contains("</text><script>"))));
}

/// A circuit written wire by wire, with a bridge that is no series and parallel, a three-wire switch,
/// a row of terminals, a contact with a loose end and one with none.
#[test]
fn whatever_is_wired_is_drawn() {
    let plan = bench(
        r#"Bench(format: 1, parts: {
            "G1": DcSupply(voltage: "24 V DC"),
            "F1": Fuse(rating: "2 A"),
            "S1": PushButton(contacts: ["13-14", "23-24"]),
            "S2": PushButton(contacts: ["13-14"]),
            "S3": PushButton(contacts: ["13-14"]),
            "S4": PushButton(contacts: ["13-14", "21-22"]),
            "B1": ProximitySwitch(on: "1A1", from: "90 mm", to: "110 mm"),
            "X1": TerminalBlock(terminals: 6, bridges: ["1-2"]),
            "K1": Relay(contacts: ["13-14", "21-22"]),
            "H1": Lamp(), "H2": Lamp(),
            "1A1": Cylinder(bore: "40 mm", rod: "20 mm", stroke: "100 mm"),
        }, wires: [
            "G1:+ F1:1", "F1:2 S1:13", "S1:13 S2:13", "S2:13 B1:1",
            "S1:14 S3:13", "S2:14 S3:14", "S1:14 H1:X1", "S2:14 H2:X1",
            "H1:X2 G1:-", "H2:X2 H1:X2", "B1:3 G1:-",
            "B1:4 X1:3", "X1:3 K1:A1", "K1:A2 X1:1", "X1:2 G1:-",
            "S4:13 F1:2", "X1:5 S4:21", "X1:6 PE:PE",
        ], lines: [Line(ports: ["1A1:A", "1A1:B"])])"#,
    )
    .plan;
    for style in STYLES {
        let sheet = control::sheet(&plan, style);
        complain(&left_out(&plan, &sheet));
        complain(&unreadable(&sheet));
    }
}

/// What a class looks like: the boxes with a name in them are those of classes without a symbol of their
/// own. None of the catalogue's is among them.
#[test]
fn every_class_of_the_shipped_benches_has_a_symbol() {
    for (name, bench) in shipped() {
        assert_eq!(power::boxed_classes(&bench.plan), Vec::<&str>::new(), "{name}");
    }
}

#[test]
fn a_sheet_shows_the_state_of_a_run() {
    let (_, bench) = shipped().into_iter().find(|(n, _)| n == "pusher.bench.ron").expect("pusher");
    let plan = Arc::new(bench.plan);
    let mut plant = Plant::nominal(plan.clone());
    let button = |plant: &mut Plant, tag: &str, down: bool| {
        let part = &plan.parts[plan.part(tag).expect("a part").index()];
        let Some(Element::Operator(o)) = part.element("head") else { panic!("{tag} has no head") };
        plant.set_operator(o, down);
    };
    let run = |plant: &mut Plant, ms: u64| {
        let until = plant.now() + spoolbench::base::SimTime::from_millis(ms);
        plant.advance(until, false).expect("a run");
    };
    button(&mut plant, "S4", true);
    run(&mut plant, 1000);
    button(&mut plant, "S4", false);
    button(&mut plant, "S1", true);
    run(&mut plant, 1500);
    let live = Live::of(&mut plant);
    assert!(live.contacts["K1:13-14"] && live.coils["1V1.a"].pulled_in);
    assert!((live.spools["1V1"] - 1.0).abs() < 0.05);
    let fluid = power::sheet(&plan);
    // The boxes have moved by one box, 4 modules, and with them the solenoid.
    let spool = Subject::Spool("1V1".to_owned());
    let (dx, dy) = live.shift(&fluid, &spool).expect("a way");
    assert!((dx - 4.0).abs() < 0.2 && dy == 0.0, "{dx}");
    let coil = Subject::Coil("1V1.a".to_owned());
    assert_eq!(live.shift(&fluid, &coil), Some((dx, dy)));
    // Oil flows up the line to the cap side, and what enters a line leaves it.
    let flow = |line: &str, from: &str| {
        live.flow(&Subject::Line { line: line.to_owned(), from: vec![from.to_owned()] })
    };
    let push = flow("push", "1V1:A").expect("a flow");
    assert!(push > 1e-5, "{push}");
    let into = -flow("push", "1A1:A").expect("a flow");
    assert!((push - into).abs() < 0.05 * push, "{push} {into}");
    let drawn = apply(&control::sheet(&plan, Style::Iec), &live);
    let shown = |name: &str, closed: bool| {
        let subject = Subject::Contact(name.to_owned(), closed);
        drawn.marks.iter().filter(|m| m.subject == subject).all(|m| m.shown)
    };
    assert!(shown("K1:13-14", true) && !shown("K1:13-14", false));
    let numbers = apply(&fluid, &live);
    let bar = format!("{:.1} bar", live.test_points["MP2"] / 1e5);
    assert!(texts(&numbers).iter().any(|(t, _)| *t == bar), "{bar}");
    for style in STYLES {
        complain(&unreadable(&apply(&control::sheet(&plan, style), &live)));
    }
    complain(&unreadable(&numbers));
}

/// Numbers stand clear of everything on the sheets of every bench while its buttons are pushed, one at a time.
#[test]
fn live_numbers_cover_nothing_on_any_bench() {
    for (name, bench) in shipped() {
        let plan = Arc::new(bench.plan);
        let hands = plan.parts.iter().filter(|p| matches!(p.class, "PushButton" | "Selector"));
        let hands: Vec<_> = hands.filter_map(|p| plan.hand_operator(&p.tag)).collect();
        let mut plant = Plant::new(Arc::clone(&plan), 1);
        for hand in hands {
            for acting in [true, false] {
                plant.set_operator(hand, acting);
                plant.advance(plant.now() + SimTime::from_millis(700), false).expect("advance");
                let live = Live::of(&mut plant);
                for sheet in [power::sheet(&plan), control::sheet(&plan, Style::Iec)] {
                    let drawn = apply(&sheet, &live);
                    let found = unreadable(&drawn);
                    assert!(found.is_empty(), "{name} at {}: {found:?}", plant.now());
                }
            }
        }
    }
}

#[test]
fn a_learner_sees_no_pressure_and_no_coil() {
    let (_, bench) = shipped().into_iter().find(|(n, _)| n == "press.bench.ron").expect("press");
    let mut plant = Plant::nominal(Arc::new(bench.plan));
    let live = Live::visible(&mut plant);
    assert!(live.lamps.contains_key("H1") && live.pistons.contains_key("1A1"));
    assert!(live.contacts.contains_key("S1:13-14") && !live.contacts.contains_key("K1:13-14"));
    assert!(live.coils.is_empty() && live.lines.is_empty() && live.wires.is_empty());
    assert!(live.terminals.is_empty() && live.spools.is_empty() && live.test_points.is_empty());
}

/// Every class of the catalogue that has ports has a symbol of its own, and directional valves draw theirs
/// from their table. A class that lands here needs a symbol in `drawing/symbols/`.
#[test]
fn every_class_of_the_catalogue_with_ports_has_a_symbol() {
    let plan = bench(
        r#"Bench(format: 1, parts: { "H1": Lamp(), "T1": Tank(), "Z1": Throttle() },
            lines: [Line(ports: ["T1:T", "Z1:A"])])"#,
    )
    .plan;
    // Their symbol is made of their positions, so it needs a plan that has them.
    let by_table = ["Valve", "AirValve", "AirIsolator", "HandSlide"];
    let mut boxed: Vec<&str> = Vec::new();
    for class in spoolbench::bench::catalogue::classes().filter(|c| c.ports != "none") {
        let mut part = plan.parts[0].clone();
        part.class = class.name;
        // Every marking there is: a symbol takes those that it knows.
        let volume = spoolbench::base::VolumeId::new(0);
        let markings = "A B C P T X Y L S 1 1b 2 3 12 14";
        part.ports = markings.split(' ').map(|m| (m.to_owned(), volume)).collect();
        let glyph = spoolbench::drawing::symbols::fluid::symbol(&plan, &part).0;
        for anchor in &glyph.anchors {
            // A line leaves a symbol at its edge.
            let (at, body) = (anchor.at, glyph.body);
            let inside = match anchor.facing {
                Facing::Up => at.y - body.top,
                Facing::Down => body.bottom - at.y,
                Facing::Left => at.x - body.left,
                Facing::Right => body.right - at.x,
            };
            assert!(inside.abs() < 0.95, "{}: {} begins inside", class.name, anchor.name);
            assert!(at.x.fract() == 0.0 && at.y.fract() == 0.0, "{}: off the grid", class.name);
        }
        if !spoolbench::drawing::symbols::fluid::symbol(&plan, &part).1
            && !by_table.contains(&class.name)
            && !class.name.ends_with("Valve")
        {
            boxed.push(class.name);
        }
    }
    assert_eq!(boxed, Vec::<&str>::new(), "drawn as boxes with their names");
}

/// Every manner of working a contact, and delays both ways.
#[test]
fn switches_and_timers_can_be_read() {
    let plan = bench(
        r#"Bench(format: 1,
            parts: {
            "G1": DcSupply(voltage: "24 V DC"), "F1": Fuse(rating: "2 A"),
            "S0": EmergencyStop(title: "Emergency stop"), "S1": Selector(title: "Automatic"),
            "K1": Relay(title: "On-delay", function: "on delay", contacts: ["13-14","21-22"]),
            "K2": Relay(title: "Off-delay", function: "off delay", contacts: ["13-14","21-22"]),
            "B1": ProximitySwitch(on: "1A1", from: "90 mm", to: "110 mm"),
            "1S1": LimitSwitch(on: "1A1", from: "-5 mm", to: "5 mm", contacts: ["13-14"]),
            "1S2": LimitSwitch(on: "1A1", from: "95 mm", to: "105 mm", contacts: ["21-22"]),
            "1B1": PressureSwitch(rise: "60 bar", contacts: ["21-22"]),
            "H1": Lamp(title: "Late on"), "H2": Lamp(title: "Late off"), "H3": Lamp(), "H4": Lamp(),
            "1A1": Cylinder(bore: "40 mm", rod: "20 mm", stroke: "100 mm"),
            }, wires: ["G1:+ F1:1"], rungs: [
            Rung(from: "F1:2", to: "G1:-", path: "S0:11-12, S1:13-14, K1:A1-A2"),
            Rung(from: "F1:2", to: "G1:-", path: "1S1:13-14, 1S2:21-22, K2:A1-A2"),
            Rung(from: "F1:2", to: "G1:-", path: "K1:13-14, H1:X1-X2"),
            Rung(from: "F1:2", to: "G1:-", path: "K2:13-14, H2:X1-X2"),
            Rung(from: "F1:2", to: "G1:-", path: "K1:21-22, K2:21-22, 1B1:21-22, H3:X1-X2"),
            Rung(from: "F1:2", to: "G1:-", path: "B1:1-4, H4:X1-X2"),
            ], lines: [Line(ports: ["1A1:A", "1B1:P"])])"#,
    )
    .plan;
    for style in STYLES {
        let sheet = control::sheet(&plan, style);
        complain(&left_out(&plan, &sheet));
        complain(&unreadable(&sheet));
    }
    complain(&unreadable(&power::sheet(&plan)));
    complain(&unreadable(&seam::sheet(&plan)));
}

/// Wires thrown between random terminals: whatever comes out, nothing is left out.
#[test]
fn a_tangle_of_wires_is_drawn_whole() {
    for seed in 1_u64..=40 {
        let mut state = seed;
        let mut next = |below: usize| {
            // Numerical Recipes' linear congruential generator (from memory).
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            ((state >> 16) as usize) % below
        };
        let mut terminals: Vec<String> = vec!["G1:+".to_owned(), "G1:-".to_owned()];
        let mut parts = String::from("\"G1\": DcSupply(voltage: \"24 V DC\"),");
        for k in 0..6 {
            parts += &format!("\"K{k}\": Relay(contacts: [\"13-14\", \"21-22\"]),");
            for marking in ["A1", "A2", "13", "14", "21", "22"] {
                terminals.push(format!("K{k}:{marking}"));
            }
        }
        parts += "\"X1\": TerminalBlock(terminals: 4),";
        terminals.extend((1..=4).map(|k| format!("X1:{k}")));
        let mut wires = String::new();
        for _ in 0..8 + next(24) {
            let (a, b) = (next(terminals.len()), next(terminals.len()));
            if a != b {
                wires += &format!("\"{} {}\",", terminals[a], terminals[b]);
            }
        }
        let plan = bench(&format!("Bench(format: 1, parts: {{{parts}}}, wires: [{wires}])")).plan;
        for style in STYLES {
            let missing = left_out(&plan, &control::sheet(&plan, style));
            assert!(missing.is_empty(), "seed {seed}: {missing:?}\n{wires}");
        }
    }
}

/// What a sheet shows is what a probe reads at the same moment, on direct and alternating current, on oil
/// and on air.
#[test]
fn what_is_shown_is_what_probes_read() {
    for (bench, actions) in [
        ("press.bench.ron", ["press S4", "wait 2 s", "hold S1"]),
        ("gripper.bench.ron", ["press S1", "wait 200 ms", "hold S1"]),
        ("pusher-starter.bench.ron", ["press S4", "wait 2 s", "press S1"]),
    ] {
        let (_, found) = shipped().into_iter().find(|(name, _)| name == bench).expect(bench);
        let rig = Rig::sound(Plant::nominal(Arc::new(found.plan)));
        let mut session = Session::new(rig, SessionConfig::default());
        for line in actions {
            session.act(parse(line).expect(line)).expect(line);
        }
        let mut rig = session.rig().clone();
        let plant = rig.plant_mut();
        let plan = plant.plan().clone();
        let live = Live::of(plant);
        let mut near = |shown: f64, probe: Probe, what: &str| {
            let read = plant.read(probe);
            assert!(
                (shown - read).abs() <= 1e-9 * read.abs().max(1.0),
                "{bench} {what}: {shown} {read}"
            );
        };
        for (k, node) in plan.nodes.iter().enumerate() {
            let probe = Probe::Volts(NodeId::new(k), PlanBuilder::EARTH);
            near(live.terminals[&node.name], probe, &node.name);
        }
        for (k, winding) in plan.windings.iter().enumerate() {
            let coil = live.coils[&winding.name];
            near(coil.amps, Probe::WindingAmps(WindingId::new(k)), &winding.name);
            near(coil.celsius, Probe::Celsius(WindingId::new(k)), &winding.name);
        }
        for (k, volume) in plan.volumes.iter().enumerate() {
            near(live.lines[&volume.name], Probe::Pressure(VolumeId::new(k)), &volume.name);
        }
        let mut wires = 0;
        for part in &plan.parts {
            if let Some(Element::Branch(core)) = part.element("core") {
                near(live.wires[&part.tag], Probe::BranchAmps(core), &part.tag);
                wires += usize::from(live.wires[&part.tag].abs() > 1e-3);
            }
        }
        assert!(wires > 3, "{bench}: currents flow");
    }
}
