//! The operator's panel: what a hand works and what shines.

use bevy_egui::egui::{
    Align2, CornerRadius, FontId, Id, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, Vec2, pos2, vec2,
};

use crate::plant::{Element, Plan, Plant};
use crate::report::Reader;
use crate::session::Action;

use super::glass::Spots;
use super::paper::Inks;
use super::tools::{Control, controls, work};

/// A mouse button held down longer than this holds the control [s].
const HOLD_S: f64 = 0.35;

/// What the mouse does to the panel.
#[derive(Clone, Debug, Default)]
pub struct Fingers {
    /// The button pushed by the mouse, since when [s], and whether it is held already.
    down: Option<(String, f64, bool)>,
    /// A held button follows the next click only: it was latched with the second mouse button.
    latched: Vec<String>,
}

/// One control as it is drawn.
struct Item<'a> {
    tag: &'a str,
    title: &'a str,
    control: Control,
    acting: bool,
}

fn acting(plan: &Plan, plant: &Plant, id: crate::base::PartId) -> bool {
    plan.parts[id.index()].elements.iter().any(|(_, e)| match e {
        Element::Operator(o) => plant.acting(*o),
        Element::Branch(b) => {
            plan.lamps.iter().position(|l| l.branch == *b).is_some_and(|k| plant.lit(k))
        }
        _ => false,
    })
}

/// How many columns fit `count` cells of at least `least` into `zone`, and the size of a cell.
fn grid(zone: Rect, count: usize, least: Vec2) -> (usize, Vec2) {
    let columns = ((zone.width() / least.x).floor() as usize).clamp(1, count.max(1));
    let rows = count.div_ceil(columns).max(1);
    let high = (zone.height() / rows as f32).max(least.y);
    (columns, vec2(zone.width() / columns as f32, high.min(1.5 * least.y)))
}

/// The first control, for the keys.
#[must_use]
pub fn first() -> Id {
    Id::new(("panel", 0_usize))
}

/// Draws the panel and gives what a hand does to it.
#[allow(clippy::too_many_arguments)] // One call a frame, each argument a different thing.
pub fn show(
    ui: &mut Ui,
    reader: &Reader,
    plan: &Plan,
    plant: &Plant,
    fingers: &mut Fingers,
    inks: &Inks,
    scale: f32,
    locks: &[String],
    places: &mut Spots,
) -> Option<Action> {
    let list = controls(plan);
    let zone = ui.available_rect_before_wrap();
    let (columns, cell) = grid(zone, list.len(), vec2(74.0, 62.0) * scale);
    let mut done = None;
    let now = ui.input(|i| i.time);
    let rows = list.len().div_ceil(columns);
    let (_, whole) = ui.allocate_space(vec2(zone.width(), cell.y * rows as f32));
    for (k, (id, control)) in list.iter().enumerate() {
        let part = &plan.parts[id.index()];
        let corner = whole.min + vec2((k % columns) as f32 * cell.x, (k / columns) as f32 * cell.y);
        let rect = Rect::from_min_size(corner, cell).shrink(2.0);
        let item = Item {
            tag: &part.tag,
            title: &part.title,
            control: *control,
            acting: acting(plan, plant, *id),
        };
        let sense =
            if *control == Control::Lamp { Sense::hover() } else { Sense::click_and_drag() };
        let response = ui.interact(rect, Id::new(("panel", k)), sense);
        places.insert(format!("panel {}", part.tag), rect);
        let look = Look { reader, inks, scale, focus: response.has_focus() };
        draw(ui, rect, &item, &look, locks.contains(&part.tag));
        if *control == Control::Lamp {
            continue;
        }
        let latch =
            response.secondary_clicked() || response.clicked() && ui.input(|i| i.modifiers.shift);
        if *control == Control::Button {
            // A click by key, or one that began and ended between two frames, was never seen down.
            let (down, clicked) = (response.is_pointer_button_down_on(), response.clicked());
            if let Some(action) = fingers.button(&item, down, latch, clicked, now) {
                done = Some(action);
            }
            // While a finger is down the clock of the hold runs.
            if response.is_pointer_button_down_on() {
                ui.ctx().request_repaint();
            }
        } else if response.clicked() {
            done = work(item.tag, item.control, item.acting, false);
        }
        response.on_hover_text(hint(&item, reader));
    }
    done
}

