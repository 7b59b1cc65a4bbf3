//! What is said of merges: why tubes do not merge, with the nearest choice that works, and what is missing.

use super::{joined, piece_words};
use crate::finding::{MergeError, MergeFault, MergeProblem};
use crate::units::{UnitSystem, angle, fine_length, length, tube_size};

impl MergeError {
    /// The sentence: what is wrong and what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        let size = |radius: &f64| tube_size(2.0 * radius, units);
        let degrees = |rad: &f64| angle(rad.to_degrees(), 1);
        match self {
            Self::Arm { arm, error } => format!("Tube {} of the merge {}", arm + 1, error.text(units)),
            Self::Outlet(error) => format!("The outlet of the merge {}", error.text(units)),
            Self::TooFew { arms } => {
                format!("A merge takes two tubes or more, and there are {arms}: add another.")
            }
            Self::NoSuchPair { first, second } => format!(
                "Tubes {} and {} cannot be neighbours in this merge: name two different tubes of it.",
                first + 1,
                second + 1
            ),
            Self::Alone { arm } => {
                format!("Tube {} has no neighbour in the merge: say which tube it is welded to.", arm + 1)
            }
            Self::Apart { first, second, apart_mm, most_mm } => format!(
                "The middles of tubes {} and {} pass each other by {}: move one until they meet within {}.",
                first + 1,
                second + 1,
                fine_length(*apart_mm, units),
                fine_length(*most_mm, units)
            ),
            Self::TooNarrow { first, second, angle_rad, least_rad } => format!(
                "Tubes {} and {} come together at {}, too nearly side by side for a seam: open them to at least {}.",
                first + 1,
                second + 1,
                degrees(angle_rad),
                degrees(least_rad)
            ),
            Self::InLine { first, second } => format!(
                "Tubes {} and {} of different size run straight into each other: put a cone between them.",
                first + 1,
                second + 1
            ),
            Self::TooSquare { arm, angle_rad, most_rad } => format!(
                "Tube {} turns {} into the outlet, too square for a merge: turn at most {}, or weld it on as a branch.",
                arm + 1,
                degrees(angle_rad),
                degrees(most_rad)
            ),
            Self::OutletSize { radius_mm, arm_mm } => format!(
                "An outlet of {} cannot be mitred to tube of {}: take an outlet of that size, or end the tubes in a plane.",
                size(radius_mm),
                size(arm_mm)
            ),
            Self::MouthTooSmall { mouth_mm, least_mm } => format!(
                "The tubes do not fit into a mouth of {} inside: take one of at least {}, or a cone.",
                size(mouth_mm),
                size(least_mm)
            ),
            Self::MouthTooLarge { mouth_mm, most_mm } => format!(
                "A mouth of {} is wider than the tubes reach while they touch: take one of at most {}, or a cone after it.",
                size(mouth_mm),
                size(most_mm)
            ),
            Self::Parted { first, second, station_mm, from_mm } => format!(
                "Tubes {} and {} do not touch yet at the outlet: move the outlet {} or more along the flow.",
                first + 1,
                second + 1,
                length(from_mm - station_mm, units)
            ),
            Self::Beyond { station_mm, most_mm } => format!(
                "The outlet lies beyond where the tubes have met: move it back by {} or more.",
                length(station_mm - most_mm, units)
            ),
            Self::Overlap { first, second } => format!(
                "Tubes {} and {} run into each other: make them neighbours, or move them apart.",
                first + 1,
                second + 1
            ),
            Self::SeamsDisagree { first, second, first_mm, second_mm } => format!(
                "The seam of tubes {} and {} would be {} long on one and {} on the other: let all axes meet in one point.",
                first + 1,
                second + 1,
                length(*first_mm, units),
                length(*second_mm, units)
            ),
        }
    }
}

impl MergeProblem {
    /// The sentence a person reads: what, where, what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        let merge = &self.merge;
        match &self.fault {
            MergeFault::NotMerged { error, runs } => {
                format!("{merge}, of {}: {}", joined(runs), error.text(units))
            }
            MergeFault::EndsWith { what } => format!(
                "At {merge} the run ends with {}, which cannot be cut to the other tubes: leave a straight there, by moving the bend or the part away from it.",
                piece_words(*what)
            ),
            MergeFault::PieceTooShort { mark, by_mm } => format!(
                "Piece {mark} is {} too short for its cut at {merge}: move the bend next to it away by that much or more.",
                length(*by_mm, units)
            ),
            MergeFault::ThroatShort { mark, throat_mm, least_mm } => format!(
                "Piece {mark} is only {} long at its short side at {merge}, under the {} that can be gripped and tacked: move the bend next to it away.",
                length(*throat_mm, units),
                length(*least_mm, units)
            ),
            MergeFault::OneInlet => format!(
                "{merge} has one inlet, so nothing is cut there: add the tubes that come in beside it, or delete the merge and let the run go on."
            ),
            MergeFault::StripFallsOut { mark } => format!(
                "At {merge} a strip of {mark} is cut off all round between two tubes and falls out: close the place with weld or a sliver of sheet, or spread the inlets."
            ),
            MergeFault::Open { inlets, outlet } => {
                let inlets = inlets.iter().map(|number| format!("inlet {number}"));
                let ends: Vec<String> = inlets.chain(outlet.then(|| "outlet".to_owned())).collect();
                format!(
                    "{merge} has no run at its {}: let a run start or end at that hardpoint, and it is cut to the others.",
                    ends.join(" and its ")
                )
            }
        }
    }
}
