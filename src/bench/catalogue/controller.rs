//! Programmable controllers. Levels and currents are those usual for 24 V DC modules: inputs in the
//! manner of type 1, transistor and triac outputs with their leakage (IEC 61131-2, from memory).

use crate::plant::{BranchMake, BranchRole, PlcMake, PlcPlan, Tie, Trigger};
use crate::quantity::Dimension;

use super::super::assembly::Assembly;
use super::super::fields::Fields;
use super::{ClassSpec, FieldKind, FieldSpec, Side, field, nothing, words};

use FieldKind::{Choice, Count, Part, Quantity, Text, Words};

/// Series of a triac's snubber [ohm] (common practice, no source).
const SNUBBER_OHM: f64 = 100.0;

const FIELDS: [FieldSpec; 17] = [
    field(
        "program",
        Text,
        None,
        "Name of a Structured Text file beside the bench, or the program itself",
    ),
    field("bind", Words, Some(""), "Names for terminals, `[\"start = I0\", \"press = Q0\"]`"),
    field("inputs", Count(0, 32), Some("8"), "Number of inputs, I0 and up"),
    field("outputs", Count(0, 32), Some("6"), "Number of outputs, Q0 and up"),
    field(
        "scan",
        Quantity(Dimension::Time, "1 ms", "1 s"),
        Some("10 ms"),
        "From reading the inputs to writing the outputs, and to the next reading",
    ),
    field(
        "input_type",
        Choice(&["sinking", "sourcing"]),
        Some("sinking"),
        "Sinking inputs are fed from plus with 1M at minus, sourcing ones from minus with 1M at plus",
    ),
    field(
        "input_resistance",
        Quantity(Dimension::Resistance, "500 ohm", "50 kohm"),
        Some("4.7 kohm"),
        "From an input to 1M: 5 mA at 24 V",
    ),
    field(
        "on_voltage",
        Quantity(Dimension::Voltage, "1 V", "60 V"),
        Some("13 V"),
        "An input counts as on from here; at 15 V it must",
    ),
    field(
        "off_voltage",
        Quantity(Dimension::Voltage, "0.5 V", "50 V"),
        Some("7 V"),
        "An input counts as off again below this; at 5 V it must",
    ),
    field(
        "output_type",
        Choice(&["transistor", "relay", "triac"]),
        Some("transistor"),
        "Between 1L and each output: a switched plus, a contact, or an alternating-current switch",
    ),
    field(
        "output_resistance",
        Quantity(Dimension::Resistance, "1 mohm", "20 ohm"),
        Some(""),
        "Of a closed output; without it 0.15 ohm, 0.03 ohm (relay) or 1 ohm (triac)",
    ),
    field(
        "output_current",
        Quantity(Dimension::Current, "10 mA", "20 A"),
        Some(""),
        "Most that an output carries; without it 0.5 A, or 2 A of a relay (IEC 61131-2 ratings, from memory)",
    ),
    field(
        "leakage",
        Quantity(Dimension::Current, "0 A", "20 mA"),
        Some("0.1 mA"),
        "Through an open transistor output at 24 V",
    ),
    field(
        "clamp",
        Quantity(Dimension::Voltage, "30 V", "200 V"),
        Some("47 V"),
        "Most that stands across an opening transistor output: less its supply, what a coil without a suppressor dies away against",
    ),
    field(
        "snubber",
        Quantity(Dimension::Capacitance, "1 nF", "1 uF"),
        Some("47 nF"),
        "Capacitance across each triac, in series with 100 ohm",
    ),
    field(
        "power",
        Quantity(Dimension::Power, "0.5 W", "100 W"),
        Some("4 W"),
        "What it draws at 24 V for itself",
    ),
    field(
        "least_voltage",
        Quantity(Dimension::Voltage, "5 V", "48 V"),
        Some("19.2 V"),
        "It starts from this supply voltage, and stops 10 % below it",
    ),
];

fn count(f: &Fields, name: &str) -> usize {
    f.quantity(name) as usize
}

pub(crate) fn counts(f: &Fields) -> (usize, usize) {
    (count(f, "inputs"), count(f, "outputs"))
}

fn terminals(f: &Fields) -> Vec<String> {
    let (inputs, outputs) = counts(f);
    let mut list = vec!["L+".to_owned(), "M".to_owned(), "1M".to_owned(), "1L".to_owned()];
    list.extend((0..inputs).map(|k| format!("I{k}")));
    list.extend((0..outputs).map(|k| format!("Q{k}")));
    list
}

