//! What comes too near to what, and what cannot get on or out because of it.

use super::Severity;

/// What of a run comes near to something; pieces and joints go by their marks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum NearPart {
    /// A piece.
    Piece(String),
    /// The lobe of a joint.
    Lobe(String),
    /// The room that the tool for a joint needs.
    Tool(String),
    /// What is welded on, or what is screwed into it.
    SmallPart {
        /// Its name.
        name: String,
        /// Its mark.
        mark: String,
    },
}

/// Lengths mm. What is come near to goes by its name.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum GapProblem {
    TooClose {
        part: NearPart,
        against: String,
        gap_mm: f64,
        required_mm: f64,
        heat: bool,
        /// Whether it is something that can be turned and slid on its pipe.
        turns: bool,
        moved: Option<String>,
    },
    Clash {
        part: NearPart,
        turns: bool,
        against: String,
        /// What of it, where it is a run.
        other_part: Option<NearPart>,
        deep_mm: f64,
        itself: bool,
    },
    ToolBlocked {
        tool: NearPart,
        against: String,
    },
    NoWayOut {
        part: NearPart,
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
