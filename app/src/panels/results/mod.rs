//! Results of the selected run, one file each.

mod bends;
mod buy;
mod cautions;
mod gaps;
mod headline;
mod legs;
mod parts;
mod pieces;
mod problems;
mod sticks;
mod tapers;
mod welds;

pub(super) use bends::bends_ui;
pub(super) use buy::buy_ui;
pub(super) use cautions::cautions_ui;
pub(super) use gaps::{all_gaps_ui, gaps_ui};
pub(super) use headline::headline_ui;
pub(super) use legs::legs_ui;
pub(super) use parts::parts_ui;
pub(super) use pieces::pieces_ui;
pub(super) use problems::{lead_to_first, problems_place_ui};
pub(super) use sticks::sticks_ui;
pub(super) use tapers::tapers_ui;
pub(super) use welds::{weld_words, welds_ui};

use crate::theme::bold;
use eframe::egui::{CollapsingHeader, Ui};

/// A part of the panel that can be folded.
fn fold(ui: &mut Ui, title: &str, salt: &str, open: bool, add: impl FnOnce(&mut Ui)) {
    ui.add_space(4.0);
    CollapsingHeader::new(bold(title)).id_salt(salt).default_open(open).show(ui, add);
}

/// The head of a table.
fn head(ui: &mut Ui, titles: &[&str]) {
    for title in titles {
        ui.label(eframe::egui::RichText::new(*title).small().weak());
    }
    ui.end_row();
}
