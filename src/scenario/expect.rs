//! What a machine must do in its functional test, and what it must never do.

use crate::base::{
    ContactId, FuseId, OperatorId, PistonId, PumpId, SimTime, VolumeId, WindingId, nearest,
};
use crate::language::Phrase;
use crate::plant::{Element, Happening, Plan, Plant, Probe, What};
use crate::quantity::{Dimension, parse};
use crate::session::{self, Action, Sample};

/// A rod this close to its end is there [m].
const AT_END_M: f64 = 1e-3;
/// A rod that went this far has moved [m].
const MOVED_M: f64 = 5e-3;
/// A coil with less current than this does not count as on [A].
const CARRIES_A: f64 = 0.02;
/// Share of its supply's voltage from which a coil counts as on [1].
const ON_SHARE: f64 = 0.5;
/// Speed from which a pump turns [1/s].
const TURNS: f64 = 0.5;

/// Something that is so, or is not.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fact {
    /// A rod is extended (true) or retracted.
    Piston(PistonId, bool),
    /// A rod has moved.
    Moves(PistonId),
    /// A lamp is lit.
    Lamp(usize, bool),
    /// A pump turns.
    Pump(PumpId, bool),
    /// A relay, a limit or a pressure switch acts.
    Acts(OperatorId, bool),
    /// A contact is closed.
    Contact(ContactId, bool),
    /// A coil is on.
    Coil(WindingId, bool),
    /// Two coils are on together.
    Both(WindingId, WindingId),
    /// A fuse has blown.
    Blown(FuseId),
    /// A coil has burnt open.
    Burnt(WindingId),
    /// A pressure is above (true) or below this [Pa gauge].
    Pressure(VolumeId, bool, f64),
}

/// One line of what is expected.
///
/// - `1A1 extended`: it must come about, in the order of these lines.
/// - `MP1 above 60 bar after hold S1`: it must be so when the waiting after that action is over.
/// - `never 1V1.a and 1V1.b on`, `never 1A1 moves after restore Q0`: it must not come about.
#[derive(Clone, Debug, PartialEq)]
pub struct Expectation {
    fact: Fact,
    never: bool,
    /// Index of the action of the functional test.
    after: Option<usize>,
    text: String,
}

impl std::fmt::Display for Expectation {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.text)
    }
}

/// How an expectation is written: all forms but the last.
const FORMS: &str = "\"1A1 extended\", \"H1 lit\", \"M1 runs\", \"K1 acts\", \"K1:13-14 closed\", \"1V1.a on\", \
                     \"F1 blown\", \"1V1.a burnt\"";
const LAST_FORM: &str = "\"MP1 above 60 bar\"";

impl Expectation {
    /// Reads a line against a bench and the actions of its functional test.
    ///
    /// # Errors
    /// What is wrong with it, and what to write.
    pub fn parse(
        line: &str,
        plan: &Plan,
        actions: &[Action],
    ) -> Result<Expectation, (Phrase, Phrase)> {
        let text = line.trim();
        let (never, rest) = match text.strip_prefix("never ") {
            Some(rest) => (true, rest.trim()),
            None => (false, text),
        };
        let (what, after) = match rest.split_once(" after ") {
            None => (rest, None),
            Some((what, action)) => {
                let wanted = session::parse(action.trim()).map_err(|e| (e.message, e.help))?;
                let at = actions.iter().rposition(|a| *a == wanted).ok_or_else(|| {
                    let message = Phrase::new("expect-not-done").with("action", wanted.to_string());
                    (message, Phrase::new("expect-name-action"))
                })?;
                (what.trim(), Some(at))
            }
        };
        let said = |id: &'static str| Phrase::new(id).with("written", line);
        let unseen = || (said("expect-unseen"), hint(plan, what));
        let fact = fact_of(plan, what).ok_or_else(unseen)?;
        if matches!(fact, Fact::Moves(_)) && !never {
            let help = Phrase::new("expect-write-where")
                .with("never", "\"never 1A1 moves\"")
                .with("goes", "\"1A1 extended\"");
            return Err((said("expect-where"), help));
        }
        Ok(Expectation { fact, never, after, text: text.to_owned() })
    }

