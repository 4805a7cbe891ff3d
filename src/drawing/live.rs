//! The state of a run under the names that the marks carry, and sheets with that state drawn in.

use std::collections::BTreeMap;

use crate::base::{ContactId, NodeId, OperatorId, VolumeId, WindingId};
use crate::electric::Complex64;
use crate::plant::{Current, Drive, Element, Moves, Part, Plan, Plant, Probe, Survey, Tie};

use super::labels::text_mark;
use super::sheet::{Align, Area, Ink, Mark, Point, Shape, Sheet, Subject};
use super::symbols::main_spool;

/// State of a winding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilLive {
    /// Current [A]; root-mean-square on alternating current.
    pub amps: f64,
    /// Temperature of the winding [degC].
    pub celsius: f64,
    /// Whether what it moves is pulled in.
    pub pulled_in: bool,
    /// Whether it has burnt open.
    pub burnt: bool,
}

/// State of a piston.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PistonLive {
    /// How far the rod is out [m].
    pub out_m: f64,
    /// Its stroke [m].
    pub stroke_m: f64,
    /// Speed [m/s], positive extending; 0 if it is not known.
    pub speed_m_s: f64,
}

/// What is known of a run at one moment. What is not known is not in the maps.
///
/// ```
/// use std::sync::Arc;
/// use spoolbench::{bench, diagnostic::Diagnostics, drawing, plant::Plant};
/// let source = r#"Bench(format: 1, parts: {
///     "G1": DcSupply(voltage: "24 V DC"), "S1": PushButton(), "H1": Lamp(),
/// }, rungs: [Rung(from: "G1:+", to: "G1:-", path: "S1:13-14, H1:X1-X2")])"#;
/// let mut found = Diagnostics::new();
/// let bench = bench::load("lamp.bench.ron", source, &mut found).expect("a bench");
/// let mut plant = Plant::nominal(Arc::new(bench.plan));
/// let live = drawing::live::Live::of(&mut plant);
/// assert_eq!(live.contacts["S1:13-14"], false);
/// assert_eq!(live.lamps["H1"], false);
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Live {
    /// Whether a contact is closed, by designation such as `K1:13-14`.
    pub contacts: BTreeMap<String, bool>,
    /// Windings, by designation such as `K1` or `1V1.a`.
    pub coils: BTreeMap<String, CoilLive>,
    /// Whether a lamp is lit.
    pub lamps: BTreeMap<String, bool>,
    /// Whether a fuse has blown.
    pub blown: BTreeMap<String, bool>,
    /// Positions of spools [1], -1 to +1, by designation of the valve.
    pub spools: BTreeMap<String, f64>,
    /// Pistons, by designation of the cylinder.
    pub pistons: BTreeMap<String, PistonLive>,
    /// Speeds of pumps [1/s].
    pub pumps: BTreeMap<String, f64>,
    /// Pressures of lines [Pa gauge], by name.
    pub lines: BTreeMap<String, f64>,
    /// Pressures at test points [Pa gauge].
    pub test_points: BTreeMap<String, f64>,
    /// Flow out of a port into its line [m3/s; kg/s for air].
    pub ports: BTreeMap<String, f64>,
    /// Voltage of a terminal against the earth [V]; root-mean-square on alternating current.
    pub terminals: BTreeMap<String, f64>,
    /// Current of a wire from its first end to its second [A]; its magnitude on alternating current.
    pub wires: BTreeMap<String, f64>,
    /// What gauges that were fitted last showed, in words, by test point or port.
    pub gauges: BTreeMap<String, String>,
}