fn build(a: &mut Assembly, f: &Fields) {
    let (plus, minus) = (a.plan.terminal("L+"), a.plan.terminal("M"));
    let (common, feed) = (a.plan.terminal("1M"), a.plan.terminal("1L"));
    let own = BranchMake::ohm(24.0 * 24.0 / f.quantity("power"));
    a.plan.branch("electronics", BranchRole::Resistor, plus, minus, own);
    let (inputs, outputs) = counts(f);
    let mut input_nodes = Vec::new();
    for k in 0..inputs {
        let node = a.plan.terminal(&format!("I{k}"));
        let make = BranchMake::ohm(f.quantity("input_resistance"));
        a.plan.branch(&format!("I{k}"), BranchRole::Resistor, node, common, make);
        input_nodes.push(node);
    }
    let kind = f.choice("output_type");
    // Closing and opening [us]; a triac opens when its current next passes zero (common practice,
    // no source).
    let (ohm, close_us, open_us) = match kind.as_str() {
        "relay" => (0.03, 8_000, 5_000),
        "triac" => (1.0, 1_000, 9_000),
        _ => (0.15, 100, 300),
    };
    let ohm = f.optional("output_resistance").unwrap_or(ohm);
    let mut output_operators = Vec::new();
    for k in 0..outputs {
        let node = a.plan.terminal(&format!("Q{k}"));
        let trigger = Trigger::Program {
            operate: crate::base::SimTime::from_micros(close_us),
            release: crate::base::SimTime::from_micros(open_us),
        };
        let operator = a.plan.operator(&format!("Q{k}"), Tie::Hand, trigger, false);
        a.plan.contact(&format!("1L-Q{k}"), operator, false, feed, node, ohm);
        match kind.as_str() {
            "relay" => {}
            "triac" => {
                let make = BranchMake::capacitor(SNUBBER_OHM, f.quantity("snubber"));
                a.plan.branch(&format!("snubber {k}"), BranchRole::Capacitance, feed, node, make);
            }
            _ => {
                a.plan.output_clamp(node, f.quantity("clamp"));
                let make = BranchMake::ohm(24.0 / f.quantity("leakage"));
                a.plan.branch(&format!("leakage {k}"), BranchRole::Insulation, feed, node, make);
            }
        }
        output_operators.push(operator);
    }
    let Some(program) = a.programs.get(f.tag()).cloned() else { return };
    a.plan.nameplate("program", program.name());
    a.plan.nameplate("inputs", &format!("{inputs}, {}", f.choice("input_type")));
    a.plan.nameplate("outputs", &format!("{outputs}, {kind}"));
    if kind == "transistor" {
        a.plan.nameplate("output clamp", &format!("{:.0} V", f.quantity("clamp")));
    }
    let on_v = f.quantity("on_voltage");
    a.plan.plc(
        PlcPlan {
            name: String::new(),
            supply: (plus, minus),
            common,
            inputs: input_nodes,
            outputs: output_operators,
            program,
        },
        PlcMake {
            scan: f.time("scan"),
            on_v,
            off_v: f.quantity("off_voltage").min(on_v),
            sourcing: f.choice("input_type") == "sourcing",
            least_v: f.quantity("least_voltage"),
            halted: false,
        },
    );
    a.load_voltage(f, crate::quantity::Supply::dc(24.0), plus);
}

const SENSOR_FIELDS: [FieldSpec; 7] = [
    field("on", Part(&["Cylinder", "AirCylinder"]), None, "Cylinder whose rod carries the target"),
    field("from", Quantity(Dimension::Length, "-10 mm", "10 m"), None, "Start of the acting range"),
    field("to", Quantity(Dimension::Length, "-10 mm", "20 m"), None, "End of the acting range"),
    field(
        "differential",
        Quantity(Dimension::Length, "0.01 mm", "50 mm"),
        Some("0.5 mm"),
        "Travel back before it lets go",
    ),
    field(
        "wires",
        Choice(&["three", "two"]),
        Some("three"),
        "Three: PNP between 1 (plus) and 4, fed by 1 and 3. Two: between 1 and 2, fed through its load",
    ),
    field(
        "on_resistance",
        Quantity(Dimension::Resistance, "0.1 ohm", "5 kohm"),
        Some(""),
        "When it conducts; without it 10 ohm, or 680 ohm with two wires: 3 V lost on an input of 4.7 kohm",
    ),
    field(
        "leakage",
        Quantity(Dimension::Current, "0.001 mA", "10 mA"),
        Some(""),
        "At 24 V when it does not; without it 0.01 mA, or 0.8 mA with two wires",
    ),
];

