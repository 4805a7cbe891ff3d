//! Rough sheets, for what the drawing room does not draw yet.

use crate::drawing::{Align, Ink, Mark, Point, Shape, Sheet, Subject};
use crate::plant::Plan;

fn put(sheet: &mut Sheet, shape: Shape, ink: Ink, subject: Subject) {
    sheet.marks.push(Mark { shape, ink, subject, shown: true, weight: 1.0 });
}

/// Boxes with terminals (or ports), straight lines between them.
pub fn sheet(plan: &Plan, control: bool) -> Sheet {
    let mut sheet = Sheet { width: 62.0, height: 10.0, ..Sheet::default() };
    let mut places = std::collections::BTreeMap::new();
    let parts = plan.parts.iter().filter(|p| {
        p.class != "Wire" && if control { !p.terminals.is_empty() } else { !p.ports.is_empty() }
    });
    for (k, part) in parts.enumerate() {
        let (x, y) = (2.0 + 12.0 * (k % 5) as f64, 3.0 + 9.0 * (k / 5) as f64);
        let corner = |dx: f64, dy: f64| Point { x: x + dx, y: y + dy };
        let points = vec![corner(0.0, 0.0), corner(9.0, 0.0), corner(9.0, 4.0), corner(0.0, 4.0)];
        let subject = Subject::Part(part.tag.clone());
        put(&mut sheet, Shape::Path { points, closed: true }, Ink::Outline, subject.clone());
        let text = part.tag.clone();
        let label = Shape::Text { at: corner(4.5, 2.6), text, height: 1.2, align: Align::Middle };
        put(&mut sheet, label, Ink::Outline, subject);
        let names: Vec<&String> = if control {
            part.terminals.iter().map(|t| &t.0).collect()
        } else {
            part.ports.iter().map(|t| &t.0).collect()
        };
        for (n, name) in names.into_iter().enumerate() {
            let at = corner(1.0 + 2.2 * (n / 2) as f64, if n % 2 == 0 { 0.0 } else { 4.0 });
            let full = format!("{}:{name}", part.tag);
            places.insert(full.clone(), at);
            let subject = if control { Subject::Terminal(full) } else { Subject::Port(full) };
            put(&mut sheet, Shape::Circle { centre: at, radius: 0.3 }, Ink::Solid, subject.clone());
            let foot = Point { x: at.x, y: if n % 2 == 0 { at.y - 0.6 } else { at.y + 1.5 } };
            let text = name.clone();
            let label = Shape::Text { at: foot, text, height: 0.8, align: Align::Middle };
            put(&mut sheet, label, Ink::Faint, subject);
        }
        sheet.height = y + 8.0;
    }
    for part in plan.parts.iter().filter(|p| control && p.class == "Wire") {
        let mut ends = part.title.split([' ', '-']).filter_map(|w| places.get(w)).copied();
        if let (Some(a), Some(b)) = (ends.next(), ends.next()) {
            let shape = Shape::Path { points: vec![a, b], closed: false };
            put(&mut sheet, shape, Ink::Conductor, Subject::Wire(part.tag.clone()));
        }
    }
    sheet
}
