//! Symbols of the power side by ISO 1219-1. Where a part has two ways through, what lies nearer to the supply
//! is below; a part that is mounted the other way round is drawn upside down.

use crate::base::PistonId;
use crate::plant::{Element, Part, Plan, Tie, Trigger};

use super::super::sheet::{Align, Ink, Motion, Subject, text_width};
use super::pen::{Facing, Glyph, Pen};
use super::valve::directional;

/// The symbol of a part that has ports, and whether it is that of its class or a labelled box.
#[must_use]
pub fn symbol(plan: &Plan, part: &Part) -> (Glyph, bool) {
    let mut pen = Pen::new(Subject::Part(part.tag.clone()));
    let known = draw(&mut pen, plan, part);
    if known {
        return (pen.done(), true);
    }
    if let Some(glyph) = directional(plan, part) {
        return (glyph, true);
    }
    (boxed(part), false)
}

/// A box with the name of the class in it.
fn boxed(part: &Part) -> Glyph {
    let mut pen = Pen::new(Subject::Part(part.tag.clone()));
    let count = part.ports.len().div_ceil(2).max(1) as f64;
    let half = (text_width(part.class, 0.7) / 2.0 + 0.5).max(count + 0.5).ceil();
    pen.rect(-half, -2.0, half, 2.0);
    pen.text(0.0, 0.35, part.class, 0.7, Align::Middle);
    for (k, (port, _)) in part.ports.iter().enumerate() {
        let x = 2.0 * (k / 2) as f64 - (count - 1.0);
        let (y, facing) = if k % 2 == 0 { (3.0, Facing::Down) } else { (-3.0, Facing::Up) };
        lead(&mut pen, part, port, (x, y * 2.0 / 3.0), (x, y), facing);
    }
    pen.done()
}

/// A lead from the symbol to where its line begins.
fn lead(pen: &mut Pen, part: &Part, port: &str, from: (f64, f64), to: (f64, f64), facing: Facing) {
    if part.port(port).is_none() {
        return;
    }
    pen.with(Subject::Port(format!("{}:{port}", part.tag)), |pen| {
        pen.line(&[from, to]);
        let height = 0.55;
        let (x, y, align) = match facing {
            Facing::Up => (to.0 + 0.2, to.1 + 0.7, Align::Start),
            Facing::Down => (to.0 + 0.2, to.1 - 0.1, Align::Start),
            Facing::Left => (to.0 + 0.1, to.1 - 0.2, Align::Start),
            Facing::Right => (to.0 - 0.1, to.1 - 0.2, Align::End),
        };
        pen.inked(Ink::Faint, |pen| pen.text(x, y, port, height, align));
    });
    pen.anchor(port, to.0, to.1, facing);
}

fn dashed_lead(pen: &mut Pen, part: &Part, port: &str, points: &[(f64, f64)], facing: Facing) {
    let [.., before, end] = points else { return };
    pen.inked(Ink::Pilot, |pen| {
        if points.len() > 2 && part.port(port).is_some() {
            pen.line(&points[..points.len() - 1]);
        }
        lead(pen, part, port, *before, *end, facing);
    });
}

/// First and second port of a part, by the names that oil and air have for them.
fn pair<'p>(part: &Part, names: &[(&'p str, &'p str)]) -> (&'p str, &'p str) {
    names
        .iter()
        .find(|(a, b)| part.port(a).is_some() && part.port(b).is_some())
        .copied()
        .unwrap_or(("A", "B"))
}

fn through(part: &Part) -> (&'static str, &'static str) {
    pair(part, &[("A", "B"), ("1", "2"), ("P", "A"), ("P", "B")])
}

/// Leads of a part from below to above.
fn upright(pen: &mut Pen, part: &Part, half: f64, end: f64) {
    let (a, b) = through(part);
    lead(pen, part, a, (0.0, half), (0.0, end), Facing::Down);
    lead(pen, part, b, (0.0, -half), (0.0, -end), Facing::Up);
}

