//! `guide`: the author's guide, generated from the code.

use std::io::{self, Write};

use crate::scenario::Criterion;
use crate::session::Tool;

use super::exit;

/// A first machine, step by step.
const TUTORIAL: &str = include_str!("tutorial.md");

/// A task with a script and a rubric, a class, and a batch.
const HANDBOOK: &str = include_str!("handbook.md");

/// The whole guide, in markdown.
#[must_use]
pub fn text() -> String {
    let mut text = TUTORIAL.to_owned() + HANDBOOK;
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
        "\nCriteria of the rubric; their weights add up to 100, and where one is written, those \
         that are not weigh nothing:\n\n| criterion | asks |\n| --- | --- |\n",
    );
    for criterion in Criterion::ALL {
        text.push_str(&format!("| `{}` | {} |\n", criterion.name(), criterion.asks()));
    }
    text.push_str(MARKING);
    text.push_str("\n## Drills\n\n");
    text.push_str(DRILL);
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
| `pairs` | list of pairs of faults that may come together, `[Fault(part: "K1", mode: "welded", role: "13-14"), Fault(part: "F1", mode: "blown")]`; each is simulated and is a suspect beside all single faults | none |
| `ambiguous` | list of `Answer(part: "W17", mode: "broken")`: faults that the tools at hand cannot tell from the injected one, so that nobody is marked down for not having told them apart | none |
| `tools` | list of tools at hand, `["multimeter", "gauges"]` | all |
| `time_limit` | longest bench time | 1 h |
| `stop_when_unsafe` | whether a critical act ends the exercise | true |
| `retest` | what the marker does with the machine after hand-back, in the learner's words; less than 30 min of waiting | none |
| `operate` | what else is done with the machine to find a fault; `testability` and the marker do it after `retest` | none |
| `expect` | what must then happen, and what must not; see below | none |
| `others_locks` | isolators that hang open under somebody else's lock at the beginning, `["Q0"]` | none |
| `rubric` | `Rubric(version: 2, symptom: 10, method: 25, part: 15, mode: 10, evidence: 15, repair: 10, hand_back: 5, efficiency: 10, pass: 70, loss: ["0.25 100 %", "0.75 60 %", "1.5 30 %"], lucky: 40, wrong_but_consistent: 20, gate: true)`, and `bands: ["20 min 100 %", "30 min 60 %"]` where bench time is to count as well | as shown |

A line of `expect` names a fact: `1A1 extended`, `1A1 retracted`, `H1 lit`, `H1 dark`, `M1 runs`, `M1 stands`, `K1 acts`,
`K1 rests`, `K1:13-14 closed`, `K1:13-14 open`, `1V1.a on`, `1V1.a off`, `1V1.a and 1V1.b on`, `F1 blown`, `1V1.a burnt`,
`MP1 above 60 bar`, `MP1 below 5 bar`.

| line | asks |
| --- | --- |
| `1A1 extended` | that it comes about, in the order of the lines of this kind |
| `MP1 above 60 bar after hold S1` | that it is so when the waiting after that action of `retest` is over |
| `never 1V1.a and 1V1.b on` | that it is not so at any moment |
| `never 1A1 moves after restore Q0` | that it is not so from that action on |
"#;

const DRILL: &str = r#"A drill file, `NAME.drill.ron`, is one record `Drill( ... )`. `spoolbench drill FILE` asks each question, takes a prediction,
and shows what the bench did; `check` and `practise` take it too. Which choice is right is never written down: the machine is
put through `prove`, and exactly one choice must then be as its `when` says. Otherwise the drill does not load, and SB511 says
why.

```ron first.drill.ron
Drill(
    format: 1,
    title: "Which way does it move?",
    brief: "Follow the oil from the box that comes to the ports.",
    questions: [
        Question(
            ask: "S1 is held for six seconds. What does the rod do?",
            bench: "first.bench.ron",
            prove: ["wait 2 s", "hold S1", "wait 6 s"],
            choices: [
                Choice(say: "It goes out.", when: ["1A1 extended"]),
                Choice(say: "It stays in.", when: ["never 1A1 moves"]),
            ],
            because: "The coil joins P to A, the cap side.",
        ),
    ],
)
```

| field of a question | holds | default |
| --- | --- | --- |
| `ask` | the question | must be written |
| `bench` | file name of the bench, in the same folder | must be written |
| `faults` | list of `Fault(...)` as in a scenario, present from the start | none: a sound machine |
| `prove` | what is done with the machine, in the learner's words; at most an hour of bench time | must be written |
| `choices` | two to six of `Choice(say: "...", when: [...])`; the lines of `when` are those of `expect`, with the actions of `prove` for `after` | must be written |
| `because` | why it is so, told afterwards | empty |
"#;

const MARKING: &str = r#"
How the choice of tests is marked: everything that the learner's hands did is repeated on the machine with
every other fault (each credible single fault, the `pairs`, and none). After each look, reading and trial
those remain that would have shown the same, up to the moment at which the learner mends or names a part.

| word in a grade | means |
| --- | --- |
| proved | right, and one repair mends everything that was left |
| lucky | right, but faults that call for another repair were left too; it earns `lucky` % of the marks for evidence, all of them where `ambiguous` lists what was left |
| wrong but consistent | wrong, but nothing seen spoke against it; it earns `wrong_but_consistent` % |
| contradicted | something seen had excluded it |
| could tell nothing | all faults left would have shown the same, as could be known before |
| lost | seconds that a look took above what the best next test was expected to take, from there to the end |

Readings count as different beyond a tenth (voltage, pressure), a seventh (current) or a quarter (resistance);
times of what is seen and heard beyond half a second and a fifth. What is nearer excludes nothing. Readings that
prove an isolated machine dead are never held against anybody. `loss` gives the marks for efficiency by the
time lost, as a part of what the whole search should take: the expected time of the best sequence of tests in
the fault dictionary. A test in it costs its own time and that of the operating step before it, or of isolating.
The scenario's own faults are in it in their own size, all others in the usual one.

The dictionary of a scenario is worked out once and kept in `--cache DIR`, or else in `spoolbench` below
`XDG_CACHE_HOME` or `~/.cache`. Its name is a digest of all that it follows from; it may be deleted at any time.
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
