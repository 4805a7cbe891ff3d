//! The wires of a control circuit: a comb for each potential, its dots, earths, numbers and flags.

use std::collections::BTreeMap;

use super::super::super::Style;
use super::super::super::sheet::{Align, Ink, Point, Shape, Subject};
use super::super::circuit::EARTH;
use super::super::layout::{End, Spot};
use super::{LEAD, Painter, SMALL};

/// A point of a comb.
#[derive(Clone, Copy, Debug)]
struct Tooth {
    side: usize,
    node: usize,
    u: f64,
    row: usize,
}

/// A piece of a comb.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Piece {
    /// From a tooth to the back.
    Tooth(usize),
    /// Along the back from this of its rows to the next.
    Back(usize),
}

impl Painter<'_> {
    /// Teeth of the comb of each potential.
    fn teeth(&self) -> BTreeMap<usize, Vec<Tooth>> {
        let mut combs: BTreeMap<usize, Vec<Tooth>> = BTreeMap::new();
        for spot in &self.layout.spots {
            for side in 0..2 {
                if let End::Net(net) = spot.ends[side] {
                    combs.entry(net).or_default().push(Tooth {
                        side,
                        node: spot.node(self.circuit, side),
                        u: self.end_u(spot, side),
                        row: spot.row,
                    });
                }
            }
        }
        combs
    }

    /// Where the back of a comb runs.
    fn back(&self, net: usize, teeth: &[Tooth]) -> f64 {
        for section in &self.layout.sections {
            if let Some(rails) = section.rails
                && let Some(side) = rails.iter().position(|r| *r == net)
                && teeth.iter().any(|t| (section.rows.0..section.rows.1).contains(&t.row))
            {
                return self.rail_u[side];
            }
        }
        let exits = teeth.iter().filter(|t| t.side == 1).map(|t| t.u).fold(f64::NAN, f64::max);
        let half = self.gap() / 2.0;
        if exits.is_nan() {
            teeth.iter().map(|t| t.u).fold(f64::INFINITY, f64::min) - half
        } else {
            exits + half
        }
    }

    /// Draws the wires, each along the comb of its potential.
    pub(super) fn combs(&mut self) {
        let combs = self.teeth();
        let mut drawn = vec![false; self.circuit.wires.len()];
        for (net, mut teeth) in combs {
            let back = self.back(net, &teeth);
            // An end that the back cannot reach without crossing its own symbol is left to a flag.
            teeth.retain(|t| if t.side == 0 { t.u > back - 1e-9 } else { t.u < back + 1e-9 });
            teeth.sort_by_key(|t| (t.row, t.side));
            self.comb(net, &teeth, back, &mut drawn);
        }
        self.flags(&drawn);
    }

    fn comb(&mut self, net: usize, teeth: &[Tooth], back: f64, drawn: &mut [bool]) {
        let mut rows: Vec<usize> = teeth.iter().map(|t| t.row).collect();
        rows.dedup();
        let mut use_of = vec![0_usize; teeth.len()];
        let mut pieces: BTreeMap<Piece, Vec<usize>> = BTreeMap::new();
        let mut paths: Vec<(usize, Vec<Piece>)> = Vec::new();
        let mut earth = false;
        for (k, wire) in self.circuit.wires.iter().enumerate() {
            if drawn[k] {
                continue;
            }
            let pick = |node: usize, use_of: &[usize]| {
                (0..teeth.len()).filter(|&t| teeth[t].node == node).min_by_key(|&t| use_of[t])
            };
            let ends = wire.nodes.map(|n| pick(n, &use_of));
            let (from, to) = match (ends, wire.nodes.contains(&EARTH)) {
                ([Some(a), Some(b)], _) => (a, b),
                ([Some(a), None] | [None, Some(a)], true) if self.circuit.net_of[EARTH] == net => {
                    earth = true;
                    (a, a)
                }
                _ => continue,
            };
            drawn[k] = true;
            use_of[from] += 1;
            if to != from {
                use_of[to] += 1;
            }
            let index = |t: usize| rows.iter().position(|r| *r == teeth[t].row).unwrap_or(0);
            let (i, j) = (index(from), index(to));
            let mut path = vec![Piece::Tooth(from)];
            path.extend((i.min(j)..i.max(j)).map(Piece::Back));
            path.push(Piece::Tooth(to));
            for piece in &path {
                pieces.entry(*piece).or_default().push(k);
            }
            let mut points: Vec<Point> = Vec::new();
            for (u, row) in [
                (teeth[from].u, teeth[from].row),
                (back, teeth[from].row),
                (back, teeth[to].row),
                (teeth[to].u, teeth[to].row),
            ] {
                let point = self.at(u, self.rows[row]);
                if points.last() != Some(&point) {
                    points.push(point);
                }
            }
            if from == to {
                // To the earth, beyond the end of the back.
                let corner = self.earth_place(&rows, back).map(|(_, corner)| corner);
                points = vec![
                    self.at(teeth[from].u, self.rows[teeth[from].row]),
                    self.at(back, self.rows[teeth[from].row]),
                ];
                points.extend(corner);
            }
            let points = straightened(points);
            let subject = wire.subject.clone();
            self.push(Shape::Path { points, closed: false }, Ink::Conductor, subject);
            paths.push((k, path));
        }
        // A terminal drawn more often than it is wired is the same piece of metal.
        if teeth.len() > 1 {
            for (t, tooth) in teeth.iter().enumerate() {
                if use_of[t] > 0 {
                    continue;
                }
                let same = (0..teeth.len()).find(|&s| s != t && teeth[s].node == tooth.node);
                let to = same.map_or(tooth.row, |s| teeth[s].row);
                let points = vec![
                    self.at(tooth.u, self.rows[tooth.row]),
                    self.at(back, self.rows[tooth.row]),
                    self.at(back, self.rows[to]),
                ];
                let name = self.circuit.names[tooth.node].clone();
                let shape = Shape::Path { points: straightened(points), closed: false };
                self.push(shape, Ink::Conductor, Subject::Terminal(name));
            }
        }
        let bonded = self.circuit.bonds.iter().any(|(_, n)| self.circuit.net_of[*n] == net);
        self.dots(teeth, &rows, back, earth || bonded);
        self.earth_of(net, &rows, back, earth);
        self.wire_labels(teeth, &rows, back, &pieces, &paths);
    }

    fn dots(&mut self, teeth: &[Tooth], rows: &[usize], back: f64, earth: bool) {
        if teeth.len() < 3 && !earth {
            return;
        }
        for (i, row) in rows.iter().enumerate() {
            let here: Vec<&Tooth> = teeth.iter().filter(|t| t.row == *row).collect();
            let straight = here.iter().filter(|t| (t.u - back).abs() > 1e-9).count();
            let (first, last) = match self.style {
                Style::Iec => (earth, false),
                Style::NorthAmerican => (false, earth),
            };
            let ends =
                straight + usize::from(i > 0 || first) + usize::from(i + 1 < rows.len() || last);
            if ends >= 3 {
                let centre = self.at(back, self.rows[*row]);
                let shape = Shape::Circle { centre, radius: 0.25 };
                self.push(shape, Ink::Solid, Subject::Paper);
            }
        }
    }

    /// The earth symbol at the end of a rail that is bonded, or wired to it.
    fn earth_of(&mut self, net: usize, rows: &[usize], back: f64, wired: bool) {
        let bond = self.circuit.bonds.iter().find(|(_, node)| self.circuit.net_of[*node] == net);
        if !wired && bond.is_none() {
            return;
        }
        let subject = match bond {
            Some((tag, _)) if !wired => Subject::Part(tag.clone()),
            _ => Subject::Terminal("PE:PE".to_owned()),
        };
        let Some((v, corner)) = self.earth_place(rows, back) else { return };
        let path = vec![self.at(back, v), corner];
        if !wired {
            self.push(Shape::Path { points: path, closed: false }, Ink::Conductor, subject.clone());
        }
        self.earth_at(corner, subject);
    }

    /// Where the earth symbol of a rail stands: the end of the rail, and the symbol.
    fn earth_place(&self, rows: &[usize], back: f64) -> Option<(f64, Point)> {
        let (row, by) = match self.style {
            Style::Iec => (rows.first()?, -2.0),
            Style::NorthAmerican => (rows.last()?, 2.0),
        };
        let v = self.rows[*row];
        Some((v, self.at(back, v + by)))
    }

    fn earth_at(&mut self, at: Point, subject: Subject) {
        let y = at.y + if self.style == Style::Iec { 0.8 } else { 0.4 };
        let mut line = |points: Vec<Point>| {
            let shape = Shape::Path { points, closed: false };
            self.push(shape, Ink::Outline, subject.clone());
        };
        line(vec![at, Point::new(at.x, y)]);
        for (k, half) in [(0.0, 0.9), (1.0, 0.6), (2.0, 0.3)] {
            let y = y + 0.35 * k;
            line(vec![Point::new(at.x - half, y), Point::new(at.x + half, y)]);
        }
    }

    fn wire_labels(
        &mut self,
        teeth: &[Tooth],
        rows: &[usize],
        back: f64,
        pieces: &BTreeMap<Piece, Vec<usize>>,
        paths: &[(usize, Vec<Piece>)],
    ) {
        let mut labels: BTreeMap<Piece, Vec<usize>> = BTreeMap::new();
        for (wire, path) in paths {
            if self.circuit.wires[*wire].tag.is_empty() {
                continue;
            }
            let users = |p: &&Piece| pieces.get(p).map_or(0, Vec::len);
            if let Some(best) = path.iter().rev().min_by_key(users) {
                labels.entry(*best).or_default().push(*wire);
            }
        }
        for (piece, wires) in labels {
            let tags: Vec<&str> =
                wires.iter().map(|w| self.circuit.wires[*w].tag.as_str()).collect();
            let subject = self.circuit.wires[wires[0]].subject.clone();
            let text = tags.join(" ");
            let (at, align) = match piece {
                Piece::Tooth(t) => self.tooth_label(&teeth[t], teeth, back),
                Piece::Back(i) => {
                    let (v, w) = (self.rows[rows[i]], self.rows[rows[i + 1]]);
                    match self.style {
                        Style::Iec => (Point::new(w - 0.5, back - 0.3), Align::End),
                        Style::NorthAmerican => {
                            (Point::new(back + 0.35, (v + w) / 2.0 + 0.35), Align::Start)
                        }
                    }
                }
            };
            self.text(at, &text, SMALL, align, subject);
        }
    }

    /// Where the label of a tooth stands: beside its middle, or beside the middle of the straight wire
    /// that it is half of.
    fn tooth_label(&self, tooth: &Tooth, teeth: &[Tooth], back: f64) -> (Point, Align) {
        let other = teeth
            .iter()
            .find(|t| t.row == tooth.row && t.side != tooth.side)
            .filter(|_| teeth.len() == 2);
        let far = other.map_or(back, |t| t.u);
        let near_half = self.gap() / 2.0;
        // Near the symbol, if the wire is long.
        let mut middle = (tooth.u + far) / 2.0;
        if (tooth.u - far).abs() > 2.0 * self.gap() {
            middle = tooth.u + if far < tooth.u { -near_half } else { near_half };
        }
        let at = self.at(middle, self.rows[tooth.row]);
        match self.style {
            Style::Iec => (Point::new(at.x + 0.35, at.y + 0.35), Align::Start),
            Style::NorthAmerican => (Point::new(at.x, at.y - 0.4), Align::Middle),
        }
    }

    /// Wires whose ends do not lie on one comb: each of its ends says where the other is.
    pub(super) fn flags(&mut self, drawn: &[bool]) {
        for (k, spot) in self.layout.spots.iter().enumerate() {
            for side in 0..2 {
                let node = spot.node(self.circuit, side);
                let mut here: Vec<usize> = (0..self.circuit.wires.len())
                    .filter(|&w| !drawn[w] && self.circuit.wires[w].nodes.contains(&node))
                    .collect();
                // Each end is flagged once, where it is drawn first.
                let first = self.layout.spots[..k]
                    .iter()
                    .any(|s| (0..2).any(|other| s.node(self.circuit, other) == node))
                    || (side == 1 && spot.node(self.circuit, 0) == node);
                if first {
                    here.clear();
                }
                if !here.is_empty() {
                    self.flag(spot, side, node, &here);
                }
            }
        }
    }

    fn flag(&mut self, spot: &Spot, side: usize, node: usize, wires: &[usize]) {
        let u = self.end_u(spot, side);
        let out = if side == 0 { -1.0 } else { 1.0 };
        let v = self.rows[spot.row];
        let tip = self.at(u + out, v);
        for &w in wires {
            let wire = self.circuit.wires[w].clone();
            let path = vec![self.at(u, v), tip];
            self.push(Shape::Path { points: path, closed: false }, Ink::Conductor, wire.subject);
        }
        let to_earth = wires.iter().all(|&w| self.circuit.wires[w].nodes.contains(&EARTH));
        if to_earth {
            self.earth_at(tip, Subject::Terminal("PE:PE".to_owned()));
        }
        for (n, &w) in wires.iter().enumerate() {
            let wire = &self.circuit.wires[w];
            let other = wire.nodes[usize::from(wire.nodes[0] == node)];
            let text = if to_earth {
                wire.tag.clone()
            } else {
                format!("{} to {}", wire.tag, self.circuit.names[other]).trim().to_owned()
            };
            let subject = wire.subject.clone();
            let line = LEAD * n as f64;
            let (at, align) = match self.style {
                Style::Iec => {
                    let y = if side == 0 { tip.y + 0.4 - line } else { tip.y + 0.4 + line };
                    (Point::new(tip.x + 0.4, y), Align::Start)
                }
                Style::NorthAmerican if side == 0 => {
                    (Point::new(tip.x + 0.8, tip.y - 0.4 - line), Align::End)
                }
                Style::NorthAmerican => (Point::new(tip.x - 0.8, tip.y - 0.4 - line), Align::Start),
            };
            self.text(at, &text, SMALL, align, subject);
        }
    }
}

/// The points without those that lie on a straight piece or twice in one place.
fn straightened(points: Vec<Point>) -> Vec<Point> {
    let mut list: Vec<Point> = Vec::new();
    for p in points {
        if list.last() == Some(&p) {
            continue;
        }
        if let [.., a, b] = list[..] {
            let along = |f: fn(&Point) -> f64| f(&a) == f(&b) && f(&b) == f(&p);
            if along(|p| p.x) || along(|p| p.y) {
                list.pop();
            }
        }
        list.push(p);
    }
    list
}
