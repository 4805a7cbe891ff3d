//! The house rules: one-way imports in the order of the map, no window below the window, no names
//! of things that do not belong here, every file opens with its duty, every message is there.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use spoolbench::language::{Language, Words};

/// The modules in the order of the map: each may use only those before it.
const ORDER: &[&str] = &[
    "base",
    "quantity",
    "language",
    "diagnostic",
    "kernel",
    "electric",
    "fluid",
    "shift",
    "plc",
    "plant",
    "bench",
    "fault",
    "session",
    "diagnosis",
    "scenario",
    "class",
    "grade",
    "drawing",
    "report",
    "view",
    "cli",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    let Ok(entries) = fs::read_dir(folder) else { return files };
    for entry in entries.flatten() {
        let path = entry.path();
        if path.is_dir() {
            files.extend(rust_files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}

/// The code of a file without its tests and doc comments.
fn code(text: &str) -> String {
    let body = text.split("#[cfg(test)]\nmod tests").next().unwrap_or("");
    body.lines()
        .filter(|l| {
            let l = l.trim_start();
            !l.starts_with("//")
        })
        .collect::<Vec<_>>()
        .join("\n")
}

#[test]
fn a_module_uses_only_modules_above_it() {
    let mut wrong = Vec::new();
    for (rank, module) in ORDER.iter().enumerate() {
        for file in rust_files(&root().join("src").join(module)) {
            let text = code(&fs::read_to_string(&file).expect("a source file"));
            for below in &ORDER[rank + 1..] {
                if text.contains(&format!("crate::{below}")) {
                    wrong.push(format!("{} uses {below}", file.display()));
                }
            }
            if *module != "view" && text.contains("bevy") {
                wrong.push(format!("{} names the window's library", file.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_module_is_on_the_map() {
    for entry in fs::read_dir(root().join("src")).expect("src").flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let known =
            ["lib.rs", "main.rs"].contains(&name.as_str()) || ORDER.contains(&name.as_str());
        assert!(known, "src/{name} is not on the map in tests/it/tidy.rs");
    }
}

#[test]
fn every_file_opens_with_its_duty() {
    for folder in ["src", "tests", "benches"] {
        for file in rust_files(&root().join(folder)) {
            let text = fs::read_to_string(&file).expect("a source file");
            assert!(text.starts_with("//!"), "{} does not say what it is for", file.display());
        }
    }
}

#[test]
fn main_only_parses_and_dispatches() {
    let text = fs::read_to_string(root().join("src/main.rs")).expect("main.rs");
    assert!(text.lines().count() <= 30);
}

/// Bevy itself is named in one file only: everything else can be tested without a window.
#[test]
fn one_file_opens_the_window() {
    for file in rust_files(&root().join("src")) {
        let text = code(&fs::read_to_string(&file).expect("a source file"));
        let named = text.replace("bevy_egui", "").contains("bevy");
        assert!(!named || file.ends_with("view/window.rs"), "{} names Bevy", file.display());
    }
}

/// The default build has no window in it.
#[test]
fn the_default_dependency_tree_has_no_window() {
    let out = Command::new(env!("CARGO"))
        .args(["tree", "--edges", "normal", "--prefix", "none", "--offline"])
        .current_dir(root())
        .output()
        .expect("cargo tree");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let tree = String::from_utf8_lossy(&out.stdout);
    assert!(tree.contains("spoolbench"));
    for name in ["bevy", "winit", "wgpu", "egui"] {
        assert!(!tree.lines().any(|l| l.starts_with(name)), "{name} is in the default tree");
    }
}

/// What stands in quotes right behind each `call` in `text`.
fn quoted<'a>(text: &'a str, call: &str) -> impl Iterator<Item = &'a str> {
    let rests = text.match_indices(call).map(move |(at, _)| text[at + call.len()..].trim_start());
    rests.filter_map(|rest| rest.strip_prefix('"')?.split('"').next())
}

/// A name misspelt in the code would show itself in brackets to whoever meets it first.
#[test]
fn every_message_named_in_the_code_is_in_the_catalogues() {
    let words = Words::of(Language::English);
    let (mut seen, mut missing) = (0, Vec::new());
    for file in rust_files(&root().join("src")) {
        let text = code(&fs::read_to_string(&file).expect("a source file"));
        let calls = ["Phrase::new(", "words.say(", "reader.say(", "reader.fill("];
        let named = calls.into_iter().flat_map(|call| quoted(&text, call)).map(str::to_owned);
        // What there is too much of: in the room of analyses its plain name.
        let counts = ["within(", "limit(", "TooLarge {\n                what: "];
        let here = file.components().any(|part| part.as_os_str() == "diagnosis");
        let counted = counts.into_iter().filter(|_| here).flat_map(|call| quoted(&text, call));
        let counted: Vec<String> =
            counted.map(|what| format!("many-{}", what.replace(' ', "-"))).collect();
        for id in named.chain(counted) {
            seen += 1;
            if !words.has(&id) {
                missing.push(format!("{}: {id}", file.display()));
            }
        }
    }
    assert!(seen > 800, "{seen}");
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}
