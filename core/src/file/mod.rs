//! Reading and writing projects: one RON document a file.
//!
//! The file begins with `format: N`. Field names carry their unit (`_mm`, `_deg`). Files of an older format are
//! brought up to date while loading; newer ones are refused with a sentence. Knows no edit, no gap and no report.

mod load;
mod old;
mod save;
mod stamp;

pub use load::{LoadError, from_text, load, load_stamped};
pub use save::{SaveError, file_stem, save, save_text, to_text, write_atomic};
pub use stamp::Stamp;

/// A text longer than this is no project of ours: reading it would only take time and memory, bytes.
pub const MAX_BYTES: u64 = 8_000_000;
