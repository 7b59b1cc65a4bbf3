//! What is said of pieces and welds, and of the weld that is fitted last.

use super::end_word;
use crate::finding::{PieceProblem, PieceType};
use crate::units::{UnitSystem, angle, length, plain_number};

/// What a piece is, as it stands within a sentence.
pub(super) fn piece_words(piece: PieceType) -> &'static str {
    match piece {
        PieceType::Straight => "a straight",
        PieceType::Slice => "a slice of a bend",
        PieceType::Elbow => "an elbow",
        PieceType::Joint => "a joint",
        PieceType::Taper => "a taper",
    }
}

impl PieceProblem {
    /// Where it is, in words.
    pub fn place(&self) -> String {
        match self {
            Self::ThroatShort { mark, .. }
            | Self::CutsCross { mark, .. }
            | Self::SawLimit { mark, .. }
            | Self::FitShort { mark, .. } => format!("piece {mark}"),
            Self::FullEndAtFace { bend, .. } => format!("bend {bend}"),
            Self::PiecesMissEnd { .. } => "end".to_owned(),
            Self::Lip { weld, .. } | Self::FitGone { weld: Some(weld), .. } => format!("weld {weld}"),
            Self::FitGone { weld: None, .. } => "the weld fitted last".to_owned(),
            Self::NoFit => String::new(),
        }
    }

    /// The sentence a person reads: what, where, what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        let len = |mm: f64| length(mm, units);
        let deg = |rad: f64| angle(rad.to_degrees(), 1);
        let fine = |rad: f64| format!("{}°", plain_number(rad.to_degrees(), 2));
        match self {
            Self::ThroatShort { mark, throat_mm, least_mm, clr_mm } => {
                let cure = clr_mm.map_or_else(
                    || "move its neighbours apart.".to_owned(),
                    |r| format!("use fewer welds or a centreline radius of {} or more.", len(r)),
                );
                format!(
                    "Piece {mark} is only {} long at its throat, under the {} that can be gripped and tacked: {cure}",
                    len(*throat_mm),
                    len(*least_mm)
                )
            }
            Self::CutsCross { mark, by_mm, fewer_degrees } => {
                let cure =
                    if *fewer_degrees { "use more welds in the bend" } else { "move the waypoints apart" };
                format!("The two cuts of piece {mark} cross each other by {}: {cure}.", len(*by_mm))
            }
            Self::SawLimit { bend, mark, saw_rad, most_rad, welds } => format!(
                "Piece {mark} of bend {bend} is cut at {}, and the saw goes to {}: use {welds} welds or more in that bend, or grind it to its template.",
                fine(*saw_rad),
                fine(*most_rad)
            ),
            Self::FullEndAtFace { bend, at_start } => {
                let end = end_word(*at_start);
                format!(
                    "Bend {bend} has full ends but no straight between it and the {end} of the run: its first slice cannot meet the face square. Slide the bend away from the face, or give it half ends."
                )
            }
            Self::PiecesMissEnd { offset_mm, angle_rad } => format!(
                "Laid end to end, its pieces end {} from where the run ends and lean {} there, so nothing that follows from them can be trusted: divide the run in two with a hardpoint between, or take out bends.",
                len(*offset_mm),
                fine(*angle_rad)
            ),
            Self::Lip { weld, lip_mm, turn_rad } => format!(
                "At weld {weld} two mitred faces are turned {} against each other and leave a lip of {}: leave some straight between the two bends.",
                deg(*turn_rad),
                len(*lip_mm)
            ),
            Self::FitGone { weld, instead } => format!(
                "{}: {}.",
                weld.as_ref().map_or_else(
                    || "The weld that was chosen to be fitted last is not there any more".to_owned(),
                    |w| format!("Weld {w} was chosen to be fitted last, but nothing beside it can be trimmed")
                ),
                instead.as_ref().map_or_else(|| "choose another".to_owned(), |w| format!("{w} is taken now"))
            ),
            Self::FitShort { weld, mark, long_mm, grip_mm } => format!(
                "{mark} carries the length to trim at weld {weld}, but at {} it is shorter than the {} the saw has to grip: choose another weld to fit last.",
                len(*long_mm),
                len(*grip_mm)
            ),
            Self::NoFit => {
                "No weld has a straight or a slice beside it that could be trimmed: nothing takes up what the others are off. Cut an elbow's leg, or put a straight in.".to_owned()
            }
        }
    }
}
