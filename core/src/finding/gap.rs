//! What comes too near to what, and what cannot get on or out because of it.

use super::Severity;

/// Lengths mm. What comes near is told by its name in words.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum GapProblem {
    TooClose {
        part: String,
        against: String,
        gap_mm: f64,
        required_mm: f64,
        heat: bool,
        /// Whether it is something that can be turned and slid on its pipe.
        turns: bool,
        moved: Option<String>,
    },
    Clash {
        part: String,
        turns: bool,
        against: String,
        deep_mm: f64,
        itself: bool,
    },
    ToolBlocked {
        tool: String,
        against: String,
    },
    NoWayOut {
        part: String,
        against: String,
    },
    BarTooClose {
        bar: String,
        against: String,
        gap_mm: f64,
        required_mm: f64,
        moved: Option<String>,
    },
}

impl GapProblem {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::Clash { .. } => Severity::Stop,
            Self::TooClose { .. }
            | Self::ToolBlocked { .. }
            | Self::NoWayOut { .. }
            | Self::BarTooClose { .. } => Severity::Warn,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::TooClose { heat: false, .. } => "too-close",
            Self::TooClose { heat: true, .. } => "too-hot",
            Self::Clash { .. } => "clash",
            Self::ToolBlocked { .. } | Self::NoWayOut { .. } => "tool-blocked",
            Self::BarTooClose { .. } => "bar-too-close",
        }
    }
}
