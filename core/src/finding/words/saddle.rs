//! Why a tube does not fit another: one sentence with the nearest choice that works.

use crate::finding::{LimbError, SaddleError};
use crate::units::{UnitSystem, angle, fine_length, length, tube_size, wall};

impl LimbError {
    /// What is wrong and what to do, for a sentence that begins with what the tube is.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::NotANumber => "has a figure that is not a number: enter it again.".to_owned(),
            Self::NotPositive { radius_mm } => format!(
                "has an outside diameter of {}: enter one above zero.",
                length(2.0 * radius_mm, units)
            ),
            Self::NoBore { radius_mm, wall_mm } => format!(
                "has a wall of {} at {} outside, which leaves no bore: enter a wall above zero and under half of that.",
                wall(*wall_mm, units),
                tube_size(2.0 * radius_mm, units)
            ),
        }
    }
}

impl SaddleError {
    /// The sentence: what is wrong and what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        let size = |radius: f64| tube_size(2.0 * radius, units);
        let narrower = || {
            self.largest_branch_mm()
                .map_or_else(String::new, |mm| format!(", or a branch of at most {} outside", size(mm)))
        };
        match self {
            Self::Branch(error) => format!("The branch {}", error.text(units)),
            Self::NoHeader => {
                "There is no tube here to weld the branch to: put it on a straight or a bend.".to_owned()
            }
            Self::BranchTooLarge { radius_mm, header_mm } => format!(
                "A branch of {} does not fit on a header of {}: take a branch no wider than the header.",
                size(*radius_mm),
                size(*header_mm)
            ),
            Self::OffSide { offset_mm, radius_mm, header_mm } => format!(
                "The branch hangs {} over the side of the header: take an offset of at most {}{}.",
                length(offset_mm.abs() + radius_mm - header_mm, units),
                length(header_mm - radius_mm, units),
                narrower()
            ),
            Self::TooFlat { angle_rad, least_rad } => format!(
                "The branch leaves the header at {}, too flat to cut and weld its tip: take at least {}.",
                angle(angle_rad.to_degrees(), 1),
                angle(least_rad.to_degrees(), 1)
            ),
            Self::Misses { clock_rad, by_mm, .. } => format!(
                "The branch passes the header by {} at its clock {}: move it towards the middle of the header{}.",
                fine_length(*by_mm, units),
                angle(clock_rad.to_degrees(), 0),
                narrower()
            ),
            Self::OffEnd { clock_rad, beyond_mm } => format!(
                "The branch reaches {} beyond the end of the header at its clock {}: move it in by that much.",
                length(*beyond_mm, units),
                angle(clock_rad.to_degrees(), 0)
            ),
        }
    }
}
