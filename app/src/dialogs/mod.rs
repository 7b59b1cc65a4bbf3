//! Windows over the window: questions that must be answered, what went wrong, help, and the path field.

mod help;
mod kept;
mod open;
mod path;
mod question;

pub(crate) use help::help_ui;
pub(crate) use kept::{KeptAnswer, KeptList, kept_ui};
pub use open::Pending;
pub(crate) use open::{Dialog, Leave};
pub(crate) use path::{PathAnswer, PathEntry, path_ui};
pub(crate) use question::{Answer, Clash, clash_ui, form_ui, trouble_ui, unsaved_ui};
