//! The clocks at which the lobe of one joint, and the tool on it, have room.
//!
//! It costs some hundred gaps a joint, so it is no part of the report: it is worked out for the joint that is asked
//! for.

use super::Report;
use super::clearance::along::{Along, near_mm};
use crate::fab::{Built, PieceKind};
use crate::geom::{Frame, Solid};
use crate::model::{Hardpoint, JointKind, Obstacle, Project, Run, RunEnd, RunId};
use crate::space::lobe::{
    ClockRange, ClockRoom, LEAST_GAP_MM, LOOK_MM, TurningPart, clock_room, turns_to_see,
};
use crate::space::scan::Scans;
use crate::space::{PlacedShape, gap_between, gap_to_shape, solid_bounds, tightest, tightest_between};
use glam::DVec3;

/// Clock angles are offered in steps of this where that keeps the room, degrees: what paper has.
const STEP_DEG: f64 = 0.1;

/// A lobe that is turned to be seen stays this far inside the edge of its room where it can, rad (half a degree).
const INSIDE_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;

/// The room round one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct LobeRoom {
    /// Frame at the middle of the joint; clocks count from its index line.
    pub middle: Frame,
    /// The lobe, then the room for its tool if it has one.
    pub parts: Vec<TurningPart>,
    /// At which clocks all of them have their gaps.
    pub room: ClockRoom,
    /// Where the lobe is, rad.
    pub now_rad: f64,
}

/// Why a lobe cannot be turned to where someone looks from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unseen {
    /// They look along the pipe: no side of it faces them.
    Along,
    /// It has no room at any clock.
    Blocked,
    /// It has room, but not on the side that can be seen.
    OtherSide,
}

impl LobeRoom {
    /// Whether the lobe has room where it is.
    pub fn is_free_now(&self) -> bool {
        self.room.is_free_at(self.now_rad)
    }

    /// The clock with the most room, degrees; `None` where it has room nowhere.
    pub fn clearest_deg(&self) -> Option<f64> {
        (!self.room.is_blocked()).then(|| self.stepped_deg(self.room.best_rad))
    }

    /// The clocks that can be seen and reached from where the direction towards the eye is this; `None` where the eye
    /// looks along the pipe.
    pub fn seen_from(&self, eye_direction: DVec3) -> Option<ClockRange> {
        turns_to_see(&self.middle, eye_direction)
    }

    /// The clock that has room and faces the eye best, degrees.
    ///
    /// # Errors
    /// Why there is none.
    pub fn toward_deg(&self, eye_direction: DVec3) -> Result<f64, Unseen> {
        let seen = self.seen_from(eye_direction).ok_or(Unseen::Along)?;
        if self.room.is_blocked() {
            return Err(Unseen::Blocked);
        }
        let facing = seen.middle_rad();
        let off = |clock: &f64| crate::geom::vector::half_open_turn(clock - facing).abs();
        let both = self.room.free.iter().flat_map(|free| free.common(seen));
        let clocks = both.map(|range| {
            if range.contains(facing) {
                return facing;
            }
            let inside = INSIDE_RAD.min(range.sweep_rad / 2.0);
            let ends = [range.from_rad + inside, range.from_rad + range.sweep_rad - inside];
            if off(&ends[0]) <= off(&ends[1]) { ends[0] } else { ends[1] }
        });
        let best = clocks.min_by(|a, b| off(a).total_cmp(&off(b)));
        best.map(|clock| self.stepped_deg(clock)).ok_or(Unseen::OtherSide)
    }

    /// A free clock in degrees, on a step of paper where that is free too.
    fn stepped_deg(&self, clock_rad: f64) -> f64 {
        let deg = crate::geom::vector::half_open_turn(clock_rad).to_degrees();
        let steps = deg / STEP_DEG;
        let near = [steps.round(), steps.floor(), steps.ceil()].map(|n| n / (1.0 / STEP_DEG) + 0.0);
        near.into_iter().find(|d| self.room.is_free_at(d.to_radians())).unwrap_or(deg)
    }
}

/// What stands round a joint, each with the gap it asks for.
struct Round {
    shapes: Vec<(PlacedShape, f64)>,
    solids: Vec<(Vec<Solid>, f64)>,
}

impl Round {
    fn most_mm(&self) -> f64 {
        let all = self.shapes.iter().map(|s| s.1).chain(self.solids.iter().map(|s| s.1));
        all.fold(LEAST_GAP_MM, f64::max)
    }

