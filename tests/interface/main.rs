//! The whole window as a person uses it, without a screen: mouse, keys, fields, menus, dialogs.
//!
//! Nothing is drawn here; what counts is the project, the result and the words.
#![expect(clippy::unwrap_used, clippy::float_cmp, reason = "tests; exact means exact")]

mod again;
mod bars;
mod bench;
mod branches;
mod drag_rules;
mod dragging;
mod extremes;
mod fields;
mod forms;
mod items;
mod joints;
mod kept;
mod keyboard;
mod making;
mod measuring_in;
mod opening;
mod panels;
mod path_dialog;
mod plumbing;
mod room;
mod routes;
mod saving;
mod sawing;
mod scans;
mod shelf;
mod unsaved;