fn hint(item: &Item, reader: &Reader) -> String {
    let how = match item.control {
        Control::Button => reader.say("window-panel-button"),
        Control::Stop => reader.say("window-panel-stop"),
        Control::Selector | Control::Handle => reader.say("window-panel-turn"),
        Control::Lamp => String::new(),
    };
    format!("{} {}\n{how}", item.tag, item.title)
}

impl Fingers {
    /// What a push-button does under the mouse: pressed, held, latched or let go.
    fn button(
        &mut self,
        item: &Item,
        down: bool,
        latch: bool,
        clicked: bool,
        now: f64,
    ) -> Option<Action> {
        let tag = item.tag.to_owned();
        if latch {
            self.down = None;
            if item.acting {
                self.latched.retain(|t| *t != tag);
                return Some(Action::Release { part: tag });
            }
            self.latched.push(tag.clone());
            return Some(Action::Hold { part: tag });
        }
        match (&mut self.down, down) {
            (None, true) if !item.acting => {
                self.down = Some((tag, now, false));
                None
            }
            (None, true) => {
                // A latched button springs out at the next push.
                self.latched.retain(|t| *t != tag);
                self.down = Some((tag.clone(), f64::INFINITY, true));
                Some(Action::Release { part: tag })
            }
            (Some((who, since, held)), true) if *who == tag => {
                if !*held && now - *since > HOLD_S {
                    *held = true;
                    return Some(Action::Hold { part: tag });
                }
                None
            }
            (Some((who, since, held)), false) if *who == tag => {
                let (since, held) = (*since, *held);
                self.down = None;
                match (held, since.is_finite()) {
                    (true, true) => Some(Action::Release { part: tag }),
                    (false, _) => Some(Action::Press { part: tag }),
                    (true, false) => None,
                }
            }
            (None, false) if clicked => work(item.tag, item.control, item.acting, false),
            _ => None,
        }
    }
}

/// How a control is to look.
struct Look<'a> {
    reader: &'a Reader,
    inks: &'a Inks,
    scale: f32,
    focus: bool,
}