impl Live {
    /// Everything, as an instructor or a debriefing may see it.
    pub fn of(plant: &mut Plant) -> Live {
        let plan = plant.plan().clone();
        let mut live = Live::visible(plant);
        let survey = plant.survey();
        for (k, contact) in plan.contacts.iter().enumerate() {
            let closed = plant.contact_closed(ContactId::new(k));
            live.contacts.insert(contact.name.clone(), closed);
        }
        for (k, winding) in plan.windings.iter().enumerate() {
            let pulled_in = match winding.moves {
                Moves::Relay(o) => plant.acting(o),
                Moves::Unlatch(o) => !plant.acting(o),
                Moves::Spool(s, towards_a) => {
                    let x = survey.spool[s.index()];
                    if towards_a { x > 0.9 } else { x < -0.9 }
                }
                Moves::Nothing => false,
            };
            let coil = CoilLive {
                amps: survey.winding_a[k],
                celsius: survey.winding_celsius[k],
                pulled_in,
                burnt: plant.burnt(WindingId::new(k)),
            };
            live.coils.insert(winding.name.clone(), coil);
        }
        for part in &plan.parts {
            if let Some(spool) = main_spool(&plan, part) {
                live.spools.insert(part.tag.clone(), survey.spool[spool.index()]);
            }
        }
        for (k, volume) in plan.volumes.iter().enumerate() {
            live.lines.insert(volume.name.clone(), survey.pressure_pa[k]);
        }
        for point in &plan.test_points {
            live.test_points.insert(point.name.clone(), survey.pressure_pa[point.volume.index()]);
        }
        for (k, node) in plan.nodes.iter().enumerate() {
            let volts = shown(&plan, NodeId::new(k), survey.node_v[k]);
            live.terminals.insert(node.name.clone(), volts);
        }
        for part in &plan.parts {
            if let Some(Element::Branch(core)) = part.element("core") {
                let end = plan.branches[core.index()].a;
                let amps = shown(&plan, end, survey.branch_a[core.index()]);
                live.wires.insert(part.tag.clone(), amps);
            }
            for (marking, volume) in &part.ports {
                let flow = port_flow(plant, &survey, part, *volume);
                live.ports.insert(format!("{}:{marking}", part.tag), flow);
            }
        }
        balance_accumulators(&plan, &mut live);
        live
    }

    /// What anyone beside the machine sees without a tool: lamps, handles, rods, shafts, the
    /// indicators of fuses. Whoever has fitted a gauge or a meter may add to it.
    pub fn visible(plant: &mut Plant) -> Live {
        let plan = plant.plan().clone();
        let mut live = Live::default();
        for (k, lamp) in plan.lamps.iter().enumerate() {
            live.lamps.insert(lamp.name.clone(), plant.lit(k));
        }
        for (k, operator) in plan.operators.iter().enumerate() {
            if operator.tie != Tie::Hand {
                continue;
            }
            let acting = plant.acting(OperatorId::new(k));
            for contact in &operator.contacts {
                let contact = &plan.contacts[contact.index()];
                live.contacts.insert(contact.name.clone(), acting != contact.normally_closed);
            }
        }
        for part in &plan.parts {
            for &(_, element) in &part.elements {
                match element {
                    Element::Fuse(f) => {
                        live.blown.insert(part.tag.clone(), plant.blown(f));
                    }
                    Element::Piston(p) => {
                        let stroke_m = plant.condition().pistons[p.index()].stroke_m;
                        let piston = PistonLive {
                            out_m: plant.read(Probe::Piston(p)).clamp(0.0, stroke_m),
                            stroke_m,
                            speed_m_s: plant.read(Probe::PistonSpeed(p)),
                        };
                        live.pistons.insert(part.tag.clone(), piston);
                    }
                    Element::Flow(f) => {
                        // A slide that a hand moves stands where its handle does.
                        if let Drive::Operator(o) = plan.flows[f.index()].drive {
                            let on = f64::from(u8::from(plant.acting(o)));
                            live.spools.insert(part.tag.clone(), on);
                        }
                    }
                    Element::Pump(p) => {
                        live.pumps.insert(part.tag.clone(), plant.read(Probe::PumpSpeed(p)));
                    }
                    _ => {}
                }
            }
        }
        live
    }

