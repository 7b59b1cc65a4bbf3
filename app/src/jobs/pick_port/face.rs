//! A hardpoint from one point of a face: the pipe leaves square to the triangle that was clicked.

use super::make::{Mouth, make_ui};
use super::{OwnPoint, beside, draw_mouth, head_ui, scan_in};
use crate::ctx::UiCtx;
use crate::jobs::{Ink, Job, Sketch, Spot, Stay};
use crate::request::Requests;
use crate::widgets::choice;
use eframe::egui::{Id, Ui};
use glam::DVec3;
use pipeloft_core::model::{Item, ObstacleId, TubeId};

/// The form.
#[derive(Debug)]
pub(in crate::jobs) struct PickFace {
    id: ObstacleId,
    /// The place, and the unit direction square to the face in the scan's own axes, towards the viewer.
    picked: Option<(OwnPoint, DVec3)>,
    tube: Option<TubeId>,
    /// Whether all but the scan is left out of the picture.
    alone: bool,
    note: Option<String>,
}

impl PickFace {
    pub(in crate::jobs) fn new(id: ObstacleId) -> Self {
        Self { id, picked: None, tube: None, alone: true, note: None }
    }

    fn take(&mut self, ctx: UiCtx<'_>, spot: Spot) {
        self.note = beside(ctx, spot, self.id);
        let Some((obstacle, scan)) = scan_in(ctx, self.id).filter(|_| self.note.is_none()) else { return };
        match spot.normal {
            Some(normal) => {
                let own = obstacle.pose.rotation().inverse() * normal;
                self.picked = Some((OwnPoint::new(obstacle, scan, spot.point), own));
            }
            None => {
                self.note = Some("The scan has not been read yet. Wait a moment and click again.".to_owned());
            }
        }
    }

    fn mouth(&self, ctx: UiCtx<'_>) -> Option<Mouth> {
        let ((own, normal), (obstacle, scan)) = (self.picked?, scan_in(ctx, self.id)?);
        let tube = self.tube.and_then(|id| ctx.project.tube(id)).or(ctx.project.tubes.first());
        Some(Mouth {
            centre_mm: own.in_vehicle(obstacle, scan),
            axis: obstacle.pose.rotation() * normal,
            od_mm: tube.map_or(63.5, |tube| tube.od_mm),
            body: obstacle.body,
        })
    }
}

impl Job for PickFace {
    fn title(&self) -> String {
        "Pick a face".to_owned()
    }

    fn ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, spot: Option<Spot>, requests: &mut Requests) -> Stay {
        let Some(parts) = scan_in(ctx, self.id) else { return Stay::Closed };
        if let Some(spot) = spot {
            self.take(ctx, spot);
        }
        let words = match self.picked {
            None => "Click the middle of the face that the pipe leaves from.",
            Some(_) => "Make the hardpoint, or click another place. One triangle says which way: check it.",
        };
        head_ui(ui, ctx, parts, words, (&mut self.alone, &mut self.note), requests);
        let Some(mouth) = self.mouth(ctx) else { return Stay::Open };
        let first = ctx.project.tubes.first().map(|tube| tube.id);
        let tubes: Vec<(Option<TubeId>, String)> =
            ctx.project.tubes.iter().map(|tube| (Some(tube.id), ctx.project.tube_name(tube))).collect();
        ui.horizontal(|ui| {
            let current = self.tube.or(first);
            if let Some(tube) = choice(ui, Id::unique("face tube"), "Tube", &current, &tubes) {
                self.tube = tube;
            }
        });
        make_ui(ui, ctx, mouth, &mut self.note, requests)
    }

    fn holds_entries(&self) -> bool {
        self.picked.is_some()
    }

    fn sketch(&self, ctx: UiCtx<'_>) -> Sketch {
        let mut sketch = Sketch::default();
        if let Some(mouth) = self.mouth(ctx) {
            draw_mouth(&mut sketch, mouth, mouth.od_mm, Ink::Main);
            sketch.mark(mouth.centre_mm, "", Ink::Main);
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
