//! The machine itself, moving with its cylinders.

use bevy_egui::egui::{
    Align2, CornerRadius, FontId, Painter, Pos2, Rect, Stroke, StrokeKind, Vec2, pos2, vec2,
};

use crate::drawing::live::{Live, PistonLive};
use crate::language::Phrase;
use crate::plant::{Element, Plan};
use crate::report::Reader;

use super::paper::Inks;

/// What a cylinder moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scene {
    /// A kiln car on rails, pushed to the right.
    Car,
    /// A ram that comes down on clay.
    Press,
    /// A door that comes down.
    Door,
    /// Jaws that close on a brick.
    Gripper,
    /// A frame of wires that comes down through a column of clay.
    Cutter,
    /// A plain slide.
    Slide,
}

/// The scene of the cylinder with `title` on the bench `bench`: by the words its author uses.
#[must_use]
pub fn scene(bench: &str, title: &str) -> Scene {
    let scenes = [
        (Scene::Cutter, ["cut", "blade", "wire"]),
        (Scene::Gripper, ["grip", "clamp", "jaw"]),
        (Scene::Door, ["door", "gate", "flap"]),
        (Scene::Car, ["push", "car", "wagon"]),
        (Scene::Press, ["ram", "press", "stamp"]),
    ];
    for text in [title, bench] {
        let text = text.to_lowercase();
        // Words that begin so: a frame is no ram.
        let mut words = text.split(|c: char| !c.is_alphanumeric());
        let found = words.find_map(|word| {
            scenes.iter().find(|(_, list)| list.iter().any(|start| word.starts_with(start)))
        });
        if let Some((scene, _)) = found {
            return *scene;
        }
    }
    Scene::Slide
}

/// Everything that moves a load: tag, title and scene of each cylinder.
#[must_use]
pub fn movers(plan: &Plan) -> Vec<(String, String, Scene)> {
    let moves = |e: &Element| matches!(e, Element::Piston(_));
    let parts = plan.parts.iter().filter(|p| p.elements.iter().any(|(_, e)| moves(e)));
    parts.map(|p| (p.tag.clone(), p.title.clone(), scene(&plan.name, &p.title))).collect()
}

/// A brush with which scenes are drawn.
struct Brush<'a> {
    painter: &'a Painter,
    inks: &'a Inks,
    zone: Rect,
}

impl Brush<'_> {
    /// A place of the zone, both from 0 to 1.
    fn at(&self, x: f32, y: f32) -> Pos2 {
        pos2(self.zone.left() + x * self.zone.width(), self.zone.top() + y * self.zone.height())
    }

    fn line(&self, from: (f32, f32), to: (f32, f32), width: f32) {
        let stroke = Stroke::new(width, self.inks.ink);
        self.painter.line_segment([self.at(from.0, from.1), self.at(to.0, to.1)], stroke);
    }

    fn block(&self, from: (f32, f32), to: (f32, f32), full: bool) {
        let rect = Rect::from_two_pos(self.at(from.0, from.1), self.at(to.0, to.1));
        let fill = if full { self.inks.faint.gamma_multiply(0.45) } else { self.inks.paper };
        let stroke = Stroke::new(1.5, self.inks.ink);
        self.painter.rect(rect, CornerRadius::ZERO, fill, stroke, StrokeKind::Inside);
    }

    /// Bricks laid in bond.
    fn bricks(&self, from: (f32, f32), to: (f32, f32), rows: usize) {
        self.block(from, to, true);
        let high = (to.1 - from.1) / rows as f32;
        for row in 0..rows {
            let y = from.1 + row as f32 * high;
            self.line((from.0, y), (to.0, y), 1.0);
            let shift = if row % 2 == 0 { 0.25 } else { 0.5 };
            for k in [shift, shift + 0.5] {
                let x = from.0 + k * (to.0 - from.0);
                if x < to.0 - 0.005 {
                    self.line((x, y), (x, y + high), 1.0);
                }
            }
        }
    }

    fn wheel(&self, x: f32, y: f32) {
        let radius = 0.05 * self.zone.height();
        self.painter.circle(
            self.at(x, y),
            radius,
            self.inks.paper,
            Stroke::new(1.5, self.inks.ink),
        );
    }

    /// A cylinder lying, its rod out by `out` to the right.
    fn lying(&self, y: f32, from: f32, to: f32, out: f32, reach: f32) {
        self.block((from, y - 0.06), (to, y + 0.06), false);
        let piston = from + 0.02 + (to - from - 0.05) * out;
        self.block((piston, y - 0.06), (piston + 0.02, y + 0.06), true);
        self.line((piston + 0.02, y), (to + 0.02 + reach * out, y), 3.0);
    }

    /// A cylinder standing, its rod out by `out` downwards.
    fn standing(&self, x: f32, from: f32, to: f32, out: f32, reach: f32) {
        self.block((x - 0.05, from), (x + 0.05, to), false);
        let piston = from + 0.02 + (to - from - 0.06) * out;
        self.block((x - 0.05, piston), (x + 0.05, piston + 0.03), true);
        self.line((x, piston + 0.03), (x, to + 0.03 + reach * out), 3.0);
    }
}

