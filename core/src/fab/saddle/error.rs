//! What keeps a branch from being fitted: the facts, and one sentence with the nearest choice that works.

use super::super::limb::LimbError;
use crate::units::{UnitSystem, angle, fine_length, length, tube_size};

/// Why a branch does not fit its header.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SaddleError {
    /// The branch as given is none.
    Branch(LimbError),
    /// The header has no tube to weld to, or a figure of it is no number.
    NoHeader,
    /// The branch is wider than the header.
    BranchTooLarge {
        /// Outside radius of the branch, mm.
        radius_mm: f64,
        /// Outside radius of the header, the largest branch it takes, mm.
        header_mm: f64,
    },
    /// Part of the branch passes the header by.
    OffSide {
        /// Offset of the axes, mm, with its sign.
        offset_mm: f64,
        /// Outside radius of the branch, mm.
        radius_mm: f64,
        /// Outside radius of the header, mm.
        header_mm: f64,
    },
    /// Branch and header run too nearly along each other.
    TooFlat {
        /// Angle between the axes, rad, at most a quarter turn.
        angle_rad: f64,
        /// Least angle, rad.
        least_rad: f64,
    },
    /// Part of the branch passes a bent header by.
    Misses {
        /// Clock of the branch where it misses furthest, rad.
        clock_rad: f64,
        /// By how much, mm.
        by_mm: f64,
        /// Outside radius of the largest branch on the same axis that seats, mm; `None` where none does.
        largest_mm: Option<f64>,
    },
    /// Part of the branch lies beyond the header's end.
    OffEnd {
        /// Clock of the branch where it does, rad.
        clock_rad: f64,
        /// How far beyond the end the branch reaches along the header, mm.
        beyond_mm: f64,
    },
}

impl SaddleError {
    /// Largest offset that still gives a full seat, mm; `None` where the offset is not what is wrong.
    pub fn most_offset_mm(&self) -> Option<f64> {
        match self {
            Self::OffSide { radius_mm, header_mm, .. } => Some(header_mm - radius_mm),
            Self::Branch(_)
            | Self::NoHeader
            | Self::BranchTooLarge { .. }
            | Self::TooFlat { .. }
            | Self::Misses { .. }
            | Self::OffEnd { .. } => None,
        }
    }

    /// Outside radius of the largest branch that seats in this place, mm; `None` where the size is not what is wrong, or
    /// none seats.
    pub fn largest_branch_mm(&self) -> Option<f64> {
        match self {
            Self::BranchTooLarge { header_mm, .. } => Some(*header_mm),
            Self::OffSide { offset_mm, header_mm, .. } => {
                Some(header_mm - offset_mm.abs()).filter(|largest| *largest > 0.0)
            }
            Self::Misses { largest_mm, .. } => *largest_mm,
            Self::Branch(_) | Self::NoHeader | Self::TooFlat { .. } | Self::OffEnd { .. } => None,
        }
    }

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
