//! Who may know whom.

use super::sources::{Source, names_crate, sources};
use pipeloft_tests::shop::repository;
use std::collections::{BTreeMap, BTreeSet};

/// A module of the core.
struct Module {
    name: &'static str,
    /// The modules it uses: all of them stand before it in the table.
    uses: &'static [&'static str],
    /// What it must not know, in the words of its own first lines after "Knows no".
    knows_no: &'static str,
}

const fn module(name: &'static str, uses: &'static [&'static str], knows_no: &'static str) -> Module {
    Module { name, uses, knows_no }
}

/// The modules of the core, bottom first. Each uses only what stands before it, so there can be no ring; there are no
/// exceptions.
const MODULES: [Module; 15] = [
    module("disk", &[], "project and no scan"),
    module("geom", &[], "unit and no tube"),
    module("watch", &[], "project and no work of its own"),
    module("units", &[], "project and no tube"),
    module("measure", &["geom", "units"], "project"),
    module("model", &["geom", "units"], "file, no finding and no result"),
    module("space", &["disk", "geom", "model", "watch"], "route, no piece and no finding"),
    module("finding", &["model", "units"], "route, no piece and no gap"),
    module("fab", &["finding", "geom", "model", "units", "watch"], "edit, no file and no gap"),
    module("seat", &["fab", "geom", "model"], "edit and no file"),
    module("edit", &["fab", "finding", "geom", "model", "seat", "units"], "file, no gap and no report"),
    // sawn pieces of older files are found by the shape of the pieces
    module("file", &["disk", "fab", "finding", "model", "seat", "units"], "edit, no gap and no report"),
    // a stick that has been sawn is an edit that follows from the report
    module(
        "report",
        &["edit", "fab", "finding", "geom", "model", "space", "units", "watch"],
        "file, no page and no view",
    ),
    module("view3d", &["fab", "geom", "model", "report", "space"], "file, no edit and no page"),
    // the revision stamp is taken over the project as it is filed
    module("sheet", &["fab", "file", "finding", "geom", "model", "report", "units"], "edit"),
];

/// Modules of the crate that `text` names, from its root on or up through `super`, also those in braces. `depth` is how
/// many modules deep the text stands: 1 in `fab/mod.rs`.
fn used_modules(text: &str, depth: usize) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for root in ["crate::".to_owned(), "super::".repeat(depth)] {
        for (at, path) in text.match_indices(&root) {
            // the end of a longer word is another crate, `other_crate::x`; of a longer way up, the same place
            if !text[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
                out.append(&mut first_names(&text[at + path.len()..]));
            }
        }
    }
    out
}

/// The first name of a path, or of each path in braces.
fn first_names(rest: &str) -> BTreeSet<String> {
    let word = |text: &str| text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let Some(list) = rest.strip_prefix('{') else { return BTreeSet::from([word(rest)]) };
    let mut out = BTreeSet::new();
    let (mut depth, mut begins) = (0, true);
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
    out
}

/// The module a source of the core belongs to, and how many modules deep it stands.
fn place(source: &Source) -> (&str, usize) {
    let inner = source.path.trim_start_matches("core/src/").trim_end_matches(".rs").trim_end_matches("/mod");
    (inner.split('/').next().unwrap_or(inner), inner.split('/').count())
}

#[test]
fn modules_of_the_core_use_only_what_lies_below_them() {
    for (at, module) in MODULES.iter().enumerate() {
        let below: Vec<&str> = MODULES[..at].iter().map(|m| m.name).collect();
        for used in module.uses {
            assert!(below.contains(used), "{used} does not stand below {}", module.name);
        }
    }
    let mut used: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    let all = sources(&["core/src"]);
    for source in all.iter().filter(|s| !s.is_test() && s.path != "core/src/lib.rs") {
        let (module, depth) = place(source);
        let mut names = used_modules(&source.program(), depth);
        names.remove(module);
        used.entry(module).or_default().append(&mut names);
    }
    for module in &MODULES {
        let allowed: BTreeSet<String> = module.uses.iter().map(|&name| name.to_owned()).collect();
        let found = used.remove(module.name).unwrap_or_else(|| panic!("{} has no source", module.name));
        // what is allowed and not used would let something in unseen
        assert_eq!(found, allowed, "{}: what it uses, and what it may", module.name);
    }
    assert!(used.is_empty(), "modules without a place in the table: {:?}", used.keys());
}

/// A way from `name` back to itself along what modules use, or none. `done` holds those that no ring goes through.
fn ring<'a>(
    used: &'a BTreeMap<String, BTreeSet<String>>,
    name: &'a str,
    way: &mut Vec<&'a str>,
    done: &mut BTreeSet<&'a str>,
) -> bool {
    if let Some(at) = way.iter().position(|n| *n == name) {
        way.drain(..at);
        return true;
    }
    if done.contains(name) {
        return false;
    }
    way.push(name);
    for next in used.get(name).into_iter().flatten() {
        if ring(used, next, way, done) {
            return true;
        }
    }
    way.pop();
    done.insert(name);
    false
}

