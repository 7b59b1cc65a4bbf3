//! Keeps the scans that have been read in step with the project: reads those it names, one at a time, beside the
//! window, and keeps a few for a while, so that taking back and doing again need not read anything.

use crate::request::ReadScan;
use crate::session::Session;
use crate::task::{Done, Task};
use eframe::egui;
use pipeloft_core::model::{ObstacleId, Project, ScanFile};
use pipeloft_core::space::scan::{ScanKind, ScanState, bring, scan_path, scans_of, with_folder_of_scan};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Scans that are kept besides those of the project.
const MOST_KEPT: usize = 3;

/// A scan that is being read.
#[derive(Debug)]
struct Reading {
    scan: ScanFile,
    path: PathBuf,
    task: Task<ScanState>,
}

/// Reads scans.
#[derive(Debug, Default)]
pub(crate) struct Loader {
    /// What has been read, the newest last.
    kept: Vec<(ScanFile, ScanState)>,
    reading: Option<Reading>,
}

impl Loader {
    /// Forgets everything: another project is opened.
    pub(crate) fn forget(&mut self) {
        *self = Self::default();
    }

    /// Forgets one scan, so that its file is looked at again.
    pub(crate) fn forget_one(&mut self, scan: &ScanFile) {
        self.kept.retain(|(kept, _)| !kept.same_triangles(scan));
    }

    /// Keeps a scan that a form has read.
    pub(crate) fn keep(&mut self, read: &ReadScan) {
        self.remember(read.file.clone(), ScanState::Ready(Arc::clone(&read.tree)));
    }

    /// Notes that paths count from another folder.
    pub(crate) fn count_from(&mut self, from: Option<&Path>, to: Option<&Path>) {
        let scans = self.kept.iter_mut().map(|(scan, _)| scan);
        for scan in scans.chain(self.reading.as_mut().map(|reading| &mut reading.scan)) {
            if let Some(filed) = with_folder_of_scan(scan, from, to) {
                *scan = filed;
            }
        }
    }

    /// What is being read, in words.
    pub(crate) fn words(&self) -> Option<String> {
        let Reading { path, task, .. } = self.reading.as_ref()?;
        let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        Some(format!(
            "Reading the scan {name}: {:.0} %. Gaps to it are not checked yet.",
            100.0 * task.part()
        ))
    }

    /// Takes over what has been read, stops what is no longer wanted, begins what is.
    pub(crate) fn follow(&mut self, session: &mut Session, ctx: &egui::Context) {
        let project = Arc::clone(session.project());
        let folder = session.folder().map(PathBuf::from);
        self.look(&project, folder.as_deref(), ctx);
        if scans_of(&project).next().is_none() {
            return;
        }
        let mut scans = (**session.scans()).clone();
        scans.keep_only(&project);
        let mut is_new = false;
        for (_, scan) in scans_of(&project) {
            let begun = match scans.state(scan) {
                Some(ScanState::Ready(_) | ScanState::Missing(_) | ScanState::Changed(..)) => continue,
                Some(ScanState::Reading) => true,
                None => false,
            };
            if let Some(state) = self.recall(scan) {
                scans.set(scan.clone(), state);
                is_new = true;
                continue;
            }
            if self.reading.is_none() {
                self.begin(scan, folder.as_deref(), ctx);
            }
            // those that wait for their turn count as being read too
            if !begun {
                scans.set(scan.clone(), ScanState::Reading);
                is_new = true;
            }
        }
        if is_new {
            session.take_scans(scans);
        }
    }

    /// Takes over what has been read; stops it where the project does not want it any more.
    fn look(&mut self, project: &Project, folder: Option<&Path>, ctx: &egui::Context) {
        let Some(reading) = &self.reading else { return };
        let is_it =
            |scan: &ScanFile| scan.same_triangles(&reading.scan) && scan_path(scan, folder) == reading.path;
        if !scans_of(project).any(|(_, scan)| is_it(scan)) {
            self.reading = None;
            return;
        }
        let state = match reading.task.look(ctx) {
            Done::NotYet => return,
            Done::With(state) => state,
            Done::Never => ScanState::Missing(format!("{} could not be read.", reading.path.display())),
        };
        let scan = reading.scan.clone();
        self.reading = None;
        self.remember(scan, state);
    }

    fn begin(&mut self, scan: &ScanFile, folder: Option<&Path>, ctx: &egui::Context) {
        let path = scan_path(scan, folder);
        let (work, from) = (scan.clone(), folder.map(PathBuf::from));
        let task = Task::begin("scan", ctx, move |watch| bring(&work, from.as_deref(), watch));
        if let Some(task) = task {
            self.reading = Some(Reading { scan: scan.clone(), path, task });
        } else {
            let words = "could not be read: the system is too busy. Press Read it again.";
            self.remember(scan.clone(), ScanState::Missing(format!("{} {words}", path.display())));
            ctx.request_repaint();
        }
    }

    fn remember(&mut self, scan: ScanFile, state: ScanState) {
        self.kept.retain(|(kept, _)| !kept.same_triangles(&scan));
        self.kept.push((scan, state));
        if self.kept.len() > MOST_KEPT {
            self.kept.remove(0);
        }
    }

    /// What is kept of a scan. What could not be read is told once; the next time it is looked for anew.
    fn recall(&mut self, scan: &ScanFile) -> Option<ScanState> {
        let index = self.kept.iter().position(|(kept, _)| kept.same_triangles(scan))?;
        let (kept, state) = self.kept.remove(index);
        if !matches!(state, ScanState::Missing(_)) {
            self.kept.push((kept, state.clone()));
        }
        Some(state)
    }
}

/// Whether a file is a scan, by its ending.
pub(crate) fn is_scan(path: &Path) -> bool {
    let ending = path.extension().map(|e| e.to_string_lossy().to_ascii_lowercase());
    ending.is_some_and(|ending| ScanKind::ENDINGS.contains(&ending.as_str()))
}

/// The scan of an obstacle; `None` where it is none.
pub(crate) fn scan_of(project: &Project, id: ObstacleId) -> Option<&ScanFile> {
    scans_of(project).find(|(obstacle, _)| obstacle.id == id).map(|(_, scan)| scan)
}
