//! What lies between which terminals: elements, wires, potentials.

use std::collections::{BTreeMap, BTreeSet};

use crate::base::NodeId;
use crate::plant::{BranchRole, Current, Delay, Element as Piece, Moves, Part, Plan, Trigger};

use super::super::sheet::Subject;
use super::super::symbols::electric::{Device, Operation};

/// Something with two ends.
#[derive(Clone, Debug)]
pub struct Element {
    /// Designation of its part.
    pub tag: String,
    /// Label that stands at its symbol.
    pub label: String,
    /// What the part is for.
    pub title: String,
    /// What it is.
    pub device: Device,
    /// Nodes of its ends.
    pub nodes: [usize; 2],
    /// Potentials of its ends. Both differ, also where the ends are joined.
    pub nets: [usize; 2],
    /// Where it comes in the wiring.
    pub order: usize,
    /// More to say about it, such as its voltage or the isolator before it: what, and for whom.
    pub notes: Vec<(String, Subject)>,
}

/// A wire, or a joint inside a part.
#[derive(Clone, Debug)]
pub struct Wire {
    /// Its tag, empty for a joint inside a part.
    pub tag: String,
    /// What its marks stand for.
    pub subject: Subject,
    /// Its ends.
    pub nodes: [usize; 2],
}

/// A control circuit.
#[derive(Clone, Debug, Default)]
pub struct Circuit {
    /// Names of the nodes.
    pub names: Vec<String>,
    /// Elements.
    pub elements: Vec<Element>,
    /// Wires and joints.
    pub wires: Vec<Wire>,
    /// Potential of each node.
    pub net_of: Vec<usize>,
    /// How many potentials there are.
    pub nets: usize,
    /// Nodes that are terminals, where a probe can be put.
    pub terminals: BTreeSet<usize>,
    /// Supplies that are bonded to the earth: part and node.
    pub bonds: Vec<(String, usize)>,
}

/// The potential of the earth.
pub const EARTH: usize = 0;

impl Circuit {
    /// Reads it from a plan.
    pub fn read(plan: &Plan) -> Circuit {
        let mut circuit = Circuit {
            names: plan.nodes.iter().map(|n| n.name.clone()).collect(),
            ..Circuit::default()
        };
        for part in &plan.parts {
            if part.class == "Wire" {
                if let Some(Piece::Branch(core)) = part.element("core") {
                    let place = &plan.branches[core.index()];
                    circuit.wires.push(Wire {
                        tag: part.tag.clone(),
                        subject: Subject::Wire(part.tag.clone()),
                        nodes: [place.a.index(), place.b.index()],
                    });
                }
                continue;
            }
            circuit.terminals.extend(part.terminals.iter().map(|(_, n)| n.index()));
            circuit.read_part(plan, part);
        }
        circuit.find_nets();
        circuit.add_posts(plan);
        circuit.order(plan);
        circuit
    }

    fn read_part(&mut self, plan: &Plan, part: &Part) {
        let mut ways: Vec<([usize; 2], Device)> = Vec::new();
        for (role, piece) in &part.elements {
            match *piece {
                Piece::Branch(b) => {
                    let place = &plan.branches[b.index()];
                    let nodes = [place.a.index(), place.b.index()];
                    if nodes.contains(&EARTH) {
                        let other = nodes[0].max(nodes[1]);
                        if matches!(place.role, BranchRole::Resistor) {
                            self.bonds.push((part.tag.clone(), other));
                        }
                        continue;
                    }
                    if place.role != BranchRole::Wire {
                        let device = device_of_branch(plan, part, role, b.index());
                        ways.extend(device.map(|device| (nodes, device)));
                    } else {
                        self.wires.push(Wire {
                            tag: String::new(),
                            subject: Subject::Part(part.tag.clone()),
                            nodes,
                        });
                    }
                }
                Piece::Winding(w) => {
                    let winding = &plan.windings[w.index()];
                    let name = winding.name.clone();
                    let device = match winding.moves {
                        Moves::Spool(..) => Device::Solenoid { name },
                        Moves::Nothing => Device::Winding { name },
                        _ => {
                            let kind = coil_kind(plan, part);
                            Device::Coil { name, kind, latch: latch(role) }
                        }
                    };
                    ways.push(([winding.a.index(), winding.b.index()], device));
                }
                _ => {}
            }
        }
        for (nodes, device) in ways {
            let label = match &device {
                Device::Solenoid { name } => name.clone(),
                _ => part.tag.clone(),
            };
            let notes = notes(plan, part, &device);
            self.elements.push(Element {
                tag: part.tag.clone(),
                label,
                title: part.title.clone(),
                device,
                nodes,
                nets: [0; 2],
                order: usize::MAX,
                notes,
            });
        }
    }

