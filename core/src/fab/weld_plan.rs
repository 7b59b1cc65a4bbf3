//! In which order the pipe is tacked, which weld is fitted last, and what is added to the pieces for it.
//!
//! Errors of cutting and tacking grow along the pipe. Built from both ends towards one weld in between, they meet
//! there; the weld where they do least harm is the one to fit last, with some extra length to trim.

use super::piece::{Piece, PieceKind};
use super::weld::{Weld, WeldKind};
use crate::geom::Frame;
use crate::model::{Allowances, Tube};
use glam::DVec3;
use std::f64::consts::PI;

/// Scatter of a sawn length, mm; of a bend or saw angle and of a tacked face, rad; of a clock mark, mm round the
/// outside. Used only to compare welds with each other (common practice, no source).
const LENGTH_MM: f64 = 0.5;
const BEND_RAD: f64 = 0.3 * PI / 180.0;
const TACK_RAD: f64 = 0.25 * PI / 180.0;
const CLOCK_MM: f64 = 0.7;

/// The weld that is fitted last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FieldFit {
    /// Index of the weld.
    pub weld: usize,
    /// Index of the piece that is cut longer.
    pub piece: usize,
    /// Whether at its end (else at its start).
    pub at_end: bool,
    /// Whether the fabricator chose it.
    pub chosen: bool,
}

/// The order of tacking and what goes with it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WeldPlan {
    /// For each weld, when it is tacked, from 1.
    pub tack_order: Vec<usize>,
    /// The weld fitted last; `None` where no piece beside a weld can be trimmed.
    pub fit: Option<FieldFit>,
}

/// Plans the welds of a run. `wanted` is the number of the weld the fabricator chose; `fixed` says which pieces
/// cannot be cut to another length.
pub fn plan(
    pieces: &[Piece],
    frames: &[(Frame, Frame)],
    welds: &[Weld],
    wanted: Option<u32>,
    fixed: &[bool],
) -> WeldPlan {
    let chosen = wanted
        .and_then(|n| (n as usize).checked_sub(1))
        .filter(|w| *w < welds.len())
        .and_then(|w| carrier(pieces, welds, w, fixed, false).map(|c| (w, c, true)));
    let fit = chosen.or_else(|| best(pieces, frames, welds, fixed).map(|(w, c)| (w, c, false)));
    let fit = fit.map(|(weld, (piece, at_end), chosen)| FieldFit { weld, piece, at_end, chosen });
    WeldPlan { tack_order: tack_order(welds, fit.map(|f| f.weld)), fit }
}

/// The piece beside weld `w` that can be cut longer: the longer straight, else a slice. With `square_only` its face
/// there is square.
fn carrier(
    pieces: &[Piece],
    welds: &[Weld],
    w: usize,
    fixed: &[bool],
    square_only: bool,
) -> Option<(usize, bool)> {
    let before = welds[w].before;
    let sides = [(before.checked_sub(1)?.min(pieces.len()), true), (before, false)];
    let sides = if before == 0 { [(0, false), (0, false)] } else { sides };
    sides
        .into_iter()
        .filter_map(|(i, at_end)| Some((i, at_end, pieces.get(i)?)))
        .filter(|(i, _, p)| p.is_sawn() && !fixed.get(*i).copied().unwrap_or(false))
        .filter(|(_, at_end, p)| !square_only || (if *at_end { p.end } else { p.start }).tilt_rad == 0.0)
        .max_by(|a, b| {
            let straight = |p: &Piece| p.kind == PieceKind::Straight;
            straight(a.2).cmp(&straight(b.2)).then(a.2.centre_mm.total_cmp(&b.2.centre_mm))
        })
        .map(|(i, at_end, _)| (i, at_end))
}

/// The weld where the errors that meet are least: square cuts first, as they are trimmed most easily.
fn best(
    pieces: &[Piece],
    frames: &[(Frame, Frame)],
    welds: &[Weld],
    fixed: &[bool],
) -> Option<(usize, (usize, bool))> {
    let sources = sources(pieces, frames);
    [true, false].into_iter().find_map(|square_only| {
        (0..welds.len())
            .filter_map(|w| Some((w, carrier(pieces, welds, w, fixed, square_only)?)))
            .map(|(w, c)| (w, c, meeting_error_mm(&sources, pieces, frames, welds[w].before)))
            .min_by(|a, b| a.2.total_cmp(&b.2))
            .map(|(w, c, _)| (w, c))
    })
}

/// One source of error: a shift along `axis`, or a turn about it through `at`.
struct Source {
    at: DVec3,
    axis: DVec3,
    shift_mm: f64,
    turn_rad: f64,
}

