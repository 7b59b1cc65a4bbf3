//! Lays a scan over the vehicle: by places that are known on both, or by numbers.

mod pairs;

use super::scan_form::{
    OwnPoint, alone_ui, beside, big_button, draw_box, scan_in, sentence, told, unseen_ui, vector, with_scan,
};
use super::{Ink, Job, Sketch, Spot, Stay};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::theme::bold;
use crate::widgets::{Kind, choice};
use eframe::egui::{Id, Ui};
use glam::DQuat;
use pairs::{Entry, Laid, Place, better_unit, lay};
use pipeloft_core::edit::{Edit, apply};
use pipeloft_core::measure::Level;
use pipeloft_core::measure::fit::Fit;
use pipeloft_core::model::{Item, Obstacle, ObstacleId, Pose, ScanFile};
use pipeloft_core::space::scan::ScanUnit;
use pipeloft_core::units;

/// A pair further off than this is shown in the colour of a warning, and beyond the second in that of a fault, mm.
const OFF_MM: [f64; 2] = [2.0, 5.0];

/// The form.
#[derive(Debug)]
pub(super) struct PlaceScan {
    id: ObstacleId,
    entries: Vec<Entry>,
    /// The pair whose place on the scan is picked anew by the next click.
    again: Option<usize>,
    /// The pose by numbers.
    typed: Pose,
    /// The pose the form was opened with.
    opened: Pose,
    /// Whether all but the scan is left out of the picture.
    alone: bool,
    /// Why the last click was of no use.
    note: Option<String>,
}

impl PlaceScan {
    pub(super) fn new(id: ObstacleId, ctx: UiCtx<'_>) -> Self {
        let typed = scan_in(ctx, id).map_or(Pose::at(glam::DVec3::ZERO), |(obstacle, _)| obstacle.pose);
        Self { id, entries: Vec::new(), again: None, typed, opened: typed, alone: true, note: None }
    }

    /// Takes a click: on the scan for a pair, on a hardpoint for the place on the vehicle of the pair that lacks it.
    fn take(&mut self, ctx: UiCtx<'_>, obstacle: &Obstacle, scan: &ScanFile, spot: Spot) {
        self.note = None;
        let lacking = self.entries.iter_mut().rev().find(|entry| entry.place == Place::Open);
        if let (Item::Hardpoint(id), Some(entry), None) = (spot.item, lacking, self.again) {
            entry.place = Place::Hardpoint(id);
            return;
        }
        self.note = beside(ctx, spot, self.id);
        if self.note.is_some() {
            return;
        }
        let own = OwnPoint::new(obstacle, scan, spot.point);
        match self.again.take().and_then(|i| self.entries.get_mut(i)) {
            Some(entry) => entry.own = own,
            None => self.entries.push(Entry::new(own)),
        }
    }