    fn find_nets(&mut self) {
        let mut root: Vec<usize> = (0..self.names.len()).collect();
        fn find(root: &mut [usize], mut n: usize) -> usize {
            while root[n] != n {
                root[n] = root[root[n]];
                n = root[n];
            }
            n
        }
        for wire in &self.wires {
            let (a, b) = (find(&mut root, wire.nodes[0]), find(&mut root, wire.nodes[1]));
            root[a.max(b)] = a.min(b);
        }
        let mut number = BTreeMap::new();
        self.net_of = (0..self.names.len())
            .map(|n| {
                let r = find(&mut root, n);
                let next = number.len();
                *number.entry(r).or_insert(next)
            })
            .collect();
        self.nets = number.len();
        for element in &mut self.elements {
            element.nets = element.nodes.map(|n| self.net_of[n]);
        }
    }

    /// Terminals at which no element ends: where two groups of wires meet there, the terminal lies
    /// between them as an element of its own; else it hangs on its potential.
    fn add_posts(&mut self, plan: &Plan) {
        for part in plan.parts.iter().filter(|p| p.class != "Wire") {
            for (marking, node) in &part.terminals {
                let node = node.index();
                if self.elements.iter().any(|e| e.nodes.contains(&node)) {
                    continue;
                }
                let far = self.split_at(node);
                let own = self.net_of[node];
                let other = far.unwrap_or_else(|| {
                    self.nets += 1;
                    self.nets - 1
                });
                self.elements.push(Element {
                    tag: part.tag.clone(),
                    label: format!("{}:{marking}", part.tag),
                    title: String::new(),
                    device: Device::Post,
                    nodes: [node, node],
                    nets: [own, other],
                    order: usize::MAX,
                    notes: Vec::new(),
                });
            }
        }
    }

    /// If `node` parts its potential into two groups, gives the second a number of its own.
    fn split_at(&mut self, node: usize) -> Option<usize> {
        let neighbours: Vec<usize> = self
            .wires
            .iter()
            .filter_map(|w| match w.nodes {
                [a, b] if a == node => Some(b),
                [a, b] if b == node => Some(a),
                _ => None,
            })
            .collect();
        let [first, second] = neighbours[..] else { return None };
        let mut seen = vec![false; self.names.len()];
        let mut reached = vec![second];
        seen[second] = true;
        let mut at = 0;
        while let Some(&here) = reached.get(at) {
            at += 1;
            for wire in &self.wires {
                let [a, b] = wire.nodes;
                for (from, to) in [(a, b), (b, a)] {
                    if from == here && to != node && !seen[to] {
                        seen[to] = true;
                        reached.push(to);
                    }
                }
            }
        }
        if seen[first] || seen[EARTH] {
            return None;
        }
        let fresh = self.nets;
        self.nets += 1;
        for member in reached {
            self.net_of[member] = fresh;
            for element in &mut self.elements {
                for end in 0..2 {
                    if element.nodes[end] == member && element.device != Device::Post {
                        element.nets[end] = fresh;
                    }
                }
            }
            self.move_posts(member, self.net_of[node], fresh);
        }
        Some(fresh)
    }

    /// A terminal that was split before: its end that was on `old` is on `fresh` now.
    fn move_posts(&mut self, member: usize, old: usize, fresh: usize) {
        for element in &mut self.elements {
            if element.nodes[0] == member && element.device == Device::Post {
                for net in &mut element.nets {
                    if *net == old {
                        *net = fresh;
                    }
                }
            }
        }
    }

    fn order(&mut self, plan: &Plan) {
        let derived: Vec<&str> =
            plan.parts.iter().filter(|p| p.class == "Rectifier").map(|p| p.tag.as_str()).collect();
        for element in &mut self.elements {
            let first =
                self.wires.iter().position(|w| w.nodes.iter().any(|n| element.nodes.contains(n)));
            // What feeds by itself comes before everything.
            let feeds = matches!(element.device, Device::Source { .. })
                && !derived.contains(&element.tag.as_str());
            element.order = if feeds { 0 } else { first.map_or(usize::MAX, |k| k + 1) };
        }
    }
}

