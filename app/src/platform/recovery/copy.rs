//! What stands in a copy of unsaved work: a project as in any file, and before it a line that says what it is of.

use pipeloft_core::disk;
use pipeloft_core::file::{MAX_BYTES, SaveError, Stamp, from_text, to_text};
use pipeloft_core::model::Project;
use pipeloft_core::space::scan::with_folder;
use serde::{Deserialize, Serialize};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// How the first line begins; a program that reads projects takes it for a comment.
const MARK: &str = "// Unsaved work: ";

/// Room for the first line, bytes.
const LINE: u64 = 100_000;

/// Work that no file holds.
#[derive(Debug, Clone)]
pub struct Work {
    /// The project.
    pub project: Arc<Project>,
    /// The folder that paths in the project count from.
    pub folder: Option<PathBuf>,
    /// The file it was read from or last saved to.
    pub file: Option<PathBuf>,
    /// What that file held then.
    pub stamp: Option<Stamp>,
}

/// The first line.
#[derive(Debug, Serialize, Deserialize)]
struct Line {
    /// As the system has it: it may be no text.
    file: Option<OsString>,
    stamp: Option<Stamp>,
    /// When it was written, seconds since 1970.
    seconds: u64,
    /// The number of the process that wrote it.
    process: u32,
}

/// What was read from a copy.
#[derive(Debug)]
pub(super) struct Read {
    pub(super) project: Result<Box<Project>, String>,
    pub(super) file: Option<PathBuf>,
    pub(super) stamp: Option<Stamp>,
    pub(super) at: Option<SystemTime>,
}

/// The text of a copy.
pub(super) fn text_of(work: &Work) -> Result<String, SaveError> {
    // the copy lies elsewhere, so in it paths are whole
    let whole = with_folder(&work.project, work.folder.as_deref(), None);
    let text = to_text(whole.as_ref().unwrap_or(&work.project))?;
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    let file = work.file.clone().map(PathBuf::into_os_string);
    let line = Line { file, stamp: work.stamp, seconds, process: std::process::id() };
    Ok(format!("{MARK}{}\n{text}", ron::to_string(&line)?))
}

/// Reads a copy; one that cannot be read is still one.
pub(super) fn read(path: &Path) -> Read {
    let written = || std::fs::metadata(path).and_then(|m| m.modified()).ok();
    let fails = |why: String| Read { project: Err(why), file: None, stamp: None, at: written() };
    let bytes = match disk::read(path, MAX_BYTES + LINE) {
        Ok(bytes) => bytes,
        Err(error) => return fails(format!("{}: {error}.", path.display())),
    };
    let Ok(text) = String::from_utf8(bytes) else {
        return fails(format!("{}: is not a text file.", path.display()));
    };
    let line = text.lines().next().and_then(|line| line.strip_prefix(MARK));
    let line = line.and_then(|line| ron::from_str::<Line>(line).ok());
    let project = from_text(&text, path).map_err(|e| e.to_string());
    let file = line.as_ref().and_then(|line| line.file.clone()).map(PathBuf::from);
    let project = project.map(|project| {
        // beside its own file it finds scans as it did before
        let folder = file.as_deref().map(crate::platform::folder_of);
        Box::new(with_folder(&project, None, folder.as_deref()).unwrap_or(project))
    });
    Read {
        project,
        file,
        stamp: line.as_ref().and_then(|line| line.stamp),
        at: line.map(|line| UNIX_EPOCH + Duration::from_secs(line.seconds)).or_else(written),
    }
}
