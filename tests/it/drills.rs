//! Guided drills: what is right is what the machine does, and a drill that does not settle it is told so.

use std::fs;
use std::path::Path;

use spoolbench::diagnostic::{Code, Diagnostics, Sources, one_lines, render_all};
use spoolbench::scenario::{Disk, Drill, Shelf, Shipped, Unread, is_drill, letter, load_drill};

use crate::commands::{Desk, exit};

/// The shipped files and one drill.
struct With<'a>(&'a str);

impl Shelf for With<'_> {
    fn text(&self, name: &str) -> Result<String, Unread> {
        if name == "t.drill.ron" { Ok(self.0.to_owned()) } else { Shipped.text(name) }
    }
}

fn load(text: &str) -> Result<Drill, String> {
    let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
    let drill = load_drill(&With(text), "t.drill.ron", &mut sources, &mut found);
    drill.ok_or_else(|| one_lines(&found, &sources))
}

/// A drill of one question about the pusher.
fn about_the_pusher(faults: &str, choices: &str) -> String {
    format!(
        "Drill(format: 1, title: \"t\", questions: [Question(\n  ask: \"?\", bench: \"pusher.bench.ron\", \
         faults: [{faults}],\n  prove: [\"press S4\", \"wait 2 s\", \"press S1\", \"wait 12 s\"],\n  \
         choices: [{choices}])])"
    )
}

const GOES: &str = "Choice(say: \"it goes\", when: [\"1A1 extended\"])";
const STAYS: &str = "Choice(say: \"it stays\", when: [\"never 1A1 moves\"])";

fn shipped() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").file_name().into_string().expect("a plain name"))
        .filter(|name| name.ends_with(".drill.ron"))
        .collect();
    names.sort();
    names
}

/// Seven topics; every question is decided by its machine, and not always by the same letter.
#[test]
fn every_shipped_drill_is_decided() {
    let folder = format!("{}/scenarios", env!("CARGO_MANIFEST_DIR"));
    let table = fs::read_to_string(format!("{folder}/README.md")).expect("the table");
    let names = shipped();
    assert_eq!(names.len(), 7);
    for name in names {
        let (mut sources, mut found) = (Sources::new(), Diagnostics::new());
        let drill = load_drill(&Disk::new(&folder), &name, &mut sources, &mut found);
        assert!(found.is_empty(), "{}", render_all(&found, &sources, false));
        let drill = drill.expect("a drill");
        assert!(is_drill(&name, &fs::read_to_string(format!("{folder}/{name}")).expect("text")));
        assert!(!drill.brief.is_empty() && drill.questions.len() >= 3, "{name}");
        let right: Vec<char> = drill.questions.iter().map(|q| letter(q.right)).collect();
        assert!(right.iter().any(|r| *r != right[0]), "{name}: always {right:?}");
        for question in &drill.questions {
            assert!(!question.because.is_empty(), "{name}: {}", question.ask);
            assert_eq!(question.proof.len(), question.prove.len());
        }
        let row = format!("| {} | `{}` |", drill.title, name.trim_end_matches(".drill.ron"));
        assert!(table.contains(&row), "there is no row \"{row}\"");
    }
}

/// The same question about a sound machine and about one with a dead coil: the truth turns over with
/// the machine, and nothing in the file says which it is.
#[test]
fn the_machine_decides() {
    let choices = format!("{GOES}, {STAYS}");
    let sound = load(&about_the_pusher("", &choices)).expect("decided");
    assert_eq!(letter(sound.questions[0].right), 'a');
    let fault = "Fault(part: \"1V1\", mode: \"open\")";
    let faulty = load(&about_the_pusher(fault, &choices)).expect("decided");
    assert_eq!(letter(faulty.questions[0].right), 'b');
    assert_eq!(faulty.questions[0].scenario.faults.len(), 1);
}

#[test]
fn two_choices_that_hold_are_told_with_their_letters() {
    let also = "Choice(say: \"the lamp comes on\", when: [\"H2 lit\"])";
    let told = load(&about_the_pusher("", &format!("{GOES}, {STAYS}, {also}"))).expect_err("both");
    assert!(
        told.contains(&format!("error {}: the choices a, c hold together", Code::DRILL_UNDECIDED))
    );
    assert!(told.starts_with("t.drill.ron:1:42: "), "{told}");
}

