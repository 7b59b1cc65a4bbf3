//! What is wrong with the open end of a run.

use super::{PieceType, Severity};

/// Lengths mm; angles degrees, as they were entered.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum OpenEndProblem {
    SlashSteep {
        tilt_deg: f64,
        most_deg: f64,
    },
    SlashOn {
        tilt_deg: f64,
        what: PieceType,
    },
    BlowsAt {
        against: String,
        distance_mm: f64,
        /// Whether hot gas blows at what heat harms.
        harm: bool,
    },
}

impl OpenEndProblem {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::SlashOn { .. } => Severity::Stop,
            Self::SlashSteep { .. } | Self::BlowsAt { harm: true, .. } => Severity::Warn,
            Self::BlowsAt { harm: false, .. } => Severity::Note,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::SlashSteep { .. } | Self::SlashOn { .. } => "slash-end",
            Self::BlowsAt { .. } => "blows-at",
        }
    }
}