    fn pairs_ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, laid: Option<&Laid>) {
        let mut gone = None;
        for (i, entry) in self.entries.iter_mut().enumerate() {
            let id = Id::unique(("pair", i));
            let number = i + 1;
            ui.separator();
            ui.horizontal(|ui| {
                ui.label(bold(format!("Pair {number}")));
                let words = if self.again == Some(i) { "Click on the scan…" } else { "Pick again" };
                if ui.button(words).on_hover_text("Click another place on the scan for it").clicked() {
                    self.again = Some(i);
                }
                if ui.button(format!("Delete pair {number}")).clicked() {
                    gone = Some(i);
                }
            });
            let label = format!("Pair {number} is");
            ui.horizontal(|ui| {
                if let Some(place) = choice(ui, id.with("place"), &label, &entry.place, &places(ctx)) {
                    entry.place = place;
                }
            });
            if entry.place == Place::Typed {
                let labels = ["X", "Y", "Z"].map(|axis| format!("{axis} of pair {number}"));
                vector(ui, id, Kind::Length(ctx.units()), labels, &mut entry.typed_mm);
            }
            if let Some(off_mm) = laid.and_then(|laid| residual_mm(laid, i)) {
                let words = format!("{} apart", units::length(off_mm, ctx.units()));
                told(ui, &words, level_of(off_mm));
            }
        }
        if let Some(i) = gone {
            self.entries.remove(i);
            self.again = None;
        }
    }

    /// The next thing to do, in one sentence.
    fn next_step(&self, ctx: UiCtx<'_>, laid: Option<&Laid>) -> String {
        if let Some(i) = self.again {
            return format!("Click the place of pair {} on the scan again.", i + 1);
        }
        if let Some(i) = self.entries.iter().position(|entry| entry.target_mm(ctx).is_none()) {
            let or = if self.alone { "" } else { ", or click a hardpoint's ring" };
            return format!("Say where pair {} is on the vehicle: choose below{or}.", i + 1);
        }
        match self.entries.len() {
            0 => {
                "Click a place on the scan that you can find on the vehicle too: a bolt, a corner, a flange."
                    .to_owned()
            }
            1 | 2 => {
                "Click the next place on the scan. Three or more are needed, far apart and not in a line."
                    .to_owned()
            }
            _ if laid.is_some_and(|laid| laid.fit.is_err()) => {
                "Click another place on the scan, or pick one of the pairs again.".to_owned()
            }
            _ => "Press Place it, or click more places to check it by.".to_owned(),
        }
    }

    fn result_ui(ui: &mut Ui, ctx: UiCtx<'_>, scan: &ScanFile, fit: &Fit) -> Answer {
        let level = fit.trust.level();
        told(ui, &fit.trust.text(ctx.units()), level);
        if let Some(unit) = better_unit(fit, scan) {
            sentence(ui, "It was brought in with another unit. Nothing is changed before you press:");
            if big_button(ui, &format!("Take the scan as {}", unit.name()), true).clicked() {
                return Answer::Unit(unit);
            }
        }
        let words = if level == Level::Bad { "Place it anyway" } else { "Place it" };
        if big_button(ui, words, true).clicked() {
            let rotation = DQuat::from_mat3(&fit.rotation);
            return Answer::Pose(Pose::of_rotation(fit.shift_mm, rotation));
        }
        Answer::None
    }

    fn by_numbers_ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, obstacle: &Obstacle) -> Option<Pose> {
        ui.separator();
        ui.label(bold("Or by numbers"));
        let id = Id::unique("typed pose");
        let labels = ["X", "Y", "Z"].map(|axis| format!("Origin {axis}"));
        vector(ui, id.with("at"), Kind::Length(ctx.units()), labels, &mut self.typed.position_mm);
        let labels = ["X", "Y", "Z"].map(|axis| format!("Turned about {axis}"));
        vector(ui, id.with("turn"), Kind::Angle, labels, &mut self.typed.turn_deg);
        let pressed = big_button(ui, "Put it there", self.typed != obstacle.pose).clicked();
        pressed.then_some(self.typed)
    }
}

/// What was pressed.
enum Answer {
    None,
    Unit(ScanUnit),
    Pose(Pose),
}

/// Ways to give a place on the vehicle.
fn places(ctx: UiCtx<'_>) -> Vec<(Place, String)> {
    let datums = ctx.project.datums.iter().map(|d| (Place::Datum(d.id), d.name.clone()));
    let ports = ctx.project.hardpoints.iter();
    let ports = ports.map(|h| (Place::Hardpoint(h.id), format!("{} (centre of the face)", h.name)));
    std::iter::once((Place::Typed, "at X, Y, Z as typed".to_owned())).chain(datums).chain(ports).collect()
}

/// How far pair `i` of the list is apart, mm; `None` where it is not whole or there is no fit.
fn residual_mm(laid: &Laid, i: usize) -> Option<f64> {
    let fit = laid.fit.as_ref().ok()?;
    let at = laid.which.iter().position(|which| *which == i)?;
    fit.residuals_mm.get(at).map(|off| off.length())
}

fn level_of(off_mm: f64) -> Level {
    match off_mm {
        x if x <= OFF_MM[0] => Level::Good,
        x if x <= OFF_MM[1] => Level::Doubtful,
        _ => Level::Bad,
    }
}

