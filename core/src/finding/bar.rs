//! What is wrong with bars that can be worked out, or keeps them from it.

use super::{BarError, CopeFault, Fit, PinFit, Severity, SleeveFit};

/// Which end of a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// At its first point.
    Start,
    /// At its last point.
    End,
}

impl Side {
    /// Both, in order along the bar.
    pub const BOTH: [Self; 2] = [Self::Start, Self::End];
}

/// One thing that is wrong with a bar. Lengths mm, angles rad, bends and legs counted from 1.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum BarProblem {
    TooShort { by_mm: f64, ends_take_mm: f64, least_mm: f64 },
    EndsMeet { by_mm: f64 },
    ThreadWide { side: Side, thread_dia_mm: f64, bar_od_mm: f64 },
    SocketShallow { side: Side, tapped_mm: f64, least_mm: f64 },
    ThreadShort { side: Side, free_mm: f64, least_mm: f64, need_mm: f64 },
    EngagementShort { side: Side, engaged_mm: f64, least_mm: f64 },
    BottomsOut { side: Side, in_mm: f64, depth_mm: f64, most_mm: f64 },
    NoRoomForNut { side: Side, left_mm: f64, nut_mm: f64, most_mm: f64 },
    OutOfAdjustment { sawn_mm: f64, nearest_mm: f64 },
    AdjustmentSmall { wanted_mm: f64, longer_mm: f64, shorter_mm: f64 },
    SmallKink { bend: usize, angle_rad: f64 },
    RadiusTooSmall { bend: usize, clr_mm: f64, least_mm: f64 },
    BendsOverlap { leg: usize, bends: (usize, usize), by_mm: f64, clr_mm: Option<f64> },
    EndInBend { side: Side, bend: usize, by_mm: f64, clr_mm: Option<f64> },
    StraightShort { leg: usize, bends: (usize, usize), straight_mm: f64, least_mm: f64 },
    Overbend { bend: usize, set_rad: f64 },
    Entry { side: Option<Side>, error: BarError },
    StraightOnly,
    SleeveFit { fit: SleeveFit, instead: Option<String> },
    SleeveOffEnd { by_mm: f64, latest_mm: f64 },
    SleeveOnBend,
    PinNoHole { side: Side },
    PinFit { side: Side, fit: PinFit },
    Cope { side: Side, fault: CopeFault },
    LongerThanStick { bar: String, stock: String, length_mm: f64, stick_mm: f64 },
}

impl BarProblem {
    /// How bad it is: stop where it cannot be built like that.
    pub fn severity(&self) -> Severity {
        match self {
            Self::TooShort { .. }
            | Self::EndsMeet { .. }
            | Self::ThreadWide { .. }
            | Self::BottomsOut { .. }
            | Self::NoRoomForNut { .. }
            | Self::OutOfAdjustment { .. }
            | Self::RadiusTooSmall { .. }
            | Self::BendsOverlap { .. }
            | Self::EndInBend { .. }
            | Self::Entry { .. }
            | Self::Cope { .. }
            | Self::LongerThanStick { .. } => Severity::Stop,
            Self::SleeveFit { fit, .. } if fit.fit == Fit::TooTight && fit.clearance_mm <= 0.0 => {
                Severity::Stop
            }
            // what does not go in, or whose clip does not go on, cannot be fitted
            Self::PinFit { fit, .. } if fit.clearance_mm <= 0.0 || fit.play_mm < 0.0 => Severity::Stop,
            Self::SleeveFit { .. }
            | Self::SleeveOffEnd { .. }
            | Self::SleeveOnBend
            | Self::PinNoHole { .. }
            | Self::PinFit { .. }
            | Self::SocketShallow { .. }
            | Self::ThreadShort { .. }
            | Self::EngagementShort { .. }
            | Self::AdjustmentSmall { .. }
            | Self::StraightShort { .. }
            | Self::Overbend { .. } => Severity::Warn,
            Self::SmallKink { .. } | Self::StraightOnly => Severity::Note,
        }
    }

    /// Short name for lists and files.
    pub fn code(&self) -> &'static str {
        match self {
            Self::TooShort { .. } => "bar-too-short",
            Self::EndsMeet { .. } => "bar-ends-meet",
            Self::ThreadWide { .. } => "bar-thread-wide",
            Self::SocketShallow { .. } => "bar-socket-shallow",
            Self::ThreadShort { .. } => "bar-thread-short",
            Self::EngagementShort { .. } => "bar-engagement-short",
            Self::BottomsOut { .. } => "bar-bottoms-out",
            Self::NoRoomForNut { .. } => "bar-no-room-for-nut",
            Self::OutOfAdjustment { .. } => "bar-out-of-adjustment",
            Self::AdjustmentSmall { .. } => "bar-adjustment-small",
            Self::SmallKink { .. } => "bar-small-kink",
            Self::RadiusTooSmall { .. } => "bar-radius-too-small",
            Self::BendsOverlap { .. } => "bar-bends-overlap",
            Self::EndInBend { .. } => "bar-end-in-bend",
            Self::StraightShort { .. } => "bar-straight-short",
            Self::Overbend { .. } => "bar-overbend",
            Self::Entry { .. } => "bar-entry",
            Self::StraightOnly => "bar-straight-only",
            Self::SleeveFit { fit, .. } if fit.fit == Fit::Loose => "bar-sleeve-loose",
            Self::SleeveFit { .. } => "bar-sleeve-tight",
            Self::SleeveOffEnd { .. } => "bar-sleeve-off-end",
            Self::SleeveOnBend => "bar-sleeve-on-bend",
            Self::PinNoHole { .. } => "bar-pin-no-hole",
            Self::PinFit { .. } => "bar-pin-fit",
            Self::Cope { fault, .. } => fault.code(),
            Self::LongerThanStick { .. } => "bar-longer-than-stick",
        }
    }

    /// The end of the bar it is at, where it is at one.
    pub fn side(&self) -> Option<Side> {
        match self {
            Self::ThreadWide { side, .. }
            | Self::SocketShallow { side, .. }
            | Self::ThreadShort { side, .. }
            | Self::EngagementShort { side, .. }
            | Self::BottomsOut { side, .. }
            | Self::NoRoomForNut { side, .. }
            | Self::EndInBend { side, .. }
            | Self::PinNoHole { side }
            | Self::PinFit { side, .. }
            | Self::Cope { side, .. } => Some(*side),
            Self::Entry { side, .. } => *side,
            Self::TooShort { .. }
            | Self::EndsMeet { .. }
            | Self::OutOfAdjustment { .. }
            | Self::AdjustmentSmall { .. }
            | Self::SmallKink { .. }
            | Self::RadiusTooSmall { .. }
            | Self::BendsOverlap { .. }
            | Self::StraightShort { .. }
            | Self::Overbend { .. }
            | Self::StraightOnly
            | Self::SleeveFit { .. }
            | Self::SleeveOffEnd { .. }
            | Self::SleeveOnBend
            | Self::LongerThanStick { .. } => None,
        }
    }
}
