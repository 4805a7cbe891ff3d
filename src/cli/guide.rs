//! `guide`: the author's guide, generated from the code.

use std::io::{self, Write};

use super::exit;

/// The whole guide, in markdown.
#[must_use]
pub fn text() -> String {
    let mut text = crate::bench::guide();
    text.push_str("\n## Quantities\n\n");
    text.push_str(&crate::quantity::guide_table());
    text.push_str("\n## Scenarios\n\n");
    text.push_str(SCENARIO);
    text.push_str("\n## Fault modes\n\n");
    text.push_str(&crate::fault::guide_table());
    text.push_str("\n## Fault scripts\n\n");
    text.push_str(SCRIPT);
    text.push_str("\n## What a learner can do\n\n");
    text.push_str(&crate::session::guide_table());
    text.push_str("\n## Diagnostics\n\n| code | title |\n| --- | --- |\n");
    for code in crate::diagnostic::Code::all() {
        text.push_str(&format!("| {} | {} |\n", code.id(), code.title()));
    }
    text.push_str("\n## Exit codes\n\n| code | meaning |\n| --- | --- |\n");
    for (code, meaning) in exit::TABLE {
        text.push_str(&format!("| {code} | {meaning} |\n"));
    }
    text
}

const SCENARIO: &str = r#"A scenario file is RON, one record `Scenario( ... )`, beside the bench and the scripts it names:

| field | holds | default |
| --- | --- | --- |
| `format` | 1 | must be written |
| `title` | name for people | file name |
| `bench` | file name of the bench, in the same folder | must be written |
| `brief` | what the learner is told | empty |
| `seed` | seed of tolerances and chance | 1 |
| `faults` | list of `Fault(part: "K1", mode: "welded", role: "13-14", severity: 0.5)`; onset by `at: "30 s"`, by `after_cycles: 3, of: "1A1"`, or by `present: "20 s", absent: "60 s"` | none |
| `scripts` | file names of fault scripts | none |
| `answers` | list of `Answer(part: "K1", mode: "welded")` that count as right besides the faults themselves | none |
| `tools` | verbs the learner may use; all if not written | all |
| `time_limit` | longest bench time | 1 h |
| `stop_when_unsafe` | whether a critical act ends the exercise | true |
| `retest` | what the marker does with the machine after hand-back, in the learner's words | none |
| `expect` | what must then happen, `["1A1 extended", "1A1 retracted"]` | none |
| `rubric` | `Rubric(version: 1, symptom: 10, method: 20, part: 20, mode: 15, repair: 20, hand_back: 5, efficiency: 10, pass: 70, bands: ["20 min 100 %", "30 min 60 %"])` | as shown |
"#;

const SCRIPT: &str = r#"A fault script is rhai in a closed room: no files, no clock, no printing, no modules, and limits on steps,
depth and sizes. Its chance is the run's seed. `setup(bench)` is called once before the run:

    fn setup(bench) {
        let part = bench.choose(["K1", "K2"]);
        bench.inject(part, "bypassed", #{ role: "21-22" });
        bench.after("12 s", "later");
    }
    fn later(bench) { bench.inject("1V1", "stuck"); }
"#;

/// Prints the guide.
pub fn guide(out: &mut dyn Write) -> io::Result<u8> {
    writeln!(out, "{}", text())?;
    Ok(exit::SUCCESS)
}
