//! Hardpoints from a scan: from three or more points round a rim, or from one on a face.

mod face;
mod make;

pub(super) use face::PickFace;

use super::scan_form::{OwnPoint, beside, head_ui, scan_in, sentence, told};
use super::{Ink, Job, Sketch, Spot, Stay};
use crate::ctx::UiCtx;
use crate::request::Requests;
use eframe::egui::Ui;
use glam::DVec3;
use make::{Mouth, make_ui, tube_like};
use pipeloft_core::geom::vector::any_across;
use pipeloft_core::measure::rim::{Rim, STOCK_WITHIN_MM, rim};
use pipeloft_core::measure::{Level, MeasureError, POINT_SIGMA_MM};
use pipeloft_core::model::{BodyId, Item, ObstacleId};
use pipeloft_core::units;
use std::f64::consts::TAU;

/// The form for a rim.
#[derive(Debug)]
pub(super) struct PickRim {
    id: ObstacleId,
    /// Places, each with the direction towards the viewer when it was clicked.
    points: Vec<(OwnPoint, DVec3)>,
    /// Whether the axis points the other way.
    is_turned: bool,
    /// Whether all but the scan is left out of the picture.
    alone: bool,
    /// Why the last click was of no use, or why no hardpoint could be made.
    note: Option<String>,
}

/// A rim that was found, and what is made of it.
struct FoundRim {
    rim: Rim,
    mouth: Mouth,
    /// Name of the tube it is taken for.
    tube: Option<String>,
}

impl PickRim {
    pub(super) fn new(id: ObstacleId) -> Self {
        Self { id, points: Vec::new(), is_turned: false, alone: true, note: None }
    }

    fn places(&self, ctx: UiCtx<'_>) -> Option<(Vec<DVec3>, BodyId)> {
        let (obstacle, scan) = scan_in(ctx, self.id)?;
        Some((self.points.iter().map(|(p, _)| p.in_vehicle(obstacle, scan)).collect(), obstacle.body))
    }

    /// The rim; `None` while there are fewer than three points.
    fn find(&self, ctx: UiCtx<'_>) -> Option<Result<FoundRim, MeasureError>> {
        let (places, body) = self.places(ctx)?;
        if places.len() < 3 {
            return None;
        }
        // who clicks on a mouth looks into it
        let seen: DVec3 = self.points.iter().map(|(_, to_viewer)| *to_viewer).sum();
        let outward = if self.is_turned { -seen } else { seen };
        let fitted = |known| rim(&places, Some(outward), known, POINT_SIGMA_MM);
        Some(fitted(None).and_then(|bare| {
            let tube = tube_like(ctx.project, bare.diameter_mm);
            // the fit is the same; what is known only checks it
            let rim = if tube.is_some() { fitted(tube.map(|t| t.od_mm))? } else { bare };
            let od_mm = tube.map_or(rim.diameter_mm, |t| t.od_mm);
            let mouth = Mouth { centre_mm: rim.centre_mm, axis: rim.axis, od_mm, body };
            Ok(FoundRim { rim, mouth, tube: tube.map(|t| ctx.project.tube_name(t)) })
        }))
    }

    fn take(&mut self, ctx: UiCtx<'_>, spot: Spot) {
        self.note = beside(ctx, spot, self.id);
        if let (None, Some((obstacle, scan))) = (&self.note, scan_in(ctx, self.id)) {
            self.points.push((OwnPoint::new(obstacle, scan, spot.point), -spot.sight));
        }
    }

    fn found_ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, found: &FoundRim, requests: &mut Requests) -> Stay {
        let size = |mm| units::tube_size(mm, ctx.units());
        let measured = size(found.rim.diameter_mm);
        sentence(ui, format!("Diameter {measured}."));
        if let Some(tube) = &found.tube {
            told(ui, &format!("Taken for {tube}, which is in stock."), Level::Good);
        } else {
            let near = units::length(STOCK_WITHIN_MM, ctx.units());
            let words = format!(
                "No tube in stock is within {near} of it: the hardpoint takes the measured {measured}. Did you click the outside edge?"
            );
            told(ui, &words, Level::Doubtful);
        }
        told(ui, &found.rim.trust.text(ctx.units()), found.rim.trust.level());
        if ui.button("Point it the other way").clicked() {
            self.is_turned = !self.is_turned;
        }
        make_ui(ui, ctx, found.mouth, &mut self.note, requests)
    }
}

impl Job for PickRim {
    fn title(&self) -> String {
        "Pick a rim".to_owned()
    }

    fn ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, spot: Option<Spot>, requests: &mut Requests) -> Stay {
        let Some(parts) = scan_in(ctx, self.id) else { return Stay::Closed };
        if let Some(spot) = spot {
            self.take(ctx, spot);
        }
        let words = match self.points.len() {
            0 => "Click a place on the outside edge of the mouth of the pipe.",
            1 => "Click a second place on the same edge, about a third of the way round.",
            2 => "Click a third place on the same edge, on the side that is left.",
            _ => "Make the hardpoint, or click more places on the same edge to check it by.",
        };
        head_ui(ui, ctx, parts, words, (&mut self.alone, &mut self.note), requests);
        if !self.points.is_empty() {
            ui.horizontal(|ui| {
                ui.label(format!("Points: {}", self.points.len()));
                if ui.button("Take back the last").clicked() {
                    self.points.pop();
                }
                if ui.button("Begin again").clicked() {
                    *self = Self::new(self.id);
                }
            });
        }
        ui.separator();
        match self.find(ctx) {
            Some(Ok(found)) => self.found_ui(ui, ctx, &found, requests),
            Some(Err(error)) => {
                told(ui, &error.text(ctx.units()), Level::Bad);
                Stay::Open
            }
            None => Stay::Open,
        }
    }

    fn holds_entries(&self) -> bool {
        !self.points.is_empty()
    }

    fn sketch(&self, ctx: UiCtx<'_>) -> Sketch {
        let mut sketch = Sketch::default();
        for (i, place) in
            self.places(ctx).map(|(places, _)| places).unwrap_or_default().into_iter().enumerate()
        {
            sketch.mark(place, format!("{}", i + 1), Ink::Main);
        }
        if let Some(Ok(found)) = self.find(ctx) {
            let ink = Ink::of(found.rim.trust.level());
            draw_mouth(&mut sketch, found.mouth, found.rim.diameter_mm, ink);
            let words = units::tube_size(found.rim.diameter_mm, ctx.units());
            sketch.mark(found.rim.centre_mm, words, ink);
        }
        sketch
    }

    fn only(&self) -> Option<Item> {
        self.alone.then_some(Item::Obstacle(self.id))
    }

    fn wants_spots(&self) -> bool {
        true
    }
}

/// Draws a ring of that diameter and the axis out of it.
fn draw_mouth(sketch: &mut Sketch, mouth: Mouth, diameter_mm: f64, ink: Ink) {
    let first = any_across(mouth.axis);
    let across = mouth.axis.cross(first);
    sketch.arc(mouth.centre_mm, (first, across), diameter_mm / 2.0, TAU, (ink, 3.0));
    let tip = mouth.centre_mm + mouth.axis * diameter_mm;
    sketch.line(mouth.centre_mm, tip, ink);
    for side in [first, -first, across, -across] {
        sketch.line(tip, tip - mouth.axis * (0.2 * diameter_mm) + side * (0.08 * diameter_mm), ink);
    }
}
