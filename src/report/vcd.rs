//! A run as a value change dump (IEEE 1364-2005, clause 18): what a wave viewer shows.
//!
//! Time is in nanoseconds, as the bench counts it. Contacts, relays, coils, lamps, fuses and pumps are
//! wires; currents, pressures and positions are reals, with their unit in their name. The same run
//! gives the same bytes: the date is a fixed one.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Write};

use vcd::{IdCode, SimulationCommand, TimescaleUnit, Value, VarType, Writer};

use crate::base::{
    ContactId, FuseId, OperatorId, PistonId, PumpId, SpoolId, VolumeId, WindingId, ops,
};
use crate::plant::{Happening, Plan, Plant, Probe, Tie, What};
use crate::session::Sample;

/// A coil with less current than this does not count as on [A].
const CARRIES_A: f64 = 0.02;

/// A run as it went.
#[derive(Clone, Copy, Debug)]
pub struct Course<'a> {
    /// The bench at its beginning.
    pub before: &'a Plant,
    /// What happened, in the order of time.
    pub happenings: &'a [Happening],
    /// Samples of [`vcd_probes`], in the order of time.
    pub samples: &'a [Sample],
}

/// The probes whose samples a dump needs.
#[must_use]
pub fn vcd_probes(plan: &Plan) -> Vec<Probe> {
    let mut probes = Vec::new();
    for (w, place) in plan.windings.iter().enumerate() {
        probes.extend([Probe::WindingAmps(WindingId::new(w)), Probe::Volts(place.a, place.b)]);
    }
    probes.extend((0..plan.spools.len()).map(|s| Probe::Spool(SpoolId::new(s))));
    probes.extend(volumes(plan).map(|(v, _)| Probe::Pressure(v)));
    probes.extend((0..plan.pistons.len()).map(|p| Probe::Piston(PistonId::new(p))));
    probes
}

/// Volumes whose pressure can change, with the name of their test point or their own.
fn volumes(plan: &Plan) -> impl Iterator<Item = (VolumeId, &str)> {
    plan.volumes.iter().enumerate().filter(|(_, v)| v.fixed_pa.is_none()).map(|(k, volume)| {
        let id = VolumeId::new(k);
        let point = plan.test_points.iter().find(|p| p.volume == id);
        (id, point.map_or(volume.name.as_str(), |p| p.name.as_str()))
    })
}

/// What a variable shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Shown {
    Contact(ContactId),
    Operator(OperatorId),
    Lamp(usize),
    Fuse(FuseId),
    Coil(WindingId),
    Pump(PumpId),
    /// A sampled value, by its place among the probes, and what turns SI into the unit of its name.
    Real(usize, u32),
}

/// A value of a variable.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Level {
    Bit(bool),
    Real(f64),
}

struct Dump<W: Write> {
    writer: Writer<W>,
    /// Variables in the order of their definition.
    vars: Vec<(Shown, IdCode)>,
    names: BTreeSet<String>,
}

/// A plain identifier: letters, digits and underscores, each once in the file.
fn identifier(kind: &str, name: &str, taken: &mut BTreeSet<String>) -> String {
    let plain: String =
        name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '_' }).collect();
    let mut whole = format!("{kind}_{plain}");
    while !taken.insert(whole.clone()) {
        whole.push('_');
    }
    whole
}

impl<W: Write> Dump<W> {
    fn wire(&mut self, kind: &str, name: &str, shown: Shown) -> io::Result<()> {
        let name = identifier(kind, name, &mut self.names);
        let id = self.writer.add_var(VarType::Wire, 1, &name, None)?;
        self.vars.push((shown, id));
        Ok(())
    }

    fn real(&mut self, kind: &str, name: &str, shown: Shown) -> io::Result<()> {
        let name = identifier(kind, name, &mut self.names);
        let id = self.writer.add_var(VarType::Real, 64, &name, None)?;
        self.vars.push((shown, id));
        Ok(())
    }

    fn change(&mut self, id: IdCode, level: Level) -> io::Result<()> {
        match level {
            Level::Bit(on) => self.writer.change_scalar(id, Value::from(on)),
            Level::Real(value) => self.writer.change_real(id, value),
        }
    }
}

/// Six significant digits, and no negative zero.
fn rounded(value: f64) -> f64 {
    ops::round_significant(value, 6) + 0.0
}

/// Writes the dump of `course` to `out`.
///
/// # Errors
/// When `out` cannot be written.
pub fn vcd<W: Write>(course: &Course, out: W) -> io::Result<()> {
    let plan = course.before.plan();
    let mut dump = Dump { writer: Writer::new(out), vars: Vec::new(), names: BTreeSet::new() };
    // Not the wall clock: the same run gives the same bytes.
    dump.writer.date("2000-01-01")?;
    dump.writer.version(concat!("spoolbench ", env!("CARGO_PKG_VERSION")))?;
    dump.writer.timescale(1, TimescaleUnit::NS)?;
    dump.writer.add_module("bench")?;
    define(&mut dump, plan)?;
    dump.writer.upscope()?;
    dump.writer.enddefinitions()?;
    let mut levels = at_start(&dump.vars, course);
    dump.writer.timestamp(0)?;
    dump.writer.begin(SimulationCommand::Dumpvars)?;
    for (k, level) in levels.iter().enumerate() {
        dump.change(dump.vars[k].1, *level)?;
    }
    dump.writer.end()?;
    for (at, news) in changes(&dump.vars, course) {
        let mut stamped = at == 0;
        for (k, level) in news {
            if levels[k] == level {
                continue;
            }
            if !stamped {
                stamped = true;
                dump.writer.timestamp(at)?;
            }
            levels[k] = level;
            dump.change(dump.vars[k].1, level)?;
        }
    }
    dump.writer.flush()
}

