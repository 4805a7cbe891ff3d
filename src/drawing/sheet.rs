//! A drawing sheet: marks with a shape, an ink and the thing of the bench that they stand for.

/// A place on a sheet [modules].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right [modules].
    pub x: f64,
    /// Downwards [modules].
    pub y: f64,
}

impl Point {
    /// The point at `x`, `y` [modules].
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Point {
        Point { x, y }
    }
}

/// What a mark stands for, so that live state can be shown on it and a click can find it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// Nothing that lives: a frame, a title.
    Paper,
    /// A part, by designation, such as `1V1`.
    Part(String),
    /// A terminal, such as `K1:A1`.
    Terminal(String),
    /// A port, such as `1V1:P`.
    Port(String),
    /// A wire of the control circuit, by tag, such as `W3`. Its points run from its first end to its
    /// second.
    Wire(String),
    /// A piece of a fluid line. Its points run away from the ports `from`: what these ports give
    /// into the line flows along it.
    Line {
        /// Name of the line.
        line: String,
        /// Ports on the side where the piece begins.
        from: Vec<String>,
    },
    /// A contact of a switching part, such as `K1:13-14`: drawn once open (false), once closed.
    Contact(String, bool),
    /// What slides over the ports with the spool of this valve: its boxes and its actuators.
    Spool(String),
    /// What moves with the piston of this cylinder.
    Piston(String),
    /// A winding, such as `K1` or `1V1.a`.
    Coil(String),
    /// A lamp, by designation.
    Lamp(String),
    /// A point where a gauge fits, such as `MP1`.
    TestPoint(String),
}

/// Where a text stands to its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Begins at the point.
    Start,
    /// Is centred on the point.
    Middle,
    /// Ends at the point.
    End,
}

/// How a mark is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Ordinary outline.
    Outline,
    /// A conductor or working line.
    Conductor,
    /// A pilot line: dashed.
    Pilot,
    /// A drain line: short dashes.
    Drain,
    /// Frame of an assembly: chain line.
    Frame,
    /// Filled.
    Solid,
    /// Thin help line or text of less weight.
    Faint,
}

/// The shape of a mark.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Straight pieces through these points.
    Path {
        /// The corners, in order.
        points: Vec<Point>,
        /// Whether the last joins the first.
        closed: bool,
    },
    /// A circle.
    Circle {
        /// Centre.
        centre: Point,
        /// Radius [modules].
        radius: f64,
    },
    /// Part of a circle, clockwise on the sheet.
    Arc {
        /// Centre.
        centre: Point,
        /// Radius [modules].
        radius: f64,
        /// Where it begins [rad], from the x axis, clockwise on the sheet.
        from_rad: f64,
        /// How far it goes [rad].
        sweep_rad: f64,
    },
    /// A line of text.
    Text {
        /// Foot of the text.
        at: Point,
        /// What it says.
        text: String,
        /// Height of a capital [modules].
        height: f64,
        /// How it stands to its point.
        align: Align,
    },
}

/// One mark on a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its shape.
    pub shape: Shape,
    /// How it is drawn.
    pub ink: Ink,
    /// What it stands for.
    pub subject: Subject,
    /// Whether it is to be seen. A contact is drawn in both its positions; on a fresh sheet the one
    /// at rest is shown.
    pub shown: bool,
    /// Width of its line as a multiple of what its ink usually has [1].
    pub weight: f64,
}

/// How a subject moves on the sheet: its marks shift by `(value - drawn_at) * (dx, dy)`, where value
/// is the position of the spool [1, -1 to +1] or of the piston [1 of its stroke].
#[derive(Clone, Debug, PartialEq)]
pub struct Motion {
    /// What moves: a spool or a piston.
    pub subject: Subject,
    /// The value with which the sheet is drawn.
    pub drawn_at: f64,
    /// Shift to the right for a value greater by one [modules].
    pub dx: f64,
    /// Shift downwards for a value greater by one [modules].
    pub dy: f64,
}

/// A sheet: its size and its marks, in drawing order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// What the sheet shows, for its title and for readers who cannot see it.
    pub title: String,
    /// Width [modules].
    pub width: f64,
    /// Height [modules].
    pub height: f64,
    /// The marks, first drawn first.
    pub marks: Vec<Mark>,
    /// What can move, and how.
    pub motions: Vec<Motion>,
    /// The room of each symbol with all its movements: part and rectangle. A tank that is drawn again has a
    /// room of its own.
    pub rooms: Vec<(String, Area)>,
}