fn car(b: &Brush, out: f32) {
    b.line((0.02, 0.86), (0.98, 0.86), 2.0);
    b.lying(0.66, 0.03, 0.36, out, 0.30);
    let left = 0.38 + 0.30 * out;
    b.block((left, 0.68), (left + 0.28, 0.76), false);
    b.bricks((left + 0.02, 0.36), (left + 0.26, 0.68), 4);
    b.wheel(left + 0.06, 0.81);
    b.wheel(left + 0.22, 0.81);
    // The place the car is to reach.
    b.line((0.97, 0.60), (0.97, 0.86), 2.5);
}

fn press(b: &Brush, out: f32) {
    b.block((0.18, 0.10), (0.26, 0.92), false);
    b.block((0.74, 0.10), (0.82, 0.92), false);
    b.block((0.14, 0.04), (0.86, 0.12), false);
    b.standing(0.5, 0.12, 0.40, out, 0.26);
    let foot = 0.43 + 0.26 * out;
    b.block((0.30, foot), (0.70, foot + 0.07), true);
    b.block((0.26, 0.84), (0.74, 0.92), false);
    // The clay gives way under the ram.
    let top = (foot + 0.07).max(0.64);
    let bulge = 0.10 * (top - 0.64);
    b.block((0.36 - bulge, top), (0.64 + bulge, 0.84), true);
}

fn door(b: &Brush, out: f32) {
    b.block((0.16, 0.44), (0.30, 0.92), false);
    b.block((0.70, 0.44), (0.84, 0.92), false);
    b.block((0.12, 0.38), (0.88, 0.46), false);
    b.standing(0.5, 0.02, 0.22, out, 0.40);
    let top = 0.06 + 0.40 * out;
    let stroke = Stroke::new(1.0, b.inks.ink);
    b.block((0.31, top), (0.69, top + 0.44), true);
    for k in 1..5 {
        let y = top + 0.088 * k as f32;
        b.painter.line_segment([b.at(0.31, y), b.at(0.69, y)], stroke);
    }
    b.line((0.04, 0.93), (0.96, 0.93), 2.0);
    b.line((0.5, 0.02), (0.5, top), 3.0);
}

fn gripper(b: &Brush, out: f32) {
    b.line((0.04, 0.90), (0.96, 0.90), 2.0);
    b.bricks((0.52, 0.54), (0.80, 0.86), 2);
    b.block((0.80, 0.42), (0.86, 0.86), false);
    b.line((0.83, 0.20), (0.83, 0.42), 3.0);
    b.line((0.20, 0.20), (0.83, 0.20), 3.0);
    b.lying(0.68, 0.04, 0.30, out, 0.14);
    let jaw = 0.32 + 0.14 * out;
    b.block((jaw, 0.50), (jaw + 0.06, 0.86), true);
}

fn cutter(b: &Brush, out: f32) {
    b.line((0.04, 0.90), (0.96, 0.90), 2.0);
    b.block((0.20, 0.66), (0.80, 0.86), true);
    b.standing(0.5, 0.04, 0.28, out, 0.34);
    let frame = 0.30 + 0.34 * out;
    b.block((0.16, frame), (0.84, frame + 0.05), false);
    for k in 0..6 {
        let x = 0.20 + 0.12 * k as f32;
        b.line((x, frame + 0.05), (x, frame + 0.24), 1.0);
    }
}

fn slide(b: &Brush, out: f32) {
    b.line((0.04, 0.84), (0.96, 0.84), 2.0);
    b.lying(0.66, 0.04, 0.42, out, 0.34);
    let left = 0.44 + 0.34 * out;
    b.block((left, 0.50), (left + 0.14, 0.82), true);
}

/// The font of what is written at the machine.
#[must_use]
pub fn font(scale: f32) -> FontId {
    FontId::proportional(11.5 * scale)
}

