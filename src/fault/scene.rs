//! The bench as a script sees it.

use std::sync::{Arc, Mutex, PoisonError};

use rhai::{Array, Dynamic, Engine, EvalAltResult, Map, Position};

use crate::base::{NodeId, PartId, SimTime, VolumeId};
use crate::plant::{Element, Plan, Plant, Probe};

use super::event;
use super::inject::{Fault, Onset, find_part};
use super::roster::Roster;
use super::sandbox::Limits;
use super::script::{Memory, Script};
use crate::base::nearest;
use crate::language::Phrase;
use crate::quantity::parse_duration;

type Answer<T> = Result<T, Box<EvalAltResult>>;

/// What a script did wrong, carried through the interpreter.
#[derive(Clone, Debug)]
pub(super) struct Complaint {
    pub message: Phrase,
    pub help: Phrase,
    limit: bool,
}

impl Complaint {
    pub fn new(message: Phrase, help: Phrase) -> Self {
        Complaint { message, help, limit: false }
    }

    fn limit(what: &'static str, most: usize) -> Self {
        let message = Phrase::new("script-more-than").with("most", most);
        Complaint {
            message: message.with("what", Phrase::new(what)),
            help: Phrase::new("script-do-less"),
            limit: true,
        }
    }
}

impl From<Complaint> for Box<EvalAltResult> {
    fn from(complaint: Complaint) -> Self {
        let limit = complaint.limit;
        let value = Dynamic::from(complaint);
        // The interpreter fills the position in. A limit cannot be caught by the script.
        Box::new(if limit {
            EvalAltResult::ErrorTerminated(value, Position::NONE)
        } else {
            EvalAltResult::ErrorRuntime(value, Position::NONE)
        })
    }
}

/// A value that a script remembers.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Value {
    Bool(bool),
    Int(i64),
    Float(f64),
    Text(String),
}

/// What a call of a script works on.
#[derive(Debug)]
pub(super) struct Scene {
    pub plant: Plant,
    pub roster: Roster,
    pub memory: Memory,
    script: Script,
    index: usize,
}

/// The handle that scripts hold; dead once the call is over.
#[derive(Clone)]
pub(super) struct Bench(Arc<Mutex<Option<Scene>>>);

impl Bench {
    pub fn new(plant: Plant, roster: Roster, memory: Memory, script: Script, index: usize) -> Self {
        Bench(Arc::new(Mutex::new(Some(Scene { plant, roster, memory, script, index }))))
    }

    /// Takes the scene out.
    pub fn close(&self) -> Option<Scene> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).take()
    }

    fn ask<T>(&self, work: impl FnOnce(&mut Scene) -> Result<T, Complaint>) -> Answer<T> {
        let mut guard = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(scene) = guard.as_mut() else {
            let message = Phrase::new("script-call-over");
            return Err(Complaint::new(message, Phrase::new("script-use-given")).into());
        };
        scene.memory.requests += 1;
        if scene.memory.requests > Limits::REQUESTS {
            let most = Limits::REQUESTS as usize;
            return Err(Complaint::limit("script-requests", most).into());
        }
        Ok(work(scene)?)
    }
}

fn time(text: &str) -> Result<SimTime, Complaint> {
    parse_duration(text).map_err(|e| Complaint::new(e.phrase(), Phrase::new("script-times")))
}

/// A number, whole or not.
fn number(value: &Dynamic) -> Option<f64> {
    value.as_float().ok().or_else(|| value.as_int().ok().map(|n| n as f64))
}

const OPTIONS: [&str; 4] = ["role", "severity", "present", "absent"];

impl Scene {
    fn plan(&self) -> Arc<Plan> {
        Arc::clone(self.plant.plan())
    }

    fn part(&self, tag: &str) -> Result<PartId, Complaint> {
        find_part(self.plant.plan(), tag).map_err(|e| Complaint::new(e.phrase(), e.help()))
    }

