//! A place by offsets from another: along the vehicle, or along a port.

use super::enter::MeasuredPort;
use super::parts::{Hop, Shade, big_row, note, place_words, row, sentence};
use super::{At, Outcome};
use crate::jobs::{Ink, Sketch};
use crate::widgets::{Kind, choice};
use eframe::egui::Ui;
use glam::DVec3;
use pipeloft_core::geom::Frame;
use pipeloft_core::measure::offset::{PortOffset, along_axes, along_port};
use pipeloft_core::measure::{Level, MeasureError};
use pipeloft_core::model::{BodyId, Item, Project};
use pipeloft_core::units;

/// Which way the offsets go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Along {
    Vehicle,
    Port,
}

/// The form.
#[derive(Debug, Clone)]
pub(super) struct OffsetForm {
    base: Option<Item>,
    along: Along,
    offsets: [Option<f64>; 3],
}

/// Where the offsets begin.
#[derive(Debug, Clone, Copy)]
struct Base {
    at_mm: DVec3,
    body: BodyId,
    /// For a hardpoint with a direction.
    port: Option<Frame>,
}

impl Base {
    fn of(project: &Project, item: Item) -> Option<Self> {
        match item {
            Item::Datum(id) => {
                project.datum(id).map(|d| Self { at_mm: d.position_mm, body: d.body, port: None })
            }
            Item::Hardpoint(id) => {
                project.hardpoint(id).map(|h| Self { at_mm: h.position_mm, body: h.body, port: h.outward() })
            }
            Item::Obstacle(id) => {
                project.obstacle(id).map(|o| Self { at_mm: o.pose.position_mm, body: o.body, port: None })
            }
            Item::Body(_)
            | Item::Tube(_)
            | Item::Elbow(_)
            | Item::Joint(_)
            | Item::Run(_)
            | Item::Merge(_)
            | Item::Bar(_) => None,
        }
    }
}

/// All that offsets can begin from.
fn bases(project: &Project) -> Vec<(Option<Item>, String)> {
    let datums = project.datums.iter().map(|d| (Item::Datum(d.id), format!("{} (datum)", d.name)));
    let ports = project.hardpoints.iter().map(|h| (Item::Hardpoint(h.id), format!("{} (hardpoint)", h.name)));
    let obstacles = project.obstacles.iter().map(|o| (Item::Obstacle(o.id), format!("{} (centre)", o.name)));
    datums.chain(ports).chain(obstacles).map(|(item, words)| (Some(item), words)).collect()
}

impl OffsetForm {
    /// Whether an offset was entered.
    pub(super) fn holds_entries(&self) -> bool {
        self.offsets.iter().any(Option::is_some)
    }

    /// Begins from the first datum, where there is one.
    pub(super) fn new(project: &Project) -> Self {
        let base = project.datums.first().map(|d| Item::Datum(d.id));
        Self { base, along: Along::Vehicle, offsets: [None; 3] }
    }

    /// The fields.
    pub(super) fn ui(&mut self, ui: &mut Ui, at: At<'_>, sketch: &mut Sketch) -> Outcome {
        let project = at.ctx.project;
        let on_offer = bases(project);
        if on_offer.is_empty() {
            let words =
                "There is nothing to measure from yet: enter a datum first, at a place you can find again.";
            return Err(words.to_owned());
        }
        ui.horizontal(|ui| {
            if let Some(base) = choice(ui, at.id.with("base"), "Measured from", &self.base, &on_offer) {
                self.base = base;
            }
        });
        self.base = self.base.filter(|item| project.has(*item));
        let base = self.base.and_then(|item| Base::of(project, item));
        let port = base.and_then(|b| b.port);
        if port.is_some() {
            let ways = [(Along::Vehicle, "Along the vehicle"), (Along::Port, "Along the port")];
            if let Some(along) = big_row(ui, Some(self.along), &ways) {
                self.along = along;
            }
        }
        let port = port.filter(|_| self.along == Along::Port);
        self.fields_ui(ui, at, port.is_some());
        let base = base.ok_or("Choose what it is measured from.")?;
        let result = self.place(&base, port);
        let place = result.map_err(|error| {
            sentence(ui, Shade::Level(Level::Bad), error.text(at.ctx.units()));
            "The offsets lead nowhere: see above."
        })?;
        self.draw(at, &base, port, sketch);
        if self.offsets.iter().all(Option::is_none) {
            return Err("Enter at least one offset; what is left empty is 0.".to_owned());
        }
        Ok(MeasuredPort { position_mm: Some(place), body: Some(base.body), ..MeasuredPort::default() })
    }

    fn fields_ui(&mut self, ui: &mut Ui, at: At<'_>, port: bool) {
        let labels = if port {
            ["Out of the part", "To 12 o'clock", "To 3 o'clock"]
        } else {
            ["Forward", "To the left", "Up"]
        };
        let id = at.id.with(("offsets", port));
        let mut hop = Hop::default();
        for (label, value) in labels.into_iter().zip(&mut self.offsets) {
            ui.horizontal(|ui| {
                row(ui, id.with(label), label, value, Kind::Length(at.ctx.units()), &mut hop);
            });
        }
        hop.go(ui);
        note(
            ui,
            if port {
                "As seen along the port's arrow with 12 o'clock up. Minus goes the other way."
            } else {
                "Minus goes back, to the right, or down."
            },
        );
    }

    fn values(&self) -> DVec3 {
        DVec3::from_array(self.offsets.map(|o| o.unwrap_or(0.0)))
    }

    /// Where the given offsets lead.
    fn led(base: &Base, port: Option<Frame>, by: DVec3) -> Result<DVec3, MeasureError> {
        let offset = match port {
            Some(port) => along_port(&port, PortOffset { out_mm: by.x, twelve_mm: by.y, three_mm: by.z })?,
            None => along_axes(base.at_mm, by)?,
        };
        Ok(offset.position_mm)
    }

    fn place(&self, base: &Base, port: Option<Frame>) -> Result<DVec3, MeasureError> {
        Self::led(base, port, self.values())
    }

    /// The legs of the way, one after the other.
    fn draw(&self, at: At<'_>, base: &Base, port: Option<Frame>, sketch: &mut Sketch) {
        let units = at.ctx.units();
        let by = self.values();
        sketch.mark(base.at_mm, "", Ink::Help);
        let steps = [DVec3::new(by.x, 0.0, 0.0), DVec3::new(by.x, by.y, 0.0), by];
        let mut from = base.at_mm;
        for (i, step) in steps.into_iter().enumerate() {
            let Ok(to) = Self::led(base, port, step) else { return };
            if by[i] != 0.0 {
                sketch.line(from, to, Ink::Main);
                sketch.note(from.midpoint(to), units::length(by[i].abs(), units), Ink::Main);
            }
            from = to;
        }
        if by != DVec3::ZERO {
            sketch.line(base.at_mm, from, Ink::Help);
            sketch.mark(from, place_words(from, units), Ink::Good);
        }
    }
}
