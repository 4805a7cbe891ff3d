//! The power sheet: parts placed by what they do, lines routed on the grid.
//!
//! `place` puts energy sources below and actuators on top, and what lies between in rows in the order in
//! which the fluid meets it; `route` joins the ports of every line by orthogonal lines that cross no symbol.
//! A tank is drawn again wherever a line returns to it.

mod place;
mod route;

use std::collections::BTreeMap;

use crate::plant::Plan;

use super::Sheet;
use super::labels::text_mark;
use super::sheet::{Align, Area, Ink, Mark, Point, Shape, Subject, text_width};
use super::symbols::Facing;
use super::symbols::fluid;

use place::{Placed, place};
use route::{Net, Port, Routed, Router};

/// Margin of the sheet [modules].
const MARGIN: f64 = 3.0;
/// How often the parts are moved further apart to make room for lines.
const TRIES: usize = 6;
/// Parts from which on they are not.
const LARGE: usize = 120;

/// The fluid circuit of `plan` as a sheet.
///
/// ```
/// use spoolbench::{bench, diagnostic::Diagnostics, drawing};
/// let source = r#"Bench(format: 1, parts: {
///     "T1": Tank(), "M1": Pump(displacement: "8 cm3/rev", speed: "1450 rpm"),
///     "RV1": Relief(setting: "70 bar", rated_flow: "12 L/min"),
/// }, lines: [
///     Line(name: "suction", ports: ["T1:T", "M1:S", "RV1:T"]),
///     Line(name: "pressure", ports: ["M1:P", "RV1:P"], test_point: "MP1"),
/// ])"#;
/// let mut found = Diagnostics::new();
/// let bench = bench::load("pump.bench.ron", source, &mut found).expect("a bench");
/// let sheet = drawing::power::sheet(&bench.plan);
/// let relief = drawing::Subject::Part("RV1".to_owned());
/// assert!(sheet.marks.iter().any(|m| m.subject == relief));
/// ```
#[must_use]
pub fn sheet(plan: &Plan) -> Sheet {
    let mut best: Option<(usize, Sheet)> = None;
    let large = plan.parts.iter().filter(|p| !p.ports.is_empty()).count() > LARGE;
    for looseness in 0..if large { 1 } else { TRIES } {
        let placed = place(plan, looseness);
        let (sheet, missing) = draw(plan, &placed);
        if missing == 0 {
            return sheet;
        }
        if best.as_ref().is_none_or(|(least, _)| missing < *least) {
            best = Some((missing, sheet));
        }
    }
    best.map_or_else(Sheet::default, |(_, sheet)| sheet)
}

/// Draws what is placed; also how many ports and test points found no way.
fn draw(plan: &Plan, placed: &Placed) -> (Sheet, usize) {
    let mut bounds = Area::EMPTY;
    for item in &placed.items {
        bounds.include(item.area());
    }
    if bounds.is_empty() {
        bounds = Area { left: 0.0, top: 0.0, right: 10.0, bottom: 5.0 };
    }
    // Room for lines around everything.
    let bounds = bounds.grown(6.0);
    let mut router = Router::new(bounds);
    for item in &placed.items {
        router.block(item.glyph.body.grown(0.5));
        for end in &item.ends {
            router.block(end.grown(0.3));
        }
        for label in &item.labels {
            router.block(label.shape.area().grown(0.35));
        }
    }
    let nets = nets(placed);
    let routed = router.route(&nets);
    let mut missing = routed.iter().map(|r| r.missing).sum::<usize>();
    let mut sheet = Sheet { title: format!("{}: fluid circuit", plan.name), ..Sheet::default() };
    for (net, routed) in nets.iter().zip(&routed) {
        lines(&mut sheet, plan, net, routed);
    }
    missing += test_points(&mut sheet, plan, placed, &nets, &routed);
    for item in &placed.items {
        sheet.marks.extend(item.glyph.marks.iter().cloned());
        sheet.marks.extend(item.labels.iter().cloned());
        sheet.motions.extend(item.glyph.motions.iter().cloned());
        sheet.rooms.push((item.tag.clone(), item.glyph.body));
        sheet.rooms.extend(item.ends.iter().map(|end| (item.tag.clone(), *end)));
    }
    frame(&mut sheet, plan);
    (sheet, missing)
}

