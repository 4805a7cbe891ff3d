//! A sheet as a scalable picture: self-contained SVG with a title, stable ids and no script.

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};

use crate::base::ops;
use crate::drawing::{Align, Ink, Mark, Point, Shape, Sheet, Subject};

/// Size of one module on paper [mm].
const MODULE_MM: f64 = 2.5;
/// Height of a font for capitals of height 1.
const FONT_FOR_CAPITAL: f64 = 1.0 / 0.73;

/// The sheet as SVG. The same sheet gives the same bytes.
///
/// `id` is put in front of every id in the file, so that several sheets can stand in one page.
///
/// ```
/// use spoolbench::drawing::Sheet;
/// use spoolbench::report::svg;
/// let sheet = Sheet { title: "a < b".to_owned(), width: 10.0, height: 5.0, ..Sheet::default() };
/// assert!(svg::document(&sheet, "power").contains("<title id=\"power-title\">a &lt; b</title>"));
/// ```
#[must_use]
pub fn document(sheet: &Sheet, id: &str) -> String {
    let mut bytes = Vec::new();
    // Writing into memory does not fail.
    let _ = write(sheet, id, true, &mut bytes);
    String::from_utf8_lossy(&bytes).into_owned()
}

/// The sheet as an `svg` element to stand inside an HTML page.
#[must_use]
pub fn element(sheet: &Sheet, id: &str) -> String {
    let mut bytes = Vec::new();
    let _ = write(sheet, id, false, &mut bytes);
    String::from_utf8_lossy(&bytes).into_owned()
}

fn write(sheet: &Sheet, id: &str, alone: bool, out: &mut Vec<u8>) -> std::io::Result<()> {
    let mut xml = Writer::new_with_indent(out, b' ', 1);
    if alone {
        xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    }
    let view = format!("0 0 {} {}", number(sheet.width), number(sheet.height));
    let size = |modules: f64| format!("{}mm", number(modules * MODULE_MM));
    let (title, about) = (format!("{id}-title"), format!("{id}-desc"));
    xml.create_element("svg")
        .with_attribute(("xmlns", "http://www.w3.org/2000/svg"))
        .with_attribute(("id", id))
        .with_attribute(("width", size(sheet.width).as_str()))
        .with_attribute(("height", size(sheet.height).as_str()))
        .with_attribute(("viewBox", view.as_str()))
        .with_attribute(("role", "img"))
        .with_attribute(("aria-labelledby", format!("{title} {about}").as_str()))
        .with_attribute(("fill", "none"))
        .with_attribute(("stroke", "#1c1c1c"))
        .with_attribute(("stroke-linecap", "round"))
        .with_attribute(("stroke-linejoin", "round"))
        .with_attribute(("font-family", "'DejaVu Sans', 'Liberation Sans', Arial, sans-serif"))
        .write_inner_content(|xml| {
            text_element(xml, "title", &title, &sheet.title)?;
            text_element(xml, "desc", &about, &description(sheet))?;
            xml.create_element("rect")
                .with_attribute(("width", number(sheet.width).as_str()))
                .with_attribute(("height", number(sheet.height).as_str()))
                .with_attribute(("fill", "#ffffff"))
                .with_attribute(("stroke", "none"))
                .write_empty()?;
            let mut groups = 0;
            let mut rest = sheet.marks.as_slice();
            while let Some(first) = rest.first() {
                let same = rest.iter().take_while(|m| m.subject == first.subject).count();
                let (group, others) = rest.split_at(same);
                rest = others;
                let seen: Vec<&Mark> = group.iter().filter(|m| m.shown).collect();
                if seen.is_empty() {
                    continue;
                }
                groups += 1;
                let name = format!("{id}-{groups}");
                let open = xml.create_element("g").with_attribute(("id", name.as_str()));
                let open = match subject_name(&first.subject) {
                    Some((kind, name)) => open
                        .with_attribute(("class", kind))
                        .with_attribute(("data-for", name.as_str())),
                    None => open,
                };
                open.write_inner_content(|xml| {
                    for mark in seen {
                        draw(xml, mark)?;
                    }
                    Ok(())
                })?;
            }
            Ok(())
        })?;
    let out = xml.into_inner();
    out.push(b'\n');
    Ok(())
}

type Xml<'a> = Writer<&'a mut Vec<u8>>;

fn text_element(xml: &mut Xml, name: &str, id: &str, text: &str) -> std::io::Result<()> {
    xml.create_element(name)
        .with_attribute(("id", id))
        .write_text_content(BytesText::new(&clean(text)))?;
    Ok(())
}