    /// Flow along a piece of a line, in the direction of its points [m3/s; kg/s for air], if known.
    #[must_use]
    pub fn flow(&self, subject: &Subject) -> Option<f64> {
        match subject {
            Subject::Line { from, .. } => {
                from.iter().map(|port| self.ports.get(port).copied()).sum()
            }
            _ => None,
        }
    }

    /// By how much a subject that moves is away from where it is drawn [modules], if known.
    #[must_use]
    pub fn shift(&self, sheet: &Sheet, subject: &Subject) -> Option<(f64, f64)> {
        // A solenoid rides on the boxes of its valve.
        let carrier = match subject {
            Subject::Coil(name) => Subject::Spool(name.rsplit_once('.')?.0.to_owned()),
            other => other.clone(),
        };
        let motion = sheet.motions.iter().find(|m| m.subject == carrier)?;
        let value = match &carrier {
            Subject::Spool(tag) => *self.spools.get(tag)?,
            Subject::Piston(tag) => {
                let piston = self.pistons.get(tag)?;
                piston.out_m / piston.stroke_m
            }
            _ => return None,
        };
        let by = value - motion.drawn_at;
        Some((by * motion.dx, by * motion.dy))
    }
}

/// Signed value on direct current, magnitude on alternating, in the network of `node`.
fn shown(plan: &Plan, node: NodeId, value: Complex64) -> f64 {
    let alternating = plan
        .network_of(node)
        .is_some_and(|n| matches!(plan.networks[n].current, Current::Ac { .. }));
    if alternating { value.norm_sqr().sqrt() } else { value.re }
}

/// Flow out of a part into `volume`, accumulators left out.
fn port_flow(plant: &Plant, survey: &Survey, part: &Part, volume: VolumeId) -> f64 {
    let plan = plant.plan();
    let mut sum = 0.0;
    for &(_, element) in &part.elements {
        match element {
            Element::Flow(f) => {
                let path = &plan.flows[f.index()];
                let flow = survey.flow[f.index()];
                if path.second == volume {
                    sum += flow;
                }
                if path.first == volume {
                    sum -= flow;
                }
            }
            Element::Piston(p) => {
                let place = &plan.pistons[p.index()];
                let make = &plant.condition().pistons[p.index()];
                let speed = survey.piston_speed[p.index()];
                let mut out = 0.0;
                if place.cap == volume {
                    out -= make.cap_m2 * speed;
                }
                if place.rod == volume {
                    out += make.rod_m2 * speed;
                }
                let density = match plant.condition().volumes[volume.index()].medium {
                    crate::fluid::Medium::Air { .. } => {
                        let pa = survey.pressure_pa[volume.index()];
                        crate::fluid::REFERENCE_DENSITY * (1.0 + pa / 1e5)
                    }
                    crate::fluid::Medium::Oil { .. } => 1.0,
                };
                sum += out * density;
            }
            _ => {}
        }
    }
    sum
}

/// What an accumulator gives is what the other ports of its line take.
fn balance_accumulators(plan: &Plan, live: &mut Live) {
    for accumulator in &plan.accumulators {
        let mut others = 0.0;
        let mut own = None;
        for part in &plan.parts {
            for (marking, volume) in &part.ports {
                if *volume != accumulator.volume {
                    continue;
                }
                let port = format!("{}:{marking}", part.tag);
                if part.tag == accumulator.name {
                    own = Some(port);
                } else {
                    others += live.ports.get(&port).copied().unwrap_or(0.0);
                }
            }
        }
        if let Some(port) = own {
            live.ports.insert(port, -others);
        }
    }
}

/// Pressure [Pa] from which a line is drawn in the second and in the third width, by medium and
/// most pressure about: a tenth and a half of `highest_pa`.
fn pressure_weight(pa: f64, highest_pa: f64) -> f64 {
    if pa > 0.5 * highest_pa {
        2.6
    } else if pa > 0.1 * highest_pa {
        1.7
    } else {
        1.0
    }
}

