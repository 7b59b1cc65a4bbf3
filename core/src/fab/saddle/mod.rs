//! A branch welded onto the side of a header: its cut, the hole it needs, the weld.
//!
//! The branch is a straight round tube. The header is a straight tube (closed form), or pieces of a run one after
//! another: mitred slices (closed form each) and smooth bends (the four places where a line meets a torus, by brackets).
//! The branch sits on the header's outside; what its bore opens is the hole.
//!
//! With the branch's outside or inside radius `b`, the header's outside radius `h`, the angle β between the axes and the
//! offset `e` of the axes, the branch is cut at `[√(h² − (b·sin φ − e)²) + b·cos φ·cos β]/sin β` from the header's
//! axis, φ from the side the header's travel goes to, right-handed about the branch away from the header. Derived here;
//! the same formula in frames stands in `header.rs`.

mod beside;
mod curve;
mod guide;
mod header;
mod hole;
mod place;
mod skin;

pub use crate::finding::SaddleError;
pub use beside::Bite;
pub use curve::{Extremes, Met, Saddle, Spot};
pub use header::{Header, HeaderPart};
pub use hole::{Hole, HolePoint, HoleSize};
pub use place::Placement;
pub use skin::{Lies, SLITS, Skin, slit_ways};

/// Least angle between branch and header, rad (15°): below it the tip of the branch runs out to a blade nearly four times
/// its diameter long (`2b·cot β`) that nobody can weld to its end (common practice, no source).
pub const LEAST_ANGLE_RAD: f64 = 15.0 * std::f64::consts::PI / 180.0;
