//! The part of a header that a branch sits on, and how it sits there.

use crate::fab::build::{Built, PlacedSolid};
use crate::fab::limb::{Edge, Limb};
use crate::fab::piece::PieceKind;
use crate::fab::saddle::{Header, HoleSize, LEAST_ANGLE_RAD, Saddle, SaddleError};
use crate::fab::wall::tubes;
use crate::finding::{Block, BranchFault};
use crate::geom::{Barrel, Frame, Solid};
use glam::DVec3;
use std::f64::consts::TAU;

/// Clocks at which it is looked whether a branch stays on one straight tube.
const CLOCKS: u32 = 48;
/// What counts as on the tube beyond its face, mm: rounding noise.
const ON_MM: f64 = 1e-6;
/// The edge of a hole is followed within this to see which pieces it crosses, mm.
const CHORD_MM: f64 = 1.0;

/// Where the axis of a branch comes through the header's wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::fab) struct HoleAt {
    pub(in crate::fab) piece: usize,
    pub(in crate::fab) along_mm: f64,
    pub(in crate::fab) clock_rad: f64,
}

/// A branch on its header.
#[derive(Debug)]
pub(in crate::fab) struct Near {
    pub(in crate::fab) saddle: Saddle,
    pub(in crate::fab) hole_at: HoleAt,
    /// Indices of the header's pieces that its outside meets, the one with the hole's middle first.
    pub(in crate::fab) across: Vec<usize>,
}

/// Fits a branch to the header's tubes next to where it sits; `axis` is the header's centre line there.
pub(in crate::fab) fn near(
    header: &Built,
    axis: &Frame,
    limb: &Limb,
    bent: bool,
) -> Result<Near, BranchFault> {
    let solids = tubes(header);
    let off = |s: &&PlacedSolid| middle_off_mm(&s.solid, axis.origin);
    let nearest = (0..solids.len()).min_by(|a, b| off(&solids[*a]).total_cmp(&off(&solids[*b])));
    let index = nearest.ok_or(BranchFault::HeaderGone)?;
    let mark = |s: &PlacedSolid| header.pieces.get(s.piece).map_or_else(String::new, |p| p.mark.clone());
    if let Some(what) = no_tube(header, solids[index]) {
        return Err(BranchFault::OnOther { mark: mark(solids[index]), what });
    }
    if let Solid::Barrel(barrel) = &solids[index].solid {
        match on_one(barrel, limb) {
            Some(Ok(saddle)) => return Ok(one(header, solids[index], saddle)),
            // on a straight the sentences of a straight are the exact ones
            Some(Err(error)) if !bent => return Err(BranchFault::DoesNotFit { error }),
            Some(Err(_)) | None => {}
        }
    }
    let (from, to) = stretch(header, &solids, index, limb, axis);
    let part: Vec<Solid> = solids[from..to].iter().map(|s| s.solid).collect();
    let made = Header::of_solids(&part).and_then(|h| Saddle::new(*limb, h));
    let saddle = match made {
        Ok(saddle) => saddle,
        Err(SaddleError::OffEnd { clock_rad, beyond_mm }) => {
            let beside = [from.checked_sub(1), Some(to)].into_iter().flatten();
            let close_mm = reach_mm(header, solids[index], limb, axis);
            let close = |s: &&&PlacedSolid| middle_off_mm(&s.solid, axis.origin) < close_mm;
            let mut blocks = beside
                .filter_map(|i| solids.get(i))
                .filter(close)
                .filter_map(|s| Some((mark(s), no_tube(header, s)?)));
            let other = blocks.next();
            let ends = [header.frames.first().map(|f| f.0), header.frames.last().map(|f| f.1)];
            let by_end = ends.iter().flatten().any(|f| f.origin.distance(axis.origin) < close_mm);
            return Err(match other {
                Some((mark, what)) => BranchFault::Onto { mark, what, by_mm: beyond_mm },
                None if by_end => {
                    BranchFault::DoesNotFit { error: SaddleError::OffEnd { clock_rad, beyond_mm } }
                }
                // in the middle of the header it is a gap between slices, or the outside of a bend, that it misses
                None => {
                    BranchFault::TooWide { radius_mm: limb.radius_mm, largest_mm: largest_mm(&part, limb) }
                }
            });
        }
        Err(error) => return Err(BranchFault::DoesNotFit { error }),
    };
    let point = limb.axis().point(saddle.header().left_at_mm(&limb.axis(), saddle.foot_mm()).unwrap_or(0.0));
    let (at, along_mm, clock_rad) = saddle.header().place_of(point);
    let placed = solids[(from + at).min(to - 1)];
    let hole_at = hole_at(header, placed, along_mm, clock_rad);
    let mut across = vec![placed.piece];
    for p in saddle.hole(HoleSize::Outside, CHORD_MM).edge {
        let piece = solids[(from + p.part).min(to - 1)].piece;
        if !across.contains(&piece) {
            across.push(piece);
        }
    }
    Ok(Near { saddle, hole_at, across })
}

