//! Several tubes brought together into one: how each is trimmed so that it can be sawn or cut by a wrap template.
//!
//! Each arm is cut back
//! * along its seams with its neighbours. Two tubes of one radius whose axes meet have their seam in the plane half way
//!   between them, through the meeting point, `(x − Q)·(d₁ − d₂) = 0` with `d` the ways from there up the tubes: half of
//!   the ellipse that a mitre of the two would have, down to the outlet. Of two tubes of different radii the smaller one
//!   is cut where each of its generators comes out of the larger one (a quadratic), and the larger one loses what lies
//!   inside the smaller: a notch open to its end, or a hole beside a horn of wall. A line that runs `t` deep in its own
//!   wall is cut where it is `t` deep in the other tube, so that each place in space has one owner: the tube whose skin it
//!   lies deeper under. Two round tubes make a corner that points inwards, so cut square to their walls along the outside
//!   they touch there, and nowhere lie in each other. A smaller tube whose foot lies whole on the side of a larger one is a
//!   branch: [`Merge::side`], shaped as those are ([`super::saddle`]);
//! * in the outlet plane, square to the outlet's axis, at a station where the lobed outline of the arms fits into the
//!   mouth, or covers it. The mouth is the outlet's own or the wide end of a cone. An outlet as wide as the widest arms may
//!   instead be mitred to them as one more arm.
//!
//! Exact: all of that for axes that meet. Axes that pass each other by up to [`MOST_APART_MM`] are taken to meet half
//! way; a seam is off by as much at most. Beyond that the merge is refused with the distance. Not made here: tubes pressed
//! oval, and the cheeks that close the mouth beside the lobes.

mod feet;
mod kept;
mod length;
mod line;
mod meeting;
mod outlet;
mod side;

pub use crate::finding::MergeError;
pub use kept::{Gap, Kept, Merge, Neighbours, Other};
pub use length::{Areas, Seam};
pub use meeting::Meeting;
pub use outlet::{Outlet, OutletPlane, Outline, Stand};

/// Axes that pass each other further than this (mm) do not meet: what tacking can pull together (common practice, no
/// source).
pub const MOST_APART_MM: f64 = 0.5;

/// Least angle between two arms, rad (5°): below it the seam runs away up the tubes (common practice, no source).
pub const LEAST_ARMS_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;

/// Largest angle between an arm and the outlet's axis where the outlet is cut in a plane, rad (75°): above it the arm runs
/// along that plane (common practice, no source).
pub const MOST_OUTLET_RAD: f64 = 75.0 * std::f64::consts::PI / 180.0;
