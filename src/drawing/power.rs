//! The power sheet: parts placed by what they do, lines routed on the grid.

use crate::plant::Plan;

use super::Sheet;

/// The fluid circuit of `plan` as a sheet.
#[must_use]
pub fn sheet(plan: &Plan) -> Sheet {
    Sheet { title: format!("{}: power", plan.name), ..Sheet::default() }
}
