//! A new bend from slices: in a plane round one corner, or through space.

use super::gap::Gap;
use super::lay::{along_points, can_be_made, tube};
use super::mitres::{corner, free};
use super::offer::{Kind, Offer};
use glam::DVec3;
use pipeloft_core::fab::{Cut, Mitre, Piece};
use pipeloft_core::geom::vector::angle_between;
use pipeloft_core::model::Ends;
use std::f64::consts::PI;

/// Slices up to this saw angle can be turned on each other and still weld (common practice, no source).
const GENTLE_RAD: f64 = 11.25 * PI / 180.0;

/// A bend with half ends where both axes cross: as sharp as the shop makes it here, or as there is room for.
pub(super) fn flat(gap: &Gap) -> Vec<Offer> {
    let Some((a, c)) = corner(gap).filter(|(a, c)| *a > 0.0 && *c > 0.0) else { return Vec::new() };
    let kink_rad = angle_between(gap.from.travel, gap.to.travel);
    let welds = ((kink_rad / (2.0 * GENTLE_RAD)).ceil() as u32).max(2);
    let of = |clr_mm: f64| Mitre::equal(kink_rad, clr_mm, gap.tube.od_mm, welds, Ends::Half);
    let saw_rad = of(gap.clr_mm).saw_rad();
    // the straight beside the bend keeps a short side: what is left of the leg and half a slice
    let taken = (kink_rad / 2.0).tan() - saw_rad.tan();
    let room_mm = (a.min(c) - gap.stub_mm(saw_rad, gap.least_mm)) / taken.max(1e-9);
    let least_mm = of(gap.clr_mm).least_clr_mm(gap.least_mm);
    let clr_mm = gap.clr_mm.min(room_mm).max(least_mm);
    let mitre = of(clr_mm);
    let heel_rad = gap.from.clock_of(gap.to.travel) + PI;
    let tangent_mm = clr_mm * (kink_rad / 2.0).tan();
    let cut = |after: bool| Cut::tilted(mitre.end_cut_rad(after), heel_rad);
    let mut pieces = vec![tube(gap, a - tangent_mm + mitre.end_mm(false), [Cut::SQUARE, cut(false)])];
    for slice in mitre.each_slice() {
        let cuts = [slice.start_rad, slice.end_rad].map(|tilt| Cut::tilted(tilt, heel_rad));
        pieces.push(tube(gap, slice.centre_mm, cuts));
    }
    pieces.push(tube(gap, c - tangent_mm + mitre.end_mm(true), [cut(true), Cut::SQUARE]));
    Offer::of(gap, Kind::Bend, pieces, &[]).into_iter().collect()
}

/// Slices with cuts of their own through space, as few as leave no cut sharper than slices usually have. Only where two
/// mitres would be sharper than that.
pub(super) fn turned(gap: &Gap) -> Vec<Offer> {
    let sharpest =
        |pieces: &[Piece]| pieces.iter().map(|p| p.start.tilt_rad.max(p.end.tilt_rad)).fold(0.0, f64::max);
    if free(gap).is_some_and(|p| sharpest(&p) <= GENTLE_RAD) {
        return Vec::new();
    }
    let mut best: Option<Vec<Piece>> = None;
    for corners in 3..=6 {
        let Some(pieces) = smooth(gap, corners) else { continue };
        let gentle = sharpest(&pieces) <= GENTLE_RAD;
        if best.as_ref().is_none_or(|b| sharpest(&pieces) < sharpest(b)) {
            best = Some(pieces);
        }
        if gentle {
            break;
        }
    }
    best.and_then(|pieces| Offer::of(gap, Kind::Bend, pieces, &[])).into_iter().collect()
}

/// A line with that many corners from face to face whose kinks are as even as can be. It closes wherever the corners are;
/// they are moved by ever smaller steps.
fn smooth(gap: &Gap, corners: usize) -> Option<Vec<Piece>> {
    let reach_mm = gap.span_mm().length() / 3.0;
    let (p0, p1) = (gap.from.origin, gap.to.origin);
    let (b1, b2) = (p0 + gap.from.travel * reach_mm, p1 - gap.to.travel * reach_mm);
    // corners on a cubic curve between the faces to begin with (Bézier's form)
    let on_curve = |t: f64| {
        let s = 1.0 - t;
        p0 * (s * s * s) + b1 * (3.0 * s * s * t) + b2 * (3.0 * s * t * t) + p1 * (t * t * t)
    };
    let inner = corners - 2;
    let mut q: Vec<f64> = vec![reach_mm / 2.0, reach_mm / 2.0];
    for i in 0..inner {
        let at = on_curve((i as f64 + 1.5) / (corners as f64));
        q.extend([at.x, at.y, at.z]);
    }
    let points = |q: &[f64]| {
        let mut out = vec![p0, p0 + gap.from.travel * q[0]];
        out.extend(q[2..].chunks(3).map(|v| DVec3::new(v[0], v[1], v[2])));
        out.extend([p1 - gap.to.travel * q[1], p1]);
        out
    };
    let score = |q: &[f64]| -> f64 {
        if q[0] <= 0.0 || q[1] <= 0.0 {
            return f64::INFINITY;
        }
        let Some(pieces) = along_points(gap, &points(q), gap.to.travel) else { return f64::INFINITY };
        let kinks: f64 = pieces.iter().map(|p| p.end.tilt_rad.to_degrees().powi(4)).sum();
        let short: f64 = pieces.iter().map(|p| (gap.least_mm + 1.0 - p.long_short_mm().1).max(0.0)).sum();
        kinks + 1e4 * short
    };
    let (mut at, mut step_mm) = (score(&q), reach_mm / 4.0);
    while step_mm > 0.02 {
        let mut better = false;
        for i in 0..q.len() {
            for sign in [1.0, -1.0] {
                q[i] += sign * step_mm;
                let value = score(&q);
                if value < at {
                    (at, better) = (value, true);
                } else {
                    q[i] -= sign * step_mm;
                }
            }
        }
        if !better {
            step_mm /= 2.0;
        }
    }
    let pieces = along_points(gap, &points(&q), gap.to.travel)?;
    pieces.iter().all(|p| can_be_made(gap, p)).then_some(pieces)
}
