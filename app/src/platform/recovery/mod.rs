//! Copies of unsaved work, in case the program or the machine goes down: one a window.
//!
//! The window only hands over what it holds. A thread writes it, so that nothing the window is busy with puts a copy off,
//! and no copy makes the window wait. A copy goes when its work is saved or given up; one whose window is gone without
//! that is offered at every start until somebody decides.

mod claim;
mod copy;
mod pace;

pub use copy::Work;

use claim::Claim;
use pace::Pace;
use pipeloft_core::disk;
use pipeloft_core::file::{Stamp, write_atomic};
use pipeloft_core::model::Project;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError, TryLockError};
use std::time::{Duration, Instant, SystemTime};

/// How long the end of the program waits for a copy that is being written.
const PATIENCE: Duration = Duration::from_secs(2);

/// What is not saved, and how far it is copied.
#[derive(Debug, Default)]
struct State {
    work: Option<Work>,
    pace: Pace,
    /// Why the last copy could not be written.
    problem: Option<String>,
    /// The window is gone.
    ended: bool,
}

/// What the window, the thread that writes, and the end of the program share. Where both are locked, the place goes first.
#[derive(Debug)]
struct Shared {
    folder: PathBuf,
    /// This window's place, once it has one; locked while a copy is written.
    place: Mutex<Option<Claim>>,
    state: Mutex<State>,
    wake: Condvar,
}

/// A lock holds plain values that are whole at any time, so one left by a panic is as good as any.
fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Shared {
    /// Waits until a copy is due, and writes it, until the window is gone.
    fn keep(&self) {
        let mut state = locked(&self.state);
        while !state.ended {
            let now = Instant::now();
            match state.pace.due() {
                Some(due) if due <= now => {
                    drop(state);
                    self.write(&mut locked(&self.place));
                    state = locked(&self.state);
                }
                Some(due) => {
                    let waited = self.wake.wait_timeout(state, due - now);
                    state = waited.unwrap_or_else(PoisonError::into_inner).0;
                }
                None => state = self.wake.wait(state).unwrap_or_else(PoisonError::into_inner),
            }
        }
    }

    /// Writes the newest work into this window's place.
    fn write(&self, place: &mut Option<Claim>) {
        let work = {
            let mut state = locked(&self.state);
            state.pace.done();
            state.work.clone()
        };
        let Some(work) = work else { return };
        let result = self.written(place, &work);
        let mut state = locked(&self.state);
        match &result {
            Ok(()) => log::debug!("unsaved work of {} copied", work.project.name),
            Err(why) => {
                log::warn!("no copy of unsaved work: {why}");
                // tried again in a while
                state.pace.changed(Instant::now());
            }
        }
        state.problem = result.err();
    }

    fn written(&self, place: &mut Option<Claim>, work: &Work) -> Result<(), String> {
        let fails = |e: std::io::Error| format!("{}: cannot be written ({e}).", self.folder.display());
        let claim = match place {
            Some(claim) => claim,
            None => place.insert(Claim::new(&self.folder).map_err(fails)?),
        };
        let text = copy::text_of(work).map_err(|e| e.to_string())?;
        write_atomic(claim.copy(), text.as_bytes()).map_err(|e| e.to_string())
    }
}

/// Writes the copy when the program is about to end without asking anybody.
#[derive(Debug, Clone)]
pub struct LastChance(Option<Arc<Shared>>);

impl LastChance {
    /// Writes what is not copied yet, unless that takes too long to wait for.
    pub fn write(&self) {
        let Some(shared) = &self.0 else { return };
        let begin = Instant::now();
        loop {
            match shared.place.try_lock() {
                Ok(mut place) => return shared.write(&mut place),
                Err(TryLockError::Poisoned(place)) => return shared.write(&mut place.into_inner()),
                Err(TryLockError::WouldBlock) if begin.elapsed() > PATIENCE => return,
                Err(TryLockError::WouldBlock) => std::thread::sleep(Duration::from_millis(5)),
            }
        }
    }
}

/// Work that a window left behind, held for this one until it is decided or dropped.
#[derive(Debug)]
pub struct Kept {
    claim: Claim,
    /// The project, or a sentence why it cannot be read.
    pub project: Result<Box<Project>, String>,
    /// The file it was read from or last saved to.
    pub file: Option<PathBuf>,
    /// What that file held then.
    pub stamp: Option<Stamp>,
    /// When it was copied, where that is known.
    pub at: Option<SystemTime>,
}

impl Kept {
    /// The file that the copy is in.
    pub fn copy(&self) -> &Path {
        self.claim.copy()
    }

    /// Deletes it for good.
    ///
    /// # Errors
    /// A sentence where it cannot be deleted.
    pub fn discard(self) -> Result<(), String> {
        let path = self.claim.copy().to_owned();
        self.claim.delete().map_err(|e| format!("{}: cannot be deleted ({e}).", path.display()))
    }
}

/// The copies of unsaved work as a window deals with them; none at all in most tests.
#[derive(Debug, Default)]
pub struct Recovery {
    shared: Option<Arc<Shared>>,
    writes: bool,
    /// Why there can be no copies.
    hindrance: Option<String>,
}

