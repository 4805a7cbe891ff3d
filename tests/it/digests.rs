//! The contract of determinism: the same bench, seed and inputs give the same digest, in this build
//! and in a release build, on one thread or two, from a clone or from the original.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use spoolbench::base::SimTime;
use spoolbench::plant::Plant;

use crate::machines::load;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The shipped files whose name ends in `ending`, in order.
fn shipped(ending: &str) -> Vec<PathBuf> {
    let mut list: Vec<PathBuf> = std::fs::read_dir(root().join("scenarios"))
        .expect("scenarios")
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.to_string_lossy().ends_with(ending))
        .collect();
    list.sort();
    list
}

/// What `binary` prints when it runs everything that is shipped.
fn everything(binary: &str) -> String {
    let mut text = String::new();
    let mut run = |args: &[&str]| {
        let out = Command::new(binary).args(args).output().expect("the program");
        assert!(out.status.success(), "{args:?}: {}", String::from_utf8_lossy(&out.stderr));
        text.push_str(&String::from_utf8_lossy(&out.stdout));
    };
    for bench in shipped(".bench.ron") {
        run(&["run", &bench.to_string_lossy(), "--until", "20 s", "--seed", "3"]);
    }
    for scenario in shipped(".scenario.ron") {
        let list = scenario.to_string_lossy().replace(".scenario.ron", ".good.actions");
        run(&["run", &scenario.to_string_lossy(), "--actions", &list]);
    }
    run(&["demo"]);
    text
}

#[test]
fn the_same_run_gives_the_same_digest_twice() {
    let binary = env!("CARGO_BIN_EXE_spoolbench");
    let (first, second) = (everything(binary), everything(binary));
    assert!(first == second, "two runs of the same inputs differ");
    let digests = first.lines().filter(|l| l.starts_with("digest")).count();
    assert!(digests >= 6, "only {digests} digests were printed");
}

/// Needs a release build, named by SPOOLBENCH_RELEASE: the check script gives it.
#[test]
#[ignore = "needs a release build: SPOOLBENCH_RELEASE=target/release/spoolbench"]
fn a_release_build_gives_the_same_digests() {
    let release = std::env::var("SPOOLBENCH_RELEASE").expect("SPOOLBENCH_RELEASE names a binary");
    let release = root().join(release);
    let debug = everything(env!("CARGO_BIN_EXE_spoolbench"));
    let release = everything(&release.to_string_lossy());
    for (k, (a, b)) in debug.lines().zip(release.lines()).enumerate() {
        assert_eq!(a, b, "line {}", k + 1);
    }
    assert_eq!(debug.len(), release.len());
}

#[test]
fn grades_are_the_same_on_one_thread_and_on_two() {
    let binary = env!("CARGO_BIN_EXE_spoolbench");
    let folder = tempfile::tempdir().expect("a folder");
    let demo = Command::new(binary)
        .args(["demo", "--out", &folder.path().to_string_lossy()])
        .output()
        .expect("demo");
    assert!(demo.status.success());
    let mut files: Vec<String> = Vec::new();
    for k in 0..6 {
        let from = if k % 2 == 0 { "careful" } else { "hasty" };
        let to = folder.path().join(format!("{k}.attempt.jsonl"));
        std::fs::copy(folder.path().join(format!("{from}.attempt.jsonl")), &to).expect("copy");
        files.push(to.to_string_lossy().into_owned());
    }
    let bad = folder.path().join("bad.attempt.jsonl");
    std::fs::write(&bad, "no attempt\n").expect("write");
    files.insert(3, bad.to_string_lossy().into_owned());
    let grade = |threads: &str| {
        let scenario = root().join("scenarios/press-interlock.scenario.ron");
        let json = folder.path().join(format!("{threads}.json"));
        let mut args = vec!["grade".to_owned(), scenario.to_string_lossy().into_owned()];
        args.extend(files.clone());
        args.extend(["--threads".to_owned(), threads.to_owned()]);
        args.extend(["--json".to_owned(), json.to_string_lossy().into_owned()]);
        let out = Command::new(binary).args(args).output().expect("grade");
        // One file is unusable, and that is the gravest outcome; the others are graded all the same.
        assert_eq!(out.status.code(), Some(2));
        (out.stdout, out.stderr, std::fs::read(json).expect("json"))
    };
    let (one, two) = (grade("1"), grade("2"));
    assert!(one == two, "grades differ between one thread and two");
    let json: serde_json::Value = serde_json::from_slice(&one.2).expect("JSON");
    let graded = json.as_array().expect("a list").iter().filter(|r| r.get("grade").is_some());
    assert_eq!(graded.count(), 6);
}

#[test]
fn a_clone_goes_on_as_the_original_does() {
    let plan = load("pusher.bench.ron");
    let mut plant = Plant::new(Arc::clone(&plan), 5);
    let start = plan.hand_operator("S4").expect("S4");
    let push = plan.hand_operator("S1").expect("S1");
    plant.set_operator(start, true);
    plant.advance(SimTime::from_millis(700), false).expect("advance");
    plant.set_operator(push, true);
    plant.advance(SimTime::from_millis(1_933), false).expect("advance");
    let mut copy = plant.clone();
    for p in [&mut plant, &mut copy] {
        p.set_operator(push, false);
        p.advance(SimTime::from_secs(9), false).expect("advance");
    }
    assert_eq!(plant.digest(), copy.digest());
    let mut other = Plant::new(plan, 6);
    other.set_operator(start, true);
    other.advance(SimTime::from_secs(9), false).expect("advance");
    assert_ne!(plant.digest(), other.digest());
}
