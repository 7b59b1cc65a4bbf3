//! What keeps a tube from being fitted to another, as geometry says it.

/// What is wrong with a tube as given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LimbError {
    /// A figure is no number, or its frame is none.
    NotANumber,
    /// Its outside radius is not above zero.
    NotPositive {
        /// What it was, mm.
        radius_mm: f64,
    },
    /// The wall is not above zero, or leaves no bore.
    NoBore {
        /// Outside radius, mm.
        radius_mm: f64,
        /// The wall, mm.
        wall_mm: f64,
    },
}

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
}
