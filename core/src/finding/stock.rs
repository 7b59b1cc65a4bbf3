//! What has to be bought, what no stick is long enough for, and what was sawn to other sizes.

use super::Severity;
use crate::model::PieceKey;

/// Lengths mm.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum StockProblem {
    ElbowsToBuy {
        elbow: String,
        need: u32,
        have: u32,
    },
    SticksToBuy {
        tube: String,
        count: usize,
        /// Whether fewer could do.
        at_most: bool,
    },
    PieceTooLong {
        mark: String,
        length_mm: f64,
        stick_mm: f64,
    },
    SawnOtherwise {
        key: PieceKey,
        mark: String,
        written: Option<String>,
        was_mm: f64,
        now_mm: f64,
    },
    SawnUnknown {
        marks: Vec<String>,
    },
}

impl StockProblem {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::PieceTooLong { .. } => Severity::Stop,
            Self::SawnOtherwise { .. } | Self::SawnUnknown { .. } => Severity::Warn,
            Self::ElbowsToBuy { .. } | Self::SticksToBuy { .. } => Severity::Note,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::ElbowsToBuy { .. } => "elbows-to-buy",
            Self::SticksToBuy { .. } => "sticks-to-buy",
            Self::PieceTooLong { .. } => "piece-too-long",
            Self::SawnOtherwise { .. } => "sawn-otherwise",
            Self::SawnUnknown { .. } => "sawn-unknown",
        }
    }
}
