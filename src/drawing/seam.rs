//! The seam: what stands on both sheets, once.

use crate::plant::{Element, Moves, Part, Plan, Tie};

use super::labels::wrapped;
use super::sheet::{Align, Ink, Sheet, Subject, text_width};
use super::symbols::Pen;

/// Which way something crosses the seam.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// The control side moves the power side: a solenoid.
    ToPower,
    /// The machine moves a switch.
    ToControl,
}

/// One thing that stands on both sheets.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crossing {
    /// Which way it works.
    pub way: Way,
    /// The part, such as `1V1` or `1S2`.
    pub part: String,
    /// Its winding for a solenoid, such as `1V1.a`.
    pub winding: Option<String>,
    /// Terminals on the control side.
    pub terminals: Vec<String>,
    /// What it belongs to on the power side: the valve, the cylinder, or the line.
    pub power: String,
    /// What it is for, as authored.
    pub title: String,
}

/// Everything that crosses: solenoids first, then switches, each in the order of the bench.
#[must_use]
pub fn of(plan: &Plan) -> Vec<Crossing> {
    let (mut solenoids, mut switches) = (Vec::new(), Vec::new());
    for part in &plan.parts {
        for &(_, element) in &part.elements {
            match element {
                Element::Winding(w) => {
                    let winding = &plan.windings[w.index()];
                    if !matches!(winding.moves, Moves::Spool(..)) {
                        continue;
                    }
                    let name = |n: crate::base::NodeId| plan.nodes[n.index()].name.clone();
                    solenoids.push(Crossing {
                        way: Way::ToPower,
                        part: part.tag.clone(),
                        winding: Some(winding.name.clone()),
                        terminals: vec![name(winding.a), name(winding.b)],
                        power: part.tag.clone(),
                        title: part.title.clone(),
                    });
                }
                Element::Operator(o) if !plan.operators[o.index()].contacts.is_empty() => {
                    let power = match plan.operators[o.index()].tie {
                        Tie::Piston(p) => plan.pistons[p.index()].name.clone(),
                        Tie::Volume(v) => plan.volumes[v.index()].name.clone(),
                        _ => continue,
                    };
                    switches.push(crossing_of_switch(part, power));
                }
                _ => {}
            }
        }
    }
    solenoids.append(&mut switches);
    solenoids
}

fn crossing_of_switch(part: &Part, power: String) -> Crossing {
    Crossing {
        way: Way::ToControl,
        part: part.tag.clone(),
        winding: None,
        terminals: part.terminals.iter().map(|(t, _)| format!("{}:{t}", part.tag)).collect(),
        power,
        title: part.title.clone(),
    }
}

/// From one crossing to the next [modules].
const PITCH: f64 = 9.0;
/// Where the seam runs, and how wide the sheet is [modules]. It is narrow: the sheets beside it need the
/// room.
const LINE: f64 = 9.5;
const WIDTH: f64 = 19.0;
/// How far the arrows of a crossing reach to either side [modules].
const REACH: f64 = 8.0;
/// Where the first crossing stands [modules].
const FIRST: f64 = 10.0;

/// The seam as a sheet: control on the left, power on the right, what crosses once between them.
#[must_use]
pub fn sheet(plan: &Plan) -> Sheet {
    let crossings = of(plan);
    let height = FIRST + PITCH * crossings.len() as f64 + 1.0;
    let mut pen = Pen::new(Subject::Paper);
    pen.text(3.0, 4.0, &plan.name, 1.4, Align::Start);
    pen.inked(Ink::Faint, |pen| {
        pen.text(1.5, 6.6, "control", 0.8, Align::Start);
        pen.text(WIDTH - 1.5, 6.6, "power", 0.8, Align::End);
    });
    pen.inked(Ink::Frame, |pen| pen.line(&[(LINE, 5.0), (LINE, FIRST - 3.4)]));
    for (k, crossing) in crossings.iter().enumerate() {
        let y = FIRST + PITCH * k as f64 + 1.0;
        draw(&mut pen, crossing, y);
        pen.inked(Ink::Frame, |pen| pen.line(&[(LINE, y + 3.6), (LINE, y + PITCH - 4.4)]));
    }
    let marks = pen.done().marks;
    let title = format!("{}: seam", plan.name);
    let wide = text_width(&plan.name, 1.4) + 6.0;
    Sheet { title, width: WIDTH.max(wide.ceil()), height, marks, ..Sheet::default() }
}