fn draw(pen: &mut Pen, plan: &Plan, part: &Part) -> bool {
    match part.class {
        "Tank" => {
            tank(pen, 2.0);
            lead(pen, part, "T", (0.0, 0.4), (0.0, -2.0), Facing::Up);
        }
        "Pump" | "VariablePump" => pump(pen, plan, part),
        "HydraulicMotor" => motor(pen, part),
        "FlowTransducer" => flow_transducer(pen, part),
        "Cylinder" | "AirCylinder" => cylinder(pen, plan, part),
        "StopValve" => {
            // Two triangles, tip to tip, filled where it is shut at the start.
            let says = |what: &str| part.nameplate.iter().find(|(name, _)| name == what);
            let shut = says("open at the start").is_some_and(|(_, how)| how == "no");
            for end in [-1.0, 1.0] {
                let half = [(-0.7, end), (0.7, end), (0.0, 0.0)];
                if shut { pen.solid(&half) } else { pen.outline(&half) }
            }
            pen.line(&[(0.0, 0.0), (1.2, 0.0)]);
            pen.line(&[(1.2, -0.5), (1.2, 0.5)]);
            upright(pen, part, 1.0, 2.0);
        }
        "Accumulator" => {
            capsule(pen, 1.5, 3.0);
            pen.line(&[(-1.5, -0.3), (1.5, -0.3)]);
            if part.nameplate.iter().any(|(what, is)| what == "separator" && is == "piston") {
                // A piston is drawn with both of its faces.
                pen.line(&[(-1.5, 0.3), (1.5, 0.3)]);
            }
            pen.outline(&[(-0.6, -1.9), (0.6, -1.9), (0.0, -0.9)]);
            lead(pen, part, "P", (0.0, 3.0), (0.0, 4.0), Facing::Down);
        }
        "Receiver" => {
            pen.line(&[(-2.0, -1.5), (2.0, -1.5)]);
            pen.line(&[(-2.0, 1.5), (2.0, 1.5)]);
            pen.arc(-2.0, 0.0, 1.5, 90.0, 180.0);
            pen.arc(2.0, 0.0, 1.5, -90.0, 180.0);
            lead(pen, part, "1", (0.0, 1.5), (0.0, 3.0), Facing::Down);
        }
        "Relief" | "PilotRelief" | "Unloading" => relief(pen, part),
        "Reducing" => reducing(pen, part),
        "Sequence" => sequence(pen, part),
        "Counterbalance" => counterbalance(pen, part),
        "Check" => {
            check(pen, 0.0, 0.0, true);
            upright(pen, part, 1.0, 2.0);
        }
        "PilotCheck" => {
            check(pen, 0.0, 0.0, true);
            pen.inked(Ink::Outline, |pen| pen.rect(-2.0, -2.0, 2.0, 2.0));
            upright(pen, part, 1.0, 3.0);
            dashed_lead(
                pen,
                part,
                "X",
                &[(-0.55, 0.4), (-2.0, 0.4), (-2.0, 1.0), (-3.0, 1.0)],
                Facing::Left,
            );
        }
        "Throttle" => {
            throttle(pen, 0.0, 0.0);
            upright(pen, part, 0.0, 2.0);
        }
        "ThrottleCheck" | "FlowControl" => throttle_check(pen, part),
        "FlowRegulator" => {
            pen.rect(-2.0, -2.0, 2.0, 2.0);
            throttle(pen, 0.0, 0.0);
            pen.arrow((1.5, 1.5), (1.5, -1.5));
            upright(pen, part, 0.0, 3.0);
        }
        "SoftStart" => {
            pen.rect(-2.0, -2.0, 2.0, 2.0);
            throttle(pen, -0.8, 0.0);
            pen.arrow((1.2, 1.6), (1.2, -1.6));
            upright(pen, part, 2.0, 3.0);
            pen.inked(Ink::Pilot, |pen| {
                pen.line(&[(0.0, -2.6), (-2.6, -2.6), (-2.6, 0.0), (-2.0, 0.0)]);
            });
            pen.line(&[(-0.8, 2.0), (-0.8, 1.6)]);
        }
        "Shuttle" | "OilShuttle" => shuttle(pen, part),
        "QuickExhaust" => quick_exhaust(pen, part),
        "Regulator" => service_unit(pen, part),
        "AirSupply" => {
            pen.circle(0.0, 0.0, 1.0);
            pen.outline(&[(0.0, -0.9), (0.7, 0.4), (-0.7, 0.4)]);
            lead(pen, part, "2", (0.0, -1.0), (0.0, -2.0), Facing::Up);
        }
        "Silencer" => {
            pen.rect(-1.0, 0.0, 1.0, 1.4);
            for x in [-0.5, 0.0, 0.5] {
                pen.line(&[(x, 0.3), (x, 1.1)]);
            }
            pen.outline(&[(-0.5, 1.7), (0.5, 1.7), (0.0, 2.5)]);
            lead(pen, part, "1", (0.0, 0.0), (0.0, -1.0), Facing::Up);
        }
        "Tube" | "Hose" => {
            pen.dot(0.0, 1.5, 0.22);
            pen.dot(0.0, -1.5, 0.22);
            pen.arc(-1.6, 0.0, 2.193, -43.15, 86.3);
            upright(pen, part, 1.5, 3.0);
        }
        "Filter" | "Strainer" => {
            diamond(pen, 0.0, 1.6);
            upright(pen, part, 1.6, 4.0);
            if part.class == "Filter"
                && part.elements.iter().any(|(role, _)| role.contains("bypass"))
            {
                check(pen, 3.0, 0.0, true);
                pen.line(&[(0.0, 2.4), (3.0, 2.4), (3.0, 1.0)]);
                pen.line(&[(0.0, -2.4), (3.0, -2.4), (3.0, -1.0)]);
            }
        }
        "Cooler" => {
            let r = 1.6;
            pen.outline(&[(0.0, -r), (r, 0.0), (0.0, r), (-r, 0.0)]);
            pen.arrow((0.4, 0.0), (2.2, 0.0));
            pen.arrow((-0.4, 0.0), (-2.2, 0.0));
            upright(pen, part, 1.6, 3.0);
        }
        "PressureSwitch" | "VacuumSwitch" => pressure_switch(pen, part),
        "VacuumEjector" => ejector(pen, part),
        "SuctionCup" => {
            pen.line(&[(-1.6, -1.2), (-0.6, 0.4), (0.6, 0.4), (1.6, -1.2)]);
            pen.line(&[(-2.0, -1.5), (-1.6, -1.2)]);
            pen.line(&[(2.0, -1.5), (1.6, -1.2)]);
            lead(pen, part, "1", (0.0, 0.4), (0.0, 2.0), Facing::Down);
        }
        _ => return false,
    }
    true
}

