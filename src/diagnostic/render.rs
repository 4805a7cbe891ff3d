//! Diagnostics as text for people and as JSON for programs.

use super::collect::{harmless, harmless_letter, said};
use super::{Diagnostic, Diagnostics, Severity, Sources, Span};
use crate::language::{Language, Phrase, Words};
use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents,
    SourceCode, SourceSpan, SpanContents,
};
use std::fmt;

/// Width of the output [columns], fixed so that it is the same everywhere.
const WIDTH: usize = 100;
/// The longest piece of a source line that is shown [characters].
const LONGEST_LINE: usize = 90;
/// Most letters shown of the name of a file.
const NAME: usize = 400;
/// What is shown of a cut line before its first mark [characters].
const LEAD: usize = 30;
/// Secondary places this near the first are drawn in the same excerpt [lines].
const NEAR: usize = 5;

/// The word that the drawing library puts before a way to mend it.
const HELP: &str = "help:";

/// A diagnostic with its excerpt in English, at a fixed width, with or without colour.
#[must_use]
pub fn render(diagnostic: &Diagnostic, sources: &Sources, colour: bool) -> String {
    render_in(diagnostic, sources, colour, Words::of(Language::English))
}

/// The same in `words`.
#[must_use]
pub fn render_in(diagnostic: &Diagnostic, sources: &Sources, colour: bool, words: Words) -> String {
    let theme = if colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let handler = GraphicalReportHandler::new_themed(theme)
        .with_width(WIDTH)
        .with_links(false)
        .with_urls(false)
        .with_context_lines(1)
        .without_primary_span_start()
        .without_syntax_highlighting();
    let shown = Shown::new(diagnostic, sources, words);
    let mut out = String::new();
    if handler.render_report(&mut out, &shown).is_err() {
        // The excerpt could not be drawn; the words still can.
        return one_line_in(diagnostic, sources, words) + "\n";
    }
    // As wide as the library's own, so that what follows stays in line.
    let help = format!("{:<1$}", words.say("check-help") + ":", HELP.len());
    let mut trimmed = String::with_capacity(out.len());
    for line in out.lines() {
        let line = line.trim_end();
        // Nothing else begins like that: excerpts have a margin, and further lines of help more blanks.
        match line.split_once(HELP).filter(|(before, _)| is_margin(before)) {
            Some((before, after)) => {
                trimmed.push_str(before);
                trimmed.push_str(&help);
                trimmed.push_str(after);
            }
            None => trimmed.push_str(line),
        }
        trimmed.push('\n');
    }
    trimmed
}

/// Whether it is the margin of a way to mend: two blanks, perhaps behind the sign of a colour.
fn is_margin(before: &str) -> bool {
    let bare = match before.strip_prefix('\u{1b}') {
        Some(coloured) => coloured.split_once('m').map_or("", |(_, rest)| rest),
        None => before,
    };
    bare == "  "
}

/// All diagnostics in English with their excerpts, a closing line if some are not shown, and the
/// numbers.
#[must_use]
pub fn render_all(diagnostics: &Diagnostics, sources: &Sources, colour: bool) -> String {
    render_all_in(diagnostics, sources, colour, Words::of(Language::English))
}

/// The same in `words`.
#[must_use]
pub fn render_all_in(
    diagnostics: &Diagnostics,
    sources: &Sources,
    colour: bool,
    words: Words,
) -> String {
    let mut out = String::new();
    for diagnostic in diagnostics.iter() {
        out.push_str(&render_in(diagnostic, sources, colour, words));
        out.push('\n');
    }
    let closing = diagnostics.closing_line().into_iter().chain([diagnostics.tally()]);
    closing.for_each(|line| out.push_str(&(words.phrase(&line) + "\n")));
    out
}

/// `file:line:column: error SB301: message (help)`, in English.
#[must_use]
pub fn one_line(diagnostic: &Diagnostic, sources: &Sources) -> String {
    one_line_in(diagnostic, sources, Words::of(Language::English))
}

