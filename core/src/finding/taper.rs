//! What is wrong with the tapers of a run, and with cones as such.

use super::Severity;
use crate::model::Material;

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
        /// Steepest that can be rolled, rad.
        most_rad: f64,
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

/// What to know about a cone that can be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConeNote {
    /// It is wide for a flow that widens in it.
    Wide {
        /// The steepest side against the axis, rad: half the angle of the cone drawn round it about its axis.
        angle_rad: f64,
        /// Up to where the flow keeps to the walls, rad.
        calm_rad: f64,
        /// Length from which on it would be calm, mm.
        calm_mm: f64,
    },
}

/// Lengths mm, angles rad; legs count from 1.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum TaperProblem {
    Shape { leg: usize, error: ConeError },
    Wide { leg: usize, note: ConeNote },
    Metal { leg: usize, before: Material, after: Material },
    Same { leg: usize, od_mm: f64 },
    OffLeg { leg: usize, by_mm: f64, most_mm: f64 },
    NoSuchLeg { leg: usize, legs: usize },
    Offset { most_mm: f64 },
}

impl TaperProblem {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::Shape { .. }
            | Self::Metal { .. }
            | Self::OffLeg { .. }
            | Self::NoSuchLeg { .. }
            | Self::Offset { .. } => Severity::Stop,
            Self::Wide { .. } | Self::Same { .. } => Severity::Note,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Shape { .. } => "taper-shape",
            Self::Wide { .. } => "taper-wide",
            Self::Metal { .. } => "taper-metal",
            Self::Same { .. } => "taper-same",
            Self::OffLeg { .. } => "taper-off-leg",
            Self::NoSuchLeg { .. } => "no-such-leg",
            Self::Offset { .. } => "taper-offset",
        }
    }
}