impl Sheet {
    /// The sheet without its title, cut to what is on it and to where that can move, with `margin`
    /// [modules] around: for a screen, where every module counts and the title stands elsewhere.
    #[must_use]
    pub fn trimmed(mut self, margin: f64) -> Sheet {
        let title = self.title.clone();
        self.marks.retain(|mark| match &mark.shape {
            Shape::Text { text, .. } => {
                mark.subject != Subject::Paper || !title.starts_with(&format!("{text}: "))
            }
            _ => true,
        });
        let mut all = Area::EMPTY;
        for mark in &self.marks {
            let area = mark.shape.area();
            all.include(area);
            for motion in self.motions.iter().filter(|m| m.subject == mark.subject) {
                let least = if matches!(motion.subject, Subject::Piston(_)) { 0.0 } else { -1.0 };
                for value in [least, 1.0] {
                    let by = value - motion.drawn_at;
                    all.include(area.moved(by * motion.dx, by * motion.dy));
                }
            }
        }
        if all.is_empty() {
            return self;
        }
        let (dx, dy) = (margin - all.left, margin - all.top);
        self.marks.iter_mut().for_each(|mark| mark.shape.shift(dx, dy));
        self.rooms.iter_mut().for_each(|(_, area)| *area = area.moved(dx, dy));
        self.width = all.right - all.left + 2.0 * margin;
        self.height = all.bottom - all.top + 2.0 * margin;
        self
    }
}

/// A rectangle on a sheet [modules].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Area {
    /// Nothing yet: grows by [`Area::include`].
    pub const EMPTY: Area = Area {
        left: f64::INFINITY,
        top: f64::INFINITY,
        right: f64::NEG_INFINITY,
        bottom: f64::NEG_INFINITY,
    };

    /// Whether it holds nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.left > self.right
    }

    /// Grows to hold `other`.
    pub fn include(&mut self, other: Area) {
        self.left = self.left.min(other.left);
        self.top = self.top.min(other.top);
        self.right = self.right.max(other.right);
        self.bottom = self.bottom.max(other.bottom);
    }

    /// The same, larger by `by` on each side [modules].
    #[must_use]
    pub fn grown(self, by: f64) -> Area {
        Area {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    /// The same, moved.
    #[must_use]
    pub fn moved(self, dx: f64, dy: f64) -> Area {
        Area {
            left: self.left + dx,
            top: self.top + dy,
            right: self.right + dx,
            bottom: self.bottom + dy,
        }
    }

    /// Whether the two have more than an edge in common.
    #[must_use]
    pub fn overlaps(&self, other: &Area) -> bool {
        const HAIR: f64 = 1e-6;
        self.left < other.right - HAIR
            && other.left < self.right - HAIR
            && self.top < other.bottom - HAIR
            && other.top < self.bottom - HAIR
    }
}

/// Width of a letter as a multiple of the height of a capital: an upper bound taken from the advance
/// widths of DejaVu Sans, the widest of the common faces.
fn letter_width(letter: char) -> f64 {
    match letter {
        'W' | 'M' | 'm' | '@' | '%' | 'w' => 1.36,
        'i' | 'l' | 'j' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' => 0.46,
        '+' | '=' | '<' | '>' | '~' => 1.16,
        'I' | 'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '/' | '-' => 0.58,
        c if c.is_ascii_uppercase() => 1.08,
        _ => 0.90,
    }
}

/// Width that a line of text takes at the most [modules], for capitals of `height`.
#[must_use]
pub fn text_width(text: &str, height: f64) -> f64 {
    text.chars().map(letter_width).sum::<f64>() * height
}

impl Shape {
    /// The rectangle it fills [modules]; of an arc, that of its circle.
    #[must_use]
    pub fn area(&self) -> Area {
        let round = |c: &Point, r: f64| Area {
            left: c.x - r,
            top: c.y - r,
            right: c.x + r,
            bottom: c.y + r,
        };
        match self {
            Shape::Path { points, .. } => {
                let mut area = Area::EMPTY;
                for p in points {
                    area.include(Area { left: p.x, top: p.y, right: p.x, bottom: p.y });
                }
                area
            }
            Shape::Circle { centre, radius } | Shape::Arc { centre, radius, .. } => {
                round(centre, *radius)
            }
            Shape::Text { at, text, height, align } => {
                let width = text_width(text, *height);
                let left = match align {
                    Align::Start => at.x,
                    Align::Middle => at.x - width / 2.0,
                    Align::End => at.x - width,
                };
                Area { left, top: at.y - height, right: left + width, bottom: at.y + 0.28 * height }
            }
        }
    }

    /// Moves it.
    pub fn shift(&mut self, dx: f64, dy: f64) {
        let by = |p: &mut Point| {
            p.x += dx;
            p.y += dy;
        };
        match self {
            Shape::Path { points, .. } => points.iter_mut().for_each(by),
            Shape::Circle { centre, .. } | Shape::Arc { centre, .. } => by(centre),
            Shape::Text { at, .. } => by(at),
        }
    }
}
