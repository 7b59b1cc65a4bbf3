//! What is said of what comes too near, and of what cannot get on or out because of it.

use super::told_apart;
use crate::finding::GapProblem;
use crate::units::{UnitSystem, length};

impl GapProblem {
    /// Where it is, in words.
    pub fn place(&self) -> String {
        match self {
            Self::TooClose { against, .. }
            | Self::Clash { against, .. }
            | Self::ToolBlocked { against, .. }
            | Self::NoWayOut { against, .. } => against.clone(),
            Self::BarTooClose { bar, .. } => bar.clone(),
        }
    }

    /// The sentence a person reads: what, where, what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::ToolBlocked { tool, against } => format!(
                "{tool} cannot get on: {against} is in its way. Turn the joint's clock, slide it, or enter a smaller tool."
            ),
            Self::TooClose { part, against, gap_mm, required_mm, heat, turns, moved } => {
                let (gap, required) = told_apart(*gap_mm, *required_mm, units);
                let cure = if *turns {
                    "Turn its clock, slide it, or move the pipe."
                } else if *heat {
                    "Move it away or shield it; heat near fuel, lines or looms starts fires."
                } else {
                    "Move a waypoint away, or lower the gap it asks for."
                };
                let when = moved.as_ref().map_or_else(String::new, |pose| format!("With {pose}: "));
                if *gap_mm < 0.0 {
                    format!(
                        "{when}{part} runs {} into {against}; it should stay {required} clear. {cure}",
                        length(-gap_mm, units)
                    )
                } else {
                    format!(
                        "{when}{part} has only {gap} of gap to {against}; it should have {required}. {cure}"
                    )
                }
            }
            Self::Clash { part, turns, against, deep_mm, itself } => {
                let (where_to, there) = if *itself {
                    ("the same run".to_owned(), "a pipe cannot go through itself")
                } else {
                    (within_sentence(against), "both cannot be there")
                };
                let cure = if *turns {
                    "Turn its clock, slide it, or move the pipe."
                } else {
                    "Move a waypoint away, or correct what is entered there."
                };
                format!("{part} goes about {} into {where_to}: {there}. {cure}", length(*deep_mm, units))
            }
            Self::NoWayOut { part, against } => format!(
                "There is no room to take out what is screwed into {part}: {against} is in its way. Turn its clock, slide it, or enter less room to take it out."
            ),
            Self::BarTooClose { bar, against, gap_mm, required_mm, moved } => {
                let gap = if *gap_mm <= 0.0 {
                    format!("{bar} runs into {against}")
                } else {
                    format!("{bar} comes within {} of {against}", length(*gap_mm, units))
                };
                let moved = moved.as_ref().map_or_else(String::new, |pose| format!(" with {pose}"));
                format!(
                    "{gap}{moved}, and it should keep {}: move its ends, or give it a bend round it.",
                    length(*required_mm, units)
                )
            }
        }
    }
}

/// What begins a sentence, as it stands within one.
fn within_sentence(words: &str) -> String {
    for first in ["Piece ", "The "] {
        if let Some(rest) = words.strip_prefix(first) {
            return format!("{}{rest}", first.to_lowercase());
        }
    }
    words.to_owned()
}
