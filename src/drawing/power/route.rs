//! Orthogonal lines on the grid: the cheapest way by length, bends and crossings, around all symbols.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use super::super::sheet::Area;
use super::super::symbols::Facing;
use super::against;

/// A point of the grid.
pub type Cell = (i32, i32);

/// Cost of a step, a bend, a crossing, and of running beside another line.
const STEP: u32 = 10;
const BEND: u32 = 25;
const CROSSING: u32 = 60;
const BESIDE: u32 = 8;

/// Longest side of the grid, and most steps of searching for one sheet.
const SIDE: i32 = 1500;
const BUDGET: u64 = 12_000_000;

/// A port that a line goes to.
pub struct Port {
    /// Its designation.
    pub name: String,
    /// Where it is.
    pub at: Cell,
    /// Which way its line leaves.
    pub facing: Facing,
}

/// A line to be laid.
pub struct Net {
    /// Its volume.
    pub volume: usize,
    /// Its ports.
    pub ports: Vec<Port>,
}

/// A line as laid.
#[derive(Default)]
pub struct Routed {
    /// Steps between neighbouring cells, each with the smaller cell first.
    edges: BTreeSet<(Cell, Cell)>,
    ports: Vec<Cell>,
    /// Ports that found no way.
    pub missing: usize,
    /// The ports that found none, and the ports that they belong to.
    pub direct: Vec<(usize, usize)>,
}

/// A straight or bent piece between ports and tees.
pub struct Piece {
    /// Its corners.
    pub points: Vec<Cell>,
    /// Ports on the side where it begins.
    pub from: Vec<String>,
}

#[derive(Clone, Copy, Default)]
struct Square {
    blocked: bool,
    /// Line that runs level, and upright, through it; 0 for none.
    level: u16,
    upright: u16,
}

/// The grid with all that is in the way.
pub struct Router {
    left: i32,
    top: i32,
    width: i32,
    height: i32,
    squares: Vec<Square>,
    closed: Square,
    /// Steps of searching that are left.
    budget: std::cell::Cell<u64>,
}

const FACINGS: [Facing; 4] = [Facing::Up, Facing::Right, Facing::Down, Facing::Left];

fn is_level(facing: Facing) -> bool {
    matches!(facing, Facing::Left | Facing::Right)
}

fn index_of(facing: Facing) -> usize {
    match facing {
        Facing::Up => 0,
        Facing::Right => 1,
        Facing::Down => 2,
        Facing::Left => 3,
    }
}

impl Router {
    /// An empty grid over `bounds`.
    pub fn new(bounds: Area) -> Router {
        let (left, top) = (bounds.left.floor() as i32, bounds.top.floor() as i32);
        let width = (bounds.right.ceil() as i32 - left + 1).clamp(1, SIDE);
        let height = (bounds.bottom.ceil() as i32 - top + 1).clamp(1, SIDE);
        let count = (width as usize) * (height as usize);
        let closed = Square { blocked: true, level: 0, upright: 0 };
        Router {
            left,
            top,
            width,
            height,
            squares: vec![Square::default(); count],
            closed,
            budget: std::cell::Cell::new(BUDGET),
        }
    }

    fn index(&self, cell: Cell) -> Option<usize> {
        let (x, y) = (cell.0 - self.left, cell.1 - self.top);
        let inside = (0..self.width).contains(&x) && (0..self.height).contains(&y);
        inside.then(|| (y * self.width + x) as usize)
    }

    fn square(&self, cell: Cell) -> &Square {
        self.index(cell).and_then(|k| self.squares.get(k)).unwrap_or(&self.closed)
    }

    /// Keeps lines out of an area.
    pub fn block(&mut self, area: Area) {
        let (x0, x1) = (area.left.ceil() as i32, area.right.floor() as i32);
        let (y0, y1) = (area.top.ceil() as i32, area.bottom.floor() as i32);
        for y in y0..=y1 {
            for x in x0..=x1 {
                if let Some(k) = self.index((x, y)) {
                    self.squares[k].blocked = true;
                }
            }
        }
    }