fn draw(pen: &mut Pen, crossing: &Crossing, y: f64) {
    let own = Subject::Part(crossing.part.clone());
    let live = match &crossing.winding {
        Some(name) => Subject::Coil(name.clone()),
        None => own.clone(),
    };
    let name = crossing.winding.as_ref().unwrap_or(&crossing.part);
    pen.with(live, |pen| {
        pen.rect(LINE - 2.0, y - 1.0, LINE + 2.0, y + 1.0);
        match crossing.way {
            Way::ToPower => pen.line(&[(LINE - 0.4, y - 1.0), (LINE + 0.4, y + 1.0)]),
            Way::ToControl => {
                pen.line(&[(LINE - 1.2, y), (LINE - 0.6, y), (LINE + 0.5, y - 0.6)]);
                pen.line(&[(LINE + 0.6, y), (LINE + 1.2, y)]);
            }
        }
        pen.text(LINE, y - 1.5, name, 1.0, Align::Middle);
    });
    pen.with(own, |pen| {
        pen.inked(Ink::Faint, |pen| {
            for (k, line) in wrapped(&crossing.title, 0.7, 10.0).iter().take(2).enumerate() {
                pen.text(LINE, y + 2.1 + 1.1 * k as f64, line, 0.7, Align::Middle);
            }
        });
    });
    // The way it works, from one side to the other.
    let (from, to) = (LINE - REACH, LINE + REACH);
    match crossing.way {
        Way::ToPower => {
            pen.line(&[(from, y), (LINE - 2.0, y)]);
            pen.arrow((LINE + 2.0, y), (to, y));
        }
        Way::ToControl => {
            pen.line(&[(to, y), (LINE + 2.0, y)]);
            pen.arrow((LINE - 2.0, y), (from, y));
        }
    }
    for (k, terminal) in crossing.terminals.iter().take(4).enumerate() {
        let marking = terminal.split_once(':').map_or(terminal.as_str(), |(_, m)| m);
        let (row, side) = ((k / 2) as f64, (k % 2) as f64);
        // The first pair stands above the arrow, the second below.
        let at = (from + 2.6 * side, y - 0.5 + 1.7 * row);
        pen.with(Subject::Terminal(terminal.clone()), |pen| {
            pen.text(at.0, at.1, marking, 0.7, Align::Start);
        });
    }
    // Beside the box; a long word is set smaller.
    let room = REACH - 2.4;
    let lines = wrapped(&crossing.power, 0.8, room);
    let widest = lines.iter().map(|line| text_width(line, 0.8)).fold(room, f64::max);
    let first = y - 0.5 - 1.1 * (lines.len().min(2) as f64 - 1.0);
    for (k, line) in lines.iter().take(2).enumerate() {
        pen.text(to, first + 1.1 * k as f64, line, 0.8 * room / widest, Align::End);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Diagnostics;

    #[test]
    fn each_solenoid_and_each_switch_of_the_machine_crosses_once() {
        let text = include_str!("../../scenarios/pusher.bench.ron");
        let bench = crate::bench::load("pusher", text, &mut Diagnostics::new()).expect("a bench");
        let list = of(&bench.plan);
        let names: Vec<(Way, &str)> = list.iter().map(|c| (c.way, c.part.as_str())).collect();
        assert_eq!(names, [(Way::ToPower, "1V1"), (Way::ToControl, "1S2")]);
        assert_eq!(list[0].winding.as_deref(), Some("1V1.a"));
        assert_eq!(list[1].power, "1A1");
    }
}