fn tank(pen: &mut Pen, half: f64) {
    pen.line(&[(-half, -1.0), (-half, 1.0), (half, 1.0), (half, -1.0)]);
}

/// A small tank at the end of a return line, for port `port`: the same tank again.
#[must_use]
pub fn tank_again(tag: &str, port: &str) -> Glyph {
    let mut pen = Pen::new(Subject::Part(tag.to_owned()));
    pen.line(&[(-0.8, 0.2), (-0.8, 1.2), (0.8, 1.2), (0.8, 0.2)]);
    pen.line(&[(0.0, 0.0), (0.0, 0.8)]);
    pen.anchor(port, 0.0, 0.0, Facing::Up);
    pen.done()
}

/// Where a port stands open to the air.
#[must_use]
pub fn exhaust(tag: &str, port: &str) -> Glyph {
    let mut pen = Pen::new(Subject::Port(format!("{tag}:{port}")));
    // Clear of the marking of its port.
    pen.line(&[(0.0, 0.0), (0.0, 0.4)]);
    pen.outline(&[(-0.4, 0.4), (0.4, 0.4), (0.0, 1.2)]);
    pen.anchor(port, 0.0, 0.0, Facing::Up);
    pen.done()
}

/// A plug on a port.
#[must_use]
pub fn plug(tag: &str, port: &str) -> Glyph {
    let mut pen = Pen::new(Subject::Port(format!("{tag}:{port}")));
    pen.line(&[(-0.35, 0.05), (0.35, 0.75)]);
    pen.line(&[(-0.35, 0.75), (0.35, 0.05)]);
    pen.line(&[(0.0, 0.0), (0.0, 0.4)]);
    pen.anchor(port, 0.0, 0.0, Facing::Up);
    pen.done()
}