/// The same in `words`.
#[must_use]
pub fn one_line_in(diagnostic: &Diagnostic, sources: &Sources, words: Words) -> String {
    let place = position(diagnostic, diagnostic.place.span, sources);
    let colon = if place.is_empty() { "" } else { ": " };
    let severity = words.say(diagnostic.severity.message());
    let message = said(&diagnostic.message, words);
    let help = diagnostic.help.as_ref().map(|help| format!(" ({})", said(help, words)));
    format!("{place}{colon}{severity} {}: {message}{}", diagnostic.code, help.unwrap_or_default())
}

/// All diagnostics in English, one a line, and a closing line if some are not shown.
#[must_use]
pub fn one_lines(diagnostics: &Diagnostics, sources: &Sources) -> String {
    one_lines_in(diagnostics, sources, Words::of(Language::English))
}

/// The same in `words`.
#[must_use]
pub fn one_lines_in(diagnostics: &Diagnostics, sources: &Sources, words: Words) -> String {
    let mut out = String::new();
    for diagnostic in diagnostics.iter() {
        out.push_str(&one_line_in(diagnostic, sources, words));
        out.push('\n');
    }
    if let Some(more) = diagnostics.closing_line() {
        out.push_str(&words.phrase(&more));
        out.push('\n');
    }
    out
}

/// All diagnostics as JSON, in English: an object with `problems`, each with line and column where its text is
/// known, and `left_out`.
#[must_use]
pub fn json(diagnostics: &Diagnostics, sources: &Sources) -> serde_json::Value {
    let problems = diagnostics.iter().map(|diagnostic| {
        let mut value = serde_json::to_value(diagnostic).unwrap_or_default();
        value["place"]["file"] = sources.shown(&diagnostic.place.file).into();
        let at = diagnostic
            .place
            .span
            .and_then(|span| sources.line_column(&diagnostic.place.file, span.start));
        if let (Some(object), Some((line, column))) = (value.as_object_mut(), at) {
            object.insert("line".to_owned(), line.into());
            object.insert("column".to_owned(), column.into());
        }
        value
    });
    serde_json::json!({
        "problems": problems.collect::<Vec<_>>(),
        "left_out": diagnostics.left_out(),
    })
}

fn position(diagnostic: &Diagnostic, span: Option<Span>, sources: &Sources) -> String {
    let file = &diagnostic.place.file;
    let name = harmless(&sources.shown(file), NAME);
    match span.and_then(|span| sources.line_column(file, span.start)) {
        Some((line, column)) => format!("{name}:{line}:{column}"),
        None => name,
    }
}

/// What is handed to the drawing library: the words, and an excerpt of a few cut lines.
struct Shown<'a> {
    diagnostic: &'a Diagnostic,
    head: String,
    message: String,
    help: Option<String>,
    excerpt: Option<Excerpt>,
    labels: Vec<LabeledSpan>,
}

impl<'a> Shown<'a> {
    fn new(diagnostic: &'a Diagnostic, sources: &Sources, words: Words) -> Self {
        let say = |phrase: &Phrase| said(phrase, words);
        let mut shown = Shown {
            diagnostic,
            head: format!("{} {}", words.say(diagnostic.severity.message()), diagnostic.code),
            message: say(&diagnostic.message),
            help: diagnostic.help.as_ref().map(say),
            excerpt: None,
            labels: Vec::new(),
        };
        let file = &diagnostic.place.file;
        let first = diagnostic
            .place
            .span
            .and_then(|span| sources.line_of(file, span.start).map(|line| (span, line)));
        let Some((span, line)) = first else {
            if !file.is_empty() {
                shown.message =
                    format!("{}: {}", harmless(&sources.shown(file), NAME), shown.message);
            }
            return shown;
        };
        let mut marks = vec![(span, line, diagnostic.label.as_ref().map(say), true)];
        for (span, label) in &diagnostic.related {
            let label = say(label);
            let there = sources.line_of(file, span.start);
            match there {
                Some(at) if at.abs_diff(line) <= NEAR => {
                    marks.push((*span, at, Some(label), false));
                }
                _ => {
                    let note = format!("{}: {label}", position(diagnostic, Some(*span), sources));
                    shown.help = Some(match shown.help.take() {
                        Some(help) => format!("{help}\n{note}"),
                        None => note,
                    });
                }
            }
        }
        let low = marks.iter().map(|mark| mark.1).min().unwrap_or(line).saturating_sub(1);
        let high = marks.iter().map(|mark| mark.1).max().unwrap_or(line) + 1;
        let mut text = String::new();
        for at in low..=high {
            let Some(whole) = sources.line_span(file, at) else {
                break;
            };
            let source = sources.text(file).and_then(|t| t.get(whole.start..whole.end));
            let here: Vec<_> = marks.iter().filter(|mark| mark.1 == at).collect();
            let focus = here.iter().map(|mark| mark.0.start).min().unwrap_or(whole.start);
            let cut = Cut::new(source.unwrap_or(""), focus.saturating_sub(whole.start), text.len());
            for (span, _, label, primary) in here {
                let start = cut.place(span.start.saturating_sub(whole.start));
                let end = cut.place(span.end.min(whole.end).saturating_sub(whole.start));
                let place = (start, end.saturating_sub(start).max(1));
                shown.labels.push(if *primary {
                    LabeledSpan::new_primary_with_span(label.clone(), place)
                } else {
                    LabeledSpan::new_with_span(label.clone(), place)
                });
            }
            text.push_str(&cut.text);
            // The blank lets a mark stand just behind the last letter.
            text.push_str(" \n");
        }
        let name = position(diagnostic, Some(span), sources);
        shown.excerpt = Some(Excerpt { name, text, first_line: low });
        shown
    }
}

