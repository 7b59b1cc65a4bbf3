//! What comes of a bar, in numbers and sentences; what is wrong with it stands among the problems.

use super::super::form;
use crate::ctx::UiCtx;
use crate::theme::bold;
use eframe::egui::{Label, RichText, Ui};
use pipeloft_core::finding::Finding;
use pipeloft_core::model::{Bar, Item};
use pipeloft_core::report::{BarReport, bar_can_be_made, bar_saw_words};
use pipeloft_core::units;

/// The numbers, and how it goes together.
pub(super) fn result_ui(ui: &mut Ui, ctx: UiCtx<'_>, bar: &Bar, told: &BarReport) {
    let system = ctx.units();
    let all = &ctx.report.findings;
    let made = bar_can_be_made(all, told);
    form(ui, "bar result", |ui| {
        let mut line = |label: &str, value: String| {
            ui.label(label);
            ui.label(bold(value));
            ui.end_row();
        };
        line("Mark", told.mark.clone());
        line("Point to point", units::length(told.eye_to_eye_mm, system));
        if !told.bends.is_empty() {
            line("Along its middle", units::length(told.along_mm, system));
        }
        line("Saw it", bar_saw_words(all, bar, told, system));
        if made {
            line("Mass", units::mass(told.mass_kg, system));
        }
    });
    let item = Item::Bar(told.id);
    let own: Vec<&Finding> = all.iter().filter(|f| f.concerns(item)).collect();
    // what is wrong with a fit stands among the problems already, in the same words
    let is_new = |text: &&String| own.iter().all(|f| f.text != **text);
    if made {
        ui.add(Label::new(&told.adjust).wrap());
    }
    for (side, end) in ["Start", "Far end"].into_iter().zip(&told.ends) {
        if made {
            ui.add(Label::new(format!("{side}: {}.", end.setting(system))).wrap());
        }
        for text in end.plate.iter().chain(&end.pin).filter(is_new) {
            ui.add(Label::new(format!("{side}: {text}")).wrap());
        }
    }
    if let Some(sleeve) = &told.sleeve
        && is_new(&&sleeve.text)
    {
        ui.add(Label::new(&sleeve.text).wrap());
    }
    for note in &told.notes {
        ui.add(Label::new(RichText::new(note).weak()).wrap());
    }
}
