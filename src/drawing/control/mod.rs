//! The control sheet: current paths laid out from the wiring, however it was written.
//!
//! `circuit` reads the elements between two terminals and the wires from the plan; `ladder` finds what lies
//! in series and in parallel between the rails; `layout` gives every element a path and a place on it; then
//! they are drawn, and every wire along the comb that its potential forms.

mod circuit;
mod ladder;
mod layout;
mod paint;

use crate::plant::Plan;

use super::labels::text_mark;
use super::{Align, Ink, Point, Sheet, Style, Subject};

/// Most terminals of a circuit that is drawn.
const MOST: usize = 1500;

/// The control circuit of `plan` as a sheet: every terminal and every wire stands on it.
///
/// ```
/// use spoolbench::{bench, diagnostic::Diagnostics, drawing};
/// let source = r#"Bench(format: 1, parts: {
///     "G1": DcSupply(voltage: "24 V DC"), "S1": PushButton(), "H1": Lamp(),
/// }, rungs: [Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, H1:X1-X2")])"#;
/// let mut found = Diagnostics::new();
/// let bench = bench::load("lamp.bench.ron", source, &mut found).expect("a bench");
/// let sheet = drawing::control::sheet(&bench.plan, drawing::Style::Iec);
/// let wire = drawing::Subject::Wire("W2".to_owned());
/// assert!(sheet.marks.iter().any(|m| m.subject == wire));
/// ```
#[must_use]
pub fn sheet(plan: &Plan, style: Style) -> Sheet {
    if plan.nodes.len() > MOST {
        let text = format!("{} terminals are too many for a sheet", plan.nodes.len());
        let at = Point::new(3.0, 4.0);
        let mark = text_mark(at, text, 1.0, Align::Start, Ink::Outline, Subject::Paper);
        let title = format!("{}: control circuit", plan.name);
        return Sheet { title, width: 60.0, height: 8.0, marks: vec![mark], ..Sheet::default() };
    }
    let circuit = circuit::Circuit::read(plan);
    let layout = layout::lay(&circuit);
    paint::paint(plan, &circuit, &layout, style)
}
