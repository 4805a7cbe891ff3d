//! Where each part stands: rows from the sources below to the actuators on top, and places in the rows.

use crate::plant::{Element, Part, Plan};

use super::super::labels::{text_mark, wrapped};
use super::super::sheet::{Align, Area, Ink, Mark, Point, Shape, Subject};
use super::super::symbols::fluid;
use super::super::symbols::{Anchor, Facing, Glyph};

/// A part on the sheet.
pub struct Item {
    /// Its designation.
    pub tag: String,
    /// Its symbol, with tanks, exhausts and plugs where its lines end in them.
    pub glyph: Glyph,
    /// Its labels.
    pub labels: Vec<Mark>,
    /// Room of the tanks, exhausts and plugs at its ports.
    pub ends: Vec<Area>,
    /// Anchors that lines go to, with their volumes.
    pub open: Vec<(Anchor, usize)>,
    row: usize,
    hangs: bool,
}

impl Item {
    /// The room of symbol and labels.
    pub fn area(&self) -> Area {
        let mut area = self.glyph.body;
        for label in &self.labels {
            area.include(label.shape.area());
        }
        for end in &self.ends {
            area.include(*end);
        }
        area
    }

    fn shift(&mut self, dx: f64, dy: f64) {
        self.glyph.shift(dx, dy);
        for label in &mut self.labels {
            label.shape.shift(dx, dy);
        }
        for end in &mut self.ends {
            *end = end.moved(dx, dy);
        }
        for (anchor, _) in &mut self.open {
            anchor.at.x += dx;
            anchor.at.y += dy;
        }
    }
}

/// All parts in their places.
pub struct Placed {
    /// The parts.
    pub items: Vec<Item>,
}

/// What the volumes of a plan are for the drawing.
struct Volumes<'p> {
    plan: &'p Plan,
    /// Number of ports at each volume.
    ports: Vec<usize>,
    /// Volumes that a tank stands on, with the tank.
    tanks: Vec<Option<&'p str>>,
}

impl<'p> Volumes<'p> {
    fn new(plan: &'p Plan) -> Self {
        let mut ports = vec![0; plan.volumes.len()];
        let mut tanks = vec![None; plan.volumes.len()];
        for part in &plan.parts {
            for (_, volume) in &part.ports {
                ports[volume.index()] += 1;
                if part.class == "Tank" {
                    tanks[volume.index()] = Some(part.tag.as_str());
                }
            }
        }
        Volumes { plan, ports, tanks }
    }

    /// Whether lines are drawn to it.
    fn is_line(&self, volume: usize) -> bool {
        let tested = self.plan.test_points.iter().any(|t| t.volume.index() == volume);
        !self.is_room(volume) && self.tanks[volume].is_none() && (self.ports[volume] > 1 || tested)
    }

    fn is_room(&self, volume: usize) -> bool {
        self.plan.volumes[volume].name == "air" && self.plan.volumes[volume].fixed_pa.is_some()
    }
}

fn is_source(part: &Part) -> bool {
    part.class == "AirSupply" || part.elements.iter().any(|(_, e)| matches!(e, Element::Pump(_)))
}

fn is_actuator(part: &Part) -> bool {
    let rod = part.elements.iter().any(|(_, e)| matches!(e, Element::Piston(_)));
    rod || matches!(part.class, "HydraulicMotor" | "SuctionCup")
}

/// Ports that only signals or leakage pass.
fn is_pilot(port: &str) -> bool {
    matches!(port, "X" | "Y" | "L" | "12" | "14")
}

/// Ports through which fluid leaves the circuit.
fn is_exhaust(port: &str) -> bool {
    matches!(port, "3" | "5" | "T" | "R")
}