    fn inject(&mut self, part: &str, mode: &str, options: &Map) -> Result<(), Complaint> {
        let mut fault = Fault::new(part, mode);
        let (mut present, mut absent) = (None, None);
        for (key, value) in options {
            let text = || {
                value.clone().into_string().map_err(|_| {
                    let message = Phrase::new("script-no-text").with("key", key.as_str());
                    Complaint::new(message, Phrase::new("script-quotes"))
                })
            };
            match key.as_str() {
                "role" => fault.role = Some(text()?),
                "severity" => {
                    fault.severity = Some(number(value).ok_or_else(|| {
                        Complaint::new(
                            Phrase::new("script-no-number"),
                            Phrase::new("script-no-unit"),
                        )
                    })?);
                }
                "present" => present = Some(time(&text()?)?),
                "absent" => absent = Some(time(&text()?)?),
                other => {
                    let help = match nearest(other, OPTIONS) {
                        Some(near) => Phrase::new("did-you-mean").with("nearest", near),
                        None => Phrase::new("script-there-are").with("known", OPTIONS.join(", ")),
                    };
                    let message = Phrase::new("script-no-option").with("option", other);
                    return Err(Complaint::new(message, help));
                }
            }
        }
        fault.onset = match (present, absent) {
            (None, None) => Onset::Start,
            (Some(present), Some(absent)) => Onset::Intermittent { present, absent },
            _ => {
                return Err(Complaint::new(
                    Phrase::new("script-both-times"),
                    Phrase::new("script-mean-times"),
                ));
            }
        };
        if self.roster.len() >= Limits::FAULTS {
            return Err(Complaint::limit("script-faults", Limits::FAULTS));
        }
        self.roster.add(&mut self.plant, fault).map_err(|e| Complaint::new(e.phrase(), e.help()))
    }

    fn room(&self) -> Result<(), Complaint> {
        if self.memory.scheduled + self.memory.waiting.len() >= Limits::WAITING {
            return Err(Complaint::limit("script-waiting", Limits::WAITING));
        }
        Ok(())
    }

    fn schedule(&mut self, at: SimTime, function: &str) -> Result<(), Complaint> {
        self.script.check_function(function)?;
        self.room()?;
        self.memory.scheduled += 1;
        self.roster.schedule(at.max(self.plant.now()), self.index, function.to_owned());
        Ok(())
    }

    fn when(&mut self, text: &str, function: &str) -> Result<(), Complaint> {
        self.script.check_function(function)?;
        self.room()?;
        let happenings = event::parse(self.plant.plan(), text)
            .map_err(|(message, help)| Complaint::new(message, help))?;
        self.memory.waiting.push((happenings, function.to_owned()));
        Ok(())
    }

    fn node(&self, name: &str) -> Result<NodeId, Complaint> {
        let plan = self.plant.plan();
        plan.node(name).ok_or_else(|| {
            let help = match nearest(name, plan.nodes.iter().map(|n| n.name.as_str())) {
                Some(near) => Phrase::new("did-you-mean-text").with("nearest", near),
                None => Phrase::new("script-write-terminal"),
            };
            Complaint::new(Phrase::new("script-no-terminal").with("name", name), help)
        })
    }

    fn volume(&self, name: &str) -> Result<VolumeId, Complaint> {
        let plan = self.plant.plan();
        if let Some(point) = plan.test_points.iter().find(|p| p.name == name) {
            return Ok(point.volume);
        }
        let port = name
            .split_once(':')
            .and_then(|(tag, marking)| plan.parts[plan.part(tag)?.index()].port(marking));
        port.ok_or_else(|| {
            Complaint::new(
                Phrase::new("script-no-volume").with("name", name),
                Phrase::new("script-write-volume"),
            )
        })
    }

    /// The first element of `tag` (or of its role, as in `1V1:coil a`) that `pick` takes.
    fn element<T>(
        &self,
        name: &str,
        (none, some): Named,
        pick: impl Fn(&Plan, Element) -> Option<T>,
    ) -> Result<T, Complaint> {
        let (tag, role) =
            name.split_once(':').map_or((name, None), |(tag, role)| (tag, Some(role)));
        let part = self.part(tag)?;
        let plan = self.plant.plan();
        plan.parts[part.index()]
            .elements
            .iter()
            .filter(|(r, _)| role.is_none_or(|role| role == r))
            .find_map(|(_, element)| pick(plan, *element))
            .ok_or_else(|| {
                let all = plan.parts.iter().flat_map(|p| &p.elements);
                let count = all.filter(|(_, e)| pick(plan, *e).is_some()).count();
                Complaint::new(
                    Phrase::new(none).with("name", name),
                    Phrase::new(some).with("count", count),
                )
            })
    }
}

