//! What keeps runs from being merged, as geometry says it and as the runs are.

use super::{LimbError, PieceType, Severity};
use crate::model::MergeId;

/// Why tubes do not merge. Arms are counted from 0; an outlet that is mitred to the arms counts after them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MergeError {
    /// An arm as given is none.
    Arm {
        /// Which arm.
        arm: usize,
        /// What is wrong with it.
        error: LimbError,
    },
    /// The outlet as given is none, or its station is no number.
    Outlet(LimbError),
    /// Fewer than two arms.
    TooFew {
        /// How many there are.
        arms: usize,
    },
    /// Neighbours that are named are no two arms.
    NoSuchPair {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
    },
    /// An arm has no neighbour.
    Alone {
        /// Which arm.
        arm: usize,
    },
    /// Two axes pass each other, or run side by side.
    Apart {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
        /// Distance of the axes, mm.
        apart_mm: f64,
        /// Up to where they are taken to meet, mm.
        most_mm: f64,
    },
    /// Two arms lie too nearly along each other.
    TooNarrow {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
        /// Angle between them, rad.
        angle_rad: f64,
        /// Least that leaves a seam, rad.
        least_rad: f64,
    },
    /// Two tubes of different size run straight into each other.
    InLine {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
    },
    /// An arm runs into the outlet too nearly square, or the wrong way.
    TooSquare {
        /// Which arm.
        arm: usize,
        /// Angle between its flow and the outlet's, rad.
        angle_rad: f64,
        /// Most it may turn, rad.
        most_rad: f64,
    },
    /// An outlet to be mitred is not as wide as the widest arm.
    OutletSize {
        /// Its outside radius, mm.
        radius_mm: f64,
        /// That of the widest arm, mm.
        arm_mm: f64,
    },
    /// The lobes do not fit into the mouth anywhere.
    MouthTooSmall {
        /// Radius of the mouth inside, mm.
        mouth_mm: f64,
        /// Least that the lobes need, mm.
        least_mm: f64,
    },
    /// Where the lobes fill the mouth the arms have parted already, or they cover no mouth that wide.
    MouthTooLarge {
        /// Radius of the mouth, mm.
        mouth_mm: f64,
        /// Largest that works, mm.
        most_mm: f64,
    },
    /// The outlet plane lies before the arms hang together; the pair that is last to touch is named.
    Parted {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
        /// The outlet plane's station, mm.
        station_mm: f64,
        /// Station where they touch, mm.
        from_mm: f64,
    },
    /// The outlet plane lies beyond where axes meet: the lobes grow small again.
    Beyond {
        /// The outlet plane's station, mm.
        station_mm: f64,
        /// Furthest station, mm.
        most_mm: f64,
    },
    /// Two arms that are no neighbours run into each other.
    Overlap {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
    },
    /// The seam of two neighbours comes out differently on each: other cuts take part of it on one of them.
    SeamsDisagree {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
        /// Its length on the one, mm.
        first_mm: f64,
        /// Its length on the other, mm.
        second_mm: f64,
    },
}

/// What is wrong with a merge, or with what comes to it.
#[derive(Debug, Clone, PartialEq)]
pub struct MergeProblem {
    /// Which merge.
    pub id: MergeId,
    /// Its name.
    pub merge: String,
    /// What it is.
    pub fault: MergeFault,
}

/// Lengths mm; inlets count from 1.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum MergeFault {
    /// Said once for all runs that come to the merge, which are named.
    NotMerged {
        error: MergeError,
        runs: Vec<String>,
    },
    EndsWith {
        what: PieceType,
    },
    PieceTooShort {
        mark: String,
        by_mm: f64,
    },
    ThroatShort {
        mark: String,
        throat_mm: f64,
        least_mm: f64,
    },
    Open {
        inlets: Vec<usize>,
        outlet: bool,
    },
    OneInlet,
    StripFallsOut {
        mark: String,
    },
}

impl MergeFault {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::NotMerged { .. } | Self::EndsWith { .. } | Self::PieceTooShort { .. } => Severity::Stop,
            Self::ThroatShort { .. } | Self::OneInlet | Self::StripFallsOut { .. } => Severity::Warn,
            Self::Open { .. } => Severity::Note,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NotMerged { .. } => "merge",
            Self::EndsWith { .. } | Self::PieceTooShort { .. } => "merge-piece",
            Self::ThroatShort { .. } => "throat-short",
            Self::Open { .. } => "merge-open",
            Self::OneInlet => "merge-one",
            Self::StripFallsOut { .. } => "merge-strip",
        }
    }
}
