//! What symbols are drawn with, and what they come out as.

use std::f64::consts::PI;

use super::super::sheet::{Align, Area, Ink, Mark, Motion, Point, Shape, Subject};

/// Which way a line leaves a symbol.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Facing {
    /// Upwards on the sheet.
    Up,
    /// To the right.
    Right,
    /// Downwards.
    Down,
    /// To the left.
    Left,
}

impl Facing {
    /// One step this way.
    #[must_use]
    pub fn step(self) -> (i32, i32) {
        match self {
            Facing::Up => (0, -1),
            Facing::Right => (1, 0),
            Facing::Down => (0, 1),
            Facing::Left => (-1, 0),
        }
    }

    fn flipped(self) -> Facing {
        match self {
            Facing::Up => Facing::Down,
            Facing::Down => Facing::Up,
            other => other,
        }
    }

    fn mirrored(self) -> Facing {
        match self {
            Facing::Left => Facing::Right,
            Facing::Right => Facing::Left,
            other => other,
        }
    }
}

/// A place where a line ends on a symbol.
#[derive(Clone, Debug, PartialEq)]
pub struct Anchor {
    /// Marking of the port or terminal.
    pub name: String,
    /// Where.
    pub at: Point,
    /// Which way the line leaves.
    pub facing: Facing,
}

/// A symbol: its marks, where lines end on it, and the room it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Glyph {
    /// The marks.
    pub marks: Vec<Mark>,
    /// Where lines end.
    pub anchors: Vec<Anchor>,
    /// The room it takes with all that moves, labels left out; no line of others may cross it.
    pub body: Area,
    /// What moves.
    pub motions: Vec<Motion>,
}

impl Glyph {
    /// The anchor named `name`.
    #[must_use]
    pub fn anchor(&self, name: &str) -> Option<&Anchor> {
        self.anchors.iter().find(|a| a.name == name)
    }

    /// Turned upside down; texts stay readable.
    #[must_use]
    pub fn flipped(mut self) -> Glyph {
        for mark in &mut self.marks {
            mark.shape = turn(&mark.shape, 1.0, -1.0);
        }
        for anchor in &mut self.anchors {
            anchor.at.y = -anchor.at.y;
            anchor.facing = anchor.facing.flipped();
        }
        let body = self.body;
        self.body = Area { top: -body.bottom, bottom: -body.top, ..body };
        for motion in &mut self.motions {
            motion.dy = -motion.dy;
        }
        self
    }

    /// Turned left to right; texts stay readable.
    #[must_use]
    pub fn mirrored(mut self) -> Glyph {
        for mark in &mut self.marks {
            mark.shape = turn(&mark.shape, -1.0, 1.0);
        }
        for anchor in &mut self.anchors {
            anchor.at.x = -anchor.at.x;
            anchor.facing = anchor.facing.mirrored();
        }
        let body = self.body;
        self.body = Area { left: -body.right, right: -body.left, ..body };
        for motion in &mut self.motions {
            motion.dx = -motion.dx;
        }
        self
    }

    /// Moves it.
    pub fn shift(&mut self, dx: f64, dy: f64) {
        for mark in &mut self.marks {
            mark.shape.shift(dx, dy);
        }
        for anchor in &mut self.anchors {
            anchor.at.x += dx;
            anchor.at.y += dy;
        }
        self.body = self.body.moved(dx, dy);
    }
}

fn turn(shape: &Shape, sx: f64, sy: f64) -> Shape {
    let at = |p: &Point| Point::new(sx * p.x, sy * p.y);
    match shape {
        Shape::Path { points, closed } => {
            Shape::Path { points: points.iter().map(at).collect(), closed: *closed }
        }
        Shape::Circle { centre, radius } => Shape::Circle { centre: at(centre), radius: *radius },
        Shape::Arc { centre, radius, from_rad, sweep_rad } => {
            // A mirrored arc begins at its mirrored end, so that it keeps running clockwise.
            let end = from_rad + sweep_rad;
            let from_rad = match (sx < 0.0, sy < 0.0) {
                (false, false) => *from_rad,
                (false, true) => -end,
                (true, false) => PI - end,
                (true, true) => PI + from_rad,
            };
            Shape::Arc { centre: at(centre), radius: *radius, from_rad, sweep_rad: *sweep_rad }
        }
        Shape::Text { at: foot, text, height, align } => {
            // Turned about its middle, not about its foot.
            let middle = Point::new(foot.x, foot.y - height / 2.0);
            let turned = at(&middle);
            let align = match (align, sx < 0.0) {
                (Align::Start, true) => Align::End,
                (Align::End, true) => Align::Start,
                (same, _) => *same,
            };
            let at = Point::new(turned.x, turned.y + height / 2.0);
            Shape::Text { at, text: text.clone(), height: *height, align }
        }
    }
}

/// Collects the marks of a symbol.
#[derive(Clone, Debug)]
pub struct Pen {
    glyph: Glyph,
    /// Ink of what comes next.
    pub ink: Ink,
    /// Subject of what comes next.
    pub subject: Subject,
    /// Whether what comes next is to be seen.
    pub shown: bool,
}