    /// Lays all lines, the shortest first.
    pub fn route(&mut self, nets: &[Net]) -> Vec<Routed> {
        let mut order: Vec<usize> = (0..nets.len()).collect();
        let span = |net: &Net| {
            let x = net.ports.iter().map(|p| p.at.0);
            let y = net.ports.iter().map(|p| p.at.1);
            let wide = x.clone().max().unwrap_or(0) - x.min().unwrap_or(0);
            let high = y.clone().max().unwrap_or(0) - y.min().unwrap_or(0);
            wide + high
        };
        order.sort_by_key(|&k| (nets[k].ports.len() > 2, span(&nets[k]), k));
        let mut routed: Vec<Routed> = nets.iter().map(|_| Routed::default()).collect();
        // The first step of every port is kept free for it.
        for (k, net) in nets.iter().enumerate() {
            for port in &net.ports {
                let (dx, dy) = port.facing.step();
                let first = (port.at.0 + dx, port.at.1 + dy);
                self.mark(port.at, k, port.facing);
                self.mark(first, k, port.facing);
            }
        }
        for k in order {
            routed[k] = self.lay(&nets[k], k);
        }
        routed
    }

    fn mark(&mut self, cell: Cell, net: usize, facing: Facing) {
        let id = net as u16 + 1;
        if let Some(k) = self.index(cell) {
            let square = &mut self.squares[k];
            if is_level(facing) {
                square.level = id;
            } else {
                square.upright = id;
            }
        }
    }

    fn lay(&mut self, net: &Net, k: usize) -> Routed {
        let mut routed =
            Routed { ports: net.ports.iter().map(|p| p.at).collect(), ..Routed::default() };
        if net.ports.len() == 1 {
            // A measuring point needs a line to stand on.
            let port = &net.ports[0];
            let (dx, dy) = port.facing.step();
            let mut from = port.at;
            for _ in 0..3 {
                let to = (from.0 + dx, from.1 + dy);
                self.keep(&mut routed, from, to, k, port.facing);
                from = to;
            }
            return routed;
        }
        let mut joined = vec![false; net.ports.len()];
        let Some(first) = joined.first_mut() else { return routed };
        *first = true;
        let mut start = 0;
        for _ in 1..net.ports.len() {
            // The nearest port that is not joined yet.
            let distance = |a: Cell, b: Cell| (a.0 - b.0).abs() + (a.1 - b.1).abs();
            let next = (0..net.ports.len()).filter(|&p| !joined[p]).min_by_key(|&p| {
                let near = (0..net.ports.len())
                    .filter(|&q| joined[q])
                    .map(|q| distance(net.ports[p].at, net.ports[q].at))
                    .min();
                (near, p)
            });
            let Some(next) = next else { break };
            joined[next] = true;
            let goal = if routed.edges.is_empty() { Some(start) } else { None };
            let path = self.search(net, k, next, goal, &routed);
            match path {
                Some(path) => {
                    for pair in path.windows(2) {
                        let step = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
                        let facing =
                            FACINGS.into_iter().find(|f| f.step() == step).unwrap_or(Facing::Up);
                        self.keep(&mut routed, pair[0], pair[1], k, facing);
                    }
                }
                None => {
                    routed.missing += 1;
                    routed.direct.push((next, start));
                    if routed.edges.is_empty() {
                        start = next;
                    }
                }
            }
        }
        routed
    }

    fn keep(&mut self, routed: &mut Routed, from: Cell, to: Cell, net: usize, facing: Facing) {
        routed.edges.insert((from.min(to), from.max(to)));
        self.mark(from, net, facing);
        self.mark(to, net, facing);
    }

