//! What is said of tapers, and of cones as such.

use crate::finding::{ConeError, ConeNote, TaperProblem};
use crate::units::{UnitSystem, angle, length, tube_size, wall};

impl ConeError {
    /// The sentence: what is wrong and what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::NotANumber => "The cone has a figure that is not a number: enter it again.".to_owned(),
            Self::NotPositive { radius_mm } => format!(
                "The cone has an end of {} outside: enter a diameter above zero.",
                length(2.0 * radius_mm, units)
            ),
            Self::NoLength { length_mm, least_mm } if *least_mm > 0.0 => format!(
                "The cone is {} long: make it at least {}.",
                length(*length_mm, units),
                length(*least_mm, units)
            ),
            Self::NoLength { length_mm, .. } => {
                format!("The cone is {} long: enter a length above zero.", length(*length_mm, units))
            }
            Self::NoBore { radius_mm, wall_mm } => format!(
                "A wall of {} leaves no bore in the cone's end of {}: enter a wall above zero and under half of that.",
                wall(*wall_mm, units),
                tube_size(2.0 * radius_mm, units)
            ),
            Self::TooSteep { angle_rad, most_rad, least_mm } => format!(
                "A side of the cone leans {} from its axis, more than the {} that can be rolled: make it at least {} long.",
                angle(angle_rad.to_degrees(), 1),
                angle(most_rad.to_degrees(), 0),
                length(*least_mm, units)
            ),
            Self::Lap { lap_mm, most_mm } => format!(
                "A lap of {} at the cone's seam does not work: enter one from zero to {}.",
                length(*lap_mm, units),
                length(*most_mm, units)
            ),
        }
    }
}

impl ConeNote {
    /// The sentence.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::Wide { angle_rad, calm_rad, calm_mm } => format!(
                "The cone leans {} a side. Flow that widens in it comes off the walls above about {} (common practice): {} or longer keeps it on.",
                angle(angle_rad.to_degrees(), 1),
                angle(calm_rad.to_degrees(), 1),
                length(*calm_mm, units)
            ),
        }
    }
}

impl TaperProblem {
    /// Where it is, in words.
    pub fn place(&self) -> String {
        match self {
            Self::Shape { leg, .. }
            | Self::Wide { leg, .. }
            | Self::Metal { leg, .. }
            | Self::Same { leg, .. }
            | Self::OffLeg { leg, .. } => format!("leg {leg}"),
            Self::NoSuchLeg { .. } | Self::Offset { .. } => "taper".to_owned(),
        }
    }

    /// The sentence a person reads: what, where, what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::Shape { error, .. } => error.text(units),
            Self::Wide { note, .. } => note.text(units),
            Self::Metal { leg, before, after } => format!(
                "The taper on leg {leg} goes from {} to {}, which cannot be welded to each other: take a tube of the same metal.",
                before.name(),
                after.name()
            ),
            Self::Same { leg, od_mm } => format!(
                "The taper on leg {leg} goes from {size} to {size}, so it does nothing: choose the tube after it, or delete it.",
                size = tube_size(*od_mm, units)
            ),
            Self::OffLeg { leg, by_mm, most_mm } => {
                let cure = if *most_mm > 0.0 {
                    format!(
                        "slide it along, make the straight longer, or take one of at most {}",
                        length(*most_mm, units)
                    )
                } else {
                    "make the straight longer, or put it on another leg".to_owned()
                };
                format!(
                    "The taper does not fit on the straight of leg {leg}: it runs {} into a bend or what else is there. To mend it, {cure}.",
                    length(*by_mm, units)
                )
            }
            Self::NoSuchLeg { leg, legs } => {
                format!(
                    "A taper sits on leg {leg}, but the run has only {}: put it on another.",
                    super::counted(*legs, "leg")
                )
            }
            Self::Offset { most_mm } => format!(
                "A taper sets the run aside by {}, more than its leg is long enough for: lengthen the leg or lower the offset.",
                length(*most_mm, units)
            ),
        }
    }
}
