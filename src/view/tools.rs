//! The tools in the tray: what is in the hand, and which actions it offers at a place.

use crate::base::{PartId, VolumeId};
use crate::drawing::Subject;
use crate::language::{Gap, Phrase, Words};
use crate::plant::{Element, Plan};
use crate::session::{Action, Finger, GAUGE_RANGES, Position, Side, settings_of};

/// A tool of the tray.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tool {
    /// Eyes, ears and hands; reading plates.
    Senses,
    /// The meter with two leads.
    Meter,
    /// The clamp.
    Clamp,
    /// Gauges.
    Gauge,
    /// The thermometer.
    Thermometer,
    /// A finger on an override.
    Finger,
    /// Isolators, locks, tags, trying out, proving the tester.
    Locks,
    /// Bleed screws, fittings, props.
    Spanner,
    /// Settings, plugs, wires.
    Screwdriver,
    /// New parts, and cleaning.
    Spares,
    /// The cut-away of a valve.
    Inside,
    /// The strip of the oscilloscope.
    Scope,
}

impl Tool {
    /// Every tool, in the order of the tray.
    pub const ALL: [Tool; 12] = [
        Tool::Senses,
        Tool::Meter,
        Tool::Clamp,
        Tool::Gauge,
        Tool::Thermometer,
        Tool::Finger,
        Tool::Locks,
        Tool::Spanner,
        Tool::Screwdriver,
        Tool::Spares,
        Tool::Inside,
        Tool::Scope,
    ];

    /// The key that takes it.
    #[must_use]
    pub fn key(self) -> char {
        match self {
            Tool::Senses => '1',
            Tool::Meter => '2',
            Tool::Clamp => '3',
            Tool::Gauge => '4',
            Tool::Thermometer => '5',
            Tool::Finger => '6',
            Tool::Locks => '7',
            Tool::Spanner => '8',
            Tool::Screwdriver => '9',
            Tool::Spares => '0',
            Tool::Inside => 'i',
            Tool::Scope => 'o',
        }
    }

    /// Its name.
    #[must_use]
    pub fn name(self) -> Phrase {
        Phrase::new(format!("window-tool-{}", self.id()))
    }

    /// How it is used.
    #[must_use]
    pub fn hint(self) -> Phrase {
        Phrase::new(format!("window-hint-{}", self.id()))
    }

    fn id(self) -> &'static str {
        match self {
            Tool::Senses => "senses",
            Tool::Meter => "meter",
            Tool::Clamp => "clamp",
            Tool::Gauge => "gauge",
            Tool::Thermometer => "thermometer",
            Tool::Finger => "finger",
            Tool::Locks => "locks",
            Tool::Spanner => "spanner",
            Tool::Screwdriver => "screwdriver",
            Tool::Spares => "spares",
            Tool::Inside => "inside",
            Tool::Scope => "scope",
        }
    }
}

/// What the meter is set to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Dial {
    /// Voltage.
    #[default]
    Volts,
    /// Resistance.
    Ohms,
    /// Continuity.
    Continuity,
    /// Current.
    Amps,
}

impl Dial {
    /// Every position.
    pub const ALL: [Dial; 4] = [Dial::Volts, Dial::Ohms, Dial::Continuity, Dial::Amps];

    /// What is printed at the position.
    #[must_use]
    pub fn mark(self) -> Phrase {
        Phrase::new(match self {
            Dial::Volts => "window-dial-volts",
            Dial::Ohms => "window-dial-ohms",
            Dial::Continuity => "window-dial-continuity",
            Dial::Amps => "window-dial-amps",
        })
    }

    /// The action that measures between two terminals.
    #[must_use]
    pub fn action(self, red: &str, black: &str) -> Action {
        let (red, black) = (red.to_owned(), black.to_owned());
        match self {
            Dial::Volts => Action::Volts { red, black },
            Dial::Ohms => Action::Ohms { red, black },
            Dial::Continuity => Action::Continuity { red, black },
            Dial::Amps => Action::Amps { red, black },
        }
    }
}