/// Current [A] from which a wire counts as live on a drawing.
const FLOWS_A: f64 = 1e-3;

/// The sheet with the state drawn in: contacts and boxes where they are, lines and wires wider the
/// more is in them, and numbers beside test points, coils and cylinders.
#[must_use]
pub fn apply(sheet: &Sheet, live: &Live) -> Sheet {
    apply_in(sheet, live, &str::to_owned)
}

/// The same with the numbers as `write` says them.
#[must_use]
pub fn apply_in(sheet: &Sheet, live: &Live, write: &dyn Fn(&str) -> String) -> Sheet {
    let mut drawn = sheet.clone();
    drawn.motions.clear();
    let highest_pa = live.lines.values().copied().fold(1e5, f64::max);
    for mark in &mut drawn.marks {
        let heavy = |on: bool, weight: f64| if on { weight } else { 1.0 };
        match &mark.subject {
            Subject::Contact(name, closed) => {
                if let Some(is) = live.contacts.get(name) {
                    mark.shown = is == closed;
                }
            }
            Subject::Line { line, .. } => {
                if let Some(pa) = live.lines.get(line) {
                    mark.weight = pressure_weight(*pa, highest_pa);
                }
            }
            Subject::Wire(tag) => {
                let flows = live.wires.get(tag).is_some_and(|a| a.abs() > FLOWS_A);
                mark.weight = heavy(flows, 2.2);
            }
            Subject::Coil(name) => {
                let flows = live.coils.get(name).is_some_and(|c| c.amps.abs() > FLOWS_A);
                mark.weight = heavy(flows, 2.2);
            }
            Subject::Lamp(tag) => {
                mark.weight = heavy(live.lamps.get(tag) == Some(&true), 2.6);
            }
            _ => {}
        }
        if let Some((dx, dy)) = live.shift(sheet, &mark.subject) {
            mark.shape.shift(dx, dy);
        }
    }
    write_numbers(&mut drawn, live, write);
    drawn
}

/// Writes the numbers, each once, beside the label of what it belongs to and clear of everything.
fn write_numbers(sheet: &mut Sheet, live: &Live, write: &dyn Fn(&str) -> String) {
    let mut taken: Vec<Area> = Vec::new();
    for mark in sheet.marks.iter().filter(|m| m.shown) {
        match &mark.shape {
            Shape::Path { points, .. } => {
                for pair in points.windows(2) {
                    let mut area = Area::EMPTY;
                    for p in pair {
                        area.include(Area { left: p.x, top: p.y, right: p.x, bottom: p.y });
                    }
                    taken.push(area.grown(0.1));
                }
            }
            other => taken.push(other.area()),
        }
    }
    let mut done: Vec<Subject> = Vec::new();
    let mut numbers = Vec::new();
    for mark in &sheet.marks {
        let Shape::Text { at, height, align, .. } = &mark.shape else { continue };
        let lines: Vec<String> =
            numbers_of(&mark.subject, live).iter().map(|line| write(line)).collect();
        if lines.is_empty() || done.contains(&mark.subject) {
            continue;
        }
        done.push(mark.subject.clone());
        let label = mark.shape.area();
        let block = Block { lines: &lines, subject: &mark.subject };
        let high = LINE * lines.len() as f64;
        let (right, left) =
            (Point::new(label.right + 0.4, at.y), Point::new(label.left - 0.4, at.y));
        let under = (Point::new(at.x, at.y + LINE + 0.1), *align);
        // At a test point the room beside the name is kept for the number.
        let first = match (&mark.subject, align) {
            (Subject::TestPoint(_), Align::End) => (left, Align::End),
            (Subject::TestPoint(_), _) => (right, Align::Start),
            _ => under,
        };
        let beside = [
            first,
            under,
            (right, Align::Start),
            (Point::new(at.x, at.y - 1.25 * height - high + LINE), *align),
            (left, Align::End),
            // Beside it, its last line on the foot of the label.
            (Point::new(label.left - 0.4, at.y - high + LINE), Align::End),
            (Point::new(label.right + 0.4, at.y - high + LINE), Align::Start),
            (Point::new(at.x, at.y + 2.0 * LINE), *align),
            (Point::new(at.x, at.y + 3.0 * LINE), *align),
        ];
        let free = |marks: &Vec<Mark>| {
            marks.iter().all(|m| {
                let area = m.shape.area();
                let inside = area.left > 0.0 && area.right < sheet.width;
                inside && !taken.iter().any(|t| t.overlaps(&area))
            })
        };
        let named = beside.iter().map(|b| block.at(b.0, b.1)).find(free);
        let around = || around(label).map(|(at, align)| block.at(at, align)).find(free);
        let marks = named.or_else(around).unwrap_or_else(|| block.at(first.0, first.1));
        taken.extend(marks.iter().map(|m| m.shape.area()));
        numbers.extend(marks);
    }
    sheet.marks.extend(numbers);
}

