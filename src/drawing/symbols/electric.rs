//! Symbols of the control side: what lies between two terminals.
//!
//! IEC symbols stand upright: they are entered at (0, 0) and left at (0, 6). North American ones lie: from
//! (0, 0) to (6, 0).

use super::super::Style;
use super::super::sheet::{Align, Ink, Subject, text_width};
use super::pen::{Glyph, Pen};

/// Length of every symbol from end to end [modules].
pub const LENGTH: f64 = 6.0;

/// What works a contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Operation {
    /// A relay armature, at once.
    Relay,
    /// A relay armature, late when pulled in.
    OnDelay,
    /// A relay armature, late when let go.
    OffDelay,
    /// A push-button.
    Push,
    /// A mushroom button that latches.
    Mushroom,
    /// A knob that stays where it is turned.
    Turn,
    /// A cam with a roller.
    Roller,
    /// A target that comes near.
    Proximity,
    /// A pressure.
    Pressure,
    /// A level.
    Level,
    /// A temperature.
    Temperature,
    /// A flow.
    Flow,
    /// The heat of an overload current, or a breaker's release.
    Overload,
    /// An output of a controller.
    Output,
}

/// What lies between two terminals.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Device {
    /// A contact.
    Contact {
        /// Designation, such as `K1:13-14`.
        name: String,
        /// What works it.
        by: Operation,
        /// Whether it conducts at rest.
        closed: bool,
    },
    /// A coil of a relay: winding, and the letter of its function.
    Coil {
        /// Designation of the winding.
        name: String,
        /// Its function, as an operation of its contacts.
        kind: Operation,
        /// Whether it latches: the letter beside it (`S` sets, `R` resets), or empty.
        latch: &'static str,
    },
    /// A coil of a valve.
    Solenoid {
        /// Designation of the winding.
        name: String,
    },
    /// Any other winding.
    Winding {
        /// Designation of the winding.
        name: String,
    },
    /// A lamp, by designation.
    Lamp(String),
    /// A fuse link.
    Fuse,
    /// A supply: alternating or direct.
    Source {
        /// Whether it alternates.
        alternating: bool,
    },
    /// The secondary of a transformer: a winding that feeds.
    Secondary,
    /// The thermal and magnetic release of a breaker.
    Release,
    /// A resistance.
    Resistor,
    /// A diode.
    Diode,
    /// A point of a controller, or anything else: a box with a text in it.
    Box(String),
    /// A terminal by itself.
    Post,
}

/// The symbol of `device` of part `tag` in `style`.
#[must_use]
pub fn symbol(tag: &str, device: &Device, style: Style) -> Glyph {
    let mut pen = Pen::new(Subject::Part(tag.to_owned()));
    match style {
        Style::Iec => upright(&mut pen, device),
        Style::NorthAmerican => lying(&mut pen, device),
    }
    pen.done()
}

fn leads(pen: &mut Pen, from: f64, to: f64) {
    pen.line(&[(0.0, 0.0), (0.0, from)]);
    pen.line(&[(0.0, to), (0.0, LENGTH)]);
}