/// A line cut to what can be shown, and where its bytes have gone.
struct Cut {
    text: String,
    /// (offset in the line, offset in the excerpt) of every letter shown.
    places: Vec<(usize, usize)>,
    end: usize,
}

impl Cut {
    /// Cuts `line` around the byte `focus`; the piece begins at `base` of the excerpt.
    fn new(line: &str, focus: usize, base: usize) -> Self {
        let mut from = 0;
        if line.len() > LONGEST_LINE {
            // Go back LEAD letters from the mark, or take the line from its start.
            let mut mark = focus.min(line.len());
            while !line.is_char_boundary(mark) {
                mark -= 1;
            }
            let before = line.get(..mark).unwrap_or("").char_indices().rev();
            from = before.map(|(at, _)| at).nth(LEAD).unwrap_or(0);
        }
        let mut cut = Cut { text: String::new(), places: Vec::new(), end: 0 };
        if from > 0 {
            cut.text.push('…');
        }
        for (count, (at, letter)) in line.get(from..).unwrap_or("").char_indices().enumerate() {
            if count == LONGEST_LINE {
                cut.text.push('…');
                break;
            }
            cut.places.push((from + at, base + cut.text.len()));
            cut.text.push(harmless_letter(letter));
        }
        cut.end = base + cut.text.len();
        cut
    }

    fn place(&self, offset: usize) -> usize {
        let index = self.places.partition_point(|(at, _)| *at < offset);
        self.places.get(index).map_or(self.end, |(_, place)| *place)
    }
}

struct Excerpt {
    name: String,
    text: String,
    first_line: usize,
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let contents = self.text.as_str().read_span(span, before, after)?;
        Ok(Box::new(MietteSpanContents::new_named(
            self.name.clone(),
            contents.data(),
            *contents.span(),
            contents.line() + self.first_line,
            contents.column(),
            contents.line_count(),
        )))
    }
}

impl fmt::Debug for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.diagnostic.fmt(f)
    }
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Shown<'_> {}

