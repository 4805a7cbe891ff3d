//! What several modules need of every shipped task, worked out once: its dictionary, and the grades of
//! the careful learner, of the same without the repair, and of nothing done at all.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{LazyLock, OnceLock};

use spoolbench::diagnostic::{Diagnostics, Sources, render_all};
use spoolbench::grade::{Grade, Marker};
use spoolbench::scenario::{Scenario, Shelf, Shipped, load, play};

/// Where dictionaries are kept for this run of the tests.
static FOLDER: LazyLock<tempfile::TempDir> =
    LazyLock::new(|| tempfile::tempdir().expect("a folder"));

/// Grades of one task.
pub struct Graded {
    /// Of the careful learner's list, with the attempt.
    pub good: (Vec<u8>, Grade),
    /// The same without the acts that mend.
    pub unmended: Grade,
    /// Handed back at once.
    pub idle: Grade,
}

struct Task {
    scenario: Scenario,
    graded: OnceLock<Graded>,
}

static TASKS: LazyLock<BTreeMap<&'static str, Task>> = LazyLock::new(|| {
    let names = Shipped::names().filter_map(|n| n.strip_suffix(".scenario.ron"));
    names.map(|name| (name, Task { scenario: read(name), graded: OnceLock::new() })).collect()
});

fn read(name: &str) -> Scenario {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let loaded = load(&Shipped, &format!("{name}.scenario.ron"), &mut sources, &mut found);
    loaded.unwrap_or_else(|| panic!("{}", render_all(&found, &sources, false)))
}

/// The folder of dictionaries.
pub fn folder() -> &'static Path {
    FOLDER.path()
}

/// Names of all shipped scenarios, in order.
pub fn names() -> impl Iterator<Item = &'static str> {
    TASKS.keys().copied()
}

/// The shipped scenario `name`.
pub fn scenario(name: &str) -> &'static Scenario {
    &TASKS[name].scenario
}

/// The careful learner's list.
pub fn list_of(name: &str) -> String {
    Shipped.text(&format!("{name}.good.actions")).expect("a list of actions")
}

/// The careful learner's list without the acts that mend.
pub fn unmended(list: &str) -> String {
    let mends = |line: &&str| {
        let verbs = ["replace ", "repair ", "clean ", "adjust ", "swap plugs "];
        verbs.iter().any(|v| line.starts_with(v))
            || line.starts_with("override ") && line.ends_with(" release")
    };
    list.lines().filter(|l| !mends(l)).collect::<Vec<_>>().join("\n")
}

pub fn attempt(scenario: &Scenario, list: &str) -> Vec<u8> {
    play(scenario, "learner", list, &mut |_, _, _| Ok(())).expect("an attempt")
}

/// Grades of `name`, by one marker.
pub fn graded(name: &str) -> &'static Graded {
    let task = &TASKS[name];
    task.graded.get_or_init(|| {
        let marker = Marker::new(&task.scenario, Some(folder()));
        let grade = |list: &str| {
            let bytes = attempt(&task.scenario, list);
            let grade = marker.grade(&bytes).expect("a grade");
            (bytes, grade)
        };
        let list = list_of(name);
        Graded {
            good: grade(&list),
            unmended: grade(&unmended(&list)).1,
            idle: grade("hand back").1,
        }
    })
}
