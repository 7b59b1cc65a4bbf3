//! What the forms about a scan have in common.

use super::{Ink, Sketch, Spot};
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::theme::{Tokens, bold};
use crate::widgets::{Kind, number};
use eframe::egui::{Button, Grid, Id, Label, Response, RichText, Ui, vec2};
use glam::DVec3;
use pipeloft_core::edit::Edit;
use pipeloft_core::measure::Level;
use pipeloft_core::model::{Item, Obstacle, ObstacleId, Pose, ScanFile, Shape};
use pipeloft_core::space::scan::ScanState;

/// The scan a form is about; `None` where it is gone.
pub(super) fn scan_in(ctx: UiCtx<'_>, id: ObstacleId) -> Option<(&Obstacle, &ScanFile)> {
    pipeloft_core::space::scan::scans_of(ctx.project).find(|(obstacle, _)| obstacle.id == id)
}

/// The obstacle with another scan in it.
pub(super) fn with_scan(obstacle: &Obstacle, scan: ScanFile) -> Obstacle {
    Obstacle { shape: Shape::Scan(scan), ..obstacle.clone() }
}

/// A point that was clicked on a scan, in the scan's own axes and unit: it stays on its place of the scan wherever
/// that is moved and however it is scaled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct OwnPoint(DVec3);

impl OwnPoint {
    /// From a point of the vehicle, mm.
    pub(super) fn new(obstacle: &Obstacle, scan: &ScanFile, point_mm: DVec3) -> Self {
        Self(obstacle.pose.own_from_world(point_mm) / scan.mm_per_unit)
    }

    /// In the scan's own axes, mm.
    pub(super) fn own_mm(self, scan: &ScanFile) -> DVec3 {
        self.0 * scan.mm_per_unit
    }

    /// In the vehicle, mm.
    pub(super) fn in_vehicle(self, obstacle: &Obstacle, scan: &ScanFile) -> DVec3 {
        obstacle.pose.world_from_own(self.own_mm(scan))
    }
}

/// Why a click is of no use: it was not on the scan.
pub(super) fn beside(ctx: UiCtx<'_>, spot: Spot, id: ObstacleId) -> Option<String> {
    (spot.item != Item::Obstacle(id)).then(|| {
        let name = ctx.project.name_of(spot.item);
        format!(
            "That was {name}, not the scan. Turn the view so that nothing is in front, or show only the scan."
        )
    })
}

/// Says why nothing can be clicked where the scan is not to be seen, with what mends it.
pub(super) fn unseen_ui(ui: &mut Ui, ctx: UiCtx<'_>, parts: (&Obstacle, &ScanFile), requests: &mut Requests) {
    let (obstacle, scan) = parts;
    if obstacle.hidden {
        told(ui, "The scan is hidden, so it cannot be clicked on.", Level::Doubtful);
        if ui.button("Show it").clicked() {
            requests
                .edit(format!("show {}", obstacle.name), Edit::SetHidden(Item::Obstacle(obstacle.id), false));
        }
    }
    match ctx.scans.state(scan) {
        Some(ScanState::Ready(_)) => {}
        None | Some(ScanState::Reading) => sentence(ui, "The scan is being read: wait a moment."),
        Some(ScanState::Missing(why)) => told(ui, why, Level::Bad),
        Some(ScanState::Changed(_, why)) => told(ui, why, Level::Doubtful),
    }
}

/// A switch for whether all but the scan is left out of the picture; whether it was turned.
pub(super) fn alone_ui(ui: &mut Ui, alone: &mut bool) -> bool {
    ui.checkbox(alone, "Show only the scan")
        .on_hover_text("Leave out all else, so that nothing is in front of it")
        .changed()
}

/// The head of a form that picks places on a scan: what to do, why it cannot be done, the switch for showing the scan
/// alone, and why the last click was of no use.
pub(super) fn head_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    parts: (&Obstacle, &ScanFile),
    words: &str,
    (alone, note): (&mut bool, &mut Option<String>),
    requests: &mut Requests,
) {
    sentence(ui, words);
    unseen_ui(ui, ctx, parts, requests);
    if alone_ui(ui, alone) {
        *note = None;
    }
    if let Some(note) = note {
        told(ui, note, Level::Doubtful);
    }
}