impl Pen {
    /// A fresh pen for marks of `subject`.
    #[must_use]
    pub fn new(subject: Subject) -> Pen {
        let glyph = Glyph {
            marks: Vec::new(),
            anchors: Vec::new(),
            body: Area::EMPTY,
            motions: Vec::new(),
        };
        Pen { glyph, ink: Ink::Outline, subject, shown: true }
    }

    fn mark(&mut self, shape: Shape, ink: Ink) {
        if !matches!(shape, Shape::Text { .. }) {
            self.glyph.body.include(shape.area());
        }
        let (subject, shown) = (self.subject.clone(), self.shown);
        self.glyph.marks.push(Mark { shape, ink, subject, shown, weight: 1.0 });
    }

    /// Straight pieces.
    pub fn line(&mut self, points: &[(f64, f64)]) {
        let points = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
        self.mark(Shape::Path { points, closed: false }, self.ink);
    }

    /// A closed outline.
    pub fn outline(&mut self, points: &[(f64, f64)]) {
        let points = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
        self.mark(Shape::Path { points, closed: true }, self.ink);
    }

    /// A filled outline.
    pub fn solid(&mut self, points: &[(f64, f64)]) {
        let points = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
        self.mark(Shape::Path { points, closed: true }, Ink::Solid);
    }

    /// A rectangle by two corners.
    pub fn rect(&mut self, left: f64, top: f64, right: f64, bottom: f64) {
        self.outline(&[(left, top), (right, top), (right, bottom), (left, bottom)]);
    }

    /// A circle.
    pub fn circle(&mut self, x: f64, y: f64, radius: f64) {
        self.mark(Shape::Circle { centre: Point::new(x, y), radius }, self.ink);
    }

    /// A filled circle.
    pub fn dot(&mut self, x: f64, y: f64, radius: f64) {
        self.mark(Shape::Circle { centre: Point::new(x, y), radius }, Ink::Solid);
    }

    /// An arc, clockwise, in degrees from the x axis.
    pub fn arc(&mut self, x: f64, y: f64, radius: f64, from_deg: f64, sweep_deg: f64) {
        let (from_rad, sweep_rad) = (from_deg * PI / 180.0, sweep_deg * PI / 180.0);
        let centre = Point::new(x, y);
        self.mark(Shape::Arc { centre, radius, from_rad, sweep_rad }, self.ink);
    }

    /// An arrow head at the second point of a line from the first.
    pub fn head(&mut self, from: (f64, f64), to: (f64, f64)) {
        const LENGTH: f64 = 0.8;
        const HALF: f64 = 0.25;
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = (dx * dx + dy * dy).sqrt();
        if length < 1e-9 {
            return;
        }
        let (ux, uy) = (dx / length, dy / length);
        let (bx, by) = (to.0 - LENGTH * ux, to.1 - LENGTH * uy);
        self.solid(&[to, (bx - HALF * uy, by + HALF * ux), (bx + HALF * uy, by - HALF * ux)]);
    }

    /// A line with an arrow head at its end.
    pub fn arrow(&mut self, from: (f64, f64), to: (f64, f64)) {
        self.line(&[from, to]);
        self.head(from, to);
    }

    /// A text.
    pub fn text(&mut self, x: f64, y: f64, text: &str, height: f64, align: Align) {
        let shape = Shape::Text { at: Point::new(x, y), text: text.to_owned(), height, align };
        self.mark(shape, self.ink);
    }

    /// A place where a line ends.
    pub fn anchor(&mut self, name: &str, x: f64, y: f64, facing: Facing) {
        let (name, at) = (name.to_owned(), Point::new(x, y));
        self.glyph.anchors.push(Anchor { name, at, facing });
    }

    /// Says how a subject moves.
    pub fn motion(&mut self, motion: Motion) {
        self.glyph.motions.push(motion);
    }

    /// Room beyond the marks.
    pub fn reserve(&mut self, left: f64, top: f64, right: f64, bottom: f64) {
        self.glyph.body.include(Area { left, top, right, bottom });
    }

    /// Room taken so far.
    #[must_use]
    pub fn body(&self) -> Area {
        self.glyph.body
    }

    /// With another subject.
    pub fn with(&mut self, subject: Subject, draw: impl FnOnce(&mut Pen)) {
        let old = std::mem::replace(&mut self.subject, subject);
        draw(self);
        self.subject = old;
    }

    /// With another ink.
    pub fn inked(&mut self, ink: Ink, draw: impl FnOnce(&mut Pen)) {
        let old = std::mem::replace(&mut self.ink, ink);
        draw(self);
        self.ink = old;
    }

    /// Draws a contact in both its positions; the one at rest is shown.
    pub fn contact(&mut self, name: &str, closed_at_rest: bool, draw: impl Fn(&mut Pen, bool)) {
        for closed in [false, true] {
            let (subject, shown) = (self.subject.clone(), self.shown);
            self.subject = Subject::Contact(name.to_owned(), closed);
            self.shown = closed == closed_at_rest;
            draw(self, closed);
            (self.subject, self.shown) = (subject, shown);
        }
    }

    /// The symbol.
    #[must_use]
    pub fn done(self) -> Glyph {
        self.glyph
    }
}
