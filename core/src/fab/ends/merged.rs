//! Merges: ends of several runs brought together.
//!
//! All axes meet in one point. The arms come down to it, the outlet goes on from it, or from a plane before it: see
//! [`crate::fab::merge`]. A merge is laid out as soon as two of its arms and its outlet have runs.
//!
//! Its welds are counted once. The seam between two arms is the weld of the first of the two; what an arm has with
//! the outlet is part of the outlet's weld, round all arms.

use super::branch::unsay;
use super::{SeatedEnd, stopped};
use crate::fab::build::{Built, check_lips, mark_welds};
use crate::fab::end_curve::EndCurve;
use crate::fab::foot::Foot;
use crate::fab::hole::{HoleCut, HoleShape};
use crate::fab::limb::{Goes, Limb};
use crate::fab::merge::{MergeError, Neighbours, Outlet, OutletPlane, Stand};
use crate::fab::piece::PieceKind;
use crate::fab::route::taper::ordered;
use crate::fab::saddle::{Header, HoleSize, Saddle};
use crate::fab::weld::WeldKind;
use crate::finding::{MergeFault, MergeProblem, PieceProblem, Problem};
use crate::geom::Frame;
use crate::geom::vector::{across, unit};
use crate::model::{
    HardpointId, HoleKey, Merge, MergeArm, MergeId, MergeJoin, Project, Run, RunEnd, Seat, Tube,
};
use glam::DVec3;
use std::sync::Arc;

/// Where the axes of a merge meet, with the way the flow leaves; `None` without a direction.
pub fn outlet_frame(merge: &Merge) -> Option<Frame> {
    Some(Frame::new(merge.position_mm, unit(merge.direction)?, merge.clock))
}

/// The same place with the way up one of its arms; 12 o'clock is away from the outlet's axis.
pub fn arm_frame(outlet: &Frame, arm: &MergeArm) -> Frame {
    let out = outlet.at_clock(arm.clock_deg.to_radians());
    let (sin, cos) = arm.angle_deg.to_radians().sin_cos();
    let up: DVec3 = out * sin - outlet.travel * cos;
    Frame::new(outlet.origin, up, across(out, up).unwrap_or(outlet.index))
}

/// The run that starts or ends at a hardpoint, with the tube it has there.
pub(crate) fn run_at(project: &Project, port: HardpointId) -> Option<(&Run, bool, &Tube)> {
    project.runs.iter().find_map(|run| {
        let ends_there = matches!(run.end, RunEnd::Hardpoint { hardpoint, .. } if hardpoint == port);
        if run.start == port {
            Some((run, true, project.tube(run.tube)?))
        } else if ends_there {
            let last = ordered(run, usize::MAX).pop();
            Some((run, false, project.tube(last.map_or(run.tube, |t| t.tube))?))
        } else {
            None
        }
    })
}

/// The hardpoints of a merge: those of its arms, in their order, and that of its outlet.
fn ports(project: &Project, merge: &Merge) -> (Vec<Option<HardpointId>>, Option<HardpointId>) {
    let of = |seat: Seat| project.hardpoints.iter().find(|h| h.seat == Some(seat)).map(|h| h.id);
    let arms = (0..merge.arms.len()).map(|arm| of(Seat::Arm { merge: merge.id, arm })).collect();
    (arms, of(Seat::Outlet { merge: merge.id }))
}

/// A merge laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidOut {
    /// The merge as worked out.
    pub merge: Arc<crate::fab::merge::Merge>,
    /// Which arms of the merge as entered have runs, in the order of the arms as worked out.
    pub arms: Vec<usize>,
}

