//! The panels round the 3D view, one file each.

mod inspector;
mod menu_bar;
mod results;
mod side;
mod status;
mod strip;
mod tree;
mod view_bar;

pub(crate) use menu_bar::menu_bar_ui;
pub(crate) use side::side_ui;
pub(crate) use status::status_ui;
pub(crate) use strip::strip_ui;
pub(crate) use tree::tree_ui;
pub(crate) use view_bar::view_bar_ui;