#[test]
fn no_choice_that_holds_is_told_with_what_was_missed() {
    let burnt = "Choice(say: \"it burns\", when: [\"1V1.a burnt\"])";
    let told = load(&about_the_pusher("", &format!("{STAYS}, {burnt}"))).expect_err("none");
    assert!(told.contains("no choice holds"), "{told}");
    assert!(told.contains("a: \"never 1A1 moves\"; b: \"1V1.a burnt\""), "{told}");
}

#[test]
fn mistakes_of_a_question_are_told_where_they_are() {
    let undone = about_the_pusher("", &format!("{GOES}, {STAYS}")).replace("press S1", "press S9");
    assert!(load(&undone).expect_err("no S9").contains("t.drill.ron:3:35: error SB708"));
    let one = load(&about_the_pusher("", GOES)).expect_err("one choice");
    assert!(one.contains("a question has 2 to 6 choices; this one has 1"), "{one}");
    let empty = "Choice(say: \"x\", when: [])";
    let told = load(&about_the_pusher("", &format!("{GOES}, {empty}"))).expect_err("nothing");
    assert!(told.contains("there is nothing to judge by"), "{told}");
    let none = load("Drill(format: 1, questions: [])").expect_err("no question");
    assert!(none.contains("there is no question"), "{none}");
    let far = about_the_pusher("", &format!("{GOES}, {STAYS}")).replace("pusher.b", "../pusher.b");
    assert!(load(&far).expect_err("outside").contains("SB509"));
}

/// A burnt coil and a blown fuse can be predicted, and are not confused.
#[test]
fn blown_and_burnt_are_told_apart() {
    let fault = "Fault(part: \"1V1\", mode: \"diode-reversed\")";
    let blows = "Choice(say: \"the fuse goes\", when: [\"F1 blown\", \"never 1V1.a burnt\"])";
    let burns = "Choice(say: \"the coil goes\", when: [\"1V1.a burnt\"])";
    let drill = load(&about_the_pusher(fault, &format!("{burns}, {blows}"))).expect("decided");
    assert_eq!(letter(drill.questions[0].right), 'b');
}

#[test]
fn the_verb_asks_listens_and_shows() {
    let desk = Desk::new();
    desk.write("t.drill.ron", about_the_pusher("", &format!("{STAYS}, {GOES}")));
    let told = desk.pipe("drill t.drill.ron", "what\n\nB\n").is(exit::SUCCESS).quietly();
    let told = told.says("one of the letters a to b").says("Right, b: it goes");
    let shown = told.says("1A1 is extended").says("1 of 1 predicted");
    // What the bench does is not shown before the prediction.
    let asked = shown.out.find("a to b").expect("asked");
    assert!(shown.out.find("1A1 is extended").expect("shown") > asked);
    desk.run("drill t.drill.ron --answers a")
        .is(exit::NOT_YET_COMPETENT)
        .says("You said a; the bench shows b: it goes");
    desk.run("drill t.drill.ron --answers c").is(exit::BAD_INPUT).complains("none of a to b");
    desk.run("drill t.drill.ron --answers a,b").is(exit::BAD_INPUT).complains("1 questions");
    desk.pipe("drill t.drill.ron", "").is(exit::NOT_YET_COMPETENT).says("one question is left");
    desk.run("check t.drill.ron").is(exit::SUCCESS).says("no problems");
    desk.write("t.drill.ron", about_the_pusher("", &format!("{GOES}, {GOES}")));
    desk.run("check --short t.drill.ron").is(exit::BAD_INPUT).complains("SB511");
    desk.run("drill t.drill.ron").is(exit::BAD_INPUT).complains("SB511");
}

/// The drill of the guide, on the first machine of its tutorial.
#[test]
fn the_drill_of_the_guide_is_decided() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/guide.md");
    let guide = fs::read_to_string(path).expect("the guide");
    let block = |name: &str| {
        let start = guide.split(&format!("```ron {name}\n")).nth(1).expect(name);
        start.split("```").next().expect(name).to_owned()
    };
    let desk = Desk::new();
    for name in ["first.bench.ron", "first.drill.ron"] {
        desk.write(name, block(name));
    }
    desk.run("drill first.drill.ron --answers a").is(exit::SUCCESS).quietly().says("Right, a");
}
