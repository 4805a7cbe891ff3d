//! Directional valves by ISO 1219-1: a box for each position with its paths, and what moves them.
//!
//! The paths are those of the plan: which ports a position joins is read from the openings of the flow paths
//! that the spool, or the handle, drives.

use crate::base::SpoolId;
use crate::fluid::FlowLaw;
use crate::plant::{Drive, Element, Part, Plan};
use crate::shift::{Handle, Rest};

use super::super::sheet::{Align, Ink, Motion, Subject};
use super::pen::{Facing, Glyph, Pen};

/// Side of a box [modules].
const BOX: f64 = 4.0;

/// A pair of ports.
type Pair = (String, String);

/// What a directional valve can do.
struct Table {
    /// Joined ports at -1, 0 and +1.
    joins: [Vec<Pair>; 3],
    rest: Rest,
    /// Where it stands on a fresh sheet.
    drawn_at: f64,
    /// Worked by a handle.
    by_hand: bool,
}

fn opening(law: &FlowLaw) -> Option<[f64; 3]> {
    match law {
        FlowLaw::Spool(_, o) | FlowLaw::SonicSpool(_, o) => Some(o.at),
        _ => None,
    }
}

/// The ports that the role of a flow path names, if they are ports of the part.
fn ports_of(part: &Part, role: &str) -> Option<Pair> {
    let (a, b) = role.split_once('-')?;
    (part.port(a).is_some() && part.port(b).is_some()).then(|| (a.to_owned(), b.to_owned()))
}

/// The spool that joins the ports of a directional valve; of one with pilots, not a pilot's.
#[must_use]
pub fn main_spool(plan: &Plan, part: &Part) -> Option<SpoolId> {
    part.elements.iter().find_map(|(role, element)| {
        let Element::Flow(f) = element else { return None };
        ports_of(part, role)?;
        opening(&plan.nominal.flows[f.index()])?;
        match plan.flows[f.index()].drive {
            Drive::Spool(s) => Some(s),
            _ => None,
        }
    })
}

/// Reads the table of a valve: of its spool, or of its handle.
fn table(plan: &Plan, part: &Part) -> Option<Table> {
    let spool = main_spool(plan, part);
    let mut joins: [Vec<Pair>; 3] = Default::default();
    let mut by_hand = false;
    for (role, element) in &part.elements {
        let Element::Flow(f) = element else { continue };
        let drive = plan.flows[f.index()].drive;
        let ours = match drive {
            Drive::Spool(s) => Some(s) == spool,
            Drive::Operator(_) => true,
            _ => false,
        };
        let law = &plan.nominal.flows[f.index()];
        let (true, Some(pair), Some(at)) = (ours, ports_of(part, role), opening(law)) else {
            continue;
        };
        by_hand |= matches!(drive, Drive::Operator(_));
        for (k, open) in at.iter().enumerate() {
            if *open > 0.0 {
                joins[k].push(pair.clone());
            }
        }
    }
    if let Some(spool) = spool.filter(|_| !by_hand) {
        let make = &plan.nominal.spools[spool.index()];
        let drawn_at = plan.spools[spool.index()].initially;
        return Some(Table { joins, rest: make.rest, drawn_at, by_hand });
    }
    let handle = part.elements.iter().find_map(|(_, e)| match e {
        Element::Operator(o) => Some(*o),
        _ => None,
    });
    let on = handle.is_some_and(|o| plan.operators[o.index()].initially);
    by_hand.then_some(Table {
        joins,
        rest: Rest::Offset,
        drawn_at: f64::from(u8::from(on)),
        by_hand,
    })
}

/// Whether a port is above the boxes.
fn above(port: &str) -> bool {
    matches!(port, "A" | "B" | "C" | "2" | "4")
}

/// How early fluid meets a port: supply, work, tank.
fn stage(port: &str) -> u8 {
    match port {
        "P" | "1" => 0,
        "T" | "R" | "S" | "3" | "5" => 2,
        _ => 1,
    }
}

/// Where each port of the valve is on a box, from the middle of the box.
fn places(ports: &[String]) -> Vec<(String, f64, f64)> {
    let (top, bottom): (Vec<&String>, Vec<&String>) = ports.iter().partition(|p| above(p));
    let mut list = Vec::new();
    let rank = |p: &str| ["A", "4", "5", "P", "1", "B", "2", "T", "3"].iter().position(|q| *q == p);
    for (row, y) in [(top, -BOX / 2.0), (bottom, BOX / 2.0)] {
        let mut row = row;
        row.sort_by_key(|p| (rank(p).unwrap_or(9), (*p).clone()));
        let count = row.len();
        for (k, port) in row.into_iter().enumerate() {
            let x = match (count, k) {
                // Alone, it lies over what it is joined to on the other side.
                (1, _) if ports.len() == 2 => 0.0,
                (1, _) => -1.0,
                (2, 0) => -1.0,
                (2, _) => 1.0,
                (n, k) => k as f64 - (n as f64 - 1.0) / 2.0,
            };
            list.push((port.clone(), x, y));
        }
    }
    list
}