/// Rank of the volumes that lines are drawn to: how many parts lie between them and a source.
fn ranks(plan: &Plan, volumes: &Volumes) -> Vec<Option<usize>> {
    let mut rank: Vec<Option<usize>> = vec![None; plan.volumes.len()];
    let mut queue: Vec<usize> = Vec::new();
    let outlets = plan.parts.iter().filter(|p| is_source(p)).flat_map(|p| {
        p.ports.iter().filter(|(name, _)| name == "P" || name == "2").map(|(_, v)| v.index())
    });
    for volume in outlets.filter(|v| volumes.is_line(*v)) {
        if rank[volume].is_none() {
            rank[volume] = Some(0);
            queue.push(volume);
        }
    }
    let mut at = 0;
    loop {
        while let Some(&volume) = queue.get(at) {
            at += 1;
            let here = rank[volume].unwrap_or(0);
            for part in plan.parts.iter().filter(|p| !is_source(p) && !is_actuator(p)) {
                let enters =
                    part.ports.iter().any(|(name, v)| v.index() == volume && !is_pilot(name));
                if !enters {
                    continue;
                }
                for (name, other) in &part.ports {
                    let other = other.index();
                    if rank[other].is_none() && volumes.is_line(other) && !is_pilot(name) {
                        // What leaves a valve for the air or the tank hangs below it.
                        rank[other] = Some(here + usize::from(!is_exhaust(name)));
                        queue.push(other);
                    }
                }
            }
        }
        // What no source reaches begins by itself.
        let next = (0..rank.len()).find(|&v| rank[v].is_none() && volumes.is_line(v));
        match next {
            Some(volume) => {
                rank[volume] = Some(0);
                queue.push(volume);
            }
            None => return rank,
        }
    }
}

/// Places the parts; with more `looseness`, further apart.
pub fn place(plan: &Plan, looseness: usize) -> Placed {
    let volumes = Volumes::new(plan);
    let rank = ranks(plan, &volumes);
    let mut items: Vec<Item> = Vec::new();
    // Rows count from below; the first two hold tanks and sources.
    let top = rank.iter().flatten().max().map_or(3, |r| r + 3);
    let feeds = feeding_tanks(plan);
    for part in plan.parts.iter().filter(|p| !p.ports.is_empty()) {
        if part.class == "Tank" && feeds.iter().any(|(_, tank)| *tank == part.tag) {
            // It stands below its pump.
            continue;
        }
        items.push(item(plan, part, &volumes, &rank, top, &feeds));
    }
    let highest = items.iter().map(|i| i.row).max().unwrap_or(0);
    let mut placed = Placed { items };
    columns(&mut placed, highest, looseness);
    rows(&mut placed, highest, looseness, &rank, &volumes);
    placed
}

/// Whether a pump sucks through this part.
fn feeds_a_pump(plan: &Plan, part: &Part) -> bool {
    let tank = |v| plan.parts.iter().any(|p| p.class == "Tank" && p.port("T") == Some(v));
    let inlets = plan.parts.iter().filter(|p| is_source(p)).filter_map(|p| p.port("S"));
    !is_source(part)
        && part.class != "Tank"
        && inlets.filter(|v| !tank(*v)).any(|v| part.ports.iter().any(|(_, other)| *other == v))
}

/// What sucks from each tank first, a pump or a strainer before one: part and tank.
fn feeding_tanks(plan: &Plan) -> Vec<(&str, &str)> {
    let mut list: Vec<(&str, &str)> = Vec::new();
    for tank in plan.parts.iter().filter(|p| p.class == "Tank") {
        let Some(volume) = tank.port("T") else { continue };
        let pump = plan.parts.iter().find(|p| is_source(p) && p.port("S") == Some(volume));
        let strainer = || {
            plan.parts.iter().find(|p| {
                feeds_a_pump(plan, p) && p.ports.iter().any(|(_, other)| *other == volume)
            })
        };
        if let Some(part) = pump.or_else(strainer) {
            list.push((&part.tag, &tank.tag));
        }
    }
    list
}

