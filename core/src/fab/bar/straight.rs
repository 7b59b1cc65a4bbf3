//! A straight bar between two points: what to saw, how its ends are set, what they can be adjusted by.

use super::end::{BarEnd, EndSet};
use super::error::{OR_NONE_MM, SIZE_MM, length_in};
use super::stock::BarStock;
use crate::finding::{BarError, BarProblem, Side};
use crate::geom::tolerance::NO_LENGTH_MM;
use crate::model::limits::MAX_COORDINATE_MM;
use crate::units::{UnitSystem, fit_length};
use glam::DVec3;

/// A bar that has been sawn serves while it is this close to what is wanted, mm: a finer difference than half of
/// 1/32 in would not have been sawn otherwise.
const SAWN_MM: f64 = 0.4;

/// Adjustment may fall short of what is wanted by this much (mm): rounding noise.
const SAME_MM: f64 = 1e-9;

/// A straight bar as entered.
#[derive(Debug, Clone, PartialEq)]
pub struct StraightBar {
    /// What it is made of.
    pub stock: BarStock,
    /// Its two points: eye, hole, tube axis or plate, as each [`BarEnd`] says.
    pub points: [DVec3; 2],
    /// Its ends, in the same order.
    pub ends: [BarEnd; 2],
    /// Length of a bar that has been sawn already, mm: its rod ends are set to make it fit.
    pub sawn_mm: Option<f64>,
    /// Adjustment that is wanted each way, mm; 0 where none is.
    pub wanted_mm: f64,
}

/// How a bar's length is adjusted once it is in place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Adjusting {
    /// Not at all: neither end is a rod end.
    None,
    /// By turning the bar between a right-hand and a left-hand rod end.
    TurnBar {
        /// Change a whole turn of the bar, mm.
        per_turn_mm: f64,
    },
    /// By taking a rod end off its bolt and turning it half round.
    HalfTurns {
        /// Smallest step, mm.
        step_mm: f64,
    },
}

impl Adjusting {
    /// How bars with these ends are adjusted; a bent one swings round when it is turned, and so cannot be.
    pub fn of(ends: &[BarEnd; 2], bent: bool) -> Self {
        let thread = |end: &BarEnd| match end {
            BarEnd::RodEnd(rod) => Some((rod.pitch_mm, rod.left_hand)),
            BarEnd::Tab { .. } | BarEnd::Cope(_) | BarEnd::Plate { .. } => None,
        };
        match (thread(&ends[0]), thread(&ends[1])) {
            (None, None) => Self::None,
            (Some((a, left_a)), Some((b, left_b))) if left_a != left_b && !bent => {
                Self::TurnBar { per_turn_mm: a + b }
            }
            (Some((a, _)), Some((b, _))) => Self::HalfTurns { step_mm: a.min(b) / 2.0 },
            (Some((a, _)), None) | (None, Some((a, _))) => Self::HalfTurns { step_mm: a / 2.0 },
        }
    }

    /// What to do to adjust it, as a sentence.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::None => {
                "Neither end can be adjusted: saw it to length and fit it before welding.".to_owned()
            }
            Self::TurnBar { per_turn_mm } => format!(
                "Loosen both lock nuts and turn the bar: a whole turn changes its length by {}.",
                fit_length(*per_turn_mm, units)
            ),
            Self::HalfTurns { step_mm } => format!(
                "Take a rod end off its bolt and turn it half round: each half turn changes the length by {}.",
                fit_length(*step_mm, units)
            ),
        }
    }
}

/// A straight bar worked out.
///
/// Always `cut + take of both ends = eye to eye`. Where a bar that has been sawn cannot be made to fit, the ends
/// stand at their limit and `cut_mm` is the nearest length that does.
#[derive(Debug, Clone, PartialEq)]
pub struct Straight {
    /// From point to point, mm.
    pub eye_to_eye_mm: f64,
    /// Length to saw, square at both ends, mm; not above zero where the ends leave nothing.
    pub cut_mm: f64,
    /// How the ends are set.
    pub ends: [EndSet; 2],
    /// How it is adjusted.
    pub adjusting: Adjusting,
    /// What is wrong.
    pub problems: Vec<BarProblem>,
}

impl Straight {
    /// What it can be lengthened by from its setting, mm.
    pub fn longer_mm(&self) -> f64 {
        self.ends[0].longer_mm + self.ends[1].longer_mm
    }

