//! The list of what was written, as text: sum and name on a line each.

use super::SetFile;
use sha2::{Digest as _, Sha256};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Component, Path};

/// Begins the lines that name no file.
const REMARK: char = '#';
/// Said at the head of every list, so that nobody wonders what it is for.
const HEAD: [&str; 2] = [
    "What was printed here. When it is printed again under the same name, the files named below go away that are still",
    "as they were written; all others stay. Before each name stands the SHA-256 sum of what is in it.",
];

/// The sum of a content (SHA-256, NIST FIPS 180-4) in hexadecimal digits.
pub(super) fn sum(content: &[u8]) -> String {
    Sha256::digest(content).iter().fold(String::new(), |mut out, byte| {
        // writing to a text cannot fail
        let _ = write!(out, "{byte:02x}");
        out
    })
}

/// The list of `files` under the line `about`.
pub(super) fn text(about: &str, files: &[SetFile<'_>]) -> String {
    let about = about.replace(['\n', '\r'], " ");
    let mut out = String::new();
    for line in std::iter::once(about.as_str()).chain(HEAD) {
        let _ = writeln!(out, "{REMARK} {line}");
    }
    for (name, content) in files {
        let _ = writeln!(out, "{}  {name}", sum(content));
    }
    out
}

/// Name and sum of every file of a list; what is no line of one is passed over, and so is a name that leads out of the
/// folder.
pub(super) fn read(text: &str) -> BTreeMap<String, String> {
    let entries =
        text.lines().filter(|line| !line.starts_with(REMARK)).filter_map(|line| line.split_once("  "));
    let within = |name: &str| {
        let mut parts = Path::new(name).components().peekable();
        parts.peek().is_some() && parts.all(|part| matches!(part, Component::Normal(_)))
    };
    entries.filter(|(_, name)| within(name)).map(|(sum, name)| (name.to_owned(), sum.to_owned())).collect()
}

/// Whether a text is a list as [`text`] writes it.
pub(super) fn is_list(text: &str) -> bool {
    HEAD.iter().all(|line| text.contains(line))
}