impl miette::Diagnostic for Shown<'_> {
    fn code<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        Some(Box::new(&self.head))
    }

    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.diagnostic.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
            Severity::Advice => miette::Severity::Advice,
        })
    }

    fn help<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        self.help.as_ref().map(|help| Box::new(help) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.excerpt.as_ref().map(|excerpt| excerpt as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        (!self.labels.is_empty())
            .then(|| Box::new(self.labels.iter().cloned()) as Box<dyn Iterator<Item = LabeledSpan>>)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Stream;
    use crate::diagnostic::{Code, Place};

    fn press() -> Sources {
        let mut sources = Sources::new();
        sources.add("press.ron", "Bench(\n    coil: K9,\n    lamp: H1,\n)\n");
        sources
    }

    #[test]
    fn an_excerpt_shows_line_mark_and_help() {
        let problem =
            Diagnostic::error(Code::UNKNOWN_TAG, Phrase::written("no part is called \"K9\""))
                .at(Place::new("press.ron", Span::new(17, 19)))
                .label(Phrase::written("not on this bench"))
                .related(Span::new(0, 5), Phrase::written("in this bench"))
                .help(Phrase::written("did you mean \"K4\"?"));
        insta::assert_snapshot!(render(&problem, &press(), false), @r#"
        error SB301

          × no part is called "K9"
           ╭─[press.ron:2:11]
         1 │ Bench(
           · ──┬──
           ·   ╰── in this bench
         2 │     coil: K9,
           ·           ─┬
           ·            ╰── not on this bench
         3 │     lamp: H1,
           ╰────
          help: did you mean "K4"?
        "#);
    }

    #[test]
    fn a_file_as_a_whole_needs_no_excerpt() {
        let problem = Diagnostic::error(Code::UNREADABLE, Phrase::written("no such file"))
            .at(Place::file("x.ron"));
        insta::assert_snapshot!(render(&problem, &press(), false), @r#"
        error SB101

          × x.ron: no such file
        "#);
        assert_eq!(one_line(&problem, &press()), "x.ron: error SB101: no such file");
    }

    #[test]
    fn the_words_around_it_follow_the_language() {
        let problem = Diagnostic::warning(Code::UNREADABLE, Phrase::written("K9"))
            .at(Place::new("press.ron", Span::new(17, 19)))
            .help(Phrase::written("  help: a\u{1b}  help: K4"));
        let words = Words::of(Language::German);
        for colour in [false, true] {
            let english = render(&problem, &press(), colour);
            let german = render_in(&problem, &press(), colour, words);
            assert!(english.starts_with("warning SB101") || colour, "{english}");
            let wanted = english.replacen("warning", "Warnung", 1).replacen("help:", "Tipp:", 1);
            assert_eq!(german, wanted);
        }
        let line = one_line_in(&problem, &Sources::new(), words);
        assert!(line.starts_with("press.ron: Warnung SB101: K9 ("), "{line}");
    }

    #[test]
    fn long_lines_are_cut_around_the_mark() {
        let mut sources = Sources::new();
        let line = format!("{}K9{}", "a".repeat(100_000), "b".repeat(100_000));
        sources.add("long.ron", line);
        let problem = Diagnostic::warning(Code::UNKNOWN_TAG, Phrase::written("m"))
            .at(Place::new("long.ron", Span::new(100_000, 100_002)))
            .label(Phrase::written("here"));
        let drawn = render(&problem, &sources, false);
        assert!(drawn.contains("K9") && drawn.contains("long.ron:1:100001"), "{drawn}");
        assert!(drawn.len() < 1500, "{drawn}");
    }

    #[test]
    fn json_has_line_and_column() {
        let mut found = Diagnostics::new();
        found.push(
            Diagnostic::error(Code::UNKNOWN_TAG, Phrase::written("m"))
                .at(Place::new("press.ron", Span::new(17, 19))),
        );
        assert_eq!(
            json(&found, &press()).to_string(),
            "{\"left_out\":0,\"problems\":[{\"code\":\"SB301\",\"column\":11,\"line\":2,\"message\":\"m\",\
             \"place\":{\"file\":\"press.ron\",\"span\":{\"end\":19,\"start\":17}},\"severity\":\"error\"}]}"
        );
    }

    #[test]
    fn any_span_of_any_text_can_be_drawn() {
        let mut stream = Stream::new(1, "render", "fuzz");
        let alphabet: Vec<char> = "ab \t\r\n\u{1b}µ🙂\u{301}\u{202e}".chars().collect();
        for _ in 0..500 {
            let mut sources = Sources::new();
            let length = stream.below(300);
            let text: String = (0..length)
                .map(|_| alphabet[stream.below(alphabet.len() as u64) as usize])
                .collect();
            sources.add("f", text);
            let mut any = || Span::new(stream.below(700) as usize, stream.below(700) as usize);
            let problem = Diagnostic::error(Code::SYNTAX, Phrase::written("m"))
                .at(Place::new("f", any()))
                .label(Phrase::written("l"))
                .related(any(), Phrase::written("r"))
                .related(any(), Phrase::written("s"));
            let drawn = render(&problem, &sources, false);
            assert!(!drawn.contains('\u{1b}') && drawn.contains("SB104"), "{drawn}");
            assert!(drawn.len() < 12_000);
        }
    }
}