    /// Whether it only asks for a rod to reach an end: nothing else need be watched.
    fn is_plain(&self) -> bool {
        matches!(self.fact, Fact::Piston(..)) && !self.never && self.after.is_none()
    }
}

fn hint(plan: &Plan, what: &str) -> Phrase {
    let tag = what.split([' ', ':', '.']).next().unwrap_or("");
    let names = plan.parts.iter().map(|p| p.tag.as_str());
    let points = plan.test_points.iter().map(|p| p.name.as_str());
    match nearest(tag, names.chain(points)) {
        Some(near) if near != tag => Phrase::new("did-you-mean").with("nearest", near),
        _ => Phrase::new("expect-forms").with("examples", FORMS).with("last", LAST_FORM),
    }
}

fn fact_of(plan: &Plan, what: &str) -> Option<Fact> {
    let coil = |name: &str| plan.windings.iter().position(|w| w.name == name).map(WindingId::new);
    if let Some((one, two)) = what.strip_suffix(" on").and_then(|both| both.split_once(" and ")) {
        return Some(Fact::Both(coil(one.trim())?, coil(two.trim())?));
    }
    let (tag, state) = what.split_once(' ')?;
    let piston = || plan.pistons.iter().position(|p| p.name == tag).map(PistonId::new);
    let lamp = || plan.lamps.iter().position(|l| l.name == tag);
    let pump = || plan.pumps.iter().position(|p| p.name == tag).map(PumpId::new);
    let operator = || plan.operators.iter().position(|o| o.name == tag).map(OperatorId::new);
    let contact = || plan.contacts.iter().position(|c| c.name == tag).map(ContactId::new);
    let fuse = || {
        let part = &plan.parts[plan.part(tag)?.index()];
        part.elements.iter().find_map(|(_, e)| match e {
            Element::Fuse(f) => Some(*f),
            _ => None,
        })
    };
    Some(match state.trim() {
        "extended" => Fact::Piston(piston()?, true),
        "retracted" => Fact::Piston(piston()?, false),
        "moves" => Fact::Moves(piston()?),
        "lit" => Fact::Lamp(lamp()?, true),
        "dark" => Fact::Lamp(lamp()?, false),
        "runs" => Fact::Pump(pump()?, true),
        "stands" => Fact::Pump(pump()?, false),
        "acts" => Fact::Acts(operator()?, true),
        "rests" => Fact::Acts(operator()?, false),
        "closed" => Fact::Contact(contact()?, true),
        "open" => Fact::Contact(contact()?, false),
        "blown" => Fact::Blown(fuse()?),
        "burnt" => Fact::Burnt(coil(tag)?),
        "on" => Fact::Coil(coil(tag)?, true),
        "off" => Fact::Coil(coil(tag)?, false),
        state => {
            let (word, bound) = state.split_once(' ')?;
            let above = match word {
                "above" => true,
                "below" => false,
                _ => return None,
            };
            let pa = parse(bound.trim(), Dimension::Pressure).ok()?;
            let point = plan.test_points.iter().find(|p| p.name == tag)?;
            Fact::Pressure(point.volume, above, pa)
        }
    })
}

/// What has to be sampled to judge `list`; empty when happenings tell everything.
pub(super) fn probes<'e>(plan: &Plan, list: impl Iterator<Item = &'e Expectation>) -> Vec<Probe> {
    let list: Vec<&Expectation> = list.collect();
    let mut probes = Vec::new();
    let mut coil = |w: WindingId| {
        let place = &plan.windings[w.index()];
        probes.extend([Probe::WindingAmps(w), Probe::Volts(place.a, place.b)]);
    };
    for e in list.iter().filter(|e| !e.is_plain()) {
        match e.fact {
            Fact::Coil(w, _) => coil(w),
            Fact::Both(one, two) => {
                coil(one);
                coil(two);
            }
            _ => {}
        }
    }
    for e in list.iter().filter(|e| !e.is_plain()) {
        match e.fact {
            Fact::Piston(p, _) | Fact::Moves(p) => probes.push(Probe::Piston(p)),
            Fact::Pump(p, _) => probes.push(Probe::PumpSpeed(p)),
            Fact::Pressure(v, ..) => probes.push(Probe::Pressure(v)),
            _ => {}
        }
    }
    let mut unique = Vec::new();
    for probe in probes {
        if !unique.contains(&probe) {
            unique.push(probe);
        }
    }
    unique
}