    /// What it can be shortened by from its setting, mm.
    pub fn shorter_mm(&self) -> f64 {
        self.ends[0].shorter_mm + self.ends[1].shorter_mm
    }
}

impl StraightBar {
    /// Works the bar out.
    pub fn work_out(&self) -> Result<Straight, BarError> {
        self.check()?;
        let eye_to_eye_mm = self.points[0].distance(self.points[1]);
        let mut ends = [self.ends[0].set(), self.ends[1].set()];
        let mut problems = Vec::new();
        let mut missed = None;
        if let Some(sawn_mm) = self.sawn_mm {
            let wanted_mm = eye_to_eye_mm - sawn_mm - (ends[0].take_mm + ends[1].take_mm);
            ends = adjusted(&self.ends, &ends, wanted_mm);
            let nearest_mm = eye_to_eye_mm - (ends[0].take_mm + ends[1].take_mm);
            if (nearest_mm - sawn_mm).abs() > SAWN_MM {
                missed = Some(BarProblem::OutOfAdjustment { sawn_mm, nearest_mm });
            }
        }
        let ends_take_mm = ends[0].take_mm + ends[1].take_mm;
        let cut_mm = eye_to_eye_mm - ends_take_mm;
        let inside_mm = ends[0].inside_mm + ends[1].inside_mm;
        if cut_mm <= NO_LENGTH_MM {
            // with no bar left there is no length to adjust to
            problems.push(BarProblem::TooShort {
                by_mm: inside_mm - cut_mm,
                ends_take_mm,
                least_mm: ends_take_mm + inside_mm,
            });
        } else {
            if inside_mm > cut_mm {
                problems.push(BarProblem::EndsMeet { by_mm: inside_mm - cut_mm });
            }
            problems.extend(missed);
        }
        for (i, side) in Side::BOTH.into_iter().enumerate() {
            problems.extend(self.ends[i].problems(side, &self.stock, &ends[i]));
        }
        let adjusting = Adjusting::of(&self.ends, false);
        let mut out = Straight { eye_to_eye_mm, cut_mm, ends, adjusting, problems };
        let least_mm = out.longer_mm().min(out.shorter_mm());
        if least_mm < self.wanted_mm - SAME_MM {
            out.problems.push(BarProblem::AdjustmentSmall {
                wanted_mm: self.wanted_mm,
                longer_mm: out.longer_mm(),
                shorter_mm: out.shorter_mm(),
            });
        }
        Ok(out)
    }

    fn check(&self) -> Result<(), BarError> {
        self.stock.check()?;
        for (point, side) in self.points.iter().zip(Side::BOTH) {
            check_point(&format!("The point at the bar's {}", side.word()), *point)?;
        }
        if self.points[0].distance(self.points[1]) <= NO_LENGTH_MM {
            return Err(BarError::SamePoint { first: 1 });
        }
        for (end, side) in self.ends.iter().zip(Side::BOTH) {
            end.check(side)?;
        }
        if let Some(sawn_mm) = self.sawn_mm {
            length_in("The length of the bar that has been sawn", sawn_mm, SIZE_MM)?;
        }
        length_in("The adjustment wanted each way", self.wanted_mm, OR_NONE_MM)?;
        Ok(())
    }
}

/// Whether a point lies where a project may have it.
pub(super) fn check_point(what: &str, at: DVec3) -> Result<(), BarError> {
    for mm in at.to_array() {
        length_in(what, mm, (-MAX_COORDINATE_MM, MAX_COORDINATE_MM))?;
    }
    Ok(())
}

/// The ends set anew so that together they take `more_mm` more of the way (less, below zero), or as near to it as
/// they can: each gives in proportion to its room.
fn adjusted(made: &[BarEnd; 2], set: &[EndSet; 2], more_mm: f64) -> [EndSet; 2] {
    let room = |end: &EndSet| if more_mm > 0.0 { end.longer_mm } else { end.shorter_mm };
    let all = room(&set[0]) + room(&set[1]);
    if all <= 0.0 {
        return *set;
    }
    let share = (more_mm / all).clamp(-1.0, 1.0);
    // taking more of the way is screwing out
    let anew = |i: usize| match set[i].screwed_in_mm {
        Some(x_mm) => made[i].set_at(x_mm - share * room(&set[i])),
        None => set[i],
    };
    [anew(0), anew(1)]
}
