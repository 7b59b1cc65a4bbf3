//! What is wrong with the pieces of a run, with their welds, and with the weld that is fitted last.

use super::Severity;

/// What a piece of a run is, where a finding has to say so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum PieceType {
    Straight,
    Slice,
    Elbow,
    Joint,
    Taper,
}

/// Lengths mm, angles rad; bends count from 1.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum PieceProblem {
    ThroatShort { mark: String, throat_mm: f64, least_mm: f64, clr_mm: Option<f64> },
    CutsCross { mark: String, by_mm: f64, fewer_degrees: bool },
    SawLimit { bend: usize, mark: String, saw_rad: f64, most_rad: f64, welds: u32 },
    FullEndAtFace { bend: usize, at_start: bool },
    PiecesMissEnd { offset_mm: f64, angle_rad: f64 },
    Lip { weld: String, lip_mm: f64, turn_rad: f64 },
    FitGone { weld: Option<String>, instead: Option<String> },
    FitShort { weld: String, mark: String, long_mm: f64, grip_mm: f64 },
    NoFit,
}

impl PieceProblem {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::CutsCross { .. } | Self::FullEndAtFace { .. } | Self::PiecesMissEnd { .. } => {
                Severity::Stop
            }
            Self::ThroatShort { .. } | Self::SawLimit { .. } | Self::Lip { .. } | Self::FitShort { .. } => {
                Severity::Warn
            }
            Self::FitGone { .. } | Self::NoFit => Severity::Note,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::ThroatShort { .. } => "throat-short",
            Self::CutsCross { .. } => "cuts-cross",
            Self::SawLimit { .. } => "saw-limit",
            Self::FullEndAtFace { .. } => "full-end-at-face",
            Self::PiecesMissEnd { .. } => "pieces-miss-end",
            Self::Lip { .. } => "lip",
            Self::FitGone { .. } => "fit-gone",
            Self::FitShort { .. } => "fit-short",
            Self::NoFit => "no-fit",
        }
    }
}