/// Something that can be done with the tool at the place.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// What to write on the button.
    pub label: Phrase,
    /// What is done.
    pub action: Action,
}

/// An offer by the name of its message.
fn offer(name: &str, action: Action) -> Offer {
    Offer { label: Phrase::new(format!("window-offer-{name}")), action }
}

/// The same with a gap filled.
fn offer_with(name: &str, gap: &'static str, with: impl Into<Gap>, action: Action) -> Offer {
    let offer = offer(name, action);
    Offer { label: offer.label.with(gap, with), ..offer }
}

/// What came of picking a place.
#[derive(Clone, Debug, PartialEq)]
pub enum Picked {
    /// Nothing to do there with this tool: why, if that wants to be said.
    Nothing(Option<Phrase>),
    /// A lead was moved.
    Lead,
    /// To be done at once.
    Do(Action),
    /// To be chosen from.
    Choose,
    /// Show this valve cut open.
    Inside(String),
    /// Record this.
    Record(Subject),
}

/// The hand with its tool, the leads of the meter, and the place last picked.
#[derive(Clone, Debug)]
pub struct Hand {
    /// What is in the hand.
    pub tool: Tool,
    /// What the meter is set to.
    pub dial: Dial,
    /// Terminal of the red lead.
    pub red: Option<String>,
    /// Terminal of the black lead.
    pub black: Option<String>,
    /// Range of the gauge [bar]; the usual one when `None`.
    pub range_bar: Option<u32>,
    /// The place last picked.
    pub place: Option<Subject>,
    /// Whether the next lead set is the black one.
    black_next: bool,
}

impl Default for Hand {
    fn default() -> Self {
        Hand {
            tool: Tool::Senses,
            dial: Dial::Volts,
            red: None,
            black: None,
            range_bar: None,
            place: None,
            black_next: false,
        }
    }
}

/// The part that a subject belongs to, if any.
#[must_use]
pub fn part_of(plan: &Plan, subject: &Subject) -> Option<PartId> {
    let tag = match subject {
        Subject::Part(tag)
        | Subject::Wire(tag)
        | Subject::Spool(tag)
        | Subject::Piston(tag)
        | Subject::Lamp(tag) => tag,
        Subject::Terminal(name) | Subject::Port(name) | Subject::Contact(name, _) => {
            name.split(':').next()?
        }
        Subject::Coil(name) => {
            return plan.part(name).or_else(|| plan.part(name.rsplit_once('.')?.0));
        }
        Subject::TestPoint(_) | Subject::Line { .. } | Subject::Paper => return None,
    };
    plan.part(tag)
}

/// What the subject is called.
#[must_use]
pub fn name_of(plan: &Plan, subject: &Subject, words: Words) -> String {
    match subject {
        Subject::Paper => String::new(),
        Subject::Terminal(name) | Subject::Port(name) | Subject::TestPoint(name) => name.clone(),
        Subject::Line { line, .. } => {
            words.phrase(&Phrase::new("window-line").with("name", line.as_str()))
        }
        other => part_of(plan, other).map_or_else(String::new, |id| {
            let part = &plan.parts[id.index()];
            if part.title.is_empty() {
                part.tag.clone()
            } else {
                format!("{} {}", part.tag, part.title)
            }
        }),
    }
}

fn has(plan: &Plan, id: PartId, wanted: impl Fn(&Element) -> bool) -> bool {
    plan.parts[id.index()].elements.iter().any(|(_, e)| wanted(e))
}

impl Hand {
    /// Takes `tool`.
    pub fn take(&mut self, tool: Tool) {
        self.tool = tool;
        self.place = None;
    }