fn item(
    plan: &Plan,
    part: &Part,
    volumes: &Volumes,
    rank: &[Option<usize>],
    top: usize,
    feeds: &[(&str, &str)],
) -> Item {
    let (mut glyph, _) = fluid::symbol(plan, part);
    let rank_of = |port: &str| part.port(port).and_then(|v| rank[v.index()]);
    // What is nearer to the source is below.
    let mean = |facing: Facing, glyph: &Glyph| {
        let ranks: Vec<usize> = glyph
            .anchors
            .iter()
            .filter(|a| a.facing == facing && !is_pilot(&a.name))
            .filter_map(|a| rank_of(&a.name))
            .collect();
        (!ranks.is_empty()).then(|| ranks.iter().sum::<usize>() as f64 / ranks.len() as f64)
    };
    let two = part.ports.iter().filter(|(name, _)| !is_pilot(name)).count() == 2;
    if let (Some(below), Some(above)) = (mean(Facing::Down, &glyph), mean(Facing::Up, &glyph))
        && below > above
        && two
        && !is_actuator(part)
    {
        glyph = glyph.flipped();
    }
    // So is what a pump sucks through.
    let inlets: Vec<_> =
        plan.parts.iter().filter(|p| is_source(p)).filter_map(|p| p.port("S")).collect();
    let sucked = |facing: Facing, glyph: &Glyph| {
        glyph
            .anchors
            .iter()
            .any(|a| a.facing == facing && part.port(&a.name).is_some_and(|v| inlets.contains(&v)))
    };
    if feeds_a_pump(plan, part) && sucked(Facing::Down, &glyph) {
        glyph = glyph.flipped();
    }
    // A return line goes down.
    let returns = |facing: Facing, glyph: &Glyph| {
        glyph.anchors.iter().any(|a| {
            a.facing == facing
                && part.port(&a.name).is_some_and(|v| volumes.tanks[v.index()].is_some())
        })
    };
    if two && returns(Facing::Up, &glyph) && part.class != "Tank" && !is_source(part) {
        glyph = glyph.flipped();
    }
    let (mut open, mut ends) = (Vec::new(), Vec::new());
    let anchors = glyph.anchors.clone();
    for anchor in anchors {
        let Some(volume) = part.port(&anchor.name).map(|v| v.index()) else { continue };
        if volumes.is_line(volume) {
            open.push((anchor, volume));
        } else {
            ends.extend(end_in(&mut glyph, part, &anchor, volume, volumes, feeds));
        }
    }
    let entry = open
        .iter()
        .filter(|(a, _)| !is_pilot(&a.name) || open.len() == 1)
        .filter_map(|(_, v)| rank[*v])
        .min()
        .unwrap_or(0);
    let hangs = !open.is_empty() && open.iter().all(|(a, _)| a.facing == Facing::Up);
    let row = if is_source(part) || part.class == "Tank" {
        1
    } else if feeds_a_pump(plan, part) {
        0
    } else if is_actuator(part) {
        top
    } else if hangs {
        entry + 1
    } else {
        entry + 2
    };
    let labels = labels(part, &glyph, &ends);
    Item { tag: part.tag.clone(), glyph, labels, ends, open, row, hangs }
}

