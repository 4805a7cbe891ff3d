//! What attempts prove: every shipped fault can be isolated, careful learners prove it, and grades say
//! what each reading told.

use std::fs;

use spoolbench::base::SimTime;
use spoolbench::diagnosis::evidence::{Inquiry, Outlook, Recall};
use spoolbench::diagnosis::{FaultMatrix, State, Test, in_full};
use spoolbench::fault::Fault;
use spoolbench::grade::{EvidenceReport, Grade, Marker};
use spoolbench::session::{Session, parse, read_actions};

use super::shared::{self, attempt, graded, list_of, names, scenario};

fn evidence(grade: &Grade) -> &EvidenceReport {
    grade.evidence.as_ref().expect("evidence")
}

/// The careful learner's list, each shipped scenario: proved, or as narrow as is declared.
#[test]
fn careful_learners_prove_what_they_name() {
    let mut open = Vec::new();
    for name in names() {
        let grade = &graded(name).good.1;
        let found = evidence(grade);
        if found.verdict != "proved" && !found.declared {
            open.push(format!(
                "{name}: {}, left: {:?}\n{}",
                found.verdict,
                found.left,
                grade.text()
            ));
        }
        assert!(found.steps.iter().any(|s| s.bits > 0.0), "{name}");
        // What is true is never excluded.
        let truth = &grade.truth[0];
        let part = truth.split(' ').next().expect("a part");
        assert!(found.left.iter().any(|l| l.contains(part)), "{name}: {:?}", found.left);
        assert!(found.regret_s >= 0.0 && found.idle_looks <= found.looks, "{name}");
    }
    assert!(open.is_empty(), "{}", open.join("\n"));
}

/// Every injected fault reads, in the fault dictionary of the tools at hand, unlike what calls for
/// another repair; or the author says which it cannot be told from.
#[test]
fn every_shipped_fault_can_be_isolated_or_is_declared() {
    let mut open = Vec::new();
    for name in names() {
        let scenario = scenario(name);
        let found = scenario.dictionary(Some(shared::folder())).expect("a dictionary");
        let matrix = &found.matrix;
        let faults: Vec<_> = scenario.faults.iter().map(|f| in_full(&scenario.plan, f)).collect();
        let full = |f: &spoolbench::fault::Fault| {
            format!("{} {} {}", f.part, f.mode, f.role.as_deref().unwrap_or(""))
        };
        let wanted = faults.iter().map(full).collect::<Vec<_>>().join(" + ");
        if wanted.is_empty() {
            // A script chooses; `careful_learners_prove_what_they_name` holds one of its choices.
            continue;
        }
        let truth = matrix.states().iter().position(|s| s.name == wanted);
        let Some(truth) = truth else {
            open.push(format!("{name}: no state {wanted}"));
            continue;
        };
        let same: Vec<usize> =
            (0..matrix.states().len()).filter(|&s| matrix.row(s) == matrix.row(truth)).collect();
        if same.contains(&0) {
            open.push(format!("{name}: {wanted} shows no sign"));
        }
        let beside: Vec<&str> = same
            .iter()
            .filter(|&&s| matrix.class(s) != matrix.class(truth))
            .map(|&s| matrix.states()[s].name.as_str())
            .filter(|state| {
                !scenario
                    .ambiguous
                    .iter()
                    .any(|a| state.starts_with(&format!("{} {}", a.part, a.mode)))
            })
            .collect();
        if !beside.is_empty() {
            open.push(format!("{name}: {wanted} reads like {beside:?}"));
        }
    }
    assert!(open.is_empty(), "{}", open.join("\n"));
}

