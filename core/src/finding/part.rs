//! What is wrong with a small part where it stands.

use super::{Block, SaddleError, Severity};

/// What a part reaches over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Over {
    /// The weld to a piece.
    Weld(String),
    /// A bend.
    Bend,
    /// The body of a joint.
    Joint(String),
    /// The end of the pipe.
    End,
}

/// What of a part is as wide as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Width {
    Boss,
    Stub,
    Thickness,
}

/// What is wrong with a part, or worth knowing.
#[derive(Debug, Clone, PartialEq)]
pub struct PartProblem {
    /// Name of the part.
    pub part: String,
    /// What it is.
    pub fault: PartFault,
}

/// Lengths mm, angles rad; stations as entered, legs count from 1.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum PartFault {
    NoLeg {
        leg: usize,
        legs: usize,
    },
    OffLeg {
        leg: usize,
        straight_mm: f64,
        fits: Option<f64>,
    },
    OnBlock {
        what: Block,
        mark: String,
        fits: Option<f64>,
    },
    Over {
        over: Over,
        by_mm: f64,
        fits: Option<f64>,
    },
    OffWall {
        by_mm: f64,
        fits: Option<f64>,
    },
    /// Only round parts stand on bends.
    NotOnBend,
    NoBend {
        leg: usize,
    },
    OffBend {
        leg: usize,
        turn_deg: f64,
        most_deg: f64,
    },
    /// It reaches from a bend onto a joint.
    Onto {
        what: Block,
        mark: String,
        by_mm: f64,
    },
    /// It does not seat all round on a bend.
    WideOnBend {
        width_mm: f64,
        largest_mm: Option<f64>,
    },
    AcrossWelds {
        pieces: Vec<String>,
    },
    /// It stands where something else is welded on.
    OnOther {
        other: String,
        fits: Option<f64>,
    },
    TooWide {
        what: Width,
        width_mm: f64,
        tube_mm: f64,
    },
    TooFlat {
        angle_rad: f64,
        least_rad: f64,
    },
    Unfit {
        why: SaddleError,
    },
    HoleTooWide {
        hole_mm: f64,
        boss_mm: f64,
    },
    FlangeLow {
        length_mm: f64,
        least_mm: f64,
    },
    FlangeNarrow {
        flange_mm: f64,
        stub_mm: f64,
    },
    SensorLow {
        stands_rad: f64,
        least_rad: f64,
        fits_rad: Option<f64>,
    },
    SensorNear {
        from_start_mm: f64,
        least_mm: f64,
    },
    TapNear {
        from_bend_mm: f64,
        least_mm: f64,
        fits: Option<f64>,
    },
    PartRound {
        around_rad: f64,
    },
    Through {
        shield: String,
    },
}

impl PartFault {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::NoLeg { .. }
            | Self::OffLeg { .. }
            | Self::OnBlock { .. }
            | Self::OnOther { .. }
            | Self::NotOnBend
            | Self::NoBend { .. }
            | Self::OffBend { .. }
            | Self::Onto { .. }
            | Self::WideOnBend { .. }
            | Self::TooWide { .. }
            | Self::TooFlat { .. }
            | Self::Unfit { .. }
            | Self::HoleTooWide { .. }
            | Self::OffWall { .. }
            | Self::FlangeLow { .. } => Severity::Stop,
            Self::Over { .. } | Self::FlangeNarrow { .. } | Self::SensorLow { .. } => Severity::Warn,
            Self::SensorNear { .. }
            | Self::TapNear { .. }
            | Self::PartRound { .. }
            | Self::AcrossWelds { .. }
            | Self::Through { .. } => Severity::Note,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoLeg { .. } => "part-no-leg",
            Self::OffLeg { .. } => "part-off-leg",
            Self::OnBlock { .. } => "part-on-joint",
            Self::OnOther { .. } => "part-on-other",
            Self::NotOnBend => "part-not-on-bend",
            Self::NoBend { .. } | Self::OffBend { .. } => "part-off-bend",
            Self::Onto { .. } => "part-onto-joint",
            Self::WideOnBend { .. } => "part-wide-on-bend",
            Self::AcrossWelds { .. } => "part-across-weld",
            Self::Over { over: Over::Weld(_), .. } => "part-over-weld",
            Self::Over { over: Over::Bend, .. } => "part-on-bend",
            Self::Over { over: Over::Joint(_), .. } => "part-under-joint",
            Self::Over { over: Over::End, .. } | Self::OffWall { .. } => "part-off-end",
            Self::TooWide { .. } => "part-too-wide",
            Self::TooFlat { .. } => "part-too-flat",
            Self::Unfit { .. } => "part-unfit",
            Self::HoleTooWide { .. } => "part-hole",
            Self::FlangeLow { .. } => "flange-low",
            Self::FlangeNarrow { .. } => "flange-narrow",
            Self::SensorLow { .. } => "sensor-low",
            Self::SensorNear { .. } => "sensor-near",
            Self::TapNear { .. } => "tap-near-bend",
            Self::PartRound { .. } => "shield-part-round",
            Self::Through { .. } => "shield-hole",
        }
    }
}
