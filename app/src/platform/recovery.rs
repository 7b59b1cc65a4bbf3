//! A copy of unsaved work, in case the program or the machine goes down.

use pipeloft_core::file::{load, to_text, write_atomic};
use pipeloft_core::model::Project;
use pipeloft_core::space::scan::with_folder;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// How long after a change the copy is written.
const DELAY: Duration = Duration::from_secs(3);

/// Keeps the copy up to date; it is deleted when the work is saved or given up.
#[derive(Debug, Default)]
pub struct Recovery {
    file: Option<PathBuf>,
    /// What the paths in the project count from.
    folder: Option<PathBuf>,
    seen: Option<Arc<Project>>,
    changed: Option<Instant>,
}

impl Recovery {
    /// The place the system has for it.
    pub fn system() -> Self {
        let dirs = directories::ProjectDirs::from("", "", "pipeloft");
        let folder = dirs.map(|d| d.state_dir().unwrap_or_else(|| d.data_local_dir()).to_owned());
        Self { file: folder.map(|f| f.join("unsaved-work.ron")), ..Self::default() }
    }

    /// A given file.
    pub fn at(file: PathBuf) -> Self {
        Self { file: Some(file), ..Self::default() }
    }

    /// Work that an earlier start left behind.
    pub fn left_behind(&self) -> Option<Project> {
        load(self.file.as_ref()?).ok()
    }

    /// Says what folder the paths in the project count from: the copy lies elsewhere, so in it they are whole.
    pub fn set_folder(&mut self, folder: Option<PathBuf>) {
        self.folder = folder;
    }

    /// Looks at the project as it is now; writes the copy once it has been left alone for a while. Returns when to
    /// look again.
    pub fn follow(&mut self, project: &Arc<Project>, dirty: bool, now: Instant) -> Option<Duration> {
        self.file.as_ref()?;
        if !dirty {
            if self.seen.is_some() {
                self.forget();
            }
            return None;
        }
        if !self.seen.as_ref().is_some_and(|s| Arc::ptr_eq(s, project)) {
            self.seen = Some(Arc::clone(project));
            self.changed = Some(now);
        }
        let since = now.duration_since(self.changed?);
        if let Some(wait) = DELAY.checked_sub(since).filter(|w| !w.is_zero()) {
            return Some(wait);
        }
        self.changed = None;
        self.write(project);
        None
    }

    /// Writes the copy at once.
    fn write(&self, project: &Project) {
        let Some(file) = &self.file else { return };
        let write = || -> Result<(), String> {
            if let Some(folder) = file.parent() {
                std::fs::create_dir_all(folder).map_err(|e| e.to_string())?;
            }
            let whole = with_folder(project, self.folder.as_deref(), None);
            let text = to_text(whole.as_ref().unwrap_or(project)).map_err(|e| e.to_string())?;
            write_atomic(file, text.as_bytes()).map_err(|e| e.to_string())
        };
        if let Err(error) = write() {
            log::warn!("no copy of the unsaved work could be kept: {error}");
        }
    }

    /// Puts the copy where later copies do not overwrite it. Returns where; `None` where there is none, or it
    /// cannot be moved.
    pub fn put_aside(&mut self) -> Option<PathBuf> {
        let file = self.file.as_ref()?;
        let aside =
            (1..1000).map(|n| file.with_file_name(format!("older-work-{n}.ron"))).find(|p| !p.exists())?;
        match std::fs::rename(file, &aside) {
            Ok(()) => Some(aside),
            Err(error) => {
                log::warn!("the copy of unsaved work could not be put aside: {error}");
                None
            }
        }
    }

    /// Deletes the copy.
    pub fn forget(&mut self) {
        (self.seen, self.changed) = (None, None);
        if let Some(file) = &self.file
            && file.exists()
            && let Err(error) = std::fs::remove_file(file)
        {
            log::warn!("the copy of saved work stays behind: {error}");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec3;
    use pipeloft_core::edit::new_item;
    use pipeloft_core::model::{ScanFile, Shape};
    use pipeloft_core::units::UnitSystem;

    #[test]
    fn a_copy_is_kept_once_the_work_rests_and_goes_when_it_is_saved() {
        let folder = std::env::temp_dir().join(format!("pipeloft-recovery-{}", std::process::id()));
        let mut recovery = Recovery::at(folder.join("copy.ron"));
        let project = Arc::new(Project::new("Half done", UnitSystem::Millimetre));
        let start = Instant::now();
        assert_eq!(recovery.follow(&project, true, start), Some(DELAY));
        assert!(recovery.left_behind().is_none());
        recovery.follow(&project, true, start + DELAY);
        assert_eq!(recovery.left_behind().map(|p| p.name), Some("Half done".to_owned()));
        let aside = recovery.put_aside().unwrap();
        assert!(aside.exists() && recovery.left_behind().is_none());
        recovery.follow(&project, true, start + DELAY);
        recovery.follow(&Arc::new((*project).clone()), true, start + DELAY);
        recovery.follow(&project, true, start + 2 * DELAY);
        recovery.follow(&project, true, start + 3 * DELAY);
        assert!(recovery.left_behind().is_some());
        recovery.follow(&project, false, start + 3 * DELAY);
        assert!(recovery.left_behind().is_none() && aside.exists());
        std::fs::remove_dir_all(folder).unwrap();
    }

    #[test]
    fn a_copy_finds_the_scans_of_the_project_from_where_it_lies() {
        let folder = std::env::temp_dir().join(format!("pipeloft-recovery-scan-{}", std::process::id()));
        let mut recovery = Recovery::at(folder.join("copy.ron"));
        recovery.set_folder(Some(PathBuf::from("/work/bay")));
        let mut project = Project::new("Half done", UnitSystem::Millimetre);
        let scan = ScanFile {
            path: "scans/left.stl".to_owned(),
            bytes: 1,
            sha256: "0".repeat(64),
            mm_per_unit: 1.0,
            low_mm: DVec3::ZERO,
            high_mm: DVec3::ONE,
            keep: None,
        };
        let obstacle = new_item::obstacle(&mut project, Shape::Scan(scan), DVec3::ZERO);
        project.obstacles.push(obstacle);
        recovery.write(&project);
        let copy = recovery.left_behind().unwrap();
        let Shape::Scan(scan) = &copy.obstacles[0].shape else { panic!("no scan") };
        assert_eq!(scan.path, "/work/bay/scans/left.stl");
        std::fs::remove_dir_all(folder).unwrap();
    }
}