/// The symbol of a directional valve; `None` if the part has no table of positions.
pub fn directional(plan: &Plan, part: &Part) -> Option<Glyph> {
    let table = table(plan, part)?;
    let tag = &part.tag;
    let (pilots, ports): (Vec<String>, Vec<String>) = part
        .ports
        .iter()
        .map(|(name, _)| name.clone())
        .partition(|name| matches!(name.as_str(), "12" | "14" | "X" | "Y" | "L"));
    let places = places(&ports);
    // Boxes from left to right: what a gives, the middle, what b gives.
    let (order, drawn, per_unit): (&[usize], usize, f64) = match table.rest {
        Rest::Centred => (&[2, 1, 0], 1, BOX),
        Rest::Offset if table.drawn_at > 0.5 => (&[2, 1], 0, BOX),
        Rest::Offset => (&[2, 1], 1, BOX),
        Rest::Detented if table.drawn_at > 0.0 => (&[2, 0], 0, BOX / 2.0),
        Rest::Detented => (&[2, 0], 1, BOX / 2.0),
    };
    // A solenoid that pulls brings the box on the far side over the ports.
    let mut order = order.to_vec();
    let (drawn, per_unit) = match Works::of(plan, part).pulled {
        true => {
            order.reverse();
            (order.len() - 1 - drawn, -per_unit)
        }
        false => (drawn, per_unit),
    };
    let subject = Subject::Spool(tag.clone());
    let mut pen = Pen::new(subject.clone());
    let left = -BOX / 2.0 - BOX * drawn as f64;
    let right = left + BOX * order.len() as f64;
    for (k, position) in order.iter().enumerate() {
        let middle = left + BOX * (k as f64 + 0.5);
        pen.rect(middle - BOX / 2.0, -BOX / 2.0, middle + BOX / 2.0, BOX / 2.0);
        paths(&mut pen, middle, &places, &table.joins[*position]);
    }
    actuators(&mut pen, plan, part, &table, left, right, &pilots);
    pen.motion(Motion { subject, drawn_at: table.drawn_at, dx: per_unit, dy: 0.0 });
    if part.class.contains("Proportional") || part.class.contains("Servo") {
        // Coils that pull by degrees, and the lines of a spool that stands anywhere.
        for (edge, out) in [(left, -1.0), (right, 1.0)] {
            let far = edge + 2.2 * out;
            pen.rect(edge.min(far), 0.0, edge.max(far), 2.0);
            pen.arrow((far + 0.3 * out, 2.3), (edge - 0.3 * out, -0.3));
        }
        pen.line(&[(left, -BOX / 2.0 - 0.2), (right, -BOX / 2.0 - 0.2)]);
        pen.line(&[(left, BOX / 2.0 + 0.2), (right, BOX / 2.0 + 0.2)]);
    }
    // Room for the boxes wherever they are.
    let (low, high) = match table.rest {
        Rest::Centred => (-1.0, 1.0),
        Rest::Offset => (0.0, 1.0),
        Rest::Detented => (-1.0, 1.0),
    };
    let travel = |x: f64| per_unit * (x - table.drawn_at);
    let body = pen.body();
    let (one, other) = (travel(low), travel(high));
    let (left, right) = (body.left + one.min(other).min(0.0), body.right + one.max(other).max(0.0));
    pen.reserve(left, -2.0, right, 2.0);
    for (port, x, y) in &places {
        let up = *y < 0.0;
        let end = if up { -3.0 } else { 3.0 };
        let foot = if up { -2.45 } else { 2.95 };
        pen.with(Subject::Port(format!("{tag}:{port}")), |pen| {
            pen.line(&[(*x, *y), (*x, end)]);
            // Beside its line, on the side away from the next port.
            let (dx, align) = if *x > 0.5 || (*x > -0.5 && !up) {
                (0.25, Align::Start)
            } else {
                (-0.25, Align::End)
            };
            pen.inked(Ink::Faint, |pen| pen.text(x + dx, foot, port, 0.6, align));
        });
        pen.anchor(port, *x, end, if up { Facing::Up } else { Facing::Down });
    }
    Some(pen.done())
}

