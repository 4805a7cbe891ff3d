//! A valve cut open: armatures, springs, spool and passages where they truly are.

use bevy_egui::egui::{
    Align2, CornerRadius, FontId, Rect, Sense, Shape, Stroke, StrokeKind, Ui, pos2, vec2,
};

use crate::base::SpoolId;
use crate::drawing::live::Live;
use crate::fluid::FlowLaw;
use crate::language::Phrase;
use crate::plant::{Element, Plan};
use crate::report::Reader;
use crate::shift::Rest;

use super::paper::Inks;

/// One passage between two ports, and how far it is open [1].
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// Port it begins at.
    pub from: String,
    /// Port it ends at.
    pub to: String,
    /// How far it is open [1].
    pub open: f64,
}

/// The spool of the valve `tag`.
#[must_use]
pub fn spool_of(plan: &Plan, tag: &str) -> Option<SpoolId> {
    let part = &plan.parts[plan.part(tag)?.index()];
    part.elements.iter().find_map(|(_, e)| match e {
        Element::Spool(s) => Some(*s),
        _ => None,
    })
}

/// The passages of the valve `tag` with its spool at `x` [1].
#[must_use]
pub fn passages(plan: &Plan, tag: &str, x: f64) -> Vec<Passage> {
    let Some(id) = plan.part(tag) else { return Vec::new() };
    let part = &plan.parts[id.index()];
    let mut found = Vec::new();
    for (role, element) in &part.elements {
        let Element::Flow(f) = element else { continue };
        let (FlowLaw::Spool(_, opening) | FlowLaw::SonicSpool(_, opening)) =
            &plan.nominal.flows[f.index()]
        else {
            continue;
        };
        // The paths of a pilot are no passages between ports.
        if let Some((from, to)) = role.split_once('-')
            && part.port(from).is_some()
            && part.port(to).is_some()
        {
            let open = opening.fraction(x).0.clamp(0.0, 1.0);
            found.push(Passage { from: from.to_owned(), to: to.to_owned(), open });
        }
    }
    found
}