/// A measuring point.
#[must_use]
pub fn test_point(name: &str) -> Glyph {
    let mut pen = Pen::new(Subject::TestPoint(name.to_owned()));
    pen.line(&[(0.0, 1.0), (0.0, 0.0)]);
    pen.line(&[(-0.4, -0.4), (0.4, 0.4)]);
    pen.line(&[(-0.4, 0.4), (0.4, -0.4)]);
    pen.text(0.7, 0.35, name, 0.8, Align::Start);
    pen.anchor(name, 0.0, 1.0, Facing::Down);
    pen.done()
}

fn capsule(pen: &mut Pen, half: f64, high: f64) {
    let y = high - half;
    pen.line(&[(-half, -y), (-half, y)]);
    pen.line(&[(half, -y), (half, y)]);
    pen.arc(0.0, -y, half, 180.0, 180.0);
    pen.arc(0.0, y, half, 0.0, 180.0);
}

fn shaft(pen: &mut Pen, from: f64, to: f64) {
    pen.line(&[(from, -0.2), (to, -0.2)]);
    pen.line(&[(from, 0.2), (to, 0.2)]);
}

fn pump(pen: &mut Pen, plan: &Plan, part: &Part) {
    pen.circle(0.0, 0.0, 3.0);
    pen.solid(&[(0.0, -3.0), (0.9, -1.6), (-0.9, -1.6)]);
    shaft(pen, 3.0, 5.0);
    // The way it turns.
    pen.arc(4.0, 0.0, 0.9, 130.0, 140.0);
    pen.head((3.3, -1.0), (4.35, -0.9));
    pen.circle(7.0, 0.0, 2.0);
    pen.text(7.0, 0.5, "M", 1.0, Align::Middle);
    if part.class == "VariablePump" {
        pen.arrow((-2.9, 2.9), (2.9, -2.9));
        pen.inked(Ink::Pilot, |pen| {
            pen.line(&[(0.0, -3.4), (-4.0, -3.4), (-4.0, 2.9), (-2.9, 2.9)]);
        });
    }
    lead(pen, part, "S", (0.0, 3.0), (0.0, 4.0), Facing::Down);
    lead(pen, part, "P", (0.0, -3.0), (0.0, -4.0), Facing::Up);
    dashed_lead(pen, part, "L", &[(2.0, 2.24), (2.0, 4.0)], Facing::Down);
    // What switches the motor on.
    for (_, element) in &part.elements {
        if let Element::Pump(p) = element {
            for (k, operator) in plan.pumps[p.index()].run_by.iter().enumerate() {
                let name = &plan.operators[operator.index()].name;
                pen.with(Subject::Part(name.clone()), |pen| {
                    pen.inked(Ink::Faint, |pen| {
                        pen.text(9.4, 0.3 + 1.1 * k as f64, name, 0.7, Align::Start);
                    });
                });
            }
        }
    }
}

fn motor(pen: &mut Pen, part: &Part) {
    pen.circle(0.0, 0.0, 3.0);
    pen.solid(&[(-1.6, 0.0), (-3.0, -0.9), (-3.0, 0.9)]);
    pen.solid(&[(1.6, 0.0), (3.0, -0.9), (3.0, 0.9)]);
    pen.line(&[(-0.2, -3.0), (-0.2, -4.6)]);
    pen.line(&[(0.2, -3.0), (0.2, -4.6)]);
    pen.arc(0.0, -3.8, 0.9, 200.0, 140.0);
    pen.inked(Ink::Conductor, |pen| pen.line(&[(-3.0, 0.0), (-4.0, 0.0)]));
    lead(pen, part, "A", (-4.0, 0.0), (-4.0, 4.0), Facing::Down);
    pen.line(&[(3.0, 0.0), (4.0, 0.0)]);
    lead(pen, part, "B", (4.0, 0.0), (4.0, 4.0), Facing::Down);
    dashed_lead(pen, part, "L", &[(0.0, 3.0), (0.0, 4.0)], Facing::Down);
}