fn draw(ui: &Ui, rect: Rect, item: &Item, look: &Look, locked: bool) {
    let Look { reader, inks, scale, focus } = *look;
    let painter = ui.painter();
    let thin =
        Stroke::new(if focus { 2.5 } else { 0.8 }, if focus { inks.mark } else { inks.faint });
    painter.rect(rect, CornerRadius::ZERO, inks.paper, thin, StrokeKind::Inside);
    let text = 11.0 * scale;
    let words = 2.0 * text * 1.15 + 3.0;
    let centre = pos2(rect.center().x, rect.top() + (rect.height() - words) / 2.0);
    let radius = ((rect.height() - words) / 2.0 - 3.0).clamp(6.0, 22.0 * scale);
    let ink = Stroke::new(1.6, inks.ink);
    let middle = |at: Pos2, what: &str, size: f32| {
        painter.text(at, Align2::CENTER_CENTER, what, FontId::proportional(size), inks.ink);
    };
    // A word in a round button, as large as there is room for it.
    let word = |id: &str, size: f32, wide: f32| {
        let word = reader.say(id);
        let font = FontId::proportional(size);
        let long = painter.layout_no_wrap(word.clone(), font, inks.ink).size().x;
        middle(centre, &word, size * (wide / long.max(1.0)).min(1.0));
    };
    match item.control {
        Control::Button => {
            painter.circle(centre, radius, inks.board, ink);
            let inner = if item.acting { 0.5 } else { 0.8 };
            painter.circle_stroke(centre, radius * inner, ink);
            if item.acting {
                word("window-button-in", 0.7 * radius, 0.9 * radius);
            }
        }
        Control::Stop => {
            painter.circle(centre, radius, inks.board, Stroke::new(3.0, inks.danger));
            if item.acting {
                word("window-stop-in", 0.8 * radius, 1.8 * radius);
            } else {
                word("window-stop", 0.62 * radius, 1.8 * radius);
            }
        }
        Control::Selector => {
            painter.circle(centre, radius, inks.board, ink);
            let way = if item.acting { vec2(0.7, -0.7) } else { vec2(-0.7, -0.7) };
            painter.line_segment(
                [centre - way * radius, centre + way * radius],
                Stroke::new(3.0, inks.ink),
            );
            middle(centre + vec2(-radius * 1.25, -radius * 0.9), "0", 0.6 * radius);
            middle(centre + vec2(radius * 1.25, -radius * 0.9), "1", 0.6 * radius);
        }
        Control::Handle => {
            let body = Rect::from_center_size(centre, Vec2::splat(2.0 * radius));
            painter.rect(body, CornerRadius::same(2), inks.board, ink, StrokeKind::Inside);
            let way = if item.acting { vec2(0.0, -0.8) } else { vec2(0.8, 0.0) };
            painter.line_segment(
                [centre - way * radius, centre + way * radius],
                Stroke::new(4.0, inks.ink),
            );
            middle(
                centre + vec2(-radius - 9.0, 0.0),
                if item.acting { "I" } else { "O" },
                0.8 * radius,
            );
            if locked {
                padlock(ui, centre + vec2(radius + 10.0, 2.0), inks);
            }
        }
        Control::Lamp => {
            let fill = if item.acting { inks.glow } else { inks.paper };
            painter.circle(centre, radius * 0.75, fill, ink);
            if item.acting {
                for k in 0..8 {
                    let way = Vec2::angled(std::f32::consts::TAU * k as f32 / 8.0);
                    painter.line_segment(
                        [centre + way * radius * 0.9, centre + way * radius * 1.2],
                        ink,
                    );
                }
            } else {
                let way = Vec2::angled(std::f32::consts::FRAC_PI_4) * radius * 0.75;
                painter.line_segment([centre - way, centre + way], Stroke::new(1.0, inks.ink));
                let way = way.rot90();
                painter.line_segment([centre - way, centre + way], Stroke::new(1.0, inks.ink));
            }
        }
    }
    let foot = pos2(rect.center().x, rect.bottom() - words + text * 0.6 + 1.0);
    middle(foot, item.tag, text);
    let title = painter.layout(
        item.title.to_owned(),
        FontId::proportional(0.9 * text),
        inks.ink,
        f32::INFINITY,
    );
    let room = rect.width() - 4.0;
    // A long title is set smaller rather than cut.
    let fits = (room / title.size().x.max(1.0)).min(1.0);
    let size = (0.9 * text * fits).max(6.5);
    let at = pos2(rect.center().x, rect.bottom() - text * 0.6 - 1.0);
    middle(at, item.title, size);
}

fn padlock(ui: &Ui, at: Pos2, inks: &Inks) {
    let painter = ui.painter();
    let body = Rect::from_center_size(at, vec2(11.0, 8.0));
    painter.circle_stroke(at - vec2(0.0, 5.0), 4.0, Stroke::new(1.8, inks.ink));
    painter.rect(
        body,
        CornerRadius::same(1),
        inks.glow,
        Stroke::new(1.2, inks.ink),
        StrokeKind::Inside,
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(acting: bool) -> Item<'static> {
        Item { tag: "S1", title: "", control: Control::Button, acting }
    }

    fn part() -> String {
        "S1".to_owned()
    }

    #[test]
    fn a_short_push_presses_and_a_long_one_holds_until_let_go() {
        let mut f = Fingers::default();
        assert_eq!(f.button(&item(false), true, false, false, 1.0), None);
        assert_eq!(
            f.button(&item(false), false, false, false, 1.1),
            Some(Action::Press { part: part() })
        );
        f.button(&item(false), true, false, false, 2.0);
        assert_eq!(f.button(&item(false), true, false, false, 2.2), None);
        assert_eq!(
            f.button(&item(false), true, false, false, 2.4),
            Some(Action::Hold { part: part() })
        );
        assert_eq!(
            f.button(&item(true), false, false, false, 3.0),
            Some(Action::Release { part: part() })
        );
    }

    #[test]
    fn the_second_mouse_button_latches_and_the_next_push_lets_go() {
        let mut f = Fingers::default();
        assert_eq!(
            f.button(&item(false), false, true, false, 1.0),
            Some(Action::Hold { part: part() })
        );
        assert_eq!(
            f.button(&item(true), true, false, false, 2.0),
            Some(Action::Release { part: part() })
        );
        assert_eq!(f.button(&item(false), false, false, false, 2.1), None);
    }
}
