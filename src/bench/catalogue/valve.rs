//! The seam: solenoid-operated directional valves.

use crate::base::{SpoolId, VolumeId};
use crate::fluid::{FlowLaw, Gate, Opening, Volume};
use crate::language::Phrase;
use crate::quantity::Dimension;
use crate::shift::{Handle, Rest, SpoolMake};

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::coil::{COIL_FIELDS, Coil, CoilKind, add_sides, coil, pulls, with_coil};
use super::sheet;
use super::{ClassSpec, FieldKind, FieldSpec, Side, field};

use FieldKind::{Choice, Quantity, Text};

pub(super) const SOLENOID: CoilKind = CoilKind {
    power_w: 26.0,
    inrush_va: 130.0,
    sealed_va: 22.0,
    rise_s: 16e-3,
    seated_ratio: 2.5,
    leakage: 0.8,
    stroke_m: 2e-3,
    kelvin_per_watt: 4.0,
    joule_per_kelvin: 160.0,
};

/// Usual pick-up voltage of a solenoid [1 of rated].
pub(super) const PICK_UP: f64 = 0.6;
/// Share of the pick-up pull that friction takes; the spring has the rest.
const FRICTION_SHARE: f64 = 0.12;

/// Steady flow force per pressure and open area: 2 Cd Cv cos 69 deg (Merritt 1967, ch. 5; from
/// memory).
pub(super) const FLOW_FORCE: f64 = 0.43;

/// Which joined ports a named centre has.
fn centre_joins(name: &str) -> &'static str {
    match name {
        "tandem" => "P-T",
        "float" => "A-T B-T",
        "open" => "P-A P-B P-T A-T B-T",
        "regenerative" => "P-A P-B",
        _ => "",
    }
}

/// Pairs of ports in a text such as `"P-A B-T"`.
fn pairs(text: &str) -> Vec<(String, String)> {
    text.split_whitespace()
        .filter_map(|pair| {
            let (a, b) = pair.split_once('-')?;
            Some((a.to_owned(), b.to_owned()))
        })
        .collect()
}

/// Joined ports by position.
pub(super) type Boxes = [Vec<(String, String)>; 3];

/// Every pair that some position joins, once.
fn pairs_of(boxes: &Boxes) -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = Vec::new();
    for pair in boxes.iter().flatten() {
        if !all.contains(pair) {
            all.push(pair.clone());
        }
    }
    all
}

/// Open fraction of `pair` in the three positions.
fn open_at(boxes: &Boxes, pair: &(String, String)) -> [f64; 3] {
    let mut at = [0.0; 3];
    for (k, joins) in boxes.iter().enumerate() {
        at[k] = f64::from(u8::from(joins.contains(pair)));
    }
    at
}

/// The joined ports in the positions at x = -1, 0 and +1.
pub(super) fn boxes(f: &Fields, centre: &str) -> Boxes {
    let a = pairs(&f.text("a"));
    match f.choice("rest").as_str() {
        // The stop at rest gives way a little: what is open there stays open.
        "spring offset" => {
            let rest = pairs(&f.text("rest_joins"));
            [rest.clone(), rest, a]
        }
        "detented" => [pairs(&f.text("b")), Vec::new(), a],
        _ => [pairs(&f.text("b")), pairs(centre), a],
    }
}

pub(super) fn ports(f: &Fields) -> Vec<String> {
    let mut list: Vec<String> = f.text("ports").split_whitespace().map(str::to_owned).collect();
    list.dedup();
    list
}

fn has_b(f: &Fields) -> bool {
    f.choice("rest") != "spring offset"
}

pub(super) fn terminals(f: &Fields) -> Vec<String> {
    let mut list = vec!["a1".to_owned(), "a2".to_owned()];
    if has_b(f) {
        list.extend(["b1".to_owned(), "b2".to_owned()]);
    }
    list
}

/// Where the spool rests.
pub(super) fn rest_of(f: &Fields) -> Rest {
    match f.choice("rest").as_str() {
        "spring offset" => Rest::Offset,
        "detented" => Rest::Detented,
        _ => Rest::Centred,
    }
}