/// Puts the bench into the sandbox.
/// The messages that a part has no such element, and how many the bench has.
type Named = (&'static str, &'static str);

pub(super) fn register(engine: &mut Engine) {
    engine.register_type_with_name::<Bench>("Bench");
    engine.register_type_with_name::<Complaint>("Complaint");
    register_deeds(engine);
    register_luck(engine);
    register_reads(engine);
}

fn register_deeds(engine: &mut Engine) {
    engine.register_fn("inject", |b: &mut Bench, part: &str, mode: &str| -> Answer<()> {
        b.ask(|s| s.inject(part, mode, &Map::new()))
    });
    engine.register_fn(
        "inject",
        |b: &mut Bench, part: &str, mode: &str, options: Map| -> Answer<()> {
            b.ask(|s| s.inject(part, mode, &options))
        },
    );
    engine.register_fn("at", |b: &mut Bench, text: &str, function: &str| -> Answer<()> {
        b.ask(|s| s.schedule(time(text)?, function))
    });
    engine.register_fn("after", |b: &mut Bench, text: &str, function: &str| -> Answer<()> {
        b.ask(|s| s.schedule(s.plant.now() + time(text)?, function))
    });
    for name in ["when", "on"] {
        engine.register_fn(name, |b: &mut Bench, text: &str, function: &str| -> Answer<()> {
            b.ask(|s| s.when(text, function))
        });
    }
    engine.register_fn("note", |b: &mut Bench, text: &str| -> Answer<()> {
        b.ask(|s| {
            if s.memory.notes.len() >= Limits::NOTES {
                return Err(Complaint::limit("script-notes", Limits::NOTES));
            }
            s.memory.notes.push((s.plant.now(), text.to_owned()));
            Ok(())
        })
    });
    engine.register_fn("remember", |b: &mut Bench, key: &str, value: Dynamic| -> Answer<()> {
        b.ask(|s| {
            let kept = if let Ok(x) = value.as_bool() {
                Value::Bool(x)
            } else if let Ok(x) = value.as_int() {
                Value::Int(x)
            } else if let Ok(x) = value.as_float() {
                Value::Float(x)
            } else if let Ok(x) = value.into_string() {
                Value::Text(x)
            } else {
                return Err(Complaint::new(
                    Phrase::new("script-only-plain"),
                    Phrase::new("script-one-by-one"),
                ));
            };
            if s.memory.values.len() >= Limits::NOTES && !s.memory.values.contains_key(key) {
                return Err(Complaint::limit("script-remembered", Limits::NOTES));
            }
            s.memory.values.insert(key.to_owned(), kept);
            Ok(())
        })
    });
    engine.register_fn("recall", |b: &mut Bench, key: &str| -> Answer<Dynamic> {
        b.ask(|s| {
            Ok(match s.memory.values.get(key) {
                None => Dynamic::UNIT,
                Some(Value::Bool(x)) => Dynamic::from(*x),
                Some(Value::Int(x)) => Dynamic::from(*x),
                Some(Value::Float(x)) => Dynamic::from(*x),
                Some(Value::Text(x)) => Dynamic::from(x.clone()),
            })
        })
    });
}

