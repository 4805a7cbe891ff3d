//! Text on sheets.

use super::sheet::{Align, Ink, Mark, Point, Shape, Subject, text_width};

/// `text` in lines of at most `width` [modules], broken at blanks; one long word stays whole, and a number
/// stays with its word where a little more room is enough.
pub fn wrapped(text: &str, height: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line)
                if text_width(&format!("{line} {word}"), height)
                    <= if word.chars().all(|c| c.is_ascii_digit()) {
                        1.25 * width
                    } else {
                        width
                    } =>
            {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// A text as a mark.
pub fn text_mark(
    at: Point,
    text: String,
    height: f64,
    align: Align,
    ink: Ink,
    subject: Subject,
) -> Mark {
    Mark { shape: Shape::Text { at, text, height, align }, ink, subject, shown: true, weight: 1.0 }
}