impl Recovery {
    /// In the place the system has for it.
    pub fn system() -> Self {
        let Some(folder) = super::state_folder() else {
            let words = "this system has no folder for it.".to_owned();
            return Self { shared: None, writes: false, hindrance: Some(words) };
        };
        take_over_older(&folder, &folder.join("unsaved"));
        Self::at(folder.join("unsaved"))
    }

    /// In a given folder.
    pub fn at(folder: PathBuf) -> Self {
        let shared =
            Shared { folder, place: Mutex::default(), state: Mutex::default(), wake: Condvar::new() };
        Self { shared: Some(Arc::new(shared)), writes: false, hindrance: None }
    }

    /// Work that windows left behind which are gone, the newest first. It is this window's to decide on until it is
    /// dropped.
    pub fn left_behind(&self) -> Vec<Kept> {
        let Some(shared) = &self.shared else { return Vec::new() };
        disk::tidy(&shared.folder);
        let kept = |claim: Claim| {
            let copy::Read { project, file, stamp, at } = copy::read(claim.copy());
            Kept { claim, project, file, stamp, at }
        };
        let mut all: Vec<Kept> = Claim::all_left(&shared.folder).into_iter().map(kept).collect();
        all.sort_by_key(|kept| std::cmp::Reverse(kept.at));
        all
    }

    /// Takes work that was left behind as this window's own: its copy stays until the work is saved or given up.
    pub fn adopt(&mut self, kept: Kept) {
        let Some(shared) = self.shared.clone() else { return };
        self.forget();
        *locked(&shared.place) = Some(kept.claim);
    }

    /// Hands over the work as it is now; `None` where a file holds it. Returns when to look again whether it could be
    /// copied.
    pub fn follow(&mut self, work: Option<Work>) -> Option<Duration> {
        let shared = Arc::clone(self.shared.as_ref()?);
        let Some(work) = work else {
            if locked(&shared.state).work.is_some() {
                self.forget();
            }
            return None;
        };
        let mut state = locked(&shared.state);
        let is_known = state.work.as_ref().is_some_and(|known| {
            Arc::ptr_eq(&known.project, &work.project)
                && (&known.file, known.stamp) == (&work.file, work.stamp)
        });
        if !is_known {
            state.pace.changed(Instant::now());
            state.work = Some(work);
            self.begin(&shared, &mut state);
            shared.wake.notify_one();
        }
        let due = state.pace.due()?;
        Some(due.saturating_duration_since(Instant::now()) + Duration::from_millis(200))
    }

    /// Begins the thread that writes.
    fn begin(&mut self, shared: &Arc<Shared>, state: &mut State) {
        if self.writes {
            return;
        }
        let work = Arc::clone(shared);
        match std::thread::Builder::new().name("copies".to_owned()).spawn(move || work.keep()) {
            Ok(_) => self.writes = true,
            Err(error) => state.problem = Some(format!("the system is too busy ({error}).")),
        }
    }

    /// Why no copy of unsaved work can be written, as long as that is so.
    pub fn problem(&self) -> Option<String> {
        let shared = self.shared.as_ref().map(|shared| locked(&shared.state));
        shared.and_then(|state| state.problem.clone()).or_else(|| self.hindrance.clone())
    }

    /// Deletes the copy: its work is saved or given up.
    pub fn forget(&mut self) {
        let Some(shared) = &self.shared else { return };
        let mut place = locked(&shared.place);
        {
            let mut state = locked(&shared.state);
            (state.work, state.problem) = (None, None);
            state.pace.done();
        }
        if let Some(claim) = place.take()
            && let Err(error) = claim.delete()
        {
            log::warn!("the copy of saved work stays behind: {error}");
        }
    }

    /// Writes the copy and leaves it, to be offered as if this window were gone. Returns whether it lies there.
    pub fn set_aside(&mut self) -> bool {
        let Some(shared) = &self.shared else { return false };
        let mut place = locked(&shared.place);
        shared.write(&mut place);
        let mut state = locked(&shared.state);
        state.work = None;
        state.pace.done();
        place.take().is_some() && state.problem.is_none()
    }

    /// What writes the copy at the end.
    pub fn last_chance(&self) -> LastChance {
        LastChance(self.shared.clone())
    }
}

impl Drop for Recovery {
    /// A window that goes without a decision leaves its copy, with all that was done.
    fn drop(&mut self) {
        let Some(shared) = &self.shared else { return };
        let mut place = locked(&shared.place);
        let is_due = locked(&shared.state).pace.due().is_some();
        if is_due {
            shared.write(&mut place);
        }
        let mut state = locked(&shared.state);
        (state.ended, state.work) = (true, None);
        drop(state);
        shared.wake.notify_all();
        *place = None;
    }
}

/// Copies as they were kept before each window had one of its own.
fn take_over_older(from: &Path, to: &Path) {
    let Ok(entries) = std::fs::read_dir(from) else { return };
    for (number, entry) in entries.filter_map(Result::ok).enumerate() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let is_older = name == "unsaved-work.ron" || name.starts_with("older-work-");
        if !is_older || std::fs::create_dir_all(to).is_err() {
            continue;
        }
        let seconds = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).map_or(0, |d| d.as_secs());
        let place = to.join(format!("work-0-{seconds}-{number}.ron"));
        if let Err(error) = std::fs::rename(entry.path(), &place) {
            log::warn!("{}: cannot be taken over ({error})", entry.path().display());
        }
    }
}

#[cfg(test)]
mod tests;
