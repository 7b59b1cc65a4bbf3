//! Straights with one mitre or two.

use super::gap::Gap;
use super::lay::{along_points, can_be_made};
use super::offer::{Kind, Offer};
use glam::{DMat3, DVec3};
use pipeloft_core::fab::Piece;
use pipeloft_core::geom::tolerance::{NO_BEND_RAD, SLIVER_MM};
use pipeloft_core::geom::vector::{across, angle_between, unit};

/// Halves of kinks that saws are often set to, degrees (common practice, no source).
const COMMON_SAW_DEG: [f64; 8] = [5.0, 7.5, 10.0, 11.25, 15.0, 20.0, 22.5, 30.0];

/// Offers of two mitres on settings of the saw.
const MOST_ON_STEPS: usize = 3;

/// Three vectors that span less than this (the volume of their unit cube's image) lie in one plane.
const FLAT: f64 = 1e-6;

/// Where the axes of both faces come nearest to each other: the distance from the open face along its axis, and from
/// there along the other, mm. `None` where they are parallel.
pub(super) fn corner(gap: &Gap) -> Option<(f64, f64)> {
    let (t0, t1, d) = (gap.from.travel, gap.to.travel, gap.span_mm());
    let n = t0.cross(t1);
    let n2 = n.length_squared();
    (angle_between(t0, t1) > NO_BEND_RAD && n2 > FLAT * FLAT)
        .then(|| (d.cross(t1).dot(n) / n2, t0.cross(d).dot(n) / n2))
}

/// Two straights with a mitre where the two axes cross; where they pass each other, that distance is left.
pub(super) fn one(gap: &Gap) -> Vec<Offer> {
    let Some((a, c)) = corner(gap).filter(|(a, c)| *a > 0.0 && *c > 0.0) else { return Vec::new() };
    let v = gap.from.origin + gap.from.travel * a;
    let points = [gap.from.origin, v, v + gap.to.travel * c];
    let pieces = along_points(gap, &points, gap.to.travel);
    pieces.and_then(|p| Offer::of(gap, Kind::OneMitre, p, &[])).into_iter().collect()
}

/// Three straights with two mitres: as short stubs as can be handled at both faces, or with both mitres on settings of
/// the saw.
pub(super) fn two(gap: &Gap) -> Vec<Offer> {
    let mut out: Vec<Offer> = Vec::new();
    let free = free(gap);
    if let Some(pieces) = &free {
        out.extend(Offer::of(gap, Kind::TwoMitres, pieces.clone(), &[]));
    }
    let mut on_steps: Vec<(f64, Vec<Piece>)> = Vec::new();
    for (k1, k2) in wanted_kinks(gap, free.as_deref()) {
        for u in cones(gap, k1, k2) {
            let Some(pieces) = legs(gap, u, [k1, k2]).filter(|p| p.iter().all(|p| can_be_made(gap, p)))
            else {
                continue;
            };
            let length_mm: f64 = pieces.iter().map(|p| p.centre_mm).sum();
            on_steps.push((length_mm, pieces));
        }
    }
    on_steps.sort_by(|a, b| a.0.total_cmp(&b.0));
    on_steps.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-3);
    let made = on_steps.into_iter().filter_map(|(_, p)| Offer::of(gap, Kind::TwoMitres, p, &[]));
    out.extend(made.filter(|o| o.left.is_closed()).take(MOST_ON_STEPS));
    out
}

/// Two mitres with stubs at both faces that can be held, else as short as can be welded.
pub(super) fn free(gap: &Gap) -> Option<Vec<Piece>> {
    [SLIVER_MM.max(gap.least_mm), gap.least_mm].into_iter().find_map(|side_mm| {
        let (mut a, mut c) = (side_mm, side_mm);
        for _ in 0..60 {
            let v1 = gap.from.origin + gap.from.travel * a;
            let v2 = gap.to.origin - gap.to.travel * c;
            let u = unit(v2 - v1)?;
            let next = |t: DVec3| gap.stub_mm(angle_between(t, u).min(gap.most_saw_rad * 2.0) / 2.0, side_mm);
            (a, c) = (f64::midpoint(a, next(gap.from.travel)), f64::midpoint(c, next(gap.to.travel)));
        }
        // what the halving leaves to go
        (a, c) = (a + 1e-6, c + 1e-6);
        let v1 = gap.from.origin + gap.from.travel * a;
        let v2 = gap.to.origin - gap.to.travel * c;
        let pieces = along_points(gap, &[gap.from.origin, v1, v2, gap.to.origin], gap.to.travel)?;
        let is_bent = pieces.iter().any(|p| p.start.tilt_rad.max(p.end.tilt_rad) >= NO_BEND_RAD / 2.0);
        (is_bent && pieces.iter().all(|p| can_be_made(gap, p))).then_some(pieces)
    })
}

