//! Where new files wait until all are there, and old ones until the new ones have their places.
//!
//! A folder of its own beside them: below `new` the new files, below `old` what they replace, `list` the new list, which
//! takes its place last. So what is on the disk says at any moment how far it has come.

use super::{Replaced, SetError, SetFile, listed};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// How the name of the folder begins; the name of the list follows.
const PREFIX: &str = ".pipeloft-set-";
/// What the name has at its end that something of others is given.
const BEFORE: &str = ".before";
/// Held while the folder is in use; ends with its process.
const LOCK: &str = "lock";
/// More names than this are not tried for something that is kept.
const MOST_TRIES: usize = 1000;
/// A list is no longer than this, bytes.
const MOST_LIST_BYTES: u64 = 16 << 20;

/// A way to rename.
pub(super) type Rename<'a> = &'a mut dyn FnMut(&Path, &Path) -> io::Result<()>;
/// What could not be done where.
type Failed = (PathBuf, io::Error);

/// The folder, held.
#[derive(Debug)]
pub(super) struct Stage {
    /// Where the files belong.
    folder: PathBuf,
    /// The folder of its own.
    pub(super) at: PathBuf,
    /// Name of the list.
    list: String,
    /// What the list names that was there.
    before: BTreeMap<String, String>,
    _lock: File,
}

impl Stage {
    /// Takes hold of the folder `folder` for the set with this list; what a stopped program left is put right first.
    pub(super) fn begin(folder: &Path, list: &str) -> Result<Self, SetError> {
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let at = folder.join(format!("{PREFIX}{list}"));
        let write = |path: &Path, source| SetError::Write { path: path.to_owned(), source };
        let found = at.exists();
        fs::create_dir_all(&at).map_err(|e| write(folder, e))?;
        let lock = File::create(at.join(LOCK)).map_err(|e| write(folder, e))?;
        // a file system without locks has one program at a time
        if matches!(lock.try_lock(), Err(fs::TryLockError::WouldBlock)) {
            return Err(SetError::Busy { folder: folder.to_owned() });
        }
        let mut stage = Self {
            folder: folder.to_owned(),
            at,
            list: list.to_owned(),
            before: BTreeMap::new(),
            _lock: lock,
        };
        if found {
            stage.put_right().map_err(|e| write(folder, e))?;
            drop(stage);
            return Self::begin(folder, list);
        }
        stage.before = listed_in(&stage.folder.join(list));
        Ok(stage)
    }

    fn new_at(&self, name: &str) -> PathBuf {
        self.at.join("new").join(name)
    }

    fn old_at(&self, name: &str) -> PathBuf {
        self.at.join("old").join(name)
    }