/// A button that is hard to miss.
pub(super) fn big_button(ui: &mut Ui, words: &str, enabled: bool) -> Response {
    ui.add_enabled(enabled, Button::new(bold(words)).min_size(vec2(190.0, 36.0)))
}

/// A sentence over as many lines as it takes.
pub(super) fn sentence(ui: &mut Ui, words: impl Into<String>) {
    ui.add(Label::new(words.into()).wrap());
}

/// A sentence in the colour of how far it is to be believed.
pub(super) fn told(ui: &mut Ui, words: &str, level: Level) {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let mark = match level {
        Level::Good => "✔",
        Level::Doubtful => "⚠",
        Level::Bad => "✖",
    };
    let colour = Ink::of(level).colour(tokens);
    ui.add(Label::new(RichText::new(format!("{mark} {words}")).color(colour)).wrap());
}

/// Rows of numbers, label and field; whether one was changed.
pub(super) fn rows(ui: &mut Ui, id: Id, kind: Kind, rows: &mut [(String, &mut f64)]) -> bool {
    let mut changed = false;
    Grid::new(id.with("rows")).num_columns(2).min_col_width(118.0).show(ui, |ui| {
        for (label, value) in rows {
            if let Some(new) = number(ui, id.with(label.as_str()), label, **value, kind) {
                **value = new;
                changed = true;
            }
            ui.end_row();
        }
    });
    changed
}

/// Three rows for a point or three angles.
pub(super) fn vector(ui: &mut Ui, id: Id, kind: Kind, labels: [String; 3], value: &mut DVec3) -> bool {
    let [x, y, z] = labels;
    rows(ui, id, kind, &mut [(x, &mut value.x), (y, &mut value.y), (z, &mut value.z)])
}

/// The box along other axes round a box: where `map` takes its corners.
pub(super) fn box_round(map: impl Fn(DVec3) -> DVec3, (low, high): (DVec3, DVec3)) -> (DVec3, DVec3) {
    let corner = |i: usize| {
        let of = |axis: usize| if i & (1 << axis) == 0 { low[axis] } else { high[axis] };
        map(DVec3::new(of(0), of(1), of(2)))
    };
    (0..8)
        .map(corner)
        .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(low, high), p| (low.min(p), high.max(p)))
}

/// Draws the edges of a box along the axes of a pose.
pub(super) fn draw_box(sketch: &mut Sketch, pose: &Pose, (low, high): (DVec3, DVec3), ink: Ink) {
    let corner = |i: usize| {
        let of = |axis: usize| if i & (1 << axis) == 0 { low[axis] } else { high[axis] };
        pose.world_from_own(DVec3::new(of(0), of(1), of(2)))
    };
    for i in 0..8 {
        for bit in [1, 2, 4].into_iter().filter(|bit| i & bit == 0) {
            sketch.line(corner(i), corner(i | bit), ink);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_turned_by_a_quarter_keeps_its_size_and_by_an_eighth_grows() {
        let pose = Pose { position_mm: DVec3::X * 10.0, turn_deg: DVec3::Z * 90.0 };
        let size = DVec3::new(1.0, 2.0, 3.0);
        let (low, high) = box_round(|p| pose.world_from_own(p), (DVec3::ZERO, size));
        assert!(
            low.distance(DVec3::new(8.0, 0.0, 0.0)) < 1e-12
                && high.distance(DVec3::new(10.0, 1.0, 3.0)) < 1e-12
        );
        let (low, high) = box_round(|p| pose.own_from_world(p), (low, high));
        assert!(low.length() < 1e-12 && high.distance(size) < 1e-12);
        let pose = Pose { position_mm: DVec3::ZERO, turn_deg: DVec3::Z * 45.0 };
        let (low, high) = box_round(|p| pose.world_from_own(p), (DVec3::ZERO, DVec3::ONE));
        assert!(((high - low).x - 2.0_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn a_box_is_drawn_by_its_twelve_edges() {
        let mut sketch = Sketch::default();
        let pose = Pose { position_mm: DVec3::X, turn_deg: DVec3::Z * 30.0 };
        draw_box(&mut sketch, &pose, (DVec3::ZERO, DVec3::new(1.0, 2.0, 3.0)), Ink::Help);
        let length: f64 = sketch.strokes.iter().map(|s| s.points[0].distance(s.points[1])).sum();
        assert_eq!(sketch.strokes.len(), 12);
        assert!((length - 4.0 * 6.0).abs() < 1e-9, "{length}");
    }
}
