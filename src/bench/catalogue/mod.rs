//! The component catalogue: every class, its fields, and how it is built into a plan.
//!
//! One table per side of the seam. The author's guide is generated from these tables, so they are
//! the only place where a field, its unit, range and default are written down.

mod air;
mod air_valve;
mod coil;
mod control;
mod panel;
pub(super) mod controller;
mod plumbing;
mod power;
mod vacuum;
mod pressure;
mod proportional;
mod sheet;
mod staged;
mod valve;

use crate::quantity::Dimension;

use super::assembly::Assembly;
use super::fields::Fields;

/// On which side of the seam a class stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Volts and amperes.
    Control,
    /// Where the two meet.
    Seam,
    /// Pressure and flow of oil.
    Power,
    /// Compressed air.
    Air,
}

/// What a field holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FieldKind {
    /// A value with a unit, between two limits (as written in the unit of the example).
    Quantity(Dimension, &'static str, &'static str),
    /// A supply such as `"24 V DC"`.
    Supply,
    /// One of some words.
    Choice(&'static [&'static str]),
    /// `true` or `false`.
    Flag,
    /// A whole number between two limits.
    Count(u32, u32),
    /// The tag of another part, of one of these classes.
    Part(&'static [&'static str]),
    /// Tags of other parts, of one of these classes.
    Parts(&'static [&'static str]),
    /// Free text.
    Text,
    /// A list of texts.
    Words,
    /// Contact markings such as `"13-14"`.
    Contacts,
    /// A list of `"position force"` pairs.
    Curve,
}

/// A field of a class.
#[derive(Clone, Copy, Debug)]
pub struct FieldSpec {
    /// Name, as written.
    pub name: &'static str,
    /// What it holds.
    pub kind: FieldKind,
    /// What counts when it is not written; `None` when it must be, `Some("")` when absence has a
    /// meaning of its own, said in `about`.
    pub default: Option<&'static str>,
    /// What it means.
    pub about: &'static str,
}

/// A component class.
#[derive(Clone, Copy)]
pub struct ClassSpec {
    /// Name, as written in front of the parenthesis.
    pub name: &'static str,
    /// Side of the seam.
    pub side: Side,
    /// What it is, in one line.
    pub summary: &'static str,
    /// Terminals with their standard markings.
    pub terminals: &'static str,
    /// Ports with their standard markings.
    pub ports: &'static str,
    /// The laws it is computed by.
    pub laws: &'static str,
    /// Its fields, besides `title`.
    pub fields: &'static [FieldSpec],
    /// Build order: lower first, since some refer to others.
    pub rank: u8,
    /// Ports of a part with these fields.
    pub port_list: fn(&Fields) -> Vec<String>,
    /// Terminals of a part with these fields.
    pub terminal_list: fn(&Fields) -> Vec<String>,
    /// Builds it.
    pub build: fn(&mut Assembly, &Fields),
}

/// All classes, in the order of the guide.
pub fn classes() -> impl Iterator<Item = &'static ClassSpec> {
    control::CLASSES
        .iter()
        .chain(panel::CLASSES)
        .chain(controller::CLASSES)
        .chain(valve::CLASSES)
        .chain(staged::CLASSES)
        .chain(proportional::CLASSES)
        .chain(power::CLASSES)
        .chain(pressure::CLASSES)
        .chain(plumbing::CLASSES)
        .chain(air::CLASSES)
        .chain(air_valve::CLASSES)
        .chain(vacuum::CLASSES)
}

/// The class named `name`.
#[must_use]
pub fn class(name: &str) -> Option<&'static ClassSpec> {
    classes().find(|c| c.name == name)
}

/// What the ports of a class hold: true air, false oil; `None` for what goes on either.
#[must_use]
pub fn is_air(class: &ClassSpec) -> Option<bool> {
    match class.side {
        Side::Air => Some(true),
        Side::Power | Side::Seam => Some(false),
        Side::Control => None,
    }
}

/// Whether `port` of `class` stands open to the air when nothing is joined to it: an exhaust, or
/// the far side of a cylinder.
#[must_use]
pub fn opens_to_air(class: &str, port: &str) -> bool {
    match class {
        "AirValve" | "AirIsolator" | "HandSlide" | "QuickExhaust" => matches!(port, "3" | "5"),
        _ => false,
    }
}

/// Whether `port` of `class` is as good plugged as joined.
#[must_use]
pub fn may_be_plugged(class: &str, port: &str) -> bool {
    matches!((class, port), ("PilotRelief", "X"))
}

/// Field that every class has.
pub const TITLE: FieldSpec = FieldSpec {
    name: "title",
    kind: FieldKind::Text,
    default: Some(""),
    about: "What the part is for, shown to everybody",
};

pub(super) const fn field(
    name: &'static str,
    kind: FieldKind,
    default: Option<&'static str>,
    about: &'static str,
) -> FieldSpec {
    FieldSpec { name, kind, default, about }
}

pub(super) fn nothing(_: &Fields) -> Vec<String> {
    Vec::new()
}

pub(super) fn words(list: &[&str]) -> Vec<String> {
    list.iter().map(|w| (*w).to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_fields_too() {
        let names: Vec<_> = classes().map(|c| c.name).collect();
        for (k, c) in classes().enumerate() {
            assert!(!names[..k].contains(&c.name), "{} twice", c.name);
            for (n, f) in c.fields.iter().enumerate() {
                assert!(f.name != "title", "{}: title is everybody's", c.name);
                assert!(c.fields[..n].iter().all(|g| g.name != f.name), "{}.{}", c.name, f.name);
                assert!(!f.about.is_empty());
            }
        }
    }
}