/// Lays a merge out from the tubes of the runs that come to it; `None` while two arms or the outlet have none.
///
/// Clocks of its limbs are those of the runs where `end_of` gives the end of a run, by its hardpoint; else those of
/// [`arm_frame`].
pub fn lay_out(
    project: &Project,
    merge: &Merge,
    end_of: &dyn Fn(HardpointId) -> Option<(Frame, Goes)>,
) -> Option<Result<LaidOut, MergeError>> {
    let frame = outlet_frame(merge)?;
    let (arms, outlet) = ports(project, merge);
    let limb = |port: HardpointId, frame: Frame, tube: &Tube| {
        let (frame, goes) = end_of(port).unwrap_or((frame, Goes::OnAlongTravel));
        Limb { frame, goes, radius_mm: tube.od_mm / 2.0, wall_mm: tube.wall_mm }
    };
    let found = arms.iter().enumerate().filter_map(|(i, port)| {
        let port = (*port)?;
        let (.., tube) = run_at(project, port)?;
        Some((i, limb(port, arm_frame(&frame, merge.arms.get(i)?), tube)))
    });
    let (which, limbs): (Vec<usize>, Vec<Limb>) = found.unzip();
    if limbs.len() < 2 {
        return None;
    }
    let outlet = outlet?;
    let (.., tube) = run_at(project, outlet)?;
    let plane = |stand| {
        let (radius_mm, wall_mm) = (tube.od_mm / 2.0, tube.wall_mm);
        Outlet::Plane(OutletPlane { frame, radius_mm, wall_mm, stand })
    };
    let lets_out = match merge.join {
        MergeJoin::Mitred => Outlet::Tube(limb(outlet, frame, tube)),
        MergeJoin::Over => plane(Stand::Inside),
        MergeJoin::Against => plane(Stand::Covering),
        MergeJoin::At { station_mm } => plane(Stand::At(station_mm)),
    };
    let laid = crate::fab::merge::Merge::new(limbs, &Neighbours::All, lets_out);
    Some(laid.map(|merge| LaidOut { merge: Arc::new(merge), arms: which }))
}

/// Where the outlet of a merge begins along its axis from where the axes meet, mm; 0 where it is mitred to the arms, or
/// nothing says yet.
pub fn outlet_station_mm(project: &Project, merge: &Merge) -> f64 {
    if merge.join == MergeJoin::Mitred {
        return 0.0;
    }
    let laid = lay_out(project, merge, &|_| None).and_then(Result::ok);
    laid.and_then(|l| l.merge.outline().map(|o| o.station_mm)).unwrap_or(0.0)
}

/// Cuts are followed within this to see what they cut off, mm.
const STRIP_CHORD_MM: f64 = 0.2;

/// The end of a run in a merge.
struct Meets<'a> {
    end: &'a SeatedEnd,
    /// Which limb of the merge as worked out; `None` for an outlet that is cut square.
    limb: Option<usize>,
}

/// The hole of an arm that sits on the side of a larger one, to be cut if both can be built.
pub(super) struct OnSide {
    /// Index of the run that sits there.
    arm: usize,
    /// Index of the run that it sits on.
    larger: usize,
    hole: HoleCut,
}

/// The arms that sit on the side of a run: by name, and where they stand.
pub(super) fn feet_on<'a>(sides: &'a [OnSide], run: usize, all: &'a [Built]) -> Vec<(&'a str, Foot)> {
    let here = sides.iter().filter(|side| side.larger == run && !stopped(&all[side.arm]));
    let foot = |side: &'a OnSide| match &side.hole.shape {
        HoleShape::Branch { saddle, .. } => Some((side.hole.of.as_str(), Foot::of_saddle(saddle))),
        HoleShape::Drilled { .. } => None,
    };
    here.filter_map(foot).collect()
}

/// Cuts the holes of arms that sit on the side of others, once it is known which runs can be built.
pub(super) fn cut_holes(sides: Vec<OnSide>, all: &mut [Built]) {
    for side in sides {
        if !stopped(&all[side.arm]) && !stopped(&all[side.larger]) {
            all[side.larger].holes.push(side.hole);
        }
    }
}

