//! Happenings and probes in words.

use crate::base::{
    AccumulatorId, BranchId, FlowId, MotorId, NodeId, PistonId, PumpId, SpoolId, VolumeId,
    WindingId, nearest,
};
use crate::language::Phrase;
use crate::quantity::{Dimension, UnitSystem, column_unit, column_value};
use crate::shift::Rest;

use super::condition::Trigger;
use super::engine::What;
use super::observe::Probe;
use super::plan::{BranchRole, Element, Plan, Tie};

impl Plan {
    /// A happening as a short sentence, without a language yet.
    #[must_use]
    pub fn tell(&self, what: What) -> Phrase {
        let of = |id: &'static str, part: &str| Phrase::new(id).with("part", part);
        match what {
            What::Acts(o) | What::Rests(o) => {
                let acts = matches!(what, What::Acts(_));
                let operator = &self.operators[o.index()];
                let id = match (operator.tie, acts) {
                    (Tie::Hand, true) => "event-operated",
                    (Tie::Hand, false) => "event-let-go",
                    (Tie::Program(_), true) => "event-turns-on",
                    (Tie::Program(_), false) => "event-turns-off",
                    (Tie::Winding(_), true) => "event-picks-up",
                    (Tie::Winding(_), false) => "event-drops-out",
                    (Tie::Latch(..), true) => "event-set",
                    (Tie::Latch(..), false) => "event-reset",
                    (Tie::Count(..), true) => "event-has-counted",
                    (Tie::Count(..), false) => "event-counts-anew",
                    (_, true) => "event-acts",
                    (_, false) => "event-goes-back",
                };
                of(id, &operator.name)
            }
            What::Closed(c) => of("event-closes", &self.contacts[c.index()].name),
            What::Opened(c) => of("event-opens", &self.contacts[c.index()].name),
            What::Blew(f) => of("event-blows", self.owner(Element::Fuse(f)).unwrap_or("?")),
            What::Burnt(w) => of("event-burns", &self.windings[w.index()].name),
            What::SpoolLeft(s, at) | What::SpoolReached(s, at) => {
                let left = matches!(what, What::SpoolLeft(..));
                Phrase::new(if left { "event-spool-leaves" } else { "event-spool-reaches" })
                    .with("part", self.spools[s.index()].name.as_str())
                    .with("position", self.position(s, at))
            }
            What::PistonLeft(p, end) => {
                let id = if end { "event-leaves-extended" } else { "event-leaves-retracted" };
                of(id, &self.pistons[p.index()].name)
            }
            What::PistonReached(p, end) => {
                let id = if end { "event-extended" } else { "event-retracted" };
                of(id, &self.pistons[p.index()].name)
            }
            What::Lit(k) => of("event-lights", &self.lamps[k].name),
            What::Out(k) => of("event-goes-out", &self.lamps[k].name),
            What::PumpStarted(p) => of("event-pump-starts", &self.pumps[p.index()].name),
            What::PumpStopped(p) => of("event-pump-stops", &self.pumps[p.index()].name),
            What::PlcRuns(p) => of("event-plc-runs", &self.plcs[p.index()].name),
            What::PlcStops(p) => of("event-plc-stops", &self.plcs[p.index()].name),
            What::Altered(p) => of("event-altered", &self.parts[p.index()].tag),
        }
    }

    /// Name of a spool's position.
    fn position(&self, spool: SpoolId, at: i8) -> Phrase {
        Phrase::new(match (at, self.nominal.spools[spool.index()].rest) {
            (1, _) => "position-a",
            (0, Rest::Offset) => "position-rest",
            (0, _) => "position-centre",
            _ => "position-b",
        })
    }

    /// Tag of the part that owns `element`.
    #[must_use]
    pub fn owner(&self, element: Element) -> Option<&str> {
        self.parts
            .iter()
            .find(|p| p.elements.iter().any(|(_, e)| *e == element))
            .map(|p| p.tag.as_str())
    }

