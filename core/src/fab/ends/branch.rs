//! Branches: ends that sit on the skin of another run.

use super::near::{Near, near};
use super::{SeatedEnd, stopped};
use crate::fab::build::{Built, check_piece};
use crate::fab::end_curve::EndCurve;
use crate::fab::foot::Foot;
use crate::fab::hole::{HoleCut, HoleShape};
use crate::fab::limb::{Goes, Limb};
use crate::fab::route::Route;
use crate::fab::saddle::{Bite, HeaderPart, HoleSize, Saddle};
use crate::fab::spot::{bend_after, leg_room, spot_frame};
use crate::fab::wall::{Lack, lack};
use crate::fab::weld::WeldKind;
use crate::finding::{BranchFault, BranchProblem, NoTube, PieceProblem, Problem, WallLack};
use crate::geom::tolerance::OVERLAP_MM;
use crate::geom::vector::full_turn;
use crate::geom::{Barrel, Frame, Solid};
use crate::model::{Hardpoint, HardpointId, HoleKey, Project, Seat, Spot, settle_order};
use crate::units::paper_step_mm;
use std::sync::Arc;

/// A branch that fits.
struct Fitted {
    /// Index of its piece that is shaped.
    piece: usize,
    saddle: Arc<Saddle>,
    /// Index of the header's run, and the hole in it.
    header: usize,
    hole: HoleCut,
    /// Marks of the header's pieces that it sits on, where they are several.
    across: Vec<String>,
}

/// A branch that has been shaped, and the hole that its header needs if both can be built.
pub(super) struct OnHeader {
    port: HardpointId,
    branch: usize,
    header: usize,
    saddle: Arc<Saddle>,
    foot: Foot,
    hole: HoleCut,
    /// Indices of the runs that were put on before it and that it is cut to as well.
    cut_to: Vec<usize>,
}

/// Shapes the ends that sit on other runs; those that others depend on come first.
pub(super) fn fit(project: &Project, ends: &[SeatedEnd], all: &mut [Built]) -> Vec<OnHeader> {
    let mut out = Vec::new();
    for end in in_order(project, ends) {
        if !all[end.run].is_buildable() {
            continue;
        }
        match fitted(project, &end, all) {
            Ok(fitted) => {
                if fitted.across.len() > 1 {
                    let fault = BranchFault::AcrossWelds { pieces: fitted.across.clone() };
                    say(project, &mut all[end.run], end.port, fault);
                }
                let foot = Foot::of_saddle(&fitted.saddle);
                let (cut, cut_to) = beside(&fitted, &foot, &out, all);
                put(&mut all[end.run], &end, (&fitted, &cut));
                check(project, &mut all[end.run], fitted.piece);
                if !cut_to.is_empty() {
                    let others = cut_to.iter().map(|run| project.runs[*run].name.clone()).collect();
                    let header = project.runs[fitted.header].name.clone();
                    let fault = BranchFault::CutToBranch { others, header };
                    say(project, &mut all[end.run], end.port, fault);
                    let bite = Bite { bore: *fitted.saddle.branch(), from_mm: fitted.saddle.foot_mm() };
                    meet(project, end.run, &cut_to, (&bite, &out), all);
                }
                let Fitted { header, hole, saddle, .. } = fitted;
                out.push(OnHeader { port: end.port, branch: end.run, header, saddle, foot, hole, cut_to });
            }
            Err(fault) => say(project, &mut all[end.run], end.port, fault),
        }
    }
    out
}

/// A branch cut to those that were put on its header before it and that it meets, where that can be made, with the indices of
/// their runs; else as it is.
fn beside(fitted: &Fitted, foot: &Foot, before: &[OnHeader], all: &[Built]) -> (Arc<Saddle>, Vec<usize>) {
    let plain = || (Arc::clone(&fitted.saddle), Vec::new());
    let met: Vec<&OnHeader> =
        before.iter().filter(|o| o.header == fitted.header && o.foot.meets(foot)).collect();
    // one whose middle comes out within the other sits on that rather than beside it
    let within = |o: &&OnHeader| o.foot.holds_middle_of(foot) || foot.holds_middle_of(&o.foot);
    if met.is_empty() || met.iter().any(within) {
        return plain();
    }
    let tubes: Option<Vec<HeaderPart>> = met.iter().map(|o| tube_from_within(&all[o.branch], o)).collect();
    match tubes.map(|tubes| fitted.saddle.cut_to(&tubes)) {
        Some(Ok(cut)) => (Arc::new(cut), met.iter().map(|o| o.branch).collect()),
        Some(Err(_)) | None => plain(),
    }
}

