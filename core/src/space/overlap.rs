//! How deep two bodies that overlap are in each other.

use super::body::{Body, Form};
use super::gap::Gap;
use super::meet::{Meeting, meet};
use super::piece::Piece;
use super::search::{ClosestSearch, OnOverlap};
use glam::DVec3;
use parry3d_f64::math::Pose;
use parry3d_f64::query::epa::EPA;
use parry3d_f64::query::gjk::VoronoiSimplex;

/// The overlap of two bodies that share the point `common`, as a gap below zero.
///
/// Between two convex bodies it is the shortest shift that parts them. Where one is a bend or a pierced plate
/// it is the lesser of two: that shift for their hulls, and how much nearer their middle lines come than their
/// radii allow. The latter is the true depth as long as the middle line itself is clear.
pub(super) fn overlap(first: &Body<'_>, second: &Body<'_>, common: DVec3) -> Gap {
    let hulls =
        shift_apart(first, second).unwrap_or(Gap { gap_mm: 0.0, on_first: common, on_second: common });
    if matches!((&first.form, &second.form), (Form::Hull, Form::Hull)) {
        return hulls;
    }
    let lines = ([first.middle_line()], [second.middle_line()]);
    let search = ClosestSearch::new(&lines.0, &lines.1, f64::INFINITY, OnOverlap::GiveUp, &|_, _| false);
    match search.run() {
        Some(found) if found.gap.gap_mm > hulls.gap_mm => {
            Gap { gap_mm: found.gap.gap_mm.min(0.0), ..found.gap }
        }
        _ => hulls,
    }
}

/// The shortest shift that parts the hulls of two bodies, as a gap below zero; `None` where they are apart.
fn shift_apart(first: &Body<'_>, second: &Body<'_>) -> Option<Gap> {
    let (a, b) = (&first.hull, &second.hull);
    let toward = b.middle() - a.middle();
    let Meeting::Overlap { simplex, .. } = meet(a, b, toward, f64::INFINITY) else { return None };
    let found = deepest(a, b, &simplex);
    // A direction that came out slanted still gives a shift that parts them, if not the shortest.
    let along = |n: DVec3| (n.dot(a.support(n) - b.support(-n)), n);
    let guesses = [toward, found.map_or(toward, |(_, normal)| normal)];
    let (depth_mm, normal) = guesses
        .into_iter()
        .map(|n| along(n.try_normalize().unwrap_or(DVec3::Z)))
        .min_by(|x, y| x.0.total_cmp(&y.0))?;
    let [on_a, on_b] = found.map_or([a.support(normal), b.support(-normal)], |(on, _)| on);
    Some(Gap {
        gap_mm: -(depth_mm + first.round_mm + second.round_mm),
        on_first: on_a + normal * first.round_mm,
        on_second: on_b - normal * second.round_mm,
    })
}

/// Deepest points of two overlapping pieces and the direction from the first to the second to part them, by the
/// expanding polytope algorithm (G. van den Bergen, *Proximity queries and penetration depth computation on 3D
/// game objects*, 2001). `None` where rounding noise stops it.
fn deepest(a: &Piece, b: &Piece, simplex: &VoronoiSimplex) -> Option<([DVec3; 2], DVec3)> {
    let (on_a, on_b, normal) = EPA::new().closest_points(&Pose::IDENTITY, a, b, simplex)?;
    (on_a.is_finite() && on_b.is_finite() && normal.is_finite()).then_some(([on_a, on_b], normal))
}