    /// The least gap, mm, made larger for what asks for less than the part does; nothing asks for more.
    fn nearest_mm(&self, part: &TurningPart, solids: &[Solid], closer_than_mm: f64) -> Option<f64> {
        let asked_mm = part.gap_mm.max(LEAST_GAP_MM);
        let more_mm = |need_mm: f64| asked_mm - need_mm.clamp(LEAST_GAP_MM, asked_mm);
        let (mut limit_mm, mut least) = (closer_than_mm, None);
        let mut take = |found: Option<f64>, more_mm: f64, limit_mm: &mut f64| {
            // how deep an overlap is does not count
            if let Some(gap_mm) = found.map(|gap_mm| gap_mm.max(0.0) + more_mm).filter(|g| *g < *limit_mm) {
                *limit_mm = gap_mm;
                least = Some(gap_mm);
            }
        };
        for (shape, need_mm) in &self.shapes {
            let more_mm = more_mm(*need_mm);
            if limit_mm > more_mm {
                let found = tightest(solids, shape, limit_mm - more_mm).map(|(_, gap)| gap.gap_mm);
                take(found, more_mm, &mut limit_mm);
            }
        }
        for (others, need_mm) in &self.solids {
            let more_mm = more_mm(*need_mm);
            if limit_mm > more_mm {
                let found = tightest_between(solids, others, limit_mm - more_mm, &|_, _| false);
                take(found.map(|(_, _, gap)| gap.gap_mm), more_mm, &mut limit_mm);
            }
        }
        least
    }
}

/// The room for the lobe of the joint that is piece `piece` of a run; `None` where there is no such joint, it has no
/// lobe, or its numbers cannot be used.
///
/// The lobe keeps from each obstacle the gap that this asks for, from other runs and from its own the gap of the
/// runs; the tool only must not touch. Not in the way are the joint itself and the piece to either side, and, of a
/// joint at a hardpoint, what of the part's body the joint sits in or against. What of its own run lies within a
/// quarter turn of a tight bend along the pipe only must not be touched, as everywhere in the report.
pub fn lobe_room(
    project: &Project,
    scans: &Scans,
    report: &Report,
    run: RunId,
    piece: usize,
) -> Option<LobeRoom> {
    let (run, built) = (project.run(run)?, &report.run(run)?.built);
    let part = built.pieces.get(piece)?;
    let PieceKind::Joint(id) = part.kind else { return None };
    let kind = project.joint(id)?;
    let middle = built.frames.get(piece)?.0.forward(part.centre_mm / 2.0);
    let around = round(project, scans, report, (run, built), piece);
    let parts = turning_parts(kind, around.most_mm());
    let nearest = |part: &TurningPart, solids: &[Solid], closer: f64| around.nearest_mm(part, solids, closer);
    let room = clock_room(&middle, &parts, &nearest)?;
    Some(LobeRoom { middle, parts, room, now_rad: part.lobe_clock_rad.unwrap_or(0.0) })
}

/// The lobe of a kind of joint with the gap it has to keep, and the room for its tool, which only must not touch.
fn turning_parts(kind: &JointKind, gap_mm: f64) -> Vec<TurningPart> {
    let Some(lobe) = TurningPart::lobe(kind, gap_mm) else { return Vec::new() };
    let tool = kind.tool.map(|tool| {
        if tool.swing_deg > 0.0 {
            lobe.tool_swing(tool.reach_mm, tool.swing_deg.to_radians(), 0.0)
        } else {
            lobe.tool_box(tool.reach_mm, tool.width_mm, 0.0)
        }
    });
    std::iter::once(lobe).chain(tool).collect()
}

