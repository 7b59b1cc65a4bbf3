//! What keeps a cone from being made, and what to know about one that can be.

use super::{CALM_RAD, STEEPEST_RAD};
use crate::units::{UnitSystem, angle, length, tube_size, wall};

/// Why a cone cannot be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConeError {
    /// A figure is no number.
    NotANumber,
    /// An end's radius is not above zero.
    NotPositive {
        /// What it was, mm.
        radius_mm: f64,
    },
    /// Its ends lie in one plane, or the wrong way round.
    NoLength {
        /// Length along the axis, mm.
        length_mm: f64,
        /// Least length for its diameters and offset, mm; 0 where any will do.
        least_mm: f64,
    },
    /// The wall is not above zero, or leaves no bore at the narrow end.
    NoBore {
        /// Outside radius of the narrow end, mm.
        radius_mm: f64,
        /// The wall, mm.
        wall_mm: f64,
    },
    /// A side leans too far from the axis.
    TooSteep {
        /// The steepest side against the axis, rad.
        angle_rad: f64,
        /// Least length that will do, mm.
        least_mm: f64,
    },
    /// The lap at the seam is less than none, or more than a quarter of the narrow end.
    Lap {
        /// What it was, mm.
        lap_mm: f64,
        /// Most it may be, mm.
        most_mm: f64,
    },
}

impl ConeError {
    /// The sentence: what is wrong and what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::NotANumber => "The cone has a figure that is not a number: enter it again.".to_owned(),
            Self::NotPositive { radius_mm } => format!(
                "The cone has an end of {} outside: enter a diameter above zero.",
                length(2.0 * radius_mm, units)
            ),
            Self::NoLength { length_mm, least_mm } if *least_mm > 0.0 => format!(
                "The cone is {} long: make it at least {}.",
                length(*length_mm, units),
                length(*least_mm, units)
            ),
            Self::NoLength { length_mm, .. } => {
                format!("The cone is {} long: enter a length above zero.", length(*length_mm, units))
            }
            Self::NoBore { radius_mm, wall_mm } => format!(
                "A wall of {} leaves no bore in the cone's end of {}: enter a wall above zero and under half of that.",
                wall(*wall_mm, units),
                tube_size(2.0 * radius_mm, units)
            ),
            Self::TooSteep { angle_rad, least_mm } => format!(
                "A side of the cone leans {} from its axis, more than the {} that can be rolled: make it at least {} long.",
                angle(angle_rad.to_degrees(), 1),
                angle(STEEPEST_RAD.to_degrees(), 0),
                length(*least_mm, units)
            ),
            Self::Lap { lap_mm, most_mm } => format!(
                "A lap of {} at the cone's seam does not work: enter one from zero to {}.",
                length(*lap_mm, units),
                length(*most_mm, units)
            ),
        }
    }
}

/// What to know about a cone that can be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConeNote {
    /// It is wide for a flow that widens in it.
    Wide {
        /// The steepest side against the axis, rad: half the angle of the cone drawn round it about its axis.
        angle_rad: f64,
        /// Length from which on it would be calm, mm.
        calm_mm: f64,
    },
}

impl ConeNote {
    /// The sentence.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::Wide { angle_rad, calm_mm } => format!(
                "The cone leans {} a side. Flow that widens in it comes off the walls above about {} (common practice): {} or longer keeps it on.",
                angle(angle_rad.to_degrees(), 1),
                angle(CALM_RAD.to_degrees(), 1),
                length(*calm_mm, units)
            ),
        }
    }
}
