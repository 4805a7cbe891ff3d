//! Tests of the exploration, a module per subject.

mod benches;
mod brute;
mod faults;
mod latent;
mod memory;
mod random;
mod replays;
mod small;

use std::sync::Arc;

use crate::base::{ContactId, OperatorId, WindingId};
use crate::bench;
use crate::diagnostic::{Diagnostics, Sources, render_all};
use crate::language::{Language, Words};
use crate::plant::Plan;

pub fn english() -> Words {
    Words::of(Language::English)
}

pub fn from_text(name: &str, source: &str) -> Arc<Plan> {
    let mut found = Diagnostics::new();
    let bench = bench::load(name, source, &mut found);
    let mut sources = Sources::new();
    sources.add(name, source);
    Arc::new(bench.unwrap_or_else(|| panic!("{}", render_all(&found, &sources, false))).plan)
}

pub fn shipped(name: &str) -> Arc<Plan> {
    let path = format!("{}/scenarios/{name}", env!("CARGO_MANIFEST_DIR"));
    from_text(name, &std::fs::read_to_string(path).expect("a shipped file"))
}

pub fn contact(plan: &Plan, name: &str) -> ContactId {
    ContactId::new(plan.contacts.iter().position(|c| c.name == name).expect("a contact"))
}

pub fn operator(plan: &Plan, name: &str) -> OperatorId {
    OperatorId::new(plan.operators.iter().position(|o| o.name == name).expect("an operator"))
}

pub fn winding(plan: &Plan, name: &str) -> WindingId {
    WindingId::new(plan.windings.iter().position(|w| w.name == name).expect("a winding"))
}

/// Two axes that wait for one another, eight relays of which two are timers, six buttons.
pub fn two_axes() -> Arc<Plan> {
    from_text("two.bench.ron", include_str!("two_axes.bench.ron"))
}