/// The tube of a branch that is on its header, from within that up to the end of its first piece.
fn tube_from_within(branch: &Built, on: &OnHeader) -> Option<HeaderPart> {
    let limb = on.saddle.branch();
    let more_mm = -on.saddle.foot_mm();
    let at_start = limb.goes == Goes::OnAlongTravel;
    let index = if at_start { 0 } else { branch.pieces.len().checked_sub(1)? };
    let placed = branch.solids.iter().find(|s| s.piece == index && !s.lobe)?;
    let Solid::Barrel(b) = placed.solid else { return None };
    let longer = Barrel { length_mm: b.length_mm + more_mm, ..b };
    Some(HeaderPart::Barrel(if at_start {
        Barrel { start: b.start.forward(-more_mm), start_normal: b.start.travel, ..longer }
    } else {
        Barrel { end_normal: b.start.travel, ..longer }
    }))
}

/// Notches those that a branch is cut to where their wall would stand in its bore, and notes that they meet.
fn meet(
    project: &Project,
    run: usize,
    cut_to: &[usize],
    (bite, before): (&Bite, &[OnHeader]),
    all: &mut [Built],
) {
    for other in cut_to {
        all[run].meets.push(project.runs[*other].id);
        all[*other].meets.push(project.runs[run].id);
        let Some(on) = before.iter().find(|o| o.branch == *other) else { continue };
        let at_start = on.saddle.branch().goes == Goes::OnAlongTravel;
        let pieces = &mut all[*other].pieces;
        let piece = if at_start { pieces.first_mut() } else { pieces.last_mut() };
        let end = piece.and_then(|piece| piece.curves[usize::from(!at_start)].as_mut());
        if let Some(curve) = end {
            *curve = Arc::new(curve.bitten(bite.clone()));
        }
    }
}

/// What sits on a run: by name, and where it stands.
pub(super) fn feet_on<'a>(
    project: &'a Project,
    seats: &'a [OnHeader],
    run: usize,
    all: &'a [Built],
) -> impl Iterator<Item = (&'a str, &'a Foot)> {
    let here = seats.iter().filter(move |seat| seat.header == run && !stopped(&all[seat.branch]));
    here.map(|seat| (project.runs[seat.branch].name.as_str(), &seat.foot))
}

/// Puts the holes into the headers, once it is known what is left of each. A branch is told where its header cannot be
/// built after all, where the header's wall has been cut away under it, and where another one sits already.
pub(super) fn cut_holes(project: &Project, seats: Vec<OnHeader>, all: &mut [Built]) {
    let mut taken: Vec<OnHeader> = Vec::new();
    for seat in seats {
        if stopped(&all[seat.branch]) {
            continue;
        }
        if let Some(fault) = no_wall(project, &seat, &taken, all) {
            say(project, &mut all[seat.branch], seat.port, fault);
        } else {
            all[seat.header].holes.push(seat.hole.clone());
            taken.push(seat);
        }
    }
}

/// Why there is no wall for a branch on its header, beside those that are on it already.
fn no_wall(project: &Project, seat: &OnHeader, taken: &[OnHeader], all: &[Built]) -> Option<BranchFault> {
    let header = &all[seat.header];
    let name = |run: usize| project.runs[run].name.clone();
    if stopped(header) {
        return Some(BranchFault::HeaderStops { header: name(seat.header) });
    }
    if let Some(first) = seat.cut_to.iter().find(|run| stopped(&all[**run])) {
        return Some(BranchFault::HeaderStops { header: name(*first) });
    }
    if let Some(lack) = lack(header, &seat.saddle) {
        let fits_mm = free_station(project, seat, &lack, all);
        let mark = header.pieces[lack.piece].mark.clone();
        let lack = WallLack {
            clock_rad: full_turn(lack.clock_rad),
            by_mm: lack.by_mm,
            at_start: lack.at_start,
            left_mm: lack.left_mm,
        };
        return Some(BranchFault::CutAway { header: name(seat.header), mark, lack, fits_mm });
    }
    let on_same = taken.iter().filter(|other| other.header == seat.header);
    let on_same = on_same.filter(|other| !seat.cut_to.contains(&other.branch));
    let mut met = on_same.filter(|other| seat.foot.meets(&other.foot));
    met.next().map(|other| BranchFault::OnBranch { other: name(other.branch), header: name(seat.header) })
}

