//! What the program holds. What it does with it stands in the files that come after: opening and saving, verbs, questions,
//! and the frame.

use crate::dialogs::{Dialog, Pending};
use crate::jobs::Job;
use crate::lobe_rooms::LobeRooms;
use crate::platform::{Files, Prefs, PrefsStore, Recovery};
use crate::scans::Loader;
use crate::selection::Selection;
use crate::session::{Session, Wake};
use crate::viewport::ViewState;
use crate::viewport::gl::GlView;
use eframe::egui;
use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};

/// How the program is started.
#[derive(Default)]
pub struct Setup {
    /// File named on the command line.
    pub open: Option<PathBuf>,
    /// Where paths come from; the system's dialogs where none is given.
    pub files: Option<Box<dyn Files>>,
    /// Where preferences are kept.
    pub prefs: PrefsStore,
    /// Where unsaved work is kept.
    pub recovery: Recovery,
    /// Whether better layouts on sticks are looked for beside the window.
    pub look_on: bool,
}

impl std::fmt::Debug for Setup {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Setup").field("open", &self.open).finish_non_exhaustive()
    }
}

/// The program.
pub struct App {
    pub(crate) session: Session,
    /// Reads the scans of the project.
    pub(crate) loader: Loader,
    pub(crate) view: ViewState,
    /// What is under the pointer, as of the last frame.
    pub(crate) hover: Selection,
    pub(crate) gl: Option<Arc<Mutex<GlView>>>,
    pub(crate) files: Box<dyn Files>,
    pub(crate) prefs: Prefs,
    pub(crate) store: PrefsStore,
    pub(crate) recovery: Recovery,
    pub(crate) dialog: Option<Dialog>,
    /// Windows over the window that come after that one.
    pub(crate) waiting: VecDeque<Dialog>,
    /// Room round the lobes of joints that were looked at.
    pub(crate) lobes: LobeRooms,
    /// The form that has taken the place of the right-hand panel.
    pub(crate) job: Option<Box<dyn Job>>,
    /// What goes on once a save that was asked for has worked.
    pub(crate) after_save: Option<Pending>,
    pub(crate) title: String,
    /// Whether a field had the focus, or a menu, list or dialog was open, at the end of the last frame.
    pub(crate) engaged: bool,
    pub(crate) quitting: bool,
    /// Whether the window was asked to close in the last frame, while something was being typed.
    pub(crate) closing: bool,
    pub(crate) wake: Option<Wake>,
    /// Size of the screen the window has been fitted to, points.
    pub(crate) screen: Option<egui::Vec2>,
}

impl std::fmt::Debug for App {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("App").field("session", &self.session).finish_non_exhaustive()
    }
}
