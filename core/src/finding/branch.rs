//! What keeps a branch from sitting where it is put.

use super::{PieceType, SaddleError, Severity};

/// What stands on a run where no tube is for others to sit on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Block {
    Joint,
    Taper,
}

/// What a branch has at its end instead of tube that is cut square.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoTube {
    /// A piece that cannot be cut to a header.
    Piece(PieceType),
    /// A mitred cut.
    MitredCut,
}

/// Where the wall under a foot is missing most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallLack {
    /// Clock round the tube there, rad.
    pub clock_rad: f64,
    /// How far the foot reaches over the edge there, mm.
    pub by_mm: f64,
    /// Whether it is cut away at the start of the piece, else at its end.
    pub at_start: bool,
    /// Length of the wall that is left at that clock, mm.
    pub left_mm: f64,
}

/// What is wrong with an end that sits on another run.
#[derive(Debug, Clone, PartialEq)]
pub struct BranchProblem {
    /// Name of the hardpoint it sits at.
    pub port: String,
    /// What it is.
    pub fault: BranchFault,
}

/// Why a branch does not sit, or what is to be known about how it does. Lengths mm; angles degrees, as they were entered;
/// legs count from 1.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum BranchFault {
    /// The run it sits on is not there.
    HeaderGone,
    /// That run cannot be built.
    HeaderStops { header: String },
    /// That run has no such leg.
    NoLeg { header: String, leg: usize, legs: usize },
    /// No bend comes after that leg.
    NoBend { header: String, leg: usize },
    /// The place lies beside the straight of the leg.
    OffStraight { header: String, leg: usize, station_mm: f64, room_mm: (f64, f64), bend: bool },
    /// The place lies beyond the bend.
    OffBend { header: String, leg: usize, turn_deg: f64, most_deg: f64 },
    /// The branch has no square-cut tube there.
    NoTube { at_start: bool, mark: String, what: NoTube },
    /// It sits on a joint or taper.
    OnOther { mark: String, what: Block },
    /// It reaches onto a joint or taper.
    Onto { mark: String, what: Block, by_mm: f64 },
    /// It does not fit.
    DoesNotFit { error: SaddleError },
    /// It is too wide to seat all round on a bend.
    TooWide { radius_mm: f64, largest_mm: Option<f64> },
    /// What its header is joined to has cut the wall away where it sits.
    CutAway { header: String, mark: String, lack: WallLack, fits_mm: Option<f64> },
    /// Another branch sits there.
    OnBranch { other: String, header: String },
    /// It sits across welds of its header.
    AcrossWelds { pieces: Vec<String> },
    /// It meets branches that are put on before it, and is cut to them as well.
    CutToBranch { others: Vec<String>, header: String },
}

impl BranchFault {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::AcrossWelds { .. } | Self::CutToBranch { .. } => Severity::Note,
            Self::HeaderGone
            | Self::HeaderStops { .. }
            | Self::NoLeg { .. }
            | Self::NoBend { .. }
            | Self::OffStraight { .. }
            | Self::OffBend { .. }
            | Self::NoTube { .. }
            | Self::OnOther { .. }
            | Self::Onto { .. }
            | Self::TooWide { .. }
            | Self::CutAway { .. }
            | Self::OnBranch { .. }
            | Self::DoesNotFit { .. } => Severity::Stop,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::HeaderGone => "branch-without-header",
            Self::HeaderStops { .. } => "branch-header-stops",
            Self::NoLeg { .. } | Self::NoBend { .. } | Self::OffStraight { .. } | Self::OffBend { .. } => {
                "branch-off-place"
            }
            Self::NoTube { .. } => "branch-without-tube",
            Self::OnOther { .. } | Self::Onto { .. } => "branch-on-joint",
            Self::DoesNotFit { .. } | Self::TooWide { .. } => "branch-does-not-fit",
            Self::CutAway { .. } => "branch-on-nothing",
            Self::OnBranch { .. } => "branch-on-branch",
            Self::AcrossWelds { .. } => "branch-across-weld",
            Self::CutToBranch { .. } => "branch-meets-branch",
        }
    }
}
