//! Gaps between solids and obstacles, and between solids.

use super::body::Body;
use super::search::{Found, OnOverlap, Search};
use super::shape::{PlacedForm, PlacedShape};
use crate::geom::Solid;
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
    let bodies: Vec<Body<'_>> = solids.iter().map(Body::from).collect();
    if let PlacedForm::HalfSpace(on, out) = shape.form {
        let gaps = bodies.iter().enumerate().map(|(i, body)| (i, above_plane(body, on, out)));
        return gaps
            .filter(|(_, gap)| gap.gap_mm < closer_than_mm)
            .min_by(|a, b| a.1.gap_mm.total_cmp(&b.1.gap_mm));
    }
    let obstacle = [shape.body()?];
    let search = Search::new(&bodies, &obstacle, closer_than_mm, OnOverlap::Measure, &|_, _| false);
    search.run().map(|found| (found.first, found.gap))
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
    let search = Search::new(&firsts, &seconds, closer_than_mm, OnOverlap::Measure, skip);
    search.run().map(|Found { first, second, gap }| (first, second, gap))
}

/// Lowest and highest coordinates of a solid, exact.
pub fn solid_bounds(solid: &Solid) -> (DVec3, DVec3) {
    Body::from(solid).bounds
}

/// Height of a body's lowest point over the plane through `on` with the unit normal `out`; exact, signed.
fn above_plane(body: &Body<'_>, on: DVec3, out: DVec3) -> Gap {
    let lowest = body.hull.support(-out);
    let gap_mm = (lowest - on).dot(out);
    Gap { gap_mm, on_first: lowest, on_second: lowest - out * gap_mm }
}