fn upright(pen: &mut Pen, device: &Device) {
    match device {
        Device::Contact { name, by, closed } => upright_contact(pen, name, *by, *closed),
        Device::Coil { name, kind, latch } => {
            leads(pen, 2.0, 4.0);
            let side = |pen: &mut Pen| pen.rect(-3.0, 2.0, -2.0, 4.0);
            pen.with(Subject::Coil(name.clone()), |pen| pen.rect(-2.0, 2.0, 2.0, 4.0));
            match kind {
                Operation::OnDelay => {
                    side(pen);
                    pen.line(&[(-3.0, 2.0), (-2.0, 4.0)]);
                    pen.line(&[(-3.0, 4.0), (-2.0, 2.0)]);
                }
                Operation::OffDelay => {
                    side(pen);
                    pen.solid(&[(-3.0, 2.0), (-2.0, 2.0), (-2.0, 4.0), (-3.0, 4.0)]);
                }
                _ => {}
            }
            if !latch.is_empty() {
                side(pen);
                pen.text(-2.5, 3.35, latch, 0.7, Align::Middle);
            }
        }
        Device::Solenoid { name } => {
            leads(pen, 2.0, 4.0);
            pen.with(Subject::Coil(name.clone()), |pen| pen.rect(-2.0, 2.0, 2.0, 4.0));
            // What it moves: a valve.
            pen.inked(Ink::Pilot, |pen| pen.line(&[(-2.0, 3.0), (-3.0, 3.0)]));
            pen.outline(&[(-3.0, 2.4), (-4.6, 3.6), (-4.6, 2.4), (-3.0, 3.6)]);
        }
        Device::Winding { name } => {
            leads(pen, 1.5, 4.5);
            pen.with(Subject::Coil(name.clone()), |pen| {
                for k in 0..3 {
                    pen.arc(0.0, 2.0 + f64::from(k), 0.5, -90.0, 180.0);
                }
            });
        }
        Device::Lamp(tag) => {
            leads(pen, 1.6, 4.4);
            pen.with(Subject::Lamp(tag.clone()), |pen| {
                pen.circle(0.0, 3.0, 1.4);
                let d = 0.99;
                pen.line(&[(-d, 3.0 - d), (d, 3.0 + d)]);
                pen.line(&[(-d, 3.0 + d), (d, 3.0 - d)]);
            });
        }
        Device::Fuse => {
            pen.line(&[(0.0, 0.0), (0.0, LENGTH)]);
            pen.rect(-0.5, 1.5, 0.5, 4.5);
        }
        Device::Secondary => {
            leads(pen, 1.5, 4.5);
            for k in 0..3 {
                pen.arc(0.0, 2.0 + f64::from(k), 0.5, 90.0, 180.0);
            }
            pen.line(&[(0.7, 1.5), (0.7, 4.5)]);
            pen.line(&[(1.0, 1.5), (1.0, 4.5)]);
        }
        Device::Release => {
            leads(pen, 2.0, 4.0);
            pen.rect(-1.0, 2.0, 1.0, 4.0);
            pen.line(&[(0.0, 2.0), (0.0, 2.5), (-0.6, 2.5), (-0.6, 3.5), (0.0, 3.5), (0.0, 4.0)]);
        }
        Device::Resistor => {
            leads(pen, 1.5, 4.5);
            pen.rect(-0.5, 1.5, 0.5, 4.5);
        }
        Device::Diode => {
            pen.line(&[(0.0, 0.0), (0.0, LENGTH)]);
            pen.outline(&[(-0.8, 2.3), (0.8, 2.3), (0.0, 3.7)]);
            pen.line(&[(-0.8, 3.7), (0.8, 3.7)]);
        }
        Device::Source { alternating } => {
            leads(pen, 1.5, 4.5);
            pen.circle(0.0, 3.0, 1.5);
            source_sign(pen, 0.0, 3.0, *alternating);
        }
        Device::Box(text) => {
            leads(pen, 2.0, 4.0);
            let half = (text_width(text, 0.8) / 2.0 + 0.4).max(2.0);
            pen.rect(-half, 2.0, half, 4.0);
            pen.text(0.0, 3.4, text, 0.8, Align::Middle);
        }
        Device::Post => {
            leads(pen, 2.7, 3.3);
            pen.circle(0.0, 3.0, 0.3);
        }
    }
}

fn source_sign(pen: &mut Pen, x: f64, y: f64, alternating: bool) {
    if alternating {
        pen.arc(x - 0.4, y, 0.4, 180.0, 180.0);
        // The second half-wave, below the line.
        pen.arc(x + 0.4, y, 0.4, 0.0, 180.0);
    } else {
        pen.line(&[(x - 0.8, y - 0.25), (x + 0.8, y - 0.25)]);
        pen.line(&[(x - 0.8, y + 0.25), (x - 0.35, y + 0.25)]);
        pen.line(&[(x - 0.2, y + 0.25), (x + 0.2, y + 0.25)]);
        pen.line(&[(x + 0.35, y + 0.25), (x + 0.8, y + 0.25)]);
    }
}