/// Draws the machine in `zone`.
#[allow(clippy::too_many_arguments)] // One call a frame, each argument a different thing.
pub fn show(
    painter: &Painter,
    zone: Rect,
    reader: &Reader,
    plan: &Plan,
    live: &Live,
    inks: &Inks,
    scale: f32,
) {
    painter.rect(
        zone,
        CornerRadius::ZERO,
        inks.paper,
        Stroke::new(1.0, inks.ink),
        StrokeKind::Inside,
    );
    let movers = movers(plan);
    let text = font(scale);
    let foot = 16.0 * scale;
    let runs: Vec<String> = live
        .pumps
        .iter()
        .map(|(tag, speed)| {
            let turns = speed.abs() > 0.5;
            let id = if turns { "window-pump-turns" } else { "window-pump-stands" };
            reader.fill(id, "part", tag.as_str())
        })
        .collect();
    let below = Rect::from_min_max(pos2(zone.left(), zone.bottom() - foot), zone.max);
    painter.text(
        below.left_center() + vec2(6.0, 0.0),
        Align2::LEFT_CENTER,
        runs.join(", "),
        text.clone(),
        inks.ink,
    );
    let room = Rect::from_min_max(zone.min, pos2(zone.right(), below.top()));
    let count = movers.len().max(1) as f32;
    for (k, (tag, title, scene)) in movers.iter().enumerate() {
        let width = room.width() / count;
        let place =
            Rect::from_min_size(room.min + vec2(width * k as f32, 0.0), vec2(width, room.height()));
        let head = format!("{tag} {title}");
        let wide =
            |words: &str| painter.layout_no_wrap(words.to_owned(), text.clone(), inks.ink).size().x;
        // Smaller where there is no room for it.
        let fitting = |words: &str| {
            FontId::proportional(text.size * ((width - 12.0) / wide(words).max(1.0)).min(1.0))
        };
        painter.text(
            place.left_top() + vec2(6.0, 3.0),
            Align2::LEFT_TOP,
            &head,
            fitting(&head),
            inks.ink,
        );
        let Some(piston) = live.pistons.get(tag) else { continue };
        // Beside the name, or below it where there is no room. The same place whether it moves or not.
        let retracting = PistonLive { out_m: 0.5 * piston.stroke_m, speed_m_s: -1.0, ..*piston };
        let longest = told(&retracting, reader);
        let (at, align, lines) = if wide(&head) + wide(&longest) > width - 20.0 {
            (place.left_top() + vec2(6.0, 3.0 + 14.0 * scale), Align2::LEFT_TOP, 2.0)
        } else {
            (place.right_top() + vec2(-6.0, 3.0), Align2::RIGHT_TOP, 1.0)
        };
        painter.text(at, align, told(piston, reader), fitting(&longest), inks.ink);
        let head_room = (3.0 + 14.0 * lines) * scale;
        let picture =
            Rect::from_min_max(place.min + vec2(4.0, head_room), place.max - Vec2::splat(2.0));
        let brush = Brush { painter, inks, zone: picture };
        let out = (piston.out_m / piston.stroke_m.max(1e-6)).clamp(0.0, 1.0) as f32;
        match scene {
            Scene::Car => car(&brush, out),
            Scene::Press => press(&brush, out),
            Scene::Door => door(&brush, out),
            Scene::Gripper => gripper(&brush, out),
            Scene::Cutter => cutter(&brush, out),
            Scene::Slide => slide(&brush, out),
        }
    }
}

/// Where the rod is and which way it goes, in words.
fn told(piston: &PistonLive, reader: &Reader) -> String {
    let at_end = piston.out_m < 1e-4 || piston.out_m > piston.stroke_m - 1e-4;
    let id = if at_end {
        "window-rod"
    } else if piston.speed_m_s > 1e-3 {
        "window-rod-extends"
    } else if piston.speed_m_s < -1e-3 {
        "window-rod-retracts"
    } else {
        "window-rod"
    };
    let mm = |metres: f64| format!("{:.0}", metres * 1e3);
    let rod = Phrase::new(id).with("out", mm(piston.out_m));
    reader.tell(&rod.with("stroke", mm(piston.stroke_m)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language::Language;
    use crate::quantity::UnitSystem;

    #[test]
    fn the_shipped_machines_have_their_own_pictures() {
        assert_eq!(scene("Kiln-car pusher", "Pusher"), Scene::Car);
        assert_eq!(scene("Clay press", "Ram"), Scene::Press);
        assert_eq!(scene("Kiln door, dump open at rest", "Door"), Scene::Door);
        assert_eq!(scene("Brick gripper", "Clamp"), Scene::Gripper);
        assert_eq!(scene("Brick cutter", "Frame"), Scene::Cutter);
        assert_eq!(scene("Clay cutter", "Carriage"), Scene::Car);
        assert_eq!(scene("bench", "1A1"), Scene::Slide);
    }

    #[test]
    fn what_the_rod_does_is_told_in_words() {
        let piston = PistonLive { out_m: 0.1234, stroke_m: 0.4, speed_m_s: -0.02 };
        let by = |language, units| told(&piston, &Reader::new(language, units));
        assert_eq!(by(Language::English, UnitSystem::Si), "123 / 400 mm, retracts");
        assert_eq!(by(Language::German, UnitSystem::Si), "123 / 400 mm, fährt ein");
        assert_eq!(by(Language::English, UnitSystem::UsCustomary), "4.84 / 15.7 in, retracts");
    }
}