    /// Writes all new files, complete and on the disk, where nobody looks for them yet.
    pub(super) fn write(&self, files: &[SetFile<'_>]) -> Result<(), Failed> {
        for (name, content) in files {
            let at = self.new_at(name);
            let written = make_parent(&at).and_then(|()| {
                let mut file = File::create(&at)?;
                file.write_all(content)?;
                file.sync_all()
            });
            written.map_err(|e| (self.folder.join(name), e))?;
        }
        let list = files.last().map_or(&[][..], |(_, content)| *content);
        fs::write(self.at.join("list"), list).map_err(|e| (self.folder.join(&self.list), e))
    }

    /// Takes away what was written before and what stands in the way, the list last.
    pub(super) fn clear(&self, files: &[SetFile<'_>], rename: Rename<'_>) -> Result<(), Failed> {
        let new = files.iter().map(|(name, _)| *name);
        let names: BTreeSet<&str> = self.before.keys().map(String::as_str).chain(new).collect();
        let list = self.list.as_str();
        for name in names.into_iter().filter(|name| *name != list).chain([list]) {
            let (from, to) = (self.folder.join(name), self.old_at(name));
            let there = fs::symlink_metadata(&from).is_ok_and(|there| !there.is_dir());
            if there {
                make_parent(&to).and_then(|()| rename(&from, &to)).map_err(|e| (from, e))?;
            }
        }
        Ok(())
    }

    /// Gives the new files their places, the list last.
    pub(super) fn place(&self, files: &[SetFile<'_>], rename: Rename<'_>) -> Result<(), Failed> {
        for (name, _) in files {
            let to = self.folder.join(name);
            make_parent(&to).and_then(|()| rename(&self.new_at(name), &to)).map_err(|e| (to, e))?;
        }
        Ok(())
    }

    /// Puts everything back as it was before.
    pub(super) fn undo(&self) -> io::Result<()> {
        let placed = fs::read_to_string(self.at.join("list")).unwrap_or_default();
        let placed = listed::read(&placed);
        for name in placed.keys().map(String::as_str).chain([self.list.as_str()]) {
            let (place, new) = (self.folder.join(name), self.new_at(name));
            // what is in its place and does not wait any more is the new one
            if !new.exists() && fs::symlink_metadata(&place).is_ok() {
                let same = placed.get(name).is_none_or(|sum| holds(&place, sum));
                if same {
                    make_parent(&new)?;
                    fs::rename(&place, &new)?;
                }
            }
            leave_folder(&self.folder, name);
        }
        for name in below(&self.at.join("old"))? {
            let place = self.folder.join(&name);
            make_parent(&place)?;
            let place = if fs::symlink_metadata(&place).is_ok() { free_beside(&place)? } else { place };
            fs::rename(self.old_at(&name), place)?;
        }
        fs::remove_dir_all(&self.at)
    }

    /// Deletes what was there before and is still as it was written; the rest gets other names.
    pub(super) fn finish(&self) -> Replaced {
        let mut out = Replaced::default();
        // all new files are in their places: what cannot be tidied up now is tidied up the next time
        for name in below(&self.at.join("old")).unwrap_or_default() {
            let (old, place) = (self.old_at(&name), self.folder.join(&name));
            let is_list = name == self.list && fs::read_to_string(&old).is_ok_and(|t| listed::is_list(&t));
            if is_list || self.before.get(&name).is_some_and(|sum| holds(&old, sum)) {
                if fs::remove_file(&old).is_ok() && fs::symlink_metadata(&place).is_err() {
                    out.gone.push(name.clone());
                }
            } else if let Ok(other) = free_beside(&place)
                && make_parent(&other).and_then(|()| fs::rename(&old, &other)).is_ok()
            {
                let other = other.strip_prefix(&self.folder).unwrap_or(&other);
                out.kept.push((name.clone(), other.to_string_lossy().into_owned()));
            }
            leave_folder(&self.folder, &name);
        }
        // what is left below `old` could not be moved and is somebody's
        if below(&self.at.join("old")).is_ok_and(|left| left.is_empty()) {
            let _next_time = fs::remove_dir_all(&self.at);
        }
        out
    }

    /// Ends what a stopped program began: where its list has its place all is there, else nothing is to be.
    fn put_right(&mut self) -> io::Result<()> {
        let list = fs::read(self.at.join("list")).ok();
        let complete = list.is_some() && fs::read(self.folder.join(&self.list)).ok() == list;
        if !complete || self.new_at(&self.list).exists() {
            return self.undo();
        }
        self.before = listed_in(&self.old_at(&self.list));
        self.finish();
        if self.at.exists() { Err(io::Error::other("what was kept there cannot be moved")) } else { Ok(()) }
    }
}

/// What a list names; nothing where there is none.
fn listed_in(path: &Path) -> BTreeMap<String, String> {
    let bytes = super::super::read(path, MOST_LIST_BYTES).unwrap_or_default();
    let text = String::from_utf8_lossy(&bytes);
    if listed::is_list(&text) { listed::read(&text) } else { BTreeMap::new() }
}

/// Whether an ordinary file, no link to one, still holds what has this sum.
fn holds(path: &Path, sum: &str) -> bool {
    fs::symlink_metadata(path).is_ok_and(|there| there.is_file())
        && fs::read(path).is_ok_and(|content| listed::sum(&content) == sum)
}

fn make_parent(path: &Path) -> io::Result<()> {
    path.parent().map_or(Ok(()), fs::create_dir_all)
}

/// Takes away the folders between `folder` and a file in it that are empty now.
fn leave_folder(folder: &Path, name: &str) {
    let mut parent = Path::new(name).parent();
    while let Some(inner) = parent.filter(|inner| !inner.as_os_str().is_empty()) {
        // one that is not empty stays, and so does all above it
        if fs::remove_dir(folder.join(inner)).is_err() {
            return;
        }
        parent = inner.parent();
    }
}

/// Names of all that is in a folder and the folders in it, with `/` between; nothing where there is none.
fn below(folder: &Path) -> io::Result<Vec<String>> {
    let mut out = Vec::new();
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(out),
        Err(error) => return Err(error),
    };
    for entry in entries {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if entry.file_type()?.is_dir() {
            out.extend(below(&entry.path())?.into_iter().map(|inner| format!("{name}/{inner}")));
        } else {
            out.push(name);
        }
    }
    out.sort();
    Ok(out)
}

/// A name for what was at `path` that nothing has.
fn free_beside(path: &Path) -> io::Result<PathBuf> {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let numbered = |n: usize| if n == 1 { String::new() } else { format!("-{n}") };
    (1..=MOST_TRIES)
        .map(|n| path.with_file_name(format!("{name}{BEFORE}{}", numbered(n))))
        .find(|free| fs::symlink_metadata(free).is_err())
        .ok_or_else(|| io::Error::other("no name is free to keep it under"))
}