/// Joins each of `markings` to its volume; an exhaust that nothing is joined to is open to the air.
pub(super) fn join_ports(
    a: &mut Assembly,
    f: &Fields,
    markings: Vec<String>,
) -> Vec<(String, VolumeId)> {
    let mut volumes = Vec::new();
    for marking in markings {
        let volume = if super::opens_to_air(a.class(), &marking) {
            a.open_volume(f.tag(), &marking)
        } else {
            a.volume(f.tag(), &marking)
        };
        a.plan.port(&marking, volume);
        volumes.push((marking, volume));
    }
    volumes
}

/// Volume of the port `name`.
pub(super) fn named(volumes: &[(String, VolumeId)], name: &str) -> Option<VolumeId> {
    volumes.iter().find(|(marking, _)| marking == name).map(|(_, volume)| *volume)
}

/// What the centre of an oil valve joins: as written, or else that of the named centre.
pub(super) fn centre_of(f: &Fields) -> String {
    match f.text("centre_joins") {
        own if !own.is_empty() => own,
        _ => centre_joins(&f.choice("centre")).to_owned(),
    }
}

/// Adds the paths through `spool` that its boxes join, each with its law and flow force.
pub(super) fn add_paths(
    a: &mut Assembly,
    f: &Fields,
    spool: SpoolId,
    volumes: &[(String, VolumeId)],
    boxes: &Boxes,
    (law, force): (impl Fn(Opening) -> FlowLaw, f64),
) {
    for pair in pairs_of(boxes) {
        let (Some(from), Some(to)) = (named(volumes, &pair.0), named(volumes, &pair.1)) else {
            a.unknown_port(f, &pair);
            continue;
        };
        let opening = Opening {
            at: open_at(boxes, &pair),
            closed_crossover: f.quantity("crossover"),
            two_ended: rest_of(f) == Rest::Detented,
        };
        let role = format!("{}-{}", pair.0, pair.1);
        a.plan.spool_flow(&role, spool, from, to, law(opening), force);
    }
}

/// Area [m2] of an orifice of discharge coefficient 0.61 that passes as much as `gate`: what the
/// flow force works on.
pub(super) fn flow_area(gate: Gate, density: f64) -> f64 {
    gate.gain / (0.61 * (2.0 / density).sqrt())
}

/// Spring, friction and damping that give the coil its pick-up, drop-out and shifting time.
fn spool_make(f: &Fields, coil: &Coil) -> SpoolMake {
    let rest = rest_of(f);
    solenoid_spool(coil, rest, pulls(f, coil, PICK_UP), f.quantity("shift_time"))
}

/// The spool that a coil of these pick-up and drop-out voltages [1 of rated] shifts in about
/// `shift_s` [s].
pub(super) fn solenoid_spool(
    coil: &Coil,
    rest: Rest,
    (pick_up, drop_out): (f64, f64),
    shift_s: f64,
) -> SpoolMake {
    let make = &coil.make;
    let linkage = |henry: f64, amps: f64| henry * amps;
    let open = linkage(make.open_henry, coil.open_a);
    let seated = linkage(make.seated_henry, coil.seated_a);
    let pull_open = make.pull(open * open, 1.0);
    let pull_seated = make.pull(seated * seated, 0.0);
    let at_pick_up = pull_open * pick_up * pick_up;
    let friction_n = FRICTION_SHARE * at_pick_up;
    let preload_n = at_pick_up - friction_n;
    // The spring must overcome friction and the pull that is left at drop-out.
    let end = pull_seated * drop_out * drop_out + friction_n;
    let rate_n = (end - preload_n).clamp(0.1 * preload_n, 0.6 * pull_open);
    let travel_s = 0.6 * shift_s;
    SpoolMake {
        rest,
        stroke_m: make.stroke_m * if rest == Rest::Detented { 0.5 } else { 1.0 },
        preload_n,
        rate_n,
        detent_n: 0.6 * preload_n,
        friction_n,
        viscous: 0.8 * pull_open * travel_s / make.stroke_m,
        homeward: 1.0,
        hand_n: 3.0 * pull_open,
        stuck: false,
    }
}

