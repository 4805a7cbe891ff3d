//! Value change dumps, read back by an independent parser.

use std::process::Command;

use assert_cmd::prelude::*;

fn dump(name: &str, actions: &str) -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a folder");
    let (list, file) = (folder.path().join("list"), folder.path().join("run.vcd"));
    std::fs::write(&list, actions).expect("a list");
    Command::cargo_bin("spoolbench")
        .expect("the program")
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["run", &format!("scenarios/{name}.bench.ron"), "--actions"])
        .arg(&list)
        .arg("--vcd")
        .arg(&file)
        .assert()
        .success();
    std::fs::read(&file).expect("a dump")
}

const PUSH: &str = "press S4\nwait 2 s\npress S1\nwait 4 s\n";

#[test]
fn an_independent_parser_reads_what_happened() {
    let bytes = dump("pusher", PUSH);
    let mut waves =
        wellen::simple::read_from_reader(std::io::Cursor::new(bytes)).expect("a sound dump");
    let times = waves.time_table().to_vec();
    assert!(times.windows(2).all(|pair| pair[0] < pair[1]), "strictly increasing");
    let scale = waves.hierarchy().timescale().expect("a timescale");
    assert_eq!((scale.factor, scale.unit), (1, wellen::TimescaleUnit::NanoSeconds));
    let var = |waves: &wellen::simple::Waveform, scope: &str, name: &str| {
        let hierarchy = waves.hierarchy();
        let at = hierarchy.lookup_var(&["bench", scope], name);
        hierarchy[at.unwrap_or_else(|| panic!("no {name} in {scope}"))].signal_ref()
    };
    let (relay, pressure, rod) = (
        var(&waves, "control", "relay_K1"),
        var(&waves, "power", "bar_MP1"),
        var(&waves, "power", "mm_1A1"),
    );
    waves.load_signals(&[relay, pressure, rod]);
    let relay = waves.get_signal(relay).expect("a signal");
    let picked: Vec<u64> = relay
        .iter_changes()
        .filter(|(_, v)| v.to_bit_string().as_deref() == Some("1"))
        .map(|(t, _)| times[t as usize])
        .collect();
    // S1 is pressed at 3 s; a relay takes milliseconds.
    assert_eq!(picked.len(), 1);
    assert!((3_000_000_000..3_100_000_000).contains(&picked[0]), "{picked:?}");
    let reals = |signal| -> Vec<f64> {
        let signal: &wellen::Signal = waves.get_signal(signal).expect("a signal");
        signal
            .iter_changes()
            .filter_map(|(_, v)| match v {
                wellen::SignalValueRef::Real(r) => Some(r),
                _ => None,
            })
            .collect()
    };
    let highest = |list: Vec<f64>| list.into_iter().fold(0.0, f64::max);
    assert!((60.0..80.0).contains(&highest(reals(pressure))));
    assert!(highest(reals(rod)) > 100.0);
}

#[test]
fn the_same_run_gives_the_same_dump() {
    assert_eq!(dump("pusher", PUSH), dump("pusher", PUSH));
}
