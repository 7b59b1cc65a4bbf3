//! File dialogs, kept off the thread that draws.

use eframe::egui;
use pipeloft_core::model::ObstacleId;
use pipeloft_core::space::scan::ScanKind;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// What a path is wanted for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// To open a project.
    Open,
    /// To save the project.
    Save,
    /// To write the sheet.
    Sheet,
    /// To bring in a scan.
    Scan,
    /// To say where the file of a scan lies now.
    FindScan(ObstacleId),
}

impl Purpose {
    /// Whether a file is written, not read.
    pub fn writes(self) -> bool {
        match self {
            Self::Save | Self::Sheet => true,
            Self::Open | Self::Scan | Self::FindScan(_) => false,
        }
    }
}

/// A question for a path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    /// What for.
    pub purpose: Purpose,
    /// Folder to begin in.
    pub folder: Option<PathBuf>,
    /// Name on offer.
    pub name: String,
}

impl Ask {
    /// Endings of the files wanted; the first is given to a name without one.
    pub fn endings(&self) -> &'static [&'static str] {
        match self.purpose {
            Purpose::Open | Purpose::Save => &["ron"],
            Purpose::Sheet => &["pdf"],
            Purpose::Scan | Purpose::FindScan(_) => &ScanKind::ENDINGS,
        }
    }

    /// What files of that kind are called.
    fn kind(&self) -> &'static str {
        match self.purpose {
            Purpose::Open | Purpose::Save => "Project",
            Purpose::Sheet => "PDF",
            Purpose::Scan | Purpose::FindScan(_) => "Scan",
        }
    }
}

/// An answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Picked {
    /// That path.
    Path(Purpose, PathBuf),
    /// The user gave up.
    Nothing,
    /// No dialog could be shown here: ask inside the window.
    NoDialog(Ask),
}

/// Where paths come from.
pub trait Files {
    /// Puts a question; a second one while the first is open is dropped.
    fn ask(&mut self, ask: Ask, ctx: &egui::Context);
    /// The answer, once there is one.
    fn answer(&mut self) -> Option<Picked>;
    /// Shows a finished file in the program the system has for it.
    fn show(&mut self, path: &Path) -> Result<(), String>;
}

/// An answer of "nothing" quicker than this was no answer of a person: there is no dialog on this system.
const NO_PERSON: Duration = Duration::from_millis(150);

/// The dialogs of the system.
#[derive(Debug, Default)]
pub struct SystemFiles {
    waiting: Option<Receiver<Picked>>,
}

impl Files for SystemFiles {
    fn ask(&mut self, ask: Ask, ctx: &egui::Context) {
        if self.waiting.is_some() {
            return;
        }
        let (sender, receiver) = channel();
        let ctx = ctx.clone();
        let again = ask.clone();
        let work = move || {
            let begin = Instant::now();
            let mut dialog = rfd::FileDialog::new().add_filter(ask.kind(), ask.endings());
            if let Some(folder) = &ask.folder {
                dialog = dialog.set_directory(folder);
            }
            let path = if ask.purpose.writes() {
                dialog.set_file_name(&ask.name).save_file()
            } else {
                dialog.pick_file()
            };
            let picked = match path {
                Some(path) => Picked::Path(ask.purpose, path),
                None if begin.elapsed() < NO_PERSON => Picked::NoDialog(ask),
                None => Picked::Nothing,
            };
            // the window may be gone by now: then nobody wants the answer
            let _gone = sender.send(picked);
            ctx.request_repaint();
        };
        let spawned = std::thread::Builder::new().name("file dialog".to_owned()).spawn(work);
        self.waiting = Some(receiver);
        if spawned.is_err() {
            let (sender, receiver) = channel();
            let _sent = sender.send(Picked::NoDialog(again));
            self.waiting = Some(receiver);
        }
    }

    fn answer(&mut self) -> Option<Picked> {
        let picked = match self.waiting.as_ref()?.try_recv() {
            Ok(picked) => picked,
            Err(std::sync::mpsc::TryRecvError::Empty) => return None,
            Err(std::sync::mpsc::TryRecvError::Disconnected) => Picked::Nothing,
        };
        self.waiting = None;
        Some(picked)
    }

    fn show(&mut self, path: &Path) -> Result<(), String> {
        opener::open(path).map_err(|e| format!("{}: cannot be shown ({e}). Open it by hand.", path.display()))
    }
}

/// The path without links and dots, where the file is there; else as it stands, from the root.
pub fn real_path(path: &Path) -> PathBuf {
    let whole = || std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    // with links resolved, Windows writes paths in a way that people do not know
    if cfg!(windows) { whole() } else { path.canonicalize().unwrap_or_else(|_| whole()) }
}

/// The folder a file lies in, from the root and without links.
pub(crate) fn folder_of(file: &Path) -> PathBuf {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
    real_path(folder.unwrap_or(Path::new(".")))
}
