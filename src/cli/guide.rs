//! `guide`: the author's guide, generated from the code.

use std::io::{self, Write};

use crate::scenario::Criterion;
use crate::session::Tool;

use super::exit;

/// A first machine, step by step.
const TUTORIAL: &str = include_str!("tutorial.md");

/// The whole guide, in markdown.
#[must_use]
pub fn text() -> String {
    let mut text = TUTORIAL.to_owned();
    text.push_str(&crate::bench::guide());
    text.push_str("\n## Quantities\n\n");
    text.push_str(&crate::quantity::guide_table());
    text.push_str("\n## Scenarios\n\n");
    text.push_str(SCENARIO);
    text.push_str(
        "\nTools that `tools` may list; a scenario without that field gives them all:\n\n",
    );
    text.push_str("| tool | for |\n| --- | --- |\n");
    for tool in Tool::ALL {
        text.push_str(&format!("| `\"{}\"` | {} |\n", tool.word(), tool.purpose()));
    }
    text.push_str(
        "\nCriteria of the rubric; their weights add up to 100, and those not written keep their \
         default:\n\n| criterion | asks |\n| --- | --- |\n",
    );
    for criterion in Criterion::ALL {
        text.push_str(&format!("| `{}` | {} |\n", criterion.name(), criterion.asks()));
    }
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
| `faults` | list of `Fault(part: "K1", mode: "welded", role: "13-14")`, some with a `severity: 0.5`; present from the start, or `at: "30 s"`, or `after_cycles: 3, of: "1A1"`, or now and then with `present: "20 s", absent: "60 s"`; `[]` says that the machine is sound | none |
| `scripts` | file names of fault scripts | none |
| `variants` | list of `Fault(...)`, of which a class gets one a learner (see [A class](#a-class)) | all faults of the machine that are as hard |
| `answers` | list of `Answer(part: "K1", mode: "welded")` that count as right besides the faults themselves | none |
| `tools` | list of tools at hand, `["multimeter", "gauges"]` | all |
| `time_limit` | longest bench time | 1 h |
| `stop_when_unsafe` | whether a critical act ends the exercise | true |
| `retest` | what the marker does with the machine after hand-back, in the learner's words | none |
| `expect` | what must then happen, `["1A1 extended", "1A1 retracted"]` | none |
| `rubric` | `Rubric(version: 1, symptom: 10, method: 20, part: 20, mode: 15, repair: 20, hand_back: 5, efficiency: 10, pass: 70, bands: ["20 min 100 %", "30 min 60 %"])` | as shown |
"#;

const SCRIPT: &str = r#"A fault script is rhai in a closed room: no files, no clock, no printing, no modules, and limits on steps,
depth and sizes. Its chance is the run's seed. `setup(bench)` is called once before the run:

```rhai script
fn setup(bench) {
    let part = bench.choose(["K1", "K2"]);
    bench.inject(part, "bypassed", #{ role: "21-22" });
    bench.after("12 s", "later");
}
fn later(bench) { bench.inject("1V1", "stuck"); }
```

| call | does |
| --- | --- |
| `bench.inject(part, mode)`, `bench.inject(part, mode, #{ role: "13-14", severity: 0.5 })` | brings a fault about; also `present: "2 s", absent: "9 s"` |
| `bench.at("30 s", "name")`, `bench.after("5 s", "name")` | calls `fn name(bench)` at that time, or so much later |
| `bench.on("K1 acts", "name")`, `bench.when(...)` | calls `fn name(bench)` each time that happens |
| `bench.chance(0.3)`, `bench.choose([...])`, `bench.between(1.0, 2.0)`, `bench.whole(1, 6)` | the luck of this run |
| `bench.remember("key", value)`, `bench.recall("key")` | keeps a value between calls |
| `bench.time()`, `bench.pressure("MP1")`, `bench.volts("K1:A1", "K1:A2")`, `bench.amps("K1")`, `bench.celsius("K1")`, `bench.spool("1V1")`, `bench.position("1A1")`, `bench.acting("K1")`, `bench.lit("H1")` | reads the machine: s, bar, V, A, degC, -1 to 1, mm |
| `bench.note("...")` | keeps a note with the run |
"#;

/// Prints the guide.
pub fn guide(out: &mut dyn Write) -> io::Result<u8> {
    write!(out, "{}", text())?;
    Ok(exit::SUCCESS)
}
