//! One piece: a straight, or one with two different cuts.

use super::gap::Gap;
use super::lay::{Left, along_points, can_be_made, left_by, tube};
use super::offer::{Kind, Offer};
use glam::DVec3;
use pipeloft_core::fab::{Cut, Piece};
use pipeloft_core::geom::tolerance::NO_BEND_RAD;
use pipeloft_core::geom::vector::unit;

/// A straight as long as the gap is along the open tube.
pub(super) fn straight(gap: &Gap) -> Vec<Offer> {
    let length_mm = gap.span_mm().dot(gap.from.travel);
    let piece = tube(gap, length_mm, [Cut::SQUARE; 2]);
    if length_mm <= 0.0 {
        return Vec::new();
    }
    Offer::of(gap, Kind::Straight, vec![piece], &[]).into_iter().collect()
}

/// One piece from face to face: it leaves the open face at an angle and meets the hardpoint at another, so it always
/// closes; what is asked is whether it can be made. Where it cannot, the piece that leaves least.
pub(super) fn one_piece(gap: &Gap) -> Vec<Offer> {
    let exact = along_points(gap, &[gap.from.origin, gap.to.origin], gap.to.travel);
    let is_bent = |p: &Piece| p.start.tilt_rad.max(p.end.tilt_rad) >= NO_BEND_RAD;
    let exact = exact.filter(|pieces| pieces.iter().all(is_bent));
    let Some(pieces) = exact else { return Vec::new() };
    let pieces = if pieces.iter().all(|p| can_be_made(gap, p)) { Some(pieces) } else { nearest(gap) };
    pieces.and_then(|pieces| Offer::of(gap, Kind::OnePiece, pieces, &[])).into_iter().collect()
}

/// One piece with square or tilted ends that can be made and leaves least, found by ever smaller steps from many starts.
fn nearest(gap: &Gap) -> Option<Vec<Piece>> {
    let arrival = unit(gap.to.travel)?;
    let first = unit(gap.span_mm()).unwrap_or(gap.from.travel);
    let build = |q: &[f64; 5]| -> Option<Vec<Piece>> {
        let length_mm = q[0];
        let way = unit(gap.from.travel + DVec3::new(q[1], q[2], q[3]))?;
        // how much of the turn to the hardpoint's axis the last cut makes
        let last = unit(way * (1.0 - q[4]) + arrival * q[4])?;
        let points = [gap.from.origin, gap.from.origin + way * length_mm];
        let pieces = along_points(gap, &points, last)?;
        pieces.iter().all(|p| can_be_made(gap, p)).then_some(pieces)
    };
    let score = |q: &[f64; 5]| -> f64 {
        build(q).map_or(f64::INFINITY, |p| left_by(gap, &p).mismatch_mm(gap.tube.od_mm))
    };
    let long_mm = gap.span_mm().dot(gap.from.travel).max(gap.least_mm);
    let toward = first - gap.from.travel;
    let mut best: Option<([f64; 5], f64)> = None;
    for share in [0.0, 0.25, 0.5, 0.75, 1.0] {
        for turn in [0.0, 0.5, 1.0] {
            for more_mm in [0.0, 20.0, 60.0] {
                let v = toward * share;
                let mut q = [long_mm + more_mm, v.x, v.y, v.z, turn];
                let mut steps = [gap.tube.od_mm / 4.0, 0.1, 0.1, 0.1, 0.2];
                let mut at = score(&q);
                if !at.is_finite() {
                    continue;
                }
                for _ in 0..60 {
                    let mut better = false;
                    for i in 0..q.len() {
                        for sign in [1.0, -1.0] {
                            let mut next = q;
                            next[i] += sign * steps[i];
                            let value = score(&next);
                            if value < at {
                                (q, at, better) = (next, value, true);
                            }
                        }
                    }
                    if !better {
                        steps = steps.map(|s| s / 2.0);
                    }
                }
                if best.is_none_or(|(_, b)| at < b) {
                    best = Some((q, at));
                }
            }
        }
    }
    build(&best?.0)
}

impl Gap {
    /// How the hardpoint lies as seen from the open face: as if a straight of no length were put in.
    pub fn open(&self) -> Left {
        Left::between(&self.from, &self.to)
    }
}