/// Ends a line at its port: in a tank, in the air, or in a plug.
fn end_in(
    glyph: &mut Glyph,
    part: &Part,
    anchor: &Anchor,
    volume: usize,
    volumes: &Volumes,
    feeds: &[(&str, &str)],
) -> Option<Area> {
    let port = format!("{}:{}", part.tag, anchor.name);
    let line = Subject::Line { line: volumes.plan.volumes[volume].name.clone(), from: vec![port] };
    let (mut end, path) = match volumes.tanks[volume] {
        Some(_) if part.class == "Tank" => return None,
        Some(tag) => {
            let own = feeds.iter().any(|(pump, tank)| *pump == part.tag && *tank == tag)
                && (anchor.name == "S" || feeds_a_pump(volumes.plan, part));
            let end = if own { full_tank(volumes.plan, tag) } else { fluid::tank_again(tag, "T") };
            (end, true)
        }
        None if volumes.is_room(volume) => (fluid::exhaust(&part.tag, &anchor.name), false),
        None => (fluid::plug(&part.tag, &anchor.name), false),
    };
    let at = anchor.at;
    let mut points = vec![at];
    let foot = match anchor.facing {
        Facing::Down if path => Point::new(at.x, at.y + 1.0),
        Facing::Down => at,
        Facing::Up if path => {
            // Over the top and down beside the symbol.
            let x = glyph.body.right + 1.5;
            points.push(Point::new(at.x, at.y - 0.5));
            points.push(Point::new(x, at.y - 0.5));
            Point::new(x, at.y + 1.0)
        }
        Facing::Up => {
            end = end.flipped();
            at
        }
        Facing::Left | Facing::Right if path => {
            let x = at.x + f64::from(anchor.facing.step().0);
            points.push(Point::new(x, at.y));
            Point::new(x, at.y + 1.0)
        }
        Facing::Left | Facing::Right => at,
    };
    let hook = end.anchors.first().map_or(Point::new(0.0, 0.0), |a| a.at);
    end.shift(foot.x - hook.x, foot.y - hook.y);
    points.push(foot);
    points.dedup();
    let mut room = end.body;
    for p in &points {
        room.include(Area { left: p.x, top: p.y, right: p.x, bottom: p.y });
    }
    if points.len() > 1 {
        glyph.marks.push(Mark {
            shape: Shape::Path { points, closed: false },
            ink: if is_pilot(&anchor.name) { Ink::Drain } else { Ink::Conductor },
            subject: line,
            shown: true,
            weight: 1.0,
        });
    }
    glyph.marks.append(&mut end.marks);
    Some(room)
}

/// A tank with its label, below its pump.
fn full_tank(plan: &Plan, tag: &str) -> Glyph {
    let Some(part) = plan.parts.iter().find(|p| p.tag == tag) else {
        return fluid::tank_again(tag, "T");
    };
    let (mut glyph, _) = fluid::symbol(plan, part);
    let subject = Subject::Part(tag.to_owned());
    let at = Point::new(glyph.body.right + 0.5, 0.5);
    let label = text_mark(at, tag.to_owned(), 1.0, Align::Start, Ink::Outline, subject);
    glyph.body.include(label.shape.area());
    glyph.marks.push(label);
    glyph
}

/// What is most worth knowing of a part.
const PLATES: [&str; 8] = [
    "setting",
    "pressure",
    "acts at",
    "displacement",
    "bore / rod / stroke",
    "precharge",
    "volume",
    "cracking",
];

