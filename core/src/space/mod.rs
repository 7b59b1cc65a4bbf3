//! The room a pipe lives in: exact gaps between the solids of a built pipe and what it must keep clear of.
//!
//! Lengths are millimetres, all points in the vehicle's axes. A gap is the shortest distance between two
//! surfaces, found to within [`GAP_MM`](crate::geom::tolerance::GAP_MM), flat ends and mitred corners included.
//!
//! Knows no route, no piece and no finding: who asks brings solids, and says what a gap means.
//!
//! How it works: every solid is either convex (tube, drum, block, ball, hose) or held by a convex hull that can
//! be cut finer (a bend, a plate with holes). Hulls are compared by the distance algorithm of Gilbert, Johnson
//! and Keerthi, which yields a distance that the true one can not fall below; the search takes the nearest pair
//! first and cuts only where the hull, not the solid, is what is near.

mod around;
mod bend;
mod body;
mod brick;
mod cell;
mod gap;
pub mod lobe;
mod meet;
pub mod motion;
mod overlap;
mod piece;
mod plate;
pub mod scan;
mod search;
mod shape;
mod taper;
#[cfg(test)]
mod tests;
mod tube;
pub mod way_out;

pub use around::Around;
pub use gap::{Gap, gap_between, gap_to_shape, solid_bounds, tightest, tightest_between};
pub use shape::PlacedShape;
