//! A path and a place on it for every element.

use super::super::symbols::electric::Device;
use super::circuit::{Circuit, EARTH, Element};
use super::ladder::{Edge, Tree, trees};

/// What an end of a placed element leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The comb of this potential.
    Net(usize),
    /// Nothing that is drawn there.
    Open,
}

/// A placed element.
#[derive(Clone, Debug)]
pub struct Spot {
    /// Number of the element.
    pub element: usize,
    /// Entered at its second end.
    pub turned: bool,
    /// Column, from the first rail on.
    pub column: usize,
    /// Path.
    pub row: usize,
    /// What its entry and its exit lead to.
    pub ends: [End; 2],
    /// Whether it stands next to the second rail.
    pub last: bool,
}

impl Spot {
    /// The node at its entry (0) or exit (1).
    pub fn node(&self, circuit: &Circuit, side: usize) -> usize {
        circuit.elements[self.element].nodes[if self.turned { 1 - side } else { side }]
    }
}

/// Paths between the same two rails.
#[derive(Clone, Debug)]
pub struct Section {
    /// The rails, if there are any.
    pub rails: Option<[usize; 2]>,
    /// First path, and the one after the last.
    pub rows: (usize, usize),
}

/// Where everything stands.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    /// Placed elements.
    pub spots: Vec<Spot>,
    /// Groups of paths.
    pub sections: Vec<Section>,
    /// Paths.
    pub rows: usize,
    /// Columns.
    pub columns: usize,
}

/// Places the elements of a circuit.
pub fn lay(circuit: &Circuit) -> Layout {
    let mut edges: Vec<Edge> = circuit
        .elements
        .iter()
        .enumerate()
        .map(|(index, e)| Edge {
            index,
            nets: e.nets,
            order: e.order,
            contact: matches!(e.device, Device::Contact { .. }),
        })
        .collect();
    // Every connection to earth stands by itself.
    let mut fresh = circuit.nets;
    for edge in &mut edges {
        for net in &mut edge.nets {
            if *net == circuit.net_of[EARTH] && earth_is_apart(circuit) {
                *net = fresh;
                fresh += 1;
            }
        }
    }
    let mut placer = Placer { circuit, layout: Layout::default(), real: circuit.nets };
    let mut planned: Vec<Planned> = Vec::new();
    let mut spare = Vec::new();
    for group in groups(&edges) {
        match rails(circuit, &group) {
            Some(rails) => {
                for part in apart(&group, rails) {
                    let rails = self_rails(circuit, &part, rails);
                    let (trees, cuts) = trees(&part, rails[0], rails[1]);
                    planned.push(Planned { rails, trees, cuts });
                }
            }
            None if group.len() == 1 => spare.push(group[0]),
            None => {
                let ends = busiest(&group);
                let (trees, cuts) = trees(&group, ends[0], ends[1]);
                planned.push(Planned { rails: ends, trees, cuts });
            }
        }
    }
    let columns = planned
        .iter()
        .flat_map(|p| &p.trees)
        .map(Tree::columns)
        .max()
        .unwrap_or(0)
        .max(if spare.is_empty() { 1 } else { 3 });
    placer.layout.columns = columns;
    for part in planned {
        placer.section(part);
    }
    placer.spare(&spare);
    placer.layout
}

/// Whether the earth is a potential of its own, not that of a supply's pole.
fn earth_is_apart(circuit: &Circuit) -> bool {
    let earth = circuit.net_of[EARTH];
    !circuit.elements.iter().any(|e| is_source(e) && e.nets[1] == earth)
}

fn is_source(element: &Element) -> bool {
    matches!(element.device, Device::Source { .. } | Device::Secondary)
}

/// Edges that hang together, in the order of their first.
fn groups(edges: &[Edge]) -> Vec<Vec<Edge>> {
    let mut groups: Vec<Vec<Edge>> = Vec::new();
    for edge in edges {
        let touches =
            |g: &Vec<Edge>| g.iter().any(|e| e.nets.iter().any(|n| edge.nets.contains(n)));
        let (mut joined, rest): (Vec<_>, Vec<_>) = groups.into_iter().partition(touches);
        groups = rest;
        let mut group: Vec<Edge> = joined.drain(..).flatten().collect();
        group.push(*edge);
        group.sort_by_key(|e| e.index);
        groups.push(group);
    }
    groups.sort_by_key(|g| g.iter().map(|e| e.order).min());
    groups
}

/// The rails of a group that has a supply: what its first supply feeds through fuses and switches
/// that nothing branches off before, and its other pole.
fn rails(circuit: &Circuit, group: &[Edge]) -> Option<[usize; 2]> {
    let source = group.iter().find(|e| is_source(&circuit.elements[e.index]))?;
    Some([feed(circuit, group, source.nets[0], source.index), source.nets[1]])
}

fn feed(circuit: &Circuit, group: &[Edge], plus: usize, source: usize) -> usize {
    let (mut net, mut from) = (plus, source);
    // No longer than there are elements.
    for _ in 0..group.len() {
        let ends: Vec<&Edge> = group.iter().filter(|e| e.nets.contains(&net)).collect();
        let [a, b] = ends[..] else { return net };
        let next = if a.index == from { b } else { a };
        let element = &circuit.elements[next.index];
        let guards = matches!(element.device, Device::Fuse | Device::Release)
            || (matches!(element.device, Device::Contact { .. })
                && ["Q", "F"].iter().any(|letter| element.tag.starts_with(letter)));
        if !guards {
            return net;
        }
        net = if next.nets[0] == net { next.nets[1] } else { next.nets[0] };
        from = next.index;
    }
    net
}