fn build(a: &mut Assembly, f: &Fields) {
    let coil = coil(f, &SOLENOID);
    let windings = add_sides(a, &coil, if has_b(f) { &["a", "b"] } else { &["a"] });
    let make = sheet::timed(a, f, &coil, spool_make(f, &coil), windings[0]);
    let start = if make.rest == Rest::Detented && f.choice("start") == "b" {
        -1.0
    } else if make.rest == Rest::Detented {
        1.0
    } else {
        0.0
    };
    let (make, handle) = worked(a, f, make);
    let spool = a.plan.spool(make, windings.first().copied(), windings.get(1).copied(), start);
    a.plan.handle(spool, handle);
    let gate = Gate::rated(f.quantity("rated_flow"), f.quantity("rated_drop"));
    let force = FLOW_FORCE * flow_area(gate, a.oil.density) * f.quantity("flow_force");
    let volumes = join_ports(a, f, ports(f));
    let law = |opening| FlowLaw::Spool(gate, opening);
    add_paths(a, f, spool, &volumes, &boxes(f, &centre_of(f)), (law, force));
    if f.choice("tube_drain") == "port" {
        tube(a, f, spool);
    }
    let leak = sheet::leak(a, f);
    if leak > 0.0 {
        // Clearance leakage from each working port and the supply to the tank.
        let tank = named(&volumes, "T");
        for (port, volume) in &volumes {
            if let Some(tank) = tank
                && port != "T"
            {
                let role = format!("leak {port}-T");
                a.plan.flow(&role, *volume, tank, FlowLaw::Leak(leak), crate::plant::Drive::None);
            }
        }
    }
    sheet::plate(a, f, leak);
    sheet::limit_plate(a, f, spool, &coil);
    a.plan.nameplate("rest", &f.choice("rest"));
    a.plan.nameplate("solenoids", &f.choice("solenoids"));
    a.plan.nameplate("override", &f.choice("override"));
}

/// Lets the hand move the spool as its overrides do. A pin that is pushed moves the spool away from its end,
/// whichever way the solenoid there moves it; a knob that is pulled moves it towards its end.
fn worked(a: &mut Assembly, f: &Fields, make: SpoolMake) -> (SpoolMake, Handle) {
    let written = f.choice("override");
    let found = Handle::WORDS.iter().find(|(word, _)| *word == written);
    let handle = found.map_or(Handle::PushLatch, |(_, handle)| *handle);
    let crossed = handle.pulls() != (f.choice("solenoids") == "pull");
    if handle == Handle::None {
        return (SpoolMake { hand_n: 0.0, ..make }, handle);
    }
    if crossed && make.rest == Rest::Offset {
        let other = if handle.pulls() { "push" } else { "pull" };
        a.inconsistent(
            f,
            "override",
            Phrase::new("bench-override").with("part", f.tag()),
            Phrase::new("bench-override-other").with("field", format!("override: \"{other}\"")),
        );
    }
    let hand_n = if crossed { -make.hand_n } else { make.hand_n };
    (SpoolMake { hand_n, ..make }, handle)
}

/// Space in front of the armature of a drained tube [m3], and the armature's area [m2].
const TUBE: (f64, f64) = (2e-6, 60e-6);

/// The tube of the solenoid, drained through port L: the armature displaces its oil.
fn tube(a: &mut Assembly, f: &Fields, spool: SpoolId) {
    let drain = a.volume(f.tag(), "L");
    a.plan.port("L", drain);
    let make = Volume { still_m3: TUBE.0, medium: a.oil.medium };
    let tube = a.plan.volume(&format!("{}:tube", f.tag()), make, None);
    a.plan.press(spool, tube, -TUBE.1);
    let stroke_m = a.plan.plan().nominal.spools[spool.index()].stroke_m;
    a.plan.sweep(spool, tube, TUBE.1 * stroke_m);
    let law = FlowLaw::Gate(Gate::rated(2.0 / 60_000.0, 1e5));
    a.plan.flow("tube drain", tube, drain, law, crate::plant::Drive::None);
}

fn valve_ports(f: &Fields) -> Vec<String> {
    let mut list = ports(f);
    if f.choice("tube_drain") == "port" {
        list.push("L".to_owned());
    }
    list
}

/// Rated flow of each path of a spool.
pub(super) const fn path_flow(usual: &'static str) -> FieldSpec {
    let flow = Quantity(Dimension::VolumeFlow, "0.1 L/min", "2000 L/min");
    field("rated_flow", flow, Some(usual), "Flow per path at the rated drop")
}

