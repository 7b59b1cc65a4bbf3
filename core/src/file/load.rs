//! From a file to a project, or to a sentence that says what is wrong with it.

use super::{FORMAT, old};
use crate::finding::Problem;
use crate::model::{Project, UnitSystem, limits};
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// A file larger than this is no project of ours; reading it would only fill the memory.
const MAX_BYTES: u64 = 64 * 1024 * 1024;

/// Why a project could not be loaded. `Display` is a sentence with the path, and line and column where known.
#[derive(Debug, thiserror::Error)]
#[expect(missing_docs, reason = "the sentence explains each field")]
pub enum LoadError {
    #[error("{}: cannot be read ({source}). Check that the file is there and may be read.", path.display())]
    Read { path: PathBuf, source: std::io::Error },
    #[error("{}: is {} MB, too large for a project file. Choose another file.", path.display(), bytes / 1_000_000)]
    TooLarge { path: PathBuf, bytes: u64 },
    #[error("{}: is not a text file, so it cannot be a project. Choose a .ron project.", path.display())]
    NotText { path: PathBuf },
    #[error("{}, line {line}, column {column}: {what}. Mend the file there, or open an older copy.", path.display())]
    Syntax { path: PathBuf, line: usize, column: usize, what: String },
    #[error("{}: was written by a newer version (format {found}; this one reads up to {known}). Update the program to open it.", path.display())]
    Newer { path: PathBuf, found: u32, known: u32 },
    #[error("{}: has format {found}, which never existed. Formats count from 1.", path.display())]
    Unknown { path: PathBuf, found: u32 },
    #[error("{}: {}", path.display(), sentences(problems, *units))]
    Limits { path: PathBuf, problems: Vec<Problem>, units: UnitSystem },
}

fn sentences(problems: &[Problem], units: UnitSystem) -> String {
    let mut text: Vec<String> = problems.iter().take(5).map(|p| p.text(units)).collect();
    if problems.len() > 5 {
        text.push(format!("And {} more.", problems.len() - 5));
    }
    text.join(" ")
}

/// Reads the project at `path`.
pub fn load(path: &Path) -> Result<Project, LoadError> {
    let read = |source| LoadError::Read { path: path.to_owned(), source };
    let bytes = std::fs::metadata(path).map_err(read)?.len();
    if bytes > MAX_BYTES {
        return Err(LoadError::TooLarge { path: path.to_owned(), bytes });
    }
    let bytes = std::fs::read(path).map_err(read)?;
    let Ok(text) = String::from_utf8(bytes) else {
        return Err(LoadError::NotText { path: path.to_owned() });
    };
    from_text(&text, path)
}

/// Only the format number, whatever else stands in the file.
#[derive(Deserialize)]
struct Header {
    format: u32,
}

/// Reads a project from `text`; `path` is only for the sentence if something is wrong.
pub fn from_text(text: &str, path: &Path) -> Result<Project, LoadError> {
    let options = super::save::options();
    let syntax = |error: ron::error::SpannedError| LoadError::Syntax {
        path: path.to_owned(),
        line: error.span.start.line,
        column: error.span.start.col,
        what: error.code.to_string().trim_end_matches('.').to_owned(),
    };
    let header: Header = options.from_str(text).map_err(syntax)?;
    match header.format {
        0 => return Err(LoadError::Unknown { path: path.to_owned(), found: 0 }),
        1..=FORMAT => {}
        found => return Err(LoadError::Newer { path: path.to_owned(), found, known: FORMAT }),
    }
    let (mut project, by_place) = if header.format <= old::NEWEST {
        old::read(text).map_err(syntax)?
    } else {
        let mut project: Project = options.from_str(text).map_err(syntax)?;
        project.settle_letters();
        (project, old::ByPlace::default())
    };
    let problems = limits::check(&project);
    if !problems.is_empty() {
        let units = project.settings.units;
        return Err(LoadError::Limits { path: path.to_owned(), problems, units });
    }
    project.next_id = project.next_id.max(highest_id(&project) + 1);
    crate::edit::seat::settle(&mut project);
    if header.format <= old::NEWEST {
        by_place.into_keys(&mut project);
    }
    Ok(project)
}