/// A flowmeter: a circle with a constriction, and the signal that it gives (ISO 1219-1, from memory).
fn flow_transducer(pen: &mut Pen, part: &Part) {
    pen.circle(0.0, 0.0, 2.0);
    pen.arc(-1.2, 0.0, 0.9, -60.0, 120.0);
    pen.arc(1.2, 0.0, 0.9, 120.0, 120.0);
    pen.inked(Ink::Conductor, |pen| pen.line(&[(2.0, 0.0), (3.0, 0.0)]));
    upright(pen, part, 2.0, 3.0);
}

/// Left edge of the piston when in, and its way out, and the tip of the rod when in [modules].
const PISTON: (f64, f64, f64) = (-3.7, 6.4, 5.2);

fn cylinder(pen: &mut Pen, plan: &Plan, part: &Part) {
    let piston = part.elements.iter().find_map(|(_, e)| match e {
        Element::Piston(p) => Some(*p),
        _ => None,
    });
    let stroke =
        piston.map_or(1.0, |p| plan.nominal.pistons[p.index()].stroke_m).max(f64::MIN_POSITIVE);
    let start = piston.map_or(0.0, |p| plan.pistons[p.index()].initially_m / stroke);
    let (left, travel, tip) = PISTON;
    pen.rect(-4.0, -1.5, 4.0, 1.5);
    let by = travel * start;
    let subject = Subject::Piston(part.tag.clone());
    pen.with(subject.clone(), |pen| {
        pen.rect(left + by, -1.5, left + 0.9 + by, 1.5);
        pen.line(&[
            (left + 0.9 + by, -0.4),
            (tip + by, -0.4),
            (tip + by, 0.4),
            (left + 0.9 + by, 0.4),
        ]);
    });
    pen.motion(Motion { subject, drawn_at: start, dx: travel, dy: 0.0 });
    pen.reserve(-4.0, -1.5, tip + travel, 1.5);
    let exhausts = plan.volumes.iter().position(|v| v.name == "air");
    let open = part.port("B").is_some_and(|v| Some(v.index()) == exhausts);
    if open {
        // Single acting: the spring that brings it back.
        for side in [-1.0, 1.0] {
            pen.line(&[
                (0.8, 0.45 * side),
                (1.2, 1.4 * side),
                (1.8, 0.45 * side),
                (2.4, 1.4 * side),
                (3.0, 0.45 * side),
                (3.6, 1.4 * side),
                (4.0, 0.45 * side),
            ]);
        }
    }
    if let Some(piston) = piston {
        switches(pen, plan, piston, stroke);
    }
    let end = pen.body().bottom.ceil().max(3.0);
    lead(pen, part, "A", (-3.0, 1.5), (-3.0, end), Facing::Down);
    lead(pen, part, "B", (3.0, 1.5), (3.0, end), Facing::Down);
}

/// The switches that the rod works.
fn switches(pen: &mut Pen, plan: &Plan, piston: PistonId, stroke: f64) {
    let (_, travel, tip) = PISTON;
    // Switches on the way of the rod's tip, below it.
    let mut taken: Vec<f64> = Vec::new();
    for (k, operator) in plan.operators.iter().enumerate() {
        let Trigger::Cam { from_m, to_m, .. } = plan.nominal.operators[k].trigger else { continue };
        if operator.tie != Tie::Piston(piston) || operator.contacts.is_empty() {
            continue;
        }
        let at = (from_m.max(0.0) + to_m.min(stroke)) / 2.0;
        let x = tip + travel * (at / stroke).clamp(0.0, 1.0);
        let half = text_width(&operator.name, 0.8) / 2.0 + 0.2;
        // Clear of its neighbours, one row further down for each.
        let row = taken.iter().filter(|other| (x - **other).abs() < 2.0 * half).count() as f64;
        taken.push(x);
        let end = 1.8 + 1.3 * row;
        pen.with(Subject::Part(operator.name.clone()), |pen| {
            pen.line(&[(x, 0.7), (x, 1.8)]);
            pen.text(x, end + 1.1, &operator.name, 0.8, Align::Middle);
        });
        pen.reserve(x - half, 0.0, x + half, end + 1.4);
    }
}