    /// Puts the tool to `subject`.
    pub fn pick(&mut self, plan: &Plan, subject: &Subject, words: Words) -> Picked {
        if *subject == Subject::Paper {
            self.place = None;
            return Picked::Nothing(None);
        }
        self.place = Some(subject.clone());
        let why = |id: &'static str| Picked::Nothing(Some(Phrase::new(id)));
        match (self.tool, subject) {
            (Tool::Meter, Subject::Terminal(name)) => self.lead(name),
            (Tool::Meter, _) => why("window-leads-on-terminals"),
            (Tool::Inside, _) => match part_of(plan, subject) {
                Some(id) if has(plan, id, |e| matches!(e, Element::Spool(_))) => {
                    Picked::Inside(plan.parts[id.index()].tag.clone())
                }
                _ => why("window-only-spools"),
            },
            (Tool::Scope, _) => Picked::Record(subject.clone()),
            _ => {
                let mut offers = self.offers(plan);
                match (offers.len(), self.tool) {
                    (0, tool) => Picked::Nothing(Some(
                        Phrase::new("window-nothing-for")
                            .with("tool", tool.name())
                            .with("place", name_of(plan, subject, words))
                            .with("hint", tool.hint()),
                    )),
                    (1, Tool::Clamp | Tool::Gauge | Tool::Thermometer) => {
                        Picked::Do(offers.remove(0).action)
                    }
                    _ => Picked::Choose,
                }
            }
        }
    }

    /// Sets a lead on the terminal; with both set, the meter reads.
    fn lead(&mut self, terminal: &str) -> Picked {
        if self.black_next {
            self.black = Some(terminal.to_owned());
            self.black_next = false;
        } else {
            self.red = Some(terminal.to_owned());
            self.black = None;
            self.black_next = true;
        }
        self.reading().map_or(Picked::Lead, Picked::Do)
    }

    /// The action that reads the meter as its leads lie.
    #[must_use]
    pub fn reading(&self) -> Option<Action> {
        let (red, black) = (self.red.as_ref()?, self.black.as_ref()?);
        Some(self.dial.action(red, black))
    }

    /// Exchanges the leads.
    pub fn swap_leads(&mut self) {
        std::mem::swap(&mut self.red, &mut self.black);
    }

    /// Everything the tool can do at the place last picked.
    #[must_use]
    pub fn offers(&self, plan: &Plan) -> Vec<Offer> {
        let Some(subject) = &self.place else { return Vec::new() };
        let id = part_of(plan, subject);
        let part = id.map(|id| plan.parts[id.index()].tag.clone());
        match self.tool {
            Tool::Senses => senses(plan, subject, part),
            Tool::Clamp => clamp(plan, subject, id),
            Tool::Gauge => gauge(plan, subject, self.range_bar),
            Tool::Thermometer => part
                .map(|part| vec![offer("temperature", Action::Temperature { part })])
                .unwrap_or_default(),
            Tool::Finger => id.map(|id| finger(plan, id)).unwrap_or_default(),
            Tool::Locks => id.map(|id| locks(plan, id)).unwrap_or_default(),
            Tool::Spanner => spanner(plan, subject, id),
            Tool::Screwdriver => id.map(|id| screwdriver(plan, id)).unwrap_or_default(),
            Tool::Spares => part
                .map(|part| {
                    vec![
                        offer("replace", Action::Replace { part: part.clone() }),
                        offer("clean", Action::Clean { part }),
                    ]
                })
                .unwrap_or_default(),
            Tool::Meter | Tool::Inside | Tool::Scope => Vec::new(),
        }
    }
}

fn senses(plan: &Plan, subject: &Subject, part: Option<String>) -> Vec<Offer> {
    if let Subject::Port(port) = subject {
        let mut offers = vec![offer("feel-fitting", Action::Feel { at: port.clone() })];
        if let Some(part) = part {
            offers.push(offer_with("look-at", "part", part.clone(), Action::Look { part }));
        }
        return offers;
    }
    let _ = plan;
    let Some(part) = part else { return Vec::new() };
    vec![
        offer("look", Action::Look { part: part.clone() }),
        offer("listen", Action::Listen { part: part.clone() }),
        offer("feel", Action::Feel { at: part.clone() }),
        offer("plate", Action::Plate { part }),
    ]
}