    /// The cheapest way from port `from` to port `goal`, or to what is laid of the line already.
    fn search(
        &self,
        net: &Net,
        k: usize,
        from: usize,
        goal: Option<usize>,
        routed: &Routed,
    ) -> Option<Vec<Cell>> {
        let id = k as u16 + 1;
        let begin = net.ports[from].at;
        let tree: BTreeSet<Cell> = routed.edges.iter().flat_map(|(a, b)| [*a, *b]).collect();
        let ends = |cell: Cell, facing: Facing| match goal {
            Some(port) => cell == net.ports[port].at && facing == against(net.ports[port].facing),
            None => {
                let square = self.square(cell);
                let ours = |line: u16| line == 0 || line == id;
                let port = net.ports.iter().find(|p| p.at == cell);
                tree.contains(&cell)
                    && ours(square.level)
                    && ours(square.upright)
                    && port.is_none_or(|p| facing == against(p.facing))
            }
        };
        if self.budget.get() == 0 {
            return None;
        }
        let size = self.squares.len() * 4;
        let mut best = vec![u32::MAX; size];
        let mut came: Vec<u32> = vec![u32::MAX; size];
        let mut heap = BinaryHeap::new();
        let state = |cell: Cell, facing: Facing| self.index(cell).map(|k| k * 4 + index_of(facing));
        let start = state(begin, net.ports[from].facing)?;
        best[start] = 0;
        heap.push(Reverse((0_u32, start)));
        while let Some(Reverse((cost, at))) = heap.pop() {
            if cost > best[at] {
                continue;
            }
            let left = self.budget.get();
            if left == 0 {
                return None;
            }
            self.budget.set(left - 1);
            let facing = FACINGS[at % 4];
            let cell = self.cell(at / 4);
            if at != start && ends(cell, facing) {
                let mut path = vec![cell];
                let mut here = at;
                while came[here] != u32::MAX {
                    here = came[here] as usize;
                    path.push(self.cell(here / 4));
                }
                return Some(path);
            }
            // Across another line it goes straight on.
            let square = self.square(cell);
            let other = if is_level(facing) { square.upright } else { square.level };
            let crossing = at != start && other != 0 && other != id;
            for next in FACINGS {
                if next == against(facing) || (next != facing && (crossing || at == start)) {
                    continue;
                }
                let (dx, dy) = next.step();
                let to = (cell.0 + dx, cell.1 + dy);
                let Some(more) = self.price(to, next, id, net) else { continue };
                let Some(index) = state(to, next) else { continue };
                let total = cost + more + if next == facing { 0 } else { BEND };
                if total < best[index] {
                    best[index] = total;
                    came[index] = at as u32;
                    heap.push(Reverse((total, index)));
                }
            }
        }
        None
    }

    fn cell(&self, index: usize) -> Cell {
        let (x, y) = (index as i32 % self.width, index as i32 / self.width);
        (x + self.left, y + self.top)
    }

    /// What a step into `to` costs; `None` if it cannot be taken.
    fn price(&self, to: Cell, facing: Facing, id: u16, net: &Net) -> Option<u32> {
        let square = self.square(to);
        let own = net.ports.iter().any(|p| p.at == to);
        if square.blocked && !own {
            return None;
        }
        let (along, across) = if is_level(facing) {
            (square.level, square.upright)
        } else {
            (square.upright, square.level)
        };
        if along != 0 && along != id {
            return None;
        }
        let mut cost = STEP;
        if across != 0 && across != id {
            cost += CROSSING;
        }
        let (dx, dy) = facing.step();
        for side in [(to.0 + dy, to.1 + dx), (to.0 - dy, to.1 - dx)] {
            let beside = self.square(side);
            let line = if is_level(facing) { beside.level } else { beside.upright };
            if beside.blocked || (line != 0 && line != id) {
                cost += BESIDE;
            }
        }
        Some(cost)
    }
}

impl Routed {
    fn neighbours(&self) -> BTreeMap<Cell, Vec<Cell>> {
        let mut map: BTreeMap<Cell, Vec<Cell>> = BTreeMap::new();
        for &(a, b) in &self.edges {
            map.entry(a).or_default().push(b);
            map.entry(b).or_default().push(a);
        }
        map
    }

