//! A datum entered in the middle of measuring.

use super::At;
use super::parts::{Hop, Shade, note, sentence, whole, xyz_ui};
use crate::request::Requests;
use crate::theme::bold;
use crate::widgets::{Kind, name_field};
use eframe::egui::{Button, Ui, vec2};
use pipeloft_core::edit::{Edit, apply, new_item};
use pipeloft_core::measure::Level;
use pipeloft_core::model::DatumId;

/// What is typed for the next datum.
#[derive(Debug, Clone, Default)]
pub(super) struct DatumDraft {
    /// Whether its fields are shown.
    open: bool,
    name: Option<String>,
    at: [Option<f64>; 3],
    /// How many were entered: each has fields of its own.
    entered: u32,
}

impl DatumDraft {
    /// Whether something was entered for it.
    pub(super) fn holds_entries(&self) -> bool {
        self.name.is_some() || self.at.iter().any(Option::is_some)
    }

    /// Its fields. Returns the datum that is entered by this; it is in the project from the next frame on.
    pub(super) fn ui(&mut self, ui: &mut Ui, at: At<'_>, requests: &mut Requests) -> Option<DatumId> {
        let first = at.ctx.project.datums.is_empty();
        if !(self.open || first) {
            if ui.add(Button::new("+ New datum").min_size(vec2(120.0, 32.0))).clicked() {
                self.open = true;
            }
            return None;
        }
        let id = at.id.with(("datum draft", self.entered));
        let mut entered = None;
        ui.group(|ui| {
            ui.label(bold("New datum"));
            let mut project = at.ctx.project.clone();
            let mut datum = new_item::datum(&mut project, glam::DVec3::ZERO);
            ui.horizontal(|ui| {
                let shown = self.name.as_deref().unwrap_or(&datum.name);
                if let Some(name) = name_field(ui, id.with("name"), "Datum name", shown) {
                    self.name = Some(name);
                }
            });
            let mut hop = Hop::default();
            xyz_ui(ui, id, None, &mut self.at, Kind::Length(at.ctx.units()), &mut hop);
            hop.go(ui);
            note(ui, "X forward, Y left, Z up, from the corner the whole job is measured from.");
            let place = whole(&self.at);
            let button = Button::new("Add this datum").min_size(vec2(160.0, 34.0));
            let pressed = ui.add_enabled(place.is_some(), button).clicked();
            let Some(place) = place else {
                sentence(ui, Shade::Plain, "Enter its X, Y and Z.");
                return;
            };
            datum.position_mm = place;
            datum.name = self.name.clone().unwrap_or(datum.name);
            let name = datum.name.clone();
            let new = datum.id;
            let edit = Edit::PutDatum(datum);
            if let Err(refusal) = apply(at.ctx.project, &edit) {
                sentence(ui, Shade::Level(Level::Bad), refusal.to_string());
            } else if pressed {
                requests.edit(format!("add {name}"), edit);
                entered = Some(new);
            }
        });
        if entered.is_some() {
            *self =
                Self { entered: self.entered + 1, open: at.ctx.project.datums.len() < 2, ..Self::default() };
        }
        entered
    }
}