/// Draws the valve `tag` cut open.
#[allow(clippy::too_many_arguments)] // One call a frame, each argument a different thing.
pub fn show(
    ui: &mut Ui,
    reader: &Reader,
    plan: &Plan,
    tag: &str,
    live: &Live,
    inks: &Inks,
    scale: f32,
) {
    let (Some(spool), Some(x)) = (spool_of(plan, tag), live.spools.get(tag)) else {
        ui.label(reader.say("window-inside-unknown"));
        return;
    };
    let make = plan.nominal.spools[spool.index()];
    let size = vec2(520.0, 240.0) * scale.min(1.5);
    let (response, painter) = ui.allocate_painter(size, Sense::hover());
    let zone = response.rect;
    painter.rect_filled(zone, CornerRadius::ZERO, inks.paper);
    let ink = Stroke::new(1.6, inks.ink);
    let font = FontId::proportional(12.0 * scale);
    let at = |u: f32, v: f32| pos2(zone.left() + u * zone.width(), zone.top() + v * zone.height());
    let block = |from: (f32, f32), to: (f32, f32), fill| {
        let rect = Rect::from_two_pos(at(from.0, from.1), at(to.0, to.1));
        painter.rect(rect, CornerRadius::ZERO, fill, ink, StrokeKind::Inside);
        rect
    };
    let hatch = inks.faint.gamma_multiply(0.4);
    // The body with its bore.
    block((0.27, 0.22), (0.73, 0.80), hatch);
    block((0.22, 0.42), (0.78, 0.58), inks.paper);
    let x = *x as f32;
    let travel = 0.028;
    let shift = x * travel;
    // Ports: working ports above, the others below.
    let part = plan.part(tag).map(|id| &plan.parts[id.index()]);
    let ports: Vec<String> =
        part.map(|p| p.ports.iter().map(|q| q.0.clone()).collect()).unwrap_or_default();
    let above = |p: &str| matches!(p, "A" | "B" | "2" | "4");
    let upper: Vec<&String> = ports.iter().filter(|p| above(p)).collect();
    let lower: Vec<&String> = ports.iter().filter(|p| !above(p)).collect();
    let place = |name: &str| -> Option<(f32, bool)> {
        let spread = |k: usize, n: usize| 0.27 + 0.46 * (k as f32 + 1.0) / (n as f32 + 1.0);
        upper.iter().position(|p| *p == name).map(|k| (spread(k, upper.len()), true)).or_else(
            || lower.iter().position(|p| *p == name).map(|k| (spread(k, lower.len()), false)),
        )
    };
    for name in &ports {
        let Some((u, up)) = place(name) else { continue };
        let (from, to) = if up { (0.10, 0.42) } else { (0.58, 0.90) };
        block((u - 0.02, from), (u + 0.02, to), inks.paper);
        let foot = at(u, if up { 0.05 } else { 0.95 });
        painter.text(foot, Align2::CENTER_CENTER, name, font.clone(), inks.ink);
    }
    // The spool: a land over every port that no open passage uses.
    let list = passages(plan, tag, f64::from(x));
    painter
        .line_segment([at(0.20 + shift, 0.5), at(0.80 + shift, 0.5)], Stroke::new(6.0, inks.ink));
    for name in &ports {
        let Some((u, _)) = place(name) else { continue };
        let used = list.iter().any(|p| p.open > 0.05 && (p.from == *name || p.to == *name));
        if !used {
            let land = (u - 0.032 + shift, u + 0.032 + shift);
            block((land.0, 0.43), (land.1, 0.57), inks.faint);
        }
    }
    for edge in [0.30_f32, 0.70] {
        block((edge - 0.012 + shift, 0.43), (edge + 0.012 + shift, 0.57), inks.faint);
    }
    for passage in list.iter().filter(|p| p.open > 0.01) {
        let (Some(from), Some(to)) = (place(&passage.from), place(&passage.to)) else { continue };
        let end = |(u, up): (f32, bool)| (at(u, if up { 0.16 } else { 0.84 }), at(u, 0.5));
        let (a, b) = (end(from), end(to));
        let width = 2.0 + 6.0 * passage.open as f32;
        let path = vec![a.0, a.1, b.1, b.0];
        painter.line(path.clone(), Stroke::new(width, inks.pressure));
        painter.extend(Shape::dashed_line(&path, Stroke::new(1.5, inks.paper), 6.0, 6.0));
    }
    // Armatures and springs on both ends.
    let windings = &plan.spools[spool.index()];
    for (side, winding) in [(-1.0_f32, windings.a), (1.0, windings.b)] {
        let mirror = |u: f32| if side < 0.0 { u } else { 1.0 - u };
        if let Some(w) = winding {
            let name = &plan.windings[w.index()].name;
            let coil = live.coils.get(name);
            let on = coil.is_some_and(|c| c.amps.abs() > 1e-3);
            block((mirror(0.05), 0.34), (mirror(0.20), 0.66), inks.paper);
            for k in 0..5 {
                let v = 0.37 + 0.065 * k as f32;
                let stroke = Stroke::new(
                    if on { 2.5 } else { 1.0 },
                    if on { inks.current } else { inks.faint },
                );
                painter.line_segment([at(mirror(0.06), v), at(mirror(0.19), v)], stroke);
            }
            // The armature goes with the spool as far as it pushes.
            let gap = make.gap(f64::from(-side), f64::from(x)).0 as f32;
            let tip = 0.17 - 0.05 * gap;
            block((mirror(0.09), 0.45), (mirror(tip + 0.04), 0.55), hatch);
            let told = coil.map_or_else(String::new, |c| {
                reader.labelled(&format!("{:.2} A, {:.0} degC", c.amps, c.celsius))
            });
            let foot = at(mirror(0.125), 0.72);
            painter.text(
                foot,
                Align2::CENTER_CENTER,
                format!("{name}\n{told}"),
                font.clone(),
                inks.ink,
            );
        }
        let sprung = match make.rest {
            Rest::Centred => true,
            Rest::Offset => side > 0.0,
            Rest::Detented => false,
        };
        if sprung {
            let (from, to) =
                (mirror(0.225), if side < 0.0 { 0.285 + shift } else { 0.715 + shift });
            let turns = 8;
            let path = (0..=turns).map(|k| {
                let u = from + (to - from) * k as f32 / turns as f32;
                at(u, if k % 2 == 0 { 0.45 } else { 0.55 })
            });
            painter.line(path.collect(), Stroke::new(1.4, inks.ink));
        }
    }
    if make.rest == Rest::Detented {
        for u in [0.70_f32 - travel, 0.70 + travel] {
            painter.circle_stroke(at(u, 0.62), 4.0, ink);
        }
        painter.circle_filled(at(0.70 + shift, 0.60), 4.0, inks.ink);
    }
    let told = list.iter().filter(|p| p.open > 0.01);
    let told: Vec<String> =
        told.map(|p| format!("{}-{} {:.0} %", p.from, p.to, p.open * 100.0)).collect();
    let told = if told.is_empty() { reader.say("window-all-shut") } else { told.join(", ") };
    let told = Phrase::new("window-spool-at").with("passages", told);
    ui.label(reader.tell(&told.with("at", format!("{:+.0}", x * 100.0))));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Diagnostics, Sources};
    use crate::scenario::{Shipped, load_any};

    #[test]
    fn passages_open_and_shut_with_the_spool() {
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        let plan = load_any(&Shipped, "pusher.bench.ron", &mut sources, &mut found)
            .expect("a bench")
            .bench
            .plan;
        let open = |x: f64| -> Vec<String> {
            let list = passages(&plan, "1V1", x);
            let open = list.iter().filter(|p| p.open > 0.5);
            open.map(|p| format!("{}-{}", p.from, p.to)).collect()
        };
        assert_eq!(open(1.0).len(), 2);
        assert!(open(1.0).contains(&"P-A".to_owned()));
        assert!(open(0.0).contains(&"P-B".to_owned()));
    }
}
