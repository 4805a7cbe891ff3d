//! What a journal may hold, and that it makes the same session again.

use super::super::{
    Attempt, Entry, Header, JournalKind, JournalWriter, ReplayError, SessionLog, read_beginning,
    read_journal, replay,
};
use super::*;
use proptest::prelude::*;

const LINES: [&str; 12] = [
    "hold S1",
    "wait 500 ms",
    "volts K1:A1 K1:A2",
    "clamp H1",
    "release S1",
    "turn S4 on",
    "wait 12345678 ns",
    "gauge MP2 160 bar",
    "override 1V1 a push",
    "look 1A1",
    "note reads \"70\" – fine",
    "hand back",
];

/// A live attempt with idle time between its actions: the file and the log.
fn live() -> (Vec<u8>, SessionLog) {
    let plant = Plant::new(bench(), 7);
    let mut s = Session::new(Rig::sound(plant), SessionConfig::default());
    let mut file = Vec::new();
    let mut writer = JournalWriter::new(&mut file, &Header::new("abc", 7, "p-17")).unwrap();
    for (k, line) in LINES.iter().enumerate() {
        let at = s.now() + SimTime::from_millis(137 * k as u64);
        let action = parse(line).unwrap();
        s.act_at(at, action.clone()).unwrap();
        writer.record(&Entry { at: at.as_nanos(), action }).unwrap();
    }
    (file, s.into_log())
}

fn read(bytes: &[u8]) -> Result<Attempt, Vec<(usize, JournalKind)>> {
    read_journal(bytes, &SessionConfig::default())
        .map_err(|errors| errors.into_iter().map(|e| (e.line, e.kind)).collect())
}

#[test]
fn a_replay_is_the_same_session() {
    let (file, log) = live();
    let attempt = read(&file).unwrap();
    assert_eq!(attempt.torn, None);
    assert_eq!(attempt.entries.len(), LINES.len());
    let again =
        replay(Rig::sound(Plant::new(bench(), 7)), SessionConfig::default(), &attempt).unwrap();
    assert_eq!(again.into_log(), log);
    assert!(log.entries.iter().any(|e| !e.outcome.readings.is_empty()));
    assert_eq!(log.digest.len(), 64);
}

#[test]
fn a_replay_refuses_what_no_session_wrote() {
    let (file, _) = live();
    let attempt = read(&file).unwrap();
    let again = |seed, change: &dyn Fn(&mut Attempt)| {
        let mut attempt = attempt.clone();
        change(&mut attempt);
        let rig = Rig::sound(Plant::new(bench(), seed));
        replay(rig, SessionConfig::default(), &attempt).map(Session::into_log)
    };
    assert_eq!(again(8, &|_| {}), Err(ReplayError::OtherSeed { attempt: 7, rig: 8 }));
    let early = again(7, &|a| a.entries[3].at = a.entries[2].at);
    assert!(matches!(early, Err(ReplayError::Action { index: 3, .. })));
    let after = again(7, &|a| {
        let mut extra = a.entries[0].clone();
        extra.at = 1_000_000_000_000;
        a.entries.push(extra);
    });
    assert!(matches!(after, Err(ReplayError::Action { index: 12, .. })));
}

#[test]
fn one_torn_last_line_is_left_out() {
    let (file, _) = live();
    let whole = read(&file).unwrap();
    let last = file[..file.len() - 1].iter().rposition(|b| *b == b'\n').unwrap() + 1;
    for cut in last + 1..file.len() - 1 {
        let attempt = read(&file[..cut]).unwrap();
        assert_eq!(attempt.entries, whole.entries[..LINES.len() - 1]);
        let torn = attempt.torn.unwrap();
        assert_eq!((torn.line, torn.bytes), (LINES.len() + 1, cut - last));
    }
    // Only its line feed is missing: the entry is whole.
    assert_eq!(read(&file[..file.len() - 1]).unwrap(), whole);
    // Cut inside a character of the note above.
    let dash = file.windows(3).position(|w| w == "–".as_bytes()).unwrap();
    assert!(read(&file[..dash + 1]).unwrap().torn.is_some());
    // A torn line in the middle is an error, and so is a torn header.
    let mut middle = file[..last - 5].to_vec();
    middle.push(b'\n');
    middle.extend(&file[last..]);
    assert_eq!(read(&middle), Err(vec![(LINES.len(), JournalKind::NotJson)]));
    assert_eq!(read(&file[..20]), Err(vec![(1, JournalKind::NotJson)]));
}