/// The paths of one box.
fn paths(pen: &mut Pen, middle: f64, places: &[(String, f64, f64)], joins: &[Pair]) {
    let at = |port: &str| places.iter().find(|p| p.0 == port).map(|p| (middle + p.1, p.2));
    // Ports that some joins put together.
    let mut groups: Vec<Vec<&str>> = places.iter().map(|p| vec![p.0.as_str()]).collect();
    for (a, b) in joins {
        let of = |groups: &[Vec<&str>], port: &str| groups.iter().position(|g| g.contains(&port));
        if let (Some(i), Some(j)) = (of(&groups, a), of(&groups, b))
            && i != j
        {
            let taken = groups.remove(i.max(j));
            groups[i.min(j)].extend(taken);
        }
    }
    for group in groups {
        match group.as_slice() {
            [one] => {
                let Some((x, y)) = at(one) else { continue };
                let end = y - y.signum() * 0.9;
                pen.line(&[(x, y), (x, end)]);
                pen.line(&[(x - 0.5, end), (x + 0.5, end)]);
            }
            [first, second] => {
                let (Some(a), Some(b)) = (at(first), at(second)) else { continue };
                let (from, to) = if stage(first) <= stage(second) { (a, b) } else { (b, a) };
                if from.1 == to.1 {
                    let y = from.1 - from.1.signum() * 1.2;
                    pen.line(&[from, (from.0, y), (to.0, y), to]);
                    pen.head((to.0, y), to);
                } else {
                    pen.arrow(from, to);
                }
            }
            many => {
                let points: Vec<(f64, f64)> = many.iter().filter_map(|p| at(p)).collect();
                let low = points.iter().map(|p| p.0).fold(f64::INFINITY, f64::min);
                let high = points.iter().map(|p| p.0).fold(f64::NEG_INFINITY, f64::max);
                for (x, y) in &points {
                    pen.line(&[(*x, *y), (*x, 0.0)]);
                }
                pen.line(&[(low, 0.0), (high, 0.0)]);
            }
        }
    }
}

fn spring(pen: &mut Pen, from: f64, y: f64, length: f64) {
    let step = length / 6.0;
    let mut points = vec![(from, y)];
    for k in 1..6 {
        let side = if k % 2 == 1 { -0.6 } else { 0.6 };
        points.push((from + step * f64::from(k), y + side));
    }
    points.push((from + length, y));
    pen.line(&points);
}

/// What moves the spool, at both ends of the boxes.
fn actuators(
    pen: &mut Pen,
    plan: &Plan,
    part: &Part,
    table: &Table,
    left: f64,
    right: f64,
    pilots: &[String],
) {
    let tag = &part.tag;
    if table.by_hand {
        // A lever that stays where it is put.
        pen.rect(left - 2.0, -0.5, left, 0.5);
        pen.line(&[(left - 2.0, 0.0), (left - 3.0, -1.4)]);
        pen.circle(left - 3.1, -1.6, 0.25);
        pen.line(&[(left - 1.4, 0.5), (left - 1.1, 0.9), (left - 0.8, 0.5)]);
        return;
    }
    let pulled = Works::of(plan, part).pulled;
    let sprung = match table.rest {
        Rest::Centred => [true, true],
        // The spring pushes away from itself, and from a solenoid that pulls.
        Rest::Offset if pulled => [true, false],
        Rest::Offset => [false, true],
        Rest::Detented => [false, false],
    };
    let air = part.class.starts_with("Air");
    let centred_by_pressure =
        main_spool(plan, part).is_some_and(|s| plan.spools[s.index()].sleeve.is_some());
    for (side, edge, out) in [(0, left, -1.0), (1, right, 1.0)] {
        if sprung[side] && centred_by_pressure {
            // Pressure pushes it to the centre from either end.
            pen.solid(&[
                (edge + 1.0 * out, -1.5),
                (edge + 1.0 * out, -0.5),
                (edge + 0.1 * out, -1.0),
            ]);
            pen.line(&[(edge + 1.0 * out, -1.0), (edge + 2.2 * out, -1.0)]);
        } else if sprung[side] {
            spring(pen, edge, -1.0, 2.2 * out);
        }
        let letter = if side == 0 { "a" } else { "b" };
        let name = format!("{tag}.{letter}");
        let winding = plan.windings.iter().any(|w| w.name == name)
            && (table.rest != Rest::Offset || side == 0);
        if winding {
            let works = Works::of(plan, part);
            solenoid(pen, part, &name, letter, (edge, out), air, works);
        }
        let pilot = if side == 0 { "14" } else { "12" };
        if pilots.iter().any(|p| p == pilot) {
            pilot_port(pen, tag, pilot, edge, out);
        }
    }
    for (k, port) in pilots.iter().filter(|p| !matches!(p.as_str(), "12" | "14")).enumerate() {
        // Pilot supply and drain of an oil valve: dashed, below the boxes, clear of its other ports.
        let x = left + 1.0 + 2.0 * k as f64;
        pen.with(Subject::Port(format!("{tag}:{port}")), |pen| {
            pen.inked(Ink::Pilot, |pen| pen.line(&[(x, 2.0), (x, 3.0)]));
            pen.inked(Ink::Faint, |pen| pen.text(x - 0.25, 2.9, port, 0.6, Align::End));
        });
        pen.anchor(port, x, 3.0, Facing::Down);
    }
    if table.rest == Rest::Detented {
        let x = left;
        pen.line(&[(x, -1.5), (x - 2.2, -1.5)]);
        for notch in [x - 1.7, x - 0.9] {
            pen.line(&[(notch - 0.25, -1.5), (notch, -1.1), (notch + 0.25, -1.5)]);
        }
        pen.line(&[(x - 1.7, -0.6), (x - 1.7, -1.1)]);
    }
}