fn clamp(plan: &Plan, subject: &Subject, id: Option<PartId>) -> Vec<Offer> {
    let at = match subject {
        Subject::Terminal(name) => Some(name.clone()),
        _ => id.map(|id| plan.parts[id.index()].tag.clone()),
    };
    at.map(|at| vec![offer_with("clamp", "at", at.clone(), Action::Clamp { at })])
        .unwrap_or_default()
}

fn gauge(plan: &Plan, subject: &Subject, range_bar: Option<u32>) -> Vec<Offer> {
    let at = match subject {
        Subject::TestPoint(name) | Subject::Port(name) => Some(name.clone()),
        // A line takes a gauge where its author put a test point.
        Subject::Line { line, .. } => plan
            .test_points
            .iter()
            .find(|t| plan.volumes[t.volume.index()].name == *line)
            .map(|t| t.name.clone()),
        // The gas of an accumulator has a gauge of its own.
        Subject::Part(tag) => plan
            .part(tag)
            .filter(|id| has(plan, *id, |e| matches!(e, Element::Accumulator(_))))
            .map(|_| format!("{tag}:gas")),
        _ => None,
    };
    at.map(|at| vec![offer_with("gauge", "at", at.clone(), Action::Gauge { at, range_bar })])
        .unwrap_or_default()
}

fn finger(plan: &Plan, id: PartId) -> Vec<Offer> {
    let part = &plan.parts[id.index()];
    let Some(spool) = part.elements.iter().find_map(|(_, e)| match e {
        Element::Spool(s) => Some(*s),
        _ => None,
    }) else {
        return Vec::new();
    };
    let both = plan.nominal.spools[spool.index()].range().0 < 0.0;
    let sides: &[Side] = if both { &[Side::A, Side::B] } else { &[Side::A] };
    let mut offers = Vec::new();
    for &side in sides {
        for &finger in Finger::works(plan.spools[spool.index()].handle) {
            let word = match finger {
                Finger::Push => "push",
                Finger::Pull => "pull",
                Finger::Turn => "turn",
                Finger::Latch | Finger::Release => "latch",
            };
            let action = Action::Override { part: part.tag.clone(), side, finger };
            offers.push(offer_with(word, "side", side.word(), action));
        }
    }
    let action =
        Action::Override { part: part.tag.clone(), side: Side::A, finger: Finger::Release };
    offers.push(offer("let-go", action));
    offers
}

fn locks(plan: &Plan, id: PartId) -> Vec<Offer> {
    let part = &plan.parts[id.index()];
    let tag = || part.tag.clone();
    match part.class {
        "Isolator" | "AirIsolator" => vec![
            offer("isolate", Action::Isolate { part: tag() }),
            offer("lock", Action::Lock { part: tag() }),
            offer("tag", Action::Tag { part: tag() }),
            offer("unlock", Action::Unlock { part: tag() }),
            offer("restore", Action::Restore { part: tag() }),
            offer("call", Action::Call { part: tag() }),
            offer("cut", Action::Cut { part: tag() }),
        ],
        "PushButton" => vec![offer("try", Action::Try { part: tag() })],
        _ => Vec::new(),
    }
}

fn spanner(plan: &Plan, subject: &Subject, id: Option<PartId>) -> Vec<Offer> {
    match subject {
        Subject::TestPoint(at) => {
            vec![offer_with("bleed-at", "at", at.clone(), Action::Bleed { at: at.clone() })]
        }
        Subject::Port(at) => vec![
            offer_with("bleed-at", "at", at.clone(), Action::Bleed { at: at.clone() }),
            offer("open", Action::Open { at: at.clone() }),
            offer("close", Action::Close { at: at.clone() }),
        ],
        _ => {
            let Some(id) = id else { return Vec::new() };
            let tag = || plan.parts[id.index()].tag.clone();
            let mut offers = Vec::new();
            let shut = |p: &(String, VolumeId)| plan.volumes[p.1.index()].fixed_pa.is_none();
            if plan.parts[id.index()].ports.iter().any(shut) {
                offers.push(offer("bleed", Action::Bleed { at: tag() }));
            }
            if has(plan, id, |e| matches!(e, Element::Piston(_))) {
                offers.push(offer("prop", Action::Prop { part: tag() }));
                offers.push(offer("unprop", Action::Unprop { part: tag() }));
                offers.push(offer("enter", Action::Enter { part: tag() }));
                offers.push(offer("leave", Action::Leave { part: tag() }));
            }
            if has(plan, id, |e| matches!(e, Element::Accumulator(_))) {
                offers.push(offer("loosen", Action::Loosen { part: tag() }));
            }
            offers
        }
    }
}

