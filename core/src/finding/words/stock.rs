//! What is said of what has to be bought, of sticks, and of pieces that were sawn to other sizes.

use super::told_apart;
use crate::finding::StockProblem;
use crate::units::{UnitSystem, length, plain_number};

/// Marks in a sentence: `A1, A2 and A3`.
fn listed(marks: &[String]) -> String {
    match marks {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        _ => marks.concat(),
    }
}

impl StockProblem {
    /// Where it is, in words.
    pub fn place(&self) -> String {
        match self {
            Self::SawnOtherwise { mark, .. } | Self::PieceTooLong { mark, .. } => format!("piece {mark}"),
            Self::ElbowsToBuy { .. } | Self::SticksToBuy { .. } | Self::SawnUnknown { .. } => {
                "stock".to_owned()
            }
        }
    }

    /// The sentence a person reads: what, where, what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::ElbowsToBuy { elbow, need, have } => {
                format!(
                    "Elbows, {elbow}: {need} needed, {have} on the shelf. Buy {}.",
                    need.saturating_sub(*have)
                )
            }
            Self::SticksToBuy { tube, count, at_most } => {
                format!(
                    "Buy {}{} stick{} of {tube}.",
                    if *at_most { "at most " } else { "" },
                    plain_number(*count as f64, 0),
                    if *count == 1 { "" } else { "s" }
                )
            }
            Self::PieceTooLong { mark, length_mm, stick_mm } => format!(
                "Piece {mark} is {} long and does not come out of a stick of {}, saw cuts included: put a joint in that leg, or enter a longer stick.",
                length(*length_mm, units),
                length(*stick_mm, units)
            ),
            Self::SawnOtherwise { mark, written, was_mm, now_mm, .. } => {
                let (was, now) = told_apart(*was_mm, *now_mm, units);
                let written = written.as_ref().map_or_else(String::new, |old| format!(" (marked {old})"));
                format!(
                    "{mark}{written} has been sawn {was} long on its centre, and now it should be {now} or have other cuts: saw it again, or take back the change."
                )
            }
            Self::SawnUnknown { marks } => {
                let (were, they) = if marks.len() == 1 { ("was", "it is") } else { ("were", "they are") };
                format!(
                    "{} {were} sawn before the pipes were changed, and no piece that is drawn now has that shape, or more than one has: {they} not counted as sawn. Look what can still be used, then take {} off the list of what is sawn.",
                    listed(marks),
                    if marks.len() == 1 { "it" } else { "them" }
                )
            }
        }
    }
}