/// The edit that gives a scan another unit: it grows or shrinks about the origin of its file.
pub(crate) fn unit_edit(obstacle: &Obstacle, scan: &ScanFile, unit: ScanUnit) -> Edit {
    let ratio = unit.mm() / scan.mm_per_unit;
    let keep = scan.keep.map(|keep| pipeloft_core::model::KeepBox {
        low_mm: keep.low_mm * ratio,
        high_mm: keep.high_mm * ratio,
    });
    let scan = ScanFile {
        mm_per_unit: unit.mm(),
        low_mm: scan.low_mm * ratio,
        high_mm: scan.high_mm * ratio,
        keep,
        ..scan.clone()
    };
    Edit::PutObstacle(with_scan(obstacle, scan))
}

impl Job for PlaceScan {
    fn title(&self) -> String {
        "Place the scan".to_owned()
    }

    fn ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, spot: Option<Spot>, requests: &mut Requests) -> Stay {
        let Some((obstacle, scan)) = scan_in(ctx, self.id) else { return Stay::Closed };
        if let Some(spot) = spot {
            self.take(ctx, obstacle, scan, spot);
        }
        let laid = lay(ctx, scan, &self.entries);
        sentence(ui, self.next_step(ctx, laid.as_ref()));
        unseen_ui(ui, ctx, (obstacle, scan), requests);
        if alone_ui(ui, &mut self.alone) {
            self.note = None;
        }
        if let Some(note) = &self.note {
            told(ui, note, Level::Doubtful);
        }
        self.pairs_ui(ui, ctx, laid.as_ref());
        let mut answer = Answer::None;
        if let Some(laid) = &laid {
            ui.separator();
            match &laid.fit {
                Ok(fit) => answer = Self::result_ui(ui, ctx, scan, fit),
                Err(error) => told(ui, &error.text(ctx.units()), Level::Bad),
            }
        }
        if let Some(pose) = self.by_numbers_ui(ui, ctx, obstacle) {
            answer = Answer::Pose(pose);
        }
        match answer {
            Answer::None => Stay::Open,
            Answer::Unit(unit) => {
                let edit = unit_edit(obstacle, scan, unit);
                requests.edit(format!("take {} as {}", obstacle.name, unit.name()), edit);
                Stay::Open
            }
            Answer::Pose(pose) => {
                let edit = Edit::PutObstacle(Obstacle { pose, ..obstacle.clone() });
                if let Err(error) = apply(ctx.project, &edit) {
                    self.note = Some(error.to_string());
                    return Stay::Open;
                }
                requests.edit(format!("place {}", obstacle.name), edit);
                requests.push(Request::Say(format!(
                    "{} is placed. Check it from two sides; Ctrl+Z puts it back.",
                    obstacle.name
                )));
                Stay::Closed
            }
        }
    }

    fn holds_entries(&self) -> bool {
        !self.entries.is_empty() || self.typed != self.opened
    }

    fn sketch(&self, ctx: UiCtx<'_>) -> Sketch {
        let mut sketch = Sketch::default();
        let Some((obstacle, scan)) = scan_in(ctx, self.id) else { return sketch };
        let laid = lay(ctx, scan, &self.entries);
        let fit = laid.as_ref().and_then(|laid| laid.fit.as_ref().ok());
        for (i, entry) in self.entries.iter().enumerate() {
            let now = entry.own.in_vehicle(obstacle, scan);
            sketch.mark(now, format!("{}", i + 1), Ink::Main);
            let Some(target) = entry.target_mm(ctx) else { continue };
            sketch.mark(target, format!("{} on the vehicle", i + 1), Ink::Good);
            if let Some(fit) = fit {
                // where it would come to lie, and what is left
                let off_mm = laid.as_ref().and_then(|laid| residual_mm(laid, i)).unwrap_or(0.0);
                let ink = match level_of(off_mm) {
                    Level::Good => Ink::Good,
                    Level::Doubtful => Ink::Warn,
                    Level::Bad => Ink::Stop,
                };
                sketch.line(fit.apply(entry.own.own_mm(scan)), target, ink);
            } else {
                sketch.line(now, target, Ink::Help);
            }
        }
        if let Some(fit) = fit {
            let pose = Pose::of_rotation(fit.shift_mm, DQuat::from_mat3(&fit.rotation));
            draw_box(&mut sketch, &pose, (scan.low_mm, scan.high_mm), Ink::Main);
        } else if self.typed != obstacle.pose {
            draw_box(&mut sketch, &self.typed, (scan.low_mm, scan.high_mm), Ink::Main);
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
