//! What is wrong with the line of a run: its legs and bends, what sits on its legs, what its ends come to.

use super::Severity;
use crate::model::Material;
use glam::DVec3;

/// Lengths mm, angles rad; bends and legs count from 1.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum RouteProblem {
    Missing {
        what: &'static str,
        id: u32,
    },
    NoDirection {
        hardpoint: String,
    },
    ClockAlong {
        hardpoint: String,
        /// Unit direction that clocks count from instead.
        really: DVec3,
    },
    NoLength,
    SmallKink {
        bend: usize,
        angle_rad: f64,
    },
    TurnsBack {
        bend: usize,
        angle_rad: f64,
    },
    BendsOverlap {
        leg: usize,
        by_mm: f64,
        first: Option<usize>,
        second: Option<usize>,
        largest_mm: Option<f64>,
    },
    RadiusTooSmall {
        bend: usize,
        clr_mm: f64,
        least_mm: f64,
    },
    TooFewWelds {
        bend: usize,
        welds: u32,
        least: u32,
    },
    OddSlice {
        bend: usize,
        angle_rad: f64,
        saw_rad: f64,
        odd_rad: f64,
        multiple_rad: f64,
    },
    NotMultiple {
        bend: usize,
        angle_rad: f64,
        saw_rad: f64,
        multiple_rad: f64,
    },
    ElbowShort {
        bend: usize,
        need_rad: f64,
        have_rad: f64,
        fits: Option<String>,
    },
    ElbowSize {
        bend: usize,
        elbow_od_mm: f64,
        tube_od_mm: f64,
        fits: Option<String>,
    },
    ElbowMetal {
        bend: usize,
        elbow: Material,
        tube: Material,
    },
    JointOffLeg {
        joint: String,
        leg: usize,
        by_mm: f64,
    },
    JointBodyOnBend {
        joint: String,
        leg: usize,
        by_mm: f64,
    },
    NoSuchLeg {
        joint: String,
        leg: usize,
        legs: usize,
    },
    BehindFace {
        at_start: bool,
        reach_mm: f64,
        least_mm: f64,
    },
    JointSize {
        joint: String,
        joint_od_mm: f64,
        tube_od_mm: f64,
        fits: Option<String>,
    },
    NoBead {
        joint: String,
    },
    PortSize {
        hardpoint: String,
        port_od_mm: f64,
        tube_od_mm: f64,
    },
    NoFlexible {
        bodies: (String, String),
    },
}

impl RouteProblem {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            Self::Missing { .. }
            | Self::NoDirection { .. }
            | Self::NoLength
            | Self::TurnsBack { .. }
            | Self::BendsOverlap { .. }
            | Self::RadiusTooSmall { .. }
            | Self::TooFewWelds { .. }
            | Self::NotMultiple { .. }
            | Self::ElbowShort { .. }
            | Self::ElbowSize { .. }
            | Self::JointOffLeg { .. }
            | Self::NoSuchLeg { .. }
            | Self::BehindFace { .. } => Severity::Stop,
            Self::ElbowMetal { elbow, tube, .. } if elbow.welds_to(*tube) => Severity::Note,
            Self::ElbowMetal { .. } => Severity::Stop,
            Self::ClockAlong { .. }
            | Self::JointBodyOnBend { .. }
            | Self::JointSize { .. }
            | Self::NoBead { .. }
            | Self::PortSize { .. }
            | Self::NoFlexible { .. } => Severity::Warn,
            Self::SmallKink { .. } | Self::OddSlice { .. } => Severity::Note,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Missing { .. } => "missing",
            Self::NoDirection { .. } => "no-direction",
            Self::ClockAlong { .. } => "clock-along",
            Self::NoLength => "no-length",
            Self::SmallKink { .. } => "small-kink",
            Self::TurnsBack { .. } => "turns-back",
            Self::BendsOverlap { .. } => "bends-overlap",
            Self::RadiusTooSmall { .. } => "radius-too-small",
            Self::TooFewWelds { .. } => "too-few-welds",
            Self::OddSlice { .. } => "odd-slice",
            Self::NotMultiple { .. } => "not-multiple",
            Self::ElbowShort { .. } => "elbow-short",
            Self::ElbowSize { .. } => "elbow-size",
            Self::ElbowMetal { .. } => "elbow-metal",
            Self::JointOffLeg { .. } => "joint-off-leg",
            Self::JointBodyOnBend { .. } => "joint-body-on-bend",
            Self::NoSuchLeg { .. } => "no-such-leg",
            Self::BehindFace { .. } => "behind-face",
            Self::JointSize { .. } => "joint-size",
            Self::NoBead { .. } => "no-bead",
            Self::PortSize { .. } => "port-size",
            Self::NoFlexible { .. } => "no-flexible-joint",
        }
    }
}