/// Pairs of kinks on settings of the saw, rad: those common in shops and of ready slices, and those next to the ones that
/// short stubs would have.
fn wanted_kinks(gap: &Gap, free: Option<&[Piece]>) -> Vec<(f64, f64)> {
    let mut common: Vec<f64> = COMMON_SAW_DEG.iter().map(|d| 2.0 * d.to_radians()).collect();
    common.extend(gap.tube.slices.iter().map(|s| 2.0 * s.saw_deg.to_radians()));
    let mut out: Vec<(f64, f64)> = Vec::new();
    if let Some([first, middle, ..]) = free {
        let near = |tilt: f64| {
            let step = gap.saw_step_rad.max(1e-6);
            let whole = (tilt / step).round();
            [whole, whole + 1.0, whole + 4.0, (whole - 1.0).max(1.0)].map(|n| 2.0 * n * step)
        };
        for k1 in near(first.end.tilt_rad) {
            out.extend(near(middle.end.tilt_rad).map(|k2| (k1, k2)));
        }
    }
    for k1 in &common {
        out.extend(common.iter().map(|k2| (*k1, *k2)));
    }
    let most = 2.0 * gap.most_saw_rad;
    out.retain(|(a, b)| *a > NO_BEND_RAD && *b > NO_BEND_RAD && *a <= most && *b <= most);
    out
}

/// The directions at `k1` from the open tube's and at `k2` from the hardpoint's: none, one or two. Where those two run
/// together, the ones towards and away from the hardpoint.
pub(super) fn cones(gap: &Gap, k1: f64, k2: f64) -> Vec<DVec3> {
    let (a, b) = (gap.from.travel, gap.to.travel);
    let c = a.dot(b);
    let s2 = 1.0 - c * c;
    if angle_between(a, b) < NO_BEND_RAD {
        let aside = across(gap.span_mm(), a);
        let same = (k1 - k2).abs() < 1e-9;
        return aside.filter(|_| same).map(|w| a * k1.cos() + w * k1.sin()).into_iter().collect();
    }
    if s2 < FLAT * FLAT {
        return Vec::new();
    }
    let (al, be) = ((k1.cos() - c * k2.cos()) / s2, (k2.cos() - c * k1.cos()) / s2);
    let g2 = 1.0 - al * al - be * be - 2.0 * al * be * c;
    // a touch is one direction, and rounding may put it on the wrong side
    if g2 < -1e-9 {
        return Vec::new();
    }
    let up = a.cross(b) * (g2.max(0.0) / s2).sqrt();
    let flat = a * al + b * be;
    if g2 < 1e-12 { vec![flat] } else { vec![flat + up, flat - up] }
}

/// The pieces whose middle one runs along `u`: the lengths follow from the gap. In a plane the first may be as long as
/// is wanted; it is then as short as can be.
pub(super) fn legs(gap: &Gap, u: DVec3, kinks: [f64; 2]) -> Option<Vec<Piece>> {
    let (t0, t1, d) = (gap.from.travel, gap.to.travel, gap.span_mm());
    let m = DMat3::from_cols(t0, u, t1);
    let det = m.determinant();
    let [a, l, c] = if det.abs() > FLAT {
        let x = m.inverse() * d;
        [x.x, x.y, x.z]
    } else {
        let a = gap.stub_mm(kinks[0] / 2.0, SLIVER_MM.max(gap.least_mm));
        let rest = d - t0 * a;
        let n = u.cross(t1);
        let n2 = n.length_squared();
        if n2 < FLAT * FLAT {
            return None;
        }
        [a, rest.cross(t1).dot(n) / n2, u.cross(rest).dot(n) / n2]
    };
    if a.min(l).min(c) <= 0.0 {
        return None;
    }
    let v1 = gap.from.origin + t0 * a;
    let points = [gap.from.origin, v1, v1 + u * l, v1 + u * l + t1 * c];
    along_points(gap, &points, t1)
}