/// The functional test as it went.
pub(super) struct Course<'a> {
    /// The bench at its beginning.
    pub before: &'a Plant,
    /// When it began.
    pub from: SimTime,
    /// When each action began, and when the waiting after it was over.
    pub spans: &'a [(SimTime, SimTime)],
    /// What happened.
    pub happenings: &'a [Happening],
    /// What was sampled.
    pub probes: &'a [Probe],
    /// The samples, in the order of time.
    pub samples: &'a [Sample],
}

/// What is known at a moment.
struct Known<'a> {
    plan: &'a Plan,
    lamps: Vec<bool>,
    acts: Vec<bool>,
    contacts: Vec<bool>,
    blown: Vec<bool>,
    burnt: Vec<bool>,
    probes: &'a [Probe],
    values: &'a [f64],
}

impl Known<'_> {
    fn value(&self, probe: Probe) -> Option<f64> {
        let at = self.probes.iter().position(|p| *p == probe)?;
        self.values.get(at).copied()
    }

    fn coil_on(&self, w: WindingId) -> Option<bool> {
        let place = &self.plan.windings[w.index()];
        let amps = self.value(Probe::WindingAmps(w))?;
        let volts = self.value(Probe::Volts(place.a, place.b))?;
        let supply = self.plan.network_of(place.a).map_or(0.0, |n| {
            let branches = &self.plan.networks[n].branches;
            let volts = |b: &crate::base::BranchId| self.plan.nominal.branches[b.index()].volts;
            branches.iter().map(|b| volts(b).abs()).fold(0.0, f64::max)
        });
        // While a coil's flux dies away its voltage stands against its current.
        Some(amps.abs() > CARRIES_A && amps * volts > 0.0 && volts.abs() > ON_SHARE * supply)
    }

    /// Whether `fact` is so; `None` when nothing is known of it yet. `moved_from` is where the rod
    /// stood [m].
    fn holds(&self, fact: Fact, moved_from: Option<f64>) -> Option<bool> {
        Some(match fact {
            Fact::Lamp(k, lit) => self.lamps[k] == lit,
            Fact::Acts(o, acts) => self.acts[o.index()] == acts,
            Fact::Contact(c, closed) => self.contacts[c.index()] == closed,
            Fact::Blown(f) => self.blown[f.index()],
            Fact::Burnt(w) => self.burnt[w.index()],
            Fact::Coil(w, on) => self.coil_on(w)? == on,
            Fact::Both(one, two) => self.coil_on(one)? && self.coil_on(two)?,
            Fact::Pump(p, runs) => (self.value(Probe::PumpSpeed(p))?.abs() > TURNS) == runs,
            Fact::Pressure(v, above, pa) => (self.value(Probe::Pressure(v))? > pa) == above,
            Fact::Moves(p) => (self.value(Probe::Piston(p))? - moved_from?).abs() > MOVED_M,
            Fact::Piston(p, extended) => {
                let at = self.value(Probe::Piston(p))?;
                let stroke = self.plan.nominal.pistons[p.index()].stroke_m;
                if extended { at > stroke - AT_END_M } else { at < AT_END_M }
            }
        })
    }
}

/// Whether samples, and not happenings, tell of it.
fn sampled(fact: Fact) -> bool {
    !matches!(
        fact,
        Fact::Lamp(..) | Fact::Acts(..) | Fact::Contact(..) | Fact::Blown(_) | Fact::Burnt(_)
    )
}