/// The station nearest to where a branch is where the wall under it is whole, on a step of the tape; `None` where it sits on
/// a bend, or its straight ends before.
///
/// On a straight its foot moves along as it is, and the edge at each clock stays: so it has to go as far as most is missing.
fn free_station(project: &Project, seat: &OnHeader, lack: &Lack, all: &[Built]) -> Option<f64> {
    let Some(Seat::Run { spot: Spot::Leg { leg, station_mm }, .. }) = project.hardpoint(seat.port)?.seat
    else {
        return None;
    };
    let room = leg_room(all[seat.header].route.as_ref()?, leg)?;
    let step_mm = paper_step_mm(project.settings.units);
    let steps = |mm: f64| if lack.at_start { (mm / step_mm).ceil() } else { (mm / step_mm).floor() };
    let by_mm = if lack.at_start { lack.by_mm } else { -lack.by_mm };
    let fits_mm = steps(station_mm + by_mm) * step_mm;
    (room.0..=room.1).contains(&fits_mm).then_some(fits_mm)
}

fn say(project: &Project, branch: &mut Built, port: HardpointId, fault: BranchFault) {
    let port = project.hardpoint(port);
    let name = port.map_or_else(String::new, |h| h.name.clone());
    let problem = BranchProblem { port: name, fault };
    branch.problems.push((problem.into(), port.map(|h| h.position_mm), None));
}

/// Ends on other runs, those that others depend on first.
fn in_order(project: &Project, ends: &[SeatedEnd]) -> Vec<SeatedEnd> {
    let mut out: Vec<SeatedEnd> =
        ends.iter().filter(|end| matches!(end.seat, Seat::Run { .. })).copied().collect();
    if out.len() > 1 {
        let order: Vec<HardpointId> = settle_order(project);
        out.sort_by_key(|end| order.iter().position(|id| *id == end.port).unwrap_or(usize::MAX));
    }
    out
}

/// The branch as it fits its header, or why it does not.
fn fitted(project: &Project, end: &SeatedEnd, all: &[Built]) -> Result<Fitted, BranchFault> {
    let Seat::Run { run, spot, .. } = end.seat else { return Err(BranchFault::HeaderGone) };
    let at = project.runs.iter().position(|r| r.id == run).filter(|i| *i != end.run);
    let header_index = at.ok_or(BranchFault::HeaderGone)?;
    let (header, branch) = (&all[header_index], &all[end.run]);
    let header_name = project.runs[header_index].name.clone();
    let Some(route) = header.route.as_ref().filter(|_| header.is_buildable() && !stopped(header)) else {
        return Err(BranchFault::HeaderStops { header: header_name });
    };
    let axis = place(route, spot, &header_name)?;
    let (piece, limb) = limb(project, branch, end.at_start)?;
    let near = near(header, &axis, &limb, matches!(spot, Spot::Bend { .. }));
    let Near { saddle, hole_at, across } = near?;
    let saddle = Arc::new(saddle);
    let shape = HoleShape::Branch { saddle: Arc::clone(&saddle), size: HoleSize::Bore };
    let run_id = project.runs[end.run].id;
    let hole = HoleCut {
        mark: String::new(),
        key: if end.at_start { HoleKey::StartOf(run_id) } else { HoleKey::EndOf(run_id) },
        of: project.runs[end.run].name.clone(),
        piece: hole_at.piece,
        along_mm: hole_at.along_mm,
        clock_rad: hole_at.clock_rad,
        shape,
    };
    let across = across.iter().filter_map(|i| header.pieces.get(*i)).map(|p| p.mark.clone()).collect();
    Ok(Fitted { piece, saddle, header: header_index, hole, across })
}

/// What is wrong with where a hardpoint sits on a run, whatever comes to it; nothing where that run cannot be built.
pub(super) fn misplaced(project: &Project, port: &Hardpoint, all: &[Arc<Built>]) -> Option<Problem> {
    let Seat::Run { run, spot, .. } = port.seat? else { return None };
    let at = project.runs.iter().position(|r| r.id == run)?;
    let route = all.get(at)?.route.as_ref()?;
    let fault = place(route, spot, &project.runs[at].name).err()?;
    Some(BranchProblem { port: port.name.clone(), fault }.into())
}

