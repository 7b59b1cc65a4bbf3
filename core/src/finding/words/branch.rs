//! What is said of a branch that does not sit where it is put.

use super::{block, end_word, joined, piece_words};
use crate::finding::{BranchFault, BranchProblem, NoTube};
use crate::units::{UnitSystem, angle, length, tube_size};

fn no_tube(what: NoTube) -> &'static str {
    match what {
        NoTube::Piece(piece) => piece_words(piece),
        NoTube::MitredCut => "a mitred cut",
    }
}

impl BranchProblem {
    /// The sentence a person reads: what, where, what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        self.fault.text(units)
    }
}

impl BranchFault {
    /// The sentence a person reads: what, where, what to do.
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
            Self::OffStraight { header, leg, station_mm, room_mm: (least, most), bend } if most > least => {
                let side = if station_mm < least { "before" } else { "after" };
                let by_mm = (least - station_mm).max(station_mm - most);
                format!(
                    "This branch sits {} {side} the straight of leg {leg} of {header}: take a place from {} to {}{}.",
                    length(by_mm, units),
                    length(*least, units),
                    length(*most, units),
                    if *bend { ", or put it on the bend" } else { "" }
                )
            }
            Self::OffStraight { header, leg, bend, .. } => {
                let other = if *bend { "put it on the bend" } else { "put it on another leg" };
                format!("Leg {leg} of {header} has no straight to put a branch on: {other}.")
            }
            Self::OffBend { header, leg, turn_deg, most_deg } => format!(
                "This branch sits {} round the bend after leg {leg} of {header}, which turns {}: take from 0° to {1}.",
                angle(*turn_deg, 1),
                angle(*most_deg, 1)
            ),
            Self::NoTube { at_start, mark, what } => format!(
                "This branch has {} at its {} (piece {mark}), where tube has to be cut to the header: let it begin with a straight, welded on.",
                no_tube(*what),
                end_word(*at_start)
            ),
            Self::OnOther { mark, what } => {
                format!("This branch sits on the {} {mark}: move it along onto plain tube.", block(*what))
            }
            Self::Onto { mark, what, by_mm } => format!(
                "This branch reaches {} onto the {} {mark}: move it away from there by that much.",
                length(*by_mm, units),
                block(*what)
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
                let end = end_word(lack.at_start);
                let cure = match fits_mm {
                    Some(mm) => {
                        format!("take the station {}, or turn it to another clock", length(*mm, units))
                    }
                    None => "turn it to another clock, or put it on another leg".to_owned(),
                };
                format!(
                    "This branch reaches {} beyond the wall of piece {mark}: the {end} of {header} is cut to what it is joined to, and at {} round the tube only {} of wall is left; {cure}.",
                    length(lack.by_mm, units),
                    angle(lack.clock_rad.to_degrees(), 1),
                    length(lack.left_mm, units)
                )
            }
            Self::OnBranch { other, header } => format!(
                "This branch sits where {other} has its hole in {header}: move one of them along, or round the tube."
            ),
            Self::CutToBranch { others, header } => format!(
                "This branch meets {} on {header} and is cut to both: set {} on and weld it first.",
                joined(others),
                if others.len() == 1 { "that one" } else { "those" }
            ),
            Self::AcrossWelds { pieces } => format!(
                "This branch sits across welds between {}: finish those first and grind them flush where it sits.",
                pieces.join(", ")
            ),
        }
    }
}
