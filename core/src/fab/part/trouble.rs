//! What is wrong with a small part where it stands, as facts, and the sentences: what, where, the nearest choice.

use crate::finding::{Problem, Severity};
use crate::units::{UnitSystem, angle, length, plain_number, tube_size};

/// What a part reaches over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Over {
    /// The weld to a piece.
    Weld(String),
    /// A bend.
    Bend,
    /// The body of a joint.
    Joint(String),
    /// The end of the pipe.
    End,
}

impl Over {
    fn text(&self) -> String {
        match self {
            Self::Weld(mark) => format!("over the weld to {mark}"),
            Self::Bend => "onto the bend".to_owned(),
            Self::Joint(mark) => format!("under the body of the joint {mark}"),
            Self::End => "over the end of the pipe".to_owned(),
        }
    }
}

/// What is wrong with a part, or worth knowing; the sentence in `text` explains each field. Lengths mm, angles rad;
/// stations as entered.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Trouble {
    NoLeg { leg: usize, legs: usize },
    OffLeg { leg: usize, straight_mm: f64, fits: Option<f64> },
    OnBlock { what: &'static str, mark: String, fits: Option<f64> },
    Over { over: Over, by_mm: f64, fits: Option<f64> },
    OffWall { by_mm: f64, fits: Option<f64> },
    TooWide { what: &'static str, width_mm: f64, tube_mm: f64 },
    TooFlat { angle_rad: f64, least_rad: f64 },
    Unfit { why: String },
    HoleTooWide { hole_mm: f64, boss_mm: f64 },
    FlangeLow { length_mm: f64, least_mm: f64 },
    FlangeNarrow { flange_mm: f64, stub_mm: f64 },
    SensorLow { stands_rad: f64, fits_rad: Option<f64> },
    SensorNear { from_start_mm: f64, least_mm: f64 },
    TapNear { from_bend_mm: f64, least_mm: f64, fits: Option<f64> },
    PartRound { around_rad: f64 },
    Through { shield: String },
}

impl Trouble {
    fn severity(&self) -> Severity {
        match self {
            Self::NoLeg { .. }
            | Self::OffLeg { .. }
            | Self::OnBlock { .. }
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
            | Self::Through { .. } => Severity::Note,
        }
    }

    fn code(&self) -> &'static str {
        match self {
            Self::NoLeg { .. } => "part-no-leg",
            Self::OffLeg { .. } => "part-off-leg",
            Self::OnBlock { .. } => "part-on-joint",
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

    /// The sentence about the part called `name`.
    fn text(&self, name: &str, units: UnitSystem) -> String {
        let len = |mm: f64| length(mm, units);
        let size = |mm: f64| tube_size(mm, units);
        let move_to = |fits: &Option<f64>| match fits {
            Some(mm) => format!("the nearest station with room for it is {}.", len(*mm)),
            None => "this leg has no room for it: choose another leg, or a smaller part.".to_owned(),
        };
        match self {
            Self::NoLeg { leg, legs } => {
                format!("{name} is on leg {leg}, but the run has {legs}: choose one of those.")
            }
            Self::OffLeg { leg, straight_mm, fits } => format!(
                "{name} stands off the straight of leg {leg}, which is {} long: {}",
                len(straight_mm.max(0.0)),
                move_to(fits)
            ),
            Self::OnBlock { what, mark, fits } => {
                format!(
                    "{name} stands on the {what} {mark}, where there is no tube for it: {}",
                    move_to(fits)
                )
            }
            Self::Over { over, by_mm, fits } => {
                format!("{name} reaches {} {}: {}", len(*by_mm), over.text(), move_to(fits))
            }
            Self::OffWall { by_mm, fits } => format!(
                "{name} reaches {} beyond the wall that is left at its clock, where it would be welded to nothing: {}",
                len(*by_mm),
                move_to(fits)
            ),
            Self::TooWide { what, width_mm, tube_mm } => format!(
                "The {what} of {name} is {} wide, wider than the tube of {}: take one no wider than the tube.",
                size(*width_mm),
                size(*tube_mm)
            ),
            Self::TooFlat { angle_rad, least_rad } => format!(
                "{name} leaves the tube at {}, too flat to cut and weld its tip: take between {} and {}.",
                angle(angle_rad.to_degrees(), 1),
                angle(least_rad.to_degrees(), 0),
                angle(180.0 - least_rad.to_degrees(), 0)
            ),
            Self::Unfit { why } => format!("{name} does not fit on the tube: {why}"),
            Self::HoleTooWide { hole_mm, boss_mm } => format!(
                "The hole for {name}, {}, leaves nothing of its boss of {} to weld to: drill smaller, or take a larger boss.",
                len(*hole_mm),
                len(*boss_mm)
            ),
            Self::FlangeLow { length_mm, least_mm } => format!(
                "The flange of {name} runs into the tube: its stub is {} long and has to be at least {}.",
                len(*length_mm),
                len(*least_mm)
            ),
            Self::FlangeNarrow { flange_mm, stub_mm } => format!(
                "The flange of {name}, {}, is no wider than its stub of {}: take a wider flange.",
                size(*flange_mm),
                size(*stub_mm)
            ),
            Self::SensorLow { stands_rad, fits_rad } => {
                let cure = match fits_rad {
                    Some(clock) => {
                        format!(
                            "turn it to clock {}°.",
                            plain_number(clock.to_degrees().rem_euclid(360.0), 1)
                        )
                    }
                    None => "no clock on this leg does, it is too steep: put it on a flatter leg.".to_owned(),
                };
                format!(
                    "{name} stands {} above level; a sensor in exhaust gas should stand at least {} above it so that \
                     water runs off (common practice): {cure}",
                    angle(stands_rad.to_degrees(), 1),
                    angle(super::rules::SENSOR_RISE_RAD.to_degrees(), 0),
                )
            }
            Self::SensorNear { from_start_mm, least_mm } => format!(
                "{name} is {} along the pipe from its start; behind a turbine a sensor lasts longer from {} on \
                 (common practice).",
                len(*from_start_mm),
                len(*least_mm)
            ),
            Self::TapNear { from_bend_mm, least_mm, fits } => {
                let cure = match fits {
                    Some(mm) => format!("station {} does.", len(*mm)),
                    None => "this leg is too short for that.".to_owned(),
                };
                format!(
                    "{name} is {} after a bend, where the pressure across the pipe is uneven; {} reads truer (common \
                     practice): {cure}",
                    len(*from_bend_mm),
                    len(*least_mm)
                )
            }
            Self::PartRound { around_rad } => format!(
                "{name} covers {} of the way round the pipe: what lies behind it may be as near as a shielded pipe may be. \
                 What sees the bare pipe past its edges needs the full gap of a hot pipe: look at that yourself.",
                angle(around_rad.to_degrees(), 0)
            ),
            Self::Through { shield } => {
                format!("{name} stands in {shield}: cut a hole for it in the shield, with room to move.")
            }
        }
    }

    /// The finding about the part called `name`.
    pub(super) fn problem(&self, name: &str, units: UnitSystem) -> Problem {
        Problem::Said {
            severity: self.severity(),
            code: self.code(),
            place: name.to_owned(),
            text: self.text(name, units),
        }
    }
}
