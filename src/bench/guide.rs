//! The author's guide to bench files, written from the catalogue itself.

use std::fmt::Write;

use super::catalogue::{FieldKind, FieldSpec, Side, TITLE, classes};

/// How to write a bench file: the parts that are not classes.
const FORM: &str = r#"## A bench file

A bench file is RON, one record `Bench( ... )`:

| field | holds | default |
| --- | --- | --- |
| `format` | 1 | must be written |
| `name` | what people call it | `bench` |
| `note` | how it works, for people | empty |
| `cautions` | list of texts, shown before anything else | none |
| `ambient` | temperature around the bench, `"20 degC"` (-40 to 70) | 20 degC |
| `oil` | `Oil(density: "870 kg/m3", bulk_modulus: "1.4 GPa", free_air: "0.1 %", cleanliness: "18/16/13")`; `fluid` is `"mineral oil"`, `"water glycol"`, `"phosphate ester"` or `"polyol ester"`; with `grade: "VG 46"` (ISO 3448) its temperature counts: `viscosity_100` at 100 degC, `contents: "60 L"`, `cooling: "0.05 K/W"` to the room, `start`, and `expansion: "0.07 %/K"` of all oil, also what is shut in | as shown |
| `accepted` | advice of `lint` that is not followed, `[Accepted(code: "SB421", part: "M1", reason: "...")]`; `part` may be left out | none |
| `parts` | map from tag to part, `{ "K1": Relay(coil: "24 V DC"), ... }` | must be written |
| `rungs` | list of `Rung(from: "F1:2", to: "G1:-", path: "...")` | none |
| `wires` | list of `"G1:+ F1:1"` or `Wire(from: ..., to: ..., length: "20 m", section: "0.75 mm2", capacitance: "1 nF")` | none |
| `lines` | list of `Line(name: "pressure", ports: ["M1:P", "1V1:P"], volume: "0.4 L", test_point: "MP1")` | none |

A tag is 1 to 16 letters, digits, dots or underscores; `W` and a number are kept for wires, which are numbered
in the order of `wires` and then `rungs`. A terminal is `tag:marking`, such as `K1:A1`; `PE:PE` is the protective
earth. A wire is 2 m of 0.75 mm2 unless its length and section are written (resistance by IEC 60228, class 5).
On alternating current it has 60 pF/m to the live conductor and to earth, or the `capacitance` written: an open
conductor shows a voltage to a meter that draws nothing.

A rung path is read from the live side: a comma joins in series, a bar inside parentheses in parallel, and an element
is a part with the two terminals it is passed by: `S0:21-22, (S1:13-14 | K1:13-14), K1:A1-A2`.

A line is one volume of oil, or of air, that joins ports; 0.1 L unless written. A line with a tank in it stays at
0 bar. Parts for oil and for compressed air never share a line; a pressure switch goes on either. A port in no line is
plugged, but exhaust ports of air valves stand open.

Quantities are text with a unit. Pressures are gauge. Positions of a cylinder count from retracted.

## Classes
"#;

/// A markdown cell: bars would end it.
fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

fn kind(spec: &FieldSpec) -> String {
    match spec.kind {
        FieldKind::Quantity(dimension, low, high) => {
            format!("{}, {low} to {high}", dimension.name())
        }
        FieldKind::Supply => "supply, `\"24 V DC\"` or `\"120 V AC 60 Hz\"`".to_owned(),
        FieldKind::Choice(list) => {
            list.iter().map(|w| format!("`\"{w}\"`")).collect::<Vec<_>>().join(", ")
        }
        FieldKind::Flag => "`true` or `false`".to_owned(),
        FieldKind::Count(low, high) => format!("whole number, {low} to {high}"),
        FieldKind::Part(classes) => format!("tag of a {}", classes.join(" or ")),
        FieldKind::Parts(classes) => format!("tags of {}", classes.join(", ")),
        FieldKind::Words => "list of texts".to_owned(),
        FieldKind::Text => "text".to_owned(),
        FieldKind::Contacts => "contact markings, `[\"13-14\", \"21-22\"]`".to_owned(),
        FieldKind::Curve => "list of `\"position force\"`".to_owned(),
    }
}

/// The guide to bench files, in markdown.
#[must_use]
pub fn guide() -> String {
    let mut text = FORM.to_owned();
    for (side, title) in [
        (Side::Control, "Control side"),
        (Side::Seam, "The seam"),
        (Side::Power, "Power side"),
        (Side::Air, "Compressed air"),
    ] {
        let _ = write!(text, "\n### {title}\n");
        for class in classes().filter(|c| c.side == side) {
            let _ = write!(
                text,
                "\n#### {}\n\n{}. Terminals: {}. Ports: {}. Computed by: {}.\n\n\
                 | field | holds | default | meaning |\n| --- | --- | --- | --- |\n",
                class.name, class.summary, class.terminals, class.ports, class.laws
            );
            for spec in class.fields.iter().chain(std::iter::once(&TITLE)) {
                let default = match spec.default {
                    None => "must be written".to_owned(),
                    Some("") => "none".to_owned(),
                    Some(value) => format!("`{value}`"),
                };
                let _ = writeln!(
                    text,
                    "| `{}` | {} | {} | {} |",
                    spec.name,
                    cell(&kind(spec)),
                    default,
                    cell(spec.about)
                );
            }
        }
    }
    text
}

#[cfg(test)]
mod tests {
    #[test]
    fn every_class_and_field_is_in_the_guide() {
        let text = super::guide();
        for class in super::classes() {
            assert!(text.contains(&format!("#### {}\n", class.name)));
            for field in class.fields {
                assert!(text.contains(&format!("| `{}` |", field.name)));
            }
        }
    }
}
