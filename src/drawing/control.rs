//! The control sheet: rungs laid out from the wiring.

use crate::plant::Plan;

use super::{Sheet, Style};

/// The control circuit of `plan` as a sheet.
#[must_use]
pub fn sheet(plan: &Plan, style: Style) -> Sheet {
    let _ = style;
    Sheet { title: format!("{}: control", plan.name), ..Sheet::default() }
}
