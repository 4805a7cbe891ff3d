//! The single faults that an interlock has to bear.

use crate::base::{BranchId, ContactId, OperatorId, PartId, SpoolId};
use crate::language::Phrase;
use crate::plant::{BranchRole, Condition, ContactFault, Element, Plan, Tie};

/// A fault of one element.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// A contact that has welded: it always conducts, unless its actuator forces it apart.
    Welded(ContactId),
    /// A contact that always conducts, whatever moves it: bridged, or off its head.
    Bridged(ContactId),
    /// A contact that never conducts.
    Dead(ContactId),
    /// A wire that has come off.
    WireOff(BranchId),
    /// A relay, limit switch or pressure switch that stays acted (true) or at rest (false).
    Stuck(OperatorId, bool),
    /// A spool that stays where it is.
    SpoolStuck(SpoolId),
}

impl Fault {
    /// All single faults of `plan`, in the order of its elements. A contact that nothing forces apart
    /// is bridged when it is welded; that counts once.
    #[must_use]
    pub fn all(plan: &Plan) -> Vec<Fault> {
        let contacts = (0..plan.contacts.len()).map(ContactId::new);
        let bridged = |c: ContactId| plan.contacts[c.index()].direct.then_some(Fault::Bridged(c));
        let wires = (0..plan.branches.len())
            .filter(|&b| plan.branches[b].role == BranchRole::Wire)
            .map(|b| Fault::WireOff(BranchId::new(b)));
        let moved = (0..plan.operators.len())
            .filter(|&o| plan.operators[o].tie != Tie::Hand)
            .map(OperatorId::new);
        contacts
            .flat_map(|c| [Fault::Welded(c), Fault::Dead(c)].into_iter().chain(bridged(c)))
            .chain(wires)
            .chain(moved.flat_map(|o| [Fault::Stuck(o, true), Fault::Stuck(o, false)]))
            .chain((0..plan.spools.len()).map(|s| Fault::SpoolStuck(SpoolId::new(s))))
            .collect()
    }

    /// What it is, in English.
    #[must_use]
    pub fn describe(&self, plan: &Plan) -> String {
        self.tell(plan).to_string()
    }

    /// What it is, without a language yet.
    #[must_use]
    pub fn tell(&self, plan: &Plan) -> Phrase {
        let of = |id: &'static str, part: &str| Phrase::new(id).with("part", part);
        match *self {
            Fault::Welded(c) if plan.contacts[c.index()].direct => {
                of("interlock-welded", &plan.contacts[c.index()].name)
            }
            Fault::Welded(c) | Fault::Bridged(c) => {
                of("interlock-conducts", &plan.contacts[c.index()].name)
            }
            Fault::Dead(c) => of("interlock-dead", &plan.contacts[c.index()].name),
            Fault::WireOff(b) => {
                let wire = &plan.branches[b.index()];
                let name = |n: crate::base::NodeId| plan.nodes[n.index()].name.as_str();
                Phrase::new("interlock-wire-off")
                    .with("from", name(wire.a))
                    .with("to", name(wire.b))
            }
            Fault::Stuck(o, acted) => {
                let id = if acted { "interlock-stuck-acted" } else { "interlock-stuck-rest" };
                of(id, &plan.operators[o.index()].name)
            }
            Fault::SpoolStuck(s) => of("interlock-spool-sticks", &plan.spools[s.index()].name),
        }
    }

    /// The element it is in.
    fn element(&self) -> Element {
        match *self {
            Fault::Welded(c) | Fault::Bridged(c) | Fault::Dead(c) => Element::Contact(c),
            Fault::WireOff(b) => Element::Branch(b),
            Fault::Stuck(o, _) => Element::Operator(o),
            Fault::SpoolStuck(s) => Element::Spool(s),
        }
    }

    /// The part that it is in.
    #[must_use]
    pub fn part(&self, plan: &Plan) -> Option<PartId> {
        let element = self.element();
        plan.parts
            .iter()
            .position(|p| p.elements.iter().any(|(_, e)| *e == element))
            .map(PartId::new)
    }

    /// Puts it into a condition.
    pub fn apply(&self, condition: &mut Condition) {
        match *self {
            Fault::Welded(c) => condition.contacts[c.index()].fault = ContactFault::Welded,
            Fault::Bridged(c) => condition.contacts[c.index()].fault = ContactFault::AlwaysClosed,
            Fault::Dead(c) => condition.contacts[c.index()].fault = ContactFault::AlwaysOpen,
            Fault::WireOff(b) => condition.branches[b.index()].ohm = f64::INFINITY,
            Fault::Stuck(o, acted) => condition.operators[o.index()].stuck = Some(acted),
            Fault::SpoolStuck(s) => condition.spools[s.index()].stuck = true,
        }
    }
}