/// What of `list` was not as expected, in its order.
pub(super) fn missed<'l>(list: &'l [Expectation], course: &Course) -> Vec<&'l Expectation> {
    let plan = course.before.plan();
    let mut known = Known {
        plan,
        lamps: (0..plan.lamps.len()).map(|k| course.before.lit(k)).collect(),
        acts: (0..plan.operators.len()).map(|o| course.before.acting(OperatorId::new(o))).collect(),
        contacts: (0..plan.contacts.len())
            .map(|c| course.before.contact_closed(ContactId::new(c)))
            .collect(),
        blown: (0..plan.fuses.len()).map(|f| course.before.blown(FuseId::new(f))).collect(),
        burnt: (0..plan.windings.len()).map(|w| course.before.burnt(WindingId::new(w))).collect(),
        probes: course.probes,
        values: &[],
    };
    // Whether each is so at the moment, where its rod stood, and whether it was missed.
    let mut is: Vec<Option<bool>> = vec![None; list.len()];
    let mut at_end: Vec<Option<bool>> = vec![None; list.len()];
    let mut moved_from: Vec<Option<f64>> = vec![None; list.len()];
    let mut broken = vec![false; list.len()];
    let ordered: Vec<usize> =
        (0..list.len()).filter(|&k| !list[k].never && list[k].after.is_none()).collect();
    let mut next = 0;
    let (mut h, mut s) = (0, 0);
    loop {
        let (happening, sample) = (course.happenings.get(h), course.samples.get(s));
        let (at, from_sample) = match (happening, sample) {
            (Some(a), Some(b)) if a.at <= b.at => (a.at, false),
            (Some(a), None) => (a.at, false),
            (_, Some(b)) => (b.at, true),
            (None, None) => break,
        };
        let mut reached = None;
        if from_sample {
            s += 1;
            known.values = sample.map_or(&[], |sample| sample.values.as_slice());
        } else {
            h += 1;
            match happening.map(|h| h.what) {
                Some(What::Lit(k)) => known.lamps[k] = true,
                Some(What::Out(k)) => known.lamps[k] = false,
                Some(What::Acts(o)) => known.acts[o.index()] = true,
                Some(What::Rests(o)) => known.acts[o.index()] = false,
                Some(What::Closed(c)) => known.contacts[c.index()] = true,
                Some(What::Opened(c)) => known.contacts[c.index()] = false,
                Some(What::Blew(f)) => known.blown[f.index()] = true,
                Some(What::Burnt(w)) => known.burnt[w.index()] = true,
                Some(What::PistonReached(p, end)) => reached = Some((p, end)),
                _ => {}
            }
        }
        for (k, e) in list.iter().enumerate() {
            let (from, until) = match e.after {
                Some(a) => course.spans.get(a).copied().unwrap_or((course.from, SimTime::MAX)),
                None => (course.from, SimTime::MAX),
            };
            if at >= from
                && moved_from[k].is_none()
                && let Fact::Moves(p) = e.fact
            {
                moved_from[k] = known.value(Probe::Piston(p));
            }
            if sampled(e.fact) != from_sample {
                continue;
            }
            let now = known.holds(e.fact, moved_from[k]);
            let became = now == Some(true) && is[k] == Some(false);
            is[k] = now.or(is[k]);
            if e.never && at > from && now == Some(true) {
                broken[k] = true;
            }
            if at <= until {
                at_end[k] = is[k];
            }
            if ordered.get(next) == Some(&k) && became && !matches!(e.fact, Fact::Piston(..)) {
                next += 1;
            }
        }
        if let Some((p, end)) = reached
            && let Some(&k) = ordered.get(next)
            && list[k].fact == Fact::Piston(p, end)
        {
            next += 1;
        }
    }
    (0..list.len())
        .filter(|k| {
            let e = &list[*k];
            match (e.never, e.after) {
                (true, _) => broken[*k],
                (false, Some(_)) => {
                    let start = known_at_start(e.fact, course);
                    at_end[*k].or(start) != Some(true)
                }
                (false, None) => ordered[next..].contains(k),
            }
        })
        .map(|k| &list[k])
        .collect()
}

/// Whether a fact that happenings tell of was so at the beginning.
fn known_at_start(fact: Fact, course: &Course) -> Option<bool> {
    Some(match fact {
        Fact::Lamp(k, lit) => course.before.lit(k) == lit,
        Fact::Acts(o, acts) => course.before.acting(o) == acts,
        Fact::Contact(c, closed) => course.before.contact_closed(c) == closed,
        Fact::Blown(f) => course.before.blown(f),
        Fact::Burnt(w) => course.before.burnt(w),
        _ => return None,
    })
}