/// One machine, several learners.
#[test]
fn verdicts_and_feedback_follow_from_what_was_seen() {
    let scenario = scenario("pusher-dead-coil");
    let marker = Marker::new(scenario, Some(shared::folder()));
    let graded = |list: &str| marker.grade(&attempt(scenario, list)).expect("a grade");
    let start = "press S4\nwait 3 s\npress S1\nwait 5 s\nlook 1A1\n";
    // Nothing measured: right by luck.
    let lucky = graded(&format!("{start}name 1V1 open\nhand back\n"));
    assert_eq!(evidence(&lucky).verdict, "lucky", "{}", lucky.text());
    assert!(evidence(&lucky).left.len() > 1);
    assert!(
        lucky.feedback.iter().any(|f| f.to_string().starts_with("You were right about 1V1, but"))
    );
    // Measured, then another part named.
    let measured = format!("{start}volts 1V1:a1 1V1:a2\nclamp 1V1:a1\n");
    let against = graded(&format!("{measured}name K1 open\nhand back\n"));
    assert_eq!(evidence(&against).verdict, "contradicted", "{}", against.text());
    assert!(against.feedback.iter().any(|f| f.to_string().contains("had already excluded it")));
    let proved = graded(&format!("{measured}name 1V1 open\nhand back\n"));
    assert_eq!(evidence(&proved).verdict, "proved", "{}", proved.text());
    // Wrong, and nothing seen speaks against it.
    let other = evidence(&lucky).left.iter().find(|l| !l.starts_with("1V1")).expect("another");
    let mut words = other.split(' ');
    let (part, mode) = (words.next().expect("a part"), words.next().expect("a mode"));
    let wrong = graded(&format!("{start}name {part} {mode}\nhand back\n"));
    assert_eq!(evidence(&wrong).verdict, "wrong-but-consistent", "{}", wrong.text());
    // The rod was heard to stay: looking at it tells nothing, and what would have is said.
    let idle = graded(&format!("{start}volts 1V1:a1 1V1:a2\nname 1V1 open\nhand back\n"));
    let steps = &evidence(&idle).steps;
    let of = |words: &str| steps.iter().find(|s| s.words.starts_with(words)).expect("a step");
    let (look, volts) = (of("look 1A1"), of("volts"));
    assert!(look.uninformative && look.bits == 0.0 && look.better.is_some(), "{look:?}");
    assert!(!volts.uninformative && volts.bits > 0.0, "{volts:?}");
    assert!(idle.feedback.iter().any(|f| f.to_string().contains("would have shown the same")));
    // Sets only shrink, and bits add up to what is left.
    for pair in steps.windows(2) {
        assert!(pair[1].before == pair[0].after && pair[0].after <= pair[0].before);
    }
    assert_eq!(evidence(&graded("hand back\n")).verdict, "nothing-named");
}

/// A grade is a function of the attempt: not of what was graded before, nor of a kept dictionary.
#[test]
fn grading_again_gives_the_same_bytes() {
    let scenario = scenario("pusher-weak");
    let list = list_of("pusher-weak");
    let bytes = attempt(scenario, &list);
    let short = attempt(scenario, "press S4\nwait 3200 ms\npress S1\nwait 6 s\nhand back\n");
    let json = |grade: Grade| serde_json::to_string(&grade).expect("JSON");
    let folder = tempfile::tempdir().expect("a folder");
    let marker = Marker::new(scenario, Some(folder.path()));
    let first = json(marker.grade(&bytes).expect("a grade"));
    // From the kept dictionary, after another attempt.
    let marker = Marker::new(scenario, Some(folder.path()));
    marker.grade(&short).expect("a grade");
    assert_eq!(json(marker.grade(&bytes).expect("a grade")), first);
    assert_eq!(json(marker.grade(&bytes).expect("a grade")), first);
    // A dictionary that is spoilt, cut short or not ours is worked out anew, and put right.
    let kept: Vec<_> = fs::read_dir(folder.path()).expect("a folder").flatten().collect();
    assert_eq!(kept.len(), 1, "{kept:?}");
    let path = kept[0].path();
    let sound = fs::read(&path).expect("a dictionary");
    let flipped: Vec<u8> =
        sound.iter().enumerate().map(|(k, b)| if k == 900 { b ^ 1 } else { *b }).collect();
    for spoilt in [&b""[..], b"something else\n", &sound[..sound.len() / 2], &flipped] {
        fs::write(&path, spoilt).expect("written");
        let marker = Marker::new(scenario, Some(folder.path()));
        assert_eq!(json(marker.grade(&bytes).expect("a grade")), first);
        assert_eq!(fs::read(&path).expect("a dictionary"), sound);
    }
    // A folder that cannot be written is no reason not to grade.
    let marker = Marker::new(scenario, Some(&path.join("beneath a file")));
    assert_eq!(json(marker.grade(&bytes).expect("a grade")), first);
}