fn spring(pen: &mut Pen, from: f64, y: f64, to: f64) {
    let step = (to - from) / 6.0;
    let mut points = vec![(from, y)];
    for k in 1..6 {
        points.push((from + step * f64::from(k), y + if k % 2 == 1 { -0.6 } else { 0.6 }));
    }
    points.push((to, y));
    pen.line(&points);
}

fn adjusting_spring(pen: &mut Pen) {
    spring(pen, 2.0, 0.0, 4.0);
    pen.arrow((2.4, 1.1), (3.8, -1.1));
}

fn relief(pen: &mut Pen, part: &Part) {
    pen.rect(-2.0, -2.0, 2.0, 2.0);
    pen.arrow((-0.8, -2.0), (-0.8, 2.0));
    adjusting_spring(pen);
    // The check of an unloading valve stands higher.
    let top = if part.class == "Unloading" { -4.0 } else { -3.0 };
    lead(pen, part, "P", (0.0, -2.0), (0.0, top), Facing::Up);
    lead(pen, part, "T", (0.0, 2.0), (0.0, 3.0), Facing::Down);
    match part.class {
        "Unloading" => {
            // Pilot from the accumulator's side, and the check that keeps it charged.
            pen.inked(Ink::Pilot, |pen| pen.line(&[(-2.0, 0.0), (-6.0, 0.0), (-6.0, -2.6)]));
            pen.line(&[(0.0, -2.6), (-2.4, -2.6)]);
            pen.line(&[(-2.4, -2.6), (-3.2, -3.3), (-3.2, -1.9), (-2.4, -2.6)]);
            pen.circle(-3.6, -2.6, 0.45);
            pen.line(&[(-4.05, -2.6), (-6.0, -2.6)]);
            lead(pen, part, "A", (-6.0, -2.6), (-6.0, -4.0), Facing::Up);
        }
        _ => pen.inked(Ink::Pilot, |pen| {
            pen.line(&[(0.0, -2.6), (-2.8, -2.6), (-2.8, 0.0), (-2.0, 0.0)]);
        }),
    }
    if part.class == "PilotRelief" {
        pen.solid(&[(2.0, -1.9), (2.0, -1.1), (2.7, -1.5)]);
        dashed_lead(
            pen,
            part,
            "X",
            &[(2.7, -1.5), (3.4, -1.5), (3.4, -2.0), (5.0, -2.0)],
            Facing::Right,
        );
    }
}

fn reducing(pen: &mut Pen, part: &Part) {
    pen.rect(-2.0, -2.0, 2.0, 2.0);
    pen.arrow((-1.0, 2.0), (-1.0, -2.0));
    adjusting_spring(pen);
    pen.inked(Ink::Pilot, |pen| {
        pen.line(&[(-1.0, -2.6), (-2.8, -2.6), (-2.8, 0.0), (-2.0, 0.0)]);
    });
    lead(pen, part, "P", (-1.0, 2.0), (-1.0, 3.0), Facing::Down);
    lead(pen, part, "A", (-1.0, -2.0), (-1.0, -3.0), Facing::Up);
    lead(pen, part, "T", (1.0, 2.0), (1.0, 3.0), Facing::Down);
}

fn sequence(pen: &mut Pen, part: &Part) {
    pen.rect(-2.0, -2.0, 2.0, 2.0);
    pen.arrow((-0.8, 2.0), (-0.8, -2.0));
    adjusting_spring(pen);
    if part.port("X").is_none() {
        pen.inked(Ink::Pilot, |pen| {
            pen.line(&[(0.0, 2.6), (-2.8, 2.6), (-2.8, 0.0), (-2.0, 0.0)]);
        });
    }
    dashed_lead(pen, part, "X", &[(-2.0, 0.0), (-4.0, 0.0)], Facing::Left);
    dashed_lead(pen, part, "Y", &[(2.0, 1.4), (3.0, 1.4), (3.0, 3.0)], Facing::Down);
    lead(pen, part, "P", (0.0, 2.0), (0.0, 3.0), Facing::Down);
    lead(pen, part, "A", (0.0, -2.0), (0.0, -3.0), Facing::Up);
}

