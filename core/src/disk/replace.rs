//! A new content in the place of a file's: whole or not at all, through links, with the mode the file had.

use std::ffi::OsString;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// Why a file was not written; it is as it was before.
#[derive(Debug, thiserror::Error)]
#[expect(missing_docs, reason = "the sentence explains each field")]
pub enum WriteError {
    #[error("cannot be written ({0})")]
    Write(#[from] io::Error),
    /// A folder, a device, a pipe: `what` begins with "a".
    #[error("is {what}, not a file")]
    NotAFile { what: &'static str },
    #[error("is read-only")]
    ReadOnly,
}

/// How the names of files begin that are written and have not taken their place yet. Each is locked by who writes it,
/// so one that is not locked was left behind by a program that was killed.
const TEMPORARY: &str = ".pipeloft-new-";

/// What the name of the earlier content has at its end.
const BEFORE: &str = ".before";

/// More links than this one after the other lead round in a ring.
const MOST_LINKS: usize = 40;

/// More names than this are not tried for a temporary file.
const MOST_TRIES: usize = 100;

/// Where the content is kept that the file at `path` had before it was last replaced: beside the file, not the link.
pub fn before_path(path: &Path) -> PathBuf {
    let target = target_of(path).unwrap_or_else(|_| path.to_owned());
    let mut name = target.file_name().map_or_else(OsString::new, OsString::from);
    name.push(BEFORE);
    target.with_file_name(name)
}

/// Writes `bytes` to `path`: what was there stays whole until the new content is complete and on the disk.
///
/// A link is followed. A file that is there keeps its mode and, where that may be set, its owner; one that may not be
/// written is refused.
pub fn replace(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    let place = Place::of(path)?;
    place.write(bytes)?.take_place(&place)?;
    Ok(())
}

/// The same, and keeps the content that was there, where it is another, at [`before_path`]. That this fails is no
/// reason not to write: it is handed back.
pub fn replace_keeping(path: &Path, bytes: &[u8]) -> Result<Option<io::Error>, WriteError> {
    let place = Place::of(path)?;
    let new = place.write(bytes)?;
    let kept = if place.holds(bytes) { Ok(()) } else { place.keep_before() };
    new.take_place(&place)?;
    Ok(kept.err())
}

/// Deletes temporary files in a folder that programs left behind which were killed.
pub fn tidy(folder: &Path) {
    let Ok(entries) = fs::read_dir(or_here(folder)) else { return };
    for entry in entries.filter_map(Result::ok) {
        let ours = entry.file_name().to_string_lossy().starts_with(TEMPORARY);
        if !ours || !entry.file_type().is_ok_and(|kind| kind.is_file()) {
            continue;
        }
        // one that is locked is being written, and one that cannot be deleted is in nobody's way
        if let Ok(file) = File::open(entry.path())
            && file.try_lock().is_ok()
        {
            let _stays = fs::remove_file(entry.path());
        }
    }
}

/// The file that is written in the end.
fn target_of(path: &Path) -> io::Result<PathBuf> {
    let mut target = path.to_owned();
    for _ in 0..MOST_LINKS {
        match fs::read_link(&target) {
            Ok(next) => target = target.parent().unwrap_or(Path::new("")).join(next),
            // no link, or nothing at all
            Err(_) => return Ok(target),
        }
    }
    Err(io::Error::other("its links lead round in a ring"))
}

/// A folder that is named by nothing is the one the program runs in.
fn or_here(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() { Path::new(".") } else { folder }
}

/// Where something is written, and what is there.
struct Place {
    target: PathBuf,
    folder: PathBuf,
    there: Option<Metadata>,
}

impl Place {
    fn of(path: &Path) -> Result<Self, WriteError> {
        let target = target_of(path)?;
        let folder = or_here(target.parent().unwrap_or(Path::new(""))).to_owned();
        let there = match fs::metadata(&target) {
            Ok(there) => Some(there),
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            Err(error) => return Err(error.into()),
        };
        if let Some(there) = &there {
            if !there.is_file() {
                return Err(WriteError::NotAFile { what: super::kind_name(there.file_type()) });
            }
            // replaced is the name in the folder, which may be writable where the file is not
            let refused = |e: &io::Error| e.kind() == io::ErrorKind::PermissionDenied;
            if there.permissions().readonly()
                || OpenOptions::new().write(true).open(&target).is_err_and(|e| refused(&e))
            {
                return Err(WriteError::ReadOnly);
            }
        }
        Ok(Self { target, folder, there })
    }

    /// The new content, complete and on the disk, under a name of its own.
    fn write(&self, bytes: &[u8]) -> io::Result<Temporary> {
        tidy(&self.folder);
        let mut new = Temporary::create(&self.folder, self.there.is_some())?;
        new.file.write_all(bytes)?;
        if let Some(there) = &self.there {
            give_to_owner(&new.file, there);
            new.file.set_permissions(there.permissions())?;
        }
        new.file.sync_all()?;
        Ok(new)
    }

    /// Whether that is what is there already.
    fn holds(&self, bytes: &[u8]) -> bool {
        let length = self.there.as_ref().map(Metadata::len);
        match length {
            None => true,
            Some(length) if length != bytes.len() as u64 => false,
            Some(_) => fs::read(&self.target).is_ok_and(|old| old == bytes),
        }
    }

    /// Gives what is there its second name.
    fn keep_before(&self) -> io::Result<()> {
        let before = before_path(&self.target);
        let name = free_name(&self.folder);
        if fs::hard_link(&self.target, &name).is_ok() {
            let renamed = fs::rename(&name, &before);
            // two names of one file are both left where they are by that
            let _gone = fs::remove_file(&name);
            return renamed;
        }
        // a file system without second names
        let mut copy = Temporary::create(&self.folder, true)?;
        io::copy(&mut File::open(&self.target)?, &mut copy.file)?;
        if let Some(there) = &self.there {
            copy.file.set_permissions(there.permissions())?;
        }
        copy.file.sync_all()?;
        copy.rename(&before)
    }
}

/// A file that is being written, locked until it has its place. Dropped before, it is deleted.
struct Temporary {
    path: PathBuf,
    file: File,
    has_place: bool,
}

/// A name for a temporary file that no other thread has been given.
fn free_name(folder: &Path) -> PathBuf {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let number = COUNT.fetch_add(1, Ordering::Relaxed);
    folder.join(format!("{TEMPORARY}{}-{number}", std::process::id()))
}

impl Temporary {
    /// An empty one. Where it is to replace a file, nobody else may read it until it has that file's mode.
    fn create(folder: &Path, replaces: bool) -> io::Result<Self> {
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        if replaces {
            use std::os::unix::fs::OpenOptionsExt as _;
            options.mode(0o600);
        }
        #[cfg(not(unix))]
        let _same_for_all = replaces;
        for _ in 0..MOST_TRIES {
            let path = free_name(folder);
            let file = match options.open(&path) {
                Ok(file) => file,
                // left behind by a killed program that had the same number
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => continue,
                Err(error) => return Err(error),
            };
            // a file system without locks has no tidying either
            let _unlocked = file.lock();
            // another program may have tidied it away before it was locked
            if path.exists() {
                return Ok(Self { path, file, has_place: false });
            }
        }
        Err(io::Error::other("no name is free for a temporary file"))
    }

    /// Puts it in the place it was written for.
    fn take_place(self, place: &Place) -> io::Result<()> {
        let (folder, target) = (&place.folder, &place.target);
        self.rename(target)?;
        // the name is on the disk only when the folder is; the content is whole either way
        #[cfg(unix)]
        if let Ok(folder) = File::open(folder) {
            let _not_yet = folder.sync_all();
        }
        #[cfg(not(unix))]
        let _needs_none = folder;
        Ok(())
    }

    fn rename(mut self, to: &Path) -> io::Result<()> {
        fs::rename(&self.path, to)?;
        self.has_place = true;
        Ok(())
    }
}

impl Drop for Temporary {
    fn drop(&mut self) {
        if !self.has_place {
            let _gone = fs::remove_file(&self.path);
        }
    }
}

/// Gives a file to the owner of the one it replaces, where this program may.
#[cfg(unix)]
fn give_to_owner(file: &File, like: &Metadata) {
    use std::os::unix::fs::{MetadataExt as _, fchown};
    let own = file.metadata().map(|m| (m.uid(), m.gid()));
    if own.is_ok_and(|own| own != (like.uid(), like.gid())) {
        // one's own file stays one's own where that is not allowed
        let _stays = fchown(file, Some(like.uid()), Some(like.gid()));
    }
}

#[cfg(not(unix))]
fn give_to_owner(_file: &File, _like: &Metadata) {}

#[cfg(test)]
mod tests;