/// While a suspect's fault does not count it goes the way of the sound machine. Without the sound machine
/// among the suspects each has a run of its own: both exclude the same suspects by the same actions.
#[test]
fn suspects_that_sleep_are_excluded_as_if_they_had_run() {
    for name in ["press-interlock", "gripper-coil"] {
        let scenario = scenario(name);
        let config = scenario.config();
        let mut session = Session::new(scenario.rig(scenario.seed).expect("a rig"), config.clone());
        for line in read_actions(&list_of(name)).expect("actions").into_iter().take(14) {
            session.act(line.action).expect("an action");
        }
        let truth: Vec<Fault> =
            scenario.faults.iter().map(|f| in_full(&scenario.plan, f)).collect();
        let make =
            |faults: &[Fault], rhythm: &str| scenario.rig_with(scenario.seed, faults, rhythm);
        let excluded = |sound: bool| -> Vec<Vec<String>> {
            let suspects = scenario.suspects().into_iter();
            let suspects = suspects.filter(|h| sound || !h.faults.is_empty()).collect();
            let real = scenario.rig(scenario.seed).expect("a rig");
            let inquiry = Inquiry::new(suspects, &truth, real, &make, &config, &Recall::default());
            let trail = inquiry.follow(session.log(), &no_advice());
            let without = |list: &[String]| -> Vec<String> {
                list.iter().filter(|name| *name != "nothing").cloned().collect()
            };
            trail.steps.iter().map(|step| without(&step.excluded)).collect()
        };
        let (asleep, own) = (excluded(true), excluded(false));
        assert!(own.iter().map(Vec::len).sum::<usize>() > 50, "{own:?}");
        assert_eq!(asleep, own, "{name}");
    }
}

/// What a learner who does `list`, and after each action nothing for so many seconds, excludes step by step.
fn excluded_with_pauses(name: &str, list: &[&str], pauses: &[u64]) -> Vec<Vec<Vec<String>>> {
    let scenario = scenario(name);
    let config = scenario.config();
    let truth: Vec<Fault> = scenario.faults.iter().map(|f| in_full(&scenario.plan, f)).collect();
    let make = |faults: &[Fault], rhythm: &str| scenario.rig_with(scenario.seed, faults, rhythm);
    let real = || scenario.rig(scenario.seed).expect("a rig");
    let recall = Recall::default();
    let inquiry = Inquiry::new(scenario.suspects(), &truth, real(), &make, &config, &recall);
    let excluded = |pause: &u64| {
        let mut session = Session::new(real(), config.clone());
        for words in list {
            session.act(parse(words).expect("an action")).expect("done");
            let until = session.now() + SimTime::from_secs(*pause);
            session.idle(until).expect("idle");
        }
        let trail = inquiry.follow(session.log(), &no_advice());
        // The repeat of the real machine shows what was met.
        assert!(trail.steps.iter().all(|step| !step.marginal), "{name}: {:?}", trail.steps);
        trail.steps.into_iter().map(|step| step.excluded).collect()
    };
    pauses.iter().map(excluded).collect()
}

/// Where the machines of all suspects have come to rest, longer pauses change nothing: the same suspects
/// go by the same actions.
#[test]
fn longer_pauses_at_rest_exclude_the_same_suspects() {
    let list = ["press S1", "look 1A1", "hold S3", "hold S2", "clamp 1V1:b1", "look 1A1"];
    let found = excluded_with_pauses("gripper-coil", &list, &[20, 45, 70]);
    assert!(found[0].iter().map(Vec::len).sum::<usize>() > 20, "{found:?}");
    assert_eq!(found[0], found[1]);
    assert_eq!(found[0], found[2]);
}

/// What moves on for a long stretch with nothing to hear or see is not at rest.
#[test]
fn a_machine_that_creeps_is_not_at_rest() {
    let list = ["press S4", "hold S1", "look 1A1", "release S1", "hold S2", "look 1A1"];
    let found = excluded_with_pauses("press-slow", &list, &[5, 30]);
    assert!(found[1].iter().map(Vec::len).sum::<usize>() > 20, "{found:?}");
}

/// An outlook that knows no test: what should be done next is not the question.
fn no_advice() -> Outlook {
    let (state, test) = (State::new("any", 1.0, "it"), Test::new("none", 1.0));
    let matrix = FaultMatrix::new(vec![state], vec![test], vec![vec![0]], false);
    Outlook::new(matrix.expect("a matrix"))
}
