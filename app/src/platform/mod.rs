//! What touches the machine: file dialogs, preferences, opening a finished sheet.

mod files;
mod prefs;
mod recovery;

pub use files::{Ask, Files, Picked, Purpose, SystemFiles, real_path};
pub use prefs::{Prefs, PrefsStore, documents, first_units};
pub use recovery::Recovery;
