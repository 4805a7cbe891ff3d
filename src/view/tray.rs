//! The tool tray: what can be taken in the hand, and what it can do at the place picked.

use bevy_egui::egui::{self, Color32, Id, RichText, TextStyle, Ui};

use crate::language::Phrase;
use crate::plant::Plan;
use crate::report::Reader;
use crate::session::{Action, VACUUM_RANGE};

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
    pub hint: Option<Phrase>,
}

/// What is shown in the tray besides the tools.
pub struct Shown<'a> {
    /// Names and titles of what the tools are put to.
    pub plan: &'a Plan,
    /// Who reads it.
    pub reader: &'a Reader,
    /// What the display of an instrument shows.
    pub display: &'a str,
}

/// Draws the tray.
pub fn show(
    ui: &mut Ui,
    shown: &Shown,
    hand: &mut Hand,
    setting: &mut String,
    spots: &mut Spots,
) -> Asked {
    let mut asked = Asked::default();
    let Shown { reader, display, .. } = shown;
    // As many columns as there is room for the longest name.
    let names = Tool::ALL.map(|tool| format!("{} {}", tool.key(), reader.tell(&tool.name())));
    let font = TextStyle::Button.resolve(ui.style());
    let widths = names.iter().map(|name| {
        ui.painter().layout_no_wrap(name.clone(), font.clone(), Color32::BLACK).size().x
    });
    let least = widths.fold(0.0, f32::max) + 2.0 * PADDING + GAP + 1.0;
    let columns = ((ui.available_width() / least) as usize).clamp(1, 3);
    let wide = (ui.available_width() - GAP * columns as f32) / columns as f32;
    for (row, names) in Tool::ALL.chunks(columns).zip(names.chunks(columns)) {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = GAP;
            ui.spacing_mut().button_padding.x = PADDING;
            for (tool, name) in row.iter().zip(names) {
                let button = egui::Button::new(name).selected(hand.tool == *tool).truncate();
                let response = ui.add_sized([wide, ui.spacing().interact_size.y], button);
                spots.insert(format!("tool {}", tool.key()), response.rect);
                asked.first = asked.first.or(Some(response.id));
                if response.on_hover_text(reader.tell(&tool.hint())).clicked() {
                    hand.take(*tool);
                    asked.hint = Some(tool.hint());
                }
            }
        });
    }
    ui.separator();
    match hand.tool {
        Tool::Meter => meter(ui, shown, hand, spots, &mut asked),
        tool => {
            if matches!(tool, Tool::Gauge) {
                range(ui, reader, hand);
            }
            if matches!(tool, Tool::Clamp | Tool::Gauge | Tool::Thermometer) {
                window(ui, display);
            }
            offers(ui, shown, hand, setting, spots, &mut asked);
        }
    }
    asked
}

/// Room between two tools, and in one beside its name [points].
const GAP: f32 = 4.0;
const PADDING: f32 = 2.0;

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

fn meter(ui: &mut Ui, shown: &Shown, hand: &mut Hand, spots: &mut Spots, asked: &mut Asked) {
    let reader = shown.reader;
    window(ui, shown.display);
    ui.horizontal_wrapped(|ui| {
        for dial in Dial::ALL {
            let response = ui.selectable_label(hand.dial == dial, reader.tell(&dial.mark()));
            spots.insert(format!("dial {}", dial.mark()), response.rect);
            if response.clicked() {
                hand.dial = dial;
            }
        }
    });
    for (id, lead) in [("window-red-lead", &hand.red), ("window-black-lead", &hand.black)] {
        let place = lead.clone().unwrap_or_else(|| reader.say("window-in-the-air"));
        ui.label(reader.fill(id, "place", place));
    }
    ui.horizontal_wrapped(|ui| {
        let reading = hand.reading();
        let response =
            ui.add_enabled(reading.is_some(), egui::Button::new(reader.say("window-read")));
        spots.insert("read".to_owned(), response.rect);
        if response.clicked() {
            asked.action = reading;
        }
        if ui.button(reader.say("window-exchange")).clicked() {
            hand.swap_leads();
        }
        if ui.button(reader.say("window-prove")).clicked() {
            asked.action = Some(Action::Prove {});
        }
    });
}

fn range(ui: &mut Ui, reader: &Reader, hand: &mut Hand) {
    ui.horizontal_wrapped(|ui| {
        ui.label(reader.say("window-range"));
        let told = |range: Option<u32>| match range {
            None => reader.say("window-range-usual"),
            Some(VACUUM_RANGE) => reader.say("window-range-vacuum"),
            Some(bar) => reader.labelled(&format!("{bar} bar")),
        };
        egui::ComboBox::from_id_salt("range").selected_text(told(hand.range_bar)).show_ui(
            ui,
            |ui| {
                ui.selectable_value(&mut hand.range_bar, None, told(None));
                for r in ranges() {
                    ui.selectable_value(&mut hand.range_bar, Some(*r), told(Some(*r)));
                }
            },
        );
    });
}

fn offers(
    ui: &mut Ui,
    shown: &Shown,
    hand: &Hand,
    setting: &mut String,
    spots: &mut Spots,
    asked: &mut Asked,
) {
    let Shown { plan, reader, .. } = shown;
    let Some(place) = &hand.place else {
        ui.label(reader.tell(&hand.tool.hint()));
        return;
    };
    ui.strong(name_of(plan, place, reader.words));
    let list = hand.offers(plan);
    if list.iter().any(|o| matches!(o.action, Action::Adjust { .. })) {
        let hint = reader.tell(&Phrase::new("window-value-hint"));
        ui.add(egui::TextEdit::singleline(setting).hint_text(hint));
    }
    ui.horizontal_wrapped(|ui| {
        for offer in list {
            let response = ui.button(reader.tell(&offer.label));
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