fn upright_contact(pen: &mut Pen, name: &str, by: Operation, closed: bool) {
    let (top, foot) = (2.0, 4.0);
    leads(pen, top, foot);
    if closed {
        pen.line(&[(0.0, top), (1.1, top)]);
    }
    pen.contact(name, closed, |pen, now| {
        let tip = match (closed, now) {
            (false, false) => (-1.2, top),
            // Laid against the lead and a little beyond, so that it is no plain wire.
            (false, true) => (0.3, top - 0.5),
            (true, true) => (1.1, top - 0.35),
            (true, false) => (1.9, top + 0.45),
        };
        pen.line(&[(0.0, foot), tip]);
        if matches!(by, Operation::OnDelay | Operation::OffDelay) {
            // The rods of the parachute, from the middle of the blade.
            let x = tip.0 / 2.0;
            let end = if by == Operation::OnDelay { -2.59 } else { -1.81 };
            for y in [2.85, 3.15] {
                pen.line(&[(x - 0.1, y), (end, y)]);
            }
        }
    });
    // From the middle of the blade to what works it.
    let link = |pen: &mut Pen, to: f64| {
        let from = if closed { 0.45 } else { -0.65 };
        pen.inked(Ink::Pilot, |pen| pen.line(&[(from, 3.0), (to, 3.0)]));
    };
    match by {
        Operation::Relay => {}
        // The delay acts from the arc towards its centre: the blade moves to the right when worked.
        Operation::OnDelay => pen.arc(-1.7, 3.0, 0.9, 120.0, 120.0),
        Operation::OffDelay => pen.arc(-2.7, 3.0, 0.9, -60.0, 120.0),
        Operation::Push => {
            link(pen, -3.0);
            pen.line(&[(-2.5, 2.3), (-3.0, 2.3), (-3.0, 3.7), (-2.5, 3.7)]);
        }
        Operation::Mushroom => {
            link(pen, -3.0);
            pen.arc(-2.6, 3.0, 0.9, 105.0, 150.0);
            pen.line(&[(-2.83, 2.13), (-2.83, 3.87)]);
            detent(pen, -1.7);
        }
        Operation::Turn => {
            link(pen, -3.0);
            pen.line(&[(-3.5, 2.2), (-3.0, 2.2), (-3.0, 3.8), (-2.5, 3.8)]);
            detent(pen, -1.7);
        }
        Operation::Roller => {
            link(pen, -2.4);
            pen.circle(-2.9, 3.0, 0.5);
        }
        Operation::Proximity => {
            link(pen, -2.0);
            diamond(pen, -3.0, 3.0);
        }
        Operation::Pressure => boxed(pen, &link, "p"),
        Operation::Flow => boxed(pen, &link, "q"),
        Operation::Temperature => boxed(pen, &link, "t"),
        Operation::Level => {
            link(pen, -2.4);
            pen.circle(-3.0, 3.0, 0.6);
            pen.line(&[(-3.8, 3.0), (-2.2, 3.0)]);
        }
        Operation::Overload => {
            link(pen, -2.2);
            pen.rect(-3.8, 2.2, -2.2, 3.8);
            pen.line(&[
                (-3.8, 3.0),
                (-3.3, 3.0),
                (-3.3, 2.6),
                (-2.7, 2.6),
                (-2.7, 3.0),
                (-2.2, 3.0),
            ]);
        }
        Operation::Output => {
            pen.inked(Ink::Frame, |pen| pen.rect(-2.2, 1.6, 2.4, 4.5));
        }
    }
}

fn detent(pen: &mut Pen, x: f64) {
    pen.line(&[(x - 0.35, 3.0), (x, 3.6), (x + 0.35, 3.0)]);
}

fn diamond(pen: &mut Pen, x: f64, y: f64) {
    pen.outline(&[(x - 1.0, y), (x, y - 1.0), (x + 1.0, y), (x, y + 1.0)]);
    pen.line(&[(x - 0.25, y - 0.4), (x - 0.25, y + 0.4)]);
    pen.line(&[(x + 0.25, y - 0.4), (x + 0.25, y + 0.4)]);
}

fn boxed(pen: &mut Pen, link: &dyn Fn(&mut Pen, f64), letter: &str) {
    link(pen, -2.2);
    pen.rect(-3.8, 2.2, -2.2, 3.8);
    pen.text(-3.0, 3.3, letter, 0.8, Align::Middle);
}