/// Shapes the ends that come into merges; the holes that go with them are cut later.
pub(super) fn fit(project: &Project, ends: &[SeatedEnd], all: &mut [Built]) -> Vec<OnSide> {
    let mut out = Vec::new();
    for merge in &project.merges {
        let here: Vec<&SeatedEnd> = ends.iter().filter(|e| is_at(e.seat, merge.id)).collect();
        if here.is_empty() {
            continue;
        }
        let end_of = |port: HardpointId| {
            let end = here.iter().find(|e| e.port == port)?;
            let frames = &all[end.run].frames;
            if end.at_start {
                Some((frames.first()?.0, Goes::OnAlongTravel))
            } else {
                Some((frames.last()?.1, Goes::BackAgainstTravel))
            }
        };
        match lay_out(project, merge, &end_of) {
            // what is missing is said once for the merge
            None => {}
            Some(Err(error)) => {
                // each run is stopped by it; the report says it once for all of them
                let mut come: Vec<usize> = here.iter().map(|e| e.run).collect();
                come.dedup();
                let runs: Vec<String> = come.iter().map(|run| project.runs[*run].name.clone()).collect();
                for end in here {
                    say(all, end, merge, MergeFault::NotMerged { error, runs: runs.clone() });
                }
            }
            Some(Ok(laid)) => out.extend(shape(project, merge, &laid, &here, all)),
        }
    }
    out
}

fn is_at(seat: Seat, id: MergeId) -> bool {
    match seat {
        Seat::Arm { merge, .. } | Seat::Outlet { merge } => merge == id,
        Seat::Run { .. } => false,
    }
}

fn say(all: &mut [Built], end: &SeatedEnd, merge: &Merge, fault: MergeFault) {
    let problem = MergeProblem { id: merge.id, merge: merge.name.clone(), fault };
    if let Some(built) = all.get_mut(end.run) {
        built.problems.push((problem.into(), Some(merge.position_mm), None));
    }
}

fn shape(
    project: &Project,
    merge: &Merge,
    laid: &LaidOut,
    here: &[&SeatedEnd],
    all: &mut [Built],
) -> Vec<OnSide> {
    let mitred = merge.join == MergeJoin::Mitred;
    let meets: Vec<Meets<'_>> = here
        .iter()
        .filter_map(|end| match end.seat {
            Seat::Arm { arm, .. } => {
                let limb = laid.arms.iter().position(|a| *a == arm)?;
                Some(Meets { end, limb: Some(limb) })
            }
            Seat::Outlet { .. } => Some(Meets { end, limb: mitred.then_some(laid.arms.len()) }),
            Seat::Run { .. } => None,
        })
        .collect();
    let seams = laid.merge.seams();
    let arms = laid.arms.len();
    let mut sides = Vec::new();
    for meet in &meets {
        let built = &mut all[meet.end.run];
        if !built.is_buildable() {
            continue;
        }
        let index = if meet.end.at_start { 0 } else { built.pieces.len() - 1 };
        if let Some(limb) = meet.limb {
            let curve = match on_side(project, laid, &meets, (meet.end, limb), all) {
                Some((saddle, side)) => {
                    sides.extend(side);
                    EndCurve::saddle(saddle)
                }
                None => EndCurve::merged(Arc::clone(&laid.merge), limb),
            };
            let built = &mut all[meet.end.run];
            let piece = &mut built.pieces[index];
            if piece.kind != PieceKind::Straight {
                let what = piece.kind.of_type();
                say(all, meet.end, merge, MergeFault::EndsWith { what });
                continue;
            }
            let curve = Arc::new(curve);
            piece.curves[usize::from(!meet.end.at_start)] = Some(Arc::clone(&curve));
            let edge = project.settings.allowances.shaped_edge.into();
            if curve.rim(edge, piece.od_mm / 2.0, STRIP_CHORD_MM).falls_out > 0 {
                let mark = piece.mark.clone();
                say(all, meet.end, merge, MergeFault::StripFallsOut { mark });
            }
            check_length(project, merge, meet.end, index, all);
        }
        let is_outlet = matches!(meet.end.seat, Seat::Outlet { .. });
        let length_mm: f64 = if is_outlet {
            let edges = (0..arms).map(|arm| laid.merge.outlet_edge(arm).value).sum::<f64>();
            let with_outlet = seams.iter().filter(|s| s.arms[1] == arms);
            edges + with_outlet.map(|s| s.length.value).sum::<f64>()
        } else {
            let own = seams.iter().filter(|s| Some(s.arms[0]) == meet.limb && s.arms[1] < arms);
            own.map(|s| s.length.value).sum()
        };
        let end = (meet.end.at_start, project.runs[meet.end.run].letters.as_str());
        set_weld(&mut all[meet.end.run], end, length_mm, &merge.name);
    }
    sides
}

