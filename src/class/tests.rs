//! Classes, kits, and what they do not give away.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use super::*;
use crate::diagnostic::{Diagnostics, Sources};
use crate::scenario::{Shelf, Shipped, load};

const NAME: &str = "pusher-dead-coil.scenario.ron";

fn scenario() -> Scenario {
    load(&Shipped, NAME, &mut Sources::new(), &mut Diagnostics::new()).unwrap()
}

fn files() -> BTreeMap<String, String> {
    [NAME, "pusher.bench.ron"].map(|n| (n.to_owned(), Shipped.text(n).unwrap())).into()
}

/// Worked out once: it takes some hundred runs.
static FOUND: OnceLock<Variants> = OnceLock::new();

fn class(ids: usize) -> (Class, Variants) {
    let scenario = scenario();
    let found = FOUND.get_or_init(|| variants(&scenario, Some(0.25)).unwrap()).clone();
    let secret = Secret::new(b"a secret of the second term").unwrap();
    let learners: Vec<String> = (0..ids).map(|k| format!("learner {k}")).collect();
    (Class::new(secret, &learners, scenario, found.list.clone()), found)
}

#[test]
fn thirty_learners_get_many_faults_of_one_band() {
    let (class, found) = class(30);
    let costs: Vec<f64> = found.list.iter().map(|v| v.cost_s).collect();
    assert!(costs.iter().all(|c| (found.band_s.0..=found.band_s.1).contains(c)), "{costs:?}");
    assert!((found.band_s.1 / found.band_s.0 - 5.0 / 3.0).abs() < 1e-9);
    let given: BTreeSet<String> = class
        .learners()
        .map(|(pseudonym, _)| {
            let assigned = class.assigned(pseudonym).unwrap();
            let fault = assigned.fault.clone();
            assert!(assigned.answers.iter().any(|a| a.part == fault.part && a.mode == fault.mode));
            format!("{fault:?}")
        })
        .collect();
    assert!(given.len() >= 8, "{given:?}");
    // Every one of them stops the machine.
    let sound = scenario();
    for variant in &found.list {
        let mut faulty = sound.clone();
        faulty.faults = vec![variant.fault.clone()];
        let rig = faulty.rig(7).unwrap();
        assert!(!crate::scenario::does_its_work(&faulty, rig), "{}", variant.fault.name());
    }
}

#[test]
fn what_a_learner_gets_depends_on_nobody_else_and_on_the_secret() {
    let (small, found) = class(3);
    let (large, _) = class(30);
    for (pseudonym, id) in small.learners() {
        assert_eq!(small.assigned(pseudonym), large.assigned(pseudonym), "{id}");
    }
    let other = Secret::new(b"a secret of the third term").unwrap();
    let ids: Vec<String> = large.learners().map(|(_, id)| id.to_owned()).collect();
    let other = Class::new(other, &ids, scenario(), found.list);
    let faults = |class: &Class| -> BTreeMap<String, String> {
        let all = class.learners().map(|(p, id)| (id.to_owned(), p.to_owned()));
        all.map(|(id, p)| (id, class.assigned(&p).unwrap().fault.part)).collect()
    };
    assert_ne!(faults(&large), faults(&other));
    assert_ne!(large.mark(), other.mark());
    assert!(large.learners().all(|(p, _)| other.assigned(p).is_none()));
}

#[test]
fn a_kit_opens_to_what_was_assigned_and_reads_like_noise() {
    let (class, _) = class(12);
    let files = files();
    let mut seen = BTreeSet::new();
    for (pseudonym, id) in class.learners() {
        let assigned = class.assigned(pseudonym).unwrap();
        let bytes = class.kit(NAME, &files, &assigned);
        assert_eq!(bytes, class.kit(NAME, &files, &assigned));
        let kit = open(&bytes).unwrap();
        let wanted = class.scenario_of(pseudonym).unwrap();
        assert_eq!(kit.learner, pseudonym);
        assert_eq!(kit.scenario.faults, wanted.faults);
        assert_eq!(kit.scenario.answers, wanted.answers);
        assert_eq!(
            (kit.scenario.seed, &kit.scenario.digest, &kit.scenario.title, &kit.scenario.brief),
            (wanted.seed, &wanted.digest, &wanted.title, &wanted.brief)
        );
        // Neither the learner's id nor any word of the task's files.
        let text = String::from_utf8(bytes).unwrap();
        let words = [id, "mode", "Fault", "never", "broken", "pusher-dead", "scenario.ron"];
        for word in words {
            assert!(!text.contains(word), "{word}");
        }
        assert!(!kit.scenario.title.contains("the lamp says"), "the title speaks of another fault");
        let outside: serde_json::Value = serde_json::from_str(&text).unwrap();
        for field in ["salt", "nonce", "sealed", "learner"] {
            assert!(seen.insert(outside[field].to_string()), "{field} is used twice");
        }
    }
}

