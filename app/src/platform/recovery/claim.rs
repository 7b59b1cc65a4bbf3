//! Who a copy of unsaved work belongs to: the window that holds the lock beside it, and nobody once that window is gone.
//!
//! A lock ends with the process that holds it, however that ends, and tells a process from a later one of the same
//! number.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// How the name of a copy begins; the number of the process follows, and one of the window.
const WORK: &str = "work-";

/// More names than this are not tried for a copy.
const MOST_TRIES: usize = 100;

/// The place of one copy, as long as it is this window's. Dropped, the place is nobody's, and what is in it is offered at
/// the next start.
#[derive(Debug)]
pub(super) struct Claim {
    copy: PathBuf,
    lock: PathBuf,
    /// Held, not read: the lock on it goes when it is closed.
    _held: File,
}

impl Claim {
    /// A new place in `folder`, which is made where it is not there.
    pub(super) fn new(folder: &Path) -> io::Result<Self> {
        static COUNT: AtomicU64 = AtomicU64::new(0);
        fs::create_dir_all(folder)?;
        for _ in 0..MOST_TRIES {
            let number = COUNT.fetch_add(1, Ordering::Relaxed);
            let copy = folder.join(format!("{WORK}{}-{number}.ron", std::process::id()));
            let lock = copy.with_extension("lock");
            if copy.exists() {
                // of an earlier process with the same number
                continue;
            }
            let held = match OpenOptions::new().write(true).create_new(true).open(&lock) {
                Ok(held) => held,
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => continue,
                Err(error) => return Err(error),
            };
            // where a file system has no locks, the number of the process has to do
            let is_ours = !matches!(held.try_lock(), Err(TryLockError::WouldBlock));
            // a start that looked for copies may have taken it for one of a killed program
            if is_ours && lock.exists() {
                return Ok(Self { copy, lock, _held: held });
            }
        }
        Err(io::Error::other("no name is free for the copy"))
    }

    /// Takes over a copy; `None` where its owner lives, or it is gone by now.
    fn of(copy: PathBuf) -> Option<Self> {
        let lock = copy.with_extension("lock");
        let held = OpenOptions::new().write(true).create(true).truncate(false).open(&lock).ok()?;
        match held.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return None,
            Err(TryLockError::Error(_)) if runs(&copy) => return None,
            Err(TryLockError::Error(_)) => {}
        }
        let claim = Self { copy, lock, _held: held };
        if claim.copy.exists() {
            return Some(claim);
        }
        // whoever had it has decided meanwhile
        claim.delete_lock();
        None
    }

    /// Takes over all copies in `folder` whose owners are gone, and clears away what else those left.
    pub(super) fn all_left(folder: &Path) -> Vec<Self> {
        let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
        let ours =
            |path: &PathBuf| path.file_name().is_some_and(|name| name.to_string_lossy().starts_with(WORK));
        let paths: Vec<PathBuf> = entries.filter_map(Result::ok).map(|e| e.path()).filter(ours).collect();
        let ending = |path: &Path, ending| path.extension().is_some_and(|e| e == ending);
        for lock in paths.iter().filter(|p| ending(p, "lock")) {
            // a lock without a copy is of a program that had nothing unsaved; this deletes it
            drop(Self::of(lock.with_extension("ron")));
        }
        let mut copies: Vec<PathBuf> = paths.into_iter().filter(|p| ending(p, "ron")).collect();
        copies.sort();
        copies.into_iter().filter_map(Self::of).collect()
    }

    /// The file that the copy is in.
    pub(super) fn copy(&self) -> &Path {
        &self.copy
    }

    /// Deletes the copy, and gives up its place.
    pub(super) fn delete(self) -> io::Result<()> {
        match fs::remove_file(&self.copy) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
            Ok(()) | Err(_) => Ok(()),
        }
    }

    fn delete_lock(&self) {
        // what stays behind is deleted at a later start
        let _stays = fs::remove_file(&self.lock);
    }
}

impl Drop for Claim {
    fn drop(&mut self) {
        if !self.copy.exists() {
            self.delete_lock();
        }
    }
}

/// Whether a process with the number in the name of the copy runs, where that can be told.
fn runs(copy: &Path) -> bool {
    let name = copy.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let number = name.trim_start_matches(WORK).split('-').next().unwrap_or_default().to_owned();
    Path::new("/proc").join(number).is_dir()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_its_windows_until_that_is_gone_and_then_of_one_other() {
        let folder = std::env::temp_dir().join(format!("pipeloft-claim-{}", std::process::id()));
        let (one, two) = (Claim::new(&folder).unwrap(), Claim::new(&folder).unwrap());
        assert_ne!(one.copy(), two.copy());
        fs::write(one.copy(), "one").unwrap();
        assert!(Claim::all_left(&folder).is_empty(), "both windows live");
        let copy = one.copy().to_owned();
        drop(one);
        let mut left = Claim::all_left(&folder);
        assert_eq!(left.len(), 1);
        assert!(Claim::all_left(&folder).is_empty(), "one start has it");
        let taken = left.remove(0);
        assert_eq!(taken.copy(), copy);
        taken.delete().unwrap();
        drop(two);
        assert!(Claim::all_left(&folder).is_empty());
        assert_eq!(fs::read_dir(&folder).unwrap().count(), 0, "nothing is left lying about");
        fs::remove_dir(folder).unwrap();
    }

    #[test]
    fn locks_of_killed_programs_are_cleared_away_and_copies_without_one_are_found() {
        let folder = std::env::temp_dir().join(format!("pipeloft-claim-left-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join("work-1-0.lock"), "").unwrap();
        fs::write(folder.join("work-2-0.ron"), "two").unwrap();
        fs::write(folder.join("notes.ron"), "somebody's").unwrap();
        let left = Claim::all_left(&folder);
        assert_eq!(left.iter().map(Claim::copy).collect::<Vec<_>>(), [folder.join("work-2-0.ron")]);
        assert!(!folder.join("work-1-0.lock").exists());
        fs::remove_dir_all(&folder).unwrap();
    }
}