fn nets(placed: &Placed) -> Vec<Net> {
    let mut nets: BTreeMap<usize, Net> = BTreeMap::new();
    for item in &placed.items {
        for (anchor, volume) in &item.open {
            let net =
                nets.entry(*volume).or_insert_with(|| Net { volume: *volume, ports: Vec::new() });
            net.ports.push(Port {
                name: format!("{}:{}", item.tag, anchor.name),
                at: (anchor.at.x.round() as i32, anchor.at.y.round() as i32),
                facing: anchor.facing,
            });
        }
    }
    nets.into_values().collect()
}

/// Whether a line to this port carries only signals, or only leakage.
fn ink_of(ports: &[&str]) -> Ink {
    let marking = |p: &&str| p.split_once(':').map_or("", |(_, m)| m).to_owned();
    let all = |list: &[&str]| {
        !ports.is_empty() && ports.iter().all(|p| list.contains(&marking(p).as_str()))
    };
    if all(&["X", "12", "14"]) {
        Ink::Pilot
    } else if all(&["L", "Y"]) {
        Ink::Drain
    } else {
        Ink::Conductor
    }
}

fn lines(sheet: &mut Sheet, plan: &Plan, net: &Net, routed: &Routed) {
    let name = plan.volumes[net.volume].name.clone();
    for piece in routed.pieces(net) {
        let points = piece.points.iter().map(|&(x, y)| Point::new(x.into(), y.into())).collect();
        let from: Vec<&str> = piece.from.iter().map(String::as_str).collect();
        let to: Vec<&str> =
            net.ports.iter().map(|p| p.name.as_str()).filter(|p| !from.contains(p)).collect();
        let ink = match (ink_of(&from), ink_of(&to)) {
            (Ink::Conductor, other) | (other, _) => other,
        };
        sheet.marks.push(Mark {
            shape: Shape::Path { points, closed: false },
            ink,
            subject: Subject::Line { line: name.clone(), from: piece.from },
            shown: true,
            weight: 1.0,
        });
    }
    for &(port, other) in &routed.direct {
        // No way was found: a thin straight line still says what belongs together.
        let at = |k: usize| Point::new(net.ports[k].at.0.into(), net.ports[k].at.1.into());
        sheet.marks.push(Mark {
            shape: Shape::Path { points: vec![at(port), at(other)], closed: false },
            ink: Ink::Faint,
            subject: Subject::Line { line: name.clone(), from: vec![net.ports[port].name.clone()] },
            shown: true,
            weight: 1.0,
        });
    }
    for (x, y) in routed.tees() {
        sheet.marks.push(Mark {
            shape: Shape::Circle { centre: Point::new(x.into(), y.into()), radius: 0.3 },
            ink: Ink::Solid,
            subject: Subject::Line { line: name.clone(), from: Vec::new() },
            shown: true,
            weight: 1.0,
        });
    }
}

