//! Everything a menu, button or key can do, in one table.

mod shortcuts;
mod table;

pub(crate) use shortcuts::{key_text, pressed};
pub(crate) use table::{Action, ShapeKind, text, tooltip};