/// Pressure drop for which the rated flow holds.
pub(super) const fn path_drop(usual: &'static str) -> FieldSpec {
    let drop = Quantity(Dimension::Pressure, "0.05 bar", "100 bar");
    field("rated_drop", drop, Some(usual), "Pressure drop per path at the rated flow")
}

/// Flow force, of that of a plain edge.
pub(super) const fn flow_force(usual: &'static str) -> FieldSpec {
    let share = Quantity(Dimension::Ratio, "0 %", "500 %");
    field("flow_force", share, Some(usual), "Flow force as a part of that of a plain spool edge")
}

/// What a detented valve is declared to do when its supply fails.
pub(super) const POWER_LOSS: FieldSpec = field(
    "power_loss",
    Choice(&["undeclared", "keeps its position"]),
    Some("undeclared"),
    "What the author has thought about: a detented valve keeps its position when the supply fails",
);

const OWN: [FieldSpec; 28] = [
    field("ports", Text, Some("P A B T"), "Ports, separated by blanks (ISO 9461 markings)"),
    field(
        "rest",
        Choice(&["spring offset", "spring centred", "detented"]),
        Some("spring centred"),
        "What the spool does when nothing drives it",
    ),
    field("a", Text, Some("P-A B-T"), "Joined ports when solenoid a has shifted the spool"),
    field("b", Text, Some("P-B A-T"), "Joined ports when solenoid b has shifted the spool"),
    field(
        "rest_joins",
        Text,
        Some("P-B A-T"),
        "Joined ports at rest of a spring-offset valve; \"\" when all are blocked",
    ),
    field(
        "centre",
        Choice(&["closed", "tandem", "float", "open", "regenerative"]),
        Some("closed"),
        "Centre of a spring-centred valve",
    ),
    field("centre_joins", Text, Some(""), "Joined ports in the centre, instead of a named centre"),
    path_flow("20 L/min"),
    path_drop("6 bar"),
    field(
        "shift_time",
        Quantity(Dimension::Time, "2 ms", "2 s"),
        Some("30 ms"),
        "Shifting time at rated voltage without flow, about; what it comes to is on the nameplate",
    ),
    sheet::SWITCH_ON,
    sheet::SWITCH_OFF,
    sheet::RESPONSE_BAND,
    field(
        "crossover",
        Quantity(Dimension::Ratio, "-50 %", "50 %"),
        Some("10 %"),
        "Part of the way between positions over which all paths are shut; negative for open crossover",
    ),
    flow_force("100 %"),
    sheet::leakage("5 cm3/min"),
    sheet::LEAKAGE_PRESSURE,
    sheet::LEAKAGE_VISCOSITY,
    sheet::CLEARANCE[0],
    sheet::CLEARANCE[1],
    sheet::CLEARANCE[2],
    field("start", Choice(&["a", "b"]), Some("b"), "Position in which a detented valve starts"),
    field(
        "tube_drain",
        Choice(&["internal", "port"]),
        Some("internal"),
        "Where the oil goes that the armature of a spring-offset valve displaces; `port` is L",
    ),
    POWER_LOSS,
    field(
        "solenoids",
        Choice(&["push", "pull"]),
        Some("push"),
        "Whether a solenoid pushes the spool away from its end or pulls it there; a pin pushed at that end pushes either way",
    ),
    field(
        "override",
        Choice(&["none", "push", "push or latch", "pull", "pull or latch", "turn"]),
        Some("push or latch"),
        "How its manual overrides are worked, and whether they can be made to stay",
    ),
    sheet::MAX_INLET,
    sheet::DROP_BAND,
];

static FIELDS: [FieldSpec; COIL_FIELDS.len() + OWN.len()] = with_coil(&OWN);

/// Classes of the seam.
pub(super) const CLASSES: &[ClassSpec] = &[ClassSpec {
    name: "Valve",
    side: Side::Seam,
    summary: "Solenoid-operated directional spool valve, two or three positions",
    terminals: "a1 and a2 of solenoid a; b1 and b2 of solenoid b unless spring offset",
    ports: "as authored; P A B T by default",
    laws: "pull of the winding over the gap against spring, detent, friction, flow force and hand; turbulent paths opened by the spool; clearance leakage",
    fields: &FIELDS,
    rank: 3,
    port_list: valve_ports,
    terminal_list: terminals,
    build,
}];
