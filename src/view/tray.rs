//! The tool tray: what can be taken in the hand, and what it can do at the place picked.

use bevy_egui::egui::{self, Id, RichText, Ui};

use crate::plant::Plan;
use crate::session::Action;

use super::glass::Spots;
use super::tools::{Dial, Hand, Tool, name_of, ranges};

/// What was asked for in the tray.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// An action.
    pub action: Option<Action>,
    /// The first tool, for the keys.
    pub first: Option<Id>,
    /// What to say of a tool that was taken.
    pub hint: Option<String>,
}

/// Draws the tray.
pub fn show(
    ui: &mut Ui,
    plan: &Plan,
    hand: &mut Hand,
    display: &str,
    setting: &mut String,
    spots: &mut Spots,
) -> Asked {
    let mut asked = Asked::default();
    // As many columns as there is room for words of this size.
    let least = 6.0 * egui::TextStyle::Body.resolve(ui.style()).size;
    let columns = ((ui.available_width() / least) as usize).clamp(1, 3);
    let wide = (ui.available_width() - 4.0 * columns as f32) / columns as f32;
    for row in Tool::ALL.chunks(columns) {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            for tool in row {
                let words = format!("{} {}", tool.key(), tool.name());
                let button = egui::Button::new(words).selected(hand.tool == *tool).truncate();
                let response = ui.add_sized([wide, ui.spacing().interact_size.y], button);
                spots.insert(format!("tool {}", tool.key()), response.rect);
                asked.first = asked.first.or(Some(response.id));
                if response.on_hover_text(tool.hint()).clicked() {
                    hand.take(*tool);
                    asked.hint = Some(tool.hint().to_owned());
                }
            }
        });
    }
    ui.separator();
    match hand.tool {
        Tool::Meter => meter(ui, hand, display, spots, &mut asked),
        tool => {
            if matches!(tool, Tool::Gauge) {
                range(ui, hand);
            }
            if matches!(tool, Tool::Clamp | Tool::Gauge | Tool::Thermometer) {
                window(ui, display);
            }
            offers(ui, plan, hand, setting, spots, &mut asked);
        }
    }
    asked
}

/// The display of an instrument.
fn window(ui: &mut Ui, display: &str) {
    egui::Frame::new()
        .stroke(ui.visuals().widgets.inactive.bg_stroke)
        .fill(ui.visuals().extreme_bg_color)
        .inner_margin(4)
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            let text = if display.is_empty() { "- - - -" } else { display };
            let size = 1.7 * egui::TextStyle::Body.resolve(ui.style()).size;
            ui.label(RichText::new(text).monospace().size(size));
        });
}

fn meter(ui: &mut Ui, hand: &mut Hand, display: &str, spots: &mut Spots, asked: &mut Asked) {
    window(ui, display);
    ui.horizontal_wrapped(|ui| {
        for dial in Dial::ALL {
            let response = ui.selectable_label(hand.dial == dial, dial.mark());
            spots.insert(format!("dial {}", dial.mark()), response.rect);
            if response.clicked() {
                hand.dial = dial;
            }
        }
    });
    let place = |lead: &Option<String>| lead.clone().unwrap_or_else(|| "in the air".to_owned());
    ui.label(format!("R red lead: {}", place(&hand.red)));
    ui.label(format!("B black lead: {}", place(&hand.black)));
    ui.horizontal_wrapped(|ui| {
        let reading = hand.reading();
        let response = ui.add_enabled(reading.is_some(), egui::Button::new("Read (r)"));
        spots.insert("read".to_owned(), response.rect);
        if response.clicked() {
            asked.action = reading;
        }
        if ui.button("Exchange leads").clicked() {
            hand.swap_leads();
        }
        if ui.button("Prove tester").clicked() {
            asked.action = Some(Action::Prove {});
        }
    });
}

fn range(ui: &mut Ui, hand: &mut Hand) {
    ui.horizontal_wrapped(|ui| {
        ui.label("range");
        let usual = |r: Option<u32>| r.map_or("usual".to_owned(), |r| format!("{r} bar"));
        egui::ComboBox::from_id_salt("range").selected_text(usual(hand.range_bar)).show_ui(
            ui,
            |ui| {
                ui.selectable_value(&mut hand.range_bar, None, usual(None));
                for r in ranges() {
                    ui.selectable_value(&mut hand.range_bar, Some(*r), usual(Some(*r)));
                }
            },
        );
    });
}

fn offers(
    ui: &mut Ui,
    plan: &Plan,
    hand: &Hand,
    setting: &mut String,
    spots: &mut Spots,
    asked: &mut Asked,
) {
    let Some(place) = &hand.place else {
        ui.label(hand.tool.hint());
        return;
    };
    ui.strong(name_of(plan, place));
    let list = hand.offers(plan);
    if list.iter().any(|o| matches!(o.action, Action::Adjust { .. })) {
        let edit = egui::TextEdit::singleline(setting).hint_text("value, such as 65 bar");
        ui.add(edit);
    }
    ui.horizontal_wrapped(|ui| {
        for offer in list {
            let response = ui.button(&offer.label);
            spots.insert(format!("offer {}", offer.label), response.rect);
            if response.clicked() {
                asked.action = Some(match offer.action {
                    Action::Adjust { part, setting: name, .. } => {
                        Action::Adjust { part, setting: name, value: setting.trim().to_owned() }
                    }
                    action => action,
                });
            }
        }
    });
}