/// The header's centre line where the branch is to sit, if there is such a place.
fn place(route: &Route, spot: Spot, header: &str) -> Result<Frame, BranchFault> {
    let header = header.to_owned();
    let leg = match spot {
        Spot::Leg { leg, .. } | Spot::Bend { leg, .. } => leg,
    };
    let Some(room) = leg_room(route, leg) else {
        return Err(BranchFault::NoLeg { header, leg: leg + 1, legs: route.places.len() });
    };
    match spot {
        Spot::Leg { station_mm, .. } => {
            if station_mm < room.0 - OVERLAP_MM || station_mm > room.1 + OVERLAP_MM {
                // the bend on the side it lies off at, which is the one after the leg before for its start
                let beside = if station_mm < room.0 { leg.checked_sub(1) } else { Some(leg) };
                let bend = beside.is_some_and(|leg| bend_after(route, leg).is_some());
                return Err(BranchFault::OffStraight {
                    header,
                    leg: leg + 1,
                    station_mm,
                    room_mm: room,
                    bend,
                });
            }
        }
        Spot::Bend { turn_deg, .. } => {
            let Some(bend) = bend_after(route, leg).and_then(|b| route.bends.get(b)) else {
                return Err(BranchFault::NoBend { header, leg: leg + 1 });
            };
            let most_deg = bend.angle_rad.to_degrees();
            if !(-OFF_BEND_DEG..=most_deg + OFF_BEND_DEG).contains(&turn_deg) {
                return Err(BranchFault::OffBend { header, leg: leg + 1, turn_deg, most_deg });
            }
        }
    }
    spot_frame(route, spot).ok_or(BranchFault::NoLeg { header, leg: leg + 1, legs: route.places.len() })
}

/// A place round a bend may lie this much beyond its end, degrees: rounding noise of what is typed.
const OFF_BEND_DEG: f64 = 1e-6;

/// The piece of the branch that sits on the header, as a tube with an end to be cut.
fn limb(project: &Project, branch: &Built, at_start: bool) -> Result<(usize, Limb), BranchFault> {
    let last = branch.pieces.len() - 1;
    let index = if at_start { 0 } else { last };
    let (piece, frames) = (&branch.pieces[index], &branch.frames[index]);
    let none = |what: NoTube| BranchFault::NoTube { at_start, mark: piece.mark.clone(), what };
    if !piece.is_sawn() {
        return Err(none(NoTube::Piece(piece.kind.of_type())));
    }
    let face = if at_start { piece.start } else { piece.end };
    if face.tilt_rad > 0.0 {
        return Err(none(NoTube::MitredCut));
    }
    let goes = if at_start { Goes::OnAlongTravel } else { Goes::BackAgainstTravel };
    let frame = if at_start { frames.0 } else { frames.1 };
    let wall_mm = project.tube(piece.tube).map_or(0.0, |t| t.wall_mm);
    Ok((index, Limb { frame, goes, radius_mm: piece.od_mm / 2.0, wall_mm }))
}

/// Gives the branch its shaped end and the weld there.
fn put(branch: &mut Built, end: &SeatedEnd, (fitted, saddle): (&Fitted, &Arc<Saddle>)) {
    let Fitted { piece, across, .. } = fitted;
    branch.pieces[*piece].curves[usize::from(!end.at_start)] =
        Some(Arc::new(EndCurve::saddle(Arc::clone(saddle))));
    let before = if end.at_start { 0 } else { branch.pieces.len() };
    let at = |w: &&mut super::super::Weld| w.before == before && w.kind == WeldKind::Part;
    if let Some(weld) = branch.welds.iter_mut().find(at) {
        weld.kind = WeldKind::Saddle;
        weld.length_mm = saddle.weld().value;
        weld.heel_clock_rad = None;
        if let Some(mark) = across.first() {
            weld.between[usize::from(!end.at_start)].clone_from(mark);
        }
    }
}

/// Whether the shaped piece leaves enough to hold; what was said of it with square ends is said anew.
fn check(project: &Project, built: &mut Built, piece: usize) {
    unsay(built, piece);
    let (from, to) = built.frames[piece];
    let spot = from.origin.midpoint(to.origin);
    let (Some(route), made) = (built.route.as_ref(), &built.pieces[piece]) else { return };
    if let Some((problem, vertex)) = check_piece(project, route, made) {
        built.problems.push((problem, Some(spot), vertex));
    }
}

/// Takes back what was said of the length of a piece while its ends were square.
pub(super) fn unsay(built: &mut Built, piece: usize) {
    let mark = &built.pieces[piece].mark;
    let of_it = |p: &Problem| matches!(p, Problem::Piece(PieceProblem::ThroatShort { mark: of, .. } | PieceProblem::CutsCross { mark: of, .. }) if of == mark);
    built.problems.retain(|(p, ..)| !of_it(p));
}
