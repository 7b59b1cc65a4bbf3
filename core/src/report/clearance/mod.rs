//! Gaps of every run against every obstacle, the other runs and itself.

mod bars;
mod heat;
mod moved;
mod own;
mod pairs;
mod parts;
mod reuse;
mod subject;
#[cfg(test)]
mod tests;

use crate::fab::Built;
use crate::fab::bar::built::BuiltBar;
use crate::fab::build::PlacedSolid;
use crate::fab::part::BuiltPart;
use crate::finding::{Finding, Problem};
use crate::model::{Item, Obstacle, Project, RunId};
use crate::space::scan::Scans;
use crate::space::{Gap, PlacedShape};
use crate::units::UnitSystem;
pub(super) use bars::motions_of;
use glam::DVec3;
pub(super) use moved::travel_mm;
pub(super) use pairs::{required_mm, run_stubs_mm, stubs_mm};
pub(super) use reuse::Before;
use serde::Serialize;
use subject::Trims;
pub(super) use subject::{Subject, trimmed};

/// Things further away than this are not listed, mm.
const LOOK_MM: f64 = 300.0;

/// What every gap holds for where nothing moves.
pub(super) const AS_DRAWN: &str = "as drawn";

/// One gap.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "a row of a report: each is a column of its own")]
pub struct ClearanceReport {
    /// Name of the run.
    pub run: String,
    /// Name of what it is measured against.
    pub against: String,
    /// Gap, mm; negative where they overlap. Where bodies move, the tightest of all positions.
    pub gap_mm: f64,
    /// Gap it should have, mm.
    pub required_mm: f64,
    /// Nearest point of the run, mm.
    pub run_point_mm: DVec3,
    /// Nearest point of the other, mm.
    pub other_point_mm: DVec3,
    /// Which positions of the bodies it holds for.
    pub pose: String,
    /// Gap with all bodies as drawn, mm.
    pub as_drawn_mm: f64,
    /// No position of the bodies has less gap than this, mm.
    pub never_below_mm: f64,
    /// Whether the gap is enough.
    pub ok: bool,
    /// Id of the run.
    #[serde(skip)]
    pub run_id: RunId,
    /// The other thing.
    #[serde(skip)]
    pub other: Item,
    /// Index of the run's piece that is nearest.
    #[serde(skip)]
    pub piece: usize,
    /// What of the run is nearest: a piece, a joint's lobe or the room of its tool, in words.
    #[serde(skip)]
    pub part: String,
    /// Whether that is a joint's lobe.
    #[serde(skip)]
    pub lobe: bool,
    /// Whether that is the room a joint's tool needs.
    #[serde(skip)]
    pub tool: bool,
    /// Whether it is about a small part that stands out of the pipe.
    #[serde(skip)]
    pub small_part: bool,
    /// Whether it is the room to take out what is screwed into that.
    #[serde(skip)]
    pub removal: bool,
    /// Whether the other run's entry tells of it already.
    #[serde(skip)]
    pub told_already: bool,
    /// Whether the larger gap for heat was asked for.
    #[serde(skip)]
    pub heat: bool,
}

impl ClearanceReport {
    /// Gap beyond what is required, mm.
    pub fn margin_mm(&self) -> f64 {
        self.gap_mm - self.required_mm
    }

    /// Whether it holds for a position that bodies move to, not for how they are drawn.
    pub fn is_moved(&self) -> bool {
        self.pose != AS_DRAWN
    }

    pub(super) fn finding(&self, units: UnitSystem) -> Finding {
        let problem = if self.removal {
            parts::no_way_out(&self.part, &self.against)
        } else if self.tool {
            Problem::ToolBlocked { tool: self.part.clone(), against: self.against.clone() }
        } else {
            Problem::TooClose {
                part: self.part.clone(),
                lobe: self.lobe || self.small_part,
                against: self.against.clone(),
                gap_mm: self.gap_mm,
                required_mm: self.required_mm,
                heat: self.heat,
                moved: self.is_moved().then(|| self.pose.clone()),
            }
        };
        Finding {
            run: Some(self.run.clone()),
            item: Some(Item::Run(self.run_id)),
            spot: Some(self.run_point_mm.midpoint(self.other_point_mm)),
            ..problem.finding(units)
        }
    }
}