/// The highest id in use, waypoints and fittings included.
fn highest_id(p: &Project) -> u32 {
    let runs = p.runs.iter().flat_map(|r| {
        std::iter::once(r.id.0)
            .chain(r.waypoints.iter().map(|w| w.id.0))
            .chain(r.fittings.iter().map(|f| f.id.0))
            .chain(r.tapers.iter().map(|t| t.id.0))
            .chain(r.parts.iter().map(|p| p.id.0))
    });
    runs.chain(p.bodies.iter().map(|x| x.id.0))
        .chain(p.datums.iter().map(|x| x.id.0))
        .chain(p.tubes.iter().map(|x| x.id.0))
        .chain(p.elbows.iter().map(|x| x.id.0))
        .chain(p.joints.iter().map(|x| x.id.0))
        .chain(p.hardpoints.iter().map(|x| x.id.0))
        .chain(p.obstacles.iter().map(|x| x.id.0))
        .chain(p.merges.iter().map(|x| x.id.0))
        .chain(p.bars.iter().map(|x| x.id.0))
        .max()
        .unwrap_or(0)
        .min(u32::MAX - 1)
}

#[cfg(test)]
mod tests {
    use super::super::to_text;
    use super::*;
    use crate::testing::run_through;
    use glam::DVec3;

    fn fails(text: &str) -> String {
        from_text(text, Path::new("bench.ron")).unwrap_err().to_string()
    }

    fn sample() -> Project {
        run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]).0
    }

    #[test]
    fn errors_name_the_path_the_place_and_the_cure() {
        assert!(fails("").starts_with("bench.ron, line 1, column 1:"), "{}", fails(""));
        let text = to_text(&sample()).unwrap();
        let broken = text.replacen("od_mm: 63.5", "od_mm: sixty", 1);
        let line = 1 + broken[..broken.find("sixty").unwrap()].matches('\n').count();
        assert!(fails(&broken).contains(&format!("line {line}, column")), "{}", fails(&broken));
        assert!(fails(&text.replacen("wall_mm", "wal_mm", 1)).contains("wal_mm"));
        assert!(fails(&text[..text.len() / 2]).contains("line"));
    }

    #[test]
    fn newer_files_are_refused_with_a_sentence() {
        let text = to_text(&sample()).unwrap().replacen("format: 5", "format: 7", 1);
        assert!(fails(&text).contains("newer version (format 7"));
        // a newer file may hold fields this version does not know
        assert!(fails("(format: 7, something_new: [1, 2, (a: 3)])").contains("newer version"));
        assert!(fails(&text.replacen("format: 7", "format: 0", 1)).contains("never existed"));
    }

    #[test]
    fn absurd_numbers_are_refused_by_name() {
        let mut project = sample();
        project.hardpoints[0].position_mm.x = f64::NAN;
        let text = to_text(&project).unwrap();
        assert!(fails(&text).contains("X of from is not a number"), "{}", fails(&text));
    }

    #[test]
    fn a_next_id_that_is_too_low_is_raised() {
        let mut project = sample();
        project.next_id = 1;
        let loaded = from_text(&to_text(&project).unwrap(), Path::new("bench.ron")).unwrap();
        assert!(loaded.next_id > loaded.runs[0].id.0);
    }

    #[test]
    fn unreadable_and_binary_files_are_said() {
        assert!(load(Path::new("/no/such/file.ron")).unwrap_err().to_string().contains("cannot be read"));
        let dir = std::env::temp_dir().join("pipeloft-load-test.ron");
        std::fs::write(&dir, [0xff, 0xfe, 0x00]).unwrap();
        assert!(load(&dir).unwrap_err().to_string().contains("not a text file"));
        std::fs::remove_file(&dir).unwrap();
    }
}
