//! What is said of the open end of a run.

use super::piece_words;
use crate::finding::OpenEndProblem;
use crate::units::{UnitSystem, angle, length};

impl OpenEndProblem {
    /// Where it is, in words.
    pub fn place(&self) -> String {
        match self {
            Self::SlashSteep { .. } | Self::SlashOn { .. } => "open end".to_owned(),
            Self::BlowsAt { against, .. } => against.clone(),
        }
    }

    /// The sentence a person reads: what, where, what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::SlashSteep { tilt_deg, most_deg } => format!(
                "The open end is cut {} from square, and the saw goes to {}: lower the angle, or grind it to its template.",
                angle(*tilt_deg, 2),
                angle(*most_deg, 2)
            ),
            Self::SlashOn { tilt_deg, what } => format!(
                "The open end is to be cut {} from square, but the run ends with {}: make its last straight longer, or cut it square.",
                angle(*tilt_deg, 2),
                piece_words(*what)
            ),
            Self::BlowsAt { against, distance_mm, harm } => {
                let why = if *harm { " Hot gas sets fuel, oil, looms and tyres alight." } else { "" };
                format!(
                    "The open end blows at {against}, {} away: turn the end, move it, or shield what is there.{why}",
                    length(*distance_mm, units)
                )
            }
        }
    }
}