/// An obstacle with its shape in the vehicle.
type Placed<'a> = (&'a Obstacle, PlacedShape);

/// The obstacles of a project where they stand, those scans among them that have been read.
pub(super) fn placed_obstacles<'a>(project: &'a Project, scans: &Scans) -> Vec<Placed<'a>> {
    let placed =
        |o: &Obstacle| scans.placed(o).map_or_else(|| PlacedShape::new(&o.shape, &o.pose), PlacedShape::scan);
    project.obstacles.iter().map(|o| (o, placed(o))).collect()
}

/// All gaps, those of each run together and its least margin first. What `before` has for the same things is taken
/// over.
pub(super) fn clearance(
    project: &Project,
    scans: &Scans,
    built: &[Built],
    bars: &[BuiltBar],
    before: Option<Before<'_>>,
) -> Vec<ClearanceReport> {
    let known = reuse::Known::new(project, built, bars, before);
    let shapes = placed_obstacles(project, scans);
    let subjects: Vec<Subject<'_>> =
        project.runs.iter().zip(built).filter_map(|(run, built)| Subject::new(project, run, built)).collect();
    let mut lists: Vec<Vec<ClearanceReport>> = vec![Vec::new(); subjects.len()];
    for (i, subject) in subjects.iter().enumerate() {
        let id = subject.run.id;
        let mut trims = Trims::new(subject);
        for (obstacle, shape) in &shapes {
            let found = known
                .obstacle(id, obstacle)
                .unwrap_or_else(|| pairs::against_obstacle(&mut trims, obstacle, shape));
            lists[i].extend(found);
        }
        let itself =
            || own::against_itself(subject).into_iter().chain(parts::against_itself(subject)).collect();
        lists[i].extend(known.pair(id, id).unwrap_or_else(itself));
        for (bar, made) in project.bars.iter().zip(bars) {
            lists[i].extend(known.bar(id, bar.id).unwrap_or_else(|| bars::against_bar(subject, bar, made)));
        }
        for (j, other) in subjects.iter().enumerate().skip(i + 1) {
            let (mine, theirs) = match (known.pair(id, other.run.id), known.pair(other.run.id, id)) {
                (Some(mine), Some(theirs)) => (mine, theirs),
                _ => pairs::against_run(&mut trims, other),
            };
            lists[i].extend(mine);
            lists[j].extend(theirs);
        }
    }
    for list in &mut lists {
        list.sort_by(|a, b| a.margin_mm().total_cmp(&b.margin_mm()));
    }
    lists.into_iter().flatten().collect()
}

fn entry(
    subject: &Subject<'_>,
    against: &str,
    other: Item,
    required_mm: f64,
    nearest: &PlacedSolid,
    gap: &Gap,
) -> ClearanceReport {
    let mark = subject.mark(nearest.piece);
    let small = nearest.part.and_then(|i| subject.built.parts.get(i));
    ClearanceReport {
        run: subject.run.name.clone(),
        against: against.to_owned(),
        gap_mm: gap.gap_mm,
        required_mm,
        run_point_mm: gap.on_first,
        other_point_mm: gap.on_second,
        pose: AS_DRAWN.to_owned(),
        as_drawn_mm: gap.gap_mm,
        never_below_mm: gap.gap_mm,
        ok: gap.gap_mm >= required_mm,
        run_id: subject.run.id,
        other,
        piece: nearest.piece,
        part: match small {
            Some(part) => format!("{} ({})", part.name, part.mark),
            None if nearest.lobe => format!("The lobe of {mark}"),
            None => format!("Piece {mark}"),
        },
        lobe: nearest.lobe,
        tool: false,
        small_part: small.is_some_and(BuiltPart::stands_out),
        removal: false,
        told_already: false,
        heat: false,
    }
}

/// Distance of two boxes, mm.
fn boxes_apart_mm(a: (DVec3, DVec3), b: (DVec3, DVec3)) -> f64 {
    (a.0 - b.1).max(b.0 - a.1).max(DVec3::ZERO).length()
}
