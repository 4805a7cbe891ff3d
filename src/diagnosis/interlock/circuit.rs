//! The control circuit as what conducts: which coils are on, given the contacts.

use crate::base::OperatorId;
use crate::plant::{BranchRole, ContactFault, Plan};

use super::fault::Fault;

/// A resistance up to this joins its ends [ohm]: bonds and links, but no lamp.
const JOINS_UP_TO_OHM: f64 = 10.0;

/// A supply.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Source {
    pub plus: u16,
    pub minus: u16,
    pub behind: Option<OperatorId>,
}

/// The circuit with everything that always conducts drawn together.
#[derive(Clone, Debug)]
pub(crate) struct Circuit {
    places: usize,
    /// Contacts that move, with the places they join.
    contacts: Vec<(usize, u16, u16)>,
    pub sources: Vec<Source>,
    /// By winding.
    coils: Vec<(u16, u16)>,
    /// By lamp.
    lamps: Vec<(u16, u16)>,
}

impl Circuit {
    /// The circuit of `plan` in its nominal condition, with `fault` if any.
    pub fn new(plan: &Plan, fault: Option<Fault>) -> Circuit {
        let mut root: Vec<usize> = (0..plan.nodes.len()).collect();
        let state_of = |c: usize| {
            let own = match fault {
                Some(Fault::Welded(id)) if id.index() == c => ContactFault::Welded,
                Some(Fault::Bridged(id)) if id.index() == c => ContactFault::AlwaysClosed,
                Some(Fault::Dead(id)) if id.index() == c => ContactFault::AlwaysOpen,
                _ => plan.nominal.contacts[c].fault,
            };
            match own {
                // Its actuator forces it apart: it opens as a sound one does.
                ContactFault::Welded if plan.contacts[c].direct => ContactFault::Sound,
                ContactFault::Welded => ContactFault::AlwaysClosed,
                other => other,
            }
        };
        for (k, branch) in plan.branches.iter().enumerate() {
            let ohm = plan.nominal.branches[k].ohm;
            let off = matches!(fault, Some(Fault::WireOff(id)) if id.index() == k);
            let joins = !off
                && ohm.is_finite()
                && match branch.role {
                    BranchRole::Wire | BranchRole::Fuse(_) => true,
                    BranchRole::Resistor | BranchRole::Insulation => ohm <= JOINS_UP_TO_OHM,
                    BranchRole::Contact(c) => state_of(c.index()) == ContactFault::AlwaysClosed,
                    BranchRole::Capacitance
                    | BranchRole::Source
                    | BranchRole::Lamp
                    | BranchRole::Transformer(..)
                    | BranchRole::Load(_)
                    | BranchRole::Feed(_)
                    | BranchRole::Iron(_) => false,
                };
            if joins {
                let (a, b) = (find(&mut root, branch.a.index()), find(&mut root, branch.b.index()));
                root[a.max(b)] = a.min(b);
            }
        }
        // Only places that a contact, a source or a coil touches get a number.
        let mut number: Vec<Option<u16>> = vec![None; plan.nodes.len()];
        let mut places = 0;
        let mut place = |root: &mut [usize], node: usize| -> u16 {
            let at = find(root, node);
            *number[at].get_or_insert_with(|| {
                places += 1;
                (places - 1) as u16
            })
        };
        let mut circuit = Circuit {
            places: 0,
            contacts: Vec::new(),
            sources: Vec::new(),
            coils: Vec::new(),
            lamps: Vec::new(),
        };
        for w in &plan.windings {
            circuit.coils.push((place(&mut root, w.a.index()), place(&mut root, w.b.index())));
        }
        for lamp in &plan.lamps {
            let branch = &plan.branches[lamp.branch.index()];
            let ends = (branch.a.index(), branch.b.index());
            circuit.lamps.push((place(&mut root, ends.0), place(&mut root, ends.1)));
        }
        for (k, branch) in plan.branches.iter().enumerate() {
            let (a, b) = (place(&mut root, branch.a.index()), place(&mut root, branch.b.index()));
            match branch.role {
                BranchRole::Source | BranchRole::Feed(_)
                    if plan.nominal.branches[k].volts != 0.0 =>
                {
                    circuit.sources.push(Source { plus: a, minus: b, behind: branch.behind });
                }
                BranchRole::Contact(c) if a != b && state_of(c.index()) == ContactFault::Sound => {
                    circuit.contacts.push((c.index(), a, b));
                }
                _ => {}
            }
        }
        circuit.places = places;
        circuit
    }

    /// The coils that are on, one bit a winding: one end joined to one pole of a live supply and
    /// the other end to its other pole, through closed contacts and wires but not through another
    /// coil. A supply whose poles are joined feeds nothing.
    pub fn energised(
        &self,
        joined: &mut Vec<u16>,
        closed: impl Fn(usize) -> bool,
        live: impl Fn(usize) -> bool,
    ) -> u128 {
        self.fed(&self.coils, joined, closed, live)
    }

    /// The lamps that are lit, one bit a lamp, likewise.
    pub fn lit(
        &self,
        joined: &mut Vec<u16>,
        closed: impl Fn(usize) -> bool,
        live: impl Fn(usize) -> bool,
    ) -> u128 {
        self.fed(&self.lamps, joined, closed, live)
    }

    /// Which of `loads` have their ends on both poles of a live supply.
    fn fed(
        &self,
        loads: &[(u16, u16)],
        joined: &mut Vec<u16>,
        closed: impl Fn(usize) -> bool,
        live: impl Fn(usize) -> bool,
    ) -> u128 {
        joined.clear();
        joined.extend(0..self.places as u16);
        for &(contact, a, b) in &self.contacts {
            if closed(contact) {
                let (a, b) = (find16(joined, a), find16(joined, b));
                joined[usize::from(a.max(b))] = a.min(b);
            }
        }
        let mut on = 0;
        for (k, source) in self.sources.iter().enumerate() {
            if !live(k) {
                continue;
            }
            let (plus, minus) = (find16(joined, source.plus), find16(joined, source.minus));
            if plus == minus {
                continue;
            }
            for (w, &(a, b)) in loads.iter().enumerate() {
                let (a, b) = (find16(joined, a), find16(joined, b));
                if (a == plus && b == minus) || (a == minus && b == plus) {
                    on |= 1 << w;
                }
            }
        }
        on
    }
}

fn find(root: &mut [usize], mut n: usize) -> usize {
    while root[n] != n {
        root[n] = root[root[n]];
        n = root[n];
    }
    n
}

fn find16(root: &mut [u16], mut n: u16) -> u16 {
    while root[usize::from(n)] != n {
        root[usize::from(n)] = root[usize::from(root[usize::from(n)])];
        n = root[usize::from(n)];
    }
    n
}
