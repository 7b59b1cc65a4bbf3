//! File dialogs, kept off the thread that draws.

use eframe::egui;
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
    /// Ending of the files wanted.
    pub fn extension(&self) -> &'static str {
        match self.purpose {
            Purpose::Open | Purpose::Save => "ron",
            Purpose::Sheet => "pdf",
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
            let mut dialog = rfd::FileDialog::new();
            dialog = match ask.purpose {
                Purpose::Open | Purpose::Save => dialog.add_filter("Project", &["ron"]),
                Purpose::Sheet => dialog.add_filter("PDF", &["pdf"]),
            };
            if let Some(folder) = &ask.folder {
                dialog = dialog.set_directory(folder);
            }
            let path = match ask.purpose {
                Purpose::Open => dialog.pick_file(),
                Purpose::Save | Purpose::Sheet => dialog.set_file_name(&ask.name).save_file(),
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
