//! Draws a laid-out control circuit: symbols, labels, references; the wires have a file of their own.

use crate::plant::Plan;

use super::super::Style;
use super::super::labels::wrapped;
use super::super::sheet::{Align, Area, Ink, Mark, Point, Shape, Sheet, Subject, text_width};
use super::super::symbols::Glyph;
use super::super::symbols::electric::{Device, LENGTH, Operation, symbol};
use super::circuit::{Circuit, Element};
use super::layout::{Layout, Spot};

mod wires;

/// Heights of text [modules].
const TAG: f64 = 1.0;
const SMALL: f64 = 0.7;
/// From line to line of small text [modules].
const LEAD: f64 = 1.15;
/// Most width of a wrapped title [modules].
const TITLE: f64 = 9.0;
/// Margin of the sheet [modules].
const MARGIN: f64 = 3.0;

/// Draws it.
pub fn paint(plan: &Plan, circuit: &Circuit, layout: &Layout, style: Style) -> Sheet {
    let glyphs: Vec<Glyph> = layout
        .spots
        .iter()
        .map(|spot| {
            let element = &circuit.elements[spot.element];
            let glyph = symbol(&element.tag, &element.device, style);
            if !spot.turned {
                return glyph;
            }
            // Turned end for end.
            match style {
                Style::Iec if one_way(&element.device) => {
                    let mut glyph = glyph.flipped();
                    glyph.shift(0.0, LENGTH);
                    glyph
                }
                Style::NorthAmerican if one_way(&element.device) => {
                    let mut glyph = glyph.mirrored();
                    glyph.shift(LENGTH, 0.0);
                    glyph
                }
                _ => glyph,
            }
        })
        .collect();
    let mut painter = Painter {
        circuit,
        layout,
        style,
        glyphs,
        rows: Vec::new(),
        columns: Vec::new(),
        rail_u: [0.0; 2],
        marks: Vec::new(),
        rooms: Vec::new(),
        size: (0.0, 0.0),
    };
    painter.measure();
    painter.title(plan);
    painter.numbers();
    painter.combs();
    painter.elements();
    painter.feet();
    let (width, height) = painter.size;
    Sheet {
        title: format!("{}: control circuit", plan.name),
        width,
        height,
        marks: painter.marks,
        motions: Vec::new(),
        rooms: painter.rooms,
    }
}

/// Whether a symbol says which of its ends is which.
fn one_way(device: &Device) -> bool {
    matches!(device, Device::Diode)
}

struct Painter<'c> {
    circuit: &'c Circuit,
    layout: &'c Layout,
    style: Style,
    glyphs: Vec<Glyph>,
    /// Where each path runs.
    rows: Vec<f64>,
    /// Where the symbols of each column begin.
    columns: Vec<f64>,
    /// Where the rails run.
    rail_u: [f64; 2],
    marks: Vec<Mark>,
    rooms: Vec<(String, Area)>,
    size: (f64, f64),
}