/// Text without the characters that XML 1.0 forbids.
fn clean(text: &str) -> String {
    text.chars()
        .map(|c| {
            let sound = matches!(c, '\t' | '\n' | '\r' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
            if sound { c } else { '\u{fffd}' }
        })
        .collect()
}

/// What stands on the sheet, for readers who cannot see it.
fn description(sheet: &Sheet) -> String {
    let mut parts: Vec<&str> = Vec::new();
    for mark in &sheet.marks {
        if let Subject::Part(tag) = &mark.subject
            && !parts.contains(&tag.as_str())
        {
            parts.push(tag);
        }
    }
    if parts.is_empty() { sheet.title.clone() } else { format!("Parts: {}", parts.join(", ")) }
}

fn subject_name(subject: &Subject) -> Option<(&'static str, String)> {
    Some(match subject {
        Subject::Paper => return None,
        Subject::Part(tag) => ("part", tag.clone()),
        Subject::Terminal(name) => ("terminal", name.clone()),
        Subject::Port(name) => ("port", name.clone()),
        Subject::Wire(tag) => ("wire", tag.clone()),
        Subject::Line { line, .. } => ("line", line.clone()),
        Subject::Contact(name, _) => ("contact", name.clone()),
        Subject::Spool(tag) => ("spool", tag.clone()),
        Subject::Piston(tag) => ("piston", tag.clone()),
        Subject::Coil(name) => ("coil", name.clone()),
        Subject::Lamp(tag) => ("lamp", tag.clone()),
        Subject::TestPoint(name) => ("test-point", name.clone()),
    })
}

/// Width of a line [modules] and its dashes.
fn pen(ink: Ink) -> (f64, &'static str) {
    match ink {
        Ink::Outline | Ink::Conductor | Ink::Solid => (0.1, ""),
        Ink::Pilot => (0.1, "0.8 0.4"),
        Ink::Drain => (0.1, "0.3 0.3"),
        Ink::Frame => (0.1, "1.2 0.35 0.15 0.35"),
        Ink::Faint => (0.05, ""),
    }
}

fn draw(xml: &mut Xml, mark: &Mark) -> std::io::Result<()> {
    let (width, dashes) = pen(mark.ink);
    let filled = mark.ink == Ink::Solid;
    if let Shape::Text { at, text, height, align } = &mark.shape {
        let anchor = match align {
            Align::Start => "start",
            Align::Middle => "middle",
            Align::End => "end",
        };
        xml.create_element("text")
            .with_attribute(("x", number(at.x).as_str()))
            .with_attribute(("y", number(at.y).as_str()))
            .with_attribute(("font-size", number(height * FONT_FOR_CAPITAL).as_str()))
            .with_attribute(("text-anchor", anchor))
            .with_attribute(("fill", if mark.ink == Ink::Faint { "#555555" } else { "#1c1c1c" }))
            .with_attribute(("stroke", "none"))
            .write_text_content(BytesText::new(&clean(text)))?;
        return Ok(());
    }
    let (name, places) = match &mark.shape {
        Shape::Path { points, closed } => {
            let list: Vec<String> =
                points.iter().map(|p| format!("{},{}", number(p.x), number(p.y))).collect();
            let name = if *closed { "polygon" } else { "polyline" };
            (name, vec![("points", list.join(" "))])
        }
        Shape::Circle { centre, radius } => (
            "circle",
            vec![("cx", number(centre.x)), ("cy", number(centre.y)), ("r", number(*radius))],
        ),
        Shape::Arc { centre, radius, from_rad, sweep_rad } => {
            let end = |angle: f64| {
                Point::new(centre.x + radius * ops::cos(angle), centre.y + radius * ops::sin(angle))
            };
            let (a, b) = (end(*from_rad), end(from_rad + sweep_rad));
            let large = u8::from(sweep_rad.abs() > std::f64::consts::PI);
            let clockwise = u8::from(*sweep_rad > 0.0);
            let r = number(*radius);
            let (ax, ay, bx, by) = (number(a.x), number(a.y), number(b.x), number(b.y));
            ("path", vec![("d", format!("M{ax} {ay}A{r} {r} 0 {large} {clockwise} {bx} {by}"))])
        }
        Shape::Text { .. } => return Ok(()),
    };
    let mut element = xml.create_element(name);
    for (key, value) in &places {
        element = element.with_attribute((*key, value.as_str()));
    }
    element = element.with_attribute(("stroke-width", number(width * mark.weight).as_str()));
    if !dashes.is_empty() {
        element = element.with_attribute(("stroke-dasharray", dashes));
    }
    if filled {
        element = element.with_attribute(("fill", "#1c1c1c"));
    }
    element.write_empty()?;
    Ok(())
}

/// A number with at most three decimals and no needless zero.
fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
