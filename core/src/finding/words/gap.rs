//! What is said of what comes too near, and of what cannot get on or out because of it.

use super::told_apart;
use crate::finding::{GapProblem, NearPart};
use crate::units::{UnitSystem, length};

impl NearPart {
    /// What it is, as it begins a sentence.
    pub fn words(&self) -> String {
        match self {
            Self::Piece(mark) => format!("Piece {mark}"),
            Self::Lobe(mark) => format!("The lobe of {mark}"),
            Self::Tool(mark) => format!("The tool for {mark}"),
            Self::SmallPart { name, mark } => format!("{name} ({mark})"),
        }
    }

    /// The same within a sentence.
    fn within(&self) -> String {
        match self {
            Self::Piece(mark) => format!("piece {mark}"),
            Self::Lobe(mark) => format!("the lobe of {mark}"),
            Self::Tool(mark) => format!("the tool for {mark}"),
            Self::SmallPart { .. } => self.words(),
        }
    }
}

impl GapProblem {
    /// Where it is, in words.
    pub fn place(&self) -> String {
        match self {
            Self::TooClose { against, .. }
            | Self::Clash { against, other_part: None, .. }
            | Self::ToolBlocked { against, .. }
            | Self::NoWayOut { against, .. } => against.clone(),
            Self::Clash { against, other_part: Some(part), .. } => format!("{} of {against}", part.words()),
            Self::BarTooClose { bar, .. } => bar.clone(),
        }
    }

    /// The sentence a person reads: what, where, what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::ToolBlocked { tool, against } => format!(
                "{} cannot get on: {against} is in its way. Turn the joint's clock, slide it, or enter a smaller tool.",
                tool.words()
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
                let part = part.words();
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
            Self::Clash { part, turns, against, other_part, deep_mm, itself } => {
                let (where_to, there) = if *itself {
                    ("the same run".to_owned(), "a pipe cannot go through itself")
                } else {
                    (whole(other_part.as_ref(), against), "both cannot be there")
                };
                let cure = if *turns {
                    "Turn its clock, slide it, or move the pipe."
                } else {
                    "Move a waypoint away, or correct what is entered there."
                };
                format!(
                    "{} goes about {} into {where_to}: {there}. {cure}",
                    part.words(),
                    length(*deep_mm, units)
                )
            }
            Self::NoWayOut { part, against } => format!(
                "There is no room to take out what is screwed into {}: {against} is in its way. Turn its clock, slide it, or enter less room to take it out.",
                part.words()
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

/// What is run into, within a sentence.
fn whole(part: Option<&NearPart>, of: &str) -> String {
    part.map_or_else(|| of.to_owned(), |part| format!("{} of {of}", part.within()))
}
