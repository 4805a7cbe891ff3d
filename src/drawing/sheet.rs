//! A drawing sheet: marks with a shape, an ink and the thing of the bench that they stand for.

/// A place on a sheet [modules].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right [modules].
    pub x: f64,
    /// Downwards [modules].
    pub y: f64,
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
    /// A wire of the control circuit between two terminals.
    Wire(String, String),
    /// A fluid line between two ports.
    Line(String, String),
    /// A contact of a switching part, such as `K1:13-14`: drawn once open, once closed.
    Contact(String, bool),
    /// A box of a spool valve that slides over the ports with the spool: part and shift of this box.
    Spool(String),
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
}