fn labels(part: &Part, glyph: &Glyph, ends: &[Area]) -> Vec<Mark> {
    let subject = Subject::Part(part.tag.clone());
    let body = glyph.body;
    let directional = glyph.motions.iter().any(|m| matches!(m.subject, Subject::Spool(_)));
    let width = if directional { (-2.4 - body.left).max(5.0) } else { 8.0 };
    let mut lines: Vec<(String, f64)> = vec![(part.tag.clone(), 1.0)];
    lines.extend(wrapped(&part.title, 0.7, width).into_iter().map(|t| (t, 0.7)));
    let plate = PLATES
        .iter()
        .find_map(|key| part.nameplate.iter().find(|(name, _)| name == key))
        .filter(|_| !directional);
    if let Some((_, value)) = plate {
        lines.extend(wrapped(value, 0.7, width + 6.0).into_iter().map(|t| (t, 0.7)));
    }
    let count = lines.len() as f64;
    let (x, mut y, align) = if directional {
        (body.left, body.bottom.max(3.0) + 1.3, Align::Start)
    } else if is_actuator(part) {
        // Above the barrel, or above the symbol.
        let foot = if glyph.motions.is_empty() { body.top - 0.6 } else { -2.2 };
        (-4.0, foot - 1.15 * (count - 1.0), Align::Start)
    } else if is_source(part) && part.class != "AirSupply" {
        (body.left - 0.4, 0.4 - 0.5 * (count - 1.0), Align::End)
    } else {
        // Beyond what ends at its right side.
        let right = ends
            .iter()
            .filter(|e| e.top < 2.0 && e.bottom > -2.0)
            .map(|e| e.right)
            .fold(body.right, f64::max);
        (right + 0.5, 0.4 - 0.5 * (count - 1.0), Align::Start)
    };
    if directional {
        // Below the left boxes, beside the lines from the ports; above them if pilots enter there.
        let piloted = glyph.anchors.iter().any(|a| a.facing == Facing::Down && is_pilot(&a.name));
        y = if piloted { -2.6 - 1.15 * (count - 1.0) } else { 3.4 };
    }
    lines
        .into_iter()
        .map(|(text, height)| {
            let ink = if height < 1.0 { Ink::Faint } else { Ink::Outline };
            let mark = text_mark(Point::new(x, y), text, height, align, ink, subject.clone());
            y += 1.15;
            mark
        })
        .collect()
}

/// Gives every part a place in its row: near what it is joined to, clear of its neighbours.
fn columns(placed: &mut Placed, highest: usize, looseness: usize) {
    let count = placed.items.len();
    let gap = 2.0 + looseness as f64;
    let areas: Vec<Area> = placed.items.iter().map(Item::area).collect();
    let mut x = vec![0.0_f64; count];
    let mut order: Vec<Vec<usize>> = (0..=highest)
        .map(|row| (0..count).filter(|&k| placed.items[k].row == row).collect())
        .collect();
    for sweep in 0..25 {
        let rows: Vec<usize> =
            if sweep % 2 == 0 { (0..=highest).rev().collect() } else { (0..=highest).collect() };
        for row in rows {
            let members = &mut order[row];
            let wish: Vec<(usize, f64, f64)> = members
                .iter()
                .map(|&k| {
                    let (place, weight) = wished(placed, &x, k, sweep % 2 == 0);
                    (k, place, weight)
                })
                .collect();
            if sweep < 12 {
                let key = |k: usize| wish.iter().find(|w| w.0 == k).map_or(0.0, |w| w.1);
                members.sort_by(|&a, &b| key(a).total_cmp(&key(b)).then(a.cmp(&b)));
            }
            // Distances of neighbours, then the nearest places in this order.
            let mut offset = 0.0;
            let mut wanted = Vec::new();
            let mut offsets = Vec::new();
            for (n, &k) in members.iter().enumerate() {
                if n > 0 {
                    let before = areas[members[n - 1]].right;
                    offset += (before - areas[k].left + gap).ceil();
                }
                offsets.push(offset);
                let (place, weight) =
                    wish.iter().find(|w| w.0 == k).map_or((0.0, 1.0), |w| (w.1, w.2));
                wanted.push((place - offset, weight));
            }
            for ((&k, place), offset) in members.iter().zip(rising(&wanted)).zip(offsets) {
                x[k] = place.round() + offset;
            }
        }
    }
    for (item, x) in placed.items.iter_mut().zip(x) {
        item.shift(x, 0.0);
    }
    close_up(placed, 3.0 * gap);
}