/// How coils and hands move the first spool of a valve.
#[derive(Clone, Copy)]
struct Works {
    /// Its solenoids pull it.
    pulled: bool,
    handle: Handle,
}

impl Works {
    fn of(plan: &Plan, part: &Part) -> Works {
        let first = part.elements.iter().find_map(|(_, e)| match e {
            Element::Spool(s) => Some(*s),
            _ => None,
        });
        let handle = first.map_or(Handle::None, |s| plan.spools[s.index()].handle);
        let pulled = part.nameplate.iter().any(|(what, how)| what == "solenoids" && how == "pull");
        Works { pulled, handle }
    }
}

fn solenoid(
    pen: &mut Pen,
    part: &Part,
    name: &str,
    letter: &str,
    (edge, out): (f64, f64),
    air: bool,
    works: Works,
) {
    let pilot = part.class == "TwoStageValve"
        || part.elements.iter().any(|(role, _)| role == &format!("pilot {letter}"));
    let (top, foot) = (0.0, 2.0);
    let far = edge + 2.2 * out;
    pen.with(Subject::Coil(name.to_owned()), |pen| {
        pen.rect(edge.min(far), top, edge.max(far), foot);
        // The winding; the line leans towards what it pushes, and away from what it pulls.
        let lean = if works.pulled { -0.3 } else { 0.3 };
        let middle = edge + 1.1 * out;
        pen.line(&[(middle - lean * out, top), (middle + lean * out, foot)]);
    });
    let mut end = far;
    if pilot {
        // Through a pilot: a triangle, open for air.
        let next = far + 1.4 * out;
        pen.rect(far.min(next), top, far.max(next), foot);
        let triangle = [(next - 0.2 * out, 0.5), (next - 0.2 * out, 1.5), (far + 0.2 * out, 1.0)];
        if air {
            pen.outline(&triangle);
        } else {
            pen.solid(&triangle);
        }
        end = next;
    }
    pen.with(Subject::Coil(name.to_owned()), |pen| {
        pen.text(end + 0.55 * out, 0.4, letter, 0.7, Align::Middle);
    });
    manual(pen, end, out, works.handle);
}

/// A manual override: a pin, a ring to pull or a screw, with a notch where it can be made to stay.
fn manual(pen: &mut Pen, end: f64, out: f64, handle: Handle) {
    let tip = end + 0.9 * out;
    match handle {
        Handle::None => return,
        Handle::Pull | Handle::PullLatch => {
            pen.line(&[(end, 1.4), (tip - 0.3 * out, 1.4)]);
            pen.circle(tip, 1.4, 0.3);
        }
        Handle::Turn => {
            pen.line(&[(end, 1.4), (tip - 0.3 * out, 1.4)]);
            pen.circle(tip, 1.4, 0.3);
            pen.line(&[(tip, 1.0), (tip, 1.8)]);
        }
        Handle::Push | Handle::PushLatch => {
            pen.line(&[(end, 1.4), (tip, 1.4)]);
            pen.line(&[(tip, 1.0), (tip, 1.8)]);
        }
    }
    if matches!(handle, Handle::PullLatch | Handle::Turn) {
        let at = end + 0.35 * out;
        pen.line(&[(at - 0.15, 1.4), (at, 1.6), (at + 0.15, 1.4)]);
    }
}

fn pilot_port(pen: &mut Pen, tag: &str, port: &str, edge: f64, out: f64) {
    let far = edge + 1.4 * out;
    pen.rect(edge.min(far), 0.0, edge.max(far), 2.0);
    pen.outline(&[(far - 0.2 * out, 0.5), (far - 0.2 * out, 1.5), (edge + 0.2 * out, 1.0)]);
    // The line follows the slide; it is drawn long enough for its whole way.
    let x = edge + 3.0 * out;
    pen.with(Subject::Port(format!("{tag}:{port}")), |pen| {
        pen.inked(Ink::Pilot, |pen| pen.line(&[(far, 1.0), (x, 1.0)]));
        pen.inked(Ink::Faint, |pen| {
            pen.text(x - 0.8 * out, 0.7, port, 0.6, Align::Middle);
        });
    });
    pen.anchor(port, x, 1.0, if out < 0.0 { Facing::Left } else { Facing::Right });
}