fn sources(pieces: &[Piece], frames: &[(Frame, Frame)]) -> Vec<Source> {
    let mut out = Vec::with_capacity(4 * pieces.len());
    for (piece, (begin, end)) in pieces.iter().zip(frames) {
        let turn = |at, axis, turn_rad| Source { at, axis, shift_mm: 0.0, turn_rad };
        if piece.is_sawn() {
            out.push(Source { at: end.origin, axis: end.travel, shift_mm: LENGTH_MM, turn_rad: 0.0 });
        }
        if let PieceKind::Elbow(e) = piece.kind {
            out.push(turn(end.origin, begin.travel.cross(begin.at_clock(e.throat_clock_rad)), BEND_RAD));
        }
        out.push(turn(end.origin, end.travel, CLOCK_MM / (piece.od_mm / 2.0)));
        out.push(turn(end.origin, end.index, TACK_RAD));
        out.push(turn(end.origin, end.travel.cross(end.index), TACK_RAD));
    }
    out
}

/// Scatter of the place, across the pipe, where the two halves meet before piece `before`, mm.
fn meeting_error_mm(sources: &[Source], pieces: &[Piece], frames: &[(Frame, Frame)], before: usize) -> f64 {
    let here = match frames.get(before) {
        Some((begin, _)) => *begin,
        None => frames.get(pieces.len().saturating_sub(1)).map_or(frames[0].0, |f| f.1),
    };
    let across = |v: DVec3| (v - here.travel * v.dot(here.travel)).length_squared();
    let sum: f64 = sources
        .iter()
        .map(|s| across(s.axis * s.shift_mm + s.axis.cross(here.origin - s.at) * s.turn_rad))
        .sum();
    sum.sqrt()
}

/// Both halves towards the weld that is fitted last; welds to parts in the vehicle come just before it, as
/// everything else is tacked on the bench.
fn tack_order(welds: &[Weld], fit: Option<usize>) -> Vec<usize> {
    let last = fit.unwrap_or(welds.len());
    let (bench, in_place): (Vec<usize>, Vec<usize>) = (0..welds.len().min(last))
        .chain((last + 1..welds.len()).rev())
        .partition(|w| welds[*w].kind != WeldKind::Part);
    let mut order = vec![0; welds.len()];
    for (when, w) in bench.into_iter().chain(in_place).chain(fit).enumerate() {
        order[w] = when + 1;
    }
    order
}

/// What is added to a piece's centreline for its welds, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Added {
    /// For gap and shrinkage of its welds, mm; negative where the gap is more.
    pub weld_mm: f64,
    /// To be trimmed off when it is fitted, mm.
    pub trim_mm: f64,
}

/// Length added to each piece: every weld draws its two pieces together by the shrinkage and holds them apart by
/// the gap, square to the joint plane, so each piece gets `(shrink − gap)/(2·cos α)` along its axis, or all of it
/// where the other cannot be cut to length (joints, elbows, ready slices).
pub fn added(
    pieces: &[Piece],
    welds: &[Weld],
    fixed: &[bool],
    fit: Option<FieldFit>,
    allowances: &Allowances,
) -> Vec<Added> {
    let mut out = vec![Added::default(); pieces.len()];
    let net_mm = allowances.shrink_mm - allowances.weld_gap_mm;
    for weld in welds {
        let cuttable =
            |i: usize| pieces.get(i).is_some_and(Piece::is_sawn) && !fixed.get(i).copied().unwrap_or(false);
        let mut before = weld.before.checked_sub(1).filter(|i| cuttable(*i));
        let mut after = Some(weld.before).filter(|i| cuttable(*i));
        // a mitred face on a square end: the joint plane is square to one of the two only
        if let (Some(a), Some(b)) = (before, after) {
            match (pieces[a].end.tilt_rad > 0.0, pieces[b].start.tilt_rad > 0.0) {
                (true, false) => before = None,
                (false, true) => after = None,
                (true, true) | (false, false) => {}
            }
        }
        let share = if before.is_some() && after.is_some() { 0.5 } else { 1.0 };
        for (i, at_end) in [(before, true), (after, false)] {
            let Some(i) = i else { continue };
            let cut = if at_end { pieces[i].end } else { pieces[i].start };
            out[i].weld_mm += share * net_mm / cut.tilt_rad.cos();
        }
    }
    if let Some(fit) = fit {
        out[fit.piece].trim_mm = allowances.trim_mm;
    }
    out
}

/// Wire and gas for the welds of a run.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Consumables {
    /// Filler wire, mm: weld length times the bead's cross-section over the wire's. The bead's size is common
    /// practice, no source.
    pub filler_mm: f64,
    /// Volume inside the pipe, litres.
    pub purge_l: f64,
    /// Minutes to change that as often as the shop does (about 5 changes at 20 l/min: "Weld Purging for Tubes and
    /// Pipes", technical paper of a maker of purging gear, as far as it could be read).
    pub purge_min: f64,
}

/// Estimates wire and gas.
pub fn consumables(tube: &Tube, centreline_mm: f64, weld_mm: f64, allowances: &Allowances) -> Consumables {
    let bore_mm = (tube.od_mm - 2.0 * tube.wall_mm).max(0.0);
    let purge_l = PI / 4.0 * bore_mm * bore_mm * centreline_mm * 1e-6;
    Consumables {
        filler_mm: weld_mm * allowances.bead_mm2 / (PI / 4.0 * allowances.wire_mm * allowances.wire_mm),
        purge_l,
        purge_min: purge_l * allowances.purge_changes / allowances.purge_l_min,
    }
}