    /// Where three or more pieces meet.
    pub fn tees(&self) -> Vec<Cell> {
        self.neighbours().into_iter().filter(|(_, n)| n.len() > 2).map(|(c, _)| c).collect()
    }

    /// The line cut into pieces at its ports and tees.
    pub fn pieces(&self, net: &Net) -> Vec<Piece> {
        let map = self.neighbours();
        let stops =
            |cell: &Cell| self.ports.contains(cell) || map.get(cell).is_some_and(|n| n.len() != 2);
        let mut done: BTreeSet<(Cell, Cell)> = BTreeSet::new();
        let mut pieces = Vec::new();
        for (&cell, next) in map.iter().filter(|(c, _)| stops(c)) {
            for &second in next {
                if done.contains(&(cell.min(second), cell.max(second))) {
                    continue;
                }
                let mut cells = vec![cell, second];
                done.insert((cell.min(second), cell.max(second)));
                while let [.., before, here] = cells[..]
                    && !stops(&here)
                {
                    let Some(&on) = map[&here].iter().find(|n| **n != before) else { break };
                    if !done.insert((here.min(on), here.max(on))) {
                        break;
                    }
                    cells.push(on);
                }
                let from = self.behind(net, &map, cell, second);
                pieces.push(Piece { points: corners(&cells), from });
            }
        }
        pieces
    }

    /// Ports that can be reached from `cell` without going to `second`.
    fn behind(
        &self,
        net: &Net,
        map: &BTreeMap<Cell, Vec<Cell>>,
        cell: Cell,
        second: Cell,
    ) -> Vec<String> {
        let mut reached = BTreeSet::from([cell]);
        let mut queue = vec![cell];
        while let Some(here) = queue.pop() {
            for &next in map.get(&here).into_iter().flatten() {
                if (here, next) != (cell, second) && reached.insert(next) {
                    queue.push(next);
                }
            }
        }
        net.ports.iter().filter(|p| reached.contains(&p.at)).map(|p| p.name.clone()).collect()
    }

    /// Places where a measuring point may branch off: the middles of straight runs first, upright ones
    /// before level ones.
    pub fn spots(&self) -> Vec<(Cell, bool)> {
        let map = self.neighbours();
        let mut spots: Vec<(bool, usize, Cell)> = Vec::new();
        for (&cell, next) in &map {
            let [a, b] = next[..] else { continue };
            if self.ports.contains(&cell) || (a.0 != b.0 && a.1 != b.1) {
                continue;
            }
            let upright = a.0 == b.0;
            let step = if upright { (0, 1) } else { (1, 0) };
            let run = |sign: i32| {
                let mut length = 0;
                let mut here = cell;
                while length < 50 {
                    let next = (here.0 + sign * step.0, here.1 + sign * step.1);
                    if !self.edges.contains(&(here.min(next), here.max(next))) {
                        break;
                    }
                    here = next;
                    length += 1;
                }
                length
            };
            let room = run(1).min(run(-1)) as usize;
            spots.push((!upright, 50 - room, cell));
        }
        spots.sort_unstable();
        spots.truncate(200);
        spots.into_iter().map(|(level, _, cell)| (cell, !level)).collect()
    }

    /// The room of every step.
    pub fn areas(&self) -> Vec<Area> {
        self.edges
            .iter()
            .map(|(a, b)| Area {
                left: f64::from(a.0.min(b.0)),
                top: f64::from(a.1.min(b.1)),
                right: f64::from(a.0.max(b.0)),
                bottom: f64::from(a.1.max(b.1)),
            })
            .collect()
    }
}

/// The cells at which a way bends, with its ends.
fn corners(cells: &[Cell]) -> Vec<Cell> {
    let mut list: Vec<Cell> = Vec::new();
    for &cell in cells {
        if let [.., a, b] = list[..]
            && ((a.0 == b.0 && b.0 == cell.0) || (a.1 == b.1 && b.1 == cell.1))
        {
            list.pop();
        }
        list.push(cell);
    }
    list
}
