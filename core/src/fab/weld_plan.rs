//! In which order the pipe is tacked, which weld is fitted last, and what is added to the pieces for it.
//!
//! Errors of cutting and tacking grow along the pipe. Built from both ends towards one weld in between, they meet
//! there; the weld where they do least harm is the one to fit last, with some extra length to trim.

use super::piece::{Piece, PieceKind};
use super::weld::{Weld, WeldKind};
use crate::geom::Frame;
use crate::model::{Allowances, Tube, WeldKey};
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
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct WeldPlan {
    /// For each weld, when it is tacked, from 1.
    pub tack_order: Vec<usize>,
    /// The weld fitted last; `None` where no piece beside a weld can be trimmed, or the run ends in the open.
    pub fit: Option<FieldFit>,
}

/// What decides which piece can carry the length to trim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wish<'a> {
    /// The weld the fabricator chose.
    pub weld: Option<WeldKey>,
    /// A piece that has been sawn with more length to trim, and whether at its end.
    pub sawn: Option<(usize, bool)>,
    /// Pieces that cannot be cut to another length.
    pub fixed: &'a [bool],
    /// A piece shorter than this cannot be held to trim it, mm.
    pub grip_mm: f64,
    /// Whether both ends of the run are held in the vehicle: else nothing says how much to trim.
    pub both_held: bool,
}

/// Plans the welds of a run.
pub fn plan(pieces: &[Piece], frames: &[(Frame, Frame)], welds: &[Weld], wish: Wish<'_>) -> WeldPlan {
    let keys: Vec<Option<WeldKey>> = welds.iter().map(|w| w.key).collect();
    let chosen = wish
        .weld
        .and_then(|key| key.find(&keys))
        .and_then(|w| carrier(pieces, welds[w].before, wish, Ask::Any).map(|c| (w, c, true)));
    let sawn = || {
        let (piece, at_end) = wish.sawn?;
        let weld = welds.iter().position(|w| w.before == piece + usize::from(at_end))?;
        Some((weld, (piece, at_end), false))
    };
    let fit = chosen.or_else(sawn).or_else(|| {
        let best = if wish.both_held { best(pieces, frames, welds, wish) } else { None };
        best.map(|(w, c)| (w, c, false))
    });
    let fit = fit.map(|(weld, (piece, at_end), chosen)| FieldFit { weld, piece, at_end, chosen });
    WeldPlan { tack_order: tack_order(welds, fit.map(|f| f.weld)), fit }
}

/// What is asked of the piece that carries the length to trim, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ask {
    /// Square at the weld and long enough to hold.
    SquareAndLong,
    /// Square at the weld: trimmed by hand, with the rest of the pipe to hold it by.
    Square,
    /// Long enough to hold.
    Long,
    /// Nothing more than that it is sawn.
    Any,
}

/// The piece beside the weld before piece `before` that can be cut longer: the longer straight, else a slice.
/// Whether it is at its end comes with it.
fn carrier(pieces: &[Piece], before: usize, wish: Wish<'_>, ask: Ask) -> Option<(usize, bool)> {
    let sides = [(before.checked_sub(1), true), (Some(before), false)];
    sides
        .into_iter()
        .filter_map(|(i, at_end)| Some((i?, at_end, pieces.get(i?)?)))
        .filter(|(i, _, p)| p.is_sawn() && !wish.fixed.get(*i).copied().unwrap_or(false))
        // an end that is shaped to another part cannot be trimmed and keep its shape
        .filter(|(_, at_end, p)| p.curves[usize::from(*at_end)].is_none())
        .filter(|(_, at_end, p)| {
            let long = p.long_short_mm().0 >= wish.grip_mm;
            let square = (if *at_end { p.end } else { p.start }).tilt_rad == 0.0;
            match ask {
                Ask::SquareAndLong => long && square,
                Ask::Square => square,
                Ask::Long => long,
                Ask::Any => true,
            }
        })
        .max_by(|a, b| {
            let straight = |p: &Piece| p.kind == PieceKind::Straight;
            straight(a.2).cmp(&straight(b.2)).then(a.2.centre_mm.total_cmp(&b.2.centre_mm))
        })
        .map(|(i, at_end, _)| (i, at_end))
}

