//! The practice window where none can be opened: whoever asked is told what to do instead.

use std::path::Path;

use assert_cmd::Command;

use crate::commands::{Desk, PROGRAM, exit};

/// Without a display, with one that nobody serves, or in a build without the window.
#[test]
fn without_a_display_practise_points_to_the_console() {
    for display in [None, Some(":64999")] {
        let desk = Desk::new();
        let file = desk.path("pusher-dead-coil.scenario.ron");
        let mut practise = Command::new(PROGRAM);
        practise
            .args([Path::new("practise"), &file])
            .current_dir(file.parent().expect("a folder"))
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY");
        if let Some(display) = display {
            practise.env("DISPLAY", display);
        }
        let done = practise.output().expect("it runs");
        let told = String::from_utf8_lossy(&done.stderr);
        assert_eq!(done.status.code(), Some(i32::from(exit::NO_WINDOW)), "{told}");
        assert!(told.contains("spoolbench console"), "{told}");
        assert!(!told.contains("panicked"), "{told}");
        assert!(!desk.path("pusher-dead-coil.1.attempt.jsonl").exists(), "no attempt has begun");
    }
}
