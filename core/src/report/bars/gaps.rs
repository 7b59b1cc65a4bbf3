//! Gaps of bars to obstacles of other bodies than those they are fixed to, and to each other.

use super::super::clearance::{Before, motions_of, placed_obstacles, travel_mm};
use crate::fab::bar::built::BuiltBar;
use crate::finding::{Finding, GapProblem, Problem};
use crate::geom::Solid;
use crate::geom::vector::{angle_between, unit};
use crate::model::{Bar, BarId, Item, Obstacle, Onto, Project};
use crate::space::scan::Scans;
use crate::space::{Gap, PlacedShape, solid_bounds, tightest, tightest_between};
use crate::units::UnitSystem;
use glam::DVec3;
use serde::Serialize;

/// Things further from a bar than this beyond the gap it keeps are not listed, mm.
const LOOK_MM: f64 = 25.0;

/// A gap between a bar and an obstacle, or another bar.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BarGapReport {
    /// Name of the bar.
    pub bar: String,
    /// Name of the obstacle or the other bar.
    pub against: String,
    /// Gap, mm; negative where they overlap. Where bodies move, the tightest of all positions.
    pub gap_mm: f64,
    /// Gap it should have, mm.
    pub required_mm: f64,
    /// Nearest point of the bar, mm.
    pub bar_point_mm: DVec3,
    /// Nearest point of the other, mm.
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
    /// The obstacle or the other bar.
    #[serde(skip)]
    pub other: Item,
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
            also: matches!(self.other, Item::Bar(_)).then_some(self.other),
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
                    let same =
                        |g: &&BarGapReport| g.bar_id == bar.id && g.other == Item::Obstacle(obstacle.id);
                    out.extend(b.report.bar_gaps.iter().find(same).cloned());
                }
                None => out.extend(gap(project, bar, built, obstacle, shape)),
            }
        }
    }
    out.extend(between(project, built, before));
    out
}

/// The gaps of bars to each other, each pair once.
fn between(project: &Project, built: &[BuiltBar], before: Option<Before<'_>>) -> Vec<BarGapReport> {
    let same = |b: Before<'_>, bar: &Bar, made: &BuiltBar| {
        let then = b.report.bars.iter().find(|r| r.id == bar.id);
        b.project.bar(bar.id) == Some(bar) && then.is_some_and(|then| then.built.solids == made.solids)
    };
    let all: Vec<(&Bar, &BuiltBar)> = project.bars.iter().zip(built).collect();
    let mut out = Vec::new();
    for (i, first) in all.iter().enumerate() {
        for second in &all[i + 1..] {
            let known = before.filter(|b| same(*b, first.0, first.1) && same(*b, second.0, second.1));
            match known {
                Some(b) => {
                    let other = Item::Bar(second.0.id);
                    let is = |g: &&BarGapReport| g.bar_id == first.0.id && g.other == other;
                    out.extend(b.report.bar_gaps.iter().find(is).cloned());
                }
                None => out.extend(gap_between(project, *first, *second)),
            }
        }
    }
    out
}

/// Ends of two bars are held at one place where their points are this near, mm.
const ONE_PLACE_MM: f64 = 1.0;

/// From where on the two bars count against each other, mm from their points: from where one that is coped onto the other is
/// clear of it, and beyond a place that both are held at.
fn joints_mm((a, made): (&Bar, &BuiltBar), (b, _): (&Bar, &BuiltBar), required_mm: f64) -> [Option<f64>; 2] {
    [0, 1].map(|i| {
        let coped = made.clear_of_mm(a, i, Onto::Bar(b.id), required_mm);
        let held = [0, 1]
            .into_iter()
            .find(|j| a.ends[i].position_mm.distance(b.ends[*j].position_mm) <= ONE_PLACE_MM);
        let held = held.and_then(|j| {
            // at `s` from the place they are `2·s·sin(φ/2)` apart
            let angle = angle_between(way(a, i)?, way(b, j)?).max(LEAST_APART_RAD);
            Some((a.od_mm / 2.0 + b.od_mm / 2.0 + required_mm) / (2.0 * (angle / 2.0).sin()))
        });
        coped.into_iter().chain(held).reduce(f64::max)
    })
}

/// The way a bar leaves one of its points.
fn way(bar: &Bar, end: usize) -> Option<DVec3> {
    let points = bar.points_mm();
    let last = points.len() - 1;
    let (from, to) = if end == 0 { (points[0], points[1]) } else { (points[last], points[last - 1]) };
    unit(to - from)
}

/// A gap ends at a cut when it ends this near to it, mm.
const CUT_MM: f64 = 1.0;

/// Whether a gap ends where a bar was cut off next to what it is joined to.
fn is_at_cut(bar: &Bar, from_mm: [Option<f64>; 2], point: DVec3) -> bool {
    (0..2).any(|i| {
        let Some((mm, way)) = from_mm[i].zip(way(bar, i)) else { return false };
        ((point - bar.ends[i].position_mm).dot(way) - mm).abs() < CUT_MM
    })
}

/// Bars from one place count as apart by this at the least, rad (5°).
const LEAST_APART_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;

fn gap_between(
    project: &Project,
    (a, made): (&Bar, &BuiltBar),
    (b, other): (&Bar, &BuiltBar),
) -> Option<BarGapReport> {
    let required_mm = a.gap_mm.max(b.gap_mm);
    let cuts = [joints_mm((a, made), (b, other), required_mm), joints_mm((b, other), (a, made), required_mm)];
    let (mine, theirs) = (made.solids_from(a, cuts[0]), other.solids_from(b, cuts[1]));
    let bounds =
        |solids: &[Solid]| solids.iter().map(solid_bounds).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
    let (own, their) = (bounds(&mine)?, bounds(&theirs)?);
    let near_mm = required_mm + LOOK_MM;
    let apart_mm = (own.0 - their.1).max(their.0 - own.1).max(DVec3::ZERO).length();
    if apart_mm > near_mm + travel_mm(project, own) + travel_mm(project, their) {
        return None;
    }
    let entry = |gap: &Gap, pose: String, moved: bool| BarGapReport {
        bar: a.name.clone(),
        against: b.name.clone(),
        gap_mm: gap.gap_mm,
        required_mm,
        bar_point_mm: gap.on_first,
        other_point_mm: gap.on_second,
        pose,
        ok: gap.gap_mm >= required_mm,
        moved,
        bar_id: a.id,
        other: Item::Bar(b.id),
    };
    let drawn = tightest_between(&mine, &theirs, near_mm, &|_, _| false);
    let mut best = drawn.map(|(.., gap)| entry(&gap, super::super::clearance::AS_DRAWN.to_owned(), false));
    // each counts with both bodies that it is held between
    let bodies = b.ends.map(|end| end.body);
    let bodies = bodies.iter().enumerate().filter(|(i, body)| *i == 0 || bodies[0] != **body);
    for (_, body) in bodies {
        for moving in motions_of(project, a, *body) {
            let limit_mm = best.as_ref().map_or(near_mm, |b| b.gap_mm);
            if let Some((_, swept)) = moving.motion.tightest_between(&mine, &theirs, limit_mm) {
                best = Some(entry(&swept.gap, moving.words(project, &swept), true));
            }
        }
    }
    // one that is wide enough and ends at a cut says nothing
    best.filter(|g| {
        let at_cut = is_at_cut(a, cuts[0], g.bar_point_mm) || is_at_cut(b, cuts[1], g.other_point_mm);
        !(g.ok && at_cut)
    })
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
        other: Item::Obstacle(obstacle.id),
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
