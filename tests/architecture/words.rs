//! Words and sizes that do not belong in the sources.

use super::sources::{Source, sources};

fn everything() -> Vec<Source> {
    sources(&["app/src", "core/propose/src", "core/src", "tests"])
}

#[test]
fn nothing_is_left_unfinished_in_the_sources() {
    // put together here, so that this file does not hold them
    let words = [
        concat!("to", "do!"),
        concat!("unimple", "mented!"),
        concat!("db", "g!"),
        concat!("TO", "DO"),
        concat!("FIX", "ME"),
        concat!("XX", "X"),
        concat!("HA", "CK"),
    ];
    let mut wrong = Vec::new();
    for source in everything() {
        for (number, line) in source.text.lines().enumerate() {
            wrong.extend(
                words
                    .iter()
                    .filter(|w| line.contains(**w))
                    .map(|w| format!("{}:{}: {w}", source.path, number + 1)),
            );
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_file_is_longer_than_six_hundred_lines() {
    let wrong: Vec<String> = everything()
        .iter()
        .map(|s| (s.text.lines().count(), &s.path))
        .filter(|(lines, _)| *lines > 600)
        .map(|(lines, path)| format!("{path}: {lines} lines"))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_file_says_in_its_first_line_what_it_is_for() {
    let wrong: Vec<String> = everything()
        .iter()
        // unit tests beside their file are about that file
        .filter(|s| !s.is_in("tests/") && !s.is_test())
        .filter(|s| !s.text.starts_with("//!"))
        .map(|s| s.path.clone())
        .collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}

/// In the core, an error that is passed over or a number that is none ends in a wrong cut: no panics there.
#[test]
fn the_core_does_not_panic_by_hand() {
    let words = [".unwrap()", "panic!(", "unreachable!("];
    let mut wrong = Vec::new();
    for source in sources(&["core/propose/src", "core/src"]).iter().filter(|s| !s.is_test()) {
        let program = source.program();
        wrong.extend(words.iter().filter(|w| program.contains(**w)).map(|w| format!("{}: {w}", source.path)));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