/// The weld where the errors that meet are least: those with a square cut and a piece that can be held first.
fn best(
    pieces: &[Piece],
    frames: &[(Frame, Frame)],
    welds: &[Weld],
    wish: Wish<'_>,
) -> Option<(usize, (usize, bool))> {
    let sources = sources(pieces, frames);
    [Ask::SquareAndLong, Ask::Square, Ask::Long, Ask::Any].into_iter().find_map(|ask| {
        (0..welds.len())
            .filter_map(|w| Some((w, carrier(pieces, welds[w].before, wish, ask)?)))
            .map(|(w, c)| (w, c, meeting_error_mm(&sources, frames, welds[w].before)))
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
fn meeting_error_mm(sources: &[Source], frames: &[(Frame, Frame)], before: usize) -> f64 {
    let Some(here) = frames.get(before).map(|f| f.0).or_else(|| frames.last().map(|f| f.1)) else {
        return 0.0;
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
        .partition(|w| !matches!(welds[*w].kind, WeldKind::Part | WeldKind::Saddle));
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
    /// The part of that for the weld at its start, mm.
    pub start_mm: f64,
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
            let mm = share * net_mm / cut.tilt_rad.cos();
            out[i].weld_mm += mm;
            if !at_end {
                out[i].start_mm += mm;
            }
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

/// What a length of pipe holds, litres, where its bore goes evenly from that of one tube to that of another: the
/// frustum `π·L/3·(a² + a·b + b²)`, a cylinder where they are the same.
pub fn bore_l(from: &Tube, to: &Tube, length_mm: f64) -> f64 {
    let [a, b] = [from, to].map(|t| (t.od_mm / 2.0 - t.wall_mm).max(0.0));
    PI / 3.0 * (a * a + a * b + b * b) * length_mm * 1e-6
}

/// Estimates wire and gas for a pipe that holds `purge_l` litres.
pub fn consumables(purge_l: f64, weld_mm: f64, allowances: &Allowances) -> Consumables {
    Consumables {
        filler_mm: weld_mm * allowances.bead_mm2 / (PI / 4.0 * allowances.wire_mm * allowances.wire_mm),
        purge_l,
        purge_min: purge_l * allowances.purge_changes / allowances.purge_l_min,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fab::build;
    use crate::model::{BendMake, ElbowId, Ends, PiecePlace, Vertex, WeldSide};
    use crate::testing::{run_through, set_makes};
    use approx::assert_relative_eq;

    fn built(make: BendMake) -> crate::fab::Built {
        let points = [
            DVec3::ZERO,
            DVec3::X * 400.0,
            DVec3::new(400.0, 500.0, 0.0),
            DVec3::new(400.0, 500.0, 600.0),
            DVec3::new(900.0, 500.0, 600.0),
        ];
        let (mut project, mut run) = run_through(&points);
        set_makes(&mut run, make);
        project.runs = vec![run];
        build(&project, &project.runs[0])
    }

    fn wish(weld: Option<WeldKey>, fixed: &[bool]) -> Wish<'_> {
        Wish { weld, sawn: None, fixed, grip_mm: 50.0, both_held: true }
    }

    #[test]
    fn the_last_weld_is_a_square_one_near_the_middle_and_everything_else_comes_before() {
        let b = built(BendMake::Elbow { elbow: ElbowId(11) });
        let plan = plan(&b.pieces, &b.frames, &b.welds, wish(None, &[]));
        let fit = plan.fit.unwrap();
        assert!(!fit.chosen);
        assert!(fit.weld > 0 && fit.weld + 1 < b.welds.len(), "{fit:?} of {}", b.welds.len());
        assert_eq!(plan.tack_order[fit.weld], b.welds.len());
        let mut order = plan.tack_order.clone();
        order.sort_unstable();
        assert_eq!(order, (1..=b.welds.len()).collect::<Vec<_>>());
        // both halves are tacked towards it
        assert!(plan.tack_order[..fit.weld].is_sorted());
        assert!(plan.tack_order[fit.weld + 1..].iter().rev().is_sorted());
    }

    #[test]
    fn the_error_where_the_halves_meet_is_least_away_from_the_ends() {
        let b = built(BendMake::Elbow { elbow: ElbowId(11) });
        let s = sources(&b.pieces, &b.frames);
        let at: Vec<f64> = (0..=b.pieces.len()).map(|i| meeting_error_mm(&s, &b.frames, i)).collect();
        let least = (0..at.len()).min_by(|a, b| at[*a].total_cmp(&at[*b])).unwrap();
        assert!(least > 0 && least < b.pieces.len(), "{at:?}");
        assert!(at[least] < 0.7 * at[0] && at[least] < 0.7 * at[b.pieces.len()], "{at:?}");
    }

    #[test]
    fn a_chosen_weld_is_taken_if_there_is_something_to_trim() {
        let b = built(BendMake::mitred(95.25, 4, Ends::Half));
        let fixed = vec![false; b.pieces.len()];
        let second = b.welds[1].key;
        let chosen = plan(&b.pieces, &b.frames, &b.welds, wish(second, &fixed)).fit.unwrap();
        assert_eq!((chosen.weld, chosen.chosen), (1, true));
        let gone = PiecePlace::Bend(Vertex::Open, 3);
        let gone = WeldKey { before: WeldSide::Piece(gone), after: WeldSide::Piece(gone) };
        assert!(!plan(&b.pieces, &b.frames, &b.welds, wish(Some(gone), &fixed)).fit.unwrap().chosen);
        let all = vec![true; b.pieces.len()];
        assert_eq!(plan(&b.pieces, &b.frames, &b.welds, wish(second, &all)).fit, None);
        assert_eq!(plan(&[], &[], &[], wish(second, &[])), WeldPlan::default());
    }

    #[test]
    fn a_piece_that_was_sawn_longer_keeps_its_weld_unless_another_is_chosen() {
        let b = built(BendMake::mitred(95.25, 4, Ends::Half));
        let fixed: Vec<bool> = (0..b.pieces.len()).map(|i| i != 3).collect();
        let sawn = Wish { sawn: Some((3, false)), ..wish(None, &fixed) };
        let fit = plan(&b.pieces, &b.frames, &b.welds, sawn).fit.unwrap();
        assert_eq!((fit.piece, fit.at_end, b.welds[fit.weld].before, fit.chosen), (3, false, 3, false));
        let other = Wish { weld: b.welds[0].key, fixed: &[], ..sawn };
        assert_eq!(plan(&b.pieces, &b.frames, &b.welds, other).fit.unwrap().weld, 0);
    }

    #[test]
    fn a_mitred_piece_grows_by_the_slant_of_its_welds() {
        let b = built(BendMake::mitred(95.25, 2, Ends::Half));
        let allowances = Allowances { weld_gap_mm: 0.2, shrink_mm: 0.6, ..Allowances::default() };
        let fixed = vec![false; b.pieces.len()];
        let added = added(&b.pieces, &b.welds, &fixed, None, &allowances);
        // a whole slice of a 90° bend in two welds: 22.5° at both ends, half of 0.4 mm for each
        let slice = b.pieces.iter().position(|p| p.kind == PieceKind::Slice).unwrap();
        assert_relative_eq!(added[slice].weld_mm, 0.4 / 22.5_f64.to_radians().cos(), max_relative = 1e-12);
        assert_relative_eq!(added[0].weld_mm, 0.2 / 22.5_f64.to_radians().cos(), max_relative = 1e-12);
    }

    #[test]
    fn wire_and_gas_follow_from_length_and_bore() {
        let tube = crate::testing::bench_project().tubes[0].clone();
        let allowances = Allowances::default();
        // 3 mm² of bead and 1.6 mm wire, 244.0502 mm of weld: 364.14 mm of wire (computed apart)
        let c = consumables(bore_l(&tube, &tube, 1500.0), 244.0502, &allowances);
        assert_relative_eq!(c.filler_mm, 364.141_835, max_relative = 1e-7);
        // bore 72.9 mm, 1.5 m: 6.26 l, five changes at 20 l/min take 1.565 min (computed apart)
        let tube = Tube { od_mm: 76.2, wall_mm: 1.65, ..tube };
        let c = consumables(bore_l(&tube, &tube, 1500.0), 0.0, &allowances);
        assert_relative_eq!(c.purge_min, 1.565_222_95, max_relative = 1e-8);
    }
}
