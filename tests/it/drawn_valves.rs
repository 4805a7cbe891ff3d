//! Directional valves as they are drawn: the box at the ports is the one whose paths are open, wherever the
//! spool stands, and coils stand at the ends.

use std::sync::Arc;

use spoolbench::base::SpoolId;
use spoolbench::drawing::live::{Live, apply};
use spoolbench::drawing::sheet::Area;
use spoolbench::drawing::{Mark, Point, Shape, Sheet, Subject, power};
use spoolbench::fluid::FlowLaw;
use spoolbench::plant::{Drive, Element, Part, Plan, Plant};

use super::drawings::{complain, shipped};
use super::readable::pieces;

/// The flow paths between ports of a valve that a spool drives: the spool, the ports, and how far the path is
/// open with the spool at `x`.
fn driven<'p>(plan: &Plan, part: &'p Part, x: f64) -> Vec<(SpoolId, &'p str, &'p str, f64)> {
    let mut found = Vec::new();
    for (role, element) in &part.elements {
        let (Element::Flow(f), Some((a, b))) = (element, role.split_once('-')) else { continue };
        if let Drive::Spool(spool) = plan.flows[f.index()].drive
            && let FlowLaw::Spool(_, opening) | FlowLaw::SonicSpool(_, opening) =
                &plan.nominal.flows[f.index()]
            && part.port(a).is_some()
            && part.port(b).is_some()
        {
            found.push((spool, a, b, opening.fraction(x).0));
        }
    }
    found
}

fn near(a: Point, b: Point) -> bool {
    (a.x - b.x).abs() < 1e-6 && (a.y - b.y).abs() < 1e-6
}

fn on(p: Point, (a, b): (Point, Point)) -> bool {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let length = (dx * dx + dy * dy).sqrt();
    let across = (p.x - a.x) * dy - (p.y - a.y) * dx;
    let along = (p.x - a.x) * dx + (p.y - a.y) * dy;
    across.abs() < 1e-6 * length.max(1.0) && along > -1e-6 && along < length * length + 1e-6
}

/// Whether lines drawn in the boxes of `tag` lead from `from` to `to`.
fn leads(sheet: &Sheet, tag: &str, from: Point, to: Point) -> bool {
    let open = |m: &&Mark| {
        m.subject == Subject::Spool(tag.to_owned())
            && matches!(m.shape, Shape::Path { closed: false, .. })
    };
    let lines: Vec<(Point, Point)> = sheet.marks.iter().filter(open).flat_map(pieces).collect();
    let mut reached: Vec<Point> = vec![from];
    let mut used = vec![false; lines.len()];
    while let Some(k) = (0..lines.len()).find(|&k| {
        let (a, b) = lines[k];
        !used[k] && reached.iter().any(|p| on(*p, lines[k]) || near(*p, a) || near(*p, b))
    }) {
        used[k] = true;
        reached.extend([lines[k].0, lines[k].1]);
    }
    reached.iter().any(|p| near(*p, to))
}

/// Where a port's line meets the boxes.
fn mouth(sheet: &Sheet, tag: &str, port: &str) -> Option<Point> {
    let subject = Subject::Port(format!("{tag}:{port}"));
    sheet.marks.iter().find_map(|m| match &m.shape {
        Shape::Path { points, closed: false } if m.subject == subject => points.first().copied(),
        _ => None,
    })
}

/// The square boxes of a valve.
fn boxes(sheet: &Sheet, tag: &str) -> Vec<Area> {
    let subject = Subject::Spool(tag.to_owned());
    let marks = sheet.marks.iter().filter(|m| m.subject == subject);
    let areas = marks.filter(|m| matches!(m.shape, Shape::Path { closed: true, .. }));
    let square =
        |a: &Area| (a.right - a.left - 4.0).abs() < 1e-6 && (a.bottom - a.top - 4.0).abs() < 1e-6;
    areas.map(|m| m.shape.area()).filter(square).collect()
}

#[test]
fn the_box_at_the_ports_shows_which_ports_are_joined() {
    let (mut problems, mut checked) = (Vec::new(), 0);
    for (name, bench) in shipped() {
        let plan = &bench.plan;
        let fresh = power::sheet(plan);
        let rest = Live::of(&mut Plant::nominal(Arc::new(plan.clone())));
        for (tag, start) in &rest.spools {
            let part = &plan.parts[plan.part(tag).expect("a valve").index()];
            let Some((spool, ..)) = driven(plan, part, 0.0).first().copied() else { continue };
            // Only directional valves are drawn as boxes that slide.
            if boxes(&fresh, tag).len() < 2 {
                continue;
            }
            let make = &plan.nominal.spools[spool.index()];
            let (least, most) = make.range();
            let mut places = vec![*start, least, most];
            if make.rest == spoolbench::shift::Rest::Centred {
                places.push(0.0);
            }
            for x in places {
                let mut live = rest.clone();
                live.spools.insert(tag.clone(), x);
                let sheet = apply(&fresh, &live);
                let pairs: Vec<(String, String)> = driven(plan, part, x)
                    .into_iter()
                    .filter(|(by, .., open)| *by == spool && *open > 0.5)
                    .map(|(_, a, b, _)| (a.to_owned(), b.to_owned()))
                    .collect();
                let ports: Vec<&String> = part.ports.iter().map(|(p, _)| p).collect();
                // Ports joined to the same port are joined to one another.
                let group = |port: &str| {
                    let mut all = vec![port.to_owned()];
                    loop {
                        let next = pairs.iter().find_map(|(a, b)| {
                            let (has_a, has_b) = (all.contains(a), all.contains(b));
                            (has_a != has_b).then(|| if has_a { b.clone() } else { a.clone() })
                        });
                        let Some(next) = next else { return all };
                        all.push(next);
                    }
                };
                for (k, a) in ports.iter().enumerate() {
                    for b in &ports[k + 1..] {
                        let pilot = |p: &str| matches!(p, "12" | "14" | "X" | "Y" | "L");
                        if pilot(a) || pilot(b) {
                            continue;
                        }
                        let (Some(from), Some(to)) = (mouth(&sheet, tag, a), mouth(&sheet, tag, b))
                        else {
                            problems.push(format!("{name}: {tag} shows no {a} or no {b}"));
                            continue;
                        };
                        checked += 1;
                        let (is, drawn) = (group(a).contains(*b), leads(&sheet, tag, from, to));
                        if is != drawn {
                            problems.push(format!(
                                "{name}: {tag} at {x}: {a}-{b} joined {is}, drawn {drawn}"
                            ));
                        }
                    }
                }
            }
        }
    }
    complain(&problems);
    assert!(checked > 100, "{checked}");
}

#[test]
fn coils_stand_at_the_ends_of_their_valve() {
    let mut checked = 0;
    for (name, bench) in shipped() {
        let sheet = power::sheet(&bench.plan);
        for mark in &sheet.marks {
            let (Subject::Coil(coil), Shape::Path { closed: true, .. }) =
                (&mark.subject, &mark.shape)
            else {
                continue;
            };
            let (tag, end) = coil.rsplit_once('.').expect("a coil of a valve");
            let (area, boxes) = (mark.shape.area(), boxes(&sheet, tag));
            assert!(boxes.len() >= 2, "{name}: {tag} has {} boxes", boxes.len());
            let outside = |b: &Area| match end {
                "a" => area.right <= b.left + 1e-6,
                _ => area.left >= b.right - 1e-6,
            };
            assert!(boxes.iter().all(outside), "{name}: {coil} does not stand at its end");
            checked += 1;
        }
    }
    assert!(checked >= 10, "{checked}");
}