/// Places around a label, the nearer first: where it is crowded.
fn around(label: Area) -> impl Iterator<Item = (Point, Align)> {
    const STEP: f64 = 0.5;
    (1..=12).flat_map(move |far| {
        (-far..=far).flat_map(move |k| {
            let (far, k) = (STEP * f64::from(far), STEP * f64::from(k));
            [
                (Point::new(label.right + far, label.bottom + k), Align::Start),
                (Point::new(label.left - far, label.bottom + k), Align::End),
                (Point::new(label.left + k, label.bottom + SIZE + far), Align::Start),
                (Point::new(label.left + k, label.top - LINE - far), Align::Start),
            ]
        })
    })
}

/// Height of numbers, and from line to line [modules].
const SIZE: f64 = 0.7;
const LINE: f64 = 1.1;

/// Lines of numbers that belong together.
struct Block<'a> {
    lines: &'a [String],
    subject: &'a Subject,
}

impl Block<'_> {
    fn at(&self, at: Point, align: Align) -> Vec<Mark> {
        let line = |(k, text): (usize, &String)| {
            let at = Point::new(at.x, at.y + LINE * k as f64);
            text_mark(at, text.clone(), SIZE, align, Ink::Outline, self.subject.clone())
        };
        self.lines.iter().enumerate().map(line).collect()
    }
}

/// `value`, or zero without a sign where it would be printed as zero with one: below half of `last`.
fn unsigned(value: f64, last: f64) -> f64 {
    if value.abs() < 0.5 * last { 0.0 } else { value }
}

/// What stands beside a coil that has burnt open.
pub const BURNT: &str = "burnt";

/// What stands in numbers beside the label of `subject`.
fn numbers_of(subject: &Subject, live: &Live) -> Vec<String> {
    match subject {
        Subject::Coil(name) => live.coils.get(name).map_or_else(Vec::new, |coil| {
            if coil.burnt {
                vec![BURNT.to_owned()]
            } else {
                vec![
                    format!("{:.2} A", unsigned(coil.amps, 0.01)),
                    format!("{:.0} degC", coil.celsius),
                ]
            }
        }),
        Subject::Part(tag) => {
            live.pistons.get(tag).map(|p| format!("{:.0} mm", p.out_m * 1e3)).into_iter().collect()
        }
        // What is there now says more than what a gauge showed.
        Subject::TestPoint(name) | Subject::Port(name) => live
            .test_points
            .get(name)
            .map(|pa| format!("{:.1} bar", unsigned(*pa, 1e4) / 1e5))
            // With room for the rim of the gauge.
            .or_else(|| live.gauges.get(name).map(|shown| format!(" {shown} ")))
            .into_iter()
            .collect(),
        _ => Vec::new(),
    }
}