fn two_wires(f: &Fields) -> bool {
    f.choice("wires") == "two"
}

fn sensor_terminals(f: &Fields) -> Vec<String> {
    if two_wires(f) { words(&["1", "2"]) } else { words(&["1", "3", "4"]) }
}

/// The figures are usual sizes (common practice, no source).
fn build_sensor(a: &mut Assembly, f: &Fields) {
    let Some(piston) = f.part("on").and_then(|tag| a.piston_of(&tag)) else { return };
    let two = two_wires(f);
    let plus = a.plan.terminal("1");
    let (out, ohm, leak_a) = if two {
        (a.plan.terminal("2"), 680.0, 0.8e-3)
    } else {
        let minus = a.plan.terminal("3");
        let own = BranchMake::ohm(24.0 / 8e-3);
        a.plan.branch("electronics", BranchRole::Resistor, plus, minus, own);
        (a.plan.terminal("4"), 10.0, 0.01e-3)
    };
    let (from_m, to_m) = (f.quantity("from"), f.quantity("to"));
    let trigger = Trigger::Cam { from_m, to_m, differential_m: f.quantity("differential") };
    let start = a.plan.plan().pistons[piston.index()].initially_m;
    let initially = start >= from_m && start <= to_m;
    let operator = a.plan.operator("face", Tie::Piston(piston), trigger, initially);
    a.operator(f.tag(), operator);
    let ohm = f.optional("on_resistance").unwrap_or(ohm);
    a.plan.contact(if two { "1-2" } else { "1-4" }, operator, false, plus, out, ohm);
    let leak = BranchMake::ohm(24.0 / f.optional("leakage").unwrap_or(leak_a));
    a.plan.branch("leakage", BranchRole::Insulation, plus, out, leak);
}

const BLOCK_FIELDS: [FieldSpec; 2] = [
    field("terminals", Count(1, 99), Some("10"), "Number of terminals, 1 and up"),
    field("bridges", Words, Some(""), "Neighbours joined by a bridge, `[\"1-2\", \"2-3\"]`"),
];

fn block_terminals(f: &Fields) -> Vec<String> {
    (1..=count(f, "terminals")).map(|k| k.to_string()).collect()
}

fn build_block(a: &mut Assembly, f: &Fields) {
    let nodes: Vec<_> = block_terminals(f).iter().map(|t| a.plan.terminal(t)).collect();
    for bridge in f.contacts("bridges") {
        let ends = bridge.split_once('-').and_then(|(x, y)| {
            let node = |t: &str| nodes.get(t.trim().parse::<usize>().ok()?.checked_sub(1)?);
            Some((*node(x)?, *node(y)?))
        });
        if let Some((from, to)) = ends.filter(|(from, to)| from != to) {
            let make = BranchMake::ohm(0.001);
            a.plan.branch(&format!("bridge {bridge}"), BranchRole::Wire, from, to, make);
        }
    }
}

/// Controllers, and what stands between them and the machine.
pub(super) const CLASSES: &[ClassSpec] = &[
    ClassSpec {
        name: "ProximitySwitch",
        side: Side::Control,
        summary: "Proximity switch on a cylinder's rod, normally open, with three wires or two",
        terminals: "1 (plus), 3 (minus) and 4 (output); with two wires 1 and 2",
        ports: "none",
        laws: "acts between two rod positions; a series resistance when it conducts, leakage when not",
        fields: &SENSOR_FIELDS,
        rank: 5,
        port_list: nothing,
        terminal_list: sensor_terminals,
        build: build_sensor,
    },
    ClassSpec {
        name: "TerminalBlock",
        side: Side::Control,
        summary: "Row of terminals, some of them bridged: where wires are joined and measured",
        terminals: "1 and up",
        ports: "none",
        laws: "bridges of 1 mohm",
        fields: &BLOCK_FIELDS,
        rank: 0,
        port_list: nothing,
        terminal_list: block_terminals,
        build: build_block,
    },
    ClassSpec {
        name: "Plc",
        side: Side::Control,
        summary: "Programmable controller for 24 V DC, with a program in a subset of Structured Text",
        terminals: "L+ and M of its supply, I0 and up with their common 1M, Q0 and up with their common 1L",
        ports: "none",
        laws: "input resistances sampled once a scan; the program; outputs as contacts with on-resistance, and leakage or snubber beside them",
        fields: &FIELDS,
        rank: 2,
        port_list: nothing,
        terminal_list: terminals,
        build,
    },
];