fn counterbalance(pen: &mut Pen, part: &Part) {
    pen.rect(-2.0, -2.0, 2.0, 2.0);
    pen.arrow((-0.8, -2.0), (-0.8, 2.0));
    adjusting_spring(pen);
    pen.inked(Ink::Pilot, |pen| {
        pen.line(&[(0.0, -2.8), (-2.8, -2.8), (-2.8, -0.7), (-2.0, -0.7)]);
    });
    dashed_lead(pen, part, "X", &[(-2.0, 1.0), (-5.0, 1.0)], Facing::Left);
    check(pen, 5.5, 0.0, true);
    pen.line(&[(0.0, 2.8), (5.5, 2.8), (5.5, 1.0)]);
    pen.line(&[(0.0, -2.8), (5.5, -2.8), (5.5, -1.0)]);
    pen.inked(Ink::Frame, |pen| pen.rect(-3.4, -3.2, 6.6, 3.2));
    lead(pen, part, "A", (0.0, 2.0), (0.0, 5.0), Facing::Down);
    lead(pen, part, "B", (0.0, -2.0), (0.0, -5.0), Facing::Up);
}

/// A check between (x, y + 1) and (x, y - 1), free upwards or downwards.
fn check(pen: &mut Pen, x: f64, y: f64, free_up: bool) {
    let s = if free_up { 1.0 } else { -1.0 };
    pen.line(&[(x, y + s), (x, y + 0.75 * s)]);
    pen.line(&[(x - 0.8, y - 0.05 * s), (x, y + 0.75 * s), (x + 0.8, y - 0.05 * s)]);
    pen.circle(x, y - 0.05 * s, 0.5);
    pen.line(&[(x, y - 0.55 * s), (x, y - s)]);
}

fn throttle(pen: &mut Pen, x: f64, y: f64) {
    pen.arc(x - 1.5, y, 1.2, -50.0, 100.0);
    pen.arc(x + 1.5, y, 1.2, 130.0, 100.0);
    pen.arrow((x - 1.5, y + 1.5), (x + 1.5, y - 1.5));
    pen.line(&[(x, y + 1.6), (x, y - 1.6)]);
}

fn throttle_check(pen: &mut Pen, part: &Part) {
    throttle(pen, 0.0, 0.0);
    check(pen, 3.0, 0.0, false);
    pen.line(&[(0.0, 1.6), (0.0, 2.2), (3.0, 2.2), (3.0, 1.0)]);
    pen.line(&[(0.0, -1.6), (0.0, -2.2), (3.0, -2.2), (3.0, -1.0)]);
    pen.inked(Ink::Frame, |pen| pen.rect(-2.0, -2.7, 4.3, 2.7));
    upright(pen, part, 2.2, 4.0);
}

fn shuttle(pen: &mut Pen, part: &Part) {
    let (a, b, out) = if part.port("C").is_some() { ("A", "B", "C") } else { ("1", "1b", "2") };
    pen.rect(-3.0, -1.0, 3.0, 1.0);
    pen.line(&[(-1.2, -0.8), (-2.0, 0.0), (-1.2, 0.8)]);
    pen.line(&[(1.2, -0.8), (2.0, 0.0), (1.2, 0.8)]);
    pen.circle(-1.2, 0.0, 0.5);
    pen.line(&[(-3.0, 0.0), (-2.0, 0.0)]);
    pen.line(&[(3.0, 0.0), (2.0, 0.0)]);
    pen.line(&[(-3.0, 0.0), (-4.0, 0.0)]);
    pen.line(&[(3.0, 0.0), (4.0, 0.0)]);
    lead(pen, part, a, (-4.0, 0.0), (-4.0, 2.0), Facing::Down);
    lead(pen, part, b, (4.0, 0.0), (4.0, 2.0), Facing::Down);
    lead(pen, part, out, (0.0, -1.0), (0.0, -2.0), Facing::Up);
}