#[test]
fn a_kit_changed_anywhere_does_not_open() {
    let (class, _) = class(1);
    let pseudonym = class.learners().next().unwrap().0.to_owned();
    let assigned = class.assigned(&pseudonym).unwrap();
    let bytes = class.kit(NAME, &files(), &assigned);
    let step = bytes.len() / 400;
    for at in (0..bytes.len() - 1).step_by(step).chain(0..200) {
        let mut bad = bytes.clone();
        bad[at] ^= 1;
        assert!(open(&bad).is_err(), "a bit of byte {at}");
        assert!(open(&bytes[..at]).is_err(), "cut at {at}");
    }
    let text = String::from_utf8(bytes).unwrap();
    let newer = text.replacen("\"version\":1", "\"version\":2", 1);
    assert_eq!(open(newer.as_bytes()).unwrap_err(), KitError::OtherVersion(2));
    assert_eq!(open(b"{}").unwrap_err(), KitError::NoKit);
    assert_eq!(open(&vec![b' '; KIT_LIMIT + 1]).unwrap_err(), KitError::TooLarge);
}

#[test]
fn declared_variants_are_kept_to_the_band() {
    let text = Shipped.text(NAME).unwrap().replace(
        "    time_limit:",
        "    variants: [\n        Fault(part: \"1V1\", mode: \"open\"),\n        Fault(part: \"K1\", mode: \
         \"never-closes\", role: \"23-24\"),\n        Fault(part: \"1A1\", mode: \"jammed\"),\n        \
         Fault(part: \"RV1\", mode: \"set-low\", severity: 0.3),\n        Fault(part: \"1A1\", mode: \
         \"seal-leak\"),\n    ],\n    time_limit:",
    );
    let mut files = files();
    files.insert(NAME.to_owned(), text);
    struct Map<'a>(&'a BTreeMap<String, String>);
    impl Shelf for Map<'_> {
        fn text(&self, name: &str) -> Result<String, crate::scenario::Unread> {
            Ok(self.0[name].clone())
        }
    }
    let mut found = Diagnostics::new();
    let scenario = load(&Map(&files), NAME, &mut Sources::new(), &mut found);
    assert!(found.is_empty(), "{found:?}");
    let scenario = scenario.unwrap();
    assert_eq!(scenario.variants.len(), 5);
    let found = variants(&scenario, Some(0.25)).unwrap();
    let words: Vec<String> = found.list.iter().map(|v| v.fault.name()).collect();
    assert_eq!(words, ["1V1 open", "K1 never-closes 23-24"]);
    let left: Vec<&str> = found.left_out.iter().map(|(w, _)| w.as_str()).collect();
    assert_eq!(left.len(), 3, "{left:?}");
    // Wide enough, the one that is harder comes in; its severity goes with it.
    let wide = variants(&scenario, Some(2.0)).unwrap();
    let low = wide.list.iter().find(|v| v.fault.part == "RV1");
    assert!(low.is_none_or(|v| v.fault.severity == Some(0.3)));
    let secret = Secret::new(b"a secret of the fourth term").unwrap();
    let class = Class::new(secret.clone(), &["a".to_owned()], scenario.clone(), wide.list);
    let assigned = class.assigned(&secret.pseudonym("a")).unwrap();
    let kit = open(&class.kit(NAME, &files, &assigned)).unwrap();
    assert_eq!(kit.scenario.faults, [assigned.fault]);
    // The brief was written for the variants.
    assert_eq!(kit.scenario.brief, scenario.brief);
}
