//! From a file to a project, or to a sentence that says what is wrong with it.

use super::{MAX_BYTES, SaveError, Stamp, old, to_text};
use crate::disk::{self, DiskError};
use crate::finding::Problem;
use crate::model::limits::MOST_FAULTS;
use crate::model::{FORMAT, Project};
use crate::seat;
use crate::units::UnitSystem;
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// Why a project could not be loaded. `Display` is a sentence with the path, and line and column where known.
#[derive(Debug, thiserror::Error)]
#[expect(missing_docs, reason = "the sentence explains each field")]
pub enum LoadError {
    #[error("{}: cannot be read ({source}). Check that the file is there and may be read.", path.display())]
    Read { path: PathBuf, source: std::io::Error },
    #[error("{}: is {what}, not a file. Choose a .ron project.", path.display())]
    NotAFile { path: PathBuf, what: &'static str },
    #[error("{}: is empty. Open an older copy.", path.display())]
    Empty { path: PathBuf },
    #[error("{}: is {} MB, too large for a project file. Choose another file.", path.display(), bytes / 1_000_000)]
    TooLarge { path: PathBuf, bytes: u64 },
    #[error("{}: holds more than a project file can take once it is written out. Split it into several.", path.display())]
    TooMuch { path: PathBuf },
    #[error("{}: is not a text file, so it cannot be a project. Choose a .ron project.", path.display())]
    NotText { path: PathBuf },
    #[error("{}: is text in UTF-16. Save it as UTF-8 in a text editor, then open it.", path.display())]
    Utf16 { path: PathBuf },
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
    match problems.len() {
        0..=5 => {}
        MOST_FAULTS.. => text.push("And many more.".to_owned()),
        count => text.push(format!("And {} more.", count - 5)),
    }
    text.join(" ")
}

/// Reads the project at `path`.
pub fn load(path: &Path) -> Result<Project, LoadError> {
    load_stamped(path).map(|(project, _)| project)
}

/// Reads the project at `path`, with the stamp of what the file held.
pub fn load_stamped(path: &Path) -> Result<(Project, Stamp), LoadError> {
    let whole = || path.to_owned();
    let bytes = disk::read(path, MAX_BYTES).map_err(|error| match error {
        DiskError::Read(source) => LoadError::Read { path: whole(), source },
        DiskError::NotAFile { what } => LoadError::NotAFile { path: whole(), what },
        DiskError::Empty => LoadError::Empty { path: whole() },
        DiskError::TooLarge { bytes, .. } => LoadError::TooLarge { path: whole(), bytes },
    })?;
    let stamp = Stamp::of(&bytes);
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(LoadError::Utf16 { path: whole() });
    }
    match String::from_utf8(bytes) {
        // no editor writes this character into a text
        Ok(text) if !text.contains('\0') => from_text(&text, path).map(|project| (project, stamp)),
        Ok(_) | Err(_) => Err(LoadError::NotText { path: whole() }),
    }
}

/// The longest that what the reader of the text says may be, characters: it may quote the text.
const MAX_SAID: usize = 200;

/// What is wrong with a text, in a line, and where.
fn syntax(path: &Path, error: &ron::error::SpannedError) -> LoadError {
    use ron::Error;
    let said = match &error.code {
        Error::ExpectedStructLike
        | Error::ExpectedNamedStructLike(_)
        | Error::ExpectedDifferentStructName { .. } => "an opening bracket ( is missing".to_owned(),
        Error::ExpectedStructLikeEnd => "a closing bracket ) is missing".to_owned(),
        Error::ExpectedStructName(_) => "a name belongs before the bracket".to_owned(),
        Error::ExceededRecursionLimit => "brackets stand in each other too deep".to_owned(),
        Error::Eof => "the text ends too early".to_owned(),
        // the reader's own words say what it found, and are not ours to keep up with
        other => other.to_string(),
    };
    let mut what: String = said.chars().filter(|c| !c.is_control()).take(MAX_SAID).collect();
    if said.chars().nth(MAX_SAID).is_some() {
        what.push('…');
    }
    let (line, column) = (error.span.start.line, error.span.start.col);
    LoadError::Syntax { path: path.to_owned(), line, column, what: what.trim_end_matches('.').to_owned() }
}

/// What some editors put before a text in UTF-8 to mark it as that.
const MARK: char = '\u{feff}';

/// Only the format number, whatever else stands in the file.
#[derive(Deserialize)]
struct Header {
    format: u32,
}

/// Reads a project from `text`; `path` is only for the sentence if something is wrong.
///
/// What is read can be saved, and read again: its numbers are looked at once more after everything that sits on
/// something else has been brought to where it sits.
pub fn from_text(text: &str, path: &Path) -> Result<Project, LoadError> {
    let options = super::save::options();
    let text = text.strip_prefix(MARK).unwrap_or(text);
    let header: Header = options.from_str(text).map_err(|error| syntax(path, &error))?;
    match header.format {
        0 => return Err(LoadError::Unknown { path: path.to_owned(), found: 0 }),
        1..=FORMAT => {}
        found => return Err(LoadError::Newer { path: path.to_owned(), found, known: FORMAT }),
    }
    let (mut project, by_place) = if header.format <= old::NEWEST {
        old::read(text).map_err(|error| syntax(path, &error))?
    } else {
        let mut project: Project = options.from_str(text).map_err(|error| syntax(path, &error))?;
        project.settle_letters();
        (project, old::ByPlace::default())
    };
    project.format = FORMAT;
    let faults = seat::settle_checked(&mut project);
    if !faults.is_empty() {
        let problems = faults.into_iter().map(Problem::from).collect();
        let units = project.settings.units;
        return Err(LoadError::Limits { path: path.to_owned(), problems, units });
    }
    project.next_id = project.next_id.max(highest_id(&project) + 1);
    if header.format <= old::NEWEST {
        by_place.into_keys(&mut project);
    }
    match to_text(&project) {
        Ok(_) => Ok(project),
        Err(
            SaveError::TooMuch
            | SaveError::Write { .. }
            | SaveError::NotAFile { .. }
            | SaveError::ReadOnly { .. }
            | SaveError::Text(_),
        ) => Err(LoadError::TooMuch { path: path.to_owned() }),
    }
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
        let text = to_text(&sample()).unwrap().replacen("format: 6", "format: 7", 1);
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
        std::fs::write(&dir, [0xff, 0x00, 0x80]).unwrap();
        assert!(load(&dir).unwrap_err().to_string().contains("not a text file"));
        std::fs::remove_file(&dir).unwrap();
    }
}