impl Painter<'_> {
    /// Length of the gaps between symbols, in which wires are labelled.
    fn gap(&self) -> f64 {
        match self.style {
            Style::Iec => 3.2,
            Style::NorthAmerican => 6.4,
        }
    }

    fn at(&self, u: f64, v: f64) -> Point {
        match self.style {
            Style::Iec => Point::new(v, u),
            Style::NorthAmerican => Point::new(u, v),
        }
    }

    fn element(&self, spot: &Spot) -> &Element {
        &self.circuit.elements[spot.element]
    }

    /// Lines that stand at a symbol: text, height, subject.
    fn lines(&self, spot: &Spot) -> Vec<(String, f64, Subject)> {
        let element = self.element(spot);
        let own = Subject::Part(element.tag.clone());
        if element.device == Device::Post {
            return vec![(element.label.clone(), SMALL, Subject::Terminal(element.label.clone()))];
        }
        let subject = match &element.device {
            Device::Coil { name, .. } | Device::Solenoid { name } | Device::Winding { name } => {
                Subject::Coil(name.clone())
            }
            _ => own.clone(),
        };
        let mut lines = vec![(element.label.clone(), TAG, subject)];
        let coil = self.moved_by(element);
        if !has_foot(spot, element) && coil.is_none() && !is_point(element) {
            let title = wrapped(&element.title, SMALL, TITLE);
            lines.extend(title.into_iter().map(|t| (t, SMALL, own.clone())));
        }
        lines.extend(element.notes.iter().map(|(t, s)| (t.clone(), SMALL, s.clone())));
        if let Some(row) = coil {
            lines.push((format!("/{}", row + 1), SMALL, own));
        }
        lines
    }

    /// The path of the coil that moves this contact.
    fn moved_by(&self, element: &Element) -> Option<usize> {
        let Device::Contact { by, .. } = &element.device else { return None };
        matches!(by, Operation::Relay | Operation::OnDelay | Operation::OffDelay)
            .then(|| {
                self.layout.spots.iter().find(|s| {
                    let other = self.element(s);
                    other.tag == element.tag && matches!(other.device, Device::Coil { .. })
                })
            })
            .flatten()
            .map(|s| s.row)
    }

    /// Lines at the end of a path: what it is for, and where the contacts of its coil are.
    fn foot(&self, row: usize) -> Vec<(String, Subject)> {
        let mut lines = Vec::new();
        for spot in self.layout.spots.iter().filter(|s| s.row == row) {
            let element = self.element(spot);
            if !has_foot(spot, element) {
                continue;
            }
            let own = Subject::Part(element.tag.clone());
            let title = wrapped(&element.title, SMALL, TITLE);
            lines.extend(title.into_iter().map(|t| (t, own.clone())));
            if !matches!(element.device, Device::Coil { .. }) {
                continue;
            }
            for other in &self.layout.spots {
                if let Device::Contact { name, .. } = &self.element(other).device
                    && self.element(other).tag == element.tag
                {
                    let marking = name.split_once(':').map_or(name.as_str(), |(_, m)| m);
                    let text = format!("{marking} /{}", other.row + 1);
                    lines.push((text, own.clone()));
                }
            }
        }
        lines
    }

    /// Finds the places of paths and columns.
    fn measure(&mut self) {
        let rows = self.layout.rows;
        let (mut before, mut after) = (vec![2.5_f64; rows], vec![2.5_f64; rows]);
        let mut widths = vec![LENGTH; self.layout.columns];
        let mut foot_depth: f64 = 0.0;
        for (spot, glyph) in self.layout.spots.iter().zip(&self.glyphs) {
            let lines = self.lines(spot);
            let mut wide = lines.iter().map(|(t, h, _)| text_width(t, *h)).fold(0.0, f64::max);
            if lines.iter().any(|(_, _, subject)| matches!(subject, Subject::Coil(_))) {
                // Room for its current and temperature.
                wide = wide.max(text_width("120 degC", SMALL));
            }
            let (row, body) = (spot.row, glyph.body);
            match self.style {
                Style::Iec => {
                    before[row] = before[row].max(wide + 0.6 - body.left.min(-0.5));
                    after[row] = after[row].max(body.right + 0.3);
                    for side in 0..2 {
                        let text = self.marking(spot, side);
                        after[row] = after[row].max(0.6 + text_width(&text, SMALL));
                    }
                }
                Style::NorthAmerican => {
                    let extra = LEAD * (lines.len() as f64 - 1.0);
                    before[row] = before[row].max(2.0 + 0.6 - body.top.min(-1.2));
                    after[row] = after[row].max(body.bottom.max(1.2) + 0.6 + extra);
                    let column = &mut widths[spot.column];
                    *column = column.max(wide + 1.0);
                }
            }
        }
        for row in 0..rows {
            let lines = self.foot(row);
            let wide = lines.iter().map(|(t, _)| text_width(t, SMALL)).fold(0.0, f64::max);
            match self.style {
                Style::Iec => {
                    before[row] = before[row].max(wide / 2.0 + 0.4);
                    after[row] = after[row].max(wide / 2.0 + 0.4);
                    foot_depth = foot_depth.max(LEAD * lines.len() as f64);
                }
                Style::NorthAmerican => {
                    foot_depth = foot_depth.max(wide);
                    after[row] = after[row].max(LEAD * lines.len() as f64 + 0.3);
                }
            }
        }
        let (first_u, first_v) = match self.style {
            Style::Iec => (MARGIN + 7.0, MARGIN),
            Style::NorthAmerican => (MARGIN + 4.0, MARGIN + 4.0),
        };
        let gap = self.gap();
        self.rail_u[0] = first_u;
        let mut u = first_u + gap;
        for wide in &widths {
            self.columns.push(u + (wide - LENGTH) / 2.0);
            u += wide + gap;
        }
        self.rail_u[1] = u;
        let mut v = first_v;
        for row in 0..rows {
            let opens = self.layout.sections.iter().any(|s| s.rows.0 == row) && row > 0;
            if opens {
                v += 4.0;
            }
            v += before[row];
            self.rows.push(v);
            v += after[row] + 0.6;
        }
        let end_u = self.rail_u[1] + 2.0 + foot_depth + MARGIN;
        let end_v = v + MARGIN + 1.0;
        self.size = match self.style {
            Style::Iec => (end_v.ceil(), end_u.ceil()),
            Style::NorthAmerican => (end_u.ceil(), end_v.ceil()),
        };
    }

    fn push(&mut self, shape: Shape, ink: Ink, subject: Subject) {
        self.marks.push(Mark { shape, ink, subject, shown: true, weight: 1.0 });
    }

    fn text(&mut self, at: Point, text: &str, height: f64, align: Align, subject: Subject) {
        let ink = if height < TAG { Ink::Faint } else { Ink::Outline };
        self.push(Shape::Text { at, text: text.to_owned(), height, align }, ink, subject);
    }

    fn title(&mut self, plan: &Plan) {
        let at = Point::new(MARGIN, MARGIN + 1.4);
        let width = text_width(&plan.name, 1.4) + 2.0 * MARGIN;
        self.size.0 = self.size.0.max(width.ceil());
        self.text(at, &plan.name, 1.4, Align::Start, Subject::Paper);
    }

    /// Numbers of the paths, outside the first rail.
    fn numbers(&mut self) {
        for row in 0..self.layout.rows {
            let at = self.at(self.rail_u[0] - 1.2, self.rows[row]);
            let (at, align) = match self.style {
                Style::Iec => (at, Align::Middle),
                Style::NorthAmerican => (Point::new(at.x, at.y + 0.4), Align::End),
            };
            self.text(at, &(row + 1).to_string(), 0.8, align, Subject::Paper);
        }
    }

    /// The marking of a terminal.
    fn marking(&self, spot: &Spot, side: usize) -> String {
        let name = &self.circuit.names[spot.node(self.circuit, side)];
        name.split_once(':').map_or(name.clone(), |(_, m)| m.to_owned())
    }

    /// Where an end of a placed element is along the path.
    fn end_u(&self, spot: &Spot, side: usize) -> f64 {
        self.columns[spot.column] + if side == 0 { 0.0 } else { LENGTH }
    }

    fn elements(&mut self) {
        for (k, spot) in self.layout.spots.iter().enumerate() {
            let at = self.at(self.columns[spot.column], self.rows[spot.row]);
            let mut glyph = self.glyphs[k].clone();
            glyph.shift(at.x, at.y);
            let body = glyph.body;
            self.rooms.push((self.element(spot).tag.clone(), body));
            self.marks.append(&mut glyph.marks);
            let device = &self.element(spot).device;
            if *device != Device::Post {
                for side in 0..2 {
                    if self.circuit.terminals.contains(&spot.node(self.circuit, side)) {
                        self.terminal(spot, side, at);
                    }
                }
            }
            self.labels(spot, at, body);
        }
    }

    fn terminal(&mut self, spot: &Spot, side: usize, at: Point) {
        let text = self.marking(spot, side);
        let name = self.circuit.names[spot.node(self.circuit, side)].clone();
        let subject = Subject::Terminal(name);
        let length = if side == 0 { 0.0 } else { LENGTH };
        let (ring, foot, align) = match self.style {
            Style::Iec => {
                let y = if side == 0 { 1.2 } else { 5.55 };
                let foot = Point::new(at.x + 0.35, at.y + y);
                (Point::new(at.x, at.y + length), foot, Align::Start)
            }
            Style::NorthAmerican => {
                // In the middle of the lead, or as far out as keeps it off the symbol.
                let half = text_width(&text, 0.6) / 2.0;
                let x = if side == 0 { (1.35 - half).min(0.7) } else { (4.65 + half).max(5.3) };
                let foot = Point::new(at.x + x, at.y - 0.4);
                (Point::new(at.x + length, at.y), foot, Align::Middle)
            }
        };
        self.push(Shape::Circle { centre: ring, radius: 0.18 }, Ink::Outline, subject.clone());
        let height = if self.style == Style::Iec { SMALL } else { 0.6 };
        self.text(foot, &text, height, align, subject);
    }

    fn labels(&mut self, spot: &Spot, at: Point, body: Area) {
        let lines = self.lines(spot);
        match self.style {
            Style::Iec => {
                let x = body.left.min(at.x - 0.5) - 0.4;
                let mut y = at.y + 3.4;
                if lines.len() > 1 {
                    y -= 0.5 * LEAD * (lines.len() as f64 - 1.0).min(2.0);
                }
                for (text, height, subject) in lines {
                    self.text(Point::new(x, y), &text, height, Align::End, subject);
                    y += LEAD;
                }
            }
            Style::NorthAmerican => {
                let x = at.x + LENGTH / 2.0;
                let mut y = body.bottom.max(at.y + 1.2) + 0.2 + SMALL;
                for (k, (text, height, subject)) in lines.into_iter().enumerate() {
                    if k == 0 {
                        let above = Point::new(x, body.top.min(at.y - 1.2) - 0.4);
                        self.text(above, &text, height, Align::Middle, subject);
                    } else {
                        self.text(Point::new(x, y), &text, height, Align::Middle, subject);
                        y += LEAD;
                    }
                }
            }
        }
    }

    fn feet(&mut self) {
        for row in 0..self.layout.rows {
            let lines = self.foot(row);
            let at = self.at(self.rail_u[1], self.rows[row]);
            for (k, (text, subject)) in lines.into_iter().enumerate() {
                let k = k as f64;
                let (at, align) = match self.style {
                    Style::Iec => (Point::new(at.x, at.y + 2.0 + LEAD * k), Align::Middle),
                    Style::NorthAmerican => {
                        (Point::new(at.x + 1.2, at.y + 0.35 + LEAD * k), Align::Start)
                    }
                };
                self.text(at, &text, SMALL, align, subject);
            }
        }
    }
}

/// Whether the title of a placed element stands at the end of its path.
fn has_foot(spot: &Spot, element: &Element) -> bool {
    spot.last
        && !is_point(element)
        && !matches!(
            element.device,
            Device::Contact { .. }
                | Device::Source { .. }
                | Device::Secondary
                | Device::Fuse
                | Device::Release
                | Device::Post
        )
}

/// Whether the title of its part stands elsewhere: at the supply of a controller, at the contact of a
/// breaker.
fn is_point(element: &Element) -> bool {
    match &element.device {
        Device::Box(text) => *text != element.tag,
        Device::Contact { by, .. } => *by == Operation::Output,
        Device::Release => true,
        _ => false,
    }
}
