//! Gaps between solids and obstacles, and between solids.

use super::body::Body;
use super::search::{ClosestPair, ClosestSearch, OnOverlap};
use super::shape::{PlacedForm, PlacedShape};
use crate::geom::Solid;
use crate::geom::tolerance::MIN_FACE_COSINE;
use glam::DVec3;

/// The shortest way between two bodies.
///
/// `gap_mm` is exact to [`GAP_MM`](crate::geom::tolerance::GAP_MM) while the bodies are apart. Below zero they
/// overlap, and it estimates the depth: between convex bodies the shortest shift that would part them; where
/// one is a bend or a plate with holes, the lesser of that shift for their convex hulls and of how much nearer
/// their middle lines come than their radii allow.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_field_names, reason = "the unit stands in the name, as everywhere")]
pub struct Gap {
    /// Distance between the two surfaces, mm.
    pub gap_mm: f64,
    /// The point of the first body nearest to the second, or deepest in it.
    pub on_first: DVec3,
    /// The point of the second body nearest to the first, or deepest in it.
    pub on_second: DVec3,
}

impl Gap {
    /// The same gap seen from the second body.
    #[must_use]
    pub fn turned_round(self) -> Self {
        Self { on_first: self.on_second, on_second: self.on_first, ..self }
    }
}

/// The gap from `solid` to `shape`; `None` if it is not less than `closer_than_mm`.
///
/// `None` as well where a coordinate is not finite.
pub fn gap_to_shape(solid: &Solid, shape: &PlacedShape, closer_than_mm: f64) -> Option<Gap> {
    tightest(std::slice::from_ref(solid), shape, closer_than_mm).map(|(_, gap)| gap)
}

/// The tightest gap from any of `solids` to `shape`, and which solid it is; `None` if none is less than
/// `closer_than_mm`.
pub fn tightest(solids: &[Solid], shape: &PlacedShape, closer_than_mm: f64) -> Option<(usize, Gap)> {
    if let PlacedForm::HalfSpace(on, out) = shape.form {
        let gaps = solids.iter().enumerate().map(|(i, solid)| (i, above_plane(&solid.into(), on, out)));
        return gaps
            .filter(|(_, gap)| gap.gap_mm < closer_than_mm)
            .min_by(|a, b| a.1.gap_mm.total_cmp(&b.1.gap_mm));
    }
    if let PlacedForm::Scan(scan) = &shape.form {
        return scan.tightest(solids, closer_than_mm, None).map(|found| (found.solid, found.gap));
    }
    let obstacle = [shape.body()?];
    let bounds = obstacle[0].bounds;
    let mut near: Vec<(f64, usize)> =
        solids.iter().enumerate().map(|(i, solid)| (ball_to_bounds(ball_about(solid), bounds), i)).collect();
    near.retain(|(at_least_mm, _)| *at_least_mm < closer_than_mm);
    let nearest = near.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0))?;
    let search = |chosen: &[(f64, usize)], closer_than_mm: f64| {
        let bodies: Vec<Body<'_>> = chosen.iter().map(|&(_, i)| (&solids[i]).into()).collect();
        let search =
            ClosestSearch::new(&bodies, &obstacle, closer_than_mm, OnOverlap::Measure, &|_, _| false);
        search.run().map(|found| (chosen[found.first].1, found.gap))
    };
    // the likeliest one alone; its gap then keeps most of the others out
    let likeliest = search(&[nearest], closer_than_mm);
    let limit_mm = likeliest.map_or(closer_than_mm, |(_, gap)| gap.gap_mm);
    near.retain(|other| other.0 < limit_mm && other.1 != nearest.1);
    search(&near, limit_mm).or(likeliest)
}

/// The gap between two solids; `None` if it is not less than `closer_than_mm`.
pub fn gap_between(a: &Solid, b: &Solid, closer_than_mm: f64) -> Option<Gap> {
    let one = std::slice::from_ref;
    tightest_between(one(a), one(b), closer_than_mm, &|_, _| false).map(|(_, _, gap)| gap)
}

/// The tightest gap between a solid of `a` and one of `b`, and which they are; `None` if none is less than
/// `closer_than_mm`. Pairs for which `skip` says so, such as neighbours that are welded together, do not count.
pub fn tightest_between(
    a: &[Solid],
    b: &[Solid],
    closer_than_mm: f64,
    skip: &dyn Fn(usize, usize) -> bool,
) -> Option<(usize, usize, Gap)> {
    let firsts: Vec<Body<'_>> = a.iter().map(Body::from).collect();
    let seconds: Vec<Body<'_>> = b.iter().map(Body::from).collect();
    let search = ClosestSearch::new(&firsts, &seconds, closer_than_mm, OnOverlap::Measure, skip);
    search.run().map(|ClosestPair { first, second, gap }| (first, second, gap))
}

/// Lowest and highest coordinates of a solid, exact.
pub fn solid_bounds(solid: &Solid) -> (DVec3, DVec3) {
    Body::from(solid).bounds
}

/// Height of a body's lowest point over the plane through `on` with the unit normal `out`; exact, signed.
pub(super) fn above_plane(body: &Body<'_>, on: DVec3, out: DVec3) -> Gap {
    let lowest = body.hull.support(-out);
    let gap_mm = (lowest - on).dot(out);
    Gap { gap_mm, on_first: lowest, on_second: lowest - out * gap_mm }
}

/// Centre and radius of a ball that holds a solid.
pub(super) fn ball_about(solid: &Solid) -> (DVec3, f64) {
    match solid {
        Solid::Barrel(b) => {
            let cosine = b.start.travel.dot(b.start_normal).min(b.start.travel.dot(b.end_normal));
            let half_mm = b.length_mm / 2.0;
            // the furthest tip is r·tan further on and r off the axis
            let reach_mm = (half_mm + b.radius_mm / cosine.max(MIN_FACE_COSINE)).hypot(b.radius_mm);
            (b.start.forward(half_mm).origin, reach_mm)
        }
        Solid::Drum(d) => {
            let half_mm = d.length_mm / 2.0;
            (d.start.forward(half_mm).origin, half_mm.hypot(d.radius_mm))
        }
        Solid::Elbow(e) => {
            let (sin, cos) = e.angle_rad.sin_cos();
            let half_chord = (e.start.travel * sin + e.toward * (1.0 - cos)) * (e.clr_mm / 2.0);
            (e.start.origin + half_chord, half_chord.length() + e.radius_mm)
        }
        Solid::Block(b) => (b.centre, b.half_mm.length()),
        Solid::Frustum(f) => {
            let (start, end) = (f.start.origin, f.frame_at(f.length_mm).origin);
            let reach_mm = start.distance(end) / 2.0 + f.start_radius_mm.max(f.end_radius_mm);
            (start.midpoint(end), reach_mm)
        }
    }
}

/// A number the gap between what a ball and what a box along the axes hold can not be below; −∞ where the
/// ball's centre is in the box. Infinite for numbers that are not finite.
fn ball_to_bounds(ball: (DVec3, f64), bounds: (DVec3, DVec3)) -> f64 {
    let (centre, radius_mm) = ball;
    let past = (bounds.0 - centre).max(centre - bounds.1).max(DVec3::ZERO);
    let apart_mm = past.length();
    if !(centre.is_finite() && radius_mm.is_finite() && apart_mm.is_finite()) {
        f64::INFINITY
    } else if apart_mm > 0.0 {
        apart_mm - radius_mm
    } else {
        f64::NEG_INFINITY
    }
}