    /// Reads a probe as written: a letter symbol, a colon and a place.
    ///
    /// `U:K1:A1` or `U:K1:A1,K1:A2` voltage, `I:1V1.a` winding or `I:K1:13-14` branch current,
    /// `p:MP1` or `p:1V1:A` pressure, `q:1V1:P-A` flow, `x:1V1` spool and `s:1A1` piston position,
    /// `v:1A1` piston speed, `T:1V1.a` winding temperature, `T:AC1` that of an accumulator's gas, `n:M1` speed of a pump or a motor.
    ///
    /// # Errors
    /// What is wrong with it, and what would be right.
    pub fn probe(&self, text: &str) -> Result<(Probe, Dimension), Phrase> {
        let form = Phrase::new("probe-form");
        let Some((letter, place)) = text.split_once(':') else {
            return Err(Phrase::new("probe-none").with("written", text).with("form", form));
        };
        fn pick<'a>(
            names: impl Iterator<Item = &'a str> + Clone,
            place: &str,
            kind: &'static str,
        ) -> Result<usize, Phrase> {
            names.clone().position(|n| n == place).ok_or_else(|| {
                let phrase = match nearest(place, names.clone()) {
                    Some(near) => Phrase::new("probe-like").with("nearest", near),
                    None => {
                        let list: Vec<&str> = names.filter(|n| !n.is_empty()).take(12).collect();
                        Phrase::new("probe-known").with("list", list.join(", "))
                    }
                };
                phrase.with("kind", Phrase::new(kind)).with("place", place)
            })
        }
        let node = |name: &str| -> Result<NodeId, Phrase> {
            pick(self.nodes.iter().map(|n| n.name.as_str()), name.trim(), "probe-terminal")
                .map(NodeId::new)
        };
        match letter {
            "U" => {
                let probe = match place.split_once(',') {
                    Some((a, b)) => Probe::Volts(node(a)?, node(b)?),
                    None => Probe::Volts(node(place)?, NodeId::new(0)),
                };
                Ok((probe, Dimension::Voltage))
            }
            "I" => {
                let probe = if place.contains(':')
                    || self.part(place).is_some_and(|p| self.parts[p.index()].class == "Wire")
                {
                    Probe::BranchAmps(self.branch_named(place)?)
                } else {
                    let names = self.windings.iter().map(|w| w.name.as_str());
                    Probe::WindingAmps(WindingId::new(pick(names, place, "probe-winding")?))
                };
                Ok((probe, Dimension::Current))
            }
            "p" => {
                let gas = place.strip_suffix(":gas");
                let gas = gas.and_then(|tag| self.accumulators.iter().position(|a| a.name == tag));
                let probe = match gas {
                    Some(k) => Probe::GasPressure(AccumulatorId::new(k)),
                    None => Probe::Pressure(self.volume_named(place)?),
                };
                Ok((probe, Dimension::Pressure))
            }
            "q" => {
                let names = self.flows.iter().map(|f| f.name.as_str());
                let id = FlowId::new(pick(names, place, "probe-flow")?);
                Ok((Probe::Flow(id), Dimension::VolumeFlow))
            }
            "x" => {
                let names = self.spools.iter().map(|s| s.name.as_str());
                let id = SpoolId::new(pick(names, place, "probe-spool")?);
                Ok((Probe::Spool(id), Dimension::Count))
            }
            "s" | "v" => {
                let names = self.pistons.iter().map(|p| p.name.as_str());
                let id = PistonId::new(pick(names, place, "probe-cylinder")?);
                Ok(if letter == "s" {
                    (Probe::Piston(id), Dimension::Length)
                } else {
                    (Probe::PistonSpeed(id), Dimension::Speed)
                })
            }
            "T" => {
                if let Some(k) = self.accumulators.iter().position(|a| a.name == place) {
                    let probe = Probe::GasCelsius(AccumulatorId::new(k));
                    return Ok((probe, Dimension::Temperature));
                }
                let names = self.windings.iter().map(|w| w.name.as_str());
                let id = WindingId::new(pick(names, place, "probe-winding")?);
                Ok((Probe::Celsius(id), Dimension::Temperature))
            }
            "n" => {
                if let Some(k) = self.motors.iter().position(|m| m.name == place) {
                    let probe = Probe::MotorSpeed(MotorId::new(k));
                    return Ok((probe, Dimension::RotationalSpeed));
                }
                let names = self.pumps.iter().map(|p| p.name.as_str());
                let id = PumpId::new(pick(names, place, "probe-pump")?);
                Ok((Probe::PumpSpeed(id), Dimension::RotationalSpeed))
            }
            _ => Err(Phrase::new("probe-letter").with("written", letter).with("form", form)),
        }
    }

    /// The volume of a test point `MP1` or a port `1V1:A`.
    ///
    /// # Errors
    /// When there is none.
    pub fn volume_named(&self, place: &str) -> Result<VolumeId, Phrase> {
        if let Some(point) = self.test_points.iter().find(|t| t.name == place) {
            return Ok(point.volume);
        }
        if let Some((tag, port)) = place.split_once(':')
            && let Some(part) = self.part(tag)
            && let Some(volume) = self.parts[part.index()].port(port)
        {
            return Ok(volume);
        }
        let points: Vec<&str> = self.test_points.iter().map(|t| t.name.as_str()).collect();
        let phrase = Phrase::new("probe-volume").with("place", place);
        Err(phrase.with("list", points.join(", ")))
    }

    /// The branch of a contact `K1:13-14`, a wire `W3` or a part with one branch such as `F1`.
    ///
    /// # Errors
    /// When there is none.
    pub fn branch_named(&self, place: &str) -> Result<BranchId, Phrase> {
        if let Some(contact) = self.contacts.iter().find(|c| c.name == place) {
            return Ok(contact.branch);
        }
        let (tag, role) = place.split_once(':').unwrap_or((place, ""));
        let found = self.part(tag).and_then(|part| {
            self.parts[part.index()].elements.iter().find_map(|(name, element)| match element {
                Element::Branch(id)
                    if (role.is_empty() || name == role)
                        && !matches!(
                            self.branches[id.index()].role,
                            BranchRole::Insulation | BranchRole::Iron(_)
                        ) =>
                {
                    Some(*id)
                }
                _ => None,
            })
        });
        found.ok_or_else(|| Phrase::new("probe-branch").with("place", place))
    }

    /// A reading of `probe` in the unit people read it in, with that unit: position of a spool as
    /// it is, mass flow of air in g/s.
    #[must_use]
    pub fn trade_value(
        &self,
        probe: Probe,
        dimension: Dimension,
        si: f64,
        system: UnitSystem,
    ) -> (f64, &'static str) {
        match probe {
            Probe::Celsius(_) | Probe::GasCelsius(_) if system == UnitSystem::Si => (si, "degC"),
            Probe::Celsius(_) | Probe::GasCelsius(_) => {
                let dimension = Dimension::Temperature;
                let (unit, _) = column_unit(dimension, system);
                (column_value(si + 273.15, dimension, system), unit)
            }
            Probe::Spool(_) => (si, "1"),
            Probe::Flow(id) if self.carries_air(id) => (si * 1e3, "g/s"),
            _ => {
                let (unit, _) = column_unit(dimension, system);
                (column_value(si, dimension, system), unit)
            }
        }
    }

    fn carries_air(&self, flow: FlowId) -> bool {
        let volume = self.flows[flow.index()].first;
        matches!(self.nominal.volumes[volume.index()].medium, crate::fluid::Medium::Air { .. })
    }

    /// The operator a hand works on part `tag`, if it has one.
    #[must_use]
    pub fn hand_operator(&self, tag: &str) -> Option<crate::base::OperatorId> {
        let part = self.part(tag)?;
        self.parts[part.index()].elements.iter().find_map(|(_, e)| match e {
            Element::Operator(o) if self.nominal.operators[o.index()].trigger == Trigger::Hand => {
                Some(*o)
            }
            _ => None,
        })
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_wrong_probe_says_what_would_be_right() {
        let plan = super::super::PlanBuilder::new("t", 20.0).finish().expect("plan");
        assert!(plan.probe("p").expect_err("no colon").to_string().contains("p:MP1"));
        assert!(plan.probe("z:1").expect_err("no letter").to_string().contains("letter"));
        assert!(plan.probe("x:1V1").expect_err("no spool").to_string().contains("no spool 1V1"));
    }
}