fn screwdriver(plan: &Plan, id: PartId) -> Vec<Offer> {
    let part = &plan.parts[id.index()];
    let mut offers = Vec::new();
    if part.class == "Wire" {
        offers.push(offer("repair", Action::Repair { part: part.tag.clone() }));
    }
    let plugs = part.elements.iter().any(|(_, e)| match e {
        Element::Spool(s) => {
            let spool = &plan.spools[s.index()];
            spool.a.is_some() && spool.b.is_some()
        }
        _ => false,
    });
    if plugs {
        offers.push(offer("swap-plugs", Action::SwapPlugs { part: part.tag.clone() }));
    }
    for setting in settings_of(plan, id) {
        // The value is typed into the button's own line.
        let action = Action::Adjust {
            part: part.tag.clone(),
            setting: setting.to_owned(),
            value: String::new(),
        };
        offers.push(offer_with("adjust", "setting", setting, action));
    }
    offers
}

/// How a control of the operator's panel is worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Control {
    /// Springs back.
    Button,
    /// Stays in until it is pulled.
    Stop,
    /// Turns between off and on.
    Selector,
    /// A handle that takes a lock.
    Handle,
    /// Shines.
    Lamp,
}

/// What stands on the operator's panel, in the order of the bench: lamps and everything a hand works.
#[must_use]
pub fn controls(plan: &Plan) -> Vec<(PartId, Control)> {
    let kind = |class: &str| {
        Some(match class {
            "PushButton" => Control::Button,
            "EmergencyStop" => Control::Stop,
            "Selector" | "HandSlide" | "StopValve" => Control::Selector,
            "Isolator" | "AirIsolator" => Control::Handle,
            "Lamp" => Control::Lamp,
            _ => return None,
        })
    };
    let all = plan.parts.iter().enumerate();
    all.filter_map(|(k, p)| kind(p.class).map(|c| (PartId::new(k), c))).collect()
}

/// The action of working a control that now acts, or not: `hold` keeps a button pushed.
#[must_use]
pub fn work(tag: &str, control: Control, acting: bool, hold: bool) -> Option<Action> {
    let part = tag.to_owned();
    Some(match (control, acting) {
        (Control::Button, true) => Action::Release { part },
        (Control::Button, false) if hold => Action::Hold { part },
        (Control::Button, false) => Action::Press { part },
        (Control::Stop, true) => Action::Release { part },
        (Control::Stop, false) => Action::Press { part },
        (Control::Selector, _) => {
            Action::Turn { part, to: if acting { Position::Off } else { Position::On } }
        }
        (Control::Handle, true) => Action::Isolate { part },
        (Control::Handle, false) => Action::Restore { part },
        (Control::Lamp, _) => return None,
    })
}

