//! The panels round the 3D view, one file each.

mod inspector;
mod item_menu;
mod lobe;
mod lobe_room;
mod menu_bar;
mod results;
mod side;
mod status;
mod strip;
mod tree;
mod view_bar;

pub(crate) use item_menu::item_menu_ui;
pub(crate) use lobe_room::lobe_sketch;
pub(crate) use menu_bar::menu_bar_ui;
pub(crate) use side::side_ui;
pub(crate) use status::{no_copies_ui, status_ui};
pub(crate) use strip::strip_ui;
pub(crate) use tree::tree_ui;
pub(crate) use view_bar::view_bar_ui;

use crate::ctx::UiCtx;
use pipeloft_core::fab::nest::saw_reads_deg;
use pipeloft_core::units;

/// A cut as the saw's scale reads it; `tilt_deg` is its angle from square.
fn saw_words(ctx: UiCtx<'_>, tilt_deg: f64) -> String {
    let reads = saw_reads_deg(tilt_deg.to_radians(), ctx.project.settings.saw.scale);
    format!("{}°", units::plain_number(reads, 3))
}