/// An arm that sits on the side of a larger one as it fits there, with the hole that needs where that has a run; `None` for
/// an arm that comes into the end of the others.
fn on_side(
    project: &Project,
    laid: &LaidOut,
    meets: &[Meets<'_>],
    (end, arm): (&SeatedEnd, usize),
    all: &[Built],
) -> Option<(Arc<Saddle>, Option<OnSide>)> {
    let larger = laid.merge.side(arm)?;
    let (limb, on) = (laid.merge.arms().get(arm)?, laid.merge.arms().get(larger)?);
    let header = Header::straight(on.frame, on.radius_mm).ok()?;
    let saddle = Arc::new(Saddle::new(*limb, header).ok()?);
    let axis = saddle.branch().axis();
    let through = axis.point(saddle.header().left_at_mm(&axis, saddle.foot_mm())?);
    let side = meets.iter().find(|m| m.limb == Some(larger)).and_then(|meet| {
        let built = &all[meet.end.run];
        let piece = if meet.end.at_start { 0 } else { built.pieces.len().checked_sub(1)? };
        let begins = built.frames.get(piece)?.0;
        let from = through - begins.origin;
        let run = &project.runs[end.run];
        let hole = HoleCut {
            mark: String::new(),
            key: if end.at_start { HoleKey::StartOf(run.id) } else { HoleKey::EndOf(run.id) },
            of: run.name.clone(),
            piece,
            along_mm: from.dot(begins.travel),
            clock_rad: begins.clock_of(from),
            shape: HoleShape::Branch { saddle: Arc::clone(&saddle), size: HoleSize::Bore },
        };
        Some(OnSide { arm: end.run, larger: meet.end.run, hole })
    });
    Some((saddle, side))
}

/// The weld at that end gets its length; one that another run counts goes.
fn set_weld(built: &mut Built, (at_start, letters): (bool, &str), length_mm: f64, name: &str) {
    let before = if at_start { 0 } else { built.pieces.len() };
    let Some(at) = built.welds.iter().position(|w| w.before == before) else { return };
    if length_mm > 0.0 {
        let weld = &mut built.welds[at];
        (weld.kind, weld.length_mm, weld.heel_clock_rad) = (WeldKind::Seam, length_mm, None);
        name.clone_into(&mut weld.between[usize::from(!at_start)]);
    } else {
        built.welds.remove(at);
        mark_welds(&mut built.welds, letters);
        // findings that name welds name them anew
        built.problems.retain(|(p, ..)| !matches!(p, Problem::Piece(PieceProblem::Lip { .. })));
        check_lips(built);
    }
}

/// Whether enough is left of a piece that has been shaped.
fn check_length(project: &Project, merge: &Merge, end: &SeatedEnd, index: usize, all: &mut [Built]) {
    unsay(&mut all[end.run], index);
    let piece = &all[end.run].pieces[index];
    let (_, short_mm) = piece.long_short_mm();
    let least_mm = project.settings.shortest_throat_mm;
    let mark = piece.mark.clone();
    if short_mm < 0.0 {
        say(all, end, merge, MergeFault::PieceTooShort { mark, by_mm: -short_mm });
    } else if short_mm < least_mm {
        say(all, end, merge, MergeFault::ThroatShort { mark, throat_mm: short_mm, least_mm });
    }
}

#[cfg(test)]
pub(super) mod tests;
