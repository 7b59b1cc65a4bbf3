//! Who may know whom.

use super::sources::{names_crate, sources};
use pipeloft_tests::shop::repository;
use std::collections::BTreeSet;

/// Modules of the core and those each may use, bottom first. What is not named here is not allowed.
///
/// Exceptions to "only what lies below": `units` and `model` know each other, `units` for the unit system chosen
/// and `model` to say names and limits in that unit; `model` takes `finding` for limits and `file` for the number of
/// the format; `finding` sits beside `model` and is shared by all above.
const MAY_USE: [(&str, &[&str]); 12] = [
    ("geom", &[]),
    ("units", &["model"]),
    ("measure", &["geom", "units"]),
    ("model", &["geom", "units", "finding", "file"]),
    ("finding", &["model", "units"]),
    ("fab", &["geom", "units", "model", "finding"]),
    ("edit", &["geom", "units", "model", "finding", "fab"]),
    ("space", &["geom", "model"]),
    // a stick that has been sawn is an edit that follows from the report
    ("report", &["geom", "units", "model", "finding", "fab", "edit", "space"]),
    ("view3d", &["geom", "units", "model", "finding", "fab", "space", "report"]),
    ("file", &["model", "finding", "fab", "edit"]),
    // the revision stamp is taken over the project as it is filed
    ("sheet", &["geom", "units", "model", "finding", "fab", "report", "view3d", "file"]),
];

/// Names right after `crate::` in `text`, also those in braces.
fn used_modules(text: &str) -> BTreeSet<String> {
    let word = |text: &str| text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let mut out = BTreeSet::new();
    for (at, path) in text.match_indices("crate::") {
        // the end of a longer word is another crate: `other_crate::x`
        if text[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let rest = &text[at + path.len()..];
        let Some(list) = rest.strip_prefix('{') else {
            out.insert(word(rest));
            continue;
        };
        let mut depth = 0;
        let mut begins = true;
        for (i, c) in list.char_indices() {
            match c {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => begins = true,
                c if c.is_whitespace() => {}
                _ if begins => {
                    out.insert(word(&list[i..]));
                    begins = false;
                }
                _ => {}
            }
        }
    }
    out
}

#[test]
fn modules_of_the_core_use_only_what_lies_below_them() {
    let mut wrong = Vec::new();
    let mut checked = 0;
    for source in sources(&["core/src"]).iter().filter(|s| !s.is_test()) {
        let inner = source.path.trim_start_matches("core/src/");
        let module = inner.split('/').next().unwrap_or(inner).trim_end_matches(".rs");
        if module == "lib" {
            continue;
        }
        let Some((_, allowed)) = MAY_USE.iter().find(|(name, _)| *name == module) else {
            wrong.push(format!("{}: module {module} has no place in the table", source.path));
            continue;
        };
        for used in used_modules(&source.program()) {
            checked += 1;
            if used != module && !allowed.contains(&used.as_str()) {
                wrong.push(format!("{} uses {used}", source.path));
            }
        }
    }
    assert!(checked > 20, "only {checked} uses were found");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_core_knows_no_window() {
    let windows = ["eframe", "egui", "egui_extras", "three_d", "glow", "glutin", "rfd", "winit"];
    let mut wrong = Vec::new();
    for source in sources(&["core/src"]) {
        for name in windows.iter().filter(|name| names_crate(&source.program(), name)) {
            wrong.push(format!("{} names {name}", source.path));
        }
    }
    let manifest = std::fs::read_to_string(repository().join("core/Cargo.toml")).unwrap();
    for line in manifest.lines() {
        let name = line.split(['.', ' ', '=']).next().unwrap_or_default().replace('-', "_");
        if windows.contains(&name.as_str()) {
            wrong.push(format!("core/Cargo.toml: {line}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Crates that have one place in the app, and the place.
const ONE_PLACE: [(&str, &str); 2] = [("three_d", "app/src/viewport/gl/"), ("rfd", "app/src/platform/")];

#[test]
fn crates_that_draw_and_ask_for_files_stay_in_their_place() {
    let all = sources(&["app/src", "core/src"]);
    for (name, place) in ONE_PLACE {
        let wrong: Vec<&str> = all
            .iter()
            .filter(|s| !s.is_in(place) && !s.is_test() && names_crate(&s.program(), name))
            .map(|s| s.path.as_str())
            .collect();
        assert!(wrong.is_empty(), "{name} outside {place}: {wrong:?}");
    }
}

#[test]
fn colours_are_made_up_in_the_theme_only() {
    let makers = ["from_rgb(", "from_rgba_premultiplied(", "from_rgba_unmultiplied(", "from_hex("];
    let wrong: Vec<String> = sources(&["app/src"])
        .iter()
        .filter(|s| !s.is_in("app/src/theme/") && !s.is_test())
        .filter(|s| makers.iter().any(|m| s.program().contains(&format!("Color32::{m}"))))
        .map(|s| s.path.clone())
        .collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}

#[test]
fn imports_are_read_plain_and_in_braces() {
    let read = |text: &str| used_modules(text).into_iter().collect::<Vec<_>>();
    assert_eq!(read("use crate::geom::Frame;"), ["geom"]);
    assert_eq!(read("use crate::{fab::{Built, Cut}, model::Run,\n units};"), ["fab", "model", "units"]);
    assert_eq!(read("let x = crate::file::FORMAT;"), ["file"]);
    assert!(read("use other_crate::geom;").is_empty());
}
