//! Cuts a scan down to a box: what lies outside does not count, is not drawn and takes no time.

use super::bring_scan::{begin_reading, reading_ui};
use super::scan_form::{big_button, box_round, draw_box, rows, scan_in, sentence, told, with_scan};
use super::{Ink, Job, Sketch, Spot, Stay};
use crate::ctx::UiCtx;
use crate::request::{ReadScan, Request, Requests};
use crate::task::{Done, Task};
use crate::widgets::{Kind, choice};
use eframe::egui::{Id, Ui};
use glam::DVec3;
use pipeloft_core::edit::Edit;
use pipeloft_core::measure::Level;
use pipeloft_core::model::{KeepBox, Obstacle, ObstacleId, ScanFile};
use pipeloft_core::space::scan::{Inside, ScanTree, scan_path};
use std::sync::Arc;

/// Room that is kept round the pipes, mm (common practice, no source).
const ROUND_PIPES_MM: f64 = 300.0;

/// What the numbers count along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Along {
    Vehicle,
    Own,
}

/// The scan before it was cut down.
#[derive(Debug)]
enum Whole {
    /// To be read with the first frame.
    Fresh,
    Reading(Task<Result<Arc<ScanTree>, String>>),
    Read(Arc<ScanTree>),
    Failed(String),
}

/// What the box held when it was last looked at: the scale and the box along the scan's own axes, and what is in it.
type Counted = (f64, DVec3, DVec3, Option<Inside>);

/// The form.
#[derive(Debug)]
pub(super) struct CutScan {
    id: ObstacleId,
    along: Along,
    low_mm: DVec3,
    high_mm: DVec3,
    whole: Whole,
    counted: Option<Counted>,
    /// Whether a number was entered.
    is_entered: bool,
}

/// The box round all pipes and hardpoints with room to spare, along the vehicle's axes, mm.
fn round_pipes(ctx: UiCtx<'_>) -> Option<(DVec3, DVec3)> {
    let ports = ctx.project.hardpoints.iter().map(|port| port.position_mm);
    let runs = ctx.report.runs.iter().flat_map(|run| run.vertices_mm.iter().copied());
    let all: Vec<DVec3> = ports.chain(runs).filter(|p| p.is_finite()).collect();
    let low = all.iter().copied().reduce(DVec3::min)?;
    let high = all.iter().copied().reduce(DVec3::max)?;
    Some((low - DVec3::splat(ROUND_PIPES_MM), high + DVec3::splat(ROUND_PIPES_MM)))
}

impl CutScan {
    pub(super) fn new(id: ObstacleId, ctx: UiCtx<'_>) -> Self {
        let mut form = Self {
            id,
            along: Along::Vehicle,
            low_mm: DVec3::ZERO,
            high_mm: DVec3::ZERO,
            whole: Whole::Fresh,
            counted: None,
            is_entered: false,
        };
        let Some((obstacle, scan)) = scan_in(ctx, id) else { return form };
        let own = scan.keep.map_or((scan.low_mm, scan.high_mm), |keep| (keep.low_mm, keep.high_mm));
        let here = box_round(|p| obstacle.pose.world_from_own(p), own);
        let pipes = round_pipes(ctx).filter(|(low, high)| {
            let meets = low.cmple(here.1).all() && high.cmpge(here.0).all();
            let is_smaller = low.cmpgt(here.0).any() || high.cmplt(here.1).any();
            scan.keep.is_none() && meets && is_smaller
        });
        (form.low_mm, form.high_mm) = pipes.unwrap_or(here);
        if let (None, Some(tree)) = (scan.keep, ctx.scans.tree(scan)) {
            form.whole = Whole::Read(Arc::clone(tree));
        }
        form
    }

    /// The box along the scan's own axes, mm.
    fn own_box(&self, obstacle: &Obstacle) -> (DVec3, DVec3) {
        let entered = (self.low_mm.min(self.high_mm), self.low_mm.max(self.high_mm));
        match self.along {
            Along::Own => entered,
            Along::Vehicle => box_round(|p| obstacle.pose.own_from_world(p), entered),
        }
    }

    fn turn_to(&mut self, along: Along, obstacle: &Obstacle) {
        let own = self.own_box(obstacle);
        (self.low_mm, self.high_mm) = match along {
            Along::Own => own,
            Along::Vehicle => box_round(|p| obstacle.pose.world_from_own(p), own),
        };
        self.along = along;
    }

    /// Goes on with reading the whole scan.
    fn advance(&mut self, ui: &Ui, ctx: UiCtx<'_>, scan: &ScanFile) {
        self.whole = match &self.whole {
            Whole::Fresh => match begin_reading(&scan_path(scan, ctx.folder), ui.ctx()) {
                Ok(task) => Whole::Reading(task),
                Err(words) => Whole::Failed(words),
            },
            Whole::Reading(task) => match task.look(ui.ctx()) {
                Done::NotYet => return,
                Done::With(Ok(tree)) => Whole::Read(tree),
                Done::With(Err(words)) => Whole::Failed(words),
                Done::Never => Whole::Failed("The scan could not be read.".to_owned()),
            },
            Whole::Read(_) | Whole::Failed(_) => return,
        };
    }