/// Ranges of gauges that can be chosen [bar].
#[must_use]
pub fn ranges() -> &'static [u32] {
    &GAUGE_RANGES
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Diagnostics, Sources};
    use crate::language::Language;
    use crate::scenario::{Shipped, load_any};

    fn plan(name: &str) -> Plan {
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        load_any(&Shipped, name, &mut sources, &mut found).expect("a shipped bench").bench.plan
    }

    fn terminal(name: &str) -> Subject {
        Subject::Terminal(name.to_owned())
    }

    #[test]
    fn two_leads_make_a_reading_and_the_next_drop_starts_anew() {
        let (plan, words) = (plan("pusher.bench.ron"), Words::of(Language::English));
        let mut hand = Hand::default();
        hand.take(Tool::Meter);
        assert_eq!(hand.pick(&plan, &terminal("K1:A1"), words), Picked::Lead);
        let read = Action::Volts { red: "K1:A1".into(), black: "K1:A2".into() };
        assert_eq!(hand.pick(&plan, &terminal("K1:A2"), words), Picked::Do(read));
        hand.dial = Dial::Ohms;
        let again = Action::Ohms { red: "K1:A1".into(), black: "K1:A2".into() };
        assert_eq!(hand.reading(), Some(again));
        assert_eq!(hand.pick(&plan, &terminal("F1:1"), words), Picked::Lead);
        assert_eq!((hand.red.as_deref(), hand.black.as_deref()), (Some("F1:1"), None));
    }

    #[test]
    fn a_gauge_goes_on_the_test_point_of_a_line() {
        let (plan, words) = (plan("pusher.bench.ron"), Words::of(Language::English));
        let mut hand = Hand::default();
        hand.take(Tool::Gauge);
        let line = Subject::Line { line: "pressure".into(), from: vec!["M1:P".into()] };
        let read = Action::Gauge { at: "MP1".into(), range_bar: None };
        assert_eq!(hand.pick(&plan, &line, words), Picked::Do(read));
        let suction = Subject::Line { line: "suction".into(), from: vec!["T1:T".into()] };
        assert!(matches!(hand.pick(&plan, &suction, words), Picked::Nothing(_)));
    }

    #[test]
    fn a_valve_with_one_solenoid_has_no_override_b() {
        let (pusher, press) = (plan("pusher.bench.ron"), plan("press.bench.ron"));
        let mut hand = Hand::default();
        hand.take(Tool::Finger);
        hand.place = Some(Subject::Part("1V1".into()));
        assert_eq!(hand.offers(&pusher).len(), 3);
        assert_eq!(hand.offers(&press).len(), 5);
    }

    /// Every offer at every place is an action that the session understands: whatever it answers, it
    /// is not "nothing for that".
    #[test]
    fn every_offer_is_understood_by_the_session() {
        use crate::plant::Plant;
        use crate::session::{ActError, Rig, Session, SessionConfig};
        use std::sync::Arc;
        for bench in ["pusher.bench.ron", "press.bench.ron", "door.bench.ron", "gripper.bench.ron"]
        {
            let plan = plan(bench);
            let mut places: Vec<Subject> =
                plan.test_points.iter().map(|t| Subject::TestPoint(t.name.clone())).collect();
            for part in &plan.parts {
                places.push(Subject::Part(part.tag.clone()));
                let full = |(m, _): &(String, _)| format!("{}:{m}", part.tag);
                places.extend(part.terminals.iter().map(|t| Subject::Terminal(full(t))));
                places.extend(
                    part.ports.iter().map(|t| Subject::Port(format!("{}:{}", part.tag, t.0))),
                );
            }
            let plant = Plant::new(Arc::new(plan.clone()), 1);
            let session = Session::new(Rig::sound(plant), SessionConfig::default());
            let mut tried = 0;
            for tool in Tool::ALL {
                let mut hand = Hand::default();
                hand.take(tool);
                for place in &places {
                    hand.place = Some(place.clone());
                    for offer in hand.offers(&plan) {
                        if matches!(offer.action, Action::Clean { .. }) {
                            continue;
                        }
                        tried += 1;
                        let mut copy = session.clone();
                        let came = copy.act(offer.action.clone());
                        let strange = matches!(
                            came,
                            Err(ActError::NotForThat { .. }
                                | ActError::NoSuchPart { .. }
                                | ActError::NoSuchPoint { .. })
                        );
                        // A clamp needs a current path, which not every part has.
                        let clamp = matches!(offer.action, Action::Clamp { .. });
                        assert!(!strange || clamp, "{bench}: {}: {came:?}", offer.action);
                    }
                }
            }
            assert!(tried > 100, "{bench}: only {tried} offers");
        }
    }
}
