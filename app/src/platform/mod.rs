//! What touches the machine: file dialogs, preferences, copies of unsaved work, the log, opening a finished sheet.

mod end;
mod files;
mod journal;
mod prefs;
mod recovery;

pub use end::guard;
pub use files::{Ask, Files, Picked, Purpose, SystemFiles, real_path};
pub use journal::{Journal, start_log, today};
pub use prefs::{Prefs, PrefsStore, documents, first_units};
pub use recovery::{Kept, LastChance, Recovery, Work};

pub(crate) use files::folder_of;

use std::path::PathBuf;

/// The folder for what the program keeps of its own accord: copies of unsaved work and the log.
pub fn state_folder() -> Option<PathBuf> {
    let dirs = directories::ProjectDirs::from("", "", "pipeloft")?;
    Some(dirs.state_dir().unwrap_or_else(|| dirs.data_local_dir()).to_owned())
}
