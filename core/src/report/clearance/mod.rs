//! Gaps of every run against every obstacle, the other runs and itself.

pub(super) mod along;
pub(super) mod asked;
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
use crate::finding::{Finding, GapProblem, NearPart, Problem};
use crate::geom::tolerance::GAP_MM;
use crate::model::{Item, Obstacle, Project, RunId};
use crate::space::scan::Scans;
use crate::space::{Gap, PlacedShape};
use crate::units::{UnitSystem, length};
pub(super) use bars::motions_of;
use glam::DVec3;
pub(super) use moved::travel_mm;
pub(super) use pairs::{required_mm, run_stubs_mm, stubs_mm};
pub(super) use reuse::Before;
use serde::Serialize;
use std::sync::Arc;
use subject::Trims;
pub(super) use subject::{Subject, stretch_of, trimmed};

/// Things that leave more than this beyond the gap that is asked for are not listed, mm.
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
    /// Gap at `pose`, mm; negative where they overlap. Where bodies move, that is the tightest of all positions if
    /// `tightest` says so.
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
    /// Whether no position of the bodies has less gap than `gap_mm`. Where it is far more than what is asked, that is not
    /// looked for: then `gap_mm` is as drawn, and only `never_below_mm` holds for all positions.
    pub tightest: bool,
    /// Whether the gap is enough.
    pub ok: bool,
    /// Whether they go through each other as drawn: the one cannot be built while the other is there.
    pub clash: bool,
    /// Whether `pose` is one that bodies move to.
    #[serde(skip)]
    pub moved: bool,
    /// Id of the run.
    #[serde(skip)]
    pub run_id: RunId,
    /// The other thing.
    #[serde(skip)]
    pub other: Item,
    /// Index of the run's piece that is nearest.
    #[serde(skip)]
    pub piece: usize,
    /// What of the run is nearest: a piece, a joint's lobe, the room of its tool, a small part.
    #[serde(skip)]
    pub part: NearPart,
    /// The same of the other run, where it is one.
    #[serde(skip)]
    pub other_part: Option<NearPart>,
    /// Name of the other run, where `against` says more than that.
    #[serde(skip)]
    pub other_run: Option<String>,
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
    /// Whether it is the second of the two rows of one gap between two runs: the first makes the finding.
    #[serde(skip)]
    pub mirrored: bool,
    /// Whether the larger gap for heat was asked for.
    #[serde(skip)]
    pub heat: bool,
}

impl ClearanceReport {
    /// Gap beyond what is required, mm.
    pub fn margin_mm(&self) -> f64 {
        self.gap_mm - self.required_mm
    }

    /// What is left beyond what is required in every position of the bodies, mm.
    pub fn sure_margin_mm(&self) -> f64 {
        self.never_below_mm.min(self.gap_mm) - self.required_mm
    }

    /// Whether it holds for a position that bodies move to, not for how they are drawn.
    pub fn is_moved(&self) -> bool {
        self.moved
    }

    /// What the number of the gap is: the tightest, or only as drawn, with what is proved of all positions.
    pub fn kind_words(&self, units: UnitSystem) -> String {
        if self.tightest {
            "tightest gap".to_owned()
        } else {
            format!("gap as drawn, never under {}", length(self.never_below_mm, units))
        }
    }

    pub(super) fn finding(&self, units: UnitSystem) -> Finding {
        let problem = if self.clash {
            Problem::Gap(GapProblem::Clash {
                part: self.part.clone(),
                turns: self.lobe || self.small_part,
                against: self.against.clone(),
                other_part: self.other_part.clone(),
                deep_mm: -self.as_drawn_mm,
                itself: self.other == Item::Run(self.run_id),
            })
        } else if self.removal {
            GapProblem::NoWayOut { part: self.part.clone(), against: self.against.clone() }.into()
        } else if self.tool {
            Problem::Gap(GapProblem::ToolBlocked { tool: self.part.clone(), against: self.against.clone() })
        } else {
            Problem::Gap(GapProblem::TooClose {
                part: self.part.clone(),
                turns: self.lobe || self.small_part,
                against: self.against.clone(),
                gap_mm: self.gap_mm,
                required_mm: self.required_mm,
                heat: self.heat,
                moved: self.is_moved().then(|| self.pose.clone()),
            })
        };
        let two = matches!(self.other, Item::Run(_) | Item::Bar(_)) && self.other != Item::Run(self.run_id);
        let also = two.then_some(self.other);
        let other_run = matches!(also, Some(Item::Run(_)));
        let other_run = other_run.then(|| self.other_run.clone().unwrap_or_else(|| self.against.clone()));
        Finding {
            run: Some(self.run.clone()),
            item: Some(Item::Run(self.run_id)),
            also_run: other_run,
            also,
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

/// All gaps, those of each run together and the one that leaves least in every position first. What `before` has for the same things is taken
/// over.
pub(super) fn clearance(
    project: &Project,
    scans: &Scans,
    built: &[Arc<Built>],
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
        if known.has(id) {
            lists[i].extend(known.of_run(id));
        } else {
            lists[i].extend(own::against_itself(subject));
            lists[i].extend(parts::against_itself(subject));
        }
        for (bar, made) in project.bars.iter().zip(bars) {
            lists[i].extend(known.bar(id, bar.id).unwrap_or_else(|| bars::against_bar(subject, bar, made)));
        }
        for (j, other) in subjects.iter().enumerate().skip(i + 1) {
            if known.has(id) && known.has(other.run.id) {
                continue;
            }
            let (mine, theirs) = pairs::against_run(&mut trims, other);
            lists[i].extend(mine);
            lists[j].extend(theirs);
        }
    }
    for list in &mut lists {
        // of equal ones the order is that of what they are about, however they came here
        list.sort_by(|a, b| {
            let about = |e: &ClearanceReport| (e.other, e.tool, e.removal, e.piece);
            let margins = a.sure_margin_mm().total_cmp(&b.sure_margin_mm());
            margins.then_with(|| about(a).cmp(&about(b))).then_with(|| a.part.cmp(&b.part))
        });
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
        tightest: true,
        ok: gap.gap_mm >= required_mm,
        clash: gap.gap_mm < -GAP_MM,
        moved: false,
        run_id: subject.run.id,
        other,
        piece: nearest.piece,
        part: match small {
            Some(part) => small_part(part),
            None if nearest.lobe => NearPart::Lobe(mark.to_owned()),
            None => NearPart::Piece(mark.to_owned()),
        },
        other_part: None,
        other_run: None,
        lobe: nearest.lobe,
        tool: false,
        small_part: small.is_some_and(BuiltPart::stands_out),
        removal: false,
        mirrored: false,
        heat: false,
    }
}

fn small_part(part: &BuiltPart) -> NearPart {
    NearPart::SmallPart { name: part.name.clone(), mark: part.mark.clone() }
}

/// Distance of two boxes, mm.
fn boxes_apart_mm(a: (DVec3, DVec3), b: (DVec3, DVec3)) -> f64 {
    (a.0 - b.1).max(b.0 - a.1).max(DVec3::ZERO).length()
}