#[test]
fn hostile_lines_are_all_reported() {
    let header = serde_json::to_string(&Header::new("abc", 7, "p")).unwrap();
    let with = |lines: &[&str]| {
        let mut file = format!("{header}\n");
        for line in lines {
            file.push_str(line);
            file.push('\n');
        }
        read(file.as_bytes())
    };
    let good = r#"{"at":5,"do":{"verb":"press","part":"S1"}}"#;
    assert!(with(&[good, good]).is_ok());
    let deep = "[".repeat(10_000);
    let long = format!(r#"{{"at":5,"do":{{"verb":"note","text":"{}"}}}}"#, "x".repeat(20_000));
    let cases: [(&str, JournalKind); 17] = [
        (r#"{"at":5,"do":{"verb":"fly","part":"S1"}}"#, JournalKind::UnknownAction),
        (r#"{"at":5,"do":{"verb":"press","part":"S1","x":1}}"#, JournalKind::UnknownField),
        (r#"{"at":5,"do":{"verb":"hand_back","x":1}}"#, JournalKind::UnknownField),
        (r#"{"at":5,"do":{"verb":"prove","part":"S1"}}"#, JournalKind::UnknownField),
        (r#"{"at":5,"reading":3,"do":{"verb":"prove"}}"#, JournalKind::UnknownField),
        (r#"{"at":5,"at":6,"do":{"verb":"prove"}}"#, JournalKind::DuplicateField),
        (r#"{"at":5,"do":{"verb":"press","part":"S1","part":"S2"}}"#, JournalKind::DuplicateField),
        (
            r#"{"at":5,"do":{"verb":"press","verb":"hold","part":"S1"}}"#,
            JournalKind::DuplicateField,
        ),
        (r#"{"at":5,"do":{"verb":"press"}}"#, JournalKind::BadField),
        (r#"{"at":5.5,"do":{"verb":"prove"}}"#, JournalKind::BadField),
        (r#"{"at":-5,"do":{"verb":"prove"}}"#, JournalKind::BadField),
        (r#"{"at":5,"do":{"verb":"wait","ns":1e30}}"#, JournalKind::BadField),
        (r#"{"at":5,"do":{"verb":"prove"}} {}"#, JournalKind::NotJson),
        ("", JournalKind::NotJson),
        (r#"{"at":99999999999999999,"do":{"verb":"prove"}}"#, JournalKind::TooLate),
        (&deep, JournalKind::BadField),
        (&long, JournalKind::TooLong),
    ];
    for (line, kind) in cases {
        let found = with(&[good, line, good]);
        assert_eq!(found, Err(vec![(3, kind)]), "{}", &line[..line.len().min(70)]);
    }
    // All at once, in order.
    let all: Vec<&str> = cases.iter().map(|c| c.0).collect();
    let found = with(&all).unwrap_err();
    assert_eq!(found.len(), cases.len());
    assert_eq!(
        with(&[r#"{"at":6,"do":{"verb":"prove"}}"#, good]),
        Err(vec![(3, JournalKind::OutOfOrder)])
    );
    assert_eq!(with(&vec![""; 5000]).unwrap_err().len(), 100);
}

#[test]
fn headers_and_sizes() {
    let header = |change: &dyn Fn(&mut Header)| {
        let mut h = Header::new("abc", 7, "p");
        change(&mut h);
        read(format!("{}\n", serde_json::to_string(&h).unwrap()).as_bytes())
    };
    assert!(header(&|_| {}).is_ok());
    assert_eq!(header(&|h| h.version = 2), Err(vec![(1, JournalKind::OtherVersion)]));
    assert_eq!(header(&|h| h.format.clear()), Err(vec![(1, JournalKind::OtherVersion)]));
    assert_eq!(read(b""), Err(vec![(1, JournalKind::Empty)]));
    assert_eq!(read(b"{}\n"), Err(vec![(1, JournalKind::NoHeader)]));
    assert_eq!(read(b"\xff\n"), Err(vec![(1, JournalKind::NotText)]));
    let few = SessionConfig { action_limit: 2, ..SessionConfig::default() };
    let (file, _) = live();
    let errors = read_journal(&file, &few).unwrap_err();
    assert!(errors.iter().all(|e| e.kind == JournalKind::TooMany) && errors.len() == 10);
    assert!(errors[0].to_string().starts_with("line 4, column 1: "));
}

#[test]
fn a_beginning_tells_who_and_what_without_the_rest() {
    let (file, _) = live();
    let (header, actions) = read_beginning(&file).unwrap();
    let all = read_journal(&file, &SessionConfig::default()).unwrap();
    assert_eq!(header, all.header);
    assert!(actions.iter().eq(all.entries.iter().map(|entry| &entry.action)));
    // Cut in the middle of a line, and with a line of rubbish.
    let (_, fewer) = read_beginning(&file[..file.len() / 2]).unwrap();
    assert!(!fewer.is_empty() && fewer.len() < actions.len() && actions.starts_with(&fewer));
    let mut rubbish = file.clone();
    rubbish.extend_from_slice(b"\xff{\n");
    assert_eq!(read_beginning(&rubbish).unwrap().1, actions);
    assert!(read_beginning(b"no header\n").is_none());
}

proptest! {
    #[test]
    fn any_bytes_are_answered(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        let _ = read(&bytes);
    }

    #[test]
    fn any_line_is_answered(line in "\\PC{0,80}") {
        let header = serde_json::to_string(&Header::new("abc", 7, "p")).unwrap();
        let _ = read(format!("{header}\n{line}\n{line}").as_bytes());
    }
}
