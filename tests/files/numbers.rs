//! Every number of a project in turn made into one that is none: a file with such a number is refused with its name.

use super::everything;
use pipeloft_core::file;
use pipeloft_core::model::Project;
use pipeloft_tests::shop::repository;
use std::collections::BTreeSet;
use std::path::Path;

/// A number in the text of a project.
struct Number {
    from: usize,
    to: usize,
    /// The field it stands in, and where in it: `position_mm`, 1 for Y.
    field: String,
    place: usize,
    /// The field round that one.
    outer: String,
}

/// The numbers with a decimal point in the text of a project: those that are read as such, not as counts or ids.
fn numbers(text: &str) -> Vec<Number> {
    let bytes = text.as_bytes();
    let (mut out, mut open) = (Vec::new(), Vec::<String>::new());
    let (mut field, mut place, mut at) = (String::new(), 0, 0);
    let word = |c: u8| c.is_ascii_alphanumeric() || matches!(c, b'_' | b'.' | b'-');
    while at < bytes.len() {
        match bytes[at] {
            b'"' => {
                at += 1 + text[at + 1..].find('"').expect("texts in it have no quotes inside");
            }
            b'(' | b'[' => open.push(field.clone()),
            b')' | b']' => field = open.pop().unwrap_or_default(),
            b',' => place += 1,
            c if word(c) => {
                let to = (at..bytes.len()).find(|i| !word(bytes[*i])).unwrap_or(bytes.len());
                let found = &text[at..to];
                if bytes.get(to) == Some(&b':') {
                    (field, place) = (found.to_owned(), 0);
                } else if found.contains('.') {
                    let outer = open.iter().rev().find(|o| **o != field).cloned().unwrap_or_default();
                    out.push(Number { from: at, to, field: field.clone(), place, outer });
                }
                at = to - 1;
            }
            _ => {}
        }
        at += 1;
    }
    out
}

/// Names of fields of the model that hold numbers with a decimal point, read from its sources.
fn fields_of_the_model() -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    for entry in std::fs::read_dir(repository().join("core/src/model")).unwrap() {
        let path = entry.unwrap().path();
        let Ok(text) = std::fs::read_to_string(&path) else { continue };
        for line in text.lines() {
            let line = line.trim().trim_start_matches("pub ");
            let Some((name, kind)) = line.trim_end_matches(',').split_once(": ") else { continue };
            let is_field = name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
            if is_field && matches!(kind, "f64" | "Option<f64>" | "DVec3" | "Option<DVec3>" | "[f64; 2]") {
                names.insert(name.to_owned());
            }
        }
    }
    assert!(names.len() > 60, "only {names:?}");
    names
}

#[test]
fn every_number_that_is_none_is_refused_by_name() {
    let path = Path::new("everything.ron");
    let text = file::to_text(&everything::project()).unwrap();
    let whole: Project = file::from_text(&text, path).unwrap_or_else(|e| panic!("{e}"));
    let text = file::to_text(&whole).unwrap();
    let mut tried = BTreeSet::new();
    let mut wrong = Vec::new();
    for number in numbers(&text) {
        // the same field of the same kind of thing once
        if !tried.insert((number.outer.clone(), number.field.clone(), number.place)) {
            continue;
        }
        for none in ["NaN", "inf", "-inf", "1e999", "-1e999", "1e300", "-1e300"] {
            let bad = format!("{}{none}{}", &text[..number.from], &text[number.to..]);
            match file::from_text(&bad, path) {
                Ok(_) => wrong.push(format!("{}.{} takes {none}", number.outer, number.field)),
                Err(error) => {
                    let said = error.to_string();
                    assert!(said.starts_with("everything.ron") && said.ends_with('.'), "{said}");
                    assert!(said.len() < 2000, "{said}");
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let named: BTreeSet<String> = tried.into_iter().map(|(_, field, _)| field).collect();
    let missed: Vec<String> = fields_of_the_model().difference(&named).cloned().collect();
    assert!(missed.is_empty(), "the project with everything lacks {missed:?}");
}