/// Outside radius of the largest branch on the same axis that seats, mm, to half a mm; `None` where none does.
fn largest_mm(part: &[Solid], limb: &Limb) -> Option<f64> {
    let seats = |radius_mm: f64| {
        Header::of_solids(part).and_then(|h| Saddle::new(Limb { radius_mm, ..*limb }, h)).is_ok()
    };
    let (mut fits, mut too_large) = (2.0 * limb.wall_mm, limb.radius_mm);
    if fits >= too_large || !seats(fits) {
        return None;
    }
    while too_large - fits > 0.5 {
        let middle = f64::midpoint(fits, too_large);
        *(if seats(middle) { &mut fits } else { &mut too_large }) = middle;
    }
    Some(fits)
}

/// The branch on one straight tube; `None` where it reaches beyond its faces.
fn on_one(barrel: &Barrel, limb: &Limb) -> Option<Result<Saddle, SaddleError>> {
    let made = Header::straight(barrel.start, barrel.radius_mm).and_then(|h| Saddle::new(*limb, h));
    let saddle = match made {
        Ok(saddle) => saddle,
        Err(error) => return Some(Err(error)),
    };
    let (start, end) = barrel.axis();
    let inside = |p: DVec3| {
        (p - start).dot(barrel.start_normal) >= -ON_MM && (p - end).dot(barrel.end_normal) <= ON_MM
    };
    let clock = |i: u32| TAU * f64::from(i) / f64::from(CLOCKS);
    // between two of these clocks a curve may go on by s″·(3.75°)²/2: at 15° to the header under 1 % of the radius
    let all = (0..CLOCKS).all(|i| inside(saddle.point(Edge::Outside, clock(i))));
    all.then_some(Ok(saddle))
}

fn one(header: &Built, placed: &PlacedSolid, saddle: Saddle) -> Near {
    let axis = saddle.branch().axis();
    let left = saddle.header().left_at_mm(&axis, saddle.foot_mm()).unwrap_or_else(|| saddle.foot_mm());
    let (_, along_mm, clock_rad) = saddle.header().place_of(axis.point(left));
    let hole_at = hole_at(header, placed, along_mm, clock_rad);
    Near { saddle, hole_at, across: vec![placed.piece] }
}

/// From a place along a solid to one along its piece.
fn hole_at(header: &Built, placed: &PlacedSolid, along_mm: f64, clock_rad: f64) -> HoleAt {
    let begins_mm: f64 = header.pieces.iter().take(placed.piece).map(|p| p.centre_mm).sum();
    HoleAt { piece: placed.piece, along_mm: placed.span_mm.0 - begins_mm + along_mm, clock_rad }
}

/// What a solid is that no branch can sit on.
fn no_tube(header: &Built, solid: &PlacedSolid) -> Option<Block> {
    match header.pieces.get(solid.piece)?.kind {
        PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Taper(_) => None,
        PieceKind::Joint(_) => Some(Block::Joint),
    }
}

/// The tubes without a joint between them that a branch can reach from the one at `index`.
fn stretch(
    header: &Built,
    solids: &[&PlacedSolid],
    index: usize,
    limb: &Limb,
    axis: &Frame,
) -> (usize, usize) {
    // twice what it takes on a straight: on the inside of a bend the centre line is longer than the skin
    let reach_mm = 2.0 * reach_mm(header, solids[index], limb, axis);
    let is_tube = |i: usize| no_tube(header, solids[i]).is_none();
    let (first, last) = solids[index].span_mm;
    let (mut from, mut to) = (index, index + 1);
    while from > 0 && is_tube(from - 1) && solids[from - 1].span_mm.1 > first - reach_mm {
        from -= 1;
    }
    while to < solids.len() && is_tube(to) && solids[to].span_mm.0 < last + reach_mm {
        to += 1;
    }
    (from, to)
}

/// How far along a straight header a branch may reach from its foot, mm, and a radius of the header more.
fn reach_mm(header: &Built, on: &PlacedSolid, limb: &Limb, axis: &Frame) -> f64 {
    let header_mm = header.pieces.get(on.piece).map_or(0.0, |p| p.od_mm.max(p.end_od_mm()) / 2.0);
    let cos = limb.away().dot(axis.travel).abs();
    let sin = (1.0 - cos * cos).sqrt().max(LEAST_ANGLE_RAD.sin());
    (limb.radius_mm + header_mm * cos) / sin + header_mm
}

/// Distance of a point from a solid's centre line, mm.
fn middle_off_mm(solid: &Solid, point: DVec3) -> f64 {
    solid.nearest_on_middle(point).map_or(f64::INFINITY, |(_, off_mm)| off_mm)
}
