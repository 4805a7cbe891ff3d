//! The author's guide: the stored one is the generated one, and its tutorial works as written.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use spoolbench::diagnostic::Code;
use spoolbench::fault::Script;
use spoolbench::session::Tool;

const PROGRAM: &str = env!("CARGO_BIN_EXE_spoolbench");

fn stored() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/guide.md");
    fs::read_to_string(path).expect("docs/guide.md")
}

/// The fenced blocks of a markdown text: what stands behind the opening fence, and the content.
fn blocks(text: &str) -> Vec<(String, String)> {
    let mut blocks = Vec::new();
    let mut open: Option<(String, String)> = None;
    for line in text.lines() {
        match (line.strip_prefix("```"), &mut open) {
            (Some(""), Some(_)) => blocks.extend(open.take()),
            (Some(info), None) => open = Some((info.to_owned(), String::new())),
            (_, Some((_, content))) => {
                content.push_str(line);
                content.push('\n');
            }
            (_, None) => {}
        }
    }
    assert!(open.is_none(), "a fence is never closed");
    blocks
}

#[test]
fn the_stored_guide_is_the_generated_one() {
    let out = Command::new(PROGRAM).arg("guide").output().expect("spoolbench guide");
    let generated = String::from_utf8(out.stdout).expect("text");
    let stored = stored();
    if stored != generated {
        let line = stored.lines().zip(generated.lines()).take_while(|(a, b)| a == b).count() + 1;
        panic!(
            "docs/guide.md is not what the program prints, from line {line} on.\n\
             Write it anew: cargo run -- guide > docs/guide.md"
        );
    }
}

#[test]
fn the_stored_table_of_components_is_the_generated_one() {
    let out = Command::new(PROGRAM).args(["guide", "--components"]).output().expect("spoolbench");
    let generated = String::from_utf8(out.stdout).expect("text");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/components.md");
    let stored = fs::read_to_string(path).expect("docs/components.md");
    assert!(
        stored == generated,
        "write it anew: cargo run -- guide --components > docs/components.md"
    );
}

/// The checks that the table names are tests that exist.
#[test]
fn every_check_of_the_table_is_a_test() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    let stored = fs::read_to_string(folder.join("docs/components.md")).expect("the table");
    let mut seen = 0;
    for word in stored.split('`').filter(|w| w.contains("::")) {
        let (module, name) = word.split_once("::").expect("two parts");
        let text = fs::read_to_string(folder.join(format!("tests/it/{module}.rs"))).expect(word);
        assert!(text.contains(&format!("fn {name}()")), "{word}");
        seen += 1;
    }
    assert!(seen > 50, "{seen}");
}

#[test]
fn the_guide_names_every_tool_and_every_code() {
    let text = stored();
    for tool in Tool::ALL {
        assert!(text.contains(&format!("| `\"{}\"` |", tool.word())), "{tool:?}");
        // What a scenario may list is what an attempt calls it.
        assert_eq!(serde_json::to_string(&tool).expect("json"), format!("\"{}\"", tool.word()));
    }
    for code in Code::all() {
        assert!(text.contains(&format!("| {code} | {} |", code.title())), "{code}");
    }
}

#[test]
fn the_script_of_the_guide_is_read() {
    let blocks = blocks(&stored());
    let scripts: Vec<_> = blocks.iter().filter(|(info, _)| info.starts_with("rhai")).collect();
    assert!(!scripts.is_empty());
    for (_, text) in scripts {
        if let Err(problem) = Script::new("guide", text) {
            panic!("{problem}");
        }
    }
}

/// Every file of the tutorial is written, every command run, in their order.
#[test]
fn the_tutorial_works_as_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = Path::new(PROGRAM).parent().expect("a folder");
    let path = format!("{}:{}", path.display(), std::env::var("PATH").unwrap_or_default());
    let text = stored();
    let tutorial = text.split("\n## A bench file").next().expect("a tutorial");
    let mut said = BTreeMap::new();
    for (info, content) in blocks(tutorial) {
        if let Some(name) = info.split_whitespace().nth(1).filter(|word| word.contains('.')) {
            fs::write(folder.path().join(name), content).expect("written");
        } else if info == "sh" {
            for line in content.lines() {
                let out = Command::new("sh")
                    .args(["-c", line])
                    .env("PATH", &path)
                    .current_dir(folder.path())
                    .output()
                    .expect("sh");
                let stdout = String::from_utf8_lossy(&out.stdout).into_owned();
                let stderr = String::from_utf8_lossy(&out.stderr).into_owned();
                assert!(out.status.success(), "{line}\n{stdout}\n{stderr}");
                assert_eq!(stderr, "", "{line}");
                said.insert(line.to_owned(), stdout);
            }
        } else if info == "text typo" {
            let file = folder.path().join("first.bench.ron");
            let sound = fs::read_to_string(&file).expect("the bench");
            assert_eq!(sound.matches("K1:A1-A2").count(), 1);
            fs::write(&file, sound.replace("K1:A1-A2", "K9:A1-A2")).expect("written");
            let out = Command::new(PROGRAM)
                .args(["check", "--short", "first.bench.ron"])
                .current_dir(folder.path())
                .output()
                .expect("check");
            assert_eq!(String::from_utf8_lossy(&out.stderr), content);
            fs::write(&file, sound).expect("written");
        } else {
            panic!("the tutorial holds a block that nobody tries: {info}");
        }
    }
    let of = |start: &str| {
        let found = said.iter().find(|(line, _)| line.starts_with(start));
        found.unwrap_or_else(|| panic!("no {start}")).1.clone()
    };
    assert!(of("spoolbench check first.bench.ron").contains("no problems"));
    assert!(
        of("spoolbench run first.bench.ron --actions first.actions").contains("1A1 is extended")
    );
    for grade in ["first.scenario.ron mine", "second.scenario.ron second"] {
        let said = of(&format!("spoolbench grade {grade}"));
        assert!(said.contains("COMPETENT") && !said.contains("NOT YET"), "{said}");
    }
    assert!(of("spoolbench assign").contains("3 kits in kits"));
    assert_eq!(
        of("spoolbench grade first.scenario.ron handed-in").matches("safety gate").count(),
        3
    );
    assert!(of("spoolbench merge").starts_with("2 attempts: 2 competent"));
    let csv = fs::read_to_string(folder.path().join("first.csv")).expect("first.csv");
    assert!(csv.starts_with("t [s],p:MP2 [bar],s:1A1 [mm]\n"), "{}", &csv[..80]);
}

/// What the catalogue offers can be seen at work: every class stands on a shipped bench.
#[test]
fn every_class_stands_on_a_shipped_bench() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios");
    let mut seen = std::collections::BTreeSet::new();
    for entry in std::fs::read_dir(folder).expect("scenarios").flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.ends_with(".bench.ron") {
            seen.extend(super::machines::load(&name).parts.iter().map(|p| p.class));
        }
    }
    let missing: Vec<&str> =
        spoolbench::bench::classes().map(|c| c.name).filter(|c| !seen.contains(c)).collect();
    assert!(missing.is_empty(), "on no bench: {missing:?}");
}
