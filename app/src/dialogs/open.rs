//! Which window is open over the window, and what it is asked for.

use super::{KeptList, PathEntry};
use crate::job_kind::JobKind;
use std::path::PathBuf;

/// What waits for the answer about unsaved changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pending {
    /// An empty project.
    New,
    /// A file still to be picked.
    Open,
    /// That file.
    OpenPath(PathBuf),
    /// That worked example.
    Demo(usize),
    /// Unsaved work of a window that is gone.
    BringBack,
    /// The end.
    Quit,
}

/// A window over the window.
#[derive(Debug)]
pub(crate) enum Dialog {
    /// Whether to save, before something else.
    Unsaved(Pending),
    /// Whether to leave a form with what was entered in it.
    Form(Leave),
    /// What to do with a file that something else has changed, and what goes on once the work is saved.
    Clash(PathBuf, Option<Pending>),
    /// Unsaved work that windows left behind.
    Kept(KeptList),
    /// What went wrong: title and sentence.
    Trouble(String, String),
    Help,
    Path(PathEntry),
}

/// What a form is left for.
#[derive(Debug)]
pub(crate) enum Leave {
    /// Nothing.
    Close,
    /// Another form.
    Open(JobKind),
    /// Something that ends the project.
    For(Pending),
}