fn lying(pen: &mut Pen, device: &Device) {
    let leads = |pen: &mut Pen, from: f64, to: f64| {
        pen.line(&[(0.0, 0.0), (from, 0.0)]);
        pen.line(&[(to, 0.0), (LENGTH, 0.0)]);
    };
    match device {
        Device::Contact { name, by, closed } => lying_contact(pen, name, *by, *closed),
        Device::Coil { name, kind, latch } => {
            leads(pen, 1.5, 4.5);
            pen.with(Subject::Coil(name.clone()), |pen| pen.circle(3.0, 0.0, 1.5));
            let letters = match kind {
                Operation::OnDelay => "TON",
                Operation::OffDelay => "TOF",
                _ => latch,
            };
            pen.text(3.0, 0.3, letters, 0.6, Align::Middle);
        }
        Device::Solenoid { name } => {
            pen.with(Subject::Coil(name.clone()), |pen| {
                pen.line(&[
                    (0.0, 0.0),
                    (1.2, 0.0),
                    (1.8, -0.9),
                    (2.6, 0.9),
                    (3.4, -0.9),
                    (4.2, 0.9),
                    (4.8, 0.0),
                    (6.0, 0.0),
                ]);
            });
        }
        Device::Winding { name } => {
            leads(pen, 1.5, 4.5);
            pen.with(Subject::Coil(name.clone()), |pen| {
                for k in 0..3 {
                    pen.arc(2.0 + f64::from(k), 0.0, 0.5, 180.0, 180.0);
                }
            });
        }
        Device::Lamp(tag) => {
            leads(pen, 1.8, 4.2);
            pen.with(Subject::Lamp(tag.clone()), |pen| {
                pen.circle(3.0, 0.0, 1.2);
                for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
                    pen.line(&[(3.0 + 0.95 * x, 0.95 * y), (3.0 + 1.4 * x, 1.4 * y)]);
                }
            });
        }
        Device::Fuse => {
            leads(pen, 1.5, 4.5);
            pen.arc(2.25, 0.0, 0.75, 180.0, 180.0);
            pen.arc(3.75, 0.0, 0.75, 0.0, 180.0);
        }
        Device::Secondary => {
            leads(pen, 1.5, 4.5);
            for k in 0..3 {
                pen.arc(2.0 + f64::from(k), 0.0, 0.5, 0.0, 180.0);
            }
            pen.line(&[(1.5, -0.4), (4.5, -0.4)]);
            pen.line(&[(1.5, -0.7), (4.5, -0.7)]);
        }
        Device::Release => {
            leads(pen, 2.0, 4.0);
            pen.rect(2.0, -1.0, 4.0, 1.0);
            pen.line(&[(2.0, 0.0), (2.5, 0.0), (2.5, -0.6), (3.5, -0.6), (3.5, 0.0), (4.0, 0.0)]);
        }
        Device::Resistor => {
            pen.line(&[
                (0.0, 0.0),
                (1.5, 0.0),
                (1.75, -0.6),
                (2.25, 0.6),
                (2.75, -0.6),
                (3.25, 0.6),
                (3.75, -0.6),
                (4.25, 0.6),
                (4.5, 0.0),
                (6.0, 0.0),
            ]);
        }
        Device::Diode => {
            pen.line(&[(0.0, 0.0), (LENGTH, 0.0)]);
            pen.outline(&[(2.3, -0.8), (2.3, 0.8), (3.7, 0.0)]);
            pen.line(&[(3.7, -0.8), (3.7, 0.8)]);
        }
        Device::Source { alternating } => {
            leads(pen, 1.5, 4.5);
            pen.circle(3.0, 0.0, 1.5);
            source_sign(pen, 3.0, 0.0, *alternating);
        }
        Device::Box(text) => {
            // Small enough to leave room for the terminals.
            let wide = text_width(text, 0.8);
            let height = 0.8 * (2.6 / wide.max(2.6));
            leads(pen, 1.5, 4.5);
            pen.rect(1.5, -1.0, 4.5, 1.0);
            pen.text(3.0, height / 2.0, text, height, Align::Middle);
        }
        Device::Post => {
            leads(pen, 2.7, 3.3);
            pen.circle(3.0, 0.0, 0.3);
        }
    }
}

