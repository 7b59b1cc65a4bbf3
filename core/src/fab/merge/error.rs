//! What keeps tubes from being merged: the facts, and one sentence with the nearest choice that works.

use super::super::limb::LimbError;
use super::{LEAST_ARMS_RAD, MOST_APART_MM, MOST_OUTLET_RAD};
use crate::units::{UnitSystem, angle, fine_length, length, tube_size};

/// Why tubes do not merge. Arms are counted from 0; an outlet that is mitred to the arms counts after them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MergeError {
    /// An arm as given is none.
    Arm {
        /// Which arm.
        arm: usize,
        /// What is wrong with it.
        error: LimbError,
    },
    /// The outlet as given is none, or its station is no number.
    Outlet(LimbError),
    /// Fewer than two arms.
    TooFew {
        /// How many there are.
        arms: usize,
    },
    /// Neighbours that are named are no two arms.
    NoSuchPair {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
    },
    /// An arm has no neighbour.
    Alone {
        /// Which arm.
        arm: usize,
    },
    /// Two axes pass each other, or run side by side.
    Apart {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
        /// Distance of the axes, mm.
        apart_mm: f64,
    },
    /// Two arms lie too nearly along each other.
    TooNarrow {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
        /// Angle between them, rad.
        angle_rad: f64,
    },
    /// Two tubes of different size run straight into each other.
    InLine {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
    },
    /// An arm runs into the outlet too nearly square, or the wrong way.
    TooSquare {
        /// Which arm.
        arm: usize,
        /// Angle between its flow and the outlet's, rad.
        angle_rad: f64,
    },
    /// An outlet to be mitred is not as wide as the widest arm.
    OutletSize {
        /// Its outside radius, mm.
        radius_mm: f64,
        /// That of the widest arm, mm.
        arm_mm: f64,
    },
    /// The lobes do not fit into the mouth anywhere.
    MouthTooSmall {
        /// Radius of the mouth inside, mm.
        mouth_mm: f64,
        /// Least that the lobes need, mm.
        least_mm: f64,
    },
    /// Where the lobes fill the mouth the arms have parted already, or they cover no mouth that wide.
    MouthTooLarge {
        /// Radius of the mouth, mm.
        mouth_mm: f64,
        /// Largest that works, mm.
        most_mm: f64,
    },
    /// The outlet plane lies before the arms hang together; the pair that is last to touch is named.
    Parted {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
        /// The outlet plane's station, mm.
        station_mm: f64,
        /// Station where they touch, mm.
        from_mm: f64,
    },
    /// The outlet plane lies beyond where axes meet: the lobes grow small again.
    Beyond {
        /// The outlet plane's station, mm.
        station_mm: f64,
        /// Furthest station, mm.
        most_mm: f64,
    },
    /// Two arms that are no neighbours run into each other.
    Overlap {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
    },
    /// The seam of two neighbours comes out differently on each: other cuts take part of it on one of them.
    SeamsDisagree {
        /// The one.
        first: usize,
        /// The other.
        second: usize,
        /// Its length on the one, mm.
        first_mm: f64,
        /// Its length on the other, mm.
        second_mm: f64,
    },
}

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
            Self::Apart { first, second, apart_mm } => format!(
                "The middles of tubes {} and {} pass each other by {}: move one until they meet within {}.",
                first + 1,
                second + 1,
                fine_length(*apart_mm, units),
                fine_length(MOST_APART_MM, units)
            ),
            Self::TooNarrow { first, second, angle_rad } => format!(
                "Tubes {} and {} come together at {}, too nearly side by side for a seam: open them to at least {}.",
                first + 1,
                second + 1,
                degrees(angle_rad),
                degrees(&LEAST_ARMS_RAD)
            ),
            Self::InLine { first, second } => format!(
                "Tubes {} and {} of different size run straight into each other: put a cone between them.",
                first + 1,
                second + 1
            ),
            Self::TooSquare { arm, angle_rad } => format!(
                "Tube {} turns {} into the outlet, too square for a merge: turn at most {}, or weld it on as a branch.",
                arm + 1,
                degrees(angle_rad),
                degrees(&MOST_OUTLET_RAD)
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