/// One scope a sheet: the control circuit, the seam, the power circuit.
fn define<W: Write>(dump: &mut Dump<W>, plan: &Plan) -> io::Result<()> {
    let mut probe = 0;
    dump.writer.add_module("control")?;
    for (o, operator) in plan.operators.iter().enumerate() {
        let kind = match operator.tie {
            Tie::Winding(_) => "relay",
            Tie::Program(_) => "output",
            _ => "switch",
        };
        dump.wire(kind, &operator.name, Shown::Operator(OperatorId::new(o)))?;
    }
    for (c, contact) in plan.contacts.iter().enumerate() {
        dump.wire("contact", &contact.name, Shown::Contact(ContactId::new(c)))?;
    }
    for (k, lamp) in plan.lamps.iter().enumerate() {
        dump.wire("lamp", &lamp.name, Shown::Lamp(k))?;
    }
    for (f, fuse) in plan.fuses.iter().enumerate() {
        let name = &plan.nodes[plan.branches[fuse.branch.index()].a.index()].name;
        let tag = name.split(':').next().unwrap_or(name);
        dump.wire("blown", tag, Shown::Fuse(FuseId::new(f)))?;
    }
    dump.writer.upscope()?;
    dump.writer.add_module("seam")?;
    for (w, winding) in plan.windings.iter().enumerate() {
        dump.wire("coil", &winding.name, Shown::Coil(WindingId::new(w)))?;
        dump.real("A", &winding.name, Shown::Real(probe, 1))?;
        probe += 2;
    }
    for spool in &plan.spools {
        dump.real("spool", &spool.name, Shown::Real(probe, 1))?;
        probe += 1;
    }
    dump.writer.upscope()?;
    dump.writer.add_module("power")?;
    for (p, pump) in plan.pumps.iter().enumerate() {
        dump.wire("pump", &pump.name, Shown::Pump(PumpId::new(p)))?;
    }
    for (_, name) in volumes(plan) {
        dump.real("bar", name, Shown::Real(probe, 100_000))?;
        probe += 1;
    }
    for piston in &plan.pistons {
        dump.real("mm", &piston.name, Shown::Real(probe, 0))?;
        probe += 1;
    }
    dump.writer.upscope()
}

/// A sampled value [SI] in the unit of its name: `per` SI units make one, and 0 stands for 1/1000.
fn in_unit(si: f64, per: u32) -> Level {
    let value = if per == 0 { si * 1e3 } else { si / f64::from(per) };
    Level::Real(if value.is_finite() { rounded(value) } else { 0.0 })
}

fn coil_on(values: &[f64], w: WindingId) -> bool {
    let amps = values.get(2 * w.index()).copied().unwrap_or(0.0);
    let volts = values.get(2 * w.index() + 1).copied().unwrap_or(0.0);
    // While the flux of a coil dies away its voltage stands against its current.
    amps.abs() > CARRIES_A && amps * volts > 0.0
}

fn of_sample(shown: Shown, values: &[f64]) -> Option<Level> {
    match shown {
        Shown::Coil(w) => Some(Level::Bit(coil_on(values, w))),
        Shown::Real(probe, per) => values.get(probe).map(|si| in_unit(*si, per)),
        _ => None,
    }
}

fn at_start(vars: &[(Shown, IdCode)], course: &Course) -> Vec<Level> {
    let first = course.samples.first().map_or(&[][..], |s| s.values.as_slice());
    let plant = course.before;
    vars.iter()
        .map(|(shown, _)| match *shown {
            Shown::Contact(c) => Level::Bit(plant.contact_closed(c)),
            Shown::Operator(o) => Level::Bit(plant.acting(o)),
            Shown::Lamp(k) => Level::Bit(plant.lit(k)),
            Shown::Fuse(f) => Level::Bit(plant.blown(f)),
            Shown::Pump(p) => Level::Bit(plant.pump_on(p)),
            Shown::Coil(_) | Shown::Real(..) => {
                of_sample(*shown, first).unwrap_or(Level::Real(0.0))
            }
        })
        .collect()
}

/// What changes at each instant: variables and their new levels, the last word last.
fn changes(vars: &[(Shown, IdCode)], course: &Course) -> BTreeMap<u64, BTreeMap<usize, Level>> {
    let place: BTreeMap<Shown, usize> =
        vars.iter().enumerate().map(|(k, (shown, _))| (*shown, k)).collect();
    let mut list: BTreeMap<u64, BTreeMap<usize, Level>> = BTreeMap::new();
    for happening in course.happenings {
        let (shown, on) = match happening.what {
            What::Acts(o) => (Shown::Operator(o), true),
            What::Rests(o) => (Shown::Operator(o), false),
            What::Closed(c) => (Shown::Contact(c), true),
            What::Opened(c) => (Shown::Contact(c), false),
            What::Lit(k) => (Shown::Lamp(k), true),
            What::Out(k) => (Shown::Lamp(k), false),
            What::Blew(f) => (Shown::Fuse(f), true),
            What::PumpStarted(p) => (Shown::Pump(p), true),
            What::PumpStopped(p) => (Shown::Pump(p), false),
            _ => continue,
        };
        if let Some(&k) = place.get(&shown) {
            list.entry(happening.at.as_nanos()).or_default().insert(k, Level::Bit(on));
        }
    }
    for sample in course.samples {
        let news = list.entry(sample.at.as_nanos()).or_default();
        for (k, (shown, _)) in vars.iter().enumerate() {
            if let Some(level) = of_sample(*shown, &sample.values) {
                news.insert(k, level);
            }
        }
    }
    list
}
