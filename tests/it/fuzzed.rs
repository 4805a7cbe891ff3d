//! A smoke of the fuzz targets: the same entries, a few hundred inputs each, on every test run.

use proptest::prelude::*;
use spoolbench::base::Stream;
use spoolbench::scenario::{Shelf, Shipped};

use super::entries::ENTRIES;
use super::hostile::mutilate;

/// What the entries read without a shipped file that is like it.
const OTHERS: [(&str, &str); 5] = [
    ("quantity", "-12.5 L/min"),
    (
        "attempt",
        "{\"format\":\"spoolbench attempt\",\"version\":1,\"scenario\":\"x\",\"seed\":1,\"learner\":\"l\",\
         \"engine\":\"0\"}\n{\"at\":0,\"do\":{\"verb\":\"press\",\"part\":\"S4\"}}\n{\"at\":2000000000,\
         \"do\":{\"verb\":\"volts\",\"red\":\"K1:A1\",\"black\":\"K1:A2\"}}\n{\"at\":3000000000,\"do\":\
         {\"verb\":\"hand_back\"}}\n",
    ),
    (
        "drill",
        "Drill(format: 1, questions: [Question(ask: \"?\", bench: \"pusher.bench.ron\", prove: [\"press S4\", \
         \"wait 1 s\"], choices: [Choice(say: \"a\", when: [\"H1 lit\"]), Choice(say: \"b\", when: [\"never H1 lit\"\
         ])])])",
    ),
    ("roster", "\u{feff}id,name\r\n17,\"Doe, J\"\r\n18,Roe\r\n"),
    (
        "kit",
        "{\"format\":\"spoolbench kit\",\"version\":1,\"learner\":\"p1\",\"title\":\"t\",\"salt\":\"00\",\
         \"nonce\":\"000000000000000000000000000000000000000000000000\",\"sealed\":\"AAAA\"}\n",
    ),
];

/// Texts that are what the entry reads.
fn seeds(name: &str, ending: &str) -> Vec<String> {
    let other = OTHERS.iter().filter(|(n, _)| *n == name).map(|(_, text)| (*text).to_owned());
    let shipped = Shipped::names().filter(|file| !ending.is_empty() && file.ends_with(ending));
    let shipped = shipped.map(|file| Shipped.text(file).expect("a shipped file"));
    other.chain(shipped).collect()
}

#[test]
fn mutilated_texts_pass_every_entry() {
    for (name, entry, ending) in ENTRIES {
        let seeds = seeds(name, ending);
        assert!(!seeds.is_empty(), "{name}");
        let mut rng = Stream::new(22, name, "mutations");
        for round in 0..150 {
            let text = &seeds[round % seeds.len()];
            entry(text.as_bytes());
            entry(&mutilate(text, &mut rng));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_pass_every_entry(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        for (_, entry, _) in ENTRIES {
            entry(&bytes);
        }
    }

    /// Texts of the marks that mean something somewhere.
    #[test]
    fn any_marks_pass_every_entry(
        words in proptest::collection::vec(
            prop_oneof![
                Just("("), Just(")"), Just("{"), Just("}"), Just("["), Just("]"), Just("\""),
                Just(":"), Just(","), Just("\n"), Just("id"), Just("="), Just(";"), Just("1e999"),
                Just("-0"), Just("bar"), Just(" "), Just("Bench"), Just("parts"), Just("\u{0}"),
                Just("IF"), Just("fn setup(bench) {"), Just("//"), Just("\\u"), Just("é"),
            ],
            0..120,
        ),
    ) {
        let text = words.concat();
        for (_, entry, _) in ENTRIES {
            entry(text.as_bytes());
        }
    }
}