fn quick_exhaust(pen: &mut Pen, part: &Part) {
    pen.rect(-2.0, -2.0, 2.0, 2.0);
    pen.line(&[(-0.8, 0.4), (0.0, 1.2), (0.8, 0.4)]);
    pen.circle(0.0, 0.4, 0.5);
    pen.line(&[(0.0, 1.2), (0.0, 2.0)]);
    pen.line(&[(0.0, -2.0), (0.0, -1.2), (1.4, -1.2), (1.4, 0.0), (2.0, 0.0)]);
    pen.inked(Ink::Pilot, |pen| pen.line(&[(0.0, 1.6), (-1.6, 1.6), (-1.6, -1.2), (0.0, -1.2)]));
    lead(pen, part, "1", (0.0, 2.0), (0.0, 3.0), Facing::Down);
    lead(pen, part, "2", (0.0, -2.0), (0.0, -3.0), Facing::Up);
    pen.line(&[(2.0, 0.0), (3.0, 0.0)]);
    lead(pen, part, "3", (3.0, 0.0), (3.0, 3.0), Facing::Down);
}

fn diamond(pen: &mut Pen, y: f64, r: f64) {
    pen.outline(&[(0.0, y - r), (r, y), (0.0, y + r), (-r, y)]);
    pen.inked(Ink::Pilot, |pen| pen.line(&[(-r, y), (r, y)]));
}

fn service_unit(pen: &mut Pen, part: &Part) {
    diamond(pen, 2.8, 1.6);
    pen.line(&[(0.0, 1.2), (0.0, 0.0)]);
    pen.rect(-1.5, -3.0, 1.5, 0.0);
    pen.arrow((0.0, 0.0), (0.0, -3.0));
    spring(pen, 1.5, -1.5, 3.2);
    pen.arrow((1.8, -0.5), (3.1, -2.5));
    pen.inked(Ink::Pilot, |pen| {
        pen.line(&[(0.0, -3.6), (-2.2, -3.6), (-2.2, -1.5), (-1.5, -1.5)]);
    });
    pen.line(&[(0.0, -3.0), (0.0, -4.4)]);
    pen.inked(Ink::Frame, |pen| pen.rect(-3.0, -4.4, 3.8, 4.9));
    upright(pen, part, 4.4, 6.0);
}

fn pressure_switch(pen: &mut Pen, part: &Part) {
    pen.rect(-1.5, -1.5, 1.5, 1.5);
    // A contact in a box on a pilot line.
    pen.line(&[(-0.9, 0.4), (-0.3, 0.4), (0.5, -0.4)]);
    pen.line(&[(0.4, 0.4), (0.9, 0.4)]);
    spring(pen, 1.5, 0.0, 2.9);
    lead(pen, part, "P", (0.0, 1.5), (0.0, 3.0), Facing::Down);
}

fn ejector(pen: &mut Pen, part: &Part) {
    pen.rect(-2.0, -2.0, 2.0, 2.0);
    pen.line(&[(-2.0, 1.0), (-0.9, 1.0)]);
    pen.outline(&[(-0.9, 0.4), (-0.9, 1.6), (0.2, 1.0)]);
    pen.line(&[(0.2, 1.6), (2.0, 1.3)]);
    pen.line(&[(0.2, 0.4), (2.0, 0.7)]);
    pen.line(&[(2.0, 1.0), (2.6, 1.0)]);
    pen.outline(&[(2.6, 0.4), (2.6, 1.6), (3.5, 1.0)]);
    pen.line(&[(0.0, -2.0), (0.0, 0.6)]);
    pen.line(&[(-2.0, 1.0), (-3.0, 1.0)]);
    lead(pen, part, "1", (-3.0, 1.0), (-3.0, 3.0), Facing::Down);
    lead(pen, part, "2", (0.0, -2.0), (0.0, -3.0), Facing::Up);
}