    /// What would be left; counted again only where the box has changed.
    fn inside(&mut self, tree: &ScanTree, scale: f64, (low, high): (DVec3, DVec3)) -> Option<Inside> {
        match self.counted {
            Some((s, l, h, inside)) if s.to_bits() == scale.to_bits() && l == low && h == high => inside,
            _ => {
                let inside = tree.scan().inside(scale, low, high);
                self.counted = Some((scale, low, high, inside));
                inside
            }
        }
    }

    fn numbers_ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, obstacle: &Obstacle) {
        let id = Id::unique("cut box");
        let options = [
            (Along::Vehicle, "the vehicle's axes".to_owned()),
            (Along::Own, "the scan's own axes".to_owned()),
        ];
        ui.horizontal(|ui| {
            if let Some(along) = choice(ui, id.with("along"), "Numbers along", &self.along, &options) {
                self.turn_to(along, obstacle);
            }
        });
        let before = (self.low_mm, self.high_mm);
        let (low, high) = (&mut self.low_mm, &mut self.high_mm);
        rows(
            ui,
            id,
            Kind::Length(ctx.units()),
            &mut [
                ("X from".to_owned(), &mut low.x),
                ("X to".to_owned(), &mut high.x),
                ("Y from".to_owned(), &mut low.y),
                ("Y to".to_owned(), &mut high.y),
                ("Z from".to_owned(), &mut low.z),
                ("Z to".to_owned(), &mut high.z),
            ],
        );
        self.is_entered |= before != (self.low_mm, self.high_mm);
    }
}

impl Job for CutScan {
    fn title(&self) -> String {
        "Cut the scan down".to_owned()
    }

    fn ui(&mut self, ui: &mut Ui, ctx: UiCtx<'_>, _spot: Option<Spot>, requests: &mut Requests) -> Stay {
        let Some((obstacle, scan)) = scan_in(ctx, self.id) else { return Stay::Closed };
        self.advance(ui, ctx, scan);
        let tree = match &self.whole {
            Whole::Fresh => return Stay::Open,
            Whole::Reading(task) => {
                return if reading_ui(ui, &obstacle.name, task.part()) { Stay::Closed } else { Stay::Open };
            }
            Whole::Failed(words) => {
                told(ui, words, Level::Bad);
                return Stay::Open;
            }
            Whole::Read(tree) => Arc::clone(tree),
        };
        sentence(ui, "Only triangles that touch this box are kept. The file itself stays as it is.");
        self.numbers_ui(ui, ctx, obstacle);
        let own = self.own_box(obstacle);
        let inside = self.inside(&tree, scan.mm_per_unit, own);
        let all = tree.scan().len();
        match inside {
            Some(inside) => sentence(ui, format!("{} of {all} triangles remain.", inside.triangles)),
            None => told(ui, "No triangle lies in this box. Make it larger or move it.", Level::Bad),
        }
        let keep = KeepBox { low_mm: own.0, high_mm: own.1 };
        let changes = scan.keep != Some(keep) && inside.is_some_and(|inside| inside.triangles < all);
        if big_button(ui, "Cut it down", changes).clicked()
            && let Some(inside) = inside
        {
            let cut =
                ScanFile { keep: Some(keep), low_mm: inside.low_mm, high_mm: inside.high_mm, ..scan.clone() };
            requests.edit(format!("cut down {}", obstacle.name), Edit::PutObstacle(with_scan(obstacle, cut)));
            return Stay::Closed;
        }
        if scan.keep.is_some() && big_button(ui, "Undo the cut", true).clicked() {
            let (low, high) = tree.scan().bounds();
            let file = ScanFile {
                keep: None,
                low_mm: low * scan.mm_per_unit,
                high_mm: high * scan.mm_per_unit,
                ..scan.clone()
            };
            requests.push(Request::KeepTree(ReadScan { file: file.clone(), tree }));
            let edit = Edit::PutObstacle(with_scan(obstacle, file));
            requests.edit(format!("undo the cut of {}", obstacle.name), edit);
            return Stay::Closed;
        }
        Stay::Open
    }

    fn holds_entries(&self) -> bool {
        self.is_entered
    }

    fn sketch(&self, ctx: UiCtx<'_>) -> Sketch {
        let mut sketch = Sketch::default();
        if let Some((obstacle, _)) = scan_in(ctx, self.id) {
            draw_box(&mut sketch, &obstacle.pose, self.own_box(obstacle), Ink::Main);
        }
        sketch
    }
}
