//! What keeps a branch from sitting where it is put, in sentences.

use crate::fab::saddle::SaddleError;
use crate::fab::wall::Lack;
use crate::finding::{Problem, Severity};
use crate::geom::vector::full_turn;
use crate::model::Project;
use crate::units::{UnitSystem, angle, length, tube_size};

/// Why a branch does not sit, or what is to be known about how it does.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Fault {
    /// The run it sits on is not there.
    HeaderGone,
    /// That run cannot be built.
    HeaderStops { header: String },
    /// That run has no such leg.
    NoLeg { header: String, leg: usize, legs: usize },
    /// No bend comes after that leg.
    NoBend { header: String, leg: usize },
    /// The place lies beside the straight of the leg.
    OffStraight { header: String, leg: usize, station_mm: f64, room_mm: (f64, f64) },
    /// The place lies beyond the bend.
    OffBend { header: String, leg: usize, turn_deg: f64, most_deg: f64 },
    /// The branch has no square-cut tube there.
    NoTube { end: &'static str, mark: String, what: &'static str },
    /// It sits on a joint or taper.
    OnOther { mark: String, what: &'static str },
    /// It reaches onto a joint or taper.
    Onto { mark: String, what: &'static str, by_mm: f64 },
    /// It does not fit.
    DoesNotFit { error: SaddleError },
    /// It is too wide to seat all round on a bend.
    TooWide { radius_mm: f64, largest_mm: Option<f64> },
    /// What its header is joined to has cut the wall away where it sits.
    CutAway { header: String, mark: String, lack: Lack, fits_mm: Option<f64> },
    /// Another branch sits there.
    OnBranch { other: String, header: String },
    /// It sits across welds of its header.
    AcrossWelds { pieces: Vec<String> },
}

impl Fault {
    fn severity(&self) -> Severity {
        match self {
            Self::AcrossWelds { .. } => Severity::Note,
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

    fn code(&self) -> &'static str {
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
        }
    }

    fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::HeaderGone => {
                "The run that this branch sits on is not there: choose another one, or none.".to_owned()
            }
            Self::HeaderStops { header } => format!(
                "{header}, which this branch sits on, cannot be built as drawn: solve its problems first."
            ),
            Self::NoLeg { header, leg, legs } => {
                format!("This branch sits on leg {leg} of {header}, which has {legs}: choose one of those.")
            }
            Self::NoBend { header, leg } => format!(
                "This branch sits on the bend after leg {leg} of {header}, but there is none: put it on a leg."
            ),
            Self::OffStraight { header, leg, station_mm, room_mm: (least, most) } if most > least => {
                let side = if station_mm < least { "before" } else { "after" };
                let by_mm = (least - station_mm).max(station_mm - most);
                format!(
                    "This branch sits {} {side} the straight of leg {leg} of {header}: take a place from {} to {}, or put it on the bend.",
                    length(by_mm, units),
                    length(*least, units),
                    length(*most, units)
                )
            }
            Self::OffStraight { header, leg, .. } => {
                format!("Leg {leg} of {header} has no straight to put a branch on: put it on a bend.")
            }
            Self::OffBend { header, leg, turn_deg, most_deg } => format!(
                "This branch sits {} round the bend after leg {leg} of {header}, which turns {}: take from 0° to {1}.",
                angle(*turn_deg, 1),
                angle(*most_deg, 1)
            ),
            Self::NoTube { end, mark, what } => format!(
                "This branch has {what} at its {end} (piece {mark}), where tube has to be cut to the header: let it begin with a straight, welded on."
            ),
            Self::OnOther { mark, what } => {
                format!("This branch sits on the {what} {mark}: move it along onto plain tube.")
            }
            Self::Onto { mark, what, by_mm } => format!(
                "This branch reaches {} onto the {what} {mark}: move it away from there by that much.",
                length(*by_mm, units)
            ),
            Self::DoesNotFit { error } => error.text(units),
            Self::TooWide { radius_mm, largest_mm } => {
                let narrower = largest_mm.map_or_else(String::new, |mm| {
                    format!("take one of at most {} outside, or ", tube_size(2.0 * mm, units))
                });
                format!(
                    "A branch of {} does not seat all round here: {narrower}put it on a straight.",
                    tube_size(2.0 * radius_mm, units)
                )
            }
            Self::CutAway { header, mark, lack, fits_mm } => {
                let end = if lack.at_start { "start" } else { "end" };
                let cure = match fits_mm {
                    Some(mm) => {
                        format!("take the station {}, or turn it to another clock", length(*mm, units))
                    }
                    None => "turn it to another clock, or put it on another leg".to_owned(),
                };
                format!(
                    "This branch reaches {} beyond the wall of piece {mark}: the {end} of {header} is cut to what it is joined to, and at {} round the tube only {} of wall is left; {cure}.",
                    length(lack.by_mm, units),
                    angle(full_turn(lack.clock_rad).to_degrees(), 1),
                    length(lack.left_mm, units)
                )
            }
            Self::OnBranch { other, header } => format!(
                "This branch sits where {other} has its hole in {header}: move one of them along, or round the tube."
            ),
            Self::AcrossWelds { pieces } => format!(
                "This branch sits across welds between {}: finish those first and grind them flush where it sits.",
                pieces.join(", ")
            ),
        }
    }
}

/// The finding of a fault at the hardpoint of that name.
pub(super) fn said(project: &Project, port: &str, fault: &Fault) -> Problem {
    Problem::Said {
        severity: fault.severity(),
        code: fault.code(),
        place: port.to_owned(),
        text: fault.text(project.settings.units),
    }
}
