//! Files that belong together, written into a folder in the place of the ones written before: all of them or none.
//!
//! What was written stands in a list beside the files, each with its sum, so that the next time only what is still as it
//! was written goes away. What somebody else has put or changed there is kept under another name.

mod listed;
mod stage;

use std::io;
use std::path::{Path, PathBuf};

/// A file of a set: its name, with `/` between a folder and what is in it, and what is in it.
pub type SetFile<'a> = (&'a str, &'a [u8]);

/// What became of what was there before.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Replaced {
    /// Files of the set before that are not in the new one and are gone.
    pub gone: Vec<String>,
    /// What was not as this program had written it: the name it had and the one it has now.
    pub kept: Vec<(String, String)>,
}

/// Why a set was not written.
#[derive(Debug, thiserror::Error)]
#[expect(missing_docs, reason = "the sentence explains each field")]
pub enum SetError {
    #[error("{}: cannot be written ({source}). The folder is as it was before", path.display())]
    Write { path: PathBuf, source: io::Error },
    /// A folder, a device, a pipe: `what` begins with "a".
    #[error("{}: is {what}, not a file. The folder is as it was before", path.display())]
    NotAFile { path: PathBuf, what: &'static str },
    #[error("{}: is read-only. The folder is as it was before", path.display())]
    ReadOnly { path: PathBuf },
    #[error("{}: files are being written here by another program. Wait until it is done, then try again", folder.display())]
    Busy { folder: PathBuf },
    /// It failed, and so did putting everything back.
    #[error(
        "{}: cannot be written ({source}), and what was there could not be put back ({back}): it is in {}. It is put back when this is tried again",
        path.display(),
        stage.display()
    )]
    Stuck { path: PathBuf, source: io::Error, back: io::Error, stage: PathBuf },
}

/// Writes `files` and `list`, which names them below the line `about`, into `folder`, in the place of those that the
/// list there names.
///
/// Of what was there only files are deleted that the list names and that still hold what was written; others that are
/// named, or have the name of a new one, are renamed. Where a program was stopped in the middle, the next call first
/// puts back what was there.
///
/// # Errors
/// The folder holds what it held before, but for [`SetError::Stuck`].
pub fn replace_set(
    folder: &Path,
    list: &str,
    about: &str,
    files: &[SetFile<'_>],
) -> Result<Replaced, SetError> {
    replace_by(folder, (list, about), files, &mut |from, to| std::fs::rename(from, to))
}

/// The same with another way of renaming.
fn replace_by(
    folder: &Path,
    (list, about): (&str, &str),
    files: &[SetFile<'_>],
    rename: stage::Rename<'_>,
) -> Result<Replaced, SetError> {
    let names = files.iter().map(|(name, _)| *name).chain([list]);
    for name in names {
        refuse(&folder.join(name))?;
    }
    let text = listed::text(about, files);
    let stage = stage::Stage::begin(folder, list)?;
    let all: Vec<SetFile<'_>> = files.iter().copied().chain([(list, text.as_bytes())]).collect();
    let written = stage.write(&all).and_then(|()| stage.clear(&all, rename));
    match written.and_then(|()| stage.place(&all, rename)) {
        Ok(()) => Ok(stage.finish()),
        Err((path, source)) => Err(match stage.undo() {
            Ok(()) => SetError::Write { path, source },
            Err(back) => SetError::Stuck { path, source, back, stage: stage.at.clone() },
        }),
    }
}

/// What stands in the way of a new file and may not be moved.
fn refuse(path: &Path) -> Result<(), SetError> {
    // that nothing is there, or that it cannot be told, is found out when it is written
    let Ok(there) = std::fs::symlink_metadata(path) else { return Ok(()) };
    let path = path.to_owned();
    if there.is_symlink() {
        return Ok(());
    }
    if !there.is_file() {
        return Err(SetError::NotAFile { path, what: super::kind_name(there.file_type()) });
    }
    if there.permissions().readonly() { Err(SetError::ReadOnly { path }) } else { Ok(()) }
}

#[cfg(test)]
mod tests;