/// North American contacts are always drawn at rest; what shows that one is closed is a bridge across
/// it, which no fresh sheet has.
fn lying_contact(pen: &mut Pen, name: &str, by: Operation, closed: bool) {
    let leads = |pen: &mut Pen, from: f64, to: f64| {
        pen.line(&[(0.0, 0.0), (from, 0.0)]);
        pen.line(&[(to, 0.0), (LENGTH, 0.0)]);
    };
    let bars = |pen: &mut Pen| {
        leads(pen, 2.4, 3.6);
        pen.line(&[(2.4, -1.2), (2.4, 1.2)]);
        pen.line(&[(3.6, -1.2), (3.6, 1.2)]);
        if closed {
            pen.line(&[(2.0, 1.2), (4.0, -1.2)]);
        }
    };
    let posts = |pen: &mut Pen| {
        leads(pen, 1.5, 4.5);
        pen.circle(1.8, 0.0, 0.3);
        pen.circle(4.2, 0.0, 0.3);
    };
    // A blade from the left post: resting on the right one, or below it.
    let blade = |pen: &mut Pen| {
        posts(pen);
        let end = if closed { (4.5, -0.45) } else { (4.3, 0.95) };
        pen.line(&[(2.1, 0.0), end]);
        if closed { -0.15 } else { 0.5 }
    };
    match by {
        Operation::Relay => bars(pen),
        Operation::Output => {
            bars(pen);
            pen.rect(1.4, -1.6, 4.6, 1.6);
        }
        Operation::Push | Operation::Mushroom => {
            posts(pen);
            let bar = if closed { 0.3 } else { -1.0 };
            pen.line(&[(1.4, bar), (4.6, bar)]);
            pen.line(&[(3.0, bar), (3.0, -2.0)]);
            if by == Operation::Push {
                pen.line(&[(2.4, -2.0), (3.6, -2.0)]);
            } else {
                pen.arc(3.0, -1.6, 1.1, 200.0, 140.0);
                pen.line(&[(1.97, -1.98), (4.03, -1.98)]);
            }
        }
        Operation::Turn => {
            blade(pen);
            pen.inked(Ink::Pilot, |pen| pen.line(&[(3.0, -0.2), (3.0, -1.6)]));
            pen.line(&[(2.4, -2.0), (3.0, -1.6), (3.6, -2.0)]);
        }
        Operation::Roller => {
            let y = blade(pen);
            pen.outline(&[(2.9, y), (3.9, y + 0.22), (3.4, y + 1.0)]);
        }
        Operation::Proximity => {
            bars(pen);
            pen.outline(&[(0.9, 0.0), (3.0, -1.9), (5.1, 0.0), (3.0, 1.9)]);
        }
        Operation::Pressure => {
            let y = blade(pen);
            pen.line(&[(3.2, y), (3.2, 1.6)]);
            pen.arc(3.2, 2.2, 0.6, 180.0, 180.0);
            pen.line(&[(2.6, 2.2), (3.8, 2.2)]);
        }
        Operation::Temperature => {
            let y = blade(pen);
            pen.line(&[(3.2, y), (3.2, 1.4), (3.6, 1.4), (3.6, 1.8), (3.2, 1.8), (3.2, 2.2)]);
        }
        Operation::Level => {
            let y = blade(pen);
            pen.line(&[(3.2, y), (3.2, 1.4)]);
            pen.circle(3.2, 1.8, 0.4);
        }
        Operation::Flow => {
            let y = blade(pen);
            pen.line(&[(3.2, y), (3.2, 2.2)]);
            pen.outline(&[(3.2, 1.4), (4.0, 1.8), (3.2, 2.2)]);
        }
        Operation::Overload => {
            bars(pen);
            pen.text(3.0, -1.4, "OL", 0.6, Align::Middle);
            pen.reserve(2.0, -2.2, 4.0, 1.2);
        }
        Operation::OnDelay | Operation::OffDelay => {
            let y = blade(pen);
            let (from, to) = if by == Operation::OnDelay { (2.1, 1.3) } else { (1.3, 2.1) };
            pen.line(&[(3.2, y), (3.2, 2.1)]);
            pen.line(&[(2.8, from), (3.2, to), (3.6, from)]);
        }
    }
    let before = pen.clone();
    pen.with(Subject::Contact(name.to_owned(), true), |pen| {
        pen.shown = false;
        pen.line(&[(1.8, 0.0), (4.2, 0.0)]);
        pen.shown = before.shown;
    });
}
