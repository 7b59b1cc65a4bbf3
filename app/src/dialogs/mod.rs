//! Windows over the window: questions that must be answered, help, and the path field.

mod help;
mod path;
mod question;

pub(crate) use help::help_ui;
pub(crate) use path::{PathAnswer, PathEntry, path_ui};
pub(crate) use question::{Answer, recover_ui, unsaved_ui};