#[test]
fn modules_of_the_app_stand_in_no_ring() {
    let mut used: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let roots = ["app/src/lib.rs", "app/src/main.rs"];
    for source in sources(&["app/src"]).iter().filter(|s| !s.is_test() && !roots.contains(&s.path.as_str())) {
        let inner =
            source.path.trim_start_matches("app/src/").trim_end_matches(".rs").trim_end_matches("/mod");
        let module = inner.split('/').next().unwrap_or(inner).to_owned();
        let mut names = used_modules(&source.program(), inner.split('/').count());
        names.remove(&module);
        used.entry(module).or_default().append(&mut names);
    }
    assert!(used.len() > 20, "{:?}", used.keys());
    let mut done = BTreeSet::new();
    for name in used.keys() {
        let mut way = Vec::new();
        assert!(!ring(&used, name, &mut way, &mut done), "a ring: {}", way.join(" uses "));
    }
}

#[test]
fn a_ring_is_found_and_named() {
    let uses =
        |name: &str, other: &[&str]| (name.to_owned(), other.iter().map(|o| (*o).to_owned()).collect());
    let used = BTreeMap::from([uses("a", &["b"]), uses("b", &["c", "d"]), uses("c", &[]), uses("d", &["b"])]);
    let (mut way, mut done) = (Vec::new(), BTreeSet::new());
    assert!(ring(&used, "a", &mut way, &mut done));
    assert_eq!((way, done), (vec!["b", "d"], BTreeSet::from(["c"])));
}

#[test]
fn each_module_says_what_it_must_not_know() {
    let all = sources(&["core/src"]);
    for Module { name, knows_no, .. } in &MODULES {
        let root = [format!("core/src/{name}.rs"), format!("core/src/{name}/mod.rs")];
        let source =
            all.iter().find(|s| root.contains(&s.path)).unwrap_or_else(|| panic!("{name} has no root"));
        let lines = source.text.lines().map_while(|line| line.strip_prefix("//!"));
        let said = lines.map(str::trim).collect::<Vec<_>>().join(" ");
        assert!(said.contains(&format!("Knows no {knows_no}")), "{}: Knows no {knows_no}", source.path);
    }
}

#[test]
fn the_order_of_the_modules_is_the_one_that_contributors_read() {
    let text = std::fs::read_to_string(repository().join("DEVELOPERS.md")).unwrap();
    let table = text.split("### The modules of the core").nth(1).expect("the heading");
    let block = table.split("```").nth(1).expect("a block with one line a layer");
    let names: Vec<&str> = block
        .lines()
        .filter_map(|line| line.split_once("  ").map(|(names, _)| names))
        .flat_map(|names| names.split(", "))
        .collect();
    assert_eq!(names, MODULES.map(|m| m.name));
}

#[test]
fn the_core_knows_no_window() {
    let windows = ["eframe", "egui", "egui_extras", "three_d", "glow", "glutin", "rfd", "winit"];
    let mut wrong = Vec::new();
    for source in sources(&["core/propose/src", "core/src"]) {
        for name in windows.iter().filter(|name| names_crate(&source.program(), name)) {
            wrong.push(format!("{} names {name}", source.path));
        }
    }
    for path in ["core/Cargo.toml", "core/propose/Cargo.toml"] {
        let manifest = std::fs::read_to_string(repository().join(path)).unwrap();
        for line in manifest.lines() {
            let name = line.split(['.', ' ', '=']).next().unwrap_or_default().replace('-', "_");
            if windows.contains(&name.as_str()) {
                wrong.push(format!("{path}: {line}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Crates that have one place in the app, and the place.
const ONE_PLACE: [(&str, &str); 2] = [("three_d", "app/src/viewport/gl/"), ("rfd", "app/src/platform/")];

#[test]
fn crates_that_draw_and_ask_for_files_stay_in_their_place() {
    let all = sources(&["app/src", "core/propose/src", "core/src"]);
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
fn imports_are_read_plain_in_braces_and_upwards() {
    let read = |text: &str| used_modules(text, 2).into_iter().collect::<Vec<_>>();
    assert_eq!(read("use crate::geom::Frame;"), ["geom"]);
    assert_eq!(read("use crate::{fab::{Built, Cut}, model::Run,\n units};"), ["fab", "model", "units"]);
    assert_eq!(read("let x = crate::file::FORMAT;"), ["file"]);
    assert_eq!(read("use super::super::{file, sheet::Page};"), ["file", "sheet"]);
    assert!(read("use super::Route;").is_empty());
    assert!(read("use other_crate::geom;").is_empty());
}
