//! The source files, with comments and tests taken out where only the program counts.

use pipeloft_tests::shop::repository;
use std::path::Path;

/// A source file.
pub(crate) struct Source {
    /// Path from the repository's folder, with `/` between names.
    pub(crate) path: String,
    /// All of it.
    pub(crate) text: String,
}

impl Source {
    /// The lines without comments, and without the unit tests at the bottom.
    pub(crate) fn program(&self) -> String {
        let end = ["#[cfg(test)]\nmod tests {", "#[cfg(test)]\npub(crate) mod tests {"]
            .iter()
            .filter_map(|mark| self.text.find(mark))
            .min()
            .unwrap_or(self.text.len());
        self.text[..end].lines().map(without_comment).collect::<Vec<_>>().join("\n")
    }

    /// Whether the whole file is a test: `tests.rs` or in a folder of tests, or the test helpers.
    pub(crate) fn is_test(&self) -> bool {
        self.path.split('/').any(|part| matches!(part, "tests" | "tests.rs" | "testing.rs"))
    }

    /// Whether the path lies in `folder`.
    pub(crate) fn is_in(&self, folder: &str) -> bool {
        self.path.starts_with(folder)
    }
}

/// The line up to `//`, unless that stands in a text.
fn without_comment(line: &str) -> &str {
    let mut from = 0;
    while let Some(at) = line[from..].find("//").map(|i| i + from) {
        if line[..at].matches('"').count().is_multiple_of(2) {
            return &line[..at];
        }
        from = at + 2;
    }
    line
}

/// All Rust files in the given folders of the repository, by path.
///
/// # Panics
/// Where a folder is missing or holds nothing: a check over nothing checks nothing.
pub(crate) fn sources(folders: &[&str]) -> Vec<Source> {
    let root = repository();
    let mut out = Vec::new();
    for folder in folders {
        let before = out.len();
        collect(&root, &root.join(folder), &mut out);
        assert!(out.len() > before, "{folder} holds no source");
    }
    out.sort_by(|a, b| a.path.cmp(&b.path));
    out
}

fn collect(root: &Path, folder: &Path, out: &mut Vec<Source>) {
    let entries = std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    for path in entries.filter_map(Result::ok).map(|e| e.path()) {
        if path.is_dir() {
            collect(root, &path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            let parts = path.strip_prefix(root).unwrap_or(&path).iter();
            let names: Vec<_> = parts.map(|p| p.to_string_lossy().into_owned()).collect();
            out.push(Source { path: names.join("/"), text });
        }
    }
}

/// Whether `name` stands in `text` as a word of its own followed by `::`, or is imported whole.
pub(crate) fn names_crate(text: &str, name: &str) -> bool {
    let word = |c: char| c.is_alphanumeric() || c == '_';
    text.match_indices(name).any(|(at, _)| {
        let before = &text[..at];
        let after = &text[at + name.len()..];
        // a path of our own that ends in the same word is not the crate
        let begins = !before.ends_with(word) && !before.ends_with("crate::") && !before.ends_with("super::");
        let import = before.ends_with("use ") && !after.starts_with(word);
        begins && (after.starts_with("::") || import)
    })
}

#[test]
fn comments_and_unit_tests_are_left_out() {
    let text = "use a; // b\nlet url = \"http://x\"; // c\n#[cfg(test)]\nmod tests {\n    use d;\n}\n";
    let source = Source { path: "core/src/x.rs".to_owned(), text: text.to_owned() };
    assert_eq!(source.program(), "use a; \nlet url = \"http://x\"; ");
}

#[test]
fn a_crate_is_told_from_a_field_of_the_same_name() {
    assert!(names_crate("use glow::HasContext;", "glow"));
    assert!(names_crate("use glow;", "glow"));
    assert!(names_crate("let x = eframe::glow::Context::new();", "eframe"));
    assert!(!names_crate("shade.glow == Glow::None", "glow"));
    assert!(!names_crate("use crate::glow::Ring;", "glow"));
    assert!(!names_crate("afterglow::x()", "glow"));
}
