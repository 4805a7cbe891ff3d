//! Grades as JUnit XML: a suite an attempt, a case a line of the rubric, the safety gate a case of its own.
//!
//! There is no standard; what is written is valid under both schemas in common use. A case fails when its
//! line did not get all of its marks. An attempt without a date is dated to the beginning of 1970, because
//! the stricter schema wants a date.

use std::io;

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

use super::reader::Reader;
use super::record::Record;

/// What stands for a date that is not known.
const NO_DATE: &str = "1970-01-01T00:00:00";

/// Suites, gathered one by one.
pub struct JUnit {
    out: Writer<Vec<u8>>,
    reader: Reader,
    suites: usize,
}

impl std::fmt::Debug for JUnit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("JUnit").field("suites", &self.suites).finish_non_exhaustive()
    }
}

/// One case: its name, why it failed if it did, and the kind of that.
struct Case {
    name: String,
    problem: Option<(&'static str, &'static str, String)>,
}

impl JUnit {
    /// A file without suites.
    ///
    /// # Errors
    /// Never: it is written to memory.
    pub fn new(reader: Reader) -> io::Result<Self> {
        let mut out = Writer::new_with_indent(Vec::new(), b' ', 2);
        out.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
        out.write_event(Event::Start(BytesStart::new("testsuites")))?;
        Ok(JUnit { out, reader, suites: 0 })
    }

    /// Adds a grade.
    ///
    /// # Errors
    /// Never: it is written to memory.
    pub fn add(&mut self, record: &Record) -> io::Result<()> {
        let grade = &record.grade;
        let words = self.reader.words;
        let gate = Case {
            name: self.reader.say("case-gate"),
            problem: (!grade.gate).then(|| {
                let acts: Vec<String> = grade
                    .hazards
                    .iter()
                    .filter(|h| h.severity == crate::session::Severity::Critical)
                    .map(|h| format!("{} {} {}", h.at, words.say(&h.hazard.message()), h.place))
                    .collect();
                ("failure", "safety", acts.join("\n"))
            }),
        };
        let mut cases = vec![gate];
        cases.extend(grade.criteria.iter().map(|c| {
            let lost = c.marks + 1e-9 < c.weight;
            let why = words.sentence(&c.why);
            let marks = format!("{} / {}", words.number(c.marks, 1), c.weight);
            Case {
                name: words.say(&format!("criterion-{}", c.criterion)),
                problem: lost.then(|| ("failure", "marks", format!("{marks}: {why}"))),
            }
        }));
        let properties = [
            ("scenario", record.scenario.clone()),
            ("scenario_sha256", grade.scenario_digest.clone()),
            ("learner", record.learner.clone()),
            ("marks", format!("{:.1}", grade.marks)),
            ("verdict", grade.verdict.message().trim_start_matches("verdict-").to_owned()),
            ("end_sha256", grade.digest.clone()),
            ("engine", grade.engine.to_string()),
        ];
        let feedback: Vec<String> = grade.feedback.iter().map(|p| words.sentence(p)).collect();
        let date = grade.started.as_deref().map_or(NO_DATE, |s| s.trim_end_matches('Z'));
        self.suite(record, &properties, &cases, grade.bench_seconds, date, &feedback.join("\n"))
    }

    /// Adds an attempt that could not be graded: its one case is an error.
    ///
    /// # Errors
    /// Never: it is written to memory.
    pub fn add_refused(&mut self, name: &str, problems: &[String]) -> io::Result<()> {
        let case = Case {
            name: self.reader.say("case-gradable"),
            problem: Some(("error", "refused", problems.join("\n"))),
        };
        let properties = [("attempt", name.to_owned())];
        self.write(name, &properties, &[case], 0.0, NO_DATE, "")
    }

    fn suite(
        &mut self,
        record: &Record,
        properties: &[(&str, String)],
        cases: &[Case],
        seconds: f64,
        date: &str,
        said: &str,
    ) -> io::Result<()> {
        let name = format!("{}/{}", record.scenario, record.attempt);
        self.write(&name, properties, cases, seconds, date, said)
    }

    fn write(
        &mut self,
        name: &str,
        properties: &[(&str, String)],
        cases: &[Case],
        seconds: f64,
        date: &str,
        said: &str,
    ) -> io::Result<()> {
        let count = |kind: &str| {
            cases.iter().filter(|c| c.problem.as_ref().is_some_and(|p| p.0 == kind)).count()
        };
        let name = readable(name);
        let mut suite = BytesStart::new("testsuite");
        for (key, value) in [
            ("package", "spoolbench".to_owned()),
            ("id", self.suites.to_string()),
            ("name", name.clone()),
            ("timestamp", date.to_owned()),
            ("hostname", "spoolbench".to_owned()),
            ("tests", cases.len().to_string()),
            ("failures", count("failure").to_string()),
            ("errors", count("error").to_string()),
            ("time", format!("{seconds:.3}")),
        ] {
            suite.push_attribute((key, value.as_str()));
        }
        self.suites += 1;
        self.out.write_event(Event::Start(suite))?;
        self.out.write_event(Event::Start(BytesStart::new("properties")))?;
        for (key, value) in properties {
            let mut property = BytesStart::new("property");
            property.push_attribute(("name", *key));
            property.push_attribute(("value", readable(value).as_str()));
            self.out.write_event(Event::Empty(property))?;
        }
        self.out.write_event(Event::End(BytesEnd::new("properties")))?;
        for case in cases {
            self.case(&name, case)?;
        }
        self.text("system-out", said)?;
        self.text("system-err", "")?;
        self.out.write_event(Event::End(BytesEnd::new("testsuite")))
    }

    fn case(&mut self, suite: &str, case: &Case) -> io::Result<()> {
        let mut element = BytesStart::new("testcase");
        element.push_attribute(("name", case.name.as_str()));
        element.push_attribute(("classname", suite));
        element.push_attribute(("time", "0"));
        let Some((kind, category, message)) = &case.problem else {
            return self.out.write_event(Event::Empty(element));
        };
        self.out.write_event(Event::Start(element))?;
        let message = readable(message);
        let mut problem = BytesStart::new(*kind);
        problem.push_attribute(("message", message.lines().next().unwrap_or_default()));
        problem.push_attribute(("type", *category));
        self.out.write_event(Event::Start(problem))?;
        self.out.write_event(Event::Text(BytesText::new(&message)))?;
        self.out.write_event(Event::End(BytesEnd::new(*kind)))?;
        self.out.write_event(Event::End(BytesEnd::new("testcase")))
    }

    fn text(&mut self, element: &str, text: &str) -> io::Result<()> {
        self.out.write_event(Event::Start(BytesStart::new(element)))?;
        self.out.write_event(Event::Text(BytesText::new(&readable(text))))?;
        self.out.write_event(Event::End(BytesEnd::new(element)))
    }

    /// The whole file.
    ///
    /// # Errors
    /// Never: it is written to memory.
    pub fn finish(mut self) -> io::Result<String> {
        self.out.write_event(Event::End(BytesEnd::new("testsuites")))?;
        let mut text = String::from_utf8_lossy(&self.out.into_inner()).into_owned();
        text.push('\n');
        Ok(text)
    }
}

/// `text` without the characters that XML 1.0 has no place for.
fn readable(text: &str) -> String {
    let allowed = |c: &char| matches!(c, '\t' | '\n' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
    text.chars().filter(allowed).collect()
}
