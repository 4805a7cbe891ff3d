//! The seam: what stands on both sheets, once.

use crate::plant::{Element, Moves, Part, Plan, Tie};

use super::Sheet;

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
                Element::Operator(o) => {
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

/// The seam as a sheet, `height` [modules] or as high as it needs.
#[must_use]
pub fn sheet(plan: &Plan) -> Sheet {
    Sheet { title: format!("{}: seam", plan.name), ..Sheet::default() }
}
