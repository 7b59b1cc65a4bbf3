//! A cone rolled from sheet between two round tubes, on one axis or with the axes shifted: its figures and its flat.
//!
//! The two ends are parallel circles. Lines between points of equal clock make the surface. For parallel circles that is
//! an oblique circular cone (a cylinder where the diameters are equal): all lines meet in one point, the skin along a line
//! has one tangent plane, so the sheet bends without stretching, and it is the skin of the convex hull of the two circles
//! as well. (Of circles that are not parallel none of this is true; they are not made here.)
//! [`Cone::planarity_mm`] measures it.
//!
//! The flat is that of the fibre half way through the wall, which keeps its length when sheet is rolled (common practice,
//! no source; pressed tightly it moves inwards). Its ends are square to the sheet: the outside corners lie on the two
//! circles, and the middle fibre lies half a wall in from them along the normal.

mod flat;
mod shape;

pub use crate::finding::{ConeError, ConeNote};
pub use flat::{ClockMark, Flat};
pub use shape::{Cone, ConeKind, ConeShape};

/// Steepest side against the axis, rad (60°): beyond it the cone is nearly a flat ring that no roll takes (common practice,
/// no source).
pub const STEEPEST_RAD: f64 = 60.0 * std::f64::consts::PI / 180.0;

/// A cone that widens with the flow keeps it on its walls up to about this angle of a side, rad (7.5°, 15° in all) (common
/// practice, no source).
pub const CALM_RAD: f64 = 7.5 * std::f64::consts::PI / 180.0;
