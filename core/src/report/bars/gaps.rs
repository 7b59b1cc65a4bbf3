//! Gaps of bars to obstacles of other bodies than those they are fixed to.

use super::super::clearance::{Before, motions_of, placed_obstacles, travel_mm};
use crate::fab::bar::built::BuiltBar;
use crate::finding::{Finding, GapProblem, Problem};
use crate::model::{Bar, BarId, Item, Obstacle, ObstacleId, Project};
use crate::space::scan::Scans;
use crate::space::{Gap, PlacedShape, solid_bounds, tightest};
use crate::units::UnitSystem;
use glam::DVec3;
use serde::Serialize;

/// Things further from a bar than this beyond the gap it keeps are not listed, mm.
const LOOK_MM: f64 = 25.0;

/// A gap between a bar and an obstacle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BarGapReport {
    /// Name of the bar.
    pub bar: String,
    /// Name of the obstacle.
    pub against: String,
    /// Gap, mm; negative where they overlap. Where bodies move, the tightest of all positions.
    pub gap_mm: f64,
    /// Gap it should have, mm.
    pub required_mm: f64,
    /// Nearest point of the bar, mm.
    pub bar_point_mm: DVec3,
    /// Nearest point of the obstacle, mm.
    pub other_point_mm: DVec3,
    /// Which positions of the bodies it holds for.
    pub pose: String,
    /// Whether it is enough.
    pub ok: bool,
    /// Whether `pose` is one that bodies move to.
    #[serde(skip)]
    pub moved: bool,
    /// Id of the bar.
    #[serde(skip)]
    pub bar_id: BarId,
    /// The obstacle.
    #[serde(skip)]
    pub obstacle: ObstacleId,
}

impl BarGapReport {
    /// Gap beyond what is required, mm.
    pub fn margin_mm(&self) -> f64 {
        self.gap_mm - self.required_mm
    }

    /// Whether it holds for a position that bodies move to, not for how they are drawn.
    pub fn is_moved(&self) -> bool {
        self.moved
    }

    pub(super) fn finding(&self, units: UnitSystem) -> Finding {
        let problem = GapProblem::BarTooClose {
            bar: self.bar.clone(),
            against: self.against.clone(),
            gap_mm: self.gap_mm,
            required_mm: self.required_mm,
            moved: self.is_moved().then(|| self.pose.clone()),
        };
        Finding {
            item: Some(Item::Bar(self.bar_id)),
            spot: Some(self.bar_point_mm.midpoint(self.other_point_mm)),
            ..Problem::from(problem).finding(units)
        }
    }
}

/// All of them, bar by bar. Those between things that are as they were are taken over from `before`.
pub(super) fn gaps(
    project: &Project,
    scans: &Scans,
    built: &[BuiltBar],
    before: Option<Before<'_>>,
) -> Vec<BarGapReport> {
    if project.bars.is_empty() {
        return Vec::new();
    }
    let before = before
        .filter(|b| b.project.bodies == project.bodies && b.project.settings.units == project.settings.units);
    let shapes = placed_obstacles(project, scans);
    let mut out = Vec::new();
    for (bar, built) in project.bars.iter().zip(built) {
        let old = before.and_then(|b| {
            let then = b.report.bars.iter().find(|r| r.id == bar.id)?;
            let same = b.project.bar(bar.id) == Some(bar) && then.built.solids == built.solids;
            same.then_some(b)
        });
        let own = |o: &Obstacle| bar.ends.iter().any(|end| end.body == o.body);
        for (obstacle, shape) in shapes.iter().filter(|(o, _)| !own(o)) {
            let known = old.filter(|b| b.project.obstacle(obstacle.id) == Some(*obstacle));
            match known {
                Some(b) => {
                    let same = |g: &&BarGapReport| g.bar_id == bar.id && g.obstacle == obstacle.id;
                    out.extend(b.report.bar_gaps.iter().find(same).cloned());
                }
                None => out.extend(gap(project, bar, built, obstacle, shape)),
            }
        }
    }
    out
}

fn gap(
    project: &Project,
    bar: &Bar,
    built: &BuiltBar,
    obstacle: &Obstacle,
    shape: &PlacedShape,
) -> Option<BarGapReport> {
    let required_mm = bar.gap_mm.max(obstacle.gap_mm);
    let solids = &built.solids;
    let bounds = solids.iter().map(solid_bounds).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))?;
    let near_mm = required_mm + LOOK_MM;
    let reach_mm = near_mm + travel_mm(project, bounds);
    let apart_mm = |b: (DVec3, DVec3)| (bounds.0 - b.1).max(b.0 - bounds.1).max(DVec3::ZERO).length();
    if shape.bounds().is_some_and(|b| apart_mm(b) > reach_mm) {
        return None;
    }
    let entry = |gap: &Gap, pose: String, moved: bool| BarGapReport {
        bar: bar.name.clone(),
        against: obstacle.name.clone(),
        gap_mm: gap.gap_mm,
        required_mm,
        bar_point_mm: gap.on_first,
        other_point_mm: gap.on_second,
        pose,
        ok: gap.gap_mm >= required_mm,
        moved,
        bar_id: bar.id,
        obstacle: obstacle.id,
    };
    let drawn = tightest(solids, shape, near_mm);
    let mut best = drawn.map(|(_, gap)| entry(&gap, super::super::clearance::AS_DRAWN.to_owned(), false));
    // held between two bodies it goes with neither alone, so that it counts with both
    for moving in motions_of(project, bar, obstacle.body) {
        let limit_mm = best.as_ref().map_or(near_mm, |b| b.gap_mm);
        let swept = match shape.as_scan() {
            Some(scan) => moving.motion.tightest_to_scan(solids, scan, limit_mm),
            None => moving.motion.tightest(solids, shape, limit_mm),
        };
        if let Some(swept) = swept {
            best = Some(entry(&swept.gap, moving.words(project, &swept), true));
        }
    }
    best
}