/// Puts the test points beside their lines; gives how many found no room.
fn test_points(
    sheet: &mut Sheet,
    plan: &Plan,
    placed: &Placed,
    nets: &[Net],
    routed: &[Routed],
) -> usize {
    let mut missing = 0;
    let mut taken: Vec<Area> = Vec::new();
    for item in &placed.items {
        taken.push(item.glyph.body.grown(0.3));
        taken.extend(item.labels.iter().map(|l| l.shape.area().grown(0.3)));
        taken.extend(item.ends.iter().map(|e| e.grown(0.3)));
    }
    for routed in routed {
        taken.extend(routed.areas().into_iter().map(|a| a.grown(0.3)));
    }
    for point in &plan.test_points {
        let Some(k) = nets.iter().position(|n| n.volume == point.volume.index()) else {
            continue;
        };
        let spot = |number: f64| {
            routed[k].spots().into_iter().find_map(|((x, y), upright)| {
                // Beside an upright line, or above a level one.
                let (x, y) = (f64::from(x), f64::from(y));
                let width = text_width(&point.name, 0.8) + number;
                let sides: &[(f64, f64)] =
                    if upright { &[(1.0, 0.0), (-1.0, 0.0)] } else { &[(0.0, -1.0), (0.0, 1.0)] };
                sides.iter().find_map(|&(dx, dy)| {
                    let (ex, ey) = (x + 1.6 * dx, y + 1.6 * dy);
                    let left = if dx < 0.0 { ex - 0.8 - width } else { ex - 0.4 };
                    let right = if dx < 0.0 { ex + 0.4 } else { ex + 0.8 + width };
                    let mark = Area { left, top: ey - 0.5, right, bottom: ey + 0.5 };
                    let stub = Area {
                        left: (x + 0.4 * dx).min(ex),
                        top: (y + 0.4 * dy).min(ey),
                        right: (x + 0.4 * dx).max(ex),
                        bottom: (y + 0.4 * dy).max(ey),
                    };
                    let free =
                        !taken.iter().any(|a| a.overlaps(&mark) || a.overlaps(&stub.grown(0.05)));
                    free.then_some(((x, y), (ex, ey), dx < 0.0, mark))
                })
            })
        };
        // With room for its number, if there is.
        let spot = spot(0.6 + text_width("120.0 bar", 0.7)).or_else(|| spot(0.0));
        let Some((from, end, leftwards, area)) = spot else {
            missing += 1;
            continue;
        };
        taken.push(area.grown(0.3));
        taken.push(
            Area {
                left: from.0.min(end.0),
                top: from.1.min(end.1),
                right: from.0.max(end.0),
                bottom: from.1.max(end.1),
            }
            .grown(0.2),
        );
        let subject = Subject::TestPoint(point.name.clone());
        let line =
            Subject::Line { line: plan.volumes[nets[k].volume].name.clone(), from: Vec::new() };
        let mut path = |points: [(f64, f64); 2], subject: &Subject| {
            let points = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
            sheet.marks.push(Mark {
                shape: Shape::Path { points, closed: false },
                ink: Ink::Outline,
                subject: subject.clone(),
                shown: true,
                weight: 1.0,
            });
        };
        path([from, end], &subject);
        path([(end.0 - 0.35, end.1 - 0.35), (end.0 + 0.35, end.1 + 0.35)], &subject);
        path([(end.0 - 0.35, end.1 + 0.35), (end.0 + 0.35, end.1 - 0.35)], &subject);
        sheet.marks.push(Mark {
            shape: Shape::Circle { centre: Point::new(from.0, from.1), radius: 0.3 },
            ink: Ink::Solid,
            subject: line,
            shown: true,
            weight: 1.0,
        });
        let (x, align) =
            if leftwards { (end.0 - 0.7, Align::End) } else { (end.0 + 0.7, Align::Start) };
        let at = Point::new(x, end.1 + 0.4);
        sheet.marks.push(text_mark(at, point.name.clone(), 0.8, align, Ink::Outline, subject));
    }
    missing
}

/// Moves everything so that the sheet begins at its corner, and writes the title.
fn frame(sheet: &mut Sheet, plan: &Plan) {
    let mut bounds = Area::EMPTY;
    for mark in &sheet.marks {
        bounds.include(mark.shape.area());
    }
    if bounds.is_empty() {
        bounds = Area { left: 0.0, top: 0.0, right: 0.0, bottom: 0.0 };
    }
    // What moves may go further than where it is drawn.
    for item in &sheet.motions {
        for mark in sheet.marks.iter().filter(|m| m.subject == item.subject) {
            let area = mark.shape.area();
            for by in [-1.0 - item.drawn_at, 1.0 - item.drawn_at] {
                bounds.include(area.moved(by * item.dx, 0.0));
            }
        }
    }
    let (dx, dy) = ((MARGIN - bounds.left).ceil(), (MARGIN + 3.0 - bounds.top).ceil());
    for mark in &mut sheet.marks {
        mark.shape.shift(dx, dy);
    }
    for (_, room) in &mut sheet.rooms {
        *room = room.moved(dx, dy);
    }
    let title = text_width(&plan.name, 1.4) + 2.0 * MARGIN;
    sheet.width = (bounds.right + dx + MARGIN).max(title).ceil();
    sheet.height = (bounds.bottom + dy + MARGIN).ceil();
    let at = Point::new(MARGIN, MARGIN + 1.0);
    let text = plan.name.clone();
    sheet.marks.push(text_mark(at, text, 1.4, Align::Start, Ink::Outline, Subject::Paper));
}

/// The classes of parts with ports that have no symbol of their own and are drawn as labelled boxes.
#[must_use]
pub fn boxed_classes(plan: &Plan) -> Vec<&'static str> {
    let mut list: Vec<&'static str> = plan
        .parts
        .iter()
        .filter(|p| !p.ports.is_empty() && !fluid::symbol(plan, p).1)
        .map(|p| p.class)
        .collect();
    list.sort_unstable();
    list.dedup();
    list
}

/// One step against a facing.
fn against(facing: Facing) -> Facing {
    match facing {
        Facing::Up => Facing::Down,
        Facing::Down => Facing::Up,
        Facing::Left => Facing::Right,
        Facing::Right => Facing::Left,
    }
}
