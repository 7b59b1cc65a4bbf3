//! From a project to a file, never leaving half of one.

use super::MAX_BYTES;
use crate::disk::{self, WriteError};
use crate::model::Project;
use ron::extensions::Extensions;
use std::fmt;
use std::path::{Path, PathBuf};

/// Why a file could not be written. `Display` is a sentence with the path.
#[derive(Debug, thiserror::Error)]
#[expect(missing_docs, reason = "the sentence explains each field")]
pub enum SaveError {
    #[error("{}: cannot be written ({source}). Choose another folder or free some space; nothing was changed.", path.display())]
    Write { path: PathBuf, source: std::io::Error },
    #[error("{}: is {what}, not a file. Choose another name; nothing was changed.", path.display())]
    NotAFile { path: PathBuf, what: &'static str },
    #[error("{}: is read-only, so it was not changed. Save under another name, or make the file writable first.", path.display())]
    ReadOnly { path: PathBuf },
    #[error("The project cannot be put into text ({0}).")]
    Text(#[from] ron::Error),
    #[error(
        "The project holds more than the {} MB that a project file can take. Delete what is not needed, or split it.",
        MAX_BYTES / 1_000_000
    )]
    TooMuch,
}

/// Reader and writer settings: `Some(x)` may be written `x`.
pub(super) fn options() -> ron::Options {
    ron::Options::default().with_default_extension(Extensions::IMPLICIT_SOME)
}

/// The project as the text of a file.
pub fn to_text(project: &Project) -> Result<String, SaveError> {
    let pretty = ron::ser::PrettyConfig::new().indentor("  ".to_owned()).depth_limit(4).compact_arrays(false);
    let mut text = Text::default();
    match options().to_writer_pretty(&mut text, project, pretty) {
        Ok(()) => Ok(text.so_far + "\n"),
        Err(_) if text.is_full => Err(SaveError::TooMuch),
        Err(error) => Err(error.into()),
    }
}

/// A text that takes no more than can be read again.
#[derive(Default)]
struct Text {
    so_far: String,
    is_full: bool,
}

impl fmt::Write for Text {
    fn write_str(&mut self, more: &str) -> fmt::Result {
        // one byte is left for the end of the last line
        self.is_full |= (self.so_far.len() + more.len()) as u64 >= MAX_BYTES;
        if self.is_full {
            return Err(fmt::Error);
        }
        self.so_far.push_str(more);
        Ok(())
    }
}

/// Writes the project to `path`: the old file stays whole until the new one is complete, and is kept beside it.
pub fn save(path: &Path, project: &Project) -> Result<(), SaveError> {
    save_text(path, &to_text(project)?).map(drop)
}

/// Writes the text of a project to `path`: the old file stays whole until the new one is complete, and is then kept
/// beside it (`disk::before_path`). Returns why that could not be, where it could not; the project is written either way.
pub fn save_text(path: &Path, text: &str) -> Result<Option<std::io::Error>, SaveError> {
    disk::replace_keeping(path, text.as_bytes()).map_err(|error| said(path, error))
}

/// Writes `bytes` to `path` through a temporary file in the same folder that takes its place at the end.
pub fn write_atomic(path: &Path, bytes: &[u8]) -> Result<(), SaveError> {
    disk::replace(path, bytes).map_err(|error| said(path, error))
}

fn said(path: &Path, error: WriteError) -> SaveError {
    let path = path.to_owned();
    match error {
        WriteError::Write(source) => SaveError::Write { path, source },
        WriteError::NotAFile { what } => SaveError::NotAFile { path, what },
        WriteError::ReadOnly => SaveError::ReadOnly { path },
    }
}

/// A name for a file made from the name of a project: lower case, words joined by hyphens.
pub fn file_stem(name: &str) -> String {
    let mut stem = String::new();
    for c in name.chars().take(60) {
        if c.is_alphanumeric() {
            stem.extend(c.to_lowercase());
        } else if !stem.ends_with('-') && !stem.is_empty() {
            stem.push('-');
        }
    }
    let stem = stem.trim_end_matches('-');
    if stem.is_empty() { "project".to_owned() } else { stem.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::super::from_text;
    use super::*;
    use crate::model::{Hole, Obstacle, ObstacleId, Pose, Shape};
    use crate::testing::run_through;
    use glam::DVec3;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn saving_then_loading_is_the_identity(
            points in prop::collection::vec((-4e3..4e3, -4e3..4e3, -4e3..4e3_f64), 3..8),
            turn in (-180.0..180.0_f64, -180.0..180.0_f64, -180.0..180.0_f64),
            name in "\\PC{0,20}",
            gap_mm in 0.0..100.0_f64,
        ) {
            let points: Vec<DVec3> = points.into_iter().map(DVec3::from).collect();
            prop_assume!(points[0].distance(points[1]) > 1e-3);
            let (mut project, _) = run_through(&points);
            project.name.clone_from(&name);
            project.obstacles.push(Obstacle {
                id: ObstacleId(99),
                name,
                body: project.bodies[0].id,
                shape: Shape::Panel {
                    width_mm: 400.0, height_mm: gap_mm + 1.0, thickness_mm: 1.2,
                    holes: vec![Hole { x_mm: turn.0, y_mm: turn.1, diameter_mm: 80.0 }],
                },
                pose: Pose { position_mm: points[1], turn_deg: DVec3::from(turn) },
                gap_mm,
                heat_sensitive: true,
                hot_gap_mm: Some(gap_mm),
                hidden: false,
            });
            let text = to_text(&project).unwrap();
            prop_assert_eq!(from_text(&text, Path::new("x.ron")).unwrap(), project);
        }
    }

    #[test]
    fn a_folder_that_cannot_be_written_is_said_and_the_old_file_stays() {
        let (project, _) = run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
        let error = save(Path::new("/no/such/folder/x.ron"), &project).unwrap_err().to_string();
        assert!(error.contains("/no/such/folder/x.ron") && error.contains("nothing was changed"), "{error}");
    }
}