/// Parts of a group that meet only at the second rail, each to be drawn by itself if it has a
/// supply of its own; the others stay with the first.
fn apart(group: &[Edge], rails: [usize; 2]) -> Vec<Vec<Edge>> {
    let cut: Vec<Edge> = group
        .iter()
        .map(|e| {
            let mut edge = *e;
            for (end, net) in edge.nets.iter_mut().enumerate() {
                if *net == rails[1] {
                    // A number of its own, out of the way of all others.
                    *net = usize::MAX - 2 * e.index - end;
                }
            }
            edge
        })
        .collect();
    let mut parts: Vec<Vec<Edge>> = Vec::new();
    let mut rest = Vec::new();
    for part in groups(&cut) {
        let back: Vec<Edge> = part
            .iter()
            .filter_map(|e| group.iter().find(|g| g.index == e.index).copied())
            .collect();
        if part.iter().any(|e| e.nets.contains(&rails[0])) || back.len() > 1 {
            parts.push(back);
        } else {
            rest.extend(back);
        }
    }
    let main = parts.iter().position(|p| p.iter().any(|e| e.nets.contains(&rails[0])));
    match main {
        Some(k) => {
            parts.swap(0, k);
            parts[0].extend(rest);
        }
        None => parts.push(rest),
    }
    parts
}

/// Rails of a part of a group: its own supply's, if the first rail of the group is not in it.
fn self_rails(circuit: &Circuit, part: &[Edge], rails: [usize; 2]) -> [usize; 2] {
    if part.iter().any(|e| e.nets.contains(&rails[0])) {
        return rails;
    }
    let source = part.iter().find(|e| is_source(&circuit.elements[e.index]));
    match source {
        Some(source) => {
            let plus = source.nets[usize::from(source.nets[0] == rails[1])];
            [feed(circuit, part, plus, source.index), rails[1]]
        }
        None => {
            let busy = busiest(part);
            let other = if busy[0] == rails[1] { busy[1] } else { busy[0] };
            [other, rails[1]]
        }
    }
}

/// The two potentials with the most ends.
fn busiest(group: &[Edge]) -> [usize; 2] {
    let mut nets: Vec<usize> = group.iter().flat_map(|e| e.nets).collect();
    nets.sort_unstable();
    let mut counts: Vec<(usize, usize)> = Vec::new();
    for net in nets {
        match counts.last_mut() {
            Some((last, count)) if *last == net => *count += 1,
            _ => counts.push((net, 1)),
        }
    }
    counts.sort_by_key(|&(net, count)| (std::cmp::Reverse(count), net));
    let first = counts.first().map_or(0, |c| c.0);
    [first, counts.get(1).map_or(first, |c| c.0)]
}

/// What is to be drawn between two rails.
struct Planned {
    rails: [usize; 2],
    trees: Vec<Tree>,
    /// Ends that are cut off: element, and which end.
    cuts: Vec<(usize, usize)>,
}

struct Placer<'c> {
    circuit: &'c Circuit,
    layout: Layout,
    /// Potentials from here on are cut ends.
    real: usize,
}

impl Placer<'_> {
    fn section(&mut self, planned: Planned) {
        let start = self.layout.rows;
        let mut row = start;
        for tree in &planned.trees {
            self.place(tree, (0, self.layout.columns), row, true, &planned.cuts);
            row += tree.rows().max(1);
        }
        self.layout.rows = row;
        let rails = Some(planned.rails);
        self.layout.sections.push(Section { rails, rows: (start, row) });
    }

    /// Elements that nothing is wired to, several to a path.
    fn spare(&mut self, edges: &[Edge]) {
        let start = self.layout.rows;
        let per_row = self.layout.columns.max(1);
        for (k, edge) in edges.iter().enumerate() {
            self.layout.spots.push(Spot {
                element: edge.index,
                turned: false,
                column: k % per_row,
                row: start + k / per_row,
                ends: [End::Open; 2],
                last: false,
            });
        }
        if !edges.is_empty() {
            self.layout.rows = start + edges.len().div_ceil(per_row);
            let rows = (start, self.layout.rows);
            self.layout.sections.push(Section { rails: None, rows });
        }
    }

    /// Places `tree` in the columns from `room.0` to before `room.1`, its last element at the end if
    /// it leads to the second rail.
    fn place(
        &mut self,
        tree: &Tree,
        room: (usize, usize),
        row: usize,
        last: bool,
        cuts: &[(usize, usize)],
    ) {
        match tree {
            Tree::Open => {}
            Tree::Element { index, turned } => {
                let column = if last { room.1 - 1 } else { room.0 };
                let end = |side: usize| {
                    let which = if *turned { 1 - side } else { side };
                    let net = self.circuit.elements[*index].nets[which];
                    let cut = cuts.contains(&(*index, which))
                        || net >= self.real
                        || (net == self.circuit.net_of[EARTH] && earth_is_apart(self.circuit));
                    if cut { End::Open } else { End::Net(net) }
                };
                let ends = [end(0), end(1)];
                self.layout.spots.push(Spot {
                    element: *index,
                    turned: *turned,
                    column,
                    row,
                    ends,
                    last,
                });
            }
            Tree::Parallel(list) => {
                let mut row = row;
                for tree in list {
                    self.place(tree, room, row, last, cuts);
                    row += tree.rows().max(1);
                }
            }
            Tree::Series(list) => {
                let mut column = room.0;
                for (k, tree) in list.iter().enumerate() {
                    let wide = tree.columns();
                    if last && k + 1 == list.len() && wide > 0 {
                        self.place(tree, (column, room.1), row, true, cuts);
                    } else {
                        self.place(tree, (column, column + wide), row, false, cuts);
                    }
                    column += wide;
                }
            }
        }
    }
}