fn register_luck(engine: &mut Engine) {
    engine.register_fn("chance", |b: &mut Bench, p: Dynamic| -> Answer<bool> {
        b.ask(|s| match number(&p) {
            Some(p) if (0.0..=1.0).contains(&p) => Ok(s.memory.stream.unit() < p),
            _ => Err(Complaint::new(Phrase::new("script-chance"), such_as("0.3"))),
        })
    });
    engine.register_fn("choose", |b: &mut Bench, list: Array| -> Answer<Dynamic> {
        b.ask(|s| {
            let k = s.memory.stream.below(list.len() as u64) as usize;
            list.get(k).cloned().ok_or_else(|| {
                let message = Phrase::new("script-nothing-to-choose");
                Complaint::new(message, Phrase::new("script-fill-list"))
            })
        })
    });
    engine.register_fn("between", |b: &mut Bench, low: Dynamic, high: Dynamic| -> Answer<f64> {
        b.ask(|s| match (number(&low), number(&high)) {
            (Some(low), Some(high)) if low <= high && (high - low).is_finite() => {
                Ok(s.memory.stream.between(low, high))
            }
            _ => {
                Err(Complaint::new(Phrase::new("script-between"), such_as("bench.between(5, 50)")))
            }
        })
    });
    engine.register_fn("whole", |b: &mut Bench, low: i64, high: i64| -> Answer<i64> {
        b.ask(|s| match high.checked_sub(low).and_then(|n| n.checked_add(1)) {
            Some(n) if n > 0 => Ok(low + s.memory.stream.below(n as u64) as i64),
            _ => Err(Complaint::new(
                Phrase::new("script-whole-numbers"),
                such_as("bench.whole(1, 6)"),
            )),
        })
    });
}

fn such_as(example: &str) -> Phrase {
    Phrase::new("script-such-as").with("example", Phrase::written(example))
}

fn register_reads(engine: &mut Engine) {
    engine.register_fn("time", |b: &mut Bench| -> Answer<f64> {
        b.ask(|s| Ok(s.plant.now().as_secs_f64()))
    });
    engine.register_fn("pressure", |b: &mut Bench, name: &str| -> Answer<f64> {
        b.ask(|s| {
            let volume = s.volume(name)?;
            Ok(s.plant.read(Probe::Pressure(volume)) / 1e5)
        })
    });
    engine.register_fn("volts", |b: &mut Bench, from: &str, to: &str| -> Answer<f64> {
        b.ask(|s| {
            let (from, to) = (s.node(from)?, s.node(to)?);
            Ok(s.plant.read(Probe::Volts(from, to)))
        })
    });
    reading(engine, "amps", ("script-no-winding", "script-with-winding"), 1.0, |e| match e {
        Element::Winding(id) => Some(Probe::WindingAmps(id)),
        _ => None,
    });
    reading(engine, "celsius", ("script-no-winding", "script-with-winding"), 1.0, |e| match e {
        Element::Winding(id) => Some(Probe::Celsius(id)),
        _ => None,
    });
    reading(engine, "spool", ("script-no-spool", "script-with-spool"), 1.0, |e| match e {
        Element::Spool(id) => Some(Probe::Spool(id)),
        _ => None,
    });
    reading(engine, "position", ("script-no-piston", "script-with-piston"), 1e3, |e| match e {
        Element::Piston(id) => Some(Probe::Piston(id)),
        _ => None,
    });
    engine.register_fn("acting", |b: &mut Bench, name: &str| -> Answer<bool> {
        b.ask(|s| {
            let id =
                s.element(name, ("script-no-operator", "script-with-operator"), |_, e| match e {
                    Element::Operator(id) => Some(id),
                    _ => None,
                })?;
            Ok(s.plant.acting(id))
        })
    });
    engine.register_fn("lit", |b: &mut Bench, name: &str| -> Answer<bool> {
        b.ask(|s| {
            let plan = s.plan();
            let lamp = s.element(name, ("script-no-lamp", "script-with-lamp"), |_, e| match e {
                Element::Branch(id) => plan.lamps.iter().position(|l| l.branch == id),
                _ => None,
            })?;
            Ok(s.plant.lit(lamp))
        })
    });
}

/// A reading of an element, `scale` per SI unit.
fn reading(
    engine: &mut Engine,
    name: &'static str,
    named: Named,
    scale: f64,
    pick: fn(Element) -> Option<Probe>,
) {
    engine.register_fn(name, move |b: &mut Bench, element: &str| -> Answer<f64> {
        b.ask(|s| {
            let probe = s.element(element, named, |_, e| pick(e))?;
            Ok(s.plant.read(probe) * scale)
        })
    });
}
