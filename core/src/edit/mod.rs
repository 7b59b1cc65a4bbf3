//! Changing a project: an edit is data, applying it is a pure function, history keeps the projects.
//! Knows no file, no gap and no report.

pub mod again;
pub mod apply;
pub mod handle;
pub mod history;
pub mod mend;
pub mod new_item;
pub mod reshape;
pub mod snap;

pub use apply::{Edit, EditError, apply};
pub use history::History;