/// Takes out what is empty from top to bottom, down to `gap`.
fn close_up(placed: &mut Placed, gap: f64) {
    let mut order: Vec<(f64, usize)> =
        placed.items.iter().enumerate().map(|(k, item)| (item.area().left, k)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let (mut reached, mut shift) = (f64::INFINITY, 0.0);
    for (left, k) in order {
        if reached.is_finite() && left > reached + gap {
            shift -= (left - reached - gap).floor();
        }
        let item = &mut placed.items[k];
        let right = item.area().right;
        item.shift(shift, 0.0);
        reached = if reached.is_finite() { reached.max(right) } else { right };
    }
}

/// Where a part would like to stand: where its lines to what is above it, or below, are straight.
///
/// Also how much it matters.
fn wished(placed: &Placed, x: &[f64], k: usize, upwards: bool) -> (f64, f64) {
    let own = placed.items[k].row;
    let towards = |row: usize| if upwards { row > own } else { row < own };
    let some = wished_among(placed, x, k, &towards);
    let any = || wished_among(placed, x, k, &|_| true).map(|(place, weight)| (place, 0.1 * weight));
    some.or_else(any).unwrap_or((x[k], 0.01))
}

fn wished_among(
    placed: &Placed,
    x: &[f64],
    k: usize,
    counts: &dyn Fn(usize) -> bool,
) -> Option<(f64, f64)> {
    let (mut sum, mut weight) = (0.0, 0.0);
    for (anchor, volume) in &placed.items[k].open {
        let mut others = 0.0;
        let mut places = 0.0;
        for (j, other) in placed.items.iter().enumerate() {
            if j == k || !counts(other.row) {
                continue;
            }
            for (end, at) in &other.open {
                if at == volume {
                    places += x[j] + end.at.x;
                    others += 1.0;
                }
            }
        }
        if others > 0.0 {
            // A line of two is the more worth keeping straight.
            let share = 1.0 / others;
            sum += share * (places / others - anchor.at.x);
            weight += share;
        }
    }
    (weight > 0.0).then(|| (sum / weight, weight))
}

/// The rising numbers nearest to the given ones with their weights (pool of adjacent violators).
fn rising(wanted: &[(f64, f64)]) -> Vec<f64> {
    let mut pools: Vec<(f64, f64, usize)> = Vec::new();
    for &(value, weight) in wanted {
        pools.push((value, weight, 1));
        while let [.., (a, u, n), (b, v, m)] = pools[..] {
            if a <= b {
                break;
            }
            pools.truncate(pools.len() - 2);
            pools.push(((a * u + b * v) / (u + v), u + v, n + m));
        }
    }
    pools.into_iter().flat_map(|(value, _, n)| std::iter::repeat_n(value, n)).collect()
}

/// Gives every row its height, and room for the lines between them.
fn rows(
    placed: &mut Placed,
    highest: usize,
    looseness: usize,
    rank: &[Option<usize>],
    volumes: &Volumes,
) {
    let mut y = 0.0_f64;
    let used = |row: usize, placed: &Placed| placed.items.iter().any(|i| i.row == row);
    for row in (0..=highest).rev() {
        let members: Vec<usize> =
            (0..placed.items.len()).filter(|&k| placed.items[k].row == row).collect();
        if members.is_empty() {
            continue;
        }
        let mut height: f64 = 0.0;
        for &k in &members {
            let area = placed.items[k].area();
            height = height.max((area.bottom - area.top).ceil());
        }
        let mut lowest: f64 = y;
        for &k in &members {
            let item = &placed.items[k];
            let area = item.area();
            // By the ends of their lines: hanging parts by the upper, the others by the lower.
            let shift = if item.hangs { y - area.top } else { y + height - area.bottom };
            let shift = shift.round();
            lowest = lowest.max(area.bottom + shift);
            placed.items[k].shift(0.0, shift);
        }
        // Lines that run in the gap below this row.
        let below = (0..row).rev().find(|&r| used(r, placed)).unwrap_or(0);
        let here = |r: usize| r + 2 > below && r + 2 <= row;
        let nets =
            (0..rank.len()).filter(|&v| volumes.is_line(v) && rank[v].is_some_and(here)).count();
        y = lowest.ceil() + 2.0 + (1.0 + 0.5 * looseness as f64) * nets as f64;
    }
}