/// More to say about an element.
fn notes(plan: &Plan, part: &Part, device: &Device) -> Vec<(String, Subject)> {
    let own = Subject::Part(part.tag.clone());
    let plate = |what: &str| {
        part.nameplate.iter().find(|(name, _)| name == what).map(|(_, value)| value.clone())
    };
    let mut notes = Vec::new();
    match device {
        Device::Source { .. } => {
            notes.extend(plate("voltage").map(|v| (v, own)));
            for (_, piece) in &part.elements {
                if let Piece::Branch(b) = *piece
                    && let Some(operator) = plan.branches[b.index()].behind
                {
                    let name = plan.operators[operator.index()].name.clone();
                    notes.push((format!("fed by {name}"), Subject::Part(name)));
                }
            }
        }
        Device::Fuse => notes.extend(plate("rating").map(|v| (v, own))),
        _ => {}
    }
    notes
}

fn latch(role: &str) -> &'static str {
    let role = role.to_ascii_lowercase();
    if role.contains("reset") || role.contains("unlatch") {
        "R"
    } else if role.contains("set") || role.contains("latch") {
        "S"
    } else {
        ""
    }
}

/// The function of a relay's coil: that of its contacts.
fn coil_kind(plan: &Plan, part: &Part) -> Operation {
    part.elements
        .iter()
        .filter_map(|(_, piece)| match piece {
            Piece::Operator(o) => Some(operation(plan, part, o.index())),
            _ => None,
        })
        .find(|kind| matches!(kind, Operation::OnDelay | Operation::OffDelay))
        .unwrap_or(Operation::Relay)
}

fn operation(plan: &Plan, part: &Part, operator: usize) -> Operation {
    if let Some(make) = plan.nominal.operators.get(operator) {
        match make.trigger {
            Trigger::Pressure { .. } => return Operation::Pressure,
            Trigger::Program { .. } => return Operation::Output,
            Trigger::Armature { delay: Delay::On(_), .. } => return Operation::OnDelay,
            Trigger::Armature { delay: Delay::Off(_), .. } => return Operation::OffDelay,
            Trigger::Armature { .. } => return Operation::Relay,
            _ => {}
        }
    }
    let class = part.class.to_ascii_lowercase();
    let has = |word: &str| class.contains(word);
    if has("emergency") {
        Operation::Mushroom
    } else if has("button") {
        Operation::Push
    } else if has("selector") || has("isolator") {
        Operation::Turn
    } else if has("limit") {
        Operation::Roller
    } else if has("proximity") {
        Operation::Proximity
    } else if has("temperature") || has("thermostat") {
        Operation::Temperature
    } else if has("level") || has("float") {
        Operation::Level
    } else if has("flowswitch") {
        Operation::Flow
    } else if has("overload") || has("breaker") || has("starter") {
        Operation::Overload
    } else {
        Operation::Relay
    }
}

/// What a branch of a part looks like; `None` for what no drawing shows, such as insulation.
fn device_of_branch(plan: &Plan, part: &Part, role: &str, branch: usize) -> Option<Device> {
    let class = part.class.to_ascii_lowercase();
    let place = &plan.branches[branch];
    let alternating = || {
        let network = plan.network_of(place.a);
        network.is_some_and(|n| plan.networks[n].current != Current::Dc)
    };
    if class == "transformer" {
        // Its equivalent circuit has legs across; each winding is drawn once.
        let letter = |node: NodeId| {
            let (marking, _) = part.terminals.iter().find(|(_, n)| *n == node)?;
            marking.chars().next()
        };
        let (a, b) = (letter(place.a)?, letter(place.b)?);
        return (a == b).then(|| match a {
            'S' => Device::Secondary,
            _ => Device::Winding { name: part.tag.clone() },
        });
    }
    if class == "rectifier" {
        return match role {
            "input" => Some(Device::Box("~/=".to_owned())),
            "output" => Some(Device::Source { alternating: false }),
            _ => None,
        };
    }
    Some(match place.role {
        BranchRole::Contact(c) => {
            let contact = &plan.contacts[c.index()];
            Device::Contact {
                name: contact.name.clone(),
                by: operation(plan, part, contact.operator.index()),
                closed: contact.normally_closed,
            }
        }
        BranchRole::Fuse(_) if class.contains("breaker") => Device::Release,
        BranchRole::Fuse(_) => Device::Fuse,
        BranchRole::Source => Device::Source { alternating: alternating() },
        BranchRole::Lamp => Device::Lamp(part.tag.clone()),
        BranchRole::Resistor if class == "resistor" => Device::Resistor,
        BranchRole::Resistor if class.contains("diode") => Device::Diode,
        BranchRole::Resistor if role == "electronics" => Device::Box(part.tag.clone()),
        BranchRole::Resistor => Device::Box(role.to_owned()),
        _ => return None,
    })
}