fn round(
    project: &Project,
    scans: &Scans,
    report: &Report,
    (run, built): (&Run, &Built),
    piece: usize,
) -> Round {
    let own: Vec<Solid> =
        built.solids.iter().filter(|s| s.piece == piece && !s.lobe).map(|s| s.solid).collect();
    let port = port_of(project, run, built, piece);
    let centre = built.frames.get(piece).map_or(DVec3::ZERO, |f| f.0.origin.midpoint(f.1.origin));
    // what asks for less than the part does counts as if it were so much further off
    let reach_mm = LOOK_MM + reach_mm(project, built, piece);
    let is_near = |solid: &Solid, asked_mm: f64| {
        let (low, high) = solid_bounds(solid);
        let apart_mm = (low - centre).max(centre - high).max(DVec3::ZERO).length();
        apart_mm < reach_mm + asked_mm.max(LEAST_GAP_MM)
    };
    let mut out = Round { shapes: Vec::new(), solids: Vec::new() };
    for obstacle in &project.obstacles {
        let shape = placed(scans, obstacle);
        let need_mm = gap_asked_mm(project, run, obstacle);
        let touches = || own.iter().any(|solid| gap_to_shape(solid, &shape, need_mm).is_some());
        if port.map(|p| p.body) == Some(obstacle.body) && touches() {
            continue;
        }
        out.shapes.push((shape, need_mm));
    }
    for (other, result) in project.runs.iter().zip(&report.runs).filter(|(r, _)| r.id != run.id) {
        let at_port = port.is_some_and(|p| meets(project, other, p));
        let asked_mm = run.gap_mm.max(other.gap_mm);
        let in_the_way = |solid: &Solid| {
            is_near(solid, asked_mm)
                && !(at_port && own.iter().any(|s| gap_between(s, solid, LEAST_GAP_MM).is_some()))
        };
        let all = result.built.all_solids();
        let solids: Vec<Solid> = all.iter().map(|s| s.solid).filter(in_the_way).collect();
        out.solids.push((solids, asked_mm));
    }
    for (bar, made) in project.bars.iter().zip(&report.bars) {
        let gap_mm = run.gap_mm.max(bar.gap_mm);
        let solids = made.built.solids_clear_of(bar, run.id, gap_mm).into_iter();
        let solids = solids.filter(|s| is_near(s, gap_mm));
        out.solids.push((solids.collect(), gap_mm));
    }
    let next_to = built.solids.iter().filter(|s| s.piece == piece).map(|s| s.span_mm);
    let (from, to) = next_to.fold((f64::INFINITY, f64::NEG_INFINITY), |a, s| (a.0.min(s.0), a.1.max(s.1)));
    let widest_mm = built.pieces.iter().map(|p| p.od_mm.max(p.end_od_mm()) / 2.0).fold(0.0, f64::max);
    let near_mm = near_mm(widest_mm, run.gap_mm);
    let (first_mm, last_mm) = (from - near_mm, to + near_mm);
    let (mut near, mut far) = (Vec::new(), Vec::new());
    for placed in built.solids.iter().filter(|s| s.piece != piece && is_near(&s.solid, run.gap_mm)) {
        let whole = Along::whole(placed, &built.parts);
        let away = [whole.between(f64::NEG_INFINITY, first_mm), whole.between(last_mm, f64::INFINITY)];
        far.extend(away.into_iter().flatten().map(|stretch| stretch.solid));
        // the pieces to either side are what it joins
        if placed.piece.abs_diff(piece) > 1 {
            near.extend(whole.between(first_mm, last_mm).map(|stretch| stretch.solid));
        }
    }
    near.extend(built.part_solids().map(|s| s.solid).filter(|s| is_near(s, LEAST_GAP_MM)));
    out.solids.push((near, LEAST_GAP_MM));
    out.solids.push((far, run.gap_mm));
    out.solids.retain(|(solids, _)| !solids.is_empty());
    out
}

/// An obstacle where it stands, scans as far as they have been read.
pub(super) fn placed(scans: &Scans, obstacle: &Obstacle) -> PlacedShape {
    let plain = || PlacedShape::new(&obstacle.shape, &obstacle.pose);
    scans.placed(obstacle).map_or_else(plain, PlacedShape::scan)
}

/// The gap an obstacle asks of a run, heat considered, mm.
fn gap_asked_mm(project: &Project, run: &Run, obstacle: &Obstacle) -> f64 {
    let hot = run.service.is_hot() && obstacle.heat_sensitive;
    let hot_mm = obstacle.hot_gap_mm.unwrap_or(project.settings.hot_gap_mm);
    if hot { obstacle.gap_mm.max(hot_mm) } else { obstacle.gap_mm }
}

/// How far the parts of a joint reach, mm.
fn reach_mm(project: &Project, built: &Built, piece: usize) -> f64 {
    let kind = built.pieces.get(piece).and_then(|p| match p.kind {
        PieceKind::Joint(id) => project.joint(id),
        PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Taper(_) => None,
    });
    let parts = kind.map_or_else(Vec::new, |kind| turning_parts(kind, 0.0));
    parts.iter().map(|p| 2.0 * p.reach_mm + p.length_mm).fold(0.0, f64::max)
}

/// The hardpoint at which a piece of a run is the joint.
pub(super) fn port_of<'a>(
    project: &'a Project,
    run: &Run,
    built: &Built,
    piece: usize,
) -> Option<&'a Hardpoint> {
    let is_joint = |port: &&Hardpoint| matches!(port.attachment, crate::model::Attachment::Joint { .. });
    if piece == 0 {
        return project.hardpoint(run.start).filter(is_joint);
    }
    match run.end {
        RunEnd::Hardpoint { hardpoint, .. } if piece + 1 == built.pieces.len() => {
            project.hardpoint(hardpoint).filter(is_joint)
        }
        RunEnd::Hardpoint { .. } | RunEnd::Open { .. } => None,
    }
}

/// Whether a run begins or ends at the place of a hardpoint.
pub(super) fn meets(project: &Project, run: &Run, port: &Hardpoint) -> bool {
    let end = match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => project.hardpoint(hardpoint),
        RunEnd::Open { .. } => None,
    };
    let same = |p: &Hardpoint| p.position_mm.distance(port.position_mm) < 1.0;
    project.hardpoint(run.start).into_iter().chain(end).any(same)
}

#[cfg(test)]
mod tests;
